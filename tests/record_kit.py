"""The asphalt demo as it was built, and the day of its record."""

from anchorage.demo import demo_text

DAY = "2026-03-10T"


def as_built(each: int) -> str:
    """Its file for people inside, with so many sandbags at each point and no stock."""
    return (
        demo_text("asphalt")
        .replace('"set-up"', '"people-in"')
        .replace("[anchorage]", f"[anchorage]\nplaced = {each}", 1)
        .replace("\n[stock]\nsandbags = 100\n", "")
    )
