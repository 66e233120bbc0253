"""Louvred fins against values worked out apart from this program from the published laws."""

import numpy as np
import pytest
from tests.support.fins import LIBRARY_FIN, USUAL_FIN

from swapwright.physics.cores import (
    Core,
    air_side_area,
    core_resistance,
    heat_transfer_coefficient,
    louvre_reynolds,
)
from swapwright.physics.louvred_fins import (
    FinFriction,
    LouvredFin,
    colburn_factor,
    fanning_friction_factor,
    free_area_share,
    hydraulic_diameter,
)

# Chang and Wang 1997 (heat) and Chang and others 2000 (friction), read in the Modelica Standard
# Library and the FluidDissipation library, worked out by other code than this program's.
SIZES = [(LIBRARY_FIN, 3.1194e-3, 0.74375), (USUAL_FIN, 2.2629e-3, 0.76198)]
HEAT = [
    (LIBRARY_FIN, (100, 200, 300, 500, 1000, 2000),
     (0.05204, 0.03705, 0.03038, 0.02365, 0.01684, 0.01199)),
    (USUAL_FIN, (100, 200, 300, 500, 1000), (0.04202, 0.02992, 0.02453, 0.01910, 0.01360)),
]  # fmt: skip
LOW = [(LIBRARY_FIN, 0.5284), (USUAL_FIN, 0.2271)]  # at Re 100
HIGH = [
    (LIBRARY_FIN, (200, 300, 500, 1000, 2000), (0.2708, 0.2096, 0.1570, 0.1113, 0.0825)),
    (USUAL_FIN, (200, 300, 500, 1000), (0.1452, 0.1122, 0.0839, 0.0593)),
]


@pytest.mark.parametrize("fin, diameter, share", SIZES)
def test_geometry_agrees(fin: LouvredFin, diameter: float, share: float) -> None:
    assert float(hydraulic_diameter(fin)) == pytest.approx(diameter, rel=2e-5)
    assert float(free_area_share(fin)) == pytest.approx(share, rel=1e-5)


@pytest.mark.parametrize("fin, reynolds, factors", HEAT)
def test_heat_law_agrees(
    fin: LouvredFin, reynolds: tuple[float, ...], factors: tuple[float, ...]
) -> None:
    found = colburn_factor(fin, reynolds)
    assert found.value == pytest.approx(factors, rel=1e-3)
    assert not found.extrapolated.any()


@pytest.mark.parametrize("fin, factor", LOW)
def test_low_friction_form_agrees(fin: LouvredFin, factor: float) -> None:
    assert float(FinFriction.of(fin).low(100.0)) == pytest.approx(factor, rel=1e-3)
    assert float(fanning_friction_factor(fin, 100.0).value) == pytest.approx(factor, rel=1e-3)


@pytest.mark.parametrize("fin, reynolds, factors", HIGH)
def test_high_friction_form_agrees(
    fin: LouvredFin, reynolds: tuple[float, ...], factors: tuple[float, ...]
) -> None:
    assert FinFriction.of(fin).high(reynolds) == pytest.approx(factors, rel=1e-3)
    joined = fanning_friction_factor(fin, reynolds[1:]).value
    assert joined == pytest.approx(factors[1:], rel=1e-3)


def test_forms_are_joined_as_amended() -> None:
    # Chang and others 2006 (from memory): f = [(1 + w) f(130) + (1 - w) f(230)]/2,
    # w = 3.6 - 0.02 Re
    friction = FinFriction.of(USUAL_FIN)
    for Re in (130.0, 150.0, 200.0, 230.0):
        w = 3.6 - 0.02 * Re
        expected = ((1 + w) * friction.low(130.0) + (1 - w) * friction.high(230.0)) / 2
        found = float(fanning_friction_factor(USUAL_FIN, Re).value)
        assert found == pytest.approx(float(expected), rel=1e-12)


def test_heat_agrees_with_another_law() -> None:
    # Davenport's law for louvred fins (from memory), j at Re 200, 500 and 1000; the two are
    # 8 % apart for this fin. Friction laws differ by 70 % and more: no check at all.
    found = colburn_factor(LIBRARY_FIN, [200.0, 500.0, 1000.0]).value
    assert found == pytest.approx([0.0343, 0.0234, 0.0175], rel=0.085)


def test_core_by_hand() -> None:
    # The usual fin, 0.20 m² face, one row, 0.8 m³/s of air at 40 °C: by a pocket calculator
    # from the printed j and f at Re 500 and the definitions.
    core = Core(USUAL_FIN, face_area=0.20, rows=1)
    rho, mu, k, Pr = 1.127, 1.918e-5, 0.02735, 0.7056
    flow = 500 * mu / (rho * 1.1e-3) * 0.76198 * 0.20  # 1.179 m³/s
    assert flow == pytest.approx(1.1789, rel=1e-3)
    assert float(louvre_reynolds(core, flow, rho, mu)) == pytest.approx(500, rel=1e-5)
    h = heat_transfer_coefficient(core, 500.0, k, Pr)
    assert float(h.value) == pytest.approx(0.01910 * 500 * Pr ** (1 / 3) * k / 1.1e-3, rel=1e-3)
    drop, _ = core_resistance(core, rho, mu).drop(np.array(flow))
    speed = flow / 0.20 / 0.76198
    hand = 4 * 0.0839 * 27 / 2.2629 * rho * speed**2 / 2
    assert float(drop) == pytest.approx(hand, rel=1e-3)
    assert hand == pytest.approx(135, abs=1)
    area = 4 * 0.76198 * 0.20 * 0.027 / 2.2629e-3
    assert float(air_side_area(core)) == pytest.approx(area, rel=1e-4)
