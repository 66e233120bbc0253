"""The demo two-seater says what it was made to say, and nothing worse."""

import re
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import Any

import pytest
import yaml
from tests.demos.folders import MUST_SAY, demo_texts

from swapwright.assess import Assessment, assess_documents
from swapwright.crossings.identify import identify
from swapwright.crossings.red import red_line_digest
from swapwright.findings.run import Finding
from swapwright.model.documents import read_documents
from swapwright.model.families import families
from swapwright.model.values import Value
from swapwright.model.words import FateWord, Stage, Urgency
from swapwright.quantity import Money

NAME = "two-seater"
AS_OF = date(2026, 6, 10)  # before the stand-in's last day
LINES: list[dict[str, str]] = yaml.load(MUST_SAY[NAME].read_text("utf-8"), yaml.BaseLoader)
COOLER = ("sirrow.oil-exchanger", "sirrow.oxw-o", "sirrow.oxw-i", "sirrow.ocl-o", "sirrow.ocl-i")


def assessed(
    texts: Mapping[str, str],
    stage: Stage = Stage.FIRST_START,
    as_it_stands: bool = False,
    as_of: date = AS_OF,
) -> Assessment:
    documents = read_documents((name, text.encode()) for name, text in texts.items())
    return assess_documents(documents, as_of, stage, as_it_stands)


@cache
def shipped(stage: Stage = Stage.FIRST_START, as_it_stands: bool = False) -> Assessment:
    return assessed(demo_texts(NAME), stage, as_it_stands)


def changed(name: str, old: str, new: str) -> dict[str, str]:
    """The documents with one text replaced in one of them."""
    texts = dict(demo_texts(NAME))
    assert texts[name].count(old) == 1
    texts[name] = texts[name].replace(old, new)
    return texts


def said(assessment: Assessment, rule: str, about: str) -> Finding | None:
    return next((each for each in assessment.findings if each.id == f"{rule}/{about}"), None)


def told(assessment: Assessment, urgency: Urgency) -> set[str]:
    return {each.id for each in assessment.findings if each.urgency is urgency}


# -- what must be said -----------------------------------------------------------


def test_it_loads_without_a_fault() -> None:
    documents = read_documents((n, t.encode()) for n, t in demo_texts(NAME).items())
    assert not documents.faults
    kinds = sorted(str(each.kind) for each in documents.by_id.values())
    assert kinds == ["build", "catalogue", "engine", "engine", "gearbox", "part", "part", "vehicle"]


@pytest.mark.parametrize("line", LINES, ids=lambda line: f"{line['rule']}/{line['about']}")
def test_each_line_is_said(line: dict[str, str]) -> None:
    finding = said(shipped(), line["rule"], line["about"])
    assert finding is not None
    assert finding.urgency == line["urgency"]


@pytest.mark.parametrize("line", LINES, ids=lambda line: f"{line['rule']}/{line['about']}")
def test_each_line_rests_on_what_the_builder_states(line: dict[str, str]) -> None:
    head = demo_texts(NAME)["build.yaml"].partition("\nformat:")[0]
    scenario = re.sub(r"\s*\n#\s*", " ", head)
    assert line["quote"].casefold() in scenario.casefold()


@pytest.mark.parametrize("stage", Stage)
def test_no_other_stop(stage: Stage) -> None:
    wanted = {f"{each['rule']}/{each['about']}" for each in LINES if each["urgency"] == "stop"}
    assert told(shipped(stage), Urgency.STOP) == wanted


def test_nothing_is_said_beyond_the_lines() -> None:
    """But for single readings: one line stands for the many lengths that were measured once."""
    spoken = {each.id for each in shipped().findings if each.urgency is not Urgency.ASK}
    lines = {f"{each['rule']}/{each['about']}" for each in LINES}
    assert {each for each in spoken - lines if not each.startswith("wk-dim/")} == set()


# -- the cooler that is parked -----------------------------------------------------


@pytest.mark.parametrize("stage", Stage)
def test_parked_cooler_raises_nothing(stage: Stage) -> None:
    assessment = shipped(stage)
    assert all(assessment.assembly.fate(end) is FateWord.PARKED for end in COOLER[1:])
    about = {subject for each in assessment.findings for subject in each.subjects}
    asked = {each.asks.subject for each in assessment.findings if each.asks is not None}
    loose = {each.subject for each in assessment.loose_ends}
    assert not (about | asked | loose) & set(COOLER)


def test_cooler_speaks_once_an_end_is_left_open() -> None:
    old = "port: sirrow.oxw-o, fate: parked, until: the engine is known to run cool"
    texts = changed("build.yaml", old, old.replace("parked", "open"))
    rows = {row.id: row for row in assessed(texts).crossings}
    assert rows["sirrow.oxw-o"].is_open
    unsealed = dict(demo_texts(NAME))
    unsealed["build.yaml"] = re.sub(
        r"(port: sirrow\.oxw-o,.*both_ends_sealed: )yes", r"\1no", unsealed["build.yaml"]
    )
    finding = said(assessed(unsealed), "parked-open", "sirrow.oxw-o")
    assert finding is not None and finding.urgency is Urgency.ROAD


# -- states and stages ---------------------------------------------------------------


def test_as_it_stands_counts_only_what_is_fitted() -> None:
    planned, stands = shipped(), shipped(as_it_stands=True)
    fitted = {"bell-joint", "box-mount-joint", "engine-ground", "heater-feed", "pump-lead"}
    assert set(stands.assembly.joined) == fitted
    assert fitted < set(planned.assembly.joined)
    assert said(stands, "stand-in-rating", "feed") is None
    assert said(stands, "el-unfused", "charge") is None
    open_now = sum(row.is_open for row in stands.crossings)
    assert open_now > sum(row.is_open for row in planned.crossings)


def test_stages_differ() -> None:
    start, drive, end = (shipped(stage).assembly for stage in Stage)
    assert "exhaust-yard" in start.joined and "exhaust-final" not in start.joined
    assert "exhaust-final" in drive.joined and "exhaust-yard" not in drive.joined
    assert start.fate("sirrow.tach") is drive.fate("sirrow.tach") is FateWord.PARKED
    assert end.fate("sirrow.tach") is FateWord.JOINED


def test_every_state_of_a_join_occurs() -> None:
    joins = shipped().assembly.build.joins.values()
    assert {str(join.progress) for join in joins} == {"planned", "in hand", "fitted", "proved"}
    assert {str(each.fate) for each in shipped().assembly.build.fates} == {
        "parked", "capped", "kept", "relocated", "removed",
    }  # fmt: skip


def test_stand_in_is_overdue_after_its_last_day() -> None:
    late = assessed(demo_texts(NAME), as_of=date(2026, 7, 1))
    assert said(shipped(), "stand-in-overdue", "feed") is None
    finding = said(late, "stand-in-overdue", "feed")
    assert finding is not None and finding.urgency is Urgency.FIX


# -- what was settled ------------------------------------------------------------------


def test_acceptance_holds() -> None:
    finding = said(shipped(), "mass-power", "sirrow")
    assert finding is not None and finding.accepted is not None and not finding.lapsed


def test_acceptance_lapses_when_its_fact_changes() -> None:
    texts = changed("sirrow.yaml", "kerb_mass_after: 1098 ± 12 kg", "kerb_mass_after: 1080 ± 5 kg")
    finding = said(assessed(texts), "mass-power", "sirrow")
    assert finding is not None and finding.accepted is None and finding.lapsed


def test_proved_red_line_holds_and_opens_again() -> None:
    line = next(each for each in shipped().red_lines if each.line.id == "RL4")
    assert line.proved and line.proof is not None
    assert line.proof.digest == red_line_digest(shipped().assembly, line.line)
    texts = changed("build.yaml", "through: [pump-lead-25]", "through: [pump-lead-25, signal-lead]")
    line = next(each for each in assessed(texts).red_lines if each.line.id == "RL4")
    assert line.lapsed and not line.proved


def test_other_red_lines_are_open() -> None:
    assert [each.line.id for each in shipped().red_lines if each.proved] == ["RL4"]


# -- what is open, broken, or about to be thrown away ------------------------------------


def test_open_questions() -> None:
    assert set(shipped().open_decisions) == {"oil-filter-bracket", "vapour-canister"}
    assert len(shipped().open_decisions["oil-filter-bracket"].options) == 4
    asked = {each.id for each in shipped().findings if each.urgency is Urgency.ASK}
    assert "evap-purge-open/tellby-20.purge" in asked


def test_broken_part_is_a_loose_end_with_photographs() -> None:
    assembly = shipped().assembly
    assert "broken part/outlet-in-pieces" in {each.id for each in shipped().loose_ends}
    assert assembly.sheets[assembly.stock["outlet-in-pieces"].item].photos


def test_unknown_tube_is_told_and_can_be_identified() -> None:
    assert "unidentified/tellby-20.stub-6" in {each.id for each in shipped().loose_ends}
    seen = shipped().assembly.ports["tellby-20.stub-6"].record.seen
    best = max(identify("small-tube", seen).candidates, key=lambda each: each.chance)
    assert best.id == "vacuum"


@pytest.mark.parametrize(
    ("step", "needed_by"),
    [
        ("discard-body-loom", "sirrow.bayf-f"),
        ("discard-engine-loom", "sirrow.main"),
        ("cut-line-bracket", "sirrow.line-bracket.ground point of the tail lamps"),
        ("sell-pallet", "heater-return"),
    ],
)
def test_steps_that_would_be_regretted(step: str, needed_by: str) -> None:
    needs = {need.subject for each in shipped().regrets if each.step == step for need in each.needs}
    assert needed_by in needs


def test_lapsed_need_ends_the_regret() -> None:
    old = "  sirrow.line-bracket.vapour hose clip: none"
    new = old + "\n  sirrow.line-bracket.ground point of the tail lamps: a stud on the rail"
    regretted = {each.step for each in assessed(changed("build.yaml", old, new)).regrets}
    assert "cut-line-bracket" not in regretted


# -- the documents themselves --------------------------------------------------------------


def test_every_kind_of_port_is_answered_on_the_car_and_engine() -> None:
    answered: dict[str, set[str]] = {"sirrow": set(), "tellby-20": set()}
    there = 0
    for port in shipped().assembly.ports.values():
        if port.sheet in answered and port.family is not None:
            answered[port.sheet].add(port.family.id)
            there += port.there == "yes"
            assert port.there == "yes" or port.record.why
    assert answered["sirrow"] == set(families())
    engine_halves = {each.id for each in families().values() if each.newcomer_half == "engine"}
    assert answered["tellby-20"] >= engine_halves
    assert there >= 90


def test_prices_are_in_pounds() -> None:
    assembly = shipped().assembly
    prices = [item.price for item in assembly.items.values()]
    prices += [stock.price for stock in assembly.stock.values() if stock.price.known]
    assert len(prices) > 30 and {currency(price) for price in prices} == {"GBP"}
    assert assembly.build.currency == "GBP"


def currency(price: Value) -> Any:
    assert isinstance(price.content, Money)
    return price.content.currency


def test_readings_of_one_thing_are_combined() -> None:
    assembly = shipped().assembly
    route = assembly.fact("throttle", "route_length")
    assert route.count == 3 and route.scatter is not None
    end = assembly.ports["sirrow.hot"].end
    assert end is not None and end.dim("barrel").count == 3
