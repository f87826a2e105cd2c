"""What was asked, read once into records and SI floats, or refused in one line."""

import dataclasses
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeAlias

import msgspec

from outgas import readings, units
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError, Mistakes, OutOfRangeError, UnknownNameError
from outgas.job.degassed import Degassed, read_degassed
from outgas.job.job_keys import read_traces
from outgas.job.layup import Layup
from outgas.job.learnt import Experienced, Kind, Learnt, cloth_of, read_experience
from outgas.job.process import read_process
from outgas.job.rig import Rig, as_rig
from outgas.job.shop import SHOP_RANGE_K, Shop, in_celsius
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Resin
from outgas.tables.number import Number
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
AT_HAND = "the sheet at hand"  # the source of a number that a builder reads off it
# What stands where nothing was said.
PROCESS, CONFIDENCE, READS_WITH = "wet layup", 0.95, "dial"
# Traces in a resin: {'acetone': '1 %'}, ['acetone=1%'] or 'acetone=1%, toluene=1%'.
Traces: TypeAlias = Mapping[str, Any] | Sequence[str] | str | None


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
    exact: bool = False  # the air's limit is made safe by many draws
    experience: Experienced | None = None  # of a shop's own panels; None: by the tables alone
    curing: Curing = field(init=False, repr=False, compare=False)  # of the resin

    def __post_init__(self) -> None:
        object.__setattr__(self, "curing", Curing(self.resin))

    def but(self, **changes: Any) -> "Job":
        """Return these inputs with some changed."""
        return dataclasses.replace(self, **changes)

    @property
    def kind(self) -> Kind:
        """Which panels of a shop teach all of this job's gas."""
        return Kind(self.resin.family, self.process.name, cloth_of(self.layup))

    @property
    def learnt(self) -> Learnt | None:
        """What the shop's own panels showed of such a job; None where nothing was learnt."""
        return None if self.experience is None else self.experience.learnt_for(self.kind)

    @property
    def heats(self) -> bool:
        """Whether the heat of the layup sets the hottest moment: nothing else names it."""
        named = self.hottest_K is not None or self.process.pot
        return bool(self.layup.plies) and not named and self.resin.cure_temperature is None

    @property
    def path_open(self) -> bool:
        """Whether freed gas can get out while the resin is thin.

        By the process, by what lies under the bag, and under a core by its holes alone.
        """
        if self.process.path == "core":
            return self.layup.core_is_open
        return self.process.path == "open" and self.layup.lets_gas_out is not False

    @property
    def fibre_fraction(self) -> float:
        """The fibre fraction of the laminate: by its cloth, else the process's usual."""
        plies = self.layup.plies
        if self.process.putty or not plies:
            return self.process.fibre_fraction.si
        fibre = sum(ply.thickness * ply.fabric.fibre_fraction.si for ply in plies)
        return fibre / self.layup.laminate_thickness_m


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
    process: str | None,
    layup: Layup | None,
    rig: Rig | str | None,
    vapour_share: Any,
    confidence: Any,
    hottest: Any,
    air_pressure: Any,
    degassed: Any,
    entrained: Any,
    water_activity: Any,
    contaminants: Traces,
    void_target: Any,
    reads_with: str | None,
    initiator: Any = None,
    gel_time: Any = None,
    finish: Any = None,
    trapped: Any = None,
    connected: Any = None,
    no_debulk: Any = False,
    low_gas_initiator: Any = False,
    dried: Any = None,
    minimum_temperature: Any = None,
    exact: Any = False,
    experience: Any = None,
) -> Job:
    """Read every argument of advise; all that cannot be used is refused together.

    None: not said.
    """
    _check_kinds(shop, layup)
    read = Mistakes()
    record, found = (
        read(as_resin, resin),
        read(read_process, process if process is not None and f"{process}" else PROCESS),
    )
    record = read(at_hand, record, minimum_temperature)
    known = read(lambda: as_rig(rig) or Rig())
    read(_fits, record, found)
    reads = read(read_reads_with, READS_WITH if reads_with is None else reads_with, known)
    wanted = read(read_finish, finish, void_target, found)
    air, hot = read(read_air, shop, air_pressure, degassed), read(read_hottest, hottest)
    values: dict[str, Any] = dict(
        resin=record,
        process=found,
        rig=known,
        vapour_share=read(read_vapour_share, vapour_share),
        confidence=read(read_confidence, confidence),
        entrained=read(_fraction, entrained, "entrained"),
        water=read(_fraction, water_activity, "water activity"),
        contaminants=read(read_contaminants, contaminants),
        trapped=read(read_share, trapped, TRAPPED_RANGE, "trapped"),
        connected=read(read_share, connected, CONNECTED_RANGE, "connected"),
        debulk=not read(read_flag, no_debulk, "no_debulk"),
        low_gas=read(read_flag, low_gas_initiator, "low_gas_initiator"),
        initiator=read(read_initiator, initiator, record),
        gel_s=read(_seconds, gel_time, "gel time"),
        dried_s=read(read_dried, dried, found),
        exact=read(read_flag, exact, "exact"),
        experience=read(read_experience, experience),
    )
    read.done()
    values["reads_with"], values["sensor_Pa"] = reads
    values["finish"], values["void_target"] = wanted
    values["air_Pa"], values["pot"] = air
    values["hottest_K"], values["hottest_high_K"] = hot
    return Job(shop=shop, layup=layup or Layup(), **values)


def at_hand(resin: Resin, minimum_temperature: Any) -> Resin:
    """Return a resin with the coldest that its own sheet, at hand, allows; itself if not told."""
    if minimum_temperature is None:
        return resin
    coldest = units.one(minimum_temperature, "K", "minimum temperature")
    in_celsius(coldest, SHOP_RANGE_K, "minimum temperature")
    degC = coldest - ZERO_CELSIUS_K
    number = Number(
        value=degC,
        unit="degC",
        u95=0.0,
        source=AT_HAND,
        how="sheet",
        note=f"{resin.minimum_temperature.si - ZERO_CELSIUS_K:.3g} degC",
    )
    return msgspec.structs.replace(resin, minimum_temperature=number)


def _fits(resin: Resin, process: Process) -> None:
    """Refuse a resin that is not for a process."""
    if not {process.name, process.told_like} & set(resin.processes):
        raise InputError(
            f"{resin.name} is not for {process.name}; it is for {', '.join(resin.processes)}"
        )


def read_confidence(given: Any) -> float:
    """Return the two-sided confidence of the safe side; the usual one where none was said."""
    trust = units.one_fraction(CONFIDENCE if given is None else given, "confidence")
    return units.inside(trust, *CONFIDENCE_RANGE, "confidence", "")


def _fraction(given: Any, name: str) -> float | None:
    return None if given is None else units.one_fraction(given, name)


def _seconds(given: Any, name: str) -> float | None:
    return None if given is None else units.positive(given, "s", name)


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
    if finish is not None and not (isinstance(finish, str) and finish in FINISHES):
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
    """Return a flag, not set where nothing was said; refuses what is neither."""
    if given is not None and not isinstance(given, bool):
        raise InputError(f"{name} is {given!r}; it is True or False")
    return bool(given)


def working_time(job: Job) -> float:
    """Return how long resin is rolled out, or drawn in, before any vacuum does its work [s]."""
    clock = catalogue.practice().clock
    if job.process.filled:
        return clock.fill.si if job.fill_s is None else job.fill_s
    if job.wet_out_s is not None:
        return job.wet_out_s
    rolled = clock.wet_out.si * job.layup.layers * (job.layup.area_m2 or 1.0)
    return max(rolled, clock.wet_out_least.si)


def mixed_mass(job: Job, given: float | None) -> float | None:
    """Return how much is mixed [kg]: as given, or what the cloth holds and some to spare."""
    if not job.process.mixed or given is not None:
        return given
    spare = 1.0 + catalogue.practice().clock.spare_resin.si
    area = job.layup.area_m2 or 1.0
    return job.layup.resin_mass(job.resin.density.si) * area * spare


def _check_kinds(shop: Any, layup: Any) -> None:
    """Refuse what is not a shop or a layup."""
    if not isinstance(shop, Shop):
        raise InputError(
            f"shop is {str(shop)[:40]!r}; give outgas.Shop(temperature=..., humidity=...)"
        )
    if layup is not None and not isinstance(layup, Layup):
        raise InputError("layup is not a Layup; give outgas.Layup(plies=[...])")


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
    dissolved = (
        None if air_pressure is None else readings.read_absolute(air_pressure, "air pressure")
    )
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


def read_contaminants(given: Traces) -> tuple[tuple[Volatile, float], ...]:
    """Return volatiles and mass fractions, each volatile once.

    From {'acetone': '1 %'}, ['acetone=1%'] or 'acetone=1%, toluene=1%'.
    """
    found: dict[str, tuple[Volatile, float]] = {}
    if isinstance(given, str):
        given = [part for part in given.split(",") if part.strip()]
    if given is not None and not isinstance(given, Mapping):
        given = read_traces(given)
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
