"""A language twice as long as English, made of the template when it is wanted: what is cut, or decided on words, shows in it."""

import io

import catalogue
from babel.messages.mofile import write_mo

from anchorage.core import say as words

PSEUDO = "qq"
LETTERS = str.maketrans("aeiouyAEIOUcn", "áéíóúÿÁÉÍÓÚçñ")


def stretched(text):
    """The same places and blanks, every letter with an accent, and as much again of words behind it."""
    out, depth = "", 0
    for c in text:
        depth += (c == "{") - (c == "}")
        out += c if depth else c.translate(LETTERS)
    room = len(text.strip())
    filling = " ".join("lórem ipsúm dolór sít amét"[: 3 + (room + i) % 6].strip() for i in range(0, room, 6))[
        :room
    ].strip()
    end = len(out.rstrip())
    mark = out[end - 1] if end and out[end - 1] in ".:;,!?)]" else ""
    head, tail = out[: end - len(mark)], mark + out[end:]
    return f"{head} {filling}{tail}" if len(filling) > 1 else out


OTHERS = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ",
    "абцдефгхийклмнопярстувшжызАБЦДЕФГХИЙКЛМНОПЯРСТУВШЖЫЗ",
)
"""A letter of another alphabet for each, as wide: a word in ours that is still shown stands in no message."""


def marked(text):
    """The same places and blanks, as long as before, and no letter of it one of ours."""
    out, depth = "", 0
    for c in text:
        depth += (c == "{") - (c == "}")
        out += c if depth else c.translate(OTHERS)
    return out.replace("%%", "%")


def speak_at_length(monkeypatch, folder):
    """A language twice as long, beside those that there are."""
    return _speak(monkeypatch, folder, stretched)


def speak_marked(monkeypatch, folder):
    """A language that shares no letter with what is typed, with codes and with units."""
    return _speak(monkeypatch, folder, marked)


def _speak(monkeypatch, folder, how):
    from babel.messages.pofile import read_po

    with catalogue.TEMPLATE.open("rb") as file:
        template = read_po(file)
    made = catalogue.of_language("es")
    for m in template:
        if m.id:
            made.add(m.id, tuple(map(how, m.id)) if isinstance(m.id, tuple) else how(m.id))
    out = io.BytesIO()
    write_mo(out, made)
    at = folder / PSEUDO / "LC_MESSAGES" / "anchorage.mo"
    at.parent.mkdir(parents=True)
    at.write_bytes(out.getvalue())
    for language in catalogue.LANGUAGES:
        (folder / language).symlink_to(catalogue.TEMPLATE.parent / language)
    monkeypatch.setattr(words, "LOCALE", folder)
    for kept in (words._catalogue, words._found, words._counted, words.signs):
        kept.cache_clear()
    return PSEUDO
