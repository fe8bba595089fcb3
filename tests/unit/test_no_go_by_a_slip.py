"""What one word or one slip of the hand may not do: clear a roof, end a level, make ground hold, or be believed for what cannot be."""

import json

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
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
