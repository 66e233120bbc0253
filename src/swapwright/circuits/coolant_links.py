"""Elements of the coolant circuit as links of a pipe network."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from swapwright.circuits.graph import FLOOR_PIPE, RUN, Circuit, Element
from swapwright.circuits.inputs import Column, Inputs
from swapwright.circuits.runs import pipes_of, stub_bore
from swapwright.physics.links import CheckValve, Link, Pipe, Pump, Resistance
from swapwright.physics.pumps import curve_from_rated

MAIN = ("hot", "ret")  # families of the radiator's own hoses
DATA_FLOW = 100 / 60e3  # m³/s: losses of parts are stated at 100 L/min
MATRIX_FLOW = 15 / 60e3  # m³/s: those of heater matrices at 15 L/min
LEAST_OPENING = 0.004  # a shut thermostat lets 0.4 % of its open area pass; from memory
DRAWN_WITH = 1030.0  # kg/m³: pump and loss data hold for coolant of about half glycol
REACH = 1.35  # of a pump's rated flow, where its curve ends


@dataclass(frozen=True)
class Setting:
    """What an operating case sets in the network."""

    speed_ratio: Column  # engine speed over rated speed
    heater_open: bool
    electric_pumps_run: bool = True
    core_share: float = 1.0  # of the radiator's tubes that liquid passes


@dataclass(frozen=True)
class Laid:
    """A circuit laid out as links."""

    nodes: tuple[str, ...]
    links: Mapping[str, Link]
    of_element: Mapping[str, tuple[str, ...]]  # links of each element, from its start to its end
    volumes: Mapping[str, Column]  # liquid in runs, by element [m³]
    thermostats: Mapping[str, Column]  # loss of the open valve, by element [Pa/(m³/s)²]


def laid_out(circuit: Circuit, inputs: Inputs, setting: Setting) -> Laid:
    """All elements as links, with thermostats shut."""
    return _Laying(circuit, inputs, setting).done()


def thermostat_link(element: Element, open_loss: Column, opening: Column) -> Resistance:
    """A thermostat at an opening: its loss goes with one over the square of its open area."""
    area = np.maximum(opening, LEAST_OPENING)
    return Resistance(element.start, element.end, quadratic=open_loss / area**2)


class _Laying:
    """Lays one circuit; used once."""

    def __init__(self, circuit: Circuit, inputs: Inputs, setting: Setting) -> None:
        self.circuit, self.inputs, self.setting = circuit, inputs, setting
        self.links: dict[str, Link] = {}
        self.of_element: dict[str, tuple[str, ...]] = {}
        self.volumes: dict[str, Column] = {}
        self.thermostats: dict[str, Column] = {}
        self.inner: list[str] = []  # nodes between the pipes of a run

    def done(self) -> Laid:
        """Lay all elements."""
        for element in self.circuit.elements.values():
            links = dict(self._links(element))
            self.links.update(links)
            self.of_element[element.id] = tuple(links)
        nodes = (*self.circuit.chambers, *self.inner)
        return Laid(nodes, self.links, self.of_element, self.volumes, self.thermostats)

    def _links(self, element: Element) -> Iterator[tuple[str, Link]]:
        if element.kind == RUN:
            yield from self._run(element)
        else:
            yield element.id, LAWS[element.kind](self, element)

    def _run(self, element: Element) -> Iterator[tuple[str, Link]]:
        pipes = pipes_of(element, self.inputs)
        between = [f"{element.id}/{number + 1}+" for number in range(len(pipes) - 1)]
        self.inner += between
        ends = [element.start, *between, element.end]
        self.volumes[element.id] = np.sum([pipe.volume for pipe in pipes], axis=0)
        for number, pipe in enumerate(pipes):
            yield (
                pipe.id,
                Pipe(
                    ends[number],
                    ends[number + 1],
                    pipe.length,
                    pipe.bore,
                    pipe.roughness,
                    pipe.loss,
                ),
            )

    # -- one law a kind --------------------------------------------------------

    def pump(self, element: Element) -> Link:
        """The engine's own pump, at the case's speed."""
        take = self.inputs.take
        engine = element.subject
        shut_off = take("coolant_pump_shut_off_pressure", engine)
        rated = self._rated_flow(engine)
        rise = self.inputs.typical("pump_rated_share", engine) * shut_off
        curve = curve_from_rated(shut_off, rated, rise, REACH * rated, DRAWN_WITH)
        return Pump(
            element.start, element.end, curve, at_rest=shut_off / rated**2,
            speed_ratio=self.setting.speed_ratio,
        )  # fmt: skip

    def _rated_flow(self, engine: str) -> Column:
        """All that the pump moves at rated speed: through the radiator and beside it."""
        radiator = self.inputs.take("coolant_pump_flow", engine)
        return radiator * (1 + self.inputs.typical("pump_side_share", engine))

    def jacket(self, element: Element) -> Link:
        """Block and head."""
        drop = self.inputs.take("jacket_pressure_drop", element.subject)
        quadratic = drop / self._rated_flow(element.subject) ** 2
        return Resistance(element.start, element.end, quadratic)

    def thermostat(self, element: Element) -> Link:
        """Shut; its opening is set while the heat is balanced."""
        drop = self.inputs.take("thermostat_pressure_drop", element.subject)
        self.thermostats[element.id] = drop / DATA_FLOW**2
        return thermostat_link(element, self.thermostats[element.id], self.inputs.constant(0.0))

    def bypass(self, element: Element) -> Link:
        """An own hose or passage of the engine past radiator and heater."""
        bore = self.inputs.take("bypass_bore", element.subject)
        return self._side_pipe(element, bore, self.inputs.typical("bypass_length", element.subject))

    def throttle_body(self, element: Element) -> Link:
        """The engine's own small loop through the throttle body."""
        bore = self.inputs.typical("side_loop_bore", element.subject)
        return self._side_pipe(element, bore, self.inputs.constant(0.8))

    def oil_exchanger(self, element: Element) -> Link:
        """A side loop of the engine, or a piece in a run."""
        if element.join:
            return self.piece(element)
        bore = self.inputs.typical("exchanger_loop_bore", element.subject)
        return self._side_pipe(element, bore, self.inputs.constant(0.6))

    def _side_pipe(self, element: Element, bore: Column, length: Column) -> Link:
        roughness = self.inputs.typical("hose_roughness", element.subject)
        loss = self.inputs.constant(SIDE_LOSS)
        self.volumes[element.id] = np.pi / 4 * bore**2 * length
        return Pipe(element.start, element.end, length, bore, roughness, loss)

    def floor_pipe(self, element: Element) -> Link:
        """A long pipe of the car between a far end and the thing it leads to."""
        port = self.inputs.assembly.ports[element.subject]
        length = self.inputs.take("floor_pipe_length", port.sheet)
        bore = floor_bore(element, self.inputs)
        roughness = self.inputs.typical("pipe_roughness", port.sheet)
        self.volumes[element.id] = np.pi / 4 * bore**2 * length
        loss = self.inputs.constant(FLOOR_LOSS)
        return Pipe(element.start, element.end, length, bore, roughness, loss)

    def core(self, element: Element) -> Link:
        """The radiator."""
        car = element.subject.partition(".")[0]
        drop = self.inputs.take("radiator_pressure_drop", element.subject, car)
        quadratic = drop / (DATA_FLOW * self.setting.core_share) ** 2
        return Resistance(element.start, element.end, quadratic)

    def matrix(self, element: Element) -> Link:
        """The heater with its tap."""
        car = element.subject.partition(".")[0]
        drop = self.inputs.take("heater_pressure_drop", element.subject, car)
        tap = self.inputs.word("heater_tap", self.inputs.assembly.build.id)
        shut = tap == "shuts the loop" and not self.setting.heater_open
        return Resistance(element.start, element.end, drop / MATRIX_FLOW**2, shut=shut)

    def piece(self, element: Element) -> Link:
        """Anything in a run that only loses pressure."""
        drop = self.inputs.take("piece_pressure_drop", element.subject)
        return Resistance(element.start, element.end, drop / DATA_FLOW**2)

    def check_valve(self, element: Element) -> Link:
        """A piece that lets flow pass one way."""
        drop = self.inputs.take("piece_pressure_drop", element.subject)
        return CheckValve(element.start, element.end, drop / DATA_FLOW**2)

    def electric_pump(self, element: Element) -> Link:
        """A small pump in a run, at its own speed or at rest."""
        flow = self.inputs.take("piece_pump_flow", element.subject)
        pressure = self.inputs.take("piece_pump_pressure", element.subject)
        # a parabola from no flow to no pressure; its middle is a point that can be stated
        curve = curve_from_rated(pressure, flow / 2, 0.75 * pressure, flow, DRAWN_WITH)
        runs = 1.0 if self.setting.electric_pumps_run else 0.0
        return Pump(
            element.start, element.end, curve, at_rest=pressure / flow**2,
            speed_ratio=self.inputs.constant(runs),
        )  # fmt: skip


def floor_bore(pipe: Element, inputs: Inputs) -> Column:
    """Bore of a pipe under the floor. [m]

    As told for the radiator's pipes; else as wide as the stub at the far end.
    """
    port = inputs.assembly.ports[pipe.subject]
    told = port.family is not None and port.family.id in MAIN
    stub = stub_bore(port.id, port.sheet, inputs)
    said = inputs.said("floor_pipe_bore", port.sheet)
    if stub is None or (told and said is not None):
        return inputs.take("floor_pipe_bore", port.sheet)
    return stub


FLOOR_LOSS = 2.0  # ends and bends of a pipe under the floor, on its bore; from memory
SIDE_LOSS = 4.0  # entrance, exit and bends of a side loop, on its bore; from memory
LAWS = {
    "pump": _Laying.pump,
    "jacket": _Laying.jacket,
    "thermostat": _Laying.thermostat,
    "bypass": _Laying.bypass,
    "throttle body": _Laying.throttle_body,
    "oil exchanger": _Laying.oil_exchanger,
    FLOOR_PIPE: _Laying.floor_pipe,
    "core": _Laying.core,
    "matrix": _Laying.matrix,
    "tap": _Laying.piece,
    "restrictor": _Laying.piece,
    "check valve": _Laying.check_valve,
    "electric pump": _Laying.electric_pump,
}
