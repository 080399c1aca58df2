"""The factor on a load at which something fails, where answers do not grow with the load."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from orthofem.errors import ModelError

SURE = 0.01
"""How near to failure the stress solved at the final factor is. [-]"""

STEPS = 16
"""Most solves of one load case beyond those of its load as given."""

FASTEST = 4.0
"""Most that a factor grows by in one step. [-]"""

BEYOND = 1e6
"""Factors above this count as infinite. [-]"""


@dataclass
class Grown:
    """What is known of one variant: how near to failure it is at some factors on its load.

    Parameters
    ----------
    factors, demands : list of float
        Factor on the load, and one over the reserve of the stress there. [-]
    """

    factors: list[float] = field(default_factory=list)
    demands: list[float] = field(default_factory=list)

    def add(self, factor: float, demand: float) -> None:
        """Keep one more solve, factors in order."""
        place = int(np.searchsorted(self.factors, factor))
        self.factors.insert(place, factor)
        self.demands.insert(place, demand)

    @property
    def found(self) -> int | None:
        """Place of a factor at which the stress fails, near enough; None if there is none yet."""
        away = np.abs(np.array(self.demands) - 1.0)
        away[np.array(self.factors) == 0.0] = np.inf
        near = int(away.argmin())
        return near if away[near] <= SURE else None

    @property
    def estimate(self) -> float:
        """Factor at which the demand is one, by the line through the nearest two solves.

        Examples
        --------
        >>> Grown([0.0, 1.0], [0.2, 0.6]).estimate
        2.0
        >>> Grown([0.0, 1.0], [0.2, 0.1]).estimate, Grown([0.0, 1.0], [0.0, 0.0]).estimate
        (4.0, inf)
        """
        r, g = np.array(self.factors), np.array(self.demands)
        if self.found is not None:
            place = self.found
            return float(r[place] * (1.0 - g[0]) / (g[place] - g[0]))
        above = np.flatnonzero(g >= 1.0)
        if not above.size:
            return self._beyond(r, g)
        high = int(above[0])
        if high == 0:
            return float(r[0])
        low = high - 1
        inside = (1.0 - g[low]) / (g[high] - g[low])
        return float(r[low] + np.clip(inside, 0.02, 0.98) * (r[high] - r[low]))

    @staticmethod
    def _beyond(r: np.ndarray, g: np.ndarray) -> float:
        if g[-1] <= 1.0 / BEYOND or r[-1] >= BEYOND:
            return np.inf
        slope = (g[-1] - g[-2]) / (r[-1] - r[-2])
        step = (1.0 - g[-1]) / slope if slope > 0 else np.inf
        return float(min(r[-1] + step, FASTEST * r[-1]))


def lowest_factor(
    variants: Sequence[Grown], demand: Callable[[int, float], float], case: str
) -> tuple[int, float]:
    """Variant that fails first as its load grows, and the factor.

    The variant that looks nearest to failure is solved at the factor where it looks to fail, until
    the one that looks nearest does fail there.

    Parameters
    ----------
    variants : sequence of Grown
        Each known without its load and at its load as given; solves are added.
    demand : callable
        From variant and factor to one over the reserve of the stress there.
    case : str
        Title of the load case, for the message.

    Returns
    -------
    variant : int
    factor : float
        Infinite where the load breaks nothing.

    Raises
    ------
    ModelError
        If it is not found within `STEPS` solves.
    """
    for _ in range(STEPS):
        estimates = [variant.estimate for variant in variants]
        first = int(np.argmin(estimates))
        grown, factor = variants[first], estimates[first]
        if grown.found is not None or not np.isfinite(factor) or factor == 0.0:
            return first, factor
        grown.add(factor, demand(first, factor))
    told = ", ".join(
        f"{d:.3g} at {f:.3g}" for f, d in zip(grown.factors, grown.demands, strict=True)
    )
    raise ModelError(
        f"The factor on '{case}' at which something fails was not found in {STEPS} solves; how "
        f"near to failure it came: {told} times the load. Pieces snap from one place to another "
        "there; judge smaller loads, or less clearance."
    )
