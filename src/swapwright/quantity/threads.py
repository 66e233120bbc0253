"""Thread designations, read into one form each.

"M10x1", "M10 x 1.0" and "M10×1" are one thread; "1/8 NPT" is "1/8-27 NPT".
Diameters are major diameters; a taper pipe thread carries the outside diameter
of its pipe (NPT) or the diameter at its gauge plane (R, Rc).
"""

import re
from math import gcd
from typing import NamedTuple

from .fault import QuantityFault

INCH = 0.0254

# Coarse pitch by nominal diameter, mm: ISO 261 (from memory).
COARSE_PITCH = {
    1.6: 0.35, 2: 0.4, 2.5: 0.45, 3: 0.5, 3.5: 0.6, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25,
    10: 1.5, 12: 1.75, 14: 2, 16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5,
    33: 3.5, 36: 4, 39: 4, 42: 4.5, 45: 4.5, 48: 5, 52: 5, 56: 5.5, 60: 5.5, 64: 6,
}  # fmt: skip
# Size: (major diameter mm, turns per inch): ISO 228-1; 1/16, 1 1/2 and 2 from memory.
PARALLEL_PIPE = {
    "1/16": (7.723, 28), "1/8": (9.728, 28), "1/4": (13.157, 19), "3/8": (16.662, 19),
    "1/2": (20.955, 14), "5/8": (22.911, 14), "3/4": (26.441, 14), "7/8": (30.201, 14),
    "1": (33.249, 11), "1 1/8": (37.897, 11), "1 1/4": (41.910, 11), "1 1/2": (47.803, 11),
    "2": (59.614, 11),
}  # fmt: skip
# Size: (pipe outside diameter in, turns per inch): ASME B1.20.1; 1/16, 1 1/2, 2 from memory.
TAPER_PIPE = {
    "1/16": (0.3125, "27"), "1/8": (0.405, "27"), "1/4": (0.540, "18"), "3/8": (0.675, "18"),
    "1/2": (0.840, "14"), "3/4": (1.050, "14"), "1": (1.315, "11.5"), "1 1/4": (1.660, "11.5"),
    "1 1/2": (1.900, "11.5"), "2": (2.375, "11.5"),
}  # fmt: skip
# Numbered inch sizes and their turns per inch: ASME B1.1 (from memory).
NUMBERED = {
    0: (80,), 1: (64, 72), 2: (56, 64), 3: (48, 56), 4: (40, 48), 5: (40, 44), 6: (32, 40),
    8: (32, 36), 10: (24, 32), 12: (24, 28, 32),
}  # fmt: skip

SIZE = r"(?:\d+[ -])?\d+/\d+|\d+"
# Patterns stay text until a thread is read: most programs that start read none.
METRIC = (
    r"M ?(\d+(?:\.\d+)?)(?: ?[xX×*] ?(\d*\.?\d+))?"
    r"(?: ?- ?\d[a-zA-Z]{1,2}(?:\d[a-zA-Z])?)?( keg| taper)?(?:[ -]?(LH))?"
)
PIPE_FIRST = rf"(G|Rc|Rp|R|NPTF|NPT|NPSM|NPSF) ?({SIZE})(?: ?-?[AB])?"
PIPE_LAST = rf"({SIZE})(?:-(\d+(?:\.\d+)?))? ?-? ?(NPTF|NPT|NPSM|NPSF|BSPP|BSPT|BSP)(?:[ -]?[AB])?"
SERIES = "UNF/UN|UNC|UNF|UNEF|UNS|UNR|UN|NC|NF"
UNIFIED = rf"(#?)({SIZE})-(\d+)(?: ?-?(?:{SERIES}))?(?: ?-? ?[123][AB])?( ?-?LH)?"
BRITISH = {"BSPP": "G", "BSPT": "R"}
WANTED = "a thread"


class Thread(NamedTuple):
    """A thread in its one form, with its major diameter in metres."""

    designation: str
    diameter: float


def read_thread(text: str) -> Thread | None:
    """The thread a text names, or None if it does not look like one.

    Raises
    ------
    QuantityFault
        If it looks like a thread that does not exist, or could be two.
    """
    plain = " ".join(text.split())
    if match := re.fullmatch(METRIC, plain):
        return _metric(plain, *match.groups())
    if match := re.fullmatch(PIPE_FIRST, plain):
        family, size = match.groups()
        return _pipe(plain, family, size, None)
    if match := re.fullmatch(PIPE_LAST, plain):
        size, turns, family = match.groups()
        return _pipe(plain, family, size, turns)
    if match := re.fullmatch(UNIFIED, plain):
        return _unified(plain, *match.groups())
    return None


def _metric(text: str, size: str, pitch: str | None, taper: str | None, left: str | None) -> Thread:
    diameter = float(size)
    coarse = COARSE_PITCH.get(diameter)
    if pitch is None:
        if coarse is None:
            raise QuantityFault(text, f"{WANTED} with its pitch", f"M{diameter:g}x1.5")
        turn = coarse
    else:
        turn = float(pitch)
    # Fine pitches are all below the coarse one; a larger figure is a bolt's length.
    if not 0.2 <= turn <= (coarse or min(8.0, diameter / 4)):
        raise QuantityFault(
            text,
            f"{WANTED} whose pitch exists",
            "M10x1.25",
            f"{turn:g} mm is no pitch for this size",
        )
    form = " keg" if taper else ""
    hand = " LH" if left else ""
    return Thread(f"M{diameter:g}x{turn:g}{form}{hand}", diameter / 1000)


def _pipe(text: str, family: str, written: str, turns: str | None) -> Thread:
    size = _size(text, written)[0]
    if family == "BSP":
        raise QuantityFault(
            text, f"{WANTED} that says parallel or taper", f"G {size}",
            f"BSP may be parallel, G {size}, or taper, R {size} outside and Rc {size} inside",
        )  # fmt: skip
    family = BRITISH.get(family, family)
    british = family in ("G", "R", "Rc", "Rp")
    if size not in (PARALLEL_PIPE if british else TAPER_PIPE):
        raise QuantityFault(text, f"{WANTED} of a pipe size that exists", "G 1/4")
    if british:
        millimetres, count = PARALLEL_PIPE[size]
        diameter, per_inch = millimetres / 1000, str(count)
        designation = f"{family} {size}"
    else:
        inches, per_inch = TAPER_PIPE[size]
        diameter = inches * INCH
        designation = f"{size}-{per_inch} {family}"
    if turns not in (None, per_inch):
        raise QuantityFault(
            text, WANTED, designation, f"this size has {per_inch} turns to the inch, not {turns}"
        )
    return Thread(designation, diameter)


def _unified(text: str, mark: str, written: str, turns: str, left: str | None) -> Thread:
    hand = " LH" if left else ""
    number = int(written) if written.isdigit() else -1
    if mark or int(turns) in NUMBERED.get(number, ()):
        if int(turns) not in NUMBERED.get(number, ()):
            raise QuantityFault(text, f"{WANTED} of a numbered size that exists", "#10-32")
        return Thread(f"#{number}-{turns}{hand}", (0.060 + 0.013 * number) * INCH)
    size, inches = _size(text, written)
    if inches > 6 or not 3 <= int(turns) <= 56 or inches * int(turns) < 5:
        raise QuantityFault(
            text, WANTED, "3/8-24", "inch size and turns per inch do not belong together"
        )
    return Thread(f"{size}-{int(turns)}{hand}", inches * INCH)


def _size(text: str, written: str) -> tuple[str, float]:
    """A size in lowest terms, "1 1/16", and in inches."""
    whole, _, fraction = written.replace("-", " ").rpartition(" ")
    top, _, bottom = fraction.partition("/")
    over, under = int(top), int(bottom or 1)
    if under == 0 or (bottom and over >= under):
        raise QuantityFault(text, f"{WANTED} with a size in inches", "3/8-24")
    share = gcd(over, under)
    fraction = f"{over // share}/{under // share}" if bottom else top.lstrip("0") or "0"
    return f"{whole} {fraction}".strip(), int(whole or 0) + over / under
