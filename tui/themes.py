"""Two themes of our own, each with a contrast of at least 7 to 1: ``sun`` for daylight, ``night`` for dark-adapted eyes."""

from __future__ import annotations

from textual.theme import Theme

_SUN = {
    "ink": "#000000",
    "paper": "#ffffff",
    "bad": "#7a0000",
    "good": "#003d12",
    "warn": "#4a3000",
    "accent": "#00258a",
}
_NIGHT = {
    "ink": "#ffb347",
    "paper": "#000000",
    "bad": "#ff8f80",
    "good": "#b6cf8a",
    "warn": "#ffd24d",
    "accent": "#ffc87a",
}


def _theme(name: str, c: dict[str, str], *, dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=c["accent"], secondary=c["accent"], accent=c["accent"], foreground=c["ink"], background=c["paper"],
        surface=c["paper"], panel=c["paper"], boost=c["paper"], success=c["good"], warning=c["warn"], error=c["bad"],
        dark=dark, luminosity_spread=0.0, text_alpha=1.0,
        variables={
            "foreground-muted": c["ink"], "foreground-disabled": c["ink"],
            "text": c["ink"], "text-muted": c["ink"], "text-disabled": c["ink"],
            "text-primary": c["accent"], "text-secondary": c["accent"], "text-accent": c["accent"],
            "text-success": c["good"], "text-warning": c["warn"], "text-error": c["bad"],
            "border": c["ink"], "border-blurred": c["ink"],
            "block-cursor-foreground": c["paper"], "block-cursor-background": c["ink"], "block-cursor-text-style": "bold",
            "block-cursor-blurred-foreground": c["ink"], "block-cursor-blurred-background": c["paper"],
            "block-cursor-blurred-text-style": "underline", "block-hover-background": c["paper"],
            "input-cursor-foreground": c["paper"], "input-cursor-background": c["ink"],
            "input-selection-foreground": c["paper"], "input-selection-background": c["accent"],
            "scrollbar": c["ink"], "scrollbar-background": c["paper"], "scrollbar-hover": c["accent"],
            "scrollbar-active": c["accent"], "scrollbar-corner-color": c["paper"],
            "scrollbar-background-hover": c["paper"], "scrollbar-background-active": c["paper"],
            "footer-foreground": c["ink"], "footer-background": c["paper"], "footer-key-foreground": c["ink"],
            "footer-key-background": c["paper"], "footer-description-foreground": c["ink"],
            "button-foreground": c["ink"], "button-color-foreground": c["paper"], "button-focus-text-style": "bold reverse",
        },
    )  # fmt: skip


SUN = _theme("sun", _SUN, dark=False)
NIGHT = _theme("night", _NIGHT, dark=True)
THEMES = (SUN, NIGHT)
PAIRS = {"sun": _SUN, "night": _NIGHT}
