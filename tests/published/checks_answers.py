"""Checks that reach an answer: what advise, schedule, diagnose and the voids say against print.

Where a source says how much and not more than that, the check is two-sided; where it says over or
under, one-sided. What a source leaves out and an answer needs is chosen here, and said so.
"""

import functools
import math
import tomllib
from pathlib import Path

from checks import Check, _const, advised

import outgas
from outgas.tables import catalogue

EPOXY, VINYL_ESTER = "epoxy-laminating", "bisphenol-a-vinyl-ester"
POLYESTER, INFUSION = "orthophthalic-polyester", "epoxy-infusion"
FOOT_M, INCH_OF_MERCURY_PA, PSI_PA = 0.3048, 3386.389, 6894.757
ZERO = 273.15


def shop(celsius: float = 22.0, humidity: str = "50 %") -> outgas.Shop:
    """A shop at sea level."""
    return outgas.Shop(temperature=f"{celsius!r} degC", humidity=humidity, barometer="1013.25 hPa")


# The air that presses, and water that boils ---------------------------------------------------

# feet: inches of mercury
ALTITUDES = {1000: 28.86, 2000: 27.82, 3000: 26.82, 5000: 24.90, 8000: 22.23, 10000: 20.58}


def presses(feet: int) -> float:
    """The air that an advice reckons with at an altitude [inHg]."""
    there = outgas.Shop(temperature="22 degC", humidity="50 %", altitude=f"{feet * FOOT_M!r} m")
    return outgas.advise(EPOXY, there).barometer_Pa / INCH_OF_MERCURY_PA


def hyland_wexler(celsius: float) -> float:
    """Water's pressure [Pa], by the equation of the ASHRAE handbook."""
    T = celsius + ZERO
    return math.exp(
        -5.8002206e3 / T + 1.3914993 - 4.8640239e-2 * T + 4.1764768e-5 * T**2
        - 1.4452093e-8 * T**3 + 6.5459673 * math.log(T)
    )  # fmt: skip


def waters_limit(celsius: float) -> float:
    """The likeliest limit of the vapour [Pa] of epoxy as wet as saturated air."""
    said = outgas.advise(
        EPOXY, shop(20.0), hottest=f"{celsius!r} degC", vapour_share=1, water_activity=1
    )
    return said.nominal_limits_Pa["vapour"]


def air_and_water_checks() -> list[Check]:
    found = [
        Check(
            f"air that presses at {feet} ft, inHg", "ludwig-altitudes",
            lambda feet=feet: presses(feet), _const(inches), 2e-3, "printed to four figures", (),
            answer="advise",
        )
        for feet, inches in ALTITUDES.items()
    ]  # fmt: skip
    found += [
        Check(
            f"wet epoxy boils at {t} degC under, Pa", "ashrae-2017",
            lambda t=t: waters_limit(t), lambda t=t: hyland_wexler(t), 1.5e-3,
            "another equation of the same water: they differ by a thousandth", ("water", EPOXY),
            answer="advise",
        )
        for t in (25.0, 40.0, 60.0, 80.0)
    ]  # fmt: skip
    return found


# Two liquids that do not mix boil together below either ---------------------------------------

HETEROAZEOTROPES = (
    ("toluene", 84.1, "lange-azeotropes"),
    ("styrene", 93.9, "horsley-1973"),
    ("ethylbenzene", 92.0, "horsley-1973"),
)


def boils_with_water(volatile: str) -> float:
    """Where a wet liquid boils in the open [K]."""
    wet, _ = advised(volatile, 25.0, water=1.0).boils_in_air_K
    assert wet is not None
    return wet


def azeotrope_checks() -> list[Check]:
    return [
        Check(
            f"wet {volatile} boils in the open, K", source,
            lambda v=volatile: boils_with_water(v), _const(celsius + ZERO), 0.5 / 366.0,
            "0.5 K: the table's tenth, and what little the two dissolve in each other",
            ("water", volatile), answer="advise",
        )
        for volatile, celsius, source in HETEROAZEOTROPES
    ]  # fmt: skip


# Cores ----------------------------------------------------------------------------------------


def cored(core: str) -> outgas.Advice:
    """The advice for a thin sandwich of a core."""
    layup = outgas.Layup(
        plies=["1 x 200 g/m2 woven glass", "core", "1 x 200 g/m2 woven glass"],
        core=f"15 mm {core}",
    )
    return outgas.advise(EPOXY, shop(), layup=layup)


def core_bears(core: str) -> float:
    """The clamp that a core is likeliest to bear for hours [Pa], of what the air can press."""
    said = cored(core)
    return said.barometer_Pa - said.nominal_limits_Pa["core"]


def core_is_let_bear(core: str) -> float:
    """The clamp that the safe side lets a core bear [Pa]."""
    said = cored(core)
    return said.barometer_Pa - said.limits_Pa["core"]


def core_holds(core: str) -> float:
    """The share of its short-term strength that a core is taken to bear for hours."""
    (record,) = (record for record in catalogue.core_records() if core in record.words)
    return core_bears(core) / record.compressive_strength.si


def wood_activity(moisture: str) -> float:
    """The water activity that the safe side takes for balsa of a moisture content."""
    layup = outgas.Layup(
        plies=["2 x 400 g/m2 woven glass", "core", "2 x 400 g/m2 woven glass"],
        core="12 mm end-grain balsa", core_moisture=moisture,
    )  # fmt: skip
    dry = outgas.advise(EPOXY, shop(21.1, "10 %"), layup=layup, water_activity=0.0)
    return dry.water_activity[1]


def core_checks() -> list[Check]:
    xps, eps = "extruded polystyrene", "expanded polystyrene"
    found = [
        Check(
            f"share of its strength that {xps} bears for long, board of {kPa} kPa",
            "xps-board-sheets", lambda: core_holds(xps), _const(ever / kPa), 0.1,
            "2 % of creep in fifty years, cold; here for hours, warm", (), answer="advise",
        )
        for kPa, ever in ((500, 180), (700, 250))
    ]  # fmt: skip
    found += [
        Check(
            f"clamp that {xps} bears, Pa", "foam-comparison-table", lambda: core_bears(xps),
            _const(300e3 * 0.36), 0.15, "32 kg/m3; times the long-term share of the sheets above",
            (), answer="advise",
        ),
        Check(
            f"clamp that {eps} is let bear, Pa", "board-builders", lambda: core_is_let_bear(eps),
            _const(3.0 * PSI_PA), 0.0, "about 3 psi; likeliest we say 4", (), "at most", "advise",
        ),
        Check(
            f"clamp that {xps} bears, where it is used at full vacuum, Pa", "board-builders",
            lambda: core_bears(xps), _const(0.9 * 101325.0), 0.05, "full vacuum, of a small pump",
            (), "at least", "advise",
        ),
    ]  # fmt: skip
    rule = "a rule rounded to whole per cents; the safe side here takes the wetter"
    for moisture, humidity in ((6, 0.30), (9, 0.50), (12, 0.65), (16, 0.80)):
        found.append(
            Check(
                f"humidity that balsa of {moisture} % stands for", "wengert-rule",
                lambda m=moisture: wood_activity(f"{m} %"), _const(humidity), 0.04, rule, (),
                answer="advise",
            )
        )  # fmt: skip
    for moisture, humidity in ((12.0, 0.6), (14.0, 0.7), (16.5, 0.8)):
        found.append(
            Check(
                f"humidity that balsa of {moisture:g} % stands for", "moisture-meter-manual",
                lambda m=moisture: wood_activity(f"{m!r} %"), _const(humidity), 0.12,
                "the middle of a band two or three per cent wide, of wood of any kind", (),
                answer="advise",
            )
        )  # fmt: skip
    return found


# Voids ----------------------------------------------------------------------------------------


def cloth_share(resin: str, process: str) -> float:
    """The fibre fraction that the voids of a deep bag are reckoned with.

    Gas that cannot leave is told to be 6 % of the resin's space and all else to leave, so that the
    voids hold nothing else.
    """
    said = outgas.advise(resin, shop(), process=process, trapped="6 %", connected="100 %")
    voids = said.voids_at("25 mbar")
    assert voids is not None
    return 1.0 - voids.nominal / (1.0 - voids.nominal) * (0.94 / 0.06)


def by_volume(glass: float) -> float:
    """Fibre fraction by volume of so much glass by weight, in cured polyester."""
    return glass / 2.54 / (glass / 2.54 + (1.0 - glass) / 1.2)


def freed(resin: str) -> float:
    """Gas over resin by volume that comes out of saturated resin at half an atmosphere."""
    half = outgas.void_fraction(
        resin, "20 degC", "506.625 mbar", entrained=0, air_pressure="1 atm", water_activity=0
    ).m
    return float(half / (1.0 - half))


def methacrylate_over_styrene() -> float:
    """How much more air methacrylate takes, by 1.53 of nitrogen, 1.35 of oxygen, 1.8 to one."""
    return (0.79 * 1.53 + 0.21 * 1.8 * 1.35) / (0.79 + 0.21 * 1.8)


def expected(resin: str, process: str) -> float:
    """Void fraction likeliest at the setpoint of an advice."""
    voids = outgas.advise(resin, shop(), process=process).expected_voids
    assert voids is not None
    return voids.nominal


def dial() -> float:
    """What the dial shows at the setpoint for a wet layup with epoxy [inHg]."""
    said = outgas.advise(EPOXY, shop())
    return (said.barometer_Pa - said.setpoint_Pa) / INCH_OF_MERCURY_PA


def void_checks() -> list[Check]:
    densities = "glass 2.54 and resin 1.2 g/cm3, ours; a magazine's round figure"
    found = [
        Check(
            f"fibre fraction of {process} behind the voids of {resin}", "boating-magazine",
            lambda r=resin, p=process: cloth_share(r, p), lambda w=weight: by_volume(w), 0.12,
            densities, (), answer="voids",
        )
        for resin, process, weight in (
            (POLYESTER, "wet layup", 0.6), (EPOXY, "wet layup", 0.6), (INFUSION, "infusion", 0.7),
        )
    ]  # fmt: skip
    found += [
        Check(
            "gas freed by methacrylate resin over that by polyester", "tsuji-2021",
            lambda: freed("acrylic-infusion") / freed(POLYESTER), methacrylate_over_styrene, 0.15,
            "pure monomers there, both thinned with polymer here",
            ("methyl-methacrylate", "acrylic-infusion", POLYESTER), answer="voids",
        ),
        Check(
            "void content that a laminate is allowed", "void-limit-standard",
            lambda: outgas.advise(POLYESTER, shop()).void_target, _const(0.02), 0.1,
            "for main structural parts", (), answer="advise",
        ),
    ]  # fmt: skip
    found += [
        Check(
            f"dial at the setpoint of epoxy, {end} end of what is realistic, inHg",
            "epoxy-bagging-guide", dial, _const(inches), 0.0, "a range, and no place in it", (),
            side, "advise",
        )
        for end, side, inches in (("soft", "at least", 12.0), ("deep", "at most", 25.0))
    ]  # fmt: skip
    found += [
        Check(
            f"voids at the setpoint, {resin}, {process}", "composites-glossary",
            lambda r=resin, p=process: expected(r, p), _const(0.01), 0.0,
            "usually less in a properly cured composite", (), "at most", "advise",
        )
        for resin, process in (
            (EPOXY, "wet layup"), (POLYESTER, "wet layup"), (VINYL_ESTER, "wet layup"),
            (INFUSION, "infusion"),
        )
    ]  # fmt: skip
    return found


# White laminates whose cause was found --------------------------------------------------------

FAILURES = tomllib.loads(
    (Path(__file__).parent / "published_failures.toml").read_text(encoding="utf-8")
)


@functools.cache
def diagnosed(name: str) -> outgas.Diagnosis:
    """What diagnose says of a published failure."""
    told = FAILURES[name]
    there = outgas.Shop(temperature=told["temperature"], humidity=told["humidity"])
    rest = {key: told[key] for key in ("process", "hottest") if key in told}
    if "plies" in told:
        rest["layup"] = outgas.Layup(plies=told["plies"], core=told.get("core"))
    return outgas.diagnose(
        told["resin"], there, seen=told["seen"], bag_pressure=told.get("bag"), **rest
    )


def place(name: str) -> float:
    """The place that the cause found there takes in the diagnosis, 1 in front."""
    causes = [cause.name for cause in diagnosed(name).causes]
    return float(causes.index(FAILURES[name]["found"]) + 1)


def diagnosis_checks() -> list[Check]:
    return [
        Check(
            f"place of the cause found: {name}", told["source"],
            lambda name=name: place(name), _const(float(told["within"])), 0.0, told["why"], (),
            "at most", "diagnose",
        )
        for name, told in FAILURES.items()
    ]  # fmt: skip


CHECKS: list[Check] = [
    *air_and_water_checks(),
    *azeotrope_checks(),
    *core_checks(),
    *void_checks(),
    *diagnosis_checks(),
]
