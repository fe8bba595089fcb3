"""Years of weather against an installation: known answers, what is missing, what is refused, and the same on a grid."""

import builtins
import json
from dataclasses import replace
from datetime import UTC, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from climate_kit import HEAD, KNOT, START, by_hand, deployment, site, table
from hypothesis import given, settings
from hypothesis import strategies as st

from anchorage.cli.entry import main
from anchorage.climate import windows
from anchorage.climate.build import against, climate
from anchorage.climate.course import Takes, hours_of
from anchorage.climate.invented import invented
from anchorage.climate.kits import kits
from anchorage.climate.reports import read_text as read_history
from anchorage.climate.reports import said_in
from anchorage.climate.show import as_csv, as_data
from anchorage.core import tables
from anchorage.core.errors import AnchorageError, InputFaults
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.plan import assess, make_plan
from anchorage.outlook.metar import read_metar

TAKES = Takes(assess(deployment()))
LIMIT = make_plan(deployment()).limit.gust_m_s
EIGHTY = 0.8 * LIMIT / KNOT


def reports(text):
    return read_history(text.encode(), "obs.csv")


def run(capsys, *words):
    code = main([str(w) for w in words])
    got = capsys.readouterr()
    return code, got.out, got.err


@pytest.fixture
def files(tmp_path):
    (tmp_path / "site.toml").write_text(site(), encoding="utf-8")
    rng = np.random.default_rng(3)
    gusts = np.round(rng.gumbel(12.0, 6.0, 24 * 400).clip(0.0), 1).tolist()
    for lost in (50, 51, 52, 300, 4000):
        gusts[lost] = None
    (tmp_path / "obs.csv").write_text(table(gusts), encoding="utf-8")
    return tmp_path / "site.toml", tmp_path / "obs.csv", gusts


# Known answers


def test_the_json_has_the_keys_that_are_promised_and_the_shares_are_those_counted_by_hand(files, capsys):
    path, history, gusts = files
    code, out, _ = run(capsys, "climate", path, "--history", history, "--hours", 12, "--json")
    found = json.loads(out)
    assert (code, found["schema"], found["verdict"], found["hours"]) == (0, 1, "go", 12)
    assert found["limit_gust_m_s"] == pytest.approx(LIMIT)
    wanted = by_hand(gusts, 12, LIMIT)
    keys = {"month", "hour", "windows", "share_in", "share_empty", "share_down", "share_unknown"}
    assert all(set(m) == keys for m in found["months"])
    assert {(m["month"], m["hour"]) for m in found["months"]} == set(wanted)
    for m in found["months"]:
        each = wanted[(m["month"], m["hour"])]
        assert m["windows"] == sum(each)
        shares = [m[k] for k in windows.SHARES]
        assert shares == pytest.approx([k / sum(each) for k in each])
        assert sum(shares) == pytest.approx(1.0)
    assert 0.0 < found["share_in"] < 1.0
    assert found["share_unknown"] > 0.0


def test_by_the_clock_of_the_people_also_where_it_changes():
    zone = ZoneInfo("America/Chicago")
    gusts = [5.0 + 40.0 * (i % 31 == 0) for i in range(24 * 120)]
    c = climate(deployment(), reports(table(gusts)), 6, zone)
    wanted = by_hand(gusts, 6, LIMIT, zone)
    for (month, hour), each in wanted.items():
        assert c.by_hour[month - 1, hour].tolist() == each
    assert c.by_hour.sum() == len(gusts) - 5


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.one_of(st.none(), st.floats(0.0, 60.0).map(lambda v: round(v, 2))), min_size=30, max_size=90),
    st.integers(1, 20),
)
def test_any_series_is_counted_as_by_hand_and_worse_is_never_better(gusts, n):
    known = [i for i, g in enumerate(gusts) if g is not None]
    if not known or known[-1] - known[0] + 1 < n:
        return
    gusts = gusts[known[0] : known[-1] + 1]
    c = against(TAKES, reports(table(gusts)), n, UTC)
    wanted = np.sum(list(by_hand(gusts, n, LIMIT).values()), axis=0)
    assert c.total.tolist() == wanted.tolist()
    at = (
        next(i for i, g in enumerate(gusts) if g is not None and i)
        if len([g for g in gusts if g is not None]) > 1
        else 0
    )
    for worse in (80.0, None):
        other = [*gusts[:at], worse, *gusts[at + 1 :]]
        if worse is None and at in (0, len(gusts) - 1):
            continue
        assert against(TAKES, reports(table(other)), n, UTC).total[windows.IN] <= c.total[windows.IN]


def test_a_window_is_judged_by_its_worst_hour_and_the_levels_begin_where_they_do():
    edge = LIMIT / KNOT
    for gust, kind in (
        (EIGHTY * 0.999, windows.IN),
        (EIGHTY * 1.001, windows.EMPTY),
        (edge * 0.999, windows.EMPTY),
        (edge * 1.001, windows.DOWN),
    ):
        gusts = [3.0] * 24
        gusts[11] = gust
        total = climate(deployment(), reports(table(gusts)), 24, UTC).total
        assert total[kind] == 1
        assert total.sum() == 1


def test_the_policy_of_the_file_sets_the_levels():
    d = deployment()
    stricter = d.model_copy(update={"policy": d.policy.model_copy(update={"people_out": 0.5})})
    gusts = [0.65 * LIMIT / KNOT] * 48
    assert climate(d, reports(table(gusts)), 12, UTC).share_in == 1.0
    assert climate(stricter, reports(table(gusts)), 12, UTC).share_in == 0.0


def test_where_the_limit_depends_on_the_direction_the_wind_has_one():
    d = deployment(heading=0)
    by_bearing = {b.bearing: b.gust_m_s for b in make_plan(d).limit.by_bearing}
    strong, weak = max(by_bearing, key=by_bearing.get), min(by_bearing, key=by_bearing.get)
    assert by_bearing[strong] > 1.02 * by_bearing[weak]
    gust = 0.8 * by_bearing[weak] / KNOT * 1.005
    found = {b: climate(d, reports(table([gust] * 48, bearing=b)), 12, UTC).share_in for b in (strong, weak)}
    assert found[weak] == 0.0
    anywhere = table([gust] * 48).replace(",200,", ",M,")
    assert climate(d, reports(anywhere), 12, UTC).share_in == 0.0


# What is missing


def test_an_hour_without_a_reported_gust_has_the_mean_and_ten_knots():
    text = f"{HEAD}\nXYZ,2020-01-01 00:53,200,14.00,M\nXYZ,2020-01-01 01:53,200,14.00,31.00\nXYZ,2020-01-01 02:53,200,14.00,9.00\n"
    h = hours_of(reports(text))
    assert h.gust / KNOT == pytest.approx([24.0, 31.0, 24.0])  # a gust below its mean is none
    assert h.reported.tolist() == [False, True, False]
    assert tables.row("gust-coding", "hidden").how == "second-hand"


def test_a_gap_is_unknown_and_a_report_that_slips_by_some_minutes_is_none():
    text = f"{HEAD}\nXYZ,2020-01-01 00:59,200,5,20\nXYZ,2020-01-01 02:01,200,5,30\nXYZ,2020-01-01 05:00,200,5,5\n"
    h = hours_of(reports(text))
    assert np.isnan(h.gust).tolist() == [False, False, False, True, True, False]
    assert h.gust[1] / KNOT == pytest.approx(30.0)  # the worse of the two


def test_unknown_windows_that_had_a_gust_over_the_limit_are_said():
    gusts = [5.0, 60.0, None, 5.0, 5.0, None, 5.0, 5.0]
    c = climate(deployment(), reports(table(gusts)), 3, UTC)
    assert c.total.tolist() == [0, 0, 0, 6]
    assert c.unknown_but == (2, 2)


def test_the_peak_of_the_hour_and_thunder_count():
    text = "station,valid,drct,sknt,gust,peak_wind_gust,peak_wind_drct,wxcodes\n" + "".join(
        f"XYZ,2020-01-01 {h:02d}:53,200,10,20,{p},210,{w}\n"
        for h, p, w in ((0, "M", ""), (1, 41, "-RA"), (2, "M", "+TSRA"), (3, "M", "M"))
    )
    r = reports(text)
    assert hours_of(r).gust / KNOT == pytest.approx([20.0, 41.0, 20.0, 20.0])
    c = climate(deployment(placed=60), r, 1, UTC)
    assert c.total.tolist() == [2, 2, 0, 0]  # 41 kt is 89 % of the 45.9 kt that as many as fit hold; thunder


def test_a_remark_of_lightning_counts_beside_columns_that_say_the_rest():
    head = "station,valid,drct,sknt,gust,tmpf,wxcodes,peak_wind_gust,peak_wind_drct,metar\n"
    row = "XYZ,1965-01-01 {h:02d}:53,200,5,20,60,M,M,M,KXYZ 01{h:02d}53Z 20005G20KT 10SM CLR 15/10 A2992 RMK AO2{r}\n"
    r = reports(head + "".join(row.format(h=h, r=" LTG DSNT W" if h == 1 else " SLP132") for h in range(4)))
    assert r.level.tolist() == [0, 2, 0, 0]
    assert hours_of(r).first == -157766400  # archives begin before 1970


def test_all_columns_of_an_archive_with_blanks_and_a_trend_behind_the_report():
    head = (
        "station,valid,tmpf,dwpf,relh,drct,sknt,p01i,alti,mslp,vsby,gust,skyc1,skyc2,skyc3,skyc4,skyl1,skyl2,skyl3,skyl4,wxcodes,"
        "ice_accretion_1hr,ice_accretion_3hr,ice_accretion_6hr,peak_wind_gust,peak_wind_drct,peak_wind_time,feel,metar,snowdepth\n"
    )
    row = "XYZ,2020-01-01 {h:02d}:00,36.00,32.00,85.37,360.00,5.00,{p},29.96,{m},3.00,{g},SCT,BKN,OVC,   ,4000.00,6000.00,,{m},{w},{m},{m},{m},{k},{k},{m},31.10,KXYZ 01{h:02d}00Z 36005KT 4500 HZ NSC 19/17 Q1015 TEMPO 27030G50KT TSRA,{m}\n"
    r = reports(
        head
        + row.format(h=0, p="M", m="M", g="M", w="VCTS -SHRA", k="M")
        + row.format(h=1, p="T", m="null", g="   ", w="HZ", k="null")
    )
    assert r.gust / KNOT == pytest.approx([15.0, 15.0])
    assert r.level.tolist() == [2, 0]
    assert r.fell.tolist() == [1, 1]
    assert r.bearing.tolist() == [0.0, 0.0]
    assert said_in("KXYZ 010000Z 36005KT 9999 CLR 19/17 Q1015 BECMG 27030G50KT")[0] / KNOT == pytest.approx(
        15.0
    )


def test_rain_wets_a_dry_file_for_the_windows_that_it_falls_in():
    d = deployment()
    dry = d.model_copy(update={"site": d.site.model_copy(update={"state": "dry"})})
    limits = {s: make_plan(x).limit.gust_m_s for s, x in (("dry", dry), ("wet", d))}
    assert limits["dry"] > 1.05 * limits["wet"]
    gust = 0.8 * (limits["dry"] + limits["wet"]) / 2.0 / KNOT
    head = "station,valid,drct,sknt,gust,p01i\n"
    rows = [f"XYZ,{START + timedelta(hours=i):%Y-%m-%d %H:%M},200,5,{gust:.3f},{{}}\n" for i in range(40)]
    sunny = climate(dry, reports(head + "".join(r.format("0.00") for r in rows)), 4, UTC)
    rainy = climate(
        dry,
        reports(head + "".join(r.format("0.05" if i == 20 else "0.00") for i, r in enumerate(rows))),
        4,
        UTC,
    )
    assert sunny.share_in == 1.0
    assert 0 < rainy.total[windows.EMPTY] <= 8
    silent = climate(dry, reports(table([gust] * 40)), 4, UTC)
    assert silent.share_in == 1.0
    assert silent.wet == (pytest.approx(limits["wet"]), 0.0)


# METAR


METARS = (
    "KXYZ 251753Z 27015G30KT 10SM -TSRA FEW050 22/12 A2992 RMK AO2 PK WND 28045/1736 SLP130 T02220122",
    "METAR KXYZ 251753Z AUTO VRB03KT 10SM CLR M03/M08 A3012 RMK AO2 SLP204",
    "KXYZ 251753Z 00000KT 1/2SM FZFG VV002 M02/M02 A3000",
    "KXYZ 251753Z 31012MPS 270V350 9999 -SN BKN010 M01/M03 Q1009",
    "KXYZ 251753Z /////KT 10SM SKC 10/02 A2990",
    "KXYZ 251753Z 24035KT 10SM RA OVC010 10/09 A2950 RMK AO2 TSB20E49 PK WND 25051/1712 LTG DSNT W",
    "KXYZ 251753Z 36010KT 10SM SQ OVC010 10/09 A2950 RMK AO2",
)


@pytest.mark.parametrize("text", METARS)
def test_a_metar_says_what_the_reader_of_reports_reads_in_it(text):
    now = 1_700_934_780
    f = read_metar(text, now)
    gust, bearing, _, peak, turn, level, fell, heat = said_in(text)
    span = f.gusts[0]
    assert gust == pytest.approx(np.nan if span.value is None else span.value, nan_ok=True)
    assert bearing == pytest.approx(np.nan if span.bearing is None else span.bearing, nan_ok=True)
    peaks = [s for s in f.floors if s.text.startswith("PK")]
    assert (peak, turn) == pytest.approx(
        (peaks[0].value, peaks[0].bearing) if peaks else (np.nan, np.nan), nan_ok=True
    )
    empties = bool(f.thunder) or any(h.level in ("people-out", "keep-away") for h in f.hazards)
    assert (level > 1) == empties
    assert bool(fell) == bool(f.wet)
    assert heat == pytest.approx(f.temperature[0].value if f.temperature else np.nan, nan_ok=True)


def test_metar_lines_with_their_dates_are_a_history_and_one_without_is_refused():
    lines = [
        f"2020010{1 + i // 24}{i % 24:02d}53 METAR KXYZ {1 + i // 24:02d}{i % 24:02d}53Z 27010{'G28' if i == 5 else ''}KT 10SM CLR 10/02 A2990"
        for i in range(30)
    ]
    r = read_history("\n".join(lines).encode(), "metars.txt")
    h = hours_of(r)
    assert (r.station, len(h)) == ("KXYZ", 30)
    assert h.gust[5] / KNOT == pytest.approx(28.0)
    assert h.gust[6] / KNOT == pytest.approx(20.0)
    with pytest.raises(InputFaults, match=r"line 1: .*says no month"):
        read_history(lines[0][13:].encode(), "metars.txt")
    table_ = "station,valid,metar\n" + "\n".join(
        f"XYZ,2020-01-0{1 + i // 24} {i % 24:02d}:53,{x[19:]}" for i, x in enumerate(lines)
    )
    assert hours_of(read_history(table_.encode(), "t.csv")).gust == pytest.approx(h.gust)
    garbled = read_history(
        "\n".join([*lines[:3], lines[3].replace("27010KT", "2701KT"), *lines[4:]]).encode(), "metars.txt"
    )
    assert np.isnan(hours_of(garbled).gust[3])
    assert "1 reports with a group of wind" in garbled.notes[0]


# What is refused


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (f"{HEAD}\nXYZ,2020-01-01 00:00,200,5,abc\n", "line 2, gust"),
        (f"# from an archive\n\n{HEAD}\nXYZ,2020-01-01 00:00,200,5,9\n\nXYZ,2020-01-01 25:00,200,5,9\n", "line 6, valid"),
        (f"{HEAD}\nXYZ,2020-01-01 00:00,200,5\n", "line 2: .*4 cells"),
        (f"{HEAD}\nXYZ,2020-01-01 00:00,200,5,9\nABC,2020-01-01 01:00,200,5,9\n", "--station"),
        ("a,b\n1,2\n", "station, valid, drct, sknt, gust"),
        ("", "station, valid, drct, sknt, gust"),
        ("time,wind\n2020-01-01 00:00,5\n", "a unit in the heading"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_by_its_line(text, wanted):
    with pytest.raises(InputFaults, match=wanted):
        reports(text)


def test_a_wind_that_cannot_blow_is_missing_and_one_station_may_be_taken():
    r = reports(f"{HEAD}\nXYZ,2020-01-01 00:00,200,5,999\nXYZ,2020-01-01 01:00,200,5,9\n")
    assert hours_of(r).gust / KNOT == pytest.approx([15.0, 9.0])
    assert r.notes[0].startswith("1 winds that cannot blow")
    two = f"{HEAD}\nXYZ,2020-01-01 00:00,200,5,9\nABC,2020-01-01 01:00,200,5,30\n"
    assert read_history(two.encode(), "t", "abc").station == "ABC"
    assert "valid,gust (mph)" in (text := "valid,gust (mph)\n2020-01-01T00:00Z,20\n")
    assert reports(text).gust[0] == pytest.approx(20 * 0.44704)


def test_hours_that_make_no_window_are_refused(files, capsys):
    path, history, _ = files
    for n, wanted in ((0, "from 1 to"), (800, "from 1 to")):
        assert wanted in run(capsys, "climate", path, "--history", history, "--hours", n)[2]
    with pytest.raises(AnchorageError, match="shorter than one window"):
        climate(deployment(), reports(table([5.0] * 5)), 6, UTC)
    assert run(capsys, "climate", path, "--history", history, "--hours", 6, "--map", "m.png")[0] == 2
    assert run(capsys, "climate", path, "--history", "nowhere.csv", "--hours", 6)[0] == 2


def test_under_ten_years_there_is_no_gust_of_a_return_period_and_the_months_stand(files, capsys):
    path, history, _ = files
    found = json.loads(run(capsys, "climate", path, "--history", history, "--hours", 12, "--json")[1])
    assert found["return_gusts"] == []
    assert len(found["return_refused"]) == 2
    assert found["months"]
    out = run(capsys, "climate", path, "--history", history, "--hours", 12)[1]
    assert "No gust of a return period" in out


def test_without_scipy_the_months_stand_and_it_says_what_to_install(monkeypatch):
    real = builtins.__import__

    def no_scipy(name, *rest, **more):
        if name.split(".")[0] == "scipy":
            raise ModuleNotFoundError(f"No module named {name!r}", name="scipy")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", no_scipy)
    c = climate(deployment(), invented(12, seed=9), 12, UTC)
    assert c.returns == ()
    assert "shelter-anchorage[climate]" in c.refused[0]
    assert c.total.sum() > 0


# Gusts of a return period


def test_both_fits_are_printed_and_are_in_no_limit():
    r, d = invented(), deployment()
    data = as_data(climate(d, r, 12, UTC, [2, 50]))
    assert {(g["years"], g["fit"]) for g in data["return_gusts"]} == {
        (y, f) for y in (2, 50) for f in ("gumbel", "pareto")
    }
    assert all(set(g) == {"years", "gust_m_s", "low", "high", "fit"} for g in data["return_gusts"])
    assert all(g["low"] < g["gust_m_s"] < g["high"] for g in data["return_gusts"])
    assert data["limit_gust_m_s"] == make_plan(d).limit.gust_m_s
    assert len(data["whole_years"]) == 12
    assert json.dumps(data, allow_nan=False)
    with pytest.raises(AnchorageError, match="return period of 1 years"):
        climate(d, r, 12, UTC, [1])


def test_a_year_that_is_not_known_nearly_whole_gives_no_maximum():
    r = invented(12)
    lost = (r.at >= r.at[0] + 400 * 86400) & (r.at < r.at[0] + 500 * 86400)
    holed = replace(r, gust=np.where(lost, np.nan, r.gust))
    assert len(climate(deployment(), holed, 12, UTC).whole_years) == 11


# Kits


def test_kits_are_sized_to_stand_as_often_and_compared_by_mass_volume_and_work(tmp_path):
    base = site(placed=10)
    (tmp_path / "site.toml").write_text(base, encoding="utf-8")
    (tmp_path / "barrels.toml").write_text('[anchorage]\nkind = "ballast"\nunit = "water-barrel"\ncontact = "ground"\nfoot = "rubber"\nhow = "standing-tied"\n[stock]\nwater_barrels = 1\n', encoding="utf-8")  # fmt: skip
    (tmp_path / "heavy.toml").write_text(
        base.replace('"40 lb"', '"60 lb"').replace("Aid post", "Heavy bags"), encoding="utf-8"
    )
    c = climate(deployment(), invented(2), 12, UTC)
    own, barrels, heavy = kits(
        c, str(tmp_path / "site.toml"), [str(tmp_path / f"{n}.toml") for n in ("barrels", "heavy")]
    )
    assert own.counts == {"sandbags": 80}
    assert own.mass_kg == pytest.approx(80 * 40 * 0.45359237)
    assert own.shares["share_in"] == pytest.approx(c.share_in)
    assert barrels.shares["share_in"] >= own.shares["share_in"]
    assert barrels.carried_kg == 0.0
    assert barrels.volume_m3 == pytest.approx(barrels.mass_kg / 1000.0, rel=0.01)
    assert barrels.short == {"water barrels": barrels.counts["water barrels"] - 1}
    assert heavy.shares["share_in"] >= own.shares["share_in"]
    assert heavy.counts["sandbags"] < 80
    assert own.person_min >= 80 * 5.0  # 12 bags an hour, and a tie at each point
    assert heavy.person_min < own.person_min


def test_a_kit_that_does_not_do_it_says_why(tmp_path):
    text = demo_text("clay")
    (tmp_path / "clay.toml").write_text(text, encoding="utf-8")
    (tmp_path / "short.toml").write_text("""
[anchorage]
kind = "stakes"
line_rated = "1500 lbf"
attachment_rated = "1200 lbf"
stake = { diameter = "0.5 in", driven = "12 in", line_angle = 45, line_height = "2 in", soil = "thumb-hard", spacing = "8 in" }
""", encoding="utf-8")  # fmt: skip
    c = climate(read_text(text, "clay"), invented(1), 12, UTC)
    own, short = kits(c, str(tmp_path / "clay.toml"), [str(tmp_path / "short.toml")])
    assert not own.why
    assert "stakes at a point" in short.why
    assert as_data(c, [own, short])["kits"][1]["does_it"] is False


def test_a_kit_that_is_none_is_refused(files, tmp_path, capsys):
    path, history, _ = files
    (tmp_path / "kit.toml").write_text("[stock]\nsandbags = 3\n", encoding="utf-8")
    for kit, wanted in ((tmp_path / "kit.toml", "[anchorage]"), (tmp_path / "none.toml", "No such file")):
        code, _, err = run(capsys, "climate", path, "--history", history, "--hours", 6, "--kit", kit)
        assert (code, wanted in err) == (2, True)


# As it is used


@pytest.mark.parametrize("name", NAMES)
def test_every_demo_has_a_page_with_its_cautions(name, tmp_path, capsys):
    path = tmp_path / f"{name}.toml"
    path.write_text(demo_text(name), encoding="utf-8")
    code, out, err = run(
        capsys, "climate", path, "--history", "demo", "--hours", 12, "-o", tmp_path / "m.csv"
    )
    assert (code, err) == ({"winter": 1}.get(name, 0), "")
    assert "windows of 12 h: people in" in out
    assert "Not a permit" in out
    assert max(len(x) for x in out.splitlines() if not x.startswith("wrote ")) <= 84
    rows = (tmp_path / "m.csv").read_text().splitlines()
    assert len(rows) == 1 + 12 * 24


def test_a_question_that_is_open_makes_it_cannot_say(tmp_path, capsys):
    text = site().replace('[shelter.rating]\ngust_unlocked = "60 mph"\n', "")
    (tmp_path / "site.toml").write_text(text, encoding="utf-8")
    code, out, _ = run(capsys, "climate", tmp_path / "site.toml", "--history", "demo", "--hours", 12)
    assert code == 3
    assert out.startswith("CANNOT SAY")


def test_the_table_of_months_is_the_json(capsys):
    c = climate(deployment(), invented(1), 12, UTC)
    assert len(as_csv(c).splitlines()) == 1 + len(as_data(c)["months"])
