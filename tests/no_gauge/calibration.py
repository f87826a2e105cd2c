"""Run simulated shops through the program and count how often its interval holds the truth."""

from dataclasses import dataclass

import numpy as np
from shops import Shops, look

import outgas
from outgas.no_gauge import observations as says
from outgas.tables import catalogue

ZERO = 273.15
MOST_WIDTHS = 1000  # enough for a median
RESIN = "orthophthalic-polyester"
RIG = outgas.Rig.from_words("5 m3/h two-stage pump, 2 m of 8 mm hose")
START = {p: outgas.BagPressure.unknown(f"{p} Pa") for p in (101325.0, 95461.0, 84560.0)}


@dataclass
class Result:
    """Share of intervals that held the truth, how wide they were, and how many there were."""

    covers: float
    width: float
    below: float
    count: int

    def __str__(self):
        return (
            f"{self.covers:.1%} of {self.count}, high/low {self.width:.2f}, "
            f"truth deeper than the interval {self.below:.1%}"
        )


def judge(shops, which, updates):
    """Apply updates (grid, shop index -> likelihood) in each shop and compare with its truth."""
    inside, below, widths = 0, 0, []
    for i in which:
        bag = START[float(shops.atm[i])]
        grid = bag._grid()
        for update in updates:
            bag = bag.saw("simulated", "", update(grid, i))
        at = bag.chance_under(float(shops.p[i]))
        inside += 0.05 <= at <= 0.95
        below += at < 0.05
        if len(widths) < MOST_WIDTHS:
            widths.append(bag.pressure_at(0.95) / bag.pressure_at(0.05))
    n = len(which)
    return Result(inside / n, float(np.median(widths)), below / n, n)


def run(n, k=1.0, seed=1):
    """Return the result of each method and combination over n shops with errors k times stated."""
    found = {}
    s = Shops.draw(n, k, seed)
    everywhere = np.arange(n)

    def vial(T, chip):
        reading, boiled = s.vial(T, chip)
        kind = says.boiling, says.quiet
        reads = np.clip(reading + ZERO, *says.PRACTICAL_WATER_K)
        return lambda g, i: kind[0 if boiled[i] else 1](g, float(reads[i]), chip)

    bare, chipped = vial(s.uniform(10.0, 60.0), False), vial(s.uniform(10.0, 60.0), True)
    down, back = s.syringe()
    tube, pull, exact = s.tube(), s.pull(), s.sensor(1000.0)
    resin = catalogue.resin(RESIN)
    one_way = lambda g, i: says.syringe(g, 1.0 / down[i], None)  # noqa: E731
    both_ways = lambda g, i: says.syringe(g, 1.0 / down[i], 1.0 / back[i])  # noqa: E731
    oil = lambda g, i: says.tube(g, float(tube[i]))  # noqa: E731
    cup = lambda g, i: says.pull(g, float(pull[i]))  # noqa: E731
    chip = lambda g, i: says.sensor(g, float(exact[i]), 1000.0, None)  # noqa: E731
    floored = lambda g, i: says.sensor(g, float(max(exact[i], 30000.0)), 1000.0, 30000.0)  # noqa: E731

    found["vial, no chip"] = judge(s, everywhere, [bare])
    found["vial on a chip"] = judge(s, everywhere, [chipped])
    found["syringe"] = judge(s, everywhere, [one_way])
    found["syringe both ways"] = judge(s, everywhere, [both_ways])
    found["inverted tube"] = judge(s, everywhere, [oil])
    found["pull on a cup"] = judge(s, everywhere, [cup])
    found["sensor"] = judge(s, everywhere, [chip])
    found["sensor with a floor"] = judge(s, everywhere, [floored])
    found["ice"] = judge(s, look(s.ice(), n), [lambda g, i: says.ice(g, False)])
    found["ice while bleeding"] = judge(
        s, look(s.ice_while_bleeding(), n), [lambda g, i: says.ice(g, True)]
    )
    found["milky"] = judge(s, look(s.milky(), n), [lambda g, i: says.milky(g, resin, 26.0 + ZERO)])
    found["three vials"] = judge(s, everywhere, [vial(T, True) for T in (20.0, 36.0, 52.0)])
    found["vial and syringe"] = judge(s, everywhere, [bare, one_way])
    found["syringe, cup and tube"] = judge(s, everywhere, [both_ways, cup, oil])

    warm = Shops.draw(n, k, seed + 1, low=1200.0, high=18000.0)
    reading, told = warm.thermometer()
    reads = np.clip(reading + ZERO, *says.PRACTICAL_WATER_K)
    bulb = lambda g, i: says.thermometer(g, float(reads[i]), float(told[i]))  # noqa: E731
    difference = warm.pull()
    warm_cup = lambda g, i: says.pull(g, float(difference[i]))  # noqa: E731
    found["thermometer"] = judge(warm, everywhere, [bulb])
    found["thermometer and cup"] = judge(warm, everywhere, [bulb, warm_cup])

    bled = Shops.draw(n, k, seed + 2)
    quiet = bled.bleed_up() + ZERO
    fell = lambda g, i: says.fell_quiet(g, float(quiet[i]))  # noqa: E731
    down2, _ = bled.syringe()
    found["fell quiet"] = judge(bled, everywhere, [fell])
    found["fell quiet and syringe"] = judge(
        bled, everywhere, [fell, lambda g, i: says.syringe(g, 1.0 / down2[i], None)]
    )

    weighed = Shops.draw(n, k, seed + 4)
    mass, bore = weighed.plate()
    lifts = lambda g, i: says.plate(g, float(mass[i]), float(bore[i]))  # noqa: E731
    found["plate"] = judge(weighed, everywhere, [lifts])

    pumped = Shops.draw(n, k, seed + 3)
    pumped.pump(5 / 3600, 0.008, 2.0)
    stood = lambda g, i: says.pump(g, RIG)  # noqa: E731
    _, froze = None, pumped.ice()
    found["pump"] = judge(pumped, everywhere, [stood])
    found["pump and ice"] = judge(pumped, look(froze, n), [stood, lambda g, i: says.ice(g, False)])
    return found


if __name__ == "__main__":
    import sys
    import time

    n = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    for k in (1.0, 1.5):
        start = time.perf_counter()
        got = run(n, k)
        print(f"errors x {k}: {time.perf_counter() - start:.1f} s")
        for name, result in got.items():
            print(f"  {name:26s} {result}")
