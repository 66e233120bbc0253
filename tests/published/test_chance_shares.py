"""Shares of spread against functions whose shares are known, and against SALib."""

import warnings

import numpy as np
import pytest
from numpy.typing import NDArray

from swapwright.chance.columns import normal, rectangular
from swapwright.chance.samples import Sample
from swapwright.chance.shares import Shares, spread_shares

Floats = NDArray[np.float64]


def by_name(shares: Shares) -> dict[str, tuple[float, float]]:
    each = (*shares.inputs, shares.remainder)
    return {share.name: (share.value, share.standard_error) for share in each}


def check(shares: Shares, expected: dict[str, float], slack: float) -> None:
    """Within four standard errors; ``slack`` bounds the splines' own and the error stated."""
    for name, truth in expected.items():
        value, error = by_name(shares)[name]
        assert value == pytest.approx(truth, abs=4 * error + 1e-4), name
        assert error < slack, name


# Ishigami, Homma 1990 (Proc. ISUMA '90: 398-403), a = 7, b = 0.1: first-order shares
# 0.3139, 0.4424 and 0, the rest (0.2437) between x1 and x3; variance 13.845. As given by
# Saltelli et al. 2008, Global Sensitivity Analysis: The Primer.
ISHIGAMI = {"x1": 0.3139, "x2": 0.4424, "x3": 0.0, "together": 0.2437}


def ishigami(sample: Sample) -> Shares:
    x = {key: rectangular(sample.uniform(key), 0.0, np.pi) for key in ("x1", "x2", "x3")}
    values = np.sin(x["x1"]) + 7 * np.sin(x["x2"]) ** 2 + 0.1 * x["x3"] ** 4 * np.sin(x["x1"])
    return spread_shares(values, x)


@pytest.mark.parametrize("size, slack", [(1024, 0.025), (8192, 0.009), (65536, 0.003)])
def test_ishigami(size: int, slack: float) -> None:
    for seed in range(3):
        found = ishigami(Sample(size, seed))
        check(found, ISHIGAMI, slack)
        assert found.variance == pytest.approx(13.845, rel=4 * slack)


# g-function of Sobol, product of (|4 x - 2| + a) / (1 + a): the variance of each factor
# is 1 / (3 (1 + a)²), a share is that over the product of (1 + V) less 1. Printed for
# these a by Saltelli, Sobol 1995, Rel. Eng. System Safety 50: 225-239 as 0.716, 0.179,
# 0.0237, 0.0072, 0.0001 (from memory; the closed form gives the same).
G = (0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0)
G_PRINTED = (0.716, 0.179, 0.0237, 0.0072, 0.0001, 0.0001, 0.0001, 0.0001)


def g_closed_form() -> Floats:
    parts = 1 / (3 * (1 + np.array(G)) ** 2)
    return np.asarray(parts / (np.prod(1 + parts) - 1))


def test_g_function_closed_form_is_the_printed_one() -> None:
    assert g_closed_form() == pytest.approx(G_PRINTED, abs=6e-4)


@pytest.mark.parametrize("size, slack", [(1024, 0.03), (8192, 0.01)])
def test_g_function(size: int, slack: float) -> None:
    sample = Sample(size, 5)
    inputs = {f"x{k}": sample.uniform(f"x{k}") for k in range(8)}
    factors = [(np.abs(4 * inputs[f"x{k}"] - 2) + a) / (1 + a) for k, a in enumerate(G)]
    truth = {f"x{k}": float(share) for k, share in enumerate(g_closed_form())}
    # A kink in the middle is followed by splines to half a percent of its share.
    found = spread_shares(np.prod(factors, axis=0), inputs)
    for name, share in truth.items():
        value, error = by_name(found)[name]
        assert value == pytest.approx(share, abs=4 * error + 0.005 * share), name
        assert error < slack
    value, error = by_name(found)["together"]
    assert value == pytest.approx(1 - sum(truth.values()), abs=4 * error + 0.005)


def test_linear_model() -> None:
    # y = sum of a_i x_i: share (a_i u_i)² over their sum, as the law of propagation of
    # uncertainty has it (JCGM 100:2008, 5.1.2); exact.
    sample = Sample(4096, 2)
    slopes, spreads = (3.0, -1.0, 0.5, 0.0), (1.0, 4.0, 2.0, 7.0)
    inputs = {f"x{k}": normal(sample.uniform(f"x{k}"), 5.0, u) for k, u in enumerate(spreads)}
    y = sum(a * x for a, x in zip(slopes, inputs.values(), strict=True))
    found = by_name(spread_shares(np.asarray(y), inputs))
    for k, share in enumerate((9 / 26, 16 / 26, 1 / 26, 0.0)):
        assert found[f"x{k}"][0] == pytest.approx(share, abs=3e-4)
    assert found["together"][0] == pytest.approx(0, abs=1e-7)


@pytest.mark.slow
def test_salib_agrees_from_samples_of_its_own() -> None:
    # SALib 1.5, analyze.sobol after sample.sobol: first-order indices by running the model
    # 5 times 2¹⁴; ours read the 2¹³ values of one plain sample.
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own dependencies
        from SALib.analyze import sobol as analysis
        from SALib.sample import sobol as sampling

        problem = {
            "num_vars": 3,
            "names": ["bore", "length", "flow"],
            "bounds": [[0.014, 0.018], [0.5, 1.5], [1e-4, 5e-4]],
        }

        def drop(bore: Floats, length: Floats, flow: Floats) -> Floats:
            return length * flow**1.75 / bore**4.75

        points = sampling.sample(problem, 2**14, calc_second_order=False, seed=1)
        peer = analysis.analyze(
            problem, drop(*points.T), calc_second_order=False, seed=1, num_resamples=100
        )
    sample = Sample(8192, 3)
    inputs = {
        name: rectangular(sample.uniform(name), (low + high) / 2, (high - low) / 2)
        for name, (low, high) in zip(
            ("bore", "length", "flow"), ((0.014, 0.018), (0.5, 1.5), (1e-4, 5e-4)), strict=True
        )
    }
    found = by_name(spread_shares(drop(**inputs), inputs))
    for k, name in enumerate(("bore", "length", "flow")):
        value, error = found[name]
        # its confidence is a 95 % half width
        assert value == pytest.approx(
            peer["S1"][k], abs=4 * np.hypot(error, peer["S1_conf"][k] / 2)
        )
        assert error < 0.01
