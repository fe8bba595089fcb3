"""The units that are read and shown: a closed list, with every spelling that people type."""

from __future__ import annotations

from typing import Final, TypeAlias

# kind: unit inside (for pint, and as written), shown in us, shown in si, example,
#       then for each unit: system, name for pint, step shown, spellings (the usual one first).
Spelling: TypeAlias = tuple[str, str, str, str]
SPELLINGS: Final[dict[str, tuple[str, str, str, str, str, tuple[Spelling, ...]]]] = {
    "length": ("meter", "m", "ft", "m", "24 ft or 9 ft 6 in", (
        ("us", "foot", "1/10", "ft|foot|feet|FT|'|’|′"),
        ("us", "inch", "1/10", 'in|inch|inches|IN|"|”|″'),
        ("us", "yard", "1/10", "yd|yard|yards"),
        ("us", "mile", "1/10", "mi|mile|miles"),
        ("si", "meter", "1/100", "m|meter|meters|metre|metres"),
        ("si", "centimeter", "1/10", "cm|centimeter|centimeters|centimetre|centimetres"),
        ("si", "millimeter", "1", "mm|millimeter|millimeters|millimetre|millimetres"),
        ("si", "kilometer", "1/100", "km|kilometer|kilometers|kilometre|kilometres"),
    )),
    "area": ("meter ** 2", "m2", "ft2", "m2", "432 ft2", (
        ("us", "foot ** 2", "1", "ft2|ft^2|ft²|sq ft|sqft"),
        ("us", "inch ** 2", "1", "in2|in^2|in²|sq in"),
        ("us", "yard ** 2", "1", "yd2|yd^2|yd²|sq yd"),
        ("si", "meter ** 2", "1/10", "m2|m^2|m²|sq m"),
        ("si", "centimeter ** 2", "1", "cm2|cm^2|cm²"),
    )),
    "volume": ("meter ** 3", "m3", "ft3", "m3", "55 US gal", (
        ("us", "foot ** 3", "1/10", "ft3|ft^3|ft³|cu ft"),
        ("us", "yard ** 3", "1/10", "yd3|yd^3|yd³|cu yd"),
        ("us", "gallon", "1", "US gal|gal|gallon|gallons|US gallon|US gallons"),
        ("si", "meter ** 3", "1/100", "m3|m^3|m³"),
        ("si", "liter", "1", "L|l|liter|liters|litre|litres"),
    )),
    "speed": ("meter / second", "m/s", "mph", "m/s", "45 mph", (
        ("us", "mile / hour", "1", "mph|MPH|mi/h"),
        ("", "nautical_mile / hour", "1", "kt|kts|knot|knots|KT|KTS"),
        ("si", "kilometer / hour", "1", "km/h|kph|kmh|KPH|KMH"),
        ("si", "meter / second", "1/2", "m/s"),
        ("us", "foot / second", "1", "ft/s|fps"),
    )),
    "force": ("newton", "N", "lbf", "kN", "620 lbf", (
        ("us", "pound_force", "1", "lbf|LBF"),
        ("us", "1000 * pound_force", "1/100", "kip|kips"),
        ("si", "newton", "1", "N|newton|newtons"),
        ("si", "kilonewton", "1/100", "kN"),
    )),
    "mass": ("kilogram", "kg", "lb", "kg", "310 lb", (
        ("us", "pound", "1", "lb|lbs|LB|LBS|pound|pounds"),
        ("si", "kilogram", "1", "kg|kgs|KG|kilogram|kilograms"),
        ("si", "gram", "1", "g|gram|grams"),
        ("si", "tonne", "1/100", "tonne|tonnes|t|metric ton|metric tons"),
        ("us", "short_ton", "1/100", "short ton|short tons"),
    )),
    "pressure": ("pascal", "Pa", "psf", "Pa", "20 psf", (
        ("us", "pound_force / foot ** 2", "1/10", "psf|PSF|lbf/ft2|lbf/ft^2|lbf/ft²"),
        ("us", "pound_force / inch ** 2", "1/100", "psi|PSI|lbf/in2|lbf/in^2|lbf/in²"),
        ("us", "inch_of_mercury", "1/100", "inHg"),
        ("si", "pascal", "1", "Pa|N/m2|N/m^2|N/m²"),
        ("si", "kilopascal", "1/100", "kPa|kN/m2|kN/m^2|kN/m²"),
        ("si", "hectopascal", "1", "hPa|mbar"),
    )),
    "temperature": ("kelvin", "K", "degF", "degC", "40 degF", (
        ("us", "degree_Fahrenheit", "1", "degF|°F|F|deg F"),
        ("si", "degree_Celsius", "1", "degC|°C|C|deg C"),
        ("si", "kelvin", "1/100", "K|kelvin"),
    )),
    "density": ("kilogram / meter ** 3", "kg/m3", "lb/ft3", "kg/m3", "100 lb/ft3", (
        ("us", "pound / foot ** 3", "1/10", "lb/ft3|lb/ft^3|lb/ft³|pcf"),
        ("si", "kilogram / meter ** 3", "1", "kg/m3|kg/m^3|kg/m³"),
        ("si", "gram / centimeter ** 3", "1/100", "g/cm3|g/cm^3|g/cm³"),
    )),
    "unit_weight": ("newton / meter ** 3", "N/m3", "lbf/ft3", "kN/m3", "110 lbf/ft3", (
        ("us", "pound_force / foot ** 3", "1", "lbf/ft3|lbf/ft^3|lbf/ft³|pcf"),
        ("si", "newton / meter ** 3", "1", "N/m3|N/m^3|N/m³"),
        ("si", "kilonewton / meter ** 3", "1/10", "kN/m3|kN/m^3|kN/m³"),
    )),
    "angle": ("degree", "deg", "deg", "deg", "45 deg", (
        ("", "degree", "1", "deg|degree|degrees|°"),
        ("", "radian", "1/100", "rad|radian|radians"),
    )),
    "time": ("second", "s", "min", "min", "15 min", (
        ("", "second", "1", "s|sec|secs|second|seconds"),
        ("", "minute", "1", "min|mins|minute|minutes"),
        ("", "hour", "1/10", "h|hr|hrs|hour|hours"),
        ("", "day", "1/10", "d|day|days"),
    )),
    "moment": ("newton * meter", "N·m", "lbf·ft", "kN·m", "500 lbf·ft", (
        ("us", "pound_force * foot", "1", "lbf·ft"),
        ("si", "kilonewton * meter", "1/100", "kN·m"),
        ("si", "newton * meter", "1", "N·m"),
    )),
}  # fmt: skip
