"""What is joined wrongly in a coolant circuit, and the exchange that mends it, proved by solving.

Nothing here is a rule of thumb about names of stubs: each suspicion is a computed flow, pressure
or way, and each exchange is solved before it is told.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.conditions import Conditions, conditions
from swapwright.circuits.coolant import State, state_in
from swapwright.circuits.graph import RUN, Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.library.cases import cases_of

STARVED = 0.2  # of what the right pair of stubs would give; from memory
LEAST_WAY = 0.05  # of rated flow with the thermostat shut; from memory
OWN_WAY = 0.3  # of what the engine's own bypass lets pass, where that was closed; from memory
LOST_SUCTION = 5e3  # Pa at the pump's inlet that a better place of the makeup would spare
TRICKLE = 0.2 / 60e3  # m³/s, under which nothing is said to be reached
SHUT, HOT = Upset(stuck=0.0), Upset(stuck=1.0)


@dataclass(frozen=True)
class Exchange:
    """One end of a hose moved from one chamber to another."""

    element: str
    old: str
    new: str


@dataclass(frozen=True)
class Misjoined:
    """One thing that is joined wrongly."""

    kind: str  # heater starved, main hoses crossed, makeup hot, no bypass, thermostat not reached
    subject: str  # element
    found: Column  # what it comes to now [m³/s or Pa, by kind]
    better: Column  # what it comes to once mended, solved
    wrong: NDArray[np.bool_]  # in which samples it is wrong
    good: NDArray[np.bool_]  # samples that were solved both ways
    mend: tuple[Exchange, ...]  # empty where a way has to be opened
    opens: str = ""  # what has to be opened instead


@dataclass(frozen=True)
class Remark:
    """Something worth knowing that is no fault."""

    kind: str
    subject: str


@dataclass(frozen=True)
class Diagnosis:
    """All that a circuit's joins do wrong."""

    faults: tuple[Misjoined, ...]
    remarks: tuple[Remark, ...]


def diagnosis(circuit: Circuit, inputs: Inputs) -> Diagnosis:
    """Look for wrong joins by solving the circuit shut, open, and with ends exchanged.

    Parameters
    ----------
    circuit : Circuit
        With a pump and a way round it; see ``study.lacks``.
    inputs : Inputs
        The sample that everything is solved over.
    """
    looking = _Looking(circuit, inputs)
    faults = [
        *looking.heaters(), *looking.bypass(), *looking.make_up(), *looking.main_hoses(),
        *looking.thermostats(),
    ]  # fmt: skip
    return Diagnosis(tuple(faults), tuple(looking.remarks()))


class _Looking:
    """Solves variants of one circuit; used once."""

    def __init__(self, circuit: Circuit, inputs: Inputs) -> None:
        self.circuit, self.inputs = circuit, inputs
        self.engine = inputs.assembly.engine
        self.warm = replace(self._case("cold-start"), heater_open=True, coolant=self._warm())
        self.solved: dict[tuple[str, Upset, tuple[Exchange, ...]], State] = {}

    def _case(self, name: str) -> Conditions:
        cases = cases_of(self.inputs.assembly.build)
        return conditions(name, cases[name if name in cases else next(iter(cases))], self.inputs)

    def _warm(self) -> Column:
        return self.inputs.constant(363.15)

    def _state(
        self, case: Conditions, upset: Upset = NOTHING_UPSET, moves: tuple[Exchange, ...] = ()
    ) -> State:
        """Flows of a case once some ends are moved, all coolant at 90 °C."""
        key = (f"{case.id} {case.heater_open}", upset, moves)
        if key not in self.solved:
            stated = replace(case, coolant=self._warm())
            self.solved[key] = state_in(stated, moved(self.circuit, moves), self.inputs, upset)
        return self.solved[key]

    def _fast(self) -> Conditions:
        return self._case("top-speed")

    # -- heater ------------------------------------------------------------------

    def heaters(self) -> Iterator[Misjoined]:
        """Matrices whose two hoses sit on stubs of nearly the same pressure, or a one-way part."""
        for matrix in self.circuit.of_kind("matrix"):
            now = self._state(self.warm, HOT)
            if matrix.id not in now.flows:
                continue
            best, moves = now.flows[matrix.id], tuple[Exchange, ...]()
            for tried in self._heater_moves(matrix):
                flow = self._state(self.warm, HOT, tried).flows.get(matrix.id)
                if flow is not None and _middle(flow) > 1.05 * _middle(best):
                    best, moves = flow, tried
            if moves:
                flow = now.flows[matrix.id]
                wrong = np.abs(flow) < STARVED * np.abs(best)
                if wrong.any():
                    good = now.converged & self._state(self.warm, HOT, moves).converged
                    yield Misjoined("heater starved", matrix.id, np.abs(flow), np.abs(best),
                                    wrong, good, moves)  # fmt: skip

    def _heater_moves(self, matrix: Element) -> Iterator[tuple[Exchange, ...]]:
        """Each of its hoses, with its engine's end on another of the engine's chambers."""
        stubs = self._stubs()
        for hose in self._hoses_of(matrix):
            for end in (hose.start, hose.end):
                if self.circuit.chambers[end].unit == self.engine:
                    yield from ((Exchange(hose.id, end, other),) for other in stubs if other != end)

    def _stubs(self) -> tuple[str, ...]:
        """Engine chambers that have stubs of their own."""
        used = dict.fromkeys(self.circuit.openings.values())
        return tuple(each for each in used if self.circuit.chambers[each].unit == self.engine)

    def _hoses_of(self, element: Element) -> Iterator[Element]:
        """Runs that lead away from a thing, through tees and far pipes as long as they go on."""
        seen, ahead = set[str](), [element.start, element.end]
        while ahead:
            chamber = ahead.pop()
            for name in self.circuit.neighbours[chamber]:
                other = self.circuit.elements[name]
                if name in seen or name == element.id:
                    continue
                if self.circuit.chambers[chamber].unit == self.engine:
                    continue
                seen.add(name)
                if other.kind == RUN:
                    yield other
                ahead += [other.start, other.end]

    # -- ways past the thermostat --------------------------------------------------

    def bypass(self) -> Iterator[Misjoined]:
        """An engine through which nothing flows while its thermostat is shut."""
        for pump in self.circuit.of_kind("pump"):
            shut = replace(self.warm, heater_open=self._tap_leads_past())
            now = self._state(shut, SHUT)
            if pump.id not in now.flows:
                continue
            flow = now.flows[pump.id]
            wanted = LEAST_WAY * self.inputs.take("coolant_pump_flow", pump.subject)
            wrong = flow < wanted
            if wrong.any() or self._lost_its_own(pump):
                kept = replace(self.circuit, elements={**self.circuit.elements, **self._own(pump)})
                after = state_in(replace(shut, coolant=self._warm()), kept, self.inputs, SHUT)
                better = after.flows[pump.id]
                if self._lost_its_own(pump):
                    wrong = wrong | (flow < OWN_WAY * better)
                yield Misjoined("no bypass", pump.id, flow, better, wrong,
                                now.converged & after.converged, (), "bypass")  # fmt: skip

    def _lost_its_own(self, pump: Element) -> bool:
        """True where ports of the engine's own bypass were closed."""
        ports = (self.inputs.assembly.ports[name] for name in self.circuit.closed)
        return any(
            port.sheet == pump.subject and port.family is not None and port.family.id == "byp"
            for port in ports
        )

    def _tap_leads_past(self) -> bool:
        tap = self.inputs.word("heater_tap", self.inputs.assembly.build.id)
        return tap != "shuts the loop"

    def _own(self, pump: Element) -> Mapping[str, Element]:
        """The engine's own bypass, open."""
        head, suction = f"{pump.subject}:head", f"{pump.subject}:suction"
        id = f"{pump.subject}:bypass"
        return {id: Element(id, "bypass", head, suction, pump.subject, "bypass")}

    def thermostats(self) -> Iterator[Misjoined]:
        """Thermostats that no warm coolant reaches while they are shut."""
        shut = self._state(replace(self.warm, heater_open=self._tap_leads_past()), SHUT)
        for each in self.circuit.of_kind("thermostat"):
            jackets = self.circuit.of_kind("jacket")
            if not jackets or each.id not in shut.flows:
                continue
            hot = {jacket.end for jacket in jackets if abs(_middle(shut.flows[jacket.id])) > 0}
            if each.senses not in self._downstream(hot, shut, each.id):
                nothing = np.zeros(self.inputs.size)
                everywhere = np.ones(self.inputs.size, dtype=bool)
                yield Misjoined("thermostat not reached", each.id, nothing, nothing, everywhere,
                                shut.converged, (), "bypass")  # fmt: skip

    def _downstream(self, sources: set[str], state: State, thermostat: str) -> set[str]:
        """Chambers that a flow leads to from these, not through the radiator or itself."""
        found, ahead = set(sources), list(sources)
        while ahead:
            chamber = ahead.pop()
            for name in self.circuit.neighbours[chamber]:
                element = self.circuit.elements[name]
                flow = state.flows.get(name)
                if flow is None or element.kind == "core" or name == thermostat:
                    continue
                middle = float(np.median(flow))
                forth = element.start == chamber and middle > TRICKLE
                back = element.end == chamber and middle < -TRICKLE
                other = element.end if element.start == chamber else element.start
                if (forth or back) and other not in found:
                    found.add(other)
                    ahead.append(other)
        return found

    # -- makeup and main hoses ------------------------------------------------------

    def make_up(self) -> Iterator[Misjoined]:
        """A makeup hose that does not feed the pump's inlet, whose pressure falls for it."""
        pump = next(iter(self.circuit.of_kind("pump")), None)
        if pump is None:
            return
        now = self._state(self._fast(), HOT)
        for hose in self._make_up_hoses():
            tank = hose.start if self._is_tank(hose.start) else hose.end
            other = hose.end if tank == hose.start else hose.start
            best, moves = now.pressures[pump.start], tuple[Exchange, ...]()
            for chamber in self._cold_side(pump):
                tried = (Exchange(hose.id, other, chamber),)
                if chamber == other:
                    continue
                reached = self._state(self._fast(), HOT, tried).pressures.get(pump.start)
                if reached is not None and _least(reached) > _least(best) + LOST_SUCTION:
                    best, moves = reached, tried
            if moves:
                found = now.pressures[pump.start]
                wrong = found < best - LOST_SUCTION
                good = now.converged & self._state(self._fast(), HOT, moves).converged
                yield Misjoined("makeup hot", hose.id, found, best, wrong, good, moves)

    def _make_up_hoses(self) -> Iterator[Element]:
        for element in self.circuit.of_kind(RUN):
            ports = [self.inputs.assembly.ports[each] for each in element.ports if each]
            families = {port.family.id for port in ports if port.family is not None}
            if "make" in families and any(map(self._is_tank, (element.start, element.end))):
                yield element

    def _is_tank(self, chamber: str) -> bool:
        return self.circuit.chambers[chamber].name == "tank"

    def _cold_side(self, pump: Element) -> tuple[str, ...]:
        """The pump's inlet, and tees in the hose that leads to it."""
        tees = [
            element.start if element.end == pump.start else element.end
            for name in self.circuit.neighbours[pump.start]
            if (element := self.circuit.elements[name]).kind == RUN
        ]
        named = [each for each in tees if self.circuit.chambers[each].name == "middle"]
        return (*named, pump.start)

    def main_hoses(self) -> Iterator[Misjoined]:
        """Radiators that coolant passes from outlet to inlet."""
        now = self._state(self._fast(), HOT)
        for core in self.circuit.of_kind("core"):
            flow = now.flows.get(core.id)
            if flow is None or not (flow < -TRICKLE).any():
                continue
            moves = tuple(self._swapped(core))
            if len(moves) == 2:
                after = self._state(self._fast(), HOT, moves)
                yield Misjoined("main hoses crossed", core.id, flow, after.flows[core.id],
                                flow < -TRICKLE, now.converged & after.converged,
                                moves)  # fmt: skip

    def _swapped(self, core: Element) -> Iterator[Exchange]:
        """The main hose at either end of a core, moved to its other end."""
        for here, there in ((core.start, core.end), (core.end, core.start)):
            hoses = [
                name
                for name in self.circuit.neighbours[here]
                if self.circuit.elements[name].kind == RUN and not self._small(name)
            ]
            if len(hoses) == 1:
                yield Exchange(hoses[0], here, there)

    def _small(self, name: str) -> bool:
        """True for bleeds and makeup hoses, which stay where they are."""
        ports = [self.inputs.assembly.ports[each] for each in self.circuit.elements[name].ports
                 if each]  # fmt: skip
        families = {port.family.id for port in ports if port.family is not None}
        return bool(families & {"rbl", "ebl", "over", "make", "drn"})

    # -- remarks -------------------------------------------------------------------

    def remarks(self) -> Iterator[Remark]:
        """Matrices that are passed from return to supply: harmless, told."""
        now = self._state(self.warm, HOT)
        for matrix in self.circuit.of_kind("matrix"):
            flow = now.flows.get(matrix.id)
            if flow is not None and _middle(np.minimum(flow, 0)) > TRICKLE:
                yield Remark("matrix flows backwards", matrix.id)


def moved(circuit: Circuit, moves: tuple[Exchange, ...]) -> Circuit:
    """The circuit with some ends of hoses exchanged."""
    for each in moves:
        circuit = circuit.moved(each.element, each.old, each.new)
    return circuit


def _middle(flow: Column) -> float:
    return float(np.nanmedian(np.abs(flow)))


def _least(pressure: Column) -> float:
    return float(np.nanmedian(pressure))
