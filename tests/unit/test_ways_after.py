"""What follows the first that gives: nominal strengths, twice the shed load, a wall open; and the unit more that helps most."""

import json

import numpy as np
import pytest
from toml_writer import demo, written

from anchorage.checks.footprint import frame_loads
from anchorage.checks.installation import with_a_wall_open
from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.core.constants import gravity
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess
from anchorage.judging.verdict import bounds
from anchorage.ways import after
from anchorage.ways.after import follow, one_more

POINTS = ("L1", "L2", "L3", "L4", "R1", "R2", "R3", "R4")


def of(name="asphalt", **changes):
    return assess(read_text(written(demo(name, **changes)))).installation


def bags(**few):
    return {i: few.get(i, 60) for i in POINTS}


def test_the_first_gives_where_no_margin_is_left():
    """All resistance of the lumped set is divided by 1.5 on the wind's side: the gust at which it gives is √1.5 times the limit."""
    x = of()
    assert follow(x).first.gust == pytest.approx(x.gust_held() * 1.5**0.5, rel=1e-6)


def test_a_frame_that_slid_keeps_three_quarters_and_its_neighbour_gets_the_rest_twice():
    """By hand: frame 1 at an end has one neighbour; what it is pushed by over 3/4 of its friction comes on frame 2 twice."""
    x = of(anchorage__placed=14)
    state = after._State(x)
    state.slid, state.frames = {i for i, n in enumerate(x.base.ids) if n in ("L1", "R1")}, {0}
    b, found = state.limits()
    slide = next(f for f in found if f.name == "slide of a frame")
    (mu,) = {h.friction for h in state.hard}
    push, up = frame_loads(with_a_wall_open(x))
    up = np.maximum(up, 0.0)
    weight = x.shelter_mass * gravity() * b.frame_weight[:2] + 2 * 14 * 18.1436948 * gravity()
    kept = mu * weight[1] + 2 * 0.75 * mu * weight[0]
    asked = push[:, 1] + mu * up[:, 1] + 2 * (push[:, 0] + 0.75 * mu * up[:, 0])
    assert float(slide.q[..., 1].min()) == pytest.approx(float(kept / asked.max()), rel=1e-6)
    assert np.isinf(slide.q[..., 0]).all()


def test_a_weak_foot_in_a_strong_anchorage_holds_on_and_wants_the_next_unit():
    weak = of(anchorage__placed=bags(L2=1, R2=1))
    found, more = follow(weak), one_more(weak)
    assert found.holds_on
    assert found.then[0].gust >= 1.2 * found.first.gust
    assert more.point in ("L2", "R2")
    assert more.gust > weak.gust_held()
    even = of(anchorage__placed=14)
    assert not follow(even).holds_on


@pytest.mark.parametrize(("name", "changes"), [
    ("asphalt", {"anchorage__placed": bags(L2=1, R2=2, L4=5)}), ("clay", {"anchorage__placed": {**bags(), **dict.fromkeys(POINTS, 2), "R3": 1}}), ("mixed", {}), ("asphalt", {"anchorage__placed": bags(L2=0)}),
])  # fmt: skip
def test_the_unit_more_is_the_best_of_each_tried_alone(name, changes):
    x = of(name, **changes)
    tried = {
        i: x.gust_held(x.counts + np.eye(len(x.counts), dtype=int)[k])
        for k, i in enumerate(x.base.ids)
        if x.counts[k] < 4 or name == "asphalt"
    }
    best = max(tried.values(), default=0.0)
    more, cap = one_more(x), min((b.gust for b in bounds(x)), default=np.inf)
    if best > x.gust_held() * (1 + 1e-6):
        assert more.gust == pytest.approx(min(best, cap))
    else:
        assert more is None


def test_a_pulled_stake_holds_nothing_and_its_neighbours_take_it_twice(monkeypatch):
    x = of("clay")
    found = follow(x)
    assert found.first.where in POINTS
    assert all(g.where != found.first.where or g.ends for g in found.then)
    monkeypatch.setattr(
        after, "_row", lambda key: 1.0 if key == "sudden" else tables.row("after-first", key).value
    )
    assert follow(x).then[0].gust >= found.then[0].gust


def test_what_ends_it_is_followed_no_further():
    """The shelter as a whole slides, or nothing spans what gave: one of the two stands last, and nowhere before."""
    for name in ("mixed", "asphalt"):
        found = follow(of(name))
        *before, last = (found.first, *found.then)
        assert last.ends
        assert not any(g.ends for g in before)


def test_it_stands_on_the_engineers_page_alone_and_moves_no_level(tmp_path, capsys):
    path = tmp_path / "file.toml"
    path.write_text(written(demo("asphalt")), encoding="utf-8")
    main(["ways", str(path)])
    plain = capsys.readouterr().out
    assert "then" not in [w for line in plain.splitlines() if "nominal" in line for w in line.split()]
    assert "no margin" not in plain
    main(["ways", str(path), "--engineer"])
    text = " ".join(capsys.readouterr().out.split())
    assert "With no margin anywhere" in text
    assert "KEEP AWAY is from the first to give" in text
    main(["ways", str(path), "--json"])
    way = next(w for w in json.loads(capsys.readouterr().out)["ways"] if w["fails_next"])
    assert way["holds_on"] is False
    assert set(way["fails_next"][0]) == {"point", "gust_m_s"}
    assert way["first_nominal_m_s"] > way["gust_m_s"]
