"""Starter sheets: complete, honest about where their values come from, and made by the script.

Their figures are invented, typical ones from memory, so nothing outside can check
them; what can be checked is that no sheet leaves a row of the port table
unanswered, and that the sheets fit the invented light van of the demo.
"""

import csv
from collections.abc import Iterator, Mapping
from math import dist, radians
from pathlib import Path

import pytest
from tools import make_starters

from swapwright.library.starters import starter_codes, starter_text
from swapwright.model.assemble import assemble
from swapwright.model.documents import read_documents
from swapwright.model.families import families
from swapwright.model.pose import Point, placed
from swapwright.model.sheets import Engine, Gearbox, Port, Sheet, Vehicle
from swapwright.model.values import NOTHING_SAID, UNKNOWN, Value
from swapwright.quantity import Basis, Measure

CODES = tuple(starter_codes())
TABLES = Path(make_starters.__file__).parent / "starters"


def sheet(code: str) -> Sheet:
    documents = read_documents([(f"{code}.yaml", starter_text(code).encode())])
    # a build document is missing, on purpose
    assert [str(each) for each in documents.faults if each.file == f"{code}.yaml"] == []
    record = documents.records[f"{code}.yaml"]
    assert isinstance(record, Sheet)
    return record


def own_half(record: Sheet, family: str) -> bool:
    row = families()[family]
    if isinstance(record, Vehicle):
        return row.car_half
    return row.newcomer_half == ("engine" if isinstance(record, Engine) else "gearbox")


# -- reading ------------------------------------------------------------------


@pytest.mark.parametrize("code", CODES)
def test_sheet_reads_without_a_fault_and_says_what_it_is(code: str) -> None:
    record = sheet(code)
    kinds = {"A": Vehicle, "D": Engine, "G": Gearbox}
    assert isinstance(record, kinds[code[0]])
    assert record.id == f"starter-{code.lower()}"
    assert record.label == starter_codes()[code]
    assert record.starter is not None and record.starter.sheet == code
    assert record.starter.version.content == 1


def test_an_unknown_code_names_those_there_are() -> None:
    with pytest.raises(KeyError, match=r"B7: no such starter sheet; there are A1, A2"):
        starter_text("B7")


def test_files_are_what_the_script_makes_now() -> None:
    made = make_starters.texts()
    held = {path.name: path.read_bytes() for path in make_starters.TARGET.iterdir()}
    assert held == {name: text.encode() for name, text in made.items()}


# -- completeness -------------------------------------------------------------


@pytest.mark.parametrize("code", CODES)
def test_every_row_of_the_port_table_is_answered(code: str) -> None:
    record = sheet(code)
    assert {port.family for port in record.ports.values()} == set(families())


@pytest.mark.parametrize("code", CODES)
def test_an_answer_is_there_or_not_with_a_reason_or_unknown_with_a_share(code: str) -> None:
    for name, port in sheet(code).ports.items():
        assert (port.there == "no") == bool(port.why), name
        assert (port.there == "unknown") == (port.share is not NOTHING_SAID), name
        if port.there == "unknown":
            assert isinstance(port.share.content, Measure), name
            assert 0 < port.share.content.nominal < 1, name


@pytest.mark.parametrize("code", CODES)
def test_a_sheet_has_ports_of_its_own_half_only(code: str) -> None:
    record = sheet(code)
    for name, port in record.ports.items():
        # A gearbox has the other half of the bell face, and may carry the speed sender.
        beside = isinstance(record, Gearbox) and port.family in ("bell", "vss")
        assert port.there == "no" or own_half(record, port.family) or beside, name


def test_every_family_is_there_on_some_sheet() -> None:
    met = {
        (port.family, isinstance(record, Vehicle))
        for record in map(sheet, CODES)
        for port in record.ports.values()
        if port.there != "no"
    }
    newcomer = {row.id for row in families().values() if row.newcomer_half}
    # No kind of car or engine here has these; a build that has one writes it down.
    seldom = {"ocl", "psw", "sair"}
    assert newcomer - {family for family, car in met if not car} <= seldom
    assert {"hot", "feed", "thr", "gnd"} <= {family for family, car in met if car}


@pytest.mark.parametrize("code", CODES)
def test_ports_sit_on_parts_of_the_sheet(code: str) -> None:
    record = sheet(code)
    used = {port.part for port in record.ports.values() if port.part}
    assert used == set(record.parts)


ROLES = ("recipient", "engine", "gearbox", "outgoing")
GROUPS = (
    ("A1", "D1", "G1", "D6"), ("A2", "D4", "G3", "D5"), ("A4", "D3", "G2", "D2"), ("A3",), ("A5",),
)  # fmt: skip


@pytest.mark.parametrize("codes", GROUPS, ids="-".join)
def test_sheets_assemble_with_every_reference_resolved(codes: tuple[str, ...]) -> None:
    names = [f"starter-{code.lower()}" for code in codes]
    roles = [
        f"{role}: [{name}]" if role == "outgoing" else f"{role}: {name}"
        for role, name in zip(ROLES, names, strict=False)
    ]
    build = "\n".join(["format: 1", "kind: build", "id: trial", *roles])
    texts = [(f"{code}.yaml", starter_text(code).encode()) for code in codes]
    assembly = assemble(read_documents([*texts, ("build.yaml", build.encode())]))
    assert {port.sheet for port in assembly.ports.values()} == set(names)


def test_the_tables_name_every_row_of_the_port_table() -> None:
    ports = {row["port"] for name in PORT_TABLES for row in rows(name)}
    named = {name for each in ports for name in each.split()}
    assert {make_starters.family_of(name).id for name in named} == set(families())


PORT_TABLES = ("ports-core.csv", "ports-cars.csv", "ports-engines.csv", "ports-gearboxes.csv")


def rows(name: str) -> list[dict[str, str]]:
    lines = (TABLES / name).read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# -- honesty ------------------------------------------------------------------


def values_of(record: Sheet) -> Iterator[tuple[str, Value]]:
    facts: Mapping[str, Value] = getattr(record, "facts")  # noqa: B009
    yield from facts.items()
    for name, port in record.ports.items():
        yield from ((f"{name}.{fact}", value) for fact, value in port.facts.items())
        yield f"{name}.share", port.share
        if port.end is not None:
            yield from ((f"{name}.{dim}", value) for dim, value in port.end.dims.items())
        yield from ((f"{name}.at", value) for value in port.place.at or ())


@pytest.mark.parametrize("code", CODES)
def test_every_value_is_typical_and_backs_no_stop(code: str) -> None:
    known = [(name, value) for name, value in values_of(sheet(code)) if value.known]
    assert len(known) > 30
    assert [name for name, value in known if value.basis is not Basis.TYPICAL] == []
    assert not any(value.backs_a_stop for _, value in known)


@pytest.mark.parametrize("code", CODES)
def test_sizes_and_places_have_a_spread(code: str) -> None:
    for name, port in sheet(code).ports.items():
        lengths = [*(port.place.at or ()), *lengths_of(port)]
        assert all(uncertain(value) for value in lengths), name


def lengths_of(port: Port) -> list[Value]:
    if port.end is None:
        return []
    dims = port.end.definition.dims
    return [value for name, value in port.end.dims.items() if dims[name].name == "length"]


def uncertain(value: Value) -> bool:
    return isinstance(value.content, Measure) and value.content.uncertainty > 0


def test_a_typed_bound_is_a_rectangle_around_the_deviation_of_the_table() -> None:
    # A rectangular distribution of half width a has the standard deviation a / sqrt(3):
    # Guide to the expression of uncertainty in measurement, 4.3.7.
    barrel = sheet("D1").ports["hot"].end
    assert barrel is not None
    content = barrel.dim("barrel").content
    assert isinstance(content, Measure)
    assert content.nominal == pytest.approx(0.036)
    assert content.uncertainty == pytest.approx(0.003, rel=0.02)  # two figures of the bound


def test_what_is_half_and_half_is_unknown() -> None:
    assert sheet("D3").ports["hot"].there == "yes"
    facts = dict(values_of(sheet("D3")))
    assert facts["thermostat_place"].content is UNKNOWN


# -- what the tables mean -------------------------------------------------------


def test_a_weak_cap_bounds_the_coolant_ports() -> None:
    for code, bar in (("A1", 0.7), ("A2", 1.1), ("A5", 0.8), ("D4", 1.0), ("D6", 0.7)):
        content = sheet(code).ports["hot"].facts["pressure_limit"].content
        assert isinstance(content, Measure)
        assert content.nominal == pytest.approx(bar * 1e5), code


def test_a_carburettor_line_is_not_rated_for_injection() -> None:
    for code in ("A1", "A5", "D6"):
        content = sheet(code).ports["feed"].facts["pressure_limit"].content
        assert isinstance(content, Measure)
        assert content.nominal < 0.5e5, code


def test_a_way_of_its_own_does_not_hide_what_the_servo_line_stands() -> None:
    # A typical line of brake vacuum, from memory: 90 kPa of suction, 120 °C.
    for code in CODES:
        servo = sheet(code).ports["servo"]
        if servo.there != "no":
            for name, wanted in (("suction_limit", 90e3), ("temperature_limit", 120 + 273.15)):
                content = servo.facts[name].content
                assert isinstance(content, Measure), f"{code}.{name}"
                assert content.nominal == pytest.approx(wanted), f"{code}.{name}"


def test_left_is_left_and_right_is_right() -> None:
    for code in CODES:
        for name, port in sheet(code).ports.items():
            if name.endswith(("-l", "-r")) and port.place.at and code[0] != "G":
                y = port.place.at[1].content
                assert isinstance(y, Measure)
                assert (y.nominal < 0) == name.endswith("-l"), f"{code}.{name}"


def test_old_sheets_have_no_engine_loom() -> None:
    for code in ("A1", "A5", "D6"):
        for name, port in sheet(code).ports.items():
            if port.plug:
                assert "engine loom" not in (port.plug.on, port.plug.mate), f"{code}.{name}"


def test_other_halves_are_looked_for_at_a_place_with_a_name() -> None:
    places = {"body loom", "engine loom", "tank loom", "the gearbox"}
    for code in CODES:
        for name, port in sheet(code).ports.items():
            assert not port.plug or port.plug.mate in places | {""}, f"{code}.{name}"


# -- the demo's van -------------------------------------------------------------

# Invented: the ports of the four in the demo's light van, mm in the vehicle frame, crank
# axis at the bell face at (520, -10, 395), nose up 3 degrees.
CRANK_AT_BELL = (0.520, -0.010, 0.395)
NOSE_UP = radians(3)
IN_THE_VAN: Mapping[str, Mapping[str, Point]] = {
    "D1": {
        "hot": (-30, -60, 720), "ret": (15, 120, 470), "hsup": (505, -70, 690),
        "hret": (505, -130, 600), "ebl": (5, -55, 765), "tbw-o": (235, -315, 655),
        "tbw-i": (235, -315, 625), "byp": (30, -20, 715), "filt": (105, 150, 390),
        "oilp": (120, 150, 445), "tmp": (15, -30, 720), "cts": (25, -80, 720),
        "feed": (480, -215, 690), "fret": (400, -230, 685), "purge": (300, -330, 700),
        "servo": (330, -240, 770), "pcv": (250, -100, 830), "thr": (260, -330, 690),
        "duct": (230, -340, 640), "idle": (200, -335, 640), "flg": (430, 215, 430),
        "st": (480, -140, 385), "trig": (480, -140, 385), "alt": (75, -205, 400),
        "exc": (75, -205, 400), "mnt-l": (180, -245, 395), "mnt-r": (180, 225, 395),
        "gnd": (500, 140, 600), "gecu": (500, 140, 600),
    },
    "G1": {
        "clu": (600, -165, 380), "shift": (1010, -10, 440), "spd": (1130, 70, 330),
        "rev": (880, -120, 400), "out": (1219, -10, 358.4), "gmnt": (980, -10, 265),
    },
}  # fmt: skip
CASES = [(code, name) for code, ports in IN_THE_VAN.items() for name in ports]


@pytest.mark.parametrize(("code", "name"), CASES)
def test_ports_come_out_where_the_van_has_them(code: str, name: str) -> None:
    at = sheet(code).ports[name].place.at
    assert at is not None
    x, y, z = (each.content for each in at)
    assert isinstance(x, Measure) and isinstance(y, Measure) and isinstance(z, Measure)
    found = placed((x.nominal, y.nominal, z.nominal), CRANK_AT_BELL, NOSE_UP, 0, 0)
    wanted = [each / 1000 for each in IN_THE_VAN[code][name]]
    assert dist(found, wanted) < 0.025
