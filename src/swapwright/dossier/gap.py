"""The row that everything is shown as: two ends and the space between them.

Drawn once, here, as a neutral ``GapRow``; the terminal, the report and tags only
choose how to put it on their surface.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import wrap

from swapwright.crossings.rows import Crossing
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.message import spoken
from swapwright.model.words import Pile, Progress, Service, SmallPart
from swapwright.quantity import Measure, System, preferred

WIDTH = 80


@dataclass(frozen=True)
class GapEnd:
    """One end as shown: id, what it is, its size."""

    id: str
    label: str
    size: str
    known: bool  # False: an outline only


@dataclass(frozen=True)
class Bead:
    """One piece on a join's line; small parts are small, missing ones hollow."""

    label: str
    small: bool
    here: bool


@dataclass(frozen=True)
class GapRow:
    """One row: left end on the car, right end on the newcomer, the state between."""

    state: str  # key of LINES
    word: str  # always shown beside the line
    left: GapEnd | None
    right: GapEnd | None
    between: str  # what does not fit, or a day
    beads: tuple[Bead, ...]
    pile: Pile
    system: str


# state: the line between the ends, nine cells wide; the second form where only ASCII is known.
LINES: Mapping[str, tuple[str, str]] = {
    "open": ("──╴   ╶──", "--     --"),
    "planned": ("┄┄┄┄┄┄┄┄┄", ". . . . ."),
    "fitted": ("─────────", "---------"),
    "proved": ("────✓────", "----v----"),
    "stand-in": ("╱╱╱╱╱╱╱╱╱", "/////////"),
    "capped": ("──┤   ├──", "--|   |--"),
    "parked": ("──┤○ ○├──", "--|o o|--"),
    "kept": ("═════════", "========="),
    "relocated": ("── ── ──→", "-- -- -->"),
    "removed": ("·       ·", "'       '"),
    "unknown": ("──?   ?──", "--?   ?--"),
}
JOINED = {
    Progress.PLANNED: "planned",
    Progress.IN_HAND: "planned",
    Progress.FITTED: "fitted",
    Progress.PROVED: "proved",
}


def gap_row(assembly: Assembly, crossing: Crossing, system: System) -> GapRow:
    """What one crossing looks like, without a surface yet."""
    state = _state(crossing)
    between = crossing.gap.text(system) if crossing.gap is not None else ""
    if state in ("stand-in", "parked") and crossing.until:
        between = f"until {crossing.until}"
    return GapRow(
        state,
        _word(crossing, state),
        _end(crossing.car, system),
        _end(crossing.newcomer, system),
        between,
        _beads(assembly, crossing),
        crossing.pile,
        crossing.system,
    )


def _state(crossing: Crossing) -> str:
    if crossing.join is not None:
        if crossing.join.record.stand_in is not None:
            return "stand-in"
        return JOINED[crossing.join.progress]
    if crossing.is_open:
        unsure = any(
            end.service is Service.UNKNOWN or end.there == "unknown" for end in crossing.ends
        )
        return "unknown" if unsure else "open"
    return str(crossing.fate)


def _word(crossing: Crossing, state: str) -> str:
    if crossing.join is not None:
        progress = str(crossing.join.progress)
        return f"stand-in, {progress}" if state == "stand-in" else f"joined, {progress}"
    return "open" if state in ("open", "unknown") else str(crossing.fate)


def _end(port: AssembledPort | None, system: System) -> GapEnd | None:
    if port is None:
        return None
    return GapEnd(port.id, port.label, end_size(port, system), port.service is not Service.UNKNOWN)


COUNTED = {"flange": "bolts", "bell face": "bolts", "plug": "ways", "spline": "teeth"}


def end_size(port: AssembledPort, system: System) -> str:
    """The main dimension of a port's end: as written when it is one's own, else about so much."""
    if port.end is None or not port.end.definition.main:
        return ""
    value = port.end.dim(port.end.definition.main)
    content = value.content
    if isinstance(content, int) and not isinstance(content, bool):
        return f"{content} {COUNTED.get(port.end.form, '')}".strip()
    if isinstance(content, Measure):
        if value.count > 1:  # the mean of several readings is nowhere written
            return preferred(content.nominal, content.dimension, system)
        if content.thread or value.backs_a_stop:
            return content.text
        return "~" + preferred(content.nominal, content.dimension, system)
    return spoken(value, system) if value.known else ""


def _beads(assembly: Assembly, crossing: Crossing) -> tuple[Bead, ...]:
    if crossing.join is None:
        return ()
    pieces = [Bead(assembly.label(piece), False, True) for piece in crossing.join.pieces]
    missing = (SmallPart.LOST, SmallPart.ORDERED, SmallPart.UNKNOWN)
    small = [
        Bead(name, True, state not in missing) for name, state in crossing.join.record.small.items()
    ]
    return (*pieces, *small)


def plain(text: str, encoding: str | None) -> str:
    """``text`` as a surface with a poor character set can show it."""
    known = encoding or "ascii"
    try:
        text.encode(known)
    except (UnicodeEncodeError, LookupError):
        return "\n".join(_poorer(line, known) for line in text.split("\n"))
    return text


def _poorer(line: str, encoding: str) -> str:
    """One line without what the surface lacks; wrapped again where that made it too long."""
    text = line
    for rich, poor in (*LINES.values(), *POOR):
        text = text.replace(rich, poor)
    text = _with_question_marks(text, encoding)
    if len(text) <= WIDTH or len(line) > WIDTH:
        return text
    indent = " " * (len(text) - len(text.lstrip()))
    return "\n".join(wrap(text, WIDTH, subsequent_indent=indent + "  "))


def _with_question_marks(text: str, encoding: str) -> str:
    """What is left over, a name in another script for instance, as one mark a character."""
    try:
        return text.encode(encoding, "replace").decode(encoding)
    except LookupError:
        return text.encode("ascii", "replace").decode("ascii")


POOR = (
    ("─", "-"),
    ("·", "."),
    ("█", "#"),
    (" °", " deg "),
    ("°", " deg"),
    ("±", "+/-"),
    ("²", "2"),
    ("…", "..."),
    ("☐", "[ ]"),
    ("☑", "[x]"),
    ("Ω", "ohm"),
    ("√", "root "),
    ("–", "-"),
    ("×", "x"),
    ("●", "*"),
    ("○", "o"),
    ("∙", "."),
    ("∘", ","),
    ("µ", "u"),
    ("³", "3"),
)
