"""Quantiles and Wilson's interval against published examples and scipy."""

import numpy as np
import pytest
from scipy import stats

from swapwright.chance.results import above, quantiles

# Newcombe 1998, Statistics in Medicine 17: 857-872, table I, method 3 (score, without
# continuity correction), from memory; scipy agrees below.
SCORE = [  # crossing, of, lower, upper
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]


@pytest.mark.parametrize("crossing, size, low, high", SCORE)
def test_interval_agrees_with_newcombe(crossing: int, size: int, low: float, high: float) -> None:
    found = above(np.arange(size) < crossing, 0.5)
    assert (found.low, found.high) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize("crossing, size", [(0, 7), (3, 7), (40, 1000), (512, 512)])
def test_interval_agrees_with_scipy(crossing: int, size: int) -> None:
    # scipy.stats 1.x, binomtest(...).proportion_ci("wilson")
    found = above(np.arange(size) < crossing, 0.5)
    for confidence, low, high in (
        (0.95, found.low, found.high),
        (0.6826894921370859, None, None),
    ):
        peer = stats.binomtest(crossing, size).proportion_ci(confidence, method="wilson")
        if low is None:
            # our standard error is half of the interval one deviation wide
            assert found.standard_error == pytest.approx((peer.high - peer.low) / 2, rel=1e-9)
        else:
            assert (low, high) == pytest.approx((peer.low, peer.high), abs=1e-12)


def test_failed_worlds_agree_with_the_worst_cases_in_scipy() -> None:
    # 30 cross, 50 do not, 20 have no value: 30 of 100 at the least, 50 at the most.
    values = np.concatenate((np.ones(30), np.zeros(50), np.full(20, np.nan)))
    found = above(values, 0.5)
    least = stats.binomtest(30, 100).proportion_ci(method="wilson")
    most = stats.binomtest(50, 100).proportion_ci(method="wilson")
    assert (found.low, found.high) == pytest.approx((least.low, most.high), abs=1e-12)
    assert found.probability == 30 / 80


def test_quantiles_agree_with_tables_of_the_normal_distribution() -> None:
    # z(0.95) = 1.6449; the middles of 2001 strata.
    column = stats.norm.ppf((np.arange(2001) + 0.5) / 2001)
    found = quantiles(column)
    assert (found.low, found.median, found.high) == pytest.approx((-1.6449, 0, 1.6449), abs=1e-3)


def test_quantiles_are_hyndman_and_fans_type_8() -> None:
    # Hyndman, Fan 1996: position p (n + 1/3) + 1/3. For n = 32 and p = 0.05 it is 1.95.
    found = quantiles(np.arange(1.0, 33.0))
    assert found.low == pytest.approx(0.05 * (32 + 1 / 3) + 1 / 3, rel=1e-12)
    assert found.high == pytest.approx(33 - found.low, rel=1e-12)
