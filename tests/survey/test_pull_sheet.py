"""The sheet "before you pull it": what to photograph, read, tag and keep."""

from typing import Any

import pytest
from tests.support.small_builds import small_build

from swapwright.crossings.regret import kept_things
from swapwright.crossings.rows import crossings
from swapwright.model.assembly import Assembly
from swapwright.model.families import families
from swapwright.quantity import tools
from swapwright.survey.pull_sheet import PullSheet, Tag, pull_sheet


def sheet_of(assembly: Assembly) -> PullSheet:
    return pull_sheet(assembly, crossings(assembly))


def tags(assembly: Assembly) -> list[tuple[str, str, str, str]]:
    return [(t.number, t.port, t.side, t.mate) for t in sheet_of(assembly).tags]


@pytest.fixture(scope="module")
def running() -> PullSheet:
    return sheet_of(small_build(build={"bought": "whole car"}))


@pytest.fixture(scope="module")
def on_pallet() -> PullSheet:
    return sheet_of(small_build(build={"bought": "alone"}))


def test_a_running_donor_is_read_and_a_pallet_is_turned_by_hand(
    running: PullSheet, on_pallet: PullSheet
) -> None:
    """Warming order, pressures and codes need a running engine; compression its own starter."""
    warm = "order in which the stubs warm; fan on and off"
    for each in (warm, "fault codes; litres drained"):
        assert each in [row.what for row in running.readings]
        assert each not in [row.what for row in on_pallet.readings]
    turned = [row for row in on_pallet.readings if row.what.startswith("turned twice by hand")]
    assert [row.where for row in turned] == ["newcomer on the pallet"]
    assert not any(row.what.startswith("turned") for row in running.readings)


def test_where_a_reading_is_taken_is_told(running: PullSheet, on_pallet: PullSheet) -> None:
    where = {row.what: row.where for row in running.readings}
    assert where["compression"] == "car and newcomer in its car"
    assert where["load at each corner"] == "car"
    assert {row.what: row.where for row in on_pallet.readings}["compression"] == "car"


def test_every_reading_says_with_what_and_why_not_later(running: PullSheet) -> None:
    for row in running.readings:
        assert row.unit and row.tool and row.late, row.what


def test_photographs_of_each_place(running: PullSheet, on_pallet: PullSheet) -> None:
    assert [shot.number for shot in running.shots] == [
        "01-04", *(f"{n:02}" for n in range(5, 16)),
    ]  # fmt: skip
    pallet = {shot.number: shot.donor for shot in on_pallet.shots}
    assert pallet["01-04"] == "six sides" and pallet["06"] == "calipers on the stubs"
    assert pallet["05"] == ""  # the bulkhead is the car's alone
    seats = {shot.number: (shot.car, shot.donor) for shot in running.shots}
    assert seats["14"] == ("", "yes") and seats["05"] == ("yes", "yes")


@pytest.mark.parametrize("bought", ["alone", "with gearbox", "unknown"])
def test_all_that_is_no_whole_car_counts_as_a_pallet(bought: str, on_pallet: PullSheet) -> None:
    other = sheet_of(small_build(build={"bought": bought}))
    assert (other.shots, other.readings) == (on_pallet.shots, on_pallet.readings)


def test_cautions_stand_on_the_sheet(running: PullSheet) -> None:
    text = " ".join(running.cautions).lower()
    for word in ("stands", "extinguisher", "airbag", "licensed", "10 minutes", "tag both halves"):
        assert word in text


def test_what_to_keep_names_who_asks_for_it(running: PullSheet) -> None:
    assert len(running.keep) == len(kept_things())
    labels = {family.label for family in families().values()}
    for line in running.keep:
        what, _, asked = line.partition(": ")
        assert what and asked and not asked.endswith(" "), line
        assert "asked for by" not in line or any(label in asked for label in labels), line


def test_both_halves_of_a_joint_are_tagged_before_it_is_parted() -> None:
    assembly = small_build(
        {"hot": {"family": "hot", "was": "old.top"}}, {}, {"top": {"family": "hot"}}
    )
    assert tags(assembly) == [
        ("1A", "car.hot", "stays", "old.top"),
        ("1B", "old.top", "goes", "car.hot"),
    ]


def test_a_newcomer_is_tagged_against_its_own_car_or_alone() -> None:
    motor = {"hot": {"family": "hot"}}
    assert tags(small_build({}, motor, build={"bought": "alone"})) == [
        ("1A", "motor.hot", "goes in", "")
    ]
    whole = tags(small_build({}, motor, build={"bought": "whole car"}))
    assert whole == [
        ("1A", "motor.hot", "goes in", families()["hot"].was),
        ("1B", families()["hot"].was, "stays behind", "motor.hot"),
    ]


def test_ends_of_the_donors_car_are_tagged_once_as_mates() -> None:
    donor = {"format": 1, "kind": "vehicle", "id": "donor", "ports": {"rad": {"family": "hot"}}}
    assembly = small_build(
        {},
        {"hot": {"family": "hot", "was": "donor.rad"}},
        build={"donor_car": "donor", "bought": "whole car"},
        others={"donor": donor},
    )
    assert tags(assembly) == [
        ("1A", "motor.hot", "goes in", "donor.rad"),
        ("1B", "donor.rad", "stays behind", "motor.hot"),
    ]


@pytest.mark.parametrize(
    "port, build",
    [
        ({"family": "hot", "there": "no"}, {}),
        ({"family": "hot", "there": "unknown"}, {}),
        ({"family": "drn"}, {"fates": [{"port": "car.x", "fate": "kept"}]}),
    ],
)
def test_what_is_not_parted_gets_no_tag(port: dict[str, Any], build: dict[str, Any]) -> None:
    assert tags(small_build({"x": port}, build=build)) == []


def test_a_plug_tells_its_loom_when_nothing_else_is_known() -> None:
    motor = {"fan": {"family": "fan", "plug": {"mate": "body loom"}}}
    whole = small_build({}, motor, build={"bought": "whole car"})
    assert [tag.mate for tag in sheet_of(whole).tags] == ["body loom", "motor.fan"]
    alone = small_build({}, motor, build={"bought": "alone"})
    assert [tag.mate for tag in sheet_of(alone).tags] == [""]


def test_numbers_of_tags_are_their_own() -> None:
    ports = {name: {"family": name, "was": "the old one"} for name in ("hot", "ret", "hsup")}
    numbers = [tag.number for tag in sheet_of(small_build(ports)).tags]
    assert len(set(numbers)) == len(numbers) == 6
    assert isinstance(sheet_of(small_build(ports)).tags[0], Tag)


def test_tools_of_the_sheet_that_the_tool_table_knows_are_spelt_as_there(
    running: PullSheet,
) -> None:
    known = {tool.name for tool in tools()}
    single = {
        row.tool for row in running.readings if " and " not in row.tool and "," not in row.tool
    }
    assert {"tape", "compression tester"} <= known & single
