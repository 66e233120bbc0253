"""How to fill the circuit so that no air stays: attitude, order, litres, when to stop."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from swapwright.chance.results import Range, quantiles
from swapwright.circuits.amounts import Amounts
from swapwright.circuits.graph import RUN, Circuit
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.levels import ATTITUDES, Levels, Spot
from swapwright.circuits.pockets import Trap
from swapwright.circuits.runs import way_of
from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.circuits.upset import Upset
from swapwright.model.assembly import Assembly
from swapwright.physics.pockets import tilted_heights

ENOUGH, AIR_FOR_SURE = 0.95, 0.90  # of the computed volume; a maker's bleed procedure
COVER = 0.020  # m that the filler should stand above every point
POCKET = 1e-3  # m³ of air, whose effect is told
HILL = "hill"
WORN = {"ebl": "bleed of the engine", "rbl": "bleed of the radiator"}


@dataclass(frozen=True)
class Pause:
    """A bleed at which to stop pouring: it runs clear, and is closed or left to the tank."""

    spot: Spot
    height: float  # as the car stands [m]
    poured: Range | None  # until then [m³]; None while heights are not known
    by_itself: bool  # its hose leads on into the tank


@dataclass(frozen=True)
class Pocket:
    """What a litre of air left in the radiator does on the hill."""

    hotter: Range  # [K]
    boils_now: float
    boils_then: float


@dataclass(frozen=True)
class BleedPlan:
    """The plan; heights and litres as far as places are known."""

    attitude: str  # flat, nose up, nose down
    cover: dict[str, float]  # how far the filler stands above the worst point, by attitude [m]
    pauses: tuple[Pause, ...]
    traps: tuple[Trap, ...]  # high points without a bleed: shake, squeeze, rev
    total: Range  # [m³]
    enough: float  # accept from here on [m³]
    air_for_sure: float  # below this there is air [m³]
    heater_has_tap: bool
    opens_at: Range  # thermostat begins to open [K]
    pocket: Pocket | None


def bleed_plan(assembly: Assembly, study: CoolantStudy, held: Amounts, inputs: Inputs) -> BleedPlan:
    """Plan the fill of one build.

    Parameters
    ----------
    assembly : Assembly
        The build.
    study : CoolantStudy
        Its levels, traps and hill case.
    held : Amounts
        Where the coolant is.
    inputs : Inputs
        The same as the study's.
    """
    cover = _cover(study)
    attitude = _best(cover)
    total = quantiles(held.total, np.ones(inputs.size, dtype=bool))
    thermostats = study.circuit.of_kind("thermostat")
    opens = inputs.take(
        "thermostat_temperature", thermostats[0].subject if thermostats else assembly.engine
    )
    return BleedPlan(
        attitude, cover, tuple(_pauses(study, held, attitude, inputs)), study.traps, total,
        ENOUGH * total.median, AIR_FOR_SURE * total.median,
        inputs.word("heater_tap", assembly.build.id) not in ("", "none"),
        quantiles(opens, np.ones(inputs.size, dtype=bool)),
        _pocket(assembly, study, inputs),
    )  # fmt: skip


def _cover(study: CoolantStudy) -> dict[str, float]:
    """How far the level stands above the worst engine or bleed point, by attitude. [m]"""
    found = study.levels
    if not isinstance(found, Levels):
        return {}
    return {name: float(np.median(found.least_depth(name))) for name in ATTITUDES}


def _best(cover: dict[str, float]) -> str:
    """Flat where that covers all; else the attitude that covers most."""
    if not cover or cover["flat"] >= COVER:
        return "flat"
    return max(cover, key=lambda name: cover[name])


def _pauses(study: CoolantStudy, held: Amounts, attitude: str, inputs: Inputs) -> Iterator[Pause]:
    """Bleeds from the lowest to the highest, with what was poured when coolant reaches them."""
    found = study.levels
    if not isinstance(found, Levels):
        return
    grade = ATTITUDES[attitude]
    bleeds = [spot for spot in found.spots if _is_bleed(spot, inputs)]
    spans = dict(_spans(study.circuit, held, grade, inputs))
    for spot in sorted(bleeds, key=lambda each: _height(each, grade)):
        height = _height(spot, grade)
        poured = sum(
            (volume * _filled(low, high, height) for low, high, volume in spans.values()),
            inputs.constant(0.0),
        )
        partner = inputs.assembly.partner(spot.id)
        to_tank = partner is not None and partner.owner == found.tank
        good = np.ones(inputs.size, dtype=bool)
        yield Pause(spot, height, quantiles(poured, good), to_tank)


def _is_bleed(spot: Spot, inputs: Inputs) -> bool:
    port = inputs.assembly.ports.get(spot.id)
    return port is not None and port.family is not None and port.family.id in WORN


def _height(spot: Spot, grade: float) -> float:
    return float(tilted_heights([spot.at], grade)[0])


def _filled(low: float, high: float, level: float) -> float:
    """Share of a thing between two heights that lies below a level."""
    return 1.0 if high <= low else float(np.clip((level - low) / (high - low), 0.0, 1.0))


def _spans(
    circuit: Circuit, held: Amounts, grade: float, inputs: Inputs
) -> Iterator[tuple[str, tuple[float, float, Column]]]:
    """Lowest and highest point of each thing, and what it holds."""
    for unit, volume in held.parts.items():
        places = [
            port.position
            for name, chamber in circuit.openings.items()
            if circuit.chambers[chamber].unit == unit
            and (port := inputs.assembly.ports[name]).position is not None
        ]
        if places:
            heights = tilted_heights(places, grade)
            yield unit, (float(heights.min()), float(heights.max()), volume)
    for element in circuit.of_kind(RUN):
        join = inputs.assembly.joins.get(element.join)
        way = way_of(join) if join is not None else None
        if way is not None and element.id in held.runs:
            heights = tilted_heights(way.points, grade)
            yield element.id, (float(heights.min()), float(heights.max()), held.runs[element.id])


def _pocket(assembly: Assembly, study: CoolantStudy, inputs: Inputs) -> Pocket | None:
    """The hill with a litre of air where liquid should pass the radiator."""
    before = study.cases.get(HILL)
    cores = study.circuit.of_kind("core")
    head = next((each.id for each in study.circuit.chambers.values() if each.name == "head"), "")
    if before is None or not cores or head not in before.state.temperatures:
        return None
    volume = float(np.median(inputs.take("coolant_volume", cores[0].subject,
                                         typical="radiator_volume")))  # fmt: skip
    share = max(1 - POCKET / volume, 0.2)
    upset = Upset(core_share=share)
    after = coolant_study(
        assembly, study.size, inputs.sample.seed, (HILL,), upset, judged=False
    ).cases[HILL]
    good = before.state.converged & after.state.converged
    hot, hotter = before.state.temperatures[head], after.state.temperatures[head]
    good &= np.isfinite(hot) & np.isfinite(hotter)
    if not good.any():
        return None
    return Pocket(
        quantiles(hotter - hot, good),
        float((hot > before.pressures.boiling[head])[good].mean()),
        float((hotter > after.pressures.boiling[head])[good].mean()),
    )


def runs_of(study: CoolantStudy) -> dict[str, Column]:
    """Volumes of hoses, long pipes and side loops, by element. [m³]"""
    return {
        name: volume
        for result in study.cases.values()
        for name, volume in result.state.laid.volumes.items()
    }
