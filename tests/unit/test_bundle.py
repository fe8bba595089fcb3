"""A case in one file: what was changed in it shows wherever it is, nothing of it is unpacked by its own word, and it is judged the same again."""

import io
import json
import random
import sqlite3
import zipfile
from pathlib import Path

import pytest

from anchorage.bundle import replay
from anchorage.bundle.case import MANIFEST, Asked, Fault, is_name, manifest_of, opened, seal_of, zipped
from anchorage.bundle.replay import DEEPEST, Moved, again, compared, rows_moved, same_version, shelter_at
from anchorage.cli.entry import main
from anchorage.demo import demo_text
from anchorage.record.store import foreign, path_of

NOW = "2026-03-10T18:00:00Z"
TABLE = "# issued 2026-03-10T17:00:00Z\ntime, gust (mph)\n" + "".join(f"2026-03-{10 + (18 + h) // 24}T{(18 + h) % 24:02d}:00Z, {10 + h}\n" for h in range(13))  # fmt: skip


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A case with a record and a forecast: its path, and its bytes."""
    folder = tmp_path_factory.mktemp("case")
    file, forecast, out = folder / "a.toml", folder / "f.csv", folder / "case.zip"
    file.write_text(demo_text("asphalt"), encoding="utf-8")
    forecast.write_text(TABLE, encoding="utf-8")
    assert main(["log", str(file), "setup", "--who", "A. Lee", "--now", "2026-03-10T16:00:00Z"]) == 0
    assert main(["log", str(file), "wind", "12 mph", "--who", "B. Roe", "--now", "2026-03-10T17:00:00Z"]) == 0
    assert (
        main(
            [
                "bundle", str(file), "-o", str(out), "--forecast", str(forecast), "--now", NOW, "--zone", "America/Chicago",
            ]
        )
        == 0
    )  # fmt: skip
    return out, out.read_bytes()


def parts(raw):
    """The list of contents, and the members."""
    with zipfile.ZipFile(io.BytesIO(raw)) as z:
        members = {n: z.read(n) for n in z.namelist()}
    return json.loads(members.pop(MANIFEST)), members


def anew(raw, changed):
    """The bundle as somebody would make it who changed something and put every hash right."""
    about, members = parts(raw)
    members |= changed
    listed = manifest_of(members, {k: v for k, v in about.items() if k not in ("members", "schema", "kind")})
    return zipped(listed, members), seal_of(listed)


def test_it_is_whole_and_the_same(made, capsys):
    out, raw = made
    assert main(["bundle", "--check", str(out), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["intact"], data["same_version"], data["moved"]) == (True, True, [])
    about, members = parts(raw)
    assert {
        "deployment.toml", "record.db", "record.json", "forecasts/1", "plan.json", "outlook.json", "pages/sheet.pdf", "tables/friction.toml",
    } <= members.keys()  # fmt: skip
    assert members["deployment.toml"] == demo_text("asphalt").encode("utf-8")
    assert members["forecasts/1"].decode("utf-8") == TABLE
    entries = json.loads(members["record.json"])["entries"]
    assert [e["who"] for e in entries] == ["A. Lee", "B. Roe"]
    assert all(e["mark"].endswith(e["seal"][:12]) for e in entries)
    assert about["asked"]["file"] == "a.toml"
    assert main(["bundle", "--check", str(out), "--seal", data["seal"]]) == 0
    said = capsys.readouterr().out
    assert "INTACT" in said
    assert "THE SAME" in said


def test_the_plan_in_it_is_what_check_says(made, capsys):
    out, raw = made
    main(["check", str(out.with_name("a.toml")), "--json", "--as-planned"])
    planned = json.loads(capsys.readouterr().out)
    plan = json.loads(parts(raw)[1]["plan.json"])
    assert plan["wind"] == planned["wind"]
    assert plan["record"]["entries"] == 2


def test_a_byte_that_was_changed_in_any_member_shows(made):
    raw = made[1]
    with zipfile.ZipFile(io.BytesIO(raw)) as z:
        infos = z.infolist()
    for i in infos:
        start = i.header_offset + 30 + len(i.filename)
        for at in {start, start + i.file_size // 2, start + i.file_size - 1}:
            bad = bytearray(raw)
            bad[at] ^= 0x20
            case = opened(bytes(bad))
            assert case.faults, (i.filename, at)
            assert case.faults[0].where in (i.filename, "") or i.filename == MANIFEST


def test_a_member_that_was_changed_with_its_own_sums_put_right_shows(made):
    raw = made[1]
    listed = zipfile.ZipFile(io.BytesIO(raw)).read(MANIFEST)
    for name, was in parts(raw)[1].items():
        case = opened(zipped(listed, {**parts(raw)[1], name: was + b" "}))
        assert [(f.fault, f.where) for f in case.faults] == [(Fault.CHANGED, name)]


def test_a_byte_that_was_changed_anywhere_shows(made):
    raw = made[1]
    assert opened(raw).faults == ()
    r = random.Random(1)  # noqa: S311 - places, no secrets
    with zipfile.ZipFile(io.BytesIO(raw)) as z:
        heads = [i.header_offset + k for i in z.infolist()[:3] for k in range(0, 30 + len(i.filename), 3)]
        end = z.start_dir
    for at in [*heads, *(r.randrange(end, len(raw)) for _ in range(60))]:
        bad = bytearray(raw)
        bad[at] ^= 1 << r.randrange(8)
        assert opened(bytes(bad)).faults, at
    for other in (raw + b"x", b"x" + raw, raw[:-1], raw[1:], raw[: len(raw) // 2], b"", b"PK"):
        assert opened(other).faults


def foreign_zip(raw, *more, method=zipfile.ZIP_STORED):
    out = io.BytesIO(raw)
    with zipfile.ZipFile(out, "a", method) as z:
        for name, data in more:
            z.writestr(name, data)
    return out.getvalue()


@pytest.mark.parametrize(
    "name",
    [
        "../outside.toml", "/etc/passwd", "tables/../x.toml", "pages/x.txt", "a", "C:\\x.toml", "tables/", "forecasts/0", "forecasts/100",
        "deployment.toml/x",
    ],
)  # fmt: skip
def test_nothing_foreign_is_taken(made, name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    case = opened(foreign_zip(made[1], (name, b"x")))
    assert Fault.FOREIGN in {f.fault for f in case.faults}
    assert not set(case.members) & {name}
    assert list(tmp_path.iterdir()) == []


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_twice_packed_and_bombs_are_refused(made):
    raw = made[1]
    assert Fault.TWICE in {f.fault for f in opened(foreign_zip(raw, ("plan.json", b"{}"))).faults}
    bomb = foreign_zip(raw, ("outlook.json", b"0" * 50_000_000), method=zipfile.ZIP_DEFLATED)
    assert len(bomb) < 1_500_000
    case = opened(bomb)
    assert {f.fault for f in case.faults} & {Fault.TWICE, Fault.PACKED}
    _, members = parts(raw)
    only = io.BytesIO()
    with zipfile.ZipFile(only, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("plan.json", b"0" * 50_000_000)
    assert [f.fault for f in opened(only.getvalue()).faults] == [Fault.PACKED, Fault.MANIFEST]
    assert opened(b"\0" * 64_000_001).faults[0].fault is Fault.TOO_LARGE
    del members["plan.json"]
    about = parts(raw)[0]
    case = opened(zipped(json.dumps(about).encode(), members))
    assert ("plan.json", Fault.MISSING) in {(f.where, f.fault) for f in case.faults}
    assert not case.readable


def test_a_figure_that_was_changed_with_every_hash_put_right_shows_by_judging_again(made, tmp_path, capsys):
    raw = made[1]
    plan = json.loads(parts(raw)[1]["plan.json"])
    held = plan["limit"]["gust_m_s"]
    bad, seal = anew(
        raw,
        {
            "plan.json": parts(raw)[1]["plan.json"].replace(
                f'"gust_m_s": {held}'.encode(), b'"gust_m_s": 99.5'
            )
        },
    )
    path = tmp_path / "case.zip"
    path.write_bytes(bad)
    assert main(["bundle", "--check", str(path), "--json"]) == 2
    data = json.loads(capsys.readouterr().out)
    assert data["intact"] is True
    assert {"where": "plan.json limit.gust_m_s", "was": 99.5, "now": held} in data["moved"]
    assert seal != opened(raw).seal
    assert [f.fault for f in opened(bad, opened(raw).seal).faults] == [Fault.SEAL]
    assert opened(bad, seal).faults == ()
    assert opened(bad, seal[:4]).faults


def test_an_input_that_was_changed_moves_figures(made):
    raw = made[1]
    text = parts(raw)[1]["deployment.toml"].replace(b'mass = "240 lb" ', b'mass = "940 lb" ')
    moved = again(opened(anew(raw, {"deployment.toml": text})[0]))
    assert any(m.where.startswith("plan.json limit") for m in moved)


def test_another_version_says_which_figures_moved_and_which_rows(made):
    raw = made[1]
    _, members = parts(raw)
    name = "tables/levels.toml"
    changed = {
        name: members[name].replace(b"value = 0.6", b"value = 0.5", 1),
        "plan.json": members["plan.json"].replace(b'"secure": 0.6', b'"secure": 0.5', 1),
    }
    assert all(changed[k] != members[k] for k in changed)
    case = opened(anew(raw, changed)[0])
    assert case.faults == ()
    assert same_version(case) is False
    moved = again(case)
    assert [m.where for m in moved] == ["plan.json policy.secure"]
    assert (moved[0].was, moved[0].now) == (0.5, 0.6)
    (why,) = rows_moved(case)
    assert why.where.startswith(name)
    assert (why.was, why.now) == (0.5, 0.6)


def test_what_was_found_is_told_to_a_person(made, tmp_path, capsys):
    """Whole, moved or no case at all; which figure, from what to what, and by which row; never the seal of another as its own."""
    raw = made[1]
    _, members = parts(raw)
    moved = {
        "tables/levels.toml": members["tables/levels.toml"].replace(b"value = 0.6", b"value = 0.5", 1),
        "plan.json": members["plan.json"].replace(b'"secure": 0.6', b'"secure": 0.5', 1),
    }
    path = tmp_path / "case.zip"

    def told(case, *more):
        path.write_bytes(case)
        code = main(["bundle", "--check", str(path), *more])
        return code, " ".join(capsys.readouterr().out.split())

    code, page = told(anew(raw, moved)[0])
    assert code == 2
    assert page.startswith("INTACT")
    assert "Judged again by another version of program or tables than the one that made it" in page
    assert "NOT THE SAME: 1 difference. - plan.json policy.secure: was 0.5, is 0.6" in page
    assert "Rows of the tables that are not what they were: - tables/levels.toml" in page
    assert f"SEAL {opened(path.read_bytes()).seal}: compare it with the one that was written down" in page
    held = json.loads(members["plan.json"])["limit"]["gust_m_s"]
    many = {"plan.json": members["plan.json"].replace(f'"gust_m_s": {held}'.encode(), b'"gust_m_s": 99.5')}
    code, page = told(anew(raw, many)[0], "--lang", "es")
    assert code == 2
    assert "differences" not in page
    assert "plan.json limit.gust_m_s: " in page
    for case in (raw[:-40], b"no zip"):
        code, page = told(case)
        assert code == 2
        assert page.startswith("CHANGED: this is not what was made. - ")
    assert page.endswith("It cannot be judged again.")


def test_a_name_that_no_folder_takes_is_refused_before_anything_is_made(tmp_path, capsys):
    file = tmp_path / "a:b.toml"
    file.write_text(demo_text("asphalt"), encoding="utf-8")
    assert main(["bundle", str(file), "-o", str(tmp_path / "x.zip"), "--now", NOW]) == 2
    assert "a:b.toml" in capsys.readouterr().err
    assert not (tmp_path / "x.zip").exists()


def test_words_may_differ_with_another_version_and_decisions_may_not():
    was = {"plan.json": b'{"headline": "a", "verdict": "go", "n": 1}', "pages/check.txt": b"a"}
    now = {"plan.json": b'{"headline": "b", "verdict": "no-go", "n": 1, "more": 2}', "pages/check.txt": b"b"}
    assert compared(was, now, same=False) == [Moved("plan.json verdict", "go", "no-go")]
    assert [m.where for m in compared(was, now, same=True)] == [
        "pages/check.txt line 1",
        "plan.json headline",
        "plan.json more",
        "plan.json verdict",
    ]
    assert compared({"plan.json": b"{}"}, {}, same=True) == [Moved("plan.json", "there", "not there")]
    assert compared({"plan.json": b"{ }"}, {"plan.json": b"{}"}, same=True) == [
        Moved("plan.json", "bytes", "other bytes")
    ]


def test_a_saved_shelter_goes_along_and_leads_nowhere_else(tmp_path, capsys):
    text = demo_text("asphalt")
    body = text[text.index("[shelter]") : text.index("[[door]]")]
    (tmp_path / "ours.toml").write_text(body, encoding="utf-8")
    folder = tmp_path / "site"
    folder.mkdir()
    file = folder / "a.toml"
    file.write_text(text.replace(body, '[shelter]\nuse = "../ours.toml"\n\n'), encoding="utf-8")
    out = tmp_path / "case.zip"
    assert main(["bundle", str(file), "-o", str(out), "--now", NOW]) == 0
    assert again(opened(out.read_bytes())) == []
    raw = out.read_bytes()
    for use in (str(tmp_path / "ours.toml"), "../" * (DEEPEST + 2) + "ours.toml", "x"):
        bad = parts(raw)[1]["deployment.toml"].replace(b"../ours.toml", use.encode())
        (moved,) = again(opened(anew(raw, {"deployment.toml": bad})[0]))
        assert "no place" in moved.now
    file.write_text(text.replace(body, f'[shelter]\nuse = "{tmp_path / "ours.toml"}"\n\n'), encoding="utf-8")
    assert main(["bundle", str(file), "-o", str(tmp_path / "b.zip"), "--now", NOW]) == 2
    assert "shelter.use" in capsys.readouterr().err
    assert not (tmp_path / "b.zip").exists()
    assert shelter_at(Path("/case/up/up"), "../a.toml", Path("/case")) == Path("/case/up/a.toml")
    assert shelter_at(Path("/case/up/up"), "../../../a.toml", Path("/case")) is None


def test_a_record_with_something_else_in_it_is_not_run(made):
    raw = made[1]
    assert foreign(parts(raw)[1]["record.db"]) == []
    db = sqlite3.connect(":memory:")
    db.execute(
        "CREATE VIEW entries AS WITH RECURSIVE x(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM x) SELECT n FROM x"
    )
    bad = db.serialize()
    db.close()
    assert foreign(bad) == ["entries"]
    assert foreign(b"no record") == ["?"]
    (moved,) = again(opened(anew(raw, {"record.db": bad})[0]))
    assert "no record has" in moved.now


def test_what_was_asked_is_read_from_strangers():
    assert all(map(is_name, ("a.toml", "our shelter.toml", "f.csv")))
    assert not any(map(is_name, ("", ".", "..", "../a", "a/b", "a\\b", "c:x", "a\nb", "x" * 201, 3, None)))
    fine = Asked("a.toml", 5).data()
    assert replay.asked_of(fine) == Asked("a.toml", 5)
    for key, bad in {
        "file": "../a",
        "now": "5",
        "zone": 3,
        "units": "stones",
        "forecasts": ["a/b"],
        "say": "x",
        "language": None,
    }.items():
        assert replay.asked_of({**fine, key: bad}) is None, key
    assert replay.asked_of({}) is None


def test_refusals(made, tmp_path, capsys):
    out = made[0]
    file = out.with_name("a.toml")
    for typed in (
        ["bundle"],
        ["bundle", str(file)],
        ["bundle", "-", "-o", "x.zip"],
        ["bundle", str(file), "-o", "x.zip", "--check", str(out)],
        ["bundle", str(file), "-o", "x.zip", "--seal", "abc"],
    ):
        with pytest.raises(SystemExit) as e:
            main(typed)
        assert e.value.code == 2
    assert main(["bundle", str(file), "-o", str(tmp_path / "x.tar")]) == 2
    assert main(["bundle", str(file), "-o", str(out)]) == 2
    assert "already" in capsys.readouterr().err
    assert main(["bundle", "--check", str(tmp_path / "none.zip")]) == 2
    (tmp_path / "no.zip").write_bytes(b"no zip")
    assert main(["bundle", "--check", str(tmp_path / "no.zip"), "--json"]) == 2
    data = json.loads(capsys.readouterr().out)
    assert (data["intact"], data["same_version"], data["moved"]) == (False, None, [])


def test_it_leaves_the_record_as_it_was(made):
    assert path_of(made[0].with_name("a.toml")).exists()
    assert main(["log", str(made[0].with_name("a.toml")), "--check"]) == 0
