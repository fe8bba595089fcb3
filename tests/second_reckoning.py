"""From a gust to bags and stakes, reckoned a second time: by hand, in plain floats, from the published formulas.

Nothing of the package is used here; ``tests/validation/test_second_reckoning.py`` compares the two. What the wind asks per unit of
velocity pressure is in ``tests/second_loads.py``, what a unit holds in ``tests/second_figures.py``; here the two meet: the
base as one on equal springs and frame by frame, lift, slide, overturning, stakes, lines, and the least counts.
"""

from __future__ import annotations

from collections.abc import Callable
from math import atan2, ceil, cos, degrees, gcd, hypot, inf, radians, sin

from tests.second_figures import (
    GRAVITY,
    GUST_EFFECT,
    KZ_OF,
    LEAST_ROOF,
    LEAST_WALL,
    LEVEL,
    MARGINS,
    MOST,
    Job,
    Point,
    friction_of,
    kz,
    mass_of,
    points_of,
    pressure_of,
    pull_of_block,
    pull_of_deadman,
    stake_worth,
)  # fmt: skip
from tests.second_forms import loads_of, shelter_of
from tests.second_lines import Lines, outward, over
from tests.second_loads import FACES, Case, strip_shares
from tests.second_snow import are_locked, lifted_by_straps, sways


class Reckoning:
    """The whole of one job, kept so that counts can be tried."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.shelter = shelter_of(job)
        code, h = KZ_OF.get(job.method, ""), self.shelter.height

        def higher(z: float) -> float:
            return kz(code, job.exposure, z) / kz(code, job.exposure, h)

        loads = loads_of(job, self.shelter, GUST_EFFECT[job.method], higher)
        self.cases = loads.cases
        if job.heading is not None and job.wind_from is not None:
            self.cases = [c for c in self.cases if _within(c, job.wind_from - job.heading)]
        self.points = points_of(job)
        self.strapped = lifted_by_straps(job, loads.outer, self.points)
        self.sways = sways(job, loads.outer) if job.straps is not None else {}
        self.q = pressure_of(job, self.shelter.height)
        self.gamma, k_shelter, self.k_ballast, self.phi, self.psi, self.g_line = MARGINS[job.margins]
        self.own = k_shelter * job.mass * GRAVITY
        self.dead = job.mass * GRAVITY
        self.flat, self.steep = cos(radians(job.slope)), sin(radians(job.slope))
        self.mu_own, self.mu = (self.phi * mu for mu in friction_of(job))
        self.robbed = (
            min(self.mu_own, self.mu) / self.mu
        )  # of the own weight, where uplift is counted at the ballast's figure
        self.even = strip_shares(job.length, job.per_side)
        self._hold()
        self._share()
        self.most_up = max(c.up for c in self.cases)
        self.most_push = max(c.push for c in self.cases)
        self.most_tip = [max(self._tipping(c, edge) for c in self.cases) for edge in self._edges()]

    def _hold(self) -> None:
        """What one unit holds: weight, or a stake's push and pull-out, or its pull along a line; margins in all."""
        job = self.job
        self.weight = self.load = self.lateral = self.axial = self.pull = 0.0
        self.angle: float | None = None
        if job.on_frame:
            self.load = mass_of(job) * GRAVITY
            self.unit_up = self.weight = self.k_ballast * self.load
            return
        if job.deadman is not None:
            self.angle = radians(job.block_angle or 0.0)
            self.pull = self.psi * pull_of_deadman(job, self.angle)
        elif job.stake is None:
            self.angle = radians(job.block_angle or 0.0)
            self.pull = pull_of_block(job, self.angle, self.k_ballast, self.phi)
        else:
            lateral, _, along = stake_worth(job)
            if job.stake[3] is None:
                self.lateral, self.axial = self.psi * lateral, self.psi * along
                self.unit_up = self.axial
                return
            self.angle = radians(job.stake[3])
            self.pull = self.psi * along
        self.unit_up = self.pull * sin(self.angle)

    def _share(self) -> None:
        """What each case asks of each point: the base as one on equal springs, and frame by frame."""
        job, n = self.job, len(self.points)
        xx, yy = sum(p.x**2 for p in self.points), sum(p.y**2 for p in self.points)
        polar = xx + yy  # the points lie alike to both sides, so their middle is the origin
        self.rigid: list[list[tuple[float, float]]] = []
        self.feet: list[list[tuple[float, float]]] = []
        self.frame: list[list[tuple[float, float]]] = []
        places = [(p.x, p.y) for p in self.points]
        for c in self.cases:
            level, bx, by = c.up / n, c.moment_x / xx, c.moment_y / yy
            hx, hy, turn = c.push_x / n, c.push_y / n, c.twist / polar
            if self.lateral:
                row = [(level + bx * x + by * y, hypot(hx - turn * y, hy + turn * x)) for x, y in places]
            else:  # nobody asks for the push of a point
                row = [(level + bx * x + by * y, 0.0) for x, y in places]
            row = [(u + self.strapped[p.name][1], h) for (u, h), p in zip(row, self.points, strict=True)]
            self.rigid.append(row)
            if c.shares is None:
                self.feet.append([])
                self.frame.append([])
                continue
            push, lever = abs(c.push_y), c.moment_y / job.width
            self.frame.append([(c.up * s, push * s) for s in c.shares])
            row = []
            for p in self.points:
                if p.frame is not None:
                    s = c.shares[p.frame]
                    foot = s * (c.up / 2.0 + (lever if p.y > 0.0 else -lever)) + bx * p.x
                    row.append((foot + self.strapped[p.name][1], s * push / 2.0))
            self.feet.append(row)
        self.standing = [p for p in self.points if p.frame is not None]

    def _edges(self) -> list[tuple[float, float, float]]:
        """Direction of each base edge and its distance from the middle."""
        half_l, half_w = self.job.length / 2.0, self.job.width / 2.0
        return [(1.0, 0.0, half_l), (-1.0, 0.0, half_l), (0.0, 1.0, half_w), (0.0, -1.0, half_w)]

    @staticmethod
    def _tipping(c: Case, edge: tuple[float, float, float]) -> float:
        """Moment of the wind about an edge, uplift in it."""
        dx, dy, far = edge
        return c.up * far - (c.moment_x * dx + c.moment_y * dy)

    def own_at(self, p: Point, by_frame: bool) -> float:
        """The shelter's weight that holds a point down."""
        own = (
            self.own * self.even[p.frame] / 2.0
            if by_frame and p.frame is not None
            else self.own / len(self.points)
        )
        return own - self.gamma * self.strapped[p.name][0]

    def reach(self, counts: dict[str, int]) -> dict[str, float]:
        """The q at which each check is just met, for so many units at each point."""
        g, total = self.gamma, sum(counts.values())
        out = {"lift": over(self.own + total * self.unit_up, g * self.most_up), "overturn": inf}
        for (dx, dy, far), most in zip(self._edges(), self.most_tip, strict=True):
            stays = self.own * far + sum(
                counts[p.name] * self.unit_up * (far - p.x * dx - p.y * dy) for p in self.points
            )
            out["overturn"] = min(out["overturn"], over(stays, g * most))
        out |= self._straps()
        if self.job.on_frame or not total:
            return out | (self._bags(counts) if all(counts.values()) else self._few(counts))
        return out | (self._feet(counts) if self.angle is None else Lines(self, counts, self.angle).reach())

    def _straps(self) -> dict[str, float]:
        """The q at which locked straps are full."""
        t, out = self.job.straps, {}
        if t is None or not are_locked(self.job):
            return {}
        for name, s in self.sways.items():
            if s.pulling:
                full = t.rated * s.pulling * cos(radians(t.angle))
                times = (
                    s.amplifier if t.stiffness is not None and t.slack is not None else 1.0
                )  # where it is not known a limit is the least
                left = full / times - max(1.0, self.g_line) * s.still
                out[f"straps {name} the ridge"] = 0.0 if s.folds else over(left, self.g_line * s.wind)
        return out

    def code_least(self) -> list[tuple[float, float, tuple[float, float, float], tuple[float, float]]]:
        """Least push and its moment on each face, factored, the edge it tips over, the direction it comes from."""
        if not self.job.code_minimum or self.job.method in ("physics", "en1991"):
            return []
        out = []
        for (name, (dx, dy)), edge in zip(
            FACES.items(), (self._edges()[k] for k in (1, 0, 3, 2)), strict=True
        ):
            wall, wall_z, roof, roof_z = self.shelter.faces(name)
            push, tip = (
                wall * LEAST_WALL + roof * LEAST_ROOF,
                wall * LEAST_WALL * wall_z + roof * LEAST_ROOF * roof_z,
            )
            out.append((self.gamma * push, self.gamma * tip, edge, (dx, dy)))
        return out

    def facing_pull(self, p: Point, wind: tuple[float, float]) -> float:
        """What a unit at a point pulls against a push from a direction."""
        if self.angle is None:
            return self.lateral
        ox, oy = outward(p, self.job.line_plan)
        return self.pull * cos(self.angle) * max(0.0, ox * wind[0] + oy * wind[1])

    def fixed(self, counts: dict[str, int]) -> dict[str, float]:
        """Ratios of what does not grow with the wind."""
        out: dict[str, float] = {}
        total = sum(counts.values())
        rub = (self.mu_own * self.own + self.mu * total * self.weight) * self.flat
        for least, tip, (dx, dy, far), wind in self.code_least():
            push = least + self.downhill(total)
            stays = self.own * far + sum(
                counts[p.name] * self.unit_up * (far - p.x * dx - p.y * dy) for p in self.points
            )
            holds = max(rub, sum(counts[p.name] * self.facing_pull(p, wind) for p in self.points))
            for name, asked, there in (("slide", push, holds), ("overturn", tip, stays)):
                out[f"code minimum: {name}"] = max(out.get(f"code minimum: {name}", 0.0), asked / there)
        return out

    def downhill(self, total: int) -> float:
        """What pulls the shelter and the ballast on it down the slope; weight is no help there and has no margin."""
        return (self.dead + total * self.load) * self.steep

    def slide(self, total: int) -> float:
        """On friction alone, q (H + mu U+) = mu W, or in any case on stakes alone, q H = what they hold sideways."""
        stands = [(self.mu_own, self.own * self.flat), (self.mu, total * self.weight * self.flat)]
        falls = self.downhill(total)
        side = max(0.0, total * self.lateral - self.downhill(total))
        g = self.gamma
        return min(
            max(
                slides(stands, falls, g * c.push, g * max(c.up, 0.0)),
                over(side, g * c.push) if c.push else inf,
            )
            for c in self.cases
        )

    def _bags(self, counts: dict[str, int]) -> dict[str, float]:
        g, names = self.gamma, ("slide", "lift at a point", "lift of a frame foot", "slide of a frame")
        out = dict.fromkeys(names, inf)
        out["slide"] = self.slide(sum(counts.values()))
        for k, p in enumerate(self.points):
            stays = self.own_at(p, by_frame=False) + counts[p.name] * self.weight
            out[names[1]] = min(out[names[1]], over(stays, g * max(row[k][0] for row in self.rigid)))
        for k, p in enumerate(self.standing):
            stays = self.own_at(p, by_frame=True) + counts[p.name] * self.weight
            out[names[2]] = min(
                out[names[2]], over(stays, g * max((row[k][0] for row in self.feet if row), default=0.0))
            )
        for k in range(len(self.even)):
            bags = sum(counts[p.name] for p in self.standing if p.frame == k)
            out[names[3]] = min(out[names[3]], self._frame_slides(k, bags))
        return out

    def _frame_slides(self, k: int, bags: int) -> float:
        """One frame on its own two feet."""
        share, g = self.even[k], self.gamma
        falls = (self.dead * share + bags * self.load) * self.steep
        stands = [(self.mu_own, self.own * share * self.flat), (self.mu, bags * self.weight * self.flat)]
        loads = [row[k] for row in self.frame if row and row[k][1] > 0.0]
        return min((slides(stands, falls, g * h, g * max(u, 0.0)) for u, h in loads), default=inf)

    def next_to(self, a: Point, b: Point) -> bool:
        """Whether two points are neighbours on a side, or on an end that has points between its corners."""
        if a.y == b.y and a.frame is not None and b.frame is not None:
            return abs(a.frame - b.frame) == 1
        ends = sorted((p for p in self.points if abs(p.x - a.x) < 1e-9), key=lambda p: p.y)
        if abs(a.x - b.x) > 1e-9 or len(ends) < 3 or abs(abs(a.x) - self.job.length / 2.0) > 1e-9:
            return False
        return abs(ends.index(a) - ends.index(b)) == 1

    def rigid_without(self, lost: list[Point]) -> list[dict[str, float]] | None:
        """Uplift at the points that are left, case by case: equal springs about their own middle; None where they are in line."""
        left = [p for p in self.points if p not in lost]
        n = len(left)
        if n < 3:
            return None
        mx, my = sum(p.x for p in left) / n, sum(p.y for p in left) / n
        xx = sum((p.x - mx) ** 2 for p in left)
        yy = sum((p.y - my) ** 2 for p in left)
        xy = sum((p.x - mx) * (p.y - my) for p in left)
        det = xx * yy - xy * xy
        if det < 1e-9 * max(xx, yy) ** 2:
            return None
        out = []
        for c in self.cases:
            tx, ty = c.moment_x - c.up * mx, c.moment_y - c.up * my
            bx, by = (tx * yy - ty * xy) / det, (ty * xx - tx * xy) / det
            out.append({p.name: c.up / n + bx * (p.x - mx) + by * (p.y - my) for p in left})
        return out

    def _few(self, counts: dict[str, int]) -> dict[str, float]:
        """Bags where some feet have none: every part of these feet lost, no two of them neighbours, and frame by frame what
        they are asked on the feet beside them; nothing spans two neighbours. The shelter's weight stays where it is.
        """
        g, names = self.gamma, ("slide", "lift at a point", "lift of a frame foot", "slide of a frame")
        out = dict.fromkeys(names, inf)
        out["slide"] = self.slide(sum(counts.values()))
        gone = [p for p in self.points if not counts[p.name]]
        sets: list[list[Point]] = [[]]
        for p in gone:
            sets += [[*s, p] for s in sets if not any(self.next_to(p, o) for o in s)]
        most = {p.name: max(row[k][0] for row in self.rigid) for k, p in enumerate(self.points)}
        spanned = not any(self.next_to(a, b) for a in gone for b in gone if a is not b)
        asked = dict(most)
        for lost in sets[1:]:
            rows = self.rigid_without(lost)
            if rows is None:
                spanned = spanned and len(lost) < len(gone)
                continue
            for name in rows[0]:
                asked[name] = max(asked[name], *(row[name] for row in rows))
        takes: dict[tuple[str, str], float] = {}
        for p in self.standing:
            if p in gone:
                near = [o for o in self.standing if o not in gone and o.y == p.y and self.next_to(o, p)]
                takes |= {(o.name, p.name): 1.0 / len(near) for o in near}

        def reach(p: Point, load: float, by_frame: bool) -> float:
            return over(self.own_at(p, by_frame) + counts[p.name] * self.weight, g * load)

        bare = {p.name: reach(p, most[p.name], by_frame=False) for p in gone}
        for p in self.points:
            if p not in gone:
                out[names[1]] = min(out[names[1]], reach(p, asked[p.name], by_frame=False))
        for k, p in enumerate(self.standing):
            rows_ = [row for row in self.feet if row]
            own = max((row[k][0] for row in rows_), default=0.0)
            if p in gone:
                bare[p.name] = min(bare[p.name], reach(p, own, by_frame=True))
                continue
            load = max(
                (
                    row[k][0]
                    + sum(
                        takes.get((p.name, o.name), 0.0) * max(row[j][0], 0.0)
                        for j, o in enumerate(self.standing)
                    )
                    for row in rows_
                ),
                default=0.0,
            )
            out[names[2]] = min(out[names[2]], reach(p, load, by_frame=True))
        for k, share in enumerate(self.even):
            feet = [p for p in self.standing if p.frame == k]
            bags = sum(counts[p.name] for p in feet)
            falls = (self.dead * share + bags * self.load) * self.steep
            stands = [(self.mu_own, self.own * share * self.flat), (self.mu, bags * self.weight * self.flat)]
            alone = inf
            for row in self.frame:
                if not row:
                    continue
                up = push = 0.0
                for p in feet:
                    for o in self.standing:
                        part = float(o is p) if o not in gone or not spanned else 0.0
                        part += takes.get((p.name, o.name), 0.0) if o in gone else 0.0
                        u = row[o.frame or 0][0] / 2.0
                        up += part * (max(u, 0.0) if o in gone else u)
                        push += part * row[o.frame or 0][1] / 2.0
                if push > 0.0:
                    out[names[3]] = min(out[names[3]], slides(stands, falls, g * push, g * max(up, 0.0)))
                if row[k][1] > 0.0:
                    alone = min(alone, slides(stands, falls, g * row[k][1], g * max(row[k][0], 0.0)))
            for p in feet:
                if p in gone:
                    bare[p.name] = min(bare[p.name], alone)
        if spanned:
            out["foot that holds nothing"] = min(bare.values())
        else:  # each stands for itself
            for p in self.points:
                if p in gone:
                    out[names[1]] = min(out[names[1]], reach(p, most[p.name], by_frame=False))
            for k, p in enumerate(self.standing):
                if p in gone:
                    own = max((row[k][0] for row in self.feet if row), default=0.0)
                    out[names[2]] = min(out[names[2]], reach(p, own, by_frame=True))
        return out

    def _feet(self, counts: dict[str, int]) -> dict[str, float]:
        total = sum(counts.values())
        out = {"slide": self.slide(total)}
        for name, rows, points in (
            ("stake", self.rigid, self.points),
            ("stake of a frame foot", self.feet, self.standing),
        ):
            out[name] = inf
            for k, p in enumerate(points):
                own = self.own_at(p, by_frame=rows is self.feet)
                left = (
                    counts[p.name] - self.dead_at(p, by_frame=rows is self.feet) * self.steep / self.lateral
                )
                asked = {row[k] for row in rows if row}
                out[name] = min(out[name], inf, *(self._stake_reach(own, left, *a) for a in asked))
        return out

    def dead_at(self, p: Point, by_frame: bool) -> float:
        """The shelter's weight at a point, as it is."""
        return (
            self.dead * self.even[p.frame] / 2.0
            if by_frame and p.frame is not None
            else self.dead / len(self.points)
        )

    def _stake_reach(self, own: float, count: float, up: float, push: float) -> float:
        """(g q u - own)+ / V + g q h / H = count, straight lines between breaks in q. count: less what holds the slope."""
        if count <= 0.0:
            return 0.0
        g = self.gamma
        alone = over(count * self.lateral, g * push)
        if up <= 0.0 or g * alone * up <= own:
            return alone
        return max(count + own / self.axial, 0.0) / (g * (up / self.axial + push / self.lateral))

    def least(self) -> list[dict[str, int]]:
        """The least counts by group that hold the gust for the use asked for; several where they are equally good.

        Counts are the same at mirrored points, so what the sums of weights and pulls must reach asks for a total alone.
        """
        job, g = self.job, self.gamma
        q = self.q / LEVEL[job.size_for] ** 2
        low = self._least_at_points(q)
        if not all(n < MOST for n in low.values()):
            return []
        total = max(
            over(g * q * self.most_up - self.own, self.unit_up),
            *(
                over(g * q * most - self.own * far, self.unit_up * far)
                for (_, _, far), most in zip(self._edges(), self.most_tip, strict=True)
            ),
        )
        if job.on_frame and job.slope:
            total = max(total, first(lambda n: self.slide(n) >= q * (1.0 - 1e-12)))
        elif job.on_frame:
            push = max(c.push + self.mu * max(c.up, 0.0) for c in self.cases)
            total = max(total, over(g * q * push / self.mu - self.robbed * self.own, self.weight))
        size = {k: sum(p.group == k for p in self.points) for k in low}
        asked = any(low.values()) or total > 1e-9
        pulls: list[
            tuple[str, float, float, float]
        ] = []  # (other group, its pull, the corners' pull, what both must reach)
        for least, tip, (_, _, far), wind in self.code_least():
            push = least + self.downhill(0)
            total = max(total, over(tip - self.own * far, self.unit_up * far))
            if job.on_frame:
                gains = self.mu * self.weight * self.flat - self.load * self.steep
                total = max(
                    total, over(push - self.mu_own * self.own * self.flat, gains) if gains > 0.0 else inf
                )
            elif (
                self.mu * self.own * self.flat >= push
            ):  # the shelter's own friction does it; else lines and stakes alone must
                continue
            elif self.angle is None:
                total = max(total, over(push, self.lateral))
            else:
                each = {k: sum(self.facing_pull(p, wind) for p in self.points if p.group == k) for k in low}
                other = [k for k in low if k != "corner" and each[k] > 0.0]
                if other:
                    pulls.append((other[0], each[other[0]], each["corner"], push))
                else:
                    low["corner"] = max(low["corner"], up(push / each["corner"]))
        if asked or pulls or up(total) or any(low.values()):  # no foot goes without: it would hold nothing
            low = {k: max(n, 1) for k, n in low.items()}
        return _fewest(up(total), low, size, pulls)

    def _least_at_points(self, q: float) -> dict[str, int]:
        low = dict.fromkeys(("corner", "side", "end"), 0)
        low = {k: 0 for k in low if any(p.group == k for p in self.points)}
        g = self.gamma

        def raise_to(p: Point, units: float) -> None:
            low[p.group] = max(low[p.group], up(units))

        if self.angle is not None:
            pulls = Lines(self, {p.name: 1 for p in self.points}, self.angle).needed(q)
            for p, pull in zip(self.points, pulls, strict=True):
                raise_to(p, pull / self.pull)
            return low
        for rows, points in ((self.rigid, self.points), (self.feet, self.standing)):
            for k, p in enumerate(points):
                own = self.own_at(p, by_frame=rows is self.feet)
                asked = [row[k] for row in rows if row]
                if not asked:  # wind along the ridge alone
                    continue
                if self.job.on_frame:
                    raise_to(p, (g * q * max(u for u, _ in asked) - own) / self.weight)
                else:
                    falls = self.dead_at(p, by_frame=rows is self.feet) * self.steep
                    units = (
                        (g * q * h + falls) / self.lateral + max(g * q * u - own, 0.0) / self.axial
                        for u, h in asked
                    )
                    raise_to(p, max(units))
        if self.job.on_frame:
            for k, share in enumerate(self.even):
                if self.job.slope:
                    for p in self.standing:
                        if p.frame == k:
                            raise_to(
                                p, first(lambda n, k=k: self._frame_slides(k, 2 * n) >= q * (1.0 - 1e-12))
                            )
                    continue
                push = max(
                    (h + self.mu * max(u, 0.0) for u, h in (row[k] for row in self.frame if row)), default=0.0
                )
                for p in self.standing:
                    if p.frame == k:
                        raise_to(
                            p, (g * q * push / self.mu - self.robbed * self.own * share) / self.weight / 2.0
                        )
        return low


def slides(stands: list[tuple[float, float]], falls: float, push: float, uplift: float) -> float:
    """The q at which friction is met. stands: friction and weight of each contact; falls: what pulls downhill; push, uplift: per q.

    Uplift takes from the grippiest contact first, down to the last newton that stands on it, and then from the next.
    """
    left, gone, q = sum(mu * n for mu, n in stands) - falls, 0.0, inf
    if push <= 0.0 and uplift <= 0.0:
        return inf
    if left <= 0.0:
        return 0.0
    for mu, n in sorted(stands, reverse=True):
        q = (left + mu * gone) / (push + mu * uplift)
        if q * uplift <= gone + n:
            return q
        left, gone = left - mu * n, gone + n
    return q


def first(enough: Callable[[int], bool]) -> float:
    """The least count that is enough, by halving; none up to the most that a point may have of everything."""
    low, high = 0, 64 * MOST
    if not enough(high):
        return inf
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return low


def up(units: float) -> int:
    """Whole units that are enough, what is met to a billionth counting as met."""
    return max(0, ceil(units - 1e-9)) if units < 10 * MOST else 10 * MOST


def _fewest(
    total: int, low: dict[str, int], size: dict[str, int], pulls: list[tuple[str, float, float, float]]
) -> list[dict[str, int]]:
    """Counts of the groups of least total, and of those the ones of smallest largest count; none where none is enough."""
    rest = [k for k in size if k != "corner"]

    def floor_of(corner: int) -> dict[str, int]:
        """Least of the other groups beside so many at each corner."""
        out = {k: low[k] for k in rest}
        for k, its, corners, asked in pulls:
            out[k] = max(out[k], up((asked - corners * corner) / its))
        return out

    floors: dict[int, dict[str, int]] = {}
    for c in range(low["corner"], MOST + 1):
        floors[c] = floor_of(c)
        if c > total // size["corner"] + sum(size.values()) and all(floors[c][k] == low[k] for k in rest):
            break  # more at the corners lets no other group have less
    least = min(
        (c * size["corner"] + sum(f[k] * size[k] for k in rest) for c, f in floors.items()), default=0
    )
    start = max(total, least)

    def ways(units: int, most: int) -> list[dict[str, int]]:
        """Every way to make a total with no count over the most."""
        out = []
        for c, f in floors.items():
            left = units - c * size["corner"]
            if c > most or any(n > most for n in f.values()) or not sum(f[k] * size[k] for k in rest) <= left:
                continue
            if left > most * sum(size[k] for k in rest):
                continue
            if len(rest) < 2:
                n, over_left = divmod(left, size[rest[0]]) if rest else (0, left)
                if over_left == 0 and n <= most:
                    out.append({"corner": c} | dict.fromkeys(rest, n))
                continue
            a, b = rest
            for n in range(
                max(f[a], -((most * size[b] - left) // size[a])),
                min(most, (left - f[b] * size[b]) // size[a]) + 1,
            ):
                m, over_left = divmod(left - n * size[a], size[b])
                if over_left == 0:
                    out.append({"corner": c, a: n, b: m})
        return out

    for units in range(start, start + 4 * sum(size.values())):
        few, step = units // sum(size.values()) - 1, 1
        while units % gcd(*size.values()) == 0 and few < MOST:
            if ways(units, min(few + step, MOST)):
                many = min(few + step, MOST)
                while many - few > 1:
                    middle = (few + many) // 2
                    few, many = (few, middle) if ways(units, middle) else (middle, many)
                return ways(units, many)
            few, step = few + step, 2 * step
    return []


def _within(c: Case, bearing: float) -> bool:
    """True for faces and corners within 45 degrees of a bearing, clockwise from the front."""
    own = degrees(atan2(-c.wind[1], c.wind[0]))
    return abs((own - bearing + 180.0) % 360.0 - 180.0) <= 45.0 + 1e-9
