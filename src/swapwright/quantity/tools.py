"""What a tool can be trusted to, from a table that ships.

A tool's accuracy is a bound that the error does not pass, anywhere within it
being as likely as elsewhere: the standard uncertainty is the bound over √3
(JCGM 100:2008, 4.3.7).
"""

from functools import cache
from typing import NamedTuple

from .dimension import KINDS, Dimension
from .fault import QuantityFault
from .parsing import Parsed, parse

FULL_SCALE_WORD = " of "


class Tool(NamedTuple):
    """One tool, for one dimension and one range of readings.

    ``bound`` is in the unit the dimension is kept in, ``share`` a part of the
    reading or of the full scale, ``digits`` counts steps of the last figure. A
    tool that only sorts into classes has no accuracy.
    """

    name: str
    measures: Dimension
    lowest: float
    highest: float
    bound: float
    share: float
    of_full_scale: bool
    digits: int
    trap: str
    better: str
    source: str

    @property
    def has_accuracy(self) -> bool:
        """Whether the table states how far a reading may be off."""
        return bool(self.bound or self.share or self.digits)


@cache
def tools() -> tuple[Tool, ...]:
    """The tools that are known, in the order of their table."""
    import csv  # only a reading with a tool pays for it
    from importlib.resources import files

    table = files(__package__).joinpath("tools.csv").read_text(encoding="utf-8")
    return tuple(_tool(row) for row in csv.DictReader(table.splitlines()))


def tool_bound(name: str, reading: Parsed) -> float | None:
    """How far a reading may be off. [unit the dimension is kept in]

    Parameters
    ----------
    name : str
        As in the table; a tool that is rated by its full scale is written with
        it: "pressure gauge of 7 bar".
    reading : Parsed
        What the tool showed.

    Returns
    -------
    bound : float or None
        None for a tool that only tells classes apart.

    Raises
    ------
    QuantityFault
        If the tool is not known, measures something else, does not reach, or
        its full scale is lacking.
    """
    plain, word, scale = name.strip().partition(FULL_SCALE_WORD)
    tool = _suits(plain.casefold(), name, reading)
    if not tool.has_accuracy:
        return None
    base = abs(reading.nominal)
    if tool.of_full_scale:
        if not word:
            raise QuantityFault(
                name,
                "this tool with its full scale",
                f"{tool.name} of {KINDS[tool.measures].example}",
            )
        base = abs(parse(scale, tool.measures).nominal)
        if abs(reading.nominal) > base:
            raise QuantityFault(name, "a tool that reaches the reading", f"{tool.name} of 10 bar")
    return tool.bound + tool.share * base + tool.digits * reading.step


def _suits(plain: str, name: str, reading: Parsed) -> Tool:
    named = [tool for tool in tools() if tool.name == plain]
    if not named:
        raise _unknown(plain, name, reading.dimension)
    right = [tool for tool in named if tool.measures is reading.dimension]
    if not right:
        example = next((t.name for t in tools() if t.measures is reading.dimension), "tape")
        phrase = KINDS[reading.dimension].phrase
        raise QuantityFault(name, f"a tool that measures {phrase}", example)
    size = abs(reading.nominal)
    for tool in right:
        if tool.lowest <= size <= tool.highest:
            return tool
    raise QuantityFault(
        name, "a tool that reaches the reading", "photogrammetry",
        f"good to {max(tool.highest for tool in right):g} {KINDS[reading.dimension].kept_in}",
    )  # fmt: skip


def _unknown(plain: str, name: str, dimension: Dimension) -> QuantityFault:
    from difflib import get_close_matches  # only a mistake pays for it

    near = get_close_matches(plain, [tool.name for tool in tools()], n=1)
    usual = [tool.name for tool in tools() if tool.measures is dimension]
    return QuantityFault(name, "a tool that is known", (near + usual + ["tape"])[0])


def _tool(row: dict[str, str]) -> Tool:
    measures = Dimension(row["measures"])
    spread = {
        Dimension.TEMPERATURE: Dimension.TEMPERATURE_DIFFERENCE,
    }.get(measures, measures)
    return Tool(
        row["id"],
        measures,
        parse(row["from"], measures).nominal if row["from"] else 0.0,
        parse(row["up_to"], measures).nominal if row["up_to"] else float("inf"),
        parse(row["absolute"], spread).nominal if row["absolute"] else 0.0,
        float(row["percent"] or 0) / 100,
        row["percent_of"] == "full scale",
        int(row["digits"] or 0),
        row["trap"],
        row["better"],
        row["source"],
    )
