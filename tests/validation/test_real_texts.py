"""Hundreds of real reports and forecasts, read here and by two libraries (``metar``, ``metar-taf-parser-mivek``), every difference explained.

``python tests/real_texts.py`` fetches them; without them this is skipped.
"""

import re
import warnings

import pytest
import real_texts
from outlook_kit import KT, at

from anchorage.core.errors import InputFaults
from anchorage.outlook.metar import read_metar
from anchorage.outlook.taf import read_taf
from anchorage.outlook.windgroup import looks_like_wind, read_wind

REPORTS, TAFS = real_texts.texts() if real_texts.FOLDER.is_dir() else ([], [])
NOW = at("2026-03-15T00:00:00Z")
pytestmark = pytest.mark.skipif(
    len(REPORTS) < 500, reason="fetch the real texts first: python tests/real_texts.py"
)
SLIPS = 0.02
"""Share of real texts that may hold a piece that nobody lists."""


def ours(text):
    """Wind of the body as coded (m/s), and whether a group of it says thunder; None where it is refused."""
    try:
        read_metar(text, NOW)
    except InputFaults:
        return None
    body = re.split(r"\b(?:RMK|TEMPO|BECMG)\b", text)[0].split()
    winds = [read_wind(t, "f", "k") for t in body if looks_like_wind(t) and not t.startswith("WS")]
    thunder = any(re.fullmatch(r"[+-]?(?:VC)?TS(?:[A-Z]{2})*", t) for t in body)
    return (winds[0].mean, winds[0].coded_gust, thunder) if len(winds) == 1 else None


def test_nearly_every_real_text_is_understood_to_the_last_piece():
    left = {}
    for text, read in [*((t, read_metar) for t in REPORTS), *((t, read_taf) for t in TAFS)]:
        try:
            heap = [r.text for r in read(text, NOW).remarks.not_understood]
        except InputFaults as e:
            heap = [str(e)]
        if heap:
            left[text] = heap
    assert len(left) <= SLIPS * (len(REPORTS) + len(TAFS)), left


def test_winds_are_those_that_the_first_library_reads():
    metar = pytest.importorskip("metar.Metar")
    compared = 0
    for text in REPORTS:
        mine = ours(text)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            try:
                theirs = metar.Metar(text, year=2026, month=3, strict=False)
            except Exception:  # noqa: BLE001, S112 - what it cannot read is no comparison
                continue
        if mine is None or theirs.wind_speed is None:
            continue
        compared += 1
        assert mine[0] == pytest.approx(theirs.wind_speed.value("MPS"), rel=3e-3), text
        if theirs.wind_gust is None:
            assert mine[1] is None, text
        else:
            assert mine[1] == pytest.approx(theirs.wind_gust.value("MPS"), rel=3e-3), text
        peak = theirs.wind_speed_peak
        if peak is not None and "PK WND" in text:
            floors = read_metar(text, NOW).floors
            assert any(s.value == pytest.approx(peak.value("MPS"), rel=3e-3) for s in floors), text
        said = any("TS" in (w[1] or "") or "TS" in (w[2] or "") for w in theirs.weather)
        assert not said or read_metar(text, NOW).thunder, text
    assert compared >= 0.9 * len(REPORTS)


def test_winds_and_thunder_are_those_that_the_second_library_reads():
    parser = pytest.importorskip("metar_taf_parser.parser.parser")
    compared, three = 0, re.compile(r"\b\d{6}(?:G\d{2,3})?KT|P\d{2}KT|G\d{3}KT")
    for text in REPORTS:
        bare = re.sub(r"^(?:METAR|SPECI) ", "", text)
        mine = ours(text)
        try:
            theirs = parser.MetarParser().parse(bare)
        except Exception:  # noqa: BLE001, S112 - what it cannot read is no comparison
            continue
        if (
            mine is None or theirs.wind is None or theirs.wind.speed is None or three.search(bare)
        ):  # it loses three-digit speeds and P99KT
            continue
        compared += 1
        k = {"KT": KT, "MPS": 1.0, "KM/H": 1 / 3.6}[theirs.wind.unit]
        assert mine[0] == pytest.approx(theirs.wind.speed * k, rel=3e-3), text
        gust = theirs.wind.gust
        assert (mine[1] is None) == (gust is None), text
        assert gust is None or mine[1] == pytest.approx(gust * k, rel=3e-3), text
        if any(
            w.descriptive is not None and w.descriptive.name == "THUNDERSTORM"
            for w in theirs.weather_conditions
        ):
            assert read_metar(text, NOW).thunder, text
    assert compared >= 0.8 * len(REPORTS)


def test_a_taf_has_at_least_the_gusts_and_the_thunder_that_a_library_finds_in_it():
    parser = pytest.importorskip("metar_taf_parser.parser.parser")
    compared = 0
    for text in TAFS:
        try:
            theirs, mine = parser.TAFParser().parse("TAF " + text), read_taf(text, NOW)
        except Exception:  # noqa: BLE001, S112 - what one of them refuses is no comparison
            continue
        compared += 1
        for part in (theirs, *theirs.trends):
            if part.wind is not None and part.wind.gust:
                k = {"KT": KT, "MPS": 1.0, "KM/H": 1 / 3.6}[part.wind.unit]
                assert any(
                    s.value is not None and s.value >= part.wind.gust * k * 0.997 for s in mine.gusts
                ), text
            if any(
                w.descriptive is not None and w.descriptive.name == "THUNDERSTORM"
                for w in part.weather_conditions
            ):
                assert mine.thunder, text
    assert compared >= 5
