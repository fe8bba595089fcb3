"""Masses that are more than usual, and figures in other units than the shelter: a slip holds a shelter down on paper alone."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Sequence

from anchorage.core import tables
from anchorage.core.told import Words, put, tell
from anchorage.core.units import Measure, System, by_slip, show, system_of, typed_unit
from anchorage.deployment.models import About, Anchorage, Part, Shelter, Wind
from anchorage.holding.notes import Note

UNITS_MIXED = "units-mixed"
"""Code of the question whether a figure in other units than the shelter is meant so."""
MASS_UNUSUAL = "mass-unusual"
"""Code of the question whether a mass is what it was typed as."""


def mass_asks(about: About, shelter: Shelter, a: Anchorage, plan_area: float) -> Sequence[tuple[str, Words]]:
    """(code, question) for each mass of the file over what is usual; over what is believed, where it was weighed. plan_area (m2)."""
    usual, times = tables.table("usual-most").by_key, 1.0
    if about.weighed:
        times = tables.table("evidence").by_key["weigh-over-usual"].value
    listed = a.unit in usual and a.unit not in ("shelter", "other")
    unit = usual[str(a.unit)] if listed else usual["other"]
    if about.weighed and not listed:  # what a machine lifts too: no more than the heaviest of the list
        unit = max((r for k, r in usual.items() if k != "shelter"), key=lambda r: r.value)
    found = [
        ("shelter.mass", shelter.mass, times * usual["shelter"].value * plan_area, usual["shelter"].label),
        ("anchorage.unit_mass", a.unit_mass, times * unit.value, unit.label),
    ]
    system, out = about.show_units, list[tuple[str, Words]]()
    for key, mass, most, label in found:
        if mass is None or float(mass) <= most * (1 + 1e-9):  # the same in other units asks the same
            continue
        typed, limit = (
            put(show, "mass", float(m), system, rounding=r) for m, r in ((mass, "down"), (most, "up"))
        )
        more = tell(Note.ASK_WEIGHED_MORE, key=key, mass=typed, most=limit)
        asked = (
            more if about.weighed else tell(Note.ASK_WEIGHED, key=key, mass=typed, label=label, most=limit)
        )
        out.append((MASS_UNUSUAL, asked))
    return out


TYPED_UNUSUAL = "typed-unusual"
"""Code of the question whether a figure of what holds is what it was typed as."""


def typed_asks(about: About, file: Part) -> Sequence[tuple[str, Words]]:
    """(code, question) for each figure of what holds or bears that is over what there is of the kind."""
    most, out = tables.table("typed-most").by_key, list[tuple[str, Words]]()
    for key, value in typed_in(file):
        row = most.get(key.replace("_", "-"))
        if row is not None and float(value) > row.value * (1 + 1e-9):  # the same in other units asks the same
            limit = put(show, value.kind, row.value, about.show_units, rounding="up")
            out.append((TYPED_UNUSUAL, tell(Note.ASK_TYPED, key=key, typed=value.text, most=limit)))
    return list(dict.fromkeys(out))


WIND_SMALL = "wind-small"
"""Code of the question whether a gust to be judged by is what it was typed as."""


def wind_asks(about: About, wind: Wind) -> Sequence[tuple[str, Words]]:
    """(code, question) where the wind of the file is less than any that a stay is planned for: a slip of the point makes every shelter hold."""
    least = tables.row("least-wind", "file").value
    if wind.speed is None or float(wind.speed) >= least:
        return []
    return [
        (
            WIND_SMALL,
            tell(
                Note.ASK_WIND,
                speed=put(show, "speed", float(wind.speed), about.show_units, rounding="down"),
                least=put(show, "speed", least, about.show_units, rounding="up"),
            ),
        )
    ]


def typed_in(part: Part, at: str = "") -> Iterator[tuple[str, Measure]]:
    """(key, value) of every figure with a unit in a part of the file and in what it holds, entries of lists by the name of the list."""
    for name, key in _keys(type(part)):
        value = getattr(part, name)
        for one in value if isinstance(value, list | tuple) else () if value is None else (value,):
            if isinstance(one, Measure):
                yield at + key, one
            elif isinstance(one, Part):
                yield from typed_in(one, f"{at}{key}.")


@functools.lru_cache(maxsize=64)
def _keys(kind: type[Part]) -> tuple[tuple[str, str], ...]:
    """Name and key of each of its figures and parts."""
    return tuple((name, field.alias or name) for name, field in kind.model_fields.items())


def _of_shelter(shelter: Shelter) -> System | None:
    """The system in which all of its sizes are typed; None where they differ or nobody typed them."""
    sizes = (shelter.length, shelter.width, shelter.eave, shelter.ridge)
    found = {system_of(v) for v in sizes if isinstance(v, Measure)}
    return found.pop() if len(found) == 1 else None


def unit_asks(about: About, shelter: Shelter, file: Part) -> Sequence[tuple[str, Words]]:
    """(code, question) for each figure of the file in units of the other system, where the same figure in those of the shelter is worse.

    It goes by the direction of each key: what would only be better is left alone, and so is what is worse neither way.
    """
    own = _of_shelter(shelter)
    if own is None or about.mixed_units:
        return []
    asked = []
    for key, value in typed_in(file):
        if system_of(value) in (None, own) or (about.weighed and value.kind == "mass"):
            continue
        meant, way = by_slip(value), tables.directions().get(key)
        if meant is None or way is None:
            continue
        if (way.worse == "less" and meant < value) or (way.worse == "more" and meant > value):
            asked.append(
                (
                    UNITS_MIXED,
                    tell(
                        Note.ASK_UNITS,
                        key=key,
                        typed=value.text,
                        lengths="ft" if own == "us" else "m",
                        meant=meant.text,
                        unit=typed_unit(meant),
                    ),
                )
            )
    return list(dict.fromkeys(asked))
