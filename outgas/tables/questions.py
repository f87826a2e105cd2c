"""The typed records behind data/questions.toml: what can be asked of a white laminate."""

from typing import Annotated

import msgspec

from outgas.tables.number import Named, Number, Plausible


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
    pressure: Annotated[Number, Plausible("Pa", 0.0, 110000.0)]


class Visibility(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What makes a laminate look clear, milky or white."""

    thickness: Annotated[Number, Plausible("m", 0.0, 1.0)]
    trace: Annotated[Number, Plausible("", 0.0, 100.0)]
    milky: Annotated[Number, Plausible("", 0.0, 100.0)]
    white: Annotated[Number, Plausible("", 0.0, 100.0)]
    loupe: Annotated[Number, Plausible("m", 1e-07, 0.001)]


class GateFigures(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Figures of what each cause needs before it can act."""

    dry: Annotated[Number, Plausible("", 0.0, 1.0)]
    damp: Annotated[Number, Plausible("", 0.0, 1.0)]
    unsaid_cleaner: Annotated[Number, Plausible("", 0.0, 1.0)]
    hidden_damp: Annotated[Number, Plausible("", 0.0, 1.0)]
    colder: Annotated[Number, Plausible("K", 0.0, 100.0)]
    warmer: Annotated[Number, Plausible("K", 0.0, 100.0)]
    unknown: Annotated[Number, Plausible("", 0.0, 1.0)]
    polyester_peroxide: Annotated[Number, Plausible("", 0.0, 1.0)]
    acetone: Annotated[Number, Plausible("", 0.0, 0.1)]
    leaky: Annotated[Number, Plausible("Pa", 0.0, 110000.0)]
    drop_test: Annotated[Number, Plausible("Pa", 0.0, 10000.0)]
    swept: Annotated[Number, Plausible("", 0.0, 1.0)]
    shear_per_void: Annotated[Number, Plausible("", 0.0, 30.0)]


class Shrinkage(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Volume lost in the cure, by family of resin."""

    polyester: Annotated[Number, Plausible("", 0.0, 0.3)]
    vinyl_ester: Annotated[Number, Plausible("", 0.0, 0.3)]
    acrylic: Annotated[Number, Plausible("", 0.0, 0.3)]
    epoxy: Annotated[Number, Plausible("", 0.0, 0.3)]
    phenolic: Annotated[Number, Plausible("", 0.0, 0.3)]
    polyurethane: Annotated[Number, Plausible("", 0.0, 0.3)]
