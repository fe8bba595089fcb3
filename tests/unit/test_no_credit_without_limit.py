"""Nothing that is typed is credited without a limit, and no count is a go that nobody can place."""

import json
import re

import pytest

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.holding.hardware import STACK_UNUSUAL
from anchorage.holding.usual import MASS_UNUSUAL, TYPED_UNUSUAL
from anchorage.judging.plan import make_plan

ASPHALT, CLAY = demo_text("asphalt"), demo_text("clay")
BARE = "\n".join(
    x for x in CLAY.splitlines() if not x.startswith(("pull_tests", "pull_angle", "tested", "pulled"))
)


@pytest.fixture
def check(tmp_path, capsys):
    """The JSON of the command as it is typed."""

    def run(text):
        path = tmp_path / "site.toml"
        path.write_text(text, encoding="utf-8")
        main(["check", str(path), "--json"])
        return json.loads(capsys.readouterr().out)

    return run


def judged(text):
    """The same without what else is asked, for the many."""
    return json.loads(make_plan(read_text(text), deep=False).model_dump_json())


def codes(plan):
    return {r["code"] for r in plan["reasons"]}


def placed(n, *lines, **other):
    text = re.sub(
        r"(?m)^size_for = .*$", "\n".join((f"placed = {n}", 'size_for = "people-in"', *lines)), ASPHALT
    )
    text = text.replace("units = 100", "units = 9000").replace("sandbags = 100", "sandbags = 9000")
    for key, value in other.items():
        text = re.sub(rf'(?m)^{key} = "[^"]*"', f'{key} = "{value}"', text)
    return text


# --- how many can be at a point


@pytest.mark.parametrize(
    ("lines", "unit", "how", "most"),
    [
        ((), "sandbag", "standing-tied", 24),
        ((), "sandbag", "hung-clear", 12),
        (('unit_material = "woven"',), "plate", "standing-tied", 23),  # 434 kg of 40 lb
        (('unit_material = "woven"',), "plate", "on-foot", 11),  # 217 kg
    ],
)
def test_forty_at_each_foot_are_no_go_whatever_they_are_and_however_they_stand(check, lines, unit, how, most):
    at = {"unit": unit, "how": how}
    plan = check(placed(40, *lines, **at))
    assert (plan["verdict"], set(plan["subjects"].values())) == ("no-go", {"no-go"})
    assert "does-not-do" in codes(plan)
    assert {n["most"] for n in plan["does_not_do"]} == {most}
    assert check(placed(most, *lines, **at))["does_not_do"] == []


@pytest.mark.parametrize(
    ("mass", "most"), [("1 lb", 16), ("12 kg", 16), ("20 kg", 10), ("300 kg", 1), ("3000 kg", 1)]
)
def test_units_of_no_list_are_as_many_as_weigh_what_listed_ones_do(mass, most):
    """Twelve bags of 18.1 kg are 217.2 kg, and no listed pile has more than 16 pieces."""
    plan = make_plan(
        read_text(placed(40, 'unit_material = "concrete"', unit="own", unit_mass=mass, how="on-foot"))
    )
    assert {n.most for n in plan.does_not_do} == {most}


@pytest.mark.parametrize(
    ("stack", "most", "asked"), [(4, 4, False), (24, 24, False), (25, 24, True), (40, 24, True)]
)
def test_a_stack_that_is_said_goes_before_the_table_up_to_what_is_believed(stack, most, asked):
    plan = judged(placed(40, f"stack = {stack}", how="on-foot"))
    assert {n["most"] for n in plan["does_not_do"]} == {most}
    assert (STACK_UNUSUAL in codes(plan)) == asked


def test_what_is_on_a_line_and_what_is_driven_has_a_most_too():
    line = CLAY.replace('kind = "stakes"', 'kind = "line-ballast"\nunit = "water-barrel"\nline_angle = 30')
    line = line[: line.index("[anchorage.stake]")] + line[line.index("[halfway]") :]
    assert [n.most for n in make_plan(read_text(line.replace("placed = 1 ", "placed = 5 "))).does_not_do] == [
        4
    ]
    assert not make_plan(read_text(line.replace("placed = 1 ", "placed = 4 "))).does_not_do
    assert [
        n.most for n in make_plan(read_text(CLAY.replace("placed = 1 ", "placed = 40 "))).does_not_do
    ] == [8]


def test_every_listed_unit_has_a_most_for_every_way_to_stand():
    units = set(tables.table("ballast-mass").keys())
    for table in ("stacking", "stacking-tied", "stacking-line"):
        assert set(tables.table(table).keys()) == units, table


# --- figures of what holds


@pytest.mark.parametrize(
    ("key", "typed", "fits"),
    [
        ("line_rated", "100 kN", "20 kN"),
        ("attachment_rated", "10000 lbf", "3000 lbf"),
        ("diameter", "4 in", "2 in"),
        ("driven", "8 ft", "5 ft"),
    ],
)
def test_a_strength_that_nothing_of_the_kind_has_is_asked_about(key, typed, fits):
    text = CLAY.replace("placed = 1 ", "placed = 4 ").replace('speed = "40 mph"', 'speed = "15 mph"')
    over, usual = (judged(re.sub(rf'(?m)^{key} = "[^"]*"', f'{key} = "{v}"', text)) for v in (typed, fits))
    assert TYPED_UNUSUAL in codes(over) - codes(usual)
    assert "go" not in over["subjects"].values()


def test_more_points_along_a_wall_than_a_frame_has_legs_are_asked_about():
    many = re.sub(r"(?m)^points_per_side = \d+", "points_per_side = 12", ASPHALT)
    plan = judged(many)
    assert "points-close" in codes(plan)
    assert "go" not in plan["subjects"].values()
    assert "points-close" not in codes(judged(ASPHALT))


@pytest.mark.parametrize(("key", "mass"), [("mass", "2400 lb"), ("unit_mass", "400 lb")])
def test_weighed_is_no_leave_for_a_digit_more(key, mass):
    text = re.sub(rf'(?m)^{key} = "[^"]*"', f'{key} = "{mass}"', ASPHALT)
    plan = judged(text.replace("[deployment]", "[deployment]\nweighed = true"))
    assert MASS_UNUSUAL in codes(plan)
    assert "go" not in plan["subjects"].values()


# --- thin and warm air


def held(**keys):
    text = ASPHALT.replace("[deployment]", "[deployment]\nmixed_units = true")
    for key, value in keys.items():
        text = re.sub(rf'(?m)^{key} = "[^"]*".*$', "", text)
        text = text.replace("[site]", f'[site]\n{key} = "{value}"', 1)
    return judged(text)["wind"]["velocity_pressure_pa"]


@pytest.mark.parametrize(
    ("key", "credited", "more"),
    [
        ("elevation", "6000 ft", "6000 m"),
        ("temperature", "15 degC", "55 degC"),
        ("pressure", "812 hPa", "451 hPa"),
    ],
)
def test_thin_and_warm_air_is_credited_up_to_a_point(key, credited, more):
    """Published factors for elevation end at 6,000 ft, where the standard atmosphere has 812 hPa; its air is 15 °C at the sea."""
    most, over = held(**{key: credited}), held(**{key: more})
    assert over == pytest.approx(most, rel=1e-3)
    assert over < held(**{key: {"elevation": "0 ft", "temperature": "0 degC", "pressure": "1013 hPa"}[key]})


@pytest.mark.parametrize(
    ("key", "typed"), [("elevation", "8000 m"), ("temperature", "60 degC"), ("pressure", "30 kPa")]
)
def test_air_that_is_nowhere_is_refused_by_its_key(tmp_path, capsys, key, typed):
    path = tmp_path / "site.toml"
    text = re.sub(rf'(?m)^{key} = "[^"]*".*$', "", ASPHALT)
    path.write_text(text.replace("[site]", f'[site]\n{key} = "{typed}"', 1), encoding="utf-8")
    assert main(["check", str(path)]) == 2
    err = capsys.readouterr().err
    assert f"site.{key}" in err
    assert typed in err


# --- a test that is refused is as good as none


PULL = '\n[[test]]\nkind = "pull"\nplace = "{p}"\nstate = "wet"\nangle = 45\nmovement = "1 in"\nforce = ["{f} N"]\n'


def gust(text):
    return judged(text)["limit"]["anchorage_gust_m_s"]


def test_three_pulls_that_are_not_believed_leave_what_theory_gives(check):
    soft = BARE.replace('"stiff-clay"', '"thumb-firm"')
    none = check(soft)
    for f in (50_000, 200_000):
        for n in (1, 3):
            slip = judged(soft + "".join(PULL.format(p=p, f=f) for p in "ABCDE"[:n]))
            assert slip["limit"] == none["limit"], (f, n)
            assert "test-beyond-belief" in codes(slip)
    few = soft + PULL.format(p="A", f=200)  # one that is truly lower takes away by itself
    assert gust(few) < none["limit"]["anchorage_gust_m_s"]
    mixed = few + PULL.format(p="B", f=200_000)
    assert gust(mixed) == gust(few)


@pytest.mark.parametrize("kind", ["drag", "weigh", "vane"])
def test_other_tests_that_are_not_believed_leave_the_row_too(kind):
    typed = {
        "drag": 'what = "foot"\ncontact = "ground"\nstate = "wet"\nload = "400 lbf"\nforce = ["{} lbf"]',
        "weigh": 'force = ["{} lb"]',
        "vane": 'force = ["{} psf"]',
    }[kind]
    over, low = {"drag": (4000, 40), "weigh": (400, 20), "vane": (90000, 100)}[kind]
    text = BARE if kind == "vane" else re.sub(r"(?m)^size_for = .*$", "placed = 10", ASPHALT)

    def with_(value):
        each = "".join(f'\n[[test]]\nkind = "{kind}"\nplace = "{p}"\n{typed.format(value)}\n' for p in "ABC")
        return gust(text + each)

    assert with_(over) == gust(text)
    assert with_(low) < gust(text)


# --- times that nobody takes


@pytest.mark.parametrize("key", ["setup", "strike"])
@pytest.mark.parametrize(("typed", "code"), [("0 min", 2), ("30 s", 2), ("5 min", 0)])
def test_a_shelter_is_not_up_or_down_at_once(tmp_path, capsys, key, typed, code):
    """TAKE DOWN BY was the minute of the gust, and down that minute."""
    path = tmp_path / "site.toml"
    text = re.sub(rf"(?m)^{key} = .*$", "", ASPHALT).replace("[times]", f'[times]\n{key} = "{typed}"')
    path.write_text(text, encoding="utf-8")
    assert main(["check", str(path)]) == code
    err = capsys.readouterr().err
    assert (f"times.{key}: read {typed}; 5 min or more" in err) == bool(code), err


def test_snow_that_a_core_spreads_over_a_square_metre_is_asked_about():
    snow = '\n[snow]\ncore = { mass = "0.3 kg", area = "%s" }\n'
    over, usual = (judged(ASPHALT + snow % area) for area in ("1 m2", "0.01 m2"))
    assert TYPED_UNUSUAL in codes(over) - codes(usual)
