"""Marries what a code asks for on a roof to its tables: ASCE 7-10, 7-16, 7-22 and EN 1991-1-3. One edition at a time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from anchorage.core import tables
from anchorage.core.closed import ONE_SLOPE
from anchorage.core.told import Words, tell
from anchorage.core.units import as_typed
from anchorage.deployment.models import SURROUNDINGS, Shelter, Site, Snow
from anchorage.formulas import snow_code as code
from anchorage.formulas import working
from anchorage.loads.notes import Note

TWO_SLOPES = ("gable", "hip", "canopy-gable")
NAMES = {
    "asce7-10": "ASCE 7-10",
    "asce7-16": "ASCE 7-16",
    "asce7-22": "ASCE 7-22",
    "en1991-1-3": "EN 1991-1-3",
}


@dataclass(frozen=True)
class CodeSnow:
    """What a code asks for on the roof, service level, on plan (Pa)."""

    uniform: float
    light: float
    """On the light half of the uneven case."""
    heavy: float
    """Largest on the heavy half of the uneven case."""
    uneven: str
    """What the uneven case is."""
    strength: float | None
    """The uniform load at strength level, where the edition works there."""


@dataclass(frozen=True)
class Roof:
    """The roof as the codes see it. Lengths in m, slopes in degrees."""

    form: str
    slope: float
    """Of a flat slope; of an arch, at its eave."""
    line: float
    """From the eave to the ridge or crown."""
    run: float
    """Eave to ridge, on plan."""
    rise: float
    span: float

    @property
    def arch(self) -> bool:
        return self.form == "arch"


def roof_of(s: Shelter) -> Roof:
    """The roof of a shelter."""
    single = s.form in ONE_SLOPE
    rise = max(float(s.ridge if s.ridge is not None else s.eave) - float(s.eave), 0.0)
    run = float(s.width) if single else float(s.width) / 2
    line = float(np.degrees(np.arctan2(rise, run)))
    slope = line
    if s.form == "arch" and rise > 0:
        radius = (run**2 + rise**2) / (2 * rise)
        slope = min(float(np.degrees(np.arctan2(run, radius - rise))), 90.0)
    return Roof(s.form, slope, line, run, rise, float(s.width))


def _row(table: str, key: str, symbol: str) -> float:
    row = tables.row(table, key)
    working.looked_up(symbol, row)
    return row.value


def _ce(snow: Snow, site: Site, notes: list[Words]) -> float:
    how = {None: "sheltered", "partially": "partial", "fully": "full"}.get(snow.exposure, "sheltered")
    if snow.exposure is None:
        notes.append(tell(Note.ROOF_EXPOSURE_UNSAID))
    letter = site.exposure or (SURROUNDINGS[site.surroundings] if site.surroundings else None)
    if letter is None:
        notes.append(tell(Note.SNOW_SURROUNDINGS_UNSAID))
    return _row("snow-ce", f"{(letter or 'B').lower()}-{how}", "Ce")


def _ct(snow: Snow, notes: list[Words]) -> float:
    if snow.heated and snow.edition == "asce7-22":
        notes.append(tell(Note.HEATED_NOT_IN))
    if snow.heated and snow.edition != "asce7-22":
        return _row("snow-ct", "other", "Ct")
    return _row("snow-ct", "unheated", "Ct")


def cs(slope: float, ct: float, *, slippery: bool) -> float:
    """Slope factor for a thermal factor: one of the six lines of ASCE 7."""
    climate = "warm" if ct <= 1.0 else ("cool" if ct <= 1.1 + 1e-9 else "cold")
    start = _row("snow-cs", f"{'slippery' if slippery else 'other'}-{climate}", "a")
    return float(code.slope_factor(slope, start, _row("snow-cs", "zero", "b")))


def _drift(snow: Snow, roof: Roof, ground: float, sloped: float, strength: bool) -> float:
    """Load on the leeward slope next to the ridge, with the drift (Pa)."""
    weight = _weight(ground)
    hd = _drift_height(snow, roof.run, ground, weight, strength=strength)
    return float(code.leeward_peak(sloped, hd, weight, roof.run / roof.rise))


def _drift_height(snow: Snow, run: float, ground: float, weight: float, *, strength: bool, importance: float = 1.0) -> float:  # fmt: skip
    """Height of a drift from a roof of a length (m), as the edition has it. importance: of the use, at a roof step."""
    u = {
        k: tables.row("snow-uneven", k).value
        for k in ("drift", "drift-shift", "drift-less", "foot", "psf", "run-least")
    }
    long = max(run, u["run-least"])
    if strength:
        winter = snow.winter_wind
        w2 = winter if winter is not None else _row("snow-uneven", "winter-wind-22", "W2")
        a = _row("snow-uneven", "drift-22", "a")
        return float(code.drift_height_22(u["foot"], a, ground, u["psf"], long, w2, weight))
    return float(
        code.drift_height(
            u["foot"],
            code.drift_rate(u["drift"], importance),
            long,
            ground,
            u["drift-shift"],
            u["psf"],
            u["drift-less"],
        )
    )


def _weight(ground: float) -> float:
    """Unit weight of the snow of a code (N/m^3)."""
    return float(code.snow_weight(_row("snow-weight", "rate", "c"), ground, _row("snow-weight", "base", "γ0"),
                                  _row("snow-weight", "most", "γmax")))  # fmt: skip


def _at_the_wall(snow: Snow, eave: float, roof: Roof, p: tuple[float, float, float, float, float], notes: list[Words], *, strength: bool) -> float:  # fmt: skip
    """Largest load beside a taller building (Pa): drift off its roof or against its wall, or what slides off it; never both."""
    b, (ground, flat, sloped, importance, _) = snow.building, p
    if b is None:
        return 0.0
    weight = _weight(ground)
    off = _drift_height(snow, float(b.width), ground, weight, strength=strength, importance=importance)
    against = _row("snow-uneven", "windward-drift", "c") * _drift_height(
        snow, roof.span, ground, weight, strength=strength, importance=importance
    )
    drop = float(b.height) - float(eave)
    peak = float(code.step_peak(sloped, max(off, against), drop, weight))
    if b.slope > tables.row("snow-uneven", "slide-from").value:
        share, reach = _row("snow-uneven", "slide", "c"), _row("snow-uneven", "slide-reach", "x")
        peak = max(peak, float(code.slid_on(sloped, share, flat, float(b.width), reach)))
        notes.append(_whole_slope())
    return peak


def _whole_slope() -> Words:
    return tell(Note.BUILDING_ONE_SLOPE)


def _uneven_asce(snow: Snow, roof: Roof, p: tuple[float, float, float, float, float],
                 *, strength: bool) -> tuple[float, float, str]:  # fmt: skip
    """(light, heavy, words) at the level of the edition. p: ground, pf, ps, Is, Ce."""
    ground, flat, sloped, importance, ce = p
    if roof.arch:
        low, high = (tables.row("snow-uneven", k).value for k in ("arch-line-least", "arch-line-most"))
        if not low <= roof.line <= high:
            return 0.0, sloped, "snow on one half only"
        ct = tables.row("snow-ct", "other" if snow.heated and not strength else "unheated").value
        at = min(roof.slope, tables.row("snow-uneven", "arch-point").value)
        factor = cs(at, ct, slippery=snow.slippery)
        peak = float(code.arch_peak(_row("snow-uneven", "arch-peak", "c"), flat, factor, ce))
        return 0.0, max(peak, sloped), "curved roof: windward half bare, peak on the leeward half"
    least, most = (tables.row("snow-uneven", k).value for k in ("slope-least", "slope-most"))
    if roof.form not in TWO_SLOPES or not least <= roof.slope <= most:
        return 0.0, sloped, "snow on one half only"
    light = float(code.windward_share(_row("snow-uneven", "windward", "c"), sloped))
    heavy = _drift(snow, roof, ground, sloped, strength)
    if roof.run <= tables.row("snow-uneven", "run-narrow").value and importance * ground > heavy:
        return 0.0, importance * ground, "windward slope bare, the ground's snow on the leeward slope"
    return light, heavy, "drift on the leeward slope"


def _asce(s: Snow, eave: float, site: Site, roof: Roof, notes: list[Words]) -> CodeSnow:
    ground = float(s.ground_load or 0.0)
    strength = s.edition == "asce7-22"
    working.given("pg", ground, "Pa", as_typed(s.ground_load, ""))
    ce, ct, factor = _ce(s, site, notes), _ct(s, notes), _row("snow-flat", "flat", "c")
    if s.risk_category is None:
        notes.append(tell(Note.RISK_CATEGORY_UNSAID))
    category = (s.risk_category or "IV").lower()
    if strength:
        importance, most = 1.0, _row("snow-flat", f"minimum-22-{category}", "pm,max")
        flat = float(code.flat_roof_22(factor, ce, ct, ground))
    else:
        importance, most = _row("snow-is", category, "Is"), _row("snow-flat", "minimum-ground", "20 psf")
        flat = float(code.flat_roof(factor, ce, ct, importance, ground))
    slope = 0.0 if roof.arch else roof.slope
    sloped = float(code.sloped_roof(cs(slope, ct, slippery=s.slippery), flat))
    uniform = sloped
    if ground > 0 and roof.line < roof.run / tables.row("snow-flat", "rain-run").value:
        # where the code stops adding rain, the load with rain is kept: more snow never makes less load
        rain = _row("snow-flat", "rain-on-snow-7-22" if strength else "rain-on-snow", "rain on snow")
        uniform = max(sloped, sloped * min(ground, most) / ground + rain)
    low = tables.row("snow-flat", "minimum-slope-arch" if roof.arch else "minimum-slope").value
    if roof.line < low:
        uniform = max(uniform, float(code.minimum_low_slope(importance, ground, most)))
    parts = ground, flat, sloped, importance, ce
    light, heavy, words = _uneven_asce(s, roof, parts, strength=strength)
    wall = _at_the_wall(s, eave, roof, parts, notes, strength=strength)
    if wall > heavy:
        light, heavy, words = 0.0, wall, "snow off the building beside"
    if not strength:
        return CodeSnow(uniform, light, heavy, words, None)
    to_service = _row("snow-flat", "asd-7-22", "0.7S")
    service = [float(code.service_snow_of_strength(to_service, v)) for v in (uniform, light, heavy)]
    notes.append(tell(Note.SNOW_AT_STRENGTH))
    return CodeSnow(service[0], service[1], service[2], words, uniform)


def _ground_en(s: Snow) -> float:
    ground = float(s.ground_load or 0.0)
    working.given("sk", ground, "Pa", as_typed(s.ground_load, ""))
    if s.return_period is not None and s.variation is not None:
        euler, divisor = _row("snow-en-other", "gumbel-mean", "c"), _row("snow-en-other", "gumbel-50", "k50")
        ground = float(code.other_period(ground, float(s.return_period), s.variation, euler, divisor))
    if s.exceptional:
        ground = float(code.exceptional(_row("snow-en-other", "exceptional", "Cesl"), ground))
    return ground


def mu1(slope: float, *, held: bool) -> float:
    """Shape coefficient of a slope; ``held``: something keeps the snow from sliding."""
    t = tables.table("snow-en-mu")
    flat, start, end = t["mu1-0"], t["mu1-30"].at["slope"], t["mu1-60"].at["slope"]
    working.looked_up("μ0", flat)
    return flat.value if held else float(code.mu_1(flat.value, slope, start, end))


def _en(s: Snow, shelter: Shelter, roof: Roof, notes: list[Words]) -> CodeSnow:
    if s.exposure is None:
        notes.append(tell(Note.ROOF_EXPOSURE_UNSAID))
    if s.heated:
        notes.append(tell(Note.NO_HEATING_REDUCTION))
    ce = _row("snow-en-ce", s.exposure or "sheltered", "Ce")
    ct, ground = _row("snow-en-other", "thermal", "Ct"), _ground_en(s)
    if roof.arch:
        even = tables.row("snow-en-mu", "mu1-0").value
        peak = float(code.mu_3(_row("snow-en-other", "arch-base", "c0"), _row("snow-en-other", "arch-rate", "c1"),
                               roof.rise, roof.span, _row("snow-en-other", "arch-most", "cmax")))  # fmt: skip
        other = _row("snow-en-other", "arch-other-half", "c") * peak
        words = "curved roof: a peak on each half, one twice the other"
    else:
        even = peak = mu1(roof.slope, held=bool(s.pockets))
        two = roof.form in TWO_SLOPES
        other = _row("snow-en-other", "duopitch-uneven", "c") * peak if two else 0.0
        words = "half of the snow on one slope" if two else "snow on one half only"
        joined = shelter.joined
        if two and joined is not None and joined.how == "side-by-side":
            t = tables.table("snow-en-mu")
            most = t["mu2-30"]
            working.looked_up("μ2(30)", most)
            peak = float(code.mu_2(t["mu2-0"].value, most.value, roof.slope, most.at["slope"]))
            words = "snow of both roofs in the valley between joined shelters"
    if s.building is not None:
        keys = ("beside-least", "beside-most")
        low, high = (tables.row("snow-en-other", k).value for k in keys)
        drop = float(s.building.height) - float(shelter.eave) - roof.rise
        mu = float(
            code.mu_w(
                float(s.building.width),
                roof.span,
                drop,
                _row("snow-beside", "weight", "γ"),
                max(ground, 1.0),
                low,
                high,
            )
        )
        t = tables.table("snow-beside")
        if s.building.slope > t["slide-from"].value:
            reach = float(code.drift_length(drop, t["length-least"].value, t["length-most"].value))
            mu += float(
                code.mu_s(t["slide-share"].value, t["slide-upper"].value, float(s.building.width), reach)
            )
            notes.append(_whole_slope())
        if mu > peak:
            other, peak, words = 0.0, mu, "snow off the building beside"
    uniform, light, heavy = (float(code.roof_en(m, ce, ct, ground)) for m in (even, other, peak))
    return CodeSnow(uniform, light, heavy, words, None)


def code_snow(snow: Snow, shelter: Shelter, site: Site, notes: list[Words]) -> CodeSnow:
    """What the edition of the file asks for on this roof."""
    roof = roof_of(shelter)
    return (
        _en(snow, shelter, roof, notes)
        if snow.edition == "en1991-1-3"
        else _asce(snow, shelter.eave, site, roof, notes)
    )
