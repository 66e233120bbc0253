"""The port table: one row per kind of port that a swap crosses."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from swapwright.model.shipped import shipped_rows
from swapwright.model.words import Flow, Gate, Pile, Service


@dataclass(frozen=True, slots=True)
class Family:
    """One kind of port; both halves of a crossing bear the same family."""

    id: str
    label: str
    system: (
        str  # coolant, oil, fuel, vapour, vacuum, air, exhaust, controls, driveline, electrical …
    )
    service: Service
    flow: Flow  # at the engine's or gearbox's half; the car's half is the opposite
    newcomer_half: str  # engine, gearbox, or empty: none
    car_half: bool
    needed_by: Gate
    first_pile: Pile
    usual: str  # what is usually done, in words
    was: str  # the usual original mate, in words

    @property
    def usually_kept(self) -> bool:
        """True when it usually stays as it was."""
        return self.usual.startswith("kept")

    def flow_on(self, car: bool) -> Flow:
        """Usual direction at the car's or the newcomer's half, seen from the part that owns it."""
        opposite = {Flow.IN: Flow.OUT, Flow.OUT: Flow.IN}
        return opposite.get(self.flow, self.flow) if car and self.newcomer_half else self.flow


@cache
def families() -> Mapping[str, Family]:
    """All families by id, from ``vocabulary/ports.csv``."""
    rows = shipped_rows("swapwright.model", "vocabulary", "ports.csv")
    return {row["family"]: _family(row) for row in rows}


def _family(row: Mapping[str, str]) -> Family:
    return Family(
        row["family"], row["label"], row["system"], Service(row["service"]), Flow(row["flow"]),
        row["newcomer_half"], row["car_half"] == "yes", Gate(row["needed_by"]),
        Pile(row["first_pile"]), row["usual"], row["was"],
    )  # fmt: skip
