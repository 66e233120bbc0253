"""Rules on intake air, vacuum and the help that brakes take from it."""

from swapwright.findings.above_zero import above_zero
from swapwright.findings.kit import TOO_CLOSE, Look, Rule, Trip, either, ports_in, rule, the_car
from swapwright.model.amount import Amount, derived
from swapwright.model.words import FateWord, Side
from swapwright.quantity import Dimension

PUMPS = ("engine-driven pump", "electric pump")
NEW_VACUUM_STUBS = ("servo", "rref", "hvac", "crz", "dadv", "map", "purge")
SHUT = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)


# -- the brake servo -----------------------------------------------------------


@rule(
    "servo-source",
    over=ports_in("servo", side=Side.CAR),
    reads=("servo_supply", "behind_throttle", "stub_bore"),
)
def servo_has_a_plenum_port(look: Look) -> Trip | None:
    """Where the servo takes its vacuum, and the bore of that stub. [m]"""
    needed = look.limit("servo_stub_bore")
    supply = look.choice("servo_supply")
    if supply in PUMPS:
        return None
    fed = supply == "plenum" and look.fate() is FateWord.JOINED
    partner = look.assembly.partner(look.subject) if fed else None
    if partner is None:
        return look.trip(source="nothing", found="no vacuum at all", needed=needed)
    source = look.assembly.label(partner.owner)

    def before_throttle(look: Look) -> Trip | None:
        wrong, found = not look.yes("behind_throttle", partner.id), "not behind the butterfly"
        return look.trip_if(wrong, source=source, found=found, needed=needed)

    def narrow(look: Look) -> Trip | None:
        bore = look.amount("stub_bore", partner.id)
        return look.trip_if(bore < needed, source=source, found=bore, needed=needed)

    return either(look, before_throttle, narrow)


@rule("servo-check", over=ports_in("servo", side=Side.CAR), reads=("check_valve",))
def servo_keeps_its_reserve(look: Look) -> Trip | None:
    """A one-way valve that lets air pass toward the engine only."""
    if look.fate() in SHUT:
        return None
    valve = look.choice("check_valve")
    found = "none" if valve == "absent" else valve
    return look.trip_if(found != "flows to the engine", found=found)


@rule(
    "servo-vac-low",
    over=ports_in("servo", side=Side.CAR),
    reads=("servo_supply", "idle_vacuum", "ambient_pressure", "servo_vacuum_recovered"),
)
def servo_has_vacuum_enough(look: Look) -> Trip | None:
    """Vacuum at idle, and after one brake application, below the least that helps. [Pa]"""
    return either(look, _idle_vacuum, _recovered_vacuum)


def _idle_vacuum(look: Look) -> Trip | None:
    if look.choice("servo_supply") != "plenum" or not look.assembly.engine:
        return None
    idle = look.amount("idle_vacuum", look.assembly.engine)
    sea_level = look.limit("servo_idle_vacuum")
    if (idle < sea_level).p <= TOO_CLOSE:
        return None
    needed = _scaled(sea_level, look)
    return look.trip_if(idle < needed, what="vacuum at idle", found=idle, needed=needed)


def _recovered_vacuum(look: Look) -> Trip | None:
    recovered = look.amount("servo_vacuum_recovered")
    sea_level = look.limit("servo_recovered_vacuum")
    if (recovered < sea_level).p <= TOO_CLOSE:
        return None
    needed, what = _scaled(sea_level, look), "vacuum after a brake application"
    return look.trip_if(recovered < needed, what=what, found=recovered, needed=needed)


def _scaled(sea_level: Amount, look: Look) -> Amount:
    standard, here = (
        look.limit("standard_air_pressure"),
        look.amount("ambient_pressure", look.assembly.build.id),
    )
    return derived(vacuum_at_altitude, (sea_level, here, standard), Dimension.PRESSURE)


def vacuum_at_altitude(vacuum: float, ambient: float, standard: float) -> float:
    """Vacuum asked for where the air is thinner: the same share of the pressure outside. [Pa]

    Parameters
    ----------
    vacuum : float
        Asked for at sea level, as a plain figure below the air outside. [Pa]
    ambient, standard : float
        Absolute pressure of the air here, and at sea level. [Pa]

    References
    ----------
    Common practice: a servo's force is proportional to the pressure difference
    it works with, which a thinner atmosphere cuts in proportion.
    """
    return vacuum * ambient / standard


@rule("servo-tee", over=ports_in("servo", side=Side.CAR), reads=("teed_after_check_valve",))
def servo_hose_is_its_own(look: Look) -> Trip | None:
    """Nothing else draws between the one-way valve and the servo."""
    if look.fate() in SHUT:
        return None
    return look.trip_if(look.yes("teed_after_check_valve"))


@rule("servo-hold", over=ports_in("servo", side=Side.CAR), reads=("servo_vacuum_loss",))
def servo_holds_vacuum(look: Look) -> Trip | None:
    """Vacuum lost in the hold test. [Pa]"""
    loss, most = look.amount("servo_vacuum_loss"), look.limit("servo_vacuum_loss")
    return look.trip_if(loss > most, loss=loss, most=most, time=look.limit("servo_hold_time"))


# -- brakes --------------------------------------------------------------------


@rule(
    "brake-power",
    over=the_car,
    reads=("original_engine_power", "rated_power", "brake_evidence"),
)
def brakes_match_the_power(look: Look) -> Trip | None:
    """Power of the newcomer over that of the old engine, with no evidence on brakes. [1]"""
    if not look.assembly.engine:
        return None
    new = above_zero(look, "rated_power", look.assembly.engine)
    share, most = new / above_zero(look, "original_engine_power"), look.limit("brake_power_ratio")
    if (share > most).p <= TOO_CLOSE or look.yes("brake_evidence", look.assembly.build.id):
        return None
    return look.trip_if(share > most, share=share, most=most)


@rule("brake-heat", over=the_car, reads=("brake_gap_to_manifold", "brake_heat_shield"))
def brakes_stay_cool(look: Look) -> Trip | None:
    """Gap from brake pipes and master to the manifold, unless shielded. [m]"""
    gap, least = look.amount("brake_gap_to_manifold"), look.limit("brake_gap_to_manifold")
    if (gap < least).p <= TOO_CLOSE or look.yes("brake_heat_shield"):
        return None
    return look.trip_if(gap < least, gap=gap, least=least)


@rule("brake-pedal-foul", over=the_car, reads=("brake_pedal_sweep_free",))
def brake_pedal_sweep_is_free(look: Look) -> Trip | None:
    """Nothing in the way of the brake pedal, its rod and lever."""
    return look.trip_if(not look.yes("brake_pedal_sweep_free"))


# -- vacuum --------------------------------------------------------------------


@rule("vac-open", over=ports_in(*NEW_VACUUM_STUBS, side=Side.NEWCOMER), reads=("cap_clamped",))
def vacuum_stub_is_tight(look: Look) -> Trip | None:
    """A capped stub of the inlet has a cap that is clamped."""
    if look.fate() not in (FateWord.CAPPED, FateWord.PARKED):
        return None
    return look.trip_if(not look.yes("cap_clamped"))


@rule("vac-user-dry", over=ports_in("hvac", "crz", side=Side.CAR), reads=("user_given_up",))
def vacuum_user_is_fed(look: Look) -> Trip | None:
    """A vacuum user of the car is fed, or given up on purpose."""
    fate = look.fate()
    if fate not in SHUT or look.yes("user_given_up"):
        return None
    return look.trip(fate=fate)


@rule(
    "vac-reg-ref",
    over=ports_in("rref", side=Side.NEWCOMER),
    reads=("behind_throttle", "regulator_near_tank"),
)
def fuel_regulator_sees_the_plenum(look: Look) -> Trip | None:
    """The reference hose of the fuel regulator ends behind the butterfly."""
    fate, partner = look.fate(), look.assembly.partner(look.subject)
    if fate in (FateWord.CAPPED, FateWord.PARKED):
        blanked = look.said("regulator_near_tank", look.assembly.ports[look.subject].sheet)
        return look.trip_if(blanked.content is not True, found=f"is {fate}")
    if partner is None or look.yes("behind_throttle", partner.id):
        return None
    return look.trip(found=f"ends at {partner.label}, which is not behind the butterfly")


@rule(
    "vac-map-share",
    over=ports_in("map", side=Side.NEWCOMER),
    reads=("shared_hose", "route_length"),
)
def pressure_sensor_has_its_own_hose(look: Look) -> Trip | None:
    """Hose of the intake pressure sensor: shared, or too long. [m]"""
    look.fate()
    join, most = look.assembly.join_of.get(look.subject), look.limit("pressure_sensor_hose")
    if join is None:
        return None

    def shared(look: Look) -> Trip | None:
        found = "shared with another user"
        return look.trip_if(look.yes("shared_hose", join.id), found=found, most=most)

    def too_long(look: Look) -> Trip | None:
        length = look.amount("route_length", join.id)
        return look.trip_if(length > most, found=length, most=most)

    return either(look, shared, too_long)


# -- intake air ----------------------------------------------------------------


@rule(
    "air-unmetered",
    over=ports_in("idle", "pcv", side=Side.NEWCOMER),
    reads=("has_air_meter", "air_from_behind_meter"),
)
def air_passes_the_meter(look: Look) -> Trip | None:
    """What joins the inlet behind the air meter draws air that was metered."""
    if look.fate() not in (FateWord.JOINED, FateWord.RELOCATED):
        return None
    if look.assembly.engine and not look.yes("has_air_meter", look.assembly.engine):
        return None
    if look.absent("air_from_behind_meter"):
        return None
    return look.trip_if(not look.yes("air_from_behind_meter"))


@rule("air-idle-block", over=ports_in("idle", side=Side.NEWCOMER))
def idle_air_has_a_way(look: Look) -> Trip | None:
    """The idle valve gets air."""
    fate = look.fate()
    return look.trip_if(fate in SHUT, fate=fate)


@rule(
    "air-hot",
    over=ports_in("duct", side=Side.NEWCOMER),
    reads=("mouth_behind_radiator", "intake_air_rise"),
)
def intake_air_is_cool(look: Look) -> Trip | None:
    """Air at the intake mouth over the air outside. [K]"""
    if not look.yes("mouth_behind_radiator"):
        return None
    rise, most = look.amount("intake_air_rise"), look.limit("intake_air_rise")
    return look.trip_if(rise > most, rise=rise, most=most)


@rule(
    "air-water",
    over=ports_in("duct", side=Side.NEWCOMER),
    reads=("mouth_height", "mouth_in_splash"),
)
def intake_stays_dry(look: Look) -> Trip | None:
    """Height of the intake mouth over the ground, and what the wheels throw. [m]"""
    least = look.limit("mouth_height")

    def low(look: Look) -> Trip | None:
        height = look.amount("mouth_height")
        return look.trip_if(height < least, found=height, least=least)

    def splashed(look: Look) -> Trip | None:
        found = "in the splash of a wheel"
        return look.trip_if(look.yes("mouth_in_splash"), found=found, least=least)

    return either(look, low, splashed)


@rule("air-nofilter", over=ports_in("duct", "idle", "pcv", side=Side.NEWCOMER), reads=("filtered",))
def air_is_filtered(look: Look) -> Trip | None:
    """Every way that air gets in has a filter."""
    fate, family = look.fate(), look.assembly.ports[look.subject].family
    own_hose = fate is FateWord.KEPT and family is not None and family.id != "duct"
    if own_hose or fate in SHUT:
        return None
    return look.trip_if(not look.yes("filtered"))


@rule(
    "air-duct",
    over=ports_in("duct", side=Side.NEWCOMER),
    reads=("duct_bore", "throttle_bore", "duct_flat"),
)
def duct_is_wide_enough(look: Look) -> Trip | None:
    """Area of the air duct over that of the throttle, or a hose pressed flat. [1]"""
    least = look.limit("duct_area_ratio")

    def narrow(look: Look) -> Trip | None:
        if not look.assembly.engine:
            return None
        bores = (look.amount("duct_bore"), above_zero(look, "throttle_bore", look.assembly.engine))
        share = derived(lambda duct, throttle: (duct / throttle) ** 2, bores, Dimension.RATIO)
        return look.trip_if(share < least, found=share, least=least)

    def flat(look: Look) -> Trip | None:
        return look.trip_if(look.yes("duct_flat"), found="a hose pressed flat", least=least)

    return either(look, narrow, flat)


RULES: tuple[Rule, ...] = (
    servo_has_a_plenum_port,
    servo_keeps_its_reserve,
    servo_has_vacuum_enough,
    servo_hose_is_its_own,
    servo_holds_vacuum,
    brakes_match_the_power,
    brakes_stay_cool,
    brake_pedal_sweep_is_free,
    vacuum_stub_is_tight,
    vacuum_user_is_fed,
    fuel_regulator_sees_the_plenum,
    pressure_sensor_has_its_own_hose,
    air_passes_the_meter,
    idle_air_has_a_way,
    intake_air_is_cool,
    intake_stays_dry,
    air_is_filtered,
    duct_is_wide_enough,
)
