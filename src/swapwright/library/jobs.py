"""The jobs of a swap: what is done, in which order, and what can hurt. Data that ships."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.shipped import shipped_rows

WHEN = ("before it goes in", "mock-up", "after", "either")
FLAGS = (
    "two people", "lifting", "under a raised car", "fire or fuel", "chemical or hot or pressure",
    "electric", "licensed person", "welding", "cutting",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class JobText:
    """One job as it ships; a build may know better."""

    id: str
    what: str
    hours: float  # h, net, for a careful first-timer
    after: tuple[str, ...]  # ids of the jobs that come before it
    when: str  # one of WHEN, seen from the engine going in for good
    flags: tuple[str, ...]  # of FLAGS
    tools: tuple[str, ...]


@cache
def jobs() -> Mapping[str, JobText]:
    """All jobs by id, from ``jobs.csv``.

    Raises
    ------
    RuntimeError
        If the shipped table contradicts itself: a mistake of ours.
    """
    table = {row["id"]: _job(row) for row in shipped_rows("swapwright.library", "jobs.csv")}
    for job in table.values():
        strange = {*job.after} - {*table} | {*job.flags} - {*FLAGS} | {job.when} - {*WHEN}
        if strange:
            raise RuntimeError(f"jobs.csv: {job.id}: {sorted(strange)}")
    return table


def _job(row: Mapping[str, str]) -> JobText:
    return JobText(
        row["id"],
        row["what"],
        float(row["hours"]),
        tuple(row["after"].split()),
        row["when"],
        _listed(row["flags"], ";"),
        _listed(row["tools"], ","),
    )


def _listed(text: str, mark: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(mark) if word.strip())
