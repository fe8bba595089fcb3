"""What ``tests/fuzz`` found, each input by itself, and that it now ends in a refusal or in an entry that says it was changed."""

import contextlib
import json
import sqlite3
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
import region_kit
from outlook_kit import LIMITS, at, forecast, judged

from anchorage.cli.entry import main
from anchorage.core import tables
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.demo import demo_text
from anchorage.deployment.draft import read_draft
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan
from anchorage.outlook.hours import Span
from anchorage.outlook.rule import VERDICTS
from anchorage.record.store import START, Record, path_of, sealed
from anchorage.region import probe
from tui import owner, store
from tui.fields import KEYS

NOW = ("--now", "2026-03-10T18:00:00Z")
AT = 1_773_165_600
DIGITS = "9" * 5000


# a whole number of more digits than Python turns into one


def test_a_number_of_thousands_of_digits_in_a_deployment():
    with pytest.raises(InputFaults, match="site: not readable as TOML: a number of too many digits"):
        read_text(f"[shelter]\npoints_per_side = {DIGITS}", "site")


def test_a_number_of_thousands_of_digits_in_a_shelter_file(tmp_path):
    (tmp_path / "kept.toml").write_text(f"[shelter]\npoints_per_side = {DIGITS}")
    with pytest.raises(InputFaults, match=r"shelter\.use: .*cannot be read"):
        read_text('[shelter]\nuse = "kept.toml"', "site", tmp_path)


def test_a_number_of_thousands_of_digits_in_the_interface():
    with pytest.raises(InputFaults, match="too many digits"):
        read_draft(f"[shelter]\npoints_per_side = {DIGITS}", KEYS)


def test_a_number_of_thousands_of_digits_in_a_table(tmp_path):
    (tmp_path / "one.toml").write_text(f"x = {DIGITS}")
    with pytest.raises(tables.TableError, match=r"one\.toml: this is no TOML file"):
        tables.Library(tmp_path)


@pytest.mark.parametrize(
    "typed", [("placed", DIGITS), ("--check", f"{DIGITS}:ab12cd34ef56"), ("--check", "²:ab12cd34ef56")]
)
def test_numbers_that_are_none_on_the_command_line(site, capsys, typed):
    assert main(["log", str(site), *typed, *(("--who", "A. Lee") if typed[0] == "placed" else ()), *NOW]) == 2
    assert "fault of the program" not in capsys.readouterr().err


# what a session left behind

BAD_TIMES = ["1e400", "-1e400", "NaN", "1e300", "1e12", '"x"', "null", "[]", "[" * 3000]


@pytest.mark.parametrize(
    ("typed", "rest"),
    [({"door[0].is": "open"}, {}), ({"door[999999999].is": "open"}, {}), ({"door[" + DIGITS + "].is": "open"}, {}), ({"a": "x", "a[1].b": "y"}, {}), ({}, json.loads("[" * 400 + "]" * 400))],
    ids=range(5),
)  # fmt: skip
def test_a_journal_of_keys_that_are_none_is_no_journal_or_can_be_written(tmp_path, typed, rest):
    doc = store.Document(tmp_path / "j.toml")
    doc.journal.write_text(
        json.dumps({"journal": 1, "at": 1.0, "was": "", "typed": typed, "rest": {"site": rest}})
    )
    found = store.read_journal(doc)
    assert found is None or doc.text_of(found.draft)


@pytest.mark.parametrize("at", BAD_TIMES)
def test_a_journal_of_no_time_is_no_journal(tmp_path, at):
    doc = store.Document(tmp_path / "j.toml")
    said = f'"journal": 1, "at": {at}, "was": "", "typed": {{"wind.speed": "1 mph"}}, "rest": {{}}'
    doc.journal.write_text(f"{{{said}}}")
    found = store.read_journal(doc)
    assert found is None or found.when


@pytest.mark.parametrize("number", BAD_TIMES)
def test_who_has_the_file_where_that_cannot_be_read(tmp_path, number):
    journal = tmp_path / ".j.toml.journal"
    for key in ("since", "process"):
        said = {"since": "1.0", "process": "1", key: number}
        owner.place_file(journal, 1).write_text(
            f'\0{{"machine": "m", "since": {said["since"]}, "process": {said["process"]}}}'
        )
        assert owner.who(journal)


@pytest.mark.parametrize("text", ["[" * 3000, "nan", '{"recent": ["%s", "a\\u0000b", 1]}' % ("x" * 5000)])
def test_settings_that_cannot_be_read_are_none(tmp_path, monkeypatch, text):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path))
    (tmp_path / "anchorage").mkdir()
    (tmp_path / "anchorage" / "remembered.json").write_text(text)
    assert store.recent() == []


# a record that somebody changed who knows how


EVENTS = (
    ("setup",),
    ("placed", "12", "--each"),
    ("wind", "5 mph", "--averaging", "peak"),
    ("snow", "1 in"),
    ("straps", "locked"),
    ("state", "dry"),
    ("inspection",),
    ("note", "calm"),
)
CHANGES = [
    ("at", 10**18), ("at", "noon"), ("at", -1), ("at", None), ("at", 1.5), ("written", 2**62), ("who", None), ("who", b"\xff"), ("event", 7), ("seal", b"x"), ("id", "x"), ("file", None),
    ("data", None), ("data", b"{}"), ("data", "[" * 3000), ("data", "[]"), ("data", "{}"), ("data", '{"speed_m_s": "x", "height_m": 2, "averaging": "3 s"}'),
    ("data", '{"speed_m_s": NaN, "height_m": 2, "averaging": "3 s"}'), ("data", '{"count": "many"}'), ("data", '{"count": true}'), ("data", '{"straps": []}'), ("data", '{"state": "lava"}'),
    ("data", '{"depth_m": 1e999, "typed": "x"}'), ("data", '{"note": {"a": 1}}'), ("data", '{"after": "x"}'), ("event", "wind"), ("event", "placed"), ("event", "snow"), ("event", "straps"),
]  # fmt: skip


@pytest.fixture(scope="module")
def loose(tmp_path_factory):
    """A record in which no more triggers stand and whose table takes anything; as it is, people may stay in."""
    site = tmp_path_factory.mktemp("loose") / "site.toml"
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    for event in EVENTS:
        assert main(["log", str(site), *event, "--who", "A. Lee", *NOW]) == 0
    assert main(["now", str(site), *NOW]) == 0
    with contextlib.closing(sqlite3.connect(path_of(site), isolation_level=None)) as db:
        db.execute("DROP TRIGGER no_change")
        db.execute("CREATE TABLE other AS SELECT * FROM entries")
        db.execute("DROP TABLE entries")
        db.execute("ALTER TABLE other RENAME TO entries")
        db.execute("PRAGMA journal_mode = DELETE")
    assert main(["now", str(site), *NOW]) == 0
    return path_of(site).read_bytes()


@pytest.fixture
def logged(site, loose):
    """The site with that record."""
    path_of(site).write_bytes(loose)
    return site


@pytest.mark.parametrize(("column", "value"), CHANGES, ids=range(len(CHANGES)))
def test_a_record_that_was_changed_says_so_and_is_never_go(logged, capsys, column, value):
    with contextlib.closing(sqlite3.connect(path_of(logged), isolation_level=None)) as db:
        db.execute(f"UPDATE entries SET {column} = ?", (value,))  # noqa: S608 - the names are above
    for typed in (["now", str(logged), *NOW], ["log", str(logged)]):
        code = main(typed)
        out, err = capsys.readouterr()
        assert code in (1, 2, 3)
        assert "fault of the program" not in err
        assert code == 2 or "THE RECORD WAS CHANGED" in out


def test_an_entry_that_fits_no_event_is_a_fault_even_if_its_seal_is_right(logged):
    data = json.dumps({"count": "many"})
    with contextlib.closing(sqlite3.connect(path_of(logged), isolation_level=None)) as db:
        db.execute("DELETE FROM entries")
        db.execute(
            "INSERT INTO entries VALUES (1, ?, ?, 'A', 'placed', ?, '', ?, ?)",
            (AT, AT, data, START, sealed(START, 1, AT, AT, "A", "placed", data, "")),
        )
    with Record(path_of(logged)) as r:
        assert r.faults() == ["entry 1 cannot be read: it was changed after it was written"]
        assert [e.event for e in r.entries()] == ["unreadable"]


def test_a_database_whose_error_is_no_text(site, capsys):
    main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW])
    with contextlib.closing(sqlite3.connect(path_of(site), isolation_level=None)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        db.execute("PRAGMA journal_mode = DELETE")
    raw = path_of(site).read_bytes()
    path_of(site).write_bytes(raw.replace(b"event TEXT", b"event TE\xd8T"))
    capsys.readouterr()
    assert main(["log", str(site)]) == 2
    assert "is no record, or it is damaged" in capsys.readouterr().err


# a deployment


def test_stakes_so_thick_that_they_stand_too_close():
    d = read_text(demo_text("clay").replace('diameter = "1 in"', 'diameter = "1.5 in"'), "site")
    with contextlib.suppress(AnchorageError):
        make_plan(d).to_json()


# a forecast


def test_snow_of_no_amount_is_never_go_for_an_empty_shelter_either():
    snow = Span(at("2026-03-10T18"), at("2026-03-10T19"), 1.0, None, "snow or ice without an amount (-SN)")
    (hour,) = judged(replace(forecast(17.0), unmeasured=(snow,)))
    assert (hour.level, hour.uses) == (
        "people-out",
        {"working": "no-go", "people-in": "no-go", "empty": "unknown", "set-up": "no-go"},
    )
    assert judged(forecast(17.0))[0].uses["empty"] == "go"


def test_snow_with_no_rating_is_never_go_for_an_empty_shelter_either():
    falls = Span(at("2026-03-10T18"), at("2026-03-10T19"), 5.0)
    cold = Span(at("2026-03-10T18"), at("2026-03-10T19"), -5.0)
    (hour,) = judged(
        replace(forecast(17.0), water=(falls,), temperature=(cold,)), limits=replace(LIMITS, roof_snow=None)
    )
    assert hour.uses["empty"] == "unknown"


def test_snow_that_is_missing_in_a_grid_is_never_go_for_an_empty_shelter_either():
    for water, said in ((np.zeros((24, 2, 3)), "go"), (np.full((24, 2, 3), np.nan), "unknown")):
        d = region_kit.deployment(start="2026-03-10T18:00Z", end="2026-03-11T00:00Z")
        limit = float(make_plan(d).limit.gust_m_s or 0.0)
        ds = region_kit.grid(gust=np.full((24, 2, 3), 0.9 * limit), water=water)
        _, found = region_kit.region(ds, d, use="empty")
        assert set(found["verdict"].values.ravel().tolist()) == {VERDICTS.index(said)}


def test_a_bulletin_that_breaks_off_within_a_number_is_refused():
    whole = "KZZZ    NBM V4.1 NBH GUIDANCE    3/10/2026  1700 UTC\nUTC  18 19 20 21\nGST   8 10 12 45"
    assert [h.wind.gust for h in judged(whole)][-1] > 20.0
    with pytest.raises(InputFaults, match=r"line GST, column 4: read '4'; .* ends where its column ends"):
        judged(whole[:-1])


@pytest.mark.parametrize("cell", ["-9999", "999999999"])
def test_a_temperature_that_cannot_be_is_refused_by_its_line(cell):
    with pytest.raises(InputFaults, match=r"line 2, temperature: read .* a value that can be meant"):
        judged(
            f"time,gust (mph),temperature (degC)\n2026-03-10T18:00:00Z,12,{cell}\n2026-03-10T19:00:00Z,12,1\n"
        )


# a grid


@pytest.mark.parametrize("way", ["hangs", "dies"])
def test_a_grid_with_which_its_library_hangs_or_dies_is_refused(site, tmp_path, capsys, monkeypatch, way):
    path = tmp_path / "g.nc"
    region_kit.grid(2).to_netcdf(path, engine="h5netcdf")
    assert main(["region", str(site), "--grid", str(path), *NOW]) in (0, 1, 3)
    if way == "hangs":
        monkeypatch.setattr(probe, "PATIENCE", 1e-3)
    else:
        monkeypatch.setattr(probe.subprocess, "run", lambda *_, **__: SimpleNamespace(returncode=-11))
    capsys.readouterr()
    assert main(["region", str(site), "--grid", str(path), *NOW]) == 2
    assert "g.nc: it is damaged" in capsys.readouterr().err
