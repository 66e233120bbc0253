"""Starter sheets: invented, typical vehicles, engines and gearboxes to begin a build from."""

import csv
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

FOLDER = "starters"  # a folder of data beside this module


@cache
def starter_codes() -> Mapping[str, str]:
    """What each starter sheet is, by its code: ``A2``, ``D1``, ``G1`` …"""
    lines = _read("codes.csv").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return MappingProxyType({row["code"]: row["label"] for row in rows})


def starter_text(code: str) -> str:
    """The YAML text of one starter sheet, to be copied into a build.

    Raises
    ------
    KeyError
        If there is no starter sheet of this code.
    """
    if code not in starter_codes():
        raise KeyError(f"{code}: no such starter sheet; there are {', '.join(starter_codes())}")
    return _read(f"{code}.yaml")


def _read(name: str) -> str:
    return files("swapwright.library").joinpath(FOLDER, name).read_text("utf-8")
