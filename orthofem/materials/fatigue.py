"""Strength against the number of repeats."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_between, check_finite
from orthofem.tensors import FloatArray


@dataclass(frozen=True)
class RepeatCurve:
    """Power law of the largest stress of a cycle against the number of cycles.

    Parameters
    ----------
    title : str
        Material and test.
    stress : float
        Largest stress borne `cycles` times by half of the specimens. [MPa]
    cycles : float
        Reference number of cycles. [-]
    slope : float
        Inverse slope k. [-]
    scatter : float
        Ratio of the strengths at 10 and 90 % survival. [-]
    static : float
        Tensile strength of the same specimens. [MPa]
    grade, source, validity : str
        Evidence.

    Examples
    --------
    >>> round(float(PLA_REPEATED.largest_stress(1e6)), 2)
    12.27
    """

    title: str
    stress: float
    cycles: float
    slope: float
    scatter: float
    static: float
    grade: str
    source: str
    validity: str

    def largest_stress(self, cycles: ArrayLike, survival: float = 0.5) -> FloatArray:
        """Largest stress of the cycle that a share of specimens bears.

        Parameters
        ----------
        cycles : array_like
            Number of cycles, above zero. [-]
        survival : float
            0.5, 0.9 or 0.1. [-]

        Returns
        -------
        stress : ndarray
            Largest stress; the mean stress makes no further difference. [MPa]

        Raises
        ------
        ValueError
            If cycles are not above zero, or the survival is another.
        """
        count = check_finite("cycles", cycles)
        if (count <= 0).any():
            raise ValueError(f"cycles = {count.min():g}; a number of cycles is above zero.")
        shift = {0.5: 1.0, 0.9: 1.0 / math.sqrt(self.scatter), 0.1: math.sqrt(self.scatter)}
        if survival not in shift:
            raise ValueError(f"survival = {survival:g}; choose one of: 0.1, 0.5, 0.9.")
        return self.stress * shift[survival] * (self.cycles / count) ** (1.0 / self.slope)

    def bearable_cycles(self, largest_stress: float, survival: float = 0.5) -> float:
        """Number of cycles that a share of the specimens bears at a largest stress [-].

        Parameters
        ----------
        largest_stress : float
            Largest stress of the cycle, above zero, at most the static strength. [MPa]
        survival : float
            0.5, 0.9 or 0.1. [-]

        Raises
        ------
        ValueError
            If the stress is out of range, or the survival is another.
        """
        check_between("largest stress", largest_stress, 1e-9, self.static, "MPa")
        borne = float(self.largest_stress(self.cycles, survival))
        return float(self.cycles * np.power(borne / largest_stress, self.slope))

    def share_of_strength(self, cycles: ArrayLike, survival: float = 0.5) -> FloatArray:
        """Largest stress that a share of specimens bears over their tensile strength [-].

        Parameters
        ----------
        cycles : array_like
            Number of cycles, above zero. [-]
        survival : float
            0.5, 0.9 or 0.1. [-]

        Examples
        --------
        >>> round(float(PLA_REPEATED.share_of_strength(2e6, 0.9)), 3)
        0.204
        """
        return self.largest_stress(cycles, survival) / self.static


PLA_REPEATED = RepeatCurve(
    "PLA, flat, raster 45 degrees, 100 % infill",
    stress=11.1,
    cycles=2e6,
    slope=6.9,
    scatter=1.604,
    static=42.9,
    grade="P",
    source="Ezeh OH, Susmel L 2018, Procedia Struct. Integrity 13:728-734",
    validity="in the layer plane only; across layers nothing is published",
)
REPEATED = {"pla": PLA_REPEATED}

ACROSS_UNPROVEN = (
    "estimate: the same share of the strength across layers and the same slope as in the layer; "
    "S-N data of pin-loaded PLA holes at all print angles fall together over static strength "
    "(P: Materials 17(22):5394, 2024), but no cycle across plain layers is published"
)
TESTED_RATIOS = (-1.0, 0.3)
"""Smallest over largest stress of the cycles tested, pooled on the largest. [-]"""

INFILL_FILLS = (0.2, 0.4, 0.6, 0.8, 1.0)
INFILL_STRENGTHS = {
    "R = -1, 0/90 degrees": (1.6, 1.3, 2.4, 2.8, 6.3),
    "R = -1, +-45 degrees": (1.8, 2.6, 2.7, 3.8, 5.5),
    "R = 0.1, 0/90 degrees": (0.8, 0.9, 1.7, 2.5, 3.9),
}
"""Fatigue strength at 2e6 cycles by fill (P): only its ratios to solid are used. [MPa]"""
INFILL_SOURCE = (
    "Yaren MF et al. 2026, Procedia Struct. Integrity 76:99-106, table 1; ratios only; polymer not "
    "named, presumably PLA"
)


def infill_share(fill: float) -> float:
    """Fatigue strength of an infill over that of a solid print, the lowest of three series.

    Parameters
    ----------
    fill : float
        Share of the volume that is filled, 0.2 to 1. [-]

    Returns
    -------
    share : float
        Between the fills tested on a straight line. [-]

    Raises
    ------
    ValueError
        If the fill was not tested.

    References
    ----------
    .. [1] Yaren MF et al. 2026, Procedia Struct. Integrity 76:99-106, table 1. Grade D(P): ratios
       of published numbers; the polymer is presumed to be PLA.

    Examples
    --------
    >>> round(infill_share(0.6), 3), round(infill_share(0.2), 3)
    (0.381, 0.205)
    """
    check_between("fill", fill, INFILL_FILLS[0], INFILL_FILLS[-1])
    series = np.array(list(INFILL_STRENGTHS.values()))
    lowest = (series / series[:, -1:]).min(axis=0)
    return float(np.interp(fill, INFILL_FILLS, lowest))


def infill_power(fill: ArrayLike, exponent: float = 1.4) -> FloatArray:
    """Fatigue strength of an infill over that of a solid print, as one power of its fill.

    Parameters
    ----------
    fill : array_like
        Share of the volume that is filled, above 0 to 1. [-]
    exponent : float
        Fitted to the series at R = 0.1, 0/90 degrees; misses it by up to 0.11. [-]

    Returns
    -------
    share : ndarray
        ``r^n``. [-]

    Raises
    ------
    ValueError
        If a fill is not above 0 and at most 1.

    Examples
    --------
    >>> infill_power([0.8, 0.4]).round(2)
    array([0.73, 0.28])
    """
    r = check_finite("fill", fill)
    if (r <= 0).any() or (r > 1).any():
        raise ValueError(f"fill = {r.tolist()}; give shares of the volume above 0 and up to 1.")
    return r**exponent
