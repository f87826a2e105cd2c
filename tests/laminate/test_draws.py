"""The safe limit of the air against many joint draws of all that is uncertain.

No outside source: two ways to one answer. Sobol's points (scipy) and half bells stand for the
numbers as they may be; the rule of the limits knows only the ends of each and a small lattice.
"""

import numpy as np
import pytest
from shop_cases import ASKED

import outgas
from outgas.errors import OutgasError
from outgas.job.job import job_of
from outgas.laminate.course import course_of, target_of
from outgas.laminate.draws import Drawn, points
from outgas.laminate.gas.together import limit_of
from outgas.window.case.defaults import case_of

DRAWS = 1024
BEYOND = 0.05  # of the draws, at 95 %
COUNTED = 0.005  # how far a share of so many draws may be from that of all there could be
RESINS = {
    "wet layup": ("orthophthalic-polyester", "isophthalic-polyester", "bisphenol-a-vinyl-ester"),
    "infusion": ("epoxy-infusion", "bisphenol-a-vinyl-ester"),
}


def random_case(rng, air):
    process = str(rng.choice(list(RESINS)))
    told = {"process": process}
    if air == "degassed":
        how = rng.choice(["", ", stirred", ", still"])
        told["degassed"] = f"{rng.uniform(10, 150):.0f} mbar for {rng.uniform(5, 60):.0f} min{how}"
    elif air == "known":
        told["air_pressure"] = f"{rng.uniform(50, 600):.0f} mbar"
    if rng.random() < 0.4:
        told["finish"] = "clear"
    else:
        told["void_target"] = str(rng.choice(["0.5 %", "1 %", "2 %", "4 %"]))
    shop = outgas.Shop(
        temperature=f"{rng.uniform(16, 33):.1f} degC",
        humidity=f"{rng.uniform(20, 90):.0f} %",
        altitude=f"{rng.uniform(0, 2500):.0f} m",
    )
    return case_of(job_of(str(rng.choice(RESINS[process])), shop, **{**ASKED, **told}))


@pytest.mark.parametrize("air", ["stirred", "degassed", "known"])
def test_no_more_than_one_joint_draw_in_twenty_lies_beyond_the_safe_limit(air):
    rng = np.random.default_rng({"stirred": 11, "degassed": 12, "known": 13}[air])
    shares, tried = [], 0
    while len(shares) < 20:
        tried += 1
        assert tried < 60
        try:
            here = random_case(rng, air)
        except OutgasError:
            continue
        early = 9000.0 if rng.random() < 0.7 else None
        course, target = course_of(here, early), target_of(here)
        safe = float(limit_of(course, target).safe)
        drawn = Drawn.of(course)
        limits = drawn.limits(points(len(drawn.names), DRAWS), target)
        shares.append(float((limits > safe + 1.0).mean()))
    assert max(shares) <= BEYOND + COUNTED, shares
    assert np.mean(shares) > 0.0  # the draws reach beyond: the test could fail
