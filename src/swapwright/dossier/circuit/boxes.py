"""How large each part is drawn, and the words in it."""

import re
from dataclasses import dataclass

from swapwright.dossier.circuit.drawn import DrawnPart, Role
from swapwright.dossier.circuit.lettering import LEADING, text_width, wrapped
from swapwright.dossier.circuit.placing import Shape

ROOM = {"broad": 84.0, "high": 84.0, "tall": 77.0}  # for text in a part; "thermostat" fits
MARK = 22.0  # side of the mark above the label
AROUND = {"broad": 7.0, "high": 7.0, "tall": 4.0}  # from the rim to the words
LEAST_WIDTH, LEAST_HEIGHT = 50.0, 52.0  # three lines on a side
DOOR_PITCH = 16.0  # between lines that leave a part side by side
CORNER = 8.0  # from the outermost of them to the corner
DOORS = (5, 3)  # most that a side across and a side down need, for parts with few lines
SMALL = frozenset({Role.TEE, Role.TAP, Role.BLANK, Role.FILLER})


@dataclass(frozen=True, slots=True)
class Box:
    """A part as drawn: its words and the room they take."""

    label: tuple[str, ...]
    notes: tuple[str, ...]
    width: float
    height: float
    doors: tuple[int, int]  # lines that may leave its upper side, its left side; odd numbers


def box(part: DrawnPart, shape: Shape, lines: int) -> Box:
    """The box of a part with so many lines; words are never cut, the box grows."""
    room, around = ROOM[shape], AROUND[shape]
    label = wrapped(part.label or part.id, room, bold=True)
    notes = tuple(line for note in part.notes for line in wrapped(_bound(note), room))
    widest = max(
        [*(text_width(line, bold=True) for line in label), *(text_width(line) for line in notes)]
    )
    least = LEAST_WIDTH if part.role in SMALL else ROOM[shape]
    height = 2 * around + MARK + LEADING * (len(label) + len(notes))
    needed = lines // 4 * 2 + 1  # on each side: twice as many in all as there are lines
    side = (needed - 1) * DOOR_PITCH + 2 * CORNER
    width, height = max(widest + 2 * around, least, side), max(height, LEAST_HEIGHT, side)
    doors = min(_doors(width), max(DOORS[0], needed)), min(_doors(height), max(DOORS[1], needed))
    return Box(label, notes, width, height, doors)


def _doors(side: float) -> int:
    """Lines that a side has room for, one of them in its middle."""
    return int((side / 2 - CORNER) // DOOR_PITCH) * 2 + 1


def _bound(note: str) -> str:
    """With no break between a number and its unit."""
    return re.sub(r"(?<=\d) (?=\S)", "\N{NO-BREAK SPACE}", note)
