"""Rules on feeds, fuses, charging, control units and signals."""

from swapwright.findings.above_zero import above_zero
from swapwright.findings.kit import (
    Look,
    Rule,
    Trip,
    ports_in,
    rule,
    the_build,
    the_car,
    the_engine,
)
from swapwright.findings.wires import (
    COMPUTER_FEEDS,
    COMPUTER_LINES,
    FEEDS,
    LOST,
    alternator_current,
    either,
    feeds_power,
    first_known,
    first_trip,
    load_current,
    of_this_join,
    or_words,
    ports_of_unit,
    stays,
    unit_ports,
    wires,
    without_join,
)
from swapwright.model.amount import Amount, Chance, derived
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.values import ABSENT
from swapwright.model.words import Flow, Side
from swapwright.quantity import Dimension

LOAD = ("current", "alternator_current")


def exciter_current(voltage: float, lamp_power: float, resistance: float) -> float:
    """Current that a charge lamp, with a resistor beside it, lets through to an alternator at rest.

    Parameters
    ----------
    voltage : float
        Of the system; the lamp terminal of a standing alternator lies near ground. [V]
    lamp_power : float
        Of the lamp at that voltage; 0 without a lamp. [W]
    resistance : float
        Of the resistor in parallel; infinite without one. [Ω]

    Returns
    -------
    current : float
        ``P / U + U / R`` [A]

    References
    ----------
    Laws of Ohm and Joule. A filament that does not glow fully has less resistance than
    this and passes more.
    """
    return lamp_power / voltage + voltage / resistance


# -- fuses and wires ---------------------------------------------------------


@rule(
    "el-unfused",
    over=either(wires(*FEEDS), without_join("bpos")),
    reads=("control_wire", "fuse_rating", "fuse_distance"),
)
def feed_has_fuse_at_source(look: Look) -> Trip | None:
    """A fuse near the source in every feed but the starter's. [m]"""
    stays(look)
    feeds_power(look)
    limit = look.limit("fuse_distance_greatest")
    rating = look.said("fuse_rating")
    if (rating.known and look.absent("fuse_rating")) or look.absent("fuse_distance"):
        return look.trip(distance="no fuse", limit=limit)
    distance = look.amount("fuse_distance")
    return look.trip_if(distance > limit, distance=distance, limit=limit)


@rule(
    "el-fuse-gt-wire",
    over=wires(*FEEDS, "trig", "rev"),
    reads=("control_wire", "fuse_rating", "wire_allowable_current"),
)
def fuse_suits_wire(look: Look) -> Trip | None:
    """Fuse against what its wire may carry where it lies. [A]"""
    feeds_power(look)
    fuse = look.amount("fuse_rating")
    allowed = look.amount("wire_allowable_current")
    limit = look.factor("fuse_over_allowable_current") * allowed
    return look.trip_if(fuse > limit, fuse=fuse, allowed=allowed)


@rule(
    "el-fuse-lt-load",
    over=wires(*FEEDS, "rev"),
    reads=("control_wire", "fuse_rating", *LOAD),
)
def fuse_stands_load(look: Look) -> Trip | None:
    """Fuse against the steady load. [A]"""
    feeds_power(look)
    fuse, load = look.amount("fuse_rating"), load_current(look)
    needed = look.factor("fuse_over_steady_load") * load
    return look.trip_if(fuse < needed, fuse=fuse, load=load, needed=needed)


@rule(
    "el-vdrop-main",
    over=either(wires("bpos"), without_join("bpos")),
    reads=("feed_voltage_drop", "system_voltage"),
)
def main_feed_keeps_its_voltage(look: Look) -> Trip | None:
    """Measured drop from battery to fuse box as a share of the system's voltage. [V]"""
    stays(look)
    drop = look.amount("feed_voltage_drop")
    limit = look.factor("main_feed_drop") * look.amount("system_voltage", look.assembly.recipient)
    return look.trip_if(drop > limit, drop=drop, limit=limit)


@rule(
    "el-vdrop-load",
    over=either(wires("pump", "fan", "ecu", "coil", "glow", "bayf"), unit_ports("gecu")),
    reads=("control_wire", "feed_voltage_drop", "sensor_ground_drop"),
)
def load_gets_its_voltage(look: Look) -> Trip | None:
    """Measured drop of a loaded feed, or between sensor ground and battery. [V]"""
    feeds_power(look)
    sensor = look.subject in look.assembly.ports
    limit = look.limit("sensor_ground_drop" if sensor else "load_drop")
    drop = look.amount("sensor_ground_drop" if sensor else "feed_voltage_drop")
    return look.trip_if(drop > limit, drop=drop, limit=limit)


@rule("el-crank-drop", over=the_engine, reads=("crank_drop_positive", "crank_drop_ground"))
def starter_gets_its_voltage(look: Look) -> Trip | None:
    """Measured drops of the starter circuit while cranking. [V]"""
    positive, ground = "crank_drop_positive", "crank_drop_ground"

    most, most_ground = look.limit(positive), look.limit(ground)

    def tell(holds: Chance) -> Trip | None:
        plus, minus = or_words(look, positive), or_words(look, ground)
        return look.trip_if(holds, positive=plus, ground=minus, most=most, most_ground=most_ground)

    return first_trip(
        look,
        lambda: tell(look.amount(positive) > most),
        lambda: tell(look.amount(ground) > most_ground),
        lambda: tell(look.amount(positive) + look.amount(ground) > look.limit("crank_drop_both")),
    )


@rule(
    "el-alt-wire",
    over=wires("alt"),
    reads=("wire_allowable_current", "fuse_rating", *LOAD),
)
def charging_cable_stands_alternator(look: Look) -> Trip | None:
    """Cable and fuse of the alternator against its rating. [A]"""
    rating = alternator_current(look)

    def tell(carries: str) -> Trip | None:
        return look.trip_if(
            look.amount(carries) < rating,
            rating=rating,
            wire=or_words(look, "wire_allowable_current", "an unknown current"),
            fuse=_fuse_in_words(look),
        )

    def fuse_below() -> Trip | None:
        return None if look.absent("fuse_rating") else tell("fuse_rating")

    return first_trip(look, lambda: tell("wire_allowable_current"), fuse_below)


def _fuse_in_words(look: Look) -> Amount | str:
    fuse = look.said("fuse_rating")
    if fuse.content is ABSENT:
        return "missing"
    return or_words(look, "fuse_rating", "of unknown size")


@rule(
    "el-inrush",
    over=wires("pump", "fan"),
    reads=("control_wire", "relay_make_current", "peak_current", *LOAD),
)
def relay_stands_start(look: Look) -> Trip | None:
    """What the relay may make against the start of a motor. [A]"""
    feeds_power(look)
    make = look.amount("relay_make_current")
    start = look.factor("start_over_steady_current") * load_current(look)
    for port in look.assembly.joins[look.subject].ends:
        if look.assembly.fact(port.id, "peak_current").known:
            measured = look.amount("peak_current", port.id)
            start = max(start, measured, key=lambda each: each.nominal)
    return look.trip_if(make < start, make=make, start=start)


@rule("el-splice", over=wires(*COMPUTER_LINES), reads=("worst_splice",))
def splices_are_crimped(look: Look) -> Trip | None:
    """Weakest splice in a line of the control unit."""
    splice = look.choice("worst_splice")
    return look.trip_if(splice in ("twisted", "pierced by a tap", "soldered alone"), splice=splice)


# -- charging and the old system ---------------------------------------------


@rule("el-ammeter", over=the_car, reads=("charging_through_dashboard",))
def charge_bypasses_dashboard(look: Look) -> Trip | None:
    """Charging current of the new alternator past the old ammeter or loop."""
    return look.trip_if(look.yes("charging_through_dashboard"))


@rule(
    "el-exciter",
    over=unit_ports("exc"),
    reads=(
        "exciter_current_needed", "current", "system_voltage", "lamp_power", "exciter_resistance",
    ),
)  # fmt: skip
def alternator_is_excited(look: Look) -> Trip | None:
    """Current through charge lamp and resistor against what the alternator wants. [A]"""
    assembly = look.assembly
    needed = first_known(
        look, ("exciter_current_needed", assembly.engine), ("current", look.subject)
    )
    fate, join = look.fate(), assembly.join_of.get(look.subject)
    if fate in LOST:
        return look.trip(given="no current", needed=needed)
    wire = join.id if join else look.subject
    lamp = join.other(look.subject).id if join else look.subject
    given = _exciter_current(look, wire, lamp)
    return look.trip_if(given < needed, given=given, needed=needed)


def _exciter_current(look: Look, wire: str, lamp: str) -> Amount:
    voltage = above_zero(look, "system_voltage", look.assembly.recipient)
    power = Amount(0.0, 0.0, Dimension.POWER)
    resistor = Amount(float("inf"), 0.0, Dimension.RESISTANCE)
    if not look.absent("lamp_power", lamp):
        power = look.amount("lamp_power", lamp)
    if not look.absent("exciter_resistance", wire):
        resistor = above_zero(look, "exciter_resistance", wire)
    return derived(exciter_current, (voltage, power, resistor), Dimension.CURRENT)


@rule("el-polarity", over=the_car, reads=("ground_polarity", "electronics_fitted"))
def electronics_meet_negative_ground(look: Look) -> Trip | None:
    """Electronics of the newcomer in a car with its positive post on the body."""
    if look.choice("ground_polarity") != "positive" or not look.assembly.engine:
        return None
    return look.trip_if(look.yes("electronics_fitted", look.assembly.engine))


@rule("el-oldreg", over=the_car, reads=("old_regulator_live",))
def old_regulator_is_dead(look: Look) -> Trip | None:
    """Regulator and resistors of the old charging system."""
    return look.trip_if(look.yes("old_regulator_live"))


@rule("el-budget", over=the_build, reads=("load_at_idle", *LOAD))
def alternator_carries_idle(look: Look) -> Trip | None:
    """Loads at idle against what the alternator gives there. [A]"""
    load = look.amount("load_at_idle")
    share, rating = look.limit("alternator_share_at_idle"), alternator_current(look)
    given = derived(lambda part, whole: part * whole, (share, rating), Dimension.CURRENT)
    return look.trip_if(load > given, load=load, given=given, rating=rating)


@rule("el-keyoff", over=the_build, reads=("key_off_current",))
def battery_rests(look: Look) -> Trip | None:
    """What is drawn with the key off. [A]"""
    draw, limit = look.amount("key_off_current"), look.limit("key_off_current")
    return look.trip_if(draw > limit, draw=draw, limit=limit)


@rule(
    "el-battery-hold",
    over=the_car,
    reads=("battery_clamped", "positive_post_covered", "battery_place", "battery_vented"),
)
def battery_is_held_covered_vented(look: Look) -> Trip | None:
    """Clamp and cover of the battery, and its gas where people sit."""
    return first_trip(
        look,
        lambda: look.trip_if(not look.yes("battery_clamped"), what="is not clamped"),
        lambda: look.trip_if(
            not look.yes("positive_post_covered"), what="has its positive post bare"
        ),
        lambda: look.trip_if(_gasses_into_car(look), what="gasses into the car"),
    )


def _gasses_into_car(look: Look) -> bool:
    inside = look.choice("battery_place") in ("boot", "cabin")
    return inside and not look.yes("battery_vented")


# -- key switch and control unit ---------------------------------------------


@rule("el-switch-load", over=the_build, reads=("ignition_switch_load_added",))
def key_switch_stands_load(look: Look) -> Trip | None:
    """What the key switch carries beyond what it was made for. [A]"""
    added, limit = look.amount("ignition_switch_load_added"), look.limit("ignition_switch_load")
    return look.trip_if(added > limit, added=added, limit=limit)


@rule("el-crank-dead", over=wires(*COMPUTER_FEEDS), reads=("live_while_cranking",))
def feed_lives_while_cranking(look: Look) -> Trip | None:
    """Feed of control unit or coil while the starter turns."""
    return look.trip_if(not look.yes("live_while_cranking"))


@rule("el-ballast", over=wires(*COMPUTER_FEEDS), reads=("resistance_wire_in_feed",))
def feed_has_no_ballast(look: Look) -> Trip | None:
    """Resistance wire of the old coil in the feed of control unit or coil."""
    return look.trip_if(look.yes("resistance_wire_in_feed"))


@rule("el-backfeed", over=the_engine, reads=("relay_held_by_backfeed",))
def key_off_is_off(look: Look) -> Trip | None:
    """A path by which alternator or fan keeps the main relay pulled in."""
    return look.trip_if(look.yes("relay_held_by_backfeed"))


@rule("el-immo", over=unit_ports("key"), reads=("key_set_complete",))
def key_set_is_one(look: Look) -> Trip | None:
    """Control unit, reader and key of one car."""
    return look.trip_if(not look.yes("key_set_complete", look.assembly.engine))


def _engine_with_computer(assembly: Assembly) -> tuple[str, ...]:
    return the_engine(assembly) if ports_of_unit(assembly, "ecu") else ()


@rule(
    "el-ecu-place",
    over=_engine_with_computer,
    reads=("computer_place_temperature", "computer_splashed", "computer_sealed"),
)
def computer_lies_cool_and_dry(look: Look) -> Trip | None:
    """Heat and water where the control unit sits. [K]"""
    heat, limit = "computer_place_temperature", look.limit("computer_place_temperature")

    def too_hot() -> Trip | None:
        found, what = look.amount(heat), "gets as hot as"
        return look.trip_if(found > limit, what=what, found=found, wanted=limit, bound="at most")

    def too_wet() -> Trip | None:
        wet = look.yes("computer_splashed") and not look.yes("computer_sealed")
        what, found, wanted = "lets water reach", "a case that is not sealed", "a dry place"
        return look.trip_if(wet, what=what, found=found, wanted=wanted, bound="or a sealed case")

    return first_trip(look, too_hot, too_wet)


@rule("el-pin-open", over=_engine_with_computer, reads=("undecided_pins",))
def pins_are_decided(look: Look) -> Trip | None:
    """Pins of the donor's plugs that nobody decided about."""
    count = look.count("undecided_pins")
    return look.trip_if(count > 0, count=count)


@rule("el-level", over=wires("tmp", "tach", "vss"), reads=("signal_resistance", "pulses_per_turn"))
def signal_suits_receiver(look: Look) -> Trip | None:
    """What one end sends against what the other is made for. [Ω or pulses a turn]"""
    name = "signal_resistance" if of_this_join(look, ("tmp",)) else "pulses_per_turn"
    first, second = sorted(look.assembly.joins[look.subject].ends, key=_sender_first)
    given, wanted = look.amount(name, first.id), look.amount(name, second.id)
    spread = look.factor("signal_mismatch")
    holds = (given > (1 + spread) * wanted) | (given < (1 - spread) * wanted)
    return look.trip_if(holds, given=given, wanted=wanted)


def _sender_first(port: AssembledPort) -> tuple[bool, bool]:
    """Sorts the half that makes the signal first; of a gauge's sender, the engine's half."""
    return port.flow is Flow.IN, port.side is not Side.NEWCOMER


# -- what the car must show and keep -----------------------------------------


def _lost_port(look: Look) -> Trip | None:
    fate = look.fate()
    return look.trip_if(fate in LOST, fate=fate)


@rule("el-obd", over=unit_ports("diag", "mil"))
def diagnosis_stays(look: Look) -> Trip | None:
    """Diagnosis socket and check lamp of the newcomer."""
    return _lost_port(look)


@rule("el-airbag", over=ports_in("abs", side=Side.CAR), reads=("safety_circuit_sound",))
def safety_circuits_stay(look: Look) -> Trip | None:
    """Airbag and anti-lock circuits of the car, neither cut nor dead."""
    fate = look.fate()
    if fate in LOST:
        return look.trip(state=str(fate))
    return look.trip_if(
        not look.yes("safety_circuit_sound"), state="not sound when the key is turned on"
    )


@rule("el-reverse-neutral", over=unit_ports("rev", "inh"))
def reversing_lamp_and_inhibit_stay(look: Look) -> Trip | None:
    """Reversing lamp and start inhibit of the gearbox."""
    return _lost_port(look)


RULES: tuple[Rule, ...] = (
    feed_has_fuse_at_source,
    fuse_suits_wire,
    fuse_stands_load,
    main_feed_keeps_its_voltage,
    load_gets_its_voltage,
    starter_gets_its_voltage,
    charging_cable_stands_alternator,
    charge_bypasses_dashboard,
    alternator_is_excited,
    electronics_meet_negative_ground,
    old_regulator_is_dead,
    key_switch_stands_load,
    feed_lives_while_cranking,
    feed_has_no_ballast,
    key_off_is_off,
    pins_are_decided,
    signal_suits_receiver,
    key_set_is_one,
    relay_stands_start,
    alternator_carries_idle,
    battery_is_held_covered_vented,
    splices_are_crimped,
    computer_lies_cool_and_dry,
    diagnosis_stays,
    safety_circuits_stay,
    battery_rests,
    reversing_lamp_and_inhibit_stay,
)
