"""Calls that nobody should make: a sound call of each public function, with arguments gone wrong.

    python tests/abuse/calls.py 50000

makes that many and names each that ends in anything but an answer or one line of refusal; the gate
makes fewer of the same.
"""

import inspect
import sys
import warnings
from typing import Any

import numpy as np
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import OutgasError, OutgasWarning

UP = "orthophthalic-polyester"
NAN, NOTHING = float("nan"), np.array([])


def quantity(value: Any, unit: str) -> Any:
    return outgas.Quantity(value, unit)


def shop() -> outgas.Shop:
    return outgas.Shop(temperature="26 degC", humidity="60 %")


def layup() -> outgas.Layup:
    return outgas.Layup(plies=["2 x 400 g/m2 woven glass"], area="0.5 m2")


def rig() -> outgas.Rig:
    return outgas.Rig(pump_displacement="5 m3/h", bag_volume="10 l")


# What each function is called with when all is well.
PANEL = dict(resin=UP, debulk="90 mbar", cure="500 mbar", look="clear")
SOUND: dict[str, dict[str, Any]] = {
    "Shop": dict(temperature="26 degC", humidity="60 %"),
    "Layup": dict(plies=["2 x 400 g/m2 woven glass"]),
    "Rig": dict(pump_displacement="5 m3/h"),
    "advise": dict(resin=UP, shop=shop()),
    "schedule": dict(resin=UP, shop=shop(), layup=layup()),
    "diagnose": dict(resin=UP, shop=shop()),
    "hold": dict(setpoint="500 mbar", rig=rig(), barometer="1013 mbar"),
    "drop_test": dict(rise="5 mbar", time="5 min", rig=rig()),
    "bleed_hole": dict(setpoint="500 mbar", rig=rig()),
    "relief_valve": dict(setpoint="500 mbar", bore="6 mm", barometer="1013 mbar"),
    "read_bleed": dict(resin=UP, layup=layup(), spot="4 mm", pitch="20 mm"),
    "press_instead": dict(advice=outgas.advise(UP, shop()), layup=layup()),
    "barometer": dict(altitude="100 m"),
    "dials": dict(pressure="500 mbar", barometer="1013 mbar"),
    "read_pressure": dict(value="500 mbar", barometer="1013 mbar"),
    "resin": dict(name=UP),
    "volatile": dict(name="water"),
    "read_job": dict(path="nowhere.toml"),
    "read_panels": dict(path="nowhere.csv"),
    "learn": dict(panels=[PANEL], shop=shop()),
    "vapour_pressure": dict(volatile="water", temperature="26 degC"),
    "boiling_temperature": dict(volatile="water", pressure="60 mbar"),
    "partial_pressures": dict(resin=UP, temperature="26 degC"),
    "bubble_pressure": dict(resin=UP, temperature="26 degC"),
    "void_fraction": dict(resin=UP, temperature="26 degC", pressure="500 mbar"),
    "bubble_growth": dict(
        resin=UP, radius="50 um", time="1 min", temperature="26 degC", pressure="500 mbar"
    ),
}

HOSTILE: list[Any] = [
    *(5, 5.5, -1, True, None, NAN, float("inf"), 1e308, 1e-320, 1j, np.float64(3)),
    *("", "0", "60", "nan mbar", "1e308 mbar", "1e400 mbar", "-5 mbar", "1e-320 mbar", "0 mbar"),
    *("1e300 s", "1e308 K", "60 %", "101 %", "\0", "\ud800", "\n\n60 mbar", "x" * 100_000, b"x"),
    *("26 degC", "/dev/zero", "/dev/null.toml", "60 mbar absolute", "nan", "1,5 mm", "1 mm mm"),
    *([], {}, (), set(), ["5", 5], [None], {"a": 5}, {5: "a"}, range(5), object(), type, ...),
    *(NOTHING, np.array([1.0, 2.0]), np.array([0.1, 0.2, 0.3]), np.array([1j]), np.array(["a"])),
    *(quantity(v, u) for v in (5.0, NAN, 1e308, 1j, 0.0, -1.0) for u in ("m", "Pa", "K", "s")),
    *(quantity(NOTHING, u) for u in ("Pa", "K", "", "m", "s")),
    *(quantity(np.array([290.0, 300.0]), u) for u in ("K", "Pa", "s")),
    *(quantity(np.array([290.0, 300.0, 310.0]), u) for u in ("K", "Pa", "s")),
    *(quantity(np.array([290.0, 1j]), u) for u in ("K", "Pa")),
    *(quantity(1e308, "bar"), quantity(np.array([None, 300.0], dtype=object), "K")),
    *(shop(), layup(), rig(), outgas.resin(UP), outgas.volatile("water")),
]


def arguments_of(function: str) -> list[str]:
    """The arguments of a function, but those that take any further ones."""
    parameters = inspect.signature(getattr(outgas, function)).parameters.values()
    return [p.name for p in parameters if p.kind not in (p.VAR_KEYWORD, p.VAR_POSITIONAL)]


@st.composite
def calls(draw: Any) -> tuple[str, dict[str, Any]]:
    """A function and its arguments, one to three of them hostile."""
    function = draw(st.sampled_from(sorted(SOUND)))
    wrong = draw(st.lists(st.sampled_from(arguments_of(function)), min_size=1, max_size=3))
    hostile = {name: HOSTILE[draw(st.integers(0, len(HOSTILE) - 1))] for name in wrong}
    return function, {**SOUND[function], **hostile}


def fault_of(function: str, given: dict[str, Any]) -> str:
    """What a call ends in that is neither an answer nor one line of refusal; empty for neither."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        warnings.simplefilter("ignore", OutgasWarning)
        try:
            answer = getattr(outgas, function)(**given)
        except OutgasError as refused:
            lines = str(refused).count("\n")
            return "" if str(refused) and not lines else f"{lines} line breaks in {refused!s:.80}"
        except Exception as error:
            shown = {name: f"{value!r}"[:40] for name, value in given.items()}
            return f"{function}({shown}): {type(error).__name__}: {error!s:.100}"
    return "" if answer is not None else f"{function} gave nothing"


def main(count: int) -> int:
    """Make so many calls; name each that went wrong."""
    found: set[str] = set()

    @settings(
        max_examples=count, deadline=None, database=None, phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )  # fmt: skip
    @given(call=calls())
    def each(call: tuple[str, dict[str, Any]]) -> None:
        fault = fault_of(*call)
        if fault and fault not in found:
            found.add(fault)
            print(fault.encode("unicode_escape").decode(), flush=True)

    each()
    print(f"{count} calls, {len(found)} went wrong")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000))
