"""Where each part of a circuit stands: on a coarse grid, like a car seen from its left side.

The front is on the left and up is up: radiator, engine with its pump and thermostat towards the
front, heater at the bulkhead, what must be highest on top, what hangs low below. A part whose
role has its place stands there always, so that two drawings of two builds can be laid side by
side; the others are annealed around them, the same way every time.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import exp
from random import Random
from typing import Literal

from swapwright.dossier.circuit.drawn import DrawnCircuit, Role

Shape = Literal["broad", "high", "tall"]  # for a desk or paper, for many parts there, for a phone


@dataclass(frozen=True, slots=True)
class Spot:
    """Cells that a part stands in: one column, one row or several."""

    column: int
    row: int
    rows: int = 1

    @property
    def cells(self) -> tuple[tuple[int, int], ...]:
        """All of them, as (column, row)."""
        return tuple((self.column, self.row + down) for down in range(self.rows))

    @property
    def centre(self) -> tuple[float, float]:
        """Middle, in cells."""
        return self.column, self.row + (self.rows - 1) / 2


BROAD: Mapping[Role, Spot] = {
    Role.BOTTLE: Spot(0, 0),
    Role.RADIATOR: Spot(0, 1, 3),
    Role.TANK: Spot(1, 0),
    Role.FILLER: Spot(2, 0),
    Role.THERMOSTAT: Spot(2, 1),
    Role.BYPASS_VALVE: Spot(2, 2),
    Role.PUMP: Spot(2, 3),
    Role.HEAD: Spot(3, 1),
    Role.BLOCK: Spot(3, 3),
    Role.TAP: Spot(4, 1),
    Role.ELECTRIC_PUMP: Spot(4, 3),
    Role.HEATER: Spot(5, 1, 3),
    Role.EXCHANGER: Spot(3, 4),
}
TALL: Mapping[Role, Spot] = {
    Role.BOTTLE: Spot(0, 0),
    Role.TANK: Spot(1, 0),
    Role.FILLER: Spot(2, 0),
    Role.RADIATOR: Spot(0, 1, 3),
    Role.THERMOSTAT: Spot(1, 1),
    Role.BYPASS_VALVE: Spot(1, 2),
    Role.PUMP: Spot(1, 3),
    Role.HEAD: Spot(2, 1),
    Role.BLOCK: Spot(2, 3),
    Role.EXCHANGER: Spot(1, 4),
    Role.TAP: Spot(2, 4),
    Role.HEATER: Spot(2, 5),
    Role.ELECTRIC_PUMP: Spot(1, 5),
}
TEMPLATES: Mapping[Shape, Mapping[Role, Spot]] = {"broad": BROAD, "high": TALL, "tall": TALL}
SPARE = 1.5  # free cells for each part that has no place of its own
ROUNDS = 1800
HOT, COLD = 3.0, 0.05  # temperatures of the annealing, in cells of line
THROUGH = 1.5  # cells of line that a part in the straight way between two others costs
FAR = 0.12  # cells of line that a cell away from the template's middle costs


def places(circuit: DrawnCircuit, shape: Shape, columns: int) -> dict[str, Spot]:
    """A place for each part, without empty columns and rows."""
    fixed = _templated(circuit, TEMPLATES[shape])
    loose = tuple(part.id for part in circuit.parts if part.id not in fixed)
    spots = _Annealing(circuit, fixed, loose, shape, columns).settled() if loose else fixed
    return _closed_up(spots)


def _templated(circuit: DrawnCircuit, template: Mapping[Role, Spot]) -> dict[str, Spot]:
    """The first part of each role that has its place, at that place."""
    fixed: dict[str, Spot] = {}
    taken: set[Role] = set()
    for part in circuit.parts:
        if part.role in template and part.role not in taken:
            taken.add(part.role)
            fixed[part.id] = template[part.role]
    return fixed


class _Annealing:
    """Finds cells for parts without a place, near what they are joined to."""

    def __init__(
        self,
        circuit: DrawnCircuit,
        fixed: Mapping[str, Spot],
        loose: tuple[str, ...],
        shape: Shape,
        columns: int,
    ) -> None:
        self.loose = loose
        self.spots = dict(fixed)
        self.template = TEMPLATES[shape]
        self.roles = {part.id: part.role for part in circuit.parts}
        self.held = {cell: id for id, spot in fixed.items() for cell in spot.cells}
        self.cells = self._free_cells(columns)
        self.middle = ((columns - 1) / 2, 2.0)
        self.near: dict[str, list[str]] = {part.id: [] for part in circuit.parts}
        for line in circuit.lines:
            if line.start != line.end:
                self.near[line.start].append(line.end)
                self.near[line.end].append(line.start)

    def _free_cells(self, columns: int) -> tuple[tuple[int, int], ...]:
        wanted = SPARE * len(self.loose)
        cells: list[tuple[int, int]] = []
        row = 0
        while len(cells) < wanted or row < 5:
            cells += [(c, row) for c in range(columns) if (c, row) not in self.held]
            row += 1
        return tuple(cells)

    def settled(self) -> dict[str, Spot]:
        """The best arrangement seen."""
        for part in self._by_joins():
            self._put(part, min(self._open(), key=lambda cell: (self._cost(part, cell), cell)))
        self._anneal(Random(len(self.loose)))
        return self.spots

    def _by_joins(self) -> Iterator[str]:
        """Loose parts, those joined to placed ones first."""
        waiting = list(self.loose)
        while waiting:
            part = max(
                waiting,
                key=lambda id: (sum(n in self.spots for n in self.near[id]), -waiting.index(id)),
            )
            waiting.remove(part)
            yield part

    def _open(self) -> Iterator[tuple[int, int]]:
        return (cell for cell in self.cells if cell not in self.held)

    def _put(self, part: str, cell: tuple[int, int]) -> None:
        self.spots[part] = Spot(*cell)
        self.held[cell] = part

    def _cost(self, part: str, cell: tuple[int, int]) -> float:
        """Length of a part's lines from a cell, in cells, with what stands in the way."""
        x, y = cell
        cost = FAR * (abs(x - self.middle[0]) + abs(y - self.middle[1]))
        usual = self.template.get(self.roles[part])
        if usual is not None:
            cost += 0.4 * (abs(x - usual.centre[0]) + abs(y - usual.centre[1]))
        for other in self.near[part]:
            spot = self.spots.get(other)
            if spot is None:
                continue
            down = max(spot.row - y, 0, y - spot.row - spot.rows + 1)
            cost += abs(spot.column - x) + down
            cost += self._between(x, y, spot)
        return cost

    def _between(self, x: int, y: int, spot: Spot) -> float:
        if spot.row <= y < spot.row + spot.rows:
            low, high = sorted((x, spot.column))
            return THROUGH * sum((column, y) in self.held for column in range(low + 1, high))
        if x == spot.column:
            low, high = sorted((y, spot.row))
            return THROUGH * sum(
                self.held.get((x, row), "") not in ("", self.held[spot.column, spot.row])
                for row in range(low + 1, high)
            )
        return 0.0

    def _anneal(self, random: Random) -> None:
        for step in range(ROUNDS):
            heat = HOT * (COLD / HOT) ** (step / ROUNDS)
            part = self.loose[random.randrange(len(self.loose))]
            cell = self.cells[random.randrange(len(self.cells))]
            home = self.spots[part].cells[0]
            if cell == home:
                continue
            worse = self._swap(part, home, cell)
            if worse > 0 and random.random() >= exp(-worse / heat):
                self._move(part, cell, home)

    def _swap(self, part: str, home: tuple[int, int], cell: tuple[int, int]) -> float:
        """Make the move; what it costs more than before."""
        other = self.held.get(cell)
        before = self._cost(part, home) + (self._cost(other, cell) if other else 0.0)
        self._move(part, home, cell)
        return self._cost(part, cell) + (self._cost(other, home) if other else 0.0) - before

    def _move(self, part: str, home: tuple[int, int], cell: tuple[int, int]) -> None:
        other = self.held.pop(cell, None)
        del self.held[home]
        self._put(part, cell)
        if other:
            self._put(other, home)


def _closed_up(spots: Mapping[str, Spot]) -> dict[str, Spot]:
    """Without empty columns, and without rows that nothing stands in alone."""
    columns = sorted({spot.column for spot in spots.values()})
    rows = sorted(
        {spot.row for spot in spots.values()} | {s.row + s.rows - 1 for s in spots.values()}
    )
    closed: dict[str, Spot] = {}
    for part, spot in spots.items():
        low, high = rows.index(spot.row), rows.index(spot.row + spot.rows - 1)
        closed[part] = Spot(columns.index(spot.column), low, high - low + 1)
    return closed
