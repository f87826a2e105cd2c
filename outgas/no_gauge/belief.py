"""What is believed of a bag's pressure where there is no gauge: a record that only grows."""

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Self, overload

import numpy as np

from outgas import constants, readings, units
from outgas.errors import InputError, OutOfRangeError
from outgas.job.gauge import read_barometer, reading_of
from outgas.job.rig import Rig, the_rig
from outgas.no_gauge import observations as says
from outgas.no_gauge.kept import Evidence, looks, read_force, to_plain
from outgas.physics import chance, flow
from outgas.show.amounts import celsius, mbar_read, millilitres
from outgas.tables import catalogue
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Resin

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from outgas.units import Measure, Quantity

KIND, VERSION = "outgas bag pressure", 1
# Two observations contradict each other where the best pressure for both is less likely than this:
# as three standard errors between two readings of the same kind.
CONFLICT = 0.1
SYRINGE_RANGE_M3 = (1e-8, 0.01)
PULL_RANGE_M = (0.003, 0.5)
DEPTH_RANGE_M = (0.0, 0.5)
POINT_DOUBT_K = 2.0  # superheat and overshoot, beside the thermometer, before water is disbelieved
FRICTION_SPAN = 4.0  # twice the friction's upper end, for going down and for coming back


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two observations that cannot both be right, and how well the best pressure suits them."""

    first: str
    second: str
    agreement: float

    def __str__(self) -> str:
        return f"'{self.first}' against '{self.second}': both cannot be right"


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class Belief:
    """What is believed of the absolute pressure in a bag, and by what.

    Each observation returns a new belief of the same kind. weights: of each pressure of the grid;
    they sum to one.
    """

    barometer_Pa: float
    evidence: tuple[Evidence, ...]
    weights: "NDArray[np.float64]"

    @classmethod
    def unknown(cls, barometer: "Measure") -> Self:
        """Return the belief of one who knows nothing: every factor of pressure alike.

        Parameters
        ----------
        barometer
            The shop's own air pressure, 200 to 1100 hPa; outgas.barometer() makes it from an
            altitude. OutOfRangeError beyond.

        Returns
        -------
        A belief, flat in ln p from 0.1 mbar to the barometer.

        Examples
        --------
        >>> Belief.unknown("1000 mbar").barometer_Pa
        100000.0
        """
        here = read_barometer(barometer)
        flat = np.full(says.POINTS, 1.0 / says.POINTS)
        flat.setflags(write=False)
        return cls(here, (), flat)

    def _grid(self) -> says.Grid:
        return says.grid_of(self.barometer_Pa)

    def saw(self, kind: str, text: str, likelihood: "NDArray[np.float64]") -> Self:
        """Return the belief with one more observation; the methods below are its ways in.

        likelihood: one number of 0 or more for each pressure of the grid, not all zero.
        """
        likelihood.setflags(write=False)
        weights = self.weights * likelihood
        weights /= weights.sum()
        weights.setflags(write=False)
        added = (*self.evidence, Evidence(kind, text, likelihood))
        return type(self)(self.barometer_Pa, added, weights)

    # Water ------------------------------------------------------------------------------------

    @looks
    def saw_boiling(self, temperature: "Measure", chip: bool = False) -> Self:
        """Take in that water which read this was seen to boil: the bag is no shallower than that.

        Deeper by the superheat it may have needed, more without a fresh chip.
        UnitError without a unit, OutOfRangeError outside 1 to 99 degC.
        """
        T = says.read_water(temperature)
        made = says.boiling(self._grid(), T, chip)
        return self.saw("boiling", f"water boiled at {celsius(T, 1)}{_chip(chip)}", made)

    @looks
    def stayed_quiet(self, temperature: "Measure", chip: bool = False) -> Self:
        """Take in that water which read this did not boil: weak, for superheat is ordinary.

        Range and errors as in saw_boiling.
        """
        T = says.read_water(temperature)
        made = says.quiet(self._grid(), T, chip)
        return self.saw("quiet", f"water stayed quiet at {celsius(T, 1)}{_chip(chip)}", made)

    @looks
    def fell_quiet(self, temperature: "Measure") -> Self:
        """Take in that water boiling on a chip fell quiet as the bag was bled up, at this reading.

        Strong, both ways: nucleation is not in doubt.
        """
        T = says.read_water(temperature)
        _boils_here(T, self.barometer_Pa)
        made = says.fell_quiet(self._grid(), T)
        return self.saw("fell quiet", f"boiling water fell quiet at {celsius(T, 1)}", made)

    @looks
    def boiling_thermometer(self, temperature: "Measure", depth: "Measure" = "0 mm") -> Self:
        """Take in where a thermometer settled in boiling water, or in the vapour over it (depth 0).

        A bulb under the surface stands under its depth of water: the bag is deeper by that.
        Depth 0 to 500 mm. InputError for a boiling point that no bag under this barometer can have.
        """
        T = says.read_water(temperature)
        under = units.positive(depth, "m", "depth", zero=True)
        _in_mm(under, DEPTH_RANGE_M, "depth")
        _boils_here(T, self.barometer_Pa, under)
        where = f"{under * 1e3:.0f} mm under boiling water" if under else "over boiling water"
        made = says.thermometer(self._grid(), T, under)
        return self.saw("thermometer", f"a thermometer {where} settled at {celsius(T, 1)}", made)

    @looks
    def ice_formed(self, bleeding: bool = False) -> Self:
        """Take in that water froze; bleeding: air was let in, which freezes it at far higher."""
        how = "while air was bled in" if bleeding else "in still vapour"
        return self.saw("ice", f"water froze {how}", says.ice(self._grid(), bleeding))

    # Syringe, tube, cup, sensor ---------------------------------------------------------------

    @looks
    def syringe(
        self, before: "Measure", after: "Measure", returned: "Measure | None" = None
    ) -> Self:
        """Take in that a capped syringe's air grew from before, at the barometer, to after.

        Read going down. returned is its volume at the same bag pressure come back to from below;
        with it the plunger's friction all but cancels.
        Volumes 0.01 ml to 10 l; InputError for air that shrank or readings too far apart.
        """
        start = _volume(before, "before")
        end = _volume(after, "after")
        back = None if returned is None else _volume(returned, "returned")
        _grew(start, end, self.barometer_Pa, "after")
        if back is not None and back < end:
            raise InputError(
                f"returned is {millilitres(back)}, less than after, {millilitres(end)}: coming "
                "back from below the plunger hangs out, not in; swap the two, or begin again"
            )
        if back is not None:
            _rubs(self.barometer_Pa * (start / end - start / back), end, back)
        ratios = start / end, None if back is None else start / back
        text = f"a syringe's air grew from {millilitres(start)} to {millilitres(end)}"
        if back is not None:
            text += f", {millilitres(back)} coming back"
        return self.saw("syringe", text, says.syringe(self._grid(), *ratios))

    @looks
    def inverted_tube(self, before: "Measure", after: "Measure") -> Self:
        """Take in how much air a tube upside down in oil kept: lengths before and after.

        It remembers the deepest moment of the pull.
        InputError for more air than before.
        """
        whole, left = (
            units.positive(x, "m", name) for x, name in ((before, "before"), (after, "after"))
        )
        if left > whole:
            raise InputError(
                f"after is {left * 1e3:.0f} mm, more air than before, {whole * 1e3:.0f} mm: it "
                "would put the bag above the barometer"
            )
        text = f"an inverted tube kept {left * 1e3:.0f} of {whole * 1e3:.0f} mm of air"
        return self.saw("tube", text, says.tube(self._grid(), left / whole))

    @looks
    def pull(self, force: "Measure", diameter: "Measure") -> Self:
        """Take in the force at which a cup of this diameter on the vacuum let go.

        It measures the difference to the atmosphere and cannot tell 20 from 60 mbar. A scale's
        '15 kg' is read as the weight of that mass.
        Diameter 3 to 500 mm. InputError for more than the barometer can pull.
        """
        newtons = read_force(force)
        across = units.positive(diameter, "m", "diameter")
        _in_mm(across, PULL_RANGE_M, "diameter")
        difference = newtons / float(flow.circle(across))
        limit = self.barometer_Pa * (1.0 + catalogue.evidence().pull_error.high_si)
        if difference > limit:
            raise InputError(
                f"force is {newtons:.0f} N on {across * 1e3:.0f} mm: {difference / 100:.0f} mbar, "
                f"more than the barometer's {self.barometer_Pa / 100:.0f}; the scale or the "
                "diameter is off"
            )
        text = f"a {across * 1e3:.0f} mm cup let go at {newtons:.0f} N"
        return self.saw("pull", text, says.pull(self._grid(), difference))

    @looks
    def plate_lifts(self, mass: "Measure", bore: "Measure") -> Self:
        """Take in that a plate of this mass inside the pot lifts and hisses over its hole.

        The weighted valve: the hole is open to the room below, and the air from there lifts it.
        Bore 3 to 500 mm. InputError for a mass that cannot lift.
        """
        heavy = units.positive(mass, "kg", "mass")
        across = units.positive(bore, "m", "bore")
        _in_mm(across, PULL_RANGE_M, "bore")
        clamp = heavy * constants.STANDARD_GRAVITY / float(flow.circle(across))
        if clamp >= self.barometer_Pa:
            raise InputError(
                f"mass is {heavy:.3g} kg on {across * 1e3:.0f} mm: {clamp / 100:.0f} mbar, more "
                f"than the barometer's {self.barometer_Pa / 100:.0f}; it cannot lift"
            )
        text = f"a plate of {heavy:.3g} kg inside the pot over a {across * 1e3:.3g} mm hole lifts"
        return self.saw("plate", text, says.plate(self._grid(), heavy, across))

    @looks
    def sensor(self, reading: "Measure", error: "Measure", floor: "Measure | None" = None) -> Self:
        """Take in a sensor or dial, with its 95 % error; floor is the lowest it can show.

        Pressures absolute or, with a word, on a dial. InputError for one above the barometer.
        """
        got = reading_of(reading, self.barometer_Pa, "reading").absolute_Pa
        wrong = units.positive(error, "Pa", "error")
        lowest = None if floor is None else units.positive(floor, "Pa", "floor")
        if got > self.barometer_Pa + wrong:
            raise InputError(
                f"reading is {got / 100:.0f} mbar, above the barometer's "
                f"{self.barometer_Pa / 100:.0f} mbar"
            )
        text = f"a sensor read {mbar_read(got)}, give or take {mbar_read(wrong)}"
        if lowest is not None and got <= lowest + wrong:
            text = f"a sensor stood at its floor of {mbar_read(lowest)}"
        return self.saw("sensor", text, says.sensor(self._grid(), got, wrong, lowest))

    # Resin and pump ---------------------------------------------------------------------------

    @looks
    def went_milky(self, resin: str | Resin, temperature: "Measure") -> Self:
        """Take in that a laminate made at this pressure went milky: boiled, or its air, or neither.

        Alone it proves little.
        """
        record = as_resin(resin)
        T = units.one(temperature, "K", "temperature")
        text = f"{record.title} at {celsius(T, 1)} went milky"
        return self.saw("milky", text, says.milky(self._grid(), record, T))

    @looks
    def saw_white(self, diagnosis: says.WhiteLaminate) -> Self:
        """Take in what a diagnosis of a white laminate made at this pressure says of the bag.

        More than went_milky: where it was white, what a loupe showed and the rest are weighed anew
        at each pressure; what the diagnosis was told of the bag itself is left out.
        """
        if not hasattr(diagnosis, "of_bag"):
            raise InputError(
                f"{str(diagnosis)[:40]!r} is not a diagnosis; give outgas.diagnose(...)"
            )
        if not diagnosis.of_bag:
            raise InputError(
                f"a laminate by {diagnosis.process} says nothing of the bag: the bag does not set "
                "the pressure in its resin"
            )
        text = f"{diagnosis.resin_title} went white, most likely because {diagnosis.leading.title}"
        return self.saw("white", text, says.white(self._grid(), diagnosis.of_bag))

    @looks
    def pump(self, rig: Rig | str) -> Self:
        """Take in what stands behind the bag: a pump of this kind, and perhaps a known leak."""
        known = the_rig(rig)
        kind = known.kind.title if known.kind is not None else "pump"
        bleed = f", with a bleed ({known.bleed})" if known.bleed else ", no bleed"
        return self.saw("pump", f"a {kind} on it{bleed}", says.pump(self._grid(), known))

    # What it comes to -------------------------------------------------------------------------

    def pressure_at(self, share: float) -> float:
        """Return the pressure [Pa] that the bag is below with this chance, 0 to 1."""
        return float(chance.quantile(self._grid().ln_p, chance.cumulative(self.weights), share))

    @property
    def median(self) -> "Quantity":
        """As likely deeper as shallower [Pa]."""
        return units.quantity(self.pressure_at(0.5), "Pa")

    def interval(self, confidence: Any = 0.9) -> "tuple[Quantity, Quantity]":
        """Return the pressures [Pa] between which the bag is with this chance, tails alike.

        OutOfRangeError for a confidence that does not lie between 0 and 1.
        """
        trust = units.one_fraction(confidence, "confidence")
        if not 0.0 < trust < 1.0:
            raise OutOfRangeError(f"confidence is {trust:g}; it lies between 0 and 1")
        ends = 0.5 - 0.5 * trust, 0.5 + 0.5 * trust
        low, high = (units.quantity(self.pressure_at(end), "Pa") for end in ends)
        return low, high

    @overload
    def chance_below(self, pressure: str) -> float: ...
    @overload
    def chance_below(self, pressure: "Quantity") -> Any: ...
    def chance_below(self, pressure: "Measure") -> Any:
        """Return the chance that the bag is deeper than a pressure, absolute or on a dial.

        An array of absolute pressures gives an array of chances.
        """
        if np.ndim(getattr(pressure, "m", 0.0)):
            p = np.asarray(units.si(pressure, "Pa", "pressure"))
            if not (p >= 0.0).all():
                raise InputError("pressure has values below zero, or that are no numbers")
            below = chance.cumulative(self.weights)
            return np.asarray(chance.chance_below(self._grid().ln_p, below, p))
        return self.chance_under(reading_of(pressure, self.barometer_Pa).absolute_Pa)

    def chance_under(self, p: float) -> float:
        """Return the chance that the bag is deeper than p [Pa]."""
        return float(chance.chance_below(self._grid().ln_p, chance.cumulative(self.weights), p))

    @property
    def contradictions(self) -> tuple[Contradiction, ...]:
        """Pairs of observations that cannot both be right, the worst first."""
        found = []
        for a, b in itertools.combinations(self.evidence, 2):
            agreement = float(np.max(a.likelihood * b.likelihood))
            if agreement < CONFLICT:
                found.append(Contradiction(a.text, b.text, agreement))
        return tuple(sorted(found, key=lambda c: c.agreement))

    def to_dict(self) -> dict[str, Any]:
        """Return plain types in SI, the unit in each key, with a version."""
        low, high = self.pressure_at(0.05), self.pressure_at(0.95)
        median = self.pressure_at(0.5)
        return {
            "kind": KIND,
            "version": VERSION,
            "barometer_Pa": self.barometer_Pa,
            "median_Pa": median,
            "low_5_Pa": low,
            "high_95_Pa": high,
            "dials": {
                name: readings.dial_readings(p, self.barometer_Pa)
                for name, p in (("median", median), ("low_5", low), ("high_95", high))
            },
            "evidence": [
                {
                    "kind": e.kind,
                    "text": e.text,
                    "look": to_plain(e.looked, self.barometer_Pa, e.likelihood),
                }
                for e in self.evidence
            ],
            "contradictions": [
                {"first": c.first, "second": c.second, "agreement": c.agreement}
                for c in self.contradictions
            ],
        }


def _in_mm(length: float, span: tuple[float, float], name: str) -> None:
    units.inside(length * 1e3, span[0] * 1e3, span[1] * 1e3, name, "mm")


def _boils_here(T: float, barometer: float, depth: float = 0.0) -> None:
    """Refuse a boiling point that no bag under this barometer can have at this depth."""
    doubt = catalogue.evidence().thermometer.high_si + POINT_DOUBT_K
    under = float(flow.head(says.WATER_DENSITY, depth))
    top = float(says.boils_at(np.array([barometer + under]))[0])
    if top + doubt < T:
        raise InputError(
            f"water at {celsius(T, 1)} would put the bag above the barometer's "
            f"{barometer / 100:.0f} mbar, where water boils at {celsius(top, 1)}"
        )
    if depth and T + doubt < float(says.boils_at(np.array([under]))[0]):
        raise InputError(
            f"depth is {depth * 1e3:.0f} mm: that much water alone boils warmer than "
            f"{celsius(T, 1)}; measure how deep the bulb really is"
        )


def _rubs(parted: float, end: float, back: float) -> None:
    """Refuse two readings further apart [Pa] than a plunger's friction, met twice, can make."""
    most = FRICTION_SPAN * catalogue.evidence().syringe_friction.high_si
    if parted > most:
        raise InputError(
            f"returned is {millilitres(back)} and after is {millilitres(end)}: "
            f"{parted / 100:.0f} mbar apart, more than a plunger's friction makes "
            f"({most / 100:.0f} mbar); both are read at one and the same bag pressure"
        )


def _chip(chip: bool) -> str:
    return " on a fresh chip" if chip else ", no chip"


def _volume(value: Any, name: str) -> float:
    got = units.positive(value, "m**3", name)
    low, high = (v * 1e6 for v in SYRINGE_RANGE_M3)
    units.inside(got * 1e6, low, high, name, "ml")
    return got


def _grew(start: float, end: float, barometer: float, name: str) -> None:
    """Refuse a syringe whose air shrank: it would put the bag above the barometer."""
    if end < start and not math.isclose(start, end):
        raise InputError(
            f"{name} is {millilitres(end)}, less air than the {millilitres(start)} it began with: "
            f"that would put the bag at {barometer * start / end / 100:.0f} mbar, above the "
            f"barometer's {barometer / 100:.0f} mbar"
        )
