"""Questions, decisions and year shares of the survey: data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_rows, shipped_tree

FOLDER = ("swapwright.library", "survey")


@dataclass(frozen=True, slots=True)
class Effect:
    """What one answer changes."""

    there: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    perhaps: tuple[str, ...] = ()
    capped: tuple[str, ...] = ()
    on: tuple[str, ...] = ()
    facts: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    decisions: tuple[str, ...] = ()
    jobs: tuple[str, ...] = ()
    lost_halves: tuple[str, ...] = ()
    tell: str = ""


@dataclass(frozen=True, slots=True)
class SurveyQuestion:
    """One question of the first quarter of an hour."""

    name: str
    ask: str
    hint: str
    answers: tuple[str, ...]  # empty for a year or a free text
    sort: str  # choice, year, text
    effects: Mapping[str, tuple[Effect, ...]]  # by answer, or unknown


@cache
def questions() -> Mapping[str, SurveyQuestion]:
    """The questions in the order in which they are asked."""
    return {
        name: _question(name, tree)
        for name, tree in shipped_tree(*FOLDER, "questions.yaml").items()
    }


@cache
def survey_decisions() -> Mapping[str, dict[str, Tree]]:
    """Decisions that answers open, as they go into a build document."""
    return {
        name: tree
        for name, tree in shipped_tree(*FOLDER, "decisions.yaml").items()
        if isinstance(tree, dict)
    }


@cache
def year_shares() -> tuple[tuple[int, Mapping[str, float]], ...]:
    """Rows of (last year, share by family), in the order of years."""
    rows = shipped_rows(*FOLDER, "years.csv")
    return tuple(
        (int(row.pop("up_to")), {family: float(share) for family, share in row.items()})
        for row in rows
    )


def _question(name: str, tree: Tree) -> SurveyQuestion:
    assert isinstance(tree, dict)
    effects = tree.get("effects") or {}
    assert isinstance(effects, dict)
    sort = "year" if tree.get("year") else "text" if tree.get("text") else "choice"
    return SurveyQuestion(
        name,
        str(tree["ask"]),
        str(tree["hint"]),
        _words(tree.get("answers")),
        sort,
        {answer: _effects(name, each) for answer, each in effects.items()},
    )


def _effects(question: str, tree: Tree) -> tuple[Effect, ...]:
    return tuple(_effect(question, each) for each in (tree if isinstance(tree, list) else [tree]))


def _effect(question: str, tree: Tree) -> Effect:
    fields = set(Effect.__dataclass_fields__)
    if not isinstance(tree, dict) or not set(tree) <= fields:  # an unquoted comma makes a key
        raise RuntimeError(f"questions.yaml: {question}: {tree}")
    facts = tree.get("facts") or {}
    assert isinstance(facts, dict)
    return Effect(
        _words(tree.get("there")),
        _words(tree.get("gone")),
        _words(tree.get("perhaps")),
        _words(tree.get("capped")),
        _words(tree.get("on")),
        {
            subject: {name: str(value) for name, value in held.items()}
            for subject, held in facts.items()
            if isinstance(held, dict)
        },
        _words(tree.get("decisions")),
        _words(tree.get("jobs")),
        _words(tree.get("lost_halves")),
        str(tree.get("tell") or ""),
    )


def _words(tree: Tree) -> tuple[str, ...]:
    return tuple(str(word) for word in tree) if isinstance(tree, list) else ()
