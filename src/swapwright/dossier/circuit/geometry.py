"""Tracks turned into lengths: how wide each gap is, where lines bend and cross.

What nobody uses takes no room. Room for tags is made later by pulling the drawing apart along a
cut: whatever lies beyond it moves, so that nothing that was apart comes together.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from swapwright.dossier.circuit.boxes import DOOR_PITCH, LEAST_HEIGHT, Box
from swapwright.dossier.circuit.routing import Way
from swapwright.dossier.circuit.tracks import EAST, NORTH, SOUTH, WEST, Axis, Door, Tracks

PITCH = 15.0  # between lines side by side
HOP = 6.0  # radius of the bow over a crossed line
HALF = 3.0  # half of the widest line, rounded up


@dataclass(frozen=True, slots=True)
class Spacing:
    """How close things stand."""

    clear: float  # between a part and the nearest line that passes; an arrow lies in it
    near: float  # between two parts that a line joins straight across an empty gap
    apart: float  # between two parts without one
    margin: float


SPACIOUS = Spacing(22.0, 46.0, 30.0, 16.0)
CLOSE = Spacing(19.0, 38.0, 24.0, 12.0)  # for a phone


@dataclass(frozen=True, slots=True)
class Rect:
    """A rectangle along the axes."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> tuple[float, float]:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> "Rect":
        """Larger on each side."""
        return Rect(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def meets(self, other: "Rect") -> bool:
        """Whether the two share more than a rim."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def around(x: float, y: float, width: float, height: float) -> Rect:
    """A rectangle about its centre."""
    return Rect(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


@dataclass(frozen=True, slots=True)
class Stretch:
    """One straight piece of a line."""

    line: int
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def flat(self) -> bool:
        """Whether it runs from side to side."""
        return self.start[1] == self.end[1]

    @property
    def rect(self) -> Rect:
        """What it covers, as wide as the widest line."""
        (x, y), (u, v) = self.start, self.end
        return Rect(min(x, u), min(y, v), max(x, u), max(y, v)).grown(HALF)


@dataclass
class Plan:
    """Lengths of one drawing; grows while room is made for tags."""

    tracks: Tracks
    ways: Sequence[Way]
    across: list[float] = field(default_factory=list)  # of each track
    down: list[float] = field(default_factory=list)
    rects: dict[str, Rect] = field(default_factory=dict)  # of each part
    tags: dict[int, Rect] = field(default_factory=dict)  # by line
    right: float = 0.0
    bottom: float = 0.0

    @cached_property
    def _owners(self) -> dict[int, str]:
        """The part of each node at a rim."""
        return {door.node: part for part, doors in self.tracks.doors.items() for door in doors}

    @cached_property
    def _corners(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Track across and track down of each line's corners."""
        return tuple(
            tuple(
                self.tracks.place(node)
                for before, node, after in zip(
                    way.nodes, way.nodes[1:], way.nodes[2:], strict=False
                )
                if node - before != after - node
            )
            for way in self.ways
        )

    def points(self, line: int) -> tuple[tuple[float, float], ...]:
        """A line's corners from rim to rim."""
        first, last = self.ways[line].doors
        inner = ((self.across[column], self.down[row]) for column, row in self._corners[line])
        return (self._rim(first), *inner, self._rim(last))

    def stretches(self, line: int) -> tuple[Stretch, ...]:
        """A line's straight pieces."""
        return tuple(Stretch(line, a, b) for a, b in pairwise(self.points(line)))

    def crossings(self) -> dict[int, tuple[tuple[float, float], ...]]:
        """Where each line that runs from side to side meets one that runs up and down."""
        everything = [piece for line in range(len(self.ways)) for piece in self.stretches(line)]
        steep = [piece for piece in everything if not piece.flat]
        found: dict[int, list[tuple[float, float]]] = {}
        for flat in (piece for piece in everything if piece.flat):
            y = flat.start[1]
            low, high = sorted((flat.start[0], flat.end[0]))
            for other in steep:
                x = other.start[0]
                top, bottom = sorted((other.start[1], other.end[1]))
                if low < x < high and top < y < bottom:
                    found.setdefault(flat.line, []).append((x, y))
        return {line: tuple(places) for line, places in found.items()}

    def pull_across(self, cut: float, by: float) -> None:
        """Move what lies right of a cut further to the right."""
        self.across = [x + by if x > cut else x for x in self.across]
        self.rects = {
            part: Rect(_beyond(r.left, cut, by), r.top, _beyond(r.right, cut, by), r.bottom)
            for part, r in self.rects.items()
        }
        self.tags = {
            line: Rect(r.left + by, r.top, r.right + by, r.bottom) if r.middle[0] > cut else r
            for line, r in self.tags.items()
        }
        self.right += by

    def pull_down(self, cut: float, by: float) -> None:
        """Move what lies below a cut further down."""
        self.down = [y + by if y > cut else y for y in self.down]
        self.rects = {
            part: Rect(r.left, _beyond(r.top, cut, by), r.right, _beyond(r.bottom, cut, by))
            for part, r in self.rects.items()
        }
        self.tags = {
            line: Rect(r.left, r.top + by, r.right, r.bottom + by) if r.middle[1] > cut else r
            for line, r in self.tags.items()
        }
        self.bottom += by

    def shrink(self, boxes: Mapping[str, Box]) -> None:
        """Give parts that were pulled their own size again, around the doors in use."""
        used: dict[str, list[Door]] = {}
        for way in self.ways:
            for door in way.doors:
                used.setdefault(self._owners[door.node], []).append(door)
        for part, spot in self.tracks.spots.items():
            rect, size = self.rects[part], boxes[part]
            places = [(door, *self.tracks.place(door.node)) for door in used.get(part, [])]
            steep = [
                self.across[column] for door, column, _ in places if door.way in (NORTH, SOUTH)
            ]
            flat = [self.down[row] for door, _, row in places if door.way in (EAST, WEST)]
            left, right = _held_in(rect.left, rect.right, steep, size.width)
            if spot.rows == 1:
                top, bottom = _held_in(rect.top, rect.bottom, flat, size.height)
            else:
                top, bottom = rect.top, rect.bottom
            self.rects[part] = Rect(left, top, right, bottom)

    def _rim(self, door: Door) -> tuple[float, float]:
        """Where a line meets the rim of its part."""
        column, row = self.tracks.place(door.node)
        x, y = self.across[column], self.down[row]
        rect = self.rects[self._owners[door.node]]
        if door.way == EAST:
            return rect.right, y
        if door.way == WEST:
            return rect.left, y
        return (x, rect.bottom) if door.way == SOUTH else (x, rect.top)


def axis_cell(axis: Axis, track: int) -> int:
    """The cell that a track runs through; -1 when it runs in a gap."""
    cell, within = divmod(track, axis.gaps + axis.inner)
    return cell if within >= axis.gaps else -1


def _held_in(low: float, high: float, held: Sequence[float], size: float) -> tuple[float, float]:
    """An interval of this size within another one that holds some places, or a larger one."""
    first, last = min(held, default=(low + high) / 2), max(held, default=(low + high) / 2)
    size = max(size, last - first + DOOR_PITCH)
    middle = min(max((first + last) / 2, low + size / 2), high - size / 2)
    return max(low, middle - size / 2), min(high, middle + size / 2)


def _beyond(value: float, cut: float, by: float) -> float:
    return value + by if value > cut else value


def plan(tracks: Tracks, ways: Sequence[Way], boxes: Mapping[str, Box], spacing: Spacing) -> Plan:
    """The closest drawing of these ways."""
    drawn = Plan(tracks, ways)
    used_across, used_down = _used(tracks, ways)
    widths = [0.0] * tracks.across.cells
    heights = [LEAST_HEIGHT] * tracks.down.cells
    for part, spot in tracks.spots.items():
        widths[spot.column] = max(widths[spot.column], boxes[part].width)
        for row in range(spot.row, spot.row + spot.rows):
            heights[row] = max(heights[row], boxes[part].height / spot.rows)
    drawn.across, drawn.right = _lengths(
        tracks.across, used_across, widths, _joined(tracks, ways, flat=True), spacing
    )
    drawn.down, drawn.bottom = _lengths(
        tracks.down, used_down, heights, _joined(tracks, ways, flat=False), spacing
    )
    for part in tracks.spots:
        drawn.rects[part] = _placed(drawn, part, boxes[part], heights)
    return drawn


def _used(tracks: Tracks, ways: Sequence[Way]) -> tuple[set[int], set[int]]:
    """Tracks that some line runs along, not only across."""
    across: set[int] = set()
    down: set[int] = set()
    for way in ways:
        for before, node in pairwise(way.nodes):
            column, row = tracks.place(node)
            if abs(node - before) == 1:
                down.add(row)
            else:
                across.add(column)
    return across, down


def _joined(tracks: Tracks, ways: Sequence[Way], flat: bool) -> set[int]:
    """Gaps that some line crosses."""
    axis = tracks.across if flat else tracks.down
    found: set[int] = set()
    for way in ways:
        for before, node in pairwise(way.nodes):
            if (abs(node - before) == 1) is flat:
                column, row = tracks.place(node)
                track = column if flat else row
                if axis_cell(axis, track) < 0:
                    found.add(track // (axis.gaps + axis.inner))
    return found


def _lengths(
    axis: Axis, used: set[int], sizes: Sequence[float], joined: set[int], spacing: Spacing
) -> tuple[list[float], float]:
    """Where each track lies, and where the last gap ends."""
    found = [0.0] * axis.count
    at = 0.0
    for number in range(axis.cells + 1):
        at = _gap(axis, number, used, found, at, number in joined, spacing)
        if number < axis.cells:
            middle = at + sizes[number] / 2
            tracks = axis.through(number)
            for place, track in enumerate(tracks):
                found[track] = middle + (place - len(tracks) // 2) * DOOR_PITCH
            at += sizes[number]
    return found, at


def _gap(
    axis: Axis,
    number: int,
    used: set[int],
    found: list[float],
    at: float,
    joined: bool,
    spacing: Spacing,
) -> float:
    """Lay one gap's tracks from ``at`` on; where it ends."""
    first, last = number == 0, number == axis.cells
    tracks = [track for track in axis.gap(number) if track in used]
    if not tracks:
        between = spacing.near if joined else spacing.apart
        width = spacing.margin if first or last else between
        for track in axis.gap(number):
            found[track] = at + width / 2
        return at + width
    before = spacing.margin if first else spacing.clear
    after = spacing.margin if last else spacing.clear
    for place, track in enumerate(tracks):
        found[track] = at + before + place * PITCH
    lain = at + before
    for track in axis.gap(number):  # an unused one lies on its neighbour: nothing bends there
        if track in used:
            lain = found[track]
        else:
            found[track] = lain
    return at + before + (len(tracks) - 1) * PITCH + after


def _placed(drawn: Plan, part: str, size: Box, heights: Sequence[float]) -> Rect:
    spot = drawn.tracks.spots[part]
    tracks = drawn.tracks.across.through(spot.column)
    x = drawn.across[tracks[len(tracks) // 2]]
    rows = range(spot.row, spot.row + spot.rows)
    middles = [
        drawn.down[(through := drawn.tracks.down.through(row))[len(through) // 2]] for row in rows
    ]
    if spot.rows == 1:
        return around(x, middles[0], size.width, size.height)
    top = middles[0] - heights[rows[0]] / 2
    bottom = middles[-1] + heights[rows[-1]] / 2
    return Rect(x - size.width / 2, top, x + size.width / 2, bottom)


def everything(drawn: Plan) -> Iterator[tuple[int, Rect]]:
    """What a tag must keep clear of, each with its line or -1."""
    for rect in drawn.rects.values():
        yield -1, rect
    for line in range(len(drawn.ways)):
        for piece in drawn.stretches(line):
            yield line, piece.rect
    for line, places in drawn.crossings().items():
        for x, y in places:
            yield line, around(x, y, 2 * HOP + 2, 2 * HOP + 2)
