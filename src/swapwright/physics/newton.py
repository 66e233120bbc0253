"""Newton's method for the flows of all samples of a network at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.physics.elimination import Plan, pressures
from swapwright.physics.laws import Laws

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

# Last changes, summed over links; the error left is about the square of the relative ones.
FLOW_CHANGE = 1e-10  # m³/s, for networks that stand still
RELATIVE_FLOW_CHANGE = 1e-9
DROP_CHANGE = 1e-4  # Pa
RELATIVE_DROP_CHANGE = 1e-8
# What drops may miss, summed over links, for the flows to be taken as they are: these are the
# errors themselves.
EXACT_DROP = 1e-7  # Pa
RELATIVE_EXACT_DROP = 1e-11
EXACT_FLOW = 1e-14  # m³/s
RELATIVE_EXACT_FLOW = 1e-11
PLAIN_PASSES = 20  # samples that have not settled by then are searched along each step
MOST_PASSES = 80
SHORTER_AT_LEAST = 0.1  # how much one cut may shorten a step, and how little
SHORTER_AT_MOST = 0.7
ENOUGH_FALL = 0.5  # a step is taken when the slope along it has lost half its size


@dataclass
class Iterate:
    """Where the samples that are still being worked on stand; changed in place."""

    flow: Floats  # (L, n)
    across: Floats  # (L, n) pressure at start less pressure at end
    pressure: Floats  # (N, n) of nodes whose pressure is not known
    root: Floats  # (P, n) see `friction.pipe_law`

    def take(self, samples: Indices) -> "Iterate":
        """Some of the samples."""
        parts = (self.flow, self.across, self.pressure, self.root)
        return Iterate(*(np.take(part, samples, axis=1) for part in parts))


@dataclass(frozen=True)
class Settled:
    """Flows, pressures and whether they settled, by sample."""

    flow: Floats
    pressure: Floats
    converged: Flags
    passes: NDArray[np.int64]


def settle(
    plan: Plan | None, laws: Laws, begin: Iterate, entering: Floats | None, *, cold: bool
) -> Settled:
    """Flows at which drops and pressures agree in every link and flows balance at every node.

    Parameters
    ----------
    plan : Plan or None
        Of the nodes without known pressure; None if there are none.
    laws : Laws
        Of n samples.
    begin : Iterate
        Start, used up. Of a cold start flows are zero.
    entering : (N, n) or None
        Flow that enters each node from outside. [m³/s]
    cold : bool
        Take slopes of the first pass from ordinary flows instead of from none.

    Returns
    -------
    settled : Settled

    Notes
    -----
    Each link's drop rises with its flow, so the flows minimise a convex function, and Newton's
    step leads downhill. Whole steps settle nearly always; where they have not after twenty
    passes, each further step is cut until the function falls along it.
    """
    samples = begin.flow.shape[1]
    result = Settled(
        np.full(begin.flow.shape, np.nan), np.full(begin.pressure.shape, np.nan),
        np.zeros(samples, dtype=bool), np.zeros(samples, dtype=np.int64),
    )  # fmt: skip
    live, now = np.arange(samples), begin
    done = np.zeros(samples, dtype=bool)
    for number in range(1, MOST_PASSES + 1):
        first = cold and number == 1
        drop, slope = laws.at_first(now.root) if first else laws.at(now.flow, now.root, steps=1)
        conductance = np.divide(1.0, slope, out=slope)
        missing = np.subtract(now.across, drop, out=drop)
        if number > 1:  # flows balance from the first pass on
            done |= _fits(now, missing, conductance)
        if np.count_nonzero(done) * 2 > len(done):
            # what has settled leaves, so that a few slow samples do not hold up all
            _write(result, now, live, done)
            stay = np.flatnonzero(~done)
            live, now, laws = live[stay], now.take(stay), laws.take(stay)
            missing, conductance = np.take((missing, conductance), stay, axis=2)
            entering = None if entering is None else np.take(entering, stay, axis=1)
            done = np.zeros(len(stay), dtype=bool)
            if not len(stay):
                break
        result.passes[live[~done]] = number
        at_rest = _step(plan, laws, now, missing, conductance, entering, number > PLAIN_PASSES)
        if not first:  # whose slopes are not those of the flows it began from
            done |= at_rest
    _write(result, now, live, done)
    return result


def _write(result: Settled, now: Iterate, live: Indices, done: Flags) -> None:
    """Put settled samples into the result."""
    samples = live[done]
    result.flow[:, samples] = now.flow[:, done]
    result.pressure[:, samples] = now.pressure[:, done]
    result.converged[samples] = True


def _step(
    plan: Plan | None,
    laws: Laws,
    now: Iterate,
    missing: Floats,
    conductance: Floats,
    entering: Floats | None,
    careful: bool,
) -> Flags:
    """One Newton step of all samples; returns which of them moved no more."""
    change = np.multiply(missing, conductance, out=missing)
    across = None
    if plan is not None:
        rise = pressures(plan, conductance, now.flow + change, entering)
        across = plan.across @ rise
        now.pressure += rise
        now.across += across
        change += np.multiply(across, conductance, out=conductance)
    at_rest = _small(change, now.flow, FLOW_CHANGE, RELATIVE_FLOW_CHANGE)
    if across is not None and at_rest.any():
        # a tree's flows stand from the first pass on, so pressures are asked as well
        at_rest &= _small(across, now.across, DROP_CHANGE, RELATIVE_DROP_CHANGE)
    if careful:
        change *= _fraction(laws, now, change)
    now.flow += change
    return at_rest


def _fits(now: Iterate, missing: Floats, conductance: Floats) -> Flags:
    """Samples in which drops fit pressures so well that no step is needed any more."""
    fits = _small(missing, now.across, EXACT_DROP, RELATIVE_EXACT_DROP)
    if not fits.any():
        return fits
    return fits & _small(missing * conductance, now.flow, EXACT_FLOW, RELATIVE_EXACT_FLOW)


def _fraction(laws: Laws, now: Iterate, change: Floats) -> Floats:
    """How much of each sample's step to take, by the slope of the content along it.

    That slope is ``Σ (drop - across) · change``; pressures do not count in it as long as the
    change balances at the nodes. It is negative at the start of the step and grows along it.
    """
    fraction = np.ones(change.shape[1])
    at_start = _content_slope(laws, now, change, 0.0 * fraction)
    for _ in range(20):
        at_end = _content_slope(laws, now, change, fraction)
        too_far = at_end > ENOUGH_FALL * np.abs(at_start)
        if not too_far.any():
            break
        cut = np.clip(at_start / (at_start - at_end), SHORTER_AT_LEAST, SHORTER_AT_MOST)
        fraction = np.where(too_far, fraction * cut, fraction)
    return fraction


def _content_slope(laws: Laws, now: Iterate, change: Floats, fraction: Floats) -> Floats:
    """Derivative of the content along the step, some way along it."""
    drop, _slope = laws.at(now.flow + fraction * change, now.root.copy(), steps=1)
    return np.asarray(np.sum((drop - now.across) * change, axis=0))


def _small(change: Floats, value: Floats, least: float, relative: float) -> Flags:
    """Samples in which a change, summed over rows, is small; never those that hold a NaN."""
    total = np.abs(change).sum(axis=0)
    return np.asarray(total <= least + relative * np.abs(value).sum(axis=0))
