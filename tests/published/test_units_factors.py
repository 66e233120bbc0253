"""Every unit against a general library and against the standards' own figures."""

from math import pi

import pint
import pytest

from swapwright.quantity import Dimension, gauge_area, read_measure
from swapwright.quantity.threads import COARSE_PITCH
from swapwright.quantity.units import ROWS, SCALES

D = Dimension

# pint's own names where its parser reads ours otherwise or not at all.
PINT_NAME = {
    "µm": "micrometer", "in²": "inch**2", "ft²": "foot**2", "in³": "inch**3", "ft³": "foot**3",
    "US fl oz": "fluid_ounce", "US pt": "pint", "US qt": "quart", "US gal": "gallon",
    "imp fl oz": "imperial_fluid_ounce", "imp pt": "imperial_pint", "imp qt": "imperial_quart",
    "imp gal": "imperial_gallon", "mm²": "mm**2", "cm²": "cm**2", "m²": "m**2", "m³": "m**3",
    "K": "kelvin", "°F difference": "delta_degF", "inHg": "inch_Hg", "inH2O": "inch_H2O",
    "mmHg": "millimeter_Hg", "mmH2O": "centimeter_H2O/10", "kgf/cm²": "kgf/cm**2",
    "hp": "horsepower", "PS": "metric_horsepower", "Btu/h": "Btu_it/hour", "N·m": "N*m",
    "kN·m": "kN*m", "kgf·m": "kgf*m", "lbf·in": "lbf*inch", "lbf·ft": "lbf*foot",
    "lbf/in": "lbf/inch", "m³/h": "m**3/hour", "m³/min": "m**3/minute", "m³/s": "m**3/s",
    "US gal/h": "gallon/hour", "US gal/min": "gallon/minute", "imp gal/h": "imperial_gallon/hour",
    "imp gal/min": "imperial_gallon/minute", "ft³/min": "foot**3/minute", "µΩ": "microohm",
    "mΩ": "milliohm", "Ω": "ohm", "kΩ": "kiloohm", "MΩ": "megaohm", "°": "degree",
    "°/s": "degree/second", "rpm": "revolution/minute", "rev/s": "revolution/second",
    "rev/km": "1/km", "rev/m": "1/m", "rev/mi": "1/mile", "lb/(hp·h)": "lb/(horsepower*hour)",
    "kg/m³": "kg/m**3", "lb/ft³": "lb/foot**3", "mm²/s": "mm**2/s", "m²/s": "m**2/s",
    "%": "percent", "µA": "microampere", "mL/min": "mL/minute", "L/min": "L/minute",
    "L/h": "L/hour", "kg/h": "kg/hour", "kg/min": "kg/minute", "lb/h": "lb/hour",
    "lb/min": "lb/minute", "min": "minute", "h": "hour", "d": "day", "km/h": "km/hour",
    "N/mm²": "N/mm**2", "ft/s": "foot/second", "mph": "mile/hour", "in": "inch", "ft": "foot",
    "yd": "yard", "mi": "mile", "t": "tonne", "kWh": "kW*hour", "Wh": "W*hour",
    "kg/kWh": "kg/(kW*hour)", "g/kWh": "g/(kW*hour)", "mAh": "mA*hour", "Ah": "A*hour",
}  # fmt: skip
NOT_A_UNIT_THERE = {":1", "pcs", "dB"}  # each counts as one of itself


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[3].split("|")[0])
def test_factor_agrees_with_pint(
    row: tuple[Dimension, str, float, str], registry: "pint.UnitRegistry[float]"
) -> None:
    _, _, factor, names = row
    symbol = names.split("|")[0]
    if symbol in NOT_A_UNIT_THERE:
        assert factor == 1.0
        return
    theirs = registry.parse_expression(PINT_NAME.get(symbol, symbol)).to_base_units()
    assert factor == pytest.approx(float(theirs.magnitude), rel=1e-9)


@pytest.mark.parametrize("degrees", [-40.0, 0.0, 36.6, 212.0])
def test_scales_agree_with_pint(degrees: float, registry: "pint.UnitRegistry[float]") -> None:
    for (unit, _), name in zip(SCALES, ("degC", "degF"), strict=True):
        kelvin = registry.Quantity(degrees, name).to("kelvin").magnitude
        assert unit.factor * degrees + unit.offset == pytest.approx(kelvin, abs=1e-9)


# NIST Special Publication 811 (2008), appendix B.8, seven figures as printed there
# (from memory); kept units as in this package, so W·s for J and C for A·h.
NIST = [
    ("1 in", 2.54e-2),
    ("1 ft", 3.048e-1),
    ("1 mi", 1.609344e3),
    ("1 in²", 6.4516e-4),
    ("1 in³", 1.638706e-5),
    ("1 US gal", 3.785412e-3),
    ("1 imp gal", 4.54609e-3),
    ("1 US fl oz", 2.957353e-5),
    ("1 US qt", 9.463529e-4),
    ("1 oz", 2.834952e-2),
    ("1 lb", 4.535924e-1),
    ("1 lbf", 4.448222),
    ("1 kgf", 9.80665),
    ("1 psi", 6.894757e3),
    ("1 inHg", 3.386389e3),
    ("1 mmHg", 1.333224e2),
    ("1 inH2O", 2.490889e2),
    ("1 kgf/cm²", 9.80665e4),
    ("1 hp", 7.456999e2),
    ("1 PS", 7.354988e2),
    ("1 Btu/h", 2.930711e-1),
    ("1 lbf·ft", 1.355818),
    ("1 lbf·in", 1.129848e-1),
    ("1 kgf·m", 9.80665),
    ("1 lbf/in", 1.751268e2),
    ("1 US gal/min", 6.309020e-5),
    ("1 ft³/min", 4.719474e-4),
    ("1 lb/h", 1.259979e-4),
    ("1 mph", 4.4704e-1),
    ("1 rpm", 1.047198e-1),
    ("1 lb/(hp·h)", 1.689659e-7),
    ("1 lb/ft³", 1.601846e1),
    ("1 kWh", 3.6e6),
    ("1 Ah", 3.6e3),
    ("1 cSt", 1e-6),
    ("1 deg", pi / 180),
]


@pytest.mark.parametrize(("text", "printed"), NIST)
def test_factor_agrees_with_nist(text: str, printed: float) -> None:
    assert read_measure(text).nominal == pytest.approx(printed, rel=5e-7)  # seven figures


# SI brochure, 9th edition (2019), table 8 and 2.3.4: bar is not in the table, its
# size 100 kPa is in the note to the eighth; litre, tonne, hour, degree and °C are.
@pytest.mark.parametrize(
    ("text", "kept"),
    [("1 L", 1e-3), ("1 t", 1e3), ("1 h", 3600.0), ("1 bar", 1e5), ("0 °C", 273.15)],
)
def test_units_accepted_beside_the_si(text: str, kept: float) -> None:
    assert read_measure(text).nominal == pytest.approx(kept, rel=1e-15)


# Fixed points of the Fahrenheit scale: NIST SP 811, B.8: K = (°F + 459.67) / 1.8.
@pytest.mark.parametrize("fahrenheit", [-459.67, -40.0, 32.0, 195.0, 212.0])
def test_fahrenheit_follows_nist(fahrenheit: float) -> None:
    kelvin = (fahrenheit + 459.67) / 1.8
    unit = SCALES[1][0]
    assert unit.factor * fahrenheit + unit.offset == pytest.approx(kelvin, abs=1e-9)


# Georgia State University, HyperPhysics, "American Wire Gauge" table (after Floyd,
# Electric Circuit Fundamentals, 2nd ed.), four figures; 1 circular mil = π/4 (0.001 in)².
@pytest.mark.parametrize(
    ("gauge", "circular_mils"), [("4", 41742), ("10", 10381), ("20", 1021.5), ("4/0", 211600)]
)
def test_wire_gauge_agrees_with_table(gauge: str, circular_mils: float) -> None:
    area = read_measure(f"{gauge} AWG", D.AREA).nominal
    assert area / (pi / 4 * 2.54e-5**2) == pytest.approx(circular_mils, rel=5e-4)


# ASTM B258: 4/0 is 0.4600 in and 36 is 0.0050 in by definition, 39 steps apart.
@pytest.mark.parametrize(("number", "inches"), [(-3, 0.46), (36, 0.005)])
def test_wire_gauge_passes_its_two_definitions(number: int, inches: float) -> None:
    assert gauge_area(number) == pytest.approx(pi / 4 * (inches * 0.0254) ** 2, rel=1e-12)


# ISO 898-1, nominal stress areas of coarse threads, mm² (from memory): the area
# π/4 (d - 0.9382 P)² holds for one pitch only.
STRESS_AREA = {
    3: 5.03, 3.5: 6.78, 4: 8.78, 5: 14.2, 6: 20.1, 7: 28.9, 8: 36.6, 10: 58.0, 12: 84.3,
    14: 115, 16: 157, 18: 192, 20: 245, 22: 303, 24: 353, 27: 459, 30: 561, 33: 694,
    36: 817, 39: 976,
}  # fmt: skip


@pytest.mark.parametrize(("diameter", "area"), STRESS_AREA.items())
def test_coarse_pitch_gives_the_stress_area(diameter: float, area: float) -> None:
    pitch = COARSE_PITCH[diameter]
    # Three figures printed; the next standard pitch would be off by 3 % or more.
    assert pi / 4 * (diameter - 0.9382 * pitch) ** 2 == pytest.approx(area, rel=5e-3)
