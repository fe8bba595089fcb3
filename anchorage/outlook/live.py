"""The NWS gridpoint of a place over the network: identified, timed out, retried with back-off, the last good answer kept.

What was kept is used, with its age, whenever no good answer comes. Needs httpx, an extra. Times are arguments.
"""

from __future__ import annotations

import json
import os
import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from anchorage.core import folders
from anchorage.core.errors import AnchorageError
from anchorage.core.say import say
from anchorage.core.textfile import read_whole, why_not, write_whole
from anchorage.core.version import VERSION
from anchorage.outlook.clock import HOUR, iso, read_iso
from anchorage.outlook.nws_gridpoint import read_gridpoint
from anchorage.outlook.untrusted import LARGEST, decode, load_json, refuse

BASE = "https://api.weather.gov"
AGENT = f"anchorage/{VERSION} (shelter outlook; set ANCHORAGE_CONTACT to say who asks)"
TRIES = 4
TIMEOUT_S = 10.0
LONGEST_WAIT_S = 30.0
AGAIN = frozenset({408, 425, 429, 500, 502, 503, 504})
_PLACE = re.compile(r"(-?\d{1,2}(?:\.\d{1,8})?) ?, ?(-?\d{1,3}(?:\.\d{1,8})?)", re.ASCII)


class LiveError(AnchorageError):
    """No forecast came and none is kept, and what to do instead."""


class _NoAnswerError(Exception):
    """No good answer; str() says why."""


@dataclass(frozen=True)
class Live:
    """An answer as it came, or the last good one."""

    text: str
    fetched: int
    kept: bool
    """True where it is the kept one."""
    note: str


def place_of(text: str) -> tuple[float, float]:
    """``35.20,-111.65``: latitude and longitude in degrees."""
    m = _PLACE.fullmatch(text.strip())
    if m is None or abs(float(m[1])) > 90 or abs(float(m[2])) > 180:
        raise refuse(
            say("command line"), "--at", text, say("latitude and longitude in degrees, as in 35.20,-111.65")
        )
    return float(m[1]), float(m[2])


def _kept_path(folder: Path, lat: float, lon: float) -> Path:
    return folder / f"nws_{lat:.4f}_{lon:.4f}.json"


def _keep(path: Path, text: str, now: int) -> str:
    """Write whole or not at all; a folder that cannot be written to is said and harms nothing."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps({"fetched": iso(now), "body": text}).encode())
    except OSError as e:
        return say("the answer could not be kept: {why_not}", why_not=why_not(e))
    return ""


def _kept(path: Path, now: int) -> tuple[str, int] | None:
    """The last good answer, if it is still whole."""
    try:
        data = json.loads(read_whole(path, 2 * LARGEST))
        fetched = read_iso(data["fetched"], path.name, "fetched")
        text = data["body"]
        read_gridpoint(load_json(text, path.name), path.name)
    except (OSError, ValueError, KeyError, TypeError, AnchorageError, RecursionError):
        return None
    return (text, fetched) if fetched <= now + HOUR else None


def _wait(attempt: int, said: str | None) -> float:
    """Seconds before the next try: doubled each time, or what the server asks for, within reason."""
    asked = float(said) if said is not None and said.isascii() and said.isdigit() and len(said) < 6 else 0.0
    return min(max(2.0**attempt, asked), LONGEST_WAIT_S)


class _Client:
    def __init__(self, base: str, sleep: Callable[[float], None], timeout: float) -> None:
        try:
            import httpx  # noqa: PLC0415 - an extra
        except ImportError:
            raise LiveError(
                say("--at needs an HTTP client:  pip install 'shelter-anchorage[live]'")
            ) from None
        self.httpx: Any = httpx
        self.base, self.sleep = base.rstrip("/"), sleep
        agent = (
            AGENT
            if not os.environ.get("ANCHORAGE_CONTACT")
            else f"anchorage/{VERSION} ({os.environ['ANCHORAGE_CONTACT'][:100]})"
        )
        agent = agent.encode("ascii", "replace").decode()
        self.http: Any = httpx.Client(
            timeout=timeout,
            headers={"User-Agent": agent, "Accept": "application/geo+json"},
            follow_redirects=False,
        )

    def once(self, url: str) -> tuple[int, bytes, str | None, str | None]:
        with self.http.stream("GET", url) as answer:
            body = b""
            for chunk in answer.iter_bytes():
                body += chunk
                if len(body) > LARGEST:
                    raise _NoAnswerError(say("the answer is too large"))
            return answer.status_code, body, answer.headers.get("retry-after"), answer.headers.get("location")

    def ours(self, url: str) -> str:
        """Only the server that was asked; what an answer points to elsewhere is not followed."""
        a, b = urlsplit(url), urlsplit(self.base)
        if (a.scheme, a.netloc) != (b.scheme, b.netloc):
            raise _NoAnswerError(say("the answer points to another server"))
        return url

    def get(self, url: str) -> bytes:
        why = ""
        for attempt in range(TRIES):
            asked = None
            try:
                here = self.ours(url)
                for _ in range(3):
                    status, body, asked, to = self.once(here)
                    if status not in (301, 302, 307, 308) or not to:
                        break
                    here = self.ours(to if "://" in to else self.base + to)
                if status == 200:
                    return body
                why = say("the server answered {status}", status=status)
                if status == 404:
                    raise _NoAnswerError(say("the NWS has no forecast for that place"))
                if status not in AGAIN:
                    raise _NoAnswerError(why)
            except self.httpx.TimeoutException:
                why = say("the server did not answer in time")
            except self.httpx.HTTPError as e:
                why = say("no connection ({name})", name=type(e).__name__)
            if attempt < TRIES - 1:
                self.sleep(_wait(attempt, asked))
        raise _NoAnswerError(why)

    def gridpoint(self, lat: float, lon: float) -> str:
        """The text of the gridpoint answer of a place, read once to be sure that it is good."""
        where = f"{lat:.4f}".rstrip("0").rstrip("."), f"{lon:.4f}".rstrip("0").rstrip(".")
        try:
            point = load_json(decode(self.get(f"{self.base}/points/{','.join(where)}"), "points"), "points")
            properties = point.get("properties", point)
            url = properties.get("forecastGridData") if isinstance(properties, dict) else None
            if not isinstance(url, str) or len(url) > 300:
                raise _NoAnswerError(say("the answer names no gridpoint"))
            text = decode(self.get(self.ours(url)), "gridpoint")
            read_gridpoint(load_json(text, "gridpoint"), "gridpoint")
        except AnchorageError as e:
            raise _NoAnswerError(
                say("the answer is no forecast: {e}", e=str(e).splitlines()[0][:120])
            ) from None
        return text


def fetch(
    lat: float, lon: float, now: int, *, base: str = BASE, cache: Path | None = None, offline: bool = False,
    sleep: Callable[[float], None] = time.sleep, timeout: float = TIMEOUT_S,
) -> Live:  # fmt: skip
    """The forecast of a place; without a good answer the last one that was kept. now: seconds."""
    path = _kept_path(cache if cache is not None else folders.cache() / "outlook", lat, lon)
    why = say("asked to work offline")
    if not offline:
        client = _Client(base, sleep, timeout)
        try:
            text = client.gridpoint(lat, lon)
            return Live(text, now, kept=False, note=_keep(path, text, now))
        except _NoAnswerError as e:
            why = str(e)
        finally:
            client.http.close()
    found = _kept(path, now)
    if found is None:
        raise LiveError(
            say(
                "--at {lat},{lon}: {why}, and no earlier answer is kept; give --forecast FILE or --say LINE",
                lat=f"{lat:g}",
                lon=f"{lon:g}",
                why=why,
            )
        )
    text, fetched = found
    return Live(
        text,
        fetched,
        kept=True,
        note=say(
            "{why}: this is the last good answer, fetched {now} h ago",
            why=why,
            now=f"{max(now - fetched, 0) / HOUR:.1f}",
        ),
    )
