"""What is written where: inputs, deployments and records are never outputs, whatever they are called and however they are reached."""

import argparse
import asyncio
import os
from pathlib import Path

import pytest
from textual.widgets import Input
from tui_kit import press, running

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import build_parser, main
from anchorage.core.outputs import BESIDE, OutputError, Taken, held, looks_like_a_deployment, put
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.models import Deployment
from anchorage.record.store import path_of
from tui import store

NOW = ("--now", "2026-03-10T18:00:00Z")
SAID = ("--say", "until 06:00Z gust 12 mph", *NOW)
NAMES_OF_PATHS = ("FILE", "PATH", "FOLDER")


def refused(capsys, *typed):
    code = main([str(t) for t in typed])
    out, err = capsys.readouterr()
    assert (code, out) == (2, ""), (typed, out, err)
    assert "fault of the program" not in err
    return err


def actions():
    """(command, argument) of everything that names a path."""
    (inside,) = (a for a in build_parser()._actions if isinstance(a, argparse._SubParsersAction))
    return [
        (name, a) for name, p in inside.choices.items() for a in p._actions if a.metavar in NAMES_OF_PATHS
    ]


def test_every_path_that_can_be_typed_is_read_or_written():
    assert len(actions()) > 20
    for name, a in actions():
        command = COMMANDS[name]
        assert (a.dest in command.reads) + (a.dest in command.writes) == 1, f"{name} {a.dest}"
    named = {(name, a.dest) for name, a in actions()}
    for name, command in COMMANDS.items():
        assert {(name, d) for d in (*command.reads, *command.writes)} <= named, f"{name}: gone"
        for endings in command.writes.values():
            assert not {".db", ".log", ""} & set(endings)


# The cases of the issue, by name


def test_a_calendar_is_not_made_of_the_record(site, capsys):
    assert main(["log", str(site), "wind", "20 mph", "--who", "A. Lee", *NOW]) == 0
    record = path_of(site)
    capsys.readouterr()
    before = record.read_bytes()
    assert "one of .ics" in refused(capsys, "outlook", site, *SAID, "--ics", record)
    (site.parent / "plan.ics").symlink_to(record)
    assert "a record" in refused(capsys, "outlook", site, *SAID, "--ics", site.parent / "plan.ics")
    assert record.read_bytes() == before
    assert main(["log", str(site)]) == 0


def test_a_calendar_is_not_made_of_the_deployment(site, capsys):
    assert "one of .ics" in refused(capsys, "outlook", site, *SAID, "--ics", site)
    other = site.rename(site.with_suffix(".ics"))
    assert "this run reads it" in refused(capsys, "outlook", other, *SAID, "--ics", other)
    assert other.read_text(encoding="utf-8") == demo_text("asphalt")


def test_a_sheet_does_not_replace_its_own_input(site, capsys):
    page = site.rename(site.with_name("x.html"))
    assert "this run reads it" in refused(capsys, "sheet", page, "-o", page, *NOW)
    assert "this run reads it" in refused(capsys, "sheet", page, "-o", f"{page.parent}/./x.html", *NOW)
    hard = page.with_name("y.html")
    hard.hardlink_to(page)
    assert "this run reads it" in refused(capsys, "sheet", page, "-o", hard, *NOW)
    assert page.read_text(encoding="utf-8") == demo_text("asphalt")


WRITERS = {
    "sheet": (["sheet", "SITE", *NOW, "-o"], ".html"), "card": (["sheet", "SITE", "--card", *NOW, "-o"], ".pdf"), "points": (["sheet", "SITE", *NOW, "-o"], ".geojson"),
    "pack": (["pack", "SITE", "-o"], ".html"), "log": (["log", "SITE", "--csv"], ".csv"), "now": (["now", "SITE", *NOW, "-o"], ".html"),
    "outlook": (["outlook", "SITE", *SAID, "--ics"], ".ics"), "fleet": (["fleet", "FOLDER", "--jobs", "1", "-o"], ".csv"), "region": (["region", "SITE", "--grid", "demo", *NOW, "-o"], ".nc"),
    "map": (["region", "SITE", "--grid", "demo", *NOW, "--map"], ".png"), "demo": (["demo", "asphalt", "--copy"], ".toml"), "new": (["new"], ".toml"),
    "meter": (["meter", "SITE", "--csv"], ".csv"), "ways": (["ways", "SITE", *NOW, "-o"], ".html"), "bundle": (["bundle", "SITE", *NOW, "-o"], ".zip"), "climate": (["climate", "SITE", "--history", "demo", "--hours", "6", "-o"], ".csv"),
}  # fmt: skip


def typed(name, site, out):
    words, end = WRITERS[name]
    return [*({"SITE": site, "FOLDER": site.parent}.get(w, w) for w in words), f"{out}{end}"]


def test_every_command_that_writes_is_tried_here():
    assert {words[0] for words, _ in WRITERS.values()} == {n for n, c in COMMANDS.items() if c.writes}


@pytest.mark.parametrize("name", WRITERS)
def test_nothing_that_is_written_replaces_a_deployment_or_a_record(name, site, tmp_path, capsys):
    assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    capsys.readouterr()
    end = WRITERS[name][1]
    there = tmp_path / "there"
    there.mkdir()
    for stem, raw in {
        "deployment": demo_text("clay").encode(),
        "broken": demo_text("clay").replace('"', "", 1).encode(),
        "record": path_of(site).read_bytes(),
    }.items():
        path = there / f"{stem}{end}"
        path.write_bytes(raw)
        said = refused(capsys, *typed(name, site, there / stem))
        assert "left as it is" in said
        assert path.read_bytes() == raw
    named = there / f"under-a-record{end}"
    named.write_bytes(b"anything")
    path_of(named).write_bytes(b"")
    assert "left as it is" in refused(capsys, *typed(name, site, there / "under-a-record"))
    assert "the end of the name" in refused(capsys, *typed(name, site, there / "x")[:-1], there / "x.log.db")


def test_a_file_that_is_read_beside_the_deployment_is_no_output(site, tmp_path, capsys):
    heard = tmp_path / "heard.csv"
    heard.write_text("time,gust (mph)\n2026-03-10T19:00:00Z,12\n")
    was = heard.read_bytes()
    assert "this run reads it" in refused(capsys, "sheet", site, "--forecast", heard, "-o", heard, *NOW)
    many = tmp_path / "forecasts"
    many.mkdir()
    (many / "site.csv").write_bytes(was)
    fleet = ("fleet", tmp_path, "--forecast", many, "--jobs", "1", *NOW, "-o")
    assert "forecast for one" in refused(capsys, *fleet, many / "site.csv")
    assert main([*map(str, fleet), str(tmp_path / "fleet.csv")]) in (0, 1, 2, 3)
    assert main([*map(str, fleet), str(tmp_path / "fleet.csv")]) in (0, 1, 2, 3), (
        "an earlier output is replaced"
    )
    assert (many / "site.csv").read_bytes() == was == heard.read_bytes()
    grid = tmp_path / "g.zarr"
    grid.mkdir()
    capsys.readouterr()
    assert "this run reads it" in refused(
        capsys, "region", site, "--grid", grid, "--map", grid / "map.png", *NOW
    )


def test_a_deployment_is_replaced_only_when_that_is_asked_and_never_under_its_record(site, capsys):
    assert "already" in refused(capsys, "new", site, "--no-questions")
    assert main(["new", str(site), "--no-questions", "--force"]) == 0
    assert main(["demo", "clay", "--copy", str(site.with_name("other.toml"))]) == 0
    assert main(["log", str(site.with_name("other.toml")), "note", "x", "--who", "A. Lee", *NOW]) == 0
    capsys.readouterr()
    assert "left as it is" in refused(
        capsys, "new", site.with_name("other.toml"), "--no-questions", "--force"
    )


def test_the_names_that_a_record_and_the_interface_take_are_no_outputs(tmp_path):
    for end in BESIDE:
        assert held(tmp_path / f"site.toml{end}") is Taken.RECORD
        with pytest.raises(OutputError, match="record"):
            put(tmp_path / f"site.toml{end.upper()}", b"x")
    for name in (".site.toml.journal", ".site.toml.2.journal", ".site.toml.1.open"):
        assert held(tmp_path / name) is Taken.INTERFACE
    assert held(tmp_path / "site.csv") is None
    assert list(tmp_path.iterdir()) == []


def test_a_deployment_is_known_by_what_is_in_it(tmp_path, site, capsys):
    for name in NAMES:
        text = demo_text(name)
        assert looks_like_a_deployment(text.encode())
        assert looks_like_a_deployment(text.replace("\n", "\r\n").encode())
        assert looks_like_a_deployment(b"\xef\xbb\xbf" + text.encode())
    for field in Deployment.model_fields:
        assert looks_like_a_deployment(f"[{field}]\na = 1\n".encode())
    for name, (_, end) in WRITERS.items():
        if end in (".toml", ".nc", ".png", ".zip") or name in ("log", "now", "points", "meter"):
            continue  # deployments themselves, what is no text, what asks for more than a file; an earlier bundle is evidence and stays
        assert main([str(w) for w in typed(name, site, tmp_path / name)]) in (0, 1, 3), name
        page = (tmp_path / f"{name}{end}").read_bytes()
        assert not looks_like_a_deployment(page), f"{name}: it could not be written again"
        assert main([str(w) for w in typed(name, site, tmp_path / name)]) in (0, 1, 3), (
            "an earlier output is replaced"
        )
    capsys.readouterr()


def test_what_is_written_has_the_rights_that_the_mask_gives(site, tmp_path, capsys):
    was = os.umask(0o027)
    try:
        assert main(["sheet", str(site), "-o", str(tmp_path / "a.csv"), *NOW]) == 0
        assert main(["demo", "clay", "--copy", str(tmp_path / "b.toml")]) == 0
        assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
        os.umask(0o077)
        assert main(["region", str(site), "--grid", "demo", *NOW, "-o", str(tmp_path / "c.nc")]) in (0, 1, 3)
    finally:
        os.umask(was)
    capsys.readouterr()
    rights = {p.name: p.stat().st_mode & 0o777 for p in tmp_path.iterdir()}
    assert (rights["a.csv"], rights["b.toml"], rights["site.toml.log.db"]) == (0o640, 0o640, 0o640)
    assert rights["c.nc"] == 0o600
    assert not [p for p in Path(tmp_path).iterdir() if p.name.startswith(".anchorage-")]


def test_the_interface_saves_over_no_record_and_no_deployment_with_one(site, tmp_path, capsys):
    assert store.no_place(site) == ""
    assert store.no_place(tmp_path / "new.toml") == ""
    assert "record" in store.no_place(tmp_path / "x.log.db")
    assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    capsys.readouterr()
    assert "of another shelter" in store.no_place(site)
    (tmp_path / "plan.toml").write_bytes(path_of(site).read_bytes())
    assert "record" in store.no_place(tmp_path / "plan.toml")


def test_save_as_over_a_record_is_refused_and_asked_again(site, tmp_path, monkeypatch, capsys):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path / "state"))
    assert main(["log", str(site), "note", "x", "--who", "A. Lee", *NOW]) == 0
    record = path_of(site).read_bytes()

    async def job():
        async with running(site, looking=True) as (app, pilot):
            await press(pilot, "alt+s")
            app.screen.query_one(Input).value = str(path_of(site))
            await press(pilot, "enter")
            await pilot.pause()
            assert app.screen.query_one(Input), "it is asked again"
            await press(pilot, "escape")

    asyncio.run(job())
    capsys.readouterr()
    assert path_of(site).read_bytes() == record
