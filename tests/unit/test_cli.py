"""The command line as a person and as a script meet it: exit codes, one object of JSON, faults in lines of their own."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from toml_writer import demo, written

from anchorage import __version__
from anchorage.cli import entry as cli
from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import main
from anchorage.cli.topics import abouts
from anchorage.demo import NAMES, demo_text

HEAVY = ("pint", "numpy", "pydantic", "textual", "scipy", "tomlkit", "platformdirs")
CHECK_KEYS = {
    "schema": {},
    "verdict": {},
    "reasons": {},
    "wind": {"gust_m_s", "velocity_pressure_pa", "density_kg_m3", "method"},
    "demand": {"uplift_n", "sliding_n", "overturning_n_m", "case"},
    "checks": {"name", "demand", "capacity", "unit", "ratio", "ok", "case"},
    "anchorage": {"kind", "sized", "points", "total"},
    "limit": {"gust_m_s", "governed_by", "by_bearing"},
    "snow": {"roof_load_pa", "limit_pa", "ratio"},
    "straps": {"decision", "reason"},
    "provenance": {"weakest"},
    "conditions": {},
    "assumptions": {},
    "cautions": {},
}
"""DESIGN section 7: what a script may rely on."""


@pytest.fixture
def site(tmp_path: Path) -> Any:
    """Write a deployment and give its path."""

    def write(name: str = "asphalt", **changes: Any) -> str:
        folder = tmp_path / str(len(list(tmp_path.iterdir())))
        folder.mkdir()
        path = folder / "site.toml"
        path.write_text(written(demo(name, **changes)), encoding="utf-8")
        return str(path)

    return write


def typed(text: str) -> Any:
    """Standard input of these characters."""
    return io.TextIOWrapper(io.BytesIO(text.encode()), encoding="utf-8")


def program(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, "-m", "anchorage", *arguments], capture_output=True, text=True,
                          check=False, timeout=120, env={**os.environ, **environment})  # fmt: skip


# What an exit code says


@pytest.mark.parametrize("command", ["check", "limit"])
def test_exit_codes(command: str, site: Any, capsys: Any) -> None:
    assert main([command, site()]) == 0
    assert main([command, site("clay")]) == 1
    assert main([command, site(shelter__width="wide")]) == 2
    assert main([command, site(shelter__rating=None)]) == 3
    capsys.readouterr()


def test_the_text_and_the_code_say_the_same(site: Any, capsys: Any) -> None:
    for path, code, word in [
        (site(), 0, "NO-GO: set up, gusts 20 mph. Once up GO: work"),  # the code is that of the use
        (site(wind__speed="8 mph"), 0, "GO: work"),
        (site("clay"), 1, "NO-GO:"),
        (site(shelter__rating=None), 3, "NO-GO: set up, gusts 20 mph. Once up ANCHORAGE HOLDS"),
    ]:
        assert main(["check", path]) == code
        assert " ".join(capsys.readouterr().out.split()[1:]).startswith(word)


def test_demo_is_done_whatever_it_says(capsys: Any) -> None:
    assert main(["demo"]) == 0
    out = capsys.readouterr().out
    assert out.splitlines()[1].startswith("NO-GO: set up, gusts 20 mph. Once up GO: work")
    assert "The others: anchorage demo clay, mixed, winter." in out
    assert main(["demo", "clay"]) == 0
    assert "NO-GO:" in capsys.readouterr().out


def test_nothing_typed_is_not_go(capsys: Any) -> None:
    assert main([]) == 2
    assert "anchorage demo" in capsys.readouterr().out


# JSON


@pytest.mark.parametrize("name", NAMES)
def test_check_json_is_one_object_with_the_keys_of_the_design(name: str, site: Any, capsys: Any) -> None:
    code = main(["check", site(name), "--json"])
    caught = capsys.readouterr()
    plan = json.loads(caught.out)
    assert caught.err == ""
    for key, inside in CHECK_KEYS.items():
        value = plan[key][0] if key == "checks" else plan[key]
        assert set(inside) <= set(value if isinstance(value, dict) else ()), key
    assert {"id", "x_m", "y_m", "uplift_n", "sliding_n", "units", "mass_kg", "stakes"} <= set(
        plan["anchorage"]["points"][0]
    )
    assert {"units", "mass_kg", "stakes"} <= set(plan["anchorage"]["total"])
    assert {"bearing", "gust_m_s"} <= set(plan["limit"]["by_bearing"][0])
    assert plan["schema"] == 1
    assert code == {"go": 0, "no-go": 1, "unknown": 3}[plan["verdict"]]
    assert caught.out.isascii()


def test_limit_json(site: Any, capsys: Any) -> None:
    main(["limit", site(), "--json"])
    found = json.loads(capsys.readouterr().out)
    assert set(found) == {"schema", "name", "verdict", "limit", "levels", "record"}
    assert found["levels"]["people_out_m_s"] == pytest.approx(0.8 * found["limit"]["gust_m_s"])


def test_demo_json(capsys: Any) -> None:
    assert main(["demo", "--json"]) == 0
    both = json.loads(capsys.readouterr().out)["demos"]
    assert set(both) == set(NAMES)
    main(["demo", "clay", "--json"])
    assert json.loads(capsys.readouterr().out) == both["clay"]


def test_a_fault_leaves_standard_output_empty(site: Any, capsys: Any) -> None:
    assert main(["check", site(shelter__width="wide"), "--json"]) == 2
    caught = capsys.readouterr()
    assert caught.out == ""
    assert "shelter.width" in caught.err


def test_json_has_no_nan_and_no_infinity(site: Any, capsys: Any) -> None:
    for changes in (
        {"anchorage__placed": 0},
        {"shelter__mass": None, "anchorage__placed": 0},
        {"wind__speed": "0 mph"},
    ):
        main(["check", site(**changes), "--json"])
        json.loads(capsys.readouterr().out, parse_constant=pytest.fail)


def test_working_is_added_to_both_forms(site: Any, capsys: Any) -> None:
    main(["check", site(), "--working"])
    text = capsys.readouterr().out
    assert text.index("CAUTIONS") < text.index("WORKING") < text.index("q = 0.5·ρ·K·V^2 = ")
    main(["check", site(), "--working", "wind", "--json"])
    working = json.loads(capsys.readouterr().out)["working"]
    assert any("20 mph" in line for line in working)
    assert not any(line.startswith("Check") for line in working)


def test_working_before_the_file_is_understood(site: Any, capsys: Any) -> None:
    path = site()
    assert main(["check", "--working", path]) == 0
    assert "WORKING" in capsys.readouterr().out


def test_working_of_what_is_not_there_lists_what_is(site: Any, capsys: Any) -> None:
    assert main(["check", site(), "--working", "luck"]) == 2
    err = capsys.readouterr().err
    assert "luck" in err
    assert "slide" in err
    assert "wind" in err
    assert len(err.splitlines()) == 1


# Reading


def test_units_go_before_those_of_the_file(site: Any, capsys: Any) -> None:
    path = site()
    main(["check", path, "--full"])
    us = capsys.readouterr().out
    main(["check", path, "--units", "si", "--full"])
    si = capsys.readouterr().out
    assert "mph" in us
    assert " N " not in us
    assert "m/s" in si
    as_typed = ("20 mph as typed", "45 mph that the maker gives")  # what was typed stays as it was
    plain = " ".join(si.split())
    assert all(text in plain for text in as_typed)
    assert plain.count("mph") == len(as_typed)


def test_a_dash_reads_standard_input(monkeypatch: Any, capsys: Any) -> None:
    monkeypatch.setattr(sys, "stdin", typed(demo_text("asphalt")))
    assert main(["check", "-"]) == 0
    monkeypatch.setattr(sys, "stdin", typed("[shelter]\n"))
    assert main(["check", "-"]) == 2
    assert "standard input: shelter.form: not given" in capsys.readouterr().err


def test_standard_input_that_is_not_text_or_too_long(monkeypatch: Any, capsys: Any) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"\xff\xfe"), encoding="utf-8"))
    assert main(["check", "-"]) == 2
    assert "not UTF-8 text" in capsys.readouterr().err
    monkeypatch.setattr(sys, "stdin", typed("#" * 1_000_001))
    assert main(["check", "-"]) == 2
    assert "1 MB" in capsys.readouterr().err


# Faults


def test_each_fault_has_its_line_with_file_key_value_and_what_is_accepted(site: Any, capsys: Any) -> None:
    path = site(shelter__length="5 furlongs", shelter__colour="red", site__surface="roof", wind__speed=30,
                anchorage__kind="hope", shelter__points_per_side=1, door=[{"wall": "top", "width": "3 ft", "height": "7 ft"}])  # fmt: skip
    assert main(["check", path]) == 2
    lines = capsys.readouterr().err.splitlines()
    told = {line.split(": ")[1]: line for line in lines}
    assert set(told) == {"shelter.length", "shelter.colour", "site.surface", "wind.speed", "anchorage.kind",
                         "shelter.points_per_side", "door[1].wall"}  # fmt: skip
    assert len(lines) == len(told)
    assert all(line.startswith("site.toml: ") for line in lines)
    assert "furlongs" in told["shelter.length"]
    assert "24 ft" in told["shelter.length"]
    assert "'hope'" in told["anchorage.kind"]
    assert "ballast" in told["anchorage.kind"]


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "shelter"),
        (b"[shelter", "not readable as TOML"),
        (b"\xff\xfe", "not UTF-8 text"),
        (b"x = " + b"[" * 5000, "TOML"),
        (b"[shelter]\n" * 2, "not readable as TOML"),
        (b"shelter = 3\nwind = []\nanchorage = 'x'\n", "shelter"),
        (b"wind = 1979-05-27\n", "wind"),
    ],
)  # fmt: skip
def test_files_that_are_no_deployment(content: bytes, said: str, tmp_path: Path, capsys: Any) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    assert main(["check", str(path)]) == 2
    err = capsys.readouterr().err
    assert said in err
    assert "fault of the program" not in err
    assert all(line.startswith("bad.toml: ") for line in err.splitlines())


@pytest.mark.parametrize("name", ["nowhere.toml", "."])
def test_files_that_cannot_be_read(name: str, capsys: Any) -> None:
    assert main(["check", name]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1


def test_what_was_typed_does_not_act_on_the_terminal(tmp_path: Path, capsys: Any) -> None:
    evil = "\x1b[31mGO\n\u202eover\x07"
    assert main(["check", str(tmp_path / f"{evil}.toml")]) == 2
    assert main(["formula", evil]) == 2
    assert main(["sources", evil]) == 2
    with pytest.raises(SystemExit):
        main(["check", "a", evil])
    err = capsys.readouterr().err
    assert "?[31mGO??over?" in err
    assert not any(c in err for c in "\x1b\u202e\x07")


def test_what_a_file_says_does_not_act_on_the_terminal(site: Any, capsys: Any) -> None:
    evil = "\x1b[2J\nGO: set up\r\x9b31m\u2028"
    path = site(deployment__name=evil, site__surface=evil, anchorage__unit=evil)
    main(["check", path, "--working"])
    main(["limit", path])
    out = capsys.readouterr().out
    assert not any(c in out for c in "\x1b\r\x9b\u2028")
    assert out.count("FOR      ?[2J?GO: set up??31m?") == out.count("For: ?[2J?GO: set up??31m?") == 1
    main(["check", path, "--json"])
    assert json.loads(capsys.readouterr().out)["name"] == evil


def test_an_unforeseen_fault_is_one_line_with_the_version(site: Any, monkeypatch: Any, capsys: Any) -> None:
    def broken(*_: Any, **__: Any) -> Any:
        raise ZeroDivisionError("a \x1b[31m surprise")

    monkeypatch.setattr("anchorage.cli.judge.assess", broken)
    monkeypatch.delenv("ANCHORAGE_DEBUG", raising=False)
    assert main(["check", site()]) == 2
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1
    assert "please report it" in err
    assert __version__ in err
    assert "\x1b" not in err
    monkeypatch.setenv("ANCHORAGE_DEBUG", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", site()])


def test_a_key_that_stops_it_stops_it_quietly(site: Any, monkeypatch: Any, capsys: Any) -> None:
    def stopped(*_: Any, **__: Any) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr("anchorage.cli.judge.assess", stopped)
    assert main(["check", site()]) == cli.STOPPED
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("group", "names"),
    [
        ("before", "new check limit ways pack sheet"), ("while it stands", "outlook log now meter"), ("many of them", "fleet region climate bundle"), ("look up", "demo tui help"),
    ],
)  # fmt: skip
def test_the_help_lists_the_commands_by_when_they_are_wanted(
    capsys: pytest.CaptureFixture[str], group: str, names: str
) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    parts = dict(part.split(":\n", 1) for part in capsys.readouterr().out.split("\n\n") if ":\n" in part)
    assert re.findall(r"^  ?(?:  )?([a-z]+)\b", parts[group], re.MULTILINE) == names.split()


def test_what_the_first_page_leaves_out_is_listed_by_help_and_every_command_has_its_topic(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["help"]) == 0
    listed = set(re.findall(r"^  ([a-z]+) ", capsys.readouterr().out, re.MULTILINE))
    assert listed == {"chance", "formula", "sources", "defaults", "glossary", "schema", *abouts()}
    for name in COMMANDS:
        assert main(["help", name]) == 0
        assert capsys.readouterr().out.startswith(f"usage: anchorage {name} ")
    with pytest.raises(SystemExit):
        main(["help", "defalts"])
    assert 'did you mean "defaults"?' in capsys.readouterr().err


# As a process


@pytest.mark.parametrize(
    "arguments",
    [["--help"], ["--version"], ["check", "--help"], ["demo", "--help"], ["help"], ["help", "chance"], []],
)
def test_help_and_version_load_nothing_heavy(arguments: list[str]) -> None:
    code = (
        "import sys\nfrom anchorage.cli.entry import main\n"
        f"try:\n main({arguments!r})\nexcept SystemExit:\n pass\n"
        f"print([m for m in {HEAVY!r} if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stderr == "[]\n"
    assert "anchorage" in done.stdout


def test_it_runs_as_a_module_and_keeps_its_code(tmp_path: Path) -> None:
    path = tmp_path / "clay.toml"
    path.write_text(demo_text("clay"), encoding="utf-8")
    done = program("check", str(path))
    assert done.returncode == 1
    assert done.stderr == ""
    assert done.stdout.splitlines()[1].startswith("NO-GO")


@pytest.mark.parametrize("arguments", [["demo"], ["--help"], ["sources"], ["--print-completion", "bash"]])
def test_a_reader_that_goes_away_is_no_traceback(arguments: list[str]) -> None:
    run = subprocess.Popen(
        [sys.executable, "-m", "anchorage", *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert run.stdout is not None
    assert run.stderr is not None
    run.stdout.close()
    err = run.stderr.read()
    run.stderr.close()
    assert run.wait(60) == 0
    assert err == b""


def test_a_terminal_without_greek_letters_gets_question_marks() -> None:
    done = program(
        "formula", "pressure_physics", "density=1.25", "profile=1", "speed=45 mph", PYTHONIOENCODING="ascii"
    )
    assert done.returncode == 0
    assert done.stdout.startswith("q = 0.5???K?V^2 = 0.5?1.25?1?20.117^2 = 252.93 Pa")
    assert done.stderr == ""


def test_no_colour_whatever_the_terminal_says() -> None:
    for environment in ({"TERM": "xterm-256color", "FORCE_COLOR": "1"}, {"NO_COLOR": "1"}):
        done = program("demo", **environment)
        assert done.returncode == 0
        assert "\x1b" not in done.stdout + done.stderr


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_completion_knows_the_commands_and_the_files(shell: str, capsys: Any) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--print-completion", shell])
    assert left.value.code == 0
    script = capsys.readouterr().out
    assert "limit" in script
    assert {"bash": "_shtab_compgen_files", "zsh": "_files", "fish": "__fish_complete_path"}[shell] in script


def test_completion_for_an_unknown_shell_says_which_there_are(capsys: Any) -> None:
    with pytest.raises(SystemExit) as left:
        main(["--print-completion", "cmd"])
    assert left.value.code == 2
    assert "bash" in capsys.readouterr().err
