"""A sweep as a table for a terminal of 80 columns, as plain data, and as a chart."""

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

from swapwright.chance.results import Range
from swapwright.circuits.sweeps import FEW, Point, Step, Sweep
from swapwright.circuits.whatif import Trial
from swapwright.model.assembly import Assembly
from swapwright.model.message import spoken
from swapwright.quantity import Dimension, System, preferred

WIDTH = 80
HEADS = ("", "leaving the head", "against now", "boils", "heater")
COLUMNS = (18, 26, 15, 11, 10)


def sweep_text(assembly: Assembly, found: Sweep) -> str:
    """What ``sweep`` prints: a table a case, and where the chance of boiling comes down."""
    units = assembly.build.units
    what = " and ".join(each.label for each in found.tried)
    lines = wrap(f"Tried: {what}", WIDTH)
    lines += wrap(
        f"Each value is computed {found.size} times on the same figures, so that differences "
        "are those of the trial alone: the middle, then between what nine of ten lie.",
        WIDTH,
    )
    for case in (step.case for step in found.present):
        lines += ["", f"case {case}", _row(HEADS)]
        lines += [_row(("as it is", *_cells(_of(found.present, case), units)))]
        for point in found.points:
            lines += _point(point, case, units)
    for met in found.met:
        lines += ["", *wrap(
            f"In the case {met.case} the chance of boiling comes down to {100 * FEW:.0f} % at "
            f"{_value(met.trial, units)}.", WIDTH,
        )]  # fmt: skip
    if found.stopped:
        lines += ["", f"Stopped after {len(found.points)} of {_wanted(found)} values."]
    lines += ["", *wrap("Estimates, no promise: watch the gauge, and never open a hot cap.", WIDTH)]
    return "\n".join(lines) + "\n"


def _wanted(found: Sweep) -> int:
    number = 1
    for each in found.tried:
        number *= len(each.trials)
    return number


def _point(point: Point, case: str, units: System) -> Iterator[str]:
    told = ", ".join(_value(trial, units) for trial in point.trials)
    if len(told) > COLUMNS[0] - 2:
        yield told
        told = ""
    yield _row((told, *_cells(_of(point.steps, case), units)))


def _of(steps: tuple[Step, ...], case: str) -> Step:
    return next(step for step in steps if step.case == case)


def _cells(step: Step, units: System) -> tuple[str, ...]:
    if step.head is None:
        return ("not solved", "", "", "")
    head = _range(step.head, Dimension.TEMPERATURE, units)
    moved = ""
    if step.difference is not None and (step.difference.mean or step.difference.standard_error):
        size = preferred(step.difference.mean, Dimension.TEMPERATURE_DIFFERENCE, units)
        moved = size if step.difference.mean < 0 else f"+{size}"
    boils = f"{100 * step.boils.probability:.1f} %" if step.boils is not None else ""
    heater = (
        ""
        if step.heater is None or abs(step.heater.median) < 1e-8
        else preferred(step.heater.median, Dimension.VOLUME_FLOW, units)
    )
    return head, moved, boils, heater


def _range(found: Range, dimension: Dimension, units: System) -> str:
    low, middle, high = (
        preferred(each, dimension, units) for each in (found.low, found.median, found.high)
    )
    return f"{middle} ({low.partition(' ')[0]} to {high.partition(' ')[0]})"


def _row(cells: tuple[str, ...]) -> str:
    return "".join(cell.ljust(width) for cell, width in zip(cells, COLUMNS, strict=True)).rstrip()


def _value(trial: Trial, units: System) -> str:
    if trial.text:
        return trial.text
    return (
        spoken(trial.value, units)
        if trial.measure is None
        else preferred(trial.measure.nominal, trial.measure.dimension, units)
    )


def sweep_record(assembly: Assembly, found: Sweep) -> dict[str, Any]:
    """The sweep as plain data, SI units."""
    return {
        "build": assembly.build.id,
        "stage": str(assembly.stage),
        "samples": found.size,
        "tried": [each.label for each in found.tried],
        "present": [_step_record(each) for each in found.present],
        "points": [
            {
                "values": [_trial_record(each) for each in point.trials],
                "cases": [_step_record(each) for each in point.steps],
            }
            for point in found.points
        ],
        "met": [{"case": each.case, "value": _trial_record(each.trial)} for each in found.met],
        "stopped": found.stopped,
    }


def _trial_record(trial: Trial) -> dict[str, Any]:
    return {
        "subject": trial.subject,
        "name": trial.name,
        "text": trial.text,
        "nominal": trial.measure.nominal if trial.measure is not None else None,
    }


def _step_record(step: Step) -> dict[str, Any]:
    return {
        "case": step.case,
        "head_temperature": _plain(step.head),
        "heater_flow": _plain(step.heater),
        "suction_gauge_pressure": _plain(step.suction),
        "boils": None
        if step.boils is None
        else {"probability": step.boils.probability, "low": step.boils.low,
              "high": step.boils.high},
        "difference": None
        if step.difference is None
        else {"mean": step.difference.mean, "standard_error": step.difference.standard_error},
        "solved": step.solved,
    }  # fmt: skip


def _plain(found: Range | None) -> dict[str, float] | None:
    if found is None:
        return None
    return {"low": found.low, "middle": found.median, "high": found.high}
