"""anchorage chance: what it prints, what it refuses, and what it never does."""

import json
from pathlib import Path

import numpy as np
import pytest
from strategies import ON_LINES, THROUGH_FEET, read, with_

from anchorage.chance import chance
from anchorage.chance.rare import Tail
from anchorage.chance.uncertain import Model, middle
from anchorage.checks.installation import assemble
from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.deployment.reader import read_text
from anchorage.outlook.chance_hours import THUNDER, hours_chance
from anchorage.outlook.hours import Hour, Wind
from anchorage.paper import chance_text

DEMO = Path(__file__).parents[2] / "anchorage" / "demo"
NOW = "2026-11-25T18:00:00Z"
SHORT = ("--samples", "1000")


def run(capsys, *args):
    code = main(["chance", *args])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_it_says_in_words_and_names_what_it_is_not(capsys):
    code, out, err = run(capsys, str(DEMO / "asphalt.toml"), *SHORT)
    assert (code, err) == (0, "")
    flat = " ".join(out.split())
    assert "Chance that it fails in a gust of 20 mph: less than 1 in 100." in flat
    assert "Once up GO: work with people coming and going, gusts to 20 mph" in flat
    assert "PEOPLE OUT from 27 mph, KEEP AWAY from 34 mph" in flat
    assert "Wind only: snow that lies or falls, the least load of a code and local policy are not in" in flat
    assert "This changes no verdict" in flat
    assert "With a chance of 95 in 100 it holds a gust of" in flat
    assert "standard error" in flat
    assert "not a permit" in flat
    assert "memory" in flat
    assert max(map(len, out.splitlines())) <= 72


def test_the_json_has_every_number_with_its_error_and_its_sources(capsys):
    code, out, _ = run(capsys, str(DEMO / "mixed.toml"), *SHORT, "--json", "--seed", "7")
    data = json.loads(out)
    assert (code, data["schema"], data["seed"], data["samples"]) == (0, 1, 7, 1000)
    at = data["at_the_gust"]
    assert at["holds"] == pytest.approx(1 - at["fails"])
    assert at["standard_error"] > 0
    assert [h["chance"] for h in data["gust_held"]] == [0.95, 0.99]
    assert data["gust_held"][1]["gust_m_s"] < data["gust_held"][0]["gust_m_s"] < data["gust_held_median_m_s"]
    assert {s["how"] for s in data["spreads"]} <= {"read", "computed", "memory", "common practice"}
    assert data["provenance"]["weakest"] == "memory"
    assert all(s["source"] for s in data["spreads"] if s["how"] == "read")
    assert data["cautions"]
    again = run(capsys, str(DEMO / "mixed.toml"), *SHORT, "--json", "--seed", "7")[1]
    assert again == out


def test_a_forecast_gives_each_hour_and_a_range(capsys):
    code, out, _ = run(
        capsys, str(DEMO / "clay.toml"), *SHORT, "--json", "--now", NOW, "--zone", "UTC",
        "--say", "until 21:00 gust 25 mph", "--say", "until 22:00 gust 45 mph",
    )  # fmt: skip
    data = json.loads(out)["forecast"]
    assert code == 3  # an open range bounds nothing
    ps = [h["probability"] for h in data["hours"]]
    assert ps[0] == ps[2] < ps[3]
    assert ps[4] is None
    assert "no forecast" in data["hours"][4]["why"]
    known = [p for p in ps if p is not None]
    assert max(known) <= data["low"] + 1e-12
    assert data["high"] is None  # hours without a gust have no bound
    assert data["hours_unknown"] == len(ps) - len(known) > 0
    assert "nothing bounds it from above, since" in data["text"]
    assert "that it fails before" in data["text"]


def test_it_is_no_better_where_the_dangerous_hour_is_missing(capsys, tmp_path):
    """The sentence took the low end of the range that was left, and the exit code was 0."""
    said = {}
    for gap, gust in ((False, "45"), (True, "")):
        table = tmp_path / f"{gap}.csv"
        rows = [f"2026-11-{25 + h // 24}T{h % 24:02d}:00Z,{gust if h == 20 else 20},0" for h in range(18, 32)]
        table.write_text(
            "# issued 2026-11-25T17:00:00Z\ntime,gust (mph),thunder (%)\n" + "\n".join(rows) + "\n",
            encoding="utf-8",
        )
        args = [str(DEMO / "clay.toml"), *SHORT, "--now", NOW, "--zone", "UTC", "--forecast", str(table)]
        code, out, _ = run(capsys, *args, "--json")
        data = json.loads(out)["forecast"]
        said[gap] = (code, data["high"], data["text"])
        assert ("at the least" in data["text"] or "Cannot say" in data["text"]) is gap
    assert said[False][0] == 0
    assert said[False][1] is not None
    assert said[True][:2] == (3, None)
    assert "nothing bounds it from above, since 1 of" in said[True][2]


def test_counting_and_importance_sampling_that_disagree_say_so_and_the_larger_counts(monkeypatch):
    found = chance.Estimate(2e-4, 5e-5, "counted")
    sampler = None
    for other, method in ((8e-4, chance.SHIFTED), (1e-6, "counted")):
        monkeypatch.setattr(chance, "tail_of", lambda *_, p=other: Tail(p, p / 50, 3.0, p, 5000))
        made = chance._believed(sampler, found, 20.0, 0.0, 100_000)
        assert made.probability == max(other, 2e-4)
        assert made.method == method
        assert made.disagrees == min(other, 2e-4)
        assert "THE TWO WAYS DISAGREE" in " ".join(" ".join(chance_text._figure("x", made)).split())
    monkeypatch.setattr(chance, "tail_of", lambda *_: Tail(2.2e-4, 1e-5, 3.0, 2e-4, 5000))
    assert chance._believed(sampler, found, 20.0, 0.0, 100_000).disagrees is None
    none = chance.Estimate(None, None, "none of 1000 draws fails", 3e-3)
    monkeypatch.setattr(chance, "tail_of", lambda *_: Tail(2e-2, 1e-4, 2.0, 2e-2, 5000))
    made = chance._believed(sampler, none, 20.0, 0.0, 1000)
    assert (made.probability, made.disagrees) == (2e-2, 0.0)


def test_what_no_draw_carries_was_not_counted():
    """A mean of 3e-79 over 1,000 draws is no count: it is nothing among 1,000, less than 3 in 1,000."""
    made = chance._countable(chance._mean(np.full(1000, 3e-79)), 1000)
    assert (made.probability, made.below) == (None, 3e-3)
    assert "counted" not in made.method
    assert chance._countable(chance._mean(np.full(1000, 0.02)), 1000).probability == pytest.approx(0.02)


def hour(start, gust=None, **more):
    wind = () if gust is None else (Wind(gust, None, "", forecast=True),)
    return Hour(start, start + 3600, wind, complete=gust is not None, **more)


def test_thunder_bounds_nothing():
    from datetime import UTC

    draws = np.full(50, 30.0)
    found = hours_chance([hour(0, 10.0), hour(3600, 10.0, thunder="thunder")], draws, None, 7200, UTC)
    assert (found.low, found.high, found.text) == (None, None, THUNDER)
    assert found.hours[1].probability is None


def test_a_spread_that_comes_with_the_forecast_goes_first():
    from datetime import UTC

    draws = np.full(10, 20.0)
    own = hours_chance([hour(0, 15.0, spread=5.0)], draws, 1.0, 3600, UTC)
    typed = hours_chance([hour(0, 15.0)], draws, 1.0, 3600, UTC)
    table = hours_chance([hour(0, 15.0)], draws, None, 3600, UTC)
    assert (own.hours[0].spread_m_s, typed.hours[0].spread_m_s) == (5.0, 1.0)
    assert table.hours[0].spread_m_s == pytest.approx(15.0 * tables.row("spread", "gust").value)
    assert own.hours[0].probability == pytest.approx(0.1588, abs=2e-4)  # 1 - Φ(1), over Φ(3)


def test_chance_touches_no_verdict(capsys):
    file = str(DEMO / "clay.toml")
    before = main(["check", file, "--json"]), capsys.readouterr().out
    run(capsys, file, *SHORT)
    assert (main(["check", file, "--json"]), capsys.readouterr().out) == before
    assert "chance" not in before[1].lower()


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (("--samples", "10"), "give 1000 to 10000000"),
        (("--seed", "-1"), "from 0 up"),
        (("--spread", "3 kg"), "--spread"),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_line(capsys, args, said):
    code, out, err = run(capsys, str(DEMO / "asphalt.toml"), *args)
    assert (code, out) == (2, "")
    assert said in err
    assert len(err.splitlines()) == 1


@pytest.mark.parametrize(
    ("demo", "old", "new", "said"),
    [
        ("clay", 'pulled = "to-failure"', 'pulled = "held"', "The stakes that were pulled only held"),
        (
            "asphalt",
            'gust_unlocked = "45 mph"\ngust_locked = "60 mph"\n',
            "",
            "The maker's wind rating is not in the file",
        ),
    ],
)
def test_what_its_answer_leaves_out_is_among_the_notes(capsys, tmp_path, demo, old, new, said):
    text = (DEMO / f"{demo}.toml").read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "a.toml"
    path.write_text(text.replace(old, new), encoding="utf-8")
    _, out, _ = run(capsys, str(path), *SHORT)
    assert said in " ".join(out.split())


def test_where_nothing_holds_there_is_nothing_to_draw(capsys, tmp_path):
    text = (DEMO / "asphalt.toml").read_text(encoding="utf-8")
    file = tmp_path / "ice.toml"
    file.write_text(text.replace("20 mph", "220 mph").replace("wet", "ice"), encoding="utf-8")
    assert file.read_text(encoding="utf-8") != text
    code, _, err = run(capsys, str(file), *SHORT)
    assert code == 2
    assert "nothing to draw" in err


def test_the_middle_of_a_range_is_what_is_drawn_about():
    row = tables.row("friction", "cloth-clay-wet")
    assert (row.low, row.high) == (0.15, 0.25)
    assert middle(row) == pytest.approx(0.2)
    bare = next(r for r in tables.table("friction").rows if r.low is None and r.high is None)
    assert middle(bare) == bare.value


def test_stakes_of_a_site_share_a_soil_and_differ_from_point_to_point():
    """What the row prints as a range is common to all; several stakes at one point are no surer than one."""
    u = np.random.default_rng(0).standard_normal((4_000, 60))
    model = Model(assemble(read(with_(ON_LINES, anchorage__placed=4, anchorage__stake__soil="stiff-clay"))))  # fmt: skip
    by = {s.key: s for s in model.spreads}
    row = tables.row("soil-strength", "stiff-clay")
    assert by["soil-site"].size == pytest.approx((row.high - row.low) / 12**0.5 / ((row.low + row.high) / 2))
    tension = np.log(model.draw(u[:, : model.width]).held.tension[:, 0, :])
    each = tables.row("spread", "soil-strength").value
    assert np.std(np.log(model._soil(u[:, : model.width], by)[:, 0, 0])) == pytest.approx(each, rel=0.05)
    assert 0.3 < np.corrcoef(tension[:, 0], tension[:, 1])[0, 1] < 0.9


def test_a_deadman_is_not_as_good_as_the_stakes_that_were_pulled():
    text = (DEMO / "clay.toml").read_text(encoding="utf-8")
    dead = 'length = "3 ft"\nface = "8 in"\ndepth = "3 ft"\nground = "loam"\n'
    d = read_text(
        text.replace("[anchorage.stake]", f"line_angle = 45\n[anchorage.deadman]\n{dead}[anchorage.stake]")
        + '\n[[point]]\nid = "L2"\nkind = "deadman"\n'
    )
    model = Model(assemble(d))
    assert {"pull-test-least", "stake-theory", "soil-site"} <= {s.key for s in model.spreads}
    at = model.x.base.ids.index("L2")
    assert model.mean.hard[at].kind == "deadman"
    u = np.zeros((1, model.width))
    before = model.draw(u).held.tension[0, 0, at]
    tests = next(s for s in model.spreads if s.key == "pull-test-least")
    u[0, tests.first : tests.first + tests.count] = -2.0
    assert model.draw(u).held.tension[0, 0, at] == before
    assert model.draw(u).held.tension[0, 0, 0] < model.draw(np.zeros_like(u)).held.tension[0, 0, 0]


def test_a_negative_spread_is_refused_and_a_forecast_that_bounds_nothing_is_not_0(capsys):
    code, _, err = run(capsys, str(DEMO / "asphalt.toml"), "--spread=-3 mph", *SHORT)
    assert (code, "from 0 up" in err) == (2, True)
    code, out, _ = run(capsys, str(DEMO / "asphalt.toml"), *SHORT, "--now", NOW, "--zone", "UTC", "--say",
                       "until 21:00 wind 10 mph", "--json")  # fmt: skip
    assert (code, json.loads(out)["forecast"]["low"]) == (3, None)


def test_through_the_foot_a_stake_is_drawn_by_its_theory():
    model = Model(assemble(read(with_(THROUGH_FEET, anchorage__placed=2))))
    made = model.draw(np.zeros((1, model.width)))
    assert made.held.lateral.shape[-1] == len(model.x.base.ids)
    assert np.all(made.held.lateral > 0)
    assert {"stake-theory"} <= {s.key for s in model.spreads}
