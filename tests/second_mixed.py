"""Points that hold in unlike ways, reckoned a second time: plain floats, statics at a trial gust, the limit by halving.

Nothing of the package is used here; ``tests/validation/test_second_mixed.py`` compares the two. At a pressure every load case is gone
through: the base as one on springs that are alike, then with each set of ways ten times as stiff as the rest, the most of these at each
point; frame by frame; friction, or stakes and lines, never both for one push, unless the file says so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations
from math import cos, hypot, inf, radians, sin, tan

from tests.second_figures import (  # fmt: skip
    GRAVITY,
    MARGINS,
    Job,
    Point,
    friction_of,
    mass_of,
    points_of,
    pull_of_block,
    pull_of_deadman,
    stake_worth,
)
from tests.second_lines import outward
from tests.second_loads import Case, strip_shares

STIFFER = 10.0
SLIDING = 0.75  # of friction, once it slides
EDGES = ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))


@dataclass
class Held:
    """What holds a point, margins in: its way, weight, pull along a line at an angle, push and pull-out of stakes, friction."""

    way: str
    weight: float = 0.0
    pull: float = 0.0
    angle: float | None = None
    lateral: float = 0.0
    axial: float = 0.0
    rubs: float = 0.0
    rubs_own: float = 0.0

    @property
    def vertical(self) -> float:
        """Down, of line or stake."""
        return self.axial if self.angle is None else self.pull * sin(self.angle)


def at_point(job: Job, way: str, count: int) -> Held:
    """Of so many units in one of the ways: bags, feet (stakes through the foot), lines (stakes), blocks or deadman (both on lines)."""
    _, _, k_ballast, phi, psi, _ = MARGINS[job.margins]
    if way == "bags":
        own, under = friction_of(replace(job, stake=None, block_angle=None, deadman=None))
        return Held(
            way, weight=count * k_ballast * mass_of(job) * GRAVITY, rubs=phi * under, rubs_own=phi * own
        )
    own, _ = friction_of(replace(job, how=None, block_angle=30.0, stake=None, deadman=None))
    if way in ("feet", "lines"):
        lateral, _, along = stake_worth(job)
        if way == "feet":
            return Held(way, lateral=count * psi * lateral, axial=count * psi * along, rubs_own=phi * own)
        assert job.stake is not None
        assert job.stake[3] is not None
        return Held(way, pull=count * psi * along, angle=radians(job.stake[3]), rubs_own=phi * own)
    angle = radians(job.block_angle or 0.0)
    one = psi * pull_of_deadman(job, angle) if way == "deadman" else pull_of_block(job, angle, k_ballast, phi)
    return Held(way, pull=count * one, angle=angle, rubs_own=phi * own)


def solved(m: list[list[float]], right: list[float]) -> list[float]:
    """Three equations, by Cramer."""

    def det(a: list[list[float]]) -> float:
        return (
            a[0][0] * (a[1][1] * a[2][2] - a[1][2] * a[2][1])
            - a[0][1] * (a[1][0] * a[2][2] - a[1][2] * a[2][0])
            + a[0][2] * (a[1][0] * a[2][1] - a[1][1] * a[2][0])
        )

    whole = det(m)
    return [
        det([[right[r] if c == k else m[r][c] for c in range(3)] for r in range(3)]) / whole for k in range(3)
    ]


def lifted(points: list[Point], k: list[float], c: Case) -> list[float]:
    """Uplift of each point of a rigid base that sinks and tilts on springs."""
    s = [sum(w * f(p) for w, p in zip(k, points, strict=True)) for f in (lambda p: 1.0, lambda p: p.x, lambda p: p.y, lambda p: p.x * p.x, lambda p: p.x * p.y, lambda p: p.y * p.y)]  # fmt: skip
    a, bx, by = solved(
        [[s[0], s[1], s[2]], [s[1], s[3], s[4]], [s[2], s[4], s[5]]], [c.up, c.moment_x, c.moment_y]
    )
    return [w * (a + bx * p.x + by * p.y) for w, p in zip(k, points, strict=True)]


def pushed(points: list[Point], k: list[float], c: Case) -> list[float]:
    """Push on each point of a rigid base that moves and turns on springs."""
    s, sx, sy = sum(k), sum(w * p.x for w, p in zip(k, points, strict=True)), sum(w * p.y for w, p in zip(k, points, strict=True))  # fmt: skip
    polar = sum(w * (p.x * p.x + p.y * p.y) for w, p in zip(k, points, strict=True))
    if polar - (sx * sx + sy * sy) / s < 1e-9:  # a single spring turns about itself
        about = c.twist - (sx * c.push_y - sy * c.push_x) / s
        return [(inf if abs(about) > 1e-9 else c.push) if w else 0.0 for w in k]
    dx, dy, turn = solved([[s, 0.0, -sy], [0.0, s, sx], [-sy, sx, polar]], [c.push_x, c.push_y, c.twist])
    return [w * hypot(dx - turn * p.y, dy + turn * p.x) for w, p in zip(k, points, strict=True)]


def rubs(stands: list[tuple[float, float]], up: float) -> float:
    """Friction that is left of contacts (coefficient, weight) when an uplift takes the grippiest away first."""
    left = 0.0
    for mu, n in sorted(stands, reverse=True):
        gone = min(n, up)
        left, up = left + mu * (n - gone), up - gone
    return left if up <= 0.0 else -inf


class Mixed:
    """One shelter with unlike points."""

    def __init__(
        self, job: Job, cases: list[Case], ways: dict[str, tuple[str, int]], adds: float = 0.0
    ) -> None:
        self.job, self.cases, self.adds = job, cases, adds
        self.points = points_of(job)
        self.at = [at_point(job, *ways[p.name]) for p in self.points]
        self.gamma, k_shelter = MARGINS[job.margins][:2]
        self.own = k_shelter * job.mass * GRAVITY
        self.even = strip_shares(job.length, job.per_side)
        self.feet = {k: [i for i, p in enumerate(self.points) if p.frame == k] for k in range(job.per_side)}
        kinds = sorted({h.way for h in self.at})
        stiff = [(), *(s for n in range(1, len(kinds)) for s in combinations(kinds, n))]
        springs = [[STIFFER if h.way in s else 1.0 for h in self.at] for s in stiff]
        self.up: list[list[float]] = []
        self.push: list[list[float]] = []
        self.push_stakes: list[list[float]] = []
        staked = [1.0 if h.way == "feet" else 0.0 for h in self.at]
        for c in cases:
            tried = [(lifted(self.points, k, c), pushed(self.points, k, c)) for k in springs]
            self.up.append([max(t[0][i] for t in tried) for i in range(len(self.at))])
            self.push.append([max(t[1][i] for t in tried) for i in range(len(self.at))])
            self.push_stakes.append(pushed(self.points, staked, c) if any(staked) else [])
        self.xx = sum(p.x**2 for p in self.points)

    def limit(self) -> float:
        """The largest pressure at which all of it holds."""
        low, high = 0.0, 1.0
        while self.holds(high):
            low, high = high, 2.0 * high
        while high - low > 1e-9 * high:
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.holds(middle) else (low, middle)
        return low

    def holds(self, q: float) -> bool:
        """Every case at a pressure."""
        return all(self._case(i, c, q * self.gamma) for i, c in enumerate(self.cases))

    def _case(self, i: int, c: Case, q: float) -> bool:
        n = len(self.at)
        stays = self.own + sum(h.weight + h.vertical for h in self.at)
        if q * c.up > stays:
            return False
        for dx, dy in EDGES:
            far = self.job.length / 2.0 if dx else self.job.width / 2.0
            tip = q * (c.up * far - (c.moment_x * dx + c.moment_y * dy))
            hold = self.own * far + sum(
                (h.weight + h.vertical) * (far - p.x * dx - p.y * dy)
                for h, p in zip(self.at, self.points, strict=True)
            )
            if tip > hold:
                return False
        own = [self.own / n] * n
        if any(q * u > w + h.weight + h.vertical for u, w, h in zip(self.up[i], own, self.at, strict=True) if h.way != "feet"):  # fmt: skip
            return False
        stands = [(h.rubs_own, w) for h, w in zip(self.at, own, strict=True)] + [
            (h.rubs, h.weight) for h in self.at
        ]
        lee = self._lee(c, q, own)
        grip = rubs(stands, q * max(c.up, 0.0))
        rubbed = c.push <= 0.0 or grip >= q * c.push + lee
        lines = self._lines(c, q * c.push + lee, self.adds * max(grip, 0.0))
        if c.push > 0.0 and not rubbed and not lines[0]:
            return False
        if c.push > 0.0 and any(h.angle is not None for h in self.at) and not rubbed and not lines[1]:
            return False
        helped = self.adds * max(grip, 0.0) if c.push > 0.0 else 0.0
        carried = rubbed or (lines[0] and any(h.angle is not None for h in self.at))
        for k, (h, u, s, p) in enumerate(zip(self.at, self.up[i], own, self.push[i], strict=True)):
            if h.way != "feet":
                continue
            out = max(q * u - s, 0.0) / h.axial
            if q * p / h.lateral + out > 1.0:
                return False
            alone = self.push_stakes[i][k]
            part = helped / sum(o.way == "feet" for o in self.at)
            if not carried and (alone == inf or max(q * alone - part, 0.0) / h.lateral + out > 1.0):
                return False
        return c.shares is None or self._frames(c, q, rubbed=rubbed)

    def _lee(self, c: Case, q: float, own: list[float]) -> float:
        """What lee lines that hold net uplift pull along with the push."""
        if c.push <= 0.0:
            return 0.0
        up = self.up[self.cases.index(c)]
        total = 0.0
        for p, h, u, w in zip(self.points, self.at, up, own, strict=True):
            if h.angle is None:
                continue
            ox, oy = outward(p)
            toward = -(c.push_x * ox + c.push_y * oy) / c.push
            if toward < -1e-9:
                total += max(q * max(u, 0.0) - w, 0.0) * -toward / tan(h.angle)
        return total

    def _lines(self, c: Case, push: float, helped: float) -> tuple[bool, bool]:
        """Whether what holds sideways without rubbing does it all together, and whether each line takes its share."""
        if c.push <= 0.0:
            return True, True
        if not any(h.angle is not None for h in self.at):
            return sum(h.lateral for h in self.at) + helped >= push, True
        facing = []
        for p, h in zip(self.points, self.at, strict=True):
            ox, oy = outward(p)
            toward = -(c.push_x * ox + c.push_y * oy) / c.push
            if h.angle is not None and toward > 1e-9:
                facing.append((p, h, toward))
        if not facing:
            return False, True
        supply = sum(cos(h.angle or 0.0) * t for _, h, t in facing)
        every = sum(h.pull * cos(h.angle or 0.0) * t for _, h, t in facing) + helped >= push
        wx, wy = c.wind
        place = [abs(wy) * p.x + abs(wx) * p.y for p, _, _ in facing]
        middle = sum(place) / len(place)
        spread = sum((s - middle) ** 2 for s in place)
        each = True
        for (_, h, _), s in zip(facing, place, strict=True):
            tilt = max(0.0, 1.0 + (c.arm * (s - middle) * len(place) / spread if spread > 1e-12 else 0.0))
            each = each and tilt * (push - helped) <= h.pull * supply * (1.0 + 1e-12)
        return every, each

    def _frames(self, c: Case, q: float, *, rubbed: bool) -> bool:
        assert c.shares is not None
        lever, along = c.moment_y / self.job.width, c.moment_x / self.xx
        for k, share in enumerate(c.shares):
            own = self.own * self.even[k] / 2.0
            net = {}
            for j in self.feet[k]:
                p, h = self.points[j], self.at[j]
                up = share * (c.up / 2.0 + (lever if p.y > 0.0 else -lever)) + along * p.x
                net[j] = max(q * max(up, 0.0) - own, 0.0)
                if h.way != "feet" and q * up > own + h.weight + h.vertical:
                    return False
            push = q * abs(c.push_y) * share
            if push <= 0.0:
                if any(self.at[j].way == "feet" and net[j] > self.at[j].axial for j in net):
                    return False
                continue
            wind, other = sorted(self.feet[k], key=lambda j: self.points[j].y * c.push_y)
            a, b = self.at[wind], self.at[other]
            ow, oo = abs(outward(self.points[wind])[1]), abs(outward(self.points[other])[1])
            pull = net[other] * oo / tan(b.angle) if b.angle is not None else 0.0
            stands = [(h.rubs_own, own) for h in (a, b)] + [(h.rubs, h.weight) for h in (a, b)]
            grip = rubs(stands, q * max(share * c.up, 0.0))
            alone = grip >= push + pull
            helped = self.adds * max(grip, 0.0)
            if a.angle is not None:
                if not alone and not rubbed and a.pull * cos(a.angle) * ow + helped < push + pull:
                    return False
            elif a.way == "bags" and b.way != "feet" and not alone:
                return False
            staked = [j for j in (wind, other) if self.at[j].way == "feet"]
            for j in staked:
                h = self.at[j]
                if push / 2.0 / h.lateral + net[j] / h.axial > 1.0:
                    return False
                left = max(push - helped, 0.0) / len(staked) / h.lateral + net[j] / h.axial
                if not alone and not rubbed and left > 1.0:
                    return False
        return True
