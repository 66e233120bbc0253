"""Air, atmosphere, ducts and operating points against libraries and printed examples."""

import fluids
import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from swapwright.physics.air import (
    air_conductivity,
    air_density,
    air_heat_capacity,
    air_prandtl,
    air_viscosity,
    ram_pressure,
    standard_atmosphere,
)
from swapwright.physics.air_flow import loss_on_area, loss_through_point, operating_flow
from swapwright.physics.fans import Fan, fan_curve, speed_at_voltage
from swapwright.physics.friction import pipe_drop
from swapwright.physics.pumps import FallingCurve, fitted_parabola

# U.S. Standard Atmosphere 1976 as the fluids library 1.3.1 gives it (`ATMOSPHERE_1976`):
# altitude m, temperature K, pressure kPa, density kg/m³.
ATMOSPHERE = [
    (0.0, 288.15, 101.325, 1.2250),
    (1000.0, 281.65, 89.876, 1.1117),
    (2000.0, 275.15, 79.501, 1.0066),
    (3000.0, 268.66, 70.121, 0.9093),
]


@pytest.mark.parametrize("altitude, temperature, kilopascals, density", ATMOSPHERE)
def test_standard_atmosphere_agrees_with_table(
    altitude: float, temperature: float, kilopascals: float, density: float
) -> None:
    air = standard_atmosphere(altitude)
    assert float(air.temperature) == pytest.approx(temperature, rel=1e-4)
    assert float(air.pressure) / 1000 == pytest.approx(kilopascals, rel=1e-4)
    assert float(air.density) == pytest.approx(density, rel=1e-4)


@pytest.mark.parametrize("altitude", [-900.0, 500.0, 4500.0, 8000.0, 10900.0])
def test_standard_atmosphere_agrees_with_library(altitude: float) -> None:
    air, expected = standard_atmosphere(altitude), fluids.ATMOSPHERE_1976(altitude)
    assert float(air.temperature) == pytest.approx(expected.T, rel=1e-6)
    assert float(air.pressure) == pytest.approx(expected.P, rel=1e-5)
    assert float(air_viscosity(air.temperature)) == pytest.approx(expected.mu, rel=1e-4)
    assert float(air_conductivity(air.temperature)) == pytest.approx(expected.k, rel=1e-4)


@pytest.mark.parametrize("temperature", [230.0, 263.15, 293.15, 333.15, 393.15, 440.0])
def test_properties_agree_with_coolprop(temperature: float) -> None:
    def real(what: str, pressure: float = 101325.0) -> float:
        return float(PropsSI(what, "T", temperature, "P", pressure, "Air"))

    # tolerances are those the functions state
    assert float(air_density(temperature, 101325.0)) == pytest.approx(real("D"), rel=3e-3)
    assert float(air_density(temperature, 7e4)) == pytest.approx(real("D", 7e4), rel=3e-3)
    assert float(air_viscosity(temperature)) == pytest.approx(real("V"), rel=0.015)
    assert float(air_conductivity(temperature)) == pytest.approx(real("L"), rel=0.02)
    assert float(air_heat_capacity(temperature)) == pytest.approx(real("C"), rel=1e-4)
    assert float(air_prandtl(temperature)) == pytest.approx(real("PRANDTL"), rel=0.03)


@pytest.mark.parametrize(
    "kilometres, pascals", [(50, 114.2), (80, 292.3), (100, 456.8), (120, 657.8)]
)
def test_ram_pressure_by_hand(kilometres: float, pascals: float) -> None:
    # rho V²/2 at 1.184 kg/m³ by a pocket calculator, four figures
    assert float(ram_pressure(kilometres / 3.6, 1.184)) == pytest.approx(pascals, rel=2e-4)


# Smooth ducts of air at 1.184 kg/m³ and 18.49 µPa s, by the fluids library 1.3.1: bore mm,
# length m, flow m³/s, velocity m/s, loss Pa, dynamic pressure Pa.
DUCTS = [
    (60, 0.6, 0.09, 31.83, 103.5, 599.8),
    (70, 0.8, 0.09, 23.39, 65.9, 323.8),
    (80, 0.5, 0.15, 29.84, 54.3, 527.2),
]


@pytest.mark.parametrize("bore, length, flow, speed, loss, dynamic", DUCTS)
def test_ducts_agree_with_library(
    bore: float, length: float, flow: float, speed: float, loss: float, dynamic: float
) -> None:
    # the figures are those of air at 25 °C, of which ours is within a percent
    assert float(air_density(298.15, 101325.0)) == pytest.approx(1.184, rel=1e-3)
    assert float(air_viscosity(298.15)) == pytest.approx(1.849e-5, rel=0.01)
    area = np.pi * (bore / 1000) ** 2 / 4
    assert flow / area == pytest.approx(speed, rel=3e-4)
    assert float(ram_pressure(flow / area, 1.184)) == pytest.approx(dynamic, rel=3e-4)
    one_loss, _ = loss_on_area(1.0, area, 1.184).drop(np.array(flow))
    assert float(one_loss) == pytest.approx(dynamic, rel=3e-4)
    drop, *_ = pipe_drop(flow, length, bore / 1000, 0.0, 1.184, 1.849e-5)
    assert float(drop) == pytest.approx(loss, rel=5e-3)


def test_operating_point_of_textbook() -> None:
    # Maurer, Hydraulics and Water Resources: Examples Using R, 2024, 7.1 to 7.3: the parabola
    # through (0, 81), (5000, 60), (7850 US gpm, 20 ft) meets 30 ft + 0.1602 Q² at 12.051 ft³/s
    # and 53.285 ft. The algebra of a fan is that of a pump; numbers stay in feet.
    per_gallon = 231 / 1728 / 60  # ft³/s per US gallon a minute
    flows = np.array([0.0, 5000.0, 7850.0]) * per_gallon
    curve = fitted_parabola(flows, [81.0, 60.0, 20.0], 1.0)
    assert float(curve.shut_off) == pytest.approx(82.467, rel=1e-4)
    fan = Fan(curve, 1.0, 1.0, 1.0)
    system = loss_through_point(1.0, 0.1602, 2.0)
    found = operating_flow(-30.0, [[fan, system]])
    assert found.converged.all()
    assert float(found.total[0]) == pytest.approx(12.051, rel=5e-4)
    rise = -float(fan.drop(found.total)[0][0])
    assert rise == pytest.approx(53.285, rel=5e-4)


def test_affinity_of_textbook() -> None:
    # Crane TP-410, example 7-33, re-worked publicly with the fluids library: 400 US gpm and
    # 126 ft at 3500 rpm are 194.3 gpm and 29.73 ft at 1700 rpm. Tried with a curve through it.
    curve = FallingCurve(
        np.array(150.0), np.array(24 / 400**2), np.array(2.0), np.array(600.0), 1.0
    )
    slow = Fan(curve, 1700 / 3500, 1.0, 1.0)
    rise = -float(slow.drop(np.array([194.3]))[0][0])
    assert rise == pytest.approx(29.73, rel=1e-3)
    # and fan law: pressure goes with the density of the air
    thin = Fan(curve, 1.0, 1.0, 0.8)
    assert -float(thin.drop(np.array([400.0]))[0][0]) == pytest.approx(0.8 * 126)


def test_fan_at_less_voltage_by_hand() -> None:
    # 13.5 V fan on 9 V: an ideal motor turns at two thirds, free flow by as much, pressure 4/9.
    ratio = speed_at_voltage(9.0, 13.5, 1.0)
    assert float(ratio) == pytest.approx(2 / 3)
    fan = Fan(fan_curve(0.6, 180.0, 2.0, 1.2), ratio, 5.0, 1.2)
    drop, _ = fan.drop(np.array([0.0, 0.4]))
    assert drop == pytest.approx([-80.0, 0.0], abs=1e-9)
    assert float(speed_at_voltage(9.0, 13.5, 0.7)) == pytest.approx(0.7529, abs=1e-4)
