"""Rules on the throttle, its pedal and what pulls between them."""

from swapwright.findings.above_zero import above_zero
from swapwright.findings.coolant import percent
from swapwright.findings.kit import (
    TOO_CLOSE,
    Look,
    Rule,
    Trip,
    either,
    joins_at,
    ports_in,
    rule,
    the_car,
)
from swapwright.model.amount import Amount, derived
from swapwright.model.words import FateWord, Side, Urgency
from swapwright.quantity import Dimension

PEDAL = ("throttle_pad_travel", "throttle_cable_arm", "throttle_pad_radius", "cable_travel")


NEW_THROTTLE = ports_in("thr", side=Side.NEWCOMER)


@rule("thr-no-return", over=NEW_THROTTLE, reads=("throttle_closing_time", "return_elements"))
def throttle_shuts_by_itself(look: Look) -> Trip | None:
    """Time the throttle takes to shut, and how many springs pull it. [s]"""
    if look.fate() is FateWord.REMOVED:
        return None
    most, wanted = look.limit("throttle_closing_time"), look.limit("throttle_return_elements")

    def slow(look: Look) -> Trip | None:
        time = look.amount("throttle_closing_time")
        return look.trip_if(time > most, found=time, most=most, wanted=wanted)

    def few(look: Look) -> Trip | None:
        springs = look.count("return_elements")
        found = f"springs: {springs}"
        return look.trip_if(springs < wanted.nominal, found=found, most=most, wanted=wanted)

    return either(look, slow, few)


def cable_pull(pad_travel: float, cable_arm: float, pad_radius: float) -> float:
    """How far a pedal pulls its cable: small-angle lever law. [m]

    Parameters
    ----------
    pad_travel, cable_arm, pad_radius : float
        Travel of the pad; pivot to cable; pivot to pad. [m]

    References
    ----------
    Law of the lever (elementary statics); both ends turn through one angle.
    """
    return pad_travel * cable_arm / pad_radius


def _pull(look: Look) -> Amount:
    names = ("throttle_pad_travel", "throttle_cable_arm", "throttle_pad_radius")
    pedal = tuple(above_zero(look, name, look.assembly.recipient) for name in names)
    return derived(cable_pull, pedal, Dimension.LENGTH)


@rule("thr-overtravel", over=NEW_THROTTLE, reads=(*PEDAL, "throttle_pedal_stop"))
def pedal_does_not_overpull(look: Look) -> Trip | None:
    """Cable pulled by the pedal against the travel of the spool. [m]"""
    if look.fate() is not FateWord.JOINED:
        return None
    pull, travel = _pull(look), above_zero(look, "cable_travel")
    if (pull > travel).p <= TOO_CLOSE or look.yes("throttle_pedal_stop", look.assembly.recipient):
        return None
    return look.trip_if(pull > travel, pull=pull, travel=travel)


@rule("thr-undertravel", over=NEW_THROTTLE, reads=PEDAL)
def pedal_opens_the_throttle(look: Look) -> Trip | None:
    """Share of the spool's travel that the pedal pulls. [1]"""
    if look.fate() is not FateWord.JOINED:
        return None
    share, least = _pull(look) / above_zero(look, "cable_travel"), look.limit("throttle_opening")
    return look.trip_if(share < least, share=percent(share), least=percent(least))


@rule("thr-bend", over=joins_at("thr"), reads=("tightest_bend", "bend_total", "cable_core"))
def throttle_cable_runs_easy(look: Look) -> Trip | None:
    """Tightest bend and sum of bends of the cable; radius in core diameters. [m, rad]"""
    return either(look, _tight_bend, _many_bends, _stiff_bend)


def _tight_bend(look: Look) -> Trip | None:
    radius, least = look.amount("tightest_bend"), look.limit("throttle_bend_radius")
    return look.trip_if(radius < least, what="tightest bend", found=radius, wanted=least)


def _many_bends(look: Look) -> Trip | None:
    total, most = look.amount("bend_total"), look.limit("throttle_bend_total")
    return look.trip_if(total > most, what="all bends together", found=total, wanted=most)


def _stiff_bend(look: Look) -> Trip | None:
    radius = look.amount("tightest_bend")
    easy = look.factor("throttle_bend_per_core") * look.amount("cable_core")
    what = "tightest bend for this thickness of cable"
    return look.trip_if(radius < easy, urgency=Urgency.FIX, what=what, found=radius, wanted=easy)


@rule("thr-rock", over=NEW_THROTTLE, reads=("throttle_turn_on_rock",))
def engine_rock_leaves_throttle_alone(look: Look) -> Trip | None:
    """Turn of the throttle when the engine is rocked. [rad]"""
    if look.fate() is not FateWord.JOINED:
        return None
    turn, most = look.amount("throttle_turn_on_rock"), look.limit("throttle_turn_on_rock")
    return look.trip_if(turn > most, turn=turn, most=most, rock=look.limit("engine_rock"))


@rule("thr-heat", over=joins_at("thr"), reads=("gap_to_exhaust", "heat_shield"))
def throttle_cable_stays_cool(look: Look) -> Trip | None:
    """Gap from the cable to the exhaust, unless shielded. [m]"""
    gap, least = look.amount("gap_to_exhaust"), look.limit("throttle_gap_to_exhaust")
    if (gap < least).p <= TOO_CLOSE or look.yes("heat_shield"):
        return None
    return look.trip_if(gap < least, gap=gap, least=least)


@rule("thr-cruise", over=NEW_THROTTLE, reads=("cruise_actuator_attached", "cruise_cut_by"))
def cruise_control_lets_go(look: Look) -> Trip | None:
    """An actuator on the throttle is cut by every pedal."""
    if not look.yes("cruise_actuator_attached"):
        return None
    cut = look.choice("cruise_cut_by", look.assembly.build.id)
    return look.trip_if(cut != "every pedal", cut="nothing" if cut == "absent" else cut)


@rule(
    "thr-dbw-set",
    over=ports_in("ped", side=Side.NEWCOMER),
    reads=("pedal_matches_computer", "brake_switch_wired"),
)
def electronic_throttle_is_one_set(look: Look) -> Trip | None:
    """Pedal, engine computer and brake switch of an electronic throttle belong together."""
    if look.fate() is FateWord.REMOVED:
        return None
    return either(look, _no_set, _no_brake_switch)


def _no_set(look: Look) -> Trip | None:
    found = "pedal, throttle and engine computer are no matched set"
    return look.trip_if(not look.yes("pedal_matches_computer"), found=found)


def _no_brake_switch(look: Look) -> Trip | None:
    found = "the brake switch does not reach the engine computer"
    return look.trip_if(not look.yes("brake_switch_wired"), found=found)


@rule("thr-pedal-mat", over=the_car, reads=("throttle_pedal_free",))
def throttle_pedal_is_free(look: Look) -> Trip | None:
    """The throttle pedal is clear of mat, tunnel and other pedals."""
    return look.trip_if(not look.yes("throttle_pedal_free"))


@rule("thr-friction", over=joins_at("thr"), reads=("casing_held",))
def cable_casing_is_held(look: Look) -> Trip | None:
    """The casing of the cable is fixed at both ends."""
    if look.absent("casing_held"):
        return None
    return look.trip_if(not look.yes("casing_held"))


RULES: tuple[Rule, ...] = (
    throttle_shuts_by_itself,
    pedal_does_not_overpull,
    pedal_opens_the_throttle,
    throttle_cable_runs_easy,
    engine_rock_leaves_throttle_alone,
    throttle_cable_stays_cool,
    cruise_control_lets_go,
    electronic_throttle_is_one_set,
    throttle_pedal_is_free,
    cable_casing_is_held,
)
