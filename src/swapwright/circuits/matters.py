"""What carries the spread of a result, and what one measurement would settle."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.chance.shares import Shares, spread_shares
from swapwright.chance.worth import Decision, Worth, decide
from swapwright.circuits.inputs import Column, Taken
from swapwright.circuits.study import CaseResult, CoolantStudy, coolant_study
from swapwright.circuits.whatif import Trial, changed
from swapwright.library.losses import losses
from swapwright.model.assembly import Assembly
from swapwright.model.values import Value
from swapwright.quantity import Basis, Dimension, Measure

SAMPLES_EACH = 16  # least samples for each input that is told apart
STILL = 1e-12  # deviation over size, below which an input does not vary
HOTTER = 1e4  # K: stands for a circuit that finds no rest
LEAVE, BIGGER = "leave it as it is", "fit a radiator a third larger"
THIRD = 4 / 3
HILL = "hill"


@dataclass(frozen=True)
class Spread:
    """Where the spread of one result of one case comes from."""

    case: str
    of: str  # what was looked at
    shares: Shares
    inputs: Mapping[str, Taken]  # by id, those that were told apart
    left_out: int  # inputs that vary and bear least, for which the sample is too small


@dataclass(frozen=True)
class Worths:
    """What it is worth to know single inputs before deciding about the radiator."""

    decision: Decision
    worths: tuple[tuple[Taken, Worth], ...]  # largest first
    measuring: float  # what one measurement costs


def spread_of_head(study: CoolantStudy, case: str) -> Spread | None:
    """Shares of the spread of the temperature at which coolant leaves the head.

    Returns
    -------
    spread : Spread or None
        None where the case is not in balance, hardly any sample was solved, or nothing varies.
    """
    result = study.cases.get(case)
    head = _chamber(study, "head")
    if result is None or head not in result.state.temperatures:
        return None
    if result.state.case.coolant is not None:
        return None
    values = np.minimum(result.state.temperatures[head], HOTTER)
    # a world without rest has no temperature; it is the far end of the same scale
    finite = values[values < HOTTER]
    if len(finite) < SAMPLES_EACH:
        return None
    values = np.minimum(values, finite.max())
    good = result.state.converged
    chosen, left_out = _chosen(study.inputs, values, good)
    if not chosen:
        return None
    columns = {name: taken.own for name, taken in chosen.items()}
    return Spread(case, "coolant leaving the head", spread_shares(values, columns, good),
                  chosen, left_out)  # fmt: skip


def _chosen(
    inputs: Mapping[str, Taken], values: Column, good: NDArray[np.bool_]
) -> tuple[dict[str, Taken], int]:
    """The inputs that vary; of too many for the sample those that bear most by rank."""
    varying = {name: taken for name, taken in inputs.items() if _varies(taken.own)}
    most = int(good.sum()) // SAMPLES_EACH
    if len(varying) <= most:
        return varying, 0
    ranks = _ranks(values[good])
    strength = {
        name: abs(float(np.corrcoef(_ranks(taken.own[good]), ranks)[0, 1]))
        for name, taken in varying.items()
    }
    kept = sorted(varying, key=lambda name: -strength[name])[:most]
    return {name: varying[name] for name in varying if name in kept}, len(varying) - len(kept)


def _varies(own: Column) -> bool:
    return bool(own.std() > STILL * max(float(np.abs(own).max()), 1e-300))


def _ranks(values: Column) -> NDArray[np.intp]:
    return np.argsort(np.argsort(values))


def worth_on_the_hill(assembly: Assembly, study: CoolantStudy) -> Worths | None:
    """What knowing an input would save before deciding about a larger radiator.

    The two options are leaving the radiator, and fitting one a third wider and higher by the
    root of that; each world loses what boiling costs where it boils, and what acting costs.

    Returns
    -------
    worths : Worths or None
        None where the hill or the radiator is missing.
    """
    before = study.cases.get(HILL)
    cores = study.circuit.of_kind("core")
    head = _chamber(study, "head")
    if before is None or not cores or head not in before.state.temperatures:
        return None
    if study.columns is None:
        return None
    larger = [
        _grown(study, cores[0].subject, fact) for fact in
        ("radiator_core_width", "radiator_core_height")
    ]  # fmt: skip
    seed = study.columns.sample.seed
    other = changed(assembly, larger)
    after = coolant_study(other, study.size, seed, (HILL,), judged=False).cases[HILL]
    cost = losses()
    good = before.state.converged & after.state.converged
    table = {
        LEAVE: cost["boiled"].value * _boils(before, head),
        BIGGER: cost["bigger_radiator"].value + cost["boiled"].value * _boils(after, head),
    }
    chosen, _ = _chosen(study.inputs, table[LEAVE] - table[BIGGER], good)
    decision = decide(table, {name: taken.own for name, taken in chosen.items()}, good)
    told = [(taken, decision.knowing(name)) for name, taken in chosen.items()]
    told.sort(key=lambda each: -each[1].value)
    return Worths(decision, tuple(told), cost["measuring"].value)


def _grown(study: CoolantStudy, subject: str, fact: str) -> Trial:
    """A core's side, so much longer that its face is a third larger."""
    taken = next((each for name, each in study.inputs.items() if name.endswith(f".{fact}")), None)
    nominal = taken.measure.nominal if taken is not None else 0.0
    measure = Measure(nominal * THIRD**0.5, 0.0, Dimension.LENGTH, Basis.MEASURED, "")
    return Trial(subject, fact, Value(measure, text=""), "")


def _boils(result: CaseResult, head: str) -> Column:
    hot = result.state.temperatures[head] > result.pressures.boiling[head]
    return hot.astype(np.float64)


def _chamber(study: CoolantStudy, name: str) -> str:
    return next((each.id for each in study.circuit.chambers.values() if each.name == name), "")
