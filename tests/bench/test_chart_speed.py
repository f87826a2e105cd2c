"""Speed of charts and logs, and the room of a long one: pytest tests/bench --benchmark-only -s."""

import gc
import resource
import sys
import time

import numpy as np
import pytest
from timing import best, report

import outgas

UP = "orthophthalic-polyester"
ROWS = 1_000_000


@pytest.fixture(scope="module")
def job():
    shop = outgas.Shop(temperature="22 degC", humidity="55 %", altitude="20 m")
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass"], core="15 mm PVC foam", tool="6 mm glass plate"
    )
    return {"resin": UP, "shop": shop, "layup": layup}


def test_a_long_log(benchmark, capsys, job, tmp_path):
    path, short = tmp_path / "long.csv", tmp_path / "short.csv"
    t = np.arange(ROWS) * 0.004
    p = np.where(t < 600.0, 1010.0, np.where(t < 1200.0, 92.0, 545.0))
    p = p + np.random.default_rng(0).normal(0.0, 0.6, ROWS)
    for file, step in ((path, 1), (short, 1000)):
        pairs = zip(t[::step].tolist(), p[::step].tolist(), strict=True)
        with file.open("w") as out:
            out.write("time [s],temperature [C],pressure [mbar]\n")
            out.writelines(f"{a:.3f},22.10,{b:.2f}\n" for a, b in pairs)
    del t, p, pairs
    gc.collect()
    outgas.read_log(short, **job)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    began = time.perf_counter()
    log = benchmark.pedantic(lambda: outgas.read_log(path, **job), rounds=1)
    took = time.perf_counter() - began
    scale = 1024 if sys.platform != "darwin" else 1
    more = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * scale
    report(benchmark, capsys, log_s=took, room_in_files=more / path.stat().st_size)
    assert log.rows == ROWS


def test_plot_of_a_window(benchmark, capsys, job):
    from matplotlib.figure import Figure

    advice = outgas.advise(**job)
    advice.plot(Figure().add_subplot())
    drawn = benchmark(lambda: advice.plot(Figure().add_subplot()))
    report(benchmark, capsys, plot_ms=1e3 * best(lambda: advice.plot(Figure().add_subplot()), 5))
    assert drawn.get_ylabel() == "bag, mbar absolute"
