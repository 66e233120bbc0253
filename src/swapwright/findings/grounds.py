"""Rules on grounds and straps, and on the way that wires run."""

from swapwright.findings.kit import (
    Lacking,
    Look,
    Rule,
    Trip,
    rule,
    the_car,
    the_engine,
)
from swapwright.findings.wires import (
    ACROSS_THE_MOUNTS,
    GROUNDS,
    LOST,
    ROUTED,
    either,
    excused,
    first_trip,
    gather,
    largest,
    or_words,
    ports_of_unit,
    starter_cable_area,
    stays,
    unit_ports,
    wires,
    without_join,
)
from swapwright.model.assembly import Assembly
from swapwright.model.words import Side

POOR_CONTACT = ("untreated aluminium", "paint", "thread alone")


# -- straps ------------------------------------------------------------------


@rule(
    "el-no-engine-ground",
    over=the_engine,
    reads=("conductor_area", "strap_area", "starter_cable_area", "engine_strap_area"),
)
def engine_hangs_on_battery(look: Look) -> Trip | None:
    """Largest strap from engine to battery against the starter cable. [m²]"""
    cable = starter_cable_area(look)
    needed = look.factor("strap_over_starter_cable") * cable
    ports = [port.id for port in ports_of_unit(look.assembly, "gnd")]
    areas, lacking = gather(look, ports)
    if not ports and not look.absent("engine_strap_area"):
        areas = [look.amount("engine_strap_area")]
    strap = largest(areas)
    if lacking and (strap is None or strap.nominal < needed.nominal):
        raise lacking
    if strap is None:
        return look.trip(strap="no strap", cable=cable, needed=needed)
    return look.trip_if(strap < needed, strap=strap, cable=cable, needed=needed)


@rule("el-no-body-ground", over=the_car, reads=("body_strap_fitted",))
def body_hangs_on_battery(look: Look) -> Trip | None:
    """A strap from battery to body."""
    ports = look.assembly.ports_of("gbod", side=Side.CAR)
    if not ports:
        return look.trip_if(not look.yes("body_strap_fitted"))
    undecided: list[Lacking] = []
    for port in ports:
        try:
            if look.there(port.id) and look.fate(port.id) not in LOST:
                return None
        except Lacking as lacking:
            undecided.append(lacking)
    if undecided:
        raise undecided[0]
    return look.trip()


@rule(
    "el-ground-paint",
    over=either(wires(*GROUNDS), without_join(*GROUNDS)),
    reads=("ground_contact",),
)
def ground_lies_on_metal(look: Look) -> Trip | None:
    """What the eyelets of a ground lie on."""
    stays(look)
    contact = look.choice("ground_contact")
    return look.trip_if(contact in POOR_CONTACT, contact=contact)


@rule(
    "el-ecu-ground",
    over=unit_ports("gecu"),
    reads=("shared_ground_current",),
)
def computer_ground_is_its_own(look: Look) -> Trip | None:
    """Loads that share the ground wire of the control unit. [A]"""
    shared, limit = look.amount("shared_ground_current"), look.limit("shared_ground_current")
    return look.trip_if(shared > limit, shared=shared, limit=limit)


# -- the way that wires run --------------------------------------------------


def _starter_and_cable(assembly: Assembly) -> tuple[str, ...]:
    return (*the_engine(assembly), *wires("st")(assembly))


@rule(
    "el-starter-heat",
    over=_starter_and_cable,
    reads=("gap_to_exhaust", "heat_shield", "starter_gap_to_exhaust", "starter_heat_shield"),
)
def starter_lies_cool(look: Look) -> Trip | None:
    """Starter and its cable against the exhaust. [m]"""
    cable = look.subject in look.assembly.joins
    gap = look.amount("gap_to_exhaust" if cable else "starter_gap_to_exhaust")
    limit = look.limit("starter_gap_to_exhaust")
    guard = "heat_shield" if cable else "starter_heat_shield"
    if excused(look, gap < limit, guard):
        return None
    return look.trip_if(gap < limit, gap=gap, limit=limit)


@rule("el-wire-heat", over=wires(*ROUTED), reads=("gap_to_exhaust", "heat_sleeve", "heat_shield"))
def wires_lie_cool(look: Look) -> Trip | None:
    """Wires without a sleeve or a metal shield against the exhaust. [m]"""
    gap, limit = look.amount("gap_to_exhaust"), look.limit("wire_gap_to_exhaust")
    if excused(look, gap < limit, "heat_sleeve") or look.said("heat_shield").content is True:
        return None
    return look.trip_if(gap < limit, gap=gap, limit=limit)


@rule("el-wire-fuel", over=wires(*ROUTED), reads=("gap_to_fuel_line", "clamped_rigidly"))
def wires_keep_off_fuel(look: Look) -> Trip | None:
    """Wires against fuel lines. [m]"""
    gap, limit = look.amount("gap_to_fuel_line"), look.limit("wire_gap_to_fuel_line")
    target = look.limit("wire_fuel_target")
    if excused(look, gap < limit, "clamped_rigidly"):
        return None
    return look.trip_if(gap < limit, gap=gap, limit=limit, target=target)


@rule("el-wire-support", over=wires(*ROUTED), reads=("wire_support_pitch", "wire_sag"))
def wires_are_clipped(look: Look) -> Trip | None:
    """Clips of wires, and how far the wires give between them. [m]"""
    pitch, sag = "wire_support_pitch", "wire_sag"

    def tell(name: str) -> Trip | None:
        holds = look.amount(name) > look.limit(name)
        return look.trip_if(holds, pitch=or_words(look, pitch), sag=or_words(look, sag))

    return first_trip(look, lambda: tell(pitch), lambda: tell(sag))


@rule(
    "el-grommet",
    over=wires(*ROUTED),
    reads=("passes_metal_edge", "grommet", "clearance_in_hole"),
)
def holes_do_not_cut(look: Look) -> Trip | None:
    """Wires in holes: a grommet, or a clamp that keeps them off the edge. [m]"""
    if not look.yes("passes_metal_edge") or look.yes("grommet"):
        return None
    limit = look.limit("clearance_in_hole")
    if look.absent("clearance_in_hole"):
        return look.trip(clearance="no clamp", limit=limit)
    clearance = look.amount("clearance_in_hole")
    return look.trip_if(clearance < limit, clearance=clearance, limit=limit)


@rule("el-bend", over=wires(*ROUTED), reads=("tightest_bend", "outside_diameter"))
def bends_are_wide(look: Look) -> Trip | None:
    """Tightest bend against the diameter of the bundle. [m]"""
    radius = look.amount("tightest_bend")
    least = look.factor("bend_radius_over_diameter") * look.amount("outside_diameter")
    return look.trip_if(radius < least, radius=radius, least=least)


@rule("el-engine-slack", over=wires(*ACROSS_THE_MOUNTS), reads=("loop_allows_engine_travel",))
def loom_lets_engine_rock(look: Look) -> Trip | None:
    """A loop in what runs from the body to the engine."""
    if not look.crosses_to_engine():
        return None
    return look.trip_if(not look.yes("loop_allows_engine_travel"))


@rule("el-moving-clear", over=wires(*ROUTED), reads=("gap_to_moving_part",))
def wires_keep_off_moving_parts(look: Look) -> Trip | None:
    """Wires against belt, shaft, pedal and column. [m]"""
    gap, limit = look.amount("gap_to_moving_part"), look.limit("wire_gap_to_moving_part")
    return look.trip_if(gap < limit, gap=gap, limit=limit)


RULES: tuple[Rule, ...] = (
    engine_hangs_on_battery,
    body_hangs_on_battery,
    ground_lies_on_metal,
    computer_ground_is_its_own,
    starter_lies_cool,
    wires_lie_cool,
    wires_keep_off_fuel,
    wires_are_clipped,
    holes_do_not_cut,
    bends_are_wide,
    loom_lets_engine_rock,
    wires_keep_off_moving_parts,
)
