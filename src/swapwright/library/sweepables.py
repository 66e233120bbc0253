"""Short words for figures of a circuit that are often tried otherwise. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.facts import fact_book
from swapwright.model.shipped import shipped_tree


@dataclass(frozen=True, slots=True)
class Sweepable:
    """A short word, the fact that it stands for, and whose."""

    word: str
    fact: str
    whose: str  # build, engine, car, or a kind of part
    example: str


@cache
def sweepables() -> Mapping[str, Sweepable]:
    """All short words, from ``library/circuits/sweepables.yaml``."""
    found = {}
    for word, tree in shipped_tree(*FOLDER, "sweepables.yaml").items():
        if not isinstance(tree, dict) or set(tree) != {"fact", "whose", "example"}:
            raise RuntimeError(f"sweepable {word}: {tree}")
        each = Sweepable(word, *(str(tree[key]) for key in ("fact", "whose", "example")))
        if each.fact not in fact_book():
            raise RuntimeError(f"sweepable {word}: no fact {each.fact}")
        found[word] = each
    return found
