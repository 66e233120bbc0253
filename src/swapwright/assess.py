"""From a build folder to its Assessment: the one pipeline that all commands and pages call."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from swapwright.crossings.loose import LooseEnd, loose_ends
from swapwright.crossings.red import RedLineState, red_line_states
from swapwright.crossings.regret import Regret, regrets
from swapwright.crossings.rows import Crossing, crossings
from swapwright.findings.book import RULES
from swapwright.findings.kept import kept
from swapwright.findings.run import Finding, Judgement, judge, order, with_acceptances
from swapwright.library.cases import lacking, shipped_cases
from swapwright.library.risks import red_lines
from swapwright.library.rulebook import limit_texts, read_limit
from swapwright.model.assemble import try_assemble
from swapwright.model.assembly import Assembly
from swapwright.model.build import Decision
from swapwright.model.documents import Documents, read_folder
from swapwright.model.faults import Fault, Faulty, nearest_name, quoted
from swapwright.model.reading import Path as TreePath
from swapwright.model.values import Value, ValueFault
from swapwright.model.words import Stage, Urgency
from swapwright.quantity import Basis


@dataclass(frozen=True)
class Assumption:
    """A value that is not the builder's own and that the rule book read."""

    subject: str
    name: str
    value: Value
    rules: tuple[str, ...]


@dataclass(frozen=True)
class Assessment:
    """All that is known of one build at one stage, on one day."""

    assembly: Assembly
    as_of: date
    judgement: Judgement
    crossings: tuple[Crossing, ...]
    red_lines: tuple[RedLineState, ...]
    loose_ends: tuple[LooseEnd, ...]
    regrets: tuple[Regret, ...]
    assumptions: tuple[Assumption, ...]
    documents: Mapping[str, str] = field(default_factory=dict)  # digest by file
    computed: bool = False  # findings of the solved circuits are among the others

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, worst first."""
        return self.judgement.findings

    @property
    def open_decisions(self) -> dict[str, Decision]:
        """Decisions without an answer."""
        decisions = self.assembly.build.decisions
        return {name: each for name, each in decisions.items() if each.chosen in ("", "unknown")}

    @property
    def status(self) -> int:
        """0: nothing above "worth fixing"; 1: a stop, accepted or not, or before the road."""
        for finding in self.findings:
            if finding.urgency is Urgency.STOP:
                return 1
            if finding.urgency is Urgency.ROAD and finding.accepted is None:
                return 1
        return 0


def assess(assembly: Assembly, as_of: date) -> Assessment:
    """Everything the program can say of an Assembly without a circuit solution."""
    judgement = judge(assembly, RULES, as_of)
    assumed = tuple(
        Assumption(subject, name, value, rules)
        for (subject, name), (value, rules) in judgement.read.items()
        if value.known and value.basis in (Basis.TYPICAL, Basis.GUESSED)
    )
    return Assessment(
        assembly, as_of, judgement, crossings(assembly), red_line_states(assembly),
        loose_ends(assembly), regrets(assembly), assumed,
    )  # fmt: skip


def assess_folder(
    folder: Path, as_of: date, stage: Stage = Stage.FIRST_START, as_it_stands: bool = False
) -> Assessment:
    """Read, assemble and assess a build folder.

    Raises
    ------
    Faulty
        With every fault of every document.
    """
    found = assess_documents(read_folder(folder), as_of, stage, as_it_stands)
    held = kept(folder, found.assembly, found.documents)
    return found if held is None else with_computed(found, held.findings)


def with_computed(assessment: Assessment, found: Iterable[Finding]) -> Assessment:
    """The assessment with findings that rest on solved circuits.

    Each takes the place of what the same rule said of the same subject, or of a port of it, from
    facts alone; but a question never takes the place of something that is sure.
    """
    marked = with_acceptances(assessment.assembly, found)
    firm = {each.id for each in assessment.findings if each.asks is None}
    marked = [each for each in marked if each.asks is None or each.id not in firm]
    rest = [each for each in assessment.findings if not any(_covers(m, each) for m in marked)]
    judgement = replace(assessment.judgement, findings=tuple(sorted([*rest, *marked], key=order)))
    return replace(assessment, judgement=judgement, computed=True)


def _covers(computed: Finding, other: Finding) -> bool:
    """True where a computed finding says what another says of the same thing or a port of it."""
    subject, told = computed.subjects[0], other.subjects[0]
    same = told == subject or (computed.asks is None and told.startswith(f"{subject}."))
    return computed.rule == other.rule and same


def assemble_folder(
    folder: Path, stage: Stage = Stage.FIRST_START, as_it_stands: bool = False
) -> Assembly:
    """Read and assemble a build folder; raises ``Faulty`` as ``assess_folder``."""
    return _assembled(read_folder(folder), stage, as_it_stands)


def assess_documents(
    documents: Documents, as_of: date, stage: Stage = Stage.FIRST_START, as_it_stands: bool = False
) -> Assessment:
    """Assemble and assess documents; raises ``Faulty`` as ``assess_folder``."""
    assembly = _assembled(documents, stage, as_it_stands)
    digests = {file: source.digest for file, source in documents.sources.items()}
    return replace(assess(assembly, as_of), documents=digests)


def _assembled(documents: Documents, stage: Stage, as_it_stands: bool) -> Assembly:
    assembly, of_documents = try_assemble(documents, stage, as_it_stands)
    faults = (*of_documents, *_faults_against_library(documents))
    if faults or assembly is None:
        raise Faulty(faults)
    return assembly


def all_faults(documents: Documents) -> tuple[Fault, ...]:
    """Faults of the documents, of their references, and of what they say to the rule book."""
    _, faults = try_assemble(documents)
    return (*faults, *_faults_against_library(documents))


def _faults_against_library(documents: Documents) -> tuple[Fault, ...]:
    build = documents.build
    if build is None:
        return ()
    source = documents.source_of(build.id)
    found: list[Fault] = []
    for name, limit in build.limits.items():
        path: TreePath = ("limits", name)
        if name not in limit_texts():
            nearest = nearest_name(name, limit_texts())
            found.append(source.fault(path, quoted(name), "a limit of the rule book", "", nearest))
            continue
        try:
            read_limit(name, limit.value)
        except ValueFault as fault:
            found.append(source.fault((*path, "value"), fault.found, fault.wanted, fault.example))
    for name, case in build.cases.items():
        missing = () if name in shipped_cases() else lacking(case)
        if missing:
            wanted = "a case of your own to say " + "; ".join(missing)
            found.append(source.fault(("cases", name), "a case that leaves it out", wanted))
    for name in build.red_lines:
        if name not in red_lines():
            wanted = "a red line: " + ", ".join(red_lines())
            found.append(source.fault(("red_lines", name), quoted(name), wanted))
    return tuple(found)
