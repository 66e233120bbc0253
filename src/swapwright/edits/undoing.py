"""Taking edits back, one after another, and doing them again."""

from dataclasses import replace
from datetime import date
from pathlib import Path

from swapwright.edits.change import Plan, State, read_state, state_of, tell
from swapwright.edits.history import (
    HIDDEN,
    Entry,
    digest,
    entries,
    keep_after,
    locked,
    mark,
    refuse_changed_meanwhile,
    text_after,
    text_before,
    write_whole,
)
from swapwright.edits.told import Told
from swapwright.model.faults import Fault, Faulty
from swapwright.model.words import Stage


def undo(folder: Path, *, as_of: date | None = None) -> Told:
    """Take back the last edit that is not taken back yet.

    Raises
    ------
    Faulty
        When there is nothing to undo, or when the document has been changed by hand since;
        nothing is changed then.
    """
    if not (folder / HIDDEN).is_dir():
        raise Faulty([_nothing(folder, "undo")])
    with locked(folder):
        state = read_state(folder, as_of, Stage.FIRST_START)
        for entry in reversed(entries(folder)):
            if entry.state != "done":
                continue
            raw = _bytes(state, entry)
            if digest(raw) == entry.before and entry.before != entry.after:
                mark(folder, entry, "aside")  # it was never written: the process was stopped
                continue
            _refuse_changed(entry, raw, entry.after, "before")
            old = text_before(folder, entry)
            # In this order a process that is stopped half-way leaves a history that still fits.
            keep_after(folder, entry, raw)
            told = _written(folder, state, entry, old, f"undone: {entry.what}", as_of)
            mark(folder, entry, "undone")
            return told
    raise Faulty([_nothing(folder, "undo")])


def redo(folder: Path, *, as_of: date | None = None) -> Told:
    """Do again what was undone last; raises as ``undo``."""
    if not (folder / HIDDEN).is_dir():
        raise Faulty([_nothing(folder, "redo")])
    with locked(folder):
        state = read_state(folder, as_of, Stage.FIRST_START)
        entry = next((each for each in entries(folder) if each.state == "undone"), None)
        if entry is None:
            raise Faulty([_nothing(folder, "redo")])
        raw = _bytes(state, entry)
        _refuse_changed(entry, raw, entry.before, "after")
        new = text_after(folder, entry)
        told = _written(folder, state, entry, new, f"done again: {entry.what}", as_of)
        mark(folder, entry, "done")
        return told


def _bytes(state: State, entry: Entry) -> bytes:
    held = dict(state.texts).get(entry.file)
    if not isinstance(held, bytes):
        wanted = f"the document that was edited last (its text before stands in {_kept(entry)})"
        raise Faulty([Fault(entry.file, None, None, "", "no such document any more", wanted)])
    return held


def _kept(entry: Entry, which: str = "before") -> str:
    return f"{HIDDEN}/history/{entry.number:06}.{which}"


def _refuse_changed(entry: Entry, raw: bytes, wanted: str, which: str) -> None:
    if digest(raw) != wanted:
        found = f"a document changed by hand since the edit of {entry.when} ({entry.what})"
        advice = "it unchanged; nothing was done, and the text to go back to is kept in "
        advice += _kept(entry, which)
        raise Faulty([Fault(entry.file, None, None, "", found, advice)])


def _written(
    folder: Path, state: State, entry: Entry, raw: bytes, what: str, as_of: date | None
) -> Told:
    texts = tuple((name, raw if name == entry.file else held) for name, held in state.texts)
    after = state_of(texts, as_of, Stage.FIRST_START)
    told = tell(state, after, Plan(entry.file, (), what))
    brought = len(after.faults) - len(state.faults)
    refuse_changed_meanwhile(folder, entry.file, state.raw(entry.file))
    write_whole(folder / entry.file, raw)
    if brought > 0:
        return replace(told, notes=(f"the folder has {len(after.faults)} faults now",))
    return told


def _nothing(folder: Path, verb: str) -> Fault:
    return Fault(str(folder), None, None, "", f"nothing to {verb}", "an edit made by swapwright")
