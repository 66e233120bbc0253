"""What a computation reads: each fact once, as a column of samples, or a typical value."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from swapwright.chance.columns import POSITIVE, measured
from swapwright.chance.samples import Sample
from swapwright.library.typical import Typical, typical_values
from swapwright.model.assembly import Assembly
from swapwright.model.facts import fact_book
from swapwright.model.values import ABSENT, Value
from swapwright.quantity import Basis, Measure

Column = NDArray[np.float64]


@dataclass(frozen=True)
class Taken:
    """One input of a computation: whose it is, what was said of it, and its samples."""

    id: str  # subject.fact
    subject: str
    fact: str
    measure: Measure
    own: Column  # of this input alone, independent of all others
    source: str  # empty for the builder's own and for what is published
    value: Value | None = None  # as said in the documents

    @property
    def assumed(self) -> bool:
        """True when it is not the builder's own and not published."""
        return self.measure.basis in (Basis.TYPICAL, Basis.GUESSED)


class Inputs:
    """Hands out columns, and remembers each: what was assumed is the list of assumptions."""

    def __init__(self, assembly: Assembly, sample: Sample) -> None:
        self.assembly, self.sample = assembly, sample
        self.taken: dict[str, Taken] = {}

    @property
    def size(self) -> int:
        """Number of samples."""
        return self.sample.size

    @property
    def assumptions(self) -> tuple[Taken, ...]:
        """Every input that the builder did not give, in the order in which they were read."""
        return tuple(each for each in self.taken.values() if each.assumed)

    def said(self, fact: str, *subjects: str) -> Value | None:
        """What was said of a fact of the first subject that says anything; None when none does."""
        for subject in subjects:
            if subject in self.assembly.holders:
                value = self.assembly.fact(subject, fact)
                if value.known:
                    return value
        return None

    def absent(self, fact: str, *subjects: str) -> bool:
        """True when it was said that there is none."""
        value = self.said(fact, *subjects)
        return value is not None and value.content is ABSENT

    def word(self, fact: str, *subjects: str) -> str:
        """A chosen word, or an empty text when nobody said one."""
        value = self.said(fact, *subjects)
        return value.content if value is not None and isinstance(value.content, str) else ""

    def yes(self, fact: str, *subjects: str) -> bool | None:
        """A yes or no; None when nobody said."""
        value = self.said(fact, *subjects)
        return None if value is None else value.content is True

    def take(self, fact: str, *subjects: str, typical: str = "") -> Column:
        """A measured fact as a column. [SI]

        Parameters
        ----------
        fact : str
            Its name in the list of facts.
        subjects : str
            Whose it may be, the most particular first; an assumption is told of the first.
        typical : str
            Name of the typical value, where that is not the fact's own.
        """
        value = self.said(fact, *subjects)
        if value is not None and isinstance(value.content, Measure):
            owner = next(each for each in subjects if self._says(each, fact))
            return self._given(owner, fact, value.content, value)
        return self.typical(typical or fact, subjects[0])

    def _says(self, subject: str, fact: str) -> bool:
        return subject in self.assembly.holders and self.assembly.fact(subject, fact).known

    def measure(self, id: str, subject: str, fact: str, measure: Measure) -> Column:
        """A measure that stands elsewhere than in a fact: a dimension of an end, a setting."""
        if id not in self.taken:
            self.taken[id] = Taken(id, subject, fact, measure, self._column(id, measure), "")
        return self.taken[id].own

    def _given(self, subject: str, fact: str, measure: Measure, value: Value) -> Column:
        id = f"{subject}.{fact}"
        if id not in self.taken:
            own = self._column(id, measure)
            self.taken[id] = Taken(id, subject, fact, measure, own, "", value)
        return self.taken[id].own

    def typical(self, name: str, subject: str) -> Column:
        """A typical value as a column, told as an assumption of this subject. [SI]"""
        typical = typical_values()[name]
        id = f"{subject}.{name}"
        if id not in self.taken:
            own = self._column(id, typical.measure)
            source = typical.source
            self.taken[id] = Taken(id, subject, typical.enters_as, typical.measure, own, source)
        return self._scaled(typical, subject, self.taken[id].own)

    def _scaled(self, typical: Typical, subject: str, own: Column) -> Column:
        if typical.per_fact:
            return own * self.take(typical.per_fact, subject) / typical.per_amount
        if typical.above_fact:
            return own + self.take(typical.above_fact, subject)
        return own

    def _column(self, id: str, measure: Measure) -> Column:
        """Sizes, losses and ratings above zero stay above it, whatever their dimension allows."""
        within = POSITIVE if measure.nominal > 0 else None
        return measured(self.sample, id, measure, within)

    def constant(self, value: float) -> Column:
        """A plain number for all samples."""
        return np.full(self.size, value)


def label_of(fact: str) -> str:
    """How a fact is called on pages."""
    return fact_book()[fact].label
