"""The assembled model: what counts at which stage, which fact wins, where things lie."""

import pytest
from tests.model.folders import BUILD, CAR, MOTOR, OLD, SHELF, assembly, faults

from swapwright.model.assembly import Assembly
from swapwright.model.facts import fact_book
from swapwright.model.values import NOTHING_SAID, UNKNOWN, Value
from swapwright.model.words import FateWord, Flow, Gate, Service, Side, Stage
from swapwright.quantity import Basis, Measure


def nominal(value: Value) -> float:
    assert isinstance(value.content, Measure)
    return value.content.nominal


def test_roles_and_sides() -> None:
    made = assembly()
    assert (made.recipient, made.engine, made.outgoing_engine) == ("car", "motor", "old")
    assert {name: port.side for name, port in made.ports.items()} == {
        "car.hot": Side.CAR, "car.hsup": Side.CAR, "car.tach": Side.CAR,
        "motor.hot": Side.NEWCOMER, "motor.hsup": Side.NEWCOMER, "old.hot": Side.OUTGOING,
    }  # fmt: skip
    assert made.parts["car.rad"].side is Side.CAR
    assert made.ports["car.hot"].owner == "car.rad"
    assert [each.id for each in made.ports_of("hot", side=Side.NEWCOMER)] == ["motor.hot"]


def test_family_fills_what_is_not_said_and_turns_the_flow_for_the_car() -> None:
    made = assembly(car=CAR.replace("tach: {family: tach", "tach: {family: tach, flow: unknown"))
    assert made.ports["car.hot"].service is Service.COOLANT
    assert (made.ports["motor.hot"].flow, made.ports["car.hot"].flow) == (Flow.OUT, Flow.IN)
    assert made.ports["car.tach"].flow is Flow.UNKNOWN


@pytest.mark.parametrize(
    ("stage", "joined", "hot", "tach"),
    [
        (Stage.FIRST_START, ["heat"], FateWord.CAPPED, FateWord.OPEN),
        (Stage.FIRST_DRIVE, ["heat"], FateWord.CAPPED, FateWord.PARKED),
        (Stage.FINISHED, ["heat", "later"], FateWord.JOINED, FateWord.PARKED),
    ],
)
def test_joins_and_fates_hold_from_their_stage(
    stage: Stage, joined: list[str], hot: FateWord, tach: FateWord
) -> None:
    made = assembly(stage)
    assert list(made.joined) == joined
    assert (made.fate("motor.hot"), made.fate("car.tach")) == (hot, tach)
    assert made.fate("motor.hsup") is FateWord.JOINED
    partner = made.partner("car.hsup")
    assert partner is not None and partner.id == "motor.hsup"


def test_join_that_ends_leaves_its_port_open() -> None:
    build = BUILD.replace("through: [hose-16]", "to: first drive")
    assert assembly(Stage.FIRST_DRIVE, build=build).fate("car.hsup") is FateWord.JOINED
    assert assembly(Stage.FINISHED, build=build).fate("car.hsup") is FateWord.OPEN


@pytest.mark.parametrize(
    ("progress", "stands"),
    [("planned", False), ("in hand", False), ("fitted", True), ("proved", True)],
)
def test_as_it_stands_only_what_is_fitted_counts(progress: str, stands: bool) -> None:
    build = BUILD.replace("through: [hose-16]", f"progress: {progress}")
    made = assembly(as_it_stands=True, build=build)
    assert ("heat" in made.joined) is stands
    assert (made.fate("car.hsup") is FateWord.JOINED) is stands
    assert made.fate("motor.hot") is FateWord.CAPPED  # a stated fate counts either way


def test_port_joined_at_two_stages_that_do_not_meet() -> None:
    build = BUILD.replace("through: [hose-16]", "to: first drive").replace(
        "[motor.hot, car.hot]", "[motor.hsup, car.hot]"
    )
    assert [assembly(stage, build=build).join_of["motor.hsup"].id for stage in Stage] == [
        "heat", "heat", "later",
    ]  # fmt: skip


def test_join_to_a_port_that_is_not_there() -> None:
    found = faults(car=CAR.replace("{family: hsup,", "{family: hsup, there: no,"))
    assert [each.path for each in found] == ["joins.heat.ends"]
    assert "said not to be there" in found[0].found


# -- facts ---------------------------------------------------------------------------


def test_reading_counts_before_the_sheet() -> None:
    value = assembly().fact("car", "kerb_mass")
    assert nominal(value) == 1000 and value.basis is Basis.MEASURED
    value = assembly(build=BUILD.partition("readings:")[0]).fact("car", "kerb_mass")
    assert nominal(value) == 900 and value.basis is Basis.TYPICAL


def test_several_readings_become_one() -> None:
    more = "  - {of: car.kerb_mass, value: 1010 kg}\n  - {of: car.hot.end.barrel, value: 37 mm}\n"
    made = assembly(build=BUILD + more)
    value = made.fact("car", "kerb_mass")
    assert nominal(value) == 1005 and value.count == 2
    # JCGM 100:2008, 4.2.2: s = 10/√2 for two readings 10 apart.
    assert value.scatter == pytest.approx(10 / 2**0.5)
    end = made.ports["car.hot"].end
    assert end is not None and nominal(end.dim("barrel")) == pytest.approx(0.037)


def test_last_reading_counts_where_they_cannot_be_averaged() -> None:
    thread = next(name for name, fact in fact_book().items() if fact.sort.name == "thread")
    owner = {"port": "car.hot", "part": "car.rad", "engine": "motor"}
    subject = next(owner[of] for of in fact_book()[thread].of if of in owner)
    more = "".join(f"  - {{of: {subject}.{thread}, value: {v}}}\n" for v in ("M10x1", "M12x1.5"))
    content = assembly(build=BUILD + more).fact(subject, thread).content
    assert isinstance(content, Measure) and content.nominal == pytest.approx(0.012)
    unsure = BUILD + "  - {of: car.kerb_mass, value: unknown}\n"
    assert assembly(build=unsure).fact("car", "kerb_mass").content is UNKNOWN


def test_unknown_is_an_answer_and_an_unknown_name_a_mistake() -> None:
    made = assembly()
    assert made.fact("car", "wheelbase") is NOTHING_SAID
    for subject, name in (("car", "wheelbaze"), ("nobody", "wheelbase")):
        with pytest.raises(KeyError):
            made.fact(subject, name)


def test_fate_adds_its_facts_to_its_port_from_its_stage() -> None:
    build = BUILD.replace("from: first drive}", "from: first drive, facts: {current: 2 A}}")
    car = CAR.replace("place: dash", "facts: {current: 1 A}")
    assert nominal(assembly(build=build, car=car).fact("car.tach", "current")) == 1
    later = assembly(Stage.FIRST_DRIVE, build=build, car=car)
    assert nominal(later.fact("car.tach", "current")) == 2


SECOND = SHELF + "  hose-18: {kind: hose, facts: {hose_bore: 18 mm}}\n"
BOTH = BUILD.replace("[hose-16]", "[hose-16, hose-18]")


def test_join_asks_its_pieces() -> None:
    how = fact_book()["hose_bore"].pieces
    assert how in ("least", "greatest")
    made = assembly(build=BOTH, shelf=SECOND)
    expected = 0.016 if how == "least" else 0.018
    assert nominal(made.fact("heat", "hose_bore")) == pytest.approx(expected)
    unknown = SECOND.replace("18 mm", "unknown")
    assert assembly(build=BOTH, shelf=unknown).fact("heat", "hose_bore") is NOTHING_SAID
    stated = BOTH.replace("    through", "    facts: {hose_bore: 3 mm}\n    through")
    made = assembly(build=stated, shelf=SECOND)
    assert nominal(made.fact("heat", "hose_bore")) == pytest.approx(0.003)


def test_reading_of_a_piece_counts_for_its_join() -> None:
    made = assembly(build=BUILD + "  - {of: hose-16.hose_bore, value: 15.5 mm}\n")
    assert nominal(made.fact("heat", "hose_bore")) == pytest.approx(0.0155)


def test_one_piece_can_settle_any_and_all() -> None:
    for how, decisive in (("all", "no"), ("any", "yes")):
        names = [
            name
            for name, fact in fact_book().items()
            if fact.pieces == how and fact.sort.name == "yes or no"
        ]
        for name in names:
            kind = (*fact_book()[name].piece_kinds, "hose")[0]
            shelf = SHELF + f"  x: {{kind: {kind}, facts: {{{name}: {decisive}}}}}\n"
            shelf += f"  y: {{kind: {kind}}}\n"
            made = assembly(build=BUILD.replace("[hose-16]", "[x, y]"), shelf=shelf)
            assert made.fact("heat", name).content is (decisive == "yes")


# -- places --------------------------------------------------------------------------


def test_port_of_the_engine_lies_where_the_pose_puts_it() -> None:
    pose = "pose: {at: [520 mm, -10 mm, 395 mm], yaw: 90 deg}\n"
    port = assembly(build=BUILD + pose).ports["motor.hot"]
    # 100 mm rearward of the engine's origin; nose to the left by a right angle: rearward is right.
    assert port.position == pytest.approx((0.520, 0.090, 0.395))
    assert port.axis == pytest.approx((0, 1, 0))
    assert assembly().ports["motor.hot"].position is None
    assert assembly(build=BUILD + "pose: unknown\n").ports["motor.hot"].position is None
    half = BUILD + "pose: {at: [520 mm, unknown, 395 mm]}\n"
    assert assembly(build=half).ports["motor.hot"].position is None


def test_port_of_the_car_lies_where_its_sheet_says() -> None:
    car = CAR.replace("place: dash", "place: {at: [1 m, 0 mm, -2 mm]}")
    assert assembly(car=car).ports["car.tach"].position == (1.0, 0.0, -0.002)


# -- gates ----------------------------------------------------------------------------


def test_gates() -> None:
    made = assembly(build=BUILD + "gates: {before it is pulled: 2026-05-02}\n")
    assert made.next_gate is Gate.ORDERED
    assert [gate for gate in Gate if made.near(gate)] == [Gate.PULLED, Gate.ORDERED]
    assert made.gate_passed(Gate.PULLED) and not made.gate_passed(Gate.ORDERED)


# -- former ids -----------------------------------------------------------------------


def renamed() -> Assembly:
    return assembly(
        build=BUILD.replace("recipient: car", "recipient: van-before")
        .replace("engine: motor", "engine: four")
        .replace("[old]", "[older]")
        .replace("[motor.hsup, car.hsup]", "[four.heat, van-before.heat]")
        .replace("port: motor.hot", "port: four.hot")
        .replace("[hose-16]", "[hose]")
        .replace("motor.brace.lift eye", "four.bracket.lift eye")
        .replace("of: car.kerb_mass", "of: van-before.kerb_mass"),
        car=CAR.replace("id: car", "id: car\nformerly: [van-before]")
        .replace("hsup: {family", "hsup: {formerly: [heat], family")
        .replace("was: old.hot", "was: older.hot"),
        motor=MOTOR.replace("id: motor", "id: motor\nformerly: [four]")
        .replace("hsup: {family", "hsup: {formerly: [heat], family")
        .replace("brace: {", "brace: {formerly: [bracket], "),
        old=OLD.replace("id: old", "id: old\nformerly: [older]"),
        shelf=SHELF.replace("{kind: hose", "{formerly: [hose], kind: hose"),
    )


def test_former_ids_still_name_the_same_things() -> None:
    made, plain = renamed(), assembly()
    assert (made.recipient, made.engine, made.outgoing_engine) == ("car", "motor", "old")
    assert {n: p.side for n, p in made.ports.items()} == {n: p.side for n, p in plain.ports.items()}
    assert [end.id for end in made.joins["heat"].ends] == ["motor.hsup", "car.hsup"]
    assert made.joins["heat"].pieces == ("hose-16",)
    assert {port: made.fate(port) for port in made.ports} == {
        port: plain.fate(port) for port in plain.ports
    }
    assert nominal(made.fact("car", "kerb_mass")) == 1000
    assert made.resolve("van-before.heat") == "car.hsup"
    assert made.resolve("car.hsup") == "car.hsup"


def test_engine_under_its_former_id_lies_at_the_pose() -> None:
    build = BUILD.replace("engine: motor", "engine: four")
    build += "pose: {at: [1 m, 0 mm, 0 mm]}\n"
    motor = MOTOR.replace("id: motor", "id: motor\nformerly: [four]")
    assert assembly(build=build, motor=motor).ports["motor.hot"].position == (1.1, 0, 0)


@pytest.mark.parametrize(
    ("document", "old", "new", "path", "said"),
    [
        ("car", "id: car", "id: car\nformerly: [motor]", "formerly[1]", "motor is there"),
        ("car", "tach: {", "tach: {formerly: [hot], ", "ports.tach.formerly[1]",
         "car.hot is there"),
        ("car", "hsup: {family: hsup,", "hsup: {family: hsup, formerly: [x]}\n  z: {formerly: [x],",
         "ports.z.formerly[1]", "car.hsup has it too"),
        ("build", "    from: finished", "    formerly: [heat]", "joins.later.formerly[1]",
         "heat is there"),
        ("shelf", "{kind: hose", "{formerly: [spare], kind: hose", "items.hose-16.formerly[1]",
         "spare is there"),
    ],
)  # fmt: skip
def test_former_id_may_not_name_two_things(
    document: str, old: str, new: str, path: str, said: str
) -> None:
    texts = {"build": BUILD, "car": CAR, "shelf": SHELF}
    found = faults(**{document: texts[document].replace(old, new, 1)})
    fault = next(each for each in found if each.path == path)
    assert said in fault.wanted
