"""Quantiles and crossings; worlds that did not converge are never lost."""

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.chance.results import above, below, known_worlds, quantiles
from swapwright.chance.samples import Sample


def test_quantiles_of_a_uniform_column() -> None:
    found = quantiles(Sample(1000).uniform("x") * 100)
    assert (found.low, found.median, found.high) == pytest.approx((5, 50, 95), abs=0.15)
    assert (found.lowest, found.highest) == (found.low, found.high)
    assert (found.size, found.not_converged) == (1000, 0)


def test_one_world_has_one_value() -> None:
    found = quantiles([3.5])
    assert (found.low, found.median, found.high) == (3.5, 3.5, 3.5)


def test_failed_worlds_are_counted_and_widen_the_range() -> None:
    values = np.arange(1.0, 1001.0)
    converged = np.ones(1000, dtype=bool)
    converged[480:500] = False  # 2 %
    found = quantiles(values, converged)
    assert found.not_converged == 20
    assert found.size == 1000
    # Type 8 wants rank 0.05 (1000 + 1/3) + 1/3 = 50.35 of all; had the failed ones lain
    # below all others, it would fall between the 30th and 31st of the rest.
    assert (found.lowest, found.highest) == (30, 971)
    assert found.low > found.lowest
    assert found.high < found.highest


def test_rank_of_the_lower_end_is_the_whole_one() -> None:
    # 34 worlds: rank 0.05 (34 + 1/3) + 1/3 = 2.05, of which the failed one takes the first.
    values = np.arange(34.0)
    values[20] = nan
    assert quantiles(values).lowest == 0
    assert quantiles(values).highest == 33


def test_too_many_failed_worlds_leave_the_range_open() -> None:
    values = np.arange(100.0)
    values[::10] = nan
    found = quantiles(values)
    assert found.not_converged == 10
    assert (found.lowest, found.highest) == (-inf, inf)
    assert found.low == pytest.approx(5, abs=1.5)


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=60), st.integers(0, 5))
def test_range_holds_whatever_failed_worlds_would_have_given(
    good: list[float], failed: int
) -> None:
    values = np.array([*good, *[nan] * failed])
    found = quantiles(values)
    assert found.low <= found.median <= found.high
    for guess in (-2e6, 2e6):
        filled = np.where(np.isnan(values), guess, values)
        low, high = np.quantile(filled, (0.05, 0.95), method="median_unbiased")
        assert found.lowest <= low or failed == 0
        assert found.highest >= high or failed == 0


def test_crossing_counts_each_side() -> None:
    values = np.arange(10.0)
    assert above(values, 6.5).probability == 0.3
    assert above(values, 7.0).probability == 0.2  # on the limit is not above it
    assert below(values, 7.0).probability == 0.7
    assert below(values, 3.0).probability == 0.3
    assert above(values, np.arange(10.0)[::-1]).probability == 0.5


def test_crossing_counts_failed_worlds_both_ways() -> None:
    values = np.arange(1000.0)
    values[:100] = nan
    found = above(values, 499.5)
    assert found.probability == pytest.approx(500 / 900)
    assert (found.size, found.not_converged) == (1000, 100)
    none, all_of_them = (
        above(np.nan_to_num(values, nan=0), 499.5),
        above(np.nan_to_num(values, nan=1e6), 499.5),
    )
    assert found.low == none.low
    assert found.high == all_of_them.high
    assert found.low < 0.5 < 0.6 < found.high


def test_error_does_not_vanish_where_nothing_crosses() -> None:
    found = above(np.zeros(400), 1.0)
    assert found.probability == 0.0
    assert 0 < found.standard_error < 0.01
    assert found.low == pytest.approx(0.0, abs=1e-15)
    assert 0.005 < found.high < 0.015  # three in 400 by the rule of three
    every = below(np.zeros(400), 1.0)
    assert every.probability == 1.0
    assert every.high == pytest.approx(1.0, abs=1e-15)
    assert every.standard_error == found.standard_error


def test_interval_stays_between_nothing_and_all() -> None:
    for size in range(1, 200):
        found = above(np.ones(size), 0.0)
        assert 0 <= found.low < found.high <= 1
        assert above(np.zeros(size), 0.0).low >= 0


def test_error_is_the_binomial_one_in_the_middle() -> None:
    found = above(np.arange(10_000.0), 6999.5)
    assert found.standard_error == pytest.approx(sqrt(0.3 * 0.7 / 10_000), rel=1e-3)


def test_error_bounds_what_seeds_differ_by() -> None:
    # A sum of four inputs: strata help, so that the stated error is on the wide side,
    # and not by more than three times.
    found = []
    for seed in range(60):
        sample = Sample(512, seed)
        total = sum(sample.uniform(f"x{k}") for k in range(4))
        found.append(above(total, 2.6))
    scatter = np.std([each.probability for each in found])
    stated = np.mean([each.standard_error for each in found])
    assert stated / 3 < scatter < 1.1 * stated


def test_no_world_converged() -> None:
    with pytest.raises(ValueError, match="none of 2 worlds converged"):
        quantiles([nan, inf])
    with pytest.raises(ValueError, match="none of 3 worlds converged"):
        above([1, 2, 3], 2, [False, False, False])
    with pytest.raises(ValueError, match="none of 0 worlds converged"):
        quantiles([])


def test_shapes_must_agree() -> None:
    with pytest.raises(ValueError, match="converged is of"):
        quantiles([1, 2, 3], [True, False])
    with pytest.raises(ValueError, match="one axis"):
        quantiles([[1, 2], [3, 4]])
    with pytest.raises(ValueError, match="one axis"):
        above(1.0, 0.0)


def test_limit_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="limit must be a number"):
        above([1, 2], nan)
    assert above([1, 2], inf).probability == 0
    assert below([1, 2], [1.5, inf]).probability == 1


def test_world_is_known_if_every_row_is() -> None:
    table = np.array([[1, nan, 3, 4], [1, 2, inf, 4]])
    assert known_worlds(table, None).tolist() == [True, False, False, True]
    assert known_worlds(table, [0, 1, 1, 1]).tolist() == [False, False, False, True]
