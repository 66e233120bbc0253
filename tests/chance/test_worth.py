"""Worth of knowing: properties, errors, verdicts."""

from itertools import pairwise
from math import inf, nan
from time import process_time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.special import ndtri

from swapwright.chance.columns import choice, yes_or_no
from swapwright.chance.samples import Sample
from swapwright.chance.worth import Decision, Verdict, Worth, decide

Floats = NDArray[np.float64]


def normals(sample: Sample, count: int) -> dict[str, Floats]:
    return {f"x{k}": ndtri(sample.uniform(f"x{k}")) for k in range(count)}


def thrown_together(sample: Sample) -> Decision:
    """Three options; x0 and x1 count, x2 only together with x0, x3 not at all."""
    x = normals(sample, 4)
    keep = np.zeros(sample.size)
    mend = 0.4 + x["x0"] + 1.5 * x["x0"] * x["x2"]
    renew = 0.2 - 2 * x["x1"] + np.maximum(x["x0"], 0)
    return decide({"keep": keep, "mend": mend, "renew": renew}, x)


def test_best_is_the_option_of_least_mean_loss() -> None:
    x = normals(Sample(256), 1)
    found = decide({"a": 2 + x["x0"], "b": np.full(256, 1.5), "c": 3 + 0 * x["x0"]}, x)
    assert found.best == "b"
    assert found.options == ("a", "b", "c")
    assert found.losses == pytest.approx((2, 1.5, 3), abs=1e-3)


def test_worths_come_with_the_most_first() -> None:
    x = normals(Sample(1024), 4)
    gain = 0.1 + x["x2"] + 2 * x["x0"] - 3 * x["x3"]
    found = decide({"keep": np.zeros(1024), "new": -gain}, x)
    assert [worth.name for worth in found.by_worth()] == ["x3", "x0", "x2", "x1"]


def test_error_grows_by_what_the_fit_has_spent() -> None:
    # Thirty inputs take a fifth of 480 worlds; the noise of one left alone is the truth to
    # match, seen through seeds: with x29 idle, its apparent worth under the floor 19 in 20.
    below = []
    for seed in range(12):
        x = normals(Sample(480, seed), 30)
        gain = sum(x[f"x{2 * k}"] * x[f"x{2 * k + 1}"] for k in range(15))
        found = decide({"keep": np.zeros(480), "new": -np.asarray(gain)}, x)
        below += [worth.value < worth.floor for worth in found.by_worth()]
    assert 0.9 < np.mean(below) < 1


def test_knowing_a_yes_or_no_is_worth_what_it_saves() -> None:
    # Renewing costs 5, not renewing 15 if it is cracked (3 in 10): 4.5 a time, so it stays.
    # Knowing, 5 is paid 3 times in 10: 1.5, which saves 3.
    cracked = yes_or_no(Sample(2000), "cracked", 0.3)
    found = decide(
        {"stays": np.where(cracked, 15.0, 0.0), "renewed": np.full(2000, 5.0)},
        {"cracked": cracked, "idle": Sample(2000).uniform("idle")},
    )
    assert found.best == "stays"
    assert found.knowing("cracked").value == pytest.approx(3, abs=0.01)
    assert found.everything.value == pytest.approx(3, abs=0.01)
    assert found.knowing("cracked").verdict(2.5) == Verdict.WORTH_IT
    assert found.knowing("cracked").verdict(3.1) == Verdict.NOT_WORTH_IT


def test_knowing_one_of_several_words() -> None:
    # Each option is right for one kind and costs 6 else; the commonest kind is 1/2.
    kind = choice(Sample(3000), "kind", {"a": 3, "b": 2, "c": 1})
    losses = {key: np.where(kind == key, 0.0, 6.0) for key in "abc"}
    found = decide(losses, {"kind": kind})
    assert found.best == "a"
    assert found.knowing("kind").value == pytest.approx(3, abs=0.01)


def test_no_worth_where_one_option_is_always_best() -> None:
    x = normals(Sample(512), 3)
    found = decide({"good": x["x0"], "bad": x["x0"] + 1 + x["x1"] ** 2}, x)
    for worth in (*found.by_worth(), found.everything):
        assert worth.value == pytest.approx(0, abs=1e-12)
    assert found.knowing("x1").verdict(0.01) == Verdict.NOT_WORTH_IT


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.floats(-3, 3), st.floats(0.1, 3))
def test_worth_is_never_negative_nor_above_that_of_everything(
    seed: int, shift: float, scale: float
) -> None:
    x = normals(Sample(128, seed), 3)
    gain = shift + scale * x["x0"] + x["x1"] * x["x2"]
    found = decide({"keep": np.zeros(128), "new": -gain}, x)
    assert found.everything.value >= 0
    for worth in (*found.by_worth(), found.after_measuring("x0", 0.3)):
        assert 0 <= worth.value <= found.everything.value


def test_worth_only_hangs_on_differences() -> None:
    x = normals(Sample(1024), 3)
    gain = 0.3 + x["x0"] + x["x1"] * x["x2"]
    plain = decide({"keep": np.zeros(1024), "new": -gain}, x)
    common = 1e3 * x["x2"] ** 2
    moved = decide({"keep": 7 + 2 * common, "new": 7 - 2 * gain + 2 * common}, x)
    for name in x:
        assert moved.knowing(name).value == pytest.approx(2 * plain.knowing(name).value, abs=1e-6)
    turned = decide({"new": -gain, "keep": np.zeros(1024)}, x)
    assert turned.knowing("x0") == plain.knowing("x0")


def test_option_nobody_would_take_changes_little() -> None:
    x = normals(Sample(2048), 3)
    gain = 0.3 + x["x0"] + x["x1"] * x["x2"]
    two = decide({"keep": np.zeros(2048), "new": -gain}, x).knowing("x0")
    three = decide(
        {"keep": np.zeros(2048), "new": -gain, "silly": 50 + x["x1"]}, x
    ).knowing("x0")  # fmt: skip
    assert three.value == pytest.approx(two.value, abs=0.5 * two.standard_error)


def test_measuring_lies_between_nothing_and_knowing() -> None:
    found = thrown_together(Sample(2048))
    for name in ("x0", "x1", "x2", "x3"):
        values = [found.after_measuring(name, a).value for a in (1e-4, 0.1, 0.5, 2.0, 1e3)]
        slack = 0.5 * found.knowing(name).standard_error
        assert values[0] == pytest.approx(found.knowing(name).value, abs=slack)
        assert all(worse <= better + slack for better, worse in pairwise(values))
        assert values[-1] < 0.01


def asked(decision: Decision) -> tuple[Worth, ...]:
    return (
        decision.everything,
        *(decision.knowing(name) for name in ("x0", "x1")),
        *(decision.after_measuring(name, 0.7) for name in ("x0", "x1")),
    )


@pytest.mark.slow
@pytest.mark.parametrize("size", [256, 2048])
def test_errors_are_what_seeds_differ_by(size: int) -> None:
    runs = [asked(thrown_together(Sample(size, seed))) for seed in range(40)]
    truths = asked(thrown_together(Sample(2**15, 99)))
    for case, truth in enumerate(truths):
        off = np.array([run[case].value - truth.value for run in runs])
        stated = np.array([run[case].standard_error for run in runs])
        # Forty draws tell a deviation to 11 %; strata may keep it below the stated one.
        assert 0.2 < np.sqrt(np.mean((off / stated) ** 2)) < 1.3, truth
        assert abs(off.mean()) < 4 * off.std() / np.sqrt(40), truth  # no lean


@pytest.mark.slow
def test_idle_inputs_are_not_called_worth_it() -> None:
    # Two options that are nearly even, much noise, nine idle inputs, thirty seeds.
    said = []
    for seed in range(30):
        x = normals(Sample(1024, seed), 12)
        gain = 0.05 * x["x0"] + 3 * x["x1"] * x["x2"]
        found = decide({"keep": np.zeros(1024), "new": -gain}, x)
        said += [found.knowing(f"x{k}").verdict() for k in range(3, 12)]
    # A floor that one idle input in twenty passes, and two standard errors on top.
    assert np.mean([verdict is Verdict.WORTH_IT for verdict in said]) <= 0.05
    assert Verdict.CANNOT_TELL in said


def test_small_worth_below_the_noise_cannot_be_told() -> None:
    x = normals(Sample(1024), 3)
    gain = 0.05 * x["x0"] + 3 * x["x1"] * x["x2"]
    found = decide({"keep": np.zeros(1024), "new": -gain}, x)
    assert found.knowing("x0").verdict() is Verdict.CANNOT_TELL
    assert found.knowing("x0").floor > 0.05  # more than all it can be worth, 0.02
    assert found.everything.verdict() is Verdict.WORTH_IT


@pytest.mark.parametrize(
    "value, error, floor, cost, verdict",
    [
        (10.0, 1.0, 2.0, 0.0, "worth it"),
        (10.0, 1.0, 2.0, 7.9, "worth it"),
        (10.0, 1.0, 2.0, 8.1, "cannot tell"),
        (10.0, 1.0, 2.0, 11.9, "cannot tell"),
        (10.0, 1.0, 2.0, 12.0, "not worth it"),
        (10.0, 1.0, 13.0, 0.0, "cannot tell"),
        (10.0, 1.0, 13.0, 12.9, "cannot tell"),
        (10.0, 1.0, 13.0, 13.0, "not worth it"),
        (0.0, 0.0, 0.0, 0.0, "not worth it"),
    ],
)
def test_verdicts(value: float, error: float, floor: float, cost: float, verdict: str) -> None:
    assert Worth("x", value, error, floor).verdict(cost) == verdict


@pytest.mark.parametrize("cost", [-1.0, nan, inf])
def test_cost_that_is_none_is_refused(cost: float) -> None:
    with pytest.raises(ValueError, match="cost must be finite and not negative"):
        Worth("x", 1.0, 0.1, 0.0).verdict(cost)


def test_failed_worlds_are_left_out_and_counted() -> None:
    x = normals(Sample(512), 2)
    new = -x["x0"] + 0.2
    new[:10] = nan
    converged = np.ones(512, dtype=bool)
    converged[10:30] = False
    found = decide({"keep": np.zeros(512), "new": new}, x, converged)
    assert (found.size, found.not_converged) == (512, 30)
    assert found.knowing("x0").value == pytest.approx(found.everything.value, rel=0.02)


def test_what_cannot_be_weighed_is_refused() -> None:
    x = normals(Sample(64), 2)
    nought = np.zeros(64)
    with pytest.raises(ValueError, match="two options or more, got 1"):
        decide({"keep": nought}, x)
    with pytest.raises(ValueError, match="columns alike"):
        decide({"keep": nought, "new": np.zeros(63)}, x)
    with pytest.raises(ValueError, match="none of 64 worlds converged"):
        decide({"keep": nought, "new": np.full(64, inf)}, x)
    with pytest.raises(ValueError, match="x0 and x0 again move together"):
        decide({"keep": nought, "new": x["x0"]}, x | {"x0 again": x["x0"]})


def test_reading_that_is_none_is_refused() -> None:
    x: dict[str, NDArray[np.generic]] = {"x0": Sample(64).uniform("x0")}
    x["switch"] = yes_or_no(Sample(64), "switch", 0.4)
    found = decide({"keep": np.zeros(64), "new": np.asarray(x["x0"]) - 0.5}, x)
    for accuracy in (0.0, -1.0, nan, inf):
        with pytest.raises(ValueError, match="x0: accuracy must be positive and finite"):
            found.after_measuring("x0", accuracy)
    with pytest.raises(ValueError, match="switch: has only 2 values"):
        found.after_measuring("switch", 0.1)
    with pytest.raises(KeyError, match="x9"):
        found.knowing("x9")


@pytest.mark.slow
def test_thirty_inputs_take_less_than_a_tenth_of_a_second() -> None:
    x = normals(Sample(8192), 30)
    gain = np.asarray(sum((k + 1) * x[f"x{k}"] for k in range(30))) + 20 * x["x1"] * x["x2"]
    took = []
    for _ in range(10):
        start = process_time()
        decide({"keep": np.zeros(8192), "new": -gain}, x).by_worth()
        took.append(process_time() - start)
    assert min(took) < 0.1
