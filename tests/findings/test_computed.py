"""Findings that rest on the solved circuit: told with numbers, kept, and dropped on a change."""

import json
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.circuits.test_diagnosis import MADE
from tests.support.demo_builds import demo

from swapwright.assess import assess, with_computed
from swapwright.circuits.study import coolant_study
from swapwright.cli import main
from swapwright.findings.computed.coolant import coolant_findings
from swapwright.findings.kept import FILE
from swapwright.findings.run import Finding
from swapwright.library.rulebook import rule_texts
from swapwright.model.amount import Amount
from swapwright.model.words import Urgency

NECK = {"kind": "filler neck", "facts": {"top_height": "770 mm", "level_low": "unknown"}}
HAND_MOVED: dict[str, tuple[dict[str, Any], str, str]] = {
    "bypass": (MADE["bypass blanked"], "cool-no-bypass/tessera-four", "own bypass open"),
    "neck": ({"haywain": {"parts": {"header": NECK}}}, "cool-filler-low/haywain.header", "770 mm"),
    "heater": (
        MADE["heater return on a second supply stub"], "cool-heater-sides/haywain.heater",
        "suction side of the coolant pump",
    ),
    "make-up": (
        MADE["make-up teed into the hot hose"], "cool-makeup-hot/H7",
        "suction side of the coolant pump",
    ),
    "crossed": (MADE["main hoses crossed"], "cool-main-crossed/haywain.radiator", "backwards"),
}  # fmt: skip


@cache
def found(which: str, name: str = "") -> tuple[Finding, ...]:
    assembly = demo(which, HAND_MOVED[name][0] if name else None)
    return coolant_findings(assembly, coolant_study(assembly, 128))


def told(finding: Finding) -> str:
    return finding.message.text("metric")


@pytest.mark.parametrize("name", HAND_MOVED)
def test_what_was_moved_by_hand_is_found_with_numbers(name: str) -> None:
    _, wanted, words = HAND_MOVED[name]
    by_id = {each.id: each for each in found("van", name)}
    assert wanted in by_id
    assert by_id[wanted].urgency is not Urgency.ASK
    assert words in told(by_id[wanted])
    assert rule_texts()[by_id[wanted].rule].act == by_id[wanted].act


@pytest.mark.parametrize("name", ["", *HAND_MOVED])
def test_no_stop_rests_on_typical_figures(name: str) -> None:
    assert all(each.urgency is not Urgency.STOP for each in found("van", name))


def test_the_van_itself_only_asks() -> None:
    """Its margin on the hill is too close to call until the engine's heat is known better."""
    asked = {each.rule: each for each in found("van")}
    assert set(asked) <= {"cool-cap-boil", "cool-reject"}
    assert asked["cool-cap-boil"].asks is not None
    assert asked["cool-cap-boil"].asks.name == "coolant_heat_ratio"


def test_the_parked_cooler_of_the_two_seater_raises_nothing() -> None:
    assert not [each for each in found("two-seater") if "ox" in each.id]
    assert all(each.urgency is Urgency.ASK for each in found("two-seater"))


def test_thin_long_pipes_are_found_and_sized() -> None:
    thin = {"sirrow": {"facts": {"floor_pipe_bore": "22 mm"}}}
    assembly = demo("two-seater", thin)
    by_rule = {each.rule: each for each in coolant_findings(assembly, coolant_study(assembly, 128))}
    assert by_rule["cool-longpipe-v"].urgency is Urgency.ROAD
    assert "22 mm" in told(by_rule["cool-longpipe-v"])
    needed = by_rule["cool-longpipe-v"].message.values["needed"]
    assert isinstance(needed, Amount)
    wide = {"sirrow": {"facts": {"floor_pipe_bore": f"{1e3 * needed.nominal:.0f} mm"}}}
    assembly = demo("two-seater", wide)
    after = {each.rule for each in coolant_findings(assembly, coolant_study(assembly, 128))}
    assert "cool-longpipe-v" not in after


def test_a_blanked_bypass_is_told_once() -> None:
    """The computed finding stands for what facts alone say of the bypass's two stubs."""
    assembly = demo("van", MADE["bypass blanked"])
    plain = assess(assembly, date(2026, 6, 1))
    assert len([each for each in plain.findings if each.rule == "cool-no-bypass"]) == 2
    merged = with_computed(plain, found("van", "bypass"))
    (only,) = [each for each in merged.findings if each.rule == "cool-no-bypass"]
    assert "own bypass open" in told(only)


def test_a_question_never_hides_what_is_sure() -> None:
    assembly = demo("van")
    plain = assess(assembly, date(2026, 6, 1))
    sure = next(each for each in plain.findings if each.asks is None)
    asking = replace(found("van")[0], id=sure.id, rule=sure.rule, subjects=sure.subjects)
    assert asking.asks is not None
    assert sure in with_computed(plain, [asking]).findings


def test_findings_are_kept_and_told_until_a_sheet_changes(tmp_path: Path) -> None:
    run = CliRunner().invoke
    folder = tmp_path / "van"
    assert run(main, ["demo", str(folder)]).exit_code in (0, 1)
    line = "waits to be computed"
    assert line in run(main, ["assess", "-C", str(folder)]).output
    computed = run(main, ["circuit", "coolant", "-C", str(folder), "--samples", "128"])
    assert computed.exit_code == 0
    assert (folder / FILE).exists()
    after = run(main, ["assess", "-C", str(folder), "--all"]).output
    assert line not in after
    assert "cool-cap-boil" in after
    other = run(main, ["assess", "-C", str(folder), "--stage", "finished"]).output
    assert line in other
    build = folder / "build.yaml"
    build.write_text(build.read_text("utf-8") + "# looked at\n", "utf-8")
    assert line in run(main, ["assess", "-C", str(folder)]).output


@pytest.mark.parametrize("text", ["", "{", "[]", '{"form": 1, "coolant": {"x": 3}}', "\x00"])
def test_a_kept_file_that_is_none_is_as_good_as_no_file(tmp_path: Path, text: str) -> None:
    run = CliRunner().invoke
    folder = tmp_path / "van"
    run(main, ["demo", str(folder)])
    (folder / FILE).write_text(text, "utf-8")
    assert "waits to be computed" in run(main, ["assess", "-C", str(folder)]).output


def test_kept_findings_say_the_same_as_those_computed(tmp_path: Path) -> None:
    run = CliRunner().invoke
    folder = tmp_path / "van"
    run(main, ["demo", str(folder)])
    record = json.loads(
        run(main, ["circuit", "coolant", "-C", str(folder), "--samples", "128", "--json"]).output
    )
    kept = json.loads(run(main, ["assess", "-C", str(folder), "--json"]).output)
    by_id = {each["id"]: each for each in kept["findings"]}
    assert record["findings"]
    for each in record["findings"]:
        assert by_id[each["id"]] == each
