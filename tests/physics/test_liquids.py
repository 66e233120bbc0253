"""What must hold of a liquid's properties whatever the table says."""

import csv
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from swapwright.physics.liquids import (
    COLDEST,
    HOTTEST,
    Glycol,
    Mixture,
    freezing_temperature,
    liquid,
    share_for_freezing,
    thermal_growth,
)

ZERO = 273.15
glycols = st.sampled_from(("ethylene", "propylene"))
shares = st.floats(0, 0.7)
temperatures = st.floats(COLDEST, HOTTEST)
NAMES = ("density", "viscosity", "heat_capacity", "conductivity", "extrapolated", "frozen")


def test_nodes_of_the_table_come_back_with_their_marks() -> None:
    text = (files("swapwright.physics") / "tables" / "liquids.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
    both: tuple[Glycol, ...] = ("ethylene", "propylene")
    for glycol in both:
        own = [row for row in rows if row["glycol"] == glycol]

        def column(name: str, own: list[dict[str, str]] = own) -> NDArray[np.float64]:
            return np.array([float(row[name]) for row in own])

        state = liquid(glycol, column("share"), column("temperature_C") + ZERO)
        assert state.density == pytest.approx(column("density_kg_m3"), rel=1e-9)
        assert state.viscosity == pytest.approx(column("viscosity_mPa_s") * 1e-3, rel=1e-9)
        assert state.heat_capacity == pytest.approx(column("heat_capacity_J_kgK"), rel=1e-9)
        assert state.conductivity == pytest.approx(column("conductivity_W_mK"), rel=1e-9)
        marks = np.array([row["mark"] == "extrapolated" for row in own])
        assert (state.extrapolated == marks).all()


@given(glycols, shares)
def test_warmer_is_thinner(glycol: Glycol, share: float) -> None:
    at = np.linspace(COLDEST, HOTTEST, 500)
    state = liquid(glycol, share, at)
    assert (np.diff(state.viscosity) < 0).all()
    # water is densest at 4 °C, lean mixtures a little above freezing
    warm = at[:-1] > 5 + ZERO
    assert (np.diff(state.density)[warm] < 0).all()
    for name in NAMES[:4]:
        assert (getattr(state, name) > 0).all()


@given(glycols, st.floats(10, 95))
def test_richer_is_thicker_and_holds_and_conducts_less(glycol: Glycol, celsius: float) -> None:
    richer = np.linspace(0.05, 0.7, 200)
    state = liquid(glycol, richer, celsius + ZERO)
    assert (np.diff(state.viscosity) > 0).all()
    assert (np.diff(state.heat_capacity) < 0).all()
    assert (np.diff(state.conductivity) < 0).all()


@given(glycols, st.floats(0.05, 0.6), temperatures)
def test_frozen_is_below_the_freezing_point(glycol: Glycol, share: float, at: float) -> None:
    state = liquid(glycol, share, at)
    assert state.frozen == (at < freezing_temperature(glycol, share).temperature)
    assert not state.frozen or state.extrapolated


def test_marks_begin_where_the_source_ends() -> None:
    celsius = np.array([-36.0, -34.0, 99.9, 100.1])
    state = liquid("ethylene", 0.58, celsius + ZERO)
    assert state.extrapolated.tolist() == [True, False, False, True]
    assert liquid("ethylene", [0.6, 0.61], 20 + ZERO).extrapolated.tolist() == [False, True]
    water = liquid("ethylene", 0.0, np.array([-0.1, 0.1, 120.0]) + ZERO)
    assert water.extrapolated.tolist() == [True, False, False]


@settings(max_examples=20)
@given(glycols, st.lists(shares, min_size=3, max_size=3), st.data())
def test_arrays_are_their_samples(glycol: Glycol, many: list[float], data: st.DataObject) -> None:
    at = np.array(data.draw(st.lists(temperatures, min_size=6, max_size=6))).reshape(2, 3)
    together = liquid(glycol, np.array(many), at)
    for link in range(2):
        for sample in range(3):
            alone = liquid(glycol, many[sample], at[link, sample])
            for name in NAMES:
                assert getattr(together, name)[link, sample] == getattr(alone, name)


@given(glycols, shares, temperatures)
def test_single_properties_are_those_of_the_state(glycol: Glycol, share: float, at: float) -> None:
    mixture = Mixture(glycol, share)
    state = mixture.at(at)
    assert mixture.density(at) == state.density
    assert mixture.viscosity(at) == state.viscosity
    assert mixture.heat_capacity(at) == state.heat_capacity


def test_liquids_without_glycol_are_one() -> None:
    at = np.linspace(COLDEST, HOTTEST, 50)
    for name in NAMES:
        ethylene = getattr(liquid("ethylene", 0.0, at), name)
        assert (ethylene == getattr(liquid("propylene", 0.0, at), name)).all()
    assert liquid("propylene", 0.5, 300.0).density < liquid("ethylene", 0.5, 300.0).density


@given(glycols, shares, temperatures, temperatures)
def test_growth_there_and_back_is_none(glycol: Glycol, share: float, a: float, b: float) -> None:
    there, back = thermal_growth(glycol, share, a, b), thermal_growth(glycol, share, b, a)
    assert (1 + there) * (1 + back) == pytest.approx(1, rel=1e-12)


@given(glycols, st.floats(0, 0.6))
def test_share_for_freezing_inverts(glycol: Glycol, share: float) -> None:
    wanted = freezing_temperature(glycol, share).temperature
    assert share_for_freezing(glycol, wanted) == pytest.approx(share, abs=1e-9)


def test_freezing_falls_and_is_held_where_unknown() -> None:
    freezing = freezing_temperature("ethylene", np.linspace(0, 0.7, 141))
    known = np.linspace(0, 0.7, 141) <= 0.6 + 1e-9
    assert (freezing.extrapolated == ~known).all()
    assert (np.diff(freezing.temperature[known]) < 0).all()
    assert freezing.temperature[~known] == pytest.approx(freezing.temperature[known][-1])


def test_no_glycol_is_wanted_above_freezing() -> None:
    assert share_for_freezing("propylene", np.array([273.15, 280.0, 400.0])).tolist() == [0, 0, 0]


def test_percent_of_seventy_is_allowed() -> None:
    assert liquid("ethylene", 70 * 0.01, 300.0).extrapolated  # 0.7000000000000001


@pytest.mark.parametrize("share", [-0.01, 0.71, np.nan, np.inf])
def test_wrong_share_is_refused(share: float) -> None:
    for call in (
        lambda: liquid("ethylene", share, 300.0),
        lambda: Mixture("ethylene", [0.5, share]),
        lambda: freezing_temperature("ethylene", share),
        lambda: thermal_growth("ethylene", share, 290.0, 300.0),
    ):
        with pytest.raises(ValueError, match="share must"):
            call()


@pytest.mark.parametrize("at", [233.0, 403.2, np.nan, np.inf, -np.inf])
def test_wrong_temperature_is_refused_or_nan(at: float) -> None:
    mixture = Mixture("ethylene", [0.4, 0.0])
    for read in (mixture.at, mixture.density, mixture.viscosity, mixture.heat_capacity):
        with pytest.raises(ValueError, match="temperature must"):
            read([at, 300.0])
    with pytest.raises(ValueError, match="temperature must"):
        thermal_growth("ethylene", 0.5, 300.0, at)
    state, whole = mixture.at([[at], [300.0]], outside="nan"), mixture.at(300.0)
    for name in NAMES[:4]:
        assert np.isnan(getattr(state, name)[0]).all()
        assert (getattr(state, name)[1] == getattr(whole, name)).all()
    assert state.extrapolated[0].all()
    assert np.isnan(mixture.density([at, 300.0], outside="nan")).tolist() == [True, False]
    assert np.isnan(mixture.viscosity([at, 300.0], outside="nan")).tolist() == [True, False]
    assert np.isnan(mixture.heat_capacity([at, 300.0], outside="nan")).tolist() == [True, False]


def test_ends_of_the_range_are_inside() -> None:
    state = liquid("ethylene", 0.5, [-40 + ZERO, 130 + ZERO], outside="nan")
    assert (state.density > 900).all()


def test_other_glycols_are_refused() -> None:
    for call in (
        lambda: Mixture("diethylene", 0.5),  # type: ignore[arg-type]
        lambda: freezing_temperature("diethylene", 0.5),  # type: ignore[arg-type]
        lambda: share_for_freezing("diethylene", 260.0),  # type: ignore[arg-type]
    ):
        with pytest.raises(ValueError, match="glycol must"):
            call()


@pytest.mark.parametrize("wanted", [220.0, np.nan, np.inf])
def test_colder_than_known_is_refused(wanted: float) -> None:
    with pytest.raises(ValueError, match="wanted must"):
        share_for_freezing("ethylene", wanted)
