"""Speed of cure and heat, as ratios measured in one run: pytest tests/bench --benchmark-only -s."""

import warnings

import heat_references
import numpy as np
import pytest
from timing import best, report

import outgas
from outgas.job.job import job_of
from outgas.laminate import warming
from outgas.laminate.batch import batch_of
from outgas.laminate.liquid import liquid_of
from outgas.physics import cure, heat
from outgas.tables import catalogue, rates

T0 = 298.15
TIMES = np.linspace(0.0, 3 * 3600.0, 361)


@pytest.fixture(scope="module")
def sandwich():
    layup = outgas.Layup(
        plies=["12 x 600 g/m2 woven glass"], core="20 mm PVC foam", tool="6 mm glass plate"
    )
    side = [catalogue.consumable(n) for n in ("peel-ply", "perforated-film", "breather")]
    resin = outgas.resin("orthophthalic-polyester")
    return layup.slabs(resin, side), rates.kinetics(resin), heat.steady(T0, 7.0, 8.0)


def dense_bdf(slabs, law, around, rtol):
    """The same cells and equations through scipy's BDF with a dense Jacobian."""
    from scipy.integrate import solve_ivp

    n = heat.cells_for(slabs, 60)
    layer = np.repeat(np.arange(n.size), n)
    dx = (slabs.thickness / n)[layer]
    half = 0.5 * dx / slabs.conductivity[layer]
    g = np.empty(layer.size + 1)
    g[1:-1] = 1.0 / (half[:-1] + half[1:])
    g[0], g[-1] = 1.0 / (1.0 / around.film_tool + half[0]), 1.0 / (1.0 / around.film_bag + half[-1])
    C = slabs.capacity[layer] * dx
    steeper = np.broadcast_to(slabs.capacity_slope, n.shape)[layer] * dx
    source = slabs.resin[layer] * dx * law.heat
    wet = source > 0.0

    def slope(_, y):
        T, X, z = y[0::3], y[1::3], y[2::3]
        q = np.empty(layer.size + 1)
        q[1:-1] = g[1:-1] * (T[:-1] - T[1:])
        q[0], q[-1] = g[0] * (T0 - T[0]), g[-1] * (T[-1] - T0)
        dX = np.where(wet, cure.rate(law, X, z, T), 0.0)
        out = np.empty_like(y)
        out[0::3] = (q[:-1] - q[1:] + source * dX) / (C + steeper * (T - cure.REFERENCE_K))
        out[1::3], out[2::3] = dX, np.where(wet, cure.inhibitor_rate(law, T), 0.0)
        return out

    y = np.zeros(3 * layer.size)
    y[0::3] = T0
    run = solve_ivp(
        slope, (0.0, TIMES[-1]), y, method="BDF", rtol=rtol, atol=rtol / 10, t_eval=TIMES
    )
    return run.y[0::3]


def test_an_exotherm_against_dense_bdf(benchmark, capsys, sandwich):
    slabs, law, around = sandwich

    def banded(rtol=heat.RTOL):
        return heat.solve(slabs, law, around, T0, TIMES, rtol=rtol, atol=rtol / 10).T

    benchmark(banded)
    truth = heat.solve(slabs, law, around, T0, TIMES, rtol=1e-10, atol=1e-11).T

    def worst(T):
        return float(np.abs(T - truth).max())

    figures = {"ms": best(banded) * 1e3, "worst_K": worst(banded())}
    for rtol in (1e-6, 1e-8):  # each at the loosest banded run that is at least as good
        dense_error = worst(dense_bdf(slabs, law, around, rtol))
        dense = best(lambda at=rtol: dense_bdf(slabs, law, around, at), 3)
        rungs = (1e-6, 3e-7, 1e-7, 3e-8, 1e-8)
        equal = next((r for r in rungs if worst(banded(r)) <= dense_error), 1e-9)
        figures[f"times_faster_than_bdf_at_{dense_error:.1g}_K"] = dense / best(
            lambda at=equal: banded(at)
        )
    benchmark.extra_info.update(figures)
    with capsys.disabled():
        print("\n  exotherm: " + ", ".join(f"{k} {v:.4g}" for k, v in figures.items()))


def many_laminates(count):
    """Three heat cases each of laminates of many kinds, at many temperatures."""
    plies = ["450 g/m2 chopped strand mat", "600 g/m2 woven roving"]
    layups = [
        outgas.Layup(plies=plies * k, core=core, tool=tool)
        for k in (1, 2, 3, 5, 7)
        for tool in ("18 mm plywood", None, "6 mm glass plate")
        for core in (None, "15 mm PVC foam")
    ]
    found = []
    for i in range(count):
        shop = outgas.Shop(temperature=f"{18 + 12 * i / count:.3f} degC", humidity="60 %")
        job = job_of(
            "orthophthalic-polyester", shop, process="wet layup", layup=layups[i % len(layups)],
            rig=None, vapour_share=None, confidence=0.95, hottest=None, air_pressure=None,
            degassed=None, entrained=None, water_activity=None, contaminants=None,
            void_target="2 %", reads_with="dial",
        )  # fmt: skip
        found.append(
            warming.Heated(job.shop, job.layup, job.process, batch_of(job), liquid_of(job))
        )
    return found


def lsoda(case):
    """One case through scipy's LSODA on the same cells, by the equations written plainly."""
    times = np.linspace(0.0, case.end, 481)
    return heat_references.lsoda(case, times, warming.CELLS, rtol=1e-6)


def test_many_laminates_against_a_loop_over_lsoda(benchmark, capsys):
    asked = many_laminates(225)
    warming.follow(asked[0])

    def together():
        return sum(1 for _ in warming.follow_many(asked))

    benchmark.pedantic(together, rounds=2)
    took = best(together, 2)
    some = asked[::45]
    loop = best(lambda: [lsoda(case) for each in some for case in warming._cases(each, None)], 1)
    alone = best(lambda: [warming.follow(each) for each in some], 3)
    report(
        benchmark,
        capsys,
        laminates=len(asked),
        together_s=took,
        ms_each=took / len(asked) * 1e3,
        alone_ms_each=alone / len(some) * 1e3,
        times_faster_than_lsoda=loop / len(some) / (took / len(asked)),
    )


def test_a_schedule_and_an_advice_with_a_layup_warm(benchmark, capsys):
    shop = outgas.Shop(temperature="22 degC", humidity="55 %")
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass"],
        core="15 mm PVC foam",
        area="0.5 m2",
        tool="18 mm plywood",
    )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        outgas.schedule("orthophthalic-polyester", shop, layup=layup)
        benchmark(lambda: outgas.schedule("orthophthalic-polyester", shop, layup=layup))
        fresh = iter(np.linspace(22.1, 24.0, 9))

        def new():
            here = outgas.Shop(temperature=f"{next(fresh)} degC", humidity="55 %")
            outgas.advise("orthophthalic-polyester", here, layup=layup)

        advice = best(new, 5)
    with capsys.disabled():
        print(f"\n  advice with a layup not seen before: {advice * 1e3:.0f} ms")
