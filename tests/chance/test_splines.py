"""Bases of inputs and their joint fit, below shares and worth."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import ndtri

from swapwright.chance.columns import choice
from swapwright.chance.samples import Sample
from swapwright.chance.splines import Basis, bases, fit, means

Floats = NDArray[np.float64]


def all_known(size: int) -> NDArray[np.bool_]:
    return np.ones(size, dtype=bool)


def functions(basis: Basis) -> Floats:
    """All functions of a basis as rows, from their effects."""
    return basis.effect(np.eye(len(basis.bins)))


def mixed(size: int) -> dict[str, Basis]:
    sample = Sample(size, 1)
    inputs: dict[str, NDArray[np.generic]] = {
        "even": sample.uniform("even"),
        "bell": ndtri(sample.uniform("bell")),
        "word": choice(sample, "word", {"a": 5, "b": 2, "c": 1}),
        "still": np.full(size, 4.2),
    }
    return bases(inputs, all_known(size))


@pytest.mark.parametrize("size", [64, 1000, 4096])
def test_functions_are_orthonormal_and_of_mean_zero(size: int) -> None:
    for name, basis in mixed(size).items():
        if name == "still":  # has none
            continue
        rows = functions(basis)
        assert rows @ rows.T == pytest.approx(np.eye(len(rows)), abs=1e-9), name
        assert rows.sum(axis=1) == pytest.approx(0, abs=1e-9)
        assert means(rows, basis.steps) == pytest.approx(basis.bins, abs=1e-12)
        assert basis.counts.sum() == size


def test_inputs_have_the_functions_they_need() -> None:
    found = mixed(4096)
    assert len(found["word"].bins) == 2
    assert len(found["still"].bins) == 0
    assert found["word"].levels
    assert not found["even"].levels
    assert len(found["bell"].bins) == len(found["even"].bins) + 1  # the straight line


@pytest.mark.parametrize("size, count", [(480, 30), (1024, 30), (8192, 30), (1024, 3), (256, 1)])
def test_fit_leaves_room(size: int, count: int) -> None:
    sample = Sample(size)
    inputs = {f"x{k}": ndtri(sample.uniform(f"x{k}")) for k in range(count)}
    found = bases(inputs, all_known(size))
    spent = sum(len(basis.bins) for basis in found.values())
    # An eighth of all worlds; a quarter where that would not hold a cubic and a line.
    assert spent <= max(size / 8, 4 * count)
    assert spent >= 4 * count
    assert fit(sample.uniform("y")[None, :], tuple(found.values())).spent == spent + 1


def test_rest_reads_too_small_by_what_is_spent() -> None:
    sample = Sample(512)
    found = bases({f"x{k}": sample.uniform(f"x{k}") for k in range(8)}, all_known(512))
    noise = np.stack([ndtri(Sample(512, seed).uniform("noise")) for seed in range(1, 60)])
    taken = fit(noise, tuple(found.values()))
    corrected = (taken.rest**2).mean(axis=1) * taken.shrunk
    assert taken.shrunk > 1.05
    assert corrected.mean() == pytest.approx(1.0, abs=0.005)


def test_fit_is_that_of_least_squares() -> None:
    # numpy's own, on the same functions side by side; the turns stop at 1e-4.
    sample = Sample(700, 3)
    inputs = {f"x{k}": ndtri(sample.uniform(f"x{k}")) for k in range(5)}
    parts = tuple(bases(inputs, all_known(700)).values())
    x = list(inputs.values())
    y = np.stack((x[0] * x[1] + np.exp(x[2]), np.abs(x[3]) - x[4]))
    table = [np.ones(700)]
    for part in parts:
        rows = np.empty((len(part.bins), 700))
        rows[:, part.order] = functions(part)
        table += list(rows)
    solved, *_ = np.linalg.lstsq(np.stack(table, axis=1), y.T)
    found = fit(y, parts)
    ours = np.concatenate(found.coefficients, axis=1)
    scale = np.sqrt(700) * y.std(axis=1)
    assert np.abs(ours - solved[1:].T).max(axis=1) == pytest.approx(0, abs=3e-4 * scale.min())
    assert found.mean == pytest.approx(y.mean(axis=1))


def test_cubic_in_rank_is_fitted_exactly() -> None:
    sample = Sample(333)
    column = sample.uniform("x")
    rank = np.argsort(np.argsort(column)) / 333
    found = fit((rank**3 - rank)[None, :], tuple(bases({"x": column}, all_known(333)).values()))
    assert np.abs(found.rest).max() < 1e-9


def test_two_waves_over_an_input_are_followed() -> None:
    column = Sample(2048).uniform("x")
    wave = np.sin(4 * np.pi * column)
    found = fit(wave[None, :], tuple(bases({"x": column}, all_known(2048)).values()))
    # A cubic spline errs by (2π / 5 pieces a wave)⁴ / 384 of the amplitude, or so: 0.6 %.
    assert np.abs(found.rest).max() < 0.02
    assert found.rest.std() < 0.005
