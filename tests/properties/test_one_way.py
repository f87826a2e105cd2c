"""Calls go one way: no file of a lower room calls into a higher one, imported or handed down.

The linter sees what is imported; here each call of an answer is followed as it is made. What wraps
a function (to take a job, to remember, to gather mistakes) calls it in its caller's name.
"""

import sys
import tomllib
import types
from collections.abc import Callable
from pathlib import Path

import pytest

import outgas

ROOT = Path(outgas.__file__).parent
SHOP = {"temperature": "25.3 degC", "humidity": "57 %", "altitude": "33 m"}
LAYUP = {"plies": ["4 x 300 g/m2 woven glass"], "area": "0.5 m2", "core": "15 mm PVC foam"}
MOST = 6  # of one answer
UP = "orthophthalic-polyester"


WRAPPERS = {("job/asking.py", "called"), ("tables/data.py", "found"), ("errors.py", "__call__")}
HANDED_DOWN = {  # what a lower room is handed to call, and why it is
    ("physics/gelling.py", "laminate/warming.py"): "what pushes at a temperature",
}


def floors() -> dict[str, int]:
    """Which floor each room is on, from the ground up, as the linter is told."""
    pyproject = Path(__file__).parents[2] / "pyproject.toml"
    contracts = tomllib.loads(pyproject.read_text("utf-8"))["tool"]["importlinter"]["contracts"]
    (layers,) = (c["layers"] for c in contracts if c["type"] == "layers")
    return {
        room.strip().removeprefix("outgas."): floor
        for floor, rooms in enumerate(reversed(layers))
        for room in rooms.split("|")
    }


def calls_of(answer: Callable[[], object]) -> set[tuple[str, str]]:
    """Every call from one file of the package into another: from, to."""
    found, root = set(), str(ROOT)

    def seen(frame: object, event: str, _: object) -> None:
        if event != "call" or not frame.f_code.co_filename.startswith(root):
            return
        caller = frame.f_back
        while caller is not None and (
            not caller.f_code.co_filename.startswith(root) or wraps(caller.f_code)
        ):
            caller = caller.f_back
        if caller is not None and caller.f_code.co_filename != frame.f_code.co_filename:
            found.add((caller.f_code.co_filename, frame.f_code.co_filename))

    before = sys.getprofile()
    sys.setprofile(seen)
    try:
        answer()
    finally:
        sys.setprofile(before)
    return {tuple(str(Path(f).relative_to(ROOT)) for f in both) for both in found}


def wraps(code: types.CodeType) -> bool:
    """Whether a function is one that wraps others."""
    return (str(Path(code.co_filename).relative_to(ROOT)), code.co_name) in WRAPPERS


def room_of(file: str) -> str:
    """The room a file stands in; its own name where it stands in the hall."""
    return Path(file).parts[0].removesuffix(".py")


ANSWERS = {
    "advise": lambda shop, layup: outgas.advise(UP, shop, layup=layup),
    "schedule": lambda shop, layup: outgas.schedule(UP, shop, layup=layup),
    "infusion": lambda shop, layup: outgas.schedule(
        "epoxy-infusion", shop, layup=layup, process="infusion"
    ),
    "diagnose": lambda shop, layup: outgas.diagnose(UP, shop, layup=layup),
    "hold": lambda shop, layup: outgas.hold(
        "500 mbar", "5 m3/h two-stage pump", shop.barometer, deepest="400 mbar"
    ),
}


@pytest.mark.filterwarnings("ignore::outgas.OutgasWarning")
@pytest.mark.parametrize("name", sorted(ANSWERS))
def test_no_room_calls_into_one_above_it(name):
    shop, layup = outgas.Shop(**SHOP), outgas.Layup(**LAYUP)
    floor = floors()
    calls = calls_of(lambda: ANSWERS[name](shop, layup))
    assert len(calls) > 20
    up = {
        (a, b) for a, b in calls
        if room_of(a) in floor and room_of(b) in floor and floor[room_of(b)] > floor[room_of(a)]
    }  # fmt: skip
    assert up <= set(HANDED_DOWN)
    assert len(up) <= MOST


def test_a_call_that_goes_up_would_be_seen(monkeypatch):
    from outgas.physics import saturation
    from outgas.window import reach

    usual = saturation.pressure

    def climbs(*args, **more):
        reach.shallowest_of(window_job)
        return usual(*args, **more)

    climbs.__code__ = climbs.__code__.replace(co_filename=saturation.__file__)
    window_job = outgas.advise(UP, outgas.Shop(**SHOP)).behind.window.job
    monkeypatch.setattr(saturation, "pressure", climbs)
    calls = calls_of(lambda: saturation.pressure(outgas.volatile("water").curve, 300.0))
    assert (str(Path("physics/saturation.py")), str(Path("window/reach.py"))) in calls
