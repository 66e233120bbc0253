"""The shipped demos as assemblies, with overlays: single things moved by hand."""

from collections.abc import Mapping
from functools import cache
from typing import Any

import yaml
from tests.support.builds import documents_of, merged

from swapwright.library.demos import demos
from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.words import Stage


@cache
def _texts(name: str) -> tuple[str, ...]:
    folder = demos()[name]
    return tuple(
        entry.read_text("utf-8")
        for entry in sorted(folder.iterdir(), key=lambda each: each.name)
        if entry.name.endswith(".yaml")
    )


def demo_trees(name: str) -> dict[str, Any]:
    """The documents of a demo as plain trees, by document id."""
    trees = [yaml.load(text, yaml.CBaseLoader) for text in _texts(name)]
    return {tree["id"]: tree for tree in trees}


def demo(
    name: str, overlay: Mapping[str, Any] | None = None, stage: Stage = Stage.FIRST_START
) -> Assembly:
    """A demo with an overlay by document id."""
    return assemble(documents_of(merged(demo_trees(name), dict(overlay or {}))), stage)
