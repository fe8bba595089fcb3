"""What has to be filled in before there is a verdict, and what is asked about until it is: by what is typed, at once, before any answer.

A test holds it against the reader and the questions of a plan, so that neither asks for a field that is not marked.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from anchorage.core.plain import inert
from anchorage.core.say import say
from anchorage.deployment.draft import Draft, items
from tui.fields import OTHERS, SUBJECTS, Field, order_of, shown, subject_of

SOFT = ("gravel", "grass", "sand", "clay")
"""Ground that is dug and driven into; beneath any other there may be a cellar or a deck."""
ON_LINES = ("line-ballast", "deadman")
COUNTED = {"sandbag": "stock.sandbags"} | {unit: f.key for unit, f in OTHERS.items()}
"""Where so many of a unit are said to have been brought."""


def stock_of(draft: Draft) -> str:
    """Where it is said how many were brought of what holds it."""
    by_kind = {"stakes": "stock.stakes", "deadman": "stock.deadmen"}.get(draft.text("anchorage.kind"))
    return by_kind or COUNTED.get(draft.text("anchorage.unit"), "stock.units")


@dataclass(frozen=True)
class Want:
    """A field that is wanted. must: without it there is no verdict; else the worse counts, or the verdict is not known."""

    key: str
    when: Callable[[Draft], bool]
    must: bool = False


def _has(key: str, *texts: str) -> Callable[[Draft], bool]:
    return lambda d: d.text(key) in texts


def _all(*of: Callable[[Draft], bool]) -> Callable[[Draft], bool]:
    return lambda d: all(f(d) for f in of)


def _own(d: Draft) -> bool:
    """The sizes are typed here, and not in the file of a saved shelter."""
    return not d.text("shelter.use")


def _canopy(d: Draft) -> bool:
    return d.text("shelter.form") in ("canopy-gable", "canopy-single-slope")


def _shut_without_door(d: Draft) -> bool:
    shut = [d.text(f"shelter.openings.{w}") for w in ("front", "back", "left", "right")]
    said = any(shut) and all(x in ("", "0", "0.0") for x in shut)
    return said and not _canopy(d) and not items(d, "door") and not items(d, "duct")


def _rating(locked: bool) -> Callable[[Draft], bool]:
    return lambda d: _own(d) and (d.text("shelter.straps") == "locked") is locked


_staked, _weights = _has("anchorage.kind", "stakes"), _has("anchorage.kind", "ballast")
_lines = _has("anchorage.kind", *ON_LINES)
_buried = _has("anchorage.kind", "deadman")
_lashed = _all(_weights, _has("anchorage.how", "lashed-to-leg"))


def _no(key: str) -> Callable[[Draft], bool]:
    return _has(key, "")


def _on_lines(d: Draft) -> bool:
    return _lines(d) or (_staked(d) and d.text("anchorage.stake.line_angle") != "")


def _held_by(stock: str) -> Callable[[Draft], bool]:
    return lambda d: d.text("anchorage.kind") not in ("", "mixed") and stock_of(d) == stock


def _always(_: Draft) -> bool:
    return True


WANTED: tuple[Want, ...] = (
    *(Want(f"shelter.{k}", _own, must=True) for k in ("form", "length", "width", "eave", "ridge", "points_per_side")),
    Want("site.surface", _always, must=True),
    Want("wind.speed", _no("wind.beaufort"), must=True),
    Want("wind.height", _has("wind.speed_is", "meter-peak", "meter-average"), must=True),
    Want("anchorage.kind", _always, must=True),
    Want("anchorage.unit", _all(_has("anchorage.kind", "ballast", "line-ballast"), _no("anchorage.unit_mass")), must=True),
    Want("anchorage.unit_mass", _all(_has("anchorage.kind", "ballast", "line-ballast"), lambda d: d.text("anchorage.unit") != "")),
    Want("anchorage.line_angle", _lines, must=True),
    Want("anchorage.stake.diameter", _staked, must=True),
    Want("anchorage.stake.driven", _staked, must=True),
    Want("anchorage.stake.soil", _all(_staked, _no("anchorage.stake.pull_tests")), must=True),
    *(Want(f"anchorage.deadman.{k}", _buried, must=True) for k in ("depth", "length", "face")),
    Want("point[1].id", _has("anchorage.kind", "mixed"), must=True),
    Want("shelter.mass", _own),
    Want("shelter.rating.gust_unlocked", _rating(locked=False)),
    Want("shelter.rating.gust_locked", _rating(locked=True)),
    Want("door[1].wall", _all(_has("anchorage.size_for", "working", ""), _shut_without_door)),
    Want("site.state", _always),
    Want("site.surroundings", _all(_no("site.exposure"), _no("site.terrain_category"), _no("site.z0"))),
    Want("wind.speed_is", _all(_no("wind.beaufort"), _no("wind.averaging"))),
    Want("anchorage.size_for", _always),
    Want("anchorage.how", _weights),
    Want("anchorage.how_detail.stop", _lashed),
    Want("anchorage.how_detail.every_bag", _lashed),
    Want("anchorage.foot", _weights),
    Want("site.beneath", lambda d: d.text("site.surface") not in ("", *SOFT)),
    Want("site.utilities", _staked),
    Want("anchorage.stake.line_angle", _staked),
    Want("anchorage.line_rated", _on_lines),
    Want("anchorage.attachment_rated", _on_lines),
    Want("halfway.cover", _always),
    *(Want(k, _held_by(k)) for k in ("stock.stakes", "stock.deadmen", *COUNTED.values(), "stock.units")),
)  # fmt: skip


ITEM: dict[str, tuple[str, ...]] = {
    "door": ("wall", "width", "height"), "duct": ("wall", "diameter"), "site.other": ("surface",), "snow.layers": ("depth",), "point": ("id",),
    "keep_clear": ("side",), "test": ("kind",), "site.exposures": ("from", "to"),
}  # fmt: skip
"""What is needed of an item of a list, as soon as anything of it is typed."""


def wanted(draft: Draft) -> dict[str, bool]:
    """The fields that are wanted for what is typed, filled in or not: whether there is no verdict without it."""
    begun = {k.rsplit(".", 1)[0] for k in draft.typed if "[" in k}
    of_items = {f"{item}.{name}": True for item in begun for name in ITEM.get(item.split("[", 1)[0], ())}
    return {w.key: w.must for w in WANTED if w.when(draft)} | of_items


def missing(draft: Draft) -> dict[str, bool]:
    """Those of them that are empty."""
    return {k: must for k, must in wanted(draft).items() if not draft.text(k).strip()}


def following(draft: Draft, subject: int, below: Sequence[str]) -> str:
    """Where Enter goes: to the next empty field below that is wanted, else to the next subject in which there is no verdict without one. Nothing where there is none."""
    empty = missing(draft)
    here = next((k for k in below if k in empty), "")
    places = {k: at for k, must in empty.items() if must and (at := subject_of(k)) is not None}
    elsewhere = sorted(places, key=lambda k: ((places[k] - subject - 1) % len(SUBJECTS), order_of(k)))
    return here or next(iter(elsewhere), "")


def hint(field: Field, choices: Sequence[str]) -> str:
    """What stands in a field that is wanted and empty."""
    if field.asks:
        return field.asks
    if choices:
        return say("pick: {choices}", choices=", ".join(shown(field, c) for c in choices))
    return say("e.g. {example}", example=field.example)


def takes(field: Field, choices: Sequence[str], must: bool | None) -> str:
    """What to type in a field. must: whether there is no verdict without it; None where it may stay empty."""
    if choices:
        of = {"choices": ", ".join(shown(field, c) for c in choices)}
        if must is None:
            return say("One of: {choices}", **of)
        return (
            say("NEEDED, pick one: {choices}", **of)
            if must
            else say("Asked, the worst counts until then. One of: {choices}", **of)
        )
    if must is None:
        return say("For example: {example}", example=field.example)
    if field.key == "anchorage.unit_mass":
        return say(
            "Asked; until then as heavy as the list has it. Weigh three, take the lightest, such as {example}.",
            example=field.example,
        )
    if must:
        return say("NEEDED, for example: {example}", example=field.example)
    return say("Asked, the worst counts until then. For example: {example}", example=field.example)


def none_of(field: Field, text: str) -> str:
    """What was typed is none of the choices of a field."""
    return say(
        "{typed}: none of those there are. Pick one: {choices}",
        typed=inert(text),
        choices=", ".join(shown(field, c) for c in field.choices),
    )


def open_question(code: str, draft: Draft) -> str:
    """The field in which a question of a plan is answered; nothing where none has it."""
    match code:
        case "stock-missing":
            return stock_of(draft)
        case "rating-missing" if draft.text("shelter.straps") == "locked":
            return "shelter.rating.gust_locked"
        case "snow-rating-missing" if draft.text("shelter.straps") == "locked":
            return "shelter.rating.roof_snow_locked"
        case "line-rating-missing" if draft.text("anchorage.line_rated"):
            return "anchorage.attachment_rated"
    return ANSWERED_AT.get(code, "")


ANSWERED_AT = {
    "rating-missing": "shelter.rating.gust_unlocked", "snow-rating-missing": "shelter.rating.roof_snow_unlocked", "strap-data-missing": "shelter.strap.count",
    "beneath-unknown": "site.beneath", "surface-unknown": "site.surface", "unit-material-unknown": "anchorage.unit_material", "cover-unsaid": "halfway.cover",
    "use-unsaid": "anchorage.size_for", "door-unsaid": "door[1].wall", "utilities-open": "site.utilities", "how-missing": "anchorage.how",
    "lashing-stop": "anchorage.how_detail.stop", "lashing-every": "anchorage.how_detail.every_bag", "soil-missing": "anchorage.stake.soil",
    "soil-and-surface": "anchorage.stake.soil", "line-rating-missing": "anchorage.line_rated", "stock-missing": "stock.units", "pond-unknown": "snow.sag",
    "units-mixed": "deployment.mixed_units", "mass-unusual": "deployment.weighed", "more-than-brought": "stock.units",
}  # fmt: skip
"""Questions of a plan that a field answers, by their codes."""
