"""A signature says what a function goes by: which take the whole deployment is a closed list, and grows by no one unseen."""

import ast
from collections import Counter
from functools import cache

from tests.unit.test_layers import FILES

WHOLE = {
    "loads": {
        "hill_share",
        "trip",
        "trips",
    },  # policy, shelter, site and wind: what a meter shows at the shelter
    "holding": {"everywhere", "off_load", "over_points"},  # they give another deployment back
    "checks": {
        "_as_gust",
        "_assemble",
        "assemble",
        "change",
        "changed",
        "note",
        "of",
        "override",
        "wall_effects",
    },  # all of it together, and what changes it
}
"""In the rooms that work numbers out: each function that takes all of the file. None in shelter, formulas and chance."""
ELSEWHERE = {
    "bundle": 2, "cli": 8, "climate": 3, "deployment": 5, "fleet": 2, "judging": 15, "meter": 2, "outlook": 8, "paper": 6, "record": 19, "region": 5,
    "tui": 4, "ways": 10,
}  # fmt: skip
"""How many at the most in the others; lower a number where one goes."""


def whole(tree: ast.AST) -> list[str]:
    """Functions with a parameter that is the whole deployment."""

    def names(a: ast.arg) -> set[str]:
        inside = [] if a.annotation is None else list(ast.walk(a.annotation))
        return {n.id for n in inside if isinstance(n, ast.Name)} | {
            str(n.value) for n in inside if isinstance(n, ast.Constant)
        }

    return [
        f.name
        for f in ast.walk(tree)
        if isinstance(f, ast.FunctionDef | ast.AsyncFunctionDef)
        and any("Deployment" in names(a) for a in (*f.args.posonlyargs, *f.args.args, *f.args.kwonlyargs))
    ]


@cache
def by_room() -> dict[str, list[str]]:
    out: dict[str, list[str]] = {}
    for name, path in FILES.items():
        parts = name.split(".")
        room = parts[0] if parts[0] == "tui" else parts[1] if len(parts) > 2 else "anchorage"
        if "Deployment" in (text := path.read_text("utf-8")):
            out.setdefault(room, []).extend(whole(ast.parse(text)))
    return out


def test_what_is_counted() -> None:
    """Quoted, optional and keyword-only parameters count; a part of the file and what is given back do not."""
    text = (
        'def a(d: "Deployment"): ...\ndef b(*, d: Deployment | None): ...\ndef c(w: Wind) -> Deployment: ...'
    )
    assert whole(ast.parse(text)) == ["a", "b"]


def test_rooms_that_work_numbers_out_take_parts() -> None:
    found = by_room()
    rooms = ("core", "shelter", "formulas", "loads", "holding", "checks", "chance")
    assert {r: set(found.get(r, ())) for r in rooms} == {r: WHOLE.get(r, set()) for r in rooms}


def test_no_more_take_all_of_it() -> None:
    counted = Counter({r: len(names) for r, names in by_room().items() if r not in WHOLE and names})
    assert counted - Counter(ELSEWHERE) == Counter()
