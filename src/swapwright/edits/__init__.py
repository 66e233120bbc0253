"""Changes to documents without an editor: checked before they are written, and undone."""

from swapwright.edits.closing import close
from swapwright.edits.history import Entry, entries
from swapwright.edits.noting import accept, pass_gate, read
from swapwright.edits.setting import set_value
from swapwright.edits.told import Told
from swapwright.edits.undoing import redo, undo

__all__ = [
    "Entry",
    "Told",
    "accept",
    "close",
    "entries",
    "pass_gate",
    "read",
    "redo",
    "set_value",
    "undo",
]
