"""Warm-up, soak and failures as text for a terminal of 80 columns and as plain data."""

from collections.abc import Iterator, Mapping
from textwrap import wrap
from typing import Any

import numpy as np
from numpy.typing import NDArray

from swapwright.circuits.warming import FASTEST, SLOWEST, Warmth
from swapwright.model.assembly import Assembly
from swapwright.quantity import Dimension, System, preferred

WIDTH = 80
KELVIN_FROM, KELVIN_TO = 313.15, 333.15  # between which the rise is told
CAUTION = (
    "Estimates, no promise. CAUTION: stop at once when the gauge climbs past its usual place; "
    "never open a hot cap; a fan may start by itself after the stop."
)


def warming_text(assembly: Assembly, case: str, up: Warmth, soaks: Mapping[str, Warmth]) -> str:
    """What ``circuit warming`` prints."""
    units = assembly.build.units
    lines = [f"Warm-up at a bare idle, air of the case {case}"]
    lines.append(f"  {'thermostat begins to open after':<36}{minutes(up.opens)}")
    lines.append(f"  {'rise between 40 and 60 °C':<36}{_rise(up)}")
    slow, fast = 60 * SLOWEST, 60 * FASTEST
    lines += wrap(
        f"usual at idle, by common practice: {slow:.0f} to {fast:.0f} K a minute; far from that, "
        "look for a thermostat that stands open, or air", WIDTH,
        initial_indent="  ", subsequent_indent="  ",
    )  # fmt: skip
    lines += _course(up, units)
    for name, soak in soaks.items():
        rise = soak.peak - soak.engine[0]
        lines += ["", f"Stopped after the case {name}, nothing flows"]
        lines.append(f"  {'coolant in the head rises by':<36}{_kelvin(rise, units)}")
        when = soak.course.times[np.argmax(soak.engine, axis=0)]
        lines.append(f"  {'hottest after':<36}{minutes(when)}")
        share = float(np.isfinite(soak.until_limit).mean())
        lines.append(f"  {'chance that it boils there':<36}{100 * share:.0f} %")
    lines += ["", *wrap(CAUTION, WIDTH)]
    return "\n".join(lines) + "\n"


def rehearsal_text(
    assembly: Assembly, found: Mapping[str, Mapping[str, Warmth]], usual: Mapping[str, float]
) -> str:
    """What ``circuit rehearsal`` prints: what each failure does, and how long it leaves."""
    units = assembly.build.units
    lines = wrap(
        "What if it fails while driving so: where coolant leaving the head ends within an hour, "
        "the chance that it boils, and how long that takes where it does.", WIDTH,
    )  # fmt: skip
    for case, failures in found.items():
        now = "no rest"
        if np.isfinite(usual[case]):
            now = preferred(usual[case], Dimension.TEMPERATURE, units)
        lines += ["", f"case {case}, {now} before", f"  {'':<34}{'ends at':<10}{'boils':<7}after"]
        for name, course in failures.items():
            boils = np.isfinite(course.until_limit)
            ends = np.minimum(np.median(course.engine[-1]), np.median(course.limit))
            after = minutes(course.until_limit[boils]) if boils.any() else ""
            told = preferred(float(ends), Dimension.TEMPERATURE, units)
            chance = f"{100 * boils.mean():.0f} %"
            lines.append(f"  {name:<34}{told:<10}{chance:<7}{after}".rstrip())
    lines += ["", *wrap(CAUTION, WIDTH)]
    return "\n".join(lines) + "\n"


def minutes(times: NDArray[np.float64]) -> str:
    """Times as minutes with their band."""
    known = times[np.isfinite(times)]
    if not len(known):
        return "never within the time that was followed"
    low, middle, high = np.quantile(known, [0.05, 0.5, 0.95]) / 60
    if high == 0:
        return "at once: it boils already"
    if high < 1.5:
        return f"{60 * middle:.0f} s  ({60 * low:.0f} to {60 * high:.0f} s)"
    return f"{middle:.1f} min  ({low:.1f} to {high:.1f} min)"


def _rise(up: Warmth) -> str:
    samples = range(up.engine.shape[1])
    first, last = (
        np.array([np.interp(mark, up.engine[:, n], up.course.times) for n in samples])
        for mark in (KELVIN_FROM, KELVIN_TO)
    )
    rise = (KELVIN_TO - KELVIN_FROM) / np.maximum(last - first, 1e-9) * 60
    low, middle, high = np.quantile(rise, [0.05, 0.5, 0.95])
    return f"{middle:.1f} K/min  ({low:.1f} to {high:.1f} K/min)"


def _kelvin(values: NDArray[np.float64], units: System) -> str:
    low, middle, high = (
        preferred(float(each), Dimension.TEMPERATURE_DIFFERENCE, units)
        for each in np.quantile(values, [0.05, 0.5, 0.95])
    )
    return f"{middle}  ({low} to {high})"


def _course(up: Warmth, units: System) -> Iterator[str]:
    """Every few minutes the middle and the band."""
    for mark in range(0, 21, 4):
        row = np.array([
            np.interp(60.0 * mark, up.course.times, up.engine[:, n])
            for n in range(up.engine.shape[1])
        ])  # fmt: skip
        low, middle, high = (
            preferred(float(each), Dimension.TEMPERATURE, units)
            for each in np.quantile(row, [0.05, 0.5, 0.95])
        )
        yield f"  {f'after {mark} min':<36}{middle}  ({low} to {high})"


def warmth_record(found: Warmth) -> dict[str, Any]:
    """A course as plain data, SI: quantiles over time."""
    low, middle, high = np.quantile(found.engine, [0.05, 0.5, 0.95], axis=1)
    boils = np.isfinite(found.until_limit)
    return {
        "times": found.course.times.tolist(),
        "low": low.tolist(),
        "middle": middle.tolist(),
        "high": high.tolist(),
        "opens": _plain(found.opens),
        "boils": float(boils.mean()),
        "until_boiling": _plain(found.until_limit),
    }


def _plain(times: NDArray[np.float64]) -> dict[str, float] | None:
    known = times[np.isfinite(times)]
    if not len(known):
        return None
    low, middle, high = np.quantile(known, [0.05, 0.5, 0.95])
    return {"low": float(low), "middle": float(middle), "high": float(high)}
