"""The file: a ZIP of a closed list of members, stored as they are, in one order, with one date. One case has one row of bytes.

So a byte that was changed anywhere shows: in a member by its hash, outside of them since the file made anew is another.
Nothing is ever unpacked by the names in it.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import struct
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any

from anchorage.core.plain import inert
from anchorage.core.say import later

MANIFEST = "manifest.json"
KIND = "anchorage-bundle"
LARGEST = 64_000_000
"""Bytes of a bundle; all of its members are stored as they are, so none is larger."""
MEMBERS = re.compile(
    r"deployment\.toml|shelter\.toml|record\.db|record\.json|plan\.json|outlook\.json|forecasts/[1-9][0-9]?|tables/[A-Za-z0-9_]{1,60}\.toml"
    r"|pages/(?:check\.txt|outlook\.txt|now\.txt|sheet\.html|sheet\.pdf)"
)
"""Every name that a member may have beside the manifest."""
NEEDED = frozenset({"deployment.toml", "plan.json", "pages/check.txt"})
DATE = (1980, 1, 1, 0, 0, 0)


class Fault(Enum):
    """What is wrong with a bundle."""

    NO_ZIP = later("it is no bundle, or what holds it together was changed")
    TOO_LARGE = later("it is larger than any bundle")
    FOREIGN = later("there is something in it that no bundle has")
    TWICE = later("there is something in it twice")
    PACKED = later("something in it is compressed or locked, which nothing in a bundle is")
    MISSING = later("something is gone from it")
    MANIFEST = later("its list of contents cannot be read")
    CHANGED = later("it was changed after the bundle was made")
    OUTSIDE = later("bytes outside of its contents were changed")
    SEAL = later("it is not the bundle that this seal was printed for")


@dataclass(frozen=True)
class Found:
    """A fault, and in which member."""

    fault: Fault
    where: str = ""

    @property
    def words(self) -> str:
        """For people."""
        return f"{inert(self.where)[:80]}: {self.fault.value}" if self.where else self.fault.value


@dataclass(frozen=True)
class Case:
    """A bundle that was read."""

    members: Mapping[str, bytes]
    manifest: Mapping[str, Any]
    faults: tuple[Found, ...] = ()
    seal: str = ""
    """First digits of the SHA-256 of the list of contents, which has that of every member."""

    @property
    def readable(self) -> bool:
        """Whether it can be judged again at all."""
        return bool(self.manifest) and self.members.keys() >= NEEDED


def digest(raw: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(raw).hexdigest()


def manifest_of(members: Mapping[str, bytes], about: Mapping[str, Any]) -> bytes:
    """The list of contents: what it is about, and the hash of every member."""
    data = {"schema": 1, "kind": KIND, **about, "members": {k: digest(members[k]) for k in sorted(members)}}
    return (json.dumps(data, indent=2, sort_keys=True, allow_nan=False) + "\n").encode("ascii")


def zipped(manifest: bytes, members: Mapping[str, bytes]) -> bytes:
    """The file. The same contents give the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as z:
        for name, raw in [(MANIFEST, manifest), *sorted(members.items())]:
            info = zipfile.ZipInfo(name, DATE)
            info.create_system, info.external_attr = 3, 0o600 << 16
            z.writestr(info, raw)
    return out.getvalue()


def seal_of(manifest: bytes) -> str:
    """What is written down on paper when a bundle is made."""
    return digest(manifest)[:12]


def opened(raw: bytes, seal: str | None = None) -> Case:
    """Read a bundle, and say everything that is wrong with it. seal: as it was printed when it was made."""
    if len(raw) > LARGEST:
        return Case({}, {}, (Found(Fault.TOO_LARGE),))
    try:
        members, faults = _members(raw)
    except (
        zipfile.BadZipFile,
        zipfile.LargeZipFile,
        OSError,
        ValueError,
        EOFError,
        NotImplementedError,
        RuntimeError,
        struct.error,
        KeyError,
    ):
        return Case({}, {}, (Found(Fault.NO_ZIP),))
    listed = members.pop(MANIFEST, None)
    manifest = {} if listed is None else _manifest(listed)
    if not manifest:
        return Case(members, {}, (*faults, Found(Fault.MANIFEST)))
    said = manifest["members"]
    faults += [Found(Fault.MISSING, k) for k in sorted({*said, *NEEDED} - members.keys())]
    faults += [Found(Fault.FOREIGN, k) for k in sorted(members.keys() - said.keys())]
    faults += [
        Found(Fault.CHANGED, k) for k in sorted(members.keys() & said.keys()) if digest(members[k]) != said[k]
    ]
    if not faults and zipped(listed or b"", members) != raw:
        faults.append(Found(Fault.OUTSIDE))
    mine = seal_of(listed or b"")
    if seal is not None and (len(seal) < 8 or not digest(listed or b"").startswith(seal.lower())):
        faults.append(Found(Fault.SEAL))
    return Case(members, manifest, tuple(faults), mine)


def _members(raw: bytes) -> tuple[dict[str, bytes], list[Found]]:
    """The members that a bundle may have, none unpacked to any place; what else there is."""
    members, faults = dict[str, bytes](), list[Found]()
    with zipfile.ZipFile(io.BytesIO(raw)) as z:
        for info in z.infolist():
            name = info.filename
            if name != MANIFEST and not MEMBERS.fullmatch(name):
                faults.append(Found(Fault.FOREIGN, name))
            elif name in members:
                faults.append(Found(Fault.TWICE, name))
            elif (
                info.compress_type != zipfile.ZIP_STORED
                or info.flag_bits & 0x1
                or info.file_size != info.compress_size
            ):
                faults.append(Found(Fault.PACKED, name))
            elif info.file_size > len(raw):
                faults.append(Found(Fault.TOO_LARGE, name))
            else:
                try:
                    with z.open(info) as f:
                        members[name] = f.read(info.file_size + 1)
                except (
                    zipfile.BadZipFile,
                    OSError,
                    ValueError,
                    EOFError,
                    NotImplementedError,
                    RuntimeError,
                    struct.error,
                ):
                    faults.append(Found(Fault.CHANGED, name))
    return members, faults


def _manifest(raw: bytes) -> dict[str, Any]:
    """The list of contents; empty where it is none."""
    try:
        data = json.loads(raw)
    except (ValueError, RecursionError):
        return {}
    if not isinstance(data, dict) or data.get("kind") != KIND or data.get("schema") != 1:
        return {}
    said = data.get("members")
    strings = isinstance(said, dict) and all(isinstance(v, str) for v in said.values())
    return (
        data
        if strings and isinstance(data.get("version"), str) and isinstance(data.get("asked"), dict)
        else {}
    )


@dataclass(frozen=True)
class Asked:
    """What was asked when it was made: everything that the judgement hung on besides the files."""

    file: str
    now: int
    zone: str | None = None
    units: str | None = None
    forecasts: tuple[str, ...] = ()
    """Names of the forecast files, in their order."""
    say: tuple[str, ...] = ()
    heard: str | None = None
    issued: str | None = None
    language: str = "en"

    def data(self) -> dict[str, Any]:
        """For the list of contents."""
        return {
            "file": self.file, "now": self.now, "zone": self.zone, "units": self.units, "forecasts": list(self.forecasts),
            "say": list(self.say), "heard": self.heard, "issued": self.issued, "language": self.language,
        }  # fmt: skip


def is_name(text: object) -> bool:
    """Whether something is the bare name of a file, which leads to no other place."""
    return (
        isinstance(text, str) and 0 < len(text) <= 200 and text not in (".", "..") and text.isprintable() and not any(c in text for c in "/\\:")
    )  # fmt: skip


def asked_of(data: Mapping[str, Any]) -> Asked | None:
    """What was asked, from a list of contents that somebody else may have written; None where it is not that."""
    texts = (data.get("zone"), data.get("units"), data.get("heard"), data.get("issued"))
    lists = (data.get("forecasts"), data.get("say"))
    now, language = data.get("now"), data.get("language")
    if (
        not is_name(data.get("file"))
        or type(now) is not int
        or not 0 <= now < 2**40
        or not isinstance(language, str)
    ):
        return None
    if not all(t is None or isinstance(t, str) for t in texts):
        return None
    if not all(isinstance(x, list) and len(x) < 100 and all(isinstance(t, str) for t in x) for x in lists):
        return None
    if not all(is_name(n) for n in data["forecasts"]) or data.get("units") not in (None, "us", "si"):
        return None
    return Asked(
        str(data["file"]), now, data["zone"], data["units"], tuple(data["forecasts"]), tuple(data["say"]), data["heard"], data["issued"], language,
    )  # fmt: skip
