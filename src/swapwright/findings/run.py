"""Runs the rule book over an Assembly: Assembly in, findings out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from hashlib import sha256

from swapwright.findings.kit import (
    STRUCTURE,
    DoesNotApply,
    Lacking,
    Look,
    Rule,
    TooClose,
    Trip,
)
from swapwright.library.rulebook import RuleText, rule_texts
from swapwright.model.amount import Amount
from swapwright.model.assembly import Assembly
from swapwright.model.build import Acceptance
from swapwright.model.facts import fact_book
from swapwright.model.message import Message, Spoken
from swapwright.model.values import Value
from swapwright.model.words import Gate, Signal, Urgency
from swapwright.quantity import Measure


@dataclass(frozen=True)
class FactUse:
    """One fact that a finding rests on."""

    subject: str
    name: str
    value: Value


@dataclass(frozen=True)
class Question:
    """What a finding asks for."""

    subject: str
    name: str  # a fact, or fate, or there
    ask: str
    tool: str


@dataclass(frozen=True)
class Finding:
    """What one rule says of one subject."""

    id: str  # rule/subject
    rule: str
    urgency: Urgency
    signal: Signal | None
    subjects: tuple[str, ...]
    stage: str
    gate: Gate
    near: bool
    message: Message
    why: str
    remedy: str
    act: str
    source: str
    rests_on: tuple[FactUse, ...]
    memory_limits: tuple[str, ...]
    sure: float | None  # chance that it holds; None for a question
    would_be: Urgency  # how urgent it would be if it tripped
    asks: Question | None = None
    accepted: Acceptance | None = None
    lapsed: bool = False  # it was accepted, but its facts have changed

    @property
    def digest(self) -> str:
        """Fingerprint of what it rests on: an acceptance holds while this stays the same."""
        parts = sorted(f"{use.subject}.{use.name}={use.value.text}" for use in self.rests_on)
        told = sorted(
            f"{name}={_as_told(held)}"
            for name, held in self.message.values.items()
            if name != "subject"  # a label, which may change freely
        )
        return sha256("\n".join([self.rule, *parts, *told]).encode()).hexdigest()[:16]

    @property
    def quiet(self) -> bool:
        """True for a question whose gate is not near yet."""
        return self.urgency is Urgency.ASK and not self.near


def _as_told(held: Spoken) -> str:
    """One value of a message, without how and by whom it came to be known."""
    if isinstance(held, Value):
        return held.text
    if isinstance(held, Measure):
        return held.text or str(held.thread)
    if isinstance(held, Amount):
        return f"{held.nominal:.6g} ± {held.uncertainty:.3g} {held.dimension}"
    return str(held)


@dataclass(frozen=True)
class Judgement:
    """What the rule book said, and every fact that it read to say so."""

    findings: tuple[Finding, ...]  # worst first, accepted ones marked
    read: Mapping[tuple[str, str], tuple[Value, tuple[str, ...]]]  # value and rules, by fact
    rules: int
    subjects: int  # how many times a rule looked at a subject


def judge(assembly: Assembly, rules: Iterable[Rule], as_of: date) -> Judgement:
    """Run rules over an Assembly; stand-ins, ages and dates are judged for the day ``as_of``."""
    rules = tuple(rules)
    found: list[Finding] = []
    read: dict[tuple[str, str], tuple[Value, tuple[str, ...]]] = {}
    looks = 0
    for rule in rules:
        for subject in rule.over(assembly):
            look = Look(assembly, subject, as_of, rule.reads)
            looks += 1
            finding = _look_at(look, rule)
            if finding is not None:
                found.append(finding)
            for use, value in look.heard.items():
                read[use] = (value, (*read.get(use, (value, ()))[1], rule.id))
    marked = with_acceptances(assembly, found)
    return Judgement(tuple(sorted(marked, key=order)), read, len(rules), looks)


def with_acceptances(assembly: Assembly, found: Iterable[Finding]) -> list[Finding]:
    """The findings, those that the build accepts marked so as long as their facts stand."""
    accepted = {_present_id(assembly, each.finding): each for each in assembly.build.accepted}
    return [_with_acceptance(each, accepted.get(each.id)) for each in found]


def _present_id(assembly: Assembly, finding: str) -> str:
    """The id of a finding that was accepted while its subject had a former id."""
    rule, slash, subject = finding.partition("/")
    return f"{rule}{slash}{assembly.resolve(subject)}"


def findings(assembly: Assembly, rules: Iterable[Rule], as_of: date) -> tuple[Finding, ...]:
    """Only the findings of ``judge``."""
    return judge(assembly, rules, as_of).findings


def order(finding: Finding) -> tuple[int, int, int, str]:
    """By which findings are told: worst first."""
    return (finding.urgency.order, finding.would_be.order, finding.gate.order, finding.id)


def _look_at(look: Look, rule: Rule) -> Finding | None:
    text = rule_texts()[rule.id]
    try:
        if look.subject in look.assembly.ports and not look.there():
            return None
        trip = rule.check(look)
    except DoesNotApply:
        return None
    except Lacking as lacking:
        return _question(look, text, lacking.subject, lacking.name)
    except TooClose as close:
        return _too_close(look, text, close)
    return _tripped(look, text, trip) if trip is not None else None


def _tripped(look: Look, text: RuleText, trip: Trip) -> Finding:
    urgency = trip.urgency or text.urgency
    if urgency is Urgency.STOP and not _backs_a_stop(look, text):
        urgency = Urgency.ROAD
    subjects = (look.subject, *trip.also)
    message = _message(look, text.message, trip.values)
    signal = trip.signal or text.signal
    return Finding(
        f"{text.id}/{look.subject}",
        text.id,
        urgency,
        signal,
        subjects,
        look.assembly.stage,
        text.gate,
        look.assembly.near(text.gate),
        message,
        text.why,
        text.remedy,
        text.act,
        text.source,
        _uses(look),
        tuple(look.memory_limits),
        trip.sure,
        urgency,
    )


def _backs_a_stop(look: Look, text: RuleText) -> bool:
    """A stop rests on more than memory: backed rule and limits, facts that are own or published."""
    if text.rests_on == "memory" or look.memory_limits:
        return False
    return all(value.backs_a_stop for value in look.uses.values())


def _question(look: Look, text: RuleText, subject: str, name: str) -> Finding:
    label = look.assembly.label(subject)
    values: dict[str, Spoken] = {"about": label}
    if name in STRUCTURE:
        told, ask = STRUCTURE[name]
        question = Question(subject, name, ask, "")
        template = f"{{about}}: {told}"
    else:
        fact = fact_book()[name]
        question = Question(subject, name, fact.ask, fact.tool)
        values["what"] = fact.label
        template = "{about}: not known yet: {what}"
    return _asking(look, text, question, template, values)


def _too_close(look: Look, text: RuleText, close: TooClose) -> Finding:
    """Ask for the widest of the facts that the comparison rests on."""
    widest = max(
        look.uses, key=lambda use: _relative_spread(look.uses[use]), default=(look.subject, "")
    )
    fact = fact_book().get(widest[1])
    ask = f"Measure it better: {fact.ask}" if fact else "Measure it better."
    question = Question(widest[0], widest[1], ask, fact.tool if fact else "")
    template = (
        "{subject}: too close to call ({chance} that "
        + text.message.replace("{subject}: ", "")
        + ")"
    )
    values = {**close.values, "chance": f"{close.chance:.0%}"}
    return _asking(look, text, question, template, values)


def _relative_spread(value: Value) -> float:
    spread = getattr(value.content, "uncertainty", 0.0)
    nominal = abs(getattr(value.content, "nominal", 0.0))
    return float(spread / nominal) if nominal else float(spread)


def _asking(
    look: Look, text: RuleText, question: Question, template: str, values: Mapping[str, Spoken]
) -> Finding:
    return Finding(
        f"{text.id}/{look.subject}",
        text.id,
        Urgency.ASK,
        None,
        (look.subject,),
        look.assembly.stage,
        text.gate,
        look.assembly.near(text.gate),
        _message(look, template, values),
        text.why,
        question.ask,
        question.ask,
        text.source,
        _uses(look),
        (),
        None,
        text.most_urgent,
        question,
    )


def _message(look: Look, template: str, values: Mapping[str, Spoken]) -> Message:
    return Message(template, {"subject": look.assembly.label(look.subject), **values})


def _uses(look: Look) -> tuple[FactUse, ...]:
    return tuple(FactUse(subject, name, value) for (subject, name), value in look.uses.items())


def _with_acceptance(finding: Finding, acceptance: Acceptance | None) -> Finding:
    if acceptance is None or finding.urgency is Urgency.ASK:
        return finding
    holds = acceptance.digest == finding.digest
    return replace(finding, accepted=acceptance if holds else None, lapsed=not holds)
