"""What carries the spread, what a measurement is worth, and that measuring narrows."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from tests.support.demo_builds import demo

from swapwright.assess import assemble_folder
from swapwright.chance.results import quantiles
from swapwright.circuits.matters import (
    BIGGER,
    LEAVE,
    Spread,
    spread_of_head,
    worth_on_the_hill,
)
from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.circuits.whatif import Trial, changed, tried
from swapwright.cli import main
from swapwright.findings.computed.coolant import coolant_findings
from swapwright.library.losses import losses
from swapwright.model.assembly import Assembly
from swapwright.model.values import Value


@cache
def van(size: int = 512) -> CoolantStudy:
    return coolant_study(demo("van"), size, only=("cold-start", "hill"), judged=False)


def spread(study: CoolantStudy) -> Spread:
    found = spread_of_head(study, "hill")
    assert found is not None
    return found


def test_the_shares_make_up_the_whole() -> None:
    shares = spread(van(1024)).shares
    whole = sum(each.value for each in shares.inputs) + shares.remainder.value
    assert whole == pytest.approx(1.0, abs=1e-9)
    assert shares.inputs[0].name == "tessera-four.coolant_heat_ratio"


def test_what_carries_most_narrows_most_once_it_is_known() -> None:
    """With the first input fixed, the variance falls by about its share."""
    build = demo("van")
    (known,) = tried(["engine heat = 0.68"], build)
    head = "tessera-four:head"

    def variance(study: CoolantStudy) -> float:
        result = study.cases["hill"].state
        held = result.temperatures[head][result.converged]
        return float(held[np.isfinite(held)].var())

    after = coolant_study(changed(build, known.trials), 1024, only=("hill",), judged=False)
    fallen = 1 - variance(after) / variance(van(1024))
    first = spread(van(1024)).shares.inputs[0]
    assert fallen == pytest.approx(first.value, abs=0.12)


def test_of_too_many_inputs_those_that_bear_most_are_kept() -> None:
    found = spread(van(256))
    assert found.left_out > 0
    assert len(found.inputs) == 256 // 16
    assert "tessera-four.coolant_heat_ratio" in found.inputs


def test_a_case_that_is_not_in_balance_has_no_spread() -> None:
    assert spread_of_head(van(), "cold-start") is None
    assert spread_of_head(van(), "no-such-case") is None


def test_knowing_is_never_worth_less_than_nothing_nor_more_than_everything() -> None:
    found = worth_on_the_hill(demo("van"), van())
    assert found is not None
    assert found.decision.options == (LEAVE, BIGGER)
    assert found.decision.losses[1] >= losses()["bigger_radiator"].value
    for _, worth in found.worths:
        slack = 3 * worth.standard_error + worth.floor + 1e-9
        assert 0 <= worth.value <= found.decision.everything.value + slack


def width(assembly: Assembly) -> tuple[float, CoolantStudy]:
    """Between what nine of ten lie, of the head on the hill. [K]"""
    study = coolant_study(assembly, 512, only=("hill",), judged=False)
    state = study.cases["hill"].state
    head = next(each.id for each in study.circuit.chambers.values() if each.name == "head")
    held = np.minimum(state.temperatures[head], 600.0)
    found = quantiles(held, state.converged)
    return found.high - found.low, study


WORLDS = 8  # cars that the starter may turn out to be


@pytest.mark.slow
def test_three_measurements_narrow_a_starter_to_a_decision(tmp_path: Path) -> None:
    """From typical values alone it cannot tell; three figures that it names settle half the cars.

    A car is one world of the sample: its owner finds that world's figures.
    """
    folder = tmp_path / "own"
    assert CliRunner().invoke(main, ["begin", str(folder), "--unknown"]).exit_code == 0
    starter = assemble_folder(folder)
    wide, _ = width(starter)
    assert asks(starter)
    settled, narrow = 0, list[float]()
    for world in range(WORLDS):
        build = starter
        for _ in range(3):
            _, study = width(build)
            taken = study.inputs[named_first(study)]
            found = replace(taken.measure, nominal=float(taken.own[world]), uncertainty=0.0)
            trial = Trial(taken.subject, taken.fact, Value(found, text=""), "")
            build = changed(build, [trial])
        narrow.append(width(build)[0])
        settled += not asks(build)
    assert np.median(narrow) < 0.8 * wide
    assert settled >= WORLDS // 2


def named_first(study: CoolantStudy) -> str:
    """The input that bears most and that can be measured as it is."""
    return next(
        share.name
        for share in spread(study).shares.inputs
        if study.inputs[share.name].assumed
        and share.name.endswith(f".{study.inputs[share.name].fact}")
    )


def asks(build: Assembly) -> bool:
    """Whether the margin to boiling is too close to call."""
    found = coolant_findings(build, coolant_study(build, 512))
    return any(each.rule == "cool-cap-boil" and each.asks is not None for each in found)
