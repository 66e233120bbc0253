"""The folder of a new build, and the file of answers that it may be made of."""

from pathlib import Path

import pytest

from swapwright.library.survey_data import questions
from swapwright.model.documents import read_folder
from swapwright.model.faults import Faulty
from swapwright.survey.answers import all_unknown, read_answers
from swapwright.survey.begin import begin


def test_a_folder_in_use_is_refused(tmp_path: Path) -> None:
    (tmp_path / "note.txt").write_text("mine", "utf-8")
    for place, found in ((tmp_path, "something in it"), (tmp_path / "note.txt", "a file")):
        with pytest.raises(Faulty) as refused:
            begin(place, all_unknown())
        assert found in str(refused.value)
    assert sorted(each.name for each in tmp_path.iterdir()) == ["note.txt"]


def test_an_empty_or_new_folder_is_taken(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    for name in ("empty", "deep/new"):
        made = begin(tmp_path / name, all_unknown())
        written = {each.name: each.read_text("utf-8") for each in (tmp_path / name).iterdir()}
        assert written == made.texts


def test_the_folder_one_is_in_gives_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "blue").mkdir()
    monkeypatch.chdir(tmp_path / "blue")
    begin(Path(), all_unknown())
    assert read_folder(tmp_path / "blue").by_id["build"].label == "blue"


TEN_MISTAKES = """\
layuot: middle
layout: sideways
engine: [v6, v8]
bought: {how: alone}
car year: 74
engine year: soon
pedals: "4"
cruise: maybe
brake servo: 0
colour: blue
"""


def test_all_mistakes_of_an_answers_file_are_told_at_once(tmp_path: Path) -> None:
    file = tmp_path / "answers.yaml"
    file.write_text(TEN_MISTAKES, "utf-8")
    with pytest.raises(Faulty) as told:
        read_answers(file)
    faults = told.value.faults
    assert [fault.line for fault in faults] == list(range(1, 11))
    assert all(fault.wanted and fault.found for fault in faults)
    assert faults[0].nearest == "layout"
    assert "front crosswise to the front" in faults[1].wanted


@pytest.mark.parametrize(
    "text, found",
    [("- middle\n", "a list"), ("layout: middle\nlayout: rear\n", "layout"), ("a: *b\n", "")],
)
def test_answers_that_are_no_answers(tmp_path: Path, text: str, found: str) -> None:
    file = tmp_path / "answers.yaml"
    file.write_text(text, "utf-8")
    with pytest.raises(Faulty) as told:
        read_answers(file)
    assert found in str(told.value)
    with pytest.raises(Faulty):
        read_answers(tmp_path / "none.yaml")


def test_answers_are_read_in_words_by_number_or_as_unknown(tmp_path: Path) -> None:
    file = tmp_path / "answers.yaml"
    file.write_text('layout: 3\nengine: V6\ncruise: true\nturbo: "?"\ncountry: Norway\n', "utf-8")
    answers = read_answers(file)
    assert answers["layout"] == "middle" and answers["engine"] == "v6"
    assert answers["cruise"] == "yes" and answers["turbo"] == "unknown"
    assert answers["country"] == "Norway" and set(answers) == set(questions())
