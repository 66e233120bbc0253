"""Columns of values against JCGM 101:2008 and tables of distributions."""

import numpy as np
import pytest
from scipy import stats

from swapwright.chance.columns import ANYTHING, lognormal, measured, normal, rectangular
from swapwright.chance.results import above, below
from swapwright.chance.samples import Sample
from swapwright.quantity import read_measure

CHANCES = (np.arange(1000) + 0.5) / 1000


def test_deviation_of_a_rectangle() -> None:
    # JCGM 101:2008, 6.4.2.3: variance (b - a)² / 12. The strata leave out a part
    # 1/1000² of it.
    column = rectangular(CHANCES, 16.66, 0.26)
    assert column.var() == pytest.approx(0.52**2 / 12, rel=2e-6)
    # JCGM 100:2008, 4.3.7, example 1: copper expands by 16.40 to 16.92 in 10⁻⁶/°C, u = 0.15.
    written = measured(Sample(2000), "x", read_measure("16.40..16.92 ppm"))
    assert written.std() * 1e6 == pytest.approx(0.15, abs=0.005)


@pytest.mark.parametrize(
    "deviations, below_it",
    [(-3, 0.00135), (-2, 0.02275), (-1, 0.15866), (0.5, 0.69146), (1.96, 0.97500)],
)
def test_normal_column_agrees_with_tables(deviations: float, below_it: float) -> None:
    # Any table of the normal distribution; five figures.
    chances = (np.arange(100_000) + 0.5) / 100_000
    column = normal(chances, 40.0, 2.5)
    assert np.mean(column < 40 + 2.5 * deviations) == pytest.approx(below_it, abs=1.6e-5)


@pytest.mark.parametrize("median, deviation", [(2.0, 0.05), (2.0, 1.0), (0.3, 3.0)])
def test_lognormal_agrees_with_scipy(median: float, deviation: float) -> None:
    # scipy.stats 1.x, lognorm with scale = median; its shape read back from our column.
    column = lognormal(CHANCES, median, deviation)
    shape = np.log(column[975] / median) / stats.norm.ppf(CHANCES[975])
    peer = stats.lognorm(shape, scale=median)
    assert peer.std() == pytest.approx(deviation, rel=1e-9)
    assert column == pytest.approx(peer.ppf(CHANCES), rel=1e-9)


# JCGM 101:2008, 9.2: sum of four inputs of mean 0 and standard deviation 1. The shortest
# interval that holds 95 % is ±3.92 for normal inputs (9.2.2, table 2) and
# ±2√3 [2 - (3/5)^(1/4)] = ±3.88 for rectangular ones (9.2.3, table 3; note 1); from memory.
@pytest.mark.parametrize("shape, half", [("normal", 3.92), ("rectangular", 3.88)])
def test_sum_of_four_inputs(shape: str, half: float) -> None:
    sample = Sample(2**17)
    total = np.zeros(sample.size)
    for name in ("x1", "x2", "x3", "x4"):
        chances = sample.uniform(name)
        if shape == "normal":
            total += normal(chances, 0.0, 1.0, ANYTHING)
        else:
            total += rectangular(chances, 0.0, np.sqrt(3), ANYTHING)
    assert total.std() == pytest.approx(2.0, rel=0.01)
    for end in (above(total, half), below(total, -half)):
        # three standard errors of 0.0004, and the third figure of the limit
        assert end.probability == pytest.approx(0.025, abs=0.0015)
