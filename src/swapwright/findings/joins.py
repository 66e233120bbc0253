"""Rules on joins of any system: what may not be joined to what."""

from swapwright.findings.kit import Look, Rule, Trip, all_joins, rule
from swapwright.model.assembly import Assembly
from swapwright.model.words import FateWord, Flow, Side


def capped_ports(assembly: Assembly) -> tuple[str, ...]:
    """Ports of car and newcomer that are capped for good."""
    sides = (Side.CAR, Side.NEWCOMER)
    return tuple(
        port.id
        for port in assembly.ports.values()
        if port.side in sides and assembly.fate(port.id) is FateWord.CAPPED
    )


@rule("join-unlike", over=all_joins)
def ends_carry_one_service(look: Look) -> Trip | None:
    """Both ends of a join carry the same service."""
    first, second = look.assembly.joins[look.subject].ends
    one, other = look.service(first.id), look.service(second.id)
    return look.trip_if(one != other, first=first.label, one=one, second=second.label, other=other)


@rule("join-two-outlets", over=all_joins)
def ends_are_no_two_outlets(look: Look) -> Trip | None:
    """One end gives what the other takes."""
    first, second = look.assembly.joins[look.subject].ends
    way = look.flow(first.id)
    alike = way == look.flow(second.id) and way is not Flow.NONE
    return look.trip_if(alike, first=first.label, second=second.label, way=way)


@rule("port-must-stay-open", over=capped_ports, reads=("must_stay_open",))
def open_ends_are_not_shut(look: Look) -> Trip | None:
    """An end that has to stay open is not capped."""
    return look.trip_if(look.yes("must_stay_open"), fate=look.fate())


RULES: tuple[Rule, ...] = (ends_carry_one_service, ends_are_no_two_outlets, open_ends_are_not_shut)
