"""A valve that opens with the temperature which its own opening decides."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.bracketing import rising_root

Floats = NDArray[np.float64]

TOLERANCE = 0.02  # K


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
    .. [1] Bracketed as in `bracketing.rising_root`. A fixed point on the opening fails where the
       loop's gain is above one.
    """
    if np.any(full <= starts):
        raise ValueError("full must lie above starts")
    root = rising_root(lambda trial: trial - answer(trial), starts, full, tolerance)
    there = answer(root)
    moves = (root > starts) & (root < full)
    residual = np.where(moves, there - root, 0.0)
    good = np.isfinite(there) & (np.abs(residual) <= tolerance)
    return Balance(np.where(moves, root, there), residual, good)
