"""Speed of the gas balance: pytest tests/bench --benchmark-only -s."""

import tomllib
from pathlib import Path

import numpy as np
from timing import best, report

from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.joint import KnownGas
from outgas.laminate.gas.limits import Target, expected_voids, limit, varied

CASES = 100_000
HERE_PA, NOW_PA, WARM_PA, HIGH_PA = 101325.0, 2000.0, 2400.0, 3100.0
TABLE = Path(__file__).parents[2] / "data" / "gas.toml"
SHARES = ("trapped", "connected", "boiling_extra", "exponent")
LENGTHS = {"spacing_m": "spacing", "entrained_radius_m": "entrained_radius"}
MOST_US = 3.0  # for one case and one step


def ends():
    numbers = tomllib.loads(TABLE.read_text(encoding="utf-8"))["laminate"]
    scale = {"%": 0.01, "mm": 1e-3, "1": 1.0}
    names = {**{name: name for name in SHARES}, **LENGTHS}
    found = {
        name: [numbers[key][end] * scale[numbers[key]["unit"]] for end in ("value", "low", "high")]
        for name, key in names.items()
    }
    more = {
        "diffusivity_m2_s": [1e-10, 1e-11, 1e-9],
        "solubility": [0.1, 0.06, 0.14],
        "entrained": [0.005, 0.002, 0.01],
    }
    return {**found, **more}, numbers["least_drive"]["value"]


def gas(values, least, air_Pa=HERE_PA - NOW_PA):
    return Gas(**values, least_drive=least, mixed_Pa=HERE_PA, mixed_vapour_Pa=NOW_PA, air_Pa=air_Pa)


def test_a_hundred_thousand_cases_of_three_steps(benchmark, capsys):
    rng = np.random.default_rng(1)
    numbers, least = ends()
    drawn = {name: rng.uniform(*values[1:], CASES) for name, values in numbers.items()}
    many = gas(drawn, least, rng.uniform(0.1, 1.0, CASES) * HERE_PA)
    steps = [
        Step(rng.uniform(15e2, 200e2, CASES), NOW_PA, 600.0),  # some of them boil
        Step(rng.uniform(200e2, 800e2, CASES), WARM_PA, 600.0),
        Step(rng.uniform(200e2, 800e2, CASES), WARM_PA, 1200.0, path_open=False),
    ]
    found = benchmark(run, many, steps)
    assert 0.0 < found.boiled.mean() < 0.5
    each = best(lambda: run(many, steps), 7) / (CASES * len(steps)) * 1e6
    report(benchmark, capsys, us_per_case_and_step=each)
    assert each < MOST_US


def test_a_safe_limit_and_the_voids_expected_there(benchmark, capsys):
    numbers, least = ends()
    one = gas({name: values[0] for name, values in numbers.items()}, least)
    moves = {name: tuple(values[1:]) for name, values in numbers.items()}
    known = KnownGas(one, moves)
    target = Target(fibre_fraction=0.45, void=0.02)

    def course(p):
        return [Step(90e2, NOW_PA, 600.0), Step(p, WARM_PA, 1200.0, vapour_high_Pa=HIGH_PA)]

    moved = varied(one, known.moves, ())
    safe = float(benchmark(limit, moved, course, target, HERE_PA).max())
    limit_ms = best(lambda: limit(moved, course, target, HERE_PA)) * 1e3
    voids_ms = best(lambda: expected_voids(known, course, 0.45, safe, HERE_PA)) * 1e3
    report(benchmark, capsys, limit_ms=limit_ms, expected_voids_ms=voids_ms)
    assert limit_ms < 20.0
