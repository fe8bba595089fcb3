"""Real reports and forecasts out of the source archives of public libraries: ``python tests/real_texts.py`` fetches them.

They go into a temporary folder (or the one that ANCHORAGE_TEXTS names) and are never part of this repository. The
archives are those that the package index offers; nothing in them is run.
"""

import os
import re
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

ARCHIVES = {"pyiem": "1.28.1", "metpy": "1.7.1", "metar": "2.0.2", "metar-taf-parser-mivek": "1.13.1"}
FOLDER = Path(os.environ.get("ANCHORAGE_TEXTS", Path(tempfile.gettempdir()) / "anchorage-real-texts"))
EVERY = 14
"""Of a year of one station, one report in so many."""
REPORT = re.compile(
    r"\b(?:METAR |SPECI )?[A-Z][A-Z0-9]{3} \d{6}Z (?:AUTO |COR )?(?:\d{3}|VRB|///)P?\d{2,3}(?:G\d{2,3})?(?:KT|MPS)\b[^=<\"'\\\r\n|`]*"
)
TAF = re.compile(r"\b[A-Z]{4} \d{6}Z \d{4}/\d{4}\s[^=<\"'\\]*")


def _members(path):
    with tarfile.open(path) as archive:
        for m in archive:
            if (
                m.isfile()
                and m.size < 6_000_000
                and re.search(r"metar|taf|product_examples|tests?/", m.name, re.IGNORECASE)
            ):
                found = archive.extractfile(m)
                yield m.name, "" if found is None else found.read().decode("utf-8", "replace")


def texts():
    """Reports and TAFs of the archives that are there, each once."""
    reports, tafs = {}, {}
    for path in sorted(FOLDER.glob("*.tar.gz")):
        for _, text in _members(path):
            found = [
                " ".join(re.split("EQD", x)[0].split()) for x in REPORT.findall(text)
            ]  # EQD begins a field of the archive
            reports |= dict.fromkeys(
                x for x in (found[::EVERY] if len(found) > 1000 else found) if 30 < len(x) < 600
            )
            for x in TAF.findall(text):
                one = " ".join(re.split(r"\n\s*\n|\n(?=TAF\b)", x)[0].split())
                tafs |= {one: None} if 40 < len(one) < 2500 else {}
    return list(reports), list(tafs)


def fetch():
    """Get the archives by the ordinary client of the index."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, version in ARCHIVES.items():
        subprocess.run(
            [
                sys.executable,
                "-m",
                "pip",
                "download",
                "-q",
                "--no-deps",
                "--no-binary",
                ":all:",
                "-d",
                str(FOLDER),
                f"{name}=={version}",
            ],
            check=True,
        )


if __name__ == "__main__":
    fetch()
    print(*map(len, texts()))
