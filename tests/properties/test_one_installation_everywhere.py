"""The same installation said in the file, by options and by the record: one verdict and one limit, whoever is asked."""

import json
from random import Random

import pytest
from snow_files import winter_text

from anchorage.cli.entry import main
from anchorage.deployment.draft import read_draft
from tui import engine
from tui.fields import KEYS

NOW = "2026-03-10T12:30:00Z"
CALM = [
    "--say", "until 23:00 gust 5 mph", "--say", "until 08:00 gust 5 mph", "--heard", "12:00", "--zone", "UTC", "--now", NOW,
]  # fmt: skip
STRAP = {
    "count": 3, "ends": 2, "angle": 45, "bay": "2 m", "rated": "6 kN", "stiffness": "100 kN", "slack": "1 cm",
}  # fmt: skip
RATING = {
    "gust_unlocked": "20 mph",
    "gust_locked": "45 mph",
    "roof_snow_unlocked": "3 psf",
    "roof_snow_locked": "9 psf",
}


def drawn(seed: int) -> tuple[dict[str, object], dict[str, object]]:
    """What the file says besides, and what is said in one of three ways."""
    r = Random(seed)  # noqa: S311 - repeatable, and no secret
    file = {
        "stock": None, "deployment__show_units": r.choice(("us", "si")), "wind__speed": f"{r.randint(5, 30)} mph",
        "site__temperature": r.choice(("20 degF", "45 degF")), "shelter__rating": RATING,
        "shelter__strap": r.choice((STRAP, {k: v for k, v in STRAP.items() if k != "stiffness"}, None)), "anchorage__how": "hung-clear",
        "policy": r.choice(({}, {"snow_depth": "5 in"}, {"snow": "en-13782"})),
        "point": r.choice(([], [{"id": "L2", "state": "dry"}])),
    }  # fmt: skip
    return file, {
        "placed": r.randint(3, 40), "state": r.choice(("dry", "wet", "ice", "snow")), "straps": r.choice(("locked", "unlocked")),
        "doors": r.choice(("closed", "open")), "snow": r.choice((None, f"{r.randint(1, 6)} in")),
    }  # fmt: skip


def in_file(file: dict[str, object], said: dict[str, object]) -> str:
    door = [{"wall": "front", "width": "3 ft", "height": "6 ft 6 in", "is": said["doors"]}]
    snow = {} if said["snow"] is None else {"depth": said["snow"], "kind": "settled"}
    point = (
        [{**p, "state": said["state"]} for p in file["point"]] if said["state"] != "dry" else file["point"]
    )
    more = {
        "anchorage__placed": said["placed"],
        "site__state": said["state"],
        "shelter__straps": said["straps"],
        "door": door,
        "snow": snow,
    }
    return winter_text(**{**file, **more, "point": point or None})


@pytest.fixture
def asked(capsys):
    def call(*args: str) -> tuple[int, str]:
        code = main(list(args))
        out, err = capsys.readouterr()
        assert code in (0, 1, 3), err
        return code, out

    return call


def everyone(asked, path, tmp) -> dict[str, object]:
    """Verdict and limit by every command that has one."""
    out: dict[str, object] = {}
    for command, more in (
        ("check", []),
        ("limit", []),
        ("outlook", CALM),
        ("now", CALM),
        ("pack", []),
        ("chance", ["--samples", "1000"]),
    ):
        d = json.loads(asked(command, str(path), "--json", *more)[1])
        limit = {"outlook": "limit_m_s", "now": "limit_gust_m_s"}.get(command)
        if command in ("check", "limit"):
            out[command] = d["verdict"], round(d["limit"]["gust_m_s"], 9)
        elif limit:
            out[command] = d["verdict"], round(d[limit], 9)
        elif command == "chance":
            out[command] = d["check"]["verdict"], d["cap_m_s"], d["gust_held"]
        else:
            out[command] = d["items"]
    row = json.loads(asked("fleet", str(path.parent), "--json")[1])["deployments"][0]
    out["fleet"] = row["verdict"], round(row["limit_gust_m_s"], 9)
    answer = engine.evaluate(read_draft(path.read_text(encoding="utf-8"), KEYS), 1, path.parent, beside=path)
    out["interface"] = answer.plan.verdict, round(answer.plan.limit.gust_m_s, 9)
    page = tmp / f"{path.parent.name}.html"
    asked("sheet", str(path), "-o", str(page))
    html = page.read_text(encoding="utf-8")
    head = answer.plan.headline.partition(":")[0]
    assert head in html
    out["sheet"] = head
    return out


@pytest.mark.parametrize("seed", range(4))
def test_one_verdict_and_one_limit_however_it_is_said_and_whoever_is_asked(asked, tmp_path, seed):
    file, said = drawn(seed)
    other = {"placed": 12, "state": "dry", "straps": "unlocked", "doors": "open", "snow": None}
    paths = {}
    for name, text in (("file", in_file(file, said)), ("record", in_file(file, other))):
        paths[name] = tmp_path / name / "site.toml"
        paths[name].parent.mkdir()
        paths[name].write_text(text, encoding="utf-8")
        asked("log", str(paths[name]), "setup", "--who", "A", "--now", "2026-03-10T12:00:00Z")

    def log(*args: str) -> None:
        asked("log", str(paths["record"]), *args, "--who", "A", "--now", "2026-03-10T12:05:00Z")

    log("placed", str(said["placed"]), "--each")
    for event in ("state", "straps", "doors"):
        log(event, str(said[event]))
    if said["snow"] is not None:
        log("snow", str(said["snow"]), "--kind", "settled")
    by_file, by_record = (everyone(asked, paths[k], tmp_path) for k in ("file", "record"))
    assert by_file == by_record
    for found in (by_file, by_record):
        verdict, limit = found["check"]
        assert found["limit"] == found["check"]
        assert found["fleet"] == found["interface"] == (verdict, limit)
        assert found["chance"][0] == verdict
        assert found["outlook"][1] == found["now"][1] == limit
    if said["snow"] is None:
        path = tmp_path / "options" / "site.toml"
        path.parent.mkdir()
        path.write_text(in_file(file, other), encoding="utf-8")
        options = [
            "--placed", str(said["placed"]), "--state", said["state"], "--straps", said["straps"], "--doors", said["doors"],
        ]  # fmt: skip
        for command in ("check", "limit"):
            d = json.loads(asked(command, str(path), "--json", *options)[1])
            assert (d["verdict"], round(d["limit"]["gust_m_s"], 9)) == by_file["check"]
