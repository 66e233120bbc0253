"""Whether two ends mate and through which parts, as text and as plain data."""

from collections import Counter
from collections.abc import Iterable
from textwrap import wrap
from typing import Any

from swapwright.crossings.chains import Chain
from swapwright.crossings.mating import Mating
from swapwright.model.message import spoken
from swapwright.quantity import System

WIDTH = 80


def mating_text(
    first: str, second: str, mating: Mating, chains: Iterable[Chain], units: System
) -> str:
    """What ``mate`` prints."""
    rows = wrap(f"{first}  -  {second}: {mating.verdict}", WIDTH, subsequent_indent="   ")
    for why in mating.why:
        rows.extend(_lines(why.text(units)))
    if mating.through:
        rows.extend(_lines(f"through: {mating.through}"))
    if mating.wanted:
        rows.extend(_lines("measure: " + ", ".join(mating.wanted)))
    chains = tuple(chains)
    if chains:
        rows.append("Chains of catalogue parts, both ends included:")
    for number, chain in enumerate(chains, 1):
        rows.extend(_chain_lines(number, chain, units))
    return "\n".join(rows) + "\n"


def _chain_lines(number: int, chain: Chain, units: System) -> list[str]:
    names = " - ".join(link.item + (" (turned)" if link.turned else "") for link in chain.links)
    rows = wrap(f"{number}. {names or 'directly'}", WIDTH, subsequent_indent="   ")
    bore = spoken(chain.least_bore, units) if chain.least_bore else "unknown"
    rating = spoken(chain.rating, units) if chain.rating else "unknown"
    money = spoken(chain.money, units) if chain.money is not None else "unknown"
    rows.extend(_lines(f"{_added(chain.added_joints)}, {money}, least bore {bore}, rated {rating}"))
    if chain.small:
        counted = (f"{n} x {each}" if n > 1 else each for each, n in Counter(chain.small).items())
        rows.extend(_lines("small parts: " + ", ".join(counted)))
    for warning in chain.warnings:
        rows.extend(_lines("note: " + warning.text(units)))
    if chain.best_by:
        rows.extend(_lines("best by: " + ", ".join(chain.best_by)))
    return rows


def _added(joints: int) -> str:
    return f"{joints} joint{'s' if joints != 1 else ''} added"


def _lines(text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent="   ", subsequent_indent="   ")


def mating_record(
    first: str, second: str, mating: Mating, chains: Iterable[Chain], units: System
) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "first": first,
        "second": second,
        "verdict": str(mating.verdict),
        "why": [why.text(units) for why in mating.why],
        "wanted": list(mating.wanted),
        "through": mating.through or None,
        "chains": [
            {
                "items": [{"item": link.item, "turned": link.turned} for link in chain.links],
                "added_joints": chain.added_joints,
                "money": spoken(chain.money, units) if chain.money is not None else None,
                "least_bore_m": chain.least_bore.nominal if chain.least_bore else None,
                "rating_pa": chain.rating.nominal if chain.rating else None,
                "small": list(chain.small),
                "best_by": [str(each) for each in chain.best_by],
                "unknown": list(chain.unknown),
            }
            for chain in chains
        ],
    }
