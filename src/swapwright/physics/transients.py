"""Temperatures over time of a few bodies, each of one temperature, that exchange heat."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from swapwright.physics.inputs import Floats, finite, positive

Heats = Callable[[float, Floats], Floats]

RELATIVE, ABSOLUTE = 1e-6, 1e-3  # K; of one step


class Course(NamedTuple):
    """Temperatures at chosen times."""

    times: Floats  # (T,) [s]
    temperatures: Floats  # (T, K, S) [K]


def course(capacities: ArrayLike, start: ArrayLike, heats: Heats, times: ArrayLike) -> Course:
    """Follow K bodies in S samples.

    Parameters
    ----------
    capacities : (K, S)
        Heat capacity of each body. [J/K]
    start : (K, S)
        Temperatures at the first time. [K]
    heats : callable
        ``(time, temperatures (K, S)) -> (K, S)``: net heat into each body. [W]
    times : (T,)
        Rising; the first is the start. [s]

    Returns
    -------
    course : Course

    Raises
    ------
    ValueError
        If a capacity is not positive, a figure is not finite, or times do not rise.
    ArithmeticError
        If the integration does not come to its end.

    References
    ----------
    .. [1] Integrated by scipy's ``solve_ivp`` (Dormand and Prince, order 5 with 4): all samples go
       at the pace of the quickest, which costs less than the Jacobian of all of them.
    """
    from scipy.integrate import solve_ivp

    held = positive("capacities", capacities, "J/K")
    first = finite("start", start, "K")
    shape = np.broadcast_shapes(held.shape, first.shape)
    moments = finite("times", times, "s")
    if moments.ndim != 1 or len(moments) < 2 or np.any(np.diff(moments) <= 0):
        raise ValueError("times must rise, two or more")
    capacity, begin = np.broadcast_to(held, shape), np.broadcast_to(first, shape)

    def slope(time: float, flat: Floats) -> Floats:
        return np.asarray(heats(time, flat.reshape(shape)) / capacity).ravel()

    found = solve_ivp(
        slope, (float(moments[0]), float(moments[-1])), begin.ravel(), method="RK45",
        t_eval=moments, rtol=RELATIVE, atol=ABSOLUTE,
    )  # fmt: skip
    if not found.success:
        raise ArithmeticError(f"the course could not be followed: {found.message}")
    return Course(moments, found.y.T.reshape(len(moments), *shape))


def reached(times: Floats, values: Floats, limit: ArrayLike) -> Floats:
    """First time at which each sample's value comes up to a limit, straight between times.

    Parameters
    ----------
    times : (T,)
        [s]
    values : (T, S)
        Of any unit.
    limit : (S,) or scalar
        In that unit.

    Returns
    -------
    time : (S,)
        Infinite where it never does. [s]
    """
    above = values >= np.asarray(limit)
    first = np.argmax(above, axis=0)
    samples = np.arange(values.shape[1])
    before = np.maximum(first - 1, 0)
    low, high = values[before, samples], values[first, samples]
    rise = np.where(high > low, high - low, 1.0)
    share = np.where(first > 0, (np.asarray(limit) - low) / rise, 0.0)
    time = times[before] + share * (times[first] - times[before])
    return np.where(above.any(axis=0), time, np.inf)
