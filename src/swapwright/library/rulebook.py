"""Words, urgency and source of the rules, and their limits: data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.amount import Amount
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_names, shipped_tree
from swapwright.model.values import Sort, read_value
from swapwright.model.words import Gate, Signal, Urgency
from swapwright.quantity import Measure

BACKINGS = ("document", "common practice", "physics", "memory")
NEEDS = ("facts", "circuit", "geometry", "network", "loads")


@dataclass(frozen=True, slots=True)
class RuleText:
    """What the rule book says of one rule."""

    id: str
    system: str
    urgency: Urgency
    signal: Signal | None
    gate: Gate
    message: str  # template over the finding's values; {subject} is the label of what it is about
    why: str
    remedy: str
    act: str  # what one act settles: findings with the same act are told together
    source: str
    rests_on: str
    needs: str  # facts: checked now; otherwise the computation that it waits for

    @property
    def most_urgent(self) -> Urgency:
        """A limit from memory alone never makes a stop."""
        if self.urgency is Urgency.STOP and self.rests_on == "memory":
            return Urgency.ROAD
        return self.urgency


@dataclass(frozen=True, slots=True)
class LimitText:
    """One threshold of the rule book."""

    name: str
    amount: Amount
    text: str
    source: str
    rests_on: str


@cache
def rule_texts() -> Mapping[str, RuleText]:
    """All rules by id, from ``library/rules``."""
    return {name: _rule(system, name, tree) for system, name, tree in _entries("rules")}


@cache
def limit_texts() -> Mapping[str, LimitText]:
    """All limits by name, from ``library/limits``."""
    return {name: _limit(name, tree) for _, name, tree in _entries("limits")}


def read_limit(name: str, text: str) -> Amount:
    """Read a limit as a build sets it, in the dimension of the shipped one."""
    value = read_value(text, Sort(str(limit_texts()[name].amount.dimension)))
    assert isinstance(value.content, Measure)
    return Amount.of(value.content)


def _entries(folder: str) -> list[tuple[str, str, dict[str, str]]]:
    entries = []
    for file in shipped_names("swapwright.library", folder):
        for name, tree in shipped_tree("swapwright.library", folder, f"{file}.yaml").items():
            entries.append((file, name, _texts(file, name, tree)))
    names = [name for _, name, _ in entries]
    twice = (
        {name for name in names if names.count(name) > 1} if len(set(names)) < len(names) else ()
    )
    if twice:
        raise RuntimeError(f"{folder}: {sorted(twice)} stand twice")
    return entries


def _texts(file: str, name: str, tree: Tree) -> dict[str, str]:
    if not isinstance(tree, dict):
        raise RuntimeError(f"{file}: {name} is no mapping")
    return {key: "" if held is None else str(held) for key, held in tree.items()}


def _rule(system: str, name: str, tree: Mapping[str, str]) -> RuleText:
    if tree["rests_on"] not in BACKINGS or tree["needs"] not in NEEDS:
        raise RuntimeError(
            f"{system}.yaml: {name}: rests_on {tree['rests_on']}, needs {tree['needs']}"
        )
    return RuleText(
        name,
        system,
        Urgency(tree["urgency"]),
        Signal(tree["signal"]) if tree.get("signal") else None,
        Gate(tree["gate"]),
        tree["message"],
        tree["why"],
        tree["remedy"],
        tree["act"],
        tree["source"],
        tree["rests_on"],
        tree["needs"],
    )


def _limit(name: str, tree: Mapping[str, str]) -> LimitText:
    value = read_value(tree["value"], Sort(tree["is"]))
    if not isinstance(value.content, Measure) or tree["rests_on"] not in BACKINGS:
        raise RuntimeError(f"limit {name}: {tree}")
    return LimitText(
        name, Amount.of(value.content), tree["value"], tree["source"], tree["rests_on"]
    )
