"""What was asked, read once into records and SI floats, or refused in one line."""

import dataclasses
import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from outgas import units
from outgas.errors import InputError, OutOfRangeError, UnknownNameError
from outgas.job.degassed import Degassed, read_degassed
from outgas.job.layup import Layup
from outgas.job.process import read_process
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Resin
from outgas.tables.practice import Process
from outgas.tables.rates import Curing
from outgas.tables.volatiles import Volatile

CONFIDENCE_RANGE = (0.5, 0.999)
VOID_RANGE = (1e-4, 0.5)
SHARE_RANGE = (0.05, 1.0)
TRAPPED_RANGE = (0.001, 0.3)
CONNECTED_RANGE = (0.0, 1.0)
HOUR_S = 3600.0
DRIED_RANGE_S = (0.0, 720.0 * HOUR_S)  # to a month: beyond that it ages more than it dries
FINISHES = ("structural", "clear")


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """What was asked, read into records and SI floats; None where a default is to be used."""

    resin: Resin
    shop: Shop
    process: Process
    layup: Layup
    rig: Rig
    reads_with: str
    sensor_Pa: float
    vapour_share: float | None
    confidence: float
    hottest_K: float | None
    air_Pa: float | None
    pot: Degassed | None
    entrained: float | None
    water: float | None
    contaminants: tuple[tuple[Volatile, float], ...]
    finish: str
    void_target: float
    trapped: Band | None
    connected: Band | None
    debulk: bool
    low_gas: bool
    wet_out_s: float | None = None  # how long it takes here; None: by layers and area
    fill_s: float | None = None  # of an infusion; None: of a small part
    initiator: float | None = None
    gel_s: float | None = None
    hottest_high_K: float | None = None  # 95 % end of a named hottest; None: a stated doubt
    dried_s: float | None = None  # of prepreg, under full vacuum before the heat; None: not said
    curing: Curing = field(init=False, repr=False, compare=False)  # of the resin

    def __post_init__(self) -> None:
        object.__setattr__(self, "curing", Curing(self.resin))

    def but(self, **changes: Any) -> "Job":
        """Return these inputs with some changed."""
        return dataclasses.replace(self, **changes)


READ_WITH = ("dial", "water", "plate", "none")  # beside a sensor, which has an error of its own


def read_reads_with(text: str, rig: Rig) -> tuple[str, float]:
    """Return how the pressure is read, and a sensor's error [Pa]."""
    kind, _, rest = str(text).strip().partition(" ")
    if kind == "sensor":
        if rest:
            return kind, units.positive(rest, "Pa", "sensor error", zero=True)
        if rig.sensor_error is None:
            raise InputError("reads_with is 'sensor'; state its error, as 'sensor 5 mbar'")
        return kind, rig.sensor_error
    if kind not in READ_WITH or rest:
        raise InputError(
            f"reads_with is {str(text)[:40]!r}; it is {', '.join(READ_WITH)} or 'sensor 5 mbar'"
        )
    return kind, 0.0


def job_of(
    resin: str | Path | Resin,
    shop: Shop,
    *,
    process: str,
    layup: Layup | None,
    rig: Rig | None,
    vapour_share: Any,
    confidence: Any,
    hottest: Any,
    air_pressure: Any,
    degassed: Any,
    entrained: Any,
    water_activity: Any,
    contaminants: dict[str, Any] | None,
    void_target: Any,
    reads_with: str,
    initiator: Any = None,
    gel_time: Any = None,
    finish: Any = None,
    trapped: Any = None,
    connected: Any = None,
    no_debulk: Any = False,
    low_gas_initiator: Any = False,
    dried: Any = None,
) -> Job:
    """Read every argument of advise, each refused in one line if it cannot be used."""
    _check_kinds(shop, layup, rig)
    record, found = as_resin(resin), read_process(process)
    if not {found.name, found.told_like} & set(record.processes):
        raise InputError(
            f"{record.name} is not for {found.name}; it is for {', '.join(record.processes)}"
        )
    rig = rig or Rig()
    kind, sensor = read_reads_with(reads_with, rig)
    share = read_vapour_share(vapour_share)
    trust = units.one_fraction(confidence, "confidence")
    units.inside(trust, *CONFIDENCE_RANGE, "confidence", "")
    wanted, void = read_finish(finish, void_target, found)
    dissolved, pot = read_air(shop, air_pressure, degassed)
    water = None if water_activity is None else units.one_fraction(water_activity, "water activity")
    hottest_K, hottest_high_K = read_hottest(hottest)
    return Job(
        resin=record,
        shop=shop,
        process=found,
        layup=layup or Layup(),
        rig=rig,
        reads_with=kind,
        sensor_Pa=sensor,
        vapour_share=share,
        confidence=trust,
        hottest_K=hottest_K,
        hottest_high_K=hottest_high_K,
        air_Pa=dissolved,
        pot=pot,
        entrained=None if entrained is None else units.one_fraction(entrained, "entrained"),
        water=water,
        contaminants=read_contaminants(contaminants),
        finish=wanted,
        void_target=void,
        trapped=read_share(trapped, TRAPPED_RANGE, "trapped"),
        connected=read_share(connected, CONNECTED_RANGE, "connected"),
        debulk=not read_flag(no_debulk, "no_debulk"),
        low_gas=read_flag(low_gas_initiator, "low_gas_initiator"),
        initiator=read_initiator(initiator, record),
        gel_s=None if gel_time is None else units.positive(gel_time, "s", "gel time"),
        dried_s=read_dried(dried, found),
    )


def read_dried(given: Any, process: Process) -> float | None:
    """Return how long prepreg was held under full vacuum before its heat [s]; refuses others."""
    if given is None:
        return None
    if not process.preimpregnated:
        raise InputError(
            f"dried is {str(given)[:40]!r}; only prepreg is dried under vacuum before its heat, "
            f"and this is {process.name}"
        )
    seconds = units.positive(given, "s", "dried", zero=True)
    low, high = DRIED_RANGE_S
    units.inside(seconds / HOUR_S, low / HOUR_S, high / HOUR_S, "dried", "h")
    return seconds


def read_finish(finish: Any, void_target: Any, process: Process) -> tuple[str, float]:
    """Return the finish and the void content aimed for; refuses two that disagree."""
    look = catalogue.gas().look
    usual = (look.bond_line if process.putty else look.structural).si
    if finish is not None and finish not in FINISHES:
        raise UnknownNameError("finish", str(finish), FINISHES)
    if void_target is None:
        return finish or FINISHES[0], usual
    void = units.one_fraction(void_target, "void target")
    units.inside(void * 100, VOID_RANGE[0] * 100, VOID_RANGE[1] * 100, "void target", "%")
    if finish is not None and not math.isclose(void, usual):
        raise InputError(
            f"finish {finish} and a void target of {void:.2%} disagree; give one of them "
            f"(structural is {usual:.0%})"
        )
    return finish or FINISHES[0], void


def read_share(given: Any, span: tuple[float, float], name: str) -> Band | None:
    """Return a share of the gas that was measured, taken as it stands; None if not given."""
    if given is None:
        return None
    share = units.one_fraction(given, name)
    return Band.exact(units.inside(share * 100, span[0] * 100, span[1] * 100, name, "%") / 100)


def read_flag(given: Any, name: str) -> bool:
    """Return a flag; refuses what is neither."""
    if not isinstance(given, bool):
        raise InputError(f"{name} is {given!r}; it is True or False")
    return given


def working_time(job: Job) -> float:
    """Return how long resin is rolled out, or drawn in, before any vacuum does its work [s]."""
    clock = catalogue.practice().clock
    if job.process.filled:
        return clock.fill.si if job.fill_s is None else job.fill_s
    if job.wet_out_s is not None:
        return job.wet_out_s
    rolled = clock.wet_out.si * job.layup.layers * (job.layup.area_m2 or 1.0)
    return max(rolled, clock.wet_out_least.si)


def _check_kinds(shop: Any, layup: Any, rig: Any) -> None:
    """Refuse what is not a shop, a layup or a rig."""
    if not isinstance(shop, Shop):
        raise InputError(
            f"shop is {str(shop)[:40]!r}; give outgas.Shop(temperature=..., humidity=...)"
        )
    if layup is not None and not isinstance(layup, Layup):
        raise InputError("layup is not a Layup; give outgas.Layup(plies=[...])")
    if rig is not None and not isinstance(rig, Rig):
        raise InputError("rig is not a Rig; give outgas.Rig(...)")


def read_vapour_share(given: Any) -> float | None:
    """Return how much of the pressure the vapour may have; None if not given."""
    if given is None:
        return None
    share = units.one_fraction(given, "vapour share")
    return units.inside(share, *SHARE_RANGE, "vapour share", "")


def read_air(shop: Shop, air_pressure: Any, degassed: Any) -> tuple[float | None, Degassed | None]:
    """Return what the dissolved air stands under [Pa], and how the resin was degassed."""
    here = shop.barometer_Pa
    if degassed is not None and air_pressure is not None:
        raise InputError("give degassed or air_pressure, not both: each says how much air is left")
    dissolved = None if air_pressure is None else units.read_absolute(air_pressure, "air pressure")
    pot = read_degassed(degassed, here)
    held = None if pot is None else pot.pressure_Pa
    for what, value in (("air pressure", dissolved), ("degassed", held)):
        if value is not None and value > here:
            raise InputError(
                f"{what} is {value / 100:.0f} mbar, above the barometer's {here / 100:.0f} mbar"
            )
    return dissolved, pot


UP_TO = " up to "


def read_hottest(given: Any) -> tuple[float | None, float | None]:
    """Return the hottest moment [K] and how hot it may be, from '40 degC up to 52 degC'."""
    if given is None:
        return None, None
    if not isinstance(given, str) or UP_TO not in given:
        return units.one(given, "K", "hottest"), None
    likely, _, most = given.partition(UP_TO)
    hot, high = units.one(likely, "K", "hottest"), units.one(most, "K", "hottest, up to")
    if high < hot:
        raise InputError(f"hottest is {given!r}: up to {most.strip()} is below {likely.strip()}")
    return hot, high


def read_initiator(given: Any, resin: Resin) -> float | None:
    """Return the initiator's mass fraction if the resin's sheet allows it."""
    if given is None:
        return None
    level = resin.initiator_level
    if level is None:
        raise InputError(
            f"initiator is {given}; {resin.title} is mixed at its sheet's ratio, there is none to "
            "vary"
        )
    share = units.one_fraction(given, "initiator")
    low, high = level.low_si, level.high_si
    if not low - 1e-12 <= share <= high + 1e-12:
        raise OutOfRangeError(
            f"initiator is {share:.2%}, outside the {low:.1%} to {high:.1%} of the sheet of "
            f"{resin.title}: never below or above it"
        )
    return share


CONTAMINANT_LIMIT = 0.1  # of all traces together; beyond a tenth they are part of the resin


def read_contaminants(given: dict[str, Any] | None) -> tuple[tuple[Volatile, float], ...]:
    """Return volatiles and mass fractions from {'acetone': '1 %'}, each volatile once."""
    found: dict[str, tuple[Volatile, float]] = {}
    for name, share in (given or {}).items():
        fraction = units.one_fraction(share, f"contaminant {name}")
        volatile = catalogue.volatile(name)
        _, before = found.get(volatile.name, (volatile, 0.0))
        if before + fraction > 0.0:
            found[volatile.name] = volatile, before + fraction
    total = sum(share for _, share in found.values())
    if total > CONTAMINANT_LIMIT:
        what = f"contaminant {next(iter(found))} is" if len(found) == 1 else "contaminants are"
        raise InputError(
            f"{what} {total:.0%}{' together' if len(found) > 1 else ''}; above "
            f"{CONTAMINANT_LIMIT:.0%} describe the mixture as a resin of its own"
        )
    return tuple(found.values())
