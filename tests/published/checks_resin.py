"""What pushes out of a resin, by advise: water of a humid shop, and styrene held by its polymer.

Where a source leaves out the humidity or the pressure, ours is chosen here and said so.
"""

import math
import warnings
from typing import Literal

from checks import ZERO, Check, _const, pressure

import outgas

# Water in prepreg -----------------------------------------------------------------------------

PREPREG = "out-of-autoclave-epoxy-prepreg"
POLYESTER = "orthophthalic-polyester"


def prepreg_advice(resin: str, celsius: float, humidity: float) -> outgas.Advice:
    shop = outgas.Shop(temperature="21 degC", humidity=humidity, barometer="1013.25 hPa")
    return outgas.advise(
        resin, shop, process="prepreg", hottest=f"{celsius!r} degC", water_activity=humidity
    )


def prepreg_water(celsius: float, humidity: float) -> float:
    return prepreg_advice(PREPREG, celsius, humidity).partial_pressures_Pa["water"]


def pressed_water(celsius: float) -> float:
    """What water pushes with [atm] in polyester laid up at 90 % humidity and pressed hot."""
    shop = outgas.Shop(temperature="21 degC", humidity="90 %", barometer="1013.25 hPa")
    said = outgas.advise(
        POLYESTER, shop, process="pressing", hottest=f"{celsius!r} degC", water_activity=0.9
    )
    return said.partial_pressures_Pa["water"] / 101325.0


def autoclave_water(humidity: float) -> float:
    """What water pushes with, as a share of what presses on the resin in an autoclave."""
    said = prepreg_advice("autoclave-epoxy-prepreg", 121.0, humidity)
    return said.partial_pressures_Pa["water"] / said.resin_pressure_Pa


def moisture_checks() -> list[Check]:
    why = "its own fit of water is up to 2.5 % off the steam tables in this range"
    found = [
        Check(
            f"p_min at {t} degC, 50 % humidity",
            "kardos-1986",
            lambda t=t: prepreg_water(t, 0.5),
            _const(4962.0 * math.exp(-4892.0 / (t + ZERO)) * 50.0 * 101325.0),
            0.035,
            why,
            ("water", PREPREG),
            answer="advise",
        )
        for t in (80.0, 100.0, 121.0, 150.0, 177.0)
    ]
    found.append(
        Check(
            "humidity limit at 121 degC and one atmosphere, %",
            "kardos-1986",
            lambda: 101325.0 / prepreg_water(121.0, 1.0) * 100.0,
            _const(49.5),
            0.01,
            "49.4 with the steam tables",
            ("water", PREPREG),
            answer="advise",
        )
    )
    chosen = "humidity and pressure are not told: 90 % and one atmosphere are chosen here"
    pressed: list[tuple[int, Literal["at least", "at most"], float]] = [
        (160, "at most", 0.5), (220, "at least", 0.03), (250, "at least", 0.5)
    ]  # fmt: skip
    for fahrenheit, side, margin in pressed:
        effect = "pronounced" if side == "at least" else "negligible"
        found.append(
            Check(
                f"water's push at {fahrenheit} degF, where humidity has {effect} effects, atm",
                "naca-1951",
                lambda t=(fahrenheit - 32) / 1.8: pressed_water(t),
                _const(1.0),
                margin,
                chosen,
                ("water", POLYESTER),
                side,
                "advise",
            )
        )
    for humidity, margin in ((0.7, 0.3), (0.8, 0.5), (0.9, 0.7)):
        found.append(
            Check(
                f"water's push in a vacuum bag after {humidity:.0%} humidity, voids, atm",
                "grunenfelder-2010",
                lambda h=humidity: prepreg_water(121.0, h) / 101325.0,
                _const(1.0),
                margin,
                "more voids at each: more than an atmosphere, and more at each",
                ("water", PREPREG),
                "at least",
                "advise",
            )
        )
    found.append(
        Check(
            "water's push in an autoclave after 90 % humidity, where no voids are, of the resin's",
            "grunenfelder-2010",
            lambda: autoclave_water(0.9),
            _const(1.0),
            0.4,
            "void-free at every humidity; its pressure is not told",
            ("water", "autoclave-epoxy-prepreg"),
            "at most",
            "advise",
        )
    )
    return found


# Solutions ------------------------------------------------------------------------------------


def unifac_activity(styrene: float) -> float:
    """Styrene over an oligomer of six propylene phthalate-fumarate units, 2250 g/mol."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from thermo.unifac import UNIFAC

    units = 6
    monomer = {9: 5, 10: 1, 5: 1}  # ACH, AC, CH2=CH
    # per unit: COO, AC, ACH, CH=CH, CH3, CH, CH2; one more glycol and two OH at the ends
    oligomer = {77: 24, 10: 12, 9: 24, 6: units, 1: 13, 3: 13, 2: 13, 14: 2}
    moles = styrene / 104.149, (1.0 - styrene) / 2250.0
    x = moles[0] / sum(moles)
    model = UNIFAC.from_subgroups(T=298.15, xs=[x, 1.0 - x], chemgroups=[monomer, oligomer])
    return float(model.gammas()[0] * x)


def resin_activity(resin: str) -> float:
    shop = outgas.Shop(temperature="25 degC", humidity="50 %", barometer="1013.25 hPa")
    said = outgas.advise(resin, shop, hottest="25 degC")
    return said.partial_pressures_Pa["styrene"] / pressure("styrene", 25.0)


def solution_checks() -> list[Check]:
    return [
        Check(
            f"styrene over {resin}",
            "unifac-1975",
            lambda r=resin: resin_activity(r),
            lambda w=w: unifac_activity(w),
            0.07,
            "the record's own 95 % range of the activity",
            ("styrene", resin),
            answer="advise",
        )
        for resin, w in (
            ("orthophthalic-polyester", 0.40),
            ("isophthalic-polyester", 0.40),
            ("low-styrene-polyester", 0.31),
        )
    ]


CHECKS: list[Check] = [*moisture_checks(), *solution_checks()]
