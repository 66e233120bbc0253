"""Anything by its name: findings, rules, facts, limits, red lines, families, ends, ports, parts."""

from collections.abc import Callable, Iterable, Iterator
from textwrap import wrap

from swapwright.assess import Assessment
from swapwright.crossings.regret import asked_for_by
from swapwright.crossings.rows import Crossing
from swapwright.dossier.gap import gap_row
from swapwright.dossier.sentences import asked, how_sure, rests_on, what
from swapwright.dossier.terminal import row_lines, units_of
from swapwright.findings.book import RULES
from swapwright.findings.run import Finding
from swapwright.library.risks import red_lines
from swapwright.library.rulebook import limit_texts, rule_texts
from swapwright.model.ends import end_forms
from swapwright.model.facts import fact_book
from swapwright.model.families import families
from swapwright.model.message import spoken
from swapwright.model.words import Urgency

WIDTH = 80
Lines = Iterator[str]


def explanation(
    name: str, assessment: Callable[[], Assessment], *, in_build: bool = False
) -> str | None:
    """All that can be said of ``name``; the build is only assessed when it is needed.

    A join is named after the family of its ends, so in a build a family is looked for there too.
    """
    shipped: tuple[tuple[Iterable[str], Callable[[str], Lines]], ...] = (
        (rule_texts(), _rule),
        (fact_book(), _fact),
        (limit_texts(), _limit),
        (red_lines(), _red_line),
        (end_forms(), _form),
        (families(), _family),
    )
    rows: list[str] = []
    for names, tell in shipped:
        if name in names:
            rows.extend(tell(name))
    if rows and not (name in families() and in_build):
        return "\n".join(rows) + "\n"
    rows.extend(_in_build(name.removeprefix("before cutting "), assessment()))
    return "\n".join(rows) + "\n" if rows else None


def known_names() -> tuple[str, ...]:
    """Names that ship, for a hint at a mistyped one."""
    return (*rule_texts(), *fact_book(), *limit_texts(), *red_lines(), *end_forms(), *families())


def _lines(text: str, indent: str = "  ") -> Lines:
    yield from wrap(
        text, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False
    )


def _head(text: str) -> Lines:
    yield from wrap(text, WIDTH, subsequent_indent="    ", break_on_hyphens=False)


def _rule(name: str) -> Lines:
    text = rule_texts()[name]
    yield from _head(f"rule {name} ({text.system}): {text.urgency}")
    yield from _lines(f"Why: {text.why}")
    yield from _lines(f"What to do: {text.remedy}")
    yield from _lines(f"To be settled {text.gate}. Source: {text.source} ({text.rests_on}).")
    rule = next((each for each in RULES if each.id == name), None)
    if rule is None:
        yield from _lines(f"Not checked yet: it waits for a computation ({text.needs}).")
    elif rule.reads:
        yield "  It reads:"
        for fact in sorted(rule.reads):
            yield from _lines(f"{fact}: {fact_book()[fact].ask}", "    ")


def _fact(name: str) -> Lines:
    fact = fact_book()[name]
    yield from _head(f"fact {name} of {', '.join(fact.of)}: {fact.sort.wanted}")
    yield from _lines(f"How to find out: {fact.ask}")
    if fact.tool:
        yield from _lines(f"With: {fact.tool}")
    users = [rule.id for rule in RULES if name in rule.reads]
    if users:
        yield from _lines("Read by: " + ", ".join(users))
    yield from _lines(f"For example: {fact.sort.example}")


def _limit(name: str) -> Lines:
    limit = limit_texts()[name]
    yield from _head(f"limit {name}: {limit.text}")
    yield from _lines(f"Source: {limit.source} ({limit.rests_on}).")
    yield "  A build may set another under limits:, with a reason."


def _red_line(name: str) -> Lines:
    line = red_lines()[name]
    yield from _head(f"{name}: {line.title}")
    yield from _lines(f"Why: {line.why}")
    yield from _lines(f"It is cleared by this: {line.cleared_by}.")
    yield from _lines(f"Proof: {line.proof}.")


def _form(name: str) -> Lines:
    form = end_forms()[name]
    yield from _head(f"end form {name}: {form.says}")
    for dim, sort in form.dims.items():
        yield from _lines(f"{dim}: {sort.wanted}")
    if form.halves:
        yield from _lines(f"halves: {', '.join(form.halves)}")


def _family(name: str) -> Lines:
    family = families()[name]
    yield from _head(f"family {name}: {family.label} ({family.service})")
    yield from _lines(f"Usually: {family.usual}. Originally: {family.was}.")
    yield from _lines(f"To be settled {family.needed_by}.")


def _in_build(name: str, assessment: Assessment) -> Lines:
    assembly = assessment.assembly
    if name == "assumptions":
        yield from _assumptions(assessment)
        return
    name = assembly.resolve(name)
    for finding in assessment.findings:
        if name == finding.id or (name in finding.subjects):
            yield from _finding(finding, assessment)
    for crossing in assessment.crossings:
        if name in [end.id for end in crossing.ends]:
            yield from _crossing(crossing, assessment)
    if name in assembly.holders:
        yield from _facts_of(name, assessment)
    if name in assembly.ports or name in assembly.parts:
        yield from _needs(name, assessment)
    if name in assembly.build.decisions:
        yield from _decision(name, assessment)
    subject, _, fact = name.rpartition(".")
    if assembly.resolve(subject) in assembly.holders and fact in fact_book():
        yield from _value(assembly.resolve(subject), fact, assessment)


def _finding(finding: Finding, assessment: Assessment) -> Lines:
    system = units_of(assessment)
    signal = f" {finding.signal.upper()}" if finding.signal else ""
    yield from _head(f"{finding.id}: {finding.urgency}{signal}, {finding.gate}")
    yield from _lines(what(finding, system))
    yield from _lines(f"Why: {finding.why}")
    yield from _lines(f"What to do: {finding.remedy}")
    if answer := asked(finding):
        yield from _lines(f"Answer: swapwright {answer}")
    resting = rests_on(finding, assessment.assembly, system)
    if resting:
        yield from _lines(f"Rests on: {resting}")
    yield from _lines(f"How sure: {how_sure(finding)}. Source: {finding.source}.")
    if finding.accepted is not None:
        stays = "; it stays a stop" if finding.urgency is Urgency.STOP else ""
        day = spoken(finding.accepted.on, system)
        yield from _lines(f"Accepted on {day}: {finding.accepted.reason}{stays}.")
    elif finding.lapsed:
        yield from _lines("It was accepted, but what it rests on has changed since.")
    if finding.memory_limits:
        yield from _lines("Limits from memory: " + ", ".join(finding.memory_limits))


def _crossing(crossing: Crossing, assessment: Assessment) -> Lines:
    units = units_of(assessment)
    yield from row_lines(gap_row(assessment.assembly, crossing, units), crossing, units)
    yield from _lines(f"Pile: {crossing.pile} ({crossing.pile_why.text(units)}).")
    if crossing.mating is not None:
        yield from _lines(f"The two ends: {crossing.mating.verdict}.")
        for why in crossing.mating.why:
            yield from _lines(why.text(units), "    ")


def _facts_of(name: str, assessment: Assessment) -> Lines:
    assembly = assessment.assembly
    holder = assembly.holders[name]
    yield from _head(f"{name}: {holder.label} ({', '.join(holder.subjects)})")
    for fact in holder.facts:
        value = assembly.fact(name, fact)
        yield from _lines(f"{fact}: {spoken(value, units_of(assessment))} ({value.basis})")


def _value(subject: str, fact: str, assessment: Assessment) -> Lines:
    value = assessment.assembly.fact(subject, fact)
    shown = spoken(value, units_of(assessment))
    how = f" ({', '.join(part for part in (str(value.basis), value.by) if part)})"
    label = f"{fact_book()[fact].label} of {assessment.assembly.label(subject)}"
    yield from _head(f"{subject}.{fact}: {label}")
    yield from _lines(f"{shown}{how if value.known else ''}")
    if value.count > 1:
        yield from _lines(f"from {value.count} readings")
    yield from _fact(fact)


def _decision(name: str, assessment: Assessment) -> Lines:
    decision = assessment.assembly.build.decisions[name]
    yield from _head(f"{name}: {decision.question}")
    if decision.why:
        yield from _lines(f"Why: {decision.why}")
    for key, option in decision.options.items():
        yield from _lines(f"{key}: {option.label}" if option.label else key, "    ")
    yield from _lines(f"Chosen: {decision.chosen}. To be settled {decision.gate}.")
    if decision.about:
        yield from _lines(f"It is about: {', '.join(decision.about)}")
    yield from _lines(f"Settle it: swapwright close {name} OPTION")


def _needs(name: str, assessment: Assessment) -> Lines:
    needs = asked_for_by(assessment.assembly, name)
    if not needs:
        yield "  Nobody in this build asks for it."
        return
    yield "  Before it is cut, discarded or capped, know who still needs it:"
    for need in needs:
        yield from _lines(f"{need.subject}: {need.reason.text(units_of(assessment))}", "    ")


def _assumptions(assessment: Assessment) -> Lines:
    if not assessment.assumptions:
        yield "Every value that a rule read is your own or published."
        return
    yield "Values that are not yours and that a rule read:"
    for each in assessment.assumptions:
        shown = spoken(each.value, units_of(assessment))
        yield from _lines(f"{each.subject}.{each.name}: {shown} ({each.value.basis})")
