"""The kinds of quantity, the unit each is kept in, and the units people read.

Everything is kept in the unit of the first column; a few are not SI and say so.

========================== ========= ==========================================
dimension                  kept in   remark
========================== ========= ==========================================
length, thread             m         a thread keeps its major diameter
area                       m²        wire gauges become the area of the copper
volume                     m³
mass                       kg
time                       s
temperature                K         a point on a scale
temperature difference     K         two points on a scale, subtracted
pressure                   Pa        above the air outside (gauge)
absolute pressure          Pa        above nothing
power                      W         heat flow as well
energy                     J
torque                     N·m
force                      N
stiffness                  N/m
volume flow                m³/s
mass flow                  kg/s
current, voltage           A, V
resistance                 Ω
charge                     C         written in Ah
angle                      rad
rotational speed           rad/s
speed                      m/s
frequency                  Hz
ratio, count               1
turns per distance         1/m       whole turns, not radians
sound level                dB        not SI: a level is a logarithm
specific fuel consumption  kg/J
density                    kg/m³
kinematic viscosity        m²/s
thermal conductance        W/K
========================== ========= ==========================================
"""

from enum import StrEnum
from typing import Literal, NamedTuple

System = Literal["metric", "us"]
Ladder = tuple[tuple[float, str], ...]


class Dimension(StrEnum):
    """What a number is a number of; gauge and absolute pressure are two."""

    LENGTH = "length"
    AREA = "area"
    VOLUME = "volume"
    MASS = "mass"
    TIME = "time"
    TEMPERATURE = "temperature"
    TEMPERATURE_DIFFERENCE = "temperature difference"
    PRESSURE = "pressure"
    ABSOLUTE_PRESSURE = "absolute pressure"
    POWER = "power"
    ENERGY = "energy"
    TORQUE = "torque"
    FORCE = "force"
    STIFFNESS = "stiffness"
    VOLUME_FLOW = "volume flow"
    MASS_FLOW = "mass flow"
    CURRENT = "current"
    VOLTAGE = "voltage"
    RESISTANCE = "resistance"
    CHARGE = "charge"
    ANGLE = "angle"
    ROTATIONAL_SPEED = "rotational speed"
    SPEED = "speed"
    FREQUENCY = "frequency"
    RATIO = "ratio"
    COUNT = "count"
    TURNS_PER_DISTANCE = "turns per distance"
    SOUND_LEVEL = "sound level"
    SPECIFIC_FUEL_CONSUMPTION = "specific fuel consumption"
    DENSITY = "density"
    KINEMATIC_VISCOSITY = "kinematic viscosity"
    THERMAL_CONDUCTANCE = "thermal conductance"
    THREAD = "thread"


class Kind(NamedTuple):
    """How one dimension is kept, asked for and shown.

    A ladder lists (smallest size in the unit kept, unit to show), rising.
    """

    kept_in: str
    phrase: str
    example: str
    metric: Ladder
    us: Ladder
    digits: int = 3


def _same(*ladder: tuple[float, str]) -> tuple[Ladder, Ladder]:
    return ladder, ladder


D = Dimension
KINDS: dict[Dimension, Kind] = {
    D.LENGTH: Kind(
        "m", "a length", "38 mm",
        ((0, "mm"), (10, "m"), (1000, "km")),
        ((0, "in"), (3.048, "ft"), (1609.344, "mi")),
        4,
    ),
    D.AREA: Kind(
        "m²", "an area", "2.5 mm²",
        ((0, "mm²"), (0.01, "cm²"), (1, "m²")),
        # Below the thickest wire gauge square inches would read 0.00…
        ((0, "mm²"), (1.2e-4, "in²"), (0.5, "ft²")),
    ),
    D.VOLUME: Kind(
        "m³", "a volume", "8.8 L",
        ((0, "mL"), (1e-4, "L"), (10, "m³")),
        ((0, "US fl oz"), (4.73e-4, "US qt"), (3.785e-3, "US gal")),
    ),
    D.MASS: Kind(
        "kg", "a mass", "145 kg", ((0, "g"), (1, "kg")), ((0, "oz"), (0.4535, "lb")), 4
    ),
    D.TIME: Kind(
        "s", "a time", "30 min", *_same((0, "s"), (120, "min"), (7200, "h"), (172800, "d"))
    ),
    D.TEMPERATURE: Kind("K", "a temperature", "90 °C", ((0, "°C"),), ((0, "°F"),)),
    D.TEMPERATURE_DIFFERENCE: Kind(
        "K", "a temperature difference", "10 K", ((0, "K"),), ((0, "°F difference"),)
    ),
    D.PRESSURE: Kind(
        "Pa", "a gauge pressure", "1.1 bar",
        ((0, "Pa"), (100, "kPa"), (5e4, "bar")),
        ((0, "inH2O"), (3400, "psi")),
    ),
    D.ABSOLUTE_PRESSURE: Kind(
        "Pa", "an absolute pressure", "101.3 kPa abs",
        ((0, "Pa abs"), (100, "kPa abs"), (1.5e5, "bar abs")),
        ((0, "psi abs"),),
        4,
    ),
    D.POWER: Kind("W", "a power", "100 kW", ((0, "W"), (1000, "kW")), ((0, "W"), (745, "hp"))),
    D.ENERGY: Kind(
        "J", "an energy", "1.2 kWh", *_same((0, "J"), (1000, "kJ"), (3.6e4, "Wh"), (3.6e6, "kWh"))
    ),
    D.TORQUE: Kind(
        "N·m", "a torque", "170 N·m", ((0, "N·m"),), ((0, "lbf·in"), (13.558, "lbf·ft"))
    ),
    D.FORCE: Kind("N", "a force", "1000 N", ((0, "N"), (1e4, "kN")), ((0, "lbf"),)),
    D.STIFFNESS: Kind("N/m", "a stiffness", "250 N/mm", ((0, "N/mm"),), ((0, "lbf/in"),)),
    D.VOLUME_FLOW: Kind(
        "m³/s", "a volume flow", "110 L/min",
        ((0, "mL/min"), (1.6e-6, "L/min"), (0.05, "m³/s")),
        ((0, "US gal/h"), (6.3e-5, "US gal/min"), (0.05, "ft³/min")),
    ),
    D.MASS_FLOW: Kind("kg/s", "a mass flow", "12 kg/h", ((0, "kg/h"),), ((0, "lb/h"),)),
    D.CURRENT: Kind("A", "a current", "30 A", *_same((0, "mA"), (1, "A"))),
    D.VOLTAGE: Kind("V", "a voltage", "12.6 V", *_same((0, "mV"), (1, "V"), (1e4, "kV")), 4),
    D.RESISTANCE: Kind(
        "Ω", "a resistance", "47 ohm", *_same((0, "mΩ"), (1, "Ω"), (1e3, "kΩ"), (1e6, "MΩ"))
    ),
    D.CHARGE: Kind("C", "a charge", "60 Ah", *_same((0, "mAh"), (3600, "Ah"))),
    D.ANGLE: Kind("rad", "an angle", "3 deg", *_same((0, "°"))),
    D.ROTATIONAL_SPEED: Kind("rad/s", "a rotational speed", "6000 rpm", *_same((0, "rpm")), 4),
    D.SPEED: Kind(
        "m/s", "a speed", "90 km/h", ((0, "m/s"), (5, "km/h")), ((0, "ft/s"), (5, "mph")), 4
    ),
    D.FREQUENCY: Kind("Hz", "a frequency", "50 Hz", *_same((0, "Hz"), (1e4, "kHz"))),
    D.RATIO: Kind("1", "a ratio", "0.7", *_same((0, "")), 4),
    D.COUNT: Kind("1", "a whole number", "4", *_same((0, ""))),
    D.TURNS_PER_DISTANCE: Kind(
        "1/m", "a number of turns per distance", "637 rev/km",
        ((0, "rev/km"),), ((0, "rev/mi"),), 4,
    ),
    D.SOUND_LEVEL: Kind("dB", "a sound level", "93 dB", *_same((0, "dB"))),
    D.SPECIFIC_FUEL_CONSUMPTION: Kind(
        "kg/J", "a specific fuel consumption", "0.32 kg/kWh",
        ((0, "g/kWh"),), ((0, "lb/(hp·h)"),),
    ),
    D.DENSITY: Kind("kg/m³", "a density", "745 kg/m³", ((0, "kg/m³"),), ((0, "lb/ft³"),)),
    D.KINEMATIC_VISCOSITY: Kind(
        "m²/s", "a kinematic viscosity", "3.5 mm²/s", *_same((0, "mm²/s"))
    ),
    D.THERMAL_CONDUCTANCE: Kind("W/K", "a thermal conductance", "900 W/K", *_same((0, "W/K"))),
    D.THREAD: Kind("m", "a thread", "M10x1", ((0, "mm"),), ((0, "in"),), 4),
}  # fmt: skip

BARE: frozenset[Dimension] = frozenset({D.RATIO, D.COUNT})
"""Dimensions whose numbers stand without a unit."""


def wanted(dimension: Dimension | None) -> tuple[str, str]:
    """The phrase for what was looked for, and an example."""
    if dimension is None:
        return "a number with its unit", "38 mm"
    kind = KINDS[dimension]
    bare = dimension in BARE or dimension is Dimension.THREAD
    return kind.phrase if bare else f"{kind.phrase} with its unit", kind.example
