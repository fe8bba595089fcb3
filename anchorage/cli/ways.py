"""ways: a deployment in, every way to hold it out."""

from __future__ import annotations

import argparse

from anchorage.cli.common import Outcome, as_json, as_text, left_out, wrote
from anchorage.cli.judge import instead, opened
from anchorage.core.closed import EXITS
from anchorage.core.plain import wrap
from anchorage.core.say import say
from anchorage.judging.plan import assess
from anchorage.paper.words import record_words


def ways(args: argparse.Namespace) -> Outcome:
    """Compare the ways to hold a deployment."""
    from anchorage.cli.paper import moment, zone  # noqa: PLC0415 - the same
    from anchorage.paper.ways_text import ways_lines  # noqa: PLC0415 - only here
    from anchorage.ways.compare import as_data  # noqa: PLC0415 - the same
    from anchorage.ways.compare import ways as compared  # noqa: PLC0415 - the same

    d, said = instead(opened(args), args)
    a = assess(d)
    now = None if d.forecast is None else moment(args, zone(args, d.outlook))
    found = compared(a, now)
    code = EXITS[a.plan.verdict]
    if args.output is not None:
        from anchorage.cli.paper import kind_of, made  # noqa: PLC0415 - only for paper
        from anchorage.core.outputs import put  # noqa: PLC0415 - the same
        from anchorage.paper.render import rendered  # noqa: PLC0415 - the same
        from anchorage.paper.ways_page import ways_document  # noqa: PLC0415 - the same

        kind = kind_of(args.output, (".pdf", ".html", ".htm"))
        page = ways_document(found, a.plan, d, made(args, d), args.paper, engineer=args.engineer)
        put(args.output, rendered(page, kind))
        return wrote(args.output)
    if args.json:
        return code, as_json({**as_data(found), **({"overrides": said} if said else {})})
    first = [
        *(left_out(args.file) if args.as_planned else record_words(d.record)),
        *(say("INSTEAD OF THE FILE: {t}", t=t) for t in said),
    ]
    before = [line for text in first for line in wrap(text, "", "  ")]
    return code, as_text([*before, *ways_lines(found, a.plan, engineer=args.engineer)])
