"""How each key of a saved job is understood, each read without the others."""

from collections.abc import Callable
from typing import Any

from outgas import readings, units
from outgas.constants import ZERO_CELSIUS_K
from outgas.errors import InputError
from outgas.job.degassed import read_degassed
from outgas.job.gauge import station_air
from outgas.job.job import (
    CONNECTED_RANGE,
    TRAPPED_RANGE,
    read_confidence,
    read_contaminants,
    read_dried,
    read_finish,
    read_hottest,
    read_reads_with,
    read_share,
    read_vapour_share,
)
from outgas.job.job_keys import Told, read_traces
from outgas.job.layup import Layup
from outgas.job.material_words import CORE_MARK
from outgas.job.process import process_of, read_process
from outgas.job.rig import Rig
from outgas.job.shop import Shop
from outgas.show import amounts
from outgas.show.answer import read_units
from outgas.show.dial import read_dial
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Consumable
from outgas.tables.practice import Process

_SOME_SHOP: dict[str, Any] = {"temperature": "20 degC", "humidity": 0.5}  # to read the rest beside
_FIGURES = 4


def _shop(key: str, field: str, say: Callable[[float], str]) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        return say(getattr(Shop(**{**_SOME_SHOP, key: value}), field))

    return read


def _celsius(kelvin: float) -> str:
    return f"{amounts.figures(kelvin - ZERO_CELSIUS_K, _FIGURES)} degC"


def _percent(share: float) -> str:
    return f"{amounts.figures(100.0 * share, _FIGURES)} %"


def _amount(name: str, unit: str, shown: str) -> Callable[[Any], str]:
    """Return a reader of an amount above zero, which tells it in a unit that people use."""

    def read(value: Any) -> str:
        got = units.quantity(units.positive(value, unit, name), unit)
        return f"{amounts.figures(got.m_as(shown), _FIGURES)} {shown}"

    return read


def _share(name: str) -> Callable[[Any], str]:
    return lambda value: _percent(units.one_fraction(value, name))


def _barometer(value: Any) -> str:
    station_air(None, value)
    return f"{_pressure(readings.read_absolute(value, 'barometer'))}, as told"


def _pressure(pascal: float) -> str:
    return f"{amounts.figures(pascal / 100.0, _FIGURES)} mbar"


def _ply(value: str) -> str:
    if value.strip().lower() == CORE_MARK:
        return "here lies the core"
    (ply,) = Layup(plies=[value]).plies
    mass = amounts.figures(ply.areal_mass * 1e3, _FIGURES)
    return f"{ply.count} x {mass} g/m2 {ply.fabric.title}"


def _core(value: str) -> str:
    layup = Layup(core=value)
    assert layup.core is not None
    holes = ", gas can leave through it" if layup.core_is_open else ""
    thick = amounts.figures(layup.core_thickness_m * 1e3, _FIGURES)
    return f"{thick} mm {layup.core.title}{holes}"


def _tool(value: str) -> str:
    layup = Layup(tool=value)
    assert layup.tool is not None
    return f"{amounts.figures(layup.tool_thickness_m * 1e3, _FIGURES)} mm {layup.tool.title}"


def _layer(value: str) -> str:
    (layer,) = Layup(bag_side=[value]).bag_side or ()
    return f"{layer.title}, {'passes' if layer.passes_gas else 'stops'} gas"


def _rig(value: str) -> str:
    known = Rig.from_words(value).known()
    return ", ".join(f"{_RIG_WORDS[name](known[name])}" for name in known)


_RIG_WORDS: dict[str, Callable[[Any], str]] = {
    "pump_displacement": lambda S: f"pumps {amounts.figures(S * 3600.0, _FIGURES)} m3/h",
    "pump_ultimate": lambda p: f"reaches {_pressure(p)}",
    "bag_volume": lambda V: f"bag of {amounts.millilitres(V)}",
    "leak": lambda q: f"leaks {amounts.leak(q)}",
    "hose": lambda words: words if "hose" in words else f"hose {words}",
    "bleed": str,
    "pump": lambda kind: f"{kind} pump",
    "bag_area": lambda A: f"bag of {amounts.figures(A, _FIGURES)} m2",
    "pot_volume": lambda V: f"pot of {amounts.millilitres(V)}",
}


def _on_rig(key: str) -> Callable[[Any], str]:
    return lambda value: _pressure(getattr(Rig(**{key: value}), key))


def _reads_with(value: str) -> str:
    kind, error = read_reads_with(value, Rig())
    return f"{kind}, within {_pressure(error)}" if kind == "sensor" else kind


def _hottest(value: Any) -> str:
    hot, high = read_hottest(value)
    assert hot is not None
    return _celsius(hot) if high is None else f"{_celsius(hot)} up to {_celsius(high)}"


def _degassed(value: str) -> str:
    pot = read_degassed(value, readings.PASCAL_PER["atm"])
    assert pot is not None
    worked = {True: ", worked", False: ", still", None: ""}[pot.worked]
    return f"{_pressure(pot.pressure_Pa)} for {amounts.duration(pot.seconds.nominal)}{worked}"


def _trace(value: str) -> str:
    ((volatile, share),) = read_contaminants(read_traces([value])) or ((None, 0.0),)
    return "none" if volatile is None else f"{_percent(share)} of {volatile.title}"


def _void(value: Any) -> str:
    return _percent(read_finish(None, value, process_of("wet layup"))[1])


def _gas(key: str, span: tuple[float, float]) -> Callable[[Any], str]:
    def read(value: Any) -> str:
        share = read_share(value, span, key)
        assert share is not None
        return _percent(share.nominal)

    return read


def _vapour_share(value: Any) -> str:
    share = read_vapour_share(value)
    assert share is not None
    return _percent(share)


def _confidence(value: Any) -> str:
    return _percent(read_confidence(value))


def _prepreg() -> Process:
    return next(p for p in catalogue.practice().process.values() if p.preimpregnated)


def _dried(value: Any) -> str:
    seconds = read_dried(value, _prepreg())
    assert seconds is not None
    return amounts.duration(seconds)


def _breather(value: str) -> str:
    return catalogue.by_words(Consumable, "breather", "consumables.toml", value).title


_READ: dict[str, Callable[[Any], str]] = {
    "resin": lambda name: as_resin(name).title,
    "process": lambda name: read_process(name).name,
    "initiator": _share("initiator"),
    "gel_time": _amount("gel time", "s", "min"),
    "temperature": _shop("temperature", "temperature_K", _celsius),
    "humidity": _shop("humidity", "humidity", _percent),
    "altitude": lambda height: station_air(height, None)[1].replace(": ", " ", 1),
    "barometer": _barometer,
    "tool_temperature": _shop("tool_temperature", "tool_temperature_K", _celsius),
    "sun": _shop("sun", "sun_W_m2", lambda q: f"{amounts.figures(q, _FIGURES)} W/m2"),
    "ply": _ply,
    "core": _core,
    "min_temperature": lambda T: _celsius(units.one(T, "K", "minimum temperature")),
    "moisture": _share("moisture"),
    "area": lambda A: f"{amounts.figures(Layup(area=A).area_m2 or 0.0, _FIGURES)} m2",
    "tool": _tool,
    "bag_side": _layer,
    "pitch": _amount("pitch", "m", "mm"),
    "breather": _breather,
    "resin_used": _amount("resin used", "kg", "kg"),
    "rig": _rig,
    "pump_ultimate": _on_rig("pump_ultimate"),
    "hold_error": _on_rig("hold_error"),
    "autoclave": _on_rig("autoclave"),
    "bore": _amount("bore", "m", "mm"),
    "clamp": _amount("clamp", "Pa", "mbar"),
    "dial": read_dial,
    "units": read_units,
    "reads_with": _reads_with,
    "hottest": _hottest,
    "degassed": _degassed,
    "air_pressure": lambda p: _pressure(readings.read_absolute(p, "air pressure")),
    "entrained": _share("entrained"),
    "water_activity": lambda a: f"{units.one_fraction(a, 'water activity'):.3g}",
    "contaminant": _trace,
    "void_target": _void,
    "finish": lambda look: read_finish(look, None, process_of("wet layup"))[0],
    "trapped": _gas("trapped", TRAPPED_RANGE),
    "connected": _gas("connected", CONNECTED_RANGE),
    "vapour_share": _vapour_share,
    "confidence": _confidence,
    "dried": _dried,
    "batch": _amount("batch", "kg", "kg"),
    "wet_out": _amount("wet-out", "s", "min"),
    "fill": _amount("fill", "s", "min"),
}


def understood(key: str, value: Told) -> str:
    """Return how a key's value is understood, in words; InputError where it cannot be.

    >>> understood("gel_time", "1200 s"), understood("humidity", "55 %")
    ('20 min', '55 %')
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    try:
        texts = [_READ[key](text) for text in (value if isinstance(value, tuple) else (value,))]
    except RecursionError:  # a number nested beyond all sense
        raise InputError(f"{key.replace('_', ' ')} cannot be read") from None
    return "; ".join(texts)
