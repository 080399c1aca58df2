"""Stiffness and inertia of a beam's sections, as functions of the place along it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from orthofem.errors import check_finite

SHEAR_SHARE = 0.9
"""Shear coefficient of a solid round section: 6(1 + nu)/(7 + 6 nu), Cowper 1966 (M-h)."""

NAMES = ("EA", "GAy", "GAz", "GJ", "EIy", "EIz")


def _massless(x: np.ndarray) -> np.ndarray:
    return np.zeros((2, np.size(x)))


@dataclass(frozen=True)
class Sections:
    """What the sections of a beam along x are made of, at any place.

    Parameters
    ----------
    stiffness : callable
        Places of shape (n,) [mm] to (6, n): EA, GAy, GAz (shear coefficient included) [N],
        GJ, EIy, EIz [N mm2], in the order of the section resultants that they resist. Only the
        shear stiffness may be infinite.
    inertia : callable, optional
        Places of shape (n,) to (2, n): mass per length [kg/mm] and polar inertia per length
        [kg mm]. Without it the beam has no mass.
    breaks : tuple of float, optional
        Places where the stiffness jumps or has a kink. [mm]
    """

    stiffness: Callable[[np.ndarray], np.ndarray]
    inertia: Callable[[np.ndarray], np.ndarray] = _massless
    breaks: tuple[float, ...] = ()

    def at(self, x: ArrayLike) -> np.ndarray:
        """Stiffness (6, n) at places (n,), checked.

        Raises
        ------
        ValueError
            If the shape is wrong, or an entry is not above zero, or infinite where it may not.
        """
        places = np.asarray(x, dtype=float).reshape(-1)
        values = np.asarray(self.stiffness(places), dtype=float)
        if values.shape != (6, places.size):
            raise ValueError(
                f"section stiffness has shape {values.shape} at {places.size} places; it must be "
                f"(6, {places.size}): {', '.join(NAMES)}."
            )
        may_be_infinite = np.array([False, True, True, False, False, False])[:, None]
        bad = ~((values > 0) & (np.isfinite(values) | (may_be_infinite & np.isposinf(values))))
        if bad.any():
            row, place = (int(i) for i in np.argwhere(bad)[0])
            raise ValueError(
                f"{NAMES[row]} = {values[row, place]:g} at {places[place]:g} mm; a section's "
                "stiffness must be above zero and finite (only GAy and GAz may be infinite)."
            )
        return values


def round_stiffness(
    E: ArrayLike, G: ArrayLike, diameter: ArrayLike, bore: ArrayLike = 0.0
) -> np.ndarray:
    """Stiffness of a round section of one material.

    Parameters
    ----------
    E, G : array_like of shape (...)
        Young's modulus along the beam and shear modulus across it. [MPa]
    diameter, bore : array_like of shape (...)
        Outer and inner diameter. [mm]

    Returns
    -------
    stiffness : ndarray of shape (6, ...)
        EA, GAy, GAz [N], GJ, EIy, EIz [N mm2].

    References
    ----------
    .. [1] Strength of materials (D); shear coefficient of the solid circle, Cowper 1966 (M-h),
       taken for a bored one as well (E): a thin tube would have 0.5.

    Examples
    --------
    >>> round_stiffness(3000.0, 1000.0, 20.0).round()
    array([  942478.,   282743.,   282743., 15707963., 23561945., 23561945.])
    """
    outer, inner, young, rigidity = (np.asarray(v, float) for v in (diameter, bore, E, G))
    area = math.pi / 4.0 * (outer**2 - inner**2)
    inertia = math.pi / 64.0 * (outer**4 - inner**4)
    shear, bending = SHEAR_SHARE * rigidity * area, young * inertia
    rows = (young * area, shear, shear, 2.0 * rigidity * inertia, bending, bending)
    return np.stack(np.broadcast_arrays(*rows))


def uniform_sections(
    stiffness: ArrayLike, line_mass: float = 0.0, line_polar: float = 0.0
) -> Sections:
    """One section all along.

    Parameters
    ----------
    stiffness : array_like of shape (6,)
        EA, GAy, GAz [N], GJ, EIy, EIz [N mm2].
    line_mass, line_polar : float
        Mass per length [kg/mm] and polar inertia per length [kg mm].
    """
    return stepped_sections((), np.asarray(stiffness, float)[:, None], (line_mass,), (line_polar,))


def stepped_sections(
    steps: Sequence[float],
    stiffness: ArrayLike,
    line_mass: Sequence[float] | None = None,
    line_polar: Sequence[float] | None = None,
) -> Sections:
    """Sections that change at steps and are constant between them.

    Parameters
    ----------
    steps : sequence of n - 1 float
        Where the section changes, increasing. [mm]
    stiffness : array_like of shape (6, n)
        EA, GAy, GAz [N], GJ, EIy, EIz [N mm2] of each section.
    line_mass, line_polar : sequence of n float, optional
        Mass [kg/mm] and polar inertia [kg mm] per length of each section.

    Raises
    ------
    ValueError
        If the steps do not increase, or the numbers of steps and sections do not fit.
    """
    edges = check_finite("steps", steps).reshape(-1)
    table = np.asarray(stiffness, dtype=float)
    if table.shape != (6, edges.size + 1) or (np.diff(edges) <= 0).any():
        raise ValueError(
            f"{edges.size} steps at {edges.tolist()} mm and stiffness of shape {table.shape}; give "
            f"steps that increase and one column more than steps: (6, {edges.size + 1})."
        )
    none = np.zeros(edges.size + 1)
    inertia = np.stack(
        [none if v is None else np.asarray(v, float) for v in (line_mass, line_polar)]
    )

    def pick(values: np.ndarray) -> Callable[[np.ndarray], np.ndarray]:
        return lambda x: values[:, np.searchsorted(edges, x, side="right")]

    return Sections(pick(table), pick(inertia), tuple(edges.tolist()))
