"""Make the frozen plan and outlook that the screens are tested with, then the screens: ``python tests/screens/make.py``.

They are our own output, pinned: they show that a screen has changed, and are no evidence that a number is right.
"""

import os
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent
NOW = 1764078600
"""2025-11-25 13:50 UTC."""


def main():
    sys.path[:0] = [str(HERE.parents[1])]
    from anchorage.demo import demo_text
    from anchorage.deployment.draft import read_draft
    from tui import engine
    from tui.fields import KEYS

    draft = read_draft(demo_text("asphalt"), KEYS).over({
        "wind.from": "270", "outlook.zone": "UTC", "forecast.heard": "13:40", "forecast.lines[1]": "until 18:00 gust 15 mph",
        "forecast.lines[2]": "until 21:00 gust 26 mph", "forecast.lines[3]": "until 23:00 gust 40 mph", "deployment.use": "decon",
    })  # fmt: skip
    answer = engine.evaluate(draft, 1, HERE, deep=True)
    assert answer.plan is not None, answer.faults
    (HERE / "plan.json").write_text(answer.plan.beside_a_forecast().to_json() + "\n", encoding="utf-8")
    found = engine.weather(answer, (), 1, NOW)
    assert found.outlook is not None, found.trouble
    (HERE / "outlook.json").write_text(found.outlook.to_json() + "\n", encoding="utf-8")
    env = {**os.environ, "ANCHORAGE_SCREENS": "make"}
    subprocess.run([sys.executable, "-m", "pytest", str(HERE)], check=True, env=env, cwd=HERE.parents[1])


if __name__ == "__main__":
    main()
