"""Speed, as ratios measured in one run: pytest tests/bench --benchmark-only -s.

Nothing is asserted: a ratio belongs beside the machine it was measured on. The figures print, and
stand in the benchmark's extra_info for whoever saves them.
"""

import os
import resource
import subprocess
import venv
from pathlib import Path

import numpy as np
import pytest
from timing import best, report

import outgas

MANY = 1_000_000
UP = "orthophthalic-polyester"
PLIES = "2 x 400 g/m2 woven glass"
RUNS = 7


@pytest.fixture(scope="module")
def temperatures():
    return np.random.default_rng(1).uniform(263.2, 423.1, MANY)


@pytest.mark.parametrize("name", ["water", "styrene"])
def test_saturation_against_the_exact_engine(benchmark, capsys, temperatures, name):
    T = outgas.Quantity(temperatures, "K")
    outgas.vapour_pressure(name, T)
    fast = benchmark(lambda: outgas.vapour_pressure(name, T)).m
    table = best(lambda: outgas.vapour_pressure(name, T))
    exact = best(lambda: outgas.vapour_pressure(name, T, engine="exact"), 2)
    truth = outgas.vapour_pressure(name, T, engine="exact").m
    report(
        benchmark,
        capsys,
        times_faster=exact / table,
        worst_relative_error=float(np.max(np.abs(fast / truth - 1.0))),
        table_ms=table * 1e3,
    )


def test_bubble_pressure_of_three_volatiles_against_one_exp(benchmark, capsys, temperatures):
    celsius = temperatures - 273.15
    T = outgas.Quantity(celsius, "degC")
    benchmark(lambda: outgas.bubble_pressure("mma-polyester", T))
    bubble = best(lambda: outgas.bubble_pressure("mma-polyester", T), 9)
    exp = best(lambda: np.exp(celsius), 9)
    report(benchmark, capsys, times_one_exp=bubble / exp, bubble_ms=bubble * 1e3)


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
@pytest.mark.parametrize("process", ["wet layup", "infusion"])
def test_a_warm_advice(benchmark, capsys, process):
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    outgas.advise(UP, shop, process=process)
    benchmark(lambda: outgas.advise(UP, shop, process=process))
    report(
        benchmark, capsys, best_ms=best(lambda: outgas.advise(UP, shop, process=process), 30) * 1e3
    )


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """An environment with the built wheel, compiled, and no extras."""
    home = tmp_path_factory.mktemp("installed")
    venv.create(home, with_pip=True)
    python = home / "bin" / "python"
    clean = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    root = Path(__file__).parents[2]
    subprocess.run([python, "-m", "pip", "install", "-q", str(root)], check=True, env=clean)
    return python, clean, home


def spent(command, **how):
    """Seconds of processor time that a command takes: other work on the machine counts less."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, check=False, capture_output=True, **how)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    # 1: there is no window, and the ways out are told
    assert done.returncode in (0, 1), done.stderr
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def test_a_cold_start_against_importing_numpy(benchmark, capsys, installed):
    python, clean, home = installed
    shop = ["--temperature", "26C", "--humidity", "60%", "--altitude", "20m"]
    layup = [UP, *shop, "--ply", PLIES]
    outgas_ = home / "bin" / "outgas"
    commands = {
        "import_numpy": [python, "-c", "import numpy"],
        "import_outgas": [python, "-c", "import outgas"],
        "advise": [outgas_, "advise", UP, *shop],
        "layup": [outgas_, "advise", *layup, "--degassed", "40 mbar for 20 min, stirred"],
        "layup_without_a_window": [outgas_, "advise", *layup],
        "schedule": [outgas_, "schedule", *layup],
    }
    times = {name: [] for name in commands}
    for _ in range(RUNS + 1):
        for name, command in commands.items():
            times[name].append(spent(command, env=clean, cwd=home))
    best_of = {name: min(found[1:]) for name, found in times.items()}
    benchmark.pedantic(
        lambda: subprocess.run(commands["advise"], check=True, env=clean, capture_output=True),
        rounds=3,
    )
    numpy_s = best_of.pop("import_numpy")
    ratios = {f"{name}_over_numpy": found / numpy_s for name, found in best_of.items()}
    report(benchmark, capsys, **ratios, numpy_ms=numpy_s * 1e3)
