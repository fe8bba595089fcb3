"""What a count or a word in the record may not do: stand for another unit, be more than a point can have, or hide a danger in a note."""

import json

import pytest

from tests.record_kit import as_built

AS_BUILT = as_built(20)


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(AS_BUILT, encoding="utf-8")
    return path


# --- what was counted is of what the file named then


def counted_then(do, log, site, was, now, n="4"):
    log("placed", n, "--each", at="11:00")
    log("setup", at="11:01")
    log("wind", "4 mph", "--averaging", "peak", at="12:25")
    text = site.read_text(encoding="utf-8")
    assert was in text
    before = do("now")
    site.write_text(text.replace(was, now), encoding="utf-8")
    return before, do("now")


@pytest.mark.parametrize(
    ("was", "now"),
    [
        ('unit = "sandbag"\nunit_mass = "40 lb"', 'unit = "concrete-block"'),
        ('unit_mass = "40 lb"', 'unit_mass = "55 lb"'),
        ('how = "standing-tied"', 'how = "hung-clear"'),
    ],
)
def test_a_count_is_never_credited_as_another_unit(do, log, site, was, now):
    before, after = counted_then(do, log, site, was, now)
    assert "NORMAL" in before[1]
    assert "CANNOT SAY" in after[1]
    assert "Count again" in after[1]
    assert do("check")[0] != 0
    asks = json.loads(do("check", "--json")[1])["record"]["asks"]
    assert [a["code"] for a in asks] == ["counted-otherwise"]
    log("placed", "4", "--each", at="12:29")
    assert "Count again" not in do("now")[1]


def test_what_a_count_holds_is_made_less_by_an_edit_and_never_more(do, log, site):
    def holds():
        return json.loads(do("check", "--json")[1])["limit"]["gust_m_s"]

    log("placed", "4", "--each", at="11:00")
    text, as_logged = site.read_text(encoding="utf-8"), holds()
    site.write_text(text.replace('unit = "sandbag"\nunit_mass = "40 lb"', 'unit = "concrete-block"'), "utf-8")
    assert holds() == pytest.approx(as_logged)
    site.write_text(text.replace('unit_mass = "40 lb"', 'unit_mass = "30 lb"'), encoding="utf-8")
    assert holds() < as_logged
    assert not json.loads(do("check", "--json")[1])["record"]["asks"]
    site.write_text(text.replace('width = "3 ft"', 'width = "4 ft"'), encoding="utf-8")
    assert not json.loads(do("check", "--json")[1])["record"]["asks"]


# --- more than a point can have


def test_more_than_a_point_can_have_is_no_go_where_it_stands_too(do, log, site):
    """Twelve hang at a frame point: what is logged over that holds no more than twelve do, and is said before every level."""

    def said():
        data = json.loads(do("now", "--json")[1])
        return data["verdict"], data["readings"][-1]["share"]

    site.write_text(AS_BUILT.replace('how = "standing-tied"', 'how = "on-foot"'), encoding="utf-8")
    log("placed", "12", "--each", "--more-came", at="11:00")
    log("setup", at="11:01")
    log("wind", "10 mph", "--averaging", "peak", at="12:25")
    verdict, share = said()
    assert verdict == "go"
    log("placed", "40", "--each", "--more-came", at="12:26")
    log("inspection", "passed", at="12:27")
    code, out, _ = do("now")
    assert code == 1
    assert "NOT SAFE AS IT STANDS" in out
    assert "40 are asked for at a point, and at most 12 go there" in out
    assert said() == ("no-go", pytest.approx(share))
    assert do("check")[0] == 1


# --- a wind that no stay is planned for


@pytest.mark.parametrize(
    ("typed", "asked"), [("1.8 mph", True), ("0 mph", True), ("1.9 m/s", True), ("2.1 m/s", False)]
)
def test_a_slip_of_the_point_in_the_wind_of_the_file_is_asked_about(do, site, typed, asked):
    site.write_text(AS_BUILT.replace('speed = "20 mph"', f'speed = "{typed}"'), encoding="utf-8")
    data = json.loads(do("check", "--json")[1])
    assert ("wind-small" in [r["code"] for r in data["reasons"]]) == asked
    assert (data["verdict"] == "go") == (not asked)
