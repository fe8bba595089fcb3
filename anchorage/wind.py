"""Marries the wind number of a deployment to tables and formulas: gust at 10 m, velocity pressure at the shelter."""

from __future__ import annotations

from dataclasses import dataclass

from anchorage import tables, working
from anchorage.deployment import AVERAGING_S, SPEED_IS, SURROUNDINGS, Deployment, Site, Wind
from anchorage.errors import OutOfRangeError
from anchorage.loads import air, speed, velocity
from anchorage.pressures import FLAT_BELOW
from anchorage.shape import FACES, Shape

COLD_STATES = ("snow", "ice", "frozen")


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
    assumptions: tuple[str, ...]

    def gust_of(self, pressure: float) -> float:
        """Service gust (m/s) that gives q (Pa); inf stays inf."""
        if pressure == float("inf"):
            return pressure
        return float(velocity.speed_of_pressure(pressure, self.pressure_per_gust_squared))


def exposure(site: Site, notes: list[str]) -> str:
    """Exposure letter, from the letter or the words of the site; the most open when nothing is said."""
    if site.exposure:
        return site.exposure
    if site.surroundings:
        return SURROUNDINGS[site.surroundings]
    notes.append(
        "Surroundings not given: taken as open water's edge or flat open ground (exposure D), the windiest."
    )
    return "D"


def air_density(d: Deployment, notes: list[str]) -> float:
    """Density of the air at the site (kg/m^3). Left out: sea level, dry, 0 °C (-20 °C with snow, ice or frost)."""
    site = d.site
    if site.pressure is not None:
        pressure = float(site.pressure)
        working.given("p", pressure, "Pa", str(getattr(site.pressure, "text", "")))
    else:
        if site.elevation is None:
            notes.append("Elevation not given: taken as sea level, where air is heaviest.")
        elevation = float(site.elevation or 0.0)
        s = {k: tables.row("standard-atmosphere", k).value for k in ("p0", "t0", "lapse", "exponent")}
        pressure = air.standard_pressure(elevation, **s)
    if site.temperature is not None:
        temperature = float(site.temperature)
        working.given("T", temperature, "K", str(getattr(site.temperature, "text", "")))
    else:
        cold = site.state in COLD_STATES or d.snow.depth is not None or d.snow.water is not None
        row = tables.row("air-default", "temperature-snow" if cold else "temperature")
        temperature = row.value
        working.looked_up("T", row)
        notes.append(
            f"Air temperature not given: taken as {temperature - 273.15:.0f} °C, cold air is heavier."
        )
    vapour = 0.0
    if site.humidity:
        m = {k: tables.row("magnus", k).value for k in ("e0", "a", "b")}
        vapour = site.humidity * air.saturation_pressure(temperature - 273.15, **m)
    gas = tables.table("gas-constant")
    return float(air.density(pressure, vapour, temperature, gas["dry"].value, gas["vapour"].value))


def _kz(height: float, letter: str, edition: str) -> float:
    k = letter.lower()
    return float(velocity.exposure_coefficient(
        height, tables.row("kz-floor", "asce7").value, tables.row(f"zg-{edition}", k).value,
        tables.row(f"alpha-{edition}", k).value, tables.row("kz-coefficient", edition).value,
    ))  # fmt: skip


def gust_factor(averaging: str, conversion: str, notes: list[str]) -> float:
    """3 s gust over a mean of another averaging time, by the named choice; 1 for a number that is a gust already."""
    seconds = AVERAGING_S[averaging]
    if seconds <= 3.0:
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
        f"The wind number is a {averaging} mean: turned into a 3 s gust with factor {chosen:.2f} (Durst {durst:.2f}, WMO in-land {wmo.value:.2f})."
    )
    return chosen


def averaging_of(wind: Wind, notes: list[str]) -> str:
    """Averaging time of the number, said or assumed (an hourly mean, the largest gust factor)."""
    if wind.averaging is not None:
        return wind.averaging
    if wind.speed_is is not None:
        return SPEED_IS[wind.speed_is][0]
    notes.append(
        "Not said whether the wind number is a gust: taken as an hourly mean, and so turned into a higher gust."
    )
    return "1 h"


def _gust_at_10_m(d: Deployment, letter: str, notes: list[str]) -> float:
    wind, value = d.wind, float(d.wind.speed)
    working.given("V", value, "m/s", str(getattr(wind.speed, "text", "")))
    averaging = averaging_of(wind, notes)
    reference = tables.row("reference-height", "asce7").value
    height = float(wind.height) if wind.height is not None else reference
    low = height < reference * 0.98
    if low and averaging == "3 s":
        return _raise(value, height, reference, "gust-exponent", letter, notes)
    if low:
        value = _raise(value, height, reference, "mean-exponent", letter, notes)
    factor = gust_factor(averaging, wind.conversion, notes)
    return float(speed.gust_of_mean(value, factor)) if factor != 1.0 else value


def _raise(value: float, height: float, reference: float, table: str, letter: str, notes: list[str]) -> float:
    exponent = tables.row(f"{table}-asce7-16", letter.lower()).value
    notes.append(
        f"The wind was read {height:.1f} m above the ground: brought up to 10 m by the power law (1/{exponent:g})."
    )
    return float(speed.gust_at_reference(value, height, reference, exponent))


def profile(d: Deployment, height: float, letter: str, notes: list[str]) -> float:
    """``physics``: pressure at roof height over pressure at 10 m in the terrain that the number was given for."""
    at_shelter = _kz(height, letter, "asce7-16")
    reference = tables.row("reference-height", "asce7").value
    open_, site = _kz(reference, "C", "asce7-16"), _kz(reference, letter, "asce7-16")
    if d.wind.terrain is None and letter != "C":
        notes.append(
            "Not said whether the forecast already contains the site's roughness: the worse of both is used."
        )
    at_10 = {"open": open_, "site": site, None: min(open_, site)}[d.wind.terrain]
    return float(velocity.profile_factor(at_shelter, at_10))


def wind_state(d: Deployment, shape: Shape, strength_factor: float) -> WindState:
    """Gust at 10 m and velocity pressure at the shelter. strength_factor: γ on wind of a strength-level speed (1)."""
    notes: list[str] = []
    with working.heading("Wind at the shelter"):
        letter = exposure(d.site, notes)
        height = shape.roof_height(FLAT_BELOW)
        edition = d.wind.method if d.wind.method != "physics" else "asce7-16"
        given = _gust_at_10_m(d, letter, notes)
        density = air_density(d, notes)
        if d.wind.method == "physics":
            k = profile(d, height, letter, notes)
            read = d.wind.height is not None and d.wind.speed > 0
            if read and d.wind.averaging in (None, "3 s"):
                k = max(k, float(d.wind.speed) ** 2 / given**2)
            pressure = float(velocity.pressure_physics(density, k, given))
            unit = float(velocity.pressure_physics(density, k, 1.0))
            gust_effect = tables.row("gust-effect", "physics").value
        else:
            kz = _kz(height, letter, edition)
            ke = 1.0
            if d.site.elevation is not None and d.site.elevation > 0:
                ke = float(
                    velocity.elevation_factor(float(d.site.elevation), tables.row("ke-rate", "asce7").value)
                )
            factors = (
                tables.row("velocity-constant", "asce7").value,
                kz,
                1.0,
                ke,
                tables.row("kd", "building").value,
            )
            pressure = float(velocity.pressure_asce7(*factors, given))
            unit = float(velocity.pressure_asce7(*factors, 1.0))
            gust_effect = tables.row("gust-effect", "rigid").value
            notes.append("Topography factor Kzt = 1: not for a hilltop, ridge or bluff edge.")
        strength = d.wind.level == "strength"
        gust = float(speed.service_of_strength(given, strength_factor)) if strength else given
        if strength:
            unit = unit * given**2 / gust**2 if gust > 0 else unit / strength_factor
            notes.append("The speed given is strength level; gusts shown are service level, V·√0.6.")
    at_roof = _kz(height, letter, edition)
    tops = {f: max(float(w.vertices[:, 2].max()), 0.0) for f, w in zip(FACES, shape.walls, strict=True)}
    ratio = {f: max(_kz(z, letter, edition) / at_roof, 1.0) for f, z in tops.items()}
    if not 0.0 <= gust <= 150.0:
        raise OutOfRangeError("wind", "gust at 10 m", gust, 0.0, 150.0, "m/s")
    return WindState(gust, pressure, unit, density, gust_effect, ratio, letter, tuple(notes))
