"""A computed quantity with its spread, and the chance that one lies below another."""

from collections.abc import Callable
from dataclasses import dataclass
from math import erf, hypot, sqrt

from swapwright.quantity import Dimension, Measure


@dataclass(frozen=True, slots=True)
class Chance:
    """Probability that a comparison holds."""

    p: float

    def __or__(self, other: "Chance") -> "Chance":
        """At least one of two: the greater, a lower bound whatever their dependence."""
        return Chance(max(self.p, other.p))

    def __and__(self, other: "Chance") -> "Chance":
        """Both of two: the smaller, an upper bound whatever their dependence."""
        return Chance(min(self.p, other.p))


@dataclass(frozen=True, slots=True)
class Amount:
    """A quantity with its standard uncertainty, both SI; uncertainties count as independent."""

    nominal: float
    uncertainty: float
    dimension: Dimension

    @classmethod
    def of(cls, measure: Measure) -> "Amount":
        """The amount that a measure states."""
        return cls(measure.nominal, measure.uncertainty, measure.dimension)

    def __add__(self, other: "Amount") -> "Amount":
        """Sum of two amounts of one dimension."""
        return self._with(other, self.nominal + other.nominal)

    def __sub__(self, other: "Amount") -> "Amount":
        """Difference of two amounts of one dimension."""
        return self._with(other, self.nominal - other.nominal)

    def __mul__(self, factor: float) -> "Amount":
        """A plain multiple."""
        return Amount(self.nominal * factor, self.uncertainty * abs(factor), self.dimension)

    __rmul__ = __mul__

    def __truediv__(self, other: "Amount") -> "Amount":
        """Ratio of two amounts of one dimension."""
        _one_dimension(self, other)
        return derived(lambda a, b: a / b, (self, other), Dimension.RATIO)

    def __lt__(self, other: "Amount") -> Chance:
        """Chance that this one lies below the other."""
        return below(self, other)

    def __gt__(self, other: "Amount") -> Chance:
        """Chance that this one lies above the other."""
        return below(other, self)

    def _with(self, other: "Amount", nominal: float) -> "Amount":
        _one_dimension(self, other)
        return Amount(nominal, hypot(self.uncertainty, other.uncertainty), self.dimension)


def below(first: Amount, second: Amount) -> Chance:
    """Chance that ``first`` < ``second``: normal difference; exact when neither has a spread.

    References
    ----------
    JCGM 106:2012, clause 7.2.2: conformance probability of a normal state of knowledge.
    """
    _one_dimension(first, second)
    spread = hypot(first.uncertainty, second.uncertainty)
    if spread == 0:
        return Chance(1.0 if first.nominal < second.nominal else 0.0)
    return Chance(0.5 * (1 + erf((second.nominal - first.nominal) / (spread * sqrt(2)))))


def derived(law: Callable[..., float], inputs: tuple[Amount, ...], dimension: Dimension) -> Amount:
    """Result of a law with first-order spread from independent inputs.

    The law takes one SI float per input and returns one.

    References
    ----------
    JCGM 100:2008 (GUM), clause 5.1.3, the derivatives as in its note 2 by half a
    standard uncertainty to each side.
    """
    nominal = [each.nominal for each in inputs]
    spread = 0.0
    for i, each in enumerate(inputs):
        if each.uncertainty:
            up, down = list(nominal), list(nominal)
            up[i] += each.uncertainty / 2
            down[i] -= each.uncertainty / 2
            spread = hypot(spread, law(*up) - law(*down))
    return Amount(law(*nominal), spread, dimension)


def _one_dimension(first: Amount, second: Amount) -> None:
    if first.dimension != second.dimension:
        raise TypeError(f"{first.dimension} against {second.dimension}")
