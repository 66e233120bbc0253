"""Reading what people write, with the tool it was measured with."""

from math import sqrt

from .dimension import Dimension
from .measure import Basis, Measure, Spread
from .parsing import parse
from .tools import tool_bound

RECTANGULAR = 1 / sqrt(3)
"""Standard uncertainty of a bound all of whose width is equally likely."""


def read_measure(
    text: str,
    dimension: Dimension | None = None,
    *,
    basis: Basis = Basis.MEASURED,
    tool: str | None = None,
) -> Measure:
    """Read a quantity as a person writes it.

    Parameters
    ----------
    text : str
        "38 mm", "1 1/2 in", "412 ± 5 mm", "18..22 mm", "43.5 psi", "1.1 bar abs",
        "16 AWG", "M10x1" …
    dimension : Dimension, optional
        What is wanted; without it the unit decides.
    basis : Basis
        What the number rests on.
    tool : str, optional
        A tool of the table. What the text states about its own spread goes first.

    Returns
    -------
    measure : Measure
        In the unit of :mod:`swapwright.quantity.dimension`. A stated ±, the half
        width of a range and the accuracy of a tool are bounds; the standard
        uncertainty is the bound over √3 (JCGM 100:2008, 4.3.7).

    Raises
    ------
    QuantityFault
        If the text cannot be read, is of another dimension, or could mean two
        things; or the tool does not suit.
    """
    parsed = parse(text, dimension)
    accuracy = None if tool is None else tool_bound(tool, parsed)
    spread: Spread = "not stated"
    bound = 0.0
    if parsed.bound is not None:
        bound, spread = parsed.bound, "stated"
    elif accuracy is not None:
        bound, spread = accuracy, "tool"
    return Measure(
        parsed.nominal,
        bound * RECTANGULAR,
        parsed.dimension,
        basis,
        text.strip(),
        spread,
        parsed.thread,
    )
