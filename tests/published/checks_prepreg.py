"""The checks of prepreg: its drying against textbook tables of the same slab, its humidity.

As in checks.py: the tables through the kernels that the drying of prepreg calls, and through
advise.
"""

import math

from checks import Check
from checks_resin import PREPREG

import outgas
from outgas.physics import drying

# per cent gone: dimensionless time, drained on one face of the half thickness
TERZAGHI = {20: 0.031, 30: 0.071, 50: 0.197, 60: 0.287, 70: 0.403, 80: 0.567, 90: 0.848}
WHY = "the table is printed to three decimals"


def _fourier(gone: int):
    return lambda: float(drying.fourier(1.0 - gone / 100.0))


def _table(gone: int):
    return lambda: TERZAGHI[gone]


def asked(humidity: float) -> outgas.Advice:
    shop = outgas.Shop(temperature="21 degC", humidity=humidity, barometer="1013.25 hPa")
    return outgas.advise(PREPREG, shop, process="prepreg")


def share_borne(humidity: float) -> float:
    """The share of the clamp that fibres may carry in a vacuum bag at 121 degC."""
    verdict = asked(humidity).verdict
    assert verdict is not None
    assert verdict.prepreg is not None
    return verdict.prepreg.found.passes_below_share or 0.0


CHECKS = [
    Check(
        "share that fibres may carry at 25 % humidity and 121 degC",
        "kardos-1986",
        lambda: share_borne(0.25),
        lambda: 1.0 - 4962.0 * math.exp(-4892.0 / 394.15) * 25.0,
        0.03,
        "its own fit of water is up to 2.5 % off the steam tables in this range",
        ("water", PREPREG),
        answer="advise",
    ),
    *(
        Check(f"{gone} % gone", "taylor-1948", _fourier(gone), _table(gone), 0.018, WHY, ())
        for gone in TERZAGHI
    ),
]
