"""Effectiveness of cross-flow with both streams unmixed, exact.

The series of products of two Poisson tails has a plain meaning: with ``x = NTU``, ``a = Cr NTU``
and independent Poisson counts of these means, the effectiveness is ``E[min] / a``. Small means
are summed; for large ones the counts are nearly normal and three moments suffice.
"""

import math

import numpy as np

from swapwright.physics.inputs import Floats

FEW = 6.0  # a up to which a short sum does; few exchangers are larger
MANY = 40.0  # a from which the moments agree with the sum to 4e-7


def both_unmixed(transfer_units: Floats, capacity_ratio: Floats) -> Floats:
    """Effectiveness of cross-flow with both streams unmixed.

    Parameters
    ----------
    transfer_units : (S,)
        ``UA / Cmin``, zero or more (not checked here: `exchangers.effectiveness` does). [1]
    capacity_ratio : (S,)
        ``Cmin / Cmax``, 0 to 1. [1]

    Returns
    -------
    effectiveness : (S,)
        ``1/(Cr NTU) Σ P(n+1, NTU) P(n+1, Cr NTU)`` over n from zero, P the regularised lower
        incomplete gamma function; to 1e-9 up to ``Cr NTU`` of 40, to 1e-6 beyond. [1]

    References
    ----------
    .. [1] J. L. Mason, Heat transfer in crossflow, Proc. 2nd U.S. National Congress of Applied
       Mechanics, 1954, 801-803 (from memory); agrees with the integral of A. Triboix, Int. Comm.
       Heat Mass Transfer 36 (2009) 121-124, as coded in the ht library 1.2.0.
    .. [2] Edgeworth series and the Euler-Maclaurin correction of a sum, for the large means.
    """
    units, ratio = np.broadcast_arrays(transfer_units, capacity_ratio)
    mean = units * ratio
    top = mean.max(initial=0.0)
    if top <= FEW:
        return _summed(units, ratio, _terms(top))
    result = np.full(units.shape, np.nan)  # stays where a number is none
    bounds = ((-1.0, FEW), (FEW, MANY), (MANY, np.inf))
    for least, most in bounds:
        here = (mean > least) & (mean <= most)
        if here.any():
            x, r = units[here], ratio[here]
            far = least >= MANY
            result[here] = _normal(x, r) if far else _summed(x, r, _terms(min(most, top)))
    return result


def _terms(mean: float) -> int:
    """Terms until the Poisson tail of the smaller mean has died away."""
    return math.ceil(mean + 7 * math.sqrt(mean) + 5 + 6 * math.exp(-mean / 4))


def _summed(units: Floats, ratio: Floats, terms: int) -> Floats:
    """The series, each factor from the one before it; arrays are worked on in place."""
    mean = units * ratio
    first, second = np.exp(-units), np.exp(-mean)  # probability of a count n; the second over a
    tail = -np.expm1(-units)  # P(n+1, x)
    share = np.divide(-np.expm1(-mean), mean, out=np.ones_like(mean), where=mean > 0)
    total, product = tail * share, np.empty_like(mean)
    for n in range(1, terms):
        first *= units
        first *= 1 / n
        tail -= first
        share -= second  # P(n+1, a)/a, so that a = 0 divides nothing
        second *= mean
        second *= 1 / (n + 1)
        np.multiply(tail, share, out=product)
        total += product
    return total


def _normal(units: Floats, ratio: Floats) -> Floats:
    """``1 - E[(A - X)⁺]/a`` for a difference of counts that is nearly normal."""
    from scipy.special import ndtr

    mean = units * ratio
    spread = np.sqrt(mean + units)
    skewness, excess = (mean - units) / spread**3, 1 / spread**2
    z = (units - mean) / spread
    bell = np.exp(-z * z / 2) / math.sqrt(2 * math.pi)
    beyond = bell * (
        1 + skewness / 6 * z + excess / 24 * (z**2 - 1) + skewness**2 / 72 * (z**4 - 6 * z**2 + 3)
    ) - z * ndtr(-z)
    # a sum over whole counts is an integral less a twelfth of the density at its edge
    edge = bell / spread * (1 + skewness / 6 * (z**3 - 3 * z)) / 12
    share: Floats = 1 - (spread * beyond - edge) / mean
    return share
