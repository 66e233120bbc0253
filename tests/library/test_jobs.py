"""The shipped jobs: sums, order and flags."""

from graphlib import TopologicalSorter
from math import fsum

import pytest

from swapwright.library.jobs import FLAGS, jobs

# Sums of the hand-made list that the table was entered from.
HOURS = {"after": 89.6, "before it goes in": 94.0, "either": 191.7, "mock-up": 40.5}
TWO_PEOPLE = (
    "J011 J019 J020 J021 J037 J041 J066 J070 J072 J081 J112 J130 J140 J147 J155 J156 J162 J164"
)
LONGEST_CHAIN = 148.7  # h, from the first question to the service after 500 km


def test_hours_by_when_are_those_of_the_list() -> None:
    for when, hours in HOURS.items():
        assert fsum(job.hours for job in jobs().values() if job.when == when) == pytest.approx(
            hours
        )


def test_jobs_that_take_two_are_those_of_the_list() -> None:
    two = [job.id for job in jobs().values() if "two people" in job.flags]
    assert two == TWO_PEOPLE.split()


def chains() -> dict[str, float]:
    """Hours of the longest chain that ends with each job; each job once, after all before it."""
    before = {job.id: set(job.after) for job in jobs().values()}
    hours: dict[str, float] = {}
    for name in TopologicalSorter(before).static_order():  # raises for a job before itself
        job = jobs()[name]
        hours[name] = job.hours + max((hours[each] for each in job.after), default=0.0)
    return hours


def test_no_job_comes_before_itself_and_the_longest_chain_is_that_of_the_list() -> None:
    assert chains()["J179"] == pytest.approx(LONGEST_CHAIN)
    assert set(chains()) == set(jobs())


def test_no_flag_is_idle_and_no_two_jobs_say_the_same() -> None:
    assert {flag for job in jobs().values() for flag in job.flags} == set(FLAGS)
    assert len({job.what for job in jobs().values()}) == len(jobs())


def test_what_welds_is_done_with_a_welder_or_named_so() -> None:
    for job in jobs().values():
        welder = any("welder" in tool for tool in job.tools) or "weld" in job.what.lower()
        assert welder == ("welding" in job.flags) or job.id == "J085", job
