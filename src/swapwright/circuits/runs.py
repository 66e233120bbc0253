"""A run of hoses, pipes and adapters as pipes: lengths, bores and local losses over samples."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import acos, dist, pi

import numpy as np

from swapwright.circuits.graph import Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.model.assembly import AssembledJoin
from swapwright.model.ends import End
from swapwright.model.pose import Point, point_said
from swapwright.quantity import Measure

ADAPTER_LENGTH = 0.06  # m, of a reducer or stepped tube: common practice
QUARTER_TURN = pi / 2
ADAPTERS = ("reducer", "stepped tube", "adapter", "thread adapter")
SPIGOTS = ("barrel", "tube", "outside")  # what a hose is pushed over
BLEEDS = ("ebl", "rbl")  # families whose stubs hold a nozzle, but for the tank's own
TANKS = ("header tank", "expansion tank")
INLET, OUTLET = 0.5, 1.0  # sharp edge into a stub, and out of it into a chamber


@dataclass(frozen=True)
class Pipe:
    """One pipe of a run; local losses count on its own bore."""

    id: str
    label: str
    length: Column  # [m]
    bore: Column  # [m]
    roughness: Column  # [m]
    loss: Column  # [-]

    @property
    def volume(self) -> Column:
        """Liquid inside. [m³]"""
        return np.asarray(pi / 4 * self.bore**2 * self.length)


@dataclass(frozen=True)
class Way:
    """Corners of a run in the vehicle frame, from its start to its end. [m]"""

    points: tuple[Point, ...]

    @property
    def length(self) -> float:
        """Along the corners. [m]"""
        return sum(dist(a, b) for a, b in pairwise(self.points))

    @property
    def turns(self) -> float:
        """Sum of all bends, in quarters of a turn."""
        steps = [_step(a, b) for a, b in pairwise(self.points) if a != b]
        return sum(_angle(a, b) for a, b in pairwise(steps)) / QUARTER_TURN


def way_of(join: AssembledJoin) -> Way | None:
    """The way of a whole join, from its first end; None while a corner or an end has no place."""
    route = join.record.route
    first, last = (end.position for end in join.ends)
    if route is None or not route.via or first is None or last is None:
        return None
    corners = [point_said(spot) for spot in route.via]
    known = tuple(corner for corner in corners if corner is not None)
    return Way((first, *known, last)) if len(known) == len(corners) else None


def pipes_of(run: Element, inputs: Inputs) -> tuple[Pipe, ...]:
    """The pipes of a run in order, from its start to its end.

    Lengths come from what was cut or laid, else from the corners of the way, else from what
    is typical; bores from each hose, else from the stubs it is pushed over.
    """
    return tuple(_Run(run, inputs).pipes())


def stub_bore(port: str, subject: str, inputs: Inputs) -> Column | None:
    """Bore of the stub at a port; None where there is none, or nothing of its size was told.

    Parameters
    ----------
    port : str
        Id; empty where a run goes on into another piece.
    subject : str
        Of whom a typical wall is told.
    inputs : Inputs
        Hands out the columns.

    Returns
    -------
    bore : (S,) or None
        [m]
    """
    held = inputs.assembly.ports.get(port)
    if held is None or held.end is None:
        return None
    at_tank = inputs.assembly.parts[held.owner].kind in TANKS
    if held.family is not None and held.family.id in BLEEDS and not at_tank:
        return inputs.take("bleed_bore", port)
    return _inside(held.end, f"{port}.end", subject, inputs)


def _inside(end: End, id: str, subject: str, inputs: Inputs) -> Column | None:
    """Bore of an end: as told, else its outside less two walls."""
    bore = end.dim("bore").content
    if isinstance(bore, Measure):
        return inputs.measure(f"{id}.bore", id, "bore", bore)
    for name in SPIGOTS:
        across = end.dim(name).content
        if isinstance(across, Measure):
            outside = inputs.measure(f"{id}.{name}", id, name, across)
            wall = inputs.typical("stub_wall", subject)
            return np.maximum(outside - 2 * wall, 0.4 * outside)
    return None


class _Run:
    """Reads one run; used once."""

    def __init__(self, run: Element, inputs: Inputs) -> None:
        self.run, self.inputs = run, inputs
        assembly = inputs.assembly
        self.join = assembly.joins.get(run.join)
        self.subject = run.join or run.id
        self.stubs = tuple(stub_bore(port, self.subject, inputs) for port in run.ports)
        hoses = [piece for piece in run.pieces if self._kind(piece) not in ADAPTERS]
        self.hoses = max(len(hoses), 1)

    def pipes(self) -> Iterator[Pipe]:
        """Each piece as a pipe; steps and bends count on the bore of their piece."""
        pieces = self.run.pieces or ("",)
        bores = [self._bore(piece) for piece in pieces]
        edges = [self.stubs[0], *bores, self.stubs[1]]
        for number, piece in enumerate(pieces):
            before, own, behind = edges[number], bores[number], edges[number + 2]
            hose = self._kind(piece) not in ADAPTERS
            yield Pipe(
                self.run.id if len(pieces) == 1 else f"{self.run.id}/{number + 1}",
                self.inputs.assembly.label(piece) if piece else self.run.label,
                self._length() if hose else self.inputs.constant(ADAPTER_LENGTH),
                own,
                self._roughness(piece),
                self._loss(own, before, behind, number == 0, number == len(pieces) - 1, hose),
            )

    # -- sizes ---------------------------------------------------------------

    def _kind(self, piece: str) -> str:
        item = self.inputs.assembly.items.get(piece)
        part = self.inputs.assembly.parts.get(piece)
        return item.kind if item else part.kind if part else ""

    def _bore(self, piece: str) -> Column:
        if self._kind(piece) in ADAPTERS:
            return self._adapter_bore(piece)
        if piece and self.inputs.said("hose_bore", piece) is not None:
            return self.inputs.take("hose_bore", piece)
        for end in self._ends(piece):
            bore = end.dim("bore").content
            if isinstance(bore, Measure):
                return self.inputs.measure(f"{piece}.end.bore", piece, "bore", bore)
        return self._over_the_stub()

    def _over_the_stub(self) -> Column:
        """A hose is as wide inside as the stub that it is pushed over."""
        for port in self.run.ports:
            held = self.inputs.assembly.ports.get(port)
            for name in SPIGOTS if held is not None and held.end is not None else ():
                assert held is not None and held.end is not None
                across = held.end.dim(name).content
                if isinstance(across, Measure):
                    return self.inputs.measure(f"{port}.end.{name}", f"{port}.end", name, across)
        return self.inputs.take("hose_bore", self.subject)

    def _ends(self, piece: str) -> tuple[End, ...]:
        item = self.inputs.assembly.items.get(piece)
        return tuple(end for end in item.ends if end is not None) if item else ()

    def _adapter_bore(self, piece: str) -> Column:
        if self.inputs.said("adapter_bore", piece, self.subject) is not None:
            return self.inputs.take("adapter_bore", piece, self.subject)
        inside = [
            bore
            for number, end in enumerate(self._ends(piece))
            if (bore := self._adapter_end(piece, number, end)) is not None
        ]
        return np.minimum.reduce(inside) if inside else self._over_the_stub()

    def _adapter_end(self, piece: str, number: int, end: End) -> Column | None:
        bore = end.dim("bore").content  # of a rubber reducer: what is pushed in has a wall
        id = f"{piece}.end{number + 1}"
        if end.form == "hose end" and isinstance(bore, Measure):
            wall = self.inputs.typical("stub_wall", self.subject)
            return self.inputs.measure(f"{id}.bore", piece, "bore", bore) - 2 * wall
        return _inside(end, id, self.subject, self.inputs)

    def _length(self) -> Column:
        """Of one hose: the run's share of the join, shared by its hoses alike."""
        return self._join_length() * self._share / self.hoses

    @property
    def _share(self) -> float:
        first, last = self.run.part_of_way
        return last - first

    def _join_length(self) -> Column:
        if self.join is None:
            return self.inputs.typical("run_length", self.subject)
        for fact in ("cut_length", "route_length"):
            if self.inputs.said(fact, self.join.id) is not None:
                return self.inputs.take(fact, self.join.id)
        route = self.join.record.route
        if route is not None and isinstance(route.length.content, Measure):
            said = route.length.content
            return self.inputs.measure(f"{self.join.id}.route", self.join.id, "route_length", said)
        way = way_of(self.join)
        if way is not None:
            return self.inputs.constant(way.length)
        return self.inputs.typical("run_length", self.subject)

    def _roughness(self, piece: str) -> Column:
        if self.inputs.said("hose_roughness", piece) is not None:
            return self.inputs.take("hose_roughness", piece)
        return self.inputs.take("hose_roughness", self.subject)

    # -- losses --------------------------------------------------------------

    def _loss(
        self,
        own: Column,
        before: Column | None,
        behind: Column | None,
        first: bool,
        last: bool,
        hose: bool,
    ) -> Column:
        """Bends, the steps on either side and the chambers at the ends, on the own bore. [-]"""
        total = self._bend_losses() if hose else self.inputs.constant(0.0)
        total = total + _widening(before, own) + (_edge(INLET, before, own) if first else 0.0)
        return total + _narrowing(own, behind) + (_edge(OUTLET, behind, own) if last else 0.0)

    def _bend_losses(self) -> Column:
        way = way_of(self.join) if self.join is not None else None
        if self.join is not None and self.inputs.said("hose_bends", self.join.id) is not None:
            turns = self.inputs.take("hose_bends", self.join.id)
        elif way is not None:
            turns = self.inputs.constant(way.turns)
        else:
            turns = self.inputs.typical("bends", self.subject)
        each = self.inputs.take("bend_loss", self.subject)
        return turns * each * self._share / self.hoses


def _widening(before: Column | None, own: Column) -> Column:
    """Out of a narrower piece into this one, on this one's bore. [-]

    Between two pieces a step counts once: the wider one carries it, whichever comes first.
    """
    if before is None:
        return np.zeros_like(own)
    narrow = np.minimum(before, own)
    ratio = (narrow / own) ** 2
    return (1 - ratio) ** 2 / ratio**2


def _narrowing(own: Column, behind: Column | None) -> Column:
    """Out of this piece into a narrower one, on this one's bore. [-]"""
    if behind is None:
        return np.zeros_like(own)
    narrow = np.minimum(behind, own)
    ratio = (narrow / own) ** 2
    return 0.5 * (1 - ratio) / ratio**2


def _edge(loss: float, stub: Column | None, own: Column) -> Column:
    """A loss on the bore of a stub, or of this piece where there is none, on the own bore. [-]"""
    return np.full_like(own, loss) if stub is None else loss * (own / stub) ** 4


def _step(a: Point, b: Point) -> Point:
    length = dist(a, b)
    return ((b[0] - a[0]) / length, (b[1] - a[1]) / length, (b[2] - a[2]) / length)


def _angle(a: Point, b: Point) -> float:
    dot = sum(x * y for x, y in zip(a, b, strict=True))
    return acos(max(-1.0, min(1.0, dot)))
