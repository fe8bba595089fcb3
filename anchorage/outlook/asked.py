"""What an outlook is asked with: forecasts from files, lines and the network, the plan that they are held against, the zone."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import tzinfo
from pathlib import Path

from anchorage.core.choices import is_now
from anchorage.core.errors import InputFaults
from anchorage.core.say import say
from anchorage.core.textfile import read_whole, why_not
from anchorage.deployment.models import ForecastIn, OutlookIn
from anchorage.outlook import live
from anchorage.outlook.clock import read_said, zone_of
from anchorage.outlook.hours import Forecast
from anchorage.outlook.reader import Source, read_bytes, read_text, together
from anchorage.outlook.spoken import read_spoken
from anchorage.outlook.untrusted import LARGEST


@dataclass(frozen=True)
class Asked:
    """Where the weather is to be taken from, beside the file; everything as it was typed."""

    forecast: Sequence[str] = ()
    """Paths of forecasts."""
    say: Sequence[str] = ()
    """Lines as they were heard."""
    heard: str | None = None
    """When they were."""
    issued: str | None = None
    """When the forecasts were made, where their format does not say."""
    at: str | None = None
    """Latitude and longitude to ask the network about."""
    offline: bool = False


def _bytes(path: str) -> bytes:
    name = Path(path).name
    try:
        return read_whole(Path(path), LARGEST)
    except OSError as e:
        raise InputFaults.of(
            name, "file", why_not(e, say("cannot be read")), say("give the path of a forecast")
        ) from None


def _spoken(lines: Sequence[str], heard: str | None, now: int, name: str, zone: tzinfo | None) -> Forecast:
    at = now if heard is None else read_said(heard, zone, now, name, "heard", past=True)
    return read_spoken(lines, now, name, zone=zone, heard=at)


def forecasts_of(
    args: Asked, forecast: ForecastIn | None, now: int, zone: tzinfo | None, *, lenient: bool = False
) -> list[Forecast]:
    """Everything that is known of the weather, from files, lines, the network and the deployment file."""
    issued = (
        None
        if args.issued is None
        else read_said(args.issued, zone, now, say("command line"), "--issued", past=True)
    )
    sources: list[Source] = []
    for path in args.forecast:
        raw, name = _bytes(path), Path(path).name
        sources.append((name, functools.partial(read_bytes, raw, now, name, zone=zone, issued=issued), raw))
    if args.say:
        sources.append(
            (
                say("command line"),
                lambda: [
                    _spoken(
                        args.say,
                        None if is_now(args.heard or "") else args.heard,
                        now,
                        say("command line"),
                        zone,
                    )
                ],
                b"",
            )
        )
    if (said := forecast) is not None:
        sources.append(
            ("[forecast]", lambda: [_spoken(said.lines, said.heard, now, "[forecast]", zone)], b"")
        )
    found = together(sources, now, lenient=lenient)
    if args.at is not None:
        answer = live.fetch(*live.place_of(args.at), now, offline=args.offline)
        name = say("NWS at {at}", at=args.at) + (", kept" if answer.kept else "")
        fresh = read_text(answer.text, now, name)
        found += [replace(f, notes=(*f.notes, answer.note)) if answer.note else f for f in fresh]
    return found


def zone_said(name: str | None, outlook: OutlookIn) -> tzinfo | None:
    """Time zone of the command line, else that of the file; None where neither gives one."""
    if name is not None:
        return zone_of(name, say("command line"))
    return None if outlook.zone is None else zone_of(outlook.zone, "[outlook]")
