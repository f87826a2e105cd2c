"""Speed of the bubbles, as ratios measured in one run: pytest tests/bench --benchmark-only -s.

The loop it stands against is solve_ivp(method="BDF") over single bubbles on the same shells, timed
on a few of them, at the tolerance at which its worst error is about the batch's own.
"""

import time

import bubble_references as reference
import numpy as np
from timing import best, report

from outgas.physics import bubble, bubble_start

MANY = 1000
TIMES = np.linspace(0.0, 3600.0, 121)
SAMPLE = (0, 7, 20, 31)  # bubbles timed alone
LOOP_RTOL = 1e-3


def test_a_thousand_bubbles_for_an_hour_against_a_loop(benchmark, capsys):
    conditions, start = reference.shop(MANY)
    benchmark.pedantic(lambda: bubble.grow(conditions, start, TIMES), rounds=5)
    took = best(lambda: bubble.grow(conditions, start, TIMES), 5)
    grown = bubble.grow(conditions, start, TIMES)
    few = bubble_start.Bubbles(
        start.radius[:32], start.liquid[:32], start.floor[:32], start.gas[:, :32],
        start.concentration,
    )  # fmt: skip
    truth = bubble.grow(conditions, few, TIMES, tolerance=1e-7).radius
    began = time.perf_counter()
    loop = [reference.single(conditions, start, k, TIMES, LOOP_RTOL) for k in SAMPLE]
    alone = (time.perf_counter() - began) / len(SAMPLE) * MANY
    off = [np.abs(np.log(R / truth[:, k])).max() for R, k in zip(loop, SAMPLE, strict=True)]
    ours = np.abs(np.log(grown.radius[:, :32] / truth)).max(axis=0)
    tight = best(lambda: bubble.grow(conditions, start, TIMES, tolerance=1e-4), 2)
    tighter = bubble.grow(conditions, start, TIMES, tolerance=1e-4).radius[:, :32]
    report(
        benchmark,
        capsys,
        batch_s=took,
        steps=grown.steps,
        batch_error=float(ours[list(SAMPLE)].max()),
        loop_s=alone,
        loop_error=float(max(off)),
        times_faster=alone / took,
        tighter_batch_s=tight,
        tighter_error=float(np.abs(np.log(tighter / truth)).max(axis=0)[list(SAMPLE)].max()),
        times_faster_then=alone / tight,
        mass_error=float(grown.mass_error.max()),
    )


def test_the_grid_it_is_timed_on_holds_scriven(benchmark, capsys):
    off = {
        f"drive_{S:g}": reference.grown_beta(S) / reference.scriven_beta(S) - 1.0
        for S in (0.1, 1.0, 10.0)
    }
    benchmark.pedantic(lambda: reference.grown_beta(1.0), rounds=2)
    report(benchmark, capsys, nodes=bubble.NODES, **off)


def test_cost_is_linear_in_bubbles_and_in_nodes(benchmark, capsys):
    def cost(count, nodes):
        conditions, start = reference.shop(count)
        took = best(lambda: bubble.grow(conditions, start, TIMES, nodes=nodes))
        return took / bubble.grow(conditions, start, TIMES, nodes=nodes).steps

    base = cost(MANY, bubble.NODES)
    benchmark.pedantic(lambda: cost(200, bubble.NODES), rounds=1)
    report(
        benchmark,
        capsys,
        ms_per_step=base * 1e3,
        twice_the_bubbles=cost(2 * MANY, bubble.NODES) / base,
        twice_the_nodes=cost(MANY, 2 * bubble.NODES) / base,
    )


def test_dissolving_all_of_them(benchmark, capsys):
    import dataclasses

    conditions, start = reference.shop(MANY, gels=False)
    ones = np.ones_like(conditions.time)
    still = dataclasses.replace(
        conditions, pressure=101325.0 * ones, temperature=298.15 * ones, viscosity=0.6 * ones,
        solubility=np.tile(conditions.solubility[0], (ones.size, 1)),
    )  # fmt: skip
    thirsty = dataclasses.replace(start, concentration=start.concentration * [0.3, 1.0, 1.0])
    benchmark.pedantic(lambda: bubble.grow(still, thirsty, TIMES), rounds=3)
    grown = bubble.grow(still, thirsty, TIMES)
    report(
        benchmark, capsys, batch_s=best(lambda: bubble.grow(still, thirsty, TIMES)),
        steps=grown.steps, dissolved=float(np.isfinite(grown.dissolved_at).sum()),
    )  # fmt: skip
