"""Search over the records of a folder: each way to look by itself, and every reading against what was held."""

import csv
import json
from datetime import UTC, datetime
from itertools import pairwise

import pytest

from anchorage.cli.entry import main
from anchorage.core.errors import AnchorageError
from anchorage.demo import demo_text
from anchorage.outlook.clock import zone_of
from anchorage.record.find import LEVELS, FindError, find, fits, looked, query_of, records_of

DAY = "2026-03-10T"


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Two shelters with a record, one without, and a record whose file is gone."""
    where = tmp_path_factory.mktemp("find")
    text = demo_text("asphalt").replace('how = "standing-tied"', 'placed = 6\nhow = "standing-tied"')
    for name, called in (
        ("annex", "Triage annex"),
        ("kitchen", "Kitchen"),
        ("gone", "Gone"),
        ("quiet", "Quiet"),
    ):
        (where / f"{name}.toml").write_text(
            text.replace("Triage annex, wet parking lot", called), encoding="utf-8"
        )
    typed = (
        ("annex", "setup", None, "A. Lee", f"{DAY}12:00:00Z"), ("annex", "wind", "8 mph", "A. Lee", f"{DAY}13:00:00Z"), ("annex", "wind", "20 mph", "B. Roe", f"{DAY}14:00:00Z"),
        ("annex", "wind", "60 mph", "B. Roe", f"{DAY}14:30:00Z"), ("annex", "correct", "4", "B. Roe", f"{DAY}14:35:00Z"),
        ("kitchen", "wind", "18 mph", "C. Poe", "2026-03-11T04:30:00Z"), ("gone", "note", "left", "D. Moe", f"{DAY}09:00:00Z"),
    )  # fmt: skip
    for name, event, value, who, now in typed:
        words = [event] if value is None else [event, value]
        assert main(["log", str(where / f"{name}.toml"), *words, "--who", who, "--now", now]) == 0
    (where / "gone.toml").unlink()
    return where


@pytest.fixture(scope="module")
def every(folder):
    now = int(datetime(2026, 3, 12, tzinfo=UTC).timestamp())
    return lambda *words, zone=UTC: find(records_of(folder), query_of(words, zone), now)


def ids(found):
    return [(h.file.removesuffix(".toml"), h.entry.id) for h in found.hits]


def test_all_that_there_is_in_the_order_in_which_it_happened(every):
    assert ids(every()) == [("gone", 1), *(("annex", n) for n in range(1, 6)), ("kitchen", 1)]


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (["who=roe"], [("annex", 3), ("annex", 4), ("annex", 5)]),
        (["shelter=KITCH"], [("kitchen", 1)]),
        (["shelter=triage", "event=setup"], [("annex", 1)]),
        (["event=wind"], [("annex", 2), ("annex", 3), ("annex", 4), ("kitchen", 1)]),
        (["date=2026-03-11"], [("kitchen", 1)]),
        (["since=2026-03-10T14:00:00Z", "until=2026-03-10T14:30:00Z"], [("annex", 3)]),
        (["until=2026-03-09"], []),
        (["level=people-out"], [("annex", 3), ("annex", 4), ("kitchen", 1)]),
        (["near-miss", "who=poe"], [("kitchen", 1)]),
    ],
)
def test_each_way_to_look(every, words, found):
    assert ids(every(*words)) == found


def test_a_day_is_that_of_the_people(every):
    chicago = zone_of("America/Chicago")
    assert ids(every("date=2026-03-10", "event=wind", zone=chicago)) == [
        ("annex", 2),
        ("annex", 3),
        ("annex", 4),
        ("kitchen", 1),
    ]
    assert ids(every("date=2026-03-11", zone=chicago)) == []


def test_what_came_is_held_against_what_was_held_as_now_says_it(folder, every, capsys):
    main(["now", str(folder / "annex.toml"), "--json", "--now", f"{DAY}15:00:00Z"])
    said = {r["entry"]: r for r in json.loads(capsys.readouterr().out)["readings"]}
    mine = {h.entry.id: h.reading for h in every("shelter=annex", "event=wind").hits}
    assert set(said) == {2, 3}
    assert mine[4].level == "keep-away"
    for n, r in said.items():
        assert (mine[n].gust, mine[n].share, mine[n].level) == (r["gust_m_s"], r["share"], r["level"])
    assert mine[2].share < mine[3].share


def test_no_correction_hides_a_near_miss(every):
    (h,) = (h for h in every("near-miss").hits if (h.file, h.entry.id) == ("annex.toml", 4))
    assert h.withdrawn
    assert h.near
    assert h not in every().worst


def test_the_highest_of_each_the_nearest_to_its_limit_first(every):
    worst = every().worst
    assert [(h.file, h.entry.id) for h in worst] == [("annex.toml", 3), ("kitchen.toml", 1)]
    shares = [h.reading.share for h in worst]
    assert shares == sorted(shares, reverse=True)


def test_a_higher_level_is_looked_for_with_a_lower_one(every):
    hits = every().hits
    for low, high in pairwise(LEVELS):
        a, b = query_of([f"level={low}"], UTC), query_of([f"level={high}"], UTC)
        assert all(fits(a, h) for h in hits if fits(b, h))
    assert any(fits(query_of([f"level={LEVELS[0]}"], UTC), h) for h in hits)


def test_a_record_whose_file_is_gone_is_read_and_says_so(folder, capsys):
    got = looked(folder / "gone.toml", 0)
    assert [h.entry.who for h in got.hits] == ["D. Moe"]
    assert got.why_not
    assert main(["log", str(folder), "--find", "shelter=gone"]) == 0
    assert "not held against a limit" in capsys.readouterr().out


def test_table_text_and_json_say_the_same(folder, tmp_path, capsys):
    out = tmp_path / "near.csv"
    assert main(["log", str(folder), "--find", "near-miss", "--csv", str(out)]) == 0
    text = capsys.readouterr().out
    assert text.count("NEAR MISS") == 5
    assert max(map(len, text.splitlines()[:-1])) <= 80
    assert main(["log", str(folder), "--find", "near-miss", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    rows = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    assert [(r["file"], int(r["entry"]), float(r["share"])) for r in rows] == [
        (r["file"], r["entry"], r["share"]) for r in data["found"]
    ]
    assert all(r["near_miss"] == "True" for r in rows)


def test_a_record_that_was_changed_is_said(folder, tmp_path, capsys):
    import shutil
    import sqlite3

    for p in folder.iterdir():
        shutil.copy(p, tmp_path / p.name)
    db = sqlite3.connect(tmp_path / "annex.toml.log.db")
    db.execute("DROP TRIGGER no_change")
    db.execute("UPDATE entries SET who = 'X' WHERE id = 2")
    db.commit()
    db.close()
    assert main(["log", str(tmp_path), "--find"]) == 1
    assert "THE RECORD WAS CHANGED" in capsys.readouterr().out


@pytest.mark.parametrize(
    "word",
    ["", "who", "who=", "whom=lee", "level=high", "event=storm", "since=soon", "until=2026-13-01", "=x"],
)
def test_what_cannot_be_looked_for_is_refused(word):
    with pytest.raises(AnchorageError):
        query_of([word], UTC)


def test_refusals(folder, tmp_path, capsys):
    for words in (["date=2026-01-01", "since=2026-01-01"], ["who=a", "who=b"]):
        with pytest.raises(FindError):
            query_of(words, UTC)
    with pytest.raises(SystemExit):
        main(["log", str(folder), "wind", "5 mph", "--find"])
    assert main(["log", str(folder), "--find", "who"]) == 2
    assert "--find who" in capsys.readouterr().err
    assert main(["log", str(tmp_path / "none"), "--find"]) in (0, 2)
