"""Asked before something is cut, capped or thrown away: who still needs it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property

from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.faults import nearest_name, quoted
from swapwright.model.message import Message, Spoken
from swapwright.model.reading import Tree
from swapwright.model.shipped import shipped_tree
from swapwright.model.values import Value, ValueFault
from swapwright.model.words import FateWord, Gate, Kind, Service, Side, SmallPart, Stage

WAITING = (FateWord.OPEN, FateWord.PARKED)  # ends that still look for a partner
UNDECIDED = ("", "unknown")
GATE_OF = {
    Stage.FIRST_START: Gate.FIRST_START,
    Stage.FIRST_DRIVE: Gate.FIRST_METRE,
    Stage.FINISHED: Gate.INSPECTION,
}


@dataclass(frozen=True)
class Need:
    """One thing that would miss it."""

    subject: str  # id of a port, join, stock, decision or part, or sheet.part.function
    reason: Message
    gate: Gate  # by when the subject needs it
    near: bool  # that gate is the next one, or passed


@dataclass(frozen=True)
class Regret:
    """A planned step, one thing that it takes, and who needs that thing."""

    step: str
    does: str
    what: str
    planned: Value
    needs: tuple[Need, ...]


@dataclass(frozen=True)
class Kept:
    """A row of the shipped table: what is usually asked for again, and by whom."""

    id: str
    what: str
    kinds: tuple[str, ...]
    families: frozenset[str]
    asked_by: frozenset[str]
    always: str
    until: Gate | None
    outgoing_engine: bool


@dataclass(frozen=True)
class _Scope:
    """What goes: the thing, all ports and parts that go with it, and the words it is known by."""

    thing: str
    ports: Mapping[str, AssembledPort]
    parts: frozenset[str]
    words: frozenset[str]
    waiting: tuple[AssembledPort, ...]  # of the whole build

    @cached_property
    def ids(self) -> frozenset[str]:
        return self.parts | self.ports.keys() | {self.thing}

    @cached_property
    def sheets(self) -> frozenset[str]:
        return frozenset(port.sheet for port in self.ports.values()) | {
            self.thing.partition(".")[0]
        }


def asked_for_by(assembly: Assembly, what: str) -> tuple[Need, ...]:
    """Who still needs a thing that is about to be cut, capped, sold or thrown away.

    Parameters
    ----------
    assembly : Assembly
        The build, at the stage that counts.
    what : str
        A port, a part, a sheet, an item or a piece of stock; former ids are understood.

    Returns
    -------
    needs : tuple of Need
        The nearest gate first; every subject once, for its strongest reason: a join, the end
        that it was joined to, a function, stock, a stand-in, a lost small part, a decision, the
        other half of a plug, an end of its family, or the shipped table.

    Raises
    ------
    ValueFault
        If nothing of that id is in the build.
    """
    thing = assembly.resolve(what)
    if thing not in assembly.holders:
        nearest = nearest_name(what, assembly.holders)
        raise ValueFault(
            quoted(what), "a port, a part or a sheet of this build", "car.hot", nearest
        )
    return _needs(assembly, _scope(assembly, thing, _waiting(assembly)))


def _needs(assembly: Assembly, scope: _Scope) -> tuple[Need, ...]:
    found: dict[str, Need] = {}
    for look in LOOKS:
        for subject, reason, gate in look(assembly, scope):
            # Of the thing itself each reason counts; of what asks for it the strongest is enough.
            key = f"{subject} {reason.values}" if subject in scope.ids else subject
            found.setdefault(key, Need(subject, reason, gate, assembly.near(gate)))
    return tuple(sorted(found.values(), key=lambda need: need.gate.order))


def regrets(assembly: Assembly) -> tuple[Regret, ...]:
    """Every step that is not done and takes something that is still needed."""
    waiting = _waiting(assembly)
    return tuple(
        Regret(name, step.does, what, step.planned, needs)
        for name, step in assembly.steps.items()
        if step.done.content is not True
        for what in step.what
        if (needs := _needs(assembly, _scope(assembly, assembly.resolve(what), waiting)))
    )


@cache
def kept_things() -> tuple[Kept, ...]:
    """The shipped table, from ``library/regret.yaml``."""
    shipped = shipped_tree("swapwright.library", "regret.yaml")
    return tuple(_kept(name, tree) for name, tree in shipped.items())


def _kept(name: str, tree: Tree) -> Kept:
    if not isinstance(tree, dict):
        raise ValueError(f"regret.yaml, {name}: values by name were wanted")
    always, until = str(tree.get("always") or ""), tree.get("until")
    if bool(always) != bool(until):
        raise ValueError(f"regret.yaml, {name}: always and until come together")
    return Kept(
        name,
        str(tree["what"]),
        _words(tree.get("kinds")),
        frozenset(_words(tree.get("families"))),
        frozenset(_words(tree.get("asked_by"))),
        always,
        Gate(str(until)) if until else None,
        tree.get("outgoing_engine") == "yes",
    )


def _words(tree: Tree) -> tuple[str, ...]:
    return tuple(str(each) for each in tree) if isinstance(tree, list) else ()


# -- what goes ----------------------------------------------------------------


def _scope(assembly: Assembly, thing: str, waiting: tuple[AssembledPort, ...]) -> _Scope:
    stock = assembly.stock.get(thing)
    if stock is not None and stock.item:
        inner = _scope(assembly, assembly.resolve(stock.item), waiting)
        return replace(inner, thing=thing, parts=inner.parts | {inner.thing})
    if thing in assembly.ports:
        return _Scope(thing, {thing: assembly.ports[thing]}, frozenset(), frozenset(), waiting)
    whole = thing in assembly.sheets
    parts = [
        part
        for part in assembly.parts.values()
        if part.id == thing or (whole and part.sheet == thing)
    ]
    ports = {
        port.id: port
        for port in assembly.ports.values()
        if port.owner == thing or (whole and port.sheet == thing)
    }
    words = {assembly.label(thing), thing.partition(".")[2], assembly.holders[thing].kind}
    for part in parts:
        words |= {part.kind, part.label, *part.functions}
    known = frozenset(word.casefold() for word in words if word)
    return _Scope(thing, ports, frozenset(part.id for part in parts), known, waiting)


def _waiting(assembly: Assembly) -> tuple[AssembledPort, ...]:
    """Ends that stay in the build and have no partner."""
    return tuple(
        port
        for port in assembly.ports.values()
        if port.side is not Side.OUTGOING
        and port.there != "no"
        and assembly.fate(port.id) in WAITING
    )


def _left(scope: _Scope) -> Iterator[AssembledPort]:
    """Waiting ends that do not go themselves."""
    return (port for port in scope.waiting if port.id not in scope.ids)


def _asking(assembly: Assembly, scope: _Scope) -> Iterator[AssembledPort]:
    """As ``_left``, but not ends of the donor car: it is there to give."""
    donor = assembly.resolve(assembly.build.donor_car)
    return (port for port in _left(scope) if port.sheet != donor)


def _state(assembly: Assembly, port: AssembledPort) -> str:
    return "only parked" if assembly.fate(port.id) is FateWord.PARKED else "still open"


def _gate(port: AssembledPort) -> Gate:
    return port.family.needed_by if port.family is not None else Gate.CUT


# -- who needs it -------------------------------------------------------------

Told = tuple[str, Message, Gate]
Look = Callable[[Assembly, _Scope], Iterator[Told]]


def _say(template: str, **values: Spoken) -> Message:
    return Message(template, values)


def _joins(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Joins that end on it or run through it, now or at a later stage."""
    for join in assembly.joins.values():
        if join.record.end.order < assembly.stage.order:
            continue
        ends = [end for end in join.ends if end.id in scope.ids]
        pieces = [piece for piece in join.pieces if piece in scope.ids]
        gate = GATE_OF[join.record.start]
        label = assembly.label(join.id)
        if ends:
            reason = _say("join {join} ends on {port}", join=label, port=ends[0].label)
            yield join.id, reason, gate
        elif pieces:
            reason = _say(
                "join {join} runs through {piece}", join=label, piece=assembly.label(pieces[0])
            )
            yield join.id, reason, gate


def _original_mates(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Open ends that were joined to it, told by either of the two."""
    named = {assembly.resolve(port.record.was) for port in scope.ports.values() if port.record.was}
    for port in _left(scope):
        if port.id in named or assembly.resolve(port.record.was) in scope.ids:
            yield (
                port.id,
                _say(
                    "{port} was joined to it and is {state}",
                    port=port.label,
                    state=_state(assembly, port),
                ),
                _gate(port),
            )


def _functions(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """What else a part does, as long as nothing else is named to do it."""
    for name in sorted(scope.parts):
        part = assembly.parts.get(name)
        for function in part.functions if part is not None else ():
            full = f"{name}.{function}"
            if full not in assembly.function_places:
                reason = _say("{function} has no new place yet", function=function)
                yield full, reason, Gate.PULLED if "lift" in function else Gate.CUT


def _stock(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Stock that it is, and stock that was bought for it."""
    for name, stock in assembly.stock.items():
        uses = [assembly.resolve(use) for use in stock.usable]
        label = assembly.label(name)
        is_it = name == scope.thing or (stock.item and assembly.resolve(stock.item) in scope.ids)
        if is_it and uses:
            labels = tuple(assembly.label(use) for use in uses)
            reason = _say("{stock} is set aside for {uses}", stock=label, uses=labels)
            yield name, reason, _gate_of(assembly, uses)
        elif any(use in scope.ids for use in uses):
            yield name, _say("{stock} was got for it", stock=label), _gate_of(assembly, uses)


def _gate_of(assembly: Assembly, uses: list[str]) -> Gate:
    gates = [_gate(assembly.ports[use]) for use in uses if use in assembly.ports]
    gates += [GATE_OF[assembly.joins[use].record.start] for use in uses if use in assembly.joins]
    return min(gates, key=lambda gate: gate.order, default=Gate.CUT)


def _stand_ins(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Joins that are helped out by it for a time."""
    for join in assembly.joins.values():
        stand_in = join.record.stand_in
        if stand_in is not None and stand_in.item and assembly.resolve(stand_in.item) in scope.ids:
            reason = _say("join {join} counts on it as a stand-in", join=assembly.label(join.id))
            yield join.id, reason, GATE_OF[join.record.start]


def _small_parts(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Lost small parts that an end of the same service, or a part so named, could give."""
    services = {port.service for port in scope.ports.values() if port.there != "no"}
    services.discard(Service.UNKNOWN)
    for join in assembly.joins.values():
        for small, state in join.record.small.items():
            if state is SmallPart.LOST and (join.service in services or _gives(scope, small)):
                label = assembly.label(join.id)
                reason = _say(
                    "{small} of join {join} is lost: look for one here", small=small, join=label
                )
                yield join.id, reason, GATE_OF[join.record.start]
    for name, stock in assembly.stock.items():
        uses = [assembly.resolve(use) for use in stock.usable]
        carried = {assembly.joins[u].service for u in uses if u in assembly.joins}
        carried |= {assembly.ports[u].service for u in uses if u in assembly.ports}
        for small in stock.missing:
            if carried & services or _gives(scope, small):
                label = assembly.label(name)
                reason = _say("{stock} lacks {small}: look for one here", stock=label, small=small)
                yield name, reason, _gate_of(assembly, uses)


def _gives(scope: _Scope, small: str) -> bool:
    head = small.casefold().partition(" at ")[0].strip()
    return any(head == known or head in known.split() for known in scope.words)


def _decisions(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Open decisions about it, and options still possible that use it."""
    for name, decision in assembly.build.decisions.items():
        open_yet = decision.chosen in UNDECIDED
        about = {assembly.resolve(each) for each in decision.about}
        options = (
            decision.options if open_yet else {decision.chosen: decision.options[decision.chosen]}
        )
        adds = {assembly.resolve(each) for option in options.values() for each in option.adds}
        if open_yet and about & scope.ids:
            yield (
                name,
                _say("not decided yet: {question}", question=decision.question),
                decision.gate,
            )
        elif adds & scope.ids:
            yield (
                name,
                _say("an answer to {question} uses it", question=decision.question),
                decision.gate,
            )


def _plugs(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Plug halves whose other half sits on it."""
    for port in _left(scope):
        plug = port.record.plug
        if plug is None or not plug.mate:
            continue
        if assembly.resolve(plug.mate) in scope.ids or plug.mate.casefold() in scope.words:
            reason = _say("the other half of the plug {port} sits on it", port=port.label)
            yield port.id, reason, _gate(port)


def _families(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """Ends of its family on other sheets without a partner."""
    halves: dict[str, set[bool]] = {}
    for port in scope.ports.values():
        if port.family is not None and port.there != "no":
            halves.setdefault(port.family.id, set()).add(_on_vehicle(assembly, port))
    for port in _asking(assembly, scope):
        if port.family is None or port.family.id not in halves or port.sheet in scope.sheets:
            continue
        state = _state(assembly, port)
        if halves[port.family.id] == {_on_vehicle(assembly, port)}:
            reason = _say(
                "{port} is of the same kind and {state}: compare first",
                port=port.label,
                state=state,
            )
        else:
            reason = _say(
                "{port} is {state} and this is the half it looks for", port=port.label, state=state
            )
        yield port.id, reason, _gate(port)


def _on_vehicle(assembly: Assembly, port: AssembledPort) -> bool:
    return assembly.sheets[port.sheet].kind is Kind.VEHICLE


def _usual(assembly: Assembly, scope: _Scope) -> Iterator[Told]:
    """What the shipped table says of such things."""
    if scope.thing in assembly.ports:
        return
    carried = {port.family.id for port in scope.ports.values() if port.family is not None}
    outgoing = scope.thing == assembly.outgoing_engine
    for row in kept_things():
        holds = outgoing if row.outgoing_engine else _is_such(scope, row, carried)
        if not holds:
            continue
        for port in _asking(assembly, scope):
            if port.family is not None and port.family.id in row.asked_by:
                reason = _say(
                    "{port} is {state} and is often closed with {what}",
                    port=port.label,
                    state=_state(assembly, port),
                    what=row.what,
                )
                yield port.id, reason, _gate(port)
        if row.until is not None and not assembly.gate_passed(row.until):
            subject = scope.thing
            yield (
                subject,
                _say("keep {what}: {always}", what=row.what, always=row.always),
                row.until,
            )


def _is_such(scope: _Scope, row: Kept, carried: set[str]) -> bool:
    return bool(scope.words.intersection(row.kinds)) or bool(row.families & carried)


LOOKS: tuple[Look, ...] = (
    _joins,
    _original_mates,
    _functions,
    _stock,
    _stand_ins,
    _small_parts,
    _decisions,
    _plugs,
    _families,
    _usual,
)

__all__ = ["Kept", "Need", "Regret", "asked_for_by", "kept_things", "regrets"]
