"""Every recipe of CONTRIBUTING.md, done on a copy of the tree, really works."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
BLOCK = re.compile(
    r"^<!-- (?P<act>new: |add to: |run)(?P<path>[^\n]*?) ?-->\n```\w+\n(?P<text>.*?)^```$",
    re.MULTILINE | re.DOTALL,
)
HEADING = re.compile(r"^## (.+)$", re.MULTILINE)
RECIPES = ("A part", "An end form", "A rule", "A system", "A starter", "A published check")


def recipes() -> dict[str, list[tuple[str, str, str]]]:
    """Blocks (act, path, text) by heading."""
    text = (ROOT / "CONTRIBUTING.md").read_text("utf-8")
    parts = HEADING.split(text)[1:]
    titled = zip(parts[::2], parts[1::2], strict=True)
    return {
        title: [(m["act"].strip(" :"), m["path"].strip(), m["text"]) for m in BLOCK.finditer(body)]
        for title, body in titled
    }


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The tree without what is built."""
    folder = tmp_path_factory.mktemp("recipes") / "tree"
    for name in ("src", "tests", "tools"):
        skip = shutil.ignore_patterns("__pycache__", ".*")
        shutil.copytree(ROOT / name, folder / name, ignore=skip)
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def test_all_recipes_are_there() -> None:
    assert set(RECIPES) <= set(recipes())
    assert all(any(act == "run" for act, _, _ in recipes()[title]) for title in RECIPES)


@pytest.mark.slow
@pytest.mark.parametrize("title", RECIPES)
def test_recipe_works(title: str, copy: Path) -> None:
    for act, path, text in recipes()[title]:
        if act == "run":
            run(copy, text)
            continue
        target = copy / path
        target.parent.mkdir(parents=True, exist_ok=True)
        assert target.exists() is (act == "add to"), f"{act} {path}"
        before = target.read_text("utf-8") if act == "add to" else ""
        target.write_text(before + text, "utf-8")


def run(folder: Path, text: str) -> None:
    """Run a block with the copied sources before all others."""
    places = os.pathsep.join([str(folder / "src"), str(folder)])
    done = subprocess.run(
        [sys.executable, "-c", text],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": places},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
