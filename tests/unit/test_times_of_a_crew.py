"""How long things take: never less than nothing."""

import re

import pytest

from anchorage.cli.entry import main
from anchorage.core.errors import InputFaults
from anchorage.demo import demo_text
from anchorage.deployment.models import Times
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import make_plan

SPANS = [k for k in Times.model_fields if k not in ("start", "end")]


@pytest.mark.parametrize("key", SPANS)
@pytest.mark.parametrize("value", ["-1 min", "-40 min", "169 h"])
def test_a_time_below_nothing_or_over_a_week_is_refused(key, value):
    """Less than nothing would move a deadline later."""
    text = re.sub(r"\[times\]\n(?:.*=.*\n)*", f'[times]\n{key} = "{value}"\n', demo_text("asphalt"))
    with pytest.raises(InputFaults, match=key):
        read_text(text)


def _check(capsys, tmp_path, name):
    path = tmp_path / f"{name}.toml"
    path.write_text(demo_text(name), encoding="utf-8")
    main(["check", str(path)])
    return " ".join(capsys.readouterr().out.split())


def test_a_limit_for_one_side_of_the_wind_says_so_and_what_the_weakest_side_takes(capsys, tmp_path):
    plan = make_plan(read_text(demo_text("clay")), deep=False)
    weakest = min(b.gust_m_s for b in plan.limit.by_bearing)
    assert weakest < plan.limit.gust_m_s, "the demo names where its wind is from"
    first_screen = _check(capsys, tmp_path, "clay")
    assert "ONLY for wind from the side that the file gives" in first_screen
    assert f"it holds to {int(weakest / 0.44704)} mph, and the outlook" in first_screen
    assert "ONLY for wind from" not in _check(capsys, tmp_path, "asphalt")
