"""What the record changed of the file, in words."""

from __future__ import annotations

from collections.abc import Sequence

from anchorage.core.choices import DOORS_ARE, chosen
from anchorage.core.out import ChangeOut
from anchorage.core.say import later, say
from anchorage.core.words import spoken

_CHANGES = {
    "straps": later("straps {value}"), "state": later("ground {value}"), "snow": later("snow on the roof {value}"),
    "snow-until-looked": later("snow on the roof {value}, less than before: the more of it counts until somebody looked and says so: both sides clear, frame and straps straight (log FILE inspection passed --after snow)"),
    "snow-kept": later("snow on the roof {value}, less than the load in the file, which stays"), "tests": later("{value} readings of tests"), "test-expired": later("a {value} test counts no more: weather or work came after it"),
    "struck": later("taken down: what was logged before counts no more"), "coming-down": later("it is coming down: nobody inside, and it holds what it holds half built"),
}  # fmt: skip

UNDONE = ("snow-until-looked", "snow-kept")
"""Changes by which an entry does less than it says."""


def change_words(changes: Sequence[ChangeOut]) -> list[str]:
    """``10 placed at each point``, ``ground ice``: what the record says anew."""
    out, missing = [], dict[str, list[str]]()
    alike: dict[tuple[int | None, str], list[str]] = {}
    for c in changes:
        if c.code == "placed" and c.where:
            alike.setdefault((c.entry, c.value), []).append(c.where)
    for c in changes:
        if c.code == "placed":
            if c.where:
                if (points := alike.pop((c.entry, c.value), None)) is not None:
                    out.append(say("{value} placed at {where}", value=c.value, where=", ".join(points)))
            elif c.in_all is not None and c.counted not in (None, c.in_all):
                out.append(say("{n} in all placed, {counted} of them count", n=c.in_all, counted=c.counted))
            elif c.in_all is not None:
                out.append(say("{value} placed", value=say("{n} in all", n=c.in_all)))
            else:
                out.append(say("{value} placed at {where}", value=c.value, where=say("each point")))
        elif c.code == "not-counted":
            missing.setdefault(c.value, []).append(c.where)
        elif c.code == "doors":
            out.append(str(DOORS_ARE[c.value]))
        else:
            out.append(say(_CHANGES[c.code], value=_chosen(c)))
    for value, where in missing.items():
        said = say("nothing") if not value else say("{value}, as the file says,", value=value)
        out.append(say("not counted, so {said} stands at {where}", said=said, where=", ".join(where)))
    return out


def _chosen(c: ChangeOut) -> str:
    """What it is changed to, in words where it is a code."""
    return (
        chosen(c.value, "state") if c.code == "state" else spoken(c.value) if c.code == "straps" else c.value
    )
