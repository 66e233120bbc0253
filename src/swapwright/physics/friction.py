"""Friction of liquid in straight round pipes: Darcy factor, pressure drop and its slope."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, finite, not_negative, positive

LAMINAR_UP_TO = 2000.0  # Reynolds number; 64/Re holds below
TURBULENT_FROM = 4000.0  # Reynolds number; Colebrook holds above
LARGEST_REYNOLDS = 1e8  # end of the Moody chart
LARGEST_ROUGHNESS = 0.05  # of the bore; end of the Moody chart

_ROUGH = 3.7  # Colebrook's constants
_SMOOTH = 2.51
_PER_LOG = 2 / np.log(10)  # Colebrook's 2 log10, for natural logarithms
_FIRST_GUESS = 7.0  # 1/sqrt(f) in the middle of the chart
_STEPS = 5  # Newton steps from there to the last bit, for any point of the chart


def reynolds_number(
    volume_flow: ArrayLike, bore: ArrayLike, density: ArrayLike, viscosity: ArrayLike
) -> Floats:
    """Reynolds number of flow in a full round pipe, positive whichever way it flows.

    Parameters
    ----------
    volume_flow : (S,) or scalar
        Either sign. [m³/s]
    bore : (S,) or scalar
        Inside diameter. [m]
    density : (S,) or scalar
        [kg/m³]
    viscosity : (S,) or scalar
        Dynamic. [Pa·s]

    Returns
    -------
    reynolds : (S,) or scalar
        ``4 ρ |Q| / (π D μ)`` [-]

    Raises
    ------
    ValueError
        If bore, density or viscosity is not positive, or anything is no finite number.

    References
    ----------
    .. [1] Definition; holds exactly.
    """
    per_flow = 4 * positive("density", density, "kg/m³") / (np.pi * positive("bore", bore, "m"))
    flow = np.abs(finite("volume_flow", volume_flow, "m³/s"))
    return np.asarray(per_flow * flow / positive("viscosity", viscosity, "Pa·s"))


def colebrook_factor(reynolds: ArrayLike, relative_roughness: ArrayLike) -> Floats:
    """Darcy friction factor of turbulent flow, Colebrook and White's law.

    Parameters
    ----------
    reynolds : (S,) or scalar
        Positive; the law was made for 4000 and above (`friction_extrapolated` marks the upper
        end, `darcy_friction_factor` leaves the law below). [-]
    relative_roughness : (S,) or scalar
        Sand roughness over bore, zero for a smooth pipe. [-]

    Returns
    -------
    factor : (S,) or scalar
        f of ``1/√f = -2 log10(ε/(3.7 D) + 2.51/(Re √f))``, solved to the last bit. [-]

    Raises
    ------
    ValueError
        If a Reynolds number is not positive or a roughness is negative.

    References
    ----------
    .. [1] Colebrook, C. F., "Turbulent flow in pipes", J. Institution of Civil Engineers 11,
       1939; constants as in every handbook, from memory.
    """
    term = np.asarray(not_negative("relative_roughness", relative_roughness) / _ROUGH)
    smooth = np.asarray(_SMOOTH / positive("reynolds", reynolds))
    root = first_root(np.broadcast_shapes(term.shape, smooth.shape))
    _improve(root, term, smooth, _STEPS)
    return np.asarray(1 / root**2)


def rough_factor(relative_roughness: ArrayLike) -> Floats:
    """Darcy friction factor of fully rough flow, where the Reynolds number no longer matters.

    Parameters
    ----------
    relative_roughness : (S,) or scalar
        Sand roughness over bore, positive. [-]

    Returns
    -------
    factor : (S,) or scalar
        ``(2 log10(3.7 D/ε))⁻²`` [-]

    Raises
    ------
    ValueError
        If a roughness is zero or negative (a smooth pipe has no such limit).

    References
    ----------
    .. [1] von Kármán's limit of Colebrook's law (there).
    """
    roughness = positive("relative_roughness", relative_roughness)
    return np.asarray((2 * np.log10(_ROUGH / roughness)) ** -2)


def darcy_friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike) -> Floats:
    """Darcy friction factor at any Reynolds number.

    Parameters
    ----------
    reynolds : (S,) or scalar
        Positive. [-]
    relative_roughness : (S,) or scalar
        Sand roughness over bore. [-]

    Returns
    -------
    factor : (S,) or scalar
        64/Re up to 2000, Colebrook from 4000. Between them, where a real pipe may do either,
        the two are mixed by ``z²(3 - 2z)``, ``z = (Re - 2000)/2000``: pressure drop and its
        slope stay smooth and the drop keeps growing with the flow. [-]

    Raises
    ------
    ValueError
        If a Reynolds number is not positive or a roughness is negative.

    References
    ----------
    .. [1] Hagen-Poiseuille, exact. [2] Colebrook, see `colebrook_factor`. The blend is ours.
    """
    reynolds = positive("reynolds", reynolds)
    laminar = 64 / reynolds
    # below its range Colebrook's law is not used, so it need not be asked there
    turbulent = colebrook_factor(np.maximum(reynolds, LAMINAR_UP_TO), relative_roughness)
    z = np.clip((reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO), 0, 1)
    return np.asarray(laminar + z * z * (3 - 2 * z) * (turbulent - laminar))


def friction_extrapolated(reynolds: ArrayLike, relative_roughness: ArrayLike) -> NDArray[np.bool_]:
    """Whether a friction factor lies beyond the chart its law was drawn from.

    Parameters
    ----------
    reynolds, relative_roughness : (S,) or scalar
        As for `darcy_friction_factor`. [-]

    Returns
    -------
    extrapolated : (S,) or scalar bool
        True above Re 10⁸, and in turbulent flow above a roughness of 0.05 of the bore.

    References
    ----------
    .. [1] Moody, L. F., "Friction factors for pipe flow", Trans. ASME 66, 1944: extent of the
       chart, from memory.
    """
    reynolds = np.asarray(reynolds, dtype=float)
    rough = np.asarray(relative_roughness, dtype=float) > LARGEST_ROUGHNESS
    return np.asarray((reynolds > LARGEST_REYNOLDS) | (rough & (reynolds > LAMINAR_UP_TO)))


def pipe_drop(
    volume_flow: ArrayLike,
    length: ArrayLike,
    bore: ArrayLike,
    roughness: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    loss_coefficient: ArrayLike = 0.0,
) -> tuple[Floats, Floats]:
    """Pressure drop of a full round pipe with its local losses, gravity left out.

    Parameters
    ----------
    volume_flow : (S,) or scalar
        Positive from start to end. [m³/s]
    length, bore, roughness : (S,) or scalar
        [m]
    density : (S,) or scalar
        [kg/m³]
    viscosity : (S,) or scalar
        Dynamic. [Pa·s]
    loss_coefficient : (S,) or scalar, default 0
        Sum of local losses, on this pipe's own bore. [-]

    Returns
    -------
    drop : (S,) or scalar
        ``(f L/D + K) · 8 ρ Q|Q| / (π² D⁴)``, of the sign of the flow. [Pa]
    slope : (S,) or scalar
        Its derivative by the flow, always positive. [Pa·s/m³]

    Raises
    ------
    ValueError
        If bore, density or viscosity is not positive, or length, roughness or loss
        coefficient is negative.

    References
    ----------
    .. [1] Darcy-Weisbach, with the factor of `darcy_friction_factor`.
    """
    flow = finite("volume_flow", volume_flow, "m³/s")
    constants = pipe_constants(
        not_negative("length", length, "m"),
        positive("bore", bore, "m"),
        not_negative("roughness", roughness, "m"),
        positive("density", density, "kg/m³"),
        positive("viscosity", viscosity, "Pa·s"),
        not_negative("loss_coefficient", loss_coefficient),
    )
    shape = np.broadcast_shapes(flow.shape, *(part.shape for part in constants))
    rows = np.atleast_1d(np.broadcast_to(flow, shape))
    drop, slope = pipe_law(rows, constants, first_root(rows.shape), steps=_STEPS)
    return drop.reshape(shape), slope.reshape(shape)


class PipeConstants(NamedTuple):
    """What a pipe's law needs beside the flow; arrays that broadcast against it."""

    laminar: Floats  # 128 μ L / (π D⁴) [Pa·s/m³]
    turbulent: Floats  # 8 ρ L / (π² D⁵), times f [Pa·s²/m⁶]
    local: Floats  # 8 ρ K / (π² D⁴) [Pa·s²/m⁶]
    reynolds: Floats  # 4 ρ / (π D μ), per flow [s/m³]
    roughness: Floats  # ε / (3.7 D) [-]


def pipe_constants(
    length: Floats,
    bore: Floats,
    roughness: Floats,
    density: Floats,
    viscosity: Floats,
    loss_coefficient: Floats,
) -> PipeConstants:
    """Everything in a pipe's law that does not hang on the flow; arguments as `pipe_drop`.

    They have been checked already; one that is no finite number leaves a constant that is none.
    """
    # what is often the same for all samples is put together first
    narrow = 1 / bore
    square = narrow * narrow
    fourth = square * square
    kinetic = 8 / np.pi**2 * density
    return PipeConstants(
        laminar=np.asarray(128 / np.pi * viscosity * length * fourth),
        turbulent=np.asarray(kinetic * length * (fourth * narrow)),
        local=np.asarray(kinetic * loss_coefficient * fourth),
        reynolds=np.asarray(4 / np.pi * density / viscosity * narrow),
        roughness=np.asarray(roughness / _ROUGH * narrow),
    )


def roughness_of(constants: PipeConstants) -> Floats:
    """Relative roughness of pipes, from their constants."""
    return _ROUGH * constants.roughness


def first_root(shape: tuple[int, ...]) -> Floats:
    """Where ``root`` of `pipe_law` may start from, whatever the pipes; three steps then."""
    return np.full(shape, _FIRST_GUESS)


def pipe_law(
    flow: Floats, constants: PipeConstants, root: Floats, steps: int
) -> tuple[Floats, Floats]:
    """Drop and slope of pipes; ``root`` (1/√f) is improved in place by Newton steps.

    A solver that calls this again and again at settling flows hands back the same ``root`` and
    needs one step, that is one logarithm, a call; the drop is exact when both have settled.
    """
    size = np.abs(flow, out=np.empty(flow.shape))
    reynolds = np.multiply(size, constants.reynolds, out=np.empty(flow.shape))
    slow = np.flatnonzero(reynolds < TURBULENT_FROM)
    smooth = np.maximum(reynolds, LAMINAR_UP_TO, out=np.empty(flow.shape))
    np.divide(_SMOOTH, smooth, out=smooth)
    stiffness = _improve(root, constants.roughness, smooth, steps)
    # smooth is no longer needed and lends its memory
    resistance = np.multiply(constants.turbulent, size, out=smooth)
    resistance /= root
    resistance /= root
    slope = np.divide(resistance, stiffness, out=stiffness)
    slope *= 2
    if len(slow):
        laminar = np.broadcast_to(constants.laminar, flow.shape).reshape(-1)[slow]
        _blend(laminar, reynolds.reshape(-1)[slow], resistance, slope, slow)
    local = np.multiply(constants.local, size, out=size)
    resistance += local
    slope += local
    slope += local
    resistance *= flow
    return resistance, slope


def _blend(
    laminar: Floats, reynolds: Floats, resistance: Floats, slope: Floats, slow: NDArray[np.intp]
) -> None:
    """Turn turbulent resistance (drop per flow) and slope into the mixed ones, where it is slow.

    In place; ``laminar`` and ``reynolds`` are those of the slow places only.
    """
    resistance, slope = resistance.reshape(-1), slope.reshape(-1)  # views: rows lie end to end
    z = reynolds * (1 / LAMINAR_UP_TO)
    z -= 1
    np.maximum(z, 0, out=z)
    square = z * z
    share = square * (3 - 2 * z)
    excess = resistance[slow] - laminar
    resistance[slow] = laminar + share * excess
    # flow times derivative of the share: 6 z (1 - z) Re/2000, and Re/2000 = 1 + z inside
    growth = 6 * z * (1 - square) * excess
    slope[slow] = laminar + share * (slope[slow] - laminar) + growth


def _improve(root: Floats, roughness: Floats, smooth: Floats, steps: int) -> Floats:
    """Newton steps on ``root`` in place, and the derivative at the last of them.

    The equation is ``x + k ln(a + b x) = 0``. Its curvature is so small that an error of 1 in
    x leaves less than 0.02, and 0.02 leaves 1e-5. The derivative also gives the exponent of
    the law, ``d ln(drop) / d ln(Q) = 2 / derivative``.
    """
    inside, derivative = np.empty(root.shape), np.empty(root.shape)
    for _ in range(steps):
        np.multiply(smooth, root, out=inside)
        inside += roughness
        np.divide(smooth, inside, out=derivative)
        derivative *= _PER_LOG
        derivative += 1
        residual = np.log(inside, out=inside)
        residual *= _PER_LOG
        residual += root
        residual /= derivative
        root -= residual
    return derivative
