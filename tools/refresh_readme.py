"""Puts the real output of each command into the README's console blocks.

``--check`` writes nothing and fails when a block differs.
"""

import re
import shlex
import sys
import tempfile
from contextlib import chdir
from pathlib import Path

from click.testing import CliRunner

from swapwright.cli import main
from swapwright.library.demos import copy_demo

README = Path(__file__).parent.parent / "README.md"
BLOCK = re.compile(
    r"^```console\n\$ swapwright (?P<command>[^\n]*)\n(?P<shown>.*?)^```$", re.M | re.S
)


def refreshed(text: str) -> str:
    """The README with every console block as the commands print it now, run in order."""
    with tempfile.TemporaryDirectory() as holder:
        folder = Path(holder) / "demo-build"
        copy_demo("van", folder)
        with chdir(folder):
            return BLOCK.sub(_run, text)


def _run(block: re.Match[str]) -> str:
    result = CliRunner().invoke(main, shlex.split(block["command"]), prog_name="swapwright")
    if result.exit_code not in (0, 1):
        raise SystemExit(f"{block['command']}: {result.output}")
    return f"```console\n$ swapwright {block['command']}\n{result.output.rstrip()}\n```"


if __name__ == "__main__":
    before = README.read_text("utf-8")
    after = refreshed(before)
    if "--check" in sys.argv and before != after:
        raise SystemExit("README.md: a console block differs; run python tools/refresh_readme.py")
    README.write_text(after, encoding="utf-8", newline="\n")
