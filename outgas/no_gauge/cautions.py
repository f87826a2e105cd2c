"""What must be said wherever a bag is looked at, held or tested without a gauge; each once."""

from outgas.show.caution import Caution, Harm
from outgas.window.cautions import HANDS, NO_GLASS, SHEET

HOLDING = (
    Caution(
        "air bled in at the pump or the pot only, never across the laminate: it strips monomer and "
        "feeds a stream that can burn",
        Harm.BURNS,
        "bleed in at the pump or pot, never across the laminate",
    ),
    Caution(
        "an oil-sealed pump held at hundreds of mbar runs hot and throws oil mist: exhaust "
        "outdoors, away from sparks, and watch its temperature",
        Harm.FUMES,
        "a pump held weak runs hot: exhaust outdoors, no sparks",
    ),
    HANDS,
    SHEET,
)
PLATE = (
    Caution(
        "a plate laid on a lid from outside is pressed shut by the air and never opens: the bag "
        "goes to full vacuum; it stands inside the pot, and the air from below lifts it",
        Harm.SPOILS,
        "the plate stands inside the pot: outside it never opens",
    ),
    Caution(
        "steel or brass only, nothing with water in it: water boils in the pot",
        Harm.SPOILS,
        "steel or brass only: water boils in the pot",
    ),
    Caution(
        "prove it on the empty pot before any resin is mixed: it chatters, and a second reading "
        "stops falling; a plate that jams or sticks is full vacuum",
        Harm.SPOILS,
        "prove it on the empty pot: a plate that sticks is full vacuum",
    ),
)
LOOKING = (  # beside the cautions of an advice, which end with the sheet
    Caution(
        "water only in the pot, never monomer, acetone or alcohol; the part shut off from it",
        Harm.FUMES,
        "water only in the pot; the part shut off from it",
    ),
    NO_GLASS,
    HANDS,
)
VIALS = (
    Caution(
        "water only: never monomer, acetone or alcohol in a vial; their vapour burns and harms",
        Harm.FUMES,
        "water only: vapour of solvents burns and harms",
    ),
    Caution(
        "no glass vials or jars under vacuum, they implode; no mercury thermometer; lid of acrylic "
        "or polycarbonate without crazes",
        Harm.INJURES,
        "no glass vials or jars under vacuum: they implode",
    ),
    SHEET,
)
TESTING = (
    Caution(
        "no resin is mixed before the bag has passed",
        Harm.SPOILS,
        "no resin is mixed before the bag has passed",
    ),
    Caution(
        "water, solvent and styrene look like a leak: test dry and empty, after ten minutes of "
        "pumping",
        Harm.SPOILS,
        "test dry and empty: water and solvent look like a leak",
    ),
    SHEET,
)
