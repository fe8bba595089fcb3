"""Gone through in a process of its own: a damaged HDF5 file can keep its library busy for ever, or bring the process down.

This file is that process too, run by its path; so it needs nothing of the program.
"""

from __future__ import annotations

import contextlib
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

PATIENCE = 30.0
"""Seconds; the structure of a large grid takes one."""


def go_through(path: str) -> dict[str, int]:
    """Look at everything but the values, as the reader will; how long each axis is."""
    longest: dict[str, int] = {}
    import h5py  # type: ignore[import-untyped,unused-ignore]  # noqa: PLC0415 - an extra, and only in the other process

    def look(name: str, item: Any) -> None:
        if isinstance(item, h5py.Dataset) and len(item.shape or ()) == 1:
            longest[name] = int(item.shape[0])
        with contextlib.suppress(Exception):  # what the reader raises is said by the reader
            for key in item.attrs:
                item.attrs[key]
            if isinstance(item, h5py.Dataset):
                _ = item.shape, item.dtype, item.chunks, item.fillvalue, [len(d) for d in item.dims]

    with contextlib.suppress(Exception), h5py.File(path, "r") as f:
        look("", f)
        f.visititems(look)
    return longest


def axes_of(path: str) -> dict[str, int] | None:
    """How long each axis of a file is that can be gone through, well or not, without the process hanging or dying; else None."""
    here = [sys.executable, "-P", str(Path(__file__)), str(Path(path).absolute())]
    try:
        done = subprocess.run(  # noqa: S603 - this file, and a name of a file as its argument
            here, stdin=subprocess.DEVNULL, capture_output=True, timeout=PATIENCE, check=False
        )
    except subprocess.TimeoutExpired:
        return None
    except OSError:  # no process can be started here: then it is opened as it is
        return {}
    if done.returncode < 0:
        return None
    with contextlib.suppress(ValueError):
        return {str(k): int(n) for k, n in json.loads(done.stdout or b"{}").items()}
    return {}


if __name__ == "__main__":
    sys.stdout.write(json.dumps(go_through(sys.argv[1])))
