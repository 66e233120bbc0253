"""What must hold of air pockets and of the margin at an inlet."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from swapwright.physics.pockets import (
    carrying_velocity,
    high_points,
    suction_margin,
    tilted_heights,
)

seeds = st.integers(0, 2**32 - 1)
grades = st.sampled_from((-0.1, 0.0, 0.07))


def random_way(seed: int, corners: int = 12) -> NDArray[np.float64]:
    return np.random.default_rng(seed).uniform(0, 1, (corners, 3))


@given(st.floats(0.004, 1), st.floats(0, np.pi / 2))
def test_band_holds_the_law(bore: float, fall: float) -> None:
    velocity = carrying_velocity(bore, fall)
    assert 0 < velocity.low < velocity.likely < velocity.high
    assert velocity.extrapolated == (bore < 0.05)
    twice = carrying_velocity(4 * bore, fall).likely
    assert twice == pytest.approx(2 * velocity.likely, rel=1e-12)  # √D


def test_steeper_takes_more_and_small_is_less_known() -> None:
    falls = np.linspace(0, np.pi / 2, 20)
    assert (np.diff(carrying_velocity(0.1, falls).likely) > 0).all()
    small, large = carrying_velocity(0.0499, falls), carrying_velocity(0.05, falls)
    assert (small.high / small.likely > large.high / large.likely).all()
    assert (small.low / small.likely < large.low / large.likely).all()
    assert (small.high / small.likely == pytest.approx(1.5)) and (
        large.low / large.likely == pytest.approx(0.8)
    )


@pytest.mark.parametrize("bore, fall", [(0.0, 1.0), (-0.1, 1.0), (0.02, -0.1), (0.02, 1.6)])
def test_odd_pipes_are_refused(bore: float, fall: float) -> None:
    with pytest.raises(ValueError, match=r"bore|fall"):
        carrying_velocity(bore, fall)


def test_arch_traps_air_down_to_its_higher_end() -> None:
    """Up 3 m, level 1 m, down 2 m: the pocket ends 2 m below the top on both sides."""
    way = np.array([[0, 0, 0], [0, 0, 3], [1, 0, 3], [1, 0, 1]])
    (point,) = high_points(way, [0.1, 0.2, 0.3])
    assert point.along == pytest.approx(3.5)
    assert (point.height, point.prominence) == pytest.approx((3, 2))
    assert point.length == pytest.approx(2 + 1 + 2)
    area = np.pi / 4 * np.array([0.1, 0.2, 0.3]) ** 2
    assert point.volume == pytest.approx(area @ [2, 1, 2])


def test_lower_summit_belongs_to_the_higher_one_too() -> None:
    way = np.array([[0, 0, 0], [0, 0, 4], [0, 1, 2], [0, 1, 3], [0, 2, 1]])
    high, low = high_points(way, 0.05)
    assert (high.prominence, low.prominence) == pytest.approx((3, 1))
    assert low.length == pytest.approx(1 + np.sqrt(5) / 2)
    pieces = [3, np.sqrt(5), 1, np.sqrt(5)]  # all that is above 1 m
    assert high.length == pytest.approx(sum(pieces))


def test_of_equal_summits_one_owns_what_is_below() -> None:
    way = np.array([[0, 0, 0], [0, 0, 2], [0, 0.1, 1], [0, 0.2, 2], [0, 0.3, 0]])
    assert sorted(point.prominence for point in high_points(way, 0.05)) == pytest.approx([1, 2])


def test_ends_and_slopes_trap_nothing() -> None:
    assert high_points([[0, 0, 1], [1, 0, 0], [2, 0, 1]], 0.02) == ()
    assert high_points([[0, 0, 0], [1, 0, 1], [2, 0, 1], [3, 0, 2]], 0.02) == ()
    assert high_points([[0, 0, 0], [1, 0, 0]], 0.02) == ()


def test_hill_wakes_and_drains_high_points() -> None:
    stair = np.array([[0, 0, 0], [1, 0, 0.2], [2, 0, 0.2], [3, 0, 0.4]])
    assert high_points(stair, 0.02) == ()
    assert high_points(stair, 0.02, grade=0.1) == ()
    (point,) = high_points(stair, 0.02, grade=-0.1)
    assert point.prominence == pytest.approx(0.1 / np.hypot(1, 0.1))
    assert point.along == pytest.approx(np.hypot(1, 0.2))


@given(seeds, grades)
def test_way_backwards_has_the_same_points(seed: int, grade: float) -> None:
    way, bores = random_way(seed), np.random.default_rng(seed).uniform(0.01, 0.05, 11)
    there = high_points(way, bores, grade=grade)
    back = high_points(way[::-1], bores[::-1], grade=grade)[::-1]
    whole = np.linalg.norm(np.diff(way, axis=0), axis=1).sum()
    assert len(there) == len(back)
    for a, b in zip(there, back, strict=True):
        assert a.along == pytest.approx(whole - b.along)
        assert (a.height, a.prominence) == pytest.approx((b.height, b.prominence))
        assert (a.length, a.volume) == pytest.approx((b.length, b.volume))


@given(seeds)
def test_length_reaches_from_saddle_to_saddle(seed: int) -> None:
    """Walk out from the summit in small steps, both ways, until the height is the saddle's."""
    way = random_way(seed, 8)
    lengths = np.linalg.norm(np.diff(way, axis=0), axis=1)
    corners = np.concatenate([[0], np.cumsum(lengths)])
    along = np.union1d(np.linspace(0, corners[-1], 20001), corners)
    heights = np.interp(along, corners, way[:, 2])
    for point in high_points(way, 0.03):
        low = along[heights <= point.height - point.prominence + 1e-12]
        begin, end = low[low < point.along].max(), low[low > point.along].min()
        assert point.length == pytest.approx(end - begin, abs=corners[-1] / 10000)
        assert point.volume == pytest.approx(point.length * np.pi / 4 * 0.03**2)


def test_tilt_turns_about_the_sideways_axis() -> None:
    way = random_way(5)
    angle = np.arctan(0.1)
    turned = np.sin(angle) * way[:, 0] + np.cos(angle) * way[:, 2]
    assert tilted_heights(way, 0.1) == pytest.approx(turned)
    assert tilted_heights([[2.0, 0, 0]], 0.1) > 0  # up towards +x


@pytest.mark.parametrize(
    "way, bore, said",
    [
        ([[0, 0, 0]], 0.02, "shape"),
        ([[0, 0], [1, 1]], 0.02, "shape"),
        ([0, 0, 0], 0.02, "shape"),
        ([[0, 0, 0], [0, 0, np.nan]], 0.02, "way"),
        ([[0, 0, 0], [0, 0, 1]], 0.0, "bore"),
        ([[0, 0, 0], [0, 0, 1], [0, 0, 0]], [0.1, 0.1, 0.1], "bore|broadcast"),
    ],
)
def test_odd_ways_are_refused(way: list[list[float]], bore: float, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        high_points(way, bore)
    if said == "way":
        with pytest.raises(ValueError, match="way"):
            tilted_heights(way, 0.0)


@given(st.floats(5e4, 3e5), st.floats(0, 2e5), st.floats(900, 1100), st.floats(-2, 2))
def test_margin_is_none_where_pressures_are_equal(
    pressure: float, vapour: float, density: float, lift: float
) -> None:
    margin = suction_margin(pressure, vapour, density, lift=lift, friction_head=0.5)
    back = (margin + lift + 0.5) * density * 9.80665 + vapour
    assert back == pytest.approx(pressure, rel=1e-9)


@pytest.mark.parametrize(
    "given_",
    [(-1.0, 0.0, 1e3), (1e5, -1.0, 1e3), (1e5, 0.0, 0.0), (np.nan, 0.0, 1e3)],
)
def test_odd_margins_are_refused(given_: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="must"):
        suction_margin(*given_)
    with pytest.raises(ValueError, match="friction_head"):
        suction_margin(1e5, 0.0, 1e3, friction_head=-1.0)
