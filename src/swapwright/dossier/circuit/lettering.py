"""How much room a text takes, told before any browser has set it.

Widths are DejaVu Sans's, wider than the usual faces of screens and printers, so that a text
in one of those stays inside the room that was kept for it.
"""

import re
from collections.abc import Iterator
from functools import cache

from swapwright.model.shipped import shipped_rows

FAMILY = "system-ui, 'DejaVu Sans', sans-serif"
SIZE = 12.0  # of every text in a drawing
LEADING = 14.5  # from one line of text to the next
STRANGE = 1.4  # of the size: a sign the table lacks, wider than a full-width one


@cache
def _table() -> dict[str, tuple[float, float]]:
    rows = shipped_rows("swapwright.dossier.circuit", "glyph_widths.csv")
    return {
        chr(int(row["code"], 16)): (int(row["regular"]) / 1000, int(row["bold"]) / 1000)
        for row in rows
    }


def text_width(text: str, bold: bool = False, size: float = SIZE) -> float:
    """Room that a text takes along its line, in the unit of its size."""
    table = _table()
    return size * sum(table.get(sign, (STRANGE, STRANGE))[bold] for sign in text)


def wrapped(text: str, room: float, bold: bool = False) -> tuple[str, ...]:
    """A text in lines no wider than ``room``; parted at a hyphen, within a word if it must be."""
    lines: list[str] = []
    line = ""
    for gap, piece in _pieces(text):
        longer = line + gap + piece if line else piece
        if text_width(longer, bold) <= room:
            line = longer
            continue
        if line:
            lines.append(line)
        while text_width(piece, bold) > room and len(piece) > 1:
            fits = _fitting(piece, room, bold)
            lines.append(piece[:fits])
            piece = piece[fits:]
        line = piece
    return (*lines, line) if line else tuple(lines)


def _pieces(text: str) -> Iterator[tuple[str, str]]:
    """Words and what stands before a hyphen, each with the space before it."""
    for word in filter(None, re.split(r"[ \t\n]+", text)):  # not at a no-break space
        for number, piece in enumerate(re.split(r"(?<=[^\W\d]-)(?=[^\W\d])", word)):
            yield ("" if number else " "), piece


def _fitting(word: str, room: float, bold: bool) -> int:
    """How many letters of a word fit, one at least."""
    count = 1
    while text_width(word[: count + 1], bold) <= room:
        count += 1
    return count
