"""Rules on mounts: bolts, capture, what they stand on, and how the power unit bounces."""

from math import pi, sqrt

from swapwright.findings.above_zero import above_zero, count_above_zero
from swapwright.findings.kit import (
    TOO_CLOSE,
    Look,
    Rule,
    Trip,
    either,
    joins_at,
    rule,
    the_engine,
)
from swapwright.model.amount import Amount, derived
from swapwright.model.words import Side
from swapwright.quantity import Dimension

MOUNTS = joins_at("mnt", "gmnt", "link")
# Nominal tensile strength: ISO 898-1 (first figure times 100 MPa), SAE J429 for inch grades.
BOLT_STRENGTH = {
    "4.6": 400e6, "5.6": 500e6, "5.8": 500e6, "6.8": 600e6, "8.8": 800e6, "9.8": 900e6,
    "10.9": 1000e6, "12.9": 1200e6, "grade 2": 510e6, "grade 5": 827e6, "grade 8": 1034e6,
}  # fmt: skip


@rule(
    "mt-secure",
    over=MOUNTS,
    reads=("mount_bolts_tight", "mount_bolt_class", "mount_bolts_locked"),
)
def mount_bolts_are_secure(look: Look) -> Trip | None:
    """All bolts there and tight, of the class wanted, and locked."""
    return either(look, _slack, _soft, _unlocked)


def _slack(look: Look) -> Trip | None:
    return look.trip_if(not look.yes("mount_bolts_tight"), found="a bolt is missing or slack")


def _soft(look: Look) -> Trip | None:
    marked, least = look.choice("mount_bolt_class"), look.limit("mount_bolt_strength")
    strength = BOLT_STRENGTH.get(marked, 0.0)  # a bolt without a mark counts for nothing
    return look.trip_if(strength < least.nominal, found=f"bolts: {marked}")


def _unlocked(look: Look) -> Trip | None:
    found = "a bolt can work loose, nothing locks it"
    return look.trip_if(not look.yes("mount_bolts_locked"), found=found)


@rule("mt-capture", over=MOUNTS, reads=("mount_captured",))
def torn_rubber_holds_engine(look: Look) -> Trip | None:
    """The mount holds together when its rubber tears."""
    return look.trip_if(not look.yes("mount_captured"))


@rule("mt-align", over=MOUNTS, reads=("mount_preload",))
def mount_is_not_forced(look: Look) -> Trip | None:
    """How far a mount has to be pulled to meet its bolts. [m]"""
    preload, most = look.amount("mount_preload"), look.limit("mount_preload")
    return look.trip_if(preload > most, preload=preload, most=most)


@rule(
    "mt-rail",
    over=MOUNTS,
    reads=("rail_thickness", "own_mount_point", "spreader_thickness", "spreader_area_ratio"),
)
def bracket_stands_on_enough(look: Look) -> Trip | None:
    """Sheet that a new bracket is fixed to, and the plate that spreads its load. [m, 1]"""
    sheet, least = look.amount("rail_thickness", look.assembly.recipient), look.limit("mount_sheet")
    thin = sheet < least
    if thin.p <= TOO_CLOSE or look.yes("own_mount_point"):
        return None

    def no_plate(look: Look) -> Trip | None:
        none = look.absent("spreader_thickness")
        found = "nothing"
        return look.trip_if(thin, sheet=sheet, least=least, found=found) if none else None

    def thin_plate(look: Look) -> Trip | None:
        plate = look.amount("spreader_thickness")
        short = thin & (plate < look.limit("spreader_thickness"))
        return look.trip_if(short, sheet=sheet, least=least, found=plate)

    def small_plate(look: Look) -> Trip | None:
        small = thin & (look.amount("spreader_area_ratio") < look.limit("spreader_area_ratio"))
        return look.trip_if(small, sheet=sheet, least=least, found="a plate of too small an area")

    return either(look, no_plate, thin_plate, small_plate)


@rule("mt-thread", over=MOUNTS, reads=("thread_in", "thread_engagement", "mount_bolt_diameter"))
def thread_is_deep_enough(look: Look) -> Trip | None:
    """Thread engaged against the bolt's diameter, by what it is cut into. [m]"""
    cut_in = look.choice("thread_in")
    if cut_in not in ("steel", "aluminium"):
        return None
    factor = look.factor(f"thread_engagement_{cut_in}")
    engaged, needed = (
        look.amount("thread_engagement"),
        factor * look.amount("mount_bolt_diameter"),
    )
    return look.trip_if(engaged < needed, engaged=engaged, needed=needed, metal=cut_in)


# -- the power unit on its mounts ------------------------------------------------


def bounce_frequency(mass: float, stiffness: float) -> float:
    """Natural frequency of a mass that bounces on springs in parallel. [Hz]

    Parameters
    ----------
    mass : float
        Of the power unit. [kg]
    stiffness : float
        Vertical, of all mounts together. [N/m]

    References
    ----------
    ``√(k/m) / 2π``, one degree of freedom without damping (textbook).
    """
    return sqrt(stiffness / mass) / (2 * pi)


def firing_frequency(speed: float, cylinders: float) -> float:
    """Firing frequency of a four-stroke engine. [Hz]

    Parameters
    ----------
    speed : float
        Of the crank. [rad/s]
    cylinders : float
        Their count.

    References
    ----------
    Each cylinder fires once in two turns (elementary).
    """
    return cylinders * speed / (4 * pi)


@rule(
    "mt-resonance",
    over=the_engine,
    reads=("cylinder_count", "idle_speed", "mass_dressed", "mount_stiffness"),
)
def engine_does_not_shake_at_idle(look: Look) -> Trip | None:
    """Bounce of engine and gearbox against a share of the firing frequency at idle. [Hz]"""
    cylinders, share = count_above_zero(look, "cylinder_count"), look.limit("mount_mode_share")
    firing = derived(
        lambda speed, part: part * firing_frequency(speed, cylinders),
        (look.amount("idle_speed"), share),
        Dimension.FREQUENCY,
    )
    inputs = (_power_unit_mass(look), _mount_stiffness(look))
    bounce = derived(bounce_frequency, inputs, Dimension.FREQUENCY)
    return look.trip_if(bounce > firing, bounce=bounce, most=firing)


def _power_unit_mass(look: Look) -> Amount:
    """Dry, so that the bounce comes out a little high: on the careful side."""
    mass = above_zero(look, "mass_dressed")
    if look.assembly.gearbox:
        mass = mass + above_zero(look, "mass_dressed", look.assembly.gearbox)
    return mass


def _mount_stiffness(look: Look) -> Amount:
    ports = look.assembly.ports_of("mnt", "gmnt", side=Side.NEWCOMER)
    for port in ports:
        if look.there(port.id):
            look.fate(port.id)
    joins = joins_at("mnt", "gmnt")(look.assembly)
    total = Amount(0.0, 0.0, Dimension.STIFFNESS)
    for join in joins:
        total = total + above_zero(look, "mount_stiffness", join)
    return total


RULES: tuple[Rule, ...] = (
    mount_bolts_are_secure,
    torn_rubber_holds_engine,
    mount_is_not_forced,
    bracket_stands_on_enough,
    thread_is_deep_enough,
    engine_does_not_shake_at_idle,
)
