"""Builds for tests, made from YAML text with overlays."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import yaml

from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.documents import Documents, read_documents
from swapwright.model.words import Stage

BASE = Path(__file__).parent.parent / "findings" / "base"


def base_trees() -> dict[str, Any]:
    """The base build's documents as plain trees, by document id."""
    trees = [yaml.load(path.read_text("utf-8"), yaml.BaseLoader) for path in BASE.glob("*.yaml")]
    return {tree["id"]: tree for tree in trees}


def merged(below: Any, above: Any) -> Any:
    """``above`` laid over ``below``: mappings merge, all else replaces."""
    if isinstance(below, dict) and isinstance(above, dict):
        keys = [*below, *(key for key in above if key not in below)]
        return {
            key: merged(below.get(key), above[key]) if key in above else below[key] for key in keys
        }
    return above


def documents_of(trees: Mapping[str, Any]) -> Documents:
    """Write trees as YAML text and read them as the program does."""
    return read_documents(
        (f"{name}.yaml", yaml.safe_dump(tree, allow_unicode=True, sort_keys=False).encode())
        for name, tree in trees.items()
    )


def base_build(
    overlay: Mapping[str, Any] | None = None, stage: Stage = Stage.FIRST_START
) -> Assembly:
    """The base build with an overlay by document id (``build`` stands for the build document)."""
    over = {("base" if name == "build" else name): tree for name, tree in (overlay or {}).items()}
    return assemble(documents_of(merged(base_trees(), over)), stage)
