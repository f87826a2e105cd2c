"""Where to hold a degassing pot of plain resin."""

from outgas.job.job import Job
from outgas.job.process import potting
from outgas.laminate.liquid import Liquid
from outgas.laminate.vapour import vapour
from outgas.window.limits import margin_over
from outgas.window.reach import margin_of, reach_of


def pot_ends(job: Job, liquid: Liquid) -> tuple[float, float, float]:
    """Return a pot's deepest, where to hold it, and the weakest that is worth the time [Pa].

    Held clear of boiling by the error of reading, and no deeper than the pump is sure to reach;
    what was spilt into the resin boils too. A hold weaker than the last takes out too little.
    """
    plain, here = vapour(liquid, liquid.shop_K), liquid.barometer_Pa
    low = margin_over(job, plain.nominal, plain.high, known=False)[1]
    hold = max(low + margin_of(job.but(process=potting()), low), reach_of(job) or 0.0)
    weakest = potting().weakest_bag
    high = here if weakest is None else min(weakest.si, here)
    return min(low, here), min(hold, here), high
