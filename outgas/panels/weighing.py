"""Weighs draws of all numbers by the panels that were made: importance sampling.

The first draws are Sobol's points over what was believed before. Where too few of them carry the
weight, more are drawn from a bell around those that do, mixed with the first so that none can be
forgotten, and each is weighed by how likely it was to be drawn (adaptive importance sampling; from
memory). Where even that leaves too few, nothing is learnt and that is said.

What panels of another kind taught of the numbers that a shop or a family shares comes as a bell
over those alone: as wide as their draws, never wider than before.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from outgas.errors import RefusedError
from outgas.laminate.gas.joint import JOINT
from outgas.panels.likelihood import chance_and_mistake
from outgas.panels.made import Made, predicted_all
from outgas.panels.numbers import NUMBERS, PLACE, ways_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats: TypeAlias = NDArray[np.float64]

DRAWS = 4096  # powers of two, as Sobol's points want
MORE_DRAWS = (4096, 8192, 8192, 16384)  # round by round, before it is given up
ENOUGH = 300.0  # draws that carry the weight: more than are handed to a job
FEWEST = 100.0  # under which nothing is said
SEED = 61  # any; fixed, so that the same panels always teach the same
EDGE = 1e-9  # of a share, so that no draw is endless
OF_BEFORE = 0.25  # of the later draws, from what was believed before
WIDER = 1.25  # times the spread of what carries the weight: a proposal must not be too narrow
ROUGH = 200.0  # draws that the bell of a proposal is fitted to, at the least
SOFTEST = 2.0**-12  # how far weights are softened for that, at the most
LEAST_SPREAD = 1e-6  # of a bell, so that its inverse is finite


@dataclass(frozen=True, slots=True, eq=False)
class Message:
    """What panels of another kind taught of numbers that are shared: precision and its pull.

    In standard bells: ln of the likelihood is -z' precision z / 2 + pull' z.
    """

    names: tuple[str, ...]
    precision: "Floats"
    pull: "Floats"

    def log_likelihood(self, z: "Floats") -> "Floats":
        """Return how likely draws are by it, in the logarithm, up to a constant."""
        some = z[[PLACE[name] for name in self.names]]
        return np.asarray(self.pull @ some - 0.5 * np.sum(some * (self.precision @ some), axis=0))

    def only(self, names: Sequence[str]) -> "Message":
        """Return it of some of its numbers, the others left open."""
        keep = [i for i, name in enumerate(self.names) if name in names]
        rest = [i for i, name in enumerate(self.names) if name not in names]
        A, b = self.precision, self.pull
        # the others are integrated out over what was believed of them before, a standard bell
        inner = np.linalg.inv(A[np.ix_(rest, rest)] + np.eye(len(rest)))
        across = A[np.ix_(keep, rest)]
        return Message(
            tuple(self.names[i] for i in keep),
            A[np.ix_(keep, keep)] - across @ inner @ across.T,
            b[keep] - across @ inner @ b[rest],
        )


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """Draws with their weights, which sum to one: standard bells, a row a number.

    effective: how many draws carry the weight. gained: how much was learnt, in bits. mistaken: how
    surely the note of each panel is wrong.
    """

    z: "Floats"
    weight: "Floats"
    effective: float
    gained: float
    mistaken: tuple[float, ...]

    def resampled(self, draws: int = JOINT) -> "Floats":
        """Return draws that are all as likely, spread evenly over the weights, in no order."""
        at = (np.arange(draws) + 0.5) / draws
        which = np.minimum(np.searchsorted(np.cumsum(self.weight), at), self.weight.size - 1)
        return self.z[:, np.random.default_rng(SEED).permutation(which)]

    def quantiles(self, values: "Floats", shares: Sequence[float]) -> "Floats":
        """Return the values under which shares of the weight lie."""
        order = np.argsort(values)
        return np.interp(shares, np.cumsum(self.weight[order]), values[order])

    def taught(self, names: Sequence[str]) -> Message:
        """Return what was learnt of some numbers, for panels of another kind.

        The precision over that of a standard bell; where draws spread as wide as before or wider,
        nothing.
        """
        some = self.z[[PLACE[name] for name in names]]
        middle = some @ self.weight
        apart = some - middle[:, None]
        spread = (apart * self.weight) @ apart.T + LEAST_SPREAD * np.eye(len(names))
        sizes, ways = np.linalg.eigh(spread)
        more = np.maximum(1.0 / sizes - 1.0, 0.0)
        precision = (ways * more) @ ways.T
        # the pull that, with a standard bell, gives the middle along the ways that were learnt
        along = ways.T @ middle
        pull = ways @ np.where(more > 0.0, (more + 1.0) * along, 0.0)
        return Message(tuple(names), precision, pull)


def points(draws: int, seed: int) -> "Floats":
    """Return standard bells on Sobol's points, a row a number."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    shares = qmc.Sobol(len(NUMBERS), rng=seed).random(draws).T
    return np.asarray(ndtri(np.clip(shares, EDGE, 1.0 - EDGE)))


def weighed(panels: Sequence[Made], messages: Sequence[Message] = ()) -> Weighed:
    """Return draws weighed by panels of one kind and by what others of the shop taught.

    RefusedError where too few draws carry the weight.
    """
    z = points(DRAWS, SEED)
    log_likelihood, doubts = _likelihood(panels, z, messages)
    drawn_as = np.zeros(DRAWS)  # ln of the proposal over the belief before
    best = _by_weights(z, log_likelihood, drawn_as, doubts)
    for round_, draws in enumerate(MORE_DRAWS, start=1):
        if best.effective >= ENOUGH:
            break
        proposal = _around(z, log_likelihood - drawn_as)
        z = _drawn_from(proposal, points(draws, SEED + round_))
        drawn_as = _density(proposal, z)
        log_likelihood, doubts = _likelihood(panels, z, messages)
        found = _by_weights(z, log_likelihood, drawn_as, doubts)
        best = max(best, found, key=lambda one: one.effective)
    if best.effective < FEWEST:
        raise RefusedError(
            f"too little fits these panels: {best.effective:.0f} of {best.weight.size} draws carry "
            "the weight; check the pressures, the void contents and their errors"
        )
    return best


def _likelihood(
    panels: Sequence[Made], z: "Floats", messages: Sequence[Message]
) -> "tuple[Floats, Floats]":
    """Return ln of how likely draws are by all panels, and each panel's doubt, a row a panel."""
    ways = ways_of(z)
    total = np.zeros(z.shape[1])
    doubts = np.zeros((len(panels), z.shape[1]))
    for i, (made, of) in enumerate(zip(panels, predicted_all(panels, ways), strict=True)):
        chance, doubts[i] = chance_and_mistake(made, of, ways)
        total += np.log(chance)
    for message in messages:
        total += message.log_likelihood(z)
    return total, doubts


def _by_weights(
    z: "Floats", log_likelihood: "Floats", drawn_as: "Floats", doubts: "Floats"
) -> Weighed:
    """Return draws with the weights of what they make likely, over how likely they were drawn."""
    log_weight = log_likelihood - drawn_as
    top = float(log_weight.max())
    raw = np.exp(log_weight - top)
    weight = raw / raw.sum()
    evidence = top + math.log(float(raw.mean()))  # ln of the mean likelihood over the belief before
    gained = float(weight @ log_likelihood) - evidence
    return Weighed(
        z=z,
        weight=weight,
        effective=float(1.0 / np.sum(weight**2)),
        gained=max(0.0, gained) / math.log(2.0),
        mistaken=tuple(float(x) for x in doubts @ weight),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Bell:
    """A bell to draw from: its middle, and the root of its spread."""

    middle: "Floats"
    root: "Floats"


def _around(z: "Floats", log_weight: "Floats") -> _Bell:
    """Return the bell around the draws that carry the weight, softened until enough of them do."""
    soft = 1.0
    while True:
        raw = np.exp(soft * (log_weight - log_weight.max()))
        weight = raw / raw.sum()
        if 1.0 / np.sum(weight**2) >= ROUGH or soft <= SOFTEST:
            break
        soft *= 0.5
    middle = z @ weight
    apart = z - middle[:, None]
    spread = WIDER * (apart * weight) @ apart.T + LEAST_SPREAD * np.eye(len(z))
    return _Bell(middle, np.linalg.cholesky(spread))


def _drawn_from(bell: _Bell, z: "Floats") -> "Floats":
    """Return standard bells moved to a proposal; the first fourth of them stays where it was.

    The first, not each fourth: Sobol's points that lie so far apart share a corner.
    """
    moved = bell.middle[:, None] + bell.root @ z
    stays = np.arange(z.shape[1]) < OF_BEFORE * z.shape[1]
    return np.where(stays, z, moved)


def _density(bell: _Bell, z: "Floats") -> "Floats":
    """Return ln of how likely draws were to be drawn, over the belief before."""
    inner = np.linalg.solve(bell.root, z - bell.middle[:, None])
    size = float(np.log(np.diag(bell.root)).sum())
    of_bell = -0.5 * np.sum(inner * inner, axis=0) - size + 0.5 * np.sum(z * z, axis=0)
    mixed: Floats = np.logaddexp(math.log(OF_BEFORE), math.log(1.0 - OF_BEFORE) + of_bell)
    return mixed
