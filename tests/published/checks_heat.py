"""Checks of cure, heat and the fibre bed against outside sources; kernels where those are public.

Kernels are asked directly where no public function stands in front of them: they are the equations
that the sources print.
"""

import functools
import math

import numpy as np
from checks import ZERO, Check, _const

import outgas
from outgas.physics import bed, heat
from outgas.tables import catalogue, data, rates

INERT = rates.kinetics(outgas.resin("orthophthalic-polyester"))


def wall(Bi: float, Fo: float, *, at_face: bool = False) -> float:
    """The share of its first excess that a plane wall keeps, in the middle or at its face."""
    L, k, C = 0.01, 0.2, 2e6
    slabs = heat.Slabs(
        thickness=np.array([L]),
        conductivity=np.array([k]),
        capacity=np.array([C]),
        resin=np.array([0.0]),
    )
    times = np.array([0.0, Fo * L * L * C / k])
    run = heat.solve(slabs, INERT, heat.steady(300.0, 0.0, Bi * k / L), 400.0, times, cells=120)
    T = run.T[:, -1]
    edge = T[-1] + 0.5 * (T[-1] - T[-2])
    return float(((edge if at_face else T[0]) - 300.0) / 100.0)


def one_term(Bi_row: tuple[float, float], Fo: float, *, at_face: bool = False) -> float:
    zeta, C1 = Bi_row
    return C1 * math.exp(-(zeta**2) * Fo) * (math.cos(zeta) if at_face else 1.0)


# Printed rows: Bi -> zeta1 [rad], C1
INCROPERA = {0.1: (0.3111, 1.0161), 1.0: (0.8603, 1.1191), 10.0: (1.4289, 1.2620)}


def brass_plate() -> float:
    """A 4 cm brass plate in an oven at 500 degC for 7 min, both faces: its face [degC]."""
    rho, c, k, h = 8530.0, 380.0, 110.0, 120.0
    slabs = heat.Slabs(
        thickness=np.array([0.02]),
        conductivity=np.array([k]),
        capacity=np.array([rho * c]),
        resin=np.array([0.0]),
    )
    around = heat.steady(500.0 + ZERO, 0.0, h)
    run = heat.solve(slabs, INERT, around, 20.0 + ZERO, np.array([0.0, 420.0]), cells=60)
    return float(run.T[-1, -1] - ZERO)


def gels_at(resin: str, celsius: float) -> float:
    """When one ply on metal gels in a shop [s]: as good as at the shop's temperature."""
    shop = outgas.Shop(temperature=f"{celsius!r} degC", humidity="50 %", barometer="1013.25 hPa")
    layup = outgas.Layup(plies=["1 x 300 g/m2 woven glass"], tool="10 mm aluminium plate")
    said = outgas.advise(resin, shop, layup=layup, minimum_temperature="5 degC")
    assert said.cure is not None
    return said.cure.gel_s


def gel_ratio(resin: str, cold: float, warm: float) -> float:
    """How many times longer the gel takes at the colder temperature, both in degC."""
    return gels_at(resin, cold) / gels_at(resin, warm)


@functools.cache
def prepreg_limit(humidity: float) -> float:
    """The warmest that a vacuum-bagged prepreg may get in a plan, by its water [K]."""
    layup = outgas.Layup(plies=["6 x 200 g/m2 woven carbon"], tool="6 mm aluminium")
    shop = outgas.Shop(temperature="21 degC", humidity=humidity, barometer="1013.25 hPa")
    plan = outgas.schedule(
        "out-of-autoclave-epoxy-prepreg", shop, process="prepreg", layup=layup, dried="0 h"
    )
    return float(plan.stage("cure").limit_K)


def kardos_limit(humidity: float) -> float:
    """Where 4962 exp(-4892/T) RH % reaches what fibres at their worst leave of the air [K]."""
    table = catalogue.prepreg()
    atmospheres = (1.0 - table.verdict.within.si) * (1.0 - table.carried.sealed.high_si)
    return 4892.0 / math.log(4962.0 * humidity * 100.0 / atmospheres)


def packed(name: str, pressure: float) -> float:
    raw = data.table("reinforcements.toml")[name]
    return float(bed.packed(raw["compaction_a"]["value"], raw["compaction_b"]["value"], pressure))


def heat_checks() -> list[Check]:
    found = [
        Check(
            f"plane wall, Bi {Bi:g}, Fo {Fo:g}, {'face' if face else 'middle'}",
            "incropera-2011",
            lambda b=Bi, f=Fo, a=face: wall(b, f, at_face=a),
            lambda r=row, f=Fo, a=face: one_term(r, f, at_face=a),
            0.004,
            "table of four digits; one term of the series",
            (),
        )
        for Bi, row in INCROPERA.items()
        for Fo, face in ((0.5, False), (1.0, False), (1.0, True))
    ]
    found.append(
        Check(
            "plane wall held at its face, Fo 0.5, middle",
            "carslaw-jaeger-1959",
            lambda: wall(1e6, 0.5),
            _const(4.0 / math.pi * math.exp(-(math.pi**2) / 8.0)),
            0.002,
            "first term of the series; the second is 2e-6 here",
            (),
        )
    )
    found.append(
        Check(
            "brass plate in an oven, face after 7 min",
            "cengel-brass-plate",
            brass_plate,
            _const(279.764),
            0.002,
            "one term of the series, as the package prints it",
            (),
        )
    )
    gels = [
        # source, resin, degC, printed ratio, why
        ("polyester-gel-table", "orthophthalic-polyester", 15, 20, 74 / 48, "1 % peroxide"),
        ("polyester-gel-table", "orthophthalic-polyester", 15, 20, 28 / 19, "2 % peroxide"),
        ("vinyl-ester-gel-note", "bisphenol-a-vinyl-ester", 21.1, 26.7, 35 / 22.5, "middles"),
        ("epoxy-gel-table", "epoxy-laminating", 15.6, 26.7, 62 / 30, "60 and 80 degF"),
        ("epoxy-gel-table", "epoxy-laminating", 10.0, 26.7, 110 / 30, "50 and 80 degF"),
    ]
    found += [
        Check(
            f"gel time of {resin}, {cold:g} over {warm:g} degC, {why}",
            source,
            lambda r=resin, a=cold, b=warm: gel_ratio(r, float(a), float(b)),
            _const(ratio),
            0.15,
            "another resin of the family; the range of its energy alone makes 13 %",
            (),
            answer="advise",
        )
        for source, resin, cold, warm, ratio, why in gels
    ]
    found += [
        Check(
            f"prepreg laid up at {humidity:.0%}, warmest under a bag",
            "kardos-1986",
            lambda rh=humidity: prepreg_limit(rh),
            lambda rh=humidity: kardos_limit(rh),
            0.003,
            "the published fit of steam is within 2.5 % there: 1 K",
            (),
            answer="schedule",
        )
        for humidity in (0.5, 0.7, 0.9)  # drier, the sheet forbids the warmth before the water
    ]
    found += [
        Check(
            f"consolidation, degree {degree:.0%}",
            "taylor-1948",
            lambda t=tau: float(bed.consolidated(t)),
            _const(degree),
            0.003,
            "three digits of the time factor",
            (),
        )
        for degree, tau in ((0.5, 0.197), (0.7, 0.403), (0.9, 0.848))
    ]
    found.append(
        Check(
            "woven cloth under full vacuum, fibre fraction",
            "vacuum-debulk-2016",
            lambda: packed("woven-glass", 1.0e5),
            _const(0.554),
            0.10,
            "one woven fabric, dry and debulked; fabrics differ by some per cent",
            (),
        )
    )
    found.append(
        Check(
            "infused glass cloth at one bar of vacuum, fibre fraction",
            "heated-pressurised-infusion-2019",
            lambda: packed("woven-glass", 1.0e5),
            _const(0.50),
            0.08,
            "about 50 %, one laminate",
            (),
        )
    )
    return found


CHECKS: list[Check] = heat_checks()
