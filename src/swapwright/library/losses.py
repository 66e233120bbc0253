"""What acting and not acting costs, as starting figures. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.shipped import shipped_tree


@dataclass(frozen=True, slots=True)
class Loss:
    """A cost and where it is from."""

    value: float  # in money of the build
    source: str


@cache
def losses() -> Mapping[str, Loss]:
    """All costs by name, from ``library/circuits/losses.yaml``."""
    return {
        name: Loss(float(str(tree["value"])), str(tree["source"]))
        for name, tree in shipped_tree(*FOLDER, "losses.yaml").items()
        if isinstance(tree, dict)
    }
