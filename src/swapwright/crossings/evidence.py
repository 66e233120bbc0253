"""What one observation of an unknown end says of each thing that it may be."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import erf, exp, hypot, inf, log, pi, sqrt

from swapwright.library.likelihoods import Bell, Flat, Observation, Shape, Spread, Table
from swapwright.model.faults import nearest_name, quoted
from swapwright.model.values import Value, ValueFault, read_value
from swapwright.quantity import Measure

NOT_SEEN = ("", "unknown", "?")
LEAF = re.compile(r"(\d+(?:\.\d+)?)\s*(mm|tpi|turns per inch)?", re.IGNORECASE)
GRID = 4000  # points over a whole span: several to the narrowest density
EQUAL = 1 + 1e-9  # two shares that differ by less are one outcome


@dataclass(frozen=True)
class TableEvidence:
    """A reading of a table: its words with the weight that the reading gives to each."""

    table: Table
    weights: Mapping[int, float]  # by index of the word; they sum to one

    def chance(self, role: int) -> float:
        """How often this role shows it."""
        return sum(weight * self.table.shares[i][role] for i, weight in self.weights.items())

    def tail(self, role: int) -> float:
        """How often this role shows something at most as likely."""
        steps = dict(zip(range(len(self.table.words)), self._tails(role), strict=True))
        return sum(weight * steps[i] for i, weight in self.weights.items())

    def steps(self, role: int) -> tuple[tuple[float, float], ...]:
        """Every tail that can come up for this role, with its chance."""
        return tuple(
            (tail, row[role])
            for tail, row in zip(self._tails(role), self.table.shares, strict=True)
        )

    def _tails(self, role: int) -> list[float]:
        column = [row[role] for row in self.table.shares]
        return [sum(each for each in column if each <= share * EQUAL) for share in column]


@dataclass(frozen=True)
class SpreadEvidence:
    """A reading of a spread: a number with its spread on the scale, or a word."""

    spread: Spread
    at: float | str
    deviation: float = 0.0

    def chance(self, role: int) -> float:
        """Density of the number for this role, or the share of the word."""
        if isinstance(self.at, str):
            return self.word_share(role, self.at)
        return self.density(role)(self.at)

    def word_share(self, role: int, word: str) -> float:
        """How often this role shows the word."""
        shapes = self.spread.shapes[role]
        stray = self.spread.stray if shapes else 1.0
        typical = shapes.count(word) / len(shapes) if shapes else 0.0
        astray = self.spread.stray_words / len(self.spread.words)
        return (1 - stray) * typical + stray * astray

    def tail(self, role: int) -> float:
        """How often this role shows something at most as likely.

        First between words and number, then, for a number, by density; the
        density is summed over an even grid of the whole span.
        """
        words = {word: self.word_share(role, word) for word in self.spread.words}
        number = 1 - sum(words.values())
        own = words[self.at] if isinstance(self.at, str) else number
        rarer = sum(
            share for word, share in words.items() if share <= own * EQUAL and word != self.at
        )
        if isinstance(self.at, str):
            return rarer + own + (number if number <= own * EQUAL else 0.0)
        density_at = self.density(role)
        held = [density_at(x) for x in _grid(self.low, self.high, GRID)]
        here = density_at(self.at) * EQUAL
        return min(1.0, rarer + number * sum(d for d in held if d <= here) / sum(held))

    def steps(self, role: int) -> None:
        """None: the tail of a density is even between 0 and 1."""

    @cached_property
    def low(self) -> float:
        """Lower end of the span, on the scale."""
        return self.spread.scaled(self.spread.least)

    @cached_property
    def high(self) -> float:
        """Upper end of the span, on the scale."""
        return self.spread.scaled(self.spread.most)

    def density(self, role: int) -> Callable[[float], float]:
        """Density of the numbers that this role shows, on the scale."""
        shapes = self.spread.shapes[role]
        stray = self.spread.stray if shapes else 1.0
        base = stray * (1 - self.spread.stray_words) / (self.high - self.low)
        typical = [s for s in shapes if not isinstance(s, str)]
        each = (1 - stray) / len(shapes) if shapes else 0.0
        return lambda x: base + each * sum(_shape_density(s, x, self.deviation) for s in typical)


Evidence = TableEvidence | SpreadEvidence


def read_seen(observation: Observation, text: str) -> Evidence | None:
    """Read what a person saw.

    Parameters
    ----------
    observation : Observation
        Whose words, classes or densities count.
    text : str
        One of its words, a measure with its unit, or the leaf of a gauge.

    Returns
    -------
    evidence : Evidence or None
        None when it was not seen.

    Raises
    ------
    ValueFault
        With what was found, what was wanted and an example.
    """
    if text.strip().lower() in NOT_SEEN:
        return None
    try:
        if isinstance(observation, Spread):
            return _spread_evidence(observation, text)
        if observation.leaves:
            return TableEvidence(observation, {_leaf(observation, text): 1.0})
        if observation.sort is not None:
            return TableEvidence(observation, _classes(observation, text))
        return TableEvidence(observation, {_word(observation, text): 1.0})
    except ValueFault as fault:
        found = f"{observation.name}: {fault.found}"
        example = fault.example or observation.example
        raise ValueFault(found, fault.wanted, example, fault.nearest) from None


def outcomes(observation: Observation, roles: tuple[int, ...]) -> list[tuple[float, ...]]:
    """All that may be seen, each with its chance for each of these roles.

    Numbers are taken on a grid fine enough for the narrowest density.
    """
    if isinstance(observation, Table):
        return [tuple(row[role] for role in roles) for row in observation.shares]
    any_reading = SpreadEvidence(observation, 0.0)
    words = [
        tuple(any_reading.word_share(role, word) for role in roles) for word in observation.words
    ]
    finest = min(
        (
            shape.deviation
            for role in roles
            for shape in observation.shapes[role]
            if isinstance(shape, Bell)
        ),
        default=inf,
    )
    span = any_reading.high - any_reading.low
    count = min(GRID, round(span / min(finest, span / 100)))
    densities = [any_reading.density(role) for role in roles]
    step = span / count
    grid = _grid(any_reading.low, any_reading.high, count)
    return words + [tuple(density(x) * step for density in densities) for x in grid]


def _spread_evidence(spread: Spread, text: str) -> SpreadEvidence:
    word = text.strip().lower()
    if word in spread.words:
        return SpreadEvidence(spread, word)
    measure = _measure(spread, read_value(text, spread.sort))
    nominal, deviation = measure
    if spread.words and nominal > spread.most:
        return SpreadEvidence(spread, spread.words[0])
    if spread.words:
        nominal = max(nominal, spread.least)
    _within(spread, text, nominal)
    if spread.logarithm:
        return SpreadEvidence(spread, log(nominal), deviation / nominal)
    return SpreadEvidence(spread, nominal, deviation)


def _measure(observation: Observation, value: Value) -> tuple[float, float]:
    if isinstance(value.content, Measure):
        return value.content.nominal, value.content.uncertainty
    if isinstance(value.content, int):
        return float(value.content), 0.0
    assert observation.sort is not None
    raise ValueFault(quoted(value.text), observation.sort.wanted, observation.example)


def _within(observation: Observation, text: str, nominal: float) -> None:
    if not observation.least <= nominal <= observation.most:
        raise ValueFault(
            quoted(text),
            f"a size that a thing of this kind can have: {_limits(observation)}",
            observation.example,
        )


def _limits(observation: Observation) -> str:
    factor, unit = {"length": (1000, " mm"), "resistance": (1, " ohm")}.get(
        observation.sort.name if observation.sort else "", (1, "")
    )
    return f"{observation.least * factor:g} to {observation.most * factor:g}{unit}"


def _word(table: Table, text: str) -> int:
    words = [word.lower() for word in table.words]
    said = text.strip().lower()
    if said in words:
        return words.index(said)
    wanted = "one of: " + "; ".join(table.words)
    raise ValueFault(quoted(text), wanted, table.example, nearest_name(said, table.words))


def _leaf(table: Table, text: str) -> int:
    match = LEAF.fullmatch(text.strip())
    unit = (match[2] or "").lower() if match else ""
    number = f"{float(match[1]):g}" if match else ""
    name = f"{number} {'mm' if unit == 'mm' else 'tpi'}"
    if match and unit and name in table.words:
        return table.words.index(name)
    pitches = {leaf: _pitch(leaf) for leaf in table.words}
    nearest = ""
    if match and unit and float(match[1]) > 0:
        pitch = _pitch(name)
        nearest = min(pitches, key=lambda leaf: abs(log(pitches[leaf] / pitch)))
    wanted = "a leaf of the gauge with mm or tpi"
    raise ValueFault(quoted(text), wanted, table.example, nearest)


def _pitch(leaf: str) -> float:
    number, unit = leaf.split()
    return float(number) if unit == "mm" else 25.4 / float(number)


def _classes(table: Table, text: str) -> dict[int, float]:
    """The share of a measure that falls into each class; an edge belongs to the class above."""
    assert table.sort is not None
    nominal, deviation = _measure(table, read_value(text, table.sort))
    _within(table, text, nominal)
    if deviation == 0:
        return {sum(nominal >= edge for edge in table.edges): 1.0}
    bounds = [
        _below((edge - nominal) / deviation) for edge in (table.least, *table.edges, table.most)
    ]
    masses = [high - low for low, high in pairwise(bounds)]
    return {i: mass / sum(masses) for i, mass in enumerate(masses)}


def _shape_density(shape: Shape, x: float, deviation: float) -> float:
    if isinstance(shape, Bell):
        spread = hypot(shape.deviation, deviation)
        z = (x - shape.mean) / spread
        return exp(-z * z / 2) / (spread * sqrt(2 * pi))
    assert isinstance(shape, Flat)
    soft = hypot(shape.soft, deviation)
    inside = _below((shape.high - x) / soft) - _below((shape.low - x) / soft)
    return inside / (shape.high - shape.low)


def _below(z: float) -> float:
    """Standard normal distribution."""
    return (1 + erf(z / sqrt(2))) / 2


def _grid(low: float, high: float, count: int) -> list[float]:
    step = (high - low) / count
    return [low + (i + 0.5) * step for i in range(count)]
