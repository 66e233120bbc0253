"""Laws behind driveline and mount rules against published tables and worked pages."""

from math import isclose, pi, radians, sqrt

import pytest

from swapwright.findings.driveline import (
    indicated_ratio,
    most_shown,
    release_travel,
    shaft_torque,
    turning,
)
from swapwright.findings.mounts import BOLT_STRENGTH, bounce_frequency, firing_frequency
from swapwright.findings.shafts import TABLE, critical_speed, largest_joint_angle
from swapwright.library.rulebook import limit_texts

RPM = 2 * pi / 60
INCH = 0.0254
KMH = 1 / 3.6

# UN Regulation No 39, clause 5.3, as printed in a news article with numbers: km/h.
MOST_SHOWN = [(50, 59), (70, 81), (90, 103), (110, 125), (130, 147)]


@pytest.mark.parametrize("true, shown", MOST_SHOWN)
def test_speedometer_law(true: float, shown: float) -> None:
    share = limit_texts()["speedometer_share"].amount.nominal
    offset = limit_texts()["speedometer_offset"].amount.nominal
    assert most_shown(true * KMH, share, offset) == pytest.approx(shown * KMH, rel=1e-9)


def test_critical_speed_agrees_with_a_worked_page() -> None:
    # Driveshaft critical-speed walkthrough: 45 in, 3.5 × 0.083 in steel, 11 390 rpm. It takes
    # E = 30e6 psi, ours 210 GPa: 0.8 % in speed.
    speed = critical_speed(45 * INCH, 3.5 * INCH, 0.083 * INCH)
    assert speed / RPM == pytest.approx(11390, rel=0.012)


def test_critical_speed_falls_with_the_square_of_length() -> None:
    ratio = critical_speed(1.0, 0.0635, 0.002) / critical_speed(2.0, 0.0635, 0.002)
    assert ratio == pytest.approx(4)


# Shaft maker's page "Driveline operating angle" and, for 3000, a driveline-angle calculator.
LARGEST_ANGLE = [(5000, 3.2), (4500, 3.7), (4000, 4.2), (3500, 5.0), (3000, 5.8)]


def shipped_table() -> tuple[tuple[float, float], ...]:
    limits = limit_texts()
    return tuple(
        (
            limits[f"joint_table_{i}_speed"].amount.nominal,
            limits[f"joint_table_{i}_angle"].amount.nominal,
        )
        for i in TABLE
    )


@pytest.mark.parametrize("rpm, degrees", LARGEST_ANGLE)
def test_largest_joint_angle_at_the_rows(rpm: float, degrees: float) -> None:
    angle = largest_joint_angle(rpm * RPM, shipped_table())
    assert angle == pytest.approx(radians(degrees), rel=1e-9)


@pytest.mark.parametrize("rpm", [3200, 3800, 4200, 4700, 5600, 6500])
def test_largest_joint_angle_between_and_above_the_rows(rpm: float) -> None:
    # The law behind the table: angular acceleration about 1000 rad/s² throughout; its rows lie
    # between 856 and 1024.
    acceleration = (rpm * RPM * largest_joint_angle(rpm * RPM, shipped_table())) ** 2
    assert 850 < acceleration < 1060


def test_speed_of_the_engine() -> None:
    # "Rolling radius of loaded driving tyre": radius = 168 ratio mph / rpm; ratio 10, 15 mph,
    # 1680 rpm give 15.0 in. The factor 168 is rounded from 168.07.
    speed = turning(15 * 1609.344 / 3600, 2 * pi * 15.0 * INCH, 10)
    assert speed / RPM == pytest.approx(1680, rel=1e-3)


def test_larger_tyres_make_the_speedometer_read_low() -> None:
    # Tyre size calculators: 205/55 R16 is 632 mm across, 225/65 R17 724.3 mm; the true speed is
    # 14.62 % higher at one indication.
    before = indicated_ratio(pi * 0.6319, 0.637, 4.1, 0.3)
    after = indicated_ratio(pi * 0.7243, 0.637, 4.1, 0.3)
    assert before / after == pytest.approx(1.1462, rel=1e-4)


def test_release_travel() -> None:
    # Clutch hydraulics notes: a 6:1 pedal gives a 3/4 in master at least 1 in of stroke; 6 in at
    # the pad do so, and a slave of the same bore moves as far.
    assert release_travel(6 * INCH, 6, 0.75 * INCH, 0.75 * INCH) == pytest.approx(INCH)
    # Volume in is volume out, whatever the bores (physics).
    moved = release_travel(6 * INCH, 6, 0.75 * INCH, 0.9 * INCH)
    assert moved * 0.9**2 == pytest.approx(INCH * 0.75**2)


def test_torque_behind_the_gearbox() -> None:
    # Elementary: 300 N·m times 3.5 lengthways, and times 4.1 shared by two shafts crosswise.
    assert shaft_torque(300, 3.5, 1) == pytest.approx(1050)
    assert shaft_torque(300, 3.5 * 4.1, 2) == pytest.approx(2152.5)


def test_bounce_by_static_deflection() -> None:
    # Vibration-isolation page: fn = 15.76 / √(deflection in mm); 25 mm give 3.15 Hz.
    mass, deflection = 220.0, 0.025
    frequency = bounce_frequency(mass, mass * 9.80665 / deflection)
    assert frequency == pytest.approx(15.76 / sqrt(25), rel=1e-3)
    assert frequency == pytest.approx(3.15, abs=0.01)


def test_firing_frequency_is_second_order_of_a_four() -> None:
    # Engine order note: a four-stroke four fires at order 2, so 25 Hz at 750 rpm.
    assert firing_frequency(750 * RPM, 4) == pytest.approx(25)
    assert isclose(firing_frequency(750 * RPM, 6), 37.5)


# "Tensile strength" tables after ISO 898-1: ultimate load of class 8.8, kN, and stress area, mm².
ULTIMATE = [(29.2, 36.6), (46.4, 58.0), (67.4, 84.3)]


@pytest.mark.parametrize("load, area", ULTIMATE)
def test_strength_of_class_8_8(load: float, area: float) -> None:
    assert load * 1e3 / (area * 1e-6) == pytest.approx(BOLT_STRENGTH["8.8"], rel=0.005)


@pytest.mark.parametrize("grade, ksi", [("grade 5", 120), ("grade 8", 150), ("grade 2", 74)])
def test_strength_of_inch_grades(grade: str, ksi: float) -> None:
    # SAE J429, sizes up to 3/4 in or 1 in; from memory.
    assert BOLT_STRENGTH[grade] == pytest.approx(ksi * 6.894757e6, rel=2e-3)


def test_class_code_gives_strength() -> None:
    # Engineering note on bolt classes (ISO 898-1): first figure times 100 is the strength in MPa.
    classes = {name: s for name, s in BOLT_STRENGTH.items() if not name.startswith("grade")}
    assert {name: int(name.split(".")[0]) * 100e6 for name in classes} == classes
