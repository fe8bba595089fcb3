"""Mutants of the physics by cosmic-ray, in a copy of the repository; what survives is listed unless it is explained.

    python3 -m venv /tmp/mutants && /tmp/mutants/bin/pip install cosmic-ray==8.7.0
    /tmp/mutants/bin/python tests/mutation/run.py --tests-with .venv/bin/python              # every module
    /tmp/mutants/bin/python tests/mutation/run.py --tests-with .venv/bin/python holding/friction
    ... --again          # what survived the last run of a module and is not explained, against the tests of today
    ... --share 0.3      # three in ten of the mutants; --rest runs the others later
    ... --ranges         # the numbers in the ranges of validity of formulas, after a run of the module
    ... --wide           # with the wide list of tests after that of the module: slow, for survivors

    ... --seconds 2  # of the tests that come by a mutant, the quick ones, so long; what survives runs through all with --again
    ... --minutes 3  # so long, then --on goes on where it ended

Each mutant is first put into the code of one process that has all loaded (``inside.py``), for the tests that run through its statement: some
tens of milliseconds. What nothing kills there
and what stands outside of functions is run with everything imported anew, some seconds a mutant. ``cosmic-ray.toml`` says which mutants are made and which tests a module is held by;
``explained.toml`` says why a survivor is no fault. One process of tests runs at a time. Not a part of CI.
"""

import argparse
import ast
import json
import os
import pickle
import re
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from zlib import crc32

from cosmic_ray.ast import get_ast
from cosmic_ray.plugins import get_operator
from cosmic_ray.work_db import WorkDB, use_db
from cosmic_ray.work_item import TestOutcome, WorkerOutcome, WorkItem, WorkResult

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SETTINGS = tomllib.loads((HERE / "cosmic-ray.toml").read_text(encoding="utf-8"))
EXPLAINED = tomllib.loads((HERE / "explained.toml").read_text(encoding="utf-8")).get("mutant", [])
RANGE, UNDRAWN = "range of validity", "not drawn"
LEFT_OUT = (".git", ".venv", ".hypothesis", "__pycache__", ".mypy_cache", ".ruff_cache")


Place = tuple[tuple[int, int], tuple[int, int]]


def places(source: str) -> tuple[list[Place], list[Place]]:
    """Where a change changes nothing that runs (annotations, the words of a decorator), and the ranges of validity."""
    idle: list[ast.AST] = []
    ranges: list[ast.AST] = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef):
            idle += [node.returns] if node.returns else []
            for k in (k for d in node.decorator_list if isinstance(d, ast.Call) for k in d.keywords):
                (ranges if k.arg == "valid" else idle).append(k.value)
        elif isinstance(node, ast.arg | ast.AnnAssign) and node.annotation is not None:
            idle.append(node.annotation)
    lines = source.splitlines()

    def at(line: int, column: int) -> tuple[int, int]:  # ast counts bytes, cosmic-ray characters
        return line, len(lines[line - 1].encode()[:column].decode())

    found = [
        [(at(n.lineno, n.col_offset), at(n.end_lineno, n.end_col_offset)) for n in nodes]
        for nodes in (idle, ranges)
    ]
    return found[0], found[1]


def leave_out(db: WorkDB, source: str, share: float) -> None:
    """Mark the mutants of such places as skipped; those of ranges have a run of their own. share: of the others, drawn
    by a sum over operator and place, so the same in every run.
    """
    idle, ranges = places(source)
    for item in list(db.pending_work_items):
        m = item.mutations[0]
        for why, spans in (("idle", idle), (RANGE, ranges)):
            if any(a <= tuple(m.start_pos) and tuple(m.end_pos) <= b for a, b in spans):
                db.set_result(item.job_id, WorkResult(worker_outcome=WorkerOutcome.SKIPPED, output=why))
                break
        else:
            if crc32(f"{m.operator_name} {m.occurrence}".encode()) % 1000 >= 1000 * share:
                db.set_result(item.job_id, WorkResult(worker_outcome=WorkerOutcome.SKIPPED, output=UNDRAWN))


def tool(*arguments: str, cwd: Path) -> None:
    """One command of cosmic-ray, from the environment that this runs in."""
    place = Path(sys.executable).parent / arguments[0]
    subprocess.run([str(place), *arguments[1:]], cwd=cwd, check=True)


@contextmanager
def server(python: str, copy: Path, place: Path, tests: list[str]):
    """The process that forks the runs; ends with the block."""
    place.unlink(missing_ok=True)
    env = {**os.environ, "PYTHONPATH": str(copy)}
    words = [python, str(HERE / "server.py"), str(place), *tests]
    with subprocess.Popen(words, cwd=copy, env=env, stdin=subprocess.PIPE) as process:
        while not place.exists():
            if process.poll() is not None:
                raise SystemExit("the server of tests did not start")
            time.sleep(0.05)
        try:
            yield
        finally:
            process.stdin.close()
            process.wait(60)


def ask(place: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-I", "-S", str(HERE / "ask.py"), str(place)],
        capture_output=True,
        text=True,
        check=False,
        timeout=SETTINGS["cosmic-ray"]["timeout"],
    )


def texts(item: WorkItem, result: WorkResult, lines: list[str]) -> dict[str, str]:
    """A mutant as people read it: the lines taken out and put in."""
    m = item.mutations[0]
    diff = (result.diff or "").splitlines()
    out = [d[1:].strip() for d in diff if d.startswith("-") and not d.startswith("---")]
    put = [d[1:].strip() for d in diff if d.startswith("+") and not d.startswith("+++")]
    row, col = m.start_pos
    return {
        "operator": m.operator_name.removeprefix("core/"), "line": lines[row - 1].strip(), "number": str(row),
        "at": lines[row - 1][col : col + 24], "function": m.definition_name or "", "was": " ".join(out), "is": " ".join(put),
    }  # fmt: skip


def reason(module: str, mutant: dict[str, str]) -> str | None:
    """Why a survivor is no fault, if it is explained: by module, line, operator, and where given the function and a piece of the line after."""
    for e in EXPLAINED:
        line = e["line"]
        same = e["module"] in (module, "*") and re.match(e.get("at", ""), mutant["at"])
        same = same and e.get("function", mutant["function"]) == mutant["function"]
        same = same and (
            line == mutant["line"] or (line.endswith("*") and mutant["line"].startswith(line[:-1]))
        )
        operators = e["operator"] if isinstance(e["operator"], list) else [e["operator"]]
        becomes = e.get("becomes", [""])
        pieces = [becomes] if isinstance(becomes, str) else becomes
        if same and mutant["operator"] in operators and any(p in mutant["is"] for p in pieces):
            return str(e["why"])
    return None


def occurrences(
    node: object, operator: object, path: tuple[int, ...] = ()
) -> Iterator[tuple[tuple[int, ...], int]]:
    """Where an operator may change a tree, in the order in which cosmic-ray counts: children on the way to it, index of the change there."""
    for n, _ in enumerate(operator.mutation_positions(node)):
        yield path, n
    for k, child in enumerate(getattr(node, "children", ())):
        yield from occurrences(child, operator, (*path, k))


def put_in(tree: object, operator: object, path: tuple[int, ...], n: int) -> str:
    """The source with one change. The tree is changed: a copy, since reading the source anew takes ten times as long."""
    node, parent = tree, None
    for k in path:
        node, parent = node.children[k], node
    new = operator.mutate(node, n)
    if parent is None:
        return str(new.get_code())
    parent.children[path[-1]] = new
    parent.children = [c for c in parent.children if c is not None]
    return str(tree.get_code())


def difference(was: list[str], put: list[str]) -> str:
    """The lines that differ, as a difference is written."""
    first = next(
        (i for i, (a, b) in enumerate(zip(was, put, strict=False)) if a != b), min(len(was), len(put))
    )
    most = min(len(was), len(put)) - first
    last = next((i for i in range(most) if was[-1 - i] != put[-1 - i]), most)
    out, new = was[first : len(was) - last], put[first : len(put) - last]
    return "\n".join(["--- mutation diff ---", *(f"-{line}" for line in out), *(f"+{line}" for line in new)])


def changed(session: Path, source: str) -> dict[str, tuple[str, str]]:
    """Of each pending mutant the source and the difference, made once; what cannot be made is written down so."""
    kept = session.with_suffix(".mutants")
    made = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    tree = get_ast(source)
    packed, places_of = pickle.dumps(tree), dict[str, list[tuple[tuple[int, ...], int]]]()
    with use_db(str(session)) as db:
        pending = list(db.pending_work_items)
        for item in (i for i in pending if i.job_id not in made):
            m = item.mutations[0]
            operator = get_operator(m.operator_name)(**(m.operator_args or {}))
            name = f"{m.operator_name} {m.operator_args}"
            if name not in places_of:
                places_of[name] = list(occurrences(tree, operator))
            if m.occurrence >= len(places_of[name]):
                db.set_result(item.job_id, WorkResult(worker_outcome=WorkerOutcome.NO_TEST))
                continue
            mutant = put_in(pickle.loads(packed), operator, *places_of[name][m.occurrence])  # noqa: S301 - our own
            made[item.job_id] = mutant, difference(source.split("\n"), mutant.split("\n"))
    kept.write_text(json.dumps(made), encoding="utf-8")
    return {item.job_id: tuple(made[item.job_id]) for item in pending if item.job_id in made}


def put_down(session: Path, job: str, diff: str, output: str, *, killed: bool) -> None:
    """One result."""
    outcome = TestOutcome.KILLED if killed else TestOutcome.SURVIVED
    with use_db(str(session)) as db:
        db.set_result(
            job,
            WorkResult(worker_outcome=WorkerOutcome.NORMAL, output=output, test_outcome=outcome, diff=diff),
        )


def inside(module: str, a: argparse.Namespace, session: Path, copy: Path, tests: list[str]) -> None:
    """All that are pending, in forks of one process: what is killed is written down, the others stay pending."""
    path = copy / f"anchorage/{module}.py"
    with closing(sqlite3.connect(session)) as base, base:
        base.execute("CREATE TABLE IF NOT EXISTS passed (job TEXT PRIMARY KEY)")
        passed = {row[0] for row in base.execute("SELECT job FROM passed")}
    mutants = changed(session, path.read_text(encoding="utf-8"))
    jobs, found = a.work / "jobs.jsonl", a.work / "found.jsonl"
    found.unlink(missing_ok=True)
    with use_db(str(session)) as db:
        where = {i.job_id: i.mutations[0].start_pos[0] for i in db.work_items}
        inner = {i.job_id for i in db.work_items if i.mutations[0].definition_name}
    todo = [json.dumps([j, mutant, where[j]]) for j, (mutant, _) in mutants.items() if j not in passed]
    if not todo:
        return
    jobs.write_text("\n".join(todo), encoding="utf-8")
    name = f"anchorage.{module.replace('/', '.')}"
    words = [a.tests_with, str(HERE / "inside.py"), name, str(a.seconds), str(jobs), str(found), *tests]
    env = {**os.environ, "PYTHONPATH": str(copy)}
    with subprocess.Popen(
        words, cwd=copy, env=env, start_new_session=True, stdout=subprocess.PIPE
    ) as process:
        try:
            said = process.communicate(timeout=max(1.0, a.end - time.monotonic()))[0]
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            said = b""
    lines = found.read_text(encoding="utf-8").splitlines() if found.exists() else []
    results = [json.loads(line) for line in lines]
    if not results or results[0][1] != "open":
        raise SystemExit(f"{module}: the tests fail without a mutant\n{said.decode()}{results[:1]}")
    for job, outcome, test in results[1:]:
        if outcome in ("killed", "quick") or (
            outcome == "open" and test and job in inner
        ):  # all ran that there was time for, and all of it is in a function
            put_down(session, job, mutants[job][1], test, killed=outcome == "killed")
    with closing(sqlite3.connect(session)) as base, base:
        base.executemany(
            "INSERT OR IGNORE INTO passed VALUES (?)", [(j,) for j, o, _ in results[1:] if o == "open"]
        )


def anew(module: str, a: argparse.Namespace, session: Path, copy: Path, tests: list[str]) -> None:
    """What passed inside, with everything imported anew with the mutant that is on disk."""
    path, place = copy / f"anchorage/{module}.py", a.work / "door"
    source = path.read_text(encoding="utf-8")
    mutants = changed(session, source)
    with use_db(str(session)) as db:
        items = {i.job_id: i for i in db.work_items}
    for job in list(mutants):  # what passed inside, and is explained
        diff = mutants[job][1]
        made = WorkResult(worker_outcome=WorkerOutcome.NORMAL, diff=diff)
        if reason(module, texts(items[job], made, source.splitlines())):
            put_down(session, job, diff, "explained", killed=False)
            del mutants[job]
    if not mutants or time.monotonic() > a.end:
        return
    with server(a.tests_with, copy, place, tests):
        first = ask(place)
        if first.returncode:
            raise SystemExit(f"{module}: the tests fail without a mutant\n{first.stdout}")
        for job, (mutant, diff) in mutants.items():
            if time.monotonic() > a.end:
                break
            path.write_text(mutant, encoding="utf-8")
            try:
                result = ask(place)
                put_down(session, job, diff, result.stdout, killed=result.returncode != 0)
            except subprocess.TimeoutExpired:
                put_down(session, job, diff, "too long", killed=True)
            finally:
                path.write_text(source, encoding="utf-8")


def prepare(module: str, work: Path, copy: Path, share: float) -> None:
    """A session with the mutants of a module, those that are not wanted skipped."""
    name = module.replace("/", "-")
    config, session = work / f"{name}.toml", f"{name}.sqlite"
    own = {k: v for k, v in SETTINGS["cosmic-ray"].items() if not isinstance(v, dict)}
    own["module-path"] = f"anchorage/{module}.py"
    own["test-command"] = "none"  # run.py runs them
    dropped = SETTINGS["cosmic-ray"]["filters"]["operators-filter"]["exclude-operators"]
    words = [f"{k} = {json.dumps(v)}" for k, v in own.items()]
    config.write_text(
        "\n".join(["[cosmic-ray]", *words, '[cosmic-ray.distributor]\nname = "local"',
                   "[cosmic-ray.filters.operators-filter]", f"exclude-operators = {json.dumps(dropped)}"]),
        encoding="utf-8",
    )  # fmt: skip
    (work / session).with_suffix(".was").write_text(source_of(module, copy), encoding="utf-8")
    (work / session).with_suffix(".mutants").unlink(missing_ok=True)
    tool("cosmic-ray", "init", str(config), str(work / session), "--force", cwd=copy)
    forget(work / session, [])
    tool("cr-filter-operators", str(work / session), str(config), cwd=copy)
    with use_db(str(work / session)) as db:
        leave_out(db, (copy / own["module-path"]).read_text(encoding="utf-8"), share)


def same(module: str, session: Path, copy: Path) -> bool:
    """Whether a session is of the module as it is."""
    was = session.with_suffix(".was")
    return was.exists() and was.read_text(encoding="utf-8") == source_of(module, copy)


def source_of(module: str, copy: Path) -> str:
    return (copy / f"anchorage/{module}.py").read_text(encoding="utf-8")


def forget(session: Path, jobs: list[str]) -> None:
    """Take back results, so that the mutants run again."""
    with closing(sqlite3.connect(session)) as base, base:
        base.execute("DROP TABLE IF EXISTS passed")
        base.executemany("DELETE FROM work_results WHERE job_id = ?", [(j,) for j in jobs])


def to_run_again(session: Path, module: str, copy: Path, skipped: str) -> list[str]:
    """Those that were skipped for a reason, or else those that survived and are not explained."""
    lines = (copy / f"anchorage/{module}.py").read_text(encoding="utf-8").splitlines()
    with use_db(str(session)) as db:
        items, results = {i.job_id: i for i in db.work_items}, dict(db.results)
    if skipped:
        return [j for j, r in results.items() if r.output == skipped]
    return [
        j for j, r in results.items()
        if r.test_outcome == TestOutcome.SURVIVED and not reason(module, texts(items[j], r, lines))
    ]  # fmt: skip


def report(module: str, work: Path, copy: Path) -> Counter[str]:
    """Print the survivors of a module that nothing explains; return the counts."""
    lines = (copy / f"anchorage/{module}.py").read_text(encoding="utf-8").splitlines()
    count: Counter[str] = Counter()
    with use_db(str(work / f"{module.replace('/', '-')}.sqlite")) as db:
        items = {i.job_id: i for i in db.work_items}
        results = dict(db.results)
    count["made"] = len(items)
    found = []
    for job, item in items.items():
        result = results.get(job)
        if result is None:
            count["not run"] += 1
        elif result.worker_outcome == WorkerOutcome.SKIPPED:
            count[{RANGE: RANGE, UNDRAWN: "not run"}.get(str(result.output), "left out")] += 1
        elif result.is_killed:
            count["killed"] += 1
        else:
            mutant = texts(item, result, lines)
            why = reason(module, mutant)
            count["explained" if why else "survived"] += 1
            if not why:
                found.append(mutant)
    count["run"] = count["killed"] + count["explained"] + count["survived"]
    for m in sorted(found, key=lambda m: int(m["number"])):
        print(f"{module}:{m['number']} {m['operator']} at `{m['at']}`\n    - {m['was']}\n    + {m['is']}")
    return count


def main() -> None:
    """Run the modules that are named, or all."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("modules", nargs="*", help="as holding/friction; all where left out")
    parser.add_argument(
        "--tests-with", default=str(ROOT / ".venv/bin/python"), help="python with the test extras"
    )
    parser.add_argument(
        "--root", type=Path, default=ROOT, help="the repository to copy, where this one is in work"
    )
    parser.add_argument("--work", type=Path, default=Path(tempfile.gettempdir()) / "anchorage-mutants")
    parser.add_argument(
        "--share", type=float, default=1.0, help="share of the mutants that is run, drawn the same each time"
    )
    parser.add_argument("--again", action="store_true", help="only what survived the last run, unexplained")
    parser.add_argument("--wide", action="store_true", help="with the wide list of tests")
    parser.add_argument(
        "--ranges", action="store_true", help="only the numbers in ranges of validity, after a run"
    )
    parser.add_argument(
        "--rest", action="store_true", help="after a run with --share: those that were not drawn"
    )
    parser.add_argument("--report", action="store_true", help="say what the last run found, run nothing")
    parser.add_argument("--minutes", type=float, default=1440.0, help="no longer than this; then --on")
    parser.add_argument(
        "--seconds",
        type=float,
        default=600.0,
        help="of tests that a mutant is given to, the quick ones first",
    )
    parser.add_argument("--on", action="store_true", help="go on with what is left of the last run")
    a = parser.parse_args()
    a.end = time.monotonic() + 60.0 * a.minutes
    known: dict[str, list[str]] = SETTINGS["tests"]["modules"]
    modules = a.modules or list(known)
    copy = a.work / "copy"
    if not a.report:
        shutil.rmtree(copy, ignore_errors=True)
        shutil.copytree(a.root, copy, ignore=shutil.ignore_patterns(*LEFT_OUT))
    total: dict[str, Counter[str]] = {}
    for module in modules:
        session = a.work / f"{module.replace('/', '-')}.sqlite"
        if not a.report:
            if (a.again or a.ranges or a.rest) and same(module, session, copy):
                jobs = to_run_again(session, module, copy, "" if a.again else RANGE if a.ranges else UNDRAWN)
                forget(session, jobs)
            elif not (a.on and session.exists() and same(module, session, copy)):
                prepare(module, a.work, copy, a.share)
            tests = SETTINGS["tests"]["ranges"] if a.ranges else list(known[module])
            if a.wide:
                tests += [t for t in SETTINGS["tests"]["wide"] if t not in tests]
            inside(module, a, session, copy, tests)
            anew(module, a, session, copy, tests)
        if session.exists():
            total[module] = report(module, a.work, copy)
    columns = ("made", "left out", "run", "killed", "explained", "survived", RANGE, "not run")
    print(f"{'':24}" + "".join(f"{c:>{len(c) + 2}}" for c in columns))
    whole: Counter[str] = sum(total.values(), Counter())
    for name, count in [*total.items(), ("all", whole)]:
        print(f"{name:24}" + "".join(f"{count[c]:>{len(c) + 2}}" for c in columns), flush=True)


if __name__ == "__main__":
    main()
