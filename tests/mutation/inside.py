"""Runs mutants within one process that has everything loaded and collected: each in a fork, its code put into what stands.

``python inside.py MODULE JOBS FOUND TEST...``: JOBS holds one ``[id, source]`` a line, FOUND gets one ``[id, outcome, test]`` a line.
The functions and methods of the module get the code of the mutant, whoever holds them; what a module works out while it is imported stays as it
was. So what fails here is killed; what passes is ``open`` and has to be run with the mutant imported anew. The test that killed last goes first.
"""

import contextlib
import ctypes
import gc
import itertools
import json
import os
import select
import signal
import sys
import time
import types
from pathlib import Path

import pytest

TIMEOUT = 30.0


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

    def __init__(self, name: str, jobs: Path, found: Path) -> None:
        self.name, self.jobs, self.found = name, jobs, found
        self.most = 600.0  # of the clock; then four times what the tests take as they are

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """The tests as they are, then each mutant."""
        if session.testsfailed:
            raise session.Interrupted("the tests cannot be collected")
        items = list(session.items)
        gc.collect()
        gc.freeze()
        was = Path(str(sys.modules[self.name].__file__)).read_text(encoding="utf-8")
        begun = time.monotonic()
        outcome, test = self.fork(session, items, was)
        self.most = max(TIMEOUT, 4.0 * (time.monotonic() - begun))
        took = (
            {i.nodeid: float(t) for i, t in zip(items, test.split(), strict=False)}
            if outcome == "open"
            else {}
        )
        items.sort(key=lambda i: took.get(i.nodeid, 0.0))  # the quick ones first
        with self.found.open("a", encoding="utf-8") as out:
            print(json.dumps(["", outcome, test]), file=out, flush=True)
            if outcome != "open":
                return True
            for line in self.jobs.read_text(encoding="utf-8").splitlines():
                job, source = json.loads(line)
                outcome, test = self.fork(session, items, source)
                print(json.dumps([job, outcome, test]), file=out, flush=True)
                first = next((i for i in items if i.nodeid == test), None)
                if first is not None:
                    items.remove(first)
                    items.insert(0, first)
        return True

    def fork(self, session: pytest.Session, items: list[pytest.Item], source: str) -> tuple[str, str]:
        """killed and by which test, or open and how long each took."""
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
                mutate(sys.modules[self.name], source)
                begun = [time.perf_counter()]
                for here, after in zip(items, [*items[1:], None], strict=True):
                    here.config.hook.pytest_runtest_protocol(item=here, nextitem=after)
                    if session.testsfailed:
                        said = f"killed:{here.nodeid}".encode()
                        break
                    begun.append(time.perf_counter())
                else:
                    said = ("open:" + " ".join(f"{b - a:.4f}" for a, b in itertools.pairwise(begun))).encode()
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
    name, jobs, found, *tests = sys.argv[1:]
    os.environ["ANCHORAGE_MUTANT"] = "1"
    options = [
        "-o", "addopts=--strict-markers", "-q", "--tb=no", "-p", "no:cacheprovider", "-p", "no:xdist", "-s",
    ]  # fmt: skip
    words = ["-W", "ignore::pytest.PytestAssertRewriteWarning", *tests]
    __import__(name)
    return int(pytest.main([*options, *words], plugins=[Forks(name, Path(jobs), Path(found))]))


if __name__ == "__main__":
    sys.exit(main())
