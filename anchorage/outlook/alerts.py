"""Public alerts: CAP 1.2 as XML, and the same as JSON (GeoJSON features with ``properties.event``).

Every alert of the file counts, for the place is not looked at; an alert adds danger and never gives go. A test, an
exercise and what is over count nothing; what was cancelled or replaced counts until the later message covers its whole
area. A name of an event that no list has is printed, and its hours are unknown.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple
from xml.parsers import expat

from anchorage.core import tables
from anchorage.core.errors import InputFaults
from anchorage.core.say import say
from anchorage.outlook.clock import HOUR, read_iso
from anchorage.outlook.hours import MOST_HOURS, Forecast, Span
from anchorage.outlook.remarks import Account, Harmless
from anchorage.outlook.sentences import MOST_TEXT, alert_of, plain, read_sentence
from anchorage.outlook.untrusted import DEEPEST, LARGEST, refuse

MOST = 1000
MOST_NODES = 100_000
MOST_WORDS = 20_000
"""Letters of a description; what is over it is not understood."""
STATUS = {"actual": True, "exercise": False, "system": False, "test": False, "draft": False}
"""Status of a message, and whether it is meant."""
COUNTS = {"alert": True, "update": True, "cancel": False, "ack": False, "error": False}
_CLASS = ("severity", "certainty", "urgency", "responsetype", "response", "category")
"""Keys whose values are a list of the standard."""
_HARMLESS: dict[str, Harmless] = {
    **dict.fromkeys(("areadesc", "geocode", "polygon", "circle", "altitude", "ceiling", "affectedzones", "geometry", "area", "bbox"), "place or station"),
    **dict.fromkeys(("identifier", "sender", "sendername", "source", "scope", "restriction", "addresses", "code", "note", "incidents", "language", "audience", "web",
                     "contact", "eventcode", "id", "@id", "@type", "type", "resource", "signature", "replacedby", "instruction", "links"), "filler"),
    **dict.fromkeys(("replacedat",), "times of its own"),
}  # fmt: skip
_TOP = ("@context", "type", "title", "updated", "pagination", "features", "@graph", "id")
_VTEC = re.compile(
    r"(?a)/([OTEX])\.([A-Z]{3})\.([A-Z]{4})\.([A-Z]{2})\.([A-Z])\.(\d{4})\.(\d{6}T\d{4}Z)-(\d{6}T\d{4}Z)/"
)
_ACTIONS = ("NEW", "CON", "EXT", "EXA", "EXB", "UPG", "CAN", "EXP", "COR", "ROU")
_OVER = ("CAN", "EXP", "UPG")
_MOVES = re.compile(
    r"\b(?:moving|moved|movement|move|tracking|motion)\b[^.]{0,60}?\d+ ?(?:mph|miles per hour|knots?|kts?)\b"
)
_COLD = re.compile(
    r"\b(?:sub|below|above|near)[- ]?freezing\b|\bfreezing (?:temperatures?|conditions|level)\b|\bfreezing (?=for )"
)
ENDLESS = "000000T0000Z"


@dataclass
class _Node:
    """An element: its name without its namespace, its text and what is in it."""

    name: str
    text: str = ""
    inside: list[_Node] = field(default_factory=list)

    def all(self, name: str) -> Iterator[_Node]:
        yield from (n for n in self.inside if n.name == name)


class _Info(NamedTuple):
    """What a message says of one event, by key in lower case."""

    at: str
    values: dict[str, list[str]]
    parameters: list[tuple[str, str]]
    names: Mapping[str, str] = {}
    """Keys as they are written, by key in lower case."""

    def where(self, key: str) -> str:
        return f"{self.at}.{self.names.get(key, key)}".lstrip(".")


@dataclass(frozen=True)
class _Message:
    at: str
    values: dict[str, list[str]]
    infos: tuple[_Info, ...]
    references: frozenset[str]

    def one(self, key: str) -> str:
        return next(iter(self.values.get(key, [])), "").strip()

    @property
    def area(self) -> frozenset[str]:
        """Where it is for, in the words that it uses; a message that does not say is for nowhere that is known."""
        found = [a for i in self.infos for a in (i.values.get("geocode") or i.values.get("areadesc") or [])]
        return frozenset(p.strip().lower() for a in found for p in re.split(r"[;,]", a) if p.strip())


class _Read(NamedTuple):
    start: int
    end: int
    sure: bool


def looks_cap(text: str) -> bool:
    """Whether a text is XML at all."""
    return text.lstrip("\ufeff \t\r\n").startswith("<")


def _tree(text: str, name: str) -> _Node:
    """Elements of a bounded text without a DTD, an entity or a processing instruction."""
    if len(text) > LARGEST:
        raise refuse(name, "file", say("more than 4 MB"), say("an alert is smaller"))
    top, count = _Node(""), [0]
    stack = [top]
    parser = expat.ParserCreate(encoding="UTF-8")

    def never(*_: object) -> int:
        raise refuse(
            name, "DTD", say("a document type or an entity"), say("an alert in CAP 1.2, which needs none")
        )

    def begin(tag: str, attributes: Mapping[str, str]) -> None:
        count[0] += 1
        if len(stack) > DEEPEST or count[0] > MOST_NODES:
            raise refuse(
                name,
                tag,
                say("too many elements"),
                say("at most {most_nodes} elements, {deepest} deep", most_nodes=MOST_NODES, deepest=DEEPEST),
            )
        node = _Node(tag.rpartition(":")[2])
        node.inside += [_Node(f"@{k}", v) for k, v in attributes.items() if not k.startswith("xmlns")]
        stack[-1].inside.append(node)
        stack.append(node)

    def end(_: str) -> None:
        stack.pop()

    def words(data: str) -> None:
        stack[-1].text += data

    parser.StartDoctypeDeclHandler = parser.EntityDeclHandler = parser.UnparsedEntityDeclHandler = never
    parser.ExternalEntityRefHandler = never
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = begin, end, words
    parser.buffer_text = True
    try:
        parser.Parse(text.encode(), True)
    except (expat.ExpatError, ValueError) as e:
        raise refuse(name, "XML", str(e), say("whole and well-formed XML")) from None
    return top


def _alerts(node: _Node) -> Iterator[_Node]:
    for n in node.inside:
        if n.name == "alert":
            yield n
        else:
            yield from _alerts(n)


def _outside(node: _Node) -> Iterator[str]:
    """Words that stand in no alert."""
    if node.text.strip():
        yield node.text.strip()
    for n in node.inside:
        if n.name != "alert":
            yield from _outside(n)


def _stray(n: _Node) -> list[str]:
    """Words beside the elements of an alert, where none belong."""
    return [t for x in (n, *n.all("area"), *n.all("parameter")) if (t := x.text.strip())]


def _pairs(n: _Node) -> tuple[str, str]:
    """A pair of ``valueName`` and ``value``."""
    return next((x.text for x in n.all("valueName")), ""), next((x.text for x in n.all("value")), "")


def _values(n: _Node) -> dict[str, list[str]]:
    out: dict[str, list[str]] = {"words": stray} if (stray := _stray(n)) else {}
    for x in n.inside:
        if x.name in ("geocode", "eventCode"):
            out.setdefault(x.name.lower(), []).append(" ".join(_pairs(x)))
        elif x.name == "area":
            for k, v in _values(x).items():
                out.setdefault(k, []).extend(v)
        elif x.name not in ("info", "parameter"):
            inner = " ".join(t for y in (x, *x.inside) if (t := y.text.strip()))
            out.setdefault(x.name.lower(), []).append(inner)
    return out


def read_cap(text: str, now: int, name: str = "CAP") -> Forecast:
    """Read one alert or several in XML."""
    body = text.lstrip("\ufeff \t\r\n")
    tree, a = _tree(body, name), Account()
    found = list(_alerts(tree))
    if not 0 < len(found) <= MOST:
        raise refuse(
            name,
            "alert",
            say("{found} alerts", found=len(found)),
            say("1 to {most} alerts of CAP 1.2", most=MOST),
        )
    messages = []
    for words in _outside(tree):
        a.unread(words[:200], say("beside the alerts"), now - HOUR, now + MOST_HOURS * HOUR)
    for i, n in enumerate(found, 1):
        at = "alert" if len(found) == 1 else f"alert[{i}]"
        infos = tuple(
            _Info(f"{at}.info[{k}]", _values(x), [_pairs(p) for p in x.all("parameter")])
            for k, x in enumerate(n.all("info"), 1)
        )
        values = _values(n)
        said = " ".join(values.get("references", []))
        messages.append(
            _Message(at, values, infos, frozenset(r.split(",")[1] for r in said.split() if r.count(",") >= 2))
        )
    return _read(messages, a, now, name)


def _listed(data: Mapping[str, Any]) -> tuple[list[Any], str] | None:
    for key in ("features", "@graph"):
        if isinstance(data.get(key), list):
            return data[key], key
    return None


def is_alerts(data: Mapping[str, Any]) -> bool:
    """Whether an object is an alert or a list of them; an empty list is one too."""
    many = _listed(data)
    one = many[0][:5] if many else [data]
    if many and not many[0] and data.get("type") == "FeatureCollection":
        return True
    inside = [p for x in one if isinstance(x, dict) for p in (x.get("properties", x),)]
    return any(
        isinstance(p, dict)
        and "event" in p
        and any(k in p for k in ("messageType", "msgType", "severity", "certainty", "urgency"))
        for p in inside
    )


def _flat(value: object) -> list[str]:
    if value is None:
        return []
    if isinstance(value, list):
        return [t for v in value for t in _flat(v)]
    if isinstance(value, dict):
        return [t for v in value.values() for t in _flat(v)]
    return [str(value)]


def read_alerts(data: Mapping[str, Any], now: int, name: str = "alerts") -> Forecast:
    """Read an alert, or each of a list, that is already parsed."""
    many, a = _listed(data), Account()
    if many and len(many[0]) > MOST:
        raise refuse(
            name, many[1], say("{many} alerts", many=len(many[0])), say("at most {most} alerts", most=MOST)
        )
    far = now + MOST_HOURS * HOUR
    messages = []
    for i, x in enumerate(many[0] if many else [data], 1):
        p = x.get("properties", x) if isinstance(x, dict) else None
        at = f"{many[1]}[{i}]" if many else ""
        if not isinstance(p, dict):
            a.unread(str(x)[:60], at or "alert", now - HOUR, far)
            continue
        if p is not x:
            for k, v in x.items():
                if k != "properties":
                    (
                        a.leave(str(v)[:60], f"{at}.{k}".lstrip("."), "place or station")
                        if k.lower() in _HARMLESS
                        else a.unread(str(v)[:60], f"{at}.{k}".lstrip("."), now - HOUR, far)
                    )
            at = f"{at}.properties".lstrip(".")
        values = {k.lower(): _flat(v) for k, v in p.items() if k != "parameters"}
        names = {k.lower(): k for k in p} | {"msgtype": "messageType" if "messageType" in p else "msgType"}
        values["msgtype"] = values.pop("messagetype", values.get("msgtype", []))
        given = p.get("parameters")
        parameters = (
            [(k, v) for k, each in given.items() for v in _flat(each)]
            if isinstance(given, dict)
            else [("parameters", v) for v in _flat(given)]
        )
        referred = (
            [r.get("identifier") for r in p.get("references") or [] if isinstance(r, dict)]
            if isinstance(p.get("references"), list)
            else []
        )
        own = {
            k: v for k, v in values.items() if k in ("status", "msgtype", "sent", "identifier", "id", "@id")
        }
        messages.append(
            _Message(
                at, own, (_Info(at, values, parameters, names),), frozenset(str(r) for r in referred if r)
            )
        )
    for k, v in data.items():
        if many and k in _TOP:
            a.leave("" if k == many[1] else str(v)[:60], k, "place or station")
        elif many:
            a.unread(str(v)[:60], k, now - HOUR, far)
    return _read(messages, a, now, name)


# what both say


def _time(a: Account, info: _Info, key: str, far: int, now: int) -> tuple[int | None, bool]:
    """A time of an alert, and whether it is whole where it stands."""
    said = [v for v in info.values.get(key, []) if v.strip()]
    if not said:
        return None, True
    try:
        at = read_iso(said[0].strip(), "", key)
    except InputFaults:
        a.unread(said[0], info.where(key), now - HOUR, far)
        return None, False
    a.use(said[0], info.where(key), "time")
    return at, True


def _when(a: Account, info: _Info, sent: str, now: int, far: int) -> _Read:
    """From the onset to the last end that is said; what is damaged lasts."""
    every = {k: _time(a, info, k, far, now) for k in ("onset", "effective", "sent", "ends", "expires")}
    ending = [(k, v) for k, v in info.parameters if k.lower() == "eventendingtime"]
    last = _time(
        a,
        _Info(f"{info.at}.parameter", {"eventEndingTime": [v for _, v in ending]}, []),
        "eventEndingTime",
        far,
        now,
    )
    whole = all(ok for _, ok in every.values()) and last[1]
    begins = [t for k in ("onset", "effective", "sent") if (t := every[k][0]) is not None]
    if not begins and sent:
        try:
            begins = [read_iso(sent, "", "sent")]
        except InputFaults:
            whole = False
    ends = [t for t in (every["ends"][0], every["expires"][0], last[0]) if t is not None]
    start, end = (begins[0] if begins else now - HOUR), (max(ends) if ends else far)
    if end <= start and every["onset"][0] is not None:  # it is over before it begins
        return _Read(min(start, now - HOUR), far, sure=False)
    return _Read(
        start if whole else min(start, now - HOUR),
        end if whole and ends else max(end, far),
        sure=whole and bool(ends),
    )


def _understood(m: _Message) -> bool:
    return bool(m.infos) and all(
        alert_of(next(iter(i.values.get("event", [])), "")) is not None for i in m.infos
    )


def _replaced(messages: Sequence[_Message]) -> dict[str, str]:
    """Identifiers of messages that a later one takes back or replaces, over the whole of their area."""
    known = {i: m for m in messages for k in ("identifier", "id", "@id") if (i := m.one(k))}
    out: dict[str, str] = {}
    for m in messages:
        kind = m.one("msgtype").lower()
        if (
            m.one("status").lower() != "actual"
            or kind not in ("update", "cancel")
            or (kind == "update" and not _understood(m))
        ):
            continue
        for r in m.references:
            old = known.get(r)
            if (
                old is not None
                and old is not m
                and old.area
                and old.area <= m.area
                and old.one("sent") < m.one("sent")
            ):
                out[r] = "cancelled" if kind == "cancel" else "replaced"
    return out


def _read(messages: Sequence[_Message], a: Account, now: int, name: str) -> Forecast:
    far, means = now + MOST_HOURS * HOUR, list[Span]()
    gone, sents, places = _replaced(messages), list[int](), dict[str, None]()
    for m in messages:
        status, kind = m.one("status"), m.one("msgtype")
        mine = {m.one(k) for k in ("identifier", "id", "@id")} - {""}
        over: Harmless | None = None
        if status and status.lower() not in STATUS:
            a.unread(status, f"{m.at}.status", now - HOUR, far)
        elif not STATUS.get(status.lower(), True):
            over = "test or exercise"
        if kind and kind.lower() not in COUNTS:
            a.unread(kind, f"{m.at}.msgType", now - HOUR, far)
        elif over is None and not COUNTS.get(kind.lower(), True):
            over = "cancelled or replaced"
        if over is None and mine & gone.keys():
            over = "cancelled or replaced"
        if not m.infos and over is None:
            a.unread(say("an alert without an event"), m.at, now - HOUR, far)
        for key, said in m.values.items():
            if any(m.values is i.values for i in m.infos):
                break
            for v in said:
                _field(a, f"{m.at}.{key}".lstrip("."), key, v, now, far)
        for info in m.infos:
            means += _info(a, info, m, over, now, far)
            for place in info.values.get("areadesc", [])[:1]:
                places[place[:60]] = None
        try:
            sents.append(read_iso(m.one("sent"), "", "sent"))
        except InputFaults:
            continue
    where = "; ".join(list(places)[:3]) + (" ..." if len(places) > 3 else "")
    notes = (
        say("{name}: every alert in it counts, wherever it is for: {where}", name=name, where=where)
        if messages
        else say("{name}: no alert is in it", name=name),
    )
    return Forecast(
        "alerts", name, max(sents, default=now if not messages else None), means=tuple(means), floors=tuple(a.floors), thunder=tuple(a.thunder), hazards=tuple(a.hazards),
        unmeasured=tuple(a.unmeasured), wet=tuple(a.wet), doubts=tuple(a.doubts), no_gust=say("alerts say no gust hour by hour"), notes=notes, remarks=a.close(),
    )  # fmt: skip


def _field(a: Account, where: str, key: str, v: str, start: int, end: int) -> None:
    """A key that says nothing of the danger itself, or is not known."""
    text = v[:200]
    if not text.strip():
        a.leave("", where, "filler")
    elif key in ("sent", "references", "effective", "onset", "expires", "ends"):
        a.use(text, where, "time")
    elif key in ("status", "msgtype"):
        a.use(text, where, "head")
    elif key in _CLASS:
        said = f"{key.removesuffix('type')}.{' '.join(v.lower().split())}"
        (
            a.use(text, where, "warning")
            if said in tables.codes("alert-classes")
            else a.unread(text, where, start, end)
        )
    elif key in _HARMLESS:
        a.leave(text, where, _HARMLESS[key])
    else:
        a.unread(text, where, start, end)


def _info(a: Account, info: _Info, m: _Message, over: Harmless | None, now: int, far: int) -> list[Span]:
    """One event into the account; the mean winds that its words speak of."""
    if over is not None:
        for key, said in (*info.values.items(), *((k, [v]) for k, v in info.parameters)):
            for v in said or [""]:
                a.leave(v[:200], info.where(key), over)
        return []
    start, end, whole = _when(a, info, m.one("sent"), now, far)
    vtecs = [v for k, said in info.parameters if k.lower() == "vtec" for v in [said]]
    parsed = [x.groups() for v in vtecs for x in [_VTEC.fullmatch(v.strip())] if x]
    ended = (
        bool(parsed)
        and len(parsed) == len(vtecs)
        and m.one("msgtype").lower() == "update"
        and all(p[1] in _OVER[:2] for p in parsed)
    )
    if (whole and end <= now) or ended:
        for key, said in (*info.values.items(), *((k, [v]) for k, v in info.parameters)):
            for v in said or [""]:
                a.leave(v[:200], info.where(key), "past")
        return []
    for key, said in info.values.items():
        if key in ("event", "description", "headline", "onset", "effective", "ends", "expires", "sent"):
            continue
        for v in said or [""]:
            _field(a, info.where(key), key, v, start, end)
    events = [e for e in info.values.get("event", []) if e.strip()]
    if not events:
        a.unread(say("an alert that names no event"), info.where("event"), start, end)
    for event in events:
        found = alert_of(event)
        if found is None and " ".join(event.lower().split()) in tables.codes("alert-tests"):
            a.leave(event, info.where("event"), "test or exercise")
        elif found is None:
            a.unread(event, info.where("event"), start, end)
        else:
            a.use(event, info.where("event"), "warning")
            a.danger(found.danger, found.degree, start, end, say("official {found}", found=found.name))
    for v in info.values.get("headline", []):
        a.use(v[:300], info.where("headline"), "head")
        for d in read_sentence(v, printed=True).dangers:
            if d.degree != "said":
                a.danger(d.kinds, d.degree, start, end, d.words)
    out = _words(a, info, start, end)
    _parameters(a, info, parsed, start, end)
    return out


def _words(a: Account, info: _Info, start: int, end: int) -> list[Span]:
    """Dangers and winds of the description: a word that no list has is no danger here, for the event has its name."""
    out = []
    for v in info.values.get("description", []):
        a.use(v[:2000], info.where("description"), "weather")
        for sentence in re.split(r"(?<!\d)\.|\.(?!\d)|\n\s*\n|\*", v[:MOST_WORDS]):
            if len(sentence) > MOST_TEXT:
                a.unread(sentence[MOST_TEXT:], info.where("description"), start, end)
            text = _COLD.sub(" ", _MOVES.sub(" ", plain(sentence)))
            found = read_sentence(text, printed=True)
            for d in found.dangers:
                a.danger(d.kinds, d.degree, start, end, d.words, light=d.light)
            for f in found.figures:
                if f.what == "gust":
                    a.floors.append(Span(start, end, f.value, None, f.text))
                elif f.what == "wind":
                    out.append(Span(start, end, f.value, None, f.text))
        if len(v) > MOST_WORDS:
            a.unread(v[MOST_WORDS:], info.where("description"), start, end)
    return out


def _parameters(a: Account, info: _Info, vtecs: Sequence[tuple[str, ...]], start: int, end: int) -> None:
    listed = tables.codes("alert-parameters")
    read = 0
    for key, v in info.parameters:
        at, code = f"{info.at}.parameters.{key}", listed.get(key.lower())
        if code is None:
            a.unread(f"{key} {v}"[:200], at, start, end)
        elif key.lower() == "vtec":
            if _VTEC.fullmatch(v.strip()) is None:
                a.unread(v[:100], at, start, end)
                continue
            kind, action, _, phenomenon, significance, _, _, until = vtecs[read]
            read += 1
            if action not in _ACTIONS:
                a.unread(v[:100], at, start, end)
            elif kind == "T" or action in _OVER:
                a.leave(f"{key} {v}", at, "test or exercise" if kind == "T" else "cancelled or replaced")
            else:
                a.use(f"{key} {v}", at, "warning")
                a.warning(
                    phenomenon,
                    significance,
                    start,
                    start + MOST_HOURS * HOUR if until == ENDLESS else end,
                    at,
                )
        elif key.lower() in ("maxwindgust", "windgust"):
            found = read_sentence(f"gust {v}")
            for f in found.figures:
                a.floors.append(Span(start, end, f.value, None, say("gust {v}", v=v)))
            (
                a.use(f"{key} {v}"[:200], at, "gust")
                if found.figures or not v.strip()
                else a.unread(v[:100], at, start, end)
            )
        elif code.danger:
            a.use(f"{key} {v}"[:200], at, "warning")
            a.danger(
                code.danger,
                "A" if "possible" in v.lower() else "said",
                start,
                end,
                f"{say(code.means)}: {v[:40].lower()}",
            )
        else:
            a.leave(f"{key} {v}"[:200], at, "filler")
