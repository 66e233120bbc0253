"""Amounts and chances against hand values."""

from math import sqrt

import pytest

from swapwright.model.amount import Amount, Chance, below, derived
from swapwright.quantity import Dimension, read_measure

L, P = Dimension.LENGTH, Dimension.PRESSURE


def test_sum_and_difference_add_squares() -> None:
    # JCGM 100:2008, 5.1.2 with sensitivities +1 and -1: 3-4-5.
    first, second = Amount(1.0, 0.03, L), Amount(0.4, 0.04, L)
    total, rest = first + second, first - second
    assert (total.nominal, rest.nominal) == pytest.approx((1.4, 0.6))
    assert (total.uncertainty, rest.uncertainty) == pytest.approx((0.05, 0.05))
    assert total.dimension is L


def test_multiple_scales_both() -> None:
    assert -2 * Amount(3.0, 0.5, P) == Amount(-6.0, 1.0, P)


def test_ratio_adds_relative_squares() -> None:
    # JCGM 100:2008, 5.1.6: relative variances add for products and quotients; 1.5 %, 2 % -> 2.5 %.
    ratio = Amount(200.0, 3.0, P) / Amount(100.0, 2.0, P)
    assert ratio.nominal == 2 and ratio.dimension is Dimension.RATIO
    assert ratio.uncertainty / ratio.nominal == pytest.approx(0.025, rel=1e-3)  # first order


def test_law_by_its_slopes() -> None:
    # y = a b²: slopes b² = 9 and 2ab = 12 at a = 2, b = 3, so u² = (9·0.01)² + (12·0.02)².
    law = derived(lambda a, b: a * b * b, (Amount(2, 0.01, L), Amount(3, 0.02, L)), L)
    assert law.nominal == 18
    assert law.uncertainty == pytest.approx(sqrt(0.09**2 + 0.24**2), rel=1e-4)


def test_stated_bound_is_rectangular() -> None:
    # JCGM 100:2008, 4.3.7: half width over √3.
    amount = Amount.of(read_measure("412 ± 5 mm"))
    assert amount.uncertainty == pytest.approx(0.005 / sqrt(3))


# Standard normal distribution, any table: Φ(0), Φ(1), Φ(1.645), Φ(-2), Φ(3).
@pytest.mark.parametrize(
    ("z", "p"), [(0, 0.5), (1, 0.8413), (1.645, 0.9500), (-2, 0.0228), (3, 0.9987)]
)
def test_chance_follows_the_normal_table(z: float, p: float) -> None:
    # JCGM 106:2012, 7.2: conformance probability; the spreads 3 and 4 make 5.
    first, second = Amount(10.0, 3.0, P), Amount(10.0 + 5 * z, 4.0, P)
    assert (first < second).p == pytest.approx(p, abs=6e-5)
    assert (second > first).p == pytest.approx(p, abs=6e-5)
    assert (first < second).p + (second < first).p == pytest.approx(1)


def test_without_spread_it_is_yes_or_no() -> None:
    two, three = Amount(2.0, 0, P), Amount(3.0, 0, P)
    assert (below(two, three), below(three, two), below(two, two)) == (
        Chance(1), Chance(0), Chance(0),
    )  # fmt: skip


def test_chances_combine_within_the_bounds_of_frechet() -> None:
    # Fréchet: max(p, q) <= P(A or B) and P(A and B) <= min(p, q), from memory.
    assert Chance(0.3) | Chance(0.6) == Chance(0.6)
    assert Chance(0.3) & Chance(0.6) == Chance(0.3)


def test_two_kinds_do_not_compare() -> None:
    with pytest.raises(TypeError, match="length against pressure"):
        below(Amount(1, 0, L), Amount(1, 0, P))
    with pytest.raises(TypeError):
        Amount(1, 0, L) + Amount(1, 0, P)
