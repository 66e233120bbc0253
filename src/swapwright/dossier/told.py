"""What an edit did, in words."""

from textwrap import wrap

from swapwright.edits import Told

WIDTH = 80


def told_text(told: Told) -> str:
    """What ``set``, ``close``, ``read``, ``accept`` and ``undo`` print."""
    rows = wrap(told.words, WIDTH)
    for title, each in (
        ("settled", told.findings_gone),
        ("new", told.findings_new),
        ("closed", told.crossings_closed),
    ):
        if each:
            text = f"{title}: " + ", ".join(each)
            rows.extend(wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    "))
    return "\n".join(rows) + "\n"
