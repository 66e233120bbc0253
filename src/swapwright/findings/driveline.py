"""Rules on clutch, gearbox, shafts and the figures that follow from their ratios."""

from math import pi

from swapwright.findings.above_zero import above_zero, count_above_zero
from swapwright.findings.kit import (
    TOO_CLOSE,
    Look,
    Rule,
    Trip,
    either,
    joins_at,
    ports_in,
    rule,
    the_engine,
    the_gearbox,
)
from swapwright.model.amount import Amount, derived
from swapwright.model.values import ABSENT
from swapwright.model.words import FateWord, Side
from swapwright.quantity import Dimension

GEARS = ("ratio_6", "ratio_5", "ratio_4", "ratio_3")
FINAL = "final_drive_ratio"
ROLLING = "tyre_rolling_circumference"
UNUSED = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)
RELEASE = ("clutch_pad_travel", "clutch_pedal_ratio", "clutch_master_bore", "slave_bore")
NEW_CLUTCH = ports_in("clu", side=Side.NEWCOMER)


# -- ratios and speeds ---------------------------------------------------------


def final_drive_holder(look: Look) -> str:
    """Who carries the final drive: a gearbox with two outputs, unless it has none; else the car."""
    assembly = look.assembly
    outputs = [port for port in assembly.ports_of("out") if port.sheet == assembly.gearbox]
    if len(outputs) > 1 and look.said(FINAL, assembly.gearbox).content is not ABSENT:
        return assembly.gearbox
    return assembly.recipient


def top_ratio(look: Look, gearbox: str) -> Amount:
    """Ratio of the highest of the gears that the gearbox has."""
    for gear in GEARS[:-1]:
        if not look.absent(gear, gearbox):
            return look.amount(gear, gearbox)
    return look.amount(GEARS[-1], gearbox)


def turning(speed: float, circumference: float, ratio: float) -> float:
    """Rotational speed of what turns ``ratio`` times as fast as the driven wheels. [rad/s]

    Parameters
    ----------
    speed : float
        Road speed. [m/s]
    circumference : float
        Rolling circumference of the driven tyres. [m]
    ratio : float
        Final drive, or final drive times gear ratio.

    References
    ----------
    Rolling without slip (elementary kinematics).
    """
    return 2 * pi * speed / circumference * ratio


def shaft_speed(look: Look) -> Amount:
    """Speed of the shaft to the axle or wheels at the car's top speed. [rad/s]"""
    car, holder = look.assembly.recipient, final_drive_holder(look)
    road = (look.amount("top_speed", car), above_zero(look, ROLLING, car))
    if holder == look.assembly.gearbox:
        return derived(lambda v, c: turning(v, c, 1), road, Dimension.ROTATIONAL_SPEED)
    return derived(turning, (*road, above_zero(look, FINAL, holder)), Dimension.ROTATIONAL_SPEED)


@rule(
    "dl-cruise",
    over=the_gearbox,
    reads=(*GEARS, FINAL, ROLLING, "top_speed", "tyre_speed_limit"),
)
def cruising_speed_suits(look: Look) -> Trip | None:
    """Engine speed at a steady road speed in top gear, and the tyres' limit. [rad/s, m/s]"""
    return either(look, _engine_speed_at_cruise, _tyres_stand_top_speed)


def _engine_speed_at_cruise(look: Look) -> Trip | None:
    inputs = (
        look.limit("cruise_speed"),
        above_zero(look, ROLLING, look.assembly.recipient),
        above_zero(look, FINAL, final_drive_holder(look)),
        top_ratio(look, look.subject),
    )
    engine = derived(
        lambda v, c, final, top: turning(v, c, final * top), inputs, Dimension.ROTATIONAL_SPEED
    )
    least, most = look.limit("cruise_engine_speed_least"), look.limit("cruise_engine_speed_most")
    what = "engine speed at cruise in top gear"
    slow = look.trip_if(engine < least, what=what, found=engine, wanted=least)
    return slow or look.trip_if(engine > most, what=what, found=engine, wanted=most)


def _tyres_stand_top_speed(look: Look) -> Trip | None:
    car = look.assembly.recipient
    top, rated = look.amount("top_speed", car), look.amount("tyre_speed_limit", car)
    what = "top speed, beyond the tyres' rating,"
    return look.trip_if(top > rated, what=what, found=top, wanted=rated)


def indicated_ratio(circumference: float, turns: float, final: float, gear: float) -> float:
    """Speed shown over true speed of a cable-driven speedometer. [1]

    Parameters
    ----------
    circumference : float
        Rolling circumference of the driven tyres. [m]
    turns : float
        Cable turns that the head takes for a distance. [1/m]
    final : float
        Final drive ratio.
    gear : float
        Worm teeth over driven gear teeth.

    References
    ----------
    Turns counted along the drive (elementary kinematics); the head shows the
    distance for which it takes the turns it gets.
    """
    return final * gear / circumference / turns


def most_shown(true: float, share: float, offset: float) -> float:
    """Highest speed that may be shown at a true speed. [m/s]

    Parameters
    ----------
    true : float
        [m/s]
    share, offset : float
        Allowed: ``0 <= shown - true <= share true + offset``. [1, m/s]

    References
    ----------
    UN Regulation No 39, clause 5.3: share 0.1, offset 4 km/h.
    """
    return true + share * true + offset


@rule(
    "dl-speedo",
    over=ports_in("spd", side=Side.NEWCOMER),
    reads=(
        "speedometer_worm_teeth", "driven_gear_teeth", "speedometer_turns", FINAL, ROLLING,
        "speedometer_shown",
    ),
)  # fmt: skip
def speedometer_does_not_underread(look: Look) -> Trip | None:
    """Speed shown at a true speed against the law of UN Regulation No 39. [m/s]"""
    true, shown = _speed_shown(look)
    law = (true, look.limit("speedometer_share"), look.limit("speedometer_offset"))
    most = derived(most_shown, law, Dimension.SPEED)
    outside = (shown < true) | (shown > most)
    return look.trip_if(outside, true=true, shown=shown, most=most, ratio=shown / true)


def _speed_shown(look: Look) -> tuple[Amount, Amount]:
    """True speed and what is shown: by the teeth of a cable drive, else as read on the road.

    By teeth the highest test speed is the hardest: too low is so at any speed.
    """
    car, box = look.assembly.recipient, look.assembly.ports[look.subject].sheet
    teeth = ("speedometer_worm_teeth", "driven_gear_teeth")
    if look.fate() in UNUSED or any(look.absent(name, box) for name in teeth):
        return look.limit("speedometer_road_speed"), look.amount("speedometer_shown", car)
    worm = count_above_zero(look, "speedometer_worm_teeth", box)
    gear = worm / count_above_zero(look, "driven_gear_teeth", box)
    true = look.limit("speedometer_test_speed")
    inputs = (
        above_zero(look, ROLLING, car),
        above_zero(look, "speedometer_turns", car),
        above_zero(look, FINAL, final_drive_holder(look)),
    )
    shown = derived(
        lambda c, turns, i: true.nominal * indicated_ratio(c, turns, i, gear),
        inputs,
        Dimension.SPEED,
    )
    return true, shown


# -- torque --------------------------------------------------------------------


@rule("dl-box-torque", over=the_gearbox, reads=("rated_torque", "input_torque_limit"))
def gearbox_stands_the_torque(look: Look) -> Trip | None:
    """Torque of the engine against what the gearbox may take. [N·m]"""
    if not look.assembly.engine:
        return None
    torque = look.amount("rated_torque", look.assembly.engine)
    limit = look.amount("input_torque_limit")
    return look.trip_if(torque > limit, torque=torque, limit=limit)


@rule("dl-clutch-cap", over=the_gearbox, reads=("clutch_torque_capacity", "rated_torque"))
def clutch_holds_the_torque(look: Look) -> Trip | None:
    """Torque the clutch carries against that of the engine with its reserve. [N·m]"""
    if not look.assembly.engine:
        return None
    capacity = look.amount("clutch_torque_capacity")
    factor = look.factor("clutch_reserve")
    needed = factor * look.amount("rated_torque", look.assembly.engine)
    return look.trip_if(capacity < needed, capacity=capacity, needed=needed)


def shaft_torque(torque: float, ratio: float, shafts: float) -> float:
    """Torque in one of ``shafts`` equal shafts behind a ratio, without losses. [N·m]

    References
    ----------
    Torque times ratio (elementary mechanics), shared evenly by an open differential.
    """
    return torque * ratio / shafts


@rule(
    "dl-shaft-rating",
    over=joins_at("out"),
    reads=("rated_torque", "ratio_1", FINAL, "axle_torque_limit", "shaft_torque_limit"),
)
def shafts_stand_first_gear(look: Look) -> Trip | None:
    """Torque of first gear against the ratings of axle and shaft. [N·m]"""
    if not look.assembly.engine or not look.assembly.gearbox:
        return None
    return either(look, _axle_torque, _shaft_torque)


def _axle_torque(look: Look) -> Trip | None:
    holder = final_drive_holder(look)
    if holder == look.assembly.gearbox:
        return None
    inputs = (*_first_gear(look), above_zero(look, FINAL, holder))
    found = derived(lambda t, gear, i: shaft_torque(t, gear * i, 1), inputs, Dimension.TORQUE)
    limit = look.amount("axle_torque_limit", look.assembly.recipient)
    return look.trip_if(found > limit, what="axle", found=found, limit=limit)


def _shaft_torque(look: Look) -> Trip | None:
    holder, torques = final_drive_holder(look), _first_gear(look)
    if holder == look.assembly.gearbox:
        inputs = (*torques, above_zero(look, FINAL, holder))
        found = derived(lambda t, gear, i: shaft_torque(t, gear * i, 2), inputs, Dimension.TORQUE)
    else:
        found = derived(lambda t, gear: shaft_torque(t, gear, 1), torques, Dimension.TORQUE)
    limit = look.amount("shaft_torque_limit")
    return look.trip_if(found > limit, what="shaft", found=found, limit=limit)


def _first_gear(look: Look) -> tuple[Amount, Amount]:
    engine = look.amount("rated_torque", look.assembly.engine)
    return engine, look.amount("ratio_1", look.assembly.gearbox)


# -- clutch release ------------------------------------------------------------


def release_travel(pad_travel: float, pedal_ratio: float, master: float, slave: float) -> float:
    """Travel of the clutch slave. [m]

    Parameters
    ----------
    pad_travel : float
        Of the pedal's pad. [m]
    pedal_ratio : float
        Pivot to pad over pivot to push rod.
    master, slave : float
        Bores. [m]

    References
    ----------
    Equal volumes moved in master and slave (incompressible fluid); play and hose
    swell left out, so that the true travel is a little less.
    """
    return pad_travel / pedal_ratio * (master / slave) ** 2


def _release(look: Look) -> Amount:
    """Of a cable, one that stretches nothing: both bores are absent then."""
    car, box = look.assembly.recipient, look.assembly.ports[look.subject].sheet
    pedal = (look.amount("clutch_pad_travel", car), above_zero(look, "clutch_pedal_ratio", car))
    if look.absent("clutch_master_bore", car):
        return derived(lambda pad, ratio: release_travel(pad, ratio, 1, 1), pedal, Dimension.LENGTH)
    bores = (above_zero(look, "clutch_master_bore", car), above_zero(look, "slave_bore", box))
    return derived(release_travel, (*pedal, *bores), Dimension.LENGTH)


@rule("dl-rel-short", over=NEW_CLUTCH, reads=(*RELEASE, "slave_travel_least"))
def clutch_frees(look: Look) -> Trip | None:
    """Travel at the slave against the least that frees the clutch. [m]"""
    if look.fate() is not FateWord.JOINED:
        return None
    travel = _release(look)
    least = look.amount("slave_travel_least", look.assembly.ports[look.subject].sheet)
    return look.trip_if(travel < least, travel=travel, least=least)


@rule("dl-rel-long", over=NEW_CLUTCH, reads=(*RELEASE, "slave_travel_most", "clutch_pedal_stop"))
def clutch_is_not_overpushed(look: Look) -> Trip | None:
    """Travel at the slave against the most that bearing and slave take. [m]"""
    if look.fate() is not FateWord.JOINED:
        return None
    travel = _release(look)
    most = look.amount("slave_travel_most", look.assembly.ports[look.subject].sheet)
    if (travel > most).p <= TOO_CLOSE or look.yes("clutch_pedal_stop", look.assembly.recipient):
        return None
    return look.trip_if(travel > most, travel=travel, most=most)


# -- bell, starter, gearbox in the car -------------------------------------------


@rule("dl-dowel", over=ports_in("bell", side=Side.NEWCOMER), reads=("bell_dowels", "bell_runout"))
def bell_is_centred(look: Look) -> Trip | None:
    """Dowels of the bell face, and its runout to the crank where it was parted. [m]"""
    fate, most = look.fate(), look.limit("bell_runout")

    def no_dowels(look: Look) -> Trip | None:
        none, what = not look.yes("bell_dowels"), "no pair"
        return look.trip_if(none, what=what, found="of dowels", most=most)

    def off_centre(look: Look) -> Trip | None:
        if fate is FateWord.KEPT:
            return None
        runout = look.amount("bell_runout")
        return look.trip_if(runout > most, what="runout", found=runout, most=most)

    return either(look, no_dowels, off_centre)


@rule("dl-starter-mesh", over=the_engine, reads=("starter_is_one_set", "starter_meshes"))
def starter_meshes_with_ring(look: Look) -> Trip | None:
    """Starter, ring gear and bell are a set, or were tried together."""
    if look.yes("starter_is_one_set"):
        return None
    return look.trip_if(not look.yes("starter_meshes"))


@rule("dl-direction", over=the_gearbox, reads=("gearbox_turned_round", "drives_forward"))
def wheels_turn_forward(look: Look) -> Trip | None:
    """A gearbox that was turned round still drives forward in first gear."""
    if not look.yes("gearbox_turned_round"):
        return None
    return look.trip_if(not look.yes("drives_forward"))


@rule("dl-shift-seal", over=ports_in("shift", side=Side.CAR), reads=("floor_opening_sealed",))
def floor_is_sealed(look: Look) -> Trip | None:
    """Every opening for the gear lever is closed against gases from below."""
    return look.trip_if(not look.yes("floor_opening_sealed"))


RULES: tuple[Rule, ...] = (
    cruising_speed_suits,
    speedometer_does_not_underread,
    gearbox_stands_the_torque,
    clutch_holds_the_torque,
    shafts_stand_first_gear,
    clutch_frees,
    clutch_is_not_overpushed,
    bell_is_centred,
    starter_meshes_with_ring,
    wheels_turn_forward,
    floor_is_sealed,
)
