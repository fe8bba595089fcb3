"""Random deployments with every key of the file in them somewhere, and the worsenings that ``tables/worse.toml`` names.

A file is nested tables as in ``strategies``, made by one ``random.Random`` so that a run is the same every time.
:func:`worsened` goes one step the worse way along one key; :func:`outcome` is what may then not be better.
"""

from __future__ import annotations

import copy
import functools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from random import Random
from typing import Any

from anchorage.core import tables
from anchorage.core.checked import What
from anchorage.core.closed import MATERIALS
from anchorage.core.errors import AnchorageError
from anchorage.core.table_files import Worse
from anchorage.deployment.models import Deployment
from anchorage.holding.hardware import beyond_belief
from anchorage.judging.plan import make_plan
from anchorage.judging.result import Plan
from tests.strategies import File, Q, points, read, unsized

WALLS = ("front", "back", "left", "right")
FORMS = ("gable", "gable", "hip", "single-slope", "arch", "canopy-gable", "canopy-single-slope")
CLAYS = ("hard-clay", "very-stiff-clay", "stiff-clay", "medium-clay", "soft-clay")
SANDS = ("loose-sand", "dense-sand", "gravel")
KINDS = ("ballast", "lines", "feet", "line-ballast", "deadman", "mixed", "holdfast")
REFUSED = 3
"""Rank of what is refused or cannot be read: nothing is worse."""
RANKS = {"go": 0, "unknown": 1, "no-go": 2}
TIGHT = 1e-9
ROWS: tuple[Worse, ...] = tables.register().worse


def length(r: Random, low: float, high: float) -> Q:
    return Q("length", round(r.uniform(low, high), 3))


def often(r: Random, share: float) -> bool:
    return r.random() < share


# --- the parts of a file


def _shelter(r: Random, method: str) -> File:
    form = r.choice([f for f in FORMS if method != "en1991" or f not in ("arch", "hip")])
    canopy = form.startswith("canopy")
    low = 5.3 if canopy else 3.0
    long, wide, eave = r.uniform(low, 9.0), r.uniform(low, 9.0), r.uniform(2.4, 3.2)
    run = wide if form.endswith("single-slope") else wide / 2
    if form == "hip":
        long = max(long, wide)
    rise = run * (r.choice((0.26, 0.48, 0.74)) if form == "arch" else r.uniform(0.14, 0.35) if canopy
                  else r.choice((0.0, r.uniform(0.01, 0.16), r.uniform(0.19, 0.8))))  # fmt: skip
    out: File = {
        "form": form, "length": Q("length", round(long, 3)), "width": Q("length", round(wide, 3)), "eave": Q("length", round(eave, 3)),
        "ridge": Q("length", round(eave + rise, 3)), "mass": Q("mass", round(r.uniform(30, 600), 1)) if often(r, 0.9) else None,
        "points_per_side": r.randint(3, 5), "points_per_end": r.randint(2, 4),
        "straps": r.choice((None, "unlocked", "locked")),
    }  # fmt: skip
    if form == "hip" and often(r, 0.4) and rise > 0:
        out["ridge_length"] = Q("length", round(max(long - wide, 0.0) + 0.1, 3))
    if form.endswith("single-slope"):
        out["high_side"] = r.choice(("left", "right"))
    if canopy:
        out["blockage"] = r.choice((None, "clear", "obstructed"))
    elif often(r, 0.6):
        out["openings"] = {w: r.choice((0.0, 0.0, 0.004, 0.03, 0.13, 0.29)) for w in WALLS}
    out["spans_lost_foot"] = r.choice((None, False, True, True))
    if often(r, 0.12):
        out["joined"] = {"count": 2, "how": "end-to-end"}
    if often(r, 0.7):
        out["rating"] = {
            "gust_unlocked": Q("speed", round(r.uniform(12, 40), 2)),
            "gust_locked": Q("speed", round(r.uniform(40, 60), 2)),
        }
        if often(r, 0.8):
            out["rating"] |= {"roof_snow_unlocked": Q("pressure", round(r.uniform(50, 300), 1)),
                              "roof_snow_locked": Q("pressure", round(r.uniform(300, 900), 1))}  # fmt: skip
    if often(r, 0.45):
        strap = {
            "count": r.randint(2, 5), "ends": r.randint(1, 4), "angle": r.uniform(30, 60), "bay": length(r, 1.2, 2.5),
            "rated": Q("force", round(r.uniform(3e3, 12e3), 0)), "stiffness": Q("force", round(r.uniform(5e4, 3e5), 0)),
            "slack": Q("length", round(r.uniform(0.005, 0.03), 4)),
            "frame_across": r.choice((None, False, True)),
        }  # fmt: skip
        out["strap"] = strap
        out["straps"] = r.choice(("locked", "locked", "unlocked"))
    if often(r, 0.4):
        out["lean"] = round(r.uniform(0.002, 0.02), 4)
    if often(r, 0.4):
        out["leg_lean"] = round(r.uniform(1, 10), 2)
    return out


def _openings(r: Random, shelter: File) -> tuple[list[File], list[File]]:
    if shelter["form"].startswith("canopy"):
        return [], []
    doors = [
        {"wall": r.choice(WALLS), "width": length(r, 0.6, 1.3), "height": length(r, 0.8, 1.9), "is": r.choice(("open", "closed", "in-use", None))}
        for _ in range(r.choice((0, 1, 1, 2, 3)))
    ]  # fmt: skip
    ducts = [
        {"wall": r.choice(WALLS), "diameter": length(r, 0.08, 0.4), "count": r.choice((None, 1, 2))}
        for _ in range(r.choice((0, 0, 1, 2)))
    ]
    return doors, ducts


def _site(r: Random, method: str, surface: str) -> File:
    state = r.choice((None, "dry", "dry", "dry", "wet", "wet", "frozen", "ice", "snow"))
    warmth = r.uniform(255, 272) if state in ("frozen", "ice", "snow") else r.uniform(276, 305)
    out: File = {
        "surface": surface, "state": state,
        "temperature": Q("temperature", round(warmth, 2)) if often(r, 0.6) else None,
        "humidity": round(r.random(), 3) if often(r, 0.6) else None,
        "slope": r.choice((None, None, 0.0, 1.0, 3.0)), "utilities": r.choice((None, "marked", "marked")),
        "beside": r.choice((None, "nothing", "building", "shelter")),
    }  # fmt: skip
    if often(r, 0.3):
        out["pressure"] = Q("pressure", round(r.uniform(85e3, 103e3), 0))
    elif often(r, 0.6):
        out["elevation"] = length(r, 0, 2000)
    if often(r, 0.8):
        if method == "en1991" and often(r, 0.7):
            out["terrain_category"] = r.choice(("I", "II", "III", "IV"))
        elif often(r, 0.4):
            out["surroundings"] = r.choice(("open", "field", "town"))
        else:
            out["exposure"] = r.choice("BCD")
    if often(r, 0.5):
        out["heading"] = round(r.uniform(0, 360), 1)
        if often(r, 0.5) and ("exposure" in out or "terrain_category" in out):
            start = r.randint(0, 359)
            key = "terrain_category" if "terrain_category" in out else "exposure"
            order = ("IV", "III", "II", "I", "0") if key == "terrain_category" else ("B", "C", "D")
            out[key] = order[-2]
            out["exposures"] = [
                {"from": start, "to": (start + r.randint(40, 150)) % 360, key: r.choice(order[:-1])}
            ]
    if often(r, 0.2):
        out["topography"] = {
            "feature": r.choice(("hill", "ridge", "escarpment")), "height": length(r, 10, 60),
            "half_length": length(r, 60, 300), "distance": r.choice((None, None, length(r, 1, 80))),
            "side": r.choice((None, "upwind", "downwind")),
        }  # fmt: skip
    return out


def _wind(r: Random, method: str, site: File, strength: bool) -> File:
    out: File = {"method": method, "speed": Q("speed", round(r.uniform(4, 17), 2))}
    if method == "physics":
        out["method"] = r.choice((None, "physics"))
    if often(r, 0.6):
        out["code_minimum"] = often(r, 0.4)
    if "heading" in site and often(r, 0.6):
        out["from"] = round(r.uniform(0, 360), 1)
    if strength:
        return out | {"level": "strength", "averaging": "3 s", "height": Q("length", 10.0)}
    if method == "en1991":
        return out | {
            "averaging": "10 min",
            "return_period": round(r.uniform(20, 200), 0) if often(r, 0.5) else None,
        }
    if method != "physics":
        out["level"] = "service"
    if often(r, 0.12):
        del out["speed"]
        return out | {"beaufort": r.randint(2, 7)}
    said = r.choice(
        (None, None, "forecast-gust", "airport-wind", "forecast-wind", "meter-peak", "meter-average")
    )
    if said is not None:
        out["speed_is"] = said
        if said.startswith("meter"):
            out["height"] = length(r, 1.5, 9.0)
            if said == "meter-average" and often(r, 0.6) and not (site.keys() & {"topography"}):
                site["z0"] = Q("length", round(r.uniform(0.005, 0.1), 4))
    else:
        out["averaging"] = r.choice((None, "3 s", "1 min", "2 min", "10 min", "1 h"))
        if often(r, 0.4):
            out["height"] = length(r, 1.5, 9.0)
    out["terrain"] = r.choice((None, "open", "site"))
    out["conversion"] = r.choice((None, "durst", "wmo", "larger"))
    return out


def _kind(r: Random) -> str | None:
    return r.choice((None, "new", "settled", "wet", "slush", "ice"))


def _falling(r: Random) -> File:
    return r.choice(
        ({"water": length(r, 0.0005, 0.004)}, {"depth": length(r, 0.005, 0.04), "kind": _kind(r)})
    )


def _snow(r: Random, method: str, site: File) -> File:
    out: File = {}
    how = r.choice(("depth", "layers", "water", "core", "code", "code", "code"))
    if how == "depth":
        out = {"depth": length(r, 0.01, 0.2), "kind": _kind(r)}
    elif how == "layers":
        out = {"layers": [{"depth": length(r, 0.01, 0.08), "kind": _kind(r)} for _ in range(2)]}
    elif how == "water":
        out = {"water": length(r, 0.002, 0.03)}
    elif how == "core":
        out = {"core": {"mass": Q("mass", round(r.uniform(0.05, 0.4), 3)), "area": Q("area", 0.01)}}
    else:
        editions = {
            "physics": ("asce7-16", "asce7-22", "en1991-1-3", "en1991-1-3", "en1991-1-3"),
            "en1991": ("en1991-1-3",),
        }
        edition = r.choice(editions.get(method, (method,)))
        site["beside"] = None
        out = {"ground_load": Q("pressure", round(r.uniform(100, 900), 1)), "edition": edition,
               "heated": r.choice((None, True, False)), "level": "strength" if edition == "asce7-22" else "service"}  # fmt: skip
        if edition == "en1991-1-3":
            del out["level"]
            out["exposure"] = r.choice((None, "windswept", "normal", "sheltered"))
            out["exceptional"] = r.choice((None, True, False))
            if often(r, 0.7):
                out |= {"return_period": r.randint(10, 300), "variation": round(r.uniform(0.2, 0.6), 3)}
        else:
            out["exposure"] = r.choice((None, "fully", "partially", "sheltered"))
            out["risk_category"] = r.choice((None, "I", "II", "III", "IV"))
            out["slippery"] = r.choice((None, True, False))
            if edition == "asce7-22":
                out["winter_wind"] = round(r.uniform(0.2, 0.6), 3) if often(r, 0.8) else None
        if often(r, 0.6):
            out["building"] = {
                "width": length(r, 5, 30),
                "height": length(r, 5, 15),
                "slope": r.choice((0.0, 12.0, 30.0)),
            }
    if how != "code":
        if often(r, 0.5):
            out["rain"] = length(r, 0.001, 0.02)
        if often(r, 0.5):
            out["falling"] = _falling(r)
        out["pockets"] = r.choice((None, None, False, True))
        if often(r, 0.4):
            out |= {"sag": length(r, 0.01, 0.1), "sag_span": length(r, 0.8, 2.5)}
        out["holds_down"] = r.choice((None, None, False, True))
    return out


def _stake(r: Random, *, line: bool) -> File:
    out: File = {
        "diameter": length(r, 0.016, 0.04), "driven": length(r, 0.5, 1.2), "soil": r.choice((*CLAYS, *CLAYS, *SANDS)),
    }  # fmt: skip
    if line:
        out |= {
            "line_angle": round(r.uniform(25, 65), 1),
            "line_height": r.choice((None, length(r, 0.0, 0.2))),
        }
        if often(r, 0.5):
            tests = [Q("force", round(r.uniform(800, 9000), 0)) for _ in range(r.choice((1, 2, 3, 4)))]
            turn = r.choice((0.0, 0.0, 5.0, 20.0))
            out |= {"pull_tests": tests, "pull_angle": out["line_angle"] - turn, "pulled": r.choice(("held", "to-failure")),
                    "tested": r.choice((None, "dry", "wet"))}  # fmt: skip
            if often(r, 0.5):
                out |= {
                    "test_driven": length(r, 0.5, 1.2),
                    "test_diameter": length(r, 0.016, 0.04),
                    "test_height": length(r, 0.0, 0.2),
                }
    if often(r, 0.5):
        out["spacing"] = length(r, 0.1, 1.0)
    if often(r, 0.3):
        out["lean"] = round(r.uniform(-20, 20), 1)
    return out


def _adds(r: Random, out: File) -> None:
    """Friction beside stakes and lines, by the word of some files."""
    if out["kind"] != "ballast":
        out["friction_adds"] = r.choice((None, False, True))


def _line(r: Random, out: File) -> None:
    if often(r, 0.6):
        out["line_rated"] = Q("force", round(r.uniform(2e3, 15e3), 0))
    if often(r, 0.6):
        out["attachment_rated"] = Q("force", round(r.uniform(2e3, 15e3), 0))
    out["knots"] = r.choice((None, True, False))


def _unit(r: Random, out: File, *, heavy: bool) -> None:
    names = (
        ("concrete-block", "water-barrel", "water-tote")
        if heavy
        else ("sandbag", "sandbag", "sandbag-30", "water-barrel")
    )
    out["unit"] = r.choice(names)
    if often(r, 0.5):
        out["unit_mass"] = Q("mass", round(r.uniform(100, 800) if heavy else r.uniform(12, 60), 1))


def _lashed(r: Random, out: File) -> None:
    """Some of the ballast lashed to the legs, with more or less said of it, and some legs with a rating."""
    if often(r, 0.4):
        out["how"] = "lashed-to-leg"
        if often(r, 0.9):
            out["how_detail"] = {"stop": r.choice((None, True, True, True)), "every_bag": r.choice((None, True, True, False)),
                                 "on_ground": r.choice((None, True, False))}  # fmt: skip
    out["foot_rated"] = r.choice((None, Q("force", round(r.uniform(3e2, 2e4), 0))))


def _holds(r: Random, kind: str) -> File:
    out: File = {"kind": {"lines": "stakes", "feet": "stakes", "holdfast": "stakes"}.get(kind, kind)}
    out["contact"] = r.choice((None, "cloth", "plate", "ground"))
    out["foot"] = r.choice((None, "bare-metal", "plastic", "rubber"))
    if kind in ("ballast", "mixed"):
        _unit(r, out, heavy=False)
        out["how"] = r.choice((None, "on-foot", "hung-clear", "standing-tied"))
        _lashed(Random(repr(out)), out)  # noqa: S311 - of its own, so that the rest of the file stays as it was
        out["stack"] = r.choice((None, r.randint(4, 30)))
    if kind == "line-ballast":
        _unit(r, out, heavy=True)
        if often(r, 0.5):
            out["block"] = {"height": length(r, 0.1, 0.5), "eye": length(r, 0.2, 0.5), "middle": length(r, 0.4, 0.6),
                            "depth": r.choice((None, length(r, 0.9, 1.4)))}  # fmt: skip
    if kind in ("ballast", "line-ballast", "mixed") and often(r, 0.5):
        out["bearing_area"] = Q("area", round(r.uniform(0.05, 0.5), 3))
    if kind in ("line-ballast", "deadman", "mixed"):
        out["line_angle"] = round(r.uniform(25, 45), 1)
    if kind in ("lines", "line-ballast", "deadman", "mixed", "holdfast"):
        _line(r, out)
    if kind in ("lines", "feet", "mixed"):
        out["stake"] = _stake(r, line=kind != "feet")
    if kind == "holdfast":
        out["stake"] = {"diameter": Q("length", 0.05), "driven": Q("length", 0.9), "line_angle": 20.0, "soil": "stiff-clay",
                        "combination": r.choice(("1-1", "2-1", "3-2-1"))}  # fmt: skip
    if kind in ("deadman", "mixed"):
        face = r.uniform(0.2, 0.5)
        out["deadman"] = {"depth": length(r, 1.0, 2.0), "length": Q("length", round(face * r.uniform(2.0, 4.8), 3)),
                          "face": Q("length", round(face, 3)), "ground": r.choice((None, "loam", "hardpan", "fine", "sand", "fine-wet")), "trench": r.choice((None, length(r, 0.31, 0.6))),
                          "thickness": r.choice((None, Q("length", round(face, 3))))}  # fmt: skip
    if often(r, 0.6):
        out["size_for"] = r.choice(("empty", "people-in", "working", "set-up"))
    _adds(Random(repr(out)), out)  # noqa: S311 - of its own, so that the rest of the file stays as it was
    return out


def _point(r: Random, kind: str, id_: str) -> File:
    out: File = {"id": id_}
    if kind == "mixed":
        out["kind"] = r.choice(("ballast", "ballast", "stakes", "line-ballast", "deadman"))
        if out["kind"] in ("ballast", "line-ballast"):
            out["unit"] = r.choice((None, "sandbag", "sandbag-30"))
    elif often(r, 0.3):
        out["usable"] = r.choice((True, True, False))
    elif often(r, 0.3):
        out["on_ground"] = r.choice((True, False))
    if kind == "ballast" and often(r, 0.5):
        out["unit"] = r.choice(("sandbag", "sandbag-30"))
    if kind in ("ballast", "line-ballast") and often(r, 0.5):
        out["surface"] = r.choice(("concrete", "asphalt", "concrete-smooth"))
    if often(r, 0.3):
        out["state"] = r.choice(("dry", "wet", "ice"))
    if kind in ("lines", "feet") and often(r, 0.5):
        out["driven"] = length(r, 0.4, 1.0)
    if kind in ("lines", "feet") and often(r, 0.5):
        out["soil"] = r.choice(CLAYS)
    return out


def _asked(file: File) -> File:
    """What is asked of the ground and of units of their own, drawn apart so that the rest stays as it was."""
    r = Random(repr(file["shelter"]))  # noqa: S311 - repeatable, and no secret
    site, held = file["site"], file["anchorage"]
    site["beneath"] = r.choice(("nothing", "nothing", "nothing", None))
    if site["surface"] in ("asphalt", "concrete") and often(r, 0.2):
        site |= {
            "surface": "other",
            "lowest_friction_by": r.choice(("a safety officer", "a safety officer", None)),
        }
    if held["kind"] in ("ballast", "line-ballast") and held.get("unit_mass") is not None and often(r, 0.5):
        held |= {"unit": "own", "unit_material": r.choice(MATERIALS)}
        for point in file.get("point", []):
            if point.get("unit") is None and often(r, 0.7):
                point["unit_material"] = r.choice(("woven", "woven", "plastic"))
    if often(r, 0.5):
        file["test"] = _tests(r, held)
    return file


def _tests(r: Random, held: File) -> list[File]:
    """Pulls of a unit at some places, or of stakes, or a weighing, or clay that was read."""
    kind = r.choice(("pull", "vane")) if held.get("stake") else r.choice(("drag", "drag", "weigh"))
    places = r.choice((1, 2, 2, 3, 5, 6))
    if kind == "weigh":
        return [{"kind": kind, "force": [Q("mass", round(r.uniform(10, 40), 2)) for _ in range(places)]}]
    if kind == "vane":
        return [
            {"kind": kind, "force": [Q("pressure", round(r.uniform(2e4, 2e5), 0)) for _ in range(places)]}
        ]
    if kind == "pull":
        return [{"kind": kind, "place": f"place {i}", "force": [Q("force", round(r.uniform(500, 6000), 0))], "angle": held["stake"].get("line_angle"),
                 "movement": Q("length", 0.04), "state": r.choice((None, "dry", "wet"))} for i in range(places)]  # fmt: skip
    what = r.choice(("bag", "cloth", "unit", "foot"))
    return [{"kind": kind, "what": what, "contact": "ground", "place": f"place {i}", "load": Q("mass", round(r.uniform(15, 200), 1)), "angle": 0.0,
             "force": [Q("force", round(r.uniform(40, 900), 0))], "steady": [Q("force", round(r.uniform(40, 600), 0))]} for i in range(places)]  # fmt: skip


def deployment(r: Random) -> File:
    """A file that a team could write. About a third are to be sized."""
    kind = r.choice(KINDS)
    own = often(r, 0.2)
    set_ = "own" if own else r.choice(("lumped-1.5", "lumped-1.5", None, "en1997-equ", "asd"))
    method = (
        r.choice(("asce7-16", "asce7-22"))
        if set_ == "asd"
        else r.choice(("physics", "physics", "physics", "asce7-16", "asce7-22", "en1991"))
    )
    shelter = _shelter(r, method)
    doors, ducts = _openings(r, shelter)
    hard = kind in ("ballast", "line-ballast") and often(r, 0.6)
    surface = r.choice(
        ("asphalt", "concrete", "concrete-smooth") if hard else ("grass", "clay", "sand", "gravel")
    )
    site = _site(r, method, surface)
    file: File = {
        "deployment": {"name": "a file", "show_units": r.choice(("us", "si")), "use": r.choice((None, None, "other", "triage")), "weighed": r.choice((None, True)), "mixed_units": r.choice((None, True))},
        "shelter": shelter, "site": site, "wind": _wind(r, method, site, set_ == "asd"), "anchorage": _holds(r, kind),
    }  # fmt: skip
    if own:
        file["margins"] = {
            "set": "own", "wind": round(r.uniform(1.1, 2.0), 2), "line": round(r.uniform(1.0, 2.0), 2), "level": "service", "source": "a manual",
        } | {k: round(r.uniform(0.4, 0.95), 2) for k in ("shelter", "ballast", "friction", "stake")}  # fmt: skip
    elif set_ is not None:
        file["margins"] = {"set": set_}
    if often(r, 0.5):
        file["snow"] = _snow(r, method, site)
    if often(r, 0.5):
        file["policy"] = {k: v for k, v in {
            "gust": Q("speed", round(r.uniform(8, 30), 2)), "setup_gust": Q("speed", round(r.uniform(5, 15), 2)),
            "snow": r.choice(("cts-7", "en-13782")), "snow_load": Q("pressure", round(r.uniform(60, 500), 1)),
            "snow_depth": length(r, 0.02, 0.2), "secure": round(r.uniform(0.3, 0.6), 2), "people_out": round(r.uniform(0.61, 0.8), 2),
        }.items() if often(r, 0.5)}  # fmt: skip
    if often(r, 0.5):
        file["stock"] = (
            {"units": r.randint(20, 400)}
            if kind in ("ballast", "line-ballast")
            else {"stakes": r.randint(20, 200), "units": r.randint(50, 400), "deadmen": 20}
        )
    ids = _ids(file)
    chosen = (
        ids
        if kind == "mixed"
        else r.sample(ids, r.choice((0, 1, 2)))
        if shelter["points_per_side"] > 3
        else []
    )
    if chosen:
        file["point"] = [_point(r, kind, i) for i in chosen]
    if not often(r, 0.3):
        _placed(r, file, kind, ids)
        if often(r, 0.4):
            file["halfway"] = {"placed": r.randint(1, 8)}
    if often(r, 0.6):
        file.setdefault("halfway", {})["cover"] = r.choice(("attached", "after"))
    if doors:
        file["door"] = doors
    if ducts:
        file["duct"] = ducts
    return _asked(tidy(file))


def _ids(file: File) -> list[str]:
    joined = file["shelter"].get("joined") or {}
    side = file["shelter"]["points_per_side"]
    if joined.get("how") == "end-to-end":
        side = joined["count"] * (side - 1) + 1
    return points({"shelter": file["shelter"] | {"points_per_side": side}})


def _placed(r: Random, file: File, kind: str, ids: list[str]) -> None:
    most = {"ballast": 30, "line-ballast": 4, "deadman": 1, "mixed": 8}.get(kind, 5)
    if kind == "mixed":
        for p in file["point"]:
            p["placed"] = 1 if p["kind"] == "deadman" else r.randint(1, 20 if p["kind"] == "ballast" else 4)
    elif often(r, 0.5):
        file["anchorage"]["placed"] = r.randint(1, most)
        for p in file.get("point", []):
            if often(r, 0.5):
                p["placed"] = r.randint(0, most)
    else:
        file["anchorage"]["placed"] = {i: r.randint(1, most) for i in ids}


# --- one step the worse way


@dataclass(frozen=True)
class Step:
    """One key gone the worse way."""

    key: str
    was: Any
    now: Any


ADDED: dict[str, Callable[[Random, File], Any]] = {
    "door": lambda r, f: {"wall": r.choice(WALLS), "width": length(r, 0.6, 1.2), "height": length(r, 0.8, 1.9), "is": r.choice(("open", "in-use"))},
    "duct": lambda r, f: {"wall": r.choice(WALLS), "diameter": length(r, 0.1, 0.5)},
    "snow.layers": lambda r, f: {"depth": length(r, 0.01, 0.08), "kind": _kind(r)},
    "point": lambda r, f: {"id": r.choice([i for i in _ids(f) if i not in {p["id"] for p in f.get("point", [])}] or ["-"]), "usable": False},
    "site.topography": lambda r, f: {"feature": r.choice(("hill", "ridge", "escarpment")), "height": length(r, 10, 60), "half_length": length(r, 60, 300)},
    "snow.falling": lambda r, f: _falling(r),
    "snow.building": lambda r, f: {"width": Q("length", 10.0), "height": Q("length", 8.0), "slope": 10.0},
    "anchorage.block": lambda r, f: {"height": length(r, 0.1, 0.5), "eye": length(r, 0.2, 0.5), "middle": length(r, 0.4, 0.6)},
    "policy.snow": lambda r, f: r.choice(("cts-7", "en-13782")),
    "shelter.joined": lambda r, f: {"count": 2, "how": "side-by-side"},
    "anchorage.stake.lean": lambda r, f: round(r.uniform(-45, 45), 1),
    "forecast": lambda r, f: {"heard": "13:00", "lines": ["until 18:00 gust 60 mph"]},
}  # fmt: skip
"""What is added where a list or a table is begun or grows."""


def places(file: File, key: str) -> list[tuple[Any, str]]:
    """Every table of a file in which a key may stand: of each item where there is a list."""
    *parents, last = key.split(".")
    found: list[Any] = [file]
    for name in parents:
        inner = [t.get(name) for t in found]
        found = [y for x in inner if x is not None for y in (x if isinstance(x, list) else [x])]
    return [(t, last) for t in found if isinstance(t, dict)]


def _number(r: Random, value: Any, *, up: bool) -> Any:
    """A number gone up or down; None where it cannot."""
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return None
    if isinstance(value, Q):
        if value.kind == "temperature":
            return Q(value.kind, round(value.si + r.uniform(0.5, 12) * (1 if up else -1), 2))
        if value.si == 0.0:
            return Q(value.kind, 0.01) if up else None
        return Q(value.kind, round(value.si * (r.uniform(1.02, 2.0) if up else r.uniform(0.4, 0.98)), 6))
    if isinstance(value, int):
        moved = value + r.randint(1, 3) * (1 if up else -1)
        return moved if moved >= 0 else None
    if isinstance(value, float):
        if value == 0.0:
            return 0.01 if up else None
        return round(value * (r.uniform(1.02, 1.8) if up else r.uniform(0.4, 0.98)), 6)
    if isinstance(value, dict):
        able = [k for k, v in value.items() if _number(Random(0), v, up=up) is not None]  # noqa: S311 - repeatable, and no secret
        k = r.choice(able) if able else None
        return None if k is None else value | {k: _number(r, value[k], up=up)}
    if isinstance(value, list) and value and not isinstance(value[0], dict):
        i = r.randrange(len(value))
        moved = _number(r, value[i], up=up)
        return None if moved is None else [*value[:i], moved, *value[i + 1 :]]
    return None


def _next(r: Random, row: Worse, file: File, value: Any) -> Any:
    """A later value of a list of values: ``None`` leaves the key out; ``NotImplemented`` where there is none."""
    order = list(row.worse)
    if value is None:
        at = order.index("left out") if "left out" in order else None
    elif value in order and isinstance(value, bool) == isinstance(order[order.index(value)], bool):
        at = order.index(value)
    else:
        at = order.index("said") if "said" in order else None
    later = [] if at is None else order[at + 1 :]
    if not later:
        return NotImplemented
    chosen = r.choice(later)
    if chosen == "left out":
        return None
    if chosen == "said":
        return ADDED[row.key](r, file) if row.key in ADDED else NotImplemented
    if chosen == "side-by-side":
        return ADDED[row.key](r, file)
    return chosen


def worsened(r: Random, row: Worse, file: File) -> tuple[File, Step] | None:
    """The file with one key gone the worse way; None where the key has no place in it, or the order does not hold."""
    if row.worse == "none" or row.of != "file" or any(UNLESS[u](file, row.key) for u in row.unless):
        return None
    if not any(
        last in place or isinstance(row.worse, list) or row.key in ADDED
        for place, last in places(file, row.key)
    ):
        return None
    out = copy.deepcopy(file)
    spots = places(out, row.key)
    r.shuffle(spots)
    for place, last in spots:
        value = place.get(last)
        if isinstance(row.worse, list):
            moved = _next(r, row, file, value)
            if moved is NotImplemented:
                continue
        elif row.key in ADDED and row.worse == "more" and not isinstance(value, Q):
            moved = [*(value or []), ADDED[row.key](r, file)]
            if row.key == "snow.layers" and not value:
                continue
        elif row.key == "site.exposures":
            moved = None if value else NotImplemented
            if not value:
                continue
        else:
            moved = _number(r, value, up=row.worse == "more")
            if moved is None:
                continue
            if "the last strap goes" in row.unless:
                moved = max(moved, 1)
        place[last] = moved
        if row.key.startswith("shelter.points_per"):
            _only_there(out)
        return out, Step(row.key, value, moved)
    return None


def _only_there(file: File) -> None:
    """Say nothing of points that are no longer there."""
    side, end = (file["shelter"].get(k) for k in ("points_per_side", "points_per_end"))
    if (side or 0) < 2 or (end or 0) < 2:
        return
    ids = _ids(file)
    file["point"] = [p for p in file.get("point", []) if p["id"] in ids]
    for part in ("anchorage", "halfway"):
        placed = (file.get(part) or {}).get("placed")
        if isinstance(placed, dict):
            file[part]["placed"] = {k: n for k, n in placed.items() if k in ids}


def _pulls(file: File, key: str) -> bool:
    if (file["site"].get("slope") or 0.0) > 0.0:
        return True
    if _foot_pulled(file):  # what it carries decides whether the pull counts
        return True
    return key == "shelter.mass" and ("strap" in file["shelter"] or "snow" in file)


def _meter(file: File, key: str) -> bool:
    w = file["wind"]
    low = w.get("height")
    return low is not None and low.si < 9.9


def _foot_pulled(file: File) -> bool:
    return any(t["kind"] == "drag" for t in file.get("test", []))


def _own_mass(file: File, key: str) -> bool:
    return "unit_mass" in file["anchorage"]


def _no_line(file: File, key: str) -> bool:
    s, a = file["anchorage"].get("stake") or {}, file["anchorage"]
    return a["kind"] == "mixed" or not (s.get("line_height") or a.get("line_rated") or s.get("combination"))


def _nothing_opens(file: File, key: str) -> bool:
    """Then it is asked how people get in, and an opening answers that."""
    opens = file["shelter"].get("openings")
    return (
        file["anchorage"].get("size_for") == "working"
        and not file.get("door")
        and not file.get("duct")
        and opens is not None
        and not any(opens.values())
    )


def _beyond_belief(file: File, key: str) -> bool:
    """Then it counts nothing, and less of it may be believed."""
    if key == "anchorage.stack":
        return _stack_over(file)
    if "test" not in file and not (file["anchorage"].get("stake") or {}).get("pull_tests"):
        return False
    try:
        d = read(tidy(file))
    except AnchorageError:
        return True
    return bool(beyond_belief(d.deployment, d.anchorage, d.ground))


def _stack_over(file: File) -> bool:
    """A count at a point that is asked about; what is then believed is none that a lower one would be."""
    stack = file["anchorage"].get("stack")
    listed = tables.table("stacking").by_key.get(file["anchorage"].get("unit") or "")
    return stack is not None and (listed is None or stack > 2 * listed.value)


UNLESS: dict[str, Callable[[File, str], bool]] = {
    "nothing opens and people come and go": _nothing_opens,
    "a reading is beyond belief": _beyond_belief,
    "units of no list": lambda f, k: f["anchorage"].get("unit") not in tables.table("ballast-mass").by_key,
    "weight pulls": _pulls,
    "locked straps pull at their feet": lambda f, k: (
        "strap" in f["shelter"]  # locked, or to be
    ),
    "read low down": _meter,
    "away from the crest": lambda f, k: (f["site"].get("topography") or {}).get("distance") is not None,
    "points differ": lambda f, k: "point" in f or not isinstance(f["anchorage"].get("placed"), int),
    "a few per cent either way": lambda f, k: True,
    "a test says more or less than theory": lambda f, k: True,
    "its mass is given apart": _own_mass,
    "nothing else says that a line is there": _no_line,
    "stakes were pulled in softer ground": lambda f, k: (
        bool((f["anchorage"].get("stake") or {}).get("pull_tests")) or "test" in f
    ),
    "nothing else says what lies there": lambda f, k: True,
    "a return period under 50 years": lambda f, k: ((f.get("snow") or {}).get("return_period") or 50) < 50,
    "warmer rain stays in snow": lambda f, k: True,
    "cold snow is no slush": lambda f, k: (
        "snow" in f or "snow" in (f["site"].get("state"), *(p.get("state") for p in f.get("point", [])))
    ),
    "a code says the snow": lambda f, k: "ground_load" in (f.get("snow") or {}),
    "a test says more or less than the table": lambda f, k: True,
    "a foot was pulled": lambda f, k: _foot_pulled(f),
    "three or more, whose scatter counts": lambda f, k: (
        sum(len(t.get("force", [])) for t in f.get("test", [])) > 2
    ),
    "a meter is beside a forecast": lambda f, k: any(t["kind"] == "meter" for t in f.get("test", [])),
    "the last strap goes": lambda f, k: ((f["shelter"].get("strap") or {}).get(k.split(".")[-1]) or 0) < 2,
}


# --- what comes of it


@dataclass(frozen=True)
class Outcome:
    """What a plan lets people do. ranks and numbers by name: a larger rank is the worse, a larger number the better."""

    ranks: dict[str, int]
    numbers: dict[str, float]
    counts: dict[str, int] | None
    """Units by point, of a plan that was sized."""

    @property
    def refused(self) -> bool:
        return self.ranks["verdict"] == REFUSED


def _numbers(p: Plan) -> dict[str, float]:
    def known(v: float | None) -> float:
        return math.inf if v is None else v

    out = {
        "limit": known(p.limit.gust_m_s),
        "roof load": -p.snow.roof_load_pa,
        "uneven load": -p.snow.uneven_heavy_pa,
    }
    if p.limit.anchorage_gust_m_s is not None:
        out["anchorage"] = p.limit.anchorage_gust_m_s
    if p.limit.secured_gust_m_s is not None:
        out["secured"] = p.limit.secured_gust_m_s
    if p.snow.limit_pa is not None:
        out["snow"] = p.snow.limit_pa
    if p.half_built is not None and p.half_built.gust_m_s is not None:
        out["half built"] = p.half_built.gust_m_s
    return out


def outcome_of(p: Plan) -> Outcome:
    ranks = {"verdict": RANKS[p.verdict]} | {k: RANKS[v] for k, v in p.subjects.items()}
    numbers = _numbers(p)
    counts = None
    if p.anchorage.sized:
        total = p.anchorage.total.units + p.anchorage.total.stakes
        # counts do nothing for a foot that is out of use: where that is what gives first, they save nothing
        cannot = p.limit.governed_by == What.BARE or any(r.code == "cannot-be-held" for r in p.reasons)
        numbers = {"saved": -math.inf if cannot else -float(total)}
        counts = {q.id: q.units + q.stakes for q in p.anchorage.points}
    return Outcome(ranks, numbers, counts)


REFUSAL = Outcome({"verdict": REFUSED}, {}, None)


def tidy(value: Any) -> Any:
    """The same without the keys that are left out."""
    if isinstance(value, dict):
        return {k: tidy(v) for k, v in value.items() if v is not None}
    return [tidy(v) for v in value] if isinstance(value, list) else value


def outcome(file: File, *, built: bool) -> Outcome:
    """Judge a file through the door that users go through. built: leave out the counts for other uses."""
    file = tidy(file)
    try:
        if built:
            with unsized():
                return outcome_of(make_plan(read(file)))
        return outcome_of(make_plan(read(file)))
    except AnchorageError:
        return REFUSAL


def better(a: Outcome, b: Outcome, *, only: str | None = None, spare: float = 0.0) -> list[str]:
    """What is better in ``b``, which should nowhere be. only: ``verdict`` leaves the limits out; spare: units that may be saved."""
    if a.refused or b.refused:
        return []
    # a plan that was sized asks for more where it is worse: with more placed, the uses that it was not sized for may do
    more = a.counts is not None and b.counts is not None and sum(b.counts.values()) > sum(a.counts.values())
    out = [
        f"{k}: {v} -> {b.ranks[k]}"
        for k, v in a.ranks.items()
        if b.ranks.get(k, v) < v and (k == "verdict" or not more)
    ]
    for k, v in a.numbers.items() if only is None else ():
        w = b.numbers.get(k)
        w = w - spare if w is not None and k == "saved" else w
        if w is not None and w > v + TIGHT * max(1.0, abs(v)) and not math.isinf(v):
            out.append(f"{k}: {v:.6g} -> {w:.6g}")
    return out


def stands(file: File) -> bool:
    """Whether a file says what is placed."""
    return file["anchorage"].get("placed") is not None or any(
        p.get("placed") is not None for p in file.get("point", [])
    )


def as_built(file: File, counts: dict[str, int]) -> File:
    """The same file with these counts placed."""
    out = copy.deepcopy(file)
    out["anchorage"]["placed"] = {i: n for i, n in counts.items() if i in _ids(out)}
    for i in _ids(out):
        out["anchorage"]["placed"].setdefault(i, max(counts.values()))
    return out


def keys_of(schema: dict[str, Any], node: dict[str, Any], at: str = "") -> Iterator[str]:
    """Every key of the file that has a value of its own, and every table or list that is not there unless it is begun."""
    if "$ref" in node:
        yield from keys_of(schema, schema["$defs"][node["$ref"].rsplit("/", 1)[-1]], at)
    for part in node.get("anyOf", []):
        yield from keys_of(schema, part, at)
    if "items" in node:
        yield from keys_of(schema, node["items"], at)
    required = node.get("required", [])
    for name, value in node.get("properties", {}).items():
        key = f"{at}.{name}" if at else name
        inner = list(keys_of(schema, value, key))
        if not inner or (name not in required and not isinstance(value.get("default"), dict)):
            yield key
        yield from inner


@functools.cache
def file_keys() -> tuple[str, ...]:
    """Every key of the deployment file."""
    schema = Deployment.model_json_schema(by_alias=True)
    return tuple(dict.fromkeys(keys_of(schema, schema)))
