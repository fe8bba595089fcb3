"""The command line: what can be typed, what each exit code means, and that no traceback ever reaches a user.

Nothing heavy is imported here: ``anchorage --help`` and ``--version`` answer at once.
"""

from __future__ import annotations

import argparse
import gc
import os
import re
import sys
import warnings
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any, NoReturn

from anchorage.cli.commands import COMMANDS, Command, Group
from anchorage.cli.common import Done
from anchorage.cli.paths import settle
from anchorage.cli.topics import abouts
from anchorage.core import console
from anchorage.core.closed import EXITS
from anchorage.core.console import NotShownError
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.core.plain import did_you_mean, inert, narrow
from anchorage.core.say import (
    ENGLISH,
    about_file,
    languages,
    later,
    not_reviewed,
    now_usually,
    of_environment,
    say,
    usually,
)
from anchorage.core.textfile import PLAINLY, load_toml, place_is_gone, read_whole, why_not
from anchorage.core.version import VERSION
from anchorage.record.kinds import CALLED

UNUSABLE, STOPPED = EXITS["unusable"], 130
SELDOM = 150_000, 10, 10
"""Things made between two looks for waste: more than a check makes, which is over before it has any."""
LONGEST_UNIT = 20
"""Letters of a unit."""
SCREEN = 60
"""Lines that are never too many for one page."""
EXIT_CODES = later("exit codes: 0 go (or done), 1 no-go, 2 the input cannot be used, 3 cannot say\n")
GONE = later("the folder that this is run in is gone: change to one that is there (cd), and run it again")
START = later(
    "first steps:\n  anchorage demo                    see what it does\n  anchorage new our-shelter.toml    write a deployment file to fill in\n  anchorage check our-shelter.toml  go or no-go, what to place where\n  anchorage tui our-shelter.toml    the same on the screen\n"
)


class _Lines(argparse.HelpFormatter):
    """Help as argparse lays it out, its own words in the language too."""

    def add_usage(self, usage: Any, actions: Any, groups: Any, prefix: str | None = None) -> None:
        super().add_usage(usage, actions, groups, say("usage: ") if prefix is None else prefix)


class _Page(_Lines, argparse.RawDescriptionHelpFormatter):
    """The same, paragraphs as they are written."""


class _Parser(argparse.ArgumentParser):
    """argparse, with what was typed shown inert, and what it lacks said in plain words."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"formatter_class": _Lines, **kwargs})
        self._positionals.title = say("what it takes")
        self._optionals.title = say("options")
        for a in self._actions:
            if isinstance(a, argparse._HelpAction):  # noqa: SLF001 - it has no other name
                a.help = say("show this help and end")

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """What a command is about may stand after its options too: ``log FILE --zone Central placed 12``."""
        if any(not a.option_strings and a.nargs == "?" for a in self._actions):
            args = self._about_first(_joined(sys.argv[1:] if args is None else args))
        return super().parse_known_args(args, namespace)

    def _about_first(self, args: Sequence[str]) -> list[str]:
        """The same with what belongs to no option in front; as it is where that cannot be told."""
        about, options, rest = list[str](), list[str](), list(args)
        while rest:
            word = rest.pop(0)
            if not word.startswith("-") or word == "-":
                about.append(word)
                continue
            name, _, value = word.partition("=")
            known = self._option_string_actions.get(name)
            if known is None or not (value or known.nargs in (None, 0)):
                return list(args)
            options.append(word)
            if known.nargs is None and not value:
                options += rest[:1]
                rest = rest[1:]
        return about + options

    def error(self, message: str) -> NoReturn:
        console.complain(
            [
                self.format_usage().rstrip(),
                say("{prog}: error: {plainly}", prog=self.prog, plainly=inert(_plainly(message))),
            ]
        )
        raise SystemExit(UNUSABLE)

    def _print_message(self, message: str, file: Any = None) -> None:
        """Pages alone come here: help and version, for standard output."""
        del file
        console.write(_fitting(message))


def _plainly(message: str) -> str:
    """A message of argparse without the words of programmers, and with what was probably meant."""
    if m := re.fullmatch(r"unrecognized arguments: (.*)", message, re.DOTALL):
        way = (
            say("--help lists what there is")
            if m[1].startswith("-")
            else say("a value with a space goes in quotes, as in '35 mph'")
        )
        return say("not understood: {m}; {way}", m=m[1], way=way)
    if m := re.fullmatch(r"argument (\S+): invalid (int|float) value: (.*)", message, re.DOTALL):
        what = say("a whole number is needed") if m[2] == "int" else say("a number is needed")
        if m[1] == "--from":
            what = say("degrees are needed, 270 for west")
        return say("{m}: read {m_2}; {what}", m=m[1], m_2=m[3], what=what)
    if m := re.fullmatch(
        r"argument (\S+): invalid choice: '?(.*?)'? \(choose from (.*)\)", message, re.DOTALL
    ):
        every = [w.strip(" '") for w in m[3].split(",")]
        if m[1] == "EVENT" and (typed := CALLED.get(m[2].lower())):
            return say("read '{got}'; type: anchorage log FILE {typed}", got=m[2], typed=typed)
        return say("{m}: read '{m_2}'; ", m=m[1], m_2=m[2]) + (
            did_you_mean(m[2].lower(), every) or say("one of {every}", every=", ".join(every))
        )
    if m := re.fullmatch(r"the following arguments are required: (.*)", message, re.DOTALL):
        return say("not given, and needed: {m}", m=m[1])
    if m := re.fullmatch(r"argument (\S+): expected (?:one|at least one) argument", message, re.DOTALL):
        return say("{m}: a value goes behind it", m=m[1])
    return message


def _joined(typed: Sequence[str]) -> list[str]:
    """A number and its unit that were typed as two words, as one value: ``wind 8 mph``. A file of such a name is a file."""
    out = list[str]()
    for word in typed:
        if (
            out and re.fullmatch(r"[0-9.,]{1,12}", out[-1]) and _is_unit(word) and not Path(word).exists()
        ):  # fmt: skip
            out[-1] += f" {word}"
        else:
            out.append(word)
    return out


def _is_unit(word: str) -> bool:
    if not word[:1].isalpha() or len(word) > LONGEST_UNIT:
        return False
    from anchorage.core.units import KINDS  # noqa: PLC0415 - only where a number stands before a word

    return any(word in kind.names for kind in KINDS.values())


class _Completion(argparse.Action):
    """Print a completion script. shtab is loaded only then."""

    def __call__(self, parser: argparse.ArgumentParser, *args: Any) -> None:
        import shtab  # noqa: PLC0415 - nobody else needs it

        shell = str(args[1])
        if shell not in shtab.SUPPORTED_SHELLS:
            parser.error(
                say(
                    "no completion for {name}: one of {supported_shells}",
                    name=shell,
                    supported_shells=", ".join(shtab.SUPPORTED_SHELLS),
                )
            )
        for each in _parsers(parser):
            for action in each._actions:  # noqa: SLF001 - shtab itself asks for an attribute on actions
                if action.metavar in ("FILE", "PATH"):
                    action.complete = shtab.FILE  # type: ignore[attr-defined]
        console.write(shtab.complete(parser, shell) + "\n")
        parser.exit()


def _parsers(parser: argparse.ArgumentParser) -> list[argparse.ArgumentParser]:
    inside = [a for a in parser._actions if isinstance(a, argparse._SubParsersAction)]  # noqa: SLF001
    return [parser, *(p for a in inside for p in a.choices.values())]


class Program(_Parser):
    """The program itself: its help lists the commands by when they are wanted."""

    def listed(self, group: Group) -> list[argparse.Action]:
        """The commands of a group, as argparse lists them."""
        every = [a for x in self._actions for a in getattr(x, "_choices_actions", ())]
        return [a for a in every if COMMANDS[a.dest].group is group]

    def about(self, topic: str | None) -> str:
        """What can be typed after a command; without one, the commands that the first page leaves out."""
        if topic is not None:
            return next(p for p in _parsers(self) if p.prog.endswith(f" {topic}")).format_help()
        lines = self._get_formatter()
        lines.add_text(say("anchorage help TOPIC says what can be typed after a command, after these also:"))
        lines.start_section(say("more to look up"))
        lines.add_arguments(self.listed(Group.HELP))
        lines.end_section()
        lines.start_section(say("explained"))
        for name, about in abouts().items():
            lines.add_argument(argparse._SubParsersAction._ChoicesPseudoAction(name, (), about))  # noqa: SLF001 - as argparse lists commands
        lines.end_section()
        return lines.format_help()

    def format_help(self) -> str:
        lines = self._get_formatter()
        lines.add_usage(self.usage, self._actions, self._mutually_exclusive_groups)
        lines.add_text(self.description)
        for group in Group:
            if group is not Group.HELP:
                lines.start_section(group.value)
                lines.add_arguments(self.listed(group))
                lines.end_section()
        lines.start_section(say("options"))
        lines.add_arguments([a for a in self._actions if a.option_strings])
        lines.end_section()
        lines.add_text(self.epilog)
        return lines.format_help()


def build_parser(typed: Sequence[str] = ()) -> Program:
    """Everything that can be typed; where ``typed`` begins with a command, the others without what can be typed after them."""
    wanted = [c for c in typed[:1] if c in COMMANDS and c != "help"] or list(COMMANDS)
    parser = Program(
        prog="anchorage",
        description=say("What holds a soft shelter down, what gust it can take, and whether it may go up."),
        epilog=START + "\n" + EXIT_CODES,
        formatter_class=_Page,
    )
    parser.set_defaults(program=parser)
    _add_language(parser, None)
    parser.add_argument("--version", action="store_true", help=say("say which version this is"))
    parser.add_argument(
        "--verbose", action="store_true", help=say("with --version: what runs here, and where it writes")
    )
    parser.add_argument("--print-completion", action=_Completion, metavar="SHELL",
                        help=say("print a completion script: bash, zsh, fish, tcsh or powershell"))  # fmt: skip
    commands = parser.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=_Parser
    )
    for c in COMMANDS.values():
        text = f"{c.says[0].upper()}{c.says[1:]}.{f' {c.more}' if c.more else ''}"
        of = commands.add_parser(c.name, help=c.says, description=text, epilog=str(EXIT_CODES))
        if c.name in wanted:
            c.add_arguments(of)
            _add_language(of, argparse.SUPPRESS)
    return parser


def _add_language(parser: argparse.ArgumentParser, default: str | None) -> None:
    parser.add_argument(
        "--lang",
        metavar="LANGUAGE",
        default=default,
        help=say(
            "language of the words: {languages}; left out, that of the file, else that of the machine",
            languages=", ".join(languages()),
        ),
    )


def _typed_language(argv: Sequence[str]) -> str | None:
    """The language that was typed, where it is one: it is needed before anything is said of what was typed."""
    found = [b for a, b in pairwise([*argv, ""]) if a == "--lang"]
    found += [a.partition("=")[2] for a in argv if a.startswith("--lang=")]
    return found[0].partition(",")[0] if found and found[0].partition(",")[0] in languages() else None


LARGEST = 1_000_000


def _language_of(file: object) -> str | None:
    """The language that a deployment file asks for; a file that cannot be read is told of later, by who reads it."""
    if not isinstance(file, str) or file == "-":
        return None
    try:
        about = load_toml(read_whole(Path(file), LARGEST).decode("utf-8-sig")).get("deployment")
    except (OSError, ValueError):
        return None
    said = about.get("lang") if isinstance(about, dict) else None
    return said if isinstance(said, str) and said in languages() else None


def _settle_language(parser: argparse.ArgumentParser, args: argparse.Namespace) -> None:
    """Which language is spoken from here on: as typed, as the file says, as the machine is set; to a machine, English."""
    typed = None if args.lang is None else args.lang.split(",")
    if typed is not None and (wrong := [t for t in typed if t not in languages()]):
        parser.error(say("--lang {wrong}: there are words in {languages}", wrong=wrong[0], languages=", ".join(languages())))  # fmt: skip
    if typed is not None and len(typed) > 1 and (args.command != "sheet" or len(typed) > 2):
        parser.error(say("--lang {typed}: two languages stand side by side on the sheet and on its card alone", typed=args.lang))  # fmt: skip
    args.languages = typed or []
    if getattr(args, "json", False):
        now_usually(ENGLISH)
    elif typed:
        now_usually(typed[0])
    elif (of_file := _language_of(getattr(args, "file", None))) is not None:
        now_usually(of_file)


def _about() -> str:
    from anchorage.cli.about import page  # noqa: PLC0415 - only for those who ask

    return page()


def _told(error: AnchorageError) -> list[str]:
    lines = map(str, error.faults) if isinstance(error, InputFaults) else str(error).splitlines()
    return [inert(line) for line in lines]


def _fitting(text: str) -> str:
    """A page as the terminal has room for it."""
    wide = console.columns()
    return narrow(text, wide) if wide < console.USUAL else text


def _small_print(command: Command, args: argparse.Namespace) -> str:
    """What is said under a page whose words are a translation that nobody of the trade has read."""
    said = (
        not_reviewed()
        if command.pages and not (getattr(args, "json", False) or getattr(args, "aloud", False))
        else ""
    )
    return f"\n({said})\n" if said else ""


def _shown(text: str, *, whole: bool) -> None:
    """Print; a page that is longer than a screen goes through a pager where there is a terminal. whole: as it is, always."""
    if not whole:
        text = _fitting(text)
    lines = text.count("\n")
    if whole or not console.is_terminal(sys.stdout) or lines <= max(SCREEN, console.rows()):
        console.write(text)
        return
    import pydoc  # noqa: PLC0415 - slow, and only for a long page

    os.environ.setdefault("LESS", f"FRXP{say('space for more, q to leave')}$")
    pydoc.pager(text)


def main(argv: Sequence[str] | None = None) -> int:
    """Run a command; the return value is the exit code."""
    if argv is None:
        console.hold_the_streams()
    console.ready()
    if argv is None and os.environ.get("ANCHORAGE_DEBUG") != "1":
        warnings.simplefilter("ignore")  # for a person they are noise among the faults; tests see them all
        sys.unraisablehook = lambda _: None  # the same: a library that trips over closing a damaged file
    if argv is None:
        gc.set_threshold(*SELDOM)
        os.environ.setdefault(
            "PYDANTIC_DISABLE_PLUGINS", "__all__"
        )  # to look for some takes longer than to read a file
    did: list[str] = []
    try:
        try:
            with usually(_typed_language(sys.argv[1:] if argv is None else argv) or of_environment()):
                return _run(build_parser(sys.argv[1:] if argv is None else argv), argv, did)
        finally:
            about_file("")
            console.write("")  # what argparse printed goes out here, where a closed pipe is caught
    except KeyboardInterrupt:
        console.complain(["", "stopped", *map(inert, did)])
        return STOPPED
    except NotShownError as e:
        why = say(" is closed") if e.error is None else f": {why_not(e.error, say('it cannot be written'))}"
        console.complain(
            [say("standard output{why}; what was to be printed is lost", why=why), *map(inert, did)]
        )
        return UNUSABLE


def _run(parser: argparse.ArgumentParser, argv: Sequence[str] | None, did: list[str]) -> int:
    """did: takes what stays done, whatever becomes of the page."""
    args = parser.parse_args(argv)
    if args.version:
        console.write(_fitting(_about()) if args.verbose else f"anchorage {VERSION}\n")
        return 0
    if args.command is None:
        console.write(_fitting(parser.format_help()))
        return UNUSABLE
    command = COMMANDS[args.command]
    _settle_language(parser, args)
    if wrong := command.settle(args):
        parser.error(wrong)
    file = getattr(args, "file", None)
    about_file(file if isinstance(file, str) and file != "-" and command.name != "tui" else "")
    try:
        settle(command, args)
        found = command.run(args)
    except AnchorageError as e:
        console.complain([*_told(e), *([GONE] if place_is_gone() else [])])
        return UNUSABLE
    except NotShownError:
        raise
    except Exception as e:
        if place_is_gone() and not isinstance(e, MemoryError):
            console.complain([GONE])
            return UNUSABLE
        if isinstance(e, OSError) and e.errno in PLAINLY:
            console.complain(
                [inert(f"{args.command}: {why_not(e)}{f': {e.filename}' if e.filename else ''}")]
            )
            return UNUSABLE
        if os.environ.get("ANCHORAGE_DEBUG") == "1":
            raise
        what = inert(f"{type(e).__name__}: {e}")[:200]
        console.complain(
            [
                say(
                    "a fault of the program, please report it: anchorage {version}, {command}, {what}",
                    version=VERSION,
                    command=args.command,
                    what=what,
                )
            ]
        )
        return UNUSABLE
    did += [found.did] if isinstance(found, Done) and found.did else []
    _shown(f"{found[1]}{_small_print(command, args)}", whole=getattr(args, "json", False))
    if argv is None and not command.writes:
        gc.freeze()  # nothing that it made has to be closed: the process ends without a last look through it
    return found[0]
