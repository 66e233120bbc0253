"""What a circuit drawing is drawn from: parts, lines between them, and what runs there."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from math import isfinite

from swapwright.quantity import System


class Role(StrEnum):
    """What a part does in the circuit; decides its place and its mark."""

    PUMP = "pump"
    BLOCK = "block"
    HEAD = "head"
    THERMOSTAT = "thermostat"
    BYPASS_VALVE = "bypass valve"
    RADIATOR = "radiator"
    HEATER = "heater"
    EXCHANGER = "exchanger"  # to oil, to a throttle body
    TANK = "tank"
    BOTTLE = "bottle"
    TEE = "tee"
    TAP = "tap"
    ELECTRIC_PUMP = "electric pump"
    FILLER = "filler"
    BLANK = "blank"


class LineState(StrEnum):
    """How far a line is; each has its own pattern, and its word stands beside it."""

    PLANNED = "planned"
    FITTED = "fitted"
    PROVED = "proved"
    ASSUMED = "assumed"
    PARKED = "parked"
    SHUT = "shut"
    STAND_IN = "stand-in"


@dataclass(frozen=True, slots=True)
class DrawnPart:
    """One part as a box with its mark, its label and a few words more."""

    id: str
    label: str
    role: Role
    notes: tuple[str, ...] = ()  # such as "opens at 88 °C"


@dataclass(frozen=True, slots=True)
class DrawnLine:
    """One line from part to part and what runs in it; None where nothing was computed."""

    id: str
    label: str
    start: str  # part
    end: str  # part
    volume_flow: float | None = None  # m³/s, negative against the way from start to end
    temperature: float | None = None  # K
    gauge_pressure: float | None = None  # Pa
    state: LineState = LineState.FITTED

    @property
    def way(self) -> int:
        """1 with the way from start to end, -1 against it, 0 at rest or not computed."""
        flow = self.volume_flow or 0.0
        return (flow > 0) - (flow < 0)

    @property
    def giver(self) -> str:
        """The part that the liquid comes from; the start, where nothing moves."""
        return self.end if self.way < 0 else self.start

    @property
    def taker(self) -> str:
        """The part that the liquid goes to; the end, where nothing moves."""
        return self.start if self.way < 0 else self.end


@dataclass(frozen=True)
class DrawnCircuit:
    """One circuit in one case.

    Raises
    ------
    ValueError
        When an id is used twice, a line ends on no part, or a value is not finite.
    """

    title: str
    parts: tuple[DrawnPart, ...]
    lines: tuple[DrawnLine, ...]
    units: System = "metric"
    subtitle: str = field(default="")  # such as the case: "hot idle in traffic"

    def __post_init__(self) -> None:
        _once(part.id for part in self.parts)
        _once(line.id for line in self.lines)
        known = {part.id for part in self.parts}
        for line in self.lines:
            for end in (line.start, line.end):
                if end not in known:
                    raise ValueError(f"line {line.id}: found end {end!r}, wanted the id of a part")
            for value in (line.volume_flow, line.temperature, line.gauge_pressure):
                if value is not None and not isfinite(value):
                    raise ValueError(f"line {line.id}: found {value}, wanted a finite value")

    @cached_property
    def part(self) -> dict[str, DrawnPart]:
        """Parts by id."""
        return {part.id: part for part in self.parts}


def _once(ids: Iterable[str]) -> None:
    seen: set[str] = set()
    for each in ids:
        if each in seen:
            raise ValueError(f"found the id {each!r} twice, wanted each once")
        seen.add(each)
