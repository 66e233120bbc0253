"""Figures that rules divide by: zero or less is a slip of the pen, and is asked for again."""

from swapwright.findings.kit import Lacking, Look
from swapwright.model.amount import Amount


def above_zero(look: Look, name: str, of: str | None = None) -> Amount:
    """A measured fact that cannot be zero or negative.

    Raises
    ------
    Lacking
        When it is unknown, zero or negative.
    """
    amount = look.amount(name, of)
    if amount.nominal <= 0:
        raise Lacking(of or look.subject, name)
    return amount


def count_above_zero(look: Look, name: str, of: str | None = None) -> int:
    """A count of at least one.

    Raises
    ------
    Lacking
        When it is unknown, zero or negative.
    """
    count = look.count(name, of)
    if count < 1:
        raise Lacking(of or look.subject, name)
    return count
