"""Bubbles in a named resin under histories of pressure, heat and cure, with units at the door."""

import math
import warnings
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from outgas import constants, units
from outgas.errors import InputError, OutOfRangeError
from outgas.laminate.bubble_history import BubbleHistory, Clock, clock_of, radii
from outgas.laminate.pressures import STANDARD_ATMOSPHERE_PA, partial_pressures
from outgas.physics import bubble, bubble_start, cure
from outgas.tables import catalogue, rates
from outgas.tables.catalogue import as_resin
from outgas.tables.materials import Resin, Transport

if TYPE_CHECKING:
    from outgas.units import Measure

    Floats: TypeAlias = NDArray[np.float64]

REFERENCE_K = 298.15  # of the viscosities and diffusivities in the tables
ENTRAINED_LEAST = 1e-12  # of no bubble that anyone could find
ENTRAINED_LIMIT = 0.3  # beyond it bubbles touch from the start
# Past the gel the steady viscosity is endless but the network soft: this much still drags, and the
# modulus holds. A resin said to be firmer than this without a cure history counts as gelled.
GEL_VISCOSITY = 1e4  # Pa s
AIR_LIMIT_PA = 1e8  # that resin could hold, in any autoclave
MOST_BUBBLES, MOST_TIMES = 5000, 5000  # a quarter of a minute each
MOST_RESULTS = 1_000_000  # bubbles times times: what is kept of each
LEAST_ACTIVITY = 1e-6  # so that bone-dry over bone-dry is a number
LEAST_PRESSURE_PA = 1e-3  # of a monomer that has all reacted
MASS_ERROR = 1e-6  # of each gas; more is a fault of the reckoning


@dataclass(frozen=True, slots=True)
class _Cure:
    """Viscosity and modulus over time, and when it gelled."""

    viscosity: "Floats"
    modulus: "Floats"
    gel_s: float | None


def _crossing(t: "Floats", y: "Floats", level: float) -> float | None:
    """Return when y first reaches a level, straight between samples, or None."""
    above = np.flatnonzero(y >= level)
    if not above.size:
        return None
    i = int(above[0])
    if i == 0:
        return float(t[0])
    return float(np.interp(level, [y[i - 1], y[i]], [t[i - 1], t[i]]))


def _cure(record: Resin, clock: Clock, T: "Floats", given: Any, alpha: "Floats | None") -> _Cure:
    """Return how the resin thickens and sets, from what was given or from the tables."""
    family = rates.family_of(record)
    t, none = clock.grid, np.zeros_like(T)
    eta: Floats
    E = family.viscosity_energy.si
    if given is not None:
        eta = clock.history(given, "Pa*s", "viscosity", 1e-5, np.inf)
    else:
        eta = np.asarray(cure.viscosity(cure.Thickening(record.viscosity.si, E), 0.0, T))
    if alpha is None:
        return _Cure(eta, none, _crossing(t, np.log(eta), float(np.log(GEL_VISCOSITY))))
    a = (record.gel_conversion or family.gel_conversion).si
    if given is None:
        liquid = cure.Thickening(record.viscosity.si, E, family.viscosity_exponent.si, a)
        eta = np.asarray(cure.viscosity(liquid, alpha, T))
    network = cure.Network(family.modulus.si, family.modulus_exponent.si, a)
    modulus = np.asarray(cure.modulus(network, alpha))
    return _Cure(np.minimum(eta, GEL_VISCOSITY), modulus, _crossing(t, alpha, a))


@dataclass(frozen=True, slots=True)
class _Stock:
    """A resin and what it has taken up: how gas moves in it, and its water and air as told."""

    resin: Resin
    move: Transport
    water_activity: Any
    air_pressure: Any


@dataclass(frozen=True, slots=True)
class _Gases:
    """The gases of a resin: names, pressure of each over it, and what it holds and lets through."""

    names: tuple[str, ...]
    vapour: "Floats"  # (M, I - 1), without air
    concentration: "Floats"  # (I,)
    solubility: "Floats"  # (M, I)
    diffusivity: "Floats"  # (M, I)


def _gases(stock: _Stock, T: "Floats", alpha: "Floats | None") -> _Gases:
    """Return the gases that push over a resin; air first."""
    record, move, a_w = stock.resin, stock.move, stock.water_activity
    conversion = 0.0 if alpha is None else alpha
    pressures = partial_pressures(record, units.quantity(T, "K"), a_w, conversion)
    over = {name: np.broadcast_to(q.m_as("Pa"), T.shape) for name, q in pressures.items()}
    over = {name: p for name, p in over.items() if p[0] > 0.0}
    wet = record.water_activity.si if a_w is None else units.one_fraction(a_w, "water activity")
    held = {part.volatile: part.fraction.si for part in record.part if part.volatile}
    if "water" in held:  # a resin that holds water of its own: as much as its record says
        held["water"] *= wet / max(record.water_activity.si, wet, LEAST_ACTIVITY)
    else:
        held["water"] = move.water_saturation.si * wet
    RT = constants.GAS_CONSTANT * T
    p_v0 = float(sum(p[0] for p in over.values()))
    air = STANDARD_ATMOSPHERE_PA - p_v0
    if stock.air_pressure is not None:
        air = units.positive(stock.air_pressure, "Pa", "air pressure", zero=True)
        units.inside(air, 0.0, AIR_LIMIT_PA, "air pressure", "Pa")
    L = record.air_solubility.si
    c = [L * max(air, 0.0) / RT[0]]
    H = [np.full_like(T, L)]
    D = [np.full_like(T, move.air_diffusivity.si)]
    for name, p in over.items():
        volatile = catalogue.volatile(name)
        c.append(held[name] * record.density.si / volatile.molar_mass.si)
        H.append(c[-1] * RT / np.maximum(p, LEAST_PRESSURE_PA))
        kind = move.water_diffusivity if name == "water" else move.monomer_diffusivity
        D.append(np.full_like(T, kind.si))
    E = move.diffusion_energy.si / constants.GAS_CONSTANT
    warm = np.exp(-E * (1.0 / T - 1.0 / REFERENCE_K))[:, None]
    vapour = np.array(list(over.values())).reshape(len(over), T.size).T
    return _Gases(("air", *over), vapour, np.array(c), np.array(H).T, np.array(D).T * warm)


@dataclass(frozen=True, slots=True)
class _Nuclei:
    """The bubbles at time zero, and how many of each there are per volume of resin."""

    bubbles: bubble_start.Bubbles
    per_volume: "Floats"


@dataclass(frozen=True, slots=True)
class _Sizes:
    """The bubbles that were asked about: radii, how many of each, crevices, air stirred in."""

    radius: "Floats"
    number: Any
    crevices: Any
    entrained: float

    def shares(self) -> "Floats":
        """Return how many there are of each radius, one to another."""
        R, number = self.radius, self.number
        try:
            with warnings.catch_warnings():  # a unit stripped, an imaginary part cut off
                warnings.simplefilter("error")
                share = np.ones_like(R) if number is None else np.asarray(number, dtype=float)
        except (TypeError, ValueError, UserWarning, RuntimeWarning):
            said = f"number is {number!r}; give one plain number for each radius"
            raise InputError(said) from None
        if share.shape != R.shape or not np.all(np.isfinite(share) & (share > 0.0)):
            raise InputError("number needs one value above zero for each radius")
        return share

    def held(self) -> list[tuple[float, float]]:
        """Return radius and number per volume of the nuclei in crevices."""
        if self.crevices is None:
            return []
        if not isinstance(self.crevices, Mapping):
            raise InputError(
                f"crevices is {f'{self.crevices!r}'[:60]}; write {{'3 um': '20 1/mm3'}}"
            )
        return [
            (
                float(radii(size)[0]),
                units.positive(density, "1/m**3", f"crevices of {size}"),
            )
            for size, density in self.crevices.items()
        ]


def _nuclei(sizes: _Sizes, gases: _Gases, p: float, T: float, sigma: float) -> _Nuclei:
    """Return the population: entrained bubbles, whose amount sets the cells, and crevice nuclei."""
    R, share, held = sizes.radius, sizes.shares(), sizes.held()
    radius = np.array([*R, *(r for r, _ in held)])
    vapour = float(gases.vapour[0].sum())
    inside = p + 2.0 * sigma / radius
    worst = float(np.min(inside))
    if vapour >= worst:
        raise InputError(
            f"at the start the vapour pushes {vapour / 100:.1f} mbar against {worst / 100:.1f} "
            "mbar in the largest bubble: the resin boils; start from a pressure at which it is "
            "quiet"
        )
    V = 4.0 * np.pi / 3.0 * radius**3
    RT = constants.GAS_CONSTANT * T
    partial = np.vstack([inside - vapour, *(np.full_like(radius, v) for v in gases.vapour[0])])
    gas = partial * V / RT
    # entrained air is measured at one atmosphere, the resin's own vapour with it
    stirred = float(gas[0, : R.shape[0]] @ share)
    liquid = stirred * RT / (sizes.entrained * (STANDARD_ATMOSPHERE_PA - vapour))
    per_volume = np.array([*(share / liquid), *(density for _, density in held)])
    cell = 1.0 / float(per_volume.sum())
    floor = np.array([*np.zeros_like(R), *(r for r, _ in held)])
    start = bubble_start.Bubbles(
        radius, np.full_like(radius, cell), floor, gas, gases.concentration
    )
    return _Nuclei(start, per_volume)


def bubble_growth(
    resin: str | Path | Resin,
    radius: Any,
    time: Any,
    temperature: Any,
    pressure: Any,
    entrained: Any = "0.5 %",
    viscosity: Any = None,
    cure: Any = None,
    air_pressure: "Measure | None" = None,
    water_activity: Any = None,
    *,
    number: Any = None,
    crevices: "dict[str, Measure] | None" = None,
    escape: Any = 0.0,
    tolerance: float = bubble.TOLERANCE,
    nodes: int = bubble.NODES,
) -> BubbleHistory:
    """Return what becomes of bubbles in a resin while its pressure, heat and cure change.

    Parameters
    ----------
    resin
        A name of outgas.resins(), the path of a TOML file, or a record.
    radius
        Of the bubbles at the start, at the first pressure; one or many, 0.5 um to 5 mm: '50 um'.
    time
        Times that rise, or one length such as '1 h'. Histories run straight between them.
    temperature, pressure
        One value, or one per time; absolute, in the resin.
    entrained
        Air in those bubbles by volume of resin at one standard atmosphere; it sets the cells.
    viscosity
        One per time ('Pa s'; infinity is a solid); the resin's own, by temperature and cure, if
        not given.
    cure
        Conversion per time, 0 to 1; past the gel the modulus holds the bubbles. Liquid throughout
        if not given.
    air_pressure
        What the dissolved air is in equilibrium with; one atmosphere less the vapour if not given.
    water_activity
        0 to 1; the sealed drum's if not given.
    number
        How many of each radius there are, one to another; as many of each if not given. This and
        all that follows is given by name only.
    crevices
        Nuclei held between filaments, that never shrink below their size: radius to number per
        volume of resin, {'3 um': '20 1/mm3'}.
    escape
        Share of the bubbles that has left for the breather by the gel, evenly; none if not given.
        An assumption of yours: no source is known.
    tolerance, nodes
        Error of ln R allowed per step; shells of resin reckoned round each bubble.

    Returns
    -------
    A BubbleHistory: .radius [m], .gas [mol] by species, .void_fraction, .composition,
    .reflectance() and, printed, what there is at the gel and after it.

    Raises
    ------
    InputError, OutOfRangeError, UnknownNameError
        For radii that cannot be, times that do not rise, gaps, a pressure below zero, a resin that
        boils at the start, or a temperature beyond the tables.

    Notes
    -----
    Vapours follow outgas.partial_pressures; diffusivities and the like are those of the resin's
    family in data/transport.toml, mostly estimates within a factor of ten. Diffusion does not slow
    down with cure, so past the gel the numbers lean to more gas.

    A bubble of radius R in its own cell, free of inertia, after Rayleigh and Plesset; each gas i
    diffuses to it, as in Epstein and Plesset (1950) and Scriven (1959), from memory; past the gel a
    neo-Hookean network of modulus G pulls with s; f is the bubble's share of its cell:

        (1 - f)(4 eta R'/R + s) = sum p_i - p - 2 sigma/R
        d(p_i R^3 / (3 R_g T))/dt = R^2 D_i dc_i/dr

    Examples
    --------
    >>> time, heat, bag = "10 min", "25 degC", "300 mbar"
    >>> full = bubble_growth("orthophthalic-polyester", "50 um", time, heat, bag)
    >>> degassed = bubble_growth(
    ...     "orthophthalic-polyester", "50 um", time, heat, bag, air_pressure="100 mbar"
    ... )
    >>> bool(full.radius[-1, 0] > degassed.radius[-1, 0])
    True
    """
    record = as_resin(resin)
    stock = _Stock(record, catalogue.transport(record.family), water_activity, air_pressure)
    R, clock = radii(radius), clock_of(time)
    t = clock.grid
    T = clock.history(temperature, "K", "temperature", 200.0, 700.0)
    p = clock.history(pressure, "Pa", "pressure", 0.0, 1e8)
    e = _stirred_in(entrained)
    alpha = _conversion(clock, cure)
    set_ = _cure(record, clock, T, viscosity, alpha)
    gases, sigma = _gases(stock, T, alpha), stock.move.surface_tension.si
    sizes = _Sizes(R, number, crevices, e)
    nuclei = _nuclei(sizes, gases, float(p[0]), float(T[0]), sigma)
    _check_steps(tolerance, nodes, nuclei.bubbles.radius.size, t.size)
    left = _leaving(escape, set_)
    times = np.union1d(t, [t[-1] if set_.gel_s is None else set_.gel_s])
    conditions = bubble_start.Conditions(
        t, p, T, set_.viscosity, set_.modulus, gases.solubility, gases.diffusivity, sigma
    )
    grown = bubble.grow(conditions, nuclei.bubbles, times, tolerance=tolerance, nodes=nodes)
    if float(np.max(grown.mass_error)) > MASS_ERROR:
        raise OutOfRangeError(
            f"amounts of gas strayed by {np.max(grown.mass_error):.1e}; lower the tolerance"
        )
    return BubbleHistory(
        resin=record.name,
        index=stock.move.refractive_index.si,
        time_s=times,
        radius_m=grown.radius,
        gas_mol={name: grown.gas[:, i] for i, name in enumerate(gases.names)},
        per_volume=nuclei.per_volume,
        kept=_kept(times, set_.gel_s, left),
        gel_s=set_.gel_s,
        dissolved_s=grown.dissolved_at,
        mass_error=dict(zip(gases.names, grown.mass_error.tolist(), strict=True)),
        assumptions=_assumed(stock, e, left, set_, own_viscosity=viscosity is None),
    )


def _check_steps(tolerance: Any, nodes: Any, bubbles: int, times: int) -> None:
    """Refuse what cannot be stepped, or not in a time that anyone waits for."""
    if not isinstance(tolerance, int | float) or not isinstance(nodes, int | float):
        raise InputError(f"tolerance is {tolerance!r} and nodes {nodes!r}; both are plain numbers")
    if nodes != int(nodes) if math.isfinite(nodes) else True:
        raise InputError(f"nodes is {nodes!r}; it is a whole number of shells, as 40")
    if bubbles > MOST_BUBBLES:
        raise InputError(f"{bubbles} bubbles; at most {MOST_BUBBLES}: say how many of each size")
    if times > MOST_TIMES:
        raise InputError(f"time has {times} values; at most {MOST_TIMES}: take every few")
    if bubbles * times > MOST_RESULTS:
        raise InputError(
            f"{bubbles} bubbles at {times} times; at most {MOST_RESULTS} of both together"
        )


def _stirred_in(entrained: Any) -> float:
    """Return the air stirred in, per volume of resin."""
    e = units.one_fraction(entrained, "entrained")
    if not ENTRAINED_LEAST < e <= ENTRAINED_LIMIT:
        raise InputError(
            f"entrained is {e:.3g}; it must be above zero, for it sets the resin round each "
            f"bubble, and no more than {ENTRAINED_LIMIT:.0%}"
        )
    return e


def _conversion(clock: Clock, given: Any) -> "Floats | None":
    """Return the conversion on the grid; None where none was given."""
    alpha = None if given is None else clock.history(given, "", "cure", 0.0, 1.0)
    if alpha is not None and np.any(np.diff(alpha) < 0.0):
        raise InputError("cure falls; conversion only rises")
    return alpha


def _leaving(escape: Any, set_: _Cure) -> float:
    """Return the share of the bubbles that has left by the gel."""
    left = units.one_fraction(escape, "escape")
    if left > 0.0 and set_.gel_s is None:
        raise InputError("escape is counted up to the gel; give cure, or a viscosity that gels")
    return left


def _kept(times: "Floats", gel_s: float | None, left: float) -> "Floats":
    """Return the share of the bubbles that is still there, falling evenly up to the gel."""
    begun, gel = times[0], times[-1] if gel_s is None else gel_s
    if gel > begun:
        return np.asarray(1.0 - left * np.clip((times - begun) / (gel - begun), 0.0, 1.0))
    return np.ones_like(times)  # out of a gel none leaves


def _assumed(
    stock: _Stock, e: float, left: float, set_: _Cure, *, own_viscosity: bool
) -> tuple[str, ...]:
    """Return what was taken as given, for print."""
    record, move = stock.resin, stock.move
    D = move.air_diffusivity
    said = [
        f"air moves in {move.title} at {D.si:.0e} m2/s ({D.low_si:.0e} to {D.high_si:.0e}, "
        "estimate); it sets how fast, not how far",
        f"air in the resin by its Ostwald solubility {record.air_solubility.si:g} "
        f"({record.air_solubility.low_si:g} to {record.air_solubility.high_si:g})",
        f"{e:.2%} of air stirred in sets the resin round each bubble; bubbles do not merge or rise",
    ]
    if stock.air_pressure is None:
        said.append("the resin stood in open air, not degassed")
    if left > 0.0:
        said.append(f"{left:.0%} of the bubbles leave by the gel: your assumption")
    else:
        said.append("no bubble leaves for the breather")
    if own_viscosity:
        said.append(f"viscosity {record.viscosity.si:g} Pa s at 25 degC, by temperature and cure")
    if set_.gel_s is None:
        said.append("it does not gel in this time")
    return tuple(said)
