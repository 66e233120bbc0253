"""From what was written of a quantity to a column of its possible values.

Every column is a rising function of the sample's uniform column, and its median
is the nominal value: a sample of one world is the nominal world, exactly.
"""

from collections.abc import Mapping
from math import inf, isfinite, log1p, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.quantity import Dimension, Measure

from .samples import Floats, Sample

BOUND = sqrt(3)  # half width of a rectangle over its standard deviation, JCGM 101 6.4.2


class Within(NamedTuple):
    """Least and greatest value that a quantity can have."""

    least: float = -inf
    greatest: float = inf


ANYTHING = Within()
POSITIVE = Within(0.0)
SHARE = Within(0.0, 1.0)

# Zero is a point among others here, and the sign tells a direction or a side.
SIGNED = frozenset(
    {
        Dimension.TEMPERATURE_DIFFERENCE,
        Dimension.PRESSURE,
        Dimension.POWER,
        Dimension.ENERGY,
        Dimension.TORQUE,
        Dimension.FORCE,
        Dimension.VOLUME_FLOW,
        Dimension.MASS_FLOW,
        Dimension.CURRENT,
        Dimension.VOLTAGE,
        Dimension.ANGLE,
        Dimension.ROTATIONAL_SPEED,
        Dimension.SPEED,
        Dimension.SOUND_LEVEL,
    }
)


def natural_limits(measure: Measure) -> Within:
    """Between what a quantity stays, judged by its dimension and nominal value.

    Parameters
    ----------
    measure : Measure
        Of any dimension.

    Returns
    -------
    within : Within
        Share for a ratio of at most 1; positive for what has no sign (a mass, a
        length that is written positive, a temperature above absolute zero); else
        anything. [unit of the measure]
    """
    if measure.dimension in SIGNED or measure.nominal < 0:
        return ANYTHING
    if measure.dimension is Dimension.RATIO and measure.nominal <= 1:
        return SHARE
    if measure.dimension is Dimension.LENGTH and measure.nominal == 0:
        return ANYTHING  # a place or an offset; no part is without length
    return POSITIVE


def measured(sample: Sample, name: str, measure: Measure, within: Within | None = None) -> Floats:
    """Column of a quantity that somebody wrote down.

    Parameters
    ----------
    sample : Sample
        Whose worlds the column is for.
    name : str
        Id of the input.
    measure : Measure
        A stated ± and the accuracy of a tool are rectangular: anywhere within is as
        likely. Several readings are normal, and so is a standard uncertainty that
        says no more; without an uncertainty every world has the nominal value.
    within : Within, optional
        Where the caller knows the limits better than :func:`natural_limits`.

    Returns
    -------
    column : (S,)
        [unit of the measure]

    Raises
    ------
    ValueError
        If the nominal value lies outside its limits.

    References
    ----------
    .. [1] JCGM 101:2008, Propagation of distributions using a Monte Carlo method:
       6.4.2 (rectangular), 6.4.7 (Gaussian where estimate and standard uncertainty
       are all that is known). 6.4.9 would give few readings a t distribution; how
       many there were is not kept with a measure, so its wider tails are missed.
    """
    limits = natural_limits(measure) if within is None else within
    chances = sample.uniform(name)
    if measure.spread in ("stated", "tool"):
        return rectangular(chances, measure.nominal, measure.uncertainty * BOUND, limits)
    if limits == POSITIVE and measure.nominal > 0:
        return lognormal(chances, measure.nominal, measure.uncertainty)
    return normal(chances, measure.nominal, measure.uncertainty, limits)


def rectangular(
    chances: ArrayLike, nominal: float, bound: float, within: Within = ANYTHING
) -> Floats:
    """Values anywhere within a bound, kept inside limits.

    Parameters
    ----------
    chances : (S,)
        Uniform between 0 and 1, neither reached.
    nominal, bound : float
        Middle and half width, any one unit.
    within : Within
        Where a limit cuts the rectangle, the side that is cut keeps its half of the
        chance: the median stays the nominal value, which cutting alone would move.

    Returns
    -------
    column : (S,)

    Raises
    ------
    ValueError
        If a number is not finite, the bound negative, the nominal value
        outside, or a chance not between 0 and 1.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.2. The halves are our own convention.
    """
    _check(nominal, bound, within)
    below = min(bound, nominal - within.least)
    above = min(bound, within.greatest - nominal)
    side = 2 * _open(chances) - 1
    # a sum may round to just past a limit
    return np.clip(nominal + np.where(side < 0, below, above) * side, *within)


def normal(
    chances: ArrayLike, nominal: float, deviation: float, within: Within = ANYTHING
) -> Floats:
    """Values normal about the nominal one, kept inside limits.

    Parameters
    ----------
    chances : (S,)
        Uniform between 0 and 1, neither reached.
    nominal, deviation : float
        Mean and standard deviation before limits, any one unit.
    within : Within
        Each side is cut for itself and keeps its half of the chance, so that the
        median stays the nominal value.

    Returns
    -------
    column : (S,)

    Raises
    ------
    ValueError
        If a number is not finite, the deviation negative, the nominal value
        outside, or a chance not between 0 and 1.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.7. The halves are our own convention.
    """
    from scipy.special import ndtr, ndtri  # heavy

    _check(nominal, deviation, within)
    chances = _open(chances)
    if deviation == 0:
        return np.full_like(chances, nominal)
    lowest, highest = (ndtr((limit - nominal) / deviation) for limit in within)
    part = np.abs(2 * chances - 1)  # of one half's chance, from the nominal value outward
    chance = np.where(chances < 0.5, 0.5 - part * (0.5 - lowest), 0.5 + part * (highest - 0.5))
    return np.asarray(np.clip(nominal + deviation * ndtri(chance), *within))


def lognormal(chances: ArrayLike, median: float, deviation: float) -> Floats:
    """Positive values about a median.

    The choice for a positive quantity with a standard uncertainty: positive however
    wide, its median the nominal value and its standard deviation the stated one,
    and next to the normal distribution where the uncertainty is small. A normal one
    cut at zero would keep neither median nor deviation.

    Parameters
    ----------
    chances : (S,)
        Uniform between 0 and 1, neither reached.
    median : float
        Positive.
    deviation : float
        Standard deviation of the values (not of their logarithms), same unit.

    Returns
    -------
    column : (S,)

    Raises
    ------
    ValueError
        If a number is not finite, the median not positive, the deviation
        negative, or a chance not between 0 and 1.

    References
    ----------
    .. [1] Johnson, Kotz, Balakrishnan 1994, Continuous Univariate Distributions 1,
       ch. 14: variance ``m² w (w - 1)``, ``w = exp(σ²)``, solved for ``w``; from memory.
    """
    from scipy.special import ndtri  # heavy

    _check(median, deviation, POSITIVE)
    if median == 0:
        raise ValueError("a lognormal quantity needs a positive median, got 0")
    ratio = deviation / median
    # w - 1, written so that a small ratio is not lost beside 1
    excess = 2 * ratio**2 / (1 + sqrt(1 + 4 * ratio**2))
    return np.asarray(median * np.exp(sqrt(log1p(excess)) * ndtri(_open(chances))))


def yes_or_no(sample: Sample, name: str, probability: float) -> NDArray[np.bool_]:
    """Column of something that holds with a probability.

    Parameters
    ----------
    sample : Sample
        Whose worlds the column is for.
    name : str
        Id of the input.
    probability : float
        From 0 to 1.

    Returns
    -------
    holds : (S,)
        A sample of one world says yes from 1/2 upward.

    Raises
    ------
    ValueError
        If the probability is not between 0 and 1.
    """
    if not 0 <= probability <= 1:
        raise ValueError(f"a probability lies between 0 and 1, got {probability:g}")
    return np.asarray(sample.uniform(name) <= probability)


def choice(sample: Sample, name: str, weights: Mapping[str, float]) -> NDArray[np.str_]:
    """Column of which one of several holds.

    Parameters
    ----------
    sample : Sample
        Whose worlds the column is for.
    name : str
        Id of the input.
    weights : mapping of str to float
        Not negative; only their proportions count.

    Returns
    -------
    chosen : (S,)
        Keys of ``weights``. A sample of one world takes the heaviest, the first of
        several that are equal.

    Raises
    ------
    ValueError
        If there is none, a weight is negative or not finite, or all are zero.
    """
    shares = np.array(list(weights.values()), dtype=np.float64)
    if not np.all(np.isfinite(shares)) or np.any(shares < 0) or not shares.sum() > 0:
        raise ValueError(f"weights must be finite, not negative, not all zero: {dict(weights)}")
    keys = np.array(list(weights), dtype=np.str_)
    if sample.size == 1:
        return keys[[int(shares.argmax())]]
    steps = np.cumsum(shares)
    return keys[np.searchsorted(steps[:-1] / steps[-1], sample.uniform(name))]


def _check(nominal: float, width: float, within: Within) -> None:
    if not (isfinite(nominal) and isfinite(width)):
        raise ValueError(f"a quantity must be finite, got {nominal} ± {width}")
    if width < 0:
        raise ValueError(f"a spread must not be negative, got {width:g}")
    if not within.least <= nominal <= within.greatest:
        raise ValueError(
            f"nominal value {nominal:g} lies outside {within.least:g} to {within.greatest:g}"
        )


def _open(chances: ArrayLike) -> Floats:
    values = np.asarray(chances, dtype=np.float64)
    if not np.all((values > 0) & (values < 1)):  # also where one is not a number
        raise ValueError("chances must lie between 0 and 1, neither reached")
    return values
