"""Every form a person writes, and every form that could mean something else."""

from math import pi, radians, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from swapwright.quantity import (
    KINDS,
    Basis,
    Dimension,
    Measure,
    QuantityFault,
    gauge_area,
    nearest_gauge,
    preferred,
    read_measure,
)
from swapwright.quantity.units import ROWS, UNITS, spelled, spellings

D = Dimension

# Expected values by hand from the definitions: 1 in = 25.4 mm, 1 lb = 0.45359237 kg,
# g = 9.80665 m/s², 1 US gal = 231 in³, 1 imp gal = 4.54609 L.
PLAIN = [
    ("38 mm", D.LENGTH, 0.038),
    ("38mm", D.LENGTH, 0.038),
    ("  38   mm ", D.LENGTH, 0.038),
    ("38\u00a0mm", D.LENGTH, 0.038),
    (".5 mm", D.LENGTH, 0.0005),
    ("1e3 mm", D.LENGTH, 1.0),
    ("1 1/2 in", D.LENGTH, 0.0381),
    ("1-1/2 in", D.LENGTH, 0.0381),
    ("1½ in", D.LENGTH, 0.0381),
    ("1½in.", D.LENGTH, 0.0381),
    ("½″", D.LENGTH, 0.0127),
    ("-1 1/2 in", D.LENGTH, -0.0381),
    ("−38 mm", D.LENGTH, -0.038),
    ('3/8"', D.LENGTH, 0.009525),
    ("3/8″", D.LENGTH, 0.009525),
    ("5 ft 3 in", D.LENGTH, 1.6002),
    ("5' 3 1/2\"", D.LENGTH, 1.6129),
    ("6 ft", D.LENGTH, 1.8288),
    ("2 yd", D.LENGTH, 1.8288),
    ("2.5 mm²", D.AREA, 2.5e-6),
    ("2.5 mm2", D.AREA, 2.5e-6),
    ("2.5 mm^2", D.AREA, 2.5e-6),
    ("8.8 L", D.VOLUME, 0.0088),
    ("8.8 l", D.VOLUME, 0.0088),
    ("1998 cm³", D.VOLUME, 0.001998),
    ("2.3 US gal", D.VOLUME, 0.008706447),
    ("2 imp gal", D.VOLUME, 0.00909218),
    ("12 lb", D.MASS, 5.44310844),
    ("8 oz", D.MASS, 0.226796185),
    ("30 min", D.TIME, 1800.0),
    ("90 °C", D.TEMPERATURE, 363.15),
    ("90 degC", D.TEMPERATURE, 363.15),
    ("90°C", D.TEMPERATURE, 363.15),
    ("195 °F", D.TEMPERATURE, 363.7055556),
    ("10 K", D.TEMPERATURE_DIFFERENCE, 10.0),
    ("18 °F difference", D.TEMPERATURE_DIFFERENCE, 10.0),
    ("43.5 psi", D.PRESSURE, 299921.94),
    ("43.5 psig", D.PRESSURE, 299921.94),
    ("1.1 bar", D.PRESSURE, 1.1e5),
    ("1.1 bar gauge", D.PRESSURE, 1.1e5),
    ("64 kPa", D.PRESSURE, 6.4e4),
    ("-5 kPa", D.PRESSURE, -5e3),
    ("19 inHg", D.PRESSURE, 64341.4),
    ("19 inHg vacuum", D.PRESSURE, -64341.4),
    ('19 "Hg vac', D.PRESSURE, -64341.4),
    ("1.1 bar abs", D.ABSOLUTE_PRESSURE, 1.1e5),
    ("1.1 bar(abs)", D.ABSOLUTE_PRESSURE, 1.1e5),
    ("101.3 kPa abs", D.ABSOLUTE_PRESSURE, 1.013e5),
    ("14.7 psia", D.ABSOLUTE_PRESSURE, 101352.93),
    ("100 kW", D.POWER, 1e5),
    ("134 hp", D.POWER, 134 * 745.69987),
    ("136 PS", D.POWER, 136 * 735.49875),
    ("1.2 kWh", D.ENERGY, 4.32e6),
    ("185 N·m", D.TORQUE, 185.0),
    ("185 Nm", D.TORQUE, 185.0),
    ("185 N.m", D.TORQUE, 185.0),
    ("136 lbf·ft", D.TORQUE, 184.39123),
    ("136 lb-ft", D.TORQUE, 184.39123),
    ("136 ft lb", D.TORQUE, 184.39123),
    ("1000 N", D.FORCE, 1000.0),
    ("2.5 kN", D.FORCE, 2500.0),
    ("250 N/mm", D.STIFFNESS, 2.5e5),
    ("110 L/min", D.VOLUME_FLOW, 110e-3 / 60),
    ("90 L/h", D.VOLUME_FLOW, 2.5e-5),
    ("12 kg/h", D.MASS_FLOW, 12 / 3600),
    ("30 A", D.CURRENT, 30.0),
    ("12.6 V", D.VOLTAGE, 12.6),
    ("47 ohm", D.RESISTANCE, 47.0),
    ("47 Ω", D.RESISTANCE, 47.0),
    ("47 \u2126", D.RESISTANCE, 47.0),
    ("10 kohm", D.RESISTANCE, 1e4),
    ("5 mΩ", D.RESISTANCE, 5e-3),
    ("5 MΩ", D.RESISTANCE, 5e6),
    ("60 Ah", D.CHARGE, 216000.0),
    ("3 deg", D.ANGLE, radians(3)),
    ("3°", D.ANGLE, radians(3)),
    ("6000 rpm", D.ROTATIONAL_SPEED, 200 * pi),
    ("6000 1/min", D.ROTATIONAL_SPEED, 200 * pi),
    ("90 km/h", D.SPEED, 25.0),
    ("60 mph", D.SPEED, 26.8224),
    ("5 %", D.RATIO, 0.05),
    ("0 kPa abs", D.ABSOLUTE_PRESSURE, 0.0),
    ("0.7", D.RATIO, 0.7),
    ("3.73:1", D.RATIO, 3.73),
    ("4", D.COUNT, 4.0),
    ("2236 rev/km", D.TURNS_PER_DISTANCE, 2.236),
    ("637 turns/km", D.TURNS_PER_DISTANCE, 0.637),
    ("93 dB", D.SOUND_LEVEL, 93.0),
    ("0.32 kg/kWh", D.SPECIFIC_FUEL_CONSUMPTION, 0.32 / 3.6e6),
    ("50 Hz", D.FREQUENCY, 50.0),
    ("745 kg/m³", D.DENSITY, 745.0),
    ("3.5 cSt", D.KINEMATIC_VISCOSITY, 3.5e-6),
    ("900 W/K", D.THERMAL_CONDUCTANCE, 900.0),
]


@pytest.mark.parametrize(("text", "dimension", "kept"), PLAIN)
def test_form_is_read(text: str, dimension: Dimension, kept: float) -> None:
    measure = read_measure(text, dimension)
    assert measure.nominal == pytest.approx(kept, rel=1e-6)
    assert measure.dimension is dimension
    assert (measure.uncertainty, measure.spread) == (0.0, "not stated")
    assert measure.text == text.strip()


@pytest.mark.parametrize(
    ("text", "dimension", "kept"), [row for row in PLAIN if row[1] not in (D.RATIO, D.COUNT)]
)
def test_unit_says_the_dimension(text: str, dimension: Dimension, kept: float) -> None:
    measure = read_measure(text)
    assert measure.dimension is dimension
    assert measure.nominal == pytest.approx(kept, rel=1e-6)


def test_every_dimension_has_a_form_above_or_is_a_thread() -> None:
    assert {row[1] for row in PLAIN} | {D.THREAD} == set(Dimension) == set(KINDS)


@pytest.mark.parametrize("dimension", Dimension)
def test_example_of_a_dimension_is_readable(dimension: Dimension) -> None:
    assert read_measure(KINDS[dimension].example, dimension).dimension is dimension


# (text, nominal, half width), unit kept
SPREADS = [
    ("412 ± 5 mm", 0.412, 0.005),
    ("412±5mm", 0.412, 0.005),
    ("412 +/- 5 mm", 0.412, 0.005),
    ("412 +- 5 mm", 0.412, 0.005),
    ("412 mm ± 5 mm", 0.412, 0.005),
    ("41.2 cm ± 5 mm", 0.412, 0.005),
    ("1 1/2 in ± 1/16 in", 0.0381, 0.0015875),
    ("38 mm ± 5 %", 0.038, 0.0019),
    ("-40 kPa ± 5 %", -4e4, 2e3),
    ("20..20 mm", 0.020, 0.0),
    ("18..22 mm", 0.020, 0.002),
    ("18 .. 22 mm", 0.020, 0.002),
    ("18…22 mm", 0.020, 0.002),
    ("18 to 22 mm", 0.020, 0.002),
    ("18 mm..22 mm", 0.020, 0.002),
    ("1 cm..22 mm", 0.016, 0.006),
    ("-3..5 mm", 0.001, 0.004),
    ("90 ± 2 °C", 363.15, 2.0),
    ("90 °C ± 2 K", 363.15, 2.0),
    ("212 ± 9 °F", 373.15, 5.0),
    ("80..100 °C", 363.15, 10.0),
    ("1.1 bar abs ± 5 kPa", 1.1e5, 5e3),
    ("10..20 kPa vacuum", -1.5e4, 5e3),
    ("5 ± 1 %", 0.05, 0.01),
    ("16 AWG ± 5 %", gauge_area(16), 0.05 * gauge_area(16)),
]


@pytest.mark.parametrize(("text", "nominal", "half"), SPREADS)
def test_bound_is_rectangular(text: str, nominal: float, half: float) -> None:
    # JCGM 100:2008, 4.3.7: bounds a apart from the middle give u = a / √3.
    measure = read_measure(text)
    assert measure.nominal == pytest.approx(nominal, rel=1e-9)
    assert measure.uncertainty == pytest.approx(half / sqrt(3), rel=1e-9)
    assert measure.spread == "stated"


def test_basis_is_kept() -> None:
    assert read_measure("38 mm").basis is Basis.MEASURED
    assert read_measure("38 mm", basis=Basis.GUESSED).basis is Basis.GUESSED


# (text, wanted dimension, part of what is said, example)
REFUSED = [
    ("38,5 mm", D.LENGTH, "decimal mark is a point", "38.5 mm"),
    ("-38,5 mm", D.LENGTH, "decimal mark is a point", "-38.5 mm"),
    ("1,234 mm", D.LENGTH, 'write "1234 mm" or "1.234 mm"', "1234 mm"),
    ("1,234.5 mm", D.LENGTH, "thousands", "1234.5 mm"),
    ("1 234 mm", D.LENGTH, "thousands", "1234 mm"),
    ("1'234 mm", D.LENGTH, "thousands", "1234 mm"),
    ("1_234 mm", D.LENGTH, "thousands", "1234 mm"),
    ("19", D.LENGTH, "no unit", "19 mm"),
    ("412 ± 5", D.LENGTH, "no unit", "412 ± 5 mm"),
    ("3", D.ANGLE, "no unit", "3 deg"),
    ("19", None, "no unit", "19 mm"),
    ("45 kg", D.LENGTH, "a mass", "38 mm"),
    ("M10x1", D.LENGTH, "a thread", "38 mm"),
    ("38 mm", D.THREAD, "", "M10x1"),
    ("10 K", D.TEMPERATURE, "K is read as a difference", "90 °C"),
    ("10 °C", D.TEMPERATURE_DIFFERENCE, "°C is read as a temperature", "10 K"),
    ("1.1 bar", D.ABSOLUTE_PRESSURE, 'gauge unless it says "abs"', "101.3 kPa abs"),
    ("1.1 bar abs", D.PRESSURE, "an absolute pressure", "1.1 bar"),
    ("12 lb", D.FORCE, "lbf", "1000 N"),
    ("2 gal", D.VOLUME, "imp gal", "8.8 L"),
    ("2 gal/h", D.VOLUME_FLOW, "imp gal", "110 L/min"),
    ("16 ga", D.AREA, "AWG", "2.5 mm²"),
    ("2 tons", D.MASS, "differ", "145 kg"),
    ("90 C", D.TEMPERATURE, "°C", "90 °C"),
    ("38 MM", D.LENGTH, 'capitals count in units: "mm"', "38 mm"),
    ("38 Mm", D.LENGTH, 'capitals count in units: "mm"', "38 mm"),
    ("100 KW", D.POWER, '"kW"', "100 kW"),
    ("185 nm", D.TORQUE, '"N·m"', "170 N·m"),
    ("5 mOhm", D.RESISTANCE, '"MΩ" or "mΩ"', "47 ohm"),
    ("38 milimeter", D.LENGTH, '"milimeter"; "mm"', "38 mm"),
    ("110 L/mim", D.VOLUME_FLOW, '"L/min"', "110 L/min"),
    ("18-22 mm", D.LENGTH, "two dots", "18..22 mm"),
    ("18-22", D.LENGTH, "two dots", "18..22"),
    ("22..18 mm", D.LENGTH, "smaller figure comes first", "18..22 mm"),
    ("18 mm..22 kg", None, "differ in kind", "18..22 mm"),
    ("412 mm ± 5 kg", D.LENGTH, "not a spread of mm", "38 mm"),
    ("412 ± -5 mm", D.LENGTH, "no sign", "412 ± 5 mm"),
    ("5 % ± 1 %", D.RATIO, "share", "5 ± 1 %"),
    ("90 °C ± 5 %", D.TEMPERATURE, "true zero", "90 °C"),
    ("93 dB ± 5 %", D.SOUND_LEVEL, "true zero", "93 dB"),
    ("~38 mm", D.LENGTH, "±", "412 ± 5 mm"),
    ("about 38 mm", D.LENGTH, "±", "412 ± 5 mm"),
    ("-300 °C", D.TEMPERATURE, "absolute zero", "90 °C"),
    ("-1 bar abs", D.ABSOLUTE_PRESSURE, "absolute zero", "101.3 kPa abs"),
    ("-19 inHg vacuum", D.PRESSURE, "leave the sign out", "1.1 bar"),
    ("1/0 in", D.LENGTH, "not a fraction", "1 1/2 in"),
    ("1 3/2 in", D.LENGTH, "not a fraction", "1 1/2 in"),
    ("1 4/4 in", D.LENGTH, "not a fraction", "1 1/2 in"),
    ("41 AWG", D.AREA, "40 to 1", "16 AWG"),
    ("5/0 AWG", D.AREA, "40 to 1", "16 AWG"),
    ("1.5 AWG", D.AREA, "40 to 1", "16 AWG"),
    ("2.5", D.COUNT, "whole", "4"),
    ("4 ± 1", D.COUNT, "whole", "4"),
    ("", D.LENGTH, "nothing", "38 mm"),
    ("   ", D.LENGTH, "nothing", "38 mm"),
    ("mm", D.LENGTH, "", "38 mm"),
    ("nan mm", D.LENGTH, "", "38 mm"),
    ("inf", D.RATIO, "", "0.7"),
    ("1e999 mm", D.LENGTH, "larger than any part", "38 mm"),
    ("1e30 m", D.LENGTH, "larger than any part", "38 mm"),
    ("1 ± 1e30 m", D.LENGTH, "larger than any part", "38 mm"),
    ("38\nmm", D.LENGTH, "one line", "38 mm"),
    ("9" * 3000, D.LENGTH, "3000 characters", "38 mm"),
    ("2**9 mm", D.LENGTH, "", "38 mm"),
    ("__import__('os')", D.LENGTH, "", "38 mm"),
    ("1.2.3 mm", D.LENGTH, "", "38 mm"),
    ("38 mm 5", D.LENGTH, "mm 5", "38 mm"),
    ("18 mm..", D.LENGTH, '"mm.."', "38 mm"),
    ("18 mm -", D.LENGTH, '"mm -"', "38 mm"),
    ("18 mm ±", D.LENGTH, "", "38 mm"),
    ("1.1 bar)", D.PRESSURE, '"bar)"', "1.1 bar"),
    ("½2 in", D.LENGTH, "", "38 mm"),
]


@pytest.mark.parametrize(("text", "dimension", "said", "example"), REFUSED)
def test_form_is_refused(text: str, dimension: Dimension | None, said: str, example: str) -> None:
    with pytest.raises(QuantityFault) as caught:
        read_measure(text, dimension)
    fault = caught.value
    assert (fault.found, fault.example) == (text.strip(), example)
    line = str(fault)
    assert said in line
    assert line.startswith('found "')
    assert f"wanted {fault.wanted}" in line
    assert "\n" not in line
    assert len(line) < 250


def test_fault_reads_as_one_sentence() -> None:
    with pytest.raises(QuantityFault) as caught:
        read_measure("19", D.LENGTH)
    assert str(caught.value) == (
        'found "19" (no unit), wanted a length with its unit, such as "19 mm"'
    )


def test_no_spelling_stands_for_two_units() -> None:
    seen: dict[str, str] = {}
    for name, unit in spellings():
        for key in {name, spelled(name)}:
            assert seen.setdefault(key, unit.symbol) == unit.symbol, key


def test_ladders_name_known_units_of_their_dimension() -> None:
    for dimension, kind in KINDS.items():
        kept = D.LENGTH if dimension is D.THREAD else dimension
        for ladder in (kind.metric, kind.us):
            sizes = [size for size, _ in ladder]
            assert sizes == sorted(set(sizes))
            assert sizes[0] == 0
            for _, symbol in ladder:
                assert symbol == "" or UNITS[symbol].dimension is kept


@given(
    number=st.floats(-1e6, 1e6, allow_nan=False),
    row=st.sampled_from([row for row in ROWS if row[0] is not D.COUNT]),
)
@settings(deadline=None)
def test_written_number_comes_back(number: float, row: tuple[Dimension, str, float, str]) -> None:
    dimension, _, factor, names = row
    for name in names.split("|"):
        measure = read_measure(f"{number!r} {name}", dimension)
        assert measure.nominal == pytest.approx(number * factor, rel=1e-12)


@given(celsius=st.floats(-273, 1000))
@settings(deadline=None)
def test_written_temperature_comes_back(celsius: float) -> None:
    fahrenheit = celsius * 9 / 5 + 32
    for text in (f"{celsius!r} °C", f"{fahrenheit!r} °F"):
        assert read_measure(text).nominal == pytest.approx(celsius + 273.15, abs=1e-9)


@given(st.text(alphabet="0123456789./-+±%,°'\" eEMGxXmkNbarpsiAWGft\n½²Ω…~#", max_size=90))
@settings(deadline=None, max_examples=400)
def test_any_text_is_read_or_refused(text: str) -> None:
    for dimension in (None, D.LENGTH, D.THREAD, D.RATIO):
        try:
            measure = read_measure(text, dimension)
        except QuantityFault as fault:
            assert "\n" not in str(fault)
        else:
            assert measure.text == text.strip()


@pytest.mark.parametrize("number", range(-3, 41))
def test_gauge_of_its_own_area_is_itself(number: int) -> None:
    name = nearest_gauge(gauge_area(number))
    assert read_measure(name, D.AREA).nominal == pytest.approx(gauge_area(number))


@pytest.mark.parametrize(
    ("text", "same"), [("AWG 16", "16 AWG"), ("16 awg", "16 AWG"), ("00 AWG", "2/0 AWG")]
)
def test_gauge_spellings_agree(text: str, same: str) -> None:
    assert read_measure(text).nominal == read_measure(same).nominal


@pytest.mark.parametrize("area", [0.0, -1e-6, 1e-3, 1e-9])
def test_area_without_a_gauge_is_refused(area: float) -> None:
    with pytest.raises(ValueError, match=r"area must be positive|outside 40 AWG"):
        nearest_gauge(area)


@pytest.mark.parametrize(("nominal", "spread"), [(float("nan"), 0.0), (1.0, float("inf"))])
def test_measure_is_finite(nominal: float, spread: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        Measure(nominal, spread, D.LENGTH, Basis.MEASURED, "")


def test_measure_has_no_negative_uncertainty() -> None:
    with pytest.raises(ValueError, match="negative"):
        Measure(1.0, -1.0, D.LENGTH, Basis.MEASURED, "")


@given(
    value=st.floats(1e-3, 1e3),
    dimension=st.sampled_from([d for d in Dimension if d not in (D.THREAD, D.COUNT, D.RATIO)]),
    system=st.sampled_from(["metric", "us"]),
)
@settings(deadline=None)
def test_preferred_form_is_readable(value: float, dimension: Dimension, system: str) -> None:
    shown = preferred(value, dimension, "us" if system == "us" else "metric")
    again = read_measure(shown, dimension).nominal
    scale = abs(value) + (300 if dimension is D.TEMPERATURE else 0)
    assert again == pytest.approx(value, abs=0.0051 * scale)  # three figures
