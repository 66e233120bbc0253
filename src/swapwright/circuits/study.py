"""The coolant circuit in all cases, over all that is uncertain."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from swapwright.chance.samples import Sample
from swapwright.circuits.conditions import conditions
from swapwright.circuits.coolant import State, state_in
from swapwright.circuits.coolant_links import floor_bore
from swapwright.circuits.diagnosis import Diagnosis, diagnosis
from swapwright.circuits.filling import Filled, Pressed, filled, heights_of, pressed
from swapwright.circuits.graph import FLOOR_PIPE, Circuit, Lack, circuit
from swapwright.circuits.inputs import Column, Inputs, Taken
from swapwright.circuits.levels import Levels, NoLevels, levels
from swapwright.circuits.pockets import Trap, traps
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.library.cases import cases_of
from swapwright.model.assembly import Assembly
from swapwright.model.words import Service

SAMPLES = 1024
SEED = 1


@dataclass(frozen=True)
class CaseResult:
    """One case over all samples."""

    state: State
    pressures: Pressed


@dataclass(frozen=True)
class CoolantStudy:
    """What is known of one build's coolant circuit."""

    circuit: Circuit
    cases: Mapping[str, CaseResult]
    fill: Filled | None
    inputs: Mapping[str, Taken]
    size: int
    lacks: tuple[Lack, ...]
    columns: Inputs | None = None  # what everything was computed from
    levels: Levels | NoLevels | None = None
    traps: tuple[Trap, ...] = ()
    diagnosis: Diagnosis | None = None
    bores: Mapping[str, Column] = field(default_factory=dict)  # of pipes under the floor [m]

    @property
    def assumptions(self) -> tuple[Taken, ...]:
        """Every input that the builder did not give."""
        return tuple(each for each in self.inputs.values() if each.assumed)


def coolant_study(
    assembly: Assembly,
    size: int = SAMPLES,
    seed: int = SEED,
    only: tuple[str, ...] = (),
    upset: Upset = NOTHING_UPSET,
    judged: bool = True,
) -> CoolantStudy:
    """Compute the coolant circuit of a build.

    Parameters
    ----------
    assembly : Assembly
        The build at one stage.
    size : int
        Number of samples; 1 is the nominal world.
    seed : int
        Of the sample.
    only : tuple of str
        Ids of cases; none: all of them.
    upset : Upset
        What departs from every case.
    judged : bool
        Whether to look at levels, air traps and wrong joins too.

    Returns
    -------
    study : CoolantStudy
        Without cases where ``lacks`` says what no flow can do without.
    """
    found = circuit(assembly, Service.COOLANT)
    missing = lacks(found, assembly)
    if any(each.stops_all for each in missing):
        return CoolantStudy(found, {}, None, {}, size, missing)
    chosen = only or tuple(cases_of(assembly.build))
    inputs = Inputs(assembly, Sample(size, seed))
    cases, fill = _computed(found, inputs, chosen, upset)
    if not judged:
        return CoolantStudy(found, cases, fill, inputs.taken, size, missing, inputs)
    return CoolantStudy(
        found, cases, fill, inputs.taken, size, missing, inputs,
        levels(found, inputs), traps(found, inputs), diagnosis(found, inputs),
        {each.id: floor_bore(each, inputs) for each in found.of_kind(FLOOR_PIPE)},
    )  # fmt: skip


def _computed(
    found: Circuit, inputs: Inputs, chosen: tuple[str, ...], upset: Upset
) -> tuple[dict[str, CaseResult], Filled | None]:
    cases = cases_of(inputs.assembly.build)
    heights = heights_of(found, inputs)
    results: dict[str, CaseResult] = {}
    fill: Filled | None = None
    for name in chosen:
        state = state_in(conditions(name, cases[name], inputs), found, inputs, upset)
        if fill is None:
            runs = sum(state.laid.volumes.values(), inputs.constant(0.0))
            fill = filled(found, runs, inputs)
        results[name] = CaseResult(state, pressed(state, fill, heights, upset.cap_holds))
    return results, fill


def lacks(found: Circuit, assembly: Assembly) -> tuple[Lack, ...]:
    """What the circuit misses: what stops all of it, and what only parts of it want."""
    missing: list[Lack] = []
    pumps = found.of_kind("pump")
    if not pumps:
        missing.append(
            Lack("no coolant pump", "Name the engine that comes in; its pump goes with it.", True)
        )
    for pump in pumps:
        rest = {name: each for name, each in found.elements.items() if name != pump.id}
        beside = Circuit(found.service, found.chambers, rest, found.openings, (), ())
        if pump.start not in beside.reached_from(pump.end):
            missing.append(
                Lack(
                    "no way from the pump round and back to it",
                    "Join the engine's coolant ports, or decide what becomes of them.",
                    True,
                    (pump.subject,),
                )
            )
    if not found.of_kind("core"):
        missing.append(
            Lack("no radiator", "Give the car a part of the kind radiator.", False,
                 (assembly.recipient,))
        )  # fmt: skip
    for core in found.of_kind("core"):
        for chamber in (core.start, core.end):
            if not [name for name in found.neighbours[chamber] if name != core.id]:
                what = f"nothing leads to the {found.chambers[chamber].label} of the radiator"
                remedy = "Join its hose; without it no heat goes out."
                missing.append(Lack(what, remedy, False, (core.subject,)))
    return tuple(missing)
