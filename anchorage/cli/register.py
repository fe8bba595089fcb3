"""What figures stand on, what is taken where a key is left out, what words mean, what a file may say."""

from __future__ import annotations

import argparse
import re
from importlib import metadata
from pathlib import Path
from typing import Any

from anchorage.cli.common import CommandError, Outcome, as_json, as_text
from anchorage.core import tables
from anchorage.core.plain import wrap
from anchorage.core.say import ENGLISH, capital, later, say, speaking
from anchorage.core.table_files import Source
from anchorage.deployment.models import Deployment


def _row(r: tables.Row) -> dict[str, Any]:
    return {
        "key": r.key, "value": r.value, "low": r.low, "high": r.high, "unit": r.unit, "label": r.label, "at": r.at,
        "how": r.how, "source": r.source, "clause": r.clause, "cite": r.cite(), "note": r.note,
    }  # fmt: skip


def _table(t: tables.Table) -> dict[str, Any]:
    return {
        "name": t.name, "quantity": t.quantity, "unit": t.unit, "implemented": t.implemented, "file": t.file,
        "rows": [_row(r) for r in t.rows],
    }  # fmt: skip


def _source(file: str, s: Source) -> dict[str, Any]:
    return {"file": file, "id": s.id, "title": s.title, "short": s.short, "publisher": s.publisher,
            "edition": s.edition, "year": s.year, "where": s.where, "second_hand": s.second_hand}  # fmt: skip


def _text(t: tables.Text) -> dict[str, Any]:
    return {
        "key": t.key, "text": t.text, "how": t.how, "source": t.source, "clause": t.clause, "cite": t.cite(), "note": t.note,
    }  # fmt: skip


def _figure(r: tables.Row) -> str:
    span = (
        ""
        if r.low is None and r.high is None
        else f" ({'' if r.low is None else f'{r.low:g}'}..{'' if r.high is None else f'{r.high:g}'})"
    )
    return f"{r.value:g}{span}{'' if r.unit == '1' else ' ' + r.unit}"


def _stands(r: tables.Row) -> str:
    """How a figure was obtained, and from what; how it was computed is said in its note."""
    if r.how in ("read", "second-hand", "computed") and r.cited:
        return f"[{r.how}: {r.cited}{f', {r.clause}' if r.clause else ''}]"
    return f"[{r.how}]"


def _table_lines(t: tables.Table, *, notes: bool) -> list[str]:
    title = f"{t.name}: {t.quantity}" + (
        "" if t.implemented else say(" (kept for reference, nothing computes with it)")
    )
    lines = ["", *wrap(title, "", "  ")]
    before = ""
    for r in t.rows:
        if _stands(r) != before:
            before = _stands(r)
            lines += wrap(before, "  ")
        lines += wrap(f"{r.key} = {_figure(r)}", "    ", "      ")
        if notes:
            lines += [out for text in (r.label, r.note) if text for out in wrap(text, "        ")]
    return lines


SHIPPED = (
    ("anchorage, tui, tables", "Apache-2.0", "LICENSE.txt"),
    ("DejaVu Sans Condensed, regular and bold (for pages)", "Bitstream-Vera", "paper/fonts/LICENSE.txt"),
)
"""What the package holds: name, SPDX expression, the licence's text within the package."""


def _needed() -> list[dict[str, Any]]:
    """What the package asks for, as installed here; a part that is not installed says so."""
    extras = dict[str, list[str]]()
    for text in metadata.requires("shelter-anchorage") or ():
        name = re.split(r"[^A-Za-z0-9._-]", text, maxsplit=1)[0]
        extra = re.search(r"extra == ['\"](\w+)", text)
        if name != "shelter-anchorage" and (extra is None or extra[1] != "test"):
            extras.setdefault(name, []).extend([extra[1]] if extra else [])
    out = []
    for name in sorted(extras, key=str.lower):
        try:
            found = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            version, licence = None, None
        else:
            version, licence = found["Version"], _licence(found)
        out.append(
            {"name": name, "version": version, "licence": licence, "extra": ", ".join(extras[name]) or None}
        )
    return out


def _licence(found: Any) -> str | None:
    """As its makers state it: the expression, the classifiers, or the first line of the text."""
    if said := found.get("License-Expression"):
        return str(said)
    kinds = [c.split(" :: ")[-1] for c in found.get_all("Classifier", ()) if c.startswith("License ::")]
    lines = str(found.get("License") or "").strip().splitlines()
    return "; ".join(kinds) or (lines[0] if lines else None)


def _licences(args: argparse.Namespace) -> Outcome:
    here = Path(__file__).parents[1]
    shipped = [{"what": w, "licence": spdx, "text": str(here / text)} for w, spdx, text in SHIPPED]
    if args.json:
        return 0, as_json({"schema": 1, "shipped": shipped, "needed": _needed()})
    lines = [say("SHIPPED WITH THIS PROGRAM")]
    lines += [out for s in shipped for out in wrap(f"{s['what']}: {s['licence']}; {s['text']}", "  ", "    ")]
    lines += ["", say("WHAT IT NEEDS, installed apart, under the licences that its makers state")]
    for n in _needed():
        stated = (
            f"{n['version']}: {n['licence'] or say('states none')}" if n["version"] else say("not installed")
        )
        extra = say(" (extra {extra})", extra=n["extra"]) if n["extra"] else ""
        lines += wrap(f"{n['name']}{extra} {stated}", "  ", "    ")
    return 0, as_text(lines)


def sources(args: argparse.Namespace) -> Outcome:
    """Print the register: every figure, sentence and source, those that nothing uses yet among them."""
    if args.licences:
        return _licences(args)
    register = tables.register()
    chosen = [t for t in register.tables if args.table in (None, t.name)]
    if not chosen:
        raise CommandError(
            say(
                "sources {table}: there is no such table; one of {tables}",
                table=args.table,
                tables=", ".join(t.name for t in register.tables),
            )
        )
    files = {t.file for t in chosen}
    cited = {(t.file, r.source) for t in chosen for r in t.rows}
    listed = [
        (f, s) for f, s in register.sources if args.table is None or (f in files and (f, s.id) in cited)
    ]
    texts = register.texts if args.table is None else ()
    if args.json:
        return 0, as_json({"schema": 1, "tables": [_table(t) for t in chosen], "texts": [_text(t) for t in texts],
                           "sources": [_source(f, s) for f, s in listed]})  # fmt: skip
    lines = [
        *wrap(
            say(
                "read: seen in the source. computed: from figures that were seen, the note says how. second-hand: of the source, seen where another text repeats it. memory: known, not seen. common practice: everybody does it, no source."
            )
        )
    ]
    if args.table is None:
        lines += ["", say("With its notes, one table:  anchorage sources TABLE")]
    for t in chosen:
        lines += _table_lines(t, notes=args.table is not None)
    if texts:
        lines += ["", "SENTENCES"]
        lines += [out for t in texts for out in wrap(f"{t.key}: {t.text} [{t.cite()}]", "  ", "    ")]
    lines += ["", "SOURCES"]
    for s in dict.fromkeys(s for _, s in listed):
        parts = [s.title, s.publisher, s.edition, None if s.year is None else str(s.year)]
        lines += wrap(f"{s.id}: {', '.join(p for p in parts if p)}; {s.where}", "  ", "    ")
    return 0, as_text(lines)


ERRS = {
    "safe": later("safe: nothing that could be said asks for more"),
    "short": later("MAY FALL SHORT: something that could be said asks for more"),
    "asks": later("asked for: nothing is made up"),
    "no part": later("no part in what holds or what pulls"),
}
"""On which side a default errs, in words."""


def _directions(part: str | None) -> list[dict[str, Any]]:
    register = tables.register()
    taken = {d.key: d for d in register.defaults}
    out = []
    for w in register.worse:
        if part is not None and (w.of != "file" or w.key.split(".")[0] != part):
            continue
        row: dict[str, Any] = {
            "key": w.key, "of": w.of, "worse": w.worse, "why": w.why, "none": w.none, "unless": w.unless, "only": w.only,
        }  # fmt: skip
        if w.of == "file" and (d := taken.get(w.key)) is not None:
            row |= {"left_out": d.left_out, "errs": d.errs, "errs_why": d.why, "said": d.said}
        out.append(row)
    if not out:
        raise CommandError(
            say(
                "defaults {part}: there is no such part of a file; one of {worse}",
                part=part,
                worse=", ".join(dict.fromkeys(w.key.split(".")[0] for w in register.worse if w.of == "file")),
            )
        )
    return out


def defaults(args: argparse.Namespace) -> Outcome:
    """Print what is taken where a key of the deployment file is left out, and on which side that errs.

    As JSON: every key, option, forecast statement and log event with the direction that is worse for the people.
    """
    if args.json:
        return 0, as_json(_directions(args.part))
    rows = [d for d in tables.register().defaults if args.part in (None, d.key.split(".")[0])]
    if not rows:
        parts = dict.fromkeys(d.key.split(".")[0] for d in tables.register().defaults)
        raise CommandError(
            say(
                "defaults {part}: there is no such part of a file; one of {parts}",
                part=args.part,
                parts=", ".join(parts),
            )
        )
    lines = []
    for errs, title in ERRS.items():
        mine = [d for d in rows if d.errs == errs]
        if mine:
            lines += ["", *wrap(capital(title))]
        for d in mine:
            lines += wrap(f"{d.key}: {say(d.left_out)}. {capital(say(d.why))}.", "  ", "      ")
    return 0, as_text(lines[1:])


def glossary(args: argparse.Namespace) -> Outcome:
    """Print the names, symbols and units that the whole program shares."""
    terms = [t for t in tables.register().terms if not args.word or args.word.lower() in t.term.lower()]
    if not terms:
        raise CommandError(say("glossary {word}: no such word; without one all are listed", word=args.word))
    if args.json:
        return 0, as_json({"schema": 1, "terms": [t.model_dump(by_alias=True) for t in terms]})
    lines = []
    for t in terms:
        units = " or ".join(dict.fromkeys(filter(None, (t.unit if t.unit != "1" else say("no unit"), t.us))))
        sign = f" {t.symbol}" if t.symbol else ""
        lines += wrap(f"{say(t.term)}{sign}{f' [{units}]' if units else ''}: {say(t.means)}.", "", "    ")
    return 0, as_text(lines)


@speaking(ENGLISH)
def schema(args: argparse.Namespace) -> Outcome:
    """Print the JSON Schema of a deployment file."""
    del args
    found = Deployment.model_json_schema(by_alias=True)
    return 0, as_json({"$schema": "https://json-schema.org/draft/2020-12/schema", **found})
