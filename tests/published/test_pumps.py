"""Pump curves and powers against worked examples."""

import fluids
import numpy as np
import pytest

from swapwright.physics.friction import (
    darcy_friction_factor,
    pipe_drop,
    reynolds_number,
    rough_factor,
)
from swapwright.physics.links import Link, Pump, Resistance
from swapwright.physics.losses import EXIT_LOSS, elbow_loss, quadratic_resistance
from swapwright.physics.network import Network, solve
from swapwright.physics.pumps import (
    at_speed,
    curve_from_rated,
    curve_through_points,
    curve_through_three,
    fitted_parabola,
    pressure_rise,
    shaft_power,
)

FOOT, GALLON, HORSEPOWER = 0.3048, 3.785411784e-3, 745.69987
POUND_PER_CUBIC_FOOT = 0.45359237 / FOOT**3
G = 9.80665
WATER = 62.364 * POUND_PER_CUBIC_FOOT


def test_affinity_laws() -> None:
    # Crane TP-410, example 7-33, re-worked with the fluids library: 400 US gpm, 126 ft, 17.5 hp
    # at 3500 rpm become 194.3, 29.73 and 2.005 at 1700.
    found = [float(value) for value in at_speed(400, 126, 17.5, 1700 / 3500)]
    assert found == pytest.approx([194.3, 29.73, 2.005], rel=1e-3)


def test_curve_follows_affinity_laws() -> None:
    # The same point, through a curve and back out at the other speed.
    curve = curve_from_rated(150.0, 400.0, 126.0, 600.0, 1000.0, 1.8)
    rise, _slope, beyond = pressure_rise(curve, 194.2857, 1700 / 3500)
    assert float(rise) == pytest.approx(29.73, rel=1e-3)
    assert not beyond


def test_pump_power() -> None:
    # Crane TP-410, example 7-34: 428 ft, 700 US gpm, efficiency 0.707: 107.06 hp at the shaft,
    # 117.39 hp electric with a motor of 0.95 and a drive of 0.96.
    rise, flow = 428 * FOOT * WATER * G, 700 * GALLON / 60
    assert float(shaft_power(flow, rise, 0.707)) / HORSEPOWER == pytest.approx(107.06, rel=1e-3)
    whole = float(shaft_power(flow, rise, 0.707 * 0.95 * 0.96)) / HORSEPOWER
    assert whole == pytest.approx(117.39, rel=1e-3)


def test_pumping_head() -> None:
    # Crane TP-410, example 7-15: 100 US gpm of water at 70 °F through 500 ft of 3 inch schedule
    # 40 pipe, 400 ft up, efficiency 0.7: 421 ft and 15.2 hp. Inputs, and fittings (exit, gate
    # valve, four elbows, lift check valve in 2.5 inch), as re-worked with the fluids library.
    bore, rough = 0.07792, 0.0022 * 0.0254
    gate = fluids.K_gate_valve_Crane(D1=bore, D2=bore, angle=0.0)
    check = fluids.K_lift_check_valve_Crane(D1=0.06271, D2=bore, angled=False)
    elbow = float(elbow_loss(rough_factor(0.045e-3 / bore)))
    losses = EXIT_LOSS + gate + 4 * elbow + check
    flow, density = 100 * GALLON / 60, 62.298 * POUND_PER_CUBIC_FOOT
    lost, _slope = pipe_drop(flow, 500 * FOOT, bore, rough, density, 0.95e-3, losses)
    head = 400 * FOOT + float(lost) / (density * G)
    assert head / FOOT == pytest.approx(421, rel=5e-3)
    power = float(shaft_power(flow, head * density * G, 0.7)) / HORSEPOWER
    assert power == pytest.approx(15.2, rel=5e-3)


# E. Maurer, Hydraulics and Water Resources: Examples Using R, 2024, section 7, in ft and ft³/s.
GPM = GALLON / 60 / FOOT**3
MAURER = ((0.0, 5000 * GPM, 7850 * GPM), (81.0, 60.0, 20.0))


def test_least_squares_parabola() -> None:
    # Section 7.2: 82.467 ft and -0.20094 ft/(ft³/s)².
    curve = fitted_parabola(*MAURER, density=1000.0)
    assert float(curve.shut_off) == pytest.approx(82.467, rel=1e-4)
    assert float(curve.coefficient) == pytest.approx(0.20094, rel=1e-4)
    assert float(curve.last_flow) == MAURER[0][-1]


def test_system_resistance() -> None:
    # Section 7.1: 20 in, 3884 ft, ks 0.0005 ft, nu 1.23e-5 ft²/s at 1 ft³/s: 0.1602 ft, g 32.2.
    bore, flow = 20 / 12 * FOOT, FOOT**3
    viscosity = 1.23e-5 * FOOT**2 * 1000
    lost, _slope = pipe_drop(flow, 3884 * FOOT, bore, 0.0005 * FOOT, 1000.0, viscosity)
    assert float(lost) / (1000 * 32.2 * FOOT) / FOOT == pytest.approx(0.1602, rel=2e-3)
    factor = darcy_friction_factor(reynolds_number(flow, bore, 1000, viscosity), 0.0005 / (20 / 12))
    same = quadratic_resistance(factor * 3884 * FOOT / bore, bore, 1000.0) * flow**2
    assert float(same) == pytest.approx(float(lost), rel=1e-12)


def test_operating_point() -> None:
    # Section 7.3: that pump against 0.1602 Q² and 30 ft: 12.051 ft³/s at 53.285 ft.
    curve = fitted_parabola(*MAURER, density=1000.0)
    links: dict[str, Link] = {
        "pump": Pump("low", "m", curve, at_rest=1.0),
        "pipe": Resistance("m", "high", 0.1602),
    }
    solution = solve(Network(("low", "m", "high"), links, {"low": 0.0, "high": 30.0}), 1000.0, 1e-3)
    assert float(solution.flow("pump")[0]) == pytest.approx(12.051, rel=5e-4)
    assert float(solution.pressure_at("m")[0]) == pytest.approx(53.285, rel=5e-4)


def test_exponents_of_three_points() -> None:
    # H0 - A Q^C through (0, 18), (2, 15), (4, 6): 18, 0.75 and 2 exactly.
    curve = curve_through_three((0.0, 2.0, 4.0), (18.0, 15.0, 6.0), 1000.0)
    found = [float(part) for part in (curve.shut_off, curve.coefficient, curve.exponent)]
    assert found == pytest.approx([18, 0.75, 2], rel=1e-9)


def test_monotone_cubic_agrees_with_scipy() -> None:
    # scipy's PchipInterpolator has Fritsch and Butland's slopes inside; its ends differ, so the
    # intervals between inner points are compared.
    from scipy.interpolate import PchipInterpolator

    flows = np.array([0.0, 1.0, 2.5, 3.0, 5.0, 6.0])
    rises = np.array([50.0, 48.0, 40.0, 39.0, 20.0, 1.0])
    inside = np.linspace(1.0, 5.0, 41)
    rise, slope, _beyond = pressure_rise(curve_through_points(flows, rises, 1000.0), inside)
    other = PchipInterpolator(flows, rises)
    assert rise == pytest.approx(other(inside), rel=1e-12)
    assert slope == pytest.approx(-other(inside, 1), rel=1e-9)
