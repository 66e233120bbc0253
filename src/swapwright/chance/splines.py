"""Smooth functions of one input each, fitted together to one sample.

A result y is taken apart as ``mean + f1(x1) + f2(x2) + ... + rest`` where each f is a
cubic spline in the rank of its input, and a straight line in the input itself where the
ranks do not give that. The fit is joint: what one input explains does not stand as noise
before the next. Inputs must be independent, as the columns of a sample are.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from .samples import Floats

MOST_PIECES = 10  # of a spline; follows two full waves over the range of an input
MOST_CHOICES = 12  # different values; an input with fewer is fitted value by value
ROOM = 8  # samples wanted for each coefficient
LEAST_ROOM = 16  # samples wanted for each input, below which nothing is fitted
BINS = 256  # steps in which the conditional mean is looked at
_BENT = 1e-3  # part of an input that its ranks do not give, from which it is added
_SETTLED = 1e-4  # change of the fit, over the deviation of the result
_PASSES = 50
_TOGETHER = 0.5  # correlation of ranks that no sample of independent inputs shows
_STRAY = 6.0  # standard deviations of such a correlation, where worlds are few


class Basis(NamedTuple):
    """Functions of one input, over its sample sorted by that input.

    ``order`` (S,) sorts the worlds. ``spline`` (P, S) and, where there is one, ``line`` (S,)
    have mean 0 and square sum 1 and are orthogonal. The spline is one array for all inputs;
    for an input of a few values it holds as many steps less one instead, and none for
    an input that does not vary. ``steps`` (N + 1,) are where bins begin in the order, the
    last one S; ``bins`` (P, N) the functions' means in each; ``levels`` says that the bins
    are the values themselves.
    """

    order: NDArray[np.intp]
    spline: Floats
    line: Floats | None
    steps: NDArray[np.intp]
    bins: Floats
    levels: bool

    def coefficients(self, rows: Floats) -> Floats:
        """Of sorted results (D, S) upon each function. -> (D, P)"""
        # A product for each row is quicker than one for all while these are few.
        first = np.stack([self.spline @ row for row in rows])
        return first if self.line is None else np.column_stack((first, rows @ self.line))

    def effect(self, coefficients: Floats) -> Floats:
        """What coefficients (D, P) add up to, in sorted worlds. -> (D, S)"""
        count = len(self.spline)
        effect = np.stack([row[:count] @ self.spline for row in coefficients])
        if self.line is not None:
            effect += coefficients[:, -1:] * self.line
        return effect

    @property
    def counts(self) -> NDArray[np.intp]:
        """Worlds in each bin. -> (N,)"""
        return np.diff(self.steps)


class Shared(NamedTuple):
    """What the bases of all smooth inputs have in common."""

    spline: Floats
    steps: NDArray[np.intp]
    bins: Floats


class Fit(NamedTuple):
    """Results (D, S) taken apart by input.

    ``coefficients`` holds a (D, P) for each basis, ``rest`` (D, S) what none explains,
    ``spent`` how many coefficients there are, the mean included.
    """

    mean: Floats
    coefficients: tuple[Floats, ...]
    rest: Floats
    spent: int

    @property
    def shrunk(self) -> float:
        """By how much the rest reads too small in the mean square, as a factor above 1."""
        size = int(self.rest.shape[1])
        return size / (size - self.spent)


def bases(inputs: Mapping[str, ArrayLike], known: NDArray[np.bool_]) -> dict[str, Basis]:
    """Basis of every input on the worlds that are known.

    Parameters
    ----------
    inputs : mapping of str to (S,)
        Numbers, yes/no, or words.
    known : (S,) of bool
        Rows to take.

    Returns
    -------
    bases : dict of str to Basis

    Raises
    ------
    ValueError
        If a column is of another length or not finite, two move together, or the rows
        are too few.
    """
    size = int(known.sum())
    if size < LEAST_ROOM * len(inputs):
        raise ValueError(
            f"{len(inputs)} inputs want {LEAST_ROOM * len(inputs)} worlds or more, got {size}"
        )
    pieces = min(MOST_PIECES, max(1, size // (ROOM * max(1, len(inputs))) - 3))
    shared = _shared(size, pieces)
    found = {name: _basis(name, column, known, shared) for name, column in inputs.items()}
    _check_apart(found, size)
    return found


def fit(results: Floats, parts: Sequence[Basis]) -> Fit:
    """Take results apart by input, all inputs together.

    Parameters
    ----------
    results : (D, S)
        Finite.
    parts : sequence of Basis
        On the same worlds.

    Returns
    -------
    fit : Fit
        Least squares, found by fitting each input in turn to what the others leave.

    Raises
    ------
    ArithmeticError
        If turns do not settle, because one input nearly follows from others.

    References
    ----------
    .. [1] Hastie, Tibshirani 1990, Generalized Additive Models, ch. 4-5 (backfitting).
    """
    mean = results.mean(axis=1)
    rest = results - mean[:, None]
    least = _SETTLED * np.sqrt((rest**2).sum(axis=1))[:, None]
    coefficients = [np.zeros((len(results), len(part.bins))) for part in parts]
    spent = 1 + sum(len(part.bins) for part in parts)
    for _ in range(_PASSES):
        settled = True
        for part, kept in zip(parts, coefficients, strict=True):
            rows = rest.take(part.order, axis=1)
            step = part.coefficients(rows)
            rest[:, part.order] = rows - part.effect(step)
            kept += step
            settled &= bool(np.all(np.abs(step) <= least))
        if settled:
            return Fit(mean, tuple(coefficients), rest, spent)
    raise ArithmeticError("inputs cannot be told apart: one nearly follows from others")


def means(rows: Floats, steps: NDArray[np.intp]) -> Floats:
    """Mean of sorted rows in each bin.

    Parameters
    ----------
    rows : (..., S)
        Any one unit.
    steps : (N + 1,)
        Where bins begin, the last one S.

    Returns
    -------
    means : (..., N)
        Same unit.
    """
    return np.asarray(np.add.reduceat(rows, steps[:-1], axis=-1) / np.diff(steps))


def _basis(name: str, column: ArrayLike, known: NDArray[np.bool_], shared: Shared) -> Basis:
    values = np.asarray(column)
    if values.shape != known.shape:
        raise ValueError(f"{name}: wanted a column of {known.shape}, got {values.shape}")
    values = values[known]
    if values.dtype.kind not in "fiu":  # yes/no, words
        values = np.unique(values, return_inverse=True)[1]
    numbers = values.astype(np.float64)
    if not np.all(np.isfinite(numbers)):
        raise ValueError(f"{name}: every value must be finite")
    order, rising, jumps = _sorted(numbers)
    if len(jumps) < MOST_CHOICES:
        return _by_value(order, jumps)
    line = _line(rising, shared.spline)
    bins = shared.bins if line is None else np.vstack((shared.bins, means(line, shared.steps)))
    return Basis(order, shared.spline, line, shared.steps, bins, False)


def _check_apart(parts: Mapping[str, Basis], size: int) -> None:
    """Refuse inputs that are one; the fit would give all to the one that comes first."""
    moving = {name: part for name, part in parts.items() if len(part.bins)}
    ranks = np.empty((len(moving), size))
    for row, part in zip(ranks, moving.values(), strict=True):
        row[part.order] = np.repeat(np.arange(len(part.counts)), part.counts)
        row -= row.mean()
        row /= np.sqrt(row @ row)
    names, most = list(moving), max(_TOGETHER, _STRAY / np.sqrt(size))
    for number, row in enumerate(ranks):
        # Row upon row: one product of all would wake threads, which wait long on a busy machine.
        together = np.abs(np.vecdot(ranks[number + 1 :], row))
        if together.max(initial=0.0) > most:
            other = names[number + 1 + int(together.argmax())]
            raise ValueError(
                f"{names[number]} and {other} move together; inputs must be independent"
            )


def _sorted(numbers: Floats) -> tuple[NDArray[np.intp], Floats, NDArray[np.intp]]:
    """Order, values in that order, and where they change."""
    order = np.argsort(numbers)
    jumps = np.flatnonzero(np.diff(numbers[order])) + 1
    if len(jumps) < len(numbers) - 1:
        # The quick sort leaves equal values in an order that hangs on the processor.
        order = np.argsort(numbers, kind="stable")
    return order, numbers[order], jumps


def _by_value(order: NDArray[np.intp], jumps: NDArray[np.intp]) -> Basis:
    """As many functions as there are values, less one."""
    size = len(order)
    steps = np.concatenate(([0], jumps, [size])).astype(np.intp)
    counts = np.diff(steps)
    # Orthonormal among the values' indicators, the constant first and then left out.
    first = np.column_stack((np.sqrt(counts / size), np.eye(len(counts))[:, 1:]))
    turned = np.linalg.qr(first)[0][:, 1:].T / np.sqrt(counts)
    return Basis(order, np.repeat(turned, counts, axis=1), None, steps, turned, True)


@lru_cache(maxsize=4)  # every result of one sample wants the same
def _shared(size: int, pieces: int) -> Shared:
    """Cubic splines over the ranks, made orthonormal and orthogonal to a constant.

    References
    ----------
    .. [1] de Boor 1978, A Practical Guide to Splines, ch. IX-X (uniform cubic B-spline).
    """
    place = (np.arange(size) + 0.5) / size * pieces
    # Distance of each row from the middle of each hump, in pieces.
    far = np.abs(place[:, None] - (np.arange(pieces + 3) - 1))
    humps = (np.maximum(2 - far, 0) ** 3 - 4 * np.maximum(1 - far, 0) ** 3) / 6
    # The humps add up to 1 everywhere, so one gives way to the constant.
    columns = np.column_stack((np.ones(size), humps[:, 1:]))
    spline = np.ascontiguousarray(np.linalg.qr(columns)[0][:, 1:].T)
    steps = np.linspace(0, size, min(BINS, size) + 1).astype(np.intp)
    shared = Shared(spline, steps, means(spline, steps))
    for array in shared:
        array.setflags(write=False)
    return shared


def _line(rising: Floats, spline: Floats) -> Floats | None:
    """What a spline of ranks lacks of a straight line in the input, (S,)."""
    line = rising - rising.mean()
    whole = np.sqrt(line @ line)
    line -= (spline @ line) @ spline
    length = np.sqrt(line @ line)
    return np.asarray(line / length) if length > _BENT * whole else None
