"""Lumped bodies over time, against closed forms."""

import numpy as np
import pytest

from swapwright.physics.transients import course


def test_one_body_warms_as_an_exponential() -> None:
    """T = T_a + P/G (1 - exp(-t G/C)): lumped capacitance, in every text on heat transfer."""
    C, G, P, air = 80e3, 40.0, 6e3, 293.15
    times = np.linspace(0, 6000, 61)
    found = course([[C]], [[air]], lambda _t, now: P - G * (now - air), times)
    wanted = air + P / G * (1 - np.exp(-times * G / C))
    assert found.temperatures[:, 0, 0] == pytest.approx(wanted, abs=2e-3)


def test_two_bodies_near_each_other_by_the_rate_of_both() -> None:
    """The gap decays with G (1/C1 + 1/C2); both end at the mean weighted by capacity (exact)."""
    C1, C2, G = 60e3, 15e3, 300.0
    times = np.linspace(0, 300, 31)

    def heats(_time: float, now: np.ndarray) -> np.ndarray:
        passed = G * (now[0] - now[1])
        return np.array([-passed, passed])

    found = course([[C1], [C2]], [[400.0], [360.0]], heats, times).temperatures[:, :, 0]
    gap = 40 * np.exp(-times * G * (1 / C1 + 1 / C2))
    assert found[:, 0] - found[:, 1] == pytest.approx(gap, abs=4e-3)
    assert found[-1, 0] == pytest.approx((C1 * 400 + C2 * 360) / (C1 + C2), abs=0.01)
