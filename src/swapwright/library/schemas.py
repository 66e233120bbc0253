"""The JSON Schemas that ship: one a kind of document, one for ``assess --json``."""

from importlib.resources import files

SCHEMAS = ("vehicle", "engine", "gearbox", "part", "catalogue", "build", "answers", "assessment")


def schema_text(name: str) -> str:
    """One shipped schema as text."""
    return files("swapwright.library").joinpath("schemas", f"{name}.json").read_text("utf-8")
