"""The demos that ship, and what they must say."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from swapwright.library.demos import demos

MUST_SAY = {
    path.name.removesuffix("-must-say.yaml"): path
    for path in Path(__file__).parent.glob("*-must-say.yaml")
}


@cache
def demo_texts(name: str) -> Mapping[str, str]:
    """Documents of a demo as text, by file name."""
    return {
        each.name: each.read_text("utf-8")
        for each in sorted(demos()[name].iterdir(), key=lambda each: each.name)
        if each.name.endswith(".yaml")
    }
