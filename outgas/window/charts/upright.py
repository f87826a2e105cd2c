"""The window as an upright dial: deep at the bottom, the air at the top."""

from outgas.show.chart import Chart
from outgas.show.shapes import Area, Curve, Note, Scale
from outgas.window.advice import Advice
from outgas.window.charts.zones import MBAR_Pa, Zones, bag_scale, said

BAR = 0.34  # of the chart's width: the dial itself; the rest is for words
CAPTION = (
    "Bounds are the safe side (95 %); those of the cure count on the debulk where there is one. "
    "Read the cautions of the advice before you pull."
)


def upright(advice: Advice, dial: str) -> Chart:
    """Return the window as a dial that stands upright."""
    zones, here = Zones.of_advice(advice), advice.barometer_Pa
    areas = tuple(
        Area(role, words, (0.0, BAR), (low, low), (high, high))
        for role, words, low, high in zones.edges()
        if high > low
    )
    return Chart(
        name="window",
        title=f"Where to hold the {_what(advice)}: {advice.resin_title}",
        x=Scale("", "", 0.0, 1.0),
        y=bag_scale(here, dial, _what(advice)),
        areas=areas,
        curves=() if zones.hold is None else (_across(zones.hold),),
        notes=tuple(_notes(advice, zones, dial)),
        caption=CAPTION if zones.hold is not None else f"No safe window. {CAPTION}",
        shape="tall",
    )


def _what(advice: Advice) -> str:
    return "pot" if advice.facts.pot else "bag"


def _across(p: float) -> Curve:
    return Curve("set", "hold", (0.0, BAR), (p / MBAR_Pa, p / MBAR_Pa))


def _notes(advice: Advice, zones: Zones, dial: str) -> list[Note]:
    """Return the words beside the dial: where to hold, and the bounds."""
    here, found = zones.here, []

    def note(text: str, p: float, *, weaker: bool = True, strong: bool = False) -> None:
        words = f"{text}\n{said(p, here, dial, weaker=weaker)}"
        found.append(Note(words, BAR, min(p, here) / MBAR_Pa, tied=True, strong=strong))

    if zones.hold is not None:
        if advice.facts.preimpregnated:
            found.append(Note("hold\nfull vacuum", BAR, 0.0, tied=True, strong=True))
        else:
            note("hold", zones.hold, strong=True)
        if 0.0 < zones.deepest < here:
            note("never deeper", zones.deepest)
        note("never weaker", zones.shallowest, weaker=False)
    else:
        note("the resin: this or weaker", zones.deepest)
        note("the clamp: this or deeper", zones.shallowest, weaker=False)
    if zones.early < zones.deepest and advice.debulk_Pa is not None:
        note(zones.what, advice.debulk_hold_Pa)
        note(f"{zones.what} never deeper", advice.debulk_limit_Pa)
    return found
