"""How much a fillet raises the stress of a shaft: a handbook's fit, raised by its known error."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from orthofem.parts.joints import NotchFactor

from .piece import Neck

# rows: constant, square root of x, x; columns C1 to C4; x = step/fillet (S)
_FITS = {
    "tension": (
        (2.0, ((.926, 1.157, -.099), (.012, -3.036, .961), (-.302, 3.977, -1.744),
               (.365, -2.098, .878))),
        (20.0, ((1.200, .860, -.022), (-1.805, -.346, -.038), (2.198, -.486, .165),
                (-.593, -.028, -.106))),
    ),
    "bending": (
        (2.0, ((.947, 1.206, -.131), (.022, -3.405, .915), (.869, 1.777, -.555),
               (-.810, .422, -.260))),
        (20.0, ((1.232, .832, -.008), (-3.813, .968, -.260), (7.423, -4.868, .869),
                (-3.839, 3.070, -.600))),
    ),
    "torsion": (
        (4.0, ((.905, .783, -.075), (-.437, -1.969, .553), (1.557, 1.073, -.578),
               (-1.061, .171, .086))),
    ),
}  # fmt: skip
LEAST = {"tension": 0.1, "bending": 0.1, "torsion": 0.25}
RAISED = {"tension": 1.15, "bending": 1.07, "torsion": 1.0}
"""By how much the true factor (F) exceeds the fit at most, in the five rows of NOTCH-1."""
SOURCE = (
    "fit of Peterson's handbook as quoted by public calculators (S), raised by its largest "
    "shortfall against verification case NOTCH-1 (F): true factors are 7 to 13 % above it in "
    "tension, 0.5 to 7 % in bending, 2 to 6 % below it in torsion; printed material 3 to 4 % less"
)


@dataclass(frozen=True)
class FilletEstimate:
    """Stress at a fillet over the nominal stress of the thin side.

    Parameters
    ----------
    tension, bending, torsion : NotchFactor
    within : bool
        Whether the shape lies in the fit's range. Blunter shapes get the factor of its blunt end;
        for sharper ones the fit is drawn on beyond its range.
    """

    tension: NotchFactor
    bending: NotchFactor
    torsion: NotchFactor
    within: bool

    @property
    def scale(self) -> np.ndarray:
        """Factor for the stress of each section resultant (6,): forces across the axis have 1."""
        t, b, s = self.tension.value, self.bending.value, self.torsion.value
        return np.array([t, 1.0, 1.0, s, b, b])


def fillet_fit(load: str, wide: float, thin: float, fillet: float) -> float:
    """Stress concentration of a shoulder fillet in a round bar, as the handbook fits it.

    Parameters
    ----------
    load : {"tension", "bending", "torsion"}
    wide, thin, fillet : float
        Diameters and radius. [mm]

    Returns
    -------
    factor : float
        Peak over nominal stress of the thin side. [-]

    Notes
    -----
    Step over fillet 0.1 to 20, in torsion 0.25 to 4. A blunter shape gets the factor of the
    blunt end, for a sharper one the formula is used beyond its range.

    References
    ----------
    .. [1] Peterson's Stress Concentration Factors, 2008, as quoted by public calculators (S).

    Examples
    --------
    >>> [round(fillet_fit(load, 24, 12, 1.2), 3) for load in ("tension", "bending", "torsion")]
    [1.965, 1.802, 1.479]
    """
    step = (wide - thin) / 2.0
    x = max(step / fillet, LEAST[load])
    rows = next((rows for top, rows in _FITS[load] if x <= top), _FITS[load][-1][1])
    y = 2.0 * step / wide
    return sum((a + b * math.sqrt(x) + c * x) * y**power for power, (a, b, c) in enumerate(rows))


def fillet_estimate(neck: Neck) -> FilletEstimate:
    """Raise the stress of a neck's thin side by what its fillet adds; an estimate.

    Parameters
    ----------
    neck : Neck
    """
    ratio = (neck.wide - neck.thin) / 2.0 / neck.fillet
    made = {
        load: NotchFactor(
            max(1.0, RAISED[load] * fillet_fit(load, neck.wide, neck.thin, neck.fillet)),
            "S",
            SOURCE,
        )
        for load in _FITS
    }
    within = max(LEAST.values()) <= ratio <= min(rows[-1][0] for rows in _FITS.values())
    return FilletEstimate(**made, within=within)
