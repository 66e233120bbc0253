"""Second pass of assembling: what the build says of the sheets, every reference resolved."""

from swapwright.model.assembly import AssembledJoin, AssembledPort, Holder
from swapwright.model.faults import nearest_name, quoted, with_article
from swapwright.model.gathering import Gathering
from swapwright.model.reading import Path
from swapwright.model.sheets import Catalogue, Document, Port, Sheet
from swapwright.model.words import Service, Stage, Subject


class Joining(Gathering):
    """Joins, fates, stock, steps, decisions and all other references of the build."""

    def take_joins(self) -> None:
        """Resolve the ends and pieces of every join."""
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
                wanted = (
                    f"each port joined once a stage: join {other.id} has it;"
                    " a tee is a part with three ports"
                )
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
        """Resolve everything else that the build refers to."""
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
                self._piece(stock.item, ("stock", name, "item"))
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
                    build,
                    ("decisions", name, "chosen"),
                    quoted(decision.chosen),
                    "unknown, or one of: " + ", ".join(decision.options),
                    nearest_name(decision.chosen, decision.options),
                )
        self._check_functions()
        self._check_plain_ids()
        self._check_former()

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
        joined: dict[tuple[str, Stage], str] = {}
        for join in self.joins.values():
            for end in join.ends:
                joined.setdefault((end.id, join.record.start), join.id)
        for i, fate in enumerate(self.build.fates):
            key = (self.resolve(fate.port), fate.start)
            if key in seen:
                self.complain(
                    self.build,
                    ("fates", i, "port"),
                    f"a second fate of {fate.port} from {fate.start}",
                    f"one fate a stage (entry {seen[key] + 1} has one)",
                )
            seen.setdefault(key, i)
            clash = joined.get(key)
            if clash:
                self.complain(
                    self.build,
                    ("fates", i, "port"),
                    f"{fate.port} {fate.fate} and in join {clash} from {fate.start}",
                    "a join or another fate from one stage on, not both",
                )

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
                wanted = f"an id of its own: {with_article(taken[name])} has this one"
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
