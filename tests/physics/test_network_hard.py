"""Hard random samples by the thousand: none fails, and every answer is one."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from tests.support.inp_files import read_case
from tests.support.random_networks import (
    DENSITY,
    VISCOSITY,
    imbalance,
    pipe_misfits,
    random_network,
    some_samples,
)

from swapwright.physics.links import Link, Pipe, Pump
from swapwright.physics.network import Network, solve

SAMPLES = 2000


def hard_loop(seed: int) -> tuple[Network, float, NDArray[np.float64]]:
    """The loop of 20 pipes: bores ±25 %, rough to 0.04 of the bore, 15 % shut, pump off in some.

    Viscosity is 0.4 to 200 times that of hot coolant.
    """
    case, rng = read_case("n10_coolant_loop_20"), np.random.default_rng(seed)
    links: dict[str, Link] = {}
    for name, link in case.network.links.items():
        if isinstance(link, Pipe):
            bore = np.asarray(link.bore) * rng.uniform(0.75, 1.25, SAMPLES)
            rough = bore * 0.04 * rng.uniform(0, 1, SAMPLES) ** 2
            links[name] = replace(link, bore=bore, roughness=rough, shut=rng.random(SAMPLES) < 0.15)
        elif isinstance(link, Pump):
            speed = rng.uniform(0.1, 1.2, SAMPLES) * (rng.random(SAMPLES) > 0.1)
            links[name] = replace(link, speed_ratio=speed)
    thicker = np.exp(rng.uniform(np.log(0.4), np.log(200), SAMPLES))
    return case.network.changed(links), case.density, case.viscosity * thicker


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_no_hard_sample_of_the_loop_fails(seed: int) -> None:
    network, density, viscosity = hard_loop(seed)
    solution = solve(network, density, viscosity)
    assert solution.converged.all()
    assert solution.passes.max() <= 30
    # samples that stand still (pump off, or shut all round) have nothing to compare with
    moving = np.abs(solution.volume_flow).max(axis=0) > 1e-7
    assert moving.mean() > 0.6  # 0.85² · 0.9: the pump runs, and its own hoses are open
    balance = replace(
        solution,
        volume_flow=solution.volume_flow[:, moving],
        pressure=solution.pressure[:, moving],
    )
    assert imbalance(network, balance) < 1e-9
    assert pipe_misfits(network, solution, density, viscosity) < 1e-7


@pytest.mark.slow
def test_no_random_network_fails() -> None:
    for seed in range(500):
        network = random_network(seed, nodes=4 + seed % 12, extra=seed % 9)
        solution = solve(network, DENSITY, VISCOSITY * 10 ** (seed % 5 - 1))
        assert solution.converged.all(), seed
        assert imbalance(network, solution) < 1e-9, seed


@pytest.mark.slow
def test_hard_samples_one_by_one_give_the_same() -> None:
    network, density, viscosity = hard_loop(4)
    together = solve(network, density, viscosity)
    some = np.arange(0, SAMPLES, 50)
    apart = solve(some_samples(network, some), density, viscosity[some])
    scale = np.abs(together.volume_flow[:, some]).max(axis=0)
    gap = np.abs(apart.volume_flow - together.volume_flow[:, some])
    assert (gap <= 1e-9 * scale + 1e-13).all()  # of those that stand still: 0.1 µm³/s
