"""A circuit in words: rows of a table and text of 80 columns, in the sense of the flow."""

import pytest
from tests.dossier.circuits import line, random_circuit, van

from swapwright.dossier.circuit import (
    HEADINGS,
    DrawnCircuit,
    DrawnLine,
    DrawnPart,
    LineState,
    Role,
    circuit_rows,
    circuit_text,
)


def test_row_turns_with_the_flow() -> None:
    row = next(row for row in circuit_rows(van()) if row.line == "radiator return")
    # -52 L/min from the pump to the radiator: it comes from the radiator
    assert (row.giver, row.taker, row.flow) == ("radiator", "coolant pump", "52 L/min")
    assert len(row.cells) == len(HEADINGS)


# 92 L/min / 3.785411784 L = 24.3 US gal/min; 84 °C · 9/5 + 32 = 183 °F; 1.31 bar / 0.0689476 =
# 19.0 psi (NIST SP 811, appendix B).
def test_units_of_the_builder() -> None:
    row = circuit_rows(van("us"))[0]
    assert (row.flow, row.temperature, row.pressure) == ("24.3 US gal/min", "183 °F", "19 psi")


def test_what_was_not_computed_is_left_empty() -> None:
    parts = (DrawnPart("a", "block", Role.BLOCK), DrawnPart("b", "tap", Role.TAP))
    circuit = DrawnCircuit(
        "New", parts, (DrawnLine("l", "hose", "a", "b", state=LineState.PLANNED),)
    )
    assert circuit_rows(circuit)[0].cells == ("1", "block", "tap", "hose", "", "", "", "planned")
    assert circuit_text(circuit) == "New\n1 block  ┄┄┄┄┄  tap    hose\n  planned\n"


@pytest.mark.parametrize("ascii_only", [False, True])
@pytest.mark.parametrize("seed", range(20))
def test_text_fits_80_columns_and_tells_every_line(seed: int, ascii_only: bool) -> None:
    circuit = random_circuit(seed)
    text = circuit_text(circuit, ascii_only)
    assert max(len(row) for row in text.splitlines()) <= 80
    for row in circuit_rows(circuit):
        for cell in (row.line, row.flow, row.temperature, row.pressure, row.state):
            assert cell in text


def test_plain_text_draws_with_ascii_strokes() -> None:
    parts = (DrawnPart("a", "block", Role.BLOCK), DrawnPart("b", "tap", Role.TAP))
    lines = tuple(
        line(f"{state} {flow}", "hose", "a", "b", flow, 80, 1, state)
        for state in LineState
        for flow in (-3, 0, 3)
    )
    text = circuit_text(DrawnCircuit("Strokes", parts, lines), ascii_only=True)
    assert text.replace("°", "").isascii()
    rows = [row for row in text.splitlines() if "block" in row]
    assert [("<" in row, ">" in row) for row in rows[:3]] == [
        (True, False), (False, False), (False, True)
    ]  # fmt: skip
    assert len({row.split("hose")[0][9:17] for row in rows}) == len(rows)
