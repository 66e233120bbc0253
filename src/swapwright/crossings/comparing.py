"""What one comparison of two ends says: of their sizes, their words, their threads."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import hypot
from typing import NamedTuple, TypeAlias

from swapwright.crossings.fittings import ThreadShape, thread_shape
from swapwright.library.tables import LookAlike, lookalikes
from swapwright.model.amount import Amount
from swapwright.model.ends import End
from swapwright.model.message import Message, Spoken
from swapwright.quantity import Dimension, Measure


class Verdict(StrEnum):
    """Whether two ends go together; the better first."""

    MATES = "mates"
    WARNING = "mates with a warning"
    UNKNOWN = "cannot tell"
    NOT = "does not mate"

    @property
    def joins(self) -> bool:
        """True when the two can be put together."""
        return self in (Verdict.MATES, Verdict.WARNING)


Spot: TypeAlias = tuple[int, str]  # 0 for end a, 1 for end b, and the dimension


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one comparison says."""

    verdict: Verdict
    why: tuple[Message, ...]
    wanted: tuple[Spot, ...] = ()
    used: tuple[Spot, ...] = ()
    through: str = ""
    direct: bool = True  # False: something plain lies between


class Band(NamedTuple):
    """Verdict and words for a difference up to a limit, in m."""

    up_to: float
    verdict: Verdict
    text: str


MM = 1e-3
EDGE = 1e-9  # m or m²: exactly 3 mm lies inside 3 mm whatever its last binary digit
SURE = 2.0  # standard uncertainties on each side within which a verdict must not change
WORST = (Verdict.NOT, Verdict.UNKNOWN, Verdict.WARNING, Verdict.MATES)


# --- reading dimensions


def measure_of(end: End, dim: str) -> Measure | None:
    """A dimension as a measure; None when it is unknown or absent."""
    content = end.dim(dim).content
    return content if isinstance(content, Measure) else None


def plain_of(end: End, dim: str) -> int | str | None:
    """A count or word; None when it is unknown or absent."""
    content = end.dim(dim).content
    return content if isinstance(content, int | str) else None


def shape_of(end: End, dim: str = "thread") -> ThreadShape | None:
    """Geometry of the thread of an end; None when unknown."""
    measure = measure_of(end, dim)
    return thread_shape(measure.thread) if measure and measure.thread else None


def lacking(ends: tuple[End, End], spots: Iterable[Spot]) -> Outcome:
    """Nothing can be said before these are known."""
    wanted = tuple(dict.fromkeys(spots))
    names = dict.fromkeys(f"{dim.replace('_', ' ')} of the {ends[i].form}" for i, dim in wanted)
    return Outcome(Verdict.UNKNOWN, (Message("not known: {dims}", {"dims": tuple(names)}),), wanted)


def _unheld(spots: tuple[Spot, ...], held: Iterable[object]) -> tuple[Spot, ...]:
    return tuple(spot for spot, each in zip(spots, held, strict=True) if each is None)


def combine(outcomes: Iterable[Outcome]) -> Outcome:
    """All comparisons of one pair together: one that fails decides, else one that cannot tell."""
    found = tuple(outcomes)
    worst = next(word for word in WORST if any(each.verdict is word for each in found))
    telling = [each for each in found if each.verdict is worst]
    return Outcome(
        worst,
        tuple(message for each in telling for message in each.why),
        tuple(dict.fromkeys(spot for each in telling for spot in each.wanted)),
        tuple(dict.fromkeys(spot for each in telling for spot in each.used)),
        next((each.through for each in telling if each.through), ""),
    )


# --- single comparisons


def judge(
    ends: tuple[End, End], dims: tuple[str, str], bands: tuple[Band, ...], **more: Spoken
) -> Outcome:
    """Difference of two lengths or areas, b's taken from a's, against ascending bands."""
    spots = ((0, dims[0]), (1, dims[1]))
    measures = tuple(measure_of(ends[i], dim) for i, dim in spots)
    first, second = measures
    if first is None or second is None:
        return lacking(ends, _unheld(spots, measures))
    gap = first.nominal - second.nominal
    spread = hypot(first.uncertainty, second.uncertainty)
    low, here, high = (_band(gap + s * SURE * spread, bands) for s in (-1, 0, 1))
    verdicts = {band.verdict for band in bands[low : high + 1]}
    larger, smaller = (first, second) if gap >= 0 else (second, first)
    values: Mapping[str, Spoken] = {
        "first": first,
        "second": second,
        "larger": larger,
        "smaller": smaller,
        "difference": Amount(abs(gap), spread, Dimension.LENGTH),
        **more,
    }
    if len(verdicts) > 1:
        vague = ((first, spots[0]), (second, spots[1]))
        wanted = tuple(spot for held, spot in vague if held.uncertainty > spread / 4)
        text = "too close to call at the spread of these sizes: {larger} against {smaller}"
        return Outcome(Verdict.UNKNOWN, (Message(text, values),), wanted, spots)
    band = bands[here]
    return Outcome(band.verdict, (Message(band.text, values),), (), spots)


def _band(gap: float, bands: tuple[Band, ...]) -> int:
    return next(i for i, band in enumerate(bands) if gap <= band.up_to + EDGE)


def alike(ends: tuple[End, End], dim: str, differ: str, *, optional: bool = False) -> Outcome:
    """Counts or words that have to be equal."""
    held = tuple(plain_of(end, dim) for end in ends)
    if None in held:
        if optional:
            return Outcome(Verdict.MATES, ())
        return lacking(ends, ((i, dim) for i in (0, 1) if held[i] is None))
    spots = ((0, dim), (1, dim))
    a, b = sorted((str(held[0]), str(held[1])))
    if held[0] != held[1]:
        return Outcome(Verdict.NOT, (Message(differ, {"a": a, "b": b}),), (), spots)
    name = dim.replace("_", " ")
    return Outcome(Verdict.MATES, (Message("same {name}: {a}", {"name": name, "a": a}),), (), spots)


def threads_agree(ends: tuple[End, End], dims: tuple[str, str] = ("thread", "thread")) -> Outcome:
    """Two threads that have to screw together, or two bolts that have to be one size."""
    spots = ((0, dims[0]), (1, dims[1]))
    a, b = (shape_of(ends[i], dim) for i, dim in spots)
    if a is None or b is None:
        return lacking(ends, _unheld(spots, (a, b)))
    if a.key == b.key:
        names = tuple(sorted({a.designation, b.designation}))
        why = Message("same thread: {names}", {"names": names})
        return Outcome(Verdict.MATES, (why,), (), spots)
    return Outcome(Verdict.NOT, (unlike_threads(a, b),), (), spots)


def unlike_threads(a: ThreadShape, b: ThreadShape) -> Message:
    """Why two threads of different designation do not go together, with numbers."""
    a, b = sorted((a, b), key=lambda shape: shape.designation)
    major, pitch = abs(a.major - b.major), abs(a.pitch - b.pitch)
    values: dict[str, Spoken] = {
        "a": a.designation,
        "b": b.designation,
        "major": Amount(major, 0.0, Dimension.LENGTH),
        "five": Amount(5 * pitch, 0.0, Dimension.LENGTH),
    }
    if a.left != b.left and major < EDGE and pitch < EDGE:
        return Message("{a} and {b}: one is right-handed, the other left-handed", values)
    named = look_alike(a, b)
    if named is None and not (major < 0.6 * MM and 5 * pitch < 0.6 * MM):
        text = "different threads: {a} and {b}, {major} apart in diameter, {five} over five turns"
        return Message(text, values)
    text = (
        "look alike and are not: {b} and {a} differ by {major} in diameter and {five} over five"
        " turns; one starts to screw into the other, then jams or does not seal"
    )
    if a.flank != b.flank:
        text += f"; flank angles {min(a.flank, b.flank)} and {max(a.flank, b.flank)} degrees"
    if named is not None and named.note:
        text, values["note"] = text + "; {note}", named.note
    return Message(text, values)


def look_alike(a: ThreadShape, b: ThreadShape) -> LookAlike | None:
    """The row of the look-alike table for two threads, in either order."""
    pair = {_base(a), _base(b)}
    return next((row for row in lookalikes() if {row.a, row.b} == pair), None)


def _base(shape: ThreadShape) -> str:
    family = {"R": "G", "Rc": "G", "Rp": "G", "NPTF": "NPT", "NPSM": "NPT", "NPSF": "NPT"}
    other = family.get(shape.family)
    if other is None:
        return shape.designation.removesuffix(" keg")
    size = shape.key.partition(" ")[2]
    return f"G {size}" if other == "G" else f"{size} NPT"
