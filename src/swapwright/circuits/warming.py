"""Coolant over time: from cold until it regulates, after the stop, and when something fails."""

from dataclasses import dataclass

import numpy as np

from swapwright.circuits.conditions import Conditions, conditions
from swapwright.circuits.coolant import state_in
from swapwright.circuits.filling import filled, part_volumes
from swapwright.circuits.graph import Circuit
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.study import CaseResult, CoolantStudy
from swapwright.circuits.upset import NOTHING_UPSET, Upset
from swapwright.library.cases import cases_of
from swapwright.physics.boiling import boiling_temperature
from swapwright.physics.liquids import Mixture
from swapwright.physics.thermostat import opening
from swapwright.physics.transients import Course, course, reached

OPENINGS = (0.0, 0.1, 0.3, 0.6, 1.0)  # at which flow and heat are solved; straight between
WARM_UP, SOAK, FAILS = 3600.0, 1800.0, 3600.0  # s that are followed
STEPS = 181
ENGINE, RADIATOR = 0, 1  # bodies
COLD = 293.15  # K, where the case says no colder air
FASTEST, SLOWEST = 6.0 / 60, 3.0 / 60  # K/s at idle, common practice


@dataclass(frozen=True)
class Exchange:
    """What the circuit does at some openings of its thermostat. (O, S)"""

    rate: Column  # heat capacity flow between engine and radiator [W/K]
    given: Column  # heat to the air through the radiator for each K of the engine over it [W/K]
    heater: Column  # likewise through the heater [W/K]


@dataclass(frozen=True)
class Warmth:
    """A warm-up, a soak or a failure over all samples."""

    course: Course  # bodies: engine with its coolant, coolant of the radiator
    opens: Column  # the thermostat begins to open [s]
    limit: Column  # temperature that must not be reached [K]
    until_limit: Column  # [s], infinite: never while it was followed

    @property
    def engine(self) -> Column:
        """(T, S) where coolant leaves the head. [K]"""
        return np.asarray(self.course.temperatures[:, ENGINE])

    @property
    def peak(self) -> Column:
        """Highest of each sample. [K]"""
        return np.asarray(self.engine.max(axis=0))


class Warming:
    """Follows one circuit over time."""

    def __init__(self, found: Circuit, inputs: Inputs) -> None:
        self.circuit, self.inputs = found, inputs
        self.engine = inputs.assembly.engine
        volumes = part_volumes(found, inputs)
        share = np.clip(inputs.take("coolant_glycol_share", inputs.assembly.build.id), 0.0, 0.7)
        liquid = Mixture("ethylene", share).at(inputs.constant(343.15))
        warmth = liquid.density * liquid.heat_capacity
        self.coolant = warmth * volumes.get(self.engine, inputs.constant(0.0))
        outside = [volume for unit, volume in volumes.items() if unit != self.engine]
        self.radiator = warmth * np.maximum(sum(outside, inputs.constant(0.0)), 1e-5)
        mass = inputs.take("engine_metal_mass", self.engine)
        self.metal = mass * inputs.typical("metal_heat_capacity", self.engine)
        self.loss = inputs.typical("engine_loss", self.engine)

    # -- what the circuit does at an opening -----------------------------------------

    def exchange(self, case: Conditions, upset: Upset = NOTHING_UPSET) -> Exchange:
        """Solve a few openings."""
        rates, given, heater = [], [], []
        for stands in OPENINGS:
            wanted = stands if upset.stuck is None else upset.stuck
            state = state_in(
                case, self.circuit, self.inputs,
                Upset(wanted, upset.pump_speed, upset.fan_speed, upset.heater_shut,
                      upset.core_share, upset.cap_holds),
            )  # fmt: skip
            cores = self.circuit.of_kind("core")
            core = next((each for each in cores if each.id in state.flows), None)
            hot = self._head(state.temperatures)
            excess = np.where(np.isfinite(hot), np.maximum(hot - case.air, 1e-3), np.inf)
            share = np.clip(self.inputs.take("coolant_glycol_share",
                                             self.inputs.assembly.build.id), 0, 0.7)  # fmt: skip
            liquid = Mixture("ethylene", share).at(self.inputs.constant(363.15))
            flow = np.abs(state.flows[core.id]) if core is not None else self.inputs.constant(0.0)
            rates.append(flow * liquid.density * liquid.heat_capacity)
            given.append(-state.heats[core.id] / excess if core is not None else 0 * flow)
            lost = sum(
                (-state.heats[each.id] for each in self.circuit.of_kind("matrix")
                 if each.id in state.heats), self.inputs.constant(0.0),
            )  # fmt: skip
            heater.append(np.nan_to_num(lost) / excess)
        return Exchange(
            np.maximum(rates, 1e-9), np.maximum(np.nan_to_num(given), 0.0), np.array(heater)
        )

    def _head(self, temperatures: object) -> Column:
        assert isinstance(temperatures, dict)
        name = next(each.id for each in self.circuit.chambers.values() if each.name == "head")
        return np.asarray(temperatures[name])

    def heat(self, case: Conditions) -> Column:
        """Heat of the engine to coolant and metal. [W]"""
        rated = self.inputs.take("coolant_heat_ratio", self.engine) * case.rated_power
        idle = self.inputs.take("idle_heat_share", self.engine)
        return rated * (idle + (1 - idle) * case.power_share)

    # -- courses -----------------------------------------------------------------------

    def run(
        self, case: Conditions, held: Exchange, start: Column, limit: Column, until: float,
        share: Column | float = 1.0,
    ) -> Warmth:  # fmt: skip
        """Engine running: heat in, thermostat by its span, radiator and heater out.

        The radiator's body loses so much for each kelvin over the air that in rest exactly what
        was solved flows through it.
        """
        starts = self.inputs.take("thermostat_temperature", self.engine)
        full = np.maximum(self.inputs.take("thermostat_full_open", self.engine), starts + 1.0)
        coming, air, marks = share * self.heat(case), case.air, np.array(OPENINGS)

        def heats(_time: float, temperatures: Column) -> Column:
            hot, cool = temperatures
            opened = opening(hot, starts, full)
            rate, given, heater = (
                _between(marks, each, opened) for each in (held.rate, held.given, held.heater)
            )
            given = np.minimum(given, 0.999 * rate)
            shed = given * rate / (rate - given)  # of the radiator's body over the air
            moved = rate * (hot - cool)
            return np.array([coming - moved - heater * (hot - air), moved - shed * (cool - air)])

        capacity = np.array([self.metal + self.coolant, self.radiator])
        followed = course(capacity, start, heats, np.linspace(0.0, until, STEPS))
        hot = followed.temperatures[:, ENGINE]
        return Warmth(
            followed, reached(followed.times, hot, starts), limit,
            reached(followed.times, hot, limit),
        )  # fmt: skip

    def warm_up(self, case: Conditions, limit: Column) -> Warmth:
        """From cold, at a bare idle with the case's air."""
        bare = self.inputs.typical("unloaded_idle", self.engine)
        cold = np.minimum(case.air, COLD)
        start = np.array([cold, cold])
        return self.run(case, self.exchange(case), start, limit, WARM_UP, bare)

    def fails(self, case: Conditions, before: CaseResult, upset: Upset) -> Warmth:
        """From the balance of a case on, once something has failed."""
        hot = self._head(dict(before.state.temperatures))
        limit = self.boils(before, upset)
        hot = np.where(np.isfinite(hot), np.minimum(hot, limit), limit)
        lower = next((each.end for each in self.circuit.of_kind("core")), "")
        cool = before.state.temperatures.get(lower, hot)
        start = np.array([hot, np.where(np.isfinite(cool), np.minimum(cool, hot), hot)])
        return self.run(case, self.exchange(case, upset), start, limit, FAILS)

    def soak(self, case: Conditions, before: CaseResult) -> Warmth:
        """After the stop: nothing flows, warm metal heats the coolant around it."""
        hot = self._head(dict(before.state.temperatures))
        limit = self.boils(before)
        hot = np.where(np.isfinite(hot), np.minimum(hot, limit), limit)
        excess = self.inputs.typical("metal_excess", self.engine)
        share = self.heat(case) / np.maximum(
            self.inputs.take("coolant_heat_ratio", self.engine) * case.rated_power, 1.0
        )
        over = excess * share  # metal over coolant falls with the heat that passes
        conduct = self.heat(case) / np.maximum(over, 1.0)
        still = conduct * self.inputs.typical("still_exchange", self.engine)

        def heats(_time: float, temperatures: Column) -> Column:
            coolant, metal = temperatures
            passed = still * (metal - coolant)
            return np.array([passed, -passed - self.loss * (metal - case.air)])

        capacity = np.array([np.maximum(self.coolant, 1.0), self.metal])
        start = np.array([hot, hot + over])
        followed = course(capacity, start, heats, np.linspace(0.0, SOAK, STEPS))
        warm = followed.temperatures[:, ENGINE]
        never = np.full_like(hot, np.inf)
        return Warmth(followed, never, limit, reached(followed.times, warm, limit))

    def boils(self, before: CaseResult, upset: Upset = NOTHING_UPSET) -> Column:
        """Temperature at which it boils in the head, by what the cap holds. [K]"""
        head = next(each.id for each in self.circuit.chambers.values() if each.name == "head")
        runs = sum(before.state.laid.volumes.values(), self.inputs.constant(0.0))
        fill = filled(self.circuit, runs, self.inputs)
        room = np.maximum(fill.cap - before.pressures.tank_gauge, 0.0)
        absolute = before.pressures.absolute(head) + (room if upset.cap_holds else 0.0)
        if not upset.cap_holds:
            absolute = absolute - np.maximum(before.pressures.tank_gauge, 0.0)
        return boiling_temperature("ethylene", fill.share, np.maximum(absolute, 2e3))


def _between(marks: Column, values: Column, opened: Column) -> Column:
    """Values at openings between those solved, sample by sample."""
    place = np.clip(np.searchsorted(marks, opened, side="right") - 1, 0, len(marks) - 2)
    samples = np.arange(len(opened))
    share = (opened - marks[place]) / (marks[place + 1] - marks[place])
    low, high = values[place, samples], values[place + 1, samples]
    return np.asarray(low + share * (high - low))


FAILURES: dict[str, Upset] = {
    "fan dead": Upset(fan_speed=0.0),
    "heater tap shut": Upset(heater_shut=True),
    "thermostat stuck shut": Upset(stuck=0.0),
    "thermostat stuck open": Upset(stuck=1.0),
    "pump belt slips to half": Upset(pump_speed=0.5),
    "a third of the radiator holds air": Upset(core_share=0.67),
    "cap holds no pressure": Upset(cap_holds=False),
}


def stated(name: str, study: CoolantStudy) -> Conditions:
    """A case of the study's build, on the study's columns."""
    assert study.columns is not None
    return conditions(name, cases_of(study.columns.assembly.build)[name], study.columns)
