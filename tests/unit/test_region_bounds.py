"""A small file that declares more than any machine holds, pieces too large to unpack, an axis without end, a cluster without workers."""

import time

import h5py
import numpy as np
import pytest
from region_kit import NOW, SINCE, deployment, grid

from anchorage.cli.entry import main
from anchorage.region import bounds, run
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import block_of, judged, region_of, results
from anchorage.region.faults import RegionError

SAID = ("--now", "2026-03-10T18:00:00Z")
GB = 10**9
pytestmark = [
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore:Creating scratch directories:UserWarning"),
]


def declared(path, hours, rows, columns, *, chunks):
    """A file that declares a grid and holds nothing of it."""
    with h5py.File(path, "w") as f:
        for name, n, standard, units in (
            ("time", hours, "time", SINCE),
            ("latitude", rows, "latitude", "degrees_north"),
            ("longitude", columns, "longitude", "degrees_east"),
        ):
            v = f.create_dataset(
                name, (n,), "f4", data=np.arange(n, dtype="f4") if n <= 50_000 else None, fillvalue=0.0
            )
            v.attrs["standard_name"], v.attrs["units"] = standard, units
            v.make_scale(name)
        f["time"].attrs["calendar"] = "standard"
        g = f.create_dataset("gust", (hours, rows, columns), "f4", chunks=chunks, fillvalue=np.nan)
        g.attrs["standard_name"], g.attrs["units"], g.attrs["cell_methods"] = (
            "wind_speed_of_gust",
            "m s-1",
            "time: maximum",
        )
        for i, name in enumerate(("time", "latitude", "longitude")):
            g.dims[i].attach_scale(f[name])
    return path


def refused(capsys, site, path):
    began = time.process_time()
    assert main(["region", str(site), "--grid", str(path), "--issued", "2026-03-10T17:00:00Z", *SAID]) == 2
    assert time.process_time() - began < 20, "it was looked at, not read"
    err = capsys.readouterr().err
    assert len(err.splitlines()) == 1
    return err


def test_a_small_file_that_declares_48_times_30000_times_30000_is_a_sentence(site, tmp_path, capsys):
    path = declared(tmp_path / "g.nc", 48, 30_000, 30_000, chunks=(1, 500, 500))
    assert path.stat().st_size < 600_000
    err = refused(capsys, site, path)
    assert "g.nc: it declares 48 x 30,000 x 30,000, 900,000,000 cells" in err
    assert "Cut the grid to your area" in err


def test_an_axis_without_end_is_not_opened(site, tmp_path, capsys, monkeypatch):
    path = declared(tmp_path / "g.nc", 3, 4, bounds.LONGEST_AXIS + 1, chunks=(1, 4, 1000))
    assert f"the axis longitude has {bounds.LONGEST_AXIS + 1} places" in refused(capsys, site, path)
    monkeypatch.setattr(bounds, "LONGEST_AXIS", 5)
    grid(6).to_zarr(tmp_path / "g.zarr", zarr_format=2)
    assert "the axis time has 6 places; at most 5" in refused(capsys, site, tmp_path / "g.zarr")


def test_pieces_that_there_is_no_room_to_unpack_are_a_sentence(site, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(bounds, "free", lambda: 300_000_000)
    path = declared(tmp_path / "g.nc", 400, 2_000, 200, chunks=(400, 2_000, 200))
    assert "gust is stored in pieces of 0.6 GB" in refused(capsys, site, path)


@pytest.mark.parametrize(
    ("hours", "members", "said"),
    [(bounds.MOST_HOURS + 1, 1, "at most 200000 times"), (24, 1001, "and 1000 members")],
)
def test_more_times_or_members_than_any_forecast_has(hours, members, said):
    g = read_grid(grid(6, members if members > 1 else None), "g")
    monkeypatch = pytest.MonkeyPatch()
    with monkeypatch.context() as m:
        if members == 1:
            m.setattr(bounds, "MOST_HOURS", 5)
            said = "at most 5 times"
        with pytest.raises(RegionError, match=said):
            bounds.check(g, hours, every_level=False)


def test_blocks_go_by_memory_and_the_results_are_the_same(monkeypatch):
    ds = grid(14, None, 12, 9, seed=5)
    whole = region_of(deployment(), read_grid(ds, "g"), NOW, None)
    wanted = results(whole, judged(whole, lazy=True).compute())
    large = block_of(whole)
    monkeypatch.setattr(bounds, "free", lambda: 2 * 14 * bounds.BYTES_WITH_SNOW * 8)
    small = block_of(whole)
    assert np.prod(list(small.values())) < np.prod(list(large.values()))
    assert results(whole, judged(whole, lazy=True).compute()).identical(wanted)


@pytest.mark.parametrize("name", ["meminfo", "cgroup", "neither"])
def test_the_tightest_bound_on_memory_counts(name, tmp_path, monkeypatch):
    for variable, text in (
        ("MEMINFO", f"MemTotal: 9 kB\nMemAvailable: {8 * GB // 1024} kB\n"),
        ("CGROUP", "max" if name == "meminfo" else f"{GB}\n"),
    ):
        path = tmp_path / variable
        if name != "neither":
            path.write_text(text)
        monkeypatch.setattr(bounds, variable, path)
    assert bounds.free() == pytest.approx(
        {"meminfo": 8 * GB, "cgroup": GB, "neither": bounds.ASSUMED}[name], rel=0.01
    )
    assert bounds.room() <= bounds.free() // 2


def test_a_cluster_without_workers_ends_in_a_sentence_with_a_time(site, tmp_path, capsys, monkeypatch):
    from distributed import LocalCluster

    monkeypatch.setattr(run, "LONELY", 0.3)
    monkeypatch.setattr(run, "LOOK", 0.1)
    grid(6).to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    with LocalCluster(n_workers=0, processes=False, dashboard_address=None, silence_logs=50) as empty:
        words = [
            "region",
            str(site),
            "--grid",
            str(tmp_path / "g.nc"),
            "--scheduler",
            empty.scheduler_address,
            *SAID,
        ]
        assert main(words) == 2
    assert "the scheduler has no worker since 0 s: start some" in capsys.readouterr().err


def test_a_cluster_that_loses_its_last_worker_ends_too(monkeypatch):
    """Nobody computes and nobody comes: what waited for ever is given up."""
    monkeypatch.setattr(run, "LONELY", 0.05)
    monkeypatch.setattr(run, "LOOK", 0.01)

    class Future:
        status, cancelled = "pending", False

        def result(self, timeout):
            time.sleep(timeout)
            raise TimeoutError

        def cancel(self):
            self.cancelled = True

    class Client:
        there, future = 1, Future()

        def compute(self, _):
            return self.future

        def nthreads(self):
            self.there -= 0.2
            return {"a": 1} if self.there > 0 else {}

    with pytest.raises(RegionError, match="no worker"):
        run._on(Client(), grid(3))
    assert Client.future.cancelled
