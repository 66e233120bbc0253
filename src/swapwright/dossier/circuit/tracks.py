"""The tracks that lines may run on: through every gap between parts and through every cell.

A grid without measures yet: which track lies beside which, what is a part's and cannot be
crossed, and where a line may leave a part. Tracks that nobody uses take no room later.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from swapwright.dossier.circuit.placing import Spot

EAST, WEST, SOUTH, NORTH = range(4)


@dataclass(frozen=True, slots=True)
class Axis:
    """The tracks of one direction, from the left or from the top."""

    gaps: int  # tracks in each gap; one gap more than cells
    inner: int  # tracks through each cell, an odd number
    cells: int

    @property
    def count(self) -> int:
        """How many tracks."""
        return self.cells * (self.gaps + self.inner) + self.gaps

    def first(self, cell: int) -> int:
        """First track through a cell."""
        return cell * (self.gaps + self.inner) + self.gaps

    def through(self, cell: int) -> range:
        """Tracks through a cell."""
        return range(self.first(cell), self.first(cell) + self.inner)

    def gap(self, number: int) -> range:
        """Tracks of the gap before a cell; the last gap stands after all."""
        start = number * (self.gaps + self.inner)
        return range(start, start + self.gaps)


@dataclass(frozen=True, slots=True)
class Door:
    """A place where a line may leave a part."""

    node: int  # at the rim, inside the part
    outside: int  # first node outside
    way: int  # direction out
    aside: int  # tracks from the middle of its side


@dataclass(frozen=True)
class Tracks:
    """The grid of one drawing: nodes are numbered row by row."""

    across: Axis
    down: Axis
    spots: Mapping[str, Spot]
    reach: Mapping[str, tuple[int, int]]  # doors of an upper side, of a left side in each row
    doors: Mapping[str, tuple[Door, ...]] = field(init=False)
    blocked: tuple[bool, ...] = field(init=False)
    onward: tuple[int, ...] = field(init=False)  # by node · 4 + direction; -1 where none

    def __post_init__(self) -> None:
        blocked = [False] * (self.across.count * self.down.count)
        for spot in self.spots.values():
            for node in self._inside(spot):
                blocked[node] = True
        object.__setattr__(self, "blocked", tuple(blocked))
        doors = {part: tuple(self._doors(part, spot)) for part, spot in self.spots.items()}
        object.__setattr__(self, "doors", doors)
        object.__setattr__(self, "onward", tuple(self._onward()))

    @property
    def step(self) -> tuple[int, int, int, int]:
        """What to add to a node for one step in each direction."""
        width = self.across.count
        return 1, -1, width, -width

    def place(self, node: int) -> tuple[int, int]:
        """Track across and track down of a node."""
        down, across = divmod(node, self.across.count)
        return across, down

    def node(self, across: int, down: int) -> int:
        """The node where two tracks meet."""
        return down * self.across.count + across

    def bounds(self, part: str) -> tuple[int, int, int, int]:
        """First and last track across, first and last down, that a part covers."""
        spot = self.spots[part]
        columns, top = self.across.through(spot.column), self.down.first(spot.row)
        bottom = self.down.through(spot.row + spot.rows - 1)[-1]
        return columns[0], columns[-1], top, bottom

    def _onward(self) -> Iterator[int]:
        """The next node in each direction; -1 at the rim of the drawing and at a part."""
        width, height = self.across.count, self.down.count
        for node in range(width * height):
            across, down = self.place(node)
            open_ways = across < width - 1, across > 0, down < height - 1, down > 0
            for free, step in zip(open_ways, self.step, strict=True):
                yield node + step if free and not self.blocked[node + step] else -1

    def _inside(self, spot: Spot) -> Iterator[int]:
        top = self.down.first(spot.row)
        bottom = self.down.through(spot.row + spot.rows - 1)[-1]
        for down in range(top, bottom + 1):
            for across in self.across.through(spot.column):
                yield self.node(across, down)

    def _doors(self, part: str, spot: Spot) -> Iterator[Door]:
        east, west, south, north = self.step
        left, right, top, bottom = self.bounds(part)
        middle, (across_reach, down_reach) = (left + right) // 2, self.reach[part]
        aside = across_reach // 2
        for across in range(middle - aside, middle + aside + 1):
            off = abs(across - middle)
            upper, lower = self.node(across, top), self.node(across, bottom)
            yield Door(upper, upper + north, NORTH, off)
            yield Door(lower, lower + south, SOUTH, off)
        for row in range(spot.row, spot.row + spot.rows):
            tracks = self.down.through(row)
            centre = tracks[len(tracks) // 2]
            for down in range(centre - down_reach // 2, centre + down_reach // 2 + 1):
                off = abs(down - centre)
                first, last = self.node(left, down), self.node(right, down)
                yield Door(first, first + west, WEST, off)
                yield Door(last, last + east, EAST, off)
