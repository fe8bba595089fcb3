"""Whatever stands in a name, a note, a forecast or the name of a file: in every output it is text and nothing else."""

import csv
import io
import json
import re
import unicodedata
from html.parser import HTMLParser

import pypdf
import pytest
from toml_writer import demo, put, written
from tui_kit import do, screen_text, settled

from anchorage.cli.entry import main
from anchorage.core.plain import clean, inert

NOW = "2026-03-10T18:00:00Z"
ACTS = "\x1b[2J\x1b]0;t\x07\x9b31m\x85\u2028\u202egnp\u2066\u200b\u200e\u2060\u3164"
EVIL = f"=1+cmd|{ACTS}[red]x[/][@click=app.quit]y[/]<script>a</script><img src=x onerror=1>&lt;$x$ #panic()\r\nBEGIN:VALARM;a,b"
NAME = EVIL.replace("/", "|").replace("\x85", "")[:150] + ".toml"
"""A name of a file, as far as a system lets it be one."""
SEEN = "[red]x[/]"
"""Of it, what must still be there to be read."""
SOMEBODY = "=A. Lee " + ACTS + SEEN


def acting(text: str, breaks: str = "\n") -> set[str]:
    """Characters that would act on whoever shows the text, or hide in it."""
    rest = text.translate(dict.fromkeys(map(ord, breaks)))
    return {c for c in rest if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp") or c == "\u3164"}


class Tags(HTMLParser):
    """Every tag and attribute of a page."""

    def __init__(self):
        super().__init__()
        self.found = set()

    def handle_starttag(self, tag, attrs):
        self.found |= {tag, *(k for k, _ in attrs)}


def quiet(text):
    """A terminal."""
    assert not acting(text)
    return text


def page(raw):
    """An HTML file."""
    text = raw.decode("utf-8")
    assert not acting(text)
    tags = Tags()
    tags.feed(text)
    assert not {"script", "img", "onerror", "a", "href", "iframe"} & tags.found
    return re.sub(r"&#?\w+;", "", text)


def paper(raw):
    """A PDF: nothing in it to press or to run, nothing that hides in its text or its properties."""
    read = pypdf.PdfReader(io.BytesIO(raw))
    text = "".join(p.extract_text() for p in read.pages)
    said = " ".join(str(v) for v in (read.metadata or {}).values())
    assert not acting(text + said)
    assert not {"/OpenAction", "/AA", "/Names"} & set(read.trailer["/Root"])
    assert not any("/Annots" in p for p in read.pages)
    return text


def table(raw):
    """A CSV file: no cell of it begins a formula."""
    text = raw.decode("utf-8")
    assert not acting(text, "\r\n")
    rows = list(csv.reader(io.StringIO(text)))
    assert len({len(r) for r in rows}) == 1
    for cell in (c for row in rows for c in row):
        assert cell[:1] not in ("=", "@", "+", "-", "\t", "\r") or re.fullmatch(r"[+-]?[\d.e+-]+", cell)
    return text


def geo(raw):
    """A map."""
    text = raw.decode("utf-8")
    assert not acting(text)
    return json.dumps(json.loads(text), ensure_ascii=False)


def calendar(raw):
    """A calendar: no line of it was put in by a name."""
    text = raw.decode("utf-8")
    assert not acting(text, "\r\n")
    lines = text.replace("\r\n ", "").split("\r\n")
    assert lines.count("BEGIN:VALARM") == lines.count("BEGIN:VEVENT") > 0
    return text.replace("\r\n ", "")


@pytest.fixture(scope="module")
def site(tmp_path_factory):
    """A folder with hostile names, a record with hostile words, forecasts with hostile fields."""
    folder = tmp_path_factory.mktemp("site") / (ACTS.replace("\x85", "") + "[red]")
    folder.mkdir()
    data = demo(
        "asphalt",
        deployment__name=EVIL[:200],
        times__end="2026-03-11T06:00:00Z",
        times__notify="5 min",
        times__people_out="10 min",
        times__strike="40 min",
    )
    put(data, ["deployment", "use"], "decon")
    path = folder / NAME
    path.write_text(written(data), encoding="utf-8")
    (folder / ("z" + ACTS[:8] + ".toml")).write_text(
        '[shelter]\nform = "\\u001b[2J\\u202e"\n"\\u009b\\u202e=" = "\\u200b"\n'
    )
    (folder / f"f{ACTS[:9]}.csv").write_text(
        "# issued 2026-03-10T17:00:00Z\ntime,gust (mph),note\n"
        + "".join(f"2026-03-10T{h}:00:00Z,{h},{SOMEBODY}\n" for h in range(18, 24)),
        encoding="utf-8",
    )
    (folder / f"t{ACTS[:9]}.txt").write_text(
        "TAF ZZZZ 101720Z 1018/1118 20004G08KT 9999 FM102200 20004G08KT X[red]x[/]\u202e <b>\x1b[2J @SUM \u200b 9999 FM102300 20018G60KT TSRA",
        encoding="utf-8",
    )
    for args in (
        ("wind", "32 mph"),
        ("placed", "12", "--each"),
        ("note", EVIL),
        ("action", SOMEBODY),
        ("hand-over", "--to", EVIL[:150]),
        ("inspection", "--note", EVIL),
    ):
        assert main(["log", str(path), *args, "--who", SOMEBODY, "--now", NOW]) == 0
    return path


OUTPUTS = {
    "check": (["check"], quiet), "limit": (["limit", "--working"], quiet), "check-overridden": (["check", "--gust", "30 mph"], quiet),
    "outlook-table": (["outlook", "--forecast", "CSV"], quiet), "outlook-taf": (["outlook", "--forecast", "TAF"], quiet),
    "pack": (["pack"], quiet), "log": (["log"], quiet), "now": (["now", "--forecast", "TAF"], quiet), "fleet": (["fleet", "--jobs", "1", "--forecast", "TAF"], quiet),
    "sheet.html": (["sheet", "--forecast", "TAF", "-o"], page), "card.html": (["sheet", "--card", "-o"], page), "pack.html": (["pack", "-o"], page), "now.html": (["now", "--forecast", "TAF", "-o"], page),
    "sheet.pdf": (["sheet", "--forecast", "TAF", "-o"], paper), "card.pdf": (["sheet", "--card", "-o"], paper), "pack.pdf": (["pack", "-o"], paper), "now.pdf": (["now", "-o"], paper),
    "sheet.csv": (["sheet", "-o"], table), "log.csv": (["log", "--csv"], table), "fleet.csv": (["fleet", "--jobs", "1", "-o"], table),
    "sheet.geojson": (["sheet", "-o"], geo), "outlook.ics": (["outlook", "--forecast", "TAF", "--ics"], calendar),
}  # fmt: skip
NAMELESS = ("sheet.csv", "fleet", "outlook-table")
"""Where the name of the deployment has no place."""


@pytest.mark.parametrize("name", OUTPUTS)
def test_nothing_that_is_written_acts(site, tmp_path, capsys, name):
    (command, *args), look = OUTPUTS[name]
    forecasts = {"CSV": next(site.parent.glob("f*.csv")), "TAF": next(site.parent.glob("t*.txt"))}
    what = site.parent if command == "fleet" else site
    out = tmp_path / f"{ACTS[:4]}[red]={name}"
    typed = [
        command,
        str(what),
        *(str(forecasts.get(a, a)) for a in args),
        *([str(out)] if look is not quiet else []),
        "--now",
        NOW,
    ]
    if command in ("check", "limit"):
        typed = typed[:-2]
    if name == "sheet.geojson":
        located = site.with_name("located.toml")
        located.write_text(
            site.read_text(encoding="utf-8").replace(
                '["site"]', '["site"]\nlatitude = 35.2\nlongitude = -111.6'
            ),
            encoding="utf-8",
        )
        typed[1] = str(located)
    main(typed)
    said, wrong = capsys.readouterr()
    assert not acting(said + wrong)
    assert "fault of the program" not in wrong
    shown = look(said) if look is quiet else look(out.read_bytes())
    if name not in NAMELESS:
        assert SEEN[:5] in "".join(shown.lower().split())


def test_what_is_refused_says_so_inertly(site, tmp_path, capsys):
    for typed in (["check", str(tmp_path / NAME)], ["check", str(site.parent / ("z" + ACTS[:8] + ".toml"))], ["fleet", str(tmp_path / ACTS[:6])], ["outlook", str(site), "--say", EVIL, "--now", NOW],
                  ["sheet", str(site), "-o", EVIL], ["log", str(site), "note", "x", "--who", "x", "--where", EVIL], ["formula", EVIL], ["sources", EVIL], ["check", str(site), "--working", EVIL],
                  ["region", str(site), "--grid", str(tmp_path / EVIL.replace("/", ""))], ["outlook", str(site), "--zone", EVIL], [EVIL], ["check", f"--{EVIL}"]):  # fmt: skip
        try:
            code = main(typed)
        except SystemExit as e:
            code = e.code
        out, wrong = capsys.readouterr()
        assert code == 2, typed
        assert out == ""
        assert wrong
        assert not acting(wrong), typed


def test_the_interface_shows_it_as_text(site):
    async def job(app, pilot):
        await settled(app, pilot)
        for key in ("alt+2", "alt+4", "alt+6", "f1"):
            await pilot.press(key)
            await pilot.pause(0.05)
            assert not acting(screen_text(app)), key
        assert app.is_running

    do(job, site, (120, 40))


def test_what_is_meant_to_be_there_stays():
    assert clean("می\u200cخواهم 👨\u200d👩\u200d👧 क्\u200dष") == "می\u200cخواهم 👨\u200d👩\u200d👧 क्\u200dष"
    assert clean("a\u200db\u200c") == "a?b?"
    assert clean("n\u0600 \u00ad\u200e\ufeff\ue000\ud800") == "n\u0600 ?????"
    assert inert("a\u3164b\u00a0c") == "a?b c"
