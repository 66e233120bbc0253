"""The ``swapwright`` command.

Only click is imported here; everything else loads inside the command that
needs it, so that ``swapwright --version`` answers at once.
"""

from __future__ import annotations

import gc
import re
import sys
from collections.abc import Callable, Mapping
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from swapwright import __version__

if TYPE_CHECKING:
    from datetime import date

    from swapwright.assess import Assessment
    from swapwright.crossings.chains import Chain
    from swapwright.library.survey_data import SurveyQuestion
    from swapwright.model.assembly import Assembly
    from swapwright.model.ends import End
    from swapwright.model.sheets import Item
    from swapwright.model.words import Service
    from swapwright.quantity import System

FAULTS = 2  # exit status when the input has faults
STOPPED = 130  # as shells count a program that its user broke off
NEGATIVE = re.compile(r"-\s?\.?\d")
STAGES = ("first start", "first drive", "finished")
FOLDER = click.option(
    "-C",
    "--build",
    "folder",
    type=click.Path(path_type=Path),
    default=Path(),
    help="Folder of the build; default: where you are.",
)
JSON = click.option("--json", "as_json", is_flag=True, help="Print plain data instead of text.")
AS_OF = click.option("--as-of", metavar="DAY", help="Judge dates for this day; default: today.")
MANNERS = {
    "head": {"bold": True},
    "stop": {"fg": "red", "reverse": True, "bold": True},
    "before the road": {"fg": "red", "bold": True},
    "worth fixing": {"bold": True},
    "signal": {"bold": True},
}


class NumbersAreValues(click.Command):
    """A command to which ``-7 mm`` is a value, not an option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Read options and arguments, negative numbers behind the options."""
        with_value = {
            name
            for each in self.params
            if isinstance(each, click.Option) and not each.is_flag
            for name in each.opts
        }
        numbers = [
            place
            for place, word in enumerate(args)
            if NEGATIVE.match(word) and (place == 0 or args[place - 1] not in with_value)
        ]
        if numbers and "--" not in args:
            others = [word for place, word in enumerate(args) if place not in numbers]
            args = [*others, "--", *(args[place] for place in numbers)]
        return super().parse_args(ctx, args)


class Commands(click.Group):
    """All commands; what is wrong with a call is told in lines that fit a terminal."""

    command_class = NumbersAreValues

    def main(self, *args: Any, standalone_mode: bool = True, **extra: Any) -> Any:
        """Run, and end with the status of the command."""
        run: Callable[..., Any] = super().main
        if not standalone_mode:
            return run(*args, standalone_mode=False, **extra)
        try:
            status = run(*args, standalone_mode=False, **extra)
        except click.exceptions.NoArgsIsHelpError as error:
            error.show()
            sys.exit(error.exit_code)
        except click.ClickException as error:
            context = getattr(error, "ctx", None)
            path = context.command_path if context else "swapwright"
            _say_call_fault(error.format_message(), path)
            sys.exit(error.exit_code)
        except click.Abort:
            _say("stopped", err=True)
            sys.exit(STOPPED)
        sys.exit(status if isinstance(status, int) else 0)


def _say_call_fault(message: str, command: str) -> None:
    from textwrap import wrap

    lines = wrap(f"command line: {message}", 80, subsequent_indent="    ", break_on_hyphens=False)
    _say("\n".join([*lines, f"    {command} --help tells what it takes"]), err=True)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Start with: swapwright begin my-swap; or look round: swapwright demo. In the folder "
    "of a build, swapwright assess then says what to do next.",
)
@click.version_option(__version__, prog_name="swapwright")
def main() -> None:
    """Find what crosses between an engine and the vehicle it goes into."""


def _say(text: str, *, err: bool = False) -> None:
    """Print, in ASCII where the terminal knows no better."""
    from swapwright.dossier.gap import plain

    stream = sys.stderr if err else sys.stdout
    click.echo(plain(text, stream.encoding), err=err, nl=not text.endswith("\n"))


def _paint(text: str, manner: str) -> str:
    return click.style(text, **MANNERS[manner]) if manner in MANNERS else text  # type: ignore[arg-type]


def _faulty(faults: Any) -> NoReturn:
    from swapwright.dossier.terminal import fault_text

    _say(fault_text(faults), err=True)
    sys.exit(FAULTS)


def told_plainly(command: Callable[..., Any]) -> Callable[..., Any]:
    """Turn faults and refusals into words on the error stream and status 2."""

    @wraps(command)
    def wrapped(*args: Any, **kwargs: Any) -> Any:
        gc.disable()  # a command is short: looking for garbage while it loads costs a tenth of it
        from swapwright.model.faults import Faulty
        from swapwright.model.values import ValueFault

        try:
            return command(*args, **kwargs)
        except Faulty as faulty:
            _faulty(faulty.faults)
        except ValueFault as fault:
            _refuse(fault.found, fault.wanted, fault.example, fault.nearest)
        finally:
            gc.enable()

    return wrapped


def _refuse(found: str, wanted: str, example: str = "", nearest: str = "") -> NoReturn:
    from swapwright.model.faults import Fault

    _faulty([Fault("command line", None, None, "", found, wanted, example, nearest)])


def _day(text: str | None) -> date:
    from datetime import date

    from swapwright.model.values import Sort, read_value

    if text is None:
        return date.today()
    content = read_value(text, Sort("date")).content
    if not isinstance(content, date):
        _refuse(text, "a date as year-month-day", "2026-05-02")
    return content


def _assessed(folder: Path, as_of: str | None, stage: str, as_it_stands: bool) -> Assessment:
    from swapwright.assess import assess_folder
    from swapwright.model.words import Stage

    return assess_folder(folder, _day(as_of), Stage(stage), as_it_stands)


def _print_json(record: Any) -> None:
    import json

    click.echo(json.dumps(record, indent=2, ensure_ascii=True))


# -- beginning ------------------------------------------------------------------


@main.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--answers",
    type=click.Path(path_type=Path),
    help='Take the answers from a YAML file, a line each ("engine: v6"); schema answers tells all.',
)
@click.option("--unknown", is_flag=True, help="Answer every question with don't know.")
@told_plainly
def begin(folder: Path, answers: Path | None, unknown: bool) -> None:
    """Make a new build in FOLDER from a few answers.

    It asks; Enter means don't know, and nothing is written before the last answer.
    """
    from swapwright.survey.answers import all_unknown, read_answers
    from swapwright.survey.begin import begin as begin_build
    from swapwright.survey.begin import refuse_folder_in_use

    refuse_folder_in_use(folder)
    if answers is not None and unknown:
        _refuse("--answers and --unknown", "one of them, or neither to be asked")
    said = read_answers(answers) if answers else all_unknown() if unknown else _asked()
    begun = begin_build(folder, said)
    from swapwright.dossier.terminal import begun_text

    _say(begun_text(folder, begun.assumed))
    assessment = _assessed(folder, None, STAGES[0], False)
    from swapwright.dossier.report import write_report
    from swapwright.dossier.terminal import assessment_text

    _say(assessment_text(assessment, paint=_paint))
    written = write_report(assessment, folder / "report.html")
    from swapwright.dossier.terminal import next_steps_text

    _say(next_steps_text(folder, written))


def _asked() -> dict[str, str]:
    """Ask every question; Enter or ? is *don't know*."""
    from swapwright.library.survey_data import questions
    from swapwright.survey.answers import UNKNOWN, settled_by

    answers: dict[str, str] = {}
    _say("Enter or ? means don't know; every answer can be changed later.\n")
    for number, question in enumerate(questions().values(), 1):
        if question.name in settled_by(answers):
            answers[question.name] = UNKNOWN
            continue
        _say(f"{number} of {len(questions())}. {question.ask}")
        for place, answer in enumerate(question.answers, 1):
            _say(f"  {place}  {answer}")
        try:
            answers[question.name] = _answer(question)
        except click.Abort:
            _stopped(answers)
        if answers[question.name] == UNKNOWN:
            _say(f"  hint for later: {question.hint}")
        _say("")
    return answers


def _answer(question: SurveyQuestion) -> str:
    from swapwright.dossier.terminal import answer_fault_text
    from swapwright.model.values import ValueFault
    from swapwright.survey.answers import read_answer

    while True:
        said = click.prompt("", default="?", show_default=False, prompt_suffix="> ")
        try:
            return read_answer(question, said)
        except ValueFault as fault:
            _say(answer_fault_text(question, fault))


def _stopped(answers: Mapping[str, str]) -> NoReturn:
    """Hand back what was answered: nothing of it is written yet."""
    _say("\nstopped: nothing was written", err=True)
    if answers:
        _say("your answers so far, as a file for begin --answers takes them:", err=True)
        _say("".join(f"    {name}: {answer}\n" for name, answer in answers.items()), err=True)
    sys.exit(STOPPED)


@main.command()
@click.argument("folder", type=click.Path(path_type=Path), default=Path("demo-build"))
@click.option("--which", default="", help="Which demo; a wrong name lists them all.")
@click.option("--again", is_flag=True, help="Replace an earlier copy of the demo.")
@told_plainly
def demo(folder: Path, which: str, again: bool) -> None:
    """Copy a demo build to FOLDER, assess it and write its report."""
    from swapwright.dossier.report import write_report
    from swapwright.dossier.terminal import assessment_text
    from swapwright.library.demos import copy_demo, first_demo

    copy_demo(which or first_demo(), folder, again)
    assessment = _assessed(folder, None, STAGES[0], False)
    _say(assessment_text(assessment, paint=_paint))
    written = write_report(assessment, folder / "report.html")
    _say(f"Report: {written}")


# -- looking ----------------------------------------------------------------------


@main.command()
@FOLDER
@JSON
@AS_OF
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--as-it-stands", is_flag=True, help="Count only what is fitted or proved.")
@click.option("--all", "everything", is_flag=True, help="Show every finding with its reasons.")
@told_plainly
def assess(
    folder: Path,
    as_json: bool,
    as_of: str | None,
    stage: str,
    as_it_stands: bool,
    everything: bool,
) -> None:
    """Say what to do next, what is wrong, and what is open.

    Status 0: nothing above "worth fixing"; 1: a stop, or something before the
    road; 2: faults in the input.
    """
    assessment = _assessed(folder, as_of, stage, as_it_stands)
    if as_json:
        from swapwright.dossier.record import assessment_record

        _print_json(assessment_record(assessment))
    else:
        from swapwright.dossier.terminal import assessment_text

        _say(assessment_text(assessment, everything=everything, paint=_paint))
    sys.exit(assessment.status)


@main.command()
@FOLDER
@JSON
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--as-it-stands", is_flag=True, help="Count only what is fitted or proved.")
@click.option("--system", default="", help="Only one system, such as coolant.")
@click.option("--open", "only_open", is_flag=True, help="Only what is still open.")
@told_plainly
def crossings(
    folder: Path, as_json: bool, stage: str, as_it_stands: bool, system: str, only_open: bool
) -> None:
    """List everything that crosses, by pile and system."""
    assessment = _assessed(folder, None, stage, as_it_stands)
    known = sorted({each.system for each in assessment.crossings})
    if system and system not in known:
        from swapwright.model.faults import nearest_name

        _refuse(f'"{system}"', "a system: " + ", ".join(known), "", nearest_name(system, known))
    if as_json:
        from swapwright.dossier.record import crossing_records

        records = crossing_records(assessment)
        _print_json(
            [
                each
                for each in records
                if (not system or each["system"] == system)
                and (not only_open or each["fate"] == "open")
            ]
        )
    else:
        from swapwright.dossier.terminal import crossings_text

        _say(crossings_text(assessment, system=system, only_open=only_open, paint=_paint))


@main.command()
@FOLDER
@JSON
@click.argument("first")
@click.argument("second")
@click.option(
    "--most",
    type=click.IntRange(1),
    default=1,
    show_default=True,
    help="How many chains to show by joints, money, bore and rating each.",
)
@click.option("--service", default="", help="What the joint carries, for ends in words.")
@told_plainly
def mate(folder: Path, as_json: bool, first: str, second: str, most: int, service: str) -> None:
    """Say whether two ends mate, and through which parts.

    FIRST and SECOND are ports (engine.hot) or ends in words ("hose bead 36 mm").
    """
    from swapwright.crossings.mating import mate as mate_ends
    from swapwright.dossier.mating import mating_record, mating_text

    one, build, carried = _end(folder, first)
    other, same_build, also_carried = _end(folder, second)
    items, units = _at_hand(build or same_build)
    mating = mate_ends(one, other)
    found = _chains(one, other, items, most, _service(service, carried or also_carried))
    if as_json:
        _print_json(mating_record(first, second, mating, found, units))
    else:
        _say(mating_text(first, second, mating, found, units))


def _service(word: str, carried: Service | None) -> Service | None:
    """What a joint carries: as said, else as the ports say."""
    from swapwright.model.faults import nearest_name
    from swapwright.model.words import Service

    if not word:
        return carried if carried is not Service.UNKNOWN else None
    if word not in list(Service):
        _refuse(f'"{word}"', "one of: " + ", ".join(Service), "", nearest_name(word, Service))
    return Service(word)


def _end(folder: Path, text: str) -> tuple[End | None, Assembly | None, Service | None]:
    """An end in words, or a port of the build, that build, and what the port carries."""
    from swapwright.model.assemble import assemble
    from swapwright.model.documents import read_folder
    from swapwright.model.ends import read_end
    from swapwright.model.faults import nearest_name
    from swapwright.model.values import ValueFault

    try:
        return read_end(text), None, None
    except ValueFault as fault:
        if "." not in text or " " in text:
            raise
        assembly = assemble(read_folder(folder))
        name = assembly.resolve(text)
        if name not in assembly.ports:
            nearest = nearest_name(text, assembly.ports) or fault.nearest
            _refuse(f'"{text}"', "a port as sheet.port, or an end", "hose bead 36 mm", nearest)
        port = assembly.ports[name]
        return port.end, assembly, port.service


def _at_hand(build: Assembly | None) -> tuple[Mapping[str, Item], System]:
    """Items to join with and units to speak in: a build's own, else what ships."""
    if build is not None:
        return build.items, build.build.units
    from swapwright.library.catalogue import starter_items

    return starter_items(), "metric"


def _chains(
    first: End | None,
    second: End | None,
    items: Mapping[str, Item],
    most: int,
    service: Service | None,
) -> tuple[Chain, ...]:
    from swapwright.crossings.chains import find_chains

    if first is None or second is None:
        return ()
    return find_chains(first, second, items, best=most, service=service)


@main.command()
@FOLDER
@JSON
@click.argument("what")
@click.argument("seen", nargs=-1)
@click.option("--place", help="Where it sits, for threads: oil switch, temperature, filter …")
@told_plainly
def identify(
    folder: Path, as_json: bool, what: str, seen: tuple[str, ...], place: str | None
) -> None:
    """Say what an unknown end may be, and which safe test settles it.

    WHAT is a kind (thread, coolant-stubs, small-tube, sensor-plug) followed by
    what was SEEN ("pitch=1 mm"), or a port of the build that has seen: noted.
    """
    from swapwright.crossings.identify import identify as identify_end
    from swapwright.dossier.identity import identification_record, identification_text
    from swapwright.library.likelihoods import likelihood_kinds

    if what in likelihood_kinds():
        kind, observed = what, _observations(seen)
    else:
        kind, observed = _observed_at(folder, what, seen)
    result = identify_end(kind, observed, place=place)
    if as_json:
        _print_json(identification_record(result))
    else:
        _say(identification_text(result))


def _observations(seen: tuple[str, ...]) -> dict[str, str]:
    observed = {}
    for each in seen:
        name, equals, value = each.partition("=")
        if not equals:
            _refuse(f'"{each}"', "what was seen as name=value", "bore=28 mm")
        observed[name.strip()] = value.strip()
    return observed


def _observed_at(folder: Path, what: str, seen: tuple[str, ...]) -> tuple[str, dict[str, str]]:
    from swapwright.library.likelihoods import likelihood_kinds
    from swapwright.model.assemble import assemble
    from swapwright.model.documents import read_folder
    from swapwright.model.faults import nearest_name

    kinds = likelihood_kinds()
    if "." not in what:
        nearest = nearest_name(what, kinds)
        _refuse(f'"{what}"', "a kind: " + ", ".join(kinds) + ", or a port", "thread", nearest)
    assembly = assemble(read_folder(folder))
    name = assembly.resolve(what)
    if name not in assembly.ports:
        _refuse(f'"{what}"', "a port as sheet.port", "", nearest_name(what, assembly.ports))
    noted = dict(assembly.ports[name].record.seen) | _observations(seen)
    kind = noted.pop("kind", "")
    if kind not in kinds:
        wanted = f"under seen: of {name} a kind: " + ", ".join(kinds)
        _refuse(f'"{kind}"' if kind else "no kind", wanted, "seen: {kind: small-tube, bore: 6 mm}")
    return kind, noted


@main.command(short_help="Explain anything by its name: a finding, a rule, a port, a part.")
@FOLDER
@AS_OF
@click.argument("what")
@told_plainly
def explain(folder: Path, as_of: str | None, what: str) -> None:
    """Explain a finding, rule, fact, limit, red line, port family, end form or thing.

    "assumptions" lists every value that is not yours; "before cutting SHEET.PORT"
    is told for any port or part: who still needs it.
    """
    from swapwright.dossier.explain import explanation, known_names
    from swapwright.model.documents import document_files
    from swapwright.model.faults import nearest_name

    asked: list[Assessment] = []

    def assessment() -> Assessment:
        asked.append(_assessed(folder, as_of, STAGES[0], False))
        return asked[-1]

    is_build = folder.is_dir() and bool(document_files(folder))
    nearest = nearest_name(what, known_names())
    of_build = "." in what or "/" in what  # such names only a build can have
    slip = nearest not in ("", what) and not is_build and not of_build
    text = None if slip else explanation(what, assessment, in_build=is_build)
    if text is None:
        in_build = [
            name
            for each in asked
            for name in (*each.assembly.holders, *each.assembly.build.decisions)
        ]
        names = [*known_names(), *in_build]
        wanted = (
            "a finding, rule, fact, limit, red line, family, end form, port, part, join, decision "
            "or value as sheet.fact"
        )
        _refuse(f'"{what}"', wanted, "explain cool-cap-weakest", nearest_name(what, names))
    _say(text)


# -- changing -------------------------------------------------------------------------


@main.command("set", short_help="Change a value.")
@FOLDER
@click.argument("target")
@click.argument("value")
@told_plainly
def set_(folder: Path, target: str, value: str) -> None:
    """Set TARGET (car.kerb_mass, engine.hot.end, feed.progress …) to VALUE."""
    from swapwright.edits import set_value

    _tell(folder, set_value(folder, target, value))


@main.command(short_help="Close a crossing, a decision or a red line.")
@FOLDER
@click.argument("what")
@click.argument("fate")
@click.option("--to", default="", help="The other port of a join; the new place when relocated.")
@click.option("--through", multiple=True, help="An item or part on the way; again for more.")
@click.option("--reason", default="", help="Why.")
@click.option("--from", "start", default="", help="From which stage on.")
@click.option("--until", default="", help="Until when it is parked.")
@click.option("--proof", default="", help="For a red line: how it was proved.")
@click.option("--on", default="", metavar="DAY", help="When; a proof without one: today.")
@click.option("--by", default="", help="Who.")
@told_plainly
def close(folder: Path, what: str, fate: str, **details: Any) -> None:
    """Close a crossing, a decision or a red line.

    WHAT is a port with FATE joined, capped, parked, kept, relocated or removed; a
    decision with the chosen option as FATE; or a red line with FATE proved.
    """
    from swapwright.edits import close as close_crossing

    if fate == "proved" and not details["on"]:
        details["on"] = _day(None).isoformat()
    _tell(folder, close_crossing(folder, what, fate, **{k: v for k, v in details.items() if v}))


@main.command(short_help="Note a measurement.")
@FOLDER
@click.argument("of")
@click.argument("value")
@click.option("--by", default="", help="With which tool.")
@click.option("--on", default="", metavar="DAY", help="When; default: today.")
@click.option("--who", default="", help="By whom.")
@click.option("--photo", default="", help="Name of the photograph.")
@told_plainly
def read(folder: Path, of: str, value: str, by: str, on: str, who: str, photo: str) -> None:
    """Note a measurement OF something (car.hsup.end.barrel, feed.route_length …)."""
    from swapwright.edits import read as read_measurement

    day = on or _day(None).isoformat()
    _tell(folder, read_measurement(folder, of, value, by=by, on=day, who=who, photo=photo))


@main.command(short_help="Live with a finding for a reason.")
@FOLDER
@AS_OF
@click.argument("finding")
@click.argument("reason")
@told_plainly
def accept(folder: Path, as_of: str | None, finding: str, reason: str) -> None:
    """Live with a FINDING for a REASON; it lapses when its facts change."""
    from swapwright.edits import accept as accept_finding

    day = _day(as_of)
    _tell(folder, accept_finding(folder, finding, reason, day.isoformat(), as_of=day))


@main.command()
@FOLDER
@told_plainly
def undo(folder: Path) -> None:
    """Take back the last change; again for the one before."""
    from swapwright.edits import undo as undo_last

    _tell(folder, undo_last(folder))


def _tell(folder: Path, told: Any) -> None:
    from swapwright.dossier.told import told_text
    from swapwright.model.documents import read_folder

    build = read_folder(folder).build
    _say(told_text(told, build.units if build else "metric"))


# -- papers and schemas ------------------------------------------------------------------


@main.command(short_help="Write one page for phone, desk or printer.")
@FOLDER
@AS_OF
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--as-it-stands", is_flag=True, help="Count only what is fitted or proved.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Default: report.html.")
@told_plainly
def report(
    folder: Path, as_of: str | None, stage: str, as_it_stands: bool, output: Path | None
) -> None:
    """Write one self-contained page: what to do, findings, gaps, sheets, tags, shopping."""
    from swapwright.dossier.report import write_report

    assessment = _assessed(folder, as_of, stage, as_it_stands)
    _say(f"Report: {write_report(assessment, output or folder / 'report.html')}")


@main.command(short_help="Print or write the JSON Schemas of the documents.")
@click.argument("kind", required=False)
@click.option("--write", type=click.Path(path_type=Path), help="Write all schemas to a folder.")
@told_plainly
def schema(kind: str | None, write: Path | None) -> None:
    """Print the JSON Schema of a KIND of document, or write them all to a folder."""
    from swapwright.library.schemas import SCHEMAS, schema_text
    from swapwright.model.faults import nearest_name

    if write is not None:
        try:
            write.mkdir(parents=True, exist_ok=True)
            for name in SCHEMAS:
                (write / f"{name}.json").write_text(schema_text(name), "utf-8", newline="\n")
        except OSError as error:
            _refuse(f"{write}: {error.strerror}", "a folder to write to", "--write schemas")
        _say(f"{len(SCHEMAS)} schemas: {write}")
    elif kind in SCHEMAS:
        click.echo(schema_text(str(kind)))
    else:
        found = f'"{kind}"' if kind else "no kind"
        _refuse(
            found,
            "one of: " + ", ".join(SCHEMAS),
            "schema build",
            nearest_name(kind or "", SCHEMAS),
        )
