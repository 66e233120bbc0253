"""Local losses against the fluids library, printed examples and balances of momentum."""

from math import pi, radians, tau

import fluids
import pytest
from fluids.fittings import (
    K_branch_converging_Crane,
    K_branch_diverging_Crane,
    K_run_converging_Crane,
    K_run_diverging_Crane,
)

from swapwright.physics.friction import darcy_friction_factor, pipe_drop, rough_factor
from swapwright.physics.losses import (
    EXIT_LOSS,
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

# fluids 1.3.1, `bend_rounded`, 90°, bore 32 mm, Re 1e5, f 0.018: radius over bore, Rennels, and
# the lowest and highest of Crane, Miller and Ito.
BENDS = [
    (1, 0.313, 0.294, 0.425), (1.5, 0.225, 0.227, 0.299), (2, 0.204, 0.205, 0.253),
    (3, 0.207, 0.202, 0.258), (4, 0.226, 0.218, 0.296),
]  # fmt: skip


@pytest.mark.parametrize("ratio, rennels, low, high", BENDS)
def test_bends_agree_with_library(ratio: float, rennels: float, low: float, high: float) -> None:
    found = float(bend_loss(ratio * 0.032, 0.032, pi / 2, 0.018))
    assert found == pytest.approx(rennels, abs=6e-4)  # three decimals
    assert low - 0.01 < found < high  # other handbooks bracket it
    for angle in (30, 45, 135, 180):
        library = fluids.bend_rounded(0.032, angle, fd=0.018, bend_diameters=ratio)
        found = float(bend_loss(ratio * 0.032, 0.032, radians(angle), 0.018))
        assert found == pytest.approx(library, rel=1e-9)


def test_flat_coil() -> None:
    # Crane TP-410, example 7-11: 60 L/min of water at 80 °C (971.8 kg/m³, 0.354 mPa·s, IAPWS by
    # CoolProp 8.0.0) through a flat coil of 25 mm schedule 40 pipe, 9 m straight, seven half
    # turns: the handbook has 19.61 kPa; re-worked with the fluids library, bends of radius 5
    # bores, 18.50 kPa.
    bore, radius, flow = 0.02664, 5 * 0.02664, 1e-3
    reynolds = 4 * 971.8 * flow / (pi * bore * 0.354e-3)
    factor = darcy_friction_factor(reynolds, 0.0457e-3 / bore)
    bends = 7 * bend_loss(radius, bore, pi, factor)
    lost, _slope = pipe_drop(flow, 9.0, bore, 0.0457e-3, 971.8, 0.354e-3, bends)
    assert float(lost) == pytest.approx(18.50e3, rel=0.01)
    assert float(lost) == pytest.approx(19.61e3, rel=0.07)


def test_mitre_and_elbow() -> None:
    # fluids 1.3.1: `bend_miter` of 90° is 1.20; a standard elbow 30 times 0.02125 at 32 mm.
    assert float(mitre_loss(pi / 2)) == pytest.approx(1.20, abs=6e-3)
    for angle in (30, 60, 120):
        library = fluids.bend_miter(angle, method="Rennels")
        assert float(mitre_loss(radians(angle))) == pytest.approx(library, rel=1e-9)
    factor = rough_factor(0.045 / 32)
    assert float(elbow_loss(factor)) == pytest.approx(0.637, rel=0.01)


# fluids 1.3.1, `entrance_sharp` and `entrance_rounded`, Rennels.
@pytest.mark.parametrize("ratio, loss", [(0.0, 0.57), (0.1, 0.2029), (0.2, 0.1146)])
def test_entrances_agree_with_library(ratio: float, loss: float) -> None:
    found = float(entrance_loss(ratio * 0.032, 0.032))
    assert found == pytest.approx(loss, rel=1e-3)
    if ratio:
        library = fluids.entrance_rounded(Di=0.032, rc=ratio * 0.032, method="Rennels")
        assert found == pytest.approx(library, rel=1e-9)


def test_very_round_entrance() -> None:
    # fluids 1.3.1, `entrance_rounded`: 0.03 from one bore on.
    assert float(entrance_loss(0.05, 0.032)) == pytest.approx(0.03, rel=0.01)


# (1 - β²)² and the fluids library 1.3.1, `diffuser_sharp`.
EXPANSIONS = [(19, 32, 0.41921), (25, 32, 0.15183), (32, 38, 0.08460), (16, 32, 0.56250)]
# fluids 1.3.1, `contraction_sharp`, Rennels.
CONTRACTIONS = [(32, 19, 0.4430), (32, 25, 0.2551), (38, 32, 0.1726), (32, 16, 0.4956)]


@pytest.mark.parametrize("small, large, loss", EXPANSIONS)
def test_step_up(small: float, large: float, loss: float) -> None:
    assert float(expansion_loss(small / 1e3, large / 1e3)) == pytest.approx(loss, abs=1e-5)


@pytest.mark.parametrize("large, small, loss", CONTRACTIONS)
def test_step_down(large: float, small: float, loss: float) -> None:
    assert float(contraction_loss(small / 1e3, large / 1e3)) == pytest.approx(loss, abs=1e-4)


def test_step_up_on_the_large_bore() -> None:
    # Borda and Carnot on the large bore: (A2/A1 - 1)², exact.
    found = loss_on_bore(expansion_loss(0.019, 0.032), 0.019, 0.032)
    assert float(found) == pytest.approx(((32 / 19) ** 2 - 1) ** 2, rel=1e-12)


def test_step_into_a_large_space_is_an_exit() -> None:
    assert float(expansion_loss(0.032, 1e3)) == pytest.approx(EXIT_LOSS, rel=1e-8)


def test_cones_agree_with_library() -> None:
    # fluids 1.3.1, `diffuser_conical`, 60 to 90 mm: Crane 0.1393 at 20°; Rennels 0.1308.
    found = float(cone_expansion_loss(0.06, 0.09, radians(20)))
    assert found == pytest.approx(0.1393, abs=1e-4)
    assert found == pytest.approx(0.1308, rel=0.07)
    for angle in (10, 44, 46, 90, 180):
        up = fluids.diffuser_conical(Di1=0.06, Di2=0.09, angle=angle, method="Crane")
        assert float(cone_expansion_loss(0.06, 0.09, radians(angle))) == pytest.approx(up, rel=1e-9)
        down = fluids.contraction_conical_Crane(Di1=0.09, Di2=0.06, angle=angle)
        found = float(cone_contraction_loss(0.06, 0.09, radians(angle)))
        assert found == pytest.approx(down, rel=1e-9)


def test_pressure_behind_a_cone() -> None:
    # Cengel and Cimbala, example 8-6, solution in an open textbook companion: 7 m/s in 60 mm at
    # 150 kPa widens to 90 mm with a loss of 0.133, kinetic factor 1.06: 168 kPa.
    flow = 7 * pi / 4 * 0.06**2
    lost = float(quadratic_resistance(0.133, 0.06, 1000.0)) * flow**2
    slower = 7 * (60 / 90) ** 2
    pressure = 150e3 + 1.06 * 500 * (7**2 - slower**2) - lost
    assert lost == pytest.approx(0.333 * 9.81 * 1000, rel=3e-3)
    assert pressure == pytest.approx(167.6e3, rel=3e-3)


@pytest.mark.parametrize("ratio", [0.2, 0.4, 0.5, 0.6, 0.75])
def test_orifice_agrees_with_iso_5167(ratio: float) -> None:
    # fluids 1.3.1: ISO 5167-2's discharge coefficient (Reader-Harris and Gallagher, corner taps,
    # Re 1e6) and its permanent loss.
    pipe = 0.1
    discharge = fluids.C_Reader_Harris_Gallagher(
        D=pipe, Do=ratio * pipe, rho=998.0, mu=1e-3, m=998 * 10 * pi / 4 * pipe**2, taps="corner"
    )
    library = fluids.discharge_coefficient_to_K(pipe, ratio * pipe, discharge)
    assert float(orifice_loss(ratio * pipe, pipe)) == pytest.approx(library, rel=0.04)


def test_tees_agree_with_handbook() -> None:
    # Crane TP-410, example 7-35 as re-worked with the fluids library: 300 along the run, 100 from
    # the branch, equal bores: -0.0422 and 0.325; and the library's 1.0379 and -0.0625 parting.
    joining = converging_tee_losses(0.25, 0.1, 0.1)
    assert float(joining.branch) == pytest.approx(-0.0422, abs=1e-4)
    assert float(joining.run) == pytest.approx(0.325, abs=1e-4)
    parting = diverging_tee_losses(0.25, 0.1, 0.1)
    assert float(parting.branch) == pytest.approx(1.0379, abs=1e-4)
    assert float(parting.run) == pytest.approx(-0.0625, abs=1e-4)


@pytest.mark.parametrize("share", [0.1, 0.39, 0.45, 0.6, 0.9])
@pytest.mark.parametrize("bore", [0.5, 0.61, 0.66, 0.85, 1.0])
def test_tees_agree_with_library(share: float, bore: float) -> None:
    # fluids 1.3.1, Crane; bores between 2/3 and √(2/3) left out, where readings differ.
    flows = 1.0, bore, 1 - share, share
    joining, parting = converging_tee_losses(share, bore, 1.0), diverging_tee_losses(share, bore, 1)
    assert float(joining.branch) == pytest.approx(K_branch_converging_Crane(*flows), rel=1e-9)
    assert float(joining.run) == pytest.approx(K_run_converging_Crane(*flows), rel=1e-9)
    assert float(parting.branch) == pytest.approx(K_branch_diverging_Crane(*flows), rel=1e-9)
    assert float(parting.run) == pytest.approx(K_run_diverging_Crane(*flows), rel=1e-9)


def test_hose_loses_by_its_convolutions() -> None:
    # Corrugated hose loses 2 to 4 times what a smooth one does: common practice, from memory.
    assert float(hose_length(1.2, 2.5)) == pytest.approx(3.0, rel=1e-12)


def test_resistance_is_the_velocity_head() -> None:
    # 1 m/s of water through 1 m² has 500 Pa of dynamic pressure: definition.
    bore = (8 / tau) ** 0.5
    assert float(quadratic_resistance(1.0, bore, 1000.0)) == pytest.approx(500.0, rel=1e-12)
