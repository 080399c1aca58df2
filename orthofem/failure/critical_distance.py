"""Theory of critical distances: a hot spot read at, along or round one material length."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.sparse import csr_array
from scipy.spatial import cKDTree

from orthofem.errors import check_finite, check_positive
from orthofem.failure.hotspot import averaging
from orthofem.failure.least_squares import fitted
from orthofem.tensors import FloatArray

Profile = Callable[[FloatArray], FloatArray]

DEPTH = 0.5
"""Depth of the point form over the material length: Taylor 2009 (P, as quoted). [-]"""

REACH = 2.0
"""Length of the line form over the material length: Taylor 2009 (P, as quoted). [-]"""

BALL = 0.5
"""Radius of the volume form's ball over the material length: E. [-]

Round the front of a crack at its toughness the mean of the opening stress over that ball is 1.098
times the strength (D, see Notes of `volume_form`): 10 % on the careful side."""

_STEPS = 8
_KEPT = (1.0, 0.75, 0.5, 0.25, 0.0)


@dataclass(frozen=True)
class RegionField:
    """Sample points of one region, and its own surface.

    Parameters
    ----------
    points : ndarray of shape (3, n)
        Places where the stress is known. [mm]
    volumes : ndarray of shape (n,)
        Volume that each stands for. [mm³]
    surface : ndarray of shape (3, k)
        Points of the region's surface, borders to other regions included. [mm]
    inward : ndarray of shape (3, k)
        Unit normals there, into the region.
    """

    points: FloatArray
    volumes: FloatArray
    surface: FloatArray
    inward: FloatArray

    def __post_init__(self):
        for name, other in (("volumes", self.points[0]), ("inward", self.surface)):
            if np.shape(getattr(self, name)) != np.shape(other):
                raise ValueError(
                    f"{name} has shape {np.shape(getattr(self, name))}; it must be "
                    f"{np.shape(other)}, one for each point."
                )
        if not self.surface.shape[1]:
            raise ValueError("The region has no surface points; give at least one.")

    def directions(self, places: FloatArray) -> FloatArray:
        """Into the material from each place (3, m): the normal of the nearest surface point."""
        return self.inward[:, cKDTree(self.surface.T).query(places.T)[1]]

    def holds(self, places: FloatArray, slack: float) -> NDArray[np.bool_]:
        """Which places (3, m) lie in the region, or outside it by less than `slack` mm."""
        near = cKDTree(self.surface.T).query(places.T)[1]
        depth = ((places - self.surface[:, near]) * self.inward[:, near]).sum(axis=0)
        return depth >= -slack


def critical_length(toughness: float, strength: float) -> float:
    """Material length of a crack that breaks at its toughness.

    Parameters
    ----------
    toughness : float
        Fracture toughness. [MPa sqrt(mm)]
    strength : float
        Inherent strength; for printed polymers it may lie above the tensile strength. [MPa]

    Returns
    -------
    length : float
        (toughness / strength)² / pi. [mm]

    References
    ----------
    Whitney JM, Nuismer RJ 1974, J. Compos. Mater. 8:253-265 (S); Taylor 2009 (P, as quoted).

    Examples
    --------
    >>> round(critical_length(94.868, 60.0), 6)
    0.795769
    """
    toughness = check_positive("toughness", toughness, "MPa sqrt(mm)")
    return (toughness / check_positive("strength", strength, "MPa")) ** 2 / np.pi


def point_value(profile: Profile, length: float) -> float:
    """Stress of a profile at half of the material length from the hot spot.

    Parameters
    ----------
    profile : callable
        Distances into the material of shape (n,) [mm] to stresses of shape (n,) [MPa].
    length : float
        Material length. [mm]

    Examples
    --------
    >>> round(point_value(lambda r: 3.0 / np.sqrt(2 * np.pi * r), 1 / np.pi), 9)
    3.0
    """
    at = DEPTH * check_positive("material length", length, "mm")
    return float(np.asarray(profile(np.array([at])))[0])


def line_value(profile: Profile, length: float, steps: int = 24) -> float:
    """Mean stress of a profile over twice the material length from the hot spot.

    Exact to round-off for smooth profiles and for the inverse root of the distance: the steps
    run in the root of the distance.

    Parameters
    ----------
    profile : callable
        Distances into the material of shape (n,) [mm] to stresses of shape (n,) [MPa].
    length : float
        Material length. [mm]
    steps : int
        Places along the line.

    Examples
    --------
    >>> round(line_value(lambda r: 3.0 / np.sqrt(2 * np.pi * r), 1 / np.pi), 9)
    3.0
    """
    share, weight = _line(steps)
    at = REACH * check_positive("material length", length, "mm") * share
    return float(weight @ np.asarray(profile(at)))


def volume_form(
    field: RegionField, places: ArrayLike, length: float
) -> tuple[csr_array, NDArray[np.int64]]:
    """Mean over a ball of half the material length, as far as the region fills it.

    Parameters
    ----------
    field : RegionField
    places : array_like of shape (3, m)
        Where to read, usually nodes. [mm]
    length : float
        Material length. [mm]

    Returns
    -------
    weights : csr_array of shape (m, n)
        Each row sums to 1. [-]
    held : ndarray of int of shape (m,)
        Sample points in the ball.

    Notes
    -----
    Round the front of a crack with the opening stress K/sqrt(2 pi r) cos(t/2) (1 + sin(t/2)
    sin(3t/2)), the mean over a ball of radius R is (2/3)(24/5) B(1/2, 7/4) / (4 pi/3) =
    1.0984 times K/sqrt(2 pi R) (D): the strength itself at R = 0.603 of the length.
    """
    group = np.zeros(field.points.shape[1], int)
    places = _places(places)
    at = np.zeros(places.shape[1], int)
    radius = BALL * check_positive("material length", length, "mm")
    return averaging(field.points, field.volumes, group, radius, places, at)


def point_form(
    field: RegionField, places: ArrayLike, length: float
) -> tuple[csr_array, NDArray[np.int64]]:
    """Stress at half the material length from each place into the material.

    Where a wall is thinner than that, as deep as the region goes.

    Parameters
    ----------
    field : RegionField
    places : array_like of shape (3, m)
        Where to read, usually nodes. [mm]
    length : float
        Material length. [mm]

    Returns
    -------
    weights : csr_array of shape (m, n)
        Each row sums to 1; a linear field is read exactly. [-]
    held : ndarray of int of shape (m,)
        Sample points within that depth of the place: how fine the mesh is there.

    References
    ----------
    Whitney JM, Nuismer RJ 1974, J. Compos. Mater. 8:253-265 (S, as quoted): d0 is this depth.
    """
    places = _places(places)
    depth = DEPTH * check_positive("material length", length, "mm")
    into, slack = field.directions(places), _slack(field)
    target, open_ = places.copy(), np.ones(places.shape[1], bool)
    for share in _KEPT:
        tried = places + share * depth * into
        fits = open_ & field.holds(tried, slack)
        target[:, fits] = tried[:, fits]
        open_ &= ~fits
    return fitted(field.points, field.volumes, target), _near(field, places, depth)


def line_form(
    field: RegionField, places: ArrayLike, length: float
) -> tuple[csr_array, NDArray[np.int64]]:
    """Mean along a line of twice the material length from each place into the material.

    The line ends where it leaves the region; the mean is then over what is left of it.

    Parameters
    ----------
    field : RegionField
    places : array_like of shape (3, m)
        Where to read, usually nodes. [mm]
    length : float
        Material length. [mm]

    Returns
    -------
    weights : csr_array of shape (m, n)
        Each row sums to 1. [-]
    held : ndarray of int of shape (m,)
        Sample points within half the material length of the place.

    References
    ----------
    Whitney JM, Nuismer RJ 1974, J. Compos. Mater. 8:253-265 (S, as quoted): a0 is this length.
    """
    places = _places(places)
    length = check_positive("material length", length, "mm")
    into, slack = field.directions(places), _slack(field)
    share, weight = _line(_STEPS)
    total: csr_array | None = None
    inside, kept = np.ones(places.shape[1], bool), np.zeros(places.shape[1])
    for step, (at, part) in enumerate(zip(share, weight, strict=True)):
        tried = places + REACH * length * at * into
        inside &= field.holds(tried, slack) | (step == 0)
        some = np.flatnonzero(inside)
        rows = fitted(field.points, field.volumes, tried[:, some])
        spread = csr_array((np.full(some.size, part), (some, np.arange(some.size))),
                           shape=(places.shape[1], some.size))  # fmt: skip
        kept[some] += part
        total = spread @ rows if total is None else total + spread @ rows
    scale = csr_array((1 / kept, (np.arange(kept.size),) * 2), shape=(kept.size,) * 2)
    return csr_array(scale @ total), _near(field, places, DEPTH * length)


HOT_SPOTS: dict[str, Callable[..., tuple[csr_array, NDArray[np.int64]]]] = {
    "volume": volume_form,
    "point": point_form,
    "line": line_form,
}


def _line(steps: int) -> tuple[FloatArray, FloatArray]:
    """Shares of a line, crowded at its start, and their weights; in the root of the distance."""
    t, w = np.polynomial.legendre.leggauss(steps)
    t, w = (t + 1) / 2, w / 2
    return t**2, 2 * t * w


def _places(places: ArrayLike) -> FloatArray:
    found = check_finite("places", places)
    if found.ndim != 2 or len(found) != 3:
        raise ValueError(f"places has shape {found.shape}; it must be (3, m).")
    return found


def _slack(field: RegionField) -> float:
    """Distance by which a curved surface may leave its own tangent planes: a sample spacing."""
    return 0.5 * float(np.median(field.volumes)) ** (1 / 3)


def _near(field: RegionField, places: FloatArray, radius: float) -> NDArray[np.int64]:
    tree = cKDTree(field.points.T)
    return np.asarray(tree.query_ball_point(places.T, radius, return_length=True), np.int64)
