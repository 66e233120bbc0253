"""What must hold of local losses, whatever the numbers."""

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.physics.losses import (
    bend_loss,
    cone_contraction_loss,
    cone_expansion_loss,
    contraction_loss,
    converging_tee_losses,
    diverging_tee_losses,
    elbow_loss,
    entrance_loss,
    expansion_loss,
    hose_length,
    loss_on_bore,
    mitre_loss,
    orifice_loss,
    quadratic_resistance,
)

RATIOS = st.floats(0.05, 1.0)
ANGLES = st.floats(0.05, pi)
SHARES = st.floats(0.0, 1.0)


@given(st.floats(0.5, 10.0), ANGLES, st.floats(0.008, 0.2))
def test_bends_lose_more_with_friction_and_scale(ratio: float, angle: float, factor: float) -> None:
    bends = bend_loss(ratio * np.array([0.02, 0.2]), [0.02, 0.2], angle, factor)
    assert bends[0] == pytest.approx(bends[1], rel=1e-12)
    assert bend_loss(ratio, 1.0, angle, 1.1 * factor) > bends[0] > 0


def test_no_turn_is_no_loss() -> None:
    assert float(bend_loss(0.1, 0.02, 0.0, 0.02)) == 0.0
    assert float(mitre_loss(0.0)) == 0.0


@given(st.floats(0.5, 4.0))
def test_mitre_is_worse_than_a_smooth_bend(ratio: float) -> None:
    assert float(mitre_loss(pi / 2)) > float(bend_loss(ratio, 1.0, pi / 2, 0.02))


@given(RATIOS)
def test_rounding_an_entrance_helps(ratio: float) -> None:
    sharp, rounded = entrance_loss([0.0, ratio * 0.02], 0.02)
    assert 0 < rounded < sharp
    assert float(entrance_loss(0.05, 0.02)) == float(entrance_loss(0.02, 0.02))


@given(RATIOS, ANGLES)
def test_steps_and_cones_are_in_order(ratio: float, angle: float) -> None:
    up, down = float(expansion_loss(ratio, 1.0)), float(contraction_loss(ratio, 1.0))
    # just under 45° Crane's cone falls half a hundredth short of the step it becomes there
    assert 0 <= float(cone_expansion_loss(ratio, 1.0, angle)) <= up
    assert 0 <= down < 0.57 and up < 1
    narrowing = float(cone_contraction_loss(ratio, 1.0, angle))
    assert 0 <= narrowing <= 0.5 * (1 - ratio**2) + 1e-12


def test_equal_bores_are_no_step() -> None:
    for loss in (expansion_loss, contraction_loss, orifice_loss):
        assert abs(float(loss(0.03, 0.03))) < 1e-12
    assert float(cone_contraction_loss(0.03, 0.03, 0.5)) == 0


@pytest.mark.parametrize("angle", [pi / 4])
def test_cones_hardly_jump_at_45_degrees(angle: float) -> None:
    for cone in (cone_expansion_loss, cone_contraction_loss):
        below, above = cone(0.5, 1.0, [angle - 1e-9, angle + 1e-9])
        assert above == pytest.approx(below, rel=0.02)  # Crane's own step


@given(st.floats(0.1, 0.98))
def test_smaller_holes_lose_more(ratio: float) -> None:
    small, large = orifice_loss([ratio, ratio * 1.01], 1.0)
    assert small > large > 0


@given(SHARES, st.floats(0.3, 1.0))
def test_flow_that_passes_by_a_branch(share: float, bore: float) -> None:
    joining = converging_tee_losses(share, bore, 1.0)
    assert 0 <= float(joining.run) <= 0.61  # highest at 0.775: 1.55²/4
    parting = diverging_tee_losses(share, bore, 1.0)
    assert -0.13 <= float(parting.run) <= 0.41
    assert float(parting.branch) >= 1.0


def test_tee_without_branch_flow_is_none_for_the_run() -> None:
    for tee in (converging_tee_losses, diverging_tee_losses):
        assert float(tee(0.0, 0.02, 0.03).run) == 0


def test_losses_of_tees_have_the_shape_of_what_came_in() -> None:
    joining = converging_tee_losses([0.1, 0.5], 0.02, [0.02, 0.04])
    assert joining.branch.shape == joining.run.shape == (2,)


@given(RATIOS, st.floats(-1.0, 10.0))
def test_moving_a_loss_there_and_back(ratio: float, loss: float) -> None:
    moved = loss_on_bore(loss, 0.02, 0.02 * ratio)
    assert float(loss_on_bore(moved, 0.02 * ratio, 0.02)) == pytest.approx(loss, rel=1e-12)
    one = float(quadratic_resistance(loss, 0.02, 900.0))
    other = float(quadratic_resistance(moved, 0.02 * ratio, 900.0))
    assert other == pytest.approx(one, rel=1e-12)


@given(st.floats(0.0, 5.0), st.floats(1.0, 4.0))
def test_hose_is_never_shorter(length: float, factor: float) -> None:
    assert length <= float(hose_length(length, factor)) <= 4 * length + 1e-12


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: bend_loss(0.009, 0.02, 1.0, 0.02), "half a bore"),
    (lambda: bend_loss(0.1, 0.02, 3.2, 0.02), "angle"),
    (lambda: bend_loss(0.1, 0.02, 1.0, np.nan), "friction_factor"),
    (lambda: mitre_loss(2.7), "angle"),
    (lambda: elbow_loss(0.0), "rough_friction_factor"),
    (lambda: entrance_loss(-0.1, 0.02), "rounding_radius"),
    (lambda: expansion_loss(0.03, 0.02), "small bore"),
    (lambda: contraction_loss(0.0, 0.02), "small bore"),
    (lambda: orifice_loss(0.03, 0.02), "small bore"),
    (lambda: cone_expansion_loss(0.01, 0.02, -0.1), "angle"),
    (lambda: cone_contraction_loss(0.01, np.inf, 0.1), "large bore"),
    (lambda: converging_tee_losses(1.1, 0.02, 0.02), "branch_share"),
    (lambda: diverging_tee_losses(-0.1, 0.02, 0.02), "branch_share"),
    (lambda: diverging_tee_losses(0.5, 0.03, 0.02), "small bore"),
    (lambda: hose_length(1.0, 0.9), "convolutions"),
    (lambda: hose_length(1.0, 4.1), "convolutions"),
    (lambda: hose_length(-1.0, 2.0), "length"),
    (lambda: loss_on_bore(1.0, 0.0, 0.02), "own_bore"),
    (lambda: quadratic_resistance(1.0, 0.02, 0.0), "density"),
    (lambda: quadratic_resistance(np.nan, 0.02, 1.0), "loss_coefficient"),
]


@pytest.mark.parametrize("number", range(len(REFUSED)))
def test_what_is_refused_is_named(number: int) -> None:
    call, name = REFUSED[number]
    with pytest.raises(ValueError, match=name):
        call()
