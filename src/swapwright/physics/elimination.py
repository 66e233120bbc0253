"""Solving one pattern of conductances for many samples at once.

The unknowns are the pressures at the nodes of a network whose branches each have a conductance;
some branches end at ground, a known pressure. Two ways serve: for many samples, elimination node
by node, each step one operation on rows of samples; for few, one banded Cholesky factorisation
of all samples laid end to end. What hangs on the pattern alone is planned once.
"""

import heapq
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

GROUND = -1  # the far end of a branch to a known pressure


class Run(NamedTuple):
    """Neighbouring rows of one node's block that go, in their order, into another's."""

    source: slice
    target: slice
    length: int


@dataclass(frozen=True)
class Step:
    """Elimination of one node.

    The node's block of rows holds its conductances to nodes eliminated later, then its
    conductance to ground, then the flow that enters it.
    """

    node: int
    first: int  # row of the first conductance
    ground: int  # row of the conductance to ground
    later: tuple[int, ...]  # nodes at the other ends, in the order of the rows
    updates: tuple[tuple[Run, ...], ...]  # for each of those, what its block receives


@dataclass(frozen=True, eq=False)
class Plan:
    """Everything about a pattern that does not hang on its numbers.

    The matrices are sparse (scipy, compressed by rows) and act on rows of samples.
    """

    nodes: int
    branches: int
    steps: tuple[Step, ...]  # in the order of elimination
    rows: int
    gather: Any  # (rows, L): conductances of branches into their rows
    inflow: Any  # (N, L): flows of branches into what enters each node
    across: Any  # (L, N): pressures into differences, start less end
    flow_rows: NDArray[np.intp]  # (N,) row of the flow that enters each node
    band: int  # how far neighbours lie apart in the banded order
    banded: Any  # (N (band + 1), L): conductances into the lower band, node by node
    place: NDArray[np.intp]  # (N,) node at each place of the banded order
    few: int  # up to this many samples the banded way is the quicker one


@lru_cache(maxsize=256)
def make_plan(nodes: int, starts: tuple[int, ...], ends: tuple[int, ...]) -> Plan:
    """Plan of a pattern, made once and remembered.

    Parameters
    ----------
    nodes : scalar
        Number of unknown nodes, one or more.
    starts, ends : (L,)
        The two nodes of each branch, `GROUND` for a known pressure.

    Returns
    -------
    plan : Plan

    Raises
    ------
    ValueError
        If there is no node, or an end is none.

    References
    ----------
    .. [1] Order of least degree: Tinney, W. F., and Walker, J. W., Proc. IEEE 55, 1967; from
       memory.
    """
    if nodes < 1 or any(not GROUND <= end < nodes for end in (*starts, *ends)):
        raise ValueError(f"wanted nodes, and branches between them or to ground; got {nodes} nodes")
    later = _least_degree(nodes, _neighbours(nodes, starts, ends))
    row_of, flow_rows, rows = _layout(later)
    steps = tuple(_step(node, later, row_of) for node in later)
    inflow = _incidence(nodes, starts, ends)
    place, band, banded = _banded(nodes, starts, ends)
    return Plan(
        nodes=nodes, branches=len(starts), steps=steps, rows=rows,
        gather=_gather(rows, starts, ends, row_of),
        inflow=inflow, across=(-inflow.T).tocsr(), flow_rows=flow_rows,
        band=band, banded=banded, place=place, few=_few(steps, nodes, band),
    )  # fmt: skip


def pressures(plan: Plan, conductance: Floats, flow: Floats, entering: Floats | None) -> Floats:
    """Pressures at which the flows of all branches balance at every node.

    Parameters
    ----------
    plan : Plan
        Of the pattern the branches make.
    conductance : (L, S)
        Of each branch, positive and finite.
    flow : (L, S)
        Through each branch from start to end while all pressures are zero.
    entering : (N, S) or None
        Flow that enters each node from outside; none anywhere.

    Returns
    -------
    pressure : (N, S)
        Above ground; then branch flows are ``flow + conductance (p_start - p_end)``.
    """
    if conductance.shape[1] <= plan.few:
        pressure = _by_band(plan, conductance, flow, entering)
        if pressure is not None:
            return pressure
    return eliminate(plan, conductance, flow, entering)


def eliminate(plan: Plan, conductance: Floats, flow: Floats, entering: Floats | None) -> Floats:
    """`pressures` node by node, for any number of samples.

    A node is taken out as an electrician turns a star into a mesh: every pivot is a sum of
    positive conductances and nothing is subtracted, so a shut link beside an open one a
    hundred-million-million times wider loses no digit.
    """
    rows = plan.gather @ conductance
    rows[plan.flow_rows] = _flow_in(plan, flow, entering)
    most = max(len(step.later) for step in plan.steps)
    product, shares = np.empty((2, most + 2, rows.shape[1]))
    pivot = np.empty(rows.shape[1])
    for step in plan.steps:
        _take_out(step, rows, product, shares, pivot)
    pressure = np.empty((plan.nodes, rows.shape[1]))
    share = pivot  # no longer needed
    for step in reversed(plan.steps):
        value = pressure[step.node]
        value[...] = rows[step.ground + 1]
        for row, other in enumerate(step.later, step.first):
            np.multiply(rows[row], pressure[other], out=share)
            value += share
    return pressure


def _flow_in(plan: Plan, flow: Floats, entering: Floats | None) -> Floats:
    """What enters each node, from its branches and from outside."""
    flow_in: Floats = plan.inflow @ flow
    if entering is not None:
        flow_in += entering
    return flow_in


def _take_out(step: Step, rows: Floats, product: Floats, shares: Floats, pivot: Floats) -> None:
    """Eliminate one node; its block is left as shares of the pivot."""
    block = rows[step.first : step.ground]
    np.add.reduce(rows[step.first : step.ground + 1], axis=0, out=pivot)
    np.divide(1.0, pivot, out=pivot)
    np.multiply(block, pivot, out=shares[: len(block)])
    for share, runs in zip(shares, step.updates, strict=False):
        for source, target, length in runs:
            np.multiply(rows[source], share, out=product[:length])
            changed = rows[target]
            changed += product[:length]
    block[...] = shares[: len(block)]
    rows[step.ground + 1] *= pivot


def _by_band(
    plan: Plan, conductance: Floats, flow: Floats, entering: Floats | None
) -> Floats | None:
    """`pressures` by LAPACK's dpbsv; None if rounding ate a pivot, or not all is finite."""
    from scipy.linalg.lapack import dpbsv

    samples = conductance.shape[1]
    flow_in = _flow_in(plan, flow, entering)
    if not (np.isfinite(conductance).all() and np.isfinite(flow_in).all()):
        return None  # one factorisation of all: what is no number in one would spoil the others
    # samples end to end: the last nodes of one and the first of the next share no branch
    matrix = np.ascontiguousarray((plan.banded @ conductance).T).reshape(-1, plan.band + 1).T
    right = np.ascontiguousarray(flow_in[plan.place].T).reshape(-1, 1)
    _factor, solution, failed = dpbsv(matrix, right, lower=1, overwrite_ab=1)
    if failed:
        return None
    pressure = np.empty((plan.nodes, samples))
    pressure[plan.place] = solution.reshape(samples, plan.nodes).T
    return pressure


# --- the plan


def _neighbours(nodes: int, starts: Sequence[int], ends: Sequence[int]) -> list[set[int]]:
    """Which nodes each node shares a branch with."""
    beside: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in zip(starts, ends, strict=True):
        if GROUND not in (a, b) and a != b:
            beside[a].add(b)
            beside[b].add(a)
    return beside


def _least_degree(nodes: int, beside: list[set[int]]) -> dict[int, tuple[int, ...]]:
    """Nodes in the order of elimination, each with its neighbours of that moment in that order."""
    heap = [(len(beside[node]), node) for node in range(nodes)]
    heapq.heapify(heap)
    found: dict[int, set[int]] = {}
    while heap:
        degree, node = heapq.heappop(heap)
        if node in found or degree != len(beside[node]):
            continue  # an outdated entry
        found[node] = beside[node]
        for other in beside[node]:
            beside[other] = (beside[other] | beside[node]) - {node, other}
            heapq.heappush(heap, (len(beside[other]), other))
    place = {node: at for at, node in enumerate(found)}
    return {node: tuple(sorted(others, key=place.__getitem__)) for node, others in found.items()}


def _layout(
    later: Mapping[int, tuple[int, ...]],
) -> tuple[dict[tuple[int, int], int], NDArray[np.intp], int]:
    """Row of each pair of nodes (either way round), of each node's flow, and how many rows."""
    row_of: dict[tuple[int, int], int] = {}
    flow_rows = np.empty(len(later), np.intp)
    row = 0
    for node, others in later.items():
        for other in others:
            row_of[node, other] = row_of[other, node] = row
            row += 1
        row_of[node, GROUND] = row_of[GROUND, node] = row
        flow_rows[node] = row + 1
        row += 2
    return row_of, flow_rows, row


def _step(
    node: int, later: Mapping[int, tuple[int, ...]], row_of: Mapping[tuple[int, int], int]
) -> Step:
    """What eliminating one node changes."""
    others = later[node]
    ground = row_of[node, GROUND]
    updates = []
    for at, one in enumerate(others):
        targets = [row_of[one, other] for other in others[at + 1 :]]
        targets += [row_of[one, GROUND], row_of[one, GROUND] + 1]
        updates.append(_runs(ground - len(others) + at + 1, targets))
    return Step(node, ground - len(others), ground, others, tuple(updates))


def _runs(source: int, targets: Sequence[int]) -> tuple[Run, ...]:
    """Consecutive source rows and their targets, as few slices as possible."""
    runs: list[Run] = []
    begin = 0
    for at in range(1, len(targets) + 1):
        if at == len(targets) or targets[at] != targets[at - 1] + 1:
            length = at - begin
            runs.append(
                Run(
                    slice(source + begin, source + at),
                    slice(targets[begin], targets[begin] + length),
                    length,
                )
            )
            begin = at
    return tuple(runs)


def _matrix(
    shape: tuple[int, int], entries: Sequence[tuple[int, int, float]]
) -> Any:  # scipy has no types
    """Sparse matrix of (row, column, value); values of one place add up."""
    from scipy.sparse import csr_matrix

    row, column, value = zip(*entries, strict=True) if entries else ((), (), ())
    return csr_matrix((np.array(value, float), (row, column)), shape=shape)


def _incidence(nodes: int, starts: Sequence[int], ends: Sequence[int]) -> Any:
    """Flows of branches into what enters each node."""
    entries = [(end, branch, 1.0) for branch, end in enumerate(ends) if end != GROUND]
    entries += [(start, branch, -1.0) for branch, start in enumerate(starts) if start != GROUND]
    return _matrix((nodes, len(starts)), entries)


def _gather(
    rows: int, starts: Sequence[int], ends: Sequence[int], row_of: Mapping[tuple[int, int], int]
) -> Any:
    """Conductances of branches into their rows; none from a node to itself or ground to ground."""
    branches = enumerate(zip(starts, ends, strict=True))
    entries = [(row_of[ab], branch, 1.0) for branch, ab in branches if ab[0] != ab[1]]
    return _matrix((rows, len(starts)), entries)


def _banded(
    nodes: int, starts: Sequence[int], ends: Sequence[int]
) -> tuple[NDArray[np.intp], int, Any]:
    """Narrow order of the nodes (Cuthill and McKee, reversed), its band, and its lower half."""
    from scipy.sparse.csgraph import reverse_cuthill_mckee

    beside = _neighbours(nodes, starts, ends)
    pairs = [(node, other, 1.0) for node in range(nodes) for other in beside[node]]
    place = np.asarray(reverse_cuthill_mckee(_matrix((nodes, nodes), pairs), True), np.intp)
    at = np.empty(nodes, np.intp)
    at[place] = np.arange(nodes)
    band = max((abs(int(at[a]) - int(at[b])) for a, b, _one in pairs), default=0)
    entries = []
    for branch, (a, b) in enumerate(zip(starts, ends, strict=True)):
        if a == b:
            continue
        entries += [(int(at[end]) * (band + 1), branch, 1.0) for end in (a, b) if end != GROUND]
        if GROUND not in (a, b):
            low, high = sorted((int(at[a]), int(at[b])))
            entries.append((low * (band + 1) + high - low, branch, -1.0))
    return place, band, _matrix((nodes * (band + 1), len(starts)), entries)


def _few(steps: Sequence[Step], nodes: int, band: int) -> int:
    """Samples at which both ways take as long, from their operations.

    Measured on one machine, good to a factor of two, which is all that is needed.
    """
    calls = sum(
        5 + len(step.later) + sum(1 + 2 * len(runs) for runs in step.updates) for step in steps
    )
    by_rows = 1.2e-6 * calls
    by_band = nodes * (0.3e-6 + 0.6e-9 * (band + 1) ** 2)  # a sample
    return int(by_rows / by_band)
