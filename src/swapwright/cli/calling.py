"""What all commands share: options, the group, faults in words, printing."""

from __future__ import annotations

import gc
import re
import sys
from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from swapwright import __version__

if TYPE_CHECKING:
    from datetime import date

    from swapwright.assess import Assessment
    from swapwright.model.assembly import Assembly

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
            say("stopped", err=True)
            sys.exit(STOPPED)
        sys.exit(status if isinstance(status, int) else 0)


def _say_call_fault(message: str, command: str) -> None:
    from textwrap import wrap

    lines = wrap(f"command line: {message}", 80, subsequent_indent="    ", break_on_hyphens=False)
    say("\n".join([*lines, f"    {command} --help tells what it takes"]), err=True)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Start with: swapwright begin my-swap; or look round: swapwright demo. In the folder "
    "of a build, swapwright assess then says what to do next.",
)
@click.version_option(__version__, prog_name="swapwright")
def main() -> None:
    """Find what crosses between an engine and the vehicle it goes into."""


def say(text: str, *, err: bool = False) -> None:
    """Print, in ASCII where the terminal knows no better."""
    from swapwright.dossier.gap import plain

    stream = sys.stderr if err else sys.stdout
    click.echo(plain(text, stream.encoding), err=err, nl=not text.endswith("\n"))


def paint(text: str, manner: str) -> str:
    """``text`` in the colours of a manner, where the terminal has any."""
    return click.style(text, **MANNERS[manner]) if manner in MANNERS else text  # type: ignore[arg-type]


def _faulty(faults: Any) -> NoReturn:
    from swapwright.dossier.terminal import fault_text

    say(fault_text(faults), err=True)
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
            refuse(fault.found, fault.wanted, fault.example, fault.nearest)
        finally:
            gc.enable()

    return wrapped


def refuse(found: str, wanted: str, example: str = "", nearest: str = "") -> NoReturn:
    """Tell a fault of the call itself and end with status 2."""
    from swapwright.model.faults import Fault

    _faulty([Fault("command line", None, None, "", found, wanted, example, nearest)])


def day_of(text: str | None) -> date:
    """A day as typed; today when none was. Ends with status 2 when it is no day."""
    from datetime import date

    from swapwright.model.values import Sort, read_value

    if text is None:
        return date.today()
    content = read_value(text, Sort("date")).content
    if not isinstance(content, date):
        refuse(text, "a date as year-month-day", "2026-05-02")
    return content


def assessed(folder: Path, as_of: str | None, stage: str, as_it_stands: bool) -> Assessment:
    """The build of a folder, assessed; raises ``Faulty`` with every fault of its documents."""
    from swapwright.assess import assess_folder
    from swapwright.model.words import Stage

    return assess_folder(folder, day_of(as_of), Stage(stage), as_it_stands)


def assembled(folder: Path, stage: str, as_it_stands: bool) -> Assembly:
    """The build of a folder, assembled; raises ``Faulty`` with every fault of its documents."""
    from swapwright.assess import assemble_folder
    from swapwright.model.words import Stage

    return assemble_folder(folder, Stage(stage), as_it_stands)


def chosen_cases(assembly: Assembly, cases: tuple[str, ...]) -> tuple[str, ...]:
    """The cases of a call, each one that the build has; ends with status 2 at one it has not."""
    from swapwright.library.cases import cases_of
    from swapwright.model.faults import nearest_name

    known = cases_of(assembly.build)
    for name in cases:
        if name not in known:
            refuse(f'"{name}"', "a case: " + ", ".join(known), "hill", nearest_name(name, known))
    return cases


def print_json(record: Any) -> None:
    """Print plain data."""
    import json

    click.echo(json.dumps(record, indent=2, ensure_ascii=True))
