"""What must hold of solving one pattern of conductances over many samples."""

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from swapwright.physics import elimination
from swapwright.physics.elimination import GROUND, Plan, eliminate, make_plan, pressures

Floats = NDArray[np.float64]
SEEDS = st.integers(0, 2**32 - 1)


def pattern(rng: np.random.Generator) -> tuple[int, tuple[int, ...], tuple[int, ...]]:
    """A connected pattern with branches to ground, side by side, and from a node to itself."""
    nodes = int(rng.integers(1, 14))
    pairs = [(int(rng.integers(GROUND, at)), at) for at in range(nodes)]
    extra = rng.integers(GROUND, nodes, (int(rng.integers(0, 20)), 2))
    pairs += [(int(a), int(b)) for a, b in extra]
    starts, ends = zip(*pairs, strict=True)
    return nodes, starts, ends


def dense(plan: Plan, starts: tuple[int, ...], ends: tuple[int, ...], y: Floats, q: Floats,
          entering: Floats) -> Floats:  # fmt: skip
    """The same by numpy, sample by sample."""
    found = np.empty((plan.nodes, y.shape[1]))
    for sample in range(y.shape[1]):
        matrix, right = np.zeros((plan.nodes, plan.nodes)), entering[:, sample].copy()
        for a, b, conductance, flow in zip(starts, ends, y[:, sample], q[:, sample], strict=True):
            for one, other, sign in ((a, b, -1), (b, a, 1)):
                if one != GROUND:
                    matrix[one, one] += conductance
                    right[one] += sign * flow
                    if other != GROUND:
                        matrix[one, other] -= conductance
        found[:, sample] = np.linalg.solve(matrix, right)
    return found


@given(SEEDS)
def test_both_ways_agree_with_numpy(seed: int) -> None:
    rng = np.random.default_rng(seed)
    nodes, starts, ends = pattern(rng)
    plan = make_plan(nodes, starts, ends)
    y, q = 10 ** rng.uniform(-2, 2, (len(starts), 3)), rng.normal(size=(len(starts), 3))
    entering = rng.normal(size=(nodes, 3))
    expected = dense(plan, starts, ends, y, q, entering)
    scale = np.abs(expected).max() + 1
    by_band = elimination._by_band(plan, y, q, entering)
    assert by_band is not None
    for found in (eliminate(plan, y, q, entering), by_band):
        assert np.abs(found - expected).max() < 1e-9 * scale
    without = eliminate(plan, y, q, None)
    assert np.abs(without - dense(plan, starts, ends, y, q, 0 * entering)).max() < 1e-9 * scale


def exact(
    nodes: int, starts: tuple[int, ...], ends: tuple[int, ...], y: Floats, entering: Floats
) -> list[Fraction]:
    """The same for one sample in fractions, which round nothing."""
    rows = [[Fraction(0)] * (nodes + 1) for _ in range(nodes)]
    for node in range(nodes):
        rows[node][nodes] = Fraction(entering[node])
    for a, b, conductance in zip(starts, ends, map(Fraction, y), strict=True):
        for one, other in ((a, b), (b, a)):
            if one != GROUND and a != b:
                rows[one][one] += conductance
                if other != GROUND:
                    rows[one][other] -= conductance
    for k in range(nodes):
        rows[k] = [value / rows[k][k] for value in rows[k]]
        for i in range(nodes):
            if i != k and rows[i][k]:
                rows[i] = [low - rows[i][k] * up for low, up in zip(rows[i], rows[k], strict=True)]
    return [row[nodes] for row in rows]


@given(SEEDS)
@settings(max_examples=40, deadline=None)
def test_no_digit_is_lost_though_conductances_differ_widely(seed: int) -> None:
    rng = np.random.default_rng(seed)
    nodes, starts, ends = pattern(rng)
    y, entering = 10 ** rng.uniform(-14, 3, len(starts)), rng.uniform(0, 1, nodes)
    found = eliminate(
        make_plan(nodes, starts, ends), y[:, None], np.zeros((len(starts), 1)), entering[:, None]
    )
    expected = [float(value) for value in exact(nodes, starts, ends, y, entering)]
    assert found[:, 0] == pytest.approx(expected, rel=1e-13)


def test_dead_end_behind_a_shut_link_floats_to_its_neighbour() -> None:
    # ground -1- a -1e-14- b -1e3- c : 1 enters a, so a is at 1, and b and c exactly with it
    plan = make_plan(3, (GROUND, 0, 1), (0, 1, 2))
    y = np.array([[1.0], [1e-14], [1e3]])
    found = eliminate(plan, y, np.zeros((3, 1)), np.array([[1.0], [0.0], [0.0]]))
    assert found[:, 0] == pytest.approx([1.0, 1.0, 1.0], rel=1e-12)


@pytest.mark.filterwarnings("ignore:invalid value")
def test_what_is_no_number_stays_in_its_sample() -> None:
    plan = make_plan(2, (GROUND, 0), (0, 1))
    y = np.ones((2, 3))
    for spoilt in (y * [1, np.inf, 1], y * [1, np.nan, 1]):
        found = pressures(plan, spoilt, y, None)
        assert found[:, 0] == pytest.approx([1.0, 2.0]) and found[:, 2] == pytest.approx([1.0, 2.0])
    found = pressures(plan, y, y * [1, np.nan, 1], None)
    assert found[:, 2] == pytest.approx([1.0, 2.0])


def test_plan_is_made_once() -> None:
    assert make_plan(2, (GROUND, 0), (0, 1)) is make_plan(2, (GROUND, 0), (0, 1))


def test_many_samples_are_eliminated_and_few_factorised(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = make_plan(2, (GROUND, 0), (0, 1))
    used: list[str] = []
    for name in ("_by_band", "eliminate"):

        def spy(
            *args: object, name: str = name, old: object = getattr(elimination, name)
        ) -> object:
            used.append(name)
            return old(*args)  # type: ignore[operator]

        monkeypatch.setattr(elimination, name, spy)
    for samples in (plan.few, plan.few + 1):
        pressures(plan, np.ones((2, samples)), np.ones((2, samples)), None)
    assert used == ["_by_band", "eliminate"]


def test_pivot_eaten_by_rounding_falls_back_to_elimination() -> None:
    # Of a chain of 1e20 hung on ground by 1: in floating point 1e20 + 1 - 1e20 is nothing.
    nodes = 6
    plan = make_plan(nodes, (GROUND, *range(nodes - 1)), tuple(range(nodes)))
    y = np.array([[1.0], *[[1e20]] * (nodes - 1)])
    entering = np.zeros((nodes, 1))
    entering[-1] = 1.0
    assert plan.few >= 1
    found = pressures(plan, y, np.zeros((nodes, 1)), entering)
    assert found[:, 0] == pytest.approx([1.0] * nodes, rel=1e-12)


@pytest.mark.parametrize(("nodes", "ends"), [(0, ()), (2, (0, 2)), (2, (-2, 1))])
def test_ends_that_are_no_nodes_are_refused(nodes: int, ends: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="nodes"):
        make_plan(nodes, ends, ends)
