"""One store for many sites: what is moved, what comes down, and which row is the reason; small cases against every order there is."""

import csv
import io
import itertools
import json
import random
import sys
from dataclasses import replace

import pyarrow.parquet as pq
import pytest

from anchorage.cli import fleet as cli_fleet
from anchorage.cli.entry import main
from anchorage.core.errors import InputFaults
from anchorage.demo import COUNTY_NOW, county, demo_text
from anchorage.fleet.allot import (
    STORE,
    AllotError,
    Allotment,
    Delivery,
    Lack,
    Problem,
    Spot,
    Team,
    Thing,
    allot,
    broken,
    lacks,
)
from anchorage.fleet.moving import problem_of
from anchorage.fleet.needs import State, StockOptions, need_of
from anchorage.fleet.run import files_of
from anchorage.fleet.stock import is_stock, read_stock
from anchorage.outlook.clock import read_iso

BAGS = "bags"
FITS = frozenset({BAGS})


# the program against every order of loads


def spot(name, has, *deliveries, **more):
    return Spot(name, {BAGS: has}, tuple(Delivery(by, {BAGS: n}) for by, n in deliveries), fits=FITS, **more)


def team(roads, *, payload=2.0, until=100.0, people=1):
    every = {**roads, **{(b, a): t for (a, b), t in roads.items() if a != STORE and (b, a) not in roads}}
    return Team("one", payload, people, until, every, {k: 10.0 * v for k, v in every.items()})


def by_hand(p):
    """The best of every choice of sites and every order of loads: (kept by rank, standing kept, early, kg, metres), all less is better."""
    t, names = p.teams[0], [s.name for s in p.spots]
    weight, handling = p.things[0].mass, p.things[0].handling / t.people
    best = None
    for held in itertools.product((0, 1), repeat=len(names)):
        for early in itertools.product((0, 1), repeat=len(names)):
            if any(h and (e or not s.can_hold) for h, e, s in zip(held, early, p.spots, strict=True)):
                continue
            if any(e and (s.early is None or s.early == s.late) for e, s in zip(early, p.spots, strict=True)):
                continue
            free = {STORE: [(0.0, p.store.get(BAGS, 0))]}
            want = []
            for h, e, s in zip(held, early, p.spots, strict=True):
                n, keeps = s.has[BAGS], s.final.get(BAGS, 0)
                if h:
                    free[s.name] = [(0.0, max(n - keeps, 0))]
                    want += [(s.name, d.by, d.needs[BAGS] - n) for d in s.deliveries if d.needs[BAGS] > n]
                else:
                    at = s.early if e else s.late
                    free[s.name] = [] if at is None else [(at, n)]
            found = cheapest(t, free, want, weight, handling)
            if found is None:
                continue
            ranks = sorted({s.keep for s in p.spots})
            kept = []
            for r in ranks:
                kept += [
                    -sum(h for h, s in zip(held, p.spots, strict=True) if s.keep == r),
                    -sum(h for h, s in zip(held, p.spots, strict=True) if s.keep == r and s.standing),
                ]
            mine = (*kept, sum(early), *found)
            best = mine if best is None else min(best, mine)
    return best


def cheapest(t, free, want, weight, handling):
    """Least (kg, metres) of every order of rounds that is in time; None where none is."""
    total = {name: max((n for w, _, n in want if w == name), default=0) for name, _, _ in want}
    times = sorted({at for parts in free.values() for at, _ in parts if at > 0})
    best = None

    def late(came):
        return any(
            sum(n for at, n in came[w] if by is None or at <= by + 1e-9) < lack for w, by, lack in want
        )

    def go(clock, taken, came, kg, metres):
        nonlocal best
        if best is not None and (kg, metres) >= best:
            return
        if all(sum(n for _, n in came[w]) >= n_all for w, n_all in total.items()):
            if not late(came):
                best = (kg, metres)
            return
        for (a, b), drive in t.drive.items():
            if b not in total:
                continue
            left = sum(n for at, n in free[a] if at <= clock) - taken[a] if a in free else 0
            lack = total[b] - sum(n for _, n in came[b])
            for n in range(1, min(left, lack, int(t.payload // weight)) + 1):
                done = clock + drive + n * handling
                if done <= t.until + 1e-9:
                    go(
                        done,
                        {**taken, a: taken[a] + n},
                        {**came, b: [*came[b], (done, n)]},
                        kg + n * weight,
                        metres + t.metres[a, b],
                    )
        later = [x for x in times if x > clock]
        if later:
            go(later[0], taken, came, kg, metres)

    go(0.0, dict.fromkeys(free, 0), {w: [] for w in total}, 0.0, 0.0)
    return best


def some_problem(seed):
    r = random.Random(seed)  # noqa: S311 - cases, no secrets
    a, b = (
        spot(
            n, r.randint(0, 2), (r.choice((None, 2.0, 3.0, 4.0, 6.0)), r.randint(0, 3)), keep=r.choice((1, 2)), standing=r.random() < 0.5,
            early=r.choice((None, 1.0)), late=r.choice((None, 3.0)),
        )
        for n in ("a", "b")
    )  # fmt: skip
    roads = {(STORE, "a"): r.choice((1.0, 2.0)), (STORE, "b"): r.choice((1.0, 3.0)), ("a", "b"): 2.0}
    for k in list(roads):
        if r.random() < 0.15:
            del roads[k]
    return Problem(
        (Thing(BAGS, 1.0, r.choice((0.0, 0.5))),),
        (a, b),
        (team(roads, until=r.choice((4.0, 12.0))),),
        {BAGS: r.randint(0, 4)},
    )


@pytest.mark.parametrize("seed", range(40))
def test_no_order_of_loads_does_better(seed):
    p = some_problem(seed)
    a = allot(p)
    assert a.proven
    assert broken(p, a) == []
    kept = []
    for rank in sorted({s.keep for s in p.spots}):
        mine = [s for s in p.spots if s.keep == rank]
        kept += [-sum(s.name in a.held for s in mine), -sum(s.name in a.held for s in mine if s.standing)]
    want = by_hand(p)
    assert (*kept, len(a.early)) == want[:-2]
    assert (a.mass(p), a.metres(p)) == pytest.approx(want[-2:])


def counts(p):
    a = allot(p)
    return [sum(s.name in a.held for s in p.spots if s.keep == r) for r in (1, 2)]


@pytest.mark.parametrize("seed", range(40, 52))
def test_less_of_anything_never_holds_more(seed):
    p = some_problem(seed)
    t, was = p.teams[0], counts(p)
    worse = [
        replace(p, store={BAGS: max(p.store[BAGS] - 1, 0)}),
        replace(p, teams=(replace(t, until=t.until / 2),)),
        replace(p, teams=(replace(t, payload=1.0),)),
        replace(p, teams=(replace(t, drive={k: v * 1.5 for k, v in t.drive.items()}),)),
        replace(p, things=(replace(p.things[0], handling=p.things[0].handling + 1.0),)),
        replace(p, spots=tuple(replace(s, early=None, late=None) for s in p.spots)),
    ]
    for q in worse:
        assert counts(q) <= was


def test_what_does_not_keep_the_problem_is_found():
    p = Problem((Thing(BAGS, 1.0, 0.0),), (spot("a", 0, (5.0, 2)),), (team({(STORE, "a"): 2.0}),), {BAGS: 2})
    a = allot(p)
    (load,) = a.loads
    assert broken(p, a) == []
    for other in (
        replace(load, items={BAGS: 1}), replace(load, items={BAGS: 3}), replace(load, done=7.0), replace(load, rounds=0), replace(load, free=1.0),
    ):  # fmt: skip
        assert broken(p, replace(a, loads=(other,)))
    assert broken(p, Allotment(("a",), ()))


def test_six_sites_do_not_claim_the_same_sixty_bags():
    names = [f"s{i}" for i in range(6)]
    p = Problem(
        (Thing(BAGS, 1.0, 0.0),), tuple(spot(n, 0, (None, 60)) for n in names),
        (team({(STORE, n): 1.0 for n in names}, payload=60.0),), {BAGS: 60},
    )  # fmt: skip
    a = allot(p)
    assert len(a.held) == 1
    assert sum(x.items[BAGS] for x in a.loads) == 60
    assert lacks(p, a.held) == [Lack("item", BAGS, 300)]
    more = replace(p, store={BAGS: 360})
    assert len(allot(more).held) == 6
    assert lacks(more, allot(more).held) == []
    assert len(allot(replace(p, store={BAGS: 359})).held) == 5


ROAD = {(STORE, "a"): 10.0}
ONE = Problem(
    (Thing(BAGS, 1.0, 1.0),), (spot("a", 0, (30.0, 4)),), (team(ROAD, payload=4.0, until=40.0),), {BAGS: 4}
)


@pytest.mark.parametrize(
    ("p", "reason"),
    [
        (replace(ONE, store={BAGS: 1}), [Lack("item", BAGS, 3)]),
        (replace(ONE, teams=()), [Lack("crew", "")]),
        (replace(ONE, teams=(), store={BAGS: 1}), [Lack("item", BAGS, 3), Lack("crew", "")]),
        (replace(ONE, teams=(replace(ONE.teams[0], drive={}, metres={}),)), [Lack("distance", "store to a")]),
        (replace(ONE, teams=(replace(ONE.teams[0], payload=0.5),)), [Lack("payload", BAGS)]),
        (replace(ONE, teams=(replace(ONE.teams[0], until=5.0),)), [Lack("hours", "one")]),
        (replace(ONE, teams=(replace(ONE.teams[0], payload=2.0),), spots=(spot("a", 0, (20.0, 4)),)), [Lack("crew", "one", 1)]),
        (replace(ONE, spots=(spot("a", 0, (5.0, 4)),)), [Lack("time", "a")]),
        (replace(ONE, spots=(replace(spot("a", 0, (30.0, 4)), fits=frozenset()),)), [Lack("site", "a")]),
    ],
)  # fmt: skip
def test_what_cannot_be_held_names_the_row(p, reason):
    a = allot(p)
    assert a.held == ()
    assert lacks(p, a.held) == reason


def test_of_two_the_one_to_keep_is_kept_and_then_the_one_that_stands():
    p = replace(ONE, spots=(spot("a", 0, (None, 4), keep=2), spot("b", 0, (None, 4), keep=1)),
                teams=(team({(STORE, "a"): 1.0, (STORE, "b"): 9.0}, payload=4.0),))  # fmt: skip
    assert allot(p).held == ("b",)
    same = replace(p, spots=(replace(p.spots[0], keep=1), replace(p.spots[1], standing=True)))
    assert allot(same).held == ("b",)


def test_a_site_comes_down_early_only_where_that_holds_another():
    there = spot("a", 4, (50.0, 6), standing=True, early=2.0, late=40.0)
    p = Problem(
        (Thing(BAGS, 1.0, 0.0),),
        (there, spot("b", 0, (20.0, 4), keep=1)),
        (team({("a", "b"): 5.0}, payload=4.0),),
        {},
    )
    a = allot(p)
    assert (a.held, a.early) == (("b",), ("a",))
    assert a.loads[0].leaves >= 2.0
    later = replace(p, spots=(there, spot("b", 0, (60.0, 4), keep=1)))
    assert (allot(later).held, allot(later).early) == (("b",), ())
    assert allot(later).loads[0].leaves >= 40.0


# files


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    where = tmp_path_factory.mktemp("stock") / "county"
    assert main(["demo", "county", "--copy", str(where)]) == 0
    return where


def typed(folder, *more):
    return ["fleet", str(folder), "--stock", str(folder / "stock.toml"), "--forecast", str(folder / "forecast.csv"), "--now", COUNTY_NOW,
            "--zone", "America/Chicago", "--jobs", "1", *more]  # fmt: skip


@pytest.fixture(scope="module")
def asked(folder):
    """The demo county asked for once: exit code, JSON, and what each site was found to need."""
    kept, out, was, real = {}, io.StringIO(), sys.stdout, cli_fleet.need_of
    sys.stdout, cli_fleet.need_of = out, lambda path, o: kept.setdefault(path.stem, real(path, o))
    try:
        code = main(typed(folder, "--json"))
    finally:
        sys.stdout, cli_fleet.need_of = was, real
    return code, json.loads(out.getvalue()), kept


@pytest.fixture(scope="module")
def found(asked):
    """Exit code and JSON."""
    return asked[:2]


@pytest.fixture(scope="module")
def needs(asked):
    """What each site needs; no test changes it."""
    return asked[2]


@pytest.fixture
def quick(needs, monkeypatch):
    """The command, with what was found before."""
    monkeypatch.setattr(cli_fleet, "need_of", lambda path, o: needs[path.stem])


def test_the_county_holds_two_and_says_what_is_short(found):
    code, data = found
    assert code == 1
    assert [d["file"] for d in data["come_down"]] == ["office.toml"]
    assert set(data["come_down"][0]) >= {"file", "by", "why"}
    assert all(set(m) >= {"item", "count", "from", "to"} for m in data["moves"])
    assert sum(m["count"] for m in data["moves"] if m["from"] == "store") <= 90
    assert data["proven"] is True
    (reason,) = data["reasons"]
    assert reason["row"] == "item sandbags"
    assert reason["more"] > 0


def test_the_number_that_is_short_is_the_number_that_holds_all(folder, found, tmp_path, capsys, quick):
    more = found[1]["reasons"][0]["more"]
    path = tmp_path / "stock.toml"
    args = typed(folder, "--json")
    args[args.index("--stock") + 1] = str(path)
    for n, held in ((90 + more, 3), (90 + more - 1, 2)):
        path.write_text(STOCK.replace("sandbags = 90", f"sandbags = {n}"), encoding="utf-8")
        main(args)
        assert len(json.loads(capsys.readouterr().out)["held"]) == held


def test_counts_are_those_of_check_and_the_outlook_says_go_with_them(folder, found, tmp_path, capsys):
    """Held means: outlook, asked by itself with those counts in the file, has no hour against it; and no fewer by check."""
    for held in found[1]["held"]:
        text = (folder / held["file"]).read_text(encoding="utf-8")
        line = next(x for x in text.splitlines() if x.startswith("placed = "))
        counts = ", ".join(f"{k} = {n}" for k, n in held["points"].items())
        path = tmp_path / held["file"]
        path.write_text(text.replace(line, f"placed = {{ {counts} }}"), encoding="utf-8")
        code = main(
            ["outlook", str(path), "--forecast", str(folder / "forecast.csv"), "--now", COUNTY_NOW, "--json"]
        )
        assert code == 0
        assert json.loads(capsys.readouterr().out)["verdict"] == "go"
        sized = tmp_path / "sized.toml"
        sized.write_text(text.replace(line, ""), encoding="utf-8")
        main(["check", str(sized), "--gust", "24 mph", "--json"])
        assert (
            json.loads(capsys.readouterr().out)["anchorage"]["total"]["units"] == held["totals"]["sandbags"]
        )


def test_what_may_stand_empty_is_said_and_only_where_nothing_of_it_is_taken(
    folder, found, needs, tmp_path, capsys, quick
):
    """The demo's office gives what it has; with nothing in the store and no road it keeps it, and that holds with nobody in it."""
    assert found[1]["come_down"][0]["may_stand_empty"] is False
    assert "holds others" in found[1]["come_down"][0]["why"]
    path = tmp_path / "stock.toml"
    path.write_text(STOCK.replace("sandbags = 90", "sandbags = 0").split("[[distance]]")[0], encoding="utf-8")
    args = typed(folder, "--json")
    args[args.index("--stock") + 1] = str(path)
    main(args)
    down = {d["file"]: d for d in json.loads(capsys.readouterr().out)["come_down"]}
    assert set(down) == {"clinic.toml", "kitchen.toml", "office.toml"}
    for file, d in down.items():
        row = needs[file.removesuffix(".toml")].row
        assert d["may_stand_empty"] is (row.share < 1.0)
        assert d["people_out_by"] == row.people_out_by
    main([*args[:-1]])
    assert "standing EMPTY, everybody out by" in " ".join(capsys.readouterr().out.split())


def test_nothing_is_moved_where_all_hold(folder, tmp_path, capsys):
    calm = tmp_path / "calm.csv"
    calm.write_text("# issued 2026-03-10T17:00:00Z\ntime, gust (mph), thunder (%)\n" + "".join(f"2026-03-{10 + (18 + h) // 24}T{(18 + h) % 24:02d}:00Z, 8, 0\n" for h in range(14)))  # fmt: skip
    args = typed(folder, "--json")
    args[args.index("--forecast") + 1] = str(calm)
    assert main(args) == 0
    data = json.loads(capsys.readouterr().out)
    assert (data["moves"], data["come_down"], data["reasons"]) == ([], [], [])
    assert len(data["held"]) == 3


def test_a_site_that_cannot_be_judged_keeps_what_it_has(folder, tmp_path):
    path = tmp_path / "office.toml"
    path.write_text("x = [", encoding="utf-8")
    n = need_of(path, StockOptions(0, has={"office": {"sandbags": 50}}))
    assert n.state is State.UNREAD
    assert n.has == {"sandbags": 50}


def logged(tmp_path, *events, placed="placed = 6"):
    path = tmp_path / "a.toml"
    path.write_text(
        demo_text("asphalt").replace('how = "standing-tied"', f'{placed}\nhow = "standing-tied"'),
        encoding="utf-8",
    )
    for event in events:
        assert main(["log", str(path), *event, "--who", "A. Lee", "--now", COUNTY_NOW]) == 0
    return path


@pytest.mark.parametrize(
    ("events", "placed", "has", "standing", "counted"),
    [
        ((), "placed = 6", None, True, True),
        ((), "", None, False, True),
        ((), "", {"sandbags": 50}, False, True),
        ((("setup",),), "", {"sandbags": 50}, True, False),
        ((("setup",), ("placed", "6", "--each")), "", None, True, True),
        ((("setup",), ("struck",)), "placed = 6", None, False, True),
        ((), "placed = 6", {"sandbags": 40}, True, False),
    ],
)
def test_whether_it_stands_and_is_counted(tmp_path, events, placed, has, standing, counted):
    """One that stands and is not counted, or by two counts, gives nothing away; one that was taken down has all it had to give."""
    path = logged(tmp_path, *events, placed=placed)
    n = need_of(
        path, StockOptions(read_iso(COUNTY_NOW, "test", "now"), has={} if has is None else {"a": has})
    )
    assert (n.state, n.standing, n.counted) == (State.COUNTED, standing, counted)
    assert n.has == (has or ({"sandbags": 48} if placed or standing else {}))
    stock = replace_distances(STOCK, "a")
    p, _ = problem_of([n], read_stock(written(tmp_path, stock)), 0)
    s = p.spots[0]
    assert (s.spare, s.early is not None) == (counted, counted and (n.lead is not None or not standing))
    if not standing:
        assert (s.early, s.late) == (0.0, 0.0)
    if not counted:
        assert (s.early, s.late) == (None, None)


def replace_distances(text, name):
    return (
        text.split("[[distance]]")[0]
        .replace('"clinic"', f'"{name}"')
        .replace('[[place]]\nname = "kitchen"\nkeep = 2\n', "")
        .replace('[[place]]\nname = "office"\nkeep = 3\n', "")
    )


def written(tmp_path, text):
    path = tmp_path / "s.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_rating_is_no_matter_of_counts(tmp_path):
    path = tmp_path / "a.toml"
    path.write_text(demo_text("asphalt").replace('"20 mph"', '"44 mph"'), encoding="utf-8")
    n = need_of(path, StockOptions(0))
    assert n.state is State.OVER
    assert "rating" in n.over


def test_text_table_and_page(folder, tmp_path, capsys, quick):
    assert main(typed(folder, "-o", str(tmp_path / "m.csv"))) == 1
    out = capsys.readouterr().out
    assert "COMES DOWN" in out
    assert "Not a permit" in out
    assert max(map(len, out.splitlines()[:30])) <= 80
    rows = list(csv.DictReader(io.StringIO((tmp_path / "m.csv").read_text(encoding="utf-8"))))
    assert main(typed(folder, "-o", str(tmp_path / "m.parquet"))) == 1
    table = pq.read_table(tmp_path / "m.parquet").to_pylist()
    assert [(r["item"], int(r["count"]), r["from"], r["to"]) for r in rows] == [
        (r["item"], r["count"], r["from"], r["to"]) for r in table
    ]
    assert str(table[0]["leaves"].tzinfo) == "UTC"
    assert main(typed(folder, "-o", str(tmp_path / "m.html"))) == 1
    page = (tmp_path / "m.html").read_text(encoding="utf-8")
    assert all(w in page for w in ("MOVE", "CREW north", "office", "60 sandbags", "item sandbags"))


STOCK = (county() / "stock.toml").read_text(encoding="utf-8")


def test_a_stock_file_is_never_a_deployment(folder, capsys):
    assert is_stock(folder / "stock.toml")
    assert "stock.toml" not in [p.name for p in files_of(str(folder))[0]]
    assert main(["check", str(folder / "stock.toml")]) == 2
    assert main(["fleet", str(folder), "--stock", str(folder / "office.toml"), "--jobs", "1"]) == 2
    assert "deployment" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('name = "sandbags"', 'nme = "sandbags"', 'did you mean "name"'),
        (
            'unit_mass = "40 lb"         # weighed; the files count on this\n',
            "",
            "item[1].unit_mass: not given",
        ),
        ('handling = "60 s"', 'handling = "-60 s"', "handling"),
        ('vehicle = "truck 1"', 'vehicle = "truck 2"', "crew[1].vehicle"),
        ("{ sandbags = 90 }", "{ bags = 90 }", "place[1].has.bags"),
        ('name = "kitchen"', 'name = "clinic"', "more than once"),
        ('name = "sandbags"', 'name = "stakes"', "item[1].diameter: not given"),
        ("{ sandbags = 90 }", "{ sandbags = 9.5 }", "whole number"),
    ],
)
def test_what_is_wrong_with_a_stock_file_is_said(tmp_path, old, new, said):
    path = tmp_path / "stock.toml"
    assert old in STOCK
    path.write_text(STOCK.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(InputFaults) as e:
        read_stock(path)
    assert said in str(e.value)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('unit_mass = "40 lb"', 'unit_mass = "35 lb"', "none is counted from one to the other"),
        ('name = "sandbags"', 'name = "water_barrels"', "no [[item]] of that name"),
    ],
)
def test_units_that_are_not_what_a_file_counts_on_are_not_brought(
    folder, tmp_path, capsys, quick, old, new, said
):
    path = tmp_path / "stock.toml"
    path.write_text(STOCK.replace(old, new, 1).replace("{ sandbags = 90 }", "{ }"), encoding="utf-8")
    args = typed(folder, "--json")
    args[args.index("--stock") + 1] = str(path)
    assert main(args) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["moves"] == []
    assert any(said in r["why"] for r in data["reasons"])


def test_places_that_there_are_not_are_refused(folder, tmp_path, capsys):
    path = tmp_path / "stock.toml"
    path.write_text(STOCK.replace('to = "office"', 'to = "ofice"', 1), encoding="utf-8")
    args = typed(folder)
    args[args.index("--stock") + 1] = str(path)
    assert main(args) == 2
    assert "distance[3].to" in capsys.readouterr().err


def test_without_the_solver_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    with pytest.raises(AllotError, match=r"shelter-anchorage\[fleet\]"):
        allot(ONE)


def test_what_is_free_later_is_in_time_only_if_there_is_time_for_it():
    """What a site has is free at 3 and one round takes 2: due at 5 it is there, due at 4 it is not, and two rounds are not."""
    roads = {("a", "b"): 2.0}
    there = spot("a", 2, standing=True, can_hold=False, early=None, late=3.0)
    for due, payload, held in ((5.0, 2.0, ("b",)), (4.0, 2.0, ()), (5.0, 1.0, ()), (7.0, 1.0, ("b",))):
        p = Problem(
            (Thing(BAGS, 1.0, 0.0),), (there, spot("b", 0, (due, 2))), (team(roads, payload=payload),), {}
        )
        assert allot(p).held == held, (due, payload)
