"""Findings, questions and assumptions in words, in the builder's units."""

from swapwright.findings.run import Finding
from swapwright.model.assembly import Assembly
from swapwright.model.message import spoken
from swapwright.model.words import Urgency
from swapwright.quantity import System

NAMED = 2  # values that are told by name where there is little room
URGENCY_WORDS = {
    Urgency.STOP: "STOP",
    Urgency.ROAD: "before the road",
    Urgency.FIX: "worth fixing",
    Urgency.NOTE: "note",
    Urgency.ASK: "not known yet",
}


def what(finding: Finding, system: System) -> str:
    """What and where, with the number against the limit."""
    text = finding.message.text(system)
    return text[:1].upper() + text[1:]


def how_sure(finding: Finding) -> str:
    """How sure, in words."""
    if finding.sure is None:
        return "Open until known"
    if finding.sure >= 0.995:
        return "Certain on what is known"
    return f"{finding.sure:.0%} likely on what is known"


def rests_on(finding: Finding, assembly: Assembly, system: System) -> str:
    """The facts it rests on, each with how it is known."""
    from swapwright.model.facts import fact_book

    parts = []
    for use in finding.rests_on:
        if use.value.known:
            label = fact_book()[use.name].label
            parts.append(
                f"{label} of {assembly.label(use.subject)}: {spoken(use.value, system)}"
                f" ({use.value.basis})"
            )
    return "; ".join(parts)


def not_own(finding: Finding) -> str:
    """Which of the facts that it rests on are typical or guessed; empty when none is."""
    from swapwright.model.facts import fact_book

    weak = [use for use in finding.rests_on if use.value.known and not use.value.backs_a_stop]
    labels = tuple(dict.fromkeys(fact_book()[use.name].label for use in weak))
    if not labels:
        return ""
    bases = " or ".join(sorted({str(use.value.basis) for use in weak}, reverse=True))
    told = ", ".join(labels) if len(labels) <= NAMED else f"{len(labels)} values"
    return f"{bases}, not yours: {told}"


ANSWERS = {  # how to answer what is no fact
    "fate": "close {subject} FATE",
    "there": "set {subject}.there yes, or no",
    "service": "set {subject}.service",
    "flow": "set {subject}.flow",
    "end": "set {subject}.end",
    "pieces": "set {subject}.through",
    "moves with": "set {subject}.moves_with",
    "small parts": "set {subject}.small.clamp here, or another part and its state",
    "mate": "set {subject}.plug.mate_seen yes, or no",
    "year": "set {subject}.year",
    "functions": "",  # these two are lists and jobs, which are written by hand
    "progress": "",
    "stand-in": "set {subject}.stand_in.item",
}


def asked(finding: Finding) -> str:
    """For a question: the command that answers it."""
    if finding.asks is None:
        return ""
    subject, name = finding.asks.subject, finding.asks.name
    return ANSWERS.get(name, f"set {{subject}}.{name}").format(subject=subject)
