"""The rig: pump, hose, bag, leak, bleed, and how well the pressure is held and read."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Any

from outgas import units
from outgas.errors import InputError
from outgas.job.rig_words import Hose, plain_flow, read_hose, read_pump, read_words
from outgas.physics import flow
from outgas.show import plain
from outgas.tables import catalogue
from outgas.tables.gear import Pump

if TYPE_CHECKING:
    from outgas.units import Measure

KIND, VERSION = "outgas rig", 1  # of to_dict()
_WORDS = ("hose", "bleed", "pump")
# Each field of a rig: SI unit, and the plausible range in it.
_RANGES: dict[str, tuple[str, float, float]] = {
    "pump_displacement": ("m**3/s", 1e-7, 10.0),
    "pump_ultimate": ("Pa", 0.0, 9e4),
    "bag_volume": ("m**3", 1e-6, 100.0),
    "leak": ("Pa*m**3/s", 0.0, 1e4),
    "hold_error": ("Pa", 0.0, 5e4),
    "sensor_error": ("Pa", 0.0, 5e4),
    "autoclave": ("Pa", 0.0, 5e6),
    "bag_area": ("m**2", 1e-4, 1000.0),
    "pot_volume": ("m**3", 1e-6, 10.0),
}


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Rig:
    """What makes and holds the vacuum.

    Parameters
    ----------
    pump_displacement, pump_ultimate
        '5 m3/h' and '2 mbar', from its plate; up to 10 m3/s, and 0 to 900 mbar.
    hose, bleed
        In words: '2 m of 8 mm', 'needle valve'. A bleed says that air is let in somewhere.
    pump
        Its kind in words: 'two-stage', 'dry vane', 'venturi', or a TOML file of one's own; what it
        reaches follows from that where pump_ultimate is not given.
    bag_area, pot_volume
        '0.6 m2' (1 cm2 to 1000 m2) and '3 l' (1 ml to 10 m3); the volume follows from them where
        bag_volume is not given.
    bag_volume
        Breather, hoses and pot together: '12 l'; 1 ml to 100 m3.
    leak
        '0.2 mbar l/s', up to 10 000 Pa m3/s.
    hold_error
        How far the pressure wanders while it is held: '20 mbar', up to 500. Keeps the setpoint
        clear.
    sensor_error
        Of the absolute sensor, if there is one: '5 mbar', up to 500.
    autoclave
        Pressure on the bag above the atmosphere: '5 bar', up to 50.

    Raises
    ------
    UnitError, InputError, OutOfRangeError
        One line each: what was given and what is allowed.

    Examples
    --------
    >>> rig = Rig(pump_displacement="5 m3/h", pump="two-stage", bag_volume="0.5 m3")
    >>> rig.bag_volume, rig.kind.name  # SI floats
    (0.5, 'two-stage')
    >>> rig == Rig.from_words("5 m3/h two-stage pump", bag_volume="0.5 m3")
    True
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
    pump: str
    bag_area: float | None
    pot_volume: float | None

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
        pump: str = "",
        bag_area: "Measure | None" = None,
        pot_volume: "Measure | None" = None,
    ) -> None:
        given = {
            "pump_displacement": plain_flow(pump_displacement),
            "pump_ultimate": pump_ultimate,
            "bag_volume": bag_volume,
            "leak": leak,
            "hold_error": hold_error,
            "sensor_error": sensor_error,
            "autoclave": autoclave,
            "bag_area": bag_area,
            "pot_volume": pot_volume,
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
            object.__setattr__(self, name, units.in_words(text, name, "2 m of 8 mm"))
        read_hose(hose)
        told: Any = pump
        words = "" if told is None else units.in_words(told, "pump", "two-stage")
        object.__setattr__(self, "pump", read_pump(words).name if words else "")

    @classmethod
    def from_words(cls, text: str, **more: Any) -> "Rig":
        """Return the rig that a builder describes, parts with commas between them.

        Parameters
        ----------
        text
            '5 m3/h two-stage pump, 2 m of 8 mm hose, 0.6 m2 bag, 3 l pot, needle valve'; also
            'leak 0.2 mbar l/s' and '2 mbar ultimate'.
        more
            Keyword arguments of Rig beside the words.

        Raises
        ------
        InputError
            For a part that is said twice or cannot be read.

        Examples
        --------
        >>> rig = Rig.from_words("5 m3/h two-stage pump, 2 m of 8 mm hose, needle valve")
        >>> rig.bleed, rig.hose_size.bore_m
        ('needle valve', 0.008)
        """
        words: dict[str, Any] = dict(read_words(text))
        for name in more.keys() & words.keys():
            raise InputError(f"rig says its {name.replace('_', ' ')} twice: in words and by name")
        return cls(**words, **more)

    @property
    def hose_size(self) -> Hose | None:
        """The hose's length and bore [m]; None where they were not said."""
        return read_hose(self.hose)

    @property
    def kind(self) -> Pump | None:
        """The record of the kind of pump; None where it was not said."""
        return read_pump(self.pump) if self.pump else None

    def volume(self) -> tuple[float, float, float] | None:
        """Return the volume behind the valve [m3], its low and high end; None if nothing is known.

        As given, or estimated from the bag's area, the hose and the pot.

        Notes
        -----
        V = A h + V_pot + (pi/4) d^2 L: area A, a depth h of the bagging stack (an estimate, with
        its ends), hose of bore d and length L.

        Examples
        --------
        >>> Rig(bag_volume="0.5 m3").volume()
        (0.5, 0.5, 0.5)
        >>> likely, low, high = Rig(bag_area="0.6 m2").volume()
        >>> low < likely < high
        True
        """
        if self.bag_volume is not None:
            return (self.bag_volume,) * 3
        if self.bag_area is None:
            return None
        figures, size = catalogue.rigs(), self.hose_size
        fixed = 0.0 if size is None else flow.circle(size.bore_m) * size.length_m
        pot = figures.pot_volume
        ends = []
        for end in ("si", "low_si", "high_si"):
            held = self.pot_volume if self.pot_volume is not None else getattr(pot, end)
            ends.append(self.bag_area * getattr(figures.breather_depth, end) + held + fixed)
        return ends[0], ends[1], ends[2]

    def known(self) -> dict[str, float | str]:
        """Return what was given, in SI units.

        Examples
        --------
        >>> Rig(bag_volume="0.5 m3", bleed="needle valve").known()
        {'bag_volume': 0.5, 'bleed': 'needle valve'}
        """
        got = {field.name: getattr(self, field.name) for field in fields(self)}
        return {name: value for name, value in got.items() if value not in (None, "")}

    def _said(self) -> dict[str, Any]:
        """Return the constructor's arguments that make this rig."""
        return {
            name: value if isinstance(value, str) else units.quantity(value, _RANGES[name][0])
            for name, value in self.known().items()
        }

    def but(self, **told: Any) -> "Rig":
        """Return this rig with some arguments told otherwise, by the constructor's own names.

        None, or '' for words, takes one away. Errors as of the constructor.

        Examples
        --------
        >>> Rig(pump="dry vane", leak="0.2 mbar l/s").but(pump="two-stage", leak=None).known()
        {'pump': 'two-stage'}
        """
        plain.known_names(told, [field.name for field in fields(self)], "Rig")
        words = {name: "" for name in _WORDS if name in told and told[name] is None}
        return Rig(**{**self._said(), **told, **words})

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version.

        Examples
        --------
        >>> rig = Rig(pump_ultimate="2 mbar", bleed="needle valve")
        >>> rig.to_dict()["pump_ultimate_Pa"], Rig.from_dict(rig.to_dict()) == rig
        (200.0, True)
        """
        found = {key: getattr(self, name) for key, name in _PLAIN_KEYS.items()}
        return {"kind": KIND, "version": VERSION, **found}

    @classmethod
    def from_dict(cls, found: Mapping[str, Any]) -> "Rig":
        """Return the rig that to_dict() gave; errors as of the constructor, for anything else.

        Examples
        --------
        >>> Rig.from_dict(Rig().to_dict()) == Rig()
        True
        """
        got = plain.opened(found, KIND, VERSION, _PLAIN_KEYS)
        given = {
            name: plain.amount(got[key], _RANGES[name][0], key) if name in _RANGES else got[key]
            for key, name in _PLAIN_KEYS.items()
        }
        return cls(**given)

    def __repr__(self) -> str:
        parts = [
            f"{name}={value:.4g} {_RANGES[name][0]}" if name in _RANGES else f"{name}={value!r}"
            for name, value in self.known().items()
        ]
        return f"Rig({', '.join(parts)})"


def as_rig(given: Rig | str | None) -> Rig | None:
    """Return a rig from itself or its words; None where nothing was said of it."""
    if isinstance(given, str):
        return Rig.from_words(given)
    if given is not None and not isinstance(given, Rig):
        raise InputError("rig is not a Rig; give outgas.Rig(...) or its words")
    return given


def the_rig(given: Rig | str) -> Rig:
    """Return a rig from itself or its words, where there must be one."""
    found = as_rig(given)
    if found is None:
        raise InputError("rig is missing; give outgas.Rig(...) or its words")
    return found


_KEY_UNITS = {
    "m**3/s": "m3_s",
    "Pa": "Pa",
    "m**3": "m3",
    "Pa*m**3/s": "Pa_m3_s",
    "m**2": "m2",
}
_PLAIN_KEYS = {  # key of to_dict(): field
    **{f"{name}_{_KEY_UNITS[unit]}": name for name, (unit, _, _) in _RANGES.items()},
    **{name: name for name in _WORDS},
}
