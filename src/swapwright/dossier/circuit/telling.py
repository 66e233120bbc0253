"""What runs in a circuit, in words: for tags in the drawing, for the terminal, for a table."""

from collections.abc import Iterator
from dataclasses import dataclass
from textwrap import wrap

from swapwright.dossier.circuit.drawn import DrawnCircuit, DrawnLine, LineState
from swapwright.quantity import Dimension, System, preferred

WIDTH = 80
ICE_POINT = 273.15

# The line between two ends in the terminal; ">" and "<" come on where liquid goes.
STROKES = {
    LineState.PLANNED: "┄┄┄┄┄",
    LineState.FITTED: "─────",
    LineState.PROVED: "──✓──",
    LineState.ASSUMED: "· · ·",
    LineState.PARKED: "┤○ ○├",
    LineState.SHUT: "─┤ ├─",
    LineState.STAND_IN: "╱╱╱╱╱",
}
PLAIN_STROKES = {
    LineState.PLANNED: ". . .",
    LineState.FITTED: "-----",
    LineState.PROVED: "--v--",
    LineState.ASSUMED: "'   '",
    LineState.PARKED: "|o o|",
    LineState.SHUT: "-| |-",
    LineState.STAND_IN: "/////",
}
HEADINGS = ("No.", "From", "To", "Line", "Flow", "Temperature", "Pressure", "State")


@dataclass(frozen=True, slots=True)
class CircuitRow:
    """One line of a circuit as cells of a table, in the sense of its flow."""

    number: int
    giver: str  # where the liquid comes from
    taker: str
    line: str
    flow: str  # without a sign: from and to carry it
    temperature: str
    pressure: str
    state: str

    @property
    def cells(self) -> tuple[str, ...]:
        """All of it, in the order of HEADINGS."""
        return (
            str(self.number),
            self.giver,
            self.taker,
            self.line,
            self.flow,
            self.temperature,
            self.pressure,
            self.state,
        )


def circuit_rows(circuit: DrawnCircuit) -> tuple[CircuitRow, ...]:
    """The circuit as rows of a table; a cell is empty where nothing was computed."""
    return tuple(
        CircuitRow(
            number,
            circuit.part[line.giver].label,
            circuit.part[line.taker].label,
            line.label,
            flow_words(line, circuit.units),
            temperature_words(line, circuit.units),
            pressure_words(line, circuit.units),
            str(line.state),
        )
        for number, line in enumerate(circuit.lines, 1)
    )


def flow_words(line: DrawnLine, units: System) -> str:
    """How much runs, without its sign."""
    if line.volume_flow is None:
        return ""
    return preferred(abs(line.volume_flow), Dimension.VOLUME_FLOW, units)


def temperature_words(line: DrawnLine, units: System) -> str:
    """How warm, in whole degrees: a computed tenth would promise too much."""
    if line.temperature is None:
        return ""
    return whole_degrees(line.temperature, units)


def whole_degrees(temperature: float, units: System) -> str:
    """A temperature in K as whole degrees of the builder's scale."""
    celsius = temperature - ICE_POINT
    if units == "us":
        return f"{round(celsius * 9 / 5 + 32)} °F"
    return f"{round(celsius)} °C"


def pressure_words(line: DrawnLine, units: System) -> str:
    """Above the air outside."""
    if line.gauge_pressure is None:
        return ""
    return preferred(line.gauge_pressure, Dimension.PRESSURE, units)


def values(line: DrawnLine, units: System) -> tuple[str, ...]:
    """What was computed for a line, in words."""
    told = (
        flow_words(line, units),
        temperature_words(line, units),
        pressure_words(line, units),
    )
    return tuple(each for each in told if each)


def sentence(circuit: DrawnCircuit, number: int) -> str:
    """One line in a sentence, for those who hear the drawing."""
    line = circuit.lines[number - 1]
    giver, taker = circuit.part[line.giver].label, circuit.part[line.taker].label
    ends = f"from {giver} to {taker}" if line.way else f"between {giver} and {taker}"
    told = ", ".join((str(line.state), *values(line, circuit.units)))
    return f"{number} {line.label} {ends}: {told}."


def description(circuit: DrawnCircuit) -> str:
    """The whole drawing in sentences."""
    numbers = range(1, len(circuit.lines) + 1)
    return " ".join(
        (
            f"{len(circuit.parts)} parts, {len(circuit.lines)} lines.",
            *(sentence(circuit, number) for number in numbers),
        )
    )


def circuit_text(circuit: DrawnCircuit, ascii_only: bool = False) -> str:
    """The circuit for the terminal, no wider than 80 columns, a line's two ends in one row."""
    rows = list(_text_rows(circuit, ascii_only))
    heading = [circuit.title + (f", {circuit.subtitle}" if circuit.subtitle else "")]
    notes = [f"{part.label}: {', '.join(part.notes)}" for part in circuit.parts if part.notes]
    lines = [*_folded(heading[0], ""), *rows, *(row for n in notes for row in _folded(n, "  "))]
    return "\n".join(lines) + "\n"


def _text_rows(circuit: DrawnCircuit, ascii_only: bool) -> Iterator[str]:
    strokes = PLAIN_STROKES if ascii_only else STROKES
    widest = max((len(part.label) for part in circuit.parts), default=0)
    room = min(widest, 24)
    digits = len(str(len(circuit.lines)))
    for number, line in enumerate(circuit.lines, 1):
        start, end = circuit.part[line.start].label, circuit.part[line.end].label
        stroke = strokes[line.state]
        before, after_stroke = "<" if line.way < 0 else " ", ">" if line.way > 0 else " "
        between = f"{before}{stroke}{after_stroke}"
        head = f"{number:>{digits}} {start:<{room}} {between} {end:<{room}}"
        told = ", ".join((*values(line, circuit.units), str(line.state)))
        after = " " * (digits + 1)
        if len(head) + 2 + len(line.label) <= WIDTH:
            yield f"{head}  {line.label}".rstrip()
        else:
            yield from _folded(head, after)
            yield from _folded(f"{after}{line.label}", after)
        yield from _folded(f"{after}{told}", after)


def _folded(text: str, after: str) -> list[str]:
    return wrap(text, WIDTH, subsequent_indent=after, drop_whitespace=True) or [text]
