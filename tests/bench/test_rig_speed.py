"""Speed without a gauge: pytest tests/bench/test_rig_speed.py --benchmark-only -s."""

import calibration
import numpy as np
import pytest
from timing import best, report

import outgas
from outgas.physics import flow

UP = "orthophthalic-polyester"


@pytest.fixture(scope="module")
def shop():
    return outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")


UPDATES = {
    "vial": lambda b, q: b.stayed_quiet(q),
    "thermometer": lambda b, q: b.boiling_thermometer(q, outgas.Quantity(0.03, "m")),
    "sensor": lambda b, q: b.sensor(outgas.Quantity(6e3, "Pa"), outgas.Quantity(1e3, "Pa")),
}


@pytest.mark.parametrize("name", UPDATES)
def test_a_belief_update_from_quantities(benchmark, capsys, shop, name):
    bag, T = outgas.BagPressure.unknown(shop.barometer), outgas.Quantity(316.15, "K")
    update = UPDATES[name]
    update(bag, T)
    benchmark(lambda: update(bag, T))
    text = best(lambda: bag.stayed_quiet("43 degC"), 200)
    report(
        benchmark,
        capsys,
        update_us=best(lambda: update(bag, T), 200) * 1e6,
        vial_with_its_text_parsed_us=text * 1e6,
    )


def test_the_best_next_observation_of_eight(benchmark, capsys, shop):
    bag, advice = outgas.BagPressure.unknown(shop.barometer), outgas.advise(UP, shop)
    assert len(bag.observations(advice)) == 8
    benchmark(lambda: bag.next_observation(advice))
    report(benchmark, capsys, next_ms=best(lambda: bag.next_observation(advice)) * 1e3)


def test_ten_thousand_simulated_shops(benchmark, capsys):
    got = benchmark.pedantic(lambda: calibration.run(10_000), rounds=1)
    beliefs = sum(result.count for result in got.values())
    report(benchmark, capsys, seconds=benchmark.stats["mean"], beliefs=beliefs)


def test_flow_kernels_over_many_cases(benchmark, capsys):
    d = np.geomspace(3e-4, 3e-3, 10_000)
    pull, holes = flow.Pull(1.2e-3, 10.0, 0.02), flow.Orifice(flow.circle(d), 0.75)
    call = lambda: flow.held_pressure(pull, holes, 101325.0, 293.15)  # noqa: E731
    benchmark(call)
    report(benchmark, capsys, per_hole_us=best(call, 5) * 1e6 / d.size)
