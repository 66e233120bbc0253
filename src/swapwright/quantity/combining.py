"""Several readings of one quantity, made one."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, hypot, sqrt

from .dimension import Dimension
from .measure import Basis, Measure, Spread
from .parsing import parse
from .reading import RECTANGULAR
from .tools import tool_bound


@dataclass(frozen=True, slots=True)
class Combined:
    """What several readings say together.

    ``scatter`` is the experimental standard deviation of one reading, None when
    there was only one: a single reading does not tell how far the next would be.
    """

    measure: Measure
    scatter: float | None
    count: int

    @property
    def single(self) -> bool:
        """Whether it rests on one reading."""
        return self.count == 1


def combine(readings: Sequence[Measure], tool: str | None = None) -> Combined:
    """Mean of repeated readings and its standard uncertainty.

    ``u² = s² / n + a² / 3``: the scatter of the readings shrinks as they grow
    more, the bound ``a`` of the tool does not, because one tool errs the same
    way each time. Without a tool the largest uncertainty among the readings
    stands in its place.

    Parameters
    ----------
    readings : sequence of Measure
        One dimension, no threads.
    tool : str, optional
        A tool of the table, used for all of them.

    Returns
    -------
    combined : Combined
        Its measure rests on the weakest basis among the readings.

    Raises
    ------
    ValueError
        If there are none, they differ in dimension, or they are threads.
    QuantityFault
        If the tool does not suit.

    References
    ----------
    .. [1] JCGM 100:2008, Guide to the expression of uncertainty in measurement:
       4.2.3 (mean of n readings), 4.3.7 (bound), 5.1.2 (sum of squares).
    """
    dimension = _one_dimension(readings)
    count = len(readings)
    values = [reading.nominal for reading in readings]
    mean = fsum(values) / count
    scatter = sqrt(fsum((v - mean) ** 2 for v in values) / (count - 1)) if count > 1 else None
    constant = _constant(readings, mean, tool)
    uncertainty = hypot((scatter or 0.0) / sqrt(count), constant)
    spread: Spread = "readings"
    if count == 1:
        spread = "tool" if tool is not None and constant else readings[0].spread
    measure = Measure(
        mean,
        uncertainty,
        dimension,
        max((reading.basis for reading in readings), key=list(Basis).index),
        "; ".join(reading.text for reading in readings),
        spread,
    )
    return Combined(measure, scatter, count)


def _one_dimension(readings: Sequence[Measure]) -> Dimension:
    if not readings:
        raise ValueError("no readings to combine")
    found = {reading.dimension for reading in readings}
    if len(found) > 1:
        raise ValueError(f"readings differ in kind: {', '.join(sorted(found))}")
    dimension = readings[0].dimension
    if dimension is Dimension.THREAD:
        raise ValueError("threads are told apart, not averaged")
    return dimension


def _constant(readings: Sequence[Measure], mean: float, tool: str | None) -> float:
    """The part that more readings do not shrink."""
    if tool is None:
        return max(reading.uncertainty for reading in readings)
    written = [parse(reading.text, reading.dimension) for reading in readings]
    coarsest = max(written, key=lambda parsed: parsed.step)
    bound = tool_bound(tool, coarsest._replace(nominal=mean))
    return 0.0 if bound is None else bound * RECTANGULAR
