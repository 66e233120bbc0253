"""Charts as plain records, and each as rows of text: heights, curves, shares.

Values are kept as everywhere; an axis turns them into the unit that its readers are used to.
``chart_drawing`` draws the same records.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from textwrap import wrap

from swapwright.quantity import KINDS, Dimension, System, preferred
from swapwright.quantity.units import find_unit

WIDTH = 80
MOST_PLACES = 11  # of a curve that a table tells
Rows = tuple[tuple[str, ...], ...]  # the first holds the headings


@dataclass(frozen=True, slots=True)
class Axis:
    """What is laid off along an axis."""

    name: str
    dimension: Dimension
    system: System = "metric"

    def scale(self, values: Sequence[float]) -> "Scale":
        """One unit for all of these values: the one that suits the largest."""
        kind = KINDS[self.dimension]
        ladder = kind.metric if self.system == "metric" else kind.us
        largest = max((abs(value) for value in values), default=0.0)
        symbol = next(unit for size, unit in reversed(ladder) if largest >= size or size == 0)
        unit = find_unit(symbol)
        if unit is None:  # a bare number
            return Scale(self.name, 1.0, 0.0)
        return Scale(f"{self.name} ({unit.symbol})", unit.factor, unit.offset)

    def words(self, value: float) -> str:
        """One value with its unit."""
        return preferred(value, self.dimension, self.system)


@dataclass(frozen=True, slots=True)
class Scale:
    """How values of an axis are shown."""

    label: str  # name and unit
    factor: float
    offset: float

    def shown(self, value: float) -> float:
        """A value in the unit of the axis."""
        return (value - self.offset) / self.factor


@dataclass(frozen=True, slots=True)
class Limit:
    """A line that should not be passed, and who says so."""

    label: str
    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Band:
    """Between which values a curve lies with some probability."""

    probability: float  # 0 to 1
    low: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """Middle values at places along the axis, with bands around them, the widest first."""

    label: str
    places: tuple[float, ...]
    middle: tuple[float, ...]
    bands: tuple[Band, ...] = ()

    def __post_init__(self) -> None:
        for name, values in (
            ("places", self.places),
            ("middle", self.middle),
            *((f"band {percent(band.probability)} low", band.low) for band in self.bands),
            *((f"band {percent(band.probability)} high", band.high) for band in self.bands),
        ):
            if len(values) != len(self.places) or not all(map(isfinite, values)):
                raise ValueError(
                    f"curve {self.label!r}, {name}: found {len(values)} values, "
                    f"wanted {len(self.places)} finite ones"
                )


@dataclass(frozen=True, slots=True)
class CurveChart:
    """Curves with bands: pump against circuit, heat needed against heat given, or over time."""

    title: str
    across: Axis
    up: Axis
    curves: tuple[Curve, ...]
    limits: tuple[Limit, ...] = ()  # of the axis upwards
    marks: tuple[tuple[str, float], ...] = ()  # such as where two curves meet: label, place


@dataclass(frozen=True, slots=True)
class Way:
    """A way of hoses and parts as height over the length along it."""

    label: str
    lengths: tuple[float, ...]
    heights: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class HeightProfile:
    """How high a circuit runs, where liquid stands, where air is caught."""

    title: str
    along: Axis
    height: Axis
    ways: tuple[Way, ...]
    levels: tuple[tuple[str, float], ...] = ()  # label, height
    traps: tuple[tuple[str, float, float], ...] = ()  # label, length, height


@dataclass(frozen=True, slots=True)
class Distribution:
    """How often a value comes out, against a limit."""

    title: str
    axis: Axis
    values: tuple[float, ...]
    limit: Limit | None = None

    def __post_init__(self) -> None:
        if len(self.values) < 2 or not all(map(isfinite, self.values)):
            raise ValueError(f"distribution {self.title!r}: wanted two finite values or more")

    @property
    def above(self) -> float:
        """Share of the values above the limit; nought without one."""
        if self.limit is None:
            return 0.0
        return sum(value > self.limit.value for value in self.values) / len(self.values)

    def quantile(self, share: float) -> float:
        """The value that so large a share lies below, linear between neighbours."""
        ordered = sorted(self.values)
        place = share * (len(ordered) - 1)
        low = min(int(place), len(ordered) - 2)
        return ordered[low] + (place - low) * (ordered[low + 1] - ordered[low])


@dataclass(frozen=True, slots=True)
class Shares:
    """Parts of a whole as bars, the largest first."""

    title: str
    of: str  # the whole
    bars: tuple[tuple[str, float], ...]  # label, share from 0 to 1

    @property
    def ordered(self) -> tuple[tuple[str, float], ...]:
        """Largest first; equal ones in their order."""
        return tuple(sorted(self.bars, key=lambda bar: -bar[1]))


Chart = CurveChart | HeightProfile | Distribution | Shares


def chart_rows(chart: Chart) -> Rows:
    """The same as a chart shows, as rows of a table; headings first."""
    match chart:
        case CurveChart():
            return tuple(_curve_rows(chart))
        case HeightProfile():
            return tuple(_profile_rows(chart))
        case Distribution():
            return tuple(_distribution_rows(chart))
        case Shares():
            rows = ((label, percent(share)) for label, share in chart.ordered)
            return (("what", f"share of {chart.of}"), *rows)


def chart_text(chart: Chart) -> str:
    """A chart for the terminal: its title and its rows, no wider than 80 columns."""
    head, *rows = chart_rows(chart)
    widths = [max(len(row[place]) for row in (head, *rows)) for place in range(len(head))]
    if sum(widths) + 2 * (len(widths) - 1) <= WIDTH:
        table = [
            "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
            for row in (head, *rows)
        ]
    else:  # a row of the table becomes a line of words
        table = [line for row in rows for line in _folded(head, row)]
    return "\n".join((*wrap(chart.title, WIDTH), *table)) + "\n"


def _folded(head: Sequence[str], row: Sequence[str]) -> list[str]:
    first, *others = (
        f"{name} {cell}" if place else cell
        for place, (name, cell) in enumerate(zip(head, row, strict=True))
        if cell
    )
    return wrap("; ".join((first, *others)), WIDTH, subsequent_indent="  ")


def percent(share: float, signed: bool = False) -> str:
    """A share as whole percent."""
    return f"{100 * share:+.0f} %" if signed else f"{100 * share:.0f} %"


def _told_places(count: int) -> tuple[int, ...]:
    """All of a few places; of many, evenly chosen ones with both ends."""
    if count <= MOST_PLACES:
        return tuple(range(count))
    return tuple(round(n * (count - 1) / (MOST_PLACES - 1)) for n in range(MOST_PLACES))


def slope(way: Way, number: int) -> float:
    """Rise over length of one piece of a way; what rises is positive."""
    run = way.lengths[number + 1] - way.lengths[number]
    rise = way.heights[number + 1] - way.heights[number]
    return rise / run if run else 0.0


def _profile_rows(chart: HeightProfile) -> Iterator[tuple[str, ...]]:
    yield "what", "from", "to", "height", "slope"
    for way in chart.ways:
        for number, (start, end) in enumerate(pairwise(way.lengths)):
            heights = " to ".join(chart.height.words(h) for h in way.heights[number : number + 2])
            yield (
                way.label,
                chart.along.words(start),
                chart.along.words(end),
                heights,
                percent(slope(way, number), signed=True),
            )
    for label, height in chart.levels:
        yield f"level: {label}", "", "", chart.height.words(height), ""
    for label, length, height in chart.traps:
        yield f"trap: {label}", chart.along.words(length), "", chart.height.words(height), ""


def _curve_rows(chart: CurveChart) -> Iterator[tuple[str, ...]]:
    yield "curve", chart.across.name, chart.up.name, "band"
    for curve in chart.curves:
        for number in _told_places(len(curve.places)):
            place, middle = curve.places[number], curve.middle[number]
            bands = "; ".join(
                f"{percent(band.probability)} {chart.up.words(band.low[number])} "
                f"to {chart.up.words(band.high[number])}"
                for band in curve.bands
            )
            yield curve.label, chart.across.words(place), chart.up.words(middle), bands
    for label, place in chart.marks:
        yield label, chart.across.words(place), "", ""
    for limit in chart.limits:
        yield f"limit: {limit.label}", "", chart.up.words(limit.value), limit.source


def _distribution_rows(chart: Distribution) -> Iterator[tuple[str, ...]]:
    yield "share below", chart.axis.name, "source"
    for share in (0.05, 0.25, 0.5, 0.75, 0.95):
        yield percent(share), chart.axis.words(chart.quantile(share)), ""
    if chart.limit is not None:
        words = chart.axis.words(chart.limit.value)
        yield f"limit: {chart.limit.label}", words, chart.limit.source
        yield "above the limit", f"{percent(chart.above)} of {len(chart.values)}", ""
