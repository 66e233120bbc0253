"""Pump curves that fall, their speed by the affinity laws, and the power they take."""

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, between, finite, not_negative, positive


class PumpCurve(Protocol):
    """Pressure rise over volume flow at the speed the curve was drawn for."""

    @property
    def density(self) -> float:
        """Of the liquid the curve was drawn with. [kg/m³]"""

    @property
    def last_flow(self) -> Floats:
        """Where the curve ends; it is extrapolated beyond. [m³/s]"""

    @property
    def shut_off(self) -> Floats:
        """Rise at no flow. [Pa]"""

    def fall(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """How far the rise has fallen below shut-off at a flow of zero or more, and the slope."""

    def take(self, samples: slice | NDArray[np.intp]) -> "PumpCurve":
        """The same curve for some of the samples."""

    def sample_counts(self) -> tuple[int, ...]:
        """Sizes of those figures that differ from sample to sample."""


@dataclass(frozen=True, eq=False)
class FallingCurve:
    """``rise = shut_off - coefficient · Q^exponent``; each may differ from sample to sample."""

    shut_off: Floats  # Pa
    coefficient: Floats  # Pa/(m³/s)^exponent
    exponent: Floats  # 1 and above
    last_flow: Floats  # m³/s
    density: float  # kg/m³

    def fall(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """See `PumpCurve`."""
        power = volume_flow ** (self.exponent - 1)
        fall = self.coefficient * power
        return fall * volume_flow, self.exponent * fall

    def take(self, samples: slice | NDArray[np.intp]) -> "FallingCurve":
        """See `PumpCurve`."""
        shut_off, coefficient, exponent, last_flow = (
            part if part.size == 1 else part[samples]
            for part in (self.shut_off, self.coefficient, self.exponent, self.last_flow)
        )
        return FallingCurve(shut_off, coefficient, exponent, last_flow, self.density)

    def sample_counts(self) -> tuple[int, ...]:
        """See `PumpCurve`."""
        parts = (self.shut_off, self.coefficient, self.exponent, self.last_flow)
        return tuple(part.size for part in parts if part.size != 1)


@dataclass(frozen=True, eq=False)
class CurveThroughPoints:
    """A falling curve through points: monotone cubics between them, straight beyond the last."""

    flows: Floats  # m³/s, from zero, rising
    rises: Floats  # Pa, falling
    slopes: Floats  # of the fall at each point, Pa/(m³/s)
    density: float  # kg/m³

    @property
    def last_flow(self) -> Floats:
        """Flow of the last point. [m³/s]"""
        return np.asarray(self.flows[-1])

    @property
    def shut_off(self) -> Floats:
        """Rise of the first point. [Pa]"""
        return np.asarray(self.rises[0])

    def fall(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """See `PumpCurve`."""
        fall = self.rises[0] - self.rises
        inside = np.minimum(volume_flow, self.flows[-1])
        right = np.clip(np.searchsorted(self.flows, inside, side="right"), 1, len(fall) - 1)
        left = right - 1
        width = self.flows[right] - self.flows[left]
        t = (inside - self.flows[left]) / width
        low, high = fall[left], fall[right]
        out, into = self.slopes[left] * width, self.slopes[right] * width
        square, bend = 3 * (high - low) - 2 * out - into, out + into - 2 * (high - low)
        value = low + t * (out + t * (square + t * bend))
        slope = (out + t * (2 * square + t * 3 * bend)) / width
        return value + slope * (volume_flow - inside), slope

    def take(self, samples: slice | NDArray[np.intp]) -> "CurveThroughPoints":  # noqa: ARG002
        """See `PumpCurve`."""
        return self

    def sample_counts(self) -> tuple[int, ...]:
        """See `PumpCurve`."""
        return ()


def curve_from_rated(
    shut_off: ArrayLike,
    rated_flow: ArrayLike,
    rated_rise: ArrayLike,
    last_flow: ArrayLike,
    density: float,
    exponent: ArrayLike = 2.0,
) -> FallingCurve:
    """Curve from its rise at no flow and one rated point.

    Parameters
    ----------
    shut_off : (S,) or scalar
        Rise against a closed valve. [Pa]
    rated_flow, rated_rise : (S,) or scalar
        [m³/s], [Pa]
    last_flow : (S,) or scalar
        Up to where the curve is trusted; beyond, results are marked as extrapolated. [m³/s]
    density : scalar
        Of the liquid the figures hold for. [kg/m³]
    exponent : (S,) or scalar, default 2
        Of the flow; a parabola where nothing better is known. [-]

    Returns
    -------
    curve : FallingCurve
        ``H0 - (H0 - Hr) (Q/Qr)^exponent``

    Raises
    ------
    ValueError
        If the rated rise is not below shut-off (the curve would not fall), a figure is not
        positive, or the exponent is below 1.

    References
    ----------
    .. [1] Usual form of a centrifugal pump's curve, as in EPANET 2.2; from memory.
    """
    top, flow, rise, last, power = (
        np.asarray(value, dtype=float)
        for value in (shut_off, rated_flow, rated_rise, last_flow, exponent)
    )
    if np.any(flow <= 0) or np.any(last <= 0) or density <= 0:
        raise ValueError("rated_flow, last_flow and density must be positive")
    if np.any(rise >= top):
        raise ValueError(
            "the curve does not fall from shut-off to its rated point, so one resistance could "
            "meet it at two flows; wanted rated_rise below shut_off"
        )
    if np.any(power < 1):
        raise ValueError(f"exponent must be 1 or more, got {np.nanmin(power):g}")
    return FallingCurve(top, (top - rise) / flow**power, power, last, density)


def curve_through_three(flows: ArrayLike, rises: ArrayLike, density: float) -> FallingCurve:
    """Power law through three points, the first at no flow.

    Parameters
    ----------
    flows, rises : (3,)
        Flows from zero, rising; rises falling. [m³/s], [Pa]
    density : scalar
        Of the liquid. [kg/m³]

    Returns
    -------
    curve : FallingCurve
        ``H0 - A Q^C`` exactly through the points; ends at the third.

    Raises
    ------
    ValueError
        If the points do not begin at no flow, do not fall, or want an exponent below 1 (a
        curve that is steepest at no flow).

    References
    ----------
    .. [1] EPANET 2.2's three-point curve, from memory; the algebra is exact.
    """
    flow, rise = _points(flows, rises, density)
    if len(flow) != 3:
        raise ValueError(f"wanted three points, got {len(flow)}")
    fall = rise[0] - rise
    exponent = np.log(fall[2] / fall[1]) / np.log(flow[2] / flow[1])
    if 1 - 1e-9 < exponent < 1:
        exponent = 1.0  # a straight line, but for rounding
    if exponent < 1:
        raise ValueError(
            f"these points want an exponent of {exponent:.3g}, below 1: steepest at no flow; "
            "use curve_through_points"
        )
    coefficient = fall[1] / flow[1] ** exponent
    return FallingCurve(
        np.asarray(rise[0]), np.asarray(coefficient), np.asarray(exponent),
        np.asarray(flow[2]), density,
    )  # fmt: skip


def curve_through_points(flows: ArrayLike, rises: ArrayLike, density: float) -> CurveThroughPoints:
    """Smooth falling curve through two or more points, the first at no flow.

    Parameters
    ----------
    flows, rises : (K,)
        Flows from zero, rising; rises falling. [m³/s], [Pa]
    density : scalar
        Of the liquid. [kg/m³]

    Returns
    -------
    curve : CurveThroughPoints
        Piecewise cubic that falls wherever its points fall; beyond the last point it goes on
        straight.

    Raises
    ------
    ValueError
        If there are fewer than two points, they do not begin at no flow, their flows do not
        rise, or their rises do not fall everywhere (a humped curve).

    References
    ----------
    .. [1] Fritsch, F. N., and Butland, J., "A method for constructing local monotone piecewise
       cubic interpolants", SIAM J. Sci. Stat. Comput. 5, 1984; slopes as there, from memory.
    """
    flow, rise = _points(flows, rises, density)
    width, chord = np.diff(flow), -np.diff(rise) / np.diff(flow)
    slopes = np.empty_like(flow)
    slopes[0], slopes[-1] = chord[0], chord[-1]
    before, after = width[:-1], width[1:]
    # weighted harmonic mean of the chords on both sides: between them, hence monotone
    weight = (before + 2 * after) / (3 * (before + after))
    slopes[1:-1] = chord[:-1] * chord[1:] / (weight * chord[1:] + (1 - weight) * chord[:-1])
    return CurveThroughPoints(flow, rise, slopes, density)


def fitted_parabola(flows: ArrayLike, rises: ArrayLike, density: float) -> FallingCurve:
    """Parabola ``H0 - c Q²`` nearest to measured points, by least squares.

    Parameters
    ----------
    flows, rises : (K,)
        Two or more measured points. [m³/s], [Pa]
    density : scalar
        Of the liquid. [kg/m³]

    Returns
    -------
    curve : FallingCurve
        Exponent 2; ends at the largest flow.

    Raises
    ------
    ValueError
        If the nearest parabola does not fall.

    References
    ----------
    .. [1] Maurer, E., Hydraulics and Water Resources: Examples Using R, 2024, section 7.2
       (doi 10.5281/zenodo.7576843), fits curves so.
    """
    flow, rise = finite("flows", flows, "m³/s"), finite("rises", rises, "Pa")
    square = flow**2
    spread = square - square.mean()
    coefficient = -np.sum(spread * rise) / np.sum(spread**2)
    if not coefficient > 0:
        raise ValueError(f"the nearest parabola does not fall: coefficient {coefficient:g}")
    top = rise.mean() + coefficient * square.mean()
    return FallingCurve(
        np.asarray(top), np.asarray(coefficient), np.asarray(2.0), np.asarray(flow.max()), density
    )


def pressure_rise(
    curve: PumpCurve, volume_flow: ArrayLike, speed_ratio: ArrayLike = 1.0
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Pressure rise of a running pump, with the liquid its curve was drawn for.

    Parameters
    ----------
    curve : PumpCurve
        At speed ratio 1.
    volume_flow : (S,) or scalar
        Negative: driven backwards through the running pump. [m³/s]
    speed_ratio : (S,) or scalar, default 1
        Speed over the curve's own speed, positive. [-]

    Returns
    -------
    rise : (S,) or scalar
        ``n² H(Q/n)``; below no flow the curve is mirrored at its shut-off point, so that it
        falls everywhere. [Pa]
    slope : (S,) or scalar
        By how much the rise falls per flow, zero or more. [Pa·s/m³]
    extrapolated : (S,) or scalar bool
        Flow beyond the last point, or backwards.

    Raises
    ------
    ValueError
        If a speed ratio is zero or negative: a pump at rest is a resistance.

    References
    ----------
    .. [1] Affinity laws, see `at_speed`.
    """
    speed = positive("speed_ratio", speed_ratio)
    flow = np.asarray(finite("volume_flow", volume_flow, "m³/s") / speed)
    fall, slope = curve.fall(np.abs(flow))
    rise = (curve.shut_off - np.sign(flow) * fall) * speed**2
    return rise, slope * speed, np.asarray((flow > curve.last_flow) | (flow < 0))


def at_speed(
    volume_flow: ArrayLike, rise: ArrayLike, power: ArrayLike, speed_ratio: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """One point of a pump's curves carried to another speed.

    Parameters
    ----------
    volume_flow, rise, power : (S,) or scalar
        At the known speed; any units.
    speed_ratio : (S,) or scalar
        New speed over known speed. [-]

    Returns
    -------
    volume_flow, rise, power : (S,) or scalar
        ``n Q``, ``n² H`` and ``n³ P``, in the units that came in.

    Raises
    ------
    ValueError
        If a speed ratio is negative.

    References
    ----------
    .. [1] Affinity laws of centrifugal pumps at unchanged efficiency; Crane TP-410 (2009),
       example 7-33.
    """
    speed = not_negative("speed_ratio", speed_ratio)
    flow, height = finite("volume_flow", volume_flow), finite("rise", rise)
    work = finite("power", power)
    return flow * speed, height * speed**2, work * speed**3


def shaft_power(volume_flow: ArrayLike, rise: ArrayLike, efficiency: ArrayLike) -> Floats:
    """Power a pump takes at its shaft.

    Parameters
    ----------
    volume_flow : (S,) or scalar
        [m³/s]
    rise : (S,) or scalar
        [Pa]
    efficiency : (S,) or scalar
        Hydraulic power over shaft power, above 0 and up to 1; multiply by those of drive and
        motor for the power these take. [-]

    Returns
    -------
    power : (S,) or scalar
        ``Q Δp / η`` [W]

    Raises
    ------
    ValueError
        If an efficiency is not above 0 and up to 1.

    References
    ----------
    .. [1] Definition of pump efficiency.
    """
    share = between("efficiency", positive("efficiency", efficiency), 0.0, 1.0)
    hydraulic = finite("volume_flow", volume_flow, "m³/s") * finite("rise", rise, "Pa")
    return np.asarray(hydraulic / share)


def _points(flows: ArrayLike, rises: ArrayLike, density: float) -> tuple[Floats, Floats]:
    """Points of a falling curve, or the reason why they are none."""
    flow, rise = np.array(flows, dtype=float), np.array(rises, dtype=float)
    if flow.ndim != 1 or flow.shape != rise.shape or len(flow) < 2:
        raise ValueError("wanted two or more points: as many rises as flows")
    if not (np.isfinite(flow).all() and np.isfinite(rise).all() and density > 0):
        raise ValueError("points must be finite and density positive")
    if flow[0] != 0 or np.any(np.diff(flow) <= 0):
        raise ValueError("flows must begin at 0 and rise from point to point")
    humps = np.flatnonzero(np.diff(rise) >= 0)
    if len(humps):
        at = humps[0]
        raise ValueError(
            f"the curve does not fall from {rise[at]:g} Pa at {flow[at]:g} m³/s to "
            f"{rise[at + 1]:g} Pa at {flow[at + 1]:g} m³/s; on a humped curve one resistance is "
            "met at two flows, and no single answer exists; wanted a curve that falls everywhere"
        )
    return flow, rise
