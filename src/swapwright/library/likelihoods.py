"""Likelihood tables: how often an end of each kind shows what can be seen of it.

One YAML file a question in ``library/likelihoods``; where its candidates are
threads they come from the fittings table. Shares are kept as they are used:
floored, and each candidate's column of one observation summing to one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from math import log
from typing import TypeAlias

from swapwright.library.thread_candidates import (
    ThreadCandidate,
    bore_of,
    gauge_leaves,
    leaf_shares,
    thread_candidates,
)
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_names, shipped_tree
from swapwright.model.values import Sort
from swapwright.model.words import Service
from swapwright.quantity import Dimension, read_measure

ROUNDING = 0.011  # printed shares have two figures after the point


@dataclass(frozen=True, slots=True)
class Role:
    """One thing that the unknown end may be."""

    id: str
    label: str
    prior: float
    service: Service
    families: tuple[str, ...]
    proof: str = ""  # what only this one does
    fittings: tuple[str, ...] = ()  # rows of the fittings table


@dataclass(frozen=True, slots=True)
class Table:
    """An observation with a few outcomes: words, classes of a measure, or leaves of a gauge."""

    name: str
    ask: str
    words: tuple[str, ...]
    shares: tuple[tuple[float, ...], ...]  # word by role; columns sum to one
    example: str
    sort: Sort | None = None  # of a measured one
    edges: tuple[float, ...] = ()  # between classes, in the unit kept
    least: float = 0.0
    most: float = float("inf")
    leaves: bool = False
    instead_of: str = ""  # a coarser stand-in for this observation
    not_with: str = ""  # of the other half: both cannot be seen


@dataclass(frozen=True, slots=True)
class Bell:
    """Normal about a mean, on the scale of its spread."""

    mean: float
    deviation: float


@dataclass(frozen=True, slots=True)
class Flat:
    """Even between two limits with soft edges, on the scale of its spread."""

    low: float
    high: float
    soft: float


Shape: TypeAlias = "Bell | Flat | str"  # a text: one of the words


@dataclass(frozen=True, slots=True)
class Spread:
    """A measured observation with a density for each role; lengths in metres, or logarithms."""

    name: str
    ask: str
    example: str
    sort: Sort
    logarithm: bool
    least: float  # in the unit kept
    most: float
    words: tuple[str, ...]
    stray: float  # share of readings that may be anything
    stray_words: float  # share of those that are one of the words
    shapes: tuple[tuple[Shape, ...], ...]  # by role, in equal shares; none: nothing is typical
    instead_of: str = ""
    not_with: str = ""

    def scaled(self, kept: float) -> float:
        """A number in the unit kept, on the scale of the densities."""
        return log(kept) if self.logarithm else kept


Observation: TypeAlias = "Table | Spread"


@dataclass(frozen=True)
class Likelihoods:
    """One question: its candidates and what each observation says of them."""

    kind: str
    label: str
    contradiction: float
    one_role_each: bool
    roles: tuple[Role, ...]
    observations: Mapping[str, Observation]
    cautions: str
    test: str
    places: Mapping[str, tuple[float, ...]] = field(default_factory=dict)  # priors by place
    threads: Mapping[str, ThreadCandidate] = field(default_factory=dict)
    other_seats: tuple[str, ...] = ()


@cache
def likelihood_kinds() -> tuple[str, ...]:
    """Names of all questions, as their files are called."""
    return shipped_names("swapwright.library", "likelihoods")


@cache
def likelihoods(kind: str) -> Likelihoods:
    """The likelihood tables of one question.

    Raises
    ------
    KeyError
        If there is no such kind.
    ValueError
        If its file contradicts itself: a mistake in the package.
    """
    if kind not in likelihood_kinds():
        raise KeyError(kind)
    return _likelihoods(kind, shipped_tree("swapwright.library", "likelihoods", f"{kind}.yaml"))


def _likelihoods(kind: str, tree: Mapping[str, Tree]) -> Likelihoods:
    threads = thread_candidates() if tree.get("candidates_from") == "fittings" else {}
    roles = _thread_roles(threads) if threads else _roles(_mapping(tree["candidates"]))
    ids = tuple(role.id for role in roles)
    floor = _number(tree["floor"])
    observations: dict[str, Observation] = {}
    for name, branch in _mapping(tree["observations"]).items():
        observations[name] = _observation(name, _mapping(branch), ids, floor, tree, threads)
    settles = _mapping(tree["settles"])
    return Likelihoods(
        kind,
        _text(tree["label"]),
        _number(tree["contradiction"]),
        tree["one_role_each"] == "yes",
        roles,
        observations,
        _text(settles["cautions"]),
        _text(settles["test"]),
        {
            place: _place_priors(place, _mapping(branch), ids)
            for place, branch in _mapping(tree.get("places")).items()
        },
        threads,
        tuple(_known(_text(each), ids) for each in _list(tree.get("same_thread_other_seat"))),
    )


def _roles(tree: Mapping[str, Tree]) -> tuple[Role, ...]:
    even = 1 / len(tree)
    roles = []
    for name, branch in tree.items():
        held = _mapping(branch)
        prior = _number(held["prior"]) if "prior" in held else even
        families = tuple(_text(each) for each in _list(held["families"]))
        service = Service(_text(held["service"]))
        proof = _text(held.get("proof"))
        roles.append(Role(name, _text(held["label"]), prior, service, families, proof))
    if abs(sum(role.prior for role in roles) - 1) > 1e-9:
        raise ValueError("priors do not sum to one")
    return tuple(roles)


def _thread_roles(threads: Mapping[str, ThreadCandidate]) -> tuple[Role, ...]:
    even = 1 / len(threads)
    return tuple(
        Role(name, name, even, Service.UNKNOWN, (), fittings=thread.fittings)
        for name, thread in threads.items()
    )


def _place_priors(place: str, tree: Mapping[str, Tree], ids: Sequence[str]) -> tuple[float, ...]:
    stated = {_known(name, ids): _number(share) for name, share in tree.items()}
    left = 1 - sum(stated.values())
    if left <= 0:
        raise ValueError(f"place {place}: nothing left for other threads")
    even = left / (len(ids) - len(stated))
    return tuple(stated.get(name, even) for name in ids)


def _observation(
    name: str,
    tree: Mapping[str, Tree],
    ids: tuple[str, ...],
    floor: float,
    whole: Mapping[str, Tree],
    threads: Mapping[str, ThreadCandidate],
) -> Observation:
    kind = _text(tree["kind"])
    if kind in ("choice", "ranges"):
        return _table(name, tree, ids, floor)
    if kind == "gauge":
        return _gauge(name, tree, whole, threads)
    if kind == "spread":
        return _spread(name, tree, ids)
    if kind == "size":
        return _size(name, tree, threads)
    raise ValueError(f"{name}: no kind of observation is called {kind}")


def _table(name: str, tree: Mapping[str, Tree], ids: tuple[str, ...], floor: float) -> Table:
    cells = _mapping(tree["cells"])
    words = tuple(_text(word) for word in _list(tree.get("words"))) or tuple(cells)
    columns = [_column(name, cells, words, each, tree.get("rest") == "even") for each in ids]
    shares = tuple(zip(*(_floored(column, floor) for column in columns), strict=True))
    for word, branch in cells.items():
        if word not in words or not set(_mapping(branch)) <= set(ids):
            raise ValueError(f"{name}, {word}: a word or a candidate that is not in the list")
    if tree["kind"] == "choice":
        return Table(name, _text(tree["ask"]), words, shares, words[0])
    sort = Sort(_text(tree["of"]))
    least = _kept(tree["least"], sort) if "least" in tree else 0.0
    edges = tuple(_kept(edge, sort) for edge in _list(tree["edges"]))
    if len(edges) + 1 != len(words):
        raise ValueError(f"{name}: {len(edges)} edges part {len(words)} words")
    return Table(
        name, _text(tree["ask"]), words, shares, _text(tree["example"]), sort, edges, least,
        _kept(tree["most"], sort),
    )  # fmt: skip


def _column(
    name: str, cells: Mapping[str, Tree], words: tuple[str, ...], role: str, even: bool
) -> list[float]:
    """Shares of one role over the words; what is not stated shares what is left."""
    stated = {
        word: _number(_mapping(cells[word])[role])
        for word in words
        if word in cells and role in _mapping(cells[word])
    }
    left = 1 - sum(stated.values())
    unstated = len(words) - len(stated)
    if abs(left) > ROUNDING and not (even and unstated and left > 0):
        raise ValueError(f"{name}: shares of {role} sum to {1 - left:g}")
    rest = max(left, 0.0) / unstated if unstated else 0.0
    return [stated.get(word, rest) for word in words]


def _floored(column: list[float], floor: float) -> list[float]:
    raised = [max(share, floor) for share in column]
    return [share / sum(raised) for share in raised]


def _gauge(
    name: str,
    tree: Mapping[str, Tree],
    whole: Mapping[str, Tree],
    threads: Mapping[str, ThreadCandidate],
) -> Table:
    sets = _mapping(whole["gauges"])
    leaves = gauge_leaves(
        {
            _text(each): [_text(leaf) for leaf in _list(sets[_text(each)])]
            for each in _list(tree["sets"])
        }
    )
    right, near, stray = (_number(tree[key]) for key in ("right", "neighbours", "stray"))
    columns = [leaf_shares(thread, leaves, right, near, stray) for thread in threads.values()]
    return Table(
        name, _text(tree["ask"]), tuple(leaves), tuple(zip(*columns, strict=True)),
        _text(tree["example"]), leaves=True, instead_of=_text(tree.get("instead_of")),
    )  # fmt: skip


def _spread(name: str, tree: Mapping[str, Tree], ids: tuple[str, ...]) -> Spread:
    sort = Sort(_text(tree["of"]))
    cells = _mapping(tree["cells"])
    if set(cells) != set(ids):
        raise ValueError(f"{name}: one entry for each candidate")
    soft = log(_number(tree["soft"]))
    shapes = tuple(
        tuple(_shape(_mapping(each), sort, soft) for each in _list(cells[role])) for role in ids
    )
    return Spread(
        name, _text(tree["ask"]), _text(tree["example"]), sort, True,
        _kept(tree["least"], sort), _kept(tree["most"], sort),
        tuple(_text(word) for word in _list(tree.get("words"))),
        _number(tree["stray"]), _number(tree["stray_words"]), shapes,
    )  # fmt: skip


def _shape(tree: Mapping[str, Tree], sort: Sort, soft: float) -> Shape:
    if "word" in tree:
        return _text(tree["word"])
    if "median" in tree:
        return Bell(log(_kept(tree["median"], sort)), log(_number(tree["factor"])))
    return Flat(log(_kept(tree["from"], sort)), log(_kept(tree["to"], sort)), soft)


def _size(
    name: str,
    tree: Mapping[str, Tree],
    threads: Mapping[str, ThreadCandidate],
) -> Spread:
    sort = Sort(_text(tree["of"]))
    law = _text(tree["law"])
    lengths = {
        key: _kept(tree[key], sort)
        for key in ("spread", "offset", "parallel", "taper")
        if key in tree
    }
    shapes: list[tuple[Shape, ...]] = []
    for thread in threads.values():
        if law == "male crest":
            mean = thread.diameter + lengths["offset"]
        elif law == "female bore":
            mean = bore_of(thread) + lengths["offset"]
        elif law == "crest difference":
            mean = lengths["taper" if thread.taper else "parallel"]
        else:
            raise ValueError(f"{name}: no law is called {law}")
        shapes.append((Bell(mean, lengths["spread"]),))
    return Spread(
        name, _text(tree["ask"]), _text(tree["example"]), sort, False,
        _kept(tree["least"], sort), _kept(tree["most"], sort), (), _number(tree["stray"]), 0.0,
        tuple(shapes), not_with=_text(tree.get("not_with")),
    )  # fmt: skip


def _kept(tree: Tree, sort: Sort) -> float:
    """A figure of the file in the unit its dimension is kept in."""
    if sort.name == "count":
        return float(_text(tree))
    return read_measure(_text(tree), Dimension(sort.name)).nominal


def _known(name: str, ids: Sequence[str]) -> str:
    if name not in ids:
        raise ValueError(f"{name}: no such candidate")
    return name


def _number(tree: Tree) -> float:
    return float(_text(tree))


def _text(tree: Tree) -> str:
    if tree is None:
        return ""
    if not isinstance(tree, str):
        raise ValueError(f"a text was wanted, found {tree}")
    return " ".join(tree.split())


def _list(tree: Tree) -> list[Tree]:
    if tree is None:
        return []
    if not isinstance(tree, list):
        raise ValueError(f"a list was wanted, found {tree}")
    return tree


def _mapping(tree: Tree) -> dict[str, Tree]:
    if tree is None:
        return {}
    if not isinstance(tree, dict):
        raise ValueError(f"values by name were wanted, found {tree}")
    return tree
