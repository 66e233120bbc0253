"""Text for a terminal: 80 columns, readable without colour, and in ASCII where it must be."""

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
import yaml
from tests.support.builds import base_build, merged
from tests.support.rich_build import LONG, rich_build

from swapwright.assess import Assessment, assess, assess_documents
from swapwright.crossings.chains import find_chains
from swapwright.crossings.identify import identify
from swapwright.crossings.mating import mate
from swapwright.dossier.explain import explanation, known_names
from swapwright.dossier.gap import LINES, gap_row, plain
from swapwright.dossier.identity import identification_text
from swapwright.dossier.mating import mating_text
from swapwright.dossier.terminal import assessment_text, begun_text, crossings_text, fault_text
from swapwright.library.catalogue import starter_items
from swapwright.library.demos import demos
from swapwright.library.likelihoods import likelihood_kinds
from swapwright.model.documents import read_documents
from swapwright.model.ends import end_forms, read_end
from swapwright.model.faults import Fault
from swapwright.model.words import Gate, Pile, Stage
from swapwright.survey.answers import all_unknown
from swapwright.survey.begin import new_build

AS_OF = date(2026, 9, 25)
CASES = Path(__file__).parent.parent / "findings" / "cases"
WIDE = 80


@pytest.fixture(scope="module")
def rich() -> Assessment:
    return assess(rich_build(), AS_OF)


@pytest.fixture(scope="module")
def evening() -> Assessment:
    """The first evening: nothing but starters."""
    texts = new_build("evening", all_unknown()).texts
    return assess_documents(read_documents((n, t.encode()) for n, t in texts.items()), AS_OF)


@pytest.fixture(scope="module")
def van() -> Assessment:
    files = [(each.name, each.read_bytes()) for each in demos()["van"].iterdir()]
    return assess_documents(
        read_documents([each for each in files if each[0].endswith(".yaml")]), AS_OF
    )


def texts_of(assessment: Assessment) -> Iterator[str]:
    for everything in (False, True):
        yield assessment_text(assessment, everything=everything)
    for only_open in (False, True):
        yield crossings_text(assessment, only_open=only_open)
    for name in [
        "assumptions",
        *assessment.assembly.holders,
        *(finding.id for finding in assessment.findings[:40]),
    ]:
        yield explanation(name, lambda: assessment) or ""


def too_wide(text: str) -> list[str]:
    return [line for line in text.split("\n") if len(line) > WIDE]


@pytest.mark.parametrize("name", ["rich", "evening", "van"])
def test_no_line_is_wider_than_eighty(name: str, request: pytest.FixtureRequest) -> None:
    for text in texts_of(request.getfixturevalue(name)):
        assert text and too_wide(text) == []


@pytest.mark.parametrize("name", ["rich", "evening", "van"])
def test_ascii_holds_all_of_it_within_eighty(name: str, request: pytest.FixtureRequest) -> None:
    for text in texts_of(request.getfixturevalue(name)):
        poor = plain(text, "ascii")
        assert poor.isascii() and too_wide(poor) == []


def test_no_shipped_name_is_explained_wider_than_eighty() -> None:
    def no_build() -> Assessment:
        raise AssertionError("a name that ships needs no build")

    for name in known_names():
        text = explanation(name, no_build)
        assert text is not None and too_wide(text) == [], name
        assert "{" not in text and "None" not in text, name


@pytest.mark.parametrize("gate", [gate for gate in Gate if gate is not Gate.JOB])
@pytest.mark.parametrize("stage", list(Stage))
def test_the_head_fits_at_every_gate_and_stage(gate: Gate, stage: Stage) -> None:
    passed = [each for each in Gate if each.order < gate.order]
    assembly = rich_build(stage, gates={str(each): "2026-05-01" for each in passed})
    assert str(assembly.next_gate) == gate
    text = assessment_text(assess(assembly, date(2026, 9, 30)))
    assert too_wide(text) == [] and f"next gate: {gate}" in " ".join(text.split())


def test_other_outputs_keep_to_eighty() -> None:
    for kind in likelihood_kinds():
        assert too_wide(identification_text(identify(kind, {}))) == []
    items = starter_items()
    hose, stub = read_end("hose bead 16 mm"), read_end("hose bead 13 mm")
    chains = find_chains(hose, stub, items, best=3)
    long = "hose bead 36 mm of " + LONG
    for units in ("metric", "us"):
        text = mating_text(long, long, mate(hose, stub), chains, units)
        assert chains and too_wide(text) == []
    faults = [Fault("a.yaml", 3, 4, "ports." + "x" * 90, f'"{LONG}"', LONG * 3, LONG, "near")]
    assert too_wide(fault_text(faults)) == []
    assert too_wide(begun_text("a-folder", [LONG * 2])) == []


# -- surfaces ----------------------------------------------------------------------------


@pytest.mark.parametrize("state", list(LINES))
def test_both_forms_of_a_line_are_nine_cells(state: str) -> None:
    rich_line, poor_line = LINES[state]
    assert len(rich_line) == len(poor_line) == 9 and poor_line.isascii()
    assert plain(f"a {rich_line} b", "ascii") == f"a {poor_line} b"


def test_no_two_states_look_alike_on_any_surface() -> None:
    for form in (0, 1):
        assert len({line[form] for line in LINES.values()}) == len(LINES)
    assert len({plain(bead, "ascii") for bead in "●○∙∘"}) == 4


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_a_rich_surface_gets_the_text_as_it_is(encoding: str) -> None:
    text = "90 °C ± 5 ──╴   ╶── ключ"
    assert plain(text, encoding) == text


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "latin-1", "cp437", None, "no-such"])
def test_a_poor_surface_gets_what_it_can_show(encoding: str | None) -> None:
    text = plain("90 °C ± 5, 2.5 mm², 30 µm, 3° ┄┄┄┄┄┄┄┄┄ ключ …", encoding)
    text.encode(encoding if encoding not in (None, "no-such") else "ascii")
    assert text.startswith("90 deg C +/- 5, 2.5 mm2, 30 um, 3 deg . . . . .")
    assert "????" in text


def test_colour_comes_only_through_paint(rich: Assessment) -> None:
    def paint(text: str, manner: str) -> str:
        return f"«{manner}:{text}»"

    for bare, painted in (
        (assessment_text(rich), assessment_text(rich, paint=paint)),
        (crossings_text(rich), crossings_text(rich, paint=paint)),
    ):
        assert "\x1b" not in bare and "«" not in bare
        manners = set(re.findall("«([a-z ]+):", painted))
        assert "head" in manners
        assert manners <= {
            "head",
            "stop",
            "before the road",
            "worth fixing",
            "note",
            "ask",
            "signal",
        }
        assert re.sub("«[a-z ]+:([^«»]*)»", r"\1", painted) == bare


# -- what is said ---------------------------------------------------------------------------


def test_each_state_has_its_line_and_its_word(rich: Assessment) -> None:
    rows = {row.id: gap_row(rich.assembly, row, "metric") for row in rich.crossings}
    states = {name: (row.state, row.word) for name, row in rows.items()}
    assert states["car.hot"] == ("fitted", "joined, fitted")
    assert states["car.ret"] == ("planned", "joined, planned")
    assert states["car.tach"] == ("proved", "joined, proved")
    assert states["car.feed"] == ("stand-in", "stand-in, in hand")
    assert states["car.crz"] == ("parked", "parked")
    assert states["car.hret"] == ("capped", "capped")
    assert states["car.tmp"] == ("kept", "kept")
    assert states["car.ebl"] == ("relocated", "relocated")
    assert states["car.make"] == ("removed", "removed")
    assert states["car.hsup"] == ("open", "open")
    assert states["car.stub"] == states["car.servo"] == ("unknown", "open")
    assert {state for state, _ in states.values()} == set(LINES)
    assert rows["car.feed"].between == "until 2026-05-12"
    assert rows["car.crz"].between == "until the actuator is found"


def test_words_beside_the_line_are_whole(rich: Assessment) -> None:
    text = crossings_text(rich)
    for word in ("stand-in, in hand", "joined, planned", "joined, fitted", "joined, proved"):
        assert re.search(f" {word}$", text, re.MULTILINE), word


def test_sizes_stay_whole_and_labels_give_way(rich: Assessment) -> None:
    line = next(each for each in crossings_text(rich).split("\n") if each.startswith("hot "))
    left, right = line.split(LINES["fitted"][0])
    assert left.rstrip().endswith(" 36 mm") and len(left) == 30
    assert "~30 mm" in right


def test_small_parts_stand_as_beads_hollow_when_missing(rich: Assessment) -> None:
    text = crossings_text(rich)
    assert "●●∙∘" in text  # two pieces, a clamp that is there, one that is lost


def test_a_label_that_both_ends_share_is_said_once(rich: Assessment) -> None:
    line = next(each for each in crossings_text(rich).split("\n") if each.startswith("hsup "))
    assert line.count("heater supply") == 1


def test_crossings_can_be_narrowed(rich: Assessment) -> None:
    coolant = crossings_text(rich, system="coolant")
    assert "hot " in coolant and "tach" not in coolant
    still = crossings_text(rich, only_open=True)
    assert "hsup" in still and "joined, " not in still
    assert crossings_text(rich, system="nothing") == "Nothing of that kind crosses.\n"


def test_an_assessment_says_what_to_do_first(evening: Assessment) -> None:
    text = assessment_text(evening)
    heads = [
        line
        for line in text.split("\n")
        if line.isupper() or line[:9] in ("RED LINES", "CROSSINGS")
    ]
    assert heads[0] == "DO NEXT"
    assert text.index("DO NEXT") < text.index("RED LINES") < text.index("CROSSINGS")
    for pile in Pile:
        assert f"    {pile}" in text
    assert "local codes and licensed" in text
    assert not re.search(r"\b(safe|legal)\b(?! or)", text.replace("not against your law", ""))


def test_nothing_is_hidden_by_the_number_shown(evening: Assessment) -> None:
    everything = assessment_text(evening, everything=True)
    for finding in evening.findings:
        assert f"id: {finding.id};" in re.sub(r"\s+", " ", everything)


@pytest.mark.parametrize(
    ("held", "told"),
    [
        ("0.7 bar, typical", "(typical, not yours: pressure that the heater matrix stands)"),
        ("0.7 bar, guessed", "(guessed, not yours: pressure that the heater matrix stands)"),
        ("0.7 bar", ""),
    ],
)
def test_a_finding_says_at_once_when_its_value_is_not_yours(held: str, told: str) -> None:
    case = yaml.safe_load((CASES / "cool-cap-weakest.yaml").read_text(encoding="utf-8"))
    given = merged(case["given"], case["trips"])
    car = merged(given.get("car", {}), {"facts": {"heater_matrix_limit": held}})
    assembly = base_build(merged(given, {"car": car}))
    text = " ".join(assessment_text(assess(assembly, AS_OF)).split())
    at = text.index("the heater matrix stands 0.7 bar")
    assert ("not yours:" in text[at : at + 200]) == bool(told) and told in text[at:]


def test_counts_agree_with_their_nouns(rich: Assessment) -> None:
    text = " ".join(assessment_text(rich).split())
    assert not re.search(r"(?<![\d.])1 (questions|values|tags|photographs|readings|things)\b", text)
    assert len(rich.assumptions) == 1
    assert "1 value is typical or guessed, not yours" in text


SLIPS = [
    (r"\b([a-z]{2,}) \1\b(?!-)", "a word twice"),
    (r"(?<!\d )\b[Aa] (?=[aeio]\w)(?!one|once|used|unit|European|eight)", "a before a vowel"),
    (r"\b[Aa]n (?=[bcdfgjkpqtvwyz]\w)", "an before a consonant"),
    (r" [,.;:](?=\s|$)", "a space before a point"),
    (r"\.\.(?!\.)|\?\?|;;|,,|\?\.|\.;", "points twice"),
    (r"\{|\}|None\b|<[A-Z]\w+", "a template or an object"),
]


@pytest.fixture(scope="module")
def lines(evening: Assessment, van: Assessment) -> frozenset[str]:
    """Every line of the outputs of two builds and of everything that is explained; no rows."""
    texts = [*texts_of(evening), *texts_of(van)]
    texts += [explanation(name, lambda: evening) or "" for name in known_names()]
    rows = re.compile("[─┄═╱╴○·→✓●∙]")
    return frozenset(line for text in texts for line in text.split("\n") if not rows.search(line))


@pytest.mark.parametrize("pattern, what", SLIPS, ids=[what for _, what in SLIPS])
def test_sentences_read_well(pattern: str, what: str, lines: frozenset[str]) -> None:
    slips = sorted(line.strip() for line in lines if re.search(pattern, line.strip()))
    assert len(lines) > 1000 and slips == [], what


def test_every_end_form_is_explained() -> None:
    assert set(end_forms()) <= set(known_names())
