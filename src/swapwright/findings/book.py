"""The whole rule book: one plain tuple from the modules of each system."""

from swapwright.findings import joins
from swapwright.findings.kit import Rule

MODULES = (joins,)
RULES: tuple[Rule, ...] = tuple(each for module in MODULES for each in module.RULES)
