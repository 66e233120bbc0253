"""From written text to a number, its bound and its unit. Nothing is evaluated."""

import re
from collections.abc import Sequence
from functools import cache
from math import isfinite
from typing import NamedTuple

from .dimension import BARE, KINDS, Dimension, wanted
from .fault import QuantityFault
from .threads import read_thread
from .units import BARE_NUMBER, UNITS, Unit, find_unit, guess_unit
from .wire_gauge import gauge_area, gauge_number

LONGEST = 80
LARGEST = 1e15  # in the unit kept; beyond it a text is a slip, not a part

NUMBER = r"(?:(?:(\d+)[ -])?(\d+)/(\d+)|(\d+(?:\.\d+)?(?:[eE][+-]?\d{1,3})?|\.\d+))"
LETTER = r"[^\W\d_]"
UNIT = rf"((?!to )(?:(?:1/)?{LETTER}|[°º˚%:])[^±+,]*?|[\"″”'′’](?: ?{LETTER}[^±+,]*?)?)"
SIGN = r"([+−-]?)"
PLUS_MINUS = r"(?:±|\+/[-−]|\+[-−])"
WRITTEN = (
    rf"{SIGN} ?{NUMBER} ?{UNIT}?"
    rf"(?: ?(?:({PLUS_MINUS})|(\.{{2,3}}|…|to(?= ))) ?{SIGN}{NUMBER} ?{UNIT}?)?"
)
FEET_AND_INCHES = rf"(\d+) ?(?:ft|feet|['′’]) ?{NUMBER} ?(?:in|inches|[\"″”])"
GAUGE = rf"(?i:AWG ?#?(\S+)|(\S+?) ?AWG)(?: ?{PLUS_MINUS} ?(\d+(?:\.\d+)?) ?%)?"
TWO_NUMBERS = r"\d+ ?- ?\d+"
SPACES = str.maketrans(dict.fromkeys("\u00a0\u2007\u2009\u200a\u202f\t", " "))
VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4",
    "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
FEET = UNITS["ft"].factor
INCHES = UNITS["in"].factor
PERCENT = UNITS["%"]
D = Dimension
# A share of a point on a scale, or of a logarithm, means nothing.
NO_SHARE = frozenset({D.TEMPERATURE, D.SOUND_LEVEL})
SPREAD_OF = {D.TEMPERATURE: D.TEMPERATURE_DIFFERENCE, D.ABSOLUTE_PRESSURE: D.PRESSURE}
MIXED_UP: dict[tuple[Dimension | None, Dimension], str] = {
    (D.TEMPERATURE, D.TEMPERATURE_DIFFERENCE): "K is read as a difference, °C as a temperature",
    (D.TEMPERATURE_DIFFERENCE, D.TEMPERATURE): "°C is read as a temperature, K as a difference",
    (D.ABSOLUTE_PRESSURE, D.PRESSURE): 'gauge unless it says "abs"',
    (D.FORCE, D.MASS): "kg and lb are masses; a force is in N, kgf or lbf",
    (D.MASS, D.FORCE): "a mass is in kg or lb",
    (D.ROTATIONAL_SPEED, D.FREQUENCY): "a shaft turns in rpm",
}


class Parsed(NamedTuple):
    """What a text says, in the unit kept.

    ``bound`` is None where none is stated; ``step`` is one in the last figure.
    """

    nominal: float
    bound: float | None
    dimension: Dimension
    unit: Unit
    step: float = 0.0
    thread: str | None = None


class Asked(NamedTuple):
    """A text and what it should be."""

    text: str
    dimension: Dimension | None

    def fault(self, why: str = "", example: str = "") -> QuantityFault:
        """A fault that asks for this dimension."""
        phrase, usual = wanted(self.dimension)
        return QuantityFault(self.text.strip(), phrase, example or usual, why)


def parse(text: str, dimension: Dimension | None) -> Parsed:
    """What a text says.

    Parameters
    ----------
    text : str
        Such as "412 ± 5 mm", "18..22 mm", "1 1/2 in", "16 AWG", "M10x1".
    dimension : Dimension or None
        What is wanted; None takes whatever the unit says.

    Raises
    ------
    QuantityFault
        If it cannot be read, is of another dimension, or could mean two things.
    """
    asked = Asked(text, dimension)
    plain = _tidy(asked)
    if dimension is D.THREAD:
        return _thread(plain, asked)
    match = _written().fullmatch(plain)
    if match is None:
        parsed = _unusual(plain, asked)
    elif unknown := _unknown_unit(match):
        parsed = _unusual(plain, asked, unknown)
    else:
        parsed = _quantity(match, asked)
    _check(parsed, asked)
    return parsed


@cache
def _written() -> re.Pattern[str]:
    return re.compile(WRITTEN)


def _tidy(asked: Asked) -> str:
    text = asked.text
    if len(text) > LONGEST:
        raise asked.fault(f"{len(text)} characters")
    plain = text.translate(SPACES)
    if not plain.isascii():
        for sign, written in VULGAR.items():
            if sign in plain:
                plain = plain.replace(sign, f" {written} ")
    if not plain.isprintable():
        raise asked.fault("more than one line, or characters that do not print")
    plain = plain.strip()
    if not plain:
        raise asked.fault("nothing")
    return plain if "  " not in plain else " ".join(plain.split())


def _unknown_unit(match: re.Match[str]) -> str:
    for name in match.group(6, 14):
        if name and find_unit(name) is None:
            return str(name)
    return ""


def _unusual(plain: str, asked: Asked, unknown: str = "") -> Parsed:
    """What is not a number and a unit: gauges, threads, feet and inches."""
    if match := re.fullmatch(GAUGE, plain):
        return _gauge(match, asked)
    if match := re.fullmatch(FEET_AND_INCHES, plain):
        feet, *inches = match.groups()
        value, step = _number("", inches, asked)
        return Parsed(int(feet) * FEET + value * INCHES, None, D.LENGTH, UNITS["in"], step * INCHES)
    # "18-22" is a range where a thread cannot be meant.
    if (asked.dimension is None or not re.fullmatch(TWO_NUMBERS, plain)) and read_thread(plain):
        return _thread(plain, asked)
    if unknown:
        raise asked.fault(guess_unit(unknown, asked.dimension))
    raise _unread(plain, asked)


def _thread(plain: str, asked: Asked) -> Parsed:
    thread = read_thread(plain)
    if thread is None:
        raise asked.fault()
    return Parsed(thread.diameter, None, D.THREAD, UNITS["mm"], thread=thread.designation)


def _gauge(match: re.Match[str], asked: Asked) -> Parsed:
    before, after, percent = match.groups()
    number = gauge_number(before or after)
    if number is None:
        raise asked.fault("wire gauges run from 40 to 1, then 1/0 to 4/0", "16 AWG")
    area = gauge_area(number)
    bound = None if percent is None else area * float(percent) / 100
    return Parsed(area, bound, D.AREA, Unit("AWG", D.AREA, area, "us"))


def _quantity(match: re.Match[str], asked: Asked) -> Parsed:
    sign, *first, name, plus_minus, span, other_sign = match.groups()[:9]
    *second, other_name = match.groups()[9:]
    number, step = _number(sign, first, asked)
    if plus_minus is None and span is None:
        unit = _unit(name, asked)
        nominal = _in_kept(number, unit, asked)
        return Parsed(nominal, None, unit.dimension, unit, step * abs(unit.factor))
    other, _ = _number(other_sign, second, asked)
    if span is not None:
        return _span(number, other, name, other_name, asked)
    if other_sign:
        raise asked.fault("the figure behind ± has no sign", "412 ± 5 mm")
    unit = _unit(name or other_name, asked)
    nominal = _in_kept(number, unit, asked)
    half = other * _bound_unit(name, other_name, unit, nominal, asked)
    return Parsed(nominal, half, unit.dimension, unit, step * abs(unit.factor))


def _span(low: float, high: float, name: str, other_name: str, asked: Asked) -> Parsed:
    """Every value between the two is equally likely."""
    unit = _unit(other_name or name, asked)
    first = _unit(name or other_name, asked)
    if first.dimension is not unit.dimension:
        raise asked.fault("the two ends differ in kind", "18..22 mm")
    start, end = _in_kept(low, first, asked), _in_kept(high, unit, asked)
    if start > end and unit.factor > 0:
        raise asked.fault("the smaller figure comes first", "18..22 mm")
    return Parsed((start + end) / 2, abs(end - start) / 2, unit.dimension, unit)


def _in_kept(number: float, unit: Unit, asked: Asked) -> float:
    if unit.factor < 0 and number < 0:
        raise asked.fault("vacuum counts downwards already; leave the sign out")
    return unit.factor * number + unit.offset


def _bound_unit(
    name: str | None, other_name: str | None, unit: Unit, nominal: float, asked: Asked
) -> float:
    """Size of one unit of the figure behind ±."""
    if not name or not other_name:
        return abs(unit.factor)
    own = _unit(other_name, asked)
    if own is PERCENT:
        if unit.dimension is D.RATIO:
            raise asked.fault("points, or a share of it?", "5 ± 1 %")
        if unit.dimension in NO_SHARE:
            raise asked.fault(f"{unit.symbol} has no true zero to take a share of")
        return abs(nominal) / 100
    if own.dimension not in (unit.dimension, SPREAD_OF.get(unit.dimension)):
        raise asked.fault(f"{own.symbol} is not a spread of {unit.symbol}")
    return abs(own.factor)


def _number(sign: str, parts: Sequence[str | None], asked: Asked) -> tuple[float, float]:
    """The number, and one in its last figure."""
    whole, over, under, plain = parts
    turn = -1 if sign in ("-", "−") else 1
    if over and under:
        below = int(under)
        if below == 0 or (whole and int(over) >= below):
            raise asked.fault("not a fraction", "1 1/2 in")
        return turn * (int(whole or 0) * below + int(over)) / below, 1 / below
    figures, _, power = (plain or "").lower().partition("e")
    value = float(plain or "nan")
    if not isfinite(value):
        raise asked.fault("larger than any part")
    decimals = len(figures.partition(".")[2])
    return turn * value, float(f"1e{int(power or 0) - decimals}")


def _unit(name: str | None, asked: Asked) -> Unit:
    if name:
        unit = find_unit(name)
        if unit is None:
            raise asked.fault(guess_unit(name, asked.dimension))
        return unit
    if asked.dimension is None or asked.dimension not in BARE:
        usual = wanted(asked.dimension)[1].split(" ", 1)[-1]
        raise asked.fault("no unit", f"{asked.text.strip()} {usual}")
    return BARE_NUMBER._replace(dimension=asked.dimension)


def _check(parsed: Parsed, asked: Asked) -> None:
    nominal, bound, found = parsed[:3]
    if asked.dimension is not None and found is not asked.dimension:
        raise asked.fault(MIXED_UP.get((asked.dimension, found), KINDS[found].phrase))
    if abs(nominal) > LARGEST or (bound or 0.0) > LARGEST:
        raise asked.fault("larger than any part")
    if found in (D.TEMPERATURE, D.ABSOLUTE_PRESSURE) and nominal < 0:
        raise asked.fault("below absolute zero")
    if found is D.COUNT and (bound is not None or nominal != int(nominal)):
        raise asked.fault("things are counted whole")


def _unread(plain: str, asked: Asked) -> QuantityFault:
    """The most helpful fault for a text that has no known form."""
    if re.search(r"\d,\d", plain):
        return _comma(plain, asked)
    if re.match(r"[+-]?\d{1,3}(?:[ '’_]\d{3})+(?!\d|/)", plain):
        right = re.sub(r"(?<=\d)[ '’_](?=\d{3})", "", plain)
        return asked.fault("thousands are written without a mark", right)
    if re.match(r"\d[\d.]* ?[-–—] ?\d", plain):
        right = re.sub(r" ?[-–—] ?", "..", plain, count=1)
        return asked.fault("a range is written with two dots", right)
    if re.match(r"(?i:[~≈<>≤≥]|about|ca|approx)", plain):
        return asked.fault('say how far it may be off, with "±"', "412 ± 5 mm")
    return asked.fault()


def _comma(plain: str, asked: Asked) -> QuantityFault:
    decimal = plain.replace(",", ".")
    joined = plain.replace(",", "")
    if "." in plain and plain.rindex(".") < plain.rindex(","):
        right = plain.replace(".", "").replace(",", ".")
        return asked.fault("the decimal mark is a point, and thousands have no mark", right)
    if re.search(r"\d,\d{3}(?!\d)", plain) is None:
        return asked.fault("the decimal mark is a point", decimal)
    if decimal.count(".") > 1:
        return asked.fault("thousands are written without a mark", joined)
    return asked.fault(f'a comma may mean two things: write "{joined}" or "{decimal}"', joined)
