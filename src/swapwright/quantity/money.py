"""Money: an exact amount of one currency."""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from .fault import QuantityFault

WANTED = "an amount of money with its ISO 4217 code"
EXAMPLE = "1240 EUR"
LONGEST = 40
AMOUNT = r"([+−-]?) ?([0-9]{1,15}(?:\.[0-9]+)?)"
WRITTEN = rf"{AMOUNT} ?([A-Za-z]{{3}})|([A-Za-z]{{3}}) ?{AMOUNT}"


@cache
def minor_units() -> dict[str, int]:
    """Decimals of every currency in use, by its ISO 4217 code.

    References
    ----------
    .. [1] ISO 4217, list one, as published on 2026-01-01; codes without a minor
       unit (metals, bond units, tests) are left out, nobody pays in them.
    """
    import csv  # only money pays for it
    from importlib.resources import files

    table = files(__package__).joinpath("currencies.csv").read_text(encoding="utf-8")
    return {row["code"]: int(row["minor_units"]) for row in csv.DictReader(table.splitlines())}


@dataclass(frozen=True, slots=True)
class Money:
    """An amount of one currency; unlike currencies never mix.

    Raises
    ------
    QuantityFault
        If the currency is not in ISO 4217.
    ValueError
        If the amount is not finite, or two currencies meet.
    TypeError
        If the amount is not a Decimal.
    """

    amount: Decimal
    currency: str

    def __post_init__(self) -> None:
        # A float would carry a binary fraction of a cent into every sum.
        if type(self.amount) is not Decimal:
            raise TypeError(f"amount must be a Decimal, got {type(self.amount).__name__}")
        if not self.amount.is_finite():
            raise ValueError(f"amount must be finite, got {self.amount}")
        if self.currency not in minor_units():
            raise _unknown(f"{self.amount} {self.currency}", self.currency)

    def __add__(self, other: "Money") -> "Money":
        return Money(self.amount + self._like(other), self.currency)

    def __sub__(self, other: "Money") -> "Money":
        return Money(self.amount - self._like(other), self.currency)

    def __neg__(self) -> "Money":
        return Money(-self.amount, self.currency)

    def __mul__(self, times: Decimal | int) -> "Money":
        return Money(self.amount * times, self.currency)

    __rmul__ = __mul__

    def __lt__(self, other: "Money") -> bool:
        return self.amount < self._like(other)

    def __le__(self, other: "Money") -> bool:
        return self.amount <= self._like(other)

    def __str__(self) -> str:
        amount = self.rounded().amount
        return f"{amount:f} {self.currency}"

    def rounded(self) -> "Money":
        """To the smallest coin of the currency, halves to the even one."""
        coin = Decimal(1).scaleb(-minor_units()[self.currency])
        return Money(self.amount.quantize(coin), self.currency)

    def _like(self, other: "Money") -> Decimal:
        if self.currency != other.currency:
            raise ValueError(f"{self.currency} and {other.currency} cannot be put together")
        return other.amount


def read_money(text: str) -> Money:
    """Read "1240 EUR", "EUR 1650" or "-300 EUR".

    Raises
    ------
    QuantityFault
        If it cannot be read, the currency is not in ISO 4217, or the amount is
        finer than its smallest coin.
    """
    if len(text) > LONGEST:
        raise QuantityFault(text, WANTED, EXAMPLE, f"{len(text)} characters")
    plain = " ".join(text.replace("\u00a0", " ").replace("\u202f", " ").split())
    match = re.fullmatch(WRITTEN, plain)
    if match is None:
        raise _unread(plain)
    sign, amount, code, code_first, sign_after, amount_after = match.groups()
    currency = code or code_first
    if currency not in minor_units():
        raise _unknown(plain, currency)
    value = Decimal(amount or amount_after)
    decimals = minor_units()[currency]
    if -int(value.as_tuple().exponent) > decimals:
        raise QuantityFault(
            plain, WANTED, f"{value:.{decimals}f} {currency}", f"{currency} has {decimals} decimals"
        )
    return Money(-value if (sign or sign_after) in ("-", "−") else value, currency)


def _unknown(text: str, currency: str) -> QuantityFault:
    right = currency.upper()
    if right != currency and right in minor_units():
        return QuantityFault(text, WANTED, text.replace(currency, right), "codes are in capitals")
    return QuantityFault(text, WANTED, EXAMPLE, f"{currency} is no currency in use")


def _unread(plain: str) -> QuantityFault:
    if re.search(r"\d,\d{1,2}(?!\d)", plain):
        return QuantityFault(plain, WANTED, plain.replace(",", "."), "the decimal mark is a point")
    if re.search(r"\d[,' .]\d{3}(?!\d)", plain):
        right = re.sub(r"(?<=\d)[,' .](?=\d{3})", "", plain)
        return QuantityFault(plain, WANTED, right, "thousands are written without a mark")
    if re.search(r"[$€£¥]", plain):
        return QuantityFault(plain, WANTED, EXAMPLE, "a sign may stand for several currencies")
    if re.fullmatch(AMOUNT, plain):
        return QuantityFault(plain, WANTED, f"{plain} EUR", "no currency")
    return QuantityFault(plain, WANTED, EXAMPLE)
