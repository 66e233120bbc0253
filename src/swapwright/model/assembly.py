"""The assembled model: frozen, flat, every id resolved. All that analyses read."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from swapwright.model.build import Build, Fate, Job, Join, Step, Stock
from swapwright.model.ends import End
from swapwright.model.facts import FactDefinition, fact_book
from swapwright.model.families import Family
from swapwright.model.pose import Point
from swapwright.model.sheets import Item, Part, Port, Sheet
from swapwright.model.values import ABSENT, NOTHING_SAID, Value
from swapwright.model.words import (
    FateWord,
    Flow,
    Gate,
    Kind,
    Progress,
    Service,
    Side,
    Stage,
    Subject,
)
from swapwright.quantity import Measure


@dataclass(frozen=True)
class AssembledPort:
    """A port with all that its sheet, its family and the pose say of it."""

    id: str  # sheet.port
    sheet: str
    name: str
    side: Side
    record: Port
    label: str
    service: Service
    flow: Flow
    family: Family | None
    end: End | None
    owner: str  # id of the part or sheet that carries it
    position: Point | None  # vehicle frame [m]; None when it cannot be told
    axis: Point | None

    @property
    def there(self) -> str:
        """Whether this port exists: yes, no, unknown."""
        return self.record.there


@dataclass(frozen=True)
class AssembledPart:
    """A part on a sheet, or a sheet as the part that it is."""

    id: str  # sheet.part, or the sheet
    sheet: str
    side: Side
    label: str
    kind: str
    functions: tuple[str, ...]
    record: Part | Sheet


@dataclass(frozen=True)
class AssembledJoin:
    """A join with its ports and pieces resolved."""

    id: str
    record: Join
    ends: tuple[AssembledPort, AssembledPort]
    service: Service
    pieces: tuple[str, ...]  # ids of items, part sheets or parts

    @property
    def progress(self) -> Progress:
        """How far it has come."""
        return self.record.progress

    def holds_at(self, stage: Stage) -> bool:
        """True when this join is meant to be there at a stage."""
        return self.record.start.order <= stage.order <= self.record.end.order

    def other(self, port: str) -> AssembledPort:
        """The port at the other end."""
        return self.ends[1] if self.ends[0].id == port else self.ends[0]


@dataclass(frozen=True)
class Holder:
    """What carries facts: which kinds of subject it counts as, its label and its facts."""

    id: str
    subjects: tuple[Subject, ...]
    label: str
    facts: Mapping[str, Value]
    kind: str = ""  # of items and parts: hose, tank …


@dataclass(frozen=True)
class Assembly:
    """One build at one stage, planned or as it stands."""

    build: Build
    stage: Stage
    as_it_stands: bool
    sheets: Mapping[str, Sheet]
    sides: Mapping[str, Side]  # by sheet id
    ports: Mapping[str, AssembledPort]
    parts: Mapping[str, AssembledPart]
    joins: Mapping[str, AssembledJoin]  # all of them; see ``joined``
    items: Mapping[str, Item]
    holders: Mapping[str, Holder]
    readings: Mapping[str, Value]  # by "subject.fact" or "sheet.port.end.dimension"
    renamed: Mapping[str, str] = field(default_factory=dict)  # former id -> id
    still_former: Mapping[str, str] = field(default_factory=dict)  # references to former ids

    # -- roles -------------------------------------------------------------

    def resolve(self, reference: str) -> str:
        """The present id of what a reference names, also by a former id."""
        return resolved(reference, self.renamed)

    @property
    def recipient(self) -> str:
        """Id of the vehicle that receives."""
        return self.resolve(self.build.recipient)

    @property
    def engine(self) -> str:
        """Id of the incoming engine's sheet; empty when none is named."""
        return self.resolve(self.build.engine)

    @property
    def gearbox(self) -> str:
        """Id of the gearbox that will drive; empty when none is named."""
        return self.resolve(self.build.gearbox)

    @property
    def outgoing_engine(self) -> str:
        """Id of the outgoing engine's sheet; empty when none is named."""
        outgoing = map(self.resolve, self.build.outgoing)
        engines = (each for each in outgoing if self.sheets[each].kind is Kind.ENGINE)
        return next(engines, "")

    @cached_property
    def gates_passed(self) -> frozenset[Gate]:
        """Gates with a day on which they were passed."""
        return frozenset(gate for gate, day in self.build.gates.items() if day.known)

    def gate_passed(self, gate: Gate) -> bool:
        """True when the build records this gate as passed."""
        return gate in self.gates_passed

    @cached_property
    def next_gate(self) -> Gate:
        """The first gate that is not passed."""
        ahead = [gate for gate in Gate if gate not in (*self.gates_passed, Gate.JOB)]
        return ahead[0] if ahead else Gate.INSPECTION

    def near(self, gate: Gate) -> bool:
        """True for the first gate not passed and earlier ones; a job's own gate once one began."""
        if gate is Gate.JOB:
            return any(job.state == "begun" for job in self.jobs.values())
        return gate.order <= self.next_gate.order

    # -- joins and fates at this stage -------------------------------------

    @cached_property
    def joined(self) -> Mapping[str, AssembledJoin]:
        """Joins that count at this stage: as planned, or only those that stand."""
        return {
            name: join
            for name, join in self.joins.items()
            if join.holds_at(self.stage) and (join.progress.stands or not self.as_it_stands)
        }

    @cached_property
    def join_of(self) -> Mapping[str, AssembledJoin]:
        """The join that counts, by port id."""
        return {port.id: join for join in self.joined.values() for port in join.ends}

    @cached_property
    def stated_fates(self) -> Mapping[str, Fate]:
        """The stated fate that holds at this stage, by port id."""
        holding: dict[str, Fate] = {}
        for fate in sorted(self.build.fates, key=lambda each: each.start.order):
            if fate.start.order <= self.stage.order:
                holding[self.resolve(fate.port)] = fate
        return holding

    def fate(self, port: str) -> FateWord:
        """What becomes of a port at this stage."""
        stated = self.stated_fates.get(port)
        if port in self.join_of and (
            stated is None or stated.start.order <= self.join_of[port].record.start.order
        ):
            return FateWord.JOINED
        return FateWord(stated.fate) if stated is not None else FateWord.OPEN

    def partner(self, port: str) -> AssembledPort | None:
        """The port it is joined to at this stage."""
        join = self.join_of.get(port)
        return join.other(port) if join else None

    # -- looking things up -------------------------------------------------

    def ports_of(self, *families: str, side: Side | None = None) -> tuple[AssembledPort, ...]:
        """Ports of any of these families that are or may be there."""
        return tuple(
            port
            for port in self.ports.values()
            if port.family is not None
            and port.family.id in families
            and port.there != "no"
            and (side is None or port.side is side)
        )

    def joins_of(self, *services: Service) -> tuple[AssembledJoin, ...]:
        """Joins that count at this stage and carry any of these services."""
        return tuple(join for join in self.joined.values() if join.service in services)

    def parts_of_kind(self, *kinds: str, sides: tuple[Side, ...] = ()) -> tuple[AssembledPart, ...]:
        """Parts of any of these kinds, on these sides (none given: on all but the outgoing)."""
        wanted = sides or (Side.CAR, Side.NEWCOMER, Side.SHELF)
        return tuple(
            part for part in self.parts.values() if part.kind in kinds and part.side in wanted
        )

    def label(self, subject: str) -> str:
        """How a subject is called on pages."""
        if subject in self.ports:
            return self.ports[subject].label
        holder = self.holders.get(subject)
        return holder.label if holder and holder.label else subject

    # -- facts -------------------------------------------------------------

    def fact(self, subject: str, name: str) -> Value:
        """What is known of one fact of one subject.

        Readings win over what a sheet says; the fate that holds adds to its
        port; a join asks the pieces it is made of. Unknown is an answer.

        Raises
        ------
        KeyError
            If there is no such subject or no such fact: a mistake in the program.
        """
        definition = fact_book()[name]
        reading = self.readings.get(f"{subject}.{name}")
        if reading is not None:
            return reading
        fate = self.stated_fates.get(subject)
        if fate is not None and name in fate.facts:
            return fate.facts[name]
        stated = self.holders[subject].facts.get(name)
        if stated is not None:
            return stated
        if definition.pieces and subject in self.joins:
            return self._from_pieces(self.joins[subject], definition)
        return NOTHING_SAID

    def _from_pieces(self, join: AssembledJoin, definition: FactDefinition) -> Value:
        held = [
            self.fact(piece, definition.name)
            for piece in join.pieces
            if not definition.piece_kinds or self.holders[piece].kind in definition.piece_kinds
        ]
        decisive = {"any": True, "all": False}.get(definition.pieces)
        settled = [value for value in held if value.content is decisive]
        if settled:
            return settled[0]
        if not held or any(not value.known for value in held):
            return NOTHING_SAID
        return _combined(held, definition)

    def facts_said(self) -> Iterator[tuple[str, str, Value]]:
        """Every fact that somebody said: subject, name, value as it counts."""
        for holder in self.holders.values():
            for name in holder.facts:
                yield holder.id, name, self.fact(holder.id, name)

    # -- stock and work ----------------------------------------------------

    @property
    def stock(self) -> Mapping[str, Stock]:
        """What has been bought, salvaged or is on its way."""
        return self.build.stock

    @property
    def jobs(self) -> Mapping[str, Job]:
        """Pieces of work that the build mentions."""
        return self.build.jobs

    @cached_property
    def function_places(self) -> Mapping[str, str]:
        """Where each function goes that the build says a place for, as sheet.part.function."""
        places = {}
        for name, place in self.build.functions.items():
            part, dot, function = name.rpartition(".")
            if place not in ("", "unknown"):
                places[f"{self.resolve(part)}{dot}{function}"] = place
        return places

    @property
    def steps(self) -> Mapping[str, Step]:
        """What cannot be taken back."""
        return self.build.steps


def resolved(reference: str, renamed: Mapping[str, str]) -> str:
    """Follow former ids of sheets and of what stands on them.

    Parameters
    ----------
    reference : str
        ``sheet``, ``sheet.port``, ``sheet.part``, or a plain id.
    renamed : mapping
        Present ids by former ones, ``sheet.port`` among them under the sheet's present id.
    """
    if reference in renamed:
        return renamed[reference]
    sheet, dot, rest = reference.partition(".")
    if dot and sheet in renamed:
        moved = f"{renamed[sheet]}.{rest}"
        return renamed.get(moved, moved)
    return reference


def _combined(values: list[Value], definition: FactDefinition) -> Value:
    if definition.pieces in ("any", "all"):
        return _said_alike(values, definition.sort.name == "choice")
    measured = [value for value in values if isinstance(value.content, Measure)]
    if not measured:
        return values[0]  # there is none of it: the rule hears "absent"
    if len(measured) < len(values):
        return NOTHING_SAID  # one piece has a figure and another none: asked of the join
    chosen = min if definition.pieces == "least" else max
    return chosen(measured, key=lambda value: value.content.nominal)  # type: ignore[union-attr]


def _said_alike(values: list[Value], one_word: bool) -> Value:
    """What pieces say together: a piece without it decides; unlike words are asked of the join."""
    lacking = [value for value in values if value.content is ABSENT]
    unlike = one_word and len({value.content for value in values}) > 1
    return lacking[0] if lacking else NOTHING_SAID if unlike else values[0]


def is_date_past(day: Value, as_of: date) -> bool | None:
    """True when a stated day lies before ``as_of``; None when no day is known."""
    return day.content < as_of if isinstance(day.content, date) else None
