"""The checks of prepreg's drying against textbook tables of the same slab.

As in checks.py: here through the kernels that the drying of prepreg calls.
"""

from checks import Check

from outgas.physics import drying

# per cent gone: dimensionless time, drained on one face of the half thickness
TERZAGHI = {20: 0.031, 30: 0.071, 50: 0.197, 60: 0.287, 70: 0.403, 80: 0.567, 90: 0.848}
WHY = "the table is printed to three decimals"


def _fourier(gone: int):
    return lambda: float(drying.fourier(1.0 - gone / 100.0))


def _table(gone: int):
    return lambda: TERZAGHI[gone]


CHECKS = [
    *(
        Check(f"{gone} % gone", "taylor-1948", _fourier(gone), _table(gone), 0.018, WHY, ())
        for gone in TERZAGHI
    ),
    Check(
        "half gone, by the whole thickness squared",
        "crank-1975",
        lambda: float(drying.fourier(0.5)) / 4.0,
        lambda: 0.04919,
        1e-3,
        "printed to four digits",
        (),
    ),
]
