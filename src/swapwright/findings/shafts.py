"""Rules on propeller shafts and half-shafts: angles, lengths, speed and room."""

from itertools import pairwise
from math import hypot, pi, sqrt

from swapwright.findings.above_zero import above_zero
from swapwright.findings.driveline import FINAL, ROLLING, shaft_speed
from swapwright.findings.kit import Look, Rule, Trip, either, joins_at, rule
from swapwright.model.amount import Amount, derived
from swapwright.model.words import Urgency
from swapwright.quantity import Dimension

SHAFTS = joins_at("out")
ANGLES = ("joint_angle_front", "joint_angle_rear")
TABLE = range(1, 6)  # rows of the table of largest joint angles, by falling shaft speed
YOUNG = 210e9  # Pa, steel; aluminium's E/ρ gives the same speed within 0.1 %
DENSITY = 7850.0  # kg/m³, steel


def _universal(look: Look) -> bool:
    return look.choice("joint_kind") == "universal joints"


def _constant_velocity(look: Look) -> bool:
    return look.choice("joint_kind") == "constant velocity joints"


def _angles(look: Look) -> tuple[Amount, Amount]:
    return look.amount("joint_angle_front"), look.amount("joint_angle_rear")


def _worse(first: Amount, second: Amount) -> Amount:
    return max(first, second, key=lambda each: each.nominal)


# -- angles of universal joints --------------------------------------------------


@rule("dl-angle-3", over=SHAFTS, reads=("joint_kind", *ANGLES))
def joint_angles_are_small(look: Look) -> Trip | None:
    """Greater working angle of the two joints at ride height. [rad]"""
    if not _universal(look):
        return None
    angle, most = _worse(*_angles(look)), look.limit("joint_angle_smooth")
    return look.trip_if(angle > most, angle=angle, most=most)


def largest_joint_angle(speed: float, table: tuple[tuple[float, float], ...]) -> float:
    """Largest working angle of a universal joint at a shaft speed. [rad]

    Parameters
    ----------
    speed : float
        Of the shaft. [rad/s]
    table : tuple of (speed, angle)
        By falling speed. [rad/s, rad]

    Returns
    -------
    angle : float
        Between rows on a straight line; above the table by the law behind it
        (speed times angle stays the same), below it the last row's.

    References
    ----------
    Joint supplier's guide to operating angles (limit by shaft speed).
    """
    top_speed, top_angle = table[0]
    if speed >= top_speed:
        return top_angle * top_speed / speed
    for (high, small), (low, large) in pairwise(table):
        if speed >= low:
            return large + (small - large) * (speed - low) / (high - low)
    return table[-1][1]


@rule("dl-angle-rpm", over=SHAFTS, reads=("joint_kind", *ANGLES, "top_speed", ROLLING, FINAL))
def joint_angles_suit_the_speed(look: Look) -> Trip | None:
    """Greater working angle against the largest for the shaft's top speed. [rad]"""
    if not _universal(look):
        return None
    angle, speed = _worse(*_angles(look)), shaft_speed(look)
    rows = tuple(
        (look.factor(f"joint_table_{i}_speed"), look.factor(f"joint_table_{i}_angle"))
        for i in TABLE
    )
    most = derived(lambda turning: largest_joint_angle(turning, rows), (speed,), Dimension.ANGLE)
    return look.trip_if(angle > most, angle=angle, most=most, speed=speed)


@rule("dl-angle-min", over=SHAFTS, reads=("joint_kind", *ANGLES))
def joint_needles_move(look: Look) -> Trip | None:
    """Smaller working angle of the two joints. [rad]"""
    if not _universal(look):
        return None
    front, rear = _angles(look)
    angle, least = min(front, rear, key=lambda each: each.nominal), look.limit("joint_angle_least")
    return look.trip_if(angle < least, angle=angle, least=least)


@rule("dl-angle-diff", over=SHAFTS, reads=("joint_kind", *ANGLES))
def joint_angles_are_alike(look: Look) -> Trip | None:
    """Difference of the two working angles. [rad]"""
    if not _universal(look):
        return None
    front, rear = _angles(look)
    most = look.limit("joint_angle_difference")
    apart = front - rear if front.nominal > rear.nominal else rear - front
    return look.trip_if(apart > most, front=front, rear=rear, most=most)


@rule("dl-phase", over=SHAFTS, reads=("joint_kind", "yokes_in_phase"))
def yokes_are_in_phase(look: Look) -> Trip | None:
    """The yokes on the shaft lie in one plane."""
    if not _universal(look):
        return None
    return look.trip_if(not look.yes("yokes_in_phase"))


# -- the shaft itself ------------------------------------------------------------


def critical_speed(length: float, outside: float, wall: float) -> float:
    """First bending speed of a steel tube between two joints. [rad/s]

    Parameters
    ----------
    length : float
        Joint to joint, of the longest section. [m]
    outside, wall : float
        Of the tube. [m]

    Returns
    -------
    speed : float
        ``(π/L)² √(E (D² + d²) / (16 ρ))``

    References
    ----------
    Euler-Bernoulli beam on two pins (textbook), as in published walkthroughs
    on the critical speed of propeller shafts.
    """
    bore = outside - 2 * wall
    return (pi / length) ** 2 * sqrt(YOUNG / DENSITY) * hypot(outside, bore) / 4


@rule(
    "dl-critical",
    over=SHAFTS,
    reads=(
        "joint_kind",
        "shaft_length", "shaft_tube_outside", "shaft_tube_wall", "top_speed", ROLLING, FINAL,
    ),
)  # fmt: skip
def shaft_does_not_whip(look: Look) -> Trip | None:
    """Top speed of the shaft against a share of its first bending speed. [rad/s]"""
    if _constant_velocity(look):
        return None
    names = ("shaft_length", "shaft_tube_outside", "shaft_tube_wall")
    tube = tuple(above_zero(look, name) for name in names)
    most = look.factor("shaft_speed_share") * derived(
        critical_speed, tube, Dimension.ROTATIONAL_SPEED
    )
    speed = shaft_speed(look)
    return look.trip_if(speed > most, speed=speed, most=most)


@rule("dl-slip", over=SHAFTS, reads=("joint_kind", "slip_engaged_droop", "slip_free_bump"))
def slip_joint_keeps_its_length(look: Look) -> Trip | None:
    """Spline engaged at full droop, and free at full bump. [m]"""
    if _constant_velocity(look):
        return None
    return either(look, _engaged_at_droop, _free_at_bump)


def _engaged_at_droop(look: Look) -> Trip | None:
    engaged, least = look.amount("slip_engaged_droop"), look.limit("slip_engaged_droop")
    what = "spline engaged at full droop"
    return look.trip_if(engaged < least, what=what, found=engaged, least=least)


def _free_at_bump(look: Look) -> Trip | None:
    free, least = look.amount("slip_free_bump"), look.limit("slip_free_bump")
    return look.trip_if(free < least, what="spline free at full bump", found=free, least=least)


@rule("dl-hoop", over=SHAFTS, reads=("joint_kind", "shaft_contained", "containment_required"))
def broken_shaft_is_caught(look: Look) -> Trip | None:
    """A hoop or tunnel holds the front of the shaft where that is asked for."""
    if _constant_velocity(look):
        return None
    if look.yes("shaft_contained"):
        return None
    return look.trip_if(look.yes("containment_required", look.assembly.build.id))


@rule("dl-tunnel", over=SHAFTS, reads=("shaft_gap_at_bump",))
def shaft_clears_the_tunnel(look: Look) -> Trip | None:
    """Gap around the shaft at full bump. [m]"""
    gap, least = look.amount("shaft_gap_at_bump"), look.limit("shaft_gap_at_bump")
    return look.trip_if(gap < least, gap=gap, least=least)


@rule("dl-joint-wear", over=SHAFTS, reads=("joints_sound",))
def joints_are_sound(look: Look) -> Trip | None:
    """No play in the joints, no torn boot."""
    return look.trip_if(not look.yes("joints_sound"))


# -- constant velocity joints ----------------------------------------------------


@rule("dl-cv-run", over=SHAFTS, reads=("joint_kind", *ANGLES))
def running_angle_is_cool(look: Look) -> Trip | None:
    """Greater running angle of constant velocity joints at ride height. [rad]"""
    if not _constant_velocity(look):
        return None
    angle, hot = _worse(*_angles(look)), look.limit("running_angle_most")
    trip = look.trip_if(angle > hot, angle=angle, most=hot)
    if trip:
        return trip
    warm = look.limit("running_angle_wanted")
    return look.trip_if(angle > warm, urgency=Urgency.FIX, angle=angle, most=warm)


@rule("dl-cv-max", over=SHAFTS, reads=("joint_kind", "joint_angle_worst", "joint_angle_limit"))
def joint_does_not_bind(look: Look) -> Trip | None:
    """Greatest angle at droop and lock against the joint's own limit. [rad]"""
    if not _constant_velocity(look):
        return None
    worst, limit = look.amount("joint_angle_worst"), look.amount("joint_angle_limit")
    return look.trip_if(worst > limit, worst=worst, limit=limit)


@rule("dl-cv-plunge", over=SHAFTS, reads=("joint_kind", "plunge_left_in", "plunge_left_out"))
def joint_keeps_its_plunge(look: Look) -> Trip | None:
    """Plunge left each way at the ends of suspension travel. [m]"""
    if not _constant_velocity(look):
        return None
    margin = look.limit("plunge_margin")

    def left(look: Look, name: str, way: str) -> Trip | None:
        plunge = look.amount(name)
        return look.trip_if(plunge < margin, way=way, left=plunge, margin=margin)

    return either(
        look,
        lambda look: left(look, "plunge_left_in", "inward"),
        lambda look: left(look, "plunge_left_out", "outward"),
    )


RULES: tuple[Rule, ...] = (
    joint_angles_are_small,
    joint_angles_suit_the_speed,
    joint_needles_move,
    joint_angles_are_alike,
    yokes_are_in_phase,
    shaft_does_not_whip,
    slip_joint_keeps_its_length,
    broken_shaft_is_caught,
    shaft_clears_the_tunnel,
    joints_are_sound,
    running_angle_is_cool,
    joint_does_not_bind,
    joint_keeps_its_plunge,
)
