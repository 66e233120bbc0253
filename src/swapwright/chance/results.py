"""What may be read from the values that a sample led to.

A world whose computation did not converge has no value. It is counted in every
answer, and every answer says how far those worlds could move it.
"""

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .samples import Floats

SURE = 1.959963984540054  # standard deviations on either side of a 95 % interval


@dataclass(frozen=True, slots=True)
class Range:
    """Between what a result lies in nine worlds of ten.

    ``low``, ``median``, ``high`` are the quantiles 5, 50 and 95 % of the worlds that
    converged. ``lowest`` and ``highest`` are the outer two if every world that did not
    converge had lain below all others, or above; infinite where those are too many to tell.
    """

    low: float
    median: float
    high: float
    lowest: float
    highest: float
    size: int
    not_converged: int


@dataclass(frozen=True, slots=True)
class Crossing:
    """How often a result crosses a limit.

    ``probability`` is the share among the worlds that converged, ``standard_error`` what
    sampling makes of it. ``low`` to ``high`` holds the true probability 19 times in 20,
    and counts every world that did not converge once as not crossing, once as crossing.
    """

    probability: float
    standard_error: float
    low: float
    high: float
    size: int
    not_converged: int


def quantiles(values: ArrayLike, converged: ArrayLike | None = None) -> Range:
    """Quantiles 5, 50 and 95 % of a result.

    Parameters
    ----------
    values : (S,)
        Any one unit. What is not finite counts as not converged.
    converged : (S,) of bool, optional
        Which worlds have a value at all.

    Returns
    -------
    range : Range
        Same unit.

    Raises
    ------
    ValueError
        If no world converged, or the shapes differ.

    References
    ----------
    .. [1] Hyndman, Fan 1996, The American Statistician 50(4): 361-365, type 8
       (close to median-unbiased whatever the distribution).
    """
    values, known = _known(values, converged)
    good, failed = values[known], int(values.size - known.sum())
    low, median, high = np.quantile(good, (0.05, 0.5, 0.95), method="median_unbiased")
    return Range(
        float(low),
        float(median),
        float(high),
        _outer(np.sort(good), failed, 0.05),
        -_outer(np.sort(-good), failed, 0.05),
        values.size,
        failed,
    )


def above(values: ArrayLike, limit: ArrayLike, converged: ArrayLike | None = None) -> Crossing:
    """How often a result lies above a limit.

    Parameters
    ----------
    values : (S,)
        Any one unit. What is not finite counts as not converged.
    limit : (S,) or scalar
        Same unit; a value on it does not cross.
    converged : (S,) of bool, optional
        Which worlds have a value at all.

    Returns
    -------
    crossing : Crossing
        Its error is Wilson's for independent worlds. A Latin hypercube of S worlds errs
        no more than S - 1 independent ones, mostly less, so that it is on the safe side;
        and it does not vanish when no world crosses.

    Raises
    ------
    ValueError
        If no world converged, the shapes differ, or a limit is not a number.

    References
    ----------
    .. [1] Wilson 1927, J. American Statistical Association 22(158): 209-212.
    .. [2] Owen 1997, SIAM J. Numerical Analysis 34(5): 1884-1910 (variance of a Latin
       hypercube against S - 1 independent points); from memory.
    """
    values, known = _known(values, converged)
    limits = np.broadcast_to(np.asarray(limit, dtype=np.float64), values.shape)
    if np.any(np.isnan(limits)):
        raise ValueError("a limit must be a number, got nan")
    crossed = int(np.count_nonzero(values[known] > limits[known]))
    good, size = int(known.sum()), values.size
    _, error = _wilson(crossed / good, good, 1.0)
    # as many samples as there are worlds: those without a value are on the table too
    middle, half = _wilson(crossed / size, size, SURE)
    low = middle - half
    middle, half = _wilson((crossed + size - good) / size, size, SURE)
    # both ends are sums that round
    return Crossing(
        crossed / good, error, max(low, 0.0), min(middle + half, 1.0), size, size - good
    )


def below(values: ArrayLike, limit: ArrayLike, converged: ArrayLike | None = None) -> Crossing:
    """How often a result lies below a limit; as :func:`above`.

    Parameters
    ----------
    values : (S,)
        Any one unit. What is not finite counts as not converged.
    limit : (S,) or scalar
        Same unit; a value on it does not cross.
    converged : (S,) of bool, optional
        Which worlds have a value at all.

    Returns
    -------
    crossing : Crossing

    Raises
    ------
    ValueError
        If no world converged, the shapes differ, or a limit is not a number.

    References
    ----------
    .. [1] As :func:`above`.
    """
    negative = -np.asarray(values, dtype=np.float64)
    return above(negative, -np.asarray(limit, dtype=np.float64), converged)


def known_worlds(values: Floats, converged: ArrayLike | None) -> NDArray[np.bool_]:
    """Which worlds have a value; the last axis of ``values`` counts worlds.

    Parameters
    ----------
    values : (S,) or (any, S)
        What is not finite in any row counts as not known.
    converged : (S,) of bool, or None
        None trusts what is finite.

    Returns
    -------
    known : (S,) of bool

    Raises
    ------
    ValueError
        If none has, or the shapes differ.
    """
    finite = np.isfinite(values)
    known = np.asarray(finite if values.ndim == 1 else finite.all(axis=0))
    if converged is not None:
        said = np.asarray(converged, dtype=np.bool_)
        if said.shape != known.shape:
            raise ValueError(f"{known.shape} values, but converged is of {said.shape}")
        known = known & said
    if not known.any():
        raise ValueError(f"none of {known.size} worlds converged")
    return known


def _known(values: ArrayLike, converged: ArrayLike | None) -> tuple[Floats, NDArray[np.bool_]]:
    values = np.asarray(values, dtype=np.float64)
    if values.ndim != 1:
        raise ValueError(f"values must be of one axis, got {values.shape}")
    return values, known_worlds(values, converged)


def _outer(rising: Floats, failed: int, share: float) -> float:
    """Lower quantile with ``failed`` unknown values before all others."""
    if not failed:
        return float(np.quantile(rising, share, method="median_unbiased"))
    # the rank that type 8 asks for, one below where it falls between two
    rank = int(share * (rising.size + failed + 1 / 3) + 1 / 3) - failed
    return float(rising[rank - 1]) if rank >= 1 else -inf


def _wilson(share: float, count: int, width: float) -> tuple[float, float]:
    """Middle and half width of Wilson's interval, ``width`` standard deviations wide."""
    square = width * width / count
    middle = (share + square / 2) / (1 + square)
    half = width * sqrt(share * (1 - share) / count + square / (4 * count)) / (1 + square)
    return middle, half
