"""Edits of YAML text in place: everything outside the edited value stays as it was, byte for byte.

Places come from the parser's marks. The parsed result is compared with the edited tree, so an
unusual layout leads to a refusal and never to a wrong document.
"""

import re
from dataclasses import dataclass
from typing import TypeAlias

import yaml

from swapwright.edits.writing import block, entry, flow, key_text, scalar
from swapwright.model.faults import Faulty
from swapwright.model.reading import Path, Tree, read_text

BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_Loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


@dataclass(frozen=True)
class Put:
    """Set what stands at a path; mappings on the way are made."""

    path: Path
    value: Tree
    one_line: bool = False  # a mapping goes on one line


@dataclass(frozen=True)
class Append:
    """Add an entry to the list at a path; the list is made when there is none."""

    path: Path
    value: Tree


@dataclass(frozen=True)
class Drop:
    """Remove what stands at a path."""

    path: Path


Operation: TypeAlias = Put | Append | Drop


def rewritten(path: Path, old: Tree, new: dict[str, Tree]) -> tuple[Operation, ...]:
    """Operations that make a mapping out of what stands at a path, name by name.

    What stays the same is not touched, so that remarks on it and between the lines stay too.
    """
    if not isinstance(old, dict) or not old or next(iter(old)) not in new:
        return (Put(path, new, one_line=True),)
    puts = [Put((*path, key), held, True) for key, held in new.items() if old.get(key) != held]
    return (*puts, *(Drop((*path, key)) for key in old if key not in new))


def edited(file: str, text: str, operations: tuple[Operation, ...]) -> str:
    """Apply operations to the text of one document.

    Raises
    ------
    Faulty
        When the text is laid out so that the edit would not say what was meant.
    """
    tree = read_text(file, text).tree
    for operation in operations:
        wanted = on_tree(tree, operation)
        try:
            changed = _on_text(text, operation)
            got = read_text(file, changed).tree
        except (yaml.YAMLError, _Layout):
            changed, got = text, None
        if got != wanted:
            found = "a layout of this place that cannot be edited from here"
            advice = "an edit by hand, or the place written plainly"
            source = read_text(file, text)
            raise Faulty([source.fault(operation.path, found, advice)])
        text, tree = changed, got
    return text


class _Layout(Exception):
    """The text is not laid out as an operation needs it."""


# -- the same on a plain tree ---------------------------------------------------


def on_tree(tree: Tree, operation: Operation) -> Tree:
    """The tree after an operation; the given one stays as it is."""
    if isinstance(operation, Append):
        held = _at(tree, operation.path)
        grown = [*(held if isinstance(held, list) else []), operation.value]
        return _with(tree, operation.path, grown)
    if isinstance(operation, Drop):
        *above, last = operation.path
        held = _at(tree, tuple(above))
        if isinstance(held, dict):
            return _with(tree, tuple(above), {k: v for k, v in held.items() if k != last})
        assert isinstance(held, list)
        return _with(tree, tuple(above), [each for i, each in enumerate(held) if i != last])
    return _with(tree, operation.path, operation.value)


def _at(tree: Tree, path: Path) -> Tree:
    for step in path:
        if isinstance(tree, dict) and isinstance(step, str):
            tree = tree.get(step)
        elif isinstance(tree, list) and isinstance(step, int):
            tree = tree[step]
        else:
            return None
    return tree


def _with(tree: Tree, path: Path, value: Tree) -> Tree:
    if not path:
        return value
    step, rest = path[0], path[1:]
    if isinstance(step, int):
        assert isinstance(tree, list)
        return [_with(each, rest, value) if i == step else each for i, each in enumerate(tree)]
    held = tree if isinstance(tree, dict) else {}
    return {**held, step: _with(held.get(step), rest, value)}


# -- on text ----------------------------------------------------------------------


@dataclass(frozen=True)
class _Spot:
    """A node, the key it stands under, and whether brackets enclose it."""

    node: yaml.Node
    key: yaml.Node | None
    in_flow: bool
    margin: int  # column of its key, or of its dash


def _on_text(text: str, operation: Operation) -> str:
    root = _Loader(text).get_single_node()
    if root is None:
        raise _Layout
    chain = [_Spot(root, None, False, -2)]
    for step in operation.path:
        below = _child(chain[-1], step)
        if below is None:
            break
        chain.append(below)
    rest = operation.path[len(chain) - 1 :]
    spot = chain[-1]
    if isinstance(operation, Drop):
        if rest:
            raise _Layout
        return _dropped(text, chain[-2], spot)
    if isinstance(operation, Append) and not rest and isinstance(spot.node, yaml.SequenceNode):
        return _appended(text, spot, operation.value)
    value: Tree = [operation.value] if isinstance(operation, Append) else operation.value
    if rest and isinstance(spot.node, yaml.MappingNode):
        return _inserted(text, spot, str(rest[0]), _nested(rest[1:], value))
    one_line = isinstance(operation, Put) and operation.one_line
    return _replaced(text, spot, _nested(rest, value), one_line)


def _child(spot: _Spot, step: str | int) -> _Spot | None:
    node = spot.node
    if isinstance(node, yaml.MappingNode):
        inside = spot.in_flow or bool(node.flow_style)
        for key, value in node.value:
            if isinstance(key, yaml.ScalarNode) and key.value == step:
                return _Spot(value, key, inside, key.start_mark.column)
    elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        inside = spot.in_flow or bool(node.flow_style)
        return _Spot(node.value[step], None, inside, node.start_mark.column)
    return None


def _nested(path: Path, value: Tree) -> Tree:
    for step in reversed(path):
        value = {str(step): value}
    return value


def _end(text: str, node: yaml.Node) -> int:
    """Where the last word of a node ends; comments after it do not count."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _end(text, last[1] if isinstance(last, tuple) else last)
    end: int = node.end_mark.index
    if isinstance(node, yaml.ScalarNode) and node.style in ("|", ">"):
        while text[end - 1].isspace():
            end -= 1
    return end


def _is_nothing(node: yaml.Node) -> bool:
    return isinstance(node, yaml.ScalarNode) and not node.style and node.value == ""


def _replaced(text: str, spot: _Spot, value: Tree, one_line: bool) -> str:
    node, start, end = spot.node, spot.node.start_mark.index, _end(text, spot.node)
    style = node.style if isinstance(node, yaml.ScalarNode) and node.style in ("'", '"') else None
    if spot.key is not None and not spot.key.end_mark.index <= start:
        raise _Layout
    if isinstance(value, dict | list) and not (spot.in_flow or one_line or _flat(value)):
        return _replaced_by_lines(text, spot, start, end, value)
    new = scalar(value, spot.in_flow, style) if isinstance(value, str) else flow(value)
    block_node = isinstance(node, yaml.CollectionNode) and not node.flow_style
    if block_node and spot.key is not None:
        start = text.index(":", spot.key.end_mark.index) + 1
    if text[start - 1] in ":-,":
        new = " " + new
    elif _is_nothing(node) and spot.in_flow and spot.key is not None:
        between = text[spot.key.end_mark.index : start]
        new = new if ":" in between else ": " + new
    return text[:start] + new + text[end:]


def _flat(value: Tree) -> bool:
    return not value or (isinstance(value, list) and all(isinstance(each, str) for each in value))


def _replaced_by_lines(text: str, spot: _Spot, start: int, end: int, value: Tree) -> str:
    if spot.key is None:
        raise _Layout
    while text[start - 1] in " \t":
        start -= 1
    return _with_lines(text[:start] + text[end:], start, block(value, spot.margin + 2))


def _with_lines(text: str, after: int, lines: list[str]) -> str:
    """Put whole lines behind the line in which ``after`` lies."""
    first = BREAK.search(text)
    newline = first.group() if first else "\n"
    found = BREAK.search(text, after)
    new = newline.join(lines)
    if found is None:
        return text + newline + new
    return text[: found.end()] + new + newline + text[found.end() :]


def _inserted(text: str, spot: _Spot, key: str, value: Tree) -> str:
    node = spot.node
    assert isinstance(node, yaml.MappingNode)
    if node.flow_style:
        if not node.value and not spot.in_flow and spot.key is not None:
            return _replaced(text, spot, {key: value}, False)
        return _into_brackets(text, node, f"{key_text(key)}: {flow(value)}")
    margin = node.value[0][0].start_mark.column
    return _with_lines(text, _end(text, node), entry(key, value, margin))


def _appended(text: str, spot: _Spot, value: Tree) -> str:
    node = spot.node
    assert isinstance(node, yaml.SequenceNode)
    if node.flow_style:
        if not node.value and not spot.in_flow and isinstance(value, dict):
            return _replaced(text, spot, [value], False)
        return _into_brackets(text, node, flow(value))
    return _with_lines(text, _end(text, node), block([value], node.start_mark.column))


def _into_brackets(text: str, node: yaml.CollectionNode, new: str) -> str:
    if not node.value:
        at = node.start_mark.index + 1
        return text[:at] + new + text[at:]
    last = node.value[-1]
    at = _end(text, last[1] if isinstance(last, tuple) else last)
    comma = re.match(r"\s*,", text[at:])  # [a, b,]
    if comma:
        at += comma.end()
        return text[:at] + " " + new + text[at:]
    return text[:at] + ", " + new + text[at:]


def _dropped(text: str, above: _Spot, spot: _Spot) -> str:
    node = above.node
    assert isinstance(node, yaml.CollectionNode)
    pairs = [pair if isinstance(pair, tuple) else (pair, pair) for pair in node.value]
    index = next(i for i, pair in enumerate(pairs) if pair[1] is spot.node)
    first, last = pairs[index]
    start, end = first.start_mark.index, _end(text, last)
    if len(pairs) == 1:
        return _replaced(text, above, {} if isinstance(node, yaml.MappingNode) else [], True)
    if node.flow_style:
        if index:
            return text[: _end(text, pairs[index - 1][1])] + text[end:]
        return text[:start] + text[pairs[1][0].start_mark.index :]
    line = max((found.end() for found in BREAK.finditer(text, 0, start)), default=0)
    if text[line:start].strip(" -") or (spot.key is not None and "-" in text[line:start]):
        raise _Layout
    found = BREAK.search(text, end)
    return text[:line] + (text[found.end() :] if found else "")
