# ruff: noqa: S608 - the statements are made of words of this file
"""The record on disk: append-only, sealed, and nothing acknowledged is lost - to kill -9, a full disk or a second writer."""

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.record.store import START, Record, RecordError, path_of

KILLS, AT_ONCE = 200, 4
NURSERY = """
import itertools, os, signal, sys
from pathlib import Path
from anchorage.record.store import Record
signal.signal(signal.SIGCHLD, signal.SIG_IGN)
for name in sys.stdin:
    name = name.strip()
    pid = os.fork()
    if pid:
        print(pid, flush=True)
        continue
    said = os.open(f"{sys.argv[1]}.{name}", os.O_WRONLY | os.O_CREAT)
    with Record(Path(sys.argv[1]), write=True) as r:
        for i in itertools.count():
            e = r.append(at=i, written=i, who=name, event="note", data={"n": i}, file="f")
            os.write(said, f"{e.mark} {name} {i}\\n".encode())
"""
"""Starts a writer for each name that it reads, and says its number; a writer notes what was acknowledged in a file of its own."""


def add(path: Path, n: int = 1, **more):
    with Record(path, write=True) as r:
        return [
            r.append(
                **{"at": i, "written": i, "who": "A", "event": "note", "data": {"n": i}, "file": "f", **more}
            )
            for i in range(n)
        ]


def test_what_is_written_reads_back_and_the_chain_is_whole(tmp_path):
    path = path_of(tmp_path / "site.toml")
    assert path.name == "site.toml.log.db"
    made = add(path, 3, data={"note": "père 🚑 \u202e"})
    with Record(path) as r:
        assert r.entries() == made
        assert r.faults() == []
        assert r.faults(made[1].mark) == []
    assert [e.id for e in made] == [1, 2, 3]
    assert made[0].before == START
    assert [e.before for e in made[1:]] == [e.seal for e in made[:-1]]


def test_nothing_logged_yet_makes_no_file(tmp_path):
    with pytest.raises(RecordError, match="nothing has been logged"):
        Record(tmp_path / "x.log.db")
    assert list(tmp_path.iterdir()) == []


def test_the_table_refuses_changes_and_removals(tmp_path):
    path = tmp_path / "x.log.db"
    add(path, 2)
    db = sqlite3.connect(path)
    for statement in ("UPDATE entries SET who = 'B'", "DELETE FROM entries"):
        with pytest.raises(sqlite3.IntegrityError, match="append-only"):
            db.execute(statement)
    db.close()


def forge(path: Path, *statements: str) -> list[str]:
    db = sqlite3.connect(path, isolation_level=None)
    db.execute("DROP TRIGGER no_change")
    db.execute("DROP TRIGGER no_removal")
    for s in statements:
        db.execute(s)
    db.close()
    with Record(path) as r:
        return r.faults()


@pytest.mark.parametrize("column", ["at", "written", "who", "event", "data", "file", "before", "seal"])
def test_a_change_behind_its_back_shows(tmp_path, column):
    path = tmp_path / "x.log.db"
    add(path, 4)
    value = "7" if column in ("at", "written") else "'x'"
    assert any("2" in f for f in forge(path, f"UPDATE entries SET {column} = {value} WHERE id = 2"))


def test_entries_taken_out_or_put_in_show(tmp_path):
    path = tmp_path / "x.log.db"
    made = add(path, 4)
    assert forge(path, "DELETE FROM entries WHERE id = 2")[0] == "entry 2 is missing"
    whole = tmp_path / "y.log.db"
    add(whole, 4)
    row = f"(5, 9, 9, 'B', 'note', '{{}}', 'f', '{made[3].seal}', 'forged')"
    assert "entry 5 was changed after it was written" in forge(whole, f"INSERT INTO entries VALUES {row}")


def test_an_end_that_was_cut_off_shows_against_a_seal_on_paper(tmp_path):
    path = tmp_path / "x.log.db"
    made = add(path, 4)
    assert forge(path, "DELETE FROM entries WHERE id = 4") == []
    with Record(path) as r:
        assert r.faults(made[3].mark)[0].startswith("entry 4 with the seal")
        assert r.faults(made[2].mark) == []
        with pytest.raises(RecordError, match="as it was printed"):
            r.faults("4")


@settings(max_examples=30)
@given(st.lists(st.tuples(st.text(max_size=40), st.dictionaries(st.text(max_size=8), st.one_of(st.none(), st.integers(-(2**60), 2**60), st.floats(allow_nan=False, allow_infinity=False), st.text(max_size=20)), max_size=4)), min_size=1, max_size=4))  # fmt: skip
def test_any_text_reads_back_and_verifies(tmp_path_factory, found):
    path = tmp_path_factory.mktemp("r") / "x.log.db"
    with Record(path, write=True) as r:
        for who, data in found:
            r.append(at=1, written=1, who=who, event="note", data=data, file="f")
        assert [(e.who, e.data) for e in r.entries()] == found
        assert r.faults() == []


def test_too_long_is_refused_and_not_kept(tmp_path):
    path = tmp_path / "x.log.db"
    with pytest.raises(RecordError, match=r"NOT KEPT"):
        add(path, data={"note": "x" * 5000})
    with pytest.raises(RecordError, match=r"NOT KEPT"):
        add(path, who="x" * 201)
    with pytest.raises(ValueError, match="JSON"):
        add(path, data={"x": float("nan")})
    with Record(path) as r:
        assert r.entries() == []


def acknowledged(folder: Path) -> list[list[str]]:
    """What the writers were told is kept: mark, name, number."""
    said = [p.read_text().splitlines(keepends=True) for p in folder.glob("x.log.db.w*")]
    return [line.split() for lines in said for line in lines if line.endswith("\n")]


def test_kill_9_two_hundred_times_loses_nothing_acknowledged(tmp_path):
    """Writers are killed after 0 to 40 ms, four at a time on one record; what they acknowledged is there, the chain whole.

    A busy machine gets fewer of them to their first word: then there are more than two hundred.
    """
    path = tmp_path / "x.log.db"
    env = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    with subprocess.Popen(
        [sys.executable, "-c", NURSERY, str(path)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env=env,
    ) as nursery:
        killed = 0
        for first in range(0, 10 * KILLS, AT_ONCE):
            if killed >= KILLS and len(acknowledged(tmp_path)) > KILLS / 4:
                break
            pids = []
            for k in range(first, first + AT_ONCE):
                print(f"w{k}", file=nursery.stdin, flush=True)
                pids.append(int(nursery.stdout.readline()))
            for k, pid in enumerate(pids):
                time.sleep(((first + k) * 7 % 41) / 1000 / AT_ONCE)
                os.kill(pid, signal.SIGKILL)
                killed += 1
        nursery.stdin.close()
    told = acknowledged(tmp_path)
    assert len(told) > KILLS / 4
    with Record(path) as r:
        assert r.faults() == []
        kept = {e.mark: e for e in r.entries()}
    for mark, who, n in told:
        assert (kept[mark].who, kept[mark].data["n"]) == (who, int(n))
    assert (
        len(kept) - len(told) <= killed
    )  # at most one of each writer was on the disk and not yet acknowledged


def test_two_and_more_people_log_at_once(tmp_path):
    path = tmp_path / "x.log.db"
    with ThreadPoolExecutor(6) as pool:
        made = list(pool.map(lambda k: add(path, 12, who=f"w{k}"), range(6)))
    with Record(path) as r:
        assert r.faults() == []
        entries = r.entries()
    assert [e.id for e in entries] == list(range(1, 73))
    for k, mine in enumerate(made):
        assert [e for e in entries if e.who == f"w{k}"] == mine


def test_many_who_begin_a_record_at_the_same_moment(tmp_path):
    """SQLite refuses a second change of journal mode at once, without waiting: each of them must wait all the same."""
    for turn in range(40):
        path = tmp_path / f"{turn}.log.db"
        with ThreadPoolExecutor(6) as pool:
            list(pool.map(lambda k, p=path: add(p, 1, who=f"w{k}"), range(6)))
        with Record(path) as r:
            assert len(r.entries()) == 6


def test_a_lock_that_stays_is_said(tmp_path, monkeypatch):
    path = tmp_path / "x.log.db"
    add(path)
    monkeypatch.setattr("anchorage.record.store.WAIT", 0.05)
    other = sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(RecordError, match=r"NOT KEPT.*Someone else is writing"):
        add(path)
    other.execute("ROLLBACK")
    other.close()
    assert add(path)[0].id == 2


def test_no_room_for_more_pages_is_said_and_all_before_it_stays(tmp_path):
    path = tmp_path / "x.log.db"
    add(path, 3)
    made = []

    def write(r: Record) -> None:
        for _ in range(500):
            made.append(r.append(at=1, written=1, who="A", event="note", data={"note": "x" * 500}, file="f"))  # noqa: PERF401 - one by one, up to the one that is refused

    with Record(path, write=True) as r:
        pages = r.db.execute("PRAGMA page_count").fetchone()[0]
        r.db.execute(f"PRAGMA max_page_count = {pages + 1}")
        with pytest.raises(RecordError, match=r"NOT KEPT: the entry was not written. The disk is full"):
            write(r)
    with Record(path) as r:
        assert r.entries()[3:] == made
        assert r.faults() == []


def _fill(path: Path, made: list) -> None:
    """Log until it is refused."""
    for k in range(2000):
        made += add(path, data={"note": "x" * 700, "k": k})


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 256 kB; skipped where this user may not mount one."""
    place = tmp_path / "disk"
    place.mkdir()
    done = (
        subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", str(place)],
            capture_output=True,
            text=True,
            check=False,
        )
        if hasattr(os, "geteuid") and os.geteuid() == 0
        else None
    )
    if done is None or done.returncode != 0:
        pytest.skip(
            "mounting a small tmpfs is not permitted here: "
            + ("not root" if done is None else done.stderr.strip())
        )
    yield place
    subprocess.run(["umount", str(place)], check=True)


def test_a_full_disk_says_so_and_keeps_all_that_was_acknowledged(small_disk):
    path = small_disk / "x.log.db"
    made = []
    with pytest.raises(RecordError, match=r"NOT KEPT.*disk is full"):
        _fill(path, made)
    assert len(made) > 20
    left = small_disk / "rest"
    with left.open("wb", buffering=0) as f:  # not one byte free
        try:
            while f.write(b"x" * 4096):
                pass
        except OSError:
            pass
        try:
            while f.write(b"x"):
                pass
        except OSError:
            pass
    with Record(path) as r:
        assert r.entries()[: len(made)] == made
        assert r.faults() == []
    with pytest.raises(RecordError, match=r"NOT KEPT"):
        add(path)
    left.unlink()
    with pytest.raises(RecordError, match=r"NOT KEPT|disk is full"):
        _fill(path, made)
    (small_disk / "none").unlink(missing_ok=True)
    with Record(path) as r:
        assert r.faults() == []
        assert {e.mark for e in made} <= {e.mark for e in r.entries()}


def test_a_full_disk_on_the_command_line(small_disk, capsys):
    from anchorage.cli.entry import main
    from anchorage.demo import demo_text

    site = small_disk / "site.toml"
    site.write_text(demo_text("asphalt"))
    (small_disk / "filler").write_bytes(b"x" * 130_000)
    codes = []
    for k in range(200):
        codes.append(
            main(
                [
                    "log",
                    str(site),
                    "note",
                    f"{k} " + "x" * 3900,
                    "--who",
                    "A",
                    "--now",
                    "2026-03-10T18:00:00Z",
                ]
            )
        )
        if codes[-1]:
            break
    out, err = capsys.readouterr()
    assert codes[-1] == 2
    assert "NOT KEPT: the entry was not written. The disk is full: free some space and log it again" in err
    with Record(path_of(site)) as r:
        assert len(r.entries()) == out.count("kept as ")
    assert main(["sheet", str(site), "-o", str(small_disk / "x.pdf"), "--now", "2026-03-10T18:00:00Z"]) == 2
    assert "nothing was written" in capsys.readouterr().err
    assert not list(small_disk.glob(".anchorage-*"))


def test_no_database_at_all_is_said(tmp_path):
    path = tmp_path / "x.log.db"
    path.write_bytes(b"this is no database" * 100)
    for write in (False, True):
        with pytest.raises(RecordError, match="no record, or it is damaged"):
            Record(path, write=write)


def test_a_folder_that_cannot_be_written(tmp_path):
    with pytest.raises(RecordError, match="cannot be written here"):
        add(tmp_path / "missing" / "x.log.db")


def test_the_data_is_canonical_json(tmp_path):
    path = tmp_path / "x.log.db"
    add(path, data={"b": 1, "a": "é"})
    db = sqlite3.connect(path)
    (text,) = db.execute("SELECT data FROM entries").fetchone()
    db.close()
    assert text == '{"a":"\\u00e9","b":1}'
    assert json.loads(text) == {"a": "é", "b": 1}
