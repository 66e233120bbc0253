"""Reads the pipe networks of tests/data/networks: a small part of EPANET's input format."""

import csv
from dataclasses import dataclass
from pathlib import Path

from swapwright.physics.links import Link, Pipe, Pump
from swapwright.physics.network import Network
from swapwright.physics.pumps import PumpCurve, curve_from_rated, curve_through_three

FOLDER = Path(__file__).parent.parent / "data" / "networks"
GRAVITY = 9.81  # m/s², as in the expected files
REFERENCE_VISCOSITY = 1.1e-5 * 0.3048**2  # m²/s, what "Viscosity 1" means in the format
WATER = 1000.0  # kg/m³, what "Specific Gravity 1" means
AT_REST = 1e12  # Pa/(m³/s)²; no pump of these files stands still


@dataclass(frozen=True)
class Case:
    """One file: its network with pressures from heads, and its liquid."""

    network: Network
    density: float  # kg/m³
    viscosity: float  # Pa·s

    def head(self, pressure: float) -> float:
        """Head of a pressure. [m]"""
        return pressure / (self.density * GRAVITY)


def sections_of(name: str) -> dict[str, list[list[str]]]:
    """Words of every line, by section, comments left out."""
    sections: dict[str, list[list[str]]] = {}
    section = ""
    for line in (FOLDER / f"{name}.inp").read_text("utf-8").splitlines():
        words = line.split(";")[0].split()
        if line.startswith("["):
            section = line.strip("[]\n ")
            sections[section] = []
        elif words:
            sections[section].append(words)
    return sections


def read_case(name: str, powered: PumpCurve | None = None) -> Case:
    """A file as a network; ``powered`` is the curve of a pump given by its power only."""
    sections = sections_of(name)
    options = {" ".join(words[:-1]): words[-1] for words in sections["OPTIONS"]}
    density = WATER * float(options["Specific Gravity"])
    weight = density * GRAVITY
    viscosity = density * REFERENCE_VISCOSITY * float(options["Viscosity"])
    fixed = {node: float(head) * weight for node, head, *_ in sections["RESERVOIRS"]}
    junctions = {node: float(demand) / 1e3 for node, _height, demand in sections["JUNCTIONS"]}
    links: dict[str, Link] = {
        link: Pipe(start, end, float(length), float(bore) / 1e3, float(rough) / 1e3, float(loss))
        for link, start, end, length, bore, rough, loss, _status in sections["PIPES"]
    }
    for link, start, end, kind, value in sections.get("PUMPS", []):
        curve = powered if kind == "POWER" else _curve(sections, value, density)
        assert curve is not None
        links[link] = Pump(start, end, curve, at_rest=AT_REST)
    drawn = {node: demand for node, demand in junctions.items() if demand}
    return Case(Network((*junctions, *fixed), links, fixed, drawn), density, viscosity)


def _curve(sections: dict[str, list[list[str]]], name: str, density: float) -> PumpCurve:
    points = [(float(flow) / 1e3, float(head) * density * GRAVITY)
              for curve, flow, head in sections["CURVES"] if curve == name]  # fmt: skip
    if len(points) == 1:
        # the format's rule for one point: shut-off at 4/3 of its head, a parabola, ends at twice
        ((flow, rise),) = points
        return curve_from_rated(4 / 3 * rise, flow, rise, 2 * flow, density)
    flows, rises = zip(*points, strict=True)
    return curve_through_three(flows, rises, density)


@dataclass(frozen=True)
class Expected:
    """Flows in L/s and heads in m of one file, by link and node, in two columns."""

    colebrook: dict[tuple[str, str], float]
    epanet: dict[tuple[str, str], float]


def read_expected(name: str) -> Expected:
    """What two other solvers found for a file."""
    with (FOLDER / f"{name}_expected.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return Expected(
        {(row["kind"], row["id"]): float(row["colebrook"]) for row in rows},
        {(row["kind"], row["id"]): float(row["epanet"]) for row in rows},
    )
