"""A stated value: what was said, how it is known, or that it is unknown or absent."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import Enum
from typing import Final, TypeAlias

from swapwright.model.faults import nearest_name, quoted, with_article
from swapwright.quantity import (
    Basis,
    Combined,
    Dimension,
    Measure,
    Money,
    QuantityFault,
    combine,
    read_measure,
    read_money,
    tools,
)


class NotSaid(Enum):
    """The two answers that are not a value; zero is a value."""

    UNKNOWN = "unknown"
    ABSENT = "absent"

    def __str__(self) -> str:
        """The word as written in documents."""
        return self.value


UNKNOWN: Final = NotSaid.UNKNOWN
ABSENT: Final = NotSaid.ABSENT

Content: TypeAlias = Measure | Money | bool | int | date | str
YES = {"yes": True, "no": False, "true": True, "false": False}
BASES = {str(basis): basis for basis in Basis}
WHOLE = re.compile(r"^[+-]?\d{1,9}$")
DAY = re.compile(r"^\d{4}-\d{2}-\d{2}$")


@dataclass(frozen=True, slots=True)
class Value:
    """One answer to one question about one subject."""

    content: Content | NotSaid = UNKNOWN
    basis: Basis = Basis.MEASURED
    text: str = "unknown"
    by: str = ""  # tool
    on: date | None = None
    who: str = ""
    photo: str = ""
    note: str = ""
    count: int = 1  # readings behind it
    scatter: float | None = None  # of those readings, SI; None for a single one

    @property
    def known(self) -> bool:
        """True when there is a value or the certainty that there is none."""
        return self.content is not UNKNOWN

    @property
    def backs_a_stop(self) -> bool:
        """True when it is the builder's own or published, not typical or guessed."""
        return self.known and self.basis in (Basis.MEASURED, Basis.PUBLISHED)


NOTHING_SAID: Final = Value()


class ValueFault(ValueError):
    """A value that cannot be read."""

    def __init__(self, found: str, wanted: str, example: str = "", nearest: str = "") -> None:
        self.found, self.wanted, self.example, self.nearest = found, wanted, example, nearest
        super().__init__(f"found {found}, wanted {wanted}")


@dataclass(frozen=True, slots=True)
class Sort:
    """What a value has to be: a dimension, or one of a few plain sorts."""

    name: str  # a dimension's name, or: yes or no, count, year, date, text, money, choice
    choices: tuple[str, ...] = field(default=())
    least: float | None = None  # in the unit kept; below it a number is a slip of the pen

    @property
    def dimension(self) -> Dimension | None:
        """The dimension of a measured sort; None for the plain sorts."""
        return None if self.name in PLAIN else Dimension(self.name)

    @property
    def wanted(self) -> str:
        """What to write, in words."""
        if self.name == "choice":
            return "one of: " + ", ".join(self.choices)
        return WANTED.get(self.name) or f"{with_article(self.name)} with its unit"

    @property
    def example(self) -> str:
        """A right answer to copy."""
        return self.choices[0] if self.choices else EXAMPLES.get(self.name, "unknown")


NEVER_BELOW_ZERO = frozenset((
    Dimension.LENGTH, Dimension.AREA, Dimension.VOLUME, Dimension.MASS, Dimension.TIME,
    Dimension.POWER, Dimension.TORQUE, Dimension.FORCE, Dimension.STIFFNESS, Dimension.CHARGE,
    Dimension.VOLUME_FLOW, Dimension.RESISTANCE, Dimension.SPEED, Dimension.ROTATIONAL_SPEED,
    Dimension.TURNS_PER_DISTANCE, Dimension.SPECIFIC_FUEL_CONSUMPTION, Dimension.PRESSURE,
))  # fmt: skip
FAR_APART = 0.1  # of the mean; repeated readings of one thing by hand agree better (from memory)
FULL_VACUUM = -101325.0  # Pa against the air outside, which stands at 101325 Pa (ISO 2533)
MINUS = re.compile(r"^[+\-−\s]+|\s*vacuum$", re.IGNORECASE)  # two ways to write below zero
PLAIN = ("yes or no", "count", "year", "date", "text", "money", "choice")
WANTED = {
    "yes or no": "yes or no",
    "count": "a whole number",
    "year": "a year in four digits",
    "date": "a date as year-month-day",
    "text": "a text",
    "money": "an amount with its currency code",
    "ratio": "a plain number or a percentage",
    "thread": "a thread designation",
}
EXAMPLES = {
    "yes or no": "yes", "count": "2", "year": "1974", "date": "2026-05-02", "text": "as seen",
    "money": "12.50 EUR", "length": "38 mm", "area": "2.5 mm2", "volume": "7.5 L", "mass": "142 kg",
    "time": "20 s", "temperature": "90 °C", "temperature difference": "10 K", "pressure": "1.1 bar",
    "absolute pressure": "101 kPa abs", "power": "90 kW", "torque": "170 Nm", "force": "3.5 kN",
    "stiffness": "200 N/mm", "volume flow": "120 L/min", "current": "7.5 A", "voltage": "12.6 V",
    "resistance": "120 ohm", "charge": "55 Ah", "angle": "3 deg", "rotational speed": "800 rpm",
    "speed": "110 km/h", "ratio": "5 %", "turns per distance": "637 turns/km", "thread": "M10x1",
    "sound level": "93 dB", "specific fuel consumption": "0.30 kg/kWh",
}  # fmt: skip


def never_below_zero(sort: str) -> bool:
    """True for sizes, masses, counts, ratings: what has no other side of zero."""
    return sort == "count" or sort in NEVER_BELOW_ZERO


def least_of(sort: str, *, below_zero: bool = False) -> float | None:
    """The least a value may be [unit kept]; gauge pressures end at a full vacuum.

    Parameters
    ----------
    sort : str
        A dimension's name or a plain sort.
    below_zero : bool
        The fact has two sides of zero.
    """
    if below_zero:
        return FULL_VACUUM if sort == Dimension.PRESSURE else None
    return 0.0 if never_below_zero(sort) else None


def read_value(raw: object, sort: Sort) -> Value:
    """Read what a document holds for one fact.

    Parameters
    ----------
    raw : str, mapping or None
        Short form (``401 ± 5 mm, tape``) or long form
        (``{value: …, basis: …, by: …}`` or ``{readings: […], by: …}``).
    sort : Sort
        What it has to be.

    Raises
    ------
    ValueFault
        With what was found, what was wanted and an example.
    """
    if isinstance(raw, Mapping):
        return _long_form(raw, sort)
    if raw is None:
        return NOTHING_SAID
    if not isinstance(raw, str):
        raise ValueFault("a list", sort.wanted, sort.example)
    said, basis, tool = split_known_as(raw)
    try:
        return _read(said, sort, basis, tool, raw)
    except ValueFault as fault:
        raise _tail_fault(said, sort) or fault from None


def _tail_fault(text: str, sort: Sort) -> ValueFault | None:
    """What to say where the value can be read and only the words after its comma cannot."""
    said, comma, tail = (part.strip() for part in text.rpartition(","))
    if not comma or not tail:
        return None
    try:
        _read(said, sort, Basis.MEASURED, "", None)
    except ValueFault:
        return None
    names = sorted({tool.name for tool in tools() if tool.measures is sort.dimension})
    known = ", ".join(BASES) + (f", or a tool: {', '.join(names)}" if names else "")
    return ValueFault(
        f"{quoted(tail)} after the comma",
        f"how it is known: {known}",
        f"{said}, {names[0] if names else 'published'}",
        nearest_name(tail, (*BASES, *names)),
    )


def split_known_as(text: str) -> tuple[str, Basis, str]:
    """Split ``38 mm, calipers`` into text, basis and tool.

    Only a basis word or a known tool counts as such; any other tail stays part
    of the text.
    """
    before, _, tail = text.rpartition(",")
    said, how = before.rstrip(), tail.strip().lower()
    if said.strip():
        if how in BASES:
            return said, BASES[how], ""
        if is_tool(how):
            return said, Basis.MEASURED, how
    return text, Basis.MEASURED, ""


def tool_names() -> frozenset[str]:
    """Names of the tools of the tool table."""
    return frozenset(tool.name for tool in tools())


def is_tool(word: str) -> bool:
    """True for a tool of the tool table, also with its full scale (``pressure gauge of 7 bar``)."""
    return word.partition(" of ")[0] in tool_names()


LONG_FORM = ("value", "readings", "basis", "by", "on", "who", "photo", "note")


def _long_form(raw: Mapping[str, object], sort: Sort) -> Value:
    for key in raw:
        if key not in LONG_FORM:
            wanted = "value or readings, basis, by, on, who, photo, note"
            raise ValueFault(quoted(key), wanted, nearest=nearest_name(str(key), LONG_FORM))
    texts = {key: _text(raw, key) for key in LONG_FORM if key not in ("value", "readings")}
    basis, tool = _basis(texts["basis"]), _tool(texts["by"])
    readings = raw.get("readings")
    if readings is not None:
        value = _from_readings(readings, sort, tool)
    else:
        value = _read(_text(raw, "value") or "unknown", sort, basis, tool, None)
    on = _day(texts["on"]) if texts["on"] else None
    return Value(
        value.content, basis if texts["basis"] else value.basis, value.text, tool, on,
        texts["who"], texts["photo"], texts["note"], value.count, value.scatter,
    )  # fmt: skip


def _text(raw: Mapping[str, object], key: str) -> str:
    held = raw.get(key)
    if held is None:
        return ""
    if not isinstance(held, str):
        raise ValueFault(f"a list or mapping under {key}", f"one text under {key}")
    return held.strip()


def _basis(word: str) -> Basis:
    if not word:
        return Basis.MEASURED
    if word not in BASES:
        raise ValueFault(
            quoted(word), "a basis: " + ", ".join(BASES), nearest=nearest_name(word, BASES)
        )
    return BASES[word]


def _tool(word: str) -> str:
    if word and not is_tool(word):
        nearest = nearest_name(word, tool_names())
        wanted = "a tool of the tool table: " + ", ".join(sorted(tool_names()))
        raise ValueFault(quoted(word), wanted, "tape", nearest)
    return word


def _from_readings(raw: object, sort: Sort, tool: str) -> Value:
    if not isinstance(raw, list) or not raw or not all(isinstance(each, str) for each in raw):
        raise ValueFault(quoted(raw), "a list of readings", "[401 mm, 403 mm]")
    values = [_read(each, sort, Basis.MEASURED, "", each) for each in raw]
    measures = [value.content for value in values if isinstance(value.content, Measure)]
    if sort.dimension is Dimension.THREAD:
        raise ValueFault(quoted(raw), "one designation: threads are not averaged", sort.example)
    if len(measures) != len(values):
        raise ValueFault(quoted(raw), "readings that are measures", sort.example)
    try:
        combined = combine_readings(measures, tool)
    except QuantityFault as fault:
        raise ValueFault(fault.found, fault.wanted, fault.example or sort.example) from None
    return Value(
        combined.measure, Basis.MEASURED, combined.measure.text, tool,
        count=combined.count, scatter=combined.scatter,
    )  # fmt: skip


def combine_readings(measures: Iterable[Measure], tool: str) -> Combined:
    """Several readings of one thing as one measure, as ``quantity.combine``."""
    return combine(tuple(measures), tool or None)


def far_apart(measures: Iterable[Measure]) -> tuple[Measure, Measure] | None:
    """The least and the greatest of several readings that can hardly all be right."""
    ordered = sorted(measures, key=lambda each: each.nominal)
    if len(ordered) < 2 or len({each.dimension for each in ordered}) > 1:
        return None
    least, most = ordered[0], ordered[-1]
    if most.nominal - least.nominal <= FAR_APART * abs(most.nominal + least.nominal) / 2:
        return None
    return least, most


def readings_behind(value: Value) -> tuple[Measure, ...]:
    """The single readings that a value was combined from; none for a value said once."""
    content = value.content
    if value.count < 2 or not isinstance(content, Measure):
        return ()
    return tuple(read_measure(text, content.dimension) for text in content.text.split("; "))


def _read(said: str, sort: Sort, basis: Basis, tool: str, whole: str | None) -> Value:
    text = said if whole is None else whole
    word = said.strip().lower()
    if word in ("unknown", "?"):
        return Value(UNKNOWN, basis, "unknown", tool)
    if word == "absent":
        return Value(ABSENT, basis, "absent", tool)
    return Value(_content(said.strip(), sort, basis, tool), basis, text.strip(), tool)


def _content(said: str, sort: Sort, basis: Basis, tool: str) -> Content:
    content = _any_content(said, sort, basis, tool)
    number = content.nominal if isinstance(content, Measure) else content
    if sort.least is not None and isinstance(number, int | float) and number < sort.least:
        if sort.least < 0:
            raise ValueFault(f"{said} (below a full vacuum)", sort.wanted, "-40 kPa")
        raise ValueFault(f"{said} (below zero)", sort.wanted, MINUS.sub("", said))
    return content


def _any_content(said: str, sort: Sort, basis: Basis, tool: str) -> Content:
    if sort.dimension is not None:
        try:
            return read_measure(said, sort.dimension, basis=basis, tool=tool or None)
        except QuantityFault as fault:
            found = f"{fault.found} ({fault.why})" if fault.why else fault.found
            raise ValueFault(found, fault.wanted, fault.example or sort.example) from None
    if sort.name == "yes or no":
        if said.lower() in YES:
            return YES[said.lower()]
    elif sort.name == "choice":
        if said in sort.choices:
            return said
        raise ValueFault(quoted(said), sort.wanted, sort.example, nearest_name(said, sort.choices))
    elif sort.name == "money":
        try:
            return read_money(said)
        except QuantityFault as fault:
            raise ValueFault(fault.found, fault.wanted, fault.example) from None
    elif sort.name == "date":
        return _day(said)
    elif sort.name in ("count", "year"):
        if WHOLE.match(said) and (sort.name == "count" or 1850 <= int(said) <= 2100):
            return int(said)
    else:
        return said
    raise ValueFault(quoted(said), sort.wanted, sort.example)


def _day(text: str) -> date:
    try:
        if DAY.match(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise ValueFault(quoted(text), "a date as year-month-day", "2026-05-02")
