"""Writes the JSON Schemas that ship: of each kind of document, of answers, of assess --json."""

import json
from pathlib import Path
from typing import Any

from swapwright.library.survey_data import questions
from swapwright.model.schema import DIALECT, SCALAR, schema_of
from swapwright.model.words import (
    FateWord,
    Gate,
    Kind,
    Pile,
    Progress,
    Service,
    Signal,
    Stage,
    Urgency,
)

FOLDER = Path(__file__).parent.parent / "src" / "swapwright" / "library" / "schemas"
TEXT = {"type": "string"}
MAYBE = {"type": ["string", "null"]}
LIST = {"type": "array", "items": TEXT}


def record(**properties: Any) -> dict[str, Any]:
    """A closed object in which every property is there."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(properties),
        "properties": properties,
    }


def words(enum: Any) -> dict[str, Any]:
    """One of a closed list of words."""
    return {"enum": [str(each) for each in enum]}


def answers_schema() -> dict[str, Any]:
    """The file that begin --answers reads."""
    properties = {
        question.name: {
            "description": f"{question.ask} {question.hint}",
            **(
                {
                    "enum": [
                        *question.answers,
                        "unknown",
                        *((True, False) if "yes" in question.answers else ()),
                    ]
                }
                if question.answers
                else {"type": SCALAR}
            ),
        }
        for question in questions().values()
    }
    return {
        "$schema": DIALECT,
        "title": "Swapwright answers",
        "type": "object",
        "additionalProperties": False,
        "properties": properties,
    }


def assessment_schema() -> dict[str, Any]:
    """What assess --json prints; docs/json.md explains it."""
    value = {
        "type": "object",
        "required": ["text", "basis"],
        "properties": {
            "text": TEXT,
            "basis": TEXT,
            "shown": TEXT,
            "si": {"type": "number"},
            "uncertainty": {"type": "number"},
            "dimension": TEXT,
        },
    }
    use = record(subject=TEXT, fact=TEXT, value=value)
    finding = record(
        id=TEXT,
        rule=TEXT,
        urgency=words(Urgency),
        would_be=words(Urgency),
        signal={"enum": [*map(str, Signal), None]},
        subjects=LIST,
        stage=words(Stage),
        gate=words(Gate),
        near={"type": "boolean"},
        what=TEXT,
        why=TEXT,
        values={"type": "object"},
        remedy=TEXT,
        source=TEXT,
        rests_on={"type": "array", "items": use},
        sure={"type": ["number", "null"], "minimum": 0, "maximum": 1},
        asks={"anyOf": [{"type": "null"}, record(subject=TEXT, fact=TEXT, how=TEXT, tool=MAYBE)]},
        accepted={"anyOf": [{"type": "null"}, record(reason=TEXT, on=TEXT)]},
        lapsed={"type": "boolean"},
    )
    crossing = record(
        id=TEXT,
        label=TEXT,
        side={"enum": ["car", "newcomer", "both", "shelf", "outgoing"]},
        service=words(Service),
        system=TEXT,
        pile=words(Pile),
        pile_why=TEXT,
        fate=words(FateWord),
        stage=words(Stage),
        partner=MAYBE,
        join=MAYBE,
        mates=MAYBE,
        gap=MAYBE,
        close=MAYBE,
        gate=words(Gate),
        progress={"enum": [*map(str, Progress), None]},
        until=MAYBE,
        red_lines=LIST,
    )
    decision = record(
        id=TEXT,
        question=TEXT,
        options={"type": "object"},
        chosen=MAYBE,
        gate=words(Gate),
        about=LIST,
    )
    body = record(
        build=TEXT,
        stage=words(Stage),
        as_it_stands={"type": "boolean"},
        as_of=TEXT,
        next_gate=words(Gate),
        status={"enum": [0, 1]},
        program=TEXT,
        documents={"type": "object", "additionalProperties": TEXT},
        findings={"type": "array", "items": finding},
        crossings={"type": "array", "items": crossing},
        decisions={"type": "array", "items": decision},
        assumptions={
            "type": "array",
            "items": record(subject=TEXT, fact=TEXT, value=value, rules=LIST),
        },
        red_lines={
            "type": "array",
            "items": record(
                id=TEXT,
                title=TEXT,
                proved={"type": "boolean"},
                lapsed={"type": "boolean"},
                ports=LIST,
            ),
        },
        loose_ends={
            "type": "array",
            "items": record(id=TEXT, kind=TEXT, subject=TEXT, what=TEXT, close=TEXT),
        },
    )
    return {"$schema": DIALECT, "title": "Swapwright assessment", **body}


def schemas() -> dict[str, dict[str, Any]]:
    """All schemas by name."""
    made = {str(kind): schema_of(kind) for kind in Kind}
    return made | {"answers": answers_schema(), "assessment": assessment_schema()}


def as_text(schema: dict[str, Any]) -> str:
    """A schema as it ships."""
    return json.dumps(schema, indent=1, ensure_ascii=True) + "\n"


if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for name, schema in schemas().items():
        (FOLDER / f"{name}.json").write_text(as_text(schema), encoding="utf-8", newline="\n")
