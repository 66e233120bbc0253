"""Rules on the order of the work and on its records."""

from collections.abc import Iterator
from datetime import date
from functools import partial

from swapwright.findings.kit import (
    Check,
    Lacking,
    Look,
    Rule,
    Trip,
    all_jobs,
    either,
    joins_carrying,
    rule,
    the_build,
)
from swapwright.findings.work import AHEAD, named, of_kind, state
from swapwright.library.jobs import jobs
from swapwright.model.assembly import Assembly
from swapwright.model.build import Step
from swapwright.model.facts import fact_book
from swapwright.model.values import UNKNOWN, Value
from swapwright.model.words import FateWord, Gate, Service, Side
from swapwright.quantity import Basis, Measure

STARTED = ("begun", "done")
CUTTING_STEPS = ("cut", "weld", "drill")
HERE = (Side.CAR, Side.NEWCOMER)
CRITICAL = tuple(name for name, fact in fact_book().items() if fact.critical)


def come_before(assembly: Assembly, job: str) -> Iterator[str]:
    """Jobs that have to be done before this one; through those that are not needed."""
    seen, ahead = {job}, [job]
    while ahead:
        each = ahead.pop()
        text, record = jobs().get(each), assembly.jobs.get(each)
        earlier = (*(text.after if text else ()), *(record.after if record else ()))
        for name in earlier:
            if name in seen:
                continue
            seen.add(name)
            skipped = assembly.jobs.get(name)
            if skipped is not None and skipped.state == "not needed":
                ahead.append(name)
            else:
                yield name


@rule("wk-order", over=all_jobs)
def jobs_are_begun_in_order(look: Look) -> Trip | None:
    """Jobs that come before one that was begun."""
    if state(look) not in STARTED:
        return None
    earlier = tuple(come_before(look.assembly, look.subject))
    known = look.assembly.jobs
    undone = [name for name in earlier if name in known and known[name].state in AHEAD]
    if undone:
        which = tuple(named(look, name) for name in undone)
        return look.trip(job=named(look), state=state(look), earlier="; ".join(which))
    for name in earlier:
        state(look, name)
    return None


@rule("wk-photo", over=the_build, reads=("tagged_before_parting",))
def ends_are_photographed(look: Look) -> Trip | None:
    """Ends without a photograph, where not all was tagged before it was parted."""
    if look.yes("tagged_before_parting"):
        return None
    ports = [each for each in look.assembly.ports.values() if each.side in HERE]
    ends = [each for each in ports if each.there == "yes"]
    bare = [each for each in ends if not each.record.photos]
    return look.trip_if(bool(bare), count=len(bare), of=len(ends))


def holders_of_critical_facts(assembly: Assembly) -> tuple[str, ...]:
    """All of which a critical figure is stated or was asked, without what leaves."""
    outgoing = {sheet for sheet, side in assembly.sides.items() if side is Side.OUTGOING}
    return tuple(
        holder.id
        for holder in assembly.holders.values()
        if holder.id.partition(".")[0] not in outgoing
        and any(stated(assembly, holder.id, name) for name in CRITICAL)
    )


def stated(assembly: Assembly, subject: str, name: str) -> bool:
    """True when a document says something of this fact, be it that it is unknown."""
    said = name in assembly.holders[subject].facts
    return said or f"{subject}.{name}" in assembly.readings


@rule("wk-dim", over=holders_of_critical_facts, reads=CRITICAL)
def critical_figures_are_measured_twice(look: Look) -> Trip | None:
    """Figures whose error buys a wrong part, measured once."""
    names = [name for name in CRITICAL if stated(look.assembly, look.subject, name)]
    values = {name: look.assembly.fact(look.subject, name) for name in names}
    once = [name for name in names if single_reading(values[name])]
    for name in once or [name for name in names if values[name].content is UNKNOWN]:
        look.value(name)
    what = ", ".join(fact_book()[name].label for name in once)
    return look.trip_if(bool(once), what=what)


def single_reading(value: Value) -> bool:
    """True for a figure that was read off a tool one single time."""
    measured = isinstance(value.content, Measure) and value.basis is Basis.MEASURED
    return measured and bool(value.by) and value.count == 1


@rule("wk-torque", over=joins_carrying(Service.SUPPORT, Service.DRIVE), reads=("torque_marked",))
def bolts_are_marked_when_tight(look: Look) -> Trip | None:
    """Marks on the bolts of mounts and shafts that are fitted."""
    if not look.assembly.joins[look.subject].progress.stands:
        return None
    look.carries(Service.SUPPORT, Service.DRIVE)
    return look.trip_if(not look.yes("torque_marked"))


@rule("wk-unresolved", over=the_build, reads=("cuts",))
def all_is_decided_before_the_cut(look: Look) -> Trip | None:
    """Ends without a fate and questions without an answer, once something has been cut."""
    assembly = look.assembly
    ends = [
        port.label
        for port in assembly.ports.values()
        if port.side in HERE and port.there != "no" and assembly.fate(port.id) is FateWord.OPEN
    ]
    undecided = [
        name
        for name, each in assembly.build.decisions.items()
        if each.chosen == "unknown" and each.gate.order <= Gate.CUT.order
    ]
    if not ends and not undecided:
        return None
    return look.trip_if(cutting_has_begun(look), ends=len(ends), decisions=len(undecided))


def cutting_has_begun(look: Look) -> bool:
    """True when the gate is passed, or a job or step that cuts has been begun.

    Raises
    ------
    Lacking
        When nothing says so, but of a step or a job that cuts nobody said how far it is.
    """
    build = look.assembly.build

    def job_begun(look: Look, job: str) -> Trip | None:
        if build.jobs[job].state in ("planned", "not needed"):
            return None
        cuts = of_kind(look, job, "cuts", "cutting", "welding")
        return look.trip_if(cuts and state(look, job) in STARTED)

    def step_done(look: Look, step: Step) -> Trip | None:
        ahead = step.planned.content
        if not step.done.known and not (isinstance(ahead, date) and ahead > look.as_of):
            raise Lacking(build.id, "progress")
        return look.trip_if(step.done.content is True)

    checks: list[Check] = [partial(job_begun, job=job) for job in build.jobs]
    cuts = [step for step in build.steps.values() if step.does in CUTTING_STEPS]
    checks += [partial(step_done, step=step) for step in cuts]
    return look.assembly.gate_passed(Gate.CUT) or either(look, *checks) is not None


RULES: tuple[Rule, ...] = (
    jobs_are_begun_in_order,
    ends_are_photographed,
    critical_figures_are_measured_twice,
    bolts_are_marked_when_tight,
    all_is_decided_before_the_cut,
)
