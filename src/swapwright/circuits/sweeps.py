"""One or two figures tried at many values on the same sample, and where a limit is met."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import sqrt

import numpy as np

from swapwright.chance.results import Crossing, Range, above, quantiles
from swapwright.circuits.inputs import Column
from swapwright.circuits.study import CaseResult, CoolantStudy, coolant_study
from swapwright.circuits.whatif import Trial, Tried, changed
from swapwright.model.assembly import Assembly
from swapwright.model.values import Value
from swapwright.quantity import Measure

FEW = 0.05  # chance of boiling that is taken as met
HALVINGS = 7  # of a step, to find where that chance is met
MOST_TRIALS = 200


@dataclass(frozen=True)
class Difference:
    """Change of the head's temperature against the build as it is, on the same samples. [K]"""

    mean: float
    standard_error: float  # of the mean of the pairs; a stratified sample errs less


@dataclass(frozen=True)
class Step:
    """One case at one set of values."""

    case: str
    head: Range | None  # temperature where coolant leaves the head [K]
    boils: Crossing | None
    heater: Range | None  # [m³/s]
    suction: Range | None  # gauge pressure before the pump [Pa]
    difference: Difference | None
    solved: int


@dataclass(frozen=True)
class Point:
    """All cases at one set of values."""

    trials: tuple[Trial, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Met:
    """Value at which the chance of boiling in a case comes down to one in twenty."""

    case: str
    trial: Trial


@dataclass(frozen=True)
class Sweep:
    """A whole sweep; a stopped one holds what was done."""

    tried: tuple[Tried, ...]
    size: int
    present: tuple[Step, ...]
    points: tuple[Point, ...]
    met: tuple[Met, ...]
    stopped: bool = False
    unread: tuple[str, ...] = ()  # labels of figures that nothing in these cases reads


def sweep(
    assembly: Assembly,
    what: Sequence[Tried],
    cases: tuple[str, ...],
    size: int,
    progress: Callable[[int, int], None] = lambda _done, _all: None,
) -> Sweep:
    """Try all values, and all pairs where two figures are tried.

    Parameters
    ----------
    assembly : Assembly
        The build as it is.
    what : sequence of Tried
        One figure or two.
    cases : tuple of str
        To compute.
    size : int
        Number of samples; the same ones at every point.
    progress : callable
        Told how many points are done, of how many; it may raise ``KeyboardInterrupt``.

    Raises
    ------
    ValueError
        If there are more than two figures or 200 points.
    """
    sets = list(product(*(each.trials for each in what)))
    if not 1 <= len(what) <= 2 or len(sets) > MOST_TRIALS:
        raise ValueError(f"wanted one or two figures and at most {MOST_TRIALS} points, "
                         f"got {len(what)} and {len(sets)}")  # fmt: skip
    present = _study(assembly, (), cases, size)
    points: list[Point] = []
    met: tuple[Met, ...] = ()
    unread: tuple[str, ...] = ()
    stopped = False
    try:
        for number, trials in enumerate(sets):
            progress(number, len(sets))
            study = _study(assembly, trials, cases, size)
            points.append(Point(trials, tuple(_steps(study, present))))
            unread = _unread(what, trials, study)
        progress(len(sets), len(sets))
        met = tuple(_met(assembly, what, points, cases, size))
    except KeyboardInterrupt:
        stopped = True
    steps = tuple(_steps(present, present))
    return Sweep(tuple(what), size, steps, tuple(points), met, stopped, unread)


def _unread(what: Sequence[Tried], trials: Sequence[Trial], study: CoolantStudy) -> tuple[str, ...]:
    """Figures whose value never entered: no such part in this circuit, or another one counts."""
    return tuple(
        one.label
        for one, trial in zip(what, trials, strict=True)
        if trial.measure is not None and not _enters(trial, trial.measure, study)
    )


def _enters(trial: Trial, measure: Measure, study: CoolantStudy) -> bool:
    owner = f"case {trial.subject}" if trial.in_case else trial.subject
    taken = study.inputs.get(f"{owner}.{trial.name}")
    return taken is not None and taken.measure.nominal == measure.nominal


def _study(
    assembly: Assembly, trials: Sequence[Trial], cases: tuple[str, ...], size: int
) -> CoolantStudy:
    return coolant_study(changed(assembly, trials), size, only=cases, judged=False)


def _steps(study: CoolantStudy, present: CoolantStudy) -> Iterator[Step]:
    for name, result in study.cases.items():
        yield _step(study, name, result, present.cases[name])


def _step(study: CoolantStudy, name: str, result: CaseResult, before: CaseResult) -> Step:
    state, good = result.state, result.state.converged
    head = _chamber(study, "head")
    if head not in state.temperatures or not np.isfinite(state.temperatures[head][good]).any():
        return Step(name, None, None, None, None, None, int(good.sum()))
    boils = None
    if state.case.coolant is None:
        warm = np.minimum(state.temperatures[head], 1e4)
        boils = above(warm, result.pressures.boiling[head], good)
    matrix = next((each.id for each in study.circuit.of_kind("matrix")), "")
    suction = result.pressures.chambers.get(_chamber(study, "suction"))
    return Step(
        name,
        quantiles(state.temperatures[head], good),
        boils,
        quantiles(state.flows[matrix], good) if matrix in state.flows else None,
        quantiles(suction, good) if suction is not None else None,
        _difference(state.temperatures[head], before, head, good),
        int(good.sum()),
    )


def _difference(
    after: Column, before: CaseResult, head: str, good: np.ndarray[tuple[int], np.dtype[np.bool_]]
) -> Difference | None:
    both = good & before.state.converged & np.isfinite(after)
    both = both & np.isfinite(before.state.temperatures[head])
    moved = (after - before.state.temperatures[head])[both]
    if len(moved) < 2:
        return None
    return Difference(float(moved.mean()), float(moved.std(ddof=1) / sqrt(len(moved))))


def _chamber(study: CoolantStudy, name: str) -> str:
    return next((each.id for each in study.circuit.chambers.values() if each.name == name), "")


def _met(
    assembly: Assembly, what: Sequence[Tried], points: list[Point], cases: tuple[str, ...],
    size: int,
) -> Iterator[Met]:  # fmt: skip
    """Between two steps of one measured figure where the chance passes the limit, by halving."""
    if len(what) != 1 or any(each.measure is None for each in what[0].trials):
        return
    for case in cases:
        chances = [_chance(point, case) for point in points]
        for one, other, low, high in zip(points, points[1:], chances, chances[1:], strict=False):
            if low is None or high is None or (low > FEW) == (high > FEW):
                continue
            yield Met(case, _halved(assembly, one.trials[0], other.trials[0], case, size, low))
            break


def _chance(point: Point, case: str) -> float | None:
    step = next((each for each in point.steps if each.case == case), None)
    return step.boils.probability if step is not None and step.boils is not None else None


def _halved(
    assembly: Assembly, one: Trial, other: Trial, case: str, size: int, at_one: float
) -> Trial:
    for _ in range(HALVINGS):
        middle = _between(one, other)
        study = _study(assembly, (middle,), (case,), size)
        chance = _chance(Point((middle,), tuple(_steps(study, study))), case)
        if chance is not None and (chance > FEW) == (at_one > FEW):
            one = middle
        else:
            other = middle
    return one if at_one <= FEW else other


def _between(one: Trial, other: Trial) -> Trial:
    first, last = one.measure, other.measure
    assert first is not None and last is not None
    nominal = (first.nominal + last.nominal) / 2
    content = Measure(nominal, 0.0, first.dimension, first.basis, "")
    return Trial(one.subject, one.name, Value(content, text=""), "", one.in_case)
