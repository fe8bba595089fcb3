"""region: a deployment and a gridded forecast in; every cell out, as a file, a map and a few lines."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text
from anchorage.cli.judge import opened
from anchorage.cli.paper import moment, zone
from anchorage.core.closed import EXITS
from anchorage.core.outputs import put
from anchorage.core.say import say
from anchorage.core.textfile import is_folder
from anchorage.outlook.asked import zone_said
from anchorage.outlook.clock import read_said

PACKAGES = ("xarray", "dask", "h5netcdf", "h5py", "zarr", "numcodecs", "matplotlib", "distributed")


def _modules() -> Any:
    try:
        from anchorage.region import picture, run, store, summary  # noqa: PLC0415 - an extra, and slow
    except ImportError as e:
        if (e.name or "").split(".")[0] not in PACKAGES:
            raise
        raise CommandError(
            say("region: it needs {name}: pip install 'shelter-anchorage[region]'", name=e.name)
        ) from None
    return picture, run, store, summary


def _check(args: argparse.Namespace) -> None:
    """Refuse what is typed wrong before hours of work."""
    if args.jobs is not None and not 1 <= args.jobs <= 1024:
        raise CommandError(say("--jobs {jobs}: from 1 to 1024", jobs=args.jobs))
    for path in filter(None, (args.output, args.map)):
        if not is_folder(Path(path).parent):
            raise CommandError(say("{path}: there is no such folder", path=path))


def availability(args: argparse.Namespace) -> Outcome:
    """Count the windows of years of a grid (``climate`` with a history on a grid)."""
    _check(args)
    if args.output is not None and Path(args.output).suffix.lower() == ".csv":
        raise CommandError(
            say("-o {output}: the cells of a grid are written as .nc or .zarr", output=args.output)
        )
    if args.kit or args.years or args.station is not None:
        raise CommandError(
            say("--kit, --years and --station: for the history of a station; this one is a grid")
        )
    *_, store, _ = _modules()
    from anchorage.region import availability as made  # noqa: PLC0415 - an extra, and slow

    d = opened(args)
    found, ds = made.run(
        args.history,
        d,
        args.hours,
        zone(args, d.outlook),
        gust_from=args.gust_from,
        scheduler=args.scheduler,
        jobs=args.jobs,
    )
    written = []
    for path in filter(None, (args.output, args.map)):
        if Path(path).suffix.lower() == ".png":
            put(path, made.picture(found, ds))
        else:
            store.save(ds, path)
        written.append(path)
    names = [say("wrote {p}", p=p) for p in written]
    text = (
        as_json({**made.as_data(found, ds), "written": written})
        if args.json
        else as_text([*made.lines(found, ds, d.deployment.show_units), *names])
    )
    return Done(EXITS[found.verdict], text, ", ".join(names))


def region(args: argparse.Namespace) -> Outcome:
    """Judge one installation over a grid."""
    _check(args)
    picture, run, store, summary = _modules()
    d = opened(args)
    where = zone(args, d.outlook)
    said = zone_said(args.zone, d.outlook)
    now = moment(args, where)
    issued = (
        None
        if args.issued is None
        else read_said(args.issued, said, now, say("command line"), "--issued", past=True)
    )
    found, ds = run.run(args.grid, d, now, said, issued=issued, thunder=args.thunder_from, gust_from=args.gust_from, use=args.use, every_level=args.levels,
                        scheduler=args.scheduler, jobs=args.jobs)  # fmt: skip
    headline, written = summary.headline(found, ds, where), []
    for path in filter(None, (args.output, args.map)):
        if Path(path).suffix.lower() == ".png":
            under = say(
                "{found} - {grid}; now {now}, forecast of {issued}",
                found=found.name,
                grid=found.grid.name,
                now=ds.attrs["now"],
                issued=ds.attrs["issued"],
            )
            put(path, picture.picture(ds, now, headline, under))
        else:
            store.save(ds, path)
        written.append(path)
    names = [say("wrote {p}", p=p) for p in written]
    text = (
        as_json({**summary.as_data(found, ds, where), "written": written})
        if args.json
        else as_text([*summary.lines(found, ds, where, d.deployment.show_units), *names])
    )
    return Done(EXITS[summary.verdict_of(ds)], text, ", ".join(names))
