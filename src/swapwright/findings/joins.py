"""Rules on joins of any system: what may not be joined to what."""

from swapwright.findings.kit import Look, Rule, Trip, all_joins, rule
from swapwright.model.words import Flow


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


RULES: tuple[Rule, ...] = (ends_carry_one_service, ends_are_no_two_outlets)
