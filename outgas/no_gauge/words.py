"""A belief, and what it means for a resin, in words: the answer first, pressures on any dial."""

from outgas.no_gauge.bag_advice import BagAdvice
from outgas.no_gauge.belief import Belief
from outgas.no_gauge.cautions import LOOKING
from outgas.no_gauge.held import Believed
from outgas.no_gauge.next_observation import Candidate
from outgas.no_gauge.telltale import STEP_BY_STEP
from outgas.show.amounts import chance
from outgas.show.report import At, Block, Line, Report, Short, joined, lines
from outgas.window.cautions import SHEET

UNSURE = 0.05  # chance of being too deep above which one does not stay there
SEVERAL = 3  # further observations named after the best
VERDICTS = {
    "boiling": "too deep, and it may be boiling",
    "inside margin": "too deep, inside the margin of boiling",
    "debulk only": "fit for the debulk only, too deep to cure",
    "safe": "safe to cure",
    "too weak": "too weak to clamp, as far as can be told",
    "cannot tell": "cannot tell",
}
PREPREG_VERDICTS = {**VERDICTS, "boiling": "does not matter yet"}


def belief_report(bag: Belief, air_said: str = "") -> Report:
    """Return a belief told; air_said is how the air pressure was got."""
    air = air_said or f"air pressure: {bag.barometer_Pa / 100:.1f} mbar"
    blocks = (
        _evidence(bag),
        Block("Assumed", lines([air, "all of it is about one and the same bag pressure"])),
        Block("Cautions", lines([*LOOKING, SHEET])),
    )
    where = believed(bag)
    seen = tuple(joined(["From: ", line, "."]) for line in blocks[0].lines)
    return Report(bag.barometer_Pa, where, blocks, fixed=True, short=Short(where, seen))


def believed(bag: Belief) -> tuple[Line, ...]:
    """Return where the bag is believed to be, or which observations fight."""
    places = (
        At(bag.pressure_at(0.5), weaker=False, believed=True),
        Believed(bag.pressure_at(0.05), weaker=False),
        Believed(bag.pressure_at(0.95)),
    )
    where = Line("near {}; 90 % sure to be between {} and {}", places)
    if bag.contradictions:
        worst = bag.contradictions[0]
        trust = "Find out which before you trust a number; with both counted the bag is "
        return (
            Line(f"These cannot both be right: '{worst.first}' and '{worst.second}'."),
            joined([trust, where, "."]),
        )
    if not bag.evidence:
        nothing = "Nothing is known yet, every factor of pressure alike: the bag is "
        return (joined([nothing, where, "."]),)
    return (joined(["The bag is ", where, "."]),)


def _evidence(bag: Belief) -> Block:
    fights = (f"contradiction: {c}" for c in bag.contradictions)
    return Block("From", lines([*(str(e) for e in bag.evidence), *fights]))


def bag_report(said: BagAdvice) -> Report:
    """Return what a belief means for a resin, told."""
    blocks = (
        Block("Believed", believed(said.bag)),
        _evidence(said.bag),
        *_how(said.next),
        _others(said),
        Block("Cautions", tuple(dict.fromkeys(lines([*LOOKING, *said.advice.cautioned])))),
    )
    answer = (*_verdict(said), Line(_step(said)))
    where = believed(said.bag)
    first, *chances = _verdict(said)
    few = Short((first, Line(_step(said)), *where), tuple(chances))
    return Report(said.advice.barometer_Pa, answer, blocks, fixed=True, short=few)


def next_report(said: BagAdvice) -> Report:
    """Return the next observation first, then what it would settle."""
    best = said.next
    first = "Nothing cheap would tell more about this bag."
    if best is not None:
        first = f"Look at {best.title}: about {best.minutes:.0f} minutes, {best.bits:.2f} bits."
    blocks = (
        *_how(best),
        Block("What each would tell", lines(str(c) for c in said.looks)),
        _evidence(said.bag),
        Block("Cautions", lines([*LOOKING, SHEET])),
    )
    verdict, *chances = _verdict(said)
    how = () if best is None else (Line(f"It needs {best.needs}."), Line(STEP_BY_STEP))
    answer = (Line(first), verdict, *chances)
    few = Short((Line(first), *how, verdict), tuple(chances))
    return Report(said.advice.barometer_Pa, answer, blocks, fixed=True, short=few)


def _verdict(said: BagAdvice) -> tuple[Line, Line]:
    """Return the verdict on the bag for a resin, in two lines."""
    advice = said.advice
    if advice.facts.preimpregnated:
        return _prepreg_verdict(said)
    chances = joined(
        [
            f"Chance that it boils {advice.resin_title}: {chance(said.boils)}; that it boils or "
            f"froths it: {chance(said.too_deep)}; that it is right: {chance(said.in_window)}; that "
            f"it is too weak: {chance(said.too_weak)}. That it is too deep even for the early "
            "debulk (",
            Line("{}", (At(advice.debulk_limit_Pa),)),
            f"): {chance(said.debulk_too_deep)}.",
        ]
    )
    return joined([f"Your bag: {VERDICTS[said.state]}; ", _window(said), "."]), chances


def _prepreg_verdict(said: BagAdvice) -> tuple[Line, Line]:
    advice = said.advice
    first = Line(
        f"Your bag: {PREPREG_VERDICTS[said.state]}; the cure wants full vacuum, never weaker than "
        "{}.",
        (At(advice.shallowest_Pa, weaker=False),),
    )
    return first, Line(
        f"Chance that it is deep enough: {chance(said.in_window)}; that it is too weak: "
        f"{chance(said.too_weak)}. The prepreg itself: {advice.verdict}."
    )


def _window(said: BagAdvice) -> Line:
    """Return between which pressures the cure wants the bag, or that none is safe."""
    advice = said.advice
    deepest = At(advice.deepest_Pa)
    if advice.setpoint_Pa is not None:
        weakest = At(advice.shallowest_Pa, weaker=False)
        return Line("the cure wants {} to {}", (deepest, weakest))
    if advice.deepest_Pa <= advice.barometer_Pa:
        return Line("no vacuum is safe to cure at as it stands: the limit is {}", (deepest,))
    return Line(
        "no vacuum at all is safe to cure at as it stands: the limit is {}, more than the air's",
        (deepest,),
    )


def _step(said: BagAdvice) -> str:
    """Return what to do now."""
    prepreg = said.advice.facts.preimpregnated
    if said.state == "boiling" and prepreg:
        return "Dry the prepreg or add pressure first: no bag pressure mends it."
    step, best = "Nothing cheap would tell more.", said.next
    if best is not None:
        step = f"Look next at {best.title} (about {best.minutes:.0f} minutes)."
    if said.state in ("boiling", "inside margin") and not prepreg:
        return f"Let air in at the pump first. {step}"
    in_doubt = said.too_deep > UNSURE or bool(said.bag.contradictions)
    if said.state == "cannot tell" and in_doubt and not prepreg:
        return f"Until that is known let air in at the pump: it may be too deep. {step}"
    if said.state == "debulk only":
        return f"Come up before the resin thickens. {step}"
    return step


def _how(look: Candidate | None) -> tuple[Block, ...]:
    """Return how one observation is made."""
    if look is None:
        return ()
    how = [f"needs {look.needs}", *look.recipe, f"how it misleads: {look.misleads}"]
    return (Block("How to look", lines(how), part="do"),)


def _others(said: BagAdvice) -> Block:
    """Return what else could be looked at, and how much each is expected to tell."""
    left = [c for c in said.looks if said.next is None or c.name != said.next.name]
    first = [] if said.next is None else [said.next]
    return Block("What each would tell", lines(str(c) for c in [*first, *left[:SEVERAL]]))
