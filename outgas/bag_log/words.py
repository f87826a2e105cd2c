"""A log told: the verdict, when it was too deep, what was wrong with the log, what to beware of."""

from collections.abc import Iterator

from outgas.bag_log.log import BagLog, Below
from outgas.show.amounts import clock, duration, mbar_up, voids_of
from outgas.show.report import At, Block, Line, Report, lines

SECONDS_BELOW_s = 120.0
TOLD = 6  # times below the limit that are told one by one


def told(log: BagLog) -> Report:
    """Return the log told."""
    return Report(
        log.barometer_Pa,
        tuple(_first(log)),
        (
            Block("Too deep", tuple(_each(log))),
            Block("The log", lines((*log.taken, *log.faults))),
            Block("Assumed", log.assumed),
            Block("Cautions", log.cautioned),
        ),
    )


def span(seconds: float) -> str:
    """Return how long, short times in seconds."""
    return duration(seconds, seconds_below=SECONDS_BELOW_s, whole=True)


def _first(log: BagLog) -> Iterator[Line]:
    yield _verdict(log)
    if log.voids is not None:
        boiled = ": it boiled" if log.boiled else ""
        target = f"{100 * log.void_target:g}%"
        yield Line(f"Expect {voids_of(log.voids)}, {target} aimed for{boiled}.")
    if not log.over:
        yield Line(
            f"Not over: the log ends {clock(log.ends_s)} after mixing, the gel holds a bubble at "
            f"{clock(log.holds_s)}; hold on until then."
        )


def _verdict(log: BagLog) -> Line:
    if log.state == "too deep":
        worst = max(log.below, key=lambda one: one.under_Pa)
        text = (
            f"Too deep for {span(log.below_s)} in all, first {clock(log.below[0].start_s)} after "
            f"mixing: down to {{}}, as much as {mbar_up(worst.under_Pa)} mbar under what the resin "
            "stood."
        )
        return Line(text, (At(worst.deepest_Pa),))
    if log.state == "cannot tell":
        return Line(
            f"Cannot tell: for {span(log.unknown_s)} up to {clock(log.ends_s)} after mixing there "
            "is no reading, and what is not known counts as deeper."
        )
    if log.state == "gas":
        return Line("Never below the limit, but the gas may be over its target: see the voids.")
    if log.state == "too weak":
        at = At(log.shallowest_Pa, weaker=False)
        return Line(
            f"Never too deep, but too weak to clamp for {span(log.weak_s)}: it wants {{}} or "
            "deeper.",
            (at,),
        )
    said = "So far never" if log.state == "not over" else "Safe: never"
    margin = 0.0 if log.least_margin_Pa is None else log.least_margin_Pa
    return Line(f"{said} closer to the limit than {int(margin / 100.0)} mbar.")


def _each(log: BagLog) -> Iterator[Line]:
    """Yield the times below the limit, in their order; of many the worst."""
    worst = sorted(log.below, key=lambda one: -one.under_Pa)[:TOLD]
    for one in sorted(worst, key=lambda one: one.start_s):
        yield _below(one)
    if len(log.below) > TOLD:
        yield Line(f"and {len(log.below) - TOLD} times more, less deep")


def _below(one: Below) -> Line:
    when = "while the resin was thin" if one.thin else "in the cure"
    text = (
        f"{clock(one.start_s)} to {clock(one.end_s)} after mixing, {when}: down to {{}}, "
        f"{mbar_up(one.under_Pa)} mbar under the limit at the deep end of the sensor's error"
    )
    return Line(text, (At(one.deepest_Pa, plain=True),))
