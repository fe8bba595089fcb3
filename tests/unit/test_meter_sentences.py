"""NMEA 0183: sentences of public logs and of a library's own test data are read; what cannot be believed is no reading."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.meter.sentences import LONGEST, Refused, Sample, sample_of
from tests.meter_kit import mwv, sentence

KT, KMH, MPH = 1852 / 3600, 1 / 3.6, 0.44704
PUBLIC = [
    # pynmea2, its own tests
    ("$IIMWV,271.0,R,000.2,N,A*3B", 0.2 * KT, None),
    ("$YXXDR,A,-64.437,M,N,A,054.454,D,E,C,17.09,C,T-N1052*46", Refused.FOREIGN, None),
    ("$GPGGA,184353.07,1929.045,S,02410.506,E,1,04,2.6,100.00,M,-33.9,M,,0000*6D", Refused.FOREIGN, None),
    ("$GPRMC,225446,A,4916.45,N,12311.12,W,000.5,054.7,191194,020.3,E*68", Refused.FOREIGN, None),
    ("$GPGRS,A,A*41", Refused.FOREIGN, None),
    # logs of instruments in public repositories
    ("$IIMWV,344.0,R,005.9,M,A*31", 5.9, None),
    ("$CCMWV,230.0,T,022.1,N,A*3B", 22.1 * KT, 230.0),
    ("$WIMWV,75.7,T,13.2,N,A*20", 13.2 * KT, 75.7),
    ("$CCMWD,088.0,T,078.0,M,22.1,N,11.4,M*4E", 11.4, 88.0),
    ("$WIMWD,211.2,T,205.4,M,3.9,N,2.0,M*51", 3.9 * KT, 211.2),
    ("$IIVWR,117,L,17.1,N,,,,*7F", 17.1 * KT, None),
    ("$IIVWR,148,L,02.4,N,01.2,M,04.4,K*71", 2.4 * KT, None),
    ("$IIVWR,75,R,1.0,N,0.51,M,1.85,K*6C", 1.0 * KT, None),
    ("$WIXDR,A,0.14,D,ROLL*53", Refused.FOREIGN, None),
]  # fmt: skip
MDA = "WIMDA,29.7544,I,1.0076,B,35.5,C,,,42.1,,20.6,C,116.4,T,107.7,M,1.2,N,0.6,M"


def body(text):
    return sample_of(sentence(text))


@pytest.mark.parametrize(("line", "speed", "from_deg"), PUBLIC)
def test_public_sentences(line, speed, from_deg):
    """A knot is 1852 m an hour; of one sentence in two units, rounded apart, the higher counts."""
    found = sample_of(line.encode() + b"\r\n")
    if isinstance(speed, Refused):
        assert found is speed
    else:
        assert found.speed == pytest.approx(speed, rel=0.02)
        assert found.speed >= speed * (1 - 1e-9)
        assert found.from_deg == from_deg


@pytest.mark.parametrize(("unit", "one"), [("N", KT), ("M", 1.0), ("K", KMH), ("S", MPH)])
def test_units(unit, one):
    assert sample_of(mwv(12.5, unit=unit)).speed == pytest.approx(12.5 * one, rel=1e-12)


def test_composites_of_a_weather_station():
    assert body(MDA) == Sample(pytest.approx(1.2 * KT), 116.4, "WI MDA", 116.4)
    found = body("WIXDR,A,302,D,0,A,320,D,1,A,330,D,2,S,0.1,M,0,S,0.2,M,1,S,0.4,M,2")
    assert (found.speed, found.from_deg) == (0.4, None)  # least, mean and highest: the highest
    assert body("WIXDR,S,1,,DOOR") is Refused.FOREIGN  # the standard's S is a switch


@pytest.mark.parametrize(
    ("line", "why"),
    [
        (b"$WIMWV,214.8,R,99.0,M,V*0A", Refused.CHECKSUM),
        (sentence("WIMWV,214.8,R,99.0,M,V"), Refused.NOT_VALID),
        (sentence("WIMWV,214.8,R,99.0,M,"), Refused.EMPTY),
        (sentence("WIMWV,214.8,R,99.0,M"), Refused.EMPTY),
        (b"$WIMWV,214.8,R,12.0,M,A", Refused.NO_CHECKSUM),
        (b"$WIMWV,214.8,R,12.0,M,A*", Refused.NO_SENTENCE),
        (sentence("WIMWV,214.8,R,,M,A"), Refused.EMPTY),
        (sentence("WIMWV,214.8,R,12.0,,A"), Refused.EMPTY),
        (sentence("WIMWV,214.8,,12.0,M,A"), Refused.EMPTY),
        (sentence("WIMWV,214.8,R,12.0,X,A"), Refused.UNIT),
        (sentence("WIMWV,214.8,Q,12.0,M,A"), Refused.UNIT),
        *((sentence(f"WIMWV,214.8,R,{x},M,A"), Refused.NUMBER) for x in ("-3", "1e1", "nan", "inf", "0x10", " 5", "5,", "--", "1_0") if "," not in x),
        (sentence("WIMWV,214.8,R,101,M,A"), Refused.RANGE),
        (sentence("WIMWV,400,R,10,M,A"), Refused.RANGE),
        (sentence("WIMWD,,T,,M,,N,,M"), Refused.EMPTY),
        (sentence("WIMDA,29.7,I,1.0,B,35.5,C"), Refused.EMPTY),
        (sentence("IIVWR,181,L,10,N,,,,"), Refused.RANGE),
        (sentence("IIVWR,10,X,10,N,,,,"), Refused.UNIT),
        (b"", Refused.NO_SENTENCE),
        (b"\xff\xfe\x00", Refused.NO_SENTENCE),
        (b"$WIMWV," + b"1" * LONGEST + b"*00", Refused.NO_SENTENCE),
        (b"wind 12 m/s", Refused.NO_SENTENCE),
        (b"!AIVDM,1,1,,B,E>jMjb1WT;9h19Q00000000000006jDo>k9<0D2RRSv000,4*30", Refused.FOREIGN),
    ],
)  # fmt: skip
def test_what_is_no_reading(line, why):
    assert sample_of(line) is why


def test_an_angle_of_the_mast_is_no_direction_unless_its_mark_is_known():
    """R counts from the mark on the meter; left of the mark counts back."""
    assert sample_of(mwv(5, 40, "R")).from_deg is None
    assert sample_of(mwv(5, 40, "R"), 350.0).from_deg == pytest.approx(30.0)
    assert sample_of(sentence("IIVWR,40,L,10,N,,,,"), 350.0).from_deg == pytest.approx(310.0)
    assert sample_of(mwv(5, 40, "T"), 350.0).from_deg == 40.0  # from north already
    assert sample_of(sentence("WIMWV,,R,5.0,M,A"), 350.0) == Sample(5.0, None, "WI MWV R")


@settings(max_examples=60)
@given(st.binary(max_size=100))
def test_no_bytes_are_a_reading_by_accident(raw):
    found = sample_of(raw)
    assert isinstance(found, Refused)


@settings(max_examples=60)
@given(st.integers(0, 40), st.integers(0, 255))
def test_one_byte_damaged_is_no_other_reading(where, byte):
    good = mwv(12.345)
    bad = bytearray(good)
    bad[where % (len(good) - 2)] = byte
    found, was = sample_of(bytes(bad)), sample_of(good)
    assert isinstance(found, Refused) or found == was
