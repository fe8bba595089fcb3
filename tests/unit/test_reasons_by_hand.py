"""What stands in the way of a go, what the headline says and what has to be true for it, each condition by itself; expected by hand."""

from types import SimpleNamespace as Made
from typing import Any, NamedTuple

import numpy as np
import pytest

from anchorage.core.checked import Check, What
from anchorage.core.out import ChangeOut
from anchorage.core.say import speaking
from anchorage.core.told import put
from anchorage.deployment.policy import SUBJECTS, against, policy_of
from anchorage.holding.hardware import LINE_RATING_MISSING
from anchorage.judging import result, verdict
from anchorage.judging.changes import change_words
from anchorage.judging.notes import Note
from anchorage.judging.snow_report import CASE

P = policy_of()
A = put(str, "a")


@pytest.fixture(autouse=True)
def parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is asked of others: a policy's gust is over twice what the hill does, half built it takes 8 m/s."""
    monkeypatch.setattr(verdict, "policy_hill", lambda _w, _s, over: 2.0 * over)
    monkeypatch.setattr(verdict, "setting_up", lambda _: (Made(up_to_m_s=8.0), [None]))
    monkeypatch.setattr(verdict, "snow_reason", lambda _c, _s: A)
    monkeypatch.setattr(verdict, "cold_conditions", lambda *_: [])


def unit(kind: str = "ballast", most: int | None = 12, mass: float = 18.0, angle: float | None = None) -> Any:
    return Made(
        kind=kind,
        most=most,
        unit_name="sandbag",
        unit_mass=mass,
        counted="sandbag",
        line_angle=angle,
        friction=0.5,
    )


def made(**k: Any) -> Any:
    """An installation: rating 30 m/s, no policy of a gust, level ground, gusts of 10."""
    shelter = Made(
        rating=Made(gust_unlocked=k.pop("rating", 30.0), gust_locked=None),
        straps=k.pop("straps", "unlocked"),
        strap=k.pop("strap", None),
    )
    about = Made(show_units="us")
    of = Made(shelter=shelter, deployment=about, record=k.pop("record", None), wind=None, site=None, forecast=k.pop("forecast", None),
              anchorage=Made(how=k.pop("how", None), foot_rated=k.pop("foot_rated", None)), ground=k.pop("ground", None), door=k.pop("door", []))  # fmt: skip
    policy = Made(gust=k.pop("policy_gust", None), setup_gust=k.pop("setup_gust", None), secure=P.secure, people_out=P.people_out,
                  keep_away=P.keep_away, share_for=P.share_for, level_of=P.level_of)  # fmt: skip
    wind = Made(over_hill=k.pop("over_hill", 1.0), gust=10.0, gust_of=lambda q: q**0.5)
    said = {"deployment": of, "policy": policy, "wind": wind, "locked": False, "racking": (), "hard": [unit()], "hardware": unit(), "counts": [1], "sized": None,
            "use": "working", "asks": [], "no_door": False, "drives_blind": False, "shape": Made(canopy=False), "gust_held": lambda *_: 20.0}  # fmt: skip
    x = Made(**{**said, **k})
    x.base = Made(ids=[f"L{i + 1}" for i in range(len(x.hard))])
    return x


def notes(told: Any) -> list[Any]:
    return [t.what for t in told]


def half(**k: Any) -> Any:
    said = {"known": True, "cover": "attached", "told": A, "bare_m_s": None, "up_to_m_s": None, "mean_m_s": 0.0, "open_m_s": None, "finished_m_s": None,
            "first": None, "mean_is": "typed", "gust_factor": 1.5}  # fmt: skip
    return Made(**{**said, **k})


# What else a gust is held against


def test_a_rating_and_a_policy_on_a_hill() -> None:
    """Over twice: a rating of 30 is reached at 15; a policy of 20 at 20 / 4, and at 20 / 2 where the gust is read there."""
    x = made(over_hill=2.0, policy_gust=20.0)
    assert [(b.gust, b.check.what) for b in verdict.bounds(x)] == [(15.0, What.RATING), (5.0, What.POLICY)]
    assert [b.gust for b in verdict.bounds(x, read_here=True)] == [15.0, 10.0]
    assert [b.gust for b in verdict.bounds(x, read_here=False)] == [15.0, 5.0]


def test_straps_bind_where_they_are_locked_and_known() -> None:
    sides = tuple(
        Made(direction=d, pressure=lambda q=q: q)
        for d, q in (("along", 100.0), ("across", None), ("askew", np.inf))
    )
    x = made(locked=True, strap=1, racking=sides)
    assert [(b.gust, b.check) for b in verdict.bounds(x)] == [
        (30.0, Check(What.RATING, "unlocked")),
        (10.0, Check(What.STRAPS, "along")),
    ]
    assert len(verdict.bounds(made(locked=False, strap=1, racking=sides))) == 1
    assert len(verdict.bounds(made(locked=True, racking=sides))) == 1


def test_taking_down_goes_by_the_half_built_shelter_and_by_policy(monkeypatch: pytest.MonkeyPatch) -> None:
    down = Made(phase="coming-down", level=None, blocks=[])
    assert [b.gust for b in verdict.bounds(made(record=down))] == [30.0, 8.0]
    assert [verdict.taken_down_below(made(setup_gust=g)) for g in (None, 12.0, 40.0)] == [8.0, 6.0, 8.0]
    assert verdict.taken_down_below(made(setup_gust=12.0, over_hill=2.0)) == 3.0
    monkeypatch.setattr(verdict, "setting_up", lambda _: (Made(up_to_m_s=None), [None]))
    assert verdict.taken_down_below(made(setup_gust=12.0)) == 0.0


def test_a_lull_is_told_where_the_bare_shell_takes_less_than_stops_the_work() -> None:
    assert [
        verdict.calm(h, b, "us")
        for h, b in ((None, 5.0), (half(), 5.0), (half(bare_m_s=np.inf), None), (half(bare_m_s=5.1), 5.0))
    ] == [None] * 4
    assert [
        str(verdict.calm(half(bare_m_s=v), b, "us")) for v, b in ((4.9, 5.0), (5.0, 5.0), (5.0, None))
    ] == ["10 mph", "11 mph", "11 mph"]
    words = [verdict.taking_down_words(half(bare_m_s=v), 5.0, "11 mph", "us") for v in (4.9, 5.1)]
    assert notes(words) == [Note.OFF_IN_LULL, Note.GO_ON_UNDER]


def test_setting_up_has_a_lull_in_gusts_over_what_the_bare_shell_is_raised_under() -> None:
    assert [isinstance(verdict.set_up_words(u, 10.0, "us"), type(A)) for u in (None, 10.0, 10.1, 9.9)] == [
        True,
        True,
        True,
        False,
    ]
    told = verdict.set_up_words(5.0, 10.0, "us")
    assert str(told) == "set up, RAISED ONLY IN A LULL under 11 mph"


def test_where_the_mean_is_from() -> None:
    assert verdict.mean_words(half(), 10.0, "us").what is Note.TYPED_MEAN
    assert verdict.mean_words(half(mean_is="from the gust"), 10.0, "us").what is Note.MEAN_OF_GUST


def test_what_is_said_before_its_walls_are_on_and_with_doors_open() -> None:
    """Six tenths of 16.6 m/s are 9.96, which are 22.3 mph."""
    for of, first in (
        (half(open_m_s=16.6), ""),
        (half(open_m_s=16.6, first=3), "hold it by 3 sandbags first, or "),
        (half(finished_m_s=16.6), None),
    ):
        (r,) = verdict.setup_reasons(made(), of)
        given = dict(r.told.given)
        assert str(given["share"]) == "22 mph"
        assert first is None or str(given["first"]) == first


# Order


def step(before: str, total: int = 0, **points: int) -> Any:
    return Made(before=before, points=points, total=total)


REST = step("rest", 11, L1=3, L2=3, L3=1, R1=2, R2=2)


def test_corners_are_the_two_that_have_most() -> None:
    (up,) = verdict.order_of_setting_up(made(), half(bare_m_s=5.0), [REST, step("use", 40)])
    assert dict(dict(up.given)["then"].given) == {"n": 6, "rest": 34}
    down = verdict.order_of_taking_down(made(), half(bare_m_s=5.0), [REST, step("use", 40)])
    assert notes(down) == [Note.WALLS_OFF_FIRST, Note.DOWN_IN_LULL]
    assert dict(down[1].given)["last"] == 6


@pytest.mark.parametrize("of", [half(), half(bare_m_s=np.inf)])
def test_without_a_bare_shell_there_is_no_lull(of: Any) -> None:
    steps = [REST, step("use", 40)]
    assert verdict.order_of_setting_up(made(), of, steps) == []
    assert notes(verdict.order_of_taking_down(made(), of, steps)) == [Note.WALLS_OFF_FIRST]
    for one in steps:
        assert verdict.order_of_setting_up(made(), half(bare_m_s=5.0), [one]) == []
        assert notes(verdict.order_of_taking_down(made(), half(bare_m_s=5.0), [one])) == [
            Note.WALLS_OFF_FIRST
        ]


def test_what_stays_until_the_walls_and_the_roof_are_off() -> None:
    roof, walls = step("roof", 5, L1=5), step("walls", 3, L1=3)
    for steps, stay in (([roof, walls], 2), ([roof], 1), ([walls], 1)):
        out = verdict.order_of_taking_down(made(), half(), steps)
        assert notes(out) == [Note.WALLS_OFF_FIRST, Note.CORNERS_LAST]
        assert str(out[1]).count("stay until") == stay
    for steps in ([], [step("roof")], [step("walls")]):
        assert notes(verdict.order_of_taking_down(made(), half(), steps)) == [Note.WALLS_OFF_FIRST]


# Reasons


def check(
    what: What = What.SLIDE,
    *,
    ok: bool = False,
    case: str = "wind",
    ratio: float | None = 1.2,
    holds: float | None = 9.0,
) -> Any:
    return Made(check=Check(what), ok=ok, case=case, where="L1", ratio=ratio, holds_to_m_s=holds)


def pond(**k: Any) -> Any:
    return Made(**{"grows": False, "pocket": False, "load_pa": None, "told": A, **k})


def reasons(
    checks: Any = (),
    stock: Any = (),
    of: str = "go",
    level: str = "normal",
    limit: float | None = 20.0,
    **k: Any,
) -> list[Any]:
    snow = {"level": "normal", "alarms": [], "pond": None, "roof_load_pa": 0.0, "limit_pa": None}
    snow = {n: k.pop(n, v) for n, v in snow.items()}
    not_done = k.pop("not_done", [])
    x = made(**k)
    return verdict.reasons_of(
        x, list(checks), list(stock), Made(**snow), {SUBJECTS[x.use]: of}, Made(level=level), limit, not_done
    )


def codes(*a: Any, **k: Any) -> list[str]:
    return [r.code for r in reasons(*a, **k)]


SHORT = Made(short=3, item="sandbag", needed=5, brought=2)
SLIDE, LIFT, SNOW = (Check(w).code for w in (What.SLIDE, What.LIFT, What.SNOW))


def test_nothing_stands_in_the_way() -> None:
    assert codes() == []
    assert codes([check(ok=True), check(What.SNOW, ok=True, case=CASE)], [Made(short=0)]) == []
    assert codes(asks=[("open", A)]) == ["open"]
    assert codes(rating=None) == ["rating-missing"]


def test_a_level_alone_is_said_where_nothing_else_is() -> None:
    (r,) = reasons(of="no-go", level="secure")
    assert (r.code, r.by_level) == ("level-secure", True)
    assert codes(of="no-go", level="secure", limit=None) == codes(of="go", level="secure") == []
    assert codes(of="no-go", level="secure", stock=[SHORT]) == codes(stock=[SHORT]) == ["stock-short"]


def test_checks_that_are_not_met_worst_first_those_of_snow_before() -> None:
    """No resistance at all is the worst."""
    found = [
        check(),
        check(What.LIFT, ratio=1.5),
        check(What.SNOW, case=CASE),
        check(What.OVERTURN, ratio=None, holds=None),
        check(What.UPLIFT, ok=True),
    ]
    out = reasons(found)
    assert [r.code for r in out] == [SNOW, Check(What.OVERTURN).code, LIFT, SLIDE]
    assert [dict(r.told.given)["holds"].what for r in out[1:]] == [
        Note.TOO_LITTLE,
        Note.HOLDS_TO,
        Note.HOLDS_TO,
    ]
    assert all(r.exceeded for r in out)
    bare = reasons([check(What.BARE, ratio=2.0), check()])
    assert [(r.code, r.exceeded) for r in bare] == [("foot-holds-nothing", False), (SLIDE, True)]


def test_what_no_number_holds() -> None:
    """Then no check of the wind is said beside it; those of the snow are."""
    never, some = Made(counts=None, governed_by="slide"), Made(counts=np.array([1]), governed_by="slide")
    out = reasons([check(), check(What.SNOW, case=CASE)], sized=never)
    assert [r.code for r in out] == ["cannot-be-held", SNOW]
    assert str(out[0].told).startswith("No number of sandbags holds this: ")
    assert codes([check()], sized=some) == [SLIDE]
    kinds = [unit("stakes"), unit(), Made(kind="ballast", friction=0.05), Made(kind="ballast", friction=0.1)]
    ways = [verdict._way_out(made(hardware=h)) for h in kinds]
    assert notes(ways) == [Note.INSTEAD_OF_STAKES, Note.HEAVIER_UNITS, Note.TOO_SLIPPERY, Note.HEAVIER_UNITS]


def test_a_pond_that_grows_puts_everybody_out() -> None:
    assert codes(pond=pond(grows=True)) == ["pond-grows"]
    assert codes(pond=pond(grows=True), use="empty") == []
    assert codes(pond=pond()) == []
    assert codes(pond=pond(grows=True), level="secure", use="people-in") == ["pond-grows"]


def test_snow_that_has_reached_a_level() -> None:
    def alarm(level: str, told: str, measure: str = "depth") -> Any:
        return Made(level=level, measure=measure, told=put(str, told))

    snow: Any = {"level": "secure"}
    alarms = [
        alarm("people-out", "other"),
        alarm("secure", "no figure", ""),
        *(alarm("secure", w) for w in ("first", "second", "third")),
    ]
    x = made()

    def of(checks: list[Any], level: str, said: list[Any]) -> list[Any]:
        part = Made(level=level, alarms=said, pond=None, roof_load_pa=0.0, limit_pa=None)
        return verdict.reasons_of(
            x, checks, [], part, {SUBJECTS["working"]: "go"}, Made(level="normal"), 20.0, []
        )

    (r,) = of([], snow["level"], alarms)
    assert (r.code, r.by_level, str(dict(r.told.given)["said"])) == ("level-snow", True, "first")
    (r,) = of([], "secure", [])
    assert dict(r.told.given)["said"] == ""
    assert [r.code for r in of([check()], "secure", [])] == [SLIDE, "level-snow"]
    assert [r.code for r in of([check(What.SNOW, ok=True, case=CASE)], "secure", [])] == ["level-snow"]
    assert [r.code for r in of([check(What.SNOW, case=CASE)], "secure", [])] == [SNOW]
    assert of([], "normal", alarms) == []


def test_what_the_roof_bears_is_asked_where_something_lies_on_it() -> None:
    for k, found in (
        ({"roof_load_pa": 90.0}, True),
        ({"pond": pond(load_pa=50.0)}, True),
        ({"pond": pond()}, False),
        ({"pond": pond(load_pa=0.0)}, False),
    ):
        assert codes(**k) == (["snow-rating-missing"] if found else [])
        assert codes(**k, limit_pa=500.0) == []


def test_a_pocket_of_which_nobody_says_how_deep_it_is() -> None:
    assert codes(pond=pond(pocket=True)) == ["pond-unknown"]
    assert codes(pond=pond(pocket=True, load_pa=9.0), limit_pa=99.0) == []


# Headline


def head(
    of: str, found: tuple[str, ...] = (), lasts: Any = None, shell: Any = None, leads: str = "", **k: Any
) -> Any:
    why = [Made(code=c, told=put(str, c)) for c in found]
    return verdict.headline_of(made(**k), of, 20.0, why, lasts, shell or half(), leads or of)


def test_the_headline_of_a_go() -> None:
    assert (head("go").what, head("go", lasts=A).what) == (Note.HEAD_GO, Note.HEAD_GO_FOR)
    assert dict(head("go").given)["subject"] == put(verdict.spoken, SUBJECTS["working"])
    empty = dict(head("go", use="empty").given)["subject"]
    assert (empty.what, dict(empty.given)["people_out"]) == (
        Note.EMPTY_ONLY,
        against(P, 10.0, 20.0, "us").marks[1],
    )
    assert (
        dict(head("go", use="set-up", shell=half(bare_m_s=5.0)).given)["subject"].what is Note.SET_UP_IN_LULL
    )
    assert dict(head("go", shell=half(bare_m_s=5.0)).given)["subject"] == put(
        verdict.spoken, SUBJECTS["working"]
    )


def test_whether_it_may_go_up_is_said_first() -> None:
    """A leader who reads GO raises it: as long as nothing says that it stands, that is the first question."""
    first = head("go", leads="no-go")
    assert (first.what, dict(first.given)["headline"].what) == (Note.HEAD_NOT_NOW, Note.HEAD_GO)
    assert head("go", leads="unknown").what is Note.HEAD_ASK_FIRST
    up = SUBJECTS["set-up"]

    def leads(phase: Any, of: Any, may: Any, subject: str = "stay up empty") -> str:
        record = None if phase is None else Made(phase=phase)
        return result.leading(record, subject, of, {up: may})

    for phase in (None, "", "not-up", "down"):
        assert [leads(phase, of, may) for of, may in (("go", "no-go"), ("go", "unknown"), ("unknown", "no-go"))] == ["no-go", "unknown", "no-go"]  # fmt: skip
        assert leads(phase, "no-go", "unknown") == "no-go"
    for phase in ("going-up", "up", "coming-down"):
        assert leads(phase, "go", "no-go") == "go"
    assert leads(None, "go", "no-go", up) == "go"


def test_a_shell_that_stands_in_light_air_alone_is_not_raised_as_told() -> None:
    """Force 2 begins at 1.6 m/s (a mean over ten minutes): no lull is one under what is less than that for as long as raising takes."""
    assert [verdict.no_lull(half(bare_m_s=v)) for v in (0.0, 1.5, 1.7, None)] == [True, True, False, False]
    assert not verdict.no_lull(None)


def test_the_headline_of_a_no_go() -> None:
    def under(level: Any, phase: str = "standing") -> Any:
        return Made(level=level, phase=phase, blocks=[])

    assert (head("no-go").what, dict(head("no-go").given)["this_does"]) == (Note.HEAD_NO_GO, "")
    assert dict(head("no-go", ("x",)).given)["this_does"] == ""
    assert dict(head("no-go", ("x", "does-not-do")).given)["this_does"].what is Note.HEAD_DOES_NOT
    assert head("no-go", record=under(None, "coming-down")).what is Note.HEAD_COMING_DOWN
    assert [head("no-go", c).what for c in (("going-up", "x"), ("x", "going-up"))] == [
        Note.HEAD_GOING_UP,
        Note.HEAD_NO_GO,
    ]
    assert [verdict.nobody_yet(under(None, "going-up"), u) for u in SUBJECTS] == [
        u in ("working", "people-in") for u in SUBJECTS
    ]
    assert not verdict.nobody_yet(None, "working")
    assert not verdict.nobody_yet(under(None), "working")
    held = under(Made(told=A))
    assert head("no-go", ("record-level",), record=held).what is Note.HEAD_HELD
    assert head("no-go", ("other",), record=held).what is Note.HEAD_NO_GO
    assert head("no-go", ("record-level",), record=under(None)).what is Note.HEAD_NO_GO


def test_the_headline_where_something_is_not_known() -> None:
    every = tuple(verdict.UNRATED)
    assert [head("unknown", c).what for c in (("rating-missing",), every)] == [Note.HEAD_ANCHORAGE] * 2
    told = head("unknown", ("rating-missing", "surface-unknown"))
    assert (told.what, dict(told.given)["first"]) == (Note.HEAD_UNKNOWN, put(str, "surface-unknown"))
    assert str(verdict.unrated(["rating-missing"])) == " - frame limit not given, ask the maker"
    assert str(verdict.unrated([LINE_RATING_MISSING])).startswith(" if its lines do - load of lines")


def test_what_it_holds_if_what_is_open_is_so() -> None:
    def if_so(*found: str, sized: Any = None) -> Any:
        return verdict._if_so(made(sized=sized), found, A)

    assert dict(if_so("surface-unknown").given)["frame"] == ""
    assert dict(if_so("surface-unknown", "rating-missing").given)["frame"].what is Note.UNRATED
    assert (
        if_so("else")
        == if_so("surface-unknown", "else")
        == if_so(*verdict._STANDS, *verdict.UNRATED, "else")
        == ""
    )
    assert if_so(*verdict._STANDS, *verdict.UNRATED).what is Note.HOLDS_IF_SO
    assert if_so("surface-unknown", sized=Made(counts=[1])).what is Note.HOLDS_IF_SO
    assert if_so("surface-unknown", sized=Made(counts=None)) == ""


# More than a point can have, and what has to be true


class Kind(NamedTuple):
    """A thing that can be told from another by what it is."""

    kind: str
    most: int
    unit_name: str
    unit_mass: float


def test_each_kind_is_told_by_itself() -> None:
    small, big = Kind("ballast", 12, "sandbag", 18.0), Kind("ballast", 20, "sandbag", 9.0)
    out = verdict.does_not_do(made(hard=[small, big, small]), np.array([13, 25, 14]))
    assert [(o.where, o.asked, o.most) for o in out] == [(["L1", "L3"], 14, 12), (["L2"], 25, 20)]
    assert [o.where for o in verdict.does_not_do(made(hard=[small]), np.array([13]))] == [["L1"]]
    stakes = Kind("stakes", 8, "stake", 0.0)  # planned: four; driven: eight are believed
    assert verdict.does_not_do(made(hard=[stakes]), np.array([8])) == []
    assert len(verdict.does_not_do(made(hard=[stakes]), np.array([9]))) == 1
    assert len(verdict.does_not_do(made(hard=[stakes], sized=Made(counts=[5])), np.array([5]))) == 1
    assert len(verdict.does_not_do(made(hard=[stakes], sized=Made(counts=[999])), np.array([999]))) == 1
    for h, note in ((small, Note.TAKES_HEAVIER), (Kind("deadman", 1, "beam", 9.0), Note.TAKES_LONGER)):
        assert verdict._instead(h, 20, 1, "us").what is note
    assert verdict._instead(small, 20, 0, "us").what is Note.TAKES_LONGER


def test_the_heaviest_ballast() -> None:
    """2 of 18 kg are 353 N, 3 of 10 kg 294 N; what is buried is none."""
    x = made(counts=[3, 2, 9], hard=[unit(mass=10.0), unit(), unit("deadman", mass=99.0)])
    assert verdict.heaviest(x) == (pytest.approx(353.0394), "L2")
    assert verdict.heaviest(made(counts=[3], hard=[unit("stakes")])) == (0.0, "L1")


def test_what_has_to_be_true() -> None:
    def of(**k: Any) -> list[Any]:
        return notes(verdict.conditions_of(made(**k)))

    assert of() == []
    assert of(no_door=True, use="people-in") == [Note.NO_DOOR]
    assert of(no_door=True) == of(use="people-in") == []
    assert of(drives_blind=True) == [Note.UTILITIES_MARKED]
    assert of(hard=[unit(), unit(angle=45.0)], counts=[1, 1]) == [Note.LINES_TIGHT]
    assert of(sized=Made(counts=[1])) == [Note.ALL_IN_PLACE]
    assert of(straps="locked") == [Note.STRAPS_LOCKED]
    shut, swung = Made(wall="front", closed=True), Made(wall="back", closed=False)
    assert of(door=[shut, swung]) == [Note.KEPT_SHUT]
    assert of(door=[swung]) == of(door=[shut], shape=Made(canopy=True)) == []
    assert of(how="lashed-to-leg") == [Note.EVERY_WEIGHT_BOUND, Note.LEGS_BEAR]
    assert of(how="hung-clear") == [Note.LEGS_BEAR]
    assert of(how="lashed-to-leg", foot_rated=9.0) == [Note.EVERY_WEIGHT_BOUND]
    assert of(how="standing-tied") == of(how="lashed-to-leg", counts=[0]) == []


def test_pulls_far_over_theory_are_said_of_stakes(monkeypatch: pytest.MonkeyPatch) -> None:
    """From three times on; of ballast none is asked."""
    for times, kind, found in (
        (3.1, "stakes", [Note.PULLS_OVER_THEORY]),
        (3.0, "stakes", []),
        (3.1, "ballast", []),
    ):
        monkeypatch.setattr(verdict, "over_theory", lambda *_, t=times: t)
        assert notes(verdict.conditions_of(made(hard=[unit(), unit(kind)], counts=[1, 1]))) == found


def test_ground_that_counts_as_worse_than_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[Any] = [put(str, w) for w in "abcd"]
    monkeypatch.setattr(verdict, "surface_state", lambda _g, _s, out: out.extend(told) or "ice")

    def worse(state: str | None) -> Any:
        return verdict.ground_worse(made(ground=Made(site=Made(state=state))))

    assert (str(worse("dry")), worse("ice"), worse(None)) == ("d", None, None)
    told.clear()
    assert worse("dry") is None


def test_a_forecast_in_the_file_is_said_not_to_be_judged() -> None:
    assert verdict.unjudged(made()) is None
    assert verdict.unjudged(made(forecast=1)).what is Note.FORECAST_NOT_JUDGED


# What a record changed, in words


def change(code: str, value: str = "", where: str = "", in_all: int | None = None) -> ChangeOut:
    return ChangeOut(code=code, value=value, where=where, in_all=in_all)


def test_what_the_record_changed_in_words() -> None:
    """What is not counted comes last, the points of one figure together."""
    found = change_words(
        [
            change("not-counted", "3", "L1"),
            change("placed", "10"),
            change("placed", "2", "L1"),
            change("not-counted", "", "R1"),
            change("placed", in_all=0),
            change("doors", "closed"),
            change("straps", "locked"),
            change("not-counted", "3", "L2"),
        ]
    )
    assert found == [
        "10 placed at each point",
        "2 placed at L1",
        "0 in all placed",
        "doors closed",
        "straps locked",
        "not counted, so 3, as the file says, stands at L1, L2",
        "not counted, so nothing stands at R1",
    ]
    assert change_words([change("snow-kept", "20 kg"), change("struck")])[0].startswith(
        "snow on the roof 20 kg, less"
    )


def test_what_is_a_code_is_said_in_words() -> None:
    with speaking("es"):
        for c, code in ((change("state", "wet"), "wet"), (change("straps", "locked"), "locked")):
            assert code not in change_words([c])[0]
        assert "locked" in change_words([change("tests", "locked")])[0]
        assert "wet" in change_words([change("tests", "wet")])[0]
