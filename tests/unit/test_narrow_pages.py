"""A terminal of 40 columns: no line of a page is longer, and no word of it is lost."""

import contextlib
import io
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.cli.entry import main
from anchorage.core.plain import RULES, columns, narrow
from anchorage.demo import demo_text

NOW = ("--now", "2026-03-10T18:00:00Z")


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def site(tmp_path):
    path = tmp_path / "site.toml"
    path.write_text(demo_text("asphalt"), encoding="utf-8")
    assert main(["log", str(path), "wind", "20 mph", "--who", "A. Lee", *NOW]) == 0
    return path


def shown(monkeypatch, wide, *words):
    """What stands on a terminal so wide."""
    out = Terminal()
    with monkeypatch.context() as m:
        m.setenv("COLUMNS", str(wide))
        m.setattr(sys, "stdout", out)
        m.setattr("pydoc.pager", out.write)
        with contextlib.suppress(SystemExit):
            main([str(w) for w in words])
    return out.getvalue()


PAGES = {
    "check": ["check", "SITE"], "full": ["check", "SITE", "--full"], "limit": ["limit", "SITE"], "pack": ["pack", "SITE"], "outlook": ["outlook", "SITE", "--say", "until 06:00Z gust 12 mph", *NOW],
    "log": ["log", "SITE"], "now": ["now", "SITE", *NOW], "fleet": ["fleet", "FOLDER", "--jobs", "1", *NOW], "demo": ["demo"], "sources": ["sources", "friction"], "glossary": ["glossary"],
    "defaults": ["defaults", "wind"], "formula": ["formula"], "help": ["help", "check"], "--help": ["--help"], "version": ["--version", "--verbose"], "tests": ["help", "tests"],
}  # fmt: skip


@pytest.mark.parametrize("name", PAGES)
def test_no_line_of_a_page_is_longer_than_the_terminal_and_no_word_is_lost(name, site, monkeypatch):
    words = [{"SITE": site, "FOLDER": site.parent}.get(w, w) for w in PAGES[name]]
    small, usual = (
        shown(monkeypatch, 40, *words),
        shown(monkeypatch, 79 if name in ("help", "--help") else 120, *words),
    )
    assert max(columns(line) for line in small.splitlines()) <= 40
    if "help" not in name and name != "version":  # argparse breaks it by itself; that one says how wide it is
        assert said(small) == said(usual)


def said(page):
    """The characters of a page without blanks and without the rules across it."""
    return "".join("".join(line.split()) for line in page.splitlines() if set(line) not in RULES)


def test_what_a_program_reads_is_left_as_it_is(site, monkeypatch):
    assert shown(monkeypatch, 40, "check", site, "--json") == shown(monkeypatch, 200, "check", site, "--json")


LINES = st.lists(st.text(st.sampled_from("ab +:|é界 "), max_size=90).map(str.rstrip), max_size=6)


@settings(max_examples=60, deadline=None)
@given(LINES, st.integers(20, 79))
def test_any_page_fits_and_keeps_its_characters(lines, wide):
    text = "".join(line + "\n" for line in lines)
    found = narrow(text, wide)
    assert all(columns(line) <= wide for line in found.splitlines())
    assert "".join(found.split()) == "".join(text.split())
    assert narrow(found, wide) == found
    assert narrow(text, 200) == text
