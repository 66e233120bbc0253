"""Colours and strokes of a circuit drawing, by day, by night and on paper.

Hotter is darker on paper, brighter at night, and thicker on both: the order survives a
black-and-white printer and eyes that see few colours. Every number is written beside its line
as well.
"""

from bisect import bisect_right
from collections.abc import Mapping

from swapwright.dossier.circuit.lettering import FAMILY, SIZE
from swapwright.dossier.circuit.telling import ICE_POINT, whole_degrees
from swapwright.quantity import System

BOUNDS = (40.0, 60.0, 75.0, 90.0, 105.0)  # °C
DAY = ("#3d8cc0", "#5072b4", "#73549d", "#8b3578", "#8a1a48", "#5c0d17")
NIGHT = ("#5f86ab", "#8189bd", "#ab8cbf", "#d693ac", "#f5ab80", "#ffd870")
WIDTHS = (2.2, 2.8, 3.4, 4.0, 4.7, 5.4)
UNKNOWN_DAY, UNKNOWN_NIGHT, UNKNOWN_WIDTH = "#847a6a", "#978d7d", 3.0
PAPER = ("#fffdf8", "#292520")  # by day, by night
PART = ("#f1eadb", "#3a342c")
INK = ("#26221c", "#ece5d8")
FAINT = ("#6c6457", "#a89f90")


def warmth(temperature: float | None) -> str:
    """The class of a line's temperature in K."""
    if temperature is None:
        return "tn"
    return f"t{bisect_right(BOUNDS, temperature - ICE_POINT)}"


def line_width(temperature: float | None) -> float:
    """How wide a line is drawn."""
    if temperature is None:
        return UNKNOWN_WIDTH
    return WIDTHS[bisect_right(BOUNDS, temperature - ICE_POINT)]


def warmth_words(name: str, units: System) -> str:
    """What a class of temperatures holds."""
    if name == "tn":
        return "not computed"
    number = int(name[1:])
    if number == 0:
        return f"below {whole_degrees(BOUNDS[0] + ICE_POINT, units)}"
    lower = whole_degrees(BOUNDS[number - 1] + ICE_POINT, units)
    if number == len(BOUNDS):
        return f"{lower} and above"
    return f"{lower.split(' ')[0]} to {whole_degrees(BOUNDS[number] + ICE_POINT, units)}"


def style() -> str:
    """The style sheet inside the drawing, literal colours only: some printers know no others."""
    day = _colours(0, DAY, UNKNOWN_DAY)
    night = _colours(1, NIGHT, UNKNOWN_NIGHT)
    plain = "".join(f".cd {name}{{{rule}}}" for name, rule in _RULES.items())
    return f"{plain}{day}@media screen and (prefers-color-scheme: dark){{{night}}}"


_RULES: Mapping[str, str] = {
    "text": f"font-family:{FAMILY};font-size:{SIZE:g}px",
    ".cd-b": "font-weight:700",
    ".cd-l": "fill:none;stroke-linejoin:round",
    ".cd-planned": "stroke-dasharray:.1 8;stroke-linecap:round",
    ".cd-assumed": "stroke-dasharray:.1 14;stroke-linecap:round",
    ".cd-w": "fill:none;stroke-width:1.1",
    ".cd-part": "stroke-width:1.6",
    ".cd-mark": "fill:none;stroke-width:1.5;stroke-linecap:round;stroke-linejoin:round",
    ".cd-bar": "fill:none;stroke-width:3.4",
    ".cd-loop": "fill:none;stroke-width:1.6",
    ".cd-tag": "stroke-width:.9",
    ".cd-tick": "fill:none;stroke-width:2.2",
}


def _colours(mode: int, warm: tuple[str, ...], unknown: str) -> str:
    rules = [
        f".cd .cd-paper{{fill:{PAPER[mode]}}}",
        f".cd text{{fill:{INK[mode]}}}",
        f".cd .cd-part{{fill:{PART[mode]};stroke:{INK[mode]}}}",
        f".cd .cd-tag{{fill:{PAPER[mode]};stroke:{FAINT[mode]}}}",
        f".cd .cd-mark,.cd .cd-bar,.cd .cd-loop,.cd .cd-w,.cd .cd-tick{{stroke:{INK[mode]}}}",
        f".cd .cd-solid{{fill:{INK[mode]}}}",
    ]
    for name, colour in (*((f"t{n}", c) for n, c in enumerate(warm)), ("tn", unknown)):
        rules.append(f".cd .cd-l.{name}{{stroke:{colour}}}.cd .cd-a.{name}{{fill:{colour}}}")
    return "".join(rules)
