"""Air through openings, cores and fans: the flow at which what drives meets what resists.

Paths lie side by side between two spaces (one part of a core behind a fan and its shroud, the
rest bare), with losses in common before and behind (grille, duct, the way out). Not modelled: warm
air that finds its way round to the front again, uneven flow over a core, and the change of
density as the air warms (take a mean).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, finite, not_negative, positive

PASSES = 100  # quadratic laws take about 8, paths whose flow is zero some 20
FIRST_FLOW = 0.5  # m³/s, where the search begins
HALVINGS = 40
NEAR = 1e-9  # of the pressures that meet, what may be left over
NEAR_NOTHING = 1e-6  # Pa, likewise where nothing blows
LEAST_SLOPE = 1e-3  # Pa/(m³/s), of a step only: a quadratic law has none at no flow


class AirLaw(Protocol):
    """One thing that air passes."""

    def drop(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """Pressure drop [Pa] and its slope [Pa/(m³/s)], never negative, at a flow [m³/s]."""

    def extrapolated(self, volume_flow: Floats) -> NDArray[np.bool_]:
        """Where its law is stretched."""


class AirFlow(NamedTuple):
    """Flow through each path and altogether."""

    paths: Floats  # (K, S); negative: backwards through that path [m³/s]
    total: Floats  # (S,) [m³/s]
    pressure: Floats  # (S,) drop across the paths, which is the same for all [Pa]
    converged: NDArray[np.bool_]  # (S,)
    extrapolated: NDArray[np.bool_]  # (S,) a law is stretched somewhere


@dataclass(frozen=True, eq=False)
class PowerLoss:
    """``coefficient · |Q|^(exponent - 1) · Q``; made by `loss_on_area` or `loss_through_point`."""

    coefficient: Floats  # Pa/(m³/s)^exponent
    exponent: Floats

    def drop(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """See `AirLaw`."""
        part = self.coefficient * np.abs(volume_flow) ** (self.exponent - 1)
        return part * volume_flow, self.exponent * part

    def extrapolated(self, volume_flow: Floats) -> NDArray[np.bool_]:
        """Nowhere: its figures do not say where they end."""
        return np.zeros(np.shape(volume_flow), np.bool_)


def loss_on_area(loss_coefficient: ArrayLike, area: ArrayLike, density: ArrayLike) -> PowerLoss:
    """Loss of a grille, an opening, a shroud or a fan at rest.

    Parameters
    ----------
    loss_coefficient : (S,) or scalar
        On the mean velocity in ``area``, zero or more. [1]
    area : (S,) or scalar
        That the coefficient belongs to. [m²]
    density : (S,) or scalar
        Of the air. [kg/m³]

    Returns
    -------
    law : PowerLoss
        ``K rho (Q/A)²/2``

    Raises
    ------
    ValueError
        If the coefficient is negative, another figure not positive, or anything not finite.

    References
    ----------
    .. [1] Definition of a loss coefficient.
    """
    K = not_negative("loss_coefficient", loss_coefficient)
    A, rho = positive("area", area, "m²"), positive("density", density, "kg/m³")
    return PowerLoss(np.asarray(K * rho / 2 / A**2), np.asarray(2.0))


def loss_through_point(
    volume_flow: ArrayLike, pressure_drop: ArrayLike, exponent: ArrayLike
) -> PowerLoss:
    """Loss of something of which one point is measured.

    Parameters
    ----------
    volume_flow : (S,) or scalar
        Of the point. [m³/s]
    pressure_drop : (S,) or scalar
        Of the point, zero or more. [Pa]
    exponent : (S,) or scalar
        1 (laminar) to 2 (turbulent); cores lie near 1.5 to 1.8 (from memory). [1]

    Returns
    -------
    law : PowerLoss
        ``dp (Q/Q0)^exponent``

    Raises
    ------
    ValueError
        If the exponent is outside 1 to 2, the flow not positive, the drop negative, or anything
        not finite.

    References
    ----------
    .. [1] Power law, exact at the point.
    """
    flow = positive("volume_flow", volume_flow, "m³/s")
    power = finite("exponent", exponent)
    if np.any((power < 1) | (power > 2)):
        raise ValueError(f"exponent must lie in 1 to 2, got {power.min():g} to {power.max():g}")
    drop = not_negative("pressure_drop", pressure_drop, "Pa")
    return PowerLoss(np.asarray(drop / flow**power), power)


def operating_flow(
    driving_pressure: ArrayLike,
    paths: Sequence[Sequence[AirLaw]],
    common: Sequence[AirLaw] = (),
) -> AirFlow:
    """Flow at which driving pressure and fans meet the losses.

    Parameters
    ----------
    driving_pressure : (S,) or scalar
        Before the first loss over behind the last: the share of the ram pressure that the opening
        gets, less the pressure where the air leaves; may be negative. [Pa]
    paths : K sequences of laws
        Side by side; each sequence one behind the other, fans included.
    common : sequence of laws, default none
        That the whole flow passes.

    Returns
    -------
    flow : AirFlow
        Of one sample where all is scalar. Each law never falls with its flow, so there is one
        answer and a search that cannot miss it: Newton's steps on a convex sum of work, each
        cut back until it gains. A path that blows backwards has a negative flow: then a fan
        draws warm air through the bare part, and a calculation of heat must say so.

    Raises
    ------
    ValueError
        If there is no path, a path is empty, or the driving pressure is not finite.

    References
    ----------
    .. [1] C. Cherry and W. Millar, Some general theorems for non-linear systems possessing
       resistance, Phil. Mag. 42 (1951) 1150-1177, for the sum of work ("content"), least where
       the pressures meet (from memory).
    """
    if not paths or not all(paths):
        raise ValueError("wanted one path or more, each with at least one law")
    ram = np.atleast_1d(finite("driving_pressure", driving_pressure, "Pa"))
    flow = np.full((len(paths), *ram.shape), FIRST_FLOW)
    drops, slopes, whole, growth = _laws(flow, paths, common)
    flow = np.broadcast_to(flow, np.broadcast_shapes(flow.shape, drops.shape)).copy()
    left = drops + whole - ram
    near = np.zeros(left.shape[1:], np.bool_)
    for _ in range(PASSES):
        near = np.abs(left).max(axis=0) <= NEAR_NOTHING + NEAR * _scale(drops, whole, ram)
        if near.all():
            break
        step = np.where(near, 0.0, _newton(left, slopes, growth))
        flow, (drops, slopes, whole, growth) = _gaining(flow, step, left, ram, paths, common)
        left = drops + whole - ram
    return AirFlow(flow, flow.sum(axis=0), ram - whole, near, _stretched(flow, paths, common))


Evaluated = tuple[Floats, Floats, Floats, Floats]


def _laws(flow: Floats, paths: Sequence[Sequence[AirLaw]], common: Sequence[AirLaw]) -> Evaluated:
    """Drops and slopes of all paths (K, S), and of what they have in common (S,)."""
    each = [_in_series(laws, one) for laws, one in zip(paths, flow, strict=True)]
    whole, growth = _in_series(common, flow.sum(axis=0))
    shape = np.broadcast_shapes(*(drop.shape for drop, _ in each), whole.shape)
    drops = np.stack([np.broadcast_to(drop, shape) for drop, _ in each])
    slopes = np.stack([np.broadcast_to(slope, shape) for _, slope in each])
    return drops, slopes, np.broadcast_to(whole, shape), np.broadcast_to(growth, shape)


def _in_series(laws: Sequence[AirLaw], flow: Floats) -> tuple[Floats, Floats]:
    drop, slope = np.zeros_like(flow), np.zeros_like(flow)
    for law in laws:
        more, steeper = law.drop(flow)
        drop, slope = drop + more, slope + steeper
    return drop, slope


def _newton(left: Floats, slopes: Floats, growth: Floats) -> Floats:
    """Step that would leave nothing over were all laws straight lines."""
    give = 1 / np.maximum(slopes, LEAST_SLOPE)
    together = -(left * give).sum(axis=0) / (1 + growth * give.sum(axis=0))
    return np.asarray(-(left + growth * together) * give)


def _gaining(
    flow: Floats, step: Floats, left: Floats, ram: Floats,
    paths: Sequence[Sequence[AirLaw]], common: Sequence[AirLaw],
) -> tuple[Floats, Evaluated]:  # fmt: skip
    """Flow after the step, halved where it overshot the least work along its line by too much."""
    before = np.abs((step * left).sum(axis=0))
    share = np.ones_like(before)
    tried, found = flow + step, _laws(flow + step, paths, common)
    for _ in range(HALVINGS):
        too_far = (step * (found[0] + found[2] - ram)).sum(axis=0) > 0.9 * before
        if not too_far.any():
            break
        share = np.where(too_far, share / 2, share)
        tried = flow + share * step
        found = _laws(tried, paths, common)
    return tried, found


def _scale(drops: Floats, whole: Floats, ram: Floats) -> Floats:
    return np.asarray(np.abs(drops).max(axis=0) + np.abs(whole) + np.abs(ram))


def _stretched(
    flow: Floats, paths: Sequence[Sequence[AirLaw]], common: Sequence[AirLaw]
) -> NDArray[np.bool_]:
    marks = [law.extrapolated(one) for laws, one in zip(paths, flow, strict=True) for law in laws]
    marks += [law.extrapolated(flow.sum(axis=0)) for law in common]
    return np.asarray(np.logical_or.reduce(np.broadcast_arrays(*marks)))
