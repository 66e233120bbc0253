"""Values and end forms: three answers, how they are known, and what is refused."""

import re
from datetime import date
from math import sqrt

import pytest

from swapwright.model.ends import End, read_end
from swapwright.model.facts import fact_book
from swapwright.model.values import (
    ABSENT,
    NOTHING_SAID,
    UNKNOWN,
    Sort,
    ValueFault,
    read_value,
    split_known_as,
)
from swapwright.quantity import Basis, Measure, Money

LENGTH, MASS = Sort("length"), Sort("mass")


def nominal(raw: object, sort: Sort) -> float:
    content = read_value(raw, sort).content
    assert isinstance(content, Measure)
    return content.nominal


def test_unknown_absent_and_zero_are_three_answers() -> None:
    assert read_value("unknown", LENGTH).content is UNKNOWN
    assert read_value("?", LENGTH).content is UNKNOWN
    assert read_value(None, LENGTH) is NOTHING_SAID
    assert read_value("absent", LENGTH).content is ABSENT
    assert nominal("0 mm", LENGTH) == 0
    assert [read_value(raw, LENGTH).known for raw in ("unknown", "absent", "0 mm")] == [
        False, True, True,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "said", "basis", "tool"),
    [
        ("38 mm", "38 mm", Basis.MEASURED, ""),
        ("38 mm, typical", "38 mm", Basis.TYPICAL, ""),
        ("38 mm , Published ", "38 mm", Basis.PUBLISHED, ""),
        ("38 mm, calipers", "38 mm", Basis.MEASURED, "calipers"),
        ("front, left", "front, left", Basis.MEASURED, ""),
        ("front, left, guessed", "front, left", Basis.GUESSED, ""),
        (", typical", ", typical", Basis.MEASURED, ""),
        ("yes,guessed", "yes", Basis.GUESSED, ""),
        ("38 mm,", "38 mm,", Basis.MEASURED, ""),
    ],
)
def test_how_it_is_known(text: str, said: str, basis: Basis, tool: str) -> None:
    assert split_known_as(text) == (said, basis, tool)


def test_splitting_a_very_long_text_takes_no_time_to_speak_of() -> None:
    text = "x, a" + " " * 500_000 + "!" + ", a" * 100_000
    assert split_known_as(text)[0] == text


def test_tool_gives_its_accuracy_and_stated_spread_goes_first() -> None:
    with_tool = read_value("38 mm, calipers", LENGTH).content
    stated = read_value("38 ± 3 mm, calipers", LENGTH).content
    assert isinstance(with_tool, Measure) and isinstance(stated, Measure)
    assert with_tool.uncertainty > 0
    assert stated.uncertainty == pytest.approx(0.003 / sqrt(3))  # JCGM 100:2008, 4.3.7


def test_long_form() -> None:
    value = read_value(
        {
            "value": "412 mm", "basis": "published", "by": "tape", "on": "2026-05-02",
            "who": "me", "photo": "car-06", "note": "at the flange",
        },
        LENGTH,
    )  # fmt: skip
    assert (value.basis, value.by, value.on) == (Basis.PUBLISHED, "tape", date(2026, 5, 2))
    assert (value.who, value.photo, value.note) == ("me", "car-06", "at the flange")


def test_readings_combine_as_in_the_guide() -> None:
    # JCGM 100:2008, 4.2.3: mean 412 mm, s = 2 mm, s/√n = 2/√3 mm; none of them states a bound.
    value = read_value({"readings": ["410 mm", "412 mm", "414 mm"]}, LENGTH)
    assert isinstance(value.content, Measure)
    assert value.content.nominal == pytest.approx(0.412)
    assert value.content.uncertainty == pytest.approx(0.002 / sqrt(3))
    assert value.count == 3 and value.scatter == pytest.approx(0.002)


@pytest.mark.parametrize(
    ("text", "sort", "content"),
    [
        ("yes", Sort("yes or no"), True),
        ("No", Sort("yes or no"), False),
        ("3", Sort("count"), 3),
        ("-3", Sort("count"), -3),
        ("1974", Sort("year"), 1974),
        ("2026-02-28", Sort("date"), date(2026, 2, 28)),
        ("as seen", Sort("text"), "as seen"),
        ("cone", Sort("choice", ("cone", "flat")), "cone"),
    ],
)
def test_plain_sorts(text: str, sort: Sort, content: object) -> None:
    assert read_value(text, sort).content == content


def test_money() -> None:
    assert isinstance(read_value("12.50 EUR", Sort("money")).content, Money)


REFUSED: list[tuple[object, Sort, str]] = [
    ("412", LENGTH, "wanted a length with its unit"),
    ("4,12 mm", LENGTH, "4,12 mm"),
    ("38 kg", LENGTH, "wanted a length"),
    ("38 mmm", LENGTH, "38 mmm"),
    ("nan mm", LENGTH, "nan"),
    ("inf mm", LENGTH, "inf"),
    (".nan", LENGTH, ".nan"),
    ("1e400 mm", LENGTH, "1e400"),
    ("1e99999999999 mm", LENGTH, "1e99"),
    ("9" * 5000 + " mm", LENGTH, "999"),
    ("9" * 400, Sort("count"), "a whole number"),
    ("1:30", Sort("time"), "1:30"),
    ("0777", LENGTH, "0777"),
    ("", LENGTH, "wanted a length"),
    ("null", LENGTH, "null"),
    ("maybe", Sort("yes or no"), "yes or no"),
    ("1.5", Sort("count"), "a whole number"),
    ("²", Sort("count"), "a whole number"),
    ("74", Sort("year"), "four digits"),
    ("2026-02-30", Sort("date"), "year-month-day"),
    ("02.05.2026", Sort("date"), "year-month-day"),
    ("20260502", Sort("date"), "year-month-day"),
    ("kone", Sort("choice", ("cone", "flat")), "one of: cone, flat"),
    ("12.50", Sort("money"), "12.50"),
    (["38 mm"], LENGTH, "a list"),
    ({"valeu": "38 mm"}, LENGTH, "valeu"),
    ({"value": ["38 mm"]}, LENGTH, "one text under value"),
    ({"value": "38 mm", "basis": "felt"}, LENGTH, "a basis"),
    ({"value": "38 mm", "by": "eye"}, LENGTH, "a tool of the tool table"),
    ({"value": "38 mm", "on": "yesterday"}, LENGTH, "year-month-day"),
    ({"readings": []}, LENGTH, "a list of readings"),
    ({"readings": "38 mm"}, LENGTH, "a list of readings"),
    ({"readings": [["38 mm"]]}, LENGTH, "a list of readings"),
    ({"readings": ["38 mm", "unknown"]}, LENGTH, "readings that are measures"),
    ({"readings": ["38 mm", "38 kg"]}, LENGTH, "wanted a length"),
    ({"readings": ["M10x1", "M10x1"]}, Sort("thread"), "threads are not averaged"),
    ({"readings": ["yes", "yes"]}, Sort("yes or no"), "readings that are measures"),
    ({"readings": ["3 bar", "4 bar"], "by": "tape"}, Sort("pressure"), "found"),
]  # fmt: skip


@pytest.mark.parametrize(("raw", "sort", "said"), REFUSED, ids=range(len(REFUSED)))
def test_refused(raw: object, sort: Sort, said: str) -> None:
    with pytest.raises(ValueFault) as refused:
        read_value(raw, sort)
    assert said in str(refused.value)
    assert refused.value.wanted


@pytest.mark.parametrize(
    ("text", "why", "example"),
    [
        ("1090,5 kg", "the decimal mark is a point", "1090.5 kg"),
        ("1.090,5 kg", "thousands have no mark", "1090.5 kg"),
        ("1090", "no unit", "1090 kg"),
        ("1090 mm", "a length", ""),
    ],
)
def test_refusal_says_why_and_how_to_write_it(text: str, why: str, example: str) -> None:
    with pytest.raises(ValueFault) as refused:
        read_value(text, Sort("mass"))
    assert why in refused.value.found
    assert example in refused.value.example


def test_words_after_the_comma_that_say_nothing_known_are_the_fault() -> None:
    with pytest.raises(ValueFault) as refused:
        read_value("38 mm, callipers", LENGTH)
    assert refused.value.found == '"callipers" after the comma'
    assert refused.value.nearest == "calipers"
    assert "tape" in refused.value.wanted
    assert "multimeter" not in refused.value.wanted  # it measures no length


@pytest.mark.parametrize("text", ["-1 kg", "−1090 ± 5 kg, public weighbridge"])
def test_mass_below_zero_is_a_slip_of_the_pen(text: str) -> None:
    with pytest.raises(ValueFault, match="below zero") as refused:
        read_value(text, fact_book()["kerb_mass"].sort)
    assert not refused.value.example.startswith(("-", "−"))


@pytest.mark.parametrize("name", ["mass_centre_x", "fuel_pump_lift", "tank_pressure_hot"])
def test_places_heights_and_gauge_pressures_have_two_sides_of_zero(name: str) -> None:
    sort = fact_book()[name].sort
    unit = "Pa" if sort.name == "pressure" else "mm"
    measure = read_value(f"-265 {unit}", sort).content
    assert isinstance(measure, Measure)
    assert measure.nominal < 0


@pytest.mark.parametrize(
    ("text", "example"), [("-1.5 bar", "1.5 bar"), ("19 inHg vacuum", "19 inHg")]
)
@pytest.mark.parametrize("name", ["heater_matrix_limit", "cap_pressure_fitted", "suction_limit"])
def test_rating_below_zero_is_refused(name: str, text: str, example: str) -> None:
    with pytest.raises(ValueFault, match="below zero") as refused:
        read_value(text, fact_book()[name].sort)
    assert refused.value.example == example
    assert read_value(example, fact_book()[name].sort).known


def test_no_gauge_reads_below_a_full_vacuum() -> None:
    sort = fact_book()["tank_pressure_hot"].sort
    assert read_value("-101 kPa", sort).known
    with pytest.raises(ValueFault, match="below a full vacuum"):
        read_value("-1.5 bar", sort)


def test_end_below_zero_is_refused() -> None:
    with pytest.raises(ValueFault, match="below zero"):
        read_end("hose bead -38 mm")


def test_misspelt_choice_and_key_get_the_nearest() -> None:
    with pytest.raises(ValueFault) as refused:
        read_value("kone", Sort("choice", ("cone", "flat")))
    assert refused.value.nearest == "cone"
    with pytest.raises(ValueFault) as refused:
        read_value({"valeu": "1 mm"}, LENGTH)
    assert refused.value.nearest == "value"


# -- end forms ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("raw", "form", "half", "dims"),
    [
        ("hose bead 36 mm", "hose bead", "", {"barrel": 0.036}),
        ("hose bead 36 mm, calipers", "hose bead", "", {"barrel": 0.036}),
        ("hose bead", "hose bead", "", {}),
        ("hose bead unknown", "hose bead", "", {}),
        ("thread male M10x1, published", "thread", "male", {"thread": 0.010}),
        ("thread M10x1 female", "thread", "female", {"thread": 0.010}),
        ("built in", "built in", "", {}),
        ({"form": "hose bead", "barrel": "36 mm", "bead": "unknown"}, "hose bead", "",
         {"barrel": 0.036}),
        ({"form": "quick connector", "half": "tube end", "tube": "8 mm"}, "quick connector",
         "tube end", {"tube": 0.008}),
    ],
)  # fmt: skip
def test_end_forms(raw: object, form: str, half: str, dims: dict[str, float]) -> None:
    end = read_end(raw)
    assert isinstance(end, End)
    assert (end.form, end.half) == (form, half)
    found = {n: v.content.nominal for n, v in end.dims.items() if isinstance(v.content, Measure)}
    assert found == pytest.approx(dims)
    assert end.dim("no such") is NOTHING_SAID


@pytest.mark.parametrize("raw", [None, "unknown"])
def test_unknown_end(raw: object) -> None:
    assert read_end(raw) is None


@pytest.mark.parametrize(
    ("raw", "said", "nearest"),
    [
        ("hose beed 36 mm", "an end form such as", "hose bead"),
        ("", "an end form such as", ""),
        ("hose bead 36", "wanted a length", ""),
        ("hose bead 36 kg", "wanted a length", ""),
        ("built in 3 mm", "without a size", ""),
        ({}, "an end form such as", ""),
        ({"form": ["thread"]}, "one text under form", ""),
        ({"form": "thread", "material": {"a": "b"}}, "one text under material", ""),
        ({"form": "thread", "tread": "M10x1"}, "for thread:", "thread"),
        ({"form": "thread", "half": "mail"}, "one of: male, female", "male"),
        ({"form": "hose bead", "half": "male"}, "no half", ""),
        ({"form": "thread", "seal": "conne"}, "seal: ", "cone"),
        ({"form": "hose bead", "barrel": ["1 mm"]}, "barrel: a list", ""),
        (["hose bead"], "an end form", ""),
    ],
)
def test_end_that_is_none(raw: object, said: str, nearest: str) -> None:
    with pytest.raises(ValueFault) as refused:
        read_end(raw)
    assert said in str(refused.value)
    assert refused.value.nearest == nearest


def test_asks_tell_to_write_absent() -> None:
    for name, fact in fact_book().items():
        bare = re.search(r"(?<![Ww]rite )\b[Aa]bsent\b", fact.ask)
        assert bare is None, f"{name}: {fact.ask}"
