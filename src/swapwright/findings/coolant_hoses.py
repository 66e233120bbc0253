"""Rules on coolant hoses, and on hoses that carry what they are not made for."""

from collections.abc import Iterator, Mapping

from swapwright.findings.kit import (
    TOO_CLOSE,
    DoesNotApply,
    Lacking,
    Look,
    Over,
    Rule,
    Trip,
    either,
    joins_carrying,
    rule,
)
from swapwright.model.amount import Amount
from swapwright.model.assembly import AssembledJoin
from swapwright.model.ends import End
from swapwright.model.values import ABSENT, UNKNOWN
from swapwright.model.words import Service, Urgency
from swapwright.quantity import Measure

HOSES = ("hose", "formed hose")
ADAPTERS = ("reducer", "stepped tube", "adapter", "thread adapter", "tee", "tap")
STEPS = ("reducer", "stepped tube")
UNDER_A_HOSE = {"hose bead": "barrel", "barb": "barrel", "plain tube": "outside"}
NO_PRESSURE = ("over",)  # families whose hose leads to the open air
FUEL_HOSES = ("fuel low pressure", "fuel injection")
# What a hose may be made for, by what it carries.
MADE_FOR: Mapping[Service, tuple[str, ...]] = {
    Service.COOLANT: ("coolant",),
    Service.OIL: ("oil", "gearbox oil"),
    Service.FUEL_FEED: FUEL_HOSES,
    Service.FUEL_RETURN: FUEL_HOSES,
    Service.FUEL_VAPOUR: ("fuel vapour", *FUEL_HOSES),
    Service.VACUUM: ("vacuum", "brake vacuum", *FUEL_HOSES),
    Service.INTAKE_AIR: ("air", "charge air"),
    Service.HYDRAULIC: ("steering pressure", "steering suction", "clutch fluid"),
    Service.REFRIGERANT: ("refrigerant",),
}
# Where the service says too little: oil mist in the breather, and three fluids that are hydraulic.
MADE_FOR_FAMILY: Mapping[str, tuple[str, ...]] = {
    "pcv": ("crankcase breather", "oil", *FUEL_HOSES),
    "clu": ("clutch fluid",),
    "psp": ("steering pressure",),
    "psr": ("steering suction", "steering pressure"),
}


def joins_at(*families: str) -> Over:
    """Joins that end at a port of these families."""
    return lambda assembly: tuple(
        join.id
        for join in assembly.joined.values()
        if any(end.family is not None and end.family.id in families for end in join.ends)
    )


def join_of(look: Look) -> AssembledJoin:
    """The join looked at."""
    return look.assembly.joins[look.subject]


def pressed_coolant(look: Look) -> AssembledJoin:
    """The join looked at, when it carries coolant under the cap's pressure.

    Raises
    ------
    Lacking
        When nobody said what it carries.
    DoesNotApply
        When it carries something else, or leads to the open air.
    """
    join = join_of(look)
    if join.service is Service.UNKNOWN:
        raise Lacking(join.ends[0].id, "service")
    open_air = any(end.family is not None and end.family.id in NO_PRESSURE for end in join.ends)
    if join.service is not Service.COOLANT or open_air:
        raise DoesNotApply
    return join


def kinds_of_pieces(look: Look) -> tuple[str, ...]:
    """Kinds of the pieces of the join looked at; Lacking when it names none."""
    pieces = join_of(look).pieces
    if not pieces:
        raise Lacking(look.subject, "pieces")
    return tuple(look.assembly.holders[piece].kind for piece in pieces)


def has_no_hose(look: Look) -> bool:
    """True when all pieces of the join looked at are named, and none is a hose."""
    join = join_of(look)
    kinds = [look.assembly.holders[piece].kind for piece in join.pieces]
    return bool(kinds) and all(kinds) and not set(HOSES) & set(kinds)


# -- what a hose is rated for ------------------------------------------------


@rule(
    "cool-hose-temp",
    over=joins_carrying(Service.COOLANT),
    reads=("hose_temperature_limit", "hose_working_pressure", "cap_pressure_fitted"),
)
def coolant_hose_stands_its_work(look: Look) -> Trip | None:
    """Ratings of a coolant hose: temperature [K], pressure against the cap [Pa]."""
    pressed_coolant(look)
    if has_no_hose(look):
        return None

    def hot(look: Look) -> Trip | None:
        rated = look.amount("hose_temperature_limit")
        needed = look.limit("coolant_hose_temperature")
        return look.trip_if(rated < needed, rated=rated, needed=needed)

    def pressed(look: Look) -> Trip | None:
        cap = look.amount("cap_pressure_fitted", look.assembly.build.id)
        rated, needed = (
            look.amount("hose_working_pressure"), look.factor("coolant_hose_pressure_factor") * cap,
        )  # fmt: skip
        return look.trip_if(rated < needed, rated=rated, needed=needed)

    return either(look, hot, pressed)


@rule("cool-hose-service", over=joins_carrying(*MADE_FOR), reads=("hose_service",))
def hose_is_made_for_what_it_carries(look: Look) -> Trip | None:
    """What is printed on the hoses against what they carry."""
    join = join_of(look)
    if join.service is Service.UNKNOWN:
        raise Lacking(join.ends[0].id, "service")
    if join.service not in MADE_FOR or has_no_hose(look):
        return None
    families = (end.family.id for end in join.ends if end.family is not None)
    by_family = (MADE_FOR_FAMILY[each] for each in families if each in MADE_FOR_FAMILY)
    wanted = next(by_family, MADE_FOR[join.service])
    for made_for in printed_on_hoses(look):
        urgency = Urgency.FIX if made_for == "not marked" else None
        if made_for not in (*wanted, "absent"):
            return look.trip(urgency=urgency, made_for=made_for, service=join.service)
    return None


def printed_on_hoses(look: Look) -> Iterator[str]:
    """What is printed on each hose of the join, and last what is said of the join itself."""
    for piece in join_of(look).pieces:
        if look.assembly.holders[piece].kind in HOSES and look.said("hose_service", piece).known:
            yield look.choice("hose_service", piece)
    yield look.choice("hose_service")


# -- how a hose sits ---------------------------------------------------------


@rule(
    "cool-bead",
    over=joins_carrying(Service.COOLANT),
    reads=("bare_tube_end", "cap_pressure_fitted"),
)
def hose_sits_behind_a_bead(look: Look) -> Trip | None:
    """A hose on a bare tube end against the pressure of the cap. [Pa]"""
    join = pressed_coolant(look)
    bare = any(end.end is not None and end.end.form == "plain tube" for end in join.ends)
    if not bare and not look.yes("bare_tube_end"):
        return None
    cap = look.amount("cap_pressure_fitted", look.assembly.build.id)
    limit = look.limit("bead_needed_above")
    return look.trip_if(cap > limit, cap=cap, limit=limit)


@rule("cool-step", over=joins_carrying(Service.COOLANT))
def hose_is_not_stretched(look: Look) -> Trip | None:
    """Outside diameters under one hose, where no piece steps between them. [m]"""
    join = pressed_coolant(look)
    forms = [look.end(end.id).form for end in join.ends]
    if any(form not in UNDER_A_HOSE for form in forms):
        return None
    first, second = (outside_under_hose(look, end.id) for end in join.ends)
    more, less = (first, second) if first.nominal > second.nominal else (second, first)
    holds = more - less > look.limit("hose_stretch")
    if holds.p <= TOO_CLOSE or any(steps(look, piece) for piece in stated_pieces(look)):
        return None
    return look.trip_if(holds, more=more, less=less, step=more - less)


def outside_under_hose(look: Look, port: str) -> Amount:
    """What the hose is pushed over. [m]"""
    end = look.end(port)
    content = end.dim(UNDER_A_HOSE[end.form]).content
    if content is UNKNOWN or content is ABSENT:
        raise Lacking(port, "end")
    assert isinstance(content, Measure)
    return Amount.of(content)


def stated_pieces(look: Look) -> tuple[str, ...]:
    """Pieces of the join looked at; Lacking when it names none."""
    kinds_of_pieces(look)
    return join_of(look).pieces


def steps(look: Look, piece: str) -> bool:
    """True for a piece that leads from one size to another."""
    if look.assembly.holders[piece].kind in STEPS:
        return True
    item = look.assembly.items.get(piece)
    sizes = {_size(end) for end in item.ends if end is not None} if item else set()
    return len(sizes - {None}) > 1


def _size(end: End) -> float | None:
    content = end.dim(end.definition.main).content if end.definition.main else UNKNOWN
    return content.nominal if isinstance(content, Measure) else None


@rule("cool-heater-bore", over=joins_at("hsup", "hret"), reads=("adapter_bore", "hose_bore"))
def heater_adapters_are_wide(look: Look) -> Trip | None:
    """Narrowest adapter against the smaller hose. [m]"""
    if not any(kind in ADAPTERS for kind in kinds_of_pieces(look)):
        return None
    adapter, hose = look.amount("adapter_bore"), look.amount("hose_bore")
    needed = look.factor("heater_bore_share") * hose
    return look.trip_if(adapter < needed, adapter=adapter, hose=hose, needed=needed)


@rule(
    "cool-suction-flat",
    over=joins_at("ret"),
    reads=("hose_support", "route_length", "hose_squeezes_flat"),
)
def suction_hose_stays_open(look: Look) -> Trip | None:
    """Length of a suction hose that nothing keeps open. [m]"""
    if look.choice("hose_support") not in ("none", "absent"):
        return None

    def long(look: Look) -> Trip | None:
        length, most = look.amount("route_length"), look.limit("suction_hose_length")
        return look.trip_if(length > most, how="long", length=length, most=most)

    def thin(look: Look) -> Trip | None:
        length, most = look.said("route_length"), look.limit("suction_hose_length")
        flat = look.yes("hose_squeezes_flat")
        return look.trip_if(flat, how="soft", length=length, most=most)

    return either(look, long, thin)


@rule(
    "cool-engine-move",
    over=joins_carrying(Service.COOLANT),
    reads=("route_length", "hose_has_bend"),
)
def hose_gives_when_the_engine_moves(look: Look) -> Trip | None:
    """Free run and bend of a hose between engine and body. [m]"""
    pressed_coolant(look)
    if not look.crosses_to_engine():
        return None

    def short(look: Look) -> Trip | None:
        run, least = look.amount("route_length"), look.limit("moving_hose_run")
        return look.trip_if(run < least, how="a short run", run=run, least=least)

    def straight(look: Look) -> Trip | None:
        run, least, how = look.said("route_length"), look.limit("moving_hose_run"), "no bend"
        return look.trip_if(not look.yes("hose_has_bend"), how=how, run=run, least=least)

    return either(look, short, straight)


@rule(
    "cool-hot-rub",
    over=joins_carrying(Service.COOLANT),
    reads=("gap_to_moving_part", "gap_to_exhaust", "heat_shield"),
)
def hose_keeps_clear(look: Look) -> Trip | None:
    """Gaps of a coolant hose to what moves and to bare exhaust. [m]"""
    pressed_coolant(look)

    def moving(look: Look) -> Trip | None:
        gap, least = look.amount("gap_to_moving_part"), look.limit("hose_to_moving_part")
        return look.trip_if(gap < least, gap=gap, least=least, what="what turns or moves")

    def hot(look: Look) -> Trip | None:
        if look.said("heat_shield").content is True:
            return None
        gap, least = look.amount("gap_to_exhaust"), look.limit("hose_to_exhaust")
        near = gap < least
        if near.p <= TOO_CLOSE or look.yes("heat_shield"):
            return None
        return look.trip_if(near, gap=gap, least=least, what="the exhaust, without a shield")

    return either(look, moving, hot)


RULES: tuple[Rule, ...] = (
    heater_adapters_are_wide, coolant_hose_stands_its_work, hose_is_made_for_what_it_carries,
    suction_hose_stays_open, hose_sits_behind_a_bead, hose_is_not_stretched,
    hose_gives_when_the_engine_moves, hose_keeps_clear,
)  # fmt: skip
