"""What an edit did, in words."""

from collections.abc import Iterator
from textwrap import wrap

from swapwright.dossier.sentences import URGENCY_WORDS, what
from swapwright.edits import Told
from swapwright.findings.run import Finding
from swapwright.model.words import Urgency
from swapwright.quantity import System

WIDTH = 80
SHOWN = 6


def told_text(told: Told, units: System) -> str:
    """What ``set``, ``close``, ``read``, ``accept`` and ``undo`` print."""
    return "\n".join(_lines(told, units)) + "\n"


def _lines(told: Told, units: System) -> Iterator[str]:
    yield from wrap(told.what, WIDTH, break_on_hyphens=False)
    for note in told.notes:
        yield from _item(note)
    if not told.changed:
        yield from _item("the document already said so; nothing was written")
    for fault in told.mended:
        yield from _item(f"mended: {fault}")
    yield from _findings("settled", told.findings_gone, units)
    yield from _findings("new", told.findings_new, units)
    for title, ids in (("closed", told.crossings_closed), ("open again", told.crossings_opened)):
        if ids:
            yield from _item(f"{title}: {', '.join(ids)}")
    if not told.assessed:
        yield from _item("not assessed: the folder has faults, see swapwright assess")


def _findings(title: str, findings: tuple[Finding, ...], units: System) -> Iterator[str]:
    for each in findings[:SHOWN]:
        yield from _item(f"{title}: {what(each, units)} ({_weight(each)})")
    if len(findings) > SHOWN:
        yield from _item(f"{title}: {len(findings) - SHOWN} more")


def _item(text: str) -> Iterator[str]:
    yield from wrap(
        text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False
    )


def _weight(finding: Finding) -> str:
    return "a question" if finding.urgency is Urgency.ASK else URGENCY_WORDS[finding.urgency]
