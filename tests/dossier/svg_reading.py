"""A circuit drawing read back from its text: what stands where, in the drawing's units."""

import re
from dataclasses import dataclass, field
from functools import cache
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
from matplotlib.ft2font import FT2Font, LoadFlags

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]
Area = tuple[float, float, float, float]  # left, top, right, bottom


@dataclass
class Drawing:
    """Everything that has a place."""

    width: float
    height: float
    parts: dict[str, Area] = field(default_factory=dict)
    tags: dict[str, Area] = field(default_factory=dict)
    lines: dict[str, list[Point]] = field(default_factory=dict)
    arrows: dict[str, list[Point]] = field(default_factory=dict)
    texts: list[tuple[str, Area]] = field(default_factory=list)


def read_drawing(svg: str) -> Drawing:
    root = ElementTree.fromstring(svg)
    _, _, width, height = (float(number) for number in root.attrib["viewBox"].split())
    drawing = Drawing(width, height)
    _gather(root, 0.0, 0.0, drawing)
    return drawing


def _gather(element: ElementTree.Element, x: float, y: float, drawing: Drawing) -> None:
    moved = re.match(r"translate\(([-\d.]+) ([-\d.]+)\)", element.get("transform", ""))
    if moved:
        x, y = x + float(moved[1]), y + float(moved[2])
    tag = element.tag.removeprefix(SVG)
    if tag == "rect" and ("data-part" in element.attrib or "data-tag" in element.attrib):
        left, top = x + float(element.attrib["x"]), y + float(element.attrib["y"])
        area = (
            left,
            top,
            left + float(element.attrib["width"]),
            top + float(element.attrib["height"]),
        )
        if "data-part" in element.attrib:
            drawing.parts[element.attrib["data-part"]] = area
        else:
            drawing.tags[element.attrib["data-tag"]] = area
    elif tag == "path" and "data-line" in element.attrib:
        drawing.lines[element.attrib["data-line"]] = points(element.attrib["d"], x, y)
    elif tag == "path" and "data-arrow" in element.attrib:
        drawing.arrows[element.attrib["data-arrow"]] = points(element.attrib["d"], x, y)
    elif tag == "text":
        drawing.texts.append((element.text or "", _text_area(element, x, y)))
    for child in element:
        _gather(child, x, y, drawing)


def points(path: str, x: float, y: float) -> list[Point]:
    """Corners of a path of M, L, H, V and bows, which are taken as the straight way under them."""
    at = (0.0, 0.0)
    found: list[Point] = []
    for letter, rest in re.findall(r"([MLHVaZ])([^MLHVaZ]*)", path):
        numbers = [float(number) for number in re.findall(r"-?[\d.]+", rest)]
        match letter:
            case "M" | "L":
                at = (numbers[0], numbers[1])
            case "H":
                at = (numbers[0], at[1])
            case "V":
                at = (at[0], numbers[0])
            case "a":
                at = (at[0] + numbers[5], at[1] + numbers[6])
            case _:
                continue
        found.append((at[0] + x, at[1] + y))
    return found


@cache
def _font(bold: bool) -> FT2Font:
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return FT2Font(str(Path(mpl.get_data_path()) / "fonts/ttf" / name))


def measured_width(text: str, bold: bool, size: float = 12.0) -> float:
    """The width of a text as the font itself tells it."""
    font = _font(bold)
    units = sum(font.load_char(ord(sign), flags=LoadFlags.NO_SCALE).horiAdvance for sign in text)
    return size * units / font.units_per_EM


def _text_area(element: ElementTree.Element, x: float, y: float) -> Area:
    wide = measured_width(element.text or "", element.get("class") == "cd-b")
    left = x + float(element.attrib["x"])
    base = y + float(element.attrib["y"])
    if element.get("text-anchor") == "middle":
        left -= wide / 2
    # cap height and descender of DejaVu Sans: 0.73 and 0.24 of the size
    return left, base - 0.73 * 12, left + wide, base + 0.24 * 12


def overlap(one: Area, other: Area, slack: float = 0.2) -> bool:
    """Whether two areas share more than a rim; coordinates are written to a tenth."""
    return (
        one[0] + slack < other[2]
        and other[0] + slack < one[2]
        and one[1] + slack < other[3]
        and other[1] + slack < one[3]
    )


def within(one: Area, other: Area, slack: float = 0.2) -> bool:
    return (
        one[0] >= other[0] - slack
        and one[1] >= other[1] - slack
        and one[2] <= other[2] + slack
        and one[3] <= other[3] + slack
    )


def pieces(line: list[Point]) -> list[Area]:
    """A line's straight pieces as thin areas."""
    return [
        (min(a, c) - 0.3, min(b, d) - 0.3, max(a, c) + 0.3, max(b, d) + 0.3)
        for (a, b), (c, d) in pairwise(line)
    ]
