"""The level against what it must cover, and air in high points of hoses."""

from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.support.demo_builds import demo

from swapwright.chance.samples import Sample
from swapwright.circuits.conditions import conditions
from swapwright.circuits.coolant import State, state_in
from swapwright.circuits.graph import circuit
from swapwright.circuits.inputs import Inputs
from swapwright.circuits.levels import ATTITUDES, Levels, NoLevels, levels
from swapwright.circuits.pockets import Trap, carried, traps, unknown_ways, velocity
from swapwright.library.cases import cases_of
from swapwright.model.words import Service

NECK = {"kind": "filler neck", "facts": {"top_height": "770 mm", "level_low": "unknown"}}
HIGH = {"via": [["-110 mm", "-90 mm", "800 mm"], ["-230 mm", "-230 mm", "730 mm"]]}


def of(overlay: dict[str, Any]) -> Levels | NoLevels:
    assembly = demo("van", overlay)
    return levels(circuit(assembly, Service.COOLANT), Inputs(assembly, Sample(64, 1)))


def known(overlay: dict[str, Any]) -> Levels:
    found = of(overlay)
    assert isinstance(found, Levels)
    return found


def test_the_van_stands_50_mm_above_its_highest_point() -> None:
    """Low mark 815 mm, engine bleed at 765 mm."""
    found = known({})
    assert found.tank == "haywain.header"
    assert found.highest().id == "tessera-four.P05"
    assert np.median(found.least_depth("flat")) == pytest.approx(0.050, abs=0.001)


def test_slopes_turn_about_the_tank() -> None:
    """1:10 over 420 mm lifts the radiator's bleed by 42 mm, less the turn itself."""
    found = known({})
    flat, up = (found.depth[each]["haywain.R03"] for each in ("flat", "nose up"))
    centre = np.mean([20, -60, 20]) / 1e3
    moved = (0.1 * (centre + 0.400) + 0.0) / np.hypot(1, 0.1)
    turned = np.median(flat) / np.hypot(1, 0.1)
    assert np.median(up) == pytest.approx(turned - moved, abs=1e-6)
    assert set(found.depth) == set(ATTITUDES)


def test_a_neck_at_770_leaves_the_engine_above_it() -> None:
    found = known({"haywain": {"parts": {"header": NECK}}})
    assert np.median(found.level) == pytest.approx(0.770)
    assert np.median(found.least_depth("flat")) < 0.020
    assert np.median(found.least_depth("nose up", engine_only=True)) < 0


def test_without_a_mark_it_says_what_to_measure() -> None:
    facts = {"level_low": "unknown", "top_height": "unknown"}
    found = of({"haywain": {"parts": {"header": {"facts": facts}}}})
    assert isinstance(found, NoLevels)
    assert (found.subject, found.fact) == ("haywain.header", "level_low")


@cache
def high_hose(case: str) -> tuple[Trap, State, Inputs]:
    assembly = demo("van", {"van": {"joins": {"H1": {"route": HIGH}}}})
    inputs = Inputs(assembly, Sample(64, 1))
    whole = circuit(assembly, Service.COOLANT)
    state = state_in(conditions(case, cases_of(assembly.build)[case], inputs), whole, inputs)
    found = {trap.join: trap for trap in traps(whole, inputs)}
    assert set(found) == {"H1"}
    return found["H1"], state, inputs


def test_a_bend_above_both_ends_is_a_trap() -> None:
    trap, _, _ = high_hose("hill")
    assert trap.height == pytest.approx(0.800)
    assert trap.along == pytest.approx(np.hypot.reduce([0.080, 0.030, 0.080]), abs=0.001)
    assert trap.rise == pytest.approx(0.080, abs=0.001)  # over the thermostat's outlet at 720 mm
    assert 0.05e-3 < trap.volume < 0.5e-3
    assert trap.falls[0] == pytest.approx(np.arctan2(0.070, np.hypot(0.120, 0.140)), abs=1e-6)


def test_full_flow_carries_air_on_and_a_trickle_does_not() -> None:
    trap, hill, inputs = high_hose("hill")
    assert carried(trap, hill, inputs).mean() > 0.8
    trap, idle, inputs = high_hose("hot-idle")
    assert carried(trap, idle, inputs).mean() < 0.1
    assert np.median(velocity(trap, hill)) > 3 * np.median(velocity(trap, idle))


def test_vents_that_rise_into_the_tank_are_no_traps() -> None:
    assembly = demo("van")
    inputs = Inputs(assembly, Sample(16, 1))
    whole = circuit(assembly, Service.COOLANT)
    assert not [trap for trap in traps(whole, inputs) if trap.join in ("H5", "H6")]
    assert not unknown_ways(whole, inputs)
