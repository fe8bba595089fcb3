"""A meter in bulk: a million samples against a reckoning of their own, their speed, a day at ten a second, and keys beside it.

The times themselves are printed with ``-s``.
"""

import asyncio
import statistics
import time

import numpy as np
from tui_kit import demo_file, running, settled

from anchorage.meter.gusts import Gusts
from anchorage.meter.sentences import Sample
from anchorage.meter.sources import Came
from anchorage.meter.watch import Stream
from tests.meter_kit import Story, mwv
from tui.metering import Metering

MILLION = 1_000_000


def samples(n, seed=7):
    """Turbulent wind at ten a second: white noise, made to last a second."""
    rng = np.random.default_rng(seed)
    noise = np.convolve(rng.normal(0.0, 1.0, n + 9), np.ones(10) / 10**0.5, "valid")
    return np.arange(n) / 10, np.abs(9.0 + 2.5 * noise)


def test_gusts_of_a_million_samples_are_those_of_a_reckoning_of_its_own():
    """The mean of each thirty neighbours, its highest of ten minutes; looked at 200 times."""
    t, v = samples(MILLION)
    mean = np.convolve(v, np.ones(30) / 30, "valid")  # that ends with sample 29, 30 ...
    g, rng, at = Gusts(), np.random.default_rng(1), 0
    stops = np.sort(rng.integers(6100, MILLION, 200))
    for stop in stops:
        for begin in range(at, stop, 5000):
            end = min(begin + 5000, stop)
            g.push(t[begin:end], v[begin:end])
        at = int(stop)
        last = at - 1
        found = g.wind(float(t[last]))
        inside = mean[last - 29 - 5999 : last - 29 + 1]
        np.testing.assert_allclose(found.gust, inside.max(), rtol=1e-9)
        np.testing.assert_allclose(found.mean, v[at - 6000 : at].mean(), rtol=1e-9)
        np.testing.assert_allclose(found.mean_short, v[at - 1200 : at].mean(), rtol=1e-9)


def test_a_million_samples_a_second():
    t, v = samples(MILLION)
    turned = np.full(MILLION, 250.0)
    best = 0.0
    for _ in range(3):
        g, began = Gusts(), time.perf_counter()
        for i in range(0, MILLION, 10_000):
            g.push(t[i : i + 10_000], v[i : i + 10_000], turned[i : i + 10_000])
        best = max(best, MILLION / (time.perf_counter() - began))
    print(f"\n{best / 1e6:.1f} million samples a second")
    assert best > 1e6


def test_a_day_at_ten_a_second_in_bounded_memory():
    """Samples as they come, ten at a time; what is held after a day is what was held after an hour."""
    _, v = samples(36_000)
    s = Stream(lambda _: 1.0)
    one = [Sample(float(x), 250.0, "x", 250.0) for x in v]
    held = []
    for hour in range(24):
        for second in range(3600):
            s.take(3600.0 * hour + second, one[10 * second : 10 * second + 10])
        held.append(sum(a.nbytes for a in vars(s.gusts).values() if isinstance(a, np.ndarray)))
    print(f"\nheld after 1 h {held[0] / 1e6:.2f} MB, after 24 h {held[-1] / 1e6:.2f} MB")
    assert max(held) <= held[0] < 2_000_000
    assert s.gusts.wind(86399.0).gust > 0


def test_two_hours_of_sentences_raise_nothing_that_did_not_blow(tmp_path):
    """A look each second, by the whole way from the line to the report."""
    story = Story(tmp_path)
    _, v = samples(7200 * 2)
    calm = 0.4 * story.session.scale.marks[0] / v.max()
    for second in range(7200):
        story.lines.waiting += [Came(story.at, mwv(calm * v[2 * second + k])) for k in range(2)]
        story.at += 1.0
        r = story.turn()
        story.reports.clear()
    assert (r.seen.level, r.seen.alarm) == ("normal", None)


def test_a_key_beside_a_meter_takes_not_much_longer_than_without(tmp_path, monkeypatch):
    monkeypatch.setenv("ANCHORAGE_STATE", str(tmp_path))
    found = {}

    async def keys(app, pilot):
        took = []
        for _ in range(30):
            began = time.perf_counter()
            await pilot.press("5")
            took.append(time.perf_counter() - began)
        return statistics.median(took)

    async def main():
        async with running(demo_file(tmp_path)) as (app, pilot):
            await settled(app, pilot)
            app.form.go_to("wind.speed")
            found["without"] = await keys(app, pilot)
            file = tmp_path / "log.nmea"
            file.write_bytes(b"")
            app.session.meter = Metering(app.session.doc.path, f"file:{file}", app.meter_told)
            app.session.meter.start()
            ended = asyncio.Event()

            async def feed():
                n = 0
                while not ended.is_set():
                    n += 1
                    with file.open("ab") as f:
                        f.write(mwv(3.0 + 0.01 * (n % 9)))
                    await asyncio.sleep(0.1)

            task = asyncio.create_task(feed())
            await asyncio.sleep(4.0)
            found["with"] = await keys(app, pilot)
            ended.set()
            await task

    asyncio.run(main())
    print(
        f"\na key: {found['without'] * 1000:.1f} ms without a meter, {found['with'] * 1000:.1f} ms beside one"
    )
    assert found["with"] < 1.5 * found["without"] + 0.005
