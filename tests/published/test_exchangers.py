"""Exchangers against printed tables, worked examples and a heat transfer library."""

import math
import warnings

import ht
import numpy as np
import pytest
from scipy.special import gammainc

from swapwright.physics.convection import (
    gnielinski_nusselt,
    overall_conductance,
    smooth_tube_friction_factor,
    straight_fin_efficiency,
    tube_nusselt,
)
from swapwright.physics.cross_flow import both_unmixed
from swapwright.physics.exchangers import (
    Arrangement,
    conductance_at_rating,
    effectiveness,
    exchange,
    transfer_units,
)

EXACT: Arrangement = "cross-flow, both unmixed"
APPROXIMATE: Arrangement = "cross-flow, both unmixed, approximate"
CELSIUS = 273.15

# Cross-flow, both unmixed: the exact integral and the common approximation as printed by the ht
# library 1.2.0 (`effectiveness_from_NTU`), four figures; the exact rows agree with a
# finite-difference march made apart from this program.
TABLE_UNITS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0)
TABLE: list[tuple[Arrangement, float, tuple[float, ...]]] = [
    (EXACT, 0.0, (0.3935, 0.6321, 0.7769, 0.8647, 0.9502, 0.9817, 0.9933)),
    (EXACT, 0.25, (0.3751, 0.5880, 0.7162, 0.7974, 0.8885, 0.9340, 0.9591)),
    (APPROXIMATE, 0.25, (0.3721, 0.5872, 0.7191, 0.8033, 0.8964, 0.9410, 0.9642)),
    (EXACT, 0.5, (0.3578, 0.5475, 0.6597, 0.7324, 0.8197, 0.8697, 0.9017)),
    (APPROXIMATE, 0.5, (0.3519, 0.5448, 0.6623, 0.7388, 0.8284, 0.8766, 0.9053)),
    (EXACT, 0.75, (0.3416, 0.5103, 0.6077, 0.6711, 0.7494, 0.7969, 0.8293)),
    (APPROXIMATE, 0.75, (0.3331, 0.5052, 0.6081, 0.6752, 0.7553, 0.8002, 0.8285)),
    (EXACT, 1.0, (0.3263, 0.4762, 0.5602, 0.6142, 0.6813, 0.7224, 0.7509)),
    (APPROXIMATE, 1.0, (0.3154, 0.4685, 0.5578, 0.6154, 0.6842, 0.7235, 0.7490)),
]

# At NTU 2.5 and Cr 0.6, four figures.
POINT: list[tuple[Arrangement, float]] = [
    (APPROXIMATE, 0.7632),  # printed on the help page of an equation-solver's library (hs30)
    (EXACT, 0.7557),  # finite-difference march, and ht 1.2.0
    ("counterflow", 0.8112),  # ht 1.2.0
    ("parallel flow", 0.6136),  # ht 1.2.0
    ("cross-flow, smaller mixed", 0.7260),  # ht 1.2.0
    ("cross-flow, larger mixed", 0.7058),  # ht 1.2.0
    ("cross-flow, both mixed", 0.6841),  # help page (hs50) of the same equation-solver library
]

LIBRARY_NAMES: list[tuple[Arrangement, str]] = [
    (EXACT, "crossflow"),
    (APPROXIMATE, "crossflow approximate"),
    ("counterflow", "counterflow"),
    ("parallel flow", "parallel"),
    ("cross-flow, smaller mixed", "crossflow, mixed Cmin"),
    ("cross-flow, larger mixed", "crossflow, mixed Cmax"),
]


@pytest.mark.parametrize("arrangement, ratio, printed", TABLE)
def test_cross_flow_agrees_with_table(
    arrangement: Arrangement, ratio: float, printed: tuple[float, ...]
) -> None:
    assert effectiveness(arrangement, TABLE_UNITS, ratio) == pytest.approx(printed, abs=6e-5)


@pytest.mark.parametrize("arrangement, printed", POINT)
def test_arrangement_agrees_with_printed_point(arrangement: Arrangement, printed: float) -> None:
    assert float(effectiveness(arrangement, 2.5, 0.6)) == pytest.approx(printed, abs=6e-5)
    assert transfer_units(arrangement, printed, 0.6) == pytest.approx(2.5, rel=2e-3)


@pytest.mark.parametrize("arrangement, name", LIBRARY_NAMES)
def test_arrangement_agrees_with_library_everywhere(arrangement: Arrangement, name: str) -> None:
    for ratio in (0.02, 0.3, 0.7, 0.999, 1.0):
        for units in (0.01, 0.4, 3.0, 11.0):
            expected = ht.effectiveness_from_NTU(units, ratio, name)  # type: ignore[no-untyped-call]
            # the library integrates numerically, to 1.5e-8
            assert float(effectiveness(arrangement, units, ratio)) == pytest.approx(
                expected, abs=1e-7
            )


def test_cross_flow_of_many_units_agrees_with_library() -> None:
    # Beyond Cr NTU = 40 the sum gives way to moments; 1e-6 is what they promise there.
    units = np.array([45.0, 70.0, 150.0, 60.0])
    ratio = np.array([1.0, 0.9, 0.4, 0.75])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its quadrature
        expected = [
            ht.effectiveness_from_NTU(n, cr, "crossflow")  # type: ignore[no-untyped-call]
            for n, cr in zip(units, ratio, strict=True)
        ]
    assert both_unmixed(units, ratio) == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("mean", [7.0, 20.0, 41.0, 60.0, 120.0])
@pytest.mark.parametrize("ratio", [0.05, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0])
def test_cross_flow_agrees_with_its_series_by_another_road(mean: float, ratio: float) -> None:
    # Mason's series with scipy 1.16's incomplete gamma functions, every term by itself
    count = np.arange(1, int(mean + 14 * math.sqrt(mean) + 60))
    tails = gammainc(count, mean / ratio) * gammainc(count, mean)
    found = float(both_unmixed(np.array([mean / ratio]), np.array([ratio]))[0])
    # 4e-7 where the moments take over, a rounding below
    assert found == pytest.approx(tails.sum() / mean, abs=4e-7 if mean > 40 else 1e-11)


def test_inverse_agrees_with_solver_help_page() -> None:
    # Help page hs30 of an equation-solver's library: effectiveness 0.61, 50 and 30 W/K give
    # NTU 1.341 and UA 40.23 W/K with the approximation; the exact form 1.3417.
    assert transfer_units(APPROXIMATE, 0.61, 0.6) == pytest.approx(1.341, abs=6e-4)
    assert 30 * transfer_units(APPROXIMATE, 0.61, 0.6) == pytest.approx(40.23, abs=6e-3)
    assert transfer_units(EXACT, 0.61, 0.6) == pytest.approx(1.3417, abs=6e-5)


def test_oil_free_air_cooler_of_textbook() -> None:
    # Som, Introduction to Heat Transfer, Ex. 10.7 (inputs read in an open code collection):
    # water 7 kg/s from 20 °C, air 10 kg/s from 125 °C, U 220 W/m²K on 250 m². The book's 26 °C
    # comes from a rounded heat; 24.95 °C with the approximation and 25.4 °C exact.
    water, air, ua = 7 * 4180.0, 10 * 1010.0, 220.0 * 250.0
    assert ua / air == pytest.approx(5.446, abs=6e-4)
    assert air / water == pytest.approx(0.3452, abs=6e-5)
    for arrangement, share, outlet in ((APPROXIMATE, 0.9528, 24.95), (EXACT, 0.9486, 25.4)):
        done = exchange(arrangement, ua, air, water, 125 + CELSIUS, 20 + CELSIUS)
        assert float(done.effectiveness) == pytest.approx(share, abs=6e-5)
        assert float(done.heat) == pytest.approx(1.01e6, rel=5e-3)
        assert float(done.first_out) - CELSIUS == pytest.approx(outlet, abs=0.05)
        assert float(done.first_out) - CELSIUS == pytest.approx(26.0, abs=1.1)


def test_gas_to_water_of_textbook() -> None:
    # Incropera and DeWitt, Ex. 11.3 (inputs read in two public re-workings): exhaust gas 300 to
    # 100 °C heats 1 kg/s of water from 35 to 125 °C, cp 4197, U 100 W/m²K. The book reads about
    # NTU 2.1 and 39.7 m² off a chart (from memory).
    water = 4197.0
    heat = water * 90
    gas = heat / 200
    assert heat == pytest.approx(377.73e3, rel=1e-5)
    ua = conductance_at_rating(EXACT, heat, gas, water, 300 + CELSIUS, 35 + CELSIUS)
    assert float(ua / gas) == pytest.approx(2.081, abs=1e-3)
    assert float(ua) / 100 == pytest.approx(39.3, abs=0.05)
    assert float(ua) / 100 == pytest.approx(39.7, rel=0.02)
    near = conductance_at_rating(APPROXIMATE, heat, gas, water, 300 + CELSIUS, 35 + CELSIUS)
    assert float(near) / 100 == pytest.approx(38.2, abs=0.05)


def test_water_to_air_of_textbook() -> None:
    # Cengel, Heat Transfer, "cooling of water in an automotive radiator" (from memory): 40 tubes
    # of 5 mm bore and 0.65 m; water 0.6 kg/s 90 to 65 °C, air 20 to 40 °C; U 3347 W/m²K with a
    # correction factor of 0.97 off a chart.
    area = 40 * math.pi * 0.005 * 0.65
    water = 0.6 * 4195.0
    heat = water * 25
    air = heat / 20
    assert heat == pytest.approx(62.93e3, rel=2e-4)
    ua = float(conductance_at_rating(EXACT, heat, water, air, 90 + CELSIUS, 20 + CELSIUS))
    assert ua / area == pytest.approx(3347, rel=3e-3)
    counter = float(
        conductance_at_rating("counterflow", heat, water, air, 90 + CELSIUS, 20 + CELSIUS)
    )
    assert counter / ua == pytest.approx(0.970, abs=1e-3)  # the correction factor
    assert heat / counter == pytest.approx(47.46, abs=0.01)  # log mean difference, counterflow


def test_condenser_of_textbook() -> None:
    # Holman, Heat Transfer, 10th ed., Ex. 10-9, as worked in the documentation of ht 1.2.0:
    # steam mixed in cross-flow, 131 675 W, outlets 110.59 and 116.39 °C.
    done = exchange(
        "cross-flow, first mixed", 275 * 10.82, 5.2 * 1860, 0.725 * 1900, 130 + CELSIUS,
        15 + CELSIUS,
    )  # fmt: skip
    assert float(done.heat) == pytest.approx(131675.327, rel=1e-6)
    assert float(done.second_out) - CELSIUS == pytest.approx(110.590074, abs=1e-4)
    assert float(done.first_out) - CELSIUS == pytest.approx(116.386, abs=1e-3)
    assert float(done.effectiveness) == pytest.approx(0.831218036, abs=1e-8)


def test_heat_carried_by_a_stream() -> None:
    # A public cooling-system primer: 100 US gallons a minute from 180 to 190 °F is 189.5 hp; by
    # properties of water at 85 °C 191.2 hp. An endless exchanger to 190 °F must move that.
    rate = 100 * 231 * 0.0254**3 / 60 * 968.6 * 4200.9  # density and heat capacity at 85 °C, IF97
    kelvin = 10 / 1.8
    done = exchange("counterflow", 1e9, 1e9, rate, 300 + kelvin, 300.0)
    assert float(done.heat) / 745.7 == pytest.approx(191.2, rel=2e-3)
    assert float(done.heat) / 745.7 == pytest.approx(189.5, rel=0.01)


def test_flow_that_a_heat_needs() -> None:
    # V = q/(rho cp dT): 0.6 kW and 6 K in 50 % glycol (1031 kg/m³, 3550 J/kg K) 1.64 L/min, exact.
    rate = 1.64 / 60000 * 1031 * 3550
    done = exchange("counterflow", 1e9, 1e9, rate, 366.0, 360.0)
    assert float(done.heat) == pytest.approx(600, rel=5e-3)
    other = exchange("counterflow", 1e9, 1e9, 1.02 / 60000 * 1031 * 3550, 368.0, 360.0)
    assert float(other.heat) == pytest.approx(500, rel=5e-3)


def test_gnielinski_agrees_with_library() -> None:
    # ht 1.2.0 `turbulent_Gnielinski` prints 254.63 at Re 1e5, Pr 1.2, f 0.0185.
    law = gnielinski_nusselt(1e5, 1.2, 0.0185)
    assert float(law.nusselt) == pytest.approx(254.63, abs=6e-3)
    assert not law.extrapolated
    for Re, Pr, f in ((5e3, 7.0, 0.037), (3e6, 0.7, 0.0098), (2e4, 150.0, 0.026)):
        expected = ht.conv_internal.turbulent_Gnielinski(Re=Re, Pr=Pr, fd=f)
        assert float(gnielinski_nusselt(Re, Pr, f).nusselt) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("reynolds, colebrook", [(4e3, 0.039907), (1e4, 0.030883), (1e6, 0.011645)])
def test_smooth_friction_factor_agrees_with_colebrook(reynolds: float, colebrook: float) -> None:
    # fluids 1.3.1, `Colebrook` with no roughness; Petukhov's form is 3.8 % high at its lower end
    assert float(smooth_tube_friction_factor(reynolds)) == pytest.approx(colebrook, rel=0.04)


@pytest.mark.parametrize("reynolds", [4e3, 1e4, 1e5])
def test_tube_agrees_with_dittus_boelter_of_library(reynolds: float) -> None:
    # ht 1.2.0; the two laws are some 10 to 20 % apart for liquids of Pr 2 to 10
    expected = ht.conv_internal.turbulent_Dittus_Boelter(Re=reynolds, Pr=4.0)
    found = tube_nusselt(reynolds, 4.0, 3.66)
    assert float(found.nusselt) == pytest.approx(expected, rel=0.2)
    assert not found.extrapolated


def test_laminar_tube_keeps_its_textbook_value() -> None:
    # Bergman and others, Introduction to Heat Transfer: 3.66 for an even wall temperature
    assert ht.conv_internal.laminar_T_const() == pytest.approx(3.66)
    assert tube_nusselt([0.0, 2300.0], 5.0, 3.66).nusselt == pytest.approx(3.66)


def test_fin_of_hand_calculation() -> None:
    # h 100, k 200, t 0.1 mm, L 4 mm: m 100 /m, mL 0.400, tanh(0.4)/0.4 = 0.9499 by table
    assert float(straight_fin_efficiency(100, 200, 1e-4, 4e-3)) == pytest.approx(0.9499, abs=6e-5)


def test_overall_coefficient_of_textbook() -> None:
    # Incropera and DeWitt, concentric-tube oil cooler (from memory): 2250 inside and 38.4 W/m²K
    # outside, thin wall, give U = 37.8 W/m²K.
    assert float(overall_conductance(2250, 38.4, 0.0)) == pytest.approx(37.8, abs=0.05)
    # Wall: three resistances of 1, 2 and 3 K/W in a row are 6 K/W.
    assert float(overall_conductance(1.0, 1 / 3, 2.0)) == pytest.approx(1 / 6, rel=1e-12)
