"""What the physics leaves room for, cause by cause."""

from collections.abc import Callable

from outgas.diagnosis import gas_causes
from outgas.diagnosis.case import Gate, Scene
from outgas.diagnosis.other_causes import (
    _binder,
    _blush,
    _bridging,
    _core,
    _dry,
    _front,
    _leak,
    _shrinkage,
    _starved,
    _stripped,
)
from outgas.tables.causes import Cause


def gate_of(cause: Cause, scene: Scene) -> Gate:
    """Return what the physics says of a cause."""
    return _GATES[cause.name](cause, scene)


_GATES: dict[str, Callable[[Cause, Scene], Gate]] = {
    "resin-boiling": gas_causes.boiling,
    "dissolved-air": gas_causes.dissolved,
    "entrained-air": gas_causes.entrained,
    "leak": _leak,
    "moisture": gas_causes.moisture,
    "starved": _starved,
    "dry-fibre": _dry,
    "mat-binder": _binder,
    "bridging": _bridging,
    "blushed-surface": _blush,
    "shrinkage": _shrinkage,
    "core-gas": _core,
    "cleaner-residue": gas_causes.cleaner,
    "peroxide-gas": gas_causes.peroxide,
    "stripped": _stripped,
    "front-too-fast": _front,
}
