"""A folder of deployments: each row is what the single command says, and one bad file stops nothing."""

import csv
import io
import json
from dataclasses import asdict
from datetime import UTC, datetime

import pyarrow.parquet as pq
import pytest
from fleet_kit import dies

from anchorage.cli import entry as cli
from anchorage.core.plain import columns
from anchorage.demo import NAMES, demo_text
from anchorage.fleet import rows as rows_module
from anchorage.fleet.rows import Options, SiteRow, row_of
from anchorage.fleet.run import bar, files_of, judge_all
from anchorage.fleet.show import COLUMNS, as_csv, as_parquet, code, in_order, lines

NOW = 1_773_165_600
SAID = "2026-03-10T18:00:00Z"
TABLE = "# issued 2026-03-10T17:00:00Z\ntime, gust (mph)\n" + "".join(
    f"2026-03-{10 + (18 + h) // 24}T{(18 + h) % 24:02d}:00Z, {10 + 2 * h}\n" for h in range(16)
)


@pytest.fixture
def folder(tmp_path):
    """The demos, and five files that cannot be used, each in its own way; a saved shelter, and what is no deployment."""
    where = tmp_path / "fleet"
    where.mkdir()
    for name in NAMES:
        (where / f"{name}.toml").write_text(demo_text(name), encoding="utf-8")
    (where / "broken.toml").write_text("x = [", encoding="utf-8")
    (where / "pigs.toml").write_text(demo_text("asphalt").replace('"20 mph"', '"20 pigs"'), encoding="utf-8")
    (where / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    (where / "folder.toml").mkdir()
    (where / "gone.toml").symlink_to(where / "nowhere.toml")
    (where / "our-shelter.toml").write_text('[shelter]\nform = "gable"\n', encoding="utf-8")
    (where / "notes.txt").write_text("no deployment", encoding="utf-8")
    return where


def run(capsys, *args):
    """Exit code, standard output, standard error."""
    found = cli.main(list(map(str, args)))
    out = capsys.readouterr()
    assert "Traceback" not in out.err
    return found, out.out, out.err


def single(capsys, *args):
    found, out, _ = run(capsys, *args, "--json")
    return found, json.loads(out)


def test_every_row_is_what_check_says_and_bad_files_say_what_is_wrong(folder, capsys):
    found, out, err = run(capsys, "fleet", folder, "--json", "--now", SAID)
    data = json.loads(out)
    by_file = {r["file"]: r for r in data["deployments"]}
    assert found == 1
    assert err == ""
    assert data["saved_shelters_left_out"] == 1
    assert sorted(by_file) == sorted([*(f"{n}.toml" for n in NAMES), "broken.toml", "pigs.toml", "bytes.toml", "folder.toml", "gone.toml"])  # fmt: skip
    for name in NAMES:
        _, plan = single(capsys, "check", folder / f"{name}.toml")
        row = by_file[f"{name}.toml"]
        assert row["verdict"] == plan["verdict"]
        assert row["headline"] == plan["headline"]
        assert row["level"] == plan["levels"]["level"]
        assert row["limit_gust_m_s"] == plan["limit"]["gust_m_s"]
        assert row["gives_first"] == plan["limit"]["governed_by"]
        assert (row["units"], row["stakes"]) == (
            plan["anchorage"]["total"]["units"],
            plan["anchorage"]["total"]["stakes"],
        )
    for bad, word in {"broken": "TOML", "pigs": "pigs", "bytes": "UTF-8", "folder": "ordinary file", "gone": "No such file"}.items():  # fmt: skip
        assert by_file[f"{bad}.toml"]["verdict"] == "unusable"
        assert word in by_file[f"{bad}.toml"]["reason"]


def test_processes_give_the_same_rows_and_one_that_dies_takes_one_file_with_it(folder):
    paths = [folder / f"{n}.toml" for n in ("asphalt", "clay", "winter")]
    done = []
    found = judge_all(paths, Options(NOW), jobs=2, judge=dies, progress=lambda *x: done.append(x))
    alone = [row_of(p, Options(NOW)) for p in paths]
    assert [r.file for r in found] == [p.name for p in paths]
    assert [r for r in found if r.file != "clay.toml"] == [r for r in alone if r.file != "clay.toml"]
    assert (found[1].verdict, "process" in found[1].reason) == ("unusable", True)
    assert done == [(i, 3) for i in range(1, 4)]


def test_with_a_forecast_every_row_is_what_outlook_says(folder, tmp_path, capsys):
    forecast = tmp_path / "f.csv"
    forecast.write_text(TABLE, encoding="utf-8")
    _, out, _ = run(
        capsys, "fleet", folder, "--forecast", forecast, "--json", "--now", SAID, "--zone", "America/Chicago", "--jobs", "1",
    )  # fmt: skip
    for row in json.loads(out)["deployments"]:
        if row["verdict"] == "unusable":
            continue
        found, o = single(
            capsys, "outlook", folder / row["file"], "--forecast", forecast, "--now", SAID, "--zone", "America/Chicago",
        )  # fmt: skip
        assert {0: "go", 1: "no-go", 3: "unknown"}[found] == row["verdict"] == o["verdict"]
        assert {k: row[k] for k in o["deadlines"]} == o["deadlines"]
        assert row["headline"] == o["headline"]
        inside = [h for h in o["hours"] if h["start"] < o["end"] and h["share"] is not None]
        assert row["share"] == max(h["share"] for h in inside)
        assert row["worst_hour"] == next(h["start"] for h in inside if h["share"] == row["share"])


def test_a_folder_of_forecasts_goes_by_name_and_none_is_never_go(folder, tmp_path, capsys):
    forecasts = tmp_path / "forecasts"
    forecasts.mkdir()
    calm = "# issued 2026-03-10T17:00:00Z\ntime, gust (mph)\n" + "".join(f"{d}, 3\n" for d in (
        "2026-03-10T18:00Z", "2026-03-10T19:00Z"))  # fmt: skip
    (forecasts / "asphalt.csv").write_text(TABLE, encoding="utf-8")
    (forecasts / "clay.csv").write_text(calm, encoding="utf-8")
    _, out, _ = run(capsys, "fleet", folder, "--forecast", forecasts, "--json", "--now", SAID, "--jobs", "1")
    by_file = {r["file"]: r for r in json.loads(out)["deployments"]}
    assert by_file["asphalt.toml"]["forecast"].startswith("asphalt.csv")
    assert by_file["clay.toml"]["verdict"] == "unknown"  # two hours of twelve
    for name in ("mixed", "winter"):
        row = by_file[f"{name}.toml"]
        assert row["verdict"] in ("unknown", "no-go")
        assert row["level"] == "unknown"
        assert "No forecast" in row["reason"]


def test_a_good_plan_without_its_forecast_is_unknown(tmp_path):
    (tmp_path / "a.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    (tmp_path / "f").mkdir()
    assert row_of(tmp_path / "a.toml", Options(NOW)).verdict == "go"
    row = row_of(tmp_path / "a.toml", Options(NOW, (str(tmp_path / "f"),)))
    assert (row.verdict, row.headline) == ("unknown", "CANNOT SAY: work with people coming and going")


def test_a_forecast_that_cannot_be_read_spoils_the_rows_and_not_the_run(folder, tmp_path, capsys):
    bad = tmp_path / "bad.csv"
    bad.write_text("no forecast at all", encoding="utf-8")
    found, out, _ = run(capsys, "fleet", folder, "--forecast", bad, "--json", "--now", SAID, "--jobs", "1")
    verdicts = {r["file"]: r["verdict"] for r in json.loads(out)["deployments"]}
    good = {f"{n}.toml" for n in NAMES}
    assert {v for k, v in verdicts.items() if k not in good} == {"unusable"}
    assert {k: v for k, v in verdicts.items() if k in good} == {
        "asphalt.toml": "unknown", "clay.toml": "unknown", "mixed.toml": "unknown", "winter.toml": "no-go",  # its snow, whatever the wind
    }  # fmt: skip
    assert found == 1, "a site that is no go is the row to look at first"
    for name in verdicts:
        if name != "asphalt.toml" and (folder / name).is_file():
            (folder / name).unlink()
    (folder / "folder.toml").rmdir()
    (folder / "gone.toml").unlink()
    assert run(capsys, "fleet", folder, "--forecast", bad, "--json", "--now", SAID, "--jobs", "1")[0] == 3


@pytest.mark.parametrize(
    ("verdicts", "expected"),
    [
        ("go", 0),
        ("go unknown", 3),
        ("go unknown unusable", 2),
        ("go unknown unusable no-go", 1),
        ("no-go go", 1),
    ],
)
def test_the_exit_code_is_that_of_the_one_to_look_at_first(verdicts, expected):
    assert code([SiteRow(f"{i}.toml", verdict=v) for i, v in enumerate(verdicts.split())]) == expected  # type: ignore[arg-type]


def test_the_order_is_settled_and_what_has_no_figure_comes_last():
    r = [
        SiteRow("d.toml", "x", "go", share=0.2, limit_gust_m_s=20.0, start_strike_by="2026-03-10T20:00:00Z"),
        SiteRow("c.toml", "y", "no-go", share=1.2, limit_gust_m_s=10.0),
        SiteRow("b.toml", "z", "no-go", share=1.3, limit_gust_m_s=15.0, people_out_by="2026-03-10T19:00:00Z"),
        SiteRow("a.toml", "", "unusable"),
    ]

    def order(by, **more):
        return "".join(x.file[0] for x in in_order(r, by, **more))

    assert order("worst") == "bcad"
    assert order("file") == "abcd"
    assert order("share") == "bcda"
    assert order("holds") == "cbda"
    assert order("holds", reverse=True) == "dbca"
    assert order("deadline") == "bdac"
    assert order("name") == "dcba"
    assert in_order(r[::-1], "worst") == in_order(r, "worst")


def test_the_table_fits_80_columns_and_says_what_must_be_said(folder, tmp_path, capsys):
    forecast = tmp_path / "f.csv"
    forecast.write_text(TABLE, encoding="utf-8")
    long = "a-very-long-name-of-a-shelter-on-a-very-long-street"
    (folder / f"{long}.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    _, out, _ = run(capsys, "fleet", folder, "--forecast", forecast, "--now", SAID, "--jobs", "1")
    assert max(map(columns, out.splitlines())) <= 80
    for word in (
        "FILE",
        "NO-GO",
        "UNREADABLE",
        "PEOPLE OUT BY",
        "START TAKING DOWN BY",
        "worst hour",
        " of 34 mph",
        "Not a permit",
    ):
        assert word in out
    _, out, _ = run(
        capsys, "fleet", folder, "--now", SAID, "--jobs", "1", "--units", "si", "--sort", "file", "--reverse"
    )
    assert " of 15.2 m/s" in out
    assert out.index("winter") < out.index("asphalt ")


def test_csv_comes_back_as_it_was_and_runs_nowhere(tmp_path):
    evil = [
        "=1+2", "+cmd|' /C calc'!A0", "-2+3", "@SUM(A1)", "\t=1", "a\r\n=1", "＝1+2", "plain", 'quo"te, comma',
    ]  # fmt: skip
    given = [SiteRow(f"{i}.toml", name=e, verdict="go", gust_m_s=12.5, reason=e) for i, e in enumerate(evil)]
    text = as_csv(given)
    read = list(csv.DictReader(io.StringIO(text)))
    assert tuple(read[0]) == COLUMNS
    assert [r["gust_m_s"] for r in read] == ["12.5"] * len(evil)
    for r, e in zip(read, evil, strict=True):
        assert r["name"].lstrip()[:1] not in ("=", "+", "-", "@", "＝"), e
        assert "\r" not in r["name"]
        assert "\n" not in r["name"]
    assert read[7]["name"] == "plain"
    assert read[8]["name"] == 'quo"te, comma'
    assert read[0]["limit_gust_m_s"] == ""


def test_parquet_comes_back_with_its_types(folder, tmp_path, capsys):
    target = tmp_path / "t.parquet"
    forecast = tmp_path / "f.csv"
    forecast.write_text(TABLE, encoding="utf-8")
    args = ("fleet", folder, "--forecast", forecast, "--now", SAID, "--jobs", "1")
    run(capsys, *args, "-o", target)
    _, out, _ = run(capsys, *args, "--json")
    found = pq.read_table(target).to_pylist()
    wanted = json.loads(out)["deployments"]
    times = ("worst_hour", "secure_by", "people_out_by", "start_strike_by")
    for row in wanted:
        row.update({k: None if row[k] is None else datetime.fromisoformat(row[k]) for k in times})
    assert found == wanted
    assert any(
        isinstance(r["people_out_by"], datetime) and r["people_out_by"].tzinfo is not None for r in found
    )
    assert as_parquet([]) != b""


def test_parquet_without_its_package_names_the_extra(folder, tmp_path, capsys, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "pyarrow", None)
    found, _, err = run(capsys, "fleet", folder, "-o", tmp_path / "t.parquet", "--jobs", "1")
    assert found == 2
    assert "shelter-anchorage[fleet]" in err
    assert not (tmp_path / "t.parquet").exists()


@pytest.mark.parametrize(
    ("args", "word"),
    [
        (["fleet", "nowhere"], "no such folder"),
        (["fleet", "{}"], "no deployment file"),
        (["fleet", "{}", "-o", "t.xlsx"], ".parquet"),
        (["fleet", "{}", "--jobs", "0"], "from 1"),
        (["fleet", "{}", "--forecast", "no.csv"], "no such file"),
        (["fleet", "{}", "--now", "soon"], "--now"),
        (["fleet", "{}", "--zone", "Nowhere/At_All"], "zone"),
        (["fleet", "{}", "--issued", "once"], "--issued"),
    ],
)
def test_what_is_typed_wrong_is_refused_in_one_line(args, word, tmp_path, capsys):
    found, out, err = run(capsys, *(a.replace("{}", str(tmp_path)) for a in args))
    assert found == 2
    assert out == ""
    assert word in err


def test_a_fault_of_the_program_is_a_row_too(tmp_path, monkeypatch):
    def fails(*args):
        raise ZeroDivisionError("\x1b[2Jboo")

    monkeypatch.setattr(rows_module, "_judge", fails)
    row = row_of(tmp_path / "a.toml", Options(NOW))
    assert row.verdict == "unusable"
    assert "ZeroDivisionError" in row.reason
    assert "\x1b" not in row.reason


def test_names_act_on_no_terminal(tmp_path):
    text = demo_text("asphalt").replace(
        'name = "Triage annex, wet parking lot (invented)"', 'name = "x\\u001b[2J\\u202e"'
    )
    (tmp_path / "a\x1b[2J.toml").write_text(text, encoding="utf-8")
    shown = "\n".join(
        lines([row_of(p, Options(NOW)) for p in files_of(str(tmp_path))[0]], "us", NOW, UTC, "UTC")
    )
    assert "\x1b" not in shown
    assert "\u202e" not in shown


def test_the_bar_is_for_a_terminal_only(folder, capsys):
    _, _, err = run(capsys, "fleet", folder, "--jobs", "1")
    assert err == ""
    bar(3, 10)
    assert capsys.readouterr().err == f"\r[{'#' * 9}{'.' * 21}] 3 of 10"
    bar(10, 10)
    assert capsys.readouterr().err.endswith("\r")


def test_a_row_has_no_surprise_in_it(tmp_path):
    (tmp_path / "a.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    row = row_of(tmp_path / "a.toml", Options(NOW))
    assert json.loads(json.dumps(asdict(row), allow_nan=False)) == asdict(row)


def test_an_order_whose_time_is_past_says_now():
    row = SiteRow(
        file="a.toml",
        verdict="no-go",
        people_out_by="2026-11-10T17:30:00Z",
        start_strike_by="2026-11-10T19:00:00Z",
    )
    now = int(datetime(2026, 11, 10, 18, 0, tzinfo=UTC).timestamp())
    shown = "\n".join(lines([row], "us", now, UTC, "UTC"))
    assert "PEOPLE OUT NOW (was Tue 17:30), START TAKING DOWN BY Tue 19:00" in " ".join(shown.split())
    assert "now Tue 18:00" in shown


def test_a_fleet_says_the_weakest_that_one_of_it_stands_on():
    rows = [
        SiteRow(file="a.toml", verdict="go", provenance="read"),
        SiteRow(file="b.toml", verdict="go", provenance="memory"),
    ]
    assert "stands on: memory (anchorage sources)" in "\n".join(lines(rows, "us", NOW, UTC, "UTC"))
