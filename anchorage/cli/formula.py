"""formula: every relation of physics or of a code that the program uses, listed, or worked out by itself."""

from __future__ import annotations

import argparse
import difflib
import math
import warnings
from typing import Any

from anchorage.cli.common import CommandError, Outcome, as_json, as_text
from anchorage.core import units
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import wrap
from anchorage.core.say import say
from anchorage.formulas.registry import formulas
from anchorage.formulas.working import Formula, record


def _described(f: Formula) -> dict[str, Any]:
    return {
        "name": f.name, "symbol": f.symbol, "unit": f.unit, "what": f.doc, "source": f.source, "clause": f.clause,
        "arguments": [{"name": n, "symbol": s, "unit": u} for n, (s, u) in f.arguments.items()],
    }  # fmt: skip


def _unit(unit: str) -> str:
    return say("no unit") if unit == "1" else unit


def _list() -> list[str]:
    lines = [say("Worked out by  anchorage formula NAME ARGUMENT=VALUE ..."), say("Numbers are SI in the unit shown, or with a unit: 'speed=45 mph'."), ""]  # fmt: skip
    module = ""
    for f in sorted(formulas().values(), key=lambda f: (f.fn.__module__, f.name)):
        if f.fn.__module__ != module:
            module = f.fn.__module__
            lines += [module.removeprefix("anchorage.").replace(".", ": ").upper(), ""]
        lines += _one(f)
    return lines


def _one(f: Formula) -> list[str]:
    lines = [
        f.name,
        *wrap(f.doc, "  "),
        *wrap(
            say(
                "{symbol} [{unit}]  from {citation}", symbol=f.symbol, unit=_unit(f.unit), citation=f.citation
            ),
            "  ",
        ),
    ]
    lines += [f"    {n}: {s} [{_unit(u)}]" for n, (s, u) in f.arguments.items()]
    return [*lines, ""]


def _value(f: Formula, name: str, text: str) -> float:
    unit = f.arguments[name][1]
    try:
        number = float(text)
    except ValueError:
        pass
    else:
        if not math.isfinite(number):
            raise CommandError(
                say("{name}: {name_2}={text}: a finite number is needed", name=f.name, name_2=name, text=text)
            )
        return number
    kind = next((k for k, v in units.KINDS.items() if unit in v.units), None)
    if kind is None:
        raise CommandError(
            say(
                "{name}: {name_2}={text}: a plain number in {unit} is needed",
                name=f.name,
                name_2=name,
                text=text,
                unit=_unit(unit),
            )
        )
    try:
        return units.convert(kind, units.read(kind, text), unit)
    except ValueError as e:
        raise CommandError(f"{f.name}: {name}: {e}") from None


def _arguments(f: Formula, typed: list[str]) -> dict[str, float]:
    """The values, in the order of the formula; everything wrong with them is said at once."""
    faults, given = list[str](), dict[str, float]()
    for text in typed:
        name, is_there, value = text.partition("=")
        name = name.strip()
        if not is_there:
            faults.append(say("{name}: {text}: write ARGUMENT=VALUE", name=f.name, text=text))
        elif name not in f.arguments:
            faults.append(
                say(
                    "{name}: {name_2} is no argument of it; they are {arguments}",
                    name=f.name,
                    name_2=name,
                    arguments=", ".join(f.arguments),
                )
            )
        elif name in given:
            faults.append(say("{name}: {name_2} is given twice", name=f.name, name_2=name))
        else:
            given[name] = 0.0
            try:
                given[name] = _value(f, name, value.strip())
            except CommandError as e:
                faults.append(str(e))
    faults += [
        say("{name}: {n} is not given: {s} in {unit}", name=f.name, n=n, s=s, unit=_unit(u))
        for n, (s, u) in f.arguments.items()
        if n not in given
    ]
    if faults:
        raise CommandError("\n".join(faults))
    return {n: given[n] for n in f.arguments}


def _worked(f: Formula, values: dict[str, float]) -> tuple[float, list[str]]:
    with record() as tape, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            result = float(f(*values.values()))
        except AnchorageError:
            raise
        except (ArithmeticError, ValueError, TypeError):
            result = math.nan
    if not math.isfinite(result):
        raise CommandError(
            say(
                "{name}: with these values it has no finite result (a division by zero, or a root of less than nothing)",
                name=f.name,
            )
        )
    return result, tape.lines()


def formula(args: argparse.Namespace) -> Outcome:
    """List the formulas, or work one out."""
    every = formulas()
    if args.name is None:
        found = [_described(f) for f in every.values()]
        return 0, as_json({"schema": 1, "formulas": found}) if args.json else as_text(_list())
    if args.name not in every:
        near = difflib.get_close_matches(args.name, every, 3)
        hint = (
            say("did you mean {near}?", near=" or ".join(near))
            if near
            else say("anchorage formula  lists them")
        )
        raise CommandError(
            say("formula {args}: there is none of this name; {hint}", args=args.name, hint=hint)
        )
    f = every[args.name]
    if not args.values and not args.json:
        return 0, as_text(_one(f))
    values = _arguments(f, args.values)
    result, lines = _worked(f, values)
    if args.json:
        return 0, as_json(
            {**_described(f), "schema": 1, "values": values, "result": result, "working": lines}
        )
    return 0, as_text(lines)
