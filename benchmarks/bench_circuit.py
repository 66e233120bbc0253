"""How long a sample of flow and heat together takes, against a flow-only solver in the same run.

Run: PYTHONPATH=src .venv-peers/bin/python benchmarks/bench_circuit.py
Ours is the coolant circuit of the demo van in its operating cases: flows, thermostat, air through
the radiator, temperatures, from the columns of inputs on. The peer is EPANET 2.2, which sets,
solves and reads one sample of the loop of 20 pipes of `bench_network`, without any heat. All in
turn on one core, processor time, five rounds, the least of each. Ratios above 1 mean that ours is
quicker. A whole study, all cases at 1,024 samples with levels and pressures, is timed beside it.
"""

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")  # before numpy: one core each

import sys
import tempfile
import time
import warnings
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from benchmarks.bench_network import Epanet, loop, peer_samples, seconds
from tests.support.demo_builds import demo

from swapwright.chance.samples import Sample
from swapwright.circuits.conditions import conditions
from swapwright.circuits.coolant import state_in
from swapwright.circuits.graph import circuit
from swapwright.circuits.inputs import Inputs
from swapwright.circuits.study import coolant_study
from swapwright.library.cases import cases_of
from swapwright.model.words import Service

ROUNDS = 5
SIZES = (1, 100, 1024, 10_000)
WANTED = {10_000: 1.0}  # ratio to the peer: flow and heat no slower than its flow


def main() -> None:
    """Time every case that has heat in it, and the peer between them."""
    warnings.filterwarnings("ignore")
    build = demo("van")
    found = circuit(build, Service.COOLANT)
    cases = {name: case for name, case in cases_of(build.build).items() if not case.coolant.known}
    inputs = {size: Inputs(build, Sample(size, 1)) for size in SIZES}
    work = {
        (size, name): (conditions(name, case, held), held)
        for size, held in inputs.items()
        for name, case in cases.items()
    }
    spent: dict[object, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        bench = loop()
        epanet, samples = Epanet(bench, Path(folder)), peer_samples(bench)
        for _ in range(ROUNDS):
            begin = time.process_time()
            for sample in samples:
                epanet.whole(*sample)
            spent.setdefault("peer", []).append((time.process_time() - begin) / len(samples))
            for (size, name), (stated, held) in work.items():
                took = seconds(lambda: state_in(stated, found, held))  # noqa: B023
                spent.setdefault((size, name), []).append(took / size)
    least = {name: min(times) for name, times in spent.items()}
    elements = len(found.elements)
    print(f"coolant circuit of the demo van, {elements} elements, with heat")
    print(f"  EPANET, 20 pipes, whole sample without heat: {1e6 * least['peer']:.1f} µs")
    reached = True
    for size in SIZES:
        took = float(np.mean([least[size, name] for name in cases]))
        ratio, wanted = least["peer"] / took, WANTED.get(size)
        note = "" if wanted is None else f"wanted {wanted:g}"
        if wanted is not None and ratio < wanted:
            reached, note = False, note + ", MISSED"
        print(f"    ours at {size:>6} {1e6 * took:9.1f} µs, ratio {ratio:6.2f}  {note}")
    for name in cases:
        print(f"      at 10000, {name:<12} {1e6 * least[10_000, name]:9.1f} µs")
    whole = min(seconds(lambda: coolant_study(build)) for _ in range(3))
    print(f"  whole study, {len(cases_of(build.build))} cases at 1024 samples: {whole:.2f} s")
    print("all ratios reached" if reached else "some ratios missed")


if __name__ == "__main__":
    main()
