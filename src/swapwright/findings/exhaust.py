"""Rules on the exhaust, its gas, its noise and its heat."""

from functools import partial

from swapwright.findings.kit import (
    TOO_CLOSE,
    Check,
    Look,
    Rule,
    Trip,
    either,
    parts_of,
    ports_in,
    rule,
    the_build,
)
from swapwright.model.words import FateWord, Gate, Side

NOT_FITTED = (FateWord.CAPPED, FateWord.PARKED, FateWord.REMOVED)
FEELS_HEAT = (
    "engine computer", "battery", "coil", "starter", "alternator", "servo", "canister",
)  # fmt: skip


def gap_kept(name: str, limit: str, what: str) -> Check:
    """A check of one gap of the build against its limit. [m]"""

    def check(look: Look) -> Trip | None:
        gap, least = look.amount(name), look.limit(limit)
        return look.trip_if(gap < least, what=what, gap=gap, least=least)

    return check


def gap_kept_or_shielded(name: str, limit: str, what: str, shield: str) -> Check:
    """A check of one gap that may be smaller behind a shield. [m]"""

    def check(look: Look) -> Trip | None:
        if look.said(shield).content is True:
            return None
        gap, least = look.amount(name), look.limit(limit)
        near = gap < least
        if near.p > TOO_CLOSE:
            look.value(shield)  # where it matters, ask whether there is one
        return look.trip_if(near, what=what, gap=gap, least=least)

    return check


# -- gas and fire ------------------------------------------------------------


@rule("exh-under-driver", over=the_build, reads=("exhaust_outlet", "exhaust_leaks_at_cabin"))
def gas_ends_behind_the_cabin(look: Look) -> Trip | None:
    """No leak and no outlet ahead of or under the cabin."""

    def outlet(look: Look) -> Trip | None:
        place = look.choice("exhaust_outlet")
        return look.trip_if(place == "under or ahead of the cabin", how=f"ends {place}")

    def leak(look: Look) -> Trip | None:
        leaks = look.yes("exhaust_leaks_at_cabin")
        return look.trip_if(leaks, how="leaks ahead of or under the cabin")

    return either(look, outlet, leak)


@rule("exh-char", over=the_build, reads=("exhaust_can_char",))
def nothing_can_char(look: Look) -> Trip | None:
    """Nothing that burns lies where the bare pipe scorches it."""
    return look.trip_if(look.yes("exhaust_can_char"))


@rule("heat-insul", over=the_build, reads=("soaking_insulation_near_exhaust",))
def insulation_does_not_soak(look: Look) -> Trip | None:
    """No bare insulation that soaks up fuel or oil near the exhaust."""
    return look.trip_if(look.yes("soaking_insulation_near_exhaust"))


# -- gaps --------------------------------------------------------------------


@rule(
    "exh-steering",
    over=the_build,
    reads=("exhaust_to_steering_gap", "exhaust_to_boot_gap", "boots_shielded"),
)
def exhaust_clears_steering(look: Look) -> Trip | None:
    """Gaps to the steering shaft and to rubber boots. [m]"""
    return either(
        look,
        gap_kept("exhaust_to_steering_gap", "exhaust_to_steering", "the steering"),
        gap_kept_or_shielded(
            "exhaust_to_boot_gap", "exhaust_to_boots", "an unshielded boot", "boots_shielded"
        ),
    )


@rule(
    "exh-floor",
    over=the_build,
    reads=("exhaust_to_floor_gap", "catalyst_to_floor_gap", "floor_heat_shield"),
)
def exhaust_clears_floor(look: Look) -> Trip | None:
    """Gaps of pipe and catalyst to the floor, where there is no shield. [m]"""
    shielded = partial(gap_kept_or_shielded, shield="floor_heat_shield")
    return either(
        look,
        shielded("exhaust_to_floor_gap", "exhaust_to_floor", "pipe or silencer"),
        shielded("catalyst_to_floor_gap", "catalyst_to_floor", "catalyst"),
    )


@rule("exh-brakehose", over=the_build, reads=("exhaust_to_brake_hose_gap",))
def exhaust_clears_brake_hose(look: Look) -> Trip | None:
    """Gap to a brake hose or tyre. [m]"""
    return gap_kept("exhaust_to_brake_hose_gap", "exhaust_to_brake_hose", "a brake hose or tyre")(
        look
    )


@rule("exh-height", over=the_build, reads=("exhaust_ground_gap",))
def exhaust_clears_ground(look: Look) -> Trip | None:
    """Gap to the ground, laden. [m]"""
    return gap_kept("exhaust_ground_gap", "exhaust_to_ground", "the ground")(look)


# -- how it hangs ------------------------------------------------------------


@rule("exh-noflex", over=the_build, reads=("exhaust_flex", "engine_lies_across", "soft_mounts"))
def pipe_gives_when_the_engine_rocks(look: Look) -> Trip | None:
    """A flexible piece, where the engine lies across or rocks on soft mounts."""
    if look.yes("exhaust_flex"):
        return None
    how = {"engine_lies_across": "the engine lies across", "soft_mounts": "the mounts are soft"}

    def rocks(name: str) -> Check:
        return lambda look: look.trip_if(look.yes(name), how=how[name])

    return either(look, *(rocks(name) for name in how))


@rule("exh-hanger", over=the_build, reads=("first_hanger_distance",))
def first_hanger_leaves_room_to_rock(look: Look) -> Trip | None:
    """Pipe between the power unit and the first hanger on the body. [m]"""
    run, least = look.amount("first_hanger_distance"), look.limit("first_hanger")
    return look.trip_if(run < least, run=run, least=least)


# -- gas, sensor, noise, heat ------------------------------------------------


def cannot_be_read_yet(look: Look, *readings: str) -> bool:
    """True before the first start, when nothing runs, unless one of these readings is known."""
    if look.assembly.gate_passed(Gate.FIRST_START):
        return False
    return not any(look.said(name).known for name in readings)


STATES = {
    "back_pressure_idle": ("back_pressure_at_idle", "at idle"),
    "back_pressure_2000": ("back_pressure_at_2000", "at 2000 rpm"),
    "back_pressure_full_load": ("back_pressure_at_full_load", "at full load"),
}


@rule("exh-backpress", over=the_build, reads=tuple(STATES))
def exhaust_is_wide_enough(look: Look) -> Trip | None:
    """Back pressure at idle, at 2000 rpm and at full load. [Pa]"""
    if cannot_be_read_yet(look, *STATES):
        return None

    def state(name: str) -> Check:
        limit, when = STATES[name]

        def check(look: Look) -> Trip | None:
            found, most = look.amount(name), look.limit(limit)
            return look.trip_if(found > most, found=found, most=most, when=when)

        return check

    return either(look, *(state(name) for name in STATES))


@rule("exh-cat-missing", over=ports_in("cat", side=Side.NEWCOMER))
def catalyst_stays(look: Look) -> Trip | None:
    """The newcomer's catalyst is neither removed nor left on the shelf."""
    fate = look.fate()
    return look.trip_if(fate in NOT_FITTED, fate=fate)


@rule(
    "exh-lambda",
    over=ports_in("lam", side=Side.NEWCOMER),
    reads=("sensor_angle", "leak_before_sensor"),
)
def sensor_stays_dry_and_true(look: Look) -> Trip | None:
    """Rise of the oxygen sensor above level [rad]; no leak ahead of it."""
    if look.fate() in NOT_FITTED:
        return None

    def level(look: Look) -> Trip | None:
        rise, least = look.amount("sensor_angle"), look.limit("sensor_rise")
        what, bound = "the sensor lies so flat that water stays in it, rising", "at least"
        return look.trip_if(rise < least, what=what, found=rise, wanted=least, bound=bound)

    def leak(look: Look) -> Trip | None:
        leaks, bound = look.yes("leak_before_sensor"), "between head and sensor"
        what, found = "the sensor sits", "behind a leak"
        return look.trip_if(leaks, what=what, found=found, wanted="tight joints", bound=bound)

    return either(look, level, leak)


@rule(
    "exh-noise",
    over=the_build,
    reads=("exhaust_noise", "exhaust_noise_limit", "exhaust_noise_before"),
)
def exhaust_is_quiet_enough(look: Look) -> Trip | None:
    """Measured noise against the limit, and against what it was before. [dB]"""
    if cannot_be_read_yet(look, "exhaust_noise"):
        return None

    def over_limit(look: Look) -> Trip | None:
        noise, most = look.amount("exhaust_noise"), look.amount("exhaust_noise_limit")
        return look.trip_if(noise > most, noise=noise, most=most, what="the limit of the papers")

    def over_before(look: Look) -> Trip | None:
        noise = look.amount("exhaust_noise")
        most = look.amount("exhaust_noise_before") + look.limit("noise_over_baseline")
        what = "what may come on top of the old engine"
        return look.trip_if(noise > most, noise=noise, most=most, what=what)

    return either(look, over_limit, over_before)


@rule(
    "heat-soak", over=parts_of(*FEELS_HEAT), reads=("temperature_limit", "temperature_after_stop")
)
def parts_stand_the_soak(look: Look) -> Trip | None:
    """Temperature ten minutes after a hot stop against what the part stands. [K]"""
    if cannot_be_read_yet(look, "temperature_after_stop"):
        return None
    hot, most = look.amount("temperature_after_stop"), look.amount("temperature_limit")
    return look.trip_if(hot > most, hot=hot, most=most)


RULES: tuple[Rule, ...] = (
    gas_ends_behind_the_cabin, nothing_can_char, exhaust_clears_steering, exhaust_clears_floor,
    exhaust_clears_brake_hose, pipe_gives_when_the_engine_rocks, first_hanger_leaves_room_to_rock,
    exhaust_is_wide_enough, catalyst_stays, sensor_stays_dry_and_true, exhaust_clears_ground,
    exhaust_is_quiet_enough, parts_stand_the_soak, insulation_does_not_soak,
)  # fmt: skip
