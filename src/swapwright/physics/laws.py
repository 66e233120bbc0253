"""The links of a network as rows of arrays, and their drops and slopes over all samples."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.friction import (
    PipeConstants,
    first_root,
    friction_extrapolated,
    pipe_constants,
    pipe_law,
    roughness_of,
)
from swapwright.physics.links import CheckValve, Link, Pipe, Pump, Resistance
from swapwright.physics.pumps import PumpCurve

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Samples = slice | NDArray[np.intp]

SHUT = 1e14  # Pa/(m³/s): 1 bar drives 1 mm³/s through a shut link
LINEAR_BELOW = 1e-4  # Pa; a quadratic resistance is linear where its drop is smaller
FIRST_SPEED = 1.0  # m/s; the slope of a pipe's first pass goes through the drop there
FIRST_DROP = 1e4  # Pa; likewise for a resistance
BLOCK = 40_000  # links times samples
STEEPNESS_FLOOR = 1e-3  # of shut-off over last flow: least slope of a pump in the iteration


class Valves(NamedTuple):
    """Resistances and check valves, one a row."""

    linear: Floats
    quadratic: Floats
    least: Floats  # quadratic resistance times flow where it turns linear [Pa·s/m³]
    one_way: Flags  # (V, 1)


class RunningPump(NamedTuple):
    """One pump; arrays of one entry, or one a sample."""

    curve: PumpCurve
    running: Flags
    speed: Floats
    thickness: Floats  # density over that of the curve
    rest: Valves  # while not running, one row


@dataclass(frozen=True)
class Laws:
    """All links of one kind beside each other: pipes, then valves, then pumps."""

    pipes: PipeConstants
    first_flow: Floats  # of pipes, an ordinary one
    valves: Valves
    pumps: tuple[RunningPump, ...]

    @property
    def pipe_rows(self) -> slice:
        """Rows of the pipes."""
        return slice(0, len(self.pipes.laminar))

    @property
    def valve_rows(self) -> slice:
        """Rows of resistances and check valves."""
        first = len(self.pipes.laminar)
        return slice(first, first + len(self.valves.linear))

    def take(self, samples: Samples) -> "Laws":
        """The same links for some of the samples."""
        return Laws(
            PipeConstants(*(take(part, samples) for part in self.pipes)),
            take(self.first_flow, samples),
            _some_valves(self.valves, samples),
            tuple(_some_pump(pump, samples) for pump in self.pumps),
        )

    def at(self, flow: Floats, root: Floats, steps: int) -> tuple[Floats, Floats]:
        """Drop and slope of every link; ``root`` as for `pipe_law`."""
        drop, slope = np.empty_like(flow), np.empty_like(flow)
        # some pipes at a time, so that what their law needs stays in the processor's cache
        block = max(1, BLOCK // flow.shape[1])
        for first in range(0, self.pipe_rows.stop, block):
            rows = slice(first, min(first + block, self.pipe_rows.stop))
            pipes = PipeConstants(*(part if len(part) == 1 else part[rows] for part in self.pipes))
            drop[rows], slope[rows] = pipe_law(flow[rows], pipes, root[rows], steps)
        rows = self.valve_rows
        if rows.stop > rows.start:
            drop[rows], slope[rows] = _valve_law(flow[rows], self.valves)
        for row, pump in enumerate(self.pumps, rows.stop):
            drop[row], slope[row] = _pump_law(flow[row], pump)
        return drop, slope

    def at_first(self, root: Floats) -> tuple[Floats, Floats]:
        """Drop of every link at no flow, and a slope for a first pass from there."""
        shape = self.valve_rows.stop + len(self.pumps), root.shape[1]
        drop, slope = np.zeros(shape), np.empty(shape)
        if self.pipe_rows.stop:
            flow = np.broadcast_to(self.first_flow, root.shape)
            reached, _slope = pipe_law(flow, self.pipes, root, steps=3)
            slope[self.pipe_rows] = reached / flow
        slope[self.valve_rows] = _first_slope_of_valves(self.valves)
        for row, pump in enumerate(self.pumps, self.valve_rows.stop):
            drop[row], slope[row] = _first_of_pump(pump)
        return drop, slope

    def root_at(self, flow: Floats) -> Floats:
        """Root of `pipe_law` that belongs to flows of all links."""
        root = first_root(flow[self.pipe_rows].shape)
        if self.pipe_rows.stop:
            pipe_law(flow[self.pipe_rows], self.pipes, root, steps=3)
        return root

    def known(self, samples: int) -> Flags:
        """Samples in which every figure is a finite number."""
        total = np.zeros(samples)
        parts = [*self.pipes, self.first_flow, self.valves.linear, self.valves.quadratic]
        for pump in self.pumps:
            fall, _slope = pump.curve.fall(pump.curve.last_flow)
            parts += [pump.rest.linear, pump.rest.quadratic, pump.speed[None, :]]
            parts += [np.atleast_2d(pump.thickness), np.atleast_2d(pump.curve.shut_off - fall)]
        for part in parts:
            total = total + part.sum(axis=0)
        return np.isfinite(total)

    def closed(self, flow: Floats) -> Flags:
        """Links that are shut, and check valves that flow presses shut, over all rows."""
        marks = np.zeros(flow.shape, dtype=bool)
        marks[self.pipe_rows] = self.pipes.laminar == SHUT
        back = self.valves.one_way & (flow[self.valve_rows] < 0)
        marks[self.valve_rows] = (self.valves.linear == SHUT) | back
        for row, pump in enumerate(self.pumps, self.valve_rows.stop):
            marks[row] = ~pump.running & (pump.rest.linear[0] == SHUT)
        return marks

    def friction_extrapolated(self, flow: Floats) -> Flags:
        """Pipes beyond the chart of friction factors, over all rows."""
        marks = np.zeros(flow.shape, dtype=bool)
        reynolds = np.abs(flow[self.pipe_rows]) * self.pipes.reynolds
        marks[self.pipe_rows] = friction_extrapolated(reynolds, roughness_of(self.pipes))
        return marks

    def pump_extrapolated(self, flow: Floats) -> Flags:
        """Running pumps beyond the ends of their curves, over all rows."""
        marks = np.zeros(flow.shape, dtype=bool)
        for row, pump in enumerate(self.pumps, self.valve_rows.stop):
            beyond = (flow[row] < 0) | (flow[row] > pump.curve.last_flow * pump.speed)
            marks[row] = pump.running & beyond
        return marks


def law_order(links: Sequence[Link]) -> list[int]:
    """Positions of links in the order of the rows of `Laws`."""
    kinds = (Pipe, Resistance | CheckValve, Pump)
    return [at for kind in kinds for at, link in enumerate(links) if isinstance(link, kind)]


def pack(
    links: Sequence[Link], density: Floats, viscosity: Floats, samples: Samples, count: int
) -> Laws:
    """Laws of links that stand in the order of `law_order`, for ``count`` chosen samples.

    Density and viscosity have one row or one a link, one column or one a sample.
    """
    pipes = [link for link in links if isinstance(link, Pipe)]
    valves = [link for link in links if isinstance(link, Resistance | CheckValve)]
    pumps = [link for link in links if isinstance(link, Pump)]
    density, viscosity = take(density, samples), take(viscosity, samples)
    constants, first_flow = _pack_pipes(
        pipes, density[: len(pipes)], viscosity[: len(pipes)], samples, count
    )
    thick = np.broadcast_to(density, (len(links), density.shape[1]))[len(links) - len(pumps) :]
    return Laws(
        constants, first_flow, _pack_valves(valves, samples, count),
        tuple(_pack_pump(pump, samples, row) for pump, row in zip(pumps, thick, strict=True)),
    )  # fmt: skip


def _pack_pipes(
    pipes: Sequence[Pipe], density: Floats, viscosity: Floats, samples: Samples, count: int
) -> tuple[PipeConstants, Floats]:
    """Constants of all pipes; a shut one is a laminar pipe of the resistance of a shut link."""
    if not pipes:
        none = np.empty((0, 1))
        return PipeConstants(none, none, none, none, none), none

    def rows(value: Callable[[Pipe], ArrayLike]) -> Floats:
        return stack([value(pipe) for pipe in pipes], samples, count)

    bore = rows(lambda pipe: pipe.bore)
    constants = pipe_constants(
        rows(lambda pipe: pipe.length), bore, rows(lambda pipe: pipe.roughness),
        density, viscosity, rows(lambda pipe: pipe.loss_coefficient),
    )  # fmt: skip
    shut = rows(lambda pipe: pipe.shut) > 0
    if shut.any():
        constants = PipeConstants(
            np.where(shut, SHUT, constants.laminar), np.where(shut, 0.0, constants.turbulent),
            np.where(shut, 0.0, constants.local), np.where(shut, 0.0, constants.reynolds),
            constants.roughness,
        )  # fmt: skip
    return constants, FIRST_SPEED * np.pi / 4 * bore**2


def _pack_valves(valves: Sequence[Resistance | CheckValve], samples: Samples, count: int) -> Valves:
    """Resistances and check valves as rows."""
    return _make_valves(
        stack([valve.linear for valve in valves], samples, count),
        stack([valve.quadratic for valve in valves], samples, count),
        stack([valve.shut for valve in valves], samples, count) > 0,
        np.array([isinstance(valve, CheckValve) for valve in valves], dtype=bool)[:, None],
    )


def _pack_pump(pump: Pump, samples: Samples, density: Floats) -> RunningPump:
    """One pump; at rest and shut it is a valve."""
    speed, at_rest, closed = (
        take(np.atleast_1d(np.asarray(value, dtype=float)), samples)
        for value in (pump.speed_ratio, pump.at_rest, pump.shut)
    )
    shut = closed > 0
    running = (speed != 0) & ~shut
    rest = _make_valves(
        np.zeros((1, 1)), at_rest[None, :], shut[None, :], np.zeros((1, 1), dtype=bool)
    )
    curve = pump.curve.take(samples)
    return RunningPump(
        curve, running, np.where(running, speed, 1.0), density / pump.curve.density, rest
    )


def _make_valves(linear: Floats, quadratic: Floats, shut: Flags, one_way: Flags) -> Valves:
    linear, quadratic = np.where(shut, SHUT, linear), np.where(shut, 0.0, quadratic)
    return Valves(linear, quadratic, np.sqrt(LINEAR_BELOW * quadratic), one_way)


def _valve_law(flow: Floats, valves: Valves) -> tuple[Floats, Floats]:
    """``(linear + quadratic |Q|) Q``, linear near zero; shut to backward flow if one-way."""
    bent = valves.quadratic * np.abs(flow)
    curved = bent > valves.least
    bent = np.maximum(bent, valves.least)
    resistance = valves.linear + bent
    slope = resistance + bent * curved
    if valves.one_way.any():
        back = valves.one_way & (flow < 0)
        resistance, slope = np.where(back, SHUT, resistance), np.where(back, SHUT, slope)
    return resistance * flow, slope


def _first_slope_of_valves(valves: Valves) -> Floats:
    return np.asarray(valves.linear + valves.least * np.sqrt(FIRST_DROP / LINEAR_BELOW))


def _pump_law(flow: Floats, pump: RunningPump) -> tuple[Floats, Floats]:
    """Drop (minus the rise) and slope of one pump, running or not."""
    scaled = flow / pump.speed
    fall, slope = pump.curve.fall(np.abs(scaled))
    drop = (np.sign(scaled) * fall - pump.curve.shut_off) * pump.speed**2 * pump.thickness
    # a parabola has no slope at no flow; the floor is far below the slope of anything the
    # pump could work on, so it costs no pass and does not move the answer
    floor = STEEPNESS_FLOOR * pump.curve.shut_off / pump.curve.last_flow
    slope = np.maximum(slope, floor) * pump.speed * pump.thickness
    if pump.running.all():
        return drop, slope
    rest_drop, rest_slope = _valve_law(flow[None, :], pump.rest)
    return (
        np.where(pump.running, drop, rest_drop[0]),
        np.where(pump.running, slope, rest_slope[0]),
    )


def _first_of_pump(pump: RunningPump) -> tuple[Floats, Floats]:
    """Drop at no flow, and the slope of the chord to the end of the curve."""
    fall, _slope = pump.curve.fall(pump.curve.last_flow)
    drop = -pump.curve.shut_off * pump.speed**2 * pump.thickness
    slope = fall / pump.curve.last_flow * pump.speed * pump.thickness
    rest = _first_slope_of_valves(pump.rest)[0]
    return np.where(pump.running, drop, 0.0), np.where(pump.running, slope, rest)


def stack(values: Sequence[ArrayLike], samples: Samples, count: int) -> Floats:
    """Figures of several links as rows, one column if none differs from sample to sample."""
    arrays = [np.asarray(value, dtype=float) for value in values]
    if all(array.size == 1 for array in arrays):
        return np.array([array.reshape(()) for array in arrays], dtype=float).reshape(-1, 1)
    rows = np.empty((len(arrays), count))
    for row, array in zip(rows, arrays, strict=True):
        row[...] = array if array.size == 1 else array[samples]
    return rows


def take(rows: Floats, samples: Samples) -> Floats:
    """Some samples of rows, or of one row; a single column stands for all of them."""
    if rows.shape[-1] == 1:
        return rows
    if isinstance(samples, slice):
        return rows[..., samples]
    return np.take(rows, samples, axis=-1)  # other than an index, it keeps rows end to end


def _some_valves(valves: Valves, samples: Samples) -> Valves:
    linear, quadratic, least, one_way = valves
    return Valves(take(linear, samples), take(quadratic, samples), take(least, samples), one_way)


def _some_pump(pump: RunningPump, samples: Samples) -> RunningPump:
    return RunningPump(
        pump.curve.take(samples),
        pump.running if pump.running.size == 1 else pump.running[samples],
        take(pump.speed, samples),
        take(pump.thickness, samples),
        _some_valves(pump.rest, samples),
    )
