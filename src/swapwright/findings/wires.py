"""What the electrical rules share: which joins are wires of what, and where their figures stand."""

from collections.abc import Callable, Sequence

from swapwright.findings.kit import (
    TOO_CLOSE,
    DoesNotApply,
    Lacking,
    Look,
    Over,
    TooClose,
    Trip,
)
from swapwright.model.amount import Amount, Chance
from swapwright.model.assembly import AssembledJoin, AssembledPort, Assembly
from swapwright.model.values import Value
from swapwright.model.words import FateWord, Flow, Side
from swapwright.quantity import Measure

STAYS = (FateWord.KEPT, FateWord.RELOCATED)
LOST = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)
FEEDS = ("bpos", "alt", "ecu", "pump", "fan", "glow", "coil", "bayf")
COMPUTER_FEEDS = ("ecu", "coil")
COMPUTER_LINES = ("main", "ecu", "key", "vss", "coil", "diag")
GROUNDS = ("gnd", "gbod", "gecu")
# Cables and bundles that lie in the open; single wires of a loom lie in one of these.
ROUTED = ("st", "alt", "bpos", "main", "pump", "fan", "bayf", "glow", "lam")
ACROSS_THE_MOUNTS = ("st", "alt", "main", "lam", "gnd")


def family_of(port: AssembledPort) -> str:
    """Family of a port; empty when it has none."""
    return port.family.id if port.family else ""


def wires(*families: str) -> Over:
    """Joins with an end of any of these families."""
    return lambda assembly: tuple(join.id for join in _joins(assembly, families))


def unit_ports(*families: str) -> Over:
    """Ports of these families on the incoming engine and its gearbox alone."""
    return lambda assembly: tuple(port.id for port in ports_of_unit(assembly, *families))


def ports_of_unit(assembly: Assembly, *families: str) -> tuple[AssembledPort, ...]:
    """The same, as ports."""
    unit = (assembly.engine, assembly.gearbox)
    return tuple(
        port for port in assembly.ports_of(*families, side=Side.NEWCOMER) if port.sheet in unit
    )


def without_join(*families: str) -> Over:
    """Ports of these families on car, engine and gearbox that no join has."""
    return lambda assembly: tuple(
        port.id
        for port in (
            *assembly.ports_of(*families, side=Side.CAR),
            *ports_of_unit(assembly, *families),
        )
        if port.id not in assembly.join_of
    )


def either(*overs: Over) -> Over:
    """What any of these choose."""
    return lambda assembly: tuple(subject for over in overs for subject in over(assembly))


def stays(look: Look) -> None:
    """A port that no join has counts when it stays as it is.

    Raises
    ------
    DoesNotApply
        When it is capped, parked or removed.
    Lacking
        When nobody decided about it.
    """
    if look.subject in look.assembly.ports and look.fate() not in STAYS:
        raise DoesNotApply


def feeds_power(look: Look) -> None:
    """A wire that was said to work the coil of a relay alone feeds nothing.

    Raises
    ------
    DoesNotApply
        For such a wire; not for one of which nobody said it.
    """
    if look.said("control_wire").content is True:
        raise DoesNotApply


def excused(look: Look, holds: Chance, guard: str) -> bool:
    """True when a condition does not hold, or a guard (a yes-or-no fact) makes up for it."""
    return holds.p <= TOO_CLOSE or look.yes(guard)


def first_trip(look: Look, *checks: Callable[[], Trip | None]) -> Trip | None:
    """The first of several checks that trips: a known fault is told though another is unknown.

    Raises
    ------
    Lacking, TooClose
        As the first check that could not tell, when none trips.
    """
    untold: Lacking | TooClose | None = None
    unknown: dict[tuple[str, str], Value] = {}
    for check in checks:
        try:
            trip = check()
        except (Lacking, TooClose) as each:
            untold = untold or each
            unknown |= {use: held for use, held in look.uses.items() if not held.known}
            look.uses = {use: held for use, held in look.uses.items() if held.known}
        else:
            if trip is not None:
                return trip
    if untold is not None:
        look.uses |= unknown
        raise untold
    return None


def or_words(look: Look, name: str, words: str = "not measured") -> Amount | str:
    """A figure of the subject to speak of, or words where it is not known."""
    content = look.assembly.fact(look.subject, name).content
    return look.amount(name) if isinstance(content, Measure) else words


def first_known(look: Look, *places: tuple[str, str]) -> Amount:
    """A figure that may stand at several places, as (fact, subject); the first known one counts.

    Raises
    ------
    Lacking
        For the first place, when it is known at none.
    """
    for name, subject in places:
        if look.assembly.fact(subject, name).known:
            return look.amount(name, subject)
    return look.amount(*places[0])


def of_this_join(look: Look, families: Sequence[str]) -> bool:
    """True when an end of the join looked at has one of these families."""
    join = look.assembly.joins.get(look.subject)
    ports = join.ends if join else (look.assembly.ports[look.subject],)
    return any(family_of(port) in families for port in ports)


def load_current(look: Look) -> Amount:
    """Steady current of the wire looked at: of its consumer, else as its other end says. [A]"""
    if of_this_join(look, ("alt",)):
        return alternator_current(look)
    join = look.assembly.joins.get(look.subject)
    if join is None:
        return look.amount("current")
    consumer = next((port for port in join.ends if port.flow is Flow.IN), join.ends[0])
    return first_known(look, ("current", consumer.id), ("current", join.other(consumer.id).id))


def alternator_current(look: Look) -> Amount:
    """Rated current of the alternator that will charge, the newcomer's if it brings one. [A]"""
    assembly = look.assembly
    parts = assembly.parts_of_kind("alternator", sides=(Side.NEWCOMER, Side.SHELF))
    own = [("alternator_current", part.id) for part in parts]
    own += [("current", port.id) for port in ports_of_unit(assembly, "alt")]
    return first_known(look, *own or [("alternator_current", assembly.recipient)])


def starter_cable_area(look: Look) -> Amount:
    """Copper area of the cable from battery to starter. [m²]"""
    assembly = look.assembly
    places = [("conductor_area", join.id) for join in _joins(assembly, ("st",))]
    return first_known(look, *places, ("starter_cable_area", assembly.recipient))


def strap_area(look: Look, port: str) -> Amount | None:
    """Copper area of the strap at a ground port; None when no strap reaches the battery. [m²]

    Raises
    ------
    Lacking
        When nobody decided about the port, or its strap is not known.
    """
    if not look.there(port):
        return None
    fate = look.fate(port)
    join = look.assembly.join_of.get(port)
    if fate in LOST or (join and family_of(join.other(port)) == "gbod"):
        return None
    if join is None:
        return look.amount("strap_area", port)
    far = join.other(port).id
    return first_known(look, ("conductor_area", join.id), ("strap_area", port), ("strap_area", far))


def _joins(assembly: Assembly, families: Sequence[str]) -> tuple[AssembledJoin, ...]:
    return tuple(
        join
        for join in assembly.joined.values()
        if any(family_of(port) in families for port in join.ends)
    )


def largest(amounts: Sequence[Amount]) -> Amount | None:
    """The greatest of some amounts; None of none."""
    return max(amounts, key=lambda each: each.nominal, default=None)


def gather(look: Look, ports: Sequence[str]) -> tuple[list[Amount], Lacking | None]:
    """Areas of the straps at some ports, and what the first unknown one lacks."""
    found: list[Amount] = []
    lacking: Lacking | None = None
    for port in ports:
        try:
            area = strap_area(look, port)
        except Lacking as each:
            lacking = lacking or each
        except DoesNotApply:  # said to have no strap
            continue
        else:
            found += [area] if area is not None else []
    return found, lacking
