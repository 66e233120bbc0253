"""The report: one self-contained page to read on a phone, at a desk, or on paper."""

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from swapwright.assess import Assessment
from swapwright.crossings.rows import Crossing
from swapwright.dossier.gap import GapRow, gap_row
from swapwright.dossier.gap_drawing import gap_svg
from swapwright.dossier.sentences import URGENCY_WORDS, asked, how_sure, rests_on, what
from swapwright.dossier.shopping import Shopping, shopping
from swapwright.dossier.terminal import units_of
from swapwright.findings.groups import Group, groups, to_show
from swapwright.findings.run import Finding
from swapwright.model.faults import Fault, Faulty
from swapwright.model.message import spoken
from swapwright.model.shipped import shipped_text
from swapwright.model.words import FateWord, Pile, Urgency
from swapwright.survey.pull_sheet import PullSheet, pull_sheet

if TYPE_CHECKING:
    from swapwright.dossier.coolant_report import CoolantSection

PAGE_START = b"<!doctype html>"


@dataclass(frozen=True)
class ToldFinding:
    """One finding in words."""

    finding: Finding
    what: str
    sure: str
    rests_on: str
    answer: str


@dataclass(frozen=True)
class ToldGroup:
    """Findings that one act settles."""

    act: str
    urgency: str
    manner: str  # for the style sheet
    signal: str
    told: tuple[ToldFinding, ...]


@dataclass(frozen=True)
class ToldRow:
    """One crossing with its drawing and what to do."""

    row: GapRow
    svg: str
    close: str
    crossing: Crossing


@dataclass(frozen=True)
class PileSection:
    """One pile, its rows by system."""

    pile: str
    count: int
    open: int
    systems: tuple[tuple[str, tuple[ToldRow, ...]], ...]


@dataclass(frozen=True)
class ReportPage:
    """Everything report.html may use."""

    title: str
    stage: str
    manner: str
    day: str
    next_gate: str
    language: str
    next: tuple[ToldGroup, ...]
    more: tuple[ToldGroup, ...]
    accepted: tuple[ToldFinding, ...]
    later: tuple[ToldGroup, ...]
    rules_checked: int
    red_lines: Any
    piles: tuple[PileSection, ...]
    decisions: Any
    stand_ins: tuple[tuple[str, str, str, str], ...]
    parked: tuple[tuple[str, str, str], ...]
    loose: tuple[tuple[str, str], ...]
    regrets: tuple[tuple[str, str, tuple[str, ...]], ...]
    assumptions: tuple[tuple[str, str, str], ...]
    sheet: PullSheet
    shopping: Shopping


def write_report(
    assessment: Assessment, path: Path, coolant: "CoolantSection | None" = None
) -> Path:
    """Write the page, with the solved coolant circuit where there is one.

    Raises
    ------
    Faulty
        When the file cannot be written, or is there and is no such page.
    """
    _refuse_other_file(path)
    try:
        path.write_text(report_html(assessment, coolant), encoding="utf-8", newline="\n")
    except OSError as error:
        found = error.strerror or "an error while writing"
        raise Faulty([Fault(str(path), None, None, "", found, "a file to write to")]) from None
    return path


def _refuse_other_file(path: Path) -> None:
    """Raise ``Faulty`` where writing would destroy what is not a page."""
    try:
        with path.open("rb") as held:
            start = held.read(len(PAGE_START))
    except OSError:
        return  # nothing there to destroy; what else may be wrong is told on writing
    if start and start.lower() != PAGE_START:
        wanted = "a new file, or an earlier page to replace"
        found = "a file that is no page"
        raise Faulty([Fault(str(path), None, None, "", found, wanted, "-o report.html")])


def report_html(assessment: Assessment, coolant: "CoolantSection | None" = None) -> str:
    """The page as text."""
    from jinja2 import Environment, PackageLoader, StrictUndefined  # only papers pay for it

    environment = Environment(
        loader=PackageLoader("swapwright.dossier", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    style = shipped_text("swapwright.dossier", "templates", "report.css")
    script = shipped_text("swapwright.dossier", "templates", "report.js")
    page = report_page(assessment)
    template = environment.get_template("report.html")
    return template.render(page=page, style=style, script=script, coolant=coolant)


def report_page(assessment: Assessment) -> ReportPage:
    """Everything the page shows, in words and the builder's units."""
    assembly = assessment.assembly
    system = units_of(assessment)
    shown, _ = to_show(assessment.findings)
    shown_ids = {each.id for group in shown for each in group.findings}
    rest = [
        each for each in assessment.findings if each.id not in shown_ids and each.accepted is None
    ]
    return ReportPage(
        title=assembly.build.label or assembly.build.id,
        stage=str(assembly.stage),
        manner="as it stands" if assembly.as_it_stands else "as planned",
        day=f"{assessment.as_of:%d %B %Y}",
        next_gate=str(assembly.next_gate),
        language="en",
        next=tuple(_group(each, assessment) for each in shown),
        more=tuple(_group(each, assessment) for each in groups(r for r in rest if not r.quiet)),
        accepted=tuple(
            _told(each, assessment) for each in assessment.findings if each.accepted is not None
        ),
        later=tuple(_group(each, assessment) for each in groups(r for r in rest if r.quiet)),
        rules_checked=assessment.judgement.rules,
        red_lines=assessment.red_lines,
        piles=tuple(_pile(assessment, pile) for pile in Pile),
        decisions=assembly.build.decisions,
        stand_ins=tuple(
            (
                assembly.label(join.id),
                assembly.label(s.item) if s.item else "",
                spoken(s.until, system),
                s.limits,
            )
            for join in assembly.joins.values()
            if (s := join.record.stand_in) is not None
        ),
        parked=tuple(
            (port, assembly.label(port), fate.until or "no day given")
            for port, fate in assembly.stated_fates.items()
            if assembly.fate(port) is FateWord.PARKED
        ),
        loose=tuple((e.what.text(system), e.close.text(system)) for e in assessment.loose_ends),
        regrets=tuple(
            (
                f"{each.does} {assembly.label(each.what)}",
                f"planned {spoken(each.planned, system)}" if each.planned.known else "no day given",
                tuple(f"{assembly.label(n.subject)}: {n.reason.text(system)}" for n in each.needs),
            )
            for each in assessment.regrets
        ),
        assumptions=tuple(
            (f"{each.subject}.{each.name}", spoken(each.value, system), str(each.value.basis))
            for each in assessment.assumptions
        ),
        sheet=pull_sheet(assembly, assessment.crossings),
        shopping=shopping(assembly),
    )


def _group(group: Group, assessment: Assessment) -> ToldGroup:
    worst = group.worst
    return ToldGroup(
        group.act[:1].upper() + group.act[1:].rstrip("."),
        URGENCY_WORDS[worst.urgency],
        "ask" if worst.urgency is Urgency.ASK else str(worst.urgency).replace(" ", "-"),
        str(worst.signal) if worst.signal else "",
        tuple(_told(each, assessment) for each in group.findings),
    )


def _told(finding: Finding, assessment: Assessment) -> ToldFinding:
    system = units_of(assessment)
    return ToldFinding(
        finding,
        what(finding, system),
        how_sure(finding),
        rests_on(finding, assessment.assembly, system),
        asked(finding),
    )


def _pile(assessment: Assessment, pile: Pile) -> PileSection:
    members = [each for each in assessment.crossings if each.pile is pile]
    by_system: dict[str, list[ToldRow]] = {}
    for each in members:
        by_system.setdefault(each.system, []).append(_row(each, assessment))
    systems = tuple((name, tuple(rows)) for name, rows in sorted(by_system.items()))
    return PileSection(str(pile), len(members), sum(each.is_open for each in members), systems)


def _row(crossing: Crossing, assessment: Assessment) -> ToldRow:
    units = units_of(assessment)
    row = gap_row(assessment.assembly, crossing, units)
    return ToldRow(row, gap_svg(row), crossing.close.text(units), crossing)
