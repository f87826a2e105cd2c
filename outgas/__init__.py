"""How much vacuum a resin will stand: safe bag pressure for vacuum-bagged composites.

Public names load on first use, so that importing outgas costs next to nothing. Arguments with a
dimension take text with a unit ('26 degC') or pint quantities; pressures return in pascal,
temperatures in kelvin, masses in kilograms.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from outgas.advice.bag import BagAdvice
    from outgas.advice.belief import BagPressure
    from outgas.advice.bleed import Bleed, read_bleed
    from outgas.advice.bubble_history import BubbleHistory
    from outgas.advice.bubbles import bubble_growth
    from outgas.advice.diagnosis import Diagnosis
    from outgas.advice.drop_test import DropTest, drop_test
    from outgas.advice.hold import Hold, hold
    from outgas.advice.holding import BleedHole, ReliefValve, bleed_hole, relief_valve
    from outgas.advice.plan import Schedule, Stage
    from outgas.advice.press import Press, press_instead
    from outgas.advice.pressures import (
        boiling_temperature,
        bubble_pressure,
        partial_pressures,
        vapour_pressure,
        void_fraction,
    )
    from outgas.advice.record import Advice
    from outgas.advice.schedule import schedule
    from outgas.advice.telltale import Telltale, better_instrument, telltale
    from outgas.advice.why import diagnose, questions
    from outgas.advice.window import advise
    from outgas.catalogue import resin, resins, volatile, volatiles
    from outgas.errors import (
        DataError,
        InputError,
        OutgasError,
        OutgasWarning,
        OutOfRangeError,
        RefusedError,
        UnitError,
        UnknownNameError,
    )
    from outgas.job.gauge import barometer, dials, read_pressure
    from outgas.job.layup import Layup
    from outgas.job.rig import Rig
    from outgas.job.shop import Shop
    from outgas.units import Quantity

__version__ = "0.1.0"

_HOMES = {
    "outgas.advice.bleed": ("Bleed", "read_bleed"),
    "outgas.advice.bubble_history": ("BubbleHistory",),
    "outgas.advice.bubbles": ("bubble_growth",),
    "outgas.advice.diagnosis": ("Diagnosis",),
    "outgas.advice.bag": ("BagAdvice",),
    "outgas.advice.belief": ("BagPressure",),
    "outgas.advice.drop_test": ("DropTest", "drop_test"),
    "outgas.advice.hold": ("Hold", "hold"),
    "outgas.advice.holding": ("BleedHole", "ReliefValve", "bleed_hole", "relief_valve"),
    "outgas.advice.press": ("Press", "press_instead"),
    "outgas.advice.pressures": (
        "boiling_temperature",
        "bubble_pressure",
        "partial_pressures",
        "vapour_pressure",
        "void_fraction",
    ),
    "outgas.advice.plan": ("Schedule", "Stage"),
    "outgas.advice.record": ("Advice",),
    "outgas.advice.schedule": ("schedule",),
    "outgas.advice.why": ("diagnose", "questions"),
    "outgas.advice.telltale": ("Telltale", "better_instrument", "telltale"),
    "outgas.advice.window": ("advise",),
    "outgas.catalogue": ("resin", "resins", "volatile", "volatiles"),
    "outgas.errors": (
        "DataError",
        "InputError",
        "OutOfRangeError",
        "OutgasError",
        "OutgasWarning",
        "RefusedError",
        "UnitError",
        "UnknownNameError",
    ),
    "outgas.job.gauge": ("barometer", "dials", "read_pressure"),
    "outgas.job.layup": ("Layup",),
    "outgas.job.rig": ("Rig",),
    "outgas.job.shop": ("Shop",),
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "Advice",
    "BagAdvice",
    "BagPressure",
    "Bleed",
    "BleedHole",
    "BubbleHistory",
    "DataError",
    "Diagnosis",
    "DropTest",
    "Hold",
    "InputError",
    "Layup",
    "OutOfRangeError",
    "OutgasError",
    "OutgasWarning",
    "Press",
    "Quantity",
    "RefusedError",
    "ReliefValve",
    "Rig",
    "Schedule",
    "Shop",
    "Stage",
    "Telltale",
    "UnitError",
    "UnknownNameError",
    "advise",
    "barometer",
    "better_instrument",
    "bleed_hole",
    "boiling_temperature",
    "bubble_growth",
    "bubble_pressure",
    "diagnose",
    "dials",
    "drop_test",
    "hold",
    "partial_pressures",
    "press_instead",
    "questions",
    "read_bleed",
    "read_pressure",
    "relief_valve",
    "resin",
    "resins",
    "schedule",
    "telltale",
    "vapour_pressure",
    "void_fraction",
    "volatile",
    "volatiles",
]


def __getattr__(name: str) -> Any:
    if name == "Quantity":  # of pint's application registry, which the user may set at any time
        from outgas.units import registry

        return registry().Quantity
    if name in _HOME_OF:
        value = getattr(importlib.import_module(_HOME_OF[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'outgas' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
