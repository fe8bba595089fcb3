"""What the commands share: what they return, JSON that any terminal can show, files that are not overwritten."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any, NamedTuple, TypeAlias

from anchorage.core.errors import AnchorageError
from anchorage.core.outputs import RECORD, put
from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.core.textfile import exists

if TYPE_CHECKING:
    from anchorage.outlook.asked import Asked


class Done(NamedTuple):
    """What came of a command that did something which stays, whatever becomes of the page."""

    code: int
    text: str
    did: str
    """What stays done, in words: it is said where the page cannot be."""


Outcome: TypeAlias = tuple[int, str] | Done
"""Exit code and what goes to standard output."""


class CommandError(AnchorageError):
    """What was typed after a command cannot be used."""


def as_json(data: Any) -> str:
    """One JSON object in ASCII, so that nothing in it acts on a terminal; no NaN, no infinity."""
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def as_text(lines: Iterable[str]) -> str:
    """Lines, each made inert."""
    return "".join(inert(line) + "\n" for line in lines)


def write_file(path: str, text: str, *, force: bool) -> None:
    """Write a deployment file; one that is there is replaced only when that was asked for, and never under a record."""
    put(path, text.encode("utf-8"), new=not force, over=force)


def wrote(path: str, more: str = "", code: int = 0) -> Done:
    """That a file was written, and what is said of it."""
    said = say("wrote {path}", path=path)
    return Done(code, as_text([said + more]), said)


def weather(args: argparse.Namespace) -> Asked:
    """Where the weather is to be taken from, of what was typed after a command that takes forecasts."""
    from anchorage.outlook.asked import Asked  # noqa: PLC0415 - slow

    typed = {
        k: v for k in ("say", "heard", "issued", "at", "offline") if (v := getattr(args, k, None)) is not None
    }
    return Asked(tuple(args.forecast), **typed)


def left_out(file: str) -> list[str]:
    """That there is a record of a file, which a judgement as planned does not look at."""
    if file == "-" or not exists(f"{file}{RECORD}"):
        return []
    return [say("AS PLANNED: the record is left out. As it stands: anchorage check {file}", file=inert(file))]
