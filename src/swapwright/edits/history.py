"""The past of a build folder: every text before an edit, kept beside the documents.

One folder a build, ``.swapwright/history``: ``000007.json`` says what was done, ``000007.before``
holds the document's bytes before it.
"""

import json
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from tempfile import mkstemp
from typing import Literal

from swapwright.model.faults import Fault, Faulty

HIDDEN = ".swapwright"
PATIENCE = 3.0  # seconds that a second process waits for the first

State = Literal["done", "undone", "aside"]  # aside: undone, and something else was done since


@dataclass(frozen=True)
class Entry:
    """One edit of the past."""

    number: int
    what: str
    file: str  # relative to the folder
    when: str  # ISO 8601 with offset
    before: str  # SHA-256 of the document
    after: str
    state: State = "done"


def digest(raw: bytes) -> str:
    """SHA-256 of a document's bytes."""
    return sha256(raw).hexdigest()


def entries(folder: Path) -> tuple[Entry, ...]:
    """All edits of a build folder, the oldest first.

    Raises
    ------
    Faulty
        When a file of the history cannot be read.
    """
    found = []
    for path in sorted(_past(folder).glob("*.json")):
        try:
            found.append(Entry(**json.loads(path.read_text(encoding="utf-8"))))
        except (OSError, ValueError, TypeError):
            place = path.relative_to(folder).as_posix()
            wanted = "an entry as swapwright writes them; move it elsewhere to go on without it"
            raise Faulty([Fault(place, None, None, "", "a broken history entry", wanted)]) from None
    return tuple(sorted(found, key=lambda entry: entry.number))


def text_before(folder: Path, entry: Entry) -> bytes:
    """The document's bytes before an edit."""
    return _told(folder, _before(folder, entry))


def remember(folder: Path, what: str, file: str, before: bytes, after: bytes) -> Entry:
    """Write an entry for an edit that is about to be made."""
    past = entries(folder)
    for old in past:
        if old.state == "undone":
            _write_entry(folder, replace(old, state="aside"))
    number = past[-1].number + 1 if past else 1
    now = datetime.now().astimezone().isoformat(timespec="seconds")
    entry = Entry(number, what, file, now, digest(before), digest(after))
    write_whole(_before(folder, entry), before)
    _write_entry(folder, entry)
    return entry


def mark(folder: Path, entry: Entry, state: State) -> None:
    """Note that an entry was undone, done again, or left aside."""
    _write_entry(folder, replace(entry, state=state))


def keep_after(folder: Path, entry: Entry, raw: bytes) -> None:
    """Keep the document's bytes after an edit, so that it can be done again once undone."""
    write_whole(_before(folder, entry).with_suffix(".after"), raw)


def text_after(folder: Path, entry: Entry) -> bytes:
    """The document's bytes after an edit that was undone."""
    return _told(folder, _before(folder, entry).with_suffix(".after"))


def refuse_changed_meanwhile(folder: Path, file: str, raw: bytes) -> None:
    """Raise ``Faulty`` when a document is not as it was read: an editor may have saved it since."""
    try:
        same = (folder / file).read_bytes() == raw
    except OSError:
        same = False
    if not same:
        found = "a document that another program changed while this edit was checked"
        wanted = "it unchanged; nothing was done: say it again"
        raise Faulty([Fault(file, None, None, "", found, wanted)])


def write_whole(path: Path, raw: bytes) -> None:
    """Write a file so that it is either the old one or the new one, whatever happens.

    Raises
    ------
    Faulty
        When the disk or its permissions do not allow it.
    """
    target = path.resolve()  # of a linked document, the file itself changes
    spare = ""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, spare = mkstemp(prefix=".swapwright-", dir=target.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(raw)
            file.flush()
            os.fsync(file.fileno())
        Path(spare).chmod(target.stat().st_mode if target.exists() else 0o644)
        os.replace(spare, target)  # noqa: PTH105 - the one call that also replaces on Windows
    except OSError as error:
        if spare:
            Path(spare).unlink(missing_ok=True)
        found = error.strerror or "an error while writing"
        raise Faulty([_cannot(path, found, "a folder that can be written to")]) from None


@contextmanager
def locked(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the folder against a second process that would change it.

    Raises
    ------
    Faulty
        When another one holds it for longer than ``patience`` seconds.
    """
    lock = folder / HIDDEN / "lock"
    try:
        lock.parent.mkdir(exist_ok=True)
        _take(lock, patience)
    except OSError as error:
        found = error.strerror or "an error while writing"
        raise Faulty([_cannot(lock, found, "a folder that can be written to")]) from None
    try:
        yield
    finally:
        lock.unlink(missing_ok=True)


def _take(lock: Path, patience: float) -> None:
    until = time.monotonic() + patience
    while True:
        try:
            handle = os.open(lock, os.O_CREAT | os.O_EXCL | os.O_WRONLY)
        except (FileExistsError, PermissionError) as held:
            # Windows says "permission" while a lock is being deleted.
            if isinstance(held, PermissionError) and not lock.exists():
                raise
            if time.monotonic() > until:
                raise Faulty([_held(lock)]) from None
            time.sleep(0.02)
        else:
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                now = datetime.now().astimezone().isoformat(timespec="seconds")
                file.write(f"process {os.getpid()} since {now}\n")
            return


def _held(lock: Path) -> Fault:
    try:
        holder = lock.read_text(encoding="utf-8").strip()
    except OSError:
        holder = ""
    found = f"a lock of another swapwright ({holder or 'just taken'}); nothing was changed"
    return _cannot(lock, found, "to be alone; if none is running any more, delete this file")


def _cannot(path: Path, found: str, wanted: str) -> Fault:
    return Fault(str(path), None, None, "", found, wanted)


def _past(folder: Path) -> Path:
    return folder / HIDDEN / "history"


def _before(folder: Path, entry: Entry) -> Path:
    return _past(folder) / f"{entry.number:06}.before"


def _told(folder: Path, path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        place = path.relative_to(folder).as_posix()
        found = error.strerror or "an error while reading"
        raise Faulty([Fault(place, None, None, "", found, "the text kept there")]) from None


def _write_entry(folder: Path, entry: Entry) -> None:
    text = json.dumps(asdict(entry), ensure_ascii=False, indent=1)
    write_whole(_past(folder) / f"{entry.number:06}.json", text.encode())
