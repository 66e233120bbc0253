"""YAML text into a tree with places: what is read, and everything that is refused."""

import pytest

from swapwright.model.reading import MOST_BYTES, MOST_DEPTH, read_source, read_text

HEAD = "format: 1\nkind: vehicle\nid: car\n"


@pytest.mark.parametrize(
    "word",
    ["no", "yes", "on", "1:30", "0777", "0x1f", "1e3", ".inf", ".nan", "2026-05-02", "=", "<<"],
)
def test_scalars_stay_what_was_written(word: str) -> None:
    assert read_text("a", f"k: {word}\n").tree == {"k": word}


@pytest.mark.parametrize("nothing", ["", "~", "null"])
def test_nothing_is_nothing_and_quoted_is_text(nothing: str) -> None:
    assert read_text("a", f"k: {nothing}\nl: '{nothing}'\n").tree == {"k": None, "l": nothing}


def test_every_node_remembers_its_place() -> None:
    source = read_text("a", "a:\n  b: [x,\n    {c: y}]\n")
    assert source.places[("a",)] == (1, 1)
    assert source.places[("a", "b")] == (2, 3)
    assert source.places[("a", "b", 1, "c")] == (3, 6)
    assert source.place(("a", "b", 7, "z")) == (2, 3)  # nearest that is known


REFUSED = [  # text, line, column, part of what is said
    ("a: 1\nb: 2\na: 3\n", 3, 1, "a second time"),
    ("a: {b: 1, b: 2}\n", 1, 11, "first on line 1"),
    ("a: &x 1\nb: 2\n", 1, 4, "anchor"),
    ("a: &x [1]\nb: *x\n", 1, 4, "anchor"),
    ("a: *nowhere\n", 1, 4, "alias"),
    ("a: !!int 5\n", 1, 4, 'a tag "tag:yaml.org,2002:int"'),
    ("a: !!python/object/apply:os.system [x]\n", 1, 4, "a tag"),
    ("a: !mine {b: 1}\n", 1, 4, 'a tag "!mine"'),
    ("!mine a: 1\n", 1, 1, "a tag"),
    ("a:\n\tb: 1\n", 2, 1, "found a tab, wanted spaces"),
    ("a: @x\n", 1, 4, "quotes around a text that begins with @"),
    ("a: 1\n---\nb: 2\n", 2, 1, "one document a file"),
    ("a: b: c\n", 1, 5, "a space after each colon"),
    ("a: [1, 2\n", 2, 1, "YAML that can be read"),
    ("a: 'x\n", 2, 1, "YAML that can be read"),
    ("? [1, 2]\n: x\n", 1, 3, "a list or mapping as a key"),
    ("? {a: 1}\n: x\n", 1, 3, "a list or mapping as a key"),
    ("{[1]: x}\n", 1, 2, "a list or mapping as a key"),
    ("", 1, None, "an empty document"),
    ("# only words\n", 1, None, "an empty document"),
    ("a: \x07\n", 1, None, "control character"),
    ("a: 1\nb: \x00\n", 2, None, "control character (0x00)"),
    ("a: " + "[" * 60 + "]" * 60, 1, 44, "nesting too deep"),
    ("a: " + "[" * 5000, None, None, "nested too deep"),
    ("a: " + "{b: " * 5000, None, None, "nested too deep"),
    ("- " * 60 + "x", 1, None, "nesting too deep"),
    ("- " * 9000 + "x", None, None, "nested too deep"),
    ("? " * 9000 + "x", 1, None, "nesting"),
    ("".join(" " * i + "a:\n" for i in range(60)), 42, None, "nesting too deep"),
    ("".join(" " * i + "a:\n" for i in range(2500)), None, None, "nested too deep"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "line", "column", "said"), REFUSED, ids=range(len(REFUSED)))
def test_refused(text: str, line: int | None, column: int | None, said: str) -> None:
    faults = read_text("a.yaml", text).faults
    assert faults, "nothing was found wrong"
    first = faults[0]
    assert said in str(first)
    assert (first.file, first.line) == ("a.yaml", line)
    assert column is None or first.column == column


def test_alias_bomb_is_refused_before_it_grows() -> None:
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 30)]
    source = read_text("a", "\n".join(lines))
    assert source.tree is None and "anchor" in source.faults[0].found


def test_brackets_and_dashes_in_words_are_no_nesting() -> None:
    text = "a: |\n" + "  see [1 and {2\n" * 150 + "  " + "-" * 900 + "\nb: '[[['\n"
    source = read_text("a", text)
    assert source.faults == [] and isinstance(source.tree, dict)


def test_depth_that_is_allowed() -> None:
    depth = MOST_DEPTH - 1
    assert read_text("a", "a: " + "[" * depth + "x" + "]" * depth).faults == []


PLAIN = HEAD + "label: Größe ± 5 mm\nfacts: {kerb_mass: 1 kg}\n"


@pytest.mark.parametrize(
    "raw",
    [
        PLAIN.encode(),
        PLAIN.replace("\n", "\r\n").encode(),
        PLAIN.replace("\n", "\r").encode(),
        b"\xef\xbb\xbf" + PLAIN.encode(),
        PLAIN.encode("utf-16"),
        b"\xff\xfe" + PLAIN.encode("utf-16-le"),
        b"\xfe\xff" + PLAIN.encode("utf-16-be"),
    ],
)
def test_line_ends_and_encodings_read_alike(raw: bytes) -> None:
    source = read_source("a", raw)
    assert source.faults == []
    assert source.tree == read_text("a", PLAIN).tree
    assert source.places[("facts", "kerb_mass")] == (5, 9)


@pytest.mark.parametrize(
    ("raw", "said"),
    [
        (PLAIN.encode("latin-1"), "a byte that is not UTF-8 (0xf6)"),
        (HEAD.encode("utf-16-le"), "control character (0x00)"),
        (PLAIN.encode("utf-32"), "control character (0x00)"),
        (b"\xff\xfeabc", "not UTF-8"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "not UTF-8"),
        (bytes(range(32)), "control character"),
        (b"x" * (MOST_BYTES + 1), "at most"),
        (b"", "an empty document"),
        (b"\xef\xbb\xbf", "an empty document"),
        ("a: \ufffe\n".encode(), "a"),
    ],
)
def test_other_bytes_are_refused(raw: bytes, said: str) -> None:
    source = read_source("a", raw)
    assert source.tree is None
    assert said in str(source.faults[0])


def test_latin_1_names_the_line() -> None:
    (fault,) = read_source("a", PLAIN.encode("latin-1")).faults
    assert fault.line == 4


def test_ten_thousand_lines() -> None:
    ports = "".join(f"  p{i}:\n    family: hot\n    end: hose bead 36 mm\n" for i in range(3400))
    source = read_text("a", HEAD + "ports:\n" + ports)
    assert source.faults == [] and len(source.places) > 10_000


def test_very_long_scalar() -> None:
    source = read_text("a", "note: " + "word, " * 300_000 + "\n")
    assert source.faults == []
