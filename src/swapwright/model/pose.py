"""Where a point of a donor sheet lies in the vehicle."""

from math import cos, sin

from swapwright.model.values import Value
from swapwright.quantity import Measure

Point = tuple[float, float, float]


def point_said(at: tuple[Value, Value, Value]) -> Point | None:
    """Three stated lengths as a point; None while one of them is unknown. [m]"""
    x, y, z = (
        value.content.nominal if isinstance(value.content, Measure) else None for value in at
    )
    return None if x is None or y is None or z is None else (x, y, z)


def placed(point: Point, origin: Point, nose_up: float, roll: float, yaw: float) -> Point:
    """Move a point of the engine's frame into the vehicle frame.

    Frames as ISO 4130: x rearward, y to the right, z up. Turned first by roll
    about x (right side down is positive), then by nose-up about y, then by yaw
    about z (nose to the left is positive), then moved to ``origin``.

    Parameters
    ----------
    point : (x, y, z)
        In the engine's frame. [m]
    origin : (x, y, z)
        Of the engine's frame, in the vehicle. [m]
    nose_up : float
        [rad]
    roll : float
        [rad]
    yaw : float
        [rad]

    Returns
    -------
    point : (x, y, z) in the vehicle frame [m]
    """
    x, y, z = direction(point, nose_up, roll, yaw)
    return (origin[0] + x, origin[1] + y, origin[2] + z)


def direction(axis: Point, nose_up: float, roll: float, yaw: float) -> Point:
    """Turn a direction of the engine's frame into the vehicle frame; see ``placed``."""
    x, y, z = axis
    y, z = y * cos(roll) + z * sin(roll), z * cos(roll) - y * sin(roll)
    x, z = x * cos(nose_up) + z * sin(nose_up), z * cos(nose_up) - x * sin(nose_up)
    x, y = x * cos(yaw) - y * sin(yaw), x * sin(yaw) + y * cos(yaw)
    return (x, y, z)
