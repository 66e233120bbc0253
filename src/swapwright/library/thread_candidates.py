"""Threads of the fittings table, each once, with what a caliper and a pitch gauge see of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from swapwright.library.tables import Fitting, fittings

INCH = 0.0254
MILLIMETRE = 0.001
SHARP_60 = 1.0825  # twice 5/8 of the sharp height √3/2 P: ISO 68-1, ASME B1.1
WHITWORTH = 1.2807  # twice 0.640327: ISO 228-1, ISO 7-1
TAPER_ENDS = ("NPT", "NPTF", "keg")
PIPE_60 = 0.8  # thread height over pitch: ASME B1.20.1


@dataclass(frozen=True, slots=True)
class ThreadCandidate:
    """One thread and the fittings that bear it."""

    designation: str
    diameter: float  # major, as the fittings table has it [m]
    pitch: float  # [m]
    turns_per_inch: float | None  # None for metric pitches
    taper: bool
    mouth_pitch_diameter: float | None  # American taper pipe threads, hand-tight plane [m]
    fittings: tuple[str, ...]  # ids of rows

    @property
    def leaf(self) -> str:
        """The leaf of a pitch gauge that fits it."""
        if self.turns_per_inch is not None:
            return f"{self.turns_per_inch:g} tpi"
        return f"{self.pitch / MILLIMETRE:g} mm"


@cache
def thread_candidates() -> Mapping[str, ThreadCandidate]:
    """All threads of the fittings table by designation."""
    found: dict[str, ThreadCandidate] = {}
    for fitting in fittings().values():
        if fitting.thread:
            one = _candidate(fitting)
            before = found.setdefault(one.designation, one)
            if before is not one:
                found[one.designation] = _merged(before, one)
    mouths = {name: thread.mouth_pitch_diameter for name, thread in found.items()}
    for name, thread in found.items():
        # The dryseal thread has the sizes of the plain one; the table states them once.
        mouth = mouths.get(name.removesuffix("F")) if name.endswith("NPTF") else None
        if mouth is not None:
            found[name] = replace(thread, mouth_pitch_diameter=mouth)
    return found


def _candidate(fitting: Fitting) -> ThreadCandidate:
    if fitting.major is None or fitting.pitch is None:
        raise ValueError(f"fittings.csv, {fitting.id}: a thread without its sizes")
    turns = fitting.turns_per_inch
    pitch = INCH / turns if turns is not None else fitting.pitch
    # By its name: a row may list the thread for a use, as a sensor, and not as a family.
    taper = fitting.thread.startswith(("R ", "Rc ")) or fitting.thread.endswith(TAPER_ENDS)
    return ThreadCandidate(
        fitting.thread, fitting.major, pitch, turns, taper,
        fitting.gauge_pitch_diameter, (fitting.id,),
    )  # fmt: skip


def _merged(first: ThreadCandidate, second: ThreadCandidate) -> ThreadCandidate:
    """Two rows of one thread; a row for its use may lack what the row for its sizes has."""
    mouth = first.mouth_pitch_diameter or second.mouth_pitch_diameter
    rows = first.fittings + second.fittings
    return replace(first, mouth_pitch_diameter=mouth, fittings=rows)


def bore_of(thread: ThreadCandidate) -> float:
    """Bore over the crests of the female thread, at its mouth [m].

    References
    ----------
    ISO 68-1 and ASME B1.1: ``d - 1.0825 P``; ISO 228-1: ``d - 1.2807 P``;
    ASME B1.20.1: ``E1 - 0.8 P``; read second-hand.
    """
    if thread.mouth_pitch_diameter is not None:
        return thread.mouth_pitch_diameter - PIPE_60 * thread.pitch
    if thread.designation.startswith(("G ", "R ")):
        return thread.diameter - WHITWORTH * thread.pitch
    return thread.diameter - SHARP_60 * thread.pitch


def gauge_leaves(sets: Mapping[str, Sequence[str]]) -> Mapping[str, float]:
    """Leaves of these gauge sets by name, the finest pitch first. [m]"""
    leaves: dict[str, float] = {}
    for name in sets.get("metric", ()):
        leaves[f"{float(name):g} mm"] = float(name) * MILLIMETRE
    for name in sets.get("inch", ()):
        leaves[f"{float(name):g} tpi"] = INCH / float(name)
    return dict(sorted(leaves.items(), key=lambda leaf: leaf[1]))


def leaf_shares(
    thread: ThreadCandidate,
    leaves: Mapping[str, float],
    right: float,
    neighbours: float,
    stray: float,
) -> tuple[float, ...]:
    """How often each leaf is named for this thread.

    The right leaf is the thread's own, or, where the set lacks it, the nearest in
    pitch; ``neighbours`` is shared by the leaves beside it, ``stray`` by all.
    """
    names = list(leaves)
    fits = thread.leaf
    if fits not in leaves:
        fits = min(names, key=lambda name: abs(leaves[name] - thread.pitch))
    at = names.index(fits)
    beside = [i for i in (at - 1, at + 1) if 0 <= i < len(names)]
    shares = [stray / len(names)] * len(names)
    shares[at] += (1 - stray) * right
    for i in beside:
        shares[i] += (1 - stray) * neighbours / len(beside)
    return tuple(shares)
