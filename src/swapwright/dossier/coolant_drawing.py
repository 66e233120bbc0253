"""The coolant circuit of one case as parts and lines to draw."""

from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.graph import RUN, Circuit, Element
from swapwright.circuits.study import CaseResult
from swapwright.dossier.circuit import DrawnCircuit, DrawnLine, DrawnPart, LineState, Role
from swapwright.model.assembly import Assembly
from swapwright.model.words import Progress
from swapwright.quantity import System

# Elements that are things of their own; what they lie between is where other lines begin.
THINGS = {
    "pump": Role.PUMP,
    "jacket": Role.HEAD,
    "thermostat": Role.THERMOSTAT,
    "core": Role.RADIATOR,
    "matrix": Role.HEATER,
    "oil exchanger": Role.EXCHANGER,
    "throttle body": Role.EXCHANGER,
    "tap": Role.TAP,
    "electric pump": Role.ELECTRIC_PUMP,
}
# At which of its two chambers a thing stands for both; the rest is joined to it by a line.
WHOLE = ("core", "matrix")
ANCHORS = {
    "suction": "pump",
    "delivery": "pump",
    "head": "jacket",
    "outlet": "thermostat",
    "inlet": "thermostat",
}
NO_FLOW = 1e-8  # m³/s, under 1 mL/min: what a shut tap lets pass in the computation
STATES = {
    Progress.PLANNED: LineState.PLANNED,
    Progress.IN_HAND: LineState.PLANNED,
    Progress.FITTED: LineState.FITTED,
    Progress.PROVED: LineState.PROVED,
}


def drawn_coolant(
    assembly: Assembly, circuit: Circuit, result: CaseResult | None, units: System
) -> DrawnCircuit:
    """Parts and lines of the coolant circuit, with the middle values of one case.

    Parameters
    ----------
    assembly : Assembly
        Of the build.
    circuit : Circuit
        Its coolant circuit.
    result : CaseResult or None
        The case to write beside the lines; None: nothing was computed.
    units : "metric" or "us"
        The builder's units.
    """
    return _Drawn(assembly, circuit, result).done(units)


class _Drawn:
    """Makes one drawing; used once."""

    def __init__(self, assembly: Assembly, circuit: Circuit, result: CaseResult | None) -> None:
        self.assembly, self.circuit, self.result = assembly, circuit, result
        self.parts: dict[str, DrawnPart] = {}
        self.anchor: dict[str, str] = {}  # part by chamber

    def done(self, units: System) -> DrawnCircuit:
        """All of it."""
        self._things()
        self._places()
        lines = tuple(self._lines())
        title = self.assembly.build.label or self.assembly.build.id
        case = self.result.state.case.label if self.result is not None else ""
        used = {end for line in lines for end in (line.start, line.end)}
        parts = tuple(part for name, part in self.parts.items() if name in used)
        return DrawnCircuit(f"Coolant: {title}", parts, lines, units, case)

    # -- parts ---------------------------------------------------------------

    def _things(self) -> None:
        for element in self.circuit.elements.values():
            role = THINGS.get(element.kind)
            if role is None:
                continue
            label = element.label
            if element.kind in WHOLE:
                label = self.assembly.label(element.subject)
                self.anchor[element.start] = self.anchor[element.end] = element.id
            self.parts[element.id] = DrawnPart(element.id, label, role, self._notes(element))
        for name, chamber in self.circuit.chambers.items():
            kind = ANCHORS.get(chamber.name)
            for each in self.circuit.of_kind(kind) if kind else ():
                if each.subject == chamber.unit:
                    self.anchor.setdefault(name, each.id)

    def _places(self) -> None:
        """Tanks, tees and ends of long pipes are parts as well."""
        for name, chamber in self.circuit.chambers.items():
            if name in self.anchor:
                continue
            role = Role.TANK if chamber.name == "tank" else Role.TEE
            label = self.assembly.label(chamber.unit) if role is Role.TANK else chamber.label
            self.parts[name] = DrawnPart(name, label, role)
            self.anchor[name] = name

    def _notes(self, element: Element) -> tuple[str, ...]:
        if element.kind != "thermostat" or self.result is None:
            return ()
        opening = self.result.state.openings.get(element.id)
        return () if opening is None else (f"{100 * _middle(opening):.0f} % open",)

    # -- lines ---------------------------------------------------------------

    def _lines(self) -> Iterator[DrawnLine]:
        for element in self.circuit.elements.values():
            if element.kind in WHOLE or element.kind == "pump":
                continue
            start, end = self.anchor[element.start], self.anchor[element.end]
            if element.kind in ("throttle body", "oil exchanger") and not element.join:
                yield self._line(element, f"{element.id}>", start, element.id)
                yield self._line(element, element.id, element.id, end)
            elif start != end:
                yield self._line(element, element.id, start, end)

    def _line(self, element: Element, id: str, start: str, end: str) -> DrawnLine:
        flow = self._value("flows", element.id)
        if flow is not None and abs(flow) < NO_FLOW:
            flow = 0.0
        giver = element.end if (flow or 0.0) < 0 else element.start
        return DrawnLine(
            id,
            element.label,
            start,
            end,
            flow,
            self._value("temperatures", giver),
            self._pressure(giver),
            self._state(element),
        )

    def _value(self, field: str, name: str) -> float | None:
        if self.result is None:
            return None
        held: Mapping[str, NDArray[np.float64]] = getattr(self.result.state, field)
        value = _middle(held[name]) if name in held else None
        return value if value is not None and np.isfinite(value) else None

    def _pressure(self, chamber: str) -> float | None:
        held = self.result.pressures.chambers if self.result is not None else {}
        value = _middle(held[chamber]) if chamber in held else None
        return value if value is not None and np.isfinite(value) else None

    def _state(self, element: Element) -> LineState:
        if element.assumed:
            return LineState.ASSUMED
        if element.kind != RUN or element.join not in self.assembly.joins:
            return LineState.FITTED
        join = self.assembly.joins[element.join]
        return LineState.STAND_IN if join.record.stand_in is not None else STATES[join.progress]


def _middle(values: NDArray[np.float64]) -> float:
    return float(np.median(values))
