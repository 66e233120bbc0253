"""What the solved coolant circuit says against its rules, with the chance that it holds."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.diagnosis import Diagnosis, Misjoined
from swapwright.circuits.graph import Element
from swapwright.circuits.inputs import Column
from swapwright.circuits.levels import Levels
from swapwright.circuits.pockets import carried, velocity
from swapwright.circuits.study import CaseResult, CoolantStudy, coolant_study
from swapwright.circuits.whatif import Trial, changed
from swapwright.findings.kit import TOO_CLOSE, TRIPS
from swapwright.findings.run import FactUse, Finding, Question, order, with_acceptances
from swapwright.library.rulebook import RuleText, limit_texts, read_limit, rule_texts
from swapwright.model.amount import Amount
from swapwright.model.assembly import Assembly
from swapwright.model.facts import fact_book
from swapwright.model.message import Message, Spoken
from swapwright.model.values import Value
from swapwright.model.words import Urgency
from swapwright.physics.boiling import boiling_temperature
from swapwright.quantity import Basis, Dimension, Measure

WORST = ("hill", "towing", "top-speed")  # cases that ask most of a radiator
IDLE = "hot-idle"
FAST = "top-speed"
WIDER = 12  # millimetres that are tried
NO_FLOW = 1e-8  # m³/s
TOLD_USES = 3  # facts of the builder's that a finding names, those that bear most on it
MISJOINED = {
    "heater starved": ("cool-heater-sides", Dimension.VOLUME_FLOW),
    "no bypass": ("cool-no-bypass", Dimension.VOLUME_FLOW),
    "makeup hot": ("cool-makeup-hot", Dimension.PRESSURE),
    "main hoses crossed": ("cool-main-crossed", Dimension.VOLUME_FLOW),
    "thermostat not reached": ("cool-stat-unreached", Dimension.VOLUME_FLOW),
}


@dataclass(frozen=True)
class _Tripping:
    """A rule, of whom, in which samples it trips, and what it says."""

    rule: str
    subject: str
    wrong: NDArray[np.bool_]
    good: NDArray[np.bool_]
    values: Mapping[str, Spoken]
    also: tuple[str, ...] = ()
    message: str = ""  # another template than the rule's


def coolant_findings(assembly: Assembly, study: CoolantStudy) -> tuple[Finding, ...]:
    """Findings of every rule that the study can answer, worst first.

    A rule trips where it holds in half of the samples or more; between a twentieth and a half it
    asks for the fact that bears most on it.
    """
    judging = _Judging(assembly, study)
    found = [each for tripping in judging.trippings() if (each := judging.finding(tripping))]
    return tuple(sorted(with_acceptances(assembly, found), key=order))


class _Judging:
    """Judges one study; used once."""

    def __init__(self, assembly: Assembly, study: CoolantStudy) -> None:
        self.assembly, self.study = assembly, study

    def trippings(self) -> Iterator[_Tripping]:
        """All rules in turn."""
        yield from self._fillers()
        yield from self._traps()
        if self.study.diagnosis is not None:
            yield from self._misjoined(self.study.diagnosis)
        if not self.study.lacks:  # a missing hose is no reason for a bigger radiator
            yield from self._heat()
            yield from self._boiling()
        yield from self._long_pipes()

    # -- levels and air ----------------------------------------------------------

    def _fillers(self) -> Iterator[_Tripping]:
        found = self.study.levels
        if not isinstance(found, Levels):
            return
        margin = limit(self.assembly, "filler_margin").nominal
        flat = found.least_depth("flat") < margin
        tilted = [found.least_depth(each, engine_only=True) < 0 for each in found.depth]
        wrong = flat | np.any(tilted, axis=0)
        highest = found.highest()
        yield _Tripping(
            "cool-filler-low", found.tank, wrong, np.ones_like(wrong),
            {"level": amount(found.level, Dimension.LENGTH),
             "margin": limit(self.assembly, "filler_margin"),
             "highest": Amount(highest.at[2], 0.0, Dimension.LENGTH)},
            (highest.subject,),
        )  # fmt: skip

    def _traps(self) -> Iterator[_Tripping]:
        inputs = self.study.columns
        for trap in self.study.traps:
            stays, fastest, good = None, None, None
            for result in self.study.cases.values():
                if inputs is None or trap.element not in result.state.flows:
                    continue
                held = ~carried(trap, result.state, inputs)
                speed = velocity(trap, result.state)
                stays = held if stays is None else stays & held
                fastest = speed if fastest is None else np.maximum(fastest, speed)
                good = result.state.converged if good is None else good & result.state.converged
            if stays is not None and fastest is not None and good is not None:
                values: dict[str, Spoken] = {
                    "rise": Amount(trap.rise, 0.0, Dimension.LENGTH),
                    "velocity": amount(fastest[good], Dimension.SPEED),
                }
                yield _Tripping("cool-high-nobleed", trap.join, stays, good, values)

    # -- joins -------------------------------------------------------------------

    def _misjoined(self, found: Diagnosis) -> Iterator[_Tripping]:
        for fault in found.faults:
            rule, dimension = MISJOINED[fault.kind]
            element = self.study.circuit.elements[fault.subject]
            subject = element.join or element.subject
            values: dict[str, Spoken] = {
                "found": amount(np.abs(fault.found)[fault.good], dimension),
                "better": amount(np.abs(fault.better)[fault.good], dimension),
                "exchange": self._exchange(fault),
            }
            if rule == "cool-no-bypass":
                message = (
                    "{subject}: with the thermostat shut {found} pass the pump, "
                    "{better} with the engine's own bypass open"
                )
                yield _Tripping(rule, subject, fault.wrong, fault.good, values, (), message)
            else:
                yield _Tripping(rule, subject, fault.wrong, fault.good, values)

    def _exchange(self, fault: Misjoined) -> str:
        """The moves in words: which hose, from where to where."""
        told = []
        for move in fault.mend:
            element = self.study.circuit.elements[move.element]
            old, new = self._place(move.old), self._place(move.new)
            told.append(f"{element.label} goes from {old} to {new}")
        return " and ".join(told)

    def _place(self, chamber: str) -> str:
        held = self.study.circuit.chambers[chamber]
        ports = [
            port
            for port, at in self.study.circuit.openings.items()
            if at == chamber and self.assembly.ports[port].there == "yes"
        ]
        named = f" ({', '.join(port.rpartition('.')[2] for port in ports[:3])})" if ports else ""
        return f"the {held.label.removeprefix('the ')}{named}"

    # -- heat ----------------------------------------------------------------------

    def _heat(self) -> Iterator[_Tripping]:
        """Heat that the radiator gives with coolant at its boiling point, against what comes."""
        for core in self.study.circuit.of_kind("core"):
            worst = [name for name in WORST if name in self.study.cases]
            told = [(self._short(name), name) for name in worst]
            if told:
                (wrong, good, values), _name = max(told, key=lambda each: each[0][0].mean())
                yield _Tripping("cool-reject", core.subject, wrong, good, values)
            if IDLE in self.study.cases:
                wrong, good, values = self._short(IDLE)
                yield _Tripping("cool-idle-air", core.subject, wrong, good, values)

    def _short(self, name: str) -> tuple[NDArray[np.bool_], NDArray[np.bool_], dict[str, Spoken]]:
        """Whether a case boils; heat that comes, and that could go just before it does."""
        result = self.study.cases[name]
        state, hot = result.state, self._hot()
        boils, head = result.pressures.boiling[hot], state.temperatures[hot]
        coming = sum(
            (heat for element, heat in state.heats.items() if self._gives(element)),
            np.zeros_like(head),
        )
        finite = np.isfinite(head)
        excess = np.where(finite, head - state.case.air, np.inf)
        could = coming * (boils - state.case.air) / excess  # none at all without rest
        good = state.converged
        values: dict[str, Spoken] = {
            "found": amount(could[good], Dimension.POWER),
            "needed": amount(coming[good], Dimension.POWER),
            "case": state.case.label,
        }
        return head > boils, good, values

    def _gives(self, element: str) -> bool:
        return self.study.circuit.elements[element].kind in ("jacket", "oil exchanger")

    def _hot(self) -> str:
        chambers = self.study.circuit.chambers.values()
        return next(each.id for each in chambers if each.name == "head")

    def _boiling(self) -> Iterator[_Tripping]:
        """Margin to boiling in the hottest case, under the pressure that the cap holds."""
        least = limit(self.assembly, "boiling_margin")
        worst: tuple[float, CaseResult, Column] | None = None
        for name in (*WORST, IDLE):
            if name not in self.study.cases:
                continue
            result = self.study.cases[name]
            margin = self.boiling_at_cap(result) - result.state.temperatures[self._hot()]
            share = float((margin < least.nominal)[result.state.converged].mean())
            if worst is None or share > worst[0]:
                worst = share, result, margin
        if worst is None or self.study.fill is None:
            return
        _, result, margin = worst
        good = result.state.converged & np.isfinite(margin)
        values: dict[str, Spoken] = {
            "boils": amount(self.boiling_at_cap(result)[good], Dimension.TEMPERATURE),
            "cap": amount(self.study.fill.cap, Dimension.PRESSURE),
            "hottest": amount(result.state.temperatures[self._hot()][good], Dimension.TEMPERATURE),
            "margin": amount(margin[good], Dimension.TEMPERATURE_DIFFERENCE),
            "least": least,
            "case": result.state.case.label,
        }
        message = (
            "{subject}: in {case} the margin to boiling under the cap of {cap} falls below "
            "{least}; it is {margin} in the middle of the answers, at {hottest}"
        )
        wrong = margin < least.nominal
        yield _Tripping("cool-cap-boil", self.assembly.build.id, wrong, good, values, (), message)

    def boiling_at_cap(self, result: CaseResult) -> Column:
        """Temperature at which coolant in the head boils once the cap holds all it can. [K]"""
        assert self.study.fill is not None
        room = self.study.fill.cap - result.pressures.tank_gauge  # still to come as it warms
        pressure = result.pressures.absolute(self._hot()) + np.maximum(room, 0)
        return boiling_temperature("ethylene", self.study.fill.share, np.maximum(pressure, 2e3))

    # -- long pipes ------------------------------------------------------------------

    def _long_pipes(self) -> Iterator[_Tripping]:
        result = self.study.cases.get(FAST)
        if result is None:
            return
        most = limit(self.assembly, "long_pipe_velocity")
        for pipe in self.study.circuit.of_kind("floor pipe"):
            bore = self.study.bores.get(pipe.id)
            if bore is None or pipe.id not in result.state.flows:
                continue
            flow, good = np.abs(result.state.flows[pipe.id]), result.state.converged
            speed = flow / (np.pi / 4 * bore**2)
            needed = np.sqrt(4 * flow / (np.pi * most.nominal))
            if (speed > most.nominal)[good].mean() <= TOO_CLOSE:
                continue
            values: dict[str, Spoken] = {
                "velocity": amount(speed[good], Dimension.SPEED),
                "bore": amount(bore[good], Dimension.LENGTH),
                "needed": Amount(
                    self._wide_enough(pipe, needed, most.nominal), 0.0, Dimension.LENGTH
                ),
            }
            yield _Tripping("cool-longpipe-v", pipe.subject, speed > most.nominal, good, values)

    def _wide_enough(self, pipe: Element, needed: Column, most: float) -> float:
        """Least bore in whole millimetres that keeps nearly all samples slow enough. [m]

        A wider pipe lets more flow, so each is solved.
        """
        bore = _upward(needed)
        car = self.assembly.ports[pipe.subject].sheet
        for _ in range(WIDER):
            content = Measure(bore, 0.0, Dimension.LENGTH, Basis.MEASURED, "")
            trial = Trial(car, "floor_pipe_bore", Value(content, text=""), "")
            wider = (
                coolant_study(
                    changed(self.assembly, [trial]), self.study.size, only=(FAST,), judged=False
                )
                .cases[FAST]
                .state
            )
            speed = np.abs(wider.flows[pipe.id]) / (np.pi / 4 * bore**2)
            if float((speed[wider.converged] > most).mean()) <= TOO_CLOSE:
                break
            bore += 1e-3
        return bore

    # -- findings --------------------------------------------------------------------

    def finding(self, tripping: _Tripping) -> Finding | None:
        """A finding, a question, or nothing, by the chance that it holds."""
        good = tripping.good
        if not good.any():
            return None
        chance = float(tripping.wrong[good].mean())
        if chance <= TOO_CLOSE:
            return None
        text = rule_texts()[tripping.rule]
        strongest = self._strongest(tripping)
        uses = tuple(each for each in strongest if each.value.known)[:TOLD_USES]
        template = tripping.message or text.message
        values = {"subject": self.assembly.label(tripping.subject), **tripping.values}
        if chance < TRIPS:
            return self._question(tripping, text, chance, values, template, strongest)
        urgency = Urgency.ROAD if text.most_urgent is Urgency.STOP else text.most_urgent
        return Finding(
            id=f"{text.id}/{tripping.subject}", rule=text.id, urgency=urgency, signal=text.signal,
            subjects=(tripping.subject, *tripping.also), stage=self.assembly.stage,
            gate=text.gate, near=self.assembly.near(text.gate),
            message=Message(template, values), why=text.why, remedy=text.remedy, act=text.act,
            source=text.source, rests_on=uses, memory_limits=(), sure=chance, would_be=urgency,
        )  # fmt: skip

    def _question(
        self, tripping: _Tripping, text: RuleText, chance: float, values: dict[str, Spoken],
        template: str, strongest: list[FactUse],
    ) -> Finding:  # fmt: skip
        asked = next(iter(strongest), None)
        fact = fact_book().get(asked.name) if asked else None
        ask = fact.ask if fact else "Measure what the list of assumptions names."
        question = Question(
            asked.subject if asked else tripping.subject, asked.name if asked else "", ask,
            fact.tool if fact else "",
        )  # fmt: skip
        told = "{subject}: {chance} likely: " + template.replace("{subject}: ", "")
        values = {**values, "chance": f"{100 * chance:.0f} %"}
        return Finding(
            id=f"{text.id}/{tripping.subject}", rule=text.id, urgency=Urgency.ASK, signal=None,
            subjects=(tripping.subject, *tripping.also), stage=self.assembly.stage,
            gate=text.gate, near=self.assembly.near(text.gate), message=Message(told, values),
            why=text.why, remedy=ask, act=ask, source=text.source, rests_on=(),
            memory_limits=(), sure=None, would_be=text.most_urgent, asks=question,
        )  # fmt: skip

    def _strongest(self, tripping: _Tripping) -> list[FactUse]:
        """Facts that bear most on whether it holds, by their correlation with it."""
        wrong = tripping.wrong[tripping.good].astype(float)
        if wrong.std() == 0:
            return []
        told = []
        for taken in self.study.inputs.values():
            own = taken.own[tripping.good]
            if taken.fact not in fact_book() or own.std() <= 1e-12 * max(abs(own).max(), 1e-300):
                continue
            ranks = np.argsort(np.argsort(own))
            strength = abs(float(np.corrcoef(ranks, wrong)[0, 1]))
            value = (
                self.assembly.fact(taken.subject, taken.fact)
                if taken.subject in (self.assembly.holders)
                else None
            )
            if value is not None:
                told.append((strength, FactUse(taken.subject, taken.fact, value)))
        told.sort(key=lambda each: -each[0])
        return [use for _, use in told]


def _upward(bores: Column) -> float:
    """A bore in whole millimetres that is wide enough for nearly all samples. [m]"""
    wide = float(np.quantile(bores, 1 - TOO_CLOSE)) if bores.size else 0.0
    return float(np.ceil(1e3 * wide) / 1e3)


def amount(values: Column, dimension: Dimension) -> Amount:
    """Middle and spread of a result; what a shut way lets pass in the computation is nothing."""
    if not values.size:  # of no sample; then nothing is told of it either
        return Amount(0.0, 0.0, dimension)
    middle = float(np.median(values))
    if dimension is Dimension.VOLUME_FLOW and abs(middle) < NO_FLOW:
        middle = 0.0
    return Amount(middle, float(np.std(values)), dimension)


def limit(assembly: Assembly, name: str) -> Amount:
    """A limit of the rule book, or as the build sets it."""
    own = assembly.build.limits.get(name)
    return read_limit(name, own.value) if own is not None else limit_texts()[name].amount
