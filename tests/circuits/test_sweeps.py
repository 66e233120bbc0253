"""Figures tried otherwise: the words, the same sample, and what must rise and fall."""

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from tests.support.demo_builds import demo

from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.circuits.sweeps import FEW, Sweep, sweep
from swapwright.circuits.whatif import NotTried, changed, tried
from swapwright.cli import main
from swapwright.library.sweepables import sweepables

HEAD = "tessera-four:head"


@cache
def swept(*texts: str, size: int = 128) -> Sweep:
    build = demo("van")
    return sweep(build, tried(texts, build), ("hill",), size)


def spelled(text: str) -> list[str]:
    (one,) = tried([text], demo("van"))
    return [trial.text for trial in one.trials]


# -- words -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("cap = 0.9 bar", ["0.9 bar"]),
        ("radiator depth = 24, 32, 40 mm", ["24 mm", "32 mm", "40 mm"]),
        ("radiator  depth=24 mm,3.2 cm", ["24 mm", "3.2 cm"]),
        ("glycol = 30 to 60 % in 4", ["30 %", "40 %", "50 %", "60 %"]),
        ("cap = from 0.7 bar to 1.3 bar in 3", ["0.7 bar", "1 bar", "1.3 bar"]),
        ("hill.air = 35 °C, 45 °C", ["35 °C", "45 °C"]),
        ("haywain.radiator.radiator_core_depth = 40 mm", ["40 mm"]),
    ],
)
def test_one_list_or_a_span(text: str, wanted: list[str]) -> None:
    assert spelled(text) == wanted


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "short word"),
        ("cap", "short word"),
        ("cap =", "short word"),
        ("radiator dept = 3 mm", "nearest known: radiator depth"),
        ("glycol = banana", "a ratio"),
        ("glycol = 40 %, 20 m", "20 m (a length)"),
        ("cap = 1 to 2 bar in 1", "2 to 50 steps"),
        ("cap = 1 psi to 2 bar in 3", "one unit"),
        ("hill.airs = 3 °C", "nearest known: air"),
        ("hill.air = 3 bar", "a value for air"),
        ("mountain.air = 3 °C", "a subject of this build"),
        ("haywain.radiator.foo = 3", "a fact of new radiator"),
        ("cap = unknown", "a value"),
    ],
)
def test_what_cannot_be_tried_says_why(text: str, words: str) -> None:
    with pytest.raises(NotTried) as wrong:
        tried([text], demo("van"))
    assert words in str(wrong.value)
    assert repr(text).strip("'") in str(wrong.value)


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(NotTried) as wrong:
        tried(["glycol = banana, 20 m", "cap", "hill.airs = 3"], demo("van"))
    assert len(wrong.value.faults) == 4


@pytest.mark.parametrize("word", sweepables())
def test_every_example_of_a_short_word_can_be_read(word: str) -> None:
    build = demo("two-seater" if word == "long pipe bore" else "van")
    assert tried([f"{word} = {sweepables()[word].example}"], build)[0].trials


# -- the same sample ------------------------------------------------------------------


def test_no_column_moves_but_the_one_that_is_tried() -> None:
    build = demo("van")
    (one,) = tried(["cap = 0.9 bar"], build)
    before = coolant_study(build, 64, only=("hill",), judged=False).inputs
    after = coolant_study(changed(build, one.trials), 64, only=("hill",), judged=False).inputs
    assert set(before) == set(after)
    moved = {name for name in before if not np.array_equal(before[name].own, after[name].own)}
    assert moved == {"van.cap_pressure_fitted"}
    assert np.ptp(after["van.cap_pressure_fitted"].own) == 0


def test_a_case_is_changed_and_nothing_else_of_it() -> None:
    build = demo("van")
    (air,) = tried(["hill.air = 30 °C"], build)

    def hot(study: CoolantStudy) -> float:
        return float(np.median(study.cases["hill"].state.temperatures[HEAD]))

    cool = coolant_study(changed(build, air.trials), 64, only=("hill",), judged=False)
    assert np.all(cool.cases["hill"].state.case.air == 303.15)
    usual = coolant_study(build, 64, only=("hill",), judged=False)
    assert hot(cool) < hot(usual) - 5
    speed = cool.cases["hill"].state.case.road_speed
    assert np.array_equal(speed, usual.cases["hill"].state.case.road_speed)


# -- what must rise and fall -------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "sign"),
    [
        ("radiator width = 400, 520, 700 mm", -1),
        ("radiator depth = 24, 40, 52 mm", -1),
        ("engine heat = 0.5, 0.7, 0.9", 1),
        ("hill.air = 20, 30, 40 °C", 1),
        ("pump flow = 60, 110, 160 L/min", -1),
        ("fan flow = 0.3, 0.6, 0.9 m3/s", -1),
        ("glycol = 30, 50, 65 %", 1),
    ],
)
def test_the_head_gets_warmer_or_cooler_as_it_must(text: str, sign: int) -> None:
    middles = [point.steps[0].head for point in swept(text).points]
    found = np.array([each.median for each in middles if each is not None])
    assert len(found) == 3
    assert np.all(sign * np.diff(found) > 0)


def test_a_higher_cap_never_boils_sooner() -> None:
    steps = [point.steps[0] for point in swept("cap = 0.2 to 1.4 bar in 4").points]
    chances = [step.boils.probability for step in steps if step.boils is not None]
    assert chances == sorted(chances, reverse=True)
    assert chances[0] > chances[-1]


def test_where_the_chance_comes_down_is_found_between_two_steps() -> None:
    found = swept("cap = 0.2 to 1.4 bar in 4", size=256)
    (met,) = found.met
    assert met.trial.measure is not None
    value = met.trial.measure.nominal
    assert 0.2e5 < value < 1.4e5
    build = demo("van")
    at = sweep(build, tried([f"cap = {value / 1e5:.6f} bar"], build), ("hill",), 256)
    boils = at.points[0].steps[0].boils
    assert boils is not None
    assert boils.probability <= FEW
    below = sweep(build, tried([f"cap = {value / 1e5 - 0.01:.6f} bar"], build), ("hill",), 256)
    lower = below.points[0].steps[0].boils
    assert lower is not None
    assert lower.probability >= boils.probability


def test_a_stopped_sweep_keeps_what_was_done() -> None:
    build = demo("van")

    def stop(done: int, _of: int) -> None:
        if done == 1:
            raise KeyboardInterrupt

    found = sweep(build, tried(["cap = 0.9, 1.0, 1.1 bar"], build), ("hill",), 64, stop)
    assert found.stopped
    assert len(found.points) == 1


# -- the command ---------------------------------------------------------------------------


def test_the_command_prints_and_refuses(tmp_path: Path) -> None:
    run, folder = CliRunner().invoke, str(tmp_path / "van")
    run(main, ["demo", folder])
    few = ["-C", folder, "--samples", "64", "--case", "hill"]
    text = run(main, ["sweep", *few, "cap = 0.7, 1.1 bar"])
    assert text.exit_code == 0
    assert "case hill" in text.output and "as it is" in text.output
    assert max(map(len, text.output.splitlines())) <= 80
    record = json.loads(run(main, ["sweep", *few, "--json", "cap = 0.7, 1.1 bar"]).output)
    nominal = [point["values"][0]["nominal"] for point in record["points"]]
    assert nominal == pytest.approx([0.7e5, 1.1e5])
    assert "radiator depth" in run(main, ["sweep", "-C", folder]).output
    for bad in (["cap"], ["cap = 1 bar", "glycol = 3", "shroud = 4"], ["--samples", "3", "cap=1"]):
        found = run(main, ["sweep", "-C", folder, *bad])
        assert found.exit_code == 2
        assert "Traceback" not in found.output
    otherwise = run(main, ["circuit", "coolant", *few, "--what-if", "cap = 0.5 bar"])
    assert "under the cap of 0.5 bar" in " ".join(otherwise.output.split())
    several = run(main, ["circuit", "coolant", *few, "--what-if", "cap = 0.5, 0.7 bar"])
    assert several.exit_code == 2


# -- what holds in every sample, and in two runs against pairs ----------------------------------


def solved(*texts: str, size: int = 96, seed: int = 1) -> CoolantStudy:
    build = demo("van")
    trials = [trial for each in tried(texts, build) for trial in each.trials]
    return coolant_study(changed(build, trials), size, seed, only=("hill",), judged=False)


def warmth(study: CoolantStudy) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.asarray(study.cases["hill"].state.temperatures[HEAD])


NEAR = 0.2  # K: as near as heat and flow are balanced, twice


@pytest.mark.parametrize(
    ("less", "more"),
    [
        ("radiator width = 700 mm", "radiator width = 350 mm"),  # half of it
        ("radiator height = 600 mm", "radiator height = 300 mm"),
        ("glycol = 30 %", "glycol = 60 %"),
        ("fan = 1 m3/s", "fan = 0.3 m3/s"),
        ("pump flow = 160 L/min", "pump flow = 60 L/min"),
        ("thermostat = 78 °C", "thermostat = 92 °C"),
        ("engine heat = 0.5", "engine heat = 0.9"),
        ("hill.air = 30 °C", "hill.air = 45 °C"),
    ],
)
def test_no_sample_gets_cooler_by_less_cooling(less: str, more: str) -> None:
    cool, warm = solved(less), solved(more)
    both = cool.cases["hill"].state.converged & warm.cases["hill"].state.converged
    assert both.mean() > 0.95
    assert np.all(warmth(warm)[both] >= warmth(cool)[both] - NEAR)
    assert np.mean(warmth(warm)[both] - warmth(cool)[both]) > 0.5


def test_a_higher_cap_boils_in_no_sample_that_a_lower_one_did_not() -> None:
    def boils(study: CoolantStudy) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
        limit = study.cases["hill"].pressures.boiling[HEAD]
        return np.asarray(warmth(study) > limit)

    low, high = boils(solved("cap = 0.2 bar")), boils(solved("cap = 1.4 bar"))
    assert not np.any(high & ~low)
    assert low.sum() > high.sum()


def test_a_running_fan_cools_on_the_whole() -> None:
    """Not in each sample: in some, wind moves more air than the fan would, and it is in the way."""
    assert np.mean(warmth(solved("hill.fan = off")) - warmth(solved("hill.fan = on"))) > 2


@pytest.mark.slow
@pytest.mark.parametrize("text", ["radiator width = 540 mm", "glycol = 55 %"])
def test_pairs_tell_a_difference_far_better_than_two_runs(text: str) -> None:
    """Eight differences on one sample each, and eight between two samples: how far they scatter.

    Measured, as each sample is stratified: a formula for independent worlds would make two runs
    look six times as bad as they are.
    """
    before = np.array([warmth(solved(seed=seed)).mean() for seed in range(8)])
    after = np.array([warmth(solved(text, seed=seed)).mean() for seed in range(8)])
    paired, apart = after - before, after - np.roll(before, 1)
    assert np.std(paired) < 0.35 * np.std(apart)
    assert np.mean(paired) == pytest.approx(np.mean(apart))  # the same runs, dealt otherwise


def test_the_difference_is_told_of_the_same_samples() -> None:
    step = swept("radiator width = 540 mm", size=96).points[0].steps[0]
    assert step.difference is not None
    pairs = warmth(solved("radiator width = 540 mm")) - warmth(solved())
    assert step.difference.mean == pytest.approx(pairs.mean())
    assert step.difference.standard_error == pytest.approx(pairs.std(ddof=1) / np.sqrt(96))
    assert step.difference.standard_error < 0.1 * warmth(solved()).std() / np.sqrt(96)


@pytest.mark.slow
def test_the_error_that_is_told_covers_what_other_samples_say() -> None:
    step = swept("radiator width = 540 mm", size=96).points[0].steps[0]
    assert step.difference is not None
    found = [
        (warmth(solved("radiator width = 540 mm", seed=seed)) - warmth(solved(seed=seed))).mean()
        for seed in range(8)
    ]
    assert np.std(found, ddof=1) < 1.5 * step.difference.standard_error
    assert step.difference.mean == pytest.approx(
        np.mean(found), abs=3 * step.difference.standard_error
    )
