"""Where the coolant stands in the tank, on the flat and on slopes, and what lies above it."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from swapwright.circuits.graph import RUN, Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.runs import way_of
from swapwright.model.pose import Point
from swapwright.physics.pockets import tilted_heights
from swapwright.quantity import Measure

SLOPE = 0.1  # rise over level distance that a car stands on now and then; common practice
ATTITUDES = {"flat": 0.0, "nose up": -SLOPE, "nose down": SLOPE}  # +x points to the rear
VENTS = ("ebl", "rbl", "over")  # families whose hoses rise into the tank and need not be filled
TOPS = ("level_low", "top_height")  # how high liquid surely stands in a tank; in a neck, its rim


@dataclass(frozen=True)
class Spot:
    """A place that has to be full of coolant."""

    id: str
    subject: str  # of whom it is told: a port, a part, a join
    label: str
    at: Point  # vehicle frame [m]
    of_engine: bool  # or a bleed: must stay below the level on a slope too


@dataclass(frozen=True)
class Levels:
    """Heights of all spots against the level."""

    tank: str  # id of the tank or neck
    level: Column  # lowest that it may stand, on the flat [m]
    spots: tuple[Spot, ...]
    depth: dict[str, dict[str, Column]]  # by attitude, by spot: how far below the level [m]

    def highest(self) -> Spot:
        """The spot that lies highest on the flat."""
        return max(self.spots, key=lambda spot: spot.at[2])

    def least_depth(self, attitude: str, *, engine_only: bool = False) -> Column:
        """Of the spot that is worst off. [m]"""
        chosen = [spot.id for spot in self.spots if spot.of_engine or not engine_only]
        return np.asarray(np.min([self.depth[attitude][name] for name in chosen], axis=0))


@dataclass(frozen=True)
class NoLevels:
    """Why nothing can be said of levels: what has to be measured."""

    subject: str
    fact: str  # or ``place``
    why: str


def filler_of(circuit: Circuit, inputs: Inputs) -> str:
    """The part whose cap the circuit is filled by: a header tank, else a filler neck; or none."""
    kinds = {
        chamber.unit: inputs.assembly.parts[chamber.unit].kind
        for name, chamber in circuit.chambers.items()
        if chamber.unit in inputs.assembly.parts and circuit.neighbours[name]
    }
    for wanted in (("header tank", "expansion tank"), ("filler neck",)):
        for unit, kind in kinds.items():
            if kind in wanted:
                return unit
    return ""


def levels(circuit: Circuit, inputs: Inputs) -> Levels | NoLevels:
    """Compare the lowest level with every spot whose place is known.

    Parameters
    ----------
    circuit : Circuit
        Its ports, parts and ways.
    inputs : Inputs
        Hands out the level as a column.
    """
    tank = filler_of(circuit, inputs)
    if not tank:
        return NoLevels(inputs.assembly.recipient, "place", "no tank or neck to fill it by")
    fact = next((each for each in TOPS if _said(each, tank, inputs)), "")
    if not fact:
        return NoLevels(tank, TOPS[0], "the lowest mark of the tank, or the rim of the neck")
    centre = _centre(tank, inputs)
    if centre is None:
        return NoLevels(tank, "place", "where the tank or neck sits")
    spots = tuple(_spots(circuit, inputs, tank))
    if not spots:
        return NoLevels(inputs.assembly.engine, "place", "the engine's highest coolant port")
    level = inputs.take(fact, tank)
    depth = {
        attitude: {spot.id: _depth(level, centre, spot.at, grade) for spot in spots}
        for attitude, grade in ATTITUDES.items()
    }
    return Levels(tank, level, spots, depth)


def _depth(level: Column, centre: Point, at: Point, grade: float) -> Column:
    """How far a spot lies below the level once the ground is tilted. [m]"""
    surface = np.column_stack(
        [np.full_like(level, centre[0]), np.full_like(level, centre[1]), level]
    )
    return np.asarray(tilted_heights(surface, grade) - tilted_heights([at], grade)[0])


def _said(fact: str, subject: str, inputs: Inputs) -> bool:
    value = inputs.said(fact, subject)
    return value is not None and isinstance(value.content, Measure)


def _centre(tank: str, inputs: Inputs) -> Point | None:
    """Middle of a tank's ports; of a neck in a hose the middle of that hose."""
    places = [
        port.position
        for port in inputs.assembly.ports.values()
        if port.owner == tank and port.position is not None
    ]
    for join in inputs.assembly.joins.values():
        if not places and tank in join.pieces:
            way = way_of(join)
            places = [*way.points] if way is not None else []
    if not places:
        return None
    x, y, z = (sum(each) / len(places) for each in zip(*places, strict=True))
    return x, y, z


def _spots(circuit: Circuit, inputs: Inputs, tank: str) -> Iterator[Spot]:
    assembly = inputs.assembly
    for name, chamber in circuit.openings.items():
        port = assembly.ports[name]
        if port.position is None or port.owner == tank or port.id in circuit.closed:
            continue
        inner = circuit.chambers[chamber]
        bleed = port.family is not None and port.family.id in VENTS
        engine = assembly.engine in (port.sheet, inner.unit)
        yield Spot(name, name, port.label, port.position, engine or bleed)
    for unit in dict.fromkeys(chamber.unit for chamber in circuit.chambers.values()):
        if unit != tank and _said("top_height", unit, inputs):
            yield from _top(unit, circuit, inputs)
    for element in circuit.of_kind(RUN):
        if not is_vent(element, inputs):
            yield from _corners(element, inputs)


def _top(unit: str, circuit: Circuit, inputs: Inputs) -> Iterator[Spot]:
    """The top of a part that says how high it reaches, over the middle of its ports."""
    content = inputs.assembly.fact(unit, "top_height").content
    places = [
        port.position
        for name, chamber in circuit.openings.items()
        if circuit.chambers[chamber].unit == unit
        and (port := inputs.assembly.ports[name]).position is not None
    ]
    if isinstance(content, Measure) and places:
        x = sum(place[0] for place in places) / len(places)
        y = sum(place[1] for place in places) / len(places)
        label = f"top of {inputs.assembly.label(unit)}"
        yield Spot(f"{unit}:top", unit, label, (x, y, content.nominal), False)


def _corners(element: Element, inputs: Inputs) -> Iterator[Spot]:
    join = inputs.assembly.joins.get(element.join)
    way = way_of(join) if join is not None else None
    if join is None or way is None or element.part_of_way[0] > 0:
        return  # a way is told once, with its first run
    highest = max(way.points[1:-1], key=lambda point: point[2], default=None)
    if highest is not None:
        label = f"highest bend of {inputs.assembly.label(join.id)}"
        yield Spot(f"{join.id}:bend", join.id, label, highest, False)


def is_vent(element: Element, inputs: Inputs) -> bool:
    """True for a hose that only leads air and a trickle of coolant into the tank."""
    for name in element.ports:
        port = inputs.assembly.ports.get(name)
        if port is not None and port.family is not None and port.family.id in VENTS:
            return True
    return False
