"""Saturation curves of volatiles: built tables for the kernels, and how far each may be off."""

import functools
import hashlib
import json

import msgspec

from outgas.errors import DataError, OutOfRangeError
from outgas.physics.saturation import Curve, Segment
from outgas.tables.built import product
from outgas.tables.materials import Volatile
from outgas.tables.number import UNITS


class Table(msgspec.Struct, frozen=True, kw_only=True):
    """A built curve as data/saturation.toml and the user's cache hold it."""

    record: str
    segment: tuple[Segment, ...]
    alpha: tuple[float, float, float]
    residual_stated: float
    residual_extended: float


# Saturation curves ----------------------------------------------------------------------------


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


def curve(record: Volatile) -> Curve:
    """Return a volatile's saturation curve for the kernels."""
    return built(record).segment


def spread(record: Volatile, T: float) -> tuple[float, float]:
    """Return the 95 % shares by which the true pressure may lie above and below, at T [K].

    Linear between the record's bands, plus how far the cubic strays from its correlation.
    """
    bands = record.saturation.u95
    celsius = T - UNITS["degC"][2]
    tab = built(record)
    stated = record.saturation.stated_low_K <= T <= record.saturation.stated_high_K
    residual = tab.residual_stated if stated else tab.residual_extended
    cold = bands[0]
    if celsius <= cold.at_degC:
        return cold.above + residual, cold.below + residual
    for warm in bands[1:]:
        if celsius <= warm.at_degC:
            w = (celsius - cold.at_degC) / (warm.at_degC - cold.at_degC)
            above = cold.above + w * (warm.above - cold.above)
            return above + residual, cold.below + w * (warm.below - cold.below) + residual
        cold = warm
    return cold.above + residual, cold.below + residual
