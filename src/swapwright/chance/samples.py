"""One stratified sample of everything that is uncertain.

Every input has a column of its own, made from its id and the seed alone: a new
input, or another order of asking, leaves all other columns as they were. Latin
hypercube columns keep that promise. Sobol points do not: an input would have to
find its dimension by a hash, two hundred inputs in the 21,201 known dimensions
share one more often than not, and two scramblings of one dimension correlate
by up to three quarters.
"""

from dataclasses import dataclass
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LARGEST = 2**20  # samples; beyond it the last stratum would round to 1
_PERSON = b"chance sample"  # sets these hashes apart from any others of the same ids


@dataclass(frozen=True, slots=True)
class Sample:
    """As many equally likely worlds as ``size`` says, the same for the same seed.

    Parameters
    ----------
    size : int, default 1024
        1 is the world in which everything is at its median.
    seed : int, default 0
        Another seed gives another sample; two that disagree tell the sampling error.

    Raises
    ------
    ValueError
        If the size is not between 1 and 1,048,576, or the seed is negative.

    References
    ----------
    .. [1] McKay, Beckman, Conover 1979, Technometrics 21(2): 239-245 (Latin
       hypercube sampling).
    """

    size: int = 1024
    seed: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.size <= LARGEST:
            raise ValueError(f"size must be between 1 and {LARGEST}, got {self.size}")
        if self.seed < 0:
            raise ValueError(f"seed must not be negative, got {self.seed}")

    def uniform(self, name: str) -> Floats:
        """Column of one input, uniform between 0 and 1.

        Parameters
        ----------
        name : str
            Id of the input.

        Returns
        -------
        chances : (S,)
            One value in each of S equal strata, at a random place in it, in random
            order; never 0 or 1. Exactly 0.5 where S is 1.

        Raises
        ------
        ValueError
            If the id is empty: all nameless inputs would share a column.
        """
        if not name:
            raise ValueError("an input needs an id")
        if self.size == 1:
            return np.array([0.5])
        draws = self._draws(name)
        # Raw bits and our own arithmetic: what numpy makes of them may change by release.
        order = np.argsort(draws[: self.size], kind="stable")
        place = ((draws[self.size :] >> np.uint64(32)).astype(np.float64) + 0.5) * 2.0**-32
        return np.asarray((order + place) / self.size)

    def _draws(self, name: str) -> NDArray[np.uint64]:
        words = f"{self.seed}\0{name}".encode()
        key = int.from_bytes(blake2b(words, digest_size=16, person=_PERSON).digest(), "big")
        return np.asarray(np.random.Philox(key=key).random_raw(2 * self.size), dtype=np.uint64)
