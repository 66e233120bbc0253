"""Warm-up, soak and failures of the van: they end where the steady solution is, and in order."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from tests.support.demo_builds import demo

from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.circuits.upset import NOTHING_UPSET
from swapwright.circuits.warming import FAILURES, Warming, Warmth, stated
from swapwright.cli import main

HEAD = "tessera-four:head"


@cache
def study() -> CoolantStudy:
    return coolant_study(demo("van"), 32, only=("hot-idle", "hill"), judged=False)


@cache
def held() -> Warming:
    columns = study().columns
    assert columns is not None
    return Warming(study().circuit, columns)


@cache
def up() -> Warmth:
    return held().warm_up(stated("hot-idle", study()), held().boils(study().cases["hot-idle"]))


@cache
def fails(case: str, what: str) -> Warmth:
    upset = FAILURES[what] if what else NOTHING_UPSET
    return held().fails(stated(case, study()), study().cases[case], upset)


def test_the_warm_up_rises_as_common_practice_has_it() -> None:
    """3 to 6 K a minute at idle, common practice; the middle of the band must lie there."""
    first, last = (
        np.median([np.interp(mark, each, up().course.times) for each in up().engine.T])
        for mark in (313.15, 333.15)
    )
    rise = 20 / (last - first)
    assert 3 < 60 * rise < 6
    assert np.all(np.diff(up().engine, axis=0) > -0.05)


def test_the_thermostat_holds_what_was_warmed() -> None:
    starts = study().inputs["tessera-four.thermostat_temperature"].own
    open_ones = np.isfinite(up().opens)
    assert open_ones.mean() > 0.9
    assert np.all(up().engine[-1][open_ones] >= starts[open_ones] - 0.1)
    assert np.all(up().engine[-1] < starts + 12)


@pytest.mark.parametrize("case", ["hot-idle", "hill"])
def test_without_a_failure_it_stays_where_the_steady_solution_is(case: str) -> None:
    """Two ways to one balance: the network's, and the course that starts from it."""
    course = fails(case, "")
    steady = study().cases[case].state.temperatures[HEAD]
    known = np.isfinite(steady) & (steady < course.limit)
    # flow and heat are solved at five openings and straight between
    assert np.abs(course.engine[-1] - steady)[known].max() < 2.0
    assert np.median(np.abs(course.engine[-1] - steady)[known]) < 0.6


def test_warm_metal_heats_what_stands_but_makes_no_heat() -> None:
    course = held().soak(stated("hill", study()), study().cases["hill"])
    rise = course.peak - course.engine[0]
    metal = course.course.temperatures[0, 1] - course.engine[0]
    assert np.all(rise > 0)
    assert np.all(rise < metal)
    capacity = held().metal / (held().metal + held().coolant)
    assert np.all(rise <= capacity * metal + 1e-3)
    assert np.all(course.engine[-1] < course.peak)


def test_failures_come_in_their_order() -> None:
    quick, slow = fails("hill", "thermostat stuck shut"), fails("hot-idle", "thermostat stuck shut")
    assert np.isfinite(quick.until_limit).all()
    assert np.median(quick.until_limit) < np.median(slow.until_limit)
    assert np.all(
        fails("hot-idle", "fan dead").engine[-1] >= fails("hot-idle", "").engine[-1] - 0.1
    )
    for what in ("pump belt slips to half", "a third of the radiator holds air"):
        assert np.all(fails("hill", what).engine[-1] >= fails("hill", "").engine[-1] - 0.1)
    assert np.all(fails("hot-idle", "thermostat stuck open").engine[-1]
                  <= fails("hot-idle", "").engine[-1] + 0.1)  # fmt: skip
    assert np.all(fails("hill", "cap holds no pressure").limit < fails("hill", "").limit)


def test_the_commands_print_and_refuse(tmp_path: Path) -> None:
    run, folder = CliRunner().invoke, str(tmp_path / "van")
    run(main, ["demo", folder])
    few = ["-C", folder, "--samples", "16", "--case", "hill"]
    for command in ("warming", "rehearsal"):
        told = run(main, ["circuit", command, *few])
        assert told.exit_code == 0
        assert "never open a hot cap" in " ".join(told.output.split())
        assert max(map(len, told.output.splitlines())) <= 80
        assert json.loads(run(main, ["circuit", command, *few, "--json"]).output)["build"] == "van"
        for bad in (["--case", "mountain"], ["--samples", "3"], ["--case", "cold-start"]):
            found = run(main, ["circuit", command, "-C", folder, *bad])
            assert found.exit_code == 2
            assert "wanted" in found.output
