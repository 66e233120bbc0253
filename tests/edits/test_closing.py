"""Closing crossings, decisions and red lines."""

from pathlib import Path
from typing import Any

import pytest
from tests.edits.support import BUILD, DAY, TEXTS, folder_with, text_of

from swapwright.assess import assess_folder
from swapwright.edits import close, set_value, undo
from swapwright.model.faults import Faulty
from swapwright.model.words import FateWord


def test_joining_two_ports_closes_both(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = close(
        folder, "four.hot", "joined", to="haywain.hot", through=("heater-hose",),
        reason="it fits", as_of=DAY,
    )  # fmt: skip
    assert told.what == "four.hot: joined to haywain.hot as hot through heater-hose"
    assert set(told.crossings_closed) == {"four.hot", "haywain.hot"}
    join = "  hot:\n    ends: [four.hot, haywain.hot]\n"
    join += "    through: [heater-hose]\n    reason: it fits\n"
    assert join + "fates:\n" in text_of(folder, "build.yaml")
    assert text_of(folder, "build.yaml").replace(join, "") == BUILD


def test_join_gets_a_name_that_nothing_has(tmp_path: Path) -> None:
    build = BUILD.replace("  heater-return:\n", "  hot:\n")
    folder = folder_with(tmp_path, build=build)
    told = close(folder, "haywain.hot", "joined", to="four.hot", as_of=DAY)
    assert told.what.endswith("as hot-2")
    assert assess_folder(folder, DAY).assembly.joins["hot-2"].ends[0].id == "haywain.hot"


@pytest.mark.parametrize(
    ("fate", "details", "line"),
    [
        ("capped", {"reason": "not used"}, "{port: haywain.tach, fate: capped, reason: not used}"),
        ("parked", {"until": "the dash is in"},
         "{port: haywain.tach, fate: parked, until: the dash is in}"),
        ("kept", {"start": "finished"}, "{port: haywain.tach, fate: kept, from: finished}"),
        ("relocated", {"to": "left, by the pedals"},
         '{port: haywain.tach, fate: relocated, to: "left, by the pedals"}'),
        ("removed", {"evidence": "photo 7"},
         "{port: haywain.tach, fate: removed, evidence: photo 7}"),
    ],
)  # fmt: skip
def test_fates(tmp_path: Path, fate: str, details: dict[str, Any], line: str) -> None:
    folder = folder_with(tmp_path)
    told = close(folder, "haywain.tach", fate, as_of=DAY, **details)
    text = text_of(folder, "build.yaml")
    assert f"  - {line}\n  # nothing else so far\n" in text
    assert text.replace(f"  - {line}\n", "") == BUILD
    at_start = details.get("start") is None
    assert told.crossings_closed == (("haywain.tach",) if at_start else ())


def test_new_fate_takes_the_place_of_the_old_one(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = close(folder, "four.tach", "capped", reason="no gauge at all", as_of=DAY)
    assert told.what == "four.tach: parked -> capped"
    line = "{port: four.tach, fate: capped, reason: no gauge at all, facts: {signal_voltage: 5 V}}"
    assert f"fates:\n  - {line}\n  # nothing" in text_of(folder, "build.yaml")


REMARKED = """\
fates:
  - port: four.tach   # the big plug
    fate: parked
    # it lies behind the dash
    until: a gauge is found   # ask on Saturday
    reason: no gauge yet
"""


def test_new_fate_keeps_the_remarks_on_the_old_one(tmp_path: Path) -> None:
    """Only the lines of what changes are touched."""
    begin, end = BUILD.index("fates:"), BUILD.index("decisions:")
    folder = folder_with(tmp_path, build=BUILD[:begin] + REMARKED + BUILD[end:])
    told = close(folder, "four.tach", "parked", until="June", as_of=DAY)
    assert list(told.lines()) == [
        "-    until: a gauge is found   # ask on Saturday",
        "+    until: June   # ask on Saturday",
    ]
    told = close(folder, "four.tach", "capped", as_of=DAY)
    kept = ["four.tach   # the big plug", "# it lies behind the dash"]
    assert all(remark in told.after for remark in kept) and "June" not in told.after


def test_fate_of_a_later_stage_stands_beside_the_first(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    close(folder, "four.tach", "removed", start="finished", as_of=DAY)
    build = assess_folder(folder, DAY).assembly.build
    assert [(each.fate, str(each.start)) for each in build.fates] == [
        (FateWord.PARKED, "first start"), (FateWord.REMOVED, "finished"),
    ]  # fmt: skip


def test_joining_takes_away_the_fate_from_the_same_stage(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    close(folder, "haywain.tach", "capped", as_of=DAY)
    told = close(folder, "haywain.tach", "joined", to="four.tach", as_of=DAY)
    assert "four.tach was parked from first start; that is gone" in told.notes
    assembly = assess_folder(folder, DAY).assembly
    assert assembly.build.fates == () and assembly.fate("four.tach") is FateWord.JOINED
    undo(folder)
    undo(folder)
    assert text_of(folder, "build.yaml") == BUILD


def test_join_is_dropped_only_when_said_and_only_planned(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    with pytest.raises(Faulty, match="join heater-return of it"):
        close(folder, "haywain.hret", "capped", as_of=DAY)
    told = close(folder, "haywain.hret", "capped", instead=True, as_of=DAY)
    assert told.crossings_opened == ("four.hret",)
    assert "heater-return" not in text_of(folder, "build.yaml")
    assert "  # heater, both ways\n  heater-supply:\n" in text_of(folder, "build.yaml")
    set_value(folder, "heater-supply.progress", "fitted", as_of=DAY)
    with pytest.raises(Faulty, match="which is fitted"):
        close(folder, "haywain.hsup", "capped", instead=True, as_of=DAY)


def test_decision(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = close(folder, "heater-tap", "ported", reason="less flow", on="2026-05-20", as_of=DAY)
    assert told.what == "heater-tap: chosen unknown -> ported"
    assessment = assess_folder(folder, DAY)
    assert assessment.open_decisions == {}
    assert assessment.assembly.build.decisions["heater-tap"].reason == "less flow"


def test_red_line_holds_until_a_join_of_it_changes(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = close(
        folder, "RL1", "proved", proof="held 10 minutes", on="2026-05-20", by="me", as_of=DAY
    )
    assert told.what == "RL1: proved 2026-05-20 (held 10 minutes)"

    def proved() -> bool:
        states = assess_folder(folder, DAY).red_lines
        return next(each for each in states if each.line.id == "RL1").proved

    assert proved()
    set_value(folder, "feed.through", "heater-hose", as_of=DAY)
    assert not proved()


REFUSED: list[tuple[str, str, dict[str, Any], str]] = [
    ("haywain.hto", "capped", {}, "nearest known: haywain.hot"),
    ("haywain.hot", "caped", {}, "nearest known: capped"),
    ("haywain.hot", "joined", {}, "the port that it is joined to"),
    ("haywain.hot", "joined", {"to": "four.hott"}, "nearest known: four.hot"),
    ("haywain.hot", "joined", {"to": "haywain.hot"}, "one port twice"),
    ("haywain.hot", "joined", {"to": "haywain.fair.x"}, "a port as sheet.port"),
    ("haywain.hsup", "joined", {"to": "four.hsup"}, "joined to it by heater-supply"),
    ("haywain.hot", "joined", {"to": "four.hsup"}, "joined twice"),
    ("haywain.hot", "joined", {"to": "four.hot", "through": ("hoze",)}, "an item of a catalogue"),
    ("haywain.tach", "relocated", {}, "where it goes"),
    ("haywain.tach", "capped", {"until": "autumn"}, "until beside capped"),
    ("haywain.tach", "capped", {"through": ("heater-hose",)}, "through beside capped"),
    ("haywain.tach", "capped", {"start": "first strat"}, "nearest known: first start"),
    ("heater-tap", "kep", {}, "nearest known: keep"),
    ("heater-tap", "keep", {"on": "20 May"}, "a date as year-month-day"),
    ("RL1", "proved", {"on": "2026-05-20"}, "no proof"),
    ("RL1", "proved", {"proof": "seen"}, "no on"),
    ("RL1", "capped", {}, "cleared by a proof only"),
    ("RL7", "proved", {"proof": "seen", "on": "2026-05-20"}, "without a port in this build"),
    ("heater-supply", "capped", {}, "a port as sheet.port, a decision or a red line"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "fate", "details", "said"), REFUSED)
def test_refusal_says_why_and_changes_nothing(
    tmp_path: Path, what: str, fate: str, details: dict[str, Any], said: str
) -> None:
    folder = folder_with(tmp_path)
    with pytest.raises(Faulty) as refused:
        close(folder, what, fate, as_of=DAY, **details)
    assert said in str(refused.value)
    assert {name: text_of(folder, name) for name in TEXTS} == TEXTS


def test_the_same_fate_again_tells_what_changed(tmp_path: Path) -> None:
    told = close(folder_with(tmp_path), "four.tach", "parked", until="next winter", as_of=DAY)
    assert told.what == "four.tach: parked, until not said -> next winter"
