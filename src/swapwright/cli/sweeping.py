"""The command that tries a circuit with other figures."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import (
    FOLDER,
    JSON,
    STAGES,
    STOPPED,
    assembled,
    chosen_cases,
    main,
    print_json,
    refuse,
    say,
    told_plainly,
)

if TYPE_CHECKING:
    from swapwright.circuits.sweeps import Sweep
    from swapwright.circuits.whatif import Tried
    from swapwright.model.assembly import Assembly

LEAST_SAMPLES, MOST_SAMPLES = 64, 20_000


@main.command(short_help="Try the coolant circuit with other figures.")
@FOLDER
@JSON
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--case", "cases", multiple=True, help="Only this case; again for more.")
@click.option("--samples", default=512, show_default=True, help="How often to compute each value.")
@click.option("--svg", type=click.Path(path_type=Path), help="Draw the lines into this file too.")
@click.argument("what", nargs=-1)
@told_plainly
def sweep(
    folder: Path, as_json: bool, stage: str, cases: tuple[str, ...], samples: int,
    svg: Path | None, what: tuple[str, ...],
) -> None:  # fmt: skip
    """Try one figure or two at several values, on the same sample.

    \b
    swapwright sweep "radiator depth = 24, 32, 40, 52 mm"
    swapwright sweep "cap = 0.7 bar to 1.4 bar in 5" --case hill
    swapwright sweep "glycol = 30 %, 50 %" "hill.air = 30 to 45 °C in 4"

    Left of the sign stands a short word (none at all lists them), a fact as in
    set (car.radiator.radiator_core_depth), or a field of a case (hill.air).
    """  # noqa: D301
    assembly = assembled(folder, stage, False)
    found = read_trials(what, assembly)
    if not what:
        say(_words())
        return
    if len(found) > 2:
        refuse(f"{len(found)} figures", "one figure or two", '"cap = 0.7 bar to 1.4 bar in 5"')
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        refuse(f"{samples}", f"{LEAST_SAMPLES} to {MOST_SAMPLES} samples", "512")
    touched = tuple(dict.fromkeys(
        trial.subject for each in found for trial in each.trials if trial.in_case
    ))  # fmt: skip
    chosen = chosen_cases(assembly, cases) or touched or ("hill", "hot-idle")
    from swapwright.circuits.sweeps import MOST_TRIALS
    from swapwright.circuits.sweeps import sweep as computed
    from swapwright.dossier.sweep import sweep_record, sweep_text

    number = 1
    for each in found:
        number *= len(each.trials)
    if number > MOST_TRIALS:
        refuse(f"{number} pairs of values", f"at most {MOST_TRIALS}", "fewer steps")
    _refuse_lacking(assembly)
    if svg is not None and not svg.parent.is_dir():
        refuse(f'no folder "{svg.parent}"', "a folder that is there for the picture", "sweep.svg")
    swept = computed(assembly, found, chosen, samples, _progress)
    if as_json:
        print_json(sweep_record(assembly, swept))
    else:
        say(sweep_text(assembly, swept))
    if svg is not None:
        _draw(svg, assembly, swept)
    if swept.stopped:
        sys.exit(STOPPED)


def read_trials(what: tuple[str, ...], assembly: Assembly) -> tuple[Tried, ...]:
    """What is to be tried; ends with every fault of every text."""
    from swapwright.circuits.whatif import NotTried, tried
    from swapwright.model.faults import Faulty

    try:
        return tried(what, assembly)
    except NotTried as wrong:
        raise Faulty(wrong.faults) from None


def _draw(file: Path, assembly: Assembly, swept: Sweep) -> None:
    from swapwright.dossier.chart_drawing import chart_svg
    from swapwright.dossier.sweep import sweep_chart

    try:
        drawn = chart_svg(sweep_chart(assembly, swept))
    except ValueError as error:
        refuse(f"no picture: {error}", "two measured values or more", '"cap = 0.7, 1.1 bar"')
    try:
        file.write_text(drawn, encoding="utf-8")
    except OSError as error:
        refuse(f'"{file}": {error.strerror}', "a file that can be written", "sweep.svg")


def _refuse_lacking(assembly: Assembly) -> None:
    from swapwright.circuits.graph import circuit
    from swapwright.circuits.study import lacks
    from swapwright.model.words import Service

    for each in lacks(circuit(assembly, Service.COOLANT), assembly):
        if each.stops_all:
            refuse(f"a coolant circuit with {each.what}", "one that coolant can go round in",
                   each.remedy)  # fmt: skip


def _words() -> str:
    from swapwright.library.sweepables import sweepables

    lines = ["Short words, each with an example:"]
    lines += [f'  "{word} = {each.example}"' for word, each in sweepables().items()]
    return "\n".join(lines)


def _progress(done: int, of: int) -> None:
    """A line on the error stream that is written over; none where nobody looks."""
    if sys.stderr.isatty():
        sys.stderr.write(f"\r{done} of {of} values" + ("\n" if done == of else ""))
        sys.stderr.flush()
