"""What an advice says: a plain frozen record in SI floats, with quantities at its door."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import readings, units
from outgas.job.asking import AskedAnswer, Asking
from outgas.job.gauge import reading_of
from outgas.job.process import process_of
from outgas.physics.chance import Band
from outgas.show.chart import Maker
from outgas.show.report import Line, Report
from outgas.tables.practice import Process
from outgas.window.behind import Behind, Cure, WayOut
from outgas.window.verdict import Verdict
from outgas.window.ways.influences import Influence

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

KIND = "outgas advice"
VERSION = 2  # of to_dict(); raised whenever a key changes its meaning


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Asked:
    """What was asked: SI floats, the unit in each name."""

    resin: str
    resin_title: str
    process: str
    barometer_Pa: float
    shop_K: float
    humidity: float
    reads_with: str
    finish: str
    no_debulk: bool
    void_target: float
    vapour_share: float | None
    confidence: float

    @property
    def facts(self) -> Process:
        """What its process is like."""
        return process_of(self.process)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Limited(Asked):
    """What limits it: what pushes back, how hard, how warm it gets, and the gas."""

    hottest_K: float
    hottest_high_K: float
    cure: Cure | None
    limits_Pa: dict[str, float]
    nominal_limits_Pa: dict[str, float]
    limiting: str
    partial_pressures_Pa: dict[str, float]
    bubble_pressure_Pa: tuple[float, float]
    boils_in_air_K: tuple[float | None, float | None]
    water_activity: tuple[float, float]
    deepest_if_shut_Pa: float  # the air's limit with no debulk and no way out for the gas
    weakest_numbers: tuple[tuple[str, Band, float], ...]  # of the gas: name, band, what it adds
    resin_pressure_Pa: float
    reach_Pa: float | None  # what the pump gets to at its weakest, where it was told
    pump_needs_Pa: float | None  # what it should reach to clamp and does not
    freed_gas: tuple[tuple[float, float], ...]
    assumed: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False, repr=False)
class Advice(Limited, AskedAnswer):
    """The deepest safe vacuum for one resin, shop and layup, and what to do about it.

    Fields in SI floats, the unit in each name; the properties without one are quantities. All
    pressures are absolute. deepest: lowest bag pressure that is safe to cure at. shallowest:
    highest that still clamps enough. setpoint: between them, clear of deepest by the error of
    holding and reading. debulk: how deep the bag may go early; debulk_limit the same whether
    there is a window or not, debulk_hold clear of it by the error of reading. setpoint and debulk
    are None where there is no safe window. boils_in_air: where
    the resin may boil with no vacuum at all, as it is and bone dry; None beyond what is known.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> advice = outgas.advise("orthophthalic-polyester", shop)
    >>> advice.limiting, advice.has_window
    ('air', True)
    >>> advice.debulk < advice.deepest < advice.setpoint < advice.shallowest
    True
    >>> nominal, safe = advice.interval()
    >>> nominal < safe == advice.deepest
    True
    >>> advice.to_dict()["deepest_Pa"] == advice.deepest_Pa
    True
    >>> advice.to_text("bar").split()[:2], "inHg" in advice.to_text("bar")
    (['Debulk', 'at'], False)
    """

    _shown = ("resin", "process", "setpoint_Pa", "deepest_Pa", "shallowest_Pa")
    _asked_in = "outgas.window.advise"
    _costly = ("alternatives", "influences")

    deepest_Pa: float
    setpoint_Pa: float | None
    shallowest_Pa: float
    debulk_Pa: float | None
    debulk_limit_Pa: float
    debulk_hold_Pa: float
    debulk_s: float  # how long a debulk, or a fill's settling, lasts at least: limits count on it
    margin_Pa: float
    deepest_no_debulk_Pa: float
    deepest_clear_Pa: float
    bag_Pa: float | None
    verdict: Verdict | None
    cautioned: tuple[Line, ...]
    behind: Behind = field(repr=False, compare=False)
    words: Callable[["Advice"], Report] = field(repr=False, compare=False)
    pictures: Callable[["Advice"], Mapping[str, Maker]] = field(repr=False, compare=False)
    panels: int | None = None  # of the shop's own that it rests on; None without an experience
    deepest_by_tables_Pa: float | None = None  # deepest without them
    asking: Asking | None = field(default=None, repr=False, compare=False)

    @property
    def alternatives(self) -> tuple[WayOut, ...]:
        """The ways out, each with its number; worked out when asked for."""
        return self.behind.ways()

    @property
    def influences(self) -> tuple[Influence, ...]:
        """What each input moved alone would change, the greatest first; when asked for."""
        return self.behind.influences()

    @property
    def has_window(self) -> bool:
        """Whether there is a pressure that is safe, clamps enough and can be held."""
        return self.setpoint_Pa is not None

    @property
    def deeper_first(self) -> bool:
        """Whether the bag is pulled deeper early than it is held at: two steps, not one."""
        hold = self.setpoint_Pa
        return self.debulk_Pa is not None and hold is not None and self.debulk_hold_Pa < hold

    @property
    def safe(self) -> bool:
        """Whether there is a safe window and, where one was asked for, a safe verdict."""
        return self.has_window and (self.verdict is None or self.verdict.safe)

    @property
    def deepest(self) -> "Quantity":
        """Lowest absolute bag pressure that is safe to cure at [Pa]."""
        return units.quantity(self.deepest_Pa, "Pa")

    @property
    def setpoint(self) -> "Quantity | None":
        """Where to hold the bag for the cure [Pa]; None where there is no safe window."""
        return _maybe(self.setpoint_Pa)

    @property
    def shallowest(self) -> "Quantity":
        """Highest absolute bag pressure that still clamps enough [Pa]."""
        return units.quantity(self.shallowest_Pa, "Pa")

    @property
    def debulk(self) -> "Quantity | None":
        """How deep the bag may go early, while the resin is thin [Pa]; None without a window."""
        return _maybe(self.debulk_Pa)

    @property
    def debulk_time(self) -> "Quantity | None":
        """How long the debulk, or a fill's settling, lasts at least [s]; None without one.

        The cure's limit counts on it; longer is better, while the resin is thin.
        """
        return units.quantity(self.debulk_s, "s") if self.deeper_first else None

    @property
    def limits(self) -> "dict[str, Quantity]":
        """Least pressure in the resin by criterion, on the safe side [Pa]."""
        return {name: units.quantity(p, "Pa") for name, p in self.limits_Pa.items()}

    @property
    def nominal_limits(self) -> "dict[str, Quantity]":
        """Least pressure in the resin by criterion, nominal, by the worst hold [Pa]."""
        return {name: units.quantity(p, "Pa") for name, p in self.nominal_limits_Pa.items()}

    def interval(self) -> "tuple[Quantity, Quantity]":
        """Return the limiting criterion's nominal and safe values [Pa].

        Notes
        -----
        safe = nominal + sqrt(sum of squares of what each uncertain input adds, moved to its bad end
        at the confidence asked for); vapour pressures add straight. Nothing is ever subtracted.
        How long the resin stays thin is no part of that sum: of a likely, a short and a long hold
        both are by the one that asks for the most.
        With an experience the air's is where no more draws of its panels fail than may, and no
        deeper than by the tables but as far as a panel that came out well was.
        """
        nominal, safe = self.nominal_limits_Pa[self.limiting], self.limits_Pa[self.limiting]
        return units.quantity(nominal, "Pa"), units.quantity(safe, "Pa")

    @property
    def partial_pressures(self) -> "dict[str, Quantity]":
        """What pushes back at the hottest moment, nominal, with the dissolved air [Pa]."""
        return {name: units.quantity(p, "Pa") for name, p in self.partial_pressures_Pa.items()}

    @property
    def hottest(self) -> "Quantity":
        """Hottest moment before the gel can hold a bubble [K]."""
        return units.quantity(self.hottest_K, "K")

    @property
    def gel_time(self) -> "Quantity | None":
        """When the laminate gels, from mixing [s]; None without a layup."""
        return None if self.cure is None else units.quantity(self.cure.gel_s, "s")

    @property
    def peak(self) -> "Quantity | None":
        """The laminate's highest temperature, after the gel [K]; None without a layup."""
        return None if self.cure is None else units.quantity(self.cure.peak_K, "K")

    @property
    def deepest_over_time(self) -> "tuple[Quantity, Quantity] | None":
        """Times from mixing [s] and what the vapour then allows [Pa]; None without a layup."""
        if self.cure is None:
            return None
        t, _, p = zip(*self.cure.over_time, strict=True)
        return units.quantity(np.array(t), "s"), units.quantity(np.array(p), "Pa")

    @property
    def resin_pressure(self) -> "Quantity":
        """Pressure in the resin during the cure [Pa]."""
        return units.quantity(self.resin_pressure_Pa, "Pa")

    @property
    def deepest_after_debulk(self) -> "Quantity":
        """The same as deepest, which counts on the recommended debulk [Pa]."""
        return self.deepest

    @property
    def deepest_no_debulk(self) -> "Quantity":
        """As deepest, for a bag that goes straight to the cure [Pa]."""
        return units.quantity(self.deepest_no_debulk_Pa, "Pa")

    @property
    def expected_voids(self) -> Band | None:
        """Share of the laminate that is gas, at the setpoint, and its 95 % range; None without one.

        The high end is the target where the gas is what limits; worked out when asked for.
        """
        return None if self.setpoint_Pa is None else self._voids(self.setpoint_Pa)

    def voids_at(self, pressure: "Measure") -> Band | None:
        """Return the share of the laminate that is gas after a cure at a pressure; None for a pot.

        pressure as bag_pressure= of advise takes it, absolute unless it says otherwise; a Band of
        fractions, nominal with its 95 % range. UnitError, InputError: one line.

        Notes
        -----
        The gas balance over the job's stages, and its high end by the rule of the limits: the voids
        for which that pressure is the safe limit.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> strong, weak = (advice.voids_at(p) for p in ("150 mbar", "600 mbar"))
        >>> strong.high > weak.high, weak.nominal
        (True, 0.0)
        """
        return self._voids(reading_of(pressure, self.barometer_Pa, "pressure").absolute_Pa)

    def _voids(self, pressure: float) -> Band | None:
        if self.facts.gas_leaves:
            return None
        return self.behind.voids(pressure)

    def look_at(self, pressure: "Measure") -> str | None:
        """Return how a laminate cured at a pressure looks: 'clear', 'clear to hazy'; None: a pot.

        pressure as in voids_at; the likely look, and the worst by the same 95 % rule.
        UnitError, InputError: one line.

        Notes
        -----
        Optical depth 3 f h / (2 R) of bubbles of radius R, a void share f, a laminate of h thick
        (van de Hulst 1957, extinction efficiency 2); where it turns hazy and milky is judgement.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> outgas.advise("orthophthalic-polyester", shop).look_at("900 mbar")
        'clear'
        """
        return self._look(reading_of(pressure, self.barometer_Pa, "pressure").absolute_Pa)

    def _look(self, pressure: float) -> str | None:
        if self.facts.gas_leaves:
            return None
        likely, worst = self.behind.look(pressure)
        return likely if likely == worst else f"{likely} to {worst}"

    @property
    def look(self) -> str | None:
        """How the laminate looks at the setpoint: 'clear', 'clear to hazy'; None without one."""
        return None if self.setpoint_Pa is None else self._look(self.setpoint_Pa)

    @property
    def deepest_clear(self) -> "Quantity":
        """As deepest, for a laminate that stays clear to the eye [Pa]."""
        return units.quantity(self.deepest_clear_Pa, "Pa")

    @classmethod
    def _kind(cls) -> tuple[str, int]:
        return KIND, VERSION

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": KIND,
            "version": VERSION,
            "asked": None if self.asking is None else self.asking.to_dict(),
            "resin": self.resin,
            "process": self.process,
            "safe": self.safe,
            "has_window": self.has_window,
            "deepest_Pa": self.deepest_Pa,
            "setpoint_Pa": self.setpoint_Pa,
            "shallowest_Pa": self.shallowest_Pa,
            "debulk_Pa": self.debulk_Pa,
            "debulk_limit_Pa": self.debulk_limit_Pa,
            "debulk_hold_Pa": self.debulk_hold_Pa,
            "debulk_s": self.debulk_s,
            "deepest_after_debulk_Pa": self.deepest_Pa,
            "deepest_no_debulk_Pa": self.deepest_no_debulk_Pa,
            "deepest_clear_Pa": self.deepest_clear_Pa,
            **self._voids_dict(),
            **self._resin_dict(),
            **self._asked_dict(),
            "dials": self._dials(),
            "verdict": None if self.verdict is None else self.verdict.to_dict(),
            "alternatives": [way.to_dict() for way in self.alternatives],
            "influences": [
                {"argument": i.argument, "to": i.to, "text": i.text, "change_Pa": i.change_Pa}
                for i in self.influences
            ],
            "assumptions": list(self.assumptions),
            "cautions": list(map(str, self.cautions)),
        }

    def _voids_dict(self) -> dict[str, Any]:
        """Return the voids expected at the setpoint and at the bag's pressure, and their look."""
        found: dict[str, Any] = {}
        for name, p in (("setpoint", self.setpoint_Pa), ("bag", self.bag_Pa)):
            voids = None if p is None else self._voids(p)
            found[f"voids_at_{name}"] = voids and [voids.nominal, voids.low, voids.high]
            found[f"look_at_{name}"] = None if p is None else self._look(p)
        return found

    def _resin_dict(self) -> dict[str, Any]:
        """Return what pushes in the resin, and how it warms."""
        return {
            "limiting": self.limiting,
            "limits_Pa": dict(self.limits_Pa),
            "nominal_limits_Pa": dict(self.nominal_limits_Pa),
            "partial_pressures_Pa": dict(self.partial_pressures_Pa),
            "bubble_pressure_nominal_Pa": self.bubble_pressure_Pa[0],
            "bubble_pressure_high_Pa": self.bubble_pressure_Pa[1],
            "boils_in_air_K": self.boils_in_air_K[0],
            "boils_in_air_dry_K": self.boils_in_air_K[1],
            "water_activity_nominal": self.water_activity[0],
            "water_activity_high": self.water_activity[1],
            "resin_pressure_Pa": self.resin_pressure_Pa,
            "pump_reach_Pa": self.reach_Pa,
            "pump_needs_Pa": self.pump_needs_Pa,
            "hottest_K": self.hottest_K,
            "hottest_high_K": self.hottest_high_K,
            "cure": None if self.cure is None else self.cure.to_dict(),
        }

    def _asked_dict(self) -> dict[str, Any]:
        """Return the shop, what was asked for, and how much hangs on the gas that stays."""
        return {
            "shop_K": self.shop_K,
            "humidity": self.humidity,
            "barometer_Pa": self.barometer_Pa,
            "margin_Pa": self.margin_Pa,
            "reads_with": self.reads_with,
            "finish": self.finish,
            "no_debulk": self.no_debulk,
            "void_target": self.void_target,
            "vapour_share": self.vapour_share,
            "confidence": self.confidence,
            "panels": self.panels,
            "deepest_by_tables_Pa": self.deepest_by_tables_Pa,
            "deepest_if_shut_Pa": self.deepest_if_shut_Pa,
            "weakest_numbers": [
                {"name": name, "value": b.nominal, "low": b.low, "high": b.high, "adds_Pa": by}
                for name, b, by in self.weakest_numbers
            ],
            "freed_gas": [{"at_Pa": p, "per_resin_volume": v} for p, v in self.freed_gas],
        }

    def _dials(self) -> dict[str, Any]:
        """Return what each kind of dial shows."""
        found = (
            ("deepest", self.deepest_Pa),
            ("setpoint", self.setpoint_Pa),
            ("shallowest", self.shallowest_Pa),
            ("debulk", self.debulk_Pa),
        )
        return {
            name: None if p is None else readings.dial_readings(p, self.barometer_Pa)
            for name, p in found
        }


def _maybe(pressure: float | None) -> "Quantity | None":
    return None if pressure is None else units.quantity(pressure, "Pa")
