"""One installation as it stands: the file, then its record, for every command; and what cannot be taken back by editing."""

import json
import shutil
import sqlite3
from pathlib import Path

import pytest

from anchorage.checks.overrides import override
from anchorage.cli.entry import main
from anchorage.core.textfile import fingerprint
from anchorage.demo import demo_text
from anchorage.deployment.reader import read_file, read_text
from anchorage.holding import states
from anchorage.judging import card
from anchorage.judging.plan import assess, make_plan
from anchorage.record.kinds import EVENTS
from anchorage.record.over import Recorded, corrected, read_record
from anchorage.record.stand import put_over, stand
from anchorage.record.store import Record, path_of

HERE = Path(__file__).parents[1] / "written_before"
DAY = "2026-03-10T"
STOCK = "\n[stock]\nsandbags = 100\n"
PEOPLE = demo_text("asphalt").replace('size_for = "working"', 'size_for = "people-in"').replace(STOCK, "")
AS_BUILT = PEOPLE.replace("[anchorage]", "[anchorage]\nplaced = 10", 1)
CALM = [
    "--say", "until 23:00 gust 15 mph", "--say", "until 08:00 gust 15 mph", "--heard", "12:00", "--zone", "UTC",
]  # fmt: skip
"""A forecast of 15 mph."""


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(AS_BUILT, encoding="utf-8")
    return path


@pytest.fixture
def do(capsys, site):
    def call(command, *args, at="12:30", timed=True):
        when = ["--now", f"{DAY}{at}:00Z"] if timed else []
        code = main([command, str(site), *map(str, args), *when])
        out, err = capsys.readouterr()
        return code, out, err

    return call


def log(do, *args, at="12:00"):
    code, out, err = do("log", *args, "--who", "A. Lee", at=at)
    assert code == 0, err
    return out


def flat(text):
    return " ".join(text.split())


# One installation for every command


def verdicts(do, site, tmp_path):
    """Verdict and limit of every command that judges, by its JSON where it has one."""
    out = {}
    for command, more, timed in (
        ("check", ["--json"], False),
        ("limit", ["--json"], False),
        ("outlook", [*CALM, "--json"], True),
    ):
        code, text, err = do(command, *more, timed=timed)
        assert code in (0, 1, 3), err
        data = json.loads(text)
        limit = data["limit_m_s"] if command == "outlook" else data["limit"]["gust_m_s"]
        out[command] = (data["verdict"], limit)
    return out


def test_too_few_on_ice_is_no_go_for_every_command(do, site, tmp_path, capsys):
    before = verdicts(do, site, tmp_path)
    log(do, "placed", "2", "--each")
    log(do, "state", "ice")
    after = verdicts(do, site, tmp_path)
    assert {v for v, _ in after.values()} == {"no-go"}
    assert len({round(x, 9) for _, x in after.values()}) == 1
    assert all(after[c][1] < before[c][1] for c in after)
    code, text, _ = do("now", "--json")
    assert json.loads(text)["limit_gust_m_s"] == pytest.approx(after["check"][1])
    code, text, _ = do("outlook", *CALM)
    assert code == 1
    assert "RECORD: 2 entries" in flat(text)
    assert "2 placed at each point; ground ice" in flat(text)
    for command, more, timed in (
        ("check", [], False),
        ("limit", [], False),
        ("chance", ["--samples", "1000"], True),
        ("pack", [], True),
    ):
        assert "RECORD: 2 entries" in flat(do(command, *more, timed=timed)[1]), command
    page, map_of = tmp_path / "s.html", tmp_path / "c.html"
    for target, more in ((page, []), (map_of, ["--card"])):
        do("sheet", "-o", target, *more)
        assert "2 placed at each point; ground ice" in target.read_text(encoding="utf-8")
    code = main(["fleet", str(tmp_path), "--json", "--now", f"{DAY}12:30:00Z"])
    (row,) = json.loads(capsys.readouterr()[0])["deployments"]
    assert (code, row["verdict"]) == (1, "no-go")
    assert row["limit_gust_m_s"] == pytest.approx(after["check"][1])
    assert row["record"].startswith("RECORD: 2 entries")


def test_the_interface_judges_the_same_installation(do, site):
    from anchorage.deployment.draft import read_draft
    from tui import engine
    from tui.fields import KEYS

    log(do, "placed", "2", "--each")
    log(do, "state", "ice")
    draft = read_draft(AS_BUILT, KEYS)
    answer = engine.evaluate(draft, 1, site.parent, beside=site)
    data = json.loads(do("check", "--json", timed=False)[1])
    assert (answer.plan.verdict, answer.plan.limit.gust_m_s) == (data["verdict"], data["limit"]["gust_m_s"])
    other = engine.evaluate(draft.over({"shelter.eave": "9 ft"}), 2, site.parent, beside=site)
    assert other.plan.verdict != "go"
    assert "record-not-its-own" in {r.code for r in other.plan.reasons}


def test_wet_snow_over_the_rating_is_no_go_everywhere(do, site, tmp_path, capsys):
    assert do("outlook", *CALM)[0] == 0
    log(do, "placed", "10", "--each")
    log(do, "snow", "6 in", "--kind", "wet")
    assert do("check", timed=False)[0] == 1
    assert do("outlook", *CALM)[0] == 1
    assert do("now")[0] == 1
    assert main(["fleet", str(tmp_path), "--now", f"{DAY}12:30:00Z"]) == 1
    capsys.readouterr()


def test_as_planned_leaves_it_out_and_says_so(do, site):
    planned = do("check", "--as-planned", timed=False)
    log(do, "placed", "0")
    code, out, _ = do("check", "--as-planned", timed=False)
    assert code == planned[0]
    assert out.startswith("AS PLANNED: the record is left out.")
    assert do("check", timed=False)[0] == 1


def test_a_count_of_the_file_stands_until_the_log_counts_that_point(do, site):
    log(do, "note", "nothing yet")
    assert "Counts are those of the file" in flat(do("check", timed=False)[1])
    log(do, "placed", "3", "--where", "L2")
    d = put_over(read_file(site), site)
    assert d.anchorage.placed["L2"] == 3
    assert set(d.anchorage.placed.values()) == {3, 10}
    assert "not counted, so 10, as the file says, stands at L1" in flat(do("check", timed=False)[1])


def test_what_was_taken_down_has_nothing_of_what_was_logged_before(do, site):
    log(do, "placed", "0")
    log(do, "struck", at="12:05")
    assert put_over(read_file(site), site).anchorage.placed == 10
    log(do, "state", "ice", at="12:10")
    assert put_over(read_file(site), site).site.state == "ice"


def test_the_clock_of_now_decides_what_is_known(do, site):
    log(do, "placed", "0", at="14:00")
    assert do("outlook", *CALM, at="12:30")[0] == 0
    assert do("outlook", *CALM, at="14:30")[0] == 1


def test_thunder_that_was_logged_counts_in_now_and_outlook(do, site):
    log(do, "placed", "10", "--each")
    log(do, "wind", "5 mph")
    log(do, "thunder", at="12:20")
    code, out, _ = do("now", "--json", at="12:30")
    assert (code, json.loads(out)["level"]) == (1, "people-out")
    assert do("outlook", *CALM, at="12:30")[0] == 1
    code, out, _ = do("now", "--json", at="12:51")  # 30 min after the last, as the table has it
    assert json.loads(out)["level"] == "normal"


# Counting


def test_a_count_says_each_or_in_all_or_it_is_not_kept(do, site):
    code, out, err = do("log", "placed", "60", "--who", "A. Lee")
    assert (code, out) == (2, "")
    assert "60 at each of 8 points, which is 480 in all (--each)" in err
    assert "60 in all, which is 7 at each (--in-all)" in err
    assert not path_of(site).exists()
    log(do, "placed", "60", "--in-all")
    d = put_over(read_file(site), site)
    assert set(d.anchorage.placed.values()) == {7}  # 60 // 8: what is over stands where nobody said
    assert "placed-where" in {r.code for r in make_plan(d).reasons}


def test_more_than_was_brought_is_asked_about(do, site):
    site.write_text(AS_BUILT + STOCK, encoding="utf-8")
    code, _, err = do("log", "placed", "60", "--each", "--who", "A. Lee")
    assert code == 2
    assert "NOT KEPT: that makes 480 sandbags, and [stock] says 100 were brought" in err
    log(do, "placed", "60", "--each", "--more-came")
    assert put_over(read_file(site), site).anchorage.placed["L1"] == 60


def test_a_count_of_the_first_version_that_nobody_brought_is_a_question(site):
    site.write_text(AS_BUILT + STOCK, encoding="utf-8")
    d = read_file(site)
    with Record(path_of(site), write=True) as r:
        r.append(at=1, written=1, who="A", event="placed", data={"count": 60}, file="0" * 12)
    plan = make_plan(put_over(d, site))
    assert {"placed-how", "more-than-brought"} <= {r.code for r in plan.reasons}
    assert plan.verdict != "go"


def test_a_hand_over_page_shows_what_was_counted_and_not_what_was_planned(do, site, tmp_path):
    site.write_text(PEOPLE, encoding="utf-8")
    page = tmp_path / "h.html"
    log(do, "setup")
    do("now", "-o", page)
    text = page.read_text(encoding="utf-8")
    assert "NOTHING WAS COUNTED. Planned: " in text
    assert text.count("not counted") >= 8
    log(do, "placed", "9", "--where", "L2")
    do("now", "-o", page)
    text = page.read_text(encoding="utf-8")
    assert text.count("<td>not counted") + text.count(">not counted<") >= 7
    assert "NOTHING WAS COUNTED" not in text


# Nothing is taken back by editing


def test_a_level_does_not_fall_because_the_file_was_edited(do, site):
    log(do, "placed", "8", "--each")
    log(do, "wind", "22 mph")
    level = json.loads(do("now", "--json")[1])["level"]
    assert level in ("people-out", "keep-away")
    site.write_text(AS_BUILT.replace('unit_mass = "40 lb"', 'unit_mass = "90 lb"'), encoding="utf-8")
    code, out, _ = do("now", "--json")
    data = json.loads(out)
    assert (code, data["level"]) == (1, level)
    assert {"anchorage.unit_mass"} == {e["key"] for e in data["record"]["edits"]}
    text = flat(do("now")[1])
    assert "anchorage.unit_mass was 40 lb up to entry 2 and is 90 lb now" in text
    assert "Count again" in text  # heavier than what was counted: the lighter counts, then and now
    assert "anchorage.unit_mass was 40 lb up to entry 2" in flat(do("check", timed=False)[1])
    site.write_text(AS_BUILT.replace('state = "wet"', 'state = "dry"'), encoding="utf-8")
    assert json.loads(do("now", "--json")[1])["level"] == level
    assert "By the installation as it stood when that was read" in flat(do("now")[1])


def test_as_planned_is_kept_once_the_number_in_all_is_said_and_counts_point_by_point(do, site):
    """What the plan says is shown whole and not kept; with its sum it is; a point named later goes over it, as any entry would."""
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    planned = {
        p["id"]: p["units"] for p in json.loads(do("check", "--json", timed=False)[1])["anchorage"]["points"]
    }
    total = sum(planned.values())
    assert len(set(planned.values())) > 1
    for wrong in ((), ("1",), (str(total), "--where", "L1")):
        code, _, err = do("log", "placed", *wrong, "--by-plan", "--who", "A. Lee")
        assert code == 2
        assert f"{total} in all. If that was counted there: placed {total} --by-plan" in err
    log(do, "placed", str(total), "--by-plan")
    (entry,) = json.loads(do("log", "--json", timed=False)[1])["entries"]
    assert entry["data"] == {"counts": planned}

    def stands():
        data = json.loads(do("check", "--json", timed=False)[1])
        return {p["id"]: p["units"] for p in data["anchorage"]["points"]}, data["limit"]["gust_m_s"]

    assert stands()[0] == planned
    log(do, "placed", "2", "--where", "L1", at="12:05")
    log(do, "placed", "R1 3; R4 1", at="12:06")
    fewer, holds = stands()
    assert fewer == planned | {"L1": 2, "R1": 3, "R4": 1}
    assert "3 placed at R1" in flat(do("check", timed=False)[1])
    log(do, "placed", str(total), "--by-plan", at="12:07")
    assert stands()[0] == planned
    assert stands()[1] > holds
    code, _, err = do("log", "placed", "L1 400; R1 3", "--who", "A. Lee", at="12:08")
    assert code == 2
    assert "NOT KEPT" in err


def test_a_level_does_not_fall_because_more_was_placed_or_doors_were_shut(do, site):
    log(do, "placed", "4", "--each")
    log(do, "wind", "22 mph")
    level = json.loads(do("now", "--json")[1])["level"]
    assert level == "keep-away"
    log(do, "placed", "20", "--each", at="12:10")
    assert json.loads(do("now", "--json")[1])["level"] == level


def test_an_all_clear_that_counts_lets_it_fall(do, site):
    log(do, "placed", "4", "--each")
    log(do, "wind", "22 mph")
    log(do, "placed", "20", "--each", at="12:10")
    log(do, "wind", "4 mph", at="12:40")
    log(do, "inspection", at="12:45")
    log(do, "all-clear", at="12:50")
    assert json.loads(do("now", "--json", at="12:55")[1])["level"] == "normal"


def test_a_reading_beside_a_file_that_is_gone_leaves_no_go(do, site):
    log(do, "placed", "10", "--each")
    log(do, "setup")
    log(do, "wind", "5 mph")
    assert do("now")[0] == 0
    db = sqlite3.connect(path_of(site), isolation_level=None)
    db.execute("DROP TRIGGER no_removal_of_file")
    db.execute("DELETE FROM files")
    db.close()
    assert do("now")[0] == 0  # the file is still as it was
    site.write_text(AS_BUILT.replace("40 lb", "90 lb"), encoding="utf-8")
    code, out, _ = do("now")
    assert code == 3
    assert "its text of then is not kept" in flat(out)


def test_a_wrong_entry_is_corrected_by_one_that_names_it(do, site):
    log(do, "placed", "2", "--each")
    log(do, "placed", "1", "--where", "L1")
    assert do("log", "correct", "9", "--who", "A. Lee")[0] == 2
    assert "entry 2 was wrong and does not count" in log(do, "correct", "2", at="12:05")
    assert set(put_over(read_file(site), site).anchorage.placed.values()) == {2}
    log(do, "correct", "3", at="12:06")  # and a correction that was wrong is corrected in the same way
    assert put_over(read_file(site), site).anchorage.placed["L1"] == 1
    with Record(path_of(site)) as r:
        assert [e.event for e in r.entries()] == ["placed", "placed", "correct", "correct"]
        assert r.faults() == []
        assert corrected(r.entries()) == {3}


def test_correcting_a_reading_lowers_no_level(do, site):
    log(do, "placed", "10", "--each")
    log(do, "wind", "40 mph")
    level = json.loads(do("now", "--json")[1])["level"]
    log(do, "correct", "2", at="12:05")
    log(do, "wind", "4 mph", at="12:06")
    data = json.loads(do("now", "--json")[1])
    assert data["level"] == level == "keep-away"
    assert [r["entry"] for r in data["readings"]] == [4]
    assert "Entry 2 was corrected" in flat(" ".join(data["why"]))


# Whose record it is


@pytest.mark.parametrize(
    ("was", "now"),
    [('length = "18 ft"', 'length = "24 ft"'), ("Triage annex", "Another place"), ("points_per_side = 4", "points_per_side = 5")],
)  # fmt: skip
def test_the_record_of_another_shelter_is_refused_in_a_sentence(do, site, tmp_path, capsys, was, now):
    log(do, "placed", "10", "--each")
    assert was in AS_BUILT
    site.write_text(AS_BUILT.replace(was, now), encoding="utf-8")
    for command, more, timed in (("check", [], False), ("outlook", CALM, True), ("now", [], True), ("log", ["note", "x", "--who", "A"], True)):  # fmt: skip
        code, out, err = do(command, *more, timed=timed)
        assert (code, out) == (2, ""), command
        assert "is that of another shelter" in err
    assert do("check", "--as-planned", timed=False)[0] in (0, 1, 3)
    main(["fleet", str(tmp_path), "--json", "--now", f"{DAY}12:30:00Z"])
    assert json.loads(capsys.readouterr()[0])["deployments"][0]["verdict"] == "unusable"
    do("log", "note", "sizes mended", "--same-shelter", "--who", "A. Lee")
    assert do("check", timed=False)[0] in (0, 1, 3)


# States


def test_a_worse_state_goes_over_every_point_and_a_better_one_over_none():
    text = PEOPLE + '\n[[point]]\nid = "L1"\nstate = "dry"\n\n[[point]]\nid = "L2"\nstate = "ice"\n'
    d = read_text(text)
    for state, at in (("ice", ["ice", "ice"]), ("wet", ["wet", "ice"]), ("dry", ["dry", "ice"])):
        assert [p.state for p in states.over_points(d, state).point] == at
        assert [p.state for p in override(d, state=state)[0].point] == at
    ice = make_plan(override(d, state="ice", placed=10)[0]).limit.gust_m_s
    alone = make_plan(override(read_text(PEOPLE), state="ice", placed=10)[0]).limit.gust_m_s
    assert ice == pytest.approx(alone)


def test_the_columns_of_the_card_are_one_state_everywhere():
    dry = "".join(f'\n[[point]]\nid = "{i}"\nstate = "dry"\n' for i in ("L1", "L2", "L3", "L4"))
    own, plain = card.card(read_text(PEOPLE + dry)), card.card(read_text(PEOPLE))
    assert own.rows == plain.rows


@pytest.mark.parametrize("surface", ["asphalt", "grass", "clay", "a moor"])
def test_ice_is_the_worst_state_and_dry_the_best_on_every_surface(surface):
    for state in ("wet", "frozen", "snow"):
        assert states.worse(surface, "ice", state) == "ice"
        assert states.worse(surface, "dry", state) == state


# What was written before


@pytest.fixture
def before(tmp_path):
    for path in HERE.iterdir():
        shutil.copy(path, tmp_path)
    return tmp_path


WAS = json.loads((HERE / "was.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize("name", ["asphalt", "clay", "mixed", "winter"])
def test_a_file_of_the_first_version_opens_and_is_judged(before, name, capsys):
    code = main(["check", str(before / f"{name}.toml"), "--as-planned", "--json"])
    data = json.loads(capsys.readouterr()[0])
    assert code in (0, 1, 3)
    if data["verdict"] != WAS[name]["verdict"]:
        assert data["reasons"], "what changed its verdict is said"


def test_a_record_of_the_first_version_opens_and_says_what_it_leaves_open(before, capsys):
    site = before / "asphalt.toml"
    with Record(path_of(site)) as r:
        assert r.faults(WAS["now"]["last"]) == []
        assert len(r.entries()) == 19
    code = main(["now", str(site), "--now", WAS["now"]["at"], "--json"])
    data = json.loads(capsys.readouterr()[0])
    assert (code, data["verdict"], data["level"]) == (1, "no-go", "people-out")
    assert any(w.startswith("Entry 2 says 10 placed and not whether at each point") for w in data["why"])
    assert (
        main(["check", str(site), "--full"]) == 1
    )  # its last reading stands at people out, whatever is open besides
    assert "Entry 2 says 10 placed" in flat(capsys.readouterr()[0])
    args = ["log", str(site), "placed", "10", "--each", "--who", "C. Diaz", "--now", "2026-03-10T15:06:00Z"]
    assert main(args) == 0  # it goes on, and its chain stays whole
    with Record(path_of(site)) as r:
        assert r.faults(WAS["now"]["last"]) == []
        assert set(r.files()) == {r.entries()[-1].file}


# Kept means kept


def test_a_trigger_that_swallows_entries_is_named_and_nothing_is_acknowledged(do, site):
    log(do, "note", "one")
    db = sqlite3.connect(path_of(site), isolation_level=None)
    db.execute("CREATE TRIGGER eat BEFORE INSERT ON entries BEGIN SELECT RAISE(IGNORE); END")
    db.close()
    code, out, err = do("log", "note", "two", "--who", "A. Lee")
    assert (code, out) == (2, "")
    assert "NOT KEPT" in err
    assert "eat" in err


def test_an_entry_after_a_broken_chain_says_so(do, site):
    log(do, "note", "one")
    db = sqlite3.connect(path_of(site), isolation_level=None)
    db.execute("DROP TRIGGER no_change")
    db.execute("UPDATE entries SET who = 'B'")
    db.close()
    assert "BEFORE THIS ENTRY THE RECORD WAS CHANGED: entry 1 was changed" in log(do, "note", "two")


def test_the_text_of_the_file_is_kept_once_and_only_as_it_was(do, site):
    log(do, "note", "one")
    log(do, "note", "two")
    with Record(path_of(site)) as r:
        assert list(r.files()) == [fingerprint(site.read_bytes())]
        assert r.files()[fingerprint(site.read_bytes())] == (AS_BUILT,)
    db = sqlite3.connect(path_of(site), isolation_level=None)
    with pytest.raises(sqlite3.IntegrityError, match="append-only"):
        db.execute("UPDATE files SET parts = '[]'")
    db.execute("DROP TRIGGER no_change_of_file")
    db.execute("UPDATE files SET parts = '[\"x\"]'")
    db.close()
    with Record(path_of(site)) as r:
        assert r.files() == {}  # not the text that was fingerprinted


def test_what_this_version_does_not_know_is_said_and_leaves_no_go(do, site):
    log(do, "placed", "10", "--each")
    log(do, "setup")
    log(do, "wind", "5 mph")
    assert do("now")[0] == 0
    with Record(path_of(site), write=True) as r:
        r.append(
            at=1773144100, written=1773144100, who="A", event="drill", data={}, file=r.entries()[-1].file
        )
    code, out, _ = do("now")
    assert code == 3
    assert 'is a "drill", which this version does not know' in flat(out)
    assert do("check", timed=False)[0] != 0


def test_every_event_has_words_and_one_that_changes_the_installation_is_put_over_it(do, site):
    """The table is the one list: what it says changes something does."""
    values = {
        "placed": ["1", "--each"],
        "doors": ["open"],
        "straps": ["locked"],
        "state": ["ice"],
        "snow": ["3 in"],
    }
    assert {e.name for e in EVENTS.values() if e.changes} == set(values)
    plain = read_file(site)
    for event, args in values.items():
        path_of(site).unlink(missing_ok=True)
        log(do, event, *args)
        d = put_over(plain, site)
        assert d.record.changes, event
        assert d.under(None) != plain, event


def test_a_record_read_by_itself_needs_no_file_that_was_kept(site):
    """Recorded is what everything is judged by; without entries nothing is put over."""
    d = read_file(site)
    assert read_record(site, d.shelter) is None
    s = stand(assess(d), Recorded((), (), {}, ""), 100)
    assert (s.verdict, s.record) == ("unknown", None)


# The level at which the record stands, and what was inspected


TWENTY = ["--say", "for the next 20 hours gust 15 mph", "--heard", "14:30", "--zone", "UTC"]


def told(do, command, *more, timed=False):
    code, out, err = do(command, *more, "--json", timed=timed, at="14:30")
    assert not err, err
    data = json.loads(out)
    return code, data["verdict"], {r["code"] for r in data.get("reasons", [])}, data


def test_a_reading_over_the_limit_is_no_go_for_every_command(do, site, tmp_path, capsys):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    assert do("check", timed=False)[0] == 0
    log(do, "wind", "60 mph", at="14:10")
    for at, calmer in (("14:10", False), ("14:20", True)):
        if calmer:  # a lower reading relaxes nothing
            log(do, "wind", "3 mph", at=at)
        code, verdict, codes, data = told(do, "check")
        assert (code, verdict) == (1, "no-go")
        assert "record-level" in codes
        assert data["subjects"]["set up"] == data["subjects"]["stay up with people in"] == "no-go"
        assert data["record"]["level"]["level"] == "keep-away"
        assert do("limit", timed=False)[0] == 1
        code, verdict, codes, data = told(do, "outlook", *TWENTY, timed=True)
        assert (code, verdict) == (1, "no-go")
        assert "record-level" in codes
        assert {n["because"] for n in data["deadline_notes"]} == {"a reading in the record"}
        first = data["hours"][0]
        assert first["level"] == "keep-away"
        assert first["subjects"]["set up"] == first["subjects"]["stay up with people in"] == "no-go"
        assert main(["fleet", str(tmp_path), "--json", "--now", f"{DAY}14:30:00Z"]) == 1
        assert json.loads(capsys.readouterr()[0])["deployments"][0]["verdict"] == "no-go"
        for more in ([], ["--card"]):
            page = tmp_path / "page.html"
            assert do("sheet", "-o", page, *more, at="14:30")[0] == 0
            text = flat(page.read_text(encoding="utf-8"))
            assert (
                "60 mph was read at Tue 14:10 UTC (entry 3): KEEP AWAY until an all-clear that counts" in text
            )
            assert "<h1>GO" not in text
            assert "GO: stay up" not in text.replace("NO-GO: stay up", "")
    words = flat(do("check", timed=False)[1])
    assert (
        "60 mph was read at Tue 14:10 UTC (entry 3): KEEP AWAY until an all-clear that counts (anchorage now site.toml)"
        in words
    )
    assert do("check", "--as-planned", timed=False)[0] == 0
    out = flat(do("now", at="14:30")[1])
    assert "60 mph was read at Tue 14:10 (entry 3): KEEP AWAY" in out


def test_an_all_clear_that_counts_lets_the_level_go(do, site):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    log(do, "wind", "60 mph", at="14:10")
    log(do, "wind", "3 mph", at="14:45")
    log(do, "inspection", "failed", "--note", "frame leg cracked", at="14:50")
    log(do, "all-clear", at="14:55")
    assert "record-level" in told(do, "check")[2]
    log(do, "inspection", "passed", "--note", "leg replaced", at="15:00")
    assert "record-level" in told(do, "check")[2]
    log(do, "all-clear", at="15:05")
    assert told(do, "check")[:2] == (0, "go")


def test_secure_stops_setting_up_and_not_staying(do, site):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    limit = told(do, "check")[3]["limit"]["gust_m_s"]
    log(do, "wind", f"{limit * 0.62:.2f} m/s", "--averaging", "peak", "--height", "10 m", at="14:10")
    assert told(do, "check", "--gust", "8 mph", "--as-planned")[3]["subjects"]["set up"] == "go"
    data = told(do, "check", "--gust", "8 mph")[3]
    assert data["record"]["level"]["level"] == "secure"
    assert (data["subjects"]["set up"], data["subjects"]["stay up with people in"]) == ("no-go", "go")
    assert do("check", "--for", "set-up", timed=False)[0] == 1


@pytest.mark.parametrize(
    ("words", "verdict", "code"),
    [
        (["frame leg cracked, R1 tote leaking half empty"], "unknown", "inspection-result-unsaid"),
        (["--note", "frame leg cracked"], "unknown", "inspection-result-unsaid"),
        (["failed", "--note", "frame leg cracked"], "no-go", "inspection-failed"),
        (["failed", "--after", "rain"], "no-go", "inspection-failed"),
    ],
)
def test_a_defect_holds_the_go_until_an_inspection_passed(do, site, words, verdict, code):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    out = log(do, "inspection", *words, at="10:10")
    assert ("NOT SAID whether it passed" in out) == (verdict == "unknown")
    for command, more in (("check", []), ("outlook", TWENTY)):
        _, found, codes, _ = told(do, command, *more, timed=command == "outlook")
        assert found == verdict
        assert code in codes
    log(do, "wind", "5 mph", at="14:25")
    assert do("now", at="14:30")[0] == {"no-go": 1, "unknown": 3}[verdict]
    subjects = told(do, "check", "--gust", "8 mph")[3]["subjects"]
    assert subjects["set up"] == subjects["stay up with people in"] == verdict
    log(do, "inspection", "--after", "wind", at="10:15")  # without a result: takes nothing back
    assert told(do, "check")[1] == verdict
    log(do, "inspection", "passed", "--note", "leg replaced", at="10:20")
    assert told(do, "check")[:2] == (0, "go")


def test_what_failed_is_not_passed_by_a_word_alone(do, site):
    """Seconds later and with nothing done the tear is still there."""
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    log(do, "inspection", "failed", "--note", "roof torn", at="10:10")
    log(do, "inspection", "passed", at="10:11")
    found = told(do, "check")
    assert found[1] == "no-go"
    assert "inspection-failed" in found[2]
    assert "nothing says what was mended" in flat(do("check", timed=False)[1])
    log(do, "action", "roof laced up again", at="10:20")
    assert told(do, "check")[1] == "no-go", "what was done is not an inspection"
    log(do, "inspection", "passed", at="10:25")
    assert told(do, "check")[:2] == (0, "go")


def test_an_inspection_without_result_or_words_is_as_before(do, site):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    log(do, "inspection", "--after", "rain", at="10:10")
    assert told(do, "check")[:2] == (0, "go")


def test_notes_and_actions_are_shown_and_not_judged(do, site):
    log(do, "placed", "10", "--each", at="10:00")
    log(do, "setup", at="10:00")
    log(do, "note", "R1 tote looks low", at="10:10")
    log(do, "action", "two ratchets replaced", at="10:20")
    code, out, _ = do("check", timed=False)
    assert code == 0
    for text in (out, do("now", at="14:30")[1]):
        assert "R1 tote looks low" in flat(text)
        assert "two ratchets replaced" in flat(text)


def test_a_test_that_counts_nothing_is_refused_with_what_is_missing(do, site):
    code, out, err = do("log", "test", "5 lbf", "--kind", "drag", "--who", "A. Lee")
    assert code not in (0, 1)
    assert not out
    for words in ("it would count nothing", "no [[test]] of kind drag", "what load", "--where POINT"):
        assert words in flat(err)
    assert not path_of(site).exists() or not Record(path_of(site)).entries()
