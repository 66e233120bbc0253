"""Mixing at nodes as a system of equations, for many samples at once.

Every unknown node takes shares from its neighbours and from the ground:
``(Σ takes + ground) T = Σ takes · T_giver + right``. What a node takes from another and what it
gives it differ, so the system is not symmetric as that of pressures is, but the pattern is, and
its plan serves.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from swapwright.physics.elimination import GROUND, make_plan
from swapwright.physics.inputs import Floats


@dataclass(frozen=True)
class MixingStep:
    """Elimination of one node."""

    node: int
    takes: slice  # rows: what it takes from each later node
    gives: slice  # rows: what each later node takes from it
    later: tuple[int, ...]
    updates: tuple[tuple[tuple[int, int], ...], ...]  # for each later node: (row of takes, target)


@dataclass(frozen=True)
class MixingPattern:
    """What hangs on the links alone."""

    nodes: int
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    fixed: tuple[int, ...]
    free: tuple[int, ...]
    steps: tuple[MixingStep, ...]
    # sparse matrices (scipy) that act on rows of samples, each link once for either direction
    gather: Any  # (R, 2 L): shares handed on into rows of (taker, giver)
    taken: Any  # (F, 2 L): into each free node
    entering: Any  # (N, 2 L)
    leaving: Any  # (N, 2 L)
    from_fixed: tuple[tuple[int, int, int], ...]  # (free taker, row of 2 L, fixed giver), by places


@lru_cache(maxsize=256)
def mixing_pattern(
    nodes: int, starts: tuple[int, ...], ends: tuple[int, ...], fixed: tuple[int, ...]
) -> MixingPattern:
    """Pattern of a network, made once and remembered.

    Parameters
    ----------
    nodes : scalar
        Number of nodes, counted from 0.
    starts, ends : (L,)
        Nodes of each link.
    fixed : nodes, rising
        Whose temperature is given.

    Returns
    -------
    pattern : MixingPattern
        Free nodes are numbered in it by their order, without the fixed ones.

    Raises
    ------
    ValueError
        If an end is no node.

    References
    ----------
    .. [1] Order of elimination from `elimination.make_plan`.
    """
    free = tuple(node for node in range(nodes) if node not in fixed)
    at = {node: place for place, node in enumerate(free)} | dict.fromkeys(fixed, GROUND)
    inner = [
        (at[a], at[b]) for a, b in zip(starts, ends, strict=True) if {at[a], at[b]} != {GROUND}
    ]
    row: dict[tuple[int, int], int] = {}
    steps: tuple[MixingStep, ...] = ()
    if free:
        plan = make_plan(len(free), tuple(a for a, _ in inner), tuple(b for _, b in inner))
        for step in plan.steps:
            row |= {(step.node, other): len(row) + n for n, other in enumerate(step.later)}
            row |= {(other, step.node): len(row) + n for n, other in enumerate(step.later)}
        steps = tuple(_step(step.node, step.later, row) for step in plan.steps)
    ways = list(enumerate(zip(starts + ends, ends + starts, strict=True)))  # giver, taker
    count = len(ways)
    return MixingPattern(
        nodes, starts, ends, fixed, free, steps,
        _ones(((row.get((at[b], at[a])), n) for n, (a, b) in ways), len(row), count),
        _ones(((at[b] if at[b] > GROUND else None, n) for n, (_, b) in ways), len(free), count),
        _ones(((b, n) for n, (_, b) in ways), nodes, count),
        _ones(((a, n) for n, (a, _) in ways), nodes, count),
        tuple(
            (at[b], n, fixed.index(a)) for n, (a, b) in ways if at[a] == GROUND and at[b] > GROUND
        ),
    )  # fmt: skip


def _ones(places: Iterable[tuple[int | None, int]], rows: int, columns: int) -> Any:
    """Sparse matrix of ones at these places; a row of None is left out."""
    from scipy.sparse import csr_array

    kept = [(row, column) for row, column in places if row is not None]
    at = np.array(kept, np.intp).reshape(-1, 2).T
    return csr_array((np.ones(len(kept)), (at[0], at[1])), shape=(rows, columns))


def _step(node: int, later: tuple[int, ...], row: Mapping[tuple[int, int], int]) -> MixingStep:
    first = row[(node, later[0])] if later else 0
    count = len(later)
    updates = tuple(
        tuple((at, row[(taker, giver)]) for at, giver in enumerate(later) if giver != taker)
        for taker in later
    )
    return MixingStep(
        node, slice(first, first + count), slice(first + count, first + 2 * count), later, updates
    )


def eliminate_mixing(
    pattern: MixingPattern, takes: Floats, ground: Floats, right: Floats
) -> Floats:
    """Temperatures of the free nodes, eliminated one by one; what comes in is used up.

    Parameters
    ----------
    pattern : MixingPattern
        Of the network.
    takes : (R, S)
        What each free node takes from each free neighbour, zero or more, in the rows that
        ``pattern.gather`` fills.
    ground : (F, S)
        What each takes from a temperature of zero; not zero everywhere.
    right : (F, 2, S)
        Two right-hand sides.

    Returns
    -------
    answer : (F, 2, S)
        For both.

    References
    ----------
    .. [1] W. K. Grassmann, M. I. Taksar and D. P. Heyman, Operations Research 33 (1985) 1107-1116
       (from memory): every pivot is a sum of what is positive, nothing is subtracted.
    """
    one, pair = np.empty(ground.shape[1]), np.empty((2, ground.shape[1]))
    for step in pattern.steps:
        own = takes[step.takes]
        pivot = 1 / (own.sum(axis=0) + ground[step.node])
        for numbers in (own, ground[step.node], right[step.node]):
            numbers *= pivot
        for taker, given, updates in zip(step.later, takes[step.gives], step.updates, strict=True):
            ground[taker] += np.multiply(given, ground[step.node], out=one)
            right[taker] += np.multiply(given, right[step.node], out=pair)
            for at, target in updates:
                takes[target] += np.multiply(given, own[at], out=one)
    for step in reversed(pattern.steps):
        for given, other in zip(takes[step.takes], step.later, strict=True):
            right[step.node] += np.multiply(given, right[other], out=pair)
    return right
