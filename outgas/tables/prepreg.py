"""The typed records behind data/prepreg.toml: what fibres carry, how prepreg dries."""

from typing import Annotated

import msgspec

from outgas.tables.number import Number, Plausible


class CarriedShares(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How much of the clamp the fibres of a prepreg carry, and what is dry in it at first."""

    sealed: Annotated[Number, Plausible("", 0.0, 1.0)]
    bleeding: Annotated[Number, Plausible("", 0.0, 1.0)]
    dry_tows: Annotated[Number, Plausible("", 0.0, 0.5)]


class PrepregVerdict(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How near the resin's pressure counts as at its limit."""

    within: Annotated[Number, Plausible("", 0.0, 0.5)]


class Drying(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """How water leaves prepreg under vacuum."""

    prefactor: Annotated[Number, Plausible("m2/s", 1e-12, 1e-3)]
    energy: Annotated[Number, Plausible("K", 100.0, 20000.0)]
    channels: Annotated[Number, Plausible("m", 1e-6, 0.1)]
    at_channel: Annotated[Number, Plausible("", 0.0, 1.0)]
    isotherm: Annotated[Number, Plausible("", 0.5, 5.0)]
    proportional_below: Annotated[Number, Plausible("", 0.1, 1.0)]
    hold: Annotated[Number, Plausible("s", 0.0, 1e6)]
    out_life: Annotated[Number, Plausible("s", 0.0, 1e7)]


class ShutInfusion(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """What an infusion keeps when both its ends are shut."""

    mean: Annotated[Number, Plausible("", 0.0, 1.0)]
    laid: Annotated[Number, Plausible("Pa", 0.0, 1e5)]


class PrepregTable(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of data/prepreg.toml."""

    carried: CarriedShares
    verdict: PrepregVerdict
    drying: Drying
    shut: ShutInfusion
