"""Rules follow former ids of sheets and of what stands on them, as all else does."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings.book import RULES
from swapwright.findings.run import Finding, judge

SPARE = {
    "format": "1", "kind": "part", "id": "spare", "formerly": ["bit"],
    "parts": {"pipe": {"formerly": ["tube"], "functions": ["clip of the loom", "shield"]}},
}  # fmt: skip
NAMES = ("spare.pipe", "spare.tube", "bit.pipe", "bit.tube")


def of_rule(rule: str, build: dict[str, Any]) -> list[Finding]:
    assembly = base_build({"spare": SPARE, "build": {"shelf": ["spare"], **build}})
    rules = [each for each in RULES if each.id == rule]
    return [*judge(assembly, rules, date(2026, 6, 1)).findings]


@pytest.mark.parametrize("name", NAMES)
def test_stand_in_under_a_former_id(name: str) -> None:
    join = {"ends": ["motor.feed", "car.feed"], "stand_in": {"item": name}}
    (asked,) = of_rule("stand-in-rating", {"joins": {"it": join}})
    assert asked.asks is not None and asked.asks.subject == "spare.pipe"


@pytest.mark.parametrize("name", NAMES)
def test_functions_of_what_goes_under_a_former_id(name: str) -> None:
    steps = {"sell-it": {"does": "sell", "what": [name], "done": "yes"}}
    placed = {f"{name}.clip of the loom": "the new bracket"}
    (lost,) = of_rule("part-function-lost", {"steps": steps, "functions": placed})
    assert lost.message.values["functions"] == ("shield",)
