"""Rules on the coolant circuit: cap, thermostat, pump, fan, filling."""

from functools import partial
from math import pi

from swapwright.findings.above_zero import above_zero
from swapwright.findings.boiling import MOST_PRESSURE, boiling_point
from swapwright.findings.kit import (
    TOO_CLOSE,
    Lacking,
    Look,
    Rule,
    Trip,
    either,
    ports_in,
    rule,
    the_build,
    the_car,
    the_engine,
)
from swapwright.library.jobs import jobs
from swapwright.model.amount import Amount, Chance, derived
from swapwright.model.assembly import AssembledPart, Assembly
from swapwright.model.words import FateWord, Service, Side
from swapwright.quantity import Dimension

COOLANT_PARTS = ("radiator", "heater", "header tank")
MOST_GLYCOL = 0.99  # by volume; nobody mixes more, and pure glycol holds no water to boil


# -- cap and pressure --------------------------------------------------------


def car_radiator_and_header(assembly: Assembly) -> tuple[str, ...]:
    """The car, for its heater matrix; radiator and header tank that the circuit will have."""
    tanks = assembly.parts_of_kind("radiator", "header tank")
    return (assembly.recipient, *(part.id for part in tanks if in_circuit(assembly, part)))


def in_circuit(assembly: Assembly, part: AssembledPart) -> bool:
    """False for a part of the car that goes, and for one of elsewhere that nothing joins."""
    fates = [assembly.fate(port.id) for port in assembly.ports.values() if port.owner == part.id]
    if part.side is Side.CAR:
        return not fates or any(fate is not FateWord.REMOVED for fate in fates)
    return FateWord.JOINED in fates


def pressure_that_part_stands(look: Look) -> Amount:
    """What the matrix of the car, or the part looked at, is made for. [Pa]"""
    if look.subject == look.assembly.recipient:
        return look.amount("heater_matrix_limit")
    return look.amount("pressure_limit")


def part_under_cap(look: Look) -> str:
    """The words for it."""
    return "the heater matrix" if look.subject == look.assembly.recipient else "this part"


@rule(
    "cool-cap-weakest",
    over=car_radiator_and_header,
    reads=(
        "heater_matrix_limit", "pressure_limit", "cap_pressure_fitted", "original_cap_pressure",
    ),
)  # fmt: skip
def cap_suits_weakest_part(look: Look) -> Trip | None:
    """Cap rating against what matrix, radiator or header stand. [Pa]

    While nobody said which cap will be fitted, the one that the newcomer had in its own
    car is held against the part: a pass needs the cap that is really fitted.
    """
    build, engine = look.assembly.build.id, look.assembly.engine

    def stands(cap: Amount, whose: str) -> Trip | None:
        limit = pressure_that_part_stands(look)
        allowed = look.factor("cap_over_weakest_part") * limit
        return look.trip_if(
            cap > allowed, part=part_under_cap(look), limit=limit, whose=whose, cap=cap
        )

    def fitted(look: Look) -> Trip | None:
        pressure_that_part_stands(look)
        return stands(look.amount("cap_pressure_fitted", build), "the cap that will be fitted")

    def of_newcomer(look: Look) -> Trip | None:
        if not engine or look.said("cap_pressure_fitted", build).known:
            return None
        cap = look.amount("original_cap_pressure", engine)
        return stands(cap, "the cap the newcomer had in its own car")

    return either(look, fitted, of_newcomer)


@rule(
    "cool-cap-boil",
    over=the_build,
    reads=("cap_pressure_fitted", "coolant_glycol_share", "coolant_hottest"),
)
def cap_keeps_coolant_from_boiling(look: Look) -> Trip | None:
    """Boiling point under the cap against the hottest coolant to expect. [K]"""
    cap = within(look, "cap_pressure_fitted", MOST_PRESSURE)
    glycol = within(look, "coolant_glycol_share", MOST_GLYCOL)
    hottest = look.amount("coolant_hottest")
    boils = derived(boils_within_range, (cap, glycol), Dimension.TEMPERATURE)
    margin = difference(boils, hottest)
    least = look.limit("boiling_margin")
    short = margin < least
    return look.trip_if(short, boils=boils, cap=cap, hottest=hottest, margin=margin, least=least)


def within(look: Look, name: str, most: float) -> Amount:
    """A fact from zero up to ``most`` [SI]; Lacking when it lies outside: asked for again."""
    amount = look.amount(name)
    if not 0 <= amount.nominal <= most:
        raise Lacking(look.subject, name)
    return amount


def boils_within_range(cap: float, glycol: float) -> float:
    """Boiling point, a spread that reaches past plain water or an open cap cut there. [K]"""
    return boiling_point(min(max(cap, 0.0), MOST_PRESSURE), min(max(glycol, 0.0), MOST_GLYCOL))


def difference(hot: Amount, cold: Amount) -> Amount:
    """Difference of two temperatures. [K]"""
    return derived(lambda a, b: a - b, (hot, cold), Dimension.TEMPERATURE_DIFFERENCE)


@rule("cool-two-caps", over=the_build, reads=("pressure_caps",))
def one_cap_holds_pressure(look: Look) -> Trip | None:
    """Count of caps that hold pressure; a weaker one ahead of the bottle is always one of two."""
    caps = look.count("pressure_caps")
    return look.trip_if(caps > look.factor("pressure_caps_allowed"), caps=caps)


@rule("cool-no-vac-valve", over=the_build, reads=("recovery_bottle", "cap_vacuum_valve"))
def cap_draws_back_from_bottle(look: Look) -> Trip | None:
    """A recovery bottle needs a cap with a vacuum valve."""
    if not look.yes("recovery_bottle"):
        return None
    return look.trip_if(not look.yes("cap_vacuum_valve"))


# -- thermostat, bypass, pump ------------------------------------------------


@rule(
    "cool-stat-reversed",
    over=the_engine,
    reads=("thermostat_housing_original", "thermostat_bulb_toward"),
)
def thermostat_feels_the_engine(look: Look) -> Trip | None:
    """The bulb stands in the water that comes from the engine."""
    if look.yes("thermostat_housing_original"):
        return None
    return look.trip_if(look.choice("thermostat_bulb_toward") == "radiator")


@rule("cool-no-bypass", over=ports_in("byp", side=Side.NEWCOMER), reads=("thermostat_drilled",))
def bypass_stays_open(look: Look) -> Trip | None:
    """A way for the water while the thermostat is shut."""
    fate = look.fate()
    if fate not in (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED):
        return None
    engine = look.assembly.ports[look.subject].sheet
    drilled = look.said("thermostat_drilled", engine)
    if drilled.known and look.yes("thermostat_drilled", engine):
        return None
    return look.trip(fate=fate)


@rule("cool-bypass-tap", over=the_engine, reads=("heater_tap", "bypass_only_heater"))
def heater_tap_leaves_a_bypass(look: Look) -> Trip | None:
    """A tap that shuts the loop that is the only bypass."""
    if look.choice("heater_tap", look.assembly.build.id) != "shuts the loop":
        return None
    return look.trip_if(look.yes("bypass_only_heater"))


@rule(
    "cool-pump-direction",
    over=the_engine,
    reads=("water_pump_belt_path_original", "water_pump_turns_right_way"),
)
def pump_turns_the_right_way(look: Look) -> Trip | None:
    """A changed belt path may turn the pump backwards."""
    if look.yes("water_pump_belt_path_original"):
        return None
    return look.trip_if(not look.yes("water_pump_turns_right_way"))


# -- fan, switch, gauge ------------------------------------------------------


@rule("cool-fan-direction", over=the_car, reads=("fan_air_with_ram",))
def fan_blows_with_the_wind(look: Look) -> Trip | None:
    """Fan and driving move the air the same way."""
    if look.absent("fan_air_with_ram"):
        return None
    return look.trip_if(not look.yes("fan_air_with_ram"))


def fan_coverage(count: int, diameter: float, width: float, height: float) -> float:
    """Share of the core's face that the fans cover, 1 for the whole.

    Count, diameter of one fan [m], width and height of the core [m].
    """
    return count * pi / 4 * diameter**2 / (width * height)


@rule(
    "cool-shroud",
    over=the_car,
    reads=(
        "fan_shroud", "fan_count", "fan_diameter", "radiator_core_width", "radiator_core_height",
    ),
)  # fmt: skip
def shroud_spreads_the_air(look: Look) -> Trip | None:
    """Share of the core that the fans cover, where there is no shroud."""
    if look.yes("fan_shroud"):
        return None
    count = look.count("fan_count")
    if count == 0:
        return None
    sizes = ("fan_diameter", "radiator_core_width", "radiator_core_height")
    inputs = tuple(above_zero(look, name) for name in sizes)
    covered = derived(partial(fan_coverage, count), inputs, Dimension.RATIO)
    least = look.limit("shroud_coverage")
    return look.trip_if(covered < least, covered=percent(covered), least=percent(least))


@rule("cool-fan-gap", over=the_car, reads=("fan_is_electric", "fan_to_core_gap"))
def fan_keeps_its_gap(look: Look) -> Trip | None:
    """Gap between an electric fan and the core. [m]"""
    if not look.yes("fan_is_electric"):
        return None
    gap, least, most = (
        look.amount("fan_to_core_gap"), look.limit("fan_gap_least"), look.limit("fan_gap_most"),
    )  # fmt: skip
    return look.trip_if((gap < least) | (gap > most), gap=gap, least=least, most=most)


@rule(
    "cool-switch-place",
    over=the_car,
    reads=("fan_switch_on_temperature", "thermostat_temperature", "fan_switch_sees_cold_flow"),
)
def fan_switch_feels_in_time(look: Look) -> Trip | None:
    """Fan switch against thermostat [K], and whether water reaches it before that opens."""
    if look.absent("fan_switch_on_temperature"):
        return None

    engine = look.assembly.engine
    if not engine:
        return None

    def late(look: Look) -> Trip | None:
        on = look.amount("fan_switch_on_temperature")
        opens = look.amount("thermostat_temperature", engine)
        late = difference(on, opens) > look.limit("fan_over_thermostat")
        return look.trip_if(late, how="comes on late", on=on, opens=opens)

    def dead(look: Look) -> Trip | None:
        sees = look.yes("fan_switch_sees_cold_flow")
        on = look.said("fan_switch_on_temperature")
        opens = look.said("thermostat_temperature", engine)
        how = "sits where nothing flows before the thermostat opens"
        return look.trip_if(not sees, how=how, on=on, opens=opens)

    return either(look, late, dead)


@rule("cool-sender-dry", over=the_build, reads=("gauge_sender_place",))
def gauge_sender_stays_wet(look: Look) -> Trip | None:
    """The sender of the gauge sits before the thermostat, in moving water."""
    place = look.choice("gauge_sender_place")
    return look.trip_if(place in ("after the thermostat", "high spot that traps air"), place=place)


# -- what is inside ----------------------------------------------------------


@rule("cool-exp-volume", over=the_build, reads=("coolant_volume_total", "header_free_volume"))
def header_has_room(look: Look) -> Trip | None:
    """Free space above the cold mark against air cushion, growth and reserve. [m³]"""
    total, free = look.amount("coolant_volume_total"), look.amount("header_free_volume")
    swells = look.factor("coolant_growth") + look.factor("coolant_reserve")
    needed = max(look.factor("header_air_share"), swells) * total
    return look.trip_if(free < needed, free=free, needed=needed, total=total)


@rule("cool-glycol", over=the_build, reads=("coolant_glycol_share",))
def glycol_share_suits(look: Look) -> Trip | None:
    """Share of glycol, by volume."""
    share, least, most = (
        look.amount("coolant_glycol_share"), look.limit("glycol_least"), look.limit("glycol_most"),
    )  # fmt: skip
    off = (share < least) | (share > most)
    return look.trip_if(off, share=percent(share), least=percent(least), most=percent(most))


def percent(share: Amount) -> str:
    """A share as people say it."""
    return f"{100 * share.nominal:.3g}%"


@rule("cool-fill-short", over=the_build, reads=("coolant_filled", "coolant_volume_total"))
def it_took_what_it_holds(look: Look) -> Trip | None:
    """What went in against what the circuit holds. [m³]"""
    filled, total = look.amount("coolant_filled"), look.amount("coolant_volume_total")
    needed = look.factor("coolant_filled_share") * total
    return look.trip_if(filled < needed, filled=filled, total=total, needed=needed)


@rule("cool-drain", over=the_car, reads=("lowest_point_drain",))
def lowest_point_drains(look: Look) -> Trip | None:
    """A drain at the lowest point."""
    return look.trip_if(not look.yes("lowest_point_drain"))


@rule(
    "cool-mixed-metal",
    over=the_build,
    reads=("coolant_inhibitor_noted", "aluminium_in_coolant", "copper_in_coolant"),
)
def metals_are_inhibited(look: Look) -> Trip | None:
    """Aluminium and copper in one coolant, and no note of its inhibitor."""
    if look.yes("coolant_inhibitor_noted"):
        return None
    if not look.yes("copper_in_coolant", look.assembly.recipient) or not look.assembly.engine:
        return None
    return look.trip_if(look.yes("aluminium_in_coolant", look.assembly.engine))


@rule(
    "cool-longpipe-support",
    over=the_car,
    reads=("floor_pipe_length", "floor_pipe_soft_joints", "floor_pipe_clip_pitch"),
)
def long_pipes_are_held_softly(look: Look) -> Trip | None:
    """Long metal pipes: soft joints at their ends, pitch of their clips. [m]"""
    length = look.amount("floor_pipe_length")
    long = length > look.limit("long_pipe")
    if long.p <= TOO_CLOSE:
        return None

    def rigid(look: Look) -> Trip | None:
        rigid = long & Chance(float(not look.yes("floor_pipe_soft_joints")))
        what, found, wanted = "no soft joint", "at an end", "one at each end"
        return look.trip_if(rigid, length=length, what=what, found=found, wanted=wanted)

    def sags(look: Look) -> Trip | None:
        pitch, most = look.amount("floor_pipe_clip_pitch"), look.limit("long_pipe_clip_pitch")
        sags, what = long & (pitch > most), "clips apart by"
        return look.trip_if(sags, length=length, what=what, found=pitch, wanted=most)

    return either(look, rigid, sags)


# -- work --------------------------------------------------------------------


def jobs_about_coolant(assembly: Assembly) -> tuple[str, ...]:
    """Jobs on things that carry coolant; of those that do not say on what, all that may be hot."""
    carrying = {port.id for port in assembly.ports.values() if port.service is Service.COOLANT}
    carrying |= {join.id for join in assembly.joins.values() if join.service is Service.COOLANT}
    carrying |= {part.id for part in assembly.parts_of_kind(*COOLANT_PARTS)}
    return tuple(
        name
        for name, job in assembly.jobs.items()
        if carrying & {assembly.resolve(each) for each in job.about}
        or (not job.about and may_be_hot(name))
    )


def may_be_hot(job: str) -> bool:
    """True for a job that the list of jobs calls hot, and for one that it does not know."""
    known = jobs().get(job)
    return known is None or "chemical or hot or pressure" in known.flags


@rule(
    "cool-hot-cap-task",
    over=jobs_about_coolant,
    reads=("opens_coolant_cap", "coolant_temperature_at_opening"),
)
def cap_is_opened_cold(look: Look) -> Trip | None:
    """Temperature of the coolant when the job opens the system. [K]"""
    if look.assembly.jobs[look.subject].state in ("done", "not needed"):
        return None
    if not look.yes("opens_coolant_cap"):
        return None
    hot, limit = (
        look.amount("coolant_temperature_at_opening"), look.limit("cap_opening_temperature"),
    )  # fmt: skip
    return look.trip_if(hot > limit, hot=hot, limit=limit)


RULES: tuple[Rule, ...] = (
    thermostat_feels_the_engine, bypass_stays_open, heater_tap_leaves_a_bypass,
    cap_suits_weakest_part, cap_keeps_coolant_from_boiling, one_cap_holds_pressure,
    cap_draws_back_from_bottle, fan_blows_with_the_wind, shroud_spreads_the_air,
    fan_keeps_its_gap, pump_turns_the_right_way, header_has_room, fan_switch_feels_in_time,
    gauge_sender_stays_wet, glycol_share_suits, it_took_what_it_holds, lowest_point_drains,
    long_pipes_are_held_softly, metals_are_inhibited, cap_is_opened_cold,
)  # fmt: skip
