"""What it is worth to know an input better before choosing.

An option's loss differs from world to world. Whoever knows nothing more takes the option
of least mean loss; whoever knows one input may choose by it. What that saves on average
is the expected value of perfect information on the input, and never negative.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import product
from math import hypot, isfinite, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .results import known_worlds
from .samples import Floats, Sample
from .splines import Basis, Fit, bases, fit, means

DRAWS = 64  # of the noise in a fit
SURE = 2.0  # standard errors
GOLDEN = (sqrt(5) - 1) / 2
READINGS = 512  # that are told apart, as likely as each other or nearly so
_ERRORS = 8  # of a reading, tried in each bin to place them


class Verdict(StrEnum):
    """Whether knowing is worth what it costs."""

    WORTH_IT = "worth it"
    NOT_WORTH_IT = "not worth it"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True)
class Worth:
    """What knowing one input is worth, in the unit of the losses.

    ``floor`` is what an input of no bearing would seem to be worth on this sample, 19
    times in 20; a value below it is noise.
    """

    name: str
    value: float
    standard_error: float
    floor: float

    def verdict(self, cost: float = 0.0) -> Verdict:
        """Whether it is worth its cost.

        Parameters
        ----------
        cost : float, default 0.0
            Of finding out, in the unit of the losses.

        Returns
        -------
        verdict : Verdict
            Told only where two standard errors do not change it.

        Raises
        ------
        ValueError
            If the cost is negative or not finite.
        """
        if not (isfinite(cost) and cost >= 0):
            raise ValueError(f"a cost must be finite and not negative, got {cost:g}")
        most = self.value + SURE * self.standard_error
        if max(most, self.floor) <= cost:
            return Verdict.NOT_WORTH_IT
        if self.value > self.floor and self.value - SURE * self.standard_error > cost:
            return Verdict.WORTH_IT
        return Verdict.CANNOT_TELL


class _Known(NamedTuple):
    """How much more each other option is expected to lose, along one input.

    Against the option that is best now, which is left out. [unit of the losses]
    """

    counts: NDArray[np.intp]  # (N,), worlds in each bin of the input
    middles: Floats  # (N,), its mean
    levels: bool  # whether it has a few values only
    bins: Floats  # (P, N), functions of the input, a constant first
    coefficients: Floats  # (D - 1, P)
    draws: Floats  # (D - 1, B, P), of the error of the coefficients

    @property
    def shares(self) -> Floats:
        return np.asarray(self.counts / self.counts.sum())

    @property
    def expected(self) -> Floats:
        """-> (D - 1, N)"""
        return np.asarray(self.coefficients @ self.bins)


@dataclass(frozen=True)
class Decision:
    """Options, their losses in every world, and what knowing more would save.

    Made by :func:`decide`. ``best`` is the option to take now, ``losses`` the mean loss of
    each, ``everything`` what it is worth to know all inputs. Of ``size`` worlds
    ``not_converged`` were left out.
    """

    options: tuple[str, ...]
    best: str
    losses: tuple[float, ...]
    everything: Worth
    size: int
    not_converged: int
    _inputs: Mapping[str, _Known]

    def knowing(self, name: str) -> Worth:
        """Expected value of perfect information on one input.

        Parameters
        ----------
        name : str
            Id of the input.

        Returns
        -------
        worth : Worth
            In the unit of the losses.

        Raises
        ------
        KeyError
            If there is no such input.

        References
        ----------
        .. [1] Strong, Oakley, Brennan 2014, Medical Decision Making 34(3): 311-326
           (by regression on the sample at hand; its standard error and bias by drawing
           from the error of the fit).
        """
        known = self._inputs[name]
        return self._worth(name, known, known.shares, known.bins)

    def by_worth(self) -> tuple[Worth, ...]:
        """What each input is worth to know perfectly, the most first."""
        return tuple(sorted(map(self.knowing, self._inputs), key=lambda worth: -worth.value))

    def after_measuring(self, name: str, accuracy: float) -> Worth:
        """Expected value of one reading of an input.

        Parameters
        ----------
        name : str
            Id of the input.
        accuracy : float
            Standard uncertainty of the reading, normal about the true value; a bound
            ±a counts as ``a / √3``. [unit of the input]

        Returns
        -------
        worth : Worth
            In the unit of the losses; between 0 and that of :meth:`knowing`.

        Raises
        ------
        KeyError
            If there is no such input.
        ValueError
            If the accuracy is not positive and finite, or the input has only a few
            values, among which a reading is right or wrong, not near.

        References
        ----------
        .. [1] Raiffa, Schlaifer 1961, Applied Statistical Decision Theory, ch. 4-5
           (preposterior analysis).
        .. [2] Strong, Oakley, Brennan, Breeze 2015, Medical Decision Making 35(5): 570-583
           (value of sample information from a sample at hand; here Bayes' rule is
           applied to bins of the input instead of a second regression).
        """
        known = self._inputs[name]
        if not (isfinite(accuracy) and accuracy > 0):
            raise ValueError(f"{name}: accuracy must be positive and finite, got {accuracy:g}")
        if known.levels:
            raise ValueError(f"{name}: has only {len(known.counts)} values, none near another")
        shares, belief = _beliefs(known, accuracy)
        return self._worth(name, known, shares, known.bins @ belief)

    def _worth(self, name: str, known: _Known, shares: Floats, bins: Floats) -> Worth:
        """Of news about an input, each with its share of worlds and its functions (P, N)."""
        expected, noise = (known.coefficients @ bins)[:, None, :], known.draws @ bins
        plain = float(_saving(shares, expected)[0])
        drawn = _saving(shares, expected + noise)
        # What noise alone makes of an input on which no loss hangs.
        idle = _saving(shares, (expected @ shares)[:, :, None] + noise)
        # Noise upon the fit moves it once more by what noise in the fit has moved it.
        value = min(max(2 * plain - float(drawn.mean()), 0.0), self.everything.value)
        error = hypot(float(drawn.std()), _between_strata(known))
        return Worth(name, value, error, float(np.quantile(idle, 0.95)))


def decide(
    losses: Mapping[str, ArrayLike],
    inputs: Mapping[str, ArrayLike],
    converged: ArrayLike | None = None,
) -> Decision:
    """Weigh options on one sample, and what knowing each input would save.

    Parameters
    ----------
    losses : mapping of str to (S,)
        Loss of each option in each world, all in one unit: money, hours, or one of both.
        What is not finite counts as not converged, for all options.
    inputs : mapping of str to (S,)
        Columns of the sample, independent of each other: numbers, yes/no, or words.
    converged : (S,) of bool, optional
        Which worlds have losses at all.

    Returns
    -------
    decision : Decision

    Raises
    ------
    ValueError
        If there are fewer than two options, no world converged, lengths differ, an
        input is not finite, two move together, or worlds are fewer than 16 for each input.
    ArithmeticError
        If one input nearly follows from others, in a bent way.

    References
    ----------
    .. [1] Strong, Oakley, Brennan 2014, Medical Decision Making 34(3): 311-326.
    """
    table = _table(losses)
    known = known_worlds(table, converged)
    parts = bases(inputs, known)
    kept = table[:, known]
    mean = kept.mean(axis=1)
    best = int(np.argmin(mean))
    # Only differences decide, and one option's losses need no fit of their own.
    found = fit(np.delete(kept - kept[best], best, axis=0), tuple(parts.values()))
    return Decision(
        tuple(losses),
        tuple(losses)[best],
        tuple(float(loss) for loss in mean),
        _everything(kept, best),
        known.size,
        known.size - kept.shape[1],
        _each(found, parts, inputs, known),
    )


def _table(losses: Mapping[str, ArrayLike]) -> Floats:
    if len(losses) < 2:
        raise ValueError(f"a decision needs two options or more, got {len(losses)}")
    rows = [np.asarray(loss, dtype=np.float64) for loss in losses.values()]
    if any(row.ndim != 1 or row.shape != rows[0].shape for row in rows):
        raise ValueError(f"losses must be columns alike, got {[row.shape for row in rows]}")
    return np.stack(rows)


def _everything(losses: Floats, best: int) -> Worth:
    saved = losses[best] - losses.min(axis=0)
    return Worth("everything", float(saved.mean()), float(saved.std()) / sqrt(len(saved)), 0.0)


def _each(
    found: Fit,
    parts: Mapping[str, Basis],
    inputs: Mapping[str, ArrayLike],
    known: NDArray[np.bool_],
) -> dict[str, _Known]:
    size = found.rest.shape[1]
    each = {}
    for (name, part), slopes in zip(parts.items(), found.coefficients, strict=True):
        # The mean errs as well; it is one more function of the basis.
        bins = np.vstack((np.full(len(part.counts), 1 / sqrt(size)), part.bins))
        coefficients = np.column_stack((found.mean * sqrt(size), slopes))
        middles = _middles(part, np.asarray(inputs[name])[known])
        draws = _draws(part, bins, found)
        each[name] = _Known(part.counts, middles, part.levels, bins, coefficients, draws)
    return each


def _draws(part: Basis, bins: Floats, found: Fit) -> Floats:
    """Draws of the error of an input's coefficients. -> (D - 1, B, P)

    References
    ----------
    .. [1] White 1980, Econometrica 48(4): 817-838 (what is left, not taken to be even).
    """
    options, count = len(found.rest), len(bins)
    rest = found.rest.take(part.order, axis=1) * found.shrunk
    covariance = np.empty((options * count, options * count))
    for one, other in product(range(options), repeat=2):
        weights = means(rest[one] * rest[other], part.steps) * part.counts
        here = slice(one * count, (one + 1) * count), slice(other * count, (other + 1) * count)
        covariance[here] = (bins * weights) @ bins.T
    spread, turn = np.linalg.eigh(covariance)
    # Rounding leaves a hair below zero where nothing is left.
    draws = (turn * np.sqrt(np.maximum(spread, 0))) @ _normals(len(covariance))
    return np.asarray(draws.reshape(options, count, DRAWS).transpose(0, 2, 1))


@lru_cache(maxsize=8)  # the same for all inputs of a decision
def _normals(rows: int) -> Floats:
    from scipy.special import ndtri  # heavy

    sample = Sample(DRAWS)
    return np.stack([ndtri(sample.uniform(f"draw {row}")) for row in range(rows)])


def _middles(part: Basis, values: NDArray[np.generic]) -> Floats:
    if part.levels:
        return np.arange(len(part.counts), dtype=np.float64)
    return means(values.astype(np.float64)[part.order], part.steps)


def _saving(shares: Floats, expected: Floats) -> Floats:
    """What choosing by news saves, of what other options lose more (D - 1, B, N). -> (B,)"""
    single = np.minimum((expected @ shares).min(axis=0), 0)
    return np.asarray(single - np.minimum(expected.min(axis=0), 0) @ shares)


def _between_strata(known: _Known) -> float:
    """Error that the random place within each stratum leaves in a mean over bins.

    As if it were the whole step from one bin to the next: on the wide side, mostly.
    """
    saved = np.minimum(known.expected.min(axis=0), 0)
    return float(np.sqrt(np.sum(np.diff(saved) ** 2)) / known.counts.sum())


def _beliefs(known: _Known, accuracy: float) -> tuple[Floats, Floats]:
    """Chance of every reading (R,), and the bins' chances after it (N, R).

    Readings are told apart by steps, which loses a little of what they say and adds
    nothing.
    """
    from scipy.special import ndtr, ndtri  # heavy

    middles = known.middles[:, None]
    # Places for the steps: each bin in turn meets other errors, so that none is left out.
    turns = np.arange(len(middles))[:, None] * GOLDEN % 1
    errors = ndtri((np.arange(_ERRORS) + np.clip(turns, 0.01, 0.99)) / _ERRORS)
    likely = np.quantile(middles + accuracy * errors, np.linspace(0, 1, READINGS + 1)[1:-1])
    upto = ndtr((likely - middles) / accuracy)
    ends = np.zeros((len(middles), 1)), np.ones((len(middles), 1))
    joint = known.shares[:, None] * np.diff(np.hstack((ends[0], upto, ends[1])), axis=1)
    chances = joint.sum(axis=0)
    seen = chances > 0  # two places may fall together
    return chances[seen], joint[:, seen] / chances[seen]
