"""Nothing that is open, or may be, holds more than it does shut: of every form by every method."""

import copy

import pytest
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from strategies import (
    FORMS,
    KINDS_HELD,
    METHODS,
    SERVICE_SETS,
    WALLS,
    File,
    Q,
    files,
    number,
    some,
    stand,
    with_,
)

from anchorage.checks.installation import STANDING, _cases, _counting
from anchorage.core.closed import FACES
from anchorage.core.errors import AnchorageError
from anchorage.formulas.panels import ByFace, signed

FEW = settings(
    max_examples=max(4, settings.default.max_examples // 15), phases=[Phase.explicit, Phase.generate]
)
CLOSED = tuple(f for f in FORMS if not f.startswith("canopy"))
EVERY = [
    (f, m)
    for f in dict.fromkeys(CLOSED)
    for m in dict.fromkeys(METHODS)
    if m != "en1991" or f not in ("hip", "arch")
]


@st.composite
def opened_more(draw: st.DrawFn, file: File) -> File:
    """The same with one opening more, or one of those there opened further, or what is not known left out."""
    more = copy.deepcopy(file)
    shelter, wall = more["shelter"], draw(st.sampled_from(WALLS))
    ways = ["door", "duct"] + ["state"] * bool(more.get("door")) + ["wider"] * bool(more.get("duct"))
    ways += ["fraction", "left out"] if shelter.get("openings") is not None else []
    way = draw(st.sampled_from(ways))
    if way == "door":
        size = {"width": Q("length", draw(number(0.05, 1.2))), "height": Q("length", draw(number(0.05, 1.2)))}
        state = draw(st.sampled_from(["open", "in-use", "closed"]))
        more["door"] = [*more.get("door", []), {"wall": wall, "is": state} | size]
    elif way == "duct":
        more["duct"] = [
            *more.get("duct", []),
            {"wall": wall, "diameter": Q("length", draw(number(0.03, 0.5)))},
        ]
    elif way == "state":
        more["door"][0]["is"] = draw(st.sampled_from(["open", "in-use"]))
    elif way == "wider":
        more["duct"][0]["diameter"] = Q("length", more["duct"][0]["diameter"].si + 0.1)
    elif way == "fraction":
        now = shelter["openings"][wall]
        shelter["openings"][wall] = now + draw(st.sampled_from([0.004, 0.02, 0.1, 0.5])) * (1.0 - now) * 0.5
    else:
        shelter["openings"] = None
    return more


@pytest.mark.parametrize(("form", "method"), EVERY)
def test_opening_something_never_raises_the_limit(form: str, method: str) -> None:
    """On bags, blocks, stakes and lines, as they stand; a refusal is no limit. With all shut that can be shut it holds no less."""

    sets = (*SERVICE_SETS, "asd") if method.startswith("asce") else SERVICE_SETS

    @FEW
    @given(files(forms=(form,), methods=(method,), sets=sets, placed=True, least=1), st.data())
    def worse(file: File, data: st.DataObject) -> None:
        more = data.draw(opened_more(file))
        try:
            before, after = stand(file), stand(more)
        except AnchorageError:
            assume(False)
        assert after.gust_held() <= before.gust_held() * (1 + 1e-9)
        shut = with_(file, shelter__openings=dict.fromkeys(WALLS, 0.0))
        shut["door"] = [d | {"is": "closed"} for d in file.get("door", [])]
        assert stand(shut).gust_held() >= before.gust_held() * (1 - 1e-9)

    worse()


@pytest.mark.parametrize("kind", KINDS_HELD)
def test_the_ends_of_the_range_of_pressures_stand_for_all_between(kind: str) -> None:
    """Bags, blocks, stakes, lines, and some points of another kind: no pressure between the two ends asks for more than both."""
    share = st.floats(-1.0, 1.0)

    @some(0.4)
    @given(files(kinds=(kind,), forms=CLOSED, placed=True, least=1, odd=True), st.tuples(share, share))
    def between(file: File, at: tuple[float, float]) -> None:
        try:
            x = stand(file)
        except AnchorageError:
            assume(False)
        ends = x.inside[STANDING]
        low, high = ([f(signed(ends, face)) for face in FACES] for f in (min, max))
        some = tuple(tuple(a + (b - a) * (s + 1.0) / 2.0 for s in at) for a, b in zip(low, high, strict=True))
        held = {}
        for name, values in (("ends", ends), ("between", ByFace(some))):
            cases = _cases(x.deployment.site, x.shape, x.loaded, x.wind, {STANDING: values})
            counting = _counting(x.deployment.wind.bearing, x.deployment.site, cases)
            held[name] = x.gust_held(on=x.base.under(cases if counting is None else cases.take(counting)))
        assert held["between"] >= held["ends"] * (1 - 1e-9)

    between()
