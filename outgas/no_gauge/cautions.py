"""What must be said wherever a bag is looked at, held or tested without a gauge; each once."""

HANDS = "keep hands off a vacuum inlet; catch pot before the pump"
SHEET = "the safety data sheet, local rules and licensed practice stand above this advice"

HOLDING = (
    "air bled in at the pump or the pot only, never across the laminate: it strips monomer and "
    "feeds a stream that can burn",
    "an oil-sealed pump held at hundreds of mbar runs hot and throws oil mist: exhaust outdoors, "
    "away from sparks, and watch its temperature",
    HANDS,
    SHEET,
)
PLATE = (
    "a plate laid on a lid from outside is pressed shut by the air and never opens: the bag goes "
    "to full vacuum; it stands inside the pot, and the air from below lifts it",
    "steel or brass only, nothing with water in it: water boils in the pot",
    "prove it on the empty pot before any resin is mixed: it chatters, and a second reading stops "
    "falling; a plate that jams or sticks is full vacuum",
)
LOOKING = (  # beside the cautions of an advice, which end with the sheet
    "water only in the pot, never monomer, acetone or alcohol; the part shut off from it",
    "no glass, food jars or crazed plastic under vacuum, they implode; no mercury",
    HANDS,
)
VIALS = (
    "water only: never monomer, acetone or alcohol in a vial; their vapour burns and harms",
    "no glass vials or jars under vacuum, they implode; no mercury thermometer; lid of acrylic or "
    "polycarbonate without crazes",
    SHEET,
)
TESTING = (
    "no resin is mixed before the bag has passed",
    "water, solvent and styrene look like a leak: test dry and empty, after ten minutes of pumping",
    SHEET,
)
