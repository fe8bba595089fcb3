"""Stakes and blocks on lines, in the second reckoning: who takes the push, what the lee lines add, the q that fills each.

Nothing of the package is used here. A line pulls straight away from its wall, at a corner halfway between two; those that face the push
have it between them, with what the lee lines pull on top; frame by frame the windward foot has it all.
"""

from __future__ import annotations

from math import cos, inf, radians, sin, sqrt, tan
from typing import TYPE_CHECKING

from tests.second_figures import KNOT, Point
from tests.second_loads import Case

if TYPE_CHECKING:
    from tests.second_reckoning import Reckoning


def over(resistance: float, asked: float) -> float:
    """The q at which what is asked per q is what there is; none where nothing is asked."""
    return max(resistance, 0.0) / asked if asked > 0.0 else inf


def outward(p: Point, plan: dict[str, float] | None = None) -> tuple[float, float]:
    """Where a line from a point runs: square to its side, at 45 degrees from a corner, or as the plan has it, clockwise from the front."""
    if plan and p.name in plan:
        return cos(radians(plan[p.name])), -sin(radians(plan[p.name]))
    sx, sy = (1.0 if p.x > 0.0 else -1.0), (1.0 if p.y > 0.0 else -1.0)
    return {"corner": (sx * sqrt(0.5), sy * sqrt(0.5)), "side": (0.0, sy), "end": (sx, 0.0)}[p.group]


class Lines:
    """Stakes on lines: square to their side, at 45 degrees from the corners; who faces the push takes it."""

    def __init__(self, r: Reckoning, counts: dict[str, int], angle: float) -> None:
        self.r, self.counts, self.angle = r, counts, angle
        self.out = [outward(p, r.job.line_plan) for p in r.points]
        self.holds = [counts[p.name] * r.pull for p in r.points]
        self.foot = {(p.frame, p.y > 0.0): k for k, p in enumerate(r.standing)}
        self.place = [k for k, p in enumerate(r.points) if p.frame is not None]

    def reach(self) -> dict[str, float]:
        """The q of the checks of lines: what holds them, and the lines themselves where they are rated."""
        r = self.r
        out = {"slide": inf}
        kind = "stake" if r.job.stake else "deadman" if r.job.deadman else "block"
        every = {kind: self.holds}
        if r.job.line_rated is not None:
            rated = r.job.line_rated * KNOT * r.gamma / r.g_line
            every["line"] = [rated if h > 0.0 else 0.0 for h in self.holds]
        for name, strength in every.items():
            out |= self.upward(name, strength)
            out |= {f"{name}: push": inf, f"{name}: push of its frame": inf}
        for i, c in enumerate(r.cases):
            facing, lee, supply, tilts, toward = self.sides(i, c)
            if c.push <= 0.0:
                continue
            falls = r.downhill(0)
            grip = max(0.0, r.mu * r.own * r.flat - falls)
            rubbed = meet(r.gamma * (c.push + r.mu * max(c.up, 0.0)), lee, grip)
            all_pull = sum(self.holds[k] * cos(self.angle) * t for k, t in zip(facing, toward, strict=True))
            out["slide"] = min(out["slide"], max(meet(r.gamma * c.push, lee, all_pull - falls), rubbed))
            for name, strength in every.items():
                each = [strength[k] * supply / t for k, t in zip(facing, tilts, strict=True) if t > 0.0]
                if each:
                    at = f"{name}: push"
                    out[at] = min(out[at], meet(r.gamma * c.push, lee, min(each) - falls))
                at = f"{name}: push of its frame"
                out[at] = min(out[at], self.frames(i, c, strength))
        return out

    def upward(self, name: str, strength: list[float]) -> dict[str, float]:
        """Uplift of each point by weight and line, both models."""
        r, vertical = self.r, sin(self.angle)
        whole = frame = inf
        for k, p in enumerate(r.points):
            stays = r.own_at(p, by_frame=False) + strength[k] * vertical
            whole = min(whole, over(stays, r.gamma * max(row[k][0] for row in r.rigid)))
        for k, p in enumerate(r.standing):
            stays = r.own_at(p, by_frame=True) + strength[self.place[k]] * vertical
            frame = min(frame, over(stays, r.gamma * max((row[k][0] for row in r.feet if row), default=0.0)))
        return {f"{name}: uplift": whole, f"{name}: uplift of its frame": frame}

    def sides(
        self, i: int, c: Case
    ) -> tuple[list[int], list[tuple[float, float, float]], float, list[float], list[float]]:
        """Lines that face the push, (uplift per q, weight, what it adds) of those in the lee, supply, tilts, cosines."""
        r, g = self.r, self.r.gamma
        if c.push <= 0.0:
            return [], [], 0.0, [], []
        toward = [-(c.push_x * ox + c.push_y * oy) / c.push for ox, oy in self.out]
        facing = [k for k, t in enumerate(toward) if t > 1e-9 and self.holds[k] > 0.0]
        lee = [
            (g * max(r.rigid[i][k][0], 0.0), r.own_at(p, by_frame=False), -toward[k] / tan(self.angle))
            for k, p in enumerate(r.points)
            if toward[k] < -1e-9 and self.holds[k] > 0.0
        ]
        supply = sum(cos(self.angle) * toward[k] for k in facing)
        # all facing lines pull alike; a push off the middle tilts that in a straight line along the face
        wx, wy = c.wind
        place = [abs(wy) * r.points[k].x + abs(wx) * r.points[k].y for k in facing]
        middle = sum(place) / max(len(place), 1)
        spread = sum((s - middle) ** 2 for s in place)
        tilts = [
            max(0.0, 1.0 + (c.arm * (s - middle) * len(place) / spread if spread > 1e-12 else 0.0))
            for s in place
        ]
        return facing, lee, supply, tilts, [toward[k] for k in facing]

    def needed(self, q: float) -> list[float]:
        """Pull that each line must hold at q, every line standing."""
        r, g, up_of, along = self.r, self.r.gamma, sin(self.angle), cos(self.angle)
        out = []
        for k, p in enumerate(r.points):
            out.append(
                max(0.0, g * q * max(row[k][0] for row in r.rigid) - r.own_at(p, by_frame=False)) / up_of
            )
        for j, p in enumerate(r.standing):
            net = g * q * max((row[j][0] for row in r.feet if row), default=0.0) - r.own_at(p, by_frame=True)
            out[self.place[j]] = max(out[self.place[j]], net / up_of)
        for i, c in enumerate(r.cases):
            facing, lee, supply, tilts, _ = self.sides(i, c)
            push = g * c.push * q + sum(max(u * q - own, 0.0) * adds for u, own, adds in lee) + r.downhill(0)
            for k, tilt in zip(facing, tilts, strict=True):
                out[k] = max(out[k], tilt * push / supply)
            for j, lee_foot, outward, back in self.windward_feet(c):
                assert c.shares is not None
                net = g * q * max(r.feet[i][lee_foot][0], 0.0) - r.own_at(r.standing[lee_foot], by_frame=True)
                share = c.shares[r.standing[j].frame or 0]
                push = g * q * abs(c.push_y) * share + r.dead_at(r.standing[j], by_frame=True) * 2.0 * r.steep
                pull = (push + max(net, 0.0) * back / tan(self.angle)) / (along * outward)
                out[self.place[j]] = max(out[self.place[j]], pull)
        return out

    def windward_feet(self, c: Case) -> list[tuple[int, int, float, float]]:
        """Of each frame the windward foot, the other, and how far the line of either runs across the shelter."""
        if c.shares is None or not c.push_y:
            return []
        left = c.push_y < 0.0
        feet = [(self.foot[k, left], self.foot[k, not left]) for k in range(len(c.shares))]
        return [(a, b, *(abs(self.out[self.place[k]][1]) for k in (a, b))) for a, b in feet]

    def frames(self, i: int, c: Case, strength: list[float]) -> float:
        """One case frame by frame: all of the push on the windward foot, what the lee line pulls added."""
        r, g, least = self.r, self.r.gamma, inf
        for a, b, outward, back in self.windward_feet(c):
            assert c.shares is not None
            up_lee = g * max(r.feet[i][b][0], 0.0) if self.holds[self.place[b]] > 0.0 else 0.0
            lee = [(up_lee, r.own_at(r.standing[b], by_frame=True), back / tan(self.angle))]
            hold = strength[self.place[a]]
            if self.holds[self.place[a]] > 0.0:
                share = c.shares[r.standing[a].frame or 0]
                falls = r.dead_at(r.standing[a], by_frame=True) * 2.0 * r.steep
                least = min(
                    least, meet(g * abs(c.push_y) * share, lee, hold * cos(self.angle) * outward - falls)
                )
        return least


def meet(push: float, lee: list[tuple[float, float, float]], target: float) -> float:
    """The q at which push q + sum of (up q - own)+ times what it adds is the target: straight between its breaks."""
    if target <= 0.0:
        return 0.0
    slope, fixed, reached = push, 0.0, inf if push <= 0.0 else target / push
    for start, up, own, adds in sorted((own / up, up, own, adds) for up, own, adds in lee if up > 0.0):
        if reached <= start:
            return reached
        slope += up * adds
        fixed += own * adds
        reached = max((target + fixed) / slope, 0.0)
    return reached
