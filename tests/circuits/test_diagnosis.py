"""Wrong joins, moved by hand in the demo van: each is found, with the exchange that mends it."""

from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.support.demo_builds import demo

from swapwright.chance.samples import Sample
from swapwright.circuits.diagnosis import Diagnosis, Exchange, Misjoined, diagnosis, moved
from swapwright.circuits.graph import circuit
from swapwright.circuits.inputs import Inputs
from swapwright.model.words import Service

HEAD, SUCTION = "tessera-four:head", "tessera-four:suction"
UPPER, LOWER = "haywain.radiator:upper", "haywain.radiator:lower"
CAPPED = [{"port": f"tessera-four.{each}", "fate": "capped"} for each in ("P08", "P08-i")]
MADE: dict[str, dict[str, Any]] = {
    "as it is": {},
    "bypass blanked": {"van": {"fates": CAPPED}},
    "heater return on a second supply stub": {
        "tessera-four": {"ports": {"P04": {"facts": {"opens_into": "head"}}}}
    },
    "heater feed on a suction stub": {
        "tessera-four": {"ports": {"P03": {"facts": {"opens_into": "suction"}}}}
    },
    "make-up teed into the hot hose": {
        "van": {
            "joins": {
                "H1": {"through": ["hose-36", "make-up-tee", "reducer-36-38"]},
                "H2": {"through": ["hose-36-spring", "heat-sleeve"]},
            }
        }
    },
    "main hoses crossed": {
        "van": {
            "joins": {
                "H1": {"ends": ["tessera-four.P01", "haywain.R02"]},
                "H2": {"ends": ["haywain.R01", "tessera-four.P02"]},
            }
        }
    },
    "hoses turned at the matrix": {
        "van": {
            "joins": {
                "H3": {"ends": ["tessera-four.P03", "haywain.R05"]},
                "H4": {"ends": ["haywain.R04", "tessera-four.P04"]},
            }
        }
    },
}


@cache
def found(name: str) -> Diagnosis:
    assembly = demo("van", MADE[name])
    return diagnosis(circuit(assembly, Service.COOLANT), Inputs(assembly, Sample(64, 1)))


def only(name: str) -> Misjoined:
    assert len(found(name).faults) == 1
    return found(name).faults[0]


def test_the_van_as_it_is_has_no_wrong_join() -> None:
    assert found("as it is") == Diagnosis((), ())


def test_a_blanked_bypass_is_found_with_what_it_would_carry() -> None:
    fault = only("bypass blanked")
    assert (fault.kind, fault.opens, fault.mend) == ("no bypass", "bypass", ())
    assert fault.wrong.mean() > 0.5
    assert np.all(fault.better > 2 * fault.found)


@pytest.mark.parametrize(
    ("name", "old", "new", "hose"),
    [
        ("heater return on a second supply stub", HEAD, SUCTION, {"H3", "H4"}),
        ("heater feed on a suction stub", SUCTION, HEAD, {"H3", "H4"}),
    ],
)
def test_a_heater_on_two_stubs_alike_is_found(
    name: str, old: str, new: str, hose: set[str]
) -> None:
    fault = only(name)
    assert fault.kind == "heater starved"
    assert fault.wrong.all()
    move = fault.mend[0]
    assert (move.old, move.new) == (old, new)
    assert move.element.partition(":")[0] in hose
    assert np.median(fault.better) > 2 / 60e3
    assert np.median(fault.found) < 0.01 * np.median(fault.better)


def test_a_make_up_on_the_hot_side_is_found_by_the_suction_it_costs() -> None:
    fault = only("make-up teed into the hot hose")
    assert fault.kind == "makeup hot"
    assert fault.wrong.all()
    assert [(each.element, each.new) for each in fault.mend] == [("H7", SUCTION)]
    assert np.median(fault.found) < -1e4  # 0.1 bar below the tank
    assert np.median(fault.better) > -2e3


def test_crossed_main_hoses_are_found_and_both_are_exchanged() -> None:
    fault = only("main hoses crossed")
    assert fault.kind == "main hoses crossed"
    assert {(each.old, each.new) for each in fault.mend} == {(UPPER, LOWER), (LOWER, UPPER)}
    assert np.all(fault.found < 0)
    assert np.all(fault.better > 0)


def test_hoses_turned_at_the_matrix_are_only_told() -> None:
    assert not found("hoses turned at the matrix").faults
    assert [each.kind for each in found("hoses turned at the matrix").remarks] == [
        "matrix flows backwards"
    ]


def test_an_exchange_is_what_it_says() -> None:
    """The mended circuit, solved anew by itself, gives the flow that was told."""
    name = "heater return on a second supply stub"
    assembly = demo("van", MADE[name])
    inputs = Inputs(assembly, Sample(64, 1))
    whole = circuit(assembly, Service.COOLANT)
    again = diagnosis(moved(whole, only(name).mend), inputs)
    assert not again.faults
    assert moved(whole, (Exchange("H1", UPPER, LOWER),)).elements["H1"].end == LOWER
