"""One edit from beginning to end: read, change the text, check, remember, write, tell."""

from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections import Counter
from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from swapwright.assess import Assessment, all_faults, assess
from swapwright.edits.history import locked, refuse_changed_meanwhile, remember, write_whole
from swapwright.edits.splice import Operation, edited
from swapwright.edits.told import Told
from swapwright.model.assemble import try_assemble
from swapwright.model.documents import Documents, document_files, read_documents, read_folder
from swapwright.model.faults import Fault, Faulty
from swapwright.model.migrate import migrated_text
from swapwright.model.words import FateWord, Stage


@dataclass(frozen=True)
class Plan:
    """What an edit wants to do to one document."""

    file: str
    operations: tuple[Operation, ...]
    what: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class State:
    """A folder as read."""

    texts: tuple[tuple[str, bytes | OSError], ...]
    documents: Documents
    faults: tuple[Fault, ...]
    assessment: Assessment | None  # None while there are faults

    def raw(self, file: str) -> bytes:
        """Bytes of one document."""
        held = dict(self.texts)[file]
        assert isinstance(held, bytes)
        return held


Planner = Callable[[State], Plan]


def change(
    folder: Path, planner: Planner, as_of: date | None, stage: Stage = Stage.FIRST_START
) -> Told:
    """Make one edit.

    Raises
    ------
    Faulty
        When the target is not there, when the edit would bring a fault that was not there
        before, or when the file cannot be written. Nothing is changed then.
    """
    with _held(folder):
        before = read_state(folder, as_of, stage)
        plan = planner(before)
        source = before.documents.sources.get(plan.file)
        if source is None or source.tree is None:
            raise Faulty([each for each in before.faults if each.file == plan.file])
        raw = before.raw(plan.file)
        text = edited(plan.file, migrated_text(source), plan.operations)
        new = _encoded(raw, text)
        after = state_of(_replaced(before, plan.file, new), as_of, stage)
        refuse_new_faults(before, after, plan)
        told = tell(before, after, plan)
        if told.changed:
            refuse_changed_meanwhile(folder, plan.file, raw)
            remember(folder, plan.what, plan.file, raw, new)
            write_whole(folder / plan.file, new)
        return told


def _held(folder: Path) -> AbstractContextManager[None]:
    if not folder.is_dir() or not document_files(folder):
        raise Faulty(read_folder(folder).faults)
    return locked(folder)


def read_state(folder: Path, as_of: date | None, stage: Stage) -> State:
    """Read and, where there are no faults, assess a folder."""
    documents = read_folder(folder)
    if not documents.sources:
        raise Faulty(documents.faults)
    texts: list[tuple[str, bytes | OSError]] = []
    for path in document_files(folder):
        name = path.relative_to(folder).as_posix()
        try:
            texts.append((name, path.read_bytes()))
        except OSError as error:
            texts.append((name, error))
    return state_of(tuple(texts), as_of, stage)


def state_of(
    texts: tuple[tuple[str, bytes | OSError], ...], as_of: date | None, stage: Stage
) -> State:
    """Read and assess documents given as bytes."""
    documents = read_documents(texts)
    faults = all_faults(documents)
    assembly, _ = try_assemble(documents, stage)
    done = None if faults or assembly is None else assess(assembly, as_of or date.today())
    return State(texts, documents, faults, done)


def _replaced(state: State, file: str, raw: bytes) -> tuple[tuple[str, bytes | OSError], ...]:
    return tuple((name, raw if name == file else held) for name, held in state.texts)


def _encoded(raw: bytes, text: str) -> bytes:
    """The new text in the encoding of the old bytes."""
    for mark, encoding in (
        (BOM_UTF8, "utf-8"), (BOM_UTF16_LE, "utf-16-le"), (BOM_UTF16_BE, "utf-16-be"),
    ):  # fmt: skip
        if raw.startswith(mark):
            return mark + text.encode(encoding)
    return text.encode()


def refuse_new_faults(before: State, after: State, plan: Plan) -> None:
    """Raise ``Faulty`` with the faults that an edit would bring."""
    # A document that can no longer be read brings complaints of others that refer to it.
    new = _only_in(tuple(after.documents.faults), tuple(before.documents.faults))
    new = new or _only_in(after.faults, before.faults)
    if new:
        # Lines of a text that was never written would mislead.
        raise Faulty(
            [
                replace(each, line=None, column=None) if each.file == plan.file else each
                for each in new
            ]
        )


def _only_in(faults: tuple[Fault, ...], others: tuple[Fault, ...]) -> tuple[Fault, ...]:
    left = Counter(_without_place(each) for each in others)
    found = []
    for each in faults:
        if left[_without_place(each)]:
            left[_without_place(each)] -= 1
        else:
            found.append(each)
    return tuple(found)


def _without_place(fault: Fault) -> Fault:
    return replace(fault, line=None, column=None)


def tell(before: State, after: State, plan: Plan) -> Told:
    """What an edit did to the document and to the assessment."""
    told = Told(
        plan.what, plan.file, before.documents.sources[plan.file].text,
        after.documents.sources[plan.file].text, plan.notes, _only_in(before.faults, after.faults),
    )  # fmt: skip
    if after.assessment is None or before.assessment is None:
        return told
    old = {each.id: each for each in before.assessment.findings}
    new = {each.id: each for each in after.assessment.findings}
    open_before, open_after = _open(before.assessment), _open(after.assessment)
    return replace(
        told,
        assessed=True,
        findings_gone=tuple(each for name, each in old.items() if name not in new),
        findings_new=tuple(each for name, each in new.items() if name not in old),
        crossings_closed=tuple(name for name in open_before if name not in open_after),
        crossings_opened=tuple(name for name in open_after if name not in open_before),
    )


def _open(assessment: Assessment) -> list[str]:
    return [end.id for row in assessment.crossings for end in row.ends
            if assessment.assembly.fate(end.id) is FateWord.OPEN]  # fmt: skip
