"""The few laws by which two ends are compared once the mating table has paired them."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from math import hypot, inf
from typing import NamedTuple, TypeAlias

from swapwright.crossings.fittings import ThreadShape, thread_shape
from swapwright.library.tables import LookAlike, MateRow, lookalikes
from swapwright.model.amount import Amount
from swapwright.model.ends import End
from swapwright.model.message import Message, Spoken
from swapwright.quantity import Dimension, Measure, preferred


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


# --- limits, all common practice from memory unless a standard is named


def hose_bands(bore: float, tight: float = 1.0 * MM, stretch: float = 3.0 * MM) -> tuple[Band, ...]:
    """Limits for a hose of some bore over a barrel; small hoses stretch and give less."""
    loose = min(0.5 * MM, 0.05 * bore)
    slack = min(1.0 * MM, 0.10 * bore)
    return (
        Band(-slack - 2 * EDGE, Verdict.NOT, "hose {second} is too wide for {first}"),
        Band(-loose - 2 * EDGE, Verdict.WARNING, "hose {second} is loose on {first}"),
        Band(min(tight, 0.15 * bore), Verdict.MATES, "hose {second} over {first}"),
        Band(
            min(stretch, 0.25 * bore),
            Verdict.WARNING,
            "hose {second} has to be stretched by {difference} over {first}",
        ),
        Band(inf, Verdict.NOT, "hose {second} does not stretch by {difference} over {first}"),
    )


def step_bands(smaller: float, free: float, most: float, what: str) -> tuple[Band, ...]:
    """Limits for two rounds joined by one straight piece, the same both ways."""
    free, most = min(free, 0.15 * smaller), min(most, 0.25 * smaller)
    no = f"{what} does not bridge {{difference}}: a reducer {{larger}} to {{smaller}} lies between"
    warn = f"{what} has to be stretched by {{difference}} from {{smaller}} to {{larger}}"
    return (
        Band(-most - 2 * EDGE, Verdict.NOT, no),
        Band(-free - 2 * EDGE, Verdict.WARNING, warn),
        Band(free, Verdict.MATES, f"{what} of {{smaller}} over {{smaller}} and {{larger}}"),
        Band(most, Verdict.WARNING, warn),
        Band(inf, Verdict.NOT, no),
    )


def within(limit: float, same: str, differ: str, wide: float = 0.0) -> tuple[Band, ...]:
    """Equal to within a limit, with a warning up to a wider one."""
    edge = max(limit, wide)
    warn = differ + ": force or a shim would be needed"
    return (
        Band(-edge - 2 * EDGE, Verdict.NOT, differ),
        Band(-limit - 2 * EDGE, Verdict.WARNING, warn),
        Band(limit, Verdict.MATES, same),
        Band(edge, Verdict.WARNING, warn),
        Band(inf, Verdict.NOT, differ),
    )


SLIP = (
    Band(0.0 - 2 * EDGE, Verdict.NOT, "pipe {second} does not go into {first}"),
    Band(0.2 * MM - 2 * EDGE, Verdict.WARNING, "pipe {second} goes into {first} with force only"),
    Band(1.0 * MM, Verdict.MATES, "pipe {second} slips into {first}, play {difference}"),
    Band(1.5 * MM, Verdict.WARNING, "pipe {second} is loose in {first}, play {difference}"),
    Band(inf, Verdict.NOT, "pipe {second} is too loose in {first}, play {difference}"),
)
NIPPLE = (
    Band(0.0 - 2 * EDGE, Verdict.NOT, "nipple {second} does not go into its seat {first}"),
    Band(0.5 * MM, Verdict.MATES, "nipple {second} in seat {first}"),
    Band(1.0 * MM, Verdict.WARNING, "nipple {second} is loose in seat {first}"),
    Band(inf, Verdict.NOT, "nipple {second} can slip through seat {first}"),
)
CIRCLE = within(0.5 * MM, "same bolt circle", "bolt circles differ by {difference}", 1.0 * MM)
BORE_STEP = (
    Band(-3.0 * MM - 2 * EDGE, Verdict.WARNING, "passage steps by {difference} at the joint"),
    Band(3.0 * MM, Verdict.MATES, "passages agree to {difference}"),
    Band(inf, Verdict.WARNING, "passage steps by {difference} at the joint"),
)
QUICK = within(
    0.15 * MM, "one size: {larger} and {smaller}", "sizes differ: {larger} and {smaller}"
)
BLADE = within(
    0.15 * MM, "same width: {smaller}", "blades of different width: {larger} and {smaller}"
)
SQUARE = within(
    0.15 * MM, "same square: {smaller}", "squares of different size: {larger} and {smaller}"
)
TUBE = within(0.2 * MM, "same tube: {smaller}", "tubes of different size: {larger} and {smaller}")
SPLINES = within(
    0.3 * MM, "same diameter: {smaller}", "splines of different diameter: {larger} and {smaller}"
)
PIN = within(0.3 * MM, "same size: {smaller}", "{larger} and {smaller} differ", 1.0 * MM)
SHARED_THREAD = "tubes of {larger} and {smaller} share this thread: see that the nut suits"
FLARED_TUBE = (
    Band(-0.3 * MM - 2 * EDGE, Verdict.WARNING, SHARED_THREAD),
    Band(0.3 * MM, Verdict.MATES, "same tube: {smaller}"),
    Band(inf, Verdict.WARNING, SHARED_THREAD),
)


def eyelet_bands(stud: float) -> tuple[Band, ...]:
    """Play of an eyelet on a stud; ISO 273 medium allows up to 1 mm to M10 (from memory)."""
    return (
        Band(0.0 - 2 * EDGE, Verdict.NOT, "hole {first} does not go over {second}"),
        Band(max(1.1 * MM, 0.15 * stud), Verdict.MATES, "hole {first} over {second}"),
        Band(2.0 * MM, Verdict.WARNING, "hole {first} is wide for {second}: little face to clamp"),
        Band(inf, Verdict.NOT, "hole {first} is too wide for {second}"),
    )


# --- the laws


def _hose_over_barrel(a: End, b: End, row: MateRow) -> Outcome:
    bore = measure_of(b, row.b.dim)
    bands = hose_bands(bore.nominal if bore else 0.0)
    return judge((a, b), (row.a.dim, row.b.dim), bands)


def _two_spigots(what: str, free: float, most: float) -> "Law":
    def law(a: End, b: End, row: MateRow) -> Outcome:
        held = [m.nominal for m in (measure_of(a, row.a.dim), measure_of(b, row.b.dim)) if m]
        smaller = min(held, default=0.0)
        bands = step_bands(smaller, free, most, what)
        outcome = judge((a, b), (row.a.dim, row.b.dim), bands)
        size = preferred(smaller, Dimension.LENGTH, "metric") if held else ""
        through = f"{what} {size} and {row.through}" if outcome.verdict.joins else ""
        return Outcome(outcome.verdict, outcome.why, outcome.wanted, outcome.used, through)

    return law


def _two_pipes(a: End, b: End, row: MateRow) -> Outcome:
    bands = within(
        0.5 * MM,
        "two plain pipes of {smaller}",
        "pipes of {larger} and {smaller}: a reducer lies between",
    )
    return judge((a, b), (row.a.dim, row.b.dim), bands)


def _same_thread(a: End, b: End, row: MateRow) -> Outcome:
    ends = (a, b)
    agree = threads_agree(ends)
    if agree.verdict is not Verdict.MATES or Verdict(row.verdict) is Verdict.NOT:
        return agree
    if a.form == b.form == "flare" and measure_of(a, "tube") and measure_of(b, "tube"):
        return combine((agree, judge(ends, ("tube", "tube"), FLARED_TUBE)))
    return agree


def _by_bands(bands: tuple[Band, ...]) -> "Law":
    return lambda a, b, row: judge((a, b), (row.a.dim, row.b.dim), bands)


def _same_size_and_thread(a: End, b: End, row: MateRow) -> Outcome:
    ends = (a, b)
    return combine((judge(ends, (row.a.dim, row.b.dim), TUBE), threads_agree(ends)))


def _bolt_pattern(a: End, b: End, _row: MateRow) -> Outcome:
    ends = (a, b)
    checks = [
        alike(ends, "bolts", "{a} bolts against {b}"),
        threads_agree(ends, ("bolt", "bolt")),
        judge(ends, ("bolt_circle", "bolt_circle"), CIRCLE),
        alike(ends, "seat", "sealing faces of different kind: {a} and {b}"),
    ]
    if measure_of(a, "bore") and measure_of(b, "bore"):
        checks.append(judge(ends, ("bore", "bore"), BORE_STEP))
    return combine(checks)


def _plug(a: End, b: End, _row: MateRow) -> Outcome:
    ends = (a, b)
    checks = [
        alike(ends, "ways", "{a} ways against {b}"),
        alike(ends, "keying", "keyed differently: {a} and {b}"),
    ]
    if measure_of(a, "width") and measure_of(b, "width"):
        checks.append(judge(ends, ("width", "width"), BLADE))
    return combine(checks)


def _stud_through_eyelet(a: End, b: End, row: MateRow) -> Outcome:
    stud = measure_of(a, row.a.dim)
    return _turned(a, b, row, eyelet_bands(stud.nominal if stud else 0.0))


def _turned(a: End, b: End, row: MateRow, bands: tuple[Band, ...]) -> Outcome:
    """As ``judge``, but a's length taken from b's, which is the hole."""
    fit = judge((b, a), (row.b.dim, row.a.dim), bands)
    wanted, used = (tuple((1 - i, dim) for i, dim in spots) for spots in (fit.wanted, fit.used))
    return Outcome(fit.verdict, fit.why, wanted, used)


def _splice(a: End, b: End, row: MateRow) -> Outcome:
    held = [m.nominal for m in (measure_of(a, "area"), measure_of(b, "area")) if m]
    smaller = min(held, default=0.0)
    bad = "wires of {larger} and {smaller}: one crimp does not hold both well"
    bands = (
        Band(-smaller - 2 * EDGE, Verdict.WARNING, bad),
        Band(smaller, Verdict.MATES, "wires of {larger} and {smaller} spliced"),
        Band(inf, Verdict.WARNING, bad),
    )
    return judge((a, b), (row.a.dim, row.b.dim), bands)


def _crimp(a: End, b: End, row: MateRow) -> Outcome:
    """Wire a in the barrel of terminal b; terminals take about half to all of their size."""
    largest = measure_of(b, row.b.dim)
    size = largest.nominal if largest else 0.0
    bands = (
        Band(-0.65 * size, Verdict.NOT, "wire {first} is too thin for a barrel of {second}"),
        Band(-0.45 * size, Verdict.WARNING, "wire {first} is thin for a barrel of {second}"),
        Band(0.0, Verdict.MATES, "wire {first} in a barrel of {second}"),
        Band(inf, Verdict.NOT, "wire {first} does not go into a barrel of {second}"),
    )
    return judge((a, b), (row.a.dim, row.b.dim), bands)


def _nipple(a: End, b: End, row: MateRow) -> Outcome:
    shapes = alike((a, b), "shape", "nipple and seat of different shape: {a} and {b}")
    return combine((_turned(a, b, row, NIPPLE), shapes))


def _slip(a: End, b: End, row: MateRow) -> Outcome:
    return _turned(a, b, row, SLIP)


def _spline(a: End, b: End, row: MateRow) -> Outcome:
    ends = (a, b)
    teeth = alike(ends, "teeth", "{a} teeth against {b}")
    return combine((teeth, judge(ends, (row.a.dim, row.b.dim), SPLINES)))


def _speedometer(a: End, b: End, row: MateRow) -> Outcome:
    ends = (a, b)
    return combine((threads_agree(ends), judge(ends, (row.a.dim, row.b.dim), SQUARE)))


def _bell_face(a: End, b: End, _row: MateRow) -> Outcome:
    ends = (a, b)
    return combine(
        (
            alike(ends, "bolts", "{a} bolts against {b}"),
            alike(ends, "pattern", "bolt patterns differ: {a} and {b}"),
            alike(ends, "dowels", "{a} dowels against {b}", optional=True),
        )
    )


def _never(_a: End, _b: End, row: MateRow) -> Outcome:
    return Outcome(Verdict.NOT, (Message(row.why),))


def _passes(_a: End, _b: End, _row: MateRow) -> Outcome:
    return Outcome(Verdict.MATES, (Message("passes through the panel"),))


Law: TypeAlias = Callable[[End, End, MateRow], Outcome]
LAWS: Mapping[str, Law] = {
    "hose over barrel": _hose_over_barrel,
    "duct sleeve over spigot": _hose_over_barrel,
    "two spigots through a hose": _two_spigots("hose", 1.0 * MM, 3.0 * MM),
    "two spigots through a sleeve": _two_spigots("sleeve", 1.0 * MM, 3.0 * MM),
    "two pipes through a sleeve": _two_pipes,
    "same thread": _same_thread,
    "quick connector": _by_bands(QUICK),
    "terminal width": _by_bands(BLADE),
    "same size": _by_bands(PIN),
    "same size and thread": _same_size_and_thread,
    "bolt pattern": _bolt_pattern,
    "plug": _plug,
    "stud through eyelet": _stud_through_eyelet,
    "splice": _splice,
    "crimp": _crimp,
    "nipple in seat": _nipple,
    "slip": _slip,
    "spline": _spline,
    "speedometer end": _speedometer,
    "bell face": _bell_face,
    "passes": _passes,
    "never": _never,
}
# Laws whose two ends do not touch: something plain and unnamed lies between.
THROUGH_SOMETHING = (
    "two spigots through a hose",
    "two spigots through a sleeve",
    "two pipes through a sleeve",
)
