"""YAML text into a plain tree whose every node remembers its place.

Scalars stay text, so that ``no``, ``1:30`` or ``0777`` mean what was written.
Duplicate keys, anchors, aliases and tags are refused; size and depth are bounded.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TypeAlias

import yaml

from swapwright.model.faults import Fault, quoted, visible

Tree: TypeAlias = "str | list[Tree] | dict[str, Tree] | None"
Path: TypeAlias = tuple[str | int, ...]

CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")
BRACKET = re.compile(r"[\[\]{}]")
INDENT = re.compile(r"^[ -]+", re.MULTILINE)
EMPTY = "an empty document"
MOST_BYTES = 4_000_000
MOST_DEPTH = 40
MOST_BRACKETS = 400  # left open, and columns of indent: more is no document, whatever it says
MOST_INDENT = 2000
DEFAULT_TAGS = tuple(f"tag:yaml.org,2002:{sort}" for sort in ("str", "seq", "map"))
ENCODINGS = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}

TAG_OF: Mapping[type[yaml.Node], str] = {
    yaml.ScalarNode: yaml.BaseLoader.DEFAULT_SCALAR_TAG,
    yaml.SequenceNode: yaml.BaseLoader.DEFAULT_SEQUENCE_TAG,
    yaml.MappingNode: yaml.BaseLoader.DEFAULT_MAPPING_TAG,
}


class _Loader(getattr(yaml, "CBaseLoader", yaml.BaseLoader)):  # type: ignore[misc]
    """Composes nodes without asking what a scalar might mean: every one is a text."""

    def resolve(self, kind: type[yaml.Node], _value: object, _implicit: object) -> str:
        return TAG_OF[kind]

    def descend_resolver(self, _node: object, _index: object) -> None:
        """Nothing is resolved by where it stands."""

    def ascend_resolver(self) -> None:
        """Nothing is resolved by where it stands."""


@dataclass
class Source:
    """One document as text, tree and places."""

    file: str
    text: str
    tree: Tree = None
    places: dict[Path, tuple[int, int]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    digest: str = ""  # SHA-256 of its bytes: the identity of this state of the document

    def fault(
        self, path: Path, found: str, wanted: str, example: str = "", nearest: str = ""
    ) -> Fault:
        """Make a fault at ``path``, or at the nearest enclosing place that is known."""
        line, column = self.place(path)
        return Fault(self.file, line, column, dotted(path), found, wanted, example, nearest)

    def place(self, path: Path) -> tuple[int | None, int | None]:
        """Line and column of ``path``, dropping tail elements until one is found."""
        while True:
            if path in self.places:
                return self.places[path]
            if not path:
                return (None, None)
            path = path[:-1]


def dotted(path: Path) -> str:
    """Path as a person reads it: ``joins.feed.ends[1]``."""
    text = ""
    for step in path:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        else:
            text += f".{visible(step)}" if text else visible(step)
    return text


def read_source(file: str, raw: bytes) -> Source:
    """Read one document; whatever is wrong stands in ``faults`` and ``tree`` is then None.

    Parameters
    ----------
    file : str
        Name to show in faults.
    raw : bytes
        UTF-8, with or without byte-order mark, or UTF-16 with one.
    """
    if len(raw) > MOST_BYTES:
        return _refused(file, f"{len(raw)} bytes", f"at most {MOST_BYTES} bytes in one document")
    encoding = next((name for mark, name in ENCODINGS.items() if raw.startswith(mark)), "utf-8")
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        found = f"a byte that is not UTF-8 (0x{raw[error.start]:02x})"
        return _refused(file, found, "text saved as UTF-8", line)
    source = read_text(file, text)
    source.digest = sha256(raw).hexdigest()
    return source


def read_text(file: str, text: str) -> Source:
    """Read one document from text."""
    source = Source(file, text)
    control = CONTROL.search(text)
    if control:
        line = text.count("\n", 0, control.start()) + 1
        found = f"a control character (0x{ord(control.group()):02x}); is this a binary file?"
        return _refused(file, found, "plain text", line)
    if _too_deep(text):
        return _refused(file, "brackets or indents nested too deep", f"at most {MOST_DEPTH} levels")
    try:
        node = _Loader(text).get_single_node()
    except yaml.MarkedYAMLError as error:
        return _refused_yaml(file, text, error)
    except yaml.YAMLError as error:
        return _refused(file, quoted(error, 120), "YAML text")
    except RecursionError:  # of the parser in pure Python, where the one in C is missing
        return _refused(file, "nesting too deep", f"at most {MOST_DEPTH} levels")
    if node is None:
        return _refused(file, EMPTY, "a document with format, kind and id", 1)
    if "&" in text or "*" in text:
        _refuse_anchors(source)
    if not source.faults:
        source.tree = _walk(node, (), source)
        if source.tree is None and not source.faults:
            return _refused(file, EMPTY, "a document with format, kind and id", 1)
    if source.faults:
        source.tree = source.tree if isinstance(source.tree, dict) else None
    return source


def _too_deep(text: str) -> bool:
    # A bound before the parser recurses; what it lets through is held to MOST_DEPTH in the tree.
    # Wide, because brackets and dashes may also stand in words.
    depth = 0
    for bracket in BRACKET.findall(text):
        depth = depth + 1 if bracket in "[{" else max(0, depth - 1)
        if depth > MOST_BRACKETS:
            return True
    return any(len(indent) > MOST_INDENT for indent in INDENT.findall(text))


def _refuse_anchors(source: Source) -> None:
    for event in yaml.parse(source.text, Loader=_Loader):
        anchor = getattr(event, "anchor", None)
        if anchor is not None:
            mark = event.start_mark
            line, column = (mark.line + 1, mark.column + 1) if mark else (None, None)
            source.faults.append(
                Fault(
                    source.file,
                    line,
                    column,
                    "",
                    f"an anchor or alias {quoted(anchor)}",
                    "every value written out; a text that begins with & or * goes in quotes",
                )
            )


def _walk(node: yaml.Node, path: Path, source: Source) -> Tree:
    mark = node.start_mark
    source.places[path] = (mark.line + 1, mark.column + 1)
    if len(path) > MOST_DEPTH:
        source.faults.append(source.fault(path, "nesting too deep", f"at most {MOST_DEPTH} levels"))
        return None
    if _refuses_tag(node, path, source):
        return None
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node)
    if isinstance(node, yaml.SequenceNode):
        return [_walk(child, (*path, i), source) for i, child in enumerate(node.value)]
    assert isinstance(node, yaml.MappingNode)
    return _mapping(node, path, source)


def _refuses_tag(node: yaml.Node, path: Path, source: Source) -> bool:
    # The base loader resolves no tags: anything but its three defaults was written by hand.
    if not node.tag or node.tag in DEFAULT_TAGS:
        return False
    found = f"a tag {quoted(node.tag)}"
    source.faults.append(source.fault(path, found, "a plain value without a tag"))
    return True


def _scalar(node: yaml.ScalarNode) -> Tree:
    text = str(node.value)
    # The parser in C says "" for a plain scalar, the one in Python None.
    return None if not node.style and text in ("", "~", "null") else text


def _mapping(node: yaml.MappingNode, path: Path, source: Source) -> Tree:
    tree: dict[str, Tree] = {}
    for key_node, value_node in node.value:
        line, column = key_node.start_mark.line + 1, key_node.start_mark.column + 1
        if not isinstance(key_node, yaml.ScalarNode):
            source.faults.append(
                Fault(
                    source.file, line, column, dotted(path), "a list or mapping as a key", "a word"
                )
            )
            continue
        key = str(key_node.value)
        if _refuses_tag(key_node, (*path, key), source):
            continue
        if key in tree:
            first = source.places[(*path, key)][0]
            source.faults.append(
                Fault(
                    source.file,
                    line,
                    column,
                    dotted((*path, key)),
                    f"{quoted(key)} a second time",
                    f"each name once (first on line {first})",
                )
            )
            continue
        tree[key] = _walk(value_node, (*path, key), source)
        source.places[(*path, key)] = (line, column)
    return tree


def _refused(file: str, found: str, wanted: str, line: int | None = None) -> Source:
    return Source(file, "", faults=[Fault(file, line, None, "", found, wanted)])


def _refused_yaml(file: str, text: str, error: yaml.MarkedYAMLError) -> Source:
    mark = error.problem_mark or error.context_mark
    line, column = (mark.line + 1, mark.column + 1) if mark else (None, None)
    problem = " ".join(part for part in (error.context, error.problem) if part)
    at = text[mark.index : mark.index + 1] if mark else ""
    if "cannot start any token" in problem and at != "\t":
        wanted = f"quotes around a text that begins with {at}"
    elif at == "\t":
        problem = "a tab"
        wanted = "spaces: YAML does not allow tabs for indenting"
    elif "single document" in problem:
        wanted = "one document a file, without a second '---'"
    elif "mapping values are not allowed" in problem:
        wanted = "a space after each colon, and quotes around a text that holds ': '"
    else:
        wanted = "YAML that can be read; look at the line and the one above it"
    return Source(
        file, "", faults=[Fault(file, line, column, "", problem or "broken YAML", wanted)]
    )


def branch(tree: Tree, path: Path) -> Tree:
    """Part of ``tree`` at ``path``; None when there is none."""
    for step in path:
        if isinstance(tree, Mapping) and isinstance(step, str):
            tree = tree.get(step)
        elif isinstance(tree, list) and isinstance(step, int) and step < len(tree):
            tree = tree[step]
        else:
            return None
    return tree
