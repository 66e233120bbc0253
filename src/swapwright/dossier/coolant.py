"""The coolant study as text for a terminal of 80 columns, and as plain data."""

from collections.abc import Iterable, Iterator
from textwrap import wrap
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swapwright.chance.results import Range, above, quantiles
from swapwright.circuits.coolant import State
from swapwright.circuits.graph import Element
from swapwright.circuits.levels import NoLevels
from swapwright.circuits.matters import spread_of_head, worth_on_the_hill
from swapwright.circuits.study import CaseResult, CoolantStudy
from swapwright.dossier.circuit import circuit_text
from swapwright.dossier.coolant_drawing import NO_FLOW, drawn_coolant
from swapwright.dossier.matters import (
    named,
    short_spread,
    spread_record,
    spread_text,
    worth_record,
    worth_text,
)
from swapwright.dossier.record import finding_record
from swapwright.dossier.sentences import URGENCY_WORDS, asked, how_sure, what
from swapwright.findings.run import Finding
from swapwright.model.assembly import Assembly
from swapwright.quantity import Dimension, System, preferred, show

WIDTH = 80
SHOWN = 10
Column = NDArray[np.float64]


def coolant_text(
    assembly: Assembly,
    study: CoolantStudy,
    found: Iterable[Finding] = (),
    *,
    everything: bool = False,
    what_matters: bool = False,
    ascii_only: bool = False,
) -> str:
    """What ``circuit coolant`` prints: findings, every case, what it rests on, what is missing."""
    units = assembly.build.units
    blocks = [_head(assembly, study), "\n".join(_lacks(study))]
    blocks.append("\n".join(_findings(found, study, units)))
    blocks += ["\n".join(_case(assembly, study, name, units)) for name in study.cases]
    if what_matters:
        blocks += _matters(assembly, study)
    if len(study.cases) == 1:
        result = next(iter(study.cases.values()))
        drawn = drawn_coolant(assembly, study.circuit, result, units)
        blocks.append(circuit_text(drawn, ascii_only).rstrip())
    blocks.append("\n".join(_assumed(assembly, study, units, everything)))
    return "\n\n".join(block for block in blocks if block) + "\n"


def _head(assembly: Assembly, study: CoolantStudy) -> str:
    manner = "as it stands" if assembly.as_it_stands else "as planned"
    lines = [f"Coolant circuit, {assembly.stage}, {manner}"]
    if study.cases:
        lines += wrap(
            f"Computed {study.size} times, each time with other figures from what is uncertain: "
            "the middle of the answers, then between what nine of ten lie.",
            WIDTH,
        )
    return "\n".join(lines)


def _lacks(study: CoolantStudy) -> Iterator[str]:
    for lack in study.lacks:
        yield from wrap(f"missing: {lack.what}. {lack.remedy}", WIDTH, subsequent_indent="    ")


def _findings(found: Iterable[Finding], study: CoolantStudy, units: System) -> Iterator[str]:
    for finding in found:
        head = f"[{URGENCY_WORDS[finding.urgency]}] {what(finding, units)}"
        if finding.sure is not None:
            head += f" ({how_sure(finding)})"
        yield from wrap(head, WIDTH, subsequent_indent="    ")
        if finding.asks is not None:
            yield from _indented(f"{finding.asks.ask} {asked(finding)}".strip())
        else:
            yield from _indented(f"{finding.why} {finding.remedy}")
    for remark in study.diagnosis.remarks if study.diagnosis else ():
        label = study.circuit.elements[remark.subject].label
        yield from wrap(f"{label}: coolant passes it from return to supply; that is no fault "
                        "unless a part in that hose has a direction", WIDTH,
                        subsequent_indent="    ")  # fmt: skip
    if isinstance(study.levels, NoLevels):
        told = f"levels and slopes: not known yet: {study.levels.why}"
        yield from wrap(told, WIDTH, subsequent_indent="    ")


def _indented(text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent="    ", subsequent_indent="    ")


def _case(assembly: Assembly, study: CoolantStudy, name: str, units: System) -> Iterator[str]:
    result = study.cases[name]
    state, pressures = result.state, result.pressures
    yield f"{state.case.label}  ({name})"
    for label, text in case_rows(study, result, units):
        yield f"  {label:<32}{text}"
    boils = boiling_chance(study, result)
    if boils is not None:
        low, high = 100 * boils.low, 100 * boils.high
        share = f"{100 * boils.probability:.1f} %, surely between {low:.1f} and {high:.1f} %"
        yield f"  {'chance that it boils':<32}{share}"
    spread = spread_of_head(study, name)
    if spread is not None and (told := short_spread(assembly, spread)):
        yield from wrap(told, WIDTH, initial_indent="  ", subsequent_indent="      ")
    hot = hot_chamber(study)
    restless = int(np.isinf(state.temperatures[hot]).sum()) if hot in state.temperatures else 0
    if restless:
        yield from wrap(
            f"finds no rest {restless} of {study.size} times: heat comes that has no way out; "
            "bands of temperatures leave these out", WIDTH,
            initial_indent="  ", subsequent_indent="      ",
        )  # fmt: skip
    lost = int((~state.converged).sum())
    if lost:
        yield f"  not solved: {lost} of {study.size} times; these count in no figure above"
    beyond = float(state.extrapolated.mean())
    if beyond >= 0.01:
        yield f"  beyond the range of a law: {100 * beyond:.0f} % of the times"
    if not pressures.heights_known:
        yield "  heights are not known yet: pressures leave them out"


def _matters(assembly: Assembly, study: CoolantStudy) -> Iterator[str]:
    for name in study.cases:
        spread = spread_of_head(study, name)
        if spread is not None:
            yield "\n".join(spread_text(assembly, spread))
    worths = worth_on_the_hill(assembly, study)
    if worths is not None:
        yield "\n".join(worth_text(assembly, worths))


def case_rows(study: CoolantStudy, result: CaseResult, units: System) -> Iterator[tuple[str, str]]:
    """Figures of a case: what, and how much with its band."""
    state, pressures = result.state, result.pressures
    good = state.converged
    for pump in _moved(study, state, "pump"):
        yield "through the pump", band(state.flows[pump.id], Dimension.VOLUME_FLOW, units, good)
    for core in _moved(study, state, "core"):
        yield "through the radiator", band(state.flows[core.id], Dimension.VOLUME_FLOW, units, good)
        if state.case.coolant is None:
            yield "heat given to the air", band(-state.heats[core.id], Dimension.POWER, units, good)
    for matrix in _moved(study, state, "matrix"):
        yield "through the heater", band(state.flows[matrix.id], Dimension.VOLUME_FLOW, units, good)
    hot = hot_chamber(study)
    if state.case.coolant is None and hot in state.temperatures:
        yield "air through the radiator", band(state.air_flow, Dimension.VOLUME_FLOW, units, good)
        for opening in state.openings.values():
            yield "thermostat open", percent(opening, good)
        yield (
            "coolant leaving the head",
            band(state.temperatures[hot], Dimension.TEMPERATURE, units, good),
        )
        yield "below boiling there", band(
            pressures.boiling[hot] - state.temperatures[hot],
            Dimension.TEMPERATURE_DIFFERENCE, units, good,
        )  # fmt: skip
        yield "pressure in the tank", band(pressures.tank_gauge, Dimension.PRESSURE, units, good)
    for chamber in study.circuit.chambers.values():
        if chamber.name == "suction" and chamber.id in pressures.chambers:
            yield (
                "pressure before the pump",
                band(pressures.chambers[chamber.id], Dimension.PRESSURE, units, good),
            )


def _moved(study: CoolantStudy, state: State, kind: str) -> Iterator[Element]:
    """Things of a kind that hang together with the pump."""
    return (each for each in study.circuit.of_kind(kind) if each.id in state.flows)


def hot_chamber(study: CoolantStudy) -> str:
    """The hot end of the head; empty when there is no engine."""
    return next((each.id for each in study.circuit.chambers.values() if each.name == "head"), "")


def boiling_chance(study: CoolantStudy, result: CaseResult) -> Any:
    """Chance that coolant boils where it leaves the head; None in a case without balance."""
    hot = hot_chamber(study)
    if result.state.case.coolant is not None or hot not in result.state.temperatures:
        return None
    temperature = np.minimum(result.state.temperatures[hot], 1e4)
    return above(temperature, result.pressures.boiling[hot], result.state.converged)


def band(values: Column, dimension: Dimension, units: System, good: NDArray[np.bool_]) -> str:
    """A middle value, and between what nine worlds of ten lie: ``108 °C  (91 to 129)``."""
    if not good.any():
        return "not solved"
    if not np.isfinite(values[good]).any():
        return "finds no rest"
    found = quantiles(values, good)
    if dimension is Dimension.VOLUME_FLOW and max(abs(found.low), abs(found.high)) < NO_FLOW:
        return "none"
    middle = preferred(found.median, dimension, units)
    low, high = (preferred(each, dimension, units) for each in (found.low, found.high))
    if low == high:
        return middle
    return f"{middle}  ({_bare(low, high)} to {high})"


def percent(values: Column, good: NDArray[np.bool_]) -> str:
    """A share as a percentage, and between what nine of ten lie."""
    if not good.any():
        return "not solved"
    found = quantiles(values, good)
    low, middle, high = (round(100 * each) for each in (found.low, found.median, found.high))
    return f"{middle} %" if low == high else f"{middle} %  ({low} to {high} %)"


def _bare(low: str, high: str) -> str:
    """A lower bound without its unit where the upper one has the same."""
    number, _, unit = low.partition(" ")
    return number if high.endswith(f" {unit}") and unit else low


def _assumed(
    assembly: Assembly, study: CoolantStudy, units: System, everything: bool
) -> Iterator[str]:
    assumed = study.assumptions
    if not assumed:
        return
    yield f"Assumed, since nobody said otherwise: {len(assumed)} figures"
    shown = assumed if everything else assumed[:SHOWN]
    for each in shown:
        text = f"{named(assembly, each)}: {show(each.measure, units)}"
        yield from wrap(text, WIDTH, initial_indent="  ", subsequent_indent="      ")
    if len(shown) < len(assumed):
        yield f"  and {len(assumed) - len(shown)} more; --all shows them with their sources"


def coolant_record(
    assembly: Assembly,
    study: CoolantStudy,
    found: Iterable[Finding] = (),
    *,
    what_matters: bool = False,
) -> dict[str, Any]:
    """The study as plain data, SI units."""
    spreads = {name: spread_of_head(study, name) for name in study.cases}
    worths = worth_on_the_hill(assembly, study) if what_matters else None
    return {
        "build": assembly.build.id,
        "stage": str(assembly.stage),
        "as_it_stands": assembly.as_it_stands,
        "samples": study.size,
        "lacks": [
            {"what": each.what, "remedy": each.remedy, "stops_all": each.stops_all}
            for each in study.lacks
        ],
        "findings": [finding_record(each, assembly.build.units) for each in found],
        "spread": {name: spread_record(each) for name, each in spreads.items() if each is not None},
        "worth": None if worths is None else worth_record(worths),
        "remarks": [
            {"kind": each.kind, "subject": each.subject}
            for each in (study.diagnosis.remarks if study.diagnosis else ())
        ],
        "elements": [
            {
                "id": each.id,
                "kind": each.kind,
                "label": each.label,
                "start": each.start,
                "end": each.end,
                "assumed": each.assumed,
            }
            for each in study.circuit.elements.values()
        ],
        "cases": {name: _case_record(study, result) for name, result in study.cases.items()},
        "assumptions": [
            {
                "id": each.id,
                "subject": each.subject,
                "fact": each.fact,
                "nominal": each.measure.nominal,
                "uncertainty": each.measure.uncertainty,
                "dimension": str(each.measure.dimension),
                "text": each.measure.text,
                "source": each.source,
            }
            for each in study.assumptions
        ],
    }


def _case_record(study: CoolantStudy, result: CaseResult) -> dict[str, Any]:
    state, pressures = result.state, result.pressures
    boils = boiling_chance(study, result)
    good = state.converged

    def told(values: Column) -> dict[str, float | int | None] | None:
        return _range_record(quantiles(values, good)) if good.any() else None

    return {
        "label": state.case.label,
        "volume_flow": {name: told(values) for name, values in state.flows.items()},
        "temperature": {name: told(values) for name, values in state.temperatures.items()},
        "gauge_pressure": {name: told(values) for name, values in pressures.chambers.items()},
        "heat": {name: told(values) for name, values in state.heats.items()},
        "opening": {name: told(values) for name, values in state.openings.items()},
        "air_flow": told(state.air_flow),
        "tank_gauge_pressure": told(pressures.tank_gauge),
        "boils": None
        if boils is None
        else {"probability": boils.probability, "low": boils.low, "high": boils.high},
        "not_converged": int((~good).sum()),
        "extrapolated": float(state.extrapolated.mean()),
    }


def _range_record(found: Range) -> dict[str, float | int | None]:
    return {
        name: value if np.isfinite(value) else None
        for name, value in (("low", found.low), ("middle", found.median), ("high", found.high))
    }
