"""What the [snow] table may not say together. A load level or an edition that is mixed is refused, never repaired."""

from __future__ import annotations

from typing import Any

from anchorage.core.say import say
from anchorage.core.units import as_typed
from anchorage.deployment.models import Deployment, Shelter, Site, Snow
from anchorage.deployment.said import value_of

WAYS = ("depth", "layers", "water", "core", "ground_load")
ASCE = ("risk_category", "slippery", "winter_wind")
EN = ("exceptional", "return_period", "variation")
STRENGTH = {"asce7-10": "service", "asce7-16": "service", "asce7-22": "strength", "en1991-1-3": "service"}


def _quoted(value: Any) -> str:
    return repr(as_typed(value))


def snow_faults(d: Deployment, fault: Any) -> None:
    """Report each fault with ``fault(key, found, accepted)``."""
    s = d.snow
    _one_way(s, fault)
    for name in ("depth", "falling"):
        part = s if name == "depth" else value_of(s, name)
        if part is not None and value_of(part, "kind") is not None and value_of(part, "depth") is None:
            key = "snow.depth" if name == "depth" else "snow.falling.depth"
            fault(key, say("not given"), say("kind says what snow lies: give its depth too"))
    falling = value_of(s, "falling")
    if falling is not None and (value_of(falling, "depth") is None) == (value_of(falling, "water") is None):
        fault(
            "snow.falling",
            say("read a table"),
            say("give what falls in an hour as depth (with kind) or as water, one of them"),
        )
    for one, other in (("sag", "sag_span"), ("sag_span", "sag")):
        if value_of(s, one) is not None and value_of(s, other) is None:
            fault(
                f"snow.{other}",
                say("not given"),
                say("sag goes with sag_span, the distance between what holds the cloth up"),
            )
    for name in ("rain", "falling") if value_of(s, "ground_load") is not None else ():
        if value_of(s, name) is not None:
            fault(
                f"snow.{name}",
                "given",
                say("goes with snow that was measured on the roof, not with a code's ground_load"),
            )
    if value_of(s, "rain") and value_of(s, "ground_load") is None and not value_of(s, "measured"):
        fault(
            "snow.rain",
            say("read {quoted}", quoted=_quoted(s.rain)),
            say("rain counts in the snow it fell on: give depth, layers, water or core"),
        )
    _code(s, d.shelter, d.site, value_of(d.wind, "method"), fault)


def _one_way(s: Any, fault: Any) -> None:
    given = [w for w in WAYS if value_of(s, w)] or [
        w for w in WAYS if value_of(s, w) is not None and value_of(s, w) != []
    ]
    for extra in given[1:]:
        shown = _quoted(value_of(s, extra)) if extra in ("depth", "water", "ground_load") else "a table"
        fault(
            f"snow.{extra}",
            say("read {shown}", shown=shown),
            say(
                "give {given} or {extra}, not both: one load may not count twice", given=given[0], extra=extra
            ),
        )


def _code(s: Snow, shelter: Shelter, site: Site, method: str | None, fault: Any) -> None:
    edition = value_of(s, "edition")
    if value_of(s, "ground_load") is None:
        for name in ("edition", "level", "exposure", "building", *ASCE, *EN):
            value = value_of(s, name)
            if value not in (None, False):
                fault(
                    f"snow.{name}",
                    say("read {quoted}", quoted=_quoted(value)),
                    say("goes with ground_load, the snow on the ground by a code's map"),
                )
        return
    if edition is None:
        fault(
            "snow.edition",
            say("not given"),
            say(
                "whose map is it? asce7-10, asce7-16 (50-year, service), asce7-22 (strength), en1991-1-3: they differ by 60 % and more"
            ),
        )
        return
    if edition not in STRENGTH:
        return
    if value_of(s, "level") not in (None, STRENGTH[edition]):
        fault(
            "snow.level",
            say("read {quoted}", quoted=_quoted(s.level)),
            say(
                "ground snow of {edition} is {edition_2} level: another edition's map gives the other; mixing them is an error of 60 %",
                edition=edition,
                edition_2=STRENGTH[edition],
            ),
        )
    wind_family = {"asce7-16": ("asce7-10", "asce7-16"), "asce7-22": ("asce7-22",), "en1991": ("en1991-1-3",)}
    if method in wind_family and edition not in wind_family[method]:
        fault(
            "snow.edition",
            say("read {edition}", edition=repr(edition)),
            say(
                'wind.method is "{method}": wind and snow of one edition, since their load levels differ',
                method=method,
            ),
        )
    _family(s, edition, fault)
    _beside(s, shelter, site, edition, fault)


def _beside(snow: Snow, shelter: Shelter, site: Site, edition: str, fault: Any) -> None:
    """Snow that a taller building or a neighbour's roof adds: counted by its rule, or refused."""
    building, european = value_of(snow, "building"), edition == "en1991-1-3"
    joined = value_of(shelter, "joined")
    if joined is not None and value_of(joined, "how") == "side-by-side" and not european:
        fault(
            "snow.edition",
            say("read {edition}", edition=repr(edition)),
            say(
                "the valley between shelters side by side collects the snow of both; of the codes in here only en1991-1-3 has its rule"
            ),
        )
    if value_of(site, "beside") == "building" and building is None:
        fault(
            "snow.building",
            say("not given"),
            say(
                "a taller building beside sheds up to four times the ground's snow: give its width, height and slope ([snow.building]), or ask an engineer"
            ),
        )
    if building is not None:
        height, top = value_of(building, "height"), value_of(shelter, "ridge")
        if isinstance(height, float) and isinstance(top, float) and height < top + 0.1:
            fault(
                "snow.building.height",
                say("read {quoted}", quoted=_quoted(height)),
                say("higher than the shelter; a lower building sheds nothing on it: leave it out"),
            )


def _family(s: Any, edition: str, fault: Any) -> None:
    european = edition == "en1991-1-3"
    for name in ASCE if european else EN:
        value = value_of(s, name)
        if value not in (None, False):
            fault(
                f"snow.{name}",
                say("read {quoted}", quoted=_quoted(value)),
                say("not a thing of {edition}: take it out", edition=edition),
            )
    if value_of(s, "winter_wind") is not None and edition in ("asce7-10", "asce7-16"):
        fault(
            "snow.winter_wind",
            say("read {winter_wind}", winter_wind=s.winter_wind),
            say("not a thing of {edition}: take it out", edition=edition),
        )
    words = ("windswept", "normal", "sheltered") if european else ("fully", "partially", "sheltered")
    if value_of(s, "exposure") not in (None, *words):
        fault(
            "snow.exposure",
            say("read {exposure}", exposure=repr(s.exposure)),
            f"of {edition}: {', '.join(words)}",
        )
    years, variation = value_of(s, "return_period"), value_of(s, "variation")
    if (years is None) != (variation is None):
        missing = "variation" if variation is None else "return_period"
        fault(
            f"snow.{missing}",
            say("not given"),
            say("annex D needs the years and the variation of the yearly largest snow, 0.2 to 0.6"),
        )
    if years is not None and years < 5:
        fault(
            "snow.return_period",
            say("read {years}", years=years),
            say(
                "annex D does not reach below 5 years: for a stay of days go by what lies and by the forecast"
            ),
        )
    if variation is not None and not 0.2 <= variation <= 0.6:
        fault("snow.variation", say("read {variation}", variation=variation), say("annex D: 0.2 to 0.6"))
