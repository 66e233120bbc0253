"""The space between two ends as an inline SVG; the text form stands in ``gap.LINES``."""

from collections.abc import Iterator
from html import escape

from swapwright.dossier.gap import Bead, GapRow

WIDTH, HEIGHT = 168, 28
MIDDLE = HEIGHT / 2
LEFT, RIGHT = 2, WIDTH - 2
STUB = 44  # how far an end reaches when the line does not go through


def gap_svg(row: GapRow) -> str:
    """The line between two ends; colours come from classes of the page's style sheet."""
    body = "".join(_line(row)) + "".join(_beads(row.beads))
    title = escape(f"{row.word} {row.between}".strip())
    return (
        f'<svg class="gap gap-{row.state}" viewBox="0 0 {WIDTH} {HEIGHT}" role="img">'
        f"<title>{title}</title>{body}</svg>"
    )


def _line(row: GapRow) -> Iterator[str]:
    match row.state:
        case "open":
            yield from (_stub(LEFT, STUB), _stub(RIGHT, RIGHT - STUB + LEFT))
            yield from (_ball(STUB), _ball(RIGHT - STUB + LEFT))
        case "unknown":
            yield from (_stub(LEFT, STUB), _stub(RIGHT, RIGHT - STUB + LEFT))
            yield _text("?")
        case "capped" | "parked":
            for inner, outer in ((STUB, LEFT), (RIGHT - STUB + LEFT, RIGHT)):
                yield from (_stub(outer, inner), _bar(inner))
                if row.state == "parked":
                    side = 1 if inner == STUB else -1
                    yield f'<circle cx="{inner + side * 7}" cy="{MIDDLE}" r="5"/>'
        case "kept":
            for shift in (-2.5, 2.5):
                yield f'<path d="M{LEFT} {MIDDLE + shift}H{RIGHT}"/>'
        case "relocated":
            yield f'<path class="faint" d="M{LEFT} {MIDDLE}H{STUB}"/>'
            yield f'<path d="M{STUB} {MIDDLE}H{RIGHT - 2}m-7 -6l7 6l-7 6"/>'
        case "removed":
            ends = f"M{LEFT} {MIDDLE}H{STUB - 14}M{RIGHT} {MIDDLE}H{RIGHT - 30}"
            yield f'<path class="faint" d="{ends}"/>'
        case "stand-in":
            strokes = "".join(f"M{x} {MIDDLE + 6}l8 -12" for x in range(LEFT + 4, RIGHT - 8, 9))
            yield f'<path d="M{LEFT} {MIDDLE}H{RIGHT}"/><path class="thin" d="{strokes}"/>'
        case _:
            yield f'<path class="through" d="M{LEFT} {MIDDLE}H{RIGHT}"/>'
            if row.state == "proved":
                yield f'<path class="tick" d="M{WIDTH / 2 - 8} {MIDDLE - 2}l6 7l11 -14"/>'


def _stub(start: float, end: float) -> str:
    return f'<path d="M{start} {MIDDLE}H{end}"/>'


def _ball(x: float) -> str:
    return f'<path d="M{x} {MIDDLE - 4}v8"/>'


def _bar(x: float) -> str:
    return f'<path class="bar" d="M{x} {MIDDLE - 8}v16"/>'


def _text(text: str) -> str:
    return f'<text x="{WIDTH / 2}" y="{MIDDLE + 5}" text-anchor="middle">{text}</text>'


def _beads(beads: tuple[Bead, ...]) -> Iterator[str]:
    step = (RIGHT - LEFT) / (len(beads) + 1)
    for number, bead in enumerate(beads, 1):
        radius = 3 if bead.small else 5
        manner = "bead" if bead.here else "bead missing"
        x = LEFT + number * step
        yield (
            f'<circle class="{manner}" cx="{x:.1f}" cy="{MIDDLE}" r="{radius}">'
            f"<title>{escape(bead.label)}{'' if bead.here else ', missing'}</title></circle>"
        )
