"""The documents say what is true: real output, a Python example that runs, lists as shipped."""

import re
import subprocess
import sys
from pathlib import Path

import pytest
from tools.make_docs import PAGES
from tools.refresh_readme import README, refreshed

from swapwright.library.demos import copy_demo

ROOT = README.parent
LINK = re.compile(r"\]\((?!https?:)([^)#]+)")
PYTHON = re.compile(r"^```python\n(.*?)^```$", re.MULTILINE | re.DOTALL)
DOCUMENTS = [*ROOT.glob("*.md"), *ROOT.glob("docs/*.md")]


@pytest.mark.slow
def test_readme_shows_what_the_commands_print() -> None:
    text = README.read_text("utf-8")
    assert refreshed(text) == text, "run python tools/refresh_readme.py"


def test_readme_example_runs(tmp_path: Path) -> None:
    copy_demo("van", tmp_path / "demo-build")
    example = PYTHON.search(README.read_text("utf-8"))
    assert example is not None
    done = subprocess.run(
        [sys.executable, "-c", example[1]], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    promised = re.search(r"^prints `([^`]+)`\.$", README.read_text("utf-8"), re.MULTILINE)
    assert promised is not None and done.stdout.strip() == promised[1]


@pytest.mark.parametrize("name", PAGES)
def test_lists_are_those_that_ship(name: str) -> None:
    assert (ROOT / "docs" / name).read_text("utf-8") == PAGES[name](), "run tools/make_docs.py"


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: path.name)
def test_links_lead_somewhere(path: Path) -> None:
    for target in LINK.findall(path.read_text("utf-8")):
        assert (path.parent / target).exists(), f"{path.name}: {target}"
