"""From a file to results: here on some threads, or on a dask cluster."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from datetime import tzinfo
from typing import Any, TypeVar

import dask
import xarray as xr

from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.deployment.models import Deployment
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import Region, judged, region_of, results
from anchorage.region.faults import RegionError
from anchorage.region.invented import NAME, invented
from anchorage.region.store import open_grid

Lazy = TypeVar("Lazy", xr.Dataset, xr.DataArray)
PATIENCE = "20s"
"""How long a scheduler may take to answer."""


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
        with dask.config.set(scheduler=client):
            yield
    finally:
        client.close()


def gathered(raw: Lazy) -> Lazy:
    """Raw numbers that are still to be computed, computed. What a worker refuses is refused here."""
    try:
        return raw.compute()
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
        with workers(scheduler, jobs):
            return region, results(region, gathered(judged(region, lazy=True)))
