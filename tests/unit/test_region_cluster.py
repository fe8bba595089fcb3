"""The same command on a dask cluster; a worker that is killed in mid-run changes nothing."""

import json
import os
import signal
import threading
import time

import dask.array as da
import numpy as np
import pytest
import xarray as xr
from distributed import Client, LocalCluster
from region_kit import NOW, deployment, grid

from anchorage.cli import entry as cli
from anchorage.demo import demo_text
from anchorage.region.cf import read_grid
from anchorage.region.evaluate import judged, region_of, results
from anchorage.region.run import run

ROWS = 24
SAID = "2026-03-10T18:00:00Z"
pytestmark = [
    pytest.mark.filterwarnings("ignore::ResourceWarning"),  # sockets of a worker that is killed
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore:Creating scratch directories:UserWarning"),
]


@pytest.fixture(scope="module")
def cluster():
    """Two workers, each a process of its own that is started again when it dies."""
    with LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0", silence_logs=50
    ) as found:
        yield found


def slow(values, folder, wait=0.08):
    """The same numbers as a dask array that takes its time, row by row, and leaves a mark for each row it gives."""

    def give(block, block_info=None):
        row = block_info[0]["chunk-location"]
        with open(os.path.join(folder, f"{row[-2]}-{os.getpid()}-{time.time_ns()}"), "w"):  # noqa: PTH118, PTH123 - runs elsewhere
            pass
        time.sleep(wait)
        return block

    return da.map_blocks(
        give,
        da.from_array(values, chunks=(-1, -1, 1, -1)),
        dtype=values.dtype,
        meta=np.empty((0,) * 4, values.dtype),
    )


def test_a_worker_killed_in_mid_run_gives_the_same_result(cluster, tmp_path):
    rng = np.random.default_rng(8)
    gust = rng.uniform(0, 22, (14, 2, ROWS, 3))
    gust[rng.random(gust.shape) < 0.02] = np.nan
    plain = grid(14, 2, ROWS, 3, gust=gust)
    whole = region_of(deployment(), read_grid(plain, "grid"), NOW, None)
    wanted = results(whole, judged(whole))
    far = plain.copy()
    far["gust"] = (plain["gust"].dims, slow(gust, str(tmp_path)), plain["gust"].attrs)
    region = region_of(deployment(), read_grid(far, "grid"), NOW, None)
    found = []
    with Client(cluster, set_as_default=True) as client:
        before = {w: client.run(os.getpid, workers=[w])[w] for w in client.scheduler_info()["workers"]}
        worker = threading.Thread(target=lambda: found.append(judged(region).compute(scheduler=client)))
        worker.start()
        deadline = time.monotonic() + 20
        while len(list(tmp_path.iterdir())) < 6 and time.monotonic() < deadline:
            time.sleep(0.01)
        done = len(list(tmp_path.iterdir()))
        os.kill(next(iter(before.values())), signal.SIGKILL)
        worker.join(60)
    assert 6 <= done < ROWS, "it was killed in mid-run"
    marks = [p.name.split("-") for p in tmp_path.iterdir()]
    assert {int(row) for row, *_ in marks} == set(range(ROWS))
    assert len(marks) > ROWS, "what the dead worker held was done again"
    assert results(region, found[0]).identical(wanted)


def test_the_command_runs_on_a_cluster_as_it_does_here(cluster, tmp_path, capsys):
    ds = grid(14, 2, 6, 5, seed=4)
    ds.to_zarr(tmp_path / "g.zarr", zarr_format=2)
    ds.to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    here = run(str(tmp_path / "g.nc"), deployment(), NOW, None)[1]
    there = run(str(tmp_path / "g.nc"), deployment(), NOW, None, scheduler=cluster.scheduler_address)[1]
    assert there.drop_attrs().identical(here.drop_attrs())
    args = [
        "region", str(tmp_path / "site.toml"), "--grid", str(tmp_path / "g.zarr"), "--now", SAID, "--json",
    ]  # fmt: skip
    both = []
    for more in ([], ["--scheduler", cluster.scheduler_address]):
        code = cli.main([*args, *more])
        out = capsys.readouterr()
        both.append((code, json.loads(out.out)))
    assert both[0] == both[1]


def test_what_a_worker_refuses_is_refused_here(cluster, tmp_path, capsys):
    ds = grid(14, 2, 6, 5, gust=np.full((14, 2, 6, 5), 999.0))
    ds.to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    code = cli.main(
        [
            "region", str(tmp_path / "site.toml"), "--grid", str(tmp_path / "g.nc"), "--now", SAID, "--scheduler", cluster.scheduler_address,
        ]
    )  # fmt: skip
    out = capsys.readouterr()
    assert code == 2
    assert "_FillValue" in out.err
    assert "Traceback" not in out.err


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense", "tcp://"])
def test_a_scheduler_that_does_not_answer_is_refused(address, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("anchorage.region.run.PATIENCE", "1s")
    grid(6).to_netcdf(tmp_path / "g.nc", engine="h5netcdf")
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    code = cli.main(
        [
            "region", str(tmp_path / "site.toml"), "--grid", str(tmp_path / "g.nc"), "--now", SAID, "--scheduler", address,
        ]
    )  # fmt: skip
    out = capsys.readouterr()
    assert code == 2
    assert "--scheduler" in out.err
    assert "Traceback" not in out.err


def test_years_of_a_reanalysis_are_counted_on_a_cluster_as_here(cluster, tmp_path):
    gust = np.random.default_rng(9).uniform(0, 16, (24 * 40, 2, 3))
    grid(24 * 40, None, 2, 3, gust=gust).to_zarr(tmp_path / "g.zarr", zarr_format=2)
    words = [
        "climate", str(tmp_path / "site.toml"), "--history", str(tmp_path / "g.zarr"), "--hours", "12", "-o",
    ]  # fmt: skip
    (tmp_path / "site.toml").write_text(demo_text("asphalt"), encoding="utf-8")
    assert cli.main([*words, str(tmp_path / "there.nc"), "--scheduler", cluster.scheduler_address]) == 0
    assert cli.main([*words, str(tmp_path / "here.nc"), "--jobs", "1"]) == 0
    there, here = (xr.load_dataset(tmp_path / f"{n}.nc", engine="h5netcdf") for n in ("there", "here"))
    assert there.identical(here)
    assert 0 < float(here["share_empty"].min()) < 1
