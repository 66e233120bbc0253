"""Which question about a canister comes first."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings import vapour
from swapwright.findings.run import Finding, findings
from swapwright.model.words import Urgency

RULES = [each for each in vapour.RULES if each.id == "evap-old-canister"]
YOUNG = {"canister_year": "2024", "canister_dry_mass": "1 kg", "canister_mass": "1.1 kg"}


def of_canister(facts: dict[str, str], **build: Any) -> Finding | None:
    car = {"parts": {"canister": {"facts": facts}}}
    found = findings(base_build({"car": car, "build": build}), RULES, date(2026, 6, 1))
    return found[0] if found else None


def test_young_light_canister_is_asked_for_nothing() -> None:
    assert of_canister(YOUNG) is None


def test_old_canister_is_asked_whether_it_stays() -> None:
    found = of_canister({**YOUNG, "canister_year": "2001"})
    assert found is not None and found.asks is not None
    assert (found.asks.subject, found.asks.name) == ("car.purge", "fate")


def test_canister_of_unknown_age_is_asked_for_its_age_first() -> None:
    found = of_canister({**YOUNG, "canister_year": "unknown"})
    assert found is not None and found.asks is not None
    assert (found.asks.subject, found.asks.name) == ("car.canister", "canister_year")


def with_fates(purge: str, fair: str) -> list[dict[str, str]]:
    return [{"port": "car.purge", "fate": purge}, {"port": "car.fair", "fate": fair}]


@pytest.mark.parametrize("fates", [("kept", "removed"), ("kept", "open"), ("kept", "kept")])
def test_old_canister_is_told_where_it_stays(fates: tuple[str, str]) -> None:
    found = of_canister({**YOUNG, "canister_year": "2001"}, fates=with_fates(*fates))
    assert found is not None and found.urgency is Urgency.NOTE


@pytest.mark.parametrize("facts", [{}, {**YOUNG, "canister_year": "2001"}])
def test_canister_that_goes_is_asked_for_nothing(facts: dict[str, str]) -> None:
    assert of_canister(facts, fates=with_fates("removed", "capped")) is None


def test_old_canister_that_half_goes_is_asked_for_its_other_end() -> None:
    found = of_canister({**YOUNG, "canister_year": "2001"}, fates=with_fates("removed", "open"))
    assert found is not None and found.asks is not None
    assert (found.asks.subject, found.asks.name) == ("car.fair", "fate")
