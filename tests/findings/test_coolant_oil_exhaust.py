"""What the rules of coolant, oil and exhaust do beyond their three cases."""

from datetime import date
from pathlib import Path
from statistics import NormalDist
from typing import Any

import pytest
import yaml
from tests.support.builds import base_build

from swapwright.findings import coolant, coolant_hoses, exhaust, oil
from swapwright.findings.kit import Rule
from swapwright.findings.run import Finding, findings
from swapwright.model.assemble import assemble
from swapwright.model.documents import read_documents
from swapwright.model.words import Urgency
from swapwright.survey.begin import new_build

AS_OF = date(2026, 6, 1)
RULES: tuple[Rule, ...] = (*coolant.RULES, *coolant_hoses.RULES, *oil.RULES, *exhaust.RULES)


def said(rule: str, overlay: dict[str, Any], about: str) -> Finding | None:
    """What one rule says of one subject of the base build with an overlay."""
    told = findings(base_build(overlay), [each for each in RULES if each.id == rule], AS_OF)
    found = [each for each in told if each.subjects[0] == about]
    assert len(found) <= 1
    return found[0] if found else None


# -- the cap: an old car's matrix under the cap of a newer engine ----------------------------


def caps(fitted: str, own: str, matrix: str) -> dict[str, Any]:
    return {
        "build": {"facts": {"cap_pressure_fitted": fitted}},
        "motor": {"facts": {"original_cap_pressure": own}},
        "car": {"facts": {"heater_matrix_limit": matrix}},
    }


TYPICAL_MATRIX, TYPICAL_CAP = "0.7 ± 0.35 bar, typical", "1.1 ± 0.26 bar, typical"


def test_newcomers_own_cap_speaks_while_none_is_chosen() -> None:
    found = said("cool-cap-weakest", caps("unknown", TYPICAL_CAP, TYPICAL_MATRIX), "car")
    assert found is not None and found.urgency is Urgency.ROAD
    assert found.sure is not None and 0.9 < found.sure < 1  # 0.4 bar over 0.25 bar of spread
    assert "the cap the newcomer had in its own car" in found.message.text("metric")


@pytest.mark.parametrize(
    "fitted, own, matrix, asked",
    [
        ("unknown", "unknown", "0.7 bar", "cap_pressure_fitted"),
        ("unknown", "0.6 bar", "0.7 bar", "cap_pressure_fitted"),
        ("unknown", "1.1 bar", "unknown", "heater_matrix_limit"),
        ("1.1 bar", "1.1 bar", "unknown", "heater_matrix_limit"),
    ],
)
def test_cap_rule_asks_when_one_of_its_facts_is_unknown(
    fitted: str, own: str, matrix: str, asked: str
) -> None:
    found = said("cool-cap-weakest", caps(fitted, own, matrix), "car")
    assert found is not None and found.asks is not None
    assert found.asks.name == asked


def test_chosen_cap_silences_the_newcomers_own() -> None:
    assert said("cool-cap-weakest", caps("0.6 bar", "1.1 bar", "0.7 bar"), "car") is None


def test_radiator_is_held_against_the_cap_too() -> None:
    overlay = caps("1.1 bar", "1.1 bar", "1.5 bar")
    overlay["car"]["parts"] = {"radiator": {"facts": {"pressure_limit": "0.9 bar"}}}
    assert said("cool-cap-weakest", overlay, "car") is None
    found = said("cool-cap-weakest", overlay, "car.radiator")
    assert found is not None and found.urgency is Urgency.ROAD


# -- one rule, several conditions: each trips, and none hides another ------------------------

CONDITIONS = yaml.load(
    (Path(__file__).parent / "coolant_oil_exhaust_conditions.yaml").read_text("utf-8"),
    yaml.BaseLoader,
)


@pytest.mark.parametrize("rule, about, overlay, words", CONDITIONS)
def test_each_condition_trips_though_others_are_unknown(
    rule: str, about: str, overlay: dict[str, Any], words: str
) -> None:
    found = said(rule, overlay, about)
    assert found is not None and found.urgency is not Urgency.ASK
    assert words in found.message.text("metric")


def hose(facts: dict[str, str], ends: tuple[str, str] = ("motor.hot", "car.hot")) -> dict[str, Any]:
    return {"build": {"joins": {"top": {"ends": list(ends), "facts": facts}}}}


@pytest.mark.parametrize(
    "made_for, ends, urgency",
    [
        ("coolant", ("motor.feed", "car.feed"), Urgency.STOP),
        ("vacuum", ("motor.pcv", "car.duct"), Urgency.STOP),
        ("crankcase breather", ("motor.pcv", "car.duct"), None),
        ("not marked", ("motor.hot", "car.hot"), Urgency.FIX),
        ("fuel injection", ("motor.feed", "car.feed"), None),
    ],
)
def test_hose_service_by_what_the_join_carries(
    made_for: str, ends: tuple[str, str], urgency: Urgency | None
) -> None:
    found = said("cool-hose-service", hose({"hose_service": made_for}, ends), "top")
    assert (found.urgency if found else None) == urgency


# -- figures at the edge of what can be ------------------------------------------------------


@pytest.mark.parametrize(
    "cap, glycol, hottest, trips",
    [
        ("0 bar", "0 ± 3 %", "90 °C", True),  # plain water in the open boils at 100 °C
        ("0 ± 0.1 bar", "0 %", "70 °C", False),
    ],
)
def test_plain_water_under_an_open_cap(cap: str, glycol: str, hottest: str, trips: bool) -> None:
    facts = {"cap_pressure_fitted": cap, "coolant_glycol_share": glycol, "coolant_hottest": hottest}
    assert (said("cool-cap-boil", {"build": {"facts": facts}}, "base") is not None) is trips


@pytest.mark.parametrize(
    "rule, about, overlay, asked",
    [
        (
            "cool-cap-boil",
            "base",
            {
                "build": {
                    "facts": {"cap_pressure_fitted": "1.1 bar", "coolant_glycol_share": "-5 %"}
                }
            },
            "coolant_glycol_share",
        ),
        (
            "cool-shroud",
            "car",
            {
                "car": {
                    "facts": {
                        "fan_shroud": "no",
                        "fan_count": "1",
                        "fan_diameter": "300 mm",
                        "radiator_core_width": "0 mm",
                        "radiator_core_height": "400 mm",
                    }
                }
            },
            "radiator_core_width",
        ),
    ],
)
def test_impossible_figure_is_asked_for_again(
    rule: str, about: str, overlay: dict[str, Any], asked: str
) -> None:
    found = said(rule, overlay, about)
    assert found is not None and found.asks is not None and found.asks.name == asked


# -- what structure settles ------------------------------------------------------------------


def test_stepped_piece_bridges_the_step() -> None:
    overlay: dict[str, Any] = {
        "motor": {"ports": {"hot": {"end": "hose bead 36 mm"}}},
        "car": {"ports": {"hot": {"end": "hose bead 42 mm"}}},
        "shelf": {
            "items": {
                "joiner": {"kind": "tube", "ends": ["hose bead 36 mm", "hose bead 42 mm"]},
                "plain": {"kind": "hose", "ends": ["hose end 36 mm", "hose end 36 mm"]},
            }
        },
        "build": {"joins": {"top": {"ends": ["motor.hot", "car.hot"], "through": ["plain"]}}},
    }
    found = said("cool-step", overlay, "top")
    assert found is not None and found.urgency is Urgency.FIX
    overlay["build"]["joins"]["top"]["through"] = ["plain", "joiner"]
    assert said("cool-step", overlay, "top") is None
    overlay["build"]["joins"]["top"]["through"] = []
    asked = said("cool-step", overlay, "top")
    assert asked is not None and asked.asks is not None and asked.asks.name == "pieces"


def test_plain_tube_needs_no_further_word() -> None:
    overlay = hose({})
    overlay["build"]["facts"] = {"cap_pressure_fitted": "1.1 bar"}
    overlay["car"] = {"ports": {"hot": {"end": "plain tube 38 mm"}}}
    found = said("cool-bead", overlay, "top")
    assert found is not None and found.urgency is Urgency.ROAD


def test_drilled_thermostat_replaces_the_bypass() -> None:
    overlay: dict[str, Any] = {"build": {"fates": [{"port": "motor.byp", "fate": "capped"}]}}
    assert said("cool-no-bypass", overlay, "motor.byp") is not None
    overlay["motor"] = {"facts": {"thermostat_drilled": "yes"}}
    assert said("cool-no-bypass", overlay, "motor.byp") is None


@pytest.mark.parametrize("fate", ["capped", "parked"])
def test_sealed_cooler_ports_stop_the_build(fate: str) -> None:
    overlay = {"build": {"fates": [{"port": "motor.ocl-o", "fate": fate}]}}
    found = said("oil-cooler-cap", overlay, "motor.ocl-o")
    assert found is not None and found.urgency is Urgency.STOP


def test_cooler_left_in_the_car_is_no_fault() -> None:
    overlay = {"build": {"fates": [{"port": "car.ocl-o", "fate": "parked"}]}}
    assert said("oil-cooler-cap", overlay, "car.ocl-o") is None


def test_one_open_breather_is_enough() -> None:
    overlay: dict[str, Any] = {
        "motor": {"ports": {"pcv-2": {"family": "pcv"}}},
        "build": {"fates": [{"port": "motor.pcv", "fate": "capped"}]},
    }
    asked = said("pcv-blocked", overlay, "motor")
    assert asked is not None and asked.asks is not None and asked.asks.name == "fate"
    overlay["build"]["fates"].append({"port": "motor.pcv-2", "fate": "kept"})
    assert said("pcv-blocked", overlay, "motor") is None
    overlay["build"]["fates"][1]["fate"] = "capped"
    found = said("pcv-blocked", overlay, "motor")
    assert found is not None and "open, of 2" in found.message.text("metric")


def test_supply_of_the_turbocharger_is_not_asked_about_its_fall() -> None:
    assert said("oil-turbo-drain", {}, "motor.tbo-o") is None


def test_jobs_on_other_things_open_no_cap() -> None:
    jobs = {"J1": {"about": ["car.bpos"]}, "J2": {"about": ["car.heater"]}, "J3": {}}
    told = {job: said("cool-hot-cap-task", {"build": {"jobs": jobs}}, job) for job in jobs}
    assert [job for job, found in told.items() if found] == ["J2", "J3"]


# -- the first evening: starter sheets alone --------------------------------------------------


def test_old_car_with_newer_engine_hears_of_its_matrix_on_the_first_evening() -> None:
    answers = {
        "layout": "front lengthways to the rear", "engine": "four lengthways",
        "car year": "1974", "engine year": "1996",
        "car fuel": "carburettor", "engine fuel": "injection",
    }  # fmt: skip
    texts = new_build("evening", answers).texts.items()
    assembly = assemble(read_documents((name, text.encode()) for name, text in texts))
    told = findings(assembly, coolant.RULES, AS_OF)
    tripped = [each for each in told if each.urgency is not Urgency.ASK]
    assert [each.id for each in tripped] == [f"cool-cap-weakest/{assembly.recipient}"]
    assert tripped[0].urgency is Urgency.ROAD  # typical values never make a stop
    # Starter tables: cap 1.1 bar, matrix 0.7 bar, standard deviations 0.15 and 0.2 bar.
    assert tripped[0].sure == pytest.approx(NormalDist().cdf(0.4 / 0.25), abs=0.01)


# -- what must not be blamed, and what must not slip through ---------------------------------


def test_radiator_that_goes_is_no_part_of_the_circuit() -> None:
    overlay = caps("1.1 bar", "1.1 bar", "1.5 bar")
    overlay["car"]["parts"] = {"radiator": {"facts": {"pressure_limit": "0.9 bar"}}}
    ends = [port.id for port in base_build(overlay).ports.values() if port.owner == "car.radiator"]
    assert ends
    overlay["build"]["fates"] = [{"port": each, "fate": "removed"} for each in ends]
    assert said("cool-cap-weakest", overlay, "car.radiator") is None


@pytest.mark.parametrize("joined", [True, False])
def test_radiator_off_the_shelf_counts_once_it_is_joined(joined: bool) -> None:
    overlay = caps("1.1 bar", "1.1 bar", "1.5 bar")
    overlay["build"]["shelf"] = ["spare"]
    overlay["spare"] = {
        "format": 1, "kind": "part", "id": "spare", "role": "radiator",
        "facts": {"pressure_limit": "0.9 bar"},
        "ports": {"in": {"service": "coolant", "flow": "in"}},
    }  # fmt: skip
    if joined:
        overlay["build"]["joins"] = {"top": {"ends": ["motor.hot", "spare.in"]}}
    assert (said("cool-cap-weakest", overlay, "spare") is not None) is joined


@pytest.mark.parametrize(
    "made_for, family, trips",
    [
        ("steering pressure", "clu", True),  # its liner is not made for brake fluid
        ("clutch fluid", "clu", False),
        ("steering suction", "psp", True),
        ("steering pressure", "psr", False),
        ("oil", "pcv", False),  # stands oil mist
        ("fuel injection", "hvac", False),
        ("coolant", "hvac", True),
    ],
)
def test_hose_service_by_family(made_for: str, family: str, trips: bool) -> None:
    overlay = hose({"hose_service": made_for}, (f"motor.x-{family}", f"car.x-{family}"))
    for document in ("motor", "car"):
        overlay[document] = {"ports": {f"x-{family}": {"family": family}}}
    assert (said("cool-hose-service", overlay, "top") is not None) is trips


def test_wrong_hose_is_told_beside_a_right_one() -> None:
    overlay = hose({})
    overlay["build"]["joins"]["top"]["through"] = ["right", "wrong"]
    overlay["shelf"] = {
        "items": {
            "right": {"kind": "hose", "facts": {"hose_service": "coolant"}},
            "wrong": {"kind": "hose", "facts": {"hose_service": "fuel injection"}},
        }
    }
    found = said("cool-hose-service", overlay, "top")
    assert found is not None and found.urgency is Urgency.STOP


def test_leak_ahead_of_the_sensor_is_told_whatever_its_rise() -> None:
    leak = {"ports": {"lam": {"facts": {"leak_before_sensor": "yes"}}}}
    overlay: dict[str, Any] = {"motor": leak}
    overlay["build"] = {"joins": {"lam": {"ends": ["motor.lam", "car.lam"]}}}
    found = said("exh-lambda", overlay, "motor.lam")
    assert found is not None and "behind a leak" in found.message.text("metric")
