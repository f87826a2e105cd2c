"""A caution as text: in full, in brief for a short answer, and how much it can hurt.

>>> told = Caution("keep hands off a vacuum inlet; catch pot before the pump", Harm.INJURES, "x")
>>> told.startswith("keep hands"), told.harm.name, told.brief
(True, 'INJURES', 'x')
"""

from enum import IntEnum


class Harm(IntEnum):
    """What comes of not heeding it, the worst first."""

    EXPLODES = 0
    BURNS = 1
    FUMES = 2  # vapour that burns, or harms who breathes it
    POISONS = 3  # through the skin, for life
    INJURES = 4
    SPOILS = 5  # the laminate, not the builder
    REMINDS = 6


class Caution(str):
    """A caution: its text in full, the harm, and the same in one short line.

    A string, so that it stands wherever a caution's text does. brief leaves out what explains,
    never what forbids: it may say less than the whole, and nothing that the whole does not.
    """

    harm: Harm
    brief: str

    def __new__(cls, text: str, harm: Harm = Harm.SPOILS, brief: str = "") -> "Caution":
        """Return the text with its harm; brief is the text where none is given."""
        made = super().__new__(cls, text)
        made.harm = harm
        made.brief = brief or text
        return made
