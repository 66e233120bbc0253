"""What each answer of the survey makes of a new build.

Shares by year and the effect of each answer are common practice, from memory.
"""

import json
from collections.abc import Mapping
from datetime import date
from functools import cache
from itertools import product
from typing import Any
from unittest.mock import patch

import pytest
import yaml

from swapwright.assess import assess_documents
from swapwright.crossings.rows import crossings
from swapwright.library.jobs import jobs
from swapwright.library.starters import starter_text
from swapwright.library.survey_data import questions, survey_decisions, year_shares
from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.documents import Documents, read_documents
from swapwright.model.facts import fact_book
from swapwright.model.families import families
from swapwright.model.values import read_value
from swapwright.model.words import Pile, Urgency
from swapwright.survey.answers import all_unknown, read_answer
from swapwright.survey.begin import Begun, new_build
from swapwright.survey.choosing import CARS, ENGINES

AS_OF = date(2026, 6, 1)


@cache
def _json(code: str) -> str:
    return json.dumps(yaml.load(starter_text(code), yaml.CBaseLoader))


def starter(code: str) -> Any:
    """A starter sheet as a plain tree."""
    return json.loads(_json(code))


@cache
def _begun(answers: tuple[tuple[str, str], ...]) -> Begun:
    """A build made on plain trees: keeping comments takes most of the time of the real one."""
    with (
        patch("swapwright.survey.begin._sheet", starter),
        patch("swapwright.survey.begin._starter", starter),
    ):
        return new_build("test", {**all_unknown(), **dict(answers)})


def begun(**answers: str) -> Begun:
    """A new build of a few answers (spaces of a question's name as _), all else unknown."""
    named = {name.replace("_", " "): answer for name, answer in answers.items()}
    assert set(named) <= set(questions())
    return _begun(tuple(sorted(named.items())))


def tree(made: Begun, name: str) -> Any:
    return made.trees[f"{name}.yaml"]


def there(made: Begun, sheet: str, family: str) -> set[str]:
    """What the ends of a family say of being there: yes, no, unknown."""
    ports = tree(made, sheet)["ports"].values()
    return {port.get("there", "yes") for port in ports if port.get("family") == family}


def read(made: Begun) -> Documents:
    return read_documents(
        (name, (tree if isinstance(tree, str) else _dumped(tree)).encode())
        for name, tree in made.trees.items()
    )


def _dumped(tree: Any) -> str:
    return str(yaml.dump(tree, Dumper=yaml.CSafeDumper, allow_unicode=True, sort_keys=False))


def assembled(made: Begun) -> Assembly:
    return assemble(read(made))


def fates(made: Begun) -> dict[str, str]:
    return {each["port"]: each["fate"] for each in tree(made, "build")["fates"]}


def decisions(made: Begun) -> set[str]:
    return set(tree(made, "build")["decisions"])


def planned(made: Begun) -> set[str]:
    return set(tree(made, "build")["jobs"])


# -- which sheets ----------------------------------------------------------------------


def sheet_of(made: Begun, role: str) -> str:
    return str(tree(made, role)["starter"]["sheet"])


@pytest.mark.parametrize(
    "answers, code",
    [
        ({"layout": "front lengthways to the rear"}, "A2"),
        ({"layout": "front lengthways to the rear", "car year": "1972"}, "A1"),
        ({"layout": "front lengthways to the rear", "car year": "1982"}, "A1"),
        ({"layout": "front lengthways to the rear", "car year": "1983"}, "A2"),
        ({"layout": "front lengthways to the rear", "car fuel": "carburettor"}, "A1"),
        (
            {"layout": "front lengthways to the rear", "car fuel": "injection", "car year": "1972"},
            "A2",
        ),
        ({"layout": "front lengthways to all four"}, "A2"),
        ({"layout": "front crosswise to the front"}, "A3"),
        ({"layout": "front crosswise to all four"}, "A3"),
        ({"layout": "middle"}, "A4"),
        ({"layout": "rear"}, "A5"),
        ({}, "A2"),
    ],
)
def test_the_layout_chooses_the_cars_sheet(answers: dict[str, str], code: str) -> None:
    assert sheet_of(_begun(tuple(sorted(answers.items()))), "car") == code


@pytest.mark.parametrize(
    "answers, code",
    [
        *(({"engine": name}, code) for name, code in ENGINES.items()),
        ({}, "D1"),
        ({"engine fuel": "diesel"}, "D5"),
        ({"engine fuel": "carburettor"}, "D6"),
        ({"engine fuel": "injection"}, "D1"),
        ({"engine": "v8", "engine fuel": "diesel"}, "D4"),
    ],
)
def test_the_engines_sheet(answers: dict[str, str], code: str) -> None:
    assert sheet_of(_begun(tuple(sorted(answers.items()))), "engine") == code


def test_an_unknown_layout_has_no_places_and_keeps_both_layouts_open() -> None:
    made = begun()
    ports = tree(made, "car")["ports"]
    assert not any("place" in port for port in ports.values())
    assert any("place" in port for port in tree(begun(layout="middle"), "car")["ports"].values())
    lengthways, crosswise = starter("A2")["ports"], starter("A3")["ports"]

    def may(sheet: Mapping[str, Any], name: str) -> bool:
        return name in sheet and sheet[name].get("there") != "no"

    for name in {*lengthways, *crosswise}:
        if may(lengthways, name) != may(crosswise, name):
            assert ports[name]["there"] == "unknown", name


def test_four_driven_wheels_have_one_more_shaft() -> None:
    for layout, plain in (
        ("front lengthways to all four", "front lengthways to the rear"),
        ("front crosswise to all four", "front crosswise to the front"),
    ):
        outs = [
            sum(p.get("family") == "out" and p.get("there") != "no" for p in ports.values())
            for ports in (tree(begun(layout=each), "car")["ports"] for each in (layout, plain))
        ]
        assert outs[0] == outs[1] + 1
        assert "front-drive" in decisions(begun(layout=layout))
    assert not read(begun(layout="front crosswise to all four")).faults


def test_every_end_of_the_car_remembers_its_old_mate() -> None:
    ports = tree(begun(layout="middle"), "car")["ports"]
    assert ports["hot"]["was"] == "old-engine.hot" and ports["clu"]["was"] == "old-gearbox.clu"


# -- gearbox and pedals ----------------------------------------------------------------


@pytest.mark.parametrize(
    "engine, pedals, code",
    [
        ("four lengthways", "three", "G1"), ("four lengthways", "two", "G3"),
        ("four crosswise", "three", "G2"), ("v6", "two", "G2"), ("unknown", "unknown", "G1"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("gearbox", ["the donor's", "another", "unknown"])
def test_a_gearbox_that_comes_in(engine: str, pedals: str, code: str, gearbox: str) -> None:
    made = begun(engine=engine, pedals=pedals, gearbox=gearbox)
    build = tree(made, "build")
    assert sheet_of(made, "gearbox") == code
    assert build["gearbox"] == "gearbox" and build["outgoing"] == ["old-engine", "old-gearbox"]


@pytest.mark.parametrize("layout", ["front lengthways to the rear", "middle"])
@pytest.mark.parametrize("pedals", ["three", "two"])
def test_the_cars_own_gearbox_stays(layout: str, pedals: str) -> None:
    made = begun(layout=layout, gearbox="the car's", pedals=pedals)
    build = tree(made, "build")
    assert "gearbox.yaml" not in made.trees
    assert build["gearbox"] == "old-gearbox" and build["outgoing"] == ["old-engine"]
    assert "bell-adapter" in decisions(made)
    kept = {port for port, fate in fates(made).items() if fate == "kept"}
    assert "car.shift" in kept and "old-gearbox.shift" in kept
    assert ("car.clu" in kept) is (pedals == "three")
    automatic = pedals == "two" and layout != "middle"
    assert (sheet_of(made, "old-gearbox") == "G3") is automatic


@pytest.mark.parametrize(
    "gearbox, sheet", [("the donor's", "gearbox"), ("the car's", "old-gearbox")]
)
@pytest.mark.parametrize("engine", ["four lengthways", "four crosswise"])
def test_two_pedals_have_no_clutch_but_cooler_kickdown_and_inhibit(
    gearbox: str, sheet: str, engine: str
) -> None:
    two = begun(gearbox=gearbox, engine=engine, pedals="two")
    three = begun(gearbox=gearbox, engine=engine, pedals="three")
    assert there(two, "car", "clu") == there(two, sheet, "clu") == {"no"}
    assert there(three, sheet, "clu") == {"yes"}
    for family in ("atf", "kick", "inh"):
        assert there(two, sheet, family) == {"yes"}, family
        assert there(three, sheet, family) == {"no"}, family


def test_three_pedals_leave_no_automatic_on_any_side() -> None:
    made = begun(pedals="three")
    assert there(made, "car", "atf") == {"no"}
    assert there(begun(pedals="unknown"), "car", "atf") == {"unknown"}


def test_a_diesel_has_no_throttle_body_whatever_its_sheet() -> None:
    made = begun(engine="four lengthways", engine_fuel="diesel")
    assert sheet_of(made, "engine") == "D1"
    for family in ("tbw", "idle", "rref", "purge", "coil", "lam"):
        assert there(made, "engine", family) == {"no"}, family


def test_only_a_change_of_fuel_asks_about_tank_and_line() -> None:
    changes = {"petrol-line", "diesel-tank"}
    into_petrol = begun(car_fuel="injection", engine="diesel")
    out_of_diesel = begun(car_fuel="diesel", engine_fuel="injection")
    assert decisions(into_petrol) & changes == {"diesel-tank"}
    assert decisions(out_of_diesel) & changes == {"petrol-line"}
    assert not decisions(begun(car_fuel="diesel", engine="diesel")) & changes


# -- how much of the donor came --------------------------------------------------------

LOST = ("main", "diag", "mil", "acr")  # of the list, those that the injected four has


def test_what_came_with_the_engine_differs_in_the_list() -> None:
    alone, with_box, whole = (
        begun(bought=each, gearbox="the donor's") for each in ("alone", "with gearbox", "whole car")
    )
    stocks = [set(tree(each, "build")["stock"]) for each in (alone, with_box, whole)]
    assert stocks[0] == {"gearbox-to-find"} and stocks[1] == set()
    assert "keep-1" in stocks[2] and "gearbox-to-find" not in stocks[2]
    assert planned(whole) - planned(alone) == {f"J01{n}" for n in range(2, 10)} - {"J016"}
    lacking = [
        {
            finding.subjects[0]
            for finding in assess_documents(read(each), AS_OF).findings
            if finding.rule == "plug-no-mate" and finding.urgency is not Urgency.ASK
        }
        for each in (alone, with_box, whole)
    ]
    assert lacking[0] == lacking[1] and lacking[2] == set()
    assert {"engine.main", "engine.diag"} <= lacking[0]


@pytest.mark.parametrize("bought", ["alone", "with gearbox", "unknown"])
def test_the_body_looms_halves_stay_in_its_car(bought: str) -> None:
    ports = tree(begun(bought=bought, air_conditioning="yes"), "engine")["ports"]
    for name in LOST:
        assert ports[name]["plug"]["mate"] == "body loom of its own car", name
        assert ports[name]["plug"]["mate_seen"] == "no"
    whole = tree(begun(bought="whole car"), "engine")["ports"]
    assert whole["main"]["plug"].get("mate_seen", "unknown") == "unknown"


def test_another_gearbox_is_to_be_found_whatever_came() -> None:
    for bought in ("alone", "with gearbox", "whole car"):
        stock = tree(begun(bought=bought, gearbox="another"), "build")["stock"]
        assert stock["gearbox-to-find"]["state"] == "wanted"


# -- years -----------------------------------------------------------------------------


@pytest.mark.parametrize("year", ["1960", "1967", "1968", "1980", "1990", "1999", "2000", "2024"])
def test_shares_by_year_of_the_engine(year: str) -> None:
    """From 0.95 it is taken as there, to 0.05 as not there; between, it is asked."""
    made = begun(engine_year=year, engine="four lengthways")
    shares = next(row for last, row in year_shares() if int(year) <= last)
    for family in ("pcv", "purge", "cat", "lam", "diag", "mil", "key", "bus"):
        share = shares[family]
        wanted = "no" if share <= 0.05 else "yes" if share >= 0.95 else "unknown"
        assert there(made, "engine", family) == {wanted}, family
        if wanted == "unknown":
            port = tree(made, "engine")["ports"][family]
            assert port["share"] == f"{share:.0%}, typical".replace("%", " %")
    assert there(made, "engine", "ped") == {"unknown"}  # a question of its own asks


def test_shares_by_year_of_the_car_touch_its_own_halves() -> None:
    old, new = begun(car_year="1960"), begun(car_year="2005")
    assert there(old, "car", "purge") == there(old, "car", "fair") == {"no"}
    assert there(new, "car", "purge") == there(new, "car", "fair") == {"yes"}
    assert tree(old, "car")["year"] == "1960" and "year" not in tree(old, "engine")
    assert there(old, "engine", "purge") == there(begun(), "engine", "purge")


def test_a_strict_country_is_one_row_ahead() -> None:
    """1975 to 1984: canister 40 %, catalyst 20 %; a row later 70 and 60 %."""
    plain, strict = begun(engine_year="1980"), begun(engine_year="1980", inspection="strictly")
    shares = [
        [tree(made, "engine")["ports"][name]["share"] for name in ("purge", "cat", "diag")]
        if "share" in tree(made, "engine")["ports"]["diag"]
        else [tree(made, "engine")["ports"][name]["share"] for name in ("purge", "cat")]
        for made in (plain, strict)
    ]
    assert shares == [["40 %, typical", "20 %, typical"], ["70 %, typical", "60 %, typical"]]
    assert there(strict, "engine", "diag") == there(plain, "engine", "diag") == {"no"}


def test_an_early_diesel_has_neither_canister_nor_catalyst() -> None:
    early, late = (
        begun(engine="diesel", engine_year="1995"),
        begun(engine="diesel", engine_year="1996"),
    )
    assert there(early, "engine", "cat") == {"no"} and there(late, "engine", "cat") == {"yes"}
    petrol_car = begun(engine="diesel", engine_year="1990", car_year="1995")
    assert there(petrol_car, "car", "purge") == {"yes"}  # the car's own line is petrol's
    assert there(begun(car_fuel="diesel", car_year="1995"), "car", "purge") == {"no"}


def test_about_a_year_is_a_year() -> None:
    assert read_answer(questions()["car year"], "about 1974") == "1974"


# -- every other answer ----------------------------------------------------------------

PORTS: list[tuple[dict[str, str], str, dict[str, str]]] = [
    ({"engine_fuel": "injection"}, "engine", {"fret": "yes", "pump": "yes", "mpmp": "no"}),
    ({"engine_fuel": "injection"}, "engine", {"chk": "no"}),
    ({"engine_fuel": "carburettor"}, "engine", {"cts": "no", "idle": "no"}),
    ({"engine_fuel": "diesel"}, "engine", {"glow": "yes", "purge": "no", "lam": "no"}),
    ({"engine": "diesel"}, "engine", {"glow": "yes", "purge": "no", "coil": "no"}),
    ({"spark": "distributor"}, "engine", {"dadv": "unknown"}),
    ({"spark": "coil packs"}, "engine", {"dadv": "no"}),
    ({"spark": "none"}, "engine", {"coil": "no", "dadv": "no"}),
    ({"throttle_cable": "yes"}, "engine", {"thr": "yes", "ped": "no"}),
    ({"throttle_cable": "no"}, "engine", {"thr": "no", "ped": "yes", "psw": "yes"}),
    ({}, "engine", {"thr": "unknown", "ped": "unknown"}),
    ({"brake_servo": "yes"}, "car", {"servo": "yes"}),
    ({"brake_servo": "no"}, "car", {"servo": "no"}),
    ({}, "car", {"servo": "unknown"}),
    ({"cruise": "yes"}, "car", {"crz": "yes"}),
    ({"cruise": "yes"}, "engine", {"crz": "yes"}),
    ({"cruise": "no"}, "car", {"crz": "no"}),
    ({}, "car", {"crz": "unknown"}),
    ({"oil_cooling": "water"}, "engine", {"oxw": "yes", "ocl": "no"}),
    ({"oil_cooling": "air"}, "engine", {"oxw": "no", "ocl": "yes"}),
    ({"oil_cooling": "nothing"}, "engine", {"oxw": "no", "ocl": "no"}),
    ({}, "engine", {"oxw": "unknown", "ocl": "unknown"}),
    ({"air_conditioning": "yes"}, "car", {"ac": "yes", "acr": "yes"}),
    ({"air_conditioning": "yes"}, "engine", {"ac": "yes", "acr": "yes"}),
    ({"air_conditioning": "no"}, "engine", {"ac": "no", "acr": "no"}),
    ({}, "engine", {"ac": "unknown", "acr": "unknown"}),
    ({"power_steering": "both"}, "car", {"psp": "yes", "psr": "yes"}),
    ({"power_steering": "both"}, "engine", {"psp": "yes", "psr": "yes"}),
    ({"power_steering": "only the car"}, "car", {"psp": "yes", "psr": "yes"}),
    ({"power_steering": "only the car"}, "engine", {"psp": "no", "psr": "no"}),
    ({"power_steering": "only the engine"}, "car", {"psp": "no", "psr": "no"}),
    ({"power_steering": "only the engine"}, "engine", {"psp": "yes", "psr": "yes"}),
    ({"power_steering": "neither"}, "engine", {"psp": "no", "psr": "no"}),
    ({}, "car", {"psp": "unknown", "psr": "unknown"}),
    ({"electric_fan": "yes"}, "car", {"fan": "yes", "fsw": "yes"}),
    ({"electric_fan": "no"}, "car", {"fan": "no", "fsw": "no"}),
    ({}, "car", {"fan": "unknown", "fsw": "unknown"}),
    ({"bay_fan": "yes"}, "car", {"bayf": "yes"}),
    ({"bay_fan": "no"}, "car", {"bayf": "no"}),
    ({}, "car", {"bayf": "unknown"}),
    ({"abs_and_airbags": "yes"}, "car", {"abs": "yes"}),
    ({"abs_and_airbags": "no"}, "car", {"abs": "no"}),
    ({}, "car", {"abs": "unknown"}),
    ({"turbo": "yes"}, "engine", {"tbo": "yes", "chg": "yes"}),
    ({"turbo": "no"}, "engine", {"tbo": "no", "chg": "no"}),
    ({}, "engine", {"tbo": "unknown", "chg": "unknown"}),
]  # fmt: skip


@pytest.mark.parametrize("answers, sheet, wanted", PORTS)
def test_answers_say_what_is_there(
    answers: dict[str, str], sheet: str, wanted: dict[str, str]
) -> None:
    made = begun(**answers)
    assert {family: there(made, sheet, family) for family in wanted} == {
        family: {answer} for family, answer in wanted.items()
    }


DECISIONS = [
    ({"gearbox": "the car's"}, "bell-adapter"), ({"gearbox": "another"}, "bell-adapter"),
    ({"car_fuel": "diesel"}, "petrol-line"), ({"engine_fuel": "diesel"}, "vacuum-source"),
    ({"engine_fuel": "carburettor"}, "low-pressure-pump"),
    ({"spark": "distributor"}, "spark-control"),
    ({"throttle_cable": "no"}, "throttle-set"), ({"computer_set": "no"}, "engine-control"),
    ({"brake_servo": "no"}, "brake-evidence"), ({"cruise": "yes"}, "cruise"),
    ({"oil_cooling": "air"}, "oil-cooler"), ({"heater_tap": "yes"}, "heater-tap"),
    ({"air_conditioning": "yes"}, "air-conditioning"),
    ({"power_steering": "only the car"}, "power-steering"),
    ({"power_steering": "only the engine"}, "power-steering"),
    ({"electric_fan": "no"}, "fan-drive"), ({"bay_fan": "yes"}, "bay-fan"),
    ({"inspection": "strictly"}, "emission-set"),
]  # fmt: skip


@pytest.mark.parametrize("answers, decision", DECISIONS)
def test_answers_open_decisions(answers: dict[str, str], decision: str) -> None:
    assert decision in decisions(begun(**answers))
    assert decision not in decisions(begun())


def test_where_the_vapour_goes_is_always_a_decision() -> None:
    assert decisions(begun()) == {"canister"}


JOBS = [
    *(({"engine_fuel": fuel}, ("J056", "J090", "J091", "J092", "J093"))
      for fuel in ("carburettor", "injection", "diesel", "unknown")),
    ({"bought": "whole car"}, tuple(f"J01{n}" for n in range(2, 10))),
    ({"air_conditioning": "yes"}, ("J016",)), ({"air_conditioning": "unknown"}, ("J016",)),
    ({"power_steering": "both"}, ("J145",)), ({"electric_fan": "no"}, ("J088",)),
    ({"turbo": "yes"}, ("J104",)), ({"inspection": "a certifier"}, ("J001", "J060")),
    ({"inspection": "unknown"}, ("J001",)),
]  # fmt: skip


@pytest.mark.parametrize("answers, wanted", JOBS)
def test_answers_plan_jobs(answers: dict[str, str], wanted: tuple[str, ...]) -> None:
    assert set(wanted) <= planned(begun(**answers))


FACTS = [
    ({"car_fuel": "carburettor"}, "old-engine", "fuel_system", "carburettor"),
    ({"car_fuel": "injection"}, "old-engine", "fuel_system", "port injection, guessed"),
    ({"car_fuel": "diesel"}, "old-engine", "fuel_system", "diesel"),
    ({"engine_fuel": "injection"}, "engine", "fuel_system", "port injection, guessed"),
    ({"engine": "old carburettor four"}, "engine", "fuel_system", "carburettor"),
    ({"computer_set": "yes"}, "engine", "key_set_complete", "yes"),
    ({"computer_set": "no"}, "engine", "key_set_complete", "no"),
    ({"heater_tap": "yes"}, "build", "heater_tap", "shuts the loop, guessed"),
    ({"heater_tap": "no"}, "build", "heater_tap", "none"),
    ({"turbo": "yes"}, "engine", "boosted", "yes"), ({"turbo": "no"}, "engine", "boosted", "no"),
    *(({"inspection": each}, "build", "inspection", each)
      for each in ("loosely", "strictly", "a certifier")),
]  # fmt: skip


@pytest.mark.parametrize("answers, sheet, fact, value", FACTS)
def test_answers_state_facts(answers: dict[str, str], sheet: str, fact: str, value: str) -> None:
    assert tree(begun(**answers), sheet)["facts"][fact] == value
    definition = fact_book()[fact]
    assert ("build" if sheet == "build" else "engine") in definition.of
    assert read_value(value, definition.sort).known


@pytest.mark.parametrize(
    "answers, port", [({"brake_servo": "no"}, "servo"), ({"cruise": "no"}, "crz")]
)
def test_the_newcomers_stub_is_proposed_to_be_capped(answers: dict[str, str], port: str) -> None:
    assert fates(begun(engine="four lengthways", **answers))[f"engine.{port}"] == "capped"
    assert f"engine.{port}" not in fates(begun(engine="four lengthways"))


def test_every_answer_of_every_question_changes_the_build() -> None:
    """No answer is asked for in vain; what it changes is checked above, one by one."""
    for question in questions().values():
        options = [*question.answers, "unknown"]
        if question.sort == "year":
            options = ["1960", "1980", "2005", "unknown"]
        if question.sort == "text":
            options = ["somewhere", "unknown"]
        made = [_begun(((question.name, answer),)) for answer in options]
        texts = [json.dumps([each.trees, each.assumed]) for each in made]
        assert len(set(texts)) == len(options), question.name


def test_answers_touch_no_sheet_of_another_kind() -> None:
    """An end of the engine is not opened on the gearbox, nor one of the car on the engine."""
    for answer in ("yes", "unknown"):
        made = begun(layout="middle", air_conditioning=answer, cruise=answer, turbo=answer)
        for role in ("car", "engine", "gearbox"):
            before = starter(sheet_of(made, role))["ports"]
            for name, port in tree(made, role)["ports"].items():
                family = families()[port["family"]]
                home = family.car_half if role == "car" else family.newcomer_half == role
                assert home or port.get("there") == before[name].get("there"), f"{role}.{name}"


def test_data_of_the_survey_refers_to_what_exists() -> None:
    for question in questions().values():
        assert question.ask.endswith("?") and question.hint
        assert set(question.effects) <= {*question.answers, "unknown"}
        for effects in question.effects.values():
            for each in effects:
                named = (*each.there, *each.gone, *each.perhaps, *each.capped, *each.lost_halves)
                assert set(named) <= set(families()), question.name
                assert set(each.decisions) <= set(survey_decisions()), question.name
                assert set(each.jobs) <= set(jobs()), question.name
    for name, decision in survey_decisions().items():
        options = decision["options"]
        assert str(decision["question"]).endswith("?") and isinstance(options, dict), name
        assert len(options) >= 1 and all(
            isinstance(label, str) and label for label in options.values()
        )
        about = decision["about"]
        assert isinstance(about, list) and set(about) <= set(families()), name
    opened = {
        d
        for q in questions().values()
        for each in q.effects.values()
        for e in each
        for d in e.decisions
    }
    assert opened | {"canister"} == set(survey_decisions())
    for _, row in year_shares():
        assert set(row) <= set(families()) and all(0 <= share <= 1 for share in row.values())


# -- all of it unknown -----------------------------------------------------------------


@pytest.fixture(scope="module")
def nothing_known() -> Assembly:
    return assembled(begun())


def test_with_nothing_known_a_build_stands_and_its_assumptions_are_told(
    nothing_known: Assembly,
) -> None:
    assert assess_documents(read(begun()), AS_OF).crossings
    told = begun().assumed
    silent = {"country", "engine year"}  # one line speaks for both years
    assert len(told) == len(questions()) - len(silent)
    assert not any(line.endswith((".", " ")) or "  " in line for line in told)
    assert tree(begun(), "build")["survey"] == all_unknown()
    piles = {row.pile for row in crossings(nothing_known)}
    assert piles == set(Pile)


def test_a_build_knows_its_survey() -> None:
    made = begun(layout="middle", country="Norway: the north")
    assert assembled(made).build.survey["country"] == "Norway: the north"


@pytest.mark.parametrize("label", ["no", "2026", "a: b", "# x", "ключ", "!tag", "'"])
def test_any_folder_name_can_be_a_label(label: str) -> None:
    text = new_build(label, all_unknown()).text("build.yaml")
    assert read_documents([("build.yaml", text.encode())]).by_id["build"].label == label


@pytest.mark.parametrize(
    "answers",
    [
        {},
        {"layout": "rear", "engine": "diesel", "gearbox": "the car's", "car year": "1968"},
        {"layout": "front crosswise to all four", "bought": "whole car", "pedals": "two"},
    ],
)
def test_what_is_written_says_what_was_made(answers: dict[str, str]) -> None:
    """The documents as text, comments kept, hold the trees that the other tests look at."""
    written = new_build("test", {**all_unknown(), **answers})
    for name, text in written.texts.items():
        if name != "catalogue.yaml":
            held = yaml.load(text, yaml.CBaseLoader)
            assert held == yaml.load(
                _dumped(_begun(tuple(sorted(answers.items()))).trees[name]), yaml.CBaseLoader
            )
    assert read_documents((n, t.encode()) for n, t in written.texts.items()).faults == []


# -- all that can come together --------------------------------------------------------

LAYOUTS = [("front lengthways to the rear", "1972"), ("front lengthways to the rear", "1990"),
           *((layout, "unknown") for layout in CARS)]  # fmt: skip
EVERYTHING = [
    (layout, year, engine, bought)
    for (layout, year), engine, bought in product(
        [each for each in LAYOUTS if each[0] != "front crosswise to all four"],
        ENGINES,
        ("alone", "with gearbox", "whole car"),
    )
]


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(EVERYTHING)))
def test_every_car_takes_every_engine(number: int) -> None:
    """A build of starters has no fault and no stop: nothing in it is the builder's own."""
    layout, year, engine, bought = EVERYTHING[number]
    gearbox = ("the donor's", "the car's")[number % 2]
    pedals = ("three", "two")[number // 2 % 2]
    made = _begun(
        tuple(
            sorted(
                {
                    "layout": layout, "car year": year, "engine": engine, "bought": bought,
                    "gearbox": gearbox, "pedals": pedals,
                }.items()
            )
        )
    )  # fmt: skip
    documents = read(made)
    assert documents.faults == []
    assessment = assess_documents(documents, AS_OF)
    assert [f.id for f in assessment.findings if f.urgency is Urgency.STOP] == []
    wanted_car = CARS.get(layout, "A1" if year == "1972" else "A2")
    assert sheet_of(made, "car") == wanted_car and sheet_of(made, "engine") == ENGINES[engine]
    assert assessment.assembly.gearbox == ("old-gearbox" if number % 2 else "gearbox")
    assert len(assessment.crossings) > 40


def test_everything_is_thirty_sheets_times_three() -> None:
    assert len(EVERYTHING) == 5 * 6 * 3
    cars = {CARS.get(layout, "A1" if year == "1972" else "A2") for layout, year, _, _ in EVERYTHING}
    assert cars == {"A1", "A2", "A3", "A4", "A5"}
