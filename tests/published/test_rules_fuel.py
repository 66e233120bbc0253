"""Fuel, vapour and slack: what the rules compute and compare, against the outside."""

import pytest

from swapwright.findings.fuel_supply import fuel_demand
from swapwright.library.rulebook import limit_texts
from swapwright.model.amount import Amount, derived
from swapwright.quantity import Dimension, read_measure

LITRE_PER_HOUR = 1e-3 / 3600
G_PER_KWH = 1e-3 / 3.6e6

# Injector sizing as public tuning pages do it: 200 hp at 0.50 lb/(hp·h) on four cylinders at 80 %
# duty asks 31.25 lb/h of each, so 100 lb/h burnt in all; 1 lb/h is 10.5 cm³/min at the pages'
# density of 720 kg/m³.
PAGE_INJECTOR, PAGE_DUTY, PAGE_CUBIC_CENTIMETRES = 31.25, 0.80, 10.50


def test_demand_agrees_with_injector_sizing() -> None:
    horsepower, pound, hour = 745.699872, 0.45359237, 3600.0
    demand = fuel_demand(200 * horsepower, 0.50 * pound / (horsepower * hour), 720.0)
    burnt = 4 * PAGE_DUTY * PAGE_INJECTOR * PAGE_CUBIC_CENTIMETRES * 1e-6 / 60
    assert demand == pytest.approx(burnt, rel=1e-3)  # the page's factor has three figures


# Hand arithmetic for 300 g/kWh and 745 kg/m³; the margin of 125 % is 14 CFR 23.955(c) (2014).
@pytest.mark.parametrize(
    ("kilowatts", "burnt", "with_margin"), [(150, 60.4, 75.5), (200, 80.5, 100.7)]
)
def test_pump_margin_as_in_the_aircraft_rule(
    kilowatts: float, burnt: float, with_margin: float
) -> None:
    demand = fuel_demand(kilowatts * 1e3, 300 * G_PER_KWH, 745.0) / LITRE_PER_HOUR
    factor = limit_texts()["fuel_pump_margin"].amount.nominal
    assert demand == pytest.approx(burnt, abs=0.05)
    assert factor * demand == pytest.approx(with_margin, abs=0.06)


# Four public tuning pages: 0.45 to 0.55 lb/(hp·h) at full power without boost, 274 to 335 g/kWh.
def test_band_of_consumption_meets_the_published_one() -> None:
    band = limit_texts()["fuel_use_full_load"].amount
    low, high = (274 * G_PER_KWH, 335 * G_PER_KWH)
    assert low < band.nominal < high


def test_spread_of_consumption_reaches_the_demand() -> None:
    """A product's relative spreads add in squares (GUM, JCGM 100:2008, 5.1.6)."""
    power = Amount.of(read_measure("100 ± 5 kW", Dimension.POWER))
    use = limit_texts()["fuel_use_full_load"].amount
    density = limit_texts()["petrol_density"].amount
    demand = derived(fuel_demand, (power, use, density), Dimension.VOLUME_FLOW)
    relative = (
        (power.uncertainty / power.nominal) ** 2 + (use.uncertainty / use.nominal) ** 2
    ) ** 0.5
    assert demand.uncertainty / demand.nominal == pytest.approx(relative, rel=1e-3)


# Each limit against its source in the source's own unit; half the last figure printed there, or
# the round metric figure that is used instead.
@pytest.mark.parametrize(
    ("limit", "printed", "dimension", "within"),
    [
        # Maryland COMAR 11.22.03.10: 1.5 in.
        ("fuel_gap_least", "1.5 in", Dimension.LENGTH, 0.3e-3),
        # US Navy training manual 14009: 1.5 in of slack before the engine.
        ("slack_at_engine_least", "1.5 in", Dimension.LENGTH, 0.3e-3),
        # US Navy training manual 14105: clamps not over 24 in apart; taken as 600 mm.
        ("fuel_hose_span", "24 in", Dimension.LENGTH, 10e-3),
        # 1990s workshop descriptions: cap relief 1.6 psi and 0.5 psi of vacuum, valve 0.7 psi.
        ("tank_pressure_stop", "1.6 psi", Dimension.PRESSURE, 0.05 * 6895),
        ("tank_vacuum_most", "0.5 psi", Dimension.PRESSURE, 0.05 * 6895),
        ("tank_pressure_road", "0.7 psi", Dimension.PRESSURE, 0.05 * 6895),
    ],
)
def test_limit_is_what_its_source_prints(
    limit: str, printed: str, dimension: Dimension, within: float
) -> None:
    amount = limit_texts()[limit].amount
    assert amount.nominal == pytest.approx(read_measure(printed, dimension).nominal, abs=within)
    assert amount.dimension is dimension


# CoolProp's incompressible mixtures, 20 to 100 °C: growth of water, and of 30 to 60 % glycol by
# mass.
GROWTH_TO_100 = (0.0416, 0.0492, 0.0514, 0.0528, 0.0552)


def test_bottle_takes_more_than_any_coolant_grows() -> None:
    share = limit_texts()["bottle_share_least"].amount.nominal
    assert max(GROWTH_TO_100) < share < 1.25 * max(GROWTH_TO_100)
