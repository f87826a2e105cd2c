"""What the dial says and what the barometer makes of it."""

import warnings
from typing import TYPE_CHECKING, Any

import numpy as np

from outgas import readings, units
from outgas.errors import InputError, OutgasWarning, OutOfRangeError
from outgas.physics import air
from outgas.tables.catalogue import practice

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

BAROMETER_RANGE_PA = (20000.0, 110000.0)  # from the top of the troposphere to a record high
STATION_TOLERANCE = 0.05  # weather moves a barometer by up to about 4 % of the standard value


def barometer(altitude: "Measure", sea_level: "Measure | None" = None) -> "Quantity":
    """Return the station pressure at an altitude.

    Parameters
    ----------
    altitude
        A length, or an array of them; -430 to 11 000 m.
    sea_level
        What a weather app says, reduced to sea level, 200 to 1100 hPa; one standard atmosphere if
        not given.

    Returns
    -------
    Pressure [Pa] of the altitude's shape.

    Raises
    ------
    OutOfRangeError
        Beyond the standard atmosphere's lowest layer, or a pressure no weather brings.

    Notes
    -----
    U.S. Standard Atmosphere 1976, equal to ISO 2533 in this layer; the reduction is that of the
    ICAO altimeter setting.

        p = p_sea (1 - 0.0065 h / 288.15)^5.2559, h in metres; the pressure in Pa.

    Examples
    --------
    >>> barometer("0 m")
    <Quantity(101325.0, 'pascal')>
    >>> barometer("1500 m") < barometer("500 m")
    True
    """
    h = units.si(altitude, "m", "altitude")
    low, high = air.ALTITUDE_RANGE_M
    for end in (np.min(h), np.max(h)) if np.size(h) else ():
        units.inside(float(end), low, high, "altitude", "m")
    sea = air.SEA_LEVEL_PA if sea_level is None else read_barometer(sea_level)
    result: Quantity = units.like(altitude, air.station_pressure(h, sea), "Pa")
    return result


def read_barometer(value: Any) -> float:
    """Return a barometer's reading [Pa]; inHg here can only be absolute."""
    pressure = readings.read_absolute(value, "barometer")
    low, high = BAROMETER_RANGE_PA
    if not low <= pressure <= high:
        span = f"{low / 100:.0f} to {high / 100:.0f} hPa"
        raise OutOfRangeError(f"barometer is {pressure / 100:.1f} hPa, outside {span}")
    return pressure


def station_air(altitude: Any, reading: Any) -> tuple[float, str]:
    """Return the shop's own air pressure [Pa] and how it was got.

    Altitude alone: the standard atmosphere. Reading alone: a barometer in the shop. Both: the
    reading is a weather app's sea-level value. Neither: sea level, standard weather.
    """
    if altitude is None and reading is None:
        return air.SEA_LEVEL_PA, "air pressure: 1013.2 mbar, sea level in average weather (assumed)"
    if altitude is None:
        here = read_barometer(reading)
        return here, f"air pressure: {here / 100:.1f} mbar, the shop's own barometer"
    h = units.inside(units.one(altitude, "m", "altitude"), *air.ALTITUDE_RANGE_M, "altitude", "m")
    standard = float(air.station_pressure(h))
    if reading is None:
        text = f"air pressure: {standard / 100:.1f} mbar, average weather at {h:.0f} m (assumed)"
        return standard, text
    sea = read_barometer(reading)
    here = float(air.station_pressure(h, sea))
    if abs(here / standard - 1.0) > STATION_TOLERANCE:
        raise InputError(
            f"barometer is {sea / 100:.1f} hPa at {h:.0f} m: taken as a sea-level value it makes "
            f"{here / 100:.0f} hPa here, where {standard / 100:.0f} is usual; for the shop's own "
            "barometer give it without the altitude"
        )
    return here, (
        f"air pressure: {here / 100:.1f} mbar, from a sea-level {sea / 100:.1f} hPa at {h:.0f} m"
    )


LEAST_SETPOINT_PA = 1e-3  # a hundred thousandth of a millibar: no pump of a shop holds that


def reading_of(value: Any, barometer: float | None, name: str = "pressure") -> readings.Reading:
    """Return any pressure a builder says, text or quantity, as an absolute one."""
    if isinstance(value, str):
        return readings.read_reading(value, barometer, name)
    return readings.Reading(units.positive(value, "Pa", name, zero=True), False)


def read_setpoint(value: Any, barometer: float) -> float:
    """Return the pressure to hold [Pa], below the barometer."""
    p = reading_of(value, barometer, "setpoint").absolute_Pa
    if not LEAST_SETPOINT_PA <= p < barometer:
        raise InputError(
            f"setpoint is {p / 100:.0f} mbar; it must lie between 0 and the barometer's "
            f"{barometer / 100:.0f} mbar"
        )
    return p


def read_pressure(value: "Measure", barometer: "Measure | None" = None) -> "Quantity":
    """Return the absolute pressure that a reading means.

    Parameters
    ----------
    value
        '60 mbar', '60 mbar abs', '-0.94 bar gauge', '28 inHg vacuum', '95 % vacuum', '710 mmHg
        vacuum', or a pint quantity, which is absolute. hPa, mbar, torr, Pa and atm are absolute
        unless said otherwise; bar, kPa, psi, inHg and mmHg without a word are refused, for they
        are used both ways; a minus sign means gauge.
    barometer
        The air pressure where the dial hangs, 200 to 1100 hPa; needed for gauge and vacuum
        readings.

    Returns
    -------
    Absolute pressure [Pa].

    Raises
    ------
    UnitError
        For a missing, unknown or ambiguous unit, with both meanings spelled out.
    InputError
        For a vacuum deeper than the barometer, or an absolute pressure below zero.

    Warns
    -----
    OutgasWarning
        Where a dial stands so near its end that it cannot tell.

    Notes
    -----
    Gauge: p = p_atm + g, g below zero under vacuum; vacuum: p = p_atm - v; percent: p = p_atm
    (1 - x/100). Definitions; inHg and mmHg are the conventional ones, of mercury at 0 degC.

    Examples
    --------
    >>> read_pressure("60 mbar").m
    6000.0
    >>> print(f"{read_pressure('-0.9 bar gauge', '1000 mbar').to('mbar'):.0f~P}")
    100 mbar
    >>> read_pressure("28 inHg")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
        ...
    outgas.errors.UnitError: ...
    """
    here = None if barometer is None else read_barometer(barometer)
    reading = reading_of(value, here)
    error = practice().reading.dial.high_si
    if reading.by_dial and reading.absolute_Pa < error:
        warnings.warn(cannot_tell(reading.absolute_Pa, error), OutgasWarning, stacklevel=2)
    return units.quantity(reading.absolute_Pa, "Pa")


CANNOT_TELL = "a dial cannot tell where between {} and {} this is"


def cannot_tell(pressure: float, error: float) -> str:
    """Say between which pressures a dial near its end cannot tell."""
    low, high = max(0.0, pressure - error) / 100.0, (pressure + error) / 100.0
    return CANNOT_TELL.format(f"{low:.0f}", f"{high:.0f} mbar absolute")


def dials(pressure: "Measure", barometer: "Measure") -> dict[str, float]:
    """Return what each kind of dial shows at an absolute pressure.

    Parameters
    ----------
    pressure
        One, absolute, or a reading under the same barometer.
    barometer
        The air pressure where the dial hangs, 200 to 1100 hPa.

    Returns
    -------
    Plain numbers: absolute_mbar, vacuum_inHg, vacuum_mmHg, gauge_bar, gauge_kPa, gauge_psi,
    vacuum_percent, absolute_torr.

    Raises
    ------
    UnitError, InputError, OutOfRangeError
        A unit that is missing or ambiguous, a pressure below zero, a barometer out of range.

    Notes
    -----
    vacuum = p_atm - p; gauge = p - p_atm; percent = 100 (1 - p/p_atm). Definitions, each in its
    own unit.

    Examples
    --------
    >>> shown = dials("100 mbar", "1000 mbar")
    >>> {name: round(shown[name], 2) for name in ("gauge_bar", "vacuum_percent")}
    {'gauge_bar': -0.9, 'vacuum_percent': 90.0}
    """
    here = read_barometer(barometer)
    return readings.dial_readings(reading_of(pressure, here).absolute_Pa, here)
