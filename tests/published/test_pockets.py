"""Air pockets and suction margin against published examples and a general library."""

import numpy as np
import pytest

from swapwright.physics.pockets import (
    carrying_velocity,
    high_points,
    suction_margin,
    tilted_heights,
)

FOOT, PSI, POUND_PER_CUBIC_FOOT = 0.3048, 6894.757, 16.01846


# Wisner, Mohsen and Kouwen, J. Hydraulics Division ASCE 101 (HY2), 1975, formula as quoted from
# Sanks, Pumping Station Design, on a public page (read); m/s worked by hand.
@pytest.mark.parametrize(
    "millimetres, degrees, velocity", [(16, 30, 0.397), (32, 90, 0.602), (38, 10, 0.567)]
)
def test_carrying_velocity_agrees(millimetres: float, degrees: float, velocity: float) -> None:
    ours = carrying_velocity(millimetres * 1e-3, np.radians(degrees))
    assert ours.likely == pytest.approx(velocity, rel=2e-3)
    assert ours.extrapolated


# Escarameia, Water Management 160 (2007): √(gD) (0.61 + 0.56 √sin a), 150 mm, up to 22.5° (from
# memory). A second law, measured apart, must lie inside the band.
@pytest.mark.parametrize("degrees", [5, 10, 22.5])
def test_second_law_lies_in_the_band(degrees: float) -> None:
    fall = np.radians(degrees)
    other = np.sqrt(9.81 * 0.15) * (0.61 + 0.56 * np.sqrt(np.sin(fall)))
    ours = carrying_velocity(0.15, fall)
    assert ours.low < other < ours.high
    assert not ours.extrapolated


# Dumitrescu; Davies and Taylor: a long bubble rises at 0.35 √(gD) in a vertical tube (from
# memory); flow down at that velocity makes it stand.
def test_small_vertical_pipe_starts_where_a_long_bubble_stands() -> None:
    assert carrying_velocity(0.02, np.pi / 2).low == pytest.approx(
        0.35 * np.sqrt(9.81 * 0.02), rel=2e-3
    )


def test_small_level_pipe_starts_where_a_long_bubble_stands() -> None:
    """Benjamin: 0.542 √(gD) in a level pipe (from memory)."""
    assert carrying_velocity(0.02, 0.0).low == pytest.approx(0.542 * np.sqrt(9.81 * 0.02), rel=6e-3)


# Crane TP-410, example 7.32, as re-worked in the notebooks of the library fluids: 5 psig, vapour
# 0.256 psi, 62.364 lb/ft³, 25 ft of lift, 6 ft lost: 13.89 ft.
def test_suction_margin_agrees_with_handbook() -> None:
    margin = suction_margin(
        (5 + 14.696) * PSI,
        0.256 * PSI,
        62.364 * POUND_PER_CUBIC_FOOT,
        lift=25 * FOOT,
        friction_head=6 * FOOT,
    )
    assert margin / FOOT == pytest.approx(13.89, rel=1e-3)


def test_suction_margin_in_a_hot_loop() -> None:
    """2 bar absolute at 110 °C: (200 - 143.4) kPa over 951 kg/m³, with IF97's vapour pressure."""
    assert suction_margin(200e3, 143.38e3, 951.0) == pytest.approx(6.07, rel=2e-3)


@pytest.mark.slow  # scipy.signal takes its time to load
@pytest.mark.parametrize("seed", range(20))
@pytest.mark.parametrize("grade", [-0.1, 0.0, 0.1])
def test_prominence_agrees_with_scipy(seed: int, grade: float) -> None:
    """scipy.signal.find_peaks knows nothing of pipes, only of rows of heights."""
    from scipy.signal import find_peaks, peak_prominences

    way = np.random.default_rng(seed).uniform(0, 1, (30, 3))
    heights = tilted_heights(way, grade)
    peaks, _ = find_peaks(heights)
    points = high_points(way, 0.02, grade=grade)
    assert [point.height for point in points] == pytest.approx(heights[peaks])
    assert [point.prominence for point in points] == pytest.approx(
        peak_prominences(heights, peaks)[0]
    )
