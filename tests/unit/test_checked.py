"""A check is known by what it asks and by what gives; its name and its code follow from that, in whatever language it is shown."""

import itertools

import pytest

from anchorage.core.checked import Check, Gives, What
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan

EVERY = [
    Check(w, by)
    for w in What
    for by in (Gives if w.on_line else ("along the ridge", "EN 13782") if "{by}" in w else ("",))
]


def test_no_two_checks_have_a_name_or_a_code() -> None:
    for of in ("name", "code"):
        assert len({getattr(c, of) for c in EVERY}) == len(EVERY)


@pytest.mark.parametrize("check", EVERY, ids=str)
def test_a_check_is_found_by_its_name(check: Check) -> None:
    assert Check.named(check.name) == check


@pytest.mark.parametrize("name", ["", "slide ", "a slide", "push", "straps", "snow load by"])
def test_a_name_of_no_check(name: str) -> None:
    with pytest.raises(ValueError, match="no check"):
        Check.named(name)


def test_what_is_asked_of_a_frame_and_of_a_line() -> None:
    assert all(w.on_line for w in What if w.lifting)
    assert {w for w in What if w.of_frame and w.on_line} == {What.UPLIFT_OF_FRAME, What.PUSH_OF_FRAME}


def test_codes_do_not_follow_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every message put into other words the codes of the reasons, the JSON and the verdict are the same."""
    texts = [demo_text(n) for n in NAMES] + [demo_text("winter").replace('"unlocked"', '"locked"')]
    plain = [make_plan(read_text(t, "demo")) for t in texts]
    monkeypatch.setattr("anchorage.core.say._LANGUAGE", _Other())
    monkeypatch.setattr("anchorage.core.say._found", lambda _, text: f"¿{text}?")
    monkeypatch.setattr("anchorage.core.say._counted", lambda _, one, many, n: one if n == 1 else many)
    for t, p in zip(texts, plain, strict=True):
        other = make_plan(read_text(t, "demo"))
        assert [r.code for r in other.reasons] == [r.code for r in p.reasons]
        assert [(c.name, c.case, c.where) for c in other.checks] == [
            (c.name, c.case, c.where) for c in p.checks
        ]
        assert other.verdict == p.verdict
    assert any("¿" in r.text for r in other.reasons)
    assert list(itertools.chain(*(p.reasons for p in plain)))


class _Other:
    """A language that is never the one that the program is written in."""

    def get(self) -> str:
        return "xx"
