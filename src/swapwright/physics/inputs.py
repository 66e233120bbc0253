"""Numbers handed to a law: arrays of float64, refused where they mean nothing.

A law that met NaN, an infinity or a negative size would answer with something. It refuses
instead, and says which input it was and what it wanted.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def finite(name: str, value: ArrayLike, unit: str = "") -> Floats:
    """``value`` as float64; ValueError if any of it is NaN or infinite."""
    array = np.asarray(value, dtype=np.float64)
    if not np.isfinite(array).all():
        raise ValueError(f"{name} must be a finite number{_of(unit)}, got {_first_odd(array)}")
    return array


def positive(name: str, value: ArrayLike, unit: str = "") -> Floats:
    """``value`` as float64; ValueError unless all of it is finite and above zero."""
    array = finite(name, value, unit)
    if array.size and array.min() <= 0:
        raise ValueError(f"{name} must be above zero, got {array.min():g}{_of(unit)}")
    return array


def not_negative(name: str, value: ArrayLike, unit: str = "") -> Floats:
    """``value`` as float64; ValueError unless all of it is finite and zero or more."""
    array = finite(name, value, unit)
    if array.size and array.min() < 0:
        raise ValueError(f"{name} must not be negative, got {array.min():g}{_of(unit)}")
    return array


def between(name: str, value: ArrayLike, low: float, high: float, unit: str = "") -> Floats:
    """``value`` as float64; ValueError unless all of it lies in ``low`` to ``high``."""
    array = finite(name, value, unit)
    if array.size and (array.min() < low or array.max() > high):
        odd = array.min() if array.min() < low else array.max()
        raise ValueError(f"{name} must lie in {low:g} to {high:g}{_of(unit)}, got {odd:g}")
    return array


def outside(value: Floats, low: float, high: float) -> NDArray[np.bool_]:
    """Where ``value`` lies outside ``low`` to ``high``: the mark of an extrapolated result."""
    return (value < low) | (value > high)


def _of(unit: str) -> str:
    return f" {unit}" if unit else ""


def _first_odd(array: Floats) -> float:
    return float(array[~np.isfinite(array)].flat[0])
