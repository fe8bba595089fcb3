"""The lines of a wind meter, the file of a store, a bundle, and the ways out of a deployment."""

from __future__ import annotations

import functools
import json
import math
import random

from anchorage.bundle import case
from anchorage.core.errors import AnchorageError
from anchorage.core.plain import inert
from anchorage.deployment.reader import read_text
from anchorage.fleet.stock import is_stock, read_stock
from anchorage.judging.plan import assess
from anchorage.meter.sentences import Refused, fastest, sample_of
from anchorage.ways.compare import as_data, ways

from . import nasty
from .files import FILE, folder
from .oracle import hold, named

METER = [
    b"$WIMWV,214.8,R,10.5,M,A*2F",
    b"$WIMWV,214.8,T,20.4,N,A*20",
    b"$WIMWD,270.0,T,280.0,M,14.6,N,7.5,M*5B",
    b"$WIVWR,045.0,R,012.6,N,006.5,M,023.3,K*75",
    b"$WIXDR,C,21.5,C,TEMP,S,10.5,M,WS*60",
]


def sealed(line: bytes) -> bytes:
    """The line with the checksum that it should have, so that what is behind that is reached."""
    body = line.strip().lstrip(b"$").split(b"*", maxsplit=1)[0]
    return b"$%s*%02X" % (body, functools.reduce(lambda a, b: a ^ b, body, 0))


def meter(raw: bytes) -> str:
    """A line as it came: a speed that wind can have, or the reason why it is none."""
    said = "refused"
    for line in (raw, *(sealed(x) for x in raw.splitlines()[:4])):
        for mark in (None, 0.0, 359.9):
            found = sample_of(line, mark)
            if isinstance(found, Refused):
                hold(str(found.value), "a refusal without words")
                continue
            said = "read"
            hold(math.isfinite(found.speed) and 0 <= found.speed <= fastest(), f"a speed that cannot be: {found.speed}")  # fmt: skip
            hold(found.from_deg is None or 0 <= found.from_deg <= 360, f"a direction that cannot be: {found.from_deg}")  # fmt: skip
            hold(inert(found.stream) == found.stream, "a name that acts on a terminal")
    return said


def meter_harm(_: str, kind: str, raw: bytes, rng: random.Random, other: bytes) -> tuple[bytes, str]:
    """Harm before and after the checksum is put right."""
    bad = nasty.mutated(raw, kind, rng, other)
    try:
        return bad, meter(bad)
    except BaseException as e:
        e.__dict__["case"] = bad
        raise


def stock(raw: bytes) -> str:
    """The file of a store: every fault at once, each with the file and the key."""
    path = folder() / "stock.toml"
    path.write_bytes(raw)
    is_stock(path)
    try:
        found = read_stock(path)
    except AnchorageError as e:
        return named(e, path.name)
    hold(all(i.mass is None or i.mass >= 0 for i in found.item), "something that weighs less than nothing")
    return "read"


MEMBERS = {"deployment.toml": b'[wind]\nspeed = "20 mph"\n', "plan.json": b"{}\n", "pages/check.txt": b"GO\n"}


@functools.cache
def bundles() -> tuple[bytes, ...]:
    """One that is whole, and its list of contents alone."""
    listed = case.manifest_of(MEMBERS, {"version": "0", "asked": {"file": FILE, "now": 1}})
    return (case.zipped(listed, MEMBERS), listed)


def bundle(raw: bytes) -> str:
    """Any bytes as a bundle: opened without unpacking, or everything that is wrong with it; whole only as it was made."""
    found = case.opened(raw)
    hold(all(f.words for f in found.faults), "a fault without words")
    hold(all(inert(f.words) == f.words for f in found.faults), "a fault that acts on a terminal")
    hold(found.faults or raw == bundles()[0], "a bundle that was changed is whole")
    asked = found.manifest.get("asked")
    if isinstance(asked, dict):
        case.asked_of(asked)
    hold(len(json.dumps(sorted(found.members))) < 10**6, "members without end")
    return "read" if found.manifest else "refused"


def ways_out(raw: bytes) -> str:
    """A deployment that is read has its ways listed, each with counts that can be, or a reason why it has none."""
    try:
        d = read_text(raw.decode("utf-8", "replace"), FILE)
        found = ways(assess(d))
    except AnchorageError as e:
        hold(str(e) and len(str(e)) < 20_000, "a refusal of no or of endless words")
        return "refused"
    json.dumps(as_data(found), allow_nan=False)
    for w in found.ways:
        hold(w.total >= 0 and all(p.units >= 0 for p in w.points), f"a way of less than nothing: {w.name}")
        hold(inert(w.name) == w.name, "a way that acts on a terminal")
    return "read"
