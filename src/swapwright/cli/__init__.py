"""The ``swapwright`` command.

Only click is imported here and in the modules of commands; everything else loads inside the
command that needs it, so that ``swapwright --version`` answers at once.
"""

from swapwright.cli import (
    beginning,
    changing,
    circuits,
    ends,
    filling,
    looking,
    papers,
    sweeping,
    warming,
)
from swapwright.cli.calling import main

COMMANDS = (
    beginning,
    looking,
    ends,
    circuits,
    warming,
    sweeping,
    filling,
    changing,
    papers,
)  # importing them adds them to ``main``

__all__ = ["COMMANDS", "main"]
