"""Air through a core of flat tubes and corrugated louvred fins: heat transfer and friction.

Both laws are fits to 91 measured cores: heat transfer within 15 % for 89 % of them, friction within
15 % for 83 %, and single cores elsewhere lie farther off. Friction is the weak part. Losses at
the entrance and exit of a core are not in the friction law.
"""

from dataclasses import dataclass, fields, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from swapwright.physics.inputs import Floats, outside, positive

# Reynolds number on the louvre pitch: where the two laws were fitted, and where they change
HEAT_RANGE = (100.0, 3000.0)
FRICTION_RANGE = (100.0, 5000.0)
LOW_UNTIL, HIGH_FROM = 130.0, 230.0
STEEPEST = -1.95  # power of Re at which friction may fall: pressure still rises, as its 0.05th
LAMINAR_UNTIL = 30.0  # below, the low form runs into its pole at Re 2; f Re is held instead

# What the measured cores spanned, in metres and radians (from memory)
GEOMETRY_RANGE = {
    "fin_pitch": (0.51e-3, 3.33e-3),
    "fin_height": (2.84e-3, 25e-3),
    "fin_depth": (15.6e-3, 57.4e-3),
    "louvre_length": (2.13e-3, 18.5e-3),
    "louvre_pitch": (0.5e-3, 3e-3),
    "tube_pitch": (7.51e-3, 25e-3),
    "louvre_angle": (np.radians(8.4), np.radians(35.0)),
    "hydraulic_diameter": (0.82e-3, 5.02e-3),
}
THINNEST = 0.01  # fin thickness over pitch: below it the friction law takes a power of ln(<1)


class Marked(NamedTuple):
    """A number and where its law was stretched."""

    value: Floats
    extrapolated: NDArray[np.bool_]  # geometry or Reynolds number outside the measured


@dataclass(frozen=True, eq=False)
class LouvredFin:
    """One row of flat tubes with louvred fins between. Each size a scalar or (S,)."""

    fin_pitch: ArrayLike  # from fin to fin [m]
    fin_height: ArrayLike  # from tube wall to tube wall [m]
    fin_depth: ArrayLike  # along the air [m]
    fin_thickness: ArrayLike  # [m]
    louvre_pitch: ArrayLike  # along the air [m]
    louvre_length: ArrayLike  # across the fin [m]
    louvre_angle: ArrayLike  # [rad]
    tube_pitch: ArrayLike  # from tube to tube [m]
    tube_depth: ArrayLike  # along the air [m]
    tube_thickness: ArrayLike  # outside, across the air [m]

    def __post_init__(self) -> None:
        for field in fields(self):
            unit = "rad" if field.name == "louvre_angle" else "m"
            size = positive(field.name, getattr(self, field.name), unit)
            object.__setattr__(self, field.name, size)
        _wanted(self.louvre_angle, "below", np.pi / 2, "louvre_angle", "a right angle")
        _wanted(self.fin_thickness, "below", self.fin_pitch, "fin_thickness", "fin_pitch")
        _wanted(self.fin_thickness, "below", self.fin_height, "fin_thickness", "fin_height")
        _wanted(self.tube_thickness, "below", self.tube_pitch, "tube_thickness", "tube_pitch")
        _wanted(self.louvre_length, "at most", self.fin_height, "louvre_length", "fin_height")


def free_area_share(fin: LouvredFin) -> Floats:
    """Least free section over the face.

    Parameters
    ----------
    fin : LouvredFin
        Its sizes.

    Returns
    -------
    share : (S,) or scalar
        ``(Fl - t)(Fp - t) / ((Fl + Dm) Fp)`` [1]

    References
    ----------
    .. [1] FluidDissipation library, flat-tube pressure-loss function (source read).
    """
    Fp, Fl, t, Dm = map(np.asarray, (fin.fin_pitch, fin.fin_height, fin.fin_thickness,
                                     fin.tube_thickness))  # fmt: skip
    return np.asarray((Fl - t) * (Fp - t) / ((Fl + Dm) * Fp))


def hydraulic_diameter(fin: LouvredFin) -> Floats:
    """Four times the free section over the wetted perimeter of one channel. [m]

    Parameters
    ----------
    fin : LouvredFin
        Its sizes.

    Returns
    -------
    diameter : (S,) or scalar
        ``2 (Fl - t)(Fp - t) / ((Fl - t) + (Fp - t))`` [m]

    References
    ----------
    .. [1] As `free_area_share`.
    """
    height = np.subtract(fin.fin_height, fin.fin_thickness)
    width = np.subtract(fin.fin_pitch, fin.fin_thickness)
    return np.asarray(2 * height * width / (height + width))


def fin_share(fin: LouvredFin) -> Floats:
    """Fin area over whole area of the air side. [1]

    Parameters
    ----------
    fin : LouvredFin
        Its sizes.

    Returns
    -------
    share : (S,) or scalar
        ``(Fl - t) / ((Fl - t) + (Fp - t))`` [1]

    References
    ----------
    .. [1] Two fin faces and two tube faces bound a channel.
    """
    height = np.subtract(fin.fin_height, fin.fin_thickness)
    width = np.subtract(fin.fin_pitch, fin.fin_thickness)
    return np.asarray(height / (height + width))


def colburn_factor(fin: LouvredFin, reynolds: ArrayLike) -> Marked:
    """Colburn factor ``j = Nu / (Re Pr^(1/3))`` on the louvre pitch.

    Parameters
    ----------
    fin : LouvredFin
        Its sizes.
    reynolds : (S,) or scalar
        On the louvre pitch, above zero; marked outside 100 to 3000. [1]

    Returns
    -------
    factor : Marked
        ``Re^-0.49 (th/90°)^0.27 (Fp/Lp)^-0.14 (Fl/Lp)^-0.29 (Td/Lp)^-0.23 (Ll/Lp)^0.68
        (Tp/Lp)^-0.28 (t/Lp)^-0.05`` [1]

    Raises
    ------
    ValueError
        If Re is not positive and finite.

    References
    ----------
    .. [1] Y.-J. Chang and C.-C. Wang, A generalized heat transfer correlation for louver fin
       geometry, Int. J. Heat Mass Transfer 40 (1997) 533-544, eq. 9, as coded in the Modelica
       Standard Library and in a second public program (both read; identical).
    """
    Re = positive("reynolds", reynolds)
    per_pitch = heat_factor(fin)
    return Marked(per_pitch * Re**-0.49, beyond_measured(fin) | outside(Re, *HEAT_RANGE))


def fanning_friction_factor(fin: LouvredFin, reynolds: ArrayLike) -> Marked:
    """Fanning friction factor on the hydraulic diameter (a quarter of Darcy's).

    Parameters
    ----------
    fin : LouvredFin
        Its sizes.
    reynolds : (S,) or scalar
        On the louvre pitch, above zero; marked outside 100 to 5000. [1]

    Returns
    -------
    factor : Marked
        The low form up to Re 130, the high form from 230, on a straight line between; below
        Re 30 the low form's ``f Re`` is held, since that form has a pole at Re 2. [1]

    Raises
    ------
    ValueError
        If Re is not positive and finite, or the fin is thinner than a hundredth of its pitch:
        the law then takes a broken power of a negative logarithm.

    References
    ----------
    .. [1] Y.-J. Chang, K.-C. Hsu, Y.-T. Lin and C.-C. Wang, A generalized friction correlation for
       louver fin geometry, Int. J. Heat Mass Transfer 43 (2000) 2237-2243, as coded in the
       FluidDissipation library (read).
    .. [2] Y.-J. Chang, W.-J. Chang, M.-C. Li and C.-C. Wang, An amendment of the generalized
       friction correlation, same journal 49 (2006) 4250-4253, for the line between (from memory).
    """
    Re = positive("reynolds", reynolds)
    friction = FinFriction.of(fin)
    share = (Re - LOW_UNTIL) / (HIGH_FROM - LOW_UNTIL)
    line = (1 - share) * friction.low(LOW_UNTIL) + share * friction.high(HIGH_FROM)
    return Marked(friction.joined(Re, line), beyond_measured(fin) | outside(Re, *FRICTION_RANGE))


@dataclass(frozen=True, eq=False)
class FinFriction:
    """Friction of one fin: everything but the Reynolds number worked out beforehand."""

    low_factor: Floats
    low_power: Floats
    high_factor: Floats
    high_power: Floats

    @classmethod
    def of(cls, fin: LouvredFin) -> "FinFriction":
        """Refuses a fin so thin that the law has no value."""
        Fp, Fl, Fd, t, Lp, Ll, angle, Tp, _, Dm = (
            np.asarray(getattr(fin, field.name)) for field in fields(fin)
        )
        if np.any(t <= THINNEST * Fp):
            raise ValueError(
                f"fin_thickness must be above a hundredth of fin_pitch, got {(t / Fp).min():.4g}: "
                "the friction law has no value there"
            )
        Dh, degrees = hydraulic_diameter(fin), np.degrees(angle)
        return cls(
            14.39 * np.log1p(Fp / Lp) ** 3.04 * np.log((t / Fp) ** 0.48 + 0.9) ** -1.435
            * (Dh / Lp) ** -3.01 * (Fp / Ll) ** -0.308 * (Fd / Ll) ** -0.308
            * np.exp(-0.1167 * Tp / Dm) * degrees**0.35,
            -0.805 * Fp / Fl,
            4.97 * np.log((t / Fp) ** 0.5 + 0.9) ** -0.527 * (Dh / Lp) ** -2.966
            * (Fp / Ll) ** (-0.7931 * Tp / (Tp - Dm)) * (Tp / Dm) ** -0.0446
            * np.log(1.2 + (Lp / Fp) ** 1.4) ** -3.553 * degrees**-0.477,
            0.6049 - 1.064 / degrees**0.2,
        )  # fmt: skip

    def low(self, reynolds: ArrayLike) -> Floats:
        """The form for Re below 150; it has a pole at 2."""
        Re = np.asarray(reynolds)
        return np.asarray(self.low_factor * Re**self.low_power * np.log(0.5 * Re) ** -3.01)

    def high(self, reynolds: ArrayLike) -> Floats:
        """The form for Re above 150."""
        Re = np.asarray(reynolds)
        return np.asarray(self.high_factor * Re**self.high_power * np.log(0.3 * Re) ** -2.966)

    def joined(self, reynolds: Floats, between: Floats) -> Floats:
        """The two forms, ``between`` them what the caller wants, and laminar at the low end."""
        Re = reynolds
        slow, fast = np.clip(Re, LAMINAR_UNTIL, LOW_UNTIL), np.maximum(Re, HIGH_FROM)
        laminar = self.low(slow) * slow / np.minimum(Re, slow)
        f = np.where(Re < LOW_UNTIL, laminar, between)
        return np.where(Re > HIGH_FROM, self.high(fast), f)

    def power_between(self) -> Floats:
        """Power of Re that leads from the low form's end to the high form's start."""
        return np.asarray(
            np.log(self.high(HIGH_FROM) / self.low(LOW_UNTIL)) / np.log(HIGH_FROM / LOW_UNTIL)
        )

    def lifted(self) -> "FinFriction":
        """Itself; where even `rising` would not rise, the high form lifted until it does."""
        missing = np.maximum(STEEPEST - self.power_between(), 0.0)
        lift = (HIGH_FROM / LOW_UNTIL) ** missing
        return replace(self, high_factor=np.asarray(self.high_factor * lift))

    def is_lifted(self) -> NDArray[np.bool_]:
        """Where `lifted` changes anything."""
        return np.asarray(self.power_between() < STEEPEST)

    def rising(self, reynolds: Floats) -> tuple[Floats, Floats]:
        """Factor and d ln f / d ln Re, such that f Re² always rises; see `cores`."""
        Re = reynolds
        power = self.power_between()
        f = self.joined(Re, self.low(LOW_UNTIL) * (Re / LOW_UNTIL) ** power)
        low = self.low_power - 3.01 / np.log(0.5 * np.clip(Re, LAMINAR_UNTIL, LOW_UNTIL))
        high = self.high_power - 2.966 / np.log(0.3 * np.maximum(Re, HIGH_FROM))
        slow = np.where(Re < LAMINAR_UNTIL, -1.0, low)
        return f, np.where(Re < LOW_UNTIL, slow, np.where(Re > HIGH_FROM, high, power))


def heat_factor(fin: LouvredFin) -> Floats:
    """Colburn factor without its power of the Reynolds number; see `colburn_factor`."""
    Fp, Fl, _, t, Lp, Ll, angle, Tp, Td, _ = (
        np.asarray(getattr(fin, field.name)) for field in fields(fin)
    )
    return np.asarray(
        (angle / (np.pi / 2)) ** 0.27 * (Fp / Lp) ** -0.14 * (Fl / Lp) ** -0.29
        * (Td / Lp) ** -0.23 * (Ll / Lp) ** 0.68 * (Tp / Lp) ** -0.28 * (t / Lp) ** -0.05
    )  # fmt: skip


def beyond_measured(fin: LouvredFin) -> NDArray[np.bool_]:
    """Where a size is outside those of the measured cores."""
    sizes = {name: getattr(fin, name) for name in GEOMETRY_RANGE if hasattr(fin, name)}
    sizes["hydraulic_diameter"] = hydraulic_diameter(fin)
    marks = [outside(np.asarray(sizes[name]), *span) for name, span in GEOMETRY_RANGE.items()]
    return np.asarray(np.logical_or.reduce(np.broadcast_arrays(*marks)))


def _wanted(size: ArrayLike, how: str, most: ArrayLike, name: str, limit: str) -> None:
    ratio = np.divide(size, most)
    if np.any(ratio >= 1) if how == "below" else np.any(ratio > 1):
        raise ValueError(f"{name} must be {how} {limit}, got {ratio.max():.3g} times it")
