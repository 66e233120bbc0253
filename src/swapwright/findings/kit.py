"""What a rule is made of: what it looks at, what it may read, how it trips or asks."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from swapwright.library.rulebook import limit_texts, read_limit
from swapwright.model.amount import Amount, Chance
from swapwright.model.assembly import Assembly
from swapwright.model.ends import End
from swapwright.model.facts import fact_book
from swapwright.model.message import Spoken
from swapwright.model.values import ABSENT, UNKNOWN, Value
from swapwright.model.words import FateWord, Flow, Kind, Service, Side, Signal, Urgency
from swapwright.quantity import Measure, Money

TOO_CLOSE = 0.05  # below this chance a limit counts as kept
TRIPS = 0.5
# What a rule may lack beside facts: pieces of structure, each as it is told and how to settle it.
STRUCTURE: Mapping[str, tuple[str, str]] = {
    "fate": ("nothing is decided yet", "Decide what becomes of it."),
    "there": ("not known whether there is one", "Look whether this vehicle has it."),
    "service": (
        "not known what it carries",
        "Find out what it carries; swapwright identify helps with stubs, tubes and plugs.",
    ),
    "flow": (
        "not known which way it flows",
        "Find out which way it flows; swapwright identify names the safe test.",
    ),
    "end": ("not known how it ends", "Look how it ends, and measure that."),
    "pieces": ("not known what it is made of", "Name the pieces this join is made of."),
    "moves with": (
        "not known what it moves with",
        "Say whether it moves with the engine or stays with the body.",
    ),
    "small parts": (
        "not known whether its small parts are there",
        "Look whether its clamps, seals, washers and clips are there; list them.",
    ),
    "mate": (
        "its other half was not looked for",
        "Look on both looms and on the parts taken off for the other half of this plug.",
    ),
    "functions": (
        "not known where its functions go",
        "Say where each of its functions goes: what takes over, or that nothing needs it.",
    ),
    "stand-in": (
        "not known what stands in",
        "Name the thing that stands in, and write down what it is rated for.",
    ),
    "year": (
        "its year is not known",
        "Read it in the papers, on the plate, the glass or the belts; about is enough.",
    ),
    "progress": (
        "not known how far it has come",
        "Say how far it has come: planned, begun, done or not needed; a step, done or not.",
    ),
}


class Lacking(Exception):
    """A rule needs something that nobody said yet."""

    def __init__(self, subject: str, name: str) -> None:
        self.subject, self.name = subject, name
        super().__init__(f"{subject}.{name}")


class TooClose(Exception):
    """The uncertainties do not allow a verdict."""

    def __init__(self, chance: float, values: Mapping[str, Spoken]) -> None:
        self.chance, self.values = chance, values
        super().__init__(f"chance {chance:.2f}")


class DoesNotApply(Exception):
    """The rule has nothing to say of this subject."""


@dataclass(frozen=True, slots=True)
class Trip:
    """A rule that has tripped."""

    values: Mapping[str, Spoken] = field(default_factory=dict)
    sure: float = 1.0
    urgency: Urgency | None = None  # other than the rule book's
    also: tuple[str, ...] = ()  # further subjects
    signal: Signal | None = None  # where the rule book's own does not fit this subject


@dataclass
class Look:
    """One rule's view of one subject; remembers what it read."""

    assembly: Assembly
    subject: str
    as_of: date
    reads: frozenset[str]
    uses: dict[tuple[str, str], Value] = field(default_factory=dict)  # what a finding rests on
    heard: dict[tuple[str, str], Value] = field(default_factory=dict)  # all that was read
    memory_limits: list[str] = field(default_factory=list)

    # -- facts: each raises Lacking when unknown -----------------------------

    def value(self, name: str, of: str | None = None) -> Value:
        """One fact of the subject, or of another one; recorded.

        Raises
        ------
        Lacking
            When it is unknown.
        """
        value = self.said(name, of)
        if value.content is UNKNOWN:
            self.uses[(of or self.subject, name)] = value
            raise Lacking(of or self.subject, name)
        return value

    def said(self, name: str, of: str | None = None) -> Value:
        """One fact of the subject, or of another one, unknown being an answer; recorded."""
        if name not in self.reads:
            raise KeyError(f"a rule reads {name} without declaring it")
        subject = of or self.subject
        value = self.assembly.fact(subject, name)
        self.heard[(subject, name)] = value
        if value.known:
            self.uses[(subject, name)] = value
        return value

    def absent(self, name: str, of: str | None = None) -> bool:
        """True when it was said that there is none."""
        return self.value(name, of).content is ABSENT

    def amount(self, name: str, of: str | None = None) -> Amount:
        """A measured fact with its spread; the rule does not apply where there is none."""
        content = self.value(name, of).content
        if content is ABSENT:
            raise DoesNotApply
        assert isinstance(content, Measure), name
        return Amount.of(content)

    def si(self, name: str, of: str | None = None) -> float:
        """The nominal value of a measured fact. [SI]"""
        return self.amount(name, of).nominal

    def yes(self, name: str, of: str | None = None) -> bool:
        """A yes-or-no fact; absent counts as no."""
        return self.value(name, of).content is True

    def choice(self, name: str, of: str | None = None) -> str:
        """A chosen word or a text; ``absent`` when there is none."""
        return str(self.value(name, of).content)

    def count(self, name: str, of: str | None = None) -> int:
        """A whole number or a year; zero when there is none."""
        content = self.value(name, of).content
        if content is ABSENT:
            return 0
        assert isinstance(content, int), name
        return content

    def day(self, name: str, of: str | None = None) -> date | None:
        """A date; None when there is none."""
        content = self.value(name, of).content
        return content if isinstance(content, date) else None

    def money(self, name: str, of: str | None = None) -> Money | None:
        """A sum of money; None when there is none."""
        content = self.value(name, of).content
        return content if isinstance(content, Money) else None

    # -- structure -----------------------------------------------------------

    def fate(self, port: str | None = None) -> FateWord:
        """What becomes of a port; one that is still open lacks its fate."""
        fate = self.assembly.fate(port or self.subject)
        if fate is FateWord.OPEN:
            raise Lacking(port or self.subject, "fate")
        return fate

    def there(self, port: str | None = None) -> bool:
        """Whether a port exists at all."""
        answer = self.assembly.ports[port or self.subject].there
        if answer == "unknown":
            raise Lacking(port or self.subject, "there")
        return answer == "yes"

    def service(self, port: str | None = None) -> Service:
        """What a port carries."""
        service = self.assembly.ports[port or self.subject].service
        if service is Service.UNKNOWN:
            raise Lacking(port or self.subject, "service")
        return service

    def flow(self, port: str | None = None) -> Flow:
        """Which way it flows at a port, seen from the part that owns it."""
        flow = self.assembly.ports[port or self.subject].flow
        if flow is Flow.UNKNOWN:
            raise Lacking(port or self.subject, "flow")
        return flow

    def end(self, port: str | None = None) -> End:
        """How a port ends."""
        end = self.assembly.ports[port or self.subject].end
        if end is None:
            raise Lacking(port or self.subject, "end")
        return end

    def carries(self, *services: Service) -> Service:
        """What the join that this is about carries; ends the rule when it is none of these."""
        join = self.assembly.joins[self.subject]
        if join.service is Service.UNKNOWN:
            raise Lacking(join.ends[0].id, "service")
        if join.service not in services:
            raise DoesNotApply
        return join.service

    def crosses_to_engine(self) -> bool:
        """True for a join between what rocks with the engine and what does not."""
        first, second = self.assembly.joins[self.subject].ends
        return self.moves_with_engine(first.id) != self.moves_with_engine(second.id)

    def moves_with_engine(self, port: str) -> bool:
        """True for what rocks with the engine, False for what stays with body, axle or column."""
        assembled = self.assembly.ports[port]
        said = assembled.record.moves_with
        kind = self.assembly.sheets[assembled.sheet].kind
        if said == "unknown" and kind is Kind.PART:
            raise Lacking(port, "moves with")
        if said == "unknown":
            return kind in (Kind.ENGINE, Kind.GEARBOX)
        return said == "engine"

    # -- limits and verdicts -------------------------------------------------

    def limit(self, name: str) -> Amount:
        """A limit of the rule book, or this build's own."""
        shipped = limit_texts()[name]
        own = self.assembly.build.limits.get(name)
        if own is not None:
            return read_limit(name, own.value)
        if shipped.rests_on == "memory":
            self.memory_limits.append(name)
        return shipped.amount

    def factor(self, name: str) -> float:
        """A limit that is a plain factor or count."""
        return self.limit(name).nominal

    def trip(
        self,
        *,
        urgency: Urgency | None = None,
        also: tuple[str, ...] = (),
        signal: Signal | None = None,
        **values: Spoken,
    ) -> Trip:
        """The rule trips; ``values`` are what its message speaks of."""
        return Trip(values, 1.0, urgency, also, signal)

    def trip_if(
        self,
        holds: Chance | bool,
        *,
        urgency: Urgency | None = None,
        signal: Signal | None = None,
        also: tuple[str, ...] = (),
        **values: Spoken,
    ) -> Trip | None:
        """Trip when a condition holds, or more likely holds than not.

        Raises
        ------
        TooClose
            When the chance lies between 1/20 and 1/2.
        """
        chance = holds.p if isinstance(holds, Chance) else float(holds)
        if chance >= TRIPS:
            return Trip(values, chance, urgency, also, signal)
        if chance > TOO_CLOSE:
            raise TooClose(chance, values)
        return None


Check: TypeAlias = Callable[[Look], Trip | None]


def either(look: Look, *checks: Check) -> Trip | None:
    """The first of several conditions that trips; none does: the first question among them.

    One unknown fact so never hides what another fact already shows; what is told rests on
    the facts of its own condition alone.

    Raises
    ------
    Lacking, TooClose
        When none trips and one of them has no answer.
    """
    unanswered: list[tuple[Lacking | TooClose, dict[tuple[str, str], Value]]] = []
    before, memory = dict(look.uses), tuple(look.memory_limits)
    for check in checks:
        look.uses, look.memory_limits = dict(before), list(memory)
        try:
            trip = check(look)
        except DoesNotApply:
            continue
        except (Lacking, TooClose) as question:
            unanswered.append((question, look.uses))
        else:
            if trip is not None:
                return trip
    if unanswered:
        first, look.uses = unanswered[0]
        raise first
    return None


Over: TypeAlias = Callable[[Assembly], Iterable[str]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: what it is about, what it may read, and its check."""

    id: str
    over: Over
    reads: frozenset[str]
    check: Check


def rule(id: str, *, over: Over, reads: tuple[str, ...] = ()) -> Callable[[Check], Rule]:
    """Make a rule of a check.

    Parameters
    ----------
    id : str
        Of the rule book.
    over : callable
        Ids of the subjects, chosen by structure alone: families, services, roles, joins.
    reads : tuple of str
        Names of all facts that the check may read, of any subject.
    """
    unknown = [name for name in reads if name not in fact_book()]
    if unknown:
        raise KeyError(f"rule {id} reads facts that are not in the list: {unknown}")
    return lambda check: Rule(id, over, frozenset(reads), check)


# -- what rules look at ------------------------------------------------------


def the_build(assembly: Assembly) -> tuple[str, ...]:
    """The build itself."""
    return (assembly.build.id,)


def the_car(assembly: Assembly) -> tuple[str, ...]:
    """The vehicle that receives."""
    return (assembly.recipient,)


def the_engine(assembly: Assembly) -> tuple[str, ...]:
    """The incoming engine."""
    return (assembly.engine,) if assembly.engine else ()


def the_gearbox(assembly: Assembly) -> tuple[str, ...]:
    """The gearbox that will drive."""
    return (assembly.gearbox,) if assembly.gearbox else ()


def all_joins(assembly: Assembly) -> tuple[str, ...]:
    """All joins that count at this stage."""
    return tuple(assembly.joined)


def all_jobs(assembly: Assembly) -> tuple[str, ...]:
    """All jobs that the build mentions."""
    return tuple(assembly.jobs)


def all_stock(assembly: Assembly) -> tuple[str, ...]:
    """Everything in stock or on its way."""
    return tuple(assembly.stock)


def joins_carrying(*services: Service) -> Over:
    """Joins that carry any of these services; of unknown service as well."""
    return lambda assembly: tuple(join.id for join in assembly.joins_of(*services, Service.UNKNOWN))


def joins_at(*families: str) -> Over:
    """Joins of which an end belongs to any of these families."""
    return lambda assembly: tuple(
        join.id
        for join in assembly.joined.values()
        if any(end.family is not None and end.family.id in families for end in join.ends)
    )


def ports_in(*families: str, side: Side | None = None) -> Over:
    """Ports of these families, on one side or (none given) on car and newcomer."""
    sides = (side,) if side else (Side.CAR, Side.NEWCOMER)
    return lambda assembly: tuple(
        port.id for each in sides for port in assembly.ports_of(*families, side=each)
    )


def parts_of(*kinds: str) -> Over:
    """Parts of these kinds on car, newcomer or shelf."""
    return lambda assembly: tuple(part.id for part in assembly.parts_of_kind(*kinds))
