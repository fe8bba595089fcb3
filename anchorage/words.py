"""The words for verdicts and levels that every command, screen and page shares. See ``tables/glossary.toml``."""

VERDICTS = {"go": "GO", "no-go": "NO-GO", "unknown": "CANNOT SAY"}
LEVELS = {"normal": "NORMAL", "secure": "SECURE", "people-out": "PEOPLE OUT", "keep-away": "KEEP AWAY", "unknown": "CANNOT SAY"}  # fmt: skip


def so_many(n: int, items: str) -> str:
    """``1 sandbag``, ``2 sandbags``, ``1 deadman``: a number with the name of what is counted."""
    one = items.removesuffix("men") + "man" if items.endswith("men") else items.removesuffix("s")
    return f"{n} {one if n == 1 else items}"


def named(unit: str, count: int) -> str:
    """Name of a unit: water-barrel, 2 -> water barrels; concrete-barrier-10ft, 2 -> concrete barriers 10ft."""
    word = unit.replace("-", " ")
    name, _, last = word.rpartition(" ")
    size = f" {last}" if name and (last == "full" or last[:1].isdigit()) else ""
    name = word.removesuffix(size)
    if count == 1 or name.endswith("s"):
        return word
    return (name.removesuffix("man") + "men" if name.endswith("man") else name + "s") + size
