"""The whole rule book: the ``RULES`` of every module of this package.

A new system is one more module with a plain tuple ``RULES``; nothing is registered elsewhere.
"""

from importlib import import_module
from pkgutil import iter_modules

from swapwright import findings
from swapwright.findings.kit import Rule

_MODULES = (
    import_module(f"{findings.__name__}.{found.name}")
    for found in sorted(iter_modules(findings.__path__), key=lambda each: each.name)
    if found.name != "book"
)
RULES: tuple[Rule, ...] = tuple(
    rule for module in _MODULES for rule in getattr(module, "RULES", ())
)
