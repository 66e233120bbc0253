"""Rules on the fuel's joins: heat, hoses, clamps, routes."""

from swapwright.findings.kit import (
    TOO_CLOSE,
    TRIPS,
    Look,
    Rule,
    Trip,
    either,
    joins_carrying,
    rule,
)
from swapwright.model.words import Service

FUEL = (Service.FUEL_FEED, Service.FUEL_RETURN)
LINES = joins_carrying(*FUEL)
CUTS_OR_RELAXES = ("worm drive", "spring", "constant tension", "none", "absent")
MADE_ON = ("crimped ferrule", "quick connector", "threaded")  # by the maker, on both ends of a hose
HOSES = ("hose", "formed hose")


@rule("fuel-exh-min", over=LINES, reads=("gap_to_exhaust", "gap_to_moving_part"))
def line_keeps_from_heat_and_motion(look: Look) -> Trip | None:
    """Gap of a fuel line to exhaust and to moving parts. [m]"""
    look.carries(*FUEL)
    least = look.limit("fuel_gap_least")

    def too_near(fact: str, what: str) -> Trip | None:
        gap = look.amount(fact)
        return look.trip_if(gap < least, gap=gap, least=least, what=what)

    return either(
        look,
        lambda _: too_near("gap_to_exhaust", "the exhaust"),
        lambda _: too_near("gap_to_moving_part", "a moving part"),
    )


@rule("fuel-exh-unshielded", over=LINES, reads=("gap_to_exhaust", "heat_shield", "near_catalyst"))
def line_near_heat_is_shielded(look: Look) -> Trip | None:
    """Gap to the exhaust between the least one and where no shield is needed. [m]"""
    look.carries(*FUEL)
    gap = look.amount("gap_to_exhaust")
    if gap.nominal < look.limit("fuel_gap_least").nominal:
        return None  # too near even with a shield: another rule speaks
    plain, by_catalyst = (
        look.limit("fuel_gap_unshielded"), look.limit("fuel_gap_unshielded_catalyst"),
    )  # fmt: skip
    if (gap < by_catalyst).p <= TOO_CLOSE or look.yes("heat_shield"):
        return None
    if (gap < plain).p < TRIPS and look.yes("near_catalyst"):
        return look.trip_if(gap < by_catalyst, gap=gap, least=by_catalyst)
    return look.trip_if(gap < plain, gap=gap, least=plain)


@rule("fuel-above-hot", over=LINES, reads=("joint_above_hot_part",))
def joints_do_not_drip_on_heat(look: Look) -> Trip | None:
    """Drip line of every fuel joint."""
    look.carries(*FUEL)
    return look.trip_if(look.yes("joint_above_hot_part"))


@rule("fuel-hose-pressure", over=LINES, reads=("hose_working_pressure", "line_pressure"))
def hose_stands_line_pressure(look: Look) -> Trip | None:
    """Working pressure of the hose against the highest pressure of its line. [Pa]"""
    look.carries(*FUEL)
    rated = look.amount("hose_working_pressure")
    needed = look.factor("fuel_hose_pressure_factor") * look.amount("line_pressure")
    return look.trip_if(rated < needed, rated=rated, needed=needed)


@rule("fuel-hose-unmarked", over=LINES, reads=("hose_standard",))
def hose_bears_a_standard(look: Look) -> Trip | None:
    """Print on the hose."""
    look.carries(*FUEL)
    return look.trip_if(look.absent("hose_standard"))


@rule("fuel-clamp-type", over=LINES, reads=("clamp_kind", "line_pressure"))
def clamps_suit_the_pressure(look: Look) -> Trip | None:
    """Kind of clamp against the pressure of the line. [Pa]"""
    look.carries(*FUEL)
    clamp = weakest_hold(look)
    if clamp not in CUTS_OR_RELAXES:
        return None
    pressure, most = look.amount("line_pressure"), look.limit("fuel_clamp_pressure")
    shown = "none" if clamp == "absent" else clamp
    return look.trip_if(pressure > most, clamp=shown, pressure=pressure, most=most)


def weakest_hold(look: Look) -> str:
    """What holds the hoses: as said of the join or its clamps, else what each came crimped with."""
    holders, join = look.assembly.holders, look.assembly.joins[look.subject]
    hoses = [piece for piece in join.pieces if holders[piece].kind in HOSES]
    clamps = any(holders[piece].kind == "clamp" for piece in join.pieces)
    if not look.said("clamp_kind").known and not clamps:
        held = [str(look.said("clamp_kind", hose).content) for hose in hoses]
        if held and set(held) <= {*MADE_ON}:
            return held[0]
    return look.choice("clamp_kind")


@rule("fuel-bare-tube", over=LINES, reads=("bare_tube_end",))
def hoses_sit_on_beads(look: Look) -> Trip | None:
    """Tube ends under hoses have a bead or barb."""
    look.carries(*FUEL)
    return look.trip_if(look.yes("bare_tube_end"))


@rule("fuel-in-cabin", over=LINES, reads=("in_occupant_space", "sealed_duct"))
def line_stays_out_of_the_cabin(look: Look) -> Trip | None:
    """Fuel inside the occupants' space only in a sealed duct."""
    look.carries(*FUEL)
    return look.trip_if(look.yes("in_occupant_space") and not look.yes("sealed_duct"))


@rule("fuel-clip-space", over=LINES, reads=("clip_pitch", "hose_free_span"))
def line_is_clipped(look: Look) -> Trip | None:
    """Distance of clips on rigid line, free length of hose. [m]"""
    look.carries(*FUEL)

    def too_long(fact: str, limit: str, what: str) -> Trip | None:
        found, most = look.amount(fact), look.limit(limit)
        return look.trip_if(found > most, what=what, found=found, most=most)

    return either(
        look,
        lambda _: too_long("clip_pitch", "fuel_clip_pitch", "clips apart by"),
        lambda _: too_long("hose_free_span", "fuel_hose_span", "hose hangs free for"),
    )


@rule("fuel-no-flex", over=LINES, reads=("flexible_part", "slack_at_engine"))
def line_follows_the_engine(look: Look) -> Trip | None:
    """A flexible part with slack between body and engine. [m]"""
    look.carries(*FUEL)
    if not look.crosses_to_engine():
        return None
    least = look.limit("slack_at_engine_least")
    if not look.yes("flexible_part"):
        return look.trip(found="none, no flexible part", least=least)
    slack = look.amount("slack_at_engine")
    return look.trip_if(slack < least, found=slack, least=least)


@rule("fuel-bulkhead-edge", over=LINES, reads=("passes_metal_edge", "grommet"))
def line_is_guarded_at_edges(look: Look) -> Trip | None:
    """Grommet wherever the line passes metal."""
    look.carries(*FUEL)
    return look.trip_if(look.yes("passes_metal_edge") and not look.yes("grommet"))


@rule("fuel-wheel-arch", over=LINES, reads=("below_floor_rail", "in_tyre_throw"))
def line_is_out_of_the_stones(look: Look) -> Trip | None:
    """Line above the floor rails and out of the wheel arches."""
    look.carries(*FUEL)
    return either(
        look,
        lambda _: look.trip_if(look.yes("below_floor_rail"), what="hangs below the floor rail"),
        lambda _: look.trip_if(look.yes("in_tyre_throw"), what="lies where a tyre throws stones"),
    )


RULES: tuple[Rule, ...] = (
    line_keeps_from_heat_and_motion,
    line_near_heat_is_shielded,
    joints_do_not_drip_on_heat,
    hose_stands_line_pressure,
    hose_bears_a_standard,
    clamps_suit_the_pressure,
    hoses_sit_on_beads,
    line_stays_out_of_the_cabin,
    line_is_clipped,
    line_follows_the_engine,
    line_is_guarded_at_edges,
    line_is_out_of_the_stones,
)
