"""High points of hoses in which air collects, and whether the flow carries it past them."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from math import atan2, dist, hypot

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.coolant import State
from swapwright.circuits.graph import RUN, Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.levels import is_vent
from swapwright.circuits.runs import Way, pipes_of, way_of
from swapwright.physics.pockets import carrying_velocity, high_points

TOLD_FROM = 0.015  # m of rise over the lower side: less is no trap; common practice


@dataclass(frozen=True)
class Trap:
    """A high point of a hose without a bleed."""

    element: str
    join: str
    label: str
    along: float  # distance from the start of the hose's way [m]
    height: float  # [m]
    rise: float  # over the lower of the two sides that hold it [m]
    volume: float  # of air that it holds [m³]
    bore: Column  # [m]
    falls: tuple[float, float]  # beyond it towards the end, and back towards the start [rad]


def traps(circuit: Circuit, inputs: Inputs) -> tuple[Trap, ...]:
    """High points of all hoses whose way is known, vents to the tank left out."""
    return tuple(
        trap
        for element in circuit.of_kind(RUN)
        if not is_vent(element, inputs)
        for trap in _of_run(element, inputs)
    )


def unknown_ways(circuit: Circuit, inputs: Inputs) -> tuple[Element, ...]:
    """Hoses of which nobody can tell where they rise, as their way is not told."""
    return tuple(
        element
        for element in circuit.of_kind(RUN)
        if not is_vent(element, inputs)
        and (element.join not in inputs.assembly.joins
             or way_of(inputs.assembly.joins[element.join]) is None)
    )  # fmt: skip


def _of_run(element: Element, inputs: Inputs) -> Iterator[Trap]:
    join = inputs.assembly.joins.get(element.join)
    way = way_of(join) if join is not None else None
    if join is None or way is None:
        return
    pipes = pipes_of(element, inputs)
    bore = np.max([pipe.bore for pipe in pipes], axis=0)
    first, last = (share * way.length for share in element.part_of_way)
    for point in high_points(way.points, float(np.median(bore))):
        if point.prominence >= TOLD_FROM and first <= point.along <= last:
            label = inputs.assembly.label(join.id)
            falls = _falls(way, point.along)
            yield Trap(element.id, join.id, label, point.along, point.height, point.prominence,
                       point.volume, bore, falls)  # fmt: skip


def _falls(way: Way, along: float) -> tuple[float, float]:
    """How steeply the way falls on either side of a high point. [rad]"""
    passed, here, sides = 0.0, along, [0.0, 0.0]
    for one, other in pairwise(way.points):
        length = dist(one, other)
        level = hypot(other[0] - one[0], other[1] - one[1])
        angle = atan2(abs(other[2] - one[2]), level)
        if passed + length <= here + 1e-9:
            sides[1] = angle  # the last piece before it
        elif passed >= here - 1e-9:
            sides[0] = angle
            break
        passed += length
    return sides[0], sides[1]


def carried(trap: Trap, state: State, inputs: Inputs) -> NDArray[np.bool_]:
    """Samples in which the flow of a case carries a pocket past the high point.

    The law's band is wide below 50 mm; where in it the truth lies is an input like any other.
    """
    flow = state.flows[trap.element]
    fall = np.where(flow >= 0, *(np.full(flow.shape, angle) for angle in trap.falls))
    needed = carrying_velocity(trap.bore, fall)
    place = inputs.typical("pocket_law", inputs.assembly.recipient)
    low, high = needed.low, needed.high
    wanted = np.where(
        place < 0.5,
        low + 2 * place * (needed.likely - low),
        needed.likely + (2 * place - 1) * (high - needed.likely),
    )
    return np.asarray(velocity(trap, state) >= wanted)


def velocity(trap: Trap, state: State) -> Column:
    """Of the flow at the high point. [m/s]"""
    return np.abs(state.flows[trap.element]) / (np.pi / 4 * trap.bore**2)
