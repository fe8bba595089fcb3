"""A go that is none: what must be done before, what ends it later in the same file, and what cannot be as it is typed."""

import json
import re

import pytest
from snow_files import winter_text

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan

LINES = demo_text("clay").replace('speed = "40 mph"', 'speed = "15 mph"')
MARKED = 'utilities = "marked"'


@pytest.mark.parametrize("said", ['utilities = "not marked"', ""])
def test_what_is_buried_is_marked_before_anything_is_go(said, tmp_path, capsys):
    """Was: GO ONLY AFTER, exit 0, and a fleet that showed go."""
    (tmp_path / "a.toml").write_text(LINES.replace(MARKED, said), encoding="utf-8")
    assert main(["check", str(tmp_path / "a.toml"), "--json"]) == 3
    plan = json.loads(capsys.readouterr().out)
    assert plan["verdict"] == "unknown"
    assert "utilities-open" in [r["code"] for r in plan["reasons"]]
    assert "go" not in plan["subjects"].values()
    assert main(["fleet", str(tmp_path)]) != 0
    assert "GO " not in capsys.readouterr().out.replace("NO-GO", "").replace("CANNOT SAY", "")


def test_marked_they_ask_nothing():
    plan = make_plan(read_text(LINES))
    assert MARKED in LINES
    assert "utilities-open" not in [r.code for r in plan.reasons]


@pytest.mark.parametrize(("use", "least"), [("working", 0.6), ("people-in", 0.8)])
def test_snow_that_falls_ends_the_go_in_the_verdict_itself(use, least):
    """The depth that the roof takes over the rate: nothing lies, it is go until the level at which this use ends."""
    file = {"anchorage__size_for": use, "snow": {"falling": {"water": "1 mm"}}, "wind__speed": "5 mph"}
    plan = make_plan(read_text(winter_text(**file)))
    assert plan.verdict == "go", plan.headline
    hours = least * plan.snow.limit_pa / 9.80665  # 1 kg/m2 in an hour
    h, m = divmod(int(hours * 60), 60)
    assert f"GO FOR {h} h {m} min AT MOST" in plan.headline or f"GO FOR {h} h AT MOST" in plan.headline
    still = make_plan(read_text(winter_text(**{**file, "snow": {"depth": "0 in"}})))
    assert "AT MOST" not in still.headline


def in_soil(surface: str, soil: str):
    """Pulls that any of these soils may give: in a weak one those of the demo would be slips, and its stakes earn nothing."""
    text = LINES.replace('["620 lbf", "700 lbf", "655 lbf"]', '["120 lbf", "130 lbf", "125 lbf"]').replace(
        'surface = "clay"', f'surface = "{surface}"'
    )
    return make_plan(read_text(re.sub(r'soil = "[^"]*"', f'soil = "{soil}"', text)))


@pytest.mark.parametrize(
    ("surface", "soil"), [("sand", "hard-clay"), ("clay", "dense-sand"), ("sand", "thumb-hard")]
)
def test_a_soil_that_cannot_be_under_its_surface_is_asked_about_and_the_less_counts(surface, soil):
    """Was: bare sand with stakes in hard clay held 35 mph and was go."""
    plan = in_soil(surface, soil)
    assert "soil-and-surface" in [r.code for r in plan.reasons]
    assert plan.verdict != "go"
    other = "loose-sand" if surface == "sand" else "very-soft-clay"
    assert plan.limit.gust_m_s <= in_soil(surface, other).limit.gust_m_s * (1 + 1e-9)
    assert plan.limit.gust_m_s <= in_soil("grass", soil).limit.gust_m_s * (1 + 1e-9)


def test_every_surface_that_takes_stakes_says_what_can_be_under_it():
    takes = {r.key for r in tables.table("surface").rows if r.value}
    assert {r.key for r in tables.table("surface-soil").rows} == takes
    kinds = set(tables.table("soil-strength").keys()), set(tables.table("soil-friction-angle").keys())
    assert kinds[0] | kinds[1] == set(tables.table("soil-unit-weight").keys())
    assert not kinds[0] & kinds[1]
    for surface in takes - {"sand", "clay"}:
        for soil in ("hard-clay", "dense-sand"):
            assert "soil-and-surface" not in [r.code for r in in_soil(surface, soil).reasons]


BAGS = demo_text("asphalt").replace("units = 100", "units = 400")


@pytest.mark.parametrize(
    ("key", "mass", "unit"),
    [("mass", "700 lb", None), ("unit_mass", "100 lb", "sandbag"), ("unit_mass", "4194 lb", "water-tote")],
)
def test_a_mass_that_is_more_than_usual_is_asked_about_until_it_was_weighed(key, mass, unit):
    """Was: a shelter of 24,000 lb, a bag of 200 and a tote of 4,194 went in without a question; these are twice the usual at most."""
    text = re.sub(rf'(?m)^{key} = "[^"]*"', f'{key} = "{mass}"', BAGS)
    if unit is not None:
        text = re.sub(r'(?m)^unit = "[^"]*"', f'unit = "{unit}"', text)
    plan = make_plan(read_text(text))
    assert "mass-unusual" in [r.code for r in plan.reasons]
    assert "go" not in plan.subjects.values()
    sure = make_plan(read_text(text.replace("[deployment]", "[deployment]\nweighed = true")))
    assert "mass-unusual" not in [r.code for r in sure.reasons]
    assert "mass-unusual" not in [r.code for r in make_plan(read_text(BAGS)).reasons]


def test_every_listed_unit_has_a_mass_that_is_usual():
    usual = tables.table("usual-most").by_key
    units = tables.table("ballast-mass").by_key
    assert set(usual) == {*units, "shelter", "other"}
    assert all((u.value if u.high is None else u.high) <= usual[k].value for k, u in units.items())
