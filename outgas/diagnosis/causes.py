"""What the physics leaves room for, cause by cause."""

from collections.abc import Callable

from outgas.diagnosis import gas_causes, other_causes
from outgas.diagnosis.case import Gate, Inspection
from outgas.tables.causes import Cause


def gate_of(cause: Cause, inspection: Inspection) -> Gate:
    """Return what the physics says of a cause."""
    return _GATES[cause.name](cause, inspection)


_GATES: dict[str, Callable[[Cause, Inspection], Gate]] = {
    "resin-boiling": gas_causes.boiling,
    "dissolved-air": gas_causes.dissolved,
    "entrained-air": gas_causes.entrained,
    "leak": other_causes.leak,
    "moisture": gas_causes.moisture,
    "starved": other_causes.starved,
    "dry-fibre": other_causes.dry_fibre,
    "mat-binder": other_causes.mat_binder,
    "bridging": other_causes.bridging,
    "blushed-surface": other_causes.blushed_surface,
    "shrinkage": other_causes.shrinkage,
    "core-gas": other_causes.core_gas,
    "cleaner-residue": gas_causes.cleaner,
    "peroxide-gas": gas_causes.peroxide,
    "stripped": other_causes.stripped,
    "front-too-fast": other_causes.front_too_fast,
}
