"""Measure how wide characters are, for drawings that must know before a browser does.

DejaVu Sans is the widest face that the drawings' font list is likely to reach, so a text
measured with it does not grow out of its box in another one. Run with matplotlib, which
carries the font: python tools/make_glyph_widths.py
"""

from pathlib import Path

import matplotlib as mpl
from matplotlib.ft2font import FT2Font, LoadFlags

OUT = Path(__file__).parents[1] / "src/swapwright/dossier/circuit/glyph_widths.csv"
FACES = {"regular": "DejaVuSans.ttf", "bold": "DejaVuSans-Bold.ttf"}
RANGES = (
    (0x20, 0x7F),
    (0xA0, 0x180),
    (0x370, 0x400),
    (0x400, 0x460),
    (0x2010, 0x2027),
    (0x20AC, 0x20AD),
)
SINGLES = "−≈≤≥→←↔✓′″Δ"


def widths(face: str) -> dict[int, float]:
    """Advance width of each character in shares of the font size."""
    font = FT2Font(str(Path(mpl.get_data_path()) / "fonts/ttf" / face))
    wanted = sorted(
        {c for low, high in RANGES for c in range(low, high)} | {ord(c) for c in SINGLES}
    )
    found = {}
    for code in wanted:
        if font.get_char_index(code):
            glyph = font.load_char(code, flags=LoadFlags.NO_SCALE)
            found[code] = glyph.horiAdvance / font.units_per_EM
    return found


def main() -> None:
    """Write the table."""
    regular, bold = (widths(face) for face in FACES.values())
    lines = [
        "# Made by tools/make_glyph_widths.py; do not edit by hand.",
        "# Advance widths in thousandths of the font size: DejaVu Sans and DejaVu Sans Bold "
        f"as matplotlib {mpl.__version__} carries them.",
        "code,regular,bold",
        *(
            f"{code:04X},{regular[code] * 1000:.0f},{bold[code] * 1000:.0f}"
            for code in regular
            if code in bold
        ),
    ]
    OUT.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
