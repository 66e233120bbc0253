"""Setting one value."""

from datetime import date
from pathlib import Path

from swapwright.edits.change import Plan, State, change
from swapwright.edits.splice import Operation, Put
from swapwright.edits.targets import Target, Things, find, things
from swapwright.edits.told import Told
from swapwright.edits.writing import flow, refuse_unwritable
from swapwright.model.ends import read_end
from swapwright.model.faults import Fault, Faulty
from swapwright.model.reading import Path as TreePath
from swapwright.model.reading import Tree
from swapwright.model.values import ValueFault
from swapwright.model.words import Stage

LONGEST = 80  # characters of a value in a sentence


def set_value(
    folder: Path, target: str, text: str, *, as_of: date | None = None,
    stage: Stage = Stage.FIRST_START,
) -> Told:  # fmt: skip
    """Set one value of one thing.

    Parameters
    ----------
    folder : Path
        The build folder.
    target : str
        ``car.kerb_mass``, ``car.radiator.core_width``, ``car.hsup.end.barrel``,
        ``heater-supply.progress``, ``heater-supply.small.clamp at engine``,
        ``car.tach.fate.until``, ``build.gates.before it is pulled`` …; former ids too.
    text : str
        As it is written in documents; a list with commas between its entries.
    as_of : date, optional
        Day for which findings are told; today when left out.
    stage : Stage
        For which findings and open crossings are told.

    Raises
    ------
    Faulty
        When there is no such target (with the nearest known one), or the text is no such value.
    """

    def plan(state: State) -> Plan:
        refuse_unwritable(text, target)
        all_things = things(state.documents)
        found = find(target, all_things)
        operation, old = _operation(all_things, found, text)
        new = shown(text.strip())
        what = f"{found.thing.id}: {found.what} {old} -> {new}"
        if old == new:
            what = f"{found.thing.id}: {found.what} is {new} already"
        return Plan(found.file, (operation,), what, _notes(all_things, found))

    return change(folder, plan, as_of, stage)


def shown(tree: Tree) -> str:
    """What a document held, for a sentence."""
    if tree is None:
        return "not said"
    text = " ".join(tree.split()) if isinstance(tree, str) else flow(tree)
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def _operation(all_things: Things, target: Target, text: str) -> tuple[Operation, str]:
    held = all_things.at(target.file, target.path)
    if target.is_end and target.dim:
        return _dimension(all_things, target, text)
    path, value = target.path, _value(target, text)
    short = target.long_as.get(path)
    if short and isinstance(held, dict):  # place: words beside what was measured
        path = (*path, short)
        held = held.get(short)
    above = all_things.at(target.file, path[:-1])
    if isinstance(above, str) and target.long_as.get(path[:-1]) == path[-1]:
        held = above  # "fair: unknown" is what fair.there says
    return put(all_things, target, path, value), shown(held)


def _value(target: Target, text: str) -> Tree:
    if not target.is_list:
        return text.strip()
    inner = text.strip().removeprefix("[").removesuffix("]")
    return [each.strip() for each in inner.split(",") if each.strip()]


def put(all_things: Things, target: Target, path: TreePath, value: Tree) -> Put:
    """A ``Put`` that keeps what a short text on the way said, under its long name."""
    for length in range(1, len(path)):
        held = all_things.at(target.file, path[:length])
        if isinstance(held, str):
            short = target.long_as.get(path[:length], "")
            inner: Tree = value
            for step in reversed(path[length + 1 :]):
                inner = {str(step): inner}
            kept: dict[str, Tree] = {short: held} if short else {}
            return Put(path[:length], {**kept, str(path[length]): inner}, one_line=True)
    return Put(path, value)


def _dimension(all_things: Things, target: Target, text: str) -> tuple[Put, str]:
    held, path, name = all_things.at(target.file, target.path), target.path, target.dim
    if isinstance(held, dict):
        return Put((*path, name), text.strip()), shown(held.get(name))
    try:
        end = read_end(held)
    except ValueFault as fault:
        place = f"{target.thing.id}.end"
        raise Faulty(
            [Fault(place, None, None, "", fault.found, fault.wanted, fault.example)]
        ) from None
    if end is None:
        port = target.thing.id
        wanted = f"an end with a form first: set {port}.end"
        raise Faulty([Fault(f"{port}.end", None, None, "", "unknown", wanted, "hose bead 36 mm")])
    main = end.definition.main
    if name == main:
        words = (end.form, end.half, text.strip())
        old = shown(end.dims[name].text if name in end.dims else None)
        return Put(path, " ".join(word for word in words if word)), old
    long_form: dict[str, Tree] = {"form": end.form}
    long_form |= {"half": end.half} if end.half else {}
    long_form |= {dim: value.text for dim, value in end.dims.items()}
    old = shown(long_form.get(name))
    return Put(path, {**long_form, name: text.strip()}, one_line=True), old


def _notes(all_things: Things, target: Target) -> tuple[str, ...]:
    """What keeps the new value from counting."""
    of = f"{target.thing.id}.{target.what}"
    readings = all_things.at(all_things.build.file, ("readings",)) if all_things.build else None
    count = sum(
        isinstance(each, dict) and _same(all_things, str(each.get("of")), of)
        for each in (readings if isinstance(readings, list) else [])
    )
    if not count:
        return ()
    one = "a reading" if count == 1 else f"{count} readings"
    return (f"{one} of {of} in the build counts before what is set here",)


def _same(all_things: Things, said: str, of: str) -> bool:
    subject, _, name = said.rpartition(".")
    tail = ".end" if subject.endswith(".end") else ""
    return f"{all_things.resolved(subject.removesuffix(tail))}{tail}.{name}" == of
