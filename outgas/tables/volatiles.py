"""Volatiles: their records, and the saturation curve that is built from each.

A record checks itself when it is made; units and plausible ranges are checked by check_fields of
number.py.
"""

import functools
import hashlib
import json
import math
import re
from typing import TYPE_CHECKING, Annotated, Literal

import msgspec
import numpy as np

from outgas.errors import DataError, OutOfRangeError
from outgas.physics.saturation import Cubic, Curve, Segment
from outgas.tables.built import product
from outgas.tables.number import UNITS, How, Named, Number, Plausible

if TYPE_CHECKING:
    from numpy.typing import NDArray


# With '::', '&' or brackets CoolProp takes other engines, of which some write tables to the home
# folder for minutes.
PURE_FLUID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}(\([A-Za-z]\))?")


class Spread(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """At a temperature, the shares by which the true pressure may lie above and below."""

    at_degC: float
    above: float
    below: float


class Correlation(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A published vapour-pressure correlation for T in K and p in Pa."""

    form: Literal["wagner-2.5-5", "antoine-ln", "antoine-log10"]
    coefficients: tuple[float, ...]
    source: str
    weight: float = 1.0

    def __post_init__(self) -> None:
        wanted = 6 if self.form.startswith("wagner") else 3
        if len(self.coefficients) != wanted:
            raise ValueError(f"{self.form} takes {wanted} coefficients")
        if not self.source.strip():
            raise ValueError("source is empty; say where the correlation comes from")


class Saturation(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where a saturation curve comes from, how far it reaches and how well it is known."""

    engine: Literal["reference", "cubic"]
    source: str
    how: How
    T_low_K: float
    T_high_K: float
    stated_low_K: float
    stated_high_K: float
    u95: tuple[Spread, ...]
    fluid: str = ""
    correlation: tuple[Correlation, ...] = ()

    def __post_init__(self) -> None:
        if not self.source.strip():
            raise ValueError("source is empty; say where the curve comes from")
        if not 200.0 <= self.T_low_K < self.T_high_K <= 700.0:
            raise ValueError("T_low_K and T_high_K must be 200 to 700 K, low below high")
        if not self.T_low_K <= self.stated_low_K < self.stated_high_K <= self.T_high_K:
            raise ValueError("stated_low_K and stated_high_K must lie inside T_low_K to T_high_K")
        if not self.u95 or sorted(b.at_degC for b in self.u95) != [b.at_degC for b in self.u95]:
            raise ValueError("u95 needs at least one band, in order of temperature")
        if not all(math.isfinite(b.at_degC) for b in self.u95):
            raise ValueError("at_degC of u95 must be finite numbers")
        if any(not (0.0 <= b.above <= 1.0 and 0.0 <= b.below < 1.0) for b in self.u95):
            raise ValueError("u95 bands are shares between 0 and 1")
        if (self.engine == "reference") == (not self.fluid) or (self.engine == "cubic") == (
            not self.correlation
        ):
            raise ValueError("engine 'reference' takes fluid, engine 'cubic' takes correlation")
        if self.fluid and not PURE_FLUID.fullmatch(self.fluid):
            raise ValueError(
                f"fluid is {self.fluid[:40]!r}; write the name of a pure fluid, as 'Acetone'"
            )


class Table(msgspec.Struct, frozen=True, kw_only=True):
    """A built curve as data/saturation.toml and the user's cache hold it."""

    record: str
    segment: tuple[Segment, ...]
    alpha: tuple[float, float, float]
    residual_stated: float
    residual_extended: float


class Volatile(Named, frozen=True, kw_only=True, dict=True, cache_hash=True):
    """Something that can boil out of a resin; its curve is looked up once, when first asked for."""

    title: str
    formula: str
    cas: str
    dissolves_polystyrene: bool
    molar_mass: Annotated[Number, Plausible("kg/mol", 0.001, 10000.0)]
    density: Annotated[Number, Plausible("kg/m3", 5.0, 9000.0)]
    saturation: Saturation
    critical_temperature: Annotated[Number, Plausible("K", 100.0, 1500.0)] | None = None
    critical_pressure: Annotated[Number, Plausible("Pa", 100000.0, 100000000.0)] | None = None
    acentric: Annotated[Number, Plausible("", -1.0, 2.0)] | None = None
    lower_flammable_limit: Annotated[Number, Plausible("", 0.0, 1.0)] | None = None
    flash_point: Annotated[Number, Plausible("K", 200.0, 500.0)] | None = None  # closed cup
    note: str = ""

    def __post_init__(self) -> None:
        critical = (self.critical_temperature, self.critical_pressure, self.acentric)
        if self.saturation.engine == "cubic" and None in critical:
            raise ValueError("engine 'cubic' needs critical_temperature, _pressure and acentric")

    @property
    def molar_volume(self) -> float:
        """Liquid molar volume near 25 degC [m3/mol]."""
        return self.molar_mass.si / self.density.si

    def cubic(self) -> Cubic | None:
        """Return the fluid for the cubic engine, without alpha, or None for a reference fluid."""
        Tc, pc, omega = self.critical_temperature, self.critical_pressure, self.acentric
        if self.saturation.engine == "reference" or Tc is None or pc is None or omega is None:
            return None
        return Cubic(self.name, Tc.si, pc.si, omega.si, self.molar_mass.si)

    @functools.cached_property
    def built(self) -> Table:
        """Its built table: the shipped one, a cached one, or one made now and cached."""
        return built(self)

    @property
    def curve(self) -> Curve:
        """Its saturation curve, for the kernels."""
        return self.built.segment

    @property
    def warmest_K(self) -> float:
        """The warmest that its curve reaches [K]."""
        return self.curve[-1].T_high

    def spread(self, T: float) -> tuple[float, float]:
        """Return the 95 % shares by which the true pressure may lie above and below, at T [K].

        Linear between the record's bands, plus how far the cubic strays from its correlation.
        """
        s, celsius = self.saturation, T - UNITS["degC"][2]
        stated = s.stated_low_K <= T <= s.stated_high_K
        residual = self.built.residual_stated if stated else self.built.residual_extended
        cold = s.u95[0]
        if celsius <= cold.at_degC:
            return cold.above + residual, cold.below + residual
        for warm in s.u95[1:]:
            if celsius <= warm.at_degC:
                w = (celsius - cold.at_degC) / (warm.at_degC - cold.at_degC)
                above = cold.above + w * (warm.above - cold.above)
                return above + residual, cold.below + w * (warm.below - cold.below) + residual
            cold = warm
        return cold.above + residual, cold.below + residual

    def above(self, T: "NDArray[np.float64]") -> "NDArray[np.float64]":
        """Return the share above of spread at many temperatures [K]."""
        s, celsius = self.saturation, T - UNITS["degC"][2]
        stated = (s.stated_low_K <= T) & (s.stated_high_K >= T)
        residual = np.where(stated, self.built.residual_stated, self.built.residual_extended)
        at, above = [band.at_degC for band in s.u95], [band.above for band in s.u95]
        return np.asarray(np.interp(celsius, at, above) + residual)


# Building ------------------------------------------------------------------------------------


def fingerprint(record: Volatile) -> str:
    """Return the hash of all that a volatile's curve is built from."""
    critical = (record.critical_temperature, record.critical_pressure, record.acentric)
    s = record.saturation
    basis = (
        record.name,
        [number and number.si for number in (record.molar_mass, *critical)],
        (s.engine, s.fluid, s.T_low_K, s.T_high_K, s.stated_low_K, s.stated_high_K),
        [(c.form, c.coefficients, c.weight) for c in s.correlation],
    )
    return hashlib.sha256(json.dumps(basis).encode()).hexdigest()[:16]


@functools.lru_cache(maxsize=256)
def built(record: Volatile) -> Table:
    """Return a volatile's table: the shipped one, a cached one, or one made now and cached."""
    key = fingerprint(record)
    return product(Table, "saturation", record.name, key, lambda: build(record))


def build(record: Volatile) -> Table:
    """Return a volatile's table, built now with CoolProp (a few seconds)."""
    from outgas.physics import curve_fit

    s = record.saturation
    sources = [curve_fit.Source(c.form, c.coefficients, c.weight) for c in s.correlation]
    span, stated = (s.T_low_K, s.T_high_K), (s.stated_low_K, s.stated_high_K)
    try:
        made = curve_fit.build(record.cubic(), s.fluid, sources, span, stated)
    except (DataError, OutOfRangeError, ValueError, OverflowError) as error:
        raise DataError(f"{record.name}.saturation: {error}") from None
    return Table(
        record=fingerprint(record),
        segment=made.curve,
        alpha=made.alpha,
        residual_stated=made.residual_stated,
        residual_extended=made.residual_extended,
    )
