"""What a person is told when a quantity cannot be read."""

LONGEST_QUOTE = 40


class QuantityFault(ValueError):
    """A text that is not the quantity that was wanted.

    Parameters
    ----------
    found : str
        What was written.
    wanted : str
        What was looked for, as a phrase: "a length with its unit".
    example : str
        One right way to write it.
    why : str, optional
        What the reader may not know, without a full stop.
    """

    def __init__(self, found: str, wanted: str, example: str, why: str = "") -> None:
        self.found = found
        self.wanted = wanted
        self.example = example
        self.why = why
        super().__init__(found, wanted, example, why)

    def __str__(self) -> str:
        reason = f" ({self.why})" if self.why else ""
        return (
            f'found "{quote(self.found)}"{reason}, wanted {self.wanted}, such as "{self.example}"'
        )


def quote(text: str) -> str:
    """The text on one printable line, cut when it is long."""
    plain = "".join(c if c.isprintable() else " " for c in text[: LONGEST_QUOTE + 1])
    if len(text) <= LONGEST_QUOTE:
        return plain
    return f"{plain[:LONGEST_QUOTE]}…"
