"""A circuit drawing can be read: nothing covers another thing, arrows tell the truth."""

import re
import subprocess
import sys
from itertools import combinations, pairwise
from math import hypot

import pytest
from tests.dossier.circuits import line, random_circuit, van
from tests.dossier.svg_reading import (
    Drawing,
    Point,
    measured_width,
    overlap,
    pieces,
    read_drawing,
    within,
)

from swapwright.dossier.circuit import DrawnCircuit, DrawnLine, DrawnPart, Role, circuit_svg
from swapwright.dossier.circuit.ink import DAY, NIGHT, PAPER, UNKNOWN_DAY, UNKNOWN_NIGHT, WIDTHS
from swapwright.dossier.circuit.lettering import text_width, wrapped

WIDE, PHONE = 860, 360
# 200 shapes, every fourth of them on the phone
CASES = [(seed, WIDE if seed % 4 else PHONE) for seed in range(200)]


@pytest.mark.slow
@pytest.mark.parametrize(("seed", "width"), CASES)
def test_random_circuit_can_be_read(seed: int, width: int) -> None:
    circuit = random_circuit(seed)
    drawing = read_drawing(circuit_svg(circuit, width))
    check(circuit, drawing)
    assert width == PHONE or drawing.width <= WIDE, "text under 7 points on a page"


@pytest.mark.parametrize("width", [WIDE, PHONE])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_van_can_be_read(units: str, width: int) -> None:
    circuit = van("us" if units == "us" else "metric")
    check(circuit, read_drawing(circuit_svg(circuit, width)))


def check(circuit: DrawnCircuit, drawing: Drawing) -> None:
    """Everything that must hold for any drawing."""
    assert set(drawing.parts) == {part.id for part in circuit.parts}
    assert set(drawing.lines) == set(drawing.tags) == {each.id for each in circuit.lines}
    nothing_overlaps(drawing)
    lines_keep_clear(drawing)
    lines_end_at_their_parts(circuit, drawing)
    arrows_have_the_sign_of_the_flow(circuit, drawing)


def nothing_overlaps(drawing: Drawing) -> None:
    whole = (0.0, 0.0, drawing.width, drawing.height)
    things = [*drawing.parts.items(), *drawing.tags.items()]
    for name, area in things:
        assert within(area, whole), name
    for (one, area), (other, there) in combinations(things, 2):
        assert not overlap(area, there), (one, other)
    for words, area in drawing.texts:
        assert within(area, whole), words
        holders = [there for _, there in things if overlap(area, there)]
        assert all(within(area, there) for there in holders), words
        assert len(holders) <= 1, words
    for (one, area), (other, there) in combinations(drawing.texts, 2):
        assert not overlap(area, there), (one, other)


def lines_keep_clear(drawing: Drawing) -> None:
    for name, points in drawing.lines.items():
        for piece in pieces(points):
            for part, area in drawing.parts.items():
                assert not overlap(piece, area, 0.7), (name, part)
            for other, area in drawing.tags.items():
                assert other == name or not overlap(piece, area), (name, other)
    for (one, points), (other, there) in combinations(drawing.lines.items(), 2):
        for a, b in pairwise(points):
            for c, d in pairwise(there):
                assert not run_on_each_other(a, b, c, d), (one, other)


def run_on_each_other(a: Point, b: Point, c: Point, d: Point) -> bool:
    for along in (0, 1):
        across = 1 - along
        if a[across] == b[across] and c[across] == d[across] and abs(a[across] - c[across]) < 5:
            low, high = (
                max(min(a[along], b[along]), min(c[along], d[along])),
                min(max(a[along], b[along]), max(c[along], d[along])),
            )
            if high - low > 0.2:
                return True
    return False


def lines_end_at_their_parts(circuit: DrawnCircuit, drawing: Drawing) -> None:
    for each in circuit.lines:
        points = drawing.lines[each.id]
        reach = {each.taker: 12.0, each.giver: 0.2} if each.way else {}
        for part, point in ((each.start, points[0]), (each.end, points[-1])):
            assert away(point, drawing.parts[part]) <= reach.get(part, 0.2), (each.id, part)


def away(point: Point, area: tuple[float, float, float, float]) -> float:
    return hypot(
        max(area[0] - point[0], 0, point[0] - area[2]),
        max(area[1] - point[1], 0, point[1] - area[3]),
    )


def arrows_have_the_sign_of_the_flow(circuit: DrawnCircuit, drawing: Drawing) -> None:
    assert set(drawing.arrows) == {each.id for each in circuit.lines if each.volume_flow}
    for each in circuit.lines:
        if not each.volume_flow:
            continue
        tip, left, right = drawing.arrows[each.id]
        forward = each.volume_flow > 0
        assert away(tip, drawing.parts[each.end if forward else each.start]) < 0.2, each.id
        points = drawing.lines[each.id] if forward else drawing.lines[each.id][::-1]
        base = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
        pointing = (tip[0] - base[0], tip[1] - base[1])
        running = (points[-1][0] - points[-2][0], points[-1][1] - points[-2][1])
        assert pointing[0] * running[0] + pointing[1] * running[1] > 0, each.id


# what the checks above would catch


def test_reading_catches_a_label_over_a_part() -> None:
    circuit = van()
    drawing = read_drawing(circuit_svg(circuit))
    drawing.tags["hot"] = drawing.parts["rad"]
    with pytest.raises(AssertionError):
        nothing_overlaps(drawing)


def test_reading_catches_a_turned_arrow() -> None:
    circuit = van()
    drawing = read_drawing(circuit_svg(circuit))
    tip, left, right = drawing.arrows["hot"]
    drawing.arrows["hot"] = [((left[0] + right[0]) / 2, (left[1] + right[1]) / 2), tip, tip]
    with pytest.raises(AssertionError):
        arrows_have_the_sign_of_the_flow(circuit, drawing)


def test_reading_catches_a_line_through_a_part() -> None:
    drawing = read_drawing(circuit_svg(van()))
    left, top, right, bottom = drawing.parts["head"]
    drawing.lines["hot"] = [(left - 9, (top + bottom) / 2), (right + 9, (top + bottom) / 2)]
    with pytest.raises(AssertionError):
        lines_keep_clear(drawing)


# the same every time


def test_drawing_is_the_same_in_another_process() -> None:
    script = (
        "import sys; sys.path[:0] = sys.argv[1:2]\n"
        "from tests.dossier.circuits import random_circuit\n"
        "from swapwright.dossier.circuit import circuit_svg\n"
        "sys.stdout.buffer.write(circuit_svg(random_circuit(11)).encode())"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", script, "."],
            check=True,
            capture_output=True,
            env={"PYTHONHASHSEED": seed, "PATH": ""},
        ).stdout
        for seed in ("1", "2")
    }
    assert runs == {circuit_svg(random_circuit(11)).encode()}


# legible


def test_text_of_a_page_is_seven_points_on_180_mm() -> None:
    drawing = read_drawing(circuit_svg(van(), WIDE))
    millimetres = 12 / drawing.width * 180
    assert millimetres / 25.4 * 72 >= 7  # 72 points an inch


def test_phone_drawing_is_narrow_and_numbers_lead_to_words() -> None:
    drawing = read_drawing(circuit_svg(van(), PHONE))
    assert drawing.width < 420
    words = [text for text, _ in drawing.texts]
    for number, each in enumerate(van().lines, 1):
        assert words.count(str(number)) == 2, "on its line and in the key"
        assert each.label in words


# Advance widths from the font's own table; the table of the package is rounded to a thousandth.
@pytest.mark.parametrize("text", ["thermostat", "12.4 L/min, 93 °C", "Kühlmittel → Ø 16 ± ½"])
@pytest.mark.parametrize("bold", [False, True])
def test_text_width_agrees_with_the_font(text: str, bold: bool) -> None:
    assert text_width(text, bold) == pytest.approx(measured_width(text, bold), abs=0.01 * len(text))


def test_wrapping_keeps_every_letter_and_the_room() -> None:
    words = "auxiliary heat exchanger of the Ausgleichsbehälterdeckeldichtung"
    lines = wrapped(words, 84)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "")
    assert all(measured_width(each, bold=False) <= 84.1 for each in lines)


def test_wrapping_parts_at_a_hyphen_but_not_a_value_from_its_sign() -> None:
    assert wrapped("throttle-body heating", 70, bold=True) == ("throttle-", "body", "heating")
    assert wrapped("at -20.5", 45) == ("at", "-20.5")


# colours

# Relative luminance and contrast: WCAG 2.1, "relative luminance", "contrast ratio"; graphics
# that must be understood need 3 : 1 (success criterion 1.4.11).


def luminance(colour: str) -> float:
    parts = (int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5))
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize(
    ("colours", "paper"),
    [((*DAY, UNKNOWN_DAY), PAPER[0]), ((*NIGHT, UNKNOWN_NIGHT), PAPER[1])],
)
def test_lines_stand_out_from_the_paper(colours: tuple[str, ...], paper: str) -> None:
    assert all(contrast(colour, paper) >= 3 for colour in colours)


def test_hotter_is_darker_on_paper_brighter_at_night_and_thicker_on_both() -> None:
    assert [luminance(c) for c in DAY] == sorted((luminance(c) for c in DAY), reverse=True)
    assert [luminance(c) for c in NIGHT] == sorted(luminance(c) for c in NIGHT)
    assert list(WIDTHS) == sorted(set(WIDTHS))


# Full dichromacy, Machado, Oliveira and Fernandes, "A physiologically-based model for simulation
# of color vision deficiency", IEEE Trans. Vis. Comput. Graph. 15 (2009), tables for severity 1.0
# (from memory).
MACHADO = {
    "protan": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216),
               (-0.003882, -0.048116, 1.051998)),
    "deutan": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413),
               (-0.011820, 0.042940, 0.968881)),
    "tritan": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602),
               (0.004733, 0.691367, 0.303900)),
}  # fmt: skip


@pytest.mark.parametrize("eyes", MACHADO)
@pytest.mark.parametrize("colours", [DAY, NIGHT])
def test_order_of_warmth_survives_eyes_that_see_few_colours(
    eyes: str, colours: tuple[str, ...]
) -> None:
    seen = [luminance(simulated(colour, MACHADO[eyes])) for colour in colours]
    if luminance(colours[0]) > luminance(colours[-1]):
        seen.reverse()
    assert all(b / a > 1.08 for a, b in pairwise(seen)), seen


def simulated(colour: str, eyes: tuple[tuple[float, ...], ...]) -> str:
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    seen = [min(1, max(0, sum(w * c for w, c in zip(row, linear, strict=True)))) for row in eyes]
    back = [12.92 * c if c <= 0.0031308 else 1.055 * c ** (1 / 2.4) - 0.055 for c in seen]
    return "#" + "".join(f"{round(255 * c):02x}" for c in back)


# the file itself


def test_svg_stands_alone() -> None:
    svg = circuit_svg(van())
    assert '<svg class="cd"' in svg
    assert 'role="img"' in svg
    assert "<title>Coolant, light van, long hill, loaded</title><desc>" in svg
    assert "@media screen and (prefers-color-scheme: dark)" in svg
    for trap in ("var(", "paint-order", "font:", "href", " id=", "http://www.w3.org/1999"):
        assert trap not in svg, trap


def test_words_of_people_are_no_markup() -> None:
    parts = (DrawnPart('a"<b', "<b>&", Role.PUMP), DrawnPart("c", 'x"y', Role.TANK))
    circuit = DrawnCircuit("<i>", parts, (DrawnLine("l<", "&amp;", 'a"<b', "c", 1e-4),))
    drawing = read_drawing(circuit_svg(circuit))
    assert set(drawing.parts) == {'a"<b', "c"}
    assert "<b>&" in [text for text, _ in drawing.texts]


def test_each_state_has_its_own_stroke() -> None:
    svg = circuit_svg(van())
    assert len(re.findall(r'class="cd-loop cd-paper"', svg)) == 2 + 2  # on the line, in the legend
    for state in ("planned", "assumed", "fitted", "proved", "stand-in", "parked", "shut"):
        assert f"cd-l cd-{state} " in svg
        assert state in [text for text, _ in read_drawing(svg).texts]


def test_crossed_lines_are_hopped_over() -> None:
    svgs = [circuit_svg(random_circuit(seed)) for seed in (3, 11)]
    assert any("a6 6 0 0" in svg for svg in svgs)


# odd circuits


def test_part_without_lines_and_line_back_to_its_own_part() -> None:
    parts = (DrawnPart("a", "block", Role.BLOCK), DrawnPart("b", "tap", Role.TAP))
    circuit = DrawnCircuit("Odd", parts, (line("own", "bypass", "a", "a", 3, 90, 1),))
    drawing = read_drawing(circuit_svg(circuit))
    assert len(drawing.lines["own"]) >= 4
    nothing_overlaps(drawing)


def test_part_with_twenty_lines() -> None:
    parts = tuple(DrawnPart(f"p{n}", f"part {n}", Role.TEE) for n in range(5))
    lines = tuple(line(f"l{n}", "hose", "p0", f"p{1 + n % 4}", n - 9.5, 80, 1) for n in range(20))
    circuit = DrawnCircuit("Crowd", parts, lines)
    check(circuit, read_drawing(circuit_svg(circuit)))


def test_circuit_without_parts_is_refused() -> None:
    with pytest.raises(ValueError, match="found no part"):
        circuit_svg(DrawnCircuit("Empty", (), ()))


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ((DrawnLine("l", "hose", "a", "nowhere"),), "'nowhere'"),
        ((DrawnLine("l", "hose", "a", "b"), DrawnLine("l", "hose", "a", "b")), "twice"),
        ((DrawnLine("l", "hose", "a", "b", float("nan")),), "finite"),
    ],
)
def test_circuit_that_cannot_be_is_refused(lines: tuple[DrawnLine, ...], words: str) -> None:
    parts = (DrawnPart("a", "block", Role.BLOCK), DrawnPart("b", "tap", Role.TAP))
    with pytest.raises(ValueError, match=words):
        DrawnCircuit("Wrong", parts, lines)
