"""The list of facts: what may be said about which subject, and how to ask for it."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_names, shipped_tree
from swapwright.model.values import PLAIN, Sort, least_of
from swapwright.model.words import Subject
from swapwright.quantity import Dimension

FOLDER = ("swapwright.model", "vocabulary", "facts")
KEYS = frozenset(
    ("of", "is", "choices", "ask", "tool", "pieces", "piece_kinds", "critical", "label",
     "below_zero")  # yes: a place, a height or a pressure with two sides of zero
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class FactDefinition:
    """One thing that can be said."""

    name: str
    of: tuple[Subject, ...]
    sort: Sort
    ask: str  # what to do to find out
    label: str
    tool: str = ""
    pieces: str = ""  # least, greatest, any, all: how a join's value follows from its pieces
    piece_kinds: tuple[str, ...] = ()
    critical: bool = False  # a single reading is told as such


@cache
def fact_book() -> Mapping[str, FactDefinition]:
    """All facts by name, from ``vocabulary/facts``."""
    book: dict[str, FactDefinition] = {}
    for file in shipped_names(*FOLDER):
        for name, tree in shipped_tree(*FOLDER, f"{file}.yaml").items():
            if name in book:
                raise RuntimeError(f"{file}.yaml: fact {name} stands in two files")
            book[name] = _definition(file, name, tree)
    return book


@cache
def facts_of(subject: Subject) -> tuple[str, ...]:
    """Names of the facts that may be said of one kind of subject."""
    return tuple(name for name, fact in fact_book().items() if subject in fact.of)


def _definition(file: str, name: str, tree: Tree) -> FactDefinition:
    if (
        not isinstance(tree, dict)
        or not KEYS.issuperset(tree)
        or not {"of", "is", "ask"} <= set(tree)
    ):
        raise RuntimeError(f"{file}: fact {name} needs of, is, ask and may have {sorted(KEYS)}")
    sort = str(tree["is"])
    if sort not in PLAIN:
        Dimension(sort)
    least = least_of(sort, below_zero=tree.get("below_zero") == "yes")
    return FactDefinition(
        name,
        tuple(Subject(word) for word in _words(tree["of"])),
        Sort(sort, _words(tree.get("choices")), least),
        str(tree["ask"]),
        str(tree.get("label") or name.replace("_", " ")),
        str(tree.get("tool") or ""),
        str(tree.get("pieces") or ""),
        _words(tree.get("piece_kinds")),
        tree.get("critical") == "yes",
    )


def _words(tree: Tree) -> tuple[str, ...]:
    if tree is None:
        return ()
    return tuple(str(word) for word in tree) if isinstance(tree, list) else (str(tree),)
