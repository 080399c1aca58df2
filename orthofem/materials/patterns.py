"""Infill patterns: what a thin-walled cell keeps of the solid print, in closed form."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from orthofem.materials.values import NOT_A_CHECK_VALUE

CELLULAR = "Gibson LJ, Ashby MF 1997, Cellular Solids, 2nd ed. (M-h)"


@dataclass(frozen=True)
class Shares:
    """What an infill keeps of the solid print, each as a factor on the solid value.

    Parameters
    ----------
    E, nu, G : float
        In-plane modulus [of E], Poisson ratio [-], in-plane shear modulus [of E].
    E_z, G_z : float
        Modulus along the build axis [of E_z], shear modulus between layers [of G_zp].
    s, s_shear : float
        In-plane strength, and in-plane shear strength [both of the in-plane strength].
    s_z, s_layer : float
        Strength along the build axis [of Zt], shear strength between layers [of S13].
    """

    E: float
    nu: float
    G: float
    E_z: float
    G_z: float
    s: float
    s_shear: float
    s_z: float
    s_layer: float


@dataclass(frozen=True)
class Pattern:
    """An infill pattern.

    Parameters
    ----------
    title : str
        Plain words.
    shares : callable of (density, nu) -> Shares
        Closed form.
    square : bool
        Whether the layer has the symmetry of a square (else alike in all its directions).
    grade : str
        Weakest grade of the form.
    source, validity : str
        Where it comes from, and where it holds.
    """

    title: str
    shares: Callable[[float, float], Shares]
    square: bool
    grade: str
    source: str
    validity: str


def _grid(r: float, nu: float) -> Shares:
    """Square grid, axes along the walls: walls stretch; in shear they bend."""
    return Shares(r / 2, nu * r / 2, r**3 / 16, r, r / 2, r / 2, r**2 / 12, r, r / 2)


def _triangles(r: float, nu: float) -> Shares:
    """Equilateral triangles: walls stretch in every direction."""
    return Shares(r / 3, 1 / 3, r / 8, r, r / 2, r / 3, r / 4, r, r / 2)


def _hexagon(r: float, nu: float) -> Shares:
    """Regular hexagons: walls bend. Poisson ratio with stretch and shear of the walls."""
    slender = (r * math.sqrt(3.0) / 2.0) ** 2
    poisson = (1 + (1.4 + 1.5 * nu) * slender) / (1 + (5.4 + 1.5 * nu) * slender)
    E = 1.5 * r**3
    shear = E / (2 * (1 + poisson))
    return Shares(E, poisson, shear, r, r / 2, 0.5 * r**2, 0.5 * r**2 / 2, r, r / 2)


def _gyroid(r: float, nu: float) -> Shares:
    """Sheet gyroid, nearly isotropic."""
    E, s = 0.75 * r**1.6, 0.75 * r**1.5
    return Shares(E, 0.33, E / (2 * 1.33), E, E, s, s / 2, s, s)


def _rectilinear(r: float, nu: float) -> Shares:
    """Parallel lines, crossed from layer to layer: they touch at the crossings only."""
    return Shares(r / 2, nu * r / 2, r**3 / 16, r**2, r**2, r / 2, r**2 / 12, r**2, r**2)


_SHEAR = "shear: bending (grid) or stretching of the walls (D)"
PATTERNS = {
    "grid": Pattern(
        "square grid, axes 1 and 2 along the walls",
        _grid,
        True,
        "M-h",
        f"{CELLULAR}: E r/2, at 45 degrees r^3/4, along z r; {_SHEAR}",
        "thin walls",
    ),
    "triangles": Pattern(
        "equilateral triangles",
        _triangles,
        False,
        "M-h",
        f"{CELLULAR}: E r/3, G r/8, nu 1/3, along z r; {_SHEAR}",
        "thin walls",
    ),
    "hexagon": Pattern(
        "regular hexagons",
        _hexagon,
        False,
        "M-h",
        f"{CELLULAR}: E 1.5 r^3, strength 0.5 r^2, along z r; nu with stretch and shear of the "
        "walls (thin-wall limit 1 is no material)",
        "thin walls; a cell calculation gives 10 to 20 % more at r = 0.2",
    ),
    "gyroid": Pattern(
        "gyroid (sheet)",
        _gyroid,
        False,
        "M-l",
        "C r^n with C 0.6 to 0.9, n 1.4 to 1.8, from memory; nearly isotropic is published "
        "(Appl. Sci. 12(4):2180, 2022)",
        f"{NOT_A_CHECK_VALUE}: fit by homogenisation before use",
    ),
    "rectilinear": Pattern(
        "parallel lines, crossed from layer to layer",
        _rectilinear,
        True,
        "E",
        "estimate: in the layer as a square grid, along z r^2 (crossings only)",
        "rough",
    ),
}
