"""The whole rule book: one plain tuple from the modules of each system."""

from swapwright.findings import (
    air,
    driveline,
    electrical,
    fuel,
    fuel_supply,
    grounds,
    joins,
    mounts,
    shafts,
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
)
RULES: tuple[Rule, ...] = tuple(each for module in MODULES for each in module.RULES)
