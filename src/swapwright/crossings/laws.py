"""The few laws by which two ends are compared once the mating table has paired them."""

from collections.abc import Callable, Mapping
from math import inf
from typing import TypeAlias

from swapwright.crossings.bands import (
    BLADE,
    BORE_STEP,
    CIRCLE,
    FLARED_TUBE,
    NIPPLE,
    PIN,
    QUICK,
    SLIP,
    SPLINES,
    SQUARE,
    TUBE,
    eyelet_bands,
    hose_bands,
    step_bands,
    within,
)
from swapwright.crossings.comparing import (
    EDGE,
    MM,
    Band,
    Outcome,
    Verdict,
    alike,
    combine,
    judge,
    measure_of,
    threads_agree,
)
from swapwright.library.tables import MateRow
from swapwright.model.ends import End
from swapwright.model.message import Message
from swapwright.quantity import Dimension, preferred


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
