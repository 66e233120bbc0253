"""The tag on each line: a plate strung on it with what runs there, or only its number.

A plate is tried wide and slim on every straight piece of its line. Where there is no room the
drawing is pulled apart, as long as it stays legible on the width of a page; a line that still
finds none carries its number, and its words go to the key below the drawing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from swapwright.dossier.circuit.drawn import DrawnCircuit, DrawnLine, LineState
from swapwright.dossier.circuit.geometry import HALF, Plan, Rect, Stretch, around, everything
from swapwright.dossier.circuit.lettering import LEADING, text_width, wrapped
from swapwright.dossier.circuit.telling import values
from swapwright.quantity import System

Order = Literal["tight first", "strong first", "numbers"]  # numbers: no plates at all
WIDE, SLIM = 122.0, 78.0  # room for a plate's words
ASIDE, ABOVE = 6.0, 3.0  # from a plate's rim to its words
KEEP = 3.0  # from a tag to anything else
KEEP_ASIDE = 1.5  # from a number to the line beside its own: they lie close
RUN = 10.0  # of a line that stays visible on each side of its tag
ARRIVAL = 18.0  # the same where an arrow meets a part
BAR = 17.0  # the same where a bar or a loop stops the line
TICK = 12.0  # beside the words of what is proved
MOST = 90.0  # by which things are pushed aside for a plate
LEAST = 1.5  # of free line that a cut needs


@dataclass(frozen=True, slots=True)
class Tag:
    """The words of one tag, the first few lines bold, and the room they take."""

    bold: tuple[str, ...]
    plain: tuple[str, ...]
    width: float
    height: float
    tick: bool = False  # beside the words: proved


@dataclass(frozen=True, slots=True)
class Limits:
    """How far a drawing may be pulled apart for plates."""

    width: float
    height: float


ENDLESS = Limits(float("inf"), float("inf"))


@dataclass(frozen=True, slots=True)
class _Cut:
    """Pull the drawing apart here to make room for a tag."""

    price: float
    across: bool
    at: float
    by: float


def plates(number: int, line: DrawnLine, units: System) -> tuple[Tag, ...]:
    """A line's plates, wide and slim."""
    return tuple(_plate(number, line, units, room) for room in (WIDE, SLIM))


def _plate(number: int, line: DrawnLine, units: System, room: float) -> Tag:
    items = (*values(line, units), str(line.state))
    room = max(room, *(text_width(item) for item in items))  # a value is not parted from its unit
    bold, plain = wrapped(f"{number} {line.label}", room, bold=True), packed(items, room)
    widest = max(
        *(text_width(words, bold=True) for words in bold), *(text_width(words) for words in plain)
    )
    tick = line.state is LineState.PROVED
    height = LEADING * (len(bold) + len(plain)) + 2 * ABOVE
    return Tag(bold, plain, widest + 2 * ASIDE + TICK * tick, height, tick)


def pill(number: int) -> Tag:
    """Only the number: narrow enough for two lines that lie side by side."""
    return Tag((str(number),), (), text_width(str(number), bold=True) + 4, LEADING - 1.5)


def packed(items: Sequence[str], room: float) -> tuple[str, ...]:
    """Items in lines, none broken unless it is wider than the room."""
    lines: list[str] = []
    for item in items:
        longer = f"{lines[-1]}, {item}" if lines else item
        if lines and text_width(longer) <= room:
            lines[-1] = longer
        else:
            lines += wrapped(item, room)
    return tuple(lines)


def hang_tags(drawn: Plan, circuit: DrawnCircuit, limits: Limits, order: Order) -> dict[int, Tag]:
    """Give each line of a plan its tag; makes room in the plan where needed."""
    hanger = _Hanger(drawn, circuit, limits)
    lines = sorted(range(len(circuit.lines)), key=hanger.longest)
    if order != "numbers":
        first = sorted(lines, key=hanger.weakest) if order == "strong first" else lines
        for stretching in (False, True):
            for line in first:
                if line not in hanger.hung:
                    tags = plates(line + 1, circuit.lines[line], circuit.units)
                    hanger.hang(line, tags, stretching)
    for line in lines:
        if line not in hanger.hung:
            hanger.hang_number(line)
    return hanger.hung


class _Hanger:
    """Finds room for tags on the lines of a plan."""

    def __init__(self, drawn: Plan, circuit: DrawnCircuit, limits: Limits) -> None:
        self.drawn = drawn
        self.lines = circuit.lines
        self.limits = limits
        self.hung: dict[int, Tag] = {}
        self.things = tuple(everything(drawn))

    def longest(self, line: int) -> tuple[float, int]:
        """Length of a line's longest piece: those with the least choice come first."""
        pieces = self.drawn.stretches(line)
        return max(abs(p.start[0] - p.end[0]) + abs(p.start[1] - p.end[1]) for p in pieces), line

    def weakest(self, line: int) -> tuple[float, int]:
        """Flow of a line, downwards: those that matter most come first."""
        return -abs(self.lines[line].volume_flow or 0.0), line

    def hang(self, line: int, tags: Sequence[Tag], stretching: bool) -> bool:
        """Try these tags in turn; make room if allowed."""
        if self._settle(line, tags):
            return True
        if not stretching:
            return False
        for cuts in (self._best_cut(line, tags), self._best_push(line, tags)):
            if cuts:
                for cut in cuts:
                    self._pull(cut)
                return self._settle(line, tags)
        return False

    def hang_number(self, line: int) -> None:
        """Hang a line's number, whatever room it takes."""
        tags = (pill(line + 1),)
        kept = self.limits
        for limits in (Limits(kept.width, float("inf")), *(ENDLESS,) * 8):
            self.limits = limits
            if self.hang(line, tags, stretching=True):
                self.limits = kept
                return
        raise RuntimeError(f"no room for the number of line {self.lines[line].id}")

    def _settle(self, line: int, tags: Sequence[Tag]) -> bool:
        for tag in tags:
            for piece in self._pieces(line):
                centre = self._centre(piece, tag)
                if centre is not None:
                    self.hung[line] = tag
                    self.drawn.tags[line] = around(*centre, tag.width, tag.height)
                    return True
        return False

    def _pieces(self, line: int) -> list[Stretch]:
        """A line's pieces, long ones first."""
        return sorted(
            self.drawn.stretches(line),
            key=lambda p: -abs(p.start[0] - p.end[0]) - abs(p.start[1] - p.end[1]),
        )

    def _ends(self, piece: Stretch) -> tuple[float, float]:
        """How much of a piece must stay visible at its two ends."""
        line = self.lines[piece.line]
        points = self.drawn.points(piece.line)
        if line.state in (LineState.PARKED, LineState.SHUT):
            return BAR + (8 if line.way < 0 else 0), BAR + (8 if line.way > 0 else 0)
        first = ARRIVAL if piece.start == points[0] and line.way < 0 else RUN
        last = ARRIVAL if piece.end == points[-1] and line.way > 0 else RUN
        return first, last

    def _free(self, piece: Stretch, tag: Tag) -> tuple[list[tuple[float, float]], float, float]:
        """Free intervals along a piece for a tag of this size, and the interval's own ends."""
        flat = piece.flat
        along = 0 if flat else 1
        first, last = self._ends(piece)
        a, b = piece.start[along], piece.end[along]
        low, high = (a + first, b - last) if a < b else (b + last, a - first)
        half = (tag.height if flat else tag.width) / 2 + (KEEP if tag.plain else KEEP_ASIDE)
        middle = piece.start[1 - along]
        taken = []
        for rect in self._others(piece):
            lower, upper = (rect.top, rect.bottom) if flat else (rect.left, rect.right)
            if lower < middle + half and upper > middle - half:
                taken.append((rect.left, rect.right) if flat else (rect.top, rect.bottom))
        return _gaps(low, high, [(x - KEEP, y + KEEP) for x, y in taken]), low, high

    def _others(self, piece: Stretch) -> list[Rect]:
        own = piece.rect
        others = [rect for line, rect in self.things if line != piece.line or rect != own]
        return [*others, *self.drawn.tags.values()]

    def _centre(self, piece: Stretch, tag: Tag) -> tuple[float, float] | None:
        """The place for a tag nearest to the middle of a piece."""
        flat = piece.flat
        long = tag.width if flat else tag.height
        free, low, high = self._free(piece, tag)
        middle = (low + high) / 2
        fits = [(a + long / 2, b - long / 2) for a, b in free if b - a >= long]
        if not fits:
            return None
        at = min((min(max(middle, a), b) for a, b in fits), key=lambda x: abs(x - middle))
        x, y = (at, piece.start[1]) if flat else (piece.start[0], at)
        return (x, y) if self._inside(around(x, y, tag.width, tag.height)) else None

    def _inside(self, rect: Rect) -> bool:
        keep = KEEP_ASIDE
        return (
            rect.left >= keep
            and rect.top >= keep
            and rect.right <= self.drawn.right - keep
            and rect.bottom <= self.drawn.bottom - keep
        )

    def _best_cut(self, line: int, tags: Sequence[Tag]) -> tuple[_Cut, ...]:
        cuts = [
            cut
            for tag in tags
            for piece in self._pieces(line)
            if (cut := self._cut(piece, tag)) is not None
        ]
        return (min(cuts, key=lambda cut: cut.price),) if cuts else ()

    def _best_push(self, line: int, tags: Sequence[Tag]) -> tuple[_Cut, ...]:
        """Cuts beside a piece that push away what hangs or runs too near to it."""
        pushes = [
            push
            for tag in tags
            if tag.plain
            for piece in self._pieces(line)
            if (push := self._push(piece, tag))
        ]
        return min(pushes, key=lambda cuts: sum(cut.price for cut in cuts), default=())

    def _push(self, piece: Stretch, tag: Tag) -> tuple[_Cut, ...]:
        flat = piece.flat
        long, half = (tag.width, tag.height / 2) if flat else (tag.height, tag.width / 2)
        own = piece.start[1] if flat else piece.start[0]
        spans = [
            ((r.left, r.right), (r.top, r.bottom))
            if flat
            else ((r.top, r.bottom), (r.left, r.right))
            for r in self._others(piece)
        ]
        hard = [
            (a - KEEP, b + KEEP)
            for (a, b), (low, high) in spans
            if low < own + HALF and high > own - HALF
        ]
        _, first, last = self._free(piece, tag)
        fits = [(a, b) for a, b in _gaps(first, last, hard) if b - a >= long]
        if not fits:
            return ()
        middle = (first + last) / 2
        at = min(
            (min(max(middle, a + long / 2), b - long / 2) for a, b in fits),
            key=lambda x: abs(x - middle),
        )
        beside = [
            side for (a, b), side in spans if a - KEEP < at + long / 2 and b + KEEP > at - long / 2
        ]
        before = max((high - own for _, high in beside if high <= own - HALF), default=-MOST)
        after = min((low - own for low, _ in beside if low >= own + HALF), default=MOST)
        needs = before + half + KEEP, half + KEEP - after
        end = self.drawn.bottom if flat else self.drawn.right
        needs = max(needs[0], half + KEEP - own), max(needs[1], own + half + KEEP - end)
        whole = sum(max(0.0, need) for need in needs)
        if whole > MOST or end + whole > (self.limits.height if flat else self.limits.width):
            return ()
        side = self.drawn.right if flat else self.drawn.bottom
        # the later cut first: it leaves the place of the earlier one
        places = (own + HALF + 0.2, needs[1]), (own - HALF - 0.2, needs[0])
        return tuple(_Cut(3 * by * side, not flat, cut, by + 0.5) for cut, by in places if by > 0)

    def _cut(self, piece: Stretch, tag: Tag) -> _Cut | None:
        """Where and how far to pull so that a tag fits on a piece."""
        flat = piece.flat
        aside = tag.height if flat else tag.width
        across = piece.start[1] if flat else piece.start[0]
        end = self.drawn.bottom if flat else self.drawn.right
        if across - aside / 2 < KEEP_ASIDE or across + aside / 2 > end - KEEP_ASIDE:
            return None
        long = tag.width if flat else tag.height
        free, _, _ = self._free(piece, tag)
        low, high = max(free, key=lambda gap: gap[1] - gap[0], default=(0.0, 0.0))
        if high - low < LEAST:
            if tag.plain:
                return None
            low = high = self._rim(piece) + 0.3  # between its end and all that hangs beside it
            by = long + 2 * BAR
        else:
            by = long - (high - low) + 0.5
        size = (self.drawn.right if flat else self.drawn.bottom) + by
        if size > (self.limits.width if flat else self.limits.height):
            return None
        at, through = self._where(low, high, flat)
        other = self.drawn.bottom if flat else self.drawn.right
        return _Cut(by * other * (3 if through else 1) * (2 if flat else 1), flat, at, by)

    def _rim(self, piece: Stretch) -> float:
        """The upper or left end of a piece."""
        along = 0 if piece.flat else 1
        return min(piece.start[along], piece.end[along])

    def _where(self, low: float, high: float, flat: bool) -> tuple[float, bool]:
        """A place to cut within an interval, and whether it goes through a part."""
        tries = [low + (high - low) * share for share in (0.5, 0.25, 0.75, 0.1, 0.9)]
        for at in tries:
            sides = (
                (r.left, r.right) if flat else (r.top, r.bottom) for r in self.drawn.rects.values()
            )
            if not any(a < at < b for a, b in sides):
                return at, False
        return tries[0], True

    def _pull(self, cut: _Cut) -> None:
        if cut.across:
            self.drawn.pull_across(cut.at, cut.by)
        else:
            self.drawn.pull_down(cut.at, cut.by)
        self.things = tuple(everything(self.drawn))


def _gaps(
    low: float, high: float, taken: Sequence[tuple[float, float]]
) -> list[tuple[float, float]]:
    """What remains of an interval."""
    free = []
    at = low
    for first, last in sorted(taken):
        if first > at:
            free.append((at, min(first, high)))
        at = max(at, last)
        if at >= high:
            break
    if at < high:
        free.append((at, high))
    return [(a, b) for a, b in free if b > a]
