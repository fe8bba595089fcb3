"""Nothing of a file is evaluated, unpickled or executed, and no network is asked unless somebody asked for it."""

import ast
import json
import os
import pickle
import socket
from pathlib import Path

import pytest

from anchorage.cli.entry import main
from anchorage.demo import demo_text
from tests.trees import tree

ROOT = Path(__file__).parents[2]
FILES = sorted(p for part in ("anchorage", "tui") for p in (ROOT / part).rglob("*.py"))
CALLS = {"eval", "exec", "compile", "__import__", "input", "breakpoint", "import_module", "system", "popen", "execv", "execve", "execvp", "spawnv", "fork",
         "startfile", "unsafe_load", "full_load", "allow_pickle"}  # fmt: skip
"""Names of functions, bare or as an attribute; ``re.compile`` and the like are told apart below."""
MODULES = {"pickle", "cPickle", "marshal", "shelve", "dill", "joblib", "yaml", "subprocess", "pty", "ctypes", "runpy", "code", "codeop", "webbrowser", "multiprocessing", "concurrent",
           "socket", "ssl", "http", "urllib", "ftplib", "smtplib", "telnetlib", "xmlrpc", "httpx", "requests", "aiohttp", "distributed", "importlib", "tkinter", "xml"}  # fmt: skip
ALLOWED = {
    ("anchorage/formulas/registry.py", "importlib"): "the modules of one package of the program",
    ("anchorage/formulas/registry.py", "import_module"): "the same",
    ("anchorage/fleet/run.py", "multiprocessing"): "many files at once, in processes of the same program",
    ("anchorage/fleet/run.py", "concurrent"): "the same",
    ("anchorage/bundle/replay.py", "importlib"): "importlib.metadata: the versions that stand in a bundle",
    (
        "anchorage/cli/register.py",
        "importlib",
    ): "metadata: the licence that each installed package states of itself",
    ("anchorage/cli/newfile.py", "input"): "the questions of anchorage new",
    ("anchorage/cli/about.py", "importlib"): "importlib.metadata: versions of what is installed",
    ("anchorage/record/places.py", "urllib"): "urllib.parse: the name of a file as SQLite takes it",
    (
        "anchorage/meter/alarm.py",
        "subprocess",
    ): "meter --on-alarm asks for it: a program of the user's, typed as an option, without a shell",
    ("anchorage/cli/meter.py", "input"): "the height of the meter, asked once at a terminal",
    (
        "anchorage/meter/sources.py",
        "socket",
    ): "meter --from tcp:// or udp:// asks for it: lines in, nothing out",
    ("anchorage/outlook/live.py", "httpx"): "--at LAT,LON asks for it; imported only then",
    ("anchorage/outlook/live.py", "urllib"): "urlsplit: that an answer points to the server that was asked",
    (
        "anchorage/region/probe.py",
        "subprocess",
    ): "the same Python and the file itself: a damaged grid hangs or ends a process of its own",
    (
        "anchorage/outlook/alerts.py",
        "xml",
    ): "CAP is XML: expat with no DTD, no entity, bounded in size, depth and number; nothing is fetched",
    ("anchorage/region/run.py", "distributed"): "--scheduler asks for it; imported only then",
    ("anchorage/paper/pdf.py", "compile"): "of typst: a page of the program, text goes in as data",
    ("anchorage/paper/svg.py", "xml"): "xml.sax.saxutils: escape and quoteattr; nothing is parsed",
    ("tui/app.py", "concurrent"): "one thread beside the interface",
    ("tui/serving.py", "importlib"): "--web asks for it: the server of the extra, for this machine",
    ("tui/serving.py", "import_module"): "the same",
    ("tui/serving.py", "socket"): "--web asks for it: the port that it serves on; gethostname",
    ("tui/engine.py", "importlib"): "find_spec: whether typst is there",
    ("tui/owner.py", "socket"): "gethostname: the name of this machine, for who has a file open",
}
LATE = ("httpx", "distributed")
"""Imported inside a function, by what asks for it."""


def used(tree: ast.AST) -> set[str]:
    """Modules imported and functions called that are on the lists, wherever they stand."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {a.name.split(".")[0] for a in node.names} & MODULES
        elif isinstance(node, ast.ImportFrom):
            found |= {str(node.module).split(".")[0]} & MODULES
        elif isinstance(node, ast.Call):
            f = node.func
            name = f.id if isinstance(f, ast.Name) else f.attr if isinstance(f, ast.Attribute) else ""
            of = f.value.id if isinstance(f, ast.Attribute) and isinstance(f.value, ast.Name) else ""
            found |= {name} & CALLS if (of, name) != ("re", "compile") else set()
            found |= {k.arg for k in node.keywords if k.arg in ("shell", "allow_pickle")}
    return found


def test_what_could_run_or_fetch_stands_only_where_it_is_known_why():
    there, early = set(), set()
    for path in FILES:
        where, parsed = str(path.relative_to(ROOT)), tree(path)
        there |= {(where, name) for name in used(parsed)}
        top = ast.Module([n for n in parsed.body if isinstance(n, ast.Import | ast.ImportFrom)], [])
        early |= {(where, name) for name in used(top) & set(LATE)}
    assert there - set(ALLOWED) == set(), "not known why"
    assert set(ALLOWED) - there == set(), "gone: take it off the list"
    assert early == set(), "it is imported only when it is asked for"


def test_the_look_at_the_source_finds_what_it_looks_for():
    bad = "import pickle\ndef f():\n  from urllib import request\n  eval('1')\n  os.system('x')\n  np.load(x, allow_pickle=True)\n  re.compile('x')\n  run(shell=True)\n"
    assert used(ast.parse(bad)) == {"pickle", "urllib", "eval", "system", "allow_pickle", "shell"}


@pytest.fixture
def offline(monkeypatch):
    """No socket can be made, no name can be looked up."""

    import ssl  # noqa: F401 - its classes are made of those that are taken away here

    def never(*_, **__):
        raise AssertionError("the network was asked")

    for name in ("socket", "create_connection", "getaddrinfo", "gethostbyname"):
        monkeypatch.setattr(socket, name, never)


def test_files_are_judged_without_any_network(offline, tmp_path, capsys):
    site, now = tmp_path / "site.toml", ("--now", "2026-01-13T18:00:00Z")
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    forecast = ROOT / "anchorage" / "demo" / "demo-forecast-winter.json"
    for typed in (["check"], ["outlook", "--forecast", forecast, *now], ["sheet", "--forecast", forecast, "-o", tmp_path / "a.html", *now],
                  ["log", "note", "x", "--who", "A. Lee", *now], ["now", *now], ["region", "--grid", "demo", *now]):  # fmt: skip
        assert main([typed[0], str(site), *map(str, typed[1:])]) in (0, 1, 3), capsys.readouterr()
    for name in ("http://localhost/x.toml", "https://localhost/x"):
        assert main(["check", name]) == 2
        assert main(["outlook", str(site), "--forecast", name, *now]) == 2
        assert main(["region", str(site), "--grid", name, *now]) == 2


class _Runs:
    def __init__(self, what):
        self.what = what

    def __reduce__(self):
        return os.mkdir, (self.what,)


@pytest.mark.parametrize(
    "change",
    [
        {"filters": [{"id": "pickle"}], "compressor": None},
        {"compressor": {"id": "pickle"}},
        {"dtype": "|O", "filters": [{"id": "pickle"}], "compressor": None, "fill_value": None},
    ],
)
@pytest.mark.parametrize("variable", ["time", "gust"])
@pytest.mark.filterwarnings(
    "ignore::RuntimeWarning", "ignore::UserWarning", "ignore::pytest.PytestUnraisableExceptionWarning"
)
def test_a_grid_is_never_unpickled(tmp_path, capsys, variable, change):
    from anchorage.region.invented import invented

    site, store, trap = tmp_path / "site.toml", tmp_path / "g.zarr", tmp_path / "it-ran"
    site.write_text(demo_text("asphalt"), encoding="utf-8")
    with invented(1_773_165_600) as ds:
        ds.load().drop_encoding().to_zarr(store, zarr_format=2, consolidated=False)
    about = store / variable / ".zarray"
    about.write_text(json.dumps(json.loads(about.read_text()) | change))
    for chunk in (store / variable).iterdir():
        if not chunk.name.startswith("."):
            chunk.write_bytes(pickle.dumps(_Runs(str(trap))))
    assert main(["region", str(site), "--grid", str(store), "--now", "2026-03-10T18:00:00Z"]) == 2
    assert not trap.exists()
    assert "fault of the program" not in capsys.readouterr().err
