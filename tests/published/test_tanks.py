"""Closed vessels against handbooks and exact results."""

import pytest

from swapwright.physics.tanks import ClosedVessel, settled

PSI, GALLON = 6894.757, 3.785411784e-3
ZERO, ATMOSPHERE = 273.15, 101325.0


# ASHRAE Handbook Systems and Equipment, worked example (from memory, formula on a public page,
# read): 3000 US gal from 40 to 220 °F, 0.01602 to 0.01677 ft³/lb, steel 6.5e-6 1/°F, 24.7 psia as
# filled and 39.7 psia hot; 578 gal of tank that was at 14.7 psia before filling, or 344 gal with
# a diaphragm. The tank stays as cool as its surroundings.
@pytest.mark.parametrize(
    "tank, pressure_when_closed", [(578, 14.7), (344, 24.7)], ids=["air cushion", "diaphragm"]
)
def test_expansion_tank_reaches_the_pressure_it_was_sized_for(
    tank: float, pressure_when_closed: float
) -> None:
    gas = tank * GALLON * pressure_when_closed / 24.7
    vessel = ClosedVessel(3000 * GALLON, gas, 300.0, 24.7 * PSI, 0.0)
    steel = 3 * 6.5e-6 * 180 * 3000 * GALLON
    hot = settled(vessel, 0.01677 / 0.01602 - 1, 300.0, 0.0, wall_growth=steel)
    assert hot.pressure / PSI == pytest.approx(39.7, rel=1e-3)  # tank rounded to a gallon
    assert hot.liquid + hot.gas == pytest.approx(3000 * GALLON + gas + steel, rel=1e-12)


# 8 L of 50 vol % ethylene glycol, growth 4.93 % from 20 to 100 °C, air shut in at 1.01325 bar:
# ideal gas worked by hand; gauge pressure in bar with warm air and with air that stays at 20 °C.
@pytest.mark.parametrize(
    "litres, warm, cool", [(0.8, 1.53, 0.98), (1.0, 1.12, 0.66), (1.5, 0.74, 0.36)]
)
def test_sealed_tank_agrees_with_hand_computation(litres: float, warm: float, cool: float) -> None:
    vessel = ClosedVessel(8e-3, litres * 1e-3, 20 + ZERO, ATMOSPHERE, 0.0)
    for celsius, bar in ((100, warm), (20, cool)):
        hot = settled(vessel, 0.0493, celsius + ZERO, 0.0)
        assert (hot.pressure - ATMOSPHERE) / 1e5 == pytest.approx(bar, abs=0.006)


def test_vapour_adds_to_the_air_of_a_sealed_tank() -> None:
    """Dalton: 0.753 of the 101.4 kPa of water at 100 °C comes on top of 254.4 kPa of dry air."""
    vessel = ClosedVessel(8e-3, 0.8e-3, 20 + ZERO, ATMOSPHERE, 0.0)
    hot = settled(vessel, 0.0493, 100 + ZERO, 0.753 * 101.4e3)
    assert hot.pressure / 1e3 == pytest.approx(254.4 + 76.4, rel=1e-3)
