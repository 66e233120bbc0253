"""``swapwright sweep`` and ``--what-if``: what is refused, how a stop ends, and the picture."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from swapwright.cli import main

FEW = ("--samples", "64", "--case", "hill")
BAD = [  # typed, found, wanted
    (["radiator depht = 30 mm"], '"radiator depht"', "nearest known: radiator depth"),
    (["cap"], '"cap"', "= values"),
    (["cap = 3 kg"], "a mass", "gauge pressure"),
    (["cap = 1"], "no unit", "gauge pressure"),
    (["glycol = 500 %"], "out of range", "0 % to 70 %"),
    (["cap = 1,,2 bar"], "a comma with nothing beside it", "a value on either side"),
    (["cap = 1 to 2 bar in 1"], "1 to 2 bar in 1", "2 to 50 steps"),
    (["hil.air = 30 °C"], '"hil"', "nearest known: hill"),
    (["hill.ar = 30 °C"], '"ar"', "nearest known: air"),
    (["hill.fan = maybe"], '"maybe"', "on or off"),
    (["haywain.radiatr.radiator_core_depth = 30 mm"], "radiatr", "haywain.radiator"),
    (["cap = 1 bar", "glycol = 30 %", "shroud = 40 %"], "3 figures", "one figure or two"),
    (["cap = 1 bar", "--case", "hil"], '"hil"', "nearest known: hill"),
    (["cap = 1 bar", "--samples", "3"], "found 3", "64 to"),
    (["cap = 1, 2 bar", "--svg", "nowhere/a.svg"], 'no folder "nowhere"', "a folder"),
    (["cap = 0.5 to 2 bar in 50", "glycol = 20 to 60 % in 50"], "2500", "at most 200"),
]


@pytest.fixture(scope="module")
def van(tmp_path_factory: pytest.TempPathFactory) -> str:
    folder = str(tmp_path_factory.mktemp("sweep") / "van")
    assert CliRunner().invoke(main, ["demo", folder]).exit_code == 0
    return folder


def run(van: str, *words: str) -> Result:
    return CliRunner().invoke(main, ["sweep", "-C", van, *words])


@pytest.mark.parametrize(("typed", "found", "wanted"), BAD)
def test_a_slip_is_told_in_words(van: str, typed: list[str], found: str, wanted: str) -> None:
    result = run(van, *typed)
    told = " ".join(result.stderr.split())
    assert result.exit_code == 2
    assert found in told
    assert wanted in told
    assert result.stdout == ""
    assert isinstance(result.exception, SystemExit)
    assert "Traceback" not in told
    assert max(map(len, result.stderr.splitlines())) <= 80


def test_all_slips_are_told_at_once(van: str) -> None:
    told = run(van, "cap = 3 kg", "glycol = 500 %").stderr
    assert "a mass" in told
    assert "out of range" in told


def test_what_if_refuses_the_same_slips(van: str) -> None:
    words = ["circuit", "coolant", "-C", van, *FEW, "--what-if", "glycol = 500 %"]
    result = CliRunner().invoke(main, words)
    assert result.exit_code == 2
    assert "out of range" in result.stderr


def test_a_figure_that_nothing_reads_is_told(van: str) -> None:
    """The van has no pipes under its floor."""
    result = run(van, *FEW, "long pipe bore = 22, 38 mm")
    assert "Changes nothing here" in result.stdout
    assert "Changes nothing here" not in run(van, *FEW, "cap = 0.7, 1.1 bar").stdout
    record = json.loads(run(van, *FEW, "--json", "bore = 22, 38 mm").stdout)
    assert len(record["unread"]) == 1


def test_the_case_of_a_field_is_computed_unasked(van: str) -> None:
    record = json.loads(run(van, "--samples", "64", "--json", "motorway.air = 20, 30 °C").stdout)
    assert [each["case"] for each in record["present"]] == ["motorway"]
    assert record["unread"] == []


def test_a_stop_tells_what_was_done(van: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(done: int, _of: int) -> None:
        if done == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr("swapwright.cli.sweeping._progress", stop)
    result = run(van, *FEW, "cap = 0.7, 0.9, 1.1 bar")
    assert result.exit_code == 130
    assert "Stopped after 2 of 3 values" in result.stdout
    assert "0.9 bar" in result.stdout
    assert "1.1 bar  " not in result.stdout


def test_the_picture_has_a_line_a_case_and_a_band(van: str, tmp_path: Path) -> None:
    file = tmp_path / "depth.svg"
    result = run(van, *FEW, "radiator depth = 24, 40, 52 mm", "--svg", str(file))
    assert result.exit_code == 0
    drawn = file.read_text(encoding="utf-8")
    ElementTree.fromstring(drawn)
    assert "coolant leaving the head (°C)" in drawn
    assert "(mm)" in drawn
    assert "90 %" in drawn


def test_words_have_no_axis(van: str, tmp_path: Path) -> None:
    file = tmp_path / "fan.svg"
    result = run(van, *FEW, "hill.fan = on, off", "--svg", str(file))
    assert result.exit_code == 2
    assert "no measure" in result.stderr
    assert not file.exists()


def test_text_fits_eighty_columns(van: str) -> None:
    result = run(van, "--samples", "64", "cap = 0.7, 1.1 bar", "radiator depth = 24 to 52 mm in 2")
    assert result.exit_code == 0
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert "before the pump" in result.stdout
