"""The rig: pump, hose, bag, leak, bleed, and how well the pressure is held and read."""

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from outgas import units
from outgas.errors import InputError

if TYPE_CHECKING:
    from outgas.units import Measure

# Each field of a rig: SI unit, and the plausible range in it.
_RANGES: dict[str, tuple[str, float, float]] = {
    "pump_displacement": ("m**3/s", 1e-7, 10.0),
    "pump_ultimate": ("Pa", 0.0, 9e4),
    "bag_volume": ("m**3", 1e-6, 100.0),
    "leak": ("Pa*m**3/s", 0.0, 1e4),
    "hold_error": ("Pa", 0.0, 5e4),
    "sensor_error": ("Pa", 0.0, 5e4),
    "autoclave": ("Pa", 0.0, 5e6),
}


@dataclass(frozen=True, slots=True, init=False)
class Rig:
    """What makes and holds the vacuum.

    Parameters
    ----------
    pump_displacement, pump_ultimate
        '5 m3/h' and '2 mbar', from its plate.
    hose, bleed
        In words: '2 m of 8 mm', 'needle valve'.
    bag_volume
        Breather, hoses and pot together: '12 l'.
    leak
        '0.2 mbar l/s'.
    hold_error
        How far the pressure wanders while it is held: '20 mbar'. Keeps the setpoint clear.
    sensor_error
        Of the absolute sensor, if there is one: '5 mbar'.
    autoclave
        Pressure on the bag above the atmosphere: '5 bar'.

    Raises
    ------
    UnitError, InputError, OutOfRangeError
        One line each: what was given and what is allowed.
    """

    pump_displacement: float | None
    pump_ultimate: float | None
    bag_volume: float | None
    leak: float | None
    hold_error: float | None
    sensor_error: float | None
    autoclave: float | None
    hose: str
    bleed: str

    def __init__(
        self,
        *,
        pump_displacement: "Measure | None" = None,
        pump_ultimate: "Measure | None" = None,
        hose: str = "",
        bag_volume: "Measure | None" = None,
        leak: "Measure | None" = None,
        bleed: str = "",
        hold_error: "Measure | None" = None,
        sensor_error: "Measure | None" = None,
        autoclave: "Measure | None" = None,
    ) -> None:
        given = {
            "pump_displacement": pump_displacement,
            "pump_ultimate": pump_ultimate,
            "bag_volume": bag_volume,
            "leak": leak,
            "hold_error": hold_error,
            "sensor_error": sensor_error,
            "autoclave": autoclave,
        }
        for name, value in given.items():
            unit, low, high = _RANGES[name]
            words = name.replace("_", " ")
            number = None
            if value is not None:
                number = units.positive(value, unit, words, zero=True)
                units.inside(number, low, high, words, unit)
            object.__setattr__(self, name, number)
        for name, text in (("hose", hose), ("bleed", bleed)):
            if not isinstance(text, str):
                raise InputError(f"{name} is {text!r}; say it in words, as '2 m of 8 mm'")
            object.__setattr__(self, name, text)

    def known(self) -> dict[str, float | str]:
        """Return what was given, in SI units."""
        got = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in got.items() if value not in (None, "")}
