"""Commands on single ends: mate, identify."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import click

from swapwright.cli.calling import FOLDER, JSON, main, print_json, refuse, say, told_plainly

if TYPE_CHECKING:
    from swapwright.crossings.chains import Chain
    from swapwright.model.assembly import Assembly
    from swapwright.model.ends import End
    from swapwright.model.sheets import Item
    from swapwright.model.words import Service
    from swapwright.quantity import System


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
        print_json(mating_record(first, second, mating, found, units))
    else:
        say(mating_text(first, second, mating, found, units))


def _service(word: str, carried: Service | None) -> Service | None:
    """What a joint carries: as said, else as the ports say."""
    from swapwright.model.faults import nearest_name
    from swapwright.model.words import Service

    if not word:
        return carried if carried is not Service.UNKNOWN else None
    if word not in list(Service):
        refuse(f'"{word}"', "one of: " + ", ".join(Service), "", nearest_name(word, Service))
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
            refuse(f'"{text}"', "a port as sheet.port, or an end", "hose bead 36 mm", nearest)
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
        print_json(identification_record(result))
    else:
        say(identification_text(result))


def _observations(seen: tuple[str, ...]) -> dict[str, str]:
    observed = {}
    for each in seen:
        name, equals, value = each.partition("=")
        if not equals:
            refuse(f'"{each}"', "what was seen as name=value", "bore=28 mm")
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
        refuse(f'"{what}"', "a kind: " + ", ".join(kinds) + ", or a port", "thread", nearest)
    assembly = assemble(read_folder(folder))
    name = assembly.resolve(what)
    if name not in assembly.ports:
        refuse(f'"{what}"', "a port as sheet.port", "", nearest_name(what, assembly.ports))
    noted = dict(assembly.ports[name].record.seen) | _observations(seen)
    kind = noted.pop("kind", "")
    if kind not in kinds:
        wanted = f"under seen: of {name} a kind: " + ", ".join(kinds)
        refuse(f'"{kind}"' if kind else "no kind", wanted, "seen: {kind: small-tube, bore: 6 mm}")
    return kind, noted
