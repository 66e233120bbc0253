"""The coolant circuit as a section of the report: pictures, tables, what carries the spread."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.chance.results import quantiles
from swapwright.circuits.curves import Against, heat_against_radiator, pump_against_circuit
from swapwright.circuits.inputs import Column
from swapwright.circuits.levels import Levels
from swapwright.circuits.matters import spread_of_head
from swapwright.circuits.runs import way_of
from swapwright.circuits.study import CaseResult, CoolantStudy
from swapwright.dossier.chart_drawing import chart_svg
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
)
from swapwright.dossier.circuit import circuit_svg
from swapwright.dossier.coolant import case_rows, hot_chamber
from swapwright.dossier.coolant_drawing import drawn_coolant
from swapwright.dossier.matters import named
from swapwright.model.assembly import Assembly
from swapwright.quantity import Dimension, show

NINE_OF_TEN = 0.9
BARS = 8
PHONE = 330.0  # px of a narrow picture


@dataclass(frozen=True)
class Picture:
    """One picture for a desk or paper, and once more for a phone. SVG."""

    wide: str
    narrow: str


@dataclass(frozen=True)
class CaseSection:
    """One operating case."""

    id: str
    label: str
    drawing: Picture
    rows: tuple[tuple[str, str], ...]
    charts: tuple[Picture, ...]


@dataclass(frozen=True)
class CoolantSection:
    """Everything the page shows of the coolant circuit."""

    samples: int
    lacks: tuple[tuple[str, str], ...]
    cases: tuple[CaseSection, ...]
    profile: Picture | None  # None while heights are not known
    profile_wants: str  # what to measure for it
    assumptions: tuple[tuple[str, str, str], ...]  # what, value, source


def coolant_section(assembly: Assembly, study: CoolantStudy) -> CoolantSection:
    """The section of one study."""
    units = assembly.build.units
    profile = _profile(assembly, study)
    wants = (
        ""
        if profile or study.levels is None or isinstance(study.levels, Levels)
        else (f"{study.levels.why} of {assembly.label(study.levels.subject)}")
    )
    return CoolantSection(
        study.size,
        tuple((each.what, each.remedy) for each in study.lacks),
        tuple(_case(assembly, study, name) for name in study.cases),
        _pictured(profile) if profile else None,
        wants,
        tuple(
            (named(assembly, each), show(each.measure, units), each.source)
            for each in study.assumptions
        ),
    )


def _case(assembly: Assembly, study: CoolantStudy, name: str) -> CaseSection:
    result = study.cases[name]
    units = assembly.build.units
    drawn = drawn_coolant(assembly, study.circuit, result, units)
    return CaseSection(
        name,
        result.state.case.label,
        Picture(circuit_svg(drawn), circuit_svg(drawn, PHONE)),
        tuple(case_rows(study, result, units)),
        tuple(_pictured(chart) for chart in _charts(assembly, study, name, result)),
    )


def _pictured(chart: Chart) -> Picture:
    return Picture(chart_svg(chart), chart_svg(chart, PHONE))


def _charts(
    assembly: Assembly, study: CoolantStudy, name: str, result: CaseResult
) -> Iterator[Chart]:
    units, label = assembly.build.units, result.state.case.label
    good = result.state.converged
    columns = study.columns
    if columns is None or not good.any():  # the table says that it was not solved
        return
    pump = pump_against_circuit(study, result, columns)
    if pump is not None:
        yield _against(
            pump, good, f"Pump against circuit: {label}", ("pump", "rest of the circuit"),
            Axis("through the pump", Dimension.VOLUME_FLOW, units),
            Axis("pressure", Dimension.PRESSURE, units),
        )  # fmt: skip
    heat = heat_against_radiator(study, result, columns)
    if heat is not None:
        yield _against(
            heat, good, f"Heat against radiator: {label}", ("heat that comes", "what can go"),
            Axis("coolant leaving the head", Dimension.TEMPERATURE, units),
            Axis("heat", Dimension.POWER, units),
        )  # fmt: skip
    hot = hot_chamber(study)
    if result.state.case.coolant is None and hot in result.state.temperatures:
        held = result.state.temperatures[hot]
        known = held[good & np.isfinite(held)]
        if len(known) > 1:
            boils = float(np.median(result.pressures.boiling[hot][good]))
            yield Distribution(
                f"Coolant leaving the head: {label}",
                Axis("coolant leaving the head", Dimension.TEMPERATURE, units),
                tuple(float(each) for each in known),
                Limit("boils, in the middle of the answers", boils, "computed"),
            )
    spread = spread_of_head(study, name)
    if spread is not None:
        bars = [
            (named(assembly, spread.inputs[each.name]), max(each.value, 0.0))
            for each in spread.shares.inputs[:BARS]
        ]
        rest = max(1 - sum(share for _, share in bars), 0.0)
        yield Shares(f"What carries the spread: {label}", "the spread",
                     (*bars, ("all others and several together", rest)))  # fmt: skip


def _against(
    found: Against, good: NDArray[np.bool_], title: str, names: tuple[str, str], across: Axis,
    up: Axis,
) -> CurveChart:  # fmt: skip
    curves = (
        _curve(names[0], found.places, found.one, good),
        _curve(names[1], found.places, found.other, good),
    )
    return CurveChart(title, across, up, curves)


def _curve(
    label: str, places: tuple[float, ...], values: Sequence[Column],
    keep: NDArray[np.bool_],
) -> Curve:  # fmt: skip
    ranges = [quantiles(each, keep) for each in values]
    band = Band(
        NINE_OF_TEN, tuple(each.low for each in ranges), tuple(each.high for each in ranges)
    )
    return Curve(label, places, tuple(each.median for each in ranges), (band,))


def _profile(assembly: Assembly, study: CoolantStudy) -> HeightProfile | None:
    """Hoses by height along their way, the level, and what is caught."""
    if not isinstance(study.levels, Levels):
        return None
    units = assembly.build.units
    ways, traps, begun = list[Way](), list[tuple[str, float, float]](), 0.0
    for join in assembly.joins.values():
        way = way_of(join)
        if way is None or join.id not in {each.join for each in study.circuit.elements.values()}:
            continue
        lengths = [begun]
        for one, other in zip(way.points, way.points[1:], strict=False):
            lengths.append(lengths[-1] + float(np.hypot.reduce(np.subtract(one, other))))
        heights = tuple(point[2] for point in way.points)
        ways.append(Way(assembly.label(join.id), tuple(lengths), heights))
        traps += [
            (trap.label, begun + trap.along, trap.height)
            for trap in study.traps
            if trap.join == join.id
        ]
        begun = lengths[-1]
    if not ways:
        return None
    level = float(np.median(study.levels.level))
    return HeightProfile(
        "Heights of the coolant hoses, one after another",
        Axis("along the hoses", Dimension.LENGTH, units),
        Axis("height", Dimension.LENGTH, units),
        tuple(ways),
        (("lowest level", level),),
        tuple(traps),
    )
