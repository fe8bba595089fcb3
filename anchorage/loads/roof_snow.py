"""Snow on the roof: what lies there as measured or by code, what a forecast adds, and what that means for the roof."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from anchorage.core import tables
from anchorage.core.constants import ZERO_CELSIUS, gravity, water_density
from anchorage.core.errors import OutOfRangeError
from anchorage.core.say import numeral, say
from anchorage.core.told import Words, put, tell
from anchorage.core.units import as_typed
from anchorage.deployment.models import Falling, Layer, Shelter, Site, Snow
from anchorage.formulas import snow as formulas
from anchorage.formulas import working
from anchorage.loads.notes import Note
from anchorage.loads.snow_codes import NAMES, Roof, code_snow, roof_of

Floats = NDArray[np.float64]
KINDS = ("new", "settled", "wet")


@dataclass(frozen=True)
class RoofSnow:
    """Snow on a roof, service level, on plan. Loads in Pa."""

    method: Literal["none", "measured", "code"]
    basis: str
    """In words: what the load was found from."""
    load: float
    """Spread evenly; this is held against the maker's rating."""
    light: float
    """Light half of the uneven case."""
    heavy: float
    """Heavy half of the uneven case; at a peak where a code has one."""
    uneven: str
    depth: float | None
    """m as it lies, where that was measured."""
    strength: float | None
    rain: float
    """Pa of rain that stays in the snow, part of ``load``."""
    notes: tuple[Words, ...]

    @property
    def lies(self) -> bool:
        return self.load > 0 or self.heavy > 0


def _given(value: float, symbol: str, unit: str, source: object) -> float:
    working.given(symbol, value, unit, as_typed(source, ""))
    return value


def density_of(kind: str | None, notes: list[Words]) -> float:
    """Density of a kind of snow (kg/m^3); a kind that is not known counts as wet at its upper density."""
    row = tables.row("snow-density", kind or "wet")
    if kind is not None:
        working.looked_up(f"ρ ({kind})", row)
        return row.value
    density = row.high if row.high is not None else row.value
    working.given("ρ", density, "kg/m^3", "kind not said: wet snow at its upper density")
    notes.append(tell(Note.SNOW_KIND_UNSAID, density=put(numeral, density, "g")))
    return density


def _layers(layers: list[Layer], notes: list[Words]) -> tuple[float, float]:
    """(load, depth) of layers."""
    densities = np.array([density_of(x.kind, notes) for x in layers])
    depths = np.array([_given(float(x.depth), "d", "m", x.depth) for x in layers])
    with working.title("Layers", items=[x.kind or "kind not said" for x in layers]):
        each = formulas.layer_load(densities, depths, gravity())
    return float(formulas.sum_of_layers(each)[0]), float(depths.sum())


def slope_for_water(roof: Roof) -> float:
    """Slope (deg) at which water runs off the flattest part of a roof; the crown of an arch is level."""
    return 0.0 if roof.arch else roof.slope


def pocket_slope(s: Snow) -> float | None:
    """Slope (deg) up to which the sag of the cloth holds a pocket; None where no sag is given."""
    if s.sag is None or s.sag_span is None:
        return None
    return float(formulas.pocket_slope(float(s.sag), float(s.sag_span)))


def holds_pocket(snow: Snow, shelter: Shelter, needed: float | None) -> bool:
    """True where water is said, or by the sag must be expected, to stand. needed: ``pocket_slope`` (deg)."""
    by_sag = needed is not None and needed > 0 and slope_for_water(roof_of(shelter)) <= needed
    return bool(snow.pockets) or by_sag


def rain_stays(snow: Snow, shelter: Shelter) -> bool:
    """True where all rain on snow counts as held: a slope under 10 degrees, or a pocket."""
    flat = tables.row("snow-forecast", "rain-stays-below").value
    return slope_for_water(roof_of(shelter)) < flat or holds_pocket(snow, shelter, pocket_slope(snow))


def _rain(snow: Snow, shelter: Shelter, load: float, notes: list[Words]) -> float:
    """Load of the rain that has stayed in the snow (Pa)."""
    if not snow.rain:
        return 0.0
    rain = _given(float(snow.rain), "R", "m", snow.rain)
    if not rain_stays(snow, shelter):
        share = tables.row("snow-forecast", "pack-holds")
        working.looked_up("c", share)
        rain = float(
            formulas.rain_in_pack(rain, share.value, formulas.water_of_load(load, water_density(), gravity()))
        )
        notes.append(tell(Note.RAIN_DRAINS, share=f"{share.value:.0%}"))
    else:
        notes.append(tell(Note.RAIN_STAYS))
    return float(formulas.water_load(water_density(), rain, gravity()))


def _measured(s: Snow, shelter: Shelter, beside: str, notes: list[Words]) -> RoofSnow:
    depth = None
    if s.water is not None:
        load = float(
            formulas.water_load(water_density(), _given(float(s.water), "w", "m", s.water), gravity())
        )
        basis = "measured as water"
    elif s.core is not None:
        mass, area = (
            _given(float(s.core.mass), "m", "kg", s.core.mass),
            _given(float(s.core.area), "A", "m^2", s.core.area),
        )
        load, basis = float(formulas.core_load(mass, area, gravity())), "a weighed core"
    else:
        layers = s.layers or ([Layer(depth=s.depth, kind=s.kind)] if s.depth is not None else [])
        load, depth = _layers(list(layers), notes)
        basis = "measured in layers" if len(layers) > 1 else "measured depth"
    if beside != "nothing" and load > 0:
        notes.append(tell(Note.DRIFT_NOT_IN))
    with working.title("Rain in the snow"):
        rain = _rain(s, shelter, load, notes)
    total = load + rain
    return RoofSnow("measured", basis, total, 0.0, total, "snow on one slope only", depth, None, rain, ())


def roof_snow(s: Snow, shelter: Shelter, site: Site) -> RoofSnow:
    """What lies on the roof, or what a code asks for there. ``notes`` of the result are the assumptions made."""
    notes: list[Words] = []
    with working.title("Snow on the roof"):
        if s.ground_load is not None:
            c = code_snow(s, shelter, site, notes)
            basis = say("by {code}", code=NAMES[str(s.edition)])
            found = RoofSnow("code", basis, c.uniform, c.light, c.heavy, c.uneven, None, c.strength, 0.0, ())
            notes.append(tell(Note.CODE_SNOW_FOR_WINTERS))
        elif s.measured or s.depth is not None or s.water is not None or s.core is not None or s.layers:
            found = _measured(s, shelter, site.beside, notes)
        else:
            return RoofSnow("none", "none said", 0.0, 0.0, 0.0, "none", None, None, 0.0, ())
    return replace(found, notes=tuple(dict.fromkeys(notes)))


def rate_of(f: Falling, notes: list[Words]) -> float:
    """Load that falls in a second (Pa/s)."""
    if f.water is not None:
        hourly = float(formulas.water_load(water_density(), float(f.water), gravity()))
    else:
        hourly = float(formulas.layer_load(density_of(f.kind, notes), float(f.depth or 0.0), gravity()))
    return hourly / 3600.0


# Forecast


def load_ratio(temperature: ArrayLike) -> Floats:
    """Ratio taken for load where only a depth is forecast: never a cold, loose one. temperature (K); NaN counts as warm."""
    fahrenheit = (np.asarray(temperature, float) - ZERO_CELSIUS) * 9 / 5 + 32
    warmest = max(r.at["warm"] for r in tables.table("snow-nws-ratio").rows)
    most, warm = (tables.row("snow-forecast", k).value for k in ("load-ratio-most", "load-ratio-warm"))
    return np.where(fahrenheit <= warmest, most, warm)


@dataclass(frozen=True)
class Accumulated:
    """Snow on the roof after each span of a forecast, shape of its arrays (..., spans). NaN where it is not known."""

    load: Floats
    """Pa on plan, spread evenly; the uneven case beside it has it on one slope only."""
    water: Floats
    """mm of water (kg/m^2)."""
    rain: Floats
    """mm of it that are rain held in the snow or in pockets."""
    snowing: NDArray[np.bool_]
    """True for spans whose precipitation sticks."""


def accumulate(
    temperature: ArrayLike, *, liquid: ArrayLike | None = None, snowfall: ArrayLike | None = None, stays: bool,
    start: ArrayLike = 0.0, pockets: bool = False,
) -> Accumulated:  # fmt: skip
    """Add up what is forecast to fall on a roof, span by span along the last axis; leading axes are free.

    Falls count in full on the roof.

    Parameters
    ----------
    temperature : array, (..., span)
        2 m air temperature, K; NaN counts as cold.
    liquid : array, (..., span), optional
        Precipitation as water in the span, m.
    snowfall : array, (..., span), optional
        Depth of new snow in the span, m; used where ``liquid`` is not given or NaN.
    stays : bool
        ``rain_stays``.
    start : array
        Load at the beginning, Pa.
    pockets : bool
        Rain is held with no snow there too.

    Returns
    -------
    Accumulated
        NaN from a span with neither amount on: unknown, never nothing.

    Raises
    ------
    ValueError
        Neither ``liquid`` nor ``snowfall``.

    """
    if liquid is None and snowfall is None:
        raise ValueError("give liquid or snowfall of each span")
    t = np.asarray(temperature, float)
    some = [np.asarray(v, float) for v in (liquid, snowfall) if v is not None]
    shape = np.broadcast_shapes(t.shape, *(v.shape for v in some))
    nothing = np.full(shape, np.nan)
    water = nothing if liquid is None else np.broadcast_to(np.asarray(liquid, float), shape)
    deep = nothing if snowfall is None else np.broadcast_to(np.asarray(snowfall, float), shape)
    t = np.broadcast_to(t, shape)
    for name, values in (("liquid", water), ("snowfall", deep)):
        if np.any(values < 0):
            raise OutOfRangeError("snow forecast", name, float(np.nanmin(values)), 0.0, None, "m")
    stick = tables.row("snow-forecast", "stick-at-or-below").value + ZERO_CELSIUS
    snowing = ~(t > stick) | (deep > 0)
    with np.errstate(invalid="ignore"):
        amount = np.where(np.isnan(water), deep / load_ratio(t), water)
    return _add_up(amount, snowing, np.asarray(start, float), stays=stays, pockets=pockets)


def _add_up(
    amount: Floats, snowing: NDArray[np.bool_], start: Floats, *, stays: bool, pockets: bool
) -> Accumulated:
    g, rho = gravity(), water_density()
    share = tables.row("snow-forecast", "pack-holds").value
    roof = tables.row("snow-forecast", "roof-share").value
    ice = np.broadcast_to(start / (rho * g), amount.shape[:-1]).astype(float)
    rain = np.zeros_like(ice)
    total, held = np.empty(amount.shape), np.empty(amount.shape)
    for k in range(amount.shape[-1]):
        fell, snow = amount[..., k] * roof, snowing[..., k]
        ice = ice + np.where(snow, fell, 0.0)
        wet = rain + np.where(snow, 0.0, fell)
        kept = np.where((ice > 0) | pockets, wet, 0.0) if stays or pockets else np.minimum(wet, share * ice)
        rain = np.where(np.isnan(fell), np.nan, kept)
        ice = np.where(np.isnan(fell), np.nan, ice)
        total[..., k], held[..., k] = ice + rain, rain
    return Accumulated(total * rho * g, total * rho, held * rho, snowing)


def depths_of(load: float) -> dict[str, float]:
    """What depth (m) a load is if the snow is new, settled or wet."""
    rows = {k: tables.row("snow-density", k) for k in KINDS}
    return {k: float(formulas.depth_of_load(load, r.value, gravity())) for k, r in rows.items()}
