"""JSON Schemas of the documents, made from the records, for editors that complete and check."""

from collections.abc import Iterator
from typing import Any

from swapwright.model.documents import MODELS
from swapwright.model.record import LONG_FORM_SCHEMA, Record
from swapwright.model.words import Kind


def _records(base: type[Record]) -> Iterator[type[Record]]:
    for each in base.__subclasses__():
        yield each
        yield from _records(each)


DIALECT = "https://json-schema.org/draft/2020-12/schema"
SCALAR = ["string", "number", "boolean", "null"]  # YAML numbers and booleans are read as texts

SHORT_FORMS = {each.__name__ for each in _records(Record) if "_short_form" in vars(each)}


def schema_of(kind: Kind) -> dict[str, Any]:
    """The JSON Schema of one kind of document (draft 2020-12)."""
    made = _readable(MODELS[kind].model_json_schema(by_alias=True))
    assert isinstance(made, dict)
    parts = made.setdefault("$defs", {})
    for name in SHORT_FORMS & set(parts):
        parts[name] = {"anyOf": [{"type": SCALAR}, parts[name]]}
    parts["LongForm"] = LONG_FORM_SCHEMA
    return {"$schema": DIALECT, **made, "title": f"Swapwright {kind}, format 1"}


def _readable(node: Any) -> Any:
    """Let scalars be written without quotes, and name what stands in many places once."""
    if node == LONG_FORM_SCHEMA:
        return {"$ref": "#/$defs/LongForm"}
    if isinstance(node, list):
        return [_readable(each) for each in node]
    if not isinstance(node, dict):
        return node
    made = {key: _readable(held) for key, held in node.items() if key != "default"}
    if made.get("type") == "string" and "format" not in made and "pattern" not in made:
        made["type"] = SCALAR
    if made.get("type") in ("array", "object"):
        made["type"] = [made["type"], "null"]  # a name with nothing after it
    if {"yes", "no"} <= set(made.get("enum", ())):
        made["enum"] = [*made["enum"], True, False]  # how some editors read yes and no
        made.pop("type", None)
    if made.get("const") == "1":
        made["const"] = 1
        made.pop("type", None)
    return made
