"""Rules on the oil system, its warning, and the crankcase's breath."""

from swapwright.findings.kit import (
    Look,
    Rule,
    Trip,
    either,
    ports_in,
    rule,
    the_build,
    the_engine,
    the_gearbox,
)
from swapwright.model.amount import Amount
from swapwright.model.assembly import Assembly
from swapwright.model.values import Value
from swapwright.model.words import FateWord, Flow, Side
from swapwright.quantity import Dimension, Measure

DAY = 86400.0  # s
SEALED = (FateWord.CAPPED, FateWord.PARKED)


@rule("oil-warning", over=the_engine, reads=("oil_warning_works",))
def pressure_is_watched(look: Look) -> Trip | None:
    """A lamp or gauge that works before the first cranking."""
    return look.trip_if(not look.yes("oil_warning_works", look.assembly.build.id))


@rule(
    "oil-no-prime",
    over=the_engine,
    reads=("oil_prime_planned", "oil_system_opened", "last_run_on"),
)
def oil_is_primed(look: Look) -> Trip | None:
    """Days since it last ran, or an opened oil system, against a planned priming."""
    if look.yes("oil_prime_planned", look.assembly.build.id):
        return None

    def opened(look: Look) -> Trip | None:
        return look.trip_if(look.yes("oil_system_opened"), how="its oil system was opened")

    def stood(look: Look) -> Trip | None:
        last = look.day("last_run_on")
        if last is None:
            return look.trip(how="it has not run since it was built")
        days = (look.as_of - last).days
        long = Amount(days * DAY, 0.0, Dimension.TIME) > look.limit("oil_drained_back")
        return look.trip_if(long, how=f"it has stood since {last}")

    return either(look, opened, stood)


@rule("oil-cooler-cap", over=ports_in("ocl", side=Side.NEWCOMER))
def cooler_ports_are_not_sealed(look: Look) -> Trip | None:
    """All oil passes the cooler's ports on the engine: none may be sealed."""
    fate = look.fate()
    return look.trip_if(fate in SEALED, fate=fate)


def cooler_and_filter_joins(assembly: Assembly) -> tuple[str, ...]:
    """Joins at the oil cooler's or a remote filter's ports."""
    return tuple(
        join.id
        for join in assembly.joined.values()
        if any(end.family is not None and end.family.id in ("ocl", "filt") for end in join.ends)
    )


@rule(
    "oil-cooler-hose",
    over=cooler_and_filter_joins,
    reads=("hose_working_pressure", "hose_temperature_limit"),
)
def oil_hose_stands_its_work(look: Look) -> Trip | None:
    """Ratings of a hose under oil pressure. [Pa], [K]"""

    def weak(look: Look) -> Trip | None:
        rated, needed = look.amount("hose_working_pressure"), look.limit("oil_hose_pressure")
        return look.trip_if(rated < needed, rated=rated, needed=needed)

    def soft(look: Look) -> Trip | None:
        rated, needed = look.amount("hose_temperature_limit"), look.limit("oil_hose_temperature")
        return look.trip_if(rated < needed, rated=rated, needed=needed)

    return either(look, weak, soft)


# -- sump and filter ---------------------------------------------------------


@rule("oil-sump-lowest", over=the_build, reads=("sump_ground_gap", "crossmember_ground_gap"))
def sump_hangs_high(look: Look) -> Trip | None:
    """Lowest point of the sump against ground and crossmember. [m]"""

    def near_ground(look: Look) -> Trip | None:
        gap, least = look.amount("sump_ground_gap"), look.limit("sump_to_ground")
        return look.trip_if(gap < least, gap=gap, least=least, what="the least gap")

    def below_guard(look: Look) -> Trip | None:
        gap, guard = look.amount("sump_ground_gap"), look.amount("crossmember_ground_gap")
        return look.trip_if(gap < guard, gap=gap, least=guard, what="the crossmember or skid")

    return either(look, near_ground, below_guard)


@rule(
    "oil-pickup",
    over=the_engine,
    reads=("sump_altered", "oil_pickup_gap", "altered_oil_volume", "oil_volume"),
)
def altered_sump_feeds_the_pickup(look: Look) -> Trip | None:
    """Pickup gap [m] and volume [m³] of an altered sump."""
    if not look.yes("sump_altered"):
        return None

    def gap_off(look: Look) -> Trip | None:
        gap, least = look.amount("oil_pickup_gap"), look.limit("pickup_gap_least")
        most = look.limit("pickup_gap_most")
        wanted = least if gap.nominal < least.nominal else most
        off = (gap < least) | (gap > most)
        return look.trip_if(off, what="pickup gap", found=gap, wanted=wanted)

    def too_little(look: Look) -> Trip | None:
        now = look.amount("altered_oil_volume")
        needed = look.factor("altered_oil_share") * look.amount("oil_volume")
        return look.trip_if(now < needed, what="oil volume", found=now, wanted=needed)

    return either(look, gap_off, too_little)


def leaned(now: Amount, own: Amount) -> Amount:
    """How far an angle differs from what it was, without its sense. [rad]"""
    turned = now - own
    return turned if turned.nominal >= 0 else -1.0 * turned


def angle_here(look: Look, posed: Value | None, name: str) -> Amount:
    """An angle of the power unit in this car: of the build's pose, else as measured. [rad]"""
    if posed is not None and isinstance(posed.content, Measure):
        return Amount.of(posed.content)
    return look.amount(name, look.assembly.build.id)


@rule(
    "oil-tilt",
    over=the_engine,
    reads=("power_unit_nose_up", "power_unit_roll", "installed_nose_up", "installed_roll"),
)
def engine_sits_as_it_did(look: Look) -> Trip | None:
    """Pitch and roll here against those in the engine's own car. [rad]"""
    pose = look.assembly.build.pose

    def pitch(look: Look) -> Trip | None:
        here = angle_here(look, pose.nose_up if pose else None, "power_unit_nose_up")
        off, most = leaned(here, look.amount("installed_nose_up")), look.limit("pitch_from_donor")
        return look.trip_if(off > most, how="nose up or down", off=off, most=most)

    def roll(look: Look) -> Trip | None:
        here = angle_here(look, pose.roll if pose else None, "power_unit_roll")
        off, most = leaned(here, look.amount("installed_roll")), look.limit("roll_from_donor")
        return look.trip_if(off > most, how="to one side", off=off, most=most)

    return either(look, pitch, roll)


@rule("oil-filter-type", over=the_engine, reads=("oil_filter_cross_checked",))
def filter_is_the_right_one(look: Look) -> Trip | None:
    """Thread and bypass of the filter were compared with those listed."""
    return look.trip_if(not look.yes("oil_filter_cross_checked"))


@rule("oil-filter-room", over=the_build, reads=("oil_filter_gap", "oil_filter_comes_off"))
def filter_has_room(look: Look) -> Trip | None:
    """Gap beside the filter [m], and the way out for it."""

    def tight(look: Look) -> Trip | None:
        gap, least = look.amount("oil_filter_gap"), look.limit("oil_filter_room")
        return look.trip_if(gap < least, how="is close to the body", gap=gap, least=least)

    def caught(look: Look) -> Trip | None:
        gap, least = look.said("oil_filter_gap"), look.limit("oil_filter_room")
        stuck = not look.yes("oil_filter_comes_off")
        return look.trip_if(stuck, how="cannot be taken out", gap=gap, least=least)

    return either(look, tight, caught)


def drains_of_turbo(assembly: Assembly) -> tuple[str, ...]:
    """Oil ports of the turbocharger, but not the one that is known to feed it."""
    # The port table names the returning one of a pair by its ending.
    return tuple(
        port.id
        for port in assembly.ports_of("tbo", side=Side.NEWCOMER)
        if port.name.endswith("-i") or port.flow is not Flow.OUT
    )


@rule(
    "oil-turbo-drain",
    over=drains_of_turbo,
    reads=("turbo_drain_bore", "turbo_drain_fall"),
)
def turbo_drains_freely(look: Look) -> Trip | None:
    """Bore [m] and fall [rad] of the drain, the one of the two ports that leads back."""
    name = look.assembly.ports[look.subject].name
    if not name.endswith("-i") and look.flow() is not Flow.IN:
        return None

    def narrow(look: Look) -> Trip | None:
        bore, least = look.amount("turbo_drain_bore"), look.limit("turbo_drain_least_bore")
        return look.trip_if(bore < least, what="inside width", found=bore, wanted=least)

    def flat(look: Look) -> Trip | None:
        fall, least = look.amount("turbo_drain_fall"), look.limit("turbo_drain_least_fall")
        return look.trip_if(fall < least, what="fall", found=fall, wanted=least)

    return either(look, narrow, flat)


# -- crankcase and gearbox ---------------------------------------------------


def engine_with_breather(assembly: Assembly) -> tuple[str, ...]:
    """The engine, when its crankcase has breather ports."""
    return the_engine(assembly) if assembly.ports_of("pcv", side=Side.NEWCOMER) else ()


@rule("pcv-blocked", over=engine_with_breather)
def crankcase_can_breathe(look: Look) -> Trip | None:
    """At least one breather of the crankcase leads somewhere."""
    ports = [port.id for port in look.assembly.ports_of("pcv", side=Side.NEWCOMER)]
    fates = {port: look.assembly.fate(port) for port in ports}
    if any(fate not in (*SEALED, FateWord.OPEN) for fate in fates.values()):
        return None
    for port in ports:
        if look.there(port):
            look.fate(port)
    return look.trip(also=tuple(ports), count=len(ports))


@rule("pcv-atmos", over=the_engine, reads=("breather_open_to_air", "closed_crankcase_certified"))
def closed_breathing_stays_closed(look: Look) -> Trip | None:
    """An open breather where the closed system was certified."""
    if not look.yes("breather_open_to_air"):
        return None
    return look.trip_if(look.yes("closed_crankcase_certified", look.assembly.build.id))


@rule("gearbox-oil", over=the_gearbox, reads=("gearbox_oil_planned",))
def gearbox_oil_is_known(look: Look) -> Trip | None:
    """Kind and volume of the gearbox's oil stand in the job list."""
    return look.trip_if(not look.yes("gearbox_oil_planned"))


RULES: tuple[Rule, ...] = (
    pressure_is_watched, oil_is_primed, cooler_ports_are_not_sealed, oil_hose_stands_its_work,
    sump_hangs_high, altered_sump_feeds_the_pickup, engine_sits_as_it_did,
    filter_is_the_right_one, filter_has_room, turbo_drains_freely, crankcase_can_breathe,
    closed_breathing_stays_closed, gearbox_oil_is_known,
)  # fmt: skip
