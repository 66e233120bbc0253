"""The way of each line from part to part: shortest with few bends and crossings.

A* over the tracks (Hart, Nilsson and Raphael, 1968). A line runs straight over another or not
at all: two lines never share a track. Where one cannot get through, it goes first and the lines
in its way are laid anew; then each is laid again while the others lie still, which shortens
what was laid early and blind.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush

from swapwright.dossier.circuit.drawn import DrawnLine
from swapwright.dossier.circuit.tracks import Door, Tracks

BEND = 4.0
CROSSING = 14.0
SHARED = 60.0
FOREIGN_DOOR = 12.0  # before the middle of another part's side; less beside it
BESIDE_DOOR = 3.0
ASIDE = 1.0  # for each track that a door lies off the middle of its side
AGAIN = 3  # rounds in which every line is laid again
MANY = 30  # with more lines than this one round must do: the picture is dense whatever one tries
TRIES = 2  # how often on average a line may be laid before the gaps must grow
FOUGHT = 15.0  # for each time that a node was fought over: the next one goes around
NOBODY = -1
INFINITE = float("inf")
TURNS = tuple(tuple(turn for turn in range(4) if turn != way ^ 1) for way in range(4))


class NoWay(Exception):
    """The gaps are too narrow for these lines."""


@dataclass(frozen=True, slots=True)
class Way:
    """Nodes of one line from rim to rim, and what it cost."""

    nodes: tuple[int, ...]
    doors: tuple[Door, Door]
    cost: float


@dataclass
class _Held:
    """Who runs where: along each node from side to side, and up and down."""

    flat: list[int]
    steep: list[int]
    doors: dict[Door, int] = field(default_factory=dict)


def ways(tracks: Tracks, lines: Sequence[DrawnLine]) -> tuple[Way, ...]:
    """A way for each line, in their order.

    Raises
    ------
    NoWay
        When there is not room enough; try with more tracks in the gaps.
    """
    router = _Router(tracks, lines)
    router.lay_all()
    router.lay_again()
    return tuple(router.laid[number] for number in range(len(lines)))


class _Router:
    """Lays lines one after another and remembers who holds what; used once."""

    def __init__(self, tracks: Tracks, lines: Sequence[DrawnLine]) -> None:
        self.tracks = tracks
        self.lines = lines
        size = len(tracks.blocked)
        self.held = _Held([NOBODY] * size, [NOBODY] * size)
        self.laid: dict[int, Way] = {}
        self.fought = [0.0] * size
        self.toll = self._tolls(size)
        self.to_go = {part: _still_to_go(tracks, tracks.bounds(part)) for part in tracks.spots}
        # what it costs to come to a node from the side, or from above or below
        free = [
            INFINITE if blocked else toll
            for blocked, toll in zip(tracks.blocked, self.toll, strict=True)
        ]
        self.price = free, list(free)

    def _tolls(self, size: int) -> list[float]:
        """What it costs to pass a node that lies before doors."""
        tolls = [0.0] * size
        for doors in self.tracks.doors.values():
            for door in doors:
                tolls[door.outside] += _door_toll(door)
        return tolls

    def lay_all(self) -> None:
        """Every line once, short ones first; who is in the way is pushed aside."""
        waiting = sorted(range(len(self.lines)), key=lambda n: (self._span(n), n))
        tries = TRIES * len(self.lines)
        while waiting:
            number = waiting.pop(0)
            way = self._search(number, shared=False) or self._search(number, shared=True)
            tries -= 1
            if way is None or tries < 0:
                raise NoWay
            for other in self._in_the_way(way):
                self._take_up(other)
                waiting.append(other)
            self._lay(number, way)

    def lay_again(self) -> None:
        """Each line anew while the others lie still, until nothing gets better."""
        for _ in range(AGAIN if len(self.lines) <= MANY else 1):
            better = False
            for number in sorted(self.laid, key=lambda n: (-self.laid[n].cost, n)):
                before = self.laid[number]
                self._take_up(number)
                after = self._search(number, shared=False)
                if after is None or after.nodes == before.nodes:
                    after = before
                better |= after is not before
                self._lay(number, after)
            if not better:
                return

    def _span(self, number: int) -> float:
        line = self.lines[number]
        (x, y), (u, v) = (self.tracks.spots[end].centre for end in (line.start, line.end))
        return abs(x - u) + abs(y - v)

    def _search(self, number: int, shared: bool) -> Way | None:
        line = self.lines[number]
        doors = self.tracks.doors
        starts, ends = doors[line.start], doors[line.end]
        if line.start == line.end:  # out on top, back in at any other door
            starts, ends = starts[:1], starts[1:]
        prices = self._shared_prices() if shared else self.price
        own = {door for end in {line.start, line.end} for door in doors[end]}
        for door in own:  # no toll before one's own doors
            for price in prices:
                price[door.outside] -= _door_toll(door)
        try:
            return _Search(self, prices, shared).run(starts, ends, self.to_go[line.end])
        finally:
            for door in own:
                for price in prices:
                    price[door.outside] += _door_toll(door)

    def _shared_prices(self) -> tuple[list[float], list[float]]:
        """Prices when others may be pushed away."""
        flat, steep = (list(price) for price in self.price)
        for node, blocked in enumerate(self.tracks.blocked):
            if not blocked:
                rival = SHARED + self.fought[node] + self.toll[node]
                flat[node] = min(flat[node], rival)
                steep[node] = min(steep[node], rival)
        return flat, steep

    def _in_the_way(self, way: Way) -> tuple[int, ...]:
        """Lines that hold what this way wants; remembers where."""
        found: set[int] = set()
        for door in way.doors:
            rival = self.held.doors.get(door, NOBODY)
            if rival != NOBODY:
                self.fought[door.outside] += FOUGHT
                found.add(rival)
        for node, flat, steep in _passed(way):
            rivals = ({self.held.flat[node]} if flat else set()) | (
                {self.held.steep[node]} if steep else set()
            )
            if rivals != {NOBODY}:
                self.fought[node] += FOUGHT
            found |= rivals
        return tuple(sorted(found - {NOBODY}))

    def _lay(self, number: int, way: Way) -> None:
        self._mark(way, number)
        self.laid[number] = way

    def _take_up(self, number: int) -> None:
        self._mark(self.laid.pop(number), NOBODY)

    def _mark(self, way: Way, number: int) -> None:
        for door in way.doors:
            self.held.doors[door] = number
        for node, flat, steep in _passed(way):
            if flat:
                self.held.flat[node] = number
            if steep:
                self.held.steep[node] = number
            aside, down = self.held.flat[node] != NOBODY, self.held.steep[node] != NOBODY
            toll = self.toll[node]
            self.price[0][node] = INFINITE if aside else toll + CROSSING * down
            self.price[1][node] = INFINITE if down else toll + CROSSING * aside


def _door_toll(door: Door) -> float:
    return BESIDE_DOOR if door.aside else FOREIGN_DOOR


def _passed(way: Way) -> Iterator[tuple[int, bool, bool]]:
    """Nodes between the doors, and whether the way runs there from side to side, up and down."""
    for before, node, after in zip(way.nodes, way.nodes[1:], way.nodes[2:], strict=False):
        come, go = abs(node - before) == 1, abs(after - node) == 1
        yield node, come or go, not (come and go)


class _Search:
    """One A* search; a state is a node and the direction it was entered in."""

    def __init__(
        self, router: _Router, prices: tuple[list[float], list[float]], shared: bool
    ) -> None:
        self.tracks = router.tracks
        self.held = router.held
        self.fought = router.fought
        self.prices = prices
        self.shared = shared
        self.best: dict[int, float] = {}
        self.came: dict[int, int] = {}
        self.origin: dict[int, Door] = {}
        self.heap: list[tuple[float, int, float]] = []

    def run(
        self, starts: Sequence[Door], ends: Sequence[Door], left: tuple[list[float], ...]
    ) -> Way | None:
        """The cheapest way between any two doors."""
        self._start(starts, left)
        goals = {door.outside * 4 + door.way: door for door in ends}  # way out, as way in ^ 1
        arrived: dict[int, tuple[int, Door]] = {}
        onward, best, came, heap = self.tracks.onward, self.best, self.came, self.heap
        while heap:
            _, state, cost = heappop(heap)
            if state < 0:
                return self._way(*arrived[state], cost)
            if cost > best[state]:
                continue
            node, way = divmod(state, 4)
            for turn in TURNS[way]:
                leaving = cost if turn == way else cost + self._turning(node, way)
                door = goals.get(node * 4 + (turn ^ 1))
                if door is not None:
                    whole = leaving + 1 + ASIDE * door.aside + self._taken(door)
                    if whole < INFINITE and door.node != self._first(state).node:
                        key = -1 - node * 4 - turn
                        arrived[key] = state, door
                        heappush(heap, (whole, key, whole))
                    continue
                there = onward[node * 4 + turn]
                if there < 0:
                    continue
                after = leaving + 1 + self.prices[turn >> 1][there]
                key = there * 4 + turn
                if after < best.get(key, INFINITE):
                    best[key] = after
                    came[key] = state
                    heappush(heap, (after + left[turn >> 1][there], key, after))
        return None

    def _start(self, starts: Sequence[Door], left: tuple[list[float], ...]) -> None:
        for door in starts:
            if self.tracks.blocked[door.outside]:
                continue
            cost = ASIDE * door.aside + self._taken(door)
            cost += self.prices[door.way >> 1][door.outside]
            if cost < INFINITE:
                state = door.outside * 4 + door.way
                self.best[state] = cost
                self.origin[state] = door
                heappush(self.heap, (cost + left[door.way >> 1][door.outside], state, cost))

    def _turning(self, node: int, way: int) -> float:
        """What it costs to leave a node in another direction than one came in."""
        across = self.held.flat if way >> 1 else self.held.steep
        if across[node] == NOBODY:
            return BEND
        return BEND + SHARED + self.fought[node] if self.shared else INFINITE

    def _taken(self, door: Door) -> float:
        if self.held.doors.get(door, NOBODY) == NOBODY:
            return 0.0
        return SHARED + self.fought[door.outside] if self.shared else INFINITE

    def _first(self, state: int) -> Door:
        while state in self.came:
            state = self.came[state]
        return self.origin[state]

    def _way(self, state: int, door: Door, cost: float) -> Way:
        nodes = [door.node, state // 4]
        while state in self.came:
            state = self.came[state]
            nodes.append(state // 4)
        start = self.origin[state]
        return Way((start.node, *reversed(nodes)), (start, door), cost)


def _still_to_go(tracks: Tracks, target: tuple[int, int, int, int]) -> tuple[list[float], ...]:
    """For each node what is still to be paid at least: steps to the part's rim, and a bend.

    The first list holds for who moves from side to side, the second for up and down: whoever
    is not level with the part in the other direction must turn once more.
    """
    left, right, top, bottom = target
    aside = [max(left - x, 0, x - right) for x in range(tracks.across.count)]
    away = [max(top - y, 0, y - bottom) for y in range(tracks.down.count)]
    flat = [down + steps + (BEND if down else 0.0) for down in away for steps in aside]
    steep = [down + steps + (BEND if steps else 0.0) for down in away for steps in aside]
    return flat, steep
