"""Simulated shops without a gauge: what happens in the pot, not what the program believes of it.

Nothing here uses the program's own likelihoods, its curve of water or its tables. Water follows
Buck's formula; a vial cools in time and boils at the first nucleation whose superheat, drawn anew
each time, it has; a plunger sticks and slips; a thermometer trails and is offset; ice follows the
psychrometer. k scales every error: 1 is as stated, 1.5 half as much again.
"""

from dataclasses import dataclass

import numpy as np

ATM = np.array([101325.0, 95461.0, 84560.0])  # sea level, 500 m and 1500 m
LOW, ROOM = 10.0, (15.0, 30.0)
WATER, GRAVITY = 998.0, 9.80665
_T = np.linspace(-45.0, 105.0, 6001)


def buck(celsius):
    """Saturation pressure over water [Pa], Buck 1996."""
    return 611.21 * np.exp((18.678 - celsius / 234.5) * celsius / (257.14 + celsius))


def boils(p):
    """Where water boils [degC], Buck's formula turned round."""
    return np.interp(p, buck(_T), _T)


@dataclass
class Shops:
    """So many shops: their barometers, their bags' true pressures, a random source, errors."""

    n: int
    k: float
    rng: np.random.Generator
    atm: np.ndarray
    p: np.ndarray

    @classmethod
    def draw(cls, n, k=1.0, seed=1, low=LOW, high=None):
        rng = np.random.default_rng(seed)
        atm = ATM[rng.integers(0, ATM.size, n)]
        top = atm if high is None else np.full(n, high)
        p = low * (top / low) ** rng.random(n)
        return cls(n, k, rng, atm, p)

    def log(self, median, low, high):
        """Draw log-normal values, their spread scaled and, being one-sided errors, their median."""
        sigma = np.log(high / low) / 3.92
        return self.k * median * np.exp(sigma * self.rng.standard_normal(self.n))

    def normal(self, u95):
        return self.k * u95 / 1.96 * self.rng.standard_normal(self.n)

    def uniform(self, low, high):
        return self.rng.uniform(low, high, self.n)

    # Water ------------------------------------------------------------------------------------

    def vial(self, T, chip):
        """A vial read at T degC, put in the pot, looked at for a minute: what it read, did it boil.

        It cools to the room and, once it could boil, by evaporation; every ten seconds a site may
        fire if the water is warm enough for it.
        """
        room = self.uniform(*ROOM)
        reading = T + self.normal(1.0) + self.uniform(-0.25, 0.25)
        depth = self.uniform(0.005, 0.03)
        boiling = boils(self.p + WATER * GRAVITY * depth)
        to_room = self.uniform(500.0, 1500.0) / self.k
        evaporates = self.k * self.uniform(0.002, 0.012)
        base = self.log(1.6, 0.6, 5.2) if chip else self.log(8.2, 2.6, 26.0)
        t_look = self.rng.lognormal(np.log(45.0), 0.5, self.n)
        water, boiled = np.array(T, dtype=float) * np.ones(self.n), np.zeros(self.n, bool)
        for second in range(0, 240, 5):
            water -= 5.0 * ((water - room) / to_room + evaporates * (water > boiling))
            if second % 10 == 0:
                needs = base * np.exp(0.4 * self.rng.standard_normal(self.n))
                looking = (second > t_look) & (second < t_look + 60.0)
                boiled |= looking & (water - boiling > needs)
        return reading, boiled

    def bleed_up(self):
        """Boil a vial, bleed the bag up until it falls quiet, shut the bleed: what it then reads.

        Sets the bag's true pressure: where the bleed was shut.
        """
        depth = WATER * GRAVITY * self.uniform(0.005, 0.03)
        water = self.uniform(18.0, 55.0)
        p = buck(water - self.uniform(3.0, 8.0)) - depth
        shown = water + 0.0
        stop = self.log(0.5, 0.12, 2.0)
        cools = self.uniform(0.004, 0.02)
        lag = self.k * self.uniform(5.0, 20.0)
        opens = self.uniform(0.02, 0.06) * 0.055  # of the pressure each second: kelvins a second
        wait = self.k * self.uniform(2.0, 12.0)
        quiet_for, shut, reading = np.zeros(self.n), np.zeros(self.n, bool), np.full(self.n, np.nan)
        step = 0.5
        for _ in range(2400):
            over = water - boils(p + depth)
            lively = over > stop
            water = np.where(lively, water - step * cools * over, water)
            shown += step / lag * (water - shown)
            quiet_for = np.where(lively | shut, quiet_for, quiet_for + step)
            now = ~shut & (quiet_for >= wait)
            reading[now] = shown[now]
            shut |= now
            p = np.where(shut, p, p * (1.0 + opens * step))
            if shut.all():
                break
        assert shut.all()
        self.p = p
        return reading + self.normal(1.0)

    def thermometer(self):
        """A thermometer settled in boiling water: reading and the depth that was told [m]."""
        told = np.round(self.uniform(0.0, 0.04), 3)
        depth = np.maximum(0.0, told + self.normal(0.004))
        over = self.log(0.15, 0.04, 0.55)
        reading = boils(self.p + WATER * GRAVITY * depth) + over + self.normal(1.0)
        return reading, told

    def ice(self):
        """Whether water froze in still vapour: it boils, held up by the wall's heat."""
        water = boils(self.p) + self.log(1.0, 0.25, 4.0)
        return water < -self.log(2.5, 0.8, 7.5)

    def ice_while_bleeding(self):
        """Whether water froze with shop air drawn over it: wet bulb, the walls' heat added."""
        room, humid = self.uniform(*ROOM), self.uniform(0.3, 0.8)
        wall = self.k * self.rng.lognormal(
            np.log(6000.0), 0.7, self.n
        )  # Pa that the heat stands for
        vapour = humid * buck(room) * self.p / self.atm
        low, high = np.full(self.n, -40.0), room.copy()
        for _ in range(40):
            wet = 0.5 * (low + high)
            over = buck(wet) - vapour - 6.6e-4 * (self.p + wall) * (room - wet) > 0.0
            low, high = np.where(over, low, wet), np.where(over, wet, high)
        return wet < -self.log(2.5, 0.8, 7.5)

    # Syringe, tube, cup, sensor ---------------------------------------------------------------

    def syringe(self):
        """Volumes over the first: going down, and coming back from far below to the same pressure.

        The plunger sticks until its static friction is passed, then slips on past its kinetic one.
        """
        static = self.k * 7500.0 * np.exp(0.3 * self.rng.standard_normal(self.n))
        kinetic = static * self.uniform(0.5, 0.85)
        down = self._plunger(self.atm, self.atm, static, kinetic)
        below = np.maximum(self.uniform(0.05, 0.5) * self.p, LOW)
        start = self._plunger(self.atm, self.atm, static, kinetic, below)
        back = self._plunger(below, start, static, kinetic)
        ratio = [self.atm / inside * (1.0 + self.normal(0.04)) for inside in (down, back)]
        return np.maximum(ratio[0], 1.0), np.maximum(ratio[1], np.maximum(ratio[0], 1.0))

    def _plunger(self, p_from, inside, static, kinetic, p_to=None):
        target = self.p if p_to is None else p_to
        inside = inside.copy()
        carries = self.uniform(0.0, 1.0)  # how far a slip runs on past the kinetic friction
        stops = kinetic - carries * np.minimum(static - kinetic, kinetic)
        for share in np.linspace(0.0, 1.0, 160)[1:]:
            p = p_from * (target / p_from) ** share
            pushes = inside - p
            slips = np.abs(pushes) > static
            inside = np.where(slips, p + np.sign(pushes) * stops, inside)
        return inside

    def tube(self):
        """Share of its air that an inverted tube over oil keeps."""
        length = self.uniform(0.15, 0.3)
        oil = self.uniform(850.0, 950.0) * GRAVITY
        dip = self.uniform(0.005, 0.035)
        warm = 1.0 + self.normal(0.02)
        left = np.full(self.n, 0.1) * length
        for _ in range(6):
            rise = np.maximum(0.0, length - left - dip)
            left = length * (self.p + oil * dip) / (self.atm - oil * rise) * warm
        seen = left + self.normal(0.0015)
        return np.clip(seen / length, 1e-4, 1.0)

    def pull(self):
        """Difference from the atmosphere that force over area comes to [Pa]."""
        area = (1.0 + self.normal(0.026)) ** 2
        lost = self.k * self.uniform(0.0, 0.08)
        return (self.atm - self.p) * area * (1.0 - lost) * (1.0 + self.normal(0.06))

    def plate(self):
        """Mass and bore told of a plate over a hole that lifts; sets the true pressure."""
        bore, mass = self.uniform(0.012, 0.03), np.zeros(self.n)
        clamp = self.uniform(0.05, 0.85) * self.atm
        mass = clamp * np.pi / 4.0 * bore**2 / GRAVITY
        ring = bore + self.normal(0.0002) + self.k * self.uniform(0.0, 0.0015)
        really = mass * (1.0 + self.normal(0.02))
        tacky = self.k * self.uniform(0.0, 1000.0)
        self.p = self.atm - really * GRAVITY / (np.pi / 4.0 * ring**2) - tacky
        self.p = np.maximum(self.p, LOW)
        return mass, bore

    def sensor(self, error):
        return np.maximum(self.p + self.normal(error), 0.0)

    def milky(self):
        """Whether polyester at 26 degC goes milky: boiled, or bubbles of its air, or by chance.

        A bag pulled straight for twenty minutes over 1 mm of cloth at 45 % of fibres. Bubbles start
        on what was stirred in and between filaments, each drains a cell of resin, and what is over
        the trapped share of the space connects and leaves.
        """
        water = self.uniform(0.36, 1.0) * buck(26.0)
        vapour = 760.0 * (1.0 + self.normal(0.12)) + water
        degassed = self.rng.random(self.n) < 0.1
        held = np.where(degassed, self.uniform(0.2, 0.6), 1.0) * (self.atm - vapour)
        solubility = 0.10 * (1.0 + self.normal(0.4))
        stirred = self._spread(0.005, 0.002, 0.01)
        above = np.maximum(self.p - vapour, 1.0)
        sphere, radius = 4.0 * np.pi / 3.0, self._spread(2e-4, 1e-4, 4e-4)
        over = np.clip((held - above) / 101325.0, 0.0, 1.0)
        pockets = over ** (5.0 + self.normal(2.0)) / (
            sphere * self._spread(1e-4, 5e-5, 2.5e-4) ** 3
        )
        count = stirred / (sphere * radius**3) + pockets
        cell = (1.0 / (sphere * count)) ** (1.0 / 3.0)
        drained = -np.expm1(-1200.0 * np.pi**2 * self._spread(1e-10, 1e-11, 1e-9) / cell**2)
        swollen = stirred * (self.atm - vapour) / above
        settled = np.maximum(swollen + solubility * (held / above - 1.0), 0.0)
        trapped = self._spread(0.06, 0.03, 0.12)
        gas = np.minimum(swollen + drained * (settled - swollen), trapped / (1.0 - trapped))
        void = 0.55 * gas / (1.0 + 0.55 * gas)
        bubble = np.cbrt(np.maximum(gas, 1e-9) / (sphere * count))
        depth = 1.5 * void * 1e-3 / bubble
        eye = np.exp(self.k * np.log(1.5 / 0.7) / 3.92 * self.rng.standard_normal(self.n))
        chance = self.rng.random(self.n) < 0.1
        return (self.p <= vapour) | (depth > eye) | chance

    def _spread(self, median, low, high):
        """Draw log-normal values about a median, their spread scaled with the errors."""
        sigma = np.log(high / low) / 3.92
        return median * np.exp(self.k * sigma * self.rng.standard_normal(self.n))

    def pump(self, displacement, bore, length):
        """Where a two-stage pump brings a bag nobody tested; sets the true pressure."""
        plate = 1.0 * np.exp(1.0 * self.rng.standard_normal(self.n))  # Pa
        worn = 1.0 + self.rng.lognormal(np.log(8.0), 1.0, self.n)
        leak = 0.03 * np.exp(1.4 * self.k * self.rng.standard_normal(self.n))  # Pa m3/s
        speed = displacement * self.uniform(0.7, 1.0)
        inlet = plate * worn + leak / speed
        per_pascal = np.pi * bore**4 / (256.0 * 18.3e-6 * length)  # laminar, of p**2
        self.p = np.clip(np.sqrt(inlet**2 + leak / per_pascal), LOW, 0.9 * self.atm)


def look(seen, n):
    """Pick the shops in which something was seen, as indices."""
    return np.flatnonzero(seen[:n])
