import pytest

from swapwright.quantity import (
    Basis,
    Dimension,
    Measure,
    combine,
    preferred,
    read_measure,
    read_money,
    show,
)

D = Dimension


@pytest.mark.parametrize(
    ("text", "metric", "us"),
    [
        ("1 1/2 in", "1 1/2 in (38.1 mm)", "1 1/2 in"),
        ("38 mm", "38 mm", "38 mm (1.496 in)"),
        ("40 in", "40 in (1016 mm)", "40 in"),
        ("43.5 psi", "43.5 psi (3 bar)", "43.5 psi"),
        ("1.1 bar abs", "1.1 bar abs", "1.1 bar abs (15.95 psi abs)"),
        ("19 inHg vacuum", "19 inHg vacuum (-64.3 kPa)", "19 inHg vacuum"),
        ("-64 kPa", "-64 kPa", "-64 kPa (-18.9 inHg)"),
        ("16 AWG", "16 AWG (1.31 mm²)", "16 AWG"),
        ("195 °F", "195 °F (90.6 °C)", "195 °F"),
        ("136 PS", "136 PS (100 kW)", "136 PS (134 hp)"),
        ("2 imp gal", "2 imp gal (9.09 L)", "2 imp gal (2.4 US gal)"),
        ("90 L/h", "90 L/h", "90 L/h (23.8 US gal/h)"),
        ("5 %", "5 %", "5 %"),
        ("M10x1.0", "M10x1.0", "M10x1.0"),
        ("412 ± 5 mm", "412 ± 5 mm", "412 ± 5 mm (16.22 ± 0.20 in)"),
        ("38 mm ± 5 %", "38 mm ± 5 %", "38 mm ± 5 % (1.50 ± 0.07 in)"),
        ("18..22 mm", "18..22 mm", "18..22 mm (0.79 ± 0.08 in)"),
        ("195 ± 5 °F", "195 ± 5 °F (90.6 ± 2.8 °C)", "195 ± 5 °F"),
    ],
)
def test_written_stands_beside_preferred(text: str, metric: str, us: str) -> None:
    measure = read_measure(text)
    assert show(measure, "metric") == metric
    assert show(measure, "us") == us


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "us"),
    [
        (0.038123, D.LENGTH, "38.12 mm", "1.501 in"),
        (4.2, D.LENGTH, "4200 mm", "13.78 ft"),
        (0.0, D.LENGTH, "0 mm", "0 in"),
        (-0.005, D.LENGTH, "-5 mm", "-0.1969 in"),
        (363.15, D.TEMPERATURE, "90 °C", "194 °F"),
        (273.15, D.TEMPERATURE, "0 °C", "32 °F"),
        (1.5e5, D.PRESSURE, "1.5 bar", "21.8 psi"),
        (3e4, D.PRESSURE, "30 kPa", "4.35 psi"),
        (99999.9, D.POWER, "100 kW", "134 hp"),
        (1000.0, D.POWER, "1 kW", "1.34 hp"),
        (0.0523598, D.ANGLE, "3°", "3°"),
        (3.909, D.RATIO, "3.909", "3.909"),
        (628.3185, D.ROTATIONAL_SPEED, "6000 rpm", "6000 rpm"),
        (0.0042, D.RESISTANCE, "4.2 mΩ", "4.2 mΩ"),
        (12.637, D.VOLTAGE, "12.64 V", "12.64 V"),
        (25.0, D.SPEED, "90 km/h", "55.92 mph"),
        (119.8 / 3.6, D.SPEED, "119.8 km/h", "74.44 mph"),
        (216000.0, D.CHARGE, "60 Ah", "60 Ah"),
    ],
)
def test_bare_value_is_shown(value: float, dimension: Dimension, metric: str, us: str) -> None:
    assert preferred(value, dimension, "metric") == metric
    assert preferred(value, dimension, "us") == us


def test_value_nobody_wrote_is_shown_alone() -> None:
    plain = Measure(0.0381, 0.0, D.LENGTH, Basis.TYPICAL, "")
    assert show(plain, "metric") == "38.1 mm"
    spread = Measure(0.0381, 0.001 / 3**0.5, D.LENGTH, Basis.TYPICAL, "", "stated")
    assert show(spread, "metric") == "38.1 ± 1.0 mm"


def test_words_not_read_here_stand_beside_the_value() -> None:
    measure = Measure(0.0381, 0.0, D.LENGTH, Basis.PUBLISHED, "as drawn")
    assert show(measure, "metric") == "as drawn (38.1 mm)"


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_only_a_finite_value_is_shown(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        preferred(value, D.LENGTH, "metric")


def test_combined_readings_show_mean_and_uncertainty() -> None:
    readings = [read_measure(text) for text in ("38.0 mm", "38.2 mm", "38.4 mm")]
    assert show(combine(readings).measure, "metric") == (
        "38.0 mm; 38.2 mm; 38.4 mm (mean 38.20 mm, standard uncertainty 0.12 mm)"
    )


def test_money_is_shown_in_its_own_currency() -> None:
    assert show(read_money("1650 EUR"), "us") == "1650.00 EUR"
