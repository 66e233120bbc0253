"""A measured quantity: what it is, how sure, and what was written."""

from dataclasses import dataclass
from enum import StrEnum
from math import isfinite
from typing import Literal

from .dimension import Dimension

Spread = Literal["stated", "tool", "readings", "not stated"]


class Basis(StrEnum):
    """What a number rests on, the firmest first."""

    MEASURED = "measured"
    PUBLISHED = "published"
    TYPICAL = "typical"
    GUESSED = "guessed"


@dataclass(frozen=True, slots=True)
class Measure:
    """A quantity in the unit its dimension is kept in.

    Parameters
    ----------
    nominal : float
        Best value, in the unit of :mod:`swapwright.quantity.dimension`.
    uncertainty : float
        Standard uncertainty, same unit; 0.0 where ``spread`` is "not stated".
    dimension : Dimension
    basis : Basis
    text : str
        As written; empty for a value that nobody wrote.
    spread : str
        Where the uncertainty comes from.
    thread : str or None
        The one form of a thread designation, such as "M10x1".

    Raises
    ------
    ValueError
        If a number is not finite, or the uncertainty is negative.
    """

    nominal: float
    uncertainty: float
    dimension: Dimension
    basis: Basis
    text: str
    spread: Spread = "not stated"
    thread: str | None = None

    def __post_init__(self) -> None:
        if not (isfinite(self.nominal) and isfinite(self.uncertainty)):
            raise ValueError(f"a measure must be finite, got {self.nominal} ± {self.uncertainty}")
        if self.uncertainty < 0:
            raise ValueError(f"uncertainty must not be negative, got {self.uncertainty:g}")
