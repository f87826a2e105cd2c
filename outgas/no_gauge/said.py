"""What every answer of the no-gauge part can do: be a dict, JSON, and words on a dial."""

import json
from abc import ABC, abstractmethod
from typing import Any


class Said(ABC):
    """An answer that shows itself; a subclass gives to_dict()."""

    __slots__ = ()

    @abstractmethod
    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""

    def to_json(self) -> str:
        """Return to_dict() as JSON text."""
        return json.dumps(self.to_dict(), indent=2, ensure_ascii=False)

    def to_text(self, dial: str = "inHg") -> str:
        """Return the answer in words, on an inHg, mmHg, bar, percent, mbar or torr dial."""
        from outgas.no_gauge.words import answer_text

        return answer_text(self, dial)

    def __str__(self) -> str:
        return self.to_text()

    def _repr_html_(self) -> str:
        from outgas.no_gauge.words import answer_html

        return answer_html(self)
