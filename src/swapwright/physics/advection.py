"""Temperatures that a flow carries along: mixed at nodes, changed on its way between them.

At a node the temperature is that of all that flows in, mixed by heat capacity rate; a link
hands on what its upstream node has, after its change. Heat conducted along a standing liquid is
no part of this, save a trace of it (1e-12 of the greatest flow's heat capacity rate in each link)
that gives parts without flow the temperature of their neighbours.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, between, finite, not_negative, positive
from swapwright.physics.mixing import MixingPattern, eliminate_mixing, mixing_pattern

SEEPING = 1e-12  # of the greatest heat capacity rate: what joins parts without flow
PULL = 1e-18  # likewise: what holds parts joined to nothing at the surroundings
STANDING = 1e-8  # likewise: less flow into a node is none
FREE_LEVEL = 0.01  # share of the pull in a temperature from which nothing else sets it
LEAST_RATE = 1e-200  # W/K; numbers lose their digits below 1e-308, and quotients with them
NOTHING = np.zeros(())
CHUNK = 1000  # samples worked on at once: what the processor's cache holds


class Change(Protocol):
    """What happens to a temperature between the ends of a link."""

    def change(self, rate: Floats) -> tuple[Floats, Floats]:
        """What share of the inlet temperature is lost, and what is added [K].

        ``T_out = (1 - lost) T_in + added``, at a heat capacity rate of zero or more [W/K]; the
        limit as the flow dies where there is no flow.
        """


@dataclass(frozen=True)
class Unchanged:
    """Leaves as it enters."""

    def change(self, rate: Floats) -> tuple[Floats, Floats]:  # noqa: ARG002
        """See `Change`."""
        return NOTHING, NOTHING


@dataclass(frozen=True, eq=False)
class Heated:
    """Takes up a given heat [W], negative to give it; without flow it goes nowhere."""

    power: ArrayLike

    def __post_init__(self) -> None:
        object.__setattr__(self, "power", finite("power", self.power, "W"))

    def change(self, rate: Floats) -> tuple[Floats, Floats]:
        """See `Change`; without flow there is no limit, and nothing is added."""
        power, rate = np.broadcast_arrays(np.asarray(self.power), rate)
        warming = np.divide(power, rate, out=np.zeros(rate.shape), where=rate > LEAST_RATE)
        return np.zeros(rate.shape), warming


@dataclass(frozen=True, eq=False)
class Relaxing:
    """Nears an outside temperature: a pipe or hose in air."""

    conductance: ArrayLike  # UA along the whole link, zero or more [W/K]
    outside: ArrayLike  # [K]

    def __post_init__(self) -> None:
        conductance = not_negative("conductance", self.conductance, "W/K")
        object.__setattr__(self, "conductance", conductance)
        object.__setattr__(self, "outside", positive("outside", self.outside, "K"))

    def change(self, rate: Floats) -> tuple[Floats, Floats]:
        """``T_out = T_o + (T_in - T_o) exp(-UA/C)``."""
        ua, rate = np.broadcast_arrays(np.asarray(self.conductance), rate)
        endless = np.where(ua > 0, np.inf, 0.0)  # what the units tend to as the flow dies
        units = np.divide(ua, rate, out=endless, where=rate > LEAST_RATE)
        lost = -np.expm1(-units)
        return lost, lost * np.asarray(self.outside)


@dataclass(frozen=True, eq=False)
class Exchanging:
    """Passes an exchanger whose other stream enters at a given temperature."""

    effectiveness: ArrayLike  # of the whole exchanger, 0 to 1; see `exchangers`
    other_rate: ArrayLike  # heat capacity rate of the other stream, zero or more [W/K]
    other_inlet: ArrayLike  # [K]

    def __post_init__(self) -> None:
        share = between("effectiveness", self.effectiveness, 0.0, 1.0)
        object.__setattr__(self, "effectiveness", share)
        object.__setattr__(self, "other_rate", not_negative("other_rate", self.other_rate, "W/K"))
        object.__setattr__(self, "other_inlet", positive("other_inlet", self.other_inlet, "K"))

    def change(self, rate: Floats) -> tuple[Floats, Floats]:
        """``C (T_in - T_out) = effectiveness · min(C, C_other) · (T_in - T_other)``."""
        other, rate = np.broadcast_arrays(np.asarray(self.other_rate), rate)
        whole = np.where(other > 0, 1.0, 0.0)  # of its own rate, as that dies
        least = np.divide(np.minimum(rate, other), rate, out=whole, where=rate > LEAST_RATE)
        lost = np.asarray(self.effectiveness) * least
        return lost, lost * np.asarray(self.other_inlet)


class Carried(NamedTuple):
    """Temperatures over all samples."""

    nodes: Floats  # (N, S) [K]
    inlets: Floats  # (L, S) where the flow enters each link; of its start without flow [K]
    outlets: Floats  # (L, S) where it leaves; without flow the limit as the flow dies [K]
    heat: Floats  # (L, S) that the flow takes up in each link [W]
    settled: NDArray[np.bool_]  # (S,) there is a steady answer, and it is this


def carried_temperatures(
    nodes: int,
    starts: Sequence[int],
    ends: Sequence[int],
    rate: ArrayLike,
    changes: Sequence[Change],
    surroundings: ArrayLike,
    *,
    sources: ArrayLike = 0.0,
    fixed: Mapping[int, ArrayLike] | None = None,
) -> Carried:
    """Steady temperatures of a network whose flows are known.

    Parameters
    ----------
    nodes : scalar
        Number of nodes, counted from 0.
    starts, ends : (L,)
        Nodes of each link.
    rate : (L, S)
        Heat capacity rate ``rho cp V`` of each link's flow, negative from end to start. One
        ``rho cp`` for all links of a sample, or heat is not conserved; at every node as much must
        flow out as in, except where flow enters (fixed nodes) or leaves the network. [W/K]
    changes : (L,)
        What each link does: `Unchanged`, `Heated`, `Relaxing` or `Exchanging`; their figures are
        scalars or (S,).
    surroundings : (S,) or scalar
        Temperature of parts that no flow and no neighbour gives one. [K]
    sources : (N, S), (N, 1) or scalar, default 0
        Heat put into each node. [W]
    fixed : mapping of nodes to temperatures, (S,) or scalar, default none
        Where flow enters from outside, or to hold a loop at a level. Without any, the level of a
        closed loop is that at which its links give as much heat as they take. [K]

    Returns
    -------
    carried : Carried
        Nodes without flow have the temperature of the neighbours they are joined to. ``settled``
        is False in a sample where there is no such steady state: heat put where nothing flows, a
        loop that takes up heat and has no way to lose it (or whose heats add up to nothing, so
        that any level would do), or flow out of a node into which nothing flows and that is not
        fixed; the numbers then mean nothing.

    Raises
    ------
    ValueError
        If an end is no node, a link ends where it starts, the number of links, rates and changes
        differ, or a figure is not finite or out of its range.

    References
    ----------
    .. [1] Energy balance of mixing; solved by `mixing.eliminate_mixing`, in which a trickle beside
       a torrent loses no digit.
    """
    flow = np.atleast_2d(finite("rate", rate, "W/K"))
    _check(nodes, starts, ends, flow, changes, fixed or {})
    held = {at: positive(f"fixed[{at}]", value, "K") for at, value in (fixed or {}).items()}
    pattern = mixing_pattern(nodes, tuple(starts), tuple(ends), tuple(sorted(held)))
    parts = [change.change(one) for change, one in zip(changes, np.abs(flow), strict=True)]
    heated = [change.power if isinstance(change, Heated) else 0.0 for change in changes]
    system = _system(
        flow=flow,
        lost=[lost for lost, _ in parts],
        added=[added for _, added in parts],
        power=heated,
        put=np.broadcast_to(finite("sources", sources, "W"), _source_shape(nodes, sources)),
        surroundings=positive("surroundings", surroundings, "K"),
        held=[held[at] for at in pattern.fixed],
    )
    samples = system.flow.shape[1]
    temperatures, settled = np.empty((nodes, samples)), np.empty(samples, np.bool_)
    for first in range(0, samples, CHUNK):
        part = slice(first, first + CHUNK)
        temperatures[:, part], settled[part] = _solved(pattern, system.taken(part))
    inlets = np.where(system.flow >= 0, temperatures[list(starts)], temperatures[list(ends)])
    gain = system.added - system.lost * inlets
    return Carried(temperatures, inlets, inlets + gain, np.abs(system.flow) * gain, settled)


class _System(NamedTuple):
    """Numbers of a system, all spread over the samples in their last axis."""

    flow: Floats  # (L, S)
    lost: Floats  # (L, S)
    added: Floats  # (L, S) [K]
    power: Floats  # (L, S) of heated links [W]
    put: Floats  # (N, S)
    surroundings: Floats  # (S,)
    held: Floats  # (F, S)

    def taken(self, samples: slice) -> "_System":
        return _System(*(part[..., samples] for part in self))


def _system(
    flow: Floats, lost: Sequence[Floats], added: Sequence[Floats], power: Sequence[ArrayLike],
    put: Floats, surroundings: Floats, held: Sequence[Floats],
) -> _System:  # fmt: skip
    """All numbers spread over the samples."""
    alone = [surroundings, *map(np.asarray, power), *held, *lost, *added]
    shape = np.broadcast_shapes(flow.shape[1:], put.shape[1:], *(part.shape for part in alone))

    def spread(parts: Sequence[ArrayLike]) -> Floats:
        rows = [np.broadcast_to(part, shape) for part in parts]
        return np.stack(rows) if rows else np.empty((0, *shape))

    return _System(
        np.broadcast_to(flow, (len(flow), *shape)), spread(lost), spread(added), spread(power),
        np.broadcast_to(put, (len(put), *shape)), np.broadcast_to(surroundings, shape),
        spread(held),
    )  # fmt: skip


def _solved(pattern: MixingPattern, system: _System) -> tuple[Floats, NDArray[np.bool_]]:
    """Temperatures of all nodes, and whether they are a steady state.

    Temperatures are reckoned from the surroundings: the pull then adds nothing of its own.
    """
    samples = system.flow.shape[1]
    scale = np.abs(system.flow).max(axis=0)
    scale[scale == 0] = 1.0
    filled = _filled(pattern, system, scale)
    answer = eliminate_mixing(pattern, filled.takes, filled.ground, filled.right)
    temperatures = np.empty((pattern.nodes, samples))
    temperatures[list(pattern.free)] = answer[:, 0] + system.surroundings
    temperatures[list(pattern.fixed)] = system.held
    little = STANDING * scale
    dry = (filled.into <= little) & ((filled.out > little) | (system.put != 0))
    dry[list(pattern.fixed)] = False
    stuck = (np.abs(system.flow) <= little) & (system.power != 0)
    loose = (answer[:, 1] > FREE_LEVEL) & (np.abs(answer[:, 0]) > 1e-6)
    return temperatures, ~(dry.any(axis=0) | stuck.any(axis=0) | loose.any(axis=0))


class _Filled(NamedTuple):
    """``(Σ takes + ground) T = Σ takes · T_giver + right`` of every free node."""

    takes: Floats  # (R, S)
    ground: Floats  # (F, S)
    right: Floats  # (F, 2, S): of the temperatures, and of how much the pull alone makes of each
    into: Floats  # (N, S) rate that flows into each node
    out: Floats  # (N, S)


def _filled(pattern: MixingPattern, system: _System, scale: Floats) -> _Filled:
    """The system, each link once for either direction of its flow."""
    links = len(pattern.starts)
    rates = np.empty((2 * links, len(scale)))
    onward, back = rates[:links], rates[links:]
    np.maximum(system.flow, 0.0, out=onward)
    np.subtract(onward, system.flow, out=back)
    lost, added = np.empty_like(rates), np.empty_like(rates)
    gain = system.added - system.lost * system.surroundings  # reckoned from the surroundings
    for half, one in ((slice(0, links), onward), (slice(links, None), back)):
        np.multiply(one, system.lost, out=lost[half])
        np.multiply(one, gain, out=added[half])
    share = rates - lost
    share += SEEPING * scale
    pull = PULL * scale
    right = np.empty((len(pattern.free), 2, len(scale)))
    right[:, 0] = system.put[list(pattern.free)] + pattern.taken @ added
    right[:, 1] = pull
    ground = pattern.taken @ lost + pull
    for place, row, fixed in pattern.from_fixed:
        ground[place] += share[row]
        right[place, 0] += share[row] * (system.held[fixed] - system.surroundings)
    return _Filled(
        pattern.gather @ share, ground, right, pattern.entering @ rates, pattern.leaving @ rates
    )


def _check(
    nodes: int, starts: Sequence[int], ends: Sequence[int], flow: Floats,
    changes: Sequence[Change], fixed: Mapping[int, ArrayLike],
) -> None:  # fmt: skip
    if not len(starts) == len(ends) == len(flow) == len(changes) > 0:
        raise ValueError(
            f"wanted one start, end, rate and change for each link, got {len(starts)}, "
            f"{len(ends)}, {len(flow)} and {len(changes)}"
        )
    if any(not 0 <= node < nodes for node in (*starts, *ends, *fixed)):
        raise ValueError(f"an end of a link, or a fixed node, is none of the {nodes} nodes")
    if any(start == end for start, end in zip(starts, ends, strict=True)):
        raise ValueError("a link must not end where it starts")


def _source_shape(nodes: int, sources: ArrayLike) -> tuple[int, int]:
    shape = np.shape(sources)
    if len(shape) > 2 or len(shape) == 1 or (len(shape) == 2 and shape[0] not in (1, nodes)):
        raise ValueError(f"sources must be a scalar or ({nodes}, S), got shape {shape}")
    return nodes, shape[1] if len(shape) == 2 else 1
