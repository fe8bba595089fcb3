"""sheet and pack: a deployment in, paper out. The clock is read here and nowhere below."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any

from anchorage.cli.common import CommandError, Done, Outcome, as_json, as_text, weather, wrote
from anchorage.cli.judge import load, opened
from anchorage.core.outputs import put
from anchorage.core.say import say, speaking
from anchorage.core.textfile import exists, fingerprint, read_whole, why_not
from anchorage.deployment.models import Deployment, OutlookIn
from anchorage.deployment.policy import use_of
from anchorage.deployment.reader import LONGEST
from anchorage.judging.plan import Assessment, assess, make_plan
from anchorage.judging.result import Plan
from anchorage.outlook.asked import Asked, forecasts_of, zone_said
from anchorage.outlook.build import outlook as make_outlook
from anchorage.outlook.clock import read_iso, seconds
from anchorage.outlook.result import Outlook
from anchorage.outlook.weathered import plan_for
from anchorage.paper.blocks import Document
from anchorage.paper.content import Made, SheetIn, banner
from anchorage.paper.render import rendered
from anchorage.paper.sheet import sheet_document
from anchorage.paper.words import record_words
from anchorage.record.stand import Stand
from anchorage.record.store import path_of

KINDS = (".pdf", ".html", ".htm", ".csv", ".geojson")


def zone(args: argparse.Namespace, outlook: OutlookIn) -> tzinfo:
    """Zone of the people; UTC where none is given."""
    return zone_said(args.zone, outlook) or UTC


def moment(args: argparse.Namespace, where: tzinfo) -> int:
    """The time that was given, or the clock's."""
    return (
        seconds(datetime.now(UTC))
        if args.now is None
        else read_iso(args.now, say("command line"), "--now", where)
    )


def made(args: argparse.Namespace, d: Deployment) -> Made:
    """Where a page is from."""
    where = zone(args, d.outlook)
    if args.file == "-":
        return Made(
            say("standard input"),
            fingerprint(d.model_dump_json(by_alias=True).encode()),
            moment(args, where),
            where,
        )
    path = Path(args.file)
    used = [path, path.parent / d.shelter.use] if d.shelter.use else [path]
    try:
        parts = [read_whole(p, LONGEST) for p in used]
    except OSError as e:
        raise CommandError(
            say(
                "{path}: {why_not}, a moment after it was read",
                path=path.name,
                why_not=why_not(e, say("it cannot be read")),
            )
        ) from None
    return Made(path.name, fingerprint(*parts), moment(args, where), where)


def kind_of(path: str, accepted: tuple[str, ...] = KINDS) -> str:
    """What to make, by the end of the name."""
    suffix = Path(path).suffix.lower()
    if suffix not in accepted:
        raise CommandError(
            say(
                "-o {path}: the end of the name says what to write; one of {accepted}",
                path=path,
                accepted=", ".join(accepted),
            )
        )
    return suffix


def the_outlook(
    asked: Asked, name: str | None, a: Assessment, now: int, *, lenient: bool = False
) -> Outlook | None:
    """The outlook where a forecast is given, on the command line or in the file. name: of the zone, where one was typed."""
    d = a.deployment
    said = zone_said(name, d.outlook)
    found = forecasts_of(asked, d.forecast, now, said, lenient=lenient)
    if not found:
        return None
    spread = None if d.outlook.spread is None else float(d.outlook.spread)
    return make_outlook(plan_for(a, found), d, found, now, said, use=use_of(d), spread=spread)  # fmt: skip


def _record(args: argparse.Namespace, where: tzinfo) -> tuple[tuple[str, ...], ...]:
    from anchorage.paper.record_page import sheet_rows  # noqa: PLC0415 - only a sheet has it

    return sheet_rows(args.file, where)


def _stand(args: argparse.Namespace, m: Made, o: Outlook | None) -> Stand | None:
    if args.file == "-" or getattr(args, "as_planned", False) or not exists(path_of(args.file)):
        return None
    from anchorage.meter.beat import beside  # noqa: PLC0415 - only with a record

    a = assess(load(args.file, args.units))
    return beside(a, Path(args.file), m.now, m.zone, o, by_clock=args.now is None)


def _document(args: argparse.Namespace, d: Deployment, m: Made) -> tuple[Document, str]:
    if args.card:
        from anchorage.judging.card import card  # noqa: PLC0415 - only the card needs it
        from anchorage.paper.card_page import card_document  # noqa: PLC0415 - the same

        made_for = assess(d)
        found = the_outlook(weather(args), args.zone, made_for, m.now)
        s = SheetIn(made_for.plan, d, m, found, (), (), _stand(args, m, found))
        return card_document(card(d), s, args.paper, cautions=len(args.languages) > 1), say(
            "card: {plan}", plan=s.plan.name
        )
    from anchorage.judging.explain import for_the_sheet  # noqa: PLC0415 - slow, and no other sheet needs it
    from anchorage.judging.weak import with_most  # noqa: PLC0415 - the same

    a = with_most(assess(d, deep=True, show=True))
    found = the_outlook(weather(args), args.zone, a, m.now)
    s = SheetIn(
        a.plan if found is None else a.plan.beside_a_forecast(),
        d,
        m,
        found,
        tuple(for_the_sheet(a)),
        _record(args, m.zone),
        _stand(args, m, found),
    )
    return sheet_document(s, args.paper), banner(s).text


def sheet(args: argparse.Namespace) -> Outcome:
    """Write the sheet, the card, or the points."""
    d, kind = opened(args), kind_of(args.output)
    m = made(args, d)
    if kind in (".csv", ".geojson"):
        from anchorage.paper.points import points_csv, points_geojson  # noqa: PLC0415 - the same

        if args.card:
            raise CommandError(
                say(
                    "-o {output}: the card is a page; give a name that ends in .pdf or .html",
                    output=args.output,
                )
            )
        plan = make_plan(d)
        raw, headline = (
            (points_csv(plan) if kind == ".csv" else points_geojson(plan, d.site, m)).encode("utf-8"),
            plan.headline,
        )
    else:
        document, headline = _document(args, d, m)
        if len(args.languages) > 1:
            from anchorage.paper.two import beside  # noqa: PLC0415 - who asks for two

            with speaking(args.languages[1]):
                document = beside(document, _document(args, opened(args), made(args, d))[0])
        raw = rendered(document, kind)
    put(args.output, raw)
    return Done(
        0,
        as_text(
            [
                say("wrote {output}: {headline}", output=args.output, headline=headline),
                *record_words(d.record),
            ]
        ),
        say("wrote {output}", output=args.output),
    )


def _json(found: Any, plan: Plan) -> Any:
    from dataclasses import asdict  # noqa: PLC0415 - only here

    data = asdict(found)
    for item, i in zip(data["items"], found.items, strict=True):
        del item["thing"]  # for those who go on with the list
        item["bring"] = i.bring
    return {
        "schema": 1,
        **data,
        "record": None if plan.record is None else plan.record.model_dump(mode="json"),
    }


def pack(args: argparse.Namespace) -> Outcome:
    """Print the packing list, or write it."""
    from anchorage.judging.packing import packing  # noqa: PLC0415 - the same
    from anchorage.paper.pack_page import pack_document, pack_lines  # noqa: PLC0415 - the same

    if args.crew is not None and not 1 <= args.crew <= 1000:
        raise CommandError(say("--crew {crew}: from 1 to 1000 people", crew=args.crew))
    d = opened(args)
    a = assess(d)
    plan, found = a.plan, packing(a, args.crew)
    if args.output is not None:
        kind = kind_of(args.output, (".pdf", ".html", ".htm"))
        put(args.output, rendered(pack_document(found, plan, made(args, d), args.paper), kind))
        return wrote(args.output)
    return 0, as_json(_json(found, plan)) if args.json else as_text(pack_lines(found, plan))
