"""How ends meet in rows, in which pile a row is told, and what stands in the gap.

The tests of the piles are common practice; their thresholds are from memory.
"""

from typing import Any

import pytest
from tests.support.builds import base_build
from tests.support.small_builds import small_build

from swapwright.crossings.red import red_line_digest
from swapwright.crossings.rows import Crossing, crossings
from swapwright.library.risks import red_lines
from swapwright.model.assembly import Assembly
from swapwright.model.words import FateWord, Pile, Stage


def pairs(assembly: Assembly) -> list[tuple[str, str]]:
    rows = crossings(assembly)
    return [(r.car.id if r.car else "", r.newcomer.id if r.newcomer else "") for r in rows]


def only_row(assembly: Assembly) -> Crossing:
    (row,) = crossings(assembly)
    return row


# -- who meets whom ---------------------------------------------------------------


def test_a_join_pairs_ends_of_different_families() -> None:
    assembly = small_build(
        {"hot": {"family": "hot"}, "hsup": {"family": "hsup"}},
        {"hot": {"family": "hot"}, "hsup": {"family": "hsup"}},
        build={"joins": {"odd": {"ends": ["motor.hsup", "car.hot"]}}},
    )
    left = [("", "motor.hot"), ("car.hot", "motor.hsup"), ("car.hsup", "")]
    assert sorted(pairs(assembly)) == left


def test_the_cars_end_stands_left_however_the_join_is_written() -> None:
    for ends in (["car.hot", "motor.hot"], ["motor.hot", "car.hot"]):
        row = only_row(
            small_build(
                {"hot": {"family": "hot"}},
                {"hot": {"family": "hot"}},
                build={"joins": {"hose": {"ends": ends}}},
            )
        )
        assert row.id == "car.hot" and row.newcomer is not None
        assert row.newcomer.id == "motor.hot"


def speeds(*names: str) -> dict[str, Any]:
    """Ends for the signal of road speed."""
    return {name: {"family": "vss"} for name in names}


SENDER = {"format": 1, "kind": "part", "id": "sender", "ports": speeds("one", "two")}


def test_third_end_of_a_signal_is_listed_with_a_way_to_close_it() -> None:
    """Speed for the gauge, for the ECU and for a cruise control, from one sender."""
    ends = {"gauge": {"ends": ["car.gauge", "motor.sender"]}}
    for car, motor, third in (
        (speeds("gauge", "cruise"), speeds("sender"), "car.cruise"),
        (speeds("gauge"), speeds("sender", "ecu"), "motor.ecu"),
    ):
        apart = next(r for r in crossings(small_build(car, motor)) if r.id == third)
        assert gap_and_close(apart) == ("no partner", "decide; usually joined to a pulse sender")
        joined = small_build(car, motor, build={"joins": ends})
        lone = next(r for r in crossings(joined) if r.id == third)
        assert lone.is_open and gap_and_close(lone)[0] == "its partner is taken"
        other = "car.gauge" if third == "motor.ecu" else "motor.sender"
        assert gap_and_close(lone)[1].startswith(f"decide; to share with {other}: through a part")


def test_ends_left_of_a_part_in_use_are_listed() -> None:
    """A third end of a tee that nothing uses leaks; a part on the shelf that nothing uses waits."""
    joins = {"pulses": {"ends": ["sender.one", "motor.ecu"], "progress": "planned"}}
    build = {"shelf": ["sender"], "joins": joins}
    used = small_build({}, speeds("ecu"), build=build, others={"sender": SENDER})
    assert pairs(used) == [("", "sender.two"), ("sender.one", "motor.ecu")]
    capped = {**build, "fates": [{"port": "sender.two", "fate": "capped"}]}
    closed = small_build({}, speeds("ecu"), build=capped, others={"sender": SENDER})
    assert [row.fate for row in crossings(closed) if row.id == "sender.two"] == [FateWord.CAPPED]
    idle = small_build({}, speeds("ecu"), build={"shelf": ["sender"]}, others={"sender": SENDER})
    assert pairs(idle) == [("", "motor.ecu")]
    standing = small_build(
        {}, speeds("ecu"), build=build, others={"sender": SENDER}, as_it_stands=True
    )
    assert pairs(standing) == [("", "motor.ecu")]


def test_the_outgoing_half_names_the_newcomers() -> None:
    """The car's end bears no family; what it was joined to tells what it does."""
    assembly = small_build(
        {"rad-top": {"service": "coolant", "was": "old.upper"}},
        {"hot": {"family": "hot"}},
        {"upper": {"family": "hot"}},
    )
    assert pairs(assembly) == [("car.rad-top", "motor.hot")]


def test_a_former_id_of_the_outgoing_half_still_leads_there() -> None:
    others = {
        "old": {
            "format": 1, "kind": "engine", "id": "old", "formerly": ["pushrod"],
            "ports": {"upper": {"family": "hot", "formerly": ["top"]}},
        }
    }  # fmt: skip
    assembly = small_build(
        {"x": {"service": "coolant", "was": "pushrod.top"}},
        {"hot": {"family": "hot"}},
        others=others,
    )
    assert pairs(assembly) == [("car.x", "motor.hot")]


def test_plain_words_about_the_mate_leave_the_family() -> None:
    assembly = small_build(
        {"x": {"family": "hot", "was": "the old engine's top stub"}}, {"y": {"family": "hot"}}
    )
    assert pairs(assembly) == [("car.x", "motor.y")]


def test_of_several_ends_the_one_of_the_same_name_is_met() -> None:
    """Neither the order in the sheets nor an end without a namesake takes another's partner."""
    assembly = small_build(
        {"mnt-x": {"family": "mnt"}, "mnt-r": {"family": "mnt"}, "mnt-l": {"family": "mnt"}},
        {"mnt-r": {"family": "mnt"}, "mnt-l": {"family": "mnt"}},
    )
    assert sorted(pairs(assembly)) == [
        ("car.mnt-l", "motor.mnt-l"),
        ("car.mnt-r", "motor.mnt-r"),
        ("car.mnt-x", ""),
    ]


def test_the_donors_own_car_never_stands_in_for_the_newcomer() -> None:
    donor = {"format": 1, "kind": "vehicle", "id": "aaa", "ports": {"hot": {"family": "hot"}}}
    assembly = small_build(
        {"hot": {"family": "hot"}},
        {"hot": {"family": "hot"}},
        build={"donor_car": "aaa"},
        others={"aaa": donor},
    )
    assert sorted(pairs(assembly)) == [("", "aaa.hot"), ("car.hot", "motor.hot")]


@pytest.mark.parametrize("stage", list(Stage))
@pytest.mark.parametrize("stands", [False, True])
def test_each_end_of_car_and_newcomer_is_counted_once(stage: Stage, stands: bool) -> None:
    build = {
        "joins": {
            "early": {"ends": ["car.hot", "motor.hot"], "to": "first start", "progress": "fitted"},
            "late": {"ends": ["car.hot", "motor.ret"], "from": "first drive"},
        }
    }
    ports = {name: {"family": name} for name in ("hot", "ret", "hsup", "vent", "drn")}
    assembly = small_build(ports, ports, build=build, stage=stage, as_it_stands=stands)
    counted = sorted(end.id for row in crossings(assembly) for end in row.ends)
    assert counted == sorted(f"{sheet}.{name}" for sheet in ("car", "motor") for name in ports)


def test_the_base_build_counts_each_of_its_ends_once() -> None:
    assembly = base_build()
    counted = [end.id for row in crossings(assembly) for end in row.ends]
    wanted = [p.id for p in assembly.ports.values() if p.side.value in ("car", "newcomer")]
    assert sorted(counted) == sorted(wanted)


def test_what_is_not_there_crosses_nowhere() -> None:
    assembly = small_build({"fair": {"family": "fair", "there": "no"}}, {})
    assert crossings(assembly) == ()


def test_a_tee_gives_a_row_to_each_of_its_branches() -> None:
    tee = {
        "format": 1, "kind": "part", "id": "tee",
        "ports": {name: {"service": "coolant"} for name in ("a", "b", "c")},
    }  # fmt: skip
    assembly = small_build(
        {"hot": {"family": "hot"}, "hsup": {"family": "hsup"}},
        {"hot": {"family": "hot"}},
        build={
            "shelf": ["tee"],
            "joins": {
                "one": {"ends": ["car.hot", "tee.a"]},
                "two": {"ends": ["tee.b", "motor.hot"]},
                "three": {"ends": ["tee.c", "car.hsup"]},
            },
        },
        others={"tee": tee},
    )
    assert sorted(pairs(assembly)) == [
        ("car.hot", "tee.a"),
        ("car.hsup", "tee.c"),
        ("tee.b", "motor.hot"),
    ]


# -- the pile "can hurt you" -------------------------------------------------------------


@pytest.mark.parametrize(
    "service", ["fuel feed", "fuel return", "fuel vapour", "refrigerant", "exhaust gas"]
)
def test_these_services_hurt_on_the_car(service: str) -> None:
    assert only_row(small_build({"x": {"service": service}})).pile is Pile.HURT


def test_exhaust_hurts_only_with_a_half_on_the_car() -> None:
    assert only_row(small_build({}, {"egr": {"family": "egr"}})).pile is Pile.CARRIES
    assert only_row(small_build({}, {"flg": {"family": "flg"}})).pile is Pile.HURT


@pytest.mark.parametrize("family", ["servo", "thr", "ped", "pump"])
def test_these_families_hurt_on_either_side(family: str) -> None:
    assert only_row(small_build({family: {"family": family}})).pile is Pile.HURT
    assert only_row(small_build({}, {family: {"family": family}})).pile is Pile.HURT


@pytest.mark.parametrize("family", ["byp", "oxw", "tbo", "oilp", "pcv"])
def test_what_keeps_the_engine_alive_is_told_first(family: str) -> None:
    assert only_row(small_build({}, {family: {"family": family}})).pile is Pile.HURT


def test_restraints_and_brake_control_hurt() -> None:
    assert only_row(small_build({"abs": {"family": "abs"}})).pile is Pile.HURT


THRESHOLDS = [
    ("hot", "pressure_limit", "3 bar", "2.99 bar"),
    ("link", "load_limit", "1 kN", "0.99 kN"),
    ("out", "torque_limit", "1000 Nm", "999 Nm"),
    ("fan", "current", "20 A", "19.9 A"),
]


@pytest.mark.parametrize("family, fact, reaches, below", THRESHOLDS)
@pytest.mark.parametrize("on", ["car", "motor"])
def test_a_new_join_hurts_from_the_threshold_on(
    family: str, fact: str, reaches: str, below: str, on: str
) -> None:
    for amount, pile in ((reaches, Pile.HURT), (below, Pile.DECIDE)):
        ends: dict[str, Any] = {"car": {"family": family}, "motor": {"family": family}}
        ends[on] = {"family": family, "facts": {fact: amount}}
        assembly = small_build({"x": ends["car"]}, {"x": ends["motor"]})
        assert only_row(assembly).pile is pile, amount


def test_three_bar_in_another_unit_counts_as_three_bar() -> None:
    hot = {"family": "hot", "facts": {"pressure_limit": "300 kPa"}}
    assert only_row(small_build({"hot": hot}, {"hot": {"family": "hot"}})).pile is Pile.HURT


def test_thresholds_are_of_joins_not_of_single_ends() -> None:
    hot = {"family": "hot", "facts": {"pressure_limit": "9 bar"}}
    assert only_row(small_build({"hot": hot})).pile is Pile.DECIDE


def test_what_is_kept_on_both_sides_is_not_joined_anew() -> None:
    link = {"family": "link", "facts": {"load_limit": "5 kN"}}
    fates = [{"port": f"{sheet}.link", "fate": "kept"} for sheet in ("car", "motor")]
    assembly = small_build({"link": link}, {"link": link}, build={"fates": fates})
    assert only_row(assembly).pile is Pile.CARRIES


@pytest.mark.parametrize(
    "facts, pile",
    [
        ({}, Pile.HURT),
        ({"fuse_rating": "absent"}, Pile.HURT),
        ({"fuse_rating": "30 A"}, Pile.DECIDE),
    ],
)
def test_a_fuse_takes_the_danger_out_of_a_current(facts: dict[str, str], pile: Pile) -> None:
    fan = {"family": "fan", "facts": {"current": "25 A"}}
    joins = {"feed": {"ends": ["car.fan", "motor.fan"], "facts": facts}}
    assembly = small_build({"fan": fan}, {"fan": {"family": "fan"}}, build={"joins": joins})
    assert only_row(assembly).pile is pile


def proved(assembly: Assembly, *lines: str) -> dict[str, Any]:
    return {
        line: {"proved": "2026-05-02", "digest": red_line_digest(assembly, red_lines()[line])}
        for line in lines
    }


def test_a_crossing_moves_on_when_all_of_its_red_lines_are_proved() -> None:
    ports = {"feed": {"family": "feed"}}
    before = small_build(ports, ports)
    assert only_row(before).red_lines == ("RL1", "RL2")
    one = small_build(ports, ports, build={"red_lines": proved(before, "RL1")})
    both = small_build(ports, ports, build={"red_lines": proved(before, "RL1", "RL2")})
    assert only_row(one).pile is Pile.HURT
    assert only_row(both).pile is Pile.DECIDE


def test_a_danger_without_a_red_line_does_not_move_on() -> None:
    ports = {"ac": {"family": "ac"}}
    before = small_build(ports, ports)
    every = proved(before, *red_lines())
    assert only_row(small_build(ports, ports, build={"red_lines": every})).pile is Pile.HURT


# -- the piles "carries over" and "must be decided" ----------------------------------------


def both(car: dict[str, Any], motor: dict[str, Any]) -> Crossing:
    return only_row(small_build({"x": car}, {"x": motor}))


def mating_pair() -> tuple[dict[str, Any], dict[str, Any]]:
    """Two ends that mate without a warning: a stud and an eyelet of one size."""
    shared = {"service": "electrical", "family": "exc", "facts": {"current": "2 A"}}
    return {**shared, "end": "eyelet 8.4 mm"}, {**shared, "end": "stud M8"}


def test_two_seen_ends_that_mate_and_stand_it_carry_over() -> None:
    row = both(*mating_pair())
    assert row.mating is not None and str(row.mating.verdict) == "mates"
    assert row.pile is Pile.CARRIES


@pytest.mark.parametrize(
    "side, change",
    [
        (0, {"there": "unknown"}),
        (1, {"there": "unknown"}),
        (0, {"end": "unknown"}),
        (1, {"end": "stud M6"}),
        (0, {"facts": {"current": "1.9 A"}}),  # the car's end stands less than the other brings
        (0, {"facts": {}}),
        (1, {"facts": {"current": "unknown"}}),
        (0, {"plug": {"mate": "body loom", "mate_seen": "no"}}),
        (1, {"plug": {"mate": "body loom"}}),
        (0, {"service": "unknown"}),
        (0, {"service": "ground"}),
    ],
)
def test_one_thing_short_must_be_decided(side: int, change: dict[str, Any]) -> None:
    ends = list(mating_pair())
    ends[side] = {**ends[side], **change}
    assert both(*ends).pile is Pile.DECIDE


def test_the_car_may_stand_more_than_the_newcomer_brings() -> None:
    car, motor = mating_pair()
    assert both({**car, "facts": {"current": "10 A"}}, motor).pile is Pile.CARRIES


def test_what_has_its_other_half_on_its_own_side_stays_whole() -> None:
    assert only_row(small_build({"drn": {"family": "drn"}})).pile is Pile.CARRIES
    assert only_row(small_build({}, {"filt": {"family": "filt"}})).pile is Pile.CARRIES


@pytest.mark.parametrize(
    "change",
    [{"there": "unknown"}, {"service": "unknown"}, {"plug": {"mate": "tank loom"}}],
)
def test_unknowns_of_a_lone_end_must_be_decided(change: dict[str, Any]) -> None:
    port = {"family": "fsnd", **change}
    assert only_row(small_build({"fsnd": port})).pile is Pile.DECIDE


@pytest.mark.parametrize("fate", ["removed", "capped", "parked", "relocated"])
def test_what_is_changed_does_not_stay_whole(fate: str) -> None:
    build = {
        "fates": [{"port": "car.drn", "fate": fate, "to": "left" if fate == "relocated" else ""}]
    }
    assert only_row(small_build({"drn": {"family": "drn"}}, build=build)).pile is Pile.DECIDE


def test_a_lone_half_of_two_is_decided() -> None:
    assert only_row(small_build({"hot": {"family": "hot"}})).pile is Pile.DECIDE


def test_the_worse_pile_comes_first_and_open_before_closed() -> None:
    assembly = base_build()
    rows = crossings(assembly)
    order = [list(Pile).index(row.pile) for row in rows]
    assert order == sorted(order)
    for pile in Pile:
        closed = [not row.is_open for row in rows if row.pile is pile]
        assert closed == sorted(closed)


# -- fates by stage, and as it stands ------------------------------------------------------

PORT = {"tach": {"family": "tach"}}


def test_a_fate_holds_until_another_replaces_it() -> None:
    build = {
        "fates": [{"port": "motor.tach", "fate": "parked", "until": "there is a gauge"}],
        "joins": {"wire": {"ends": ["car.tach", "motor.tach"], "from": "finished"}},
    }
    fates = {}
    for stage in Stage:
        row = next(
            r for r in crossings(small_build(PORT, PORT, build=build, stage=stage)) if r.newcomer
        )
        fates[stage] = (row.newcomer_fate, row.until)
    assert fates == {
        Stage.FIRST_START: (FateWord.PARKED, "there is a gauge"),
        Stage.FIRST_DRIVE: (FateWord.PARKED, "there is a gauge"),
        Stage.FINISHED: (FateWord.JOINED, ""),
    }


@pytest.mark.parametrize(
    "progress, fate",
    [
        ("planned", FateWord.OPEN),
        ("in hand", FateWord.OPEN),
        ("fitted", FateWord.JOINED),
        ("proved", FateWord.JOINED),
    ],
)
def test_as_it_stands_only_what_is_fitted_counts(progress: str, fate: FateWord) -> None:
    build = {"joins": {"wire": {"ends": ["car.tach", "motor.tach"], "progress": progress}}}
    assert only_row(small_build(PORT, PORT, build=build)).fate is FateWord.JOINED
    assert only_row(small_build(PORT, PORT, build=build, as_it_stands=True)).fate is fate


def test_a_row_is_open_while_one_of_its_ends_is() -> None:
    build = {"fates": [{"port": "car.tach", "fate": "capped"}]}
    row = only_row(small_build(PORT, PORT, build=build))
    assert row.is_open and row.car_fate is FateWord.CAPPED and row.newcomer_fate is FateWord.OPEN


def test_a_stand_in_tells_its_last_day() -> None:
    join = {
        "ends": ["car.tach", "motor.tach"],
        "stand_in": {"until": "2026-05-12", "limits": "yard only"},
    }
    row = only_row(small_build(PORT, PORT, build={"joins": {"wire": join}}))
    assert row.until == "2026-05-12"
    join["stand_in"] = {"limits": "yard only"}
    row = only_row(small_build(PORT, PORT, build={"joins": {"wire": join}}))
    assert row.until == "no day given"


# -- the space between, and how to close it --------------------------------------------------


def gap_and_close(row: Crossing) -> tuple[str, str]:
    return (row.gap.text("metric") if row.gap else "", row.close.text("metric"))


@pytest.mark.parametrize(
    "car, motor, gap, close",
    [
        (
            {"family": "hot", "there": "unknown"}, {"family": "hot"},
            "is it there?", "look, then set car.x.there yes, or no",
        ),
        (
            {"service": "unknown", "candidates": ["coolant", "vacuum"]}, None,
            "which of 2?", "find out what it is: swapwright identify car.x",
        ),
        (
            {"service": "unknown"}, None,
            "what is it?", "find out what it is: swapwright identify car.x",
        ),
        (
            {"family": "fan", "plug": {"mate": "engine loom"}}, {"family": "fan"},
            "mate not seen", "find the other half on the other loom, or decide",
        ),
        (
            {"family": "hsup", "end": "hose bead 16 mm"},
            {"family": "hsup", "end": "hose bead 13 mm"},
            "16 to 13 mm", None,
        ),
        (
            {"family": "hsup", "end": "unknown"}, {"family": "hsup", "end": "hose bead 13 mm"},
            "", "look how car.x ends",
        ),
        ({"family": "hot"}, None, "no partner", None),
        ({"family": "drn"}, None, "", "decide; usually kept"),
        ({"service": "coolant"}, None, "no partner", "decide what becomes of it"),
    ],
)  # fmt: skip
def test_the_gap_and_how_to_close_it(
    car: dict[str, Any], motor: dict[str, Any] | None, gap: str, close: str | None
) -> None:
    row = only_row(small_build({"x": car}, {"x": motor} if motor else {}))
    assert gap_and_close(row)[0] == gap
    if close is not None:
        assert gap_and_close(row)[1] == close


def test_sizes_to_measure_are_told_end_by_end() -> None:
    row = both(
        {"family": "hsup", "end": "hose bead 16 ± 3 mm, typical"},
        {"family": "hsup", "end": "hose bead 16 ± 3 mm, typical"},
    )
    assert gap_and_close(row)[1] == "measure barrel of car.x; measure barrel of motor.x"


def test_a_closed_row_has_nothing_left_to_close() -> None:
    row = only_row(
        small_build(PORT, PORT, build={"joins": {"wire": {"ends": ["car.tach", "motor.tach"]}}})
    )
    assert gap_and_close(row) == ("", "")


def test_the_earlier_gate_of_two_ends_counts() -> None:
    """Servo: before the first metre; radiator hose: before first start (port table)."""
    assembly = small_build(
        {"servo": {"family": "servo"}},
        {"hot": {"family": "hot"}},
        build={"joins": {"odd": {"ends": ["car.servo", "motor.hot"]}}},
    )
    assert str(only_row(assembly).gate) == "before first start"
    assert (
        str(only_row(small_build({"servo": {"family": "servo"}})).gate) == "before the first metre"
    )
