"""Figures of the rules on work against tables of the lifting trade."""

from math import radians

import pytest

from swapwright.findings.work import leg_load

# Tension factors of a two-leg sling by the angle between leg and horizontal, as printed on
# riggers' load tables and in ASME B30.9; from memory. Factor: leg load over half the load.
TENSION_FACTORS = [(90, 1.000), (75, 1.035), (60, 1.155), (45, 1.414), (30, 2.000)]


@pytest.mark.parametrize(("to_horizontal", "factor"), TENSION_FACTORS)
def test_leg_load_agrees_with_the_tension_factors_of_riggers(
    to_horizontal: float, factor: float
) -> None:
    included = radians(2 * (90 - to_horizontal))
    assert leg_load(200.0, 0.5, included) / 100.0 == pytest.approx(factor, abs=5e-4)
