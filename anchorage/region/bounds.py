"""How much of a grid there is room for, looked at before any of it is read: a small file can declare more than any machine holds."""

from __future__ import annotations

import contextlib
import math
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import xarray as xr

from anchorage.core.say import say
from anchorage.region.cf import Grid
from anchorage.region.faults import RegionError
from anchorage.region.kernel import LEVELS, MARKS

LONGEST_AXIS = 5_000_000
"""Places along one axis: its coordinate is read whole as soon as the grid is opened."""
MOST_HOURS, MOST_MEMBERS = 200_000, 1_000
"""Times (twenty years of hours) and members of an ensemble."""
ASSUMED = 4_000_000_000
"""Bytes of memory where the system does not say."""
SHARE = 0.5
"""Of the memory that is free, for all of this."""
BYTES, BYTES_WITH_SNOW = 64, 320
"""That one cell-hour takes while it is judged: some eight numbers, with snow some forty."""
COPIES = 3
"""Of the results: as they come, as they are put together, as they are written."""
MEMINFO, CGROUP = Path("/proc/meminfo"), Path("/sys/fs/cgroup/memory.max")


def free() -> int:
    """Bytes of memory that can be had now, here, by the tightest of the bounds that this system names."""
    found = [ASSUMED] if not MEMINFO.exists() else []
    with contextlib.suppress(OSError, ValueError, IndexError):
        found += [
            int(line.split()[1]) * 1024
            for line in MEMINFO.read_text().splitlines()
            if line.startswith("MemAvailable:")
        ]
    with contextlib.suppress(OSError, ValueError):
        found.append(int(CGROUP.read_text()))
    with contextlib.suppress(ImportError, OSError, ValueError):
        import resource  # noqa: PLC0415 - not on every system

        most = resource.getrlimit(resource.RLIMIT_AS)[0]
        found += [most] if most != resource.RLIM_INFINITY else []
    return min(found, default=ASSUMED)


def room() -> int:
    """Bytes that a region may take."""
    return int(free() * SHARE)


def block(most: int, *, snow: bool) -> int:
    """Cell-hours to judge at once on each of the processors here."""
    each = BYTES_WITH_SNOW if snow else BYTES
    return max(min(most, room() // (2 * each * (os.cpu_count() or 1))), 1)


def at_once(most: int) -> int:
    """Bytes of a grid that is stored time by time to hold at once."""
    return max(min(most, room() // 4), 1)


def axis(name: str, lengths: Mapping[str, int]) -> None:
    """Refuse axes that are too long to be opened."""
    for key, length in lengths.items():
        if length > LONGEST_AXIS:
            raise RegionError(
                say("{name}: the axis {axis} has {length} places; at most {most}: cut the grid to your area", name=name, axis=key, length=length, most=LONGEST_AXIS)
            )  # fmt: skip


def _pieces(v: xr.DataArray) -> int:
    """Bytes of a stored piece once it is unpacked; it is read whole."""
    stored = v.encoding.get("chunksizes") or v.encoding.get("chunks")
    return math.prod(int(n) for n in stored) * v.dtype.itemsize if stored else 0


def check(grid: Grid, hours: int, *, every_level: bool) -> None:
    """Refuse a grid whose results, or whose stored pieces, there is no room for. Nothing of its values is read."""
    sizes = grid.gust.sizes
    cells = math.prod(sizes[d] for d in grid.cells)
    shape = " x ".join(f"{n:,}" for n in sizes.values())
    if sizes[grid.time] > MOST_HOURS or grid.members > MOST_MEMBERS:
        raise RegionError(
            say("{name}: it declares {shape}; at most {hours} times and {members} members", name=grid.name, shape=shape, hours=MOST_HOURS, members=MOST_MEMBERS)
        )  # fmt: skip
    each: int = (
        grid.members * (2 * len(MARKS) + 2 + 4 * len(LEVELS) + (hours if every_level else 0))
        + 2
        + 8 * len(LEVELS)
        + 8 * len(MARKS)
    )
    needs, has = cells * each * COPIES, room()
    if needs > has:
        raise RegionError(
            say("{name}: it declares {shape}, {cells} cells: what comes of them takes some {needs}, and there is room for {has} here. Cut the grid to your area, or take every second cell of it",
                name=grid.name, shape=shape, cells=f"{cells:,}", needs=_gb(needs), has=_gb(has))
        )  # fmt: skip
    for f in grid.fields.values():
        piece = _pieces(f.array)
        if piece > has // 2:
            raise RegionError(
                say("{name}: {variable} is stored in pieces of {piece}, which are read whole, and there is room for {has} here. Store it in smaller chunks",
                    name=grid.name, variable=f.array.name, piece=_gb(piece), has=_gb(has))
            )  # fmt: skip


def _gb(size: Any) -> str:
    return f"{size / 1e9:.1f} GB"
