"""Columns of a sample: stratified, repeatable, strangers to each other."""

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.chance.samples import LARGEST, Sample

UNCHANGED = (0.6870034798339, 0.3724296757428, 0.923549848696, 0.2014657939144)
names = st.text(min_size=1, max_size=20)


@given(st.integers(2, 300), st.integers(0, 2**40), names)
def test_every_stratum_holds_one_point(size: int, seed: int, name: str) -> None:
    column = Sample(size, seed).uniform(name)
    assert sorted(np.floor(column * size)) == list(range(size))
    assert np.all((column > 0) & (column < 1))


def test_points_are_spread_within_their_strata() -> None:
    # Uniform places: variance 1/12 with a relative error of 0.9 / sqrt(size).
    place = Sample(10_000).uniform("bore") * 10_000 % 1
    assert place.mean() == pytest.approx(0.5, abs=4 * 0.2887 / 100)
    assert place.var() == pytest.approx(1 / 12, rel=4 * 0.9 / 100)


@given(names, st.integers(0, 2**40))
def test_one_world_is_the_median(name: str, seed: int) -> None:
    assert Sample(1, seed).uniform(name).tolist() == [0.5]


def test_column_hangs_on_its_id_and_seed_alone() -> None:
    sample = Sample(64, 3)
    alone = sample.uniform("bore")
    for other in ("length", "roughness", "bore "):
        assert not np.array_equal(sample.uniform(other), alone)
    assert np.array_equal(sample.uniform("bore"), alone)
    assert np.array_equal(Sample(64, 3).uniform("bore"), alone)
    assert not np.array_equal(Sample(64, 4).uniform("bore"), alone)


def test_seed_and_id_do_not_run_together() -> None:
    assert not np.array_equal(Sample(64, 1).uniform("2x"), Sample(64, 12).uniform("x"))


def test_column_is_the_same_in_another_process() -> None:
    # Python's own hash of a text differs by process; this one must not.
    script = "from swapwright.chance.samples import Sample; print(*Sample(8, 5).uniform('bore'))"
    said = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, encoding="utf-8"
    ).stdout
    assert [float(word) for word in said.split()] == Sample(8, 5).uniform("bore").tolist()


def test_column_unchanged() -> None:
    column = Sample(4).uniform("bore")
    assert column == pytest.approx(UNCHANGED, abs=1e-12)


@pytest.mark.parametrize("bend", ["straight", "folded"])
def test_two_hundred_columns_are_strangers(bend: str) -> None:
    # Of 19,900 pairs of independent columns 0.27 % lie beyond three standard
    # deviations (54 ± 7), and the farthest at four or so; folding each column at its
    # middle asks for more than a straight line between two.
    size = 1024
    columns = np.stack([Sample(size).uniform(f"input {k}") for k in range(200)])
    if bend == "folded":
        columns = np.abs(columns - 0.5)
    columns -= columns.mean(axis=1, keepdims=True)
    columns /= np.sqrt((columns**2).mean(axis=1, keepdims=True))
    far = np.abs((columns @ columns.T / size)[np.triu_indices(200, 1)]) * np.sqrt(size)
    assert np.sqrt(np.mean(far**2)) == pytest.approx(1.0, abs=0.03)
    assert np.mean(far > 3) < 0.0045
    assert far.max() < 5


def test_columns_of_two_seeds_are_strangers() -> None:
    size = 1024
    first, second = (
        np.stack([Sample(size, seed).uniform(f"input {k}") for k in range(200)]) - 0.5
        for seed in (0, 1)
    )
    pairs = (first * second).mean(axis=1) * 12
    assert np.abs(pairs).max() * np.sqrt(size) < 4.2


def test_mean_of_a_smooth_law_is_far_better_than_by_chance() -> None:
    # The point of strata: independent draws would err by 0.26 / sqrt(1024) = 0.008.
    assert np.exp(Sample().uniform("a")).mean() == pytest.approx(np.e - 1, abs=1e-4)


@pytest.mark.parametrize("size", [0, -3, LARGEST + 1])
def test_size_out_of_range_is_refused(size: int) -> None:
    with pytest.raises(ValueError, match=f"size must be between 1 and 1048576, got {size}"):
        Sample(size)


def test_largest_sample_stays_below_one() -> None:
    column = Sample(LARGEST).uniform("x")
    assert 0 < column.min() < column.max() < 1


def test_negative_seed_is_refused() -> None:
    with pytest.raises(ValueError, match="seed must not be negative, got -1"):
        Sample(8, -1)


def test_nameless_input_is_refused() -> None:
    with pytest.raises(ValueError, match="an input needs an id"):
        Sample(8).uniform("")


def test_nothing_heavy_is_loaded() -> None:
    script = (
        "import sys, swapwright.chance.samples, swapwright.chance.columns, "
        "swapwright.chance.results, swapwright.chance.shares, swapwright.chance.worth; "
        "print(*[m for m in sys.modules if m.split('.')[0] == 'scipy'])"
    )
    said = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, encoding="utf-8"
    ).stdout
    assert said.split() == []
