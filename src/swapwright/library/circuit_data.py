"""What lies inside the things of a circuit: chambers and passages. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree

FOLDER = ("swapwright.library", "circuits")


@dataclass(frozen=True, slots=True)
class InnerElement:
    """Something with a loss, a lift or a heat between two chambers of one thing."""

    name: str
    kind: str
    start: str  # chambers
    end: str
    label: str
    kept_by: str = ""  # family whose ports have to be kept for it to be there
    absent_when: str = ""  # a yes-or-no fact of the thing that says there is none
    senses: str = ""  # of a thermostat: the chamber whose temperature moves it


@dataclass(frozen=True, slots=True)
class Passages:
    """The inside of one kind of thing, as one service sees it."""

    name: str
    of_sheets: tuple[str, ...]  # kinds of sheet that are described whole
    of_parts: tuple[str, ...]  # kinds of part
    homeless: tuple[str, ...]  # families that belong here when their port names no part
    chambers: Mapping[str, str]  # labels by name
    opens: Mapping[str, str]  # chamber by family, by "family in", "family out", or "*"
    elements: tuple[InnerElement, ...]
    in_line: str = ""  # the kind of element that it is as a piece of a join
    form_by: str = ""  # the fact that decides which form it has
    usual_form: str = ""
    forms: Mapping[str, "Passages"] = field(default_factory=dict)
    far_by: str = ""  # the fact of the car that says how long the pipes to it are
    far_families: tuple[str, ...] = ()  # ports that lie at the far ends of such pipes

    def formed(self, form: str) -> "Passages":
        """The thing in one of its forms."""
        own = self.forms[form]
        return Passages(
            self.name, self.of_sheets, self.of_parts, self.homeless,
            {**self.chambers, **own.chambers}, {**self.opens, **own.opens},
            (*self.elements, *own.elements), self.in_line,
        )  # fmt: skip

    def chamber_of(self, family: str, flow: str) -> str:
        """The chamber into which a port of a family opens; empty when it opens into none."""
        wanted = (f"{family} {flow}", family, "*")
        return next((self.opens[name] for name in wanted if name in self.opens), "")


@dataclass(frozen=True, slots=True)
class ServicePassages:
    """All passages of one service."""

    units: Mapping[str, Passages]
    aside: frozenset[str]  # kinds of pieces that nothing runs through

    def of_sheet(self, kind: str) -> Passages | None:
        """What describes a whole sheet of this kind."""
        return next((each for each in self.units.values() if kind in each.of_sheets), None)

    def of_part(self, kind: str) -> Passages | None:
        """What describes a part of this kind."""
        return next((each for each in self.units.values() if kind in each.of_parts), None)

    def of_homeless(self, family: str) -> Passages | None:
        """What a port of this family belongs to when it names no part."""
        return next((each for each in self.units.values() if family in each.homeless), None)


@cache
def passages(service: str) -> ServicePassages:
    """The shipped passages of one service.

    Parameters
    ----------
    service : str
        A service of the port table, such as ``coolant``.
    """
    tree = shipped_tree(*FOLDER, f"{service}.yaml")
    units = {
        name: _passages(name, _mapping(inner)) for name, inner in tree.items() if name != "aside"
    }
    return ServicePassages(units, frozenset(_words(tree.get("aside"))))


KEYS = frozenset(
    (
        "far",
        "of_sheets",
        "of_parts",
        "homeless",
        "chambers",
        "opens",
        "elements",
        "in_line",
        "forms",
    )
)


def _passages(name: str, tree: Mapping[str, Tree]) -> Passages:
    if not KEYS.issuperset(tree):
        raise RuntimeError(f"passages of {name}: {sorted(set(tree) - KEYS)} is not known")
    forms = _mapping(tree.get("forms"))
    elements = _mapping(tree.get("elements"))
    far = _mapping(tree.get("far"))
    return Passages(
        name,
        _words(tree.get("of_sheets")),
        _words(tree.get("of_parts")),
        _words(tree.get("homeless")),
        _texts(tree.get("chambers")),
        _texts(tree.get("opens")),
        tuple(_element(each, _texts(inner)) for each, inner in elements.items()),
        str(tree.get("in_line") or ""),
        str(forms.get("by") or ""),
        str(forms.get("usual") or ""),
        {
            form: _passages(name, _mapping(inner))
            for form, inner in forms.items()
            if form not in ("by", "usual")
        },
        str(far.get("by") or ""),
        _words(far.get("families")),
    )


ELEMENT_KEYS = frozenset(("kind", "from", "to", "label", "kept_by", "absent_when", "senses"))


def _element(name: str, tree: Mapping[str, str]) -> InnerElement:
    if not ELEMENT_KEYS.issuperset(tree):
        raise RuntimeError(f"element {name}: {sorted(set(tree) - ELEMENT_KEYS)} is not known")
    return InnerElement(
        name,
        tree["kind"],
        tree["from"],
        tree["to"],
        tree["label"],
        tree.get("kept_by", ""),
        tree.get("absent_when", ""),
        tree.get("senses", ""),
    )


def _mapping(tree: Tree) -> Mapping[str, Tree]:
    return tree if isinstance(tree, dict) else {}


def _texts(tree: Tree) -> dict[str, str]:
    return {name: str(text) for name, text in _mapping(tree).items()}


def _words(tree: Tree) -> tuple[str, ...]:
    return tuple(str(word) for word in tree) if isinstance(tree, list) else ()
