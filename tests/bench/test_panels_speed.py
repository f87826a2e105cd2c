"""Speed of what panels teach: learning from thirty, and an advice with it over one without."""

import time

import pytest
from timing import report

import outgas

UP = "orthophthalic-polyester"
PLY = "3 x 400 g/m2 woven glass"
PANELS, RUNS = 30, 9
DEEPEST_mbar, APART_mbar = 300, 17


def logged(**more):
    """Thirty panels at thirty pressures; made up."""
    panels = []
    for i in range(PANELS):
        p = DEEPEST_mbar + APART_mbar * i
        look = "clear" if p > 460 else "hazy" if p > 380 else "milky"
        panels.append({"resin": UP, "debulk": "90 mbar", "cure": f"{p} mbar", "look": look, **more})
    return panels


def least(call, runs=RUNS):
    """Return the least of the process's own seconds: other programs do not count."""
    found = []
    for _ in range(runs):
        start = time.process_time()
        call()
        found.append(time.process_time() - start)
    return min(found)


@pytest.mark.parametrize("more", [{}, {"ply": [PLY]}], ids=["no layup", "layup"])
def test_learning_from_thirty_panels(benchmark, capsys, more):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    panels = logged(**more)
    outgas.learn(panels[:2], shop)
    benchmark.pedantic(lambda: outgas.learn(panels, shop), rounds=1)
    report(benchmark, capsys, learn_s=least(lambda: outgas.learn(panels, shop), 3))


@pytest.mark.filterwarnings("ignore::outgas.errors.OutgasWarning")
@pytest.mark.parametrize("more", [{}, {"ply": [PLY]}], ids=["no layup", "layup"])
def test_an_advice_with_and_without(benchmark, capsys, more):
    shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    known = outgas.learn(logged(**more), shop)
    layup = outgas.Layup(plies=more.get("ply", []))
    outgas.advise(UP, shop, layup=layup, experience=known)
    benchmark.pedantic(lambda: outgas.advise(UP, shop, layup=layup, experience=known), rounds=3)
    without = least(lambda: outgas.advise(UP, shop, layup=layup))
    beside = least(lambda: outgas.advise(UP, shop, layup=layup, experience=known))
    report(
        benchmark, capsys, times=beside / without, with_ms=beside * 1e3, without_ms=without * 1e3
    )
