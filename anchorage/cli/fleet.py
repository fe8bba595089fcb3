"""fleet: a folder of deployments in; a table of all of them out."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import UTC, datetime, tzinfo
from pathlib import Path

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text
from anchorage.cli.paper import kind_of
from anchorage.core.console import is_terminal
from anchorage.core.outputs import put
from anchorage.core.plain import wrap
from anchorage.core.say import later, say
from anchorage.core.textfile import exists, fingerprint, read_whole, why_not, write_whole
from anchorage.demo import COUNTY_NOW, COUNTY_ZONE, county
from anchorage.deployment.reader import LONGEST
from anchorage.fleet.moving import Moving, check_names, move
from anchorage.fleet.needs import Need, State, StockOptions, need_of
from anchorage.fleet.rows import Options
from anchorage.fleet.run import bar, files_of, judge_all
from anchorage.fleet.show import as_csv, as_data, as_parquet, code, in_order, lines
from anchorage.fleet.show_moves import move_lines, movement, moves_csv, moves_data, moves_parquet
from anchorage.fleet.stock import read_stock
from anchorage.outlook.clock import read_iso, read_said, seconds, zone_of
from anchorage.paper.blocks import Paper
from anchorage.paper.content import Made
from anchorage.paper.movement_page import Movement, movement_document
from anchorage.paper.render import rendered

LAST = later(
    "Each is judged by itself: sheltering, debris and joints between them are not in it. Not a permit; each sheet has its cautions."
)


A_PROCESS = 6
"""Sites that are worth a process: each is judged many times."""
TABLES, PAGES = (".csv", ".parquet"), (".pdf", ".html", ".htm")


def _written(path: str, kind: str, m: Moving, v: Movement, made: Made, paper: Paper) -> list[str]:
    """Write the moves."""
    if kind in PAGES:
        raw = rendered(movement_document(v, made, paper), kind)
    else:
        raw = moves_parquet(m) if kind == ".parquet" else moves_csv(m).encode("utf-8")
    put(path, raw)
    return [say("wrote {path}", path=path)]


def _moved(
    args: argparse.Namespace, paths: list[Path], o: Options, saved: int, zone: tzinfo, kind: str | None
) -> Outcome:
    """What goes where, and what comes down; then every deployment as it is after that."""
    file = Path(args.stock)
    stock = read_stock(file)
    check_names(stock, [p.stem for p in paths], file.name)
    has = {p.name: dict(p.has) for p in stock.place if p.has is not None}
    options = StockOptions(o.now, o.forecasts, o.zone, o.issued, o.use, has)
    jobs = args.jobs or min(os.cpu_count() or 1, -(-len(paths) // A_PROCESS))
    found = judge_all(
        paths, options, jobs=jobs, progress=bar if is_terminal(sys.stderr) else None, judge=need_of
    )
    needs = [
        n if isinstance(n, Need) else Need(str(p), State.UNREAD, n, has.get(p.stem, {}))
        for p, n in zip(paths, found, strict=True)
    ]
    m = move(needs, stock, options)
    rows = in_order(m.rows, args.sort, reverse=args.reverse)
    name = args.zone or "UTC"
    v = movement(m, zone, name, args.units)
    said = []
    if kind is not None:
        m_made = Made(
            file.name,
            fingerprint(read_whole(file, LONGEST), *(read_whole(p, LONGEST) for p in paths)),
            o.now,
            zone,
        )
        said = _written(args.output, kind, m, v, m_made, args.paper)
    did = "".join(said)
    if args.json:
        return Done(code(rows), as_json({**as_data(rows, o.now, saved), **moves_data(m)}), did)
    return Done(
        code(rows),
        as_text(
            [*move_lines(v), "", *lines(rows, args.units, o.now, zone, name), "", *wrap(LAST, wide=80), *said]
        ),
        did,
    )


def fleet(args: argparse.Namespace) -> Outcome:
    """Judge every deployment of a folder."""
    kind = (
        None
        if args.output is None
        else kind_of(args.output, TABLES if args.stock is None else (*TABLES, *PAGES))
    )
    if args.jobs is not None and not 1 <= args.jobs <= 1024:
        raise CommandError(say("--jobs {jobs}: from 1 to 1024", jobs=args.jobs))
    for path in args.forecast:
        if not exists(path):
            raise CommandError(say("--forecast {path}: there is no such file or folder", path=path))
    zone = None if args.zone is None else zone_of(args.zone, say("command line"))
    now = (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, say("command line"), "--now", zone)
    )
    if args.issued is not None:
        read_said(args.issued, zone or UTC, now, say("command line"), "--issued", past=True)
    paths, saved = files_of(args.folder, args.stock)
    options = Options(now, tuple(args.forecast), args.zone, args.issued, args.use)
    if args.stock is not None:
        return _moved(args, paths, options, saved, zone or UTC, kind)
    rows = judge_all(paths, options, jobs=args.jobs, progress=bar if is_terminal(sys.stderr) else None)
    rows = in_order(rows, args.sort, reverse=args.reverse)
    said = []
    if args.output is not None:
        put(args.output, as_parquet(rows) if kind == ".parquet" else as_csv(rows).encode("utf-8"))
        said.append(say("wrote {output}", output=args.output))
    did = "".join(said)
    if args.json:
        return Done(code(rows), as_json(as_data(rows, now, saved)), did)
    if saved:
        said.append(
            say(
                "{saved} saved shelter{what} left out: used by others, no deployment.",
                saved=saved,
                what="s"[: saved > 1],
            )
        )
    page = [*lines(rows, args.units, now, zone or UTC, args.zone or "UTC"), "", *wrap(LAST, wide=80), *said]
    return Done(code(rows), as_text(page), did)


def demo_county(args: argparse.Namespace) -> Outcome:
    """The sites of the invented county that share a store; or a copy of their folder. Done is 0."""
    where, forecast = county(), "forecast.csv"
    if args.copy_folder is not None:
        if exists(args.copy_folder):
            raise CommandError(
                say(
                    "{copy_folder}: it is there already and was left as it is; another name",
                    copy_folder=args.copy_folder,
                )
            )
        target = Path(args.copy_folder)
        try:
            target.mkdir()
            for p in sorted(where.iterdir()):
                write_whole(target / p.name, p.read_bytes(), new=True)
        except OSError as e:
            raise CommandError(say("{copy_folder}: {why_not}; give a folder that is not there yet", copy_folder=args.copy_folder, why_not=why_not(e, say("it cannot be written")))) from None  # fmt: skip
        try_it = say(
            "anchorage fleet {copy_folder} --stock {copy_folder}/stock.toml --forecast {copy_folder}/{forecast} --now {county_now} --zone {county_zone}",
            copy_folder=args.copy_folder,
            forecast=forecast,
            county_now=COUNTY_NOW,
            county_zone=COUNTY_ZONE,
        )
        return 0, as_text(
            [
                say(
                    "wrote {copy_folder}: three files, stock.toml and a forecast; then",
                    copy_folder=args.copy_folder,
                ),
                f"  {try_it}",
            ]
        )
    asked = argparse.Namespace(
        folder=str(where), stock=str(where / "stock.toml"), forecast=[str(where / forecast)], sort="worst", reverse=False, jobs=1,
        output=None, paper="letter", now=COUNTY_NOW, zone=COUNTY_ZONE, issued=None, use=None, units=args.units or "us", json=args.json,
    )  # fmt: skip
    return 0, fleet(asked)[1]
