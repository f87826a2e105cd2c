"""Jobs for the tests of the gas balance, with the numbers of the tables; and a plain reference."""

import math
import tomllib
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

import outgas
from outgas.laminate.gas.balance import Gas, Step, run
from outgas.laminate.gas.joint import KnownGas, joint, may_fail, raised
from outgas.laminate.gas.limits import Limit, Target, limit, safe_side, varied

DATA = Path(__file__).parents[2] / "data"
SI = {"1": 1.0, "%": 0.01, "mm": 1e-3, "min": 60.0, "m2/s": 1.0}
RISE_K, RISE_HIGH_K, STYRENE_HIGH = 3.0, 6.0, 1.08  # warming till the gel, and the vapour's spread


def table(name):
    return tomllib.loads((DATA / name).read_text(encoding="utf-8"))


def si(number):
    """The value of a number of the tables and its two ends."""
    return tuple(number[key] * SI[number["unit"]] for key in ("value", "low", "high"))


def numbers(resin):
    """Value and ends of all that a Gas needs, by its names, for one resin."""
    record, gas = table("resins.toml")[resin], table("gas.toml")["laminate"]
    family = record["family"].replace(" ", "-")
    found = {
        "trapped": gas["trapped"],
        "connected": gas["connected"],
        "boiling_extra": gas["boiling_extra"],
        "spacing_m": gas["spacing"],
        "exponent": gas["exponent"],
        "entrained_radius_m": gas["entrained_radius"],
        "entrained": table("practice.toml")["margins"]["entrained"],
        "diffusivity_m2_s": table("transport.toml")[family]["air_diffusivity"],
        "solubility": record["air_solubility"],
    }
    return {name: si(number) for name, number in found.items()}


@dataclass(frozen=True)
class Advised:
    """The limit of the better of two courses, and where it is the one with a debulk."""

    nominal: object
    safe: object
    debulk: object


@dataclass(frozen=True)
class Job:
    """A resin in a shop: its gas, the ends of its numbers, and the vapour now and at the gel."""

    gas: Gas
    moves: dict
    now_Pa: float
    warm_Pa: float
    high_Pa: float

    @property
    def known(self):
        return KnownGas(self.gas, self.moves)

    @property
    def barometer(self):
        return self.gas.mixed_Pa

    def but(self, **changes):
        return replace(self, gas=replace(self.gas, **changes))

    def hold(self, p, minutes=20.0, path_open=True):
        """The cure at a pressure, warmer than the shop."""
        return Step(p, self.warm_Pa, minutes * 60.0, path_open, vapour_high_Pa=self.high_Pa)

    def pull(self, mbar, minutes=10.0, path_open=True):
        """A debulk, dwell or fill at the shop's temperature."""
        return Step(mbar * 100.0, self.now_Pa, minutes * 60.0, path_open)

    def straight(self, minutes=20.0, path_open=True):
        return lambda p: [self.hold(p, minutes, path_open)]

    def after(self, mbar, minutes=10.0, hold=20.0):
        return lambda p: [self.pull(mbar, minutes), self.hold(p, hold)]


def job(resin, celsius, humidity, altitude_m, **changes):
    """A resin stirred in the open air of a shop, as wet as that air."""

    def vapour(rise):
        given = outgas.bubble_pressure(resin, f"{celsius + rise} degC", water_activity=humidity)
        return float(given.m_as("Pa"))

    here = float(outgas.barometer(f"{altitude_m} m").m_as("Pa"))
    now = vapour(0.0)
    found = numbers(resin)
    gas = Gas(
        **{name: value for name, (value, _, _) in found.items()},
        least_drive=si(table("gas.toml")["laminate"]["least_drive"])[0],
        mixed_Pa=here,
        mixed_vapour_Pa=now,
        air_Pa=here - now,
    )
    moves = {name: ends for name, (_, *ends) in found.items()}
    high = vapour(RISE_HIGH_K) * STYRENE_HIGH
    return Job(replace(gas, **changes), moves, now, vapour(RISE_K), high)


def targets(fibre_fraction):
    look = table("gas.toml")["look"]
    thickness = si(look["thickness"])[0]
    return {
        "structural": Target(fibre_fraction=fibre_fraction, void=si(look["structural"])[0]),
        "clear": Target(
            fibre_fraction=fibre_fraction, thickness_m=thickness, depth=si(look["clear"])[0]
        ),
    }


def limit_95(known, course, target, highest_Pa):
    """Nominal and safe limit by plain search on one gas balance: moves one by one, then draws."""
    moves = known.moves
    shape = target.excess(run(known.gas, course(np.asarray(highest_Pa, dtype=float)))).shape
    rows = limit(varied(known.gas, moves, shape), course, target, highest_Pa)
    worst = rows[1:].reshape(-1, 2, *shape).max(axis=1)
    nominal, safe, by = safe_side(rows[0], worst)
    drawn = joint(known, shape)

    def excess(pressure):
        return target.excess(run(drawn, course(pressure)))

    safe = raised(safe, excess, np.full(shape, may_fail(known.k)), highest_Pa)
    return Limit(nominal, safe, dict(zip(moves, by, strict=True)))


def better_course(known, straight, debulked, target, highest_Pa):
    """The limit of the course with a debulk where that lowers it, else of the straight one."""
    a, b = (limit_95(known, each, target, highest_Pa) for each in (straight, debulked))
    helps = np.asarray(b.safe < a.safe)
    return Advised(np.where(helps, b.nominal, a.nominal), np.where(helps, b.safe, a.safe), helps)


def reference(gas, steps):
    """The balance in plain floats, one case, one step after another: (V, n, G).

    All air is counted as pressure times volume at the temperature of mixing.
    """
    free = gas.entrained * (gas.mixed_Pa - gas.mixed_vapour_Pa)
    ever = G = free + gas.solubility * gas.air_Pa
    V, clock = gas.entrained, gas.cup_s
    entrained = n = gas.entrained / (4.0 / 3.0 * math.pi * gas.entrained_radius_m**3)
    pockets = 3.0 / (4.0 * math.pi * gas.spacing_m**3)
    V_r = gas.trapped / (1.0 - gas.trapped)
    L, D = gas.solubility, gas.diffusivity_m2_s
    for step in steps:
        p_v, warm = step.vapour_Pa, step.expansion
        if step.vapour_high_Pa is not None:
            p_v += gas.vapour_moved * (step.vapour_high_Pa - p_v)
        x, t = step.pressure_Pa - p_v, step.duration_s
        given = [2.0 ** (-at / gas.initiator_half_time_s) for at in (clock, clock + t)]
        made, clock = gas.initiator_gas * 101325.0 * (given[0] - given[1]), clock + t
        G, ever = G + made, ever + made
        over = min(1.0, max(0.0, (gas.air_Pa - max(x, 0.0)) / 101325.0))
        n = max(n, entrained + pockets * over**gas.exponent)
        s = (3.0 / (4.0 * math.pi * n)) ** (1.0 / 3.0)
        y = 1.0 - math.exp(-t * math.pi**2 * D / s**2)
        if x <= 0.0:
            assert step.path_open
            n = max(n, entrained + pockets)
            ratio = min(1.0, p_v / step.pressure_Pa - 1.0)
            S = gas.trapped + gas.boiling_extra * ratio ** (1.0 / 3.0)
            G -= y * max(0.0, G - (1.0 - gas.connected) * ever)
            V, free = S / (1.0 - S), 0.0
            continue
        V_eq, V_c = max(0.0, G * warm / x - L), free * warm / x
        if V_eq >= V_c:
            V = V_c + y * (V_eq - V_c)
        else:
            R, x_d = s * V_c ** (1.0 / 3.0), (G - free) * warm / L
            t_d = R**2 / (2.0 * D * L * max(gas.least_drive, 1.0 - x_d / x))
            V = V_eq + (V_c - V_eq) * max(0.0, 1.0 - t / t_d) ** 1.5
        if step.path_open and V_r < V:
            V, kept = V_r, (V_r + L) * x / warm
            G -= y * max(0.0, G - kept - (1.0 - gas.connected) * max(0.0, ever - kept))
        free = V * x / warm
    return V, n, G
