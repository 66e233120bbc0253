"""Chains of hoses, adapters and wires that lead from one end to another."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from functools import lru_cache
from heapq import heappop, heappush
from math import inf
from typing import NamedTuple, TypeAlias

from swapwright.crossings.mating import Mating, Verdict, forms_may_touch, mate
from swapwright.model.amount import Amount
from swapwright.model.ends import End
from swapwright.model.message import Message
from swapwright.model.sheets import Item
from swapwright.model.words import Service
from swapwright.quantity import Measure, Money


class Criterion(StrEnum):
    """By what chains are compared."""

    JOINTS = "added joints"
    MONEY = "money"
    BORE = "least bore"
    RATING = "rating"


RATINGS = ("hose_working_pressure", "pressure_limit")  # facts of an item, the first that is known


@dataclass(frozen=True, slots=True)
class Link:
    """One item of a chain."""

    item: str
    turned: bool  # True: its second end comes first


@dataclass(frozen=True)
class Chain:
    """Items in order from one end to the other."""

    links: tuple[Link, ...]
    joints: tuple[Mating, ...]  # one more than links
    added_joints: int  # beyond the one of two ends that meet directly
    money: Money | None  # None: a price is unknown, or there are two currencies
    least_bore: Amount | None  # of the items; None: one is unknown, or there is no item
    rating: Amount | None  # least pressure an item is rated for; None as above
    small: tuple[str, ...]  # clamps and seals it needs
    warnings: tuple[Message, ...]  # of joints that mate with a warning
    unknown: tuple[str, ...]  # such as "price of joiner-16"
    best_by: tuple[Criterion, ...] = ()  # criteria in which it is known and nothing is better


def find_chains(
    a: End | None,
    b: End | None,
    items: Mapping[str, Item],
    *,
    service: Service | None = None,
    most_items: int = 4,
    best: int = 5,
    by: Iterable[str] = tuple(Criterion),
) -> tuple[Chain, ...]:
    """The best chains of items between two ends, exactly.

    Parameters
    ----------
    a, b : End or None
        Ends to be joined. Nothing leads to an end that nobody has looked at.
    items : mapping
        Items by id. Those with two known ends are used, either way round and as often as
        needed; others (tees, clamps) are left out.
    service : Service, optional
        Leaves out items that are made for something else.
    most_items : int
        Longest chain.
    best : int
        How many chains for each criterion.
    by : of Criterion
        Each gives its own list; ties are settled by fewest warnings, then by the other
        criteria in their order, then by ids.

    Returns
    -------
    chains : tuple of Chain
        The lists one after the other, each chain once. An open end never comes twice in one
        chain. An unknown price, bore or rating sorts after every known one and is told;
        amounts of two currencies are never compared: money gives one list a currency.
    """
    criteria = tuple(Criterion(word) for word in by)
    if a is None or b is None:
        return ()
    net = _Net(_Spot(a), _Spot(b), _pieces(items, service), most_items)
    found: dict[tuple[Link, ...], Chain] = {}
    for criterion in criteria:
        for currency in net.currencies if criterion is Criterion.MONEY else net.currencies[:1]:
            order = (criterion, *(other for other in Criterion if other is not criterion))
            paths = tuple(net.best_paths(order, currency, best))
            least = paths[0].cost.of(criterion) if paths else None
            told = isinstance(least, int) or least is None or not least[0]
            for path in paths:
                chain = found.setdefault(path.links, net.chain(path, items))
                equal = told and path.cost.of(criterion) == least
                if equal and criterion not in chain.best_by:
                    found[path.links] = replace(chain, best_by=(*chain.best_by, criterion))
    return tuple(found.values())


# --- ends and items as the search sees them


class _Spot:
    """An end with a name of its own, so that ends can be looked up and compared."""

    __slots__ = ("end", "hash", "name")

    def __init__(self, end: End) -> None:
        self.end = end
        self.name = (end.form, end.half, end.material.lower(), _dims(end))
        self.hash = hash(self.name)

    def __hash__(self) -> int:
        return self.hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Spot) and self.name == other.name


def _dims(end: End) -> tuple[tuple[object, ...], ...]:
    return tuple((name, v.content, v.basis) for name, v in sorted(end.dims.items()) if v.known)


@lru_cache(maxsize=1 << 16)
def _joint(a: _Spot, b: _Spot) -> Mating | None:
    """The mating of two ends that can be put together directly; None if they cannot."""
    if not forms_may_touch(a.end.form, b.end.form):
        return None
    mating = mate(a.end, b.end)
    return mating if mating.verdict.joins and mating.direct else None


class _Piece(NamedTuple):
    """One item, one way round."""

    link: Link
    enters: _Spot
    leaves: _Spot
    price: Money | None
    bores: tuple[Amount | None, ...]  # at its two ends
    rating: Amount | None


def _pieces(items: Mapping[str, Item], service: Service | None) -> tuple[_Piece, ...]:
    pieces = []
    for name, item in items.items():
        if len(item.ends) != 2 or (service and item.service and service not in item.service):
            continue
        ends = [_Spot(end) for end in item.ends if end is not None]
        if len(ends) != 2:
            continue
        price = item.price.content if isinstance(item.price.content, Money) else None
        facts = (price, tuple(_bore(spot.end) for spot in ends), _rating(item))
        pieces.append(_Piece(Link(name, False), ends[0], ends[1], *facts))
        if ends[0] != ends[1]:
            pieces.append(_Piece(Link(name, True), ends[1], ends[0], *facts))
    return tuple(pieces)


def _bore(end: End) -> Amount | None:
    content = end.dim("bore").content
    return Amount.of(content) if isinstance(content, Measure) else None


def _rating(item: Item) -> Amount | None:
    for name in RATINGS:
        value = item.facts.get(name)
        if value is not None and isinstance(value.content, Measure):
            return Amount.of(value.content)
    return None


def _least(amounts: Iterable[Amount | None]) -> Amount | None:
    """The least; None if one is unknown or there is none."""
    held = tuple(amounts)
    known = [each for each in held if each is not None]
    return min(known, key=_nominal) if held and len(known) == len(held) else None


def _nominal(amount: Amount) -> float:
    return amount.nominal


# --- costs: every part can only grow along a chain, so best-first order is exact

POSITION = {criterion: i for i, criterion in enumerate(Criterion)}
Part: TypeAlias = tuple[bool, float]  # unknown?, what is known of it


class _Cost(NamedTuple):
    """What a chain costs; the lower the better in every part."""

    joints: int
    money: tuple[bool, Decimal]
    bore: Part  # minus the least bore known
    rating: Part  # minus the least rating known
    warnings: int

    def of(self, criterion: Criterion) -> int | Part | tuple[bool, Decimal]:
        """The part a criterion compares."""
        return self[POSITION[criterion]]

    def plus(self, piece: _Piece, mating: Mating, currency: str) -> "_Cost":
        """With one more piece, and the joint that leads to it."""
        price = piece.price if piece.price and piece.price.currency == currency else None
        unknown, sum_known = self.money
        return _Cost(
            self.joints + 1,
            (unknown, sum_known + price.amount) if price else (True, sum_known),
            _narrowed(self.bore, *piece.bores),
            _narrowed(self.rating, piece.rating),
            self.warnings + _warns(mating),
        )


NOTHING = _Cost(0, (False, Decimal(0)), (False, -inf), (False, -inf), 0)


def _narrowed(part: Part, *amounts: Amount | None) -> Part:
    known = [-amount.nominal for amount in amounts if amount is not None]
    return (part[0] or len(known) < len(amounts), max(part[1], *known, -inf))


def _warns(mating: Mating) -> bool:
    return mating.verdict is Verdict.WARNING


class _Path(NamedTuple):
    """A chain in the making."""

    pieces: tuple[_Piece, ...]
    joints: tuple[Mating, ...]
    cost: _Cost

    @property
    def links(self) -> tuple[Link, ...]:
        return tuple(piece.link for piece in self.pieces)


# --- the search


class _Net:
    """Pieces between two ends, and which piece follows on which end."""

    def __init__(self, a: _Spot, b: _Spot, pieces: tuple[_Piece, ...], most: int) -> None:
        self.a, self.b, self.pieces, self.most = a, b, pieces, most
        self.following: dict[_Spot, tuple[tuple[_Piece, Mating], ...]] = {}
        entries: dict[_Spot, list[_Piece]] = {}
        for piece in pieces:
            entries.setdefault(piece.enters, []).append(piece)
        self.entries = entries
        self.to_go = self._pieces_to_go()
        counted = Counter(piece.price.currency for piece in pieces if piece.price)
        # the commonest first: it settles ties of the other criteria
        self.currencies = sorted(counted, key=lambda code: (-counted[code], code)) or [""]

    def after(self, spot: _Spot) -> tuple[tuple[_Piece, Mating], ...]:
        """Pieces that go on an open end, each with its joint."""
        if spot not in self.following:
            self.following[spot] = tuple(
                (piece, mating)
                for enters, pieces in self.entries.items()
                if (mating := _joint(spot, enters)) is not None
                for piece in pieces
            )
        return self.following[spot]

    def _pieces_to_go(self) -> Mapping[_Spot, int]:
        """Fewest pieces from each open end that can be reached to the far end."""
        reached, front = {self.a}, {self.a}
        before: dict[_Spot, set[_Spot]] = {}
        for _ in range(self.most):
            found: set[_Spot] = set()
            for spot in front:
                for piece, _mating in self.after(spot):
                    before.setdefault(piece.leaves, set()).add(spot)
                    found.add(piece.leaves)
            front = found - reached
            reached |= front
        to_go = {spot: 0 for spot in reached if _joint(spot, self.b) is not None}
        front = set(to_go)
        for steps in range(1, self.most + 1):
            front = {spot for late in front for spot in before.get(late, ()) if spot not in to_go}
            to_go |= dict.fromkeys(front, steps)
        return to_go

    def best_paths(
        self, order: tuple[Criterion, ...], currency: str, count: int
    ) -> Iterator[_Path]:
        """Chains in order of cost, the best first."""

        def key(path: _Path, to_go: int) -> tuple[object, ...]:
            cost = path.cost._replace(joints=path.cost.joints + to_go)
            first, *others = (cost.of(criterion) for criterion in order)
            ids = tuple((link.item, link.turned) for link in path.links)
            return (first, cost.warnings, *others, ids)

        serial = 0  # keeps the heap from comparing paths
        heap: list[tuple[tuple[object, ...], int, int, _Path]] = []
        start = _Path((), (), NOTHING)
        if self.a in self.to_go:
            heappush(heap, (key(start, self.to_go[self.a]), 1, serial, start))
        while heap and count > 0:
            _, unfinished, _, path = heappop(heap)
            if not unfinished:
                count -= 1
                yield path
                continue
            for reached, to_go in self._grown(path, currency):
                serial += 1
                heappush(heap, (key(reached, max(to_go, 0)), int(to_go >= 0), serial, reached))

    def _grown(self, path: _Path, currency: str) -> Iterator[tuple[_Path, int]]:
        """Everything one step further, with the pieces still to go; -1 when it has arrived."""
        spot = path.pieces[-1].leaves if path.pieces else self.a
        last = _joint(spot, self.b)
        if last is not None:
            cost = path.cost._replace(warnings=path.cost.warnings + _warns(last))
            yield _Path(path.pieces, (*path.joints, last), cost), -1
        seen = {self.a, *(piece.leaves for piece in path.pieces)}
        for piece, mating in self.after(spot):
            to_go = self.to_go.get(piece.leaves, self.most)
            if piece.leaves in seen or len(path.pieces) + 1 + to_go > self.most:
                continue
            cost = path.cost.plus(piece, mating, currency)
            yield _Path((*path.pieces, piece), (*path.joints, mating), cost), to_go

    def chain(self, path: _Path, items: Mapping[str, Item]) -> Chain:
        """A path as it is told."""
        pieces = path.pieces
        warned = [joint for joint in path.joints if _warns(joint)]
        return Chain(
            path.links,
            path.joints,
            len(path.joints) - 1,
            _total(pieces),
            _least(bore for piece in pieces for bore in piece.bores),
            _least(piece.rating for piece in pieces),
            _small(path, items),
            tuple(message for joint in warned for message in joint.why),
            tuple(_unknowns(pieces)),
        )


def _total(pieces: tuple[_Piece, ...]) -> Money | None:
    prices = [piece.price for piece in pieces if piece.price is not None]
    if not prices or len(prices) < len(pieces) or len({price.currency for price in prices}) > 1:
        return None
    return Money(sum((price.amount for price in prices), Decimal(0)), prices[0].currency)


def _unknowns(pieces: tuple[_Piece, ...]) -> Iterator[str]:
    for piece in dict.fromkeys(piece.link.item for piece in pieces):
        held = next(each for each in pieces if each.link.item == piece)
        bore = _least(held.bores)
        facts = (("price", held.price), ("bore", bore), ("rating", held.rating))
        yield from (f"{name} of {piece}" for name, fact in facts if fact is None)
    currencies = sorted({piece.price.currency for piece in pieces if piece.price is not None})
    if len(currencies) > 1:
        yield "sum of " + " and ".join(currencies)


def _small(path: _Path, items: Mapping[str, Item]) -> tuple[str, ...]:
    """What the joints need, and what the items ask for beside that."""
    joints = tuple(joint.through for joint in path.joints if joint.through)
    asked = (word for link in path.links for word in items[link.item].small)
    return (*joints, *(word for word in asked if not any(word in joint for joint in joints)))
