"""A grid by its CF attributes: which variable is what, in which unit, on which axes. What is not said is refused, never guessed."""

from __future__ import annotations

import itertools
from collections.abc import Hashable
from dataclasses import dataclass

import xarray as xr

from anchorage.core.say import say
from anchorage.region import axis
from anchorage.region.faults import refuse
from anchorage.region.quantities import DIRECTION, GUST, MEAN, NAMES, THUNDER, Quantity, scale_of

MEMBERS = ("realization", "member", "number", "ensemble", "ensemble_member")
HEIGHTS = ("height", "height_above_ground", "heightAboveGround", "altitude")
HEIGHT = 10.0
"""m above ground, of every gust here."""


@dataclass(frozen=True)
class Field:
    """One variable: raw numbers, and how they become what the outlook reckons in."""

    quantity: Quantity
    array: xr.DataArray
    """(time, [member], cells...)"""
    scale: float
    offset: float
    steps: axis.Steps


@dataclass(frozen=True)
class Grid:
    """What was found in a grid."""

    name: str
    fields: dict[str, Field]
    """By role; ``gust`` is always there."""
    time: Hashable
    member: Hashable | None
    cells: tuple[Hashable, ...]
    issued: int | None
    notes: tuple[str, ...]

    @property
    def gust(self) -> xr.DataArray:
        """The gusts as they stand in the file."""
        return self.fields["gust"].array

    @property
    def members(self) -> int:
        """Members of the ensemble; 1 where it is none."""
        return 1 if self.member is None else int(self.gust.sizes[self.member])


def _standard(v: xr.DataArray) -> str:
    """Standard name without its modifier."""
    text = v.attrs.get("standard_name")
    return text.strip() if isinstance(text, str) else ""


def _off_height(v: xr.DataArray) -> bool:
    """Whether a variable says that it is at another height than gusts are."""
    heights = [
        c for c in v.coords.values() if c.size == 1 and (c.name in HEIGHTS or _standard(c) == "height")
    ]
    return any(float(c.values.reshape(-1)[0]) != HEIGHT for c in heights)


def _wanted(
    ds: xr.Dataset, name: str, thunder: str | None, gust: str | None
) -> dict[str, tuple[Quantity, xr.DataArray]]:
    found: dict[str, tuple[Quantity, xr.DataArray]] = {}
    pairs = [(NAMES[_standard(v)], v) for v in ds.data_vars.values() if _standard(v) in NAMES]
    pairs = [(q, v) for q, v in pairs if not (q is MEAN and _off_height(v))]
    if gust is not None:
        if gust not in ds.data_vars:
            raise refuse(
                name, "--gust-from", gust, say("one of {map}", map=", ".join(map(str, ds.data_vars)))
            )
        pairs = [(q, v) for q, v in pairs if q is not GUST and v.name != gust] + [(GUST, ds[gust])]
    if thunder is not None:
        if thunder not in ds.data_vars:
            raise refuse(
                name, "--thunder-from", thunder, say("one of {map}", map=", ".join(map(str, ds.data_vars)))
            )
        pairs.append((THUNDER, ds[thunder]))
    for q, v in pairs:
        if q.role in found:
            raise refuse(
                name,
                q.role,
                say("{found} and {name}", found=found[q.role][1].name, name=v.name),
                say("one variable for one thing: leave the other out"),
            )
        found[q.role] = (q, v)
    if "gust" not in found:
        seen = ", ".join(str(k) for k in ds.data_vars) or "nothing"
        raise refuse(
            name,
            "variables",
            seen,
            say(
                "one with standard_name wind_speed_of_gust; a mean wind is no gust. If one of these is the gust: --gust-from NAME"
            ),
        )
    return found


def _time(ds: xr.Dataset, gust: xr.DataArray, name: str) -> xr.DataArray:
    """The coordinate of the times that the forecast is for, along one dimension of the gust."""
    near = [ds[c] for c in ds.variables if ds[c].ndim == 1 and ds[c].dims[0] in gust.dims]
    found = [c for c in near if _standard(c) == "time"] or [c for c in near if c.attrs.get("axis") == "T" or " since " in str(c.attrs.get("units"))]  # fmt: skip
    if len(found) != 1:
        raise refuse(
            name,
            "time",
            say("{found} axes of time", found=len(found)),
            say("one coordinate with standard_name time along the gust"),
        )
    return found[0]


def _member(ds: xr.Dataset, gust: xr.DataArray, name: str) -> Hashable | None:
    said = [ds[c].dims[0] for c in ds.variables if ds[c].ndim == 1 and _standard(ds[c]) == "realization" and ds[c].dims[0] in gust.dims]  # fmt: skip
    dims = list(dict.fromkeys(said or [d for d in gust.dims if d in MEMBERS]))
    if len(dims) > 1:
        raise refuse(name, "members", ", ".join(map(str, dims)), say("one axis of members"))
    if not dims:
        return None
    if dims[0] in ds.variables:
        values = ds[dims[0]].values.tolist()
        if len(set(values)) != len(values):
            raise refuse(
                name,
                f"{dims[0]}",
                say("a member that is there twice"),
                say("each member once: it would count twice in the chance"),
            )
    return dims[0]


def _issued(ds: xr.Dataset, name: str) -> int | None:
    for c in ds.variables:
        v = ds[c]
        if _standard(v) == "forecast_reference_time":
            at = axis.seconds_of(v.values, v.attrs.get("units"), v.attrs.get("calendar"), name, str(c))
            if at.size != 1:
                raise refuse(
                    name, str(c), say("{size} times of issue", size=at.size), say("a grid of one forecast")
                )
            return int(at.reshape(-1)[0])
    return None


def _flat(v: xr.DataArray, keep: set[Hashable]) -> xr.DataArray:
    """Without axes of length 1 that are no time, member or place."""
    thin = [d for d in v.dims if d not in keep and v.sizes[d] == 1]
    return v.isel(dict.fromkeys(thin, 0))


def _check_height(v: xr.DataArray, name: str, notes: list[str]) -> None:
    for c in v.coords.values():
        if c.size == 1 and (c.name in HEIGHTS or _standard(c) == "height"):
            if (
                c.attrs.get("units") not in ("m", "meter", "metre", "meters", "metres")
                or float(c.values.reshape(-1)[0]) != HEIGHT
            ):
                raise refuse(
                    name,
                    f"{v.name}, {c.name}",
                    f"{c.values.reshape(-1)[0]} {c.attrs.get('units', '')}",
                    say("gusts at 10 m"),
                )
            return
    notes.append(say("The grid does not say at which height its gusts are: taken as 10 m."))


PLACES = (
    "latitude", "longitude", "projection_x_coordinate", "projection_y_coordinate", "grid_latitude", "grid_longitude",
)  # fmt: skip


def _place(ds: xr.Dataset, d: Hashable) -> bool:
    """Whether a dimension is one of place, by what its coordinate says of itself."""
    if d not in ds.variables:
        return False
    a = ds[d].attrs
    return (
        _standard(ds[d]) in PLACES or a.get("axis") in ("X", "Y") or str(a.get("units")).startswith("degree")
    )


def _method(v: xr.DataArray, names: tuple[Hashable, ...]) -> str:
    """What cell_methods says about time: maximum, mean, sum, point; nothing where it does not."""
    words = str(v.attrs.get("cell_methods", "")).split()
    pairs = itertools.pairwise(words)
    return next((b for a, b in pairs if a.removesuffix(":") in map(str, names) and a.endswith(":")), "")


def _steps(
    v: xr.DataArray, q: Quantity, t: xr.DataArray, stamps: list[int], bounds: axis.Ints | None, name: str
) -> axis.Steps:
    """What the values stand for: cell_methods, then bounds, then the custom of the quantity."""
    methods, of_time = v.attrs.get("cell_methods"), _method(v, (t.name, t.dims[0], "time"))
    if q.amount and of_time == "point":
        raise refuse(
            name,
            say("{name}, cell_methods", name=v.name),
            methods,
            say("an amount or a mean rate over a time: what falls at a moment says nothing of the rest"),
        )
    if of_time == "point":
        return axis.around(stamps, name, str(t.name))
    if bounds is not None:
        return axis.bounded(bounds, stamps, name, str(t.attrs["bounds"]))
    if of_time or q.amount:
        return axis.before(stamps, name, str(t.name))
    return axis.around(stamps, name, str(t.name))


def _bounds(ds: xr.Dataset, t: xr.DataArray, name: str) -> axis.Ints | None:
    said = t.attrs.get("bounds")
    if said is None:
        return None
    if said not in ds.variables or ds[said].shape != (t.size, 2):
        raise refuse(
            name,
            say("{name}, bounds", name=t.name),
            said,
            say("the name of a variable with two ends for each time"),
        )
    b = ds[said]
    units, calendar = (
        b.attrs.get("units", t.attrs.get("units")),
        b.attrs.get("calendar", t.attrs.get("calendar")),
    )
    return axis.seconds_of(b.values, units, calendar, name, str(said))


def _no_overlap(f: Field, name: str) -> None:
    if f.quantity.amount and any(b < a for a, b in zip(f.steps.ends, f.steps.starts[1:], strict=False)):
        raise refuse(name, f"{f.array.name}", say("amounts over times that overlap"), say("the amount of each step by itself, not the sum since the start"))  # fmt: skip


def read_grid(ds: xr.Dataset, name: str, *, issued: int | None = None, thunder: str | None = None,
              gust_from: str | None = None, most: int = axis.MOST_STEPS) -> Grid:  # fmt: skip
    """Find what the outlook needs in a dataset whose times are not decoded. thunder: variable with the chance of thunder;
    gust_from: variable that is the gust, where the grid does not say so; most: times that it may have.

    Raises ``InputFaults`` for a unit, a calendar or an axis that is missing, unknown or doubtful.
    """
    wanted, notes = _wanted(ds, name, thunder, gust_from), list[str]()
    gust = wanted["gust"][1]
    t, member = _time(ds, gust, name), _member(ds, gust, name)
    stamps = axis.stamps_in_order(axis.seconds_of(t.values, t.attrs.get("units"), t.attrs.get("calendar"), name, str(t.name)), name, str(t.name), most)  # fmt: skip
    bounds = _bounds(ds, t, name)
    _check_height(gust, name, notes)
    keep = {t.dims[0], *([] if member is None else [member]), *(d for d in gust.dims if _place(ds, d))}
    gust = _flat(gust, keep)
    cells = tuple(d for d in gust.dims if d not in (t.dims[0], member))
    if len(cells) > 2:
        raise refuse(
            name,
            f"{gust.name}",
            say("the axes {map}", map=", ".join(map(str, gust.dims))),
            say("time, members and at most two axes of place"),
        )
    if 0 in gust.shape:
        raise refuse(
            name,
            f"{gust.name}",
            say("an empty grid, {sizes}", sizes=dict(gust.sizes)),
            say("at least one time, member and cell"),
        )
    fields = {}
    for role, (q, v) in wanted.items():
        scale, offset = scale_of(q, v.attrs.get("units"), name, str(v.name))
        flat = _flat(v, {t.dims[0], member, *cells} - {None})
        lost = [d for d in flat.dims if d not in gust.dims]
        if t.dims[0] not in flat.dims or lost:
            raise refuse(
                name,
                str(v.name),
                say("the axes {map}", map=", ".join(map(str, v.dims))),
                say("those of {gust}", gust=gust.name),
            )
        if flat.dtype.kind not in "iuf":
            raise refuse(name, str(v.name), say("values of type {dtype}", dtype=flat.dtype), "numbers")
        fields[role] = Field(q, flat, scale, offset, _steps(v, q, t, stamps, bounds, name))
        _no_overlap(fields[role], name)
    if DIRECTION.role not in fields:
        notes.append(
            say("The grid has no wind_from_direction: the limit of the weakest side counts everywhere.")
        )
    else:
        fields[DIRECTION.role] = Field(
            DIRECTION, fields["direction"].array, fields["direction"].scale, 0.0, fields[GUST.role].steps
        )
    notes.append(say("A gust stands for {says}.", says=fields["gust"].steps.says))
    said = _issued(ds, name)
    return Grid(name, fields, t.dims[0], member, cells, said if said is not None else issued, tuple(notes))
