"""What must hold of any steady network."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from tests.support.inp_files import read_case
from tests.support.random_networks import (
    CURVE,
    DENSITY,
    VISCOSITY,
    imbalance,
    pipe_misfits,
    random_network,
    some_samples,
)

from swapwright.physics import newton
from swapwright.physics.elimination import make_plan
from swapwright.physics.friction import pipe_drop
from swapwright.physics.links import CheckValve, Link, Pipe, Pump, Resistance
from swapwright.physics.network import Network, Solution, solve
from swapwright.physics.pumps import curve_through_points, pressure_rise

SEEDS = st.integers(0, 2**32 - 1)
LEAK = 1e-8  # m³/s that a shut link may let pass at a few bar


def solved(network: Network) -> Solution:
    return solve(network, DENSITY, VISCOSITY)


def line(*links: Link, low: float = 0.0, high: float = 1e5) -> Network:
    """Links one after the other from a to z, 1 bar across."""
    nodes = list(dict.fromkeys(node for link in links for node in (link.start, link.end)))
    named = {f"l{at}": link for at, link in enumerate(links)}
    return Network(nodes, named, {nodes[0]: high, nodes[-1]: low})


def close(one: Solution, other: Solution, share: float = 1e-9) -> bool:
    """Flows within a share of the largest of their sample."""
    scale = np.abs(one.volume_flow).max(axis=0)
    return bool((np.abs(one.volume_flow - other.volume_flow) <= share * scale).all())


# --- what holds of every solution


@given(SEEDS)
@settings(max_examples=60, deadline=None)
def test_flows_balance_and_drops_fit(seed: int) -> None:
    network = random_network(seed)
    solution = solved(network)
    assert solution.converged.all()
    assert imbalance(network, solution) < 1e-9
    assert pipe_misfits(network, solution) < 1e-8
    assert (solution.passes >= 1).all() and (solution.passes < newton.MOST_PASSES).all()


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_every_link_obeys_its_law(seed: int) -> None:
    network = random_network(seed)
    solution = solved(network)
    for name, link in network.links.items():
        flow = solution.flow(name)
        across = solution.pressure_at(link.start) - solution.pressure_at(link.end)
        if isinstance(link, Resistance):
            expected = np.asarray(link.quadratic) * np.abs(flow) * flow
        elif isinstance(link, CheckValve):
            forward = (np.asarray(link.quadratic) * np.abs(flow) + np.asarray(link.linear)) * flow
            expected = np.where(flow >= 0, forward, across)
            assert (flow > -LEAK).all()
        elif isinstance(link, Pump):
            running = np.asarray(link.speed_ratio) > 0
            speed = np.where(running, link.speed_ratio, 1.0)
            rise, _slope, beyond = pressure_rise(CURVE, flow, speed)
            expected = np.where(running, -rise, np.asarray(link.at_rest) * np.abs(flow) * flow)
            marks = solution.pump_extrapolated[solution.links.index(name)]
            assert (marks == (beyond & running)).all()
        else:
            continue
        # a tenth of a millipascal: where a resistance turns linear
        assert across == pytest.approx(expected, rel=1e-7, abs=2e-3)


@given(SEEDS, st.randoms(use_true_random=False))
@settings(max_examples=30, deadline=None)
def test_order_and_names_do_not_matter(seed: int, random: Random) -> None:
    network = random_network(seed)
    nodes, links = list(network.nodes), list(network.links)
    random.shuffle(nodes)
    random.shuffle(links)
    called = {node: f"other {at}" for at, node in enumerate(nodes)}
    moved = Network(
        tuple(called.values()),
        {
            f"x{name}": replace(
                network.links[name],
                start=called[network.links[name].start], end=called[network.links[name].end],
            )
            for name in links
        },
        {called[node]: value for node, value in network.fixed.items()},
        {called[node]: value for node, value in network.drawn.items()},
    )  # fmt: skip
    one, other = solved(network), solved(moved)
    scale = np.abs(one.volume_flow).max(axis=0)
    for name in links:
        assert (np.abs(one.flow(name) - other.flow(f"x{name}")) <= 1e-9 * scale).all()
    span = np.ptp(one.pressure, axis=0) + 1
    for node in nodes:
        apart = np.abs(one.pressure_at(node) - other.pressure_at(called[node]))
        assert (apart <= 1e-8 * span).all()


@given(SEEDS)
@settings(max_examples=30, deadline=None)
def test_reversed_link_has_the_opposite_flow(seed: int) -> None:
    network = random_network(seed)
    turned = {
        name: replace(link, start=link.end, end=link.start)
        for name, link in network.links.items()
        if isinstance(link, Pipe | Resistance)
    }
    one, other = solved(network), solved(network.changed(turned))
    scale = np.abs(one.volume_flow).max(axis=0)
    for name in network.links:
        sign = -1 if name in turned else 1
        assert (np.abs(one.flow(name) - sign * other.flow(name)) <= 1e-9 * scale).all()


@given(SEEDS)
@settings(max_examples=20, deadline=None)
def test_a_sample_does_not_hang_on_the_others(seed: int) -> None:
    network = random_network(seed, samples=300)  # enough for a pilot, and for elimination by rows
    together = solved(network)
    for at in (0, 137, 299):
        alone = solved(some_samples(network, np.array([at])))
        scale = np.abs(alone.volume_flow).max()
        assert np.abs(alone.volume_flow[:, 0] - together.volume_flow[:, at]).max() <= 1e-9 * scale


@given(SEEDS, st.floats(-5e5, 5e5))
@settings(max_examples=20, deadline=None)
def test_only_differences_of_pressure_count(seed: int, shift: float) -> None:
    network = random_network(seed)
    fixed = {node: np.asarray(value) + shift for node, value in network.fixed.items()}
    one, other = solved(network), solved(replace(network, fixed=fixed))
    assert close(one, other)
    assert other.pressure == pytest.approx(one.pressure + shift, abs=1e-3)


def test_closed_loop_balances_at_its_reference() -> None:
    case = read_case("n10_coolant_loop_20")
    solution = solve(case.network, case.density, case.viscosity)
    at_tank = solution.flow("18") + solution.flow("19") - solution.flow("20")
    assert abs(at_tank[0]) < 1e-12


# --- starts, changes, plans


@given(SEEDS)
@settings(max_examples=20, deadline=None)
def test_start_saves_passes_and_changes_nothing(seed: int) -> None:
    network = random_network(seed)
    cold = solved(network)
    warm = solve(network, DENSITY, VISCOSITY, start=cold)
    assert close(cold, warm)
    assert (warm.passes <= 2).all()
    far = solve(network, DENSITY, 30 * VISCOSITY, start=cold)
    assert close(solve(network, DENSITY, 30 * VISCOSITY), far)


def test_start_whose_flows_no_longer_balance() -> None:
    # every drop of the start fits its flow; only what is drawn has changed
    network = line(Pipe("a", "m", 1.0, 0.02, 1e-5), Resistance("m", "z", 1e9))
    drawing = replace(network, drawn={"m": 1e-3})
    found = solve(drawing, DENSITY, VISCOSITY, start=solved(network))
    assert close(solved(drawing), found)
    assert found.flow("l0")[0] - found.flow("l1")[0] == pytest.approx(1e-3, rel=1e-9)


def test_start_of_one_sample_serves_all() -> None:
    case = read_case("n10_coolant_loop_20")
    one = solve(case.network, case.density, case.viscosity)
    many = solve(case.network, case.density, case.viscosity * np.linspace(0.9, 1.1, 50), start=one)
    assert many.converged.all() and many.passes.max() < one.passes[0]


def test_start_without_an_answer_is_no_start() -> None:
    network = line(Pipe("a", "m", 1.0, [0.02, 0.02], 0.0), Resistance("m", "z", [1e9, np.nan]))
    half = solved(network)
    mended = network.changed({"l1": Resistance("m", "z", [1e9, 2e9])})
    assert half.converged.tolist() == [True, False]
    found = solve(mended, DENSITY, VISCOSITY, start=half)
    assert found.converged.all() and close(solved(mended), found)
    nothing = solve(network, DENSITY, np.nan)
    assert not nothing.converged.any()
    assert close(solved(mended), solve(mended, DENSITY, VISCOSITY, start=nothing))


def test_changed_figures_use_the_plan_again() -> None:
    network = line(Pipe("a", "m", 1.0, 0.02, 0.0), Resistance("m", "z", 1e9))
    solved(network)
    made = make_plan.cache_info().misses
    other = network.changed({"l1": Resistance("m", "z", np.array([1e9, 4e9]))})
    solution = solved(other)
    assert make_plan.cache_info().misses == made
    assert other.layout.plan is network.layout.plan
    assert (
        solution.flow("l1")[1]
        < solution.flow("l1")[0]
        == pytest.approx(float(solved(network).flow("l1")[0]), rel=1e-9)
    )


def test_cold_start_takes_few_passes() -> None:
    # first slopes from ordinary flows; from flows near none they take 8 and 20
    case = read_case("n10_coolant_loop_20")
    assert solve(case.network, case.density, case.viscosity).passes[0] <= 6
    valves = line(Resistance("a", "m", 3e9), Resistance("m", "z", 1e9))
    assert solved(valves).passes[0] <= 6


# --- links


def test_resistances_by_hand() -> None:
    network = line(
        Resistance("a", "m", 3e9), Resistance("m", "z", 1e9), Resistance("z", "y", 0, 1e8)
    )
    network = replace(network, fixed={"a": 4e4, "z": 0.0, "y": -1e3})
    solution = solved(network)
    assert solution.flow("l0")[0] == pytest.approx((4e4 / 4e9) ** 0.5, rel=1e-9)
    assert solution.pressure_at("m")[0] == pytest.approx(1e4, rel=1e-9)
    assert solution.flow("l2")[0] == pytest.approx(1e-5, rel=1e-9)


def test_linear_and_quadratic_parts_add() -> None:
    solution = solved(line(Resistance("a", "z", 1e10, 2e7), high=1e10 * 1e-6 + 2e7 * 1e-3))
    assert solution.flow("l0")[0] == pytest.approx(1e-3, rel=1e-9)


def test_near_no_drop_a_resistance_is_linear() -> None:
    tiny = solved(line(Resistance("a", "z", 1e10), high=1e-5))
    # linear through (sqrt(1e-4 / 1e10) m³/s, 1e-4 Pa)
    assert tiny.flow("l0")[0] == pytest.approx(0.1 * (1e-4 / 1e10) ** 0.5, rel=1e-6)
    assert solved(line(Resistance("a", "z", 1e10), high=0.0)).flow("l0")[0] == 0


@pytest.mark.parametrize("samples", [1, 300])
def test_shut_links_pass_nothing(samples: int) -> None:
    open_to = np.arange(samples) % 2 == 1
    for link in (
        Pipe("a", "m", 1.0, 0.02, 0.0, shut=~open_to),
        Resistance("a", "m", 1e9, shut=~open_to),
        CheckValve("a", "m", 1e9, shut=~open_to),
        Pump("a", "m", CURVE, 1e9, shut=~open_to),
    ):
        solution = solved(line(link, Pipe("m", "n", 2.0, 0.03, 1e-5), Resistance("n", "z", 1e9)))
        assert solution.converged.all()
        flow = solution.flow("l0")
        assert (np.abs(flow[~open_to]) < LEAK).all() and (flow[open_to] > 1e-3).all()
        # the cut-off end has the pressure of its neighbour
        dead = solution.pressure[:, ~open_to]
        assert dead[1] == pytest.approx(dead[3], abs=0.1) and dead[2] == pytest.approx(
            dead[3], abs=0.1
        )


@pytest.mark.parametrize("samples", [1, 300])
def test_island_between_shut_links_stands_still(samples: int) -> None:
    shut = np.ones(samples, dtype=bool)
    ring = [
        Pipe("b", "c", 1.0, 0.02, 0.0),
        Pipe("c", "d", 0.1, 0.05, 0.0),
        Pipe("d", "b", 1, 0.01, 0),
    ]
    network = line(Pipe("a", "b", 1.0, 0.02, 0.0, shut=shut), *ring,
                   Resistance("d", "z", 1e9, shut=shut))  # fmt: skip
    solution = solved(network)
    assert solution.converged.all()
    assert (np.abs(solution.volume_flow) < LEAK).all()
    between = [solution.pressure_at(node) for node in "bcd"]
    assert np.ptp(between, axis=0).max() < 1e-3
    assert (np.array(between) >= 0).all() and (np.array(between) <= 1e5).all()


def test_dead_leg_has_the_pressure_of_its_neighbour() -> None:
    network = line(Pipe("a", "m", 1.0, 0.02, 0.0), Pipe("m", "z", 1.0, 0.02, 0.0))
    links = {
        **network.links,
        "leg": Resistance("m", "end", 1e10),
        "toe": Pipe("end", "toe", 1, 0.01, 0),
    }
    solution = solved(Network(("a", "m", "z", "end", "toe"), links, network.fixed))
    assert abs(solution.flow("leg")[0]) < 1e-15 and abs(solution.flow("toe")[0]) < 1e-15
    assert solution.pressure_at("toe")[0] == pytest.approx(solution.pressure_at("m")[0], rel=1e-12)


def test_what_is_drawn_behind_shut_links_is_told() -> None:
    links: dict[str, Link] = {
        "in": Pipe("a", "m", 1.0, 0.02, 0.0, shut=[True, False, False]),
        "on": CheckValve("m", "e", 1e9),
    }
    network = Network(("a", "m", "e"), links, {"a": 1e5}, {"e": [1e-4, 1e-4, -1e-4]})
    solution = solved(network)
    # not behind a shut link, nor through a check valve the wrong way
    assert solution.converged.tolist() == [False, True, False]
    assert np.isnan(solution.volume_flow[:, 0]).all() and np.isnan(solution.pressure[:, 2]).all()


def test_check_valve_passes_one_way() -> None:
    for sign in (1, -1):
        network = line(CheckValve("a", "m", 1e9), Resistance("m", "z", 1e9), high=sign * 2e5)
        flow = float(solved(network).flow("l0")[0])
        assert flow == pytest.approx(1e-2, rel=1e-9) if sign > 0 else -LEAK < flow <= 0


def test_pump_at_rest_is_a_resistance() -> None:
    pump = Pump("a", "m", CURVE, at_rest=3e9, speed_ratio=[0.0, 1.0, 0.5])
    solution = solved(line(pump, Resistance("m", "z", 1e9), high=4e4))
    assert solution.flow("l0")[0] == pytest.approx((4e4 / 4e9) ** 0.5, rel=1e-9)
    assert solution.flow("l0")[1] > solution.flow("l0")[2] > solution.flow("l0")[0]


def test_pump_against_a_wall_stands_at_shut_off() -> None:
    for density in (1000.0, 850.0):
        network = line(Pump("a", "m", CURVE, 1e9), Resistance("m", "z", 1e9, shut=True), high=0.0)
        solution = solve(network, density, VISCOSITY)
        assert solution.converged.all()
        assert solution.pressure_at("m")[0] == pytest.approx(1.6e5 * density / 1000, rel=1e-6)


def test_pump_by_hand_at_another_speed_and_density() -> None:
    pump = Pump("a", "m", replace(CURVE, density=500.0), 1e9, speed_ratio=0.7)
    solution = solve(line(pump, Resistance("m", "z", 1e10), high=0.0), 1500.0, VISCOSITY)
    rise = 3 * 0.49 * 1.6e5  # density over the curve's, speed squared, shut-off
    flow = (rise / (1e10 + 3 * float(CURVE.coefficient))) ** 0.5  # a parabola falls as before
    assert solution.flow("l0")[0] == pytest.approx(flow, rel=1e-9)
    assert solution.passes[0] <= 6  # as many as without: its slope is right as well


def test_pump_beyond_its_curve_is_marked() -> None:
    weak, strong = Resistance("m", "z", 1e8), Resistance("m", "z", 1e10)
    for link, beyond in ((weak, True), (strong, False)):
        solution = solved(line(Pump("a", "m", CURVE, 1e9), link, high=0.0))
        assert solution.pump_extrapolated[:, 0].tolist() == [beyond, False]
        assert solution.extrapolated.tolist() == [beyond]
    backward = solved(line(Pump("a", "m", CURVE, 1e9), strong, high=-3e5))
    assert backward.flow("l0")[0] < 0 and backward.pump_extrapolated[0, 0]


def test_pump_with_a_curve_through_points() -> None:
    curve = curve_through_points([0.0, 2e-3, 4e-3], [1.5e5, 1.2e5, 0.2e5], DENSITY)
    solution = solved(
        line(Pump("a", "m", curve, 1e9), Resistance("m", "z", 1.2e5 / 4e-6), high=0.0)
    )
    assert solution.flow("l0")[0] == pytest.approx(2e-3, rel=1e-9)


def test_pump_curve_may_differ_by_sample() -> None:
    curve = replace(CURVE, shut_off=np.array([1.6e5, 1.2e5, 0.8e5]))
    flow = solved(line(Pump("a", "m", curve, 1e9), Resistance("m", "z", 1e10), high=0.0)).flow("l0")
    assert flow == pytest.approx(
        (np.array([1.6e5, 1.2e5, 0.8e5]) / (1e10 + float(CURVE.coefficient))) ** 0.5, rel=1e-9
    )


def test_reynolds_beyond_the_chart_is_marked() -> None:
    solution = solved(line(Pipe("a", "m", 1.0, [1.0, 0.02], 0.0), Pipe("m", "z", 1.0, 1.0, 0.07),
                           high=1e9))  # fmt: skip
    assert solution.friction_extrapolated.tolist() == [[True, False], [True, True]]


# --- liquids


def test_density_and_viscosity_may_differ_by_link_and_sample() -> None:
    network = line(Pipe("a", "m", 1.0, 0.02, 1e-5), Pipe("m", "z", 1.0, 0.02, 1e-5))
    density = np.array([[1000.0, 900.0], [950.0, 950.0]])
    viscosity = np.array([[1e-3, 1e-3], [1e-3, 0.5]])
    solution = solve(network, density, viscosity)
    for row, name in enumerate(network.links):
        drop, _slope = pipe_drop(solution.flow(name), 1.0, 0.02, 1e-5, density[row], viscosity[row])
        across = solution.pressure[row] - solution.pressure[row + 1]
        assert across == pytest.approx(drop, rel=1e-8)
    by_row = solve(network, density[:, :1], viscosity[:, :1])
    assert by_row.volume_flow[:, 0] == pytest.approx(solution.volume_flow[:, 0], rel=1e-9)


def test_rows_of_the_liquid_follow_the_order_of_links() -> None:
    # the solver keeps pipes first; the liquid's rows are those of the network's own order
    links: dict[str, Link] = {
        "valve": Resistance("a", "m", 1e9),
        "pipe": Pipe("m", "z", 1, 0.02, 0),
    }
    network = Network(("a", "m", "z"), links, {"a": 1e5, "z": 0.0})
    thin, thick = solve(network, DENSITY, [[9.0], [1e-3]]), solve(network, DENSITY, [[1e-3], [9.0]])
    assert thin.flow("pipe")[0] == pytest.approx(solved(network).flow("pipe")[0], rel=1e-9)
    assert thick.flow("pipe")[0] < 0.1 * thin.flow("pipe")[0]


# --- what cannot be solved


@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_a_sample_without_a_number_has_not_converged(bad: float) -> None:
    good = line(
        Pipe("a", "m", 1.0, 0.02, 1e-5), Pump("m", "n", CURVE, 1e9), Resistance("n", "z", 1e9)
    )
    pipe, pump, valve = good.links.values()
    assert isinstance(pipe, Pipe) and isinstance(pump, Pump) and isinstance(valve, Resistance)
    figures = np.array([1.0, bad, 1.0])
    spoilt = [
        good.changed({"l0": replace(pipe, length=1.0 * figures)}),
        good.changed({"l0": replace(pipe, bore=0.02 * figures)}),
        good.changed({"l0": replace(pipe, roughness=1e-5 * figures)}),
        good.changed({"l0": replace(pipe, loss_coefficient=figures)}),
        good.changed({"l1": replace(pump, speed_ratio=figures)}),
        good.changed({"l1": replace(pump, at_rest=1e9 * figures)}),
        good.changed({"l1": replace(pump, curve=replace(CURVE, shut_off=1.6e5 * figures))}),
        good.changed({"l1": replace(pump, curve=replace(CURVE, last_flow=5e-3 * figures))}),
        good.changed({"l2": replace(valve, quadratic=1e9 * figures)}),
        good.changed({"l2": replace(valve, linear=figures)}),
        replace(good, fixed={"a": 1e5 * figures, "z": 0.0}),
        replace(good, drawn={"m": 1e-4 * figures}),
    ]
    for network in spoilt:
        solution = solved(network)
        assert solution.converged.tolist() == [True, False, True]
        assert (
            np.isnan(solution.volume_flow[:, 1]).all() and np.isnan(solution.pressure[:, 1]).all()
        )
        assert solution.volume_flow[:, 0] == pytest.approx(solution.volume_flow[:, 2], rel=1e-12)
        assert solution.passes[1] == 0 and not solution.extrapolated[1]
    for liquid in ((DENSITY * figures, VISCOSITY), (DENSITY, VISCOSITY * figures)):
        assert solve(good, *liquid).converged.tolist() == [True, False, True]


def test_figures_beyond_all_measure_do_not_converge() -> None:
    network = line(Pipe("a", "m", 1.0, [0.02, 1e-80], 0.0), Resistance("m", "z", 1e9))
    assert solved(network).converged.tolist()[0] is True
    assert solve(network, DENSITY, VISCOSITY * 1e300).converged.tolist()[1] is False


@pytest.mark.parametrize("whole_passes", [0, 1, 3])
def test_careful_steps_reach_the_same(whole_passes: int, monkeypatch: pytest.MonkeyPatch) -> None:
    networks = [random_network(seed) for seed in range(12)]
    expected = [solved(network) for network in networks]
    monkeypatch.setattr(newton, "PLAIN_PASSES", whole_passes)
    for network, whole in zip(networks, expected, strict=True):
        careful = solved(network)
        assert careful.converged.all() and close(whole, careful)


class Cubic:
    """Two links whose drop is the cube of the flow, the second twice over."""

    def __init__(self) -> None:
        self.calls = 0

    def at(self, flow: NDArray[np.float64], *_: object, **__: object) -> tuple[object, object]:
        self.calls += 1
        return np.array([[1.0], [2.0]]) * flow**3, None


@pytest.mark.parametrize("begin", [0.01, 0.1, 0.3])
def test_careful_steps_are_cut_where_they_overshoot(begin: float) -> None:
    # Newton on x³ = 1 from 0.1 leaps to 33; the content falls along the step up to 1 only.
    flow, across = np.array([[begin], [2 * begin]]), np.array([[1.0], [16.0]])
    now = newton.Iterate(flow, across, np.empty((0, 1)), np.empty((0, 1)))
    change = np.array([[1.0], [2.0]]) * (1 - begin**3) / (3 * begin**2)
    laws = Cubic()
    fraction = newton._fraction(laws, now, change)[0]  # type: ignore[arg-type]
    reached = begin + fraction * change[0, 0]
    # both links are at the same share of their answer, so their content's slope is one cubic
    assert begin < reached and reached**3 - 1 <= 0.5 * (1 - begin**3)
    assert reached > 0.3  # not cut to nothing
    assert laws.calls <= 8


def test_careful_steps_that_do_not_overshoot_are_taken_whole() -> None:
    near = np.array([[0.999], [1.998]])
    now = newton.Iterate(near, np.array([[1.0], [16.0]]), np.empty((0, 1)), np.empty((0, 1)))
    change = np.array([[1.0], [2.0]]) * (1 - 0.999**3) / (3 * 0.999**2)
    assert newton._fraction(Cubic(), now, change)[0] == 1.0  # type: ignore[arg-type]


def test_what_counts_as_small_grows_with_what_it_is_a_part_of() -> None:
    change, value = np.array([[6e-6, 6e-6, np.nan], [-6e-6, 6e-6, 0]]), np.array([[1e3, 1, 1]] * 2)
    assert newton._small(change, value, 0.0, 1e-8).tolist() == [True, False, False]
    assert newton._small(change, value, 2e-5, 0.0).tolist() == [True, True, False]


def test_both_drops_and_flows_have_to_fit() -> None:
    # a drop that fits to 1e-8 Pa misses 1e-7 m³/s where that much flows for 0.1 Pa, and a flow
    # that fits to 1e-15 m³/s misses 10 Pa through a shut link
    now = newton.Iterate(*np.ones((4, 1, 3)))
    missing, conductance = np.array([[1e-8, 10.0, 1e-8]]), np.array([[10.0, 1e-16, 1e-9]])
    assert newton._fits(now, missing, conductance).tolist() == [False, False, True]


def test_passes_run_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(newton, "MOST_PASSES", 2)
    solution = solved(random_network(3))
    assert not solution.converged.any() and (solution.passes == 2).all()
    assert np.isnan(solution.volume_flow).all()


# --- shapes of networks


def test_no_free_node() -> None:
    solution = solved(line(Pipe("a", "z", 1.0, 0.02, 1e-5)))
    drop, _slope = pipe_drop(solution.flow("l0"), 1.0, 0.02, 1e-5, DENSITY, VISCOSITY)
    assert solution.converged.all() and drop[0] == pytest.approx(1e5, rel=1e-8)


def test_two_islands_each_with_a_reference() -> None:
    one, two = line(Resistance("a", "z", 1e9)), line(Resistance("b", "y", 1e9), high=4e5)
    both = Network(("a", "z", "b", "y"), {"one": one.links["l0"], "two": two.links["l0"]},
                   {**one.fixed, **two.fixed})  # fmt: skip
    assert solved(both).volume_flow[:, 0] == pytest.approx([1e-2, 2e-2], rel=1e-9)


def test_link_from_a_node_to_itself_carries_nothing() -> None:
    network = line(Pipe("a", "m", 1.0, 0.02, 0.0), Resistance("m", "z", 1e9))
    looped = replace(network, links={**network.links, "loop": Pipe("m", "m", 1.0, 0.02, 0.0)})
    solution = solved(looped)
    assert abs(solution.flow("loop")[0]) < 1e-12
    assert solution.flow("l0")[0] == pytest.approx(solved(network).flow("l0")[0], rel=1e-9)


def test_one_node_alone() -> None:
    solution = solved(Network(("a",), {}, {"a": 3.0}))
    assert solution.converged.all() and solution.pressure.tolist() == [[3.0]]


# --- what is refused


PIPE = Pipe("a", "b", 1.0, 0.02, 0.0)


@pytest.mark.parametrize(
    ("nodes", "links", "fixed", "drawn", "told"),
    [
        (("a", "b", "c", "d"), {"p": PIPE, "q": Pipe("c", "d", 1, 0.02, 0)}, {"a": 0.0}, {},
         r"nodes c, d hang together .* fixed=\{\"c\": 0.0\}"),
        (("a", "b", "c"), {"p": PIPE}, {"a": 0.0}, {}, "nodes c hang"),
        (("a", "b", "a"), {"p": PIPE}, {"a": 0.0}, {}, "found a more than once"),
        (("a",), {"p": PIPE}, {"a": 0.0}, {}, r"link 'p': found node 'b', wanted one of a"),
        (("a", "b"), {"p": PIPE}, {"a": 0.0, "x": 1.0}, {}, "fixed: found node 'x'"),
        (("a", "b"), {"p": PIPE}, {"a": 0.0}, {"y": 1.0}, "drawn: found node 'y'"),
        (("a", "b"), {"p": PIPE}, {"a": 0.0}, {"a": 1.0}, "drawn: a has a fixed pressure"),
    ],
)  # fmt: skip
def test_networks_that_cannot_be(
    nodes: tuple[str, ...], links: dict[str, Link], fixed: dict[str, float],
    drawn: dict[str, float], told: str,
) -> None:  # fmt: skip
    with pytest.raises(ValueError, match=told):
        Network(nodes, links, fixed, drawn)


def test_numbers_of_samples_must_agree() -> None:
    network = line(Pipe("a", "m", [1.0, 2.0], 0.02, 0.0), Resistance("m", "z", [1e9, 2e9, 3e9]))
    with pytest.raises(ValueError, match=r"2 in l0.length, 3 in l1.quadratic"):
        solved(network)
    two = line(Pipe("a", "m", [1.0, 2.0], 0.02, 0.0), Resistance("m", "z", 1e9))
    for changed, place in (
        (replace(two, fixed={"a": [1.0, 2.0, 3.0], "z": 0.0}), "3 in a"),
        (replace(two, drawn={"m": [1.0, 2.0, 3.0]}), "3 in m"),
        (two.changed({"l1": Pump("m", "z", replace(CURVE, shut_off=np.ones(3)), 1e9)}), "l1.curve"),
    ):
        with pytest.raises(ValueError, match=place):
            solved(changed)
    with pytest.raises(ValueError, match="3 in density or viscosity"):
        solve(two, DENSITY, [1e-3, 1e-3, 1e-3])


def test_liquids_that_cannot_be() -> None:
    network = line(Pipe("a", "m", 1.0, 0.02, 0.0), Resistance("m", "z", 1e9))
    with pytest.raises(ValueError, match=r"density: found shape \(3, 1\), wanted .*\(2, S\)"):
        solve(network, np.ones((3, 1)), 1e-3)
    with pytest.raises(ValueError, match="viscosity: found 0, wanted more than zero"):
        solve(network, 1.0, 0.0)


def test_start_of_another_network_is_refused() -> None:
    one = solved(line(Resistance("a", "z", 1e9)))
    other = line(Resistance("b", "z", 1e9))
    with pytest.raises(ValueError, match="start"):
        solve(other, DENSITY, VISCOSITY, start=one)
    three = solve(line(Resistance("a", "z", 1e9)), DENSITY, [1e-3] * 3)
    with pytest.raises(ValueError, match="start"):
        solve(line(Resistance("a", "z", 1e9)), DENSITY, [1e-3] * 2, start=three)


def test_change_of_a_link_there_is_not() -> None:
    with pytest.raises(ValueError, match="no link 'x'; the network has l0"):
        line(Resistance("a", "z", 1e9)).changed({"x": PIPE})


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: Pipe("a", "b", 0.0, 0.02, 0.0), "Pipe from a to b: length: found 0, wanted more"),
        (lambda: Pipe("a", "b", 1.0, -1.0, 0.0), "bore"),
        (lambda: Pipe("a", "b", 1.0, 0.02, -1.0), "roughness: found -1, wanted zero or more"),
        (lambda: Pipe("a", "b", 1.0, 0.02, 0.0, -1.0), "loss_coefficient"),
        (lambda: Pipe("a", "b", [[1.0]], 0.02, 0.0), r"length: found shape \(1, 1\)"),
        (lambda: Pipe("a", "b", 1.0, 0.02, 0.0, shut=1), "shut: wanted True or False"),
        (lambda: Resistance("a", "b"), "quadratic and linear are both zero"),
        (lambda: Resistance("a", "b", [1.0, 0.0]), "both zero"),
        (lambda: Resistance("a", "b", -1.0), "quadratic"),
        (lambda: CheckValve("a", "b", 1.0, -1.0), "linear"),
        (lambda: CheckValve("a", "b"), "both zero"),
        (lambda: Pump("a", "b", CURVE, 0.0), "at_rest"),
        (lambda: Pump("a", "b", CURVE, 1.0, -0.1), "speed_ratio"),
        (lambda: Pump("a", "b", CURVE, 1.0, shut=[[True]]), "shut"),
    ],
)
def test_links_that_cannot_be(make: Callable[[], object], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        make()


def test_only_some_samples_are_solved_anew() -> None:
    """The chosen ones as if all were, the others as they stood."""
    rng = np.random.default_rng(3)
    bores = rng.uniform(0.015, 0.03, 40)
    links: dict[str, Link] = {
        "pump": Resistance("a", "b", quadratic=1e9),
        "pipe": Pipe("b", "a", 2.0, bores, 2e-5, 1.0),
        "feed": Resistance("c", "a", quadratic=rng.uniform(1e9, 4e9, 40)),
    }
    network = Network(["a", "b", "c"], links, {"c": 3e4}, {"b": 1e-4})
    first = solve(network, 1000.0, 1e-3)
    wider = network.changed({"pipe": Pipe("b", "a", 2.0, 1.5 * bores, 2e-5, 1.0)})
    some = np.array([3, 17, 18, 39])
    rest = np.setdiff1d(np.arange(40), some)
    found, whole = solve(wider, 1000.0, 1e-3, first, some), solve(wider, 1000.0, 1e-3)
    assert found.volume_flow[:, some] == pytest.approx(whole.volume_flow[:, some], rel=1e-9)
    assert np.array_equal(found.volume_flow[:, rest], first.volume_flow[:, rest])
    assert np.array_equal(found.pressure[:, rest], first.pressure[:, rest])
    assert found.converged.all()
    with pytest.raises(ValueError, match="only"):
        solve(wider, 1000.0, 1e-3, only=some)
