"""What must hold of any exchanger, whatever its numbers."""

import time
from typing import get_args

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.physics.cross_flow import both_unmixed
from swapwright.physics.exchangers import (
    Arrangement,
    Sides,
    conductance_at_rating,
    effectiveness,
    exchange,
    transfer_units,
)

ARRANGEMENTS: tuple[Arrangement, ...] = get_args(Arrangement)
MONOTONE = tuple(name for name in ARRANGEMENTS if name != "cross-flow, both mixed")
EXACT: Arrangement = "cross-flow, both unmixed"

units = st.floats(0.0, 300.0)
ratios = st.floats(0.0, 1.0)
rates = st.floats(0.01, 1e5)
temperatures = st.floats(230.0, 450.0)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@settings(deadline=None)
@given(n=units, ratio=ratios)
def test_effectiveness_is_a_share(arrangement: Arrangement, n: float, ratio: float) -> None:
    found = float(effectiveness(arrangement, n, ratio))
    assert -1e-12 <= found <= 1 + 1e-12


@pytest.mark.parametrize("arrangement", MONOTONE)
def test_more_units_move_no_less(arrangement: Arrangement) -> None:
    n = np.concatenate([np.linspace(0, 60, 4000), np.geomspace(61, 1e5, 200)])
    for ratio in (0.0, 1e-6, 0.1, 0.5, 0.9, 1.0):
        # 1e-6: where the sum of cross-flow gives way to its moments the two differ by as much
        assert np.all(np.diff(effectiveness(arrangement, n, ratio)) > -1e-6)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@settings(deadline=None)
@given(n=st.floats(0.0, 40.0), ratio=st.floats(0.0, 0.98))
def test_nearer_rates_move_no_more(arrangement: Arrangement, n: float, ratio: float) -> None:
    unequal, nearer = effectiveness(arrangement, n, [ratio, ratio + 0.02])
    assert nearer <= unequal + 1e-9


@settings(deadline=None)
@given(n=st.floats(0.0, 100.0), ratio=ratios)
def test_counterflow_is_best_and_parallel_worst(n: float, ratio: float) -> None:
    best = float(effectiveness("counterflow", n, ratio))
    worst = float(effectiveness("parallel flow", n, ratio))
    for arrangement in ("cross-flow, both unmixed", "cross-flow, smaller mixed",
                        "cross-flow, larger mixed"):  # fmt: skip
        share = float(effectiveness(arrangement, n, ratio))
        assert worst - 1e-6 <= share <= best + 1e-6


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_one_huge_stream_makes_all_alike(arrangement: Arrangement) -> None:
    n = np.linspace(0, 20, 50)
    limit = -np.expm1(-n)
    assert effectiveness(arrangement, n, 0.0) == pytest.approx(limit, abs=1e-12)
    assert effectiveness(arrangement, n, 1e-9) == pytest.approx(limit, abs=1e-7)


# What an endless exchanger reaches, by the formulas' limits.
ENDLESS: list[tuple[Arrangement, float, float]] = [
    ("counterflow", 0.5, 1.0),
    ("parallel flow", 0.5, 1 / 1.5),
    ("cross-flow, both unmixed", 0.5, 1.0),
    ("cross-flow, both unmixed, approximate", 0.5, 1.0),
    ("cross-flow, smaller mixed", 0.5, 1 - np.exp(-2.0)),
    ("cross-flow, larger mixed", 0.5, 2 * (1 - np.exp(-0.5))),
    ("cross-flow, both mixed", 0.5, 1 / 1.5),
    ("cross-flow, both mixed", 1.0, 0.5),
]


@pytest.mark.parametrize("arrangement, ratio, limit", ENDLESS)
def test_endless_exchanger_reaches_its_limit(
    arrangement: Arrangement, ratio: float, limit: float
) -> None:
    assert float(effectiveness(arrangement, 1e6, ratio)) == pytest.approx(limit, abs=1e-5)


def test_both_mixed_has_a_greatest_value() -> None:
    n = np.linspace(0.1, 20, 2000)
    share = effectiveness("cross-flow, both mixed", n, 1.0)
    top = n[share.argmax()]
    assert top == pytest.approx(2.987, abs=0.01)  # root of u = sinh(u)/sqrt(2), doubled
    assert transfer_units("cross-flow, both mixed", share.max() - 1e-6, 1.0) < top
    with pytest.raises(ValueError, match="cannot reach effectiveness"):
        transfer_units("cross-flow, both mixed", share.max() + 1e-4, 1.0)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@settings(deadline=None)
@given(n=st.floats(0.0, 3.0), ratio=ratios)
def test_inverse_undoes_the_law(arrangement: Arrangement, n: float, ratio: float) -> None:
    found = transfer_units(arrangement, effectiveness(arrangement, n, ratio), ratio)
    assert float(found) == pytest.approx(n, rel=1e-6, abs=1e-9)


def test_inverse_undoes_long_exchangers() -> None:
    n, ratio = np.array([12.0, 35.0, 90.0, 20.0]), np.array([0.9, 1.0, 0.99, 0.5])
    found = transfer_units(EXACT, effectiveness(EXACT, n, ratio), ratio)
    assert found == pytest.approx(n, rel=1e-6)


UNREACHABLE: list[tuple[Arrangement, float, float]] = [
    ("counterflow", 1.0, 0.5),
    ("parallel flow", 0.7, 0.5),
    ("cross-flow, smaller mixed", 0.88, 0.5),
    ("cross-flow, larger mixed", 0.8, 0.5),
    ("cross-flow, both unmixed", 1.0, 0.5),
    ("cross-flow, both mixed", 0.9, 0.5),
    ("counterflow", 1.0, 0.0),
]


@pytest.mark.parametrize("arrangement, share, ratio", UNREACHABLE)
def test_what_no_exchanger_reaches_is_refused(
    arrangement: Arrangement, share: float, ratio: float
) -> None:
    with pytest.raises(ValueError, match="cannot reach effectiveness"):
        transfer_units(arrangement, [0.1, share], ratio)


@pytest.mark.parametrize("sides", get_args(Sides))
@settings(deadline=None)
@given(
    ua=st.floats(0.0, 1e5), first=rates, second=rates, warm=temperatures, cool=temperatures
)  # fmt: skip
def test_heat_given_is_heat_taken(
    sides: Sides, ua: float, first: float, second: float, warm: float, cool: float
) -> None:
    done = exchange(sides, ua, first, second, warm, cool)
    heat = float(done.heat)
    scale = 1e-9 * (first + second) * 450
    assert first * (warm - float(done.first_out)) == pytest.approx(heat, abs=scale)
    assert second * (float(done.second_out) - cool) == pytest.approx(heat, abs=scale)
    assert heat * (warm - cool) >= 0  # never uphill
    for outlet in (float(done.first_out), float(done.second_out)):
        assert min(warm, cool) - 1e-9 <= outlet <= max(warm, cool) + 1e-9


@pytest.mark.parametrize("sides", get_args(Sides))
@settings(deadline=None)
@given(ua=st.floats(1.0, 2e3), first=st.floats(800, 1e5), second=st.floats(800, 1e5))
def test_rating_gives_conductance_back(
    sides: Sides, ua: float, first: float, second: float
) -> None:
    heat = exchange(sides, ua, first, second, 360.0, 300.0).heat
    found = conductance_at_rating(sides, heat, first, second, 360.0, 300.0)
    assert float(found) == pytest.approx(ua, rel=1e-6)


def test_swapping_the_streams_swaps_the_results() -> None:
    there = exchange("cross-flow, first mixed", 900.0, 2000.0, 700.0, 360.0, 300.0)
    back = exchange("cross-flow, second mixed", 900.0, 700.0, 2000.0, 300.0, 360.0)
    assert float(back.heat) == pytest.approx(-float(there.heat), rel=1e-12)
    assert float(back.first_out) == pytest.approx(float(there.second_out), rel=1e-12)


def test_mixed_side_follows_the_smaller_stream_sample_by_sample() -> None:
    done = exchange("cross-flow, first mixed", 1000.0, [500.0, 2000.0], [1000.0] * 2, 350, 300)
    assert done.effectiveness[0] == effectiveness("cross-flow, smaller mixed", 2.0, 0.5)
    assert done.effectiveness[1] == effectiveness("cross-flow, larger mixed", 1.0, 0.5)


def test_streams_that_stand_still() -> None:
    done = exchange(EXACT, 500.0, [0.0, 100.0, 0.0, 1e-320], [100.0, 0.0, 0.0, 100.0], 360, 300)
    assert done.heat == pytest.approx(0.0, abs=1e-12)
    assert done.first_out == pytest.approx([300, 360, 360, 300])
    assert done.second_out == pytest.approx([300, 360, 300, 300])
    idle = exchange(EXACT, 0.0, [0.0, 50.0], [50.0, 0.0], 360, 300)
    assert idle.first_out == pytest.approx(360)
    assert idle.second_out == pytest.approx(300)


def test_cross_flow_joins_its_three_ranges() -> None:
    for mean in (6.0, 40.0):
        for ratio in (0.05, 0.5, 1.0):
            below, above = both_unmixed(
                np.array([mean - 1e-7, mean + 1e-7]) / ratio, np.full(2, ratio)
            )
            assert above == pytest.approx(below, abs=1e-6)


def test_cross_flow_answers_sample_by_sample() -> None:
    n = np.array([0.3, 9.0, 60.0, 700.0, 5.0])
    ratio = np.array([0.2, 0.9, 0.8, 1.0, 1.0])
    alone = [float(both_unmixed(n[i : i + 1], ratio[i : i + 1])[0]) for i in range(5)]
    assert both_unmixed(n, ratio) == pytest.approx(alone, abs=1e-10)


def test_cross_flow_of_what_is_no_number_is_none() -> None:
    found = both_unmixed(np.array([1.0, np.nan, 2.0]), np.array([0.5, 0.5, np.nan]))
    assert np.isnan(found[1:]).all()
    beside = both_unmixed(np.array([1.0, 9.0, np.nan]), np.array([0.5, 0.9, 0.5]))
    assert np.isnan(beside[2])


@pytest.mark.parametrize("bad", [np.nan, np.inf, -1.0])
def test_nonsense_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="transfer_units"):
        effectiveness(EXACT, [1.0, bad], 0.5)
    with pytest.raises(ValueError, match="capacity_ratio"):
        effectiveness(EXACT, 1.0, [0.5, bad])
    with pytest.raises(ValueError, match="effectiveness"):
        transfer_units(EXACT, [0.5, bad], 0.5)
    with pytest.raises(ValueError, match="conductance"):
        exchange(EXACT, bad, 100.0, 100.0, 360.0, 300.0)
    with pytest.raises(ValueError, match="second_capacity_rate"):
        exchange(EXACT, 10.0, 100.0, bad, 360.0, 300.0)
    with pytest.raises(ValueError, match="first_in"):
        exchange(EXACT, 10.0, 100.0, 100.0, bad, 300.0)


def test_unknown_arrangements_and_ratings_are_refused() -> None:
    with pytest.raises(ValueError, match="is not one of"):
        effectiveness("sideways", 1.0, 0.5)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="is not one of"):
        transfer_units("sideways", 0.5, 0.5)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="share of the greatest"):
        conductance_at_rating(EXACT, -100.0, 50.0, 50.0, 360.0, 300.0)
    with pytest.raises(ValueError, match="must differ"):
        conductance_at_rating(EXACT, 100.0, 50.0, 50.0, 300.0, 300.0)


def test_ten_thousand_samples_take_milliseconds() -> None:
    draw = np.random.default_rng(5)
    n, ratio = draw.uniform(0.2, 5, 10_000), draw.uniform(0, 1, 10_000)
    times = []
    for _ in range(15):
        start = time.perf_counter()
        effectiveness(EXACT, n, ratio)
        times.append(time.perf_counter() - start)
    assert min(times) < 8e-3  # about 1 ms where nothing else runs; four times room and more


def test_effectiveness_never_passes_the_whole() -> None:
    """Where a stream is all but spent a series of many terms rounds to just past one."""
    units, ratio = np.exp(np.linspace(-3, 12, 4001)), np.linspace(0, 1, 4001) ** 4
    share = effectiveness("cross-flow, both unmixed", units, ratio[:, np.newaxis])
    assert share.max() <= 1.0
