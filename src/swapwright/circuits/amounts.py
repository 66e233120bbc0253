"""How much coolant goes in, where it is, and what to buy."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from swapwright.circuits.filling import part_volumes
from swapwright.circuits.graph import Circuit
from swapwright.circuits.inputs import Column, Inputs
from swapwright.physics.liquids import freezing_temperature, share_for_freezing

SURELY = 0.9  # of the answers need no more than what is bought
CAN = 0.5e-3  # m³: bought in half litres


@dataclass(frozen=True)
class Amounts:
    """Volumes of a coolant circuit, cold."""

    parts: dict[str, Column]  # by unit [m³]
    runs: dict[str, Column]  # by element: hoses, long pipes, side loops [m³]
    total: Column  # as told for the whole, else the sum [m³]
    told: bool  # the whole was told


@dataclass(frozen=True)
class Shopping:
    """What to buy for one fill."""

    share: float  # of glycol, by volume
    freezes: float  # [K]
    concentrate: float  # [m³]
    water: float  # demineralised [m³]


def amounts(circuit: Circuit, runs: dict[str, Column], inputs: Inputs) -> Amounts:
    """Volumes by part and hose.

    Parameters
    ----------
    circuit : Circuit
        Whose parts count.
    runs : dict of str to (S,)
        Volumes of runs, as laid out; by element. [m³]
    inputs : Inputs
        Hands out the columns.
    """
    parts = part_volumes(circuit, inputs)
    build = inputs.assembly.build.id
    whole = inputs.said("coolant_volume_total", build)
    told = whole is not None and not inputs.absent("coolant_volume_total", build)
    total = (
        inputs.take("coolant_volume_total", build)
        if told
        else sum([*parts.values(), *runs.values()], inputs.constant(0.0))
    )
    return Amounts(parts, runs, total, told)


def shopping(found: Amounts, share: float) -> Shopping:
    """Concentrate and water that are enough nine times of ten, in half litres.

    Parameters
    ----------
    found : Amounts
        What goes in.
    share : float
        Of ethylene glycol in the mixture, by volume. [-]

    Notes
    -----
    Concentrate counts as all glycol; it holds a few percent of inhibitors and water.
    """
    whole = float(np.quantile(found.total, SURELY))
    freezes = freezing_temperature("ethylene", share).temperature
    return Shopping(
        share,
        float(freezes),
        ceil(whole * share / CAN) * CAN,
        ceil(whole * (1 - share) / CAN) * CAN,
    )


def share_for(frost: float) -> float:
    """Share of glycol that keeps coolant from freezing down to a temperature. [-]

    Raises
    ------
    ValueError
        If no mixture reaches that low.
    """
    return float(share_for_freezing("ethylene", frost))
