"""Boiling of coolant under a cap: water and ethylene glycol as an ideal mixture."""

from math import exp, log, sqrt

AIR_PRESSURE = 101325.0  # Pa, standard atmosphere at sea level
MOST_PRESSURE = 1e6  # Pa gauge, the bracket below ends there
CELSIUS = 273.15
# IAPWS-IF97 region 4, equation 30: pressure of saturation, coefficients n1 to n10.
SATURATION = (
    1167.0521452767, -724213.16703206, -17.073846940092, 12020.82470247, -3232555.0322333,
    14.91510861353, -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798,
)  # fmt: skip
# ln(p / Pa) = a - b / (T + c) through 2.09 kPa at 100 °C, 5.63 kPa at 120 °C, 101.7 kPa at 197.3 °C
# (vapour pressure of ethylene glycol as the chemicals library gives it).
GLYCOL_POINTS = ((373.15, 2090.0), (393.15, 5630.0), (470.45, 101700.0))
WATER_MOLAR, GLYCOL_MOLAR = 18.015e-3, 62.068e-3  # kg/mol
WATER_DENSITY, GLYCOL_DENSITY = 998.2, 1113.2  # kg/m³ at 20 °C


def water_saturation_pressure(temperature: float) -> float:
    """Pressure at which water boils. [Pa absolute]

    Parameters
    ----------
    temperature : float
        From 273.15 to 647.096. [K]

    Raises
    ------
    ValueError
        Outside that range.

    References
    ----------
    IAPWS R7-97(2012), region 4, equation 30.
    """
    if not CELSIUS <= temperature <= 647.096:
        raise ValueError(f"temperature must lie within 273.15 and 647.096 K, got {temperature:g}")
    n = SATURATION
    theta = temperature + n[8] / (temperature - n[9])
    a = theta**2 + n[0] * theta + n[1]
    b = n[2] * theta**2 + n[3] * theta + n[4]
    c = n[5] * theta**2 + n[6] * theta + n[7]
    return 1e6 * float((2 * c / (-b + sqrt(b * b - 4 * a * c))) ** 4)


def glycol_vapour_pressure(temperature: float) -> float:
    """Vapour pressure of pure ethylene glycol, an Antoine curve through three points. [Pa]"""
    (t1, p1), (t2, p2), (t3, p3) = GLYCOL_POINTS
    first = (log(p3) - log(p2)) / (t3 - t2)
    second = (log(p2) - log(p1)) / (t2 - t1)
    c = (first * t3 - second * t1) / (second - first)
    b = second * (t1 + c) * (t2 + c)
    return exp(log(p1) + b / (t1 + c) - b / (temperature + c))


def water_mole_fraction(glycol_share: float) -> float:
    """Moles of water in one mole of coolant, glycol by volume at 20 °C."""
    if not 0 <= glycol_share < 1:
        raise ValueError(f"glycol_share must lie from 0 to below 1, got {glycol_share:g}")
    water = (1 - glycol_share) * WATER_DENSITY / WATER_MOLAR
    glycol = glycol_share * GLYCOL_DENSITY / GLYCOL_MOLAR
    return water / (water + glycol)


def boiling_point(gauge_pressure: float, glycol_share: float) -> float:
    """Temperature at which coolant boils under a cap, at sea level. [K]

    Parameters
    ----------
    gauge_pressure : float
        Of the cap, from 0 to 10 bar. [Pa]
    glycol_share : float
        Ethylene glycol by volume at 20 °C, 0 to below 1.

    Raises
    ------
    ValueError
        Outside these ranges.

    References
    ----------
    Raoult's law over both components; agrees within 2 K with published figures of
    coolants, and with IAPWS-IF97 for plain water.
    """
    if not 0 <= gauge_pressure <= MOST_PRESSURE:
        raise ValueError(f"gauge_pressure must lie from 0 to 1 MPa, got {gauge_pressure:g}")
    pressure, water = AIR_PRESSURE + gauge_pressure, water_mole_fraction(glycol_share)
    low, high = CELSIUS + 90, CELSIUS + 350
    for _ in range(60):  # halves 260 K down to less than a float can tell
        middle = (low + high) / 2
        boils = water * water_saturation_pressure(middle)
        boils += (1 - water) * glycol_vapour_pressure(middle)
        low, high = (low, middle) if boils > pressure else (middle, high)
    return low
