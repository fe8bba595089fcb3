"""What ``anchorage help TOPIC`` explains, and what the README sends people to: all of it is there, and what is typed in it can be typed."""

import re
import shlex
from pathlib import Path

import pytest

from anchorage.cli.commands import COMMANDS
from anchorage.cli.entry import build_parser, main
from anchorage.cli.topics import LANGUAGES, TESTS, TOPICS, abouts

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
WIDEST = 84
"""Of a line that is typed; sentences are wrapped to the page."""


def typed(text):
    """Commands of the program in a text, as words after its name; a line that goes on has two spaces more."""
    joined = re.sub(r"\n {3,}(?=--)", " ", text)
    lines = re.findall(r"^ *(?:\.venv/bin/)?anchorage (.+)$", joined, re.MULTILINE)
    return [
        shlex.split(x, comments=True)
        for x in [*lines, *re.findall(rf"`(?:anchorage )?((?:{'|'.join(COMMANDS)}) [^`]+)`", joined)]
    ]


def test_every_topic_is_listed_and_printed(capsys):
    assert not set(TOPICS) & set(COMMANDS)
    assert list(abouts()) == [*TOPICS, TESTS, LANGUAGES]
    for name in abouts():
        assert main(["help", name]) == 0
        page = capsys.readouterr().out
        assert page.startswith(name.upper()) or name == LANGUAGES
        assert page.endswith("\n")
        assert name not in TOPICS or max(map(len, page.splitlines())) <= WIDEST


def test_the_readme_sends_to_topics_and_commands_that_are_there():
    listed = README[README.index("- `anchorage help TOPIC`") :].split("\n- ")[0]
    assert set(re.findall(r"`([a-z]+)`", listed)) == set(abouts())
    assert {
        w
        for x in re.findall(r"^\| [^|]+ \| ([^|]+) \|", README, re.MULTILINE)
        for w in re.findall(r"`([a-z]+)`", x)
    } <= set(COMMANDS)


def test_what_a_topic_or_the_readme_says_to_type_can_be_typed():
    pages = {name: "\n".join(t.lines(name)) for name, t in TOPICS.items()}
    found = [x for page in pages.values() for x in typed(page)]
    assert {x[0] for x in found} >= {"outlook", "chance", "fleet", "region", "climate", "demo"}
    for words in [*found, *typed(README)]:
        if words[0] in COMMANDS and words[-1] not in ("TOPIC", "--help"):
            assert build_parser().parse_args(words).command == words[0], words


@pytest.mark.parametrize("wrong", ["climate FILE --hours", "chance FILE --sample-size 3"])
def test_what_cannot_be_typed_would_be_seen(wrong):
    with pytest.raises(SystemExit):
        build_parser().parse_args(typed(f"  anchorage {wrong}\n")[0])


def test_the_readme_has_the_two_commands_and_stays_short():
    block = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    assert [b.strip().rpartition(" && ")[2] for b in block] == [
        ".venv/bin/anchorage demo",
        ".venv/bin/python -m pytest",
    ]
    assert len(README.split()) < 1000
    questions = [x for x in README.splitlines() if x.startswith("| ") and "?" in x.split("|")[1]]
    assert len(questions) == 8
