"""What was asked, read once into records and SI floats, or refused in one line."""

import dataclasses
from dataclasses import dataclass, field
from typing import Any

from outgas import units
from outgas.errors import InputError, OutOfRangeError
from outgas.job.gauge import reading_of
from outgas.job.layup import Layup
from outgas.job.process import read_process
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Resin
from outgas.tables.practice import Process
from outgas.tables.rates import Curing
from outgas.tables.volatiles import Volatile

CONFIDENCE_RANGE = (0.5, 0.999)
VOID_RANGE = (1e-4, 0.5)
SHARE_RANGE = (0.05, 1.0)


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
    vapour_share: float
    confidence: float
    hottest_K: float | None
    air_Pa: float | None
    pot_Pa: float | None
    entrained: float | None
    water: float | None
    contaminants: tuple[tuple[Volatile, float], ...]
    void_target: float
    initiator: float | None = None
    gel_s: float | None = None
    hottest_high_K: float | None = None  # 95 % end of a named hottest; None: a stated doubt
    seeded: bool = False  # whether the pot is seeded with bubbles and stirred
    curing: Curing = field(init=False, repr=False, compare=False)  # of the resin

    def __post_init__(self) -> None:
        object.__setattr__(self, "curing", Curing(self.resin))

    def but(self, **changes: Any) -> "Job":
        """Return these inputs with some changed."""
        return dataclasses.replace(self, **changes)


def read_reads_with(text: str, rig: Rig) -> tuple[str, float]:
    """Return how the pressure is read, and a sensor's error [Pa]."""
    kind, _, rest = str(text).strip().partition(" ")
    if kind == "sensor":
        if rest:
            return kind, units.positive(rest, "Pa", "sensor error", zero=True)
        if rig.sensor_error is None:
            raise InputError("reads_with is 'sensor'; state its error, as 'sensor 5 mbar'")
        return kind, rig.sensor_error
    if kind not in ("dial", "water") or rest:
        raise InputError(f"reads_with is {str(text)[:40]!r}; it is dial, water or 'sensor 5 mbar'")
    return kind, 0.0


def job_of(
    resin: str | Resin,
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
    void = read_void_target(void_target)
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
        pot_Pa=pot,
        entrained=None if entrained is None else units.one_fraction(entrained, "entrained"),
        water=water,
        contaminants=read_contaminants(contaminants),
        void_target=void,
        initiator=read_initiator(initiator, record),
        gel_s=None if gel_time is None else units.positive(gel_time, "s", "gel time"),
    )


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


def read_vapour_share(given: Any) -> float:
    """Return how much of the pressure the vapour may have; the usual share if not given."""
    if given is None:
        return catalogue.practice().margins.vapour_share.si
    share = units.one_fraction(given, "vapour share")
    return units.inside(share, *SHARE_RANGE, "vapour share", "")


def read_void_target(given: Any) -> float:
    """Return the share of voids that is aimed at."""
    void, (low, high) = units.one_fraction(given, "void target"), VOID_RANGE
    units.inside(void * 100, low * 100, high * 100, "void target", "%")
    return void


def read_air(shop: Shop, air_pressure: Any, degassed: Any) -> tuple[float | None, float | None]:
    """Return what the dissolved air stands under, and what the resin was degassed at [Pa]."""
    here = shop.barometer_Pa
    if degassed is not None and air_pressure is not None:
        raise InputError("give degassed or air_pressure, not both: each says how much air is left")
    dissolved = None if air_pressure is None else units.read_absolute(air_pressure, "air pressure")
    pot = None if degassed is None else reading_of(degassed, here, "degassed").absolute_Pa
    for what, value in (("air pressure", dissolved), ("degassed", pot)):
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
