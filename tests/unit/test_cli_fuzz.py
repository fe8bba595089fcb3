"""Whatever stands in a file, a user gets a verdict or lines about the file, never a traceback."""

from __future__ import annotations

import contextlib
import io
import json
import math
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from toml_writer import demo, put, written

from anchorage.cli.entry import main
from anchorage.core.plain import columns, inert
from anchorage.demo import NAMES, demo_text


def paths(data: dict[str, Any], above: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    """Every key of nested tables."""
    out = []
    for key, value in data.items():
        out.append((*above, key))
        if isinstance(value, dict):
            out += paths(value, (*above, key))
    return out


KEYS = sorted({p for name in NAMES for p in paths(demo(name))})
WORDS = ["", "dry", "ice", "snow", "grass", "sand", "gravel", "stakes", "ballast", "mixed", "asce7-16", "asce7-22", "strength",
         "service", "asd", "en1997-equ", "own", "1 h", "10 min", "hip", "arch", "single-slope", "locked", "magnetic", "decon", "si",
         "0 mph", "1e-9 mph", "220 mph", "-3 m/s", "0 m", "1 ft", "190 ft", "9e99 m", "0.3 m", "60 m", "0 kg", "20000 kg",
         "-45 degC", "loose-sand", "thumb-soft", "hard-clay", "concrete-block", "sandbags", "nan", "\x1b[31m", "\u202e", "a" * 300]  # fmt: skip
VALUES = st.one_of(
    st.sampled_from(WORDS), st.integers(-2, 50), st.integers(), st.floats(), st.booleans(), st.text(max_size=8), st.none(),
    st.just([]), st.just({}), st.just([{"wall": "left", "width": "1 ft", "height": "1 ft"}]), st.just(["620 lbf"]),
)  # fmt: skip
LIKELY = {
    "shelter.form": ["gable", "single-slope"], "shelter.length": ["1 ft", "8 m", "190 ft"], "shelter.width": ["0.4 m", "30 ft"],
    "shelter.eave": ["1 ft", "7 ft"], "shelter.ridge": ["7 ft", "40 ft", "190 ft"], "shelter.mass": [None, "0 kg", "20 tonne"],
    "shelter.points_per_side": [2, 3, 17, 40], "shelter.points_per_end": [2, 5, 40], "shelter.straps": ["locked"],
    "shelter.rating": [None, {"gust_unlocked": "0 mph"}, {"gust_locked": "30 m/s"}], "shelter.use": ["decon"],
    "shelter.openings": [None, {"front": 1.0}, {"left": 0.5, "right": 0.5}], "site.surface": ["moss", "grass", "concrete", "sand", "clay"],
    "site.state": [None, "dry", "wet", "frozen", "ice", "snow"], "site.temperature": [None, "-40 degC", "30 degF"],
    "site.surroundings": [None, "open", "town"], "site.heading": [None, 0, 359.9], "site.elevation": ["6000 m", "-400 m"],
    "wind.speed": ["0 mph", "1e-9 mph", "12 mph", "223 mph"], "wind.speed_is": [None, "forecast-wind", "airport-wind"],
    "wind.from": [0, 45, 360], "wind.terrain": [None, "open", "site"], "anchorage.placed": [None, 0, 1, 99_999],
    "anchorage.size_for": ["people-in", "empty", "set-up"], "anchorage.unit": ["water-barrel", "concrete-block"], "anchorage.unit_mass": [None, "0.1 kg"],
    "anchorage.contact": ["cloth", "plate", "ground"], "anchorage.how": [None, "hung-clear", "on-foot"], "anchorage.line_rated": [None, "0 lbf"],
    "anchorage.stake.soil": ["loose-sand", "very-soft-clay", "hard-clay"], "anchorage.stake.pull_tests": [None, ["0 lbf"], ["1 kN"] * 3],
    "anchorage.stake.driven": ["100 mm", "3 m"], "anchorage.stake.line_angle": [10, 80], "margins.set": ["en1997-equ"],
    "stock": [None, {"stakes": 0, "sandbags": 1}], "door": [[], [{"wall": "left", "width": "3 ft", "height": "6 ft", "is": "closed"}]],
    "snow.depth": ["0 in", "3 in"], "policy.gust": ["0 mph", "25 mph"], "deployment.show_units": ["si"],
}  # fmt: skip
"""Values that are taken, at the edges of what is taken."""
LIKELY_CHANGES = [(tuple(key.split(".")), value) for key, values in LIKELY.items() for value in values]
CHANGES = st.one_of(
    st.lists(st.tuples(st.sampled_from(KEYS), VALUES), min_size=1, max_size=4),
    st.lists(st.sampled_from(LIKELY_CHANGES), min_size=1, max_size=6),
)
COMMANDS = st.sampled_from(
    [
        ["check"],
        ["check", "--json"],
        ["check", "--units", "si"],
        ["check", "--working"],
        ["limit"],
        ["limit", "--json"],
    ]
)


TERMINAL = 80
"""Columns: the one screen of ``check`` is as wide as the narrowest terminal that is promised."""


def judged(content: bytes, command: list[str], folder: Path) -> tuple[int, str, str]:
    """Exit code, standard output and standard error."""
    path = folder / "site.toml"
    path.write_bytes(content)
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main([command[0], str(path), *command[1:]])
    return code, out.getvalue(), err.getvalue()


def hold(content: bytes, command: list[str], folder: Path) -> int:
    """Check what holds for any file whatever."""
    code, out, err = judged(content, command, folder)
    assert "fault of the program" not in err
    assert (code == 2) == (out == "") == (err != "")
    assert code in (0, 1, 2, 3)
    for line in [*out.splitlines(), *err.splitlines()]:
        assert inert(line) == line
    if out and "--json" in command:
        json.loads(out, parse_constant=lambda word: (_ for _ in ()).throw(AssertionError(word)))
    elif out:
        assert max(columns(line) for line in out.splitlines()) <= TERMINAL
    return code


@settings(max_examples=40)
@given(name=st.sampled_from(NAMES), changes=CHANGES, command=COMMANDS)
def test_any_values_in_any_keys(
    name: str, changes: list[tuple[tuple[str, ...], Any]], command: list[str], tmp_path_factory: Any
) -> None:
    data = demo(name)
    for path, value in changes:
        with contextlib.suppress(AttributeError, TypeError):  # a key under what is no table any more
            put(data, list(path), value)
    hold(written(data).encode("utf-8", "replace"), command, tmp_path_factory.getbasetemp())


@settings(max_examples=25)
@given(
    name=st.sampled_from(NAMES),
    at=st.floats(0, 1),
    cut=st.integers(0, 40),
    noise=st.binary(max_size=12),
    command=COMMANDS,
)
def test_any_damage_to_the_text(
    name: str, at: float, cut: int, noise: bytes, command: list[str], tmp_path_factory: Any
) -> None:
    raw = demo_text(name).encode()
    k = math.floor(at * len(raw))
    hold(raw[:k] + noise + raw[k + cut :], command, tmp_path_factory.getbasetemp())


@settings(max_examples=20)
@given(text=st.text(max_size=60))
def test_any_name_is_shown_inert_and_read_back_as_it_was(text: str, tmp_path_factory: Any) -> None:
    clean = text.encode("utf-8", "replace").decode()
    content = written(demo("asphalt", deployment__name=clean)).encode()
    assert tomllib.loads(content.decode())["deployment"]["name"] == clean
    assert hold(content, ["limit"], tmp_path_factory.getbasetemp()) == 0
    _, out, _ = judged(content, ["limit", "--json"], tmp_path_factory.getbasetemp())
    assert json.loads(out)["name"] == clean
