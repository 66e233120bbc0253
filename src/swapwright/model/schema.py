"""JSON Schemas of the documents, made from the records, for editors that complete and check."""

from typing import Any

from swapwright.model.documents import MODELS
from swapwright.model.words import Kind

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def schema_of(kind: Kind) -> dict[str, Any]:
    """The JSON Schema of one kind of document (draft 2020-12)."""
    schema = MODELS[kind].model_json_schema(by_alias=True)
    schema = _plain_scalars(schema)
    return {"$schema": DIALECT, **schema, "title": f"Swapwright {kind}, format 1"}


def _plain_scalars(node: Any) -> Any:
    """YAML numbers and booleans count as the texts that they are read as."""
    if isinstance(node, list):
        return [_plain_scalars(each) for each in node]
    if not isinstance(node, dict):
        return node
    made = {key: _plain_scalars(held) for key, held in node.items() if key != "default"}
    if made.get("type") == "string" and "format" not in made and "pattern" not in made:
        made["type"] = ["string", "number", "boolean", "null"]
    if made.get("const") == "1":
        made["const"] = 1
        made.pop("type", None)
    return made
