"""A small valid folder as text, and ways to change it."""

from swapwright.model.assemble import try_assemble
from swapwright.model.assembly import Assembly
from swapwright.model.documents import Documents, read_documents
from swapwright.model.faults import Fault
from swapwright.model.words import Stage

BUILD = """\
format: 1
kind: build
id: van
recipient: car
engine: motor
outgoing: [old]
joins:
  heat:
    ends: [motor.hsup, car.hsup]
    through: [hose-16]
  later:
    ends: [motor.hot, car.hot]
    from: finished
fates:
  - {port: motor.hot, fate: capped}
  - {port: car.tach, fate: parked, from: first drive}
decisions:
  tap: {question: keep it?, options: {keep: , drop: }, about: [car.hsup, heat]}
stock:
  spare: {item: hose-16, for: heat}
jobs: {J1: {facts: {}}}
steps:
  cut: {does: cut, what: [car.tach]}
functions: {motor.brace.lift eye: moved to the head}
readings:
  - {of: car.kerb_mass, value: 1000 kg}
"""
CAR = """\
format: 1
kind: vehicle
id: car
facts: {kerb_mass: "900 kg, typical"}
parts:
  rad: {kind: radiator}
ports:
  hot: {family: hot, part: rad, was: old.hot, end: hose bead 36 mm}
  hsup: {family: hsup, end: hose bead 16 mm}
  tach: {family: tach, place: dash}
"""
MOTOR = """\
format: 1
kind: engine
id: motor
parts:
  brace: {functions: [lift eye]}
ports:
  hot: {family: hot, part: brace, place: {at: [100 mm, 0 mm, 0 mm], axis: [1, 0, 0]}}
  hsup: {family: hsup, end: hose bead 16 mm}
"""
OLD = """\
format: 1
kind: engine
id: old
ports: {hot: {family: hot}}
"""
SHELF = """\
format: 1
kind: catalogue
id: shelf
items:
  hose-16: {kind: hose, facts: {hose_bore: 16 mm}}
"""
TEXTS = {"build.yaml": BUILD, "car.yaml": CAR, "motor.yaml": MOTOR, "old.yaml": OLD}
TEXTS["shelf.yaml"] = SHELF


def read(**changed: str | bytes) -> Documents:
    """The folder with documents replaced, or added, by the stem of their name."""
    texts: dict[str, str | bytes] = {**TEXTS, **{f"{k}.yaml": v for k, v in changed.items()}}
    return read_documents(
        (name, held if isinstance(held, bytes) else held.encode()) for name, held in texts.items()
    )


def faults(**changed: str | bytes) -> tuple[Fault, ...]:
    """All faults of the changed folder."""
    return try_assemble(read(**changed))[1]


def assembly(
    stage: Stage = Stage.FIRST_START, as_it_stands: bool = False, **changed: str | bytes
) -> Assembly:
    """The changed folder, assembled; it has no faults."""
    made, found = try_assemble(read(**changed), stage, as_it_stands)
    assert found == (), [str(each) for each in found]
    assert made is not None
    return made
