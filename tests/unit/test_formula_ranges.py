"""What the formulas take and what they refuse, from what things are and not from what the code declares.

A weight is not negative, a share lies in 0 to 1, a line stands between the ground and the vertical, a curve ends where its
source ends it. Refusing what is met in the field would stop a plan; taking what cannot be would make one of it.
"""

import numpy as np
import pytest

import anchorage.judging.plan  # noqa: F401 - every formula of a plan is registered by it
from anchorage.core.errors import OutOfRangeError
from anchorage.formulas.working import REGISTRY

NEVER_NEGATIVE = {
    "ballast_weight": "units mass", "limit": "demand", "summed": "friction weight", "sliding_limit": "resistance uplift push",
    "block_slide": "weight", "block_tip": "weight", "block_tip_back": "weight", "least_angle": "uplift push", "deadman_pull": "length trench",
    "clay_depth": "length arm", "clay_lateral": "strength", "clay_pullout": "strength adhesion", "sand_lateral": "length arm",
    "vertical_load": "light heavy", "slack_lean": "slack", "lateral_stiffness": "count", "amplifier": "ratio", "density": "vapour",
    "gust_of_mean": "speed", "gust_at_reference": "speed", "service_of_strength": "speed factor", "mean_at_reference": "speed",
    "exposure_coefficient": "height", "pressure_physics": "speed profile", "pressure_asce7": "speed", "hill_distance": "distance",
    "hill_height": "height", "at_exposure": "exposure", "arch_coefficient": "rise", "rain_in_pack": "rain share", "new_snow_of_water": "water",
    "probability_factor": "shape exponent", "roughness_factor": "height", "turbulence_intensity": "height", "basic_speed": "speed",
    "mean_speed": "speed", "peak_pressure": "speed intensity", "area_coefficient": "area", "layer_load": "density depth", "water_load": "water",
    "water_of_load": "load", "core_load": "mass", "depth_of_load": "load", "water_of_new_snow": "depth", "melt_rate": "transmittance difference",
    "pocket_slope": "sag", "pond_mass": "diameter depth", "pond_tension": "span", "gable_thrust": "light heavy", "gable_foot": "light heavy",
    "flat_roof": "ground", "flat_roof_22": "ground", "slope_factor": "slope start", "snow_weight": "ground", "drift_height": "run ground",
    "drift_height_22": "run ground winter", "mu_1": "slope", "mu_2": "slope", "mu_3": "rise",
}  # fmt: skip
EDGES = [  # formula, argument, taken, refused, why
    *[(f, "angle", (0.0, 90.0), (90.5, -0.5), "from lying to upright")
      for f in ("block_slide", "block_tip", "block_tip_back", "inclined_capacity")],
    *[(f, "slope", (90.0,), (90.5,), "a roof is no steeper than upright") for f in ("slope_factor", "mu_1", "mu_2")],
    *[(f, "angle", (0.0, 45.0), (-0.5, 45.5), "no soil or steel on soil rubs more") for f in ("passive_coefficient", "sand_pullout")],
    *[(f, a, (1.0,), (1.5,), "a share") for f, a in (("clay_pullout", "adhesion"), ("service_of_strength", "factor"),
                                                    ("rain_in_pack", "share"),
                                                    ("at_exposure", "exposure"), ("drift_height_22", "winter"))],
    *[(f, "length", (4.5,), (5.5,), "longer is a pile and no stake") for f in ("clay_depth", "sand_lateral")],
    *[(f, "width", (0.01,), (0.0, 1.5), "a stake has a width, and less than a metre") for f in ("clay_depth", "sand_lateral")],
    *[(f, "arm", (2.5,), (3.5,), "a line is fixed at the stake, not over one's head") for f in ("clay_depth", "sand_lateral")],
    *[(f, a, (1.0,), (2.0,), "no foot holds twice its weight") for f, a in (("summed", "friction"), ("block_slide", "friction"))],
    ("block_slide", "friction", (0.02,), (0.0, -0.5), "some friction, or nothing to divide by"),
    ("bar_moment", "diameter", (0.01,), (0.0, -0.5, 1.0), "a bar"),
    ("bearing_pressure", "area", (0.01, 0.5), (0.0, -0.5), "an area to stand on"),
    ("deadman_pull", "length", (9.5,), (10.5,), "what is buried by hand"),
    ("deadman_pull", "trench", (0.3048, 0.9), (1.5,), "one foot"),
    ("tension_of_uplift", "angle", (1.0, 90.0), (0.5, 90.5), "a flat line holds no uplift"),
    ("tension_of_push", "angle", (0.0, 89.0), (89.5, -0.5), "an upright line holds no push"),
    ("strap_tension", "angle", (0.0, 89.0), (89.5, -0.5), "an upright strap holds no sway"),
    *[(f, "angle", (1.0, 89.0), (0.5, 89.5), "a strap runs across its bay") for f in ("slack_lean", "lateral_stiffness")],
    *[(f, a, (1.0,), (0.5, 0.0), "at least one") for f, a in (("row_factor", "legs"), ("strap_tension", "count"), ("foot_uplift", "count"))],
    ("foot_uplift", "bay", (0.5,), (0.0, -0.5), "a bay has a width"),
    ("height_factor", "height", (0.5,), (0.0, -0.5), "legs have a height"),
    ("sway_ratio", "vertical", (0.5,), (0.0, -0.5), "a load"),
    ("unbalanced_push", "lean", (-45.0, 45.0), (-45.5, 45.5), "legs stand rather than lie"),
    ("saturation_pressure", "t", (-45.0, 60.0), (-45.5, 60.5), "the guide gives its constants for -45 to 60 degrees"),
    ("durst_ordinate", "duration", (1.0, 3600.0), (0.5, 3600.5), "the curve is drawn from 1 s to an hour"),
    ("gust_of_mean", "factor", (1.0, 2.5), (0.5, 3.5), "a gust is no less than its mean"),
    ("gust_at_reference", "height", (1.0, 10.0), (0.5, 10.5), "upward only, to 10 m, from over the grass"),
    ("mean_at_reference", "roughness", (0.03, 0.5), (0.0, 1.0), "a terrain with a 10 m wind of its own"),
    ("mean_at_reference", "clearance", (20.0,), (19.5,), "lower down single obstacles rule"),
    *[(f, "elevation", (-430.0, 5500.0), (-1000.0, 8900.0), "from the lowest land to the highest town")
      for f in ("standard_pressure", "elevation_factor")],
    ("density", "pressure", (50e3, 108e3), (20e3, 120e3), "from the highest town to a high over low land"),
    ("density", "temperature", (233.15, 323.15), (200.0, 350.0), "air that people live in"),
    ("arch_coefficient", "rise", (0.6,), (0.7,), "the figure ends at 0.6"),
    ("pressure_physics", "density", (0.6, 1.5), (0.0, 2.5), "air that people breathe"),
    ("pressure_physics", "profile", (5.5,), (6.5,), "a hill at its worst"),
    ("net_pressure", "internal", (-1.5, 1.5), (-2.0, 2.0), "wide open on one side at the most"),
    ("net_pressure", "external", (-4.0, 4.0), (-4.5, 4.5), "a corner at its worst"),
    ("peak_pressure", "density", (0.6, 1.5), (0.0, 2.5), "air that people breathe"),
    ("peak_pressure", "intensity", (1.5,), (2.5,), "of the order of the mean at the most"),
    *[("probability_factor", p, (0.02, 0.5), (0.0, -0.5, 1.0), "a chance in a year, not the likelier half") for p in ("probability", "reference")],
    ("probability_factor", "shape", (0.2, 1.0), (1.5,), "0.2 in the annex"),
    ("probability_factor", "exponent", (0.5, 1.5), (2.5,), "0.5 in the annex"),
    *[(f, "roughness", (0.003, 1.5), (0.0, -0.5, 2.5), "from the sea to a city")
      for f in ("terrain_factor", "roughness_factor", "turbulence_intensity")],
    *[(f, "ce", (0.7, 1.2), (0.0, 2.0), "as in the table of the code") for f in ("flat_roof", "flat_roof_22")],
    *[(f, "ct", (0.85, 1.3), (0.0, 2.0), "as in the table of the code") for f in ("flat_roof", "flat_roof_22")],
    ("flat_roof", "importance", (0.8, 1.2), (0.0, 2.0), "as in the table of the code"),
    ("drift_height_22", "weight", (1.5,), (0.5, 0.0), "snow weighs something"),
    ("mu_w", "drop", (0.5,), (0.0, -0.5), "the other roof is higher"),
    ("mu_w", "ground", (1.5,), (0.5, 0.0), "some snow"),
    ("other_period", "years", (5.0,), (4.5,), "the annex: not under five years"),
    ("other_period", "variation", (0.2, 0.6), (0.0, 1.0), "the annex: 0.2 to 0.6"),
    ("core_load", "area", (0.003, 0.5), (0.0, -0.5), "a tube has an area"),
    ("core_load", "area", (9.5,), (10.5,), "a core, not a field"),
    ("depth_of_load", "density", (1.5, 50.0), (0.5, 0.0), "snow weighs something"),
    ("implied_density", "depth", (0.01, 0.5), (0.0, -0.5), "some snow"),
    *[(f, "ratio", (1.0, 10.0), (0.5, 0.0), "snow is no denser than its water") for f in ("water_of_new_snow", "new_snow_of_water")],
    ("melt_rate", "transmittance", (6.0, 9.5), (10.5,), "a single skin at its worst"),
    ("time_to", "rate", (1e-6, 0.5), (0.0, -0.5), "it snows"),
    ("pocket_slope", "span", (0.5,), (0.0, -0.5), "a panel has a span"),
    ("gable_thrust", "rise", (0.5,), (0.0, -0.5), "a ridge over its feet"),
    *[(f, "density", (1000.0,), (1000.5,), "snow is no denser than water") for f in ("layer_load", "depth_of_load")],
    ("slope_factor", "start", (69.0,), (69.5,), "the line ends at 70 degrees"),
    ("layer_load", "depth", (15.0,), (25.0,), "no roof has that under it"),
    ("water_load", "water", (15.0,), (25.0,), "no roof has that on it"),
]  # fmt: skip
TABLE = [(f, a, (0.0, 0.4), (-0.4,)) for f, names in NEVER_NEGATIVE.items() for a in names.split()]
TABLE += [row[:4] for row in EDGES]


def inside(limits: tuple[float | None, float | None]) -> float:
    low, high = limits
    if low is None:
        return 1.0 if high is None else high
    return low + 1.0 if high is None else (low + high) / 2


@pytest.mark.parametrize(("name", "argument", "taken", "refused"), TABLE)
def test_what_is_met_is_taken_and_what_cannot_be_is_refused(name, argument, taken, refused) -> None:
    f = REGISTRY[name]
    others = {n: inside(f.valid.get(n, (None, None))) for n in f.arguments}

    def mask(value: float) -> None:
        f.mask(tuple({**others, argument: np.float64(value)}.values()))

    for value in taken:
        mask(value)
    for value in refused:
        with pytest.raises(OutOfRangeError) as e:
            mask(value)
        assert argument in str(e.value)


def test_no_argument_with_a_range_is_left_out() -> None:
    ranged = {
        (n, a)
        for n, f in REGISTRY.items()
        for a in f.valid
        if f.fn.__module__.split(".")[1] in ("loads", "holding")
    }
    assert ranged - {(f, a) for f, a, *_ in TABLE} == set()
