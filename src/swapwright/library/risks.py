"""Piles and red lines: which crossings can hurt, and what must be proved. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.values import Sort, read_value
from swapwright.model.words import Gate, Service, Signal
from swapwright.quantity import Measure


@dataclass(frozen=True, slots=True)
class Threshold:
    """A rating from which a new join can hurt."""

    fact: str
    at_least: float  # SI
    why: str
    unless: str  # a fact of the join that takes the danger away; empty: nothing does


@dataclass(frozen=True, slots=True)
class PileTable:
    """What puts a crossing into the pile "can hurt you"."""

    services: Mapping[Service, str]
    services_with_car_half: Mapping[Service, str]
    families: Mapping[str, str]
    thresholds: tuple[Threshold, ...]


@dataclass(frozen=True, slots=True)
class RedLine:
    """Something that must be proved before the engine starts or the car moves."""

    id: str
    title: str
    families: tuple[str, ...]
    always: bool  # even when none of its ports is on the sheets
    why: str
    cleared_by: str
    proof: str
    gate: Gate
    signal: Signal | None


def _texts(tree: Tree) -> dict[str, str]:
    assert isinstance(tree, dict)
    return {name: str(text) for name, text in tree.items()}


@cache
def pile_table() -> PileTable:
    """The shipped table of piles."""
    tree = shipped_tree("swapwright.library", "piles.yaml")
    joined = tree["joined_anew"]
    assert isinstance(joined, dict)
    return PileTable(
        {Service(name): why for name, why in _texts(tree["services"]).items()},
        {Service(name): why for name, why in _texts(tree["services_with_car_half"]).items()},
        _texts(tree["families"]),
        tuple(_threshold(fact, _texts(row)) for fact, row in joined.items()),
    )


def _threshold(fact: str, row: Mapping[str, str]) -> Threshold:
    content = read_value(row["at_least"], Sort(row["is"])).content
    assert isinstance(content, Measure)
    return Threshold(fact, content.nominal, row["why"], row.get("unless", ""))


@cache
def red_lines() -> Mapping[str, RedLine]:
    """The shipped red lines by id."""
    return {
        name: _red_line(name, tree)
        for name, tree in shipped_tree("swapwright.library", "red-lines.yaml").items()
    }


def _red_line(name: str, tree: Tree) -> RedLine:
    assert isinstance(tree, dict)
    members = tree["families"]
    assert isinstance(members, list)
    return RedLine(
        name,
        str(tree["title"]),
        tuple(str(each) for each in members),
        tree.get("always") == "yes",
        str(tree["why"]),
        str(tree["cleared_by"]),
        str(tree["proof"]),
        Gate(str(tree["gate"])),
        Signal(str(tree["signal"])) if tree.get("signal") else None,
    )
