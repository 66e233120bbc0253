"""Writes the tables of liquids that ship: water with ethylene or propylene glycol.

Run from the checkout: ``python tools/make_liquids.py``. It needs CoolProp, which the package
itself does not.
"""

import csv
import math
from collections.abc import Iterable, Mapping
from pathlib import Path

import CoolProp
import numpy as np
from CoolProp.CoolProp import PropsSI
from numpy.polynomial import polynomial as poly

FOLDER = Path(__file__).parent.parent / "src" / "swapwright" / "physics" / "tables"
ZERO = 273.15  # K
FLUIDS = {"ethylene": "AEG", "propylene": "APG"}  # by volume fraction, 20 °C
KEYS = {"density": "D", "viscosity": "V", "heat_capacity": "C", "conductivity": "L"}
SHARES = [round(0.05 * i, 2) for i in range(15)]
TEMPERATURES = [float(t) for t in range(-40, 131, 5)]  # °C
COLDEST, HOTTEST = -35.0, 100.0  # °C, of the library's mixtures
LEANEST, RICHEST = 0.1, 0.6  # shares, of the library's mixtures
PRESSURE = 3e5  # Pa, so that water is liquid up to 130 °C; mixtures ignore it
ENDS = 20.0  # K of library at an end from which a straight continuation takes its slope
ACTIVATION = 40.0  # K below 100 °C over which viscosity shows its activation energy

Row = tuple[str, float, float, float, float, float, float, str]


def library(key: str, fluid: str, celsius: float) -> float:
    """One property from the library, in SI."""
    kelvin = round(celsius + ZERO, 9)  # a sum of floats may miss the library's bounds by a hair
    return float(PropsSI(key, "T", kelvin, "P", PRESSURE, fluid))


def freezing(glycol: str, share: float) -> float:
    """Freezing point in °C; water's own at share 0, where the library's curve misses it."""
    fluid = f"INCOMP::{FLUIDS[glycol]}[{share}]"
    return float(PropsSI("T_freeze", "T", 300, "P", PRESSURE, fluid)) - ZERO


def column(glycol: str, share: float) -> Mapping[str, np.ndarray]:
    """All properties of a share that the library knows, over all temperatures."""
    fluid = "Water" if share == 0 else f"INCOMP::{FLUIDS[glycol]}[{share}]"
    low = 0.0 if share == 0 else max(COLDEST, freezing(glycol, share) + 1e-6)
    high = TEMPERATURES[-1] if share == 0 else HOTTEST
    return {name: continued(name, key, fluid, low, high) for name, key in KEYS.items()}


def continued(name: str, key: str, fluid: str, low: float, high: float) -> np.ndarray:
    """The library between ``low`` and ``high``, continued beyond in the property's own way."""
    return np.array(
        [
            library(key, fluid, t)
            if low <= t <= high
            else cold(name, key, fluid, low, t)
            if t < low
            else hot(name, key, fluid, high, t)
            for t in TEMPERATURES
        ]
    )


def cold(name: str, key: str, fluid: str, low: float, t: float) -> float:
    """Below the library: viscosity straight in ln over 1/T, the others straight in T."""
    return straight(name, key, fluid, low, low + ENDS, t)


def hot(name: str, key: str, fluid: str, high: float, t: float) -> float:
    """Above the library: viscosity at a constant activation energy, density by its own cubic.

    A quartic of ln viscosity in 1/T fits the library best, but above 100 °C it lets the
    activation energy grow, which no liquid does, and falls 15 % short of the handbook's 125 °C.
    The library's density is a cubic in T at each share, so four points continue it exactly.
    """
    if name == "density":
        four = np.linspace(high - 90, high, 4)
        cubic = poly.polyfit(four - high, [library(key, fluid, each) for each in four], 3)
        return float(poly.polyval(t - high, cubic))
    if name == "viscosity":
        return straight(name, key, fluid, high, high - ACTIVATION, t)
    return straight(name, key, fluid, high, high - ENDS / 4, t)


def straight(name: str, key: str, fluid: str, end: float, inner: float, t: float) -> float:
    """On the line through the library's values at ``end`` and ``inner``."""
    at_end, at_inner = library(key, fluid, end), library(key, fluid, inner)
    if name != "viscosity":
        return at_end + (at_inner - at_end) * (t - end) / (inner - end)
    part = (1 / (t + ZERO) - 1 / (end + ZERO)) / (1 / (inner + ZERO) - 1 / (end + ZERO))
    return math.exp(math.log(at_end) + math.log(at_inner / at_end) * part)


def over_shares(name: str, known: Mapping[float, np.ndarray], share: float) -> np.ndarray:
    """A share the library lacks: a cubic with water below its leanest, a parabola above.

    Above, ln viscosity goes straight on: its parabola bends down when hot and would make the
    richer mixture the thinner one, while pure glycol is several times thicker.
    """
    rich = (0.5, 0.6) if name == "viscosity" else (0.4, 0.5, 0.6)
    nodes = (0.0, 0.1, 0.2, 0.3) if share < LEANEST else rich
    values = np.array([known[node] for node in nodes])
    values = np.log(values) if name == "viscosity" else values
    result = poly.polyval(share, poly.polyfit(np.array(nodes), values, len(nodes) - 1))
    return np.asarray(np.exp(result) if name == "viscosity" else result)


def mark(glycol: str, share: float, t: float) -> str:
    """How the row came about."""
    if share > RICHEST:
        return "extrapolated"
    low = max(COLDEST, frozen_below(glycol, share)) if share else 0.0
    if t < low or (share > 0 and t > HOTTEST):
        return "extrapolated"
    return "interpolated" if 0 < share < LEANEST else "library"


def frozen_below(glycol: str, share: float) -> float:
    """Freezing point of every share up to the richest, in °C."""
    if share == 0:
        return 0.0
    if share >= LEANEST:
        return freezing(glycol, share)
    nodes = np.array([0.0, 0.1, 0.2, 0.3])
    values = np.array([0.0, *(freezing(glycol, node) for node in nodes[1:])])
    return float(poly.polyval(share, poly.polyfit(nodes, values, 3)))


def liquid_rows(glycol: str) -> Iterable[Row]:
    """The whole grid of one glycol."""
    inside = [share for share in SHARES if share == 0 or LEANEST <= share <= RICHEST]
    known = {share: column(glycol, share) for share in inside}
    for share in SHARES:
        columns = known.get(share) or {
            name: over_shares(name, {s: known[s][name] for s in inside}, share) for name in KEYS
        }
        for i, t in enumerate(TEMPERATURES):
            d, v, c, k = (float(columns[name][i]) for name in KEYS)
            yield (glycol, share, t, d, v * 1e3, c, k, mark(glycol, share, t))


def write(name: str, note: str, header: str, rows: Iterable[tuple[object, ...]]) -> None:
    """One table, its source before its header."""
    with (FOLDER / name).open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(f"# {line}\n" for line in note.splitlines())
        file.write(header + "\n")
        csv.writer(file, lineterminator="\n").writerows(rows)


SOURCE = f"""\
Made by tools/make_liquids.py with CoolProp {CoolProp.__version__}; do not edit by hand.
Mixtures: INCOMP::AEG and INCOMP::APG, data of ASHRAE Fundamentals 2001, by volume share at 20 °C.
Water: IAPWS formulations at 3 bar."""

HOW = """\
mark: library = as the library gives it (mixtures: shares 0.1 to 0.6, from -35 °C or the freezing
point to 100 °C; water 0 to 130 °C); interpolated = cubic over shares 0, 0.1, 0.2, 0.3;
extrapolated = over share: parabola through 0.4, 0.5, 0.6, ln viscosity straight on from 0.5, 0.6;
above 100 °C: density by the library's own cubic, viscosity with the activation energy of 60 to
100 °C, heat capacity and conductivity straight on; in the cold (also below freezing, as if still
liquid): straight on, ln viscosity over 1/T."""


def main() -> None:
    """Both tables."""
    rows = (
        (g, s, f"{t:g}", f"{d:.2f}", f"{v:.5g}", f"{c:.1f}", f"{k:.4f}", how)
        for glycol in FLUIDS
        for g, s, t, d, v, c, k, how in liquid_rows(glycol)
    )
    header = "glycol,share,temperature_C,density_kg_m3,viscosity_mPa_s,heat_capacity_J_kgK,"
    write("liquids.csv", f"{SOURCE}\n{HOW}", header + "conductivity_W_mK,mark", rows)
    write(
        "freezing.csv",
        f"{SOURCE}\nShare 0.05: cubic over shares 0, 0.1, 0.2, 0.3.",
        "glycol,share,freezing_C",
        (
            (glycol, share, f"{frozen_below(glycol, share):.2f}")
            for glycol in FLUIDS
            for share in SHARES
            if share <= RICHEST
        ),
    )


if __name__ == "__main__":
    main()
