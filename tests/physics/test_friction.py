"""What must hold of friction, whatever the numbers."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.physics.friction import (
    colebrook_factor,
    darcy_friction_factor,
    first_root,
    friction_extrapolated,
    pipe_constants,
    pipe_drop,
    pipe_law,
    reynolds_number,
    rough_factor,
    roughness_of,
)

# laminar, between, and turbulent alike
REYNOLDS = st.one_of(st.floats(1.0, 2000.0), st.floats(2000.0, 4000.0), st.floats(4000.0, 1e8))
ROUGHNESS = st.floats(0.0, 0.05)
BORES = st.floats(2e-3, 0.5)
LOSSES = st.floats(0.0, 50.0)


@given(st.floats(2000, 1e8), ROUGHNESS)
def test_colebrook_solves_its_equation(reynolds: float, roughness: float) -> None:
    root = 1 / np.sqrt(colebrook_factor(reynolds, roughness))
    residual = root + 2 * np.log10(roughness / 3.7 + 2.51 * root / reynolds)
    assert abs(residual) < 1e-12 * root


@pytest.mark.parametrize("z", [0.25, 0.5, 0.75])
def test_share_of_turbulence_between(z: float) -> None:
    # as the docstring has it: z² (3 - 2 z)
    reynolds = 2000 * (1 + z)
    turbulent = float(colebrook_factor(reynolds, 0.01))
    found = (float(darcy_friction_factor(reynolds, 0.01)) - 64 / reynolds) / (
        turbulent - 64 / reynolds
    )
    assert found == pytest.approx({0.25: 0.15625, 0.5: 0.5, 0.75: 0.84375}[z], rel=1e-9)


@given(REYNOLDS, ROUGHNESS)
def test_drop_grows_with_flow_everywhere(reynolds: float, roughness: float) -> None:
    # at fixed bore and viscosity the drop goes with f Re²
    low, high = reynolds, reynolds * 1.001
    f_low, f_high = darcy_friction_factor([low, high], roughness)
    assert f_high * high**2 > f_low * low**2


@pytest.mark.parametrize("edge", [2000.0, 4000.0])
def test_factor_has_no_step(edge: float) -> None:
    below, above = darcy_friction_factor([edge * (1 - 1e-9), edge * (1 + 1e-9)], 0.002)
    assert above == pytest.approx(below, rel=1e-7)


@given(st.floats(1e-4, 0.05))
def test_rough_factor_is_the_limit(roughness: float) -> None:
    assert float(rough_factor(roughness)) < float(colebrook_factor(1e8, roughness))
    assert float(rough_factor(roughness)) == pytest.approx(
        float(colebrook_factor(1e14, roughness)), rel=1e-6
    )


@given(REYNOLDS, BORES, ROUGHNESS, LOSSES)
def test_slope_is_the_derivative(
    reynolds: float, bore: float, roughness: float, loss: float
) -> None:
    flow = reynolds * np.pi * bore * 1e-3 / (4 * 1000)
    flows = flow * np.array([1 - 1e-6, 1.0, 1 + 1e-6])
    drop, slope = pipe_drop(flows, 2.0, bore, roughness * bore, 1000.0, 1e-3, loss)
    assert slope[1] == pytest.approx((drop[2] - drop[0]) / (flows[2] - flows[0]), rel=1e-5)
    assert (slope > 0).all()


@given(REYNOLDS, BORES, ROUGHNESS, LOSSES)
def test_backward_flow_loses_as_much(
    reynolds: float, bore: float, roughness: float, loss: float
) -> None:
    flow = reynolds * np.pi * bore * 1e-3 / (4 * 1000)
    there, slope = pipe_drop(flow, 2.0, bore, roughness * bore, 1000.0, 1e-3, loss)
    back, same = pipe_drop(-flow, 2.0, bore, roughness * bore, 1000.0, 1e-3, loss)
    assert float(back) == -float(there) and float(slope) == float(same)


@given(REYNOLDS, BORES, ROUGHNESS, LOSSES)
def test_drop_is_darcy_and_weisbach(
    reynolds: float, bore: float, roughness: float, loss: float
) -> None:
    flow = reynolds * np.pi * bore * 2e-3 / (4 * 900)
    speed = flow / (np.pi / 4 * bore**2)
    assert float(reynolds_number(-flow, bore, 900.0, 2e-3)) == pytest.approx(reynolds, rel=1e-12)
    factor = float(darcy_friction_factor(reynolds, roughness))
    drop, _slope = pipe_drop(flow, 3.0, bore, roughness * bore, 900.0, 2e-3, loss)
    head = (factor * 3.0 / bore + loss) * 450 * speed**2
    assert float(drop) == pytest.approx(head, rel=1e-9)


@pytest.mark.parametrize("reynolds", [500.0, 2200.0, 3000.0, 3800.0, 1e5])
def test_law_has_the_same_factor_between(reynolds: float) -> None:
    # at fixed numbers, so that no run by chance misses the part between laminar and turbulent
    flow, step = reynolds * np.pi * 0.02 * 1e-6 / 4, 1e-6
    drop, slope = pipe_drop(flow * np.array([1 - step, 1, 1 + step]), 1.0, 0.02, 1e-5, 1e3, 1e-3)
    head = float(darcy_friction_factor(reynolds, 5e-4)) * 50 * 500 * (flow / (np.pi * 1e-4)) ** 2
    assert drop[1] == pytest.approx(head, rel=1e-9)
    assert slope[1] == pytest.approx((drop[2] - drop[0]) / (2 * step * flow), rel=1e-6)


def test_no_flow_loses_nothing_but_has_a_slope() -> None:
    drop, slope = pipe_drop(0.0, 1.0, 0.02, 1e-5, 1000.0, 1e-3, 5.0)
    assert float(drop) == 0
    assert float(slope) == pytest.approx(128e-3 / (np.pi * 0.02**4), rel=1e-12)


def test_shapes_broadcast() -> None:
    drop, slope = pipe_drop(1e-3, [1.0, 2.0, 4.0], 0.02, 1e-5, 1000.0, [1e-3, 1e-3, 1e-3])
    assert drop.shape == slope.shape == (3,)
    assert drop[2] == pytest.approx(4 * drop[0], rel=1e-12)
    assert darcy_friction_factor(1e5, [[0.0], [0.01]]).shape == (2, 1)


def test_kept_root_gives_the_same_after_a_few_calls() -> None:
    flow = np.array([[1e-6, 3e-5, 1e-3]])
    constants = pipe_constants(*map(np.asarray, (1.0, 0.02, 1e-5, 1000.0, 1e-3, 0.5)))
    exact, _slope = pipe_drop(flow, 1.0, 0.02, 1e-5, 1000.0, 1e-3, 0.5)
    root = first_root(flow.shape)
    for _ in range(3):
        pipe_law(flow, constants, root, steps=1)
    drop, _slope = pipe_law(flow, constants, root, steps=1)
    assert drop == pytest.approx(exact, rel=1e-12)
    assert roughness_of(constants) == pytest.approx(1e-5 / 0.02, rel=1e-12)


def test_rows_in_another_memory_order_give_the_same() -> None:
    flow = np.geomspace(1e-6, 1e-3, 12).reshape(3, 4)
    constants = pipe_constants(*map(np.asarray, (1.0, 0.02, 1e-5, 1000.0, 1e-3, 0.5)))
    ways = [(flow, first_root((3, 4))), (np.asfortranarray(flow), first_root((4, 3)).T)]
    (drop, slope), (other, other_slope) = (pipe_law(*way[:1], constants, way[1], 4) for way in ways)
    assert (drop == other).all() and (slope == other_slope).all()


def test_laminar_flow_in_a_very_rough_pipe_is_not_extrapolated() -> None:
    assert friction_extrapolated([1500.0, 2500.0], 0.2).tolist() == [False, True]


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: reynolds_number(1.0, 0.0, 1000, 1e-3), "bore"),
    (lambda: reynolds_number(np.nan, 0.1, 1000, 1e-3), "volume_flow"),
    (lambda: reynolds_number(1.0, 0.1, -1, 1e-3), "density"),
    (lambda: reynolds_number(1.0, 0.1, 1000, 0), "viscosity"),
    (lambda: colebrook_factor(0.0, 0.0), "reynolds"),
    (lambda: colebrook_factor(1e5, -1e-3), "relative_roughness"),
    (lambda: darcy_friction_factor(np.inf, 0.0), "reynolds"),
    (lambda: rough_factor(0.0), "relative_roughness"),
    (lambda: pipe_drop(1.0, -1.0, 0.1, 0.0, 1000, 1e-3), "length"),
    (lambda: pipe_drop(1.0, 1.0, 0.1, -1.0, 1000, 1e-3), "roughness"),
    (lambda: pipe_drop(1.0, 1.0, 0.1, 0.0, 1000, 1e-3, -1.0), "loss_coefficient"),
    (lambda: pipe_drop(1.0, 1.0, [0.1, 0.0], 0.0, 1000, 1e-3), "bore"),
    (lambda: pipe_drop(1.0, 1.0, 0.1, 0.0, 1000, np.nan), "viscosity"),
    (lambda: pipe_drop(np.inf, 1.0, 0.1, 0.0, 1000, 1e-3), "volume_flow"),
]


@pytest.mark.parametrize("number", range(len(REFUSED)))
def test_what_is_refused_is_named(number: int) -> None:
    call, name = REFUSED[number]
    with pytest.raises(ValueError, match=name):
        call()
