"""A circuit: the chambers of all things that one service runs through, and what lies between.

Nothing here is drawn by hand: chambers come from the passages of each kind of thing, elements
from those passages and from the joins of the build.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from swapwright.library.circuit_data import Passages, ServicePassages, passages
from swapwright.model.assembly import AssembledJoin, AssembledPort, Assembly
from swapwright.model.facts import facts_of
from swapwright.model.words import FateWord, Flow, Kind, Service, Side, Subject
from swapwright.quantity import Measure

RUN = "run"  # pieces of hose and pipe, one after another
FLOOR_PIPE = "floor pipe"
CLOSED = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)


@dataclass(frozen=True, slots=True)
class Chamber:
    """A place where pressure and temperature are one."""

    id: str  # unit:chamber
    unit: str  # the sheet or part that it is inside of
    name: str  # as its passages call it
    label: str


@dataclass(frozen=True, slots=True)
class Element:
    """What lies between two chambers: a run of hoses, a pump, a core …"""

    id: str
    kind: str
    start: str  # chambers
    end: str
    subject: str  # whose facts describe it: a unit, an item, a join
    label: str
    join: str = ""  # of a run, or of a piece inside a join
    ports: tuple[str, ...] = ()  # of a run: the ports at its start and its end, "" where a piece
    pieces: tuple[str, ...] = ()  # of a run: what it is made of, in order
    part_of_way: tuple[float, float] = (0.0, 1.0)  # of a run: between which shares of the join
    senses: str = ""  # of a thermostat: the chamber whose temperature moves it
    assumed: str = ""  # why it is taken to be there although nobody said so


@dataclass(frozen=True, slots=True)
class Lack:
    """Something that the circuit misses, and how to settle it."""

    what: str
    remedy: str
    stops_all: bool  # nothing can be computed without it
    subjects: tuple[str, ...] = ()


@dataclass(frozen=True)
class Circuit:
    """One service of one build at one stage."""

    service: Service
    chambers: Mapping[str, Chamber]
    elements: Mapping[str, Element]
    openings: Mapping[str, str]  # chamber by port
    closed: tuple[str, ...]  # ports that were capped, parked or removed
    loose: tuple[str, ...]  # ports that are neither joined nor closed, and have no natural partner

    @cached_property
    def neighbours(self) -> Mapping[str, tuple[str, ...]]:
        """Elements that touch each chamber."""
        touching: dict[str, list[str]] = {name: [] for name in self.chambers}
        for element in self.elements.values():
            touching[element.start].append(element.id)
            touching[element.end].append(element.id)
        return {name: tuple(held) for name, held in touching.items()}

    def of_kind(self, *kinds: str) -> tuple[Element, ...]:
        """Elements of any of these kinds."""
        return tuple(each for each in self.elements.values() if each.kind in kinds)

    def reached_from(self, chamber: str) -> frozenset[str]:
        """Chambers that hang together with this one, itself included."""
        found, ahead = {chamber}, [chamber]
        while ahead:
            for name in self.neighbours[ahead.pop()]:
                element = self.elements[name]
                for other in (element.start, element.end):
                    if other not in found:
                        found.add(other)
                        ahead.append(other)
        return frozenset(found)

    def moved(self, element: str, end: str, chamber: str) -> "Circuit":
        """The same circuit with one end of an element on another chamber.

        Parameters
        ----------
        element : str
            Id.
        end : str
            The chamber on which it ends now.
        chamber : str
            The one on which it is to end.
        """
        old = self.elements[element]
        new = replace(
            old,
            start=chamber if old.start == end else old.start,
            end=chamber if old.end == end and old.start != end else old.end,
        )
        return replace(self, elements={**self.elements, element: new})


def circuit(assembly: Assembly, service: Service) -> Circuit:
    """The circuit of one service, as joined at the assembly's stage.

    A port that is still open is joined to its natural partner, marked as assumed; as the build
    stands, nothing is assumed.
    """
    return _Builder(assembly, service, passages(str(service))).built()


class _Builder:
    """Gathers chambers and elements; used once."""

    def __init__(self, assembly: Assembly, service: Service, inside: ServicePassages) -> None:
        self.assembly, self.service, self.inside = assembly, service, inside
        self.chambers: dict[str, Chamber] = {}
        self.elements: dict[str, Element] = {}
        self.openings: dict[str, str] = {}
        self.closed: list[str] = []
        self.loose: list[str] = []
        self.forms: dict[str, Passages] = {}  # of each unit, in the form it has

    def built(self) -> Circuit:
        """The circuit."""
        ports = self._ports()
        for port in ports:
            self._open(port)
        for unit in dict.fromkeys(self.forms):
            self._inside(unit)
        for join in self.assembly.joins_of(self.service, Service.UNKNOWN):
            self._join(join)
        if not self.assembly.as_it_stands:
            self._natural_partners(ports)
        self._rest(ports)
        return Circuit(
            self.service, self.chambers, self.elements, self.openings,
            tuple(self.closed), tuple(self.loose),
        )  # fmt: skip

    # -- chambers ------------------------------------------------------------

    def _ports(self) -> tuple[AssembledPort, ...]:
        """Ports of this service on car and newcomer, and those of shelf parts that are joined."""
        joined = self.assembly.join_of
        return tuple(
            port
            for port in self.assembly.ports.values()
            if port.service is self.service
            and port.there != "no"
            and (
                port.side in (Side.CAR, Side.NEWCOMER)
                or (port.side is Side.SHELF and (port.id in joined or self._is_piece(port.owner)))
            )
        )

    def _is_piece(self, owner: str) -> bool:
        return any(owner in join.pieces for join in self.assembly.joined.values())

    def _open(self, port: AssembledPort) -> None:
        unit, inside = self._unit_of(port)
        if inside is None or inside.in_line:
            return
        formed = self.forms.get(unit) or self._formed(unit, inside)
        said = self.assembly.fact(port.id, "opens_into").content
        family = port.family.id if port.family else ""
        chamber = str(said) if isinstance(said, str) else formed.chamber_of(family, str(port.flow))
        if chamber in formed.chambers:
            inner = f"{unit}:{chamber}"
            self.openings[port.id] = self._far_end(port, inside, inner) or inner

    def _far_end(self, port: AssembledPort, inside: Passages, inner: str) -> str:
        """The chamber at the far end of a long pipe that leads to the thing; empty without one."""
        family = port.family.id if port.family else ""
        if family not in inside.far_families or inside.far_by not in facts_of(Subject.VEHICLE):
            return ""
        if not isinstance(self.assembly.fact(port.sheet, inside.far_by).content, Measure):
            return ""
        outer = self._chamber(port.id, "end", port.label)
        label = f"pipe under the floor, {port.label}"
        ways = (inner, outer) if port.flow is Flow.OUT else (outer, inner)
        self._add(Element(f"{port.id}:pipe", FLOOR_PIPE, *ways, port.id, label, ports=(port.id,)))
        return outer

    def _unit_of(self, port: AssembledPort) -> tuple[str, Passages | None]:
        """The thing that a port opens into: a whole sheet, a part, or one that nobody named."""
        sheet = self.assembly.sheets[port.sheet]
        whole = self.inside.of_sheet(str(sheet.kind))
        if whole is not None:
            return port.sheet, whole
        own = self.inside.of_part(self.assembly.parts[port.owner].kind)
        if own is not None:
            return port.owner, own
        family = port.family.id if port.family else ""
        homeless = self.inside.of_homeless(family) if sheet.kind is Kind.VEHICLE else None
        if homeless is None:
            return port.owner, None
        return self._only_part(port.sheet, homeless) or port.sheet, homeless

    def _only_part(self, sheet: str, inside: Passages) -> str:
        fitting = [
            part.id
            for part in self.assembly.parts.values()
            if part.sheet == sheet and part.kind in inside.of_parts
        ]
        return fitting[0] if len(fitting) == 1 else ""

    def _formed(self, unit: str, inside: Passages) -> Passages:
        formed = inside
        if inside.forms:
            said = self.assembly.fact(unit, inside.form_by).content
            formed = inside.formed(str(said) if said in inside.forms else inside.usual_form)
        self.forms[unit] = formed
        for name, label in formed.chambers.items():
            self._chamber(unit, name, label)
        return formed

    def _chamber(self, unit: str, name: str, label: str) -> str:
        id = f"{unit}:{name}"
        self.chambers.setdefault(id, Chamber(id, unit, name, label))
        return id

    # -- elements ------------------------------------------------------------

    def _inside(self, unit: str) -> None:
        for inner in self.forms[unit].elements:
            if inner.absent_when and self._said_absent(unit, inner.absent_when, inner.kept_by):
                continue
            if inner.kept_by and not self._kept(unit, inner.kept_by, bool(inner.absent_when)):
                continue
            self._add(
                Element(
                    f"{unit}:{inner.name}",
                    inner.kind,
                    f"{unit}:{inner.start}",
                    f"{unit}:{inner.end}",
                    unit,
                    inner.label,
                    senses=f"{unit}:{inner.senses}" if inner.senses else "",
                )
            )

    def _said_absent(self, unit: str, fact: str, family: str) -> bool:
        """True when it was said that there is none, and no port of it shows otherwise."""
        return not self._of_family(unit, family) and self.assembly.fact(unit, fact).content is True

    def _kept(self, unit: str, family: str, without_ports: bool) -> bool:
        """Whether an own hose of the thing is there: none of its ports was closed or joined."""
        ports = self._of_family(unit, family)
        if not ports:
            return without_ports
        fates = [self.assembly.fate(port.id) for port in ports]
        return not any(fate in (*CLOSED, FateWord.JOINED) for fate in fates)

    def _of_family(self, unit: str, family: str) -> tuple[AssembledPort, ...]:
        return tuple(
            port
            for port in self.assembly.ports.values()
            if port.family is not None
            and port.family.id == family
            and unit in (port.sheet, port.owner)
            and port.there == "yes"
        )

    def _join(self, join: AssembledJoin) -> None:
        first, last = join.ends
        if not {first.id, last.id} & set(self.openings):
            return
        start, end = self._opening(first), self._opening(last)
        self._strung(join.id, join.record.label or join.id, start, end, join)

    def _opening(self, port: AssembledPort) -> str:
        """The chamber behind a port; one that is known only by this port gets its own."""
        if port.id not in self.openings:
            self.openings[port.id] = self._chamber(port.id, "end", port.label)
        return self.openings[port.id]

    def _strung(self, id: str, label: str, start: str, end: str, join: AssembledJoin) -> None:
        """The pieces of a join in order: runs, and between them what is more than a pipe."""
        here, port, run, number = start, join.ends[0].id, list[str](), 0
        spans = _spans(self._breaks(join))
        for piece in join.pieces:
            kind = self._piece_kind(piece)
            inside = self.inside.of_part(kind)
            if kind in self.inside.aside:
                continue
            if inside is None:
                run.append(piece)
                continue
            inner = next(iter(inside.chambers), "middle")
            there = self._chamber(piece, inner, self.assembly.label(piece))
            self._run(join, label, number, (here, there), (port, ""), run, spans[number])
            here, port, run, number = there, "", [], number + 1
            if inside.in_line:
                beyond = self._chamber(piece, "beyond", self.assembly.label(piece))
                text = self.assembly.label(piece)
                self._add(
                    Element(
                        f"{id}:{piece}",
                        inside.in_line,
                        here,
                        beyond,
                        piece,
                        text,
                        id,
                        senses=here if inside.in_line == "thermostat" else "",
                    )
                )
                here = beyond
        self._run(join, label, number, (here, end), (port, join.ends[1].id), run, spans[number])

    def _breaks(self, join: AssembledJoin) -> int:
        kinds = map(self._piece_kind, join.pieces)
        return sum(
            self.inside.of_part(kind) is not None and kind not in self.inside.aside
            for kind in kinds
        )

    def _piece_kind(self, piece: str) -> str:
        if piece in self.assembly.items:
            return self.assembly.items[piece].kind
        part = self.assembly.parts.get(piece)
        return part.kind if part else ""

    def _run(
        self,
        join: AssembledJoin,
        label: str,
        number: int,
        chambers: tuple[str, str],
        ports: tuple[str, str],
        pieces: list[str],
        span: tuple[float, float],
    ) -> None:
        if not pieces:  # a hose goes on beyond a tee: what lies before it is the same hose
            pieces = [piece for piece in join.pieces if self._is_hose(piece)][-1:]
        id = join.id if span == (0.0, 1.0) else f"{join.id}:{number + 1}"
        self._add(Element(id, RUN, *chambers, join.id, label, join.id, ports, tuple(pieces), span))

    def _is_hose(self, piece: str) -> bool:
        kind = self._piece_kind(piece)
        return kind not in self.inside.aside and self.inside.of_part(kind) is None

    def _add(self, element: Element) -> None:
        self.elements[element.id] = element

    # -- what nobody joined yet -----------------------------------------------

    def _natural_partners(self, ports: tuple[AssembledPort, ...]) -> None:
        """Join what is still open to the end it belongs to, and say that this is assumed."""
        open_ports = [port for port in ports if self._is_open(port)]
        for port in open_ports:
            if port.side is Side.CAR and port.id not in self.closed:
                for partner in self._partners(port, open_ports):
                    self._assume(port, partner)
                    open_ports.remove(partner)
        self._bleeds_to_the_tank()

    def _is_open(self, port: AssembledPort) -> bool:
        return (
            port.id in self.openings
            and port.there == "yes"
            and self.assembly.fate(port.id) is FateWord.OPEN
        )

    def _partners(
        self, port: AssembledPort, candidates: list[AssembledPort]
    ) -> Iterator[AssembledPort]:
        fitting = (
            each
            for each in candidates
            if each.side is Side.NEWCOMER and port.family is not None and each.family == port.family
        )
        first = next(fitting, None)
        if first is not None:
            yield first

    def _assume(self, port: AssembledPort, partner: AssembledPort) -> None:
        id = f"{port.id}+{partner.id}"
        first, last = (port, partner) if port.flow is Flow.OUT else (partner, port)
        why = "nothing is decided here yet; taken as joined by a typical hose"
        self._add(
            Element(
                id,
                RUN,
                self.openings[first.id],
                self.openings[last.id],
                id,
                port.label,
                ports=(first.id, last.id),
                assumed=why,
            )
        )

    def _bleeds_to_the_tank(self) -> None:
        """A bleed that is still open goes to the header tank, where there is one."""
        tanks = [each for each in self.chambers.values() if each.name == "tank"]
        joined = {port for element in self.elements.values() for port in element.ports}
        for port in [self.assembly.ports[each] for each in self.openings]:
            bleeds = port.family is not None and port.family.id in ("rbl", "ebl")
            if not bleeds or not tanks or port.id in joined or not self._is_open(port):
                continue
            if self.openings[port.id] == tanks[0].id:
                continue
            why = "nothing is decided here yet; taken as joined to the header tank"
            id = f"{port.id}+{tanks[0].unit}"
            self._add(
                Element(
                    id,
                    RUN,
                    self.openings[port.id],
                    tanks[0].id,
                    id,
                    port.label,
                    ports=(port.id, ""),
                    assumed=why,
                )
            )

    def _rest(self, ports: tuple[AssembledPort, ...]) -> None:
        joined = {port for element in self.elements.values() for port in element.ports}
        for port in ports:
            if self.assembly.fate(port.id) in CLOSED:
                self.closed.append(port.id)
            elif port.id not in joined and port.there == "yes":
                self.loose.append(port.id)


def _spans(breaks: int) -> list[tuple[float, float]]:
    """Shares of a join's way between its breaks, evenly: where along it they sit was not said."""
    edges = [number / (breaks + 1) for number in range(breaks + 2)]
    return list(pairwise(edges))
