"""What a shop's own panels teach: outgas.learn."""

from collections.abc import Mapping, Sequence
from os import PathLike
from typing import Any

import numpy as np

from outgas.errors import InputError, UnknownNameError
from outgas.job.job import Job
from outgas.job.learnt import Kind
from outgas.job.shop import Shop
from outgas.laminate.course import drawn_along
from outgas.names import on_one_line
from outgas.panels import words
from outgas.panels.charts import charts
from outgas.panels.experience import (
    PARTS,
    SHARED,
    Doubted,
    Experience,
    Group,
    Number,
    as_one,
    messages_for,
)
from outgas.panels.log import PanelLog, read_panels
from outgas.panels.made import DEEPEST_Pa, Made
from outgas.panels.next_panel import next_panels
from outgas.panels.numbers import (
    CLEAR,
    FAMILY,
    MILKY,
    MISFIT,
    NAMES,
    NUMBERS,
    SHOP,
    believed_before,
    misfit,
    thresholds,
    ways_of,
)
from outgas.panels.panel import Panel
from outgas.panels.told import made_of
from outgas.panels.weighing import Message, Weighed, weighed
from outgas.physics.chance import Band
from outgas.tables import catalogue
from outgas.window.reach import shallowest_of

CONTRADICTS = 0.5  # of a chance that its note is wrong, from which a panel is named
BELIEVED = 1.0 / 3.0  # of that chance, under which a good panel may open a bag
ENDS = (0.025, 0.5, 0.975)  # of what is told of a number: its 95 % interval and its middle
Told = tuple[Panel, Job, Made]


def learn(
    panels: "PanelLog | str | PathLike[str] | Sequence[Panel | Mapping[str, Any]]",
    shop: Shop | None = None,
    *,
    across: Sequence[str] = (),
) -> Experience:
    """Return what a shop's own panels teach of its gas, for advise, schedule, diagnose and sweep.

    Parameters
    ----------
    panels
        A log of outgas.read_panels, its path, or panels as dicts by the keys of a log.
    shop
        Where those panels were made that say no temperature, humidity or air pressure themselves.
    across
        What is to be taken as one although it is not: 'family', 'process' or 'cloth'. Nothing is,
        if not asked for: panels teach all of the gas only of their own resin family, process and
        cloth.

    Returns
    -------
    An Experience: before and after of each number, how many panels it is worth, which panel
    contradicts the rest, which to make next; str(), to_dict(), charts().

    Raises
    ------
    InputError
        A log with nothing to learn from, a mistake in a dict: one line each.
    RefusedError
        Where too little of what was believed before fits the panels.

    Notes
    -----
    Bayes' rule over draws of all numbers at once, each panel i a factor:

        weight = before x product over i of ((1 - m) P(seen_i | draw) + m P(seen_i | a wrong note))

    before is the belief of the tables (a bell to either side of each nominal, its ends 95 %). How
    likely a look or a void content is comes of the gas balance of outgas.advise and of optical
    depth 3 f h / (2 R), with what panels, eyes and dials differ by; that and the share m of wrong
    notes are estimates (data/panels.toml). Importance sampling over Sobol's points, with more draws
    where too few carry the weight.

    What is shared: of all panels of a shop the eye, the dial, the pot and the air stirred in; of a
    resin family how much air it dissolves and how fast that moves, its gel and its vapours; all
    else only of one family, process and cloth. A limit is deeper than by the tables only as far as
    a panel of the same kind came out well: draws alone never open a bag deeper.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> resin = "orthophthalic-polyester"
    >>> rows = [{"resin": resin, "cure": f"{p} mbar", "debulk": "90 mbar", "look": "clear"}
    ...         for p in (600, 500, 450, 420)]
    >>> known = outgas.learn(rows, shop)
    >>> known.panels, len(known.groups[0].good)
    (4, 4)
    >>> by_table = outgas.advise(resin, shop)
    >>> by_panels = outgas.advise(resin, shop, experience=known)
    >>> by_panels.deepest < by_table.deepest
    True
    """
    parts, log = _parts(across), _log_of(panels)
    told, faults = made_of(log.panels, shop)
    every = [*log.faults, *faults]
    if not told:
        first = f": {every[0]}" if every else ""
        raise InputError(f"no panel can be learnt from{first}")
    kinds: dict[Kind, list[Told]] = {}
    for one in told:
        kinds.setdefault(as_one(one[2].kind, parts), []).append(one)
    alone = {kind: weighed([made for *_, made in some]) for kind, some in kinds.items()}
    taught = [(kind, drawn.taught(SHARED)) for kind, drawn in alone.items()]
    groups = tuple(
        _group(kind, some, alone[kind], taught, len(told)) for kind, some in sorted(kinds.items())
    )
    return Experience(
        path=log.path,
        barometer_Pa=told[-1][1].shop.barometer_Pa,
        groups=groups,
        faults=tuple(str(fault) for fault in sorted(every, key=lambda fault: fault.line)),
        across=parts,
        assumed=words.assumed(),
        cautioned=words.cautions(groups),
        words=words.told,
        pictures=charts,
    )


def _parts(across: object) -> tuple[str, ...]:
    """Return what panels are taken as one across: a name, or some."""
    found = (across,) if isinstance(across, str) else across
    if not isinstance(found, (tuple, list)):
        raise InputError(
            f"across is {on_one_line(str(across))[:40]!r}; give some of {', '.join(PARTS)}"
        )
    for part in found:
        if not isinstance(part, str) or part not in PARTS:
            raise UnknownNameError("part to take as one", str(part), PARTS)
    return tuple(found)


def _log_of(panels: Any) -> PanelLog:
    if isinstance(panels, PanelLog):
        return panels
    if isinstance(panels, str | PathLike):
        return read_panels(panels)
    if isinstance(panels, Sequence):
        return PanelLog.of(panels)
    raise InputError(f"panels is {str(panels)[:40]!r}; give a log's path, or a list of panels")


def _group(
    kind: Kind, told: list[Told], alone: Weighed, taught: list[tuple[Kind, Message]], all_: int
) -> Group:
    """Return what panels of one kind taught, with what others say of what they share."""
    panels = [made for *_, made in told]
    messages = messages_for(kind, taught)
    drawn = weighed(panels, messages) if messages else alone
    made = _usual(told)
    good = tuple(
        one.good
        for one, wrong in zip(panels, drawn.mistaken, strict=True)
        if one.good is not None and _is_good(one) and wrong < BELIEVED
    )
    weakest = shallowest_of(told[-1][1])
    deepest = min(float(made.pressures.min()), 0.5 * weakest)
    return Group(
        kind=kind,
        panels=len(told),
        beside=all_ - len(told),
        drawn=drawn,
        alone=dict(taught)[kind],
        cups=sum(one.seen.gel_s is not None for one in panels),
        good=good,
        worth=alone.gained,
        numbers=_numbers(made, drawn),
        doubted=_doubted(told, drawn.mistaken),
        next_panels=tuple(next_panels(made, drawn.resampled(), max(deepest, DEEPEST_Pa), weakest)),
    )


def _usual(told: list[Told]) -> Made:
    """Return the panel that stands for the others: the last that had a bag."""
    bagged = [made for *_, made in told if made.good is not None]
    return (bagged or [made for *_, made in told])[-1]


def _is_good(made: Made) -> bool:
    """Return whether a panel came out clear, or with no more voids than are aimed for."""
    seen = made.seen
    if seen.void is not None:
        value, error = seen.void
        return value + error <= catalogue.gas().look.structural.si
    return seen.look == "clear"


def _doubted(told: list[Told], mistaken: Sequence[float]) -> tuple[Doubted, ...]:
    found = [
        Doubted(panel.name, panel.line, words.said(panel), chance)
        for (panel, *_), chance in zip(told, mistaken, strict=True)
        if chance >= CONTRADICTS
    ]
    return tuple(sorted(found, key=lambda one: -one.chance))


def _numbers(made: Made, drawn: Weighed) -> tuple[Number, ...]:
    """Return each number before and after, as it is for the panel that stands for the others."""
    ways = ways_of(drawn.z)
    before = believed_before(made.bands)
    clear, milky = thresholds(ways)
    own = {CLEAR: clear, MILKY: milky, MISFIT: misfit(ways)}
    found = []
    for name in NUMBERS:
        if name not in before or before[name].low >= before[name].high:
            continue
        values = own[name] if name in own else drawn_along(name, before[name], ways[name])
        low, middle, high = (float(x) for x in drawn.quantiles(np.asarray(values), ENDS))
        shared = "shop" if name in SHOP else "family" if name in FAMILY else "own"
        found.append(
            Number(
                name, NAMES[name], words.UNITS[name], before[name], Band(middle, low, high), shared
            )
        )
    return tuple(found)
