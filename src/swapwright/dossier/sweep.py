"""A sweep as a table for a terminal of 80 columns, as plain data, and as a chart."""

from collections.abc import Callable, Iterator
from textwrap import wrap
from typing import Any

from swapwright.chance.results import Range
from swapwright.circuits.sweeps import FEW, Difference, Point, Step, Sweep
from swapwright.circuits.whatif import Trial
from swapwright.dossier.charts import Axis, Band, Curve, CurveChart
from swapwright.dossier.coolant_drawing import NO_FLOW
from swapwright.model.assembly import Assembly
from swapwright.model.message import spoken
from swapwright.quantity import Dimension, System, preferred

WIDTH = 80
HEADS = ("", "leaving the head", "against now", "boils")
FLOW_HEADS = ("", "through the heater", "before the pump")
COLUMNS = (15, 25, 19, 21)
FLOW_COLUMNS = (15, 33, 32)
AT_REST = 1000.0  # K: above stands only what never comes to rest


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
    for label in found.unread:
        lines += ["", *wrap(
            f"Changes nothing here: nothing in this circuit and these cases reads the {label}; "
            "either no such part is joined, or the figure of another part counts.", WIDTH,
        )]  # fmt: skip
    for case in (step.case for step in found.present):
        lines += ["", f"case {case}", _row(HEADS)]
        lines += [_row(("as it is", *_cells(_of(found.present, case), units)))]
        for point in found.points:
            lines += _point(point, case, units, _cells)
        lines += ["", _row(FLOW_HEADS)]
        lines += [_row(("as it is", *_flows(_of(found.present, case), units)))]
        for point in found.points:
            lines += _point(point, case, units, _flows)
    for met in found.met:
        lines += ["", *wrap(
            f"In the case {met.case} the chance of boiling comes down to {100 * FEW:.0f} % at "
            f"{_value(met.trial, units)}.", WIDTH,
        )]  # fmt: skip
    lines += _nowhere(found)
    if found.stopped:
        lines += ["", f"Stopped after {len(found.points)} of {_wanted(found)} values."]
    lines += ["", *wrap("Estimates, no promise: watch the gauge, and never open a hot cap.", WIDTH)]
    return "\n".join(lines) + "\n"


def _nowhere(found: Sweep) -> Iterator[str]:
    """Cases in which every value keeps the chance, or none does."""
    if len(found.tried) != 1 or found.stopped or not found.points:
        return
    for case in (step.case for step in found.present):
        boils = [_of(point.steps, case).boils for point in found.points]
        few = {each.probability <= FEW for each in boils if each is not None}
        if len(few) == 1:
            which = "every value tried" if few == {True} else "no value tried"
            told = (
                f"In the case {case} {which} keeps the chance of boiling below {100 * FEW:.0f} %."
            )
            yield ""
            yield from wrap(told, WIDTH)


def _wanted(found: Sweep) -> int:
    number = 1
    for each in found.tried:
        number *= len(each.trials)
    return number


def _point(
    point: Point, case: str, units: System, cells: Callable[[Step, System], tuple[str, ...]]
) -> Iterator[str]:
    told = ", ".join(_value(trial, units) for trial in point.trials)
    if len(told) > COLUMNS[0] - 1:
        yield told
        told = ""
    yield _row((told, *cells(_of(point.steps, case), units)))


def _of(steps: tuple[Step, ...], case: str) -> Step:
    return next(step for step in steps if step.case == case)


def _cells(step: Step, units: System) -> tuple[str, ...]:
    if step.head is None:
        return ("not solved", "", "")
    head = _range(step.head, Dimension.TEMPERATURE, units)
    return head, _moved(step.difference, units), _boils(step)


def _moved(difference: Difference | None, units: System) -> str:
    """``-1.8 ± 0.2 K``: the mean of the pairs, and its standard error twice."""
    if difference is None or not (difference.mean or difference.standard_error):
        return ""
    size, error = difference.mean, 2 * difference.standard_error
    factor, name = (1.0, "K") if units == "metric" else (5 / 9, "°F")
    return f"{size / factor:+.1f} ± {max(error / factor, 0.1):.1f} {name}"


def _boils(step: Step) -> str:
    if step.boils is None:
        return ""
    low, middle, high = (
        100 * each for each in (step.boils.low, step.boils.probability, step.boils.high)
    )
    return f"{middle:.1f} % ({low:.1f} to {high:.1f})"


def _flows(step: Step, units: System) -> tuple[str, ...]:
    none = step.heater is None or max(abs(step.heater.low), abs(step.heater.high)) < NO_FLOW
    heater = "" if step.heater is None else "none"
    if step.heater is not None and not none:
        heater = _range(step.heater, Dimension.VOLUME_FLOW, units)
    suction = "" if step.suction is None else _range(step.suction, Dimension.PRESSURE, units)
    return heater, suction


def _range(found: Range, dimension: Dimension, units: System) -> str:
    low, middle, high = (
        preferred(each, dimension, units) for each in (found.low, found.median, found.high)
    )
    if low == high:
        return middle
    shared = middle.partition(" ")[2]
    bare = [each.removesuffix(f" {shared}") for each in (low, high)]
    return f"{middle} ({bare[0]} to {bare[1]})"


def _row(cells: tuple[str, ...]) -> str:
    columns = COLUMNS if len(cells) == len(COLUMNS) else FLOW_COLUMNS
    padded = (cell.ljust(width - 1) for cell, width in zip(cells, columns, strict=True))
    return " ".join(padded).rstrip()


def _value(trial: Trial, units: System) -> str:
    if trial.text:
        return trial.text
    return (
        spoken(trial.value, units)
        if trial.measure is None
        else preferred(trial.measure.nominal, trial.measure.dimension, units)
    )


def sweep_chart(assembly: Assembly, found: Sweep) -> CurveChart:
    """Temperature of the head over the first figure: a curve a case and value of the second.

    Raises
    ------
    ValueError
        If the first figure has no measure, or fewer than two of its values came to rest.
    """
    units = assembly.build.units
    first, *others = found.tried
    dimension = next((each.measure.dimension for each in first.trials if each.measure), None)
    if dimension is None:
        raise ValueError(f"{first.label} is no measure that could be laid off along an axis")
    seconds = others[0].trials if others else (None,)
    curves = tuple(
        curve
        for step in found.present
        for second in seconds
        if (curve := _curve(found, step.case, second, units)) is not None
    )
    if not curves:
        raise ValueError("fewer than two values came to rest: there is no line to draw")
    marks = tuple(
        (f"{100 * FEW:.0f} % boil: {met.case}", met.trial.measure.nominal)
        for met in found.met
        if met.trial.measure is not None
    )
    up = Axis("coolant leaving the head", Dimension.TEMPERATURE, units)
    title = f"Coolant leaving the head over {first.label}"
    return CurveChart(title, Axis(first.label, dimension, units), up, curves, (), marks)


def _curve(found: Sweep, case: str, second: Trial | None, units: System) -> Curve | None:
    """Points that came to rest, in rising order; None where there are fewer than two."""
    points = sorted(
        (point.trials[0].measure.nominal, head.low, head.median, head.high)
        for point in found.points
        if second is None or point.trials[1] == second
        if point.trials[0].measure is not None
        if (head := _of(point.steps, case).head) is not None and head.high < AT_REST
    )
    if len(points) < 2:
        return None
    places, low, middle, high = zip(*points, strict=True)
    label = case if second is None else f"{case}, {_value(second, units)}"
    return Curve(label, places, middle, (Band(0.9, low, high),))


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
        "unread": list(found.unread),
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
