"""Every command: what it is called, what is said of it, what can be typed after it, and what runs it.

Nothing heavy is imported before a command runs: ``anchorage --help`` answers at once.
"""

from __future__ import annotations

import argparse
from abc import ABC, abstractmethod
from collections.abc import Mapping
from enum import Enum
from typing import Any, ClassVar, NamedTuple

from anchorage.cli.common import Outcome, as_text
from anchorage.cli.topics import LANGUAGES, TESTS, TOPICS, abouts
from anchorage.core.say import later, say
from anchorage.core.words import USES
from anchorage.demo import COUNTY, NAMES
from anchorage.record.kinds import EVENTS, HOW

PAPERS = ("letter", "a4")
PAGES = (".pdf", ".html", ".htm")
DEPLOYMENTS = (".toml",)
SORTS = ("worst", "name", "file", "share", "holds", "deadline")


class Group(Enum):
    """Where a command stands in the help: by when it is wanted."""

    BEFORE = later("before")
    STANDING = later("while it stands")
    MANY = later("many of them")
    LOOK_UP = later("look up")
    HELP = later("listed by: anchorage help")


class Option(NamedTuple):
    """Something that can be typed after a command, as argparse takes it."""

    names: list[str]
    says: str
    more: dict[str, Any]
    under: str | None
    """Title of the options that it stands among; EITHER: not together with the others of these."""


EITHER = "either"
OVER = later("instead of what the file says")


def value(names: str, of: str | None, says: str, *, under: str | None = None, **more: Any) -> Option:
    return Option(names.split(), says, {"metavar": of, **more} if of is not None else more, under)


def flag(names: str, says: str, **more: Any) -> Option:
    return value(names, None, says, action="store_true", **more)


def several(names: str, of: str, says: str) -> Option:
    return value(names, of, says, action="append", default=[])


JSON = flag("--json", later("print one JSON object and nothing else"))  # fmt: skip
FILE = value("file", "FILE", later("deployment file; - reads standard input"))  # fmt: skip
FILE_OR_NONE = value("file", "FILE", later("deployment file; - reads standard input"), nargs="?")  # fmt: skip
PAPER = value("--paper", None, later("paper size (letter if left out)"), choices=PAPERS, default="letter")  # fmt: skip
ZONE = value("--zone", "ZONE", later('time zone of the people, such as "America/Chicago" or Central'))  # fmt: skip
UNITS = value("--units", None, later("units to show; left out, those that the file asks for"), choices=("us", "si"))  # fmt: skip
HEARD = value("--heard", "TIME", later("when that was heard; left out, now"))  # fmt: skip
AS_AT = value("--now", "TIME", later("judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"))  # fmt: skip
ISSUED = value("--issued", "TIME", later("when the forecast was made, where its format does not say"))  # fmt: skip
PAGE = value("-o --output", "PATH", later("write it as .pdf or .html instead of printing it"))  # fmt: skip
USE = value("--for", None, later("what it is judged for; left out, size_for of the file"), dest="use", choices=USES)  # fmt: skip
SPREAD = value("--spread", "SPEED", later("standard deviation of the gust, where the forecast has none"))
TIMES = (
    value("--now", "TIME", later("as at this time, as in 2026-11-25T18:00:00Z; left out, the clock")),
    ZONE,
)  # fmt: skip
FORECASTS = (
    several("--forecast", "PATH", later("forecast file: NWS JSON, TAF, METAR, NBM, hourly JSON, CSV, the text of a public forecast page, public alerts (CAP XML or JSON), or lines as heard; told from what is in it. Of several the worse counts")),
    several("--say", "LINE", later('a line as people say it: "until 18:00 gust 35 mph", "tonight winds 15 to 25 mph with gusts up to 40 mph", "severe thunderstorm warning until 18:00", "sleet 1 in", "tornado watch", "force 7 until 20:00"; with --zone, or 18:00Z')),
    HEARD,
    value("--at", "LAT,LON", later("fetch the NWS gridpoint forecast of a place (needs the extra: live)")),
    flag("--offline", later("with --at: use the last good answer")),
    AS_AT, ZONE, ISSUED,
)  # fmt: skip
RESULTS = (
    JSON, UNITS,
    value("--working", "WHAT", later("add the working: of what governs, of a check by its name, or of wind, coefficients, openings, holding, margins, all"), nargs="?", const=""),
)  # fmt: skip
SHOWS = (
    flag("--full", later("print everything, with the texts of the cautions and the checks")),
    flag("--engineer", later("add the checks and what they stand on")),
)  # fmt: skip
INSTEAD = (
    flag("--as-planned", later("leave out the record beside the file")),
    value("--gust", "SPEED", later("3 s gust at 10 m, for example '35 mph'"), under=OVER),
    value("--from", "DEGREES", later("bearing that the wind comes from"), dest="bearing", type=float, under=OVER),
    value("--state", None, later("of the surface: dry, wet, frozen, ice or snow"), under=OVER),
    value("--placed", "N", later("units at every point, as it stands"), type=int, under=OVER),
    value("--doors", None, later("open or shut, all that the file names"), under=OVER),
    value("--straps", None, later("unlocked or locked"), under=OVER),
    value("--for", None, later("what it is judged and sized for"), dest="use", choices=USES, under=OVER),
)  # fmt: skip


class Command(ABC):
    """A command. ``run`` raises ``AnchorageError`` for what it refuses."""

    name: ClassVar[str]
    group: ClassVar[Group]
    says: ClassVar[str]
    """What it does, as the help lists it."""
    more: ClassVar[str] = ""
    reads: ClassVar[tuple[str, ...]] = ()
    """Arguments that name what it reads: none of them is ever written."""
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {}
    """Arguments that name what it writes, and the ends that such a name may have."""

    pages: ClassVar[bool] = True
    """Whether what it prints is a page for people, and no file, screen or script."""

    options: ClassVar[tuple[Option, ...]] = ()
    """Everything that can be typed after its name."""

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        places: dict[str | None, Any] = {None: p}
        for o in self.options:
            if o.under not in places:
                titled = o.under != EITHER
                places[o.under] = (
                    p.add_argument_group(str(o.under)) if titled else p.add_mutually_exclusive_group()
                )
            places[o.under].add_argument(*o.names, help=str(o.says), **o.more)

    @abstractmethod
    def run(self, args: argparse.Namespace) -> Outcome:
        """Exit code, and what goes to standard output."""

    def settle(self, args: argparse.Namespace) -> str | None:
        """Put right what was typed in another order; what is wrong with it, None where nothing is."""
        del args
        return None


def _file_of(args: argparse.Namespace) -> str | None:
    """``check --working FILE``: what was read as the name of a figure was the file."""
    if args.file is None:
        if not args.working:
            return say("{command}: which deployment file? (- reads standard input)", command=args.command)
        args.file, args.working = args.working, ""
    return None


class Demo(Command):
    name, group = "demo", Group.LOOK_UP
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"copy": DEPLOYMENTS}
    says = later("judge the invented deployments that ship with the program")
    more = later("The exit code is 0 whenever it ran.")
    options = (
        value("name", None, later("one of them: {names}; {county}: three that share a store", names=" or ".join(NAMES), county=COUNTY), nargs="?", choices=(*NAMES, COUNTY)),
        value("--copy", "PATH", later("write the demo's file there, to be edited (asphalt if no name is given); of county a new folder")),
        *RESULTS, *SHOWS,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        if args.name == COUNTY:
            from anchorage.cli.fleet import demo_county  # noqa: PLC0415 - see above

            return demo_county(args)
        from anchorage.cli.judge import demo  # noqa: PLC0415 - see above

        return demo(args)

    def settle(self, args: argparse.Namespace) -> str | None:
        args.copy_folder = None
        if args.name == COUNTY:  # a folder has no ending
            args.copy_folder, args.copy = args.copy, None
        return None


class New(Command):
    name, group = "new", Group.BEFORE
    pages = False
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"file": DEPLOYMENTS}
    says = later("write a deployment file to fill in")
    more = later("In a terminal it asks some plain questions first. What is not answered is left out.")
    options = (
        value("file", "FILE", later("file to write; - prints it")),
        flag("--no-questions", later("ask nothing, write the commented example")),
        flag("--force", later("replace the file if there is one")),
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.newfile import new  # noqa: PLC0415 - see above

        return new(args)


class Check(Command):
    name, group = "check", Group.BEFORE
    reads = ("file",)
    says = later("judge a deployment: go or no-go, what to place where, what gust it takes")
    options = (
        FILE_OR_NONE,
        *RESULTS,
        *SHOWS,
        *INSTEAD,
    )

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.judge import check  # noqa: PLC0415 - see above

        return check(args)

    def settle(self, args: argparse.Namespace) -> str | None:
        return _file_of(args)


class Limit(Command):
    name, group = "limit", Group.BEFORE
    reads = ("file",)
    says = later("what gust a deployment takes, and at which gusts to act")
    more = later("The exit code is that of check: the gust in the file is judged.")
    options = (
        FILE_OR_NONE,
        *RESULTS,
        *INSTEAD,
    )

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.judge import limit  # noqa: PLC0415 - see above

        return limit(args)

    def settle(self, args: argparse.Namespace) -> str | None:
        return _file_of(args)


class Ways(Command):
    name, group = "ways", Group.BEFORE
    reads = ("file",)
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": PAGES}
    says = later(
        "every way to hold it that ground, stock and people allow: what each costs, what it holds, what it needs"
    )
    more = later(
        "The exit code is that of check, of the file as it is; 0 where a page was written. With --json each way has the changes that make the file it."
    )
    options = (
        FILE, JSON, UNITS,
        flag("--engineer", later("add what follows the first anchor that gives")),
        PAGE, PAPER, *TIMES, *INSTEAD,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.ways import ways  # noqa: PLC0415 - see above

        return ways(args)


class Outlook(Command):
    name, group = "outlook", Group.STANDING
    reads = ("file", "forecast")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"ics": (".ics",)}
    says = later("a forecast in: go or no-go hour by hour, and by when to act")
    more = later(
        "Forecasts come from files, lines as they were heard, the file, or the network; the worse counts."
    )
    options = (
        FILE, *FORECASTS,
        several("--thunder", "TIME", later("when thunder was heard; each starts 30 min again")),
        SPREAD, USE,
        value("--ics", "PATH", later("write the deadlines as a calendar file (needs the extra: live)")),
        flag("--chance", later("add the chance that the limit is passed, in words")),
        UNITS, JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.outlook import outlook  # noqa: PLC0415 - see above

        return outlook(args)


class Chance(Command):
    name, group = "chance", Group.HELP
    reads = ("file", "forecast")
    says = later("how likely it holds a gust or a forecast, and what is least sure about it")
    more = later(
        "It changes no verdict: the exit code is 0 whenever it ran, 3 where a forecast bounds nothing."
    )
    options = (
        FILE,
        value("--samples", "N", later("draws, 20000 if not given"), type=int, default=20_000),
        value("--seed", "S", later("the same seed draws the same, 1 if not given"), type=int, default=1),
        *FORECASTS, SPREAD, UNITS, JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.chance import chance  # noqa: PLC0415 - see above

        return chance(args)


class Sheet(Command):
    name, group = "sheet", Group.BEFORE
    reads = ("file", "forecast")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": (*PAGES, ".csv", ".geojson")}
    says = later(
        "the page for the crew and the one who signs: PDF, HTML, a card, or the points as a table or map"
    )
    options = (
        FILE,
        value("-o --output", "PATH", later("what to write, by the end of its name: .pdf, .html, .csv (the points), .geojson (the points on a map)"), required=True),
        PAPER,
        several("--forecast", "PATH", later("forecast file, for the deadlines and the timeline")),
        flag("--card", later("the one-page card to make beforehand, for no power and no screen")),
        *TIMES, UNITS,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.paper import sheet  # noqa: PLC0415 - see above

        return sheet(args)


class Pack(Command):
    name, group = "pack", Group.BEFORE
    reads = ("file",)
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": PAGES}
    says = later(
        "what to bring: counts, spares, sand, lifts, loads; what is short, and what only the stock is good for"
    )
    options = (
        FILE, PAGE, PAPER,
        value("--crew", "N", later("people who fill and carry"), type=int),
        JSON, *TIMES, UNITS,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.paper import pack  # noqa: PLC0415 - see above

        return pack(args)


class Log(Command):
    name, group = "log", Group.STANDING
    reads = ("file",)
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"csv": (".csv",)}
    says = later("write down what happened, or print, check and export the record")
    more = later('For example: anchorage log our-shelter.toml wind "32 mph" --averaging peak --who "A. Lee"')
    options = (
        value("file", "FILE", later("deployment file; the record is beside it, FILE.log.db")),
        value("event", "EVENT", later("one of {events}; without it the record is printed", events=", ".join(EVENTS)), nargs="?", choices=tuple(EVENTS)),
        value("value", "VALUE", later('"32 mph", "3 in", "620 lbf", a number of units, points with their numbers ("L1 8; R1 11"), open, closed, locked, unlocked, a state, passed or failed (inspection), the number of a wrong entry, or words'), nargs="?"),
        value("--who", "NAME", later("who says so"), default=""),
        value("--to", "NAME", later("with hand-over: who takes over")),
        value("--relief", "TIME", later("with hand-over: when the relief comes, such as 06:00")),
        value("--watch", "NAME", later("with hand-over: who watches wind and sky at night")),
        value("--at", "TIME", later("when it happened, if not now")),
        value("--where", "POINT", later("the anchor point, such as R1")),
        value("--each", None, later("with placed: so many at each point"), dest="how", action="store_const", const=HOW[0], under=EITHER),
        value("--in-all", None, later("with placed: so many in all"), dest="how", action="store_const", const=HOW[1], under=EITHER),
        value("--by-plan", None, later("with placed: at each point what the plan says, with how many that is in all"), dest="how", action="store_const", const="as-planned", under=EITHER),
        flag("--more-came", later("with placed: more stands there than [stock] says was brought, and that is so"), dest="more"),
        flag("--same-shelter", later("the name or the sizes in the file were mended, and the record is of this shelter"), dest="same"),
        value("--adopt", "RECORD", later("take over a record that lies here under another name, since its file was renamed")),
        flag("--new-record", later("a record that lies here under another name is of another shelter: this begins a new one"), dest="new"),
        flag("--only-a-note", later("a word of danger stands in the words, and there is no danger now; what can be looked at stays asked until somebody looked"), dest="only"),
        value("--height", "HEIGHT", later("of the wind meter over the ground; left out, by hand")),
        value("--averaging", "TIME", later("of the wind reading: peak (held by the meter), mean, 1 min, 2 min, 10 min or 1 h; left out, a mean")),
        value("--from", "BEARING", later("degrees true that the wind comes from"), dest="bearing", type=float),
        value("--kind", "KIND", later("of the snow: new, settled, wet, slush or ice; left out, wet. Of a test: drag, weigh, pull, vane or meter")),
        value("--after", "WHAT", later("with inspection: shift, wind, rain, snow, frost, thaw or change")),
        value("--note", "WORDS", later("in words")),
        value("--csv", "PATH", later("write the whole record as a table")),
        value("--check", "SEAL", later("check the chain, and that a seal printed earlier, such as 12:ab12cd34ef56, is in it"), nargs="?", const=""),
        value("--find", "KEY=VALUE", later("search the records of a folder, given in place of FILE: since=, until=, date=, shelter=, level=, who=, event=, near-miss; what was held against what came. --csv writes what was found"), nargs="*"),
        JSON, *TIMES, UNITS,
    )  # fmt: skip

    def settle(self, args: argparse.Namespace) -> str | None:
        if args.find is None:
            return None
        if args.event is not None or args.check is not None:
            return say("log: search, write an entry, or check the seals; one of them")
        args.folder = args.file  # a table may stand beside what it is of
        return None

    def run(self, args: argparse.Namespace) -> Outcome:
        if args.find is not None:
            from anchorage.cli.find import find_in  # noqa: PLC0415 - see above

            return find_in(args)
        from anchorage.cli.record import log  # noqa: PLC0415 - see above

        return log(args)


class Now(Command):
    name, group = "now", Group.STANDING
    reads = ("file", "forecast")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": PAGES}
    says = later("where it stands against its limits by the latest readings, and what is due")
    more = later("Exit code 0: people may stay in; 1: not; 3: cannot say.")
    options = (
        value("file", "FILE", later("deployment file with a record beside it")),
        value("-o --output", "PATH", later("write the hand-over page, .pdf or .html")),
        PAPER,
        several("--forecast", "PATH", later("forecast file, for the deadlines")),
        several("--say", "LINE", later('what was heard of the weather, as in "until 18:00 gust 35 mph", "tornado warning", "thunder"')),
        HEARD,
        flag("--aloud", later("three lines to read out over a radio")),
        JSON, *TIMES, UNITS,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.record import now  # noqa: PLC0415 - see above

        return now(args)


class Meter(Command):
    name, group = "meter", Group.STANDING
    reads = ("file", "forecast")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"csv": (".csv",)}
    says = later("read a wind meter on its pole live: gusts, levels, alarms, and a record of both")
    more = later(
        "Exit code, by the level at the end and what the record says is placed: 0: people may stay in; 1: not; 3: cannot say."
    )
    options = (
        value("file", "FILE", later("deployment file; the record stands beside it")),
        value("--from", "WHERE", later("tcp://HOST:PORT, udp://HOST:PORT, serial:PATH (serial:PATH@9600) or file:PATH, NMEA 0183 (needs the extra: meter)"), dest="source"),
        value("--for", "TIME", later("for so long, as in 30s; left out, until it is stopped"), dest="lasts"),
        value("--height", "LENGTH", later("how high over the ground the meter stands; said once, the record keeps it")),
        value("--place", "WORDS", later("where it stands")),
        value("--mark", "DEGREES", later("where its mark points, degrees true, for a meter that counts its angles from that"), type=float),
        several("--forecast", "PATH", later("forecast file beside it; it is read again when it changes, and that is told")),
        value("--at", "LAT,LON", later("the NWS forecast of a place, asked for each half hour (needs the extra: live)")),
        value("--on-alarm", "CMD", later("run a program of yours at each alarm; ANCHORAGE_EVENT, _LEVEL and _TEXT say which, its input is the line of it")),
        value("--csv", "PATH", later("write the last 48 h, a row a minute, and read no meter")),
        flag("--json", later("one JSON object a line, at a terminal too")),
        ZONE, UNITS,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.meter import meter  # noqa: PLC0415 - see above

        return meter(args)


class Fleet(Command):
    name, group = "fleet", Group.MANY
    reads = ("folder", "forecast", "stock")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {
        "output": (".csv", ".parquet", ".pdf", ".html", ".htm")
    }
    says = later("judge every deployment of a folder: a table with the worst first, CSV or Parquet")
    more = later(
        "Exit code: 1 if one is no-go, else 2 if one cannot be read, else 3 if one cannot be judged, else 0."
    )
    options = (
        value("folder", "FOLDER", later("folder with deployment files (*.toml); folders inside it are left alone")),
        several("--forecast", "PATH", later("forecast file for all of them; or a folder with one for each: NAME.json, NAME.csv or NAME.txt for NAME.toml. Several may be given: the worse counts")),
        value("--stock", "FILE", later("file of a store: what is moved where so that every shelter holds, and what comes down first where not all can (needs the extra: fleet)")),
        value("--sort", None, later("worst: verdict, then share of the limit; share: of the limiting gust; holds: weakest first; deadline: earliest first"), choices=SORTS, default="worst"),
        flag("--reverse", later("the other way round")),
        value("--jobs", "N", later("processes; left out, one a processor"), type=int),
        value("-o --output", "PATH", later("write the table: .csv, or .parquet (needs the extra: fleet); with --stock the moves, also as a list to print: .pdf, .html")),
        PAPER, AS_AT,
        value("--zone", "ZONE", later("time zone of the people; left out, that of each file, else UTC")),
        value("--issued", "TIME", later("when the forecasts were made, where their format does not say")),
        value("--for", None, later("what they are judged for; left out, size_for of each file (with a forecast)"), dest="use", choices=USES),
        value("--units", None, later("units to show; left out, us"), choices=("us", "si"), default="us"),
        JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.fleet import fleet  # noqa: PLC0415 - see above

        return fleet(args)


class Region(Command):
    name, group = "region", Group.MANY
    reads = ("file", "grid")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": (".nc", ".zarr", ".png"), "map": (".png",)}
    says = later(
        "one installation over a gridded forecast: hours, deadlines and chance in every cell, and a map"
    )
    more = later("It needs the extra region. The exit code is that of the worst cell.")
    options = (
        FILE,
        value("--grid", "PATH", later("gridded forecast: NetCDF-4 or a Zarr folder, CF attributes, gusts with standard_name wind_speed_of_gust; the word demo takes an invented one"), required=True),
        value("-o --output", "PATH", later("write every cell: .nc or .zarr; .png writes the map only")),
        value("--map", "PATH", later("write a map as PNG")),
        flag("--levels", later("write the level of every hour too")),
        value("--scheduler", "ADDRESS", later("run on a dask cluster, such as tcp://10.0.0.5:8786; its workers read the same path. Nothing is encrypted and nobody is asked for a password: only on a network that you trust")),
        value("--jobs", "N", later("threads to use here; left out, one a processor"), type=int),
        AS_AT, ZONE,
        value("--issued", "TIME", later("when the forecast was made, where the grid has no forecast_reference_time")),
        value("--gust-from", "NAME", later("variable of the grid that is the gust, where it does not say so")),
        value("--thunder-from", "NAME", later("variable of the grid with the chance of thunder, in 1 or %%")),
        USE, UNITS, JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.region import region  # noqa: PLC0415 - see above

        return region(args)


class Climate(Command):
    name, group = "climate", Group.MANY
    says = later(
        "years of weather: how often it may stand with people in, empty, or must come down; gusts of a return period"
    )
    more = later(
        "Gusts of a return period need the extra climate, a grid the extra region. The exit code tells what stands against it whatever the wind."
    )
    reads = ("file", "history", "kit")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": (".csv", ".nc", ".zarr"), "map": (".png",)}
    options = (
        FILE,
        value("--history", "PATH", later("observations of a station: a table with station, valid, drct, sknt, gust, or METAR lines with their dates; or a reanalysis by the hour as NetCDF-4 or Zarr; the word demo takes an invented station"), required=True),
        value("--hours", "N", later("length of a stay, in whole hours"), type=int, required=True),
        value("--kit", "PATH", later("other stocks to compare: files with [anchorage], or whole deployments; each is sized to stand as often"), nargs="+", action="extend", default=[]),
        value("--years", "YEARS", later("return periods; left out, 2, 10 and 50"), type=float, nargs="+", action="extend", default=[]),
        value("--station", "NAME", later("the one to take, where the history holds several")),
        value("-o --output", "PATH", later("write every month and hour as .csv; of a grid every cell as .nc or .zarr")),
        value("--map", "PATH", later("of a grid: write a map as PNG")),
        value("--gust-from", "NAME", later("of a grid: variable that is the gust, where it does not say so")),
        value("--scheduler", "ADDRESS", later("of a grid: run on a dask cluster, such as tcp://10.0.0.5:8786; its workers read the same path. Nothing is encrypted and nobody is asked for a password: only on a network that you trust")),
        value("--jobs", "N", later("of a grid: threads to use here; left out, one a processor"), type=int),
        value("--zone", "ZONE", later('time zone of the people, such as "America/Chicago"; left out, that of the file, else UTC')),
        UNITS, JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.climate import climate  # noqa: PLC0415 - see above

        return climate(args)


class Bundle(Command):
    name, group = "bundle", Group.MANY
    reads = ("file", "forecast", "check")
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"output": (".zip",)}
    says = later(
        "everything that a judgement stood on in one file, and whether such a file is whole and still judged the same"
    )
    more = later("With --check: exit code 0 the same, 2 not.")
    options = (
        value("file", "FILE", later("deployment file; the record beside it goes along"), nargs="?"),
        value("-o --output", "PATH", later("the bundle to write, .zip")),
        value("--check", "PATH", later("look at a bundle instead, and judge it again")),
        value("--seal", "SEAL", later("with --check: as it was printed when the bundle was made")),
        several("--forecast", "PATH", later("forecast file that was used; several may be given")),
        several("--say", "LINE", later("what was heard of the weather, as it was said")),
        HEARD, ISSUED, *TIMES, UNITS, JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.bundle import bundle  # noqa: PLC0415 - see above

        return bundle(args)

    def settle(self, args: argparse.Namespace) -> str | None:
        if args.check is not None and (args.file is not None or args.output is not None):
            return say("bundle: make one, or look at one with --check; not both at once")
        if args.check is None and (args.file is None or args.file == "-"):
            return say(
                "bundle: which deployment file? The record stands beside it, so that it must be a file"
            )
        if args.check is None and args.output is None:
            return say("bundle: -o case.zip says what to write")
        return (
            say("bundle: --seal goes with --check") if args.check is None and args.seal is not None else None
        )


class Formula(Command):
    name, group = "formula", Group.HELP
    pages = False
    says = later("list the formulas, or work one out by itself")
    more = later(
        "Numbers are SI unless a unit is given: anchorage formula pressure_physics density=1.25 profile=1 'speed=45 mph'"
    )
    options = (
        value("name", "NAME", later("a formula; without it all are listed"), nargs="?"),
        value("values", "ARGUMENT=VALUE", later("a value for each of its arguments"), nargs="*"),
        JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.formula import formula  # noqa: PLC0415 - see above

        return formula(args)


class Sources(Command):
    name, group = "sources", Group.HELP
    says = later("every figure in the tables: where it is from and how it was obtained")
    options = (
        value("table", "TABLE", later("only this table, with its notes"), nargs="?"),
        flag("--licences", later("what is shipped and what it needs, each with its licence")),
        JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import sources  # noqa: PLC0415 - see above

        return sources(args)


class Defaults(Command):
    name, group = "defaults", Group.HELP
    says = later("what is taken where a key of the file is left out, and on which side that errs")
    options = (
        value("part", "PART", later("only this part of the file, for example anchorage"), nargs="?"),
        JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import defaults  # noqa: PLC0415 - see above

        return defaults(args)


class Glossary(Command):
    name, group = "glossary", Group.HELP
    says = later("names, symbols and units that every command, screen and page shares")
    options = (
        value("word", "WORD", later("only terms with this in their name"), nargs="?"),
        JSON,
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import glossary  # noqa: PLC0415 - see above

        return glossary(args)


class Tui(Command):
    name, group = "tui", Group.LOOK_UP
    pages = False
    reads = ("file",)
    says = later("fill in a deployment on the screen and see at once what it comes to")
    more = later("A file that is not there yet is begun. Without a file it offers recent ones and the demos.")
    options = (
        value("file", "FILE", later("deployment file; one that is not there yet is begun"), nargs="?"),
        flag("--web", later("serve it to a browser instead (needs the extra: web)")),
        value("--host", None, later("address to serve on; on anything but this machine whoever listens in can read along"), default="127.0.0.1"),
        value("--port", None, later("port to serve on, 1 to 65535; 0 takes a free one"), type=int, default=8000),
        value("--idle", "MINUTES", later("end after so long without a touch"), type=int, default=60),
    )  # fmt: skip

    def run(self, args: argparse.Namespace) -> Outcome:
        from tui.command import tui  # noqa: PLC0415 - see above

        return tui(args)


class Schema(Command):
    name, group = "schema", Group.HELP
    pages = False
    says = later("JSON Schema of the deployment file, for an editor that completes and checks it")

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import schema  # noqa: PLC0415 - see above

        return schema(args)


class Help(Command):
    name, group = "help", Group.LOOK_UP
    pages = False
    says = later("what can be typed after a command; alone, it lists what else can be looked up")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "topic",
            nargs="?",
            metavar="TOPIC",
            choices=(*COMMANDS, "help", *abouts()),
            help=say("a command, or what else is explained: {names}", names=", ".join(abouts())),
        )

    def run(self, args: argparse.Namespace) -> Outcome:
        if args.topic == TESTS:
            from anchorage.paper.site_tests import how_to_lines  # noqa: PLC0415 - slow to load, and needed by one topic

            return 0, as_text(how_to_lines())
        if args.topic == LANGUAGES:
            from anchorage.cli.about import languages_lines  # noqa: PLC0415 - the same

            return 0, as_text(languages_lines())
        if args.topic in TOPICS:
            return 0, as_text(TOPICS[args.topic].lines(args.topic))
        return 0, str(args.program.about(args.topic))


COMMANDS: dict[str, Command] = {
    c.name: c
    for c in (
        New(), Check(), Limit(), Ways(), Pack(), Sheet(), Outlook(), Log(), Now(), Meter(), Fleet(), Region(), Climate(), Bundle(), Demo(), Tui(), Help(),
        Chance(), Formula(), Sources(), Defaults(), Glossary(), Schema(),
    )
}  # fmt: skip
"""Every command, in the order in which the help lists them."""
