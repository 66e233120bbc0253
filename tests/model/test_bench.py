"""Shapes, routes, circuits and masses: what later computations take from the documents."""

import pytest
from tests.model.folders import BUILD, CAR, MOTOR, assembly, faults

from swapwright.model.sheets import Part
from swapwright.model.values import Value
from swapwright.quantity import Measure

SHAPES = """
    envelope:
      - {label: core, box: [[0 mm, 40 mm], [-260 mm, 260 mm], [0 mm, 400 mm]], nose_up: 3 deg}
      - {cylinder: {ends: [[0 mm, 0 mm, 0 mm], [45 mm, 0 mm, 0 mm]], radius: 193 mm}, turns: yes}
      - panel:
          corners: [[0 mm, 0 mm, 0 mm], [0 mm, 1 m, 0 mm], [0 mm, 1 m, 1 m], [0 mm, 0 mm, 1 m]]
          opening: [[0 mm, 400 mm, 0 mm], [0 mm, 600 mm, 0 mm], [0 mm, 500 mm, 200 mm]]
    moves_with: body
"""
RAD = "  rad: {kind: radiator}\n"
BENCH = """
circuits:
  heat-circuit:
    join: heat
    current: 22 A
    peak: 60 A
    supply: {length: 1.4 m, area: 4 mm2}
    ground: {through: engine}
    fuse: 40 A
  small-one: {fuse_of: heat-circuit}
idle_loads: {fan: 22 A}
ledger:
  out: {old-one: {mass: 152 kg, at: [210 mm, 0 mm, 520 mm], part: old}}
  in: {new-one: {mass: 148 kg, at: [255 mm, -5 mm, 540 mm], part: motor}}
  on_mounts: {mass: 195.5 kg}
reserve: 15 %
"""


def shaped(shapes: str = SHAPES) -> str:
    assert RAD in CAR
    return CAR.replace(RAD, "  rad:\n    kind: radiator" + shapes)


def si(value: Value) -> float:
    assert isinstance(value.content, Measure)
    return value.content.nominal


def test_a_part_has_shapes() -> None:
    record = assembly(car=shaped()).parts["car.rad"].record
    assert isinstance(record, Part)
    core, rotor, wall = record.envelope
    assert core.box is not None and rotor.cylinder is not None and wall.panel is not None
    assert [si(each) for each in core.box[1]] == [-0.26, 0.26]
    assert si(core.nose_up) == pytest.approx(0.0523599)
    assert rotor.turns.content is True
    assert len(wall.panel.corners) == 4 and len(wall.panel.opening) == 3
    assert record.moves_with == "body"


@pytest.mark.parametrize(
    "shape, found",
    [
        ("{label: nothing}", "0 shapes"),
        (
            "{box: [[0 mm, 1 mm], [0 mm, 1 mm], [0 mm, 1 mm]], "
            "cylinder: {ends: [[0 m, 0 m, 0 m], [1 m, 0 m, 0 m]], radius: 1 mm}}",
            "2 shapes",
        ),
        ("{box: [[0 mm, 1 mm], [0 mm, 1 mm]]}", "a list of 2"),
        ("{panel: {corners: [[0 m, 0 m, 0 m], [1 m, 0 m, 0 m]]}}", "a list"),
        ("{cylinder: {ends: [[0, 0 m, 0 m], [1 m, 0 m, 0 m]], radius: 1 mm}}", "0 (no unit)"),
    ],
)
def test_a_wrong_shape_is_told_at_its_place(shape: str, found: str) -> None:
    told = faults(car=shaped(f"\n    envelope: [{shape}]\n"))
    assert [each.found for each in told] == [found]
    assert told[0].path.startswith("parts.rad.envelope")


def test_routes_circuits_and_masses_are_read() -> None:
    route = "route: {via: [[1 mm, 2 mm, 3 mm]], length: 466 mm}\n    through: [hose-16]"
    text = BUILD.replace("through: [hose-16]", route, 1) + BENCH
    build = assembly(build=text).build
    way = build.joins["heat"].route
    assert way is not None and [si(each) for each in way.via[0]] == [0.001, 0.002, 0.003]
    assert si(build.circuits["heat-circuit"].supply.area) == pytest.approx(4e-6)
    assert build.circuits["heat-circuit"].ground.through == "engine"
    assert build.ledger is not None
    assert si(build.ledger.out["old-one"].mass) - si(build.ledger.into["new-one"].mass) == 4
    assert si(build.reserve) == pytest.approx(0.15)
    assert not build.circuits["small-one"].supply.length.known


@pytest.mark.parametrize(
    "wrong, right, path",
    [
        ("join: heat", "join: heet", "circuits.heat-circuit.join"),
        ("fuse_of: heat-circuit", "fuse_of: heat", "circuits.small-one.fuse_of"),
        ("part: motor", "part: motr", "ledger.in.new-one.part"),
    ],
)
def test_what_they_name_has_to_be_there(wrong: str, right: str, path: str) -> None:
    told = faults(build=BUILD + BENCH.replace(wrong, right))
    assert [each.path for each in told] == [path]


def test_a_plug_names_its_pins() -> None:
    plug = "{family: hot, plug: {half: pin, pins: [X1-3, X1-4]}, part: brace,"
    made = assembly(motor=MOTOR.replace("{family: hot, part: brace,", plug))
    held = made.ports["motor.hot"].record.plug
    assert held is not None and held.pins == ("X1-3", "X1-4")
