"""The checks against outside sources. Each goes through the public API and names its source.

A check's tolerance is what two independent right answers may differ by, and says why. Where a
source says no more than that one thing is over or under another, the check is one-sided and its
margin says by how much. Values the project computes itself are pinned elsewhere and are not counted
here; what any right arithmetic must give is no outside source and stands in
tests/physics/test_closed_forms.py.
"""

import atexit
import functools
import math
import shutil
import tempfile
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import outgas
from outgas.tables import catalogue

MMHG_PA = 101325.0 / 760.0
ZERO = 273.15


@dataclass(frozen=True)
class Check:
    """One comparison: what outgas gives, what the source gives, and how close they must be.

    side: 'both', within the relative tolerance; 'at least' or 'at most', beyond what the source
    gives by that share of it. answer: the public answer that it goes through.
    """

    name: str
    source: str
    got: Callable[[], float]
    expected: Callable[[], float]
    relative: float
    why: str
    uses: tuple[str, ...]  # volatiles and resins whose data it rests on
    side: Literal["both", "at least", "at most"] = "both"
    answer: Literal["", "advise", "schedule", "diagnose", "voids"] = ""

    def agrees(self, got: float | None = None) -> bool:
        """Whether it comes out; got, where it is known already."""
        ours = self.got() if got is None else got
        theirs = self.expected()
        margin = self.relative * abs(theirs)
        if self.side == "both":
            return bool(abs(ours - theirs) <= max(margin, 1e-12))
        return bool(ours >= theirs + margin if self.side == "at least" else ours <= theirs - margin)


def pressure(volatile: str, celsius: float) -> float:
    return float(outgas.vapour_pressure(volatile, f"{celsius!r} degC").m_as("Pa"))


def boils(volatile: str, text: str) -> float:
    return float(outgas.boiling_temperature(volatile, text).m_as("K"))


def _const(value: float) -> Callable[[], float]:
    return lambda: value


# A resin that is all monomer ------------------------------------------------------------------

OWN_RESIN = """
[ideal]
title = "a made-up resin for one limit"
family = "polyester"
initiator = "none"
processes = ["wet layup"]
minimum_temperature = {{ value = 0.0, unit = "degC", u95 = 1.0, source = "own", how = "estimate" }}
air_solubility = {{ value = 0.1, unit = "1", u95 = 0.01, source = "own", how = "estimate" }}
water_activity = {{ value = 0.0, unit = "1", u95 = 0.0, source = "own", how = "estimate" }}
density = {{ value = 900.0, unit = "kg/m3", u95 = 1.0, source = "own", how = "estimate" }}
viscosity = {{ value = 1.0, unit = "Pa s", u95 = 0.1, source = "own", how = "estimate" }}
[[ideal.part]]
name = "prepolymer"
fraction = {{ value = {polymer}, unit = "1", u95 = 0.0, source = "own", how = "estimate" }}
density = {{ value = 900.4, unit = "kg/m3", u95 = 1.0, source = "own", how = "estimate" }}
molar_mass = {{ value = 104.1491, unit = "g/mol", u95 = 1.0, source = "own", how = "estimate" }}
[[ideal.part]]
volatile = "{volatile}"
fraction = {{ value = {monomer}, unit = "1", u95 = 0.0, source = "own", how = "estimate" }}
chi = {{ value = {chi}, unit = "1", u95 = 0.0, source = "own", how = "estimate" }}
"""


@functools.cache
def own_resins() -> Path:
    """Where made-up resins lie while the checks run."""
    folder = tempfile.mkdtemp()
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return Path(folder)


def own_resin(volatile: str = "styrene", monomer: float = 1.0, chi: float = 0.0) -> str:
    """The path of a made-up resin, all monomer if nothing else is said."""
    path = own_resins() / f"{volatile}-{monomer}-{chi}.toml"
    told = {"volatile": volatile, "polymer": 1.0 - monomer, "monomer": monomer, "chi": chi}
    path.write_text(OWN_RESIN.format(**told))
    return str(path)


def advised(volatile: str, celsius: float, water: float = 0.0) -> outgas.Advice:
    """What advise says of a bag over nothing but a monomer, and water it does not mix with."""
    shop = outgas.Shop(
        temperature=f"{min(celsius, 20.0)!r} degC", humidity="50 %", barometer="1013.25 hPa"
    )
    return outgas.advise(
        own_resin(volatile), shop, hottest=f"{celsius!r} degC", vapour_share=1, water_activity=water
    )


def vapour_limit(volatile: str, celsius: float) -> float:
    """The likeliest limit of the vapour [Pa], with no part of a bubble kept for air."""
    return advised(volatile, celsius).nominal_limits_Pa["vapour"]


MONOMERS = ("styrene", "methyl-methacrylate")


def pushes(volatile: str, celsius: float) -> float:
    """The pressure of a liquid [Pa]: of a monomer, the limit that advise gives it."""
    return (vapour_limit if volatile in MONOMERS else pressure)(volatile, celsius)


def by_answer(volatile: str) -> Literal["", "advise"]:
    return "advise" if volatile in MONOMERS else ""


# Constants held by the chemicals package ------------------------------------------------------


def chemicals_pressure(table: str, volatile: str, celsius: float) -> float:
    """Evaluate one of the package's published constant sets; the formula is in the set's name."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import chemicals.vapor_pressure as held
        from chemicals.dippr import EQ101

    row = getattr(held, table).loc[catalogue.volatile(volatile).cas]
    T = celsius + ZERO
    if table == "Psat_data_Perrys2_8":
        return float(EQ101(T, row["C1"], row["C2"], row["C3"], row["C4"], row["C5"]))
    if table == "Psat_data_WagnerMcGarry":
        wagner = held.Wagner_original
        return float(wagner(T, row["Tc"], row["Pc"], row["A"], row["B"], row["C"], row["D"]))
    if table in ("Psat_data_VDI_PPDS_3", "Psat_data_WagnerPoling"):
        wagner = held.Wagner
        return float(wagner(T, row["Tc"], row["Pc"], row["A"], row["B"], row["C"], row["D"]))
    assert table == "Psat_data_Landolt_Antoine"
    return math.exp(row["A"] - row["B"] / (T + row["C"]))


SETS = [
    # table, source, volatile, temperatures in degC, tolerance, why
    ("Psat_data_Perrys2_8", "perry-2008", "styrene", (10, 60, 100), 0.02, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "methyl-methacrylate", (20, 60), 0.04, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "methyl-ethyl-ketone", (25,), 0.04, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "isopropanol", (25, 60), 0.04, "cubic's miss 2.7 %"),
    ("Psat_data_Perrys2_8", "perry-2008", "benzyl-alcohol", (60,), 0.06, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "phenol", (90,), 0.03, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "alpha-methylstyrene", (60,), 0.03, "spread of sets"),
    ("Psat_data_Perrys2_8", "perry-2008", "toluene", (25,), 0.01, "two good sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "styrene", (30, 60, 100), 0.02, "spread of sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "methyl-ethyl-ketone", (25, 60), 0.02, "spread"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "isopropanol", (40,), 0.04, "spread of sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "benzyl-alcohol", (130,), 0.04, "spread of sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "toluene", (60,), 0.005, "two good sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "acetone", (20,), 0.01, "two good sets"),
    ("Psat_data_WagnerMcGarry", "mcgarry-1983", "ethanol", (40,), 0.015, "two good sets"),
    ("Psat_data_VDI_PPDS_3", "vdi-heat-atlas", "toluene", (40,), 0.005, "two good sets"),
    ("Psat_data_VDI_PPDS_3", "vdi-heat-atlas", "ethylbenzene", (25,), 0.005, "two good sets"),
    ("Psat_data_VDI_PPDS_3", "vdi-heat-atlas", "methyl-ethyl-ketone", (40,), 0.01, "spread"),
    ("Psat_data_VDI_PPDS_3", "vdi-heat-atlas", "phenol", (90,), 0.02, "spread of sets"),
    ("Psat_data_VDI_PPDS_3", "vdi-heat-atlas", "water", (40,), 0.002, "a fit of the same water"),
    ("Psat_data_Landolt_Antoine", "landolt-boernstein-v20", "styrene", (20, 60), 0.03, "spread"),
    ("Psat_data_Landolt_Antoine", "landolt-boernstein-v20", "toluene", (60,), 0.005, "good sets"),
    ("Psat_data_Landolt_Antoine", "landolt-boernstein-v20", "ethylbenzene", (60,), 0.01, "good"),
    ("Psat_data_Landolt_Antoine", "landolt-boernstein-v20", "benzyl-alcohol", (140,), 0.02, "few"),
    ("Psat_data_WagnerPoling", "poling-2001", "benzyl-alcohol", (40, 80), 0.03, "spread of sets"),
    ("Psat_data_WagnerPoling", "poling-2001", "acetone", (40,), 0.005, "two good sets"),
    ("Psat_data_WagnerPoling", "poling-2001", "toluene", (80,), 0.005, "two good sets"),
]

# NIST WebBook: ln(p/Pa) = A - B/(T + C), inside each set's range; as chemicals holds them.
WEBBOOK = [
    ("styrene", (40, 60, 80), (20.859809, 3361.5647, -59.551), 0.055, "5 % off other sets at 40"),
    ("methyl-methacrylate", (50, 80), (23.895883, 4479.8175, -7.569), 0.09, "8.7 % off at 80 degC"),
    ("alpha-methylstyrene", (60,), (23.53166, 5357.8093, 7.23), 0.04, "spread of sets"),
    ("4-methylstyrene", (60, 80), (21.12235, 3672.1903, -63.255), 0.03, "spread of sets"),
    ("3-methylstyrene", (80, 120), (21.224631, 3648.4369, -66.922), 0.03, "spread of sets"),
    ("methyl-ethyl-ketone", (60,), (20.698858, 2648.4495, -63.904), 0.03, "spread of sets"),
]


def set_checks() -> list[Check]:
    found = []
    for table, source, volatile, temperatures, tolerance, why in SETS:
        for t in temperatures:
            found.append(
                Check(
                    f"{volatile} {t} degC",
                    source,
                    lambda v=volatile, t=t: pushes(v, float(t)),
                    lambda k=table, v=volatile, t=t: chemicals_pressure(k, v, float(t)),
                    tolerance,
                    why,
                    (volatile,),
                    answer=by_answer(volatile),
                )
            )
    for volatile, temperatures, (A, B, C), tolerance, why in WEBBOOK:
        for t in temperatures:
            found.append(
                Check(
                    f"{volatile} {t} degC",
                    "nist-webbook-antoine",
                    lambda v=volatile, t=t: pushes(v, float(t)),
                    _const(math.exp(A - B / (t + ZERO + C))),
                    tolerance,
                    why,
                    (volatile,),
                    answer=by_answer(volatile),
                )
            )
    return found


# Water ----------------------------------------------------------------------------------------


def water_checks() -> list[Check]:
    found = []
    why = "another formulation; they differ by up to 1.1e-4"
    for T, mpa in ((300, 3.53658941e-3), (500, 2.63889776), (600, 12.3443146)):
        found.append(
            Check(
                f"water {T} K",
                "iapws-if97-2012",
                lambda T=T: float(outgas.vapour_pressure("water", f"{T} K").m_as("Pa")),
                _const(mpa * 1e6),
                2e-4,
                why,
                ("water",),
            )
        )
    for mpa, T in ((0.1, 372.755919), (1.0, 453.035632), (10.0, 584.149488)):
        found.append(
            Check(
                f"water boils at {mpa} MPa",
                "iapws-if97-2012",
                lambda p=mpa: boils("water", f"{p * 10} bar abs"),
                _const(T),
                2e-5,
                "in kelvin: 2e-4 of pressure is about 1e-5 of temperature",
                ("water",),
            )
        )

    def steam(celsius: float) -> float:
        from iapws.iapws97 import _PSat_T

        return float(_PSat_T(celsius + ZERO) * 1e6)

    for t in (7, 15, 20, 25, 33, 43, 60, 100, 121, 150):
        found.append(
            Check(
                f"water {t} degC",
                "iapws-library",
                lambda t=t: pressure("water", float(t)),
                lambda t=t: steam(float(t)),
                2e-4,
                why,
                ("water",),
            )
        )
    return found


# Boiling points -------------------------------------------------------------------------------


def boiling_checks() -> list[Check]:
    def handbook(volatile: str) -> float:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            from chemicals import Tb
        return float(Tb(catalogue.volatile(volatile).cas, method="CRC_ORG"))

    kelvin = {
        "acetone": 0.3,
        "toluene": 0.2,
        "ethylbenzene": 0.2,
        "m-xylene": 0.2,
        "o-xylene": 0.2,
        "ethanol": 0.3,
        "methanol": 0.2,
        "styrene": 0.5,
        "methyl-methacrylate": 0.5,
        "methyl-ethyl-ketone": 0.3,
        "isopropanol": 0.7,
    }
    return [
        Check(
            f"{volatile} boils",
            "crc-handbook-boiling",
            lambda v=volatile: boils(v, "1013.25 mbar"),
            lambda v=volatile: handbook(v),
            step / 350.0,
            f"{step} K: the handbook's rounding, and the cubic's miss",
            (volatile,),
        )
        for volatile, step in kelvin.items()
    ]


# The atmosphere -------------------------------------------------------------------------------


def atmosphere_checks() -> list[Check]:
    found = []

    def smithsonian(setting: float, h: float) -> float:
        n, lapse, p0, T0 = 0.190284, 0.0065, 1013.25, 288.0
        return float((setting**n - p0**n * lapse * h / T0) ** (1 / n) + 0.3)

    for setting, h in ((1015.0, 1600.0), (990.0, 500.0), (1030.0, 2500.0)):
        found.append(
            Check(
                f"{setting} hPa at {h:.0f} m",
                "smithsonian-1951",
                lambda s=setting, h=h: float(outgas.barometer(f"{h} m", f"{s} hPa").m_as("hPa")),
                lambda s=setting, h=h: smithsonian(s, h),
                1.5e-3,
                "another form: it adds 0.3 mbar for the height of the barometer and rounds T0",
                (),
            )
        )
    return found


# Single printed values ------------------------------------------------------------------------


def single_checks() -> list[Check]:
    return [
        Check(
            "styrene saturates air at 20 degC, vol%",
            "chemical-dictionary-styrene",
            lambda: vapour_limit("styrene", 20.0) / 101325.0 * 100,
            _const(0.59),
            0.03,
            "printed to two digits",
            ("styrene",),
            answer="advise",
        ),
        Check(
            "styrene boils",
            "chemical-dictionary-styrene",
            lambda: boils("styrene", "1013.25 mbar"),
            _const(145.2 + ZERO),
            0.4 / 418,
            "printed to a tenth; 0.2 K between sources",
            ("styrene",),
        ),
        Check(
            "methyl methacrylate saturates air at 20 degC, vol%",
            "mma-safety-data-sheets",
            lambda: vapour_limit("methyl-methacrylate", 20.0) / 101325.0 * 100,
            _const(3.8),
            0.03,
            "printed to two digits",
            ("methyl-methacrylate",),
            answer="advise",
        ),
        Check(
            "methyl methacrylate at 20 degC",
            "mma-safety-data-sheets",
            lambda: vapour_limit("methyl-methacrylate", 20.0) / MMHG_PA,
            _const(28.0),
            0.04,
            "printed to two digits",
            ("methyl-methacrylate",),
            answer="advise",
        ),
        Check(
            "methyl methacrylate at 25 degC",
            "mma-safety-data-sheets",
            lambda: vapour_limit("methyl-methacrylate", 25.0) / MMHG_PA,
            _const(39.0),
            0.06,
            "4 % above the modern sets",
            ("methyl-methacrylate",),
            answer="advise",
        ),
    ]


CHECKS: list[Check] = [
    *set_checks(),
    *water_checks(),
    *boiling_checks(),
    *atmosphere_checks(),
    *single_checks(),
]
