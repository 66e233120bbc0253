"""What must hold of a closed vessel: air, liquid and room are kept account of."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from swapwright.physics.tanks import ClosedVessel, VesselState, settled

COLD, HOT = 293.15, 373.15
AMBIENT, RELIEF, VACUUM = 101325.0, 201325.0, 96325.0
COLD_VAPOUR, HOT_VAPOUR, GROWTH = 1.8e3, 76e3, 0.0493
litres = st.floats(0.05e-3, 3e-3)
compliances = st.sampled_from((0.0, 1e-10, 1e-9, 1e-8))


def filled(
    gas: float | list[float],
    *,
    relief: float = RELIEF,
    vacuum: float = VACUUM,
    bottle: float | None = None,
    compliance: float = 0.0,
) -> ClosedVessel:
    return ClosedVessel(8e-3, gas, COLD, AMBIENT, COLD_VAPOUR, relief, vacuum, bottle, compliance)


def warmed(vessel: ClosedVessel) -> VesselState:
    return settled(vessel, GROWTH, HOT, HOT_VAPOUR)


def cooled(vessel: ClosedVessel, start: VesselState) -> VesselState:
    return settled(vessel, 0.0, COLD, COLD_VAPOUR, start=start)


def accounts_balance(vessel: ClosedVessel, state: VesselState, growth: float) -> None:
    """Room and liquid of any state, from their definitions."""
    give = np.asarray(vessel.compliance) * (state.pressure - np.asarray(vessel.pressure))
    room = np.asarray(vessel.liquid) + np.asarray(vessel.gas) + give
    assert state.liquid + state.gas == pytest.approx(room, abs=1e-12)
    inside = np.asarray(vessel.liquid) - state.liquid_out
    assert state.liquid == pytest.approx(inside * (1 + growth), abs=1e-12)
    assert (state.gas >= 0).all()


@given(litres, compliances)
def test_nothing_changes_without_change(gas: float, compliance: float) -> None:
    vessel = filled(gas, compliance=compliance)
    state = settled(vessel, 0.0, COLD, COLD_VAPOUR)
    assert state.pressure == pytest.approx(AMBIENT, rel=1e-12)
    assert state.gas == pytest.approx(gas, rel=1e-9)
    assert state.liquid_out == 0
    assert not (state.relieving or state.drawing or state.boiling)


@given(litres, compliances)
def test_shut_vessel_keeps_its_air_and_liquid(gas: float, compliance: float) -> None:
    vessel = filled(gas, relief=np.inf, vacuum=0.0, compliance=compliance)
    hot = warmed(vessel)
    assume(np.isfinite(hot.pressure))
    accounts_balance(vessel, hot, GROWTH)
    carried = (hot.pressure - HOT_VAPOUR) * hot.gas / HOT
    assert carried == pytest.approx((AMBIENT - COLD_VAPOUR) * gas / COLD, rel=1e-6)
    back = cooled(vessel, hot)
    assert back.pressure == pytest.approx(AMBIENT, rel=1e-9)
    assert back.gas == pytest.approx(gas, rel=1e-9)


@given(litres, compliances, st.sampled_from((None, 0.0, 0.2e-3, 5e-3)))
def test_valves_hold_their_pressures(gas: float, compliance: float, bottle: float | None) -> None:
    vessel = filled(gas, bottle=bottle, compliance=compliance)
    hot = warmed(vessel)
    accounts_balance(vessel, hot, GROWTH)
    assert hot.pressure <= RELIEF * (1 + 1e-12)
    assert hot.relieving == (hot.pressure == pytest.approx(RELIEF, rel=1e-12))
    back = cooled(vessel, hot)
    accounts_balance(vessel, back, 0.0)
    assert back.pressure >= VACUUM * (1 - 1e-12)
    assert back.drawing == (back.pressure == pytest.approx(VACUUM, rel=1e-12))
    for state, at, vapour in ((hot, HOT, HOT_VAPOUR), (back, COLD, COLD_VAPOUR)):
        carried = (state.pressure - vapour) * state.gas / at
        assert state.air == pytest.approx(carried, abs=1e-9)


def test_gas_goes_before_liquid() -> None:
    hot = warmed(filled([0.8e-3, 0.3e-3, 0.0]))
    assert hot.relieving.all()
    assert hot.gas == pytest.approx([0.8e-3 - 8e-3 * GROWTH, 0, 0], abs=1e-15)
    assert hot.liquid_out[0] == 0
    assert not hot.boiling.any()
    over = (8e-3 * GROWTH - np.array([0.3e-3, 0])) / (1 + GROWTH)
    assert hot.liquid_out[1:] == pytest.approx(over, rel=1e-12)
    assert hot.air[0] > 0
    assert (hot.air[1:] == 0).all()


def test_without_bottle_air_comes_back_for_liquid() -> None:
    vessel = filled(0.0)
    hot = warmed(vessel)
    back = cooled(vessel, hot)
    assert back.drawing
    assert back.liquid_out == hot.liquid_out > 0
    assert back.gas == pytest.approx(hot.liquid_out, rel=1e-12)
    assert back.air == pytest.approx((VACUUM - COLD_VAPOUR) * back.gas / COLD, rel=1e-12)


def test_bottle_gives_back_what_it_took_and_no_more_than_it_has() -> None:
    vessel = filled([0.0, 0.0, 0.8e-3, 0.8e-3], bottle=0.0)
    back = cooled(vessel, warmed(vessel))
    assert back.liquid_out == pytest.approx(0, abs=1e-15)
    assert back.gas[:2] == pytest.approx(0, abs=1e-15)
    rich = filled(0.8e-3, bottle=5e-3)
    purged = cooled(rich, warmed(rich))
    assert purged.air == pytest.approx(warmed(rich).air, rel=1e-9)  # the bottle lets no air in
    left = purged.air * COLD / (VACUUM - COLD_VAPOUR)
    assert purged.gas == pytest.approx(left, rel=1e-12)
    assert purged.liquid_out == pytest.approx(left - 0.8e-3, rel=1e-9)  # taken for the lost air
    short = filled(0.8e-3, bottle=0.1e-3)
    assert cooled(short, warmed(short)).liquid_out == pytest.approx(-0.1e-3, rel=1e-12)


def test_bottle_empties_to_its_last_drop_in_the_cold() -> None:
    """What was drawn counts as it was filled, though colder it takes up less room."""
    vessel = filled(0.0, bottle=0.05e-3)
    winter = settled(vessel, -0.02, COLD - 40, 50.0)
    assert winter.liquid_out == pytest.approx(-0.05e-3, rel=1e-12)
    assert winter.liquid == pytest.approx(8.05e-3 * 0.98, rel=1e-12)
    assert winter.gas == pytest.approx(8e-3 - 8.05e-3 * 0.98, rel=1e-9)


def test_cycles_with_a_bottle_purge_the_air() -> None:
    vessel = filled(0.3e-3, bottle=1e-3)
    first = cooled(vessel, warmed(vessel))
    second = settled(vessel, GROWTH, HOT, HOT_VAPOUR, start=first)
    assert first.gas == pytest.approx(0, abs=1e-15)
    assert cooled(vessel, second).liquid_out == pytest.approx(first.liquid_out, rel=1e-9)


def test_full_stiff_vessel_without_valve_has_no_bound() -> None:
    state = warmed(filled(0.3e-3, relief=np.inf, vacuum=0.0))
    assert np.isinf(state.pressure)
    assert state.gas == 0
    # walls that give 1 mL per bar for 394.4 mL less what the air had
    soft = warmed(filled(0.0, relief=np.inf, vacuum=0.0, compliance=1e-8))
    assert soft.pressure == pytest.approx(AMBIENT + 8e-3 * GROWTH / 1e-8, rel=1e-12)


def test_just_full_stiff_vessel_has_no_bound_with_air_and_vapour_pressure_without() -> None:
    vessel = ClosedVessel(4.0, [0.5, 0.0], COLD, AMBIENT, 0.0)
    state = settled(vessel, [0.125, 0.0], HOT, HOT_VAPOUR)
    assert state.pressure.tolist() == [np.inf, HOT_VAPOUR]
    assert state.gas.tolist() == [0, 0]


def test_softer_walls_lower_the_pressure() -> None:
    pressures = [
        float(warmed(filled(0.6e-3, relief=np.inf, compliance=give)).pressure)
        for give in (0.0, 1e-13, 1e-10, 1e-9, 1e-8)
    ]
    assert pressures[1] == pytest.approx(pressures[0], rel=1e-3)
    assert all(softer < stiffer for stiffer, softer in pairwise(pressures))


def test_growing_walls_lower_the_pressure_as_more_air_would() -> None:
    more = settled(filled(0.8e-3, relief=np.inf), GROWTH, HOT, 0.0, wall_growth=0.1e-3)
    less = settled(filled(0.8e-3, relief=np.inf), GROWTH, HOT, 0.0)
    assert more.gas == pytest.approx(less.gas + 0.1e-3, rel=1e-12)
    assert more.pressure < less.pressure


def test_vapour_over_the_relief_pressure_boils() -> None:
    state = settled(filled(0.8e-3), GROWTH, HOT + 30, RELIEF + 5e4)
    assert state.boiling
    assert state.relieving
    assert state.pressure == pytest.approx(RELIEF)
    assert state.air == 0


def test_no_air_and_less_liquid_leaves_vapour_alone() -> None:
    vessel = filled(0.0, vacuum=0.0)
    back = cooled(vessel, warmed(vessel))
    assert back.boiling
    assert back.pressure == pytest.approx(COLD_VAPOUR)


def test_vessel_without_valves_has_none() -> None:
    plain = ClosedVessel(8e-3, 0.0, COLD, AMBIENT, 0.0)
    back = settled(plain, -0.01, COLD, 0.0)
    assert back.pressure == 0
    assert not (back.drawing or back.relieving)
    stiff = settled(ClosedVessel(8e-3, 1e-3, COLD, AMBIENT, 0.0), 0.05, COLD, 0.0)
    assert stiff.pressure == pytest.approx(AMBIENT * 1 / 0.6, rel=1e-12)


def test_samples_are_alone() -> None:
    gases = [0.0, 0.2e-3, 0.5e-3, 2e-3]
    together = warmed(filled(gases, bottle=1e-4, compliance=1e-10))
    for i, gas in enumerate(gases):
        alone = warmed(filled(gas, bottle=1e-4, compliance=1e-10))
        for name in ("pressure", "gas", "liquid", "air", "liquid_out", "relieving", "boiling"):
            assert getattr(together, name)[i] == pytest.approx(getattr(alone, name), rel=1e-12)


@pytest.mark.parametrize(
    "changed, said",
    [
        ({"gas": -1e-3}, "gas"),
        ({"liquid": np.nan}, "liquid"),
        ({"temperature": 0.0}, "temperature"),
        ({"pressure": np.inf}, "pressure"),
        ({"vapour_pressure": 2e5}, "vapour_pressure"),
        ({"relief": 5e4, "vacuum": 9e4}, "relief"),
        ({"relief": np.nan}, "relief"),
        ({"vacuum": -1.0}, "vacuum"),
        ({"bottle": -1e-3}, "bottle"),
        ({"compliance": -1e-9}, "compliance"),
    ],
)
def test_impossible_vessels_are_refused(changed: dict[str, float], said: str) -> None:
    given = {
        "liquid": 8e-3,
        "gas": 1e-3,
        "temperature": COLD,
        "pressure": AMBIENT,
        "vapour_pressure": 0.0,
    }
    with pytest.raises(ValueError, match=said):
        ClosedVessel(**(given | changed))


def test_odd_changes_are_refused() -> None:
    vessel = filled(1e-3)
    with pytest.raises(ValueError, match="growth"):
        settled(vessel, -1.0, HOT, 0.0)
    with pytest.raises(ValueError, match="growth"):
        settled(vessel, np.nan, HOT, 0.0)
    with pytest.raises(ValueError, match=r"growth must be above -1, got -1\.5"):
        settled(vessel, [0.1, -1.5], HOT, 0.0)
    with pytest.raises(ValueError, match="temperature"):
        settled(vessel, 0.0, 0.0, 0.0)
    with pytest.raises(ValueError, match="vapour_pressure"):
        settled(vessel, 0.0, HOT, -1.0)
    with pytest.raises(ValueError, match="wall_growth"):
        settled(vessel, 0.0, HOT, 0.0, wall_growth=np.inf)
