"""Curves of a coolant circuit: pump against all that resists it, heat against what air takes."""

from dataclasses import dataclass

import numpy as np

from swapwright.circuits.coolant import FIRST_GUESS, reference_of, state_in
from swapwright.circuits.coolant_links import Setting, laid_out, thermostat_link
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.study import CaseResult, CoolantStudy
from swapwright.circuits.upset import Upset
from swapwright.physics.links import Pump
from swapwright.physics.liquids import Mixture
from swapwright.physics.network import Network, solve

PLACES = 11
REACH = 1.25  # of the flow where both meet, to which the curves are drawn
HOTTEST = 403.15  # K


@dataclass(frozen=True)
class Against:
    """Two curves over the same places, all samples."""

    places: tuple[float, ...]
    one: tuple[Column, ...]  # at each place
    other: tuple[Column, ...]


def pump_against_circuit(study: CoolantStudy, result: CaseResult, inputs: Inputs) -> Against | None:
    """Pressure that the pump makes and that the rest of the circuit takes, over its flow.

    Parameters
    ----------
    study : CoolantStudy
        Of the circuit.
    result : CaseResult
        Its speed and the opening of its thermostats hold.
    inputs : Inputs
        Those of the study.

    Returns
    -------
    curves : Against or None
        Places in m³/s, both curves in Pa; None where the pump stands still or is not alone.

    Notes
    -----
    The circuit's curve is the network without its pump, from which a flow is drawn at the pump's
    inlet and to which it is fed at its outlet.
    """
    pumps = study.circuit.of_kind("pump")
    state = result.state
    if len(pumps) != 1 or pumps[0].id not in state.flows:
        return None
    pump = pumps[0]
    flow = float(np.median(state.flows[pump.id][state.converged]))
    laid = laid_out(study.circuit, inputs, Setting(state.case.speed_ratio, state.case.heater_open))
    link = laid.links[pump.id]
    if flow <= 0 or not isinstance(link, Pump):
        return None
    reference = reference_of(study.circuit)
    reached = study.circuit.reached_from(reference)
    links = {
        name: laid.links[name]
        for element in study.circuit.elements.values()
        if element.start in reached and element.id != pump.id
        for name in laid.of_element[element.id]
    }
    for element in study.circuit.of_kind("thermostat"):
        if element.id in links:
            opened = state.openings[element.id]
            links[element.id] = thermostat_link(element, laid.thermostats[element.id], opened)
    share = np.clip(inputs.take("coolant_glycol_share", inputs.assembly.build.id), 0.0, 0.7)
    warm = FIRST_GUESS if state.case.coolant is None else state.case.coolant
    liquid = Mixture("ethylene", share).at(warm)
    used = {node for each in links.values() for node in (each.start, each.end)}
    nodes = [node for node in laid.nodes if node in used]
    places = tuple(float(each) for each in np.linspace(0.0, REACH * flow, PLACES))
    rises, drops = list[Column](), list[Column]()
    for place in places:
        taken = {pump.start: place, pump.end: -place}
        drawn = {node: flow for node, flow in taken.items() if node != reference}
        network = Network(nodes, links, {reference: 0.0}, drawn)
        found = solve(network, liquid.density, liquid.viscosity)
        drops.append(found.pressure_at(pump.end) - found.pressure_at(pump.start))
        speed = np.maximum(np.asarray(link.speed_ratio), 1e-9)
        fall, _ = link.curve.fall(place / speed)
        thickness = liquid.density / link.curve.density
        rises.append((link.curve.shut_off - fall) * speed**2 * thickness + inputs.constant(0.0))
    return Against(places, tuple(rises), tuple(drops))


def heat_against_radiator(
    study: CoolantStudy, result: CaseResult, inputs: Inputs
) -> Against | None:
    """Heat that comes, and that the air takes from coolant so hot, the thermostat fully open.

    Returns
    -------
    curves : Against or None
        Places in K where coolant leaves the head, curves in W; what comes first. None where no
        balance was asked for.
    """
    state = result.state
    head = next((each.id for each in study.circuit.chambers.values() if each.name == "head"), "")
    if state.case.coolant is not None or head not in state.temperatures:
        return None
    kinds = {name: element.kind for name, element in study.circuit.elements.items()}
    coming = sum(
        (heat for name, heat in state.heats.items() if kinds[name] in ("jacket", "oil exchanger")),
        inputs.constant(0.0),
    )
    # with the thermostat fully open what goes is straight in the excess over the air
    opened = state_in(state.case, study.circuit, inputs, Upset(stuck=1.0))
    hot = opened.temperatures[head]
    excess = np.where(np.isfinite(hot), hot - state.case.air, np.inf)
    start = float(np.median(state.case.air))
    places = tuple(float(each) for each in np.linspace(start, HOTTEST, PLACES))
    gives = tuple(coming * np.maximum(place - state.case.air, 0.0) / excess for place in places)
    return Against(places, tuple(coming for _ in places), gives)
