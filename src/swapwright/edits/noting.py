"""Adding a reading, an accepted finding, a passed gate."""

from contextlib import suppress
from datetime import date
from pathlib import Path

from swapwright.edits.change import Plan, State, change
from swapwright.edits.setting import shown
from swapwright.edits.splice import Append, Operation, Put, rewritten
from swapwright.edits.targets import Thing, Things, things
from swapwright.edits.told import Told
from swapwright.edits.writing import refuse_unwritable
from swapwright.findings.run import Finding
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.reading import Tree
from swapwright.model.values import far_apart, split_known_as
from swapwright.model.words import Gate, Stage, Urgency
from swapwright.quantity import QuantityFault, read_measure


def read(
    folder: Path, of: str, value: str, *, by: str = "", on: str = "", who: str = "",
    photo: str = "", note: str = "", as_of: date | None = None,
) -> Told:  # fmt: skip
    """Add a reading to the build; readings count before what sheets say.

    Parameters
    ----------
    folder : Path
        The build folder.
    of : str
        ``subject.fact`` or ``sheet.port.end.dimension``.
    value : str
        With its unit; the tool may follow after a comma.
    by, on, who, photo, note : str
        Tool of the tool table, day, person, photograph, remark.
    as_of : date, optional
        Day for which findings are told; today when left out.

    Raises
    ------
    Faulty
        When ``of`` or the value cannot be read.
    """

    def plan(state: State) -> Plan:
        said, _, tool = split_known_as(value)
        text, by_tool = (said, by or tool) if tool else (value.strip(), by)
        fields = {"value": text, "by": by_tool, "on": on, "who": who, "photo": photo, "note": note}
        refuse_unwritable(value, of)
        build, all_things = _build(state)
        name = _resolved(all_things, of)
        entry: dict[str, Tree] = {"of": name}
        for key, held in fields.items():
            if held:
                refuse_unwritable(held, key)
                entry[key] = held
        so_far = all_things.at(build.file, ("readings",))
        texts = [
            str(each.get("value"))
            for each in (so_far if isinstance(so_far, list) else [])
            if isinstance(each, dict) and _resolved(all_things, str(each.get("of"))) == name
        ]
        texts.append(text)
        number = len(texts)
        what = f"{name}: reading {number} of it is {text}" + (f", {by_tool}" if by_tool else "")
        notes = (*_apart(texts), *_ahead(on, as_of))
        return Plan(build.file, (Append(("readings",), entry),), what, notes)

    return change(folder, plan, as_of)


def _apart(texts: list[str]) -> tuple[str, ...]:
    """A word on readings of one thing that can hardly all be right."""
    measures = []
    for text in texts:
        with suppress(QuantityFault):
            measures.append(read_measure(text))
    apart = far_apart(measures)
    if apart is None:
        return ()
    least, most = apart
    return (
        f"its readings lie far apart, from {least.text} to {most.text}: measure again, and take"
        " the wrong one out of readings in the build",
    )


def _ahead(on: str, as_of: date | None) -> tuple[str, ...]:
    """A word on a day that has not come yet."""
    with suppress(ValueError):
        if on and date.fromisoformat(on) > (as_of or date.today()):
            return (f"its day, {on}, has not come yet",)
    return ()


def accept(
    folder: Path, finding_id: str, reason: str, on: str, *, as_of: date | None = None,
    stage: Stage = Stage.FIRST_START,
) -> Told:  # fmt: skip
    """Accept a finding for a reason; it lapses when the facts under it change.

    Parameters
    ----------
    folder : Path
        The build folder.
    finding_id : str
        ``rule/subject``, one of the present findings.
    reason : str
        Why it may stay.
    on : str
        Day, as year-month-day.
    as_of : date, optional
        Day for which findings are judged; today when left out.
    stage : Stage
        At which it is found.

    Raises
    ------
    Faulty
        When there is no such finding, when it is a question, or when the folder has faults.
    """

    def plan(state: State) -> Plan:
        refuse_unwritable(reason, "reason")
        if state.assessment is None:
            raise Faulty(state.faults)
        finding = _finding(state.assessment.findings, finding_id)
        build, all_things = _build(state)
        entry: dict[str, Tree] = {"finding": finding.id, "reason": reason.strip()}
        entry |= {"on": on, "digest": finding.digest}
        operations, again = _acceptance(all_things, build, entry)
        what = f"{finding.id}: accepted{' again' if again else ''} ({reason.strip()})"
        notes = ("it is a stop and stays one: the reason is told beside it",)
        return Plan(build.file, operations, what, notes if finding.urgency is Urgency.STOP else ())

    return change(folder, plan, as_of, stage)


def _finding(found: tuple[Finding, ...], finding_id: str) -> Finding:
    here = {each.id: each for each in found if each.urgency is not Urgency.ASK}
    if finding_id in here:
        return here[finding_id]
    asked = next((each for each in found if each.id == finding_id), None)
    if asked is not None:
        wanted = f"an answer, since it is a question: {asked.remedy}"
        raise Faulty([Fault(finding_id, None, None, "", "a question", wanted)])
    nearest = nearest_name(finding_id, here)
    wanted = "the id of a present finding, as rule/subject"
    raise Faulty([Fault("accept", None, None, "", quoted(finding_id), wanted, nearest=nearest)])


def _acceptance(
    all_things: Things, build: Thing, entry: dict[str, Tree]
) -> tuple[tuple[Operation, ...], bool]:
    held = all_things.at(build.file, ("accepted",))
    for i, each in enumerate(held if isinstance(held, list) else []):
        if isinstance(each, dict) and each.get("finding") == entry["finding"]:
            return rewritten(("accepted", i), each, {**each, **entry}), True
    return (Append(("accepted",), entry),), False


def pass_gate(folder: Path, gate: str, on: str, *, as_of: date | None = None) -> Told:
    """Note that a gate is passed.

    Parameters
    ----------
    folder : Path
        The build folder.
    gate : str
        ``before it is pulled`` …
    on : str
        Day, as year-month-day.
    as_of : date, optional
        Day for which findings are told; today when left out.

    Raises
    ------
    Faulty
        When there is no such gate, or ``on`` is no day.
    """

    def plan(state: State) -> Plan:
        if gate not in list(Gate) or gate == Gate.JOB:
            gates = [each for each in Gate if each is not Gate.JOB]
            wanted = "one of: " + ", ".join(gates)
            nearest = nearest_name(gate, gates)
            raise Faulty([Fault("gate", None, None, "", quoted(gate), wanted, nearest=nearest)])
        refuse_unwritable(on, "on")
        build, all_things = _build(state)
        old = shown(all_things.at(build.file, ("gates", gate)))
        what = f"gate {gate}: {old} -> passed {on}"
        return Plan(build.file, (Put(("gates", gate), on),), what, _still_due(state, Gate(gate)))

    return change(folder, plan, as_of)


def _still_due(state: State, gate: Gate) -> tuple[str, ...]:
    notes = []
    assessment = state.assessment
    if assessment is not None:
        earlier = [each for each in Gate if each.order < gate.order]
        missing = [each for each in earlier if not assessment.assembly.gate_passed(each)]
        if missing:
            notes.append("earlier gates that are not passed: " + ", ".join(missing))
        worst = (Urgency.STOP, Urgency.ROAD)
        due = [f for f in assessment.findings if f.gate.order <= gate.order and f.urgency in worst]
        if due:
            notes.append(f"findings that were due before it: {', '.join(each.id for each in due)}")
    return tuple(notes)


def _build(state: State) -> tuple[Thing, Things]:
    all_things = things(state.documents)
    if all_things.build is None:
        raise Faulty(state.faults)
    return all_things.build, all_things


def _resolved(all_things: Things, of: str) -> str:
    subject, dot, name = of.rpartition(".")
    tail = ".end" if subject.endswith(".end") else ""
    return f"{all_things.resolved(subject.removesuffix(tail))}{tail}{dot}{name}"
