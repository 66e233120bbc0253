"""A build with another figure: what changes, what must stay, and what means nothing."""

from collections.abc import Mapping
from functools import cache

import numpy as np
import pytest
from tests.support.demo_builds import demo

from swapwright.circuits.inputs import Taken
from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.circuits.whatif import NotTried, changed, tried
from swapwright.library.sweepables import reach_of_facts, reach_of_fields, sweepables
from swapwright.model.build import Case

HEAD = "tessera-four:head"


@cache
def studied(*texts: str) -> CoolantStudy:
    build = demo("van")
    trials = [trial for each in tried(texts, build) for trial in each.trials]
    return coolant_study(changed(build, trials), 64, only=("hill",), judged=False)


def moved(before: Mapping[str, Taken], after: Mapping[str, Taken]) -> set[str]:
    return {
        name
        for name in before
        if name not in after or not np.array_equal(before[name].own, after[name].own)
    }


@pytest.mark.parametrize(
    ("text", "id", "value"),
    [
        ("radiator depth = 52 mm", "haywain.radiator.radiator_core_depth", 0.052),
        ("glycol = 30 %", "van.coolant_glycol_share", 0.3),
        ("cap = 0.9 bar", "van.cap_pressure_fitted", 0.9e5),
        ("thermostat = 82 °C", "tessera-four.thermostat_temperature", 355.15),
        ("hose-36.hose_bore = 30 mm", "hose-36.hose_bore", 0.030),
        ("hill.air = 30 °C", "case hill.air", 303.15),
    ],
)
def test_one_column_is_exact_and_all_others_stay(text: str, id: str, value: float) -> None:
    before, after = studied().inputs, studied(text).inputs
    assert moved(before, after) == {id}
    assert set(after) == set(before)
    np.testing.assert_allclose(after[id].own, value, rtol=1e-12)
    assert np.ptp(after[id].own) == 0


def test_two_figures_at_once_both_enter() -> None:
    after = studied("cap = 0.9 bar", "glycol = 30 %").inputs
    assert moved(studied().inputs, after) == {"van.cap_pressure_fitted", "van.coolant_glycol_share"}


def test_what_was_typical_counts_as_said() -> None:
    assert "van.coolant_glycol_share" in {each.id for each in studied().assumptions}
    assert "van.coolant_glycol_share" not in {
        each.id for each in studied("glycol=30 %").assumptions
    }


def test_the_present_value_changes_nothing() -> None:
    """The case states 40 °C without a spread."""
    before, after = studied(), studied("hill.air = 40 °C")
    np.testing.assert_array_equal(
        before.cases["hill"].state.temperatures[HEAD], after.cases["hill"].state.temperatures[HEAD]
    )


def test_the_build_itself_stays_as_it_was() -> None:
    build = demo("van")
    held = dict(build.readings)
    trials = tried(["cap = 0.5 bar", "hill.air = 30 °C"], build)
    other = changed(build, [each.trials[0] for each in trials])
    assert dict(build.readings) == held
    assert "hill" not in build.build.cases
    assert "hill" in other.build.cases


def test_from_may_stand_without_a_sign() -> None:
    build = demo("van")
    spans = ["radiator depth from 24 to 52 mm in 5", "radiator depth = 24 to 52 mm in 5"]
    first, second = (tried([text], build)[0] for text in spans)
    assert [each.text for each in first.trials] == ["24 mm", "31 mm", "38 mm", "45 mm", "52 mm"]
    assert first == second


@pytest.mark.parametrize("word", sweepables())
def test_the_ends_of_a_range_can_be_tried_and_what_lies_beyond_cannot(word: str) -> None:
    build, reach = demo("van"), sweepables()[word].reach
    least, most = reach.text.split(" to ")
    assert len(tried([f"{word} = {least}, {most}"], build)[0].trials) == 2
    number, _, unit = most.partition(" ")
    with pytest.raises(NotTried, match="out of range"):
        tried([f"{word} = {1.01 * float(number):g} {unit}".strip()], build)


def test_a_range_holds_whether_the_fact_or_its_word_is_named() -> None:
    with pytest.raises(NotTried, match="10 mm to 150 mm"):
        tried(["haywain.radiator.radiator_core_depth = 400 m"], demo("van"))
    assert set(reach_of_facts()) == {each.fact for each in sweepables().values()}


def test_every_measured_field_of_a_case_has_a_range() -> None:
    plain = {"label", "idle", "at_top_speed", "fan", "heater"}
    assert set(reach_of_fields()) == set(Case.model_fields) - plain


@pytest.mark.parametrize("text", ["cap = absent", "cap = unknown", "radiator depth = absent"])
def test_no_value_is_no_trial(text: str) -> None:
    """Nothing would be left to try but the typical value, under another name."""
    with pytest.raises(NotTried, match="wanted a value"):
        tried([text], demo("van"))
