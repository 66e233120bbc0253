"""The coolant circuit of one build in one case: flows, temperatures and heats over samples."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.conditions import Conditions
from swapwright.circuits.coolant_links import Laid, Setting, laid_out, thermostat_link
from swapwright.circuits.graph import Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.radiator import ARRANGEMENT, Radiator
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.physics.advection import (
    Carried,
    Change,
    Exchanging,
    Heated,
    Relaxing,
    Unchanged,
    carried_temperatures,
)
from swapwright.physics.exchangers import effectiveness
from swapwright.physics.liquids import LiquidState, Mixture
from swapwright.physics.network import Network, Solution, solve
from swapwright.physics.thermostat import balance, opening

FIRST_GUESS = 368.15  # K, of all coolant once it is warm
PASSES = 2  # over the liquid's temperature; its properties move little after the first
HOTTEST_KNOWN = 403.15  # K: beyond, properties are those at this temperature, and marked
COLDEST_KNOWN = 233.15  # K
RESIDUAL = 0.1  # K, beyond which a sample counts as not converged
NO_REST = 1.0e4  # K: stands for a circuit that never comes to rest


@dataclass(frozen=True)
class State:
    """What one case comes to; arrays over samples."""

    case: Conditions
    circuit: Circuit
    laid: Laid
    flows: Mapping[str, Column]  # by element, from its start to its end [m³/s]
    pressures: Mapping[str, Column]  # by chamber, over that of the reference, heights left out [Pa]
    temperatures: Mapping[str, Column]  # by chamber [K]
    heats: Mapping[str, Column]  # by element, taken up by the coolant [W]
    openings: Mapping[str, Column]  # of thermostats [-]
    air_flow: Column  # through the radiator [m³/s]
    residual: Column  # of the balance of thermostat and heat [K]
    converged: NDArray[np.bool_]
    extrapolated: NDArray[np.bool_]

    def hottest(self) -> Column:
        """Of all chambers that something flows through. [K]"""
        return np.asarray(np.max(list(self.temperatures.values()), axis=0))


def reference_of(circuit: Circuit) -> str:
    """The chamber whose pressure the cap sets: the header tank, else the radiator's inlet."""
    tanks = [each for each in circuit.chambers.values() if each.name == "tank"]
    joined = [each.id for each in tanks if circuit.neighbours[each.id]]
    if joined:
        return joined[0]
    upper = [each.id for each in circuit.chambers.values() if each.name == "upper"]
    return upper[0] if upper else next(iter(circuit.chambers))


def state_in(
    case: Conditions, circuit: Circuit, inputs: Inputs, upset: Upset = NOTHING_UPSET
) -> State:
    """Solve one case.

    Parameters
    ----------
    case : Conditions
        Speed, power, air, fan and heater.
    circuit : Circuit
        What is joined to what.
    inputs : Inputs
        Hands out the columns.
    upset : Upset
        What departs from the case.

    Raises
    ------
    ValueError
        If the circuit lacks something that no flow can do without; see ``lacks``.
    """
    return _Solving(upset_case(case, upset), circuit, inputs, upset).done()


def upset_case(case: Conditions, upset: Upset) -> Conditions:
    """The case as the upset leaves it; pump, thermostat, core and cap stay with the upset."""
    return replace(
        case,
        fan_voltage=case.fan_voltage * upset.fan_speed,
        fan_on=case.fan_on and upset.fan_speed > 0,
        heater_open=case.heater_open and not upset.heater_shut,
    )


class _Solving:
    """Solves one case; used once."""

    def __init__(self, case: Conditions, circuit: Circuit, inputs: Inputs, upset: Upset) -> None:
        self.case, self.circuit, self.inputs, self.upset = case, circuit, inputs, upset
        speed = case.speed_ratio * upset.pump_speed
        self.laid = laid_out(
            circuit, inputs, Setting(speed, case.heater_open, core_share=upset.core_share)
        )
        share = inputs.take("coolant_glycol_share", inputs.assembly.build.id)
        self.mixture = Mixture("ethylene", np.clip(share, 0.0, 0.7))
        self.network = self._network()
        self.chambers = list(self.network.nodes)
        cores = circuit.of_kind("core")
        self.radiators = {each.id: Radiator(each, inputs, upset) for each in cores}
        self.faces = {name: each.face(case) for name, each in self.radiators.items()}
        self.thermostats = circuit.of_kind("thermostat")
        self.start: Solution | None = None
        self.liquid = self._liquid(case.coolant)

    # -- flow ------------------------------------------------------------------

    def _network(self) -> Network:
        reached = self.circuit.reached_from(reference_of(self.circuit))
        elements = [each for each in self.circuit.elements.values() if each.start in reached]
        links = {name: self.laid.links[name] for each in elements for name in self._names(each)}
        used = {node for link in links.values() for node in (link.start, link.end)}
        nodes = [node for node in self.laid.nodes if node in used]
        return Network(nodes, links, {reference_of(self.circuit): 0.0})

    def _names(self, element: Element) -> tuple[str, ...]:
        return self.laid.of_element[element.id]

    def _liquid(self, temperature: Column | None) -> LiquidState:
        kelvin = self.inputs.constant(FIRST_GUESS) if temperature is None else temperature
        return self.mixture.at(np.clip(kelvin, COLDEST_KNOWN, HOTTEST_KNOWN))

    def _flow(self, openings: Mapping[str, Column]) -> Solution:
        links = {
            each.id: thermostat_link(each, self.laid.thermostats[each.id], openings[each.id])
            for each in self.thermostats
            if each.id in self.network.links
        }
        network = self.network.changed(links) if links else self.network
        found = solve(network, self.liquid.density, self.liquid.viscosity, start=self.start)
        self.start = found
        return found

    # -- heat ------------------------------------------------------------------

    def _carried(self, flow: Solution) -> Carried:
        names = list(self.network.links)
        place = {node: number for number, node in enumerate(self.network.nodes)}
        rate = flow.volume_flow * self.liquid.density * self.liquid.heat_capacity
        element_of = {name: each for each in self.laid.of_element for name in self._links(each)}
        changes = [
            self._change(self.circuit.elements[element_of[name]], np.abs(rate[number]))
            for number, name in enumerate(names)
        ]
        return carried_temperatures(
            len(place),
            [place[self.network.links[name].start] for name in names],
            [place[self.network.links[name].end] for name in names],
            rate,
            changes,
            self.case.air,
        )

    def _links(self, element: str) -> tuple[str, ...]:
        return self.laid.of_element[element]

    def _change(self, element: Element, rate: Column) -> Change:
        if element.kind == "jacket":
            return Heated(self._engine_heat(element.subject))
        if element.kind == "oil exchanger":
            return Heated(self._oil_heat())
        if element.kind == "core":
            return self._radiator_change(element.id, rate)
        if element.kind == "matrix" and self.case.heater_open:
            car = element.subject.partition(".")[0]
            conductance = self.inputs.take("heater_conductance", element.subject, car)
            return Relaxing(conductance, self.case.air)
        return Unchanged()

    def _engine_heat(self, engine: str) -> Column:
        """Straight from what idling gives to what rated power gives. [W]"""
        rated = self.inputs.take("coolant_heat_ratio", engine) * self.case.rated_power
        idle = self.inputs.take("idle_heat_share", engine)
        return rated * (idle + (1 - idle) * self.case.power_share)

    def _oil_heat(self) -> Column:
        engine = self.inputs.assembly.engine
        return self.inputs.take("oil_heat_ratio", engine) * self.case.power

    def _radiator_change(self, name: str, rate: Column) -> Change:
        face = self.faces[name]
        flow = rate / (self.liquid.density * self.liquid.heat_capacity)
        conductance = self.radiators[name].conductance(face, flow, self.liquid)
        least = np.minimum(rate, face.capacity_rate)
        most = np.maximum(rate, face.capacity_rate)
        floor = np.maximum(least, 1e-9)
        share = effectiveness(ARRANGEMENT, conductance / floor, least / np.maximum(most, 1e-9))
        return Exchanging(share, face.capacity_rate, face.inlet)

    # -- both together ---------------------------------------------------------

    def _openings(self, temperature: Column) -> dict[str, Column]:
        if self.upset.stuck is not None:
            stands = np.full(self.inputs.size, self.upset.stuck)
            return {each.id: stands for each in self.thermostats}
        return {each.id: opening(temperature, *self._span(each)) for each in self.thermostats}

    def _span(self, element: Element) -> tuple[Column, Column]:
        starts = self.inputs.take("thermostat_temperature", element.subject)
        full = self.inputs.take("thermostat_full_open", element.subject)
        return starts, np.maximum(full, starts + 1.0)

    def done(self) -> State:
        """Flow alone where the case gives the coolant's temperature; else with the heat."""
        if self.case.coolant is not None:
            return self._given(self.case.coolant)
        if not self.thermostats or self.upset.stuck is not None:
            return self._without_balance()
        spans = [self._span(each) for each in self.thermostats]
        lowest = np.min([starts for starts, _ in spans], axis=0)
        highest = np.max([full for _, full in spans], axis=0)
        found = balance(self._answer, lowest, highest)
        for _ in range(PASSES - 1):
            self.liquid = self._liquid(self._mean(self._at(found.temperature)[1]))
            found = balance(self._answer, lowest, highest)
        flow, carried = self._at(found.temperature)
        left = self._sensed(flow, carried) - found.temperature
        moves = (found.temperature > lowest) & (found.temperature < highest)
        residual = np.where(moves, left, 0.0)
        return self._state(flow, carried, self._openings(found.temperature), residual)

    def _given(self, temperature: Column) -> State:
        openings = self._openings(temperature)
        flow = self._flow(openings)
        alike = np.broadcast_to(temperature, (len(self.network.nodes), self.inputs.size))
        nothing = np.zeros((len(self.network.links), self.inputs.size))
        good = np.ones(self.inputs.size, dtype=bool)
        carried = Carried(alike, nothing + temperature, nothing + temperature, nothing, good)
        return self._state(flow, carried, openings, self.inputs.constant(0.0))

    def _without_balance(self) -> State:
        """Where no thermostat moves, nothing has to be in balance with what it senses."""
        stands = self.inputs.constant(FIRST_GUESS)
        for _ in range(PASSES):
            self.liquid = self._liquid(self._mean(self._at(stands)[1]))
        openings = self._openings(stands)
        return self._state(*self._at(stands), openings, self.inputs.constant(0.0))

    def _answer(self, temperature: Column) -> Column:
        return self._sensed(*self._at(temperature))

    def _sensed(self, flow: Solution, carried: Carried) -> Column:
        """Of the chamber that moves the thermostat; a circuit that finds no rest is hot. [K]"""
        node = self.chambers.index(self.thermostats[0].senses)
        usable = carried.settled & flow.converged
        return np.where(usable, np.minimum(carried.nodes[node], NO_REST), NO_REST)

    def _at(self, temperature: Column) -> tuple[Solution, Carried]:
        flow = self._flow(self._openings(temperature))
        return flow, self._carried(flow)

    def _mean(self, carried: Carried) -> Column:
        return np.asarray(np.mean(np.minimum(carried.nodes, NO_REST), axis=0))

    def _state(
        self,
        flow: Solution,
        carried: Carried,
        openings: Mapping[str, Column],
        residual: Column,
    ) -> State:
        place = {node: number for number, node in enumerate(self.network.nodes)}
        links = {name: number for number, name in enumerate(self.network.links)}
        known = [name for name in self.circuit.chambers if name in place]
        of_element = {name: held for name, held in self.laid.of_element.items() if held[0] in links}
        temperatures = np.where(carried.settled, carried.nodes, np.inf)
        outside = (carried.nodes > HOTTEST_KNOWN).any(axis=0)
        return State(
            self.case,
            self.circuit,
            self.laid,
            {name: flow.volume_flow[links[held[0]]] for name, held in of_element.items()},
            {name: flow.pressure[place[name]] for name in known},
            {name: temperatures[place[name]] for name in known},
            {
                name: sum((carried.heat[links[each]] for each in held), np.zeros(self.inputs.size))
                for name, held in of_element.items()
            },
            openings,
            next((face.flow.total for face in self.faces.values()), self.inputs.constant(0.0)),
            residual,
            flow.converged & (np.abs(residual) <= RESIDUAL),
            flow.extrapolated | outside | self.liquid.extrapolated,
        )
