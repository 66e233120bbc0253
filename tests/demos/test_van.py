"""The demo van says what it was made to say, nothing worse, and asks where it is not told.

The places, lengths, masses and prices below are the invented ones of the demo itself, as its
builder states them in the vehicle frame: they check that the documents carry them unharmed.
"""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import pairwise
from math import dist

import pytest
import yaml
from tests.demos.folders import MUST_SAY, demo_texts

from swapwright.assess import assess
from swapwright.findings.book import RULES
from swapwright.findings.kit import Look, Rule, Trip, the_car
from swapwright.findings.run import Finding, judge
from swapwright.library.jobs import jobs
from swapwright.model.assemble import assemble
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.build import Build, Weight
from swapwright.model.documents import Documents, read_documents
from swapwright.model.ends import End
from swapwright.model.pose import Point, direction, placed
from swapwright.model.sheets import Sheet, Solid
from swapwright.model.values import NOTHING_SAID, Value
from swapwright.model.words import FateWord, Side, Stage, Urgency
from swapwright.quantity import Measure, Money, read_money

NAME = "van"
AS_OF = date(2026, 11, 25)
LATER = date(2036, 1, 1)
LINES: list[dict[str, str]] = yaml.load(MUST_SAY[NAME].read_text("utf-8"), yaml.BaseLoader)
# Findings before the road that no line of the list quotes: each with why it is right.
ALSO_BEFORE_THE_ROAD: dict[str, str] = {}
SPOKEN = (Urgency.STOP, Urgency.ROAD, Urgency.FIX, Urgency.NOTE)


@cache
def documents() -> Documents:
    return read_documents((name, text.encode()) for name, text in demo_texts(NAME).items())


@cache
def van(stage: Stage = Stage.FIRST_START, as_it_stands: bool = False) -> Assembly:
    return assemble(documents(), stage, as_it_stands)


@cache
def told(as_of: date = AS_OF, stage: Stage = Stage.FIRST_START) -> tuple[Finding, ...]:
    return judge(van(stage), RULES, as_of).findings


def spoken(findings: tuple[Finding, ...]) -> dict[str, Urgency]:
    return {each.id: each.urgency for each in findings if each.urgency in SPOKEN}


def is_line(finding: Finding, line: dict[str, str]) -> bool:
    """True when a finding is what a line of the list wants said."""
    about = line.get("about", "")
    families = {
        port.family.id
        for port in (van().ports.get(subject) for subject in finding.subjects)
        if port is not None and port.family is not None
    }
    named = about in ("", *families, *finding.subjects)
    return finding.rule == line["rule"] and str(finding.urgency) == line["urgency"] and named


def unlisted(urgency: Urgency, findings: tuple[Finding, ...]) -> list[str]:
    wanted = [line for line in LINES if line["urgency"] == urgency]
    return [
        each.id
        for each in findings
        if each.urgency is urgency and not any(is_line(each, line) for line in wanted)
    ]


# -- what it says -----------------------------------------------------------------


def test_it_loads_and_assembles_without_a_fault() -> None:
    assert documents().faults == []
    assert len(van().ports) > 100


@pytest.mark.parametrize("line", LINES, ids=lambda line: line["rule"] + line.get("about", ""))
def test_every_line_of_the_list_is_said(line: dict[str, str]) -> None:
    assert [each.id for each in told() if is_line(each, line)], line


@pytest.mark.parametrize("line", LINES, ids=lambda line: line["rule"] + line.get("about", ""))
def test_every_figure_of_a_quote_stands_in_the_documents(line: dict[str, str]) -> None:
    everything = "\n".join(demo_texts(NAME).values())
    due = van().build.stock["injection-hose"].due.content
    quote = line["quote"].replace("due in 9 days", f"due {AS_OF + timedelta(days=9)}")
    assert due == AS_OF + timedelta(days=9)
    for figure in re.findall(r"[\d.-]*\d", quote):
        assert re.search(rf"(?<![\d.]){re.escape(figure)}(?!\d|\.\d)", everything), figure


@pytest.mark.parametrize("stage", Stage)
@pytest.mark.parametrize("as_it_stands", [False, True])
def test_no_stop_beyond_the_list(stage: Stage, as_it_stands: bool) -> None:
    findings = judge(van(stage, as_it_stands), RULES, AS_OF).findings
    assert unlisted(Urgency.STOP, findings) == []


def test_what_else_comes_before_the_road_is_named_with_its_reason() -> None:
    assert sorted(unlisted(Urgency.ROAD, told())) == sorted(ALSO_BEFORE_THE_ROAD)


def test_nothing_lesser_is_said_beyond_the_list() -> None:
    assert [*unlisted(Urgency.FIX, told()), *unlisted(Urgency.NOTE, told())] == []


def test_only_the_stand_in_ages() -> None:
    """Ten years on only the last day of the proposed hose has passed; all else is said as today."""
    now, then = spoken(told()), spoken(told(as_of=LATER))
    assert set(then) - set(now) == {"stand-in-overdue/F-B"}
    assert now.items() <= then.items()


def test_the_whole_pipeline_runs_and_every_end_is_decided_but_two() -> None:
    assessment = assess(van(), AS_OF)
    assert assessment.status == 1
    assert {row.id for row in assessment.crossings if row.is_open} == {"haywain.fan", "haywain.rev"}
    assert set(assessment.open_decisions) == {"throttle-arm", "driven-gear", "matrix"}


# -- places: what is stated in the vehicle frame comes back ------------------------

PLACES = {
    "P01": (-30, -60, 720), "P02": (15, 120, 470), "P03": (505, -70, 690), "P04": (505, -130, 600),
    "P05": (5, -55, 765), "P06": (235, -315, 655), "P07": (235, -315, 625), "P08": (30, -20, 715),
    "P08-i": (30, 100, 500), "P09": (105, 150, 390), "P10": (120, 150, 445), "P11": (15, -30, 720),
    "P12": (25, -80, 720), "P13": (480, -215, 690), "P14": (400, -230, 685),
    "P15": (300, -330, 700), "P16": (330, -240, 770), "P18": (250, -100, 830),
    "P19": (260, -330, 690), "P20": (230, -340, 640), "P21": (200, -335, 640),
    "P22": (430, 215, 430), "P23": (480, -140, 385), "P24": (75, -205, 400),
    "P25": (600, -165, 380), "P26": (1010, -10, 440), "P27": (1130, 70, 330),
    "P28": (880, -120, 400), "P29": (1219.0, -10, 358.4), "P30": (180, -245, 395),
    "P31": (180, 225, 395), "P32": (980, -10, 265), "P33": (660, 210, 270), "P35": (500, 140, 600),
    "P36": (700, 80, 440),
}  # fmt: skip
BOXES = {  # of the power unit, along the axes of the van: x, y, z from and to
    "block": [(-25, 520, -165, 150, 297, 740)],
    "cam-cover": [(20, 500, -165, 90, 740, 842)],
    "plenum": [(90, 440, -340, -165, 560, 760)],
    "exhaust-manifold": [(50, 430, 150, 240, 500, 640)],
    "alternator": [(0, 150, -250, -165, 330, 480)],
    "starter": [(400, 600, -170, -100, 330, 430)],
    "sump": [(-25, 230, -120, 110, 297, 330), (230, 490, -120, 110, 188, 300)],
    "oil-filter": [(60, 150, 150, 235, 340, 440)],
    "bellhousing": [(520, 640, -175, 165, 240, 560)],
    "case": [(640, 900, -120, 100, 262, 470), (900, 1220, -80, 70, 280, 430)],
}


def si(value: Value) -> float:
    assert isinstance(value.content, Measure)
    return value.content.nominal


def spot(values: tuple[Value, Value, Value]) -> Point:
    x, y, z = values
    return (si(x), si(y), si(z))


def port(name: str) -> AssembledPort:
    return next(
        each for each in van().ports.values() if each.name == name and each.side is Side.NEWCOMER
    )


@pytest.mark.parametrize("name", PLACES)
def test_donor_ports_come_back_to_where_they_were_taken(name: str) -> None:
    position = port(name).position
    assert position is not None
    assert dist(position, [each / 1000 for each in PLACES[name]]) <= 0.0002


def test_axes_come_back_too() -> None:
    assert port("P01").axis == pytest.approx((-1, 0, 0), abs=1e-4)
    assert port("P29").axis == pytest.approx((0.99865, 0, -0.05193), abs=1e-4)
    assert port("P22").axis == pytest.approx((0.7035, 0.1005, -0.7035), abs=1e-4)


def turned_corners(solid: Solid) -> list[Point]:
    """Corners of a box of the power unit, in the vehicle frame. [m]"""
    assert solid.box is not None
    (x0, x1), (y0, y1), (z0, z1) = ((si(span[0]), si(span[1])) for span in solid.box)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2, (z0 + z1) / 2)
    pose = van().build.pose
    assert pose is not None
    origin, nose_up = spot(pose.at), si(pose.nose_up)
    corners = []
    for x in (x0, x1):
        for y in (y0, y1):
            for z in (z0, z1):
                offset = (x - middle[0], y - middle[1], z - middle[2])
                dx, dy, dz = direction(offset, si(solid.nose_up), 0, 0)
                here = (middle[0] + dx, middle[1] + dy, middle[2] + dz)
                corners.append(placed(here, origin, nose_up, 0, 0))
    return corners


@pytest.mark.parametrize("name", BOXES)
def test_boxes_of_the_power_unit_come_back(name: str) -> None:
    parts = [van().parts.get(f"{sheet}.{name}") for sheet in (van().engine, van().gearbox)]
    record = next(each for each in parts if each is not None).record
    solids = getattr(record, "envelope", ())
    assert len(solids) == len(BOXES[name])
    for solid, wanted in zip(solids, BOXES[name], strict=True):
        corners = turned_corners(solid)
        for axis in range(3):
            along = [corner[axis] for corner in corners]
            low, high = wanted[2 * axis] / 1000, wanted[2 * axis + 1] / 1000
            assert min(along) == pytest.approx(low, abs=0.0002)
            assert max(along) == pytest.approx(high, abs=0.0002)


# -- lengths, sums -----------------------------------------------------------------


def stated_length(join: str) -> float:
    route = van().joins[join].record.route
    assert route is not None
    along = route.length if route.length.known else van().fact(join, "route_length")
    return si(along)


@pytest.mark.parametrize("join", ["H1", "H2", "H3", "H4", "H5", "H6", "H7", "V1", "T1", "F-B"])
def test_stated_lengths_are_those_of_the_routes(join: str) -> None:
    """Within 2 mm: the lengths are rounded, the corners are whole millimetres."""
    route = van().joins[join].record.route
    assert route is not None
    first, last = (end.position for end in van().joins[join].ends)
    assert first is not None and last is not None
    points = [first, *(spot(each) for each in route.via), last]
    length = sum(dist(a, b) for a, b in pairwise(points))
    assert length == pytest.approx(stated_length(join), abs=0.002)


def test_the_exhaust_is_as_long_as_its_route() -> None:
    route = van().joins["X1"].record.route
    start = van().ports[f"{van().engine}.P22"].position
    assert route is not None and route.ends is not None and start is not None
    points = [start, *(spot(each) for each in route.via), spot(route.ends)]
    length = sum(dist(a, b) for a, b in pairwise(points))
    assert length == pytest.approx(si(route.length), abs=0.002)


def test_hoses_are_cut_six_per_cent_longer() -> None:
    cut = [name for name in van().joins if van().fact(name, "cut_length").known]
    pairs = [
        (si(van().fact(name, "cut_length")), si(van().fact(name, "route_length")))
        for name in cut
        if van().fact(name, "route_length").known
    ]
    assert len(pairs) >= 9
    assert all(length == pytest.approx(1.06 * way, abs=0.001) for length, way in pairs)


def test_mass_ledger_adds_up() -> None:
    ledger = van().build.ledger
    assert ledger is not None

    def total(weights: dict[str, Weight]) -> float:
        return sum(si(each.mass) for each in weights.values())

    assert total(dict(ledger.out)) == pytest.approx(251.2)
    assert total(dict(ledger.into)) == pytest.approx(285.0)
    after = si(van().fact(van().recipient, "kerb_mass")) + 285.0 - 251.2
    assert si(van().fact(van().recipient, "kerb_mass_after")) == pytest.approx(after)


def test_coolant_inventory_adds_up() -> None:
    volumes = ["coolant_volume"] * 4 + ["hose_coolant_volume"]
    holders = [
        van().engine, "haywain.radiator", "haywain.heater", "haywain.header", van().build.id,
    ]  # fmt: skip
    total = sum(si(van().fact(holder, name)) for holder, name in zip(holders, volumes, strict=True))
    assert total == pytest.approx(si(van().fact(van().build.id, "coolant_volume_total")))


def test_prices_add_up_with_their_reserve() -> None:
    prices = [each.price.content for each in van().items.values() if each.kind == "price"]
    total = sum((each for each in prices if isinstance(each, Money)), read_money("0 EUR"))
    assert str(total) == "5655.00 EUR"
    assert round(float(total.amount) * (1 + si(van().build.reserve))) == 6503


def test_hours_of_the_jobs_shrink_as_stated() -> None:
    of_table = sum(each.hours for each in jobs().values())
    own = {name: si(job.hours) for name, job in van().jobs.items() if job.hours.known}
    of_build = sum(own.get(name, each.hours) for name, each in jobs().items())
    assert of_table == pytest.approx(415.8)
    assert of_build == pytest.approx(381.8)


def test_idle_loads_add_up() -> None:
    loads = sum(si(each) for each in van().build.idle_loads.values())
    assert loads == pytest.approx(si(van().fact(van().build.id, "load_at_idle")))


def test_circuits_agree_with_the_joins_that_feed_them() -> None:
    circuits = van().build.circuits
    assert list(circuits) == [f"W{i:02}" for i in range(1, 13)]
    for circuit in circuits.values():
        if circuit.join:
            area, length = (van().fact(circuit.join, n) for n in ("conductor_area", "cut_length"))
            assert si(area) == si(circuit.supply.area)
            assert si(length) == si(circuit.supply.length)
            fuse = van().fact(circuit.join, "fuse_rating").content
            assert fuse is NOTHING_SAID.content or fuse == circuit.fuse.content


# -- nothing falls silent for want of a fact ----------------------------------------


def unknown_fact(assembly: Assembly, holder: str, name: str) -> Assembly:
    held = assembly.holders[holder]
    facts = {**held.facts, name: NOTHING_SAID}
    return replace(assembly, holders={**assembly.holders, holder: replace(held, facts=facts)})


def unknown_dimension(assembly: Assembly, port: AssembledPort, name: str) -> Assembly:
    assert port.end is not None
    dims = {key: held for key, held in port.end.dims.items() if key != name}
    end = End(port.end.form, port.end.half, dims, port.end.material)
    return replace(assembly, ports={**assembly.ports, port.id: replace(port, end=end)})


def unknown_year(assembly: Assembly, sheet: Sheet) -> Assembly:
    bare = sheet.model_copy(update={"year": NOTHING_SAID})
    part = replace(assembly.parts[sheet.id], record=bare)
    return replace(
        assembly,
        sheets={**assembly.sheets, sheet.id: bare},
        parts={**assembly.parts, sheet.id: part},
    )


def unknown_in_build(assembly: Assembly, **changed: object) -> Assembly:
    build: Build = assembly.build.model_copy(update=changed)
    return replace(assembly, build=build)


def unknown_fate_fact(assembly: Assembly, index: int, name: str) -> Assembly:
    fates = list(assembly.build.fates)
    facts = {**fates[index].facts, name: NOTHING_SAID}
    fates[index] = fates[index].model_copy(update={"facts": facts})
    return unknown_in_build(assembly, fates=tuple(fates))


def with_one_unknown() -> Iterator[tuple[str, str, Assembly]]:
    """The van, each time with one known thing unknown: its subject, its name, the rest."""
    assembly = van()
    for holder in assembly.holders.values():
        for name, value in holder.facts.items():
            if value.known:
                yield holder.id, name, unknown_fact(assembly, holder.id, name)
    for port in assembly.ports.values():
        for name in port.end.dims if port.end else ():
            yield port.id, "end", unknown_dimension(assembly, port, name)
    for sheet in assembly.sheets.values():
        if sheet.year.known:
            yield sheet.id, "year", unknown_year(assembly, sheet)
    for i, fate in enumerate(assembly.build.fates):
        for name in fate.facts:
            yield fate.port, name, unknown_fate_fact(assembly, i, name)


def test_many_facts_are_set_to_unknown() -> None:
    assert sum(1 for _ in with_one_unknown()) >= 150


def fallen_silent(rules: tuple[Rule, ...], assembly: Assembly, before: set[str]) -> set[str]:
    return before - {each.id for each in judge(assembly, rules, AS_OF).findings}


@pytest.mark.slow
def test_no_rule_falls_silent_for_want_of_one_fact() -> None:
    """What a rule said or asked of a subject, it says or asks again."""
    before = {each.id for each in told()}
    silent = [
        f"{gone} without {subject}.{name}"
        for subject, name, assembly in with_one_unknown()
        for gone in fallen_silent(RULES, assembly, before)
    ]
    assert silent == []


def test_a_rule_that_falls_silent_is_noticed() -> None:
    def careless(look: Look) -> Trip | None:
        live = look.assembly.fact(look.subject, "old_regulator_live")
        return look.trip_if(live.content is True)

    rules = (Rule("el-oldreg", the_car, frozenset(), careless),)
    before = {each.id for each in judge(van(), rules, AS_OF).findings}
    unknown = unknown_fact(van(), van().recipient, "old_regulator_live")
    assert fallen_silent(rules, unknown, before) == before == {"el-oldreg/haywain"}


def test_a_job_that_is_not_needed_asks_nothing() -> None:
    idle = {name for name, job in van().jobs.items() if job.state == "not needed"}
    assert idle == {"J016", "J068", "J106", "J145"}
    assert [each.id for each in told() if idle & set(each.subjects)] == []


def test_parked_ends_stay_parked() -> None:
    parked = [name for name in van().ports if van().fate(name) is FateWord.PARKED]
    assert sorted(each.partition(".")[2] for each in parked) == ["X1-7", "X2-3", "X2-4"]
