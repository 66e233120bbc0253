"""Quantities as people read them: as written, beside the preferred unit."""

from math import floor, isfinite, log10, sqrt

from .dimension import KINDS, Dimension, System
from .fault import QuantityFault
from .measure import Measure
from .money import Money
from .parsing import parse
from .units import Unit, find_unit

# Below the air outside both systems have a unit of their own.
SUCTION = {"metric": "kPa", "us": "inHg"}


def show(quantity: Measure | Money, system: System) -> str:
    """A quantity as written, with the preferred unit where that is another.

    "1 1/2 in (38.1 mm)"; "38 mm". A spread is shown as it was understood: a
    bound as ±, repeated readings as mean and standard uncertainty.
    """
    if isinstance(quantity, Money):
        return str(quantity)
    if quantity.thread is not None:
        return quantity.text or quantity.thread
    written = quantity.text
    if quantity.spread == "readings":
        value, spread = _with_spread(quantity, quantity.uncertainty, system)
        return f"{written} (mean {value}, standard uncertainty {spread})"
    if not written:
        return _alone(quantity, system)
    if _at_home(quantity, system):
        return written
    return f"{written} ({_alone(quantity, system)})"


def _at_home(measure: Measure, system: System) -> bool:
    try:
        return parse(measure.text, measure.dimension).unit.home in ("both", system)
    except QuantityFault:  # words that were not read here stand beside the value
        return False


def preferred(value_si: float, dimension: Dimension, system: System) -> str:
    """A bare value in the unit its readers are used to.

    Parameters
    ----------
    value_si : float
        In the unit the dimension is kept in.
    dimension : Dimension
        What it is a value of.
    system : {"metric", "us"}
        Whose habits to follow.

    Returns
    -------
    text : str
        Three or four figures; whole units are never rounded away.

    Raises
    ------
    ValueError
        If the value is not finite.
    """
    if not isfinite(value_si):
        raise ValueError(f"only a finite value can be shown, got {value_si}")
    unit = _unit_for(value_si, dimension, system)
    number = (value_si - unit.offset) / unit.factor
    return _join(figures(number, KINDS[dimension].digits), unit)


def figures(number: float, digits: int) -> str:
    """A number in so many figures, without zeros that say nothing."""
    if number == 0:
        return "0"
    decimals = max(0, digits - 1 - floor(log10(abs(number))))
    text = f"{number:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return text if float(text) else "0"


def _unit_for(value: float, dimension: Dimension, system: System) -> Unit:
    kind = KINDS[dimension]
    ladder = kind.metric if system == "metric" else kind.us
    symbol = next(unit for size, unit in reversed(ladder) if abs(value) >= size or size == 0)
    if dimension is Dimension.PRESSURE and value < 0:
        symbol = SUCTION[system]
    unit = find_unit(symbol)
    if unit is None:  # a bare number
        return Unit("", dimension, 1.0, "both")
    return unit


def _alone(measure: Measure, system: System) -> str:
    if not measure.uncertainty:
        return preferred(measure.nominal, measure.dimension, system)
    value, spread = _with_spread(measure, measure.uncertainty * sqrt(3), system)
    number, _, _ = value.partition(" ")
    return f"{number} ± {spread}"


def _with_spread(measure: Measure, spread: float, system: System) -> tuple[str, str]:
    """Value and spread to the same decimal, the spread in one or two figures."""
    unit = _unit_for(measure.nominal, measure.dimension, system)
    number = (measure.nominal - unit.offset) / unit.factor
    size = spread / abs(unit.factor)
    decimals = max(0, _spread_decimals(size)) if size else 3
    return _join(f"{number:.{decimals}f}", unit), _join(f"{size:.{decimals}f}", unit)


def _spread_decimals(size: float) -> int:
    """Two figures where the first is 1 or 2: one would round by a third."""
    exponent = floor(log10(size))
    first = size / 10**exponent
    return -exponent + (1 if first < 2.95 else 0)


def _join(number: str, unit: Unit) -> str:
    gap = "" if unit.symbol in ("", "°") else " "
    return f"{number}{gap}{unit.symbol}"
