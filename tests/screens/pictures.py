"""Draw the pictures of the README from the built-in demo: ``python tests/screens/pictures.py``."""

import asyncio
import os
import re
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE.parent)]

import typst  # noqa: E402 - after the path
from tui_kit import demo_file, running, settled  # noqa: E402 - the same

from anchorage.cli.entry import main as anchorage  # noqa: E402 - the same
from anchorage.paper import pdf  # noqa: E402 - the same


async def _first_screen(path: Path) -> str:
    async with running(path, (100, 30), deep=True, looking=True) as (app, pilot):
        await settled(app, pilot, deep=True)
        app.cursor_blink = False
        await pilot.pause(0.3)
        return app.export_screenshot(title="anchorage tui")


def _without_fetching(svg: str) -> str:
    """A picture fetches nothing: the reader's own monospaced face."""
    svg = re.sub(r"@font-face\s*\{[^}]*\}", "", svg)
    return re.sub(r"font-family: [^;]+;", "font-family: monospace;", svg)


def _sheet(folder: Path) -> bytes:
    """Page 1 of the sheet, 110 dots to the inch."""
    set_, seen = pdf._compile, []

    def kept(press, document, pages):
        seen.append((document, pages))
        return set_(press, document, pages)

    pdf._compile = kept
    anchorage(["sheet", str(folder / "deployment.toml"), "-o", str(folder / "sheet.pdf")])
    pdf._compile = set_
    pages = typst.compile(
        str(pdf.HERE / "page.typ"), root=str(pdf.HERE), sys_inputs={"data": pdf._inputs(*seen[-1])}, format="png",
        ppi=110, font_paths=[str(pdf.FONTS)], ignore_system_fonts=True,
    )  # fmt: skip
    return pages[0] if isinstance(pages, list) else pages


def main() -> None:
    with tempfile.TemporaryDirectory() as t:
        os.environ["ANCHORAGE_STATE"] = str(Path(t) / "state")
        path = demo_file(Path(t))
        path = path.rename(path.with_name("deployment.toml"))
        (HERE / "first-screen.svg").write_text(
            _without_fetching(asyncio.run(_first_screen(path))), encoding="utf-8"
        )
        (HERE / "sheet.png").write_bytes(_sheet(path.parent))


if __name__ == "__main__":
    main()
