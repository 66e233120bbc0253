"""A valve that opens with the temperature which its own opening decides."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

TOLERANCE = 0.02  # K
MOST_STEPS = 40
BISECT_EVERY = 4  # a regula falsi step may crawl along one end; a bisection frees it


def opening(temperature: ArrayLike, starts: ArrayLike, full: ArrayLike) -> Floats:
    """Share of its full lift to which a thermostatic valve opens.

    Parameters
    ----------
    temperature : (S,) or scalar
        Of the element that senses. [K]
    starts, full : (S,) or scalar
        Temperatures at which it begins to open and is fully open. [K]

    Returns
    -------
    opening : (S,) or scalar
        0 shut, 1 fully open, straight between. [-]

    Raises
    ------
    ValueError
        If it is fully open no later than it begins.

    References
    ----------
    .. [1] Lift of a wax element between start and full opening taken as straight; common
       practice. Hysteresis of 2 to 5 K is left out.
    """
    start, end = np.asarray(starts, dtype=float), np.asarray(full, dtype=float)
    if np.any(end <= start):
        raise ValueError("full must lie above starts")
    share = (np.asarray(temperature, dtype=float) - start) / (end - start)
    return np.asarray(np.clip(share, 0.0, 1.0))


class Balance(NamedTuple):
    """Where valves and temperature agree."""

    temperature: Floats  # of the sensing element [K]
    residual: Floats  # what the circuit answers less what the valves took it to be [K]
    converged: NDArray[np.bool_]


def balance(
    answer: Callable[[Floats], Floats],
    starts: Floats,
    full: Floats,
    tolerance: float = TOLERANCE,
) -> Balance:
    """Temperature at which valves and what their opening brings about agree.

    Parameters
    ----------
    answer : callable
        Temperature that the sensing element comes to when the valves stand as they do at a given
        temperature, ``(S,) -> (S,)``; it must not rise. [K]
    starts, full : (S,)
        Temperatures up to which all valves are shut and from which all are fully open. [K]
    tolerance : float
        [K]

    Returns
    -------
    balance : Balance
        The answer of shut valves where that stays below ``starts``, of open ones where it stays
        above ``full``; between, the root of ``answer(T) - T``. Not converged: samples whose
        answers are not finite, or that still miss the tolerance.

    Raises
    ------
    ValueError
        If it is fully open no later than it begins.

    References
    ----------
    .. [1] Illinois form of regula falsi, Dowell and Jarratt, BIT 11 (1971) 168-174, here with
       a bisection every fourth step. A fixed point on the opening fails where the loop's gain
       is above one.
    """
    if np.any(full <= starts):
        raise ValueError("full must lie above starts")
    low, high = starts.astype(float).copy(), full.astype(float).copy()
    shut, wide = answer(low), answer(high)
    above, below = shut - low, wide - high  # at the ends: too hot for shut, too cold for open
    settled = (above <= 0) | (below >= 0)
    temperature = np.where(above <= 0, shut, np.where(below >= 0, wide, 0.5 * (low + high)))
    residual = np.where(settled, 0.0, np.inf)
    kept = np.zeros(starts.shape, dtype=np.int8)  # which end stayed in the step before
    for step in range(MOST_STEPS):
        ahead = np.abs(residual) > tolerance
        if not ahead.any():
            break
        trial = _trial(low, high, above, below, bisect=step % BISECT_EVERY == BISECT_EVERY - 1)
        trial = np.where(ahead, trial, temperature)
        gap = answer(trial) - trial
        temperature = trial
        residual = np.where(settled, 0.0, gap)
        up = gap > 0  # the circuit is hotter than the trial: the root lies above it
        low, high = np.where(up, trial, low), np.where(up, high, trial)
        halved_below = np.where(up & (kept == 1), 0.5 * below, below)
        halved_above = np.where(~up & (kept == -1), 0.5 * above, above)
        above, below = np.where(up, gap, halved_above), np.where(up, halved_below, gap)
        kept = np.where(up, 1, -1).astype(np.int8)
    good = np.isfinite(temperature) & (np.abs(residual) <= tolerance)
    return Balance(temperature, residual, good & np.isfinite(shut) & np.isfinite(wide))


def _trial(low: Floats, high: Floats, above: Floats, below: Floats, *, bisect: bool) -> Floats:
    middle = 0.5 * (low + high)
    if bisect:
        return middle
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = high - below * (high - low) / (below - above)
    inside = (crossing > low) & (crossing < high)
    return np.where(inside, crossing, middle)
