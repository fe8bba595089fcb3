"""Runs mutants within one process that has everything loaded and collected: each in a fork, its code put into what stands.

``python inside.py MODULE SECONDS JOBS FOUND TEST...``: JOBS holds one ``[id, source, line]`` a line, FOUND gets one ``[id, outcome, test]`` a line.
First each test runs once in a fork of its own, which says what of the module it runs through; a mutant is given to those alone that come by
its statement, the quick ones first, until SECONDS of them are over. The functions and methods of the module get the code of the mutant, whoever holds them; what a module works out while it is imported stays as it
was. So what fails here is killed; what passes is ``open`` and has to be run with the mutant imported anew; ``quick`` is what passes the tests
that there was time for. The test that killed last goes first.
"""

import ast
import contextlib
import ctypes
import gc
import importlib
import json
import os
import select
import signal
import sys
import time
import types
from pathlib import Path

import pytest

TIMEOUT = 8.0
LIBRARIES = ("scipy.optimize", "scipy.sparse", "hypothesis")
"""Slow to load, and by some only when they are needed."""


def statements(source: str) -> dict[int, frozenset[int]]:
    """Line -> the lines of the statement it is of (of one with a body, of its head), for what stands in functions."""
    out: dict[int, frozenset[int]] = {}

    def walk(body: list[ast.stmt], *, inner: bool) -> None:
        for s in body:
            within = isinstance(s, ast.FunctionDef | ast.ClassDef)
            blocks = [getattr(s, k, []) for k in ("body", "orelse", "finalbody")]
            blocks += [h.body for h in getattr(s, "handlers", [])]
            blocks = [b for b in blocks if b and isinstance(b[0], ast.stmt)]
            last = min((b[0].lineno - 1 for b in blocks), default=s.end_lineno or s.lineno)
            if inner and not within:
                span = frozenset(range(s.lineno, max(last, s.lineno) + 1))
                out.update(dict.fromkeys(span, span))
            for b in blocks:
                walk(b, inner=isinstance(s, ast.FunctionDef) or (inner and not isinstance(s, ast.ClassDef)))

    walk(ast.parse(source).body, inner=False)
    return out


def watch(file: str, seen: set[int]) -> None:
    """Note the lines of a file that run from now on."""

    def line(frame: types.FrameType, event: str, _: object) -> object:
        seen.add(frame.f_lineno)
        return line

    sys.settrace(lambda frame, event, arg: line if frame.f_code.co_filename == file else None)  # type: ignore[arg-type, return-value]


def bare(value: object) -> object:
    """The function under its wrappers."""
    while True:
        inner = getattr(value, "__wrapped__", None) or getattr(value, "__func__", None)
        inner = inner or getattr(value, "fget", None) or getattr(value, "func", None)
        if inner is None or (isinstance(value, types.FunctionType) and inner is value):
            return value
        value = inner


def put(old: object, new: object, home: str) -> None:
    """The code of one into the other, through classes, of what the module itself defines."""
    if isinstance(old, type) and isinstance(new, type):
        for name, value in vars(new).items():
            if name in vars(old) and getattr(bare(value), "__module__", None) == home:
                put(vars(old)[name], value, home)
        return
    old, new = bare(old), bare(new)
    if isinstance(old, types.FunctionType) and isinstance(new, types.FunctionType) and old is not new:
        old.__code__ = new.__code__
        old.__defaults__, old.__kwdefaults__ = new.__defaults__, new.__kwdefaults__


def plain(value: object) -> bool:
    """Numbers and texts, and what is made of them alone."""
    if isinstance(value, dict):
        return all(plain(k) and plain(v) for k, v in value.items())
    if isinstance(value, list | tuple | set | frozenset):
        return type(value) in (list, tuple, set, frozenset) and all(map(plain, value))
    return type(value) in (int, float, str, bool, type(None))


def mutate(module: types.ModuleType, source: str) -> None:
    """Put a mutant into a module that is loaded; plain values also into the modules that took them by name."""
    fresh = types.ModuleType(module.__name__)
    fresh.__file__, fresh.__package__ = module.__file__, module.__package__
    real = sys.modules[module.__name__]
    sys.modules[module.__name__] = fresh  # dataclasses look for the module by its name
    try:
        exec(compile(source, str(module.__file__), "exec"), fresh.__dict__)  # noqa: S102 - a mutant of our own
    finally:
        sys.modules[module.__name__] = real
    for name, value in vars(fresh).items():
        old = vars(module).get(name)
        if name.startswith("__"):
            continue
        if plain(value) and plain(old) and old != value:
            for other in [m for m in sys.modules.values() if isinstance(m, types.ModuleType)]:
                if vars(other).get(name) is old:
                    vars(other)[name] = value
        elif getattr(bare(value), "__module__", None) == module.__name__:
            put(old, value, module.__name__)


class Forks:
    """In the place of pytest's loop over the tests: a loop over the mutants."""

    def __init__(self, name: str, seconds: float, jobs: Path, found: Path) -> None:
        self.name, self.seconds, self.jobs, self.found = name, seconds, jobs, found
        self.most = 600.0  # of the clock; of a mutant by what its tests take as they are

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """The tests as they are, then each mutant."""
        if session.testsfailed:
            raise session.Interrupted("the tests cannot be collected")
        items = list(session.items)
        for name in LIBRARIES:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)
        gc.collect()
        gc.freeze()
        was = Path(str(sys.modules[self.name].__file__)).read_text(encoding="utf-8")
        lines, took = dict[str, frozenset[int]](), dict[str, float]()
        with self.found.open("a", encoding="utf-8") as out:
            for item in items:
                outcome, said = self.fork(session, [item], None)
                if outcome != "open":
                    print(json.dumps(["", outcome, item.nodeid]), file=out, flush=True)
                    return True
                seconds, *run = said.split()
                took[item.nodeid], lines[item.nodeid] = float(seconds), frozenset(map(int, run))
            print(json.dumps(["", "open", f"{sum(took.values()):.1f} s"]), file=out, flush=True)
            items.sort(key=lambda i: took[i.nodeid])  # the quick ones first
            spans = statements(was)
            for line in self.jobs.read_text(encoding="utf-8").splitlines():
                job, source, at = json.loads(line)
                try:
                    compile(source, "", "exec")
                except SyntaxError:
                    print(json.dumps([job, "killed", "is not Python"]), file=out, flush=True)
                    continue
                mine = spans.get(at)
                some = [i for i in items if mine is None or lines[i.nodeid] & mine]
                left, chosen = self.seconds, set[str]()
                for i in sorted(some, key=lambda i: took[i.nodeid]):
                    left -= took[i.nodeid]
                    if left > 0 or not chosen:
                        chosen.add(i.nodeid)
                these = [i for i in some if i.nodeid in chosen]
                self.most = TIMEOUT + 4.0 * sum(took[i.nodeid] for i in these)
                outcome, test = self.fork(session, these, source) if these else ("open", "none")
                if outcome == "open" and test and len(these) < len(some):
                    outcome = "quick"
                print(json.dumps([job, outcome, test]), file=out, flush=True)
                first = next((i for i in items if i.nodeid == test), None)
                if first is not None:
                    items.remove(first)
                    items.insert(0, first)
        return True

    def fork(self, session: pytest.Session, items: list[pytest.Item], source: str | None) -> tuple[str, str]:
        """killed and by which test, or open. source: None where it is asked how long a test takes, and through which lines it runs."""
        mine, its = os.pipe()
        child = os.fork()
        if not child:
            os.close(mine)
            os.setsid()
            ctypes.CDLL(None).prctl(1, signal.SIGKILL)  # it ends with the one who asked
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            said = b"open"
            try:
                seen = set[int]()
                begun = time.perf_counter()
                if source is None:
                    watch(str(sys.modules[self.name].__file__), seen)
                else:
                    mutate(sys.modules[self.name], source)
                for here, after in zip(items, [*items[1:], None], strict=True):
                    here.config.hook.pytest_runtest_protocol(item=here, nextitem=after)
                    if session.testsfailed:
                        said = f"killed:{here.nodeid}".encode()
                        break
                else:
                    took = f"{time.perf_counter() - begun:.4f}"
                    said = ("open:" + " ".join([took, *map(str, sorted(seen))])).encode()
            except BaseException:  # noqa: BLE001 - a fork ends here whatever happens; a mutant that cannot be put in is run anew
                said = b"open"
            os.write(its, said)
            os._exit(0)
        os.close(its)
        ended = os.pidfd_open(child)
        ready, *_ = select.select([ended], [], [], self.most)
        if not ready:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(ended)
        said = os.read(mine, 65536).decode() if ready else "killed:"
        os.close(mine)
        outcome, _, test = said.partition(":")
        return outcome or "killed", test


def main() -> int:
    """Collect, then run."""
    name, seconds, jobs, found, *tests = sys.argv[1:]
    os.environ["ANCHORAGE_MUTANT"] = "1"
    options = [
        "-o", "addopts=--strict-markers", "-q", "--tb=no", "-p", "no:cacheprovider", "-p", "no:xdist", "-s",
    ]  # fmt: skip
    words = ["-W", "ignore::pytest.PytestAssertRewriteWarning", *tests]
    __import__(name)
    return int(
        pytest.main([*options, *words], plugins=[Forks(name, float(seconds), Path(jobs), Path(found))])
    )


if __name__ == "__main__":
    sys.exit(main())
