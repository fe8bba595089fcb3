"""What the record changed of the file, in words."""

from __future__ import annotations

from anchorage.core.out import ChangeOut

_CHANGES = {
    "doors": "doors {value}", "straps": "straps {value}", "state": "ground {value}", "snow": "snow on the roof {value}",
    "snow-kept": "snow on the roof {value}, less than the load in the file, which stays", "tests": "{value} readings of tests", "test-expired": "a {value} test counts no more: weather or work came after it",
    "struck": "taken down: what was logged before counts no more",
}  # fmt: skip


def change_words(changes: list[ChangeOut]) -> list[str]:
    """``10 placed at each point``, ``ground ice``: what the record says anew."""
    out, missing = [], dict[str, list[str]]()
    for c in changes:
        if c.code == "placed":
            out.append(f"{c.value} placed" + ("" if " " in c.value else f" at {c.where or 'each point'}"))
        elif c.code == "not-counted":
            missing.setdefault(c.value, []).append(c.where)
        else:
            out.append(_CHANGES[c.code].format(value=c.value))
    for value, where in missing.items():
        said = "nothing" if not value else f"{value}, as the file says,"
        out.append(f"not counted, so {said} stands at {', '.join(where)}")
    return out
