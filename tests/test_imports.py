"""Imports point one way only, and Django stays in its corner.

The checkers take any source tree, so that made-up trees show below that they can fail.
"""

import ast
import subprocess
import sys
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

SOURCE = Path(__file__).parents[1] / "src" / "swapwright"

# What each package, or module that stands alone, may import beside itself.
# Reason: what lies lower can then be read, tested and used without what lies above it;
# a quantity knows no vehicle, a vehicle knows no rule, a rule knows no page.
EVERYTHING = frozenset({"*"})
MAY_IMPORT: Mapping[str, frozenset[str]] = {
    "quantity": frozenset(),
    "model": frozenset({"quantity"}),
    "library": frozenset({"quantity", "model"}),
    "crossings": frozenset({"quantity", "model", "library"}),
    # laws of nature and of chance: no vehicle, no document
    "physics": frozenset(),
    "chance": frozenset({"quantity"}),
    "circuits": frozenset({"quantity", "model", "library", "physics", "chance"}),
    "findings": frozenset(
        {"quantity", "model", "library", "crossings", "physics", "chance", "circuits"}
    ),
    # asks what a crossing list needs, before any rule has been run
    "survey": frozenset({"quantity", "model", "library", "crossings"}),
    "assess": frozenset({"quantity", "model", "library", "crossings", "circuits", "findings"}),
    # changes a sheet and says what that settled, so it asks the pipeline before and after
    "edits": frozenset({"quantity", "model", "library", "crossings", "findings", "assess"}),
    # prints what the ones below found; it finds nothing itself
    "dossier": frozenset(
        {
            "quantity",
            "model",
            "library",
            "crossings",
            "chance",
            "circuits",
            "findings",
            "survey",
            "assess",
            "edits",
        }
    ),
    "cli": EVERYTHING,
    "__main__": frozenset({"cli"}),
    # imported before every other module, so it can import none of them
    "__init__": frozenset(),
}
MAY_USE_DJANGO = frozenset({"store", "work", "web"})


@dataclass(frozen=True)
class Import:
    """One import statement's target, as a dotted module name."""

    line: int
    target: str
    at_load: bool  # runs when the module is loaded, not only for a type checker or a call


@dataclass(frozen=True)
class Module:
    """One source file and what it imports."""

    name: str  # dotted, a package's __init__ under the package's own name
    path: str
    imports: tuple[Import, ...]


def read_tree(root: Path) -> tuple[Module, ...]:
    """Every module under the package folder ``root``, its own imports made absolute."""
    paths = {_module_name(root, path): path for path in sorted(root.rglob("*.py"))}
    return tuple(
        Module(
            name,
            path.relative_to(root.parent).as_posix(),
            tuple(_imports(path, name, frozenset(paths))),
        )
        for name, path in paths.items()
    )


def _module_name(root: Path, path: Path) -> str:
    parts = path.relative_to(root.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _imports(path: Path, name: str, known: frozenset[str]) -> Iterator[Import]:
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    tree = ast.parse(path.read_text(encoding="utf-8"), filename=str(path))
    for node, at_load in _statements(tree, at_load=True):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(node.lineno, alias.name, at_load)
        elif isinstance(node, ast.ImportFrom):
            base = _absolute(node, package)
            for alias in node.names:
                inner = f"{base}.{alias.name}"
                yield Import(node.lineno, inner if inner in known else base, at_load)


def _statements(node: ast.AST, at_load: bool) -> Iterator[tuple[ast.AST, bool]]:
    for child in ast.iter_child_nodes(node):
        yield child, at_load
        if isinstance(child, ast.If) and _asks_for_type_checking(child.test):
            for statement in child.body:
                yield statement, False
                yield from _statements(statement, at_load=False)
            for statement in child.orelse:
                yield statement, at_load
                yield from _statements(statement, at_load)
        else:
            in_call = isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
            yield from _statements(child, at_load and not in_call)


def _asks_for_type_checking(test: ast.expr) -> bool:
    return ast.unparse(test) in {"TYPE_CHECKING", "typing.TYPE_CHECKING"}


def _absolute(node: ast.ImportFrom, package: str) -> str:
    if not node.level:
        return node.module or ""
    parts = package.split(".")
    base = parts[: len(parts) - node.level + 1]
    return ".".join([*base, *([node.module] if node.module else [])])


def _room(module: str) -> str:
    """Name in the table: the package or lone module directly under the root."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def wrong_arrows(
    modules: tuple[Module, ...], may_import: Mapping[str, frozenset[str]]
) -> tuple[str, ...]:
    """Imports that the table forbids, and packages that the table lacks."""
    root = modules[0].name.split(".")[0]
    rooms = sorted({_room(module.name) for module in modules})
    wrong = [f"{room}: not in the table of imports" for room in rooms if room not in may_import]
    for module in modules:
        own = _room(module.name)
        allowed = may_import.get(own, EVERYTHING) | {own, "__init__"}
        for statement in module.imports:
            if statement.target.split(".")[0] != root or allowed >= EVERYTHING:
                continue
            target = _room(statement.target)
            if target not in allowed:
                wrong.append(f"{module.path}:{statement.line}: {own} imports {target}")
    return tuple(wrong)


def import_cycle(modules: tuple[Module, ...]) -> tuple[str, ...]:
    """One cycle of imports that run at load, first module repeated last; else empty."""
    names = {module.name for module in modules}
    graph = {
        module.name: {
            statement.target
            for statement in module.imports
            if statement.at_load and statement.target in names
        }
        for module in modules
    }
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return tuple(error.args[1])
    return ()


def django_outside(modules: tuple[Module, ...]) -> tuple[str, ...]:
    """Places that import Django outside the packages that may."""
    return tuple(
        f"{module.path}:{statement.line}"
        for module in modules
        if _room(module.name) not in MAY_USE_DJANGO
        for statement in module.imports
        if statement.target.split(".")[0] == "django"
    )


# the package itself


def test_imports_point_one_way() -> None:
    assert wrong_arrows(read_tree(SOURCE), MAY_IMPORT) == ()


def test_modules_import_each_other_without_cycle() -> None:
    assert import_cycle(read_tree(SOURCE)) == ()


def test_django_stays_in_its_corner() -> None:
    assert django_outside(read_tree(SOURCE)) == ()


def test_table_itself_has_no_cycle() -> None:
    graph = {room: allowed - EVERYTHING for room, allowed in MAY_IMPORT.items()}
    TopologicalSorter(graph).prepare()


def test_version_needs_nothing_heavy() -> None:
    heavy = {"jinja2", "numpy", "pydantic", "ruamel", "yaml"}
    script = (
        "import sys, swapwright.cli; print(*sorted({m.split('.')[0] for m in sys.modules}), end='')"
    )
    loaded = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, encoding="utf-8"
    ).stdout.split()
    assert "click" in loaded
    assert heavy.isdisjoint(loaded)


# the checkers, on made-up trees


TABLE = {"__init__": frozenset[str](), "low": frozenset[str](), "high": frozenset({"low"})}


def tree(folder: Path, files: Mapping[str, str]) -> tuple[Module, ...]:
    """Write ``files`` as the package ``house`` and read it back."""
    for name, text in {"__init__.py": "", **files}.items():
        path = folder / "house" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return read_tree(folder / "house")


def test_downward_arrow_passes(tmp_path: Path) -> None:
    modules = tree(
        tmp_path,
        {
            "low/__init__.py": "",
            "low/a.py": "import json\nfrom house import __version__\nfrom . import b",
            "low/b.py": "X = 1",
            "high.py": "from house.low.a import b",
        },
    )
    assert len(modules) == 5
    assert wrong_arrows(modules, TABLE) == ()
    assert import_cycle(modules) == ()


def test_upward_arrow_is_caught_however_it_is_written(tmp_path: Path) -> None:
    statements = (
        "import house.high",
        "from house.high import X",
        "from house import high",
        "from .. import high",
        "from ..high import X",
        "def later():\n    from house.high import X",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from house.high import X",
        "try:\n    import house.high\nexcept ImportError:\n    pass",
    )
    for number, statement in enumerate(statements):
        files = {"low/__init__.py": "", "low/a.py": statement, "high.py": "X = 1"}
        wrong = wrong_arrows(tree(tmp_path / str(number), files), TABLE)
        line = statement.count("\n", 0, statement.index("high")) + 1
        assert wrong == (f"house/low/a.py:{line}: low imports high",), statement


def test_package_missing_from_the_table_is_caught(tmp_path: Path) -> None:
    modules = tree(tmp_path, {"attic/__init__.py": "", "attic/a.py": "from house import low"})
    assert wrong_arrows(modules, TABLE) == ("attic: not in the table of imports",)


def test_cycle_is_caught(tmp_path: Path) -> None:
    modules = tree(
        tmp_path,
        {
            "low/__init__.py": "",
            "low/a.py": "from house.low.b import X",
            "low/b.py": "from . import c",
            "low/c.py": "import house.low.a",
        },
    )
    cycle = import_cycle(modules)
    assert cycle[0] == cycle[-1]
    assert set(cycle) == {"house.low.a", "house.low.b", "house.low.c"}


def test_cycle_through_the_package_itself_is_caught(tmp_path: Path) -> None:
    modules = tree(
        tmp_path,
        {"low/__init__.py": "from house.low.a import X", "low/a.py": "from house.low import X"},
    )
    assert set(import_cycle(modules)) == {"house.low", "house.low.a"}


def test_import_for_types_or_inside_a_call_makes_no_cycle(tmp_path: Path) -> None:
    modules = tree(
        tmp_path,
        {
            "low/__init__.py": "",
            "low/a.py": "from house.low import b",
            "low/b.py": (
                "import typing\nif typing.TYPE_CHECKING:\n    from house.low import a\n"
                "else:\n    import json\n"
                "def later():\n    from house.low import a"
            ),
        },
    )
    assert import_cycle(modules) == ()


def test_import_under_else_of_type_checking_counts(tmp_path: Path) -> None:
    late = "import typing\nif typing.TYPE_CHECKING:\n    pass\nelse:\n    from house.low import a"
    modules = tree(
        tmp_path,
        {"low/__init__.py": "", "low/a.py": "from house.low import b", "low/b.py": late},
    )
    assert set(import_cycle(modules)) == {"house.low.a", "house.low.b"}


def test_django_outside_its_corner_is_caught(tmp_path: Path) -> None:
    modules = tree(
        tmp_path,
        {
            "low.py": "X = 1\ndef later():\n    from django.db import models",
            "web/__init__.py": "",
            "web/views.py": "import django.http",
        },
    )
    assert django_outside(modules) == ("house/low.py:3",)
