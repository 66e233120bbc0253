"""Sheets: reusable descriptions of a vehicle, an engine, a gearbox, a part, and catalogues."""

import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator
from pydantic_core import PydanticCustomError

from swapwright.model.record import (
    Angle,
    FactsOf,
    Length,
    Listed,
    Mapped,
    MaybeEnd,
    Number,
    Price,
    Record,
    Said,
    Share,
    Spot,
    Text,
    Whole,
    Year,
)
from swapwright.model.values import NOTHING_SAID, Value
from swapwright.model.words import Flow, Kind, Service, Subject

ID = re.compile(r"^[A-Za-z][A-Za-z0-9_-]{0,60}$")
FORMAT = 1


def _id(raw: object) -> object:
    if isinstance(raw, str) and not ID.match(raw):
        context = {
            "found": f'"{raw[:60]}"',
            "wanted": "a name of letters, digits and hyphens that begins with a letter",
            "example": "pushrod-four", "nearest": "",
        }  # fmt: skip
        raise PydanticCustomError("said_wrong", "{found}", context)
    return raw


Id = Annotated[str, BeforeValidator(_id)]


def _unknown_is_nothing(raw: object) -> object:
    return {} if raw in (None, "unknown") else raw


class Place(Record):
    """Where a port is: in words, pinned on a photograph, or measured in its sheet's frame."""

    words: Text = ""
    at: Annotated[Spot | None, BeforeValidator(lambda r: None if r == "unknown" else r)] = None
    axis: tuple[Number, Number, Number] | None = None  # outward unit direction
    photo: Text = ""
    pin: tuple[Number, Number] | None = None  # shares of the photograph's width and height

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, raw: Any) -> Any:
        return {"words": raw} if isinstance(raw, str) else _unknown_is_nothing(raw)


class PlugHalf(Record):
    """An electrical end whose other half matters."""

    half: Literal["pin", "socket", "unknown"] = "unknown"
    on: Text = ""  # the loom or part that carries this half
    mate: Text = ""  # the loom or part that carries, or carried, the other half
    mate_seen: Annotated[Value, Said("yes or no")] = NOTHING_SAID
    pins: Annotated[tuple[str, ...], Listed] = ()  # connector and cavity, such as X1-3


MOVES_WITH = Literal["body", "engine", "axle", "column", "door", "unknown"]
Span = tuple[Length, Length]  # from, to


class Cylinder(Record):
    """A round solid, or the disc that a rotor sweeps: two points of its axis and a radius."""

    ends: tuple[Spot, Spot]
    radius: Length


class Panel(Record):
    """A thin flat wall by its corners in turn, and a way through it by the corners of that."""

    corners: Annotated[tuple[Spot, ...], Field(min_length=3)]
    opening: Annotated[tuple[Spot, ...], Listed] = ()


class Solid(Record):
    """One simple shape that a part fills or sweeps, in the frame of its sheet. [m]

    A part sheet that belongs to no engine or gearbox is in the vehicle frame. ``nose_up``
    turns a box about its middle, in the sense in which a pose turns the engine.
    """

    label: Text = ""
    box: tuple[Span, Span, Span] | None = None  # x, y, z
    nose_up: Angle = NOTHING_SAID  # of a box; unsaid: along the axes
    cylinder: Cylinder | None = None
    panel: Panel | None = None
    turns: Annotated[Value, Said("yes or no")] = NOTHING_SAID  # it rotates or sweeps
    note: Text = ""

    @model_validator(mode="after")
    def _one_shape(self) -> "Solid":
        shapes = [each for each in (self.box, self.cylinder, self.panel) if each is not None]
        if len(shapes) != 1:
            context = {
                "found": f"{len(shapes)} shapes", "wanted": "one of box, cylinder, panel",
                "example": "box: [[0 mm, 90 mm], [0 mm, 60 mm], [0 mm, 30 mm]]", "nearest": "",
            }  # fmt: skip
            raise PydanticCustomError("said_wrong", "{found}", context)
        return self


class Port(Record):
    """One place where something crosses a part's boundary."""

    label: Text = ""
    family: Text = ""
    part: Text = ""
    there: Literal["yes", "no", "unknown"] = "yes"
    why: Text = ""  # why it is not there
    share: Share = NOTHING_SAID  # of such vehicles that have it
    service: Service | None = None  # None: as its family
    candidates: Annotated[tuple[Service, ...], Listed] = ()
    flow: Flow | None = None
    end: MaybeEnd = None
    place: Place = Place()
    moves_with: MOVES_WITH = "unknown"
    was: Text = ""
    plug: PlugHalf | None = None
    seen: Annotated[Mapping[str, str], Mapped] = Field(default_factory=dict)
    condition: Text = ""
    photos: Annotated[tuple[str, ...], Listed] = ()
    told_by: Text = ""
    told_on: Text = ""
    formerly: Annotated[tuple[Id, ...], Listed] = ()
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.PORT)] = Field(default_factory=dict)

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, raw: Any) -> Any:
        return {"there": "unknown"} if raw == "unknown" else ({} if raw is None else raw)


class Part(Record):
    """A physical thing on a sheet that can be kept, moved or removed by itself."""

    label: Text = ""
    kind: Text = ""
    functions: Annotated[tuple[str, ...], Listed] = ()
    fits_also: Annotated[tuple[str, ...], Listed] = ()
    made_from: Text = ""
    source: Text = ""
    condition: Text = ""
    count: Whole = NOTHING_SAID
    envelope: Annotated[tuple[Solid, ...], Listed] = ()  # what it fills
    moves_with: MOVES_WITH = "unknown"
    photos: Annotated[tuple[str, ...], Listed] = ()
    formerly: Annotated[tuple[Id, ...], Listed] = ()
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.PART)] = Field(default_factory=dict)

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, raw: Any) -> Any:
        return {"label": raw} if isinstance(raw, str) else ({} if raw is None else raw)


class Starter(Record):
    """From which starter sheet, and which version of it, a sheet was copied."""

    sheet: str
    version: Whole


class Document(Record):
    """What every document carries."""

    format: Literal["1"] = "1"
    kind: Kind
    id: Id
    label: Text = ""
    formerly: Annotated[tuple[Id, ...], Listed] = ()
    note: Text = ""


class Sheet(Document):
    """A description with ports: base of vehicle, engine, gearbox and part sheets."""

    starter: Starter | None = None
    year: Year = NOTHING_SAID
    source: Text = ""
    photos: Annotated[tuple[str, ...], Listed] = ()
    parts: Annotated[Mapping[Id, Part], Mapped] = Field(default_factory=dict)
    ports: Annotated[Mapping[Id, Port], Mapped] = Field(default_factory=dict)
    facts: Mapping[str, Value] = Field(default_factory=dict)


class Vehicle(Sheet):
    """A vehicle that receives, or the car that the newcomer came in."""

    kind: Literal[Kind.VEHICLE]
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.VEHICLE)] = Field(default_factory=dict)


class Engine(Sheet):
    """An engine, dressed."""

    kind: Literal[Kind.ENGINE]
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.ENGINE)] = Field(default_factory=dict)


class Gearbox(Sheet):
    """A gearbox."""

    kind: Literal[Kind.GEARBOX]
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.GEARBOX)] = Field(default_factory=dict)


class PartSheet(Sheet):
    """A part with ports of its own, bought, salvaged or made."""

    kind: Literal[Kind.PART]
    role: Text = ""  # the kind of part: tank, canister, filter bracket …
    functions: Annotated[tuple[str, ...], Listed] = ()
    fits_also: Annotated[tuple[str, ...], Listed] = ()
    made_from: Text = ""
    condition: Text = ""
    envelope: Annotated[tuple[Solid, ...], Listed] = ()  # what it fills
    moves_with: MOVES_WITH = "unknown"
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.PART)] = Field(default_factory=dict)


class Item(Record):
    """Something a shop or a shelf holds, to be put into a join."""

    label: Text = ""
    kind: Text = ""
    service: Annotated[tuple[Service, ...], Listed] = ()
    ends: Annotated[tuple[MaybeEnd, ...], Listed] = ()
    small: Annotated[tuple[str, ...], Listed] = ()  # small parts it needs: clamps, seals
    standard: Text = ""
    price: Price = NOTHING_SAID
    formerly: Annotated[tuple[Id, ...], Listed] = ()
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.ITEM)] = Field(default_factory=dict)


class Catalogue(Document):
    """Items by id."""

    kind: Literal[Kind.CATALOGUE]
    source: Text = ""
    version: Whole = NOTHING_SAID
    items: Annotated[Mapping[Id, Item], Mapped] = Field(default_factory=dict)
