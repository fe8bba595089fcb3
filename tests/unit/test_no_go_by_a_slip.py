"""What one word or one slip of the hand may not do: clear a roof, end a level, make ground hold, or be believed for what cannot be."""

import calendar
import json

import pytest

from anchorage.cli.entry import main
from anchorage.core.textfile import fingerprint
from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from anchorage.record.store import Record, path_of
from tui import engine, store
from tui.banner import banner
from tui.fields import KEYS
from tui.recording import Stands
from tui.session import Session

DAY = "2026-03-10T"
AS_BUILT = (
    demo_text("asphalt")
    .replace('"set-up"', '"people-in"')
    .replace("[anchorage]", "[anchorage]\nplaced = 20", 1)
    .replace("\n[stock]\nsandbags = 100\n", "")
)


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(AS_BUILT, encoding="utf-8")
    return path


@pytest.fixture
def do(capsys, site):
    def call(command, *args, at="12:30"):
        when = ["--now", f"{DAY}{at}:00Z"] if command in ("log", "now", "outlook") else []
        code = main([command, str(site), *map(str, args), *when])
        out, err = capsys.readouterr()
        return code, " ".join(out.split()), " ".join(err.split())

    return call


@pytest.fixture
def log(do):
    def call(*args, at="12:00"):
        code, out, err = do("log", *args, "--who", "A. Lee", at=at)
        assert code == 0, err
        return out

    return call


def load(do):
    return json.loads(do("check", "--json")[1])["snow"]["roof_load_pa"]


# --- snow


def test_snow_that_is_said_to_be_gone_counts_until_somebody_looked(do, log):
    log("snow", "6 in", "--kind", "wet", at="11:00")
    lay = load(do)
    said = log("snow", "0 in", at="11:10")
    assert "less than before" in said
    assert "inspection passed --after snow" in said
    assert load(do) == lay > 0
    log("inspection", "failed", "--note", "a rail is bent", at="11:20")
    assert load(do) == lay
    log("inspection", "passed", "--after", "snow", "--note", "rail straightened", at="11:30")
    assert load(do) == 0.0


def test_an_inspection_before_the_word_clears_nothing(do, log):
    log("snow", "6 in", "--kind", "wet", at="11:00")
    log("inspection", "passed", at="11:05")
    lay = load(do)
    log("snow", "0 in", at="11:10")
    assert load(do) == lay
    log("snow", "2 in", "--kind", "wet", at="11:20")  # less than what lay, more than what is said since
    assert load(do) == lay
    log("inspection", "passed", at="11:30")
    assert load(do) == pytest.approx(lay / 3)


def test_more_snow_counts_at_once(do, log):
    log("snow", "2 in", "--kind", "wet", at="11:00")
    before = load(do)
    assert "less than before" not in log("snow", "6 in", "--kind", "wet", at="11:10")
    assert load(do) == pytest.approx(3 * before)


def test_snow_of_the_file_is_not_cleared_by_a_word_either(do, log, site):
    site.write_text(AS_BUILT + '\n[snow]\ndepth = "6 in"\nkind = "wet"\n', encoding="utf-8")
    lay = load(do)
    log("snow", "0 in", at="11:10")
    assert load(do) == lay
    log("inspection", "passed", at="11:30")
    assert load(do) == 0.0


# --- an all-clear that does not count


def test_an_all_clear_that_does_not_count_is_told_wherever_it_stands(do, log, site):
    log("wind", "25 mph", at="12:00")
    said = log("all-clear", at="12:05")
    assert "All-clear of entry 2 does not count: 5 min after a reading at that level" in said
    why = "All-clear of entry 2 does not count"
    assert why in do("check")[1]
    assert why in do("now")[1]
    assert why in do("outlook", "--say", "gusts 5 mph until 18:00", "--zone", "UTC")[1]
    s = Session()
    s.begin(store.Document(), read_draft(AS_BUILT, KEYS))
    s.answered(engine.evaluate(s.draft, s.number, site.parent, beside=site))
    s.stands = Stands((), s.number, level="people-out", headline="PEOPLE OUT")
    assert banner(s).more[0].startswith(why)


def test_one_that_counts_takes_the_words_of_those_before_with_it(do, log):
    log("wind", "25 mph", at="10:00")
    log("all-clear", at="10:05")
    log("wind", "3 mph", at="11:00")
    log("inspection", "passed", at="11:01")
    assert "does not count" not in log("all-clear", at="11:02")
    assert "does not count" not in do("now")[1] + do("check")[1]


# --- readings and counts that cannot be meant


def test_a_mean_over_every_wind_that_blew_is_not_kept(do, site):
    code, _, err = do("log", "wind", "99 m/s", "--averaging", "1 h", "--who", "A. Lee")
    assert code == 2
    assert "NOT KEPT" in err
    assert "everybody out" in err
    assert not path_of(site).exists()


@pytest.mark.parametrize(("speed", "averaging", "height"), [(99.0, "1 h", 1.5), (99.0, "3 s", 1.0)])
def test_one_that_is_in_the_record_already_is_the_worst(do, site, speed, averaging, height):
    with Record(path_of(site), write=True) as r:
        data = {"speed_m_s": speed, "typed": "99 m/s", "height_m": height, "height": "by hand"}
        data |= {"averaging": averaging, "from": None}
        at = calendar.timegm((2026, 3, 10, 12, 20, 0))
        r.append(at=at, written=at, who="A", event="wind", data=data, file=fingerprint(site.read_bytes()))
    code, out, err = do("now", "--json")
    assert (code, json.loads(out)["level"]) == (1, "keep-away"), err
    assert do("now")[0] == do("check")[0] == 1


@pytest.mark.parametrize(
    ("n", "each", "left"),
    [(100, 12, "4 are left over and count nowhere"), (97, 12, "1 is left over"), (96, 12, ""), (5, 0, "5 are left over")],
)  # fmt: skip
def test_what_is_placed_in_all_is_never_more_than_was_said_and_what_is_left_is_told(do, log, n, each, left):
    said = log("placed", n, "--in-all", "--more-came")
    assert f"{n} in all and not where they stand: {each} count at each of 8 points." in said
    assert left in said
    assert ("left over" in said) == bool(left)
    points = json.loads(do("check", "--json")[1])["anchorage"]["points"]
    assert [p["units"] for p in points] == [each] * 8
    assert left in do("check", "--full")[1]
