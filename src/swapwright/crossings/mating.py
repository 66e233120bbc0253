"""Whether two ends mate, why, and what to measure when that cannot be told."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from itertools import product

from swapwright.crossings.comparing import Outcome, Spot, Verdict, combine, shape_of
from swapwright.crossings.laws import LAWS, THROUGH_SOMETHING
from swapwright.library.tables import MateRow, MateSide, mate_rows
from swapwright.model.amount import Amount
from swapwright.model.ends import End, end_forms
from swapwright.model.message import Message, Spoken
from swapwright.model.values import ABSENT, NotSaid, Value
from swapwright.quantity import Basis, Measure

__all__ = ["Mating", "Verdict", "forms_may_touch", "gap_between", "mate"]

SIDES = ("first", "second")
RANK = {verdict: i for i, verdict in enumerate(Verdict)}  # the better first
SEALS_BY = {"thread": "seal", "flare": "seat"}
EATS = frozenset({"copper", "brass", "bronze"})
EATEN = frozenset({"aluminium", "aluminum", "light alloy", "zinc"})


@dataclass(frozen=True)
class Mating:
    """What can be said of two ends that are to be joined."""

    verdict: Verdict
    why: tuple[Message, ...]  # never empty
    wanted: tuple[str, ...] = ()  # what to measure, such as "first barrel"; told when unsure
    through: str = ""  # seal or method in words
    gap: Message | None = None  # what is written between two open ends
    direct: bool = True  # False: a plain hose, sleeve or weld that is not named lies between


def mate(a: End | None, b: End | None) -> Mating:
    """Whether two ends mate.

    Parameters
    ----------
    a, b : End or None
        Ends of two ports or items; None is an end nobody has looked at.

    Returns
    -------
    mating : Mating
        The same verdict and reasons for (a, b) and (b, a). Limits of play and stretch are
        common practice from memory; a verdict holds within two standard uncertainties of the
        sizes, else it is "cannot tell" with the sizes to measure. A size of unstated spread
        counts as exact if measured or published; if typical or guessed it leaves a warning.
    """
    if a is None or b is None:
        unseen = [side for side, end in zip(SIDES, (a, b), strict=True) if end is None]
        why = Message("nobody has looked at the end yet")
        return Mating(Verdict.UNKNOWN, (why,), tuple(f"{side} end" for side in unseen))
    turned = _order(b) < _order(a)
    outcome = _mated(b, a) if turned else _mated(a, b)
    wanted = tuple(f"{SIDES[i ^ turned]} {dim.replace('_', ' ')}" for i, dim in outcome.wanted)
    return Mating(
        outcome.verdict,
        outcome.why,
        tuple(sorted(wanted)),
        outcome.through,
        gap_between(a, b),
        outcome.direct or outcome.verdict is Verdict.NOT,
    )


def _order(end: End) -> tuple[str, ...]:
    held = (f"{name}={value.text}" for name, value in sorted(end.dims.items()))
    return (end.form, end.half, *held, end.material)


# --- which rows of the table hold


@dataclass(frozen=True, slots=True)
class Paired:
    """A row of the table that holds for two ends, with the ends in the row's order."""

    row: MateRow
    turned: bool


@cache
def _by_forms() -> Mapping[tuple[str, str], tuple[Paired, ...]]:
    found: dict[tuple[str, str], tuple[Paired, ...]] = {}
    for row in mate_rows():
        seconds = end_forms() if row.b.form == "*" else (row.b.form,)
        for second in seconds:
            pair, back = (row.a.form, second), (second, row.a.form)
            found[pair] = (*found.get(pair, ()), Paired(row, False))
            found[back] = (*found.get(back, ()), Paired(row, True))
    return found


@lru_cache(maxsize=4096)
def _row_for(
    form_a: str, half_a: str, kind_a: str, form_b: str, half_b: str, kind_b: str
) -> Paired | None:
    """The row that says most about two ends of known half and kind."""
    best, most = None, -1
    for paired in _by_forms().get((form_a, form_b), ()):
        sides = (paired.row.b, paired.row.a) if paired.turned else (paired.row.a, paired.row.b)
        points = [_points(sides[0], half_a, kind_a), _points(sides[1], half_b, kind_b)]
        if min(points) >= 0 and sum(points) > most:
            best, most = paired, sum(points)
    return best


def _points(side: MateSide, half: str, kind: str) -> int:
    """How much of a side a row names; -1 if it does not hold for it."""
    if side.half not in ("", half) or side.kind not in ("", kind):
        return -1
    return bool(side.half) + 2 * bool(side.kind) + (side.form != "*")


def _kinds(end: End) -> tuple[str, ...]:
    """The word for how an end seals; several where that is not known."""
    if end.form == "hose bead":
        return ("no bead",) if end.dim("bead").content is ABSENT else ("",)
    dim = SEALS_BY.get(end.form)
    if dim is None:
        return ("",)
    shape = shape_of(end)
    if shape is not None and shape.seals_by_itself and end.form == "thread":
        return (shape.family,)
    said = end.dim(dim).content
    if isinstance(said, str):
        return (said,)
    return ("none",) if said is ABSENT and dim == "seal" else end.definition.dims[dim].choices


@lru_cache(maxsize=4096)
def _rows_for(
    form_a: str,
    halves_a: tuple[str, ...],
    kinds_a: tuple[str, ...],
    form_b: str,
    halves_b: tuple[str, ...],
    kinds_b: tuple[str, ...],
) -> tuple[Paired | None, ...]:
    """Every row that may hold, as far as halves and kinds are known; None: no such pair."""
    found: dict[tuple[object, ...], Paired | None] = {}
    for half_a, kind_a, half_b, kind_b in product(halves_a, kinds_a, halves_b, kinds_b):
        paired = _row_for(form_a, half_a, kind_a, form_b, half_b, kind_b)
        key = (paired.row.law, paired.row.verdict, paired.turned) if paired else ()
        found.setdefault(key, paired)
    return tuple(found.values())


@cache
def forms_may_touch(a: str, b: str) -> bool:
    """True when the table has a row by which two forms can be put together directly."""
    rows = _by_forms().get((a, b), ())
    return any(
        paired.row.law not in THROUGH_SOMETHING and paired.row.verdict != Verdict.NOT
        for paired in rows
    )


# --- the verdict


def _mated(a: End, b: End) -> Outcome:
    halves = tuple((end.half,) if end.half else end.definition.halves or ("",) for end in (a, b))
    kinds = (_kinds(a), _kinds(b))
    rows = _rows_for(a.form, halves[0], kinds[0], b.form, halves[1], kinds[1])
    outcomes = [_by_row(a, b, paired) for paired in rows]
    if len({each.verdict for each in outcomes}) == 1:
        found = next((o for o, row in zip(outcomes, rows, strict=True) if row), outcomes[0])
    else:
        found = _undecided(a, b, kinds, outcomes)
    return _with_materials(a, b, _with_doubts((a, b), found))


def _by_row(a: End, b: End, paired: Paired | None) -> Outcome:
    if paired is None:
        return Outcome(Verdict.NOT, (_no_pair(a, b),))
    row = paired.row
    outcome = LAWS[row.law](b, a, row) if paired.turned else LAWS[row.law](a, b, row)
    if outcome.verdict.joins:
        outcome = _as_row_says(b if paired.turned else a, a if paired.turned else b, row, outcome)
    direct = row.law not in THROUGH_SOMETHING
    if not paired.turned:
        return outcome if direct else replace(outcome, direct=False)
    wanted, used = (
        tuple((1 - i, dim) for i, dim in spots) for spots in (outcome.wanted, outcome.used)
    )
    return replace(outcome, wanted=wanted, used=used, direct=direct)


def _as_row_says(a: End, b: End, row: MateRow, outcome: Outcome) -> Outcome:
    verdict = max(outcome.verdict, Verdict(row.verdict), key=RANK.__getitem__)
    why = outcome.why
    if row.why:
        why += (Message(row.why, {"male": _seal_word(a), "female": _seal_word(b)}),)
    through = (outcome.through or row.through) if verdict.joins else ""
    wanted = outcome.wanted
    if verdict is Verdict.UNKNOWN:  # the table knows the seal's kind and wants it told closer
        wanted += tuple((i, "seal") for i, end in enumerate((a, b)) if end.form == "thread")
    return replace(outcome, verdict=verdict, why=why, wanted=wanted, through=through)


def _seal_word(end: End) -> str:
    kinds = _kinds(end)
    if end.form == "flare" and len(kinds) == 1:
        return f"{kinds[0]} flare"
    if end.form == "thread" and len(kinds) == 1:
        shape = shape_of(end)
        named = shape is not None and shape.seals_by_itself
        return f"taper thread {kinds[0]}" if named else {"none": "no seal"}.get(kinds[0], kinds[0])
    return end.form


def _no_pair(a: End, b: End) -> Message:
    if a.form == b.form and a.half and a.half == b.half:
        return Message("two of the same half: {half} {form}", {"half": a.half, "form": a.form})
    forms = sorted((a.form, b.form))
    if forms[0] == forms[1]:
        return Message("two ends of the form {a} do not go together", {"a": forms[0]})
    return Message("{a} and {b} have nothing that fits", {"a": forms[0], "b": forms[1]})


def _undecided(
    a: End, b: End, kinds: tuple[tuple[str, ...], ...], outcomes: list[Outcome]
) -> Outcome:
    """The table says one thing or another, by what is not known of the ends."""
    wanted: list[Spot] = []
    for i, end in enumerate((a, b)):
        if not end.half and end.definition.halves:
            wanted.append((i, "half"))
        if len(kinds[i]) > 1:
            wanted.append((i, SEALS_BY[end.form]))
        if end.form in SEALS_BY and shape_of(end) is None:
            wanted.append((i, "thread"))
    for outcome in outcomes:
        wanted.extend(outcome.wanted)
    if not wanted:  # rows differ without an unknown: cannot be, the table has one row then
        return combine(outcomes)
    ends = (a, b)
    names = dict.fromkeys(f"{dim.replace('_', ' ')} of the {ends[i].form}" for i, dim in wanted)
    why = Message("not known: {dims}", {"dims": tuple(sorted(names))})
    agreed = [message for each in outcomes if each.verdict.joins for message in each.why[:1]]
    direct = any(each.direct for each in outcomes if each.verdict is not Verdict.NOT)
    unsure = tuple(dict.fromkeys(wanted))
    return Outcome(Verdict.UNKNOWN, (*agreed[:1], why), unsure, direct=direct)


def _with_doubts(ends: tuple[End, End], outcome: Outcome) -> Outcome:
    """Sizes that nobody measured and that state no spread cannot carry a plain yes."""
    spots = (*outcome.used, *_seals_looked_at(ends))
    soft = [spot for spot in dict.fromkeys(spots) if _soft(ends[spot[0]].dim(spot[1]))]
    if not soft or outcome.verdict is Verdict.UNKNOWN:
        return outcome
    names = sorted({f"{dim.replace('_', ' ')} of the {ends[i].form}" for i, dim in soft})
    why = Message("rests on typical or guessed: {dims}", {"dims": tuple(names)})
    verdict = Verdict.WARNING if outcome.verdict is Verdict.MATES else outcome.verdict
    wanted = (*outcome.wanted, *soft)
    return replace(outcome, verdict=verdict, why=(*outcome.why, why), wanted=wanted)


def _seals_looked_at(ends: tuple[End, End]) -> tuple[Spot, ...]:
    """Seals count only where the threads are the same."""
    shapes = [shape_of(end) for end in ends]
    if shapes[0] is None or shapes[1] is None or shapes[0].key != shapes[1].key:
        return ()
    return tuple((i, SEALS_BY[end.form]) for i, end in enumerate(ends) if end.form in SEALS_BY)


def _soft(value: Value) -> bool:
    if value.basis not in (Basis.TYPICAL, Basis.GUESSED) or isinstance(value.content, NotSaid):
        return False
    return not isinstance(value.content, Measure) or value.content.spread == "not stated"


def _with_materials(a: End, b: End, outcome: Outcome) -> Outcome:
    metals = {a.material.lower(), b.material.lower()}
    if not outcome.verdict.joins or not (metals & EATS and metals & EATEN):
        return outcome
    values: dict[str, Spoken] = {"a": min(metals), "b": max(metals)}
    text = "{a} and {b} in one liquid, or wet and touching: the lighter metal is eaten away"
    why = (*outcome.why, Message(text, values))
    return replace(outcome, verdict=Verdict.WARNING, why=why)


# --- the words between two open ends


def gap_between(a: End, b: End) -> Message | None:
    """The short text for the space between two open ends; None without sizes to name.

    "16 to 13 mm", "female M10x1 to male G 1/8", "3 to 4 bolts".
    """
    first, second = _size(a), _size(b)
    if first is None or second is None:
        return None
    words: dict[str, Spoken] = {"a": first, "b": second}
    if a.form == b.form and isinstance(first, int):
        return Message("{a} to {b} " + a.definition.main, words)
    names = [_gap_word(end, other) for end, other in ((a, b), (b, a))]
    if names == ["", ""] and isinstance(first, str) and isinstance(second, str):
        words["a"] = _without_unit(first, second)
    return Message(f"{names[0]}{{a}} to {names[1]}{{b}}", words)


def _size(end: End) -> "Spoken | None":
    """What the short form gives: a count, a size as written, or a bare size without its spread."""
    content = end.dim(end.definition.main).content if end.definition.main else ABSENT
    if isinstance(content, NotSaid):
        return None
    if not isinstance(content, Measure):
        return content
    if content.uncertainty and content.spread != "tool":
        return Amount(content.nominal, 0.0, content.dimension)
    return content.text or content.thread


def _without_unit(first: str, second: str) -> str:
    number, _, unit = first.rpartition(" ")
    return number if number and second.endswith(" " + unit) else first


def _gap_word(end: End, other: End) -> str:
    if end.definition.main == "thread" and end.half:
        return f"{end.half} "
    rounds = {"barrel", "outside", "bore", "tube", "branch"}
    if end.form == other.form or {end.definition.main, other.definition.main} <= rounds:
        return ""
    return f"{end.form} "
