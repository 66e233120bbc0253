"""Circuits for tests: an invented one, and random ones of any shape."""

from random import Random

from swapwright.dossier.circuit import DrawnCircuit, DrawnLine, DrawnPart, LineState, Role
from swapwright.quantity import System

WORDS = (
    "heater", "header tank", "oil exchanger", "tee at the bulkhead", "thermostat", "x",
    "electric after-run pump", "auxiliary heat exchanger", "filler neck", "Ausgleichsbehälter",
)  # fmt: skip
LINE_WORDS = (
    "heater supply", "return", "bleed", "radiator hot hose", "make-up feed to the pump inlet", "x",
)  # fmt: skip


def line(
    id: str, label: str, start: str, end: str, litres: float, celsius: float, bar: float,
    state: LineState = LineState.FITTED,
) -> DrawnLine:  # fmt: skip
    """A line with its values in the units of a workshop."""
    return DrawnLine(id, label, start, end, litres / 60000, celsius + 273.15, bar * 1e5, state)


def van(units: System = "metric") -> DrawnCircuit:
    """A whole coolant circuit with a line in each state."""
    parts = (
        DrawnPart("pump", "coolant pump", Role.PUMP, ("3400 rpm",)),
        DrawnPart("block", "block", Role.BLOCK),
        DrawnPart("head", "head", Role.HEAD, ("31 kW",)),
        DrawnPart("th", "thermostat", Role.THERMOSTAT, ("62 % open",)),
        DrawnPart("rad", "radiator", Role.RADIATOR, ("27 kW",)),
        DrawnPart("heat", "heater", Role.HEATER, ("4.1 kW",)),
        DrawnPart("tank", "header tank", Role.TANK),
        DrawnPart("oil", "oil exchanger", Role.EXCHANGER),
        DrawnPart("tap", "heater tap", Role.TAP),
    )
    lines = (
        line("jacket", "jacket feed", "pump", "block", 92, 84, 1.31),
        line("gasket", "gasket ways", "block", "head", 84, 88, 1.12),
        line("outlet", "head outlet", "head", "th", 70, 93, 0.98),
        line("hot", "radiator hot", "th", "rad", 52, 93, 0.93, LineState.PLANNED),
        line("ret", "radiator return", "pump", "rad", -52, 81, 0.78),
        line("bypass", "bypass", "th", "pump", 18, 93, 0.8, LineState.PROVED),
        line("supply", "heater supply", "head", "tap", 12.4, 93, 0.97, LineState.ASSUMED),
        line("tapped", "tap to heater", "tap", "heat", 12.4, 93, 0.92),
        line("back", "heater return", "heat", "pump", 12.4, 86, 0.79, LineState.STAND_IN),
        line("oilfeed", "oil exchanger feed", "block", "oil", 8, 88, 1.1),
        line("oilback", "oil exchanger return", "oil", "pump", 8, 92, 0.8, LineState.PLANNED),
        line("feed", "tank feed", "tank", "pump", 1.1, 61, 0.76),
        line("bleed", "head bleed", "head", "tank", 0, 93, 0.9, LineState.PARKED),
        line("vent", "radiator bleed", "rad", "tank", 0, 20, 0.85, LineState.SHUT),
    )
    return DrawnCircuit("Coolant, light van", parts, lines, units, "long hill, loaded")


def random_circuit(seed: int) -> DrawnCircuit:
    """4 to 25 parts hanging together, 1 to 6 lines on each, random words, signs and values."""
    random = Random(seed)
    count = random.randint(4, 25)
    parts = tuple(
        DrawnPart(
            f"p{number}",
            random.choice(WORDS),
            random.choice(tuple(Role)),
            ("27 kW", "opens at 88 °C")[: random.randrange(3)],
        )
        for number in range(count)
    )
    lines = tuple(
        DrawnLine(
            f"l{number}",
            random.choice(LINE_WORDS),
            f"p{start}",
            f"p{end}",
            random.choice((None, 0.0, random.uniform(-2e-3, 2e-3), random.uniform(-1e-5, 2e-3))),
            random.choice((None, random.uniform(240, 400))),
            random.choice((None, random.uniform(-3e4, 2.5e5))),
            random.choice(tuple(LineState)),
        )
        for number, (start, end) in enumerate(_pairs(random, count))
    )
    units: System = random.choice(("metric", "us"))
    return DrawnCircuit(f"Circuit {seed}", parts, lines, units)


def _pairs(random: Random, count: int) -> list[tuple[int, int]]:
    lines = [0] * count
    pairs: list[tuple[int, int]] = []

    def join(one: int, other: int) -> None:
        pairs.append((one, other) if random.random() < 0.5 else (other, one))
        lines[one] += 1
        lines[other] += 1

    for number in range(1, count):
        join(number, random.choice([n for n in range(number) if lines[n] < 5]))
    for _ in range(random.randint(0, 2 * count)):
        one, other = random.sample(range(count), 2)
        if lines[one] < 6 and lines[other] < 6:
            join(one, other)
    return pairs
