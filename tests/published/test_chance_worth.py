"""Worth of knowing against the unit normal loss integral and other closed forms."""

from math import erfc, exp, pi, sqrt

import numpy as np
import pytest

from swapwright.chance.columns import normal, rectangular
from swapwright.chance.samples import Sample
from swapwright.chance.worth import Decision, decide


def unit_loss(deviations: float) -> float:
    """Unit normal loss integral: mean of what a unit normal number exceeds a limit by."""
    density = exp(-deviations * deviations / 2) / sqrt(2 * pi)
    return density - deviations * erfc(deviations / sqrt(2)) / 2


# Table of the unit normal loss integral, Raiffa, Schlaifer 1961, Applied Statistical
# Decision Theory, and most textbooks after it (from memory; four figures).
TABLE = [(0.0, 0.3989), (0.5, 0.1978), (1.0, 0.08332), (1.5, 0.02931), (2.0, 0.008491)]


@pytest.mark.parametrize("deviations, loss", TABLE)
def test_unit_loss_is_the_printed_one(deviations: float, loss: float) -> None:
    assert unit_loss(deviations) == pytest.approx(loss, abs=6e-5)


# Two options: keep, or change at a gain of mean m that is linear in independent normal
# inputs. Knowing an input that gives the gain a deviation s is worth s L(|m| / s); knowing
# all, the same with the whole deviation (Raiffa, Schlaifer 1961, ch. 5A; Strong, Oakley,
# Brennan 2014 estimate what this has in closed form).
SLOPES = {"a": 3.0, "b": 2.0, "c": 1.0, "d": 0.5, "idle": 0.0}
SPREADS = {"a": 1.0, "b": 2.0, "c": 1.0, "d": 1.0, "idle": 1.0}


def linear(sample: Sample, mean: float) -> Decision:
    x = {key: normal(sample.uniform(key), 0.0, u) for key, u in SPREADS.items()}
    gain = mean + sum(SLOPES[key] * x[key] for key in x)
    return decide({"keep": np.zeros(sample.size), "change": -gain}, x)


@pytest.mark.parametrize("mean", [-1.0, 0.0, 2.0])
@pytest.mark.parametrize("size, slack", [(1024, 4e-3), (8192, 5e-4)])
def test_linear_gain(mean: float, size: int, slack: float) -> None:
    for seed in range(3):
        found = linear(Sample(size, seed), mean)
        for key, slope in SLOPES.items():
            spread = abs(slope) * SPREADS[key]
            truth = spread * unit_loss(abs(mean) / spread) if spread else 0.0
            assert found.knowing(key).value == pytest.approx(truth, abs=slack), key
        whole = sqrt(sum((SLOPES[key] * SPREADS[key]) ** 2 for key in SLOPES))
        error = found.everything.standard_error
        assert found.everything.value == pytest.approx(
            whole * unit_loss(abs(mean) / whole), abs=3 * error
        )
        assert error < 0.12 * sqrt(1024 / size)


@pytest.mark.parametrize("accuracy", [0.2, 1.0, 2.0, 10.0])
@pytest.mark.parametrize("mean", [-1.0, 0.5])
def test_reading_of_an_input(mean: float, accuracy: float) -> None:
    # A reading of accuracy e gives the mean of an input of deviation u, known afterwards, the
    # deviation u² / √(u² + e²); it takes the place of u above (Raiffa, Schlaifer 1961, 5.5).
    found = linear(Sample(8192, 1), mean)
    for key in ("a", "b"):
        spread = SPREADS[key]
        left = SLOPES[key] * spread**2 / sqrt(spread**2 + accuracy**2)
        worth = found.after_measuring(key, accuracy).value
        assert worth == pytest.approx(left * unit_loss(abs(mean) / left), abs=2e-3)


@pytest.mark.parametrize("size", [1024, 8192])
def test_noise_from_inputs_that_act_together(size: int) -> None:
    # The same, but most of the gain's spread comes from c d, which neither tells alone: a
    # regression has to find a's line in that noise.
    for seed in range(4):
        sample = Sample(size, seed)
        x = {key: normal(sample.uniform(key), 0.0, 1.0) for key in ("a", "b", "c", "d")}
        gain = 0.5 + x["a"] + 3 * x["c"] * x["d"]
        found = decide({"keep": np.zeros(size), "change": -gain}, x)
        worth = found.knowing("a")
        assert worth.value == pytest.approx(unit_loss(0.5), abs=4 * worth.standard_error)
        assert worth.standard_error < 0.1 * sqrt(1024 / size)
        for key in ("b", "c", "d"):
            idle = found.knowing(key)
            assert idle.value < max(idle.floor, 3 * idle.standard_error), key


def test_reading_of_an_input_far_from_zero() -> None:
    # As above, with an input of mean 50: a reading and its input must not be confounded.
    sample = Sample(8192, 4)
    x = {"far": normal(sample.uniform("far"), 50.0, 2.0), "idle": sample.uniform("idle")}
    found = decide({"keep": np.full(8192, 51.0), "change": x["far"]}, x)
    for accuracy in (0.1, 1.0, 3.0, 20.0):
        left = 4 / sqrt(4 + accuracy**2)
        worth = found.after_measuring("far", accuracy).value
        assert worth == pytest.approx(left * unit_loss(1 / left), abs=4e-4)


@pytest.mark.parametrize("limit", [0.5, 2.0])
def test_reading_of_a_lopsided_input(limit: float) -> None:
    # Exponential input of mean 1, option at a fixed limit. Bayes' rule on a fine grid of both
    # input and reading, integrated directly with numpy.
    accuracy = 0.5
    chances = (np.arange(2000) + 0.5) / 2000
    places = -np.log1p(-chances)
    readings = np.linspace(-3, 14, 1001)
    density = np.exp(-0.5 * ((readings[:, None] - places) / accuracy) ** 2)
    density /= accuracy * sqrt(2 * pi)
    chance = density.mean(axis=1)
    weighed = (density * (places - limit)).mean(axis=1)
    step = readings[1] - readings[0]
    truth = min(1 - limit, 0.0) - float(np.minimum(weighed, 0).sum() * step)
    assert float(chance.sum() * step) == pytest.approx(1, abs=1e-4)
    column = -np.log1p(-Sample(8192).uniform("x"))
    found = decide({"keep": np.full(8192, limit), "change": column}, {"x": column})
    assert found.after_measuring("x", accuracy).value == pytest.approx(truth, abs=1e-3)


def test_quadratic_gain_of_a_rectangular_input() -> None:
    # Gain x² - 1/4 for x even over -1 to 1: mean 1/12, so change. Knowing x, keep between
    # ±1/2, which saves the mean of (1/4 - x²) there: ∫₀^½ (1/4 - x²) dx = 1/12.
    sample = Sample(4096)
    x = {"x": rectangular(sample.uniform("x"), 0.0, 1.0)}
    found = decide({"keep": np.zeros(4096), "change": 0.25 - x["x"] ** 2}, x)
    assert found.best == "change"
    assert found.losses[1] == pytest.approx(-1 / 12, abs=1e-5)
    assert found.knowing("x").value == pytest.approx(1 / 12, abs=1e-4)
    assert found.everything.value == pytest.approx(1 / 12, abs=1e-4)


def test_three_options() -> None:
    # Losses x, -x and 0 for a unit normal x: knowing it, the mean of -|x| = -√(2/π).
    sample = Sample(4096)
    x = {"x": normal(sample.uniform("x"), 0.0, 1.0), "idle": sample.uniform("idle")}
    found = decide({"up": -x["x"], "down": x["x"], "stay": np.zeros(4096)}, x)
    assert found.knowing("x").value == pytest.approx(sqrt(2 / pi), abs=1e-3)
    assert found.knowing("idle").value == pytest.approx(0, abs=1e-3)
