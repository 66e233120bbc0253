"""Rules on emissions, papers and approval: no law is stated, only what to settle with whom."""

from swapwright.findings.kit import (
    Lacking,
    Look,
    Rule,
    Trip,
    either,
    ports_in,
    rule,
    the_build,
    the_engine,
)
from swapwright.model.assembly import Assembly
from swapwright.model.words import FateWord, Side, Urgency

DEVICES = ("purge", "pcv", "egr", "sair", "cat", "lam")
DIAGNOSIS = ("diag", "mil")
HAS_PLACE = (FateWord.JOINED, FateWord.KEPT, FateWord.RELOCATED)
CLASSES = ("passenger car", "light goods vehicle", "heavy goods vehicle", "machine or boat")
LOOSELY = "loosely"


def year(look: Look, sheet: str) -> int:
    """Year of a vehicle or engine."""
    held = look.assembly.sheets[sheet].year.content
    if not isinstance(held, int):
        raise Lacking(sheet, "year")
    return held


def eased(look: Look) -> Urgency | None:
    """Only a note where papers are looked at loosely; an unknown inspection counts as strict."""
    try:
        loosely = look.choice("inspection", of=look.assembly.build.id) == LOOSELY
    except Lacking:
        return None
    return Urgency.NOTE if loosely else None


def engine_with_devices(assembly: Assembly) -> tuple[str, ...]:
    """The incoming engine, where it has or may have emission devices."""
    found = assembly.ports_of(*DEVICES, side=Side.NEWCOMER)
    return the_engine(assembly) if found else ()


def engine_with_diagnosis(assembly: Assembly) -> tuple[str, ...]:
    """The incoming engine, where it has or may have a computer that watches itself."""
    found = assembly.ports_of(*DIAGNOSIS, "ecu", side=Side.NEWCOMER)
    return the_engine(assembly) if found else ()


@rule("em-year", over=the_engine, reads=("inspection",))
def engine_is_no_older_than_the_car(look: Look) -> Trip | None:
    """Year of the engine against that of the car."""
    car, engine = year(look, look.assembly.recipient), year(look, look.subject)
    if engine >= car:
        return None
    return look.trip(engine=engine, car=car, urgency=eased(look))


@rule("em-class", over=the_engine, reads=("emission_class", "inspection"))
def engine_is_of_no_laxer_class(look: Look) -> Trip | None:
    """Class in which the engine was certified against that of the car."""
    engine = look.choice("emission_class")
    if engine in (CLASSES[0], "absent"):
        return None
    car = look.choice("emission_class", of=look.assembly.recipient)
    if car == "absent" or CLASSES.index(engine) <= CLASSES.index(car):
        return None
    return look.trip(engine=engine, car=car, urgency=eased(look))


@rule("em-mix", over=engine_with_devices, reads=("emission_parts_mixed", "inspection"))
def emission_parts_are_one_set(look: Look) -> Trip | None:
    """Whether emission parts of two sets are mixed."""
    if not look.yes("emission_parts_mixed"):
        return None
    return look.trip(urgency=eased(look))


@rule("em-missing", over=ports_in(*DEVICES, side=Side.NEWCOMER), reads=("inspection",))
def emission_device_has_a_place(look: Look) -> Trip | None:
    """Fate of each emission device that the engine came with."""
    fate = look.fate()
    if fate in HAS_PLACE:
        return None
    return look.trip(fate=str(fate), urgency=eased(look))


@rule("em-obd", over=engine_with_diagnosis, reads=("diagnosis_altered", "inspection"))
def diagnosis_is_kept(look: Look) -> Trip | None:
    """The computer's self-watching, its socket and its lamp."""

    def program(look: Look) -> Trip | None:
        if not look.yes("diagnosis_altered"):
            return None
        return look.trip(
            what="the program that watches for faults was altered", urgency=eased(look)
        )

    def dropped(port: str) -> Trip | None:
        if not look.there(port) or look.fate(port) in HAS_PLACE:
            return None
        what = f"{look.assembly.label(port)} is {look.fate(port)}"
        return look.trip(what=what, also=(port,), urgency=eased(look))

    ports = [each.id for each in look.assembly.ports_of(*DIAGNOSIS, side=Side.NEWCOMER)]
    return either(look, program, *(lambda _, port=port: dropped(port) for port in ports))


@rule("doc-origin", over=the_engine, reads=("receipt_kept", "engine_number"))
def origin_can_be_shown(look: Look) -> Trip | None:
    """Receipt and number of the engine."""

    def no_receipt(look: Look) -> Trip | None:
        return look.trip_if(not look.yes("receipt_kept"), what="there is no receipt")

    def no_number(look: Look) -> Trip | None:
        return look.trip_if(look.absent("engine_number"), what="it bears no number")

    return either(look, no_receipt, no_number)


@rule("doc-insure", over=the_build, reads=("insurer_told",))
def insurer_knows(look: Look) -> Trip | None:
    """Whether the insurer was told."""
    return look.trip_if(not look.yes("insurer_told"))


@rule("doc-cert", over=the_build, reads=("approval_route_agreed", "inspection"))
def way_to_approval_is_agreed(look: Look) -> Trip | None:
    """Whether authority or certifier named the way to approval; absent: none is needed."""
    try:
        agreed = look.absent("approval_route_agreed") or look.yes("approval_route_agreed")
    except Lacking:
        look.choice("inspection")  # whom to ask comes first
        raise
    return None if agreed else look.trip(urgency=eased(look))


RULES: tuple[Rule, ...] = (
    engine_is_no_older_than_the_car,
    engine_is_of_no_laxer_class,
    emission_parts_are_one_set,
    emission_device_has_a_place,
    diagnosis_is_kept,
    origin_can_be_shown,
    insurer_knows,
    way_to_approval_is_agreed,
)
