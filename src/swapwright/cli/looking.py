"""Commands that look at a build: assess, crossings, explain."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import (
    AS_OF,
    FOLDER,
    JSON,
    STAGES,
    assessed,
    main,
    paint,
    print_json,
    refuse,
    say,
    told_plainly,
)

if TYPE_CHECKING:
    from swapwright.assess import Assessment


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
    assessment = assessed(folder, as_of, stage, as_it_stands)
    if as_json:
        from swapwright.dossier.record import assessment_record

        print_json(assessment_record(assessment))
    else:
        from swapwright.dossier.terminal import assessment_text

        say(assessment_text(assessment, everything=everything, paint=paint))
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
    assessment = assessed(folder, None, stage, as_it_stands)
    known = sorted({each.system for each in assessment.crossings})
    if system and system not in known:
        from swapwright.model.faults import nearest_name

        refuse(f'"{system}"', "a system: " + ", ".join(known), "", nearest_name(system, known))
    if as_json:
        from swapwright.dossier.record import crossing_records

        records = crossing_records(assessment)
        print_json(
            [
                each
                for each in records
                if (not system or each["system"] == system)
                and (not only_open or each["fate"] == "open")
            ]
        )
    else:
        from swapwright.dossier.terminal import crossings_text

        say(crossings_text(assessment, system=system, only_open=only_open, paint=paint))


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
        asked.append(assessed(folder, as_of, STAGES[0], False))
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
        refuse(f'"{what}"', wanted, "explain cool-cap-weakest", nearest_name(what, names))
    say(text)
