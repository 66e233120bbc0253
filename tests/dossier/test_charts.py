"""Charts say what they show: axes with units, bands with probability, limits with a source."""

import re
import subprocess
import sys
from xml.etree import ElementTree

import numpy as np
import pytest

from swapwright.dossier.chart_drawing import NIGHT, chart_svg
from swapwright.dossier.charts import (
    Axis,
    Band,
    Chart,
    Curve,
    CurveChart,
    Distribution,
    HeightProfile,
    Limit,
    Shares,
    Way,
    chart_rows,
    chart_text,
    slope,
)
from swapwright.quantity import Dimension

SVG = "{http://www.w3.org/2000/svg}"
FLOWS = tuple(n * 2e-4 for n in range(11))


def scaled(label: str, factor: float, at_rest: float) -> Curve:
    middle = tuple(at_rest + factor * flow**2 for flow in FLOWS)
    low, high = tuple(0.9 * value for value in middle), tuple(1.1 * value for value in middle)
    return Curve(label, FLOWS, middle, (Band(0.9, low, high),))


PUMP = CurveChart(
    "Pump against circuit",
    Axis("flow", Dimension.VOLUME_FLOW),
    Axis("pressure", Dimension.PRESSURE),
    (scaled("pump at 3400 rpm", -2.2e10, 1.5e5), scaled("circuit", 4e10, 0.0)),
    (Limit("hose working pressure", 1.9e5, "printed on the hose"),),
    (("they meet", 1.55e-3),),
)
HEIGHTS = HeightProfile(
    "Heights of the heater circuit",
    Axis("length along the way", Dimension.LENGTH),
    Axis("height above the pump", Dimension.LENGTH),
    (Way("supply", (0.0, 0.5, 1.5), (0.3, 0.5, 0.45)), Way("return", (1.5, 2.5), (0.4, 0.0))),
    (("level, cold", 0.42),),
    (("hump before the bulkhead", 0.5, 0.5),),
)
SPREAD = Distribution(
    "Coolant at the head",
    Axis("temperature", Dimension.TEMPERATURE, "us"),
    tuple(float(value) for value in np.random.default_rng(5).normal(376, 4, 400)),
    Limit("boils at the cap pressure", 383, "tables of ethylene glycol"),
)
SHARES = Shares(
    "Why it is not known better",
    "spread of the head temperature",
    (("rest & others", 0.06), ("flow of the pump", 0.63), ("air through the core", 0.31)),
)
SOAK = CurveChart(
    "After the stop",
    Axis("time", Dimension.TIME),
    Axis("temperature", Dimension.TEMPERATURE),
    (
        Curve(
            "head",
            (0.0, 300.0, 1800.0),
            (366.0, 375.0, 366.0),
            (
                Band(0.9, (366.0, 371.0, 365.0), (366.0, 380.0, 367.0)),
                Band(0.5, (366.0, 373.0, 365.5), (366.0, 377.0, 366.5)),
            ),
        ),
    ),
)
CHARTS: tuple[Chart, ...] = (PUMP, HEIGHTS, SPREAD, SHARES, SOAK)


def words(svg: str) -> list[str]:
    return [(text.text or "").strip() for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


@pytest.mark.parametrize(
    ("chart", "wanted"),
    [
        (PUMP, ("flow (L/min)", "pressure (bar)", "circuit: 90 % lie here", "they meet: 93 L/min")),
        (HEIGHTS, ("length along the way (mm)", "height above the pump (mm)", "+40 %", "-40 %",
                   "level, cold, 420 mm", "1 air caught: hump before the bulkhead")),
        (SPREAD, ("temperature (°F)", "share of samples (%)")),
        (SHARES, ("63 %", "share of spread of the head temperature (%)", "rest & others")),
        (SOAK, ("time (min)", "temperature (°C)", "head: 90 % lie here", "head: 50 % lie here")),
    ],
)  # fmt: skip
def test_chart_names_axes_units_bands(chart: Chart, wanted: tuple[str, ...]) -> None:
    shown = words(chart_svg(chart))
    for each in wanted:
        assert each in shown


def test_limit_carries_its_source() -> None:
    for chart, source in ((PUMP, "printed on the hose"), (SPREAD, "tables of ethylene glycol")):
        assert source in " ".join(words(chart_svg(chart)))
        assert any(source in cell for row in chart_rows(chart) for cell in row)


@pytest.mark.parametrize("chart", CHARTS)
@pytest.mark.parametrize("width", [680, 340])
def test_chart_is_the_same_again_and_stands_in_a_page(chart: Chart, width: int) -> None:
    svg = chart_svg(chart, width)
    assert svg == chart_svg(chart, width)
    root = ElementTree.fromstring(svg)
    assert float(root.attrib["width"]) == width
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    for trap in ("metadata", "<?xml", "DOCTYPE", "font:", "var(", "figure_1", "Matplotlib"):
        assert trap not in svg, trap


@pytest.mark.parametrize("chart", CHARTS)
def test_every_colour_turns_over_at_night(chart: Chart) -> None:
    svg = chart_svg(chart)
    drawn = re.sub(r"<style>.*?</style>", "", svg, flags=re.DOTALL)
    assert set(re.findall(r"#[0-9a-f]{6}", drawn)) <= set(NIGHT)
    assert 'fill="#' not in drawn, "an attribute that the style sheet does not reach"


@pytest.mark.parametrize("chart", CHARTS)
def test_text_is_no_wider_than_80_columns_and_says_as_much(chart: Chart) -> None:
    text = chart_text(chart)
    assert max(len(row) for row in text.splitlines()) <= 80
    for row in chart_rows(chart)[1:]:
        assert row[0].split()[0] in text


# A straight line has its slope everywhere: 0.2 m over 0.5 m of length is 40 %.
def test_slope_is_rise_over_length() -> None:
    assert slope(Way("up", (0.0, 0.5), (0.3, 0.5)), 0) == pytest.approx(0.4)


# numpy.quantile, default method "linear" (Hyndman and Fan, 1996, type 7).
@pytest.mark.parametrize("share", [0.0, 0.05, 0.5, 0.77, 1.0])
def test_quantile_agrees_with_numpy(share: float) -> None:
    assert SPREAD.quantile(share) == pytest.approx(float(np.quantile(SPREAD.values, share)))


def test_share_above_the_limit_is_counted() -> None:
    limit = Limit("limit", 2.5, "made up")
    four = Distribution("Four", Axis("ratio", Dimension.RATIO), (1.0, 2.0, 3.0, 4.0), limit)
    assert four.above == 0.5
    assert ("above the limit", "50 % of 4", "") in chart_rows(four)


def test_long_curve_is_told_at_eleven_places_with_both_ends() -> None:
    many = tuple(float(n) for n in range(101))
    axis = Axis("time", Dimension.TIME)
    chart = CurveChart("Long", axis, axis, (Curve("line", many, many),))
    rows = chart_rows(chart)[1:]
    assert len(rows) == 11
    assert (rows[0][1], rows[-1][1]) == ("0 s", "100 s")


def test_curve_with_a_gap_is_refused() -> None:
    with pytest.raises(ValueError, match="wanted 2 finite ones"):
        Curve("broken", (0.0, 1.0), (1.0, float("nan")))
    with pytest.raises(ValueError, match="band 90 % low"):
        Curve("short", (0.0, 1.0), (1.0, 1.0), (Band(0.9, (1.0,), (1.0, 1.0)),))


def test_charts_do_not_load_matplotlib_before_one_is_drawn() -> None:
    script = "import sys, swapwright.dossier.chart_drawing; print('matplotlib' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True)
    assert told.stdout.strip() == b"False"
