"""What an unknown end is: one Bayes rule over the likelihood tables.

Observations count as independent given what the end is, so that their chances
multiply, one for each observation.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import exp, fsum, log

from swapwright.crossings.evidence import Evidence, outcomes, read_seen
from swapwright.library.likelihoods import Likelihoods, likelihood_kinds, likelihoods
from swapwright.library.tables import lookalikes
from swapwright.model.amount import Amount
from swapwright.model.faults import nearest_name, quoted
from swapwright.model.message import Message
from swapwright.model.values import ValueFault
from swapwright.model.words import Service
from swapwright.quantity import Dimension

TELLING = 0.01  # bits; less is not worth a walk to the car
NEGLIGIBLE = 1e-4  # candidates below it do not move the question of what to look at next
LEADING = 0.9  # the tests of candidates that share this chance are told
MOST_TESTS = 4
ODD = 0.05


@dataclass(frozen=True)
class Meaning:
    """What follows for the model when the end is this."""

    service: Service
    families: tuple[str, ...]  # of the port table
    fittings: tuple[str, ...]  # rows of the fittings table


@dataclass(frozen=True)
class Candidate:
    """One thing that the end may be, and its chance."""

    id: str
    label: str
    chance: float
    means: Meaning
    remarks: tuple[Message, ...] = ()  # what it is easily taken for


@dataclass(frozen=True)
class Identification:
    """What one end may be, the likeliest first, and what to do next."""

    kind: str
    candidates: tuple[Candidate, ...]
    contradictory: bool  # see ``identify``
    odd: tuple[str, ...]  # observations that the likeliest candidate seldom shows
    settles: str  # the test that settles the rest, its cautions first
    most_telling: tuple[str, ...]  # observations that would tell most, the best first
    ignored: tuple[str, ...]  # not seen, or replaced by a finer one


def identify(kind: str, seen: Mapping[str, str], *, place: str | None = None) -> Identification:
    """What an end may be after what was seen of it.

    Parameters
    ----------
    kind : str
        A question of ``library/likelihoods``: coolant-stubs, small-tube, sensor-plug, thread.
    seen : mapping
        Texts as people write them, by observation: ``{"bore": "28 mm, calipers",
        "from": "thermostat cover"}``. Their order does not matter; unknown ones are left out.
    place : str, optional
        For threads: oil switch, temperature, filter or pipe nut; it sets the priors.

    Returns
    -------
    identification : Identification
        ``contradictory`` is a prior predictive check of the likeliest candidate: let T be the sum
        over the observations of -ln(tail), the tail being the chance that this candidate shows
        something at most as likely. It is true when the candidate would show a T as large, or
        larger, less often than the limit of the data file (1 in 100). The distribution of T is
        exact for words and classes, and that of Fisher's sum for measured densities.

    Raises
    ------
    ValueFault
        For a kind, an observation, a word or a place that is not known, and for a text that
        cannot be read: with what was found, what was wanted, an example and the nearest word.

    References
    ----------
    Box, J. Royal Stat. Soc. A 143 (1980) 383: prior predictive checks. Fisher, Statistical
    Methods for Research Workers, 4th ed. (1932), 21.1: combining tails. Both from memory.
    """
    table = _table(kind)
    priors = _priors(table, place)
    evidence, ignored = _evidence(table, seen)
    logs = [log(prior) + _log_chance(evidence, i) for i, prior in enumerate(priors)]
    return _identification(table, evidence, ignored, _normalised(logs))


def identify_together(kind: str, seen: Sequence[Mapping[str, str]]) -> tuple[Identification, ...]:
    """What several ends are, when each has another role.

    All ways to deal the roles out, one each, are weighed exactly; each end gets its marginal.

    Parameters
    ----------
    kind : str
        A question whose roles are dealt out one each: coolant-stubs.
    seen : sequence of mapping
        One for each end, at most as many as there are roles, as for ``identify``.

    Raises
    ------
    ValueFault
        As ``identify``; and for too many ends or a kind that is not dealt out so.
    """
    table = _table(kind)
    if not table.one_role_each:
        known = [each for each in likelihood_kinds() if likelihoods(each).one_role_each]
        raise ValueFault(quoted(kind), "a kind whose roles are dealt out one each", known[0])
    if len(seen) > len(table.roles):
        wanted = f"at most {len(table.roles)}: one for each role"
        raise ValueFault(f"{len(seen)} ends of kind {kind}", wanted)
    read = [_evidence(table, each) for each in seen]
    marginals = _marginals(table, [evidence for evidence, _ in read])
    return tuple(
        _identification(table, evidence, ignored, chances)
        for (evidence, ignored), chances in zip(read, marginals, strict=True)
    )


def _table(kind: str) -> Likelihoods:
    kinds = likelihood_kinds()
    if kind not in kinds:
        wanted = "one of: " + ", ".join(kinds)
        raise ValueFault(quoted(kind), wanted, kinds[0], nearest_name(kind, kinds))
    return likelihoods(kind)


def _priors(table: Likelihoods, place: str | None) -> tuple[float, ...]:
    if place is None:
        return tuple(role.prior for role in table.roles)
    if place not in table.places:
        places = tuple(table.places)
        wanted = "one of: " + ", ".join(places) if places else f"no place for a {table.label}"
        example = places[0] if places else ""
        raise ValueFault(f"place {quoted(place)}", wanted, example, nearest_name(place, places))
    return table.places[place]


def _evidence(
    table: Likelihoods, seen: Mapping[str, str]
) -> tuple[dict[str, Evidence], tuple[str, ...]]:
    """Evidence in the order of the table, and names of what was left out."""
    for name in seen:
        if name not in table.observations:
            known = tuple(table.observations)
            wanted = f"for a {table.label} one of: " + ", ".join(known)
            raise ValueFault(quoted(name), wanted, known[0], nearest_name(name, known))
    read = {
        name: read_seen(observation, seen[name])
        for name, observation in table.observations.items()
        if name in seen
    }
    evidence: dict[str, Evidence] = {}
    for name, one in read.items():
        observation = table.observations[name]
        if one is None or read.get(observation.instead_of) is not None:
            continue
        if read.get(observation.not_with) is not None:
            wanted = "only one of them: they belong to the two halves"
            raise ValueFault(f"{observation.not_with} and {name}", wanted)
        evidence[name] = one
    return evidence, tuple(name for name in read if name not in evidence)


def _log_chance(evidence: Mapping[str, Evidence], role: int) -> float:
    return fsum(log(each.chance(role)) for each in evidence.values())


def _normalised(logs: Sequence[float]) -> tuple[float, ...]:
    top = max(logs)
    weights = [exp(each - top) for each in logs]
    whole = fsum(weights)
    return tuple(weight / whole for weight in weights)


def _marginals(
    table: Likelihoods, ends: Sequence[Mapping[str, Evidence]]
) -> list[tuple[float, ...]]:
    roles = range(len(table.roles))
    logs = [
        [log(role.prior) + _log_chance(evidence, i) for i, role in enumerate(table.roles)]
        for evidence in ends
    ]
    deals = list(permutations(roles, len(ends)))
    weights = _normalised([fsum(logs[e][r] for e, r in enumerate(deal)) for deal in deals])
    return [
        tuple(
            fsum(w for w, deal in zip(weights, deals, strict=True) if deal[end] == role)
            for role in roles
        )
        for end in range(len(ends))
    ]


def _identification(
    table: Likelihoods,
    evidence: Mapping[str, Evidence],
    ignored: tuple[str, ...],
    chances: tuple[float, ...],
) -> Identification:
    order = sorted(range(len(chances)), key=lambda i: -chances[i])
    best = order[0]
    return Identification(
        table.kind,
        tuple(_candidate(table, i, chances[i]) for i in order),
        _how_often(evidence, best) < table.contradiction,
        tuple(name for name, each in evidence.items() if each.tail(best) < ODD),
        _settles(table, order, chances),
        _most_telling(table, evidence, chances),
        ignored,
    )


def _candidate(table: Likelihoods, index: int, chance: float) -> Candidate:
    role = table.roles[index]
    meaning = Meaning(role.service, role.families, role.fittings)
    return Candidate(role.id, role.label, chance, meaning, _remarks(table, role.id))


def _remarks(table: Likelihoods, name: str) -> tuple[Message, ...]:
    if not table.threads:
        return ()
    remarks = []
    for pair in lookalikes():
        if name in (pair.a, pair.b):
            remarks.append(
                Message(
                    "easily taken for {other}: they differ by {major} in diameter and by"
                    " {five} over five turns",
                    {
                        "other": pair.b if name == pair.a else pair.a,
                        "major": Amount(abs(pair.major), 0.0, Dimension.LENGTH),
                        "five": Amount(abs(pair.five_turns), 0.0, Dimension.LENGTH),
                    },
                )
            )
    if name in table.other_seats:
        remarks.append(
            Message("{thread} is used with several seats: compare the seats too", {"thread": name})
        )
    return tuple(remarks)


def _how_often(evidence: Mapping[str, Evidence], role: int) -> float:
    """Chance that this role shows things as unlikely as these, or more so."""
    total = fsum(-log(each.tail(role)) for each in evidence.values())
    sums = {0.0: 1.0}
    densities = 0
    for each in evidence.values():
        steps = each.steps(role)
        if steps is None:
            densities += 1
            continue
        grown: dict[float, float] = {}
        for before, chance in sums.items():
            for tail, share in steps:
                key = round(before - log(tail), 12)
                grown[key] = grown.get(key, 0.0) + chance * share
        sums = grown
    return fsum(
        chance * _exponential_sum_above(total - 1e-9 - held, densities)
        for held, chance in sums.items()
    )


def _exponential_sum_above(least: float, count: int) -> float:
    """Chance that the sum of ``count`` standard exponential numbers is ``least`` or more."""
    if least <= 0:
        return 1.0
    term, terms = 1.0, 0.0
    for k in range(count):
        terms += term
        term *= least / (k + 1)
    return exp(-least) * terms


def _settles(table: Likelihoods, order: Sequence[int], chances: Sequence[float]) -> str:
    tests: list[str] = []
    told = 0.0
    for i in order:
        role = table.roles[i]
        if role.proof and len(tests) < MOST_TESTS and (told < LEADING or len(tests) < 2):
            tests.append(f"{role.label[:1].upper()}{role.label[1:]}: {role.proof}.")
        told += chances[i]
    return " ".join((table.cautions, table.test, *tests))


def _most_telling(
    table: Likelihoods, evidence: Mapping[str, Evidence], chances: Sequence[float]
) -> tuple[str, ...]:
    """Observations that would lower the entropy of the answer, by how much is expected."""
    roles = tuple(i for i, chance in enumerate(chances) if chance > NEGLIGIBLE)
    weights = [chances[i] for i in roles]
    ruled_out = {o.not_with for name, o in table.observations.items() if name in evidence}
    gains: dict[str, float] = {}
    for name, observation in table.observations.items():
        coarser = bool(observation.instead_of)
        other_half = observation.not_with in evidence or name in ruled_out
        if name not in evidence and not coarser and not other_half:
            gains[name] = _expected_gain(weights, outcomes(observation, roles))
    return tuple(sorted((n for n in gains if gains[n] > TELLING), key=lambda n: -gains[n]))


def _expected_gain(weights: Sequence[float], rows: Sequence[tuple[float, ...]]) -> float:
    """Mutual information of the answer and an observation, in bits."""
    whole = fsum(weights)
    gain = 0.0
    for row in rows:
        joint = [w / whole * share for w, share in zip(weights, row, strict=True)]
        seen = fsum(joint)
        gain += fsum(
            part * log(share / seen, 2) for part, share in zip(joint, row, strict=True) if part > 0
        )
    return gain
