"""Cores of flat tubes and louvred fins as a whole: their surface, heat transfer and resistance.

The laws and how far to trust them stand in `louvred_fins`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.convection import finned_surface_efficiency, straight_fin_efficiency
from swapwright.physics.inputs import Floats, finite, not_negative, outside, positive
from swapwright.physics.louvred_fins import (
    FRICTION_RANGE,
    HEAT_RANGE,
    FinFriction,
    LouvredFin,
    Marked,
    beyond_measured,
    fin_share,
    free_area_share,
    heat_factor,
    hydraulic_diameter,
)

STILL = 1e-3  # Reynolds number below which the drop is a straight line through zero anyway


@dataclass(frozen=True, eq=False)
class Core:
    """A core of such rows behind each other."""

    fin: LouvredFin
    face_area: ArrayLike  # across the air, tubes and fins only [m²]
    rows: ArrayLike  # of tubes, one behind the other

    def __post_init__(self) -> None:
        object.__setattr__(self, "face_area", positive("face_area", self.face_area, "m²"))
        object.__setattr__(self, "rows", positive("rows", self.rows))


def air_side_area(core: Core) -> Floats:
    """Whole surface that the air wets, fins and tubes. [m²]

    Parameters
    ----------
    core : Core
        The whole of it.

    Returns
    -------
    area : (S,) or scalar
        ``4 share face depth rows / Dh`` [m²]

    References
    ----------
    .. [1] Definition of the hydraulic diameter.
    """
    free = free_area_share(core.fin) * np.asarray(core.face_area)
    return np.asarray(4 * free * _length(core) / hydraulic_diameter(core.fin))


def louvre_reynolds(
    core: Core, volume_flow: ArrayLike, density: ArrayLike, viscosity: ArrayLike
) -> Floats:
    """Reynolds number on the louvre pitch at the least free section.

    Parameters
    ----------
    core : Core
        The whole of it.
    volume_flow : (S,) or scalar
        Through the whole core, either way. [m³/s]
    density, viscosity : (S,) or scalar
        Of the air. [kg/m³], [Pa s]

    Returns
    -------
    reynolds : (S,) or scalar
        ``rho |V| Lp / (share face mu)`` [1]

    Raises
    ------
    ValueError
        If density or viscosity is not positive or anything is not finite.

    References
    ----------
    .. [1] Definition, as in `colburn_factor`.
    """
    rho = positive("density", density, "kg/m³")
    mu = positive("viscosity", viscosity, "Pa s")
    flow = np.abs(finite("volume_flow", volume_flow, "m³/s"))
    speed = flow / (free_area_share(core.fin) * np.asarray(core.face_area))
    return np.asarray(rho * speed * np.asarray(core.fin.louvre_pitch) / mu)


def heat_transfer_coefficient(
    core: Core, reynolds: ArrayLike, conductivity: ArrayLike, prandtl: ArrayLike
) -> Marked:
    """Coefficient between the air and the surface of a core.

    Parameters
    ----------
    core : Core
        The whole of it.
    reynolds : (S,) or scalar
        On the louvre pitch, zero or more: see `louvre_reynolds`. [1]
    conductivity : (S,) or scalar
        Of the air. [W/(m K)]
    prandtl : (S,) or scalar
        Of the air. [1]

    Returns
    -------
    coefficient : Marked
        ``j Re Pr^(1/3) k / Lp``, zero in still air. [W/(m² K)]

    Raises
    ------
    ValueError
        If Re is negative, another number not positive, or anything is not finite.

    References
    ----------
    .. [1] As `colburn_factor`.
    """
    Re = not_negative("reynolds", reynolds)
    k = positive("conductivity", conductivity, "W/(m K)")
    Pr = positive("prandtl", prandtl)
    fin = core.fin
    h = heat_factor(fin) * Re**0.51 * Pr ** (1 / 3) * k / np.asarray(fin.louvre_pitch)
    return Marked(h, beyond_measured(fin) | outside(Re, *HEAT_RANGE))


def air_side_conductance(core: Core, coefficient: ArrayLike, fin_conductivity: ArrayLike) -> Floats:
    """Coefficient times area times efficiency of the air side of a core. [W/K]

    Parameters
    ----------
    core : Core
        The whole of it.
    coefficient : (S,) or scalar
        See `heat_transfer_coefficient`, zero or more. [W/(m² K)]
    fin_conductivity : (S,) or scalar
        Of the fin metal. [W/(m K)]

    Returns
    -------
    conductance : (S,) or scalar
        The fin is warmed from both tubes, so that it counts as a straight fin of half its
        height; bonds between fin and tube are taken as perfect. [W/K]

    Raises
    ------
    ValueError
        If the coefficient is negative, the conductivity not positive, or anything not finite.

    References
    ----------
    .. [1] `convection.straight_fin_efficiency` and `convection.finned_surface_efficiency`.
    """
    half = np.asarray(core.fin.fin_height) / 2
    fin = straight_fin_efficiency(coefficient, fin_conductivity, core.fin.fin_thickness, half)
    whole = finned_surface_efficiency(fin, fin_share(core.fin))
    return np.asarray(whole * np.asarray(coefficient) * air_side_area(core))


@dataclass(frozen=True, eq=False)
class CoreResistance:
    """Pressure drop of a core as a law of its flow; made by `core_resistance`."""

    friction: FinFriction
    reynolds_per_flow: Floats  # 1/(m³/s)
    drop_per_square: Floats  # of f V²: Pa/(m³/s)²
    beyond: NDArray[np.bool_]

    def drop(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """Pressure drop [Pa] and its slope [Pa/(m³/s)] at a flow of either sign [m³/s]."""
        amount = np.abs(volume_flow)
        Re = np.maximum(amount * self.reynolds_per_flow, STILL)
        f, growth = self.friction.rising(Re)
        shape = self.drop_per_square * f * Re / self.reynolds_per_flow
        return shape * volume_flow, shape * (2 + growth)

    def extrapolated(self, volume_flow: Floats) -> NDArray[np.bool_]:
        """Where geometry or flow is outside what was measured."""
        Re = np.abs(volume_flow) * self.reynolds_per_flow
        return np.asarray(self.beyond | outside(Re, *FRICTION_RANGE))


def core_resistance(core: Core, density: ArrayLike, viscosity: ArrayLike) -> CoreResistance:
    """Law of pressure drop over air flow of a core: ``4 f (L/Dh) rho Vc²/2``.

    Parameters
    ----------
    core : Core
        The whole of it.
    density, viscosity : (S,) or scalar
        Of the air, mean over the core. [kg/m³], [Pa s]

    Returns
    -------
    law : CoreResistance
        ``law.drop(volume_flow)`` gives drop and slope. Between Re 130 and 230 the factor follows
        the power law through both ends, not the published straight line of
        `fanning_friction_factor`: the line lets the pressure of every fifth usual core fall with
        rising flow, and leaves the flow undetermined. The power law lies lower, by 7 % in
        the middle where the two ends are 1.7 times apart (usual), by 21 % at worst. Where the
        ends are so far apart that even so the pressure would not rise, the factor above Re 230
        is lifted until it does, and the answer is marked as extrapolated.

    Raises
    ------
    ValueError
        As `fanning_friction_factor`.

    References
    ----------
    .. [1] As `fanning_friction_factor`.
    """
    rho = positive("density", density, "kg/m³")
    mu = positive("viscosity", viscosity, "Pa s")
    free = free_area_share(core.fin) * np.asarray(core.face_area)
    friction = FinFriction.of(core.fin)
    return CoreResistance(
        friction.lifted(),
        np.asarray(rho * np.asarray(core.fin.louvre_pitch) / (free * mu)),
        np.asarray(4 * _length(core) / hydraulic_diameter(core.fin) * rho / 2 / free**2),
        beyond_measured(core.fin) | friction.is_lifted(),
    )


def _length(core: Core) -> Floats:
    """Way of the air through all rows."""
    return np.asarray(np.asarray(core.rows) * np.asarray(core.fin.fin_depth))
