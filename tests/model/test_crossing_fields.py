"""Every field that the trade records of a crossing has one home in the documents."""

import pytest

from swapwright.model.build import Fate, Join, Proof
from swapwright.model.ends import end_forms
from swapwright.model.facts import fact_book
from swapwright.model.sheets import Place, Port
from swapwright.model.words import Subject

PORT_FIELDS = {
    "name": "label", "original mate": "was", "condition": "condition", "photographs": "photos",
    "who": "told_by", "when": "told_on", "place": "place", "moves with": "moves_with",
    "service": "service", "flow": "flow", "end form": "end", "system": "family",
}  # fmt: skip
PORT_FACTS = (
    "insertion_length", "free_length_before_bend", "tool_access", "relative_travel", "port_role",
    "pressure_limit", "suction_limit", "temperature_limit", "peak_temperature", "current",
    "peak_current", "signal_kind", "must_stay_open", "must_be_highest", "must_be_lowest",
    "upstream_of", "downstream_of", "minimum_bore", "minimum_bend_radius", "keep_from_heat",
    "service_access", "legally_required",
)  # fmt: skip
DIMENSIONS = ("barrel", "bore", "bead", "thread", "bolt_circle", "area", "width", "teeth")


@pytest.mark.parametrize("field", PORT_FIELDS.values())
def test_port_holds(field: str) -> None:
    assert field in Port.model_fields


@pytest.mark.parametrize("name", PORT_FACTS)
def test_port_may_say(name: str) -> None:
    assert Subject.PORT in fact_book()[name].of
    assert fact_book()[name].ask


def test_place_has_point_and_direction() -> None:
    assert {"at", "axis", "words", "photo"} <= set(Place.model_fields)


@pytest.mark.parametrize("dimension", DIMENSIONS)
def test_some_end_form_has(dimension: str) -> None:
    assert any(dimension in form.dims for form in end_forms().values())


def test_decision_and_proof_stand_on_join_and_fate() -> None:
    assert {"through", "small", "price", "hours", "reason", "evidence"} <= set(Join.model_fields)
    assert {"fate", "to", "until", "reason", "evidence"} <= set(Fate.model_fields)
    assert {"test", "expected", "measured", "on", "by"} <= set(Proof.model_fields)
