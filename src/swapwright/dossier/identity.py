"""What an unknown end may be, as text and as plain data."""

from textwrap import wrap
from typing import Any

from swapwright.crossings.identify import Identification

WIDTH = 80
SHOWN = 6
LEAST = 0.005


def identification_text(found: Identification) -> str:
    """What ``identify`` prints."""
    rows = [f"{found.kind}: what it may be"]
    likely = [each for each in found.candidates if each.chance >= LEAST][:SHOWN]
    for each in likely:
        bar = "█" * round(20 * each.chance)
        label = f"  {each.chance:>5.0%}  {bar:<20} {each.label}"
        rows.extend(wrap(label, WIDTH, subsequent_indent=" " * 30))
    rest = len(found.candidates) - len(likely)
    if rest:
        rows.append(f"         and {rest} less likely")
    for remark in likely[0].remarks if likely else ():
        rows.extend(_lines(remark.text("metric")))
    if found.contradictory:
        rows.extend(
            _lines("What was seen does not go together: look again, or it is none of these.")
        )
    for odd in found.odd:
        rows.extend(_lines(f"Seldom seen on the likeliest one: {odd}"))
    if found.most_telling:
        rows.extend(_lines("Look next at: " + ", ".join(found.most_telling)))
    rows.extend(_lines("What settles it: " + found.settles))
    return "\n".join(rows) + "\n"


def _lines(text: str) -> list[str]:
    return wrap(text, WIDTH, initial_indent="  ", subsequent_indent="  ")


def identification_record(found: Identification) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "kind": found.kind,
        "candidates": [
            {
                "id": each.id,
                "label": each.label,
                "chance": each.chance,
                "service": str(each.means.service),
                "families": list(each.means.families),
                "fittings": list(each.means.fittings),
            }
            for each in found.candidates
        ],
        "contradictory": found.contradictory,
        "odd": list(found.odd),
        "most_telling": list(found.most_telling),
        "settles": found.settles,
        "ignored": list(found.ignored),
    }
