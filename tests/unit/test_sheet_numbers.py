"""The paper against the Plan, number by number, read back from the PDF."""

import io
import re

import pypdf
import pytest

from anchorage.checks.whatif import changed
from anchorage.core.plain import without_keys
from anchorage.core.told import in_words
from anchorage.core.units import convert, show
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.holding import states
from anchorage.judging.card import SHOWN, card
from anchorage.judging.explain import for_the_sheet
from anchorage.judging.gusts import of_plan
from anchorage.judging.plan import assess, make_plan
from anchorage.loads.wind_trip import trip
from anchorage.paper.card_page import card_document
from anchorage.paper.content import Made, SheetIn
from anchorage.paper.html import html
from anchorage.paper.pdf import pdf
from anchorage.paper.sheet import sheet_document

MADE = Made("s.toml", "0" * 12, 1773165600)


def flat(text: str) -> str:
    return " ".join(text.split())


def pages(raw: bytes) -> str:
    return flat(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(raw)).pages))


@pytest.fixture(scope="module", params=[(n, u) for n in NAMES for u in ("us", "si")], ids="-".join)
def both(request):
    """A demo in a system of units: deployment, plan, text of the PDF and of the HTML."""
    name, system = request.param
    d = read_text(demo_text(name))
    d = changed(d, deployment={"show_units": system})
    plan = make_plan(d, deep=True)
    document = sheet_document(
        SheetIn(plan, d, MADE, None, tuple(for_the_sheet(assess(d, show=True)))), "letter"
    )
    page = re.sub(r"<style>.*?</style>", "", html(document), flags=re.DOTALL)
    plain = (
        re.sub(r"<[^>]+>", " ", page)
        .replace("&#x27;", "'")
        .replace("&quot;", '"')
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
    )
    return d, plan, pages(pdf(document)), flat(plain)


def down(plan, gust):
    """A gust of the plan: every one of a page has the decimals that it takes for gust and limit to say the level."""
    return show("speed", gust, plan.show_units, rounding="down", digits=of_plan(plan).digits)


def level_gusts(plan):
    """Where each level begins, as written: a mark takes more decimals where the judged gust would not stand clear of it."""
    at, exact = of_plan(plan), plan.levels.gusts
    for text, gust in zip((at.secure, at.people_out, at.keep_away), exact, strict=True):
        value, unit = text.split()
        digits = len(value.partition(".")[2])
        step = max(10.0**-digits, 0.5 if digits < 2 and unit == "m/s" else 0.0)
        assert 0 <= convert("speed", gust, unit) - float(value) < step + 1e-9, (text, gust)
    return {"SECURE from": at.secure, "PEOPLE OUT from": at.people_out, "KEEP AWAY from": at.keep_away}


def expected(d, plan) -> list[str]:
    """Everything of the Plan that the sheet must carry, as it is shown."""
    system, out = plan.show_units, [plan.headline, plan.name, d.deployment.name]
    out += [f"HOLDS TO {down(plan, plan.limit.gust_m_s)}"]
    out += level_gusts(plan).values()
    for p in plan.anchorage.points:
        out += [
            p.id,
            show("force", p.uplift_n, system, rounding="up"),
            show("force", p.sliding_n, system, rounding="up"),
        ]
        out += [f"{p.units + p.stakes} "]
    for c in plan.checks:
        out += [c.name, c.where, "no hold" if c.ratio is None else f"{c.ratio * 100:.1f} %"]
        if c.holds_to_m_s is not None:
            out.append(down(plan, c.holds_to_m_s))
    w = plan.wind
    out += [
        f"{w.velocity_pressure_pa:.1f} Pa",
        show("speed", w.gust_m_s, system, digits=1),
        w.method,
        w.as_typed,
        show("density", w.density_kg_m3, system),
    ]
    out += [
        show("force", plan.demand.uplift_n, system, rounding="up"),
        show("moment", plan.demand.overturning_n_m, system, rounding="up"),
        plan.demand.case,
    ]
    out += [
        plan.provenance.weakest,
        *plan.provenance.weak,
        *map(without_keys, in_words(plan.conditions)),
        *in_words(plan.assumptions),
        *in_words(plan.advice),
    ]
    out += [c.text for c in plan.cautions] + [c.source for c in plan.cautions]
    out += [f"{k} {v:g}" for k, v in plan.margins.items() if isinstance(v, float)]
    out += [plan.straps.reason, plan.straps.decision.upper()]
    if plan.limit.roof_snow_pa is not None:
        out += [show("length", v, system, rounding="down") for v in plan.limit.roof_snow_depth_m.values()]
    if plan.snow.roof_load_pa:
        out += [
            show(
                "pressure",
                plan.snow.roof_load_pa,
                system,
                rounding="up",
                digits=1 if system == "us" else None,
            ),
            *in_words(plan.snow.clearing),
        ]
    if plan.half_built is not None and plan.half_built.gust_m_s is not None:
        out.append(show("speed", plan.half_built.gust_m_s, plan.show_units, rounding="down"))
    if plan.lost_anchor is not None:
        out += [f"With {plan.lost_anchor.point} gone it holds to {down(plan, plan.lost_anchor.gust_m_s)}"]
    for s in plan.stock:
        out.append(f"{s.needed} {'needed' if plan.anchorage.sized else 'placed'}, {s.brought} brought")
    out += [
        down(plan, b.gust_m_s).split()[0]
        for b in plan.limit.by_bearing
        if b.gust_m_s is not None and b.bearing % 45 == 0
    ]
    return [flat(t) for t in out if t]


def test_the_pdf_carries_the_plan_number_by_number(both):
    d, plan, paper, _ = both
    squeezed = paper.replace(" ", "")
    missing = [t for t in expected(d, plan) if t.replace(" ", "") not in squeezed]
    assert missing == []
    assert len(expected(d, plan)) > 100


def test_the_html_carries_the_same(both):
    d, plan, _, page = both
    squeezed = page.replace(" ", "")
    assert [t for t in expected(d, plan) if t.replace(" ", "") not in squeezed] == []


def test_the_hand_held_readings_and_beaufort_stand_in_the_rows_of_their_levels(both):
    d, plan, paper, _ = both
    for (word, gust), exact in zip(level_gusts(plan).items(), plan.levels.gusts, strict=True):
        t = trip(d, exact)
        read = show("speed", t.reading, plan.show_units, rounding="down")
        row = f"{word} {gust} {read} {t.beaufort}"
        assert row.replace(" ", "") in paper.replace(" ", "")


def test_the_working_on_the_sheet_ends_in_the_limit_of_the_plan(both):
    _, plan, paper, _ = both
    found = re.search(r"found gust held = ([\d.]+) m/s, check: load at that gust = 1\.0000", paper)
    assert found is not None
    assert float(found[1]) == pytest.approx(plan.limit.anchorage_gust_m_s, rel=1e-3)


@pytest.mark.parametrize("name", ["asphalt", "clay", "winter"])
def test_each_cell_of_the_card_is_the_limit_of_that_installation(name):
    d = read_text(demo_text(name))
    found = card(d)
    row = found.rows[3]
    for state in SHOWN:
        for shut, cells in ((True, row.shut), (False, row.open)):
            there = states.everywhere(
                d, state
            )  # a column is that state, whatever the thermometer of the file says
            one = changed(there, anchorage={"placed": row.units}, wind={"bearing": d.wind.bearing})
            if shut:
                one = one.model_copy(
                    update={"door": [x.model_copy(update={"state": "closed"}) for x in one.door]}
                )
            elif one.door:
                one = one.model_copy(
                    update={"door": [x.model_copy(update={"state": "open"}) for x in one.door]}
                )
            else:
                one = changed(
                    one, shelter={"openings": one.shelter.openings.model_copy(update={"front": 1.0})}
                )
            assert cells[state].gust == pytest.approx(make_plan(one).limit.gust_m_s, rel=1e-9)
    paper = pages(pdf(card_document(found, SheetIn(make_plan(d), d, MADE), "letter")))
    plan = make_plan(d)
    for r in found.rows:
        cells = [*r.shut.values(), *r.open.values()]
        words = " ".join(
            show("speed", c.gust, plan.show_units, rounding="down").split()[0] + ("*" if c.by_rating else "")
            for c in cells
        )
        assert f"{r.units} {r.units * found.points} {words}".replace(" ", "") in paper.replace(" ", "")


def test_more_units_never_take_less_and_wet_ice_and_open_doors_never_more():
    for name in NAMES:
        rows = card(read_text(demo_text(name))).rows
        for cells in ("shut", "open"):
            for state in SHOWN:
                gusts = [getattr(r, cells)[state].gust for r in rows if getattr(r, cells)[state] is not None]
                assert gusts == sorted(gusts)
        for r in rows:
            for cells in (r.shut, r.open):
                known = [c.gust for c in (cells["dry"], cells["wet"]) if c is not None]
                assert known == sorted(known, reverse=True)
