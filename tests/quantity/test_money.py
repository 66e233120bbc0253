from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.quantity import Money, QuantityFault, read_money
from swapwright.quantity.money import minor_units


@pytest.mark.parametrize(
    ("text", "amount", "currency", "shown"),
    [
        ("1650 EUR", "1650", "EUR", "1650.00 EUR"),
        ("EUR 1650", "1650", "EUR", "1650.00 EUR"),
        ("EUR1650.5", "1650.5", "EUR", "1650.50 EUR"),
        ("-300 EUR", "-300", "EUR", "-300.00 EUR"),
        ("EUR -300", "-300", "EUR", "-300.00 EUR"),
        ("−300 EUR", "-300", "EUR", "-300.00 EUR"),
        ("9000 JPY", "9000", "JPY", "9000 JPY"),
        ("1.125 KWD", "1.125", "KWD", "1.125 KWD"),
    ],
)
def test_amount_is_read(text: str, amount: str, currency: str, shown: str) -> None:
    money = read_money(text)
    assert money == Money(Decimal(amount), currency)
    assert str(money) == shown
    assert read_money(shown) == money


@pytest.mark.parametrize(
    ("text", "said", "example"),
    [
        ("12,50 EUR", "decimal mark", "12.50 EUR"),
        ("1,650 EUR", "thousands", "1650 EUR"),
        ("1 650 EUR", "thousands", "1650 EUR"),
        ("$20", "several currencies", "1240 EUR"),
        ("20 €", "several currencies", "1240 EUR"),
        ("20 eur", "capitals", "20 EUR"),
        ("20 EUX", "no currency in use", "1240 EUR"),
        ("20 XAU", "no currency in use", "1240 EUR"),
        ("20", "no currency", "20 EUR"),
        ("1650.505 EUR", "2 decimals", "1650.50 EUR"),
        ("100.5 JPY", "0 decimals", "100 JPY"),
        ("1e3 EUR", "", "1240 EUR"),
        ("NaN EUR", "", "1240 EUR"),
        ("", "", "1240 EUR"),
        ("9" * 500 + " EUR", "504 characters", "1240 EUR"),
    ],
)
def test_amount_is_refused(text: str, said: str, example: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        read_money(text)
    assert said in str(caught.value)
    assert caught.value.example == example


def test_amounts_add_exactly() -> None:
    third = read_money("0.10 EUR")
    assert third + third + third == read_money("0.30 EUR")
    assert read_money("1 EUR") - read_money("3 EUR") == read_money("-2 EUR")
    assert -read_money("2 EUR") == read_money("-2 EUR")
    assert 3 * read_money("2 EUR") == read_money("2 EUR") * Decimal(3) == read_money("6 EUR")
    assert read_money("2 EUR") < read_money("3 EUR")
    assert read_money("2 EUR") <= read_money("2.00 EUR")


def test_unlike_currencies_never_meet() -> None:
    euro, dollar = read_money("2 EUR"), read_money("2 USD")
    with pytest.raises(ValueError, match="EUR and USD"):
        euro + dollar
    with pytest.raises(ValueError, match="EUR and USD"):
        euro - dollar
    with pytest.raises(ValueError, match="EUR and USD"):
        assert euro < dollar
    with pytest.raises(ValueError, match="EUR and USD"):
        assert euro <= dollar
    assert euro != dollar


def test_halves_of_a_cent_go_to_the_even_one() -> None:
    assert str(Money(Decimal("0.125"), "EUR")) == "0.12 EUR"
    assert str(Money(Decimal("0.135"), "EUR")) == "0.14 EUR"


def test_amount_is_a_finite_decimal_of_a_known_currency() -> None:
    with pytest.raises(TypeError, match="Decimal"):
        Money(1.5, "EUR")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="finite"):
        Money(Decimal("NaN"), "EUR")
    with pytest.raises(QuantityFault, match="no currency in use"):
        Money(Decimal(1), "EUX")


# ISO 4217, list one (from memory): what differs from two decimals.
def test_decimals_follow_the_standard() -> None:
    units = minor_units()
    assert [code for code, n in units.items() if n == 3] == [
        "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND",
    ]  # fmt: skip
    assert {"JPY", "KRW", "CLP", "ISK", "VND", "XAF", "XOF", "XPF"} <= {
        code for code, n in units.items() if n == 0
    }
    assert all(units[code] == 2 for code in ("EUR", "USD", "GBP", "CHF", "PLN", "SEK", "INR"))


@given(cents=st.integers(-(10**14), 10**14), code=st.sampled_from(sorted(minor_units())))
@settings(deadline=None)
def test_shown_amount_is_read_back(cents: int, code: str) -> None:
    money = Money(Decimal(cents).scaleb(-minor_units()[code]), code)
    assert read_money(str(money)) == money
