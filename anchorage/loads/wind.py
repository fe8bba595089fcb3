"""Marries the wind number of a deployment to tables and formulas: gust at 10 m, velocity pressure at the shelter."""

from __future__ import annotations

import math
from contextlib import nullcontext
from dataclasses import dataclass, field, replace

from anchorage.core import tables
from anchorage.core.closed import FACES
from anchorage.core.constants import ZERO_CELSIUS
from anchorage.core.errors import OutOfRangeError
from anchorage.core.say import numeral
from anchorage.core.told import Words, put, tell, together
from anchorage.core.units import as_typed, show
from anchorage.deployment.models import AVERAGING_S, SPEED_IS, Site, Snow, Topography, Wind
from anchorage.formulas import air, en1991, speed, velocity, working
from anchorage.loads.asce7 import FLAT_BELOW
from anchorage.loads.notes import Note
from anchorage.loads.terrain import arcs, speed_up, topography_note
from anchorage.shelter.shape import Shape

COLD_STATES = ("snow", "ice", "frozen")
GUST_S = 3.0
"""Averaging time of a gust (s)."""
LOW = 0.98
"""A wind number from below this share of the reference height is brought up to it."""


@dataclass(frozen=True)
class WindState:
    """The wind at the shelter. Every speed in m/s is a 3 s gust at 10 m."""

    gust: float
    """Service level, as shown to people."""
    pressure: float
    """q (Pa) with Kd in it once, at the level of the speed that was given."""
    pressure_per_gust_squared: float
    """q over the square of the service gust (kg/m^3)."""
    density: float
    """kg/m^3 of the real air; code methods use their own constant."""
    gust_effect: float
    wall_height_ratio: dict[str, float]
    """q at the top of each wall over q at mean roof height."""
    exposure: str
    """Terrain: exposure letter, or category of EN 1991-1-4; the windiest where it is not the same all round."""
    assumptions: tuple[Words, ...]
    ground: tuple[tuple[float, float, str], ...] = ()
    """(start, length, terrain) by bearing, degrees."""
    by_ground: dict[str, float] = field(default_factory=dict)
    """q over each terrain as a share of q over the windiest."""
    over_hill: float = 1.0
    """Gust at the roof on a hill over the gust there on level ground, which is what ``gust`` is for."""

    def gust_of(self, pressure: float) -> float:
        """Service gust (m/s) that gives q (Pa); inf stays inf."""
        if pressure == float("inf"):
            return pressure
        return float(velocity.speed_of_pressure(pressure, self.pressure_per_gust_squared))


def _both(kind: str, value: float) -> str:
    """In the units of either system: the room does not know which is shown."""
    return f"{show(kind, value, 'us')} ({show(kind, value, 'si', digits=0)})"


def _credit(key: str) -> tables.Row:
    """The row of the thinnest or warmest air that is credited; used only where it binds."""
    return tables.table("air-credit-most").by_key[key]


def _credited(site: Site, notes: list[Words]) -> float:
    """Elevation (m) by which the air is thinner than at the sea, as far as that is credited."""
    elevation, most = float(site.elevation or 0.0), _credit("elevation")
    if elevation <= most.value + 1e-9:
        return elevation
    working.looked_up("H that counts", *tables.used(most))
    notes.append(tell(Note.THIN_AIR, most=put(_both, "length", most.value)))
    return most.value


def air_density(site: Site, snow: Snow, notes: list[Words]) -> float:
    """Density of the air at the site (kg/m^3). Left out: sea level, dry, 0 °C (-20 °C with snow, ice or frost)."""
    s = {k: tables.row("standard-atmosphere", k).value for k in ("p0", "t0", "lapse", "exponent")}
    if site.pressure is not None:
        pressure = float(site.pressure)
        working.given("p", pressure, "Pa", as_typed(site.pressure, ""))
        most = _credit("elevation")
        with working.quiet():
            thinnest = float(air.standard_pressure(most.value, **s))
        if pressure < thinnest * (1 - 1e-9):
            working.looked_up("H of the thinnest air that counts", *tables.used(most))
            notes.append(tell(Note.THIN_AIR, most=put(_both, "length", most.value)))
            pressure = float(air.standard_pressure(most.value, **s))
    else:
        if site.elevation is None:
            notes.append(tell(Note.ELEVATION_UNSAID))
        pressure = air.standard_pressure(_credited(site, notes), **s)
    if site.temperature is not None:
        temperature = float(site.temperature)
        working.given("T", temperature, "K", as_typed(site.temperature, ""))
        warmest = _credit("temperature")
        if temperature > warmest.value + 1e-9:
            working.looked_up("T that counts", *tables.used(warmest))
            temperature = warmest.value
            notes.append(tell(Note.WARM_AIR, most=put(_both, "temperature", temperature)))
    else:
        cold = (
            site.state in COLD_STATES
            or snow.lies
            or snow.depth is not None
            or snow.water is not None
            or snow.falling is not None
        )
        row = tables.row("air-default", "temperature-snow" if cold else "temperature")
        temperature = row.value
        working.looked_up("T", row)
        notes.append(
            tell(
                Note.AIR_TEMPERATURE_UNSAID,
                temperature=put(show, "temperature", temperature, "us"),
                temperature_2=put(show, "temperature", temperature, "si"),
            )
        )
    vapour = 0.0
    if site.humidity:
        m = {k: tables.row("magnus", k).value for k in ("e0", "a", "b")}
        vapour = site.humidity * air.saturation_pressure(temperature - ZERO_CELSIUS, **m)
    gas = tables.table("gas-constant")
    return float(air.density(pressure, vapour, temperature, gas["dry"].value, gas["vapour"].value))


def _kz(height: float, letter: str, edition: str) -> float:
    k = letter.lower()
    return float(velocity.exposure_coefficient(
        height, tables.row("kz-floor", "asce7").value, tables.row(f"zg-{edition}", k).value,
        tables.row(f"alpha-{edition}", k).value, tables.row("kz-coefficient", edition).value,
    ))  # fmt: skip


def gust_factor(averaging: str, conversion: str, notes: list[Words]) -> float:
    """3 s gust over a mean of another averaging time, by the named choice; 1 where it is one already."""
    seconds = AVERAGING_S[averaging]
    if seconds <= GUST_S:
        return 1.0
    fit = {k: tables.row("durst-fit", k).value for k in ("base", "amplitude", "time", "exponent")}
    durst = float(
        speed.durst_gust_factor(speed.durst_ordinate(3.0, **fit), speed.durst_ordinate(seconds, **fit))
    )
    row = next(
        r for r in tables.table("wmo-gust").rows if r.at == {"t0": seconds, "tau": 3.0, "terrain": 0.0}
    )
    wmo = tables.row("wmo-gust", row.key)
    working.looked_up("G (WMO, in-land)", wmo)
    chosen = {"durst": durst, "wmo": wmo.value, "larger": max(durst, wmo.value)}[conversion]
    notes.append(
        tell(
            Note.MEAN_TURNED_UP,
            averaging=averaging,
            chosen=put(numeral, chosen, ".2f"),
            durst=put(numeral, durst, ".2f"),
            wmo=put(numeral, wmo.value, ".2f"),
        )
    )
    return chosen


SEA = ("D", "0")
"""Terrain of the codes where the wind comes off the water."""
LAND = (0.0, 1.0)
"""Rows of the gust factors for wind that comes off the land."""


@dataclass(frozen=True)
class Mean:
    """A mean wind: speed (m/s), the gust over it, and whether it was typed as a mean."""

    speed: float
    factor: float
    typed: bool


def least_gust_factor(state: WindState) -> float:
    """The least that a 3 s gust may be over its 10 min mean: of every row for wind off the land, and off the water where it may be."""
    off_water = any(name in SEA for _, _, name in state.ground)
    at = {"t0": AVERAGING_S["10 min"], "tau": GUST_S}
    every = [
        r.value
        for r in tables.table("wmo-gust").rows
        if all(r.at[k] == v for k, v in at.items()) and (off_water or r.at["terrain"] in LAND)
    ]
    return min([gust_factor("10 min", "durst", []), *every])


def mean_of(wind: Wind, state: WindState) -> Mean:
    """The mean that a gust rides on: the number itself where it is a mean; else the highest that the gust may ride on."""
    averaging = "10 min" if wind.method == "en1991" else averaging_of(wind, [])
    typed = AVERAGING_S[averaging] > GUST_S
    factor = gust_factor(averaging, wind.conversion, []) if typed else least_gust_factor(state)
    return Mean(state.gust / factor, factor, typed)


def averaging_of(wind: Wind, notes: list[Words]) -> str:
    """Averaging time of the number, said or assumed (an hourly mean, the largest gust factor)."""
    if wind.averaging is not None:
        return wind.averaging
    if wind.speed_is is not None:
        return SPEED_IS[wind.speed_is][0]
    notes.append(tell(Note.AVERAGING_UNSAID))
    return "1 h"


def _gust_at_10_m(wind: Wind, site: Site, letter: str, notes: list[Words]) -> float:
    value = float(wind.speed)
    if wind.beaufort is not None and wind.beaufort < 12:
        working.looked_up("V (upper end of the force)", tables.row("beaufort", f"force-{wind.beaufort + 1}"))
        notes.append(tell(Note.BEAUFORT_MEAN, beaufort=wind.beaufort, value=put(numeral, value, "g")))
    else:
        working.given("V", value, "m/s", as_typed(wind.speed, ""))
    averaging = averaging_of(wind, notes)
    reference = tables.row("reference-height", "asce7").value
    height = float(wind.height) if wind.height is not None else reference
    if wind.height is None and wind.speed_is is None:
        notes.append(tell(Note.HEIGHT_UNSAID))
    low = _read_low(wind)
    if site.exposure is None and site.surroundings is None:
        letter = "BCD"
    if low and averaging == "3 s":
        return _raise(value, height, reference, "gust-exponent", letter, notes)
    if low and site.z0 is not None:
        notes.append(tell(Note.RAISED_BY_LOG_LAW, height=put(numeral, height, ".1f")))
        z0 = float(site.z0)
        value = float(speed.mean_at_reference(value, reference, z0, height / z0))
    elif low:
        value = _raise(value, height, reference, "mean-exponent", letter, notes)
    factor = gust_factor(averaging, wind.conversion, notes)
    return float(speed.gust_of_mean(value, factor)) if factor != 1.0 else value


def _read_low(wind: Wind) -> bool:
    """Was the number read below the height of forecasts and stations?"""
    reference = tables.row("reference-height", "asce7").value
    return wind.height is not None and float(wind.height) < reference * LOW


def read_on_site(wind: Wind) -> bool:
    """Is the number a reading at the shelter: from a meter, or from below the height of forecasts and stations?"""
    return wind.speed > 0 and (_read_low(wind) or wind.speed_is in ("meter-peak", "meter-average"))


def read_on_hill(wind: Wind, site: Site) -> bool:
    """Is the number what a meter showed at the shelter, on or near a hill whose speed-up it then has in it already?

    A number from low down that is not said to be from a meter at the shelter may be from anywhere.
    """
    return (
        site.topography is not None
        and wind.method != "en1991"
        and wind.level != "strength"
        and wind.speed > 0
        and wind.speed_is in ("meter-peak", "meter-average")
    )


def policy_hill(wind: Wind, site: Site, over_hill: float) -> float:
    """What a gust of a local policy is divided by before a gust for level ground is held against it: 1 unless it was read on the hill."""
    return over_hill if read_on_hill(wind, site) else 1.0


def _raise(
    value: float, height: float, reference: float, table: str, letters: str, notes: list[Words]
) -> float:
    """A reading brought up to 10 m; over the ground of several exposures where none is known, the largest."""
    rows = [tables.row(f"{table}-asce7-16", letter.lower()) for letter in letters]
    exponent = min(r.value for r in rows)
    notes.append(
        together(
            tell(
                Note.RAISED_BY_POWER_LAW,
                height=put(numeral, height, ".1f"),
                exponent=put(numeral, exponent, "g"),
            ),
            tell(Note.AS_OVER_A_TOWN) if len(rows) > 1 else ".",
            between="",
        )
    )
    return float(speed.gust_at_reference(value, height, reference, exponent))


def profile(wind: Wind, height: float, letter: str, notes: list[Words]) -> float:
    """``physics``: pressure at roof height over pressure at 10 m in the terrain that the number was given for."""
    at_shelter = _kz(height, letter, "asce7-16")
    reference = tables.row("reference-height", "asce7").value
    open_, site = _kz(reference, "C", "asce7-16"), _kz(reference, letter, "asce7-16")
    if wind.terrain is None and letter != "C":
        notes.append(tell(Note.ROUGHNESS_UNSAID))
    at_10 = {"open": open_, "site": site, None: min(open_, site)}[wind.terrain]
    return float(velocity.profile_factor(at_shelter, at_10))


def _kzt(hill: Topography | None, letter: str, height: float) -> float:
    return 1.0 if hill is None else speed_up(hill, letter, height)


def _unit(given: float, unit: float, wind: Wind, factor: float) -> tuple[float, float]:
    """Service gust, and q over its square, of a gust at 10 m at the level that was given."""
    if wind.level != "strength":
        return given, unit
    gust = float(speed.service_of_strength(given, factor))
    return gust, (unit * given**2 / gust**2 if gust > 0 else unit / factor)


def _over(
    wind: Wind, site: Site, snow: Snow, shape: Shape, strength_factor: float, letter: str, notes: list[Words]
) -> WindState:
    """The wind at the shelter by ``physics`` or ASCE 7, over one terrain."""
    height = shape.roof_height(FLAT_BELOW)
    edition = wind.method if wind.method != "physics" else "asce7-16"
    given = _gust_at_10_m(wind, site, letter, notes)
    density = air_density(site, snow, notes)
    kzt = _kzt(site.topography, letter, height)
    if wind.method == "physics":
        k = profile(wind, height, letter, notes)
        if read_on_site(wind):
            k = max(k, float(wind.speed) ** 2 / given**2)
        if site.topography is not None:
            k = float(velocity.profile_over_hill(k, kzt))
        pressure = float(velocity.pressure_physics(density, k, given))
        unit = float(velocity.pressure_physics(density, k, 1.0))
        gust_effect = tables.row("gust-effect", "physics").value
    else:
        kz = _kz(height, letter, edition)
        ke = 1.0
        if site.elevation is not None and site.elevation > 0:
            ke = float(velocity.elevation_factor(_credited(site, []), tables.row("ke-rate", "asce7").value))
        constant, kd = tables.row("velocity-constant", "asce7").value, tables.row("kd", "building").value
        pressure = float(velocity.pressure_asce7(constant, kz, kzt, ke, kd, given))
        unit = float(velocity.pressure_asce7(constant, kz, kzt, ke, kd, 1.0))
        gust_effect = tables.row("gust-effect", "rigid").value
        if site.topography is None:
            notes.append(tell(Note.NO_HILL))
    if site.topography is not None:
        notes.append(topography_note(site.topography, letter, kzt))
    gust, unit = _unit(given, unit, wind, strength_factor)
    over_hill = math.sqrt(kzt)
    if kzt > 1.0:
        notes.append(tell(Note.ON_THE_HILL, over_hill=put(numeral, over_hill, ".2f")))
    if read_on_hill(wind, site) and kzt > 1.0:
        read = _kzt(
            site.topography, letter, float(wind.height or tables.row("reference-height", "asce7").value)
        )
        least = float(velocity.pressure_physics(density, 1.0, float(wind.speed)))
        flat = float(velocity.level_ground(pressure, kzt, read))
        pressure = min(max(flat, least), pressure)
        gust = float(velocity.speed_of_pressure(pressure, unit))
        notes.append(
            tell(
                Note.READ_ON_THE_HILL,
                gust=put(show, "speed", gust, "us"),
                gust_2=put(show, "speed", gust, "si"),
            )
        )
    if wind.level == "strength":
        notes.append(tell(Note.SPEED_AT_STRENGTH))
    at_roof = _kz(height, letter, edition)
    low = _kzt(site.topography, letter, 0.0) / kzt  # a hill speeds the wind up most at the ground
    tops = {str(w.wall): max(float(w.vertices[:, 2].max()), 0.0) for w in shape.walls}
    ratio = {f: max(_kz(tops.get(f, 0.0), letter, edition) / at_roof * low, 1.0) for f in FACES}
    return WindState(gust, pressure, unit, density, gust_effect, ratio, letter, (), over_hill=over_hill)


def _en1991(wind: Wind, shape: Shape, name: str, notes: list[Words]) -> WindState:
    """The wind at the shelter by EN 1991-1-4, over one terrain category. The gust is for people; q comes from qp(ze)."""
    key = f"cat-{name.lower()}"
    z0, floor = tables.row("en-terrain-z0", key), tables.row("en-terrain-zmin", key)
    profile_ = {k: tables.row("en-profile", k).value for k in ("kr-factor", "kr-reference", "kr-power", "turbulence", "gust-factor")}  # fmt: skip
    working.given("V", float(wind.speed), "m/s", as_typed(wind.speed, ""))
    chance = 1.0
    if wind.return_period is not None:
        c = {k: tables.row("en-cprob", k).value for k in ("k", "n", "p-reference")}
        chance = float(en1991.probability_factor(1 / wind.return_period, c["p-reference"], c["k"], c["n"]))
        notes.append(
            tell(
                Note.RETURN_PERIOD,
                return_period=put(numeral, wind.return_period, "g"),
                chance=put(numeral, chance, ".3f"),
            )
        )
    direction, season = (tables.row("en-basic-speed", k).value for k in ("direction", "season"))
    basic = float(en1991.basic_speed(float(wind.speed), direction, season, chance))
    kr = en1991.terrain_factor(
        profile_["kr-factor"], z0.value, profile_["kr-reference"], profile_["kr-power"]
    )
    cr = en1991.roughness_factor(kr, shape.ridge, floor.value, z0.value)
    intensity = en1991.turbulence_intensity(profile_["turbulence"], shape.ridge, floor.value, z0.value)
    density = tables.row("en-air-density", "recommended").value
    mean = en1991.mean_speed(cr, basic)
    pressure = float(en1991.peak_pressure(profile_["gust-factor"], intensity, density, mean))
    gust = float(speed.gust_of_mean(basic, gust_factor("10 min", wind.conversion, notes)))
    notes.append(tell(Note.GUST_STANDS_FOR_MEAN))
    base_mean = en1991.mean_speed(
        cr, basic / gust if gust > 0 else 1 / gust_factor("10 min", wind.conversion, [])
    )
    unit = float(en1991.peak_pressure(profile_["gust-factor"], intensity, density, base_mean))
    height = tables.row("en-structural-factor", "height").value
    if shape.ridge > height:
        raise OutOfRangeError("en1991, structural factor taken as 1", "height", shape.ridge, 0.0, height, "m")
    return WindState(gust, pressure, unit, density, 1.0, dict.fromkeys(FACES, 1.0), name, ())


def wind_state(wind: Wind, site: Site, snow: Snow, shape: Shape, strength_factor: float) -> WindState:
    """Gust at 10 m and velocity pressure at the shelter.

    Parameters
    ----------
    wind : Wind
        The number and what it is.
    site : Site
        Ground, air and hill.
    snow : Snow
        Any says that the air is cold where no temperature is given.
    shape : Shape
        Heights of it.
    strength_factor : float
        γ on wind of a strength-level speed (1).

    Returns
    -------
    WindState
        Gust in m/s, pressure in Pa; over several terrains the one that presses hardest.

    Raises
    ------
    OutOfRangeError
        The gust, or what it is worked out from, is outside of its range.

    """
    notes: list[Words] = []
    with working.title("Wind at the shelter", of=working.Topic.WIND):
        ground = arcs(site, wind.method, notes)
        names = list(dict.fromkeys(name for _, _, name in ground))
        found: dict[str, tuple[WindState, list[Words]]] = {}
        for name in names:
            own: list[Words] = []
            with working.title(f"Over {name}") if len(names) > 1 else nullcontext():
                if wind.method == "en1991":
                    state = _en1991(wind, shape, name, own)
                else:
                    state = _over(wind, site, snow, shape, strength_factor, name, own)
            found[name] = (state, own)
    first = max(names, key=lambda n: (found[n][0].pressure, found[n][0].pressure_per_gust_squared))
    state, own = found[first]
    notes += own
    if not 0.0 <= state.gust <= 150.0:
        raise OutOfRangeError("wind", "gust at 10 m", state.gust, 0.0, 150.0, "m/s")
    share = {n: _share(x, state) for n, (x, _) in found.items()}
    if len(names) > 1:
        arcs_ = ", ".join(f"{a:.0f}-{(a + b) % 360:.0f}° {n}" for a, b, n in ground)
        notes.append(together(tell(Note.GROUND_BY_BEARING), arcs_, tell(Note.EACH_CASE_WINDIEST), between=""))
    if read_on_hill(wind, site):
        # what a gust on level ground gives is that of the terrain where it gives most
        unit = max(x.pressure_per_gust_squared for x, _ in found.values())
        share = {n: max(s, found[n][0].pressure_per_gust_squared / unit) for n, s in share.items()}
        gust = float(velocity.speed_of_pressure(state.pressure, unit))
        state = replace(state, gust=gust, pressure_per_gust_squared=unit)
    state = replace(state, over_hill=max(x.over_hill for x, _ in found.values()))
    return replace(state, assumptions=tuple(notes), ground=tuple(ground), by_ground=share)


def _share(x: WindState, windiest: WindState) -> float:
    """Pressure over a terrain, for the same wind number, as a share of the pressure over the windiest.

    Where its walls rise more over the roof's pressure than those of the windiest, all of it is taken up by as much.
    """
    more = max(1.0, *(x.wall_height_ratio[f] / windiest.wall_height_ratio[f] for f in FACES))
    if windiest.pressure > 0:
        return more * x.pressure / windiest.pressure
    return min(more * x.pressure_per_gust_squared / windiest.pressure_per_gust_squared, 1.0)
