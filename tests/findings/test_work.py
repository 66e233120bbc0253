"""What jobs inherit from the table and from the build, and in which order they come."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings import law, records, work
from swapwright.findings.run import Finding, findings
from swapwright.model.words import Side, Signal, Urgency

AS_OF = date(2026, 6, 1)


def said(overlay: dict[str, Any], *rules: str) -> list[Finding]:
    chosen = [rule for rule in (*work.RULES, *records.RULES, *law.RULES) if rule.id in rules]
    return list(findings(base_build(overlay), chosen, AS_OF))


def with_jobs(**jobs: Any) -> dict[str, Any]:
    return {"build": {"jobs": jobs}}


def test_a_job_of_the_table_carries_its_risks() -> None:
    found = said(
        with_jobs(J041={"state": "planned"}), "wk-jack", "wk-two", "wk-hoist", "wk-hot-fuel"
    )
    assert {each.rule for each in found} == {"wk-jack", "wk-two", "wk-hoist"}
    assert all(each.urgency is Urgency.ASK for each in found)
    assert {each.asks.subject for each in found if each.asks} == {"base"}  # asked once for all


@pytest.mark.parametrize("state", ["done", "not needed"])
def test_a_job_that_is_over_asks_nothing(state: str) -> None:
    assert said(with_jobs(J041={"state": state}), "wk-jack", "wk-two", "wk-hoist") == []


def test_what_the_build_says_of_a_job_overrides_the_table() -> None:
    none = {"state": "planned", "facts": {"under_raised_car": "no"}}
    assert said(with_jobs(J041=none), "wk-jack") == []
    also = {"state": "planned", "facts": {"under_raised_car": "yes", "car_held_by": "jack alone"}}
    (found,) = said(with_jobs(J001=also), "wk-jack")
    assert found.urgency is Urgency.STOP


def test_a_job_of_the_builder_s_own_asks_what_it_is() -> None:
    (found,) = said(with_jobs(seats={"label": "seats out"}), "wk-jack")
    assert found.asks is not None
    assert (found.asks.subject, found.asks.name) == ("seats", "under_raised_car")


def test_an_unknown_fact_of_a_job_is_not_answered_by_the_build() -> None:
    job = {"state": "planned", "facts": {"people": "unknown"}}
    (found,) = said({"build": {"jobs": {"J041": job}, "facts": {"people": "2"}}}, "wk-two")
    assert found.asks is not None and found.asks.subject == "J041"


def test_order_looks_through_jobs_that_are_not_needed() -> None:
    jobs = {"J133": {"state": "begun"}, "J087": {"state": "not needed"}}
    jobs |= {"J131": {"state": "not needed"}, "J075": {"state": "planned"}}
    (found,) = said(with_jobs(**jobs), "wk-order")
    assert "J075, measure shaft angles" in found.message.text("metric")


def test_order_asks_for_a_job_that_nobody_spoke_of() -> None:
    (found,) = said(with_jobs(J002={"state": "done"}), "wk-order")
    assert found.asks is not None and (found.asks.subject, found.asks.name) == ("J001", "progress")


def test_jobs_that_wait_for_each_other_end_in_a_finding_of_each() -> None:
    jobs = {"a": {"state": "begun", "after": ["b"]}, "b": {"state": "begun", "after": ["a"]}}
    assert [each.id for each in said(with_jobs(**jobs), "wk-order")] == ["wk-order/a", "wk-order/b"]


def test_gas_that_was_let_out_can_still_hurt() -> None:
    (found,) = said({"build": {"facts": {"refrigerant_fate": "let out"}}}, "wk-gas")
    assert found.signal is Signal.CAUTION


def test_open_ends_are_no_matter_before_a_cut() -> None:
    assert said({}, "wk-unresolved") == []
    planned = {"loom": {"does": "cut", "what": ["motor.main"], "planned": "2026-06-20"}}
    assert said({"build": {"steps": planned}}, "wk-unresolved") == []
    planned["loom"]["planned"] = "2026-05-20"
    (found,) = said({"build": {"steps": planned}}, "wk-unresolved")
    assert found.asks is not None and found.asks.name == "progress"
    gates = {"before anything is cut": "2026-05-01"}
    (found,) = said({"build": {"gates": gates}}, "wk-unresolved")
    assert found.urgency is Urgency.ROAD


def test_a_car_without_airbags_is_not_asked_about_them() -> None:
    assert said({"car": {"ports": {"abs": {"family": "abs", "there": "no"}}}}, "wk-airbag") == []


def test_an_unknown_inspection_counts_as_strict() -> None:
    older = {"motor": {"year": "1972"}, "car": {"year": "1974"}}
    (found,) = said(older, "em-year")
    assert found.urgency is Urgency.ROAD
    (found,) = said({**older, "build": {"facts": {"inspection": "loosely"}}}, "em-year")
    assert found.urgency is Urgency.NOTE


def test_approval_asks_first_who_inspects() -> None:
    (found,) = said({}, "doc-cert")
    assert found.asks is not None and found.asks.name == "inspection"


def test_a_dropped_socket_alters_the_diagnosis() -> None:
    fates = [{"port": "motor.diag", "fate": "capped"}, {"port": "motor.mil", "fate": "kept"}]
    (found,) = said({"build": {"fates": fates}}, "em-obd")
    assert found.subjects == ("motor", "motor.diag")


def test_only_open_ends_and_early_questions_count_once_something_is_cut() -> None:
    """What the outgoing engine leaves open, and what waits for a later gate, is no matter here."""

    def question(gate: str, **record: str) -> dict[str, Any]:
        return {"question": "which?", "options": {"a": {}, "b": {}}, "gate": gate, **record}

    decisions = {
        "early": question("before anything is cut"),
        "chosen": question("before anything is cut", chosen="a"),
        "later": question("before inspection"),
    }
    build = {"gates": {"before anything is cut": "2026-05-01"}, "decisions": decisions}
    assembly = base_build({"build": build})
    open_ends = [
        port
        for port in assembly.ports.values()
        if port.side in (Side.CAR, Side.NEWCOMER) and port.there != "no"
    ]
    fates = [{"port": port.id, "fate": "kept"} for port in open_ends[2:]]
    (found,) = said({"build": {**build, "fates": fates}}, "wk-unresolved")
    assert found.message.values["ends"] == 2 and found.message.values["decisions"] == 1
    fates = [{"port": port.id, "fate": "kept"} for port in open_ends]
    settled = {**build, "decisions": {"later": decisions["later"]}, "fates": fates}
    assert said({"build": settled}, "wk-unresolved") == []


def bare_ends(overlay: dict[str, Any]) -> tuple[object, object]:
    """Ends without a photograph, and all of them, as wk-photo tells."""
    untagged = {"build": {"facts": {"tagged_before_parting": "no"}}}
    (found,) = said({**untagged, **overlay}, "wk-photo")
    return found.message.values["count"], found.message.values["of"]


def test_photographed_ends_are_not_counted() -> None:
    sides = (Side.CAR, Side.NEWCOMER)
    ends = sum(port.there == "yes" and port.side in sides for port in base_build().ports.values())
    shot = {"ports": {"hot": {"photos": ["06.jpg"]}}}
    assert bare_ends({}) == (ends, ends)
    assert bare_ends({"car": shot}) == (ends - 1, ends)
    assert bare_ends({"old": shot}) == (ends, ends)  # what leaves does not count


def test_job_is_called_by_the_builder_s_own_words() -> None:
    jobs = {"J041": {"label": "out with it", "state": "planned", "facts": {"people": "1"}}}
    (found,) = said(with_jobs(**jobs), "wk-two")
    assert "out with it" in found.message.text("metric")


@pytest.mark.parametrize("port", ["purge", "pcv", "egr", "sair", "cat", "lam"])
def test_each_emission_device_wants_a_place(port: str) -> None:
    for fate, trips in (("parked", True), ("capped", True), ("kept", False), ("relocated", False)):
        build = {"fates": [{"port": f"motor.{port}", "fate": fate}]}
        told = [
            each.urgency
            for each in said({"build": build}, "em-missing")
            if each.subjects[0] == f"motor.{port}"
        ]
        assert told == ([Urgency.ROAD] if trips else []), fate


def test_joined_emission_device_has_a_place() -> None:
    build = {"joins": {"it": {"ends": ["motor.purge", "car.purge"]}}}
    assert not [
        each for each in said({"build": build}, "em-missing") if "motor.purge" in each.subjects
    ]


@pytest.mark.parametrize(
    "inspection, urgency", [("loosely", Urgency.NOTE), ("strictly", Urgency.ROAD)]
)
def test_only_a_loose_inspection_eases_papers(inspection: str, urgency: Urgency) -> None:
    overlay = {
        "build": {"facts": {"inspection": inspection}},
        "motor": {"facts": {"emission_parts_mixed": "yes"}},
    }
    (found,) = said(overlay, "em-mix")
    assert found.urgency is urgency
