"""Setting values: what changes, what stays as it was, and what is refused."""

from pathlib import Path

import pytest
from tests.edits.support import BUILD, CAR, DAY, TEXTS, folder_with, text_of

from swapwright.assess import assess_folder
from swapwright.edits import set_value
from swapwright.model.faults import Faulty
from swapwright.quantity import Measure

# target, text, piece of the documents, the same after
CASES = [
    ("haywain.kerb_mass", "1140 kg, published", '"1100 ± 20 kg, typical"', '"1140 kg, published"'),
    ("heater-supply.progress", "fitted", "progress: planned      # h", "progress: fitted      # h"),
    ("heater-supply.route_length", "250 mm", "241 mm", "250 mm"),
    ("heater-supply.facts.route_length", "250 mm", "241 mm", "250 mm"),
    ("heater-supply.cut_length", "2 m", "241 mm\n", "241 mm\n      cut_length: 2 m\n"),
    ("heater-supply.small.clamp at matrix", "renewed", "matrix: lost}", "matrix: renewed}"),
    ("heater-supply.small.seal", "have", "matrix: lost}", "matrix: lost, seal: have}"),
    ("heater-supply.through", "[]", "[ heater-hose ]", "[]"),
    ("heater-return.reason", "it's right", "'it''s the way it was'", "'it''s right'"),
    ("haywain.hot.end.barrel", "38 mm, tape", "hose bead 36 mm\n", "hose bead 38 mm, tape\n"),
    (
        "haywain.hot.end.bead", "40 mm",
        "end: hose bead 36 mm\n", "end: {form: hose bead, barrel: 36 mm, bead: 40 mm}\n",
    ),
    (
        "haywain.hret.end.barrel", "15 mm, calipers",
        "{form: hose bead, barrel: 16 mm}", '{form: hose bead, barrel: "15 mm, calipers"}',
    ),
    ("haywain.hret.end", "hose bead 15 mm", "{form: hose bead, barrel: 16 mm}", "hose bead 15 mm"),
    ("haywain.fair.there", "no", "fair: unknown", "fair: {there: no}"),
    ("haywain.fair.why", "no: old", "fair: unknown", 'fair: {there: unknown, why: "no: old"}'),
    ("haywain.main.plug.mate_seen", "no", "engine loom}", "engine loom, mate_seen: no}"),
    (
        "haywain.tach.plug.mate_seen", "no",
        "  tach: {family: tach}\n  feed: {family: feed}\n  fair",
        "  tach: {family: tach, plug: {mate_seen: no}}\n  feed: {family: feed}\n  fair",
    ),
    ("haywain.hret.service", "coolant", "16 mm}}", "16 mm}, service: coolant}"),
    ("haywain.hret.flow", "in", "16 mm}}", "16 mm}, flow: in}"),
    ("haywain.hret.was", "old-four.hot", "16 mm}}", "16 mm}, was: old-four.hot}"),
    ("haywain.dash.label", "dashboard", "  dash:\n", "  dash:\n    label: dashboard\n"),
    ("haywain.label", "no: quoted", '"light van"', '"no: quoted"'),
    ("four.tach.fate.until", "autumn", "age: 5 V}}", "age: 5 V}, until: autumn}"),
    # the fate's own fact counts before the sheet's, so it is the one to change
    ("four.tach.signal_voltage", "12 V", "signal_voltage: 5 V", "signal_voltage: 12 V"),
    ("J041.people", "2", "{state: planned}", "{state: planned, facts: {people: 2}}"),
    ("feed-hose.state", "here", "state: ordered", "state: here"),
    ("feed-hose.for", "feed, heater-return", "-05-12}}", "-05-12, for: [feed, heater-return]}}"),
    ("heater-tap.chosen", "keep", "one}}\n", "one}}\n    chosen: keep\n"),
    ("heater-tap.options.keep.hours", "1.5", "{keep: ,", "{keep: {hours: 1.5},"),
    ("build.gates.before it goes in", "2026-05-19", "-02}", "-02, before it goes in: 2026-05-19}"),
    ("van.currency", "GBP", "currency: EUR", "currency: GBP"),
    ("heater-hose.hose_bore", "16 mm", "end 16 mm]}", "end 16 mm], facts: {hose_bore: 16 mm}}"),
    # former ids of the sheet and of the port
    ("the-van.heat-in.end", "barb 13 mm", "hose bead 16 mm, calipers", "barb 13 mm"),
    ("haywain.hsup.place", "wing: right", "'bulkhead, left'", "'wing: right'"),
    (
        "haywain.hsup.place.at", "1 mm, 2 mm, -3 mm", "place: 'bulkhead, left'",
        'place: {words: "bulkhead, left", at: [1 mm, 2 mm, -3 mm]}',
    ),
]  # fmt: skip


@pytest.mark.parametrize(("target", "text", "old", "new"), CASES, ids=[c[0] for c in CASES])
def test_one_place_changes_and_every_other_byte_stays(
    tmp_path: Path, target: str, text: str, old: str, new: str
) -> None:
    folder = folder_with(tmp_path)
    told = set_value(folder, target, text, as_of=DAY)
    assert sum(held.count(old) for held in TEXTS.values()) == 1
    assert {name: text_of(folder, name) for name in TEXTS} == {
        name: held.replace(old, new) for name, held in TEXTS.items()
    }
    assert (told.before, told.after) == (TEXTS[told.file], text_of(folder, told.file))


def test_new_facts_go_under_facts_of_their_subject(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    set_value(folder, "heater-return.hose_standard", "SAE J20 R3", as_of=DAY)
    assert (
        "    reason: 'it''s the way it was'\n    facts:\n      hose_standard: SAE J20 R3\n  feed:\n"
        in text_of(folder, "build.yaml")
    )


def test_words_name_subject_old_and_new(tmp_path: Path) -> None:
    told = set_value(folder_with(tmp_path), "heater-supply.progress", "fitted", as_of=DAY)
    assert told.what == "heater-supply: progress planned -> fitted"
    assert list(told.lines()) == [
        "-    progress: planned      # hose is cut",
        "+    progress: fitted      # hose is cut",
    ]
    assert told.assessed and told.changed


def test_assessment_reads_what_was_set(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    set_value(folder, "haywain.kerb_mass", "1200 kg", as_of=DAY)
    content = assess_folder(folder, DAY).assembly.fact("haywain", "kerb_mass").content
    assert isinstance(content, Measure) and content.nominal == 1200


def test_findings_that_come_and_go_are_told(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    came = set_value(folder, "haywain.hsup.flow", "out", as_of=DAY)
    assert "join-two-outlets/heater-supply" in [each.id for each in came.findings_new]
    went = set_value(folder, "haywain.hsup.flow", "in", as_of=DAY)
    assert "join-two-outlets/heater-supply" in [each.id for each in went.findings_gone]


def test_saying_a_port_is_not_there_closes_its_crossing(tmp_path: Path) -> None:
    told = set_value(folder_with(tmp_path), "haywain.fair.there", "no", as_of=DAY)
    assert told.crossings_closed == ("haywain.fair",)


def test_same_value_writes_nothing(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = set_value(folder, "van.currency", "EUR", as_of=DAY)
    assert not told.changed and told.what == "van: currency is EUR already"
    assert not (folder / ".swapwright" / "history").exists()


def test_reading_that_counts_before_the_sheet_is_told(tmp_path: Path) -> None:
    build = BUILD.replace(
        "readings: []", "readings:\n  - {of: the-van.heat-in.end.barrel, value: 13 mm}"
    )
    told = set_value(folder_with(tmp_path, build=build), "haywain.hsup.end.barrel", "14 mm")
    assert told.notes == (
        "a reading of haywain.hsup.end.barrel in the build counts before what is set here",
    )


REFUSED = [  # target, text, part of what is said
    ("haywain.kerb_mas", "1 kg", "nearest known: kerb_mass"),
    ("haywian.kerb_mass", "1 kg", "nearest known: haywain"),
    ("haywain.hto.end", "unknown", 'found "hto"'),
    ("heater-supply.progres", "fitted", "nearest known: progress"),
    ("heater-suply.progress", "fitted", "nearest known: heater-supply"),
    ("heater-supply.progress", "fited", "nearest known: fitted"),
    ("haywain.kerb_mass", "1140", "wanted a mass with its unit"),
    ("haywain.kerb_mass", "1140 mm", "wanted a mass"),
    ("haywain.hot.end", "hose beed 36 mm", "nearest known: hose bead"),
    ("haywain.hot.end.tube", "36 mm", "found \"tube\""),
    ("haywain.tach.end.barrel", "36 mm", "wanted an end with a form first"),
    ("haywain.tach.fate.until", "x", "without a stated fate"),
    ("haywain.hot.family", "hott", "nearest known: hot"),
    ("haywain.id", "other", "ids are permanent"),
    ("haywain.hot", "x", "haywain.hot.<name>"),
    ("haywain.parts", "x", "single value below it"),
    ("heater-tap.chosen", "kep", "nearest known: keep"),
    ("heater-supply.through", "heater-hoze", "nearest known: heater-hose"),
    ("van.gates.before it is pulled", "2.5.2026", "a date as year-month-day"),
    ("van.gates.before it is puled", "2026-05-02", "before it is pulled"),
    ("nothing.of.this", "x", "a sheet, sheet.port"),
    ("", "x", "a sheet, sheet.port"),
    ("haywain.label", "", "found nothing"),
    ("haywain.label", "a\x00b", "found \"a\\x00b\""),
]  # fmt: skip


@pytest.mark.parametrize(
    ("target", "text", "said"), REFUSED, ids=[f"{c[0]}={c[1]}" for c in REFUSED]
)
def test_refusal_says_why_and_changes_nothing(
    tmp_path: Path, target: str, text: str, said: str
) -> None:
    folder = folder_with(tmp_path)
    with pytest.raises(Faulty) as refused:
        set_value(folder, target, text, as_of=DAY)
    assert said in str(refused.value)
    assert len(refused.value.faults) == 1
    assert {name: text_of(folder, name) for name in TEXTS} == TEXTS
    assert not (folder / ".swapwright" / "history").exists()
    assert not (folder / ".swapwright" / "lock").exists()


def test_one_of_several_faults_can_be_mended(tmp_path: Path) -> None:
    build = BUILD.replace("progress: planned ", "progress: plannned ").replace("EUR", "[EUR]")
    folder = folder_with(tmp_path, build=build, car=CAR.replace("1100 ± 20 kg", "1100 ± 20"))
    told = set_value(folder, "heater-supply.progress", "planned", as_of=DAY)
    assert [each.path for each in told.mended] == ["joins.heater-supply.progress"]
    assert not told.assessed
    told = set_value(folder, "haywain.kerb_mass", "1100 kg", as_of=DAY)
    assert [each.path for each in told.mended] == ["facts.kerb_mass"]
    told = set_value(folder, "van.currency", "EUR", as_of=DAY)
    assert [each.path for each in told.mended] == ["currency"] and not told.assessed
    assert assess_folder(folder, DAY).assembly.build.currency == "EUR"


def test_document_that_is_no_yaml_is_refused_with_its_fault(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, car=CAR + "\tx: [\n")
    with pytest.raises(Faulty) as refused:
        set_value(folder, "haywain.kerb_mass", "1 kg", as_of=DAY)
    assert "haywain" in str(refused.value)
    assert set_value(folder, "van.currency", "GBP", as_of=DAY).changed  # the others can be edited


def test_folder_that_is_none(tmp_path: Path) -> None:
    for folder in (tmp_path / "no-such", tmp_path):
        with pytest.raises(Faulty, match="swapwright begin"):
            set_value(folder, "a.b", "c")
    assert list(tmp_path.iterdir()) == []


ENDINGS = {
    "crlf": lambda text: text.replace("\n", "\r\n").encode(),
    "bom": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "utf-16": lambda text: b"\xff\xfe" + text.replace("\n", "\r\n").encode("utf-16-le"),
    "utf-16 big": lambda text: b"\xfe\xff" + text.encode("utf-16-be"),
    "no last newline": lambda text: text.rstrip("\n").encode(),
}


@pytest.mark.parametrize("how", ENDINGS)
@pytest.mark.parametrize(
    ("target", "text"), [("haywain.kerb_mass", "1200 kg"), ("haywain.main.label", "ü±")]
)
def test_file_keeps_its_encoding_and_line_ends(
    tmp_path: Path, how: str, target: str, text: str
) -> None:
    folder = folder_with(tmp_path)
    path = folder / "sheets" / "car.yaml"
    path.write_bytes(ENDINGS[how](CAR))
    told = set_value(folder, target, text, as_of=DAY)
    plain = folder_with(tmp_path / "plain")
    set_value(plain, target, text, as_of=DAY)
    assert told.changed
    assert path.read_bytes() == ENDINGS[how](text_of(plain, "sheets/car.yaml"))


def test_linked_document_stays_a_link(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    elsewhere = tmp_path / "shared.yaml"
    (folder / "shelf.yaml").rename(elsewhere)
    try:
        (folder / "shelf.yaml").symlink_to(elsewhere)
    except OSError:
        pytest.skip("no links on this system")
    set_value(folder, "heater-hose.label", "hose", as_of=DAY)
    assert (folder / "shelf.yaml").is_symlink() and "label: hose" in elsewhere.read_text("utf-8")
