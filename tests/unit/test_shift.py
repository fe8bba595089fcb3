"""Shifts: who answers until when, who watches at night, and that the record, the pages and the interface say the same."""

import json

import pytest

from anchorage.cli.entry import main
from anchorage.core.errors import InputFaults
from anchorage.demo import demo_text
from anchorage.record.events import Said, data_of
from anchorage.record.kinds import fits
from tui.writing import EVENTS

DAY = "2026-03-10T"


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    return str(path)


def over(site, at, *more, to="B. Roe"):
    return main(
        [
            "log",
            site,
            "hand-over",
            "--who",
            "A. Lee",
            "--to",
            to,
            "--now",
            f"{DAY}{at}Z",
            "--zone",
            "America/Chicago",
            *more,
        ]
    )


def now(site, at, capsys):
    capsys.readouterr()
    main(["now", site, "--json", "--now", f"{DAY}{at}Z"])
    data = json.loads(capsys.readouterr().out)
    return data["shift"], {d["what"]: d["at"] for d in data["due"]}


def test_the_relief_and_the_night_watch_are_kept_and_due(site, capsys):
    assert now_is(site, capsys) is None
    assert over(site, "22:00:00", "--relief", "23:30", "--watch", "C. Poe") == 0
    said = capsys.readouterr().out
    assert "relief Tue 10 Mar 23:30 CDT" in said
    assert "C. Poe" in said
    shift, due = now(site, "23:00:00", capsys)
    assert (shift["to"], shift["watch"]) == ("B. Roe", "C. Poe")
    assert due["relief of B. Roe"] == shift["relief"] == 1_773_203_400
    assert not any("night" in w for w in due)
    main(["now", site, "--json", "--now", "2026-03-11T05:00:00Z"])
    late = {d["what"]: d["at"] for d in json.loads(capsys.readouterr().out)["due"]}
    assert late["relief of B. Roe"] is None


def now_is(site, capsys):
    main(["log", site, "setup", "--who", "A. Lee", "--now", f"{DAY}20:00:00Z"])
    return now(site, "20:30:00", capsys)[0]


def test_a_shift_without_a_night_watch_is_asked_for_it_and_the_last_hand_over_counts(site, capsys):
    over(site, "20:00:00", "--watch", "C. Poe")
    over(site, "22:00:00", to="D. Moe")
    shift, due = now(site, "22:30:00", capsys)
    assert (shift["to"], shift["watch"], shift["relief"]) == ("D. Moe", "", None)
    assert any("night" in w and at is None for w, at in due.items())
    main(["log", site, "correct", "2", "--who", "A. Lee", "--now", f"{DAY}22:40:00Z"])
    assert now(site, "22:45:00", capsys)[0]["watch"] == "C. Poe"
    main(["log", site, "struck", "--who", "A. Lee", "--now", f"{DAY}23:00:00Z"])
    assert now(site, "23:10:00", capsys)[0] is None


def test_the_pages_say_it_with_room_for_what_is_not_known(site, tmp_path, capsys):
    over(site, "22:00:00", "--relief", "23:30", "--watch", "C. Poe")
    for extra in ((), ("--zone", "America/Chicago")):
        main(["now", site, "--now", f"{DAY}23:00:00Z", *extra])
        text = capsys.readouterr().out
        assert "Shift: B. Roe since" in text
        assert "night watch: C. Poe" in " ".join(text.split())
    main(["now", site, "--now", f"{DAY}23:00:00Z", "-o", str(tmp_path / "o.html")])
    page = (tmp_path / "o.html").read_text(encoding="utf-8")
    assert all(
        w in page for w in ("incident name", "operational period", "night watch", "C. Poe", "position, title")
    )
    main(["sheet", site, "-o", str(tmp_path / "s.html"), "--now", f"{DAY}23:00:00Z"])
    assert "position, title" in (tmp_path / "s.html").read_text(encoding="utf-8")


def test_what_is_wrong_is_refused(site, capsys):
    assert over(site, "22:00:00", "--relief", "2026-03-10T21:00:00Z") == 2
    assert "before the hand-over" in capsys.readouterr().err
    assert over(site, "22:00:00", "--relief", "soon") == 2
    for more in ({"relief": "06:00"}, {"watch": "C. Poe"}):
        with pytest.raises(InputFaults, match="hand-over"):
            data_of(Said("note", "x", "A", **more), ())
    assert fits("hand-over", {"to": "B", "relief": 5, "watch": "C"})
    assert not fits("hand-over", {"to": "B", "relief": "5"})
    assert not fits("hand-over", {"to": "B", "relief": -1})
    assert not fits("hand-over", {"to": "B", "watch": 3})


def test_the_interface_asks_for_both():
    (lines,) = (e.lines for e in EVENTS if e.name == "hand-over")
    assert {"to", "relief", "watch"} <= {x.name for x in lines}
