"""An Assessment as text for a terminal of 80 columns."""

from collections.abc import Callable, Iterable, Iterator
from textwrap import wrap

from swapwright.assess import Assessment
from swapwright.crossings.rows import Crossing
from swapwright.dossier.gap import LINES, GapEnd, GapRow, gap_row
from swapwright.dossier.sentences import URGENCY_WORDS, asked, how_sure, not_own, rests_on, what
from swapwright.findings.groups import Group, groups, to_show
from swapwright.findings.run import Finding
from swapwright.library.survey_data import SurveyQuestion
from swapwright.model.values import ValueFault
from swapwright.model.words import FateWord, Gate, Pile, Urgency
from swapwright.quantity import System
from swapwright.survey.pull_sheet import pull_sheet

WIDTH = 80
Paint = Callable[[str, str], str]  # text and a manner ("stop", "road", "quiet", "head") -> text


def unpainted(text: str, _manner: str) -> str:
    """For surfaces without colour."""
    return text


def units_of(assessment: Assessment) -> System:
    """The builder's units."""
    return assessment.assembly.build.units


def assessment_text(
    assessment: Assessment, *, everything: bool = False, paint: Paint = unpainted
) -> str:
    """What ``assess`` prints: what to do next, red lines, piles, decisions, what is left."""
    blocks = [
        _head(assessment, paint),
        _next(assessment, everything, paint),
        _before_pulling(assessment, paint),
        _red_lines(assessment, paint),
        _piles(assessment, paint),
        _decisions(assessment, paint),
        _loose(assessment, everything, paint),
        _accepted(assessment, paint),
        _rest(assessment, everything),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _head(assessment: Assessment, paint: Paint) -> str:
    assembly = assessment.assembly
    manner = "as it stands" if assembly.as_it_stands else "as planned"
    title = wrap(assembly.build.label or assembly.build.id, WIDTH)
    when = (
        f"{assembly.stage}, {manner}; {assessment.as_of:%d %B %Y}; next gate: {assembly.next_gate}"
    )
    return "\n".join([*(paint(line, "head") for line in title), *wrap(when, WIDTH)])


def _next(assessment: Assessment, everything: bool, paint: Paint) -> str:
    if everything:
        open_ones = (each for each in assessment.findings if _is_told(each))
        shown, more = groups(open_ones), 0
    else:
        shown, more = to_show(assessment.findings)
    if not shown:
        return f"DO NEXT\nNothing: {assessment.judgement.rules} rules were checked."
    rows = [paint("DO NEXT", "head")]
    for number, group in enumerate(shown, 1):
        rows.extend(_group(number, group, assessment, everything, paint))
    if more:
        rows.append(f"    and {more} more: swapwright assess --all")
    return "\n".join(rows)


def _is_told(finding: Finding) -> bool:
    """An accepted finding stands by itself, but a stop stays where stops are told."""
    return finding.accepted is None or finding.urgency is Urgency.STOP


def _group(
    number: int, group: Group, assessment: Assessment, everything: bool, paint: Paint
) -> Iterator[str]:
    worst = group.worst
    word = paint(f"[{URGENCY_WORDS[worst.urgency]}]", str(worst.urgency))
    act = group.act[:1].upper() + group.act[1:].rstrip(".")
    yield from wrap(f"{number:>2}. {act}", WIDTH, subsequent_indent="    ")
    signal = f" {worst.signal.upper()}" if worst.signal else ""
    yield f"    {word}{paint(signal, 'signal')}"
    members = group.findings if everything else group.findings[:4]
    for finding in members:
        yield from _told(finding, assessment, everything)
    if len(group.findings) > len(members):
        yield f"    and {len(group.findings) - len(members)} more of the same kind"


def _told(finding: Finding, assessment: Assessment, everything: bool) -> Iterator[str]:
    system = units_of(assessment)
    text = what(finding, system)
    if finding.sure is not None and finding.sure < 0.995:
        text += f" ({how_sure(finding)})"
    if not everything and finding.asks is None and (weak := not_own(finding)):
        text += f" ({weak})"  # in the long view each fact says how it is known
    if finding.lapsed:
        text += " (accepted before, but its facts have changed)"
    yield from _item(text)
    if everything:
        yield from _item(f"{finding.why} {finding.remedy}", "      ")
        resting = rests_on(finding, assessment.assembly, system)
        if resting:
            yield from _item(f"rests on: {resting}", "      ")
        yield from _item(f"id: {finding.id}; source: {finding.source}", "      ")
    if answer := asked(finding):
        yield from _item(f"answer: swapwright {answer}", "      ")


def _item(text: str, indent: str = "    - ") -> Iterator[str]:
    hanging = " " * len(indent)
    yield from wrap(
        text, WIDTH, initial_indent=indent, subsequent_indent=hanging, break_on_hyphens=False
    )


def _red_lines(assessment: Assessment, paint: Paint) -> str:
    if not assessment.red_lines:
        return ""
    proved = sum(state.proved for state in assessment.red_lines)
    rows = [paint(f"RED LINES  {proved} of {len(assessment.red_lines)} proved", "head")]
    for state in assessment.red_lines:
        mark = "proved" if state.proved else "open again" if state.lapsed else "open"
        rows.extend(_item(f"{state.line.id:<5}{state.line.title}: {mark}", "    "))
    return "\n".join(rows)


def _piles(assessment: Assessment, paint: Paint) -> str:
    rows = [paint("CROSSINGS", "head") + "  (all: swapwright crossings)"]
    for pile in Pile:
        members = [each for each in assessment.crossings if each.pile is pile]
        still = sum(each.is_open for each in members)
        rows.append(f"    {pile:<16}{len(members):>4}   {still:>3} open")
    return "\n".join(rows)


def _decisions(assessment: Assessment, paint: Paint) -> str:
    if not assessment.open_decisions:
        return ""
    rows = [paint("DECISIONS OPEN", "head")]
    for name, decision in assessment.open_decisions.items():
        rows.extend(_item(f"{name}: {decision.question}"))
        for key, option in decision.options.items():
            label = f": {option.label}" if option.label else ""
            rows.extend(_item(f"{key}{label}", "        "))
    such = _such(assessment)
    rows.extend(
        _item(f"settle one: swapwright close DECISION OPTION, such as close {such}", "    ")
    )
    return "\n".join(rows)


def _such(assessment: Assessment) -> str:
    name, decision = next(iter(assessment.open_decisions.items()))
    return " ".join([name, *list(decision.options)[:1]])


def _loose(assessment: Assessment, everything: bool, paint: Paint) -> str:
    if not assessment.loose_ends:
        return ""
    rows = [paint("EASILY FORGOTTEN", "head")]
    system = units_of(assessment)
    by_act: dict[str, list[str]] = {}
    for each in assessment.loose_ends:
        by_act.setdefault(each.close.text(system), []).append(each.what.text(system))
    shown = list(by_act.items()) if everything else list(by_act.items())[:6]
    for act, members in shown:
        rows.extend(_item(f"{act[:1].upper()}{act[1:]}:"))
        for member in members if everything else members[:4]:
            rows.extend(_item(member, "        "))
        if not everything and len(members) > 4:
            rows.append(f"        and {len(members) - 4} more")
    if len(shown) < len(by_act):
        rows.append(f"    and {len(by_act) - len(shown)} more: --all")
    return "\n".join(rows)


def _before_pulling(assessment: Assessment, paint: Paint) -> str:
    """What to do before anything is pulled, while that gate is not passed."""
    if assessment.assembly.gate_passed(Gate.PULLED):
        return ""
    sheet = pull_sheet(assessment.assembly, assessment.crossings)
    head = paint("BEFORE YOU PULL IT", "head")
    counts = (
        f"{_count(len(sheet.shots), 'photograph')}, {_count(len(sheet.readings), 'reading')}"
        f" that cannot be taken later, {_count(len(sheet.tags), 'tag')},"
        f" {_count(len(sheet.keep), 'thing')} to keep: swapwright report writes the sheet"
    )
    return "\n".join([head, *_item(counts)])


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" + ("" if number == 1 else "s")


def _accepted(assessment: Assessment, paint: Paint) -> str:
    accepted = [each for each in assessment.findings if each.accepted is not None]
    if not accepted:
        return ""
    rows = [paint("ACCEPTED", "head")]
    for each in accepted:
        assert each.accepted is not None
        still = "; it stays a stop" if each.urgency is Urgency.STOP else ""
        rows.extend(_item(f"{what(each, units_of(assessment))} ({each.accepted.reason}{still})"))
    return "\n".join(rows)


def _rest(assessment: Assessment, everything: bool) -> str:
    quiet = sum(each.quiet for each in assessment.findings)
    rows = []
    if not assessment.computed:
        rows.append("The coolant circuit waits to be computed: swapwright circuit coolant")
    if quiet and not everything:
        verb = "waits" if quiet == 1 else "wait"
        rows.append(f"{_count(quiet, 'question')} {verb} for a later gate: swapwright assess --all")
    assumed = len(assessment.assumptions)
    if assumed:
        verb = "is" if assumed == 1 else "are"
        rows.append(
            f"{_count(assumed, 'value')} {verb} typical or guessed, not yours:"
            " swapwright explain assumptions"
        )
    for former, now in assessment.assembly.still_former.items():
        rows.extend(_item(f"{former} is now called {now}; the old name is still understood", ""))
    rows.append(
        "Checked against the rule book, not against your law: local codes and licensed"
        "\npractice come first."
    )
    return "\n".join(rows)


def crossings_text(
    assessment: Assessment,
    *,
    system: str = "",
    only_open: bool = False,
    paint: Paint = unpainted,
) -> str:
    """What ``crossings`` prints: every row, by pile and system."""
    rows: list[str] = []
    units = units_of(assessment)
    for pile in Pile:
        members = [
            each
            for each in assessment.crossings
            if each.pile is pile
            and (not system or each.system == system)
            and (not only_open or each.is_open)
        ]
        if members:
            rows.append(paint(f"{str(pile).upper()}  {len(members)}", "head"))
            members.sort(key=lambda each: each.system)
            for each in members:
                rows.extend(row_lines(gap_row(assessment.assembly, each, units), each, units))
            rows.append("")
    return "\n".join(rows) if rows else "Nothing of that kind crosses.\n"


LEFT, RIGHT, WORD = 29, 22, 17  # cells; with the line of nine and three spaces 80
BEADS = {(False, True): "●", (False, False): "○", (True, True): "∙", (True, False): "∘"}


def row_lines(row: GapRow, crossing: Crossing, units: System) -> Iterator[str]:
    """One row as a line of text, with a second line where there is more to say."""
    line = LINES[row.state][0]
    same = row.left is not None and row.right is not None and row.left.label == row.right.label
    left, right = _end_text(row.left, LEFT), _end_text(row.right, RIGHT, labelled=not same)
    yield f"{left:<{LEFT}} {line} {right:<{RIGHT}} {row.word:.{WORD}}".rstrip()
    beads = "".join(BEADS[bead.small, bead.here] for bead in row.beads)
    close = crossing.close.text(units) if crossing.fate is FateWord.OPEN else ""
    pieces = ", ".join(bead.label for bead in row.beads)
    more = "; ".join(part for part in (row.between, f"{beads} {pieces}".strip(), close) if part)
    more = more.replace("?; ", "? ")
    yield from wrap(more, WIDTH, initial_indent="    ", subsequent_indent="    ")


def _end_text(end: GapEnd | None, width: int, labelled: bool = True) -> str:
    """Name, label and size in ``width`` cells; the label gives way first, then the name."""
    if end is None:
        return ""
    size = f" {end.size}"[: width // 2] if end.size else ""
    name = end.id.partition(".")[2][: width - len(size)]
    room = max(width - len(size) - len(name) - 1, 0) if labelled else 0
    return f"{name} {_first_words(end.label, room)}".strip() + size


def _first_words(text: str, room: int) -> str:
    if len(text) <= room:
        return text
    whole = text[: room + 1].rpartition(" ")[0]
    return (whole or text[:room]).rstrip(" ,;")


def fault_text(faults: Iterable[object]) -> str:
    """All faults, one paragraph each."""
    rows: list[str] = []
    for fault in faults:
        rows.extend(wrap(str(fault), WIDTH, subsequent_indent="    ", break_on_hyphens=False))
    return "\n".join(rows) + "\n"


def begun_text(folder: object, assumed: Iterable[str]) -> str:
    """What ``begin`` prints before the first assessment."""
    rows = [*wrap(f"A new build in {folder}.", WIDTH, break_long_words=False)]
    rows.append("Assumed, until you know better:")
    for each in assumed:
        rows.extend(_item(each))
    return "\n".join(rows) + "\n"


def answer_fault_text(question: SurveyQuestion, fault: ValueFault) -> str:
    """What ``begin`` prints after an answer it cannot take."""
    number = f"a number from 1 to {len(question.answers)}, or " if question.answers else ""
    wanted = f"{number}the words of an answer" if question.answers else fault.wanted
    nearest = f"; nearest known: {fault.nearest}" if fault.nearest else ""
    return "\n".join(
        _item(f"found {fault.found}, wanted {wanted}; Enter means don't know{nearest}", "  ")
    )


def next_steps_text(folder: object, report: object) -> str:
    """What ``begin`` prints last."""
    place = f'-C "{folder}"' if " " in str(folder) else f"-C {folder}"
    rows = [
        "",
        "WHAT NOW",
        *_item(f"open {report}: the sheet to take along to the cars", "    "),
        "    tell what you find, one thing at a time; each answer says what it settles:",
        f'    swapwright set car.kerb_mass "1130 kg, public weighbridge" {place}',
        "    and see where it stands:",
        f"    swapwright assess {place}",
    ]
    return "\n".join(rows)
