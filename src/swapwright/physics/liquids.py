"""Water with ethylene or propylene glycol: flow and heat properties, freezing.

Shares are of volume, measured apart at 20 °C, from 0 to 0.7. Properties reach from -40 to 130 °C
and come from a table that ships (``tables/liquids.csv``, which names its source); rows beyond the
source's own range are continued, and results there are marked as extrapolated.
"""

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, between

Bools = NDArray[np.bool_]
Glycol = Literal["ethylene", "propylene"]
Outside = Literal["raise", "nan"]

ZERO_CELSIUS = 273.15  # K
LARGEST_SHARE = 0.7
COLDEST, HOTTEST = -40 + ZERO_CELSIUS, 130 + ZERO_CELSIUS  # K, of the table
# Where the source of mixtures ends; that of water ends at freezing and HOTTEST.
SOURCE_COLDEST, SOURCE_HOTTEST = -35 + ZERO_CELSIUS, 100 + ZERO_CELSIUS  # K
SOURCE_LARGEST_SHARE = 0.6
_HAIR = 1e-9  # 70 * 0.01 is above 0.7

# Grid between whose points results are straight; against the source itself a viscosity is 0.6 %
# off at most, anything else 0.03 %.
_SHARE_STEP, _SHARE_PARTS = 0.0125, 4
_KELVIN_STEP, _KELVIN_PARTS = 1.0, 5
_SHARE_BREAKS = (2, 12)  # nodes of the table at shares 0.1 and 0.6
_KELVIN_BREAKS = (28,)  # and at 100 °C


@dataclass(frozen=True)
class LiquidState:
    """Properties of a liquid at given temperatures; arrays of one shape."""

    density: Floats  # kg/m³
    viscosity: Floats  # dynamic, Pa·s
    heat_capacity: Floats  # at constant pressure, J/(kg·K)
    conductivity: Floats  # of heat, W/(m·K)
    extrapolated: Bools  # beyond the source's own range
    frozen: Bools  # below the freezing point: values are of a liquid that failed to freeze

    def taken(self, samples: NDArray[np.intp]) -> "LiquidState":
        """The same for some samples."""
        return LiquidState(
            self.density[samples], self.viscosity[samples], self.heat_capacity[samples],
            self.conductivity[samples], self.extrapolated[samples], self.frozen[samples],
        )  # fmt: skip


@dataclass(frozen=True)
class FreezingPoint:
    """Where ice first forms; arrays of one shape."""

    temperature: Floats  # K
    extrapolated: Bools  # the source ends at share 0.6: its value there is repeated


class _Table(NamedTuple):
    """Properties on the fine grid, flattened: share after share, temperatures inside."""

    density: Floats
    ln_viscosity: Floats
    heat_capacity: Floats
    conductivity: Floats
    length: int  # of one share


class _Place(NamedTuple):
    """Where temperatures fall on the fine grid."""

    corner: NDArray[np.intp]
    part: Floats  # of the way to the next warmer grid point


class Mixture:
    """One glycol in water at a fixed share per sample, ready for many temperatures.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,) or scalar
        Volume of glycol over the volumes of glycol and water at 20 °C, 0 to 0.7. [-]

    Raises
    ------
    ValueError
        If a share is not from 0 to 0.7, or the glycol is not one of the two.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals 2001, secondary coolants, and the IAPWS formulations for
       water, both through CoolProp; ``tables/liquids.csv`` names its release and says how rows
       beyond it came about.
    """

    def __init__(self, glycol: Glycol, share: ArrayLike) -> None:
        self.share = checked_share(share)
        self.freezing = freezing_temperature(glycol, self.share).temperature  # K
        self._table = _fine_table(glycol)
        steps = self.share / _SHARE_STEP
        row = np.minimum(steps.astype(np.intp), round(LARGEST_SHARE / _SHARE_STEP) - 1)
        self._row = row * self._table.length
        self._part = np.asarray(steps - row)
        source_ends = np.where(self.share > 0, SOURCE_HOTTEST, HOTTEST)
        self._hottest = np.where(self.share > SOURCE_LARGEST_SHARE + _HAIR, 0.0, source_ends)
        self._coldest = np.maximum(self.freezing, SOURCE_COLDEST)

    def at(self, temperature: ArrayLike, *, outside: Outside = "raise") -> LiquidState:
        """All properties at once.

        Parameters
        ----------
        temperature : (S,), (L, S) or scalar
            233.15 to 403.15 K. [K]
        outside : "raise" or "nan", default "raise"
            What to do with a temperature beyond that, or that is not a number. A solver that must
            not lose a batch to one sample takes NaN, and calls that sample unsolved.

        Returns
        -------
        state : LiquidState
            Arrays of the shape that share and temperature have together.

        Raises
        ------
        ValueError
            If a temperature is outside and ``outside`` is "raise".
        """
        kelvin, lost = _checked_temperature(temperature, outside)
        place, table = self._place(kelvin), self._table
        values = (
            self._read(table.density, place),
            np.exp(self._read(table.ln_viscosity, place)),
            self._read(table.heat_capacity, place),
            self._read(table.conductivity, place),
        )
        frozen = kelvin < self.freezing
        extrapolated = (kelvin < self._coldest) | (kelvin > self._hottest)
        if lost is not None:
            extrapolated |= lost
        density, viscosity, heat, conduction = (_with_lost(each, lost) for each in values)
        return LiquidState(density, viscosity, heat, conduction, extrapolated, frozen)

    def density(self, temperature: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Density alone [kg/m³]; everything else as in `at`."""
        kelvin, lost = _checked_temperature(temperature, outside)
        return _with_lost(self._read(self._table.density, self._place(kelvin)), lost)

    def viscosity(self, temperature: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Dynamic viscosity alone [Pa·s]; everything else as in `at`."""
        kelvin, lost = _checked_temperature(temperature, outside)
        return _with_lost(np.exp(self._read(self._table.ln_viscosity, self._place(kelvin))), lost)

    def heat_capacity(self, temperature: ArrayLike, *, outside: Outside = "raise") -> Floats:
        """Heat capacity alone [J/(kg·K)]; everything else as in `at`."""
        kelvin, lost = _checked_temperature(temperature, outside)
        return _with_lost(self._read(self._table.heat_capacity, self._place(kelvin)), lost)

    def _place(self, kelvin: Floats) -> _Place:
        steps = (kelvin - COLDEST) / _KELVIN_STEP
        column = np.minimum(steps.astype(np.intp), self._table.length - 2)
        return _Place(np.asarray(column + self._row), np.asarray(steps - column))

    def _read(self, values: Floats, place: _Place) -> Floats:
        """Straight along temperature on both neighbouring shares, then between them."""
        lean = values.take(place.corner)
        lean += place.part * (values.take(place.corner + 1) - lean)
        beyond = place.corner + self._table.length
        rich = values.take(beyond)
        rich += place.part * (values.take(beyond + 1) - rich)
        return np.asarray(lean + self._part * (rich - lean))


def liquid(
    glycol: Glycol, share: ArrayLike, temperature: ArrayLike, *, outside: Outside = "raise"
) -> LiquidState:
    """All properties of a mixture; a `Mixture` that is kept is quicker for many temperatures.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,), (L, S) or scalar
        Volume share of glycol at 20 °C, 0 to 0.7. [-]
    temperature : (S,), (L, S) or scalar
        233.15 to 403.15 K. [K]
    outside : "raise" or "nan", default "raise"
        See `Mixture.at`.

    Returns
    -------
    state : LiquidState

    Raises
    ------
    ValueError
        If a share is outside its range, or a temperature is and ``outside`` is "raise".

    References
    ----------
    .. [1] See `Mixture`.
    """
    return Mixture(glycol, share).at(temperature, outside=outside)


def thermal_growth(glycol: Glycol, share: ArrayLike, cold: ArrayLike, hot: ArrayLike) -> Floats:
    """Growth in volume from one temperature to another, over the volume at the first.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,) or scalar
        Volume share of glycol at 20 °C, 0 to 0.7. [-]
    cold, hot : (S,) or scalar
        233.15 to 403.15 K, in either order. [K]

    Returns
    -------
    growth : (S,) or scalar
        ``ρ(cold)/ρ(hot) - 1``, negative for a liquid that cools down. [-]

    Raises
    ------
    ValueError
        If a share or a temperature is outside its range.

    References
    ----------
    .. [1] Conservation of mass; densities see `Mixture`.
    """
    mixture = Mixture(glycol, share)
    return np.asarray(mixture.density(cold) / mixture.density(hot) - 1)


def freezing_temperature(glycol: Glycol, share: ArrayLike) -> FreezingPoint:
    """Temperature at which the first ice forms.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    share : (S,) or scalar
        Volume share of glycol at 20 °C, 0 to 0.7. [-]

    Returns
    -------
    freezing : FreezingPoint
        Above a share of 0.6 sources only say "below -50 °C" up to 0.7; the value at 0.6 is
        repeated there and marked. [K]

    Raises
    ------
    ValueError
        If a share is not from 0 to 0.7.

    References
    ----------
    .. [1] ASHRAE Handbook Fundamentals 2001 through CoolProp (``tables/freezing.csv``).
    """
    share = checked_share(share)
    shares, points = _freezing_curve(glycol)
    return FreezingPoint(np.interp(share, shares, points), np.asarray(share > shares[-1] + _HAIR))


def share_for_freezing(glycol: Glycol, wanted: ArrayLike) -> Floats:
    """Least share of glycol that has no ice at a wanted temperature.

    Parameters
    ----------
    glycol : "ethylene" or "propylene"
        The one in the water.
    wanted : (S,) or scalar
        Down to the freezing point at share 0.6, which is -52 or -51 °C. [K]

    Returns
    -------
    share : (S,) or scalar
        Volume share at 20 °C; zero from 0 °C up, where water will do. [-]

    Raises
    ------
    ValueError
        If a wanted temperature is colder than the source reaches, or not finite.

    References
    ----------
    .. [1] Inverse of `freezing_temperature`.
    """
    shares, points = _freezing_curve(glycol)
    kelvin = between("wanted", wanted, float(points[-1]), np.finfo(float).max, "K")
    return np.asarray(np.interp(kelvin, points[::-1], shares[::-1]))


def checked_share(share: ArrayLike) -> Floats:
    """Shares as an array, refused if any is not from 0 to 0.7."""
    return between("share", share, 0.0, LARGEST_SHARE + _HAIR, "by volume")


def _checked_temperature(temperature: ArrayLike, outside: Outside) -> tuple[Floats, Bools | None]:
    """Temperatures to compute with, and which of them are only there to fill a hole."""
    if outside == "raise":
        return between("temperature", temperature, COLDEST, HOTTEST + _HAIR, "K"), None
    kelvin = np.asarray(temperature, dtype=float)
    lost = ~((kelvin >= COLDEST) & (kelvin <= HOTTEST + _HAIR))
    return np.where(lost, HOTTEST, kelvin), np.asarray(lost)


def _with_lost(values: Floats, lost: Bools | None) -> Floats:
    return values if lost is None else np.where(lost, np.nan, values)


@cache
def _fine_table(glycol: Glycol) -> _Table:
    """The shipped table on the fine grid, ln of the viscosity in place of the viscosity."""
    rows = _rows("liquids.csv", glycol)
    shares = len({row["share"] for row in rows})

    def column(name: str) -> Floats:
        return np.array([float(row[name]) for row in rows]).reshape(shares, -1)

    def fine(nodes: Floats) -> Floats:
        shares = _refined(nodes, _SHARE_PARTS, _SHARE_BREAKS)
        return np.ascontiguousarray(_refined(shares.T, _KELVIN_PARTS, _KELVIN_BREAKS).T)

    density = fine(column("density_kg_m3"))
    return _Table(
        density.ravel(),
        fine(np.log(column("viscosity_mPa_s") * 1e-3)).ravel(),
        fine(column("heat_capacity_J_kgK")).ravel(),
        fine(column("conductivity_W_mK")).ravel(),
        density.shape[1],
    )


@cache
def _freezing_curve(glycol: Glycol) -> tuple[Floats, Floats]:
    """Shares and freezing points [K] on the fine grid, falling."""
    rows = _rows("freezing.csv", glycol)
    points = np.array([float(row["freezing_C"]) for row in rows]) + ZERO_CELSIUS
    fine = _refined(points, _SHARE_PARTS)
    return np.asarray(np.arange(len(fine)) * _SHARE_STEP, dtype=float), fine


def _refined(nodes: Floats, parts: int, breaks: Sequence[int] = ()) -> Floats:
    """More points along the first axis, on cubics whose slopes come from the neighbours.

    At a break the source ends and a continuation begins: slopes do not reach across.
    """
    ends = [0, *breaks, len(nodes) - 1]
    pieces = [_smooth(nodes[i : j + 1], parts) for i, j in pairwise(ends)]
    return np.concatenate([*pieces, nodes[-1:]])


def _smooth(nodes: Floats, parts: int) -> Floats:
    """Cubics between neighbours, without the last node."""
    slope = np.gradient(nodes, axis=0, edge_order=2)
    u = (np.arange(parts) / parts).reshape(-1, *([1] * nodes.ndim))
    rise = nodes[1:] - nodes[:-1]
    bend, sway = slope[:-1] - rise, slope[1:] - rise
    inside = nodes[:-1] + u * rise + u * (1 - u) * ((1 - u) * bend - u * sway)
    return np.asarray(np.moveaxis(inside, 0, 1).reshape(-1, *nodes.shape[1:]))


def _rows(name: str, glycol: Glycol) -> Sequence[Mapping[str, str]]:
    path = files("swapwright.physics") / "tables" / name
    lines = path.read_text(encoding="utf-8").splitlines()
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    rows = [row for row in table if row["glycol"] == glycol]
    if not rows:
        raise ValueError(f'glycol must be "ethylene" or "propylene", got "{glycol}"')
    return rows
