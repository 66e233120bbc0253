"""Short words for figures of a circuit that are often tried otherwise. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.facts import fact_book
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.values import Sort, read_value
from swapwright.quantity import Measure


@dataclass(frozen=True, slots=True)
class Reach:
    """Between what trying a figure means something, both ends included."""

    least: float  # [SI]
    most: float
    text: str  # "10 mm to 150 mm"

    def holds(self, value: float) -> bool:
        """True within; the last bit of a sum does not count."""
        slack = 1e-9 * max(abs(self.least), abs(self.most))
        return self.least - slack <= value <= self.most + slack


@dataclass(frozen=True, slots=True)
class Sweepable:
    """A short word, the fact that it stands for, and whose."""

    word: str
    fact: str
    whose: str  # build, engine, car, or a kind of part
    example: str
    reach: Reach


KEYS = {"fact", "whose", "example", "least", "most"}


@cache
def sweepables() -> Mapping[str, Sweepable]:
    """All short words, from ``library/circuits/sweepables.yaml``."""
    found = {}
    for word, tree in shipped_tree(*FOLDER, "sweepables.yaml").items():
        if not isinstance(tree, dict) or set(tree) - {"also"} != KEYS:
            raise RuntimeError(f"sweepable {word}: {tree}")
        fact, whose, example = (str(tree[key]) for key in ("fact", "whose", "example"))
        if fact not in fact_book():
            raise RuntimeError(f"sweepable {word}: no fact {fact}")
        sort = fact_book()[fact].sort
        found[word] = Sweepable(word, fact, whose, example, _reach(word, tree, sort))
        if "also" in tree:
            found[str(tree["also"])] = replace(found[word], word=str(tree["also"]))
    return found


@cache
def reach_of_facts() -> Mapping[str, Reach]:
    """Between what trying a fact means something, for the facts that have a short word."""
    return {each.fact: each.reach for each in sweepables().values()}


@cache
def reach_of_fields() -> Mapping[str, Reach]:
    """The same for the fields of a case, from ``library/circuits/case_ranges.yaml``."""
    found = {}
    for name, tree in shipped_tree(*FOLDER, "case_ranges.yaml").items():
        if not isinstance(tree, dict) or set(tree) != {"is", "least", "most"}:
            raise RuntimeError(f"range of {name}: {tree}")
        found[name] = _reach(name, tree, Sort(str(tree["is"])))
    return found


def _reach(name: str, tree: Mapping[str, Tree], sort: Sort) -> Reach:
    ends = [read_value(str(tree[key]), sort).content for key in ("least", "most")]
    least, most = (end.nominal if isinstance(end, Measure) else None for end in ends)
    if least is None or most is None or least >= most:
        raise RuntimeError(f"range of {name}: {tree}")
    return Reach(least, most, f"{tree['least']} to {tree['most']}")
