"""Temperatures carried by a flow, against published pipe calculations and hand mixing."""

import math

import numpy as np
import pytest

from swapwright.physics.advection import (
    Exchanging,
    Heated,
    Relaxing,
    Unchanged,
    carried_temperatures,
)
from swapwright.physics.exchangers import effectiveness

WATER = 4184.8  # J/(kg K)
BORE, COEFFICIENT = 0.075, 100.0  # m, W/(m² K) on the bore
OUTSIDE, INLET = 293.15, 363.15  # K


def conductance(length: float) -> float:
    return COEFFICIENT * math.pi * BORE * length


def test_heat_loss_along_a_pipe() -> None:
    # pandapipes, validation case `heat_transfer_one_pipe`: 75 mm, 100 m, 100 W/m²K, 3 kg/s from
    # 363.15 K into 293.15 K. Exact 351.172 K; OpenModelica with 5 cells gives 351.41 K.
    found = carried_temperatures(
        2, [0], [1], [[3 * WATER]], [Relaxing(conductance(100), OUTSIDE)], OUTSIDE,
        fixed={0: INLET},
    )  # fmt: skip
    assert found.settled.all()
    assert float(found.nodes[1, 0]) == pytest.approx(351.172, abs=1e-3)
    assert float(found.nodes[1, 0]) == pytest.approx(351.41, abs=0.3)
    assert float(found.heat[0, 0]) == pytest.approx(3 * WATER * (351.172 - INLET), rel=1e-4)


def test_two_pipes_in_series() -> None:
    # pandapipes, validation case `heat_transfer_two_pipes`: behind the first pipe 1 kg/s is
    # taken out and 2 kg/s go on for 500 m. Exact 307.350 K; OpenModelica with 5 cells 310.0 K.
    found = carried_temperatures(
        3, [0, 1], [1, 2], [[3 * WATER], [2 * WATER]],
        [Relaxing(conductance(100), OUTSIDE), Relaxing(conductance(500), OUTSIDE)], OUTSIDE,
        fixed={0: INLET},
    )  # fmt: skip
    assert found.settled.all()
    assert found.nodes[:, 0] == pytest.approx([INLET, 351.172, 307.350], abs=1e-3)
    assert float(found.nodes[2, 0]) == pytest.approx(310.0, abs=3.0)


def test_pipe_laid_the_other_way_round() -> None:
    found = carried_temperatures(
        2, [1], [0], [[-3 * WATER]], [Relaxing(conductance(100), OUTSIDE)], OUTSIDE,
        fixed={0: INLET},
    )  # fmt: skip
    assert float(found.nodes[1, 0]) == pytest.approx(351.172, abs=1e-3)
    assert float(found.inlets[0, 0]) == INLET
    assert float(found.outlets[0, 0]) == pytest.approx(351.172, abs=1e-3)


def test_mixing_by_hand() -> None:
    # one part at 80 °C and two at 20 °C are three at 40 °C
    found = carried_temperatures(
        4, [0, 1, 2], [2, 2, 3], [[1000.0], [2000.0], [3000.0]], [Unchanged()] * 3, 280.0,
        fixed={0: 353.15, 1: 293.15},
    )  # fmt: skip
    assert found.nodes[2:, 0] == pytest.approx(313.15, abs=1e-6)
    # 30 kW put into the node warms three thousand W/K by ten kelvin
    warmed = carried_temperatures(
        4, [0, 1, 2], [2, 2, 3], [[1000.0], [2000.0], [3000.0]], [Unchanged()] * 3, 280.0,
        sources=[[0.0], [0.0], [30e3], [0.0]], fixed={0: 353.15, 1: 293.15},
    )  # fmt: skip
    assert warmed.nodes[2:, 0] == pytest.approx(323.15, abs=1e-6)


def test_closed_loop_by_hand() -> None:
    # A heater of 40 kW and an exchanger of UA 1000 W/K against 800 W/K of air at 30 °C, the loop
    # carries 4000 W/K: Cr 0.2, NTU 1.25, exact cross-flow 0.67 or so; the hot side must stand
    # Q/(effectiveness Cmin) above the air, the cold side 10 K lower.
    share = float(effectiveness("cross-flow, both unmixed", 1.25, 0.2))
    found = carried_temperatures(
        2, [0, 1], [1, 0], [[4000.0], [4000.0]],
        [Heated(40e3), Exchanging(share, 800.0, 303.15)], 303.15,
    )  # fmt: skip
    assert found.settled.all()
    hot = 303.15 + 40e3 / (share * 800.0)
    assert found.nodes[:, 0] == pytest.approx([hot - 10.0, hot], abs=1e-6)
    assert found.heat[:, 0] == pytest.approx([40e3, -40e3], rel=1e-9)


def test_cooling_circuit_of_a_textbook_split() -> None:
    # A public cooling-system primer: 100 US gpm of water that warms by 10 °F takes up 189.5 hp.
    rate = 189.5 * 745.7 / (10 / 1.8)
    found = carried_temperatures(
        2, [0, 1], [1, 0], np.full((2, 1), rate), [Heated(189.5 * 745.7), Relaxing(5e3, 300.0)],
        300.0,
    )  # fmt: skip
    assert float(found.nodes[1, 0] - found.nodes[0, 0]) == pytest.approx(10 / 1.8, rel=1e-9)
