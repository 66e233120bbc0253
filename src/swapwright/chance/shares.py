"""How much of a result's spread comes from each input."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from .results import known_worlds
from .samples import Floats
from .splines import Basis, bases, fit, means

_STILL = 1e-12  # deviation over size, below which a result moves by rounding alone


@dataclass(frozen=True, slots=True)
class Share:
    """Part of the variance that one input makes by itself.

    ``value`` is an unbiased estimate, so that it falls a hair below zero for some
    inputs that do nothing.
    """

    name: str
    value: float
    standard_error: float


@dataclass(frozen=True, slots=True)
class Shares:
    """Where the variance of a result comes from.

    ``inputs`` come largest first. ``remainder`` is what they make together only, and what
    the splines do not follow. All are zero where the result does not vary. Of ``size``
    worlds ``not_converged`` were left out.
    """

    variance: float
    inputs: tuple[Share, ...]
    remainder: Share
    size: int
    not_converged: int


def spread_shares(
    values: ArrayLike, inputs: Mapping[str, ArrayLike], converged: ArrayLike | None = None
) -> Shares:
    """Share of a result's variance by input, from the sample it was computed on.

    Parameters
    ----------
    values : (S,)
        Any one unit. What is not finite counts as not converged.
    inputs : mapping of str to (S,)
        Columns of the sample, independent of each other: numbers, yes/no, or words.
    converged : (S,) of bool, optional
        Which worlds have a value at all. Shares then hold among those that have.

    Returns
    -------
    shares : Shares
        ``Var(E[y | x_i]) / Var(y)`` [-], the variance in the square of the unit. Errors
        are those of columns that are stratified, each meeting its own distribution: what
        is left to chance is how they are paired.

    Raises
    ------
    ValueError
        If no world converged, lengths differ, an input is not finite, two move together,
        or worlds are fewer than 16 for each input.
    ArithmeticError
        If one input nearly follows from others, in a bent way.

    References
    ----------
    .. [1] Saltelli et al. 2008, Global Sensitivity Analysis: The Primer, Wiley, 1.2 and
       4.5 (first-order index, its remainder).
    .. [2] Ratto, Pagano 2010, AStA Advances in Statistical Analysis 94: 367-388 (index by
       smoothing splines on a given sample); read second-hand.
    """
    results = np.asarray(values, dtype=np.float64)
    if results.ndim != 1:
        raise ValueError(f"values must be of one axis, got {results.shape}")
    known = known_worlds(results, converged)
    parts = bases(inputs, known)
    kept = results[known]
    failed = results.size - kept.size
    if kept.std() <= _STILL * np.abs(kept).max():
        none = tuple(Share(name, 0.0, 0.0) for name in inputs)
        return Shares(0.0, none, Share("together", 0.0, 0.0), results.size, failed)
    variance, estimates = _estimates(kept, tuple(parts.values()))
    shares = [Share(n, *e) for n, e in zip((*inputs, "together"), estimates, strict=True)]
    first = tuple(sorted(shares[:-1], key=lambda share: -share.value))
    return Shares(variance, first, shares[-1], results.size, failed)


def _estimates(values: Floats, parts: tuple[Basis, ...]) -> tuple[float, list[tuple[float, float]]]:
    """Variance, then (share, its error) of each input and of the remainder."""
    size = len(values)
    found = fit(values[None, :], parts)
    rest = found.rest[0]
    variances, noises, influences = [], [], []
    for part, coefficients in zip(parts, found.coefficients, strict=True):
        effect, rows = part.effect(coefficients)[0], rest[part.order]
        scatter = _scatter(part, rows) * found.shrunk**2
        variances.append(float(effect @ effect - np.trace(scatter)) / size)
        noises.append(float(2 * np.sum(scatter**2) + _between_strata(effect)) / size**2)
        influences.append(np.empty(size))
        influences[-1][part.order] = 2 * effect * rows
    left = float(rest @ rest) / size * found.shrunk
    influences.append(rest**2 * found.shrunk - left)
    noises.append(0.0)
    variances.append(left)
    total = sum(variances)
    shared = sum(influences)
    return total, [
        (
            float(own / total),
            float(np.sqrt(np.mean((moves - own / total * shared) ** 2) / size + noise) / total),
        )
        for own, noise, moves in zip(variances, noises, influences, strict=True)
    ]


def _scatter(part: Basis, rest: Floats) -> Floats:
    """Covariance of an input's coefficients, from what is left in sorted rows. -> (P, P)

    It is not taken to be even: the rest often grows toward the ends of an input.

    References
    ----------
    .. [1] White 1980, Econometrica 48(4): 817-838.
    """
    weights = means(rest**2, part.steps) * part.counts
    return np.asarray((part.bins * weights) @ part.bins.T)


def _between_strata(effect: Floats) -> float:
    """Error that the random place within each stratum leaves in a sum of squares.

    The variance within a stratum is no more than the squared step to the next; a twelfth
    of it in the middle of an input, nearly all in the last stratum of an open end.
    """
    return float(np.sum(np.diff(effect**2) ** 2))
