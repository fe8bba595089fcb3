"""From a stick or a share that can only be read: a record is read there with all that was acknowledged, and copying names every file."""

import json
import os
import shutil
import sqlite3
import tempfile
from pathlib import Path

import pytest
from readonly_kit import as_nobody, close, closed_folder, open_again

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.meter.store import beats
from anchorage.record import places
from anchorage.record.places import address, belongings, go_elsewhere, meant, unmerged
from anchorage.record.store import Record, RecordError, path_of

NOW = ("--now", "2026-03-10T18:00:00Z")
pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork, no other user on this system"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),  # a fork beside threads
]


def logged(site, *words):
    assert main(["log", str(site), *words, "--who", "A. Lee", *NOW]) == 0


@pytest.fixture
def stick():
    """A folder that may be written to until it is closed, with a deployment and two readings."""
    place = closed_folder()
    site = place / "site.toml"
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    for gust in ("20 mph", "24 mph"):
        logged(site, "wind", gust)
    yield site
    open_again(place)


def unplug(site):
    """One more entry, and the record as a pulled plug leaves it: that entry is in the -wal alone."""
    record = path_of(site)
    reader = sqlite3.connect(record, isolation_level=None)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM entries").fetchone()  # nothing is merged while somebody reads
    logged(site, "wind", "32 mph")
    parts = {p: p.read_bytes() for p in (record, *unmerged(record))}
    reader.close()
    for p, raw in parts.items():
        p.write_bytes(raw)
    record.with_name(record.name + "-shm").unlink(missing_ok=True)
    assert [p.name for p in unmerged(record)] == ["site.toml.log.db-wal"]


def entries_of(capfd, site):
    assert as_nobody(lambda: main(["log", str(site), "--json"])) == 0, capfd.readouterr().err
    found = json.loads(capfd.readouterr().out)
    assert found["whole"]
    return [e["data"]["speed"] if "speed" in e["data"] else e["data"] for e in found["entries"]]


@pytest.mark.parametrize("plug", ["taken out", "pulled"])
def test_log_now_check_and_sheet_work_from_a_place_that_can_only_be_read(plug, stick, capfd):
    if plug == "pulled":
        unplug(stick)
    place, many = stick.parent, 3 if plug == "pulled" else 2
    there = Path(tempfile.mkdtemp())
    shutil.copytree(place, there / "copy")
    wanted = main(["now", str(there / "copy" / "site.toml"), *NOW])
    close(place)
    before = sorted(p.name for p in place.iterdir())
    capfd.readouterr()
    assert len(entries_of(capfd, stick)) == many
    assert as_nobody(lambda: main(["now", str(stick), *NOW])) == wanted
    assert "32 mph" in capfd.readouterr().out or many == 2
    assert as_nobody(lambda: main(["check", str(stick)])) in (0, 1, 3)
    assert f"RECORD: {many} entries" in capfd.readouterr().out
    there.chmod(0o777)
    for name in ("a.csv", "a.html"):
        words = ["sheet", str(stick), "-o", str(there / name), *NOW]
        assert as_nobody(lambda words=words: main(words)) == 0, capfd.readouterr().err
        assert (there / name).exists()
    assert as_nobody(lambda: main(["log", str(stick), "--csv", str(there / "log.csv")])) == 0
    assert len((there / "log.csv").read_text().splitlines()) == many + 1
    assert sorted(p.name for p in place.iterdir()) == before, "nothing was left there"
    assert not list(Path(tempfile.gettempdir()).glob("anchorage-*/site.toml.log.db")), "nor elsewhere"
    shutil.rmtree(there)


def test_the_minutes_of_a_wind_meter_are_read_there_too(stick, capfd):
    assert main(["meter", str(stick), "--from", "file:/dev/null", "--for", "1s"]) in (0, 1, 3)
    wanted = [b.source for b in beats(stick)]
    assert wanted
    close(stick.parent)
    capfd.readouterr()
    assert as_nobody(lambda: print(*[b.source for b in beats(stick)])) == 0
    assert capfd.readouterr().out.split() == wanted


def test_what_cannot_be_kept_here_names_every_file_that_goes_along(stick, capfd):
    saved = stick.with_name("saved.toml")
    saved.write_text('[shelter]\nform = "gable"\n')
    text = stick.read_text(encoding="utf-8").replace("[shelter]\n", '[shelter]\nuse = "saved.toml"\n', 1)
    unplug(stick)
    stick.write_text(text, encoding="utf-8")
    assert belongings(stick) == [stick, saved, path_of(stick), stick.with_name("site.toml.log.db-wal")]
    close(stick.parent)
    words = ["log", str(stick), "wind", "30 mph", "--who", "A. Lee", *NOW]
    assert as_nobody(lambda: main(words)) == 2
    err = capfd.readouterr().err
    assert "NOT KEPT" in err
    assert (
        "copy site.toml, saved.toml, site.toml.log.db and site.toml.log.db-wal to a folder that can be written together"
        in err
    )


def test_where_no_copy_can_be_made_nothing_is_left_out_without_a_word(stick, monkeypatch, capsys):
    """SQLite's ``immutable`` reads the first of two files: it is not used where the second holds anything."""
    unplug(stick)

    def closed(*_, **__):
        raise PermissionError(13, "no room anywhere")

    opened = Record._open

    def only_as_it_is(self, path, **how):
        if how.get("immutable") != "1":
            error = sqlite3.OperationalError("unable to open database file")
            error.sqlite_errorcode = sqlite3.SQLITE_CANTOPEN
            raise error
        return opened(self, path, **how)

    monkeypatch.setattr(places.tempfile, "mkdtemp", closed)
    monkeypatch.setattr(Record, "_open", only_as_it_is)
    with pytest.raises(RecordError, match=r"cannot be read here.*site.toml.log.db-wal"):
        Record(path_of(stick))
    for p in unmerged(path_of(stick)):
        p.unlink()
    with Record(path_of(stick)) as r:
        assert len(r.entries()) == 2


def test_a_record_that_somebody_writes_is_copied_again_until_it_stands_still(stick, monkeypatch):
    real, seen = places.shutil.copyfile, []

    def copy(a, b):
        seen.append(a)
        real(a, b)
        if len(seen) == 1:
            logged(stick, "note", "meanwhile")

    monkeypatch.setattr(places.shutil, "copyfile", copy)
    with places.copied(path_of(stick)) as there:
        assert len(seen) >= 2
        with Record(there) as r:
            assert (len(r.entries()), r.faults()) == (3, [])


@pytest.mark.parametrize(
    ("code", "free", "what"),
    [
        (sqlite3.SQLITE_FULL, 10**9, "full"), (sqlite3.SQLITE_IOERR, 0, "full"), (sqlite3.SQLITE_IOERR | 19 << 8, 0, "full"), (sqlite3.SQLITE_CANTOPEN, 0, "full"),
        (sqlite3.SQLITE_IOERR, 10**9, "disk"), (sqlite3.SQLITE_READONLY | 1 << 8, 10**9, "closed"), (sqlite3.SQLITE_BUSY, 0, "busy"), (sqlite3.SQLITE_CORRUPT, 0, "damaged"),
    ],
)  # fmt: skip
def test_what_an_error_is_goes_by_its_code_and_the_room_on_the_disk(code, free, what, tmp_path, monkeypatch):
    monkeypatch.setattr(
        places.shutil, "disk_usage", lambda _: shutil._ntuple_diskusage(10**9, 10**9 - free, free)
    )
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = code
    assert meant(tmp_path / "x.log.db", error) == what


@pytest.mark.parametrize("name", ["plain", "a b", "50% é?#", "it's"])
def test_a_record_is_opened_by_its_name_whatever_is_in_it(name, tmp_path):
    site = tmp_path / f"{name}.toml"
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    logged(site, "note", "x")
    assert path_of(site).exists()
    db = sqlite3.connect(address(path_of(site), mode="ro"), uri=True)
    assert db.execute("SELECT count(*) FROM entries").fetchone() == (1,)
    db.close()
    assert go_elsewhere(path_of(site)).startswith(f"copy {name}.toml and {name}.toml.log.db to a folder")


def test_a_drive_and_a_share_of_windows_are_addresses_too():
    class There:
        def __init__(self, text):
            self.text = text

        def absolute(self):
            return self

        def as_posix(self):
            return self.text

    assert address(There("C:/a b/x.log.db"), mode="ro") == "file:/C%3A/a%20b/x.log.db?mode=ro"
    assert address(There("//nas/a/x.log.db"), mode="ro") == "file:////nas/a/x.log.db?mode=ro"
