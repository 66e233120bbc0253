"""Boiling of coolant under a cap, as the rules on caps compute it."""

import pytest

from swapwright.findings.boiling import (
    boiling_point,
    glycol_vapour_pressure,
    water_mole_fraction,
    water_saturation_pressure,
)

CELSIUS = 273.15
PSI = 6894.757

# IAPWS R7-97 (Industrial Formulation 1997), Table 35, from memory; the iapws library agrees.
SATURATION = [(300.0, 0.353658941e4), (500.0, 0.263889776e7), (600.0, 0.123443146e8)]

# Boiling of water under a gauge pressure in bar, IF97 by the iapws library, in °C.
WATER_UNDER_CAP = [(0.0, 99.97), (0.5, 111.61), (0.9, 118.82), (1.1, 121.96), (1.5, 127.59)]

# Raoult's law with IF97 and the chemicals library's glycol pressure, computed apart from this
# program: ethylene glycol by volume, gauge pressure in bar, °C.
RAOULT = [
    (0.3, 0.0, 103.57), (0.3, 1.1, 126.02), (0.4, 0.5, 117.41), (0.5, 0.0, 107.80),
    (0.5, 0.9, 127.50), (0.5, 1.5, 136.69), (0.6, 1.1, 134.50), (0.7, 1.0, 138.24),
]  # fmt: skip

# Glycol by volume, gauge pressure in Pa, °C as published, and how far that may be off.
PUBLISHED = [
    (0.5, 0.0, 107.8, 1.0),  # ASTM D3306, least boiling point of the open mixture, from memory
    (0.5, 15 * PSI, 129.4, 1.0),  # a public repair-advice page: 265 °F under a 15 psi cap
    (0.7, 15 * PSI, 135.6, 4.0),  # the same page: 276 °F for 70 to 30
    (0.5, 103e3, 127.0, 3.0),  # makers' pages on a 103 kPa cap: 125 to 129 °C
]


@pytest.mark.parametrize("temperature, pressure", SATURATION)
def test_saturation_agrees_with_iapws_table(temperature: float, pressure: float) -> None:
    assert water_saturation_pressure(temperature) == pytest.approx(pressure, rel=1e-8)


@pytest.mark.parametrize("bar, celsius", WATER_UNDER_CAP)
def test_water_boils_under_a_cap_as_tabled(bar: float, celsius: float) -> None:
    assert boiling_point(bar * 1e5, 0.0) - CELSIUS == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize("share, bar, celsius", RAOULT)
def test_mixture_agrees_with_raoult_computed_apart(
    share: float, bar: float, celsius: float
) -> None:
    # 0.25 K: densities at 20 °C and the three-point glycol curve differ from that library's.
    assert boiling_point(bar * 1e5, share) - CELSIUS == pytest.approx(celsius, abs=0.25)


@pytest.mark.parametrize("share, pressure, celsius, within", PUBLISHED)
def test_mixture_agrees_with_published_coolants(
    share: float, pressure: float, celsius: float, within: float
) -> None:
    assert boiling_point(pressure, share) - CELSIUS == pytest.approx(celsius, abs=within)


def test_glycol_boils_at_its_normal_point() -> None:
    # 197.3 °C at 101.7 kPa, and 2.09 kPa at 100 °C: the chemicals library.
    assert glycol_vapour_pressure(470.45) == pytest.approx(101.7e3, rel=1e-6)
    assert glycol_vapour_pressure(373.15) == pytest.approx(2.09e3, rel=1e-6)


def test_half_by_volume_is_three_quarters_of_the_moles() -> None:
    # 0.753 from the density tables of ethylene glycol solutions after ASHRAE.
    assert water_mole_fraction(0.5) == pytest.approx(0.753, abs=0.004)


def test_more_glycol_and_more_pressure_boil_later() -> None:
    points = [boiling_point(p, s) for p, s in [(0, 0.0), (0, 0.4), (5e4, 0.4), (5e4, 0.6)]]
    assert points == sorted(points) and len(set(points)) == 4


@pytest.mark.parametrize("pressure, share", [(-1.0, 0.5), (2e6, 0.5), (1e5, 1.0), (1e5, -0.1)])
def test_outside_its_range_it_refuses(pressure: float, share: float) -> None:
    with pytest.raises(ValueError, match="must lie"):
        boiling_point(pressure, share)
