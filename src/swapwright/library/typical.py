"""Typical values of what a circuit needs where nobody said it. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.facts import fact_book
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.values import Sort, read_value
from swapwright.quantity import Basis, Measure


@dataclass(frozen=True, slots=True)
class Typical:
    """What is typical of one fact, and on what that rests."""

    name: str
    of: str  # kind of thing, in words
    measure: Measure
    source: str
    rests_on: str
    enters_as: str  # the fact that a builder may say instead
    per_fact: str = ""  # the value is for each of this much of another fact
    per_amount: float = 1.0  # [SI]
    above_fact: str = ""  # the value is counted from another fact


@cache
def typical_values() -> Mapping[str, Typical]:
    """All typical values by name, from ``library/circuits/typical.yaml``."""
    return {
        name: _typical(name, tree) for name, tree in shipped_tree(*FOLDER, "typical.yaml").items()
    }


KEYS = frozenset(("of", "value", "is", "source", "rests_on", "per", "above", "enters_as"))


def _typical(name: str, tree: Tree) -> Typical:
    if not isinstance(tree, dict) or not KEYS.issuperset(tree):
        raise RuntimeError(f"typical {name}: {tree}")
    enters_as = str(tree.get("enters_as") or name)
    sort = Sort(str(tree["is"])) if "is" in tree else fact_book()[enters_as].sort
    measure = read_value(f"{tree['value']}, typical", sort).content
    per = tree.get("per")
    fact, each = (str(per["fact"]), str(per["each"])) if isinstance(per, dict) else ("", "")
    assert isinstance(measure, Measure) and measure.basis is Basis.TYPICAL, name
    return Typical(
        name, str(tree["of"]), measure, str(tree["source"]), str(tree["rests_on"]), enters_as,
        fact, _each(fact, each), str(tree.get("above") or ""),
    )  # fmt: skip


def _each(fact: str, each: str) -> float:
    if not fact:
        return 1.0
    content = read_value(each, fact_book()[fact].sort).content
    assert isinstance(content, Measure)
    return content.nominal
