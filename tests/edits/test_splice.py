"""Text edits against a second YAML library and against the same edit on plain data."""

import io
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML
from tests.edits.support import TEXTS

from swapwright.edits.splice import Append, Drop, Operation, Put, edited, on_tree
from swapwright.edits.writing import flow, scalar
from swapwright.model.faults import Faulty
from swapwright.model.reading import Tree, read_text


def round_trip() -> YAML:
    yaml = YAML()
    yaml.width, yaml.preserve_quotes = 4096, True
    yaml.indent(2, 4, 2)
    return yaml


TIDY = """\
# a house-style document
a: 1 mm   # one
b:
  c: "two"
  d: [x, y]
  # between
  e: {f: 'three', g: 4}
h:
  - {i: 5}
  - {i: 6}   # six

j: last
"""


def by_ruamel(change: Any) -> str:
    yaml = round_trip()
    tree = yaml.load(TIDY)
    change(tree)
    out = io.StringIO()
    yaml.dump(tree, out)
    return out.getvalue()


@pytest.mark.parametrize(
    ("operation", "change"),
    [
        (Put(("a",), "2 mm"), lambda t: t.update(a="2 mm")),
        (Put(("b", "e", "g"), "7"), lambda t: t["b"]["e"].update(g=7)),
        (Put(("b", "e", "k"), "8"), lambda t: t["b"]["e"].update(k=8)),
        (Put(("b", "m"), "9"), lambda t: t["b"].update(m=9)),
        (Append(("b", "d"), "z"), lambda t: t["b"]["d"].append("z")),
    ],
)  # fmt: skip
def test_tidy_document_comes_out_as_from_the_other_library(
    operation: Operation, change: Any
) -> None:
    assert by_ruamel(lambda _tree: None) == TIDY
    assert edited("a", TIDY, (operation,)) == by_ruamel(change)


WILD = """\
a:   1
b: {x: 1,y: [p ,q] , }
c:
- one
-   two   # 2
-
   three: 3
   four:
d: >-
  folded
  text

e: 'a
  b'
"f g": []
h:
i: {}   # none
"""


@pytest.mark.parametrize(
    ("operation", "changed"),
    [
        (Put(("a",), "2"), ("a:   1", "a:   2")),
        (Put(("b", "x"), "2"), ("{x: 1,", "{x: 2,")),
        (Put(("b", "z"), "2"), ("[p ,q] , }", "[p ,q] , z: 2 }")),
        (Append(("b", "y"), "r"), ("[p ,q]", "[p ,q, r]")),
        (Put(("c", 1), "x y"), ("-   two ", "-   x y ")),
        (Put(("c", 2, "three"), "x"), ("   three: 3", "   three: x")),
        (Put(("c", 2, "four"), "x"), ("   four:\n", "   four: x\n")),
        (Put(("c", 2, "five"), "x"), ("   four:\n", "   four:\n   five: x\n")),
        (Append(("c",), "last"), ("   four:\n", "   four:\n- last\n")),
        (Put(("d",), "plain"), (">-\n  folded\n  text\n", "plain\n")),
        (Put(("e",), "it's"), ("'a\n  b'", "'it''s'")),
        (Append(("f g",), "x"), ("[]", "[x]")),
        (Append(("f g",), {"k": "v"}), ('"f g": []\n', '"f g":\n  - {k: v}\n')),
        (Put(("h",), "x"), ("h:\n", "h: x\n")),
        (Put(("h", "k"), "x"), ("h:\n", "h:\n  k: x\n")),
        (Append(("h",), "x"), ("h:\n", "h: [x]\n")),
        (Put(("i", "k", "l"), "x"), ("i: {}   # none\n", "i:   # none\n  k:\n    l: x\n")),
        (Drop(("a",)), ("a:   1\n", "")),
        (Drop(("c", 1)), ("-   two   # 2\n", "")),
        (Drop(("b", "x")), ("{x: 1,y", "{y")),
        (Drop(("b", "y")), ("1,y: [p ,q] , }", "1 , }")),
        (Drop(("d",)), ("d: >-\n  folded\n  text\n", "")),
        (Drop(("h",)), ("h:\n", "")),
    ],
)  # fmt: skip
def test_wild_document_changes_in_one_place(operation: Operation, changed: tuple[str, str]) -> None:
    old, new = changed
    assert WILD.count(old) == 1
    assert edited("a", WILD, (operation,)) == WILD.replace(old, new)


def test_layout_that_cannot_be_edited_is_refused() -> None:
    text = "? a\n: 1\n? b\n: - {x: 1}\n  -\n    - y\n"
    with pytest.raises(Faulty, match="by hand"):
        edited("a", text, (Drop(("b", 1, 0)), Drop(("a",))))


# What people and machines type, and what YAML would take for something else.
TRAPS = ("no", "1:30", "0777", "null", "~", "", "- a", "a: b", "a #b", "#a", "*a", "&a", "!a", "%a")
WORDS = st.one_of(
    st.sampled_from(TRAPS),
    st.text(alphabet="ab0 ,:#-[]{}'\"\\\n\t?!&*|>%@`±é🙂\u2028\x85\ufeff~=", max_size=12),
    st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12),
)


@given(WORDS, st.sampled_from([None, "'", '"']))
@settings(deadline=None, max_examples=400)
def test_scalar_reads_back_in_every_place_and_in_the_other_library(
    text: str, style: str | None
) -> None:
    block, inside = scalar(text, False, style), scalar(text, True, style)
    key = scalar(text, True)
    source = read_text("a", f"k: {block}\nl: {{value: {inside}, {key}: [{inside}]}}\n")
    assert source.faults == []
    assert source.tree == {"k": text, "l": {"value": text, text: [text]}}
    other = YAML(typ="rt").load(f"k: {block}\n")["k"]
    assert other == text or not isinstance(other, str)  # it reads 0777 as a number, we as text


TREES = st.recursive(
    WORDS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(WORDS.filter(bool), inner, max_size=3)
    ),
    max_leaves=6,
)


@given(TREES)
@settings(deadline=None)
def test_flow_reads_back(tree: Tree) -> None:
    assert read_text("a", f"k: {flow(tree)}\n").tree == {"k": tree}


def paths_of(tree: Tree, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    steps: list[tuple[str | int, Tree]] = []
    if isinstance(tree, dict):
        steps = list(tree.items())
    elif isinstance(tree, list):
        steps = list(enumerate(tree))
    return [path, *(found for step, held in steps for found in paths_of(held, (*path, step)))]


@given(st.data())
@settings(deadline=None, max_examples=300)
def test_any_edit_says_what_the_same_edit_of_plain_data_says(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from([TIDY, WILD, *TEXTS.values()]))
    text = text.replace("\n", data.draw(st.sampled_from(["\n", "\r\n"])))
    tree = read_text("a", text).tree
    path = data.draw(st.sampled_from(paths_of(tree)[1:]))
    held: Any = tree
    for step in path:
        held = held[step]
    value = data.draw(st.one_of(WORDS, TREES))
    choices: list[Operation] = [Put(path, value), Drop(path)]
    if isinstance(held, dict):
        choices.append(Put((*path, "new", "below"), value))
    if isinstance(held, list):
        choices.append(Append(path, value))
    operation = data.draw(st.sampled_from(choices))
    try:
        result = edited("a", text, (operation,))
    except Faulty:
        return  # refused, not wrong
    assert read_text("a", result).tree == on_tree(tree, operation)
    untouched = [line for line in text.splitlines() if line.lstrip().startswith("#")]
    if isinstance(operation, Put) and not isinstance(held, dict | list):
        assert [each for each in untouched if each not in result.splitlines()] == []
