"""How long a sample of a pipe network takes, against two open-source solvers in the same run.

Run: PYTHONPATH=src .venv-peers/bin/python benchmarks/bench_network.py
Two networks, each with bores and roughnesses that differ from sample to sample: the closed loop
of 20 pipes and a pump in tests/data/networks, and a square grid of 500 pipes fed at one corner.
Ours counts everything from arrays of inputs to arrays of flows and pressures. EPANET 2.2 is
driven through wntr's toolkit: a *whole* sample sets the same inputs, solves from anew and reads
all flows and heads back; its *solve* alone is timed apart. pandapipes counts its `pipeflow`.
Peers solve one sample at a time, so their time a sample does not hang on the number of samples.
All are timed in turn on one core, processor time, five rounds; the least of each is told, since
whatever else the machine does can only add. Ratios above 1 mean that ours is quicker.
"""

import logging
import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # before numpy: one core each

import sys
import tempfile
import time
import warnings
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.support.inp_files import read_case

from swapwright.physics.elimination import make_plan
from swapwright.physics.links import Link, Pipe, Pump
from swapwright.physics.network import Network, Solution, solve

ROUNDS = 5
SIZES = (1, 100, 10_000)
PEER_SAMPLES = 200  # EPANET's, a round
PANDAPIPES_SAMPLES = 5
GRAVITY = 9.81
EPANET_VISCOSITY = 1.1e-5 * 0.3048**2  # m²/s
PEERS = ("EPANET whole", "EPANET solve", "pandapipes")


@dataclass(frozen=True)
class Bench:
    """A network and the spread of its samples."""

    name: str
    network: Network
    density: float
    viscosity: float
    wanted: dict[tuple[str, int], float]  # least ratios, by peer and number of samples

    def sampled(self, samples: int, seed: int = 0) -> Network:
        """Bores ±10 % and roughnesses ±50 %, uniformly."""
        rng = np.random.default_rng(seed)
        links: dict[str, Link] = {}
        for name, link in self.network.links.items():
            if isinstance(link, Pipe):
                links[name] = Pipe(
                    link.start, link.end, link.length,
                    link.bore * rng.uniform(0.9, 1.1, samples),
                    link.roughness * rng.uniform(0.5, 1.5, samples), link.loss_coefficient,
                )  # fmt: skip
        return self.network.changed(links)

    @property
    def pipes(self) -> dict[str, Pipe]:
        return {name: link for name, link in self.network.links.items() if isinstance(link, Pipe)}


def loop() -> Bench:
    case = read_case("n10_coolant_loop_20")
    wanted = {
        ("EPANET whole", 10_000): 10.0, ("EPANET solve", 10_000): 2.0,
        ("pandapipes", 10_000): 1000.0, ("pandapipes", 1): 1.0,
    }  # fmt: skip
    return Bench("loop of 20 pipes", case.network, case.density, case.viscosity, wanted)


def grid(columns: int = 16, rows: int = 17, pipes: int = 500) -> Bench:
    """Grid without some pipes of its last column, one node fed, all others drawn from."""
    rng = np.random.default_rng(11)
    edges = [((x, y), (x + 1, y)) for y in range(rows) for x in range(columns - 1)]
    edges += [((x, y), (x, y + 1)) for x in range(columns) for y in range(rows - 1)]
    surplus = len(edges) - pipes
    kept = [edge for at, edge in enumerate(reversed(edges)) if at % 2 or at >= 2 * surplus]
    links: dict[str, Link] = {
        f"P{at}": Pipe(
            "x{}y{}".format(*a), "x{}y{}".format(*b), rng.uniform(40, 160),
            rng.choice([0.08, 0.1, 0.15, 0.2]), 1e-4,
        )
        for at, (a, b) in enumerate(kept)
    }  # fmt: skip
    nodes = [f"x{x}y{y}" for x in range(columns) for y in range(rows)]
    density, fed = 998.2, "x0y0"
    drawn = {node: 1e-4 for node in nodes if node != fed}
    network = Network(nodes, links, {fed: 60 * density * GRAVITY}, drawn)
    # A target for the loop is no target here: both peers' overheads, which samples in one
    # go spare, do not grow with the pipes as friction and elimination do.
    wanted = {("EPANET solve", 10_000): 2.0, ("pandapipes", 1): 1.0}
    return Bench(f"grid of {len(links)} pipes", network, density, 1e-6 * density, wanted)


class Epanet:
    """One network in EPANET 2.2, opened once; heads in m, flows in L/s."""

    def __init__(self, bench: Bench, folder: Path) -> None:
        import wntr
        from wntr.epanet.toolkit import ENepanet
        from wntr.epanet.util import EN

        self.codes = EN
        path = folder / "network.inp"
        wntr.network.write_inpfile(self.model(bench), str(path), units="LPS")
        self.engine = ENepanet(version=2.2)
        self.engine.ENopen(str(path), str(folder / "out.rpt"), str(folder / "out.bin"))
        self.engine.ENopenH()
        self.pipes = [self.engine.ENgetlinkindex(name) for name in bench.pipes]
        self.links = [self.engine.ENgetlinkindex(name) for name in bench.network.links]
        self.nodes = [self.engine.ENgetnodeindex(name) for name in bench.network.nodes]

    @staticmethod
    def model(bench: Bench) -> "object":
        import wntr

        model = wntr.network.WaterNetworkModel()
        hydraulic = model.options.hydraulic
        hydraulic.headloss, hydraulic.inpfile_units = "D-W", "LPS"
        hydraulic.viscosity = bench.viscosity / bench.density / EPANET_VISCOSITY
        hydraulic.specific_gravity = bench.density / 1000
        hydraulic.accuracy, hydraulic.trials = 1e-6, 200
        model.options.time.duration = 0
        weight = bench.density * GRAVITY
        for node in bench.network.nodes:
            if node in bench.network.fixed:
                head = float(np.asarray(bench.network.fixed[node])) / weight
                model.add_reservoir(node, base_head=head)
            else:
                drawn = float(np.asarray(bench.network.drawn.get(node, 0.0)))
                model.add_junction(node, base_demand=drawn, elevation=0.0)
        for name, link in bench.network.links.items():
            if isinstance(link, Pipe):
                model.add_pipe(
                    name, link.start, link.end, length=float(link.length),
                    diameter=float(link.bore), roughness=float(link.roughness),
                    minor_loss=float(link.loss_coefficient),
                )  # fmt: skip
            elif isinstance(link, Pump):
                flows = np.array([0.0, 0.5, 0.9]) * float(link.curve.last_flow)
                rises = link.curve.shut_off - link.curve.fall(flows)[0]
                points = [(flow, rise / weight) for flow, rise in zip(flows, rises, strict=True)]
                model.add_curve("curve", "HEAD", points)
                model.add_pump(name, link.start, link.end, "HEAD", "curve")
        return model

    def solve(self) -> None:
        self.engine.ENinitH(10)  # 10: forget the flows of the sample before
        self.engine.ENrunH()

    def whole(self, bores: list[float], roughnesses: list[float]) -> tuple[list[float], ...]:
        engine, codes = self.engine, self.codes
        for index, bore, roughness in zip(self.pipes, bores, roughnesses, strict=True):
            engine.ENsetlinkvalue(index, codes.DIAMETER, bore)
            engine.ENsetlinkvalue(index, codes.ROUGHNESS, roughness)
        self.solve()
        flows = [engine.ENgetlinkvalue(index, codes.FLOW) for index in self.links]
        return flows, [engine.ENgetnodevalue(index, codes.HEAD) for index in self.nodes]


def pandapipes_solve(bench: Bench) -> Callable[[], object]:
    """One network in pandapipes; the call solves it once."""
    import pandapipes

    net = pandapipes.create_empty_network()
    liquid = pandapipes.create_constant_fluid(
        "liquid", "liquid", density=bench.density, viscosity=bench.viscosity,
        heat_capacity=3600.0, molar_mass=18.0, der_compressibility=0.0, compressibility=1.0,
    )  # fmt: skip
    net["fluid"] = liquid
    index = {}
    for node in bench.network.nodes:
        index[node] = pandapipes.create_junction(net, pn_bar=3.0, tfluid_k=293.15, name=node)
    for node, pressure in bench.network.fixed.items():
        pandapipes.create_ext_grid(net, index[node], p_bar=float(pressure) / 1e5, t_k=293.15)
    for node, drawn in bench.network.drawn.items():
        pandapipes.create_sink(net, index[node], mdot_kg_per_s=float(drawn) * bench.density)
    for name, link in bench.network.links.items():
        ends = index[link.start], index[link.end]
        if isinstance(link, Pipe):
            pandapipes.create_pipe_from_parameters(
                net, *ends, length_km=float(link.length) / 1e3, name=name,
                inner_diameter_mm=float(link.bore) * 1e3, k_mm=float(link.roughness) * 1e3,
                loss_coefficient=float(link.loss_coefficient),
            )  # fmt: skip
        elif isinstance(link, Pump):
            top, last = float(link.curve.shut_off), float(link.curve.last_flow)
            square = float(link.curve.fall(np.asarray(last))[0]) / last**2
            pandapipes.create_pump_from_parameters(
                net, *ends, "pump", poly_coefficents=[-square / 3600**2 / 1e5, 0.0, top / 1e5]
            )

    def run() -> object:
        pandapipes.pipeflow(
            net, friction_model="colebrook", use_numba=True, max_iter_hyd=200,
            mode="hydraulics", tol_p=1e-6, tol_m=1e-6,
        )  # fmt: skip
        return net

    return run


def seconds(work: Callable[[], object], times: int = 1) -> float:
    begin = time.process_time()
    for _ in range(times):
        work()
    return (time.process_time() - begin) / times


def ours(bench: Bench, samples: int) -> Callable[[], Solution]:
    """Everything from arrays of inputs on: links, network, solution."""
    sampled = bench.sampled(samples)
    inputs = {name: (link.bore, link.roughness) for name, link in sampled.links.items()
              if isinstance(link, Pipe)}  # fmt: skip
    pipes = bench.pipes

    def run() -> Solution:
        links = {
            name: Pipe(pipes[name].start, pipes[name].end, pipes[name].length, bore, roughness,
                       pipes[name].loss_coefficient)
            for name, (bore, roughness) in inputs.items()
        }  # fmt: skip
        return solve(bench.network.changed(links), bench.density, bench.viscosity)

    return run


def peer_samples(bench: Bench) -> list[tuple[list[float], list[float]]]:
    """Inputs of single samples as EPANET wants them: bores and roughnesses in mm."""
    pipes = [link for link in bench.sampled(PEER_SAMPLES).links.values() if isinstance(link, Pipe)]
    bores = np.array([pipe.bore for pipe in pipes]).T * 1e3
    roughnesses = np.array([pipe.roughness for pipe in pipes]).T * 1e3
    return list(zip(bores.tolist(), roughnesses.tolist(), strict=True))


def check(bench: Bench, epanet: Epanet, samples: list[tuple[list[float], list[float]]]) -> None:
    """Both must have solved the same thing; EPANET's friction law differs by up to 2 %."""
    solution = ours(bench, PEER_SAMPLES)()
    if not solution.converged.all():
        raise SystemExit("ours did not converge")
    flows = np.array([epanet.whole(*sample)[0] for sample in samples[:20]]).T / 1e3
    worst = np.max(np.abs(flows - solution.volume_flow[:, :20])) / np.max(np.abs(flows))
    print(f"  largest difference of flows to EPANET: {100 * worst:.2f} % of the largest flow")
    if worst > 0.02:
        raise SystemExit("the networks are not the same")


def run(bench: Bench, folder: Path) -> bool:
    """Time one network; True if all that is wanted was reached."""
    print(f"{bench.name}, {len(bench.network.nodes)} nodes")
    epanet, pandapipes = Epanet(bench, folder), pandapipes_solve(bench)
    samples = peer_samples(bench)
    check(bench, epanet, samples)
    work = {size: ours(bench, size) for size in SIZES}
    print(f"  first call with what it compiles: pandapipes {seconds(pandapipes):.2f} s")
    make_plan.cache_clear()
    fresh = replace(bench.network)  # without the plan that the other has
    print(f"  plan of the pattern, once: ours {seconds(lambda: fresh.layout):.3f} s")
    spent: dict[str | int, list[float]] = {}
    for _ in range(ROUNDS):
        begin = time.process_time()
        for sample in samples:
            epanet.whole(*sample)
        took = (time.process_time() - begin) / len(samples)
        spent.setdefault("EPANET whole", []).append(took)
        spent.setdefault("EPANET solve", []).append(seconds(epanet.solve, len(samples)))
        spent.setdefault("pandapipes", []).append(seconds(pandapipes, PANDAPIPES_SAMPLES))
        for size in SIZES:
            times = max(1, 20 // size)
            spent.setdefault(size, []).append(seconds(work[size], times) / size)
    least = {name: min(times) for name, times in spent.items()}
    return report(bench, least)


def report(bench: Bench, least: dict[str | int, float]) -> bool:
    """Print times and ratios."""
    reached = True
    for peer in PEERS:
        print(f"  {peer:<12} {1e6 * least[peer]:11.1f} µs a sample")
        for size in SIZES:
            ratio, wanted = least[peer] / least[size], bench.wanted.get((peer, size))
            note = "" if wanted is None else f"wanted {wanted:g}"
            if wanted is not None and ratio < wanted:
                reached, note = False, note + ", MISSED"
            print(f"    ours at {size:>6} {1e6 * least[size]:9.1f} µs, ratio {ratio:8.1f}  {note}")
    return reached


def main() -> None:
    """Time both networks."""
    warnings.filterwarnings("ignore")
    logging.disable(logging.WARNING)
    with tempfile.TemporaryDirectory() as first, tempfile.TemporaryDirectory() as second:
        reached = [run(loop(), Path(first)), run(grid(), Path(second))]
    print("all ratios reached" if all(reached) else "some ratios missed")


if __name__ == "__main__":
    main()
