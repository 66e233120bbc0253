"""Readings, accepted findings and passed gates."""

from pathlib import Path

import pytest
from tests.edits.support import BUILD, DAY, TEXTS, folder_with, text_of

from swapwright.assess import assess_folder
from swapwright.edits import accept, pass_gate, read, set_value
from swapwright.model.faults import Faulty
from swapwright.quantity import Measure

STOP = "fuel-hose-pressure/feed"


def test_reading_is_added_and_counts(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = read(
        folder, "the-van.heat-in.end.barrel", "13.1 mm, calipers", on="2026-05-02", who="me",
        photo="car-06", as_of=DAY,
    )  # fmt: skip
    assert told.what == "haywain.hsup.end.barrel: reading 1 of it is 13.1 mm, calipers"
    line = (
        "  - {of: haywain.hsup.end.barrel, value: 13.1 mm, by: calipers, on: 2026-05-02, "
        "who: me, photo: car-06}\n"
    )
    assert text_of(folder, "build.yaml") == BUILD.replace("readings: []\n", "readings:\n" + line)
    end = assess_folder(folder, DAY).assembly.ports["haywain.hsup"].end
    assert end is not None
    content = end.dim("barrel").content
    assert isinstance(content, Measure) and content.nominal == pytest.approx(0.0131)


def test_readings_add_up(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    read(folder, "haywain.kerb_mass", "1100 kg", as_of=DAY)
    told = read(folder, "haywain.kerb_mass", "1110 kg", as_of=DAY)
    assert told.what == "haywain.kerb_mass: reading 2 of it is 1110 kg"
    value = assess_folder(folder, DAY).assembly.fact("haywain", "kerb_mass")
    assert isinstance(value.content, Measure)
    assert value.content.nominal == 1105 and value.count == 2


def test_readings_far_apart_are_told(tmp_path: Path) -> None:
    """One slip spoils the mean that everything else rests on."""
    folder = folder_with(tmp_path)
    assert read(folder, "haywain.kerb_mass", "1100 kg", as_of=DAY).notes == ()
    assert read(folder, "haywain.kerb_mass", "1110 kg", as_of=DAY).notes == ()
    (note,) = read(folder, "haywain.kerb_mass", "1410 kg", as_of=DAY).notes
    assert "from 1100 kg to 1410 kg" in note


def test_reading_of_a_day_to_come_is_told(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    (note,) = read(folder, "haywain.kerb_mass", "1100 kg", on="2126-05-02", as_of=DAY).notes
    assert "2126-05-02" in note


@pytest.mark.parametrize(
    ("of", "value", "by", "said"),
    [
        ("haywain.kerb_mas", "1 kg", "", "nearest known: kerb_mass"),
        ("haywain.kerb_mass", "1", "", "wanted a mass with its unit"),
        ("haywain.kerb_mass", "1 kg", "kitchen scale", "a tool of the tool table"),
        ("haywain.tach.end.barrel", "1 mm", "", "end that has a form"),
        ("nobody.kerb_mass", "1 kg", "", "subject.fact"),
        ("haywain.kerb_mass", " ", "", "found"),
    ],
)
def test_reading_that_cannot_be_is_refused(
    tmp_path: Path, of: str, value: str, by: str, said: str
) -> None:
    folder = folder_with(tmp_path)
    with pytest.raises(Faulty) as refused:
        read(folder, of, value, by=by, as_of=DAY)
    assert said in str(refused.value)
    assert text_of(folder, "build.yaml") == BUILD


def test_accepted_stop_stays_a_stop_and_lapses_with_its_facts(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = accept(folder, STOP, "moved by hand only", "2026-05-20", as_of=DAY)
    assert told.notes == ("it is a stop and stays one: the reason is told beside it",)

    def finding() -> tuple[bool, bool, int]:
        assessment = assess_folder(folder, DAY)
        found = next(each for each in assessment.findings if each.id == STOP)
        return found.accepted is not None, found.lapsed, assessment.status

    assert finding() == (True, False, 1)
    set_value(folder, "feed.hose_working_pressure", "2 bar", as_of=DAY)
    assert finding() == (False, True, 1)
    accept(folder, STOP, "still by hand", "2026-05-21", as_of=DAY)
    assert finding() == (True, False, 1)
    assert text_of(folder, "build.yaml").count(STOP) == 1


def test_accepting_what_is_not_there_or_is_a_question(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    with pytest.raises(Faulty, match=f"nearest known: {STOP}"):
        accept(folder, "fuel-hose-presure/feed", "so", "2026-05-20", as_of=DAY)
    questions = [each for each in assess_folder(folder, DAY).findings if each.asks is not None]
    with pytest.raises(Faulty, match="since it is a question"):
        accept(folder, questions[0].id, "so", "2026-05-20", as_of=DAY)
    with pytest.raises(Faulty, match="year-month-day"):
        accept(folder, STOP, "so", "today", as_of=DAY)
    with pytest.raises(Faulty, match="found nothing"):
        accept(folder, STOP, "", "2026-05-20", as_of=DAY)
    assert {name: text_of(folder, name) for name in TEXTS} == TEXTS


def test_accepting_in_a_folder_with_faults_tells_them(tmp_path: Path) -> None:
    folder = folder_with(tmp_path, build=BUILD.replace("planned ", "plannned "))
    with pytest.raises(Faulty, match="plannned"):
        accept(folder, STOP, "so", "2026-05-20", as_of=DAY)


def test_gate_is_passed_with_what_was_still_due(tmp_path: Path) -> None:
    folder = folder_with(tmp_path)
    told = pass_gate(folder, "before first start", "2026-05-20", as_of=DAY)
    assert told.what == "gate before first start: not said -> passed 2026-05-20"
    assert "earlier gates that are not passed: before parts are ordered" in told.notes[0]
    assert STOP in told.notes[1]
    line = "gates: {before it is pulled: 2026-05-02, before first start: 2026-05-20}\n"
    assert line in text_of(folder, "build.yaml")
    for gate, on, said in (
        ("before frist start", "2026-05-20", "nearest known: before first start"),
        ("before the job", "2026-05-20", "one of: before it is pulled"),
        ("before it goes in", "soon", "year-month-day"),
    ):
        with pytest.raises(Faulty, match=said):
            pass_gate(folder, gate, on, as_of=DAY)
