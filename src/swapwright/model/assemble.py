"""Documents into one Assembly, with every reference resolved or told as a fault."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from swapwright.model.assembly import (
    AssembledJoin,
    AssembledPart,
    AssembledPort,
    Assembly,
    Holder,
    resolved,
)
from swapwright.model.build import Build, Pose
from swapwright.model.documents import Documents
from swapwright.model.ends import End
from swapwright.model.facts import fact_book
from swapwright.model.families import families
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.pose import Point, direction, placed
from swapwright.model.reading import Path
from swapwright.model.sheets import (
    Catalogue,
    Document,
    Engine,
    Gearbox,
    Item,
    PartSheet,
    Port,
    Sheet,
    Vehicle,
)
from swapwright.model.values import Sort, Value, ValueFault, combine_readings, read_value
from swapwright.model.words import Flow, Kind, Service, Side, Stage, Subject
from swapwright.quantity import Dimension, Measure, QuantityFault

SUBJECT_OF = {
    Kind.VEHICLE: Subject.VEHICLE,
    Kind.ENGINE: Subject.ENGINE,
    Kind.GEARBOX: Subject.GEARBOX,
    Kind.PART: Subject.PART,
}


def assemble(
    documents: Documents, stage: Stage = Stage.FIRST_START, as_it_stands: bool = False
) -> Assembly:
    """Resolve all documents into one frozen Assembly.

    Raises
    ------
    Faulty
        With all faults of the documents and of their references.
    """
    assembly, faults = try_assemble(documents, stage, as_it_stands)
    if assembly is None or faults:
        raise Faulty(faults)
    return assembly


def try_assemble(
    documents: Documents, stage: Stage = Stage.FIRST_START, as_it_stands: bool = False
) -> tuple[Assembly | None, tuple[Fault, ...]]:
    """As ``assemble``, but hand back the faults; the Assembly is None when there are any."""
    build = documents.build
    if build is None:
        return None, tuple(documents.faults)
    work = _Work(documents, build)
    work.take_sheets()
    work.take_ports()
    work.take_joins()
    work.check_rest()
    faults = (*documents.faults, *work.faults)
    if faults:
        return None, faults
    return work.result(stage, as_it_stands), ()


@dataclass
class _Work:
    """The growing pieces of one Assembly."""

    documents: Documents
    build: Build
    faults: list[Fault] = field(default_factory=list)
    sheets: dict[str, Sheet] = field(default_factory=dict)
    sides: dict[str, Side] = field(default_factory=dict)
    ports: dict[str, AssembledPort] = field(default_factory=dict)
    parts: dict[str, AssembledPart] = field(default_factory=dict)
    joins: dict[str, AssembledJoin] = field(default_factory=dict)
    items: dict[str, Item] = field(default_factory=dict)
    holders: dict[str, Holder] = field(default_factory=dict)
    readings: dict[str, Value] = field(default_factory=dict)
    renamed: dict[str, str] = field(default_factory=dict)
    former: list[tuple[Document, Path, str]] = field(default_factory=list)

    # -- helpers -----------------------------------------------------------

    def complain(
        self, document: Document, path: Path, found: str, wanted: str, nearest: str = ""
    ) -> None:
        source = self.documents.source_of(document.id)
        self.faults.append(source.fault(path, found, wanted, nearest=nearest))

    def complain_of_reference(
        self, document: Document, path: Path, name: str, wanted: str, known: Iterable[str]
    ) -> None:
        """A name that nothing has; silent when it may stand in what could not be read."""
        steps = self.resolve(name).split(".")
        above = {".".join(steps[:length]) for length in range(1, len(steps) + 1)}
        if not above & self.documents.torn:
            self.complain(document, path, quoted(name), wanted, nearest_name(name, known))

    def hold(self, document: Document, path: Path, holder: Holder) -> None:
        """Register a subject; two of one id are a fault."""
        if holder.id in self.holders:
            taken = ", ".join(self.holders[holder.id].subjects) or "another thing"
            self.complain(
                document, path, quoted(holder.id), f"an id of its own: a {taken} has this one"
            )
        self.holders.setdefault(holder.id, holder)

    def rename(
        self, document: Document, path: Path, former: Iterable[str], now: str, prefix: str = ""
    ) -> None:
        for i, old in enumerate(former):
            name = prefix + old
            if self.renamed.setdefault(name, now) != now:
                wanted = f"a former id of one thing: {self.renamed[name]} has it too"
                self.complain(document, (*path, "formerly", i), quoted(old), wanted)
            self.former.append((document, (*path, "formerly", i), name))

    def resolve(self, reference: str) -> str:
        """Follow former ids of sheets and of what stands on them."""
        return resolved(reference, self.renamed)

    # -- sheets and catalogues ---------------------------------------------

    def take_sheets(self) -> None:
        by_id = self.documents.by_id
        for record in by_id.values():
            self.rename(record, (), record.formerly, record.id)
            if isinstance(record, Sheet):
                self._take_sheet(record)
            elif isinstance(record, Catalogue):
                self._take_catalogue(record)
        build = self.build
        subjects = (Subject.BUILD,)
        self.hold(build, ("id",), Holder(build.id, subjects, build.label, build.facts, Kind.BUILD))
        self._role("recipient", build.recipient, Vehicle, Side.CAR)
        self._role("engine", build.engine, Engine, Side.NEWCOMER)
        self._role("gearbox", build.gearbox, Gearbox, Side.NEWCOMER)
        self._role("donor_car", build.donor_car, Vehicle, Side.NEWCOMER)
        for i, name in enumerate(build.outgoing):
            self._role("outgoing", name, Sheet, Side.OUTGOING, i)
        for i, name in enumerate(build.shelf):
            self._role("shelf", name, PartSheet, Side.SHELF, i)
        if self.resolve(build.gearbox) in [self.resolve(name) for name in build.outgoing]:
            self.complain(
                build,
                ("gearbox",),
                quoted(build.gearbox),
                "a gearbox that is not among the outgoing",
            )

    def _role(
        self, role: str, name: str, sort: type[Sheet], side: Side, index: int | None = None
    ) -> None:
        if not name:
            return
        path: Path = (role,) if index is None else (role, index)
        sheet = self.sheets.get(self.resolve(name))
        words = {
            Vehicle: "a vehicle",
            Engine: "an engine",
            Gearbox: "a gearbox",
            PartSheet: "a part",
            Sheet: "a",
        }
        if sheet is None:
            wanted = f"the id of {words[sort]} sheet in this folder"
            self.complain_of_reference(self.build, path, name, wanted, self.sheets)
        elif not isinstance(sheet, sort):
            self.complain(
                self.build,
                path,
                f"{quoted(name)}, which is no {words[sort][2:].strip()} sheet",
                f"{words[sort]} sheet",
            )
        else:
            self.sides.setdefault(sheet.id, side)

    def _take_sheet(self, sheet: Sheet) -> None:
        kind = sheet.kind
        self.sheets[sheet.id] = sheet
        facts = sheet.facts
        role = sheet.role if isinstance(sheet, PartSheet) else str(kind)
        label = sheet.label or sheet.id
        self.hold(sheet, ("id",), Holder(sheet.id, (SUBJECT_OF[kind],), label, facts, role))
        functions = sheet.functions if isinstance(sheet, PartSheet) else ()
        self.parts[sheet.id] = AssembledPart(
            sheet.id, sheet.id, Side.SHELF, label, role, functions, sheet
        )
        for name, part in sheet.parts.items():
            full = f"{sheet.id}.{name}"
            self.rename(sheet, ("parts", name), part.formerly, full, f"{sheet.id}.")
            self.hold(
                sheet,
                ("parts", name),
                Holder(full, (Subject.PART,), part.label or name, part.facts, part.kind),
            )
            self.parts[full] = AssembledPart(
                full, sheet.id, Side.SHELF, part.label or name, part.kind, part.functions, part
            )

    def _take_catalogue(self, catalogue: Catalogue) -> None:
        for name, item in catalogue.items.items():
            self.rename(catalogue, ("items", name), item.formerly, name)
            self.items[name] = item
            self.hold(
                catalogue,
                ("items", name),
                Holder(name, (Subject.ITEM,), item.label or name, item.facts, item.kind),
            )

    # -- ports -------------------------------------------------------------

    def take_ports(self) -> None:
        for sheet in self.sheets.values():
            side = self.sides.get(sheet.id, Side.SHELF)
            for name, part in list(self.parts.items()):
                if part.sheet == sheet.id:
                    self.parts[name] = AssembledPart(
                        part.id,
                        part.sheet,
                        side,
                        part.label,
                        part.kind,
                        part.functions,
                        part.record,
                    )
            for name, port in sheet.ports.items():
                self._take_port(sheet, side, name, port)

    def _take_port(self, sheet: Sheet, side: Side, name: str, port: Port) -> None:
        full = f"{sheet.id}.{name}"
        path: Path = ("ports", name)
        self.rename(sheet, path, port.formerly, full, f"{sheet.id}.")
        family = families().get(port.family)
        if port.family and family is None:
            nearest = nearest_name(port.family, families())
            self.complain(
                sheet, (*path, "family"), quoted(port.family), "a family of the port table", nearest
            )
        owner = f"{sheet.id}.{port.part}" if port.part else sheet.id
        if owner not in self.parts:
            known = list(sheet.parts)
            self.complain(
                sheet,
                (*path, "part"),
                quoted(port.part),
                "a part of this sheet",
                nearest_name(port.part, known),
            )
            owner = sheet.id
        label = port.label or (family.label if family else name)
        self.hold(sheet, path, Holder(full, (Subject.PORT,), label, port.facts))
        on_car = isinstance(sheet, Vehicle)
        service = port.service or (family.service if family else Service.UNKNOWN)
        flow = port.flow or (family.flow_on(on_car) if family else Flow.UNKNOWN)
        position, axis = self._position(sheet, port)
        self.ports[full] = AssembledPort(
            full,
            sheet.id,
            name,
            side,
            port,
            label,
            service,
            flow,
            family,
            port.end,
            owner,
            position,
            axis,
        )

    def _position(self, sheet: Sheet, port: Port) -> tuple[Point | None, Point | None]:
        at, axis = port.place.at, port.place.axis
        point = _point(at) if at is not None else None
        moved = [self.resolve(name) for name in (self.build.engine, self.build.gearbox)]
        if sheet.id not in moved:
            return point, axis
        pose = self.build.pose
        origin = _point(pose.at) if pose is not None else None
        if pose is None or origin is None:
            return None, None
        turned = _turned(pose)
        return (
            placed(point, origin, *turned) if point else None,
            direction(axis, *turned) if axis else None,
        )

    # -- joins and the rest of the build -----------------------------------

    def take_joins(self) -> None:
        taken: dict[str, list[AssembledJoin]] = {}
        for name, join in self.build.joins.items():
            path: Path = ("joins", name)
            self.rename(self.build, path, join.formerly, name)
            self.hold(
                self.build, path, Holder(name, (Subject.JOIN,), join.label or name, join.facts)
            )
            ends = [
                self._port(reference, (*path, "ends", i)) for i, reference in enumerate(join.ends)
            ]
            pieces = [
                self._piece(reference, (*path, "through", i))
                for i, reference in enumerate(join.through)
            ]
            first, second = ends
            if first is None or second is None:
                continue
            if first.id == second.id:
                self.complain(self.build, (*path, "ends"), "one port twice", "two ports")
            service = join.service or (
                first.service if first.service is not Service.UNKNOWN else second.service
            )
            made = AssembledJoin(
                name, join, (first, second), service, tuple(p for p in pieces if p)
            )
            self.joins[name] = made
            for end in {first.id: first, second.id: second}.values():
                self._refuse_second(made, end, taken.setdefault(end.id, []), path)

    def _refuse_second(
        self, join: AssembledJoin, end: AssembledPort, others: list[AssembledJoin], path: Path
    ) -> None:
        if end.there == "no":
            self.complain(
                self.build,
                (*path, "ends"),
                f"{end.id}, which is said not to be there",
                "a port that is there",
            )
        for other in others:
            if any(join.holds_at(stage) and other.holds_at(stage) for stage in Stage):
                wanted = f"each port joined once a stage: join {other.id} has it; a tee is a part with three ports"
                self.complain(self.build, (*path, "ends"), f"{end.id} joined twice", wanted)
        others.append(join)

    def _port(self, reference: str, path: Path) -> AssembledPort | None:
        port = self.ports.get(self.resolve(reference))
        if port is None:
            self.complain_of_reference(
                self.build, path, reference, "a port as sheet.port", self.ports
            )
        return port

    def _piece(self, reference: str, path: Path) -> str:
        name = self.resolve(reference)
        if name in self.items or name in self.parts:
            return name
        known = [*self.items, *self.parts]
        wanted = "an item of a catalogue, a part sheet, or sheet.part"
        self.complain_of_reference(self.build, path, reference, wanted, known)
        return ""

    def check_rest(self) -> None:
        build = self.build
        for sheet in self.sheets.values():
            for name, port in sheet.ports.items():
                self._check_was(sheet, name, port)
        for i, fate in enumerate(build.fates):
            self._port(fate.port, ("fates", i, "port"))
        self._check_double_fates()
        for name, job in build.jobs.items():
            self.hold(
                build, ("jobs", name), Holder(name, (Subject.JOB,), job.label or name, job.facts)
            )
        for name, stock in build.stock.items():
            self.hold(
                build,
                ("stock", name),
                Holder(name, (Subject.STOCK,), stock.label or name, stock.facts),
            )
            if stock.item:
                self._known_thing(stock.item, ("stock", name, "item"), "an item, a part or a sheet")
            for i, use in enumerate(stock.usable):
                self._known_thing(use, ("stock", name, "for", i), "a join, a port or a part")
        for name, join in build.joins.items():
            if join.stand_in is not None and join.stand_in.item:
                self._known_thing(
                    join.stand_in.item, ("joins", name, "stand_in", "item"), "an item or a part"
                )
        for name, step in build.steps.items():
            for i, what in enumerate(step.what):
                self._known_thing(what, ("steps", name, "what", i), "a port, a part or a sheet")
        self._check_circuits_and_ledger()
        for name, decision in build.decisions.items():
            for i, about in enumerate(decision.about):
                self._known_thing(
                    about, ("decisions", name, "about", i), "a port, a part or a join"
                )
            if decision.chosen not in ("", "unknown", *decision.options):
                self.complain(
                    build, ("decisions", name, "chosen"), quoted(decision.chosen),
                    "unknown, or one of: " + ", ".join(decision.options), nearest_name(decision.chosen, decision.options),
                )  # fmt: skip
        self._check_functions()
        self._check_plain_ids()
        self._check_former()
        self._take_readings()

    def _check_circuits_and_ledger(self) -> None:
        build = self.build
        for name, circuit in build.circuits.items():
            if circuit.join and circuit.join not in build.joins:
                place: Path = ("circuits", name, "join")
                self.complain_of_reference(build, place, circuit.join, "a join", build.joins)
            if circuit.fuse_of and circuit.fuse_of not in build.circuits:
                place = ("circuits", name, "fuse_of")
                self.complain_of_reference(
                    build, place, circuit.fuse_of, "another circuit", build.circuits
                )
        if build.ledger is None:
            return
        sides = (("out", build.ledger.out), ("in", build.ledger.into))
        for side, weights in sides:
            for name, weight in weights.items():
                if weight.part:
                    place = ("ledger", side, name, "part")
                    self._known_thing(weight.part, place, "a sheet or a part")

    def _check_was(self, sheet: Sheet, name: str, port: Port) -> None:
        head, dot, _ = port.was.partition(".")
        if (
            dot
            and self.resolve(head) in self.sheets
            and " " not in port.was
            and self.resolve(port.was) not in self.ports
        ):
            known = [each for each in self.ports if each.startswith(head + ".")]
            place: Path = ("ports", name, "was")
            self.complain_of_reference(sheet, place, port.was, "a port, or plain words", known)

    def _check_double_fates(self) -> None:
        seen: dict[tuple[str, Stage], int] = {}
        for i, fate in enumerate(self.build.fates):
            key = (self.resolve(fate.port), fate.start)
            if key in seen:
                self.complain(
                    self.build, ("fates", i, "port"), f"a second fate of {fate.port} from {fate.start}",
                    f"one fate a stage (entry {seen[key] + 1} has one)",
                )  # fmt: skip
            seen.setdefault(key, i)
            clash = next(
                (
                    join.id for join in self.joins.values()
                    if join.record.start == fate.start and key[0] in [end.id for end in join.ends]
                ),
                None,
            )  # fmt: skip
            if clash:
                self.complain(
                    self.build, ("fates", i, "port"), f"{fate.port} {fate.fate} and in join {clash} from {fate.start}",
                    "a join or another fate from one stage on, not both",
                )  # fmt: skip

    def _check_functions(self) -> None:
        known = [
            f"{part.id}.{function}" for part in self.parts.values() for function in part.functions
        ]
        for name in self.build.functions:
            if self._resolved_function(name) not in known:
                wanted = "a function as sheet.part.function"
                place: Path = ("functions", name)
                self.complain_of_reference(self.build, place, name, wanted, known)

    def _check_plain_ids(self) -> None:
        """Decisions, steps and catalogues carry no facts, yet are referred to by a plain id."""
        taken = {name: holder.subjects[0].value for name, holder in self.holders.items()}
        places: list[tuple[Document, Path, str, str]] = [
            (each, ("id",), each.id, "catalogue")
            for each in self.documents.by_id.values()
            if isinstance(each, Catalogue)
        ]
        places += [(self.build, ("decisions", n), n, "decision") for n in self.build.decisions]
        places += [(self.build, ("steps", n), n, "step") for n in self.build.steps]
        for document, path, name, sort in places:
            if name in taken:
                wanted = f"an id of its own: a {taken[name]} has this one"
                self.complain(document, path, quoted(name), wanted)
            taken.setdefault(name, sort)

    def _check_former(self) -> None:
        """A former id that something else bears now would name two things."""
        for document, path, name in self.former:
            if name in self.holders:
                wanted = f"a former id that nothing else has now: {name} is there"
                self.complain(document, path, quoted(name), wanted)

    def _resolved_function(self, name: str) -> str:
        part, dot, function = name.rpartition(".")
        return f"{self.resolve(part)}{dot}{function}"

    def _known_thing(self, reference: str, path: Path, wanted: str) -> None:
        name = self.resolve(reference)
        if name not in self.holders:
            self.complain_of_reference(self.build, path, reference, wanted, self.holders)

    def _take_readings(self) -> None:
        heard: dict[str, list[tuple[Value, str]]] = {}
        for i, reading in enumerate(self.build.readings):
            path: Path = ("readings", i)
            target = self._target(reading.of, (*path, "of"))
            if target is None:
                continue
            name, sort = target
            raw = {"value": reading.value, "by": reading.by, "on": reading.on, "who": reading.who}
            raw |= {"photo": reading.photo, "note": reading.note}
            try:
                value = read_value({key: text for key, text in raw.items() if text}, sort)
            except ValueFault as fault:
                source = self.documents.source_of(self.build.id)
                self.faults.append(
                    source.fault(
                        (*path, "value"), fault.found, fault.wanted, fault.example, fault.nearest
                    )
                )
                continue
            heard.setdefault(name, []).append((value, reading.by))
        for name, values in heard.items():
            try:
                self.readings[name] = _combined([value for value, _ in values], values[-1][1])
            except QuantityFault as fault:
                place: Path = ("readings", len(self.build.readings) - 1, "by")
                self.complain(self.build, place, fault.found, fault.wanted)

    def _target(self, of: str, path: Path) -> tuple[str, Sort] | None:
        """Resolve what a reading is of: ``subject.fact`` or ``sheet.port.end.dimension``."""
        subject, _, name = of.rpartition(".")
        if subject.endswith(".end"):
            port = self.ports.get(self.resolve(subject.removesuffix(".end")))
            if port is not None and port.end is not None and name in port.end.definition.dims:
                return f"{port.id}.end.{name}", port.end.definition.dims[name]
            wanted = "a dimension of a port's end that has a form"
            self.complain_of_reference(self.build, path, of, wanted, self._dimensions())
            return None
        subject = self.resolve(subject)
        definition = fact_book().get(name)
        holder = self.holders.get(subject)
        if holder is None:
            wanted = "subject.fact or sheet.port.end.dimension"
            self.complain_of_reference(self.build, path, of, wanted, self._said_of())
            return None
        if definition is None or not set(definition.of) & set(holder.subjects):
            known = [
                each for each, fact in fact_book().items() if set(fact.of) & set(holder.subjects)
            ]
            self.complain(
                self.build,
                path,
                quoted(of),
                f"a fact of a {holder.subjects[0]}",
                nearest_name(name, known),
            )
            return None
        return f"{subject}.{name}", definition.sort

    def _dimensions(self) -> list[str]:
        ends = [(port.id, port.end) for port in self.ports.values() if port.end is not None]
        return [f"{name}.end.{dim}" for name, end in ends for dim in end.definition.dims]

    def _said_of(self) -> list[str]:
        return [f"{name}.{fact}" for name, each in self.holders.items() for fact in each.facts]

    # -- result ------------------------------------------------------------

    def result(self, stage: Stage, as_it_stands: bool) -> Assembly:
        for name, port in self.ports.items():
            read = {
                dim: self.readings[f"{name}.end.{dim}"]
                for dim in (port.end.definition.dims if port.end else ())
                if f"{name}.end.{dim}" in self.readings
            }
            if port.end is not None and read:
                end = End(
                    port.end.form, port.end.half, {**port.end.dims, **read}, port.end.material
                )
                self.ports[name] = _with_end(port, end)
        return Assembly(
            self.build, stage, as_it_stands, self.sheets, self.sides, self.ports, self.parts,
            self.joins, self.items, self.holders, self.readings, self.renamed,
        )  # fmt: skip


def _with_end(port: AssembledPort, end: End) -> AssembledPort:
    return AssembledPort(
        port.id, port.sheet, port.name, port.side, port.record, port.label, port.service, port.flow,
        port.family, end, port.owner, port.position, port.axis,
    )  # fmt: skip


def _point(at: tuple[Value, Value, Value]) -> Point | None:
    x, y, z = (
        value.content.nominal if isinstance(value.content, Measure) else None for value in at
    )
    return None if x is None or y is None or z is None else (x, y, z)


def _turned(pose: Pose) -> tuple[float, float, float]:
    angles = (pose.nose_up, pose.roll, pose.yaw)
    nose_up, roll, yaw = (
        each.content.nominal if isinstance(each.content, Measure) else 0.0 for each in angles
    )
    return nose_up, roll, yaw


def _combined(values: list[Value], tool: str) -> Value:
    """Several readings of one thing as one value; the last one for what is not measured."""
    measures = [
        value.content
        for value in values
        if isinstance(value.content, Measure) and value.content.dimension is not Dimension.THREAD
    ]
    last = values[-1]
    if len(measures) < len(values) or len(values) == 1:
        return last
    combined = combine_readings(measures, tool)
    return Value(
        combined.measure, last.basis, combined.measure.text, last.by, last.on, last.who, last.photo,
        last.note, combined.count, combined.scatter,
    )  # fmt: skip
