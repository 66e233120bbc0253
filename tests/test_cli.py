"""The command: every way in, its exit status, its plain data, and its words for what went wrong."""

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner, Result
from jsonschema import Draft202012Validator

from swapwright import __version__
from swapwright.cli import main
from swapwright.library.demos import demos
from swapwright.library.schemas import SCHEMAS, schema_text
from swapwright.library.survey_data import questions

DAY = ("--as-of", "2026-06-01")
TREES: dict[str, Any] = {
    "build.yaml": {
        "format": 1, "kind": "build", "id": "swap", "label": "small swap", "recipient": "car",
        "engine": "motor", "outgoing": ["old"], "bought": "whole car",
        "decisions": {
            "tap": {"question": "Keep it?", "options": {"keep": "keep it", "drop": "no"}}
        },
        "joins": {"top": {"ends": ["car.hot", "motor.hot"], "small": {"clamp": "lost"}}},
    },
    "car.yaml": {
        "format": 1, "kind": "vehicle", "id": "car", "formerly": ["wagon"],
        "facts": {"kerb_mass": "900 kg, typical", "heater_matrix_limit": "0.7 bar, typical"},
        "ports": {
            "hot": {"family": "hot", "end": "hose bead 16 mm"},
            "servo": {"family": "servo"},
            "hsup": {"family": "hsup", "end": "hose bead 16 mm"},
            "stub": {"service": "unknown", "seen": {"kind": "small-tube", "bore": "6 mm"}},
            "bare": {"service": "unknown"},
        },
    },
    "motor.yaml": {
        "format": 1, "kind": "engine", "id": "motor",
        "parts": {"brace": {"label": "brace", "kind": "bracket", "functions": ["lift eye"]}},
        "ports": {
            "hot": {"family": "hot", "end": "hose bead 16 mm"}, "servo": {"family": "servo"},
            "hsup": {"family": "hsup", "end": "hose bead 13 mm"},
        },
    },
    "old.yaml": {"format": 1, "kind": "engine", "id": "old"},
    "shelf.yaml": {"format": 1, "kind": "catalogue", "id": "shelf", "items": {}},
}  # fmt: skip


def write(folder: Path, trees: dict[str, Any]) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    for name, tree in trees.items():
        text = yaml.dump(tree, Dumper=yaml.CSafeDumper, sort_keys=False, allow_unicode=True)
        (folder / name).write_text(text, "utf-8")
    return folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "swap", TREES)


@pytest.fixture(scope="module")
def evening(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    place = tmp_path_factory.mktemp("begun") / "evening"
    return place, run("begin", place, "--unknown")


def run(*words: object, given: str | None = None) -> Result:
    """Run the command; whatever it raises but its own exit is a failure."""
    result = CliRunner().invoke(main, [str(word) for word in words], input=given)
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    assert "Traceback" not in result.output
    return result


def refused(*words: object, given: str | None = None) -> str:
    """What the error stream says of a refusal: status 2, nothing on the other stream."""
    result = run(*words, given=given)
    assert result.exit_code == 2, result.output
    assert result.stdout == "" and result.stderr.strip()
    return " ".join(result.stderr.split())


# -- as a whole --------------------------------------------------------------------------


def test_version_and_help() -> None:
    assert run("--version").output.strip() == f"swapwright, version {__version__}"
    text = run("--help").output
    for command in main.commands:
        assert command in text
        shown = run(command, "--help")
        assert shown.exit_code == 0 and "Usage:" in shown.output


def test_it_runs_as_a_module_with_a_poor_terminal(folder: Path) -> None:
    """A process of its own, in ASCII: no traceback, nothing it cannot show."""
    done = subprocess.run(
        [sys.executable, "-m", "swapwright", "-h"],
        env={**os.environ, "PYTHONIOENCODING": "ascii"}, capture_output=True, check=True,
    )  # fmt: skip
    assert b"Usage:" in done.stdout
    done = subprocess.run(
        [sys.executable, "-m", "swapwright", "crossings", "-C", str(folder)],
        env={**os.environ, "PYTHONIOENCODING": "ascii"}, capture_output=True, check=True,
    )  # fmt: skip
    assert b"CAN HURT YOU" in done.stdout and done.stdout.isascii() and done.stderr == b""


def test_an_unknown_command_is_refused() -> None:
    assert "Did you mean 'assess'?" in refused("asess")


@pytest.mark.parametrize("words", [("assess", "--stage", "moon"), ("set", "one"), ("assess", "-x")])
def test_a_wrong_call_is_told_within_80_columns(words: tuple[str, ...]) -> None:
    result = run(*words)
    assert result.exit_code == 2 and result.stdout == ""
    assert max(map(len, result.stderr.splitlines())) <= 80
    assert f"swapwright {words[0]} --help" in result.stderr.replace("main", "swapwright")


def test_the_first_screen_says_how_to_start_and_cuts_nothing_off() -> None:
    text = run("--help").output
    assert "Start with: swapwright begin my-swap" in text
    commands = text.partition("Commands:")[2]
    assert "..." not in commands and "…" not in commands


def test_a_negative_number_is_a_value(folder: Path) -> None:
    """The place of a centre of mass lies on either side of its zero."""
    place = "motor.mass_centre_x"
    assert "-> -265 mm" in run("set", place, "-265 mm", "-C", folder).stdout
    assert "-> -5 mm" in run("set", "-C", folder, place, "-5 mm").stdout
    assert "is -4 mm" in run("read", place, "-4 mm", "--by", "tape", "-C", folder).stdout
    assert "below zero" in refused("set", "car.kerb_mass", "-900 kg", "-C", folder)
    assert "No such option '-z'" in refused("set", "-z", "car.kerb_mass", "900 kg")


# -- begin -------------------------------------------------------------------------------


def test_begin_with_nothing_known(evening: tuple[Path, Result]) -> None:
    place, result = evening
    assert result.exit_code == 0
    assert "Assumed, until you know better:" in result.stdout and "DO NEXT" in result.stdout
    assert (place / "build.yaml").is_file() and (place / "car.yaml").is_file()


def test_begin_by_answering(tmp_path: Path) -> None:
    """Numbers, words, a slip that is asked again, and Enter for all the rest."""
    place = tmp_path / "new"
    given = ["3", "V8", "sideways", "whole car", *[""] * len(questions())]
    result = run("begin", place, given="\n".join(given) + "\n")
    assert result.exit_code == 0
    assert 'found "sideways", wanted a number from 1 to 3' in result.stdout
    assert f"2 of {len(questions())}. What comes in?" in result.stdout
    assert "hint for later:" in result.stdout
    survey = yaml.load((place / "build.yaml").read_text("utf-8"), yaml.CBaseLoader)["survey"]
    assert survey["layout"] == "middle" and survey["engine"] == "v8"
    assert survey["bought"] == "whole car" and survey["country"] == "unknown"


def test_begin_that_is_broken_off_writes_nothing(tmp_path: Path) -> None:
    result = run("begin", tmp_path / "new", given="3\n")
    assert result.exit_code != 0 and not (tmp_path / "new").exists()
    assert "nothing was written" in result.stderr and "layout: middle" in result.stderr


def test_answers_handed_back_can_be_gone_on_with(tmp_path: Path) -> None:
    told = run("begin", tmp_path / "new", given="3\n4\n1\n").stderr
    answers = tmp_path / "answers.yaml"
    answers.write_text("".join(re.findall(r"(?m)^    (\w.*\n)", told)), "utf-8")
    assert run("begin", tmp_path / "new", "--answers", answers).exit_code == 0
    survey = yaml.load((tmp_path / "new/build.yaml").read_text("utf-8"), yaml.CBaseLoader)["survey"]
    assert (survey["layout"], survey["engine"], survey["bought"]) == ("middle", "v8", "alone")


def test_begin_asks_nothing_that_an_answer_has_settled(tmp_path: Path) -> None:
    """A diesel has no spark plugs, and burns what it burns."""
    given = "1\ndiesel\n"
    shown = run("begin", tmp_path / "new", given=given + "\n" * len(questions())).stdout
    assert "new engine's spark" not in shown and "new engine get its fuel" not in shown
    assert "How did the car's old engine get its fuel?" in shown


def test_begin_takes_y_and_n_and_ends_with_what_to_do_now(tmp_path: Path) -> None:
    place = tmp_path / "my swap"
    given = ["" if each.answers != ("yes", "no") else "y" for each in questions().values()]
    result = run("begin", place, given="\n".join(given) + "\n")
    survey = yaml.load((place / "build.yaml").read_text("utf-8"), yaml.CBaseLoader)["survey"]
    assert survey["turbo"] == "yes" and survey["bay fan"] == "yes"
    end = result.stdout.partition("WHAT NOW")[2]
    assert f'swapwright assess -C "{place}"' in end and "report.html" in end


def test_begin_refuses_answers_that_contradict_each_other(tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text("engine: diesel\nengine fuel: carburettor\nspark: none\n", "utf-8")
    told = refused("begin", tmp_path / "new", "--answers", answers)
    assert "line 2" in told and "carburettor beside engine: diesel" in told
    assert "spark" not in told and not (tmp_path / "new").exists()


@pytest.mark.parametrize(("text", "said"), [("", "an empty document"), (None, "a folder")])
def test_begin_says_of_what_sort_a_file_of_answers_is(
    tmp_path: Path, text: str | None, said: str
) -> None:
    answers = tmp_path / "answers.yaml"
    if text is None:
        answers.mkdir()
    else:
        answers.write_text(text, "utf-8")
    told = refused("begin", tmp_path / "new", "--answers", answers)
    assert said in told and "format, kind and id" not in told


def test_begin_from_a_file_of_answers(tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text("layout: rear\nturbo: no\n", "utf-8")
    assert run("begin", tmp_path / "new", "--answers", answers).exit_code == 0
    car = yaml.load((tmp_path / "new/car.yaml").read_text("utf-8"), yaml.CBaseLoader)
    assert car["starter"]["sheet"] == "A5"


def test_begin_refuses_what_it_cannot_take(tmp_path: Path, folder: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text("layuot: rear\nturbo: maybe\n", "utf-8")
    told = refused("begin", tmp_path / "new", "--answers", answers)
    assert "line 1" in told and "line 2" in told and "nearest known: layout" in told
    assert "a file of answers" in refused("begin", tmp_path / "new", "--answers", tmp_path / "no")
    assert "new or empty" in refused("begin", folder, "--unknown")
    assert "one of them" in refused("begin", tmp_path / "new", "--unknown", "--answers", answers)
    assert not (tmp_path / "new").exists()


# -- looking -----------------------------------------------------------------------------


def status_trees(**car_facts: str) -> dict[str, Any]:
    """A car alone: nothing crosses, and few rules look at it."""
    return {
        "build.yaml": {"format": 1, "kind": "build", "id": "b", "recipient": "car"},
        "car.yaml": {"format": 1, "kind": "vehicle", "id": "car", "facts": car_facts},
    }


def test_assess_tells_by_its_status(tmp_path: Path) -> None:
    calm = write(tmp_path / "calm", status_trees())
    assert run("assess", "-C", calm, *DAY).exit_code == 0
    trees = status_trees()
    trees["build.yaml"]["facts"] = {"pedal_clear_of_mat": "no"}
    stopped = TREES | {
        "motor.yaml": {**TREES["motor.yaml"], "ports": {"byp": {"family": "ocl"}}},
        "build.yaml": {
            **TREES["build.yaml"], "joins": {},
            "fates": [{"port": "motor.byp", "fate": "capped"}],
        },
    }  # fmt: skip
    result = run("assess", "-C", write(tmp_path / "stop", stopped), *DAY)
    assert result.exit_code == 1 and "[STOP]" in result.stdout
    told = refused("assess", "-C", write(tmp_path / "bad", status_trees(kerb_mass="900")))
    assert "car.yaml" in told and "facts.kerb_mass" in told and "a mass with its unit" in told


def test_assess_tells_all_faults_at_once(tmp_path: Path) -> None:
    trees = status_trees(kerb_mass="900", colour="blue")
    trees["build.yaml"] |= {
        "engine": "nothing",
        "limits": {"fuel_gap_leest": {"value": "1 m", "reason": "x"}},
    }
    trees["build.yaml"]["red_lines"] = {"RL99": {"proved": "2026-05-02"}}
    told = refused("assess", "-C", write(tmp_path / "bad", trees))
    for word in ("900", "colour", "nothing", "fuel_gap_least", "RL99"):
        assert word in told, word


def test_assess_as_data_and_in_full(folder: Path) -> None:
    result = run("assess", "-C", folder, "--json", *DAY)
    record = json.loads(result.stdout)
    Draft202012Validator(json.loads(schema_text("assessment"))).validate(record)
    assert result.exit_code == record["status"]
    everything = run("assess", "-C", folder, "--all", *DAY)
    assert len(everything.stdout) > len(run("assess", "-C", folder, *DAY).stdout)
    assert everything.exit_code == record["status"]


@pytest.mark.parametrize("stage", ["first start", "first drive", "finished"])
def test_assess_at_a_stage_and_as_it_stands(folder: Path, stage: str) -> None:
    words = ("-C", folder, "--stage", stage, *DAY)
    planned = json.loads(run("assess", *words, "--json").stdout)
    stands = json.loads(run("assess", *words, "--as-it-stands", "--json").stdout)
    assert planned["stage"] == stage and stands["as_it_stands"]
    fates = [
        next(c["fate"] for c in each["crossings"] if c["id"] == "car.hot")
        for each in (planned, stands)
    ]
    assert fates == ["joined", "open"]
    assert "as it stands" in run("assess", *words, "--as-it-stands").stdout


def test_days_and_stages_that_are_none(folder: Path) -> None:
    assert "year-month-day" in refused("assess", "-C", folder, "--as-of", "1 June")
    assert "year-month-day" in refused("assess", "-C", folder, "--as-of", "unknown")
    assert "year-month-day" in refused("report", "-C", folder, "--as-of", "2026-13-01")
    assert "first drive" in refused("assess", "-C", folder, "--stage", "now")


BUILD_COMMANDS = (
    ("assess",), ("crossings",), ("mate", "car.hot", "motor.hot"), ("identify", "car.stub"),
    ("explain", "car.hot"), ("report",), ("set", "car.hot.end", "hose bead 20 mm"),
    ("close", "car.servo", "capped"), ("read", "car.kerb_mass", "900 kg"),
    ("accept", "a/b", "because"),
)  # fmt: skip


@pytest.mark.parametrize("words", BUILD_COMMANDS, ids=[words[0] for words in BUILD_COMMANDS])
def test_a_folder_without_a_build_is_told(words: tuple[str, ...], tmp_path: Path) -> None:
    told = refused(words[0], *words[1:], "-C", tmp_path)
    assert "wanted a build folder" in told and "swapwright begin" in told
    told = refused(words[0], *words[1:], "-C", tmp_path / "none")
    assert "no such folder" in told


def test_crossings_by_system_open_and_as_data(folder: Path) -> None:
    everything = json.loads(run("crossings", "-C", folder, "--json").stdout)
    ids = {each["id"] for each in everything}
    assert ids == {"car.hot", "car.servo", "car.hsup", "car.stub", "car.bare"}
    coolant = json.loads(run("crossings", "-C", folder, "--json", "--system", "coolant").stdout)
    assert {each["id"] for each in coolant} == {"car.hot", "car.hsup"}
    still = json.loads(run("crossings", "-C", folder, "--json", "--open").stdout)
    assert {each["id"] for each in still} == ids - {"car.hot"}
    text = run("crossings", "-C", folder, "--system", "coolant", "--open").stdout
    assert "hsup" in text and "servo" not in text
    assert "nearest known: coolant" in refused("crossings", "-C", folder, "--system", "coolent")


def test_mate_in_words_needs_no_build(tmp_path: Path) -> None:
    result = run("mate", "hose bead 19 mm", "hose bead 13 mm", "-C", tmp_path)
    assert result.exit_code == 0 and "does not mate" in result.stdout
    assert "Chains of catalogue parts" in result.stdout
    record = json.loads(
        run(
            "mate", "hose bead 19 mm", "hose bead 13 mm", "--json", "--most", "1", "-C", tmp_path
        ).stdout
    )
    assert record["verdict"] == "does not mate"
    best = [each for chain in record["chains"] for each in chain["best_by"]]
    assert {"added joints", "money", "least bore"} <= set(best)
    assert record["chains"][0]["items"]


@pytest.mark.parametrize(
    "ends",
    [
        ("car.hsup", "motor.hsup"),
        ("wagon.hsup", "hose bead 13 mm"),
        ("hose bead 16 mm", "motor.hsup"),
    ],
)
def test_mate_with_ports_takes_the_builds_items(folder: Path, ends: tuple[str, str]) -> None:
    """The build's catalogue is empty, so there is no chain although the starter has one."""
    record = json.loads(run("mate", *ends, "-C", folder, "--json").stdout)
    assert record["verdict"] == "mates with a warning" and record["chains"] == []


def test_mate_says_what_to_measure(folder: Path) -> None:
    result = run("mate", "car.servo", "motor.servo", "-C", folder)
    assert result.exit_code == 0 and "cannot tell" in result.stdout
    assert "measure: first end, second end" in result.stdout


def test_mate_refuses_what_is_no_end(folder: Path) -> None:
    assert "nearest known: car.hot" in refused("mate", "car.hto", "motor.hot", "-C", folder)
    assert "hose bead" in refused("mate", "hose beed 16 mm", "motor.hot", "-C", folder)
    assert refused("mate", "hose bead 16", "hose bead 13 mm", "-C", folder)
    assert run("mate", "car.hot", "motor.hot", "-C", folder, "--most", "0").exit_code == 2


def test_identify_by_kind_and_by_port(folder: Path, tmp_path: Path) -> None:
    result = run("identify", "thread", "pitch=1 mm", "--place", "oil switch", "-C", tmp_path)
    assert result.exit_code == 0 and "M10x1" in result.stdout
    record = json.loads(run("identify", "small-tube", "bore=6 mm", "--json", "-C", tmp_path).stdout)
    assert sum(each["chance"] for each in record["candidates"]) == pytest.approx(1)
    at_port = json.loads(run("identify", "car.stub", "--json", "-C", folder).stdout)
    assert at_port["candidates"] == record["candidates"]
    more = json.loads(run("identify", "car.stub", "at=coolant part", "--json", "-C", folder).stdout)
    assert more["candidates"][0]["id"] != record["candidates"][0]["id"] or (
        more["candidates"][0]["chance"] > record["candidates"][0]["chance"]
    )


def test_identify_refuses_what_it_cannot_read(folder: Path) -> None:
    assert "nearest known: thread" in refused("identify", "thraed", "-C", folder)
    assert "name=value" in refused("identify", "thread", "1 mm", "-C", folder)
    assert refused("identify", "thread", "colour=red", "-C", folder)
    assert refused("identify", "thread", "pitch=1", "-C", folder)
    assert "nearest known: car.stub" in refused("identify", "car.stbu", "-C", folder)
    assert "no kind" in refused("identify", "car.bare", "-C", folder)


EXPLAINED = [
    ("fuel-hose-pressure", "rule fuel-hose-pressure (fuel): stop"),
    ("kerb_mass", "fact kerb_mass of vehicle"),
    ("fuel_gap_least", "limit fuel_gap_least: "),
    ("RL3", "RL3: a tank that can breathe"),
    ("servo", "family servo: brake servo (vacuum)"),
    ("hose bead", "end form hose bead: "),
    ("car.hot", "Pile: must be decided"),
    ("wagon.hot", "Pile: must be decided"),
    ("top", "top: top (join)"),
    ("car", "car: car (vehicle)"),
    ("motor.brace", "motor.brace.lift eye"),
    ("before cutting motor.brace", "motor.brace.lift eye"),
    ("servo-source/car.servo", "servo-source/car.servo: "),
    ("assumptions", "car.heater_matrix_limit: 0.7 bar (typical)"),
]


@pytest.mark.parametrize("name, words", EXPLAINED, ids=[name for name, _ in EXPLAINED])
def test_explain(folder: Path, name: str, words: str) -> None:
    result = run("explain", name, "-C", folder, *DAY)
    assert result.exit_code == 0 and words in result.stdout


def test_explain_tells_a_decision_a_value_and_a_join_named_as_its_family(folder: Path) -> None:
    told = run("explain", "tap", "-C", folder).stdout
    assert "tap: Keep it?" in told and "keep: keep it" in told and "close tap OPTION" in told
    told = run("explain", "car.kerb_mass", "-C", folder).stdout
    assert "900 kg (typical)" in told and "How to find out" in told
    assert "nearest known: car.kerb_mass" not in told
    run("close", "car.hsup", "joined", "--to", "motor.hsup", "-C", folder)
    told = run("explain", "hsup", "-C", folder).stdout
    assert "family hsup" in told and "/hsup: ask" in told


def test_every_question_says_how_it_is_answered(folder: Path) -> None:
    """The word behind ``set`` is taken as it stands."""
    told = run("assess", "--all", "-C", folder, *DAY).stdout
    targets = re.findall(r"answer: swapwright set (\S+)", told)
    assert "car.heater_matrix_limit" not in targets and len(targets) > 20
    for target in targets[:5]:
        assert "wanted a fact or field" not in run("set", target, "…", "-C", folder).stderr


def test_assess_names_what_close_wants_of_a_decision(folder: Path) -> None:
    told = run("assess", "-C", folder, *DAY).stdout
    assert "- tap: Keep it?" in told and "drop: no" in told
    line = next(each for each in told.splitlines() if "settle one:" in each)
    words = line.rpartition(" close ")[2].split()
    assert run("close", *words, "-C", folder).exit_code == 0


def test_a_path_that_left_a_step_out_gets_the_whole_one(folder: Path) -> None:
    assert "nearest known: plug.mate_seen" in refused(
        "set", "car.hot.mate_seen", "yes", "-C", folder
    )


def test_explain_needs_no_build_for_what_ships(tmp_path: Path) -> None:
    for name in ("fuel-hose-pressure", "kerb_mass", "fuel_gap_least", "RL3", "servo", "hose bead"):
        assert run("explain", name, "-C", tmp_path).exit_code == 0


def test_explain_a_slip_names_the_nearest(folder: Path, tmp_path: Path) -> None:
    assert "nearest known: fuel-hose-pressure" in refused(
        "explain", "fuel-hose-presure", "-C", folder
    )
    assert "nearest known: kerb_mass" in refused("explain", "kerb_mas", "-C", tmp_path)
    assert "nearest known: motor.hsup" in refused("explain", "motor.hsupp", "-C", folder)
    assert "wanted a finding, rule" in refused("explain", "zzzzzzzz", "-C", folder)


# -- changing, and taking it back --------------------------------------------------------


def test_edits_say_what_they_did_and_can_be_undone(folder: Path) -> None:
    before = {each.name: each.read_bytes() for each in folder.glob("*.yaml")}
    for words in (
        ("set", "car.kerb_mass", "950 kg"),
        ("close", "car.servo", "joined", "--to", "motor.servo"),
        ("close", "tap", "keep"),
        ("close", "motor.hsup", "parked", "--until", "the tube is here", "--reason", "no tube"),
        ("read", "car.kerb_mass", "948 kg", "--on", "2026-05-02"),
    ):
        result = run(*words, "-C", folder)
        assert result.exit_code == 0 and result.stdout.strip(), result.output
    assert {each.name: each.read_bytes() for each in folder.glob("*.yaml")} != before
    for _ in range(5):
        assert run("undo", "-C", folder).exit_code == 0
    assert {each.name: each.read_bytes() for each in folder.glob("*.yaml")} == before
    refused("undo", "-C", folder)


def test_accepting_a_finding(folder: Path) -> None:
    record = json.loads(run("assess", "-C", folder, "--json", *DAY).stdout)
    finding = next(f["id"] for f in record["findings"] if f["urgency"] not in ("ask", "stop"))
    assert run("accept", finding, "known and watched", "-C", folder, *DAY).exit_code == 0
    after = json.loads(run("assess", "-C", folder, "--json", *DAY).stdout)
    accepted = next(f["accepted"] for f in after["findings"] if f["id"] == finding)
    assert accepted == {"reason": "known and watched", "on": "2026-06-01"}
    assert "known and watched" in run("assess", "-C", folder, *DAY).stdout


def test_a_red_line_is_proved_with_a_proof(folder: Path) -> None:
    assert "proof" in refused("close", "RL6", "proved", "-C", folder, "--on", "2026-05-02")
    words = ("--proof", "filmed", "--on", "2026-05-02")
    assert run("close", "RL6", "proved", "-C", folder, *words).exit_code == 0
    record = json.loads(run("assess", "-C", folder, "--json").stdout)
    assert next(line["proved"] for line in record["red_lines"] if line["id"] == "RL6")


@pytest.mark.parametrize(
    "words, told",
    [
        (("set", "car.kerb_mas", "900 kg"), "kerb_mass"),
        (("set", "car.kerb_mass", "900"), "a mass with its unit"),
        (("close", "car.sevro", "capped"), "car.servo"),
        (("close", "car.servo", "caped"), "capped"),
        (("close", "tap", "maybe"), "keep"),
        (("read", "car.kerb_mass", "a lot"), "a mass with its unit"),
        (("accept", "no-such/thing", "because"), ""),
    ],
)
def test_edits_refuse_in_words_and_write_nothing(
    folder: Path, words: tuple[str, ...], told: str
) -> None:
    before = {each.name: each.read_bytes() for each in folder.glob("*.yaml")}
    assert told in refused(*words, "-C", folder)
    assert {each.name: each.read_bytes() for each in folder.glob("*.yaml")} == before


# -- papers, schemas, demos --------------------------------------------------------------


def test_report_where_one_says(folder: Path, tmp_path: Path) -> None:
    assert run("report", "-C", folder).exit_code == 0 and (folder / "report.html").is_file()
    page = tmp_path / "page.html"
    result = run("report", "-C", folder, "-o", page, "--stage", "finished", "--as-it-stands", *DAY)
    assert result.exit_code == 0 and str(page) in result.stdout.replace("\n", "")
    text = page.read_text("utf-8")
    assert "<h1>small swap</h1>" in text and "Finished, as it stands. 01 June 2026" in text
    assert "a file to write to" in refused("report", "-C", folder, "-o", tmp_path / "no/page.html")
    assert "a file to write to" in refused("report", "-C", folder, "-o", tmp_path)


@pytest.mark.parametrize("kind", SCHEMAS)
def test_schema_of_each_kind(kind: str) -> None:
    result = run("schema", kind)
    assert result.exit_code == 0 and json.loads(result.stdout) == json.loads(schema_text(kind))


def test_schemas_into_a_folder(tmp_path: Path) -> None:
    assert run("schema", "--write", tmp_path / "schemas").exit_code == 0
    written = {each.name: each.read_text("utf-8") for each in (tmp_path / "schemas").iterdir()}
    assert written == {f"{name}.json": schema_text(name) for name in SCHEMAS}
    (tmp_path / "file").write_text("", "utf-8")
    assert "a folder to write to" in refused("schema", "--write", tmp_path / "file")


def test_a_schema_that_is_none() -> None:
    assert "nearest known: vehicle" in refused("schema", "vehicel")
    assert "one of: vehicle, engine" in refused("schema")


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, tuple[Path, Result]]]:
    place = tmp_path_factory.mktemp("demos")
    yield {name: (place / name, run("demo", place / name, "--which", name)) for name in demos()}
    shutil.rmtree(place)


def test_demos_are_copied_assessed_and_reported(copied: dict[str, tuple[Path, Result]]) -> None:
    for name, (place, result) in copied.items():
        assert result.exit_code == 0, name
        assert "DO NEXT" in result.stdout and "Report: " in result.stdout
        assert (place / "report.html").is_file() and (place / "build.yaml").is_file()


def test_a_demo_again_replaces_only_a_demo(
    copied: dict[str, tuple[Path, Result]], folder: Path
) -> None:
    name = next(iter(demos()))
    place = copied[name][0]
    fresh = (place / "build.yaml").read_bytes()
    (place / "build.yaml").write_text("kind: nonsense\n", "utf-8")
    assert "--again" in refused("demo", place)
    assert run("demo", place, "--again").exit_code == 0
    assert (place / "build.yaml").read_bytes() == fresh
    before = {each.name: each.read_bytes() for each in folder.iterdir()}
    assert "new or empty" in refused("demo", folder, "--again")
    assert {each.name: each.read_bytes() for each in folder.iterdir()} == before


def test_a_demo_that_is_none_lists_them_all(tmp_path: Path) -> None:
    told = refused("demo", tmp_path / "x", "--which", "vann")
    assert all(name in told for name in demos()) and not (tmp_path / "x").exists()


def test_report_never_writes_over_a_document(folder: Path) -> None:
    """Only what it wrote itself may go."""
    car, page = folder / "car.yaml", folder / "page.html"
    before = car.read_bytes()
    told = refused("report", "-C", folder, "-o", car)
    assert "no page" in told and car.read_bytes() == before
    assert run("report", "-C", folder, "-o", page).exit_code == 0
    assert run("report", "-C", folder, "-o", page).exit_code == 0


COMPUTED = (
    ("circuit", "coolant", "--samples", "64"),
    ("circuit", "coolant", "--samples", "64", "--as-it-stands"),
    ("circuit", "coolant", "--samples", "1024", "--what-matters"),
    ("circuit", "warming", "--samples", "16"),
    ("circuit", "rehearsal", "--samples", "16"),
    ("bleed",),
    ("sweep", "cap = 1 bar", "--samples", "64"),
    ("report", "--samples", "64"),
)


@pytest.mark.parametrize("words", COMPUTED, ids=" ".join)
def test_a_circuit_that_lacks_its_return_hose_breaks_no_command(
    folder: Path, words: tuple[str, ...]
) -> None:
    """Heat comes that cannot go: each command says so, or goes on with what it can."""
    result = run(*words, "-C", folder)
    assert result.exit_code == 0
    assert result.stdout
