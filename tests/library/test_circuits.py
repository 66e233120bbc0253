"""Passages, typical values and cases that ship."""

import pytest

from swapwright.library.cases import shipped_cases
from swapwright.library.circuit_data import Passages, passages
from swapwright.library.typical import typical_values
from swapwright.model.facts import fact_book
from swapwright.model.families import families
from swapwright.quantity import Basis

COOLANT = passages("coolant")


def all_forms() -> list[Passages]:
    plain = [unit for unit in COOLANT.units.values() if not unit.forms]
    formed = [unit.formed(form) for unit in COOLANT.units.values() for form in unit.forms]
    return plain + formed


@pytest.mark.parametrize("unit", all_forms(), ids=lambda unit: unit.name)
def test_everything_opens_into_a_chamber_that_is_there(unit: Passages) -> None:
    for family, chamber in unit.opens.items():
        assert chamber in unit.chambers
        assert family == "*" or family.split(" ")[0] in families()
    for element in unit.elements:
        assert {element.start, element.end} <= set(unit.chambers)
        assert not element.senses or element.senses in unit.chambers
        assert not element.absent_when or element.absent_when in fact_book()


def test_every_coolant_family_of_an_engine_opens_somewhere() -> None:
    engine = COOLANT.units["engine"].formed("engine outlet")
    for family in families().values():
        if family.system == "coolant" and family.newcomer_half == "engine":
            assert engine.chamber_of(family.id, "out") and engine.chamber_of(family.id, "in")


def test_the_usual_form_is_one_of_them() -> None:
    for unit in COOLANT.units.values():
        assert not unit.forms or unit.usual_form in unit.forms
        assert not unit.forms or set(unit.forms) <= set(fact_book()[unit.form_by].sort.choices)


@pytest.mark.parametrize("typical", typical_values().values(), ids=lambda each: each.name)
def test_typical_values_can_be_replaced_by_a_fact(typical) -> None:  # type: ignore[no-untyped-def]
    assert typical.enters_as in fact_book()
    assert typical.measure.basis is Basis.TYPICAL
    assert 0 < typical.measure.uncertainty < abs(typical.measure.nominal)
    assert not typical.per_fact or typical.per_fact in typical_values()
    assert not typical.above_fact or typical.above_fact in typical_values()


@pytest.mark.parametrize("name", shipped_cases())
def test_cases_say_all_that_a_case_is(name: str) -> None:
    case = shipped_cases()[name]
    assert case.label and case.air.known and case.altitude.known and case.fan and case.heater
    assert case.speed_share.known or case.idle.known
    assert case.power_share.known or case.grade.known
    assert case.road_speed.known or case.at_top_speed.known
    assert case.fan == "off" or case.fan_voltage.known
