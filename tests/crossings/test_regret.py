"""Who is told before something goes; every build is read from its YAML text."""

from collections.abc import Mapping
from typing import Any

import pytest
import yaml

from swapwright.crossings.regret import Need, asked_for_by, kept_things, regrets
from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.documents import read_documents
from swapwright.model.families import families
from swapwright.model.values import ValueFault
from swapwright.model.words import FateWord, Gate, Stage

CAR = """
format: 1
kind: vehicle
id: haywain
label: invented van
parts:
  matrix: {label: heater matrix, kind: heater}
ports:
  hot: {family: hot, was: old.hot}
  hsup: {family: hsup, part: matrix}
  feed: {family: feed}
  main: {family: main}
  fair: {family: fair, there: no}
"""
MOTOR = """
format: 1
kind: engine
id: motor
label: invented four
ports:
  hot: {family: hot}
  hsup: {family: hsup}
  feed: {family: feed}
  main: {family: main, plug: {half: pin, on: engine loom, mate: body loom, mate_seen: no}}
  purge: {family: purge}
"""
OLD = """
format: 1
kind: engine
id: old
formerly: [worn]
label: old engine
parts:
  brace: {label: plenum brace, kind: bracket, functions: [lift eye, vacuum tree]}
  cover: {label: thermostat housing, kind: casting}
ports:
  hot: {family: hot}
  spare: {family: drn}
"""
DONOR = """
format: 1
kind: vehicle
id: donor
label: what the engine came in
parts:
  loom: {label: body loom, kind: wiring}
  canister: {label: charcoal can, kind: canister}
ports:
  main: {family: main, part: loom}
  vent: {family: vent, part: canister}
  feed: {family: feed}
"""
BUILD = """
format: 1
kind: build
id: van
recipient: haywain
engine: motor
donor_car: donor
outgoing: [old]
"""
SHELF = """
format: 1
kind: catalogue
id: shelf
items:
  hose-16: {kind: hose}
  line-8: {kind: hose}
"""


def build(
    said: Mapping[str, Any] | None = None, stage: Stage = Stage.FIRST_START, old: str = OLD
) -> Assembly:
    tree = yaml.load(BUILD, yaml.BaseLoader) | dict(said or {})
    texts = {"car": CAR, "motor": MOTOR, "old": old, "donor": DONOR, "shelf": SHELF}
    texts["build"] = yaml.safe_dump(tree, allow_unicode=True)
    named = ((f"{name}.yaml", text.encode()) for name, text in texts.items())
    return assemble(read_documents(named), stage)


def asked(assembly: Assembly, what: str) -> dict[str, Need]:
    return {need.subject: need for need in asked_for_by(assembly, what)}


def words(need: Need) -> str:
    return need.reason.text("metric")


JOIN = {"ends": ["motor.hsup", "haywain.hsup"], "through": ["hose-16"]}


def test_what_nothing_needs_goes_without_a_word() -> None:
    assert asked_for_by(build(), "old.spare") == ()


def test_join_that_ends_on_it_asks() -> None:
    needs = asked(build({"joins": {"heater": JOIN}}), "haywain.hsup")
    assert set(needs) == {"heater"}
    assert words(needs["heater"]) == "join heater ends on heater supply"
    assert needs["heater"].gate is Gate.FIRST_START


def test_join_that_runs_through_it_asks() -> None:
    needs = asked(build({"joins": {"heater": JOIN}}), "hose-16")
    assert words(needs["heater"]) == "join heater runs through hose-16"


def test_part_goes_with_its_ports() -> None:
    assert "heater" in asked(build({"joins": {"heater": JOIN}}), "haywain.matrix")


def test_join_of_a_stage_gone_by_does_not_ask() -> None:
    joins = {"heater": JOIN | {"to": "first start"}}
    assert "heater" in asked(build({"joins": joins}), "hose-16")
    assert "heater" not in asked(build({"joins": joins}, Stage.FINISHED), "hose-16")


def test_open_end_that_was_joined_to_it_asks() -> None:
    needs = asked(build(), "old.hot")
    assert words(needs["haywain.hot"]) == "radiator hot was joined to it and is still open"


def test_end_that_it_was_joined_to_asks_too() -> None:
    # Only haywain.hot says what was joined; motor.hot asks because of its family.
    assert "motor.hot" in asked(build(), "haywain.hot")
    assert "old.hot" not in asked(build(), "haywain.hot"), "what leaves asks for nothing"


@pytest.mark.parametrize(
    "fate, still", [("capped", False), ("removed", False), ("parked", True), ("open", True)]
)
def test_only_ends_without_a_fate_of_their_own_ask(fate: str, still: bool) -> None:
    fates = [{"port": "haywain.hot", "fate": fate, "reason": "chosen"}]
    assert ("haywain.hot" in asked(build({"fates": fates}), "old.hot")) is still


def test_joined_end_does_not_ask() -> None:
    joins = {"top": {"ends": ["motor.hot", "haywain.hot"]}}
    assert "haywain.hot" not in asked(build({"joins": joins}), "old.hot")


def test_half_of_its_family_asks_and_is_told_apart_from_its_like() -> None:
    needs = asked(build(), "donor.feed")
    assert "this is the half it looks for" in words(needs["motor.feed"])
    assert "compare first" in words(needs["haywain.feed"])
    assert needs["motor.feed"].gate is families()["feed"].needed_by


def test_donor_car_gives_and_does_not_ask() -> None:
    assert "donor.feed" not in asked(build(), "motor.feed")


def test_end_that_is_not_there_does_not_ask() -> None:
    assert "haywain.fair" not in asked(build(), "donor.canister")


def test_function_without_a_new_place_asks() -> None:
    needs = asked(build(), "old.brace")
    assert words(needs["old.brace.lift eye"]) == "lift eye has no new place yet"
    assert "old.brace.vacuum tree" in needs
    placed = {"old.brace.lift eye": "moved to the new head", "old.brace.vacuum tree": "unknown"}
    left = asked(build({"functions": placed}), "old.brace")
    assert "old.brace.lift eye" not in left and "old.brace.vacuum tree" in left


def test_function_of_a_part_with_a_former_id_is_placed_by_it() -> None:
    """The build may still call a part, or its sheet, by an earlier name."""
    old = OLD.replace("{label: plenum brace,", "{label: plenum brace, formerly: [stay],")
    for name in ("old.stay", "worn.brace", "worn.stay"):
        assembly = build({"functions": {f"{name}.lift eye": "the new head"}}, old=old)
        assert "old.brace.lift eye" not in asked(assembly, "old.brace")


def test_stock_that_it_is_and_stock_that_was_got_for_it_ask() -> None:
    stock = {"feed-hose": {"item": "line-8", "for": "haywain.feed", "label": "feed hose"}}
    assembly = build({"stock": stock})
    assert words(asked(assembly, "line-8")["feed-hose"]) == "feed hose is set aside for fuel feed"
    assert words(asked(assembly, "haywain.feed")["feed-hose"]) == "feed hose was got for it"
    assert "feed-hose" in asked(assembly, "feed-hose")


def test_stand_in_asks() -> None:
    joins = {"heater": JOIN | {"stand_in": {"item": "line-8", "until": "2026-05-12"}}}
    needs = asked(build({"joins": joins}), "line-8")
    assert words(needs["heater"]) == "join heater counts on it as a stand-in"


def test_lost_small_part_looks_at_an_end_of_its_service() -> None:
    joins = {"heater": JOIN | {"small": {"clamp at engine": "lost", "clamp at matrix": "have"}}}
    needs = asked(build({"joins": joins}), "old.spare")  # a coolant drain
    assert words(needs["heater"]).startswith("clamp at engine of join heater is lost")
    assert "heater" not in asked(build({"joins": joins}), "donor.feed")


def test_stock_that_lacks_a_small_part_looks_for_it() -> None:
    stock = {"feed-hose": {"item": "line-8", "for": "haywain.feed", "missing": ["clip"]}}
    needs = asked(build({"stock": stock}), "donor.feed")
    assert words(needs["feed-hose"]) == "feed-hose lacks clip: look for one here"
    assert "feed-hose" not in asked(build({"stock": stock}), "old.spare")


def test_open_decision_about_it_asks_until_it_is_taken() -> None:
    tap = {
        "question": "keep the tap?",
        "options": {"keep": {"adds": ["line-8"]}, "none": {}},
        "about": ["haywain.hsup"],
        "gate": "before anything is cut",
    }
    needs = asked(build({"decisions": {"tap": tap}}), "haywain.hsup")
    assert words(needs["tap"]) == "not decided yet: keep the tap?"
    assert needs["tap"].gate is Gate.CUT
    for chosen, about, added in (
        ("unknown", True, True),
        ("keep", False, True),
        ("none", False, False),
    ):
        assembly = build({"decisions": {"tap": tap | {"chosen": chosen}}})
        assert ("tap" in asked(assembly, "haywain.hsup")) is about
        assert ("tap" in asked(assembly, "line-8")) is added


def test_plug_half_whose_mate_sits_on_it_asks() -> None:
    needs = asked(build(), "donor.loom")
    assert words(needs["motor.main"]) == "the other half of the plug engine loom to body sits on it"


def test_shipped_table_asks_by_label_kind_and_function() -> None:
    by_label = asked(build(), "old.cover")
    assert "thermostat housing" in words(by_label["motor.hot"])
    by_kind = asked(build(), "donor.canister")
    assert "canister" in words(by_kind["motor.purge"])
    by_function = asked(build(), "old.brace")
    assert "lift eye and hose clips sit on it" in words(by_function["old.brace"])


def test_old_engine_is_kept_whole_until_the_road_test() -> None:
    def kept(gates: dict[str, str]) -> list[str]:
        needs = asked_for_by(build({"gates": gates}), "old")
        return [words(need) for need in needs if need.gate is Gate.ROAD_TEST]

    assert kept({}) == ["keep the old engine, whole: whatever is missed later may still be on it"]
    assert kept({"before the road test": "2026-07-01"}) == []


def test_table_names_families_of_the_port_table_only() -> None:
    named = [(row.id, family) for row in kept_things() for family in row.families | row.asked_by]
    assert named
    assert [pair for pair in named if pair[1] not in families()] == []


# Common practice (from memory): whom each kept thing serves.
@pytest.mark.parametrize(
    "row, asked_by",
    [
        ("plug-halves", "main fan bayf diag"),
        ("starting-set", "key ped"),
        ("vacuum-tree", "servo crz hvac"),
        ("coolant-pipes", "hot ret hret byp"),
        ("plenum-brace", "brace"),
        ("canister", "vent purge fair"),
        ("catalyst", "flg cat lam"),
        ("mounts", "mnt gmnt"),
        ("bell-parts", "bell st"),
        ("senders", "tmp spd"),
        ("throttle", "thr"),
        ("fan", "fan fsw"),
        ("header", "over make ebl"),
        ("old-engine", ""),
    ],
)
def test_table_row_serves(row: str, asked_by: str) -> None:
    assert {one.id: one.asked_by for one in kept_things()}[row] == set(asked_by.split())


def test_former_id_is_understood() -> None:
    assert asked_for_by(build(), "worn.hot") == asked_for_by(build(), "old.hot") != ()


def test_near_follows_the_gates_passed() -> None:
    early = asked(build(), "donor.feed")["motor.feed"]
    assert early.gate is Gate.FIRST_START and not early.near
    gates = {str(gate): "2026-05-01" for gate in Gate if gate.order < Gate.FIRST_START.order}
    assert asked(build({"gates": gates}), "donor.feed")["motor.feed"].near


def test_nearest_gate_comes_first() -> None:
    orders = [need.gate.order for need in asked_for_by(build(), "old")]
    assert len(orders) > 3 and orders == sorted(orders)


def test_steps_not_done_are_held_against_what_they_take() -> None:
    steps = {
        "cut-loom": {"does": "cut", "what": ["donor.loom", "old.spare"], "planned": "2026-05-03"},
        "skip": {"does": "discard", "what": ["old.hot"], "done": "yes"},
    }
    (found,) = regrets(build({"steps": steps}))
    assert (found.step, found.does, found.what) == ("cut-loom", "cut", "donor.loom")
    assert found.planned.text == "2026-05-03"
    assert found.needs == asked_for_by(build({"steps": steps}), "donor.loom")


def test_unknown_thing_is_told_with_the_nearest() -> None:
    with pytest.raises(ValueFault) as caught:
        asked_for_by(build(), "donor.lom")
    assert caught.value.nearest == "donor.loom"
    assert caught.value.found == '"donor.lom"'


def test_many_steps_look_at_every_end_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder of some thousand lines must not cost steps times ends."""
    steps = {f"cut-{i}": {"does": "cut", "what": ["haywain.feed"]} for i in range(50)}
    assembly = build({"steps": steps})
    looked: list[str] = []
    fate = Assembly.fate

    def counted(self: Assembly, port: str) -> FateWord:
        looked.append(port)
        return fate(self, port)

    monkeypatch.setattr(Assembly, "fate", counted)
    assert len(regrets(assembly)) == 50
    assert looked.count("haywain.hot") == 1
