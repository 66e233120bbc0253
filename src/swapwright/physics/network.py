"""Steady flow in a network of pipes, resistances, check valves and pumps, over all samples.

Pressures are piezometric: gravity is left out, real heights enter where they are read.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.elimination import GROUND, Plan, make_plan
from swapwright.physics.friction import first_root
from swapwright.physics.laws import Laws, law_order, pack, stack, take
from swapwright.physics.links import Link, Pump
from swapwright.physics.newton import Iterate, Settled, settle

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]

CHUNK = 2000  # samples worked on at once: more leave the cache, fewer pay for numpy's calls
PILOT = 16  # samples solved first, from whose mean the others start
PILOT_FROM = 200  # samples; with fewer, a pilot costs more than it saves
UNMET = 1e-7  # m³/s through a closed link: what is drawn behind it cannot be had


@dataclass(frozen=True, eq=False)
class Network:
    """Nodes joined by links.

    Parameters
    ----------
    nodes : (N,) names
    links : mapping of names to links
        See `physics.links`; each figure is a scalar or (S,).
    fixed : mapping of nodes to pressures, (S,) or scalar
        At least one in every island; a closed loop wants exactly one. [Pa]
    drawn : mapping of nodes to volume flows, (S,) or scalar, default none
        Taken out of the network there; negative is fed in. [m³/s]

    Raises
    ------
    ValueError
        If a node is named twice, a link or a figure names none of the nodes, a node is both
        fixed and drawn from, or nodes hang together without any fixed pressure.
    """

    nodes: Sequence[str]
    links: Mapping[str, Link]
    fixed: Mapping[str, ArrayLike]
    drawn: Mapping[str, ArrayLike] = field(default_factory=dict)

    def __post_init__(self) -> None:
        object.__setattr__(self, "nodes", tuple(self.nodes))
        object.__setattr__(self, "links", dict(self.links))
        _check_names(self)
        _check_references(self)

    def changed(self, links: Mapping[str, Link]) -> "Network":
        """The same network with some links replaced, by name; the plan is used again.

        Raises
        ------
        ValueError
            If there is no link of a name.
        """
        for name in links:
            if name not in self.links:
                raise ValueError(f"no link {name!r}; the network has {', '.join(self.links)}")
        merged = {**self.links, **links}
        if any(_place(self.links[name]) != _place(link) for name, link in links.items()):
            return replace(self, links=merged)
        # what joins what stands as it was checked
        same = object.__new__(Network)
        vars(same).update(vars(self) | {"links": merged, "layout": self.layout})
        return same

    @cached_property
    def layout(self) -> "Layout":
        """Where its links and nodes stand in the solver's arrays."""
        return _lay_out(self)


@dataclass(frozen=True, eq=False)
class Layout:
    """Places of links and nodes in the solver's arrays, and the plan of their pattern."""

    order: Indices  # (L,) link at each row of the laws
    free: Indices  # (N,) nodes without fixed pressure
    starts: Indices  # (L,) node at the start of each row's link
    ends: Indices  # (L,)
    plan: Plan | None  # None if every pressure is fixed


@dataclass(frozen=True, eq=False)
class Solution:
    """Flows and pressures of all samples; NaN where a sample did not converge."""

    links: tuple[str, ...]
    nodes: tuple[str, ...]
    volume_flow: Floats  # (L, S) m³/s, from start to end
    pressure: Floats  # (N, S) Pa
    converged: Flags  # (S,)
    passes: NDArray[np.int64]  # (S,)
    pump_extrapolated: Flags  # (L, S) running pumps beyond an end of their curve
    friction_extrapolated: Flags  # (L, S) pipes beyond the chart of friction factors

    @property
    def extrapolated(self) -> Flags:
        """(S,) samples in which any law was used outside its range."""
        return np.asarray((self.pump_extrapolated | self.friction_extrapolated).any(axis=0))

    def flow(self, link: str) -> Floats:
        """(S,) volume flow of one link, from start to end. [m³/s]"""
        return np.asarray(self.volume_flow[self.links.index(link)])

    def pressure_at(self, node: str) -> Floats:
        """(S,) pressure of one node. [Pa]"""
        return np.asarray(self.pressure[self.nodes.index(node)])


def solve(
    network: Network,
    density: ArrayLike,
    viscosity: ArrayLike,
    start: Solution | None = None,
    only: Indices | None = None,
) -> Solution:
    """Steady flows and pressures of a network.

    Parameters
    ----------
    network : Network
        What is solved; its number of samples follows from its figures and the liquid's.
    density : (L, S), (S,) or scalar
        Of the liquid in each link. [kg/m³]
    viscosity : (L, S), (S,) or scalar
        Dynamic. [Pa·s]
    start : Solution, optional
        Of the same nodes and links, with as many samples or one: where to begin. It saves
        passes and does not change the answer.
    only : (n,) indices, optional
        Samples to solve; the others stay as ``start`` has them.

    Returns
    -------
    solution : Solution
        Converged where drop and pressures agree in every link; the flows of a converged sample
        balance at every node. A shut link lets 1 mm³/s pass for every bar across it. A sample
        with a figure that is no finite number, or in which something is drawn behind shut links
        only, has not converged.

    Raises
    ------
    ValueError
        If numbers of samples disagree, density or viscosity is not positive, ``start`` belongs
        to another network, or ``only`` comes without a ``start`` of all samples.

    References
    ----------
    .. [1] Todini, E., and Rossman, L. A., "Unified framework for deriving simultaneous equation
       algorithms for water distribution networks", J. Hydraulic Engineering 139, 2013: the
       node-link form of Newton's method; from memory. Convexity: Collins, M., Cooper, L.,
       Helgason, R., Kennington, J., and LeBlanc, L., Management Science 24, 1978; from memory.
    """
    rows = len(network.links)
    thick, thin = _by_link("density", density, rows), _by_link("viscosity", viscosity, rows)
    samples = _sample_count(network, thick, thin)
    work = _Work(network, thick, thin, samples)
    begin = work.begin_of(start) if start is not None else None
    if only is not None:
        work.keep(start, only)
    # figures beyond all measure overflow; such a sample just does not converge
    with np.errstate(all="ignore"):
        if start is None and samples >= PILOT_FROM:
            begin = work.pilot()
        for part in _parts(samples, only):
            work.run(part, begin)
        if begin is not None:  # whatever the start did not lead to an answer begins afresh
            work.run(np.flatnonzero(~work.converged & work.known), None)
    return work.solution()


def _parts(samples: int, only: Indices | None) -> Iterator[slice | Indices]:
    """Samples to be worked on together."""
    if only is None:
        for first in range(0, samples, CHUNK):
            yield slice(first, min(first + CHUNK, samples))
    else:
        for first in range(0, len(only), CHUNK):
            yield only[first : first + CHUNK]


class _Begin(NamedTuple):
    """Where to begin, in the order of the laws; one column for all samples, or one each."""

    flow: Floats
    pressure: Floats  # of free nodes
    root: Floats | None  # see `friction.pipe_law`


class _Work:
    """Arrays of one solution in the making; links in the order of the laws."""

    def __init__(self, network: Network, density: Floats, viscosity: Floats, samples: int) -> None:
        self.network, self.layout, self.samples = network, network.layout, samples
        links = list(network.links.values())
        self.links = [links[at] for at in self.layout.order]
        self.density = _in_order(density, self.layout.order)
        self.viscosity = _in_order(viscosity, self.layout.order)
        self.fixed = {network.nodes.index(node): np.atleast_1d(np.asarray(value, dtype=float))
                      for node, value in network.fixed.items()}  # fmt: skip
        self.drawn = [network.drawn.get(network.nodes[at], 0.0) for at in self.layout.free]
        self.flow = np.full((len(links), samples), np.nan)
        self.pressure = np.full((len(network.nodes), samples), np.nan)
        self.pump_marks = np.zeros((len(links), samples), dtype=bool)
        self.friction_marks = np.zeros((len(links), samples), dtype=bool)
        self.known = np.zeros(samples, dtype=bool)  # every figure is finite
        self.converged = np.zeros(samples, dtype=bool)
        self.passes = np.zeros(samples, dtype=np.int64)

    def begin_of(self, start: Solution) -> _Begin | None:
        """Flows and free pressures of an earlier solution; mended where it has none."""
        columns = start.volume_flow.shape[1]
        same = (start.links, start.nodes) == (tuple(self.network.links), self.network.nodes)
        if not same or columns not in (1, self.samples):
            raise ValueError(
                "start: found a solution of other nodes, links or samples; wanted one of this "
                f"network with {self.samples} samples or one"
            )
        good = start.converged
        if not good.any():
            return None
        flow, pressure = start.volume_flow[self.layout.order], start.pressure[self.layout.free]
        if not good.all():
            flow = np.where(good, flow, flow[:, good].mean(axis=1, keepdims=True))
            pressure = np.where(good, pressure, pressure[:, good].mean(axis=1, keepdims=True))
        return _Begin(flow, pressure, None)

    def keep(self, start: Solution | None, only: Indices) -> None:
        """Take over an earlier answer of all samples but some."""
        if start is None or start.volume_flow.shape[1] != self.samples:
            raise ValueError("only: wanted a start with all samples")
        rest = np.ones(self.samples, dtype=bool)
        rest[only] = False
        order = self.layout.order
        self.flow[:, rest] = start.volume_flow[order][:, rest]
        self.pressure[:, rest] = start.pressure[:, rest]
        self.pump_marks[:, rest] = start.pump_extrapolated[order][:, rest]
        self.friction_marks[:, rest] = start.friction_extrapolated[order][:, rest]
        self.converged[rest], self.passes[rest] = start.converged[rest], start.passes[rest]

    def pilot(self) -> _Begin | None:
        """Mean of a few samples, solved from nothing."""
        few = np.linspace(0, self.samples - 1, PILOT).astype(np.intp)
        self.run(few, None)
        few = few[self.converged[few]]
        if not len(few):
            return None
        flow, pressure = self.flow[:, few], self.pressure[self.layout.free][:, few]
        laws = pack(self.links, self.density, self.viscosity, few, len(few))
        return _Begin(
            *(part.mean(axis=1, keepdims=True) for part in (flow, pressure, laws.root_at(flow)))
        )

    def run(self, some: slice | Indices, begin: _Begin | None) -> None:
        """Solve some samples and keep what came out."""
        at = np.arange(self.samples)[some]
        laws = pack(self.links, self.density, self.viscosity, some, len(at))
        ends = self._ends(some, len(at))
        entering = -stack(self.drawn, some, len(at)) if self.network.drawn else None
        known = laws.known(len(at)) & np.isfinite(ends.sum(axis=0))
        if entering is not None:
            known &= np.isfinite(entering.sum(axis=0))
        if not known.all():
            some = at = at[known]
            laws, ends = laws.take(np.flatnonzero(known)), ends[:, known]
            entering = None if entering is None else take(entering, np.flatnonzero(known))
        if not len(at):
            return
        self.known[some] = True
        if entering is not None:
            entering = np.broadcast_to(entering, (len(entering), len(at)))
        now = self._begin(laws, ends, some, begin)
        settled = settle(self.layout.plan, laws, now, entering, cold=begin is None)
        self._keep(laws, ends, some, settled)

    def _ends(self, some: slice | Indices, count: int) -> Floats:
        """Pressures of all nodes, zero where they are not fixed."""
        pressure = np.zeros((len(self.network.nodes), count))
        for node, value in self.fixed.items():
            pressure[node] = take(value, some)
        return pressure

    def _begin(
        self, laws: Laws, ends: Floats, some: slice | Indices, begin: _Begin | None
    ) -> Iterate:
        """The first iterate of some samples."""
        layout, count = self.layout, ends.shape[1]
        flow = np.zeros((len(self.links), count))
        root = first_root((laws.pipe_rows.stop, count))
        if begin is not None:
            flow[...] = take(begin.flow, some)
            ends[layout.free] = take(begin.pressure, some)
            root = laws.root_at(flow) if begin.root is None else begin.root + np.zeros((1, count))
        return Iterate(flow, ends[layout.starts] - ends[layout.ends], ends[layout.free], root)

    def _keep(self, laws: Laws, ends: Floats, some: slice | Indices, settled: Settled) -> None:
        """Put what came out into the arrays of all samples."""
        ends[self.layout.free] = settled.pressure
        self.flow[:, some], self.pressure[:, some] = settled.flow, ends
        self.passes[some] = settled.passes
        self.converged[some] = settled.converged & ~self._unmet(laws, settled.flow)
        self.pump_marks[:, some] = laws.pump_extrapolated(settled.flow)
        self.friction_marks[:, some] = laws.friction_extrapolated(settled.flow)

    def _unmet(self, laws: Laws, flow: Floats) -> Flags:
        """Samples in which a closed link would have to carry what is drawn behind it."""
        if not self.network.drawn:
            return np.zeros(flow.shape[1], dtype=bool)
        return np.asarray((laws.closed(flow) & (np.abs(flow) > UNMET)).any(axis=0))

    def solution(self) -> Solution:
        """Everything in the order of the network's own links and nodes."""
        back = np.argsort(self.layout.order)
        flow = self.flow[back]
        if not self.converged.all():
            flow[:, ~self.converged] = np.nan
            self.pressure[:, ~self.converged] = np.nan
        return Solution(
            links=tuple(self.network.links), nodes=tuple(self.network.nodes), volume_flow=flow,
            pressure=self.pressure, converged=self.converged, passes=self.passes,
            pump_extrapolated=self.pump_marks[back],
            friction_extrapolated=self.friction_marks[back],
        )  # fmt: skip


def _place(link: Link) -> tuple[type, str, str]:
    """What the layout rests on."""
    return type(link), link.start, link.end


def _check_names(network: Network) -> None:
    """Every node once, and every name used one of them."""
    nodes = set(network.nodes)
    if len(nodes) < len(network.nodes):
        twice = sorted(node for node in nodes if network.nodes.count(node) > 1)
        raise ValueError(f"nodes: found {', '.join(twice)} more than once, wanted each once")
    used: dict[str, tuple[str, ...]]
    used = {f"link {name!r}": (link.start, link.end) for name, link in network.links.items()}
    used |= {"fixed": tuple(network.fixed), "drawn": tuple(network.drawn)}
    for place, names in used.items():
        for name in names:
            if name not in nodes:
                raise ValueError(
                    f"{place}: found node {name!r}, wanted one of {', '.join(network.nodes)}"
                )
    both = sorted(set(network.fixed) & set(network.drawn))
    if both:
        raise ValueError(
            f"drawn: {', '.join(both)} has a fixed pressure, so what is drawn there follows; "
            "wanted a node without"
        )


def _check_references(network: Network) -> None:
    """Every island of nodes has a fixed pressure."""
    for island in _islands(network):
        if not any(node in network.fixed for node in island):
            raise ValueError(
                f"nodes {', '.join(island)} hang together and none has a fixed pressure; wanted "
                f'one reference among them, such as fixed={{"{island[0]}": 0.0}}'
            )


def _islands(network: Network) -> list[list[str]]:
    """Nodes that hang together through links, shut ones included."""
    beside: dict[str, list[str]] = {node: [] for node in network.nodes}
    for link in network.links.values():
        beside[link.start].append(link.end)
        beside[link.end].append(link.start)
    islands, seen = [], set()
    for first in network.nodes:
        if first in seen:
            continue
        island, queue = [], [first]
        seen.add(first)
        while queue:
            node = queue.pop()
            island.append(node)
            fresh = [other for other in beside[node] if other not in seen]
            seen.update(fresh)
            queue += dict.fromkeys(fresh)
        islands.append(island)
    return islands


def _lay_out(network: Network) -> Layout:
    """Rows of links and nodes, and the plan, which is made once for every pattern."""
    links = list(network.links.values())
    order = law_order(links)
    number = {node: at for at, node in enumerate(network.nodes)}
    free = [at for at, node in enumerate(network.nodes) if node not in network.fixed]
    unknown = {at: row for row, at in enumerate(free)}
    starts = [number[links[at].start] for at in order]
    ends = [number[links[at].end] for at in order]
    plan = None
    if free:
        plan = make_plan(
            len(free),
            tuple(unknown.get(at, GROUND) for at in starts),
            tuple(unknown.get(at, GROUND) for at in ends),
        )
    rows, unfixed, begin, end = (np.array(part, np.intp) for part in (order, free, starts, ends))
    return Layout(rows, unfixed, begin, end, plan)


def _by_link(name: str, values: ArrayLike, links: int) -> Floats:
    """A property of the liquid as (L, S), (L, 1), (1, S) or (1, 1)."""
    array = np.asarray(values, dtype=float)
    if array.ndim > 2 or (array.ndim == 2 and len(array) != links):
        raise ValueError(
            f"{name}: found shape {array.shape}, wanted a scalar, one a sample, or ({links}, S)"
        )
    if np.any(array <= 0):
        raise ValueError(f"{name}: found {np.nanmin(array):g}, wanted more than zero")
    return np.atleast_2d(array)


def _in_order(values: Floats, order: Indices) -> Floats:
    return values if len(values) == 1 else values[order]


def _sample_count(network: Network, *properties: Floats) -> int:
    """Number of samples all figures agree upon."""
    found: dict[int, str] = {}
    for name, link in network.links.items():
        for part, value in vars(link).items():
            if isinstance(value, np.ndarray) and value.size != 1:
                found.setdefault(value.size, f"{name}.{part}")
        if isinstance(link, Pump):
            for size in link.curve.sample_counts():
                found.setdefault(size, f"{name}.curve")
    for table in (network.fixed, network.drawn):
        for node, value in table.items():
            if np.size(value) != 1:
                found.setdefault(np.size(value), node)
    for values in properties:
        if values.shape[1] != 1:
            found.setdefault(values.shape[1], "density or viscosity")
    if len(found) > 1:
        told = ", ".join(f"{size} in {place}" for size, place in found.items())
        raise ValueError(f"numbers of samples: found {told}; wanted one number, or scalars")
    return next(iter(found), 1)
