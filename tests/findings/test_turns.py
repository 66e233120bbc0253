"""Turns of rules beyond their three cases: second conditions, and what lets them off."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from tests.support.builds import base_build

from swapwright.findings.book import RULES
from swapwright.findings.run import findings
from swapwright.model.words import Urgency

BY_ID = {rule.id: rule for rule in RULES}
TURNS = yaml.load((Path(__file__).parent / "turns.yaml").read_text("utf-8"), yaml.BaseLoader)


@pytest.mark.parametrize("rule, about, overlay, says", TURNS)
def test_rule_takes_its_turn(rule: str, about: str, overlay: dict[str, Any], says: str) -> None:
    told = findings(base_build(overlay), [BY_ID[rule]], date(2026, 6, 1))
    found = [each for each in told if each.subjects[0] == about]
    if says == "nothing":
        assert found == []
    else:
        assert len(found) == 1
        assert (found[0].urgency is Urgency.ASK) is (says == "asks")
        assert says == "asks" or says in found[0].message.text("metric")
