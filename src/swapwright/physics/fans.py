"""Fans: their curve, its change with voltage and air, and what they are when they stand."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, not_negative, positive
from swapwright.physics.pumps import FallingCurve, PumpCurve, curve_from_rated, pressure_rise


def fan_curve(
    free_flow: ArrayLike, shut_off: ArrayLike, exponent: ArrayLike, density: float
) -> FallingCurve:
    """Curve of a fan of which only the two ends are known.

    Parameters
    ----------
    free_flow : (S,) or scalar
        Flow against no resistance. [m³/s]
    shut_off : (S,) or scalar
        Pressure rise against a wall. [Pa]
    exponent : (S,) or scalar
        1 is a straight line, 2 a parabola; axial fans lie between (common practice). [1]
    density : scalar
        Of the air the figures hold for. [kg/m³]

    Returns
    -------
    curve : FallingCurve
        ``p0 (1 - (Q/Q0)^exponent)``; where points are known take `pumps.curve_through_points`,
        which refuses the hump of a stalling fan.

    Raises
    ------
    ValueError
        If a figure is not positive and finite, or the exponent is below 1.

    References
    ----------
    .. [1] Form of a falling curve, as `pumps.curve_from_rated`.
    """
    flow, rise = positive("free_flow", free_flow, "m³/s"), positive("shut_off", shut_off, "Pa")
    power = positive("exponent", exponent)
    return curve_from_rated(rise, flow, 0.0, flow, float(positive("density", density)), power)


def speed_at_voltage(voltage: ArrayLike, rated_voltage: ArrayLike, exponent: ArrayLike) -> Floats:
    """Speed of an electric fan over its rated speed.

    Parameters
    ----------
    voltage : (S,) or scalar
        At the motor, zero or more. [V]
    rated_voltage : (S,) or scalar
        Of the figures of the fan. [V]
    exponent : (S,) or scalar
        1 for a motor without losses; 0.7 to 1 for brushed motors with a fan on (from memory). [1]

    Returns
    -------
    speed_ratio : (S,) or scalar
        ``(U/U0)^exponent``; the curve then follows the affinity laws. [1]

    Raises
    ------
    ValueError
        If the voltage is negative, another figure not positive, or anything not finite.

    References
    ----------
    .. [1] Common practice; a motor regulated by electronics does not follow it.
    """
    share = not_negative("voltage", voltage, "V") / positive("rated_voltage", rated_voltage, "V")
    return np.asarray(share ** positive("exponent", exponent))


@dataclass(frozen=True, eq=False)
class Fan:
    """A fan in a path of air, as a law of its flow.

    Parameters
    ----------
    curve : PumpCurve
        At speed ratio 1; see `fan_curve`.
    speed_ratio : (S,) or scalar
        Zero where it stands or turns by the wind alone. [1]
    at_rest : (S,) or scalar
        Quadratic resistance where the speed ratio is zero: of the fan held still or windmilling,
        whichever is meant; see `air_flow.loss_on_area`. [Pa/(m³/s)²]
    density : (S,) or scalar
        Of the air at hand; the rise goes with it. [kg/m³]

    Raises
    ------
    ValueError
        If a speed is negative, another figure not positive, or anything not finite.

    References
    ----------
    .. [1] Affinity laws: flow with speed, rise with its square and with density.
    """

    curve: PumpCurve
    speed_ratio: ArrayLike
    at_rest: ArrayLike
    density: ArrayLike

    def __post_init__(self) -> None:
        object.__setattr__(self, "speed_ratio", not_negative("speed_ratio", self.speed_ratio))
        object.__setattr__(self, "at_rest", positive("at_rest", self.at_rest, "Pa/(m³/s)²"))
        object.__setattr__(self, "density", positive("density", self.density, "kg/m³"))

    def drop(self, volume_flow: Floats) -> tuple[Floats, Floats]:
        """Pressure drop [Pa], negative where the fan lifts, and its slope [Pa/(m³/s)]."""
        speed, density = np.asarray(self.speed_ratio), np.asarray(self.density)
        turning = speed > 0
        rise, slope, _ = pressure_rise(self.curve, volume_flow, np.where(turning, speed, 1.0))
        thicker = density / self.curve.density
        still = np.asarray(self.at_rest) * np.abs(volume_flow)
        return (
            np.where(turning, -rise * thicker, still * volume_flow),
            np.where(turning, slope * thicker, 2 * still),
        )

    def extrapolated(self, volume_flow: Floats) -> NDArray[np.bool_]:
        """Where the fan turns and the flow is off its curve: beyond free flow, or backwards."""
        speed = np.asarray(self.speed_ratio)
        ratio = np.where(speed > 0, speed, 1.0)
        _, _, beyond = pressure_rise(self.curve, volume_flow, ratio)
        return np.asarray((speed > 0) & beyond)
