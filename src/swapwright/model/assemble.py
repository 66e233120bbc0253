"""Documents into one Assembly, with every reference resolved or told as a fault."""

from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.documents import Documents
from swapwright.model.ends import End
from swapwright.model.facts import fact_book
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted, with_article
from swapwright.model.joining import Joining
from swapwright.model.reading import Path
from swapwright.model.values import Sort, Value, ValueFault, combine_readings, read_value
from swapwright.model.words import Stage
from swapwright.quantity import Dimension, Measure, QuantityFault


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
    work.take_readings()
    faults = (*documents.faults, *work.faults)
    if faults:
        return None, faults
    return work.result(stage, as_it_stands), ()


class _Work(Joining):
    """Last pass: readings, and the result."""

    def take_readings(self) -> None:
        """Read every reading as what it is of; several of one thing become one value."""
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
        if main := self._main_dimension(of):
            wanted = f"a dimension of the end of {of}"
            self.complain(self.build, path, quoted(of), wanted, main)
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
                f"a fact of {with_article(holder.subjects[0])}",
                nearest_name(name, known),
            )
            return None
        return f"{subject}.{name}", definition.sort

    def _main_dimension(self, of: str) -> str:
        """What is measured first at the end of a port; empty when ``of`` is no such port."""
        port = self.ports.get(self.resolve(of))
        if port is None or port.end is None or not port.end.definition.dims:
            return ""
        form = port.end.definition
        return f"{of}.end.{form.main or next(iter(form.dims))}"

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
            self.joins, self.items, self.holders, self.readings, self.renamed, self.still_former,
        )  # fmt: skip


def _with_end(port: AssembledPort, end: End) -> AssembledPort:
    return AssembledPort(
        port.id, port.sheet, port.name, port.side, port.record, port.label, port.service, port.flow,
        port.family, end, port.owner, port.position, port.axis,
    )  # fmt: skip


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
