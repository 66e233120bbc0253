"""The ``swapwright`` command.

Only click is imported here; everything else loads inside the command that
needs it, so that ``swapwright --version`` answers at once.
"""

import click

from swapwright import __version__


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="swapwright")
def main() -> None:
    """Find what crosses between an engine and the vehicle it goes into."""
