"""Closed lists of words that documents, analyses and pages share."""

from enum import StrEnum
from functools import cached_property


class Kind(StrEnum):
    """What a document describes."""

    VEHICLE = "vehicle"
    ENGINE = "engine"
    GEARBOX = "gearbox"
    PART = "part"
    CATALOGUE = "catalogue"
    BUILD = "build"


class Service(StrEnum):
    """What a port carries."""

    COOLANT = "coolant"
    OIL = "oil"
    FUEL_FEED = "fuel feed"
    FUEL_RETURN = "fuel return"
    FUEL_VAPOUR = "fuel vapour"
    VACUUM = "vacuum"
    INTAKE_AIR = "intake air"
    EXHAUST_GAS = "exhaust gas"
    REFRIGERANT = "refrigerant"
    HYDRAULIC = "hydraulic fluid"
    CABLE_PULL = "cable pull"
    ELECTRICAL = "electrical"
    GROUND = "ground"
    DRIVE = "drive"
    SUPPORT = "support"
    UNKNOWN = "unknown"


class Flow(StrEnum):
    """Direction at a port, seen from the part that owns it."""

    IN = "in"
    OUT = "out"
    NONE = "none"
    UNKNOWN = "unknown"


class FateWord(StrEnum):
    """What becomes of a port."""

    OPEN = "open"
    JOINED = "joined"
    CAPPED = "capped"
    PARKED = "parked"
    KEPT = "kept"
    RELOCATED = "relocated"
    REMOVED = "removed"


class Stage(StrEnum):
    """A state of the car that is analysed by itself, in order."""

    FIRST_START = "first start"
    FIRST_DRIVE = "first drive"
    FINISHED = "finished"

    @cached_property  # asked for at every comparison
    def order(self) -> int:
        """Position in time, from 0."""
        return list(Stage).index(self)


class Gate(StrEnum):
    """By when something must be known or done, in order."""

    PULLED = "before it is pulled"
    ORDERED = "before parts are ordered"
    CUT = "before anything is cut"
    GOES_IN = "before it goes in"
    FIRST_START = "before first start"
    FIRST_METRE = "before the first metre"
    ROAD_TEST = "before the road test"
    INSPECTION = "before inspection"
    JOB = "before the job"

    @cached_property  # asked for at every comparison
    def order(self) -> int:
        """Position in time, from 0; the job's own gate counts last."""
        return list(Gate).index(self)


class Progress(StrEnum):
    """How far a join has come."""

    PLANNED = "planned"
    IN_HAND = "in hand"
    FITTED = "fitted"
    PROVED = "proved"

    @property
    def stands(self) -> bool:
        """True when the join is really on the car."""
        return self in (Progress.FITTED, Progress.PROVED)


class SmallPart(StrEnum):
    """State of a small part of a join: seal, washer, clamp, clip."""

    HAVE = "have"
    LOST = "lost"
    ORDERED = "ordered"
    RENEWED = "renewed"
    REUSED = "reused"
    UNKNOWN = "unknown"


class StockState(StrEnum):
    """Where a bought or salvaged thing is."""

    WANTED = "wanted"
    ORDERED = "ordered"
    HERE = "here"
    DAMAGED = "damaged"
    FITTED = "fitted"


class Bought(StrEnum):
    """How much of the donor came."""

    ALONE = "alone"
    WITH_GEARBOX = "with gearbox"
    WHOLE_CAR = "whole car"
    UNKNOWN = "unknown"


class Side(StrEnum):
    """To whom a sheet belongs in a build."""

    CAR = "car"
    NEWCOMER = "newcomer"
    OUTGOING = "outgoing"
    SHELF = "shelf"


class Subject(StrEnum):
    """What a fact may be about."""

    BUILD = "build"
    VEHICLE = "vehicle"
    ENGINE = "engine"
    GEARBOX = "gearbox"
    PART = "part"
    PORT = "port"
    JOIN = "join"
    ITEM = "item"
    JOB = "job"
    STOCK = "stock"


class Pile(StrEnum):
    """Where a crossing is told first; the worse first."""

    HURT = "can hurt you"
    DECIDE = "must be decided"
    CARRIES = "carries over"


class Urgency(StrEnum):
    """How urgent a finding is; ``ask`` is a rule that lacks a fact."""

    STOP = "stop"
    ROAD = "before the road"
    FIX = "worth fixing"
    NOTE = "note"
    ASK = "ask"

    @cached_property  # asked for at every comparison
    def order(self) -> int:
        """Worst first, from 0."""
        return list(Urgency).index(self)


class Signal(StrEnum):
    """Signal word of ANSI Z535 / ISO 3864, for hazards to people only."""

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
