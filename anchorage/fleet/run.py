"""Many files at once, in processes. A process that dies takes one file with it and no more."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import warnings
from collections.abc import Callable, Generator, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

from anchorage.core.errors import AnchorageError
from anchorage.core.say import language, now_usually, say
from anchorage.core.textfile import exists, is_folder, why_not
from anchorage.fleet.rows import Options, SiteRow, is_saved_shelter, row_of
from anchorage.fleet.stock import is_stock

WORTH_A_PROCESS = 50
"""Files that take about as long as a process takes to start."""
BAR = 30
Progress = Callable[[int, int], None]
Judge = Callable[[Path, Any], Any]
"""What is found of one file; a row where its process died."""


class FleetError(AnchorageError):
    """A folder that cannot be judged, and what would make it possible."""


def files_of(folder: str, stock: str | None = None) -> tuple[list[Path], int]:
    """Deployment files of a folder by name, and how many saved shelters were left out. A file of a store is never one."""
    where = Path(folder)
    if not is_folder(where):
        raise FleetError(say("{folder}: {not_folder}; give a folder with deployment files (*.toml)", folder=folder, not_folder=say("not a folder") if exists(where) else say("there is no such folder")))  # fmt: skip
    try:
        found = sorted(p for p in where.iterdir() if p.suffix == ".toml" and not p.name.startswith("."))
    except OSError as e:
        raise FleetError(f"{folder}: {why_not(e, say('it cannot be read'))}") from None
    found = [p for p in found if not is_stock(p) and not (stock is not None and same_file(p, stock))]
    kept = [p for p in found if not is_saved_shelter(p)]
    if not kept:
        raise FleetError(
            say(
                "{folder}: no deployment file (*.toml) in it; anchorage new {folder}/our-shelter.toml writes one",
                folder=folder,
            )
        )
    return kept, len(found) - len(kept)


def same_file(a: Path, b: str) -> bool:
    """Whether two paths lead to one file."""
    try:
        return a.samefile(b)
    except (OSError, ValueError):
        return False


def _start(words: str) -> None:
    """In each process: words in the language of the parent; Ctrl-C is the parent's matter, and warnings are noise among the rows."""
    now_usually(words)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    if os.environ.get("ANCHORAGE_DEBUG") != "1":
        warnings.simplefilter("ignore")


def _pool(jobs: int) -> ProcessPoolExecutor:
    return ProcessPoolExecutor(
        jobs, mp_context=multiprocessing.get_context("spawn"), initializer=_start, initargs=(language(),)
    )


def _alone(path: Path, o: Options, judge: Judge) -> Any:
    """A file in a process of its own."""
    with _pool(1) as pool:
        try:
            return pool.submit(judge, path, o).result()
        except BrokenProcessPool:
            return SiteRow(
                path.name,
                headline=say("CANNOT BE JUDGED"),
                reason=say("the process that judged it died; judge it by itself with anchorage check"),
            )


def _in_processes(paths: Sequence[Path], o: Options, jobs: int, judge: Judge) -> Iterator[tuple[int, Any]]:
    """Rows as they come. When a process dies, those that may have done it are judged alone, the others together again."""
    todo = list(range(len(paths)))
    while todo:
        lost = yield from _together(paths, todo, o, jobs, judge)
        for i in lost[
            :jobs
        ]:  # files are taken up in order: the one that did it is among the first that are lost
            yield i, _alone(paths[i], o, judge)
        todo = lost[jobs:]


def _together(paths: Sequence[Path], todo: Sequence[int], o: Options, jobs: int, judge: Judge
              ) -> Generator[tuple[int, Any], None, list[int]]:  # fmt: skip
    """Rows of some files from one pool; gives back those that were lost with it."""
    lost, waiting = [], dict[Future[Any], int]()
    with _pool(min(jobs, len(todo))) as pool:
        try:
            for i in todo:
                try:
                    waiting[pool.submit(judge, paths[i], o)] = i
                except BrokenProcessPool:
                    lost.append(i)
            for f in as_completed(waiting):
                try:
                    yield waiting[f], f.result()
                except BrokenProcessPool:
                    lost.append(waiting[f])
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return sorted(lost)


def judge_all(paths: Sequence[Path], o: Options, *, jobs: int | None = None, progress: Progress | None = None,
              judge: Judge = row_of) -> list[Any]:  # fmt: skip
    """Rows in the order of ``paths``, the same however many processes there are. jobs: None for one a processor."""
    most = os.cpu_count() or 1
    wanted = min(most, -(-len(paths) // WORTH_A_PROCESS)) if jobs is None else min(jobs, len(paths))
    found: dict[int, Any] = {}
    each: Any = (
        enumerate(judge(p, o) for p in paths) if wanted <= 1 else _in_processes(paths, o, wanted, judge)
    )
    for i, row in each:
        found[i] = row
        if progress is not None:
            progress(len(found), len(paths))
    return [found[i] for i in range(len(paths))]


def bar(done: int, of: int) -> None:
    """A bar on standard error, which is a terminal; gone when all are done."""
    filled = BAR * done // of
    end = "\r" + " " * (BAR + 24) + "\r" if done == of else ""
    sys.stderr.write(f"\r[{'#' * filled}{'.' * (BAR - filled)}] {done} of {of}{end}")
    sys.stderr.flush()
