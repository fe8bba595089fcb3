"""Text pasted from a public forecast page or bulletin: each part of a day in its own hours, no danger dropped or moved."""

import pytest
from test_as_people_say_it import NOW, ZONE, said, site  # noqa: F401 - the fixture

from anchorage.core.errors import InputFaults
from anchorage.outlook.clock import iso, read_iso
from anchorage.outlook.reader import read_text

T = read_iso(NOW, "", "")
ZONE_TEXT = """000
FPUS53 KZZZ 101800
ZFPZZZ

Zone Forecast Product for Some Counties
National Weather Service Somewhere
100 PM CDT Tue Mar 10 2026

ZZZ014-110000-
Aaa-Bbb-
Including the city of Ccc
100 PM CDT Tue Mar 10 2026

.REST OF TODAY...Mostly sunny. Highs in the upper 50s. Southwest winds
5 to 10 mph with gusts up to 15 mph.
.TONIGHT...Mostly clear. Lows in the mid 40s. West winds 5 to 10 mph with gusts to 15 mph.
.WEDNESDAY...Sunny. Highs around 60. West winds 5 to 10 mph with gusts up to 20 mph.
.WEDNESDAY NIGHT...Partly cloudy. Lows around 45. Light winds.
.THURSDAY THROUGH FRIDAY...Mostly sunny. Highs 55 to 60.

$$
"""
PAGE = """Rest of Today
Mostly sunny, with a high near 58. Southwest wind around 5 mph, with gusts as high as 15 mph.
Tonight
Mostly clear, with a low around 45. West wind 5 to 10 mph, with gusts as high as 15 mph.
Wednesday
Sunny, with a high near 60. West wind 5 to 10 mph, with gusts as high as 20 mph.
"""
COLON = "\n".join(f"{a}: {b}" for a, b in zip(PAGE.splitlines()[::2], PAGE.splitlines()[1::2], strict=True))


def judged(capsys, site, text, *lines, now=NOW):  # noqa: F811
    path = site.with_name("text")
    path.write_text(text)
    return said(capsys, site, *lines, now=now, more=("--forecast", str(path), "--issued", now))


@pytest.mark.parametrize("text", [ZONE_TEXT, PAGE, COLON], ids=["bulletin", "page", "one line each"])
def test_a_calm_text_is_go(capsys, site, text):  # noqa: F811
    code, out = judged(capsys, site, text)
    assert code == 0, out.get("headline", out)
    assert out["remarks"]["not_understood"] == []


def test_each_part_has_its_hours(capsys, site):  # noqa: F811
    f = read_text(ZONE_TEXT, T, "x")[0]
    assert [(iso(s.start)[8:16], iso(s.end)[8:16], round(s.value / 0.44704)) for s in f.gusts] == [
        ("10T18:00", "10T23:00", 15), ("10T23:00", "11T11:00", 15), ("11T11:00", "11T23:00", 20),
    ]  # fmt: skip
    assert iso(f.issued) == "2026-03-10T18:00:00Z"
    stale = judged(capsys, site, ZONE_TEXT, now="2026-03-11T12:00:00Z")
    assert stale[0] == 3


SENTENCES = {
    "Thunderstorms in the evening": 1, "A 20 percent chance of thunderstorms, mainly after 3pm": 1, "Snow. New snow accumulation of 3 to 5 inches possible": 1, "Snow": 1,
    "Freezing rain": 1, "Ice accumulation of around one inch": 1, "Southwest winds 25 to 35 mph with gusts up to 50 mph": 1, "Northwest winds 30 to 40 mph": 1, "Windy": 3, "Breezy": 3,
    "Gusts over 30 mph": 3, "Some storms may be severe": 1, "Damaging winds": 1, "Frobnication likely": 3, "Winds increasing": 3, "Blizzard conditions": 1, "A tornado is possible": 1,
    "Wind gusts 45 miles an hour": 1, "Gusts up to 40 knots": 1, "Sleet accumulations up to two inches": 1, "Gusts 45": 3, "Hail": 1, "Gusts up to 15 mph, locally higher": 3, "Gusts as high as 15 mph, increasing in the afternoon": 3, "Gusts mostly 15 mph": 3,
}  # fmt: skip


@pytest.mark.parametrize("sentence", SENTENCES)
@pytest.mark.parametrize("text", [ZONE_TEXT, PAGE, COLON], ids=["bulletin", "page", "one line each"])
def test_a_sentence_of_danger_in_a_part(capsys, site, text, sentence):  # noqa: F811
    old = "Mostly clear"
    bad = text.replace(old, f"{sentence}. {old}")
    code, out = judged(capsys, site, bad)
    assert code == SENTENCES[sentence], out.get("headline", out)
    assert [h["level"] for h in out["hours"]][:2] == [
        "normal",
        "normal",
    ]  # in its part, which begins in the evening
    assert (
        judged(
            capsys,
            site,
            text.replace("with a low", f"{sentence.lower()}. With a low").replace(
                "Lows in the mid", f"{sentence}. Lows in the mid"
            ),
        )[0]
        == SENTENCES[sentence]
    )


USUAL = """This Afternoon
A chance of showers, mainly after 4pm. Partly sunny, with a high near 62. South wind 5 to 10 mph, with gusts as high as 15 mph. New rainfall amounts between a tenth and quarter of an inch possible.
Tonight
Showers likely before 10pm, then a slight chance of showers between 10pm and 1am. Mostly cloudy, with a low around 41. West wind 5 to 10 mph becoming northwest 5 mph after midnight. Winds could gust as high as 15 mph. Chance of precipitation is 60%.
Wednesday
Mostly sunny, with a temperature rising to near 50 by noon, then falling to around 40 during the remainder of the day. Light and variable wind becoming east around 5 mph. Wind chill readings 5 below to 5 above zero.
Wednesday Night
Snow likely, possibly mixed with freezing rain, mainly after 1am. Cloudy, with a low around 28. New snow accumulation of less than a half inch possible. New ice accumulation of less than a 0.1 of an inch possible.
"""


def test_the_usual_words_are_all_understood(capsys, site):  # noqa: F811
    code, out = judged(capsys, site, USUAL)
    assert out["remarks"]["not_understood"] == []
    assert code == 0, out["headline"]
    f = read_text(USUAL, T, "x", zone=read_zone(), issued=T)[0]
    assert [round(s.value / 0.44704) for s in f.gusts] == [15, 15]
    assert [round(s.value, 2) for s in (*f.snow, *f.ice, *f.rain)] == [0.01, 2.54, 6.35]
    assert min(s.value for s in f.temperature) == pytest.approx(-2.22, abs=0.01)


def test_a_day_that_no_list_has_keeps_its_danger(capsys, site):  # noqa: F811
    """What stands under the name of a holiday is not read into the part before it."""
    for text, name in ((ZONE_TEXT, ".WEDNESDAY..."), (PAGE, "\nWednesday\n"), (COLON, "\nWednesday:")):
        f = read_text(
            text.replace(name, name.replace("Wednesday", "Harvest Day").replace("WEDNESDAY", "HARVEST DAY")),
            T,
            "x",
            zone=None if text is ZONE_TEXT else read_zone(),
            issued=T,
        )[0]
        assert [r.text.upper() for r in f.remarks.not_understood] == ["HARVEST DAY"]
        assert not any(s.start > read_iso("2026-03-11T10:00:00Z", "", "") for s in f.gusts)


def read_zone():
    from anchorage.outlook.clock import zone_of

    return zone_of(ZONE)


HEADLINES = {
    "...WIND ADVISORY IN EFFECT UNTIL 8 PM CDT THIS EVENING...": 1, "...HIGH WIND WARNING IN EFFECT FROM 6 PM THIS EVENING TO\nMIDNIGHT CDT TONIGHT...": 1, "...TORNADO WATCH REMAINS IN EFFECT...": 3,
    "...WINTER STORM WARNING IN EFFECT...": 1, "...FROBNICATION WARNING IN EFFECT...": 3, "/O.NEW.KZZZ.HW.W.0001.260310T2000Z-260311T0100Z/": 1, "...DENSE FOG ADVISORY IN EFFECT...": 0,
    "something that nobody knows": 3,
}  # fmt: skip


@pytest.mark.parametrize("headline", HEADLINES)
def test_a_headline_holds_for_all_of_it(capsys, site, headline):  # noqa: F811
    code, out = judged(capsys, site, ZONE_TEXT.replace("\n.REST OF", f"\n{headline}\n\n.REST OF"))
    assert code == HEADLINES[headline], out.get("headline", out)


WARNING = """WWUS73 KZZZ 101800
NPWZZZ

URGENT - WEATHER MESSAGE
National Weather Service Somewhere
100 PM CDT Tue Mar 10 2026

ZZZ014-110200-
/O.NEW.KZZZ.HW.W.0001.260310T2000Z-260311T0100Z/
Aaa-Bbb-
100 PM CDT Tue Mar 10 2026

...HIGH WIND WARNING IN EFFECT FROM 3 PM THIS AFTERNOON TO 8 PM CDT
THIS EVENING...

* WHAT...Southwest winds 30 to 40 mph with gusts up to 60 mph.

$$
"""


def test_the_text_of_a_warning_counts_beside_a_calm_forecast(capsys, site):  # noqa: F811
    code, out = judged(capsys, site, WARNING, "until Wed 02:00 gust 15 mph")
    assert code == 1, out


def test_where_and_when_it_was_made_is_asked_for(capsys, site):  # noqa: F811
    with pytest.raises(InputFaults, match="zone"):
        read_text(PAGE, T, "x")
    path = site.with_name("text")
    path.write_text(PAGE)
    code, out = said(capsys, site, more=("--forecast", str(path)))
    assert code == 3
    assert "nobody says when this forecast was made" in str(out["cautions"])


def test_the_hour_after_midnight_is_of_this_night_and_of_the_next(capsys, site):  # noqa: F811
    """Tonight, said at 02:00: the night that is ending, and the one that comes."""
    text = "Tonight: Thunderstorms. West wind 5 mph, with gusts as high as 15 mph."
    _, out = judged(capsys, site, text, now="2026-03-10T07:00:00Z")
    assert all(h["thunder"] for h in out["hours"])


BULLETIN = """FTUS43 KZZZ 101720
TAFZZZ
TAF KZZZ 101740Z 1018/1124 27003KT P6SM SCT040
     FM110600 27005KT P6SM SKC=
"""


def test_a_bulletin_with_its_heading_is_read(capsys, site):  # noqa: F811
    code, out = judged(capsys, site, BULLETIN)
    assert (code, out["source"]["format"]) == (0, "TAF"), out
    assert out["remarks"]["not_understood"] == []
    assert judged(capsys, site, BULLETIN.replace("FM110600 27005KT", "FM110000 27040G60KT"))[0] == 1
    code, out = judged(
        capsys,
        site,
        "SAUS70 KZZZ 101800\nMTRZZZ\nMETAR KZZZ 101753Z 27040G60KT 10SM SKC 20/10 A2992=\n",
        "until Wed 02:00 gust 15 mph",
    )
    assert code == 1
