"""The JSON Schemas that ship: one a kind of document, one for ``assess --json``."""

from swapwright.model.shipped import shipped_text

SCHEMAS = ("vehicle", "engine", "gearbox", "part", "catalogue", "build", "answers", "assessment")


def schema_text(name: str) -> str:
    """One shipped schema as text."""
    return shipped_text("swapwright.library", "schemas", f"{name}.json")
