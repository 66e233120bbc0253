"""What an edit did, in words and as data."""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import unified_diff

from swapwright.findings.run import Finding
from swapwright.model.faults import Fault


@dataclass(frozen=True)
class Told:
    """One edit, done."""

    what: str  # "heater-supply: progress planned -> fitted"
    file: str  # relative to the build folder
    before: str  # text of that document
    after: str
    notes: tuple[str, ...] = ()
    mended: tuple[Fault, ...] = ()  # faults that are there no more
    assessed: bool = False  # False: the folder has faults, so findings cannot be told
    findings_gone: tuple[Finding, ...] = ()
    findings_new: tuple[Finding, ...] = ()
    crossings_closed: tuple[str, ...] = ()  # ids
    crossings_opened: tuple[str, ...] = ()

    @property
    def changed(self) -> bool:
        """False when the document already said so; nothing was written then."""
        return self.before != self.after

    def lines(self) -> Iterator[str]:
        """Removed and added lines of the document, each with its sign."""
        old, new = self.before.splitlines(), self.after.splitlines()
        for line in unified_diff(old, new, n=0, lineterm=""):
            if line[:1] in "+-" and line[:3] not in ("+++", "---"):
                yield line
