"""Red lines: which concern a build, and what opens them again."""

from typing import Any

import pytest
from tests.support.builds import merged
from tests.support.small_builds import small_build

from swapwright.crossings.red import RedLineState, red_line_digest, red_line_states
from swapwright.library.risks import red_lines
from swapwright.model.assembly import Assembly
from swapwright.model.words import Stage

PORTS = {"feed": {"family": "feed"}, "fret": {"family": "fret"}}
JOIN: dict[str, Any] = {
    "ends": ["car.feed", "motor.feed"],
    "small": {"clamp": "have"},
    "progress": "planned",
}
BUILD: dict[str, Any] = {
    "joins": {"line": JOIN},
    "fates": [{"port": "motor.fret", "fate": "capped", "reason": "no return line yet"}],
}
ITEMS = {
    "shelf": {
        "format": 1, "kind": "catalogue", "id": "shelf",
        "items": {"hose-a": {"kind": "hose"}, "hose-b": {"kind": "hose"}},
    }
}  # fmt: skip


def build(change: dict[str, Any] | None = None, **more: Any) -> Assembly:
    return small_build(PORTS, PORTS, build=merged(BUILD, change or {}), others=ITEMS, **more)


def proved_before(change: dict[str, Any]) -> RedLineState:
    """RL1 proved on the build as it was; its state on the build with a change."""
    digest = red_line_digest(build(), red_lines()["RL1"])
    proof = {"red_lines": {"RL1": {"proved": "2026-05-20", "digest": digest}}}
    return next(s for s in red_line_states(build(merged(proof, change))) if s.line.id == "RL1")


def test_a_line_is_open_until_it_is_proved() -> None:
    state = next(each for each in red_line_states(build()) if each.line.id == "RL1")
    assert not state.proved and not state.lapsed and state.proof is None
    assert proved_before({}).proved


def test_only_lines_with_a_port_concern_a_build_and_those_that_always_do() -> None:
    concerned = {state.line.id for state in red_line_states(build())}
    assert concerned == {"RL1", "RL2", "RL6"}  # RL6: brakes and steering, always


def test_a_port_that_is_not_there_does_not_count() -> None:
    gone = {"feed": {"family": "feed", "there": "no"}}
    states = red_line_states(small_build(gone, {"feed": {"family": "feed"}}))
    assert next(s for s in states if s.line.id == "RL1").ports == ("motor.feed",)


@pytest.mark.parametrize(
    "change",
    [
        {"joins": {"line": {"through": ["hose-a"]}}},
        {"joins": {"line": {"small": {"clamp": "renewed"}}}},
        {"joins": {"line": {"small": {"second clamp": "have"}}}},
        {"joins": {"line": {"stand_in": {"item": "hose-b"}}}},
        {"joins": {"line": {"ends": ["car.feed", "motor.fret"]}}, "fates": []},
        {"joins": {"line": {"from": "first drive"}}},
        {"joins": {"line": {"to": "first drive"}}},
    ],
)  # fmt: skip
def test_a_changed_join_opens_it_again(change: dict[str, Any]) -> None:
    state = proved_before(change)
    assert state.lapsed and not state.proved


def test_a_join_that_concerns_other_lines_leaves_it_proved() -> None:
    """The return line is RL2's; RL1 is about the feed."""
    more = {"joins": {"more": {"ends": ["car.fret", "motor.fret"]}}, "fates": []}
    assert proved_before(more).proved


@pytest.mark.parametrize("fate", ["parked", "removed", "kept"])
def test_a_changed_fate_opens_the_line_it_concerns(fate: str) -> None:
    digest = red_line_digest(build(), red_lines()["RL2"])
    change = {
        "red_lines": {"RL2": {"proved": "2026-05-20", "digest": digest}},
        "fates": [{"port": "motor.fret", "fate": fate}],
    }
    state = next(s for s in red_line_states(build(change)) if s.line.id == "RL2")
    assert state.lapsed


@pytest.mark.parametrize(
    "change",
    [
        {"joins": {"line": {"progress": "in hand"}}},
        {"joins": {"line": {"progress": "fitted"}}},
        {"joins": {"line": {"progress": "proved", "proof": {"test": "hold", "on": "2026-05-20"}}}},
        {"joins": {"line": {"label": "fuel line", "reason": "new", "note": "x", "price": "9 EUR"}}},
        {"joins": {"line": {"ends": ["motor.feed", "car.feed"]}}},
        {"joins": {"line": {"photos": ["car-06"], "hours": "1", "facts": {"route_length": "1 m"}}}},
        {"fates": [{"port": "motor.fret", "fate": "capped", "reason": "other", "done": "yes"}]},
        {"gates": {"before it is pulled": "2026-05-21"}},
    ],
)  # fmt: skip
def test_progress_proof_and_words_leave_it_proved(change: dict[str, Any]) -> None:
    assert proved_before(change).proved


@pytest.mark.parametrize("stage", list(Stage))
def test_a_proof_holds_at_every_stage_and_as_it_stands(stage: Stage) -> None:
    later = {
        "fates": [*BUILD["fates"], {"port": "motor.fret", "fate": "removed", "from": "finished"}]
    }
    digest = red_line_digest(build(later), red_lines()["RL2"])
    proof = {"red_lines": {"RL2": {"proved": "2026-05-20", "digest": digest}}}
    for stands in (False, True):
        assembly = build(merged(later, proof), stage=stage, as_it_stands=stands)
        assert next(s for s in red_line_states(assembly) if s.line.id == "RL2").proved


def test_a_proof_without_a_digest_does_not_count() -> None:
    assembly = build({"red_lines": {"RL1": {"proved": "2026-05-20"}}})
    state = next(each for each in red_line_states(assembly) if each.line.id == "RL1")
    assert not state.proved and state.lapsed
