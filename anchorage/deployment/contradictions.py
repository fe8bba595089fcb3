"""What a deployment file may not say: values that each read well and cannot be true, or not be done, together."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from anchorage.core import tables
from anchorage.core.errors import Fault
from anchorage.core.plain import did_you_mean
from anchorage.core.say import say
from anchorage.core.units import as_typed
from anchorage.deployment import load_faults
from anchorage.deployment.holding_faults import ON_TOP, holding, refused
from anchorage.deployment.models import (
    SPEED_IS,
    Deployment,
    Door,
    Duct,
    KeepClear,
    Margins,
    OutlookIn,
    Policy,
    Shelter,
    Site,
    Times,
    Wind,
)
from anchorage.deployment.policy import in_table
from anchorage.deployment.said import value_of
from anchorage.deployment.snow_faults import snow_faults


def stock_key(unit: str) -> str:
    """Name in ``[stock]`` of a ballast unit: sandbag -> sandbags, water-barrel -> water_barrels."""
    return unit.replace("-", "_") + "s"


def stocked(kind: str, item: str) -> tuple[str, str]:
    """What of the stock stands at a point: a weight is the same one on the frame and at the end of a line."""
    return "weight" if kind in ("ballast", "line-ballast") else kind, item


def brought(stock: Mapping[str, int], kind: str, item: str, own: str | None) -> int | None:
    """How many of what is counted at a point were brought; None where the stock does not say. own: the unit of the file, which ``units``
    counts where the stock has no line for it.
    """
    driven = {"stakes": "stakes", "deadman": "deadmen"}.get(kind)
    if (driven or stock_key(item)) in stock:
        return stock[driven or stock_key(item)]
    return stock.get("units") if driven is None and item == (own or "unit") else None


def contradictions(d: Deployment, file: str, known: set[str]) -> list[Fault]:
    """Faults between values. ``known`` keys already have a fault of their own and are left alone."""
    out: list[Fault] = []

    def fault(key: str, got: str, accepted: str) -> None:
        if key not in known:
            out.append(Fault(file, key, got, accepted))

    doors, ducts, stock = (value_of(d, k) or [] for k in ("door", "duct", "stock"))
    _shelter(d.shelter, doors, ducts, fault)
    load_faults.form(d.shelter, [k for k, v in (("door", doors), ("duct", ducts)) if v], stock, fault)
    _site(d.site, value_of(d, "keep_clear") or [], fault)
    load_faults.terrain(d.site, d.wind, fault)
    _wind(d.wind, d.margins, fault)
    load_faults.wind(d.wind, fault)
    snow_faults(d, fault)
    holding(d, fault)
    _margins(d.margins, fault)
    _stock(stock, fault)
    _policy(d.policy, d.outlook, fault)
    _signed(d.policy, d.site, fault)
    _times(d.times, fault)
    return out


_WORD = re.compile(r"[^\W\d_]+")


def is_name(text: str) -> bool:
    """Whether it may name somebody, or a position: a word of two letters that differ, and none that stands in the place of a name."""
    listed = tables.codes("no-name")
    return any(len(set(w)) > 1 and w not in listed for w in _WORD.findall(text.casefold()))


def _signed(p: Policy, site: Site, fault: Any) -> None:
    for key, by in (
        ("policy.signed_by", value_of(p, "signed_by")),
        ("site.lowest_friction_by", value_of(site, "lowest_friction_by")),
    ):
        if isinstance(by, str) and not is_name(by):
            fault(
                key,
                say("read {got}", got=repr(by)),
                say("the name or the position of who answers for it: this names nobody"),
            )


def _shelter(s: Shelter, doors: Iterable[Door], ducts: Iterable[Duct], fault: Any) -> None:
    form, eave, ridge = value_of(s, "form"), value_of(s, "eave"), value_of(s, "ridge")
    if ridge is not None and isinstance(eave, float) and isinstance(ridge, float) and ridge < eave:
        fault(
            "shelter.ridge",
            say("read {ridge}", ridge=repr(as_typed(ridge))),
            say("the ridge may not be below the eave ({eave})", eave=as_typed(eave)),
        )
    strap = value_of(s, "strap")
    if value_of(s, "straps") == "locked" and (value_of(strap, "count") or value_of(strap, "ends")):
        for key in ("bay", "angle"):
            if value_of(strap, key) is None:
                fault(
                    f"shelter.strap.{key}",
                    say("not given"),
                    say("locked straps lift the foot of their bay, and by how much hangs on it: measure it"),
                )
    walls: dict[str, float] = {}
    for door in doors:
        walls[door.wall] = walls.get(door.wall, 0.0) + (
            0.0 if door.state == "closed" else door.width * door.height
        )
    for duct in ducts:
        walls[duct.wall] = walls.get(duct.wall, 0.0) + duct.count * 0.7854 * duct.diameter**2
    length, width = value_of(s, "length"), value_of(s, "width")
    if isinstance(eave, float) and isinstance(length, float) and isinstance(width, float):
        for wall, area in walls.items():
            high = ridge if form == "arch" and isinstance(ridge, float) else eave
            gross = high * (length * value_of(s, "in_line") if wall in ("left", "right") else width)
            fraction = getattr(value_of(s, "openings"), wall, 0.0) or 0.0
            if area + fraction * gross > gross * 1.25:
                fault(
                    "door",
                    say("{area} m2 of openings on the {wall} wall", area=f"{area:.1f}", wall=wall),
                    say("the openings do not fit the wall ({gross} m2)", gross=f"{gross:.1f}"),
                )


def _site(site: Site, clear: Iterable[KeepClear], fault: Any) -> None:
    surface = value_of(site, "surface")
    surfaces = tables.table("surface")
    if surface is None:
        fault(
            "site.surface",
            say("not given"),
            say("what does it stand on? one of {keys}", keys=", ".join(surfaces.keys())),
        )
    elif why := refused(surface):
        fault("site.surface", say("read {surface}", surface=repr(surface)), why)
    elif surface not in surfaces and (hint := did_you_mean(surface, surfaces.keys(), 0.75)):
        fault(
            "site.surface",
            say("read {surface}", surface=repr(surface)),
            f"{hint} {say('A ground that is not listed goes by another name')}",
        )
    for n, spot in enumerate(value_of(site, "other") or [], 1):
        key, read = f"site.other[{n}].surface", say("read {surface}", surface=repr(spot.surface))
        if why := refused(spot.surface):
            fault(key, read, why)
        elif spot.surface not in surfaces and (hint := did_you_mean(spot.surface, surfaces.keys(), 0.75)):
            fault(key, read, hint)
    for n, k in enumerate(clear, 1):
        if k.start is not None and k.end is not None and k.end < k.start:
            fault(
                f"keep_clear[{n}].to",
                say("read {end}", end=repr(as_typed(k.end))),
                say("at least where it begins, {start}", start=as_typed(k.start)),
            )
    if (beneath := value_of(site, "beneath")) is not None and tables.table("beneath").by_key[beneath].value:
        fault("site.beneath", say("read {beneath}", beneath=repr(beneath)), ON_TOP)
    if value_of(site, "heading_north") == "magnetic" and value_of(site, "heading") is None:
        fault("site.heading_north", say('read "magnetic"'), say("a heading goes with it: give site.heading"))
    if value_of(site, "exposure") is not None and value_of(site, "surroundings") is not None:
        fault(
            "site.surroundings",
            say("read {surroundings}", surroundings=repr(site.surroundings)),
            say("give surroundings or exposure, not both"),
        )
    warm = value_of(site, "temperature")
    state, states = value_of(site, "state"), tables.table("state").by_key
    if state is not None and states[state].value and isinstance(warm, float) and warm > 283.15:
        fault(
            "site.state",
            say("read {state}", state=repr(site.state)),
            say("it does not stay so at {warm}: mend the state or the temperature", warm=as_typed(warm)),
        )


def _wind(w: Wind, m: Margins, fault: Any) -> None:
    margins = value_of(m, "set")
    said = value_of(w, "speed_is")
    if said is not None:
        averaging, height = SPEED_IS[said]
        if value_of(w, "averaging") is not None and w.averaging != averaging:
            fault(
                "wind.averaging",
                say("read {averaging}", averaging=repr(w.averaging)),
                say('speed_is = "{said}" says {averaging}: leave one out', said=said, averaging=averaging),
            )
        if height is None and value_of(w, "height") is None:
            fault(
                "wind.height",
                say("not given"),
                say("how high was the meter held? about 6 ft 6 in (2 m) when held up by hand"),
            )
    height_m = value_of(w, "height")
    if isinstance(height_m, float) and height_m > 10.2:
        fault(
            "wind.height",
            say("read {height_m}", height_m=repr(as_typed(height_m))),
            say("up to 33 ft (10 m): a wind number from higher up is not brought down"),
        )
    code, strength = value_of(w, "method") in ("asce7-16", "asce7-22"), value_of(w, "level")
    if code and strength is None:
        fault(
            "wind.level",
            say("not given"),
            say('code maps give "strength" speeds (ASCE 7-10 on); a forecast or a reading is "service"'),
        )
    strength_set = margins == "asd" or (margins == "own" and value_of(m, "level") == "strength")
    if strength == "strength" and not strength_set and margins is not None:
        fault(
            "wind.level",
            say('read "strength"'),
            say(
                'margin set "{margins}" takes service speeds: use set = "asd" for a speed from a code map',
                margins=margins,
            ),
        )
    if strength in (None, "service") and strength_set and not (code and strength is None):
        fault(
            "wind.level",
            say("read {level}", level=repr(strength or "service")),
            say(
                'margin set "{margins}" takes strength-level speeds from a code map: use set = "lumped-1.5" for a forecast or a reading',
                margins=margins,
            ),
        )
    if strength == "strength" and value_of(w, "method") == "physics":
        fault(
            "wind.method",
            say('read "physics"'),
            say('a strength-level speed goes with method = "asce7-16" or "asce7-22"'),
        )
    if strength == "strength" and said is not None:
        fault(
            "wind.speed_is",
            say("read {said}", said=repr(said)),
            say("a forecast or a reading is a service-level speed"),
        )


def _margins(m: Margins, fault: Any) -> None:
    typed = [
        k
        for k in ("wind", "shelter", "ballast", "friction", "stake", "line", "level", "source")
        if value_of(m, k) is not None
    ]
    if value_of(m, "set") == "own":
        for k in ("wind", "shelter", "ballast", "friction", "stake", "line", "level", "source"):
            if k not in typed:
                fault(
                    f"margins.{k}",
                    say("not given"),
                    say("your own set states every factor, the level of its speeds and where it is from"),
                )
    elif typed:
        fault(
            f"margins.{typed[0]}",
            "given",
            say('set = "{m}" has its own factors; use set = "own" to type them in', m=value_of(m, "set")),
        )


def _policy(p: Policy, o: OutlookIn, fault: Any) -> None:
    if not isinstance(p, Policy) or not isinstance(o, OutlookIn):
        return
    said = dict[str, tuple[str, float | None]]()
    for name in ("secure", "people_out"):
        new, old = value_of(p, name), value_of(o, name)
        said[name] = key, value = (f"policy.{name}", new) if new is not None else (f"outlook.{name}", old)
        if new is not None and old is not None and new != old:
            fault(
                f"outlook.{name}",
                say("read {old}", old=old),
                say("policy.{name} says {new}: leave one out", name=name, new=new),
            )
        most = in_table()[name.replace("_", "-")].value
        if value is not None and value > most and not p.signed_by:
            fault(
                key,
                say("read {value}", value=value),
                say(
                    "at most {most} unless somebody answers for a looser one: give policy.signed_by, a name that is printed on every page",
                    most=f"{most:g}",
                ),
            )
    (key, first), (_, last) = said.values()
    if first is not None and last is not None and first > last:
        fault(
            key,
            say("read {first}", first=first),
            say("at most the share at which people are out, {last}", last=f"{last:g}"),
        )


def _times(t: Times, fault: Any) -> None:
    """What nobody does so fast: each deadline is counted back from it."""
    for row in tables.table("time-least").rows:
        took = value_of(t, row.key)
        if took is not None and float(took) < row.value * (1 - 1e-9):
            fault(
                f"times.{row.key}",
                say("read {value}", value=as_typed(took, f"{float(took):g} s")),
                say(
                    "{least} min or more: what your crew took at its last drill", least=f"{row.value / 60:g}"
                ),
            )


def _stock(stock: Iterable[str], fault: Any) -> None:
    accepted = {
        "stakes",
        "lines",
        "deadmen",
        *(stock_key(r.key) for r in tables.table("ballast-mass").rows),
        "units",
    }
    for key in stock:
        if key not in accepted:
            every = sorted(accepted)
            hint = did_you_mean(key.lower(), every, 0.8)
            fault(
                f"stock.{key}",
                say("not a thing that is counted"),
                f"{hint} {say('accepted: {accepted}', accepted=', '.join(every))}".strip(),
            )
