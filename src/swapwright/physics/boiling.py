"""Vapour pressure and boiling point of water, alone and with glycol."""

import numpy as np
from numpy.typing import ArrayLike

from swapwright.physics.inputs import Floats, between
from swapwright.physics.liquids import COLDEST, Glycol, checked_share

MIXTURE_HOTTEST = 473.15  # K
CRITICAL_TEMPERATURE = 647.096  # K, of water

_WATER_MOLES = 998.2 / 18.01528e-3  # mol in 1 m³ of water at 20 °C
_GLYCOL_MOLES = {"ethylene": 1113.2 / 62.068e-3, "propylene": 1036.1 / 76.094e-3}
# A to E of ln p = A + B/T + C ln T + D T^E, in Pa and K
_GLYCOL_VAPOUR = {
    "ethylene": (84.09, -10411.0, -8.1976, 1.6536e-18, 6.0),
    "propylene": (212.8, -15420.0, -28.109, 2.1564e-5, 2.0),
}
# n1 to n10 of region 4
_IF97 = (
    0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5,
    -0.32325550322333e7, 0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6,
    -0.23855557567849, 0.65017534844798e3,
)  # fmt: skip
_BOILING_STEPS = 4  # secant steps; three reach the last bit all over the range


def water_vapour_pressure(temperature: ArrayLike) -> Floats:
    """Pressure at which water boils.

    Parameters
    ----------
    temperature : (S,) or scalar
        233.15 to 647.096 K. The formula is published from 273.15 K; below, for water that failed
        to freeze, it stays within 0.3 % of [2]_. [K]

    Returns
    -------
    pressure : (S,) or scalar
        Absolute. [Pa]

    Raises
    ------
    ValueError
        If a temperature is outside that range.

    References
    ----------
    .. [1] IAPWS R7-97, Industrial Formulation 1997, region 4, equation 30.
    .. [2] Murphy and Koop, Q. J. R. Meteorol. Soc. 131 (2005), p. 1539, from memory.
    """
    return _water_pressure(between("temperature", temperature, COLDEST, CRITICAL_TEMPERATURE, "K"))


def water_boiling_temperature(absolute_pressure: ArrayLike) -> Floats:
    """Temperature at which water boils, the exact inverse of `water_vapour_pressure`.

    Parameters
    ----------
    absolute_pressure : (S,) or scalar
        From the vapour pressure at 233.15 K, 19 Pa, to the critical one. [Pa]

    Returns
    -------
    temperature : (S,) or scalar
        [K]

    Raises
    ------
    ValueError
        If a pressure is outside that range.

    References
    ----------
    .. [1] IAPWS R7-97, Industrial Formulation 1997, region 4, equation 31.
    """
    low, high = _water_pressure(np.array([COLDEST, CRITICAL_TEMPERATURE]))
    return _water_temperature(between("absolute_pressure", absolute_pressure, low, high, "Pa"))


def vapour_pressure(glycol: Glycol, share: ArrayLike, temperature: ArrayLike) -> Floats:
    """Pressure at which a mixture boils, by Raoult's law.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,) or scalar
        Volume share of glycol at 20 °C, 0 to 0.7. [-]
    temperature : (S,) or scalar
        233.15 to 473.15 K. [K]

    Returns
    -------
    pressure : (S,) or scalar
        ``x p_water(T) + (1 - x) p_glycol(T)`` with mole fraction x of water, absolute. Boiling
        points from it agree with published ones to about 2 K. [Pa]

    Raises
    ------
    ValueError
        If a share or a temperature is outside its range.

    References
    ----------
    .. [1] Raoult's law; water see `water_vapour_pressure`.
    .. [2] Perry's Chemical Engineers' Handbook, 8th ed., table 2-8, for the glycols; read through
       the library chemicals 1.5.2. Published from 260 K (ethylene) and 213 K (propylene); below,
       a glycol's part is less than a thousandth of the water's.
    """
    kelvin = between("temperature", temperature, COLDEST, MIXTURE_HOTTEST, "K")
    return _mixture_pressure(glycol, _water_fraction(glycol, checked_share(share)), kelvin)


def boiling_temperature(glycol: Glycol, share: ArrayLike, absolute_pressure: ArrayLike) -> Floats:
    """Temperature at which a mixture boils under a pressure, the inverse of `vapour_pressure`.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,) or scalar
        Volume share of glycol at 20 °C, 0 to 0.7. [-]
    absolute_pressure : (S,) or scalar
        Between the vapour pressures at 233.15 and 473.15 K. [Pa]

    Returns
    -------
    temperature : (S,) or scalar
        [K]

    Raises
    ------
    ValueError
        If a share or a pressure is outside its range.

    References
    ----------
    .. [1] See `vapour_pressure`.
    """
    water = _water_fraction(glycol, checked_share(share))
    lowest = _mixture_pressure(glycol, water, np.asarray(COLDEST)).max()
    highest = _mixture_pressure(glycol, water, np.asarray(MIXTURE_HOTTEST)).min()
    pressure = between("absolute_pressure", absolute_pressure, lowest, highest, "Pa")
    water, pressure = np.broadcast_arrays(water, pressure)
    # ln p is all but straight over 1/T, so secants from two boiling points of water, at this
    # pressure and at the one that water's share alone would have, need no bracket
    before = 1 / _water_temperature(pressure)
    here = 1 / _water_temperature(pressure / water)
    ln_wanted = np.log(pressure)
    miss_before = np.log(_mixture_pressure(glycol, water, 1 / before)) - ln_wanted
    for _ in range(_BOILING_STEPS):
        miss = np.log(_mixture_pressure(glycol, water, 1 / here)) - ln_wanted
        rise = miss - miss_before
        moved = rise != 0
        step = np.where(moved, miss * (here - before) / np.where(moved, rise, 1.0), 0.0)
        before, miss_before, here = here, miss, here - step
    return np.asarray(1 / here)


def _water_pressure(kelvin: Floats) -> Floats:
    n = _IF97
    theta = kelvin + n[8] / (kelvin - n[9])
    a = (theta + n[0]) * theta + n[1]
    b = (n[2] * theta + n[3]) * theta + n[4]
    c = (n[5] * theta + n[6]) * theta + n[7]
    return np.asarray(1e6 * (2 * c / (np.sqrt(b * b - 4 * a * c) - b)) ** 4)


def _water_temperature(pressure: Floats) -> Floats:
    n = _IF97
    beta = (pressure / 1e6) ** 0.25
    e = (beta + n[2]) * beta + n[5]
    f = (n[0] * beta + n[3]) * beta + n[6]
    g = (n[1] * beta + n[4]) * beta + n[7]
    d = 2 * g / (-f - np.sqrt(f * f - 4 * e * g))
    root = np.sqrt((n[9] + d) ** 2 - 4 * (n[8] + n[9] * d))
    return np.asarray((n[9] + d - root) / 2)


def _mixture_pressure(glycol: Glycol, water: Floats, kelvin: Floats) -> Floats:
    a, b, c, d, e = _GLYCOL_VAPOUR[glycol]
    of_glycol = np.exp(a + b / kelvin + c * np.log(kelvin) + d * kelvin**e)
    return np.asarray(water * _water_pressure(kelvin) + (1 - water) * of_glycol)


def _water_fraction(glycol: Glycol, share: Floats) -> Floats:
    """Mole fraction of water."""
    if glycol not in _GLYCOL_MOLES:
        raise ValueError(f'glycol must be "ethylene" or "propylene", got "{glycol}"')
    water = (1 - share) * _WATER_MOLES
    return np.asarray(water / (water + share * _GLYCOL_MOLES[glycol]))
