"""Commands that change a build: set, close, read, accept, undo."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from swapwright.cli.calling import AS_OF, FOLDER, day_of, main, say, told_plainly

if TYPE_CHECKING:
    pass


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
        details["on"] = day_of(None).isoformat()
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

    day = on or day_of(None).isoformat()
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

    day = day_of(as_of)
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
    say(told_text(told, build.units if build else "metric"))
