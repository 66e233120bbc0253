"""Into which of the three piles a crossing falls; the first test that is true decides."""

from swapwright.crossings.mating import Mating, Verdict
from swapwright.library.risks import pile_table
from swapwright.model.assembly import AssembledPort, Assembly
from swapwright.model.message import Message
from swapwright.model.words import FateWord, Pile, Service
from swapwright.quantity import Measure


def pile_of(
    assembly: Assembly,
    car: AssembledPort | None,
    newcomer: AssembledPort | None,
    mating: Mating | None,
    proved: bool,
) -> tuple[Pile, Message]:
    """The pile of one crossing and why; proved red lines let it move on."""
    ends = [end for end in (car, newcomer) if end is not None]
    if not proved:
        hurts = _hurts(assembly, ends, car is not None)
        if hurts is not None:
            return Pile.HURT, hurts
    carries = _carries_over(assembly, ends, mating)
    if carries is not None:
        return Pile.CARRIES, carries
    if all(assembly.fate(end.id) is not FateWord.OPEN for end in ends):
        return Pile.DECIDE, Message("decided; not shown to carry over")
    return Pile.DECIDE, Message("not yet shown to carry over")


def _hurts(assembly: Assembly, ends: list[AssembledPort], has_car_half: bool) -> Message | None:
    table = pile_table()
    for end in ends:
        if end.service in table.services:
            return Message(table.services[end.service])
        on_car = has_car_half or (end.family is not None and end.family.car_half)
        if on_car and end.service in table.services_with_car_half:
            return Message(table.services_with_car_half[end.service])
        if end.family is not None and end.family.id in table.families:
            return Message(table.families[end.family.id])
    return _joined_anew(assembly, ends)


def _joined_anew(assembly: Assembly, ends: list[AssembledPort]) -> Message | None:
    """The rating from which a new join can hurt, where two ends are not both kept as they were."""
    if len(ends) < 2 or all(assembly.fate(end.id) is FateWord.KEPT for end in ends):
        return None
    for threshold in pile_table().thresholds:
        if threshold.unless and _is_measured(assembly, ends[0], threshold.unless):
            continue
        for end in ends:
            content = assembly.fact(end.id, threshold.fact).content
            # A value typed as 3 bar must count as 3 bar whatever its binary form.
            if isinstance(content, Measure) and content.nominal >= threshold.at_least * (1 - 1e-9):
                return Message(threshold.why)
    return None


def _is_measured(assembly: Assembly, end: AssembledPort, fact: str) -> bool:
    """True when the join of an end says how much; unknown and absent do not count."""
    join = assembly.join_of.get(end.id)
    return join is not None and isinstance(assembly.fact(join.id, fact).content, Measure)


def _carries_over(
    assembly: Assembly, ends: list[AssembledPort], mating: Mating | None
) -> Message | None:
    fates = [assembly.fate(end.id) for end in ends]
    if all(fate is FateWord.KEPT for fate in fates):
        return Message("kept as it was")
    if len(ends) == 1 and fates[0] is FateWord.OPEN and _is_whole(ends[0]):
        return Message("stays whole on its own side")
    if len(ends) < 2 or mating is None or mating.verdict is not Verdict.MATES:
        return None
    same = ends[0].service is ends[1].service and ends[0].service is not Service.UNKNOWN
    there = all(end.there == "yes" and _plug_seen(end) for end in ends)
    if same and there and _ratings_suffice(assembly, ends):
        return Message("both ends seen, one service, and they mate")
    return None


def _is_whole(end: AssembledPort) -> bool:
    """True for an end whose other half is on its own side, and known to be there."""
    family = end.family
    if family is None or (family.newcomer_half and family.car_half):
        return False
    return end.there == "yes" and end.service is not Service.UNKNOWN and _plug_seen(end)


def _plug_seen(end: AssembledPort) -> bool:
    plug = end.record.plug
    return plug is None or not plug.mate or plug.mate_seen.content is True


RATINGS = {
    Service.ELECTRICAL: ("current",),
    Service.GROUND: ("current",),
    Service.SUPPORT: ("load_limit",),
    Service.DRIVE: ("torque_limit",),
    Service.CABLE_PULL: (),
}
FLUID_RATINGS = ("pressure_limit", "temperature_limit")


def _ratings_suffice(assembly: Assembly, ends: list[AssembledPort]) -> bool:
    """The first end, the car's, stands what the other brings; unknown does not suffice."""
    for fact in RATINGS.get(ends[0].service, FLUID_RATINGS):
        stands, brings = (assembly.fact(end.id, fact).content for end in ends)
        if not isinstance(stands, Measure) or not isinstance(brings, Measure):
            return False
        if stands.nominal < brings.nominal * (1 - 1e-9):
            return False
    return True
