"""Roots of rising functions: exact where mathematics knows them, and at the edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.physics.bracketing import rising_root
from swapwright.physics.inputs import Floats, between, finite, not_negative, outside, positive


def test_known_constants() -> None:
    # The Dottie number and the omega constant, 12 figures (OEIS A003957, A030178; from memory).
    dottie = rising_root(lambda x: x - np.cos(x), 0.0, 1.0)
    omega = rising_root(lambda x: x * np.exp(x) - 1, [0.0, 0.5], [1.0, 40.0])
    assert float(dottie) == pytest.approx(0.739085133215, abs=1e-12)
    assert omega == pytest.approx(0.567143290410, abs=1e-12)


@settings(deadline=None)
@given(root=st.floats(-50.0, 50.0), power=st.sampled_from([1, 3, 9, 31]))
def test_flat_and_steep_functions(root: float, power: int) -> None:
    found = float(rising_root(lambda x: (x - root) ** power, -100.0, 100.0))
    # a root of order n is felt only to the n-th root of the least number
    assert found == pytest.approx(root, abs=1e-9)


def test_a_step_is_found() -> None:
    found = rising_root(lambda x: np.where(x < [1 / 3, 7.0], -1e-9, 1e9), [0.0, 0.0], [1.0, 1e6])
    assert found == pytest.approx([1 / 3, 7.0], rel=1e-12)


def test_few_calls_do_for_a_smooth_function() -> None:
    calls = 0

    def law(x: Floats) -> Floats:
        nonlocal calls
        calls += 1
        return np.asarray(np.expm1(x / 10))

    rising_root(law, np.linspace(-30, -1, 50), np.linspace(1, 20, 50))
    assert calls <= 20


def test_ends_answer_where_nothing_crosses() -> None:
    found = rising_root(lambda x: x - np.array([-1.0, 2.0, 0.0, 1.0]), np.zeros(4), np.ones(4))
    assert found == pytest.approx([0.0, 1.0, 0.0, 1.0])


def test_what_is_no_number_stays_none() -> None:
    found = rising_root(lambda x: x - np.array([0.5, np.nan]), 0.0, 1.0)
    assert found[0] == pytest.approx(0.5)
    assert np.isnan(found[1])


@pytest.mark.parametrize("low, high", [(1.0, 0.0), (np.nan, 1.0), (0.0, np.inf)])
def test_wrong_ends_are_refused(low: float, high: float) -> None:
    with pytest.raises(ValueError, match="low and high"):
        rising_root(lambda x: x, low, high)


def test_refusals_name_the_input_and_what_was_wanted() -> None:
    with pytest.raises(ValueError, match=r"flow must be a finite number m³/s, got nan"):
        finite("flow", [1.0, np.nan], "m³/s")
    with pytest.raises(ValueError, match="bore must be above zero, got 0 m"):
        positive("bore", [1.0, 0.0], "m")
    with pytest.raises(ValueError, match=r"speed must not be negative, got -0.5 m/s"):
        not_negative("speed", -0.5, "m/s")
    with pytest.raises(ValueError, match=r"share must lie in 0 to 1, got 1.2"):
        between("share", [0.1, 1.2], 0.0, 1.0)
    with pytest.raises(ValueError, match=r"share must lie in 0 to 1, got -3"):
        between("share", [-3.0, 0.5], 0.0, 1.0)


def test_great_numbers_are_finite_still() -> None:
    assert finite("flow", [1.7e308, 1.7e308]).tolist() == [1.7e308, 1.7e308]
    assert outside(np.array([0.0, 1.0, 2.0, 3.0]), 1.0, 2.0).tolist() == [True, False, False, True]
    assert (
        positive("flow", []).size == not_negative("f", []).size == between("f", [], 0, 1).size == 0
    )
