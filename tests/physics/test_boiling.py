"""What must hold of vapour pressure and boiling."""

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from swapwright.physics.boiling import (
    boiling_temperature,
    vapour_pressure,
    water_boiling_temperature,
    water_vapour_pressure,
)
from swapwright.physics.liquids import Glycol

glycols = st.sampled_from(("ethylene", "propylene"))
shares = st.floats(0, 0.7)


@given(st.floats(233.15, 647.0))
def test_water_boils_where_its_pressure_says(kelvin: float) -> None:
    # near the critical point the backward formula is steep
    assert water_boiling_temperature(water_vapour_pressure(kelvin)) == pytest.approx(
        kelvin, abs=1e-6
    )


@given(glycols, shares, st.floats(233.2, 473.1))
def test_mixture_boils_where_its_pressure_says(glycol: Glycol, share: float, kelvin: float) -> None:
    pressure = vapour_pressure(glycol, share, kelvin)
    assert boiling_temperature(glycol, share, pressure) == pytest.approx(kelvin, abs=1e-8)


@given(glycols, st.floats(0, 0.69), st.floats(300, 470))
def test_richer_boils_higher(glycol: Glycol, share: float, kelvin: float) -> None:
    lean, rich = vapour_pressure(glycol, np.array([share, share + 0.01]), kelvin)
    assert rich < lean <= water_vapour_pressure(kelvin)
    lean, rich = boiling_temperature(glycol, np.array([share, share + 0.01]), 1.5e5)
    assert lean < rich


def test_arrays_are_their_samples() -> None:
    many, pressures = np.linspace(0, 0.7, 8), np.linspace(5e4, 3e5, 5)[:, None]
    together = boiling_temperature("ethylene", many, pressures)
    assert together.shape == (5, 8)
    for i, pressure in enumerate(pressures[:, 0]):
        for j, share in enumerate(many):
            alone = boiling_temperature("ethylene", share, pressure)
            assert together[i, j] == pytest.approx(alone, abs=1e-10)


@pytest.mark.parametrize("odd", [np.nan, np.inf, -1.0])
def test_odd_numbers_are_refused(odd: float) -> None:
    calls: tuple[Callable[[], object], ...] = (
        lambda: water_vapour_pressure(odd),
        lambda: water_boiling_temperature(odd),
        lambda: vapour_pressure("ethylene", 0.5, odd),
        lambda: vapour_pressure("ethylene", odd, 300.0),
        lambda: boiling_temperature("ethylene", 0.5, odd),
        lambda: boiling_temperature("ethylene", odd, 1e5),
    )
    for call in calls:
        with pytest.raises(ValueError, match="must"):
            call()


def test_beyond_the_law_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature"):
        vapour_pressure("ethylene", 0.5, 474.0)
    with pytest.raises(ValueError, match="temperature"):
        water_vapour_pressure(648.0)
    with pytest.raises(ValueError, match="absolute_pressure"):
        boiling_temperature("ethylene", 0.5, 2e6)
    with pytest.raises(ValueError, match="absolute_pressure"):  # water may, a rich mixture not
        boiling_temperature("ethylene", np.array([0.0, 0.7]), vapour_pressure("ethylene", 0, 473))
    with pytest.raises(ValueError, match="absolute_pressure"):  # and the other way in the cold
        boiling_temperature("ethylene", np.array([0.0, 0.7]), vapour_pressure("ethylene", 0.7, 234))
    with pytest.raises(ValueError, match="glycol"):
        vapour_pressure("diethylene", 0.5, 300.0)  # type: ignore[arg-type]
