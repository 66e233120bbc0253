"""Coefficients of local losses, each saying on which bore, and what they are as resistances.

Bends, sharp steps, entrances and orifices follow Rennels and Hudson: closed formulas over the
whole range of shapes, so that nothing is read off a table, and the friction factor stands in the
bend, so that a cold, viscous liquid loses more there, as it does. Against Crane, Miller and Ito
they lie in the middle for bends of 1.5 to 4 bores (0.20 to 0.30). Cones and tees follow Crane:
one formula for every angle, and the flow split that Rennels has no formula for.

All hold for turbulent flow; below a Reynolds number of some thousands coefficients grow, and
nothing here knows by how much.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from swapwright.physics.inputs import Floats, between, finite, not_negative, positive

EXIT_LOSS = 1.0  # into a large space, on the pipe's own bore: all of the velocity head, exactly
SHARPEST_BEND = 0.5  # radius over bore where the inner edge is sharp; the formula ends there
ELBOW_FACTOR = 30.0  # threaded elbow, 90°: loss over fully rough friction factor [Crane]
HALF_CONE_FULL = np.pi / 8  # half of 45°; wider cones lose as much as a step [Crane]
SMALL_BRANCH = 0.35  # area of a branch over that of the run, where Crane's tees change
LARGE_BRANCH = 2 / 3
MOST_CONVOLUTED = 4.0  # times the loss of a straight smooth hose


class TeeLosses(NamedTuple):
    """Loss from or to each leg of a tee, on the bore and flow of the leg with all of the flow.

    May be negative: the faster stream drags the slower one along.
    """

    branch: Floats
    run: Floats


def bend_loss(
    radius: ArrayLike, bore: ArrayLike, angle: ArrayLike, friction_factor: ArrayLike
) -> Floats:
    """Loss coefficient of a smooth bend, on its own bore.

    Parameters
    ----------
    radius : (S,) or scalar
        Of the bend's centre line; half a bore or more. [m]
    bore : (S,) or scalar
        [m]
    angle : (S,) or scalar
        Turned through, up to π. [rad]
    friction_factor : (S,) or scalar
        Darcy, of the pipe at the flow at hand. [-]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        The bend's own length included. [-]

    Raises
    ------
    ValueError
        If the radius is under half a bore, or an argument is out of its range.

    References
    ----------
    .. [1] Rennels, D. C., and Hudson, H. M., Pipe Flow, Wiley, 2012; formula as the fluids
       library 1.3.1 states it.
    """
    bore, factor = positive("bore", bore, "m"), positive("friction_factor", friction_factor)
    turn = between("angle", angle, 0.0, np.pi, "rad")
    ratio = positive("radius", radius, "m") / bore
    if np.min(ratio) < SHARPEST_BEND:
        raise ValueError(
            f"radius must be half a bore or more, got {np.min(ratio):.3g} bores; "
            "sharper is a mitre (mitre_loss)"
        )
    half = np.sin(turn / 2)
    friction = factor * turn * ratio
    secondary = (0.10 + 2.4 * factor) * half
    separation = 6.6 * factor * (np.sqrt(half) + half) / ratio ** (4 * turn / np.pi)
    return np.asarray(friction + secondary + separation)


def mitre_loss(angle: ArrayLike) -> Floats:
    """Loss coefficient of two pipes that meet at a sharp angle, on their own bore.

    Parameters
    ----------
    angle : (S,) or scalar
        Turned through, up to 5/6 π (150°). [rad]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        ``0.42 sin(α/2) + 2.56 sin³(α/2)`` [-]

    Raises
    ------
    ValueError
        If an angle is out of its range.

    References
    ----------
    .. [1] Rennels and Hudson (see `bend_loss`).
    """
    half = np.sin(between("angle", angle, 0.0, 5 / 6 * np.pi, "rad") / 2)
    return np.asarray(0.42 * half + 2.56 * half**3)


def elbow_loss(rough_friction_factor: ArrayLike) -> Floats:
    """Loss coefficient of a standard threaded 90° elbow, on its own bore.

    Parameters
    ----------
    rough_friction_factor : (S,) or scalar
        Of fully rough flow in new steel pipe of that bore, 0.045 mm rough
        (`friction.rough_factor`). [-]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        Thirty times the factor. [-]

    Raises
    ------
    ValueError
        If a factor is not positive.

    References
    ----------
    .. [1] Crane Co., Flow of Fluids, Technical Paper 410, 2009.
    """
    return np.asarray(
        ELBOW_FACTOR * positive("rough_friction_factor", rough_friction_factor), dtype=float
    )


def entrance_loss(rounding_radius: ArrayLike, bore: ArrayLike) -> Floats:
    """Loss coefficient of the mouth of a pipe in a flat wall, on the pipe's bore.

    Parameters
    ----------
    rounding_radius : (S,) or scalar
        Of the edge; zero is sharp. [m]
    bore : (S,) or scalar
        [m]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        0.57 for a sharp edge (Crane and most handbooks say 0.5), 0.03 from one bore on. [-]

    Raises
    ------
    ValueError
        If a radius is negative or a bore not positive.

    References
    ----------
    .. [1] Rennels and Hudson (see `bend_loss`).
    """
    radius = not_negative("rounding_radius", rounding_radius, "m")
    # a mouth rounder than one bore is no better than that: the formula's own end
    ratio = np.minimum(radius / positive("bore", bore, "m"), 1.0)
    jet = 1 + 0.622 * (1 - 0.30 * np.sqrt(ratio) - 0.70 * ratio) ** 4
    return np.asarray(0.0696 * (1 - 0.569 * ratio) * jet**2 + (jet - 1) ** 2)


def expansion_loss(small_bore: ArrayLike, large_bore: ArrayLike) -> Floats:
    """Loss coefficient of a sudden step up, on the small bore.

    Parameters
    ----------
    small_bore, large_bore : (S,) or scalar
        Before and behind the step. [m]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        ``(1 - β²)²``, β small bore over large bore. [-]

    Raises
    ------
    ValueError
        If a bore is not positive or the small one is the larger.

    References
    ----------
    .. [1] Borda and Carnot: balance of momentum, exact for uniform flow.
    """
    return np.asarray((1 - _bore_ratio(small_bore, large_bore) ** 2) ** 2)


def contraction_loss(small_bore: ArrayLike, large_bore: ArrayLike) -> Floats:
    """Loss coefficient of a sudden step down, on the small bore.

    Parameters
    ----------
    small_bore, large_bore : (S,) or scalar
        Behind and before the step. [m]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        Of a sharp edge; simple handbooks' ``0.5 (1 - β²)`` is a quarter lower. [-]

    Raises
    ------
    ValueError
        If a bore is not positive or the small one is the larger.

    References
    ----------
    .. [1] Rennels and Hudson (see `bend_loss`).
    """
    ratio = _bore_ratio(small_bore, large_bore)
    jet = _jet(ratio)
    return np.asarray(0.0696 * (1 - ratio**5) * jet**2 + (jet - 1) ** 2)


def cone_expansion_loss(small_bore: ArrayLike, large_bore: ArrayLike, angle: ArrayLike) -> Floats:
    """Loss coefficient of a cone that widens, on the small bore.

    Parameters
    ----------
    small_bore, large_bore : (S,) or scalar
        [m]
    angle : (S,) or scalar
        Between opposite walls, up to π, which is a step. [rad]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        ``2.6 sin(θ/2) (1 - β²)²`` up to 45°, that of a step above. [-]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    .. [1] Crane TP-410 (see `elbow_loss`).
    """
    half = between("angle", angle, 0.0, np.pi, "rad") / 2
    share = np.where(half <= HALF_CONE_FULL, 2.6 * np.sin(half), 1.0)
    return np.asarray(share * expansion_loss(small_bore, large_bore))


def cone_contraction_loss(small_bore: ArrayLike, large_bore: ArrayLike, angle: ArrayLike) -> Floats:
    """Loss coefficient of a cone that narrows, on the small bore.

    Parameters
    ----------
    small_bore, large_bore : (S,) or scalar
        [m]
    angle : (S,) or scalar
        Between opposite walls, up to π, which is a step. [rad]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        ``0.8 sin(θ/2) (1 - β²)`` up to 45°, ``0.5 √sin(θ/2) (1 - β²)`` above. [-]

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    .. [1] Crane TP-410 (see `elbow_loss`).
    """
    half = between("angle", angle, 0.0, np.pi, "rad") / 2
    share = np.where(half <= HALF_CONE_FULL, 0.8 * np.sin(half), 0.5 * np.sqrt(np.sin(half)))
    return np.asarray(share * (1 - _bore_ratio(small_bore, large_bore) ** 2))


def orifice_loss(hole_bore: ArrayLike, pipe_bore: ArrayLike) -> Floats:
    """Loss coefficient of a thin plate with a sharp round hole, on the bore of the pipe.

    Parameters
    ----------
    hole_bore, pipe_bore : (S,) or scalar
        [m]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        [-]

    Raises
    ------
    ValueError
        If a bore is not positive or the hole is the larger.

    References
    ----------
    .. [1] Rennels and Hudson (see `bend_loss`), chapter on orifices, from memory; within 4 %
       of ISO 5167-2's permanent loss for bore ratios of 0.2 to 0.75.
    """
    ratio = _bore_ratio(hole_bore, pipe_bore)
    jet = _jet(ratio)
    on_hole = 0.0696 * (1 - ratio**5) * jet**2 + (jet - ratio**2) ** 2
    return np.asarray(on_hole / ratio**4)


def converging_tee_losses(
    branch_share: ArrayLike, branch_bore: ArrayLike, run_bore: ArrayLike
) -> TeeLosses:
    """Losses of a 90° tee in which the branch's flow joins the run's.

    Parameters
    ----------
    branch_share : (S,) or scalar
        Flow of the branch over the joined flow, 0 to 1. [-]
    branch_bore, run_bore : (S,) or scalar
        Both legs of the run have one bore, the branch no larger one. [m]

    Returns
    -------
    losses : TeeLosses
        From the branch, and from the run, into the joined leg, on the joined flow and bore.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    References
    ----------
    .. [1] Crane TP-410, 2009, with the errata, as the fluids library 1.3.1 states it.
    """
    share = between("branch_share", branch_share, 0.0, 1.0)
    area = _bore_ratio(branch_bore, run_bore) ** 2
    factor = np.where(area <= SMALL_BRANCH, 1.0, np.where(share <= 0.4, 0.9 * (1 - share), 0.55))
    branch = factor * (1 + (share / area) ** 2 - 2 * (1 - share) ** 2)
    return TeeLosses(np.asarray(branch), np.asarray(1.55 * share - share**2 + 0 * area))


def diverging_tee_losses(
    branch_share: ArrayLike, branch_bore: ArrayLike, run_bore: ArrayLike
) -> TeeLosses:
    """Losses of a 90° tee in which flow leaves the run through the branch.

    Parameters
    ----------
    branch_share : (S,) or scalar
        Flow of the branch over the flow that arrives, 0 to 1. [-]
    branch_bore, run_bore : (S,) or scalar
        Both legs of the run have one bore, the branch no larger one. [m]

    Returns
    -------
    losses : TeeLosses
        From the leg that arrives into the branch, and on along the run, on the arriving flow
        and bore.

    Raises
    ------
    ValueError
        If an argument is out of its range.

    Notes
    -----
    Crane tells the law of a branch as wide as the run and that of narrow ones; where one takes
    over is not said there; we take an area of two thirds.

    References
    ----------
    .. [1] Crane TP-410, 2009, with the errata, as the fluids library 1.3.1 states it.
    """
    share = between("branch_share", branch_share, 0.0, 1.0)
    area = _bore_ratio(branch_bore, run_bore) ** 2
    narrow = 1 + (share / area) ** 2
    wide = (1 + 0.3 * share**2) * (1 + 0.3 * (share / area) ** 2)
    lean = np.where(share <= 0.5, 2.0, 0.3) * (2 * share - 1)
    run = np.where(area <= 0.4, 0.4, lean) * share**2
    return TeeLosses(np.where(area <= LARGE_BRANCH, narrow, wide), np.asarray(run))


def hose_length(length: ArrayLike, convolutions: ArrayLike) -> Floats:
    """Length of smooth hose that loses as much as a convoluted one of the same inside bore.

    Parameters
    ----------
    length : (S,) or scalar
        Of the hose along its centre line. [m]
    convolutions : (S,) or scalar
        Loss over that of a smooth hose: 1 is smooth, 2 to 4 is usual for corrugated ones. [-]

    Returns
    -------
    length : (S,) or scalar
        To be put into a pipe's law. [m]

    Raises
    ------
    ValueError
        If a length is negative, or a factor is not 1 to 4: no loss beyond is known to us.

    References
    ----------
    .. [1] Common practice, from memory.
    """
    factor = between("convolutions", convolutions, 1.0, MOST_CONVOLUTED)
    return np.asarray(not_negative("length", length, "m") * factor)


def loss_on_bore(loss_coefficient: ArrayLike, own_bore: ArrayLike, other_bore: ArrayLike) -> Floats:
    """The same loss of pressure as a coefficient on another bore.

    Parameters
    ----------
    loss_coefficient : (S,) or scalar
        On ``own_bore``; either sign. [-]
    own_bore, other_bore : (S,) or scalar
        [m]

    Returns
    -------
    loss_coefficient : (S,) or scalar
        ``K (D_other / D_own)⁴``: a wider bore has less velocity head, and wants a greater
        coefficient. [-]

    Raises
    ------
    ValueError
        If a bore is not positive.

    References
    ----------
    .. [1] Definition; exact.
    """
    ratio = positive("other_bore", other_bore, "m") / positive("own_bore", own_bore, "m")
    return np.asarray(finite("loss_coefficient", loss_coefficient) * ratio**4)


def quadratic_resistance(
    loss_coefficient: ArrayLike, bore: ArrayLike, density: ArrayLike
) -> Floats:
    """Pressure drop per flow squared of a local loss.

    Parameters
    ----------
    loss_coefficient : (S,) or scalar
        On ``bore``; either sign. [-]
    bore : (S,) or scalar
        [m]
    density : (S,) or scalar
        [kg/m³]

    Returns
    -------
    resistance : (S,) or scalar
        ``8 ρ K / (π² D⁴)`` [Pa/(m³/s)²]

    Raises
    ------
    ValueError
        If bore or density is not positive.

    References
    ----------
    .. [1] Definition of a loss coefficient; exact.
    """
    wide, thick = positive("bore", bore, "m"), positive("density", density, "kg/m³")
    return np.asarray(8 * thick * finite("loss_coefficient", loss_coefficient)
                      / (np.pi**2 * wide**4))  # fmt: skip


def _bore_ratio(small: ArrayLike, large: ArrayLike) -> Floats:
    """Small bore over large bore, at most 1."""
    ratio = np.asarray(positive("small bore", small, "m") / positive("large bore", large, "m"))
    if ratio.size and ratio.max() > 1:
        raise ValueError(
            f"the small bore must not exceed the large one, got {ratio.max():.3g} of it"
        )
    return ratio


def _jet(ratio: Floats) -> Floats:
    """Velocity of the jet behind a sharp edge over that in the hole."""
    return np.asarray(1 + 0.622 * (1 - 0.215 * ratio**2 - 0.785 * ratio**5))
