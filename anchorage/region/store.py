"""Grids in, results out: NetCDF and Zarr. Lazy on the way in; whole or not at all on the way out."""

from __future__ import annotations

import logging
import os
import shutil
import tempfile
from pathlib import Path

import xarray as xr

from anchorage.core.outputs import place
from anchorage.core.say import later, say
from anchorage.core.textfile import exists, is_folder, read_whole, why_not
from anchorage.region import bounds
from anchorage.region.faults import RegionError, refuse
from anchorage.region.probe import axes_of

_HDF = b"\x89HDF\r\n\x1a\n"
_FORMATS = later("NetCDF-4 (.nc) or a Zarr folder")


def _axes_of_zarr(path: str) -> dict[str, int]:
    """How long each axis of a store is, by what it says of itself: its values are not read."""
    import zarr  # noqa: PLC0415 - only for a store

    try:
        group = zarr.open_group(path, mode="r")
        return {name: int(a.shape[0]) for name, a in group.arrays() if len(a.shape) == 1}
    except Exception:  # noqa: BLE001 - whatever a damaged store raises is said when it is opened
        return {}


def open_grid(path: str) -> xr.Dataset:
    """Open a grid without reading its values. Times are left as they stand; the format is told from what is in it."""
    where = Path(path)
    name = where.name or path
    if is_folder(where):
        if not any(exists(where / f) for f in ("zarr.json", ".zgroup", ".zmetadata")):
            raise refuse(name, "folder", say("no Zarr store"), _FORMATS)
        bounds.axis(name, _axes_of_zarr(path))
        engine = "zarr"
    else:
        try:
            head = read_whole(where, len(_HDF))[: len(_HDF)]
        except OSError as e:
            raise RegionError(
                say(
                    "{name}: {why_not}; give a grid as {formats}",
                    name=name,
                    why_not=why_not(e, say("it cannot be read")),
                    formats=_FORMATS,
                )
            ) from None
        if head[:3] == b"CDF":
            raise refuse(
                name,
                "file",
                say("NetCDF classic"),
                say("{formats}: save it again as NetCDF-4", formats=_FORMATS),
            )
        if head != _HDF:
            raise refuse(name, "file", say("another format"), _FORMATS)
        axes = axes_of(path)
        if axes is None:
            raise RegionError(
                say(
                    "{name}: it is damaged: the library that reads {formats} does not come to an end with it",
                    name=name,
                    formats=_FORMATS,
                )
            )
        bounds.axis(name, axes)
        engine = "h5netcdf"
    try:
        return xr.open_dataset(
            path, engine=engine, chunks=None, decode_times=False, decode_timedelta=False, mask_and_scale=True
        )
    except Exception as e:  # noqa: BLE001 - whatever a damaged file makes the reader raise
        logging.getLogger("asyncio").setLevel(
            logging.CRITICAL
        )  # it complains of what the reader left half done
        raise RegionError(
            say(
                "{name}: it cannot be read as {formats}: {name_2}: {e}",
                name=name,
                formats=_FORMATS,
                name_2=type(e).__name__,
                e=str(e)[:120],
            )
        ) from None


def save(ds: xr.Dataset, path: str) -> None:
    """Write results to ``.nc``, which is replaced, or to ``.zarr``, which may not be there yet."""
    target = Path(path)
    if target.suffix.lower() == ".zarr" and exists(target):
        raise RegionError(
            say("{path}: it is there already and was left as it is; give another name", path=path)
        )
    try:
        target = place(target)
        with tempfile.TemporaryDirectory(prefix=".anchorage-", dir=target.parent) as folder:
            made = Path(folder) / target.name
            if target.suffix.lower() == ".zarr":
                ds.to_zarr(made, zarr_format=2, consolidated=True)
                shutil.move(made, target)
            else:
                ds.to_netcdf(made, engine="h5netcdf")
                os.replace(made, target)  # noqa: PTH105 - the target may be on no other disk: it is a folder beside it
    except OSError as e:
        why = " ".join(why_not(e, say("it cannot be written")).split())[:120]
        raise RegionError(say("{path}: {why}; nothing was written", path=path, why=why)) from None
