"""A small SVG writer: shapes in mm of paper, y down, black on white, no script, no link, no colour needed."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from anchorage.core.plain import clean

FONT = "DejaVu Sans, Verdana, Arial, sans-serif"
SMALLEST = 2.83
"""mm: 8 points. No word on a drawing is smaller."""
PENS: dict[str, str] = {
    "thick": 'stroke="black" stroke-width="0.9" fill="none"',
    "line": 'stroke="black" stroke-width="0.4" fill="none"',
    "thin": 'stroke="black" stroke-width="0.2" fill="none"',
    "dash": 'stroke="black" stroke-width="0.4" stroke-dasharray="2 1.2" fill="none"',
    "dots": 'stroke="black" stroke-width="0.3" stroke-dasharray="0.4 1" fill="none"',
    "ridge": 'stroke="black" stroke-width="0.25" stroke-dasharray="4 1 0.6 1" fill="none"',
    "white": 'stroke="white" stroke-width="1.6" fill="none"',
    "halo": 'stroke="white" stroke-width="0.9" fill="none"',
    "solid": 'stroke="black" stroke-width="0.3" fill="black"',
    "open": 'stroke="black" stroke-width="0.5" fill="white"',
    "grey": 'stroke="black" stroke-width="0.3" fill="#bbbbbb"',
    "light": 'stroke="black" stroke-width="0.3" fill="#e4e4e4"',
    "dark": 'stroke="black" stroke-width="0.3" fill="#777777"',
    "blank": 'stroke="none" fill="white"',
    "ground": 'stroke="none" fill="#d8d8d8"',
}
"""Attributes of each pen, by name."""


class Canvas:
    """Shapes on a sheet of so many mm."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.parts: list[str] = []

    def line(self, x1: float, y1: float, x2: float, y2: float, pen: str = "line") -> None:
        """A straight line."""
        self.parts.append(f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" {PENS[pen]}/>')

    def poly(self, points: Sequence[tuple[float, float]], pen: str = "line", *, closed: bool = True) -> None:
        """A polygon, or a line with corners."""
        at = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
        self.parts.append(f'<{"polygon" if closed else "polyline"} points="{at}" {PENS[pen]}/>')

    def box(self, x: float, y: float, w: float, h: float, pen: str = "open") -> None:
        """A rectangle by its upper left corner."""
        self.parts.append(
            f'<rect x="{x:.2f}" y="{y:.2f}" width="{max(w, 0):.2f}" height="{max(h, 0):.2f}" {PENS[pen]}/>'
        )

    def circle(self, x: float, y: float, r: float, pen: str = "open") -> None:
        """A circle."""
        self.parts.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{r:.2f}" {PENS[pen]}/>')

    def text(self, x: float, y: float, text: str, size: float = 2.8, *, anchor: str = "middle", bold: bool = False,
             turn: float = 0.0, blank: bool = False) -> None:  # fmt: skip
        """Text with its baseline at y; anchor: start, middle or end; turn: degrees clockwise about (x, y).

        blank: on white, so that no line runs through it.
        """
        size = max(size, SMALLEST)
        if blank:
            wide = len(text) * size * 0.6
            self.box(
                x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor],
                y - size * 0.85,
                wide,
                size * 1.05,
                "blank",
            )
        more = ' font-weight="bold"' if bold else ""
        more += f' transform="rotate({turn:.1f} {x:.2f} {y:.2f})"' if turn else ""
        self.parts.append(
            f'<text x="{x:.2f}" y="{y:.2f}" font-family={quoteattr(FONT)} font-size="{size:.2f}" text-anchor="{anchor}"{more}>'
            f"{escape(clean(text))}</text>"
        )

    def arrow(self, x1: float, y1: float, x2: float, y2: float, size: float = 2.5, pen: str = "line") -> None:
        """A line with a head at its end."""
        length = max(((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5, 1e-9)
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        self.line(x1, y1, x2 - ux * size * 0.8, y2 - uy * size * 0.8, pen)
        bx, by = x2 - ux * size, y2 - uy * size
        self.poly(
            [
                (x2, y2),
                (bx - uy * size * 0.4, by + ux * size * 0.4),
                (bx + uy * size * 0.4, by - ux * size * 0.4),
            ],
            "solid",
        )

    def dimension(self, x1: float, y1: float, x2: float, y2: float, text: str, size: float = 2.8) -> None:
        """A dimension line, level or upright, with ticks at its ends and its text beside it."""
        self.line(x1, y1, x2, y2, "thin")
        for x, y in ((x1, y1), (x2, y2)):
            self.line(x - 0.8, y + 0.8, x + 0.8, y - 0.8, "line")
        if abs(y2 - y1) > abs(x2 - x1):
            self.text(x1 - 0.9, (y1 + y2) / 2, text, size, turn=-90)
        else:
            self.text((x1 + x2) / 2, y1 - 0.9, text, size)

    def svg(self, title: str) -> str:
        """The whole drawing."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:.2f} {self.height:.2f}" '
            f'width="{self.width:.2f}mm" height="{self.height:.2f}mm" role="img">'
        )
        return f"{head}<title>{escape(clean(title))}</title>{''.join(self.parts)}</svg>"
