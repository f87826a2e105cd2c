"""The bag pressure that a builder believes in: look, ask what it means, ask what to look at."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from outgas.job.saved import Job
from outgas.job.shop import Shop
from outgas.no_gauge.bag_advice import BagAdvice, advice_for, judge
from outgas.no_gauge.belief import KIND, VERSION, Belief
from outgas.no_gauge.charts import belief_charts
from outgas.no_gauge.kept import looked_again
from outgas.no_gauge.next_observation import Candidate, best, candidates
from outgas.no_gauge.words import bag_report, belief_report
from outgas.show import plain
from outgas.show.answer import Answer
from outgas.show.chart import Maker
from outgas.show.report import Report
from outgas.tables.materials import Resin
from outgas.window.advice import Advice


@dataclass(frozen=True, slots=True, eq=False, repr=False)
class BagPressure(Belief, Answer):
    """A belief about the absolute pressure in a bag.

    Begin with BagPressure.unknown(barometer); each observation returns a new belief and leaves the
    old one as it was. All observations are of one and the same bag pressure: begin anew when the
    pump or the bleed has been touched. Water only, never a solvent or monomer, in the catch pot on
    the pump side, shut off from the part. weights: of each pressure of the grid; they sum to one.

    Notes
    -----
    Bayes' rule on a grid of ln p, flat before any look: the weight of p is in proportion to the
    product of the likelihoods L_i(p), each blended with a small chance that the look was mistaken
    (an estimate). What each look says, with errors from data/observations.toml (most estimates):

    - saw_boiling, stayed_quiet, fell_quiet, boiling_thermometer: T_sat(p + rho g h) + superheat,
      T_sat of water by CoolProp (Bell, Wronski, Quoilin and Lemort 2014); ice_formed: water boils
      at 0 degC or colder.
    - syringe: Boyle's law, p = p_atm V_before / V_after, less the plunger's friction;
      inverted_tube, over oil: p = p_atm L_after / L_before, less the head of oil.
    - pull: p = p_atm - F/A; plate_lifts: p = p_atm - m g / A: balances of force.
    - sensor: p = reading, with a normal error; pump: p = p_ultimate + q_leak / S.
    - went_milky, saw_white: the pressures at which such a resin boils, or frees air, as in
      outgas.advise and outgas.diagnose.

    Examples
    --------
    Water that boils says that the bag is deep, and falling quiet says how deep:

    >>> bag = BagPressure.unknown("1013 mbar")
    >>> bag.saw_boiling("30 degC", chip=True).chance_below("60 mbar") > 0.9
    True
    >>> bag.stayed_quiet("30 degC").median > bag.median > bag.ice_formed().median
    True
    >>> low, high = bag.fell_quiet("30 degC").interval()
    >>> low < bag.boiling_thermometer("30 degC").median < high * 1.2
    True

    Air in a syringe or a tube, forces, instruments, and the pump:

    >>> bag.inverted_tube("100 mm", "10 mm").chance_below("150 mbar") > 0.9
    True
    >>> bag.syringe("1 ml", "10 ml").median < bag.syringe("1 ml", "2 ml").median
    True
    >>> bag.pull("450 N", "80 mm").median < bag.pull("400 N", "80 mm").median
    True
    >>> bag.plate_lifts("2.9 kg", "20 mm").median < bag.plate_lifts("2 kg", "20 mm").median
    True
    >>> round(bag.sensor("100 mbar", "2 mbar").median.to("mbar").m, -1)
    100.0
    >>> bag.pump("5 m3/h two-stage pump").chance_below("100 mbar") > 0.9
    True

    A laminate that went white, and looks that cannot all be right:

    >>> import outgas
    >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
    >>> white = outgas.diagnose("epoxy-laminating", shop, seen={"where": "on strands"})
    >>> bag.saw_white(white).evidence[0].kind, bag.went_milky("epoxy-laminating", "22 degC") is bag
    ('white', False)
    >>> doubtful = bag.sensor("60 mbar", "2 mbar").fell_quiet("60 degC")
    >>> len(doubtful.contradictions), len(doubtful.to_dict()["contradictions"])
    (1, 1)

    Its weights in plain numbers, and a look of one's own:

    >>> round(bag.chance_under(bag.pressure_at(0.3)), 2)
    0.3
    >>> guess = bag.saw("guess", "never under 10 mbar", bag.weights.cumsum())
    >>> guess.median > bag.median
    True
    """

    _shown = ("barometer_Pa", "median.m")

    @property
    def _well(self) -> bool:
        return not self.contradictions

    @classmethod
    def from_dict(cls, found: Mapping[str, Any], *, anew: bool = False) -> Self:
        """Return the belief that to_dict() gave: each look is taken in again.

        Parameters
        ----------
        found
            What to_dict() gave, also by way of JSON.
        anew
            True: whatever comes out now, without a look at the numbers in it.

        Returns
        -------
        An equal belief; InputError for anything else, and where its numbers do not come out again.

        Examples
        --------
        >>> bag = BagPressure.unknown("1013 mbar").fell_quiet("30 degC").pull("400 N", "80 mm")
        >>> BagPressure.from_dict(bag.to_dict()) == bag
        True
        """
        got = plain.of_kind(found, KIND, VERSION)
        belief = cls.unknown(plain.amount(got.get("barometer_Pa"), "Pa", "barometer_Pa"))
        for evidence in plain.listed(got.get("evidence"), "evidence"):
            belief = looked_again(belief, evidence)
        if not anew:
            plain.same_numbers(got, belief.to_dict(), KIND, without=("evidence",))
        return belief

    @property
    def makers(self) -> Mapping[str, Maker]:
        """Its charts, each by what makes it."""
        return belief_charts(self)

    @property
    def report(self) -> Report:
        """The belief told: where the bag is, by what, and what to beware of."""
        return belief_report(self)

    def advise(self, resin: str | Resin | Job, shop: Shop | None = None, **asked: Any) -> BagAdvice:
        """Return the chance that this bag boils or froths a resin, and what would settle it.

        Parameters
        ----------
        resin, shop, asked
            As in outgas.advise, a Job too, bag_pressure left out; the shop's barometer is the
            belief's.

        Returns
        -------
        A BagAdvice: chances 0 to 1, verdict, the looks that would tell most, and the advice.

        Raises
        ------
        InputError
            For bag_pressure, a process without a bag, or another place's barometer; else as
            outgas.advise.

        Notes
        -----
        Chances are sums of the belief's weights beyond the advice's pressures.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> bag = BagPressure.unknown(shop.barometer).saw_boiling("25 degC", chip=True)
        >>> bag.advise("orthophthalic-polyester", shop).safe
        False
        """
        return judge(self, advice_for(self, resin, shop, **asked), bag_report)

    def observations(self, advice: Advice) -> tuple[Candidate, ...]:
        """Return the cheap observations, the one that is expected to tell most first.

        Notes
        -----
        Ranked by expected information [bits] about whether the bag boils, froths, is safe or too
        weak: the mean fall of entropy (Shannon 1948) over the readings that each may give.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> bits = [look.bits for look in BagPressure.unknown(shop.barometer).observations(advice)]
        >>> bits == sorted(bits, reverse=True)
        True
        """
        return candidates(self, advice)

    def next_observation(self, advice: Advice) -> Candidate | None:
        """Return the cheap observation that is expected to settle it best, with its recipe.

        None where none of them would tell anything more; the quicker one of two alike.

        Notes
        -----
        As in observations.

        Examples
        --------
        >>> import outgas
        >>> shop = outgas.Shop(temperature="22 degC", humidity="50 %")
        >>> advice = outgas.advise("orthophthalic-polyester", shop)
        >>> look = BagPressure.unknown(shop.barometer).next_observation(advice)
        >>> look.minutes > 0.0 and len(look.recipe) > 0
        True
        """
        return best(self, advice)
