"""The command that plans how to fill and bleed."""

from __future__ import annotations

from pathlib import Path

import click

from swapwright.cli.calling import (
    FOLDER,
    JSON,
    STAGES,
    assembled,
    main,
    print_json,
    refuse,
    say,
    told_plainly,
)

COLDEST, SAMPLES = 223.15, 512  # K that a mixture still stands; times to compute


@main.command(short_help="Plan how to fill and bleed the coolant.")
@FOLDER
@JSON
@click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
@click.option("--frost", default="", metavar="TEMPERATURE", help='Protect down to this: "-25 °C".')
@told_plainly
def bleed(folder: Path, as_json: bool, stage: str, frost: str) -> None:
    """Plan how to fill the coolant circuit so that no air stays, and what to buy.

    Volumes by part, glycol for the frost you name (else as the build says), in
    which attitude and order, how many litres by when, and when to accept it.
    """
    assembly = assembled(folder, stage, False)
    protect = _temperature(frost) if frost else None
    from swapwright.circuits.amounts import amounts, share_for, shopping
    from swapwright.circuits.bleeding import bleed_plan, runs_of
    from swapwright.circuits.study import coolant_study
    from swapwright.dossier.bleeding import bleed_record, bleed_text

    study = coolant_study(assembly, SAMPLES)
    inputs = study.columns
    if inputs is None:
        lack = next(each for each in study.lacks if each.stops_all)
        refuse(f"a coolant circuit with {lack.what}", "one that coolant can go round in",
               lack.remedy)  # fmt: skip
    held = amounts(study.circuit, runs_of(study), inputs)
    glycol = inputs.take("coolant_glycol_share", assembly.build.id)
    share = share_for(protect) if protect is not None else float(_middle(glycol))
    buy = shopping(held, share)
    plan = bleed_plan(assembly, study, held, inputs)
    text = bleed_text(assembly, plan, held, buy)
    if as_json:
        print_json(bleed_record(assembly, plan, held, buy, text))
    else:
        say(text)


def _middle(values: object) -> float:
    import numpy as np

    return float(np.median(np.asarray(values, dtype=float)))


def _temperature(text: str) -> float:
    """A temperature as typed; ends with status 2 when it is none that coolant can stand. [K]"""
    from swapwright.model.values import Sort, ValueFault, read_value
    from swapwright.quantity import Measure

    try:
        content = read_value(text, Sort("temperature")).content
    except ValueFault as fault:
        refuse(f"--frost {fault.found}", fault.wanted, "-25 °C", fault.nearest)
    if not isinstance(content, Measure) or not COLDEST <= content.nominal <= 273.15:
        refuse(f'--frost "{text}"', "a temperature from -50 to 0 °C", "-25 °C")
    return content.nominal
