"""Dry air: its properties, the standard atmosphere, and the pressure of moving into it."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from swapwright.physics.inputs import Floats, between, not_negative, positive

GAS_CONSTANT = 287.05287  # of dry air [J/(kg K)] [1 of standard_atmosphere]
COLDEST, HOTTEST = 200.0, 450.0  # K, where the properties were compared
GREATEST_PRESSURE = 5e5  # Pa, where air is still an ideal gas to 1 %
GRAVITY = 9.80665  # m/s²
SEA_LEVEL_TEMPERATURE = 288.15  # K
SEA_LEVEL_PRESSURE = 101325.0  # Pa
LAPSE_RATE = 0.0065  # K/m of geopotential altitude
EARTH_RADIUS = 6356766.0  # m
LOWEST_PLACE, HIGHEST_PLACE = -1000.0, 11000.0  # m


class Atmosphere(NamedTuple):
    """Still air at an altitude."""

    temperature: Floats  # [K]
    pressure: Floats  # absolute [Pa]
    density: Floats  # [kg/m³]


def air_density(temperature: ArrayLike, absolute_pressure: ArrayLike) -> Floats:
    """Density of dry air as an ideal gas.

    Parameters
    ----------
    temperature : (S,) or scalar
        200 to 450 K. [K]
    absolute_pressure : (S,) or scalar
        Above zero, up to 5 bar. [Pa]

    Returns
    -------
    density : (S,) or scalar
        ``p / (R T)``, within 0.3 % of real air up to 1.5 bar. [kg/m³]

    Raises
    ------
    ValueError
        If a number is outside its range or not finite.

    References
    ----------
    .. [1] Ideal gas law with the gas constant of ISO 2533:1975 (from memory).
    """
    positive("absolute_pressure", absolute_pressure, "Pa")
    p = between("absolute_pressure", absolute_pressure, 0.0, GREATEST_PRESSURE, "Pa")
    return np.asarray(p / (GAS_CONSTANT * _temperature(temperature)))


def air_viscosity(temperature: ArrayLike) -> Floats:
    """Dynamic viscosity of air; pressure does not matter at a few bar.

    Parameters
    ----------
    temperature : (S,) or scalar
        200 to 450 K. [K]

    Returns
    -------
    viscosity : (S,) or scalar
        ``1.458e-6 T^1.5 / (T + 110.4)``, within 1.5 %. [Pa s]

    Raises
    ------
    ValueError
        If the temperature is outside its range or not finite.

    References
    ----------
    .. [1] Sutherland's law with the constants of the U.S. Standard Atmosphere 1976, eq. 51 (from
       memory; agrees with the fluids library 1.3.1).
    """
    T = _temperature(temperature)
    return np.asarray(1.458e-6 * T**1.5 / (T + 110.4))


def air_conductivity(temperature: ArrayLike) -> Floats:
    """Thermal conductivity of air.

    Parameters
    ----------
    temperature : (S,) or scalar
        200 to 450 K. [K]

    Returns
    -------
    conductivity : (S,) or scalar
        ``2.64638e-3 T^1.5 / (T + 245.4 · 10^(-12/T))``, within 2 %. [W/(m K)]

    Raises
    ------
    ValueError
        If the temperature is outside its range or not finite.

    References
    ----------
    .. [1] U.S. Standard Atmosphere 1976, eq. 53 (from memory; agrees with the fluids library
       1.3.1).
    """
    T = _temperature(temperature)
    return np.asarray(2.64638e-3 * T**1.5 / (T + 245.4 * 10 ** (-12 / T)))


def air_heat_capacity(temperature: ArrayLike) -> Floats:
    """Specific heat capacity of dry air at constant pressure.

    Parameters
    ----------
    temperature : (S,) or scalar
        200 to 450 K. [K]

    Returns
    -------
    heat_capacity : (S,) or scalar
        At one atmosphere; 0.3 % more at 3 bar. [J/(kg K)]

    Raises
    ------
    ValueError
        If the temperature is outside its range or not finite.

    References
    ----------
    .. [1] Parabola through the values of E. W. Lemmon and others, J. Phys. Chem. Ref. Data 29
       (2000) 331-385, as CoolProp 8.0.0 gives them from 220 to 450 K; nowhere 0.01 % off there.
    """
    x = (_temperature(temperature) - 300) / 100
    return np.asarray(1006.358 + 3.6887 * x + 4.0993 * x**2)


def air_prandtl(temperature: ArrayLike) -> Floats:
    """Prandtl number ``mu cp / k`` of dry air.

    Parameters
    ----------
    temperature : (S,) or scalar
        200 to 450 K. [K]

    Returns
    -------
    prandtl : (S,) or scalar
        About 0.7. [1]

    Raises
    ------
    ValueError
        If the temperature is outside its range or not finite.

    References
    ----------
    .. [1] Definition, of the three laws above.
    """
    mu, cp = air_viscosity(temperature), air_heat_capacity(temperature)
    return np.asarray(mu * cp / air_conductivity(temperature))


def standard_atmosphere(altitude: ArrayLike) -> Atmosphere:
    """Temperature, pressure and density of the standard atmosphere.

    Parameters
    ----------
    altitude : (S,) or scalar
        Above sea level, -1000 to 11000. [m]

    Returns
    -------
    atmosphere : Atmosphere
        Falls by 6.5 K a geopotential kilometre from 15 °C and 101 325 Pa.

    Raises
    ------
    ValueError
        If the altitude is outside its range or not finite.

    References
    ----------
    .. [1] ISO 2533:1975, the same as the U.S. Standard Atmosphere 1976 below 11 km (from memory;
       agrees with the fluids library 1.3.1, `ATMOSPHERE_1976`).
    """
    z = between("altitude", altitude, LOWEST_PLACE, HIGHEST_PLACE, "m")
    H = EARTH_RADIUS * z / (EARTH_RADIUS + z)
    T = SEA_LEVEL_TEMPERATURE - LAPSE_RATE * H
    power = GRAVITY / (GAS_CONSTANT * LAPSE_RATE)
    p = SEA_LEVEL_PRESSURE * (T / SEA_LEVEL_TEMPERATURE) ** power
    return Atmosphere(np.asarray(T), np.asarray(p), np.asarray(p / (GAS_CONSTANT * T)))


def ram_pressure(speed: ArrayLike, density: ArrayLike) -> Floats:
    """Dynamic pressure of air met at a speed.

    Parameters
    ----------
    speed : (S,) or scalar
        Through the air, forward, zero or more. [m/s]
    density : (S,) or scalar
        Of the air. [kg/m³]

    Returns
    -------
    pressure : (S,) or scalar
        ``rho V² / 2``: all that an opening could get; what it does get is a share of it. [Pa]

    Raises
    ------
    ValueError
        If the speed is negative, the density not positive, or anything not finite.

    References
    ----------
    .. [1] Bernoulli; air is incompressible to 1 % below 60 m/s.
    """
    return np.asarray(
        positive("density", density, "kg/m³") * not_negative("speed", speed, "m/s") ** 2 / 2
    )


def _temperature(value: ArrayLike) -> Floats:
    return between("temperature", value, COLDEST, HOTTEST, "K")
