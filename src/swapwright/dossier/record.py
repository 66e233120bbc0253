"""An Assessment as plain data for ``--json``; documented in docs/json.md, schema shipped."""

from typing import Any

from swapwright import __version__
from swapwright.assess import Assessment
from swapwright.crossings.rows import Crossing
from swapwright.dossier.terminal import units_of
from swapwright.findings.run import Finding
from swapwright.model.amount import Amount
from swapwright.model.message import Spoken, spoken
from swapwright.model.values import Value
from swapwright.quantity import Measure, System


def assessment_record(assessment: Assessment) -> dict[str, Any]:
    """Findings, crossings, decisions and assumptions of one Assessment."""
    system = units_of(assessment)
    build = assessment.assembly.build
    return {
        "build": build.id,
        "stage": str(assessment.assembly.stage),
        "as_it_stands": assessment.assembly.as_it_stands,
        "as_of": assessment.as_of.isoformat(),
        "next_gate": str(assessment.assembly.next_gate),
        "status": assessment.status,
        "program": __version__,
        "documents": dict(assessment.documents),
        "findings": [finding_record(each, system) for each in assessment.findings],
        "crossings": crossing_records(assessment),
        "decisions": [
            {
                "id": name,
                "question": each.question,
                "options": {key: option.label for key, option in each.options.items()},
                "chosen": None if each.chosen in ("", "unknown") else each.chosen,
                "gate": str(each.gate),
                "about": list(each.about),
            }
            for name, each in build.decisions.items()
        ],
        "assumptions": [
            {
                "subject": each.subject,
                "fact": each.name,
                "value": value_record(each.value, system),
                "rules": list(each.rules),
            }
            for each in assessment.assumptions
        ],
        "red_lines": [
            {
                "id": state.line.id,
                "title": state.line.title,
                "proved": state.proved,
                "lapsed": state.lapsed,
                "ports": list(state.ports),
            }
            for state in assessment.red_lines
        ],
        "loose_ends": [
            {
                "id": each.id,
                "kind": each.kind,
                "subject": each.subject,
                "what": each.what.text(system),
                "close": each.close.text(system),
            }
            for each in assessment.loose_ends
        ],
    }


def finding_record(finding: Finding, system: System) -> dict[str, Any]:
    """One finding."""
    return {
        "id": finding.id,
        "rule": finding.rule,
        "urgency": str(finding.urgency),
        "would_be": str(finding.would_be),
        "signal": str(finding.signal) if finding.signal else None,
        "subjects": list(finding.subjects),
        "stage": finding.stage,
        "gate": str(finding.gate),
        "near": finding.near,
        "what": finding.message.text(system),
        "why": finding.why,
        "values": {
            name: spoken_record(held, system) for name, held in finding.message.values.items()
        },
        "remedy": finding.remedy,
        "source": finding.source,
        "rests_on": [
            {"subject": use.subject, "fact": use.name, "value": value_record(use.value, system)}
            for use in finding.rests_on
        ],
        "sure": finding.sure,
        "asks": (
            {
                "subject": finding.asks.subject,
                "fact": finding.asks.name,
                "how": finding.asks.ask,
                "tool": finding.asks.tool or None,
            }
            if finding.asks
            else None
        ),
        "accepted": (
            {"reason": finding.accepted.reason, "on": finding.accepted.on.text}
            if finding.accepted
            else None
        ),
        "lapsed": finding.lapsed,
    }


def crossing_records(assessment: Assessment) -> list[dict[str, Any]]:
    """Every crossing, partners in one record."""
    return [_crossing_record(each, units_of(assessment)) for each in assessment.crossings]


def _crossing_record(crossing: Crossing, system: System) -> dict[str, Any]:
    partner = crossing.newcomer.id if crossing.car and crossing.newcomer else None
    side = "both" if partner else str(crossing.ends[0].side)
    return {
        "id": crossing.id,
        "label": crossing.label,
        "side": side,
        "service": str(crossing.service),
        "system": crossing.system,
        "pile": str(crossing.pile),
        "pile_why": crossing.pile_why.text(system),
        "fate": str(crossing.fate),
        "stage": str(crossing.stage),
        "partner": partner,
        "join": crossing.join.id if crossing.join else None,
        "mates": str(crossing.mating.verdict) if crossing.mating else None,
        "gap": crossing.gap.text(system) if crossing.gap else None,
        "close": crossing.close.text(system) or None,
        "gate": str(crossing.gate),
        "progress": str(crossing.progress) if crossing.progress else None,
        "until": crossing.until or None,
        "red_lines": list(crossing.red_lines),
    }


def value_record(value: Value, system: System) -> dict[str, Any]:
    """One value: text as written, basis, and SI where it is measured."""
    record: dict[str, Any] = {"text": value.text, "basis": str(value.basis)}
    if isinstance(value.content, Measure):
        record |= _measured(value.content) | {"shown": spoken(value, system)}
    return record


def spoken_record(held: Spoken, system: System) -> Any:
    """One value of a message: numbers in SI beside the shown text."""
    if isinstance(held, Value):
        return value_record(held, system)
    if isinstance(held, Measure | Amount):
        return _measured(held) | {"shown": spoken(held, system)}
    if isinstance(held, bool | int | float):
        return held
    return spoken(held, system)


def _measured(held: Measure | Amount) -> dict[str, Any]:
    return {
        "si": held.nominal,
        "uncertainty": held.uncertainty,
        "dimension": str(held.dimension),
    }
