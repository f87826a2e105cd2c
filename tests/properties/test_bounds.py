"""Every pressure in every text that someone acts on is rounded to its safe side.

A bound is a place in a line (At), which holds its exact number; what is only observed is marked as
such (nearest, believed), and the words beside it must be those of an observation.
"""

import re
import warnings
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import outgas
from outgas.errors import OutgasError, OutgasWarning
from outgas.show.amounts import mbar_down, mbar_up
from outgas.show.dial import DIALS
from outgas.show.report import At, Line, bound

UP = "orthophthalic-polyester"
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
WRITTEN = re.compile(r"\d[\d.,]* mbar(?! l/s)")
# Said in words without a place: the weather, what is observed, what a resin was given, and what
# books say. None of it is a pressure to hold, or not to pass.
OBSERVED_WORDS = (
    r"^air pressure: [\d.]+ mbar",  # the barometer
    r"air in the resin: [\d.]+ mbar",
    r"\([\d.]+ to [\d.]+ mbar left; a pot's",
    r"Limited by .*: [\d.]+ mbar nominal",
    r"^a barometer [\d.]+ mbar lower",
    r"^a fifth less air in the resin \([\d.]+ mbar, known",
    r"it may lose \d+ mbar \(.* in print\)",  # rounded down, and a loss is no reading
    r"no more than [\d.]+ mbar in",
    r"- this pump's [\d.]+ mbar is weaker",  # among a press's cautions, which are on no dial
    r"left at the fill's [\d.]+ mbar",  # rounded up, and among them too
    r"it comes to [\d.]+ mbar and holds",
    r"its water pushes up to [\d.]+ mbar at .* against [\d.]+ mbar in the resin",
    r"^the air left in the resin \(\d+ mbar\)",
    r"a clamp of \d+ mbar moves",
    r"pushes \d+ mbar",
    r"it was at \d+ mbar",
)
# Places that are rounded to the nearest: where the bag was read to be, or the pump, or the pot.
OBSERVED_PLACES = (
    r"\{\} to \{\}",  # the interval of a reading
    r"left by a pot at \{\}",
    r"a pot at \{\} may have boiled",
    r"this pump's \{\}",
    r"you pull \{\}",
    r"its water pushes \{\}",
    r"at \{\} the resin frees",
    r"went quiet \(\{\}",
    r"\{\} is held for safety",
    r"Cured at \{\}: expect",
    r"sensor \(good to \{\}\)",
    r"kept over the vapour pressure: \d+% of it, \{\}",
    r"Both ends shut sooner, it comes to about \{\}",
)
NAMES = [name for name in outgas.resins() if not outgas.resin(name).reaction_gas]


def shown(at: At, barometer: float, dial: str | None) -> float:
    return float(NUMBER.search(at.on(barometer, dial)).group())


def check_at(at: At, barometer: float) -> None:
    """A bound's millibars, and its number on every dial, lie on the safe side of it."""
    in_mbar = float(NUMBER.search(at.in_mbar()).group()) * 100.0
    loose = 0.011  # Pa: what rounding takes for a whole mbar
    if at.weaker:
        assert in_mbar >= at.pressure_Pa - loose, at
    else:
        assert in_mbar <= at.pressure_Pa + loose, at
    if at.off_dial or not 0.0 <= at.pressure_Pa <= barometer:
        return
    for dial, (key, step, _, falls) in DIALS.items():
        exact = outgas.readings.dial_readings(at.pressure_Pa, barometer)[key]
        says = shown(at, barometer, dial)
        full = outgas.readings.dial_readings(0.0, barometer)[key]
        if abs(says - full) < 1.1 * step:
            continue  # a dial shows no more than all the air
        higher = says >= exact - 1e-6 if at.weaker == falls else says <= exact + 1e-6
        assert higher, (at, dial, says, exact)


def check(lines: Iterator[Line], barometer: float) -> int:
    bounds = 0
    for line in lines:
        left = str(line.text)
        for words in OBSERVED_WORDS:
            left = re.sub(words, "", left)
        assert not WRITTEN.search(left), f"a bound hides in words: {line.text}"
        spans = [m.span() for w in OBSERVED_PLACES for m in re.finditer(w, line.text)]
        starts = [m.start() for m in re.finditer(r"\{\}", line.text)]
        for at, start in zip(line.pressures, starts, strict=True):
            if hasattr(at, "up"):  # an amount, rounded to the side that it binds
                said = float(at.printed.replace(",", ""))
                assert said >= at.value - 1e-9 if at.up else said <= at.value + 1e-9, line.text
                bounds += 1
                continue
            if getattr(at, "nearest", False) or getattr(at, "believed", False):
                known = any(low <= start < high for low, high in spans)
                assert known or at.believed, f"rounded to the nearest: {line.text}"
                continue
            check_at(at, barometer)
            bounds += 1
    return bounds


def lines_of(answer) -> list[Line]:
    found = list(answer.report.every_line())
    for part in answer.report.page:
        rows = getattr(part, "rows", ())
        found += [line for row in rows for cell in row for line in cell]
    return found


shops = st.builds(
    outgas.Shop,
    temperature=st.floats(18.5, 35.0).map(lambda t: f"{t!r} degC"),
    humidity=st.floats(0.1, 0.9),
    barometer=st.floats(820.0, 1040.0).map(lambda p: f"{p!r} hPa"),
)
bags = st.one_of(st.none(), st.floats(2.0, 800.0).map(lambda p: f"{p!r} mbar"))
cores = st.sampled_from([None, "20 mm polyurethane foam", "15 mm PVC foam", "20 mm EPS"])


@settings(max_examples=40)
@given(
    name=st.sampled_from(NAMES),
    pick=st.integers(0, 5),
    shop=shops,
    bag=bags,
    core=cores,
    air=st.sampled_from([None, "27 mbar", "212.3 mbar"]),
    plies=st.sampled_from([(), ("3 x 300 g/m2 woven glass",)]),
    rig=st.sampled_from([{}, {"pump_ultimate": "123.4 mbar"}, {"pump": "venturi"}]),
    gas=st.sampled_from(
        [{}, {"finish": "clear"}, {"no_debulk": True}, {"trapped": "3.3 %", "connected": "71 %"}]
    ),
)
def test_every_bound_of_an_advice_and_its_press(name, pick, shop, bag, core, air, plies, rig, gas):
    processes = outgas.resin(name).processes
    process = processes[pick % len(processes)]
    layup = outgas.Layup(plies=list(plies), core=core, area="0.37 m2")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        try:
            got = outgas.advise(
                name,
                shop,
                process=process,
                layup=layup,
                bag_pressure=bag,
                air_pressure=air,
                rig=outgas.Rig(**rig),
                **gas,
            )
        except OutgasError:
            return  # refused: a monomer that dissolves the core, a resin colder than its sheet
        assert check(lines_of(got), got.barometer_Pa) > 3
        if process != "degassing":
            press = outgas.press_instead(got, layup, "333.3 mbar")
            assert check(lines_of(press), got.barometer_Pa) >= 4


@pytest.mark.parametrize("process", ["wet layup", "infusion", "pressing", "degassing"])
@pytest.mark.parametrize("temperature", ["21.3 degC", "27.7 degC"])
def test_every_bound_of_a_plan(process, temperature):
    layup = outgas.Layup(plies=["4 x 400 g/m2 woven glass"], area="0.5 m2")
    shop = outgas.Shop(temperature=temperature, humidity="53 %", altitude="312 m")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        plan = outgas.schedule(UP, shop, process=process, layup=layup)
    assert check(lines_of(plan), shop.barometer_Pa) > 0


@pytest.mark.parametrize("bag", ["28.5 inHg vacuum", "300 mbar", "very good bag", None])
@pytest.mark.parametrize(
    "more",
    [
        {},
        {"process": "infusion"},
        {"contaminants": {"acetone": "1 %"}},
        {"layup": outgas.Layup(core="20 mm polyurethane foam")},
    ],
)
def test_every_bound_of_a_diagnosis(bag, more):
    shop = outgas.Shop(temperature="24.6 degC", humidity="67 %", altitude="212 m")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", OutgasWarning)
        got = outgas.diagnose(UP, shop, bag_pressure=bag, **more)
    assert check(lines_of(got), shop.barometer_Pa) > 3
    weakest = [
        at
        for cause in got.causes
        for change in cause.change
        for at, said in zip(change.line.pressures, places(change.line), strict=True)
        if "is the weakest" in said or said.startswith(" or deeper")
    ]
    assert weakest
    for at in weakest:
        assert not at.weaker, "the weakest clamp is never printed weaker"


def places(line: Line) -> list[str]:
    """Return what stands right after each place."""
    return [part[:20] for part in line.text.split("{}")[1:]]


@given(p=st.floats(0.0, 3e5), barometer=st.floats(8e4, 1.06e5), weaker=st.booleans())
def test_a_bound_is_never_on_the_wrong_side_of_its_number(p, barometer, weaker):
    for off_dial in (True, False):
        check_at(bound(p, weaker=weaker, off_dial=off_dial), barometer)
    assert mbar_down(p) <= p / 100.0 + 1.1e-4
    assert mbar_up(p) >= p / 100.0 - 1.1e-4
    assert mbar_up(p) - mbar_down(p) <= 1


def test_the_bounds_that_were_printed_on_the_wrong_side_are_not():
    """The words that a builder acts on, each against the number it stands for."""
    shop = outgas.Shop(temperature="26 degC", humidity="60 %", altitude="20 m")
    for bag in ("5 mbar", "70 mbar", "300 mbar", "620 mbar", "655 mbar", "900 mbar"):
        got = outgas.advise(UP, shop, bag_pressure=bag)
        limit = got.verdict.line.pressures[-1]
        exact = {
            "boiling": got.bubble_pressure_Pa[1],
            "may boil": got.bubble_pressure_Pa[1],
            "inside margin": got.bubble_pressure_Pa[1],
            "too weak": got.shallowest_Pa,
        }.get(got.verdict.state, got.deepest_Pa)
        assert limit.pressure_Pa == exact
        assert limit.weaker == (got.verdict.state != "too weak")
        assert check(lines_of(got), got.barometer_Pa) > 3
        early, cure, weakest = re.findall(r"\((\d+) mbar\)", got.to_text(full=True).splitlines()[1])
        assert int(early) * 100.0 >= got.debulk_limit_Pa
        assert int(cure) * 100.0 >= got.deepest_Pa
        assert int(weakest) * 100.0 <= got.shallowest_Pa
