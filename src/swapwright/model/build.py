"""The build document: what one person does with these sheets."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema, model_validator

from swapwright.model.record import (
    Angle,
    Area,
    Current,
    Day,
    FactsOf,
    Hours,
    Length,
    Listed,
    Mapped,
    Mass,
    Number,
    Power,
    Price,
    Record,
    Share,
    Speed,
    Spin,
    Spot,
    Temperature,
    Text,
    Voltage,
    YesNo,
)
from swapwright.model.sheets import Document, Id
from swapwright.model.values import NOTHING_SAID, Value
from swapwright.model.words import (
    Bought,
    FateWord,
    Gate,
    Kind,
    Progress,
    Service,
    SmallPart,
    Stage,
    StockState,
    Subject,
)

OneOrMore = Annotated[
    tuple[str, ...],
    Listed,
    BeforeValidator(lambda raw: [raw] if isinstance(raw, str) else raw),
    WithJsonSchema({"anyOf": [{"type": "string"}, {"type": "array", "items": {"type": "string"}}]}),
]


class Pose(Record):
    """Where the incoming engine's origin lies in the vehicle, and how it is turned."""

    at: tuple[Length, Length, Length]
    nose_up: Angle = NOTHING_SAID
    roll: Angle = NOTHING_SAID
    yaw: Angle = NOTHING_SAID


class StandIn(Record):
    """A part that serves until a named one comes."""

    item: Text = ""
    until: Day = NOTHING_SAID
    distance: Length = NOTHING_SAID
    limits: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.ITEM)] = Field(default_factory=dict)


class Proof(Record):
    """What was tested, what was expected, what was found."""

    test: Text = ""
    expected: Text = ""
    measured: Text = ""
    on: Day = NOTHING_SAID
    by: Text = ""


class Route(Record):
    """The way of a hose, line, cable or pipe between its two ends, in the vehicle frame."""

    via: Annotated[tuple[Spot, ...], Listed] = ()  # corners between the two ends
    begins: Spot | None = None  # where no port stands at its first end
    ends: Spot | None = None  # where no port stands at its last end
    length: Length = NOTHING_SAID  # as measured along it
    bore: Length = NOTHING_SAID  # inside diameter, of what would lie there
    outside: Length = NOTHING_SAID  # outside diameter, of what lies or would lie there
    note: Text = ""


class Join(Record):
    """Two ports made one through a chain of pieces."""

    label: Text = ""
    ends: tuple[str, str]
    service: Service | None = None
    through: Annotated[tuple[str, ...], Listed] = ()
    route: Route | None = None
    small: Annotated[Mapping[str, SmallPart], Mapped] = Field(default_factory=dict)
    progress: Progress = Progress.PLANNED
    start: Stage = Field(Stage.FIRST_START, alias="from")
    end: Stage = Field(Stage.FINISHED, alias="to")
    stand_in: StandIn | None = None
    proof: Proof | None = None
    decision: Literal["keep", "adapt", "replace", "relocate", "unresolved"] | None = None
    price: Price = NOTHING_SAID
    hours: Hours = NOTHING_SAID
    reason: Text = ""
    evidence: Text = ""
    photos: Annotated[tuple[str, ...], Listed] = ()
    formerly: Annotated[tuple[Id, ...], Listed] = ()
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.JOIN)] = Field(default_factory=dict)


class Fate(Record):
    """What becomes of a port that is not joined, from a stage on."""

    port: str
    fate: Literal[
        FateWord.CAPPED,
        FateWord.PARKED,
        FateWord.KEPT,
        FateWord.RELOCATED,
        FateWord.REMOVED,
        FateWord.OPEN,
    ]
    start: Stage = Field(Stage.FIRST_START, alias="from")
    to: Text = ""  # relocated: where to
    until: Text = ""  # parked: until when
    done: YesNo = NOTHING_SAID
    reason: Text = ""
    evidence: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.PORT)] = Field(default_factory=dict)


class Option(Record):
    """One answer to a decision."""

    label: Text = ""
    adds: Annotated[tuple[str, ...], Listed] = ()
    removes: Annotated[tuple[str, ...], Listed] = ()
    jobs: Annotated[tuple[str, ...], Listed] = ()
    route: Route | None = None
    money: Price = NOTHING_SAID
    hours: Hours = NOTHING_SAID
    note: Text = ""

    @model_validator(mode="before")
    @classmethod
    def _short_form(cls, raw: Any) -> Any:
        return {"label": raw} if isinstance(raw, str) else ({} if raw is None else raw)


class Decision(Record):
    """A question the builder must answer, and its answers."""

    question: str
    options: Annotated[Mapping[Id, Option], Mapped] = Field(default_factory=dict)
    chosen: Text = "unknown"
    gate: Gate = Gate.ORDERED
    about: Annotated[tuple[str, ...], Listed] = ()
    why: Text = ""
    reason: Text = ""
    on: Day = NOTHING_SAID
    weights: Annotated[Mapping[str, Number], Mapped] = Field(default_factory=dict)


class Run(Record):
    """One way of a circuit: copper of a length and an area, or something else that carries it."""

    length: Length = NOTHING_SAID
    area: Area = NOTHING_SAID  # copper alone
    through: Text = ""  # instead of a wire: engine, case, a circuit's or a port's id


class Circuit(Record):
    """A load with its feed, its way back to the battery and its fuse."""

    label: Text = ""
    join: Text = ""  # the join that is its feed
    current: Current = NOTHING_SAID  # steady; of a source, its rating
    peak: Current = NOTHING_SAID
    supply: Run = Run()
    ground: Run = Run()
    fuse: Current = NOTHING_SAID
    fuse_kind: Text = ""
    fuse_of: Text = ""  # the circuit whose fuse serves it too
    note: Text = ""


class Case(Record):
    """A stated condition under which a circuit is computed; what is left out is as shipped."""

    label: Text = ""
    engine_speed: Spin = NOTHING_SAID  # or as a share of rated speed, or idle
    speed_share: Share = NOTHING_SAID
    idle: YesNo = NOTHING_SAID
    power: Power = NOTHING_SAID  # or as a share of rated power
    power_share: Share = NOTHING_SAID
    grade: Share = NOTHING_SAID  # of the road; then power is what the laden car needs there
    trailer: Mass = NOTHING_SAID
    road_speed: Speed = NOTHING_SAID
    at_top_speed: YesNo = NOTHING_SAID
    air: Temperature = NOTHING_SAID  # of the air outside
    coolant: Temperature = NOTHING_SAID  # of all coolant, where nothing is in balance yet
    altitude: Length = NOTHING_SAID
    fan: Literal["on", "off", ""] = ""
    fan_voltage: Voltage = NOTHING_SAID
    heater: Literal["open", "shut", ""] = ""


class Weight(Record):
    """A mass and where its centre is, in the vehicle frame."""

    label: Text = ""
    mass: Mass = NOTHING_SAID
    at: Spot | None = None
    part: Text = ""  # the sheet or part that it is of
    note: Text = ""


class Ledger(Record):
    """What leaves the vehicle and what comes in, weighed; and what hangs on the mounts."""

    out: Annotated[Mapping[Id, Weight], Mapped] = Field(default_factory=dict)
    into: Annotated[Mapping[Id, Weight], Mapped] = Field(default_factory=dict, alias="in")
    on_mounts: Weight | None = None


class Step(Record):
    """Something that cannot be taken back."""

    does: Literal["cut", "discard", "cap", "remove", "weld", "drill", "sell"]
    what: tuple[str, ...]
    planned: Day = NOTHING_SAID
    done: YesNo = NOTHING_SAID
    reason: Text = ""


class Stock(Record):
    """Something bought, salvaged or on its way."""

    label: Text = ""
    item: Text = ""
    state: StockState = StockState.HERE
    due: Day = NOTHING_SAID
    usable: OneOrMore = Field((), alias="for")  # joins or ports it is meant for
    source: Text = ""
    condition: Text = ""
    missing: Annotated[tuple[str, ...], Listed] = ()
    price: Price = NOTHING_SAID
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.STOCK)] = Field(default_factory=dict)


class Job(Record):
    """A piece of work of this build."""

    label: Text = ""
    state: Literal["planned", "begun", "done", "not needed", "unknown"] = "planned"
    hours: Hours = NOTHING_SAID
    on: Day = NOTHING_SAID
    after: Annotated[tuple[str, ...], Listed] = ()
    about: Annotated[tuple[str, ...], Listed] = ()
    note: Text = ""
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.JOB)] = Field(default_factory=dict)


class Reading(Record):
    """Something measured on the car, or read off a part; the sort is that of the fact it is of."""

    of: str
    value: str
    by: Text = ""
    on: Text = ""
    who: Text = ""
    photo: Text = ""
    note: Text = ""


class RedLineProof(Record):
    """When and how a red line was cleared."""

    proved: Day
    proof: Text = ""
    by: Text = ""
    photo: Text = ""
    digest: Text = ""


class Acceptance(Record):
    """A finding the builder lives with, for a reason."""

    finding: str
    reason: str
    on: Day
    digest: Text = ""


class Limit(Record):
    """A threshold of the rule book that this build sets otherwise."""

    value: str
    reason: str


class Build(Document):
    """One person's swap."""

    kind: Literal[Kind.BUILD]
    units: Literal["metric", "us"] = "metric"
    currency: Text = "EUR"
    recipient: str
    engine: Text = ""
    gearbox: Text = ""
    donor_car: Text = ""
    outgoing: Annotated[tuple[str, ...], Listed] = ()
    shelf: Annotated[tuple[str, ...], Listed] = ()  # part sheets that serve this build
    bought: Bought = Bought.UNKNOWN
    pose: Annotated[
        Pose | None,
        BeforeValidator(
            lambda raw: None if raw == "unknown" else raw,
            json_schema_input_type=Pose | Literal["unknown"] | None,
        ),
    ] = None
    gates: Annotated[Mapping[Gate, Day], Mapped] = Field(default_factory=dict)
    survey: Annotated[Mapping[str, str], Mapped] = Field(default_factory=dict)
    joins: Annotated[Mapping[Id, Join], Mapped] = Field(default_factory=dict)
    fates: Annotated[tuple[Fate, ...], Listed] = ()
    decisions: Annotated[Mapping[Id, Decision], Mapped] = Field(default_factory=dict)
    steps: Annotated[Mapping[Id, Step], Mapped] = Field(default_factory=dict)
    cases: Annotated[Mapping[Id, Case], Mapped] = Field(default_factory=dict)
    circuits: Annotated[Mapping[Id, Circuit], Mapped] = Field(default_factory=dict)
    idle_loads: Annotated[Mapping[Id, Current], Mapped] = Field(default_factory=dict)
    ledger: Ledger | None = None
    reserve: Share = NOTHING_SAID  # put aside, as a share of all prices
    functions: Annotated[Mapping[str, str], Mapped] = Field(default_factory=dict)
    stock: Annotated[Mapping[Id, Stock], Mapped] = Field(default_factory=dict)
    jobs: Annotated[Mapping[Id, Job], Mapped] = Field(default_factory=dict)
    readings: Annotated[tuple[Reading, ...], Listed] = ()
    red_lines: Annotated[Mapping[str, RedLineProof], Mapped] = Field(default_factory=dict)
    limits: Annotated[Mapping[str, Limit], Mapped] = Field(default_factory=dict)
    accepted: Annotated[tuple[Acceptance, ...], Listed] = ()
    facts: Annotated[Mapping[str, Value], FactsOf(Subject.BUILD)] = Field(default_factory=dict)
