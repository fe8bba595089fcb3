"""Snow that lies, that falls by who is there and that is forecast are one load and one depth, in every command; water on the roof is a load too."""

import json

import pytest
from region_kit import grid, region
from snow_files import winter

from anchorage.cli.entry import main
from anchorage.core.told import in_words
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.outlook.hours import Hour
from anchorage.outlook.snowfall import Roof, accumulate

NOW = "2026-03-10T12:30:00Z"
INCH = 0.0254
PEOPLE = (
    demo_text("asphalt")
    .replace('size_for = "working"', 'size_for = "people-in"')
    .replace("\n[stock]\nsandbags = 100\n", "")
    .replace("[anchorage]", "[anchorage]\nplaced = 14", 1)
    .replace('"4 psf"', '"8 psf"')
)
RULE = '\n[policy]\nsnow_depth = "6 in"\n'
"""A rule of 6 in: from 60 % of it nobody new goes in, from 80 % everybody is out."""
LIES = '\n[snow]\ndepth = "2 in"\nkind = "new"\n'
FALLS = '\n[snow]\nfalling = { depth = "1 in", kind = "new" }\n'
HEADS = "time,gust (mph),snow (in),water (mm),temperature (degF),thunder (%)\n"


@pytest.fixture
def do(tmp_path, capsys):
    """A file's text, hours (gust, snow in, water mm) from noon on, commands -> exit code and JSON of each."""

    def call(text, *, snow=0.0, water=0.0, at=15, hours=14, **commands):
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        path, table = folder / "site.toml", folder / "table.csv"
        path.write_text(text, encoding="utf-8")
        rows = [
            f"2026-03-{10 + h // 24}T{h % 24:02d}:00Z,10,{snow if h == at else 0},{water if h == at else 0},26,0"
            for h in range(12, 12 + hours)
        ]
        table.write_text("# issued 2026-03-10T12:00:00Z\n" + HEADS + "\n".join(rows) + "\n", encoding="utf-8")
        weather = ["--forecast", str(table), "--now", NOW, "--zone", "UTC"]
        assert main(["log", str(path), "setup", "--who", "A. Lee", "--now", NOW]) == 0
        capsys.readouterr()
        out = {}
        for command in ("outlook", "now", "fleet"):
            target = folder if command == "fleet" else path
            code = main([command, str(target), *weather, "--json"])
            text_, err = capsys.readouterr()
            assert code in (0, 1, 3), (command, err)
            out[command] = (code, json.loads(text_))
        return out

    return call


def peak(found):
    return max(
        found["outlook"][1]["hours"], key=lambda h: ("normal", "secure", "people-out").index(h["known_level"])
    )


def test_what_lies_and_what_falls_are_one_depth_in_outlook_now_and_fleet(do):
    """2 in lie and 3 in come, against a rule of 6 in: 5 of 6 in empties it (a rule of 4 in with 3.5 and 2 was GO, without a deadline)."""
    dry = do(PEOPLE + LIES + RULE)
    assert dry["outlook"][1]["deadlines"]["people_out_by"] is None
    bare = do(PEOPLE + RULE, snow=6.0, at=12)
    assert bare["outlook"][1]["deadlines"]["people_out_by"] is None
    both = do(PEOPLE + LIES + RULE, snow=6.0, at=12)  # half of it after 12:30
    assert {c: code for c, (code, _) in both.items()} == {"outlook": 1, "now": 1, "fleet": 1}
    assert peak(both)["governed_by"] == "snow depth"
    assert both["outlook"][1]["deadlines"]["people_out_by"] is not None


def test_a_forecast_in_water_reaches_a_rule_in_depth(do):
    """8 mm of water at 26 degF are 8 cm of new snow (100 kg/m3, tables/snow-density), 3.1 in on the 2 in that lie."""
    assert peak(do(PEOPLE + LIES + RULE, water=8.0))["governed_by"] == "snow depth"


def test_what_lies_and_what_falls_are_one_depth_in_a_region():
    import numpy as np

    calm, snow = np.full((24, 2, 3), 3.0), np.zeros((24, 2, 3))
    snow[5, 0, :] = 3 * INCH
    cold = np.full((24, 2, 3), 270.0)
    _, found = region(
        grid(gust=calm, snow=snow, temperature=cold), read_text(PEOPLE + LIES + RULE), use="people-in"
    )
    assert found["known_level"].values.tolist() == [[2, 2, 2], [0, 0, 0]]
    assert np.isfinite(found["people_out_by"].values[0]).all()


def test_what_lies_counts_against_a_rule_in_depth_in_a_region_without_amounts():
    import numpy as np

    text = PEOPLE + LIES.replace("2 in", "5 in") + RULE
    _, found = region(grid(gust=np.full((24, 2, 3), 3.0)), read_text(text), use="people-in")
    assert (found["known_level"].values == 2).all()


def test_falling_counts_in_outlook_and_region_as_it_does_in_check(do):
    """1 in an hour of new snow is 2.54 mm of water: 24.9 Pa. 8 psf is 383 Pa, of which 80 % are reached in the thirteenth hour."""
    import numpy as np

    check = make_plan(read_text(PEOPLE + FALLS)).snow.filling
    out = next(f for f in check if f.text.startswith("people out"))
    assert out.hours == pytest.approx(0.8 * 8 * 47.88026 / (100 * INCH * 9.80665))
    found = do(PEOPLE + FALLS, hours=20)["outlook"][1]
    first = next(h for h in found["hours"] if h["known_level"] == "people-out")
    assert first["governed_by"] == "roof snow"
    assert first["start"] == "2026-03-11T00:00:00Z"  # 12:30 and 12.3 h are 00:49
    assert any("nobody says when it ends" in a for a in found["assumptions"])
    _, cells = region(
        grid(hours=24, gust=np.full((24, 2, 3), 3.0)), read_text(PEOPLE + FALLS), use="people-in"
    )
    assert np.isfinite(cells["people_out_by"].values).all()


def test_falling_takes_the_more_of_what_is_said_and_what_is_forecast():
    hour = Hour(0, 3600, complete=True, temperature=-1.0)
    falls = Roof(falling_water=0.002 / 3600, falling_depth=0.02 / 3600)
    from dataclasses import replace

    for water, most in ((0.0, 2.0), (1.5, 2.0), (3.0, 3.0)):
        (found,) = accumulate([replace(hour, water=water)], falls)
        assert found.pascal == pytest.approx(most * 9.80665)
    (rain,) = accumulate([replace(hour, water=3.0, temperature=5.0)], falls)
    assert rain.pascal >= 2.0 * 9.80665  # rain is not the snow that falls: that comes too


def test_check_says_by_when_a_roof_that_is_snowed_on_is_cleared():
    cold = PEOPLE.replace('state = "wet"', 'state = "snow"').replace(
        "45 degF", "20 degF"
    )  # no slush underfoot
    plan = make_plan(read_text(cold + FALLS))
    assert plan.verdict == "go"
    assert (
        "Snow falls: the roof is cleared, both sides together, within 12 h 18 min, or people are out by then."
        in in_words(plan.conditions)
    )


@pytest.mark.parametrize(
    "rating", [{"gust_locked": "55 mph"}, {"gust_locked": "55 mph", "roof_snow_locked": "9 psf"}]
)
def test_clearing_times_take_the_nearer_of_rating_and_rule(rating):
    """A rule of 3 psf is nearer than 9 psf, and stands alone where the maker gives nothing. 3 in of new snow are 1.56 psf."""
    s = {"depth": "3 in", "kind": "new", "falling": {"water": "5 mm"}}
    snow = make_plan(winter(snow=s, policy={"snow_load": "3 psf"}, shelter__rating=rating)).snow
    left = 0.8 * 3 * 47.88026 - 3 * INCH * 100 * 9.80665
    assert snow.filling[1].hours == pytest.approx(left / (5 * 9.80665))


# Water on the roof

POND = {"sag": "8 in", "sag_span": "6 ft"}
FLAT = {"shelter__ridge": "7 ft 6 in"}
"""A dish of 20 cm: 997 Pa over where it stands, and 0.85 kN/m and more to stop it."""


def test_a_pond_is_a_load_like_snow():
    plan = make_plan(winter(snow=POND, **FLAT))
    assert plan.snow.pond.load_pa == pytest.approx(1000 * 9.80665 * 8 * INCH / 2)
    check = next(c for c in plan.checks if c.name == "water on the roof")
    assert not check.ok
    assert check.demand / check.capacity == pytest.approx(plan.snow.pond.load_pa / (9 * 47.88026))
    assert plan.verdict == "no-go"
    assert any(r.code == "water-on-the-roof-exceeded" for r in plan.reasons)
    small = make_plan(
        winter(snow={"sag": "0.5 in", "sag_span": "1 ft", "depth": "3.3 in", "kind": "wet"}, **FLAT)
    )
    less = make_plan(winter(snow={"depth": "3.3 in", "kind": "wet"}, **FLAT))
    assert (less.snow.level, small.snow.level) == (
        "secure",
        "people-out",
    )  # what stands in the sag comes on top


def test_a_pond_that_cloth_cannot_stop_from_growing_sends_people_out(do):
    text = PEOPLE.replace('"9 ft 6 in"', '"7 ft 3 in"').replace(
        'roof_snow_unlocked = "8 psf"', 'roof_snow_unlocked = "60 psf"'
    )
    text += '\n[snow]\nsag = "6 in"\nsag_span = "6 ft"\n'
    plan = make_plan(read_text(text))
    assert plan.snow.pond.grows
    assert (plan.verdict, plan.snow.level) == ("no-go", "people-out")
    assert [r.code for r in plan.reasons] == ["pond-grows"]
    found = do(text)
    assert {c: code for c, (code, _) in found.items()} == {"outlook": 1, "now": 1, "fleet": 1}
    assert {h["known_level"] for h in found["outlook"][1]["hours"]} == {"people-out"}


def test_water_that_stands_and_nobody_says_how_deep_is_unknown():
    plan = make_plan(winter(snow={"pockets": True}))
    assert plan.verdict == "unknown"
    assert "pond-unknown" in {r.code for r in plan.reasons}
