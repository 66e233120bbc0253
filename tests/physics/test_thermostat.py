"""A valve and the temperature that its opening decides."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from swapwright.physics.thermostat import balance, opening


def test_opening_is_straight_between_start_and_full() -> None:
    assert opening([350.0, 361.0, 367.0, 373.0, 400.0], 361.0, 373.0) == pytest.approx(
        [0, 0, 0.5, 1, 1]
    )
    with pytest.raises(ValueError, match="full must lie above"):
        opening(360.0, 361.0, 361.0)


@given(
    ambient=st.floats(250, 320),
    rise=st.floats(20, 200),
    steepness=st.floats(0.5, 400),
)
def test_balance_agrees_with_a_scalar_root(ambient: float, rise: float, steepness: float) -> None:
    """A circuit whose temperature falls with the opening, against scipy's brentq."""
    starts, full = 361.0, 373.0

    def sensed(share: np.ndarray) -> np.ndarray:
        return ambient + rise / (1 + steepness * share)

    found = balance(
        lambda t, _at: sensed(opening(t, starts, full)), np.array([starts]), np.array([full])
    )
    if sensed(np.zeros(1))[0] <= starts:
        wanted = sensed(np.zeros(1))[0]
    elif sensed(np.ones(1))[0] >= full:
        wanted = sensed(np.ones(1))[0]
    else:
        gap = lambda t: float(sensed(opening(np.array([t]), starts, full))[0]) - t  # noqa: E731
        wanted = brentq(gap, starts, full, xtol=1e-12)
    assert found.converged.all()
    assert found.temperature[0] == pytest.approx(wanted, abs=0.02)


def test_many_samples_settle_at_once() -> None:
    rng = np.random.default_rng(4)
    gain = np.exp(rng.uniform(-1, 6, 4000))
    base, rise = rng.uniform(260, 340, 4000), rng.uniform(10, 250, 4000)
    starts, full = np.full(4000, 361.0), np.full(4000, 373.0)
    asked = np.zeros(4000, int)

    def answer(t: np.ndarray, at: np.ndarray) -> np.ndarray:
        asked[at] += 1
        return np.asarray(base[at] + rise[at] / (1 + gain[at] * opening(t, starts[at], full[at])))

    found = balance(answer, starts, full)
    assert asked.max() < 30
    assert asked.mean() < 8
    assert found.converged.all()
    share = opening(found.temperature, starts, full)
    inside = (share > 0) & (share < 1)
    assert inside.sum() > 500
    told = base + rise / (1 + gain * share)
    assert np.abs(told - found.temperature)[inside].max() < 0.02


def test_what_is_not_a_number_is_not_converged() -> None:
    starts, full = np.full(3, 361.0), np.full(3, 373.0)
    found = balance(
        lambda t, at: np.where(at == 1, np.nan, 370.0 - 5 * opening(t, starts[at], full[at])),
        starts,
        full,
    )
    assert found.converged.tolist() == [True, False, True]
