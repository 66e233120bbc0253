"""Networks drawn by chance, and what any solution of one has to hold."""

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.friction import pipe_drop
from swapwright.physics.links import CheckValve, Link, Pipe, Pump, Resistance
from swapwright.physics.network import Network, Solution
from swapwright.physics.pumps import curve_from_rated

CURVE = curve_from_rated(1.6e5, 3e-3, 1.1e5, 5e-3, 1000.0)
DENSITY, VISCOSITY = 1000.0, 1e-3


def random_network(seed: int, nodes: int = 8, extra: int = 6, samples: int = 4) -> Network:
    """A tree of pipes and resistances with links of every kind across it.

    Two nodes have fixed pressures, and one is drawn from or fed.
    """
    rng = np.random.default_rng(seed)
    names = [f"n{at}" for at in range(nodes)]
    pairs = [(int(rng.integers(at)), at) for at in range(1, nodes)]
    pairs += [tuple(rng.choice(nodes, 2, replace=False)) for _ in range(extra)]
    links = {
        f"l{at}": _random_link(rng, names[a], names[b], samples, passive=at < nodes - 1)
        for at, (a, b) in enumerate(pairs)
    }
    fixed = {names[at]: rng.uniform(0, 2e5, samples) for at in rng.choice(nodes, 2, replace=False)}
    free = [name for name in names if name not in fixed]
    drawn = {free[0]: rng.uniform(-3e-4, 3e-4, samples)}
    return Network(names, links, fixed, drawn)


def _random_link(rng: np.random.Generator, a: str, b: str, samples: int, passive: bool) -> Link:
    kind = rng.uniform(0, 0.8 if passive else 1.0)
    if kind < 0.6:
        bore = rng.uniform(8e-3, 40e-3, samples)
        return Pipe(a, b, rng.uniform(0.05, 2, samples), bore, bore * rng.uniform(0, 0.04),
                    rng.uniform(0, 8, samples))  # fmt: skip
    if kind < 0.8:
        return Resistance(a, b, 10 ** rng.uniform(8, 11, samples))
    if kind < 0.9:
        return CheckValve(a, b, 10 ** rng.uniform(8, 11), 10 ** rng.uniform(4, 7, samples))
    speed = np.where(rng.random(samples) < 0.3, 0.0, rng.uniform(0.2, 1.2, samples))
    return Pump(a, b, CURVE, at_rest=1e10, speed_ratio=speed)


def imbalance(network: Network, solution: Solution) -> float:
    """Largest flow lost at any node without fixed pressure, over the largest flow of its sample."""
    lost = np.zeros(solution.pressure.shape)
    at = {node: row for row, node in enumerate(solution.nodes)}
    for name, link in network.links.items():
        lost[at[link.start]] -= solution.flow(name)
        lost[at[link.end]] += solution.flow(name)
    for node, flow in network.drawn.items():
        lost[at[node]] -= flow
    for node in network.fixed:
        lost[at[node]] = 0.0
    return float(np.max(np.abs(lost) / np.abs(solution.volume_flow).max(axis=0)))


def pipe_misfits(
    network: Network, solution: Solution, density: NDArray[np.float64] | float = DENSITY,
    viscosity: NDArray[np.float64] | float = VISCOSITY,
) -> float:  # fmt: skip
    """Largest misfit of a pipe's drop to the pressures at its ends, over the largest drop."""
    worst = np.zeros(solution.pressure.shape[1])
    scale = np.ptp(solution.pressure, axis=0) + 1.0
    for name, link in network.links.items():
        if isinstance(link, Pipe):
            drop, _slope = pipe_drop(
                solution.flow(name), link.length, link.bore, link.roughness, density, viscosity,
                link.loss_coefficient,
            )  # fmt: skip
            across = solution.pressure_at(link.start) - solution.pressure_at(link.end)
            miss = np.where(link.shut, 0.0, np.abs(drop - across))
            worst = np.maximum(worst, miss / scale)
    return float(worst.max())


def some_samples(network: Network, which: NDArray[np.intp]) -> Network:
    """A network of some samples of another."""

    def some(value: ArrayLike) -> NDArray[np.float64]:
        array = np.asarray(value)
        return array[which] if array.ndim else array

    links: dict[str, Link] = {}
    for name, link in network.links.items():
        figures = vars(link).items()
        mine: dict[str, Any] = {p: some(v) for p, v in figures if isinstance(v, np.ndarray)}
        links[name] = replace(link, **mine)
    return Network(
        network.nodes, links, {node: some(value) for node, value in network.fixed.items()},
        {node: some(value) for node, value in network.drawn.items()},
    )  # fmt: skip
