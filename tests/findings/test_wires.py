"""What the three cases of an electrical rule do not show: several places, several faults."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings import electrical, grounds
from swapwright.findings.run import Finding, findings
from swapwright.model.words import Urgency

RULES = {each.id: each for each in (*electrical.RULES, *grounds.RULES)}


def said(rule: str, build: dict[str, Any]) -> dict[str, Finding]:
    """What one rule says of the base build with an overlay, by its first subject."""
    told = findings(base_build(build), [RULES[rule]], date(2026, 6, 1))
    return {each.subjects[0]: each for each in told}


@pytest.mark.parametrize(
    "rule, subject, sheet, facts",
    [
        ("el-battery-hold", "car", "car", {"positive_post_covered": "no"}),
        ("el-battery-hold", "car", "car", {"battery_place": "cabin", "battery_vented": "no"}),
        ("el-crank-drop", "motor", "motor", {"crank_drop_ground": "0.6 V"}),
        ("el-ecu-place", "motor", "motor", {"computer_splashed": "yes", "computer_sealed": "no"}),
    ],
)
def test_a_known_fault_is_told_though_others_are_unknown(
    rule: str, subject: str, sheet: str, facts: dict[str, str]
) -> None:
    finding = said(rule, {sheet: {"facts": facts}})[subject]
    assert finding.urgency is not Urgency.ASK
    assert {use.name for use in finding.rests_on} == set(facts)


def test_bare_post_stops_though_clamp_is_unknown() -> None:
    overlay = {"car": {"facts": {"positive_post_covered": "no"}}}
    assert said("el-battery-hold", overlay)["car"].urgency is Urgency.STOP


def test_cable_below_alternator_is_told_by_either_fuse_or_wire() -> None:
    charging = {"ends": ["motor.alt", "car.alt"], "facts": {"fuse_rating": "60 A"}}
    overlay = {
        "motor": {"parts": {"alternator": {"facts": {"alternator_current": "90 A"}}}},
        "build": {"joins": {"charging": charging}},
    }
    text = said("el-alt-wire", overlay)["charging"].message.text("metric")
    assert "90 A" in text and "60 A" in text and "unknown" in text


def _with_strap(area: str) -> dict[str, Finding]:
    """A second ground port with a strap to the battery, beside one nobody decided about."""
    cable = {"ends": ["motor.st", "car.st"], "facts": {"conductor_area": "35 mm2"}}
    strap = {"ends": ["motor.gnd-2", "car.gnd"], "facts": {"conductor_area": area}}
    overlay = {
        "motor": {"ports": {"gnd-2": {"family": "gnd"}}},
        "build": {"joins": {"starter-cable": cable, "strap": strap}},
    }
    return said("el-no-engine-ground", overlay)


def test_one_sufficient_strap_is_enough() -> None:
    assert _with_strap("25 mm2") == {}


def test_a_thin_strap_beside_an_undecided_port_asks() -> None:
    question = _with_strap("16 mm2")["motor"].asks
    assert question is not None and (question.subject, question.name) == ("motor.gnd", "fate")


def test_a_strap_to_the_body_is_none_to_the_battery() -> None:
    strap = {"ends": ["motor.gnd-2", "car.gbod"], "facts": {"conductor_area": "50 mm2"}}
    fates = [{"port": "motor.gnd", "fate": "removed"}]
    overlay = {
        "motor": {"ports": {"gnd-2": {"family": "gnd"}}},
        "car": {"facts": {"starter_cable_area": "35 mm2"}},
        "build": {"joins": {"strap": strap}, "fates": fates},
    }
    finding = said("el-no-engine-ground", overlay)["motor"]
    assert finding.urgency is Urgency.STOP
    assert "no strap" in finding.message.text("metric")


def test_a_parked_charge_lamp_gives_no_current() -> None:
    overlay = {
        "motor": {"facts": {"exciter_current_needed": "0.25 A"}},
        "build": {"fates": [{"port": "motor.exc", "fate": "parked"}]},
    }
    assert "no current" in said("el-exciter", overlay)["motor.exc"].message.text("metric")


@pytest.mark.parametrize("facts", [{"fuse_rating": "absent"}, {"fuse_distance": "absent"}])
def test_a_feed_without_fuse_stops(facts: dict[str, str]) -> None:
    feed = {"ends": ["motor.fan", "car.fan"], "facts": facts}
    finding = said("el-unfused", {"build": {"joins": {"fan-feed": feed}}})["fan-feed"]
    assert finding.urgency is Urgency.STOP
    assert "no fuse" in finding.message.text("metric")


def test_the_rest_of_the_donor_car_is_left_alone() -> None:
    donor = {
        "format": "1", "kind": "vehicle", "id": "donor", "label": "an invented saloon",
        "ports": {"diag": {"family": "diag"}, "gbod": {"family": "gbod"}},
    }  # fmt: skip
    build = {"donor_car": "donor", "fates": [{"port": "donor.diag", "fate": "removed"}]}
    overlay = {"donor": donor, "build": build}
    assert "donor.diag" not in said("el-obd", overlay)
    assert "donor.gbod" not in said("el-ground-paint", overlay)


@pytest.mark.parametrize("shield, trips", [("yes", False), ("unknown", True), ("no", True)])
def test_a_metal_shield_does_for_a_sleeve(shield: str, trips: bool) -> None:
    facts = {"gap_to_exhaust": "60 mm", "heat_sleeve": "no", "heat_shield": shield}
    loom = {"build": {"joins": {"loom": {"ends": ["motor.main", "car.main"], "facts": facts}}}}
    assert bool(said("el-wire-heat", loom)) is trips


POWER_RULES = ("el-unfused", "el-fuse-gt-wire", "el-fuse-lt-load", "el-vdrop-load", "el-inrush")


@pytest.mark.parametrize("rule", POWER_RULES)
@pytest.mark.parametrize("control, asks", [("yes", False), ("no", True), ("unknown", True)])
def test_wire_to_a_relay_coil_is_asked_for_no_power(rule: str, control: str, asks: bool) -> None:
    wire = {"ends": ["motor.fan", "car.fan"], "facts": {"control_wire": control}}
    found = said(rule, {"build": {"joins": {"it": wire}}})
    assert ("it" in found) is asks


@pytest.mark.parametrize(
    "rule, families",
    [
        ("el-unfused", "bpos alt ecu pump fan glow coil bayf"),
        ("el-crank-dead", "ecu coil"),
        ("el-ballast", "ecu coil"),
        ("el-splice", "main ecu key vss coil diag"),
        ("el-moving-clear", "st alt bpos main pump fan bayf glow lam"),
        ("el-engine-slack", "st alt main lam gnd"),
        ("el-ground-paint", "gnd gbod gecu"),
    ],
)
def test_rule_asks_of_each_kind_of_wire(rule: str, families: str) -> None:
    for family in families.split():
        ports = {"x": {"family": family}}
        wire = {"ends": ["motor.x", "car.x"]}
        overlay = {"motor": {"ports": ports}, "car": {"ports": ports}}
        found = said(rule, {**overlay, "build": {"joins": {"it": wire}}})
        assert found["it"].urgency is Urgency.ASK, family


@pytest.mark.parametrize("fate, trips", [("kept", True), ("relocated", True), ("capped", False)])
def test_cable_that_stays_without_a_join_counts(fate: str, trips: bool) -> None:
    car = {"ports": {"bpos": {"facts": {"fuse_rating": "absent"}}}}
    build = {"fates": [{"port": "car.bpos", "fate": fate}]}
    assert ("car.bpos" in said("el-unfused", {"car": car, "build": build})) is trips


@pytest.mark.parametrize("fate", ["capped", "parked", "removed"])
def test_diagnosis_that_is_not_fitted_is_told(fate: str) -> None:
    build = {"fates": [{"port": "motor.diag", "fate": fate}]}
    assert fate in said("el-obd", {"build": build})["motor.diag"].message.text("metric")
