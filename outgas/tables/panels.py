"""The typed record behind data/panels.toml: what a shop's own panels are held against."""

from typing import Annotated

import msgspec

from outgas.tables.number import Number, Plausible


class PanelFigures(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How panels differ, how eyes differ, and how often a panel's note is wrong."""

    mistake: Annotated[Number, Plausible("", 0.0, 0.5)]
    misfit: Annotated[Number, Plausible("", 0.01, 100.0)]
    scatter: Annotated[Number, Plausible("", 1.0, 10.0)]
    pressure: Annotated[Number, Plausible("", 0.0, 1.0)]
    judging: Annotated[Number, Plausible("", 1.0, 10.0)]
    unseen: Annotated[Number, Plausible("", 0.0, 0.1)]
    void_error: Annotated[Number, Plausible("", 0.0, 0.1)]
    void_most: Annotated[Number, Plausible("", 0.01, 1.0)]
    air_error: Annotated[Number, Plausible("", 0.0, 1.0)]
