"""In a real browser of this machine: the address, the page, and every key under a gloved finger. Skipped, and said, where there is none."""

import itertools
import re
import shutil
import time

import pytest
from web_kit import server

from tui import keys

pytest.importorskip("textual_serve")
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser", "google-chrome"))), None)
FINGER = 44
"""Pixels that a gloved finger hits (the least size of a target by the usual guidance for touch)."""
SCREENS = ({"width": 1024, "height": 768}, {"width": 800, "height": 480})
"""A tablet, and a small one."""


@pytest.fixture(scope="module")
def browser():
    """A browser of this machine, driven; skipped, and said, where there is none."""
    if CHROMIUM is None:
        pytest.skip("no real browser on this machine: apt-get install chromium")
    playwright = pytest.importorskip(
        "playwright.sync_api", reason="no driver for a browser: pip install playwright"
    )
    with playwright.sync_playwright() as p:
        try:
            found = p.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        except playwright.Error as e:
            pytest.skip(f"the browser does not start here: {str(e)[:200]}")
        yield found
        found.close()


def words_of(frames):
    """What was drawn, by what was sent to the terminal."""
    raw = b"".join(f if isinstance(f, bytes) else f.encode() for f in frames)
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", raw.decode("utf-8", "replace"))


def waited(page, true):
    end = time.monotonic() + 30
    while not true():
        assert time.monotonic() < end, "waited in vain"
        page.wait_for_timeout(50)


def hit(boxes, size):
    """Each button is large enough for a gloved finger, within the page, and on no other."""
    for word, b in boxes:
        assert min(b["width"], b["height"]) >= FINGER, word
        assert b["x"] >= 0, word
        assert b["x"] + b["width"] <= size["width"], word
    for (word, a), (other, b) in itertools.combinations(boxes, 2):
        beside = a["x"] + a["width"] <= b["x"] or b["x"] + b["width"] <= a["x"]
        assert beside or a["y"] + a["height"] <= b["y"] or b["y"] + b["height"] <= a["y"], (
            f"{word} and {other}"
        )


def boxes_of(page):
    """(what stands on it, where it is) of every button that is shown, in one look."""
    found = page.evaluate(
        "() => [...document.querySelectorAll('#keys button')].filter((b) => b.offsetParent)"
        ".map((b) => { const r = b.getBoundingClientRect(); return [b.innerText, r.x, r.y, r.width, r.height]; })"
    )
    return [(word, {"x": x, "y": y, "width": w, "height": h}) for word, x, y, w, h in found]


def test_a_gloved_finger_reaches_every_key_in_a_real_browser(browser, tmp_path):
    asked, frames, wrong = [], [], []
    with (
        server(tmp_path) as (address, _),
        browser.new_context(viewport=SCREENS[0], has_touch=True) as context,
    ):
        page = context.new_page()
        page.on("request", lambda r: asked.append(r.url))
        page.on("pageerror", lambda e: wrong.append(str(e)))
        page.on(
            "websocket",
            lambda w: w.on("framereceived", lambda f: frames.append(f)),  # noqa: PLW0108 - it is written upon
        )
        page.goto(address)
        page.wait_for_selector("body.-first-byte", timeout=30_000)
        waited(page, lambda: "sandbags" in words_of(frames))
        assert "token" not in page.url
        assert page.evaluate("document.cookie") == "", "no script reads it"
        base = address.partition("?")[0]
        assert all(url.startswith(base) for url in asked), "nothing is fetched elsewhere"
        for size in SCREENS:
            page.set_viewport_size(size)
            hit(boxes_of(page), size)
            terminal, bar = (page.query_selector(i).bounding_box() for i in ("#terminal", "#keys"))
            assert terminal["y"] + terminal["height"] <= bar["y"] + 1, "no key lies over what is read"
            assert terminal["height"] >= 0.55 * size["height"]
        page.set_viewport_size(SCREENS[0])
        page.wait_for_timeout(300)
        frames.clear()
        page.tap("#keys button:text-is('Gusts')")
        waited(page, lambda: "Outer ring" in words_of(frames))
        page.tap("#keys button:text-is('every key')")
        for size in SCREENS:
            page.set_viewport_size(size)
            shown = boxes_of(page)
            assert {a.word for a in keys.ACTIONS} <= {word for word, _ in shown}
            hit(shown, size)
        frames.clear()
        page.tap("#keys button:text-is('reading')")
        waited(page, lambda: "reading" in words_of(frames).lower())
    assert wrong == []
