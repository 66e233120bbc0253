"""Rules on structure, mass and clearances: what was cut, what it weighs, what it may touch."""

from swapwright.findings.above_zero import above_zero
from swapwright.findings.coolant import percent
from swapwright.findings.kit import (
    TOO_CLOSE,
    Look,
    Rule,
    Trip,
    either,
    joins_carrying,
    rule,
    the_build,
    the_car,
    the_engine,
)
from swapwright.model.amount import Chance, derived
from swapwright.model.words import Service
from swapwright.quantity import Dimension

LINES = (
    Service.COOLANT, Service.OIL, Service.FUEL_FEED, Service.FUEL_RETURN, Service.FUEL_VAPOUR,
    Service.VACUUM, Service.REFRIGERANT, Service.HYDRAULIC, Service.CABLE_PULL,
    Service.ELECTRICAL, Service.GROUND,
)  # fmt: skip
PIPES = (
    Service.COOLANT, Service.OIL, Service.FUEL_VAPOUR, Service.VACUUM, Service.INTAKE_AIR,
    Service.REFRIGERANT, Service.HYDRAULIC,
)  # fmt: skip
POWER_AND_MASS = ("rated_power", "original_engine_power", "kerb_mass", "kerb_mass_after")


# -- structure -------------------------------------------------------------------


@rule("str-cut", over=the_car, reads=("structure_cut", "structure_repair_approved"))
def structure_stays_whole(look: Look) -> Trip | None:
    """What carries load is cut, and no approved repair stands for it."""
    if not look.yes("structure_cut"):
        return None
    return look.trip_if(not look.yes("structure_repair_approved"))


@rule("str-identity", over=the_car, reads=("chassis_altered", "identity_asked"))
def identity_was_asked(look: Look) -> Trip | None:
    """Chassis or shell is altered before the authority was asked."""
    if not look.yes("chassis_altered"):
        return None
    return look.trip_if(not look.yes("identity_asked", look.assembly.build.id))


# -- mass ------------------------------------------------------------------------


@rule(
    "mass-axle",
    over=the_car,
    reads=("front_axle_load", "front_axle_limit", "rear_axle_load", "rear_axle_limit"),
)
def axles_carry_their_load(look: Look) -> Trip | None:
    """Laden load of each axle after the swap against its limit. [kg]"""

    def over(look: Look, axle: str) -> Trip | None:
        load, limit = look.amount(f"{axle}_axle_load"), look.amount(f"{axle}_axle_limit")
        return look.trip_if(load > limit, axle=axle, load=load, limit=limit)

    return either(look, lambda look: over(look, "front"), lambda look: over(look, "rear"))


@rule("mass-split", over=the_car, reads=("front_share", "front_share_after"))
def balance_stays(look: Look) -> Trip | None:
    """Change of the front axle's share of the mass. [1]"""
    before, after = look.amount("front_share"), look.amount("front_share_after")
    most = look.limit("front_share_change")
    change = after - before if after.nominal > before.nominal else before - after
    was, now = percent(before), percent(after)
    return look.trip_if(change > most, before=was, after=now, most=percent(most))


def specific_power_ratio(power: float, mass: float, old_power: float, old_mass: float) -> float:
    """Power to mass after a swap over that before. [1]

    Parameters
    ----------
    power, old_power : float
        [W]
    mass, old_mass : float
        Kerb mass. [kg]

    References
    ----------
    Definition (power-to-weight), as in the United Kingdom's draft guidance on
    substantial change.
    """
    return (power / mass) / (old_power / old_mass)


@rule("mass-power", over=the_car, reads=POWER_AND_MASS)
def status_is_kept(look: Look) -> Trip | None:
    """Power to mass over that of the car as built. [1]"""
    if not look.assembly.engine:
        return None
    inputs = (
        above_zero(look, "rated_power", look.assembly.engine),
        above_zero(look, "kerb_mass_after"),
        above_zero(look, "original_engine_power"),
        above_zero(look, "kerb_mass"),
    )
    ratio = derived(specific_power_ratio, inputs, Dimension.RATIO)
    exempt, approved = look.limit("power_to_mass_exemption"), look.limit("power_to_mass_approval")
    return look.trip_if(ratio > exempt, ratio=ratio, exempt=exempt, approved=approved)


# -- clearances ------------------------------------------------------------------


@rule("clr-static", over=the_build, reads=("engine_gap_static", "engine_gap_rock"))
def engine_has_room(look: Look) -> Trip | None:
    """Least gap from the power unit to the body, at rest and where it rocks to. [m]"""

    def short(look: Look, name: str, what: str) -> Trip | None:
        gap, least = look.amount(name), look.limit(name)
        return look.trip_if(gap < least, what=what, gap=gap, least=least)

    return either(
        look,
        lambda look: short(look, "engine_gap_static", "at rest"),
        lambda look: short(look, "engine_gap_rock", "where the engine rocks to"),
    )


@rule("clr-bonnet", over=the_build, reads=("bonnet_gap",))
def bonnet_clears(look: Look) -> Trip | None:
    """Gap from the engine to the closed bonnet or lid. [m]"""
    gap, least = look.amount("bonnet_gap"), look.limit("bonnet_gap")
    return look.trip_if(gap < least, gap=gap, least=least)


@rule("clr-steer-susp", over=the_build, reads=("steering_gap",))
def steering_and_suspension_are_free(look: Look) -> Trip | None:
    """Least gap of steering and suspension through full lock and bump. [m]"""
    gap, least = look.amount("steering_gap"), look.limit("steering_gap")
    at_most = Chance(1 - (gap > least).p)  # a gap that just equals the limit trips
    return look.trip_if(at_most, gap=gap, least=least)


@rule("clr-line", over=joins_carrying(*LINES), reads=("gap_to_fixed_part", "clipped_there"))
def line_does_not_chafe(look: Look) -> Trip | None:
    """Gap from a line or loom to a fixed part or edge, unless clipped there. [m]"""
    look.carries(*LINES)
    gap, least = look.amount("gap_to_fixed_part"), look.limit("gap_to_fixed_part")
    if (gap < least).p <= TOO_CLOSE or look.yes("clipped_there"):
        return None
    return look.trip_if(gap < least, gap=gap, least=least)


@rule("clr-rigid", over=joins_carrying(*PIPES), reads=("flexible_part",))
def engine_may_rock(look: Look) -> Trip | None:
    """A pipe from engine to body has a flexible part."""
    look.carries(*PIPES)
    if not look.crosses_to_engine():
        return None
    return look.trip_if(not look.yes("flexible_part"))


@rule("acc-service", over=the_engine, reads=("serviceable_in_place",))
def service_parts_come_out(look: Look) -> Trip | None:
    """Belt, plugs, filter and starter come out with the engine in place."""
    return look.trip_if(not look.yes("serviceable_in_place"))


RULES: tuple[Rule, ...] = (
    structure_stays_whole,
    identity_was_asked,
    axles_carry_their_load,
    balance_stays,
    status_is_kept,
    engine_has_room,
    bonnet_clears,
    steering_and_suspension_are_free,
    line_does_not_chafe,
    engine_may_rock,
    service_parts_come_out,
)
