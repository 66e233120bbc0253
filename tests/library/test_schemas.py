"""The JSON Schemas that ship: made from the records, true of what ships, not true of slips."""

import importlib.util
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator
from tests.support.rich_build import rich_trees
from yaml import CBaseLoader

from swapwright.library.catalogue import starter_catalogue_text
from swapwright.library.demos import demos
from swapwright.library.schemas import SCHEMAS, schema_text
from swapwright.library.starters import starter_codes, starter_text
from swapwright.library.survey_data import questions
from swapwright.survey.answers import all_unknown
from swapwright.survey.begin import new_build

ROOT = Path(__file__).parent.parent.parent


@cache
def checker(name: str) -> Draft202012Validator:
    return Draft202012Validator(json.loads(schema_text(name)))


def read_1_2(text: str) -> Any:
    """As an editor with YAML 1.2 reads it (yaml.org, version 1.2.2): ``no`` is a text there."""
    return core_schema(yaml.load(text, CBaseLoader))


def core_schema(node: Any) -> Any:
    """Scalars by the core schema of YAML 1.2, section 10.3.2."""
    if isinstance(node, dict):
        return {key: core_schema(held) for key, held in node.items()}
    if isinstance(node, list):
        return [core_schema(held) for held in node]
    if node in ("", "~", "null"):
        return None
    if node in ("true", "false"):
        return node == "true"
    if re.fullmatch(r"[-+]?[0-9]+", node):
        return int(node)
    return float(node) if re.fullmatch(r"[-+]?(\.[0-9]+|[0-9]+\.[0-9]*)", node) else node


def faults(name: str, tree: Any) -> list[str]:
    return [
        f"{'/'.join(map(str, e.path))}: {e.message[:200]}" for e in checker(name).iter_errors(tree)
    ]


def shipped() -> Iterator[Any]:
    for code in starter_codes():
        yield pytest.param(starter_text(code), id=code)
    yield pytest.param(starter_catalogue_text(), id="catalogue", marks=pytest.mark.slow)
    for name, folder in demos().items():
        for each in sorted(folder.iterdir(), key=lambda e: e.name):
            if each.name.endswith(".yaml"):
                yield pytest.param(each.read_text("utf-8"), id=f"{name}/{each.name}")


def test_shipped_schemas_are_those_that_the_tool_makes() -> None:
    spec = importlib.util.spec_from_file_location("make_schemas", ROOT / "tools/make_schemas.py")
    assert spec is not None and spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    made = tool.schemas()
    assert set(made) == set(SCHEMAS)
    for name, schema in made.items():
        assert tool.as_text(schema) == schema_text(name), f"{name}: run tools/make_schemas.py"


@pytest.mark.parametrize("name", SCHEMAS)
def test_each_is_a_schema_of_the_dialect_it_names(name: str) -> None:
    schema = json.loads(schema_text(name))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


@pytest.mark.parametrize("text", list(shipped()))
def test_every_shipped_document_fits_its_schema(text: str) -> None:
    tree = read_1_2(text)
    assert faults(tree["kind"], tree) == []


def test_a_build_with_something_of_each_kind_fits() -> None:
    build = {
        "format": 1,
        "kind": "build",
        "id": "swap",
        "recipient": "car",
        **rich_trees()["build"],
    }
    build["gates"] = {"before it is pulled": "2026-05-01"}
    build["limits"] = {"fuel_gap_least": {"value": "50 mm", "reason": "more room"}}
    build["readings"] = [{"of": "car.kerb_mass", "value": "900 kg", "on": "2026-05-02"}]
    build["red_lines"] = {"RL1": {"proved": "2026-05-02"}}
    build["accepted"] = [{"finding": "a/b", "reason": "x", "on": "2026-05-02"}]
    assert faults("build", build) == []


CAR = {"format": 1, "kind": "vehicle", "id": "car"}
BUILD = {"format": 1, "kind": "build", "id": "b", "recipient": "car"}
WRONG: list[tuple[str, dict[str, Any]]] = [
    ("vehicle", {**CAR, "colour": "blue"}),
    ("vehicle", {**CAR, "format": 2}),
    ("vehicle", {**CAR, "kind": "engine"}),
    ("vehicle", {"format": 1, "kind": "vehicle"}),
    ("vehicle", {**CAR, "facts": {"no_such_fact": "1"}}),
    ("vehicle", {**CAR, "facts": {"kerb_mass": ["900 kg"]}}),
    ("vehicle", {**CAR, "facts": {"kerb_mass": {"value": "900 kg", "tool": "scales"}}}),
    ("vehicle", {**CAR, "ports": {"hot": {"familly": "hot"}}}),
    ("vehicle", {**CAR, "ports": {"hot": {"there": "perhaps"}}}),
    ("vehicle", {**CAR, "ports": {"hot": {"service": "water"}}}),
    ("vehicle", {**CAR, "ports": [{"family": "hot"}]}),
    ("build", {"format": 1, "kind": "build", "id": "b"}),
    ("build", {**BUILD, "units": "imperial"}),
    ("build", {**BUILD, "bought": "half"}),
    ("build", {**BUILD, "joins": {"a": {"through": ["x"]}}}),
    ("build", {**BUILD, "joins": {"a": {"ends": ["x.y"]}}}),
    ("build", {**BUILD, "joins": {"a": {"ends": ["x.y", "z.w"], "progress": "done"}}}),
    ("build", {**BUILD, "fates": [{"port": "x.y", "fate": "joined"}]}),
    ("build", {**BUILD, "gates": {"before lunch": "2026-05-01"}}),
    ("catalogue", {"format": 1, "kind": "catalogue", "id": "c", "items": {"a": {"kinds": "hose"}}}),
    ("answers", {"layuot": "middle"}),
    ("answers", {"layout": "sideways"}),
    ("answers", {"engine": ["v6"]}),
]


@pytest.mark.parametrize("name, tree", WRONG, ids=[f"{n}-{i}" for i, (n, _) in enumerate(WRONG)])
def test_a_wrong_document_does_not_fit(name: str, tree: dict[str, Any]) -> None:
    assert faults(name, tree)


def test_the_right_form_of_the_wrong_ones_fits() -> None:
    assert (
        faults("vehicle", {**CAR, "facts": {"kerb_mass": {"value": "900 kg", "by": "tape"}}}) == []
    )
    assert faults("vehicle", {**CAR, "ports": {"hot": {"family": "hot", "there": "no"}}}) == []
    assert faults("build", {**BUILD, "joins": {"a": {"ends": ["x.y", "z.w"]}}}) == []


def test_answers_fit_their_schema_in_words_and_unquoted() -> None:
    for question in questions().values():
        for answer in (*question.answers, "unknown"):
            assert faults("answers", {question.name: answer}) == []
    assert faults("answers", {"cruise": True, "car year": 1974, "country": "Norway"}) == []
    assert faults("answers", {}) == []


def test_a_new_build_is_true_to_the_schemas() -> None:
    """An editor underlines nothing on the first evening."""
    for text in new_build("new", all_unknown()).texts.values():
        tree = read_1_2(text)
        assert faults(tree["kind"], tree) == []
