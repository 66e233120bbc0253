"""Plain data for --json: it fits the schema that ships, at every stage, and says what is true."""

import json
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from tests.support.builds import base_build
from tests.support.rich_build import rich_build
from tests.support.small_builds import small_build

from swapwright.assess import Assessment, assess, assess_documents
from swapwright.dossier.record import assessment_record, crossing_records, value_record
from swapwright.library.demos import demos
from swapwright.library.schemas import schema_text
from swapwright.model.documents import read_documents
from swapwright.model.words import Stage

AS_OF = date(2026, 9, 25)
SCHEMA = Draft202012Validator(json.loads(schema_text("assessment")))


def builds() -> Iterator[tuple[str, Assessment]]:
    yield "bare", assess(small_build(), AS_OF)
    for stage in Stage:
        yield f"rich, {stage}", assess(rich_build(stage), AS_OF)
    yield "rich, us", assess(rich_build(units="us"), AS_OF)
    yield "base", assess(base_build(), AS_OF)
    for name, folder in demos().items():
        files = [each for each in folder.iterdir() if each.name.endswith(".yaml")]
        documents = read_documents((f.name, f.read_bytes()) for f in files)
        for stands in (False, True):
            yield f"{name}, {stands}", assess_documents(documents, AS_OF, as_it_stands=stands)


@pytest.fixture(scope="module")
def records() -> dict[str, tuple[Assessment, dict[str, Any]]]:
    return {
        name: (each, json.loads(json.dumps(assessment_record(each)))) for name, each in builds()
    }


def test_the_schema_is_a_schema() -> None:
    Draft202012Validator.check_schema(SCHEMA.schema)


def test_every_record_fits_the_shipped_schema(
    records: dict[str, tuple[Assessment, dict[str, Any]]],
) -> None:
    for name, (_, record) in records.items():
        faults = [f"{'/'.join(map(str, e.path))}: {e.message}" for e in SCHEMA.iter_errors(record)]
        assert faults == [], name


def test_a_record_that_lacks_or_adds_something_does_not_fit(
    records: dict[str, tuple[Assessment, dict[str, Any]]],
) -> None:
    record = records["rich, first start"][1]
    for key in record:
        assert not SCHEMA.is_valid({k: v for k, v in record.items() if k != key}), key
    assert not SCHEMA.is_valid({**record, "more": 1})
    assert not SCHEMA.is_valid({**record, "status": 2})
    assert not SCHEMA.is_valid({**record, "stage": "some day"})


def test_the_record_says_what_the_assessment_says(
    records: dict[str, tuple[Assessment, dict[str, Any]]],
) -> None:
    for name, (assessment, record) in records.items():
        assert record["status"] == assessment.status, name
        assert [f["id"] for f in record["findings"]] == [f.id for f in assessment.findings]
        assert [c["id"] for c in record["crossings"]] == [c.id for c in assessment.crossings]
        assert record["as_of"] == "2026-09-25"
        assert len(record["assumptions"]) == len(assessment.assumptions)
        assert {line["id"] for line in record["red_lines"]} == {
            state.line.id for state in assessment.red_lines
        }
        for finding in record["findings"]:
            assert (finding["asks"] is None) is (finding["urgency"] != "ask"), finding["id"]
            assert (finding["sure"] is None) is (finding["urgency"] == "ask"), finding["id"]
            assert "{" not in finding["what"]


def test_partners_share_one_record() -> None:
    assessment = assess(rich_build(), AS_OF)
    by_id = {each["id"]: each for each in crossing_records(assessment)}
    assert by_id["car.hot"]["partner"] == "motor.hot" and by_id["car.hot"]["side"] == "both"
    assert "motor.hot" not in by_id
    assert by_id["car.abs"]["side"] == "car" and by_id["car.abs"]["partner"] is None
    assert by_id["motor.oilp"]["side"] == "newcomer"
    assert by_id["car.hot"]["join"] == "top" and by_id["car.hot"]["progress"] == "fitted"
    assert by_id["car.feed"]["until"] == "2026-05-12"
    assert by_id["car.hsup"]["close"] and by_id["car.tach"]["close"] is None


def test_a_proved_red_line_and_an_open_one() -> None:
    record = assessment_record(assess(rich_build(), AS_OF))
    proved = {each["id"]: each["proved"] for each in record["red_lines"]}
    assert proved["RL7"] is True and proved["RL1"] is False


def test_measures_are_given_in_si_beside_what_was_written() -> None:
    """212 °F is 373.15 K exactly (NIST Special Publication 811, appendix B)."""
    assembly = base_build({"motor": {"facts": {"thermostat_temperature": "212 °F, typical"}}})
    record = value_record(assembly.fact("motor", "thermostat_temperature"), "metric")
    assert record["si"] == pytest.approx(373.15) and record["dimension"] == "temperature"
    assert record["text"] == "212 °F, typical" and record["basis"] == "typical"
    assert record["shown"].startswith("212 °F") and "100 °C" in record["shown"]
