"""The packing list: counts from the plan, worked masses and volumes, what is short, and the best spread of the stock."""

import itertools
import json
import math

import numpy as np
import pytest

from anchorage.checks.installation import assemble
from anchorage.cli.entry import main
from anchorage.core.plain import columns
from anchorage.demo import NAMES, demo_text
from anchorage.deployment.reader import read_text
from anchorage.judging.gusts import printed
from anchorage.judging.packing import packing
from anchorage.judging.plan import assess, make_plan
from anchorage.judging.verdict import bounds
from anchorage.judging.with_stock import alike
from anchorage.paper.pack_page import pack_lines
from anchorage.paper.words import short_words
from tui import answer


def packed(name: str = "asphalt", *swaps: tuple[str, str], crew: int | None = None):
    text = demo_text(name)
    for a, b in swaps:
        assert a in text
        text = text.replace(a, b)
    d = read_text(text)
    plan = make_plan(d)
    return d, plan, packing(assess(d), crew)


def by_name(k):
    return {i.name: i for i in k.items}


@pytest.mark.parametrize("name", NAMES)
def test_the_list_of_every_demo_has_what_the_plan_has(name):
    _, plan, k = packed(name)
    found = by_name(k)
    for item in {p.item for p in plan.anchorage.points if p.kind != "none"}:
        need = sum(p.units + p.stakes for p in plan.anchorage.points if p.item == item)
        assert found[item.replace("-", " ") + "s"].needed == need
    assert all(i.bring == i.needed + i.spare and i.spare >= 0 for i in k.items)
    for s in plan.stock:
        assert found[s.item].brought == s.brought
        assert found[s.item].short == s.short
    assert max(map(columns, pack_lines(k, plan))) <= 72


def test_masses_volumes_and_times_worked_by_hand():
    """76 bags of 40 lb, a tenth more as spares (8): 84 x 18.1437 kg = 1524.07 kg; sand at 14 kN/m3 with a tenth lost:
    1524.07 x 9.80665 / 14000 x 1.1 = 1.1743 m3; four people fill 12 bags an hour each: 84 / 48 = 1.75 h. All that is
    driven out: the bags, the shelter of 240 lb, 9 ties of 0.5 kg, 2 shovels of 2.5, a scale of 1.5, 2 meters of 0.5."""
    d, plan, k = packed("asphalt")
    bags = by_name(k)["sandbags"]
    assert (bags.needed, bags.spare, bags.bring) == (76, 8, 84)
    assert bags.mass_kg == pytest.approx(84 * 18.1436948, rel=1e-6)
    light = 9 * 0.5 + 2 * 2.5 + 1.5 + 2 * 0.5
    assert k.mass_kg == pytest.approx(84 * 18.1436948 + float(d.shelter.mass) + light, rel=1e-6)
    assert k.mass_kg == pytest.approx(sum(i.mass_kg for i in k.items))
    (sand,) = k.filling
    assert sand.volume_m3 == pytest.approx(1.1743, abs=1e-4)
    assert sand.hours == pytest.approx(1.75)
    assert packed("asphalt", crew=7)[2].filling[0].hours == pytest.approx(1.0)
    assert [(x.by, x.count) for x in k.lifts] == [("one person", 84)]
    assert (k.pallets, k.vehicles) == (2, {"pickup": 3, "trailer": 2, "truck": 1})
    text = "\n".join(pack_lines(k, plan))
    assert "1.6 yd3" in text  # 1.1743 m3 = 1.536 yd3, rounded up
    assert "1 h 45 min" in text


def test_what_is_not_in_the_mass_is_said():
    """A list is whole or says what is missing from it: a load that is too heavy is found on the road."""
    _, plan, k = packed("asphalt", ('\nmass = "', '\n# mass = "'))
    assert by_name(k)["shelter"].mass_kg == 0.0
    assert any("shelter.mass" in n for n in k.notes)
    assert "The shelter is NOT in the mass" in "\n".join(pack_lines(k, plan))
    assert not any("shelter.mass" in n for n in packed("asphalt")[2].notes)


def test_water_is_filled_where_it_stands_and_is_neither_driven_nor_lifted():
    """12 barrels: 5188 lb of the total that stands there is water, which comes by hose."""
    _, _, k = packed("mixed")
    barrels = by_name(k)["water barrels"]
    assert k.mass_kg == pytest.approx(sum(i.mass_kg for i in k.items) - barrels.mass_kg)
    assert k.mass_kg < 400
    assert sum(x.count for x in k.lifts) == by_name(k)["stakes"].bring
    assert [f.what for f in k.filling] == ["water"]
    assert any("are NOT in the mass" in n for n in k.notes)


def test_heavy_things_are_lifted_by_more_than_one():
    lifts = {}
    for mass in ("40 lb", "41 lb", "80 lb", "500 lb"):
        _, _, k = packed("asphalt", ('unit_mass = "40 lb"', f'unit_mass = "{mass}"'))
        lifts[mass] = k.lifts[0].by
    assert lifts == {
        "40 lb": "one person",
        "41 lb": "two people",
        "80 lb": "two people",
        "500 lb": "a machine",
    }


def test_stakes_need_lines_mallets_and_pull_tests():
    _, _, k = packed("clay", ("placed = 1 ", "# placed = 1 "))
    found = by_name(k)
    assert found["stakes"].needed == 24
    assert found["lines"].needed == 8
    assert found["mallets"].needed == 2
    assert "spring scale or load cell" in found
    length, radius = 0.762 + 0.1, 0.0127
    assert found["stakes"].mass_kg == pytest.approx(27 * math.pi * radius**2 * length * 7850, rel=1e-6)


def test_nothing_short_asks_for_no_other_spread():
    assert packed("asphalt")[2].best is None
    assert packed("asphalt", ("sandbags = 100", "sandbags = 76"))[2].best is None
    assert packed("asphalt", ("sandbags = 100", "sandbags = 75"))[2].best is not None


@pytest.mark.parametrize("brought", [5, 17, 28, 60])
def test_the_best_spread_is_the_best_of_all_that_can_be_tried(brought):
    d = packed("asphalt", ("points_per_end = 2", "points_per_end = 4"))[0]
    x = assemble(d)
    best = alike(x, brought)
    groups = [p.group for p in x.shape.points]
    cap = min((b.gust for b in bounds(x)), default=math.inf)
    top = 0.0
    for c, s, e in itertools.product(range(brought // 4 + 1), repeat=3):
        some = {n > 0 for n in (c, s, e)}
        if (
            4 * (c + s + e) <= brought and len(some) == 1
        ):  # a spread leaves no foot bare beside others that are not
            counts = np.array([{"corner": c, "side": s, "end": e}[g] for g in groups])
            top = max(top, min(x.gust_held(counts), cap))
    assert best.gust_m_s == pytest.approx(top, rel=1e-5)
    assert best.counts.sum() <= brought


def test_the_best_spread_is_never_worse_than_the_same_everywhere():
    d, plan, k = packed("asphalt", ("sandbags = 100", "sandbags = 40"))
    x = assemble(d)
    assert k.best.gust_m_s >= x.gust_held(np.full(8, 5)) - 1e-9
    bare = plan.half_built.up_to_m_s  # of the bare shell, whatever is brought
    assert k.best.set_up_below_m_s == pytest.approx(min(0.6 * k.best.gust_m_s, bare))
    text = " ".join(pack_lines(k, plan))
    assert "With only the 40 sandbags brought it holds to" in text


def test_of_two_kinds_that_are_short_the_gust_is_that_with_both_short():
    """Each was judged with the other as if it were there."""
    _, plan, k = packed(
        "mixed",
        ("stakes = 16", "stakes = 8"),
        ("water_barrels = 12", "water_barrels = 8"),
    )
    stakes, barrels = (next(s for s in plan.stock if s.item == i) for i in ("stakes", "water barrels"))
    assert stakes.holds_with_stock_m_s == barrels.holds_with_stock_m_s == k.best.gust_m_s
    one = packed("mixed", ("stakes = 16", "stakes = 8"))[1]
    alone = next(s for s in one.stock if s.item == "stakes").holds_with_stock_m_s
    assert stakes.holds_with_stock_m_s <= alone
    assert set(stakes.spread.values()) == {2}


@pytest.mark.parametrize("brought", [30, 56, 57])
def test_every_page_prints_one_spread_and_one_gust_of_a_short_stock(brought, tmp_path, capsys):
    """check said 6 and 9 at 30 mph, pack 6 and 8 at 29."""
    site = tmp_path / "s.toml"
    site.write_text(demo_text("asphalt").replace("sandbags = 100", f"sandbags = {brought}"))
    plan = assess(read_text(site.read_text(), "s.toml")).plan
    (s,) = plan.stock
    corner, side = s.spread["L1"], s.spread["L2"]
    each = f"{corner} at each of 4 corners, {side} at each of 4 side points"
    gust = printed(plan, s.holds_with_stock_m_s)
    pages = {"answer": answer.short_words(plan, s), "sheet": " ".join(short_words(plan))}
    for name in ("check", "pack", "ways"):
        main([name, str(site)])
        pages[name] = " ".join(capsys.readouterr().out.split())
    for name in ("answer", "sheet", "check", "pack"):
        assert each in pages[name], name
        assert f"holds to {gust}" in pages[name], name
    said = pages["ways"].lower()
    assert f"everything brought, spread for the highest gust: go holds to {gust}" in said or (
        f"everything brought, spread for the highest gust: it holds to {gust}" in said
        and "unlike on the two sides" in said  # that holds more, and is named as what it is
    )


def test_from_the_command_line(capsys, tmp_path):
    site = tmp_path / "s.toml"
    site.write_text(demo_text("asphalt").replace("sandbags = 100", "sandbags = 60"))
    assert main(["pack", str(site), "--crew", "6", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["items"][0]["bring"] == 84
    assert data["filling"][0]["crew"] == 6
    assert data["best"]["by_group"] == {"corner": 6, "side": 9}
    for name in ("p.pdf", "p.html"):
        assert main(["pack", str(site), "-o", str(tmp_path / name), "--now", "2026-03-10T18:00:00Z"]) == 0
        assert (tmp_path / name).stat().st_size > 2000
    assert main(["pack", str(site), "--crew", "0"]) == 2
    assert main(["pack", str(site), "-o", str(tmp_path / "p.txt")]) == 2
    assert "one of .pdf" in capsys.readouterr().err
