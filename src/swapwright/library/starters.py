"""Starter sheets: invented, typical vehicles, engines and gearboxes to begin a build from."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from swapwright.model.shipped import shipped_rows, shipped_text

FOLDER = ("swapwright.library", "starters")


@cache
def starter_codes() -> Mapping[str, str]:
    """What each starter sheet is, by its code: ``A2``, ``D1``, ``G1`` …"""
    rows = shipped_rows(*FOLDER, "codes.csv")
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
    return shipped_text(*FOLDER, f"{code}.yaml")
