"""What must be said wherever a bag is held or looked at without a gauge."""

CAUTIONS = (
    "air bled in at the pump or the pot only, never across the laminate: it strips monomer and "
    "feeds a stream that can burn",
    "an oil-sealed pump held at hundreds of mbar runs hot and throws oil mist: exhaust outdoors, "
    "away from sparks, and watch its temperature",
    "keep hands off a vacuum inlet; catch pot before the pump",
    "the safety data sheet, local rules and licensed practice stand above this advice",
)
