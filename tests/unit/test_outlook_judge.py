"""Hours, levels, verdicts, waits, deadlines, windows, snow, chance: from forecasts made here."""

import copy
from dataclasses import replace
from datetime import UTC

import pytest
from outlook_kit import LIMITS, SHARES, at, forecast, judged, levels, verdicts

from anchorage.core import tables
from anchorage.core.checked import Check, What
from anchorage.core.errors import InputFaults
from anchorage.core.told import put
from anchorage.deployment.models import Times
from anchorage.outlook import chance, snowfall
from anchorage.outlook.clock import iso, read_duration, read_iso, read_moment, read_said, show, zone_of
from anchorage.outlook.deadlines import deadlines, longest_go, stay, windows
from anchorage.outlook.hours import Hazard, Hour, Span, age_limits, gust_of_mean_factor, hours_of, stale
from anchorage.outlook.judge import all_clear, worst
from anchorage.outlook.limits import Barrier, Limits

T0 = at("2026-03-10T18")
H = 3600
TIMES = Times.model_validate({"notify": "5 min", "people_out": "10 min", "strike": "40 min"})


def span(a: float, b: float, value: float | None = 1.0, **more) -> Span:
    return Span(int(T0 + a * H), int(T0 + b * H), value, **more)


# levels and verdicts


def test_levels_begin_at_60_80_and_100_per_cent_of_the_limiting_gust():
    found = judged(forecast(11.99, 12.0, 15.99, 16.0, 19.99, 20.0))
    assert levels(found) == ["normal", "secure", "secure", "people-out", "people-out", "keep-away"]
    assert verdicts(found, "set-up") == ["go"] + ["no-go"] * 5
    assert verdicts(found, "people-in") == ["go"] * 3 + ["no-go"] * 3
    assert verdicts(found, "empty") == ["go"] * 5 + ["no-go"]


def test_unknown_is_never_go():
    for f in (
        forecast(None),
        forecast(),
        forecast(5.0, issued=None),
        forecast(5.0, issued=T0 - 13 * H),
        forecast(5.0, ends=T0),
        forecast(5.0, issued=T0 + H),
    ):
        found = judged(f)
        assert levels(found) == ["unknown"]
        assert {v for j in found for v in j.uses.values()} == {"unknown"}
        assert found[0].why


def test_a_stale_forecast_still_raises_a_level():
    assert levels(judged(forecast(17.0, issued=T0 - 20 * H))) == ["people-out"]
    assert age_limits() == (6 * H, 12 * H)
    assert stale(forecast(1.0, issued=T0 - 12 * H), T0) == ""


def test_part_of_an_hour_without_a_gust_makes_it_unknown():
    f = forecast()
    assert levels(judged(replace(f, gusts=(span(0, 0.9, 5.0),)))) == ["unknown"]
    assert levels(judged(replace(f, gusts=(span(0, 0.4, 5.0), span(0.5, 1, 5.0))))) == ["unknown"]
    f = replace(forecast(0.0), gusts=(span(0, 0.5, 5.0), span(0.5, 1, 5.0)))
    assert levels(judged(f)) == ["normal"]
    assert levels(judged(replace(f, gusts=(span(0.5, 1, 5.0),)), now="2026-03-10T18:30:00Z")) == ["normal"]


def test_what_has_passed_within_the_hour_is_dropped():
    f = replace(forecast(0.0), gusts=(span(0, 0.4, 30.0), span(0.4, 1, 5.0)))
    assert levels(judged(f)) == ["keep-away"]
    assert levels(judged(f, now="2026-03-10T18:30:00Z")) == ["normal"]


def test_thunder_overrides_whatever_the_anchors_take():
    found = judged(replace(forecast(1.0, 1.0), thunder=(span(0, 1),)), limits=replace(LIMITS, gust=90.0))
    assert levels(found) == ["people-out", "normal"]
    assert found[0].governed_by == "thunder"
    assert found[0].uses == {"working": "no-go", "people-in": "no-go", "empty": "unknown", "set-up": "no-go"}
    assert verdicts(found) == ["no-go", "no-go"]  # 30 min, and an inspection
    assert found[1].governed_by == "all-clear"


def test_after_people_out_nobody_returns_before_the_next_lower_level_and_thirty_minutes():
    found = judged(forecast(17.0, 13.0, 11.0, 13.0))
    assert verdicts(found) == ["no-go", "no-go", "no-go", "go"]
    assert iso(all_clear(found)) == "2026-03-10T20:30:00Z"
    assert all_clear(judged(forecast(11.0))) is None


def test_a_missing_rating_and_other_reasons_leave_no_go():
    found = judged(forecast(5.0, 17.0), limits=replace(LIMITS, rating_missing=True))
    assert verdicts(found) == ["unknown", "no-go"]
    found = judged(
        forecast(5.0), limits=replace(LIMITS, blocks=(Barrier("stock-short", put(str, "12 short"), "no-go"),))
    )
    assert verdicts(found) == ["no-go"]
    assert worst("go", "unknown", "no-go") == "no-go"


def test_the_lowest_limit_within_thirty_degrees_of_the_wind_counts():
    limits = Limits(
        gust=20.0,
        by=Check(What.SLIDE),
        by_bearing=tuple((b * 22.5, 40.0 if b != 4 else 20.0) for b in range(16)),
    )
    assert limits.at(None) == 20.0
    assert limits.at(270.0) == 40.0
    assert limits.at(61.0) == 20.0  # 29 degrees from 90
    assert limits.at(59.0) == 40.0
    f = replace(
        forecast(18.0, 18.0, 18.0),
        bearings=(Span(T0, T0 + H, 270.0, 270.0), Span(T0 + H, T0 + 2 * H, 90.0, 90.0)),
    )
    assert levels(judged(f, limits=limits)) == [
        "normal",
        "people-out",
        "people-out",
    ]  # no direction: the overall limit


def test_a_wind_shift_of_45_degrees_is_flagged_from_ten_knots():
    f = replace(
        forecast(10.0, 10.0, 4.0),
        bearings=(Span(T0, T0 + H, 314.0, 314.0), Span(T0 + H, T0 + 3 * H, 315.0, 315.0)),
    )
    assert [j.shift for j in judged(f, limits=replace(LIMITS, set_up_wind=270.0))] == [False, True, False]


def test_hours_beyond_72_h_are_an_outlook_only():
    found = judged(forecast(*[5.0] * 74))
    assert [j.hour.outlook_only for j in found] == [False] * 72 + [True] * 2


def test_several_forecasts_the_worse_counts_and_one_fills_what_another_leaves_open():
    a, b = forecast(5.0, None, 17.0), forecast(13.0, 5.0, 5.0)
    assert levels(judged([a, b])) == levels(judged([b, a])) == ["secure", "normal", "people-out"]


def test_a_hazard_holds_its_level():
    f = replace(
        forecast(1.0, 1.0),
        hazards=(Hazard(T0, T0 + H, "keep-away", "P99KT"), Hazard(T0, T0 + H, "secure", "x")),
    )
    assert levels(judged(f))[0] == "keep-away"


def test_means_never_lower_a_gust_and_are_converted_up_where_there_is_none():
    factor = gust_of_mean_factor()
    assert factor == pytest.approx(1.66, abs=0.01)
    below = replace(forecast(5.0), means=(span(0, 1, 13.0),))  # no gust is below its mean: it does not count
    assert judged(below)[0].wind.gust == pytest.approx(13.0 * factor)
    assert verdicts(judged(replace(below, means=(span(0, 1, 5.1),)))) == ["unknown"]
    assert judged(replace(forecast(13.0), means=(span(0, 1, 13.0),)))[0].wind.gust == 13.0
    without = replace(forecast(), means=(span(0, 1, 8.0),))
    assert judged(without)[0].wind.gust == pytest.approx(8.0 * factor)
    assert levels(judged(without)) == ["unknown"]
    assert judged(without)[0].known == "secure"


# snow


def snowy(**more) -> Hour:
    return replace(Hour(T0, T0 + H, complete=True, temperature=-1.0), **more)


def load(*hours: Hour, stays: bool = False, pockets: bool = False, lying: float = 0.0) -> float:
    return snowfall.accumulate(hours, snowfall.Roof(lying, stays=stays, pockets=pockets))[-1].pascal


def test_snow_sticks_up_to_two_degrees_and_rain_is_held_by_snow_or_pockets():
    g = 9.80665
    assert load(snowy(water=10.0, temperature=2.0)) == pytest.approx(10 * g)
    assert load(snowy(water=10.0, temperature=2.1)) == 0.0
    assert load(snowy(water=10.0, temperature=2.1), pockets=True) == pytest.approx(10 * g)
    assert load(snowy(water=10.0, temperature=2.1), stays=True, lying=10 * g) == pytest.approx(20 * g)
    assert load(snowy(water=10.0, temperature=2.1), lying=10 * g) == pytest.approx(
        10.5 * g
    )  # 5 % of the pack
    assert load(snowy(water=10.0, temperature=None)) == pytest.approx(10 * g)
    assert load(snowy(rain=10.0, temperature=1.0)) == 0.0
    assert load(snowy(rain=10.0)) == pytest.approx(10 * g)  # rain where it freezes is ice; it was 0 Pa
    assert load(snowy(rain=10.0, temperature=1.0), pockets=True) == pytest.approx(10 * g)
    assert load(snowy(snow=0.1)) == pytest.approx(0.1 * 100 * g)
    assert load(snowy(snow=0.1, temperature=5.0)) == pytest.approx(0.1 * 200 * g)
    assert load(snowy(snow=0.1, water=20.0)) == pytest.approx(20 * g)
    assert load(snowy(snow=0.1, temperature=None)) == pytest.approx(0.1 * 640 * g)
    assert load(snowy(snow=0.1, snow_kind="wet")) == pytest.approx(0.1 * 400 * g)
    assert load(snowy(ice=3.0), lying=50.0) == pytest.approx(50 + 3 * g)
    assert load(snowy(water=1.0), snowy(ice=2.0), snowy(snow=0.1)) == pytest.approx(13 * g)


def test_a_rule_in_depth_empties_the_shelter():
    f = replace(forecast(1.0, 1.0), snow=(span(0, 2, 0.08),), temperature=(span(0, 2, -3.0),))
    assert levels(judged(f, limits=replace(LIMITS, roof_depth=0.08))) == ["normal", "people-out"]
    unrated = replace(LIMITS, roof_snow=90.0, snow_unrated=True)
    assert levels(judged(f, limits=unrated)) == ["unknown", "people-out"]


def test_snow_adds_up_never_melts_and_has_the_same_levels():
    f = replace(forecast(1.0, 1.0, 1.0, 1.0), water=(span(0, 4, 60.0),), temperature=(span(0, 4, -3.0),))
    found = judged(f)  # 147 Pa an hour of 500
    assert levels(found) == ["normal", "normal", "people-out", "keep-away"]
    assert found[3].governed_by == "roof snow"
    warm = replace(f, temperature=(span(0, 2, -3.0), span(2, 4, 10.0)))
    assert [round(j.load.pascal) for j in judged(warm)] == [
        147,
        294,
        309,
        309,
    ]  # of the rain the pack holds 5 %


def test_snow_without_a_rating_or_an_amount_is_unknown():
    f = replace(forecast(1.0), water=(span(0, 1, 1.0),), temperature=(span(0, 1, -3.0),))
    assert levels(judged(f, limits=replace(LIMITS, roof_snow=None))) == ["unknown"]
    assert levels(judged(forecast(1.0), limits=replace(LIMITS, roof_snow=None))) == ["normal"]
    assert levels(judged(replace(forecast(1.0), unmeasured=(span(0, 1),)))) == ["unknown"]
    assert levels(judged(replace(forecast(1.0), snow=(span(0, 1, None),)))) == ["unknown"]


def test_snow_without_an_amount_lies_on_until_somebody_says_how_much():
    taf = replace(forecast(1.0, 1.0, 1.0), unmeasured=(span(0, 1),))
    assert levels(judged(taf)) == ["unknown"] * 3
    amounts = replace(forecast(1.0), water=(span(0, 1, 2.0),), temperature=(span(0, 1, -3.0),))
    assert levels(judged([taf, amounts])) == ["normal"] * 3


def test_overlapping_totals_take_the_larger_at_each_moment():
    f = replace(forecast(1.0, 1.0, 1.0), water=(span(0, 2, 2.0), span(1, 3, 6.0)))
    assert [j.hour.water for j in judged(f)] == [1.0, 3.0, 3.0]


# deadlines


def test_deadlines_are_counted_back_from_the_first_hour_at_a_level_and_rounded_back():
    f = forecast(5.0, 5.0, 5.0, 13.0, 17.0)  # secure at 21:00, people out at 22:00
    secure, out, strike = deadlines(judged(f), TIMES, T0)
    assert iso(secure.at) == "2026-03-10T20:40:00Z"  # 21:00 - 5 - 15
    assert iso(out.at) == "2026-03-10T21:30:00Z"  # 22:00 - 5 - 10 - 15
    assert iso(strike.at) == "2026-03-10T19:50:00Z"  # 21:00 - 5 - 10 - 40 - 15
    assert strike.note.done_by == "2026-03-10T20:45:00Z"
    odd = TIMES.model_copy(update={"notify": 61.0})
    assert iso(deadlines(judged(f), odd, T0)[0].at) == "2026-03-10T20:40:00Z"  # 20:43:59 back to 20:40


def test_striking_ends_before_the_half_built_limit_is_reached():
    f = forecast(5.0, 5.0, 9.0, 13.0)
    half = replace(LIMITS, half_built=8.0)
    assert iso(deadlines(judged(f, limits=half), TIMES, T0)[2].at) == "2026-03-10T18:50:00Z"  # 20:00 - 70 min
    assert verdicts(judged(f, limits=half), "set-up") == ["go", "go", "no-go", "no-go"]


def test_thunder_sets_the_deadlines_too():
    f = replace(forecast(1.0, 1.0, 1.0), thunder=(span(2, 3),))
    assert iso(deadlines(judged(f), TIMES, T0)[1].at) == "2026-03-10T19:30:00Z"


def test_a_missing_time_is_asked_for_and_no_deadline_is_made_up():
    f = forecast(5.0, 17.0)
    secure, out, strike = deadlines(judged(f), Times(), T0)
    assert (secure.at, out.at, strike.at) == (None, None, None)
    assert strike.note.missing == ["notify", "people_out", "strike"]
    calm = deadlines(judged(forecast(5.0)), Times(), T0)
    assert all(d.at is None and not d.note.missing for d in calm)


def test_too_late_is_said():
    strike = deadlines(judged(forecast(5.0, 13.0)), TIMES, T0)[2]
    assert strike.note.past  # 19:00 - 70 min is before 18:00
    assert not deadlines(judged(forecast(5.0, 5.0, 13.0)), TIMES, T0)[2].note.past


# windows


def test_the_longest_go_and_the_first_fit():
    found = judged(forecast(5.0, 17.0, 5.0, 5.0, 5.0, 13.0, 13.0))
    longest = longest_go(found, "people-in", T0)
    assert (longest.start[11:13], longest.end[11:13]) == ("21", "01")  # after the wait, secure hours included
    times = Times.model_validate({"setup": "1 h", "strike": "1 h"})
    calm = judged(forecast(13.0, 5.0, 5.0, 5.0, 13.0))
    fit = windows(calm, "people-in", times, H, T0).earliest_fit
    assert (fit.start[11:13], fit.end[11:13]) == ("19", "22")
    assert windows(calm, "people-in", times, 2 * H, T0).earliest_fit is None
    assert windows(calm, "people-in", Times(), None, T0).missing == [
        "setup",
        "strike",
        "start and end",
    ]


def test_the_stay_left_out_is_the_next_twelve_hours():
    assert stay(None, None, T0) == (T0, T0 + 12 * H, False)
    assert stay(T0 - H, T0 + H, T0) == (T0, T0 + H, True)


# chance


def test_chance_of_an_hour_and_of_a_window():
    assert chance.over(20.0, 16.0, 4.0) == pytest.approx(0.15866, abs=1e-5)
    assert chance.over(20.0, 25.0, 0.0) == 1.0
    assert chance.over(0.0, 5.0, 1.0) == 1.0
    low, high = chance.window([0.1, 0.2])
    assert (low, high) == (0.2, pytest.approx(0.28))
    assert (
        chance.between(1 / 12, 1 / 3, "Tue 18:00")
        == "between 1 in 12 and 1 in 3 that the limit is passed before Tue 18:00"
    )
    assert chance.between(0.001, 0.002, "x").startswith("less than 1 in 100 that")


# the clock


def test_times_as_they_are_said():
    zone = zone_of("America/Chicago")
    for text, found in {
        "18:00": "2026-03-10T23:00:00Z", "6 pm": "2026-03-10T23:00:00Z", "1800": "2026-03-10T23:00:00Z", "noon": "2026-03-11T17:00:00Z",
        "Thu 06:00": "2026-03-12T11:00:00Z", "tomorrow 06:00": "2026-03-11T11:00:00Z", "2026-03-15 06:00": "2026-03-15T11:00:00Z",
        "20:00Z": "2026-03-10T20:00:00Z", "24:00": "2026-03-11T05:00:00Z", "2026-03-10T18:00:00-05:00": "2026-03-10T23:00:00Z",
    }.items():  # fmt: skip
        assert iso(read_said(text, zone, T0, "f", "k")) == found, text
    assert iso(read_said("12:40", zone, T0, "f", "k", past=True)) == "2026-03-10T17:40:00Z"


def test_a_zone_as_it_is_said_is_one_wherever_a_zone_is():
    said = copy.copy(zone_of("CST"))
    assert show(T0, said) == show(T0, zone_of("Central")) == show(T0, zone_of("America/Chicago"))
    assert str(said) == "America/Chicago"
    assert [
        iso(read_moment("13:00", said, T0 + 1, "f", "k", fixed=fixed).last) for fixed in (False, True)
    ] == ["2026-03-10T18:00:00Z", "2026-03-09T19:00:00Z"]
    every = tables.codes("zones-said").values()
    assert all(zone_of(c.key) is not None for c in every)


def test_where_the_clocks_change_the_safe_time_counts_or_it_is_refused():
    zone = zone_of("America/Chicago")
    night = at("2026-11-01T00:00:00Z")
    assert iso(read_said("01:30", zone, night, "f", "k")) == "2026-11-01T06:30:00Z"
    assert iso(read_said("01:30", zone, night, "f", "k", late=True)) == "2026-11-01T07:30:00Z"
    with pytest.raises(InputFaults, match="clocks skip"):
        read_iso("2026-03-08 02:30", "f", "k", zone)


def test_a_time_is_shown_with_its_zone_and_utc_beside_it():
    assert show(T0, zone_of("America/Chicago")) == "Tue 13:00 CDT (18:00 UTC)"
    assert show(at("2026-03-11T02"), zone_of("America/Chicago")) == "Tue 21:00 CDT (Wed 02:00 UTC)"
    assert show(T0, UTC) == "Tue 18:00 UTC"
    assert show(T0, zone_of("America/Sao_Paulo")).startswith("Tue 15:00 UTC-03 (")


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("PT1H", H),
        ("P1D", 24 * H),
        ("P1DT2H30M", 26 * H + 1800),
        ("P1W", 168 * H),
        ("P7DT14H", 182 * H),
        ("P", None),
        ("PT", None),
        ("P1DT", None),
        ("P1M", None),
        ("PT-1H", None),
        ("P1Y", None),
    ],
)
def test_durations(text, found):
    assert read_duration(text) == found


def test_hours_begin_now_and_reach_the_end_of_the_forecast():
    hours = hours_of([forecast(1.0, 1.0)], T0 + 1800, T0 + H)
    assert [(h.start, h.end) for h in hours] == [(T0, T0 + H), (T0 + H, T0 + 2 * H)]
    assert len(hours_of([], T0, T0 + 3 * H)) == 3
    assert SHARES.keep_away == 1.0
