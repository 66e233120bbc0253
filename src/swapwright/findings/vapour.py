"""Rules on tank vent, canister and purge: a tank must breathe, through carbon, to the outside."""

from swapwright.findings.kit import (
    Lacking,
    Look,
    Rule,
    Trip,
    either,
    parts_of,
    ports_in,
    rule,
    the_car,
    the_engine,
)
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.words import FateWord, Kind, Service, Side

SHUT = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)
WHERE_VAPOUR_GATHERS = ("luggage space", "cabin", "above the exhaust")
CANISTER = "canister"


def vents_are_shut(assembly: Assembly) -> bool:
    """True when every vent of the car's tank was decided to be shut or taken away."""
    vents = assembly.ports_of("vent", side=Side.CAR)
    return bool(vents) and all(assembly.fate(vent.id) in SHUT for vent in vents)


def purges(assembly: Assembly) -> tuple[str, ...]:
    """Purge ends of the newcomer; the car's where the newcomer has none."""
    newcomer = assembly.ports_of("purge", side=Side.NEWCOMER)
    ends = newcomer or assembly.ports_of("purge", side=Side.CAR)
    return tuple(port.id for port in ends)


def joins_of_vents(assembly: Assembly) -> tuple[str, ...]:
    """Vapour joins that begin at a tank."""
    return tuple(
        join.id
        for join in assembly.joins_of(Service.FUEL_VAPOUR)
        if any(end.family is not None and end.family.id == "vent" for end in join.ends)
    )


@rule("evap-no-vent", over=the_car, reads=("tank_vent_passes_air",))
def tank_can_breathe(look: Look) -> Trip | None:
    """At least one vent with an open path."""
    if vents_are_shut(look.assembly):
        return look.trip(what="every vent is capped, parked or removed")
    passes = look.yes("tank_vent_passes_air")
    return look.trip_if(not passes, what="its vent lets no air through")


@rule("evap-vent-inside", over=the_car, reads=("vent_ends",))
def vent_ends_outside(look: Look) -> Trip | None:
    """Where the vent meets the open air."""
    place = look.choice("vent_ends")
    return look.trip_if(place in WHERE_VAPOUR_GATHERS, place=place)


@rule("evap-direct-purge", over=purges, reads=("canister_air_open",))
def purge_draws_from_a_canister(look: Look) -> Trip | None:
    """A canister with an open fresh-air port between tank and purge."""
    if look.fate() is not FateWord.JOINED:
        return None
    assembly = look.assembly
    if not reaches_canister(assembly, look.subject):
        return look.trip(what="joined to the tank without a canister")
    airs = assembly.ports_of("fair")
    if airs and all(assembly.fate(air.id) in SHUT for air in airs):
        return look.trip(what="the canister's fresh-air port is shut")
    is_open = look.yes("canister_air_open", of=assembly.recipient)
    return look.trip_if(not is_open, what="the canister's fresh-air port is shut")


def reaches_canister(assembly: Assembly, purge: str) -> bool:
    """False when the vapour joins from a purge end lead to a tank and meet no canister."""
    ahead, seen = [purge], set[str]()
    met_tank = False
    while ahead:
        join = assembly.join_of.get(port := ahead.pop())
        if join is None or join.id in seen or join.service is not Service.FUEL_VAPOUR:
            continue
        seen.add(join.id)
        other = join.other(port)
        if _is_canister(assembly, other, join.pieces):
            return True
        met_tank = met_tank or _is_tank(assembly, other)
        ahead += _through(assembly, other)
    return not met_tank


def _is_canister(assembly: Assembly, port: AssembledPort, pieces: tuple[str, ...]) -> bool:
    kinds = {assembly.holders[each].kind for each in (port.owner, *pieces)}
    at_car = port.side is Side.CAR and _family(port) == "purge"
    return CANISTER in kinds or at_car


def _is_tank(assembly: Assembly, port: AssembledPort) -> bool:
    return _family(port) == "vent" or assembly.holders[port.owner].kind == "tank"


def _family(port: AssembledPort) -> str:
    return port.family.id if port.family is not None else ""


def _through(assembly: Assembly, port: AssembledPort) -> list[str]:
    """Further ends of the part that was met; a whole car or engine is no passage."""
    if assembly.holders[port.owner].kind in (Kind.VEHICLE, Kind.ENGINE, Kind.GEARBOX):
        return []
    return [each.id for each in assembly.ports.values() if each.owner == port.owner]


@rule("evap-no-rollover", over=the_car, reads=("rollover_valve",))
def vent_shuts_when_overturned(look: Look) -> Trip | None:
    """Gravity valve in the vent."""
    return look.trip_if(not look.yes("rollover_valve"))


@rule("evap-liquid-trap", over=joins_of_vents, reads=("rises_all_the_way", "dip_below_tank_top"))
def vapour_line_has_no_dip(look: Look) -> Trip | None:
    """Lowest point before the canister against the top of the tank. [m]"""
    if look.yes("rises_all_the_way"):
        return None
    dip, most = look.amount("dip_below_tank_top"), look.limit("vapour_dip_most")
    return look.trip_if(dip > most, dip=dip, most=most)


@rule(
    "evap-purge-open",
    over=ports_in("purge", side=Side.NEWCOMER),
    reads=("purge_valve", "hose_bore"),
)
def purge_has_its_valve(look: Look) -> Trip | None:
    """Valve in the purge line, and its bore. [m]"""
    if look.fate() is not FateWord.JOINED:
        return None
    assembly = look.assembly

    most = look.limit("purge_bore_most")

    def unvalved(_: Look) -> Trip | None:
        valve = look.yes("purge_valve", of=assembly.engine)
        return look.trip_if(not valve, what="with", found="no valve", most=most)

    def too_wide(_: Look) -> Trip | None:
        bore = look.amount("hose_bore", of=assembly.join_of[look.subject].id)
        return look.trip_if(bore > most, what="with a bore of", found=bore, most=most)

    return either(look, unvalved, too_wide)


@rule(
    "evap-purge-boost",
    over=the_engine,
    reads=("boosted", "purge_check_valve", "breather_check_valve"),
)
def boost_stays_in_the_intake(look: Look) -> Trip | None:
    """Check valves in purge and breather of a boosted engine."""
    if not look.yes("boosted"):
        return None

    def unguarded(family: str, fact: str, what: str) -> Trip | None:
        ends = look.assembly.ports_of(family, side=Side.NEWCOMER)
        if ends and all(look.assembly.fate(end.id) in SHUT for end in ends):
            return None  # boost cannot pass an end that is shut
        return look.trip_if(not look.yes(fact), what=what)

    return either(
        look,
        lambda _: unguarded("purge", "purge_check_valve", "purge line"),
        lambda _: unguarded("pcv", "breather_check_valve", "crankcase breather"),
    )


@rule("evap-deleted-law", over=purges, reads=("vapour_control_required",))
def vapour_control_is_kept(look: Look) -> Trip | None:
    """Purge shut or taken away where car or newcomer was approved with it."""
    fate = look.fate()
    if fate not in SHUT:
        return None

    def required_of(holder: str) -> Trip | None:
        required = look.yes("vapour_control_required", of=holder)
        return look.trip_if(required, fate=str(fate), whose=look.assembly.label(holder))

    return either(
        look,
        lambda _: required_of(look.assembly.recipient),
        lambda _: required_of(look.assembly.engine or look.assembly.recipient),
    )


@rule(
    "evap-old-canister",
    over=parts_of(CANISTER),
    reads=("canister_year", "canister_mass", "canister_dry_mass"),
)
def canister_still_holds_vapour(look: Look) -> Trip | None:
    """Age and mass of the canister's carbon, unless it goes. [years, kg]"""
    ends = [port.id for port in look.assembly.ports.values() if port.owner == look.subject]
    fates = [look.assembly.fate(end) for end in ends]
    if ends and all(fate in SHUT for fate in fates):
        return None

    def too_old(_: Look) -> Trip | None:
        if look.absent("canister_year"):
            return None
        age, most = look.as_of.year - look.count("canister_year"), look.factor("canister_age_most")
        return look.trip_if(age > most, what="age in years", found=age, most=most)

    def soaked(_: Look) -> Trip | None:
        most = look.factor("canister_mass_factor") * look.amount("canister_dry_mass")
        mass = look.amount("canister_mass")
        return look.trip_if(mass > most, what="mass", found=mass, most=most)

    trip = either(look, too_old, soaked)
    stays = not ends or any(fate not in (*SHUT, FateWord.OPEN) for fate in fates)
    if trip is not None and not stays:
        raise Lacking(ends[fates.index(FateWord.OPEN)], "fate")
    return trip


RULES: tuple[Rule, ...] = (
    tank_can_breathe,
    vent_ends_outside,
    purge_draws_from_a_canister,
    vent_shuts_when_overturned,
    vapour_line_has_no_dip,
    purge_has_its_valve,
    boost_stays_in_the_intake,
    vapour_control_is_kept,
    canister_still_holds_vapour,
)
