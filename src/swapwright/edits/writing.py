"""Trees as YAML text: plain where a reader gets the same text back, else quoted."""

import json
import re

import yaml

from swapwright.model.faults import Fault, Faulty, quoted
from swapwright.model.reading import CONTROL, Tree

ELSEWHERE = ("", "null", "Null", "NULL", "~")
UNICODE_BREAKS = re.compile("[\x85\u2028\u2029\ufeff]")
_Loader = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


def refuse_unwritable(text: str, place: str) -> None:
    """Raise ``Faulty`` for a text that no document can hold."""
    broken = CONTROL.search(text) is not None or any("\ud800" <= ch <= "\udfff" for ch in text)
    if broken or not text.strip():
        wanted = "text; write unknown where nothing is known" if not broken else "plain text"
        found = quoted(text) if text else "nothing"
        raise Faulty([Fault(place, None, None, "", found, wanted)])


def scalar(text: str, in_flow: bool = False, style: str | None = None) -> str:
    """One scalar as YAML.

    Parameters
    ----------
    text : str
        What it says.
    in_flow : bool
        It stands between brackets, where a comma ends it.
    style : str, optional
        The quote of the scalar that it replaces, which is kept.
    """
    if style != '"' and (style == "'" or not _stays_plain(text, in_flow)):
        single = "\n" not in text and not UNICODE_BREAKS.search(text) and text.isprintable()
        if single and (style == "'" or '"' in text or "\\" in text):
            return "'" + text.replace("'", "''") + "'"
        style = '"'
    if style == '"':
        escaped = json.dumps(text, ensure_ascii=False)
        return UNICODE_BREAKS.sub(lambda found: f"\\u{ord(found.group()):04x}", escaped)
    return text


def _stays_plain(text: str, in_flow: bool) -> bool:
    if text in ELSEWHERE or text != text.strip() or not text.isprintable():
        return False
    trial = f"{{a: {text}, {text}: b}}" if in_flow else f"a: {text}\n"
    try:
        node = _Loader(trial).get_single_node()
    except yaml.YAMLError:
        return False
    if not isinstance(node, yaml.MappingNode) or len(node.value) != (2 if in_flow else 1):
        return False
    scalars = [node.value[0][1], *([node.value[1][0]] if in_flow else [])]
    return all(
        isinstance(each, yaml.ScalarNode) and each.value == text and not each.style
        and each.tag == "tag:yaml.org,2002:str"
        for each in scalars
    )  # fmt: skip


def flow(tree: Tree) -> str:
    """A tree on one line."""
    if isinstance(tree, dict):
        return "{" + ", ".join(f"{key_text(k)}: {flow(v)}" for k, v in tree.items()) + "}"
    if isinstance(tree, list):
        return "[" + ", ".join(flow(each) for each in tree) + "]"
    return "null" if tree is None else scalar(tree, in_flow=True)


def block(tree: Tree, indent: int) -> list[str]:
    """Lines of a mapping or list below its key: mappings line by line, list entries on one each."""
    margin = " " * indent
    if isinstance(tree, list):
        texts = [scalar(each) if isinstance(each, str) else flow(each) for each in tree]
        return [f"{margin}- {text}" for text in texts]
    assert isinstance(tree, dict)
    lines: list[str] = []
    for key, held in tree.items():
        lines += entry(key, held, indent)
    return lines


def entry(key: str, held: Tree, indent: int) -> list[str]:
    """Lines of one key and its value in a block mapping."""
    head = " " * indent + key_text(key) + ":"
    if isinstance(held, str):
        return [f"{head} {scalar(held)}"]
    in_lines = isinstance(held, dict) or (
        isinstance(held, list) and any(isinstance(each, dict) for each in held)
    )
    if held and in_lines:
        return [head, *block(held, indent + 2)]
    return [f"{head} {flow(held)}"]


def key_text(key: str) -> str:
    """A key, quoted when it must be."""
    return scalar(key, in_flow=True)
