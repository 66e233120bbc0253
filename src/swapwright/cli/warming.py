"""Commands that follow the coolant over time: warm-up, soak, failures."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import (
    FOLDER,
    JSON,
    STAGES,
    assembled,
    chosen_cases,
    print_json,
    refuse,
    say,
    told_plainly,
)
from swapwright.cli.circuits import circuit

if TYPE_CHECKING:
    from swapwright.circuits.study import CoolantStudy
    from swapwright.circuits.warming import Warming
    from swapwright.model.assembly import Assembly

LEAST_SAMPLES, MOST_SAMPLES = 16, 1024
SAMPLES = click.option("--samples", default=128, show_default=True, help="How often to follow it.")
STAGE = click.option("--stage", type=click.Choice(STAGES), default=STAGES[0], show_default=True)
CASE = click.option("--case", "cases", multiple=True, help="Only this case; again for more.")


@circuit.command(short_help="Coolant over time: warm-up, and after the stop.")
@FOLDER
@JSON
@STAGE
@CASE
@SAMPLES
@told_plainly
def warming(folder: Path, as_json: bool, stage: str, cases: tuple[str, ...], samples: int) -> None:
    """Follow the coolant from cold until it regulates, and after the engine stops.

    The warm-up idles in the air of the first case; each case is then stopped at
    once, and the warm metal heats what stands in the head.
    """
    assembly, study, held = _followed(folder, stage, cases or ("hot-idle", "hill"), samples)
    from swapwright.circuits.warming import stated
    from swapwright.dossier.warming import warming_text, warmth_record

    first = next(iter(study.cases))
    up = held.warm_up(stated(first, study), held.boils(study.cases[first]))
    soaks = {name: held.soak(stated(name, study), case) for name, case in study.cases.items()}
    if as_json:
        after = {name: warmth_record(each) for name, each in soaks.items()}
        record = {"build": assembly.build.id, "warm_up": warmth_record(up), "soak": after}
        print_json(record)
    else:
        say(warming_text(assembly, first, up, soaks))


@circuit.command(short_help="What if the fan, the pump belt, the thermostat fails?")
@FOLDER
@JSON
@STAGE
@CASE
@SAMPLES
@told_plainly
def rehearsal(
    folder: Path, as_json: bool, stage: str, cases: tuple[str, ...], samples: int
) -> None:
    """Say what each failure does to the coolant, and how long it leaves before it boils."""
    assembly, study, held = _followed(folder, stage, cases or ("hot-idle", "hill"), samples)
    import numpy as np

    from swapwright.circuits.warming import FAILURES, stated
    from swapwright.dossier.warming import rehearsal_text, warmth_record

    found = {
        name: {
            what: held.fails(stated(name, study), case, upset) for what, upset in FAILURES.items()
        }
        for name, case in study.cases.items()
    }
    if as_json:
        print_json({"build": assembly.build.id, "cases": {
            name: {what: warmth_record(each) for what, each in failures.items()}
            for name, failures in found.items()
        }})  # fmt: skip
        return
    head = next(each.id for each in study.circuit.chambers.values() if each.name == "head")
    usual = {
        name: float(np.median(case.state.temperatures[head])) for name, case in study.cases.items()
    }
    say(rehearsal_text(assembly, found, usual))


def _followed(
    folder: Path, stage: str, cases: tuple[str, ...], samples: int
) -> tuple[Assembly, CoolantStudy, Warming]:
    """The build, its solved cases that are in balance, and what follows them over time."""
    assembly = assembled(folder, stage, False)
    chosen_cases(assembly, cases)
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        refuse(f"{samples}", f"{LEAST_SAMPLES} to {MOST_SAMPLES} samples", "128")
    from swapwright.circuits.study import coolant_study
    from swapwright.circuits.warming import Warming
    from swapwright.library.cases import cases_of

    still = [name for name in cases if cases_of(assembly.build)[name].coolant.known]
    if still:
        refuse(f'case "{still[0]}", whose coolant has a given temperature',
               "a case that comes into balance", "hill")  # fmt: skip
    study = coolant_study(assembly, samples, only=cases, judged=False)
    if study.columns is None:
        lack = next(each for each in study.lacks if each.stops_all)
        refuse(f"a coolant circuit with {lack.what}", "one that coolant can go round in",
               lack.remedy)  # fmt: skip
    return assembly, study, Warming(study.circuit, study.columns)
