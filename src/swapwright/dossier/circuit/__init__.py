"""The drawing of a circuit: parts, lines, what runs in them; as SVG, as text, as rows."""

from swapwright.dossier.circuit.drawing import circuit_svg
from swapwright.dossier.circuit.drawn import DrawnCircuit, DrawnLine, DrawnPart, LineState, Role
from swapwright.dossier.circuit.telling import HEADINGS, CircuitRow, circuit_rows, circuit_text

__all__ = [
    "HEADINGS",
    "CircuitRow",
    "DrawnCircuit",
    "DrawnLine",
    "DrawnPart",
    "LineState",
    "Role",
    "circuit_rows",
    "circuit_svg",
    "circuit_text",
]
