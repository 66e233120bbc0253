"""Limits of play, stretch and step; all common practice from memory, save where one is named."""

from math import inf

from swapwright.crossings.comparing import EDGE, MM, Band, Verdict


def hose_bands(bore: float, tight: float = 1.0 * MM, stretch: float = 3.0 * MM) -> tuple[Band, ...]:
    """Limits for a hose of some bore over a barrel; small hoses stretch and give less."""
    loose = min(0.5 * MM, 0.05 * bore)
    slack = min(1.0 * MM, 0.10 * bore)
    return (
        Band(-slack - 2 * EDGE, Verdict.NOT, "hose {second} is too wide for {first}"),
        Band(-loose - 2 * EDGE, Verdict.WARNING, "hose {second} is loose on {first}"),
        Band(min(tight, 0.15 * bore), Verdict.MATES, "hose {second} over {first}"),
        Band(
            min(stretch, 0.25 * bore),
            Verdict.WARNING,
            "hose {second} has to be stretched by {difference} over {first}",
        ),
        Band(inf, Verdict.NOT, "hose {second} does not stretch by {difference} over {first}"),
    )


def step_bands(smaller: float, free: float, most: float, what: str) -> tuple[Band, ...]:
    """Limits for two rounds joined by one straight piece, the same both ways."""
    free, most = min(free, 0.15 * smaller), min(most, 0.25 * smaller)
    no = f"{what} does not bridge {{difference}}: a reducer {{larger}} to {{smaller}} lies between"
    warn = f"{what} has to be stretched by {{difference}} from {{smaller}} to {{larger}}"
    return (
        Band(-most - 2 * EDGE, Verdict.NOT, no),
        Band(-free - 2 * EDGE, Verdict.WARNING, warn),
        Band(free, Verdict.MATES, f"{what} of {{smaller}} over {{smaller}} and {{larger}}"),
        Band(most, Verdict.WARNING, warn),
        Band(inf, Verdict.NOT, no),
    )


def within(limit: float, same: str, differ: str, wide: float = 0.0) -> tuple[Band, ...]:
    """Equal to within a limit, with a warning up to a wider one."""
    edge = max(limit, wide)
    warn = differ + ": force or a shim would be needed"
    return (
        Band(-edge - 2 * EDGE, Verdict.NOT, differ),
        Band(-limit - 2 * EDGE, Verdict.WARNING, warn),
        Band(limit, Verdict.MATES, same),
        Band(edge, Verdict.WARNING, warn),
        Band(inf, Verdict.NOT, differ),
    )


SLIP = (
    Band(0.0 - 2 * EDGE, Verdict.NOT, "pipe {second} does not go into {first}"),
    Band(0.2 * MM - 2 * EDGE, Verdict.WARNING, "pipe {second} goes into {first} with force only"),
    Band(1.0 * MM, Verdict.MATES, "pipe {second} slips into {first}, play {difference}"),
    Band(1.5 * MM, Verdict.WARNING, "pipe {second} is loose in {first}, play {difference}"),
    Band(inf, Verdict.NOT, "pipe {second} is too loose in {first}, play {difference}"),
)
NIPPLE = (
    Band(0.0 - 2 * EDGE, Verdict.NOT, "nipple {second} does not go into its seat {first}"),
    Band(0.5 * MM, Verdict.MATES, "nipple {second} in seat {first}"),
    Band(1.0 * MM, Verdict.WARNING, "nipple {second} is loose in seat {first}"),
    Band(inf, Verdict.NOT, "nipple {second} can slip through seat {first}"),
)
CIRCLE = within(0.5 * MM, "same bolt circle", "bolt circles differ by {difference}", 1.0 * MM)
BORE_STEP = (
    Band(-3.0 * MM - 2 * EDGE, Verdict.WARNING, "passage steps by {difference} at the joint"),
    Band(3.0 * MM, Verdict.MATES, "passages agree to {difference}"),
    Band(inf, Verdict.WARNING, "passage steps by {difference} at the joint"),
)
QUICK = within(
    0.15 * MM, "one size: {larger} and {smaller}", "sizes differ: {larger} and {smaller}"
)
BLADE = within(
    0.15 * MM, "same width: {smaller}", "blades of different width: {larger} and {smaller}"
)
SQUARE = within(
    0.15 * MM, "same square: {smaller}", "squares of different size: {larger} and {smaller}"
)
TUBE = within(0.2 * MM, "same tube: {smaller}", "tubes of different size: {larger} and {smaller}")
SPLINES = within(
    0.3 * MM, "same diameter: {smaller}", "splines of different diameter: {larger} and {smaller}"
)
PIN = within(0.3 * MM, "same size: {smaller}", "{larger} and {smaller} differ", 1.0 * MM)
SHARED_THREAD = "tubes of {larger} and {smaller} share this thread: see that the nut suits"
FLARED_TUBE = (
    Band(-0.3 * MM - 2 * EDGE, Verdict.WARNING, SHARED_THREAD),
    Band(0.3 * MM, Verdict.MATES, "same tube: {smaller}"),
    Band(inf, Verdict.WARNING, SHARED_THREAD),
)


def eyelet_bands(stud: float) -> tuple[Band, ...]:
    """Play of an eyelet on a stud; ISO 273 medium allows up to 1 mm to M10 (from memory)."""
    return (
        Band(0.0 - 2 * EDGE, Verdict.NOT, "hole {first} does not go over {second}"),
        Band(max(1.1 * MM, 0.15 * stud), Verdict.MATES, "hole {first} over {second}"),
        Band(2.0 * MM, Verdict.WARNING, "hole {first} is wide for {second}: little face to clamp"),
        Band(inf, Verdict.NOT, "hole {first} is too wide for {second}"),
    )
