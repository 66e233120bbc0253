"""A figure tried otherwise: ``radiator depth = 32, 40, 52 mm``, ``hill.air = 35 to 45 °C in 5``.

Left of the sign (or of "from") a short word, a fact of a subject, or a field of a case; right of
it one value, several with commas, or so many steps from one to another. A unit told last holds for
all.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

from pydantic import ValidationError

from swapwright.library.cases import cases_of
from swapwright.library.sweepables import Reach, reach_of_facts, reach_of_fields, sweepables
from swapwright.model.assembly import Assembly
from swapwright.model.build import Case
from swapwright.model.facts import FactDefinition, fact_book
from swapwright.model.faults import Fault, nearest_name, quoted
from swapwright.model.values import ABSENT, UNKNOWN, Value, ValueFault, read_value
from swapwright.quantity import Measure

MOST_STEPS = 50
SPAN = re.compile(r"(?:from\s+)?(?P<first>.+?)\s+to\s+(?P<last>.+?)\s+in\s+(?P<steps>\d+)")
NUMBER = re.compile(r"\s*(?P<number>[-+−]?[\d.]+(?:[eE][-+]?\d+)?)\s*(?P<unit>.*)")
EXAMPLE = "radiator depth = 32, 40, 52 mm"
NAME = "a short word, subject.fact or case.field"


@dataclass(frozen=True)
class Trial:
    """One value of one figure."""

    subject: str  # whose fact, or the case
    name: str  # fact or field
    value: Value
    text: str  # as it is told
    in_case: bool = False

    @property
    def measure(self) -> Measure | None:
        """What was measured; None for a word or a yes."""
        return self.value.content if isinstance(self.value.content, Measure) else None


@dataclass(frozen=True)
class Tried:
    """One figure with all values to try."""

    label: str
    trials: tuple[Trial, ...]


class NotTried(ValueError):
    """What was asked for cannot be tried; holds every fault."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(map(str, self.faults)))


def tried(texts: Iterable[str], assembly: Assembly) -> tuple[Tried, ...]:
    """Read what is to be tried.

    Raises
    ------
    NotTried
        With every fault of every text.
    """
    found, faults = list[Tried](), list[Fault]()
    for text in texts:
        try:
            found.append(_read(text, assembly))
        except NotTried as wrong:
            faults += wrong.faults
    if faults:
        raise NotTried(faults)
    return tuple(found)


def changed(assembly: Assembly, trials: Iterable[Trial]) -> Assembly:
    """The build with other figures; nothing else of it changes, and no column of the sample."""
    for trial in trials:
        if trial.in_case:
            assembly = _with_case(assembly, trial)
        else:
            key = f"{trial.subject}.{trial.name}"
            assembly = replace(assembly, readings={**assembly.readings, key: trial.value})
    return assembly


def _with_case(assembly: Assembly, trial: Trial) -> Assembly:
    held = cases_of(assembly.build)[trial.subject]
    said = trial.value if isinstance(getattr(held, trial.name), Value) else trial.value.content
    own = held.model_copy(update={trial.name: said})
    # all that the case says counts as said by the build, so that nothing of it falls back
    full = Case.model_construct(set(Case.model_fields), **dict(own))
    cases = {**assembly.build.cases, trial.subject: full}
    return replace(assembly, build=assembly.build.model_copy(update={"cases": cases}))


def _field(name: str, text: str) -> object:
    return getattr(Case.model_validate({name: text}), name)


def _read(text: str, assembly: Assembly) -> Tried:
    left, sign, right = text.partition("=" if "=" in text else " from ")
    name, values = " ".join(left.split()), right.strip()
    if not sign or not name or not values:
        raise _fault(text, quoted(text), f"{NAME} = values", EXAMPLE)
    subject, dot, last = name.rpartition(".")
    if name in sweepables():
        return _of_word(text, name, values, assembly)
    if dot and subject in cases_of(assembly.build):
        return _of_case(text, subject, last, values)
    if dot:
        return _of_fact(text, assembly.resolve(subject), last, values, assembly)
    raise _fault(text, quoted(name), f"{NAME}; short words: " + ", ".join(sweepables()), EXAMPLE,
                 nearest_name(name, sweepables()))  # fmt: skip


def _of_word(text: str, word: str, values: str, assembly: Assembly) -> Tried:
    each = sweepables()[word]
    subject = _owner(each.whose, assembly)
    if not subject:
        raise _fault(text, f"no {each.whose} in this build", f"a part of the kind {each.whose}")
    definition = fact_book()[each.fact]
    trials = _trials(text, subject, definition, values, each.example)
    return Tried(f"{word} of {assembly.label(subject)}", trials)


def _owner(whose: str, assembly: Assembly) -> str:
    fixed = {"build": assembly.build.id, "engine": assembly.engine, "car": assembly.recipient}
    if whose in fixed:
        return fixed[whose]
    joined = {name.rpartition(".")[0] for name in assembly.join_of}
    parts = assembly.parts_of_kind(whose)
    used = [part.id for part in parts if part.sheet == assembly.recipient or part.id in joined]
    return next(iter(used), "")


def _of_fact(text: str, subject: str, name: str, values: str, assembly: Assembly) -> Tried:
    holder = assembly.holders.get(subject)
    if holder is None:
        near = nearest_name(subject, (*cases_of(assembly.build), *assembly.holders))
        raise _fault(text, quoted(subject), "a subject of this build, or a case", EXAMPLE, near)
    definition = fact_book().get(name)
    fitting = [each.name for each in fact_book().values() if set(each.of) & set(holder.subjects)]
    if definition is None or name not in fitting:
        wanted = f"a fact of {holder.label}"
        raise _fault(text, quoted(name), wanted, EXAMPLE, nearest_name(name, fitting))
    trials = _trials(text, subject, definition, values, definition.sort.example)
    return Tried(f"{definition.label} of {holder.label}", trials)


def _of_case(text: str, case: str, name: str, values: str) -> Tried:
    fields = [each for each in Case.model_fields if each != "label"]
    if name not in fields:
        wanted = "a field of a case: " + ", ".join(fields)
        raise _fault(text, quoted(name), wanted, "hill.air = 45 °C", nearest_name(name, fields))
    trials, faults = list[Trial](), list[Fault]()
    for each in _spelled(text, values):
        try:
            held = _field(name, each)
        except ValidationError:
            faults.append(_one(text, quoted(each), *_wanted(case, name)))
            continue
        value = held if isinstance(held, Value) else Value(str(held), text=each)
        beyond = _beyond(text, each, value, reach_of_fields().get(name))
        if beyond is not None:
            faults.append(beyond)
            continue
        trials.append(Trial(case, name, value, each, in_case=True))
    if faults:
        raise NotTried(faults)
    return Tried(f"{name.replace('_', ' ')} of the case {case}", tuple(trials))


def _wanted(case: str, name: str) -> tuple[str, str]:
    """What a field of a case takes, and an example."""
    words = {"fan": "on or off", "heater": "open or shut", "idle": "yes or no",
             "at_top_speed": "yes or no"}  # fmt: skip
    if name in words:
        return words[name], f"{case}.{name} = {words[name].split()[0]}"
    reach = reach_of_fields()[name]
    return f"a value for {name}: {reach.text}", f"{case}.{name} = {reach.text.partition(' to ')[2]}"


def _trials(
    text: str, subject: str, definition: FactDefinition, values: str, example: str
) -> tuple[Trial, ...]:
    trials, faults = list[Trial](), list[Fault]()
    for each in _spelled(text, values):
        try:
            value = read_value(each, definition.sort)
        except ValueFault as wrong:
            faults.append(_one(text, wrong.found, wrong.wanted, wrong.example or example,
                               wrong.nearest))  # fmt: skip
            continue
        if value.content is UNKNOWN:
            faults.append(_one(text, quoted(each), "a value", example))
            continue
        beyond = _beyond(text, each, value, reach_of_facts().get(definition.name))
        if beyond is not None:
            faults.append(beyond)
            continue
        trials.append(Trial(subject, definition.name, value, each))
    if faults:
        raise NotTried(faults)
    return tuple(trials)


def _beyond(text: str, each: str, value: Value, reach: Reach | None) -> Fault | None:
    """What is wrong with a value that means nothing here; None where it means something."""
    if reach is None:
        return None
    example = reach.text.partition(" to ")[2]
    if value.content is ABSENT:  # would fall back to the typical value in silence
        return _one(text, quoted(each), "a value", example)
    if isinstance(value.content, Measure) and not reach.holds(value.content.nominal):
        return _one(text, f"{each} (out of range)", reach.text, example)
    return None


def _spelled(text: str, values: str) -> list[str]:
    """Single values of a list or of a span, each with its unit."""
    span = SPAN.fullmatch(values)
    if span is None:
        parts = [part.strip() for part in values.split(",")]
        if not all(parts):
            raise _fault(text, "a comma with nothing beside it", "a value on either side of it")
        unit = _unit(parts[-1])
        bare = [NUMBER.fullmatch(part) is not None and not _unit(part) for part in parts]
        return [
            f"{part} {unit}".strip() if alone else part
            for part, alone in zip(parts, bare, strict=True)
        ]
    steps = int(span["steps"])
    first, last = NUMBER.fullmatch(span["first"]), NUMBER.fullmatch(span["last"])
    if first is None or last is None or not 2 <= steps <= MOST_STEPS:
        wanted = f"two numbers with a unit and 2 to {MOST_STEPS} steps"
        raise _fault(text, quoted(values), wanted, "24 to 52 mm in 5")
    unit = last["unit"] or first["unit"]
    if first["unit"] not in ("", unit):
        raise _fault(text, quoted(values), "one unit at both ends", "24 to 52 mm in 5")
    low, high = (_number(text, end["number"]) for end in (first, last))
    marks = (low + (high - low) * step / (steps - 1) for step in range(steps))
    return [f"{mark:.4g} {unit}".strip() for mark in marks]


def _number(text: str, word: str) -> float:
    try:
        return float(word.replace("−", "-"))
    except ValueError:
        raise _fault(text, quoted(word), "a number", "24 to 52 mm in 5") from None


def _unit(part: str) -> str:
    match = NUMBER.fullmatch(part)
    return match["unit"] if match else ""


def _one(text: str, found: str, wanted: str, example: str, nearest: str = "") -> Fault:
    return Fault(f"what if {quoted(text)}", None, None, "", found, wanted, example, nearest)


def _fault(
    text: str, found: str, wanted: str, example: str = EXAMPLE, nearest: str = ""
) -> NotTried:
    return NotTried([_one(text, found, wanted, example, nearest)])
