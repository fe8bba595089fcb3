"""What a count or a word in the record may not do: stand for another unit, be more than a point can have, or hide a danger in a note."""

import calendar
import json
from dataclasses import replace

import pytest

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.core.dangers import Kind, dangers
from anchorage.core.outputs import METER
from anchorage.core.textfile import exists, fingerprint
from anchorage.deployment.reader import read_file
from anchorage.record.events import Said, data_of
from anchorage.record.kinds import EVENTS
from anchorage.record.noted import DANGERS, open_in, thundered, unanswered
from anchorage.record.stand import watched
from anchorage.record.store import Entry, Record, path_of
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


# --- a danger in words


NOTED = {
    "thunder heard": ("thunder",), "lightening to the west": ("thunder",), "trueno a lo lejos": ("thunder",), "l'orage arrive": ("thunder",),
    "gust 60 mph": ("wind", "60 mph"), "wind picking up": ("wind", "12 mph"), "meter shows 60": ("wind", "60 mph"), "wind is 60": ("wind", "60 mph"), "coup de vent": ("wind", "9 m/s"), "35 kn out there": ("wind", "35 kt"),
    "bags removed": ("placed", "18", "--each"), "took two stakes out": ("placed", "18", "--each"), "falta una estaca": ("placed", "18", "--each"), "un sac enlevé": ("placed", "18", "--each"),
    "ground thawing": ("state", "wet"), "Suelo mojado": ("state", "wet"), "dégel": ("state", "wet"), "raining hard": ("state", "wet"),
    "frame bent": ("inspection", "passed"), "strap torn": ("inspection", "passed"), "poste doblado": ("inspection", "passed"), "L2 lifting": ("inspection", "passed"),
    "water on the roof": ("inspection", "passed"), "branch fell on the roof": ("inspection", "passed"), "feet sinking in": ("inspection", "passed"), "back door open": ("doors", "closed"), "6 in of snow up there": ("snow", "1 in"),
    **dict.fromkeys(("started to take it down", "people are already dismantling", "we are striking the shelter", "empezamos a desmontar", "on démonte"), ("coming-down",)),
    **dict.fromkeys(("half the roof is down", "half way up only", "cover not on yet", "the east side is loose", "pole has a kink", "frame leg folded", "rail not locked", "cracking noise from the ridge",
                     "it has crept", "truck clipped a guy", "vehicle backed into it", "branch down on roof", "power line sparking above", "evacuate", "CO alarm chirps", "smells of gas"), ("inspection", "passed")),
    **dict.fromkeys(("L1 has 2 bags", "R2 has none", "only 60 bags found", "se cayó una estaca", "tied to the hydrant", "short by ten"), ("placed", "18", "--each")),
    "ground turned to soup": ("state", "wet"), "zipper of back wall wont close": ("doors", "closed"), **dict.fromkeys(("hair stands up", "heard boom in the west", "sirens"), ("thunder",)), "rotating cloud": ("wind", "9 m/s"),
}  # fmt: skip


def entry(n, at, event, **data):
    """An entry as it is in a record."""
    return Entry(n, at, at, "A", event, data, "", "", "")


def said(event, *value):
    """The data of what is typed after log FILE."""
    how = "each" if value[-1:] == ("--each",) else None
    return data_of(Said(event, (*value, None)[0], who="A", how=how), ("R1",), ())


@pytest.mark.parametrize("words", NOTED)
def test_a_danger_in_words_is_found_and_answered_by_the_entry_that_it_should_be(words):
    event, *value = NOTED[words]
    for e in ("note", "action", "setup", "hand-over"):
        [heard] = open_in(e, {"note": words})
        assert DANGERS[heard.kind].event == event
    own = said(event, *value)
    assert bool(open_in(event, own | {"note": words})) == (own.get("result") == "passed")
    note, answer = entry(1, 100, "note", note=words), entry(2, 200, event, **own)
    other = entry(3, 300, "doors" if event != "doors" else "straps", doors="open", straps="locked")
    if event == "thunder":  # it counts as thunder, for as long as that is waited for
        assert (thundered([note]), unanswered([note])) == ([note], [])
        return
    assert [x for x, _ in unanswered([note, other])] == [note]
    assert unanswered([note, answer]) == []
    assert unanswered([replace(answer, at=50, id=0), note]) != [], "what was before it answers nothing"


@pytest.mark.parametrize(
    "words",
    [
        "R2 has only 5, could not see the back",
        "ok apart from L3",
        "R1 not reached",
        "water under the feet",
        "failed",
        "bien salvo atrás",
        "tout sauf le fond",
    ],
)
def test_a_look_that_passed_with_words_that_take_it_back_is_asked_about(words):
    assert open_in("inspection", {"result": "passed", "note": words})
    assert not open_in("inspection", {"result": "failed", "note": words})


def kept_before(site, at, words):
    """A note as an older version kept it, or another program."""
    raw, then = site.read_bytes(), calendar.timegm((2026, 3, 10, 12, at, 0))
    with Record(path_of(site), write=True) as r:
        r.append(
            at=then,
            written=then,
            who="A",
            event="note",
            data={"note": words},
            file=fingerprint(raw),
            parts=[raw],
        )


def test_a_danger_in_words_alone_is_not_kept_and_one_of_an_older_record_is_no_go(do, log, site):
    log("placed", "20", "--each", at="12:00")
    log("setup", at="12:01")
    log("wind", "5 mph", "--averaging", "peak", at="12:10")
    for typed, way in (
        (("note", "thunder heard"), "log FILE thunder"),
        (("note", "gust 60 mph"), "log FILE wind"),
        (("wind", "5 mph", "--note", "it was 60 mph before"), "log FILE wind"),
        (("action", "bags removed"), "log FILE placed"),
        (("inspection", "passed", "--note", "frame bent"), "log FILE inspection failed"),
        (("inspection", "passed", "--note", "failed"), "log FILE inspection failed"),
        (("wind", "5 mph", "--note", "read behind the truck"), "log FILE wind"),
    ):
        code, _, err = do("log", *typed, "--who", "A. Lee", at="12:11")
        assert (code, "NOT KEPT" in err, way in err) == (2, True, True), err
        assert "--only-a-note" in err
    kept_before(site, 11, "bags removed")
    code, out, _ = do("check")
    assert "Entry 4 says 'bags ... removed' in words alone" in out
    assert code == 3
    assert do("now", at="12:12")[0] == 3
    log("placed", "19", "--each", at="12:12")
    kept_before(site, 13, "thunder heard")
    assert "PEOPLE OUT" in do("now", at="12:42")[1]
    log("inspection", "passed", at="12:43")
    assert do("now", at="12:44")[0] == 0


def test_a_lower_reading_is_no_answer_to_a_speed_in_words(do, log, site):
    kept_before(site, 5, "gusts of 60,5 km/h")
    log("wind", "5 mph", "--averaging", "peak", at="12:10")
    assert "in words alone" in do("now", at="12:20")[1]
    log("wind", "38 mph", "--averaging", "peak", "--at", "12:04Z", at="12:10")
    assert "in words alone" not in do("now", at="12:20")[1]


@pytest.mark.parametrize("words", ["no thunder today", "strap torn"])
def test_what_is_said_to_be_no_danger_is_believed_of_weather_and_looked_at_else(do, log, words):
    log("placed", "20", "--each", at="12:00")
    log("setup", at="12:01")
    log("wind", "5 mph", "--averaging", "peak", at="12:10")
    log("note", words, "--only-a-note", at="12:12")
    code, out, _ = do("now", at="12:20")
    assert f"{words} (SAID TO BE NO DANGER NOW)" in out
    assert code == {"strap torn": 3}.get(words, 0)
    log("inspection", "passed", "--note", "torn strap replaced", "--only-a-note", at="12:21")
    assert do("now", at="12:22")[0] == 0


FREE = (
    "coffee for eight", "lines tightened", "two ratchets replaced", "R1 tote looks low", "all tight", "leg replaced", "relief crew is here", "guide arrivé", "todo en orden",
    "calm", "generator refuelled", "bags counted, all there", "roof laced up again", "gate moved", "pulled to 2 kN", "père 🚑",
)  # fmt: skip


def test_free_words_stay_free():
    assert [w for w in FREE if dangers(w)] == []
    right = {h.kind for h in dangers("quitamos las bolsas del lado derecho")}
    assert (Kind.PLACED in right, Kind.THUNDER in right) == (True, False), "on the right, no storm"


def test_the_lists_of_dangers_in_words_are_whole():
    """Each kind in each language, each word of weather that warns, and an entry that it should be."""
    assert {k.event for k in DANGERS.values()} < set(EVENTS)
    assert set(DANGERS) == set(Kind)
    alone, things = ({(c.means, c.note) for c in tables.codes(n).values()} for n in ("noted", "noted-things"))
    assert alone | things == {(k.value, x) for k in Kind for x in ("en", "es", "fr")}
    for kind, _ in things:
        of = tables.codes(f"noted-of-{Kind(kind).name.lower()}").values()
        assert [(c.means, c.note) for c in of] == [(kind, x) for x in ("en", "es", "fr")]
    assert [w.key for w in tables.codes("weather-words").values() if w.danger and not dangers(w.key)] == []


# --- a file under another name


def checked(path, capsys):
    capsys.readouterr()
    code = main(["check", str(path), "--json"])
    data = json.loads(capsys.readouterr().out)
    return code, [r["code"] for r in data["reasons"]], data["record"]


def test_a_file_that_was_renamed_is_no_go_until_its_record_is_with_it_again(log, site, tmp_path, capsys):
    log("placed", "20", "--each", at="12:00")
    log("setup", at="12:01")
    log("wind", "60 mph", at="12:05")
    minutes = site.with_name(site.name + METER)
    minutes.write_bytes(b"")
    now = ["--who", "A. Lee", "--now", "2026-03-10T12:30:00Z"]
    copy, link = tmp_path / "copy.toml", tmp_path / "link.toml"
    copy.write_text(AS_BUILT, encoding="utf-8")
    code, reasons, record = checked(copy, capsys)
    assert (code, reasons, record["entries"]) == (0, [], 0), (
        "a copy is judged by itself, and says whose it is"
    )
    assert "stands beside site.toml, of which this is a copy" in record["notes"][0]
    log_of_another = tmp_path / "again.toml"
    log_of_another.write_text(AS_BUILT, encoding="utf-8")
    assert (
        main(["log", str(log_of_another), "setup", "--who", "A. Lee", "--now", "2026-03-10T12:10:00Z"]) == 0
    )
    (note,) = checked(copy, capsys)[2]["notes"]
    assert "stand beside again.toml, site.toml, of which this is a copy" in note
    assert main(["log", str(copy), "note", "a drill", *now]) == 0
    link.symlink_to(site)
    assert checked(link, capsys)[:2] == (3, ["record-left-beside"])
    link.unlink()
    renamed = site.rename(tmp_path / "renamed.toml")
    assert checked(renamed, capsys)[:2] == (3, ["record-left-beside"])
    other = tmp_path / "other.toml"
    other.write_text(
        AS_BUILT.replace('name = "', 'name = "Other ', 1).replace('length = "20 ft"', 'length = "21 ft"'),
        encoding="utf-8",
    )
    assert "record-left-beside" not in checked(other, capsys)[1], "another shelter in the same folder"
    for typed in (
        ["now", str(renamed), *now[2:]],
        ["log", str(renamed), "setup", *now],
        ["fleet", str(tmp_path), *now[2:]],
    ):
        code = main(typed)
        out = capsys.readouterr()
        assert (code != 0, "--adopt site.toml.log.db" in " ".join((out.out + out.err).split())) == (
            True,
            True,
        ), typed
    assert main(["log", str(renamed), "--adopt", "nothing.log.db", *now]) == 2
    assert main(["log", str(renamed), "--adopt", path_of(site).name, *now]) == 0
    code, reasons, record = checked(renamed, capsys)
    assert (code, reasons[0], record["entries"]) == (1, "record-level", 4)
    assert not exists(path_of(site))
    assert (exists(minutes), exists(renamed.with_name(renamed.name + METER))) == (False, True)


def test_a_record_that_is_of_another_shelter_is_left_when_somebody_says_so(log, site, tmp_path, capsys):
    log("placed", "20", "--each", at="12:00")
    renamed = site.rename(tmp_path / "renamed.toml")
    now = ["--who", "A. Lee", "--now", "2026-03-10T12:30:00Z"]
    assert main(["log", str(renamed), "setup", "--new-record", *now]) == 0
    assert main(["log", str(renamed), "setup", "--new-record", *now]) == 2
    assert "record-left-beside" not in checked(renamed, capsys)[1]


def test_a_record_of_what_was_taken_down_holds_nobody_up(log, site, tmp_path, capsys):
    log("placed", "20", "--each", at="12:00")
    log("setup", at="12:01")
    log("struck", at="12:02")
    assert checked(site.rename(tmp_path / "renamed.toml"), capsys)[2] is None


# --- a clock that goes slow


def test_what_another_clock_wrote_for_later_is_no_go_by_a_slow_one(do, log, site, capsys, monkeypatch):
    """Asked by the clock of the machine; with a time that somebody gives it is as it was then."""
    log("placed", "20", "--each", at="12:00")
    log("setup", at="12:01")
    log("wind", "5 mph", "--averaging", "peak", at="12:10")
    log("wind", "60 mph", "--averaging", "peak", at="13:30")
    assert do("now", at="12:15")[0] == 0
    monkeypatch.setattr("anchorage.cli.paper.moment", lambda *_: calendar.timegm((2026, 3, 10, 12, 15, 0)))
    code = main(["now", str(site), "--zone", "UTC"])
    out = " ".join(capsys.readouterr().out.split())
    assert code == 3
    assert "THE RECORD IS AHEAD OF THIS CLOCK" in out
    assert "Entry 4 is of Tue 13:30" in out
    d = read_file(site)
    assert watched(d, site, calendar.timegm((2026, 3, 10, 12, 15, 0))).level == "keep-away", (
        "a meter on that machine"
    )


# --- what stands after taking down was begun, and a level that every use hears


@pytest.mark.parametrize("ended", ["setup", "correct"])
def test_a_taking_down_that_was_begun_leaves_no_count_and_no_go(do, log, site, ended):
    log("setup", at="11:00")
    log("placed", "20", "--each", at="11:01")
    log("wind", "4 mph", "--averaging", "peak", at="12:20")
    assert do("check")[0] == 0
    log("coming-down", at="12:22")
    log(*(("correct", "4") if ended == "correct" else ("setup",)), at="12:23")

    def asked():
        return [a["code"] for a in json.loads(do("check", "--json")[1])["record"]["asks"]]

    assert asked() == ["half-down"]
    assert do("check")[0] != 0
    assert "CANNOT SAY" in do("now")[1]
    log("placed", "20", "--where", "L1", at="12:24")
    log("inspection", "passed", at="12:25")
    assert asked() == ["half-down"]
    log("placed", "20", "--each", at="12:26")
    log("inspection", "passed", at="12:27")
    assert asked() == []
    assert do("check")[0] == 0


def test_keep_away_by_the_record_is_no_go_for_an_empty_one_too(do, log, site, capsys):
    log("setup", at="11:00")
    log("placed", "20", "--each", at="11:01")
    log("wind", "60 mph", "--averaging", "peak", at="12:20")
    for command in ("check", "limit"):
        assert do(command, "--for", "empty")[0] == 1
        assert "NO-GO" in do(command, "--for", "empty")[1]
    assert main(["fleet", str(site.parent), "--for", "empty"]) == 1
    assert "NO-GO" in capsys.readouterr().out


def test_a_reading_is_a_share_of_what_was_counted_and_not_of_the_plan(do, log, site):
    site.write_text(AS_BUILT.replace("placed = 20\n", "", 1), encoding="utf-8")
    log("setup", at="11:00")
    log("placed", "L1 8; L2 11", at="11:01")
    log("wind", "20 mph", "--averaging", "peak", at="12:20")
    text = do("now")[1]
    assert text.startswith("KEEP AWAY")
    assert "of 9 mph" in text
    assert "34 mph" not in text
    assert "76 percent" not in do("now", "--aloud")[1]
    log("placed", "11", "--each", at="12:22")
    assert not do("now")[1].startswith("KEEP AWAY")
    assert "NORMAL" not in do("now")[1]


def test_a_point_that_lost_everything_and_was_put_back_asks_for_a_look(do, log, site):
    log("setup", at="11:00")
    log("placed", "20", "--each", at="11:01")
    log("wind", "4 mph", "--averaging", "peak", at="12:20")
    log("placed", "R1 0", at="12:22")
    assert do("check")[0] == 1
    log("placed", "20", "--each", at="12:24")
    assert do("check")[0] not in (0, 1)
    assert "CANNOT SAY" in do("now")[1]
    log("inspection", "passed", at="12:25")
    assert do("check")[0] == 0
