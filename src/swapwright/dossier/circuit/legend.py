"""What stands above and below a drawing: title, words of numbered lines, what strokes mean."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from swapwright.dossier.circuit.drawn import DrawnCircuit, LineState
from swapwright.dossier.circuit.ink import line_width, warmth, warmth_words
from swapwright.dossier.circuit.lettering import LEADING, SIZE, text_width, wrapped
from swapwright.dossier.circuit.telling import values

COLUMN = 250.0  # least width of a column of the key
SAMPLE = 34.0
MARGIN = 16.0


@dataclass(frozen=True, slots=True)
class Legend:
    """Everything around the drawing itself, as SVG, and the room it takes."""

    head: tuple[str, ...]
    foot: tuple[str, ...]
    width: float
    top: float
    bottom: float


def legend(circuit: DrawnCircuit, numbers: Sequence[int], width: float) -> Legend:
    """Title above; below it the key of numbered lines, temperatures and states."""
    width = max(width, 300.0)
    room = width - 2 * MARGIN
    head: list[str] = []
    y = MARGIN
    for words, bold in ((circuit.title, True), (circuit.subtitle, False)):
        for line in wrapped(words, room, bold):
            head.append(_text(line, MARGIN, y + SIZE - 1, bold))
            y += LEADING
    foot: list[str] = []
    below = 4.0
    below = _key(circuit, numbers, room, below, foot)
    below = _samples(tuple(_warmths(circuit)), room, below, foot)
    below = _samples(tuple(_states(circuit)), room, below, foot)
    return Legend(tuple(head), tuple(foot), width, y, below + MARGIN - 4)


def _key(
    circuit: DrawnCircuit, numbers: Sequence[int], room: float, top: float, out: list[str]
) -> float:
    """Words of lines that carry only their number, in columns; where they end."""
    if not numbers:
        return top
    columns = min(max(1, int(room // COLUMN)), len(numbers))
    wide = room / columns
    indent = text_width("00", bold=True) + 8
    entries = [_entry(circuit, number, wide - indent - 10) for number in numbers]
    each = -(-len(entries) // columns)
    lowest = top
    for column in range(columns):
        x, y = MARGIN + column * wide, top
        for number, bold, plain in entries[column * each : (column + 1) * each]:
            out.append(_text(str(number + 1), x, y + SIZE, True))
            for words, heavy in (*((w, True) for w in bold), *((w, False) for w in plain)):
                out.append(_text(words, x + indent, y + SIZE, heavy))
                y += LEADING
            y += 3
        lowest = max(lowest, y)
    return lowest + 8


def _entry(
    circuit: DrawnCircuit, number: int, room: float
) -> tuple[int, tuple[str, ...], tuple[str, ...]]:
    line = circuit.lines[number]
    told = ", ".join((*values(line, circuit.units), str(line.state)))
    return number, wrapped(line.label, room, bold=True), wrapped(told, room)


def _warmths(circuit: DrawnCircuit) -> Iterator[tuple[str, str]]:
    """A sample and its words for each class of temperature that occurs."""
    kinds = {warmth(line.temperature): line.temperature for line in circuit.lines}
    for name in sorted(kinds):
        width = line_width(kinds[name])
        sample = f'<path class="cd-l {name}" stroke-width="{width}" d="M0 0H{SAMPLE:g}"/>'
        yield sample, warmth_words(name, circuit.units)


def _states(circuit: DrawnCircuit) -> Iterator[tuple[str, str]]:
    """A sample and its word for each state that occurs."""
    found = {line.state for line in circuit.lines}
    for state in (each for each in LineState if each in found):
        yield _sample(state), str(state)


def _sample(state: LineState) -> str:
    line = f'<path class="cd-l cd-{state} tn" stroke-width="3" d="M1 0H{SAMPLE - 1:g}"/>'
    match state:
        case LineState.PROVED:
            return f'{line}<path class="cd-tick" d="M12 -2l4 5l8 -9"/>'
        case LineState.STAND_IN:
            return f'{line}<path class="cd-w" d="M4 4l8 -8m1 8l8 -8m1 8l8 -8"/>'
        case LineState.SHUT | LineState.PARKED:
            bars = '<path class="cd-bar" d="M12 -6v12M22 -6v12"/>'
            if state is LineState.SHUT:
                return f'<path class="cd-l tn" stroke-width="3" d="M0 0H12M22 0H34"/>{bars}'
            loops = "".join(
                f'<circle class="cd-loop cd-paper" cx="{x}" cy="0" r="3.6"/>' for x in (6.5, 27.5)
            )
            return f'<path class="cd-l tn" stroke-width="3" d="M-3 0H3M31 0H37"/>{bars}{loops}'
        case _:
            return line


def _samples(items: Sequence[tuple[str, str]], room: float, top: float, out: list[str]) -> float:
    """Samples and words in rows; where they end."""
    if not items:
        return top
    x, y = 0.0, top
    for sample, words in items:
        wide = SAMPLE + 7 + text_width(words) + 16
        if x and x + wide > room:
            x, y = 0.0, y + LEADING + 5
        at = f"translate({MARGIN + x:.1f} {y + SIZE - 4.5:.1f})"
        out.append(f'<g transform="{at}">{sample}</g>')
        out.append(_text(words, MARGIN + x + SAMPLE + 7, y + SIZE, False))
        x += wide
    return y + LEADING + 6


def _text(words: str, x: float, y: float, bold: bool) -> str:
    manner = ' class="cd-b"' if bold else ""
    return f'<text{manner} x="{x:.1f}" y="{y:.1f}">{escape(words)}</text>'
