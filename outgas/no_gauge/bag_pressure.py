"""The bag pressure that a builder believes in: look, ask what it means, ask what to look at."""

from dataclasses import dataclass
from typing import Any

from outgas.job.shop import Shop
from outgas.no_gauge.bag_advice import BagAdvice, advice_for, judge
from outgas.no_gauge.belief import Belief
from outgas.no_gauge.next_observation import Candidate, best, candidates
from outgas.no_gauge.words import bag_report, belief_report
from outgas.show.answer import Answer
from outgas.show.report import Report
from outgas.tables.materials import Resin
from outgas.window.advice import Advice


@dataclass(frozen=True, slots=True, eq=False)
class BagPressure(Belief, Answer):
    """A belief about the absolute pressure in a bag.

    Begin with BagPressure.unknown(barometer); each observation returns a new belief and leaves the
    old one as it was. All observations are of one and the same bag pressure: begin anew when the
    pump or the bleed has been touched. Water only, never a solvent or monomer, in the catch pot on
    the pump side, shut off from the part. weights: of each pressure of the grid; they sum to one.
    """

    @property
    def report(self) -> Report:
        """The belief told: where the bag is, by what, and what to beware of."""
        return belief_report(self)

    def advise(self, resin: str | Resin, shop: Shop, **asked: Any) -> BagAdvice:
        """Return the chance that this bag boils or froths a resin, and what would settle it.

        Parameters as in outgas.advise, bag_pressure left out.
        """
        return judge(self, advice_for(self, resin, shop, **asked), bag_report)

    def observations(self, advice: Advice) -> tuple[Candidate, ...]:
        """Return the cheap observations, the one that is expected to tell most first."""
        return candidates(self, advice)

    def next_observation(self, advice: Advice) -> Candidate | None:
        """Return the cheap observation that is expected to settle it best, with its recipe.

        None where none of them would tell anything more.
        """
        return best(self, advice)
