"""A sentence in waiting: a template and its values, put together at the edge in the builder's units."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal, TypeAlias

from swapwright.model.values import NotSaid, Value
from swapwright.quantity import Dimension, Measure, Money, preferred, show

System: TypeAlias = Literal["metric", "us"]


@dataclass(frozen=True, slots=True)
class Amount:
    """A computed quantity with its standard uncertainty, both SI."""

    nominal: float
    uncertainty: float
    dimension: Dimension

    def in_units(self, system: System) -> str:
        """In the preferred unit of a system."""
        return preferred(self.nominal, self.dimension, system)


Spoken: TypeAlias = "Measure | Amount | Money | Value | NotSaid | bool | int | float | date | str | tuple[str, ...]"


@dataclass(frozen=True)
class Message:
    """Template with ``{names}`` and the values to put there."""

    template: str
    values: Mapping[str, Spoken] = field(default_factory=dict)

    def text(self, system: System) -> str:
        """The sentence in the builder's units."""
        return self.template.format_map({name: spoken(held, system) for name, held in self.values.items()})


def spoken(held: Spoken, system: System) -> str:
    """One value as it is shown: as written, beside the preferred unit."""
    if isinstance(held, Value):
        return spoken(held.content, system)
    if isinstance(held, Measure):
        return show(held, system)
    if isinstance(held, Amount):
        return held.in_units(system)
    if isinstance(held, Money):
        return held.show()
    if isinstance(held, bool):
        return "yes" if held else "no"
    if isinstance(held, float):
        return f"{held:.3g}"
    if isinstance(held, tuple):
        return ", ".join(held)
    return str(held)
