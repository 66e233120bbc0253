"""Air and vapour where only liquid should be: pockets in high points, boiling at an inlet."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, between, finite, not_negative, positive

Bools = NDArray[np.bool_]

GRAVITY = 9.80665  # m/s²
MEASURED_FROM = 0.05  # m; smaller bores than these were not measured, surface tension shows
LEAST_PROMINENCE = 1e-6  # m; what a tilted level stretch shows by rounding is less
SPREAD_LARGE = 0.2  # between published laws from MEASURED_FROM up; own judgement
SPREAD_SMALL = 0.5  # upwards below MEASURED_FROM; own judgement


@dataclass(frozen=True)
class CarryingVelocity:
    """Mean velocity that takes an air pocket along; arrays of one shape."""

    low: Floats  # below it pockets stay or climb back, m/s
    likely: Floats  # the law itself, m/s
    high: Floats  # from it on pockets go along, m/s
    extrapolated: Bools  # smaller bore than the law was measured on


def carrying_velocity(bore: ArrayLike, fall: ArrayLike) -> CarryingVelocity:
    """Velocity that carries an air pocket down a pipe which falls along the flow.

    Parameters
    ----------
    bore : (S,) or scalar
        Inside diameter. [m]
    fall : (S,) or scalar
        Angle below the horizontal, 0 to π/2. [rad]

    Returns
    -------
    velocity : CarryingVelocity
        Likely: ``√(g D) (0.825 + 0.25 √sin a)``. From 50 mm up the band is 20 % either way. Below,
        where the law was not measured, it is wide: from the velocity at which a long bubble merely
        stands still [2]_ to one and a half times the law.

    Raises
    ------
    ValueError
        If a bore is not positive or an angle is not from 0 to π/2.

    References
    ----------
    .. [1] Wisner, Mohsen and Kouwen, J. Hydraulics Division ASCE 101 (HY2), 1975, as quoted from
       Sanks, Pumping Station Design.
    .. [2] Bendiksen, Int. J. Multiphase Flow 10 (1984), p. 467: drift ``√(g D) (0.54 cos a +
       0.35 sin a)``, from memory. The width of the band is our own judgement.
    """
    diameter = positive("bore", bore, "m")
    angle = between("fall", fall, 0.0, np.pi / 2, "rad")
    scale = np.sqrt(GRAVITY * diameter)
    likely = scale * (0.825 + 0.25 * np.sqrt(np.sin(angle)))
    standing = scale * (0.54 * np.cos(angle) + 0.35 * np.sin(angle))
    small = np.broadcast_to(diameter < MEASURED_FROM, likely.shape)
    low = np.where(small, standing, likely * (1 - SPREAD_LARGE))
    high = likely * (1 + np.where(small, SPREAD_SMALL, SPREAD_LARGE))
    return CarryingVelocity(low, likely, high, small)


@dataclass(frozen=True)
class HighPoint:
    """A place along a way from which air cannot climb out."""

    along: float  # distance from the start of the way; middle of a level stretch, m
    height: float  # of the centre line, m
    prominence: float  # over the saddle, m
    length: float  # of the way above the saddle, around the high point, m
    volume: float  # of the pipe over that length, m³


def high_points(way: ArrayLike, bore: ArrayLike, *, grade: float = 0.0) -> tuple[HighPoint, ...]:
    """High points of a pipe in which air collects, in their order along it.

    Parameters
    ----------
    way : (N, 3)
        Corners of the centre line, straight between them, z upwards. [m]
    bore : (N - 1,) or scalar
        Inside diameter of each piece. [m]
    grade : float, default 0
        Rise of the ground over a length along +x, both level and way tilting with it; 0.1 is 10 %
        up towards +x. [-]

    Returns
    -------
    points : tuple of HighPoint
        Every place a micrometre and more above both its neighbours; not the ends, where air
        leaves into what is joined there. The saddle is where a growing pocket first finds a way
        out: on each side the lowest place before higher ground or the end, and the higher of the
        two. A lower high point within the reach of a higher one is also part of its length and
        volume.

    Raises
    ------
    ValueError
        If the way has fewer than two corners or a shape other than (N, 3), the bores do not match
        its pieces, or a number is not finite or a bore not positive.

    References
    ----------
    .. [1] Hydrostatics; prominence as in topography.
    """
    corners = finite("way", way, "m")
    if corners.ndim != 2 or corners.shape[1] != 3 or len(corners) < 2:
        raise ValueError(f"way must have shape (N, 3) with N from 2, got {corners.shape}")
    bores = np.broadcast_to(positive("bore", bore, "m"), len(corners) - 1)
    heights = tilted_heights(corners, grade)
    lengths = np.linalg.norm(np.diff(corners, axis=0), axis=1)
    points = (_high_point(heights, lengths, bores, *summit) for summit in _summits(heights))
    return tuple(point for point in points if point.prominence >= LEAST_PROMINENCE)


def tilted_heights(way: ArrayLike, grade: float) -> Floats:
    """Heights of places once the ground rises along +x.

    Parameters
    ----------
    way : (N, 3)
        Places, z upwards on level ground. [m]
    grade : float
        Rise over level distance, 0.1 for 10 % up towards +x. [-]

    Returns
    -------
    heights : (N,)
        ``(z + grade x)/√(1 + grade²)``: turned, not sheared. [m]

    Raises
    ------
    ValueError
        If a number is not finite.

    References
    ----------
    .. [1] Rotation by arctan(grade) about the y axis.
    """
    places = finite("way", way, "m")
    slope = finite("grade", grade)
    return np.asarray((places[:, 2] + slope * places[:, 0]) / np.hypot(1.0, slope))


def suction_margin(
    absolute_pressure: ArrayLike,
    vapour_pressure: ArrayLike,
    density: ArrayLike,
    *,
    lift: ArrayLike = 0.0,
    friction_head: ArrayLike = 0.0,
) -> Floats:
    """Head by which a liquid at a pump's inlet is above boiling (NPSH available).

    Parameters
    ----------
    absolute_pressure : (S,) or scalar
        At the inlet, or on the surface it is drawn from. [Pa]
    vapour_pressure : (S,) or scalar
        Of the liquid there. [Pa]
    density : (S,) or scalar
        Of the liquid there. [kg/m³]
    lift : (S,) or scalar, default 0
        Height of the inlet over the surface; negative below it. [m]
    friction_head : (S,) or scalar, default 0
        Lost between surface and inlet. [m]

    Returns
    -------
    margin : (S,) or scalar
        ``(p - p_v)/(ρ g) - lift - friction_head``; negative: it boils. [m]

    Raises
    ------
    ValueError
        If a number is not finite, a density not positive, or a pressure or loss negative.

    References
    ----------
    .. [1] Crane Technical Paper 410, on net positive suction head.
    """
    pressure = not_negative("absolute_pressure", absolute_pressure, "Pa")
    vapour = not_negative("vapour_pressure", vapour_pressure, "Pa")
    weight = positive("density", density, "kg/m³") * GRAVITY
    lost = finite("lift", lift, "m") + not_negative("friction_head", friction_head, "m")
    return np.asarray((pressure - vapour) / weight - lost)


def _summits(heights: Floats) -> list[tuple[int, int]]:
    """First and last corner of each stretch that lies above both its neighbours."""
    kept = np.flatnonzero(np.concatenate([[True], np.diff(heights) != 0]))
    last = np.append(kept[1:] - 1, len(heights) - 1)
    level = heights[kept]
    higher = (level[1:-1] > level[:-2]) & (level[1:-1] > level[2:])
    return [(int(kept[i]), int(last[i])) for i in np.flatnonzero(higher) + 1]


def _high_point(
    heights: Floats, lengths: Floats, bores: Floats, first: int, last: int
) -> HighPoint:
    top = heights[first]
    before, after = heights[first::-1], heights[last:]
    # of two equal summits the first counts as the higher, so that one of them owns what is below
    saddle = max(_lowest_until(before, before >= top), _lowest_until(after, after > top))
    begin = int(np.flatnonzero(heights[:first] <= saddle)[-1])
    end = last + int(np.flatnonzero(after <= saddle)[0])
    above = _length_above(heights[begin : end + 1], lengths[begin:end], saddle)
    reach = np.concatenate([[0.0], np.cumsum(lengths)])
    return HighPoint(
        along=float(reach[first] + reach[last]) / 2,
        height=float(top),
        prominence=float(top - saddle),
        length=float(above.sum()),
        volume=float((above * np.pi / 4 * bores[begin:end] ** 2).sum()),
    )


def _lowest_until(heights: Floats, higher: Bools) -> float:
    """Lowest height from the summit, which stands first, to the first higher place or the end."""
    stop = np.flatnonzero(higher[1:])
    return float(heights[: stop[0] + 1].min() if len(stop) else heights.min())


def _length_above(heights: Floats, lengths: Floats, level: float) -> Floats:
    """Of each piece, the length above a level; what lies in the level counts as below."""
    high, low = np.maximum(heights[1:], heights[:-1]), np.minimum(heights[1:], heights[:-1])
    rise = high - low
    share = np.where(rise > 0, (high - level) / np.where(rise > 0, rise, 1.0), high > level)
    return np.asarray(lengths * np.clip(share, 0.0, 1.0))
