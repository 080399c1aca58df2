"""Selectors: which faces of a part a name stands for, told by plane, cylinder or box."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from orthofem.errors import check_finite, check_positive
from orthofem.parts.solids import Vector, check_vector


@dataclass(frozen=True)
class InBox:
    """Points inside a box with edges along the axes. Also a zone for refinement.

    Parameters
    ----------
    low, high : tuple of 3 floats
        Opposite corners; may be infinite. [mm]
    tol : float or None
        Own tolerance; None takes the caller's. [mm]

    Examples
    --------
    >>> InBox((0, 0, 0), (1, 1, 1)).holds(np.array([[0.5, 2], [0.5, 0], [0.5, 0]]), 1e-6)
    array([ True, False])
    """

    low: Vector
    high: Vector
    tol: float | None = None

    def __post_init__(self):
        low, high = np.array(self.low, float), np.array(self.high, float)
        if low.shape != (3,) or high.shape != (3,) or not (low < high).all():
            raise ValueError(
                f"A box from {self.low} to {self.high} is empty; give three numbers each, "
                "every low one below its high one."
            )

    def holds(self, points: np.ndarray, tol: float) -> np.ndarray:
        """Which of the points (3, n) lie in the box; shape (n,)."""
        return self.distance(points) <= (self.tol or tol)

    def distance(self, points: np.ndarray) -> np.ndarray:
        """Distance of points (3, n) from the box, zero inside; shape (n,) [mm]."""
        low, high = np.array(self.low, float)[:, None], np.array(self.high, float)[:, None]
        outside = np.maximum(np.maximum(low - points, points - high), 0)
        return np.linalg.norm(outside, axis=0)


@dataclass(frozen=True)
class OnPlane:
    """Points on a plane, within a box if one is given.

    Examples
    --------
    >>> OnPlane((0, 0, 5), (0, 0, 1)).holds(np.array([[1, 1], [2, 2], [5, 6]]), 1e-6)
    array([ True, False])
    """

    point: Vector
    normal: Vector
    within: InBox | None = None
    tol: float | None = None

    def __post_init__(self):
        check_vector("plane point", self.point)
        check_vector("plane normal", self.normal, length=True)

    def holds(self, points: np.ndarray, tol: float) -> np.ndarray:
        """Which of the points (3, n) lie on the plane; shape (n,)."""
        normal = np.array(self.normal, float) / np.linalg.norm(self.normal)
        height = normal @ (points - np.array(self.point, float)[:, None])
        return (np.abs(height) <= (self.tol or tol)) & _within(self.within, points, tol)


@dataclass(frozen=True)
class OnCylinder:
    """Points on a cylinder's surface, within a box if one is given.

    Examples
    --------
    >>> OnCylinder((0, 0, 0), (1, 0, 0), 2.0).holds(np.array([[7, 7], [0, 0], [2, 3]]), 1e-6)
    array([ True, False])
    """

    point: Vector
    axis: Vector
    radius: float
    within: InBox | None = None
    tol: float | None = None

    def __post_init__(self):
        check_vector("cylinder point", self.point)
        check_vector("cylinder axis", self.axis, length=True)
        check_positive("cylinder radius", self.radius, "mm")

    def holds(self, points: np.ndarray, tol: float) -> np.ndarray:
        """Which of the points (3, n) lie on the cylinder; shape (n,)."""
        _, away = axial_and_radial(points, self.point, self.axis)
        on = np.abs(away - self.radius) <= (self.tol or tol)
        return on & _within(self.within, points, tol)


@dataclass(frozen=True)
class FaceAt:
    """The whole face of the solid that lies nearest to a point [mm].

    A face is what the CAD file drew as one, or for an STL file what lies between two sharp
    edges.
    """

    point: Vector

    def __post_init__(self):
        check_vector("face point", self.point)


@dataclass(frozen=True)
class NearCircle:
    """Zone of all points within a distance of a circle, such as a fillet's [mm].

    Examples
    --------
    >>> zone = NearCircle((0, 0, 0), (1, 0, 0), radius=5, within=1)
    >>> zone.distance(np.array([[0.0, 0], [5, 8], [0, 0]]))
    array([0., 2.])
    """

    centre: Vector
    axis: Vector
    radius: float
    within: float = 0.0

    def __post_init__(self):
        check_vector("circle centre", self.centre)
        check_vector("circle axis", self.axis, length=True)
        check_finite("circle radius", self.radius)
        check_finite("zone distance", self.within)

    def distance(self, points: np.ndarray) -> np.ndarray:
        """Distance of points (3, n) from the zone, zero inside; shape (n,) [mm]."""
        along, away = axial_and_radial(points, self.centre, self.axis)
        return np.maximum(np.hypot(along, away - self.radius) - self.within, 0)


@dataclass(frozen=True)
class NearPoint:
    """Zone of all points within a distance of a point [mm]."""

    point: Vector
    within: float = 0.0

    def __post_init__(self):
        check_vector("zone point", self.point)
        check_finite("zone distance", self.within)

    def distance(self, points: np.ndarray) -> np.ndarray:
        """Distance of points (3, n) from the zone, zero inside; shape (n,) [mm]."""
        away = np.linalg.norm(points - np.array(self.point, float)[:, None], axis=0)
        return np.maximum(away - self.within, 0)


@dataclass(frozen=True)
class NearTube:
    """Zone of all points within a distance of a round tube's skin, such as a glue line [mm].

    `axis` is the vector along the whole tube, from the centre of its base.

    Examples
    --------
    >>> zone = NearTube((0, 0, 0), (10, 0, 0), radius=5)
    >>> zone.distance(np.array([[5.0, 12, -3], [5, 5, 1], [0, 0, 0]]))
    array([0., 2., 5.])
    """

    base: Vector
    axis: Vector
    radius: float
    within: float = 0.0

    def __post_init__(self):
        check_vector("tube base", self.base)
        check_vector("tube axis", self.axis, length=True)
        check_finite("tube radius", self.radius)
        check_finite("zone distance", self.within)

    def distance(self, points: np.ndarray) -> np.ndarray:
        """Distance of points (3, n) from the zone, zero inside; shape (n,) [mm]."""
        along, away = axial_and_radial(points, self.base, self.axis)
        length = np.linalg.norm(self.axis)
        beyond = np.maximum(np.maximum(-along, along - length), 0)
        return np.maximum(np.hypot(beyond, away - self.radius) - self.within, 0)


Selector = OnPlane | OnCylinder | InBox | FaceAt
Zone = InBox | NearCircle | NearTube | NearPoint


def axial_and_radial(
    points: np.ndarray, origin: Vector, axis: Vector
) -> tuple[np.ndarray, np.ndarray]:
    """Coordinates of points (3, n) along an axis and away from it, shape (n,) each [mm]."""
    unit = np.array(axis, float) / np.linalg.norm(axis)
    to = points - np.array(origin, float)[:, None]
    along = unit @ to
    return along, np.linalg.norm(to - unit[:, None] * along, axis=0)


def _within(box: InBox | None, points: np.ndarray, tol: float) -> np.ndarray | bool:
    return True if box is None else box.holds(points, tol)
