"""Adapter chains: exact against brute force, and honest about what is not known."""

import random
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cache
from math import inf

import pytest

from swapwright.crossings.chains import Chain, Criterion, Link, find_chains
from swapwright.crossings.mating import Mating, Verdict, mate
from swapwright.library.catalogue import starter_items
from swapwright.model.ends import End, read_end
from swapwright.model.sheets import Item
from swapwright.model.words import Service
from swapwright.quantity import Measure, Money

# --- brute force, written without a look at the search: every chain, then sorted

POOL: tuple[object, ...] = (
    "hose end 13 mm", "hose end 15 mm", "hose end 16 mm", "hose end 19 mm",
    {"form": "hose bead", "barrel": "13 mm", "bore": "10 mm"},
    {"form": "hose bead", "barrel": "16 mm", "bore": "13 mm"},
    "hose bead 16 mm", "hose bead 19 mm", "plain tube 16 mm",
    {"form": "thread", "half": "male", "thread": "M14x1.5", "seal": "washer face", "bore": "8 mm"},
    {"form": "thread", "half": "female", "thread": "M14x1.5", "seal": "spot face", "bore": "8 mm"},
    {"form": "thread", "half": "female", "thread": "M14x1.5", "seal": "o-ring in chamfer"},
)  # fmt: skip
ENDS = tuple(read_end(raw) for raw in POOL)
PRICES = ("unknown", "1 EUR", "2 EUR", "2 EUR", "5 EUR")
CHAIN = tuple[tuple[str, bool], ...]


@cache
def joint(a: int, b: int) -> Mating | None:
    mating = mate(ENDS[a], ENDS[b])
    return mating if mating.verdict.joins and mating.direct else None


def place(end: End | None) -> int:
    return next(i for i, each in enumerate(ENDS) if each is end)


def every_chain(
    a: int, b: int, items: Mapping[str, Item], most: int
) -> Iterator[tuple[CHAIN, int]]:
    """Every chain without a repeated open end, with its joints that warn."""
    ways = []
    for name, item in items.items():
        first, second = (place(end) for end in item.ends)
        ways.append((name, False, first, second))
        if first != second:
            ways.append((name, True, second, first))

    def grow(path: CHAIN, opened: tuple[int, ...], warned: int) -> Iterator[tuple[CHAIN, int]]:
        last = joint(opened[-1], b)
        if last:
            yield path, warned + (last.verdict is Verdict.WARNING)
        if len(path) == most:
            return
        for name, turned, enters, leaves in ways:
            met = joint(opened[-1], enters)
            if met and leaves not in opened:
                more = warned + (met.verdict is Verdict.WARNING)
                yield from grow((*path, (name, turned)), (*opened, leaves), more)

    yield from grow((), (a,), 0)


def sort_key(
    chain: CHAIN, warned: int, items: Mapping[str, Item], criterion: Criterion, currency: str
) -> tuple[object, ...]:
    used = [items[name] for name, _ in chain]
    money = [item.price.content for item in used]
    same = [m for m in money if isinstance(m, Money) and m.currency == currency]
    bores = [end.dim("bore").content if end else None for item in used for end in item.ends]
    ratings = [item.facts["hose_working_pressure"].content if item.facts else None for item in used]
    parts: dict[Criterion, object] = {
        Criterion.JOINTS: len(used),
        Criterion.MONEY: (len(same) < len(used), sum((m.amount for m in same), Decimal(0))),
        Criterion.BORE: narrowest(bores),
        Criterion.RATING: narrowest(ratings),
    }
    rest = [parts[other] for other in Criterion if other is not criterion]
    return (parts[criterion], warned, *rest, chain)


def narrowest(held: Sequence[object]) -> tuple[bool, float]:
    known = [each.nominal for each in held if isinstance(each, Measure)]
    return (len(known) < len(held), -min(known, default=inf))


def random_items(source: random.Random, prices: tuple[str, ...]) -> dict[str, Item]:
    items = {}
    for number in range(source.randint(2, 7)):
        facts = {"hose_working_pressure": source.choice(("2 bar", "4 bar", "unknown"))}
        items[f"item-{number}"] = Item(
            kind="adapter",
            ends=tuple(source.choice(ENDS) for _ in range(2)),
            price=source.choice(prices),
            facts=facts if source.random() < 0.6 else {},
        )
    return items


def as_pairs(links: tuple[Link, ...]) -> CHAIN:
    return tuple((link.item, link.turned) for link in links)


def test_best_chains_equal_brute_force_on_random_catalogues() -> None:
    source = random.Random(20260502)
    told = longest = 0
    for _ in range(500):
        items = random_items(source, PRICES)
        a, b = source.randrange(len(ENDS)), source.randrange(len(ENDS))
        most = source.randint(1, 4)
        best = source.randint(1, 6)
        brute = list(every_chain(a, b, items, most))
        for criterion in Criterion:
            found = find_chains(
                ENDS[a], ENDS[b], items, most_items=most, best=best, by=(criterion,)
            )
            keys = sorted(sort_key(chain, w, items, criterion, "EUR") for chain, w in brute)
            assert [as_pairs(chain.links) for chain in found] == [key[-1] for key in keys[:best]]
            told += len(found)
            longest = max(longest, *(len(chain.links) for chain in found), 0)
    assert told > 1000
    assert longest == 4


def test_two_currencies_are_never_added_or_compared() -> None:
    source = random.Random(7)
    mixed = 0
    for _ in range(60):
        items = random_items(source, ("1 EUR", "3 EUR", "2 USD", "4 USD"))
        a, b = source.randrange(len(ENDS)), source.randrange(len(ENDS))
        brute = list(every_chain(a, b, items, 3))
        listed = {
            as_pairs(chain.links): chain
            for chain in find_chains(ENDS[a], ENDS[b], items, most_items=3, best=2, by=("money",))
        }
        currencies = {m.currency for i in items.values() if isinstance(m := i.price.content, Money)}
        wanted = set()
        for currency in currencies:
            keys = sorted(sort_key(c, w, items, Criterion.MONEY, currency) for c, w in brute)
            wanted |= {key[-1] for key in keys[:2]}
        assert set(listed) == wanted
        for chain in listed.values():
            used = {items[link.item].price.content.currency for link in chain.links}  # type: ignore[union-attr]
            assert (chain.money is None) == (len(used) != 1)
            mixed += any(text.startswith("sum of") for text in chain.unknown)
    assert mixed > 0


# --- single cases, common practice

SHELF = {
    "hose-16": Item(kind="hose", ends=("hose end 16 mm", "hose end 16 mm"), price="4 EUR",
                    small=("clamp", "clamp"), facts={"hose_working_pressure": "3 bar"}),
    "hose-13": Item(kind="hose", ends=("hose end 13 mm", "hose end 13 mm"), price="3 EUR"),
    "step-16-13": Item(kind="reducer", price="6 EUR", service=("coolant",), ends=(
        {"form": "hose bead", "barrel": "16 mm", "bore": "13 mm"},
        {"form": "hose bead", "barrel": "13 mm", "bore": "10 mm"})),
    "formed": Item(kind="formed hose", ends=("hose end 16 mm", "hose end 13 mm")),
    "air-hose": Item(kind="hose", ends=("hose end 16 mm", "hose end 16 mm"), price="1 EUR",
                     service=("vacuum",)),
    "tee": Item(kind="tee", ends=("hose bead 16 mm",) * 3, price="1 EUR"),
}  # fmt: skip


def chains(a: str, b: str, **more: object) -> tuple[Chain, ...]:
    return find_chains(read_end(a), read_end(b), SHELF, **more)  # type: ignore[arg-type]


def links(chain: Chain) -> list[str]:
    return [link.item for link in chain.links]


def test_one_formed_hose_adds_fewest_joints_and_its_price_is_told_as_unknown() -> None:
    first = chains("hose bead 16 mm", "hose bead 13 mm", service=Service.COOLANT)[0]
    assert links(first) == ["formed"]
    assert first.added_joints == 1
    assert Criterion.JOINTS in first.best_by
    assert first.money is None
    assert "price of formed" in first.unknown
    assert first.least_bore is not None
    assert first.least_bore.nominal == pytest.approx(0.013)


def test_known_price_goes_before_unknown() -> None:
    by_money = chains(
        "hose bead 16 mm", "hose bead 13 mm", service=Service.COOLANT, by=("money",), best=9
    )
    assert str(by_money[0].money) == "3.00 EUR"  # stretched, and told so
    assert by_money[0].warnings
    stepped = next(c for c in by_money if links(c) == ["hose-16", "step-16-13", "hose-13"])
    assert str(stepped.money) == "13.00 EUR"
    assert not stepped.warnings
    flags = [chain.money is None for chain in by_money]
    assert flags == sorted(flags)


def test_stretched_hose_warns_and_stepped_tube_does_not() -> None:
    found = chains("hose bead 16 mm", "hose bead 13 mm", by=("rating",), best=20)
    plain = next(c for c in found if links(c) == ["hose-13"])
    assert any("stretched" in message.text("metric") for message in plain.warnings)
    assert plain.rating is None
    assert "rating of hose-13" in plain.unknown


def test_made_for_another_service_stays_on_the_shelf() -> None:
    cheap = chains("hose bead 16 mm", "hose bead 16 mm", by=("money",), best=1)
    assert links(cheap[0]) == ["air-hose"]
    found = chains("hose bead 16 mm", "hose bead 16 mm", best=20, service=Service.COOLANT)
    assert not any("air-hose" in links(chain) for chain in found)
    coolant = [chain for chain in found if not chain.warnings]
    assert links(coolant[0]) == ["hose-16"]
    assert coolant[0].small == ("clamp behind the bead", "clamp behind the bead")


def test_two_spigots_are_no_joint_of_their_own() -> None:
    assert not find_chains(read_end("hose bead 16 mm"), read_end("hose bead 16 mm"), {})


def test_two_ends_that_meet_need_no_item() -> None:
    (direct,) = find_chains(read_end("hose bead 16 mm"), read_end("hose end 16 mm"), {})
    assert direct.links == ()
    assert direct.added_joints == 0
    assert len(direct.joints) == 1


def test_nothing_leads_to_an_end_nobody_has_looked_at() -> None:
    assert find_chains(None, read_end("hose bead 16 mm"), SHELF) == ()


def test_criterion_that_does_not_exist_is_refused() -> None:
    with pytest.raises(ValueError, match="prettiest"):
        chains("hose bead 16 mm", "hose bead 13 mm", by=("prettiest",))


# --- the catalogue that ships; what is asked for is common practice


@pytest.mark.parametrize(
    ("a", "b", "service", "wanted"),
    [
        ("hose bead 16 mm", "hose bead 13 mm", Service.COOLANT, "step-16-13"),
        ("hose bead 16 mm", "hose bead 13 mm", Service.COOLANT, "heater-formed-16-13"),
        ("hose bead 36 mm", "hose bead 38 mm", Service.COOLANT, "coolant-reducer-38-36"),
        (
            "quick connector tube end 7.89 mm",
            "barb 8 mm",
            Service.FUEL_FEED,
            "quick-8-barb-8",
        ),
        ("barb 11 mm", "barb 11 mm", Service.VACUUM, "servo-hose-11"),
        ("duct spigot 70 mm", "duct spigot 76 mm", Service.INTAKE_AIR, "duct-reducer-76-70"),
        ("stud M6", "stud M8", Service.ELECTRICAL, "cable-25-m6-m8"),
        ("stud M5", "blade pin 6.3 mm", Service.ELECTRICAL, "blade-socket-6-3"),
    ],
)
def test_shipped_catalogue_bridges_usual_gaps(
    a: str, b: str, service: Service, wanted: str
) -> None:
    found = find_chains(read_end(a), read_end(b), starter_items(), service=service)
    assert any(wanted in links(chain) for chain in found)


def test_sender_adapter_from_m12_to_m16_is_in_the_catalogue() -> None:
    port = {"form": "thread", "half": "female", "thread": "M12x1.5", "seal": "spot face"}
    sender = {"form": "thread", "half": "male", "thread": "M16x1.5", "seal": "washer face"}
    best = find_chains(read_end(port), read_end(sender), starter_items(), best=1, by=("money",))
    assert [links(chain) for chain in best] == [["adapter-m12-to-m16"]]


def test_no_chain_of_the_catalogue_joins_water_to_electricity() -> None:
    assert not find_chains(read_end("hose bead 16 mm"), read_end("stud M8"), starter_items())


def test_what_the_catalogue_says_never_backs_a_stop() -> None:
    items = starter_items()
    assert len(items) > 200
    assert {item.price.content.currency for item in items.values()} == {"EUR"}  # type: ignore[union-attr]
    values = [item.price for item in items.values()]
    values += [v for i in items.values() for name, v in i.facts.items() if name not in MADE_TO]
    assert not any(value.backs_a_stop for value in values)


MADE_TO = ("conductor_area", "strap_area", "clamp_kind")  # what the item is, not how good


def test_hoses_of_the_catalogue_have_the_bore_of_their_ends() -> None:
    for name, item in starter_items().items():
        if item.kind in ("hose", "formed hose"):
            bores = [end.dim("bore").content for end in item.ends if end is not None]
            told = item.facts["hose_bore"].content
            assert isinstance(told, Measure)
            held = [bore.nominal for bore in bores if isinstance(bore, Measure)]
            assert told.nominal == min(held), name
