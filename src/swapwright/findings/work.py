"""Rules on the work itself: what can hurt while it is done."""

from math import cos, pi

from swapwright.findings.kit import (
    DoesNotApply,
    Lacking,
    Look,
    Rule,
    Trip,
    all_jobs,
    either,
    rule,
    the_build,
)
from swapwright.library.jobs import jobs
from swapwright.model.amount import Amount, derived
from swapwright.model.assembly import Assembly
from swapwright.quantity import Dimension

AHEAD = ("planned", "begun")
NO_STANDS = ("jack alone", "stands elsewhere")
FIRST_START = "J155"


def leg_load(mass: float, share: float, included_angle: float) -> float:
    """Load in one leg of a sling, as the mass that a straight leg would carry. [kg]

    Parameters
    ----------
    mass : float
        Of all that hangs. [kg]
    share : float
        Part of the weight that this leg carries.
    included_angle : float
        Between both legs at the hook, the load hanging level. [rad]

    Returns
    -------
    load : float
        ``m s / cos(θ/2)``, from the upright balance of forces at the eye. [kg]
    """
    return mass * share / cos(included_angle / 2)


# -- what is said of a job, of all jobs, or by the table -------------------------------------


def named(look: Look, job: str = "") -> str:
    """How a job is called: by the builder, else with the words of the table."""
    job = job or look.subject
    record = look.assembly.jobs.get(job)
    if record is not None and record.label:
        return f"{job}, {record.label}"
    if job not in jobs():
        return job
    short = jobs()[job].what.partition(":")[0].partition(";")[0]
    return f"{job}, {short[0].lower()}{short[1:]}"


def state(look: Look, job: str = "") -> str:
    """Planned, begun, done or not needed."""
    job = job or look.subject
    record = look.assembly.jobs.get(job)
    if record is None or record.state == "unknown":
        raise Lacking(job, "progress")
    return record.state


def concerns(look: Look, fact: str, *flags: str) -> None:
    """End the rule unless this job is ahead and of the kind that ``fact`` or a flag tells.

    Raises
    ------
    DoesNotApply
        If it is of another kind, done or not needed.
    Lacking
        If the job is not of the table and the build does not say.
    """
    if not of_kind(look, look.subject, fact, *flags) or state(look) not in AHEAD:
        raise DoesNotApply


def of_kind(look: Look, job: str, fact: str, *flags: str) -> bool:
    """Whether a job is of a kind: what the build says of it, else the table."""
    text = jobs().get(job)
    said = fact in look.assembly.holders[job].facts
    return look.yes(fact, of=job) if said or text is None else bool({*flags} & {*text.flags})


def who_says(look: Look, fact: str) -> str:
    """The job where it says so itself, else the build for all its jobs."""
    assembly, job = look.assembly, look.subject
    said = fact in assembly.holders[job].facts or f"{job}.{fact}" in assembly.readings
    return job if said else assembly.build.id


# -- under the car, on the hook ---------------------------------------------------------------


@rule("wk-jack", over=all_jobs, reads=("under_raised_car", "car_held_by"))
def car_stands_on_more_than_a_jack(look: Look) -> Trip | None:
    """What carries the car while somebody is under it."""
    concerns(look, "under_raised_car", "under a raised car")
    held = look.choice("car_held_by", of=who_says(look, "car_held_by"))
    said = {"jack alone": "only a jack", "stands elsewhere": "stands on no hard level floor"}
    return look.trip_if(held in NO_STANDS, job=named(look), held=said.get(held, held))


@rule(
    "wk-hoist", over=all_jobs,
    reads=("lifts", "lifted_mass", "hoist_rating_at_reach", "sling_angle"),
)  # fmt: skip
def hoist_carries_at_its_reach(look: Look) -> Trip | None:
    """Load against the hoist at that reach [kg], and angle between the sling legs [rad]."""
    concerns(look, "lifts", "lifting")
    job = named(look)

    def overloaded(look: Look) -> Trip | None:
        rated = look.amount("hoist_rating_at_reach", of=who_says(look, "hoist_rating_at_reach"))
        load = look.amount("lifted_mass")
        bound = "the hoist carries at this reach"
        return look.trip_if(
            load > rated, job=job, what="load", value=load, bound=bound, limit=rated
        )

    def too_flat(look: Look) -> Trip | None:
        angle = look.amount("sling_angle", of=who_says(look, "sling_angle"))
        most = look.limit("sling_angle_most")
        bound = "wanted at most"
        what = "angle between the sling legs"
        return look.trip_if(angle > most, job=job, what=what, value=angle, bound=bound, limit=most)

    return either(look, overloaded, too_flat)


@rule(
    "wk-lift-bolt", over=all_jobs,
    reads=(
        "lifts", "lifted_mass", "sling_angle", "sling_leg_share", "lift_eye_rating",
        "lift_eye_engagement", "lift_eye_thread_diameter",
    ),
)  # fmt: skip
def lifting_eye_carries_its_leg(look: Look) -> Trip | None:
    """Load of the most loaded leg against its eye [kg], and thread in engagement [m]."""
    concerns(look, "lifts", "lifting")
    job = named(look)

    def overloaded(look: Look) -> Trip | None:
        parts = [look.amount("lifted_mass")]
        for fact in ("sling_leg_share", "sling_angle"):
            parts.append(look.amount(fact, of=who_says(look, fact)))
        if parts[-1].nominal >= pi:
            raise DoesNotApply  # no such sling: the rule on its angle speaks
        load, rated = derived(leg_load, tuple(parts), Dimension.MASS), eye_rating(look)
        return look.trip_if(
            load > rated,
            job=job,
            what="leg load",
            value=load,
            bound="the eye is rated",
            limit=rated,
        )

    def screwed_in_too_little(look: Look) -> Trip | None:
        held, across = (
            look.amount(fact, of=who_says(look, fact))
            for fact in ("lift_eye_engagement", "lift_eye_thread_diameter")
        )
        least = look.factor("lift_eye_engagement_factor") * across
        bound = "wanted at least"
        return look.trip_if(
            held < least, job=job, what="thread in engagement", value=held, bound=bound, limit=least
        )

    return either(look, overloaded, screwed_in_too_little)


def eye_rating(look: Look) -> Amount:
    """Rated load of the lifting eye; one without a rating is unknown, not strong enough. [kg]"""
    subject = who_says(look, "lift_eye_rating")
    if look.absent("lift_eye_rating", of=subject):
        raise Lacking(subject, "lift_eye_rating")
    return look.amount("lift_eye_rating", of=subject)


@rule("wk-lift-cg", over=all_jobs, reads=("lifts", "hook_offset"))
def hook_stands_over_the_centre(look: Look) -> Trip | None:
    """Distance of the hook from the plumb line of the centre of gravity. [m]"""
    concerns(look, "lifts", "lifting")
    offset = look.amount("hook_offset", of=who_says(look, "hook_offset"))
    most = look.limit("hook_offset_most")
    return look.trip_if(offset > most, job=named(look), offset=offset, most=most)


@rule("wk-two", over=all_jobs, reads=("needs_two", "people"))
def nobody_is_alone_where_it_takes_two(look: Look) -> Trip | None:
    """People at a job that takes two."""
    concerns(look, "needs_two", "two people")
    people = look.count("people", of=who_says(look, "people"))
    return look.trip_if(people < look.factor("people_least"), job=named(look), people=people)


# -- heat, gas, airbags -----------------------------------------------------------------------


@rule(
    "wk-hot-fuel", over=all_jobs,
    reads=("hot_work", "fuel_open_near_hot_work", "tank_to_hot_work"),
)  # fmt: skip
def fuel_is_far_from_hot_work(look: Look) -> Trip | None:
    """Open fuel and the nearest tank, at a job that welds. [m]"""
    concerns(look, "hot_work", "welding")
    job = named(look)

    def is_open(look: Look) -> Trip | None:
        fact = "fuel_open_near_hot_work"
        what, found, wanted, bound = "fuel or vapour", "open nearby", "every line", "plugged"
        is_so = look.yes(fact, of=who_says(look, fact))
        return look.trip_if(is_so, job=job, what=what, found=found, wanted=wanted, bound=bound)

    def is_near(look: Look) -> Trip | None:
        gap = look.amount("tank_to_hot_work", of=who_says(look, "tank_to_hot_work"))
        least = look.limit("hot_work_tank_distance")
        what, bound = "distance to the nearest fuel tank", "at least"
        return look.trip_if(gap < least, job=job, what=what, found=gap, wanted=least, bound=bound)

    return either(look, is_open, is_near)


@rule("wk-weld-batt", over=all_jobs, reads=("hot_work", "battery_off_for_welding"))
def battery_is_off_for_welding(look: Look) -> Trip | None:
    """Battery and computer, at a job that welds."""
    concerns(look, "hot_work", "welding")
    off = look.yes("battery_off_for_welding", of=who_says(look, "battery_off_for_welding"))
    return look.trip_if(not off, job=named(look))


def build_with_refrigerant(assembly: Assembly) -> tuple[str, ...]:
    """The build, where a side has or may have air conditioning."""
    return the_build(assembly) if assembly.ports_of("ac") else ()


@rule("wk-gas", over=build_with_refrigerant, reads=("refrigerant_fate",))
def refrigerant_is_recovered(look: Look) -> Trip | None:
    """What became of the gas."""
    return look.trip_if(look.choice("refrigerant_fate") == "let out")


def vehicles_with_airbags(assembly: Assembly) -> tuple[str, ...]:
    """The car and the donor car, unless its sheet says that there is no such thing."""
    none = {
        port.sheet
        for port in assembly.ports.values()
        if port.there == "no" and port.family is not None and port.family.id == "abs"
    }
    vehicles = (assembly.recipient, assembly.build.donor_car)
    return tuple(each for each in vehicles if each and each not in none)


@rule(
    "wk-airbag", over=vehicles_with_airbags,
    reads=("airbag_plugs_opened", "battery_off_before_airbag", "airbag_wait"),
)  # fmt: skip
def airbag_is_left_to_die_down(look: Look) -> Trip | None:
    """Time without battery before an airbag plug is parted. [s]"""
    if not look.yes("airbag_plugs_opened"):
        return None
    if look.absent("battery_off_before_airbag"):
        return look.trip(waited="no time", least=look.limit("airbag_wait_least"))
    waited = look.amount("battery_off_before_airbag")

    def shorter_than(least: Amount) -> Trip | None:
        return look.trip_if(waited < least, waited=waited, least=least)

    return either(
        look,
        lambda look: shorter_than(look.limit("airbag_wait_least")),
        lambda look: shorter_than(look.amount("airbag_wait")),
    )


@rule("wk-exting", over=the_build, reads=("extinguisher_at_hand", "start_ventilated"))
def first_start_is_guarded(look: Look) -> Trip | None:
    """Extinguisher and fresh air at the first start, as long as that lies ahead."""
    started = look.assembly.jobs.get(FIRST_START)
    if started is not None and started.state == "done":
        return None

    def missing(fact: str, what: str) -> Trip | None:
        return look.trip_if(not look.yes(fact), what=what)

    return either(
        look,
        lambda _: missing("extinguisher_at_hand", "no extinguisher within reach"),
        lambda _: missing("start_ventilated", "no way out for the exhaust gas"),
    )


RULES: tuple[Rule, ...] = (
    car_stands_on_more_than_a_jack,
    hoist_carries_at_its_reach,
    lifting_eye_carries_its_leg,
    hook_stands_over_the_centre,
    nobody_is_alone_where_it_takes_two,
    fuel_is_far_from_hot_work,
    battery_is_off_for_welding,
    refrigerant_is_recovered,
    airbag_is_left_to_die_down,
    first_start_is_guarded,
)
