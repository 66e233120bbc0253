"""Documents into records: every kind of fault, at its place, all in one run."""

from collections.abc import MutableMapping
from pathlib import Path
from typing import Any

import pytest
from tests.model.folders import BUILD, CAR, MOTOR, SHELF, TEXTS, faults, read

from swapwright.model.assemble import try_assemble
from swapwright.model.documents import MOST_FILES, read_documents, read_folder
from swapwright.model.faults import Fault
from swapwright.model.gathering import MOST_HINTS
from swapwright.model.migrate import migrated, migrated_text
from swapwright.model.reading import read_text


def one(found: tuple[Fault, ...]) -> Fault:
    assert len(found) == 1, [str(each) for each in found]
    return found[0]


def test_the_folder_itself_has_none() -> None:
    assert faults() == ()


CASES = [  # document, piece, what stands there instead, path, line, said, nearest
    ("car", "id: car", "", "", 1, "found no id, wanted id; for example", ""),
    ("car", "id: car", "id: 9car", "id", 3, "begins with a letter", ""),
    ("car", "kind: vehicle", "kind: vehikle", "kind", 2, "one of: vehicle, engine", "vehicle"),
    ("car", "kind: vehicle", "kind: [vehicle]", "kind", 2,
     "found a list, wanted one of: vehicle", ""),
    ("car", "kind: vehicle\n", "", "", 1, "found no kind", ""),
    ("car", "format: 1\n", "", "", 1, "found no format", ""),
    ("car", "format: 1", "format: 2", "format", 1, "a newer Swapwright wrote this", ""),
    ("car", "format: 1", "format: one", "format", 1, "a format number", ""),
    ("car", "format: 1", "format: ²", "format", 1, "a format number", ""),
    ("car", "format: 1", "format: 0", "format", 1, "a format number", ""),
    ("car", "format: 1", "format: " + "9" * 5000, "format", 1, "a format number", ""),
    ("car", "format: 1", "format: [1]", "format", 1, "a format number", ""),
    ("car", "kerb_mass:", "kerb_mas:", "facts.kerb_mas", 4, "a fact of a vehicle", "kerb_mass"),
    ("car", "kerb_mass:", "capacity:", "facts.capacity", 4, "capacity belongs to: engine",
     "battery_capacity"),
    ("car", '"900 kg, typical"', "900", "facts.kerb_mass", 4, "a mass with its unit", ""),
    ("car", '"900 kg, typical"', '"900,5 kg"', "facts.kerb_mass", 4, "900,5 kg", ""),
    ("car", '"900 kg, typical"', "900 mm", "facts.kerb_mass", 4, "wanted a mass", ""),
    ("car", '"900 kg, typical"', "nan kg", "facts.kerb_mass", 4, "nan kg", ""),
    ("car", '"900 kg, typical"', "inf kg", "facts.kerb_mass", 4, "inf kg", ""),
    ("car", '"900 kg, typical"', "1e999 kg", "facts.kerb_mass", 4, "1e999 kg", ""),
    ("car", '"900 kg, typical"', "[900 kg]", "facts.kerb_mass", 4, "found a list", ""),
    ("car", '"900 kg, typical"', "{value: 9}", "facts.kerb_mass", 4, "a mass", ""),
    ("car", 'facts: {kerb_mass: "900 kg, typical"}', "facts: [x]", "facts", 4, "facts by name", ""),
    ("car", "end: hose bead 16", "end: hose beed 16", "ports.hsup.end", 9, "an end form",
     "hose bead"),
    ("car", "end: hose bead 16 mm", "end: hose bead 16", "ports.hsup.end", 9, "a length",
     ""),
    ("car", "family: tach", "famly: tach", "ports.tach.famly", 10, "an unknown name", "family"),
    ("car", "family: tach", "family: tahc", "ports.tach.family", 10, "a family of the port table",
     "tach"),
    ("car", "part: rad", "part: rda", "ports.hot.part", 8, "a part of this sheet", "rad"),
    ("car", "was: old.hot", "was: old.hto", "ports.hot.was", 8, "a port, or plain", "old.hot"),
    ("car", "family: tach", "family: [tach]", "ports.tach.family", 10, "wanted a text", ""),
    ("car", "{family: tach, place: dash}", "[tach]", "ports.tach", 10, "values by name", ""),
    ("car", "place: dash", "there: maybe", "ports.tach.there", 10, "one of: yes, no, unknown", ""),
    ("car", "place: dash", "flow: sideways", "ports.tach.flow", 10, "one of: in, out", ""),
    ("car", "place: dash", "service: coolnt", "ports.tach.service", 10, "coolnt", "coolant"),
    ("car", "place: dash", "place: {at: [1 mm, 2 mm]}", "ports.tach.place.at", 10,
     "found a list of 2, wanted 3 entries", ""),
    ("car", "place: dash", "place: {axis: [nan, 0, 1]}", "ports.tach.place.axis[1]", 10,
     "finite number", ""),
    ("car", "place: dash", "place: {axis: [inf, 0, 1]}", "ports.tach.place.axis[1]", 10,
     "finite number", ""),
    ("car", "place: dash", "place: {axis: [x, 0, 1]}", "ports.tach.place.axis[1]", 10,
     "a plain number", ""),
    ("car", "  tach:", "  ta ch:", "ports.ta ch", 10, "letters, digits and hyphens", ""),
    ("car", "  tach:", "  hsup:", "ports.hsup", 10, "a second time", ""),
    ("old", "{hot: {family: hot}}", "x", "ports", 4, "values by name", ""),
    ("build", "recipient: car", "recipient: crr", "recipient", 4, "id of a vehicle sheet", "car"),
    ("build", "recipient: car", "recipient: motor", "recipient", 4, "is no vehicle sheet", ""),
    ("build", "engine: motor", "engine: car", "engine", 5, "which is no engine sheet", ""),
    ("build", "outgoing: [old]", "outgoing: [odl]", "outgoing[1]", 6, "found \"odl\"", "old"),
    ("build", "[motor.hsup, car.hsup]", "[motor.hsup, car.hsupp]", "joins.heat.ends[2]", 9,
     "a port as sheet.port", "car.hsup"),
    ("build", "[motor.hsup, car.hsup]", "[motor.hsup]", "joins.heat.ends", 9,
     "found a list of 1, wanted 2 entries; for example: ends: [", ""),
    ("build", "[motor.hsup, car.hsup]", "[motor.hsup, car.hsup, car.hot]", "joins.heat.ends", 9,
     "at most 2 entries", ""),
    ("build", "[motor.hsup, car.hsup]", "motor.hsup", "joins.heat.ends", 9, "a list", ""),
    ("build", "[motor.hsup, car.hsup]", "[car.hsup, car.hsup]", "joins.heat.ends", 9,
     "one port twice", ""),
    ("build", "ends: [motor.hsup, car.hsup]", "progress: fitted", "joins.heat", 8, "found no ends",
     ""),
    ("build", "[hose-16]", "[hose-61]", "joins.heat.through[1]", 10, "an item of a catalogue",
     "hose-16"),
    ("build", "from: finished", "from: first start", "fates[1].port", 15,
     "a join or another fate from one stage on, not both", ""),
    ("build", "[motor.hot, car.hot]", "[motor.hsup, car.hot]", "joins.later.ends", 12,
     "motor.hsup joined twice", ""),
    ("build", "from: finished", "from: finnished", "joins.later.from", 13, "one of: first",
     "finished"),
    ("build", "through: [hose-16]", "progress: almost", "joins.heat.progress", 10,
     "one of: planned",
     ""),
    ("build", "through: [hose-16]", "small: {clamp: gone}", "joins.heat.small.clamp",
     10, "one of: have, lost", ""),
    ("build", "through: [hose-16]", "start: finished", "joins.heat.start", 10,
     "an unknown name", ""),
    ("build", "fate: capped", "fate: caped", "fates[1].fate", 15, "one of: capped", "capped"),
    ("build", "port: motor.hot, ", "", "fates[1]", 15, "found no port", ""),
    ("build", "port: car.tach", "port: motor.hot, fate: kept}\n  - {port: car.tach",
     "fates[2].port", 16, "entry 1 has one", ""),
    ("build", "port: car.tach", "port: car.tahc", "fates[2].port", 16, "a port as", "car.tach"),
    ("build", "options: {keep: , drop: }", "options: {keep: , drop: }, chosen: kepp",
     "decisions.tap.chosen", 18, "one of: keep, drop", "keep"),
    ("build", "options: {keep: , drop: }", "weights: {money: nan}", "decisions.tap.weights.money",
     18, "finite number", ""),
    ("build", "about: [car.hsup, heat]", "about: [car.hsup, haet]", "decisions.tap.about[2]", 18,
     "a port, a part or a join", "heat"),
    ("build", "{question: keep it?, ", "{", "decisions.tap", 18, "found no question", ""),
    ("build", "item: hose-16", "item: hose-17", "stock.spare.item", 20, "an item", "hose-16"),
    ("build", "item: hose-16", "item: spare", "stock.spare.item", 20, "an item", ""),
    ("build", "for: heat", "for: [heat, haet]", "stock.spare.for[2]", 20, "a join", "heat"),
    ("build", "for: heat", "state: lost", "stock.spare.state", 20, "one of: wanted", ""),
    ("build", "  spare:", "  heat:", "stock.heat", 20, "a join has this one", ""),
    ("build", "J1:", "hose-16:", "jobs.hose-16", 21, "own: an item has this one", ""),
    ("build", "J1:", "car:", "jobs.car", 21, "a vehicle has this one", ""),
    ("build", "  tap:", "  heat:", "decisions.heat", 18, "a join has this one", ""),
    ("build", "  cut:", "  spare:", "steps.spare", 23, "a stock has this one", ""),
    ("build", "J1: {facts: {}}", "J1: {facts: {kerb_mass: 1 kg}}", "jobs.J1.facts.kerb_mass", 21,
     "a fact of a job (kerb_mass belongs to: vehicle)", "lifted_mass"),
    ("build", "what: [car.tach]", "what: [car.tahc]", "steps.cut.what[1]", 23, "a port, a part",
     "car.tach"),
    ("build", "does: cut", "does: burn", "steps.cut.does", 23, "one of: cut", ""),
    ("build", "lift eye:", "lift eyes:", "functions.motor.brace.lift eyes", 24,
     "a function as sheet.part.function", "motor.brace.lift eye"),
    ("build", "of: car.kerb_mass", "of: car.kerb_mas", "readings[1].of", 26, "a fact of a vehicle",
     "kerb_mass"),
    ("build", "of: car.kerb_mass", "of: carr.kerb_mass", "readings[1].of", 26, "subject.fact",
     "car.kerb_mass"),
    ("build", "of: car.kerb_mass", "of: car.hot.end.barel", "readings[1].of", 26,
     "a dimension of a port's end", "car.hot.end.barrel"),
    ("build", "of: car.kerb_mass", "of: car.hot", "readings[1].of", 26,
     "a dimension of the end of car.hot", "car.hot.end.barrel"),
    ("build", "value: 1000 kg", "value: 1000", "readings[1].value", 26, "a mass with its unit", ""),
    ("build", "value: 1000 kg", "value: 1 kg, by: eye", "readings[1].value", 26, "a tool", ""),
    ("build", "{of: car.kerb_mass, ", "{", "readings[1]", 26, "found no of", ""),
    ("motor", "[lift eye]", "lift eye", "parts.brace.functions", 5, "a list", ""),
    ("shelf", "id: shelf", "id: heat", "id", 3, "a join has this one", ""),
    ("shelf", "hose_bore: 16 mm", "hose_bore: 16", "items.hose-16.facts.hose_bore", 5,
     "a length with its unit", ""),
    ("shelf", "kind: hose", "knid: hose", "items.hose-16.knid", 5, "an unknown name", "kind"),
    ("old", "id: old", "id: motor", "id", 3, "an id of its own: motor.yaml has this one", ""),
]  # fmt: skip


@pytest.mark.parametrize(
    ("document", "old", "new", "path", "line", "said", "nearest"), CASES, ids=range(len(CASES))
)
def test_fault_is_told_at_its_place(
    document: str, old: str, new: str, path: str, line: int, said: str, nearest: str
) -> None:
    text = TEXTS[f"{document}.yaml"]
    assert old in text
    found = faults(**{document: text.replace(old, new, 1)})
    fault = next((each for each in found if each.path == path), None)
    assert fault is not None, [str(each) for each in found]
    assert (fault.file, fault.line) == (f"{document}.yaml", line)
    assert fault.column is not None
    assert said in str(fault)
    assert fault.nearest == nearest
    gone = path == "id" or path in ("ports.ta ch", "ports.hsup")  # what others refer to
    assert len(found) == 1 or gone, [str(each) for each in found]


def test_all_faults_of_all_documents_in_one_run() -> None:
    found = faults(
        build=BUILD.replace("fate: capped", "fate: caped").replace("[hose-16]", "[hose-61]"),
        car=CAR.replace("900 kg", "900").replace("hose bead 36", "hose beed 36"),
        motor=MOTOR.replace("family: hsup", "family: hsupp"),
        shelf=SHELF + "items: {}\n",
        broken="a: [\n",
        binary=b"\x00\x01",
    )
    places = {(each.file, each.path) for each in found}
    assert places == {
        ("build.yaml", "fates[1].fate"),
        ("build.yaml", "joins.heat.through[1]"),
        ("car.yaml", "facts.kerb_mass"),
        ("car.yaml", "ports.hot.end"),
        ("motor.yaml", "ports.hsup.family"),
        ("shelf.yaml", "items"),
        ("broken.yaml", ""),
        ("binary.yaml", ""),
    }
    assert all(each.line is not None for each in found)


def test_nearest_names_are_told_of_the_first_faults_only() -> None:
    """Each costs a comparison with every known name; a thousand of them would take minutes."""
    wrong = "".join(f"  - {{port: car.hop, fate: kept, reason: no. {i}}}\n" for i in range(30))
    build = BUILD.replace("fates:\n", "fates:\n" + wrong)
    told = [each.nearest for each in faults(build=build) if each.found == '"car.hop"']
    assert told == ["car.hot"] * MOST_HINTS + [""] * (30 - MOST_HINTS)


def test_what_cannot_be_read_is_not_told_as_missing() -> None:
    found = faults(car="format: 1\nkind: vehicle\nid: car\nports: [\n")
    assert [(each.file, each.path) for each in found] == [("car.yaml", "")]
    found = faults(car=CAR.replace("hsup: {family: hsup, end: hose bead 16 mm}", "hsup: [x]"))
    assert [each.path for each in found] == ["ports.hsup"]
    found = faults(build=BUILD.replace("ends: [motor.hsup, car.hsup]", "ends: [motor.hsup]"))
    assert [each.path for each in found] == ["joins.heat.ends"]


def test_two_builds_and_none() -> None:
    fault = one(faults(other=BUILD.replace("id: van", "id: other")))
    assert (fault.file, fault.path) == ("other.yaml", "kind") and "second build" in fault.found
    texts = [(name, text.encode()) for name, text in TEXTS.items() if name != "build.yaml"]
    assert "no build document" in one(tuple(read_documents(texts).faults)).found


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "an empty document"),
        ("- a\n- b\n", "a list or a text"),
        ("just words\n", "a list or a text"),
        ("null\n", "an empty document"),
        ("{}\n", "no kind"),
        ("? {a: 1}\n: b\n", "a list or mapping as a key"),
        ("kind: build\nkind: build\n", "a second time"),
    ],
)
def test_document_that_is_no_mapping_of_ours(text: str, said: str) -> None:
    assert any(said in str(each) for each in faults(more=text))


def test_folders(tmp_path: Path) -> None:
    def found(folder: Path) -> Fault:
        return one(tuple(read_folder(folder).faults))

    assert found(tmp_path / "none").found == "no such folder"
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert found(tmp_path / "file").found == "a file"
    assert found(tmp_path).found == "a folder without a *.yaml file"
    for name, text in TEXTS.items():
        path = tmp_path / "deep" / name.replace(".yaml", ".yml" if name == "old.yaml" else ".yaml")
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    hidden = tmp_path / ".swapwright" / "history"
    hidden.mkdir(parents=True)
    (hidden / "x.yaml").write_text("broken: [", encoding="utf-8")
    (tmp_path / "folder.yaml").mkdir()
    documents = read_folder(tmp_path)
    assert documents.faults == []
    assert list(documents.sources) == [
        "deep/build.yaml", "deep/car.yaml", "deep/motor.yaml", "deep/old.yml", "deep/shelf.yaml",
    ]  # fmt: skip
    for i in range(MOST_FILES):
        (tmp_path / f"{i}.yaml").write_text("a: b", encoding="utf-8")
    assert "YAML files" in found(tmp_path).found


def test_file_that_cannot_be_opened_is_a_fault() -> None:
    error = PermissionError(13, "Permission denied")
    fault = one(tuple(read_documents([("a.yaml", error), ("b.yaml", BUILD.encode())]).faults))
    assert (fault.file, fault.found) == ("a.yaml", "Permission denied")


def test_record_of_a_large_document() -> None:
    ports = "".join(f"  p{i}: {{family: hot, end: hose bead 36 mm}}\n" for i in range(10_000))
    documents = read(car=CAR + ports)
    assert documents.faults == []


def step_to_two(tree: MutableMapping[str, Any]) -> None:
    """A made-up step: ``weight`` became ``mass``."""
    if "weight" in tree:
        tree["mass"] = tree.pop("weight")


def step_to_three(tree: MutableMapping[str, Any]) -> None:
    tree["added"] = "x"


def test_migrated_text_keeps_comments_and_equals_the_tree() -> None:
    text = "# my engine\nformat: 1\nlabel: old four  # as sold\nweight: 3 kg\n"
    source = read_text("a", text)
    assert isinstance(source.tree, dict)
    steps = {1: step_to_two, 2: step_to_three}
    after = migrated_text(source, steps, newest=3)
    assert "# my engine" in after and "# as sold" in after
    assert read_text("a", after).tree == migrated(source, source.tree, steps, newest=3)[0]
    assert migrated_text(source) == text


def test_migration_takes_every_step_in_turn() -> None:
    source = read_text("a", "format: 1\nweight: 3 kg\n")
    assert isinstance(source.tree, dict)
    steps = {1: step_to_two, 2: step_to_three}
    tree, fault = migrated(source, source.tree, steps, newest=3)
    assert fault is None
    assert tree == {"format": "3", "mass": "3 kg", "added": "x"}
    assert source.tree == {"format": "1", "weight": "3 kg"}
    later = read_text("a", "format: 2\nmass: 3 kg\n")
    assert isinstance(later.tree, dict)
    assert migrated(later, later.tree, steps, newest=3)[0]["added"] == "x"
    _, fault = migrated(later, later.tree, steps, newest=1)
    assert fault is not None and fault.line == 1


def test_a_sheet_that_is_gone_is_told_once() -> None:
    """Not again at each join, fate and decision that names a port of it."""
    held = [(name, text.encode()) for name, text in TEXTS.items() if name != "car.yaml"]
    gone = one(try_assemble(read_documents(held))[1])
    assert gone.path == "recipient"
