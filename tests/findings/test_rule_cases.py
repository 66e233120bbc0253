"""Three cases per rule, all from YAML: it trips, it just passes, it lacks a fact and asks."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.support.builds import base_build, merged

from swapwright.findings.book import RULES
from swapwright.findings.run import Finding, findings
from swapwright.library.rulebook import rule_texts
from swapwright.model.words import Stage, Urgency

CASES = sorted((Path(__file__).parent / "cases").glob("*.yaml"))
BY_ID = {rule.id: rule for rule in RULES}
AS_OF = date(2026, 6, 1)


def load(path: Path) -> dict[str, Any]:
    """One case file: about (a subject), given (overlay), trips, passes, lacks (overlays on it)."""
    case = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
    assert isinstance(case, dict)
    return case


def said(case: dict[str, Any], which: str, rule: str) -> list[Finding]:
    assembly = base_build(
        merged(case.get("given") or {}, case[which]), Stage(case.get("stage", "first start"))
    )
    as_of = date.fromisoformat(case.get("as_of", AS_OF.isoformat()))
    return [
        each
        for each in findings(assembly, [BY_ID[rule]], as_of)
        if each.subjects[0] == case["about"]
    ]


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_rule_trips(path: Path) -> None:
    case = load(path)
    found = said(case, "trips", path.stem)
    assert len(found) == 1 and found[0].urgency is not Urgency.ASK, found
    assert found[0].urgency == case.get("urgency", rule_texts()[path.stem].most_urgent)
    assert "{" not in found[0].message.text("metric")
    assert found[0].message.text("us")


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_rule_just_passes(path: Path) -> None:
    assert said(load(path), "passes", path.stem) == []


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_rule_asks_when_it_lacks_a_fact(path: Path) -> None:
    found = said(load(path), "lacks", path.stem)
    assert [each.urgency for each in found] == [Urgency.ASK]
    assert found[0].asks is not None and found[0].asks.ask


def test_every_rule_has_its_cases() -> None:
    assert sorted(BY_ID) == [path.stem for path in CASES]


def test_rules_and_their_words_agree() -> None:
    checked_now = {text.id for text in rule_texts().values() if text.needs == "facts"}
    assert checked_now == set(BY_ID)
