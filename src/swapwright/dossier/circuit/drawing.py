"""A circuit as one SVG that stands alone: by day, by night, on paper, wide or for a phone."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape
from itertools import pairwise
from math import hypot

from swapwright.dossier.circuit.boxes import MARK, Box, box
from swapwright.dossier.circuit.drawn import DrawnCircuit, DrawnLine, LineState
from swapwright.dossier.circuit.geometry import CLOSE, HOP, SPACIOUS, Plan, Rect, plan
from swapwright.dossier.circuit.ink import line_width, style, warmth
from swapwright.dossier.circuit.legend import Legend, legend
from swapwright.dossier.circuit.lettering import LEADING, SIZE
from swapwright.dossier.circuit.marks import MARKS
from swapwright.dossier.circuit.placing import Shape, Spot, places
from swapwright.dossier.circuit.routing import NoWay, Way, ways
from swapwright.dossier.circuit.tags import TICK, Limits, Order, Tag, hang_tags
from swapwright.dossier.circuit.telling import description
from swapwright.dossier.circuit.tracks import Axis, Tracks

PHONE = 500  # narrower than this a drawing stands upright, with numbers on its lines
PAGE = 860.0  # widest drawing whose text of 12 is 7 points on 180 mm: 12 / 860 · 180 mm = 2.5 mm
TALLEST = 1.35  # height for plates, in widths of a page
BROADEST = 35  # more lines than this never found room side by side on a page
PLATED = 20  # more lines than this never found room for their words on a page
PLATE_ORDERS: tuple[Order, ...] = ("tight first", "strong first")
GAP_TRACKS = 4
ARROW = 11.0


@dataclass(frozen=True)
class Sheet:
    """A finished drawing before it is written: what stands where."""

    circuit: DrawnCircuit
    boxes: dict[str, Box]
    plan: Plan
    tags: dict[int, Tag]
    legend: Legend


def circuit_svg(circuit: DrawnCircuit, width: float = PAGE) -> str:
    """The circuit as SVG.

    Parameters
    ----------
    circuit : DrawnCircuit
        What to draw.
    width : float, default 860
        Room for it, in CSS pixels; below 500 the upright arrangement is drawn.

    Returns
    -------
    svg : str
        With title, description and its own style; classes begin with ``cd``.

    Raises
    ------
    ValueError
        When there is no part to draw.
    """
    return written(sheet(circuit, width))


def sheet(circuit: DrawnCircuit, width: float = PAGE) -> Sheet:
    """Place, route and tag a circuit."""
    if not circuit.parts:
        raise ValueError(f"circuit {circuit.title!r}: found no part, wanted one to draw")
    if width < PHONE:
        return _sheet(circuit, "tall", 3)
    arrangements: tuple[tuple[Shape, int], ...] = (("broad", 6), ("high", 4), ("high", 3))
    if len(circuit.lines) > BROADEST:
        arrangements = arrangements[1:]
    *first, last = arrangements
    for shape, columns in first:
        drawn = _sheet(circuit, shape, columns)
        if drawn.plan.right <= PAGE:
            return drawn
    return _sheet(circuit, *last)


def _sheet(circuit: DrawnCircuit, shape: Shape, columns: int) -> Sheet:
    joined = Counter(end for line in circuit.lines for end in (line.start, line.end))
    boxes = {part.id: box(part, shape, joined[part.id]) for part in circuit.parts}
    tracks, laid = _routed(circuit, places(circuit, shape, columns), boxes)
    spacing = CLOSE if shape == "tall" else SPACIOUS

    def fresh() -> Plan:
        return plan(tracks, laid, boxes, spacing)

    if shape == "tall" or len(circuit.lines) > PLATED:
        drawn, tags = _tagged(fresh(), circuit, "numbers")
    else:
        drawn, tags = min(
            (_tagged(fresh(), circuit, order) for order in PLATE_ORDERS),
            key=lambda tried: (len(_bare(tried[1])), tried[0].right * tried[0].bottom),
        )
        if len(_bare(tags)) * 2 > len(tags):  # then all, in a smaller drawing
            drawn, tags = _tagged(fresh(), circuit, "numbers")
    drawn.shrink(boxes)
    return Sheet(circuit, boxes, drawn, tags, legend(circuit, _bare(tags), drawn.right))


def _tagged(drawn: Plan, circuit: DrawnCircuit, order: Order) -> tuple[Plan, dict[int, Tag]]:
    return drawn, hang_tags(drawn, circuit, Limits(PAGE, PAGE * TALLEST), order)


def _bare(tags: dict[int, Tag]) -> tuple[int, ...]:
    """Lines that carry only their number."""
    return tuple(line for line, tag in sorted(tags.items()) if not tag.plain)


def _routed(
    circuit: DrawnCircuit, spots: dict[str, Spot], boxes: dict[str, Box]
) -> tuple[Tracks, tuple[Way, ...]]:
    """Ways in gaps that are just wide enough."""
    gaps = GAP_TRACKS + 2 * (len(circuit.lines) > 2 * len(circuit.parts))
    reach = {part: each.doors for part, each in boxes.items()}
    while True:
        tracks = Tracks(
            Axis(
                gaps, max(a for a, _ in reach.values()), max(s.column for s in spots.values()) + 1
            ),
            Axis(
                gaps, max(d for _, d in reach.values()), max(s.row + s.rows for s in spots.values())
            ),
            spots,
            reach,
        )
        try:
            return tracks, ways(tracks, circuit.lines)
        except NoWay:
            gaps += 2


# Writing


def written(drawn: Sheet) -> str:
    """The SVG text of a finished drawing."""
    circuit, top = drawn.circuit, drawn.legend.top
    width = max(drawn.plan.right, drawn.legend.width)
    height = top + drawn.plan.bottom + drawn.legend.bottom
    body = "".join(_body(drawn))
    title = circuit.title + (f", {circuit.subtitle}" if circuit.subtitle else "")
    return (
        f'<svg class="cd" xmlns="http://www.w3.org/2000/svg" role="img" '
        f'viewBox="0 0 {width:.1f} {height:.1f}" width="{width:.0f}" height="{height:.0f}">'
        f"<title>{escape(title)}</title><desc>{escape(description(circuit))}</desc>"
        f"<style>{style()}</style>"
        f'<rect class="cd-paper" width="{width:.1f}" height="{height:.1f}" rx="4"/>'
        f"{''.join(drawn.legend.head)}"
        f'<g transform="translate(0 {top:.1f})">{body}</g>'
        f'<g transform="translate(0 {top + drawn.plan.bottom:.1f})">'
        f"{''.join(drawn.legend.foot)}</g>"
        "</svg>\n"
    )


def _body(drawn: Sheet) -> Iterator[str]:
    crossings = drawn.plan.crossings()
    for number, line in enumerate(drawn.circuit.lines):
        points = drawn.plan.points(number)
        yield from _line(line, number, points, crossings.get(number, ()), drawn)
    for part in drawn.circuit.parts:
        yield from _part(drawn, part.id)
    for number, tag in sorted(drawn.tags.items()):
        yield from _tag(drawn.circuit.lines[number], tag, drawn.plan.tags[number])


def _line(
    line: DrawnLine,
    number: int,
    points: Sequence[tuple[float, float]],
    hops: Sequence[tuple[float, float]],
    drawn: Sheet,
) -> Iterator[str]:
    warm, width = warmth(line.temperature), line_width(line.temperature)
    shown = _shortened(points, line.way)
    path = _path(shown, hops)
    if line.state is LineState.STAND_IN:
        yield f'<path class="cd-w" d="{_hatching(shown, drawn.plan.tags[number])}"/>'
    yield (
        f'<path class="cd-l cd-{line.state} {warm}" data-line="{escape(line.id)}" '
        f'stroke-width="{width}" d="{path}"/>'
    )
    if line.way:
        yield _arrow(line, points, warm)
    if line.state in (LineState.PARKED, LineState.SHUT):
        yield from _stops(line.state, points, drawn.plan.tags[number])


def _shortened(points: Sequence[tuple[float, float]], way: int) -> tuple[tuple[float, float], ...]:
    """Without the end that an arrow covers."""
    if not way:
        return tuple(points)
    ordered = list(points if way > 0 else reversed(points))
    (x, y), (u, v) = ordered[-2], ordered[-1]
    length = hypot(u - x, v - y)
    share = (length - ARROW + 1) / length
    ordered[-1] = (x + (u - x) * share, y + (v - y) * share)
    return tuple(ordered if way > 0 else reversed(ordered))


def _path(points: Sequence[tuple[float, float]], hops: Sequence[tuple[float, float]]) -> str:
    """Corners joined, with a bow over each line that is crossed."""
    (x, y), *rest = points
    steps = [f"M{x:.1f} {y:.1f}"]
    for u, v in rest:
        if v == y:
            side = 1 if u > x else -1
            over = sorted((a for a, b in hops if b == v and min(x, u) < a < max(x, u)))
            for a in over[::side]:
                steps.append(
                    f"H{a - side * HOP:.1f}"
                    f"a{HOP:g} {HOP:g} 0 0 {int(side > 0)} {side * 2 * HOP:g} 0"
                )
            steps.append(f"H{u:.1f}")
        else:
            steps.append(f"V{v:.1f}")
        x, y = u, v
    return "".join(steps)


def _arrow(line: DrawnLine, points: Sequence[tuple[float, float]], warm: str) -> str:
    """A head where the liquid comes to a part, its tip at the rim."""
    ordered = points if line.way > 0 else points[::-1]
    (x, y), (u, v) = ordered[-2], ordered[-1]
    length = hypot(u - x, v - y)
    dx, dy = (u - x) / length, (v - y) / length
    half = 3.5 + line_width(line.temperature) / 2
    bx, by = u - dx * ARROW, v - dy * ARROW
    return (
        f'<path class="cd-a {warm}" data-arrow="{escape(line.id)}" d="M{u:.1f} {v:.1f}'
        f'L{bx - dy * half:.1f} {by + dx * half:.1f}L{bx + dy * half:.1f} {by - dx * half:.1f}Z"/>'
    )


def _hatching(points: Sequence[tuple[float, float]], tag: Rect) -> str:
    """Short strokes over a line, not under its tag."""
    strokes = []
    for (x, y), (u, v) in pairwise(points):
        length = hypot(u - x, v - y)
        for step in range(1, int(length // 9) + 1):
            share = (step * 9 - 4) / length
            a, b = x + (u - x) * share, y + (v - y) * share
            if not tag.grown(4).meets(Rect(a - 0.1, b - 0.1, a + 0.1, b + 0.1)):
                strokes.append(f"M{a - 4.5:.1f} {b + 4.5:.1f}l9 -9")
    return "".join(strokes)


def _stops(state: LineState, points: Sequence[tuple[float, float]], tag: Rect) -> Iterator[str]:
    """Bars on both sides of the tag; with loops where the line is meant to be opened again."""
    x, y = tag.middle
    flat = any(b == d == y and min(a, c) <= x <= max(a, c) for (a, b), (c, d) in pairwise(points))
    for side in (-1, 1):
        if flat:
            bar = (tag.right if side > 0 else tag.left) + side * (11 if state == "parked" else 6)
            yield f'<path class="cd-bar" d="M{bar:.1f} {y - 7:.1f}v14"/>'
            loop = (bar - side * 5.5, y)
        else:
            bar = (tag.bottom if side > 0 else tag.top) + side * (11 if state == "parked" else 6)
            yield f'<path class="cd-bar" d="M{x - 7:.1f} {bar:.1f}h14"/>'
            loop = (x, bar - side * 5.5)
        if state is LineState.PARKED:
            yield f'<circle class="cd-loop cd-paper" cx="{loop[0]:.1f}" cy="{loop[1]:.1f}" r="4"/>'


def _part(drawn: Sheet, part: str) -> Iterator[str]:
    rect, words = drawn.plan.rects[part], drawn.boxes[part]
    role = drawn.circuit.part[part].role
    x, middle = rect.middle
    yield (
        f'<rect class="cd-part" data-part="{escape(part)}" x="{rect.left:.1f}" y="{rect.top:.1f}" '
        f'width="{rect.right - rect.left:.1f}" height="{rect.bottom - rect.top:.1f}" rx="5"/>'
    )
    tall = MARK + LEADING * (len(words.label) + len(words.notes))
    y = middle - tall / 2
    yield (
        f'<path class="cd-mark" transform="translate({x:.1f} {y + MARK / 2 - 1:.1f})" '
        f'd="{MARKS[role]}"/>'
    )
    baseline = y + MARK + SIZE - 1
    for line, bold in (*((w, True) for w in words.label), *((w, False) for w in words.notes)):
        yield text(line, x, baseline, bold, middle=True)
        baseline += LEADING


def _tag(line: DrawnLine, tag: Tag, rect: Rect) -> Iterator[str]:
    round_off = 3 if tag.plain else tag.height / 2
    yield (
        f'<rect class="cd-tag" data-tag="{escape(line.id)}" x="{rect.left:.1f}" y="{rect.top:.1f}" '
        f'width="{tag.width:.1f}" height="{tag.height:.1f}" rx="{round_off:g}"/>'
    )
    x, y = rect.middle
    if tag.tick:
        yield f'<path class="cd-tick" d="M{rect.right - TICK:.1f} {y - 1:.1f}l3 4l6 -8"/>'
        x -= TICK / 2
    used = LEADING * (len(tag.bold) + len(tag.plain))
    baseline = rect.top + (tag.height - used) / 2 + SIZE - 1
    for words, bold in (*((w, True) for w in tag.bold), *((w, False) for w in tag.plain)):
        yield text(words, x, baseline, bold, middle=True)
        baseline += LEADING


def text(words: str, x: float, y: float, bold: bool = False, middle: bool = False) -> str:
    """One line of text at its baseline."""
    manner = ' class="cd-b"' if bold else ""
    anchor = ' text-anchor="middle"' if middle else ""
    return f'<text{manner} x="{x:.1f}" y="{y:.1f}"{anchor}>{escape(words)}</text>'
