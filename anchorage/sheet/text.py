"""A Plan as lines of text of at most 72 columns, no colour. Everything is in the Plan; nothing is computed here."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from anchorage.result import CheckOut, Plan, PointOut
from anchorage.sheet import WIDE, columns, cut, inert, table, wrap
from anchorage.units import show

VERDICTS = {"go": "GO", "no-go": "NO-GO", "unknown": "CANNOT SAY"}
LEVELS = {"normal": "NORMAL", "secure": "SECURE", "people-out": "PEOPLE OUT", "keep-away": "KEEP AWAY", "unknown": "CANNOT SAY"}  # fmt: skip
GROUPS = {
    "corner": ("corner", "corners"),
    "side": ("side point", "side points"),
    "end": ("end point", "end points"),
}
COMPASS = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")
SIDES = ("front", "front-right corner", "right side", "back-right corner", "back", "back-left corner", "left side", "front-left corner")  # fmt: skip
AMOUNTS = {"N": "force", "N*m": "moment", "Pa": "pressure"}
INNER = 24
"""Columns between the sides of the drawing."""
SKETCH = 60
"""Columns of the drawing at most."""


@dataclass(frozen=True)
class Around:
    """What is not in the Plan: where the front faces and the wind comes from (degrees true), what to do at SECURE."""

    heading: float | None = None
    wind_from: float | None = None
    actions: tuple[str, ...] = ()


def rule(title: str, char: str = "-") -> str:
    """A line across with a title in it."""
    return f"{char * 2} {title} ".ljust(WIDE, char)


def bullets(texts: Sequence[str]) -> list[str]:
    """One item a text."""
    return [line for text in texts for line in wrap(text, "- ")]


def plural(unit: str, count: int) -> str:
    """Name of a unit in words: water-barrel, 2 -> water barrels."""
    word = inert(unit).replace("-", " ")
    return word if count == 1 else word + "s"


def compass(bearing: float) -> str:
    """Name of the nearest of sixteen bearings."""
    return COMPASS[round(bearing / 22.5) % 16]


class _Page:
    """One Plan being written."""

    def __init__(self, plan: Plan, around: Around) -> None:
        self.plan, self.around, self.system = plan, around, plan.show_units
        self.stakes = plan.anchorage.kind == "stakes"
        self.unit = "stake" if self.stakes else plan.anchorage.unit

    def limit(self, gust: float | None) -> str:
        """A gust that something takes, rounded down."""
        return "no limit found" if gust is None else show("speed", gust, self.system, rounding="down")

    def gust(self) -> str:
        """The gust that was judged, rounded up."""
        return show("speed", self.plan.wind.gust_m_s, self.system, rounding="up")

    def count(self, p: PointOut) -> int:
        return p.stakes if self.stakes else p.units

    @property
    def total(self) -> int:
        total = self.plan.anchorage.total
        return total.stakes if self.stakes else total.units

    # 1 and 2: the verdict and why

    def verdict(self) -> list[str]:
        p = self.plan
        lines = ["=" * WIDE, *wrap(p.headline), "=" * WIDE, *wrap(p.name, "For: ")]
        rows = [(f"  to {k}:", VERDICTS[v]) for k, v in p.subjects.items() if k != p.subject]
        return [*lines, *table([*rows, ("  weakest figure used:", p.provenance.weakest)], "ll")]

    def share(self) -> str:
        """``32 of 40 mph, 80 %: PEOPLE OUT``."""
        p = self.plan
        if p.limit.gust_m_s is None or p.levels.share is None:
            return f"Gust {self.gust()}: {LEVELS[p.levels.level]}"
        number, limit = self.gust().split(" ")[0], self.limit(p.limit.gust_m_s)
        return (
            f"Gust {number} of {limit}, {math.floor(p.levels.share * 100 + 1e-7)} %: {LEVELS[p.levels.level]}"
        )

    def why(self) -> list[str]:
        lines = ["", rule("WHY"), *self.over()]
        lines += bullets([r.text for r in self.plan.reasons if not r.code.endswith("-exceeded")])
        if not any(r.code.startswith("level-") for r in self.plan.reasons):
            lines += bullets([self.share() + "."])
        if self.plan.levels.level == "secure" and self.around.actions:
            lines += ["  SECURE means:", *(x for a in self.around.actions for x in wrap(a, "  - "))]
        return lines

    def over(self) -> list[str]:
        """What is over its limit: the worst in its own sentence, the others by name."""
        first = [r.text for r in self.plan.reasons if r.code.endswith("-exceeded")]
        failed = sorted(
            (c for c in self.plan.checks if not c.ok),
            key=lambda c: -math.inf if c.ratio is None else -c.ratio,
        )
        if len(first) < 2 or not failed:
            return bullets(first)
        worst = failed[0]
        own = [t for t in first if t.lower().startswith(f"{worst.name} ({worst.where})".lower())]
        if not own:
            return bullets(first)
        others = ", ".join(
            f"{c.name} {'' if c.holds_to_m_s is None else self.limit(c.holds_to_m_s)}".strip()
            for c in failed[1:]
        )
        return bullets([own[0], f"Also over: {others}."])

    # 3: what to place where

    def spread(self) -> list[str]:
        """``12 at each of 12 points = 144 bags``, by groups of equal counts."""
        points = self.plan.anchorage.points
        if len({self.count(p) for p in points}) == 1:
            parts = [f"{self.count(points[0])} at each of {len(points)} points"]
        else:
            groups = Counter((p.group, self.count(p)) for p in points)
            parts = [
                f"{n} at each of {many} {GROUPS[g][1]}" if many > 1 else f"{n} at 1 {GROUPS[g][0]}"
                for (g, n), many in groups.items()
            ]
        return wrap(f"{', '.join(parts)} = {self.total} {plural(self.unit, self.total)}")

    def place(self) -> list[str]:
        p, a = self.plan, self.plan.anchorage
        lines = ["", rule("WHAT TO PLACE WHERE" if a.sized else "WHAT STANDS WHERE")]
        if any(r.code == "cannot-be-held" for r in p.reasons):
            lines += ["Nothing to place: no number of them holds this."]
        elif self.total == 0:
            lines += [
                "Nothing is placed." if not a.sized else "Nothing is needed beyond the shelter's own weight."
            ]
        else:
            lines += self.spread()
        if self.total and not self.stakes:
            each, mass = (
                show("mass", m, self.system, rounding="up") for m in (a.unit_mass_kg, a.total.mass_kg)
            )
            lines += [f"{mass} in all, {each} each."]
        return [*lines, "", *self.sketch(), "", *self.points(), "", *self.needs()]

    def points(self) -> list[str]:
        head = ("id", "place", "wind pulls up", "wind pushes", plural(self.unit, 2))
        rows = [
            (p.id, GROUPS[p.group][0], self.force(p.uplift_n), self.force(p.sliding_n), str(self.count(p)))
            for p in self.plan.anchorage.points
        ]
        return table([(*head[:4], cut(head[4], 20)), *rows], "llrrr")

    def force(self, newtons: float) -> str:
        return show("force", newtons, self.system, rounding="up")

    def needs(self) -> list[str]:
        out = []
        for a in self.plan.alternatives:
            if a.total is None:
                out.append(f"To {a.subject}: no number of {plural(self.unit, 2)} is enough.")
                continue
            same = len(set(a.units_by_group.values())) == 1
            by = ", ".join(
                f"{n} at each {'point' if same else GROUPS[g][0]}"
                for g, n in [*a.units_by_group.items()][: 1 if same else None]
            )
            out.append(f"To {a.subject}: {a.total}" + (f" ({by})" if a.total else ""))
        return [f"What gusts of {self.gust()} ask for:", *bullets(out)]

    def sketch(self) -> list[str]:
        """The shelter from above, front at the top, with the counts at the points."""
        side = {s: [p for p in self.plan.anchorage.points if p.id[0] == s] for s in "LRFB"}
        left = [self.label(p) for p in side["L"]]
        right = [self.label(p) for p in side["R"]]
        lead, tail = max(map(columns, left)), max(map(columns, right))
        inner = min(INNER if len(side["F"]) < 3 else 40, SKETCH - lead - tail - 20)
        marks = ["wind->", "<-wind"]
        edge = {s: self.edge(side[s], inner) for s in "FB"}
        body, last = list[str](), len(left) - 1
        at = self.wind_row(last)
        for k, (a, b) in enumerate(zip(left, right, strict=True)):
            end = "F" if k == 0 else "B" if k == last else ""
            middle = edge[end][0] if end else " " * inner
            before, after = (marks[i] if at == (k, i) else "      " for i in (0, 1))
            body.append(f"{before} {a.rjust(lead)} o{middle}o {b.ljust(tail)} {after}".rstrip())
            if k < last and last < 8:
                body.append(f"{' ' * (lead + 8)}|{' ' * inner}|")
        where = " " * (lead + 8)
        faces = (
            ""
            if self.around.heading is None
            else f", faces {round(self.around.heading)} deg ({compass(self.around.heading)})"
        )
        out = [f"{where} {('front' + faces).center(inner)}".rstrip()]
        if at == (-1, 0):
            out.insert(0, f"{where} {'wind'.center(inner)}".rstrip())
        out += (
            [f"{where} {x}".rstrip() for x in edge["F"][1:]]
            + body
            + [f"{where} {x}".rstrip() for x in edge["B"][1:]]
        )
        out += [f"{where} {'back'.center(inner)}".rstrip()]
        if at == (last + 1, 0):
            out.append(f"{where} {'wind'.center(inner)}".rstrip())
        return [*out, *self.wind_words()]

    def label(self, p: PointOut) -> str:
        return f"{p.id} {self.count(p):>2}"

    def edge(self, points: Sequence[PointOut], inner: int) -> tuple[str, ...]:
        """An end of the drawing with its points, and their labels where they fit, else in words."""
        line, labels = ["-"] * inner, [" "] * inner
        step = (inner + 1) / (len(points) + 1)
        fits = all(len(self.label(p)) + 1 <= step for p in points)
        for k, p in enumerate(points):
            at = round(step * (k + 1)) - 1
            line[min(at, inner - 1)] = "o"
            text = self.label(p)
            start = max(at - len(text) // 2, 0)
            if fits:
                labels[start : start + len(text)] = text
        if points and not fits:
            counts = Counter(self.count(p) for p in points)
            words = ", ".join(
                f"{n} each" if len(counts) == 1 else f"{many} with {n}" for n, many in counts.items()
            )
            return "".join(line), f"{points[0].id} to {points[-1].id}: {words}"
        return ("".join(line), "".join(labels)) if points else ("".join(line),)

    def wind_side(self) -> int | None:
        """Which of eight sides the wind comes at, clockwise from the front."""
        a = self.around
        if a.heading is None or a.wind_from is None:
            return None
        return round(((a.wind_from - a.heading) % 360.0) / 45.0) % 8

    def wind_row(self, last: int) -> tuple[int, int] | None:
        """Row and side (0 left, 1 right) of the wind's arrow; -1 above, last + 1 below."""
        k = self.wind_side()
        if k is None:
            return None
        return {0: (-1, 0), 1: (0, 1), 2: ((last + 1) // 2, 1), 3: (last, 1), 4: (last + 1, 0), 5: (last, 0),
                6: ((last + 1) // 2, 0), 7: (0, 0)}[k]  # fmt: skip

    def wind_words(self) -> list[str]:
        a, k = self.around, self.wind_side()
        if a.wind_from is not None and k is not None:
            text = f"Wind from {round(a.wind_from)} deg ({compass(a.wind_from)}), at the {SIDES[k]}; up to 45 deg to either side counts."
            return wrap(text, wide=SKETCH)
        return ["Wind from any side counts."]

    # 4: gusts

    def gusts(self) -> list[str]:
        p, lim = self.plan, self.plan.limit
        lines = ["", rule("GUSTS (3 s, at 33 ft)" if self.system == "us" else "GUSTS (3 s, at 10 m)")]
        only = " (anchorage only)" if lim.anchorage_only else ""
        by_anchorage = lim.gust_m_s == lim.anchorage_gust_m_s
        lines += wrap(f"Holds to {self.limit(lim.gust_m_s)}{only}. " + ("Gives first" if by_anchorage else "Set by") + f": {lim.governed_by}{f', {lim.where}' if by_anchorage else ''}.", "", "  ")  # fmt: skip
        if not by_anchorage:
            lines += wrap(f"The anchorage alone holds to {self.limit(lim.anchorage_gust_m_s)}. Gives first: {lim.anchorage_governed_by}, {lim.where}.", "", "  ")  # fmt: skip
        if lim.anchorage_only:
            lines += wrap("What the frame itself takes is not known: ask the maker.", "", "  ")
        if lim.secured_gust_m_s is not None:
            lines += [f"With every opening shut it holds to {self.limit(lim.secured_gust_m_s)}."]
        return [*lines, "", *self.levels(), *self.bearings()]

    def levels(self) -> list[str]:
        v = self.plan.levels
        if v.secure_m_s is None:
            return []
        rows = [("Set up only below", v.secure_m_s), ("SECURE from", v.secure_m_s), ("PEOPLE OUT from", v.people_out_m_s), ("KEEP AWAY from", v.keep_away_m_s)]  # fmt: skip
        return table([(name, self.limit(gust), self.just_under(gust)) for name, gust in rows], "lrl")

    def just_under(self, gust: float | None) -> str:
        """A remark where rounding makes the judged gust look as if it had reached a level that it has not."""
        judged = self.plan.wind.gust_m_s
        if gust is None or judged >= gust * (1 - 1e-9) or self.limit(gust) != self.gust():
            return ""
        return f"({show('speed', gust, self.system, rounding='down', digits=2)}: the gust judged is just under it)"

    def bearings(self) -> list[str]:
        found = [(compass(b.bearing), self.limit(b.gust_m_s)) for b in self.plan.limit.by_bearing]
        if not found:
            return []
        if len({gust for _, gust in found}) == 1:
            return ["", f"Wind from every side: {found[0][1]}."]
        down = math.ceil(len(found) / 4)
        rows = [
            [c for k in range(4) if r + k * down < len(found) for c in found[r + k * down]]
            for r in range(down)
        ]
        lines = table(rows, "rr" * 4, "   ")
        return ["", "Holds to, by where the wind comes from (true north):", *(f"  {line}" for line in lines)]

    # 5 and 6: straps, snow, stock, conditions, assumptions, advice

    def straps_snow(self) -> list[str]:
        p = self.plan
        lines = [
            "",
            rule("STRAPS AND SNOW"),
            *wrap(f"Sidewall straps: {p.straps.decision}. {p.straps.reason}", "", "  "),
        ]
        s = p.snow
        load = show(
            "pressure", s.roof_load_pa, self.system, rounding="up", digits=1 if self.system == "us" else None
        )
        if not s.roof_load_pa:
            lines += ["Snow: none on the roof."]
        elif s.limit_pa is None:
            lines += wrap(
                f"Snow: {load} on the roof. CANNOT SAY: the maker's snow rating is missing.", "", "  "
            )
        else:
            top = show("pressure", s.limit_pa, self.system, rounding="down")
            lines += wrap(f"Snow: {load} on the roof of {top} that the maker gives" + (". Clear it." if s.ratio is None or s.ratio > 1 else "."), "", "  ")  # fmt: skip
        return lines

    def stock(self) -> list[str]:
        if not self.plan.stock:
            return []
        lines = ["", rule("BROUGHT")]
        for s in self.plan.stock:
            sized = self.plan.anchorage.sized
            rest = (
                f"{s.short} SHORT"
                if s.short
                else f"{s.brought - s.needed} {'left over' if sized else 'not placed'}"
            )
            lines += wrap(
                f"{s.item}: {s.needed} {'needed' if sized else 'placed'}, {s.brought} brought, {rest}.",
                "",
                "  ",
            )
            asked = next((a for a in self.plan.alternatives if a.subject == self.plan.subject), None)
            if not sized and asked is not None and asked.total is not None:
                lines += [f"To {asked.subject} in this gust asks for {asked.total}."]
            if s.short and s.holds_with_stock_m_s is not None:
                lines += wrap(
                    f"With only what was brought, spread alike, it holds to {self.limit(s.holds_with_stock_m_s)}.",
                    "  ",
                )
        return lines

    def listed(self, title: str, texts: Sequence[str]) -> list[str]:
        return ["", rule(title), *bullets(texts)] if texts else []

    # 7: for the engineer

    def engineer(self) -> list[str]:
        p, w, a = self.plan, self.plan.wind, self.plan.anchorage
        speed, q = show("speed", w.gust_m_s, self.system, digits=1), show("pressure", w.velocity_pressure_pa, self.system, digits=2 if self.system == "us" else 1)  # fmt: skip
        lines = ["", rule("FOR THE ENGINEER")]
        lines += wrap(f"Wind: {w.as_typed} as typed; 3 s gust at 10 m {speed}, service level. Method {w.method}, exposure {w.exposure}, air {show('density', w.density_kg_m3, self.system)}: q = {q}.", "", "  ")  # fmt: skip
        factors = ", ".join(f"{k} {v:g}" for k, v in p.margins.items() if isinstance(v, int | float))
        lines += wrap(f"Margins {p.margins.get('set', '')}: {factors}.", "", "  ")
        unit = f"one {plural(self.unit, 1)}"
        what = f"{unit} {self.force(a.unit_strength_n)} ultimate along its line" if self.stakes else f"{unit} {show('mass', a.unit_mass_kg, self.system)}"  # fmt: skip
        lines += wrap(f"What holds: {what}; friction {a.friction:g}.", "", "  ")
        d = p.demand
        lines += wrap(f"Wind, unfactored, largest of all cases: up {self.force(d.uplift_n)}, push {self.force(d.sliding_n)}, overturning {show('moment', d.overturning_n_m, self.system, rounding='up')}. Governing case: {d.case}.", "", "  ")  # fmt: skip
        lines += ["", *self.checks()]
        weak = f": {', '.join(p.provenance.weak)}" if p.provenance.weak else ""
        return [*lines, "", *wrap(f"Weakest provenance: {p.provenance.weakest}{weak}.", "", "  ")]

    def checks(self) -> list[str]:
        rows = [("check", "where", "load", "holds to")]
        rows += [(cut(c.name, 26), cut(c.where, 20), self.load(c), "-" if c.holds_to_m_s is None else self.limit(c.holds_to_m_s)) for c in self.plan.checks]  # fmt: skip
        lines = table(rows, "llrr")
        out = lines[:1]
        for line, c in zip(lines[1:], self.plan.checks, strict=True):
            out += [line, *wrap(f"{self.amounts(c)}; {c.case}", "    ")]
        return out

    def load(self, c: CheckOut) -> str:
        text = "no hold" if c.ratio is None else f"{c.ratio * 100:.1f} %"
        return text if c.ok else f"OVER {text}"

    def amounts(self, c: CheckOut) -> str:
        if c.unit not in AMOUNTS:
            gusts = (math.sqrt(c.demand), math.sqrt(c.capacity))
            return " of ".join(show("speed", g, self.system, digits=1) for g in gusts)
        kind = AMOUNTS[c.unit]
        return f"{'q ' if kind == 'pressure' else ''}{self.amount(kind, c.demand)} of {self.amount(kind, c.capacity)}"

    def amount(self, kind: str, value: float) -> str:
        return show(
            kind, value, self.system, digits=2 if kind == "pressure" and self.system == "us" else None
        )

    def cautions(self) -> list[str]:
        texts = [f"{c.text} [{c.source}]" for c in self.plan.cautions]
        return ["", rule("CAUTIONS, always"), *bullets(texts)]


def check_lines(plan: Plan, around: Around = Around()) -> list[str]:
    """Everything of a Plan, for a person: the verdict first, the cautions and the verdict again last."""
    page = _Page(plan, around)
    lines = [*page.verdict(), *page.why(), *page.place(), *page.gusts(), *page.straps_snow(), *page.stock()]
    lines += page.listed("ONLY IF", plan.conditions)
    lines += page.listed("TAKEN AS TRUE: correct what is wrong", plan.assumptions)
    lines += page.listed("WHAT WOULD HELP", plan.advice)
    lines += [*page.engineer(), *page.cautions(), "", "=" * WIDE, *wrap(plan.headline), "=" * WIDE]
    return [inert(line) for line in lines]


def limit_lines(plan: Plan) -> list[str]:
    """Only the gusts: what it takes and when to act."""
    page = _Page(plan, Around())
    placed = page.spread() if page.total else ["Nothing is placed."]
    lines = [*wrap(plan.headline), *wrap(plan.name, "For: "), *placed, f"{page.share()}.", *page.gusts(), ""]
    return [
        inert(line)
        for line in [*lines, "What to place where, conditions and cautions:  anchorage check FILE"]
    ]
