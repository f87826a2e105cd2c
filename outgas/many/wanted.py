"""The libraries that only many cases need: imported where they are used, or asked for in a line."""

import importlib
from typing import Any

from outgas.errors import InputError

EXTRA = "many"


def needed(name: str, extra: str = EXTRA) -> Any:
    """Return a module of an extra; InputError with the command that installs it."""
    try:
        return importlib.import_module(name)
    except ImportError:
        package = name.partition(".")[0]
        raise InputError(
            f"{package} is needed for this and not installed; run: pip install 'outgas[{extra}]'"
        ) from None
