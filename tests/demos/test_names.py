"""The program knows no demo: nothing that is called so in one may occur in its code."""

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.demos.folders import MUST_SAY, demo_texts

import swapwright
from swapwright.library.catalogue import starter_items
from swapwright.library.demos import demos, first_demo
from swapwright.library.jobs import jobs
from swapwright.library.risks import red_lines
from swapwright.library.rulebook import rule_texts
from swapwright.model.families import families

PACKAGE = Path(swapwright.__file__).parent
NAMED = ("joins", "decisions", "steps", "stock", "jobs", "items")  # what bears ids beside documents
# Ids that the program's own tables bear too; what is shorter than four letters means many things.
SHARED = {*families(), *jobs(), *red_lines(), *rule_texts(), *starter_items()}
SHORTEST = 4
PROPER = re.compile(r"\b[A-Z][a-zà-ÿ]{3,}\b")
DEMOS = [name for name in demos() if demo_texts(name)]


@cache
def code() -> dict[str, str]:
    return {
        path.relative_to(PACKAGE).as_posix(): path.read_text("utf-8")
        for path in PACKAGE.rglob("*.py")
    }


def trees(name: str) -> list[dict[str, Any]]:
    return [yaml.load(text, yaml.BaseLoader) for text in demo_texts(name).values()]


def ids(name: str) -> set[str]:
    """Ids of documents, joins, stock and the like; a plain word is nobody's name."""
    found = {str(tree["id"]) for tree in trees(name)}
    for tree in trees(name):
        for key in NAMED:
            found |= set(tree.get(key) or {})
    return {each for each in found - SHARED - plain_words() if len(each) >= SHORTEST}


def labels(tree: Any) -> list[str]:
    if isinstance(tree, list):
        return [label for each in tree for label in labels(each)]
    if not isinstance(tree, dict):
        return []
    own = [tree["label"]] if isinstance(tree.get("label"), str) else []
    return own + [label for each in tree.values() for label in labels(each)]


@cache
def plain_words() -> frozenset[str]:
    """Words that the program's own data write small."""
    texts = [
        path.read_text("utf-8")
        for pattern in ("**/*.yaml", "**/*.csv")
        for path in PACKAGE.glob(pattern)
        if "demos" not in path.parts
    ]
    return frozenset(re.findall(r"\b[a-zà-ÿ]{4,}\b", "\n".join(texts)))


def proper_names(name: str) -> set[str]:
    """Capital words of labels that are no plain words."""
    found = {
        word for tree in trees(name) for label in labels(tree) for word in PROPER.findall(label)
    }
    return {word for word in found if word.lower() not in plain_words()}


def occurs(word: str, text: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text, re.IGNORECASE) is not None


@pytest.mark.parametrize("name", DEMOS)
def test_no_name_or_id_of_a_demo_is_in_the_code(name: str) -> None:
    words = ids(name) | proper_names(name)
    met = {
        f"{word} in {path}" for word in words for path, text in code().items() if occurs(word, text)
    }
    assert met == set()


def test_names_are_found() -> None:
    assert {"two-seater", "tellby-20", "feed-hose-order", "exhaust-final"} <= ids("two-seater")
    assert {"Aldvane", "Sirrow", "Tellby"} <= proper_names("two-seater")
    assert occurs("feed-hose-order", 'x = "Feed-hose-order"')
    assert not occurs("feed", "feed-hose-order")


def test_every_demo_is_offered_and_has_its_lines() -> None:
    folders = {path.name for path in (PACKAGE / "library" / "demos").iterdir() if path.is_dir()}
    assert folders == set(demos()) == set(MUST_SAY)
    assert first_demo() in folders


FIGURE = re.compile(
    r"\d*\.?\d+(?:\.\d+)? ?(?:mm2?|m|kg|kW|Nm|N·m|L|L/min|L/h|bar|A|Ah|rpm|°C|EUR|GBP)"
)
TELLING = 3  # significant figures from which a number is this demo's own


def figures(tree: Any) -> set[str]:
    """Figures with a unit and at least three significant figures, as written."""
    if isinstance(tree, dict):
        return set().union(*(figures(each) for each in tree.values()))
    if isinstance(tree, list):
        return set().union(*(figures(each) for each in tree))
    found = FIGURE.match(str(tree))
    if found is None or len(re.sub(r"\D", "", found[0].split(" ")[0]).strip("0")) < TELLING:
        return set()
    return {found[0]}


@pytest.mark.parametrize("name", DEMOS)
def test_no_number_of_a_demo_occurs_in_code(name: str) -> None:
    known = set().union(*(figures(tree) for tree in trees(name)))
    assert len(known) > 20
    for path, text in code().items():
        met = sorted(each for each in known if re.search(rf"(?<![\d.]){re.escape(each)}\b", text))
        assert met == [], path
