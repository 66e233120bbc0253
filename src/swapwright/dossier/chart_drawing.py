"""Charts as SVG by matplotlib, which is imported only when one is drawn.

What is drawn is told apart by stroke and hatch first, by colour second. Colours are written as
the day's; a style sheet inside the SVG turns them over at night on screens.
"""

import re
from collections.abc import Callable, Iterator
from html import escape
from io import StringIO
from itertools import pairwise
from typing import Any

from swapwright.dossier.charts import (
    Chart,
    CurveChart,
    Distribution,
    HeightProfile,
    Limit,
    Scale,
    Shares,
    chart_text,
    percent,
    slope,
)
from swapwright.dossier.circuit.lettering import FAMILY, wrapped

PAGE = 680.0  # 180 mm at 96 pixels an inch: as on paper
SIZE, TITLE = 9.0, 10.0  # points
NARROW = 500  # as for circuits
INK, FAINT, GRID = "#26221c", "#6c6457", "#d8cfbd"
FIRST, SECOND, THIRD = "#1d5c63", "#9a4a12", "#5b4a8a"
NIGHT = {
    INK: "#ece5d8",
    FAINT: "#a89f90",
    GRID: "#4a443a",
    FIRST: "#7fc4cb",
    SECOND: "#f0a66a",
    THIRD: "#b9a8e8",
}
COLOURS = (FIRST, SECOND, THIRD)
STROKES = ("-", (0, (6, 2.5)), (0, (1.2, 2)))
HATCHES = ("", "////", "....")
BINS = 24


def chart_svg(chart: Chart, width: float = PAGE) -> str:
    """A chart as SVG that can stand in a page.

    Parameters
    ----------
    chart : Chart
        What to draw.
    width : float, default 680
        Room for it, in CSS pixels; text is 9 points at any width, 7 at least in print.

    Returns
    -------
    svg : str
        With title and description; the same text for the same chart.
    """
    import matplotlib as mpl  # heavy, and only papers need it
    from matplotlib.figure import Figure

    settings: Any = {
        "svg.fonttype": "none",
        "svg.hashsalt": f"{chart.title} {width:.0f}",  # the same chart may stand twice on a page
        "font.family": "DejaVu Sans",  # measured with it, written as the page's own
        "font.size": SIZE,
        "hatch.linewidth": 0.6,
        "axes.edgecolor": FAINT,
        "axes.labelcolor": INK,
        "text.color": INK,
        "xtick.color": FAINT,
        "ytick.color": FAINT,
        "xtick.labelcolor": INK,
        "ytick.labelcolor": INK,
    }
    with mpl.rc_context(settings):
        figure = Figure(figsize=(width / 96, _height(chart, width) / 96), layout="constrained")
        axes = figure.subplots()
        axes.spines[["top", "right"]].set_visible(False)
        axes.set_axisbelow(True)
        _painter(chart)(axes, chart, width)
        title = wrapped(chart.title, width * 0.85 * SIZE / TITLE, bold=True)
        figure.suptitle("\n".join(title), x=0.01, ha="left", fontsize=TITLE, fontweight="bold")
        out = StringIO()
        figure.savefig(
            out, format="svg", transparent=True, metadata={"Date": None, "Creator": None}
        )
    return _standing_in_a_page(out.getvalue(), chart, width)


def _height(chart: Chart, width: float) -> float:
    if isinstance(chart, Shares):
        return 90 + (44 if width < NARROW else 30) * len(chart.bars)
    return 240 + 18 * _entries(chart) if width < NARROW else 380


def _entries(chart: Chart) -> int:
    """About how many lines the legend has."""
    match chart:
        case CurveChart():
            bands = sum(len(curve.bands) for curve in chart.curves)
            return len(chart.curves) + bands + len(chart.marks) + 2 * len(chart.limits)
        case HeightProfile():
            return len(chart.ways) + len(chart.levels) + len(chart.traps)
        case _:
            return 5


def _painter(chart: Chart) -> Callable[[Any, Any, float], None]:
    painters: dict[type, Callable[[Any, Any, float], None]] = {
        CurveChart: _paint_curves,
        HeightProfile: _paint_profile,
        Distribution: _paint_distribution,
        Shares: _paint_shares,
    }
    return painters[type(chart)]


def _paint_curves(axes: Any, chart: CurveChart, width: float) -> None:
    across = chart.across.scale([p for curve in chart.curves for p in curve.places])
    up = chart.up.scale(
        [*_all_values(chart), *(limit.value for limit in chart.limits)],
    )
    for number, curve in enumerate(chart.curves):
        colour, stroke = COLOURS[number % 3], STROKES[number % 3]
        x = [across.shown(place) for place in curve.places]
        for depth, band in enumerate(curve.bands):
            low, high = ([up.shown(v) for v in values] for values in (band.low, band.high))
            fill = {"facecolor": colour, "alpha": 0.14 + 0.12 * depth, "linewidth": 0}
            label = f"{curve.label}: {percent(band.probability)} lie here"
            axes.fill_between(x, low, high, label=label, **fill)
            edge = {"facecolor": "none", "edgecolor": colour, "alpha": 0.6, "linewidth": 0.6}
            axes.fill_between(x, low, high, hatch=HATCHES[number % 3] or None, **edge)
        middle = [up.shown(value) for value in curve.middle]
        axes.plot(x, middle, color=colour, linestyle=stroke, linewidth=2, label=curve.label)
    for label, place in chart.marks:
        words = f"{label}: {chart.across.words(place)}"
        axes.axvline(across.shown(place), color=INK, linewidth=1, linestyle=":", label=words)
    for limit in chart.limits:
        _limit_line(axes.axhline, limit, up)
    _finish(axes, across.label, up.label, width)


def _all_values(chart: CurveChart) -> Iterator[float]:
    for curve in chart.curves:
        yield from curve.middle
        for band in curve.bands:
            yield from band.low
            yield from band.high


def _limit_line(draw: Callable[..., Any], limit: Limit, scale: Scale) -> None:
    draw(
        scale.shown(limit.value),
        color=INK,
        linewidth=1.4,
        linestyle=(0, (8, 2, 2, 2)),
        label=f"{limit.label} ({limit.source})",
    )


def _paint_profile(axes: Any, chart: HeightProfile, width: float) -> None:
    along = chart.along.scale([x for way in chart.ways for x in way.lengths])
    heights = chart.height.scale([y for way in chart.ways for y in way.heights])
    for number, way in enumerate(chart.ways):
        x = [along.shown(value) for value in way.lengths]
        y = [heights.shown(value) for value in way.heights]
        axes.plot(
            x,
            y,
            color=COLOURS[number % 3],
            linestyle=STROKES[number % 3],
            linewidth=2.4,
            marker="o",
            markersize=3.5,
            label=way.label,
        )
        for piece, ((a, b), (c, d)) in enumerate(zip(pairwise(x), pairwise(y), strict=True)):
            if width >= NARROW and b - a > 0.08 * (max(x) - min(x)):  # room for its words
                axes.annotate(
                    percent(slope(way, piece), signed=True),
                    ((a + b) / 2, (c + d) / 2),
                    textcoords="offset points",
                    xytext=(0, 6 if number % 2 == 0 else -13),
                    ha="center",
                    fontsize=SIZE - 1,
                    color=COLOURS[number % 3],
                )
    for label, height in chart.levels:
        shown = heights.shown(height)
        words = f"{label}, {chart.height.words(height)}"
        line = axes.axhline(shown, color=FAINT, linewidth=1, linestyle=(0, (10, 3)))
        if width < NARROW:
            line.set_label(words)
            continue
        axes.annotate(
            words,
            (1, shown),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            xytext=(-2, 3),
            ha="right",
        )
    for number, (label, length, height) in enumerate(chart.traps, 1):
        place = along.shown(length), heights.shown(height)
        axes.plot(
            *place,
            marker="^",
            markersize=11,
            markerfacecolor="none",
            markeredgecolor=INK,
            markeredgewidth=1.6,
            linestyle="none",
            label=f"{number} air caught: {label}",
        )
        axes.annotate(
            str(number),
            place,
            textcoords="offset points",
            xytext=(0, 9),
            ha="center",
            fontweight="bold",
        )
    axes.margins(y=0.16)
    _finish(axes, along.label, heights.label, width)


def _paint_distribution(axes: Any, chart: Distribution, width: float) -> None:
    limits = [chart.limit.value] if chart.limit is not None else []
    scale = chart.axis.scale([*chart.values, *limits])
    shown = [scale.shown(value) for value in chart.values]
    weights = [100 / len(shown)] * len(shown)
    axes.hist(
        shown,
        bins=BINS,
        weights=weights,
        facecolor="none",
        edgecolor=FIRST,
        linewidth=1.6,
        histtype="stepfilled",
        hatch="//",
        label=f"{len(shown)} samples",
    )
    low, high = (chart.quantile(share) for share in (0.05, 0.95))
    axes.plot(
        [scale.shown(low), scale.shown(high)],
        [0, 0],
        color=SECOND,
        linewidth=5,
        solid_capstyle="butt",
        clip_on=False,
        label=f"90 % lie here: {chart.axis.words(low)} to {chart.axis.words(high)}",
    )
    if chart.limit is not None:
        _limit_line(axes.axvline, chart.limit, scale)
        axes.plot([], [], linestyle="none", label=f"above the limit: {percent(chart.above)}")
    _finish(axes, scale.label, "share of samples (%)", width)


def _paint_shares(axes: Any, chart: Shares, width: float) -> None:
    bars = chart.ordered[::-1]
    room = max(width * 0.34, 90.0)
    labels = ["\n".join(wrapped(label, room)) for label, _ in bars]
    shares = [share * 100 for _, share in bars]
    drawn = axes.barh(
        range(len(bars)), shares, facecolor=FIRST, edgecolor=INK, linewidth=0.8, height=0.6
    )
    axes.set_yticks(range(len(bars)), labels)
    axes.bar_label(drawn, labels=[percent(share) for _, share in bars], padding=3)
    axes.set_xlim(0, max([*shares, 1.0]) * 1.15)
    axes.set_xlabel("\n".join(wrapped(f"share of {chart.of} (%)", width * 0.45)))


def _finish(axes: Any, across: str, up: str, width: float) -> None:
    axes.set_xlabel(across)
    axes.set_ylabel("\n".join(wrapped(up, 220.0)))
    axes.grid(color=GRID, linewidth=0.7)
    handles, labels = axes.get_legend_handles_labels()
    folded = ["\n".join(wrapped(label, min(width * 0.75, 260.0))) for label in labels]
    if folded:
        axes.figure.legend(
            handles,
            folded,
            loc="outside lower left",
            ncols=2 if width >= 560 and len(folded) > 1 else 1,
            frameon=False,
        )


def _standing_in_a_page(svg: str, chart: Chart, width: float) -> str:
    """Without what only a file needs; ids of its own, turned over at night, with its words."""
    body = svg[svg.index("<svg") :]
    body = re.sub(r"\s*<metadata>.*?</metadata>", "", body, flags=re.DOTALL)
    body = re.sub(r"<defs>\s*<style.*?</style>\s*</defs>", "", body, count=1, flags=re.DOTALL)
    body = re.sub(r"font-family: [^;\"]*(?:'[^']*'[^;\"]*)*", f"font-family: {FAMILY}", body)
    body = re.sub(r'fill="(#[0-9a-f]{6})"', r'style="fill: \1"', body)
    body = re.sub(r'<g id="[^"]*"', "<g", body)  # names of groups: the same in every chart
    box = re.search(r'viewBox="([^"]*)"', body)
    if box is None:
        raise RuntimeError("matplotlib wrote an SVG without a viewBox")
    height = _height(chart, width)
    head = (
        f'<svg class="chart" xmlns="http://www.w3.org/2000/svg" '
        f'xmlns:xlink="http://www.w3.org/1999/xlink" role="img" viewBox="{box[1]}" '
        f'width="{width:.0f}" height="{height:.0f}"><title>{escape(chart.title)}</title>'
        f"<desc>{escape(chart_text(chart))}</desc><style>{_style()}</style>"
    )
    return re.sub(r"<svg[^>]*>", lambda _: head, body, count=1)


def _style() -> str:
    """Chooses by the colours themselves: a marker's copies know no class of the chart around."""
    night = "".join(
        f'[style*="{what}: {day}"]{{{what}:{dark} !important}}'
        for day, dark in NIGHT.items()
        for what in ("stroke", "fill")
    )
    return (
        ".chart *{stroke-linejoin:round;stroke-linecap:butt}"
        f".chart text{{fill:{INK}}}"
        f"@media screen and (prefers-color-scheme: dark){{.chart text{{fill:{NIGHT[INK]}}}{night}}}"
    )
