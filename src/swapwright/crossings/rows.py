"""Every crossing of a build as one row: two ends and the space between them."""

from collections.abc import Iterable
from dataclasses import dataclass

from swapwright.crossings.mating import Mating, Verdict, mate
from swapwright.crossings.piles import pile_of
from swapwright.crossings.red import RedLineState, red_line_states
from swapwright.model.assembly import AssembledJoin, AssembledPort, Assembly
from swapwright.model.message import Message
from swapwright.model.values import Value
from swapwright.model.words import FateWord, Gate, Kind, Pile, Progress, Service, Side, Stage


@dataclass(frozen=True)
class Crossing:
    """One or two ends, what lies between them, and what is to be done."""

    id: str  # of the car's end, else of the newcomer's
    car: AssembledPort | None
    newcomer: AssembledPort | None
    join: AssembledJoin | None
    fate: FateWord
    car_fate: FateWord | None
    newcomer_fate: FateWord | None
    pile: Pile
    pile_why: Message
    mating: Mating | None  # of the two ends, as if joined directly
    gap: Message | None  # the short text for the space between
    close: Message  # how to close it
    gate: Gate
    stage: Stage
    until: str  # of a parked end or a stand-in
    red_lines: tuple[str, ...]

    @property
    def ends(self) -> tuple[AssembledPort, ...]:
        """The ends that there are, the car's first."""
        return tuple(end for end in (self.car, self.newcomer) if end is not None)

    @property
    def service(self) -> Service:
        """What crosses here."""
        known = [end.service for end in self.ends if end.service is not Service.UNKNOWN]
        return known[0] if known else Service.UNKNOWN

    @property
    def system(self) -> str:
        """The system it belongs to, by its family; else its service."""
        family = next((end.family for end in self.ends if end.family is not None), None)
        return family.system if family else str(self.service)

    @property
    def label(self) -> str:
        """What it is called."""
        return self.ends[0].label

    @property
    def progress(self) -> Progress | None:
        """How far its join has come."""
        return self.join.progress if self.join else None

    @property
    def is_open(self) -> bool:
        """True while any of its ends has no fate."""
        return self.fate is FateWord.OPEN


def crossings(assembly: Assembly) -> tuple[Crossing, ...]:
    """All crossings, each end counted once, the worse pile first.

    An end of the car meets the newcomer's end that it is joined to; else the one
    that does what its original mate did; else the one of the same family. Of several
    the one of the same name is met first. Ends of the donor's own car stand alone:
    they are the half that the car has itself. So do the ends that are left of a part
    on the shelf which a join already uses: the third end of a tee, a free way of a fuse box.
    """
    lines = red_line_states(assembly)
    rows = [_row(assembly, pair, lines) for pair in _pairs(assembly)]
    order = list(Pile)
    return tuple(sorted(rows, key=lambda r: (order.index(r.pile), not r.is_open, r.gate.order)))


Pair = tuple[AssembledPort | None, AssembledPort | None, AssembledJoin | None]


def _pairs(assembly: Assembly) -> Iterable[Pair]:
    met: set[str] = set()
    for join in assembly.joined.values():
        first, second = join.ends
        if (first.side is not Side.CAR and second.side is Side.CAR) or (
            first.side is Side.NEWCOMER and second.side is not Side.NEWCOMER
        ):
            first, second = second, first
        met |= {first.id, second.id}
        yield first, second, join
    free = [port for port in assembly.ports.values() if port.id not in met and port.there != "no"]
    waiting = [port for port in free if port.side is Side.NEWCOMER]
    partners: dict[str, AssembledPort] = {}
    for by_name in (True, False):
        for port in free:
            if port.side is Side.CAR and port.id not in partners:
                other = _same_task(assembly, port, waiting, by_name)
                if other is not None:
                    waiting.remove(other)
                    partners[port.id] = other
    for port in free:
        if port.side is Side.CAR:
            yield port, partners.get(port.id), None
    for port in waiting:
        yield None, port, None
    in_use = {end.sheet for join in assembly.joined.values() for end in join.ends}
    for port in free:
        if port.side is Side.SHELF and port.sheet in in_use:
            yield None, port, None


def _same_task(
    assembly: Assembly, port: AssembledPort, waiting: list[AssembledPort], by_name: bool
) -> AssembledPort | None:
    mate_once = assembly.ports.get(assembly.resolve(port.record.was))
    family = mate_once.family if mate_once and mate_once.family else port.family
    name = mate_once.name if mate_once else port.name
    if family is None or not family.newcomer_half:
        return None
    alike = (
        each
        for each in waiting
        if each.family is family and assembly.sheets[each.sheet].kind is not Kind.VEHICLE
    )
    return next((each for each in alike if not by_name or each.name == name), None)


def _row(assembly: Assembly, pair: Pair, lines: Iterable[RedLineState]) -> Crossing:
    car, newcomer, join = pair
    ends = [end for end in (car, newcomer) if end is not None]
    fates = [assembly.fate(end.id) if end else None for end in (car, newcomer)]
    mating = mate(car.end, newcomer.end) if car and newcomer else None
    touching = [line for line in lines if any(end.id in line.ports for end in ends)]
    proved = bool(touching) and all(line.proved for line in touching)
    pile, pile_why = pile_of(assembly, car, newcomer, mating, proved)
    fate = _worst([fate for fate in fates if fate is not None])
    taken = _taken(assembly, ends[0]) if len(ends) == 1 else ()
    return Crossing(
        ends[0].id,
        car,
        newcomer,
        join,
        fate,
        fates[0],
        fates[1],
        pile,
        pile_why,
        mating,
        _gap(ends, mating, fate, taken),
        _close(ends, mating, fate, taken),
        min(
            (end.family.needed_by for end in ends if end.family),
            key=_gate_order,
            default=Gate.FIRST_START,
        ),
        assembly.stage,
        _until(assembly, ends, join),
        tuple(line.line.id for line in touching),
    )


def _gate_order(gate: Gate) -> int:
    return gate.order


def _worst(fates: list[FateWord]) -> FateWord:
    order = list(FateWord)
    return min(fates, key=order.index)


def _until(assembly: Assembly, ends: list[AssembledPort], join: AssembledJoin | None) -> str:
    if join is not None and join.record.stand_in is not None:
        return _day(join.record.stand_in.until)
    parked = [end.id for end in ends if assembly.fate(end.id) is FateWord.PARKED]
    return next((until for each in parked if (until := assembly.stated_fates[each].until)), "")


def _day(value: Value) -> str:
    return value.text if value.known else "no day given"


def _taken(assembly: Assembly, end: AssembledPort) -> tuple[str, ...]:
    """Ends of the same signal that have found each other: one of them may serve this one too."""
    if end.family is None or end.family.service is not Service.ELECTRICAL:
        return ()
    return tuple(
        other.id
        for other in assembly.ports_of(end.family.id)
        if other.sheet != end.sheet
        and other.side is not Side.OUTGOING
        and assembly.fate(other.id) in (FateWord.JOINED, FateWord.KEPT)
    )


def _gap(
    ends: list[AssembledPort], mating: Mating | None, fate: FateWord, taken: tuple[str, ...]
) -> Message | None:
    if fate is not FateWord.OPEN:
        return None
    if any(end.there == "unknown" for end in ends):
        return Message("is it there?")
    unknown = next((end for end in ends if end.service is Service.UNKNOWN), None)
    if unknown is not None:
        candidates = unknown.record.candidates
        return (
            Message("which of {count}?", {"count": len(candidates)})
            if candidates
            else Message("what is it?")
        )
    if any(_mate_missing(end) for end in ends):
        return Message("mate not seen")
    if mating is not None and mating.gap is not None:
        return mating.gap
    if len(ends) == 1 and _has_other_half(ends[0]):
        return Message("its partner is taken" if taken else "no partner")
    return None


def _has_other_half(end: AssembledPort) -> bool:
    return end.family is None or bool(end.family.newcomer_half and end.family.car_half)


def _mate_missing(end: AssembledPort) -> bool:
    plug = end.record.plug
    return plug is not None and bool(plug.mate) and plug.mate_seen.content is not True


def _to_measure(wanted: tuple[str, ...], ends: list[AssembledPort]) -> str:
    """What to find out, end by end; ``wanted`` names dimensions as "first barrel"."""
    sides: dict[str, list[str]] = {}
    for each in wanted:
        which, _, dimension = each.partition(" ")
        sides.setdefault(ends[0 if which == "first" else 1].id, []).append(dimension)
    return "; ".join(
        f"look how {end} ends" if dimensions == ["end"] else f"measure {_and(dimensions)} of {end}"
        for end, dimensions in sides.items()
    )


def _and(words: list[str]) -> str:
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def _close(
    ends: list[AssembledPort], mating: Mating | None, fate: FateWord, taken: tuple[str, ...]
) -> Message:
    """What the builder does next about this row."""
    if fate is not FateWord.OPEN:
        return Message("")
    usual = next((end.family.usual for end in ends if end.family and end.family.usual), "")
    values = {"label": ends[0].label, "usual": usual, "taken": _and(list(taken))}
    if any(end.there == "unknown" for end in ends):
        unsure = next(end.id for end in ends if end.there == "unknown")
        return Message("look, then set {port}.there yes, or no", {**values, "port": unsure})
    if any(end.service is Service.UNKNOWN for end in ends):
        unsure = next(end.id for end in ends if end.service is Service.UNKNOWN)
        return Message(
            "find out what it is: swapwright identify {port}", {**values, "port": unsure}
        )
    if any(_mate_missing(end) for end in ends):
        return Message("find the other half on the other loom, or decide", values)
    if mating is not None and mating.verdict is Verdict.UNKNOWN and mating.wanted:
        return Message("{measure}", {**values, "measure": _to_measure(mating.wanted, ends)})
    if taken:
        text = "decide; to share with {taken}: through a part with three ends"
        return Message(text + ("; usually {usual}" if usual else ""), values)
    if usual:
        return Message("decide; usually {usual}", values)
    return Message("decide what becomes of it", values)
