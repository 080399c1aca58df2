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

    def bearable_cycles(self, largest_stress: float) -> float:
        """Number of cycles that half of the specimens bear at a largest stress [-].

        Parameters
        ----------
        largest_stress : float
            Largest stress of the cycle, above zero, at most the static strength. [MPa]
        """
        check_between("largest stress", largest_stress, 1e-9, self.static, "MPa")
        return float(self.cycles * np.power(self.stress / largest_stress, self.slope))


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
