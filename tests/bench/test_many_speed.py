"""Speed of many cases: pytest tests/bench/test_many_speed.py --benchmark-only -s."""

import time

import numpy as np
import pytest
from timing import report

import outgas
from outgas.units import quantity

UP = "orthophthalic-polyester"
PLY = outgas.Layup(plies=["3 x 450 g/m2 chopped strand mat"])


def took(asked):
    """Seconds of this process's own time."""
    begun = time.process_time()
    asked()
    return time.process_time() - begun


def grid(warm, wet, air):
    return {
        "temperature": quantity(np.linspace(16.0, 34.0, warm), "degC"),
        "humidity": np.linspace(0.2, 0.9, wet),
        "altitude": quantity(np.linspace(0.0, 2500.0, air), "m"),
    }


def advised(count, **told):
    for i in range(count):
        shop = outgas.Shop(temperature=f"{20 + 0.017 * i:.3f} degC", humidity="50 %")
        outgas.advise(UP, shop, **told)


def test_a_million_cases_without_a_layup(benchmark, capsys):
    benchmark.pedantic(
        lambda: outgas.sweep(UP, how="interpolated", **grid(100, 100, 100)), rounds=1
    )
    million = took(lambda: outgas.sweep(UP, how="interpolated", **grid(100, 100, 100)))
    advised(20)
    loop = took(lambda: advised(200)) / 200
    exact = took(lambda: outgas.sweep(UP, voids=False, **grid(10, 10, 10))) / 1000
    report(
        benchmark, capsys, million_s=million, advise_ms=loop * 1e3, exact_ms=exact * 1e3,
        over_a_loop=1e6 * loop / million,
    )  # fmt: skip


def test_a_map_of_225_cases_with_a_layup(benchmark, capsys):
    asked = {"temperature": quantity(np.linspace(16.0, 34.0, 15), "degC")}
    wet = np.linspace(0.2, 0.9, 15)
    outgas.sweep(UP, temperature=["20 degC"], humidity=0.5, layup=PLY)
    benchmark.pedantic(lambda: outgas.sweep(UP, humidity=wet, layup=PLY, **asked), rounds=1)
    whole = took(lambda: outgas.sweep(UP, humidity=wet, layup=PLY, **asked))
    bare = took(lambda: outgas.sweep(UP, humidity=wet, layup=PLY, voids=False, **asked))
    advised(3, layup=PLY)
    one = took(lambda: advised(20, layup=PLY)) / 20
    report(
        benchmark, capsys, whole_s=whole, without_voids_s=bare, advise_ms=one * 1e3,
        layups_1e4_s=bare / 225 * 1e4,
    )  # fmt: skip


def test_two_processes_against_one(benchmark, capsys):
    distributed = pytest.importorskip("distributed")
    import warnings

    asked = grid(24, 12, 6)
    lazy = outgas.sweep(UP, voids=False, chunks={"temperature": 2}, **asked)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        seconds = []
        for workers in (1, 2):
            cluster = distributed.LocalCluster(
                n_workers=workers, threads_per_worker=1, dashboard_address=None
            )
            with cluster, distributed.Client(cluster) as client:
                client.run(outgas.sweep, UP, temperature=["20 C"], humidity=0.5)  # imports
                begun = time.perf_counter()
                client.compute(lazy).result()
                seconds.append(time.perf_counter() - begun)
    benchmark.pedantic(lambda: None, rounds=1)
    report(benchmark, capsys, one_s=seconds[0], two_s=seconds[1], ratio=seconds[0] / seconds[1])
