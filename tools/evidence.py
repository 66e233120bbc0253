"""The page that says what was checked against what: read off the published checks themselves."""

import ast
import io
import tokenize
from collections.abc import Iterator
from pathlib import Path
from textwrap import wrap

CHECKS = Path(__file__).parent.parent / "tests" / "published"
WIDTH = 120
HEAD = """\
What was checked against the outside: each line is a test in `tests/published`, with its source
as it stands beside it. How closely it has to agree is in the test. Made by `tools/make_docs.py`.
What only has to hold (balances, monotony, symmetry, independence of order) stands in
`tests/physics`, `tests/chance` and `tests/circuits`."""
NOT_CHECKED = (
    "A whole car: no measured warm-up, hill or soak stands against what is computed. Steady "
    "circuits are checked law by law, by balances, and by solving one thing in two ways.",
    "Typical values of engines, radiators, fans and hoses: starting figures from memory, each "
    "with its band and marked so.",
    "The velocity that carries air along below 50 mm bore: the law was measured on large pipes; "
    "its band is our own.",
    "Soak after the stop and failures: two bodies, checked against closed forms and against the "
    "steady solution only.",
    "Losses of tees by their flow ratio inside a circuit: each way has a fixed coefficient.",
)


def evidence_page() -> str:
    """All checks against the outside, by subject, with their sources."""
    return "\n".join(_page()) + "\n"


def _page() -> Iterator[str]:
    yield f"# Evidence\n\n{HEAD}"
    for path in sorted(CHECKS.glob("test_*.py")):
        yield from _file(path)
    yield "\n## What is not checked\n"
    for line in NOT_CHECKED:
        yield from _item(line)


def _file(path: Path) -> Iterator[str]:
    text = path.read_text("utf-8")
    tree, comments = ast.parse(text), _comments(text)
    title = (ast.get_docstring(tree) or path.stem).splitlines()[0]
    yield f"\n## {title.rstrip('.')}\n\n`tests/published/{path.name}`\n"
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            first = min([node.lineno, *(each.lineno for each in node.decorator_list)])
            while first - 1 in comments:
                first -= 1
            last = node.end_lineno or node.lineno
            told = [comments[line] for line in range(first, last + 1) if line in comments]
            told += [" ".join((ast.get_docstring(node) or "").split())]
            source = " ".join(each for each in told if each)
            name = node.name.removeprefix("test_").replace("_", " ")
            yield from _item(f"{name}: {source}" if source else name)


def _item(text: str) -> Iterator[str]:
    lines = wrap(text, WIDTH, initial_indent="- ", subsequent_indent="  ", break_on_hyphens=False)
    yield "\n".join(lines)


def _comments(text: str) -> dict[int, str]:
    """Comments by line, those for other tools left out."""
    found = {}
    for token in tokenize.generate_tokens(io.StringIO(text).readline):
        told = token.string.lstrip("# ").rstrip()
        if token.type == tokenize.COMMENT and not told.startswith(("fmt:", "noqa", "type:", "---")):
            found[token.start[0]] = told
    return found
