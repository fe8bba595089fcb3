"""The command line: what can be typed, what each exit code means, and that no traceback ever reaches a user.

Nothing heavy is imported here: ``anchorage --help`` and ``--version`` answer at once.
"""

from __future__ import annotations

import argparse
import difflib
import os
import re
import sys
import warnings
from collections.abc import Sequence
from typing import Any, NoReturn

from anchorage.cli import paper_arguments
from anchorage.cli.fleet_arguments import add_arguments as fleet_arguments
from anchorage.cli.outlook_arguments import add_arguments as outlook_arguments
from anchorage.cli.outlook_arguments import chance_arguments
from anchorage.cli.region_arguments import add_arguments as region_arguments
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.plain import inert
from anchorage.core.version import VERSION
from anchorage.core.words import USES
from anchorage.demo import NAMES
from tui.command import add_arguments as tui_arguments

GO, NO_GO, UNUSABLE, UNKNOWN, STOPPED = 0, 1, 2, 3, 130
CODES = """\
exit codes: 0 go (or done), 1 no-go, 2 the input cannot be used, 3 cannot say
"""
START = """\
first steps:
  anchorage demo                    see what it does
  anchorage new our-shelter.toml    write a deployment file to fill in
  anchorage check our-shelter.toml  go or no-go, what to place where
  anchorage tui our-shelter.toml    the same on the screen
"""


class _Parser(argparse.ArgumentParser):
    """argparse, with what was typed shown inert, and what it lacks said in plain words."""

    def error(self, message: str) -> NoReturn:
        super().error(inert(_plainly(message)))


def _plainly(message: str) -> str:
    """A message of argparse without the words of programmers, and with what was probably meant."""
    if m := re.fullmatch(r"unrecognized arguments: (.*)", message, re.DOTALL):
        way = (
            "--help lists what there is"
            if m[1].startswith("-")
            else "a value with a space goes in quotes: --gust '35 mph'"
        )
        return f"not understood: {m[1]}; {way}"
    if m := re.fullmatch(r"argument (\S+): invalid (int|float) value: (.*)", message, re.DOTALL):
        what = "a whole number is needed" if m[2] == "int" else "a number is needed"
        if m[1] == "--from":
            what = "degrees are needed, 270 for west"
        return f"{m[1]}: read {m[3]}; {what}"
    if m := re.fullmatch(
        r"argument (\S+): invalid choice: '?(.*?)'? \(choose from (.*)\)", message, re.DOTALL
    ):
        every = [w.strip(" '") for w in m[3].split(",")]
        near = difflib.get_close_matches(m[2].lower(), every, 1)
        return f"{m[1]}: read '{m[2]}'; " + (
            f'did you mean "{near[0]}"?' if near else f"one of {', '.join(every)}"
        )
    return message


class _Completion(argparse.Action):
    """Print a completion script. shtab is loaded only then."""

    def __call__(self, parser: argparse.ArgumentParser, *args: Any) -> None:
        import shtab  # noqa: PLC0415 - nobody else needs it

        shell = str(args[1])
        if shell not in shtab.SUPPORTED_SHELLS:
            parser.error(f"no completion for {shell}: one of {', '.join(shtab.SUPPORTED_SHELLS)}")
        for each in _parsers(parser):
            for action in each._actions:  # noqa: SLF001 - shtab itself asks for an attribute on actions
                if action.metavar in ("FILE", "PATH"):
                    action.complete = shtab.FILE  # type: ignore[attr-defined]
        _write(shtab.complete(parser, shell) + "\n")
        parser.exit()


def _parsers(parser: argparse.ArgumentParser) -> list[argparse.ArgumentParser]:
    inside = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]  # noqa: SLF001
    return [parser, *(p for a in inside for p in a.choices.values())]


def build_parser() -> argparse.ArgumentParser:
    """Everything that can be typed."""
    parser = _Parser(
        prog="anchorage",
        description="What holds a soft shelter down, what gust it can take, and whether it may go up.",
        epilog=START + "\n" + CODES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"anchorage {VERSION}")
    parser.add_argument("--print-completion", action=_Completion, metavar="SHELL",
                        help="print a completion script: bash, zsh, fish, tcsh or powershell")  # fmt: skip
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", title="commands")

    def command(name: str, text: str, more: str = "") -> argparse.ArgumentParser:
        return commands.add_parser(
            name,
            help=text,
            description=text[0].upper() + text[1:] + "." + (" " + more if more else ""),
            epilog=CODES,
        )

    p = command("demo", "judge the invented deployments that ship with the program",
                "The exit code is 0 whenever it ran.")  # fmt: skip
    p.add_argument("name", nargs="?", choices=NAMES, help=f"one of them: {' or '.join(NAMES)}")
    p.add_argument(
        "--copy",
        metavar="PATH",
        help="write the demo's file there, to be edited (asphalt if no name is given)",
    )
    _results(p)

    p = command("new", "write a deployment file to fill in",
                "In a terminal it asks some plain questions first. What is not answered is left out.")  # fmt: skip
    p.add_argument("file", metavar="FILE", help="file to write; - prints it")
    p.add_argument("--no-questions", action="store_true", help="ask nothing, write the commented example")
    p.add_argument("--force", action="store_true", help="replace the file if there is one")

    p = command("check", "judge a deployment: go or no-go, what to place where, what gust it takes")
    p.add_argument("file", metavar="FILE", nargs="?", help="deployment file; - reads standard input")
    _results(p)
    _instead(p)

    p = command("limit", "what gust a deployment takes, and at which gusts to act",
                "The exit code is that of check: the gust in the file is judged.")  # fmt: skip
    p.add_argument("file", metavar="FILE", nargs="?", help="deployment file; - reads standard input")
    _results(p)
    _instead(p)

    p = command("outlook", "a forecast in: go or no-go hour by hour, and by when to act",
                "Forecasts come from files, lines as they were heard, the file, or the network; the worse counts.")  # fmt: skip
    outlook_arguments(p)

    p = command("chance", "how likely it holds a gust or a forecast, and what is least sure about it",
                "It changes no verdict: the exit code is 0 whenever it ran, 3 where a forecast bounds nothing.")  # fmt: skip
    chance_arguments(p)

    p = command(
        "sheet",
        "the page for the crew and the one who signs: PDF, HTML, a card, or the points as a table or map",
    )
    paper_arguments.sheet_arguments(p)

    p = command(
        "pack",
        "what to bring: counts, spares, sand, lifts, loads; what is short, and what only the stock is good for",
    )
    paper_arguments.pack_arguments(p)

    p = command("log", "write down what happened, or print, check and export the record",
                'For example: anchorage log our-shelter.toml wind "32 mph" --who "A. Lee"')  # fmt: skip
    paper_arguments.log_arguments(p)

    p = command("now", "where it stands against its limits by the latest readings, and what is due",
                "Exit code 0: people may stay in; 1: not; 3: cannot say.")  # fmt: skip
    paper_arguments.now_arguments(p)

    p = command("fleet", "judge every deployment of a folder: a table with the worst first, CSV or Parquet",
                "Exit code: 1 if one is no-go, else 2 if one cannot be read, else 3 if one cannot be judged, else 0.")  # fmt: skip
    fleet_arguments(p)

    p = command("region", "one installation over a gridded forecast: hours, deadlines and chance in every cell, and a map",
                "It needs the extra region. The exit code is that of the worst cell.")  # fmt: skip
    region_arguments(p)

    p = command("formula", "list the formulas, or work one out by itself",
                "Numbers are SI unless a unit is given: anchorage formula pressure_physics density=1.25 profile=1 'speed=45 mph'")  # fmt: skip
    p.add_argument("name", nargs="?", metavar="NAME", help="a formula; without it all are listed")
    p.add_argument("values", nargs="*", metavar="ARGUMENT=VALUE", help="a value for each of its arguments")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")

    p = command("sources", "every figure in the tables: where it is from and how it was obtained")
    p.add_argument("table", nargs="?", metavar="TABLE", help="only this table, with its notes")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")

    p = command("defaults", "what is taken where a key of the file is left out, and on which side that errs")
    p.add_argument(
        "part", nargs="?", metavar="PART", help="only this part of the file, for example anchorage"
    )
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")

    p = command("glossary", "names, symbols and units that every command, screen and page shares")
    p.add_argument("word", nargs="?", metavar="WORD", help="only terms with this in their name")
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")

    p = command("tui", "fill in a deployment on the screen and see at once what it comes to",
                "A file that is not there yet is begun. Without a file it offers recent ones and the demos.")  # fmt: skip
    tui_arguments(p)

    command("schema", "JSON Schema of the deployment file, for an editor that completes and checks it")
    return parser


def _instead(p: argparse.ArgumentParser) -> None:
    """Values that go before those of the file; what was put over what is printed."""
    p.add_argument("--as-planned", action="store_true", help="leave out the record beside the file")
    group = p.add_argument_group("instead of what the file says")
    group.add_argument("--gust", metavar="SPEED", help="3 s gust at 10 m, for example '35 mph'")
    group.add_argument(
        "--from", dest="bearing", type=float, metavar="DEGREES", help="bearing that the wind comes from"
    )
    group.add_argument("--state", help="of the surface: dry, wet, frozen, ice or snow")
    group.add_argument("--placed", type=int, metavar="N", help="units at every point, as it stands")
    group.add_argument("--doors", help="open or shut, all that the file names")
    group.add_argument("--straps", help="unlocked or locked")
    group.add_argument("--for", dest="use", choices=USES, help="what it is judged and sized for")


def _results(p: argparse.ArgumentParser) -> None:
    p.add_argument("--json", action="store_true", help="print one JSON object and nothing else")
    p.add_argument(
        "--units", choices=("us", "si"), help="units to show; left out, those that the file asks for"
    )
    p.add_argument("--working", nargs="?", const="", metavar="WHAT",
                   help="add the working: of what governs, of a check by its name, or of wind, coefficients, openings, "
                        "holding, margins, all")  # fmt: skip


def _told(error: AnchorageError) -> list[str]:
    lines = map(str, error.faults) if isinstance(error, InputFaults) else str(error).splitlines()
    return [inert(line) for line in lines]


def _write(text: str) -> None:
    """Print; a reader that has gone away (``| head``) is no fault of ours."""
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        # so that the interpreter does not try again on its way out
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complain(lines: Sequence[str]) -> None:
    for line in lines:
        print(line, file=sys.stderr)


def _arguments(parser: argparse.ArgumentParser, argv: Sequence[str] | None) -> argparse.Namespace:
    args = parser.parse_args(argv)
    if args.command in ("check", "limit") and args.file is None:
        if not args.working:
            parser.error(f"{args.command}: which deployment file? (- reads standard input)")
        args.file, args.working = args.working, ""  # ``check --working FILE``: it was the file
    return args


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the return value is the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal that cannot show γ shows ?
            stream.reconfigure(errors="replace")
    if argv is None and os.environ.get("ANCHORAGE_DEBUG") != "1":
        warnings.simplefilter("ignore")  # for a person they are noise among the faults; tests see them all
        sys.unraisablehook = lambda _: None  # the same: a library that trips over closing a damaged file
    try:
        return _run(build_parser(), argv)
    except KeyboardInterrupt:
        _complain(["", "stopped"])
        return STOPPED
    finally:
        _write("")  # what argparse printed goes out here, where a closed pipe is caught


def _run(parser: argparse.ArgumentParser, argv: Sequence[str] | None) -> int:
    args = _arguments(parser, argv)
    if args.command is None:
        _write(parser.format_help())
        return UNUSABLE
    try:
        from anchorage.cli.dispatch import run  # noqa: PLC0415 - pint, numpy and pydantic come with it

        code, text = run(args)
    except AnchorageError as e:
        _complain(_told(e))
        return UNUSABLE
    except Exception as e:
        if os.environ.get("ANCHORAGE_DEBUG") == "1":
            raise
        what = inert(f"{type(e).__name__}: {e}")[:200]
        _complain([f"a fault of the program, please report it: anchorage {VERSION}, {args.command}, {what}"])
        return UNUSABLE
    _write(text)
    return code
