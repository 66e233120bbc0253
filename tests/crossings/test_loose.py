"""What is easily forgotten beside the crossings, each with a way to close it."""

from typing import Any

import pytest
from tests.support.small_builds import small_build

from swapwright.crossings.loose import LooseEnd, loose_ends
from swapwright.model.assembly import Assembly

FAN = {"family": "fan", "plug": {"mate": "body loom"}}


def told(assembly: Assembly) -> list[tuple[str, str]]:
    return [(each.id, each.what.text("metric")) for each in loose_ends(assembly)]


def only(assembly: Assembly) -> LooseEnd:
    (each,) = loose_ends(assembly)
    return each


def test_a_plug_whose_mate_nobody_saw() -> None:
    end = only(small_build({}, {"fan": FAN}))
    assert end.kind == "other loom" and end.subject == "motor.fan"
    told = "radiator fan (motor.fan): its other half, on body loom, was not seen yet"
    assert end.what.text("metric") == told
    assert end.close.text("metric").startswith("look on body loom;")


@pytest.mark.parametrize(
    "plug, build",
    [
        ({"mate": "body loom", "mate_seen": "yes"}, {}),
        ({"half": "pin"}, {}),
        ({"mate": "body loom"}, {"joins": {"wire": {"ends": ["car.fan", "motor.fan"]}}}),
        ({"mate": "body loom"}, {"fates": [{"port": "motor.fan", "fate": "parked"}]}),
        ({"mate": "body loom"}, {"fates": [{"port": "motor.fan", "fate": "kept"}]}),
        ({"mate": "body loom"}, {"fates": [{"port": "motor.fan", "fate": "removed"}]}),
    ],
)
def test_a_plug_that_needs_no_looking_for(plug: dict[str, Any], build: dict[str, Any]) -> None:
    ports = {"fan": {"family": "fan", "plug": plug}}
    assert told(small_build({"fan": {"family": "fan"}}, ports, build=build)) == []


def test_plugs_of_the_outgoing_engine_are_no_loose_ends() -> None:
    assert told(small_build({}, {}, {"fan": FAN})) == []
    assert told(small_build({}, {"fan": {**FAN, "there": "no"}})) == []


def test_an_end_that_nobody_identified() -> None:
    end = only(small_build({"stub": {"label": "stub at the bulkhead", "service": "unknown"}}))
    assert end.what.text("metric") == "stub at the bulkhead: not known what it carries"
    assert end.close.text("metric").endswith("then swapwright identify car.stub")
    assert told(small_build({}, {}, {"stub": {"service": "unknown"}})) == []


def old_with_brace(*functions: str) -> dict[str, Any]:
    brace = {"label": "plenum brace", "kind": "bracket", "functions": list(functions)}
    return {
        "old": {
            "format": 1,
            "kind": "engine",
            "id": "old",
            "formerly": ["pushrod"],
            "parts": {"brace": brace},
        }
    }


def test_second_functions_of_what_leaves() -> None:
    assembly = small_build(others=old_with_brace("lift eye", "vacuum tree"))
    assert told(assembly) == [
        (
            "second function/old.brace.lift eye",
            "plenum brace also serves as lift eye; nothing takes that over yet",
        ),
        (
            "second function/old.brace.vacuum tree",
            "plenum brace also serves as vacuum tree; nothing takes that over yet",
        ),
    ]
    assert told(small_build(others=old_with_brace("lift eye"))) == []


@pytest.mark.parametrize(
    "place, left", [("moved to the new head", 1), ("nothing needs it", 1), ("unknown", 2)]
)
@pytest.mark.parametrize("name", ["old.brace.lift eye", "pushrod.brace.lift eye"])
def test_a_function_with_a_place_is_settled(place: str, left: int, name: str) -> None:
    others = old_with_brace("lift eye", "vacuum tree")
    assert len(told(small_build(build={"functions": {name: place}}, others=others))) == left


def test_a_part_that_stays_keeps_its_functions_until_a_step_takes_it() -> None:
    others = {
        "car": {
            "format": 1, "kind": "vehicle", "id": "car",
            "parts": {"brace": {"label": "brace", "functions": ["lift eye", "clip"]}},
        }
    }  # fmt: skip
    assert told(small_build(others=others)) == []
    step = {"steps": {"cut-it": {"does": "cut", "what": ["car.brace"]}}}
    assert len(told(small_build(build=step, others=others))) == 2


@pytest.mark.parametrize(
    "state, words, close",
    [
        ("lost", "washer is lost", "order it"),
        ("reused", "washer was used before", "order it"),
        ("unknown", "washer was not looked for yet", "look for it"),
        ("have", "", ""), ("ordered", "", ""), ("renewed", "", ""),
    ],
)  # fmt: skip
def test_small_parts(state: str, words: str, close: str) -> None:
    hot = {"hot": {"family": "hot"}}
    join = {"label": "top hose", "ends": ["car.hot", "motor.hot"], "small": {"washer": state}}
    ends = loose_ends(small_build(hot, hot, build={"joins": {"top": join}}))
    assert [each.what.text("metric") for each in ends] == ([f"top hose: {words}"] if words else [])
    assert all(each.close.text("metric").startswith(close) for each in ends)


def test_what_came_broken_or_short() -> None:
    stock = {
        "coil": {"label": "coil pack", "state": "damaged"},
        "hose": {"label": "feed hose", "state": "here", "missing": ["clip"]},
        "pump": {"state": "here"},
    }
    assert told(small_build(build={"stock": stock})) == [
        ("broken part/coil", "coil pack arrived damaged"),
        ("broken part/hose.clip", "feed hose came without its clip"),
    ]


def test_every_loose_end_says_how_to_close_it_and_has_its_own_id() -> None:
    build = {
        "stock": {"coil": {"state": "damaged", "missing": ["bolt"]}},
        "joins": {"top": {"ends": ["car.hot", "motor.hot"], "small": {"a": "lost", "b": "lost"}}},
    }
    hot = {"hot": {"family": "hot"}}
    ends = loose_ends(
        small_build(hot, {**hot, "fan": FAN, "x": {"service": "unknown"}}, build=build)
    )
    assert len({each.id for each in ends}) == len(ends) == 6
    assert all(each.close.text("metric") for each in ends)


@pytest.mark.parametrize(("second", "told"), [("1480 kg", True), ("1012 kg", False)])
@pytest.mark.parametrize("in_sheet", [True, False])
def test_readings_that_cannot_both_be_right_are_told(
    second: str, told: bool, in_sheet: bool
) -> None:
    texts = ["1000 kg", second]
    facts = {"kerb_mass": {"readings": texts}} if in_sheet else {}
    car = {"format": 1, "kind": "vehicle", "id": "car", "label": "little car", "facts": facts}
    readings = [] if in_sheet else [{"of": "car.kerb_mass", "value": text} for text in texts]
    found = loose_ends(small_build(build={"readings": readings}, others={"car": car}))
    lines = [each.what.text("metric") for each in found if each.kind == "far apart"]
    assert len(lines) == told
    assert all("car.kerb_mass lie far apart, from 1000 kg" in line for line in lines)
    assert all(each.subject == "car" for each in found if each.kind == "far apart")
