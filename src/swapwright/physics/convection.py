"""Heat between a wall and what flows along it: tubes, fins, and both sides of a wall together."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, between, not_negative, outside, positive

# Reynolds numbers between which laminar passes into turbulent flow [1 of tube_nusselt]
LAMINAR_UNTIL = 2300.0
TURBULENT_FROM = 4000.0
REYNOLDS_MOST = 5e6
PRANDTL_RANGE = (0.5, 2000.0)


class Nusselt(NamedTuple):
    """A Nusselt number and where its law was stretched."""

    nusselt: Floats
    extrapolated: NDArray[np.bool_]  # outside the range of the law


def gnielinski_nusselt(
    reynolds: ArrayLike, prandtl: ArrayLike, darcy_friction_factor: ArrayLike
) -> Nusselt:
    """Nusselt number of turbulent flow in a tube, fully developed.

    Parameters
    ----------
    reynolds : (S,) or scalar
        On the bore; marked as extrapolated outside 4000 to 5e6. [1]
    prandtl : (S,) or scalar
        Marked as extrapolated outside 0.5 to 2000. [1]
    darcy_friction_factor : (S,) or scalar
        Four times Fanning's. [1]

    Returns
    -------
    nusselt : Nusselt
        ``(f/8)(Re - 1000) Pr / (1 + 12.7 sqrt(f/8) (Pr^(2/3) - 1))`` [1]

    Raises
    ------
    ValueError
        If a number is not positive and finite, or Re is below 1000.

    References
    ----------
    .. [1] V. Gnielinski, New equations for heat and mass transfer in turbulent pipe and channel
       flow, Int. Chem. Eng. 16 (1976) 359-368 (from memory; agrees with the ht library 1.2.0).
    """
    Re = between("reynolds", reynolds, 1000.0, np.inf)
    Pr = positive("prandtl", prandtl)
    eighth = positive("darcy_friction_factor", darcy_friction_factor) / 8
    Nu = eighth * (Re - 1000) * Pr / (1 + 12.7 * np.sqrt(eighth) * (Pr ** (2 / 3) - 1))
    beyond = outside(Re, TURBULENT_FROM, REYNOLDS_MOST) | outside(Pr, *PRANDTL_RANGE)
    return Nusselt(Nu, beyond)


def smooth_tube_friction_factor(reynolds: ArrayLike) -> Floats:
    """Darcy friction factor of a smooth tube, as the heat transfer law wants it.

    Parameters
    ----------
    reynolds : (S,) or scalar
        At least 3000. [1]

    Returns
    -------
    darcy_friction_factor : (S,) or scalar
        ``(0.790 ln Re - 1.64)^-2`` [1]

    Raises
    ------
    ValueError
        If Re is below 3000 or not finite.

    References
    ----------
    .. [1] B. S. Petukhov, Advances in Heat Transfer 6 (1970) 503-564 (from memory; agrees with
       Colebrook's smooth limit to 2 % from Re 1e4, 4 % at 4000).
    """
    Re = between("reynolds", reynolds, 3000.0, np.inf)
    return (0.790 * np.log(Re) - 1.64) ** -2.0


def tube_nusselt(reynolds: ArrayLike, prandtl: ArrayLike, laminar_nusselt: ArrayLike) -> Nusselt:
    """Nusselt number of a smooth tube at any flow, from still to turbulent.

    Parameters
    ----------
    reynolds : (S,) or scalar
        On the hydraulic diameter, zero or more. [1]
    prandtl : (S,) or scalar
        Above zero. [1]
    laminar_nusselt : (S,) or scalar
        Of the section: 3.66 for a round tube with an even wall temperature, 7.54 between wide
        flat walls; the entrance is left out. [1]

    Returns
    -------
    nusselt : Nusselt
        Laminar value up to Re 2300, Gnielinski from 4000, on a straight line between; never
        falling with Re as long as the laminar value is the smaller. [1]

    Raises
    ------
    ValueError
        If Re is negative, another number is not positive, or anything is not finite.

    References
    ----------
    .. [1] V. Gnielinski, On heat transfer in tubes, Int. J. Heat Mass Transfer 63 (2013) 134-140,
       for the straight line between 2300 and 4000 (from memory).
    """
    Re = not_negative("reynolds", reynolds)
    laminar = positive("laminar_nusselt", laminar_nusselt)
    turbulent_at = np.maximum(Re, TURBULENT_FROM)
    turbulent = gnielinski_nusselt(turbulent_at, prandtl, smooth_tube_friction_factor(turbulent_at))
    share = np.clip((Re - LAMINAR_UNTIL) / (TURBULENT_FROM - LAMINAR_UNTIL), 0.0, 1.0)
    Nu = (1 - share) * laminar + share * turbulent.nusselt
    return Nusselt(Nu, turbulent.extrapolated & (share > 0))


def straight_fin_efficiency(
    coefficient: ArrayLike, conductivity: ArrayLike, thickness: ArrayLike, length: ArrayLike
) -> Floats:
    """Efficiency of a straight thin fin with an idle tip.

    Parameters
    ----------
    coefficient : (S,) or scalar
        Heat transfer coefficient on both faces, zero or more. [W/(m² K)]
    conductivity : (S,) or scalar
        Of the fin. [W/(m K)]
    thickness : (S,) or scalar
        Of the fin. [m]
    length : (S,) or scalar
        From root to tip; half the span of a fin held at both ends. [m]

    Returns
    -------
    efficiency : (S,) or scalar
        ``tanh(m L)/(m L)``, ``m = sqrt(2 h/(k t))`` [1]

    Raises
    ------
    ValueError
        If the coefficient is negative, a size is not positive, or anything is not finite.

    References
    ----------
    .. [1] D. R. Harper and W. B. Brown, NACA Report 158, 1922 (from memory); exact for
       conduction along the fin alone.
    """
    h = not_negative("coefficient", coefficient, "W/(m² K)")
    k = positive("conductivity", conductivity, "W/(m K)")
    t = positive("thickness", thickness, "m")
    mL = positive("length", length, "m") * np.sqrt(2 * h / (k * t))
    return np.where(mL > 1e-6, np.tanh(mL) / np.maximum(mL, 1e-6), 1.0)


def finned_surface_efficiency(fin_efficiency: ArrayLike, fin_share: ArrayLike) -> Floats:
    """Efficiency of a whole surface of which a share is fins.

    Parameters
    ----------
    fin_efficiency : (S,) or scalar
        0 to 1. [1]
    fin_share : (S,) or scalar
        Fin area over whole area, 0 to 1. [1]

    Returns
    -------
    efficiency : (S,) or scalar
        ``1 - share (1 - efficiency)`` [1]

    Raises
    ------
    ValueError
        If a number is outside 0 to 1 or not finite.

    References
    ----------
    .. [1] Definition: bare wall counts whole, fins by their efficiency.
    """
    eta = between("fin_efficiency", fin_efficiency, 0.0, 1.0)
    return 1 - between("fin_share", fin_share, 0.0, 1.0) * (1 - eta)


def overall_conductance(
    first_side: ArrayLike, second_side: ArrayLike, wall_resistance: ArrayLike
) -> Floats:
    """Overall UA of two sides and the wall between them. [W/K]

    Parameters
    ----------
    first_side, second_side : (S,) or scalar
        Coefficient times area times surface efficiency, zero or more. [W/K]
    wall_resistance : (S,) or scalar
        Wall and fouling, zero or more; ``t/(k A)`` of a plain wall. [K/W]

    Returns
    -------
    conductance : (S,) or scalar
        ``1/(1/first + wall + 1/second)``, zero where a side is. [W/K]

    Raises
    ------
    ValueError
        If a number is negative or not finite.

    References
    ----------
    .. [1] Resistances in series.
    """
    first = not_negative("first_side", first_side, "W/K")
    second = not_negative("second_side", second_side, "W/K")
    wall = not_negative("wall_resistance", wall_resistance, "K/W")
    # multiplied through, so that a side without heat transfer divides nothing
    whole = first + second + first * second * wall
    return first * second / np.where(whole > 0, whole, 1.0)
