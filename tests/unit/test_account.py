"""Nothing that a forecast says is lost: every piece of every fixture is used, harmless or not understood, and no hour of the last is go."""

import json
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import get_args

import pytest
from fuzz import corpus
from outlook_kit import DATA, LIMITS, SHARES, at, judged
from test_outlook_readers import grid

from anchorage import demo
from anchorage.core import tables
from anchorage.core.errors import InputFaults
from anchorage.core.table_files import Danger
from anchorage.outlook.clock import zone_of
from anchorage.outlook.hours import TYPED, hours_of, slips
from anchorage.outlook.judge import judge
from anchorage.outlook.reader import read_text
from anchorage.outlook.remarks import Account
from anchorage.outlook.spoken import read_spoken

NOW = corpus.NOW
ZONE = zone_of("America/Chicago")
FIXTURES = [
    *((f"{kind} {i}", raw.decode()) for kind in ("TAFS", "METARS", "NBM", "GRIDPOINTS", "HOURLY", "OPEN", "CSVS", "SPOKEN", "ALERTS", "CAPS", "TEXTS") for i, raw in enumerate(getattr(corpus, kind))),
    *((p.name, p.read_text(encoding="utf-8")) for p in sorted(Path(demo.__file__).parent.glob("demo-forecast-*"))),
]  # fmt: skip
RECORDED = sorted(DATA.glob("n*")) if DATA.is_dir() else []


def leaves(value, path=""):
    """Every place of a JSON value that holds something."""
    if isinstance(value, dict):
        for k, v in value.items():
            yield from leaves(v, f"{path}.{k}" if path else k)
    elif isinstance(value, list) and not all(not isinstance(v, dict | list) for v in value):
        for i, v in enumerate(value, 1):
            yield from leaves(v, f"{path}[{i}]")
    else:
        yield path


def left_out(text, forecasts):
    """Pieces of a text that no remark of its readers has."""
    places = {r.at for f in forecasts for r in f.remarks.pieces()}
    if text.lstrip()[:1] == "{":
        under = ("properties.", "")
        return [
            leaf for leaf in leaves(json.loads(text))
            if not any((leaf.removeprefix(u) + ".").startswith((p + ".", p + "[")) or (leaf.removeprefix(u) + ".") == p + "." for p in places if p for u in under)
        ]  # fmt: skip
    if text.lstrip()[:1] == "<":
        text = re.sub(r"<[^>]*>", " ", text)
    said = Counter(
        w for f in forecasts for r in f.remarks.pieces() for w in re.findall(r"\w+", r.text.upper())
    )
    return sorted(set(re.findall(r"\w+", text.upper())) - set(said))


@pytest.mark.parametrize(("name", "text"), FIXTURES, ids=[n for n, _ in FIXTURES])
def test_every_piece_of_a_fixture_is_accounted_for_and_understood(name, text):
    found = read_text(text, NOW, name, zone=ZONE, issued=NOW)
    assert left_out(text, found) == []
    assert [r for f in found for r in f.remarks.not_understood if r.why != "lost"] == []


@pytest.mark.parametrize("path", RECORDED, ids=lambda p: p.name)
def test_nothing_of_a_recorded_forecast_is_not_understood(path):
    text = path.read_text(encoding="utf-8")
    found = read_text(text, at("2024-02-20T18:00:00Z"), path.name)
    assert left_out(text, found) == []
    assert [r for f in found for r in f.remarks.not_understood] == []
    assert [d for f in found for d in slips(replace(f, format=TYPED[0]))] == [], "its calm hours are calm"


@pytest.mark.parametrize(
    ("name", "text"), [(n, t) for n, t in FIXTURES if n.startswith(("TAFS", "METARS"))], ids=lambda x: x[:8]
)
@pytest.mark.parametrize("word", ["T5RA", "##########", "TEMP0", "+XYZ", "SEVERE"])
def test_a_group_that_is_not_understood_is_printed_and_its_hours_are_no_go(name, text, word):
    """Put in at every place of the body: the first hours of the forecast are never go with it."""
    words = text.split()
    for i in range(4, len(words)):
        bad = " ".join([*words[:i], word, *words[i:]])
        try:
            found = read_text(bad, NOW, name)
        except InputFaults:
            continue
        heaps = [r for f in found for r in f.remarks.not_understood]
        assert any(word in r.text for r in heaps), bad
        hit = [d for f in found for d in f.doubts if d.kind == "statement"]
        assert hit
        for j in judged(bad, "2026-03-10T18:00:00Z"):
            if any(d.start < j.hour.end and d.end > j.hour.start for d in hit):
                assert "go" not in (j.uses["people-in"], j.uses["set-up"]), (bad, j.hour.start)


def test_the_lists_of_codes_are_whole():
    assert list(tables.codes("wmo-4677")) == list(tables.codes("wmo-4680")) == [str(i) for i in range(100)]
    assert set(tables.codes("vtec-significance")) == set("WYASOFN")
    assert len(tables.codes("vtec-phenomenon")) == 71
    dangers, degrees = get_args(Danger), ("said", *"WYASOFN")
    assert set(tables.codes("danger-counts")) == {f"{d}.{g}" for d in dangers for g in degrees}
    counts = tables.codes("danger-counts")
    for danger in dangers:
        for degree in "WYASOF":
            counted = counts[f"{danger}.{degree}"].counts
            assert counted, "a danger counts as something"
            if danger not in ("rain", "cold") and degree != "N":
                assert counted != ("none",), "danger is unknown or no-go, never none"
    for danger, ground in (("rain", "rain"), ("cold", "ice")):  # what they change is the ground, always
        for degree in "WYASOF":
            a = Account()
            a.danger((danger,), degree, 0, 3600, danger)
            assert [w.text for w in a.wet] == [ground]


# No code and no word of a list comes out as nothing


T = at("2026-03-10T18:00:00Z")


def nothing(*found):
    """Whether the first hour is as if nothing had been said: normal, and the ground dry."""
    hour = hours_of(found, T, T + 3600)[0]
    return judge([hour], LIMITS, SHARES, T)[0].level == "normal" and not hour.wet


def test_every_group_of_weather_of_a_taf_that_warns_comes_out():
    listed = tables.codes("metar-weather")
    marks = ("MI", "PR", "BC", "DR", "BL", "SH", "TS", "FZ")
    falls = [c for c in listed if c not in marks]
    real = {
        *(m + c for m in ("", "SH", "TS", "FZ") for c in falls),
        "SH",
        "TS",
        *(m + c for m in ("BL", "DR") for c in ("SN", "DU", "SA")),
    }
    for group in sorted(real):
        warns = any(listed[group[i : i + 2]].danger for i in range(0, len(group), 2)) or group[:2] in (
            "BL",
            "DR",
        )
        for how in ("+", "VC"):
            found = read_text(f"TAF KXYZ 101730Z 1018/1118 27005KT P6SM {how}{group} FEW050\n", T, "t")
            assert nothing(*found) == (not warns), how + group


def test_every_warning_and_every_word_of_a_list_that_warns_comes_out():
    names = {c.means: c for c in tables.codes("vtec-phenomenon").values()} | {
        c.key: c for c in tables.codes("alert-names").values()
    }
    said = {f"{n} {d}": bool(c.danger) for n, c in names.items() for d in ("warning", "watch")}
    said |= {c.key: bool(c.danger) for c in tables.codes("weather-words").values()}
    for words, warns in said.items():
        lines = ["until 23:00 gust 10 mph", f"{words} until 22:00"]
        assert not (warns and nothing(read_spoken(lines, T, "s", zone=ZONE, heard=T))), words
    for code in tables.codes("vtec-phenomenon").values():
        for degree in "WYASOF":
            a = Account()
            a.warning(code.key, degree, T, T + 3600, "hazards")
            assert bool(code.danger) == bool(
                a.hazards or a.doubts or a.thunder or a.floors or a.unmeasured or a.wet
            ), code.key


@pytest.mark.parametrize(
    ("note", "warns"),
    [("calm", False), ("after the call", False), ("gust 60 mph possible", True), ("60 mph", True), ("winds to 50", True), ("tormenta", True), ("orages en soirée", True), ("hurricane", True)],
)  # fmt: skip
def test_a_note_in_a_table_hides_no_danger(note, warns):
    table = f"time (UTC), gust (mph), snow (in), thunder, note\n2026-03-10 18:00,10,0,no,{note}\n2026-03-10 19:00,10,0,no,\n"
    assert nothing(*read_text(table, T, "c", issued=T)) == (not warns)


def test_snow_that_is_blown_lies_on_the_ground():
    def kind(weather):
        return [{"coverage": "likely", "weather": weather, "intensity": None, "attributes": []}]

    assert "snow" in hours_of(read_text(json.dumps(grid(weather=([("2026-03-10T18:00:00Z/PT6H", kind("blowing_snow"))], None))), T, "g"), T, T + 1)[0].wet  # fmt: skip
