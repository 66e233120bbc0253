"""What is wrong with an input, told so that a person can mend it."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches

LONGEST_NAME = 200  # beyond it a text is no misspelt name, and comparing takes long


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong at one place of one document."""

    file: str
    line: int | None  # from 1
    column: int | None  # from 1
    path: str  # "joins.feed.ends"; empty for the whole document
    found: str
    wanted: str
    example: str = ""
    nearest: str = ""  # the known name most like the one found

    def __str__(self) -> str:
        """One line: place, found, wanted, example."""
        return " ".join((self.place + ":", self.complaint))

    @property
    def place(self) -> str:
        """File, line, column and path, as far as known."""
        spots = [self.file]
        if self.line is not None:
            spots.append(f"line {self.line}")
        if self.column is not None:
            spots.append(f"column {self.column}")
        if self.path:
            spots.append(self.path)
        return ", ".join(spots)

    @property
    def complaint(self) -> str:
        """What was found and what was wanted, without the place."""
        text = f"found {self.found}, wanted {self.wanted}"
        if self.nearest:
            text += f"; nearest known: {self.nearest}"
        if self.example:
            text += f"; for example: {self.example}"
        return text


class Faulty(Exception):
    """Raised at the edge when a caller asked for a result that faults prevent."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


def nearest_name(name: str, known: Iterable[str]) -> str:
    """Return the known name most like ``name``, or an empty text; case does not count."""
    if len(name) > LONGEST_NAME:
        return ""
    by_lower = {each.lower(): each for each in known}
    matches = get_close_matches(name.lower(), list(by_lower), n=1, cutoff=0.6)
    return by_lower[matches[0]] if matches else ""


def with_article(word: str) -> str:
    """``word`` with its indefinite article."""
    return f"an {word}" if word[:1] in tuple("aeiou") else f"a {word}"


def quoted(text: object, most: int = 60) -> str:
    """``text`` in quotes, shortened, with control characters made visible."""
    return f'"{visible(str(text), most)}"'


def visible(text: str, most: int = 60) -> str:
    """``text`` on one line, shortened, with control characters made visible."""
    if len(text) > most:
        text = text[: most - 1] + "…"
    return "".join(ch if ch.isprintable() else f"\\x{ord(ch):02x}" for ch in text)
