"""Panels that several tests share; all of them made up."""

RESIN = "orthophthalic-polyester"


def rows(*looked, **more):
    """Panels by (mbar, look), debulked first."""
    return [
        {"resin": RESIN, "debulk": "90 mbar", "cure": f"{p} mbar", "look": look, **more}
        for p, look in looked
    ]


MIXED = [(700, "clear"), (600, "clear"), (500, "clear"), (450, "clear"), (400, "hazy")]
MIXED += [(350, "milky"), (500, "clear"), (450, "clear"), (420, "hazy"), (300, "milky")]
