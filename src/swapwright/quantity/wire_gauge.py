"""American Wire Gauge: a number for the thickness of a solid round wire."""

import re
from math import log, pi

GAUGE = r"([1-4])/0|(0{1,4})|([1-9]\d?)"
THINNEST = 40


def gauge_number(text: str) -> int | None:
    """Number of a gauge as written, or None; 1/0 to 4/0 are 0 to -3.

    "00" is another way to write 2/0.
    """
    match = re.fullmatch(GAUGE, text)
    if match is None:
        return None
    aught, zeros, number = match.groups()
    if number is not None:
        return int(number) if int(number) <= THINNEST else None
    return 1 - (int(aught) if aught is not None else len(zeros))


def gauge_area(number: int) -> float:
    """Copper area of a wire gauge. [m²]

    ``π d² / 4`` with ``d = 0.005 in · 92^((36 - n) / 39)``. A stranded wire of
    the same number holds about the same copper. Not for SAE wire, which is
    thinner than the AWG of its number.

    References
    ----------
    .. [1] ASTM B258, nominal diameters of solid round wires (formula from memory).
    """
    diameter = 0.005 * 0.0254 * float(92 ** ((36 - number) / 39))
    return pi * diameter**2 / 4


def nearest_gauge(area: float) -> str:
    """The gauge whose copper area is nearest in ratio, such as "16 AWG".

    Parameters
    ----------
    area : float
        Copper only; between 40 AWG and 4/0 AWG. [m²]

    Raises
    ------
    ValueError
        If the wire is thinner or thicker than the gauge has numbers for.
    """
    if not area > 0:
        raise ValueError(f"area must be positive, got {area:g} m²")
    number = round(36 - 39 / 2 * log(area / gauge_area(36), 92))
    if not -3 <= number <= THINNEST:
        raise ValueError(f"{area * 1e6:g} mm² lies outside 40 AWG to 4/0 AWG")
    return f"{number} AWG" if number > 0 else f"{1 - number}/0 AWG"
