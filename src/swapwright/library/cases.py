"""Operating cases that ship."""

from collections.abc import Mapping
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.build import Case
from swapwright.model.shipped import shipped_tree


@cache
def shipped_cases() -> Mapping[str, Case]:
    """All cases by id, from ``library/circuits/cases.yaml``."""
    return {
        name: Case.model_validate(tree)
        for name, tree in shipped_tree(*FOLDER, "cases.yaml").items()
    }
