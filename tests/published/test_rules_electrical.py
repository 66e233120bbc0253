"""Electrical rules and limits against data sheets, regulations and handbooks."""

from datetime import date
from math import exp, inf
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings.electrical import RULES, exciter_current
from swapwright.findings.grounds import RULES as GROUND_RULES
from swapwright.findings.kit import Rule
from swapwright.findings.run import Finding, findings
from swapwright.library.rulebook import limit_texts
from swapwright.model.words import Urgency

INCH = 0.0254  # m


def said(rule: str, build: dict[str, Any]) -> list[Finding]:
    """What one rule says of the base build with an overlay, questions left out."""
    rules: list[Rule] = [each for each in (*RULES, *GROUND_RULES) if each.id == rule]
    told = findings(base_build(build), rules, date(2026, 6, 1))
    return [each for each in told if each.urgency is not Urgency.ASK]


# A relay maker's data sheet, plug-in relay for 12 V: coil 85 ohm, 1.7 W;
# 141 mA at 12 V, 169 mA at 14.4 V. The same two laws give a lamp and its resistor.
@pytest.mark.parametrize(
    "volts, watts, ohms, milliamperes", [(12, 0, 85, 141), (14.4, 0, 85, 169), (12, 1.7, inf, 142)]
)
def test_exciter_current_agrees_with_relay_data_sheet(
    volts: float, watts: float, ohms: float, milliamperes: float
) -> None:
    assert exciter_current(volts, watts, ohms) == pytest.approx(milliamperes / 1000, abs=5e-4)


def test_lamp_and_resistor_add_up() -> None:
    lamp, resistor = exciter_current(12, 2.2, inf), exciter_current(12, 0, 47)
    assert exciter_current(12, 2.2, 47) == pytest.approx(lamp + resistor)


# 33 CFR 183.455(b): 7 in; US FAA AC 43.13-1B ch. 11: 24 in between supports,
# 1/2 in slack, 3/8 in off the edge of a hole, 2 in off fuel lines. The limits are
# those inches in round millimetres.
@pytest.mark.parametrize(
    "limit, inches",
    [
        ("fuse_distance_greatest", 7),
        ("wire_support_pitch", 24),
        ("wire_sag", 1 / 2),
        ("clearance_in_hole", 3 / 8),
        ("wire_gap_to_fuel_line", 2),
    ],
)
def test_limits_agree_with_regulations(limit: str, inches: float) -> None:
    metres = limit_texts()[limit].amount.nominal
    assert metres == pytest.approx(inches * INCH, rel=0.05)


# Manual of a starter tester: while cranking 0.3 V on the ground side, 0.8 V on both;
# articles and a service manual: 0.5 V on the positive side.
@pytest.mark.parametrize(
    "positive, ground, trips", [("0.5 V", "0.3 V", False), ("0.6 V", "0.1 V", True),
                                ("0.2 V", "0.4 V", True), ("0.209 V", "0.207 V", False)]
)  # fmt: skip
def test_cranking_drops_agree_with_tester_manual(positive: str, ground: str, trips: bool) -> None:
    facts = {"crank_drop_positive": positive, "crank_drop_ground": ground}
    assert bool(said("el-crank-drop", {"motor": {"facts": facts}})) is trips


# Marine wire charts: 3 % for feeders, 0.36 V of 12 V; handbook arithmetic for copper at
# 20 °C (ISO 6722-1 resistance, from memory): 20 A over 2.5 m of 2.5 mm² each way loses
# 0.760 V, over 6 mm² 0.314 V.
@pytest.mark.parametrize("drop, trips", [("0.760 V", True), ("0.314 V", False)])
def test_main_feed_agrees_with_marine_charts(drop: str, trips: bool) -> None:
    overlay = {
        "car": {
            "facts": {"system_voltage": "12 V"},
            "ports": {"bpos": {"facts": {"feed_voltage_drop": drop}}},
        },
        "build": {"fates": [{"port": "car.bpos", "fate": "kept"}]},
    }
    assert bool(said("el-vdrop-main", overlay)) is trips


# 33 CFR 183.425 Table 5, 14 AWG of 105 °C: 35 A; in engine spaces times 0.85 (29.75 A),
# among three wires times 0.70 more (20.83 A). Standard fuses 20, 25, 30 A.
@pytest.mark.parametrize(
    "allowed, fuse, trips",
    [("29.75 A", "30 A", True), ("29.75 A", "25 A", False),
     ("20.83 A", "25 A", True), ("20.83 A", "20 A", False)],
)  # fmt: skip
def test_fuse_agrees_with_boat_table(allowed: str, fuse: str, trips: bool) -> None:
    facts = {"fuse_rating": fuse, "wire_allowable_current": allowed}
    joins = {"feed": {"ends": ["motor.pump", "car.pump"], "facts": facts}}
    assert bool(said("el-fuse-gt-wire", {"build": {"joins": joins}})) is trips


# Trade article on fans: a 225 W fan runs at 16.67 A and starts with up to 80 A; a relay
# maker's data sheet: the 35 A class makes 120 A.
@pytest.mark.parametrize(
    "peak, make, trips",
    [("80 A", "120 A", False), ("80 A", "60 A", True),
     ("unknown", "60 A", False), ("unknown", "40 A", True)],
)  # fmt: skip
def test_relay_agrees_with_fan_and_data_sheet(peak: str, make: str, trips: bool) -> None:
    fan = {"facts": {"current": "16.67 A", "peak_current": peak}}
    joins = {"feed": {"ends": ["motor.fan", "car.fan"], "facts": {"relay_make_current": make}}}
    overlay = {"car": {"ports": {"fan": fan}}, "build": {"joins": joins}}
    assert bool(said("el-inrush", overlay)) is trips


# Four-stroke ignition pulses a turn, one coil: half the number of cylinders, so that a
# six-cylinder signal makes a four-cylinder gauge read 1.5 times the speed.
@pytest.mark.parametrize("cylinders, trips", [(4, False), (6, True), (8, True)])
def test_pulses_agree_with_number_of_cylinders(cylinders: int, trips: bool) -> None:
    overlay = {
        "motor": {"ports": {"tach": {"facts": {"pulses_per_turn": str(cylinders / 2)}}}},
        "car": {"ports": {"tach": {"facts": {"pulses_per_turn": "2"}}}},
        "build": {"joins": {"revs": {"ends": ["motor.tach", "car.tach"]}}},
    }
    assert bool(said("el-level", overlay)) is trips


def test_share_at_idle_lies_within_a_published_curve() -> None:
    # Marine engine technical manual: alternator of about 50 A, hot, 13.5 V: 16, 41, 48 A at
    # 1300, 2500, 5000 of its own turns a minute; through those points an exponential. At
    # 800 engine turns with pulleys of 1.78 (that manual's) and 2.5 (common practice).
    def output(speed: float) -> float:
        return 48.333 * (1 - exp(-(speed - 974.84) / 808.81)) / 50

    assert output(2500) * 50 == pytest.approx(41, abs=0.1)  # the curve meets its points
    share = limit_texts()["alternator_share_at_idle"].amount.nominal
    assert output(800 * 1.78) < share < output(800 * 2.5)
