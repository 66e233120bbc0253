"""The coolant circuit of one build in one case: flows, temperatures and heats over samples."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.conditions import Conditions
from swapwright.circuits.coolant_links import Laid, Setting, laid_out, thermostat_link
from swapwright.circuits.graph import Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.radiator import ARRANGEMENT, Face, Radiator, WarmedCore
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.physics.advection import (
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

Samples = NDArray[np.intp]

HEATING = ("jacket", "oil exchanger")
FIRST_GUESS = 368.15  # K, of all coolant once it is warm
MEAN_BELOW = 5.0  # K by which all coolant is first taken to be cooler than what is sensed
PASSES = 12  # over the liquid's temperature, where no thermostat regulates it
GENTLEST = -0.4  # K per K: a slope from which a secant step is trusted
LEAVING = 1.0  # K from the end of a thermostat's span: where it may not regulate
NEAR_ENOUGH = 0.1  # K: properties of the liquid at that distance move no answer by 0.02 K
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
    """The chamber whose pressure the cap sets: header tank, filler neck, else radiator's inlet.

    Only what hangs together with the pump counts; where none of them does, the pump's inlet.
    """
    pumps = circuit.of_kind("pump")
    reached = circuit.reached_from(pumps[0].start) if pumps else frozenset(circuit.chambers)
    for name in ("tank", "neck", "upper"):
        for chamber in circuit.chambers.values():
            joined = circuit.neighbours[chamber.id] and chamber.id in reached
            if chamber.name == name and joined:
                return chamber.id
    return pumps[0].start if pumps else next(iter(circuit.chambers))


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
    """Solves one case; used once.

    Every sample keeps the flows and temperatures of its last trial, and the temperature at which
    the liquid's properties were taken for it.
    """

    def __init__(self, case: Conditions, circuit: Circuit, inputs: Inputs, upset: Upset) -> None:
        self.case, self.circuit, self.inputs, self.upset = case, circuit, inputs, upset
        speed = case.speed_ratio * upset.pump_speed
        setting = Setting(speed, case.heater_open, core_share=upset.core_share)
        self.laid = laid_out(circuit, inputs, setting)
        share = inputs.take("coolant_glycol_share", inputs.assembly.build.id)
        self.mixture = Mixture("ethylene", np.clip(share, 0.0, 0.7))
        self.network = self._network()
        self.chambers = list(self.network.nodes)
        self.thermostats = circuit.of_kind("thermostat")
        self.spans = {each.id: self._span(each) for each in self.thermostats}
        self.everything = np.arange(inputs.size)
        self.cores = self._cores()
        self.changes = self._changes()
        self.powers = {each.id: self._power(each) for each in self.changes if each.kind in HEATING}
        self.losses = {each.id: self._loss(each) for each in self.changes if each.kind == "matrix"}
        self.place = {node: number for number, node in enumerate(self.network.nodes)}
        ends = [
            (self.place[each.start], self.place[each.end]) for each in self.network.links.values()
        ]
        self.starts, self.ends = [each for each, _ in ends], [each for _, each in ends]
        # of every sample's last trial
        self.flow: Solution | None = None
        self.nodes = np.full((len(self.network.nodes), inputs.size), np.nan)
        self.heat = np.full((len(self.network.links), inputs.size), np.nan)
        self.settled = np.zeros(inputs.size, dtype=bool)
        self.opened = {each.id: inputs.constant(upset.stuck or 0.0) for each in self.thermostats}
        self.warmth = inputs.constant(FIRST_GUESS)
        self.below = inputs.constant(MEAN_BELOW)  # how far all coolant is below what is sensed [K]
        self.liquid = self._liquid()

    def done(self) -> State:
        """Flow alone where the case gives the coolant's temperature; else with the heat."""
        if self.case.coolant is not None:
            return self._given(self.case.coolant)
        if not self.thermostats or self.upset.stuck is not None:
            self._sense(self.inputs.constant(FIRST_GUESS), self.everything)
            self._soften(self.everything)
            return self._state(self.inputs.constant(0.0))
        places = list(dict.fromkeys(each.senses for each in self.thermostats))
        return self._state(self._balanced(places, self.everything))

    # -- flow ------------------------------------------------------------------

    def _network(self) -> Network:
        reached = self.circuit.reached_from(reference_of(self.circuit))
        elements = [each for each in self.circuit.elements.values() if each.start in reached]
        links = {
            name: self.laid.links[name]
            for each in elements
            for name in self.laid.of_element[each.id]
        }
        used = {node for link in links.values() for node in (link.start, link.end)}
        nodes = [node for node in self.laid.nodes if node in used]
        return Network(nodes, links, {reference_of(self.circuit): 0.0})

    def _liquid(self) -> LiquidState:
        return self.mixture.at(np.clip(self.warmth, COLDEST_KNOWN, HOTTEST_KNOWN))

    def _flow(self, samples: Samples) -> None:
        """Solve these samples anew, with the openings and the liquid that they have now."""
        valves = {
            each.id: thermostat_link(each, self.laid.thermostats[each.id], self.opened[each.id])
            for each in self.thermostats
            if each.id in self.network.links
        }
        network = self.network.changed(valves) if valves else self.network
        density, viscosity = self.liquid.density, self.liquid.viscosity
        only = None if self.flow is None else samples
        self.flow = solve(network, density, viscosity, start=self.flow, only=only)

    # -- heat ------------------------------------------------------------------

    def _cores(self) -> dict[str, tuple[Face, WarmedCore]]:
        cores = {}
        for each in self.circuit.of_kind("core"):
            radiator = Radiator(each, self.inputs, self.upset)
            face = radiator.face(self.case)
            cores[each.id] = face, radiator.warmed(face)
        return cores

    def _changes(self) -> list[Element]:
        """The element that each link is a piece of."""
        of_link = {
            name: self.circuit.elements[element]
            for element, names in self.laid.of_element.items()
            for name in names
        }
        return [of_link[name] for name in self.network.links]

    def _carry(self, samples: Samples) -> None:
        """Temperatures that the flow of these samples comes to."""
        assert self.flow is not None
        capacity = self.liquid.density[samples] * self.liquid.heat_capacity[samples]
        rate = np.nan_to_num(self.flow.volume_flow[:, samples]) * capacity
        changes = [
            self._change(element, one, samples)
            for element, one in zip(self.changes, np.abs(rate), strict=True)
        ]
        carried = carried_temperatures(
            len(self.chambers), self.starts, self.ends, rate, changes, self.case.air[samples]
        )
        self.nodes[:, samples], self.heat[:, samples] = carried.nodes, carried.heat
        self.settled[samples] = carried.settled & self.flow.converged[samples]

    def _change(self, element: Element, rate: Column, samples: Samples) -> Change:
        if element.id in self.powers:
            return Heated(self.powers[element.id][samples])
        if element.kind == "core":
            return self._radiator_change(element.id, rate, samples)
        if element.id in self.losses and self.case.heater_open:
            return Relaxing(self.losses[element.id][samples], self.case.air[samples])
        return Unchanged()

    def _power(self, element: Element) -> Column:
        """Heat that an element gives the coolant. [W]

        The jacket's goes straight from what idling gives to what rated power gives.
        """
        take = self.inputs.take
        if element.kind == "oil exchanger":
            return take("oil_heat_ratio", self.inputs.assembly.engine) * self.case.power
        rated = take("coolant_heat_ratio", element.subject) * self.case.rated_power
        idle = take("idle_heat_share", element.subject)
        return rated * (idle + (1 - idle) * self.case.power_share)

    def _loss(self, element: Element) -> Column:
        """Conductance of a heater matrix to the air of the cabin. [W/K]"""
        car = element.subject.partition(".")[0]
        return self.inputs.take("heater_conductance", element.subject, car)

    def _radiator_change(self, name: str, rate: Column, samples: Samples) -> Change:
        face, core = self.cores[name]
        liquid = self.liquid.taken(samples)
        flow = rate / (liquid.density * liquid.heat_capacity)
        conductance = core.taken(samples).conductance(flow, liquid)
        air = face.capacity_rate[samples]
        least, most = np.minimum(rate, air), np.maximum(rate, air)
        floor = np.maximum(least, 1e-9)
        share = effectiveness(ARRANGEMENT, conductance / floor, least / np.maximum(most, 1e-9))
        return Exchanging(share, air, face.inlet[samples])

    # -- both together ---------------------------------------------------------

    def _span(self, element: Element) -> tuple[Column, Column]:
        starts = self.inputs.take("thermostat_temperature", element.subject)
        full = self.inputs.take("thermostat_full_open", element.subject)
        return starts, np.maximum(full, starts + 1.0)

    def _open(self, temperature: Column, samples: Samples, place: str) -> None:
        """Set the thermostats that sense one place as they stand at a temperature there."""
        for each in self.thermostats:
            if each.senses == place:
                starts, full = self.spans[each.id]
                self.opened[each.id][samples] = opening(temperature, starts[samples], full[samples])

    def _balanced(self, places: Sequence[str], samples: Samples) -> Column:
        """Residual of these samples in balance at all places. [K]

        Thermostats that sense several places are balanced one place within the other: while the
        outer one is tried, the inner ones find their own balance.
        """
        place, *inner = places
        senses = [self.spans[each.id] for each in self.thermostats if each.senses == place]
        starts = np.min([low for low, _ in senses], axis=0)[samples]
        full = np.max([high for _, high in senses], axis=0)[samples]
        left = np.zeros(len(samples))

        def answer(temperature: Column, some: Samples) -> Column:
            those = samples[some]
            self._open(temperature, those, place)
            if inner:
                left[some] = self._balanced(inner, those)
            else:
                self._sense(temperature, those)
            beyond = self._sensed(place, those) - temperature
            leaves = (temperature >= full[some]) & (beyond > -LEAVING)
            leaves |= (temperature <= starts[some]) & (beyond < LEAVING)
            self._soften(those[leaves])
            sensed = self._sensed(place, those)
            ends = temperature >= full[some]
            self.below[those[ends]] = sensed[ends] - self._mean(those[ends])
            return sensed

        found = balance(answer, starts, full)
        return np.where(np.abs(left) > np.abs(found.residual), left, found.residual)

    def _sense(self, temperature: Column, samples: Samples) -> None:
        """Flow and heat with the liquid as warm as it is likely to be at a sensed temperature."""
        self.warmth[samples] = temperature - self.below[samples]
        self._try(samples)

    def _try(self, samples: Samples) -> None:
        self.liquid = self._liquid()
        self._flow(samples)
        self._carry(samples)

    def _soften(self, samples: Samples) -> None:
        """Where nothing regulates, take the liquid as warm as it comes out.

        Plain repetition swings for long where tubes are between laminar and turbulent flow, so the
        step is the secant's.
        """
        warm, short = self.warmth[samples], self._mean(samples) - self.warmth[samples]
        step = short
        for _ in range(PASSES):
            # a circuit without rest has no temperature to take properties at
            stay = self.settled[samples] & (np.abs(short) > NEAR_ENOUGH)
            samples, warm, short, step = samples[stay], warm[stay], short[stay], step[stay]
            if not len(samples):
                return
            tried = np.clip(warm + step, COLDEST_KNOWN, HOTTEST_KNOWN)
            self.warmth[samples] = tried
            self._try(samples)
            left = self._mean(samples) - tried
            with np.errstate(divide="ignore", invalid="ignore"):
                slope = (left - short) / (tried - warm)
            falls = np.isfinite(slope) & (slope < GENTLEST)
            step = np.where(falls, -left / np.where(falls, slope, -1.0), left)
            warm, short = tried, left

    def _mean(self, samples: Samples) -> Column:
        warm = np.mean(np.minimum(self.nodes[:, samples], NO_REST), axis=0)
        return np.asarray(np.clip(np.nan_to_num(warm), COLDEST_KNOWN, HOTTEST_KNOWN))

    def _sensed(self, place: str, samples: Samples) -> Column:
        """Of the chamber that moves the thermostat; a circuit that finds no rest is hot. [K]"""
        node = self.nodes[self.place[place], samples]
        return np.where(self.settled[samples], np.minimum(node, NO_REST), NO_REST)

    def _given(self, temperature: Column) -> State:
        if self.upset.stuck is None:
            for each in self.thermostats:
                self._open(temperature, self.everything, each.senses)
        self.warmth[:] = temperature
        self.liquid = self._liquid()
        self._flow(self.everything)
        self.nodes[:] = temperature
        self.heat[:] = 0.0
        self.settled[:] = True
        return self._state(self.inputs.constant(0.0))

    def _state(self, residual: Column) -> State:
        assert self.flow is not None
        links = {name: number for number, name in enumerate(self.network.links)}
        known = [name for name in self.circuit.chambers if name in self.place]
        of_element = {name: held for name, held in self.laid.of_element.items() if held[0] in links}
        temperatures = np.where(self.settled, self.nodes, np.inf)
        outside = (self.nodes > HOTTEST_KNOWN).any(axis=0)
        return State(
            self.case,
            self.circuit,
            self.laid,
            {name: self.flow.volume_flow[links[held[0]]] for name, held in of_element.items()},
            {name: self.flow.pressure[self.place[name]] for name in known},
            {name: temperatures[self.place[name]] for name in known},
            {
                name: sum((self.heat[links[each]] for each in held), np.zeros(self.inputs.size))
                for name, held in of_element.items()
            },
            dict(self.opened),
            next((face.flow.total for face, _ in self.cores.values()), self.inputs.constant(0.0)),
            residual,
            self.flow.converged & (np.abs(residual) <= RESIDUAL),
            self.flow.extrapolated | outside | self.liquid.extrapolated,
        )
