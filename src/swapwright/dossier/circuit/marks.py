"""The small mark of each kind of part, drawn in a square of 22 about its centre.

Pump and valve follow the plain forms of ISO 1219 and ISO 14617 (circle with a triangle, two
triangles tip to tip); the others are drawn from what the part looks like.
"""

from collections.abc import Mapping

from swapwright.dossier.circuit.drawn import Role

_PUMP = "M-9 0a9 9 0 1 0 18 0a9 9 0 1 0 -18 0M-4 -7.5L8.5 0L-4 7.5Z"
_VALVE = "M-9 -5V6L9 -5V6Z"
_FINS = "M-10 -8H10V8H-10ZM-6 -8V8M-2 -8V8M2 -8V8M6 -8V8"

MARKS: Mapping[Role, str] = {
    Role.PUMP: _PUMP,
    Role.ELECTRIC_PUMP: "M-10 1a7.5 7.5 0 1 0 15 0a7.5 7.5 0 1 0 -15 0M-6 -5L4.5 1L-6 7"
    "M9 -9L6.5 -4H10L7 1",
    Role.BLOCK: "M-10 -8H10V8H-10ZM-7.5 -8V3M-3.5 -8V3M-7.5 -1H-3.5M-2 -8V3M2 -8V3M-2 1H2"
    "M3.5 -8V3M7.5 -8V3M3.5 -3H7.5",
    Role.HEAD: "M-10 6V-1L-6 -6H6L10 -1V6ZM-4 -2V3M-6.5 3H-1.5M4 -2V3M1.5 3H6.5",
    Role.THERMOSTAT: "M-9 -1V9L9 -1V9ZM0 4V-4M-3 -4V-10M3 -4V-10M-3 -4H3M-3 -10H3M0 -4V-8",
    Role.BYPASS_VALVE: f"{_VALVE}M0 .5V9M-3.5 9H3.5",
    Role.TAP: f"{_VALVE}M0 .5V-8M-5 -8H5",
    Role.RADIATOR: _FINS,
    Role.HEATER: "M-10 0H10V9H-10ZM-5 0V9M0 0V9M5 0V9M-5 -3q-2 -2.5 0 -4t0 -3"
    "M0 -3q-2 -2.5 0 -4t0 -3M5 -3q-2 -2.5 0 -4t0 -3",
    Role.EXCHANGER: "M-9 0a9 9 0 1 0 18 0a9 9 0 1 0 -18 0M-11 4L-4 4L0 -4L4 4L11 4",
    Role.TANK: "M-9 9V-3q0 -4 4 -4H5q4 0 4 4V9ZM-3 -7V-10H3V-7M-9 1H9",
    Role.BOTTLE: "M-7 10V-1L-3 -5V-10H3V-5L7 -1V10ZM-7 3H7",
    Role.TEE: "M-10 3H10M0 3V-9",
    Role.FILLER: "M-10 -9H10L3 0V9H-3V0Z",
    Role.BLANK: "M-10 0H3M3 -7V7M7 -5V5",
}
