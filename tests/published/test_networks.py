"""Steady networks against two other programs, printed examples and exact laws.

Files and sources: tests/data/networks/README.md.
"""

import numpy as np
import pytest
from tests.support.inp_files import GRAVITY, Case, read_case, read_expected

from swapwright.physics.links import Link, Pipe, Resistance
from swapwright.physics.network import Network, Solution, solve
from swapwright.physics.pumps import PumpCurve, curve_through_points

FILES = (
    "n01_three_loop", "n02_two_parallel", "n03_three_reservoir", "n04_pump_two_parallel",
    "n05_branch_two_outlets", "n06_t_cross", "n07_two_valves_mesh", "n08_pump_operating_point",
    "n09_laminar_oil", "n10_coolant_loop_20", "n11_epanet_net1_dw",
)  # fmt: skip
POWER = 5600.0  # W, of n04's pump


def powered() -> PumpCurve:
    """Rise of a pump of constant power: it falls as one over the flow."""
    flows = np.linspace(0.02, 0.05, 61)
    rises = POWER / flows
    return curve_through_points([0.0, *flows], [2 * rises[0], *rises], 998.0)


def solved(name: str) -> tuple[Case, Solution]:
    case = read_case(name, powered())
    solution = solve(case.network, case.density, case.viscosity)
    assert solution.converged.all()
    return case, solution


def flows(name: str, *links: str) -> list[float]:
    """Flows of links in L/s."""
    _case, solution = solved(name)
    return [1e3 * float(solution.flow(link)[0]) for link in links]


@pytest.mark.parametrize("name", FILES)
def test_same_friction_law_gives_the_same(name: str) -> None:
    case, solution = solved(name)
    for (kind, subject), expected in read_expected(name).colebrook.items():
        if kind == "flow":  # five decimals of L/s printed, four in n11
            found = 1e3 * float(solution.flow(subject)[0])
            assert found == pytest.approx(expected, rel=2e-5, abs=6e-5), subject
        else:
            found = case.head(float(solution.pressure_at(subject)[0]))
            assert found == pytest.approx(expected, rel=1e-5, abs=6e-5), subject


@pytest.mark.parametrize("name", FILES)
def test_epanet_agrees(name: str) -> None:
    case, solution = solved(name)
    expected = read_expected(name).epanet
    most = max(abs(value) for (kind, _name), value in expected.items() if kind == "flow")
    span = case.head(float(np.ptp(solution.pressure)))
    for (kind, subject), value in expected.items():
        if kind == "flow":
            # another friction law; small flows feel it more
            share = 0.005 if abs(value) > 0.05 * most else 0.01
            assert 1e3 * float(solution.flow(subject)[0]) == pytest.approx(value, rel=share), (
                subject
            )
        else:
            # heads lost differ by up to 0.8 %
            found = case.head(float(solution.pressure_at(subject)[0]))
            assert found == pytest.approx(value, abs=0.009 * span), subject


def test_three_loops_by_hardy_cross() -> None:
    # Maurer, section 4.8, after three iterations with Colebrook's law: within 0.25 L/s.
    found = flows("n01_three_loop", *map(str, range(1, 11)))
    printed = [38.2, 38.2, 23.0, 25.8, 41.8, 8.8, 4.0, 16.0, 15.2, 4.8]
    assert found == pytest.approx(printed, abs=0.25)


def test_two_pipes_side_by_side() -> None:
    # Maurer, section 4.7: 0.15 and 0.35 m³/s, 30.0 m; 4.765 and 4.956 m/s by a second program.
    case, solution = solved("n02_two_parallel")
    assert solution.volume_flow[:, 0] == pytest.approx([0.15, 0.35], rel=5e-3)
    assert 100 - case.head(float(solution.pressure_at("B")[0])) == pytest.approx(30.0, rel=5e-3)
    speeds = solution.volume_flow[:, 0] / (np.pi / 4 * np.array([0.2, 0.3]) ** 2)
    assert speeds == pytest.approx([4.765, 4.956], rel=5e-3)


def test_three_reservoirs() -> None:
    # White, example 6.19, from memory, by hand and not closed: -52.4, 47.1, 6.0 m³/h, 34.3 m.
    case, solution = solved("n03_three_reservoir")
    assert 3600 * solution.volume_flow[:, 0] == pytest.approx([-52.4, 47.1, 6.0], rel=0.03)
    assert case.head(float(solution.pressure_at("J")[0])) == pytest.approx(34.3, rel=0.01)


def test_pump_of_constant_power() -> None:
    # Cengel and Cimbala, example 8-7, answers from memory.
    found = flows("n04_pump_two_parallel", "PU", "1", "2")
    assert found == pytest.approx([30.0, 4.15, 25.9], rel=5e-3)


def test_second_outlet_shut() -> None:
    # Cengel and Cimbala, example 8-9: 0.90, 0.42, 0.48 L/s, and 0.53 L/s to the first outlet
    # while the second is shut (open collection of textbook re-workings).
    found = flows("n05_branch_two_outlets", "1", "2", "3")
    assert found == pytest.approx([0.90, 0.42, 0.48], rel=0.01)
    case = read_case("n05_branch_two_outlets")
    old = case.network.links["3"]
    assert isinstance(old, Pipe)
    shut = Pipe(old.start, old.end, old.length, old.bore, old.roughness, shut=True)
    solution = solve(case.network.changed({"3": shut}), case.density, case.viscosity)
    assert 1e3 * float(solution.flow("2")[0]) == pytest.approx(0.527, rel=5e-3)
    assert abs(float(solution.flow("3")[0])) < 1e-8


def test_parting_pipes_by_openmodelica() -> None:
    # OpenModelica's result as stored with pandapipes 0.16.0, `water_tcross`.
    case, solution = solved("n06_t_cross")
    speeds = solution.volume_flow[:, 0] / (np.pi / 4 * 0.075**2)
    assert speeds == pytest.approx([0.603089, 0.301574, 0.301574], rel=2e-3)
    bar = [float(solution.pressure_at(node)[0]) / 1e5 for node in ("J3", "J1", "J2")]
    assert bar == pytest.approx([2.947766, 2.101285, 2.101285], rel=2e-3)
    assert case.density == pytest.approx(998.206)


def test_valves_by_openmodelica() -> None:
    # OpenModelica's result as stored with pandapipes 0.16.0, `water_meshed_2valves`.
    _case, solution = solved("n07_two_valves_mesh")
    bar = [float(solution.pressure_at(node)[0]) / 1e5 for node in ("J2", "J5", "J1")]
    assert bar == pytest.approx([9.119055, 8.996887, 8.556410], rel=2e-4)


def test_laminar_oil_parts_exactly() -> None:
    # Poiseuille: bores of 12 and 6 mm side by side part 16 to 1; 0.226241 L/s, 7.132445 m.
    case, solution = solved("n09_laminar_oil")
    assert float(solution.flow("1")[0]) == pytest.approx(0.226241e-3, rel=3e-6)
    ratio = float(solution.flow("2")[0] / solution.flow("3")[0])
    assert ratio == pytest.approx(16.0, rel=1e-9)
    assert case.head(float(solution.pressure_at("M")[0])) == pytest.approx(7.132445, rel=1e-6)


def test_loop_by_pandapipes() -> None:
    # pandapipes 0.16.0 with Colebrook's law, L/s.
    found = flows("n10_coolant_loop_20", "1", "8", "10", "12", "15", "17", "20")
    printed = [3.3522, 1.9151, 0.5888, 0.2070, 0.5149, 0.8482, 0.1264]
    assert found == pytest.approx(printed, abs=6e-5)
    into_tank = sum(flows("n10_coolant_loop_20", "18", "19")) - printed[-1]
    assert into_tank == pytest.approx(0.0, abs=1e-4)


# Maurer, section 4.8 with friction factors held: link, m, mm, factor, flow settled [m³/s] by a
# second program (0.38 L/s of 38.2 by three printed iterations), positive as the file's pipes.
HELD = [
    ("1", 250, 300, 0.01879, 0.03823), ("2", 100, 200, 0.02075, 0.03823),
    ("3", 125, 200, 0.02075, 0.02315), ("4", 125, 200, 0.02075, 0.02565),
    ("5", 100, 200, 0.02075, 0.04177), ("6", 100, 150, 0.02233, 0.00880),
    ("7", 125, 250, 0.01964, 0.00387), ("8", 100, 150, 0.02233, 0.01613),
    ("9", 100, 150, 0.02233, 0.01508), ("10", 125, 250, 0.01964, 0.00492),
]  # fmt: skip
# Printed there, m/(m³/s)².
PRINTED_RESISTANCE = {"1": 159.78, "2": 535.97, "6": 2430.5, "7": 207.79}


def test_three_loops_with_factors_held() -> None:
    case = read_case("n01_three_loop")
    links: dict[str, Link] = {}
    for name, length, bore, factor, _flow in HELD:
        head = 8 * factor * length / (np.pi**2 * GRAVITY * (bore / 1e3) ** 5)
        if name in PRINTED_RESISTANCE:
            assert head == pytest.approx(PRINTED_RESISTANCE[name], rel=1e-3)
        pipe = case.network.links[name]
        links[name] = Resistance(pipe.start, pipe.end, head * 1000 * GRAVITY)
    network = Network(case.network.nodes, links, case.network.fixed, case.network.drawn)
    solution = solve(network, 1000.0, 1e-3)
    expected = [row[-1] for row in HELD]
    assert solution.volume_flow[:, 0] == pytest.approx(expected, abs=1e-5)
