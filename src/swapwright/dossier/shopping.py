"""What to buy for the chosen joins, with prices where they are known."""

from collections.abc import Iterator
from dataclasses import dataclass

from swapwright.model.assembly import Assembly
from swapwright.model.words import SmallPart, StockState
from swapwright.quantity import Money


@dataclass(frozen=True)
class Purchase:
    """One thing to buy."""

    what: str
    item: str
    uses: tuple[str, ...]
    count: int
    price: Money | None  # of one; None when it is not known
    sure: str  # how the price is known


@dataclass(frozen=True)
class Shopping:
    """The list, its known total by currency, and how many prices are lacking."""

    purchases: tuple[Purchase, ...]
    totals: tuple[Money, ...]
    unpriced: int


def shopping(assembly: Assembly) -> Shopping:
    """Pieces of joins that are not in hand, small parts that are lost, stock that is wanted."""
    here = {
        stock.item
        for stock in assembly.stock.values()
        if stock.item and stock.state in (StockState.HERE, StockState.FITTED, StockState.ORDERED)
    }
    purchases = (*_pieces(assembly, here), *_small(assembly), *_wanted(assembly))
    totals: dict[str, Money] = {}
    for each in purchases:
        if each.price is not None:
            spent = each.price * each.count
            code = each.price.currency
            totals[code] = totals[code] + spent if code in totals else spent
    unpriced = sum(each.price is None for each in purchases)
    return Shopping(tuple(purchases), tuple(totals.values()), unpriced)


def _pieces(assembly: Assembly, here: set[str]) -> Iterator[Purchase]:
    uses: dict[str, list[str]] = {}
    for join in assembly.joined.values():
        if join.progress == "planned":
            for piece in join.pieces:
                if piece in assembly.items and piece not in here:
                    uses.setdefault(piece, []).append(join.id)
    for piece, joins in uses.items():
        price = assembly.items[piece].price
        money = price.content if isinstance(price.content, Money) else None
        label = assembly.label(piece)
        yield Purchase(
            label, piece, tuple(joins), len(joins), money, str(price.basis) if money else ""
        )


def _small(assembly: Assembly) -> Iterator[Purchase]:
    for join in assembly.joined.values():
        for name, state in join.record.small.items():
            if state in (SmallPart.LOST, SmallPart.REUSED):
                yield Purchase(name, "", (join.id,), 1, None, "")


def _wanted(assembly: Assembly) -> Iterator[Purchase]:
    for name, stock in assembly.stock.items():
        if stock.state is StockState.WANTED or stock.state is StockState.DAMAGED:
            money = stock.price.content if isinstance(stock.price.content, Money) else None
            sure = str(stock.price.basis) if money else ""
            yield Purchase(stock.label or name, stock.item, stock.usable, 1, money, sure)
        for missing in stock.missing:
            yield Purchase(missing, "", (name,), 1, None, "")
