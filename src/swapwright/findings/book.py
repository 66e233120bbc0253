"""The whole rule book: one plain tuple from the modules of each system."""

from swapwright.findings import electrical, fuel, fuel_supply, grounds, joins
from swapwright.findings.kit import Rule

MODULES = (joins, fuel, fuel_supply, electrical, grounds)
RULES: tuple[Rule, ...] = tuple(each for module in MODULES for each in module.RULES)
