"""Shops that make panels, by a mechanism of their own: nothing here is asked of the balance.

What happens in these shops' laminates is another story than the program's: pockets of three sizes
that wake one after the other, growth as the root of time, gas that leaves at a rate and not at
once, bubbles that shrink in a straight line, resin that thickens little by little. The eyes are two
people's, dials are out and some of them badly, some notes are wrong.

Numbers of shops are drawn from the bells of the tables, so that what the program believes before
any panel is right on average, and only there.
"""

from dataclasses import dataclass

import numpy as np

RESIN, TEMPERATURE, HUMIDITY = "orthophthalic-polyester", "22 degC", "50 %"
AIR_Pa, VAPOUR_Pa, HOT_VAPOUR_Pa = 101325.0, 1150.0, 1350.0  # of this resin here, roughly
FIBRE, THICK_m = 0.45, 1e-3
DEBULK_Pa, DEBULK_s, HOLD_s = 9000.0, 600.0, 1200.0
STEPS = 40  # of the clock, in each step of a job
TOLD_mbar = np.array([200, 240, 280, 330, 380, 440, 500, 570, 640, 720, 800])  # after a debulk
STRAIGHT_mbar = np.array([440, 500, 570, 640, 690, 730, 770, 810, 850, 890, 930])
LYING = 0.05  # of the notes
BAD_DIALS, BAD_Pa, DIAL_Pa = 0.1, 4000.0, 1200.0
SCATTER = 0.35  # of a panel's gas, in its logarithm
LOOKS = ("clear", "hazy", "milky")


@dataclass(frozen=True)
class Shops:
    """Numbers of many shops, each an array over them."""

    trapped: np.ndarray
    connected: np.ndarray
    spacing_m: np.ndarray
    waking: np.ndarray
    solubility: np.ndarray
    diffusivity: np.ndarray
    entrained: np.ndarray
    big_m: np.ndarray
    clear: np.ndarray
    milky: np.ndarray
    dial_Pa: np.ndarray

    @property
    def count(self) -> int:
        """How many there are."""
        return self.trapped.size


def bell(rng, count, nominal, low, high, factor=False):
    """Return draws from two half bells that meet at the nominal."""
    way = rng.standard_normal(count) / 1.96
    end = np.where(way > 0.0, high, low)
    if factor:
        return nominal * (end / nominal) ** np.abs(way)
    return np.clip(nominal + np.abs(way) * (end - nominal), 1e-4, 1.0)


def shops(count: int, seed: int) -> Shops:
    """Return so many shops."""
    rng = np.random.default_rng(seed)
    clear = bell(rng, count, 0.3, 0.2, 0.5, factor=True)
    bad = rng.random(count) < BAD_DIALS
    return Shops(
        trapped=bell(rng, count, 0.06, 0.03, 0.12),
        connected=bell(rng, count, 0.8, 0.4, 1.0),
        spacing_m=bell(rng, count, 1e-4, 0.5e-4, 2.5e-4, factor=True),
        waking=bell(rng, count, 5.0, 3.0, 7.0, factor=True),
        solubility=bell(rng, count, 0.10, 0.06, 0.14),
        diffusivity=bell(rng, count, 1e-10, 1e-11, 1e-9, factor=True),
        entrained=bell(rng, count, 0.005, 0.002, 0.01),
        big_m=bell(rng, count, 2e-4, 1e-4, 4e-4, factor=True),
        clear=clear,
        milky=np.maximum(bell(rng, count, 1.0, 0.7, 1.5, factor=True), 1.3 * clear),
        dial_Pa=np.where(bad, BAD_Pa * rng.choice([-1.0, 1.0], count), 0.0)
        + DIAL_Pa * rng.standard_normal(count),
    )


def laminate(of: Shops, cure_Pa: np.ndarray, debulk: bool) -> tuple[np.ndarray, np.ndarray]:
    """Return the void fraction and the optical depth of a panel of each shop, by their own story.

    cure_Pa may have more axes before that of the shops.
    """
    shape = np.broadcast_shapes(np.shape(cure_Pa), (of.count,))
    whole = of.entrained * (AIR_Pa - VAPOUR_Pa) + of.solubility * (AIR_Pa - VAPOUR_Pa)
    gas = np.broadcast_to(whole, shape).copy()  # all air, as pressure times volume
    gone = np.zeros(shape)
    free = np.broadcast_to(of.entrained, shape).copy()
    full = 3.0 / (4.0 * np.pi * of.spacing_m**3)
    few = of.entrained * 3.0 / (4.0 * np.pi * of.big_m**3)
    awake = np.zeros(shape)
    steps = [(np.full(shape, DEBULK_Pa), VAPOUR_Pa, DEBULK_s)] if debulk else []
    steps.append(
        (np.broadcast_to(cure_Pa, shape), HOT_VAPOUR_Pa, HOLD_s + (0 if debulk else DEBULK_s))
    )
    before = AIR_Pa - VAPOUR_Pa
    for pressure, vapour, seconds in steps:
        x = np.maximum(pressure - vapour, 50.0)
        over = np.clip((AIR_Pa - VAPOUR_Pa - x) / AIR_Pa, 0.0, 1.0)
        # three sizes of pockets: each wakes around its own pull, the small ones last
        share = sum(
            weight / (1.0 + np.exp(-(over - (1.0 - 2.2 / of.waking * k)) * 18.0))
            for weight, k in ((0.02, 1.4), (0.18, 0.8), (0.80, 0.2))
        )
        awake = np.maximum(awake, share)
        n = few + full * awake
        free = free * before / x
        before = x
        cell = (3.0 / (4.0 * np.pi * n)) ** (1.0 / 3.0)
        dt = seconds / STEPS
        for i in range(STEPS):
            thick = 1.0 - 0.5 * ((i + 0.5) / STEPS) ** 2  # it thickens little by little
            speed = thick * of.diffusivity
            settled = np.maximum(0.0, gas / x - of.solubility)
            rate = 3.2 * np.sqrt(speed / np.maximum((i + 0.5) * dt, 1.0)) / cell  # root of time
            grown = free + (settled - free) * (1.0 - np.exp(-rate * dt / 1.8))
            R = (3.0 * np.maximum(free, 1e-12) / (4.0 * np.pi * n)) ** (1.0 / 3.0)
            short = np.maximum(of.solubility - (gas - free * x) / x, 0.03 * of.solubility)
            shrunk = np.maximum(settled, free - free * 2.5 * speed * short * dt / R**2)
            free = np.where(settled > free, grown, shrunk)
            held = of.trapped / (1.0 - of.trapped)
            can = of.connected * np.maximum(whole - (held + of.solubility) * x, 0.0) - gone
            leaves = np.minimum(np.maximum(free - held, 0.0) * 0.7, np.maximum(can, 0.0) / x)
            free = free - leaves
            gas = gas - leaves * x
            gone = gone + leaves * x
            # what cannot leave through the bag is squeezed out at the edges in the end
            free = np.minimum(free, held * 1.15)
    voids = free * (1.0 - FIBRE) / (1.0 + free * (1.0 - FIBRE))
    R = (3.0 * np.maximum(free, 1e-12) / (4.0 * np.pi * n)) ** (1.0 / 3.0)
    sizes = (0.7, 1.0, 1.3)  # bubbles of one laminate are not of one size
    depth = sum(1.5 * voids * THICK_m / (R * s) for s in sizes) / len(sizes)
    return voids, depth


def limits(of: Shops, debulk: bool, target: float = 0.02) -> np.ndarray:
    """Return the highest pressure at which a shop's laminate fails its void target [Pa]."""
    scan = np.linspace(AIR_Pa, 1500.0, 400)
    failing = laminate(of, scan[:, None], debulk)[0] > target
    first = failing.argmax(axis=0)
    found = scan[np.maximum(first - 1, 0)]
    return np.where(failing.any(axis=0), found, 0.0)


def log(of: Shops, debulk: bool, panels: int, seed: int, measured: float = 0.0):
    """Return what each shop writes down of each panel: told mbar, look, voids or None."""
    rng = np.random.default_rng(seed)
    told = rng.choice(TOLD_mbar if debulk else STRAIGHT_mbar, (panels, of.count))
    true = told * 100.0 + of.dial_Pa + 500.0 * rng.standard_normal(told.shape)
    voids, depth = laminate(of, np.clip(true, 1500.0, AIR_Pa), debulk)
    times = np.exp(SCATTER * rng.standard_normal(told.shape))
    voids, depth = voids * times + 0.001, depth * times
    second = np.exp(0.15 * np.where(rng.random(told.shape) < 0.4, 1.0, -1.0))  # two people's eyes
    soft = np.exp(0.12 * rng.logistic(size=told.shape))
    seen = (depth * soft > of.clear * second).astype(int) + (depth * soft > of.milky * second)
    lies = rng.random(told.shape) < LYING
    seen = np.where(lies, rng.integers(0, 3, told.shape), seen)
    counted = np.where(
        lies, rng.random(told.shape) * 0.08, voids + 0.0025 * rng.standard_normal(told.shape)
    )
    counts = rng.random(told.shape) < measured
    return [
        [
            (
                float(told[p, s]),
                LOOKS[seen[p, s]],
                float(max(counted[p, s], 0.0)) if counts[p, s] else None,
            )
            for p in range(panels)
        ]
        for s in range(of.count)
    ]
