"""Two seeds agree within the errors that each states."""

import numpy as np
import pytest

from swapwright.chance.columns import measured, yes_or_no
from swapwright.chance.results import above
from swapwright.chance.samples import Floats, Sample
from swapwright.chance.shares import Shares, spread_shares
from swapwright.chance.worth import Decision, decide
from swapwright.quantity import read_measure

FAR = 4.0  # standard errors of a difference; one pair in 16,000 lies beyond


def pressures(sample: Sample) -> tuple[Floats, dict[str, Floats]]:
    """Pressure drop of a hose with a clogged strainer or without. [Pa]"""
    texts = {"flow": "20 ± 6 L/min", "bore": "16 ± 1.5 mm", "length": "0.9 ± 0.3 m"}
    inputs = {key: measured(sample, key, read_measure(text)) for key, text in texts.items()}
    clogged = yes_or_no(sample, "clogged", 0.15)
    velocity = inputs["flow"] / (np.pi / 4 * inputs["bore"] ** 2)
    loss = 0.03 * inputs["length"] / inputs["bore"] + 1.5 + 6 * clogged
    return 500 * velocity**2 * loss, inputs | {"clogged": clogged.astype(np.float64)}


def shares(seed: int, size: int) -> Shares:
    drop, inputs = pressures(Sample(size, seed))
    return spread_shares(drop, inputs)


def decision(seed: int, size: int) -> Decision:
    drop, inputs = pressures(Sample(size, seed))
    losses = {"leave": np.where(drop > 6000, 200.0, 0.0), "renew": np.full(size, 45.0)}
    return decide(losses, inputs)


@pytest.mark.parametrize("size", [512, 4096])
def test_seeds_agree_on_a_probability(size: int) -> None:
    one, other = (above(pressures(Sample(size, seed))[0], 6000.0) for seed in (0, 1))
    error = np.hypot(one.standard_error, other.standard_error)
    assert one.probability != other.probability
    assert abs(one.probability - other.probability) < FAR * error


@pytest.mark.parametrize("size", [512, 4096])
def test_seeds_agree_on_shares(size: int) -> None:
    one, other = (
        {s.name: s for s in (*found.inputs, found.remainder)}
        for found in (shares(0, size), shares(1, size))
    )
    for name, share in one.items():
        error = np.hypot(share.standard_error, other[name].standard_error)
        assert 0 < abs(share.value - other[name].value) < FAR * error
        assert error < 0.1


@pytest.mark.parametrize("size", [512, 4096])
def test_seeds_agree_on_worth(size: int) -> None:
    one, other = decision(0, size), decision(1, size)
    assert one.best == other.best
    pairs = [(one.knowing(name), other.knowing(name)) for name in ("flow", "bore", "clogged")]
    pairs.append((one.after_measuring("bore", 3e-4), other.after_measuring("bore", 3e-4)))
    pairs.append((one.everything, other.everything))
    for first, second in pairs:
        error = np.hypot(first.standard_error, second.standard_error)
        assert abs(first.value - second.value) < FAR * error
        assert error < 10  # of 45 at stake
