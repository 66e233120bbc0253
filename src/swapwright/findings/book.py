"""The whole rule book: one plain tuple from the modules of each system."""

from swapwright.findings import (
    air,
    coolant,
    coolant_hoses,
    driveline,
    electrical,
    exhaust,
    fuel,
    fuel_supply,
    grounds,
    joins,
    mounts,
    oil,
    shafts,
    states,
    structure,
    throttle,
    vapour,
)
from swapwright.findings.kit import Rule

MODULES = (
    joins,
    fuel,
    fuel_supply,
    electrical,
    grounds,
    air,
    throttle,
    driveline,
    shafts,
    mounts,
    structure,
    vapour,
    coolant,
    coolant_hoses,
    oil,
    exhaust,
    states,
)
RULES: tuple[Rule, ...] = tuple(each for module in MODULES for each in module.RULES)
