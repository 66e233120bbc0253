"""A sentence in waiting: template and values, put together at the edge in the builder's units."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from swapwright.model.amount import Amount
from swapwright.model.values import NotSaid, Value
from swapwright.quantity import Measure, Money, System, preferred, show

Spoken: TypeAlias = (
    "Measure | Amount | Money | Value | NotSaid | bool | int | float | date | str | tuple[str, ...]"
)


@dataclass(frozen=True)
class Message:
    """Template with ``{names}`` and the values to put there."""

    template: str
    values: Mapping[str, Spoken] = field(default_factory=dict)

    def text(self, system: System) -> str:
        """The sentence in the builder's units."""
        return self.template.format_map(
            {name: spoken(held, system) for name, held in self.values.items()}
        )


def spoken(held: Spoken, system: System) -> str:
    """One value as it is shown: as written, beside the preferred unit."""
    if isinstance(held, Value):
        return spoken(held.content, system)
    if isinstance(held, Measure | Money):
        return show(held, system)
    if isinstance(held, Amount):
        return preferred(held.nominal, held.dimension, system)
    if isinstance(held, bool):
        return "yes" if held else "no"
    if isinstance(held, float):
        return f"{held:.3g}"
    if isinstance(held, tuple):
        return ", ".join(held)
    return str(held)
