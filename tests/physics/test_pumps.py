"""What must hold of pumps, whatever their curves."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.physics.pumps import (
    PumpCurve,
    at_speed,
    curve_from_rated,
    curve_through_points,
    curve_through_three,
    fitted_parabola,
    pressure_rise,
    shaft_power,
)

POWER = curve_from_rated(1.5e5, 3e-3, 1.1e5, 4.5e-3, 1000.0, 1.7)
POINTS = curve_through_points([0.0, 1e-3, 2e-3, 4.5e-3], [1.5e5, 1.45e5, 1.3e5, 0.2e5], 1000.0)
FLOWS = st.floats(-2e-3, 8e-3)
SPEEDS = st.floats(0.05, 2.0)
STEPS = st.lists(st.tuples(st.floats(0.1, 3.0), st.floats(0.05, 20.0)), min_size=1, max_size=7)


@pytest.mark.parametrize("curve", [POWER, POINTS])
@given(flow=FLOWS, speed=SPEEDS)
def test_rise_falls_by_its_slope(curve: PumpCurve, flow: float, speed: float) -> None:
    flows = flow + np.array([-1e-7, 0.0, 1e-7])
    rise, slope, _beyond = pressure_rise(curve, flows, speed)
    assert rise[0] > rise[2] and (slope >= 0).all()
    # the slope itself changes between, by a kink at most to the larger of both
    low, high = min(slope), max(slope)
    assert low - 100 <= (rise[0] - rise[2]) / 2e-7 <= high + 100


@pytest.mark.parametrize("curve", [POWER, POINTS])
@given(flow=st.floats(0.0, 4.5e-3), speed=SPEEDS)
def test_affinity(curve: PumpCurve, flow: float, speed: float) -> None:
    rise, _slope, _beyond = pressure_rise(curve, flow)
    moved, height, _power = at_speed(flow, rise, 0.0, speed)
    again, _slope, _beyond = pressure_rise(curve, moved, speed)
    assert float(again) == pytest.approx(float(height), rel=1e-9, abs=1e-3)


@given(STEPS)
def test_curve_through_points_goes_through_them_and_falls(
    steps: list[tuple[float, float]],
) -> None:
    flows = np.concatenate(([0.0], np.cumsum([width for width, _fall in steps])))
    rises = 200.0 - np.concatenate(([0.0], np.cumsum([fall for _width, fall in steps])))
    curve = curve_through_points(flows, rises, 1000.0)
    assert pressure_rise(curve, flows)[0] == pytest.approx(rises, abs=1e-9)
    fine = np.linspace(-1, flows[-1] + 3, 400)
    rise, _slope, beyond = pressure_rise(curve, fine)
    assert (np.diff(rise) < 0).all()
    assert (beyond == ((fine < 0) | (fine > flows[-1]))).all()


def test_beyond_the_last_point_is_straight_and_marked() -> None:
    rise, slope, beyond = pressure_rise(POINTS, [4.5e-3, 5e-3, 6e-3])
    chord = 1.1e5 / 2.5e-3
    assert rise == pytest.approx([0.2e5, 0.2e5 - 0.5e-3 * chord, 0.2e5 - 1.5e-3 * chord], rel=1e-9)
    assert slope == pytest.approx([chord] * 3, rel=1e-9)
    assert beyond.tolist() == [False, True, True]
    assert pressure_rise(POWER, [4.5e-3, 4.6e-3, -1e-6])[2].tolist() == [False, True, True]
    # at half speed the curve ends at half the flow
    assert pressure_rise(POWER, [2.2e-3, 2.3e-3], 0.5)[2].tolist() == [False, True]


def test_driven_backwards_the_rise_is_mirrored() -> None:
    for curve in (POWER, POINTS):
        forward, back = pressure_rise(curve, [1e-3, -1e-3])[0]
        assert forward + back == pytest.approx(3e5, rel=1e-12)


def test_rated_point_lies_on_the_curve() -> None:
    rise, _slope, _beyond = pressure_rise(POWER, [0.0, 3e-3])
    assert rise == pytest.approx([1.5e5, 1.1e5], rel=1e-12)


@given(st.floats(0.5, 3.0), st.floats(0.01, 5.0), st.floats(1.0, 3.5))
def test_three_points_lie_on_their_curve(width: float, fall: float, exponent: float) -> None:
    flows = np.array([0.0, width, 2.2 * width])
    rises = 1000 - fall * flows**exponent
    curve = curve_through_three(flows, rises, 1000.0)
    assert float(curve.exponent) == pytest.approx(exponent, rel=1e-6)
    assert pressure_rise(curve, flows)[0] == pytest.approx(rises, rel=1e-9)


def test_parabola_fits_its_own_points() -> None:
    flows = np.array([0.0, 1.0, 2.0, 5.0])
    curve = fitted_parabola(flows, 40 - 0.7 * flows**2, 1000.0)
    assert [float(curve.shut_off), float(curve.coefficient)] == pytest.approx([40, 0.7], rel=1e-9)


def test_curve_of_some_samples() -> None:
    curve = curve_from_rated([10.0, 20.0, 30.0], 2.0, 5.0, [3.0, 4.0, 5.0], 1000.0)
    assert curve.sample_counts() == (3, 3, 3)  # shut-off, coefficient, last flow
    some = curve.take(np.array([2, 0]))
    assert some.shut_off.tolist() == [30.0, 10.0] and some.last_flow.tolist() == [5.0, 3.0]
    assert float(some.exponent) == 2 and some.coefficient.tolist() == [6.25, 1.25]
    assert POINTS.take(slice(0, 2)) is POINTS and POINTS.sample_counts() == ()
    assert some.density == 1000.0


@given(st.floats(0, 1e-2), st.floats(0, 1e6), st.floats(0.01, 1.0))
def test_shaft_takes_more_than_the_liquid_gets(flow: float, rise: float, share: float) -> None:
    taken = float(shaft_power(flow, rise, share))
    assert taken >= flow * rise
    assert taken * share == pytest.approx(flow * rise, rel=1e-12)


def test_humped_curve_is_refused_with_the_reason() -> None:
    with pytest.raises(ValueError, match=r"50 Pa at 0 .* to 52 Pa at 1 .*two flows"):
        curve_through_points([0.0, 1.0, 2.0], [50.0, 52.0, 40.0], 1000.0)
    with pytest.raises(ValueError, match="two flows"):
        curve_from_rated(1e5, 1e-3, 1e5, 2e-3, 1000.0)
    with pytest.raises(ValueError, match="does not fall"):
        fitted_parabola([0.0, 1.0, 2.0], [1.0, 2.0, 3.0], 1000.0)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: curve_through_points([0.0], [1.0], 1000.0), "two or more"),
    (lambda: curve_through_points([0.0, 1.0], [1.0], 1000.0), "as many"),
    (lambda: curve_through_points([0.1, 1.0], [2.0, 1.0], 1000.0), "begin at 0"),
    (lambda: curve_through_points([0.0, 1.0, 1.0], [3.0, 2.0, 1.0], 1000.0), "rise"),
    (lambda: curve_through_points([0.0, np.nan], [2.0, 1.0], 1000.0), "finite"),
    (lambda: curve_through_points([0.0, 1.0], [2.0, 1.0], 0.0), "density"),
    (lambda: curve_through_three([0.0, 1.0], [2.0, 1.0], 1000.0), "three"),
    (lambda: curve_through_three([0.0, 1.0, 2.0], [9.0, 5.0, 4.0], 1000.0), "below 1"),
    (lambda: curve_from_rated(2.0, 0.0, 1.0, 1.0, 1000.0), "rated_flow"),
    (lambda: curve_from_rated(2.0, 1.0, 1.0, 0.0, 1000.0), "last_flow"),
    (lambda: curve_from_rated(2.0, 1.0, 1.0, 1.0, -1.0), "density"),
    (lambda: curve_from_rated(2.0, 1.0, 1.0, 1.0, 1000.0, 0.9), "exponent"),
    (lambda: pressure_rise(POWER, 1e-3, 0.0), "speed_ratio"),
    (lambda: pressure_rise(POWER, np.nan), "volume_flow"),
    (lambda: at_speed(1.0, 1.0, 1.0, -0.1), "speed_ratio"),
    (lambda: at_speed(np.nan, 1.0, 1.0, 1.0), "volume_flow"),
    (lambda: at_speed(1.0, np.inf, 1.0, 1.0), "rise"),
    (lambda: at_speed(1.0, 1.0, np.inf, 1.0), "power"),
    (lambda: shaft_power(1.0, 1.0, 0.0), "efficiency"),
    (lambda: shaft_power(1.0, 1.0, 1.01), "efficiency"),
    (lambda: shaft_power(np.nan, 1.0, 0.5), "volume_flow"),
    (lambda: fitted_parabola([0.0, np.nan], [2.0, 1.0], 1000.0), "flows"),
]


@pytest.mark.parametrize("number", range(len(REFUSED)))
def test_what_is_refused_is_named(number: int) -> None:
    call, name = REFUSED[number]
    with pytest.raises(ValueError, match=name):
        call()
