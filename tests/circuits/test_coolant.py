"""The coolant circuit of whole builds: what must hold whatever the figures are."""

from functools import cache
from typing import Any

import numpy as np
import pytest
from tests.support.builds import base_build, documents_of
from tests.support.demo_builds import demo, demo_trees

from swapwright.chance.samples import Sample
from swapwright.circuits.conditions import conditions
from swapwright.circuits.coolant import State, reference_of, state_in
from swapwright.circuits.graph import Circuit, circuit
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.study import coolant_study
from swapwright.circuits.upset import Upset
from swapwright.dossier.coolant import coolant_text
from swapwright.dossier.coolant_report import coolant_section
from swapwright.findings.computed.coolant import coolant_findings
from swapwright.library.cases import cases_of
from swapwright.model.assemble import assemble
from swapwright.model.assembly import Assembly
from swapwright.model.words import Service

CASES = ("hot-idle", "motorway", "hill", "top-speed")
HEAD = "tessera-four:head"
CORE = "haywain.radiator:core"


def computed(assembly: Assembly, case: str, size: int = 64, seed: int = 1) -> tuple[State, Inputs]:
    inputs = Inputs(assembly, Sample(size, seed))
    found = circuit(assembly, Service.COOLANT)
    stated = conditions(case, cases_of(assembly.build)[case], inputs)
    return state_in(stated, found, inputs), inputs


@cache
def van(case: str) -> tuple[State, Inputs]:
    return computed(demo("van"), case)


def changed(overlay: dict[str, Any], case: str) -> State:
    return computed(demo("van", overlay), case)[0]


def into(state: State, chamber: str) -> np.ndarray[Any, np.dtype[np.float64]]:
    """What flows into a chamber less what flows out, over the greatest flow."""
    found: Circuit = state.circuit
    total = np.zeros(next(iter(state.flows.values())).shape)
    for element in found.elements.values():
        flow = state.flows[element.id]
        total += flow * ((element.end == chamber) - (element.start == chamber))
    return np.asarray(total / np.max(np.abs(list(state.flows.values())), axis=0))


@pytest.mark.parametrize("case", ("cold-start", *CASES))
def test_what_flows_in_flows_out(case: str) -> None:
    state, _ = van(case)
    assert state.converged.all()
    for chamber in state.circuit.chambers:
        assert np.abs(into(state, chamber)).max() < 1e-7


@pytest.mark.parametrize("case", CASES)
def test_the_air_takes_what_the_engine_gives(case: str) -> None:
    state, _ = van(case)
    given = sum(heat for heat in state.heats.values())
    scale = np.max(np.abs(list(state.heats.values())), axis=0)
    assert np.abs(given / scale).max() < 1e-6


@pytest.mark.parametrize("case", CASES)
def test_the_thermostat_stands_where_its_own_opening_leads(case: str) -> None:
    state, _ = van(case)
    assert np.abs(state.residual).max() < 0.1
    for opening in state.openings.values():
        assert ((opening >= 0) & (opening <= 1)).all()


def test_one_sample_is_the_nominal_world() -> None:
    """Medians of all inputs: no other seed changes it."""
    first, inputs = computed(demo("van"), "hill", size=1, seed=1)
    other, _ = computed(demo("van"), "hill", size=1, seed=99)
    assert first.temperatures[HEAD] == pytest.approx(other.temperatures[HEAD], rel=1e-12)
    for taken in inputs.taken.values():
        assert taken.own[0] == pytest.approx(taken.measure.nominal, rel=1e-12)


def test_assumptions_are_the_inputs_less_what_was_told() -> None:
    _, inputs = van("hill")
    told = {each.id for each in inputs.taken.values() if not each.assumed}
    assumed = {each.id for each in inputs.assumptions}
    assert told | assumed == set(inputs.taken) and not told & assumed
    for each in inputs.assumptions:
        if each.id == f"{each.subject}.{each.fact}":  # else it goes by another name than its fact
            value = inputs.said(each.fact, each.subject)
            assert value is None or str(value.basis) in ("typical", "guessed")
    assert "tessera-four.thermostat_temperature" in told
    assert "tessera-four.jacket_pressure_drop" in assumed


def test_a_fact_told_is_no_longer_assumed() -> None:
    facts = {"jacket_pressure_drop": "0.3 bar, published"}
    _, inputs = computed(demo("van", {"tessera-four": {"facts": facts}}), "hill")
    assert "tessera-four.jacket_pressure_drop" not in {each.id for each in inputs.assumptions}


def test_order_and_names_do_not_matter() -> None:
    """The same build with its joins written the other way round and under other names."""
    trees = demo_trees("van")
    joins = trees["van"]["joins"]
    trees["van"]["joins"] = {f"z-{name.lower()}": joins[name] for name in reversed(list(joins))}
    for field in ("accepted", "red_lines", "readings", "stock", "circuits", "decisions", "jobs"):
        trees["van"].pop(field, None)  # these name joins
    again, _ = computed(assemble(documents_of(trees)), "hill", size=1)
    plain, _ = computed(demo("van"), "hill", size=1)
    for name in plain.temperatures:
        assert again.temperatures[name] == pytest.approx(plain.temperatures[name], rel=1e-9)
    assert again.flows[CORE] == pytest.approx(plain.flows[CORE], rel=1e-9)


def test_a_larger_radiator_is_never_hotter() -> None:
    part = {"parts": {"radiator": {"facts": {"radiator_core_height": "800 mm"}}}}
    larger, plain = changed({"haywain": part}, "hill"), van("hill")[0]
    assert (larger.temperatures[HEAD] <= plain.temperatures[HEAD] + 0.05).all()
    assert larger.temperatures[HEAD].mean() < plain.temperatures[HEAD].mean() - 3


def test_hotter_air_is_never_cooler() -> None:
    case = {"van": {"cases": {"hill": {"air": "46 °C"}}}}
    hotter, plain = changed(case, "hill"), van("hill")[0]
    assert (hotter.temperatures[HEAD] >= plain.temperatures[HEAD] - 0.1).all()
    wide_open = plain.openings["tessera-four:thermostat"] > 0.999
    rise = (hotter.temperatures[HEAD] - plain.temperatures[HEAD])[wide_open]
    # with the thermostat wide open the circuit rises with the air; single ones by less or more,
    # where thinner coolant changes from laminar to turbulent flow in tubes or hoses
    assert wide_open.sum() > 20
    assert np.median(rise) == pytest.approx(6.0, abs=1.0)
    assert (rise > 1.0).all() and (rise < 9.0).all()


def test_the_two_heater_hoses_may_be_exchanged() -> None:
    """It turns the flow in the matrix round and changes nothing else."""
    joins = {
        "H3": {"ends": ["tessera-four.P03", "haywain.R05"]},
        "H4": {"ends": ["haywain.R04", "tessera-four.P04"]},
    }
    case = {"hill": {"heater": "open"}}
    turned = computed(demo("van", {"van": {"joins": joins, "cases": case}}), "hill", size=1)[0]
    plain = computed(demo("van", {"van": {"cases": case}}), "hill", size=1)[0]
    matrix = "haywain.heater:matrix"
    # bends and steps of the two hoses are not quite alike
    assert turned.flows[matrix] == pytest.approx(-plain.flows[matrix], rel=0.01)
    assert plain.flows[matrix][0] > 1e-5
    assert turned.temperatures[HEAD] == pytest.approx(plain.temperatures[HEAD], abs=0.1)


# -- the van's circuit spoilt by hand ------------------------------------------


def test_a_second_supply_stub_starves_the_heater() -> None:
    ports = {"P04": {"facts": {"opens_into": "head"}}}
    state = changed({"tessera-four": {"ports": ports}}, "cold-start")
    right = van("cold-start")[0].flows["haywain.heater:matrix"]
    assert (np.abs(state.flows["haywain.heater:matrix"]) < 0.2 * right).all()


def test_without_a_bypass_the_pump_stands_against_a_shut_thermostat() -> None:
    fates = [
        {"port": f"tessera-four.{each}", "fate": "capped", "reason": "tried"}
        for each in ("P08", "P08-i")
    ]
    spoilt = {"van": {"fates": fates, "joins": {"H3": {"from": "finished"}}}}
    state = changed(spoilt, "cold-start")
    plain = van("cold-start")[0]
    pump = "tessera-four:pump"
    assert state.flows[pump].mean() < 0.6 * plain.flows[pump].mean()


def test_a_make_up_hose_on_the_hot_side_leaves_the_pump_to_suck() -> None:
    """The tank then holds up the pressure behind the thermostat, not before the pump."""
    joins = {
        "H1": {"through": ["hose-36", "make-up-tee", "reducer-36-38"]},
        "H2": {"through": ["hose-36-spring", "heat-sleeve"]},
    }
    state = changed({"van": {"joins": joins}}, "hill")
    plain = van("hill")[0]
    suction = "tessera-four:suction"
    assert (plain.pressures[suction] > -5e3).all()  # over that of the tank
    lost = plain.pressures[suction] - state.pressures[suction]
    assert (lost > 0).all() and lost.mean() > 4e3


# -- what a circuit cannot do without -------------------------------------------


def test_a_circuit_without_a_way_round_says_so() -> None:
    ends = ("P01", "P02", "P03", "P04", "P05", "P08", "P08-i", "P06", "P07")
    fates = [{"port": f"tessera-four.{each}", "fate": "capped", "reason": "x"} for each in ends]
    joins = {name: {"from": "finished"} for name in ("H1", "H2", "H3", "H4", "H5", "H7")}
    study = coolant_study(demo("van", {"van": {"fates": fates, "joins": joins}}), 64)
    assert not study.cases
    stops = [lack.what for lack in study.lacks if lack.stops_all]
    assert stops == ["no way from the pump round and back to it"]


def test_the_reference_is_the_header_tank() -> None:
    assert reference_of(circuit(demo("van"), Service.COOLANT)) == "haywain.header:tank"


@pytest.mark.parametrize(
    ("case", "upset"),
    [
        ("hot-idle", Upset(fan_speed=0.0)),  # at speed the wind may well pass a dead fan
        ("hill", Upset(pump_speed=0.5)),
        ("hill", Upset(stuck=0.0)),
        ("hill", Upset(core_share=0.6)),
    ],
)
def test_a_failure_is_never_cooler(case: str, upset: Upset) -> None:
    assert np.all(hottest(case, upset) >= hottest(case, Upset()) - 0.05)
    assert np.any(hottest(case, upset) > hottest(case, Upset()) + 1.0)


def test_a_thermostat_stuck_open_is_never_hotter() -> None:
    assert np.all(hottest("motorway", Upset(stuck=1.0)) <= hottest("motorway", Upset()) + 0.05)


@cache
def hottest(case: str, upset: Upset) -> Column:
    """Of the head, over a few samples; without rest it is hottest of all."""
    state = coolant_study(demo("van"), 64, only=(case,), upset=upset).cases[case].state
    return np.where(np.isfinite(state.temperatures[HEAD]), state.temperatures[HEAD], 1e4)


@pytest.mark.parametrize("given", [{"stuck": 1.1}, {"fan_speed": -0.1}, {"core_share": 0.0}])
def test_a_share_that_is_none_is_refused(given: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=next(iter(given))):
        Upset(**given)


def test_a_radiator_without_its_return_hose_is_told_and_finds_no_rest() -> None:
    """The base build joins no return: heat comes that cannot go; nothing breaks over it."""
    build = base_build()
    study = coolant_study(build, 16)
    assert any("outlet tank" in lack.what for lack in study.lacks)
    text = coolant_text(build, study, coolant_findings(build, study))
    assert "finds no rest" in text
    assert "missing: nothing leads to the outlet tank of the radiator" in " ".join(text.split())
    assert coolant_section(build, study).cases
