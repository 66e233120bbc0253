from math import sqrt

import pytest

from swapwright.quantity import (
    Basis,
    Dimension,
    QuantityFault,
    combine,
    read_measure,
    tools,
)


# Bounds by hand from the table of what can be measured at home (experience).
@pytest.mark.parametrize(
    ("text", "tool", "bound"),
    [
        ("412 mm", "tape", 0.001),
        ("2.6 m", "tape", 0.003),
        ("38.1 mm", "calipers", 5e-5),
        ("38.1 mm", "Calipers", 5e-5),
        ("1.5 in", "calipers", 5e-5),
        ("160 kg", "crane scale", 0.8),
        ("3 deg", "digital protractor", 0.0034906585),
        ("3 bar", "pressure gauge of 7 bar", 14000.0),
        ("7 bar", "pressure gauge of 7 bar", 14000.0),
        ("-40 kPa", "vacuum gauge", 1000.0),
        ("12.64 V", "multimeter", 0.0632 + 0.02),
        ("12.6 V", "multimeter", 0.063 + 0.2),
        ("340 mV", "multimeter", 0.0017 + 0.002),
        ("47 ohm", "multimeter", 0.2),
        ("30 A", "clamp meter", 0.7),
        ("90 °C", "infrared thermometer", 3.0),
        ("194 °F", "contact thermometer", 1.5),
        ("90 km/h", "satellite speed", 0.3 / 3.6),
        ("93 dB", "phone sound app", 5.0),
        ("2 m", "photogrammetry", 0.006),
        ("1.5 L/min", "measuring cup", 7.5e-7),
    ],
)
def test_tool_bounds_the_reading(text: str, tool: str, bound: float) -> None:
    measure = read_measure(text, tool=tool)
    assert measure.uncertainty == pytest.approx(bound / sqrt(3), rel=1e-6)
    assert measure.spread == "tool"


def test_stated_spread_goes_before_the_tool() -> None:
    measure = read_measure("412 ± 5 mm", tool="tape")
    assert measure.spread == "stated"
    assert measure.uncertainty == pytest.approx(0.005 / sqrt(3))


def test_tool_that_sorts_states_no_spread() -> None:
    measure = read_measure("M10x1", Dimension.THREAD, tool="thread gauge")
    assert (measure.spread, measure.uncertainty, measure.thread) == ("not stated", 0.0, "M10x1")


@pytest.mark.parametrize(
    ("text", "tool", "wanted", "example"),
    [
        ("412 mm", "calipers", "a tool that reaches the reading", "photogrammetry"),
        ("412 mm", "crane scale", "a tool that measures a length", "steel rule"),
        ("38 mm", "caliper", "a tool that is known", "calipers"),
        ("38 mm", "", "a tool that is known", "steel rule"),
        ("3 bar", "pressure gauge", "this tool with its full scale", "pressure gauge of 1.1 bar"),
        ("9 bar", "pressure gauge of 7 bar", "a tool that reaches the reading", None),
        ("3 bar", "pressure gauge of 7 kg", "a gauge pressure with its unit", "1.1 bar"),
    ],
)
def test_tool_is_refused(text: str, tool: str, wanted: str, example: str | None) -> None:
    with pytest.raises(QuantityFault) as caught:
        read_measure(text, tool=tool)
    assert caught.value.wanted == wanted
    assert example in (None, caught.value.example)


def test_every_tool_says_its_trap_and_its_source() -> None:
    assert len({tool.name for tool in tools()}) > 30
    for tool in tools():
        assert tool.trap
        assert tool.better
        assert "from experience" in tool.source
        assert tool.lowest < tool.highest
        assert tool.has_accuracy or tool.measures is Dimension.THREAD


def test_readings_and_tool_add_as_squares() -> None:
    # By hand: mean 38.2 mm, s² = (0.04 + 0 + 0.04) / 2 = 0.04 mm², s²/3 = 0.013333;
    # calipers ± 0.05 mm: a²/3 = 0.000833; u = √0.0141667 = 0.119024 mm.
    readings = [read_measure(text) for text in ("38.0 mm", "38.2 mm", "38.4 mm")]
    combined = combine(readings, "calipers")
    assert combined.measure.nominal == pytest.approx(0.0382)
    assert combined.scatter == pytest.approx(2e-4)
    assert combined.measure.uncertainty == pytest.approx(1.19024e-4, rel=1e-5)
    assert (combined.count, combined.single, combined.measure.spread) == (3, False, "readings")
    assert combined.measure.text == "38.0 mm; 38.2 mm; 38.4 mm"


def test_tool_error_does_not_average_out() -> None:
    readings = [read_measure("38.1 mm", tool="calipers")] * 100
    assert combine(readings).measure.uncertainty == pytest.approx(5e-5 / sqrt(3))
    assert combine(readings, "calipers") == combine(readings)


def test_coarsest_figure_counts_for_digits() -> None:
    # By hand: mean 12.62 V, 0.5 % and two steps of 0.1 V: a = 0.2631 V; s = 0.0282843 V,
    # s²/2 = 0.0004; u = √(0.0004 + 0.0230739) = 0.153212 V.
    combined = combine([read_measure("12.64 V"), read_measure("12.6 V")], "multimeter")
    assert combined.measure.uncertainty == pytest.approx(0.153212, rel=1e-5)


def test_units_may_differ_between_readings() -> None:
    combined = combine([read_measure("1 in"), read_measure("25.6 mm")])
    assert combined.measure.nominal == pytest.approx(0.0255)


def test_single_reading_says_so() -> None:
    combined = combine([read_measure("38.1 mm")])
    assert (combined.single, combined.scatter, combined.measure.spread) == (
        True,
        None,
        "not stated",
    )
    with_tool = combine([read_measure("38.1 mm")], "calipers")
    assert (with_tool.single, with_tool.measure.spread) == (True, "tool")
    assert with_tool.measure.uncertainty == pytest.approx(5e-5 / sqrt(3))


def test_combination_rests_on_the_weakest() -> None:
    readings = [read_measure("38 mm"), read_measure("39 mm", basis=Basis.TYPICAL)]
    assert combine(readings).measure.basis is Basis.TYPICAL


@pytest.mark.parametrize(
    ("texts", "said"),
    [((), "no readings"), (("38 mm", "38 kg"), "length, mass"), (("M10x1", "M10x1"), "threads")],
)
def test_combination_is_refused(texts: tuple[str, ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        combine([read_measure(text) for text in texts])
