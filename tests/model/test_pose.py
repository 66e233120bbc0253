"""Placing a point against textbook rotation matrices (from memory), by a matrix library."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.model.pose import direction, placed

ANGLE = st.floats(-3.2, 3.2)
COORDINATE = st.floats(-5, 5)
POINT = st.tuples(COORDINATE, COORDINATE, COORDINATE)


def about_x(angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def about_y(angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, 0, s], [0, 1, 0], [-s, 0, c]])


def about_z(angle: float) -> np.ndarray:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


@given(POINT, POINT, ANGLE, ANGLE, ANGLE)
def test_agrees_with_rotation_matrices(
    point: tuple[float, float, float],
    origin: tuple[float, float, float],
    nose_up: float,
    roll: float,
    yaw: float,
) -> None:
    # Right side down is a turn against the right-hand rule about x (rearward), seen with y to the
    # right and z up; nose up and nose left turn with it about y and z.
    turned = about_z(yaw) @ about_y(nose_up) @ about_x(-roll) @ np.array(point)
    assert placed(point, origin, nose_up, roll, yaw) == pytest.approx(
        tuple(np.array(origin) + turned), abs=1e-9
    )


@given(POINT, ANGLE, ANGLE, ANGLE)
def test_turning_keeps_lengths(
    point: tuple[float, float, float], nose_up: float, roll: float, yaw: float
) -> None:
    assert np.linalg.norm(direction(point, nose_up, roll, yaw)) == pytest.approx(
        np.linalg.norm(point), abs=1e-9
    )


FRONT, RIGHT, UP = (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)


@pytest.mark.parametrize(
    ("axis", "angles", "rises", "coordinate"),
    [
        (FRONT, (0.1, 0, 0), True, 2),  # nose up: the front rises
        (RIGHT, (0, 0.1, 0), False, 2),  # right side down: the right falls
        (FRONT, (0, 0, 0.1), False, 1),  # nose to the left: the front moves to smaller y
        (UP, (0.1, 0, 0), True, 0),  # nose up: the top leans rearward
    ],
)
def test_signs_are_those_of_the_words(
    axis: tuple[float, float, float],
    angles: tuple[float, float, float],
    rises: bool,
    coordinate: int,
) -> None:
    assert (direction(axis, *angles)[coordinate] > 0) is rises
