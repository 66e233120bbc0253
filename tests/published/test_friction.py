"""Friction of pipes against a library, printed examples and exact laws."""

from math import pi

import fluids
import pytest
from scipy.optimize import brentq

from swapwright.physics.friction import (
    colebrook_factor,
    darcy_friction_factor,
    friction_extrapolated,
    pipe_drop,
    reynolds_number,
    rough_factor,
)
from swapwright.physics.links import Pipe
from swapwright.physics.network import Network, solve

G = 9.81
FOOT, POUND, PSI = 0.3048, 0.45359237, 6894.757
GALLON = 3.785411784e-3  # US

# Colebrook-White with 3.7 and 2.51, solved to 1e-14 by the fluids library 1.3.1 (`Colebrook`).
COLEBROOK = [
    (2300, 0, 0.047283), (3000, 0, 0.043519), (4000, 0, 0.039907), (4000, 0.001, 0.040910),
    (1e4, 0, 0.030883), (1e4, 0.001, 0.032382), (1e4, 0.01, 0.043127), (1e5, 0, 0.017990),
    (1e5, 0.0001, 0.018514), (1e5, 0.001, 0.022175), (1e5, 0.01, 0.038504),
    (1e5, 0.05, 0.071781), (1e6, 0, 0.011645), (1e6, 0.0001, 0.013441), (1e6, 0.001, 0.019943),
    (1e6, 0.01, 0.037965), (1e7, 1e-5, 0.008996), (1e7, 0.001, 0.019667), (1e8, 0, 0.005940),
]  # fmt: skip

# The same library, `von_Karman`.
ROUGH = [
    (1e-4, 0.0119798), (0.001, 0.0196355), (0.002, 0.0234205), (0.01, 0.0379037),
    (0.05, 0.0715507),
]  # fmt: skip


@pytest.mark.parametrize("reynolds, roughness, factor", COLEBROOK)
def test_colebrook_agrees_with_library(reynolds: float, roughness: float, factor: float) -> None:
    found = float(colebrook_factor(reynolds, roughness))
    assert found == pytest.approx(factor, abs=6e-7)  # six decimals printed
    assert found == pytest.approx(fluids.friction.Colebrook(reynolds, roughness), rel=1e-9)
    if reynolds >= 4000:
        assert float(darcy_friction_factor(reynolds, roughness)) == found
        # Churchill's, Haaland's and Swamee and Jain's explicit laws stay within 2.2 %
        for law in ("Churchill_1977", "Haaland", "Swamee_Jain_1976"):
            explicit = getattr(fluids.friction, law)(reynolds, roughness)
            assert found == pytest.approx(explicit, rel=0.022)


@pytest.mark.parametrize("reynolds, factor", [(500, 0.128), (1000, 0.064), (2000, 0.032)])
def test_laminar_factor_is_exact(reynolds: float, factor: float) -> None:
    assert float(darcy_friction_factor(reynolds, 0.001)) == pytest.approx(factor, rel=1e-12)


@pytest.mark.parametrize("reynolds", [2300, 2700, 3000, 3500])
def test_between_laminar_and_turbulent(reynolds: float) -> None:
    # fluids 1.3.1: between its laminar and its Colebrook factor, whichever a pipe may choose
    low, high = 64 / reynolds, fluids.friction.Colebrook(reynolds, 0.0)
    assert low < float(darcy_friction_factor(reynolds, 0.0)) < high


@pytest.mark.parametrize("roughness, factor", ROUGH)
def test_rough_limit_agrees_with_library(roughness: float, factor: float) -> None:
    assert float(rough_factor(roughness)) == pytest.approx(factor, rel=3e-6)  # six figures
    assert float(colebrook_factor(1e15, roughness)) == pytest.approx(factor, rel=3e-6)


# Moody's chart, Trans. ASME 66, 1944, from memory: up to Re 1e8, roughness up to 0.05.
@pytest.mark.parametrize(
    "reynolds, roughness, beyond",
    [(1e8, 0.05, False), (1.01e8, 0.0, True), (1e5, 0.051, True), (1000, 0.06, False)],
)
def test_end_of_the_chart(reynolds: float, roughness: float, beyond: bool) -> None:
    assert bool(friction_extrapolated(reynolds, roughness)) is beyond


# Flow m³/s, bore m, length m, roughness m, density, viscosity Pa·s, Reynolds, factor,
# drop Pa, tolerances of Reynolds, factor and drop, source.
MAURER = "E. Maurer, Hydraulics and Water Resources: Examples Using R, 2024, section 4.4"
CENGEL = "Cengel and Cimbala, Fluid Mechanics, ex. 8-3, inputs in an open textbook companion"
WORKSHEET = "public worksheet on pipe networks (17-Dec-15), first iteration, nu 1e-6"
OIL = 0.815 * 999.1
PIPES = [
    (0.416, 0.5, 100, 0.046e-3, 1000, 1.023053e-3, 1_035_465, 0.01328, 0.608 * G * 1000,
     1e-4, 5e-3, 5e-3, MAURER),
    (0.006, 0.05, 60, 0.002e-3, 999, 1.138e-3, 134_130, 0.0172, 96.2e3, 1e-3, 5e-3, 5e-3, CENGEL),
    (0.2 * FOOT**3, FOOT / 6, 200 * FOOT, 7e-6 * FOOT, 62.36 * POUND / FOOT**3,
     7.536e-4 * POUND / FOOT, 126_400, 0.0174, 11.8 * PSI, 1e-3, 5e-3, 5e-3,
     CENGEL + ", in US units; answers from memory"),
    (2 * GALLON, 52.48e-3, 100 * FOOT, 0.045e-3, OIL, 2.7e-6 * OIL, 68_029, 0.0227, 66.5e3,
     1e-3, 0.02, 0.02, "Crane TP-410, example 7-13: the handbook reads 0.023 off its chart"),
    (0.20, 0.30, 300, 0.00087 * 0.30, 1000, 1e-3, 848_826, 0.0194, 7.95 * G * 1000,
     1e-4, 5e-3, 7e-3, WORKSHEET),
    (0.12, 0.20, 125, 0.00130 * 0.20, 1000, 1e-3, 763_944, None, 9.94 * G * 1000,
     1e-4, 0, 7e-3, WORKSHEET),
    (0.05, 0.15, 125, 0.00173 * 0.15, 1000, 1e-3, 424_413, None, 7.87 * G * 1000,
     1e-4, 0, 7e-3, WORKSHEET),
]  # fmt: skip


@pytest.mark.parametrize("row", PIPES, ids=lambda row: row[-1][:12])
def test_worked_pipes(row: tuple[float, ...]) -> None:
    flow, bore, length, rough, density, viscosity, reynolds, factor, drop, *rest = row
    tolerance_reynolds, tolerance_factor, tolerance_drop = rest[:3]
    found = float(reynolds_number(flow, bore, density, viscosity))
    assert found == pytest.approx(reynolds, rel=tolerance_reynolds)
    if factor is not None:
        found = float(darcy_friction_factor(found, rough / bore))
        assert found == pytest.approx(factor, rel=tolerance_factor)
    lost, _slope = pipe_drop(flow, length, bore, rough, density, viscosity)
    assert float(lost) == pytest.approx(drop, rel=tolerance_drop)


def test_plastic_pipe() -> None:
    # Crane TP-410, example 7-1: water at 30 °C (995.6 kg/m³, 0.797 mPa·s), 200 L/min.
    reynolds = float(reynolds_number(0.2 / 60, 52.48e-3, 995.6, 0.797e-3))
    assert reynolds == pytest.approx(100_600, rel=0.01)  # the handbook rounds its properties
    assert float(darcy_friction_factor(reynolds, 0.0)) == pytest.approx(0.0179, rel=0.01)


def test_laminar_oil_with_fittings() -> None:
    # Crane TP-410, example 7-9, as re-worked with the fluids library: SAE 30, 300 ft, 50 ft lift,
    # fittings of (8 + 150 + 20) times 0.015439: 26.064 psi with the lift.
    density = 0.87 * 62.364 * POUND / FOOT**3
    reynolds = float(reynolds_number(400 * GALLON / 60, 0.1282, density, 0.130))
    assert reynolds == pytest.approx(1675.6, rel=1e-3)
    assert float(darcy_friction_factor(reynolds, 0.0)) == pytest.approx(0.038195, rel=1e-3)
    lost, _slope = pipe_drop(
        400 * GALLON / 60, 300 * FOOT, 0.1282, 0.045e-3, density, 0.130, 178 * 0.015439
    )
    lift = density * 9.80665 * 50 * FOOT
    assert (float(lost) + lift) / PSI == pytest.approx(26.064, rel=1e-3)


def test_flow_for_a_given_loss() -> None:
    # Maurer, section 4.5: 0.6 m through the pipe of 4.4 let 0.413 m³/s pass (explicit form).
    network = Network(("a", "b"), {"p": Pipe("a", "b", 100, 0.5, 0.046e-3)},
                      {"a": 0.6 * G * 1000, "b": 0.0})  # fmt: skip
    solution = solve(network, 1000, 1.023e-3)
    assert float(solution.flow("p")[0]) == pytest.approx(0.4132, rel=2e-3)


def test_bore_for_a_given_loss() -> None:
    # Maurer, section 4.6: 0.416 m³/s at 0.6 m want 0.501 m.
    def excess(bore: float) -> float:
        lost, _slope = pipe_drop(0.416, 100, bore, 0.046e-3, 1000, 1.023053e-3)
        return float(lost) - 0.6 * G * 1000

    assert brentq(excess, 0.3, 0.8) == pytest.approx(0.501, rel=2e-3)


def test_gravity_flow_with_fittings() -> None:
    # Cengel and Cimbala, example 8-8, inputs in an open textbook companion: the upper level is
    # 31.9 m, from memory; 27.9 m above the lower one.
    lost, _slope = pipe_drop(6e-3, 89, 0.05, 0.26e-3, 999.7, 1.307e-3, 0.5 + 2 * 0.3 + 0.2 + 1.06)
    assert 4 + float(lost) / (999.7 * G) == pytest.approx(31.9, rel=5e-3)


# White, Fluid Mechanics, examples 6.17 and 6.18, from memory: m, mm, mm.
THREE = [(100, 80, 0.24), (150, 60, 0.12), (80, 40, 0.20)]


def test_three_pipes_in_series() -> None:
    ends = ("a", "b", "c", "d")
    pipes = {
        f"p{at}": Pipe(ends[at], ends[at + 1], length, bore / 1e3, rough / 1e3)
        for at, (length, bore, rough) in enumerate(THREE)
    }
    network = Network(ends, pipes, {"a": 150e3 + 5 * G * 1000, "d": 0.0})
    solution = solve(network, 1000, 1.02e-3)
    assert 3600 * float(solution.flow("p2")[0]) == pytest.approx(10.2, rel=5e-3)  # m³/h


def test_three_pipes_in_parallel() -> None:
    pipes = {
        f"p{at}": Pipe("a", "b", length, bore / 1e3, rough / 1e3)
        for at, (length, bore, rough) in enumerate(THREE)
    }
    solution = solve(Network(("a", "b"), pipes, {"a": 20.3 * G * 1000, "b": 0.0}), 1000, 1.02e-3)
    flows = 3600 * solution.volume_flow[:, 0]
    assert flows == pytest.approx([62.5, 25.9, 11.4], rel=5e-3)
    assert flows.sum() == pytest.approx(99.8, rel=5e-3)


def test_poiseuille_is_exact() -> None:
    lost, slope = pipe_drop(-2e-5, 3.0, 0.012, 1e-5, 870.0, 0.09)
    exact = 128 * 0.09 * 3.0 / (pi * 0.012**4)
    assert float(lost) == pytest.approx(-exact * 2e-5, rel=1e-9)
    assert float(slope) == pytest.approx(exact, rel=1e-9)
