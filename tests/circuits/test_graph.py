"""Circuits from joins: chambers, elements, tees, what is assumed and what is left over."""

from dataclasses import replace
from typing import Any

import pytest
from tests.support.builds import base_build
from tests.support.demo_builds import demo

from swapwright.circuits.graph import Circuit, circuit
from swapwright.model.words import Service, Stage


def coolant(which: str, overlay: dict[str, Any] | None = None) -> Circuit:
    return circuit(demo(which, overlay), Service.COOLANT)


def between(found: Circuit) -> set[tuple[str, str, str]]:
    return {(each.kind, each.start, each.end) for each in found.elements.values()}


@pytest.fixture(scope="module")
def van() -> Circuit:
    return coolant("van")


def test_the_engine_has_its_own_way_round(van: Circuit) -> None:
    inside = {("pump", "suction", "delivery"), ("jacket", "delivery", "head"),
              ("thermostat", "head", "outlet"), ("bypass", "head", "suction"),
              ("throttle body", "head", "suction")}  # fmt: skip
    named = {(k, f"tessera-four:{a}", f"tessera-four:{b}") for k, a, b in inside}
    assert named <= between(van)


def test_a_tee_splits_the_join_it_sits_in(van: Circuit) -> None:
    assert ("run", "haywain.radiator:lower", "make-up-tee:middle") in between(van)
    assert ("run", "make-up-tee:middle", "tessera-four:suction") in between(van)
    assert ("run", "haywain.header:tank", "make-up-tee:middle") in between(van)
    halves = [each for each in van.elements.values() if each.join == "H2"]
    assert [each.part_of_way for each in halves] == [(0.0, 0.5), (0.5, 1.0)]
    assert [each.ports for each in halves] == [("haywain.R02", ""), ("", "tessera-four.P02")]
    assert all(each.pieces == ("hose-36-spring",) for each in halves)


def test_nothing_of_the_van_is_assumed(van: Circuit) -> None:
    assert not [each.id for each in van.elements.values() if each.assumed]
    assert all(each.id == key for key, each in van.elements.items())


def test_all_hangs_together(van: Circuit) -> None:
    assert van.reached_from("tessera-four:suction") == set(van.chambers)


def test_a_capped_bypass_is_gone() -> None:
    fates = [{"port": f"tessera-four.{each}", "fate": "capped"} for each in ("P08", "P08-i")]
    found = coolant("van", {"van": {"fates": fates}})
    assert not found.of_kind("bypass")
    assert {"tessera-four.P08", "tessera-four.P08-i"} <= set(found.closed)


def test_a_bypass_joined_by_hand_is_a_hose() -> None:
    join = {"ends": ["tessera-four.P08", "tessera-four.P08-i"], "through": ["heater-hose-16"]}
    found = coolant("van", {"van": {"joins": {"own-bypass": join}, "fates": []}})
    assert not found.of_kind("bypass")
    assert ("run", "tessera-four:head", "tessera-four:suction") in between(found)


def test_a_thermostat_at_the_inlet_sits_before_the_pump() -> None:
    found = coolant("van", {"tessera-four": {"facts": {"thermostat_place": "engine inlet"}}})
    thermostat = found.of_kind("thermostat")[0]
    assert (thermostat.start, thermostat.end) == ("tessera-four:inlet", "tessera-four:suction")
    assert thermostat.senses == "tessera-four:suction"
    assert ("run", "tessera-four:head", "haywain.radiator:upper") in between(found)


def test_a_port_may_say_that_it_opens_elsewhere() -> None:
    ports = {"P04": {"facts": {"opens_into": "head"}}}
    found = coolant("van", {"tessera-four": {"ports": ports}})
    assert ("run", "haywain.heater:return", "tessera-four:head") in between(found)


def test_a_kept_cooler_of_the_car_stays_out_of_the_engine() -> None:
    found = coolant("two-seater")
    assert "sirrow.oxw-o" in found.closed
    assert not found.of_kind("oil exchanger")


def test_open_ends_go_to_their_natural_partners() -> None:
    """The base build joins no coolant: each end goes to the end of its own family, and is told."""
    found = circuit(base_build(), Service.COOLANT)
    assumed = {each.ports for each in found.elements.values() if each.assumed}
    assert assumed
    for first, second in assumed:
        assert first.split(".")[-1] == second.split(".")[-1] or not second
    stands = circuit(demo("van"), Service.COOLANT)
    assert stands.of_kind("run")


def test_as_it_stands_nothing_is_joined() -> None:
    assembly = replace(demo("van"), as_it_stands=True)
    assert not circuit(assembly, Service.COOLANT).of_kind("run")


def test_a_later_stage_has_its_own_joins() -> None:
    join = {"joins": {"H3": {"from": "finished"}}}
    early = circuit(demo("van", {"van": join}), Service.COOLANT)
    late = circuit(demo("van", {"van": join}, Stage.FINISHED), Service.COOLANT)
    assert "H3" not in early.elements and "H3" in late.elements
