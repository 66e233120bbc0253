"""Operating cases that ship, and as a build changes them."""

from collections.abc import Mapping
from functools import cache

from swapwright.library.circuit_data import FOLDER
from swapwright.model.build import Build, Case
from swapwright.model.shipped import shipped_tree


@cache
def shipped_cases() -> Mapping[str, Case]:
    """All cases by id, from ``library/circuits/cases.yaml``."""
    return {
        name: Case.model_validate(tree)
        for name, tree in shipped_tree(*FOLDER, "cases.yaml").items()
    }


def cases_of(build: Build) -> Mapping[str, Case]:
    """Shipped cases as this build changes them, and its own. An own one must say all."""
    shipped = dict(shipped_cases())
    for name, own in build.cases.items():
        shipped[name] = _laid_over(shipped[name], own) if name in shipped else own
    return shipped


def _laid_over(below: Case, above: Case) -> Case:
    said = {name: getattr(above, name) for name in above.model_fields_set}
    return below.model_copy(update=said)


def lacking(case: Case) -> tuple[str, ...]:
    """What a case of a build's own leaves out, in the words of its fields."""
    wanted = {
        "engine_speed, speed_share or idle": (case.engine_speed, case.speed_share, case.idle),
        "power, power_share or grade": (case.power, case.power_share, case.grade),
        "road_speed or at_top_speed": (case.road_speed, case.at_top_speed),
        "air": (case.air,),
    }
    left_out = [name for name, values in wanted.items() if not any(each.known for each in values)]
    return (*left_out, *(() if case.fan else ("fan",)), *(() if case.heater else ("heater",)))
