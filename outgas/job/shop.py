"""The shop: its air, its humidity, its barometer, its tool."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from outgas import constants, units
from outgas.job.gauge import read_barometer, station_air
from outgas.show import plain

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

KIND, VERSION = "outgas shop", 1  # of to_dict()
SHOP_RANGE_K = (263.15, 333.15)  # -10 to 60 degC: no one laminates beyond
TOOL_RANGE_K = (263.15, 473.15)
_ARGUMENTS = ("temperature", "humidity", "altitude", "barometer", "tool_temperature", "sun")
SUN_RANGE_W_M2 = (0.0, 1200.0)  # clear sky overhead


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Shop:
    """Where the work is done.

    Parameters
    ----------
    temperature
        Of the air, -10 to 60 degC.
    humidity
        Relative, 0 to 1 or '60 %'.
    altitude, barometer
        Altitude alone: standard atmosphere. Barometer alone: the shop's own. Both: the barometer
        is a weather app's sea-level value. Neither: sea level in average weather, and said so.
    tool_temperature
        Of the tool's face, and of what lies under it: a heated or a cold table; the air's if not
        given.
    sun
        On the bag, up to 1200 W/m2: '600 W/m2' through a clear noon window.

    Raises
    ------
    UnitError, InputError, OutOfRangeError
        One line each: what was given and what is allowed.

    Examples
    --------
    >>> shop = Shop(temperature="22 degC", humidity="55 %")
    >>> shop.humidity, shop.barometer_Pa, shop.tool_temperature == shop.temperature
    (0.55, 101325.0, True)
    >>> Shop(temperature="90 degC", humidity="55 %")
    Traceback (most recent call last):
        ...
    outgas.errors.OutOfRangeError: temperature is 90 degC, outside -10 to 60 degC
    """

    temperature_K: float
    humidity: float
    barometer_Pa: float
    tool_temperature_K: float
    barometer_note: str
    sun_W_m2: float

    def __init__(
        self,
        *,
        temperature: "Measure",
        humidity: Any,
        altitude: "Measure | None" = None,
        barometer: "Measure | None" = None,
        tool_temperature: "Measure | None" = None,
        sun: "Measure | None" = None,
    ) -> None:
        air_K = units.one(temperature, "K", "temperature")
        in_celsius(air_K, SHOP_RANGE_K, "temperature")
        tool_K = air_K
        if tool_temperature is not None:
            tool_K = units.one(tool_temperature, "K", "tool temperature")
            in_celsius(tool_K, TOOL_RANGE_K, "tool temperature")
        here, note = station_air(altitude, barometer)
        put = object.__setattr__
        put(self, "temperature_K", air_K)
        put(self, "humidity", units.one_fraction(humidity, "humidity"))
        put(self, "barometer_Pa", here)
        put(self, "tool_temperature_K", tool_K)
        put(self, "barometer_note", note)
        shine = 0.0 if sun is None else units.positive(sun, "W/m**2", "sun", zero=True)
        put(self, "sun_W_m2", units.inside(shine, *SUN_RANGE_W_M2, "sun", "W/m2"))

    def but(self, **told: Any) -> "Shop":
        """Return this shop with some arguments told otherwise, by the constructor's own names.

        A tool at the air's temperature follows it. altitude and barometer are read together, as
        they are told here: neither is remembered. Errors as of the constructor.

        Examples
        --------
        >>> warm = Shop(temperature="20 degC", humidity=0.5).but(temperature="30 degC")
        >>> warm.temperature_K, warm.tool_temperature_K, warm.humidity
        (303.15, 303.15, 0.5)
        """
        plain.known_names(told, _ARGUMENTS, "Shop")
        follows = self.tool_temperature_K == self.temperature_K
        kept: dict[str, Any] = {
            "temperature": self.temperature,
            "humidity": self.humidity,
            "tool_temperature": None if follows else self.tool_temperature,
            "sun": units.quantity(self.sun_W_m2, "W/m**2"),
        }
        other = Shop(**{**kept, **told})
        if "altitude" in told or "barometer" in told:
            return other
        return other._moved(barometer_Pa=self.barometer_Pa, barometer_note=self.barometer_note)

    def _moved(self, **si: Any) -> "Shop":
        """Return this shop with some fields changed as they stand, for use inside the package.

        They are not checked again; a tool at the air's temperature follows.
        """
        other = copy.copy(self)
        if "temperature_K" in si and self.tool_temperature_K == self.temperature_K:
            si.setdefault("tool_temperature_K", si["temperature_K"])
        for name, value in si.items():
            object.__setattr__(other, name, value)
        return other

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version.

        Examples
        --------
        >>> shop = Shop(temperature="22 degC", humidity="55 %", altitude="20 m")
        >>> Shop.from_dict(shop.to_dict()) == shop
        True
        """
        return {
            "kind": KIND,
            "version": VERSION,
            **{name: getattr(self, name) for name in self.__slots__},
        }

    @classmethod
    def from_dict(cls, found: Mapping[str, Any]) -> "Shop":
        """Return the shop that to_dict() gave; errors as of the constructor, for anything else.

        Examples
        --------
        >>> Shop.from_dict({"kind": "outgas rig"})
        Traceback (most recent call last):
            ...
        outgas.errors.InputError: "{'kind': 'outgas rig'}" is no outgas shop; give what its \
to_dict() gave
        """
        got = plain.opened(found, KIND, VERSION, cls.__slots__)
        shop = cls(
            temperature=plain.amount(got["temperature_K"], "K", "temperature_K"),
            humidity=plain.number(got["humidity"], "humidity"),
            tool_temperature=plain.amount(got["tool_temperature_K"], "K", "tool_temperature_K"),
            sun=plain.amount(got["sun_W_m2"], "W/m**2", "sun_W_m2"),
        )
        here = read_barometer(plain.amount(got["barometer_Pa"], "Pa", "barometer_Pa"))
        return shop._moved(barometer_Pa=here, barometer_note=str(got["barometer_note"]))

    def __repr__(self) -> str:
        parts = [f"{self.temperature_K - constants.ZERO_CELSIUS_K:.4g} degC"]
        parts += [f"{100.0 * self.humidity:.3g} % humidity", f"{self.barometer_Pa / 100:.1f} mbar"]
        if self.tool_temperature_K != self.temperature_K:
            parts.append(f"tool {self.tool_temperature_K - constants.ZERO_CELSIUS_K:.4g} degC")
        if self.sun_W_m2:
            parts.append(f"sun {self.sun_W_m2:.4g} W/m2")
        return f"Shop({', '.join(parts)})"

    @property
    def temperature(self) -> "Quantity":
        """Of the air [K]."""
        return units.quantity(self.temperature_K, "K")

    @property
    def barometer(self) -> "Quantity":
        """The shop's own air pressure [Pa]."""
        return units.quantity(self.barometer_Pa, "Pa")

    @property
    def tool_temperature(self) -> "Quantity":
        """Of the tool's face [K]."""
        return units.quantity(self.tool_temperature_K, "K")


def in_celsius(kelvin: float, span: tuple[float, float], name: str) -> float:
    """Return a temperature if it lies in its range; the message is in degC, as people say it."""
    zero = constants.ZERO_CELSIUS_K
    units.inside(kelvin - zero, span[0] - zero, span[1] - zero, name, "degC")
    return kelvin
