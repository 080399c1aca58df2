"""What a build direction costs to print: height, overhangs, supports, room on the bed."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from scipy.spatial import ConvexHull
from skfem import MeshTet1

from orthofem.errors import check_between, check_finite, check_positive
from orthofem.mesh.columns import space_below
from orthofem.mesh.hemisphere import hemisphere
from orthofem.mesh.overhang import corner_normals, overhanging
from orthofem.mesh.surface import boundary_triangles

__all__ = ["PrintCosts", "cheaper_way", "hemisphere", "print_costs", "skin_costs"]


@dataclass(frozen=True)
class PrintCosts:
    """What it costs to print a piece along each of several build directions.

    Parameters
    ----------
    height : ndarray of shape (n,)
        Extent along the build direction. [mm]
    overhang_area : ndarray of shape (n,)
        Area of the skin that needs something below it. [mm2]
    support_volume : ndarray of shape (n,)
        Space below the overhanging skin, as if filled solid. [mm3]
    footprint : ndarray of shape (n,)
        Area of the convex outline of the piece's shadow on the bed. [mm2]
    bed_contact : ndarray of shape (n,)
        Area that the lowest half layer rests on the bed with. [mm2]
    """

    height: np.ndarray
    overhang_area: np.ndarray
    support_volume: np.ndarray
    footprint: np.ndarray
    bed_contact: np.ndarray

    def impractical(
        self,
        height: float = np.inf,
        support_volume: float = np.inf,
        overhang_area: float = np.inf,
        bed_contact: float = 0.0,
    ) -> np.ndarray:
        """Directions (n,) that go beyond a limit; `bed_contact` is the least, the others the most.

        Examples
        --------
        >>> one = np.ones(2)
        >>> PrintCosts(np.array([90.0, 300]), one, one, one, one).impractical(height=250)
        array([False,  True])
        """
        return (
            (self.height > height)
            | (self.support_volume > support_volume)
            | (self.overhang_area > overhang_area)
            | (self.bed_contact < bed_contact)
        )

    def __getitem__(self, chosen: Any) -> PrintCosts:
        """Costs of some of the directions."""
        return PrintCosts(*(getattr(self, field.name)[chosen] for field in fields(self)))


def print_costs(
    mesh: MeshTet1,
    cells: np.ndarray | None,
    directions: np.ndarray,
    overhang_angle: float = 45.0,
    layer: float = 0.2,
) -> PrintCosts:
    """Costs of printing a piece of a mesh along each build direction.

    Parameters
    ----------
    mesh : MeshTet2 or MeshTet1
        The mesh. [mm]
    cells : ndarray of int or None
        Cells of the piece; all if None.
    directions : ndarray of shape (3, n)
        Ways up on the bed; need not be unit vectors.
    overhang_angle : float
        Skin that faces down and is nearer to level than this needs something below it. [degree]
    layer : float
        Thickness of a layer. [mm]

    Returns
    -------
    costs : PrintCosts
        See `skin_costs`, which this calls with the piece's closed skin; a curved six-node facet
        counts as four flat triangles.

    Raises
    ------
    ValueError
        See `skin_costs`.

    Examples
    --------
    >>> from skfem import MeshTet
    >>> print_costs(MeshTet(), None, np.array([[1.0, 1], [0, 1], [0, 0]])).height
    array([1.  , 1.41])
    """
    skin = boundary_triangles(mesh, cells=cells).nodes
    used, triangles = np.unique(skin, return_inverse=True)
    points = mesh.doflocs[:, used]
    return skin_costs(points, triangles.reshape(3, -1), directions, overhang_angle, layer)


def skin_costs(
    points: np.ndarray,
    triangles: np.ndarray,
    directions: np.ndarray,
    overhang_angle: float = 45.0,
    layer: float = 0.2,
) -> PrintCosts:
    """Costs of printing a body of closed skin along each build direction.

    Parameters
    ----------
    points : ndarray of shape (3, n_points)
        Corners. [mm]
    triangles : ndarray of shape (3, m)
        Columns of `points`, counter-clockwise seen from outside; neighbours share their corners.
    directions : ndarray of shape (3, n)
        Ways up on the bed; need not be unit vectors.
    overhang_angle : float
        Skin that faces down and is nearer to level than this needs something below it. [degree]
    layer : float
        Thickness of a layer. [mm]

    Returns
    -------
    costs : PrintCosts

    Raises
    ------
    ValueError
        If a direction is no direction, the angle not within 0 to 90 degrees, or the layer not
        above zero.

    Notes
    -----
    The bed touches the lowest point. Skin faces down where its outward normal does; its slope
    is the angle between its plane and the bed, 0 for a ceiling and 90 for a wall. It overhangs
    where it faces down and its slope is below `overhang_angle`, by a tenth of a degree at least,
    so that a chamfer of just that angle does not. Facets that meet at less than 35 degrees are
    one curved surface: its slope changes steadily over them, and they are cut where it passes the
    limit. What lies within half a layer of the bed rests on it and does not overhang.

    - height, footprint: exact for the triangles. The shadow of the convex hull is the convex
      outline of the shadow, and its area half the sum of all hull facets' shadows.
    - overhang area, bed contact (as its shadow on the bed): exact for the triangles, their slope
      taken as above.
    - support volume: `space_below`, down to the bed or to the piece itself, whichever comes
      first; exact over open bed, else within some parts in a thousand.

    Examples
    --------
    >>> from skfem import MeshTet
    >>> cube = boundary_triangles(MeshTet()).nodes
    >>> costs = skin_costs(MeshTet().doflocs, cube, np.array([[0.0, 1], [0, 1], [1, 0]]))
    >>> costs.footprint  # flat on a face; standing on an edge
    array([1.  , 1.41421356])
    >>> costs.overhang_area  # its two lower faces slope by 45 degrees, the limit: none
    array([0., 0.])
    """
    up = _unit(directions)
    check_between("overhang_angle", overhang_angle, 0, 90, "degree")
    skin = (points, triangles, corner_normals(points, triangles))
    slack = check_positive("layer", layer, "mm") / 2
    rows = [_one(skin, way, overhang_angle, slack) for way in up.T]
    height, overhang, support, contact = np.array(rows).reshape(-1, 4).T
    return PrintCosts(height, overhang, support, _hull_shadow(points, up), contact)


def cheaper_way(
    mesh: MeshTet1,
    cells: np.ndarray | None,
    directions: np.ndarray,
    overhang_angle: float = 45.0,
    layer: float = 0.2,
) -> tuple[np.ndarray, PrintCosts]:
    """Turn each build direction to the cheaper of its two ends, and say what that costs.

    Layers lie the same way for a direction and its opposite, and so does strength; the cost of
    printing differs.

    Parameters
    ----------
    mesh, cells, directions, overhang_angle, layer
        As in `print_costs`.

    Returns
    -------
    directions : ndarray of shape (3, n)
        As given or turned round, unit vectors: the end with less support volume; where that is
        alike within a millionth of the piece's box, the one that rests on the bed with more area;
        else as given.
    costs : PrintCosts
        Of these directions.
    """
    up = _unit(directions)
    n = up.shape[1]
    costs = print_costs(mesh, cells, np.hstack([up, -up]), overhang_angle, layer)
    given, opposite = costs[:n], costs[n:]
    alike = 1e-6 * np.max(costs.footprint * costs.height, initial=0.0)
    gain = given.support_volume - opposite.support_volume
    rests = opposite.bed_contact > given.bed_contact * (1 + 1e-6)
    turned = (gain > alike) | ((np.abs(gain) <= alike) & rests)
    return np.where(turned, -up, up) + 0.0, costs[np.arange(n) + n * turned]  # no minus zero


def _unit(directions: np.ndarray) -> np.ndarray:
    up = check_finite("directions", directions)
    if up.ndim != 2 or up.shape[0] != 3:
        raise ValueError(f"directions have shape {up.shape}; give (3, n), one column each.")
    length = np.linalg.norm(up, axis=0)
    if not length.all():
        raise ValueError(f"Direction {np.argmin(length)} is (0, 0, 0); give one not all zero.")
    return up / length


def _one(
    skin: tuple[np.ndarray, ...], up: np.ndarray, angle: float, slack: float
) -> tuple[float, float, float, float]:
    """Height, overhang area, support volume and bed contact of one direction."""
    points, triangles, normals = skin
    placed = np.stack([*_across(up), up]) @ points
    placed[2] -= placed[2].min()
    corners = placed[:, triangles]
    shadow = _normal_area(corners)[2]
    resting = _share_below(np.sort(corners[2], axis=0), slack)
    contact = np.maximum(-shadow, 0) @ resting
    open_skin = np.flatnonzero((shadow < 0) & (resting < 1))
    over, _ = overhanging(corners[:, :, open_skin], normals[:, :, open_skin], up, angle)
    free = 1 - _share_below(np.sort(over[2], axis=0), slack)
    overhang = np.linalg.norm(_normal_area(over), axis=0) @ free
    support = space_below(over, placed, triangles[:, shadow > 0])
    return placed[2].max(), float(overhang), support, float(contact)


def _normal_area(corners: np.ndarray) -> np.ndarray:
    """Area vectors (3, m) of triangles given by their corners (3, 3, m)."""
    a, b, c = np.moveaxis(corners, 1, 0)
    return np.cross(b - a, c - a, axis=0) / 2


def _across(up: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Two unit vectors that make a right-handed frame with `up`."""
    first = np.cross(up, np.eye(3)[np.argmin(np.abs(up))])
    first /= np.linalg.norm(first)
    return first, np.cross(up, first)


def _share_below(height: np.ndarray, level: float) -> np.ndarray:
    """Share of each triangle's area below a level, its corners' heights (3, m) being sorted."""
    low, middle, high = height
    tiny = np.finfo(float).tiny  # keeps a level edge from dividing by zero
    risen = np.clip(level, low, middle) - low
    left = high - np.clip(level, middle, high)
    rising = risen**2 / np.maximum((middle - low) * (high - low), tiny)
    falling = 1 - left**2 / np.maximum((high - middle) * (high - low), tiny)
    return np.where(level < middle, rising, falling)


def _hull_shadow(points: np.ndarray, up: np.ndarray) -> np.ndarray:
    """Area of the convex outline of the shadow along each direction."""
    hull = ConvexHull(points.T)
    return np.abs(up.T @ _normal_area(points[:, hull.simplices.T])).sum(axis=1) / 2
