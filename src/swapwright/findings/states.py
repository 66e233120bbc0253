"""Rules on what is between two states: stand-ins, parked ends, small parts, lost functions."""

from swapwright.findings.kit import (
    TRIPS,
    Lacking,
    Look,
    Rule,
    Trip,
    all_joins,
    either,
    rule,
    the_build,
    the_car,
    the_engine,
)
from swapwright.findings.vapour import vents_are_shut
from swapwright.model.amount import Amount
from swapwright.model.assembly import AssembledPort, Assembly, is_date_past
from swapwright.model.build import StandIn
from swapwright.model.words import FateWord, Gate, Service, Side, Signal, SmallPart, Urgency
from swapwright.quantity import Measure

S = Service
PRESSED = (S.FUEL_FEED, S.FUEL_RETURN, S.HYDRAULIC, S.OIL, S.COOLANT)
DRY = (S.ELECTRICAL, S.GROUND, S.CABLE_PULL, S.DRIVE, S.SUPPORT)
ROUTED = (
    S.COOLANT, S.OIL, S.FUEL_FEED, S.FUEL_RETURN, S.FUEL_VAPOUR, S.VACUUM, S.CABLE_PULL,
    S.ELECTRICAL, S.GROUND, S.HYDRAULIC,
)  # fmt: skip
# Too short, these spray fuel, lose the brakes, or pull the throttle open.
PULLS_OFF_OR_OPEN = (S.FUEL_FEED, S.FUEL_RETURN, S.FUEL_VAPOUR, S.HYDRAULIC, S.CABLE_PULL)
# What leaks of these takes fire, or gathers where people breathe.
BURNS_OR_STIFLES = (S.FUEL_FEED, S.FUEL_RETURN, S.FUEL_VAPOUR, S.EXHAUST_GAS)
USED_ONCE = ("washer", "gasket", "seal", "o-ring")
TAKES_AWAY = ("cut", "discard", "remove", "sell")
# Families whose plug, left without its mate, leaves a fan or a guard of people dead.
GUARDS = ("fan", "bayf", "abs", "psw", "ped", "oilp", "pump", "inh")
NOWHERE = ("absent", "none", "no")


@rule("tank-pressure", over=the_car, reads=("tank_pressure_hot",))
def tank_stays_near_the_air_outside(look: Look) -> Trip | None:
    """Pressure of the tank after a hot run; predicted where every vent is shut. [Pa]"""
    assembly = look.assembly
    most, vacuum = look.limit("tank_pressure_road"), look.limit("tank_vacuum_most")
    if vents_are_shut(assembly):
        return look.trip(found="will rise, every vent is shut", most=most, vacuum=vacuum)
    ran = assembly.gate_passed(Gate.FIRST_START)
    if not ran and not assembly.fact(look.subject, "tank_pressure_hot").known:
        return None  # there is nothing to read before the first hot run
    found = look.amount("tank_pressure_hot")
    if (found > look.limit("tank_pressure_stop")).p >= TRIPS:
        return look.trip(found=found, most=most, vacuum=vacuum)
    beyond = (found > most) | (found < -1.0 * vacuum)
    return look.trip_if(beyond, urgency=Urgency.ROAD, found=found, most=most, vacuum=vacuum)


@rule("fuel-open-system", over=the_build, reads=("fuel_rail_bled", "fuel_cap_eased"))
def fuel_is_bled_before_it_is_opened(look: Look) -> Trip | None:
    """Rail bled and cap eased before any fuel joint is opened."""

    def left_out(fact: str, what: str) -> Trip | None:
        return look.trip_if(not look.absent(fact) and not look.yes(fact), what=what)

    return either(
        look,
        lambda _: left_out("fuel_rail_bled", "the rail holds pressure"),
        lambda _: left_out("fuel_cap_eased", "the cap holds vapour in"),
    )


# -- stand-ins ---------------------------------------------------------------


def joins_with_stand_in(assembly: Assembly) -> tuple[str, ...]:
    """Joins in which something serves until the right part comes."""
    return tuple(name for name, join in assembly.joined.items() if join.record.stand_in)


def stand_in_of(look: Look) -> StandIn:
    """The stand-in of the join that this is about."""
    stand_in = look.assembly.joins[look.subject].record.stand_in
    assert stand_in is not None
    return stand_in


def name_of(look: Look, stand_in: StandIn) -> str:
    """How the stand-in is called."""
    item = look.assembly.resolve(stand_in.item)
    return look.assembly.label(item) if item else "without a name"


def rating_of(look: Look, stand_in: StandIn) -> Amount:
    """Pressure that a stand-in is made for, as said with it or of its item. [Pa]"""
    item = look.assembly.resolve(stand_in.item)
    for fact in ("hose_working_pressure", "pressure_limit"):
        said = stand_in.facts.get(fact)
        if said is not None and isinstance(said.content, Measure):
            look.uses[(item or look.subject, fact)] = said
            look.heard[(item or look.subject, fact)] = said
            return Amount.of(said.content)
        if item and look.assembly.fact(item, fact).known:
            return look.amount(fact, of=item)
    if not item:
        raise Lacking(look.subject, "stand-in")
    return look.amount("hose_working_pressure", of=item)


@rule(
    "stand-in-rating",
    over=joins_with_stand_in,
    reads=("hose_working_pressure", "pressure_limit", "line_pressure"),
)
def stand_in_bears_what_is_asked(look: Look) -> Trip | None:
    """Rating of a stand-in against what the final part has to bear. [Pa]"""
    service = look.carries(*PRESSED)
    stand_in = stand_in_of(look)
    rated, item = rating_of(look, stand_in), name_of(look, stand_in)

    def below(factor: str) -> Trip | None:
        needed = look.factor(factor) * look.amount("line_pressure")
        return look.trip_if(rated < needed, item=item, rated=rated, needed=needed)

    asked = ["stand_in_pressure_factor"]
    if service is Service.COOLANT:
        asked.append("coolant_hose_pressure_factor")  # the final hose has to bear more
    return either(look, *(lambda _, each=each: below(each) for each in asked))


@rule("stand-in-overdue", over=joins_with_stand_in, reads=("stand_in_distance",))
def stand_in_has_a_last_day(look: Look) -> Trip | None:
    """Last day and distance of a stand-in. [m]"""
    stand_in = stand_in_of(look)
    item, allowed = name_of(look, stand_in), stand_in.distance.content
    past = is_date_past(stand_in.until, look.as_of)
    if past:
        return look.trip(item=item, what="its last day was", limit=stand_in.until)
    if isinstance(allowed, Measure):
        driven, most = look.amount("stand_in_distance"), Amount.of(allowed)
        return look.trip_if(
            driven > most, item=item, what="driven farther than", limit=stand_in.distance
        )
    return look.trip_if(past is None, item=item, what="its last day is", limit="not named")


# -- parked ends, small parts, plugs -----------------------------------------


def parked_ends(assembly: Assembly) -> tuple[str, ...]:
    """Ends of car and newcomer that are parked at this stage."""
    return tuple(
        port
        for port in assembly.stated_fates
        if assembly.fate(port) is FateWord.PARKED and assembly.ports[port].side is not Side.OUTGOING
    )


@rule("parked-open", over=parked_ends, reads=("cap_clamped", "both_ends_sealed"))
def parked_ends_are_sealed(look: Look) -> Trip | None:
    """Caps on what is parked, and on what it was joined to."""
    service = look.service()
    signal = Signal.WARNING if service in BURNS_OR_STIFLES else None

    def loose(look: Look) -> Trip | None:
        bad = service not in DRY and not look.yes("cap_clamped")
        return look.trip_if(bad, what="its cap is missing, unrated or loose", signal=signal)

    def half_sealed(look: Look) -> Trip | None:
        bad, what = not look.yes("both_ends_sealed"), "not both of its ends are sealed"
        return look.trip_if(bad, what=what, signal=signal)

    return either(look, loose, half_sealed)


@rule("seal-missing", over=all_joins)
def small_parts_are_there(look: Look) -> Trip | None:
    """Seals, washers, clamps and clips of a join; none lost, none used twice."""
    join = look.assembly.joins[look.subject]
    small = join.record.small
    bad = tuple(f"{name} {state}" for name, state in small.items() if _spoils(name, state))
    if bad:
        serious = join.service is Service.FUEL_FEED or _works_brakes(look)
        return look.trip(
            urgency=Urgency.STOP if serious else None,
            signal=Signal.WARNING if serious or join.service in BURNS_OR_STIFLES else None,
            parts=bad,
        )
    wanted = any(look.assembly.items[p].small for p in join.pieces if p in look.assembly.items)
    unsaid = not small and (wanted or join.service not in DRY)
    if unsaid or SmallPart.UNKNOWN in small.values():
        raise Lacking(look.subject, "small parts")
    return None


def _spoils(name: str, state: SmallPart) -> bool:
    reused = state is SmallPart.REUSED and any(word in name.lower() for word in USED_ONCE)
    return reused or state is SmallPart.LOST


def _works_brakes(look: Look) -> bool:
    """True for the servo's hose, and for a hydraulic line that no other family claims."""
    join = look.assembly.joins[look.subject]
    families = {end.family.id for end in join.ends if end.family is not None}
    return "servo" in families or (join.service is Service.HYDRAULIC and not families)


def joins_with_a_route(assembly: Assembly) -> tuple[str, ...]:
    """Joins by hose, line, cable or loom; of unknown service as well."""
    return tuple(join.id for join in assembly.joins_of(*ROUTED, Service.UNKNOWN))


@rule(
    "route-short",
    over=joins_with_a_route,
    reads=("cut_length", "route_length", "slack_at_engine"),
)
def route_leaves_slack(look: Look) -> Trip | None:
    """Length of hose, cable or loom against its way; slack at the engine. [m]"""
    service = look.carries(*ROUTED)
    signal = Signal.WARNING if service in PULLS_OFF_OR_OPEN else None

    def too_short(_: Look) -> Trip | None:
        least = look.factor("route_length_factor") * look.amount("route_length")
        length = look.amount("cut_length")
        return look.trip_if(length < least, what="length", found=length, least=least, signal=signal)

    def too_tight(_: Look) -> Trip | None:
        if service in (Service.FUEL_FEED, Service.FUEL_RETURN) or not look.crosses_to_engine():
            return None  # fuel has a rule of its own for this
        slack, least = look.amount("slack_at_engine"), look.limit("slack_at_engine_least")
        what = "slack at the engine"
        return look.trip_if(slack < least, what=what, found=slack, least=least, signal=signal)

    return either(look, too_short, too_tight)


@rule(
    "bottle-small",
    over=the_build,
    reads=("recovery_bottle_free_volume", "coolant_volume_total", "recovery_bottle"),
)
def bottle_takes_what_grows(look: Look) -> Trip | None:
    """Free volume of the recovery bottle against the system; its tube below the level. [m³]"""
    free = look.amount("recovery_bottle_free_volume")

    def too_small(_: Look) -> Trip | None:
        least = look.factor("bottle_share_least") * look.amount("coolant_volume_total")
        return look.trip_if(free < least, what="free room", found=free, least=least)

    def above_the_level(_: Look) -> Trip | None:
        under = look.yes("recovery_bottle")
        return look.trip_if(
            not under, what="tube ends", found="above the cold level", least="it below"
        )

    return either(look, too_small, above_the_level)


def electrical_ends(assembly: Assembly) -> tuple[str, ...]:
    """Electrical ends of car and newcomer that are or may be there."""
    return tuple(
        port.id
        for port in assembly.ports.values()
        if port.service is Service.ELECTRICAL
        and port.side in (Side.CAR, Side.NEWCOMER)
        and port.there != "no"
    )


def asked_at_the_car(assembly: Assembly, port: AssembledPort) -> bool:
    """True for a newcomer's eyelet or stud whose other half on the car is open too.

    The two are one crossing: one decision settles both, so only the car's half asks.
    """
    if port.side is not Side.NEWCOMER or port.family is None:
        return False
    halves = {
        side: [
            each.id
            for each in assembly.ports_of(port.family.id, side=side)
            if each.record.plug is None and assembly.fate(each.id) is FateWord.OPEN
        ]
        for side in (Side.CAR, Side.NEWCOMER)
    }
    return halves[Side.NEWCOMER].index(port.id) < len(halves[Side.CAR])


@rule("plug-no-mate", over=electrical_ends)
def plugs_have_their_mates(look: Look) -> Trip | None:
    """The other half of each plug found, or a decision taken without it."""
    port = look.assembly.ports[look.subject]
    if look.assembly.fate(look.subject) is not FateWord.OPEN:
        return None
    if port.record.plug is None:
        if not asked_at_the_car(look.assembly, port):
            look.fate()
        return None
    seen = port.record.plug.mate_seen
    if not seen.known:
        raise Lacking(look.subject, "mate")
    guards = port.family is not None and port.family.id in GUARDS
    return look.trip_if(seen.content is not True, urgency=Urgency.ROAD if guards else None)


# -- ignition, functions -----------------------------------------------------


@rule(
    "ignition-lead",
    over=the_engine,
    reads=(
        "fuel_system", "ignition_lead_gap", "ignition_lead_on_fuel_pipe", "distributor_cap_room",
        "ignition_timing_verified",
    ),
)  # fmt: skip
def ignition_is_clear_and_timed(look: Look) -> Trip | None:
    """Leads away from heat and fuel, room over the cap, timing checked. [m]"""
    if look.choice("fuel_system") == "diesel":
        return None

    def less(fact: str, limit: str, what: str) -> Trip | None:
        found, least = look.amount(fact), look.limit(limit)
        return look.trip_if(found < least, what=what, found=found, wanted=least)

    def on_fuel_pipe(_: Look) -> Trip | None:
        touches = look.yes("ignition_lead_on_fuel_pipe")
        return look.trip_if(
            touches, what="a lead", found="clipped to a fuel pipe", wanted="holders of its own"
        )

    def untimed(_: Look) -> Trip | None:
        if not look.assembly.gate_passed(Gate.FIRST_START):
            return None  # timing is checked on the running engine
        if look.absent("ignition_timing_verified"):
            return None
        verified = look.yes("ignition_timing_verified")
        return look.trip_if(
            not verified, what="timing", found="not verified", wanted="a check before any load"
        )

    return either(
        look,
        lambda _: less("ignition_lead_gap", "ignition_lead_gap_least", "lead from the exhaust by"),
        on_fuel_pipe,
        lambda _: less("distributor_cap_room", "distributor_cap_room_least", "room over the cap"),
        untimed,
    )


def parts_with_functions(assembly: Assembly) -> tuple[str, ...]:
    """Parts that do something for others."""
    return tuple(part.id for part in assembly.parts.values() if part.functions)


@rule("part-function-lost", over=parts_with_functions)
def functions_move_before_the_part_goes(look: Look) -> Trip | None:
    """A new place for every function of a part that goes."""
    going = _going(look)
    if going is None:
        return None
    assembly, part = look.assembly, look.assembly.parts[look.subject]
    said = {each: assembly.function_places.get(f"{part.id}.{each}", "") for each in part.functions}
    nowhere = tuple(each for each, place in said.items() if place in NOWHERE)
    unsaid = tuple(each for each, place in said.items() if not place)
    if nowhere or (unsaid and going):
        return look.trip(functions=(*nowhere, *unsaid) if going else nowhere)
    if unsaid:
        raise Lacking(look.subject, "functions")
    return None


def _going(look: Look) -> bool | None:
    """True for a part that is gone, False for one that will go, None for one that stays."""
    assembly, part = look.assembly, look.assembly.parts[look.subject]
    steps = [
        step.done.content is True
        for step in assembly.steps.values()
        if step.does in TAKES_AWAY
        and {part.id, part.sheet} & {assembly.resolve(each) for each in step.what}
    ]
    ends = [port.id for port in assembly.ports.values() if port.owner == part.id]
    removed = bool(ends) and all(assembly.fate(end) is FateWord.REMOVED for end in ends)
    if removed:
        steps.append(all(assembly.stated_fates[end].done.content is True for end in ends))
    return any(steps) if steps else None


RULES: tuple[Rule, ...] = (
    tank_stays_near_the_air_outside,
    fuel_is_bled_before_it_is_opened,
    stand_in_bears_what_is_asked,
    stand_in_has_a_last_day,
    parked_ends_are_sealed,
    small_parts_are_there,
    route_leaves_slack,
    bottle_takes_what_grows,
    plugs_have_their_mates,
    ignition_is_clear_and_timed,
    functions_move_before_the_part_goes,
)
