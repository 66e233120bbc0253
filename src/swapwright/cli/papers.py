"""Commands that write papers and schemas: report, schema."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import (
    AS_OF,
    FOLDER,
    STAGES,
    assessed,
    main,
    refuse,
    say,
    told_plainly,
)

if TYPE_CHECKING:
    from swapwright.assess import Assessment
    from swapwright.dossier.coolant_report import CoolantSection

LEAST_SAMPLES, MOST_SAMPLES = 64, 100_000


@main.command(short_help="Write one page for phone, desk or printer.")
@FOLDER
@AS_OF
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--as-it-stands", is_flag=True, help="Count only what is fitted or proved.")
@click.option(
    "--samples",
    default=1024,
    show_default=True,
    help="How often to compute the coolant circuit; 0: leave it out.",
)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Default: report.html.")
@told_plainly
def report(
    folder: Path,
    as_of: str | None,
    stage: str,
    as_it_stands: bool,
    samples: int,
    output: Path | None,
) -> None:
    """Write one self-contained page: what to do, findings, gaps, sheets, tags, shopping."""
    from swapwright.dossier.report import write_report

    if samples and not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        refuse(f"{samples}", f"0, or {LEAST_SAMPLES} to {MOST_SAMPLES} samples", "1024")
    assessment = assessed(folder, as_of, stage, as_it_stands)
    assessment, section = with_coolant(folder, assessment, samples)
    say(f"Report: {write_report(assessment, output or folder / 'report.html', section)}")


def with_coolant(
    folder: Path, assessment: Assessment, samples: int
) -> tuple[Assessment, CoolantSection | None]:
    """The assessment with what its solved coolant circuit says, and that as a section."""
    if not samples:
        return assessment, None
    from swapwright.assess import with_computed
    from swapwright.circuits.study import coolant_study
    from swapwright.dossier.coolant_report import coolant_section
    from swapwright.findings.computed.coolant import coolant_findings
    from swapwright.findings.kept import keep

    assembly = assessment.assembly
    study = coolant_study(assembly, samples)
    if study.cases:
        found = coolant_findings(assembly, study)
        keep(folder, assembly, assessment.documents, found)
        assessment = with_computed(assessment, found)
    return assessment, coolant_section(assembly, study)


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
            refuse(f"{write}: {error.strerror}", "a folder to write to", "--write schemas")
        say(f"{len(SCHEMAS)} schemas: {write}")
    elif kind in SCHEMAS:
        click.echo(schema_text(str(kind)))
    else:
        found = f'"{kind}"' if kind else "no kind"
        refuse(
            found,
            "one of: " + ", ".join(SCHEMAS),
            "schema build",
            nearest_name(kind or "", SCHEMAS),
        )
