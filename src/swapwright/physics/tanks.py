"""Closed vessels: liquid, air and vapour that share a fixed room, with relief and vacuum valve.

All air and vapour is one pocket at one pressure; air is an ideal gas, vapour has the pressure of
a liquid at rest with it. What a relief valve lets go is gas first, since it sits at the top, and
liquid once no gas is left.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, finite, not_negative, positive

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class ClosedVessel:
    """A vessel as it was filled and shut; (S,) or scalars, pressures absolute.

    Raises
    ------
    ValueError
        If a number is negative or not finite where it must not be, if the liquid would have boiled
        as it was filled, or if the relief pressure is not above the vacuum pressure.
    """

    liquid: ArrayLike  # volume of all liquid, m³
    gas: ArrayLike  # volume of air and vapour above it, m³
    temperature: ArrayLike  # K
    pressure: ArrayLike  # Pa
    vapour_pressure: ArrayLike  # of the liquid, Pa
    relief: ArrayLike = np.inf  # at which gas or liquid is let out, Pa; inf: no such valve
    vacuum: ArrayLike = 0.0  # at which liquid or air is let in, Pa; 0: no such valve
    bottle: ArrayLike | None = None  # liquid at the vacuum valve, m³; None: what is let out is lost
    compliance: ArrayLike = 0.0  # room that the walls give for pressure, m³/Pa; 0: stiff

    def __post_init__(self) -> None:
        for name in ("liquid", "gas", "vapour_pressure", "vacuum", "compliance"):
            not_negative(name, getattr(self, name))
        not_negative("bottle", 0.0 if self.bottle is None else self.bottle)
        positive("temperature", self.temperature, "K")
        pressure = positive("pressure", self.pressure, "Pa")
        if np.any(pressure < np.asarray(self.vapour_pressure)):
            raise ValueError("pressure must not be below vapour_pressure, or the liquid boils")
        if not np.all(np.asarray(self.relief) > np.asarray(self.vacuum)):
            raise ValueError("relief must be above vacuum; inf and 0 mean no valve")


@dataclass(frozen=True)
class VesselState:
    """A closed vessel at another temperature; arrays of one shape."""

    pressure: Floats  # absolute, Pa; inf: liquid alone between stiff walls without a relief valve
    gas: Floats  # volume of air and vapour, m³
    liquid: Floats  # volume of liquid inside, m³
    air: Floats  # pressure times volume over temperature of the air inside, J/K
    liquid_out: Floats  # let out since filling less what came back, m³ as it was filled
    relieving: Bools  # the relief valve is open
    drawing: Bools  # the vacuum valve is open
    boiling: Bools  # no air holds the liquid above its vapour pressure


def settled(
    vessel: ClosedVessel,
    growth: ArrayLike,
    temperature: ArrayLike,
    vapour_pressure: ArrayLike,
    *,
    start: VesselState | None = None,
    wall_growth: ArrayLike = 0.0,
) -> VesselState:
    """State of a closed vessel once it has come to another temperature.

    Parameters
    ----------
    vessel : ClosedVessel
        As it was filled.
    growth : (S,) or scalar
        Volume of the liquid now over its volume as filled, less one. [-]
    temperature : (S,) or scalar
        Of air and vapour, now. [K]
    vapour_pressure : (S,) or scalar
        Of the liquid, now. [Pa]
    start : VesselState, optional
        Where the change begins, such as the hot state before it cools; as filled if left out.
        The change from there is taken to go one way.
    wall_growth : (S,) or scalar, default 0
        Room that the walls have gained by their own warming since filling. [m³]

    Returns
    -------
    state : VesselState
        Solves ``(p - p_v) (room + C (p - p_0) - liquid) = N T`` for the pressure p. An open relief
        valve holds its pressure and lets out gas, then liquid; an open vacuum valve holds its own
        and lets in liquid from the bottle, then air. Where vapour alone exceeds the relief
        pressure no rest exists: the pressure given is the valve's and ``boiling`` is true.

    Raises
    ------
    ValueError
        If a number is not finite, a growth is -1 or less, a temperature is not positive or a
        vapour pressure is negative.

    References
    ----------
    .. [1] Ideal gas, Dalton's law and conservation of mass; for stiff walls and no vapour the
       closed expansion tank of ASHRAE Handbook Systems and Equipment.
    """
    now = _now(growth, temperature, vapour_pressure, wall_growth)
    air, out = (start.air, start.liquid_out) if start else (_air_as_filled(vessel), np.zeros(()))
    give = np.asarray(vessel.compliance, dtype=float)
    slack = _slack(vessel, now, out)
    # pressures from here on in excess of the vapour pressure: what the air carries
    shut = _air_pressure(air * now.kelvin, slack, give)
    relief, vacuum = (np.asarray(each) - now.vapour for each in (vessel.relief, vessel.vacuum))
    relieving, drawing = shut > relief, shut < vacuum
    held = np.where(relieving, relief, np.where(drawing, vacuum, shut))
    held_finite = np.where(np.isfinite(held), held, 0.0)  # infinite where no room is at all
    space = slack + give * held_finite
    pushed = np.where(relieving, np.maximum(-space, 0.0), 0.0)
    missing = np.where(drawing, space - air * now.kelvin / np.where(drawing, held, 1.0), 0.0)
    drawn = np.minimum(missing, _stock(vessel, out) * now.swell)
    gas = np.maximum(space - drawn, 0.0)
    out = out + (pushed - drawn) / now.swell
    air = np.where(relieving | drawing, np.maximum(held_finite, 0.0) * gas / now.kelvin, air)
    boiling = (relieving & (held <= 0)) | ((air == 0) & (gas > 0))
    liquid = (np.asarray(vessel.liquid) - out) * now.swell
    return _state((held + now.vapour, gas, liquid, air, out), (relieving, drawing, boiling))


class _Now(NamedTuple):
    """What a vessel has come to."""

    swell: Floats  # volume of the liquid over its volume as filled
    kelvin: Floats
    vapour: Floats
    walls: Floats


def _now(growth: ArrayLike, kelvin: ArrayLike, vapour: ArrayLike, walls: ArrayLike) -> _Now:
    swell = 1 + finite("growth", growth)
    if swell.size and swell.min() <= 0:
        raise ValueError(f"growth must be above -1, got {swell.min() - 1:g}")
    return _Now(
        swell,
        positive("temperature", kelvin, "K"),
        not_negative("vapour_pressure", vapour, "Pa"),
        finite("wall_growth", walls, "m³"),
    )


def _air_as_filled(vessel: ClosedVessel) -> Floats:
    carried = np.asarray(vessel.pressure, dtype=float) - np.asarray(vessel.vapour_pressure)
    return np.asarray(carried * np.asarray(vessel.gas) / np.asarray(vessel.temperature))


def _slack(vessel: ClosedVessel, now: _Now, out: Floats) -> Floats:
    """Room beside the liquid if the pressure were the vapour's; negative: too little."""
    stretch = np.asarray(vessel.compliance) * (now.vapour - np.asarray(vessel.pressure))
    liquid = np.asarray(vessel.liquid, dtype=float)
    return np.asarray(
        liquid + np.asarray(vessel.gas) + now.walls + stretch - (liquid - out) * now.swell
    )


def _air_pressure(warm_air: Floats, slack: Floats, give: Floats) -> Floats:
    """Positive root x of ``x (slack + give x) = warm_air``; inf where nothing gives."""
    root = np.sqrt(slack**2 + 4 * give * warm_air)
    with np.errstate(divide="ignore", invalid="ignore"):
        # the form of the root in which nothing cancels
        pressure = np.where(slack > 0, 2 * warm_air / (root + slack), (root - slack) / (2 * give))
    nothing_left = np.where(warm_air > 0, np.inf, 0.0)  # stiff, and just full: 0/0 above
    return np.where(np.isnan(pressure), nothing_left, pressure)


def _stock(vessel: ClosedVessel, out: Floats) -> Floats:
    """Liquid that may be drawn back, as it was filled."""
    if vessel.bottle is None:
        return np.zeros(())
    return np.maximum(np.asarray(vessel.bottle, dtype=float) + out, 0.0)


def _state(numbers: tuple[Floats, ...], marks: tuple[Bools, ...]) -> VesselState:
    *floats, _ = np.broadcast_arrays(*numbers, marks[0])
    flags = np.broadcast_arrays(*marks, numbers[0])[:3]
    return VesselState(*floats, *flags)
