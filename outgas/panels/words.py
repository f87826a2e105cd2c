"""What panels taught, told: before and after, what contradicts, what to make next."""

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from outgas.laminate.batch import GEL
from outgas.laminate.course import VAPOUR
from outgas.panels.experience import Experience, Group, Number
from outgas.panels.numbers import (
    CLEAR,
    DIAL,
    INITIATOR,
    MILKY,
    MISFIT,
    NUMBERS,
    POT,
)
from outgas.panels.panel import Panel
from outgas.show.amounts import chance, two_figures
from outgas.show.caution import Caution, Harm
from outgas.show.report import At, Block, Line, Report, Short, joined, lines
from outgas.window.cautions import SHEET

if TYPE_CHECKING:
    from outgas.physics.chance import Band

TOLD = 0.9  # of its range left, under which a number was narrowed enough for a line
SHORT = 3  # numbers in the short answer
# In which unit each number is told, by how much its SI value is multiplied.
_SHARE, _MM = ("%", 100.0), ("mm", 1e3)
TOLD_IN = {
    **dict.fromkeys(NUMBERS, ("", 1.0)),
    **dict.fromkeys(("trapped", "connected", "boiling_extra", "entrained"), _SHARE),
    **dict.fromkeys(("spacing_m", "entrained_radius_m"), _MM),
    "diffusivity_m2_s": ("um2/s", 1e12),
    POT: ("mbar", 0.01),
}
UNITS = {
    **dict.fromkeys(NUMBERS, "1"),
    **dict.fromkeys(("spacing_m", "entrained_radius_m"), "m"),
    "diffusivity_m2_s": "m2/s",
    POT: "Pa",
}
NOT_TOLD = (DIAL, GEL, INITIATOR, VAPOUR)  # of no panel that stands for the others
LOOKED = (CLEAR, MILKY, MISFIT)


def assumed() -> tuple[Line, ...]:
    """Return what is taken for granted of any log."""
    return lines(
        (
            "before any panel each number is as the tables have it (mostly estimates)",
            "how panels made alike differ, how eyes differ, and how often a note is wrong are "
            "estimates (data/panels.toml)",
            "where it was milky and what a resin bled are kept, and nothing is reckoned from them",
        )
    )


def cautions(groups: Sequence[Group]) -> tuple[Line, ...]:
    """Return what to beware of in what panels taught."""
    some = [
        Caution(
            "panels speak for their own resin family, process and cloth, made as they were: "
            "another batch, a warmer day or a thicker laminate is another case",
            Harm.SPOILS,
            "true of panels made alike; another batch is another case",
        ),
        Caution(
            "a test panel is a piece to throw away: never try a deeper bag on the job itself",
            Harm.SPOILS,
            "try a deeper bag on scrap, never on the job",
        ),
    ]
    if any(group.doubted for group in groups):
        some.append(
            Caution(
                "look again at the panels that contradict the rest: they count for less, but they "
                "may be the ones that are right",
                Harm.SPOILS,
                "look again at panels that contradict the rest",
            )
        )
    return lines([*some, SHEET])


def said(panel: Panel) -> str:
    """Return what a panel said, in a few words."""
    own = panel.own
    parts = [f"cure {own['cure']}"] if "cure" in own else []
    parts += [own["look"]] if "look" in own else []
    parts += [f"{own['voids']} voids"] if "voids" in own else []
    parts += [f"{own['air_left']} of air left"] if "air_left" in own else []
    parts += [f"gel {own['cup_gel']}"] if "cup_gel" in own else []
    return ", ".join(parts)


def told(found: Experience) -> Report:
    """Return what was learnt, told."""
    first = tuple(_first(found))
    blocks = [block for group in found.groups for block in _blocks(found, group)]
    if found.faults:
        blocks.append(Block("Left out", lines(found.faults)))
    blocks += [Block("Assumed", found.assumed), Block("Cautions", found.cautioned)]
    more = tuple(
        line for group in found.groups for line in [*_narrowed(group, SHORT), *_next(group)]
    )
    contradict = tuple(line for group in found.groups for line in _doubted(group))
    return Report(
        found.barometer_Pa, first, tuple(blocks), short=Short((*first, *contradict), more)
    )


def next_told(found: Experience) -> Report:
    """Return which panel to make next, told: the candidates, the most telling first."""
    first = tuple(line for group in found.groups for line in _next(group))
    blocks = tuple(
        Block(
            f"Candidates ({group.kind})",
            tuple(
                Line(
                    f"{{}}: {chance(panel.looks[0])} clear, {chance(panel.looks[1])} hazy, "
                    f"{chance(panel.looks[2])} milky; halves it {two_figures(panel.bits)} times",
                    (At(panel.pressure_Pa, plain=True),),
                )
                for panel in group.next_panels
            ),
        )
        for group in found.groups
    )
    cautioned = Block("Cautions", found.cautioned)
    return Report(found.barometer_Pa, first, (*blocks, cautioned), short=Short(first))


def _first(found: Experience) -> Iterator[Line]:
    left = f"; {len(found.faults)} left out" if found.faults else ""
    yield Line(f"{_count(found.panels)} learnt from{left}.")
    for group in found.groups:
        yield Line(
            f"{_capital(str(group.kind))}: {_count(group.panels)}, which halve what is possible "
            f"{two_figures(group.worth)} times."
        )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _count(panels: int) -> str:
    return f"{panels} panel{'' if panels == 1 else 's'}"


def _blocks(found: Experience, group: Group) -> Iterator[Block]:
    of = f" ({group.kind})" if len(found.groups) > 1 else ""
    yield Block(f"Before and after{of}", tuple(_narrowed(group, len(group.numbers))))
    doubted = tuple(_doubted(group))
    if doubted:
        yield Block(f"Contradicts the rest{of}", doubted)
    yield Block(f"Which panel next{of}", tuple(_next(group)), part="do")
    shared = (
        f", with {group.beside} more of other kinds for what the shop shares"
        if group.beside
        else ""
    )
    yield Block(
        f"What it rests on{of}",
        lines(
            (
                f"{_count(group.panels)} of {group.kind}{shared}; "
                f"{group.drawn.effective:.0f} draws carry the weight",
                f"{len(group.good)} came out well: deeper than these were, a bag is advised only "
                "where the tables allow it without any panel",
            )
        ),
    )


def _narrowed(group: Group, most: int) -> Iterator[Line]:
    """Yield the numbers that were narrowed, the most first."""
    ranked = sorted(group.numbers, key=lambda number: number.narrowed)
    some = [n for n in ranked if n.name not in NOT_TOLD and n.narrowed < TOLD][:most]
    if not some:
        yield Line("no number was narrowed by a tenth: these panels say little")
    for number in some:
        yield Line(
            f"{number.title}: {_range(number, number.before)} before, now "
            f"{_range(number, number.after)}"
        )


def _range(number: Number, band: "Band") -> str:
    unit, times = TOLD_IN[number.name]
    middle, low, high = (two_figures(times * x) for x in (band.nominal, band.low, band.high))
    return f"{middle} ({low} to {high}){' ' + unit if unit else ''}"


def _doubted(group: Group) -> Iterator[Line]:
    for one in group.doubted:
        yield Line(
            f"{one.name} ({one.said}) contradicts the rest: {chance(one.chance)} that its note, "
            "its dial or its batch is wrong."
        )


def _next(group: Group) -> Iterator[Line]:
    if not group.next_panels:
        return
    best = group.next_panels[0]
    clear, hazy, milky = best.looks
    yield joined(
        [
            Line("make the next test panel at {}", (At(best.pressure_Pa),)),
            Line(
                f": {chance(clear)} clear, {chance(hazy)} hazy, {chance(milky)} milky; that look "
                f"halves what is possible {two_figures(best.bits)} times"
            ),
        ]
    )
