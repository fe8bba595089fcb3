"""Danger put into any forecast at any place makes no hour better and no deadline later; taking a layer or a row out does neither."""

import copy
import json

from forecast_kit import CSV, NBH, PERIODS, TAF, gridpoint, hazard, hourly, layer, weather
from hypothesis import assume, example, given
from hypothesis import strategies as st
from outlook_kit import SHARES, at

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.errors import InputFaults
from anchorage.core.words import USES
from anchorage.deployment.models import Times
from anchorage.outlook.clock import HOUR
from anchorage.outlook.deadlines import deadlines
from anchorage.outlook.hours import hours_of
from anchorage.outlook.judge import judge
from anchorage.outlook.limits import Limits
from anchorage.outlook.reader import read_text, together
from anchorage.outlook.rule import VERDICTS

NOW = at("2026-03-10T18:00:00Z")
END = NOW + 12 * HOUR
LIMITS = Limits(gust=17.9, by=Check(What.SLIDE), roof_snow=500.0)
"""40 mph."""
TIMES = Times(notify="5 min", people_out="10 min", strike="40 min")
WET = {
    "temperature": layer(-3.0, "wmoUnit:degC"),
    "quantitativePrecipitation": layer(4.0, "wmoUnit:mm"),
    "weather": weather("snow", "likely", "light"),
}
JSONS = [
    gridpoint(),
    gridpoint(**WET),
    gridpoint(windGust=layer(45.0, "wmoUnit:km_h-1")),
    hourly(),
    hourly(wind_gusts_10m=45),
    PERIODS,
]
BAD = [
    gridpoint(hazards=hazard("HU", "W")), gridpoint(probabilityOfThunder=layer(60, None, "2026-03-10T22:00:00+00:00/PT2H")),
    gridpoint(weather=weather("thunderstorms")), gridpoint(windSpeed=layer(60.0, "wmoUnit:km_h-1")),
    gridpoint(quantitativePrecipitation=layer(90.0, "wmoUnit:mm"), temperature=layer(-3.0, "wmoUnit:degC")),
    gridpoint(snowfallAmount=layer(900.0, "wmoUnit:mm"), temperature=layer(-3.0, "wmoUnit:degC")),
    gridpoint(iceAccumulation=layer(30.0, "wmoUnit:mm"), temperature=layer(-3.0, "wmoUnit:degC")),
]  # fmt: skip
"""One danger in one layer."""
CODED = [
    TAF,
    TAF + " FM102000 25015G25KT 9999 TEMPO 1022/1024 3000 -RA BECMG 1102/1104 30008KT",
    TAF + " PROB30 1020/1023 TSRA",
]
ROWS = [
    NBH,
    CSV,
    CSV.replace(",15,", ",33,"),
    NBH.replace("T01   0  0", "T01   0 60"),
    CSV.replace("21:00:00Z,15,no", "21:00:00Z,45,yes"),
]
DANGERS = [
    "TSRA",
    "+SN",
    "FZRA",
    "SQ",
    "TS",
    "VCTS",
    "SHGR",
    "T5RA",
    "####",
    "24040G60KT",
    "TEMP0 1021/1023",
    "TEMPO 1021/1023 TSRA",
    "+FC",
    "SEVERE",
    "WS",
    "NSW2",
]
WORDS = sorted(
    k for k, c in tables.codes("weather-words").items() if c.danger and not set(c.danger) <= {"rain", "cold"}
)
ALERTS = [f"{p}.{s}" for p, c in tables.codes("vtec-phenomenon").items() if c.danger for s in "WYASOF"] + [
    "QQ.W",
    "HW.Q",
    "..",
    "hw.w",
]


def judged(*texts):
    """Hours and deadlines of texts together; None where they are refused."""
    try:
        found = together(
            [
                (f"f{i}", lambda t=t, i=i: read_text(t, NOW, f"f{i}", issued=NOW), t.encode())
                for i, t in enumerate(texts)
            ],
            NOW,
        )
    except InputFaults:
        return None
    hours = judge(hours_of(found, NOW, END), LIMITS, SHARES, NOW, END)
    return hours, deadlines(hours, TIMES, NOW)


def never_better(before, after, *, short=False):
    """No verdict of any hour nearer to go, no deadline later. short: a gap of one hour has no deadline but its neighbours'."""
    if after is None:
        return
    (a, da), (b, db) = before, after
    for x, y in zip(a, b, strict=False):
        for use in USES:
            assert VERDICTS.index(y.uses[use]) >= VERDICTS.index(x.uses[use]) or (
                x.uses[use],
                y.uses[use],
            ) == ("no-go", "unknown"), (x.hour.start, use)
            assert y.uses[use] != "go" or x.uses[use] == "go"
    for x, y in () if short else zip(da, db, strict=True):
        if x.exact is not None:
            assert y.exact is not None
            assert y.exact <= x.exact


@given(st.sampled_from(CODED), st.sampled_from(DANGERS), st.integers(0, 40))
@example(CODED[1], "TEMP0 1021/1023", 9)
def test_a_group_put_into_a_taf(text, danger, place):
    words = text.split()
    i = 4 + place % (len(words) - 3)
    never_better(judged(text), judged(" ".join([*words[:i], danger, *words[i:]])))


@given(st.sampled_from(JSONS[:3]), st.sampled_from(ALERTS), st.integers(0, 10), st.integers(1, 6))
def test_an_alert_put_into_a_gridpoint(data, code, start, length):
    p, _, s = code.partition(".")
    bad = copy.deepcopy(data)
    hour = 18 + start
    when = f"2026-03-{10 + hour // 24}T{hour % 24:02d}:00:00+00:00/PT{length}H"
    bad["properties"]["hazards"]["values"].append(
        {"validTime": when, "value": [{"phenomenon": p, "significance": s}]}
    )
    never_better(judged(json.dumps(data)), judged(json.dumps(bad)))


@given(st.sampled_from(JSONS[:3]), st.sampled_from(["thunderstorms", "freezing_rain", "sleet", "hail", "snow", "blizzards", "volcanic_ash", "Snow", None]),
       st.sampled_from(["definite", "slight_chance", "?"]), st.integers(0, 10))  # fmt: skip
def test_weather_put_into_a_gridpoint(data, kind, coverage, start):
    bad, hour = copy.deepcopy(data), 18 + start
    one = {"coverage": coverage, "weather": kind, "intensity": "heavy", "attributes": []}
    bad["properties"]["weather"]["values"].append(
        {"validTime": f"2026-03-{10 + hour // 24}T{hour % 24:02d}:00:00+00:00/PT2H", "value": [one]}
    )
    never_better(judged(json.dumps(data)), judged(json.dumps(bad)))


@given(st.sampled_from(JSONS[3:5]), st.integers(0, 99), st.integers(0, 14))
def test_a_code_put_into_open_hourly(data, code, place):
    bad = copy.deepcopy(data)
    bad["hourly"]["weather_code"][place] = code
    never_better(judged(json.dumps(data)), judged(json.dumps(bad)))


@given(st.sampled_from(WORDS))
def test_a_word_put_into_a_day_or_a_note(word):
    bad = json.dumps(PERIODS).replace("Sunny, with", f"Sunny, {word}, with")
    before, after = judged(json.dumps(PERIODS)), judged(bad)
    never_better(before, after)
    assert "go" not in (after[0][0].uses["people-in"], after[0][0].uses["set-up"])
    note = "time,end,gust (mph),note\n2026-03-10T18:00:00Z,2026-03-11T07:00:00Z,15,{}\n"
    assert judged(note.format("fine"))[0][0].uses["people-in"] == "go"
    assert judged(note.format(word))[0][0].uses["people-in"] != "go"


@given(
    st.sampled_from([*map(json.dumps, JSONS), *CODED, *ROWS]),
    st.sampled_from(
        [TAF + " +SN", "nothing that can be read", json.dumps(gridpoint(weather="gone")), CODED[2]]
    ),
)
def test_a_source_put_beside_another(text, other):
    never_better(judged(text), judged(text, other))


@given(st.sampled_from([*JSONS[:3], *BAD]), st.data())
def test_a_layer_taken_out_of_a_gridpoint(data, draw):
    bad, key = copy.deepcopy(data), draw.draw(st.sampled_from(sorted(data["properties"])))
    del bad["properties"][key]
    never_better(judged(json.dumps(data)), judged(json.dumps(bad)))


@given(st.sampled_from([*JSONS[:3], *BAD]), st.data())
def test_a_value_taken_out_of_a_layer(data, draw):
    layers = sorted(k for k, v in data["properties"].items() if isinstance(v, dict) and v.get("values"))
    bad, key = copy.deepcopy(data), draw.draw(st.sampled_from(layers))
    assume(
        key != "probabilityOfThunder"
    )  # an office may leave it empty: the layer weather says thunder in words
    if key != "hazards" and draw.draw(
        st.booleans()
    ):  # a list without one of its warnings is a list of others
        bad["properties"][key]["values"].pop()
    else:
        bad["properties"][key]["values"][-1]["value"] = None
    never_better(judged(json.dumps(data)), judged(json.dumps(bad)))


@given(st.sampled_from(ROWS), st.integers(0, 30))
def test_a_row_taken_out(text, place):
    lines = text.splitlines(keepends=True)
    i = 1 + place % (len(lines) - 1)
    never_better(judged(text), judged("".join([*lines[:i], *lines[i + 1 :]])), short=text.startswith("time"))
