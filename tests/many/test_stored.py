"""Maps in files: whole or not at all, gone on with where they stood, on a cluster as at home."""

import numpy as np
import pytest

import outgas
from outgas.errors import InputError
from outgas.many import stored
from outgas.many.worker import Worker
from outgas.units import quantity

xr = pytest.importorskip("xarray")
UP = "orthophthalic-polyester"
ASKED = {"temperature": quantity(np.linspace(17, 31, 6), "degC"), "humidity": [0.4, 0.7]}


@pytest.fixture(scope="module")
def here():
    return outgas.sweep(UP, **ASKED)


def same(one, other):
    for name in one.data_vars:
        assert np.allclose(one[name], other[name], rtol=1e-9, equal_nan=True), name


@pytest.mark.parametrize("suffix", [".zarr", ".nc"])
def test_a_file_holds_what_memory_holds_with_its_units(tmp_path, here, suffix):
    path = tmp_path / f"map{suffix}"
    same(outgas.sweep(UP, out=path, chunks={"temperature": 2}, **ASKED), here)
    engine = {".zarr": "zarr", ".nc": "h5netcdf"}[suffix]
    read = xr.open_dataset(path, engine=engine)
    same(read, here)
    assert read.deepest.attrs["units"] == "mbar"
    assert read.temperature.attrs["units"] == "degC"
    read.close()
    assert [p.name for p in tmp_path.iterdir()] == [path.name]


def test_a_table_of_a_map_has_words_for_codes(tmp_path, here):
    path = tmp_path / "map.csv"
    outgas.sweep(UP, out=path, **ASKED)
    lines = path.read_text().splitlines()
    assert len(lines) == 1 + here.deepest.size
    head, first = lines[0].split(","), lines[1].split(",")
    row = dict(zip(head, first, strict=True))
    assert row["outcome"] == "answered"
    assert row["limiting"] == "air"
    assert float(row["deepest"]) == pytest.approx(float(here.deepest[0, 0]), rel=1e-5)


def test_a_run_that_was_broken_off_goes_on_where_it_stood(tmp_path, here, monkeypatch):
    path, done = tmp_path / "map.zarr", []
    block = Worker.block

    def counted(self, part):
        done.append(part)
        if len(done) == 2:
            raise KeyboardInterrupt
        return block(self, part)

    monkeypatch.setattr(Worker, "block", counted)
    with pytest.raises(KeyboardInterrupt):
        outgas.sweep(UP, out=path, chunks={"temperature": 2}, **ASKED)
    assert np.isfinite(xr.open_zarr(path).deepest).sum() == 4
    found = outgas.sweep(UP, out=path, chunks={"temperature": 2}, **ASKED)
    assert len(done) == 4  # the first of three was not worked again
    same(found, here)


def test_another_map_is_not_gone_on_with_and_what_is_no_map_is_left_alone(tmp_path):
    path = tmp_path / "map.zarr"
    outgas.sweep(UP, out=path, temperature=["20 degC"], humidity=0.5)
    with pytest.raises(InputError, match="other cases"):
        outgas.sweep(UP, out=path, temperature=["21 degC"], humidity=0.5)
    plain = tmp_path / "plain.zarr"
    plain.mkdir()
    (plain / "mine.txt").write_text("mine")
    with pytest.raises(InputError, match="no map"):
        outgas.sweep(UP, out=plain, temperature=["20 degC"], humidity=0.5)
    assert (plain / "mine.txt").read_text() == "mine"
    with pytest.raises(InputError, match="written to"):
        outgas.sweep(UP, out=tmp_path / "map.xls", temperature=["20 degC"], humidity=0.5)
    with pytest.raises(InputError, match="no folder"):
        outgas.sweep(UP, out=tmp_path / "no" / "map.nc", temperature=["20 degC"], humidity=0.5)


def test_boxes_cover_a_map():
    seen = np.zeros((5, 4), dtype=int)
    for part in stored.boxes((5, 4), (2, 3)):
        seen[part] += 1
    assert (seen == 1).all()


def test_a_cluster_of_several_processes_loses_nothing_when_a_worker_is_killed(tmp_path, here):
    distributed = pytest.importorskip("distributed")
    import os
    import signal
    import warnings

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cluster = distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        )
        with cluster, distributed.Client(cluster) as client:
            lazy = outgas.sweep(UP, chunks=1, **ASKED)
            coming = client.compute(lazy)
            pids = list(client.run(os.getpid).values())
            os.kill(pids[0], signal.SIGKILL)
            same(coming.result(timeout=120), here)
            path = tmp_path / "map.zarr"
            same(outgas.sweep(UP, out=path, chunks={"temperature": 2}, **ASKED), here)
