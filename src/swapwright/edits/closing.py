"""Closing what is open: a crossing, a decision, a red line."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

from swapwright.crossings.red import red_line_digest, red_line_states
from swapwright.edits.change import Plan, State, change
from swapwright.edits.splice import Append, Drop, Operation, Put, rewritten
from swapwright.edits.targets import Thing, Things, things
from swapwright.edits.told import Told
from swapwright.edits.writing import refuse_unwritable
from swapwright.library.risks import red_lines
from swapwright.model.build import Decision
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.reading import Tree, branch
from swapwright.model.sheets import Port
from swapwright.model.words import FateWord, Kind, Progress, Stage


@dataclass(frozen=True)
class Details:
    """What is said beside the fate itself."""

    to: str = ""  # joined: the other port; relocated: where to
    through: tuple[str, ...] = ()
    until: str = ""
    start: str = Stage.FIRST_START
    reason: str = ""
    evidence: str = ""
    proof: str = ""
    on: str = ""
    by: str = ""
    photo: str = ""
    instead: bool = False


def close(
    folder: Path, what: str, fate: str, *, to: str = "", through: tuple[str, ...] = (),
    until: str = "", start: str = Stage.FIRST_START, reason: str = "", evidence: str = "",
    proof: str = "", on: str = "", by: str = "", photo: str = "", instead: bool = False,
    as_of: date | None = None, stage: Stage = Stage.FIRST_START,
) -> Told:  # fmt: skip
    """Close a crossing, a decision or a red line.

    Parameters
    ----------
    folder : Path
        The build folder.
    what : str
        A port, a decision or a red line.
    fate : str
        Of a port: joined, capped, parked, kept, relocated, removed, or open to take a fate
        back; of a decision: the option; of a red line: proved.
    to : str
        Joined: the other port. Relocated: where to.
    through : tuple of str
        Items or parts between two joined ports, in order.
    until : str
        Until when or what a parked end stays so.
    start : str
        Stage from which it holds.
    reason, evidence : str
        Why; what shows it.
    proof, on, by, photo : str
        Of a red line: what was seen, on which day, by whom, and its photograph.
    instead : bool
        Drop a planned join of the port that holds from the same stage.
    as_of : date, optional
        Day for which findings are told; today when left out.
    stage : Stage
        For which findings and open crossings are told.

    Raises
    ------
    Faulty
        When there is no such thing or fate, or when the edit would bring a fault.
    """
    details = Details(to, through, until, start, reason, evidence, proof, on, by, photo, instead)

    def plan(state: State) -> Plan:
        for name in ("to", "until", "reason", "evidence", "proof", "on", "by", "photo"):
            if getattr(details, name):
                refuse_unwritable(getattr(details, name), name)
        all_things = things(state.documents)
        build = all_things.build
        if build is None:
            raise Faulty(state.faults)
        thing = all_things.known.get(all_things.resolved(what))
        if what in red_lines():
            return _red_line(state, build, what, fate, details)
        if thing is not None and thing.model is Decision:
            return _decision(all_things, thing, fate, details)
        if thing is None or thing.model is not Port:
            decisions = [name for name, each in all_things.known.items() if each.model is Decision]
            known = [*all_things.ports(), *decisions, *red_lines()]
            wanted = "a port as sheet.port, a decision or a red line"
            raise _no("close", quoted(what), wanted, nearest=nearest_name(what, known))
        if fate == FateWord.JOINED:
            return _joined(all_things, build, thing, details)
        return _fated(all_things, build, thing, fate, details)

    return change(folder, plan, as_of, stage)


def _no(place: str, found: str, wanted: str, example: str = "", nearest: str = "") -> Faulty:
    return Faulty([Fault(place, None, None, "", found, wanted, example, nearest)])


# -- joins --------------------------------------------------------------------------


def _joined(all_things: Things, build: Thing, port: Thing, details: Details) -> Plan:
    if not details.to:
        raise _no(f"{port.id} joined", "no other port", "to: the port that it is joined to")
    other = all_things.port(details.to)
    if other is None:
        nearest = nearest_name(details.to, all_things.ports())
        raise _no(
            f"{port.id} joined to", quoted(details.to), "a port as sheet.port", nearest=nearest
        )
    between = _join_between(all_things, port.id, other.id)
    if between:
        wanted = f"two ports that are not joined yet: set {between}.progress or {between}.through"
        raise _no(f"{port.id} joined to", f"{other.id}, joined to it by {between}", wanted)
    name = _name_for(all_things, port, other)
    record: dict[str, Tree] = {"ends": [port.id, other.id]}
    if details.through:
        record["through"] = [all_things.resolved(each) for each in details.through]
    if details.start != Stage.FIRST_START:
        record["from"] = details.start
    record |= {key: held for key in ("reason", "evidence") if (held := getattr(details, key))}
    freed, notes = _freed(all_things, (port.id, other.id), details.start)
    operations: list[Operation] = [*freed, Put(("joins", name), record)]
    what = f"{port.id}: joined to {other.id} as {name}"
    if details.through:
        what += f" through {', '.join(details.through)}"
    return Plan(build.file, tuple(operations), what, notes)


def _join_between(all_things: Things, port: str, other: str) -> str:
    here = {name for name, _ in all_things.joins_of(port)}
    return next((name for name, _ in all_things.joins_of(other) if name in here), "")


def _name_for(all_things: Things, port: Thing, other: Thing) -> str:
    """A free id for a join: the name of the car's end, else of the first."""
    named = (port, other)
    on_car = [each for each in named if all_things.at(each.file, ("kind",)) == Kind.VEHICLE]
    name = (on_car or named)[0].id.partition(".")[2]
    taken, number = set(all_things.known) | set(all_things.renamed), 1
    free = name
    while free in taken:
        number += 1
        free = f"{name}-{number}"
    return free


def _freed(
    all_things: Things, ports: tuple[str, ...], start: str
) -> tuple[list[Operation], tuple[str, ...]]:
    """Operations that take away fates which a join replaces; from behind, so positions hold."""
    gone = [
        (i, port, str(fate.get("fate"))) for port in ports for i, fate in all_things.fates_of(port)
        if (fate.get("from") or Stage.FIRST_START) == start
    ]  # fmt: skip
    drops: list[Operation] = [Drop(("fates", i)) for i, _, _ in sorted(gone, reverse=True)]
    return drops, tuple(f"{port} was {fate} from {start}; that is gone" for _, port, fate in gone)


# -- other fates ------------------------------------------------------------------------


def _fated(all_things: Things, build: Thing, port: Thing, fate: str, details: Details) -> Plan:
    _check_fate(port.id, fate, details)
    record: dict[str, Tree] = {"port": port.id, "fate": fate}
    if details.start != Stage.FIRST_START:
        record["from"] = details.start
    for key in ("to", "until", "reason", "evidence"):
        if getattr(details, key):
            record[key] = getattr(details, key)
    operations, notes = _without_joins(all_things, port.id, details)
    what = f"{port.id}: {fate}"
    for i, old in all_things.fates_of(port.id):
        if (old.get("from") or Stage.FIRST_START) == details.start:
            what = f"{port.id}: {old.get('fate')} -> {fate}"
            if old.get("fate") == fate:
                changed = [
                    f"{key} {old.get(key) or 'not said'} -> {held}"
                    for key, held in record.items()
                    if key != "port" and old.get(key) != held
                ]
                what = f"{port.id}: {fate}" + (f", {'; '.join(changed)}" if changed else "")
                record = {**old, **record}
            elif old.get("facts"):
                record["facts"] = old["facts"]
            operations += rewritten(("fates", i), old, record)
            return Plan(build.file, tuple(operations), what, notes)
    return Plan(build.file, (*operations, Append(("fates",), record)), what, notes)


def _check_fate(port: str, fate: str, details: Details) -> None:
    if fate not in list(FateWord):
        wanted = "one of: " + ", ".join(FateWord)
        raise _no(
            f"{port} closed", quoted(fate), wanted, nearest=nearest_name(fate, list(FateWord))
        )
    if fate == FateWord.RELOCATED and not details.to:
        raise _no(f"{port} relocated", "no place", "to: where it goes", "to the left inner wing")
    belongs = {"until": FateWord.PARKED, "to": FateWord.RELOCATED, "through": FateWord.JOINED}
    wrong = [name for name, of in belongs.items() if getattr(details, name) and fate != of]
    if wrong:
        wanted = "until with parked, to with joined or relocated, through with joined"
        raise _no(f"{port} {fate}", f"{wrong[0]} beside {fate}", wanted)


def _without_joins(
    all_things: Things, port: str, details: Details
) -> tuple[list[Operation], tuple[str, ...]]:
    operations: list[Operation] = []
    notes: list[str] = []
    for name, join in all_things.joins_of(port):
        if (join.get("from") or Stage.FIRST_START) != details.start:
            continue
        progress = join.get("progress") or Progress.PLANNED
        if not details.instead:
            raise _no(port, f"join {name} of it, which holds from {details.start}",
                      f"a port without a join from that stage: say that {name} is to go, "
                      "or name a later stage")  # fmt: skip
        if progress != Progress.PLANNED:
            raise _no(port, f"join {name}, which is {progress}",
                      f"a join that is only planned: set {name}.progress first")  # fmt: skip
        operations.append(Drop(("joins", name)))
        notes.append(f"join {name} is gone; undo brings it back")
    return operations, tuple(notes)


# -- decisions and red lines ---------------------------------------------------------------


def _decision(all_things: Things, thing: Thing, option: str, details: Details) -> Plan:
    held = all_things.at(thing.file, thing.path)
    decision = held if isinstance(held, dict) else {}
    options = decision.get("options")
    known = [*(options if isinstance(options, dict) else {}), "unknown"]
    if option not in known:
        wanted = "one of: " + ", ".join(known)
        raise _no(
            f"{thing.id} decided", quoted(option), wanted, nearest=nearest_name(option, known)
        )
    said = {"chosen": option, "reason": details.reason, "on": details.on}
    operations = [Put((*thing.path, key), text) for key, text in said.items() if text]
    old = decision.get("chosen") or "unknown"
    return Plan(thing.file, tuple(operations), f"{thing.id}: chosen {old} -> {option}")


def _red_line(state: State, build: Thing, line: str, fate: str, details: Details) -> Plan:
    if fate != "proved":
        raise _no(line, quoted(fate), "proved: a red line is cleared by a proof only")
    missing = [name for name in ("proof", "on") if not getattr(details, name)]
    if missing:
        example = {"proof": red_lines()[line].proof, "on": "2026-05-02"}[missing[0]]
        raise _no(
            f"{line} proved", f"no {missing[0]}", "what was seen (proof) and the day (on)", example
        )
    if state.assessment is None:
        raise Faulty(state.faults)
    assembly = state.assessment.assembly
    if line not in [each.line.id for each in red_line_states(assembly)]:
        raise _no(line, "a red line without a port in this build", "one that concerns it")
    record: dict[str, Tree] = {"proved": details.on, "proof": details.proof}
    record |= {key: held for key in ("by", "photo") if (held := getattr(details, key))}
    record["digest"] = red_line_digest(assembly, red_lines()[line])
    what = f"{line}: proved {details.on} ({details.proof})"
    path = ("red_lines", line)
    old = branch(state.documents.sources[build.file].tree, path)
    return Plan(build.file, rewritten(path, old, record), what)
