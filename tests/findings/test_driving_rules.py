"""Turns that air, throttle, driveline and mount rules take beyond their three cases."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build, merged

from swapwright.findings.book import RULES
from swapwright.findings.run import Finding, findings
from swapwright.model.words import Urgency

BY_ID = {rule.id: rule for rule in RULES}
ONE_OUTPUT = {"box": {"ports": {"out-r": {"there": "no", "why": "one output"}}}}


def said(rule: str, *overlays: dict[str, Any]) -> list[Finding]:
    overlay: dict[str, Any] = {}
    for each in overlays:
        overlay = merged(overlay, each)
    found = findings(base_build(overlay), [BY_ID[rule]], date(2026, 6, 1))
    return [each for each in found if each.urgency is not Urgency.ASK]


def asked(rule: str, *overlays: dict[str, Any]) -> set[str]:
    overlay: dict[str, Any] = {}
    for each in overlays:
        overlay = merged(overlay, each)
    found = findings(base_build(overlay), [BY_ID[rule]], date(2026, 6, 1))
    return {each.asks.name for each in found if each.asks is not None}


def facts(document: str, **said: str) -> dict[str, Any]:
    return {document: {"facts": said}}


def port(document: str, name: str, **said: str) -> dict[str, Any]:
    return {document: {"ports": {name: {"facts": said}}}}


def join(name: str, first: str, second: str, **said: str) -> dict[str, Any]:
    return {"build": {"joins": {name: {"ends": [first, second], "facts": said}}}}


def fate(name: str, word: str) -> dict[str, Any]:
    return {"build": {"fates": [{"port": name, "fate": word}]}}


def test_capped_servo_has_no_source() -> None:
    found = said(
        "servo-source", port("car", "servo", servo_supply="plenum"), fate("car.servo", "capped")
    )
    assert [each.urgency for each in found] == [Urgency.STOP]


def test_vacuum_pump_needs_no_plenum_stub() -> None:
    pump = port("car", "servo", servo_supply="electric pump")
    assert not said("servo-source", pump) and not asked("servo-source", pump)


def test_vacuum_is_asked_less_where_the_air_is_thin() -> None:
    idle = (
        facts("motor", idle_vacuum="50 kPa"),
        port("car", "servo", servo_supply="plenum", servo_vacuum_recovered="49 kPa"),
    )
    # ISO 2533: 84.556 kPa at 1500 m.
    assert said("servo-vac-low", *idle, facts("build", ambient_pressure="101.3 kPa abs"))
    assert not said("servo-vac-low", *idle, facts("build", ambient_pressure="84.556 kPa abs"))


def test_strong_vacuum_needs_no_barometer() -> None:
    strong = facts("motor", idle_vacuum="64 kPa")
    supply = port("car", "servo", servo_supply="plenum")
    assert asked("servo-vac-low", strong, supply) == {"servo_vacuum_recovered"}


def test_regulator_reference_that_is_capped_trips() -> None:
    assert said("vac-reg-ref", fate("motor.rref", "capped"))
    assert not said("vac-reg-ref", fate("motor.rref", "kept"))


def test_splash_is_told_whatever_the_height() -> None:
    assert said("air-water", port("motor", "duct", mouth_in_splash="yes"))


@pytest.mark.parametrize("springs, trips", [("1", True), ("2", False)])
def test_throttle_springs(springs: str, trips: bool) -> None:
    cable = join("cable", "motor.thr", "car.thr")
    spring = port("motor", "thr", return_elements=springs, throttle_closing_time="0.4 s")
    assert bool(said("thr-no-return", cable, spring)) is trips


def test_cable_makers_radius_is_worth_fixing_only() -> None:
    cable = join(
        "cable", "motor.thr", "car.thr",
        tightest_bend="120 mm", bend_total="180 deg", cable_core="1.5 mm",
    )  # fmt: skip
    assert [each.urgency for each in said("thr-bend", cable)] == [Urgency.FIX]


def test_running_angle_in_between_is_worth_fixing_only() -> None:
    shaft = join(
        "shaft", "box.out-l", "car.out-l",
        joint_kind="constant velocity joints", joint_angle_front="11 deg", joint_angle_rear="8 deg",
    )  # fmt: skip
    assert [each.urgency for each in said("dl-cv-run", shaft)] == [Urgency.FIX]
    assert not said("dl-angle-3", shaft)


def test_axle_counts_where_the_gearbox_has_one_output() -> None:
    shaft = join("shaft", "box.out-l", "car.out-l")
    torque = (
        facts("motor", rated_torque="185 Nm"),
        facts("box", ratio_1="3.32"),
        facts("car", final_drive_ratio="4.444", axle_torque_limit="2700 Nm"),
    )
    found = said("dl-shaft-rating", shaft, ONE_OUTPUT, *torque)
    assert found[0].message.text("metric").startswith("shaft: first gear brings")
    assert "axle" in found[0].message.text("metric")


def test_top_gear_is_the_highest_that_is_there() -> None:
    four_speed = facts("box", ratio_6="absent", ratio_5="absent", ratio_4="1.00")
    car = facts("car", tyre_rolling_circumference="1880 mm", final_drive_ratio="4.444")
    # 110 km/h / 1880 mm · 4.444 = 4334 rpm
    found = said("dl-cruise", ONE_OUTPUT, four_speed, car)
    assert "4334 rpm" in found[0].message.text("metric")


def test_clutch_cable_counts_pedal_and_ratio_only() -> None:
    cable = (
        join("release", "box.clu", "car.clu"),
        facts(
            "car", clutch_pad_travel="135 mm", clutch_pedal_ratio="5", clutch_master_bore="absent"
        ),
    )
    assert said("dl-rel-short", *cable, facts("box", slave_travel_least="27.5 mm"))
    assert not said("dl-rel-short", *cable, facts("box", slave_travel_least="27 mm"))


def test_speedometer_without_a_worm_is_read_on_the_road() -> None:
    head = (
        join("cable", "box.spd", "car.spd"),
        facts("box", speedometer_worm_teeth="absent"),
    )
    assert said("dl-speedo", *head, facts("car", speedometer_shown="93 km/h"))
    assert not said("dl-speedo", *head, facts("car", speedometer_shown="84 km/h"))
    assert asked("dl-speedo", *head) == {"speedometer_shown"}


def test_gearbox_left_on_its_engine_needs_no_dial_gauge() -> None:
    kept = (fate("motor.bell", "kept"), port("motor", "bell", bell_dowels="yes"))
    assert not said("dl-dowel", *kept) and not asked("dl-dowel", *kept)


def test_own_mount_point_needs_no_spreader() -> None:
    mount = join("mount", "motor.mnt-l", "car.mnt-l", own_mount_point="yes")
    thin = facts("car", rail_thickness="1.5 mm")
    assert not said("mt-rail", mount, thin) and not asked("mt-rail", mount, thin)


def test_thin_rail_without_a_plate_trips() -> None:
    mount = join(
        "mount", "motor.mnt-l", "car.mnt-l", own_mount_point="no", spreader_thickness="absent"
    )
    assert said("mt-rail", mount, facts("car", rail_thickness="1.5 mm"))


def test_open_mount_is_asked_for_before_its_stiffness() -> None:
    engine = facts("motor", cylinder_count="4", idle_speed="850 rpm", mass_dressed="148 kg")
    assert asked("mt-resonance", engine, facts("box", mass_dressed="42 kg")) == {"fate"}


def test_unmarked_mount_bolts_count_for_nothing() -> None:
    mount = join(
        "mount", "motor.mnt-l", "car.mnt-l",
        mount_bolts_tight="yes", mount_bolt_class="not marked", mount_bolts_locked="yes",
    )  # fmt: skip
    assert said("mt-secure", mount)


def test_hose_between_parts_of_the_car_may_be_rigid() -> None:
    pipe = join("pipe", "car.hsup", "car.hret", flexible_part="no")
    assert not said("clr-rigid", pipe)


def test_half_shafts_turn_with_the_wheels() -> None:
    shaft = join(
        "shaft", "box.out-l", "car.out-l",
        joint_kind="universal joints", joint_angle_front="5.7 deg", joint_angle_rear="5.7 deg",
    )  # fmt: skip
    car = facts("car", top_speed="180 km/h", tyre_rolling_circumference="1.8 m")
    # 1667 rpm behind the final drive: the lowest row of the table, 5.8 degrees.
    assert not said("dl-angle-rpm", shaft, car) and not asked("dl-angle-rpm", shaft, car)


def test_constant_velocity_shaft_has_no_slip_joint_to_measure() -> None:
    shaft = join("shaft", "box.out-l", "car.out-l", joint_kind="constant velocity joints")
    for rule in ("dl-slip", "dl-critical", "dl-hoop", "dl-phase"):
        assert not said(rule, shaft) and not asked(rule, shaft)


@pytest.mark.parametrize("name", ["tyre_rolling_circumference", "final_drive_ratio"])
def test_zero_below_a_fraction_line_is_asked_for_again(name: str) -> None:
    box = facts("box", ratio_6="absent", ratio_5="0.82")
    car = {"tyre_rolling_circumference": "1987 mm", "final_drive_ratio": "4.444"}
    zero = {"tyre_rolling_circumference": "0 mm", "final_drive_ratio": "0"}[name]
    assert name in asked("dl-cruise", ONE_OUTPUT, box, facts("car", **{**car, name: zero}))


def test_blanked_regulator_needs_no_reference() -> None:
    assert not said(
        "vac-reg-ref", fate("motor.rref", "capped"), facts("motor", regulator_near_tank="yes")
    )


def test_recovered_vacuum_is_asked_less_where_the_air_is_thin() -> None:
    recovered = port("car", "servo", servo_supply="electric pump", servo_vacuum_recovered="42 kPa")
    # ISO 2533: 84.556 kPa at 1500 m; 48 kPa there is 40.1 kPa.
    assert said("servo-vac-low", recovered, facts("build", ambient_pressure="101.3 kPa abs"))
    assert not said("servo-vac-low", recovered, facts("build", ambient_pressure="84.556 kPa abs"))


def test_crankcase_without_fresh_air_draws_none_past_the_meter() -> None:
    breather = join("breather", "motor.pcv", "car.duct")
    for source, trips in (("absent", False), ("no", True)):
        metered = facts("motor", has_air_meter="yes")
        port_says = port("motor", "pcv", air_from_behind_meter=source)
        assert bool(said("air-unmetered", breather, metered, port_says)) is trips


def test_rigid_vapour_pipe_to_the_engine_cracks() -> None:
    assert said("clr-rigid", join("purge", "motor.purge", "car.purge", flexible_part="no"))
