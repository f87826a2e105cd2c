"""What a card says against what is exact."""

import numpy as np

import outgas
from outgas.many.cases import cases_of
from outgas.many.exact import answered
from outgas.shop_card.grid import WINDOW


def exact(card, held, shops):
    """The exact windows of shops: temperature [K], humidity, air pressure [Pa]."""
    temperatures, humidities, airs = zip(*shops, strict=True)
    table = {
        "temperature": [outgas.Quantity(T, "K") for T in temperatures],
        "humidity": list(humidities),
        "barometer": [outgas.Quantity(p, "Pa") for p in airs],
    }
    cases = cases_of({"resin": card.job.resin.name, **held}, table)
    return answered(cases, range(len(shops)))


def shops_on(card, count, seed):
    rng = np.random.default_rng(seed)
    return [tuple(float(rng.uniform(a[0], a[-1])) for a in card.grid.axes) for _ in range(count)]


def one_sided(read, found):
    """Whether what is read is never deeper nor weaker than what is exact, nor braver."""
    if read.outcome != WINDOW:
        return True
    window = found.window
    if window is None or window.setpoint is None:
        return False
    holds = window.setpoint <= read.hold <= window.shallowest
    ends = read.deepest >= window.deepest and read.weakest <= window.shallowest
    early = True
    if read.early is not None:
        early = window.debulk is not None and read.early >= window.debulk
    else:
        early = read.hold >= window.deepest_straight
    warming = window.case.hottest.warming
    gel = warming is None or (
        read.gel is not None
        and read.gel[0] <= warming.gel_interval_s[0]
        and read.gel[1] <= warming.gel_s
    )
    return holds and ends and early and gel
