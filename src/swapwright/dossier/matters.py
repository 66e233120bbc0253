"""What carries the spread and what a measurement is worth, as text and as plain data."""

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from swapwright.chance.worth import Verdict
from swapwright.circuits.inputs import Taken, label_of
from swapwright.circuits.matters import Spread, Worths
from swapwright.model.assembly import Assembly
from swapwright.model.facts import fact_book
from swapwright.quantity import show

WIDTH = 80
FEW, MANY = 3, 12
WORTH_TELLING = 0.05  # of the spread: less is not told in the short form


def short_spread(assembly: Assembly, spread: Spread) -> str:
    """One line: what carries most of the spread."""
    told = [
        f"{named(assembly, spread.inputs[share.name])} {100 * share.value:.0f} %"
        for share in spread.shares.inputs[:FEW]
        if share.value >= WORTH_TELLING
    ]
    return "most of the spread: " + "; ".join(told) if told else ""


def spread_text(assembly: Assembly, spread: Spread) -> Iterator[str]:
    """A table: share of the spread by input, what it is taken as, how to know it better."""
    units = assembly.build.units
    yield from wrap(f"Spread of {spread.of}, case {spread.case}: what carries it", WIDTH)
    for share in spread.shares.inputs[:MANY]:
        if share.value < 2 * share.standard_error:
            continue
        taken = spread.inputs[share.name]
        yield from wrap(
            f"{100 * share.value:.1f} % ± {200 * share.standard_error:.1f}  "
            f"{named(assembly, taken)}: {show(taken.measure, units)}",
            WIDTH, initial_indent="  ", subsequent_indent="      ",
        )  # fmt: skip
        yield from wrap(ask(taken), WIDTH, initial_indent="      ", subsequent_indent="      ")
    rest = spread.shares.remainder
    yield f"  {100 * rest.value:.1f} % ± {200 * rest.standard_error:.1f}  several together"
    if spread.left_out:
        yield f"  {spread.left_out} more inputs bear less; --samples tells them apart"


def worth_text(assembly: Assembly, worths: Worths) -> Iterator[str]:
    """What knowing one figure would save before the radiator is chosen."""
    currency = assembly.build.currency
    decision = worths.decision
    yield from wrap(
        f"Before a larger radiator: best now is to {decision.best}. Knowing everything would save "
        f"{decision.everything.value:.0f} {currency} on average (± "
        f"{2 * decision.everything.standard_error:.0f}).",
        WIDTH,
    )
    told = [
        (taken, worth, worth.verdict(worths.measuring))
        for taken, worth in worths.worths
        if worth.verdict(worths.measuring) is not Verdict.NOT_WORTH_IT
    ]
    for taken, worth, verdict in told[:FEW]:
        yield from wrap(
            f"{verdict}: {named(assembly, taken)}, {worth.value:.0f} {currency} ± "
            f"{2 * worth.standard_error:.0f}. {ask(taken)}",
            WIDTH, initial_indent="  ", subsequent_indent="      ",
        )  # fmt: skip
    if not told:
        yield from wrap(
            "No single measurement is worth its hour for that choice: whatever it said, the "
            "choice would stay.",
            WIDTH, initial_indent="  ", subsequent_indent="  ",
        )  # fmt: skip


def named(assembly: Assembly, taken: Taken) -> str:
    """What an input is, and whose."""
    what = taken.id.rpartition(".")[2].replace("_", " ")
    if taken.value is not None:
        what = label_of(taken.fact)
    return f"{what} of {assembly.label(taken.subject)}"


def ask(taken: Taken) -> str:
    """How to know it better."""
    fact = fact_book()[taken.fact]
    told = fact.ask + (f" ({fact.tool})" if fact.tool else "")
    return told if taken.id.endswith(f".{taken.fact}") else f"In its stead: {told}"


def spread_record(spread: Spread) -> dict[str, Any]:
    """Shares as plain data."""
    return {
        "of": spread.of,
        "shares": [
            {"id": each.name, "share": each.value, "standard_error": each.standard_error}
            for each in spread.shares.inputs
        ],
        "together": spread.shares.remainder.value,
        "left_out": spread.left_out,
    }


def worth_record(worths: Worths) -> dict[str, Any]:
    """Worths as plain data, money of the build."""
    return {
        "options": dict(zip(worths.decision.options, worths.decision.losses, strict=True)),
        "best": worths.decision.best,
        "everything": worths.decision.everything.value,
        "single": [
            {"id": taken.id, "worth": worth.value, "standard_error": worth.standard_error,
             "verdict": str(worth.verdict(worths.measuring))}
            for taken, worth in worths.worths
        ],
    }  # fmt: skip
