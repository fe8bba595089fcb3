"""Every command: what it is called, what is said of it, what can be typed after it, and what runs it.

Nothing heavy is imported before a command runs: ``anchorage --help`` answers at once.
"""

from __future__ import annotations

import argparse
from abc import ABC, abstractmethod
from collections.abc import Mapping
from enum import Enum
from typing import ClassVar

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

    @abstractmethod
    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        """Everything that can be typed after its name."""

    @abstractmethod
    def run(self, args: argparse.Namespace) -> Outcome:
        """Exit code, and what goes to standard output."""

    def settle(self, args: argparse.Namespace) -> str | None:
        """Put right what was typed in another order; what is wrong with it, None where nothing is."""
        del args
        return None


def _time(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--now", metavar="TIME", help=say("as at this time, as in 2026-11-25T18:00:00Z; left out, the clock")
    )
    p.add_argument(
        "--zone", metavar="ZONE", help=say('time zone of the people, such as "America/Chicago" or Central')
    )


def _units(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--units", choices=("us", "si"), help=say("units to show; left out, those that the file asks for")
    )


def _json(p: argparse.ArgumentParser) -> None:
    p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))


def _forecasts(p: argparse.ArgumentParser) -> None:
    p.add_argument("--forecast", metavar="PATH", action="append", default=[],
                   help=say("forecast file: NWS JSON, TAF, METAR, NBM, hourly JSON, CSV, the text of a public forecast page, public alerts (CAP XML or JSON), or lines as heard; told from what is in it. Of several the worse counts"))  # fmt: skip
    p.add_argument("--say", metavar="LINE", action="append", default=[],
                   help=say('a line as people say it: "until 18:00 gust 35 mph", "tonight winds 15 to 25 mph with gusts up to 40 mph", "severe thunderstorm warning until 18:00", "sleet 1 in", "tornado watch", "force 7 until 20:00"; with --zone, or 18:00Z'))  # fmt: skip
    p.add_argument("--heard", metavar="TIME", help=say("when that was heard; left out, now"))
    p.add_argument(
        "--at",
        metavar="LAT,LON",
        help=say("fetch the NWS gridpoint forecast of a place (needs the extra: live)"),
    )
    p.add_argument("--offline", action="store_true", help=say("with --at: use the last good answer"))
    p.add_argument(
        "--now",
        metavar="TIME",
        help=say("judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"),
    )
    p.add_argument(
        "--zone", metavar="ZONE", help=say('time zone of the people, such as "America/Chicago" or Central')
    )
    p.add_argument(
        "--issued", metavar="TIME", help=say("when the forecast was made, where its format does not say")
    )


def _spread(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--spread", metavar="SPEED", help=say("standard deviation of the gust, where the forecast has none")
    )


def _results(p: argparse.ArgumentParser) -> None:
    p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))
    p.add_argument(
        "--units", choices=("us", "si"), help=say("units to show; left out, those that the file asks for")
    )
    p.add_argument("--working", nargs="?", const="", metavar="WHAT",
                   help=say("add the working: of what governs, of a check by its name, or of wind, coefficients, openings, holding, margins, all"))  # fmt: skip


def _pages(p: argparse.ArgumentParser) -> None:
    p.add_argument(
        "--full",
        action="store_true",
        help=say("print everything, with the texts of the cautions and the checks"),
    )
    p.add_argument("--engineer", action="store_true", help=say("add the checks and what they stand on"))


def _instead(p: argparse.ArgumentParser) -> None:
    """Values that go before those of the file; what was put over what is printed."""
    p.add_argument("--as-planned", action="store_true", help=say("leave out the record beside the file"))
    group = p.add_argument_group(say("instead of what the file says"))
    group.add_argument("--gust", metavar="SPEED", help=say("3 s gust at 10 m, for example '35 mph'"))
    group.add_argument(
        "--from", dest="bearing", type=float, metavar="DEGREES", help=say("bearing that the wind comes from")
    )
    group.add_argument("--state", help=say("of the surface: dry, wet, frozen, ice or snow"))
    group.add_argument("--placed", type=int, metavar="N", help=say("units at every point, as it stands"))
    group.add_argument("--doors", help=say("open or shut, all that the file names"))
    group.add_argument("--straps", help=say("unlocked or locked"))
    group.add_argument("--for", dest="use", choices=USES, help=say("what it is judged and sized for"))


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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("name", nargs="?", choices=(*NAMES, COUNTY),
                       help=say("one of them: {names}; {county}: three that share a store", names=" or ".join(NAMES), county=COUNTY))  # fmt: skip
        p.add_argument(
            "--copy",
            metavar="PATH",
            help=say(
                "write the demo's file there, to be edited (asphalt if no name is given); of county a new folder"
            ),
        )
        _results(p)
        _pages(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("file to write; - prints it"))
        p.add_argument(
            "--no-questions", action="store_true", help=say("ask nothing, write the commented example")
        )
        p.add_argument("--force", action="store_true", help=say("replace the file if there is one"))

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.newfile import new  # noqa: PLC0415 - see above

        return new(args)


class Check(Command):
    name, group = "check", Group.BEFORE
    reads = ("file",)
    says = later("judge a deployment: go or no-go, what to place where, what gust it takes")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", nargs="?", help=say("deployment file; - reads standard input"))
        _results(p)
        _pages(p)
        _instead(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", nargs="?", help=say("deployment file; - reads standard input"))
        _results(p)
        _instead(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))
        p.add_argument(
            "--units", choices=("us", "si"), help=say("units to show; left out, those that the file asks for")
        )
        p.add_argument(
            "--engineer", action="store_true", help=say("add what follows the first anchor that gives")
        )
        p.add_argument(
            "-o", "--output", metavar="PATH", help=say("write it as .pdf or .html instead of printing it")
        )
        p.add_argument(
            "--paper", choices=PAPERS, default="letter", help=say("paper size (letter if left out)")
        )
        _time(p)
        _instead(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        _forecasts(p)
        p.add_argument(
            "--thunder",
            metavar="TIME",
            action="append",
            default=[],
            help=say("when thunder was heard; each starts 30 min again"),
        )
        _spread(p)
        p.add_argument(
            "--for",
            dest="use",
            choices=USES,
            help=say("what it is judged for; left out, size_for of the file"),
        )
        p.add_argument(
            "--ics",
            metavar="PATH",
            help=say("write the deadlines as a calendar file (needs the extra: live)"),
        )
        p.add_argument(
            "--chance", action="store_true", help=say("add the chance that the limit is passed, in words")
        )
        _units(p)
        _json(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument(
            "--samples", metavar="N", type=int, default=20_000, help=say("draws, 20000 if not given")
        )
        p.add_argument(
            "--seed",
            metavar="S",
            type=int,
            default=1,
            help=say("the same seed draws the same, 1 if not given"),
        )
        _forecasts(p)
        _spread(p)
        _units(p)
        _json(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument("-o", "--output", metavar="PATH", required=True,
                       help=say("what to write, by the end of its name: .pdf, .html, .csv (the points), .geojson (the points on a map)"))  # fmt: skip
        p.add_argument(
            "--paper", choices=PAPERS, default="letter", help=say("paper size (letter if left out)")
        )
        p.add_argument(
            "--forecast",
            metavar="PATH",
            action="append",
            default=[],
            help=say("forecast file, for the deadlines and the timeline"),
        )
        p.add_argument(
            "--card",
            action="store_true",
            help=say("the one-page card to make beforehand, for no power and no screen"),
        )
        _time(p)
        _units(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument(
            "-o", "--output", metavar="PATH", help=say("write it as .pdf or .html instead of printing it")
        )
        p.add_argument(
            "--paper", choices=PAPERS, default="letter", help=say("paper size (letter if left out)")
        )
        p.add_argument("--crew", type=int, metavar="N", help=say("people who fill and carry"))
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))
        _time(p)
        _units(p)

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.paper import pack  # noqa: PLC0415 - see above

        return pack(args)


class Log(Command):
    name, group = "log", Group.STANDING
    reads = ("file",)
    writes: ClassVar[Mapping[str, tuple[str, ...]]] = {"csv": (".csv",)}
    says = later("write down what happened, or print, check and export the record")
    more = later('For example: anchorage log our-shelter.toml wind "32 mph" --who "A. Lee"')

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "file", metavar="FILE", help=say("deployment file; the record is beside it, FILE.log.db")
        )
        p.add_argument(
            "event",
            nargs="?",
            choices=tuple(EVENTS),
            metavar="EVENT",
            help=say("one of {events}; without it the record is printed", events=", ".join(EVENTS)),
        )
        p.add_argument(
            "value",
            nargs="?",
            metavar="VALUE",
            help=say(
                '"32 mph", "3 in", "620 lbf", a number of units, open, closed, locked, unlocked, a state, passed or failed (inspection), the number of a wrong entry, or words'
            ),
        )
        p.add_argument("--who", metavar="NAME", default="", help=say("who says so"))
        p.add_argument("--to", metavar="NAME", help=say("with hand-over: who takes over"))
        p.add_argument(
            "--relief", metavar="TIME", help=say("with hand-over: when the relief comes, such as 06:00")
        )
        p.add_argument(
            "--watch", metavar="NAME", help=say("with hand-over: who watches wind and sky at night")
        )
        p.add_argument("--at", metavar="TIME", help=say("when it happened, if not now"))
        p.add_argument("--where", metavar="POINT", help=say("the anchor point, such as R1"))
        of = p.add_mutually_exclusive_group()
        of.add_argument(
            "--each",
            dest="how",
            action="store_const",
            const=HOW[0],
            help=say("with placed: so many at each point"),
        )
        of.add_argument(
            "--in-all",
            dest="how",
            action="store_const",
            const=HOW[1],
            help=say("with placed: so many in all"),
        )
        p.add_argument(
            "--more-came",
            dest="more",
            action="store_true",
            help=say("with placed: more stands there than [stock] says was brought, and that is so"),
        )
        p.add_argument(
            "--same-shelter",
            dest="same",
            action="store_true",
            help=say("the name or the sizes in the file were mended, and the record is of this shelter"),
        )
        p.add_argument(
            "--height", metavar="HEIGHT", help=say("of the wind meter over the ground; left out, by hand")
        )
        p.add_argument(
            "--averaging",
            metavar="TIME",
            help=say("of the wind reading: 3 s (a held peak, if left out), 1 min, 2 min, 10 min or 1 h"),
        )
        p.add_argument(
            "--from",
            dest="bearing",
            type=float,
            metavar="BEARING",
            help=say("degrees true that the wind comes from"),
        )
        p.add_argument(
            "--kind",
            metavar="KIND",
            help=say(
                "of the snow: new, settled, wet, slush or ice; left out, wet. Of a test: drag, weigh, pull, vane or meter"
            ),
        )
        p.add_argument(
            "--after",
            metavar="WHAT",
            help=say("with inspection: shift, wind, rain, snow, frost, thaw or change"),
        )
        p.add_argument("--note", metavar="WORDS", help=say("in words"))
        p.add_argument("--csv", metavar="PATH", help=say("write the whole record as a table"))
        p.add_argument(
            "--check",
            nargs="?",
            const="",
            metavar="SEAL",
            help=say("check the chain, and that a seal printed earlier, such as 12:ab12cd34ef56, is in it"),
        )
        p.add_argument(
            "--find",
            nargs="*",
            metavar="KEY=VALUE",
            help=say(
                "search the records of a folder, given in place of FILE: since=, until=, date=, shelter=, level=, who=, event=, near-miss; what was held against what came. --csv writes what was found"
            ),
        )
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))
        _time(p)
        _units(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file with a record beside it"))
        p.add_argument("-o", "--output", metavar="PATH", help=say("write the hand-over page, .pdf or .html"))
        p.add_argument(
            "--paper", choices=PAPERS, default="letter", help=say("paper size (letter if left out)")
        )
        p.add_argument(
            "--forecast",
            metavar="PATH",
            action="append",
            default=[],
            help=say("forecast file, for the deadlines"),
        )
        p.add_argument("--say", metavar="LINE", action="append", default=[],
                       help=say('what was heard of the weather, as in "until 18:00 gust 35 mph", "tornado warning", "thunder"'))  # fmt: skip
        p.add_argument("--heard", metavar="TIME", help=say("when that was heard; left out, now"))
        p.add_argument("--aloud", action="store_true", help=say("three lines to read out over a radio"))
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))
        _time(p)
        _units(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; the record stands beside it"))
        p.add_argument("--from", dest="source", metavar="WHERE",
                       help=say("tcp://HOST:PORT, udp://HOST:PORT, serial:PATH (serial:PATH@9600) or file:PATH, NMEA 0183 (needs the extra: meter)"))  # fmt: skip
        p.add_argument(
            "--for",
            dest="lasts",
            metavar="TIME",
            help=say("for so long, as in 30s; left out, until it is stopped"),
        )
        p.add_argument(
            "--height",
            metavar="LENGTH",
            help=say("how high over the ground the meter stands; said once, the record keeps it"),
        )
        p.add_argument("--place", metavar="WORDS", help=say("where it stands"))
        p.add_argument("--mark", metavar="DEGREES", type=float,
                       help=say("where its mark points, degrees true, for a meter that counts its angles from that"))  # fmt: skip
        p.add_argument("--forecast", metavar="PATH", action="append", default=[],
                       help=say("forecast file beside it; it is read again when it changes, and that is told"))  # fmt: skip
        p.add_argument(
            "--at",
            metavar="LAT,LON",
            help=say("the NWS forecast of a place, asked for each half hour (needs the extra: live)"),
        )
        p.add_argument("--on-alarm", metavar="CMD",
                       help=say("run a program of yours at each alarm; ANCHORAGE_EVENT, _LEVEL and _TEXT say which, its input is the line of it"))  # fmt: skip
        p.add_argument(
            "--csv", metavar="PATH", help=say("write the last 48 h, a row a minute, and read no meter")
        )
        p.add_argument("--json", action="store_true", help=say("one JSON object a line, at a terminal too"))
        p.add_argument(
            "--zone",
            metavar="ZONE",
            help=say('time zone of the people, such as "America/Chicago" or Central'),
        )
        _units(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "folder",
            metavar="FOLDER",
            help=say("folder with deployment files (*.toml); folders inside it are left alone"),
        )
        p.add_argument("--forecast", metavar="PATH", action="append", default=[],
                       help=say("forecast file for all of them; or a folder with one for each: NAME.json, NAME.csv or NAME.txt for NAME.toml. Several may be given: the worse counts"))  # fmt: skip
        p.add_argument(
            "--stock",
            metavar="FILE",
            help=say(
                "file of a store: what is moved where so that every shelter holds, and what comes down first where not all can (needs the extra: fleet)"
            ),
        )
        p.add_argument("--sort", choices=SORTS, default="worst",
                       help=say("worst: verdict, then share of the limit; share: of the limiting gust; holds: weakest first; deadline: earliest first"))  # fmt: skip
        p.add_argument("--reverse", action="store_true", help=say("the other way round"))
        p.add_argument("--jobs", metavar="N", type=int, help=say("processes; left out, one a processor"))
        p.add_argument(
            "-o",
            "--output",
            metavar="PATH",
            help=say(
                "write the table: .csv, or .parquet (needs the extra: fleet); with --stock the moves, also as a list to print: .pdf, .html"
            ),
        )
        p.add_argument(
            "--paper", choices=PAPERS, default="letter", help=say("paper size (letter if left out)")
        )
        p.add_argument(
            "--now",
            metavar="TIME",
            help=say("judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"),
        )
        p.add_argument(
            "--zone",
            metavar="ZONE",
            help=say("time zone of the people; left out, that of each file, else UTC"),
        )
        p.add_argument(
            "--issued",
            metavar="TIME",
            help=say("when the forecasts were made, where their format does not say"),
        )
        p.add_argument(
            "--for",
            dest="use",
            choices=USES,
            help=say("what they are judged for; left out, size_for of each file (with a forecast)"),
        )
        p.add_argument("--units", choices=("us", "si"), default="us", help=say("units to show; left out, us"))
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument("--grid", metavar="PATH", required=True,
                       help=say("gridded forecast: NetCDF-4 or a Zarr folder, CF attributes, gusts with standard_name wind_speed_of_gust; the word demo takes an invented one"))  # fmt: skip
        p.add_argument(
            "-o",
            "--output",
            metavar="PATH",
            help=say("write every cell: .nc or .zarr; .png writes the map only"),
        )
        p.add_argument("--map", metavar="PATH", help=say("write a map as PNG"))
        p.add_argument("--levels", action="store_true", help=say("write the level of every hour too"))
        p.add_argument("--scheduler", metavar="ADDRESS", help=say("run on a dask cluster, such as tcp://10.0.0.5:8786; its workers read the same path. Nothing is encrypted and nobody is asked for a password: only on a network that you trust"))  # fmt: skip
        p.add_argument(
            "--jobs", metavar="N", type=int, help=say("threads to use here; left out, one a processor")
        )
        p.add_argument(
            "--now",
            metavar="TIME",
            help=say("judge as at this time, as in 2026-11-25T18:00:00Z; left out, the clock"),
        )
        p.add_argument(
            "--zone",
            metavar="ZONE",
            help=say('time zone of the people, such as "America/Chicago" or Central'),
        )
        p.add_argument(
            "--issued",
            metavar="TIME",
            help=say("when the forecast was made, where the grid has no forecast_reference_time"),
        )
        p.add_argument(
            "--gust-from",
            metavar="NAME",
            help=say("variable of the grid that is the gust, where it does not say so"),
        )
        p.add_argument(
            "--thunder-from",
            metavar="NAME",
            help=say("variable of the grid with the chance of thunder, in 1 or %%"),
        )
        p.add_argument(
            "--for",
            dest="use",
            choices=USES,
            help=say("what it is judged for; left out, size_for of the file"),
        )
        p.add_argument(
            "--units", choices=("us", "si"), help=say("units to show; left out, those that the file asks for")
        )
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("file", metavar="FILE", help=say("deployment file; - reads standard input"))
        p.add_argument("--history", metavar="PATH", required=True,
                       help=say("observations of a station: a table with station, valid, drct, sknt, gust, or METAR lines with their dates; or a reanalysis by the hour as NetCDF-4 or Zarr; the word demo takes an invented station"))  # fmt: skip
        p.add_argument(
            "--hours", metavar="N", type=int, required=True, help=say("length of a stay, in whole hours")
        )
        p.add_argument(
            "--kit",
            metavar="PATH",
            nargs="+",
            action="extend",
            default=[],
            help=say(
                "other stocks to compare: files with [anchorage], or whole deployments; each is sized to stand as often"
            ),
        )
        p.add_argument(
            "--years",
            metavar="YEARS",
            type=float,
            nargs="+",
            action="extend",
            default=[],
            help=say("return periods; left out, 2, 10 and 50"),
        )
        p.add_argument(
            "--station", metavar="NAME", help=say("the one to take, where the history holds several")
        )
        p.add_argument(
            "-o",
            "--output",
            metavar="PATH",
            help=say("write every month and hour as .csv; of a grid every cell as .nc or .zarr"),
        )
        p.add_argument("--map", metavar="PATH", help=say("of a grid: write a map as PNG"))
        p.add_argument(
            "--gust-from",
            metavar="NAME",
            help=say("of a grid: variable that is the gust, where it does not say so"),
        )
        p.add_argument("--scheduler", metavar="ADDRESS", help=say("of a grid: run on a dask cluster, such as tcp://10.0.0.5:8786; its workers read the same path. Nothing is encrypted and nobody is asked for a password: only on a network that you trust"))  # fmt: skip
        p.add_argument(
            "--jobs",
            metavar="N",
            type=int,
            help=say("of a grid: threads to use here; left out, one a processor"),
        )
        p.add_argument(
            "--zone",
            metavar="ZONE",
            help=say(
                'time zone of the people, such as "America/Chicago"; left out, that of the file, else UTC'
            ),
        )
        _units(p)
        _json(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "file", metavar="FILE", nargs="?", help=say("deployment file; the record beside it goes along")
        )
        p.add_argument("-o", "--output", metavar="PATH", help=say("the bundle to write, .zip"))
        p.add_argument("--check", metavar="PATH", help=say("look at a bundle instead, and judge it again"))
        p.add_argument(
            "--seal", metavar="SEAL", help=say("with --check: as it was printed when the bundle was made")
        )
        p.add_argument("--forecast", metavar="PATH", action="append", default=[], help=say("forecast file that was used; several may be given"))  # fmt: skip
        p.add_argument(
            "--say",
            metavar="LINE",
            action="append",
            default=[],
            help=say("what was heard of the weather, as it was said"),
        )
        p.add_argument("--heard", metavar="TIME", help=say("when that was heard; left out, now"))
        p.add_argument(
            "--issued", metavar="TIME", help=say("when the forecast was made, where its format does not say")
        )
        _time(p)
        _units(p)
        _json(p)

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

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("name", nargs="?", metavar="NAME", help=say("a formula; without it all are listed"))
        p.add_argument(
            "values", nargs="*", metavar="ARGUMENT=VALUE", help=say("a value for each of its arguments")
        )
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.formula import formula  # noqa: PLC0415 - see above

        return formula(args)


class Sources(Command):
    name, group = "sources", Group.HELP
    says = later("every figure in the tables: where it is from and how it was obtained")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("table", nargs="?", metavar="TABLE", help=say("only this table, with its notes"))
        p.add_argument(
            "--licences",
            action="store_true",
            help=say("what is shipped and what it needs, each with its licence"),
        )
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import sources  # noqa: PLC0415 - see above

        return sources(args)


class Defaults(Command):
    name, group = "defaults", Group.HELP
    says = later("what is taken where a key of the file is left out, and on which side that errs")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "part", nargs="?", metavar="PART", help=say("only this part of the file, for example anchorage")
        )
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import defaults  # noqa: PLC0415 - see above

        return defaults(args)


class Glossary(Command):
    name, group = "glossary", Group.HELP
    says = later("names, symbols and units that every command, screen and page shares")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument("word", nargs="?", metavar="WORD", help=say("only terms with this in their name"))
        p.add_argument("--json", action="store_true", help=say("print one JSON object and nothing else"))

    def run(self, args: argparse.Namespace) -> Outcome:
        from anchorage.cli.register import glossary  # noqa: PLC0415 - see above

        return glossary(args)


class Tui(Command):
    name, group = "tui", Group.LOOK_UP
    pages = False
    reads = ("file",)
    says = later("fill in a deployment on the screen and see at once what it comes to")
    more = later("A file that is not there yet is begun. Without a file it offers recent ones and the demos.")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        p.add_argument(
            "file", metavar="FILE", nargs="?", help=say("deployment file; one that is not there yet is begun")
        )
        p.add_argument(
            "--web", action="store_true", help=say("serve it to a browser instead (needs the extra: web)")
        )
        p.add_argument(
            "--host",
            default="127.0.0.1",
            help=say("address to serve on; on anything but this machine whoever listens in can read along"),
        )
        p.add_argument(
            "--port", type=int, default=8000, help=say("port to serve on, 1 to 65535; 0 takes a free one")
        )
        p.add_argument(
            "--idle", type=int, default=60, metavar="MINUTES", help=say("end after so long without a touch")
        )

    def run(self, args: argparse.Namespace) -> Outcome:
        from tui.command import tui  # noqa: PLC0415 - see above

        return tui(args)


class Schema(Command):
    name, group = "schema", Group.HELP
    pages = False
    says = later("JSON Schema of the deployment file, for an editor that completes and checks it")

    def add_arguments(self, p: argparse.ArgumentParser) -> None:
        del p

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
