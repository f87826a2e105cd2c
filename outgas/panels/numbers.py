"""The numbers that panels teach, how far each reaches, and what was believed of them before.

Each number is drawn as a way: how many 95 % half-widths it lies from its nominal, a bell with a
half-width of one. So a draw fits every resin and every band, and what was told of a job stays as it
was told.

What is shared, and what is not:

shop    the eye, the dial, the pot, and the air that stirring and rolling leave: of all panels
family  how much air a family of resins dissolves and how fast it moves, its gel, its vapours and
        its initiator's gas: of panels of one family
own     what is trapped and what connects, how bubbles start, what boiling leaves, and how far the
        balance is out: of panels of one family, process and cloth alone
"""

from collections.abc import Mapping
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.constants import Z95
from outgas.laminate.batch import GEL
from outgas.laminate.course import VAPOUR
from outgas.laminate.gas.joint import along
from outgas.physics.chance import Band
from outgas.tables import catalogue

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]
    # From the name of a number to draws of it, in 95 % half-widths from its nominal.
    Ways: TypeAlias = Mapping[str, Floats]

CLEAR, MILKY, DIAL, MISFIT, POT = "clear", "milky", "dial", "misfit", "air_Pa"
INITIATOR = "initiator_gas"
SHOP = (CLEAR, MILKY, DIAL, POT, "entrained", "entrained_radius_m")
FAMILY = ("solubility", "diffusivity_m2_s", GEL, INITIATOR, VAPOUR)
OWN = ("trapped", "connected", "boiling_extra", "spacing_m", "exponent", MISFIT)
NUMBERS = (*OWN, *SHOP, *FAMILY)
PLACE = {name: i for i, name in enumerate(NUMBERS)}
STEPS_APART = 1.05  # the least milky depth over the least hazy one: an eye has both, in this order

NAMES = {
    "trapped": "gas trapped in wet cloth",
    "connected": "gas beyond that finds its way out",
    "boiling_extra": "gas that boiling leaves",
    "spacing_m": "how far apart gas starts between the fibres",
    "exponent": "how readily it starts",
    MISFIT: "gas in a laminate over what the balance makes",
    CLEAR: "where your eye first sees haze (optical depth)",
    MILKY: "where your eye calls it milky (optical depth)",
    DIAL: "how far your dial is out",
    POT: "air that your pot leaves",
    "entrained": "air stirred and rolled in",
    "entrained_radius_m": "size of the bubbles stirred in",
    "solubility": "how much air the resin dissolves",
    "diffusivity_m2_s": "how fast air moves in the resin",
    GEL: "gel time of a cup over the sheet's",
    INITIATOR: "gas of the initiator",
    VAPOUR: "vapour pressure within its band",
}


def ways_of(z: "Floats") -> "dict[str, Floats]":
    """Return draws by name from standard bells, a row a number in the order of NUMBERS."""
    return {name: z[i] / Z95 for i, name in enumerate(NUMBERS)}


def misfit(ways: "Ways") -> "Floats":
    """Return of how many times the gas of the balance a laminate holds."""
    band = catalogue.panels().misfit.band
    return along((band.nominal, band.low, band.high), ways[MISFIT], factor=True)


def thresholds(ways: "Ways") -> "tuple[Floats, Floats]":
    """Return the optical depths from which an eye sees haze and milk."""
    look = catalogue.gas().look
    clear, milky = (
        along((band.nominal, band.low, band.high), ways[name], factor=True)
        for name, band in ((CLEAR, look.clear.band), (MILKY, look.milky.band))
    )
    return clear, np.maximum(milky, STEPS_APART * clear)


def believed_before(kind_bands: Mapping[str, Band]) -> dict[str, Band]:
    """Return the band of each number before any panel: those of a job, and of eye and balance."""
    look = catalogue.gas().look
    before = {
        CLEAR: look.clear.band,
        MILKY: look.milky.band,
        MISFIT: catalogue.panels().misfit.band,
    }
    return {**before, **kind_bands}
