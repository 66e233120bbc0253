"""How much liquid the circuit holds, and what pressure it comes to when it is hot."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.coolant import HOTTEST_KNOWN, State, reference_of
from swapwright.circuits.graph import Circuit
from swapwright.circuits.inputs import Column, Inputs
from swapwright.physics.air import standard_atmosphere
from swapwright.physics.boiling import boiling_temperature, vapour_pressure
from swapwright.physics.liquids import thermal_growth
from swapwright.physics.tanks import ClosedVessel, VesselState, settled
from swapwright.quantity import Measure

GRAVITY = 9.80665  # m/s²
FILLED_AT = 293.15  # K; common practice: filled cold
VACUUM_OPENS = 5e3  # Pa below the air outside, in a cap with a vacuum valve; from memory
LEAKY_CAP = 2e3  # Pa at which a cap that does not hold lets go; from memory
HOLDING = {
    "suction": "",
    "upper": "radiator_volume",
    "supply": "heater_volume",
    "tank": "tank_fill",
}  # chamber that tells a thing, and what it typically holds
BOTTLE = 0.5e-3  # m³ in a recovery bottle; common practice
ONE_BAR = 1e5  # Pa


@dataclass(frozen=True)
class Filled:
    """The filled circuit, cold."""

    liquid: Column  # all of it [m³]
    air: Column  # above it in the tank [m³]
    share: Column  # of glycol [-]
    cap: Column  # gauge pressure at which the cap opens [Pa]
    give: Column  # room that hoses give for pressure [m³/Pa]
    bottle: bool
    vacuum_valve: bool


@dataclass(frozen=True)
class Pressed:
    """Pressures of one case; gauge unless said."""

    tank: VesselState
    tank_gauge: Column  # [Pa]
    chambers: dict[str, Column]  # by chamber, heights counted where they are known [Pa]
    boiling: dict[str, Column]  # temperature at which it boils there [K]
    heights_known: bool
    air: Column  # pressure outside, absolute [Pa]

    def absolute(self, chamber: str) -> Column:
        """Absolute pressure in a chamber. [Pa]"""
        return self.chambers[chamber] + self.air


def filled(circuit: Circuit, volumes: Column, inputs: Inputs) -> Filled:
    """Volumes as filled, cold: as told for the whole, else the sum of the parts.

    Parameters
    ----------
    circuit : Circuit
        Whose parts count.
    volumes : (S,)
        Of all runs and side loops. [m³]
    inputs : Inputs
        Hands out the columns.
    """
    build = inputs.assembly.build.id
    whole = inputs.said("coolant_volume_total", build)
    said = whole is not None and not inputs.absent("coolant_volume_total", build)
    liquid = inputs.take("coolant_volume_total", build) if said else _parts(circuit, inputs)
    give = inputs.typical("hose_give", build) / ONE_BAR
    return Filled(
        liquid if said else liquid + volumes,
        _air(circuit, inputs),
        np.clip(inputs.take("coolant_glycol_share", build), 0.0, 0.7),
        inputs.take("cap_pressure_fitted", build),
        give,
        inputs.yes("recovery_bottle", build) is True,
        inputs.yes("cap_vacuum_valve", build) is not False,
    )


def _parts(circuit: Circuit, inputs: Inputs) -> Column:
    return sum(part_volumes(circuit, inputs).values(), inputs.constant(0.0))


def part_volumes(circuit: Circuit, inputs: Inputs) -> dict[str, Column]:
    """Coolant in engine, radiator, heater and tank, by unit; the tank as filled. [m³]"""
    found: dict[str, Column] = {}
    for unit in dict.fromkeys(each.unit for each in circuit.chambers.values()):
        names = {each.name for each in circuit.chambers.values() if each.unit == unit}
        for chamber, typical in HOLDING.items():
            if chamber in names:
                found[unit] = inputs.take("coolant_volume", unit, typical=typical)
                break
    return found


def _air(circuit: Circuit, inputs: Inputs) -> Column:
    build = inputs.assembly.build.id
    if inputs.said("header_free_volume", build) is not None:
        if inputs.absent("header_free_volume", build):
            return inputs.constant(0.0)
        return inputs.take("header_free_volume", build)
    tank = circuit.chambers[reference_of(circuit)].unit
    if inputs.said("tank_air_at_fill", tank) is not None:
        return inputs.take("tank_air_at_fill", tank)
    if inputs.said("tank_inside_volume", tank) is not None:
        inside = inputs.take("tank_inside_volume", tank)
        fill = inputs.take("coolant_volume", tank, typical="tank_fill")
        return np.asarray(np.maximum(inside - fill, 0.0))
    return inputs.typical("tank_air", tank)


def pressed(
    state: State, fill: Filled, heights: dict[str, float], cap_holds: bool = True
) -> Pressed:
    """Pressures of a case from the tank's, the flow's and the heights.

    Parameters
    ----------
    state : State
        Flows and temperatures.
    fill : Filled
        As filled.
    heights : mapping of chamber to height
        As far as known, in the vehicle frame. [m]
    cap_holds : bool
        False: it opens at once.
    """
    air = standard_atmosphere(state.case.altitude).pressure
    reference = reference_of(state.circuit)
    mean = _known(np.mean(list(state.temperatures.values()), axis=0))
    at_tank = _known(state.temperatures[reference])
    vessel = ClosedVessel(
        fill.liquid, fill.air, FILLED_AT, air,
        vapour_pressure("ethylene", fill.share, FILLED_AT),
        relief=air + (fill.cap if cap_holds else LEAKY_CAP),
        vacuum=air - VACUUM_OPENS if fill.vacuum_valve else 0.0,
        bottle=BOTTLE if fill.bottle else None,
        compliance=fill.give,
    )  # fmt: skip
    growth = thermal_growth("ethylene", fill.share, FILLED_AT, mean)
    tank = settled(vessel, growth, at_tank, vapour_pressure("ethylene", fill.share, at_tank))
    gauge = tank.pressure - air
    density = np.full_like(mean, 1020.0)
    level = heights.get(reference)
    chambers = {
        name: gauge + flow + _static(density, level, heights.get(name))
        for name, flow in state.pressures.items()
    }
    boils = {
        name: boiling_temperature("ethylene", fill.share, np.maximum(value + air, 2e3))
        for name, value in chambers.items()
    }
    return Pressed(tank, gauge, chambers, boils, level is not None, air)


def _static(density: Column, level: float | None, height: float | None) -> Column:
    if level is None or height is None:
        return np.zeros_like(density)
    return density * GRAVITY * (level - height)


def _known(temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """Within what the liquid's laws know; what lies beyond is marked with its state. [K]"""
    return np.clip(np.nan_to_num(temperature, posinf=HOTTEST_KNOWN), 233.15, HOTTEST_KNOWN)


def heights_of(circuit: Circuit, inputs: Inputs) -> dict[str, float]:
    """Height of each chamber as far as places tell it: of a tank its marks, else its ports. [m]"""
    told = {name: _height(name, circuit, inputs) for name in circuit.chambers}
    heights = {name: height for name, height in told.items() if height is not None}
    for name, chamber in circuit.chambers.items():
        same = [
            heights[each]
            for each, other in circuit.chambers.items()
            if other.unit == chamber.unit and each in heights
        ]
        if name not in heights and same:
            heights[name] = sum(same) / len(same)
    return heights


def _height(name: str, circuit: Circuit, inputs: Inputs) -> float | None:
    chamber = circuit.chambers[name]
    marks = [inputs.said(fact, chamber.unit) for fact in ("level_low", "level_high")]
    levels = [
        mark.content.nominal
        for mark in marks
        if mark is not None and isinstance(mark.content, Measure)
    ]
    ports = [inputs.assembly.ports[port] for port, at in circuit.openings.items() if at == name]
    placed = levels or [port.position[2] for port in ports if port.position is not None]
    return sum(placed) / len(placed) if placed else None
