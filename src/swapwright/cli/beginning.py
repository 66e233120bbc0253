"""Commands that begin a build: begin, demo."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from swapwright.cli.calling import (
    STAGES,
    STOPPED,
    assessed,
    main,
    paint,
    refuse,
    say,
    told_plainly,
)

if TYPE_CHECKING:
    from swapwright.library.survey_data import SurveyQuestion


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
        refuse("--answers and --unknown", "one of them, or neither to be asked")
    said = read_answers(answers) if answers else all_unknown() if unknown else _asked()
    begun = begin_build(folder, said)
    from swapwright.dossier.terminal import begun_text

    say(begun_text(folder, begun.assumed))
    assessment = assessed(folder, None, STAGES[0], False)
    from swapwright.dossier.report import write_report
    from swapwright.dossier.terminal import assessment_text

    say(assessment_text(assessment, paint=paint))
    written = write_report(assessment, folder / "report.html")
    from swapwright.dossier.terminal import next_steps_text

    say(next_steps_text(folder, written))


def _asked() -> dict[str, str]:
    """Ask every question; Enter or ? is *don't know*."""
    from swapwright.library.survey_data import questions
    from swapwright.survey.answers import UNKNOWN, settled_by

    answers: dict[str, str] = {}
    say("Enter or ? means don't know; every answer can be changed later.\n")
    for number, question in enumerate(questions().values(), 1):
        if question.name in settled_by(answers):
            answers[question.name] = UNKNOWN
            continue
        say(f"{number} of {len(questions())}. {question.ask}")
        for place, answer in enumerate(question.answers, 1):
            say(f"  {place}  {answer}")
        try:
            answers[question.name] = _answer(question)
        except click.Abort:
            _stopped(answers)
        if answers[question.name] == UNKNOWN:
            say(f"  hint for later: {question.hint}")
        say("")
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
            say(answer_fault_text(question, fault))


def _stopped(answers: Mapping[str, str]) -> NoReturn:
    """Hand back what was answered: nothing of it is written yet."""
    say("\nstopped: nothing was written", err=True)
    if answers:
        say("your answers so far, as a file for begin --answers takes them:", err=True)
        say("".join(f"    {name}: {answer}\n" for name, answer in answers.items()), err=True)
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
    assessment = assessed(folder, None, STAGES[0], False)
    say(assessment_text(assessment, paint=paint))
    written = write_report(assessment, folder / "report.html")
    say(f"Report: {written}")
