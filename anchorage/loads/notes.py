"""What this room tells people, a closed list: each by its code, with its English."""

from anchorage.core.say import mark
from anchorage.core.told import Telling


class Note(Telling):
    """What is told of loads."""

    SNOW_KIND_UNSAID = mark("Kind of snow not given: taken as wet, {density} kg/m3.")
    RAIN_DRAINS = mark(
        "Rain on the snow: the roof drains, {share} of the snow's water is counted as held; fresh snow holds more."
    )
    RAIN_STAYS = mark(
        "Rain on the snow: all of it is counted as held, the roof is under 10° somewhere or has a pocket."
    )
    DRIFT_NOT_IN = mark(
        "Something stands beside: snow that drifts or slides off it comes on top and is not in the load."
    )
    CODE_SNOW_FOR_WINTERS = mark(
        "Snow by code is for a shelter left up for a winter; for days, go by what lies and by the forecast."
    )
    ROOF_EXPOSURE_UNSAID = mark(
        "Snow by code: how open the roof lies to the wind is not given, taken as sheltered, the most snow."
    )
    SNOW_SURROUNDINGS_UNSAID = mark(
        "Snow by code: surroundings not given, taken as town or woods, the most snow."
    )
    HEATED_NOT_IN = mark("ASCE 7-22 has a table for heated roofs that is not in here: counted as unheated.")
    BUILDING_ONE_SLOPE = mark(
        "The whole width of the building beside counts as one slope towards the shelter."
    )
    RISK_CATEGORY_UNSAID = mark(
        "Snow by code: risk category not given, taken as IV (hospitals, command posts), the most snow."
    )
    SNOW_AT_STRENGTH = mark(
        "ASCE 7-22 snow is strength level; it is held against the maker's rating as 0.7 S, its service level."
    )
    NO_HEATING_REDUCTION = mark("EN 1991-1-3: no reduction for heating is counted, its rule is not in here.")
    SURROUNDINGS_UNSAID = mark(
        "Surroundings not given: taken as open water's edge or flat open ground (exposure D), the windiest."
    )
    CATEGORY_OF_EXPOSURE = mark(
        "Terrain category not given: exposure {letter} is taken for category {letter_2}, the most open that it can be."
    )
    HILL_TOO_LOW = mark(
        "The {feature} is too low or too flat, or too far off, to speed the wind up by the rule (Kzt = 1)."
    )
    HILL_SPEEDS_UP = mark(
        "The {feature} speeds the wind up: q x {factor} at the height of the roof, taken for wind from every side."
    )
    ELEVATION_UNSAID = mark("Elevation not given: taken as sea level, where air is heaviest.")
    THIN_AIR = mark("No more is taken off for thin air than at {most}.")
    WARM_AIR = mark("Air over {most} counts as that: a gust out of a cloud is cooler than the day.")
    AIR_TEMPERATURE_UNSAID = mark(
        "Air temperature not given: taken as {temperature} ({temperature_2}), cold air is heavier."
    )
    MEAN_TURNED_UP = mark(
        "The wind number is a {averaging} mean: turned into a 3 s gust with factor {chosen} (Durst {durst}, WMO in-land {wmo})."
    )
    AVERAGING_UNSAID = mark(
        "Not said whether the wind number is a gust: taken as an hourly mean, and so turned into a higher gust."
    )
    BEAUFORT_MEAN = mark("Beaufort {beaufort} is a mean: taken at the upper end of the force, {value} m/s.")
    HEIGHT_UNSAID = mark(
        "Height of the wind number not given: taken as 33 ft (10 m). One read lower down stands for more."
    )
    RAISED_BY_LOG_LAW = mark(
        "The mean wind was read {height} m above the ground: brought up to 10 m by the log law."
    )
    RAISED_BY_POWER_LAW = mark(
        "The wind was read {height} m above the ground: brought up to 10 m by the power law (1/{exponent})"
    )
    AS_OVER_A_TOWN = mark(", as over a town, where that adds most.")
    ROUGHNESS_UNSAID = mark(
        "Not said whether trees and houses of the site are in the forecast: the worse of both is used."
    )
    NO_HILL = mark("Topography factor Kzt = 1: no hill, ridge or bluff near.")
    ON_THE_HILL = mark(
        "On the hill the shelter feels {over_hill} times the gust shown: a maker's rating is reached that much earlier."
    )
    READ_ON_THE_HILL = mark(
        "Read at the shelter, where the hill has sped the wind up already: not counted twice. The gust shown is what a forecast for level ground would say, {gust} ({gust_2})."
    )
    SPEED_AT_STRENGTH = mark("The speed given is strength level; gusts shown are service level, V·√0.6.")
    RETURN_PERIOD = mark(
        "Taken as the 50-year basic wind speed, brought to {return_period} years: V x {chance}."
    )
    GUST_STANDS_FOR_MEAN = mark(
        "EN 1991-1-4: the gust shown stands for the 10 min mean; the pressure is qp at the height of the ridge. Orography factor 1: not for a hilltop, ridge or bluff edge."
    )
    GROUND_BY_BEARING = mark("Ground by bearing: ")
    EACH_CASE_WINDIEST = mark("; each load case over the windiest within 45°.")
