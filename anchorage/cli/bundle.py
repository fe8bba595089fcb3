"""bundle: a case in, one file out; or such a file in, and whether it is whole and still the same. The clock is read here only."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from pathlib import Path
from typing import Any

from anchorage.bundle.case import LARGEST, Asked, Case, is_name, opened
from anchorage.bundle.replay import Moved, again, make, rows_moved, same_version
from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text
from anchorage.cli.paper import moment, zone
from anchorage.core.closed import EXITS
from anchorage.core.outputs import put
from anchorage.core.plain import wrap
from anchorage.core.say import ENGLISH, plural, say
from anchorage.core.textfile import exists, read_whole, why_not
from anchorage.deployment.reader import read_file
from anchorage.outlook.clock import iso

SAME, NOT_THE_SAME = 0, EXITS["unusable"]
SHOWN = 20
"""Differences on a page; the JSON has more."""


def bundle(args: argparse.Namespace) -> Outcome:
    """Make a bundle, or look at one."""
    return _check(args) if args.check is not None else _make(args)


def _make(args: argparse.Namespace) -> Outcome:
    file = Path(args.file)
    if exists(args.output):
        raise CommandError(
            say("{output}: it is there already and was left as it is; another name", output=args.output)
        )
    d = read_file(file)
    names = [file.name, *(Path(f).name for f in args.forecast)]
    if wrong := [n for n in names if not is_name(n)]:
        raise CommandError(
            say(
                "{wrong}: a name that cannot be kept in a bundle; give the file another name",
                wrong=repr(wrong[0]),
            )
        )
    now = moment(args, zone(args, d.outlook))
    asked = Asked(
        file.name, now, args.zone, args.units, tuple(Path(f).name for f in args.forecast), tuple(args.say), args.heard, args.issued, ENGLISH,
    )  # fmt: skip
    raw, seal = make(file, [Path(f) for f in args.forecast], asked)
    put(args.output, raw, new=True)
    said = say("wrote {output}", output=args.output)
    if args.json:
        return Done(0, as_json({"schema": 1, "seal": seal, "now": iso(now), "bytes": len(raw)}), said)
    lines = [
        say(
            "{said}: everything that it was judged by at {iso}, and what came of it.", said=said, iso=iso(now)
        ),
        say("SEAL {seal}: write it down, on paper, where nobody can change it.", seal=seal),
        say(
            "Look at it again: anchorage bundle --check {output} --seal {seal}", output=args.output, seal=seal
        ),
    ]
    return Done(0, as_text(x for t in lines for x in wrap(t)), said)


def _read(path: str, seal: str | None) -> Case:
    try:
        raw = read_whole(Path(path), LARGEST)
    except OSError as e:
        raise CommandError(
            say("{path}: {why_not}; give a bundle", path=path, why_not=why_not(e, say("it cannot be read")))
        ) from None
    return opened(raw, seal)


def _check(args: argparse.Namespace) -> Outcome:
    case = _read(args.check, args.seal)
    same = same_version(case) if case.readable else None
    moved = again(case) if case.readable else []
    why = rows_moved(case) if case.readable and not same else []
    whole = not case.faults
    code = SAME if whole and not moved else NOT_THE_SAME
    if args.json:
        return code, as_json(_data(case, same, moved, why))
    return code, as_text(x for t in _lines(case, same, moved, why, args.seal) for x in wrap(t))


def _data(case: Case, same: bool | None, moved: list[Moved], why: list[Moved]) -> dict[str, Any]:
    return {
        "schema": 1, "intact": not case.faults, "same_version": same, "moved": [asdict(m) for m in moved], "why": [asdict(m) for m in why],
        "faults": [{"code": f.fault.name.lower().replace("_", "-"), "where": f.where, "text": f.words} for f in case.faults],
        "seal": case.seal, "version": case.manifest.get("version"), "judged_again": case.readable,
    }  # fmt: skip


def _told(m: Moved) -> str:
    return say("{where}: was {was}, is {now}", where=m.where, was=m.was, now=m.now)


def _lines(
    case: Case, same: bool | None, moved: list[Moved], why: list[Moved], seal: str | None
) -> list[str]:
    """For a person."""
    out = [
        say("INTACT: nothing in it was changed since it was made.")
        if not case.faults
        else say("CHANGED: this is not what was made.")
    ]
    out += [f"- {f.words}" for f in case.faults[:SHOWN]]
    if not case.readable:
        return [*out, say("It cannot be judged again.")]
    if seal is None:
        out.append(
            say(
                "SEAL {seal}: compare it with the one that was written down when it was made. Who makes a bundle anew makes another seal, and nothing else shows that.",
                seal=case.seal,
            )
        )
    version = case.manifest.get("version")
    out.append(
        say("Judged again by the same version of program and tables.")
        if same
        else say(
            "Judged again by another version of program or tables than the one that made it ({version}).",
            version=version,
        )
    )
    if not moved:
        out.append(
            say("THE SAME: byte for byte.") if same else say("THE SAME: no figure and no decision moved.")
        )
        return out
    out.append(plural("NOT THE SAME: {n} difference.", "NOT THE SAME: {n} differences.", len(moved)))
    out += [f"- {_told(m)}" for m in moved[:SHOWN]]
    if len(moved) > SHOWN:
        out.append(say("- and {moved} more: --json has them.", moved=len(moved) - SHOWN))
    if why:
        out.append(say("Rows of the tables that are not what they were:"))
        out += [f"- {_told(m)}" for m in why[:SHOWN]]
    return out
