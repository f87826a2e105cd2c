"""Independent reckonings of single bubbles, to hold the batch against. Slow, and library made."""

import itertools

import numpy as np
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

from outgas.physics import bubble, bubble_start
from outgas.physics.bubble_shells import conductances, faces

GAS_CONSTANT = 8.314462618
SPHERE = 4.0 * np.pi / 3.0


def steady(
    *, p=1e5, T=300.0, eta=1e-3, G=0.0, H=(0.1,), D=(1e-10,), sigma=0.0, span=3600.0, at=None
):
    """Conditions that do not change, or change at the times given by 'at' (p, T, eta, G arrays)."""
    t = np.array([0.0, span]) if at is None else np.asarray(at, dtype=float)
    rows = [np.broadcast_to(np.asarray(v, dtype=float), t.shape).copy() for v in (p, T, eta, G)]
    many = [np.tile(np.asarray(v, dtype=float), (t.size, 1)) for v in (H, D)]
    return bubble_start.Conditions(t, *rows, *many, sigma)


def bubbles(
    R, *, p=1e5, T=300.0, H=(0.1,), shares=(1.0,), full=(0.0,), cell=20.0, sigma=0.0, floor=0.0
):
    """Bubbles at rest at p, their gas by shares; 'full' is how far the liquid is saturated."""
    R = np.atleast_1d(np.asarray(R, dtype=float))
    RT = GAS_CONSTANT * T
    inside = p + 2.0 * sigma / R
    gas = np.array([s * inside for s in shares]) * SPHERE * R**3 / RT
    held = np.array([h * f * p / RT for h, f in zip(H, full, strict=True)])
    return bubble_start.Bubbles(R, SPHERE * (cell * R) ** 3, np.full_like(R, floor), gas, held)


def scriven_beta(S):
    """Scriven's growth constant for equal densities left out (eps = 1), by quadrature."""

    def drive(b):
        def f(u):
            return np.exp(3 * b * b - b * b / u**2 - 2 * b * b * u)

        return 2 * b * b * quad(f, 0.0, 1.0, epsabs=1e-13, epsrel=1e-11, limit=200)[0]

    return brentq(lambda b: drive(b) - S, 1e-4, 3.0 * S + 1.0)


def grown_beta(S, nodes=bubble.NODES, times=30.0, tolerance=bubble.TOLERANCE):
    """Scriven's constant by the batch: the slope of R^2 after growing 'times' fold."""
    D, R0, p, H = 1e-10, 1e-6, 1e5, 0.1
    end = 1.4 * (times * R0 / (2.0 * scriven_beta(S))) ** 2 / D
    RT = GAS_CONSTANT * 300.0
    start = bubble_start.Bubbles(
        np.array([R0]), np.array([SPHERE * (12.0 * times * R0) ** 3]), np.zeros(1),
        np.array([[p * SPHERE * R0**3 / RT]]), np.array([(S + H) * p / RT]),
    )  # fmt: skip
    t = np.linspace(0.0, end, 300)
    grown = bubble.grow(steady(eta=1e-6, span=end), start, t, nodes=nodes, tolerance=tolerance)
    R = grown.radius[:, 0]
    fold = R / R0 / times
    part = (fold > 0.5) & (fold < 1.15)
    return float(np.sqrt(np.polyfit(t[part], R[part] ** 2, 1)[0] / (4.0 * D)))


def single(conditions, start, k, times, rtol, nodes=bubble.NODES, method="BDF"):
    """One bubble by solve_ivp on the same shells: the loop that the batch replaces."""
    at = bubble_start.Histories(conditions)
    Y = start.liquid[k] / SPHERE
    y = faces(start.radius[k : k + 1], np.array([Y]), nodes)
    widths, centres = np.diff(y, axis=0)[:, 0], 0.5 * (y[1:] + y[:-1])
    gaps = np.diff(centres, axis=0, prepend=0.0)
    m0, c0, gases = start.gas[:, k] / SPHERE, start.concentration, start.concentration.size
    sigma, zero = conditions.surface_tension, np.zeros((gases, 1))
    gel = [0.0]

    def rate(t, z):
        now = at(t)
        m, c = z[2 : 2 + gases] * m0, z[2 + gases :].reshape(gases, nodes) * c0[:, None]
        R = np.exp(z[0])
        ways = conductances(np.array([R]), centres, gaps)[:, 0]
        density = m / R**3
        wall = (now.H[:, 0] * density)[:, None]
        flux = now.D * ways * np.diff(np.concatenate([wall, c], axis=1), axis=1)
        dc = (np.concatenate([flux[:, 1:], zero], axis=1) - flux) / widths
        drag = Y / (R**3 + Y)
        dx = ((now.RT * density.sum() - now.p - 2 * sigma / R) / drag - z[1]) / (4 * now.eta)
        ds = now.G * bubble_start.stiffness(z[0] - gel[0]) * dx if now.G > 0.0 else 0.0
        return np.concatenate([[dx, ds], flux[:, 0] / m0, (dc / c0[:, None]).ravel()])

    t, firm = conditions.time, conditions.modulus > 0.0
    ends = [t[0], *([t[np.argmax(firm) - 1]] if firm.any() else []), t[-1]]
    z = np.concatenate([[np.log(start.radius[k]), 0.0], np.ones(gases * (nodes + 1))])
    R = np.full(times.size, np.nan)
    for a, b in itertools.pairwise(ends):
        here = (times >= a) & (times <= b)
        when = np.unique(np.append(times[here], b))
        done = solve_ivp(rate, (a, b), z, method=method, rtol=rtol, atol=rtol * 1e-3, t_eval=when)
        assert done.success, done.message
        R[here] = np.exp(np.interp(times[here], when, done.y[0]))
        z = done.y[:, -1]
        gel[0] = z[0]
    return R


def half_life(d, nodes=400, reach=200.0):
    """Time for a bubble to halve in empty liquid, of R0^2/(2 D d), by a moving radial grid.

    No tension, Ostwald d, quasi nothing shared with the batch: r/R - 1 as coordinate, convection
    written out, unit R0 and D.
    """
    q = np.linspace(0.0, 1.0, nodes + 1)
    z = np.expm1(6.0 * q) / np.expm1(6.0) * reach
    a, b = z[1], z[2]

    def rate(_, y):
        R = np.exp(y[0])
        c = np.concatenate([[1.0], y[1:], [0.0]])
        slope = (c[1] * b / (a * (b - a)) - c[2] * a / (b * (b - a)) - c[0] * (a + b) / (a * b)) / R
        dR = d * slope
        r = R * (1.0 + z)
        flux = (0.5 * (r[1:] + r[:-1])) ** 2 * np.diff(c) / np.diff(r)
        spread = np.diff(flux) / (0.5 * (r[2:] - r[:-2])) / r[1:-1] ** 2
        carried = dR / R * (1.0 / (1.0 + z[1:-1]) ** 2 - (1.0 + z[1:-1]))
        return np.concatenate([[dR / R], spread - carried * (c[2:] - c[:-2]) / (z[2:] - z[:-2])])

    def halved(_, y):
        return y[0] - np.log(0.5)

    halved.terminal = True
    done = solve_ivp(
        rate, (0.0, 1.0 / d), np.zeros(nodes), method="BDF", rtol=1e-6, atol=1e-8, events=halved
    )
    return float(done.t_events[0][0] * 2.0 * d)


def shop(count=50, seed=1, *, gels=True):
    """A population with three gases, a pull, an exotherm and a gel: the case that speed is for."""
    t = np.linspace(0.0, 3600.0, 361)
    p = np.interp(t, [0.0, 120.0, 3600.0], [101325.0, 20000.0, 20000.0])
    T = 298.15 + np.interp(t, [0.0, 1500.0, 2100.0, 3600.0], [0.0, 5.0, 35.0, 20.0])
    gel = 1800.0 if gels else 1e9
    eta = np.minimum(0.6 / np.maximum(1.0 - t / gel, 1e-9) ** 1.5, 1e4)
    G = np.where(t > gel, 1e6 * ((t - gel) / 1800.0) ** 2, 0.0)
    RT = GAS_CONSTANT * T
    styrene, water = (a * np.exp(-5300.0 * (1.0 / T - 1.0 / 298.15)) for a in (715.0, 1200.0))
    H = np.stack([np.full_like(t, 0.1), 4300.0 * RT / styrene, 60.0 * RT / water], axis=1)
    D = np.tile([1e-10, 2e-10, 3e-10], (t.size, 1))
    rng = np.random.default_rng(seed)
    R = np.exp(rng.normal(np.log(40e-6), 0.5, count))
    air = p[0] + 2 * 0.033 / R - styrene[0] - water[0]
    partial = np.stack([air, np.full(count, styrene[0]), np.full(count, water[0])])
    gas = partial * SPHERE * R**3 / RT[0]
    held = np.array([0.1 * (p[0] - styrene[0] - water[0]) / RT[0], 4300.0, 60.0])
    cell = np.full(count, np.mean(SPHERE * R**3) / 0.005)
    conditions = bubble_start.Conditions(t, p, T, eta, G, H, D, 0.033)
    return conditions, bubble_start.Bubbles(R, cell, np.zeros(count), gas, held)
