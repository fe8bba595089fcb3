"""Gone through in a process of its own: a damaged HDF5 file can keep its library busy for ever, or bring the process down.

This file is that process too, run by its path; so it needs nothing of the program.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
from pathlib import Path
from typing import Any

PATIENCE = 30.0
"""Seconds; the structure of a large grid takes one."""


def go_through(path: str) -> None:
    """Look at everything but the values, as the reader will."""
    import h5py  # type: ignore[import-untyped,unused-ignore]  # noqa: PLC0415 - an extra, and only in the other process

    def look(name: str, item: Any) -> None:
        del name
        with contextlib.suppress(Exception):  # what the reader raises is said by the reader
            for key in item.attrs:
                item.attrs[key]
            if isinstance(item, h5py.Dataset):
                _ = item.shape, item.dtype, item.chunks, item.fillvalue, [len(d) for d in item.dims]

    with contextlib.suppress(Exception), h5py.File(path, "r") as f:
        look("", f)
        f.visititems(look)


def comes_to_an_end(path: str) -> bool:
    """Whether a file can be gone through, well or not, without the process hanging or dying."""
    here = [sys.executable, "-P", str(Path(__file__)), str(Path(path).absolute())]
    try:
        done = subprocess.run(  # noqa: S603 - this file, and a name of a file as its argument
            here, stdin=subprocess.DEVNULL, capture_output=True, timeout=PATIENCE, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    except OSError:  # no process can be started here: then it is opened as it is
        return True
    return done.returncode >= 0


if __name__ == "__main__":
    go_through(sys.argv[1])
