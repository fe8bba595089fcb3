"""What is logged never makes anything better by being worse, and an installation is the same however it is said."""

from hypothesis import assume, given
from hypothesis import strategies as st
from outlook_kit import at, forecast
from strategies import File, Q, files, read, some, with_

from anchorage.checks.overrides import override
from anchorage.core.closed import STATES
from anchorage.core.errors import AnchorageError
from anchorage.deployment.models import Deployment
from anchorage.holding.ground import on_it, surface_state
from anchorage.judging.packing import packing
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.result import Plan
from anchorage.outlook.build import outlook
from anchorage.record.events import Said, data_of
from anchorage.record.over import Recorded, as_it_stands
from anchorage.record.stand import stand
from anchorage.record.store import Entry

WORSE = ("go", "unknown", "no-go")
Judged = tuple[Plan, str, str, float]
"""Plan, verdict of the outlook and of now, limit of the outlook."""
NOW = at("2026-03-10T18")
KINDS = ("ballast", "lines", "feet")
SETS = ("lumped-1.5", "en1997-equ")


def record(d: Deployment, *said: Said) -> Recorded:
    """A record of what was said, a minute apart, that ends before now."""
    ids = tuple(f"{c}{k}" for c in "LR" for k in range(1, d.shelter.side_points + 1))
    out = []
    for i, s in enumerate(said):
        t = NOW - 60 * (len(said) - i)
        out.append(Entry(i + 1, t, t, s.who, s.event, data_of(s, ids), "f", "", ""))
    return Recorded(tuple(out), (), {}, "f")


def said(event: str, value: str, **more: object) -> Said:
    return Said(event, value, "A", **more)  # type: ignore[arg-type]


def judged(d: Deployment, *logged: Said) -> Judged | None:
    """Plan, verdict of the outlook and of now, limit of the outlook; None where it is refused."""
    r = record(d, *logged)
    try:
        stands = as_it_stands(d, r)[0] if logged else d
        plan = make_plan(stands)
        o = outlook(plan, stands, [forecast(*[5.0] * 14)], NOW, None)
        s = stand(assess(d), r, NOW)
    except AnchorageError:
        return None
    return plan, o.verdict, s.verdict, o.limit_m_s if o.limit_m_s is not None else float("inf")


def never_better(before: Judged | None, after: Judged | None, what: str) -> None:
    """No verdict nearer to go, no limit higher; what is refused is no better than anything."""
    if before is None or after is None:
        return
    for was, now in zip((before[0].verdict, *before[1:3]), (after[0].verdict, *after[1:3]), strict=True):
        assert WORSE.index(now) >= WORSE.index(was), what
    top = before[0].limit.gust_m_s if before[0].limit.gust_m_s is not None else float("inf")
    now_top = after[0].limit.gust_m_s if after[0].limit.gust_m_s is not None else float("inf")
    assert now_top <= top * (1 + 1e-9), what
    assert after[3] <= before[3] * (1 + 1e-9), what


def all_lower(surface: str, one: str, other: str) -> bool:
    """Whether every friction row of a surface is as low or lower in the other state."""
    return all(b <= a for a, b in zip(on_it(surface, one), on_it(surface, other), strict=True))


def with_state(d: Deployment, state: str) -> Deployment:
    return d.model_copy(update={"site": d.site.model_copy(update={"state": state})})


def logged_before(n: int, state: str) -> list[Said]:
    return [said("placed", str(n), how="each"), said("state", state), said("wind", "3 m/s")]


@some(0.3)
@given(files(kinds=KINDS, sets=SETS, placed=True), st.integers(2, 12), st.sampled_from(STATES), st.data())
def test_logging_something_worse_makes_nothing_better(file: File, n: int, state: str, data: st.DataObject):
    d = read(file)
    fewer = str(data.draw(st.integers(1, n - 1)))
    choices = {
        "placed": said("placed", fewer, how="each"),
        "at a point": said("placed", fewer, where="L1"),
        "in all": said("placed", str(n), how="in-all"),
        "snow": said("snow", f"{data.draw(st.integers(1, 60))} cm", kind="wet"),
        "thunder": said("thunder", ""),
        "wind": said("wind", f"{data.draw(st.integers(3, 40))} m/s"),
        "crossing": said("crossing", "people-out"),
        "coming down": said("coming-down", ""),
    }
    # as the thermometer of the file leaves it; what the file said of the ground is said anew
    stands = [surface_state(with_state(d, s).ground, s, []) for s in (state, *STATES)]
    worse = [
        s for s, as_ in zip(STATES, stands[1:], strict=True) if all_lower(str(d.site.surface), stands[0], as_)
    ]
    choices["state"] = said("state", data.draw(st.sampled_from(worse)))
    if d.door:
        choices["doors"] = said("doors", "open")
    first = logged_before(n, state) + ([said("doors", "closed")] if d.door else [])
    before = judged(d, *first)
    assume(before is not None)
    assume(not before[0].does_not_do)  # more than stands at a point is no go, and fewer of them may be go
    for what in data.draw(st.permutations(sorted(choices)))[:3]:
        never_better(before, judged(d, *first, choices[what]), what)


@some(0.3)
@given(
    files(kinds=KINDS, sets=SETS, placed=True), st.integers(0, 30), st.sampled_from(STATES),
    st.sampled_from(["open", "closed"]), st.sampled_from(["locked", "unlocked"]),
)  # fmt: skip
def test_the_same_installation_said_in_the_file_by_options_and_by_the_record_is_judged_the_same(
    file: File, n: int, state: str, doors: str, straps: str
):
    named = bool(file.get("door"))
    file = with_(file, shelter__rating={"gust_unlocked": Q("speed", 3.0), "gust_locked": Q("speed", 5.0)})
    by_file = with_(file, anchorage__placed=n, site__state=state, shelter__straps=straps)
    if named:
        by_file["door"] = [{**x, "is": doors} for x in by_file["door"]]
    other = with_(file, anchorage__placed=n + 1)
    logged = [
        said("placed", str(n), how="each"),
        said("state", state),
        said("straps", straps),
        said("setup", ""),
    ]
    try:
        one = read(by_file)
        start = read(other)
    except AnchorageError:
        assume(False)
    made = [one, override(start, placed=n, state=state, straps=straps, doors=doors if named else None)[0]]
    made.append(as_it_stands(start, record(start, *logged, *([said("doors", doors)] if named else [])))[0])
    found = []
    for d in made:
        try:
            plan = make_plan(d)
            o = outlook(plan, d, [forecast(*[6.0] * 14)], NOW, None)
            pack = packing(assess(d), None)
        except AnchorageError as e:
            found.append(type(e))
            continue
        found.append((plan.verdict, plan.limit.gust_m_s, [r.code for r in plan.reasons], [p.units for p in plan.anchorage.points],
                      o.verdict, o.limit_m_s, pack.items))  # fmt: skip
    assert found[0] == found[1] == found[2]
