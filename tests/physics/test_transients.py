"""Bodies over time: what goes in stays or leaves, and where nothing drives nothing moves."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.physics.transients import course, reached

Array = np.ndarray


@settings(deadline=None, max_examples=20)
@given(
    capacity=st.floats(1e3, 1e5), other=st.floats(1e3, 1e5), link=st.floats(1, 2000),
    hot=st.floats(300, 400), cold=st.floats(250, 300),
)  # fmt: skip
def test_two_bodies_alone_keep_their_energy_and_meet(
    capacity: float, other: float, link: float, hot: float, cold: float
) -> None:
    held = np.array([[capacity], [other]])

    def heats(_time: float, now: Array) -> Array:
        passed = link * (now[0] - now[1])
        return np.array([-passed, passed])

    found = course(held, [[hot], [cold]], heats, np.linspace(0, 600, 7))
    energy = (held * found.temperatures).sum(axis=1)[:, 0]
    assert energy == pytest.approx(energy[0], rel=1e-8)
    gap = found.temperatures[:, 0, 0] - found.temperatures[:, 1, 0]
    assert np.all(np.diff(gap) <= 0.02)
    assert np.all(gap >= -0.02)


def test_samples_do_not_touch_each_other() -> None:
    power = np.array([100.0, 1000.0])

    def heats(_time: float, now: Array) -> Array:
        return np.asarray((power - 5.0 * (now[0] - 290.0))[None])

    both = course([[1e4, 1e4]], [[290.0, 290.0]], heats, [0.0, 50.0, 100.0]).temperatures

    def alone(_time: float, now: Array) -> Array:
        return np.asarray((1000.0 - 5.0 * (now[0] - 290.0))[None])

    one = course([[1e4]], [[290.0]], alone, [0.0, 50.0, 100.0]).temperatures
    assert both[:, 0, 1] == pytest.approx(one[:, 0, 0], abs=1e-3)


def test_when_a_limit_is_reached() -> None:
    times = np.array([0.0, 10.0, 20.0])
    values = np.array([[0.0, 5.0, 0.0], [4.0, 6.0, 0.0], [8.0, 7.0, 0.0]])
    assert reached(times, values, 2.0).tolist() == [5.0, 0.0, np.inf]
    assert reached(times, values, [6.0, 6.0, 1.0])[0] == pytest.approx(15.0)


@pytest.mark.parametrize(
    ("capacity", "times", "words"),
    [
        ([[0.0]], [0.0, 1.0], "capacities"),
        ([[1.0]], [0.0], "times"),
        ([[1.0]], [1.0, 1.0], "times"),
    ],
)
def test_what_means_nothing_is_refused(
    capacity: list[list[float]], times: list[float], words: str
) -> None:
    with pytest.raises(ValueError, match=words):
        course(capacity, [[300.0]], lambda _t, now: 0 * now, times)
