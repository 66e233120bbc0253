"""Data that ships inside the package: text, YAML and tables, from wherever it is installed."""

import csv
from functools import reduce
from importlib.resources import files
from importlib.resources.abc import Traversable

from swapwright.model.reading import Tree, read_text


def shipped(package: str, *path: str) -> Traversable:
    """A file or folder of a package; works from a wheel as well."""
    return reduce(lambda place, step: place.joinpath(step), path, files(package))


def shipped_text(package: str, *path: str) -> str:
    """The text of one file."""
    return shipped(package, *path).read_text("utf-8")


def shipped_tree(package: str, *path: str) -> dict[str, Tree]:
    """A YAML mapping that ships.

    Raises
    ------
    RuntimeError
        When it cannot be read: a mistake in the package, not of a person.
    """
    source = read_text(path[-1], shipped_text(package, *path))
    if source.faults or not isinstance(source.tree, dict):
        faults = "; ".join(str(fault) for fault in source.faults)
        raise RuntimeError(faults or f"{path[-1]} is no mapping")
    return source.tree


def shipped_rows(package: str, *path: str) -> list[dict[str, str]]:
    """The rows of a table that ships; lines that begin with # are comments."""
    lines = shipped_text(package, *path).splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def shipped_names(package: str, *path: str, suffix: str = ".yaml") -> tuple[str, ...]:
    """Names of the files of one folder, without their suffix, in order."""
    names = (entry.name for entry in shipped(package, *path).iterdir())
    return tuple(sorted(name.removesuffix(suffix) for name in names if name.endswith(suffix)))
