"""What runs here: versions, extras, fonts, terminal, zone and the folders that are written to, to read out to whoever helps."""

from __future__ import annotations

import importlib.metadata
import locale
import os
import platform
import re
import sys
import tempfile
from collections import defaultdict
from datetime import UTC, datetime
from pathlib import Path

from anchorage.core import console, folders, machine, units
from anchorage.core.outputs import METER, RECORD
from anchorage.core.plain import inert, wrap
from anchorage.core.say import languages, not_reviewed, say, signs, speaking
from anchorage.core.version import VERSION

PROJECT = "shelter-anchorage"
FONTS = Path(__file__).parents[1] / "paper" / "fonts"
DEVELOPING = ("test",)
"""Extras of no use to a leader."""


def _needs() -> dict[str, list[str]]:
    """Names of what the program needs, by extra; those without one under nothing."""
    out: dict[str, list[str]] = defaultdict(list)
    try:
        said = importlib.metadata.requires(PROJECT) or []
    except importlib.metadata.PackageNotFoundError:
        return {}
    for line in said:
        name = re.split(r"[\s;\[<>=!~(]", line, maxsplit=1)[0]
        extra = re.search(r"extra\s*==\s*[\"']([^\"']+)", line)
        if name != PROJECT:
            out[extra[1] if extra else ""].append(name)
    return dict(out)


def _version(name: str) -> str:
    try:
        return importlib.metadata.version(name)
    except importlib.metadata.PackageNotFoundError:
        return ""


def _packages() -> list[str]:
    needs = _needs()
    if not needs:
        return [say("packages: not installed as a package; run from its files")]
    base = [f"{name} {_version(name) or say('MISSING')}" for name in needs.pop("", [])]
    out = [say("needs: {names}", names=", ".join(base))]
    for extra in sorted(set(needs) - set(DEVELOPING)):
        there = [f"{name} {v}" for name in needs[extra] if (v := _version(name))]
        missing = [name for name in needs[extra] if not _version(name)]
        lacks = say("; lacks {names}: pip install '{project}[{extra}]'", names=", ".join(missing), project=PROJECT, extra=extra) if missing else ""  # fmt: skip
        out.append(say("extra {extra}: {names}{lacks}", extra=extra, names=", ".join(there) or say("nothing"), lacks=lacks))  # fmt: skip
    return out


def _terminal() -> str:
    if not console.is_terminal(sys.stdout):
        return say("terminal: none, the page goes elsewhere; {encoding}", encoding=_encoding())
    colours = os.environ.get("COLORTERM") or ("NO_COLOR" if "NO_COLOR" in os.environ else "-")
    return say("terminal: {name}, {columns} by {rows}, {encoding}, colours {colours}", name=os.environ.get("TERM", "-"), columns=console.columns(),
               rows=console.rows(), encoding=_encoding(), colours=colours)  # fmt: skip


def _encoding() -> str:
    return str(getattr(sys.stdout, "encoding", None) or locale.getpreferredencoding(do_setlocale=False))


def _can_write(folder: Path) -> str:
    """Whether a folder can be written to; of one that is not there yet, the nearest that is. Nothing is written to find out."""
    there = folder
    while not there.exists() and there != there.parent:
        there = there.parent
    return say("can be written to") if os.access(there, os.W_OK | os.X_OK) else say("CANNOT BE WRITTEN TO")


def _folders() -> list[str]:
    each = (
        (say("work without a name, files opened lately"), folders.state()),
        (say("forecasts that were fetched"), folders.cache()),
        (say("for a moment: copies, pages"), Path(tempfile.gettempdir())),
    )
    return [
        say("writes beside a deployment: FILE{record} (the record), FILE{meter} (of a wind meter); while it is open, .FILE.journal and .FILE.1.open", record=RECORD, meter=METER),
        *(say("writes to {folder}: {what}; {state}", folder=folder, what=what, state=_can_write(folder)) for what, folder in each),
    ]  # fmt: skip


def _units() -> str:
    """Whether the factors that are kept are still those of the pint that is here."""
    try:
        same = units.by_pint() == units.kept_factors()
    except ImportError:
        return say("units: pint is MISSING, so their factors cannot be looked at again")
    count = sum(len(of) for of in units.kept_factors().values())
    if not same:
        return say("units: their factors are NOT THOSE OF pint {version}: install the program again before anything is judged by it", version=_version("pint"))  # fmt: skip
    return say(
        "units: {count} factors, the same as pint {version} has", count=count, version=_version("pint")
    )


def lines() -> list[str]:
    """All of it."""
    now = datetime.now(UTC).astimezone()
    return [
        f"anchorage {VERSION}",
        say("python: {version} ({kind}), {where}", version=platform.python_version(), kind=platform.python_implementation(), where=sys.executable),
        say("program: {folder}", folder=Path(__file__).parents[1]),
        say("system: {name}", name=machine.called()),
        *_packages(),
        _units(),
        say("fonts: {names}, shipped; of this machine only for scripts that these lack", names=", ".join(sorted(p.stem for p in FONTS.glob("*.ttf")))),
        _terminal(),
        say("languages: {names}", names=", ".join(languages())),
        say("zone: {zone}, now {now}", zone=machine.zone() or say("the machine names none"), now=now.strftime("%Y-%m-%d %H:%M %z")),
        *_folders(),
    ]  # fmt: skip


def page() -> str:
    """The same as text."""
    return "".join(inert(line) + "\n" for line in lines())


def languages_lines() -> list[str]:
    """Which languages there are, whether somebody of the trade has read them, and where their terms are from."""
    out = [
        *wrap(
            say(
                "Words only: numbers are read the same in every language, and JSON, keys, commands and exit codes stay as they are. --lang, then [deployment] lang, then LC_ALL, LC_MESSAGES or LANG."
            )
        )
    ]
    for code in languages():
        of = signs(code)
        with speaking(code):
            said = not_reviewed()
        out += ["", *wrap(f"{code}: {of.name}{f' ({said})' if said else ''}")]
        if of.terms:
            out += [
                x
                for t in (say("Terms, as its translator names them:"), *of.terms)
                for x in wrap(t, "  - " if t in of.terms else "  ", "    ")
            ]
    return out
