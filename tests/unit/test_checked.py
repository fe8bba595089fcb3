"""A check is known by what it asks and by what gives; its name and its code follow from that, in whatever language it is shown."""

import pytest

from anchorage.core import say
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
    with pytest.raises(ValueError, match=f"^{name}$"):
        Check.named(name)


def test_what_is_asked_of_a_frame_and_of_a_line() -> None:
    assert all(w.on_line for w in What if w.lifting)
    assert {w for w in What if w.of_frame and w.on_line} == {What.UPLIFT_OF_FRAME, What.PUSH_OF_FRAME}


class _Other:
    """A catalogue in which everything is said otherwise."""

    def gettext(self, text: str) -> str:
        return f"¿{text}?"

    def ngettext(self, one: str, many: str, n: int) -> str:
        return f"¿{one if n == 1 else many}?"

    def info(self) -> dict[str, str]:
        return {"x-decimal": ","}


def test_codes_do_not_follow_the_language(monkeypatch: pytest.MonkeyPatch) -> None:
    """With every message put into other words the codes of the reasons, the names of the checks and the verdict are the same."""
    monkeypatch.setattr(say, "_catalogue", lambda _: _Other())
    locked = demo_text("winter").replace('straps = "unlocked"', 'straps = "locked"')
    seen = set()
    for text in (*map(demo_text, NAMES), locked):
        d = read_text(text, "demo")
        plain = make_plan(d)
        with say.speaking("xx"):
            other = make_plan(d)
            assert all("¿" in r.text for r in (*other.reasons, *plain.reasons))
        assert [r.code for r in other.reasons] == [r.code for r in plain.reasons]
        assert [(c.name, c.where) for c in other.checks] == [(c.name, c.where) for c in plain.checks]
        assert other.verdict == plain.verdict
        assert other.to_json() == plain.to_json()
        seen |= {r.code for r in other.reasons}
    assert any(code.endswith("-exceeded") for code in seen)
