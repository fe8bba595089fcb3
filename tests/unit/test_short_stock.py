"""Where less was brought than is needed, one acts by what would be put up: in the levels, the uses, the forecast and on every page."""

import json
import re

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.deployment.policy import SUBJECTS
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.outlook.limits import limits_of
from anchorage.paper.content import limit_words


def with_stock(brought, more=""):
    text = demo_text("asphalt")
    assert "sandbags = 100" in text
    return read_text(text.replace("sandbags = 100", f"sandbags = {brought}") + more, "x")


@pytest.fixture(scope="module")
def enough():
    return make_plan(with_stock(100))


@pytest.mark.parametrize("brought", [20, 60])
def test_levels_and_uses_are_those_of_what_would_be_put_up(brought, enough):
    plan = make_plan(with_stock(brought))
    (s,) = plan.stock
    assert sum(s.spread.values()) <= brought
    counts = ", ".join(f"{k} = {n}" for k, n in s.spread.items())
    text = demo_text("asphalt").replace("sandbags = 100", f"sandbags = {brought}")
    stands = make_plan(read_text(text.replace("[anchorage]", f"[anchorage]\nplaced = {{ {counts} }}"), "x"))
    assert plan.limit.gust_m_s == enough.limit.gust_m_s, "in the JSON the limit stays that of the counts"
    assert plan.put_up_m_s == pytest.approx(stands.limit.gust_m_s, rel=1e-9)
    assert plan.levels.gusts == pytest.approx(stands.levels.gusts, rel=1e-9)
    assert plan.levels.level == stands.levels.level
    for use in ("working", "people-in"):
        assert plan.subjects[SUBJECTS[use]] == stands.subjects[SUBJECTS[use]], use
    assert plan.verdict == "no-go"
    assert plan.reasons[0].code == "stock-short", "what is to be done comes first"


def test_enough_changes_nothing(enough):
    assert enough.put_up_m_s == enough.limit.gust_m_s
    assert enough.short is None
    assert [g for _, g in enough.by_bearing] == [b.gust_m_s for b in enough.limit.by_bearing]


def test_a_forecast_is_held_against_what_would_be_put_up(enough):
    d = with_stock(60)
    plan = make_plan(d)
    found = limits_of(plan, d)
    assert found.gust == pytest.approx(plan.put_up_m_s)
    assert max(g for _, g in found.by_bearing) <= plan.put_up_m_s
    assert limits_of(enough, with_stock(100)).gust == pytest.approx(enough.limit.gust_m_s)


def test_pages_say_the_lower_gust_first(tmp_path, capsys):
    path = tmp_path / "d.toml"
    path.write_text(demo_text("asphalt").replace("sandbags = 100", "sandbags = 60"), encoding="utf-8")
    for options in ([], ["--full"]):
        main(["check", str(path), *options])
        out = " ".join(capsys.readouterr().out.split())
        held = out.index(
            "Holds to 30 mph with only what was brought; 34 mph once all that is needed is placed"
        )
        assert "34 mph" not in out[:held]
        assert re.search(r"PEOPLE OUT (from )?24 mph", out)
        assert "27 mph" not in out
    main(["check", str(path), "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["limit"]["gust_m_s"] > found["stock"][0]["holds_with_stock_m_s"]
    assert found["levels"]["keep_away_m_s"] == pytest.approx(found["stock"][0]["holds_with_stock_m_s"])
    words = limit_words(make_plan(with_stock(60)))
    assert words.startswith("HOLDS TO 30 mph")
