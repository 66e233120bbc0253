"""Vapour pressure and boiling against standards, handbooks and general libraries."""

import numpy as np
import pytest

from swapwright.physics.air import standard_atmosphere
from swapwright.physics.boiling import (
    boiling_temperature,
    vapour_pressure,
    water_boiling_temperature,
    water_vapour_pressure,
)
from swapwright.physics.liquids import Glycol

ZERO, ATMOSPHERE, PSI = 273.15, 101325.0, 6894.757


# IAPWS R7-97, tables 35 and 36 (from memory; equal to the library iapws 1.5.5).
@pytest.mark.parametrize(
    "kelvin, megapascal",
    [(300, 0.353658941e-2), (500, 0.263889776e1), (600, 0.123443146e2)],
)
def test_water_vapour_agrees_with_iapws(kelvin: float, megapascal: float) -> None:
    assert water_vapour_pressure(kelvin) / 1e6 == pytest.approx(megapascal, rel=5e-9)


@pytest.mark.parametrize(
    "megapascal, kelvin", [(0.1, 372.755919), (1, 453.035632), (10, 584.149488)]
)
def test_water_boiling_agrees_with_iapws(megapascal: float, kelvin: float) -> None:
    assert water_boiling_temperature(megapascal * 1e6) == pytest.approx(kelvin, abs=1e-6)


# iapws 1.5.5 (IF97), kPa; CoolProp (IAPWS-95) equal to 0.01 %.
@pytest.mark.parametrize(
    "celsius, kilopascal",
    [
        (20, 2.3392), (40, 7.3844), (60, 19.946), (80, 47.415), (90, 70.182), (100, 101.418),
        (105, 120.90), (110, 143.38), (115, 169.18), (120, 198.67), (125, 232.22),
        (130, 270.26), (140, 361.50),
    ],
)  # fmt: skip
def test_water_vapour_agrees_with_library(celsius: float, kilopascal: float) -> None:
    assert water_vapour_pressure(celsius + ZERO) / 1e3 == pytest.approx(kilopascal, rel=4e-5)
    assert vapour_pressure("ethylene", 0.0, celsius + ZERO) / 1e3 == pytest.approx(
        kilopascal, rel=4e-5
    )


# Murphy and Koop (2005), equation 10, vapour pressure over water that failed to freeze (from
# memory; it meets IF97 to 3e-8 at 0 °C, which a wrong constant would not).
def test_vapour_over_supercooled_water_agrees() -> None:
    t = np.array([-40.0, -30.0, -20.0, -10.0, 0.0]) + ZERO
    inner = 53.878 - 1331.22 / t - 9.44523 * np.log(t) + 0.014025 * t
    outer = 54.842763 - 6763.22 / t - 4.210 * np.log(t) + 0.000367 * t
    given = np.exp(outer + np.tanh(0.0415 * (t - 218.8)) * inner)
    assert water_vapour_pressure(t) == pytest.approx(given, rel=3e-3)


# Raoult's law with IF97 and the glycols' vapour pressure of the library chemicals 1.5.2, worked
# independently: boiling points in °C at gauge pressures in bar over 101.325 kPa.
GAUGE = (0, 0.5, 0.9, 1.0, 1.034, 1.1, 1.2, 1.4, 1.5)
BOILING: list[tuple[Glycol, float, tuple[float, ...]]] = [
    ("ethylene", 0.0, (99.97, 111.61, 118.82, 120.42, 120.95, 121.96, 123.44, 126.25, 127.59)),
    ("ethylene", 0.3, (103.57, 115.45, 122.81, 124.45, 124.99, 126.02, 127.54, 130.41, 131.77)),
    ("ethylene", 0.4, (105.40, 117.41, 124.84, 126.50, 127.05, 128.09, 129.62, 132.52, 133.90)),
    ("ethylene", 0.5, (107.80, 119.97, 127.50, 129.18, 129.74, 130.80, 132.35, 135.29, 136.69)),
    ("ethylene", 0.6, (111.10, 123.48, 131.15, 132.86, 133.43, 134.50, 136.09, 139.08, 140.50)),
    ("ethylene", 0.7, (115.92, 128.63, 136.49, 138.24, 138.82, 139.93, 141.55, 144.62, 146.08)),
    ("propylene", 0.5, (106.01, 118.05, 125.49, 127.15, 127.70, 128.75, 130.28, 133.19, 134.57)),
]


@pytest.mark.parametrize("glycol, share, celsius", BOILING)
def test_boiling_agrees_with_the_same_model(
    glycol: Glycol, share: float, celsius: tuple[float, ...]
) -> None:
    ours = boiling_temperature(glycol, share, ATMOSPHERE + np.array(GAUGE) * 1e5) - ZERO
    assert ours == pytest.approx(celsius, abs=0.02)


# Boiling points of the world outside the model, °C.
@pytest.mark.parametrize(
    "share, pressure, celsius, tolerance",
    [
        (0.5, ATMOSPHERE, 107.8, 0.1),  # ASTM D3306, least for 50 % by volume (from memory)
        (0.5, ATMOSPHERE, 107.0, 1.0),  # 223 to 226 °F on several public pages (read)
        (0.5, ATMOSPHERE + 15 * PSI, 129.4, 1.0),  # 265 °F, public repair-advice page (read)
        (0.7, ATMOSPHERE + 15 * PSI, 135.6, 3.5),  # 276 °F, same page
    ],
)
def test_boiling_agrees_with_practice(
    share: float, pressure: float, celsius: float, tolerance: float
) -> None:
    ours = boiling_temperature("ethylene", share, pressure) - ZERO
    assert ours == pytest.approx(celsius, abs=tolerance)


def by_mass(fraction: float) -> float:
    """Volume share of ethylene glycol, with 1113.2 and 998.2 kg/m³ at 20 °C."""
    pure, water = fraction / 1113.2, (1 - fraction) / 998.2
    return pure / (pure + water)


# ASHRAE Handbook Fundamentals, ethylene glycol by mass at 100.7 kPa, °C (from memory); its values
# go in steps of 2 °F.
@pytest.mark.parametrize(
    "fraction, celsius", [(0.2, 102.2), (0.3, 104.4), (0.4, 105.6), (0.5, 107.2), (0.6, 110.0)]
)
def test_boiling_agrees_with_handbook(fraction: float, celsius: float) -> None:
    ours = boiling_temperature("ethylene", by_mass(fraction), 100.7e3) - ZERO
    assert ours == pytest.approx(celsius, abs=1.4)


# Antoine constants of ethylene glycol in water by mass, mmHg and °C: a glycol maker's data sheet
# of 2008 as quoted in public code (read).
@pytest.mark.parametrize(
    "fraction, a, b, c",
    [(0.5, 7.901886, 1691.452, 229.778), (0.7, 7.833380, 1712.369, 231.166)],
)
def test_vapour_pressure_agrees_with_antoine_fit(
    fraction: float, a: float, b: float, c: float
) -> None:
    celsius = np.arange(40.0, 151.0, 10)
    given = 133.322 * 10 ** (a - b / (celsius + c))
    ours = vapour_pressure("ethylene", by_mass(fraction), celsius + ZERO)
    assert ours == pytest.approx(given, rel=5e-3)  # the constants miss water alone by as much


# Group contribution (UNIFAC, thermo 0.6.1), 50 % by mass, open: 105.2 °C; Raoult's law is higher.
def test_boiling_is_near_group_contribution() -> None:
    ours = boiling_temperature("ethylene", by_mass(0.5), ATMOSPHERE) - ZERO
    assert ours == pytest.approx(105.2, abs=2)


# Water under a 1 bar cap at 0 to 3000 m (IF97 and the standard atmosphere), °C.
def test_altitude_lowers_boiling() -> None:
    air = standard_atmosphere(np.array([0.0, 1000.0, 2000.0, 3000.0])).pressure
    ours = water_boiling_temperature(air + 1e5) - ZERO
    assert ours == pytest.approx([120.42, 118.58, 116.83, 115.17], abs=0.01)


# Water under caps of 7 to 22 psi (IF97), °C.
def test_caps_in_psi_raise_boiling() -> None:
    caps = np.array([7.0, 13, 15, 16, 18, 20, 22])
    ours = boiling_temperature("propylene", 0.0, ATMOSPHERE + caps * PSI) - ZERO
    given = [111.27, 118.75, 120.95, 122.01, 124.04, 125.97, 127.81]
    assert ours == pytest.approx(given, abs=0.01)
    # the rule of 3 °F per psi would give 257 °F at 15 psi, 7 °F too much
    assert ours[2] * 1.8 + 32 == pytest.approx(249.7, abs=0.05)
