"""Good files made bad: by bytes, by words, by lines, and by the values inside."""

from __future__ import annotations

import copy
import json
import random
import re
from typing import Any

WORDS = (
    "", "nan", "NaN", "inf", "-inf", "Infinity", "1e400", "-1e400", "-0", "-0.0", "0", "-1", "-9999", "999", "1e-400", "9" * 40, "9" * 5000,
    "0x10", "1_000", "01", "1,5", "٣", "½", "true", "null", "None", "[]", "{}", "a" * 300, "é" * 90, "\x00", "\x1b[2J\x1b[31m", "\x1b]0;t\x07",
    "\x9b2J", "\u202egpj.exe", "\u2066", "\u200b", "\ufeff", "\u2028", "\x85", "\r", "[bold red]x[/]", "[@click=app.quit]x[/]", "=1+1", "@x",
    "<script>", "$x$", "%s%n", "{0}", "../../etc/passwd", "/dev/zero", "KT", "P99KT", "VRB", "/////KT", "24025G42KT", "24025KT", "FM092560",
    "0918/1024", "TEMPO", "PROB30", "RMK", "=", "#", ";", "until", "from", "gust", "35 mph", "1e9 mph", "warning", "12:60", "25:00", "0000", "noon",
    "2026-13-40T99:99:99Z", "9999-12-31T23:59:59Z", "0001-01-01T00:00:00Z", "2026-03-10T18:00:00+99:99", "PT0H", "P999D", "PT99999H",
)  # fmt: skip
"""Words that some reader somewhere may stumble over."""
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, -0.0, 1e308, -1e308, 1e-320, float("nan"), float("inf"), float("-inf"), 10**18, -(10**18), 10**400, -9999, 999,
    "", "nan", "1e400", "x" * 300, "\x1b[2J", "\u202e", "\x00", "\ud800", "=1+1", "[red]", [], {}, [[]], [None], {"": None}, {"value": None}, [1e400, "x"],
)  # fmt: skip
TOML = (
    '""', "nan", "inf", "-inf", "1e400", "-0", "-1", "0", "9" * 40, "9" * 5000, "true", "false", "[]", "{}", "[[]]", '["620 lbf"]', "[1, 'x']",
    "2026-01-01", "07:32:00", "2026-01-01T00:00:00Z", '"nan"', '"1e400 mph"', '"-1 m"', '"0 m"', '"1e-9 mph"', '"9e99 m"', '"190 ft"', '"\\u001b[2J"',
    '"\\u202e"', '"\\u0000"', "'[bold red]x'", '"' + "a" * 300 + '"', '"""\n\n"""', "{ a.b.c = 1 }", '{ value = "1 m" }', '"dry"', '"ice"', '"own"', '"../x.toml"',
    '"ballast"', '"stakes"', '"locked"', "1", "0.5", "360", "100000", '"20 mph"', '"0 mph"', '"5 psf"', '"30 kg"', '"18:00"', '"45 min"',
)  # fmt: skip
BITS = (
    b"\x00", b"\x1b[2J", b"\xe2\x80\xae", b"\xff\xfe", b"\xed\xa0\x80", b"\xef\xbb\xbf", b"{", b"}", b"[", b"]", b'"', b"'", b"\\", b"\\u", b",", b":", b"=", b"#",
    b"\n", b"\r\n", b"\t", b"null", b"NaN", b"-9999", b"1e400", b"9" * 40, b"/", b"KT", b"-", b"+", b"[[", b"]]", b"." * 40,
)  # fmt: skip
_TOKEN = re.compile(r"\s+|[,:;=\[\]{}\"']|[^\s,:;=\[\]{}\"']+")
_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def by_bytes(raw: bytes, rng: random.Random, other: bytes) -> bytes:
    """Some bytes changed, left out, doubled, put in, cut off, or from another file."""
    data = bytearray(raw)
    for _ in range(rng.choice((1, 1, 1, 2, 3, 6))):
        i = rng.randrange(len(data) + 1)
        match rng.randrange(8):
            case 0:
                data[i : i + 1] = bytes([rng.randrange(256)])
            case 1:
                del data[i : i + rng.choice((1, 2, 5, 30, 200))]
            case 2:
                j = rng.randrange(len(data) + 1)
                data[i:i] = data[j : j + rng.randrange(1, 60)]
            case 3:
                data[i:i] = rng.choice(BITS)
            case 4:
                data[i : i + 1] = rng.choice(BITS)
            case 5:
                j = rng.randrange(len(other) + 1)
                data[i : i + rng.randrange(60)] = other[j : j + rng.randrange(1, 60)]
            case 6:
                if i < len(data):
                    data[i] ^= 1 << rng.randrange(8)
            case 7:
                del data[i:]
    return bytes(data)


def by_words(raw: bytes, rng: random.Random, other: bytes) -> bytes:
    """Some words changed for others, for hostile ones, or with other figures in them."""
    words = _TOKEN.findall(raw.decode("utf-8", "replace"))
    strange = _TOKEN.findall(other.decode("utf-8", "replace")) or [""]
    for _ in range(rng.choice((1, 1, 2, 4))):
        if not words:
            break
        i = rng.randrange(len(words))
        match rng.randrange(6):
            case 0:
                words[i] = rng.choice(WORDS)
            case 1:
                words[i] = _NUMBER.sub(lambda m: _figure(m[0], rng), words[i])
            case 2:
                del words[i]
            case 3:
                words.insert(i, rng.choice(WORDS))
            case 4:
                words[i] = rng.choice(strange)
            case 5:
                j = rng.randrange(len(words))
                words[i], words[j] = words[j], words[i]
    return encoded("".join(words), rng)


def by_lines(raw: bytes, rng: random.Random, other: bytes) -> bytes:
    """Some lines left out, doubled, moved, joined, or from another file."""
    lines = raw.decode("utf-8", "replace").split("\n")
    strange = other.decode("utf-8", "replace").split("\n")
    for _ in range(rng.choice((1, 1, 2, 4))):
        i = rng.randrange(len(lines))
        match rng.randrange(6):
            case 0 if len(lines) > 1:
                del lines[i]
            case 1:
                lines.insert(i, lines[rng.randrange(len(lines))])
            case 2:
                j = rng.randrange(len(lines))
                lines[i], lines[j] = lines[j], lines[i]
            case 3:
                lines.insert(i, rng.choice(strange))
            case 4:
                lines[i] = lines[i][: rng.randrange(len(lines[i]) + 1)]
            case _:
                lines[i] += rng.choice((" ", ",", ";", "\t", "")) + rng.choice(WORDS)
    return encoded("\n".join(lines), rng)


def by_toml(raw: bytes, rng: random.Random, other: bytes) -> bytes:
    """Values and keys of lines ``key = value`` changed."""
    lines = raw.decode("utf-8", "replace").split("\n")
    keyed = [i for i, line in enumerate(lines) if "=" in line]
    strange = [
        line for line in other.decode("utf-8", "replace").split("\n") if "=" in line or line[:1] == "["
    ]
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        i = rng.choice(keyed) if keyed else 0
        key, _, value = lines[i].partition("=")
        match rng.randrange(6):
            case 0 | 1 | 2:
                lines[i] = f"{key}= {rng.choice(TOML)}"
            case 3:
                lines[i] = f"{key}={_NUMBER.sub(lambda m: _figure(m[0], rng), value)}"
            case 4:
                name = rng.choice(
                    (
                        key.strip() + "x",
                        rng.choice(("a.b", '"\\n"', '""', "use", "name", "." * 300, "a" * 3000)),
                    )
                )
                lines[i] = f"{name} = {value}"
            case 5:
                lines.insert(i, rng.choice(strange) if strange else "x = 1")
    return encoded("\n".join(lines), rng)


def _figure(text: str, rng: random.Random) -> str:
    return rng.choice((text + "0", text[:-1], "-" + text, text + ".5", "0", str(rng.randrange(100)), "9" * len(text), str(rng.randrange(10**6))))  # fmt: skip


def by_json(raw: bytes, rng: random.Random, other: bytes) -> bytes:
    """Values of a JSON document changed in kind and size, left out, doubled, or put elsewhere."""
    try:
        data = json.loads(raw)
    except (ValueError, RecursionError):
        return by_bytes(raw, rng, other)
    try:
        for _ in range(rng.choice((1, 1, 1, 2, 4))):
            data = _changed(data, rng)
    except RecursionError:
        return by_bytes(raw, rng, other)
    text = json.dumps(data, ensure_ascii=rng.random() < 0.5)
    if rng.random() < 0.05:
        text = text.replace("1", "9" * rng.choice((20, 400, 5000)), 1)
    if rng.random() < 0.03:
        deep = rng.choice((30, 2000))
        text = text.replace("null", "[" * deep + "]" * deep, 1)
    return encoded(text, rng)


def places(data: Any, above: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in nested lists and objects."""
    out = [above] if above else []
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for k, v in inside:
        out += places(v, (*above, k))
    return out


def _changed(data: Any, rng: random.Random) -> Any:
    every = places(data)
    if not every or rng.random() < 0.01:
        return copy.deepcopy(rng.choice(VALUES))
    *path, last = rng.choice(every)
    holder = data
    for step in path:
        holder = holder[step]
    match rng.randrange(6):
        case 0 | 1:
            holder[last] = copy.deepcopy(rng.choice(VALUES))
        case 2:
            del holder[last]
        case 3:
            value = holder[last]
            holder[last] = _NUMBER.sub(lambda m: _figure(m[0], rng), value) if isinstance(value, str) else [value] if rng.random() < 0.3 else rng.choice(WORDS)  # fmt: skip
        case 4 if isinstance(holder, list):
            holder.insert(rng.randrange(len(holder) + 1), holder[last])
        case _:
            value = data
            for step in rng.choice(every):
                value = value[step]
            holder[last] = copy.deepcopy(value)
    return data


def encoded(text: str, rng: random.Random) -> bytes:
    """Text as bytes; now and then in an encoding that is not asked for."""
    if rng.random() < 0.98:
        return text.encode("utf-8", "surrogatepass")
    return text.encode(rng.choice(("utf-16", "utf-32", "latin-1", "utf-8-sig", "cp1252")), "replace")


WAYS = {"bytes": (by_bytes,), "text": (by_words, by_words, by_lines, by_bytes), "json": (by_json, by_json, by_json, by_words, by_bytes),
        "toml": (by_toml, by_toml, by_toml, by_words, by_lines, by_bytes)}  # fmt: skip
MOST = 400_000
"""Bytes of a case."""


def mutated(raw: bytes, kind: str, rng: random.Random, other: bytes) -> bytes:
    """A case from a good file: one way of harm, sometimes a second on top."""
    for _ in range(1 if rng.random() < 0.8 else 2):
        raw = rng.choice(WAYS[kind])(raw, rng, other)[:MOST]
    return raw
