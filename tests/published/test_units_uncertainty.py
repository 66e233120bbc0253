"""Uncertainty against the worked examples of JCGM 100:2008 (the GUM)."""

import pytest

from swapwright.quantity import combine, read_measure

# 4.4.3, table 1: twenty temperatures, °C (from memory, checked by the printed mean
# and deviation).
TEMPERATURES = (
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
)  # fmt: skip


def test_repeated_readings() -> None:
    # Printed: mean 100.145 °C, s = 1.489 °C, s/√20 = 0.333 °C.
    combined = combine([read_measure(f"{t} °C") for t in TEMPERATURES])
    assert combined.measure.nominal - 273.15 == pytest.approx(100.145, abs=5e-4)
    assert combined.scatter == pytest.approx(1.489, abs=5e-4)
    assert combined.measure.uncertainty == pytest.approx(0.333, abs=5e-4)


def test_bounds_of_a_temperature() -> None:
    # 4.4.5: anywhere between 96 °C and 104 °C: 100 °C, u = 4 / √3 = 2.3 °C.
    measure = read_measure("96..104 °C")
    assert measure.nominal - 273.15 == pytest.approx(100.0)
    assert measure.uncertainty == pytest.approx(2.3, abs=0.05)


def test_bounds_of_a_handbook_value() -> None:
    # 4.3.7, example 1: copper expands between 16.40 and 16.92 in 10⁻⁶/°C:
    # 16.66 with u = 0.15.
    measure = read_measure("16.40..16.92 ppm")
    assert measure.nominal * 1e6 == pytest.approx(16.66)
    assert measure.uncertainty * 1e6 == pytest.approx(0.15, abs=0.005)


def test_specification_of_a_voltmeter() -> None:
    # 4.3.7, example 2: 14 ppm of the reading 0.928571 V and 2 ppm of the 1 V range
    # make a = 15 µV, so u = 8.7 µV.
    bound = 14e-6 * 0.928571 + 2e-6 * 1
    measure = read_measure(f"0.928571 ± {bound:.6f} V")
    assert measure.uncertainty * 1e6 == pytest.approx(8.7, abs=0.05)
