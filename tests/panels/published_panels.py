"""The published void series as panels: each left out in turn, foretold from the others.

`python tests/panels/published_panels.py` prints them. What a source does not say is drawn from the
range that data/experiments.toml gives for it: a row speaks no more clearly than its source does.
"""

import math

import numpy as np

from outgas.job.learnt import Kind
from outgas.laminate.gas.balance import Step
from outgas.laminate.gas.experiments import NAMES, experiment
from outgas.panels.likelihood import misfit
from outgas.panels.made import Made, Seen, predicted
from outgas.panels.numbers import ways_of
from outgas.panels.weighing import weighed
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables import experiments as tables

TAKEN, SEED = 24, 7  # draws of what a source does not say, as many pressures stand for a panel
SHARES = (0.05, 0.95)
ONE_KIND = Kind("any", "any", "any")


def rows():
    """Every measured void content that has a range."""
    return [
        row for row in tables.measurements() if row.measured == "voids" and not math.isnan(row.low)
    ]


def panel(row, seed) -> Made:
    """Return a measurement as a panel: what is not said of it drawn from its range."""
    rng = np.random.default_rng(seed)
    took = tables.taken(row)
    made = []
    for _ in range(TAKEN):
        instead = {}
        for name, field in NAMES.items():
            number = getattr(took, field)
            if number is None or name == "entrained":
                continue
            if math.isnan(getattr(row, name, math.nan)):
                way = rng.standard_normal() / 1.96
                end = number.high_si if way > 0.0 else number.low_si
                instead[name] = number.si + min(abs(way), 1.0) * (end - number.si)
        made.append(experiment(row, **instead))
    first = made[0]

    def column(pick):
        return np.array([pick(one) for one in made])[:, None]

    def steps(_, __):
        return [
            Step(
                column(lambda one, i=i: one.steps[i].pressure_Pa),
                column(lambda one, i=i: one.steps[i].vapour_Pa),
                column(lambda one, i=i: one.steps[i].duration_s),
                first.steps[i].path_open,
                expansion=column(lambda one, i=i: one.steps[i].expansion),
            )
            for i in range(len(first.steps))
        ]

    laminate, gas = catalogue.gas().laminate, first.gas
    record = catalogue.resin(took.resin)
    bands = {
        "trapped": laminate.trapped.band,
        "connected": laminate.connected.band,
        "boiling_extra": laminate.boiling_extra.band,
        "spacing_m": laminate.spacing.band,
        "exponent": laminate.exponent.band,
        "entrained_radius_m": laminate.entrained_radius.band,
        "diffusivity_m2_s": catalogue.transport(record.family).air_diffusivity.band,
        "solubility": record.air_solubility.band,
    }
    if not took.front:
        bands["entrained"] = Band(took.entrained.si, took.entrained.low_si, took.entrained.high_si)
    middle, half = 0.5 * (row.low + row.high), 0.5 * (row.high - row.low)
    return Made(
        kind=ONE_KIND,
        gas=gas,
        bands=bands,
        steps=steps,
        pressures=np.ones(TAKEN),
        weights=np.full(TAKEN, 1.0 / TAKEN),
        dial_Pa=0.0,
        fibre_fraction=first.fibre_fraction,
        thickness_m=1e-3,
        seen=Seen(void=(middle, max(half, 0.002))),
        key=(row, seed),
    )


def foretold(made: Made, others) -> tuple[float, float]:
    """Return the 90 % interval of a panel's voids, from what the others teach."""
    drawn = weighed(others)
    ways = ways_of(drawn.resampled())
    rng = np.random.default_rng(SEED)
    void = predicted(made, ways).void * misfit(ways)
    scatter = np.exp(math.log(catalogue.panels().scatter.si) * rng.standard_normal(void.shape))
    whole = np.minimum(void * scatter, 1.0) + catalogue.panels().unseen.si
    low, high = np.quantile(whole, SHARES)
    return float(low), float(high)


def left_out():
    """Return each measurement with the interval that the others foretell for it."""
    every = rows()
    made = [panel(row, i) for i, row in enumerate(every)]
    return [
        (
            row,
            *foretold(made[i], [one for j, one in enumerate(made) if every[j].study != row.study]),
        )
        for i, row in enumerate(every)
    ]


if __name__ == "__main__":
    found = left_out()
    for row, low, high in found:
        middle = 0.5 * (row.low + row.high)
        print(
            f"{row.study:32s} {100 * row.low:5.2f} to {100 * row.high:5.2f} %   foretold "
            f"{100 * low:5.2f} to {100 * high:5.2f} %   {'in' if low <= middle <= high else 'OUT'}"
        )
    print(sum(low <= 0.5 * (row.low + row.high) <= high for row, low, high in found), len(found))
