"""Histories of bubbles: read with their units, and what became of them over time.

Radii, gas, void content and haze; gaps, ends and times that do not rise are refused.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import readings, units
from outgas.errors import InputError, OutOfRangeError
from outgas.physics import air, haze
from outgas.show.amounts import EYE_M, across, duration
from outgas.show.answer import Answer
from outgas.show.chart import Chart, Maker
from outgas.show.report import Block, Report, lines
from outgas.show.shapes import Curve, LineRole, Mark, Scale

if TYPE_CHECKING:
    from outgas.units import Measure, Quantity

    Floats: TypeAlias = NDArray[np.float64]

SAMPLES = 121  # times reckoned at the least, evenly spread, with those given and the gel
RADII_M = (5e-7, 5e-3)  # smaller are gone at once, larger rise and are not round
LEAST_TIME_S, MOST_TIME_S = 1e-9, 1e9  # a length of time that bubbles are followed for
FROZEN_VISCOSITY = 1e10  # Pa s, in place of infinity

VERSION = 1
FROTH = 0.5  # void content past which bubbles touch and lose their shape: no longer this model
DARK, LIGHT = 0.05, 0.80  # what a black and a white background send back of diffuse light
# What the eye makes of a millimetre of it over black, by the light it sends back above a clear one.
# Estimates; no published law of whiteness was found.
SEEN = ((0.02, "clear to the eye"), (0.08, "hazy"), (0.25, "milky"), (1.0, "white"))
SHOWN_THICKNESS = "1 mm"
LEAST_SHARE = 0.005  # of the gas, worth naming
COARSE_VOID = 0.1  # voids from here on are told in whole per cents
SECONDS_BELOW_S = 120.0
FOLLOWED: tuple[LineRole, ...] = ("main", "limit", "second", "third", "fourth")  # on a chart


def array(value: Any, unit: str, name: str) -> "Floats":
    """Return a history as an array in SI; a list of texts is read one by one."""
    if isinstance(value, list | tuple):
        return np.array([float(array(v, unit, name)) for v in value])
    if isinstance(value, str) and unit == "Pa":
        return np.asarray(readings.read_reading(value, None, name).absolute_Pa)
    if unit:
        return np.asarray(units.si(value, unit, name), dtype=float)
    return np.asarray(units.fraction(value, name), dtype=float)


@dataclass(frozen=True, slots=True)
class Clock:
    """The times given, and those reckoned with: the given ones and enough between."""

    given: "Floats"
    grid: "Floats"

    def history(self, value: Any, unit: str, name: str, low: float, high: float) -> "Floats":
        """Return a history on the grid, checked for gaps and against what is possible."""
        found = array(value, unit, name)
        if found.ndim > 1 or (found.ndim == 1 and found.shape != self.given.shape):
            size = " x ".join(str(n) for n in found.shape)
            raise InputError(
                f"{name} has {size} values for {self.given.shape[0]} times; give one for each"
            )
        gap = np.flatnonzero(np.isnan(np.atleast_1d(found)))
        if gap.size:
            raise InputError(f"{name} has a gap (not a number) at value {int(gap[0]) + 1}")
        for end in (float(np.min(found)), float(np.max(found))):
            if not low <= end <= high:
                said = f"{low:g} to {high:g} {unit}".rstrip()
                raise InputError(f"{name} is {end:.4g} {unit}".rstrip() + f", outside {said}")
        found = np.broadcast_to(found, self.given.shape)
        if unit == "Pa*s":
            firm = np.log(np.minimum(found, FROZEN_VISCOSITY))
            return np.exp(np.interp(self.grid, self.given, firm))
        return np.interp(self.grid, self.given, found)


def clock_of(time: Any) -> Clock:
    """Return the clock of times that rise, or of one length from zero [s]."""
    t = array(time, "s", "time")
    if t.ndim == 0:
        if not float(t) > 0.0:
            raise InputError(f"time is {time}; it must be above zero")
        if not LEAST_TIME_S <= float(t) <= MOST_TIME_S:
            raise InputError(
                f"time is {time}; bubbles are followed for {LEAST_TIME_S:g} s to {MOST_TIME_S:g} s"
            )
        grid = np.linspace(0.0, float(t), SAMPLES)
        return Clock(grid, grid)
    if t.ndim != 1 or t.shape[0] < 2:
        raise InputError("time needs two values or more, or one length such as '1 h'")
    if not np.all(np.isfinite(t)):
        raise InputError("time has a gap (not a number)")
    if float(np.max(np.abs(t))) > MOST_TIME_S:
        raise InputError(f"time goes to {np.max(np.abs(t)):.3g} s; at most {MOST_TIME_S:g} s")
    back = np.flatnonzero(np.diff(t) <= 0.0)
    if back.size:
        i = int(back[0])
        raise InputError(
            f"time does not rise: {t[i + 1]:.6g} s follows {t[i]:.6g} s (value {i + 2})"
        )
    grid = t if t.shape[0] >= SAMPLES else np.union1d(t, np.linspace(t[0], t[-1], SAMPLES))
    return Clock(t, grid)


def radii(radius: Any) -> "Floats":
    """Return radii as a row [m], each one that a bubble here can have."""
    R = np.atleast_1d(array(radius, "m", "radius"))
    if R.ndim != 1 or not R.size or not np.all(np.isfinite(R)):
        raise InputError("radius must be one length or a row of them, with no gap")
    low, high = RADII_M
    wrong = R[(low > R) | (high < R)]
    if wrong.size:
        size = f"{wrong[0] * 1e6:.4g} um" if wrong[0] < 1e-3 else f"{wrong[0] * 1e3:.4g} mm"
        raise InputError(
            f"radius is {size}; a bubble here is {low * 1e6:g} um to {high * 1e3:g} mm"
        )
    return R


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BubbleHistory(Answer):
    """Bubbles in a resin over time; SI arrays, with quantities at the door.

    K times, B bubbles. per_volume is how many of each there were at first per volume of resin,
    kept the share of them that has not left for the breather. gel_s is None where nothing gelled.

    Examples
    --------
    >>> import outgas
    >>> grown = outgas.bubble_growth("epoxy-laminating", "50 um", "5 min", "25 degC", "500 mbar")
    >>> grown.radius.shape == (*grown.time.shape, 1), grown.gel is None, grown.froths
    (True, True, False)
    >>> bool(grown.median_radius() == grown.radius_m[-1, 0])
    True
    >>> hazy, clear = grown.reflectance("2 mm")
    >>> hazy >= clear
    True
    >>> grown.to_dict()["kind"]
    'outgas bubbles'
    """

    resin: str
    index: float
    time_s: "Floats"
    radius_m: "Floats"
    gas_mol: "dict[str, Floats]"
    per_volume: "Floats"
    kept: "Floats"
    gel_s: float | None
    dissolved_s: "Floats"
    mass_error: dict[str, float]
    assumptions: tuple[str, ...]

    @property
    def time(self) -> "Quantity":
        """The times [s] (K)."""
        return units.quantity(self.time_s, "s")

    @property
    def radius(self) -> "Quantity":
        """Radii [m] (K, B); zero once dissolved."""
        return units.quantity(self.radius_m, "m")

    @property
    def gas(self) -> "dict[str, Quantity]":
        """Gas in each bubble [mol] by species, (K, B)."""
        return {name: units.quantity(n, "mol") for name, n in self.gas_mol.items()}

    @property
    def void(self) -> "Floats":
        """Gas over gas and resin by volume (K)."""
        freed = 4.0 * np.pi / 3.0 * self.kept * (self.radius_m**3 @ self.per_volume)
        return np.asarray(freed / (1.0 + freed))

    @property
    def void_fraction(self) -> "Quantity":
        """Gas over gas and resin by volume (K), dimensionless."""
        return units.quantity(self.void, "")

    @property
    def composition(self) -> "dict[str, Floats]":
        """Share of each species in all the gas, by moles (K); NaN where no gas is left."""
        moles = {name: n @ self.per_volume for name, n in self.gas_mol.items()}
        total = sum(moles.values(), np.zeros_like(self.time_s))
        with np.errstate(invalid="ignore", divide="ignore"):
            return {name: np.where(total > 0.0, n / total, np.nan) for name, n in moles.items()}

    @property
    def dissolved(self) -> "NDArray[np.bool_]":
        """Which bubbles went back into the resin (B)."""
        return np.isfinite(self.dissolved_s)

    @property
    def gel(self) -> "Quantity | None":
        """When the resin gelled [s], or None."""
        return None if self.gel_s is None else units.quantity(self.gel_s, "s")

    @property
    def at_gel(self) -> int:
        """The index of the last time before the gel sets; the last of all where nothing gelled."""
        if self.gel_s is None:
            return int(self.time_s.shape[0]) - 1
        return max(0, int(np.searchsorted(self.time_s, self.gel_s, side="right")) - 1)

    @property
    def froths(self) -> bool:
        """Whether bubbles come to touch: then 'a lot' is all that the numbers say."""
        return bool(np.max(self.void) > FROTH)

    def median_radius(self, k: int = -1) -> float:
        """Return the radius [m] that half the bubbles still there at time k do not reach."""
        R = self.radius_m[k]
        live = R > 0.0
        if not live.any():
            return 0.0
        order = np.argsort(R[live])
        count = np.cumsum(self.per_volume[live][order])
        return float(R[live][order][np.searchsorted(count, 0.5 * count[-1])])

    def reflectance(
        self, thickness: "Measure", background: float = DARK, k: int = -1
    ) -> tuple[float, float]:
        """Return the share of light that a laminate at time k sends back, and a clear one.

        thickness is that of the resin seen through; background is what lies bonded under it: 0.05
        is black, 0.8 white. Fibres count as clear. Bubbles below 1.7 um are left out.
        OutOfRangeError for a background outside 0 to 1 or a resin's index outside 1.45 to 1.62.

        Notes
        -----
        Scattering by spheres (Mie 1908) in the two-stream method, delta-Eddington form (Joseph,
        Wiscombe and Weinman 1976), with the faces of Saunderson (1942).
        """
        h = units.positive(thickness, "m", "thickness")
        R, each = self.radius_m[k], self.per_volume * self.kept[k]
        least = haze.LEAST_SIZE * haze.WAVELENGTH / (2.0 * np.pi * self.index)
        seen = least * (1.0 + 1e-9) < R
        laminate = each * (1.0 - self.void[k])  # per volume of resin and gas
        mu, g = haze.scattering(R[seen], laminate[seen], self.index)
        if not 0.0 <= background <= 1.0:
            raise OutOfRangeError(f"the background sends back {background:.4g}; it is 0 to 1")
        hazy = haze.reflectance(mu * h, g, self.index, background)
        return float(hazy), float(haze.reflectance(0.0, 0.0, self.index, background))

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        return {
            "kind": "outgas bubbles",
            "version": VERSION,
            "resin": self.resin,
            "time_s": self.time_s.tolist(),
            "radius_m": self.radius_m.tolist(),
            "gas_mol": {name: n.tolist() for name, n in self.gas_mol.items()},
            "per_volume_1_per_m3": self.per_volume.tolist(),
            "kept": self.kept.tolist(),
            "void_fraction": self.void.tolist(),
            "gel_s": self.gel_s,
            "dissolved_s": [t if np.isfinite(t) else None for t in self.dissolved_s.tolist()],
            "froths": self.froths,
            "assumptions": list(self.assumptions),
        }

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it."""
        return {"sizes": self._sizes, "gas": self._gas}

    def _sizes(self, dial: str) -> Chart:  # noqa: ARG002 - no bag pressure on it
        """Return how wide bubbles are over time, by the size that they began with."""
        order = np.argsort(self.radius_m[0])
        picked = order[np.unique(np.linspace(0, order.size - 1, len(FOLLOWED)).round().astype(int))]
        wide = np.where(self.radius_m > 0.0, 2e3 * self.radius_m, np.nan)
        curves = tuple(
            Curve(
                role,
                f"began {across(self.radius_m[0, b])} across",
                self._minutes(),
                _seen(wide[:, b]),
            )
            for role, b in zip(FOLLOWED, picked[::-1], strict=False)
        )
        low, high = np.nanmin(wide[:, picked]), np.nanmax(wide[:, picked])
        decades = 10.0 ** np.arange(np.floor(np.log10(low)), np.ceil(np.log10(high * 1.01)) + 1.0)
        ticks = tuple((float(d), f"{d:g}") for d in decades)
        return Chart(
            name="sizes",
            title=f"Bubbles in {self.resin}",
            x=Scale("time", "min", 0.0, self._minutes()[-1]),
            y=Scale("across", "mm", ticks[0][0], ticks[-1][0], log=True, ticks=ticks),
            curves=curves,
            marks=(Mark("guide", "the eye sees each", y=1e3 * EYE_M), *self._gelled()),
            caption="A line that ends has dissolved. How fast gas moves is known within a factor "
            "of ten.",
        )

    def _gas(self, dial: str) -> Chart:  # noqa: ARG002 - no bag pressure on it
        """Return void content over time, and what the gas is made of."""
        voids = _seen(100.0 * self.void)
        made = (
            Curve(role, f"{name} in it (right)", self._minutes(), _seen(100.0 * share), right=True)
            for role, (name, share) in zip(FOLLOWED[1:], self.composition.items(), strict=False)
        )
        return Chart(
            name="gas",
            title=f"Gas in {self.resin}",
            x=Scale("time", "min", 0.0, self._minutes()[-1]),
            y=Scale("voids", "% by volume", 0.0, max(1.0, 1.08 * max(voids))),
            curves=(Curve("set", "voids", self._minutes(), voids), *made),
            marks=self._gelled(),
            right=Scale("share of the gas", "%", 0.0, 100.0),
            caption="No gas leaves unless it was said how much does. Past half, bubbles touch: "
            "then 'a lot' is all that it says.",
        )

    def _minutes(self) -> tuple[float, ...]:
        return _seen(self.time_s / 60.0)

    def _gelled(self) -> tuple[Mark, ...]:
        return () if self.gel_s is None else (Mark("guide", "gel", x=self.gel_s / 60.0),)

    @property
    def report(self) -> Report:
        """What became of the bubbles, told; at the gel first."""
        said = [f"{self._when()}: {self._state(self.at_gel)}."]
        if self.gel_s is not None and self.at_gel < self.time_s.shape[0] - 1:
            said.append(f"After it, at {_time(self.time_s[-1])}: {self._state(-1)}.")
        if self.froths:
            said.append(
                f"It froths: past {FROTH:.0%} voids the bubbles touch, and how much more it is "
                "this cannot tell."
            )
        gone = float(self.per_volume @ self.dissolved / self.per_volume.sum())
        if gone > 0.0:
            said.append(
                f"{gone:.0%} of the bubbles dissolved, and those do not come back here; fibres "
                "hold nuclei that do: name crevices for them."
            )
        said.append(self._look())
        assumed = Block("Assumed", lines(self.assumptions))
        return Report(air.SEA_LEVEL_PA, lines(said), (assumed,))  # no line of it has a pressure

    def _when(self) -> str:
        if self.gel_s is None:
            return f"Still liquid at {_time(self.time_s[-1])}"
        return f"At the gel ({_time(self.gel_s)})"

    def _state(self, k: int) -> str:
        """Return void content, size and make-up at one time."""
        void = float(self.void[k])
        if not void > 0.0:  # dissolved, or all gone to the breather
            return "no bubble left"
        shares = {n: float(s[k]) for n, s in self.composition.items() if s[k] >= LEAST_SHARE}
        ordered = sorted(shares.items(), key=lambda item: -item[1])
        made = ", ".join(f"{name} {share:.0%}" for name, share in ordered)
        voids = f"{void:.0%}" if void >= COARSE_VOID else f"{100.0 * void:.2g}%"
        size = across(self.median_radius(k))
        return f"{voids} voids, half the bubbles over {size} across ({made})"

    def _look(self) -> str:
        """Return how white a millimetre of it is over black."""
        hazy, clear = self.reflectance(SHOWN_THICKNESS, DARK)
        more = hazy - clear
        word = next(word for level, word in SEEN if more <= level or level == SEEN[-1][0])
        if self.void[-1] > 0.0 and 2.0 * self.median_radius() >= EYE_M:
            word += ", with bubbles that can be seen one by one"
        return (
            f"{SHOWN_THICKNESS} of it over black sends back {hazy:.0%} of the light, clear resin "
            f"{clear:.0%}: {word}."
        )


def _seen(values: "Floats") -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _time(seconds: float) -> str:
    """Return a time in minutes, under two of them in seconds."""
    return duration(seconds, seconds_below=SECONDS_BELOW_S, hours=False)
