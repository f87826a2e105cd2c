"""What a card holds: one job's answer, the shops around it, its plan, and what makes its page."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from os import PathLike
from pathlib import Path
from typing import Any

from outgas import units
from outgas.errors import InputError
from outgas.files import write_atomic
from outgas.job.job import Job as TheJob
from outgas.no_gauge.hold import Hold
from outgas.no_gauge.telltale import Telltale
from outgas.plan.plan import Schedule
from outgas.shop_card.grid import Grid, Read, standard_share
from outgas.window.advice import Advice


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Card:
    """One job's answer as a page: the shops around it, its plan, vials, and ways to hold it.

    grid holds the answers that the page reads; plan is None without a layup, vials and held where
    there are none.

    Examples
    --------
    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> card = outgas.card("orthophthalic-polyester", shop)
    >>> type(card).__name__, card.read("22 degC", "50 %").hold >= card.advice.setpoint_Pa
    ('Card', True)
    """

    job: TheJob
    altitude_m: float
    dial: str
    advice: Advice
    plan: Schedule | None
    vials: Mapping[str, Telltale | None]
    held: Hold | None
    not_held: str
    grid: Grid = field(repr=False)
    page: Callable[["Card"], str] = field(repr=False, compare=False)

    def __repr__(self) -> str:
        return f"Card({self.job.resin.name}, {self.job.process.name})"

    def barometer_Pa(self, altitude_m: float) -> float:
        """Return the air pressure at an altitude [m], in the weather of the job [Pa]."""
        here = self.job.shop.barometer_Pa
        return here * standard_share(altitude_m) / standard_share(self.altitude_m)

    def read(self, temperature: Any, humidity: Any, altitude: Any = None) -> Read | None:
        """Return what the page says for a shop, never deeper nor weaker than is exact [Pa].

        None beyond what the card has; the job's own altitude if not given. UnitError.
        """
        h = self.altitude_m if altitude is None else units.one(altitude, "m", "altitude")
        T = units.one(temperature, "K", "temperature")
        return self.grid.read(T, units.one_fraction(humidity, "humidity"), self.barometer_Pa(h))

    def to_html(self) -> str:
        """Return the page, whole in itself: nothing is fetched from anywhere."""
        return self.page(self)

    def write(self, path: "str | PathLike[str]") -> Path:
        """Write the page to a file and return its path; InputError where it cannot be written."""
        target, text = Path(path), self.to_html()
        try:
            write_atomic(target, text.encode(), shown=True)
        except OSError as error:
            raise InputError(f"{target} cannot be written: {error.strerror or error}") from None
        return target
