"""Roots of rising functions between two ends, for all samples at once."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats

PASSES = 100  # bisection alone ends in 50; well-behaved functions take about 10
NEARNESS = 1e-14  # of a root, as a share of itself
NEAR_ZERO = 1e-17  # of a root at zero, as a share of the ends


def rising_root(
    law: Callable[[Floats], Floats], low: ArrayLike, high: ArrayLike, enough: float = 0.0
) -> Floats:
    """Where a rising function crosses zero, sample by sample.

    Parameters
    ----------
    law
        Takes (S,) and gives (S,), each sample on its own and never falling.
    low, high : (S,) or scalar
        Ends of the search, low not above high.
    enough : scalar, default 0
        What the function may still be at the root, for a law that is costly; in its own unit.

    Returns
    -------
    root : (S,)
        Between the ends; the low end where the function is above zero already there, the high end
        where it is still below; NaN where the function is.

    Raises
    ------
    ValueError
        If an end is not finite or low lies above high.

    References
    ----------
    .. [1] T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm for finding the zero of
       a nonlinear function without using derivatives, Adv. Eng. Software 28 (1997) 145-149 (from
       memory).
    """
    first, last = (np.asarray(end, np.float64) for end in np.broadcast_arrays(low, high))
    if not (np.isfinite(first).all() and np.isfinite(last).all() and np.all(first <= last)):
        raise ValueError("low and high must be finite and low not above high")
    here, there = first, last
    at_here, at_there = law(here), law(there)
    beside = np.where(at_here >= 0, first, last)  # the answer where nothing crosses
    crossing = (at_here < 0) & (at_there > 0)
    floor = NEAR_ZERO * np.maximum(np.abs(first), np.abs(last)) + 1e-300
    share = np.full(first.shape, 0.5)
    for _ in range(PASSES):
        tried = here + share * (there - here)
        value = law(tried)
        same = np.sign(value) == np.sign(at_here)
        former, at_former = np.where(same, here, there), np.where(same, at_here, at_there)
        there, at_there = np.where(same, there, here), np.where(same, at_there, at_here)
        here, at_here = tried, value
        width = np.abs(there - here)
        near = NEARNESS * np.abs(here) + floor
        if not np.any(crossing & (width > 2 * near) & (np.abs(value) > enough)):
            break
        least = np.minimum(near / np.maximum(width, 1e-300), 0.5)
        share = np.clip(_step(here, at_here, there, at_there, former, at_former), least, 1 - least)
    best = np.where(np.abs(at_there) < np.abs(at_here), there, here)
    return np.where(np.isnan(at_here + at_there), np.nan, np.where(crossing, best, beside))


def _step(
    here: Floats, at_here: Floats, there: Floats, at_there: Floats, former: Floats,
    at_former: Floats,
) -> Floats:  # fmt: skip
    """Share of the bracket to go: by inverse parabola where three points suit one, else half."""
    with np.errstate(divide="ignore", invalid="ignore"):
        place = (here - there) / (former - there)
        height = (at_here - at_there) / (at_former - at_there)
        suits: NDArray[np.bool_] = (height**2 < place) & ((1 - height) ** 2 < 1 - place)
        inner = at_here / (at_there - at_here) * at_former / (at_there - at_former)
        outer = (former - here) / (there - here) * at_here / (at_former - at_here)
        parabola = inner + outer * at_there / (at_former - at_there)
    return np.where(suits & np.isfinite(parabola), parabola, 0.5)
