"""Fittings, mating table and look-alike threads: tables that ship as CSV."""

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.shipped import shipped_text

MM = 1e-3


@dataclass(frozen=True, slots=True)
class Fitting:
    """One size of one kind of end, as it is sold; lengths in m."""

    id: str
    family: str
    size: str
    form: str
    seat: str  # how it seals, in the word of the end form; empty: not told by the size
    thread: str  # designation; of the outer thread where the two differ
    thread_inside: str  # designation of the inner thread where it has a name of its own
    major: float | None
    pitch: float | None
    turns_per_inch: float | None
    across: float | None  # tube outside, hose bore, barrel, hole, width or square, by form
    gauge_pitch_diameter: float | None  # taper pipe threads, at the hand-tight plane
    hand_tight: float | None  # length from the end of the pipe to that plane
    seal: str
    standard: str
    from_memory: bool
    source: str
    note: str


@dataclass(frozen=True, slots=True)
class MateSide:
    """Which ends one half of a mating row holds for; empty words mean any."""

    form: str
    half: str
    kind: str
    dim: str  # dimension that the law compares


@dataclass(frozen=True, slots=True)
class MateRow:
    """Two ends that meet, the law that compares their sizes, and what is said when they agree."""

    a: MateSide
    b: MateSide
    law: str
    verdict: str
    through: str
    why: str
    source: str


@dataclass(frozen=True, slots=True)
class LookAlike:
    """Two threads that are taken for one another; differences are b minus a, in m."""

    id: str
    a: str
    b: str
    major: float
    pitch: float
    five_turns: float
    note: str
    source: str


@cache
def fittings() -> Mapping[str, Fitting]:
    """All fittings by id, from ``fittings.csv``."""
    return {row[0]: _fitting(row) for row in _rows("fittings.csv")}


@cache
def mate_rows() -> tuple[MateRow, ...]:
    """The mating table, from ``mates.csv``, in its order."""
    return tuple(
        MateRow(MateSide(fa, ha, ka, da), MateSide(fb, hb, kb, db), *rest)
        for fa, ha, ka, da, fb, hb, kb, db, *rest in _rows("mates.csv")
    )


@cache
def lookalikes() -> tuple[LookAlike, ...]:
    """Threads to be named as look-alikes, from ``lookalikes.csv``."""
    return tuple(
        LookAlike(id, a, b, float(d) * MM, float(p) * MM, float(five) * MM, note, source)
        for id, a, b, d, p, five, note, source in _rows("lookalikes.csv")
    )


def _rows(name: str) -> Iterator[list[str]]:
    text = shipped_text("swapwright.library", name)
    lines = (line for line in text.splitlines() if not line.startswith("#"))
    reader = csv.reader(lines)
    next(reader)
    return reader


def _fitting(row: list[str]) -> Fitting:
    (
        id, family, size, form, seat, thread, inside, major, pitch, turns, across,
        gauge, hand_tight, seal, standard, from_memory, source, note,
    ) = row  # fmt: skip
    return Fitting(
        id, family, size, form, seat, thread, inside, _length(major), _length(pitch),
        float(turns) if turns else None, _length(across), _length(gauge), _length(hand_tight),
        seal, standard, from_memory == "y", source, note,
    )  # fmt: skip


def _length(millimetres: str) -> float | None:
    return float(millimetres) * MM if millimetres else None
