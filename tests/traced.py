"""``python tests/traced.py``: what each command asks of the system for files it may write and for the network, as ``strace`` sees it.

It sees what libraries do in C as well. Needs Linux and ``strace``; a command takes some seconds.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from anchorage.demo import demo_text

NOW = ("--now", "2026-03-10T18:00:00Z")
COMMANDS = (
    ("check", "site.toml"), ("log", "site.toml", "wind", "20 mph", "--who", "A. Lee", *NOW), ("now", "site.toml", *NOW), ("sheet", "site.toml", "-o", "a.pdf", *NOW),
    ("outlook", "site.toml", "--say", "until 06:00Z gust 12 mph", *NOW), ("fleet", ".", "--jobs", "1", *NOW), ("region", "site.toml", "--grid", "demo", "-o", "c.nc", *NOW),
)  # fmt: skip
QUIET = ("/dev/", "/proc/", "/sys/", "__pycache__")
CALL = re.compile(
    r"(?:openat|open|creat|rename|renameat2?|unlink|unlinkat|mkdir|mkdirat|connect|bind|sendto)\((.*)\) += (\S+)"
)


def traced(folder: Path, words: tuple[str, ...]) -> list[str]:
    """Calls that write a file or reach for a network."""
    log = folder.parent / "trace"
    subprocess.run(["strace", "-f", "-o", str(log), "-e", "trace=file,network", sys.executable, "-m", "anchorage", *words], cwd=folder, check=False,
                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={"PATH": "/usr/bin:/bin", "HOME": str(folder.parent / "home"), "PYTHONPATH": str(Path(__file__).parents[1])})  # fmt: skip
    out = []
    for line in log.read_text(errors="replace").splitlines():
        call = line.split(maxsplit=1)[1] if " " in line else line
        found = CALL.match(call)
        if found is None or found[2] == "-1" or any(q in found[1] for q in QUIET):
            continue
        if call.startswith(("open", "creat")) and not re.search(r"O_WRONLY|O_RDWR|O_CREAT", call):
            continue
        if call.startswith(("connect", "bind", "sendto")) and "AF_UNIX" in call:
            continue
        out.append(call[:150])
    return list(dict.fromkeys(out))


def main() -> int:
    if shutil.which("strace") is None:
        print("no strace here: apt-get install strace")
        return 1
    with tempfile.TemporaryDirectory() as top:
        folder = Path(top) / "user"
        folder.mkdir()
        (folder / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
        for words in COMMANDS:
            print("anchorage", *words)
            for call in traced(folder, words):
                print("   ", call.replace(top, ""))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
