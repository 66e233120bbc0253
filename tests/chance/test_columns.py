"""Columns of values: nominal in one world, inside their limits in all."""

from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.chance.columns import (
    ANYTHING,
    POSITIVE,
    SHARE,
    Within,
    choice,
    lognormal,
    measured,
    natural_limits,
    normal,
    rectangular,
    yes_or_no,
)
from swapwright.chance.samples import Sample
from swapwright.quantity import Basis, Dimension, Measure, combine, read_measure

MANY = Sample(4096)
CHANCES = MANY.uniform("x")


def of_readings(nominal: float, uncertainty: float, dimension: Dimension) -> Measure:
    return Measure(nominal, uncertainty, dimension, Basis.MEASURED, "", "readings")


@pytest.mark.parametrize(
    "text, least, greatest",
    [
        ("412 ± 5 mm", 0.407, 0.417),
        ("18..22 mm", 0.018, 0.022),
        ("90 ± 3 °C", 360.15, 366.15),
        ("-0.5 ± 0.2 bar", -7e4, -3e4),
    ],
)
def test_written_bound_is_rectangular(text: str, least: float, greatest: float) -> None:
    column = measured(MANY, "x", read_measure(text))
    # Even over the whole width and nowhere else.
    share = (column - least) / (greatest - least)
    assert np.sort(share) == pytest.approx((np.arange(4096) + 0.5) / 4096, abs=0.51 / 4096)


def test_accuracy_of_a_tool_is_rectangular() -> None:
    column = measured(MANY, "x", read_measure("38 mm", tool="calipers"))
    assert column.max() - column.min() == pytest.approx(1e-4, rel=1e-3)
    assert column.std() == pytest.approx(5e-5 / sqrt(3), rel=1e-3)


def test_several_readings_are_normal() -> None:
    combined = combine([read_measure(f"{t} bar") for t in (1.0, 1.2, 1.1, 0.9)])
    column = measured(MANY, "x", combined.measure)
    near = np.abs(column - combined.measure.nominal) < combined.measure.uncertainty
    assert near.mean() == pytest.approx(0.6827, abs=2 / 4096)  # two ends, one stratum each


def test_uncertainty_that_says_no_more_is_normal() -> None:
    plain = Measure(5.0, 0.1, Dimension.VOLTAGE, Basis.PUBLISHED, "")
    column = measured(MANY, "x", plain)
    assert np.mean(np.abs(column - 5.0) < 0.1) == pytest.approx(0.6827, abs=2 / 4096)


def test_readings_of_a_positive_quantity_are_lognormal() -> None:
    # 3 ± 2 mm as a deviation: a normal column would lose what lies below zero.
    wide = measured(MANY, "x", of_readings(3e-3, 2e-3, Dimension.LENGTH))
    assert wide == pytest.approx(lognormal(MANY.uniform("x"), 3e-3, 2e-3))
    assert wide.std() == pytest.approx(2e-3, rel=0.02)


def test_no_uncertainty_is_one_value() -> None:
    for text in ("38 mm", "25 %", "90 °C", "12 V"):
        measure = read_measure(text)
        assert set(measured(MANY, "x", measure)) == {measure.nominal}


@given(
    st.floats(1e-6, 1e6),
    st.floats(0, 1e6),
    st.sampled_from(["stated", "tool", "readings", "not stated"]),
    st.sampled_from([d for d in Dimension if d is not Dimension.RATIO]),
)
def test_one_world_is_the_nominal_value(
    nominal: float, uncertainty: float, spread: str, dimension: Dimension
) -> None:
    measure = Measure(nominal, uncertainty, dimension, Basis.TYPICAL, "", spread)  # type: ignore[arg-type]
    assert measured(Sample(1), "x", measure).tolist() == [nominal]


@given(st.floats(0, 1), st.floats(0, 3), st.sampled_from(["stated", "readings"]))
def test_share_stays_a_share(nominal: float, uncertainty: float, spread: str) -> None:
    measure = Measure(nominal, uncertainty, Dimension.RATIO, Basis.TYPICAL, "", spread)  # type: ignore[arg-type]
    column = measured(Sample(256), "x", measure)
    assert np.all((column >= 0) & (column <= 1))
    assert np.mean(column <= nominal) >= 0.5
    assert np.mean(column >= nominal) >= 0.5
    assert measured(Sample(1), "x", measure).tolist() == [nominal]


@given(st.floats(1e-3, 1e3), st.floats(0, 1e4), st.sampled_from(["stated", "readings"]))
def test_positive_quantity_stays_positive(nominal: float, uncertainty: float, spread: str) -> None:
    measure = Measure(nominal, uncertainty, Dimension.LENGTH, Basis.TYPICAL, "", spread)  # type: ignore[arg-type]
    column = measured(Sample(256), "x", measure)
    assert np.all(column > 0)
    assert np.mean(column < nominal) == pytest.approx(0.5, abs=0.5 if uncertainty < 1e-9 else 0)


@pytest.mark.parametrize(
    "measure, within",
    [
        (of_readings(0.0, 1, Dimension.LENGTH), ANYTHING),
        (of_readings(-0.03, 1, Dimension.LENGTH), ANYTHING),
        (of_readings(0.03, 1, Dimension.LENGTH), POSITIVE),
        (of_readings(0.0, 1, Dimension.MASS), POSITIVE),
        (of_readings(3.9, 1, Dimension.RATIO), POSITIVE),
        (of_readings(1.0, 1, Dimension.RATIO), SHARE),
        (of_readings(0.0, 1, Dimension.RATIO), SHARE),
        (of_readings(1e4, 1, Dimension.PRESSURE), ANYTHING),
        (of_readings(1e5, 1, Dimension.ABSOLUTE_PRESSURE), POSITIVE),
        (of_readings(5.0, 1, Dimension.TEMPERATURE_DIFFERENCE), ANYTHING),
        (of_readings(360.0, 1, Dimension.TEMPERATURE), POSITIVE),
    ],
)
def test_natural_limits(measure: Measure, within: Within) -> None:
    assert natural_limits(measure) == within


def test_caller_knows_limits_better() -> None:
    overdrive = read_measure("0.98 ± 0.1", Dimension.RATIO)
    assert measured(MANY, "x", overdrive).max() <= 1
    assert measured(MANY, "x", overdrive, POSITIVE).max() > 1.07
    place = read_measure("2 ± 5 mm")
    assert measured(MANY, "x", place, ANYTHING).min() < -0.0029


def test_side_that_is_cut_keeps_half_the_chance() -> None:
    cut = rectangular(CHANCES, 5.0, 8.0, POSITIVE)
    assert np.mean(cut < 5) == 0.5
    assert np.mean(cut < 2.5) == pytest.approx(0.25, abs=1 / 4096)
    assert cut.max() == pytest.approx(13.0, abs=0.01)
    assert np.mean(cut > 9) == pytest.approx(0.25, abs=1 / 4096)


def test_upper_side_that_is_cut_is_even_up_to_its_limit() -> None:
    cut = rectangular(CHANCES, 0.9, 0.3, SHARE)
    assert cut.min() == pytest.approx(0.6, abs=1e-3)
    assert np.mean(cut > 0.9) == 0.5
    assert np.mean(cut > 0.95) == pytest.approx(0.25, abs=1 / 4096)


def test_normal_side_that_is_cut_keeps_its_shape() -> None:
    cut = normal(CHANCES, 0.9, 0.1, SHARE)
    free = normal(CHANCES, 0.9, 0.1)
    assert np.mean(cut > 0.9) == 0.5
    assert cut[cut < 0.9] == pytest.approx(free[free < 0.9], rel=1e-9)
    # Half a normal cut at one deviation: the lower 0.1915 of 0.3413 lies within half of it.
    assert np.mean(cut[cut > 0.9] < 0.95) == pytest.approx(0.1915 / 0.3413, abs=3 / 4096)


def test_nominal_value_on_a_limit_has_half_the_chance() -> None:
    for column in (rectangular(CHANCES, 1.0, 0.1, SHARE), normal(CHANCES, 1.0, 0.1, SHARE)):
        assert np.mean(column == 1.0) == 0.5
        assert column.min() < 0.91


def test_columns_rise_with_chance() -> None:
    rising = np.sort(CHANCES)
    for column in (
        rectangular(rising, 5.0, 8.0, POSITIVE),
        normal(rising, 0.9, 0.3, SHARE),
        lognormal(rising, 2.0, 5.0),
    ):
        assert np.all(np.diff(column) > 0)


def test_lognormal_is_next_to_normal_where_it_is_narrow() -> None:
    far = lognormal(CHANCES, 10.0, 0.1) - normal(CHANCES, 10.0, 0.1)
    # To second order u²/m z²/2, that is 0.0005 z², and about z/3 % more by the third.
    z = normal(CHANCES, 0.0, 1.0)
    assert np.abs(far) == pytest.approx(0.0005 * z**2, rel=0.02, abs=1e-4)
    assert lognormal(CHANCES, 1.0, 1e-9).std() == pytest.approx(1e-9, rel=1e-3)


@pytest.mark.parametrize("bad", [0.0, 1.0, -0.1, nan])
def test_chance_at_the_end_is_refused(bad: float) -> None:
    for column in (rectangular, normal, lognormal):
        with pytest.raises(ValueError, match="chances must lie between 0 and 1"):
            column([0.5, bad], 1.0, 1.0)


@pytest.mark.parametrize("nominal, width", [(nan, 1.0), (1.0, inf), (inf, 1.0), (1.0, nan)])
def test_quantity_that_is_not_finite_is_refused(nominal: float, width: float) -> None:
    for column in (rectangular, normal, lognormal):
        with pytest.raises(ValueError, match="must be finite"):
            column([0.3], nominal, width)


def test_negative_spread_is_refused() -> None:
    for column in (rectangular, normal, lognormal):
        with pytest.raises(ValueError, match="must not be negative, got -1"):
            column([0.3], 2.0, -1.0)


def test_nominal_value_outside_its_limits_is_refused() -> None:
    for column in (rectangular, normal):
        with pytest.raises(ValueError, match=r"1\.2 lies outside 0 to 1"):
            column([0.3], 1.2, 0.1, SHARE)
    with pytest.raises(ValueError, match="-1 lies outside 0 to inf"):
        lognormal([0.3], -1.0, 0.1)
    with pytest.raises(ValueError, match="positive median, got 0"):
        lognormal([0.3], 0.0, 0.1)


@pytest.mark.parametrize("probability", [0.0, 0.001, 0.3, 0.5, 1.0])
def test_yes_holds_as_often_as_it_should(probability: float) -> None:
    holds = yes_or_no(MANY, "x", probability)
    assert holds.mean() == pytest.approx(probability, abs=1 / 4096)
    if probability in (0, 1):
        assert set(holds) == {bool(probability)}


def test_one_world_says_yes_from_even_chances_upward() -> None:
    said = [bool(yes_or_no(Sample(1), "x", p)[0]) for p in (0.0, 0.49, 0.5, 1.0)]
    assert said == [False, False, True, True]


@pytest.mark.parametrize("probability", [-0.1, 1.1, nan])
def test_no_probability_is_refused(probability: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        yes_or_no(MANY, "x", probability)


def test_choices_come_by_weight() -> None:
    chosen = choice(MANY, "x", {"wax": 3, "none": 0, "held open": 1, "stuck": 4, "gone": 0})
    for key, share in (("wax", 3 / 8), ("held open", 1 / 8), ("stuck", 1 / 2)):
        assert np.mean(chosen == key) == pytest.approx(share, abs=2 / 4096)
    assert set(chosen) == {"wax", "held open", "stuck"}
    assert set(choice(MANY, "x", {"none": 0, "wax": 2})) == {"wax"}


def test_one_world_takes_the_heaviest_choice() -> None:
    # Not the one in the middle of the list, where the median would fall.
    one = Sample(1)
    assert choice(one, "x", {"a": 3, "b": 3, "c": 4}).tolist() == ["c"]
    assert choice(one, "x", {"a": 3, "b": 3}).tolist() == ["a"]


@pytest.mark.parametrize("weights", [{}, {"a": 0.0}, {"a": -1.0, "b": 2.0}, {"a": nan}, {"a": inf}])
def test_weights_that_say_nothing_are_refused(weights: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="weights must be"):
        choice(MANY, "x", weights)
