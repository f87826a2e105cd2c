"""Rates of cure by resin: solved from its data sheet, or published."""

import functools
import hashlib
import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import msgspec

from outgas.errors import DataError, UnknownNameError
from outgas.physics.cure import Kamal, Kinetics, LeeLoosSpringer
from outgas.tables import data
from outgas.tables.built import product
from outgas.tables.cure import CureFamily, CureGeneral, CureTable
from outgas.tables.materials import Resin
from outgas.tables.number import UNITS, Number, check_fields

if TYPE_CHECKING:
    from outgas.physics.data_sheet import CupRun, Solved

LONGEST = 6.0  # how many peak times a standard mass is followed
PACING = 6  # rounds that bring a cup's gel to the time asked for; each a tenth of the miss before


class RateTable(msgspec.Struct, frozen=True, kw_only=True):
    """Built rate constants at 25 degC, as data/kinetics.toml and the user's cache hold them."""

    record: str
    induction_s: float
    k1_per_s: float
    k2_per_s: float
    residual: float
    final_conversion: float
    most_final_conversion: float
    cup_loss_W_per_K: float | None = None


# what a sheet does not print
SHAPE = (
    *("energy", "induction_energy", "m", "n", "ratio", "heat", "gel"),
    *("heat_capacity", "heat_capacity_slope"),
)


@data.kept
def cure() -> CureTable:
    """Return what data sheets leave out of cure: families of resins, published rate laws."""
    try:
        record = data.converted(data.table("cure.toml"), CureTable)
    except msgspec.ValidationError as error:
        raise DataError(f"cure.toml: {error}") from None
    check_fields(record.general, "cure.toml: general")
    for name, family in record.family.items():
        check_fields(family, f"cure.toml: family.{name}")
    return record


def family_of(resin: Resin) -> CureFamily:
    """Return a resin's family, or say which there are."""
    key = resin.family.replace(" ", "-")
    if key not in cure().family:
        raise UnknownNameError("family", resin.family, cure().family)
    return cure().family[key]


def sheet(resin: Resin) -> dict[str, Any]:
    """Return the numbers, in SI, that a resin's rate constants are solved from."""
    family, general = family_of(resin), cure().general
    gel = resin.gel_conversion or family.gel_conversion
    loss = family.cup_loss or general.cup_loss

    def si(name: str) -> float | None:
        number = getattr(resin, name)
        return None if number is None else number.si

    waits = family.induction_energy if resin.gel_of == "cup" else None
    return {
        "gel_of": resin.gel_of,
        "gel_time": si("gel_time"),
        "gel_temperature": si("gel_temperature") or general.temperature.si,
        "time_to_peak": si("time_to_peak"),
        "peak_temperature": si("peak_temperature"),
        "temperature": general.temperature.si,
        "mass": general.mass.si,
        "losses": [loss.si, loss.low_si, loss.high_si],
        "energy": family.activation_energy.si,
        "induction_energy": waits.si if waits is not None else 0.0,
        "m": family.order_m.si,
        "n": family.order_n.si,
        "ratio": family.start_ratio.si,
        "heat": (resin.heat or family.heat).si,
        "heat_capacity": family.heat_capacity.si,
        "heat_capacity_slope": family.heat_capacity_slope.si,
        "gel": gel.si,
    }


def solve(resin: Resin) -> RateTable:
    """Solve a resin's rate constants from its sheet; DataError where it contradicts itself."""
    try:
        found = _solved(sheet(resin))
    except DataError as error:
        raise DataError(f"{resin.name}: {error}") from None
    return RateTable(
        record=fingerprint(resin),
        induction_s=found.law.induction,
        k1_per_s=found.law.k1,
        k2_per_s=found.law.k2,
        residual=found.residual,
        final_conversion=found.law.final,
        most_final_conversion=found.most_final,
        cup_loss_W_per_K=found.loss,
    )


def _solved(s: dict[str, Any]) -> "Solved":
    """Return the law that goes with the numbers of a sheet, and the cup that it stands on."""
    from outgas.physics import data_sheet as solver

    if s["gel_time"] is None:
        raise DataError("no gel_time, so no rate of cure can be solved")
    shape = solver.Shape(**{name: s[name] for name in SHAPE})
    peak = None
    if s["time_to_peak"] is not None and s["peak_temperature"] is not None:
        peak = solver.Peak(
            at_s=s["time_to_peak"],
            kelvin=s["peak_temperature"],
            air_K=s["temperature"],
            mass=s["mass"],
            losses=solver.Losses(*s["losses"]),
        )
    if s["gel_of"] == "film":
        return solver.from_film(s["gel_time"], s["gel_temperature"], shape, peak)
    if peak is None:
        raise DataError("gel_time of a cup needs time_to_peak and peak_temperature beside")
    return solver.from_cup(s["gel_time"], peak, shape)


def fingerprint(resin: Resin) -> str:
    """Return the hash of all that a resin's rate constants are solved from."""
    return hashlib.sha256(json.dumps([resin.name, sheet(resin)]).encode()).hexdigest()[:16]


@functools.lru_cache(maxsize=256)
def built(resin: Resin) -> RateTable:
    """Return a resin's rate constants: the shipped ones, cached ones, or solved now and cached."""
    key = fingerprint(resin)
    return product(RateTable, "kinetics", resin.name, key, lambda: solve(resin))


def most_final(resin: Resin) -> float:
    """Return how many times further than thought the reaction may go; 1 where none was solved."""
    if resin.published:
        return 1.0
    found = built(resin)
    return found.most_final_conversion / found.final_conversion


@functools.lru_cache(maxsize=256)
def kinetics(resin: Resin) -> Kinetics:
    """Return a resin's rate law for the kernels, published or solved from its sheet."""
    s = sheet(resin)
    if resin.published:
        laws = cure().published
        if resin.published not in laws:
            raise UnknownNameError("published rate law", resin.published, laws)
        law = laws[resin.published]
        per_second = 1.0 / UNITS["min"][1]
        A = law.factors_per_min
        return LeeLoosSpringer(
            factors=(A[0] * per_second, A[1] * per_second, A[2] * per_second),
            energies=law.energies_J_per_mol,
            limit=law.limit,
            switch=law.switch,
            heat=s["heat"],
            gel=s["gel"],
        )
    found = built(resin)
    return Kamal(
        induction=found.induction_s,
        induction_energy=s["induction_energy"],
        k1=found.k1_per_s,
        k2=found.k2_per_s,
        energy=s["energy"],
        m=s["m"],
        n=s["n"],
        heat=s["heat"],
        gel=s["gel"],
        final=found.final_conversion,
    )


def paced(resin: Resin, gel: float) -> "CupRun":
    """Return what a resin's standard mass does where it gels at another time [s], else the same.

    A slower resin loses more heat on its way, so its peak is later and lower.
    """
    from outgas.physics.data_sheet import Cup, CupRun, in_cup

    s, law = sheet(resin), kinetics(resin)
    loss = built(resin).cup_loss_W_per_K if isinstance(law, Kamal) else None
    if not isinstance(law, Kamal) or loss is None:
        raise DataError(f"{resin.name}: its sheet states no peak")
    cup = Cup(
        mass=s["mass"],
        heat_capacity=s["heat_capacity"],
        heat_capacity_slope=s["heat_capacity_slope"],
        loss=loss,
        air_K=s["temperature"],
    )

    def run(slower: float) -> CupRun:
        made = replace(
            law, induction=law.induction * slower, k1=law.k1 / slower, k2=law.k2 / slower
        )
        return in_cup(made, cup, LONGEST * s["time_to_peak"] * max(slower, 1.0))

    slower = gel / s["gel_time"]  # exact for a film, which is held at one temperature
    got = run(slower)
    for _ in range(PACING if s["gel_of"] == "cup" else 0):
        slower *= gel / got.gel
        got = run(slower)
    return got


@dataclass(frozen=True)
class Curing:
    """How a resin cures: what it is asked for is looked up once, and no sooner.

    A rate law may have to be solved for; who asks only for the family does not wait for it.
    """

    resin: Resin

    def __reduce__(self) -> tuple[Any, ...]:  # stored answers hold no tables: they may change
        return Curing, (self.resin,)

    @functools.cached_property
    def family(self) -> CureFamily:
        """What sheets leave out of its family."""
        return family_of(self.resin)

    @functools.cached_property
    def general(self) -> CureGeneral:
        """The standard mass of sheets, and what a gel needs to hold a bubble."""
        return cure().general

    @functools.cached_property
    def gel(self) -> Number:
        """Its conversion at the gel."""
        return self.resin.gel_conversion or self.family.gel_conversion

    @functools.cached_property
    def heat(self) -> Number:
        """Its heat of reaction."""
        return self.resin.heat or self.family.heat

    @functools.cached_property
    def law(self) -> Kinetics:
        """Its rate law at the sheet's pace."""
        return kinetics(self.resin)

    @functools.cached_property
    def further(self) -> float:
        """How many times further than thought the reaction may go."""
        return most_final(self.resin)

    @functools.cached_property
    def cup_loss(self) -> float:
        """What its standard mass loses of heat [W/K], the least where none was solved for."""
        solved = built(self.resin).cup_loss_W_per_K
        return (self.family.cup_loss or self.general.cup_loss).low_si if solved is None else solved
