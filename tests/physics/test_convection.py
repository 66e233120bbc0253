"""What must hold of heat transfer at walls, whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.physics.convection import (
    finned_surface_efficiency,
    gnielinski_nusselt,
    overall_conductance,
    smooth_tube_friction_factor,
    straight_fin_efficiency,
    tube_nusselt,
)


@settings(deadline=None)
@given(prandtl=st.floats(0.7, 500.0), laminar=st.floats(3.0, 8.0))
def test_tube_never_falls_with_flow(prandtl: float, laminar: float) -> None:
    Re = np.concatenate([np.linspace(0, 6000, 1201), np.geomspace(6100, 5e6, 100)])
    law = tube_nusselt(Re, prandtl, laminar)
    assert np.all(np.diff(law.nusselt) >= 0)
    assert np.all(law.nusselt >= laminar - 1e-12)


def test_tube_is_the_two_laws_at_its_ends() -> None:
    f = smooth_tube_friction_factor([4000.0, 1e5])
    turbulent = gnielinski_nusselt([4000.0, 1e5], 6.0, f).nusselt
    found = tube_nusselt([2300.0, 3150.0, 4000.0, 1e5], 6.0, 4.36).nusselt
    assert found[0] == pytest.approx(4.36)
    assert found[1] == pytest.approx((4.36 + turbulent[0]) / 2)
    assert found[2:] == pytest.approx(turbulent)


def test_stretched_laws_are_marked() -> None:
    marks = gnielinski_nusselt([3999, 4000, 1e5, 6e6, 1e5, 1e5], [5, 5, 0.4, 5, 5, 3e3], 0.02)
    assert marks.extrapolated.tolist() == [True, False, True, True, False, True]
    tube = tube_nusselt([100.0, 3000.0, 1e5, 6e6], [3e3, 3e3, 5.0, 5.0], 3.66)
    assert tube.extrapolated.tolist() == [False, True, False, True]


@settings(deadline=None)
@given(
    h=st.floats(0.0, 1e4),
    k=st.floats(1.0, 400.0),
    t=st.floats(1e-5, 1e-2),
    span=st.floats(1e-4, 0.1),
)
def test_fin_is_a_share_and_falls_with_length(h: float, k: float, t: float, span: float) -> None:
    short, long = straight_fin_efficiency(h, k, t, [span, 2 * span])
    assert 0 < long <= short <= 1
    # a fin twice as long cools more, if less than twice as much
    assert 2 * long >= short - 1e-12


def test_fin_solves_its_differential_equation() -> None:
    # heat that enters at the root, by finite differences of theta'' = m² theta, tip idle
    h, k, t, L, cells = 150.0, 180.0, 1e-4, 6e-3, 4000
    m = np.sqrt(2 * h / (k * t))
    x = (np.arange(cells) + 0.5) / cells * L
    theta = np.cosh(m * (L - x)) / np.cosh(m * L)
    assert float(straight_fin_efficiency(h, k, t, L)) == pytest.approx(theta.mean(), rel=1e-6)


@settings(deadline=None)
@given(eta=st.floats(0.0, 1.0), share=st.floats(0.0, 1.0))
def test_finned_surface_lies_between_fin_and_wall(eta: float, share: float) -> None:
    whole = float(finned_surface_efficiency(eta, share))
    assert eta - 1e-12 <= whole <= 1
    assert whole == pytest.approx(share * eta + (1 - share), abs=1e-12)


@settings(deadline=None)
@given(a=st.floats(1e-3, 1e6), b=st.floats(1e-3, 1e6), wall=st.floats(0.0, 1e3))
def test_overall_is_below_the_weaker_side(a: float, b: float, wall: float) -> None:
    whole = float(overall_conductance(a, b, wall))
    assert 0 < whole <= min(a, b)
    assert whole == pytest.approx(float(overall_conductance(b, a, wall)), rel=1e-12)
    assert 1 / whole == pytest.approx(1 / a + 1 / b + wall, rel=1e-9)


def test_a_side_without_transfer_moves_nothing() -> None:
    assert overall_conductance([0.0, 5.0, 0.0], [5.0, 0.0, 0.0], 0.1) == pytest.approx(0.0)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -1.0])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="reynolds"):
        tube_nusselt([1e4, bad], 5.0, 3.66)
    with pytest.raises(ValueError, match="prandtl"):
        tube_nusselt(1e4, bad, 3.66)
    with pytest.raises(ValueError, match="laminar_nusselt"):
        tube_nusselt(1e4, 5.0, bad)
    with pytest.raises(ValueError, match="reynolds"):
        gnielinski_nusselt(bad, 5.0, 0.02)
    with pytest.raises(ValueError, match="darcy_friction_factor"):
        gnielinski_nusselt(1e4, 5.0, bad)
    with pytest.raises(ValueError, match="reynolds"):
        smooth_tube_friction_factor(bad)
    with pytest.raises(ValueError, match="coefficient"):
        straight_fin_efficiency(bad, 200, 1e-4, 4e-3)
    with pytest.raises(ValueError, match="thickness"):
        straight_fin_efficiency(100, 200, bad, 4e-3)
    with pytest.raises(ValueError, match="fin_share"):
        finned_surface_efficiency(0.5, bad)
    with pytest.raises(ValueError, match="wall_resistance"):
        overall_conductance(1.0, 1.0, bad)


@pytest.mark.parametrize("share", [1.01, 1.9, -0.01])
def test_shares_beyond_the_whole_are_refused(share: float) -> None:
    with pytest.raises(ValueError, match="fin_efficiency"):
        finned_surface_efficiency(share, 0.5)
    with pytest.raises(ValueError, match="fin_share"):
        finned_surface_efficiency(0.5, share)


def test_laws_below_their_start_are_refused() -> None:
    with pytest.raises(ValueError, match="reynolds must lie in 1000"):
        gnielinski_nusselt(999, 5.0, 0.02)
    with pytest.raises(ValueError, match="reynolds must lie in 3000"):
        smooth_tube_friction_factor(2999)
