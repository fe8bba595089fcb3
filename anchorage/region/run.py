"""From a file to results: here on some threads, or on a dask cluster."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Iterator
from datetime import tzinfo
from typing import Any, TypeVar

import dask
import xarray as xr

from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.deployment.models import Deployment
from anchorage.region import bounds
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import Region, judged, region_of, results
from anchorage.region.faults import RegionError
from anchorage.region.invented import NAME, invented
from anchorage.region.store import open_grid

Lazy = TypeVar("Lazy", xr.Dataset, xr.DataArray)
PATIENCE = "20s"
"""How long a scheduler may take to answer."""
LOOK, LONELY = 2.0, 60.0
"""Seconds between two looks at a cluster, and without any worker until it is given up."""


@contextlib.contextmanager
def workers(scheduler: str | None, jobs: int | None) -> Iterator[None]:
    """Where dask runs inside this: threads of this process, or the cluster of a scheduler."""
    if scheduler is None:
        with dask.config.set({"scheduler": "threads"} | ({} if jobs is None else {"num_workers": jobs})):
            yield
        return
    from distributed import Client  # noqa: PLC0415 - slow, and only for a cluster

    try:
        connect: Any = Client
        client = connect(scheduler, timeout=PATIENCE, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as e:
        raise RegionError(
            say(
                "--scheduler {scheduler}: no answer ({name}); give an address such as tcp://10.0.0.5:8786",
                scheduler=scheduler,
                name=type(e).__name__,
            )
        ) from None
    try:
        try:
            client.wait_for_workers(1, timeout=LONELY)
        except TimeoutError:
            raise _nobody(LONELY) from None
        with dask.config.set(scheduler=client):
            yield
    finally:
        client.close()


def _nobody(seconds: float) -> RegionError:
    return RegionError(
        say("the scheduler has no worker since {seconds} s: start some (dask worker ADDRESS) where the same path is, and run it again", seconds=f"{seconds:.0f}")
    )  # fmt: skip


def _on(client: Any, raw: Lazy) -> Lazy:
    """Computed on a cluster, as long as somebody computes: without a worker a cluster waits for ever."""
    future, since = client.compute(raw), time.monotonic()
    while True:
        try:
            found: Lazy = future.result(timeout=LOOK)
        except TimeoutError:
            if future.status == "error":
                raise
            if client.nthreads():
                since = time.monotonic()
            elif time.monotonic() - since > LONELY:
                future.cancel()
                raise _nobody(LONELY) from None
        else:
            return found


def gathered(raw: Lazy) -> Lazy:
    """Raw numbers that are still to be computed, computed. What a worker refuses is refused here."""
    client = dask.config.get("scheduler", None)
    try:
        return raw.compute() if isinstance(client, str | None) else _on(client, raw)
    except AnchorageError:
        raise
    except MemoryError:
        raise RegionError(
            say("there is not memory enough: store the grid in smaller chunks, or use a cluster")
        ) from None
    except Exception as e:
        if type(e).__module__.split(".")[0] in ("distributed", "h5py", "zarr") or isinstance(e, OSError):
            raise RegionError(
                say(
                    "the grid could not be judged to its end: {name}: {e}",
                    name=type(e).__name__,
                    e=str(e)[:160],
                )
            ) from None
        raise


def run(path: str, d: Deployment, now: int, zone: tzinfo | None, *, issued: int | None = None, thunder: str | None = None, gust_from: str | None = None,
        use: str | None = None, every_level: bool = False, scheduler: str | None = None, jobs: int | None = None
        ) -> tuple[Region, xr.Dataset]:  # fmt: skip
    """Judge a grid, or the invented one for ``demo``. now: seconds UTC. Raises ``AnchorageError`` for what cannot be used."""
    with invented(now) if path == NAME else open_grid(path) as ds:
        grid = read_grid(
            ds, str(path).rstrip("/").rsplit("/", 1)[-1], issued=issued, thunder=thunder, gust_from=gust_from
        )
        region = region_of(d, grid, now, zone, use=use, every_level=every_level)
        bounds.check(grid, len(region.job.hours.starts), every_level=every_level)
        with workers(scheduler, jobs):
            return region, results(region, gathered(judged(region, lazy=True)))
