"""Threads as geometry, ends taken from the fittings table, and ends told in words."""

import re
from dataclasses import dataclass
from functools import lru_cache

from swapwright.library.tables import Fitting, fittings
from swapwright.model.ends import End, end_forms
from swapwright.model.values import Value, read_value
from swapwright.quantity import Basis, Measure, System, read_thread, show
from swapwright.quantity.threads import PARALLEL_PIPE

INCH = 0.0254
BRITISH_PIPE = re.compile(r"^(?P<family>G|Rc|Rp|R) (?P<size>.+)$")
AMERICAN_PIPE = re.compile(r"^(?P<size>.+)-(?P<turns>[\d.]+) (?P<family>NP[TS][FM]?)$")
METRIC = re.compile(r"^M(?P<size>[\d.]+)x(?P<pitch>[\d.]+)(?P<keg> keg)?(?: LH)?$")
UNIFIED = re.compile(r"^[^ -]+(?: \d+/\d+)?-(?P<turns>\d+)(?: LH)?$")
SPECIAL = ("R", "Rc", "Rp", "NPT", "NPTF", "NPSM", "NPSF", "keg")


@dataclass(frozen=True, slots=True)
class ThreadShape:
    """What decides whether two threads screw together; lengths in m."""

    designation: str
    key: str  # threads of one key engage
    family: str  # G, R, Rc, Rp, NPT, NPTF, NPSM, NPSF, metric, keg or unified
    major: float
    pitch: float
    flank: int  # flank angle, degrees
    left: bool

    @property
    def seals_by_itself(self) -> bool:
        """True where the family alone says how it seals."""
        return self.family in SPECIAL


@lru_cache(maxsize=1024)
def thread_shape(designation: str) -> ThreadShape:
    """Geometry of a thread by its one form, such as "M10x1" or "1/8-27 NPT".

    Raises
    ------
    ValueError
        If it is no thread in its one form.

    References
    ----------
    Pitches: ISO 261, ISO 228-1, ASME B1.20.1, ASME B1.1; flank angles 60 degrees, 55 for
    ISO 228-1 and ISO 7-1.
    """
    thread = read_thread(designation)
    if thread is None:
        raise ValueError(f"{designation!r} is no thread")
    name, left = thread.designation, thread.designation.endswith(" LH")
    if match := BRITISH_PIPE.match(name):
        pitch = INCH / PARALLEL_PIPE[match["size"]][1]
        return ThreadShape(
            name, "BSP " + match["size"], match["family"], thread.diameter, pitch, 55, left
        )
    if match := AMERICAN_PIPE.match(name):
        key = f"NP {match['size']}-{match['turns']}"
        pitch = INCH / float(match["turns"])
        return ThreadShape(name, key, match["family"], thread.diameter, pitch, 60, left)
    if match := METRIC.match(name):
        family = "keg" if match["keg"] else "metric"
        pitch = float(match["pitch"]) / 1000
        return ThreadShape(name, name.replace(" keg", ""), family, thread.diameter, pitch, 60, left)
    match = UNIFIED.match(name)
    if match is None:
        raise ValueError(f"{designation!r} is no thread in its one form")
    pitch = INCH / int(match["turns"])
    return ThreadShape(name, name, "unified", thread.diameter, pitch, 60, left)


SEAT_DIM = {"thread": "seal", "flare": "seat", "cable nipple": "shape", "cable seat": "shape"}
ACROSS_DIM = {"flare": "tube", "speedometer end": "square", "spline": "diameter"}


def ends_from_fitting(row_id: str, half: str = "") -> End:
    """The end that a row of the fittings table describes.

    Parameters
    ----------
    row_id : str
        Id of the row, such as ``G-1_8``.
    half : str
        Half of the form; empty leaves it open, as the size alone does.

    Raises
    ------
    KeyError
        If the table has no such row.
    ValueError
        If the form has no such half.
    """
    row = fittings()[row_id]
    form = end_forms()[row.form]
    if half and half not in form.halves:
        raise ValueError(f"{row.form} has no half {half!r}, only: {', '.join(form.halves)}")
    dims = {name: read_value(text, form.dims[name]) for name, text in _said(row, half)}
    return End(row.form, half, dims)


def _said(row: Fitting, half: str) -> list[tuple[str, str]]:
    said = []
    if row.thread:
        inside = half == "female" and row.thread_inside
        said.append(("thread", (row.thread_inside if inside else row.thread) + ", published"))
    if row.across is not None:
        dim = ACROSS_DIM.get(row.form) or end_forms()[row.form].main
        if dim != "thread":  # a banjo's tube is no dimension of its end
            said.append((dim, f"{row.across * 1000:.6g} mm, published"))
    if row.seat:
        said.append((SEAT_DIM[row.form], row.seat + ", published"))
    if row.family == "spline":
        said.append(("teeth", row.size.split(" ", 1)[0]))
    return said


def describe(end: End | None, units: System) -> str:
    """An end in words: "hose bead 36 mm", "female thread M10x1, o-ring in chamfer"."""
    if end is None:
        return "unknown end"
    form = end.definition
    words = " ".join(word for word in (end.half, end.form) if word)
    details = []
    for name in form.dims:
        value = end.dim(name)
        if not value.known:
            continue
        if form.dims[name].name == "count":
            details.append(f"{_shown(value, units)} {name}")
        elif name == form.main:
            words += " " + _shown(value, units)
        elif name in ("seal", "seat", "shape", "pattern", "keying"):
            details.append(_shown(value, units))
        else:
            details.append(f"{name.replace('_', ' ')} {_shown(value, units)}")
    return ", ".join((words, *details, *([end.material] if end.material else [])))


def _shown(value: Value, units: System) -> str:
    content = value.content
    text = show(content, units) if isinstance(content, Measure) else str(content)
    doubt = value.basis in (Basis.TYPICAL, Basis.GUESSED)
    return f"{text} ({value.basis})" if doubt else text
