"""How long a diagnosis takes against an advice for the same case; printed, not asserted."""

import time

import outgas

UP = "orthophthalic-polyester"
SEEN = {"where": "on strands", "bubbles": "fine", "leak test": "passed"}


def best(call, repeat=7):
    found = []
    for _ in range(repeat):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return min(found)


def test_a_diagnosis_against_an_advice(benchmark, capsys):
    shop = outgas.Shop(temperature="26 degC", humidity="60 %")
    benchmark(lambda: outgas.diagnose(UP, shop, seen=SEEN, bag_pressure="very good bag"))
    why = best(lambda: outgas.diagnose(UP, shop, seen=SEEN, bag_pressure="very good bag"))
    advice = best(lambda: outgas.advise(UP, shop))
    benchmark.extra_info.update(diagnosis_ms=why * 1e3, over_advice=why / advice)
    with capsys.disabled():
        print(f"\n  diagnosis {why * 1e3:.3g} ms, {why / advice:.2g} times an advice")
