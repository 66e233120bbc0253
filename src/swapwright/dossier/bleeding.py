"""The bleeding plan and the shopping for one fill, as text of 80 columns and as plain data."""

from collections.abc import Iterator
from textwrap import wrap
from typing import Any

import numpy as np

from swapwright.chance.results import Range, quantiles
from swapwright.circuits.amounts import Amounts, Shopping
from swapwright.circuits.bleeding import BleedPlan, Pause
from swapwright.model.assembly import Assembly
from swapwright.quantity import Dimension, System, preferred

WIDTH = 80
CAUTIONS = (
    "CAUTION: hot coolant scalds. Open nothing that is warm; the fan may start by itself, also "
    "with the key off. Coolant tastes sweet and kills: keep it from children and animals, catch "
    "every drop; no flame or sparks near it. Outdoors or with the exhaust led out, wheels "
    "chocked, stands under the car."
)
ATTITUDE = {
    "flat": "Stand the car on level ground",
    "nose up": "Stand the car with its nose up, about 1 in 10",
    "nose down": "Stand the car with its nose down, about 1 in 10",
}


def bleed_text(assembly: Assembly, plan: BleedPlan, held: Amounts, buy: Shopping) -> str:
    """What ``bleed`` prints."""
    units = assembly.build.units
    blocks = [
        "\n".join(_volumes(assembly, held, buy, units)),
        "\n".join(wrap(CAUTIONS, WIDTH)),
        "\n".join(_steps(assembly, plan, units)),
        "\n".join(_pocket(plan, units)),
    ]
    return "\n\n".join(block for block in blocks if block) + "\n"


def _volumes(assembly: Assembly, held: Amounts, buy: Shopping, units: System) -> Iterator[str]:
    yield "Coolant that goes in, cold"
    for unit, volume in held.parts.items():
        yield f"  {assembly.label(unit)[:38]:<40}{_litres(volume, units)}"
    runs = sum(held.runs.values(), np.zeros_like(held.total))
    yield f"  {'hoses, pipes and side loops':<40}{_litres(runs, units)}"
    yield f"  {'all of it' + (', as told' if held.told else ''):<40}{_litres(held.total, units)}"
    frost = preferred(buy.freezes, Dimension.TEMPERATURE, units)
    yield from wrap(
        f"At {100 * buy.share:.0f} % glycol it freezes at {frost}. To buy, enough nine times of "
        f"ten: {_volume(buy.concentrate, units)} of concentrate and {_volume(buy.water, units)} "
        "of demineralised water; more for the first top-up.",
        WIDTH,
    )


def _litres(volume: "np.ndarray[Any, Any]", units: System) -> str:
    return _range(quantiles(volume, np.ones(len(volume), dtype=bool)), Dimension.VOLUME, units)


def _range(found: Range, dimension: Dimension, units: System) -> str:
    low, middle, high = (
        preferred(each, dimension, units) for each in (found.low, found.median, found.high)
    )
    if low == high:
        return middle
    number, _, unit = low.partition(" ")
    return f"{middle}  ({number if high.endswith(f' {unit}') else low} to {high})"


def _volume(value: float, units: System) -> str:
    return preferred(value, Dimension.VOLUME, units)


def _steps(assembly: Assembly, plan: BleedPlan, units: System) -> Iterator[str]:
    yield "Fill and bleed"
    for number, step in enumerate(_told(assembly, plan, units), 1):
        yield from wrap(f"{number:>2}. {step}", WIDTH, subsequent_indent="    ")


def _told(assembly: Assembly, plan: BleedPlan, units: System) -> Iterator[str]:
    yield _attitude(plan, units)
    tap = (
        " Turn the heater to hot, its tap open."
        if plan.heater_has_tap
        else (" Turn the heater to hot.")
    )
    yield f"Engine cold, cap off, drain shut.{tap} Open every bleed screw."
    if plan.pauses:
        for pause in plan.pauses:
            yield _pause(pause, units)
    else:
        yield (
            "Pour slowly until coolant stands at the bleeds, lowest first. Where they lie is not "
            "known: measure the height of the tank's low mark and of each bleed above the ground, "
            "and this plan tells the litres at each."
        )
    yield (
        "Go on to the upper cold mark. Squeeze the big hoses by hand a dozen times, pour what it "
        "takes. Count every litre."
    )
    for trap in plan.traps:
        rise = preferred(round(trap.rise, 3), Dimension.LENGTH, units)
        air = preferred(trap.volume, Dimension.VOLUME, units)
        yield (
            f"{trap.label} has a high point of {rise} without a bleed: up to {air} of air stay "
            "there. Lift or press that hose until no more bubbles come; give it a bleed for good."
        )
    opens = preferred(plan.opens_at.median, Dimension.TEMPERATURE, units)
    yield (
        f"Start it with the cap off and let it idle, no more than about 1500 rpm, until the "
        f"thermostat opens near {opens}: the upper hose then warms at once. Keep the level up. "
        "Keep your face and hands off the open filler: warm coolant can spit. Bubbles that do not "
        "end in ten minutes may come from a gasket: have it tested."
    )
    yield (
        "Cap on, heater still hot. Two warm-ups until the fan has run and stopped; the heater "
        "blows hot at idle. Stop at once if the gauge climbs while the heater goes cold: that is "
        "air before the sender."
    )
    yield (
        "Let it cool over night, cap shut. Top up to the cold mark; set van.coolant_filled to "
        "the sum of all litres."
    ).replace("van.", f"{assembly.build.id}.")
    total = _range(plan.total, Dimension.VOLUME, units)
    yield (
        f"Accept it once it has taken {_volume(plan.enough, units)} of {total}. Below "
        f"{_volume(plan.air_for_sure, units)} there is most likely air in it: begin again at the "
        "top."
    )


def _attitude(plan: BleedPlan, units: System) -> str:
    told = ATTITUDE[plan.attitude]
    if not plan.cover:
        return f"{told}; whether nose up is better cannot be said before heights are known."
    cover = {
        name: preferred(round(abs(height), 3), Dimension.LENGTH, units)
        + (" above" if height >= 0 else " below")
        for name, height in plan.cover.items()
    }
    return (
        f"{told}: the low mark then stands {cover[plan.attitude]} the highest coolant point "
        f"({', '.join(f'{name} {cover[name]}' for name in cover if name != plan.attitude)})."
    )


def _pause(pause: Pause, units: System) -> str:
    poured = (
        ""
        if pause.poured is None
        else (f" after about {_range(pause.poured, Dimension.VOLUME, units)}")
    )
    where = pause.spot.label[:1].upper() + pause.spot.label[1:]
    if pause.by_itself:
        return (
            f"{where}: coolant reaches it{poured}. Its hose leads into the tank: wait until the "
            "stream there runs without bubbles."
        )
    return f"{where}: coolant reaches it{poured}. Close it once it runs without bubbles."


def _pocket(plan: BleedPlan, units: System) -> Iterator[str]:
    if plan.pocket is None:
        return
    hotter = _range(plan.pocket.hotter, Dimension.TEMPERATURE_DIFFERENCE, units)
    yield from wrap(
        f"One litre of air left in the radiator makes the head {hotter} hotter on the hill, and "
        f"the chance of boiling there {100 * plan.pocket.boils_then:.0f} % instead of "
        f"{100 * plan.pocket.boils_now:.0f} %.",
        WIDTH,
    )


def bleed_record(
    assembly: Assembly, plan: BleedPlan, held: Amounts, buy: Shopping, text: str
) -> dict[str, Any]:
    """The plan as plain data, SI units; its steps also as told."""
    steps = text.partition("Fill and bleed\n")[2].partition("\n\n")[0]
    return {
        "build": assembly.build.id,
        "stage": str(assembly.stage),
        "volumes": {
            **{unit: _plain(_all(volume)) for unit, volume in held.parts.items()},
            **{name: _plain(_all(volume)) for name, volume in held.runs.items()},
        },
        "total_volume": _plain(plan.total),
        "enough": plan.enough,
        "air_for_sure": plan.air_for_sure,
        "glycol_share": buy.share,
        "freezes": buy.freezes,
        "concentrate": buy.concentrate,
        "water": buy.water,
        "attitude": plan.attitude,
        "cover": plan.cover,
        "pauses": [
            {"at": each.spot.id, "height": each.height, "into_tank": each.by_itself,
             "poured": None if each.poured is None else _plain(each.poured)}
            for each in plan.pauses
        ],
        "traps": [
            {"join": each.join, "rise": each.rise, "volume": each.volume} for each in plan.traps
        ],
        "pocket": None
        if plan.pocket is None
        else {"hotter": _plain(plan.pocket.hotter), "boils_now": plan.pocket.boils_now,
              "boils_then": plan.pocket.boils_then},
        "steps": " ".join(steps.split()),
    }  # fmt: skip


def _all(volume: "np.ndarray[Any, Any]") -> Range:
    return quantiles(volume, np.ones(len(volume), dtype=bool))


def _plain(found: Range) -> dict[str, float]:
    return {"low": found.low, "middle": found.median, "high": found.high}
