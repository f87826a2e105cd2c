"""One picture of an answer, and all the pictures that it has: data that shows itself.

>>> chart = Chart(name="x", title="One", x=Scale("x", "", 0.0, 1.0), y=Scale("y", "", 0.0, 1.0))
>>> Charts({"x": lambda dial: chart})["x"] is chart
True
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, TypeAlias

from outgas.errors import UnknownNameError
from outgas.show.dial import DEFAULT_DIAL, read_dial
from outgas.show.draw import draw, save, svg_if_drawn
from outgas.show.shapes import Scale as Scale
from outgas.show.shapes import Shapes


@dataclass(frozen=True, slots=True, kw_only=True, repr=False)
class Chart(Shapes):
    """One picture of an answer, drawn only when it is asked for; in a notebook it shows itself."""

    def plot(self, ax: Any = None, *, dark: bool = False) -> Any:
        """Draw it with matplotlib and return the Axes; ax: where to, a new figure if not given.

        InputError without matplotlib, with the command that installs it.
        """
        return draw(self, ax, dark=dark)

    def save(self, path: Any, *, dark: bool = False) -> None:
        """Write it as a picture, .svg, .png or .pdf by the path's name, whole or not at all.

        InputError for another name, a path that cannot be written, or without matplotlib.
        """
        save(self, path, dark=dark)

    def __repr__(self) -> str:
        return f"Chart({self.name!r}, {self.title!r})"

    def _repr_svg_(self) -> str | None:
        """Return it drawn, for a notebook; None without matplotlib."""
        return svg_if_drawn(self)


Maker: TypeAlias = Callable[[str], Chart]  # from the name of a dial to the chart beside it


class Charts(Mapping[str, Chart]):
    """The charts of an answer by name, each made when it is asked for, and kept."""

    __slots__ = ("_dial", "_made", "_makers")

    def __init__(self, makers: Mapping[str, Maker], dial: str | None = None) -> None:
        self._makers = dict(makers)
        self._dial = DEFAULT_DIAL if dial is None else read_dial(dial)
        self._made: dict[str, Chart] = {}

    def __getitem__(self, name: str) -> Chart:
        if name not in self._makers:
            raise UnknownChartError(name, self._makers)
        if name not in self._made:
            self._made[name] = self._makers[name](self._dial)
        return self._made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._makers)

    def __len__(self) -> int:
        return len(self._makers)

    def __contains__(self, name: object) -> bool:
        return name in self._makers

    def __repr__(self) -> str:
        return f"Charts({', '.join(self._makers)})"


class UnknownChartError(UnknownNameError, KeyError):
    """No chart of that name: also a KeyError, as of any mapping."""

    def __init__(self, given: str, known: Mapping[str, Any]) -> None:
        super().__init__("chart", str(given), known)

    __str__ = UnknownNameError.__str__

    def __reduce__(self) -> tuple[object, ...]:
        return UnknownChartError, (self.given, dict.fromkeys(self.nearest))
