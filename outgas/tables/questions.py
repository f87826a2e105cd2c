"""The typed records behind data/questions.toml: what can be asked of a white laminate."""

import msgspec

from outgas.tables.number import Named, Number


class Question(Named, frozen=True, kw_only=True):
    """Something a builder can see, remember or try, and what can be answered to it."""

    ask: str
    now: bool
    answers: dict[str, str]
    how_to: str = ""
    processes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if len(self.answers) < 2:
            raise ValueError("a question needs at least two answers")


class Bag(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What people call a bag, and the pressures that may mean."""

    words: tuple[str, ...]
    pressure: Number


class Visibility(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What makes a laminate look clear, milky or white."""

    thickness: Number
    trace: Number
    milky: Number
    white: Number
    loupe: Number


class GateFigures(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Figures of what each cause needs before it can act."""

    dry: Number
    damp: Number
    unsaid_cleaner: Number
    hidden_damp: Number
    colder: Number
    warmer: Number
    unknown: Number
    polyester_peroxide: Number
    free_peroxide: Number
    acetone: Number
    leaky: Number
    drop_test: Number
    swept: Number
    shear_per_void: Number


class Shrinkage(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Volume lost in the cure, by family of resin."""

    polyester: Number
    vinyl_ester: Number
    acrylic: Number
    epoxy: Number
    phenolic: Number
    polyurethane: Number
