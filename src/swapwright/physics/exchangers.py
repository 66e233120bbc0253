"""Heat exchangers by effectiveness and number of transfer units (NTU).

``NTU = UA / Cmin`` and ``Cr = Cmin / Cmax`` are the two numbers of an exchanger of two streams;
the effectiveness is the share of ``Cmin (T_hot,in - T_cold,in)`` that it moves. With Cr = 0 (one
stream boils, condenses or is huge) every arrangement gives ``1 - exp(-NTU)``.
"""

from collections.abc import Callable
from typing import Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.bracketing import rising_root
from swapwright.physics.cross_flow import both_unmixed
from swapwright.physics.inputs import Floats, between, finite, not_negative, positive

Arrangement = Literal[
    "counterflow",
    "parallel flow",
    "cross-flow, both unmixed",
    "cross-flow, both unmixed, approximate",
    "cross-flow, smaller mixed",
    "cross-flow, larger mixed",
    "cross-flow, both mixed",
]
# which stream is the smaller may differ from sample to sample; these name the side instead
Sides = Literal[Arrangement, "cross-flow, first mixed", "cross-flow, second mixed"]

Law = Callable[[Floats, Floats], Floats]  # of transfer units (or effectiveness), Cr

MOST_TRANSFER_UNITS = 1e6  # no exchanger that is built comes near; larger ones are not sought
SMALLEST_RATE = 1e-200  # numbers lose their digits below 1e-308, and quotients with them


class Exchange(NamedTuple):
    """What an exchanger does to its two streams."""

    heat: Floats  # from the first stream to the second [W]
    first_out: Floats  # [K]
    second_out: Floats  # [K]
    effectiveness: Floats


def effectiveness(
    arrangement: Arrangement, transfer_units: ArrayLike, capacity_ratio: ArrayLike
) -> Floats:
    """Share of the greatest possible heat that an exchanger moves.

    Parameters
    ----------
    arrangement
        How the two streams pass each other. "Mixed" means that a stream has one temperature
        across its section; "smaller" and "larger" are streams by heat capacity rate.
    transfer_units : (S,) or scalar
        ``UA / Cmin``, zero or more. [1]
    capacity_ratio : (S,) or scalar
        ``Cmin / Cmax``, 0 to 1. [1]

    Returns
    -------
    effectiveness : (S,) or scalar
        0 to 1, rising with the transfer units; except "cross-flow, both mixed", which has a
        greatest value (at NTU 2.99 for Cr = 1) and falls slowly beyond. [1]

    Raises
    ------
    ValueError
        If the arrangement is not known, the transfer units are negative, the ratio is outside
        0 to 1, or anything is not finite.

    References
    ----------
    .. [1] W. M. Kays and A. L. London, Compact Heat Exchangers, 3rd ed., 1984, for all but the
       exact cross-flow, which is told in `cross_flow`; the forms read in the source of the ht
       library 1.2.0 (Bergman and others, Introduction to Heat Transfer, 6th ed., 2011), both
       mixed from memory.
    """
    if arrangement not in _LAWS:
        raise ValueError(f"arrangement {arrangement!r} is not one of {get_args(Arrangement)}")
    units = not_negative("transfer_units", transfer_units)
    ratio = between("capacity_ratio", capacity_ratio, 0.0, 1.0)
    share = _LAWS[arrangement](*np.broadcast_arrays(units, ratio))
    return np.minimum(share, 1.0)  # a sum of many terms may round to just past the whole


def transfer_units(
    arrangement: Arrangement, effectiveness: ArrayLike, capacity_ratio: ArrayLike
) -> Floats:
    """Number of transfer units that gives an effectiveness: the inverse of `effectiveness`.

    Parameters
    ----------
    arrangement
        As for `effectiveness`.
    effectiveness : (S,) or scalar
        0 to below 1, and below what the arrangement can reach. [1]
    capacity_ratio : (S,) or scalar
        ``Cmin / Cmax``, 0 to 1. [1]

    Returns
    -------
    transfer_units : (S,) or scalar
        ``UA / Cmin``; the smaller of two where "cross-flow, both mixed" has two. [1]

    Raises
    ------
    ValueError
        If no exchanger of this arrangement reaches the effectiveness, or as `effectiveness`.

    References
    ----------
    .. [1] As `effectiveness`: closed inverses where there are some, else a bracketed root.
    """
    if arrangement not in _LAWS:
        raise ValueError(f"arrangement {arrangement!r} is not one of {get_args(Arrangement)}")
    share, ratio = np.broadcast_arrays(
        between("effectiveness", effectiveness, 0.0, 1.0),
        between("capacity_ratio", capacity_ratio, 0.0, 1.0),
    )
    inverse = _INVERSES.get(arrangement)
    with np.errstate(divide="ignore", invalid="ignore"):
        units = inverse(share, ratio) if inverse else _searched(_LAWS[arrangement], share, ratio)
    beyond = ~(units < MOST_TRANSFER_UNITS)
    if beyond.any():
        raise ValueError(
            f"{arrangement} cannot reach effectiveness {share[beyond].flat[0]:.4g} "
            f"at capacity ratio {ratio[beyond].flat[0]:.4g}"
        )
    return units


def exchange(
    arrangement: Sides,
    conductance: ArrayLike,
    first_capacity_rate: ArrayLike,
    second_capacity_rate: ArrayLike,
    first_in: ArrayLike,
    second_in: ArrayLike,
) -> Exchange:
    """Heat moved between two streams and what they leave at.

    Parameters
    ----------
    arrangement
        As for `effectiveness`, or "cross-flow, first mixed" and "cross-flow, second mixed".
    conductance : (S,) or scalar
        Overall ``UA``, zero or more. [W/K]
    first_capacity_rate, second_capacity_rate : (S,) or scalar
        Mass flow times specific heat capacity, zero or more. [W/K]
    first_in, second_in : (S,) or scalar
        Temperatures at the two inlets. [K]

    Returns
    -------
    exchange : Exchange
        A stream that stands still gives and takes nothing and leaves at the other's inlet
        temperature, its limit as the flow dies; if both stand still each keeps its own. With no
        conductance nothing changes.

    Raises
    ------
    ValueError
        If a conductance or a rate is negative, or anything is not finite.

    References
    ----------
    .. [1] Energy balance: ``Q = effectiveness Cmin (T_first,in - T_second,in)``.
    """
    ua, first, second, warm, cool = np.broadcast_arrays(
        not_negative("conductance", conductance, "W/K"),
        not_negative("first_capacity_rate", first_capacity_rate, "W/K"),
        not_negative("second_capacity_rate", second_capacity_rate, "W/K"),
        positive("first_in", first_in, "K"),
        positive("second_in", second_in, "K"),
    )
    least, most = np.minimum(first, second), np.maximum(first, second)
    # nothing tells 1e12 units from more, and a dying flow would pass what a number can hold
    units = _divided(np.minimum(ua, 1e12 * least), least)
    share = _of_sides(arrangement, first <= second, units, _divided(least, most))
    share = np.where((least == 0) & (ua > 0), np.where(most > 0, 1.0, 0.0), share)
    heat = share * least * (warm - cool)
    return Exchange(
        heat,
        warm - np.where(first > 0, _divided(heat, first), share * (warm - cool)),
        cool + np.where(second > 0, _divided(heat, second), share * (warm - cool)),
        share,
    )


def conductance_at_rating(
    arrangement: Sides,
    heat: ArrayLike,
    first_capacity_rate: ArrayLike,
    second_capacity_rate: ArrayLike,
    first_in: ArrayLike,
    second_in: ArrayLike,
) -> Floats:
    """Overall UA of an exchanger of which one rated point is known. [W/K]

    Parameters
    ----------
    arrangement
        As for `exchange`.
    heat : (S,) or scalar
        Heat from the first stream to the second at the rating; of the sign of
        ``first_in - second_in``. [W]
    first_capacity_rate, second_capacity_rate : (S,) or scalar
        Above zero. [W/K]
    first_in, second_in : (S,) or scalar
        Temperatures at the two inlets. [K]

    Returns
    -------
    conductance : (S,) or scalar
        `exchange` with it gives the heat back. [W/K]

    Raises
    ------
    ValueError
        If the heat runs uphill or is more than the arrangement can move, the inlets are equally
        warm, a rate is not positive, or anything is not finite.

    References
    ----------
    .. [1] As `transfer_units`.
    """
    moved, first, second, warm, cool = np.broadcast_arrays(
        finite("heat", heat, "W"),
        positive("first_capacity_rate", first_capacity_rate, "W/K"),
        positive("second_capacity_rate", second_capacity_rate, "W/K"),
        positive("first_in", first_in, "K"),
        positive("second_in", second_in, "K"),
    )
    if np.any(warm == cool):
        raise ValueError("first_in and second_in must differ to rate an exchanger by its heat")
    least, most = np.minimum(first, second), np.maximum(first, second)
    share = between("heat as a share of the greatest", moved / (least * (warm - cool)), 0.0, 1.0)
    units = _units_of_sides(arrangement, first <= second, share, least / most)
    return np.asarray(least * units)


def _counterflow(units: Floats, ratio: Floats) -> Floats:
    rest = 1 - ratio
    decayed = -np.expm1(-units * rest)
    # 0/0 where the streams are equal: the limit stands beside it
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(rest > 0, decayed / (rest + ratio * decayed), units / (1 + units))


def _counterflow_units(share: Floats, ratio: Floats) -> Floats:
    rest, odds = 1 - ratio, share / (1 - share)
    return np.where(rest > 0, np.log1p(odds * rest) / rest, odds)


def _parallel(units: Floats, ratio: Floats) -> Floats:
    return _saturating(1 + ratio, units)


def _parallel_units(share: Floats, ratio: Floats) -> Floats:
    return _desaturated(1 + ratio, share)


def _smaller_mixed(units: Floats, ratio: Floats) -> Floats:
    share: Floats = -np.expm1(-_saturating(ratio, units))
    return share


def _smaller_mixed_units(share: Floats, ratio: Floats) -> Floats:
    return _desaturated(ratio, -np.log1p(-share))


def _larger_mixed(units: Floats, ratio: Floats) -> Floats:
    return _saturating(ratio, -np.expm1(-units))


def _larger_mixed_units(share: Floats, ratio: Floats) -> Floats:
    units: Floats = -np.log1p(-_desaturated(ratio, share))
    return units


def _both_mixed(units: Floats, ratio: Floats) -> Floats:
    # 1/e = 1/(1 - exp(-N)) + Cr/(1 - exp(-Cr N)) - 1/N, multiplied by N so that N = 0 is harmless
    one = np.ones_like(units)
    smaller, larger = _saturating(units, one), _saturating(units * ratio, one)
    return units / (1 / smaller + 1 / larger - 1)


def _approximate(units: Floats, ratio: Floats) -> Floats:
    share: Floats = -np.expm1(-(units**0.22) * _saturating(ratio, units**0.78))
    return share


def _saturating(rate: Floats, span: Floats) -> Floats:
    """``(1 - exp(-rate span)) / rate``, which is ``span`` at rate zero."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(rate > SMALLEST_RATE, -np.expm1(-rate * span) / rate, span)


def _desaturated(rate: Floats, value: Floats) -> Floats:
    """Span at which `_saturating` has this value; NaN or infinite if it never has."""
    return np.where(rate > SMALLEST_RATE, -np.log1p(-rate * value) / rate, value)


def _divided(upper: Floats, lower: Floats) -> Floats:
    """Quotient, zero where it would divide by zero."""
    return np.divide(upper, lower, out=np.zeros_like(upper), where=lower > 0)


def _searched(law: Law, share: Floats, ratio: Floats) -> Floats:
    """Units by search, from those of counterflow, the best there is, to where no more is gained."""
    best = _best_units(law, ratio)
    low = np.minimum(_counterflow_units(share, ratio), best)
    high = np.minimum(2 * low + 1, best)
    short = (law(high, ratio) < share) & (high < best)
    while short.any():
        high = np.where(short, np.minimum(2 * high, best), high)
        short = (law(high, ratio) < share) & (high < best)
    units = rising_root(lambda tried: law(tried, ratio) - share, low, high)
    return np.where(law(high, ratio) < share, np.inf, units)


def _best_units(law: Law, ratio: Floats) -> Floats:
    """Units beyond which an arrangement gets no better."""
    if law is not _both_mixed:
        return np.full_like(ratio, MOST_TRANSFER_UNITS)

    def past_the_top(units: Floats) -> Floats:
        # zero of d(1/e)/dN: (u/sinh u)² of both halves add up to one, each falling with N
        return 1 - _bell(units / 2) - _bell(ratio * units / 2)

    return rising_root(past_the_top, np.zeros_like(ratio), np.full_like(ratio, 1e4))


def _bell(half: Floats) -> Floats:
    """``(u / sinh u)²``, one at zero."""
    safe = np.clip(half, 1e-9, 300.0)  # sinh overflows at 710; the square is nought there
    return (safe / np.sinh(safe)) ** 2


def _of_sides(
    arrangement: Sides, first_smaller: NDArray[np.bool_], units: Floats, ratio: Floats
) -> Floats:
    """Effectiveness where a side is named, whose being the smaller differs by sample."""
    if arrangement != "cross-flow, first mixed" and arrangement != "cross-flow, second mixed":
        return effectiveness(arrangement, units, ratio)
    smaller = effectiveness("cross-flow, smaller mixed", units, ratio)
    larger = effectiveness("cross-flow, larger mixed", units, ratio)
    return np.where(first_smaller == ("first" in arrangement), smaller, larger)


def _units_of_sides(
    arrangement: Sides, first_smaller: NDArray[np.bool_], share: Floats, ratio: Floats
) -> Floats:
    """Transfer units likewise; the two laws have limits of their own, so they are asked apart."""
    if arrangement != "cross-flow, first mixed" and arrangement != "cross-flow, second mixed":
        return transfer_units(arrangement, share, ratio)
    mixed_smaller = first_smaller == ("first" in arrangement)
    units = np.empty(share.shape)
    here, there = mixed_smaller, ~mixed_smaller
    units[here] = transfer_units("cross-flow, smaller mixed", share[here], ratio[here])
    units[there] = transfer_units("cross-flow, larger mixed", share[there], ratio[there])
    return units


_LAWS: dict[str, Law] = {
    "counterflow": _counterflow,
    "parallel flow": _parallel,
    "cross-flow, both unmixed": both_unmixed,
    "cross-flow, both unmixed, approximate": _approximate,
    "cross-flow, smaller mixed": _smaller_mixed,
    "cross-flow, larger mixed": _larger_mixed,
    "cross-flow, both mixed": _both_mixed,
}
_INVERSES: dict[str, Law] = {
    "counterflow": _counterflow_units,
    "parallel flow": _parallel_units,
    "cross-flow, smaller mixed": _smaller_mixed_units,
    "cross-flow, larger mixed": _larger_mixed_units,
}
