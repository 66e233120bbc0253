"""A valve that opens with the temperature which its own opening decides."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Answer = Callable[[Floats, Indices], Floats]

TOLERANCE = 0.02  # K
PASSES = 60  # bisection alone needs 25 for a micro-kelvin
LEAST_OPENING = 4e-3  # what a shut valve lets pass, in the law that steps go by
BISECTED = 5  # every fifth step halves the bracket, whatever that law says
NARROW = 1e-6  # K: an answer that jumps within that has no root to be found


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
    answer: Answer,
    starts: Floats,
    full: Floats,
    tolerance: float = TOLERANCE,
) -> Balance:
    """Temperature at which valves and what their opening brings about agree.

    Parameters
    ----------
    answer : callable
        Temperature that the sensing element comes to while the valves stand as they do at a
        temperature, of some samples, ``(n,), (n,) indices -> (n,)``; it must not rise. It is asked
        of fewer and fewer samples; the last time of each at the temperature that is returned. [K]
    starts, full : (S,)
        Temperatures up to which all valves are shut and from which all are fully open. [K]
    tolerance : float
        [K]

    Returns
    -------
    balance : Balance
        The answer of shut valves where that stays below ``starts``, of open ones where it stays
        above ``full``; between, the root of ``answer(T) - T``. Not converged: samples whose
        answers are no numbers, or that still miss the tolerance.

    Raises
    ------
    ValueError
        If it is fully open no later than it begins.

    References
    ----------
    .. [1] Bracketed: a fixed point on the opening fails where the loop's gain is above one. Steps
       take the answer as straight in the inverse of the opening, as it is where the valve's flow
       carries the heat and all else in the circuit resists it in series.
    """
    if np.any(full <= starts):
        raise ValueError("full must lie above starts")
    everything = np.arange(len(starts))
    opened = answer(full, everything)
    rest = np.flatnonzero(opened < full)
    shut = answer(starts[rest], rest) if len(rest) else opened[rest]
    found, residual = opened.copy(), np.zeros(len(starts))
    found[rest] = shut
    known = np.isfinite(opened)
    known[rest] = np.isfinite(shut)
    inside = shut > starts[rest]
    live = rest[inside]
    if len(live):
        low, high = (starts[live], shut[inside]), (full[live], opened[live])
        found[live], residual[live] = _between(answer, live, low, high, tolerance)
    return Balance(found, residual, known & (np.abs(residual) <= tolerance))


def _between(
    answer: Answer,
    live: Indices,
    low: tuple[Floats, Floats],
    high: tuple[Floats, Floats],
    tolerance: float,
) -> tuple[Floats, Floats]:
    """Roots between ends at which the answer lies above and below, and what they still miss."""
    roots, missing = np.full(len(live), np.nan), np.full(len(live), np.nan)
    at, starts, span = np.arange(len(live)), low[0], high[0] - low[0]
    below, above = low[0], high[0]  # where the answer lies above the temperature, and below it
    before, last = low, high  # the two latest trials
    for number in range(PASSES):
        opened = _opening_between(before, last, starts, span)
        tried, middle = starts + span * opened, (below + above) / 2
        inside = (tried > below) & (tried < above) & (number % BISECTED != BISECTED - 1)
        tried = np.where(inside, tried, middle)
        told = answer(tried, live[at])
        roots[at], missing[at] = tried, told - tried
        higher = told > tried
        below, above = np.where(higher, tried, below), np.where(higher, above, tried)
        before, last = last, (tried, told)
        stay = (np.abs(told - tried) > tolerance) & (above - below > NARROW)
        if not stay.any():
            break
        at = at[stay]
        starts, span, below, above = (each[stay] for each in (starts, span, below, above))
        before, last = ((t[stay], s[stay]) for t, s in (before, last))
    return roots, missing


def _opening_between(
    one: tuple[Floats, Floats], other: tuple[Floats, Floats], starts: Floats, span: Floats
) -> Floats:
    """Opening at which temperature and answer agree, by two trials of both; NaN without any.

    Between them the answer is taken as ``A + B / (opening + LEAST_OPENING)``.
    """
    (one_at, one_told), (other_at, other_told) = one, other
    first = 1 / ((one_at - starts) / span + LEAST_OPENING)
    second = 1 / ((other_at - starts) / span + LEAST_OPENING)
    with np.errstate(divide="ignore", invalid="ignore"):
        B = (one_told - other_told) / (first - second)
        A = one_told - B * first - starts
        half = (A - span * LEAST_OPENING) / 2
        root = np.sqrt(half**2 + span * (A * LEAST_OPENING + B))
        return np.asarray((half + root) / span)
