"""What may lie between two nodes of a network: pipes, resistances, check valves and pumps.

Every figure is a scalar, the same for all samples, or has one entry a sample. Flow counts
positive from ``start`` to ``end``.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.pumps import PumpCurve

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Pipe:
    """A full round pipe with its local losses.

    Parameters
    ----------
    start, end : str
        Nodes.
    length, bore, roughness : (S,) or scalar
        Length and bore positive. [m]
    loss_coefficient : (S,) or scalar, default 0
        Sum of local losses, on this pipe's own bore. [-]
    shut : (S,) or scalar bool, default False
        Whether something closes it.

    Raises
    ------
    ValueError
        If a figure is out of its range. NaN passes; its sample will not converge.
    """

    start: str
    end: str
    length: ArrayLike
    bore: ArrayLike
    roughness: ArrayLike
    loss_coefficient: ArrayLike = 0.0
    shut: ArrayLike = False

    def __post_init__(self) -> None:
        for name in ("length", "bore"):
            _keep(self, name, lowest_allowed=False)
        for name in ("roughness", "loss_coefficient"):
            _keep(self, name)
        _keep_flags(self, "shut")


@dataclass(frozen=True, eq=False)
class Resistance:
    """Anything that loses pressure with the flow, its square, or both: a valve, an exchanger.

    Parameters
    ----------
    start, end : str
        Nodes.
    quadratic : (S,) or scalar, default 0
        Pressure drop per flow squared, for the liquid at hand. Where that drop is under
        0.1 mPa it goes linearly to zero, since a law without slope cannot be solved.
        [Pa/(m³/s)²]
    linear : (S,) or scalar, default 0
        Pressure drop per flow. [Pa/(m³/s)]
    shut : (S,) or scalar bool, default False
        Whether it is closed.

    Raises
    ------
    ValueError
        If a figure is negative, or both are zero in one sample: nodes with nothing between
        them are one node.
    """

    start: str
    end: str
    quadratic: ArrayLike = 0.0
    linear: ArrayLike = 0.0
    shut: ArrayLike = False

    def __post_init__(self) -> None:
        _keep_resistance(self)


@dataclass(frozen=True, eq=False)
class CheckValve:
    """A resistance that lets flow pass from start to end only; arguments as `Resistance`."""

    start: str
    end: str
    quadratic: ArrayLike = 0.0
    linear: ArrayLike = 0.0
    shut: ArrayLike = False

    def __post_init__(self) -> None:
        _keep_resistance(self)


@dataclass(frozen=True, eq=False)
class Pump:
    """A pump that lifts the pressure from start to end.

    Parameters
    ----------
    start, end : str
        Suction and delivery.
    curve : PumpCurve
        At speed ratio 1; its rise goes with the density of the liquid at hand.
    at_rest : (S,) or scalar
        Quadratic resistance while it stands still, positive. [Pa/(m³/s)²]
    speed_ratio : (S,) or scalar, default 1
        Speed over the curve's own; 0 is at rest. [-]
    shut : (S,) or scalar bool, default False
        Whether something closes its line.

    Raises
    ------
    ValueError
        If the speed is negative or the resistance at rest is not positive.
    """

    start: str
    end: str
    curve: PumpCurve
    at_rest: ArrayLike
    speed_ratio: ArrayLike = 1.0
    shut: ArrayLike = False

    def __post_init__(self) -> None:
        _keep(self, "at_rest", lowest_allowed=False)
        _keep(self, "speed_ratio")
        _keep_flags(self, "shut")


Link = Pipe | Resistance | CheckValve | Pump


def _keep_resistance(link: Resistance | CheckValve) -> None:
    """Check the figures of a resistance and keep them as arrays."""
    _keep(link, "quadratic")
    _keep(link, "linear")
    _keep_flags(link, "shut")
    if (np.equal(link.quadratic, 0) & np.equal(link.linear, 0)).any():
        raise ValueError(
            f"{_place(link)}: quadratic and linear are both zero; wanted one above zero, "
            "or one node instead of two"
        )


def _keep(link: Link, name: str, *, lowest_allowed: bool = True) -> None:
    """Keep a figure as an array of no or one dimension that is not below zero."""
    array = np.asarray(getattr(link, name), dtype=float)
    # a NaN compares false, and passes
    wrong = (array < 0 if lowest_allowed else array <= 0).any()
    if wrong or array.ndim > 1:
        found = f"shape {array.shape}" if array.ndim > 1 else f"{np.nanmin(array):g}"
        wanted = "zero or more" if lowest_allowed else "more than zero"
        raise ValueError(
            f"{_place(link)}: {name}: found {found}, wanted {wanted}, a scalar or one a sample"
        )
    object.__setattr__(link, name, array)


def _keep_flags(link: Link, name: str) -> None:
    """Keep yes or no as an array of no or one dimension."""
    array = np.asarray(getattr(link, name))
    if array.dtype != np.bool_ or array.ndim > 1:
        raise ValueError(f"{_place(link)}: {name}: wanted True or False, or one of them a sample")
    object.__setattr__(link, name, array)


def _place(link: Link) -> str:
    return f"{type(link).__name__} from {link.start} to {link.end}"
