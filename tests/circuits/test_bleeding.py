"""The bleeding plan: volumes, order, attitude, what to buy."""

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner
from tests.support.demo_builds import demo

from swapwright.circuits.amounts import Amounts, amounts, share_for, shopping
from swapwright.circuits.bleeding import BleedPlan, bleed_plan, runs_of
from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.cli import main
from swapwright.dossier.bleeding import bleed_text

NECK = {"kind": "filler neck", "facts": {"top_height": "770 mm", "level_low": "unknown"}}
HIGH = {"via": [["-110 mm", "-90 mm", "800 mm"], ["-230 mm", "-230 mm", "730 mm"]]}
OVERLAYS: dict[str, dict[str, Any]] = {
    "as it is": {},
    "sum": {"van": {"facts": {"coolant_volume_total": "unknown"}}},
    "neck": {"haywain": {"parts": {"header": NECK}}},
    "trap": {"van": {"joins": {"H1": {"route": HIGH}}}},
    "no heights": {"haywain": {"parts": {"header": {"facts": {"level_low": "unknown",
                                                                 "top_height": "unknown"}}}}},
}  # fmt: skip


@cache
def planned(name: str) -> tuple[BleedPlan, Amounts, CoolantStudy]:
    assembly = demo("van", OVERLAYS[name])
    study = coolant_study(assembly, 64)
    assert study.columns is not None
    held = amounts(study.circuit, runs_of(study), study.columns)
    return bleed_plan(assembly, study, held, study.columns), held, study


def text_of(name: str) -> str:
    plan, held, _ = planned(name)
    return bleed_text(demo("van", OVERLAYS[name]), plan, held, shopping(held, 0.5))


def test_the_whole_is_as_told_or_the_sum() -> None:
    assert planned("as it is")[1].told
    assert planned("as it is")[0].total.median == pytest.approx(8.8e-3)
    _, held, _ = planned("sum")
    assert not held.told
    parts = sum(held.parts.values(), np.zeros(64)) + sum(held.runs.values(), np.zeros(64))
    assert held.total == pytest.approx(parts, rel=1e-12)
    assert np.median(held.total) == pytest.approx(8.8e-3, rel=0.05)  # 3.7 + 2.3 + 1.25 + 0.75 + 0.8


def test_hoses_hold_what_their_bores_and_lengths_say() -> None:
    """H1: 494 mm cut, 36 mm bore, and a reducer of 60 mm; pi/4 d² l."""
    _, held, _ = planned("as it is")
    assert np.median(held.runs["H1"]) == pytest.approx(np.pi / 4 * 0.036**2 * 0.554, rel=0.05)


def test_bleeds_come_from_low_to_high_and_pouring_only_grows() -> None:
    plan, held, _ = planned("as it is")
    assert [pause.spot.id for pause in plan.pauses] == ["haywain.R03", "tessera-four.P05"]
    poured = [pause.poured.median for pause in plan.pauses if pause.poured is not None]
    assert poured == sorted(poured)
    assert poured[-1] < sum(float(np.median(each)) for each in held.parts.values()) + 1.6e-3
    assert all(pause.by_itself for pause in plan.pauses)


def test_the_attitude_is_the_one_that_covers_most() -> None:
    assert planned("as it is")[0].attitude == "flat"
    plan, _, _ = planned("neck")
    assert plan.cover["flat"] < 0.020
    assert plan.attitude == max(plan.cover, key=lambda name: plan.cover[name])


def test_a_trap_has_its_own_step() -> None:
    assert "high point of 80 mm" in " ".join(text_of("trap").split())
    assert "high point" not in text_of("as it is").replace("highest", "")


def test_without_heights_it_says_what_to_measure() -> None:
    told = " ".join(text_of("no heights").split())
    assert "measure the height" in told
    assert not planned("no heights")[0].pauses


def test_a_litre_of_air_is_hotter_and_boils_sooner() -> None:
    pocket = planned("as it is")[0].pocket
    assert pocket is not None
    assert pocket.hotter.low > 0
    assert pocket.boils_then > pocket.boils_now


def test_what_is_bought_is_enough_and_freezes_no_sooner() -> None:
    """-25 °C takes 40 % by volume (-24.8 °C, ASHRAE data as CoolProp has them)."""
    share = share_for(248.15)
    assert share == pytest.approx(0.40, abs=0.01)
    buy = shopping(planned("as it is")[1], share)
    assert buy.freezes == pytest.approx(248.15, abs=0.1)
    assert buy.concentrate >= 8.8e-3 * share
    assert buy.water >= 8.8e-3 * (1 - share)
    assert buy.concentrate + buy.water < 8.8e-3 + 1.01e-3
    assert (buy.concentrate / 0.5e-3) == pytest.approx(round(buy.concentrate / 0.5e-3))


def test_accepting_follows_the_rule_of_what_it_took() -> None:
    plan = planned("as it is")[0]
    assert plan.enough == pytest.approx(0.95 * 8.8e-3)
    assert plan.air_for_sure == pytest.approx(0.90 * 8.8e-3)


def test_the_command_prints_and_refuses(tmp_path: Path) -> None:
    run, folder = CliRunner().invoke, str(tmp_path / "van")
    run(main, ["demo", folder])
    told = run(main, ["bleed", "-C", folder])
    assert told.exit_code == 0
    assert "scalds" in told.output
    assert max(map(len, told.output.splitlines())) <= 80
    record = json.loads(run(main, ["bleed", "-C", folder, "--json"]).output)
    assert record["total_volume"]["middle"] == pytest.approx(8.8e-3)
    assert record["steps"].startswith("1. Stand the car")
    for bad in ("25 bar", "-60 °C", "30 °C", "cold"):
        found = run(main, ["bleed", "-C", folder, "--frost", bad])
        assert found.exit_code == 2
        assert "-25 °C" in found.output


def test_what_is_bought_is_enough_nine_times_of_ten() -> None:
    """Where the whole was not told, at most the tenth that needs more is left out."""
    held = planned("sum")[1]
    buy = shopping(held, 0.5)
    wide = held.total * np.linspace(0.7, 1.3, 64)
    broad = shopping(Amounts(held.parts, held.runs, wide, False), 0.5)
    enough = float((wide <= broad.concentrate + broad.water).mean())
    assert 0.88 <= enough <= 1.0
    assert broad.concentrate > buy.concentrate
