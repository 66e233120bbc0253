"""The coolant circuit on the page: the study's own numbers, axes with units, no id twice."""

import re
from functools import cache

import numpy as np
import pytest
from tests.support.demo_builds import demo

from swapwright.chance.results import quantiles
from swapwright.circuits.curves import heat_against_radiator, pump_against_circuit
from swapwright.circuits.study import CoolantStudy, coolant_study
from swapwright.dossier.coolant_report import CoolantSection, Picture, coolant_section
from swapwright.quantity import Dimension, preferred

HEAD = "tessera-four:head"
PUMP = "tessera-four:pump"


@cache
def study() -> CoolantStudy:
    return coolant_study(demo("van"), 128, only=("cold-start", "hill"))


@cache
def section() -> CoolantSection:
    return coolant_section(demo("van"), study())


def test_the_numbers_are_those_of_the_study() -> None:
    rows = dict(section().cases[1].rows)
    result = study().cases["hill"].state
    found = quantiles(result.temperatures[HEAD], result.converged)
    middle = preferred(found.median, Dimension.TEMPERATURE, "metric")
    assert rows["coolant leaving the head"].startswith(middle)
    assert len(section().assumptions) == len(study().assumptions)


def test_each_case_has_its_pictures() -> None:
    cold, hill = section().cases
    assert len(cold.charts) == 1  # nothing is in balance: the pump alone
    assert len(hill.charts) == 4
    assert section().profile in pictures()
    for each in pictures():
        assert each.wide.startswith("<svg") and each.narrow.startswith("<svg")
        assert each.wide != each.narrow


def pictures() -> list[Picture]:
    profile = section().profile
    assert profile is not None
    return [profile, *(each for case in section().cases for each in (case.drawing, *case.charts))]


def test_no_id_stands_twice_on_the_page() -> None:
    page = "".join(each.wide + each.narrow for each in pictures())
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert ids
    assert len(ids) == len(set(ids))


def test_axes_say_their_units() -> None:
    pump, heat = (each.wide for each in section().cases[1].charts[:2])
    assert "L/min" in pump and "bar" in pump
    assert "°C" in heat and "kW" in heat


def test_pump_and_circuit_meet_where_the_circuit_was_solved() -> None:
    """Two ways to one flow: the network with its pump, and the curves' crossing."""
    columns = study().columns
    assert columns is not None
    result = study().cases["cold-start"]
    curves = pump_against_circuit(study(), result, columns)
    assert curves is not None
    rise, drop = np.array(curves.one), np.array(curves.other)
    places = np.array(curves.places)
    assert np.all(np.diff(rise, axis=0) <= 1e-6)
    assert np.all(np.diff(drop, axis=0) >= 0)
    flow = result.state.flows[PUMP]
    for sample in range(0, 128, 8):
        gap = (rise - drop)[:, sample]
        if gap[-1] > 0:
            continue  # it meets beyond what is drawn
        after = int(np.argmax(gap <= 0))
        share = gap[after - 1] / (gap[after - 1] - gap[after])
        crossing = places[after - 1] + share * (places[after] - places[after - 1])
        assert crossing == pytest.approx(flow[sample], rel=0.02)


def test_heat_meets_where_the_hill_is_in_balance() -> None:
    """Where the thermostat is fully open, what comes equals what can go as it was solved."""
    columns = study().columns
    assert columns is not None
    result = study().cases["hill"]
    curves = heat_against_radiator(study(), result, columns)
    assert curves is not None
    hot, air = result.state.temperatures[HEAD], result.state.case.air
    opened = result.state.openings["tessera-four:thermostat"] >= 1
    slope = (curves.other[-1] - 0) / (curves.places[-1] - air)
    assert (slope * (hot - air))[opened] == pytest.approx(curves.one[0][opened], rel=2e-3)
