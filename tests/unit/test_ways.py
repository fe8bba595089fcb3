"""Ways to hold it: each line is what check says of the file with its changes; nothing that does it is beaten; what does not says why."""

import functools
import json
import tomllib
from dataclasses import replace

import pytest
from toml_writer import demo, written

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess
from anchorage.paper.ways_text import ways_lines
from anchorage.ways import arrange, candidates
from anchorage.ways.changes import put
from anchorage.ways.compare import Comparison, as_data, ways

LAWN = demo("asphalt", shelter__points_per_side=3, site__other=[{"surface": "grass", "state": "wet", "distance": "60 ft"}], stock={"sandbags": 60, "water_barrels": 8, "stakes": 60},
            crew={"people": 4}, wind__speed="14 mph",
            anchorage__stake={"diameter": "1 in", "driven": "30 in", "soil": "thumb-hard", "line_angle": 45, "line_height": "2 in"},
            anchorage__line_rated="1500 lbf", anchorage__attachment_rated="1200 lbf")  # fmt: skip
"""A lot with a lawn beside it."""
MIXED = demo("mixed", wind__speed="15 mph")
"""Stakes along the verge, barrels on the yard."""


@functools.cache
def compared(text):
    return ways(assess(read_text(text)))


def of(data):
    return compared(written(data))


def with_changes(data, changes):
    """The file with the changes put into it by hand; a key with None is taken out."""
    data = tomllib.loads(written(data))
    for key, value in changes.items():
        *parents, last = key.split(".")
        place = data
        for name in parents:
            place = place.setdefault(name, {})
        if value is None:
            del place[last]
        else:
            place[last] = value
    return data


def checked(data, tmp_path, capsys):
    path = tmp_path / "file.toml"
    path.write_text(written(data), encoding="utf-8")
    main(["check", str(path), "--json"])
    return json.loads(capsys.readouterr().out)


@pytest.fixture(scope="module")
def lawn():
    return of(LAWN)


@pytest.fixture(scope="module")
def mixed():
    return of(MIXED)


@pytest.fixture(scope="module")
def asphalt():
    return of(demo("asphalt"))


@pytest.mark.parametrize("name", ["asphalt", "lawn", "mixed"])
def test_each_line_is_what_check_says_of_the_file_with_its_changes(name, request, tmp_path, capsys):
    data = {"lawn": LAWN, "mixed": MIXED}.get(name) or demo(name)
    found = request.getfixturevalue(name)
    assert len(found.ways) >= 2
    for w in found.ways[-3:]:
        said = checked(with_changes(data, w.changes), tmp_path, capsys)
        assert said["limit"]["gust_m_s"] == w.gust_m_s
        assert said["verdict"] == w.verdict
        counts = {p["id"]: (p["kind"], p["units"] or p["stakes"]) for p in said["anchorage"]["points"]}
        assert counts == {p.id: (p.kind, p.units) for p in w.points}
        assert sum(n for _, n in counts.values()) == w.total


def test_no_line_is_beaten_by_another_and_the_least_work_stands_first(lawn):
    assert lawn.beaten > 0
    assert [w.person_min for w in lawn.ways] == sorted(w.person_min for w in lawn.ways)
    for a in lawn.ways:
        for b in lawn.ways:
            sure = ("go", "unknown").index(a.verdict) <= ("go", "unknown").index(b.verdict)
            assert not (sure and a.person_min < b.person_min - 0.1 and a.gust_m_s > b.gust_m_s + 0.1)


def test_the_lawn_is_compared_with_stakes_and_the_lot_with_weights(lawn):
    every = [w.name for w in lawn.ways] + [n.name for n in lawn.not_]
    assert any(n.startswith("on the wet grass 60 ft off: stakes") for n in every)
    assert any("water barrels" in n for n in every)
    stakes = [
        w
        for w in lawn.ways
        if w.changes.get("site.surface") == "grass" and w.changes["anchorage.kind"] == "stakes"
    ]
    assert all("utilities" in " ".join(w.needs).lower() for w in stakes)


def test_more_than_was_brought_does_not_do_it_and_says_how_many(lawn):
    assert any("needed, 60 brought" in n.why or "needed, 8 brought" in n.why for n in lawn.not_)


def test_what_is_asked_of_less_is_named_before_all_else(asphalt):
    empty = [w for w in asphalt.ways if w.use == "empty"]
    assert empty
    assert all(w.name.startswith("EMPTY ONLY, everyone out from ") for w in empty)
    assert all(w.changes["anchorage.size_for"] == w.use for w in asphalt.ways if w.use != asphalt.use)
    lines = ways_lines(asphalt, assess(read_text(written(demo("asphalt")))).plan)
    first = next(i for i, line in enumerate(lines) if line.startswith(" 1. "))
    assert "EMPTY" not in lines[first]


def test_a_door_in_use_is_not_shut_to_work(asphalt):
    shut = [w for w in asphalt.ways if "door" in w.changes]
    assert shut
    assert "working" not in {w.use for w in shut}


def test_a_line_that_nobody_rated_is_asked_for_and_beats_nothing_that_is_sure():
    unrated = demo(
        "clay", anchorage__placed=None, anchorage__line_rated=None, anchorage__attachment_rated=None, wind__speed="20 mph", stock=None,
    )  # fmt: skip
    rated = demo("clay", anchorage__placed=None, wind__speed="20 mph", stock=None)
    asked = [w for w in of(unrated).ways if w.points[0].kind == "stakes" and "lines" in w.name]
    assert all(w.verdict == "unknown" and any("rated load" in n for n in w.needs) for w in asked)
    assert any(w.verdict == "go" for w in of(unrated).ways)
    assert any(w.verdict == "go" and w.points[0].kind == "stakes" for w in of(rated).ways)


def test_what_is_not_known_beats_nothing_that_is_and_the_other_way_round_it_does():
    run = Comparison(assess(read_text(written(demo("asphalt")))))
    run.run()
    known = replace(run.options[0], sure="go")
    better = replace(known, sure="unknown", gust=known.gust + 5, work=replace(known.work, person_min=1.0))
    assert not better.beats(known)
    assert replace(better, sure="go").beats(known)
    assert replace(known, gust=better.gust + 1, work=better.work).beats(better)
    assert not known.beats(known)


def test_with_no_stock_it_says_what_to_bring():
    found = of(demo("asphalt", stock=None))
    units = {p.unit for w in found.ways for p in w.points if p.units}
    assert len(units) > 1
    assert not any("brought" in n.why for n in found.not_)
    text = ways_lines(found, assess(read_text(written(demo("asphalt", stock=None)))).plan)
    assert "this is what to bring" in " ".join(text)


def test_what_does_it_by_the_gust_and_not_by_another_check_is_not_listed():
    """The rating is below the gust: nothing does it, empty as little as with people in. So is ground that does not bear it."""
    low = of(demo("asphalt", shelter__rating={"gust_unlocked": "18 mph"}))
    assert not any(w.verdict == "go" for w in low.ways)
    assert all("straps locked" in w.name for w in low.ways), (
        "what the maker gives for locked straps is not in the file"
    )
    assert any("the maker's rating" in n.why for n in low.not_)
    soft = demo("asphalt", site__surface="grass", site__state="wet", anchorage__bearing_area="0.02 ft2")
    found = of(soft)
    assert all(w.verdict != "no-go" for w in found.ways)
    assert any("bearing" in n.why.lower() for n in found.not_)


def test_a_way_that_takes_longer_than_the_time_for_setting_up_says_so():
    found = of(demo("asphalt", times={"setup": "40 min"}, crew={"people": 2}))
    mine = next(w for w in found.ways if w.use == "working")
    assert any("with 2 people, and [times] setup says 40 min" in n for n in mine.needs)


def test_snow_that_stops_it_stops_it_whatever_holds_it():
    found = of(demo("winter"))
    assert [r.code for r in found.whatever] == ["snow-depth-by-en-13782-exceeded"]
    assert {w.verdict for w in found.ways} == {"no-go"}


def test_work_is_by_the_rows_and_says_which_are_from_memory(asphalt):
    fill = 60 / tables.row("packing-sand", "fill-rate").value
    tie, place = (tables.row("packing-work", k).value for k in ("tie", "opening"))
    mine = next(w for w in asphalt.ways if w.use == "working" and "tied" not in w.name)
    assert mine.person_min == pytest.approx(mine.total * fill + 8 * tie)
    assert mine.mass_kg == pytest.approx(mine.total * 18.1436948)
    assert {"tie"} <= set(asphalt.from_memory)
    assert place > 0


def test_turning_counts_only_where_the_bearing_is_known(asphalt):
    assert "turning the shelter" in {n.name for n in asphalt.not_}
    clay = of(demo("clay"))
    assert "turning the shelter" not in {n.name for n in clay.not_}
    assert any("turned" in n.name for n in clay.not_) or any("turned" in w.name for w in clay.ways)


def test_a_change_that_cannot_be_is_refused_with_its_key():
    d = read_text(written(demo("asphalt")))
    with pytest.raises(Exception, match=r"anchorage\.unit"):
        put(d, {"anchorage.unit": None, "anchorage.unit_mass": None})
    assert put(d, {}) is d
    assert put(d, {"wind.speed": "30 mph"}).wind.speed == pytest.approx(13.4112)


def test_the_command_gives_the_exit_code_of_check_and_one_object(tmp_path, capsys):
    path = tmp_path / "clay.toml"
    path.write_text(written(demo("clay")), encoding="utf-8")
    assert main(["ways", str(path), "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["schema"] == 1
    assert set(data) >= {"ways", "not", "verdict"}
    assert all(set(n) == {"name", "why"} for n in data["not"])
    assert main(["ways", str(path)]) == 1
    text = capsys.readouterr().out
    assert "ONLY IN A LULL, gusts to 25 mph" in text
    assert "-- CAUTIONS" in text


def test_the_side_from_which_it_holds_least_comes_first():
    """On a calm day from the west: what it holds from any side stands in the line and first among the needs, and is what check says."""
    d = read_text(written(demo("clay", wind__speed="23 mph")))
    a = assess(d)
    found = ways(a)
    way = next(w for w in found.ways if w.name == "as the file has it")
    anywhere = assess(put(d, {**way.changes, "wind.from": None})).plan.limit.gust_m_s
    assert way.any_side_m_s == pytest.approx(anywhere)
    assert way.any_side_m_s < way.gust_m_s
    assert "45°" in way.needs[0]
    text = "\n".join(ways_lines(found, a.plan))
    assert text.index("From any side") < text.index("stays where the forecast")


def test_a_lull_may_come_from_any_side():
    """The wind that is forecast comes from the west; the lull that is waited for need not."""
    d = read_text(written(demo("clay")))
    (way,) = ways(assess(d)).ways
    lull = put(d, way.changes)
    assert lull.wind.bearing is None
    assert assess(lull).plan.limit.gust_m_s == pytest.approx(way.gust_m_s)


def test_what_does_not_do_it_is_told_in_the_gusts_of_the_file():
    found = ways(assess(read_text(written(demo("clay")))))
    why = {o.name: o.why for o in found.not_}["as the file has it"]
    assert "40 mph" in why
    assert "50 mph" not in why


def test_a_gap_is_printed_on_the_page_and_kept_in_the_data(monkeypatch):
    """A search that is stopped at once: the bounds on gust and work stand on the page and in the JSON."""
    monkeypatch.setattr(arrange, "SMALL", 1)
    monkeypatch.setattr(arrange, "LARGE_S", 0.02)
    solve = arrange._solve

    def short(p, cost, most_q, seconds, gap):
        v, bound = solve(p, cost, most_q, 2.0, gap)
        return v, bound * 1.2 if p.q() in cost else bound * 0.8

    monkeypatch.setattr(arrange, "_solve", short)
    a = assess(read_text(written(demo("asphalt"))))
    found = ways(a)
    (best,) = [w for w in found.ways if w.bound_m_s is not None and w.bound_m_s > w.gust_m_s * 1.01]
    text = "\n".join(ways_lines(found, a.plan))
    assert "Not proved to be the most" in text
    assert as_data(found)["ways"][found.ways.index(best)]["bound_m_s"] == pytest.approx(best.bound_m_s)


def test_every_idea_of_a_file_has_a_name_of_its_own_and_can_be_put_into_it():
    """What ``ways/candidates`` offers: each is a change of the file that is read again, or says why not."""
    for name in ("asphalt", "clay"):
        d = read_text(written(demo(name)))
        ideas = candidates.candidates(d)
        names = [i.name for i in ideas.found]
        assert len(set(names)) == len(names)
        assert ideas.found[0].as_it_is
        assert all(put(d, i.changes).anchorage.kind for i in ideas.found)
        assert all(ideas.off.values())
