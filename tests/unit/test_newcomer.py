"""What somebody gets wrong on the first day, and what the program says then."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from anchorage.cli.entry import main
from anchorage.core.closed import MATERIALS
from anchorage.core.words import named, so_many
from anchorage.demo import demo_text


def say(capsys: Any, *words: object) -> tuple[int, str, str]:
    code = main([str(w) for w in words])
    got = capsys.readouterr()
    return code, got.out, got.err


def changed(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


@pytest.mark.parametrize("name", ["sandbags", "sand bag", "Sandbags", "sand-bags"])
def test_another_spelling_of_a_listed_unit_would_leave_the_stock_unchecked(site, capsys, name):
    changed(site, 'unit = "sandbag"', f'unit = "{name}"')
    code, _, err = say(capsys, "check", site)
    assert (code, 'did you mean "sandbag"' in err) == (2, True)


def test_a_unit_of_ones_own_with_its_mass_is_taken(site, capsys):
    changed(site, 'unit = "sandbag"', 'unit = "feed sack"')
    changed(site, "sandbags = ", "units = ")
    changed(site, "foot = ", 'unit_material = "woven"\nfoot = ')
    assert say(capsys, "check", site)[0] == 0


def test_a_unit_of_ones_own_is_asked_what_it_is_made_of(site, capsys):
    """Meanwhile it counts as the most slippery there is: never fewer than of any material that could be said."""
    changed(site, 'unit = "sandbag"', 'unit = "feed sack"')
    changed(site, "[stock]\nsandbags = 100\n", "")
    code, out, _ = say(capsys, "check", site, "--json")
    data = json.loads(out)
    assert (code, data["verdict"]) == (3, "unknown")
    assert [r["code"] for r in data["reasons"]] == ["unit-material-unknown"]
    least = data["anchorage"]["total"]["units"]
    for material in MATERIALS:
        changed(site, "foot = ", f'unit_material = "{material}"\nfoot = ')
        code, out, _ = say(capsys, "check", site, "--json")
        assert (code, json.loads(out)["reasons"]) == (0, [])
        assert json.loads(out)["anchorage"]["total"]["units"] <= least
        changed(site, f'unit_material = "{material}"\n', "")


def test_hard_ground_is_asked_what_is_beneath_it(site, capsys):
    """The question stands first, the counts below it, and the headline says what they are good for."""
    said = json.loads(say(capsys, "check", site, "--json")[1])
    changed(site, "beneath = ", "# beneath = ")
    code, out, _ = say(capsys, "check", site)
    assert code == 3
    head = " ".join(out.split())
    assert "CANNOT SAY: Is anything beneath: building, deck, bridge, dock, cellar, ice?" in head
    assert "It holds to 34 mph with nothing beneath." in head
    asked = json.loads(say(capsys, "check", site, "--json")[1])
    assert [r["code"] for r in asked["reasons"]] == ["beneath-unknown"]
    assert asked["anchorage"] == said["anchorage"]
    assert {v for k, v in asked["subjects"].items() if k != "set up"} == {"unknown"}
    assert asked["subjects"]["set up"] == "no-go"
    changed(site, 'surface = "asphalt"', 'surface = "grass"')
    soft = json.loads(say(capsys, "check", site, "--json")[1])
    assert "beneath-unknown" not in [r["code"] for r in soft["reasons"]]


@pytest.mark.parametrize(
    ("name", "asked"),
    [("Tent on roof of parking garage, top deck", True), ("Shelter on frozen lake", True), ("Abri, lac gelé", True), ("Tent by the Cambridge docket office", False), ("Roof tent", False)],
)  # fmt: skip
def test_a_name_that_says_what_is_beneath_is_asked_about(site, capsys, name, asked):
    text = re.sub(r"(?m)^name = .*$", f'name = "{name}"', site.read_text(encoding="utf-8"), count=1)
    site.write_text(text, encoding="utf-8")
    said = json.loads(say(capsys, "check", site, "--json")[1])
    assert [r["code"] for r in said["reasons"]] == ["beneath-unknown"] * asked
    assert (said["verdict"] == "go") == (not asked)


@pytest.mark.parametrize("name", ["other", "tarmac", "wooden boards"])
def test_ground_that_is_not_listed_is_unknown_until_somebody_takes_it_on(site, capsys, name):
    changed(site, 'surface = "asphalt"', f'surface = "{name}"')
    asked = json.loads(say(capsys, "check", site, "--json")[1])
    assert "surface-unknown" in [r["code"] for r in asked["reasons"]]
    assert "go" not in asked["subjects"].values()
    changed(site, f'surface = "{name}"', f'surface = "{name}"\nlowest_friction_by = "a safety officer"')
    taken = json.loads(say(capsys, "check", site, "--json")[1])
    assert "surface-unknown" not in [r["code"] for r in taken["reasons"]]
    assert taken["anchorage"] == asked["anchorage"]
    assert any("accepted by a safety officer" in a for a in taken["assumptions"])


def test_a_stock_that_says_nothing_of_what_is_asked_for_is_no_go(site, capsys):
    changed(site, "sandbags = ", "stakes = ")
    code, out, _ = say(capsys, "check", site, "--json")
    data = json.loads(out)
    assert (code, data["verdict"]) == (3, "unknown")
    assert [r["code"] for r in data["reasons"]] == ["stock-missing"]
    assert "go" not in data["subjects"].values()


def test_a_file_of_a_simple_editor_with_its_mark_in_front_is_read(site, capsys):
    plain = say(capsys, "check", site)
    site.write_bytes(b"\xef\xbb\xbf" + site.read_bytes().replace(b"\n", b"\r\n"))
    assert say(capsys, "check", site) == plain


def test_shut_is_closed(tmp_path, capsys):
    path = tmp_path / "w.toml"
    path.write_text(demo_text("winter"), encoding="utf-8")
    assert say(capsys, "limit", path, "--doors", "shut") == say(capsys, "limit", path, "--doors", "closed")


def test_a_record_beside_the_file_is_named(site, capsys):
    assert "RECORD" not in say(capsys, "check", site)[1]
    say(capsys, "log", site, "wind", "12 mph", "--who", "A. Lee")
    assert say(capsys, "check", site)[1].startswith("RECORD: 1 entry, last 1:")
    assert "RECORD: 1 entry" in say(capsys, "sheet", site, "-o", site.with_suffix(".html"))[1]


def test_a_level_that_is_reached_is_now_whatever_times_are_missing(site, capsys):
    text = site.read_text(encoding="utf-8")
    site.write_text(text[: text.index("[times]")], encoding="utf-8")
    said = (
        "outlook", site, "--say", "until 23:00 gust 33 mph", "--heard", "06:00", "--now", "2026-03-01T06:00", "--zone", "Etc/UTC", "--for", "set-up",
    )  # fmt: skip
    out = " ".join(say(capsys, *said)[1].split())
    assert "PEOPLE OUT NOW: gust from" in out
    assert "Not given, for the next time: time until all are told, time until all are out" in out
    assert "START TAKING DOWN NOW" not in out
    assert "NO TIME TO TAKE IT DOWN AGAIN: do not put it up" in out


def test_one_and_many_of_what_is_counted():
    assert [so_many(n, named(u, 2)) for n, u in ((1, "sandbag"), (2, "sandbag"), (1, "concrete-barrier-10ft"), (3, "water-barrel-full"))] == [
        "1 sandbag", "2 sandbags", "1 concrete barrier 10ft", "3 water barrels full"]  # fmt: skip
    assert (so_many(1, "deadmen"), so_many(2, "deadmen"), so_many(1, "sandbags 30")) == (
        "1 deadman",
        "2 deadmen",
        "1 sandbag 30",
    )


def test_a_stock_in_another_spelling_is_asked_back(site, capsys):
    changed(site, "sandbags = ", "sandbag = ")
    assert 'did you mean "sandbags"?' in say(capsys, "check", site)[2]
