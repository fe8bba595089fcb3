"""Blocks as one self-contained HTML file: style and drawings inside, no script, no link, made to be printed."""

from __future__ import annotations

from html import escape

from anchorage.core.plain import clean
from anchorage.core.say import language
from anchorage.paper.blocks import (
    SIZES,
    Banner,
    Beside,
    Block,
    Break,
    Bullets,
    Document,
    Figure,
    Grid,
    Heading,
    Lines,
    Para,
)

STYLE = """\
@page { size: %(paper)s; margin: 10mm; }
* { box-sizing: border-box; }
body { font-family: "DejaVu Sans Condensed", "DejaVu Sans", Verdana, Arial, sans-serif; font-size: 10pt; line-height: 1.25; color: #000; background: #fff; margin: 0 auto; max-width: %(wide).0fmm; padding: 4mm; }
.banner { border: 3px solid #000; padding: 3mm; margin-bottom: 2mm; break-inside: avoid; }
.banner.no-go { border-width: 6px; background: #ddd; } .banner.unknown { border-width: 5px; border-style: dashed; }
.banner h1 { font-size: 20pt; line-height: 1.1; margin: 0 0 1mm 0; } .banner p { margin: 0.5mm 0; }
h2 { font-size: 10.5pt; border-bottom: 1.5px solid #000; margin: 2.5mm 0 1mm 0; break-after: avoid; }
p { margin: 0.6mm 0; } ul, ol { margin: 0.5mm 0; padding-left: 5mm; } ul.box { list-style: "☐  "; } li { break-inside: avoid; }
table { border-collapse: collapse; width: 100%%; margin: 1mm 0; } td, th { border: 1px solid #000; padding: 0.4mm 1.2mm; vertical-align: top; text-align: left; }
th { background: #e4e4e4; white-space: pre-line; } tr { break-inside: avoid; } .r { text-align: right; } .c { text-align: center; } .tall td { height: 9mm; } .big td { height: 14mm; } .tight { white-space: nowrap; }
td.apart, th.apart { border-left: 4px solid #000; } td.shaded { background: #e4e4e4; } .close td { padding-top: 0; padding-bottom: 0; }
.beside { display: flex; gap: 4mm; } .beside > div { min-width: 0; } .many { columns: 2; column-gap: 5mm; } .three { columns: 3; column-gap: 4mm; }
figure { margin: 1mm 0; break-inside: avoid; text-align: center; } figure svg { max-width: 100%%; height: auto; } figcaption { font-size: 85%%; text-align: left; }
pre { font-family: inherit; white-space: pre-wrap; margin: 0; } footer { border-top: 1px solid #000; margin-top: 3mm; font-size: 8pt; }
.part { break-before: page; }
@media screen and (max-width: 700px) { .beside { display: block; } .many, .three { columns: 1; } table { font-size: 90%%; } }
"""


def _text(text: str) -> str:
    return escape(clean(text), quote=True)


def _head(text: str) -> str:
    return "\n".join(map(_text, text.splitlines()))


def _size(size: float) -> str:
    return "" if size == 1.0 else f' style="font-size:{size * 100:.0f}%"'


def _grid(b: Grid) -> str:
    names = {"l": "", "r": "r", "c": "c"}
    widths, apart = b.widths or (0.0,) * len(b.align), b.begins()

    def classes(i: int) -> str:
        marks = (
            names[b.align[i]],
            "tight" if not widths[i] and b.widths else "",
            "apart" if i in apart else "",
            "shaded" if i in b.shaded else "",
        )
        found = " ".join(x for x in marks if x)
        return f' class="{found}"' if found else ""

    head = "".join(f"<th{classes(i)}>{_head(t)}</th>" for i, t in enumerate(b.head))

    def cell(i: int, text: str) -> str:
        inside = f"<b>{_text(text)}</b>" if i in b.bold else _text(text)
        return f"<td{classes(i)}>{inside}</td>"

    rows = "".join("<tr>" + "".join(cell(i, t) for i, t in enumerate(row)) + "</tr>" for row in b.rows)
    tall = ' class="tall"' if b.tall else ' class="big"' if b.big else ' class="close"' if b.close else ""
    groups = "".join(
        f'<th class="c{" apart" if k else ""}" colspan="{n}">{_head(t)}</th>'
        for k, (t, n) in enumerate(b.over)
    )
    over = f"<tr>{groups}</tr>" if groups else ""
    top = f"<thead>{over}<tr>{head}</tr></thead>" if b.head else ""
    return f"<table{tall}{_size(b.size)}>{top}<tbody>{rows}</tbody></table>"


def _block(b: Block) -> str:
    match b:
        case Banner():
            under = "".join(f'<p dir="auto">{_text(t)}</p>' for t in b.under if t)
            return f'<div class="banner {b.tone}"><h1 dir="auto">{_text(b.text)}</h1>{under}</div>'
        case Heading():
            return f"<h2>{_text(b.text)}</h2>"
        case Para():
            body = f"<b>{_text(b.text)}</b>" if b.bold else _text(b.text)
            return f"<p{_size(b.size)}>{body}</p>"
        case Bullets():
            kind = " ".join(x for x in ("box" if b.box else "", "many" if b.columns > 1 else "") if x)
            items = "".join(f"<li>{_text(t)}</li>" for t in b.items)
            tag = "ol" if b.numbered else "ul"
            return f'<{tag} class="{kind}"{_size(b.size)}>{items}</{tag}>'
        case Grid():
            return _grid(b)
        case Lines():
            items = "".join(f"<pre>{_text(t)}</pre>" for t in b.lines)
            many = "many" if b.columns > 1 else "one"
            return f'<div class="{many}"{_size(b.size)}>{items}</div>'
        case Figure():
            caption = f"<figcaption>{_text(b.caption)}</figcaption>" if b.caption else ""
            return f"<figure>{b.svg}{caption}</figure>"
        case Beside():
            inside = [(w, "".join(map(_block, c))) for c, w in zip(b.columns, b.shares, strict=True)]
            columns = "".join(f'<div style="flex:{w:g}">{c}</div>' for w, c in inside)
            return f'<div class="beside">{columns}</div>'
        case Break(soft=True):
            return ""
        case Break():
            return '<div class="part"></div>'


def html(document: Document) -> str:
    """The document as one HTML file."""
    wide = SIZES[document.paper][0]
    style = STYLE % {"paper": {"letter": "Letter", "a4": "A4"}[document.paper], "wide": wide}
    body = "\n".join(map(_block, document.blocks))
    foot, said = document.last_line, language()
    return (
        f'<!DOCTYPE html>\n<html lang="{said}">\n<head>\n<meta charset="utf-8">\n<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta name="description" content="{_text(document.about)}">\n<title>{_text(document.title)}</title>\n<style>\n{style}</style>\n</head>\n'
        f"<body>\n{body}\n<footer>{_text(foot)}</footer>\n</body>\n</html>\n"
    )
