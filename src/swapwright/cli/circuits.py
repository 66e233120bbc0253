"""Commands that compute a circuit."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import (
    FOLDER,
    JSON,
    STAGES,
    Commands,
    assessed,
    chosen_cases,
    main,
    print_json,
    refuse,
    say,
    told_plainly,
)

if TYPE_CHECKING:
    from swapwright.model.assembly import Assembly

LEAST_SAMPLES, MOST_SAMPLES = 64, 100_000


@main.group(cls=Commands, short_help="Compute a circuit: flows, temperatures, pressures.")
def circuit() -> None:
    """Compute what flows in a circuit of this build, how hot, under which pressure."""


@circuit.command(short_help="The coolant circuit in every operating case.")
@FOLDER
@JSON
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--as-it-stands", is_flag=True, help="Count only what is fitted or proved.")
@click.option("--case", "cases", multiple=True, help="Only this case; again for more.")
@click.option("--samples", default=1024, show_default=True, help="How often to compute each case.")
@click.option("--what-if", multiple=True, help='Another figure: "cap = 0.9 bar"; see sweep.')
@click.option("--what-matters", is_flag=True, help="What carries the spread; what to measure.")
@click.option("--all", "everything", is_flag=True, help="List every assumption with its source.")
@told_plainly
def coolant(
    folder: Path,
    as_json: bool,
    stage: str,
    as_it_stands: bool,
    cases: tuple[str, ...],
    samples: int,
    what_if: tuple[str, ...],
    what_matters: bool,
    everything: bool,
) -> None:
    """Compute flows, temperatures and pressures of the coolant in every case.

    Nothing has to be measured first: what nobody said is taken as typical, with a wide band, and
    listed. With one --case the circuit is drawn line by line. Estimates, no promise: watch the
    gauge, and never open a hot cap.
    """
    assessment = assessed(folder, None, stage, as_it_stands)
    assembly = assessment.assembly
    from swapwright.circuits.study import coolant_study

    chosen_cases(assembly, cases)
    if what_if:
        assembly = _otherwise(assembly, what_if)
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        refuse(f"{samples}", f"{LEAST_SAMPLES} to {MOST_SAMPLES} samples", "1024")
    study = coolant_study(assembly, samples, only=cases)
    from swapwright.dossier.coolant import coolant_record, coolant_text
    from swapwright.findings.computed.coolant import coolant_findings
    from swapwright.findings.kept import keep

    found = coolant_findings(assembly, study)
    if (
        not cases and not what_if and study.cases
    ):  # what some cases only say would be told as all there is
        keep(folder, assembly, assessment.documents, found)
    if as_json:
        print_json(coolant_record(assembly, study, found, what_matters=what_matters))
    else:
        say(coolant_text(assembly, study, found, everything=everything, what_matters=what_matters))


def _otherwise(assembly: Assembly, what_if: tuple[str, ...]) -> Assembly:
    """The build with one other value of each of some figures."""
    from swapwright.circuits.whatif import changed
    from swapwright.cli.sweeping import read_trials

    found = read_trials(what_if, assembly)
    for each in found:
        if len(each.trials) > 1:
            refuse(f"{len(each.trials)} values", "one value; sweep tries several", "cap = 0.9 bar")
    return changed(assembly, [each.trials[0] for each in found])
