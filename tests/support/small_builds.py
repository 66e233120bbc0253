"""A build of a few ports for tests that pair and weigh single crossings."""

from collections.abc import Mapping
from typing import Any

from tests.support.builds import documents_of, merged

from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.words import Stage


def small_build(
    car: Mapping[str, Any] | None = None,
    motor: Mapping[str, Any] | None = None,
    old: Mapping[str, Any] | None = None,
    build: Mapping[str, Any] | None = None,
    others: Mapping[str, Any] | None = None,
    *,
    stage: Stage = Stage.FIRST_START,
    as_it_stands: bool = False,
) -> Assembly:
    """Ports of the car, the newcomer and the old engine; more of the build; more documents."""
    trees: dict[str, Any] = {
        "car": {"format": 1, "kind": "vehicle", "id": "car", "ports": dict(car or {})},
        "motor": {"format": 1, "kind": "engine", "id": "motor", "ports": dict(motor or {})},
        "old": {"format": 1, "kind": "engine", "id": "old", "ports": dict(old or {})},
        "swap": merged(
            {
                "format": 1,
                "kind": "build",
                "id": "swap",
                "recipient": "car",
                "engine": "motor",
                "outgoing": ["old"],
            },
            dict(build or {}),
        ),
    }
    return assemble(documents_of(trees | dict(others or {})), stage, as_it_stands)
