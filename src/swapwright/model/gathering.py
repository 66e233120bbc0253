"""First pass of assembling: sheets, catalogues and ports, each under an id of its own."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from swapwright.model.assembly import (
    AssembledJoin,
    AssembledPart,
    AssembledPort,
    Holder,
    resolved,
)
from swapwright.model.build import Build, Pose
from swapwright.model.documents import Documents
from swapwright.model.families import families
from swapwright.model.faults import Fault, nearest_name, quoted, with_article
from swapwright.model.pose import Point, direction, placed, point_said
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
from swapwright.model.values import Value
from swapwright.model.words import Flow, Kind, Service, Side, Subject
from swapwright.quantity import Measure

MOST_HINTS = 20  # nearest names told of one folder: each is compared with every known name
SUBJECT_OF = {
    Kind.VEHICLE: Subject.VEHICLE,
    Kind.ENGINE: Subject.ENGINE,
    Kind.GEARBOX: Subject.GEARBOX,
    Kind.PART: Subject.PART,
}


@dataclass
class Gathering:
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
    still_former: dict[str, str] = field(default_factory=dict)
    former: list[tuple[Document, Path, str]] = field(default_factory=list)
    hints: int = 0

    # -- helpers -----------------------------------------------------------

    def complain(
        self, document: Document, path: Path, found: str, wanted: str, nearest: str = ""
    ) -> None:
        """Note a fault at a place of a document."""
        source = self.documents.source_of(document.id)
        self.faults.append(source.fault(path, found, wanted, nearest=nearest))

    def complain_of_reference(
        self, document: Document, path: Path, name: str, wanted: str, known: Iterable[str]
    ) -> None:
        """A name that nothing has; silent when it may stand in what could not be read."""
        steps = self.resolve(name).split(".")
        above = {".".join(steps[:length]) for length in range(1, len(steps) + 1)}
        if not above & self.documents.torn:
            self.hints += 1
            nearest = nearest_name(name, known) if self.hints <= MOST_HINTS else ""
            self.complain(document, path, quoted(name), wanted, nearest)

    def hold(self, document: Document, path: Path, holder: Holder) -> None:
        """Register a subject; two of one id are a fault."""
        if holder.id in self.holders:
            taken = with_article(self.holders[holder.id].subjects[0])
            self.complain(
                document, path, quoted(holder.id), f"an id of its own: {taken} has this one"
            )
        self.holders.setdefault(holder.id, holder)

    def rename(
        self, document: Document, path: Path, former: Iterable[str], now: str, prefix: str = ""
    ) -> None:
        """Remember former ids of one thing; one that names two things is a fault."""
        for i, old in enumerate(former):
            name = prefix + old
            if self.renamed.setdefault(name, now) != now:
                wanted = f"a former id of one thing: {self.renamed[name]} has it too"
                self.complain(document, (*path, "formerly", i), quoted(old), wanted)
            self.former.append((document, (*path, "formerly", i), name))

    def resolve(self, reference: str) -> str:
        """Follow former ids of sheets and what stands on them; remember that it was needed."""
        now = resolved(reference, self.renamed)
        if now != reference:
            self.still_former[reference] = now
        return now

    # -- sheets and catalogues ---------------------------------------------

    def take_sheets(self) -> None:
        """Take in all sheets, their parts, catalogues, and the roles the build gives them."""
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
            self.documents.torn.add(name)  # told once here, not at every port of it
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
        """Take in all ports, placed in the vehicle where the pose allows."""
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
        point = point_said(at) if at is not None else None
        moved = [self.resolve(name) for name in (self.build.engine, self.build.gearbox)]
        if sheet.id not in moved:
            return point, axis
        pose = self.build.pose
        origin = point_said(pose.at) if pose is not None else None
        if pose is None or origin is None:
            return None, None
        turned = _turned(pose)
        return (
            placed(point, origin, *turned) if point else None,
            direction(axis, *turned) if axis else None,
        )


def _turned(pose: Pose) -> tuple[float, float, float]:
    angles = (pose.nose_up, pose.roll, pose.yaw)
    nose_up, roll, yaw = (
        each.content.nominal if isinstance(each.content, Measure) else 0.0 for each in angles
    )
    return nose_up, roll, yaw
