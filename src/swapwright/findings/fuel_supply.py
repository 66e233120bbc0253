"""Rules on the fuel's tank, pump and engine end: flow, return, starving, cutting off."""

from swapwright.findings.kit import (
    TOO_CLOSE,
    DoesNotApply,
    Look,
    Rule,
    Trip,
    either,
    joins_carrying,
    ports_in,
    rule,
    the_car,
    the_engine,
)
from swapwright.model.amount import Amount, derived
from swapwright.model.assembly import Assembly
from swapwright.model.words import FateWord, Service, Side
from swapwright.quantity import Dimension

INJECTION = ("throttle-body injection", "port injection", "direct injection")
TANKS = ("tank", "swirl pot")
HOT_STEPS = ("weld", "cut", "drill")
LINES = joins_carrying(Service.FUEL_FEED, Service.FUEL_RETURN)


def fuel_demand(power: float, specific_use: float, density: float) -> float:
    """Volume of fuel that an engine burns at full load. [m³/s]

    Parameters
    ----------
    power : float
        At full load. [W]
    specific_use : float
        Fuel burnt for the work done. [kg/J]
    density : float
        Of the fuel. [kg/m³]

    Returns
    -------
    demand : float
        ``P b / ρ``, the definition of specific fuel consumption. [m³/s]
    """
    return power * specific_use / density


def injected(look: Look) -> bool:
    """True when the incoming engine has petrol injection; ends the rule while none is named."""
    if not look.assembly.engine:
        raise DoesNotApply
    return look.choice("fuel_system", of=look.assembly.engine) in INJECTION


def electric_pump(look: Look) -> bool:
    """True when an electric pump feeds the engine; injection leaves no other."""
    if injected(look):
        return True
    return look.choice("fuel_pump_drive", of=look.assembly.recipient) == "electric"


def tanks(assembly: Assembly) -> tuple[str, ...]:
    """Fuel tanks and swirl pots that serve; those of the donor car stay with it."""
    return tuple(
        part.id for part in assembly.parts_of_kind(*TANKS) if part.sheet != assembly.build.donor_car
    )


def returns_of_engine(assembly: Assembly) -> tuple[str, ...]:
    """Joins that take the fuel back from the engine."""
    ends = {port.id for port in assembly.ports_of("fret", side=Side.NEWCOMER)}
    return tuple(
        join.id for join in assembly.joined.values() if ends & {port.id for port in join.ends}
    )


def lines_and_car(assembly: Assembly) -> tuple[str, ...]:
    """Fuel joins, and the car for what else touches fuel."""
    return (*LINES(assembly), *the_car(assembly))


@rule("fuel-intank-hose", over=tanks, reads=("hose_inside_tank", "hose_immersion_class"))
def hose_in_tank_stands_fuel(look: Look) -> Trip | None:
    """Class of a hose that lies in fuel."""
    return look.trip_if(look.yes("hose_inside_tank") and not look.yes("hose_immersion_class"))


@rule(
    "fuel-return-none",
    over=ports_in("fret", side=Side.NEWCOMER),
    reads=("fuel_system", "regulator_near_tank", "return_reaches_tank"),
)
def return_leads_to_the_tank(look: Look) -> Trip | None:
    """Way back to the tank for what the regulator spills."""
    fate = look.fate()
    if fate in (FateWord.KEPT, FateWord.RELOCATED) or not injected(look):
        return None
    if fate is FateWord.JOINED:
        join = look.assembly.join_of[look.subject].id
        if look.yes("return_reaches_tank", of=join):
            return None
    at_tank = look.yes("regulator_near_tank", of=look.assembly.engine)
    return look.trip_if(not at_tank, fate=str(fate))


@rule("fuel-return-back", over=returns_of_engine, reads=("fuel_system", "return_back_pressure"))
def return_flows_freely(look: Look) -> Trip | None:
    """Back-pressure of the return, pump running. [Pa]"""
    if not injected(look):
        return None
    pressure, most = look.amount("return_back_pressure"), look.limit("fuel_return_back_pressure")
    return look.trip_if(pressure > most, pressure=pressure, most=most)


@rule(
    "fuel-pump-flow",
    over=the_engine,
    reads=("fuel_system", "fuel_pump_flow", "rated_power", "specific_fuel_use"),
)
def pump_feeds_full_load(look: Look) -> Trip | None:
    """Flow of the pump at rail pressure against full load, with a margin. [m³/s]"""
    if not injected(look):
        return None
    pump = pump_that_is_known(look.assembly)
    flow = look.amount("fuel_pump_flow", of=pump)
    power, density = look.amount("rated_power"), look.limit("petrol_density")
    demand = derived(fuel_demand, (power, full_load_use(look), density), Dimension.VOLUME_FLOW)
    needed = look.factor("fuel_pump_margin") * demand
    return look.trip_if(flow < needed, flow=flow, needed=needed)


def pump_that_is_known(assembly: Assembly) -> str:
    """Whose pump flow was said: car, pump or engine; the car when nobody's was."""
    pumps = [part.id for part in assembly.parts_of_kind("fuel pump")]
    holders = (assembly.recipient, *pumps, assembly.engine)
    known = (each for each in holders if assembly.fact(each, "fuel_pump_flow").known)
    return next(known, assembly.recipient)


def full_load_use(look: Look) -> Amount:
    """The engine's own consumption when it was said, else the rule book's band."""
    if look.assembly.fact(look.subject, "specific_fuel_use").known:
        return look.amount("specific_fuel_use")
    return look.limit("fuel_use_full_load")


@rule(
    "fuel-pump-lift",
    over=the_car,
    reads=(
        "fuel_system", "fuel_pump_in_tank", "fuel_lift_pump", "fuel_pump_lift", "fuel_suction_bore",
    ),
)  # fmt: skip
def pump_need_not_suck(look: Look) -> Trip | None:
    """Height of the pump over the lowest fuel, bore of its suction. [m]"""
    if not injected(look) or look.yes("fuel_pump_in_tank") or look.yes("fuel_lift_pump"):
        return None

    def too_high(_: Look) -> Trip | None:
        lift, most = look.amount("fuel_pump_lift"), look.limit("fuel_pump_lift")
        what, bound = "pump above the fuel by", "at most"
        return look.trip_if(lift > most, what=what, found=lift, bound=bound, limit=most)

    def too_narrow(_: Look) -> Trip | None:
        bore, least = look.amount("fuel_suction_bore"), look.limit("fuel_suction_bore")
        what, bound = "suction bore", "at least"
        return look.trip_if(bore < least, what=what, found=bore, bound=bound, limit=least)

    return either(look, too_high, too_narrow)


@rule("fuel-starve", over=the_car, reads=("fuel_system", "tank_baffled", "swirl_pot_volume"))
def pickup_stays_covered(look: Look) -> Trip | None:
    """Baffle in the tank, or a swirl pot. [m³]"""
    if not injected(look) or look.yes("tank_baffled"):
        return None
    least = look.limit("fuel_pot_least")
    if look.absent("swirl_pot_volume"):
        return look.trip(pot="none", least=least)
    pot = look.amount("swirl_pot_volume")
    return look.trip_if(pot < least, pot=pot, least=least)


@rule(
    "fuel-pump-runs-on",
    over=the_car,
    reads=("fuel_system", "fuel_pump_drive", "fuel_pump_run_on"),
)
def pump_stops_with_the_engine(look: Look) -> Trip | None:
    """How long the pump runs with key on and engine still. [s]"""
    if not electric_pump(look):
        return None
    time, most = look.amount("fuel_pump_run_on"), look.limit("fuel_pump_run_on")
    return look.trip_if(time > most, time=time, most=most)


@rule("fuel-no-crash-cut", over=the_car, reads=("fuel_system", "fuel_pump_drive", "fuel_crash_cut"))
def crash_cuts_the_pump(look: Look) -> Trip | None:
    """Crash switch in the pump's feed."""
    return look.trip_if(electric_pump(look) and not look.yes("fuel_crash_cut"))


@rule(
    "fuel-filter",
    over=the_car,
    reads=("fuel_system", "fuel_pump_drive", "fuel_strainer", "fuel_fine_filter"),
)
def fuel_is_filtered_twice(look: Look) -> Trip | None:
    """Strainer before, fine filter after the pump."""
    if not electric_pump(look):
        return None
    return either(
        look,
        lambda _: look.trip_if(not look.yes("fuel_strainer"), what="strainer before the pump"),
        lambda _: look.trip_if(not look.yes("fuel_fine_filter"), what="fine filter after the pump"),
    )


@rule(
    "fuel-old-pump",
    over=ports_in("mpmp", side=Side.NEWCOMER),
    reads=("fuel_system", "fuel_pump_drive"),
)
def hole_of_old_pump_is_shut(look: Look) -> Trip | None:
    """Plate over the hole of the mechanical pump, unless that pump feeds a carburettor."""
    fate = look.fate()
    if fate in (FateWord.CAPPED, FateWord.PARKED):
        return None
    stays = fate in (FateWord.JOINED, FateWord.KEPT)
    serves = stays and not electric_pump(look)
    return look.trip_if(not serves, fate=str(fate))


@rule("fuel-carb-overpress", over=the_engine, reads=("fuel_system", "carburettor_fuel_pressure"))
def carburettor_is_not_flooded(look: Look) -> Trip | None:
    """Pressure at the carburettor. [Pa]"""
    if look.choice("fuel_system") != "carburettor":
        return None
    pressure = look.amount("carburettor_fuel_pressure")
    most = look.limit("carburettor_pressure_most")
    return look.trip_if(pressure > most, pressure=pressure, most=most)


@rule(
    "fuel-ethanol",
    over=lines_and_car,
    reads=("fuel_ethanol_share", "hose_ethanol_rated", "fuel_parts_ethanol_rated"),
)
def parts_stand_ethanol(look: Look) -> Trip | None:
    """Ratings of hose and parts where the fuel holds ethanol. [1]"""
    is_join = look.subject in look.assembly.joins
    if is_join:
        look.carries(Service.FUEL_FEED, Service.FUEL_RETURN)
    share = look.amount("fuel_ethanol_share", of=look.assembly.build.id)
    too_much = share > look.limit("fuel_ethanol_share")
    fact = "hose_ethanol_rated" if is_join else "fuel_parts_ethanol_rated"
    if too_much.p <= TOO_CLOSE or look.absent(fact) or look.yes(fact):
        return None
    what = "a hose" if is_join else "pump, filter, seals or sender"
    said = look.value("fuel_ethanol_share", of=look.assembly.build.id)
    return look.trip_if(too_much, what=what, share=said)


@rule("fuel-welded-tank", over=the_car, reads=("tank_hot_work", "tank_purge_record"))
def tank_is_purged_before_heat(look: Look) -> Trip | None:
    """Record of the purge before anybody heats a fuel tank."""
    assembly = look.assembly
    tank_ids = set(tanks(assembly))
    in_steps = any(
        step.does in HOT_STEPS and tank_ids & {assembly.resolve(w) for w in step.what}
        for step in assembly.steps.values()
    )
    hot_work = in_steps or look.yes("tank_hot_work")
    return look.trip_if(hot_work and not look.yes("tank_purge_record"))


RULES: tuple[Rule, ...] = (
    hose_in_tank_stands_fuel,
    return_leads_to_the_tank,
    return_flows_freely,
    pump_feeds_full_load,
    pump_need_not_suck,
    pickup_stays_covered,
    pump_stops_with_the_engine,
    crash_cuts_the_pump,
    fuel_is_filtered_twice,
    hole_of_old_pump_is_shut,
    carburettor_is_not_flooded,
    parts_stand_ethanol,
    tank_is_purged_before_heat,
)
