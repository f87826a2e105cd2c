"""How much vacuum a resin will stand: safe bag pressure for vacuum-bagged composites.

Public names load on first use, so that importing outgas costs next to nothing. Arguments with a
dimension take text with a unit ('26 degC') or pint quantities; pressures return in pascal,
temperatures in kelvin, masses in kilograms.
"""

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from outgas.bag_log.log import BagLog
    from outgas.bag_log.read_log import read_log
    from outgas.diagnosis.bleed import Bleed, read_bleed
    from outgas.diagnosis.diagnose import diagnose, questions
    from outgas.diagnosis.diagnosis import Diagnosis
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
    from outgas.job.listed import bag_sides, cores, pumps, reinforcements, tools
    from outgas.job.process import processes
    from outgas.job.rig import Rig
    from outgas.job.saved import Job, read_job
    from outgas.job.shop import Shop
    from outgas.laminate.bubble_history import BubbleHistory
    from outgas.laminate.bubbles import bubble_growth
    from outgas.laminate.pressures import (
        boiling_temperature,
        bubble_pressure,
        partial_pressures,
        vapour_pressure,
        void_fraction,
    )
    from outgas.no_gauge.bag_advice import BagAdvice
    from outgas.no_gauge.bag_pressure import BagPressure
    from outgas.no_gauge.bleed_hole import BleedHole, bleed_hole
    from outgas.no_gauge.drop_test import DropTest, drop_test
    from outgas.no_gauge.hold import Hold, hold
    from outgas.no_gauge.telltale import Telltale, better_instrument, telltale
    from outgas.no_gauge.weighted_plate import ReliefValve, relief_valve
    from outgas.panels.experience import Experience
    from outgas.panels.learn import learn
    from outgas.panels.log import PanelLog, read_panels
    from outgas.plan.plan import Schedule
    from outgas.plan.schedule import schedule
    from outgas.plan.stage import Stage
    from outgas.shop_card.card import card
    from outgas.shop_card.record import Card
    from outgas.tables.catalogue import resin, resins, volatile, volatiles
    from outgas.units import Quantity
    from outgas.window.advice import Advice
    from outgas.window.advise import advise
    from outgas.window.ways.press import Press, press_instead

__version__ = "0.2.0"

_HOMES = {
    "outgas.bag_log.log": ("BagLog",),
    "outgas.bag_log.read_log": ("read_log",),
    "outgas.diagnosis.bleed": (
        "Bleed",
        "read_bleed",
    ),
    "outgas.diagnosis.diagnose": (
        "diagnose",
        "questions",
    ),
    "outgas.diagnosis.diagnosis": ("Diagnosis",),
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
    "outgas.job.gauge": (
        "barometer",
        "dials",
        "read_pressure",
    ),
    "outgas.job.layup": ("Layup",),
    "outgas.job.listed": (
        "bag_sides",
        "cores",
        "pumps",
        "reinforcements",
        "tools",
    ),
    "outgas.job.process": ("processes",),
    "outgas.job.rig": ("Rig",),
    "outgas.job.saved": (
        "Job",
        "read_job",
    ),
    "outgas.job.shop": ("Shop",),
    "outgas.laminate.bubble_history": ("BubbleHistory",),
    "outgas.laminate.bubbles": ("bubble_growth",),
    "outgas.laminate.pressures": (
        "boiling_temperature",
        "bubble_pressure",
        "partial_pressures",
        "vapour_pressure",
        "void_fraction",
    ),
    "outgas.many.sources": (
        "Sources",
        "sources",
    ),
    "outgas.many.sweep": ("sweep",),
    "outgas.many.uncertainty": (
        "Uncertainty",
        "uncertainty",
    ),
    "outgas.many.wall_chart": (
        "WallChart",
        "wall_chart",
    ),
    "outgas.many.weakest": (
        "Weakest",
        "weakest",
    ),
    "outgas.no_gauge.bag_advice": ("BagAdvice",),
    "outgas.no_gauge.bag_pressure": ("BagPressure",),
    "outgas.no_gauge.bleed_hole": (
        "BleedHole",
        "bleed_hole",
    ),
    "outgas.no_gauge.drop_test": (
        "DropTest",
        "drop_test",
    ),
    "outgas.no_gauge.hold": (
        "Hold",
        "hold",
    ),
    "outgas.no_gauge.telltale": (
        "Telltale",
        "better_instrument",
        "telltale",
    ),
    "outgas.no_gauge.weighted_plate": (
        "ReliefValve",
        "relief_valve",
    ),
    "outgas.panels.experience": ("Experience",),
    "outgas.panels.learn": ("learn",),
    "outgas.panels.log": (
        "PanelLog",
        "read_panels",
    ),
    "outgas.plan.plan": ("Schedule",),
    "outgas.plan.schedule": ("schedule",),
    "outgas.plan.stage": ("Stage",),
    "outgas.shop_card.card": ("card",),
    "outgas.shop_card.record": ("Card",),
    "outgas.tables.catalogue": (
        "resin",
        "resins",
        "volatile",
        "volatiles",
    ),
    "outgas.window.advice": ("Advice",),
    "outgas.window.advise": ("advise",),
    "outgas.window.ways.press": (
        "Press",
        "press_instead",
    ),
}
_HOME_OF = {name: module for module, names in _HOMES.items() for name in names}

__all__ = [
    "Advice",
    "BagAdvice",
    "BagLog",
    "BagPressure",
    "Bleed",
    "BleedHole",
    "BubbleHistory",
    "Card",
    "DataError",
    "Diagnosis",
    "DropTest",
    "Experience",
    "Hold",
    "InputError",
    "Job",
    "Layup",
    "OutOfRangeError",
    "OutgasError",
    "OutgasWarning",
    "PanelLog",
    "Press",
    "Quantity",
    "RefusedError",
    "ReliefValve",
    "Rig",
    "Schedule",
    "Shop",
    "Sources",
    "Stage",
    "Telltale",
    "Uncertainty",
    "UnitError",
    "UnknownNameError",
    "WallChart",
    "Weakest",
    "advise",
    "bag_sides",
    "barometer",
    "better_instrument",
    "bleed_hole",
    "boiling_temperature",
    "bubble_growth",
    "bubble_pressure",
    "card",
    "cores",
    "diagnose",
    "dials",
    "drop_test",
    "hold",
    "learn",
    "partial_pressures",
    "press_instead",
    "processes",
    "pumps",
    "questions",
    "read_bleed",
    "read_job",
    "read_log",
    "read_panels",
    "read_pressure",
    "reinforcements",
    "relief_valve",
    "resin",
    "resins",
    "schedule",
    "sources",
    "sweep",
    "telltale",
    "tools",
    "uncertainty",
    "vapour_pressure",
    "void_fraction",
    "volatile",
    "volatiles",
    "wall_chart",
    "weakest",
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
