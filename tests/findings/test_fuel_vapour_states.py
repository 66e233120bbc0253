"""What the rules of fuel, vapour and states do beyond their three cases."""

from datetime import date
from typing import Any

import pytest
from tests.support.builds import base_build

from swapwright.findings import fuel, fuel_supply, states, vapour
from swapwright.findings.kit import Rule
from swapwright.findings.run import Finding, findings
from swapwright.model.words import Signal, Urgency

AS_OF = date(2026, 6, 1)
RULES: tuple[Rule, ...] = (*fuel.RULES, *fuel_supply.RULES, *vapour.RULES, *states.RULES)
INJECTED = {"facts": {"fuel_system": "port injection"}}


def said(rule: str, overlay: dict[str, Any], about: str) -> Finding | None:
    """What one rule says of one subject of the base build with an overlay."""
    told = findings(base_build(overlay), [each for each in RULES if each.id == rule], AS_OF)
    found = [each for each in told if each.subjects[0] == about]
    assert len(found) <= 1
    return found[0] if found else None


def one_join(ends: list[str], **record: Any) -> dict[str, Any]:
    return {"build": {"joins": {"it": {"ends": ends, **record}}}}


FEED = ["motor.feed", "car.feed"]


# -- several conditions in one rule ------------------------------------------


def test_unknown_gap_does_not_hide_the_other_gap() -> None:
    """The stop rests on the gap that trips, not on the one nobody measured."""
    facts = {"gap_to_exhaust": "unknown", "gap_to_moving_part": "20 mm, steel rule"}
    found = said("fuel-exh-min", one_join(FEED, facts=facts), "it")
    assert found is not None and found.urgency is Urgency.STOP
    assert [use.name for use in found.rests_on] == ["gap_to_moving_part"]


def test_typical_gap_never_stops() -> None:
    facts = {"gap_to_exhaust": "20 mm, typical", "gap_to_moving_part": "60 mm"}
    found = said("fuel-exh-min", one_join(FEED, facts=facts), "it")
    assert found is not None and found.urgency is Urgency.ROAD


def test_gap_within_its_spread_asks_for_a_better_measure() -> None:
    facts = {"gap_to_exhaust": "39 ± 3 mm", "gap_to_moving_part": "60 mm"}
    found = said("fuel-exh-min", one_join(FEED, facts=facts), "it")
    assert found is not None and found.urgency is Urgency.ASK
    assert found.asks is not None and found.asks.name == "gap_to_exhaust"


def test_join_of_unknown_service_asks_for_it() -> None:
    unknown = {"ports": {"feed": {"service": "unknown"}}}
    found = said("fuel-exh-min", {**one_join(FEED), "car": unknown, "motor": unknown}, "it")
    assert found is not None and found.asks is not None and found.asks.name == "service"


def test_coolant_join_is_no_fuel_line() -> None:
    facts = {"gap_to_exhaust": "1 mm", "gap_to_moving_part": "1 mm"}
    assert said("fuel-exh-min", one_join(["motor.hot", "car.hot"], facts=facts), "it") is None


def test_hose_on_the_shelf_speaks_for_its_join() -> None:
    shelf = {"items": {"grey-hose": {"kind": "hose", "facts": {"hose_working_pressure": "1 bar"}}}}
    overlay = {
        "shelf": shelf,
        **one_join(FEED, through=["grey-hose"], facts={"line_pressure": "3 bar"}),
    }
    found = said("fuel-hose-pressure", overlay, "it")
    assert found is not None and found.urgency is Urgency.STOP
    assert found.message.text("metric") == "it: hose rated 1 bar, the line asks 3.75 bar"


@pytest.mark.parametrize(
    "gap, catalyst, trips", [("120 mm", "yes", True), ("120 mm", "no", False), ("90 mm", "?", True)]
)
def test_shield_is_wanted_farther_off_a_catalyst(gap: str, catalyst: str, trips: bool) -> None:
    facts = {"gap_to_exhaust": gap, "heat_shield": "no", "near_catalyst": catalyst}
    assert (said("fuel-exh-unshielded", one_join(FEED, facts=facts), "it") is not None) is trips


# -- return, pump, tank ------------------------------------------------------


def test_open_return_asks_for_a_decision() -> None:
    found = said("fuel-return-none", {"motor": INJECTED}, "motor.fret")
    assert found is not None and found.asks is not None and found.asks.name == "fate"


@pytest.mark.parametrize("reaches, stops", [("yes", False), ("no", True)])
def test_joined_return_has_to_reach_the_tank(reaches: str, stops: bool) -> None:
    join = one_join(["motor.fret", "car.fret"], facts={"return_reaches_tank": reaches})
    engine = {"facts": {"fuel_system": "port injection", "regulator_near_tank": "no"}}
    found = said("fuel-return-none", {"motor": engine, **join}, "motor.fret")
    assert (found is not None and found.urgency is Urgency.STOP) is stops


def test_pump_is_judged_by_the_rule_books_band_when_consumption_is_unknown() -> None:
    """100 kW burns 40 to 48 L/h at 0.30 to 0.36 kg/kWh; with the margin 50 to 60 L/h."""

    def at(flow: str) -> Finding | None:
        facts = {**INJECTED["facts"], "rated_power": "100 kW"}
        car = {"facts": {"fuel_pump_flow": flow}}
        return said("fuel-pump-flow", {"motor": {"facts": facts}, "car": car}, "motor")

    weak, between = at("45 L/h"), at("57 L/h")
    assert at("90 L/h") is None
    assert weak is not None and weak.urgency is Urgency.ROAD and weak.memory_limits
    assert between is not None and between.urgency is Urgency.ASK


def test_mechanical_pump_may_feed_a_carburettor() -> None:
    kept = {"build": {"fates": [{"port": "motor.mpmp", "fate": "kept"}]}}
    engine = {"motor": {"facts": {"fuel_system": "carburettor"}}}
    mechanical = {"car": {"facts": {"fuel_pump_drive": "mechanical"}}}
    electric = {"car": {"facts": {"fuel_pump_drive": "electric"}}}
    assert said("fuel-old-pump", {**kept, **engine, **mechanical}, "motor.mpmp") is None
    assert said("fuel-old-pump", {**kept, **engine, **electric}, "motor.mpmp") is not None


def test_welding_step_on_the_tank_needs_no_other_word() -> None:
    steps = {"stub": {"does": "weld", "what": ["car.fuel-tank"], "planned": "2026-06-03"}}
    overlay = {"build": {"steps": steps}, "car": {"facts": {"tank_purge_record": "no"}}}
    found = said("fuel-welded-tank", overlay, "car")
    assert found is not None and found.signal is Signal.DANGER


def test_ethanol_is_not_asked_of_hoses_when_there_is_none() -> None:
    overlay = one_join(FEED)
    overlay["build"]["facts"] = {"fuel_ethanol_share": "0 %"}
    assert said("fuel-ethanol", overlay, "it") is None


# -- vent and canister -------------------------------------------------------


@pytest.mark.parametrize("rule", ["evap-no-vent", "tank-pressure"])
def test_capped_vent_is_told_before_the_tank_bulges(rule: str) -> None:
    capped = {"build": {"fates": [{"port": "car.vent", "fate": "capped"}]}}
    found = said(rule, capped, "car")
    assert found is not None and found.urgency is Urgency.STOP


@pytest.mark.parametrize(
    "reading, urgency",
    [("12 kPa", Urgency.STOP), ("6 kPa", Urgency.ROAD), ("-4 kPa", Urgency.ROAD)],
)
def test_tank_pressure_by_degree(reading: str, urgency: Urgency) -> None:
    found = said("tank-pressure", {"car": {"facts": {"tank_pressure_hot": reading}}}, "car")
    assert found is not None and found.urgency is urgency


def test_tank_pressure_is_not_asked_before_the_first_hot_run() -> None:
    assert said("tank-pressure", {}, "car") is None


def with_valve(canister: bool) -> dict[str, Any]:
    """A purge valve as a part of its own between engine and canister or tank."""
    ports = {"a": {"service": "fuel vapour"}, "b": {"service": "fuel vapour"}}
    valve = {"format": "1", "kind": "part", "id": "valve", "role": "purge valve", "ports": ports}
    far = "car.purge" if canister else "car.vent"
    joins = {
        "near": {"ends": ["motor.purge", "valve.a"]},
        "far": {"ends": ["valve.b", far]},
    }
    build = {"joins": joins, "shelf": ["valve"]}
    return {"valve": valve, "build": build, "car": {"facts": {"canister_air_open": "yes"}}}


@pytest.mark.parametrize("canister", [True, False])
def test_purge_is_followed_through_its_valve(canister: bool) -> None:
    found = said("evap-direct-purge", with_valve(canister), "motor.purge")
    assert (found is None) is canister


def test_shut_fresh_air_port_is_no_canister() -> None:
    overlay = with_valve(canister=True)
    overlay["build"]["fates"] = [{"port": "car.fair", "fate": "capped"}]
    found = said("evap-direct-purge", overlay, "motor.purge")
    assert found is not None and found.urgency is Urgency.ROAD


def test_boost_cannot_pass_a_purge_that_is_capped() -> None:
    valves = {"boosted": "yes", "purge_check_valve": "no", "breather_check_valve": "yes"}
    overlay: dict[str, Any] = {"motor": {"facts": valves}}
    assert said("evap-purge-boost", overlay, "motor") is not None
    overlay["build"] = {"fates": [{"port": "motor.purge", "fate": "capped"}]}
    assert said("evap-purge-boost", overlay, "motor") is None


# -- stand-ins, small parts, plugs, functions --------------------------------


def test_stand_in_without_item_or_rating_asks_for_it() -> None:
    overlay = one_join(FEED, facts={"line_pressure": "3 bar"}, stand_in={"until": "2026-06-09"})
    found = said("stand-in-rating", overlay, "it")
    assert found is not None and found.asks is not None and found.asks.name == "stand-in"


def test_rating_said_with_the_stand_in_counts() -> None:
    stand_in = {"until": "2026-06-09", "facts": {"hose_working_pressure": "1 bar"}}
    found = said(
        "stand-in-rating", one_join(FEED, facts={"line_pressure": "3 bar"}, stand_in=stand_in), "it"
    )
    assert found is not None and found.urgency is Urgency.STOP


@pytest.mark.parametrize(
    "stand_in, words",
    [
        ({"until": "2026-05-31"}, "its last day was 2026-05-31"),
        ({"limits": "yard only"}, "its last day is not named"),
        ({"until": "2026-06-01"}, None),
    ],
)
def test_last_day_of_a_stand_in(stand_in: dict[str, str], words: str | None) -> None:
    found = said("stand-in-overdue", one_join(FEED, stand_in=stand_in), "it")
    told = found.message.text("metric") if found else ""
    assert told.endswith(words) if words else found is None


@pytest.mark.parametrize(
    "ends, urgency, signal",
    [
        (FEED, Urgency.STOP, Signal.WARNING),
        (["motor.servo", "car.servo"], Urgency.STOP, Signal.WARNING),
        (["motor.fret", "car.fret"], Urgency.ROAD, Signal.WARNING),
        (["motor.flg-l", "car.flg-l"], Urgency.ROAD, Signal.WARNING),
        (["motor.hsup", "car.hsup"], Urgency.ROAD, None),
    ],
)
def test_lost_seal_is_worse_on_fuel_and_brakes(
    ends: list[str], urgency: Urgency, signal: Signal | None
) -> None:
    found = said("seal-missing", one_join(ends, small={"clip": "lost"}), "it")
    assert found is not None and (found.urgency, found.signal) == (urgency, signal)


def test_hydraulic_line_of_no_family_counts_as_the_brakes() -> None:
    ends = {name: {"service": "hydraulic fluid"} for name in ("master", "caliper")}
    for port, urgency in (("caliper", Urgency.STOP), ("clu", Urgency.ROAD)):
        join = one_join(["car.master", f"car.{port}"], small={"seal washer": "reused"})
        found = said("seal-missing", {"car": {"ports": ends}, **join}, "it")
        assert found is not None and found.urgency is urgency


@pytest.mark.parametrize(
    "small, trips", [({"crush washer": "reused"}, True), ({"clamp at engine": "reused"}, False)]
)
def test_only_what_is_used_once_may_not_be_reused(small: dict[str, str], trips: bool) -> None:
    found = said("seal-missing", one_join(FEED, small=small), "it")
    assert (found is not None) is trips


def test_wet_join_without_small_parts_asks_for_them() -> None:
    wet = said("seal-missing", one_join(FEED), "it")
    assert wet is not None and wet.asks is not None and wet.asks.name == "small parts"
    assert said("seal-missing", one_join(["motor.alt", "car.alt"]), "it") is None


@pytest.mark.parametrize("fact", ["cap_clamped", "both_ends_sealed"])
@pytest.mark.parametrize("port, signal", [("motor.fret", Signal.WARNING), ("motor.hot", None)])
def test_parked_fuel_warns(fact: str, port: str, signal: Signal | None) -> None:
    facts = {"cap_clamped": "yes", "both_ends_sealed": "yes", fact: "no"}
    fate = {"port": port, "fate": "parked", "facts": facts}
    found = said("parked-open", {"build": {"fates": [fate]}}, port)
    assert found is not None and found.signal is signal


def test_dry_parked_end_needs_no_clamp() -> None:
    def parked(port: str) -> dict[str, Any]:
        fate = {"port": port, "fate": "parked", "facts": {"both_ends_sealed": "yes"}}
        return {"build": {"fates": [fate]}}

    assert said("parked-open", parked("motor.tach"), "motor.tach") is None
    wet = said("parked-open", parked("motor.ac-o"), "motor.ac-o")
    assert wet is not None and wet.asks is not None and wet.asks.name == "cap_clamped"


@pytest.mark.parametrize("family, urgency", [("fan", Urgency.ROAD), ("rev", Urgency.FIX)])
def test_plug_without_mate_is_worse_for_a_fan(family: str, urgency: Urgency) -> None:
    plug = {"half": "socket", "on": "body loom", "mate_seen": "no"}
    overlay = {"car": {"ports": {family: {"plug": plug}}}}
    found = said("plug-no-mate", overlay, f"car.{family}")
    assert found is not None and found.urgency is urgency


def test_decision_settles_a_plug_without_mate() -> None:
    plug = {"half": "socket", "on": "body loom", "mate_seen": "no"}
    overlay = {
        "car": {"ports": {"rev": {"plug": plug}}},
        "build": {"fates": [{"port": "car.rev", "fate": "parked"}]},
    }
    assert said("plug-no-mate", overlay, "car.rev") is None


def test_timing_is_asked_once_the_engine_has_run() -> None:
    facts = {
        "fuel_system": "port injection", "ignition_lead_gap": "absent",
        "ignition_lead_on_fuel_pipe": "no", "distributor_cap_room": "absent",
    }  # fmt: skip
    before = said("ignition-lead", {"motor": {"facts": facts}}, "motor")
    gates = {"build": {"gates": {"before first start": "2026-05-30"}}}
    after = said("ignition-lead", {"motor": {"facts": facts}, **gates}, "motor")
    assert before is None
    assert after is not None and after.asks is not None
    assert after.asks.name == "ignition_timing_verified"


@pytest.mark.parametrize("done, urgency", [("no", Urgency.ASK), ("yes", Urgency.FIX)])
def test_functions_are_asked_before_the_cut_and_told_after(done: str, urgency: Urgency) -> None:
    step = {"does": "remove", "what": ["motor.plenum-brace"], "done": done}
    found = said("part-function-lost", {"build": {"steps": {"off": step}}}, "motor.plenum-brace")
    assert found is not None and found.urgency is urgency
    assert said("part-function-lost", {}, "motor.plenum-brace") is None


# -- what must not be blamed, and what must not slip through -----------------


@pytest.mark.parametrize(
    "rated, urgency",
    [("1.2 bar", Urgency.STOP), ("1.3 bar", Urgency.ROAD), ("1.5 bar", None)],
)
def test_coolant_stand_in_bears_what_the_final_hose_has_to(
    rated: str, urgency: Urgency | None
) -> None:
    stand_in = {"until": "2026-06-10", "facts": {"hose_working_pressure": rated}}
    join = one_join(["motor.hot", "car.hot"], facts={"line_pressure": "1 bar"}, stand_in=stand_in)
    found = said("stand-in-rating", join, "it")
    assert (found.urgency if found else None) == urgency


def test_timing_that_nothing_can_turn_is_left_alone() -> None:
    facts = {
        "fuel_system": "port injection", "ignition_lead_gap": "60 mm",
        "ignition_lead_on_fuel_pipe": "no", "distributor_cap_room": "absent",
    }  # fmt: skip
    ran = {"gates": {"before first start": "2026-05-20"}}
    for timing, silent in (("absent", True), ("no", False)):
        motor = {"facts": {**facts, "ignition_timing_verified": timing}}
        found = said("ignition-lead", {"build": ran, "motor": motor}, "motor")
        assert (found is None) is silent


@pytest.mark.parametrize("rule", ["fuel-starve", "fuel-pump-lift", "fuel-pump-runs-on"])
def test_fuel_of_no_engine_asks_nothing_of_the_car(rule: str) -> None:
    assert said(rule, {"build": {"engine": ""}}, "car") is None


@pytest.mark.parametrize("kinds", [("rolled-edge band", "worm drive"), ("ear", "absent")])
def test_weakest_of_several_clamps_does_not_hide(kinds: tuple[str, str]) -> None:
    clamps = {
        f"clamp-{i}": {"kind": "clamp", "facts": {"clamp_kind": kind}}
        for i, kind in enumerate(kinds)
    }
    join = one_join(FEED, through=[*clamps], facts={"line_pressure": "3 bar"})
    found = said("fuel-clamp-type", {**join, "shelf": {"items": clamps}}, "it")
    assert found is not None


@pytest.mark.parametrize(
    "made_on, small, asks",
    [
        (["crimped ferrule"], {}, False),
        (["crimped ferrule", "quick connector"], {}, False),
        (["crimped ferrule", "unknown"], {}, True),
        (["crimped ferrule"], {"clamp": {"kind": "clamp"}}, True),
        (["rolled-edge band"], {}, True),
    ],
)
def test_crimped_hose_needs_no_clamp(made_on: list[str], small: dict[str, Any], asks: bool) -> None:
    hoses = {
        f"hose-{i}": {"kind": "hose", "facts": {"clamp_kind": kind}}
        for i, kind in enumerate(made_on)
    }
    items = {**hoses, **small}
    join = one_join(FEED, through=[*items], facts={"line_pressure": "3 bar"})
    found = said("fuel-clamp-type", {**join, "shelf": {"items": items}}, "it")
    assert (found is not None) is asks


def test_clamp_over_a_crimped_hose_counts() -> None:
    shelf = {"items": {"a": {"kind": "hose", "facts": {"clamp_kind": "crimped ferrule"}}}}
    facts = {"line_pressure": "3 bar", "clamp_kind": "worm drive"}
    join = one_join(FEED, through=["a"], facts=facts)
    found = said("fuel-clamp-type", {**join, "shelf": shelf}, "it")
    assert found is not None and found.urgency is not Urgency.ASK


def test_hose_without_a_rating_is_not_covered_by_one_with_it() -> None:
    items = {
        "a": {"kind": "hose", "facts": {"hose_working_pressure": "9 bar"}},
        "b": {"kind": "hose", "facts": {"hose_working_pressure": "absent"}},
    }
    join = one_join(FEED, through=["a", "b"], facts={"line_pressure": "3 bar"})
    found = said("fuel-hose-pressure", {**join, "shelf": {"items": items}}, "it")
    assert found is not None and found.urgency is Urgency.ASK


@pytest.mark.parametrize(
    "ends, signal",
    [
        (FEED, Signal.WARNING),
        (["motor.thr", "car.thr"], Signal.WARNING),
        (["motor.hot", "car.hot"], None),
    ],
)
def test_short_line_warns_where_it_sprays_or_pulls(ends: list[str], signal: Signal | None) -> None:
    found = said(
        "route-short", one_join(ends, facts={"route_length": "1 m", "cut_length": "1 m"}), "it"
    )
    assert found is not None and found.urgency is Urgency.ROAD
    assert found.signal is signal


@pytest.mark.parametrize("done, urgency", [("yes", Urgency.FIX), ("no", Urgency.ASK)])
def test_part_whose_ends_are_all_removed_goes(done: str, urgency: Urgency) -> None:
    owned = [port.id for port in base_build().ports.values() if port.owner == "motor.plenum-brace"]
    ports = {"eye": {"part": "plenum-brace", "service": "support"}}
    owned.append("motor.eye")
    fates = [{"port": each, "fate": "removed", "done": done} for each in owned]
    overlay = {"motor": {"ports": ports}, "build": {"fates": fates}}
    found = said("part-function-lost", overlay, "motor.plenum-brace")
    assert found is not None and found.urgency is urgency
    overlay["build"] = {"fates": [{**each, "fate": "kept"} for each in fates]}
    assert said("part-function-lost", overlay, "motor.plenum-brace") is None


def test_eyelet_and_stud_of_one_crossing_ask_once() -> None:
    asked = said("plug-no-mate", {}, "car.alt")
    assert asked is not None and asked.asks is not None and asked.asks.name == "fate"
    assert said("plug-no-mate", {}, "motor.alt") is None


@pytest.mark.parametrize(
    "overlay",
    [
        {"car": {"ports": {"alt": {"there": "no", "why": "a dynamo"}}}},
        {"build": {"fates": [{"port": "car.alt", "fate": "removed"}]}},
        {"car": {"ports": {"alt": {"plug": {"half": "socket", "mate_seen": "yes"}}}}},
    ],
)
def test_stud_asks_itself_where_the_car_has_no_open_half(overlay: dict[str, Any]) -> None:
    asked = said("plug-no-mate", overlay, "motor.alt")
    assert asked is not None and asked.asks is not None and asked.asks.name == "fate"
