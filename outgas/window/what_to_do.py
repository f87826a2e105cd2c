"""What to do with one's hands, in order, for a process; pressures follow a chosen dial."""

from outgas.show.amounts import minutes_up
from outgas.show.report import At, Line, lines
from outgas.window.advice import Advice


def what_to_do(advice: Advice) -> list[Line]:
    """Return what to do with one's hands, in order."""
    if not advice.has_window:
        return []
    hold = (At(advice.setpoint_Pa or advice.barometer_Pa),)
    least = minutes_up(advice.debulk_s)
    bagged = _straight_steps(hold, least)
    if advice.deeper_first:
        bagged = _steps_of_a_bag(hold, (At(advice.debulk_hold_Pa),), least)
    steps = {**bagged, **_other_steps(hold)}
    return list(lines(steps[advice.facts.told_like]))


_SEAL = "test the seal for leaks before any resin is mixed"
_DRY_BAG = "drop-test the dry bag; it must hold before any resin is mixed"
_READ_THE_BLEED = (
    "read the bleed while pulling: even spots of 5 to 10 mm on the breather are good (common "
    "practice, no source); when spots merge, back off"
)
_FILL = (
    "degas the resin if you can, then fill at {}: the resin, not the dial, is what must not boil"
)
_INLET_SHUT = (
    "shut the inlet, leave the vent open {} or more, until its line runs clear: both ends shut "
    "before that keep the gas in"
)


def _steps_of_a_bag(hold: tuple[At], deep: tuple[At], least: str) -> dict[str, list[Line | str]]:
    """Return what to do with a bag that is debulked deep, then held, by process."""
    return {
        "wet layup": [
            _SEAL,
            Line(
                f"pull to {{}} at once, while the resin is thin, and wait {least} or more, until "
                "no bubbles run",
                deep,
            ),
            _READ_THE_BLEED,
            Line(
                "come back up to {} before the resin thickens and hold it there past the gel; "
                "never deeper again",
                hold,
            ),
        ],
        "infusion": [
            _DRY_BAG,
            Line(_FILL, deep),
            _INLET_SHUT.format(least),
            Line(
                "let the vent up to {} while the resin is still thin, and hold it there past the "
                "gel",
                hold,
            ),
        ],
        "core bonding": [
            Line(
                f"pull to {{}} while the resin is thin, for {least} or more, so that air runs out "
                "from under the core",
                deep,
            ),
            Line("come back up to {} and hold it past the gel", hold),
        ],
    }


def _straight_steps(hold: tuple[At], least: str) -> dict[str, list[Line | str]]:
    """Return what to do with a bag that goes to its hold at once and stays there, by process."""
    straight = Line(
        "go to {} at once, while the resin is thin, and hold it there past the gel; never deeper",
        hold,
    )
    return {
        "wet layup": [_SEAL, straight, _READ_THE_BLEED],
        "infusion": [
            _DRY_BAG,
            Line(_FILL, hold),
            _INLET_SHUT.format(least),
            Line("hold the vent at {} past the gel; never deeper", hold),
        ],
        "core bonding": [straight],
    }


def _other_steps(hold: tuple[At]) -> dict[str, list[Line | str]]:
    """Return what to do with prepreg, a pot or a press."""
    return {
        "prepreg": [
            "warm the roll sealed; lay up dry; debulk every few plies at full vacuum",
            "hold full vacuum through the cure: more pressure in the resin comes from drier "
            "prepreg or from pressure on the bag, never from less vacuum",
        ],
        "degassing": [
            "plain resin only, no initiator or hardener in it; pot at most a third full, for "
            "froth (common practice, no source)",
            Line(
                "go down slowly to {}, seed it with a scourer or a trickle of air and stir; about "
                "10 minutes (common practice, no source)",
                hold,
            ),
        ],
        "pressing": [
            "see outgas press for the force on this panel; edge stops for thickness, a stiff caul",
        ],
    }
